//! The page of one treatment: the proposal to be consented to, or the record of what was done.

mod cautions;
mod photographs;
mod tables;

use serde::Serialize;

use super::advice::{Danger, Graded, ToLookFor, dangers, to_look_for, whole};
use super::condition::{Signature, whose};
use super::cure::{self, CureStep, signed, stage, version};
use super::identity::{Identity, location, owner};
use super::letters::{Letters, standing};
use super::plates::{Subject, names, plates};
use super::press::{self, Sheet};
use super::words::{Facts, amount, capital, day, joined, place, term, text};
use super::{ReportFault, Settings};
use crate::record::PieceFile;
use crate::record::seal::{Seal, short};
use crate::record::treatment::Treatment;
use cautions::{CAUTIONS, Caution};
use photographs::{Stages, in_order, stages};
use tables::{ChangeRow, MaterialRow, OptionRow, PlannedRow, TestRow};

/// Which half of a treatment is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TreatmentPart {
    /// What is put to the owner.
    Proposal,
    /// What was done.
    Record,
}

/// Which treatment is printed, and how its consent was sealed.
#[derive(Debug, Clone, Copy, Default)]
pub struct TreatmentAsked<'a> {
    /// Title or identifier; the latest treatment if not given.
    pub treatment: Option<&'a str>,
    /// The record, once anything was done, if not given.
    pub part: Option<TreatmentPart>,
    /// The seals as they were set, by the identifier of the treatment.
    pub seals: &'a [(String, Seal)],
}

/// Everything that the page prints.
#[derive(Debug, Serialize)]
struct Page {
    kind: &'static str,
    title: String,
    stage: String,
    record: bool,
    number: String,
    heading: String,
    piece: Facts,
    thumbnail: String,
    thumbnail_alt: String,
    answers: Answers,
    dangers: Vec<Danger>,
    to_look_for: ToLookFor,
    proposal: Facts,
    options: Vec<OptionRow>,
    tests: Vec<TestRow>,
    planned: Vec<PlannedRow>,
    materials: Vec<MaterialRow>,
    hours: Facts,
    standing: Standing,
    /// Blank if there is no earlier version.
    changed_against: String,
    changes: Vec<ChangeRow>,
    steps: Vec<CureStep>,
    outcome: Facts,
    stages: Stages,
    cautions: [Caution; 4],
    signatures: Vec<Signature>,
}

/// The state of the piece that the treatment answers to.
#[derive(Debug, Serialize)]
struct Answers {
    /// In the proposer's words.
    text: String,
    /// `6 March 2025 by Wren Askerdale`; blank if there is no examination before the proposal.
    from: String,
    grades: Vec<Graded>,
    notes: Vec<NoteRow>,
}

/// One condition note.
#[derive(Debug, Serialize)]
struct NoteRow {
    letter: String,
    damage: String,
    place: String,
    extent: String,
    severity: String,
    activity: String,
}

/// Consent, version and seal.
#[derive(Debug, Serialize)]
struct Standing {
    facts: Facts,
    /// `agreed`, `partly` (who or when is missing) or `open`.
    consent: &'static str,
    short: String,
    proposal_sha256: String,
    consent_sha256: String,
    consent_short: String,
    /// Fields in which the page is not what was sealed.
    broken: Vec<String>,
    /// Who took the consent back, when and why; blank if nobody did.
    withdrawn: String,
    later: String,
}

pub(super) fn print(
    file: &PieceFile,
    asked: &TreatmentAsked<'_>,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    let treatment = find(file, asked.treatment)?;
    let record = asked.part.map_or_else(|| treatment.is_begun(), |part| part == TreatmentPart::Record);
    let page = page(file, treatment, record, asked, settings);
    let sheet = Sheet {
        title: format!("{} {}, {}", page.kind, page.number, page.title),
        running_left: page.number.clone(),
        running_right: format!("{}, seal {}", page.kind, page.standing.short),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.trim().to_owned(),
    };
    press::print("treatment.html", &sheet, &page)
}

