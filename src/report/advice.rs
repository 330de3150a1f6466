//! The state of the whole, hazards with their cautions, advice and treatment.

use serde::Serialize;

use super::words::{Facts, amount, bracketed, capital, day, joined, known, quoted, term, text};
use crate::analysis::hazards::{DEFER, HEADING, Pointer, suggest};
use crate::record::condition::{Hazard, Overall};
use crate::record::treatment::Treatment;
use crate::record::{Examination, Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

/// A word of judgement and its written meaning.
#[derive(Debug, Serialize)]
pub(super) struct Graded {
    pub label: &'static str,
    /// Blank if not recorded.
    pub word: String,
    pub definition: String,
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

/// One treatment, from proposal to after-care.
#[derive(Debug, Serialize)]
pub(super) struct Cure {
    pub title: String,
    /// `proposed`, `agreed`, `undertaken`.
    pub stage: &'static str,
    pub facts: Facts,
    pub steps: Vec<CureStep>,
    pub hours: String,
    pub materials: Vec<String>,
}

/// One step of a treatment.
#[derive(Debug, Serialize)]
pub(super) struct CureStep {
    pub date: String,
    pub done: String,
    pub by: String,
    pub hours: String,
}

pub(super) fn cures(list: &[Treatment]) -> Vec<Cure> {
    list.iter().map(cure).collect()
}

fn cure(t: &Treatment) -> Cure {
    let done = !t.steps.is_empty() || t.result.is_some();
    let stage = match (done, t.consent_by.is_some() || t.consent_on.is_some()) {
        (true, _) => "undertaken",
        (false, true) => "agreed, not undertaken",
        (false, false) => "proposed",
    };
    let signed = |who: Option<&String>, when| joined([text(who), day(when)], ", ");
    let mut facts = Facts::default()
        .say("Proposed by", signed(t.proposed_by.as_ref(), t.proposed_on))
        .say("Aims", text(t.aims.as_ref()))
        .say("Proposal", text(t.proposal.as_ref()))
        .say("Risks", text(t.risks.as_ref()))
        .may_say("Hours expected", amount(t.hours_expected.as_ref()))
        .say("Consent", signed(t.consent_by.as_ref(), t.consent_on))
        .may_say("Shown for consent", text(t.consent_shown.as_ref()));
    if done {
        facts = facts
            .say("Departures from the proposal", text(t.departures.as_ref()))
            .say("Result", text(t.result.as_ref()))
            .say("After-care", text(t.after_care.as_ref()));
    }
    let step = |s: &crate::record::treatment::TreatmentStep| CureStep {
        date: day(s.date),
        done: text(s.done.as_ref()),
        by: text(s.by.as_ref()),
        hours: s.hours.as_ref().map(|h| h.as_written.clone()).unwrap_or_default(),
    };
    let material = |m: &crate::record::treatment::Material| {
        let lot = text(m.lot.as_ref());
        let lot = if lot.is_empty() { "lot not recorded".to_owned() } else { format!("lot {lot}") };
        bracketed(&text(m.material.as_ref()), &joined([text(m.supplier.as_ref()), lot, text(m.amount.as_ref())], ", "))
    };
    Cure {
        title: capital(&text(t.title.as_ref())),
        stage,
        facts,
        hours: hours(t.steps.iter().filter_map(|s| s.hours.as_ref())),
        steps: t.steps.iter().map(step).collect(),
        materials: t.materials.iter().map(material).collect(),
    }
}

/// The sum of hours: `41.5 h in 12 entries`; blank if none is recorded.
pub(super) fn hours<'a>(list: impl Iterator<Item = &'a crate::measure::Quantity>) -> String {
    let (n, sum) = list.fold((0, 0.0), |(n, sum), q| (n + 1, sum + q.value));
    let entries = if n == 1 { "entry" } else { "entries" };
    if n == 0 { String::new() } else { format!("{} h in {n} {entries}", (sum * 100.0).round() / 100.0) }
}
