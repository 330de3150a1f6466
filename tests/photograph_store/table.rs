//! A place for one test: an empty catalogue and photographs to take in.

use std::fs;
use std::path::{Path, PathBuf};

use dimity::photograph::{IngestFault, Ingested, Store};
use image::DynamicImage;
use tempfile::TempDir;

/// A catalogue folder and a folder of photographs to take in.
pub struct Table {
    pub dir: TempDir,
    pub store: Store,
}

impl Table {
    pub fn new() -> Self {
        let dir = tempfile::tempdir().expect("a folder for the test");
        let store = Store::at(&dir.path().join("collection"));
        Self { dir, store }
    }

    pub fn lay(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.dir.path().join(name);
        fs::write(&path, bytes).expect("the test folder can be written");
        path
    }

    pub fn ingest(&self, name: &str, bytes: &[u8]) -> Result<Ingested, IngestFault> {
        self.store.ingest(&self.lay(name, bytes))
    }

    /// Every file below the catalogue folder.
    pub fn files(&self) -> Vec<PathBuf> {
        fn below(folder: &Path, found: &mut Vec<PathBuf>) {
            for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
                let path = entry.path();
                if path.is_dir() { below(&path, found) } else { found.push(path) }
            }
        }
        let mut found = vec![];
        below(&self.dir.path().join("collection"), &mut found);
        found
    }

    pub fn view(&self, taken: &Ingested) -> DynamicImage {
        image::open(self.store.view(&taken.sha256)).expect("a view that can be opened")
    }

    pub fn thumbnail(&self, taken: &Ingested) -> DynamicImage {
        image::open(self.store.thumbnail(&taken.sha256)).expect("a thumbnail that can be opened")
    }
}
