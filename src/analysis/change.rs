//! What became of each condition note between two examinations of one piece.
//!
//! A note may continue an earlier one; a chain of such notes is one damage seen again and again. Extents are
//! compared with their standard uncertainties, so that a difference within reading error is not called a change.
//! No earlier note is dropped: one that nobody took up again is listed as a question.

use std::collections::HashSet;

use jiff::civil::Date;

use crate::measure::{Bound, Kind, Quantity};
use crate::record::condition::Condition;
use crate::record::{Examination, Observed};
use crate::vocabulary::{TermId, Vocabulary};

/// Differences up to this many combined standard uncertainties are no change: about 95 % for readings that
/// scatter as a normal distribution does (coverage factor k = 2, JCGM 100:2008, 6.3.3).
pub const COVERAGE: f64 = 2.0;

/// What became of a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Standing {
    /// Larger or more severe than before.
    Worse,
    /// Seen for the first time.
    New,
    /// Continues an earlier note, but extents and severities allow no comparison.
    NotComparable,
    /// Not mentioned in the later examination, which says that something was not examined.
    NotLookedAt,
    /// Not mentioned in the later examination at all; someone has to be asked.
    NotMentioned,
    /// The same within the uncertainty of both extents, or of the same severity.
    Unchanged,
    /// Something has been done about it since.
    Treated,
    /// Smaller or less severe than before.
    Better,
    /// Looked for, and not found: the later extent is nought.
    NoLongerFound,
}

impl Standing {
    /// Every standing, the most pressing first.
    pub const ALL: [Standing; 9] = [
        Standing::Worse,
        Standing::New,
        Standing::NotComparable,
        Standing::NotLookedAt,
        Standing::NotMentioned,
        Standing::Unchanged,
        Standing::Treated,
        Standing::Better,
        Standing::NoLongerFound,
    ];

    /// The standing in words.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Worse => "worse",
            Standing::New => "new",
            Standing::NotComparable => "seen again, not comparable",
            Standing::NotLookedAt => "not looked at again",
            Standing::NotMentioned => "not mentioned: ask",
            Standing::Unchanged => "unchanged within uncertainty",
            Standing::Treated => "treated",
            Standing::Better => "better",
            Standing::NoLongerFound => "no longer found",
        }
    }
}

/// One note and the day on which it was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen<'a> {
    /// The day of the examination.
    pub date: Option<Date>,
    /// The note.
    pub note: &'a Observed<Condition>,
}

/// One damage, before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Change<'a> {
    /// What became of it.
    pub standing: Standing,
    /// The nearest earlier note of the same damage.
    pub earlier: Option<Seen<'a>>,
    /// The note of the later examination.
    pub later: Option<Seen<'a>>,
    /// How the standing was found, in words.
    pub because: String,
}

/// Compares the examination at `later` with what was known at the examination at `earlier`.
///
/// First each note of the later examination in its order, beside the nearest note that it continues and that was
/// made at `earlier` or before; then each note that was open at `earlier` and that nobody took up. Withdrawn notes
/// count on neither side. An index beyond the list gives no changes.
pub fn between<'a>(
    examinations: &'a [Examination],
    earlier: usize,
    later: usize,
    vocabulary: &Vocabulary,
) -> Vec<Change<'a>> {
    let (Some(before), Some(exam)) = (examinations.get(..=earlier), examinations.get(later)) else {
        return Vec::new();
    };
    let all: Vec<(usize, Seen<'a>)> = examinations
        .iter()
        .enumerate()
        .take(later + 1)
        .flat_map(|(at, e)| e.conditions.iter().map(move |note| (at, Seen { date: e.about.date, note })))
        .collect();
    let mut taken_up: HashSet<&str> = HashSet::new();
    let mut changes = Vec::new();
    for note in exam.conditions.iter().filter(|n| n.withdrawn.is_none()) {
        let seen = Seen { date: exam.about.date, note };
        let ancestors = ancestors(&all, later, note);
        taken_up.extend(ancestors.iter().filter_map(|(_, a)| a.note.id.as_deref()));
        let nearest = ancestors.iter().find(|(at, a)| *at <= earlier && a.note.withdrawn.is_none());
        changes.push(match nearest {
            Some((_, then)) => compared(*then, seen, vocabulary),
            None => new(seen, &ancestors, before),
        });
    }
    let unseen = exam.about.not_examined.as_deref().map(str::trim).filter(|t| !t.is_empty());
    for (_, open) in all.iter().filter(|(at, s)| *at <= earlier && *at < later && is_open(*at, s, &all, earlier)) {
        if open.note.id.as_deref().is_some_and(|id| taken_up.contains(id)) {
            continue;
        }
        let (standing, because) = match unseen {
            Some(what) => (Standing::NotLookedAt, format!("no note continues it; not examined: {what}")),
            None => {
                (Standing::NotMentioned, "no note continues it, and nothing says that it was looked for".to_owned())
            }
        };
        changes.push(Change { standing, earlier: Some(*open), later: None, because });
    }
    changes
}

/// The notes that `note` continues, nearest first. A circle ends the walk.
fn ancestors<'a>(all: &[(usize, Seen<'a>)], at: usize, note: &Observed<Condition>) -> Vec<(usize, Seen<'a>)> {
    let mut chain: Vec<(usize, Seen<'a>)> = Vec::new();
    let mut met: HashSet<&str> = HashSet::new();
    let (mut at, mut next) = (at, before_it(all, at, note));
    while let Some((place, seen)) = next {
        if place > at || !met.insert(seen.note.id.as_deref().unwrap_or_default()) {
            break;
        }
        chain.push((place, seen));
        at = place;
        next = before_it(all, at, seen.note);
    }
    chain
}

/// The note that this one says it continues. `last` stands for the latest of the same damage on the same component.
fn before_it<'a>(all: &[(usize, Seen<'a>)], at: usize, note: &Observed<Condition>) -> Option<(usize, Seen<'a>)> {
    let continues = note.what.continues.as_deref()?;
    if continues == "last" {
        return all.iter().rev().find(|(place, s)| *place < at && alike(s.note, note)).copied();
    }
    all.iter().find(|(place, s)| *place < at && s.note.id.as_deref() == Some(continues)).copied()
}

