//! What was found before, kept in memory as long as the catalogue stands as it did: sets of pieces, orders, columns.
//!
//! Twenty people who look through ten thousand pieces ask much the same. Only the part of a question that is new is asked of
//! the database; the rest is a matter of microseconds.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, OnceLock};

use rusqlite::{Connection, OptionalExtension};

use super::super::{Catalogue, Result, journal};
use super::facets::{Columns, Terms};
use super::index::EVERY;
use super::leaves::Asking;
use super::pieces::Pieces;

/// What was found before. Connections to one catalogue share it, each a clone.
#[derive(Clone, Default)]
pub struct Recall(Arc<Mutex<Option<Arc<State>>>>);

/// One state of the catalogue, and what was found while it stood.
pub(super) struct State {
    name: String,
    /// The pieces that can be found.
    pub all: Pieces,
    /// Sets by their question.
    pub sets: Before<Pieces>,
    /// Row numbers in an order, by the question for it.
    pub orders: Before<Vec<i64>>,
    /// The terms that pieces are counted by.
    pub terms: OnceLock<Terms>,
    /// What else they are counted by.
    pub columns: OnceLock<Columns>,
}

/// Answers by their questions, up to a bound.
#[derive(Default)]
pub(super) struct Before<T>(Mutex<(HashMap<String, Arc<T>>, usize)>);

/// Bytes of answers that are kept; then it begins anew.
const MOST: usize = 32 << 20;

impl<T> Before<T> {
    /// The answer, which is made and kept if this was not asked before.
    pub fn get(&self, question: String, bytes: fn(&T) -> usize, ask: impl FnOnce() -> Result<T>) -> Result<Arc<T>> {
        if let Some(known) = self.0.lock().ok().and_then(|kept| kept.0.get(&question).cloned()) {
            return Ok(known);
        }
        // Without holding the others up; should two ask the same at once, both answers are the same.
        let answer = Arc::new(ask()?);
        if let Ok(mut kept) = self.0.lock() {
            let weight = bytes(&answer) + question.len() + 64;
            if kept.1 + weight > MOST {
                *kept = Default::default();
            }
            kept.1 += weight;
            kept.0.insert(question, answer.clone());
        }
        Ok(answer)
    }
}

impl Catalogue {
    /// The same catalogue, sharing what is found with others that are open.
    #[must_use]
    pub fn sharing(self, recall: &Recall) -> Self {
        Self { recall: recall.clone(), ..self }
    }

    /// Asks the index in one state of the catalogue.
    pub(super) fn asking<T>(&self, ask: impl FnOnce(&mut Asking<'_>) -> Result<T>) -> Result<T> {
        self.at_once(|| ask(&mut Asking::new(&self.db, &*self.state()?)))
    }

    fn state(&self) -> Result<Arc<State>> {
        let name = name(&self.db)?;
        let known = |held: &Option<Arc<State>>| held.as_ref().filter(|state| state.name == name).cloned();
        if let Some(state) = self.recall.0.lock().ok().and_then(|held| known(&held)) {
            return Ok(state);
        }
        let all = super::leaves::under(&self.db, EVERY)?;
        let (sets, orders, terms, columns) = Default::default();
        let state = Arc::new(State { name, all, sets, orders, terms, columns });
        if let Ok(mut held) = self.recall.0.lock() {
            *held = Some(state.clone());
        }
        Ok(state)
    }
}

/// Each state has a name of its own: the hash of the journal's last row covers all before it. How often the index was made
/// anew stands beside it, which is no change to a record.
fn name(db: &Connection) -> Result<String> {
    let made: Option<String> =
        db.prepare_cached("SELECT value FROM setting WHERE name = ?")?.query_row([MADE], |r| r.get(0)).optional()?;
    Ok(format!("{} {}", journal::last_hash(db)?, made.unwrap_or_default()))
}

/// The setting that counts how often the index was made anew.
pub(super) const MADE: &str = "finding made";
