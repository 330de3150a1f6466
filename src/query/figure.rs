//! Figures in a query: `>30`, `8..10/in`, `80cm`, and what they take in.

use super::mistake::Mistake;
use super::value::ends;
use crate::measure::{Bound, Kind, Quantity, Unreadable, YarnSystem};

/// Values of a figure that a query takes in, both ends included, in the unit of the kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lowest value; minus infinity where open.
    pub low: f64,
    /// Highest value; infinity where open.
    pub high: f64,
    /// The figure must lie between them with all of its uncertainty (±2 u), and not be a mere limit.
    pub surely: bool,
}

/// A share that no rule reads: values that differ by less are the same (31.5 in and 800.1 mm).
const NOISE: f64 = 1e-9;

fn below(value: f64) -> f64 {
    value - value.abs() * NOISE
}

fn above(value: f64) -> f64 {
    value + value.abs() * NOISE
}

/// Reads the value of a clause that takes a figure. Places in the mistake are those of `text`.
pub(super) fn read(kind: Kind, unit: &str, sign: &str, text: &str) -> Result<Bounds, Mistake> {
    let surely = sign == "=";
    if let Some((first, second)) = ends(text) {
        let later = (!second.text.is_empty()).then(|| quantity(kind, unit, second.text, second.at)).transpose()?;
        // A unit written once belongs to both ends.
        let shared = unit_of(second.text).filter(|_| unit_of(first.text).is_none()).map(str::trim);
        let unit = shared.unwrap_or(unit);
        let earlier = (!first.text.is_empty()).then(|| quantity(kind, unit, first.text, first.at)).transpose()?;
        let (a, b) = (earlier.map(|q| span(&q)), later.map(|q| span(&q)));
        // A count grows as the yarn grows finer: the ends change places.
        let (a, b) = match (a, b) {
            (Some(a), Some(b)) if kind == Kind::Yarn && a.1 > b.1 && counts(text) => (Some(b), Some(a)),
            (a, b) if kind == Kind::Yarn && counts(text) && (a.is_none() || b.is_none()) => (b, a),
            both => both,
        };
        let low = a.map_or(f64::NEG_INFINITY, |(value, _, _)| below(value));
        let high = b.map_or(f64::INFINITY, |(value, _, _)| above(value));
        if low > high {
            let turned = format!("{}..{}", second.text, first.text);
            return Err(Mistake::new(0..text.len(), "the first end is larger than the second").nearest([turned]));
        }
        return Ok(Bounds { low, high, surely });
    }
    let found = quantity(kind, unit, text, 0)?;
    let (value, least, most) = span(&found);
    let turned = kind == Kind::Yarn && counts(text);
    let (low, high) = match (sign, turned) {
        (">", false) | ("<", true) => (above(value), f64::INFINITY),
        (">=", false) | ("<=", true) => (below(value), f64::INFINITY),
        ("<", false) | (">", true) => (f64::NEG_INFINITY, below(value)),
        ("<=", false) | (">=", true) => (f64::NEG_INFINITY, above(value)),
        _ => (below(least), above(most)),
    };
    Ok(Bounds { low, high, surely })
}

/// The letters, signs and all that follow the figures.
fn unit_of(text: &str) -> Option<&str> {
    let digits = |c: char| c.is_numeric() || matches!(c, '.' | ',' | '±' | '-' | ' ' | '–');
    let at = text.find(|c: char| !digits(c))?;
    // `1/2 in` is a fraction, `10/in` is not.
    let rest = &text[at..];
    let fraction = rest.starts_with('/') && rest[1..].starts_with(|c: char| c.is_ascii_digit());
    if fraction { unit_of(&rest[1..]) } else { Some(rest) }
}

/// Whether the yarn number is written in a system that counts lengths.
fn counts(text: &str) -> bool {
    let unit = unit_of(text).unwrap_or_default().trim();
    YarnSystem::ALL.iter().any(|s| !s.is_direct() && s.sign().eq_ignore_ascii_case(unit))
        || unit == "lea"
        || unit.eq_ignore_ascii_case("NeC")
}

/// Value, and the ends of what is written like that: `80 cm` is what rounds to it, `12–14 in` what lies between.
fn span(q: &Quantity) -> (f64, f64, f64) {
    let half = match (q.bound, q.kind) {
        (Bound::Stated, _) => 2.0 * q.u,
        // A count over a length has u = 1/√6 of one (see the measuring room); what rounds to it is half of one away.
        (Bound::Plain, Kind::Density) => q.u * 6f64.sqrt() / 2.0,
        (_, Kind::Count) => 0.0,
        // Rectangular distribution (GUM 4.3.7): the half width is u·√3.
        _ => q.u * 3f64.sqrt(),
    };
    match q.bound {
        Bound::AtLeast => (q.value, q.value, f64::INFINITY),
        Bound::AtMost => (q.value, f64::NEG_INFINITY, q.value),
        _ => (q.value, q.value - half, q.value + half),
    }
}

fn quantity(kind: Kind, unit: &str, text: &str, at: usize) -> Result<Quantity, Mistake> {
    let complain = |e: Unreadable| {
        let from = (at + e.at).min(at + text.len());
        Mistake::new(from..at + text.len(), e.why).nearest(e.nearest)
    };
    match Quantity::parse(kind, text) {
        Ok(found) => Ok(found),
        Err(_) if !unit.is_empty() && unit_of(text).is_none() && !text.trim().is_empty() => {
            Quantity::parse(kind, &format!("{text} {unit}")).map_err(complain)
        }
        Err(refusal) => Err(complain(refusal)),
    }
}
