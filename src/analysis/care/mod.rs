//! Care worked out from the record: storage, padding, handling, light, air, the size of a box and of a mannequin, and how
//! long the piece may still be shown this year. Every line names why and its source, and its keeper may overrule it.

mod display;
mod light;
mod rules;
mod sizes;

pub use display::{Shown, shown};
pub use light::{Class, class};
pub use sizes::{Inside, Mannequin, box_for, mannequin};

use jiff::civil::Date;
use serde::Serialize;

use super::hazards::is_matter;
use super::rules::Evidence;
use crate::record::PieceFile;
use crate::record::care::{Overrule, TOPICS};
use crate::vocabulary::Vocabulary;

/// What is advised on one topic.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// One of [`TOPICS`].
    pub topic: &'static str,
    /// What the program advises, a line at least.
    pub lines: Vec<Line>,
    /// What is done instead, where the keeper decided so.
    pub overruled: Option<Overrule>,
}

/// One line of advice.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Line {
    /// The advice.
    pub text: String,
    /// What in the record it follows from; empty where it holds for every piece.
    pub because: Vec<String>,
    /// What it rests on.
    pub source: String,
    /// Whether it is a caution for people, which no decision of the keeper takes the place of.
    pub caution: bool,
}

impl Line {
    pub(super) fn new(text: impl Into<String>, because: Vec<String>, source: impl Into<String>) -> Self {
        Self { text: text.into(), because, source: source.into(), caution: false }
    }
}

/// Advice on each topic, in the order of [`TOPICS`], as things stand on a day. A pattern and a picture get none: they are
/// records of something else.
pub fn advise(file: &PieceFile, vocabulary: &Vocabulary, today: Date) -> Vec<Advice> {
    if !is_matter(file) {
        return Vec::new();
    }
    let evidence = Evidence::of(file, vocabulary);
    let class = class(file, vocabulary);
    let lines = |topic: &str| match topic {
        "light" => vec![light::allowance(&class)],
        "ultraviolet" => light::ultraviolet(file),
        "display" => display::display(file, &class, today),
        "box" => sizes::box_lines(file, vocabulary),
        "mannequin" => sizes::mannequin_lines(file, vocabulary),
        _ => rules::lines(topic, &evidence),
    };
    TOPICS
        .iter()
        .map(|topic| Advice { topic, lines: lines(topic), overruled: overruled(file, topic).cloned() })
        .filter(|advice| !advice.lines.is_empty() || advice.overruled.is_some())
        .collect()
}

/// The latest decision on a topic: by its day, among those of one day the one written last.
pub(super) fn overruled<'a>(file: &'a PieceFile, topic: &str) -> Option<&'a Overrule> {
    let on_topic = file.overrules.iter().filter(|o| o.topic.as_deref() == Some(topic));
    on_topic.max_by_key(|o| o.date)
}

#[cfg(test)]
mod tests;
