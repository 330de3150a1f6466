//! Candidates for a cloth, nearest first, each with a bar that shows what drives its distance.

use serde::Serialize;

use crate::analysis::comparison::{self, Candidate, Nearest};
use crate::report::words::joined;

/// Shares below this are drawn together as the rest.
const LEAST: f64 = 0.05;

/// One cloth that is looked for, and its candidates.
#[derive(Debug, Serialize)]
pub(super) struct Cloth {
    pub wanted: String,
    pub properties: usize,
    pub without: usize,
    pub near: Vec<Ranked>,
    /// Of which too little is recorded to rank with the others.
    pub sparse: Vec<Ranked>,
}

/// One candidate.
#[derive(Debug, Serialize)]
pub(super) struct Ranked {
    pub number: String,
    pub name: String,
    pub distance: String,
    pub compared: usize,
    /// Parts of the bar, the largest first.
    pub bar: Vec<Piece>,
    /// The bar in words.
    pub drives: Vec<String>,
}

/// One part of a bar.
#[derive(Debug, Serialize)]
pub(super) struct Piece {
    /// Where it begins, and how long it is, in per cent of the longest bar.
    pub at: String,
    pub length: String,
    /// From dark to light, so that neighbours are told apart in grey.
    pub shade: usize,
}

pub(super) fn of(found: &Nearest) -> Cloth {
    let longest = found.candidates.iter().map(|c| c.distance).fold(0.0, f64::max);
    let (near, sparse): (Vec<_>, Vec<_>) = found.candidates.iter().partition(|c| c.enough);
    let ranked = |list: Vec<&Candidate>| list.into_iter().map(|c| ranked(c, longest)).collect();
    Cloth {
        wanted: joined([found.wanted.number.clone(), named(&found.wanted)], ", "),
        properties: found.properties,
        without: found.without,
        near: ranked(near),
        sparse: ranked(sparse),
    }
}

fn named(cloth: &comparison::Cloth) -> String {
    joined([&cloth.component, &cloth.role, &cloth.name].map(Clone::clone), ", ")
}

fn ranked(candidate: &Candidate, longest: f64) -> Ranked {
    let length = if longest > 0.0 { 100.0 * candidate.distance / longest } else { 0.0 };
    let shown = candidate.parts.iter().filter(|part| part.share >= LEAST);
    let mut at = 0.0;
    let mut bar = Vec::new();
    let rest = 1.0 - shown.clone().map(|part| part.share).sum::<f64>();
    let rest = (rest > 0.005 && length > 0.0).then_some(rest);
    for (place, share) in shown.clone().map(|part| part.share).chain(rest).enumerate() {
        let wide = share * length;
        bar.push(Piece { at: format!("{at:.2}"), length: format!("{wide:.2}"), shade: place % 4 });
        at += wide;
    }
    let words = |part: &comparison::Part| {
        let share = 100.0 * part.share;
        format!("{} {} for {} ({share:.0} %)", part.property, part.found, part.wanted)
    };
    Ranked {
        number: candidate.cloth.number.clone(),
        name: joined([candidate.cloth.piece.clone(), named(&candidate.cloth)], ": "),
        distance: format!("{:.2}", candidate.distance),
        compared: candidate.compared,
        drives: shown.map(words).collect(),
        bar,
    }
}
