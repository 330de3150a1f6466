//! What is still to be looked at: the dimensions and components of the kind of garment, and the damage seen last time.

use serde::Serialize;

use super::records::records;
use crate::draft::Draft;
use crate::exchange::line::{self, Words, Written};
use crate::record::PieceFile;
use crate::vocabulary::{Scheme, TermId};

/// One thing to look at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Expected {
    /// What it is called: `bust girth`.
    pub name: String,
    /// What kind of thing: `dimension`, `component`, `damage`.
    pub kind: &'static str,
    /// How it is taken, or what was found last time.
    pub help: String,
    /// The beginning of its line.
    pub line: String,
    /// Whether the draft has it already.
    pub done: bool,
}

/// What to look at on this piece, in the order of the vocabulary; damage seen last time first.
pub fn expected(draft: &Draft, file: Option<&PieceFile>, words: &Words<'_>) -> Vec<Expected> {
    let recorded = super::recorded(draft, file, words);
    let texts = draft.lines.iter().map(|l| &l.text).chain(recorded.iter().map(|r| &r.line));
    let read: Vec<_> = texts.map(|text| line::read(text, None, words)).collect();
    let said = |field: &str| -> Vec<String> {
        let texts = read.iter().flat_map(line::Line::written).filter(|w| w.field == field);
        texts.flat_map(|w| w.texts).collect()
    };
    // Whoever goes on with an examination has its notes before them already.
    let mut list = if recorded.is_empty() { last_notes(file, &said("continues"), words) } else { Vec::new() };
    let known = file.and_then(|f| f.piece.garment.clone());
    let named = read.iter().filter(|l| l.section.is_some_and(|s| s.name == "piece")).flat_map(line::Line::written);
    let named = named.filter(|w| w.field == "garment").flat_map(|w| w.texts).next().or_else(|| draft.garment.clone());
    let garment = match named {
        Some(name) => words.vocabulary.known(Scheme::Garment, &name),
        None => known.and_then(|id| words.vocabulary.get(&id)),
    };
    let Some(garment) = garment else { return list };
    let taken = said("dimension");
    let is_taken = |name: &str| {
        let of = |text: &String| words.vocabulary.known(Scheme::Dimension, text).map(crate::vocabulary::Term::name);
        taken.iter().filter_map(of).any(|t| t == name)
    };
    for name in &garment.components {
        list.push(Expected {
            name: name.clone(),
            kind: "component",
            help: String::new(),
            line: format!("component: {name}"),
            done: words.components.iter().any(|c| c.eq_ignore_ascii_case(name)),
        });
    }
    for name in &garment.dimensions {
        let term = words.vocabulary.get(&TermId::new(Scheme::Dimension, name));
        list.push(Expected {
            name: name.clone(),
            kind: "dimension",
            help: term.map(|t| t.how.clone().unwrap_or_else(|| t.definition.clone())).unwrap_or_default(),
            line: format!("{name} "),
            done: is_taken(name),
        });
    }
    list
}

/// The condition notes of the last examination: each to be looked at again. What was found then is said beside it and
/// not filled in, since a figure that is only left standing would count as seen again.
fn last_notes(file: Option<&PieceFile>, continued: &[String], words: &Words<'_>) -> Vec<Expected> {
    let Some(file) = file else { return Vec::new() };
    let last =
        PieceFile { examinations: file.examinations.last().cloned().into_iter().collect(), ..PieceFile::default() };
    let notes = records(&last).into_iter().filter(|r| r.section.name == "condition");
    let again = |record: super::records::Record| {
        let id = record.id?;
        let text = |field: &str| super::text_of(&record.written, field);
        let kept = |w: &&Written| matches!(w.field, "component" | "damage" | "place" | "cause");
        let mut next: Vec<Written> = record.written.iter().filter(kept).cloned().collect();
        next.push(Written { field: "continues", texts: vec![id.clone()], rows: Vec::new() });
        let told = ["extent", "severity", "activity"].into_iter().filter_map(text).collect::<Vec<_>>().join(", ");
        let place = [text("component"), text("place")].into_iter().flatten().collect::<Vec<_>>().join(", ");
        Some(Expected {
            name: [text("damage"), Some(place).filter(|p| !p.is_empty())]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(", "),
            kind: "damage",
            help: if told.is_empty() { "seen last time".into() } else { format!("last time {told}") },
            line: line::text(record.section, &next, words) + "; ",
            done: continued.contains(&id),
        })
    };
    notes.filter_map(again).collect()
}
