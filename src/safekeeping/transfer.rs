//! One file from one folder into another: copied beside, hashed on the way, synced, named, and read back from the disk.

use std::fs::File;
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use sha2::{Digest as _, Sha256};

use super::Watch;
use crate::catalogue::{Fault, Finding, Result};
use crate::digest::sha256;
use crate::photograph::fixity::{CHUNK, hex, sha256_of_file};
use crate::photograph::writing::{folder, name, put, sync_folder, temporary};

/// What went wrong with one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Miscarried {
    /// It is not what its name or the list says: its SHA-256 now.
    Changed(String),
    /// It is not as it was written, by the checksum in it: what is wrong, in words.
    Spoilt(String),
    /// It could not be read.
    Unread(String),
    /// It could not be written, or did not come back from the disk as it was written.
    Unwritten(String),
}

/// Copies a file, and proves the copy by reading it back. If it is expected to have a SHA-256 and has another, nothing is
/// copied, and what lay there before stays. Gives its SHA-256 and its length.
pub(super) fn copy(from: &Path, to: &Path, expected: Option<&str>) -> std::result::Result<(String, u64), Miscarried> {
    let unread = |e: io::Error| Miscarried::Unread(e.to_string());
    let unwritten = |e: io::Error| Miscarried::Unwritten(e.to_string());
    let fault = |e: crate::photograph::IngestFault| Miscarried::Unwritten(e.to_string());
    let mut source = File::open(from).map_err(unread)?;
    let shelf = to.parent().unwrap_or(to);
    folder(shelf).map_err(fault)?;
    let mut beside = temporary(shelf).map_err(fault)?;
    let (mut hash, mut chunk, mut bytes) = (Sha256::new(), vec![0; CHUNK], 0);
    loop {
        let read = match source.read(&mut chunk) {
            Ok(0) => break,
            Ok(read) => read,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
            Err(e) => return Err(unread(e)),
        };
        hash.update(&chunk[..read]);
        beside.write_all(&chunk[..read]).map_err(unwritten)?;
        bytes += read as u64;
    }
    let sha256 = hex(hash);
    if expected.is_some_and(|expected| expected != sha256) {
        return Err(Miscarried::Changed(sha256));
    }
    beside.as_file().sync_all().map_err(unwritten)?;
    name(beside, to).and_then(|()| sync_folder(shelf)).map_err(fault)?;
    came_back(to, &sha256)?;
    Ok((sha256, bytes))
}

/// Writes bytes under a name, and proves them by reading them back. Gives their SHA-256 and their length.
pub(super) fn copy_bytes(bytes: &[u8], to: &Path) -> std::result::Result<(String, u64), Miscarried> {
    put(to, bytes).map_err(|e| Miscarried::Unwritten(e.to_string()))?;
    let sha256 = sha256(bytes);
    came_back(to, &sha256)?;
    Ok((sha256, bytes.len() as u64))
}

fn came_back(to: &Path, sha256: &str) -> std::result::Result<(), Miscarried> {
    match read_back(to) {
        Ok(there) if there == sha256 => Ok(()),
        Ok(_) => Err(Miscarried::Unwritten("the disk gives back other bytes than were written".into())),
        Err(e) => Err(Miscarried::Unwritten(e.to_string())),
    }
}

/// A file to copy: where it lies, where it is to lie, and the SHA-256 that it is known by.
pub(super) type Wanted = (PathBuf, PathBuf, String);

/// How it is told what miscarried on the way.
pub(super) struct Told<'a> {
    /// Where the files lie, behind "has changed".
    pub place: &'a str,
    /// What to do about a file that was left out, and was to lie there.
    pub mend: &'a dyn Fn(&Path) -> String,
    /// A file could not be written, and why: all stops here.
    pub stopped: &'a dyn Fn(&Path, &str) -> Fault,
}

/// Copies many files, each held against its SHA-256. What has changed or cannot be read is named and left out. After an
/// interruption what `lies` there already as it should is not copied again. Gives how many are there now.
///
/// # Errors
/// If one cannot be written, or if whoever watches wants no more.
pub(super) fn copy_all(
    wanted: &[Wanted],
    lies: bool,
    told: &Told<'_>,
    watch: &dyn Watch,
) -> Result<(usize, Vec<Finding>)> {
    let one = |(from, to, sha256): &Wanted| {
        watch.go_on()?;
        let there = lies && read_back(to).is_ok_and(|there| there == *sha256);
        let copied = if there { Ok(()) } else { copy(from, to, Some(sha256)).map(drop) };
        watch.more(1);
        Ok(copied)
    };
    let copied: Vec<_> = wanted.par_iter().map(one).collect::<Result<_>>()?;
    let (mut files, mut findings) = (0, Vec::new());
    for ((from, to, _), copied) in wanted.iter().zip(copied) {
        let what = match copied {
            Ok(()) => {
                files += 1;
                continue;
            }
            Err(Miscarried::Unwritten(cause)) => return Err((told.stopped)(to, &cause)),
            Err(Miscarried::Changed(now)) => {
                format!("has changed{}: its SHA-256 is now {now}; it was left out", told.place)
            }
            Err(Miscarried::Unread(cause) | Miscarried::Spoilt(cause)) => {
                format!("cannot be read{}: {cause}", told.place)
            }
        };
        findings.push(Finding::new(format!("`{}` {what}", from.display()), (told.mend)(to)));
    }
    Ok((files, findings))
}

/// SHA-256 of a file as it lies on the disk. On Linux the system is first asked to forget what it holds of the file in
/// memory; elsewhere it may answer from there.
pub(super) fn read_back(path: &Path) -> io::Result<String> {
    #[cfg(target_os = "linux")]
    {
        let file = File::open(path)?;
        // Where a file system cannot do it, the file is read all the same.
        let _ = rustix::fs::fadvise(&file, 0, None, rustix::fs::Advice::DontNeed);
    }
    sha256_of_file(path)
}
