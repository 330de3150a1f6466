//! The tables of a comparison, one a group, and the signs that stand for a finding without colour.

use serde::Serialize;

use crate::analysis::comparison::{
    Explanation, Finding, Group, Line, Side, Standing, Verdict, difference_words, finding_words,
};

/// A sign and the words for it.
#[derive(Debug, Serialize)]
pub(super) struct Sign {
    pub name: &'static str,
    pub words: &'static str,
}

/// The four signs, in the order of the key.
pub(super) fn signs() -> Vec<Sign> {
    [
        ("agree", "agree: the difference and its uncertainty lie within the tolerance, or the terms are the same"),
        ("differ", "differ: the difference lies beyond the tolerance, or the terms are different"),
        ("unsure", "cannot be told: the uncertainty reaches across the limit, or the words differ in precision"),
        ("one", "recorded on one piece only: neither agreement nor difference"),
    ]
    .into_iter()
    .map(|(name, words)| Sign { name, words })
    .collect()
}

/// The name of the sign for a line.
pub(super) fn sign(line: &Line) -> &'static str {
    match line.verdict() {
        Some(Verdict::Agree) => "agree",
        Some(Verdict::Differ) => "differ",
        Some(Verdict::CannotTell) => "unsure",
        None => "one",
    }
}

/// One group of features.
#[derive(Debug, Serialize)]
pub(super) struct Table {
    pub title: String,
    /// Whether any line has figures, and so the columns for them.
    pub figures: bool,
    pub parts: Vec<Part>,
}

/// The features of one component.
#[derive(Debug, Serialize)]
pub(super) struct Part {
    pub component: String,
    pub rows: Vec<Row>,
}

/// One feature, as finished words.
#[derive(Debug, Serialize)]
pub(super) struct Row {
    pub feature: String,
    pub subject: Cell,
    pub other: Cell,
    pub difference: String,
    pub percent: String,
    pub sign: &'static str,
    pub finding: String,
    pub caveat: String,
    pub evidence: String,
    pub reasons: Vec<Explanation>,
}

/// What one piece records.
#[derive(Debug, Serialize)]
pub(super) struct Cell {
    pub words: String,
    /// The value in SI with its standard uncertainty, where that says more than the words.
    pub si: String,
    /// Nothing is recorded, or nothing is there: printed apart from what is written.
    pub blank: bool,
}

impl Cell {
    fn of(side: &Side) -> Self {
        Self {
            words: if side.value.is_some() { unbroken(side.words()) } else { side.words().to_string() },
            si: side.si().replace(' ', "\u{a0}"),
            blank: side.standing != Standing::Recorded,
        }
    }
}

/// Readings that break between one another and not before their unit.
fn unbroken(readings: &str) -> String {
    readings.replace(' ', "\u{a0}").replace(";\u{a0}", "; ")
}

/// What one piece records of a component and the other does not.
#[derive(Debug, Serialize)]
pub(super) struct Only {
    pub component: String,
    pub features: String,
}

/// Whether a line needs no row: only one piece records it, and no departure speaks of it.
fn aside(line: &Line) -> bool {
    line.verdict().is_none() && line.departures.is_empty()
}

/// What only the subject records, or only the other, by component: one line each in place of a row a feature.
pub(super) fn only(groups: &[Group], subject: bool) -> Vec<Only> {
    let mut list: Vec<Only> = Vec::new();
    let wanted = if subject { Finding::OnlySubject } else { Finding::OnlyOther };
    for line in groups.iter().flat_map(|g| &g.lines).filter(|l| aside(l) && l.finding == wanted) {
        let words = if subject { line.subject.words() } else { line.other.words() };
        let step = words.ends_with(&line.feature);
        let feature = if step || words == line.feature { words.into() } else { format!("{} {words}", line.feature) };
        match list.iter_mut().find(|o| o.component == line.component) {
            Some(known) => {
                known.features.push_str("; ");
                known.features.push_str(&feature);
            }
            None => list.push(Only { component: line.component.clone(), features: feature }),
        }
    }
    list
}

/// The lines of a group that both pieces record or that a departure names, gathered by component in the order in which components first appear.
pub(super) fn of(group: &Group) -> Table {
    let mut parts: Vec<Part> = Vec::new();
    for line in group.lines.iter().filter(|l| !aside(l)) {
        let row = row(line);
        match parts.iter_mut().find(|p| p.component == line.component) {
            Some(part) => part.rows.push(row),
            None => parts.push(Part { component: line.component.clone(), rows: vec![row] }),
        }
    }
    let figures = group.lines.iter().any(|l| matches!(l.finding, Finding::Number(_) | Finding::Colour(_)));
    Table { title: group.title.clone(), figures, parts }
}

fn row(line: &Line) -> Row {
    let (difference, percent) = difference_words(line);
    Row {
        feature: line.feature.clone(),
        subject: Cell::of(&line.subject),
        other: Cell::of(&line.other),
        difference,
        percent,
        sign: sign(line),
        finding: finding_words(line),
        caveat: line.caveat.clone().unwrap_or_default(),
        evidence: line.weakest_evidence.clone(),
        reasons: line.departures.clone(),
    }
}
