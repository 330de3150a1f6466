//! A later examination beside a sealed report: outgoing and incoming in two columns, what became of each damage, and
//! what has been corrected since. The outgoing column is read from the sealed record, whatever was corrected later.

use std::collections::HashMap;

use jiff::civil::Date;
use serde::Serialize;

use super::advice::{Danger, Graded, ToLookFor, Whole, dangers, to_look_for, whole};
use super::condition::{air, definitions, find};
use super::damage::{self, Meaning, counted};
use super::identity::Identity;
use super::letters::Letters;
use super::loan::{PARTIES, Party, named, state};
use super::plates::{Plate, Subject, names, plates};
use super::press::{self, Sheet};
use super::seal::{Before, SealBlock, Sealing, Since, mark, seal_block, since};
use super::words::{capital, day, expanded, joined, place, term, text};
use super::{ReportFault, Settings};
use crate::analysis::change::{COVERAGE, Change, Seen, between};
use crate::measure::Estimate;
use crate::record::measurement::Measurement;
use crate::record::photograph::Photograph;
use crate::record::{Examination, Observed, PieceFile};

/// Everything on the page.
#[derive(Debug, Serialize)]
struct Page {
    identity: Identity,
    /// Which report it is laid against.
    sealed: String,
    circumstances: Vec<Both>,
    grades: Vec<BothGraded>,
    advice: Vec<Both>,
    counted: String,
    damages: Vec<DamageRow>,
    dimensions: Vec<DimensionRow>,
    /// Those that only the outgoing examination took, with their values.
    not_again: String,
    pairs: Vec<Pair>,
    since: Since,
    dangers: Vec<Danger>,
    to_look_for: ToLookFor,
    parties: Vec<Party>,
    seal: Option<SealBlock>,
    glossary: Vec<Meaning>,
    vocabulary_version: String,
}

/// One fact, outgoing and incoming; blanks are printed as not recorded.
#[derive(Debug, Serialize)]
struct Both {
    label: &'static str,
    then: String,
    now: String,
    /// How the two stand to each other; blank if both say the same.
    beside: &'static str,
}

/// One judgement with its meaning on either day.
#[derive(Debug, Serialize)]
struct BothGraded {
    label: &'static str,
    then: Graded,
    now: Graded,
    beside: &'static str,
}

/// One damage.
#[derive(Debug, Serialize)]
struct DamageRow {
    standing: &'static str,
    damage: String,
    place: String,
    then: Option<Side>,
    now: Option<Side>,
    because: String,
}

/// One damage on one side.
#[derive(Debug, Serialize)]
struct Side {
    letter: String,
    /// Set where the note is older than the report.
    on: String,
    state: String,
    note: String,
    interpretation: String,
}

/// One dimension.
#[derive(Debug, Serialize)]
struct DimensionRow {
    name: String,
    place: String,
    then: String,
    now: String,
    finding: String,
}

/// Photographs of one view.
#[derive(Debug, Serialize)]
struct Pair {
    view: String,
    then: Option<Plate>,
    now: Option<Plate>,
}

pub(super) fn print(
    file: &PieceFile,
    date: Option<Date>,
    before: &Before,
    sealing: Option<&Sealing>,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    let at = find(file, date)?;
    let sealed = &before.seal;
    let id = |e: &Examination| e.about.id.clone().unwrap_or_default();
    let out_at = before.then.examinations.iter().position(|e| id(e) == sealed.examination);
    let last = file.examinations.iter().position(|e| id(e) == sealed.examination);
    let (Some(out_at), true) = (out_at, last.is_none_or(|l| at > l)) else {
        let number = file.number().to_owned();
        return Err(ReportFault::NoneLater { number, code: sealed.code.clone(), examined: sealed.examined });
    };
    let examined = day(file.examinations.get(at).and_then(|e| e.about.date));
    let number = Identity::of(file, settings.vocabulary).number;
    let sheet = Sheet {
        title: format!("Condition outgoing and incoming {number}, {} and {examined}", day(Some(sealed.examined))),
        running_left: number,
        running_right: format!("Condition outgoing and incoming, {examined}"),
        printed_on: mark(day(Some(settings.printed_on)), sealing),
        collection: settings.collection.trim().to_owned(),
    };
    press::print("against.html", &sheet, &page(file, at, out_at, before, sealing, settings))
}

