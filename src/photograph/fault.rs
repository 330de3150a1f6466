//! Why a photograph was not taken in, in sentences for the person at the table: what, why, and the mend.

use std::io;
use std::path::{Path, PathBuf};

/// Why a photograph was refused. Nothing of it is left in the store.
#[derive(Debug, thiserror::Error)]
pub enum IngestFault {
    /// There is no such file.
    #[error("`{}`: there is no such file; check the name and that the card or disk is connected", .0.display())]
    NotFound(PathBuf),
    /// A folder was named instead of a photograph.
    #[error("`{}` is a folder; name the photographs in it, for instance `{}`", .0.display(), .0.join("*.jpg").display())]
    Folder(PathBuf),
    /// A device, pipe or socket.
    #[error("`{}` is not an ordinary file; copy the photograph to a disk first", .0.display())]
    NotAFile(PathBuf),
    /// The file holds no bytes.
    #[error("`{}` is empty; copy it again from the camera or card", .0.display())]
    Empty(PathBuf),
    /// The first bytes are not those of any photograph read here.
    #[error("`{}` is not a photograph that can be read here; give a JPEG, PNG, TIFF or WebP file", .0.display())]
    NotAnImage(PathBuf),
    /// A known kind of picture that cannot be opened here.
    #[error("`{}` is {what}, which cannot be opened here; {mend}", path.display())]
    Unsupported {
        /// The file.
        path: PathBuf,
        /// What it is, with its article.
        what: String,
        /// What to do instead.
        mend: String,
    },
    /// The file stops before its picture does.
    #[error("`{}` is cut short: {detail}; copy it again from the camera or card", path.display())]
    Truncated {
        /// The file.
        path: PathBuf,
        /// What is missing.
        detail: String,
    },
    /// The picture inside cannot be decoded.
    #[error("`{}` is damaged: {cause}; copy it again from the camera or card, or save it anew from the program that made it", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What the decoder said.
        cause: String,
    },
    /// More pixels or bytes than are taken in.
    #[error("`{}` is too large: {size}, and the most is {most}; divide the picture or save it smaller", path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// What it has, with unit.
        size: String,
        /// What is allowed, with unit.
        most: String,
    },
    /// The stored original no longer matches its SHA-256, so nothing is derived from it.
    #[error("`{}` no longer holds the bytes it was stored with; restore it from a backup, then rebuild", .0.display())]
    Changed(PathBuf),
    /// The disk would not do it.
    #[error("could not {action} `{}`: {}", path.display(), io_words(source))]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What was tried: `read`, `write`, `create the folder` …
        action: &'static str,
        /// What the system said.
        source: io::Error,
    },
}

impl IngestFault {
    /// An input or output fault at `path`, for `map_err`.
    pub(crate) fn io(action: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_path_buf();
        move |source| Self::Io { path, action, source }
    }

    /// Whether there is no room on the disk, or none that this user may have.
    pub fn is_full_disk(&self) -> bool {
        matches!(self, Self::Io { source, .. } if is_full_disk(source))
    }
}

/// Whether the system says that there is no room on the disk, or none that this user may have.
pub(crate) fn is_full_disk(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::QuotaExceeded | io::ErrorKind::StorageFull)
}

/// The system's error in words, with the mend.
pub(crate) fn io_words(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::StorageFull => "the disk is full; make room and try again".into(),
        io::ErrorKind::QuotaExceeded => "the space allowed to you is used up; make room and try again".into(),
        io::ErrorKind::ReadOnlyFilesystem => {
            "the disk is read-only; copy the catalogue to a disk that can be written".into()
        }
        io::ErrorKind::PermissionDenied => {
            "you have no permission to do so; change the permissions of the file or its folder".into()
        }
        io::ErrorKind::NotFound => "it is not there; check the name and that the disk is connected".into(),
        io::ErrorKind::NotADirectory | io::ErrorKind::AlreadyExists => {
            "a file stands where a folder is needed; move that file away".into()
        }
        io::ErrorKind::FileTooLarge => "the disk does not take files of this size; use another disk".into(),
        _ => format!("{error}; check the disk and try again"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_disk_fault_names_the_path_and_says_the_cause_in_words() {
        let cases = [
            (io::ErrorKind::StorageFull, "the disk is full"),
            (io::ErrorKind::ReadOnlyFilesystem, "the disk is read-only"),
            (io::ErrorKind::PermissionDenied, "no permission"),
            (io::ErrorKind::NotADirectory, "a file stands where a folder is needed"),
            (io::ErrorKind::QuotaExceeded, "space allowed"),
        ];
        for (kind, words) in cases {
            let fault = IngestFault::io("write", Path::new("/c/photographs"))(kind.into()).to_string();
            assert!(fault.starts_with("could not write `/c/photographs`: "), "{fault}");
            assert!(fault.contains(words), "{fault}");
        }
    }
}
