//! The state of the whole, hazards with their cautions, and advice.

use serde::Serialize;

use super::words::{Facts, known, quoted, rounded_hours, term, text};
use crate::analysis::hazards::{DEFER, HEADING, Pointer, suggest};
use crate::record::condition::{Hazard, Overall};
use crate::record::{Examination, Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

/// A word of judgement and its written meaning.
#[derive(Debug, Serialize)]
pub(super) struct Graded {
    pub label: &'static str,
    /// Blank if not recorded.
    pub word: String,
    pub definition: String,
    /// That the wording is the collection's own, and since when; blank for the shipped one.
    pub own: String,
}

/// The state of the piece as a whole.
#[derive(Debug, Default, Serialize)]
pub(super) struct Whole {
    pub grades: Vec<Graded>,
    pub statement: String,
    pub note: String,
    pub interpretation: String,
    /// Blank if there is no overall statement.
    pub known: String,
    pub advice: Facts,
}

/// The overall statement of an examination that stands.
pub(super) fn overall(exam: &Examination) -> Option<&Observed<Overall>> {
    exam.overall.iter().rev().find(|o| o.withdrawn.is_none())
}

/// The state of the whole.
pub(super) fn whole(exam: &Examination, vocabulary: &Vocabulary) -> Whole {
    let blank = Observed::<Overall>::default();
    let found = overall(exam);
    let o = found.unwrap_or(&blank);
    let graded = |label, id: Option<&TermId>| Graded {
        label,
        word: term(id),
        definition: id.map(|id| meaning(id, vocabulary)).unwrap_or_default(),
        own: id.and_then(|id| vocabulary.get(id)?.own_wording.clone()).unwrap_or_default(),
    };
    Whole {
        grades: vec![
            graded("Grade", o.what.grade.as_ref()),
            graded("Stability", o.what.stability.as_ref()),
            graded("Urgency", o.what.urgency.as_ref()),
        ],
        statement: text(o.what.statement.as_ref()),
        note: text(o.note.as_ref()),
        interpretation: text(o.interpretation.as_ref()),
        known: found.map(known).unwrap_or_default(),
        advice: Facts::default()
            .say("Handling", text(o.what.handling.as_ref()))
            .say("Storage", text(o.what.storage.as_ref()))
            .say("Light and display", text(o.what.display.as_ref())),
    }
}

fn meaning(id: &TermId, vocabulary: &Vocabulary) -> String {
    vocabulary.get(id).map_or("no definition in this vocabulary", |t| &t.definition).to_owned()
}

/// One hazard: never more than a possibility unless a test is named.
#[derive(Debug, Serialize)]
pub(super) struct Danger {
    pub name: String,
    pub definition: String,
    pub basis: String,
    /// The test, the tester and the date; blank means not tested.
    pub tested: String,
    /// Cautions for this piece, then the usual ones.
    pub own_caution: String,
    pub cautions: Vec<String>,
    pub avoid: Vec<String>,
    pub interpretation: String,
    pub note: String,
    pub known: String,
    /// Set if it was recorded in another examination than the one reported.
    pub from: String,
}

/// Every hazard recorded of the piece, by whichever examination: a caution does not lapse because a later visit was
/// silent, and it holds for an earlier one as well. The latest record of a hazard is the one printed.
pub(super) fn dangers(file: &PieceFile, at: usize, vocabulary: &Vocabulary) -> Vec<Danger> {
    let mut order: Vec<usize> = (0..file.examinations.len()).collect();
    order.sort_by_key(|i| (*i != at, std::cmp::Reverse(*i)));
    let mut found: Vec<(Option<&TermId>, Danger)> = Vec::new();
    for i in order {
        let exam = &file.examinations[i];
        for o in exam.hazards.iter().filter(|o| o.withdrawn.is_none()) {
            let id = o.what.hazard.as_ref();
            if id.is_none() || !found.iter().any(|(known, _)| *known == id) {
                let from = if i == at { String::new() } else { super::condition::whose(exam) };
                found.push((id, danger(o, from, vocabulary)));
            }
        }
    }
    found.into_iter().map(|(_, d)| d).collect()
}

/// Hazards that the record points to without naming them. Apart from [`Danger`], so that nobody takes one for the other.
#[derive(Debug, Serialize)]
pub(super) struct ToLookFor {
    pub heading: &'static str,
    pub list: Vec<Suggested>,
    /// The sentence that law and practice come first.
    pub defer: &'static str,
}

/// One hazard to look for.
#[derive(Debug, Serialize)]
pub(super) struct Suggested {
    pub name: String,
    pub definition: String,
    pub by: Vec<Pointed>,
    pub cautions: String,
    pub avoid: String,
}

/// One rule that points to it.
#[derive(Debug, Serialize)]
pub(super) struct Pointed {
    pub rule: &'static str,
    pub sentence: &'static str,
    pub because: String,
    pub source: &'static str,
}

/// What to look for, by the rules of the program.
pub(super) fn to_look_for(file: &PieceFile, vocabulary: &Vocabulary) -> ToLookFor {
    let pointed = |p: &Pointer| Pointed {
        rule: p.rule,
        sentence: p.sentence,
        because: quoted(&p.reasons.join("; ")),
        source: p.source,
    };
    let list = suggest(file, vocabulary).into_iter().map(|s| {
        let known = vocabulary.get(&s.hazard);
        Suggested {
            name: s.hazard.to_string(),
            definition: known.map(|t| t.definition.clone()).unwrap_or_default(),
            by: s.by.iter().map(pointed).collect(),
            cautions: known.map(|t| t.cautions.join(" ")).unwrap_or_default(),
            avoid: known.map(|t| t.avoid.join(" ")).unwrap_or_default(),
        }
    });
    ToLookFor { heading: HEADING, list: list.collect(), defer: DEFER }
}

fn danger(o: &Observed<Hazard>, from: String, vocabulary: &Vocabulary) -> Danger {
    let h = &o.what;
    let known_term = h.hazard.as_ref().and_then(|id| vocabulary.get(id));
    let name = term(h.hazard.as_ref());
    Danger {
        name: if name.is_empty() { "a hazard that is not named".to_owned() } else { name },
        definition: known_term.map(|t| t.definition.clone()).unwrap_or_default(),
        basis: text(h.basis.as_ref()),
        tested: text(h.tested.as_ref()),
        own_caution: text(h.caution.as_ref()),
        cautions: known_term.map(|t| t.cautions.clone()).unwrap_or_default(),
        avoid: known_term.map(|t| t.avoid.clone()).unwrap_or_default(),
        interpretation: text(o.interpretation.as_ref()),
        note: text(o.note.as_ref()),
        known: known(o),
        from,
    }
}

/// The sum of hours: `41.5 h in 12 entries`; blank if none is recorded.
pub(super) fn hours<'a>(list: impl Iterator<Item = &'a crate::measure::Quantity>) -> String {
    let (n, sum) = list.fold((0, 0.0), |(n, sum), q| (n + 1, sum + q.value));
    let entries = if n == 1 { "entry" } else { "entries" };
    if n == 0 { String::new() } else { format!("{} h in {n} {entries}", rounded_hours(sum)) }
}
