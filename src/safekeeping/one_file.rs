//! One file of a catalogue on its way into a backup: copied if it is new, proved by what it is known by, and never put in the
//! place of a sound copy if it is not sound itself.

use std::fs;
use std::io::ErrorKind::NotFound;
use std::path::Path;

use super::manifest;
use super::transfer::{Miscarried, copy, copy_bytes, read_back};
use crate::digest::sha256;
use crate::draft;
use crate::photograph::fixity::is_sha256;

/// What became of one file.
pub(super) enum Seen {
    /// The backup has it.
    Kept { sha256: String, read: bool },
    /// It was copied, or copied anew in place of one that had changed or gone.
    Copied { sha256: String, bytes: u64, mended: bool },
    /// It was removed while others were looked at. What the database names is looked for again at the end.
    Gone,
}

/// What came of one file. With what miscarried comes the SHA-256 of a sound copy that the backup has already.
pub(super) type Sight = std::result::Result<Seen, (Miscarried, Option<String>)>;

/// Sees to one file.
pub(super) fn one(from: &Path, to: &Path, name: &str, quick: bool, before: Option<&String>) -> Sight {
    let (source, place) = (manifest::place(from, name), manifest::place(to, name));
    let seen = match draft::proof(name) {
        Some(proof) => proved(&source, &place, proof),
        None => copied(&source, &place, named_for(name).as_deref(), quick, before),
    };
    match seen {
        Err((Miscarried::Unread(_), _)) if source.symlink_metadata().is_err_and(|e| e.kind() == NotFound) => {
            Ok(Seen::Gone)
        }
        seen => seen,
    }
}

/// A file that is known by its hash, or by its name alone.
fn copied(source: &Path, place: &Path, expected: Option<&str>, quick: bool, before: Option<&String>) -> Sight {
    let length = |path: &Path| fs::metadata(path).map(|about| about.len()).ok();
    let same_length = length(source).is_some_and(|length_of| length(place) == Some(length_of));
    let before = before.map(String::as_str);
    if let (true, true, Some(sha256)) = (quick, same_length, expected)
        && before == Some(sha256)
    {
        return Ok(Seen::Kept { sha256: sha256.to_owned(), read: false });
    }
    let there = if expected.is_some() || same_length { read_back(place).ok() } else { None };
    if let Some(sha256) = there.filter(|there| expected.or(before).is_none_or(|should| should == there)) {
        if expected.is_some() && !same_length {
            // The copy is sound; what it was copied from cannot be.
            let now = read_back(source).map_or_else(|e| Miscarried::Unread(e.to_string()), Miscarried::Changed);
            return Err((now, Some(sha256)));
        }
        // What is not named by its hash may have changed in the catalogue since.
        if expected.is_some() || read_back(source).is_ok_and(|now| now == sha256) {
            return Ok(Seen::Kept { sha256, read: true });
        }
    }
    let mended = before.is_some() && expected.is_some();
    let held = || before.filter(|should| read_back(place).is_ok_and(|there| there == **should)).map(str::to_owned);
    copy(source, place, expected)
        .map(|(sha256, bytes)| Seen::Copied { sha256, bytes, mended })
        .map_err(|miscarried| (miscarried, held()))
}

/// A file that carries its own checksum, small and often changed: the bytes that are proved are those that are written.
fn proved(source: &Path, place: &Path, proof: fn(&[u8]) -> std::result::Result<(), String>) -> Sight {
    let there = read_back(place).ok();
    // An interrupted backup may have brought one that is newer than the list.
    let held = || there.clone().filter(|_| fs::read(place).is_ok_and(|bytes| proof(&bytes).is_ok()));
    let bytes = fs::read(source).map_err(|e| (Miscarried::Unread(e.to_string()), held()))?;
    proof(&bytes).map_err(|why| (Miscarried::Spoilt(why), held()))?;
    let now = sha256(&bytes);
    if there.as_ref() == Some(&now) {
        return Ok(Seen::Kept { sha256: now, read: true });
    }
    copy_bytes(&bytes, place)
        .map(|(sha256, bytes)| Seen::Copied { sha256, bytes, mended: false })
        .map_err(|miscarried| (miscarried, None))
}

/// The SHA-256 for which a stored file is named.
pub(super) fn named_for(name: &str) -> Option<String> {
    let room = name.split('/').next()?;
    let stem = Path::new(name).file_stem()?.to_str()?;
    let stored = matches!(room, "photographs" | "sealed") && is_sha256(stem);
    if stored { Some(stem.to_owned()) } else { draft::named_for(name).map(str::to_owned) }
}
