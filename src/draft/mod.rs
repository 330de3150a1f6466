//! Drafts: an examination in progress, kept on disk until it is entered. Works on files alone and knows nothing of the
//! database; a line is a text here, and what it means is read elsewhere ([`crate::exchange::line`]).
//!
//! Layout below the catalogue folder: `drafts/<id>.json`, a file a sitting. Each change is written beside, synced to the
//! disk and renamed before it is acknowledged, so that a kill, a power cut or a full disk leaves the draft as it was before
//! the change or after it; it carries its own checksum (`sum`). Old lists that are being brought in wait beside them ([`Lists`]). Drafts are no part of the record and of its journal.

mod lists;
mod store;
mod strays;
mod strokes;
mod sum;

use serde::{Deserialize, Serialize};

pub use lists::{ComingList, KeptList, ListFault, Lists, TakenIn, Trial};
pub use store::{DraftFault, Drafts};
pub use strays::{Stray, strays};

/// What a file among the drafts holds.
enum Holds<'n> {
    /// Nothing: whoever writes there holds it.
    Turn,
    /// A draft.
    Draft,
    /// What was decided about an old list.
    Decided,
    /// The bytes of the old list with this SHA-256.
    List(&'n str),
}

/// What the file at this path holds, below the folder of the drafts; none if it is not theirs.
fn holds(path: &str) -> Option<Holds<'_>> {
    match path.split_once('/') {
        None if path == store::TURN => Some(Holds::Turn),
        None => store::id_in(path).map(|_| Holds::Draft),
        Some((lists::ROOM, store::TURN)) => Some(Holds::Turn),
        Some((lists::ROOM, file)) => lists::sha256_in(file, "json")
            .map(|_| Holds::Decided)
            .or_else(|| lists::sha256_in(file, "list").map(Holds::List)),
        Some(_) => None,
    }
}

/// The same, of a path below the catalogue folder.
fn holds_in_all(path: &str) -> Option<Holds<'_>> {
    holds(path.strip_prefix(store::ROOM)?.strip_prefix('/')?)
}

/// How the bytes of a file of drafts are proved by the checksum in it, if `name` is the path of one below the catalogue
/// folder: what is wrong with them is said in words.
pub(crate) fn proof(name: &str) -> Option<fn(&[u8]) -> Result<(), String>> {
    fn proved<T: serde::de::DeserializeOwned>(bytes: &[u8]) -> Result<(), String> {
        sum::read::<T>(bytes).map(drop)
    }
    match holds_in_all(name)? {
        Holds::Draft => Some(proved::<Draft>),
        Holds::Decided => Some(proved::<KeptList>),
        Holds::List(_) | Holds::Turn => None,
    }
}

/// The SHA-256 by which the bytes of an old list are named, if this is the path of such a file below the catalogue folder.
pub(crate) fn named_for(name: &str) -> Option<&str> {
    match holds_in_all(name)? {
        Holds::List(sha256) => Some(sha256),
        Holds::Draft | Holds::Decided | Holds::Turn => None,
    }
}

/// The names of the JSON files of a folder without their endings, in order; none where there is no folder.
fn names(folder: &std::path::Path) -> std::io::Result<Vec<String>> {
    let entries = match std::fs::read_dir(folder) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries?,
    };
    let names = entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.filter_map(|name| name.strip_suffix(".json").map(str::to_owned)).collect();
    names.sort();
    Ok(names)
}

/// An examination in progress.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Draft {
    /// Its identifier, a UUID.
    pub id: String,
    /// Goes up with every change; who changes a draft says which version they saw.
    pub version: u64,
    /// The message that changed it last: its window, and which of its messages it was. Sent again, it is not done twice.
    pub window: String,
    /// Accession number of the piece.
    pub number: String,
    /// Whether the piece was in the catalogue when the draft began.
    pub known: bool,
    /// The kind of garment, whose dimensions and components are expected.
    pub garment: Option<String>,
    /// Who began it.
    pub by: String,
    /// When, in UTC.
    pub began: String,
    /// Why something recorded is corrected.
    pub reason: String,
    /// The observations that stood in the record when it began, or that its writer has been shown since.
    pub seen: Vec<String>,
    /// The lines, piece and circumstances first.
    pub lines: Vec<DraftLine>,
    /// What is being written and is no line yet.
    pub typed: String,
    /// The line that it is to replace.
    pub typed_for: Option<u64>,
    /// The key of the next line.
    pub next: u64,
    /// What was done, oldest first.
    pub past: Vec<Stroke>,
    /// What was undone, the next to be done again last.
    pub future: Vec<Stroke>,
    /// What became of it, once it was entered.
    pub entered: Option<Receipt>,
    /// The piece that it brought was withdrawn when it was taken back, and comes back when it is entered again.
    pub withdrew: bool,
    /// It was put aside, and can be taken up again.
    pub aside: bool,
}

/// One line.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct DraftLine {
    /// Names it within the draft.
    pub key: u64,
    /// What is written.
    pub text: String,
    /// The record that it corrects.
    pub id: Option<String>,
    /// That record as it stood when the line was begun, as a line.
    pub base: Option<String>,
}

/// A change of the list of lines, which can be undone.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Stroke {
    /// The line before it, and its place; none if it was added.
    pub before: Option<(usize, DraftLine)>,
    /// The line after it; none if it was removed.
    pub after: Option<(usize, DraftLine)>,
}

/// What was entered from a draft, so that it can be taken back.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Receipt {
    /// When, in UTC.
    pub at: String,
    /// In words: `new piece, 14 added`.
    pub what: String,
    /// A row of the journal that tells of it; none where nothing new was entered.
    pub row: Option<i64>,
}