fn alike(a: &Observed<Condition>, b: &Observed<Condition>) -> bool {
    a.component == b.component && a.what.damage == b.what.damage
}

/// Whether the note stood as the last word on its damage at `earlier`.
fn is_open(at: usize, seen: &Seen<'_>, all: &[(usize, Seen<'_>)], earlier: usize) -> bool {
    let gone = seen.note.what.extent.as_ref().is_some_and(is_nought);
    let went_on = all.iter().any(|(place, other)| {
        *place > at
            && *place <= earlier
            && other.note.withdrawn.is_none()
            && before_it(all, *place, other.note).is_some_and(|(_, s)| std::ptr::eq(s.note, seen.note))
    });
    seen.note.withdrawn.is_none() && !gone && !went_on
}

fn new<'a>(seen: Seen<'a>, ancestors: &[(usize, Seen<'a>)], before: &[Examination]) -> Change<'a> {
    let lost = seen.note.what.continues.is_some() && ancestors.is_empty();
    let known = before.iter().flat_map(|e| &e.conditions).any(|n| n.withdrawn.is_none() && alike(n, seen.note));
    let because = if lost {
        "says that it continues a note that is not in this file"
    } else if known {
        "continues no note, though this damage was known on this component: ask whether it is the same"
    } else {
        "continues no earlier note"
    };
    Change { standing: Standing::New, earlier: None, later: Some(seen), because: because.to_owned() }
}

fn compared<'a>(then: Seen<'a>, now: Seen<'a>, vocabulary: &Vocabulary) -> Change<'a> {
    let (a, b) = (&then.note.what, &now.note.what);
    let treated = b.treated.is_some() && a.treated != b.treated;
    let gone = b.extent.as_ref().is_some_and(is_nought) && !a.extent.as_ref().is_some_and(is_nought);
    let by_extent = match (&a.extent, &b.extent) {
        (Some(x), Some(y)) => extents(x, y),
        _ => (None, "an extent is not recorded".to_owned()),
    };
    let by_severity = severities(a.severity.as_ref(), b.severity.as_ref(), vocabulary);
    let (standing, because) = match (by_extent, by_severity) {
        _ if gone => (Standing::NoLongerFound, "the extent is now nought".to_owned()),
        ((Some(Standing::Worse), why), _) | (_, Some((Standing::Worse, why))) if !treated => (Standing::Worse, why),
        ((_, why), _) if treated => (Standing::Treated, format!("treated since; {why}")),
        ((Some(Standing::Better), why), _) => (Standing::Better, why),
        ((Some(standing), why), None) => (standing, why),
        ((Some(_), why), Some((severity, other))) => match severity {
            Standing::Better => (Standing::Better, format!("{why}; {other}")),
            _ => (Standing::Unchanged, why),
        },
        ((None, why), Some((standing, other))) => (standing, format!("{why}; {other}")),
        ((None, why), None) => (Standing::NotComparable, why),
    };
    Change { standing, earlier: Some(then), later: Some(now), because }
}

/// How `now` stands to `then`, or none where the two cannot be compared; and why.
fn extents(then: &Quantity, now: &Quantity) -> (Option<Standing>, String) {
    if then.kind != now.kind {
        return (None, format!("a {} cannot be compared with a {}", then.kind.name(), now.kind.name()));
    }
    let (difference, limit) = (now.value - then.value, COVERAGE * then.u.hypot(now.u));
    let figures = format!("difference {}, limit {}", figure(difference, then.kind), figure(limit, then.kind));
    if !difference.is_finite() || !limit.is_finite() {
        return (None, "an extent has no finite value".to_owned());
    }
    if difference.abs() <= limit {
        return (Some(Standing::Unchanged), figures);
    }
    let open_ended = if difference > 0.0 {
        then.bound == Bound::AtLeast || now.bound == Bound::AtMost
    } else {
        then.bound == Bound::AtMost || now.bound == Bound::AtLeast
    };
    match (open_ended, difference > 0.0) {
        (true, _) => (None, format!("an extent is only a limit; {figures}")),
        (false, true) => (Some(Standing::Worse), figures),
        (false, false) => (Some(Standing::Better), figures),
    }
}

fn severities(then: Option<&TermId>, now: Option<&TermId>, vocabulary: &Vocabulary) -> Option<(Standing, String)> {
    let (then, now) = (then?, now?);
    let (a, b) = (vocabulary.get(then)?.rank?, vocabulary.get(now)?.rank?);
    let standing = match b.cmp(&a) {
        std::cmp::Ordering::Greater => Standing::Worse,
        std::cmp::Ordering::Less => Standing::Better,
        std::cmp::Ordering::Equal => Standing::Unchanged,
    };
    let words = if a == b { format!("severity {now} as before") } else { format!("severity {now}, {then} before") };
    Some((standing, words))
}

fn is_nought(q: &Quantity) -> bool {
    q.value == 0.0
}

fn figure(value: f64, kind: Kind) -> String {
    let digits = usize::from(value.abs() < 100.0 && value.fract() != 0.0);
    let minus = if value < 0.0 { "−" } else { "" };
    format!("{minus}{:.digits$} {}", value.abs(), kind.unit()).trim_end().to_owned()
}

#[cfg(test)]
#[path = "change_tests.rs"]
mod tests;
