//! What can go wrong with a catalogue, each in a sentence that names the place, the cause and the mend.

use std::path::PathBuf;

use crate::photograph::is_full_disk;

/// A refusal by the catalogue. Nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum Fault {
    /// The folder holds no catalogue.
    #[error("there is no catalogue in `{}`; `dimity new {}` makes an empty one, `--in DIR` names another folder", .0.display(), .0.display())]
    NoCatalogue(PathBuf),
    /// The folder is taken.
    #[error("`{}` is not empty; name a new or empty folder", .0.display())]
    NotEmpty(PathBuf),
    /// The file belongs to another program.
    #[error("`{}` is a database of some other program; it was left alone", .0.display())]
    Foreign(PathBuf),
    /// The file is no database at all, or a damaged one.
    #[error("`{}` cannot be read as a catalogue: {why}; it was left alone; restore it from a backup", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What the database library says.
        why: String,
    },
    /// Written by a later release.
    #[error("this catalogue has schema {found}, newer than the {known} that this program knows; use a newer `dimity`")]
    Newer {
        /// Its schema version.
        found: i64,
        /// The newest version known here.
        known: i64,
    },
    /// An older catalogue whose schema could not be brought up to date.
    #[error(
        "`{}` has schema {found} and could not be brought up to {known}: {why}; it was left as it was; see to the cause and \
         open it again, or open it with a program of its own age", path.display()
    )]
    NotBroughtUp {
        /// The database file.
        path: PathBuf,
        /// Its schema version.
        found: i64,
        /// The version of this program.
        known: i64,
        /// What went wrong.
        why: Box<Fault>,
    },
    /// What kept one step of bringing an older catalogue up to date from being done.
    #[error("at the step to schema {step}: {why}")]
    AtStep {
        /// The schema that the step leads to.
        step: i64,
        /// What went wrong.
        why: Box<Fault>,
    },
    /// No such piece.
    #[error("there is no piece `{number}`{}", nearest(.near.as_deref()))]
    NoPiece {
        /// The number asked for.
        number: String,
        /// The most alike number that exists.
        near: Option<String>,
    },
    /// A record names something that does not exist, or breaks a rule.
    #[error("{0}")]
    Refused(String),
    /// Long work was told to stop, and left nothing half done.
    #[error("it was stopped before its end")]
    Stopped,
    /// A search cannot be read.
    #[error("{0}")]
    Asked(#[from] crate::query::Mistake),
    /// Reading or writing a file failed.
    #[error("cannot {doing} `{}`: {cause}", path.display())]
    Io {
        /// What was tried: `write`, `read`.
        doing: &'static str,
        /// The file.
        path: PathBuf,
        /// The cause.
        cause: std::io::Error,
    },
    /// The database library refused.
    #[error("{}", database_words(.0))]
    Database(#[from] rusqlite::Error),
    /// A stored value could not be read back.
    #[error("a stored record cannot be read: {0}; run `dimity check`")]
    Unreadable(String),
}

impl Fault {
    /// Whether there is no room on the disk, or none that this user may have.
    pub fn is_full_disk(&self) -> bool {
        match self {
            Self::Io { cause, .. } => is_full_disk(cause),
            Self::Database(e) => e.sqlite_error_code() == Some(rusqlite::ErrorCode::DiskFull),
            _ => false,
        }
    }
}

fn nearest(near: Option<&str>) -> String {
    near.map(|n| format!("; did you mean `{n}`?")).unwrap_or_default()
}

fn database_words(e: &rusqlite::Error) -> String {
    use rusqlite::ErrorCode;
    match e.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => "the disk is full; nothing was changed; free some space and try again".into(),
        Some(ErrorCode::ReadOnly) => {
            "the catalogue cannot be written: the file or its folder is read-only; nothing was changed".into()
        }
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
            "another program is writing to this catalogue; nothing was changed; try again when it has finished".into()
        }
        Some(ErrorCode::SystemIoFailure) => {
            format!(
                "the disk does not let the catalogue be read or written ({e}): it may be full or failing; nothing was changed"
            )
        }
        Some(ErrorCode::ConstraintViolation) => format!("the catalogue refuses this record: {e}; nothing was changed"),
        _ => format!("the catalogue database says: {e}; nothing was changed"),
    }
}

/// The result of asking the catalogue.
pub type Result<T> = std::result::Result<T, Fault>;

/// Turns an IO error into one that names its file.
pub fn io(doing: &'static str, path: impl Into<PathBuf>) -> impl FnOnce(std::io::Error) -> Fault {
    let path = path.into();
    move |cause| Fault::Io { doing, path, cause }
}
