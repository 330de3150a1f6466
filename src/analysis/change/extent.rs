//! Extents compared with their standard uncertainties, and severities by their rank.

use super::{COVERAGE, Standing};
use crate::analysis::series::unit;
use crate::measure::{Bound, Kind, Quantity};
use crate::vocabulary::{TermId, Vocabulary};

/// How `now` stands to `then`, or none where the two cannot be compared; and why.
pub(super) fn extents(then: &Quantity, now: &Quantity) -> (Option<Standing>, String) {
    if then.kind != now.kind {
        return (None, format!("a {} cannot be compared with a {}", then.kind.name(), now.kind.name()));
    }
    let (difference, limit) = (now.value - then.value, COVERAGE * then.u.hypot(now.u));
    let figures = format!("difference {}, limit {}", figure(difference, then.kind), figure(limit, then.kind));
    if !difference.is_finite() || !limit.is_finite() {
        return (None, "an extent has no finite value".to_owned());
    }
    let limits = [then, now].iter().any(|q| matches!(q.bound, Bound::AtLeast | Bound::AtMost));
    if difference.abs() <= limit {
        // Two limits that agree say nothing of what lies behind them.
        return if limits {
            (None, format!("an extent is only a limit; {figures}"))
        } else {
            (Some(Standing::Unchanged), figures)
        };
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

pub(super) fn severities(
    then: Option<&TermId>,
    now: Option<&TermId>,
    vocabulary: &Vocabulary,
) -> Option<(Standing, String)> {
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

/// Whether nothing of the damage was found.
pub(in crate::analysis) fn is_nought(q: &Quantity) -> bool {
    q.value == 0.0
}

fn figure(value: f64, kind: Kind) -> String {
    let (factor, unit) = unit(kind);
    let size = (value * factor).abs();
    let digits = if size.fract() == 0.0 || size >= 100.0 {
        0
    } else if size >= 1.0 {
        1
    } else {
        2
    };
    let minus = if value < 0.0 { "−" } else { "" };
    format!("{minus}{size:.digits$} {unit}").trim_end().to_owned()
}
