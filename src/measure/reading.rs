//! From a text to a quantity: hedges (`c.`, `at least`), ranges, `±`, and the figures between them.
//!
//! Conventions for the standard uncertainty u, all in the spirit of GUM 4.3:
//! - a plain figure: the step it is written in, divided by √12 (see [`super::figure`] for the step);
//! - a range: half its width divided by √3, and never less than its finer end is written;
//! - `about`: a further half width of 5 % of the value (1 °C for a temperature), divided by √3;
//! - a figure after `±` is the standard uncertainty itself, unless `(k=2)` or `(95 %)` follows;
//! - a plain count of separate things has none.

use super::hedge::{Marks, eat_coverage, eat_plus_minus, eat_to, marks_after, marks_before};
use super::{
    Agreement, Bound, Kind, Quantity, Unreadable, amount, amount::Amount, cursor::Cursor, density, scale, units, yarn,
};

/// Half width that `about` adds, as a part of the value.
const ABOUT: f64 = 0.05;

/// What the figures say, before the words around them are counted.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reading {
    pub(crate) value: f64,
    pub(crate) u: f64,
    pub(crate) bound: Bound,
    /// The unit itself is known only roughly.
    pub(crate) rough: bool,
}

impl Reading {
    pub(crate) fn plain(value: f64, u: f64) -> Reading {
        Reading { value, u, bound: Bound::Plain, rough: false }
    }

    pub(crate) fn stated(value: f64, u: f64) -> Reading {
        Reading { value, u, bound: Bound::Stated, rough: false }
    }

    /// A range from `low` to `high`; `least` is the uncertainty that the writing of either end leaves anyway.
    pub(crate) fn range(low: f64, high: f64, least: f64) -> Reading {
        let u = ((high - low).abs() / 2.0 / 3f64.sqrt()).max(least);
        Reading { value: f64::midpoint(low, high), u, bound: Bound::Range, rough: false }
    }
}

/// Reads `text` as a quantity of `kind`.
pub(crate) fn read(kind: Kind, text: &str) -> Result<Quantity, Unreadable> {
    attempt(kind, text).map_err(|mut refusal| {
        // A proposal is made only if it would be accepted.
        refusal.nearest = refusal.nearest.take().filter(|proposal| attempt(kind, proposal).is_ok());
        refusal
    })
}

fn attempt(kind: Kind, text: &str) -> Result<Quantity, Unreadable> {
    match kind {
        Kind::Extent => extent(text),
        Kind::Length => stated_twice(text).unwrap_or_else(|| once(kind, text)),
        _ => once(kind, text),
    }
}

/// `27 1/2 in (69.9 cm)`: a length in both systems. The first is the reading; the second must agree with it.
fn stated_twice(text: &str) -> Option<Result<Quantity, Unreadable>> {
    let open = text.find(['(', '['])?;
    let inside = text[open + 1..].trim_end().strip_suffix([')', ']'])?;
    let first = once(Kind::Length, &text[..open]).ok()?;
    let second = once(Kind::Length, inside).ok()?;
    // Millimetres are the only unit that a figure is compared in; which of the two is metric is told by its unit.
    let inches = |part: &str| units::mentions_inches(part);
    let agreement = match (inches(&text[..open]), inches(inside)) {
        (true, false) => Agreement::between(&second, &first),
        (false, true) => Agreement::between(&first, &second),
        _ => return None,
    };
    Some(match agreement {
        Agreement::Agree => Ok(Quantity { as_written: text.trim().to_string(), ..first }),
        Agreement::Contradict(_) => Err(Unreadable::new(
            open,
            format!("the two do not agree: {} against {}", first.display_si(), second.display_si()),
        )
        .nearest(text[..open].trim())),
    })
}

fn once(kind: Kind, text: &str) -> Result<Quantity, Unreadable> {
    let mut cursor = Cursor::new(text);
    if cursor.at_end() {
        return Err(Unreadable::new(0, format!("nothing is written where a {kind} is wanted")));
    }
    let quantity = next(&mut cursor, kind)?;
    if !cursor.at_end() {
        cursor.skip_blanks();
        let left = cursor.rest().trim();
        return Err(Unreadable::new(cursor.at, format!("`{left}` is left over after the {kind}"))
            .nearest(text[..cursor.at].trim()));
    }
    Ok(quantity)
}

