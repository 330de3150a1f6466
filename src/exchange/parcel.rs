//! What is handed out: a file or a folder, written beside its place under another name and named when it is whole, so that
//! an interruption leaves what was there before, or nothing. What was not written by an export is never written over.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, BufWriter, Read as _, Write};
use std::path::{Component, Path, PathBuf};

use sha2::{Digest as _, Sha256};

use super::out::bagit::Sum;
use crate::digest::hex;
use crate::photograph::writing::sync_folder;

/// The page in every folder that is handed out. By its first line a later export knows the folder as its own.
pub const PAGE: &str = "EXPORT.txt";

/// The first words of that page.
const OURS: &str = "Written by `dimity export";

/// A folder on its way out.
pub struct Parcel {
    place: PathBuf,
    beside: PathBuf,
    done: bool,
    files: BTreeMap<String, Sum>,
}

/// How much was written.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Serialize)]
pub struct Written {
    /// Files.
    pub files: usize,
    /// Their bytes.
    pub bytes: u64,
}

impl Parcel {
    /// Begins a folder that will take the place of `place`, which is not there yet, is empty, or is an earlier export.
    ///
    /// # Errors
    /// A sentence that says why nothing may or can be written there.
    pub fn begin(place: &Path) -> Result<Self, String> {
        let place = &std::path::absolute(place).map_err(doing("find", place))?;
        if place.file_name().is_none() {
            return Err(format!("`{}` is no place for an export; name a folder", place.display()));
        }
        put_back(place)?;
        if !may_go(place) {
            return Err(format!(
                "`{}` is there already and is no export of this program; name another place with `--out`, or move it away",
                place.display()
            ));
        }
        let beside = beside(place);
        // Left behind by an interruption while files were written.
        if beside.exists() {
            fs::remove_dir_all(&beside).map_err(doing("remove", &beside))?;
        }
        fs::create_dir_all(&beside).map_err(doing("make the folder", &beside))?;
        Ok(Self { place: place.into(), beside, done: false, files: BTreeMap::new() })
    }

    /// Writes one file: `name` is its place in the folder, with `/` between the parts. `write` is given what takes the
    /// bytes.
    ///
    /// # Errors
    /// A sentence that names the file.
    pub fn file<E: ToString>(
        &mut self,
        name: &str,
        write: impl FnOnce(&mut dyn Write) -> Result<(), E>,
    ) -> Result<(), String> {
        let path = self.inside(name)?;
        let file = File::create(&path).map_err(doing("write", &path))?;
        let mut out = Counted { to: BufWriter::with_capacity(1 << 16, file), bytes: 0, hash: Sha256::new() };
        write(&mut out).map_err(|e| format!("`{}`: {}", path.display(), e.to_string()))?;
        let sum = Sum { sha256: hex(&out.hash.finalize()), bytes: out.bytes };
        out.to.into_inner().map_err(|e| doing("write", &path)(e.into_error()))?;
        self.files.insert(name.to_owned(), sum);
        Ok(())
    }

    /// The files so far, by name.
    pub fn files(&self) -> &BTreeMap<String, Sum> {
        &self.files
    }

    /// Copies a file into the folder, byte for byte; one that is to have a certain SHA-256 only if it has it.
    ///
    /// # Errors
    /// A sentence that names the file; that it has changed, if its SHA-256 is another.
    pub fn copy(&mut self, from: &Path, name: &str, expected: Option<&str>) -> Result<(), String> {
        let mut source = File::open(from).map_err(doing("read", from))?;
        self.file(name, |out| io::copy(&mut source, out).map(drop))?;
        let now = self.files.get(name).map(|sum| sum.sha256.as_str());
        if expected.is_some() && expected != now {
            return Err(format!(
                "`{}` has changed since it was stored: its SHA-256 is now {}; put it back from a backup",
                from.display(),
                now.unwrap_or_default()
            ));
        }
        Ok(())
    }

    /// Writes [`PAGE`]: what was exported, and what follows its first line.
    ///
    /// # Errors
    /// A sentence that names the file.
    pub fn page(&mut self, format: &str, text: &str) -> Result<(), String> {
        let text = format!("{OURS} {format}`.\n\n{text}");
        self.file(PAGE, |out| out.write_all(text.as_bytes()))
    }

