//! Condition notes by component, what became of the earlier ones, and the words that need a meaning.

use std::collections::BTreeMap;

use serde::Serialize;

use super::areas;
use super::letters::{Letters, standing};
use super::plates::Plate;
use super::words::{Facts, amount, capital, day, joined, known, place, term, text};
use crate::analysis::change::{Change, Seen, Standing, between};
use crate::record::condition::Condition;
use crate::record::photograph::Photograph;
use crate::record::{Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

/// The notes on one component.
#[derive(Debug, Serialize)]
pub(super) struct Component {
    pub name: String,
    pub notes: Vec<Lettered>,
}

/// One lettered note.
#[derive(Debug, Serialize)]
pub(super) struct Lettered {
    pub letter: String,
    pub damage: String,
    pub place: String,
    pub facts: Facts,
    pub known: String,
    pub note: String,
    pub interpretation: String,
    /// Numbers of the figures on which a region shows it.
    pub figures: Vec<usize>,
    /// How it stands to the earlier note, or blank.
    pub since: String,
}

/// The photographs of a report and their plates, in the same order.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shown<'a> {
    pub photographs: &'a [&'a Photograph],
    pub plates: &'a [Plate],
    /// The day that changes are told from; blank for the examination before.
    pub since: &'a str,
}

/// The notes of the examination at `at`, under their components: the piece as a whole first, then in the order of
/// the parts, then whatever the list of parts does not name.
pub(super) fn by_component(
    file: &PieceFile,
    at: usize,
    letters: &Letters,
    shown: &Shown<'_>,
    changes: &[Change<'_>],
) -> Vec<Component> {
    let Some(exam) = file.examinations.get(at) else { return Vec::new() };
    let mut groups: Vec<Component> = Vec::new();
    for (n, o) in standing(exam).enumerate() {
        let name = place(o);
        let note = note(o, letters.nth(n), shown, changes);
        match groups.iter_mut().find(|g| g.name == name) {
            Some(group) => group.notes.push(note),
            None => groups.push(Component { name, notes: vec![note] }),
        }
    }
    let parts = |name: &str| file.components.iter().position(|c| c.name.as_deref().map(str::trim) == Some(name));
    groups.sort_by_key(|g| if g.name == "whole piece" { 0 } else { parts(&g.name).map_or(usize::MAX, |i| i + 1) });
    for group in &mut groups {
        group.name = capital(&group.name);
    }
    groups
}

fn note(o: &Observed<Condition>, letter: &str, shown: &Shown<'_>, changes: &[Change<'_>]) -> Lettered {
    let c = &o.what;
    let change = changes.iter().find(|ch| ch.later.is_some_and(|s| std::ptr::eq(s.note, o)));
    let facts = Facts::default()
        .say("Extent", amount(c.extent.as_ref()))
        .say("Severity", term(c.severity.as_ref()))
        .say("Activity", term(c.activity.as_ref()))
        .say("Likely cause", term(c.cause.as_ref()))
        .may_say("Treated", text(c.treated.as_ref()))
        .may_say("Drawn", drawn(letter, shown));
    let facts = if c.place.is_none() { facts.say("exact place", "") } else { facts };
    let damage = if c.damage.is_none() { "Damage not named".to_owned() } else { capital(&term(c.damage.as_ref())) };
    let on_it = |p: &&Plate| p.marks.iter().any(|m| m.sign == letter) || p.keys.iter().any(|k| k.sign == letter);
    Lettered {
        letter: letter.to_owned(),
        damage,
        place: text(c.place.as_ref()),
        facts,
        known: known(o),
        note: text(o.note.as_ref()),
        interpretation: text(o.interpretation.as_ref()),
        figures: shown.plates.iter().filter(on_it).map(|p| p.number).collect(),
        since: change.map(|c| since(c, shown.since)).unwrap_or_default(),
    }
}

/// What the regions with this letter measure: `4.10 ± 0.12 cm² (fig. 1)`; blank where no scale is set.
fn drawn(letter: &str, shown: &Shown<'_>) -> String {
    let on_one = |(p, plate): (&&Photograph, &Plate)| {
        let here = p.regions.iter().zip(&plate.signs).filter(|(_, sign)| *sign == letter);
        let sizes = joined(here.map(|(region, _)| areas::words(p, region)), " and ");
        if sizes.is_empty() { sizes } else { format!("{sizes} (fig. {})", plate.number) }
    };
    joined(shown.photographs.iter().zip(shown.plates).map(on_one), "; ")
}

fn since(change: &Change<'_>, from: &str) -> String {
    let from = if from.is_empty() { "the last examination".to_owned() } else { format!("that of {from}") };
    match change.earlier {
        Some(then) => {
            format!("{} since {} ({})", change.standing.words(), on(then), change.because)
        }
        None if change.because == "continues no earlier note" => format!("new since {from}"),
        None => format!("new since {from} ({})", change.because),
    }
}

