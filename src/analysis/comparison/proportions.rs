//! One dimension by another within each piece: shape apart from size.

use super::align::Pair;
use super::decision::{Enlarged, Figures, judge};
use super::features::Item;
use super::outcome::{Finding, Line, Side, Written};
use super::tolerance::{Measure, Tolerances};
use super::value::{Limit, Value};
use crate::measure::{Estimate, quotient};

/// Which dimension by which: the first of the second list that both pieces record (common practice, no source).
const PROPORTIONS: [(&str, &[&str]); 10] = [
    ("bust girth", &["waist girth"]),
    ("waist girth", &["nape to waist", "centre back length", "bodice length"]),
    ("hem girth", &["waist girth"]),
    ("sleeve length", &["across back", "across shoulders"]),
    ("upper arm girth", &["wrist girth", "cuff girth"]),
    ("across front", &["across back"]),
    ("collar depth", &["centre back length", "nape to waist"]),
    ("skirt length", &["waist girth", "bodice length"]),
    ("outside leg length", &["inside leg length"]),
    ("crown height", &["brim width"]),
];

/// The proportions that both pieces allow, one line each; of a dimension that is recorded left and right, each.
pub(super) fn of<'a>(pairs: &[Pair<'_, 'a>], tolerances: &Tolerances) -> Vec<Line<'a>> {
    let usable: Vec<(&str, &Pair<'_, 'a>)> = pairs.iter().filter_map(|pair| Some((usable(pair)?, pair))).collect();
    let named = |wanted: &'static str| usable.iter().filter(move |(name, _)| *name == wanted).map(|(_, pair)| *pair);
    let mut lines = Vec::new();
    for (above, belows) in PROPORTIONS {
        let mut above = named(above).peekable();
        if above.peek().is_none() {
            continue;
        }
        let Some(below) = belows.iter().find_map(|below| named(below).next()) else { continue };
        lines.extend(above.filter_map(|above| line(above, below, tolerances)));
    }
    lines
}

/// The dimension that both pieces record under one name, taken alike, as values and not as limits.
fn usable<'a>(pair: &Pair<'_, 'a>) -> Option<&'a str> {
    let (ours, theirs) = (pair.subject?, pair.other?);
    let usable = ours.name == theirs.name && length(ours).is_some() && length(theirs).is_some();
    (usable && pair.caveat().is_none()).then_some(ours.name)
}

fn length<'a>(item: &'a Item<'_>) -> Option<(Estimate, Option<&'a str>)> {
    match &item.aspects.first()?.value {
        Value::Figure { estimate, limit: Limit::None, instrument, .. } if estimate.value > 0.0 => {
            Some((*estimate, *instrument))
        }
        _ => None,
    }
}

/// One dimension by the other within a piece. With one tape for both, its error is shared.
fn proportion(above: &Item<'_>, below: &Item<'_>) -> Option<Estimate> {
    let ((a, with), (b, and)) = (length(above)?, length(below)?);
    let covariance = if with.is_some() && with == and { a.shared * b.shared } else { 0.0 };
    quotient(&a, &b, covariance)
}

fn line<'a>(above: &Pair<'_, 'a>, below: &Pair<'_, 'a>, tolerances: &Tolerances) -> Option<Line<'a>> {
    let sides = [(above.subject?, below.subject?), (above.other?, below.other?)];
    let [a, b] = [proportion(sides[0].0, sides[0].1)?, proportion(sides[1].0, sides[1].1)?];
    let figures = judge(&a, &b, false, Enlarged::NOT, tolerances.of(Measure::Proportion).between(a.value, b.value));
    let known = sides.map(|(above, below)| {
        let (x, y) = (above.known(), below.known());
        (weakest_word((x.evidence, x.certainty), (y.evidence, y.certainty)), x.examined.max(y.examined))
    });
    let side = |ratio: Estimate, at: usize| Side {
        standing: super::outcome::Standing::Recorded,
        as_written: Written::Text(format!("{:.3}", ratio.value).into()),
        value: Some(ratio.value),
        u: Some(ratio.u),
        unit: Some(""),
        evidence: known[at].0.0,
        certainty: known[at].0.1,
        examined: known[at].1,
    };
    let name = format!("{} by {}", sides[0].0.name, sides[0].1.name);
    Some(Line {
        component: above.component.clone(),
        place: above.place,
        item: name.into(),
        aspect: "",
        subject: side(a, 0),
        other: side(b, 1),
        finding: Finding::Number(Figures { ratio: None, ..figures }),
        unit: "",
        caveat: None,
        departures: Vec::new(),
        section_words: &[],
    })
}

/// The weaker of two, as evidence and certainty.
fn weakest_word<'a>(a: (&'a str, &'a str), b: (&'a str, &'a str)) -> (&'a str, &'a str) {
    (super::value::weaker_evidence(a.0, b.0), super::value::weaker_certainty(a.1, b.1))
}