    /// Brings the folder to the disk for good and gives it its name; what was exported there before goes. Without a
    /// [`Self::page`] it would not be known again.
    ///
    /// # Errors
    /// A sentence that names the folder; the earlier export is still there then.
    pub fn finish(mut self) -> Result<Written, String> {
        self.sync().map_err(doing("write", &self.beside))?;
        let old = before(&self.place);
        let there = self.place.exists();
        if there {
            fs::rename(&self.place, &old).map_err(doing("move away", &self.place))?;
        }
        if let Err(e) = fs::rename(&self.beside, &self.place) {
            if there {
                let _ = fs::rename(&old, &self.place);
            }
            return Err(doing("name", &self.place)(e));
        }
        self.done = true;
        sync_folder(self.place.parent().unwrap_or(&self.place)).map_err(|e| e.to_string())?;
        if there {
            fs::remove_dir_all(&old).map_err(doing("remove", &old))?;
        }
        Ok(Written { files: self.files.len(), bytes: self.files.values().map(|sum| sum.bytes).sum() })
    }

    /// Asks the disk to keep all that was written, once: on Linux everything at a time, elsewhere file by file.
    fn sync(&self) -> io::Result<()> {
        #[cfg(target_os = "linux")]
        if rustix::fs::syncfs(File::open(&self.beside)?).is_ok() {
            return Ok(());
        }
        let mut folders = BTreeSet::from([self.beside.clone()]);
        for name in self.files.keys() {
            let path = self.beside.join(name);
            File::options().write(true).open(&path)?.sync_all()?;
            folders.extend(path.ancestors().skip(1).take_while(|f| f.starts_with(&self.beside)).map(Path::to_path_buf));
        }
        folders.iter().try_for_each(|folder| sync_folder(folder)).map_err(io::Error::other)
    }

    /// The path of a file in the folder, the folders above it made.
    fn inside(&self, name: &str) -> Result<PathBuf, String> {
        let plain = Path::new(name).components().all(|part| matches!(part, Component::Normal(_)));
        if !plain || name.is_empty() {
            return Err(format!("`{name}` is no name for a file in the export"));
        }
        let path = self.beside.join(name);
        let folder = path.parent().unwrap_or(&self.beside);
        fs::create_dir_all(folder).map_err(doing("make the folder", folder))?;
        Ok(path)
    }
}

impl Drop for Parcel {
    fn drop(&mut self) {
        if !self.done {
            let _ = fs::remove_dir_all(&self.beside);
        }
    }
}

/// Whether something may be written at `place`: nothing is there, an empty folder, or an earlier export.
fn may_go(place: &Path) -> bool {
    match fs::read_dir(place) {
        Ok(mut entries) => entries.next().is_none() || is_export(place),
        Err(_) => !place.exists(),
    }
}

/// Whether a folder is a finished export of this format.
pub fn is_of(folder: &Path, format: &str) -> bool {
    let first = format!("{OURS} {format}`.\n");
    let mut beginning = vec![0; first.len()];
    File::open(folder.join(PAGE)).and_then(|mut page| page.read_exact(&mut beginning)).is_ok()
        && beginning == first.as_bytes()
}

/// Whether a folder was written by an export.
fn is_export(folder: &Path) -> bool {
    let mut beginning = [0; OURS.len()];
    File::open(folder.join(PAGE)).and_then(|mut page| page.read_exact(&mut beginning)).is_ok()
        && beginning == *OURS.as_bytes()
}

