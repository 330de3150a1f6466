//! The comparison as plain text for a terminal, in aligned columns.

use std::fmt::Write as _;

use super::decision::Verdict;
use super::outcome::{Accounted, Comparison, Finding, Line, Standing};
use super::scaling::Fitted;
use super::summary::{signed, signed_percent};

/// The widest a column of words grows; longer words are cut with `…`.
const WIDEST: usize = 34;

/// The comparison in aligned columns: component and feature, both sides, the difference, the finding, the reasons.
pub fn as_text(comparison: &Comparison<'_>) -> String {
    let mut text = String::new();
    for (role, piece) in [("compared", &comparison.subject), ("with", &comparison.other)] {
        let words = [piece.number, piece.name, piece.nature, piece.date];
        let words: Vec<&str> = words.into_iter().filter(|w| !w.is_empty()).collect();
        let _ = writeln!(text, "{role:<9} {}", words.join(", "));
    }
    let _ = writeln!(text, "\n{}", comparison.summary());
    let heads = [comparison.subject.number, comparison.other.number];
    for group in &comparison.groups {
        let _ = write!(text, "\n{}\n{}", group.title, table(&group.lines, heads));
    }
    if !comparison.proportions.is_empty() {
        let _ = write!(
            text,
            "\nProportions (they follow from the dimensions, and are not counted above)\n{}",
            table(&comparison.proportions, heads)
        );
    }
    fits(&mut text, comparison);
    list(&mut text, "Differences without a departure", &comparison.unexplained());
    list(&mut text, "Departures without a difference", &comparison.departures_without_difference);
    list(&mut text, "Departures that these records cannot test", &comparison.departures_untested);
    text.push_str("\nTolerances\n");
    let words = comparison.basis.tolerances.in_words();
    let width = words.iter().map(|(what, _)| what.chars().count()).max().unwrap_or(0);
    for (what, rule) in words {
        let _ = writeln!(text, "  {what:<width$}  {rule}");
    }
    text.push_str(
        "\nDifference: compared piece minus the other, ± expanded uncertainty for 95 %. A value agrees when the\n\
         difference and its uncertainty lie within the tolerance, and differs when they lie beyond it (ISO 14253-1).\n\
         Known by: the weaker evidence of the two.\n",
    );
    text
}

/// What each fitted factor was fitted to, with what is left.
fn fits(text: &mut String, comparison: &Comparison<'_>) {
    let Some(scaling) = &comparison.scaling else { return };
    let factors =
        [("lengths and girths", &scaling.lengths), ("lengths", &scaling.lengths), ("girths", &scaling.girths)];
    let wanted = if scaling.one_fit { &factors[..1] } else { &factors[1..] };
    for (what, factor) in wanted {
        let Some(factor) = factor.as_ref().filter(|f| !f.fitted_to.is_empty()) else { continue };
        let _ = writeln!(text, "\nFitted factor for {what}: {}", factor.words());
        for Fitted { component, feature, subject, other, residual, .. } in &factor.fitted_to {
            let left = signed(*residual, 0.05, "mm");
            let _ = writeln!(text, "  {component}, {feature}: {subject:.1} mm beside {other:.1} mm; left over {left}");
        }
    }
}

/// The words for a finding: `agree`, `differ`, `cannot tell`, with the relation of terms.
pub fn finding_words(line: &Line<'_>) -> String {
    let Some(verdict) = line.verdict() else { return "recorded on one only".into() };
    let verdict = verdict.words();
    let absent = [&line.subject, &line.other].map(|side| side.standing == Standing::Absent);
    match &line.finding {
        Finding::Term { .. } if absent[0] != absent[1] => format!("{verdict}: known to be absent on one"),
        Finding::Term { relation } => match relation {
            super::Relation::Identical | super::Relation::Different => verdict.into(),
            other => format!("{verdict}: {}", other.words()),
        },
        _ => verdict.into(),
    }
}

/// The difference of a line of figures with its expanded uncertainty and per cent, blank for terms.
pub fn difference_words(line: &Line<'_>) -> (String, String) {
    match &line.finding {
        Finding::Number(f) => {
            (signed(f.difference, f.expanded, line.unit), f.percent.map(signed_percent).unwrap_or_default())
        }
        Finding::Colour(f) => (format!("ΔE00 {:.1} ± {:.1}", f.de00, f.expanded), String::new()),
        _ => (String::new(), String::new()),
    }
}

fn table(lines: &[Line<'_>], [subject, other]: [&str; 2]) -> String {
    let mut rows = vec![vec![
        "component".to_string(),
        "feature".into(),
        subject.into(),
        other.into(),
        "difference".into(),
        String::new(),
        "finding".into(),
        "known by".into(),
    ]];
    for line in lines {
        let (difference, percent) = difference_words(line);
        rows.push(vec![
            line.component.to_string(),
            line.feature().into_owned(),
            line.subject.words().into_owned(),
            line.other.words().into_owned(),
            difference,
            percent,
            finding_words(line),
            line.weakest_evidence(),
        ]);
    }
    let widths: Vec<usize> =
        (0..rows[0].len()).map(|c| rows.iter().map(|r| r[c].chars().count().min(WIDEST)).max().unwrap_or(0)).collect();
    let mut text = String::new();
    for (i, row) in rows.iter().enumerate() {
        let mut out = String::from("  ");
        for (cell, width) in row.iter().zip(&widths) {
            let cell = cut(cell);
            let pad = width.saturating_sub(cell.chars().count());
            let _ = write!(out, "{cell}{}  ", " ".repeat(if *width == 0 { 0 } else { pad }));
        }
        let _ = writeln!(text, "{}", out.trim_end());
        if let Some(line) = i.checked_sub(1).and_then(|i| lines.get(i)) {
            for remark in remarks(line) {
                let _ = writeln!(text, "      {remark}");
            }
        }
    }
    text
}

fn remarks(line: &Line<'_>) -> Vec<String> {
    let departures = line.departures.iter().map(|d| {
        let note = d.note.as_ref().map(|n| format!(": {n}")).unwrap_or_default();
        let learned = d.learned.as_ref().map(|l| format!("; for next time: {l}")).unwrap_or_default();
        format!("departure ({}){note}{learned}", d.reason)
    });
    let scaled = line.other_scaled();
    let scaled = (!scaled.is_empty()).then(|| format!("at the same size: {scaled}"));
    let unsettled =
        (line.verdict() == Some(Verdict::CannotTell)).then(|| line.in_words()).filter(|words| !words.is_empty());
    let colour = matches!(line.finding, Finding::Colour(_)).then(|| line.in_words());
    let unsettled = colour.or(unsettled);
    scaled.into_iter().chain(line.caveat.iter().map(ToString::to_string)).chain(unsettled).chain(departures).collect()
}

fn cut(text: &str) -> String {
    if text.chars().count() <= WIDEST {
        return text.into();
    }
    text.chars().take(WIDEST - 1).chain(['…']).collect()
}

fn list(text: &mut String, title: &str, entries: &[Accounted]) {
    if entries.is_empty() {
        return;
    }
    let _ = writeln!(text, "\n{title}");
    for entry in entries {
        let place = if entry.component.is_empty() { String::new() } else { format!("{}, ", entry.component) };
        let _ = writeln!(text, "  {place}{}: {}", entry.feature, entry.what);
    }
}