/// The treatment asked for: by identifier, or the latest of that title; the latest of all if none is named.
fn find<'a>(file: &'a PieceFile, asked: Option<&str>) -> Result<&'a Treatment, ReportFault> {
    let number = || file.number().to_owned();
    let Some(asked) = asked.map(str::trim) else {
        return file.treatments.last().ok_or_else(|| ReportFault::NoTreatment { number: number() });
    };
    let title = |t: &Treatment| text(t.proposal.title.as_ref());
    let by_id = file.treatments.iter().find(|t| t.id.as_deref() == Some(asked));
    let by_title = || file.treatments.iter().rfind(|t| title(t).to_lowercase() == asked.to_lowercase());
    by_id.or_else(by_title).ok_or_else(|| {
        if file.treatments.is_empty() {
            return ReportFault::NoTreatment { number: number() };
        }
        let known = joined(file.treatments.iter().map(|t| format!("`{}`", title(t))), ", ");
        ReportFault::NoSuchTreatment { number: number(), asked: asked.to_owned(), known }
    })
}

fn page(file: &PieceFile, t: &Treatment, record: bool, asked: &TreatmentAsked<'_>, s: &Settings<'_>) -> Page {
    let identity = Identity::of(file, s.vocabulary);
    let at = answered(file, t);
    let letters = at.map(|at| Letters::of(&file.examinations, at, &file.photographs)).unwrap_or_default();
    let earlier = t.before(&file.treatments);
    let versions = || std::iter::once(t).chain(earlier.iter().copied());
    let ids: Vec<&str> = versions().filter_map(|v| v.id.as_deref()).collect();
    let titles: Vec<&str> = versions().filter_map(|v| v.proposal.title.as_deref()).collect();
    let shown = in_order(&file.photographs, &ids, &titles);
    let subject = joined([identity.heading.clone(), file.number().to_owned()], ", ");
    let drawn = plates(
        shown.iter().copied(),
        &Subject { file, letters: &letters, names: &names(&file.examinations), words: &subject },
        s,
    );
    let p = &t.proposal;
    let against = earlier.iter().find(|v| v.is_consented()).or(earlier.first());
    let piece = Facts::default()
        .say("Number", file.number())
        .say("Object", text(file.piece.object_name.as_ref()))
        .say("Date", file.piece.date.as_ref().map(|d| d.as_written.clone()).unwrap_or_default())
        .say("Features", text(file.piece.distinguishing_features.as_ref()))
        .say("Lies in", location(file))
        .say("Owner", owner(file));
    Page {
        kind: if record { "Treatment record" } else { "Treatment proposal" },
        title: capital(&text(p.title.as_ref())),
        stage: stage(t, file),
        record,
        number: identity.number,
        heading: identity.heading,
        piece,
        thumbnail: front(file).and_then(|sha256| s.pictures.thumbnail(sha256)).unwrap_or_default(),
        thumbnail_alt: format!("Small picture of {subject}"),
        answers: answers(file, t, at, &letters, s),
        dangers: dangers(file, at.unwrap_or(usize::MAX), s.vocabulary),
        to_look_for: to_look_for(file, s.vocabulary),
        proposal: Facts::default()
            .say("Proposed by", signed(p.proposed_by.as_ref(), p.proposed_on))
            .say("Aims", text(p.aims.as_ref()))
            .say("Proposal", text(p.proposal.as_ref()))
            .say("Not to be done", text(p.not_to_be_done.as_ref()))
            .say("Risks", text(p.risks.as_ref())),
        options: tables::options(p),
        tests: tables::tests(p),
        planned: tables::planned(p),
        materials: tables::materials(t),
        hours: tables::hour_facts(t, record),
        standing: consent(file, t, asked),
        changed_against: against.map(|v| named(v, file)).unwrap_or_default(),
        changes: against.map(|v| tables::changes(&v.proposal, p)).unwrap_or_default(),
        steps: cure::steps(t),
        outcome: Facts::default()
            .say("Departures", text(t.departures.as_ref()))
            .say("Result", text(t.result.as_ref()))
            .say("After-care", text(t.after_care.as_ref())),
        stages: stages(&shown, drawn),
        cautions: CAUTIONS,
        signatures: signatures(file, t, record),
    }
}

/// The photograph that stands for the piece: the latest front, or the latest of all.
fn front(file: &PieceFile) -> Option<&str> {
    let is_front = |p: &&crate::record::photograph::Photograph| p.view.as_ref().is_some_and(|v| v.name() == "front");
    let found = file.photographs.iter().rfind(is_front).or(file.photographs.last());
    found.map(|p| p.sha256.as_str())
}

/// The last examination up to the day of the proposal; the latest of all if the proposal has no day.
fn answered(file: &PieceFile, t: &Treatment) -> Option<usize> {
    match t.proposal.proposed_on {
        None => file.examinations.len().checked_sub(1),
        Some(day) => file.examinations.iter().rposition(|e| e.about.date.is_some_and(|d| d <= day)),
    }
}