fn file_name(place: &Path) -> String {
    place.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn beside(place: &Path) -> PathBuf {
    place.with_file_name(format!(".{}.unfinished", file_name(place)))
}

/// Where an earlier export waits while the new one is named.
fn before(place: &Path) -> PathBuf {
    place.with_file_name(format!(".{}.before", file_name(place)))
}

/// Mends what an interruption left while the new export was named: the earlier one goes if the new one had its name, and
/// comes back if it had none yet.
fn put_back(place: &Path) -> Result<(), String> {
    let old = before(place);
    // A folder that only bears such a name is nobody's export.
    if !old.exists() || !(is_export(place) || is_export(&old)) {
        return Ok(());
    }
    if is_export(place) {
        return fs::remove_dir_all(&old).map_err(doing("remove", &old));
    }
    // Only a folder with nothing in it gives way.
    let _ = fs::remove_dir(place);
    if place.exists() { Ok(()) } else { fs::rename(&old, place).map_err(doing("put back", &old)) }
}

/// Turns an IO error into a sentence that names its file.
fn doing(what: &'static str, path: &Path) -> impl FnOnce(io::Error) -> String {
    let path = path.to_path_buf();
    move |e| format!("cannot {what} `{}`: {e}", path.display())
}

struct Counted<W> {
    to: W,
    bytes: u64,
    hash: Sha256,
}

impl<W: Write> Write for Counted<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let n = self.to.write(bytes)?;
        self.bytes += n as u64;
        self.hash.update(&bytes[..n]);
        Ok(n)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.to.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn full(place: &Path, text: &str) -> Result<Written, String> {
        let mut parcel = Parcel::begin(place)?;
        parcel.file("a/b.txt", |out| out.write_all(text.as_bytes()))?;
        parcel.page("text", "A page.\n")?;
        parcel.finish()
    }

    #[test]
    fn a_folder_appears_whole_and_replaces_only_an_export() {
        let room = tempfile::tempdir().expect("a folder");
        let place = room.path().join("out");
        assert_eq!(full(&place, "one").expect("written").files, 2, "the file and the page");
        assert_eq!(fs::read_to_string(place.join("a/b.txt")).expect("there"), "one");
        full(&place, "two").expect("written over an earlier export");
        assert_eq!(fs::read_to_string(place.join("a/b.txt")).expect("there"), "two");
        assert_eq!(fs::read_dir(room.path()).expect("reads").count(), 1, "nothing is left beside it");

        let other = room.path().join("mine");
        fs::create_dir(&other).expect("made");
        full(&other, "into an empty folder").expect("written");
        fs::write(other.join(PAGE), "a page of my own").expect("written");
        assert!(full(&other, "x").expect_err("no export any more").contains("is no export of this program"));
        let file = room.path().join("file");
        fs::write(&file, "x").expect("written");
        assert!(full(&file, "x").expect_err("a file").contains("is no export of this program"));
        assert_eq!(fs::read_to_string(file).expect("there"), "x");
    }

    #[test]
    fn what_is_given_up_leaves_the_earlier_export_and_nothing_beside_it() {
        let room = tempfile::tempdir().expect("a folder");
        let place = room.path().join("out");
        full(&place, "one").expect("written");
        let mut parcel = Parcel::begin(&place).expect("begun");
        parcel.file("x", |out| out.write_all(b"half")).expect("written");
        let failed = parcel.file("y", |_| Err::<(), _>("the disk is full"));
        assert!(failed.expect_err("it failed").contains("the disk is full"));
        drop(parcel);
        assert_eq!(fs::read_to_string(place.join("a/b.txt")).expect("there"), "one");
        assert_eq!(fs::read_dir(room.path()).expect("reads").count(), 1);
        // What a kill left behind goes with the next export.
        fs::create_dir_all(beside(&place).join("rest")).expect("made");
        full(&place, "two").expect("written");
        assert!(!beside(&place).exists() && !place.join("rest").exists());
    }

    #[test]
    fn what_a_kill_between_the_two_names_left_is_mended_by_the_next_export() {
        let room = tempfile::tempdir().expect("a folder");
        let place = room.path().join("out");
        full(&place, "one").expect("written");
        // Killed before the new one had its name: the earlier one comes back, even if the next export comes to nothing.
        fs::rename(&place, before(&place)).expect("moved away");
        drop(Parcel::begin(&place).expect("begun"));
        assert_eq!(fs::read_to_string(place.join("a/b.txt")).expect("back"), "one");
        // Killed after it, while the earlier one was removed.
        fs::create_dir_all(before(&place).join("a")).expect("made");
        full(&place, "two").expect("written");
        assert_eq!(fs::read_to_string(place.join("a/b.txt")).expect("there"), "two");
        assert_eq!(fs::read_dir(room.path()).expect("reads").count(), 1, "nothing is left beside it");
    }

    #[test]
    fn only_what_is_as_it_was_stored_is_copied() {
        let room = tempfile::tempdir().expect("a folder");
        let from = room.path().join("one");
        fs::write(&from, "abc").expect("written");
        let mut parcel = Parcel::begin(&room.path().join("out")).expect("begun");
        // SHA-256 of "abc": FIPS 180-4, example of NIST.
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        parcel.copy(&from, "sound", Some(abc)).expect("copied");
        parcel.copy(&from, "whatever", None).expect("copied");
        fs::write(&from, "abd").expect("written");
        let refused = parcel.copy(&from, "spoilt", Some(abc)).expect_err("changed");
        assert!(refused.contains("has changed since it was stored"), "{refused}");
    }

    #[test]
    fn no_name_leads_out_of_the_folder() {
        let room = tempfile::tempdir().expect("a folder");
        let mut parcel = Parcel::begin(&room.path().join("out")).expect("begun");
        for name in ["", "/etc/x", "../x", "a/../../x", "."] {
            assert!(parcel.file(name, |out| out.write_all(b"x")).is_err(), "{name}");
        }
    }
}
