//! What became of each condition note between two examinations of one piece.
//!
//! A note may continue an earlier one; a chain of such notes is one damage seen again and again. Extents are
//! compared with their standard uncertainties, so that a difference within reading error is not called a change.
//! No earlier note is dropped: one that nobody took up again is listed as a question.

mod extent;
mod term;

use std::collections::HashSet;

use jiff::civil::Date;

use super::chains::{Chains, alike};
use crate::record::condition::Condition;
use crate::record::{Examination, Observed};
use crate::vocabulary::Vocabulary;

pub(super) use extent::is_nought;
use extent::{extents, severities};
pub use term::Renamed;

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
    /// How the later damage term stands to the earlier one, where they differ.
    pub renamed: Option<Renamed>,
}

/// Compares the examination at `later` with what was known at the examination at `earlier`.
///
/// First each note of the later examination in its order, beside the nearest note that it continues and that was
/// made at `earlier` or before; then each damage known before `later` that nobody took up there: what stood open at
/// `earlier`, and what was first seen between the two. Withdrawn notes count on neither side. An index beyond the
/// list, or a `later` that is not after `earlier`, gives no changes.
pub fn between<'a>(
    examinations: &'a [Examination],
    earlier: usize,
    later: usize,
    vocabulary: &Vocabulary,
) -> Vec<Change<'a>> {
    let (Some(before), Some(exam)) = (examinations.get(..=earlier), examinations.get(later)) else {
        return Vec::new();
    };
    if later <= earlier {
        return Vec::new();
    }
    let chains = Chains::of(examinations);
    let mut taken_up: HashSet<usize> = HashSet::new();
    let mut changes = Vec::new();
    for (i, link) in chains.links.iter().enumerate() {
        if link.at != later || link.seen.note.withdrawn.is_some() {
            continue;
        }
        let ancestors: Vec<usize> = chains.back(i).collect();
        let nearest = known_then(&chains, ancestors.iter().copied(), earlier);
        changes.push(match nearest {
            Some(then) => compared(then, link.seen, vocabulary),
            None => new(link.seen, ancestors.is_empty(), before),
        });
        taken_up.extend(ancestors);
    }
    let unseen = exam.about.not_examined.as_deref().map(str::trim).filter(|t| !t.is_empty());
    for i in chains.last_words(later).into_iter().filter(|i| !taken_up.contains(i)) {
        let link = &chains.links[i];
        let then = known_then(&chains, std::iter::once(i).chain(chains.back(i)), earlier);
        changes.extend(not_taken_up(link.seen, link.at > earlier, then, unseen));
    }
    changes
}

/// The first of these notes that was made at `earlier` or before and was not withdrawn.
fn known_then<'a>(chains: &Chains<'a>, places: impl Iterator<Item = usize>, earlier: usize) -> Option<Seen<'a>> {
    let mut known = places.map(|i| chains.links[i]).filter(|l| l.at <= earlier && l.seen.note.withdrawn.is_none());
    known.next().map(|l| l.seen)
}

/// What to say of a damage that the later examination does not mention. `last` is the last word on it, made between the
/// two examinations or not; `then` what was known of it at the earlier one.
fn not_taken_up<'a>(last: Seen<'a>, between: bool, then: Option<Seen<'a>>, unseen: Option<&str>) -> Option<Change<'a>> {
    let gone = |s: Seen<'_>| s.note.what.extent.as_ref().is_some_and(is_nought);
    if gone(last) {
        // What had gone by the earlier examination is no news; what went since is told once.
        let then = then.filter(|then| between && !gone(*then))?;
        let because = "found gone between the two examinations, and not mentioned since".to_owned();
        let (earlier, later) = (Some(then), Some(last));
        return Some(Change { standing: Standing::NoLongerFound, earlier, later, because, renamed: None });
    }
    let (standing, mut because) = match unseen {
        Some(what) => (Standing::NotLookedAt, format!("no note continues it; not examined: {what}")),
        None => (Standing::NotMentioned, "no note continues it, and nothing says that it was looked for".to_owned()),
    };
    if between {
        let when = if then.is_some() { "last seen" } else { "first seen" };
        because = format!("{when} between the two examinations; {because}");
    }
    Some(Change { standing, earlier: Some(last), later: None, because, renamed: None })
}

