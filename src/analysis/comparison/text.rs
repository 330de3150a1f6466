//! The comparison as plain text for a terminal, in aligned columns.

use std::fmt::Write as _;

use super::decision::Verdict;
use super::outcome::{Accounted, Comparison, Finding, Group, Line};
use super::summary::{signed, signed_percent};

/// The widest a column of words grows; longer words are cut with `…`.
const WIDEST: usize = 34;

/// The comparison in aligned columns: component and feature, both sides, the difference, the finding, the reasons.
pub fn as_text(comparison: &Comparison) -> String {
    let mut text = String::new();
    for (role, piece) in [("compared", &comparison.subject), ("with", &comparison.other)] {
        let words: Vec<&str> = [&piece.number, &piece.name, &piece.nature, &piece.date]
            .into_iter()
            .map(String::as_str)
            .filter(|w| !w.is_empty())
            .collect();
        let _ = writeln!(text, "{role:<9} {}", words.join(", "));
    }
    let _ = writeln!(text, "\n{}", comparison.summary);
    for group in &comparison.groups {
        let _ =
            write!(text, "\n{}\n{}", group.title, table(group, &comparison.subject.number, &comparison.other.number));
    }
    list(&mut text, "Differences without a departure", &comparison.unexplained);
    list(&mut text, "Departures without a difference", &comparison.departures_without_difference);
    list(&mut text, "Departures that these records cannot test", &comparison.departures_untested);
    text.push_str("\nTolerances\n");
    let words = comparison.tolerances.in_words();
    let width = words.iter().map(|(what, _)| what.chars().count()).max().unwrap_or(0);
    for (what, rule) in words {
        let _ = writeln!(text, "  {what:<width$}  {rule}");
    }
    text.push_str(
        "\nDifference: compared piece minus the other, ± expanded uncertainty for 95 %. A value agrees when the\n\
         difference and its uncertainty lie within the tolerance, and differs when they lie beyond it (ISO 14253-1).\n",
    );
    text
}

/// The words for a finding: `agree`, `differ`, `cannot tell`, with the relation of terms.
pub fn finding_words(line: &Line) -> String {
    let verdict = match line.verdict() {
        Some(Verdict::Agree) => "agree",
        Some(Verdict::Differ) => "differ",
        Some(Verdict::CannotTell) => "cannot tell",
        None => return "recorded on one only".into(),
    };
    match &line.finding {
        Finding::Term { relation } => match relation {
            super::Relation::Identical | super::Relation::Different => verdict.into(),
            other => format!("{verdict}: {}", other.words()),
        },
        _ => verdict.into(),
    }
}

/// The difference of a line of figures with its expanded uncertainty and per cent, blank for terms.
pub fn difference_words(line: &Line) -> (String, String) {
    match &line.finding {
        Finding::Number(f) => {
            (signed(f.difference, f.expanded, &line.unit), f.percent.map(signed_percent).unwrap_or_default())
        }
        _ => (String::new(), String::new()),
    }
}

fn table(group: &Group, subject: &str, other: &str) -> String {
    let mut rows = vec![vec![
        "component".to_string(),
        "feature".into(),
        subject.into(),
        other.into(),
        "difference".into(),
        String::new(),
        "finding".into(),
    ]];
    for line in &group.lines {
        let (difference, percent) = difference_words(line);
        rows.push(vec![
            line.component.clone(),
            line.feature.clone(),
            line.subject.words().into(),
            line.other.words().into(),
            difference,
            percent,
            finding_words(line),
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
        if let Some(line) = i.checked_sub(1).and_then(|i| group.lines.get(i)) {
            for remark in remarks(line) {
                let _ = writeln!(text, "      {remark}");
            }
        }
    }
    text
}

fn remarks(line: &Line) -> Vec<String> {
    let departures = line.departures.iter().map(|d| {
        let note = d.note.as_ref().map(|n| format!(": {n}")).unwrap_or_default();
        format!("departure ({}){note}", d.reason)
    });
    line.caveat.iter().cloned().chain(departures).collect()
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