fn page(
    file: &PieceFile,
    at: usize,
    out_at: usize,
    before: &Before,
    sealing: Option<&Sealing>,
    s: &Settings<'_>,
) -> Page {
    let blank = Examination::default();
    let then = before.then.examinations.get(out_at).unwrap_or(&blank);
    let now = file.examinations.get(at).unwrap_or(&blank);
    let on = |e: &Examination| s.vocabulary.on(e.about.date.unwrap_or(s.printed_on));
    let (old_words, new_words) = (on(then), on(now));
    let history = history(file, at, out_at, before);
    let last = history.len().saturating_sub(1);
    let changes = between(&history, out_at, last, &new_words);
    let letters = Letters::of(&history, last, &file.photographs);
    let old_letters = Letters::of(&before.then.examinations, out_at, &before.then.photographs);
    let (a, b) = (whole(then, &old_words), whole(now, &new_words));
    let (dimensions, not_again) = dimensions(then, now);
    let identity = Identity::of(file, s.vocabulary);
    let used = damage::words_used(&before.then, out_at).into_iter().chain(damage::words_used(file, at));
    Page {
        sealed: before.words(),
        circumstances: circumstances(then, now),
        advice: advice(&a, &b),
        grades: grades(a, b),
        counted: counted(&changes),
        damages: damages(&changes, then, &old_letters, &letters),
        dimensions,
        not_again,
        pairs: pairs(file, before, then, now, &letters, &old_letters, &identity, s),
        since: since(file, before),
        dangers: dangers(file, at, &new_words),
        to_look_for: to_look_for(file, &new_words),
        parties: PARTIES.into(),
        seal: sealing.map(|x| seal_block(x, s)),
        glossary: damage::glossary(used, &new_words),
        vocabulary_version: definitions(now, s),
        identity,
    }
}

/// The examinations as sealed up to the outgoing one, then those since, up to the incoming one. A note that continues the
/// correction of a sealed one continues the sealed one here.
fn history(file: &PieceFile, at: usize, out_at: usize, before: &Before) -> Vec<Examination> {
    let mut list: Vec<Examination> = before.then.examinations.iter().take(out_at + 1).cloned().collect();
    let sealed: Vec<String> = list.iter().flat_map(|e| &e.conditions).filter_map(|n| n.id.clone()).collect();
    let mut as_sealed: HashMap<String, String> = HashMap::new();
    for id in sealed {
        let mut next = before.fates.get(&id).and_then(|f| f.now.clone());
        // Corrections of corrections; a circle ends where an identifier comes back.
        while let Some(now) = next.filter(|n| !as_sealed.contains_key(n)) {
            next = before.fates.get(&now).and_then(|f| f.now.clone());
            as_sealed.insert(now, id.clone());
        }
    }
    let known: Vec<Option<String>> = list.iter().map(|e| e.about.id.clone()).collect();
    for exam in file.examinations.iter().take(at + 1).filter(|e| !known.contains(&e.about.id)) {
        let mut exam = exam.clone();
        for note in &mut exam.conditions {
            if let Some(old) = note.what.continues.as_ref().and_then(|id| as_sealed.get(id)) {
                note.what.continues = Some(old.clone());
            }
        }
        list.push(exam);
    }
    list
}

fn both(label: &'static str, then: String, now: String) -> Both {
    Both { label, beside: beside(&then, &now, then == now, ["not said before", "not said again"]), then, now }
}

