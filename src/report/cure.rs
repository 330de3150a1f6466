//! Treatments in brief, as condition report and catalogue entry print them; the page of one is in `treatment`.

use serde::Serialize;

use super::advice::hours;
use super::words::{Facts, amount, bracketed, capital, day, joined, text};
use crate::record::PieceFile;
use crate::record::seal::Seal;
use crate::record::treatment::{Material, Treatment, TreatmentStep};

/// One treatment, from proposal to after-care.
#[derive(Debug, Serialize)]
pub(super) struct Cure {
    pub title: String,
    /// `proposed`, `agreed`, `undertaken`.
    pub stage: String,
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

pub(super) fn cures(file: &PieceFile) -> Vec<Cure> {
    file.treatments.iter().map(|t| cure(t, file)).collect()
}

/// A name and a day: `Wren Askerdale, 15 March 2021`.
pub(super) fn signed(who: Option<&String>, when: Option<jiff::civil::Date>) -> String {
    joined([text(who), day(when)], ", ")
}

/// The number of a version, 1 for the first.
pub(super) fn version(t: &Treatment, file: &PieceFile) -> usize {
    t.before(&file.treatments).len() + 1
}

/// The latest version that follows this one at once, if there is one.
pub(super) fn next<'a>(t: &Treatment, file: &'a PieceFile) -> Option<&'a Treatment> {
    file.treatments.iter().rfind(|later| t.id.is_some() && later.proposal.follows == t.id)
}

/// Who took the consent back, when and why; blank if nobody did.
pub(super) fn withdrawn(t: &Treatment) -> String {
    let w = &t.withdrawal;
    joined(
        [signed(w.consent_withdrawn_by.as_ref(), w.consent_withdrawn_on), text(w.consent_withdrawn_why.as_ref())],
        ": ",
    )
}

/// How far a treatment has come, in a word or two.
pub(super) fn stage(t: &Treatment, file: &PieceFile) -> String {
    let c = &t.consent;
    let far = match (!t.steps.is_empty() || t.result.is_some(), c.consent_by.is_some() || c.consent_on.is_some()) {
        (true, _) => "undertaken",
        (false, true) => "agreed, not undertaken",
        (false, false) => "proposed",
    };
    let number = version(t, file);
    let number = if number > 1 { format!("version {number}") } else { String::new() };
    let next = if next(t, file).is_some() { "a later version follows" } else { "" };
    let withdrawn = if t.is_withdrawn() { "consent withdrawn" } else { "" };
    joined([far.to_owned(), withdrawn.to_owned(), number, next.to_owned()], "; ")
}

fn cure(t: &Treatment, file: &PieceFile) -> Cure {
    let done = !t.steps.is_empty() || t.result.is_some();
    let (p, c) = (&t.proposal, &t.consent);
    let sealed =
        if t.is_consented() { format!("sealed {}", Seal::of(file.number(), t).short()) } else { String::new() };
    let mut facts = Facts::default()
        .say("Proposed by", signed(p.proposed_by.as_ref(), p.proposed_on))
        .say("Aims", text(p.aims.as_ref()))
        .say("Proposal", text(p.proposal.as_ref()))
        .may_say("Not to be done", text(p.not_to_be_done.as_ref()))
        .say("Risks", text(p.risks.as_ref()))
        .may_say("Hours expected", amount(p.hours_expected.as_ref()))
        .say("Consent", joined([signed(c.consent_by.as_ref(), c.consent_on), sealed], "; "))
        .may_say("Consent withdrawn", withdrawn(t))
        .may_say("Shown for consent", text(c.consent_shown.as_ref()))
        .may_say("On condition", text(c.consent_conditions.as_ref()));
    if done {
        facts = facts
            .say("Departures from the proposal", text(t.departures.as_ref()))
            .say("Result", text(t.result.as_ref()))
            .say("After-care", text(t.after_care.as_ref()));
    }
    Cure {
        title: capital(&text(p.title.as_ref())),
        stage: stage(t, file),
        facts,
        hours: hours(t.steps.iter().filter_map(|s| s.hours.as_ref())),
        steps: steps(t),
        materials: t.materials.iter().map(material).collect(),
    }
}

/// What was done, row by row.
pub(super) fn steps(t: &Treatment) -> Vec<CureStep> {
    let step = |s: &TreatmentStep| CureStep {
        date: day(s.date),
        done: text(s.done.as_ref()),
        by: text(s.by.as_ref()),
        hours: s.hours.as_ref().map(|h| h.as_written.clone()).unwrap_or_default(),
    };
    t.steps.iter().map(step).collect()
}

fn material(m: &Material) -> String {
    let lot = text(m.lot.as_ref());
    let lot = if lot.is_empty() { "lot not recorded".to_owned() } else { format!("lot {lot}") };
    bracketed(&text(m.material.as_ref()), &joined([text(m.supplier.as_ref()), lot, text(m.amount.as_ref())], ", "))
}
