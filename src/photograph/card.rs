//! Takes many photographs in at once: on all cores, and handed over in the order of the files.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::sync_channel;
use std::thread;

use super::ingest::Ingested;
use super::{IngestFault, Store};

impl Store {
    /// Takes the files in and hands each result to `each`, in their order, while others are still worked on: so that the
    /// cores do not stand idle while a result is written down.
    ///
    /// As many photographs are in memory at once as there are cores, and one more, for one often waits for the disk. Should
    /// `each` be slow the cores wait for it, so that an interruption leaves few photographs in the store that are written
    /// down nowhere.
    pub fn ingest_all(&self, files: &[PathBuf], mut each: impl FnMut(&Path, Result<Ingested, IngestFault>)) {
        let workers = thread::available_parallelism().map_or(2, |cores| cores.get() + 1).min(files.len());
        let next = AtomicUsize::new(0);
        thread::scope(|scope| {
            let (sender, results) = sync_channel(workers);
            for _ in 0..workers {
                let (sender, next) = (sender.clone(), &next);
                scope.spawn(move || {
                    while let Some((at, file)) = one_more(next, files) {
                        if sender.send((at, self.ingest(file))).is_err() {
                            break;
                        }
                    }
                });
            }
            drop(sender);
            let (mut early, mut due) = (BTreeMap::new(), 0);
            for (at, result) in results {
                early.insert(at, result);
                while let Some(result) = early.remove(&due) {
                    each(&files[due], result);
                    due += 1;
                }
            }
        });
    }
}

fn one_more<'a>(next: &AtomicUsize, files: &'a [PathBuf]) -> Option<(usize, &'a Path)> {
    let at = next.fetch_add(1, Ordering::Relaxed);
    files.get(at).map(|file| (at, file.as_path()))
}
