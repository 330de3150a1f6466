//! Two photographs laid over each other: both, where they differ, and whether that may be read as a change.

use serde::Serialize;

use super::Settings;
use super::words::{capital, day, joined, term, text};
use crate::analysis::comparability::{Comparability, Line};
use crate::photograph::{BLACK, Evened};
use crate::record::photograph::Photograph;
use crate::record::registration::Registration;

/// What a page shows of two photographs of which one was laid over the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// The `src` of the second as seen from where the first was taken.
    pub over: String,
    /// The `src` of the picture of differences.
    pub difference: String,
    /// The part of the first that the second shows as well, 0 to 1.
    pub shared: f64,
    /// ΔE00 that half of it stays below.
    pub median: f64,
    /// ΔE00 that 95 % of it stay below.
    pub p95: f64,
    /// How the colours were made comparable.
    pub evened: Evened,
}

/// Two photographs, ready to print.
#[derive(Debug, Serialize)]
pub(super) struct SideBySide {
    /// From 1, for names within the page.
    pub number: usize,
    /// What each shows, and when.
    pub first: String,
    pub second: String,
    pub src: String,
    pub over: String,
    pub difference: String,
    pub width: u32,
    pub height: u32,
    /// How the one lies over the other.
    pub lies: String,
    /// What the picture of differences says.
    pub differs: String,
    pub verdicts: [String; 2],
    pub conditions: Vec<Condition>,
}

/// One condition of both photographs.
#[derive(Debug, Serialize)]
pub(super) struct Condition {
    pub name: String,
    pub first: String,
    pub second: String,
    pub likeness: &'static str,
    pub limit: String,
}

/// Every pair among the photographs of which `wanted` is true: the one that stays, and the one laid over it; numbered from
/// `from`, so that several lists stand on one page.
pub(super) fn side_by_side<'a>(
    photographs: &[&'a Photograph],
    wanted: impl Fn(&'a Photograph, &'a Photograph) -> bool,
    from: usize,
    s: &Settings<'_>,
) -> Vec<SideBySide> {
    let mut pairs = Vec::new();
    for first in photographs {
        for by in &first.registered {
            let second = photographs.iter().find(|p| p.sha256 == by.other);
            let second = second.filter(|second| wanted(first, second));
            pairs.extend(second.and_then(|second| pair(first, second, by, s)));
        }
    }
    pairs.into_iter().zip(from..).map(|(p, number)| SideBySide { number, ..p }).collect()
}

fn pair(first: &Photograph, second: &Photograph, by: &Registration, s: &Settings<'_>) -> Option<SideBySide> {
    let laid = s.pictures.laid(first, second, by)?;
    let found = Comparability::of(first, second);
    let missed = match by.residual() {
        Some(r) => format!("{} marks, missed by {:.1} px (rms)", by.marks.len(), r.rms),
        None => format!("{} marks, which are met whatever they are", by.marks.len()),
    };
    Some(SideBySide {
        number: 0,
        first: called(first),
        second: called(second),
        src: s.pictures.view(&first.sha256)?,
        width: first.width,
        height: first.height,
        lies: format!(
            "Laid over by {missed}; {:.0} % of the first is shown by both. What does not lie in the plane of the marks is shifted.",
            laid.shared * 100.0
        ),
        differs: differs(&laid),
        over: laid.over,
        difference: laid.difference,
        verdicts: found.verdicts(),
        conditions: found.lines.into_iter().map(condition).collect(),
    })
}

fn differs(laid: &Laid) -> String {
    let evened = match laid.evened {
        Evened::ByTarget => "Colours are corrected by the colour target in each photograph.".to_owned(),
        Evened::ByMiddle([r, g, b]) => format!(
            "No colour target was read in both, so the second was evened to the first (red × {r:.2}, green × {g:.2}, \
             blue × {b:.2} in linear light): a change of the whole does not show."
        ),
    };
    format!(
        "White: no difference; black: ΔE00 of {BLACK:.0} or more; ruled: on the first only. Half of what both show differs by less \
         than ΔE00 {:.1}, 95 % by less than {:.1}. {evened} Creases, shadows and parallax show as well.",
        laid.median, laid.p95
    )
}

fn condition(line: Line) -> Condition {
    Condition {
        name: capital(line.condition),
        first: line.first,
        second: line.second,
        likeness: line.likeness.words(),
        limit: line.limit,
    }
}

/// `2018.2, front, after treatment, 14 November 2018`.
fn called(p: &Photograph) -> String {
    let stage = text(p.stage.as_ref());
    let stage = if stage.is_empty() { stage } else { format!("{stage} treatment") };
    joined(
        [
            p.number.clone(),
            term(p.view.as_ref()),
            text(p.component.as_ref()),
            stage,
            day(p.capture.day().or(p.examination)),
        ],
        ", ",
    )
}
