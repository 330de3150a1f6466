//! The result in a sentence or two that claim no more than the numbers, and the list of unexplained differences.

use std::fmt::Write as _;

use super::outcome::{Accounted, Counts, Finding, Heading, Line};
use super::scaling::Scaling;
use super::value::with_uncertainty;

/// A difference as a list of such names it.
pub(super) fn accounted(line: &Line<'_>) -> Accounted {
    Accounted {
        component: line.component.to_string(),
        feature: line.feature().into_owned(),
        what: format!("{} against {}{}", line.subject.words(), line.other.words(), amount(line)),
    }
}

fn amount(line: &Line<'_>) -> String {
    match &line.finding {
        Finding::Number(figures) => {
            let percent = figures.percent.map(|p| format!(", {}", signed_percent(p))).unwrap_or_default();
            let scaled = match line.other_scaled() {
                text if text.is_empty() => text,
                text => format!(" ({text} at the same size)"),
            };
            format!("{scaled}: {}{percent}", signed(figures.difference, figures.expanded, line.unit))
        }
        Finding::Colour(figures) => format!(": {}", figures.in_words()),
        Finding::Term { .. } => line.caveat.as_ref().map(|c| format!(": {c}")).unwrap_or_default(),
        _ => String::new(),
    }
}

/// `+12.0 ± 3.1 mm`, with a true minus sign.
pub(super) fn signed(difference: f64, expanded: f64, unit: &str) -> String {
    with_sign(&with_uncertainty(difference, expanded, unit), difference)
}

/// `+1.8 %`.
pub(super) fn signed_percent(percent: f64) -> String {
    let digits = match percent.abs() {
        size if size < 0.05 => "0".to_string(),
        size if size < 9.95 => format!("{percent:.1}"),
        _ => format!("{percent:.0}"),
    };
    with_sign(&format!("{digits} %"), percent)
}

fn with_sign(text: &str, value: f64) -> String {
    match text.strip_prefix('-') {
        Some(rest) => format!("−{rest}"),
        None if value > 0.0
            && text.starts_with(|c: char| c.is_ascii_digit())
            && !text.starts_with("0 ")
            && text != "0" =>
        {
            format!("+{text}")
        }
        None => text.into(),
    }
}

/// The result in words.
pub(super) fn sentence(
    (subject, other): (&Heading<'_>, &Heading<'_>),
    scaling: Option<&Scaling>,
    counts: &Counts,
    unexplained: usize,
) -> String {
    let (a, b) = (name(subject.number, "the first piece"), name(other.number, "the second piece"));
    let both = counts.on_both();
    let said = if both == 0 {
        format!("No feature is recorded on both {a} and {b}: nothing can be said of how they compare.")
    } else {
        format!(
            "Of {} recorded on both, {}, {}, and {} cannot be told.",
            features(both),
            verb(counts.agree, "agrees", "agree"),
            verb(counts.differ, "differs", "differ"),
            counts.cannot_tell
        )
    };
    let mut text = match scaling {
        Some(scaling) => format!("{} {said}", scaling.words(a, b)),
        None => said,
    };
    let gaps: Vec<String> = [(counts.only_subject, a, b), (counts.only_other, b, a)]
        .into_iter()
        .filter(|(n, ..)| *n > 0)
        .map(|(n, on, off)| format!("{} of {on} {} not recorded on {off}", features(n), is(n)))
        .collect();
    if !gaps.is_empty() {
        let _ = write!(text, " {}.", gaps.join(", and "));
    }
    let explained = counts.differ.saturating_sub(unexplained);
    match (counts.differ, explained) {
        (0, _) => {}
        (all, 0) => {
            let which = if all == 1 { "the 1 difference".into() } else { format!("any of the {all} differences") };
            let _ = write!(text, " No departure is recorded for {which}.");
        }
        (all, some) if all == some => {
            let which = if all == 1 { "the 1 difference".into() } else { format!("each of the {all} differences") };
            let _ = write!(text, " A departure is recorded for {which}.");
        }
        (all, some) => {
            let stand = verb(unexplained, "stands", "stand");
            let _ = write!(text, " A departure is recorded for {some} of the {all} differences; {stand} without one.");
        }
    }
    text
}

fn name<'a>(number: &'a str, otherwise: &'a str) -> &'a str {
    if number.is_empty() { otherwise } else { number }
}

fn features(n: usize) -> String {
    verb(n, "feature", "features")
}

fn is(n: usize) -> &'static str {
    if n == 1 { "is" } else { "are" }
}

fn verb(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}