pub(super) fn on(seen: Seen<'_>) -> String {
    let date = day(seen.date);
    if date.is_empty() { "an earlier examination, date not recorded".to_owned() } else { date }
}

/// What became of one note, as a row.
#[derive(Debug, Serialize)]
pub(super) struct ChangeRow {
    pub standing: &'static str,
    pub damage: String,
    pub place: String,
    /// Letter in this report, or blank.
    pub letter: String,
    pub then_on: String,
    pub then: String,
    pub now: String,
    pub because: String,
}

/// The changes between the examinations at `before` and at `at`; none for a first examination.
pub(super) fn changes<'a>(
    file: &'a PieceFile,
    before: Option<usize>,
    at: usize,
    vocabulary: &Vocabulary,
) -> Vec<Change<'a>> {
    match before {
        Some(before) => between(&file.examinations, before, at, vocabulary),
        None => Vec::new(),
    }
}

/// The changes as rows, the most pressing first, each standing in the order of the notes.
pub(super) fn change_rows(changes: &[Change<'_>], letters: &Letters) -> Vec<ChangeRow> {
    let mut ordered: Vec<&Change<'_>> = changes.iter().collect();
    ordered.sort_by_key(|c| c.standing);
    ordered.into_iter().filter_map(|c| change_row(c, letters)).collect()
}

fn change_row(change: &Change<'_>, letters: &Letters) -> Option<ChangeRow> {
    let shown = change.later.or(change.earlier)?;
    let state = |seen: Option<Seen<'_>>| {
        let Some(seen) = seen else { return String::new() };
        let what = &seen.note.what;
        let extent = what.extent.as_ref().map(|q| q.as_written.clone()).unwrap_or_default();
        let state = joined([extent, term(what.severity.as_ref())], "; ");
        if state.is_empty() { "extent not recorded".to_owned() } else { state }
    };
    let letter = change.later.and_then(|l| l.note.id.as_deref()).and_then(|id| letters.of_note(id)).unwrap_or_default();
    Some(ChangeRow {
        standing: change.standing.words(),
        damage: capital(&term(shown.note.what.damage.as_ref())),
        place: joined([place(shown.note), text(shown.note.what.place.as_ref())], ", "),
        letter: letter.to_owned(),
        then_on: change.earlier.map(on).unwrap_or_default(),
        then: state(change.earlier),
        now: state(change.later),
        because: change.because.clone(),
    })
}

/// How many changes of each standing: `2 worse, 1 new`.
pub(super) fn counted(changes: &[Change<'_>]) -> String {
    let of = |s: Standing| changes.iter().filter(|c| c.standing == s).count();
    let words = Standing::ALL.into_iter().filter(|s| of(*s) > 0).map(|s| format!("{} {}", of(s), s.words()));
    joined(words, ", ")
}

/// A word of the report and its meaning.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Meaning {
    pub word: String,
    pub kind: &'static str,
    pub definition: String,
    pub source: String,
}

/// The meanings of the terms used, each once, in alphabetical order within its scheme.
pub(super) fn glossary<'a>(used: impl Iterator<Item = &'a TermId>, vocabulary: &Vocabulary) -> Vec<Meaning> {
    let terms: BTreeMap<(&str, String), &TermId> =
        used.map(|id| ((id.scheme().key(), id.name().to_lowercase()), id)).collect();
    let meaning = |id: &TermId| {
        let found = vocabulary.get(id);
        Meaning {
            word: id.name().to_owned(),
            kind: id.scheme().noun(),
            definition: found.map_or("no definition in this vocabulary", |t| &t.definition).to_owned(),
            source: found
                .map(|t| joined([t.own_wording.clone().unwrap_or_default(), t.source.clone()], "; "))
                .unwrap_or_default(),
        }
    };
    terms.into_values().map(meaning).collect()
}

/// Every term that a reader of the condition notes may have to look up.
pub(super) fn words_used(file: &PieceFile, at: usize) -> Vec<&TermId> {
    let Some(exam) = file.examinations.get(at) else { return Vec::new() };
    let notes = standing(exam).flat_map(|o| {
        let c = &o.what;
        [&c.damage, &c.severity, &c.activity, &c.cause, &o.evidence, &o.certainty]
    });
    let signs = exam.signs.iter().flat_map(|o| [&o.what.sign, &o.evidence, &o.certainty]);
    let measured = exam.measurements.iter().flat_map(|o| [&o.evidence, &o.certainty]);
    let textiles = exam.textiles.iter().flat_map(|o| [&o.evidence, &o.certainty]);
    notes.chain(signs).chain(measured).chain(textiles).filter_map(Option::as_ref).collect()
}
