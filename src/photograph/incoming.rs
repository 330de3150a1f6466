//! A file that comes in piece by piece, as from a browser: it waits in the store's own place, under its own name, until it
//! is taken in like any other file.

use std::path::{MAIN_SEPARATOR, Path, PathBuf};

use tempfile::{Builder, TempDir};

use super::writing::{UNFINISHED, folder};
use super::{IngestFault, Store};

/// The longest name kept, in bytes: file systems take 255.
const LONGEST_NAME: usize = 200;

/// A file on its way in. It vanishes with this value.
#[derive(Debug)]
pub struct Incoming {
    folder: TempDir,
    path: PathBuf,
}

impl Store {
    /// Makes room for a file of this name, which may come from anywhere: of a path only the last part is kept.
    ///
    /// # Errors
    /// If the store's folder cannot be written.
    pub fn incoming(&self, name: &str) -> Result<Incoming, IngestFault> {
        let room = self.root.join("photographs");
        folder(&room)?;
        let folder = Builder::new().prefix(UNFINISHED).tempdir_in(&room).map_err(IngestFault::io("write in", &room))?;
        let path = folder.path().join(plain(name));
        Ok(Incoming { folder, path })
    }
}

impl Incoming {
    /// Where the file is to be written, and then taken in from.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// A fault of taking it in, told to someone who knows the file by its name alone.
    pub fn told(&self, fault: &IngestFault) -> String {
        fault.to_string().replace(&format!("{}{MAIN_SEPARATOR}", self.folder.path().display()), "")
    }
}

/// The last part of a name that says nothing of folders, without signs that no name should hold; never blank.
fn plain(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let kept: String = last.chars().filter(|c| !c.is_control()).collect();
    let kept = kept.trim().trim_start_matches('.');
    // The end is kept: the extension is there.
    let long = kept.len().saturating_sub(LONGEST_NAME);
    let from = (long..=kept.len()).find(|at| kept.is_char_boundary(*at)).unwrap_or_default();
    match &kept[from..] {
        "" => "photograph".to_owned(),
        name => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_leads_out_of_the_store() {
        for (name, wanted) in [
            ("front.jpg", "front.jpg"),
            ("../../etc/passwd", "passwd"),
            ("..", "photograph"),
            ("", "photograph"),
            ("C:\\photos\\..\\front.jpg", "front.jpg"),
            ("/", "photograph"),
            ("a\0b\n.jpg", "ab.jpg"),
            (".htaccess", "htaccess"),
            ("Ärmel größe.tif", "Ärmel größe.tif"),
        ] {
            assert_eq!(plain(name), wanted, "{name:?}");
        }
        let long = plain(&format!("{}ä.jpeg", "ü".repeat(300)));
        assert!(long.len() <= LONGEST_NAME && long.ends_with("ä.jpeg"), "{long}");
    }

    #[test]
    fn what_is_not_taken_in_leaves_nothing_and_is_told_by_its_name() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let store = Store::at(room.path());
        let incoming = store.incoming("../letter.jpg").expect("room for it");
        assert!(incoming.path().starts_with(room.path().join("photographs")));
        std::fs::write(incoming.path(), b"Dear Sir").expect("it is written");
        let fault = store.ingest(incoming.path()).expect_err("no photograph");
        let told = incoming.told(&fault);
        assert!(told.starts_with("`letter.jpg` is not a photograph"), "{told}");
        drop(incoming);
        let left: Vec<_> = std::fs::read_dir(room.path().join("photographs")).expect("the folder").collect();
        assert!(left.is_empty(), "{left:?}");
    }
}
