//! Do the parts add up to the whole? Eight panels against one circumference.

use super::{Estimate, coverage, welch_satterthwaite};

/// One part of a whole, or several that are alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// The length of one.
    pub estimate: Estimate,
    /// How many are alike: one was measured and stands for them all, so its error counts that many times.
    pub times: u32,
}

/// What the parts make together, and how that compares with the whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closure {
    /// The sum of the parts.
    pub sum: Estimate,
    /// How many parts there are, alike ones counted each.
    pub parts: u32,
    /// The whole, where it was measured.
    pub against: Option<Against>,
}

/// The parts against the whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Against {
    /// The whole, as measured.
    pub whole: Estimate,
    /// Sum minus whole: positive when the parts make more than the whole.
    pub excess: f64,
    /// Standard uncertainty of the excess.
    pub u: f64,
    /// Expanded uncertainty of the excess for 95 %.
    pub expanded: f64,
    /// Whether the parts add up to the whole within their expanded uncertainty.
    pub closes: bool,
    /// The excess that falls on each part, as an interval for 95 %.
    pub each: (f64, f64),
}

/// Adds up the parts, and compares them with the whole where there is one.
///
/// What each part has of its own adds as squares; what the instrument shares ([`Estimate::shared`]) adds as it
/// stands, once for every time the instrument was laid on. With `same_instrument` the whole was taken with it too,
/// and of the shared part what is left in the difference is that of all layings but one (GUM 5.2.2).
///
/// `None` without a part, or where a part stands for none.
pub fn closure(parts: &[Part], whole: Option<Estimate>, same_instrument: bool) -> Option<Closure> {
    let count: u32 = parts.iter().try_fold(0_u32, |sum, part| sum.checked_add(part.times))?;
    if parts.is_empty() || parts.iter().any(|part| part.times == 0) {
        return None;
    }
    let times = |part: &Part| f64::from(part.times);
    let value: f64 = parts.iter().map(|part| times(part) * part.estimate.value).sum();
    let mut own: Vec<(f64, f64)> =
        parts.iter().map(|part| (times(part) * part.estimate.own(), part.estimate.without_shared().dof)).collect();
    let shared: f64 = parts.iter().map(|part| times(part) * part.estimate.shared).sum();
    let n = parts.iter().map(|part| part.estimate.n).sum();
    let u_own = own.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
    let with_shared = |own: &[(f64, f64)], shared: f64| {
        let mut all = own.to_vec();
        all.push((shared, f64::INFINITY));
        welch_satterthwaite(&all)
    };
    let sum = Estimate { value, u: u_own.hypot(shared), n, dof: with_shared(&own, shared), shared };
    let against = whole.map(|whole| {
        let excess = value - whole.value;
        own.push((whole.own(), whole.without_shared().dof));
        let left = if same_instrument { shared - whole.shared } else { shared.hypot(whole.shared) };
        let u = own.iter().map(|(u, _)| u * u).sum::<f64>().sqrt().hypot(left);
        let expanded = u * coverage(with_shared(&own, left));
        let each = f64::from(count);
        Against {
            whole,
            excess,
            u,
            expanded,
            closes: excess.abs() <= expanded,
            each: ((excess - expanded) / each, (excess + expanded) / each),
        }
    });
    Some(Closure { sum, parts: count, against })
}
