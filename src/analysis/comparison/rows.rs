//! The full comparison as rows of a table, for CSV: one a feature, every figure in a column of its own.

use super::outcome::{Comparison, Counts, Finding, Line, Side};
use super::text::finding_words;

/// The headings, and one row a feature of each comparison; proportions come after the features, in a group of their own.
pub fn rows(comparisons: &[Comparison<'_>]) -> (Vec<&'static str>, Vec<Vec<String>>) {
    let heading = vec![
        "piece",
        "other",
        "group",
        "component",
        "feature",
        "piece as written",
        "piece value",
        "piece u",
        "piece evidence",
        "piece certainty",
        "piece examined",
        "other as written",
        "other value",
        "other u",
        "other evidence",
        "other certainty",
        "other examined",
        "unit",
        "other at the same size",
        "difference",
        "expanded uncertainty",
        "coverage factor",
        "per cent",
        "ratio",
        "ratio expanded uncertainty",
        "tolerance",
        "p of equivalence",
        "finding",
        "in words",
        "bear in mind",
        "weakest evidence",
        "departures",
    ];
    let mut table = Vec::new();
    for comparison in comparisons {
        let named = comparison.groups.iter().flat_map(|g| g.lines.iter().map(move |l| (g.title, l)));
        for (group, line) in named.chain(comparison.proportions.iter().map(|l| ("Proportions", l))) {
            table.push(row(comparison, group, line));
        }
    }
    (heading, table)
}

fn row(comparison: &Comparison<'_>, group: &str, line: &Line<'_>) -> Vec<String> {
    let number = |x: f64| format!("{x}");
    let maybe = |x: Option<f64>| x.map(number).unwrap_or_default();
    let side = |side: &Side<'_>| {
        let day = side.examined.map(|day| day.to_string()).unwrap_or_default();
        let words = side.words().into_owned();
        [words, maybe(side.value), maybe(side.u), side.evidence.into(), side.certainty.into(), day]
    };
    let figures: [String; 9] = match &line.finding {
        Finding::Number(f) => [
            maybe(f.other_scaled),
            number(f.difference),
            number(f.expanded),
            number(f.k),
            maybe(f.percent),
            maybe(f.ratio.map(|r| r.value)),
            maybe(f.ratio.map(|r| r.expanded)),
            number(f.tolerance),
            number(f.equivalence()),
        ],
        Finding::Colour(f) => {
            let blank = String::new;
            [
                blank(),
                number(f.de00),
                number(f.expanded),
                blank(),
                blank(),
                blank(),
                blank(),
                number(f.tolerance),
                blank(),
            ]
        }
        _ => Default::default(),
    };
    let reasons = line.departures.iter().map(|d| {
        let parts = [Some(d.reason.clone()), d.note.clone(), d.learned.as_ref().map(|l| format!("for next time: {l}"))];
        parts.into_iter().flatten().collect::<Vec<_>>().join("; ")
    });
    let feature = line.feature();
    let start = [comparison.subject.number, comparison.other.number, group, &line.component, &feature];
    let mut row: Vec<String> = start.into_iter().map(str::to_owned).collect();
    row.extend(side(&line.subject));
    row.extend(side(&line.other));
    row.push(line.unit.into());
    row.extend(figures);
    row.extend([
        finding_words(line),
        line.in_words(),
        line.caveat.as_deref().unwrap_or_default().to_owned(),
        line.weakest_evidence(),
    ]);
    row.push(reasons.collect::<Vec<_>>().join(" | "));
    row
}

impl Counts {
    /// `12 agree, 3 differ, 2 cannot be told of 17`; `nothing on both` where there is nothing to say.
    pub fn words(&self) -> String {
        match self.on_both() {
            0 => "nothing on both".into(),
            both => {
                format!("{} agree, {} differ, {} cannot be told of {both}", self.agree, self.differ, self.cannot_tell)
            }
        }
    }
}
