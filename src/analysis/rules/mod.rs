//! Rules written as data, held against the record of a piece: what they ask for, and the lines that met it.
//!
//! A rule names years and clauses. Each clause must be met by one recorded line at least: by a term, a word, a colour in
//! words or a colour reading. What is not recorded meets no clause, save the date: a piece without one may be of any year.
//! Every match keeps its reasons in words, so that a reader can judge it.

mod conditions;
mod phrase;
mod things;

pub use conditions::{Clause, Conditions, LabRegion};
pub use phrase::Phrase;
pub use things::{Thing, things};

use crate::dating::Interval;
use crate::record::PieceFile;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// What rules are held against: the lines of a piece, its years, and whether anything was added later.
pub struct Evidence<'a> {
    /// The recorded lines.
    pub things: Vec<Thing>,
    vocabulary: &'a Vocabulary,
    years: Interval,
    written: String,
    altered: bool,
}

/// Signs that matter of a later time may have come to the piece.
const ADDED: [&str; 6] =
    ["added panel", "replaced lining", "replaced fastening", "replaced part", "patch", "adapted for display"];

impl<'a> Evidence<'a> {
    /// Reads a record once, for all rules.
    pub fn of(file: &PieceFile, vocabulary: &'a Vocabulary) -> Self {
        let date = file.piece.date.as_ref();
        let things = things(file);
        let added = ADDED.map(|sign| TermId::new(Scheme::Sign, sign));
        Self {
            altered: things.iter().any(|thing| added.iter().any(|sign| thing.names(sign, vocabulary).is_some())),
            things,
            vocabulary,
            years: date.map_or(Interval::new(None, None), crate::dating::Dated::interval),
            written: date.map(|d| d.as_written.clone()).unwrap_or_default(),
        }
    }

    /// The reasons why the conditions hold; none where they do not.
    pub fn meets(&self, conditions: &Conditions) -> Option<Vec<String>> {
        let mut reasons = self.date(conditions)?;
        if conditions.together {
            let of_one = |thing: &Thing| {
                let one = std::slice::from_ref(thing);
                conditions.all.iter().map(|clause| clause.met(one, self.vocabulary).into_iter().next()).collect()
            };
            reasons.extend(self.things.iter().find_map(of_one).map(|found: Vec<String>| found)?);
        } else {
            for clause in &conditions.all {
                let found = clause.met(&self.things, self.vocabulary);
                if found.is_empty() {
                    return None;
                }
                reasons.extend(found);
            }
        }
        let mut seen = Vec::new();
        reasons.retain(|reason| {
            !seen.contains(reason) && {
                seen.push(reason.clone());
                true
            }
        });
        Some(reasons)
    }

    /// Why the years allow it: an empty list where the rule asks for none, nothing at all where they gainsay it.
    fn date(&self, conditions: &Conditions) -> Option<Vec<String>> {
        let asked = Interval::new(conditions.from, conditions.to);
        if asked.is_undated() {
            return Some(Vec::new());
        }
        let asked_in_words = match (conditions.from, conditions.to) {
            (None, Some(to)) => format!("the years up to {to}"),
            _ => asked.to_string(),
        };
        if self.years.is_undated() {
            let why = if self.written.is_empty() { "date not recorded" } else { "the date names no year" };
            return Some(vec![format!("{why}, which counts as possible ({asked_in_words})")]);
        }
        if self.years.overlaps(asked) {
            return Some(vec![format!("date {} overlaps {asked_in_words}", self.years)]);
        }
        let before = self.years.latest.zip(conditions.from).is_some_and(|(latest, from)| latest < from);
        (before && self.altered).then(|| {
            vec![format!(
                "date {} is earlier than {asked_in_words}, but something added or replaced is recorded, which may be later",
                self.years
            )]
        })
    }
}