fn answers(file: &PieceFile, t: &Treatment, at: Option<usize>, letters: &Letters, s: &Settings<'_>) -> Answers {
    let exam = at.and_then(|at| file.examinations.get(at));
    let note = |(n, o): (usize, &crate::record::Observed<crate::record::condition::Condition>)| NoteRow {
        letter: letters.nth(n).to_owned(),
        damage: capital(&term(o.what.damage.as_ref())),
        place: joined([place(o), text(o.what.place.as_ref())], ", "),
        extent: amount(o.what.extent.as_ref()),
        severity: term(o.what.severity.as_ref()),
        activity: term(o.what.activity.as_ref()),
    };
    Answers {
        text: text(t.proposal.present_condition.as_ref()),
        from: exam.map(whose).unwrap_or_default(),
        grades: exam.map(|e| whole(e, s.vocabulary).grades).unwrap_or_default(),
        notes: exam.map(|e| standing(e).enumerate().map(note).collect()).unwrap_or_default(),
    }
}

/// `version 1, proposed by Jory Penhallan, 11 April 2025, agreed by Wren Askerdale, 2 May 2025`.
pub(crate) fn named(t: &Treatment, file: &PieceFile) -> String {
    let said = |before: &str, rest: String| if rest.is_empty() { rest } else { format!("{before} {rest}") };
    let proposed = said("proposed by", signed(t.proposal.proposed_by.as_ref(), t.proposal.proposed_on));
    let agreed = said("agreed by", signed(t.consent.consent_by.as_ref(), t.consent.consent_on));
    let agreed = if agreed.is_empty() { "not agreed".to_owned() } else { agreed };
    let withdrawn = said("consent withdrawn by", cure::withdrawn(t));
    joined([format!("version {}", version(t, file)), proposed, agreed, withdrawn], "; ")
}

fn consent(file: &PieceFile, t: &Treatment, asked: &TreatmentAsked<'_>) -> Standing {
    let c = &t.consent;
    let seal = Seal::of(file.number(), t);
    let set = asked.seals.iter().find(|(id, _)| t.id.as_deref() == Some(id)).map(|(_, seal)| seal);
    let broken = set.filter(|set| **set != seal).map(|set| {
        let fields = set.fields_changed(&seal);
        if fields.is_empty() { vec!["the seal itself".to_owned()] } else { fields }
    });
    let follows = t.before(&file.treatments).first().map(|v| named(v, file)).unwrap_or_default();
    Standing {
        facts: Facts::default()
            .say("Version", version(t, file).to_string())
            .may_say("Follows", follows)
            .say("Consent", signed(c.consent_by.as_ref(), c.consent_on))
            .say("What was shown", text(c.consent_shown.as_ref()))
            .say("On condition", text(c.consent_conditions.as_ref())),
        consent: match (t.is_consented(), c.consent_by.is_some() || c.consent_on.is_some()) {
            (true, _) => "agreed",
            (false, true) => "partly",
            (false, false) => "open",
        },
        short: seal.short(),
        consent_short: short(&seal.consent_sha256),
        proposal_sha256: seal.proposal_sha256,
        consent_sha256: seal.consent_sha256,
        broken: broken.unwrap_or_default(),
        withdrawn: cure::withdrawn(t),
        later: cure::next(t, file).map(|v| named(v, file)).unwrap_or_default(),
    }
}

/// The proposer or those who did the work, and the owner or whoever answers for the piece.
fn signatures(file: &PieceFile, t: &Treatment, record: bool) -> Vec<Signature> {
    let mut hands: Vec<String> = t.steps.iter().map(|s| text(s.by.as_ref())).filter(|n| !n.is_empty()).collect();
    let mut seen = std::collections::HashSet::new();
    hands.retain(|name| seen.insert(name.clone()));
    let first = if record {
        ("Carried out by", joined(hands, ", "))
    } else {
        ("Proposed by", text(t.proposal.proposed_by.as_ref()))
    };
    let agreed = text(t.consent.consent_by.as_ref());
    let responsible = if agreed.is_empty() { owner(file) } else { agreed };
    [first, ("Owner or person responsible", responsible)]
        .into_iter()
        .map(|(role, name)| Signature { role, name, date: String::new() })
        .collect()
}