/// What is said where the two are not the same. A blank is no difference: nobody said otherwise.
fn beside(then: &str, now: &str, same: bool, [before, again]: [&'static str; 2]) -> &'static str {
    match (then.is_empty(), now.is_empty()) {
        (true, true) => "",
        (true, false) => before,
        (false, true) => again,
        (false, false) if same => "",
        (false, false) => "differs",
    }
}

fn circumstances(then: &Examination, now: &Examination) -> Vec<Both> {
    let (a, b) = (&then.about, &now.about);
    let two = |label, x: &Option<String>, y: &Option<String>| both(label, text(x.as_ref()), text(y.as_ref()));
    vec![
        both("Day", day(a.date), day(b.date)),
        two("Examiner", &a.examiner, &b.examiner),
        two("Reason", &a.reason, &b.reason),
        two("Where", &a.place, &b.place),
        both("Light", term(a.light.as_ref()), term(b.light.as_ref())),
        two("Magnification", &a.magnification, &b.magnification),
        both("Air", air(then), air(now)),
        two("Methods", &a.methods, &b.methods),
        two("Not examined", &a.not_examined, &b.not_examined),
        two("Note", &a.note, &b.note),
    ]
}

fn grades(then: Whole, now: Whole) -> Vec<BothGraded> {
    let two = |(a, b): (Graded, Graded)| BothGraded {
        label: a.label,
        beside: beside(
            &a.word,
            &b.word,
            a.word == b.word && a.definition == b.definition,
            ["not judged before", "not judged again"],
        ),
        then: a,
        now: b,
    };
    then.grades.into_iter().zip(now.grades).map(two).collect()
}

fn advice(then: &Whole, now: &Whole) -> Vec<Both> {
    let of = |w: &Whole, label: &str| {
        w.advice.rows.iter().find(|f| f.label == label).map(|f| f.value.clone()).unwrap_or_default()
    };
    let mut list = vec![both("Statement", then.statement.clone(), now.statement.clone())];
    for label in ["Handling", "Storage", "Light and display"] {
        list.push(both(label, of(then, label), of(now, label)));
    }
    list
}

fn damages(changes: &[Change<'_>], then: &Examination, old: &Letters, new: &Letters) -> Vec<DamageRow> {
    let mut ordered: Vec<&Change<'_>> = changes.iter().collect();
    ordered.sort_by_key(|c| c.standing);
    let side = |seen: Seen<'_>, letters: &Letters, outgoing: bool| {
        let letter = seen.note.id.as_deref().and_then(|id| letters.of_note(id)).unwrap_or_default();
        let older = outgoing && seen.date != then.about.date;
        Side {
            letter: letter.to_owned(),
            on: if older { format!("as noted on {}", damage::on(seen)) } else { String::new() },
            state: state(seen.note),
            note: text(seen.note.note.as_ref()),
            interpretation: text(seen.note.interpretation.as_ref()),
        }
    };
    let row = |c: &&Change<'_>| {
        let shown = c.later.or(c.earlier)?;
        Some(DamageRow {
            standing: c.standing.words(),
            damage: named(shown.note),
            place: joined([place(shown.note), text(shown.note.what.place.as_ref())], ", "),
            then: c.earlier.map(|seen| side(seen, old, true)),
            now: c.later.map(|seen| side(seen, new, false)),
            because: c.because.clone(),
        })
    };
    ordered.iter().filter_map(row).collect()
}

/// The dimensions taken at the incoming examination, in the order of the outgoing one, then what is new; and those that
/// were not taken again, run on.
fn dimensions(then: &Examination, now: &Examination) -> (Vec<DimensionRow>, String) {
    fn stand(e: &Examination) -> Vec<&Observed<Measurement>> {
        e.measurements.iter().filter(|m| m.withdrawn.is_none()).collect()
    }
    let alike = |a: &Observed<Measurement>, b: &Observed<Measurement>| {
        a.what.dimension == b.what.dimension && a.component == b.component && a.what.taken == b.what.taken
    };
    let mut left = stand(now);
    let mut rows = Vec::new();
    let mut not_again = Vec::new();
    for old in stand(then) {
        match left.iter().position(|n| alike(n, old)).map(|i| left.remove(i)) {
            Some(new) => rows.push(dimension(old, Some(old), new)),
            None => {
                let mm = expanded(old.what.estimate().as_ref()).0;
                let name = joined([term(old.what.dimension.as_ref()), place(old)], " of ");
                not_again.push(if mm.is_empty() { name } else { format!("{name} ({mm} mm)") });
            }
        }
    }
    rows.extend(left.into_iter().map(|new| dimension(new, None, new)));
    (rows, joined(not_again, "; "))
}

fn dimension(
    shown: &Observed<Measurement>,
    then: Option<&Observed<Measurement>>,
    now: &Observed<Measurement>,
) -> DimensionRow {
    let (a, b) = (then.and_then(|m| m.what.estimate()), now.what.estimate());
    let mm = |e: Option<&Estimate>| expanded(e).0;
    let finding = match (&a, &b) {
        (Some(a), Some(b)) => verdict(a, b),
        _ if then.is_none() => "not taken before".to_owned(),
        _ => "cannot be compared: no reading".to_owned(),
    };
    DimensionRow {
        name: capital(&term(shown.what.dimension.as_ref())),
        place: joined([place(shown), text(shown.what.taken.as_ref())], ", "),
        then: mm(a.as_ref()),
        now: mm(b.as_ref()),
        finding,
    }
}

/// The difference in millimetres against twice the combined standard uncertainty.
fn verdict(then: &Estimate, now: &Estimate) -> String {
    let (difference, limit) = (now.value - then.value, COVERAGE * then.u.hypot(now.u));
    if !difference.is_finite() || !limit.is_finite() {
        return "cannot be compared: no finite value".to_owned();
    }
    let sign = if difference < 0.0 { "−" } else { "+" };
    let figures = format!("difference {sign}{:.1} mm, limit {limit:.1} mm", difference.abs());
    if difference.abs() <= limit { format!("the same; {figures}") } else { format!("differs; {figures}") }
}

/// The photographs of both examinations, those of the same view and component beside each other, in the order in which
/// the outgoing ones were added; then views taken for the first time.
#[allow(clippy::too_many_arguments, reason = "both sides of everything")]
fn pairs(
    file: &PieceFile,
    before: &Before,
    then: &Examination,
    now: &Examination,
    letters: &Letters,
    old_letters: &Letters,
    identity: &Identity,
    s: &Settings<'_>,
) -> Vec<Pair> {
    let of = |list: &'_ [Photograph], exam: &Examination| -> Vec<Photograph> {
        list.iter().filter(|p| p.examination.is_some() && p.examination == exam.about.date).cloned().collect()
    };
    let old = of(&before.then.photographs, then);
    let mut new = of(&file.photographs, now);
    let alike = |a: &Photograph, b: &Photograph| a.view == b.view && a.component == b.component;
    let mut matched: Vec<(Option<Photograph>, Option<Photograph>)> = Vec::new();
    for one in old {
        let found = new.iter().position(|n| alike(n, &one)).map(|i| new.remove(i));
        matched.push((Some(one), found));
    }
    matched.extend(new.into_iter().map(|n| (None, Some(n))));
    let subject = joined([identity.heading.clone(), file.number().to_owned()], ", ");
    let (old_names, new_names) = (names(&before.then.examinations), names(&file.examinations));
    let mut number = 0;
    let mut plate = |p: Option<&Photograph>, outgoing: bool| {
        let (file, letters, names) =
            if outgoing { (&before.then, old_letters, &old_names) } else { (file, letters, &new_names) };
        let mut plate = plates(p.into_iter(), &Subject { file, letters, names, words: &subject }, s).pop()?;
        number += 1;
        plate.number = number;
        let side = if outgoing { "Outgoing" } else { "Incoming" };
        plate.lead = format!("{side}: {}", if plate.lead.is_empty() { "photograph" } else { &plate.lead });
        plate.alt = format!("{side}. {}", plate.alt);
        Some(plate)
    };
    let mut list = Vec::new();
    for (a, b) in &matched {
        let shown = a.as_ref().or(b.as_ref());
        let view = shown.map(|p| joined([term(p.view.as_ref()), text(p.component.as_ref())], ", ")).unwrap_or_default();
        let then = plate(a.as_ref(), true);
        let now = plate(b.as_ref(), false);
        list.push(Pair { view: capital(if view.is_empty() { "view not recorded" } else { &view }), then, now });
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blank_is_no_difference() {
        for (then, now, same, wanted) in [
            ("", "", true, ""),
            ("good", "good", true, ""),
            // The same word, defined otherwise.
            ("good", "good", false, "differs"),
            ("good", "poor", false, "differs"),
            ("good", "", false, "again"),
            ("", "good", false, "before"),
        ] {
            assert_eq!(beside(then, now, same, ["before", "again"]), wanted, "{then} beside {now}");
        }
    }
}
