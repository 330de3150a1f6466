//! The catalogue: one SQLite file in a folder with its photographs. All SQL of the program is in this room.

mod accounts;
mod belonging;
mod bring_up;
mod change;
mod check;
mod collection;
mod comparisons;
mod consents;
mod conventions;
mod copy;
mod drawings;
mod earlier;
mod enter;
mod facts;
mod fault;
mod finding;
mod flat;
mod import;
mod journal;
mod last;
mod moment;
mod naming;
mod open;
mod password;
mod photographs;
mod purge;
mod read;
mod registrations;
mod replay;
mod reversal;
mod seals;
mod survey;
mod tables;
mod targets;
mod terms;
mod ties;
mod undrawn;
mod withdrawal;
mod wordings;

pub use accounts::Credentials;
pub use bring_up::BroughtUp;
pub use change::{Change, Row};
pub use check::Finding;
pub use collection::Collection;
pub use comparisons::{Keeping, Kept, KeptDeparture};
pub use copy::clear_beside;
pub use drawings::NewRegion;
pub use earlier::FactChange;
pub use enter::{Entered, Intent, Sealed};
pub use fault::{Fault, Result, io};
pub use finding::{Ask, Facet, FacetValue, Facets, Found, Hits, KeptSearch, Order, Recall};
pub use import::{Imported, Incoming};
pub use journal::{JournalLeaf, JournalRow};
pub use last::Last;
pub use moment::Steady;
pub(crate) use open::UNFINISHED_ENDING;
pub use open::{APPLICATION_ID, Clock, FILE, SCHEMA_VERSION};
pub use photographs::{Added, NewPhotograph, Original};
pub use purge::Purge;
pub use read::Line;
pub use replay::{Moment, replay};
pub use reversal::{Extent, Reversible, TakenBack};
pub use seals::{Fate, NewSeal, Revision, Seal};
pub use tables::{Chosen, Column, Content, Table, tables};
pub use targets::Named;
pub use ties::{Amend, PhotographCorrection, PutRight, Untied};
pub use undrawn::Removed;
pub use withdrawal::Withdrawal;

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use crate::vocabulary::Vocabulary;

/// An open catalogue.
pub struct Catalogue {
    folder: PathBuf,
    db: rusqlite::Connection,
    vocabulary: Vocabulary,
    clock: Clock,
    brought_up: Option<BroughtUp>,
    /// What was found before, while the catalogue stands as it did.
    recall: Recall,
}

impl Catalogue {
    /// The folder that holds it.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The shipped terms and the collection's own.
    pub fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }
}

/// What is kept here, which is made now if it is not there yet. Should two make it at once, both are the same.
fn once<T>(kept: &OnceLock<T>, make: impl FnOnce() -> Result<T>) -> Result<&T> {
    match kept.get() {
        Some(there) => Ok(there),
        None => make().map(|made| kept.get_or_init(|| made)),
    }
}