/// Reads the quantity that stands here and leaves the cursor behind it, so that a line can hold several.
pub(crate) fn next(cursor: &mut Cursor, kind: Kind) -> Result<Quantity, Unreadable> {
    let start = cursor.at;
    let mut marks = Marks::default();
    marks_before(cursor, &mut marks);
    let mut reading = match kind {
        Kind::Density => density::read(cursor)?,
        Kind::Yarn => yarn::read(cursor)?,
        Kind::Scale => scale::read(cursor)?,
        _ => figures(cursor, kind, marks.between)?,
    };
    marks_after(cursor, &mut marks);
    if marks.approximate || reading.rough {
        widen(&mut reading, kind);
    }
    plausible(kind, reading.value)?;
    if reading.bound == Bound::Stated && reading.u <= 0.0 {
        return Err(Unreadable::new(cursor.at, "an uncertainty of nothing is no uncertainty: leave the `±` out"));
    }
    if !reading.u.is_finite() || reading.u > limits(kind).1 {
        return Err(Unreadable::new(0, format!("the uncertainty is out of reason for a {kind}")));
    }
    let bound = match (marks.limit, marks.approximate || reading.rough) {
        (Some(limit), _) => limit,
        (None, true) => Bound::Approximate,
        (None, false) => reading.bound,
    };
    let as_written = cursor.text.get(start..cursor.at).unwrap_or("").trim().to_string();
    Ok(Quantity { as_written, kind, value: reading.value, u: reading.u, bound })
}

/// How a yarn number that can be read is put.
pub(crate) fn yarn_put(text: &str) -> Option<yarn::Put> {
    let mut cursor = Cursor::new(text);
    marks_before(&mut cursor, &mut Marks::default());
    yarn::read_with(&mut cursor).ok().map(|(_, put)| put)
}

/// An extent is whichever of a percentage, an area, a length or a bare count is written.
fn extent(text: &str) -> Result<Quantity, Unreadable> {
    let kinds = [Kind::Percent, Kind::Area, Kind::Length, Kind::Count];
    let mut refusals = Vec::new();
    for kind in kinds {
        match attempt(kind, text) {
            Ok(quantity) => return Ok(quantity),
            Err(refusal) => refusals.push(refusal),
        }
    }
    let furthest = refusals.iter().map(|refusal| refusal.at).max().unwrap_or(0);
    let nearest =
        kinds.iter().zip(&refusals).filter(|(_, refusal)| refusal.at == furthest).find_map(|(kind, refusal)| {
            refusal.nearest.clone().filter(|proposal| *kind != Kind::Percent && attempt(*kind, proposal).is_ok())
        });
    let word = text.get(furthest..).unwrap_or("").trim();
    let why = if word.is_empty() {
        "an extent is wanted: a count (`3`), a length (`12 mm`), an area (`4 cm²`) or a percentage (`10 %`)".to_string()
    } else {
        format!("`{word}` does not belong to an extent: write a count alone, a length, an area or a percentage")
    };
    Err(Unreadable { at: furthest, why, nearest })
}

fn figures(cursor: &mut Cursor, kind: Kind, between: bool) -> Result<Reading, Unreadable> {
    if kind == Kind::Area
        && let Some(reading) = product(cursor)?
    {
        return Ok(reading);
    }
    let times = kind == Kind::Count && cursor.eat_any(&["×", "x"]);
    let first = amount::read(cursor, kind)?;
    if kind == Kind::Count && !times {
        cursor.eat_any(&["×", "x"]);
    }
    if eat_plus_minus(cursor) {
        return stated(cursor, kind, &first);
    }
    let mut ahead = *cursor;
    if eat_to(&mut ahead, between) && amount::begins(&ahead, kind) {
        *cursor = ahead;
        return range(cursor, kind, &first);
    }
    first.counted_whole(kind)?;
    let known = first.known(kind, None, cursor)?;
    let u = if kind == Kind::Count { 0.0 } else { known.u };
    Ok(Reading { value: known.value, u, bound: Bound::Plain, rough: known.rough })
}

fn stated(cursor: &mut Cursor, kind: Kind, first: &Amount) -> Result<Reading, Unreadable> {
    let second = amount::read(cursor, kind)?;
    let value = first.known(kind, second.sole_unit(), cursor)?;
    let spread = second.known(kind, None, cursor)?;
    let u = spread.size.abs() / eat_coverage(cursor);
    Ok(Reading { rough: value.rough, ..Reading::stated(value.value, u) })
}

