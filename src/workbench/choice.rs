//! Lines of a list to choose from, in the forms of pages.

use serde::Serialize;

use crate::record::PieceFile;
use crate::report;
use crate::vocabulary::{Scheme, Term, Vocabulary};

/// A line of a list to choose from.
#[derive(Debug, Serialize)]
pub(super) struct Choice {
    value: String,
    words: String,
    chosen: bool,
}

impl Choice {
    /// With its words; chosen if it is the one that was.
    pub fn of(value: &str, words: impl Into<String>, chosen: &str) -> Self {
        Self { chosen: chosen == value, value: value.to_owned(), words: words.into() }
    }

    /// A fixed list: what is sent, and what is read.
    pub fn list(list: &[(&str, &str)], chosen: &str) -> Vec<Self> {
        list.iter().map(|(value, words)| Self::of(value, *words, chosen)).collect()
    }

    /// Whether it is the one that was chosen.
    pub fn is_chosen(&self) -> bool {
        self.chosen
    }

    /// The terms of a scheme, with their identifiers where they have any.
    pub fn terms(vocabulary: &Vocabulary, scheme: Scheme, chosen: &str) -> Vec<Self> {
        let choice = |term: &Term| {
            let name = term.id.name();
            let known = term.identifier.as_ref().filter(|known| known.as_str() != name);
            Self::of(name, known.map_or(name.to_owned(), |known| format!("{name} ({known})")), chosen)
        };
        vocabulary.terms(scheme).map(choice).collect()
    }

    /// The days of a piece's examinations, the latest first.
    pub fn examinations(file: &PieceFile, chosen: &str) -> Vec<Self> {
        let days = file.examinations.iter().rev().filter_map(|exam| exam.about.date);
        days.map(|day| Self::of(&day.to_string(), report::day(Some(day)), chosen)).collect()
    }

    /// The components of a piece.
    pub fn components(file: &PieceFile, chosen: &str) -> Vec<Self> {
        file.components.iter().filter_map(|c| c.name.as_deref()).map(|name| Self::of(name, name, chosen)).collect()
    }
}