fn new<'a>(seen: Seen<'a>, alone: bool, before: &[Examination]) -> Change<'a> {
    let lost = seen.note.what.continues.is_some() && alone;
    let known = before.iter().flat_map(|e| &e.conditions).any(|n| n.withdrawn.is_none() && alike(n, seen.note));
    let because = if lost && seen.note.what.continues.as_deref() == Some("last") {
        "says that it continues the last note of this damage here, but there is not exactly one"
    } else if lost {
        "says that it continues a note that is not in this file"
    } else if known {
        "continues no note, though this damage was known on this component: ask whether it is the same"
    } else {
        "continues no earlier note"
    };
    Change { standing: Standing::New, earlier: None, later: Some(seen), because: because.to_owned(), renamed: None }
}

/// Whether something was done about a damage between two notes of it.
pub(super) fn treated_since(then: &Observed<Condition>, now: &Observed<Condition>) -> bool {
    now.what.treated.is_some() && then.what.treated != now.what.treated
}

/// What became of one damage from one note to a later one.
pub(super) fn compared<'a>(then: Seen<'a>, now: Seen<'a>, vocabulary: &Vocabulary) -> Change<'a> {
    let (a, b) = (&then.note.what, &now.note.what);
    let treated = treated_since(then.note, now.note);
    let gone = b.extent.as_ref().is_some_and(is_nought) && !a.extent.as_ref().is_some_and(is_nought);
    let by_extent = match (&a.extent, &b.extent) {
        (Some(x), Some(y)) => extents(x, y),
        _ => (None, "an extent is not recorded".to_owned()),
    };
    let by_severity = severities(a.severity.as_ref(), b.severity.as_ref(), vocabulary);
    let (standing, because) = match (by_extent, by_severity) {
        _ if gone && treated => (Standing::NoLongerFound, "treated since; the extent is now nought".to_owned()),
        _ if gone => (Standing::NoLongerFound, "the extent is now nought".to_owned()),
        ((Some(Standing::Worse), why), _) | (_, Some((Standing::Worse, why))) if !treated => (Standing::Worse, why),
        ((_, why), _) if treated => (Standing::Treated, format!("treated since; {why}")),
        ((Some(Standing::Better), why), _) => (Standing::Better, why),
        ((Some(standing), why), None) => (standing, why),
        ((Some(_), why), Some((severity, other))) => match severity {
            Standing::Better => (Standing::Better, format!("{why}; {other}")),
            _ => (Standing::Unchanged, why),
        },
        // What was measured once is not known to be as it was because nothing else changed.
        ((None, _), Some((Standing::Unchanged, other))) if a.extent.is_some() != b.extent.is_some() => {
            let when = if a.extent.is_some() { "the extent was not taken again" } else { "no extent was taken then" };
            (Standing::NotComparable, format!("{when}; {other}"))
        }
        ((None, why), Some((standing, other))) => (standing, format!("{why}; {other}")),
        ((None, why), None) => (Standing::NotComparable, why),
    };
    let renamed = term::renamed(a.damage.as_ref(), b.damage.as_ref(), vocabulary);
    let mut because = because;
    if let Some((_, words)) = &renamed {
        because = format!("{because}; {words}");
    }
    if let (Some(there), true) = (&then.note.component, then.note.component != now.note.component) {
        because = format!("{because}; recorded on {there} then");
    }
    let renamed = renamed.map(|(how, _)| how);
    Change { standing, earlier: Some(then), later: Some(now), because, renamed }
}

#[cfg(test)]
#[path = "change_tests.rs"]
mod tests;