fn range(cursor: &mut Cursor, kind: Kind, first: &Amount) -> Result<Reading, Unreadable> {
    let second = amount::read(cursor, kind)?;
    first.counted_whole(kind)?;
    second.counted_whole(kind)?;
    let low = first.known(kind, second.sole_unit(), cursor)?;
    let high = second.known(kind, None, cursor)?;
    plausible(kind, low.value)?;
    plausible(kind, high.value)?;
    if low.value > high.value {
        return Err(backwards(cursor, first.start, first.end(), second.start, second.end()));
    }
    let least = if kind == Kind::Count { 0.0 } else { low.u.min(high.u) };
    Ok(Reading { rough: low.rough || high.rough, ..Reading::range(low.value, high.value, least) })
}

/// The refusal of a range whose first end is the larger, with the ends exchanged as the proposal.
pub(crate) fn backwards(cursor: &Cursor, start: usize, end: usize, second: usize, second_end: usize) -> Unreadable {
    let text = cursor.text;
    let part = |from: usize, to: usize| text.get(from..to).unwrap_or("").trim();
    let turned = format!("{} – {}", part(second, second_end), part(start, end));
    Unreadable::new(second, "the range ends below its beginning")
        .nearest(units::splice(text, start, second_end, &turned))
}

/// Two sides multiplied, `2 x 3 cm`; `None` when no second side follows.
fn product(cursor: &mut Cursor) -> Result<Option<Reading>, Unreadable> {
    let mut ahead = *cursor;
    let Ok(first) = amount::read(&mut ahead, Kind::Length) else { return Ok(None) };
    if !ahead.eat_any(&["×", "x", "*", "by"]) {
        return Ok(None);
    }
    *cursor = ahead;
    let second = amount::read(cursor, Kind::Length)?;
    let (a, b) = match (first.known(Kind::Length, second.sole_unit(), cursor), second.known(Kind::Length, None, cursor))
    {
        (Ok(a), Ok(b)) => (a, b),
        (_, Err(refusal)) | (Err(refusal), _) => return Err(refusal),
    };
    let u = (b.value * a.u).hypot(a.value * b.u);
    let reading = Reading::plain(a.value * b.value, u);
    Ok(Some(Reading { rough: a.rough || b.rough, ..reading }))
}

/// The half width that `about` adds.
fn widen(reading: &mut Reading, kind: Kind) {
    if reading.bound == Bound::Stated || kind == Kind::Scale {
        return;
    }
    let half_width = if kind == Kind::Temperature { 1.0 } else { ABOUT * reading.value.abs() };
    // A count without `about` is exact; with it, the single thing is the step.
    let step = if kind == Kind::Count && reading.bound == Bound::Plain { 1.0 / 12f64.sqrt() } else { 0.0 };
    reading.u = reading.u.hypot(half_width / 3f64.sqrt()).hypot(step);
}

/// The least and the most that a garment or a store room can show, in the unit of the kind.
fn limits(kind: Kind) -> (f64, f64) {
    match kind {
        Kind::Length => (0.0, 1e7),
        Kind::Area | Kind::Count => (0.0, 1e9),
        Kind::Density | Kind::Percent => (0.0, 1000.0),
        Kind::Mass | Kind::MassPerArea | Kind::Yarn | Kind::Duration => (0.0, 1e6),
        Kind::Angle => (-360.0, 360.0),
        Kind::Temperature => (-273.15, 1000.0),
        // Full sun is about 100,000 lx; no lamp gives as much as 10,000 µW/lm.
        Kind::Illuminance => (0.0, 2e5),
        Kind::Ultraviolet => (0.0, 1e4),
        Kind::Scale => (1e-6, 1e6),
        Kind::Extent => (0.0, f64::MAX),
    }
}

/// Refuses what lies outside the limits of its kind.
fn plausible(kind: Kind, value: f64) -> Result<(), Unreadable> {
    let (least, most) = limits(kind);
    if value >= least && value <= most {
        return Ok(());
    }
    let unit = kind.unit();
    let shown = if value.abs() < 1e15 { super::rounding::plain(value) } else { format!("{value:e}") };
    let why = format!("a {kind} of {shown} {unit} is out of reason: from {least} to {most} {unit} is read");
    Err(Unreadable::new(0, why))
}
