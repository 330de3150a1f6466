//! From readings to one figure: repeated readings and the instrument brought together by the rules of the GUM.

use super::rounding::{four_figures, plus_minus};
use super::{Bound, Kind, Quantity, coverage, statistics};

/// What is known of a quantity after all its readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The mean of the readings, in the unit of their kind.
    pub value: f64,
    /// Combined standard uncertainty, in the same unit.
    pub u: f64,
    /// How many readings.
    pub n: usize,
    /// Effective degrees of freedom (Welch–Satterthwaite, GUM G.4), not yet truncated.
    pub dof: f64,
    /// The part of `u` that every reading with the same instrument shares: it does not average out, adds up in a
    /// sum, and cancels in a difference.
    pub shared: f64,
}

impl Estimate {
    /// A figure with this standard uncertainty, of which nothing is shared and whose u is known well.
    pub fn new(value: f64, u: f64) -> Estimate {
        Estimate { value, u: u.abs(), n: 1, dof: f64::INFINITY, shared: 0.0 }
    }

    /// A figure without uncertainty.
    pub fn exact(value: f64) -> Estimate {
        Estimate::new(value, 0.0)
    }

    /// A figure that may lie anywhere between two ends (rectangular distribution, GUM 4.3.7).
    pub fn between(low: f64, high: f64) -> Estimate {
        Estimate::new(f64::midpoint(low, high), (high - low) / 12f64.sqrt())
    }

    /// A result with the shares that its inputs have in the uncertainty, each the partial derivative times u of that
    /// input: u = √Σ(∂f/∂xᵢ·uᵢ)² (GUM 5.1.2, inputs independent). Where a formula is not hot, [`super::propagate`]
    /// finds the derivatives itself.
    pub(crate) fn from_shares(value: f64, shares: &[f64]) -> Estimate {
        Estimate::new(value, shares.iter().fold(0.0, |sum: f64, share| sum.hypot(*share)))
    }

    /// The same in another unit.
    #[must_use]
    pub fn times(self, factor: f64) -> Estimate {
        let size = factor.abs();
        Estimate { value: self.value * factor, u: self.u * size, shared: self.shared * size, ..self }
    }

    /// The ends of value ± 2 u: where the true value lies in about 95 of 100 cases. Neither is below nothing.
    pub fn range(&self) -> (f64, f64) {
        ((self.value - 2.0 * self.u).max(0.0), (self.value + 2.0 * self.u).max(0.0))
    }

    /// Value and uncertainty to the place that the uncertainty supports: `23.6 ± 0.2`.
    pub fn shown(&self) -> String {
        let exact = self.u < 1e-9 * self.value.abs().max(1.0);
        if exact { four_figures(self.value) } else { plus_minus(self.value, self.u) }
    }

    /// Both numbers can be printed and reckoned with.
    pub fn is_sound(&self) -> bool {
        self.value.is_finite() && self.u.is_finite()
    }

    /// The same figure, taken with an instrument that may be out by `limit` either way. Nothing is known between
    /// the limits, so the standard uncertainty is limit/√3 (GUM 4.3.7).
    #[must_use]
    pub fn with_error_limit(self, limit: f64) -> Estimate {
        let error = limit.abs() / 3f64.sqrt();
        self.known_to(self.u.hypot(error), self.shared.hypot(error))
    }

    /// The standard uncertainty without the shared part.
    pub fn own(&self) -> f64 {
        (self.u * self.u - self.shared * self.shared).max(0.0).sqrt()
    }

    /// The same figure without the shared part: what a comparison with another figure of the same instrument needs.
    #[must_use]
    pub fn without_shared(self) -> Estimate {
        self.known_to(self.own(), 0.0)
    }

    /// With another uncertainty, the part from the readings being what it was: by Welch and Satterthwaite the degrees
    /// of freedom go with its fourth power.
    fn known_to(self, u: f64, shared: f64) -> Estimate {
        let dof = if self.dof.is_finite() && self.u > 0.0 { self.dof * (u / self.u).powi(4) } else { self.dof };
        Estimate { u, dof, shared, ..self }
    }

    /// The expanded uncertainty U for 95 % and its coverage factor k, with the degrees of freedom truncated
    /// to a whole number (GUM G.4.1).
    pub fn expanded(&self) -> (f64, f64) {
        let k = coverage(self.dof);
        (self.u * k, k)
    }
}

impl From<&Quantity> for Estimate {
    /// A quantity as it was written: one reading.
    fn from(q: &Quantity) -> Estimate {
        Estimate::new(q.value, q.u)
    }
}

/// Combines repeated readings of one thing (type A) with the resolution of instrument or writing (type B).
///
/// The value is the mean; type A is s/√n. A `resolution` d, written as a quantity (`1 mm`), adds d/√12 once:
/// every reading shares it, so it does not average out. Without one, what the readings' own writing allows is
/// shared in the same way: the finest of the plain readings (one hand with one tape writes `27` for 27 0/8)
/// and the root mean square of those that state their own `±`. Readings marked approximate, limited or given
/// as a range bring their own uncertainty each. Counts over a length differ by the place of the window, so
/// there the larger of the spread and the counting uncertainty is averaged instead.
///
/// `None` when there is no reading, when kinds are mixed, or when the resolution is of another kind.
pub fn combine(readings: &[Quantity], resolution: Option<&Quantity>) -> Option<Estimate> {
    let kind = readings.first()?.kind;
    if readings.iter().any(|q| q.kind != kind) || resolution.is_some_and(|d| d.kind != kind) {
        return None;
    }
    let values: Vec<f64> = readings.iter().map(|q| q.value).collect();
    let n = values.len() as f64;
    let value = statistics::mean(&values)?;
    let spread = statistics::stdev(&values).unwrap_or(0.0);
    let instrument = resolution.map(|d| d.value.abs() / 12f64.sqrt());

    let (type_a, type_b) = if kind == Kind::Density {
        let counting = (readings.iter().map(|q| q.u * q.u).sum::<f64>() / n).sqrt();
        let shared = instrument.unwrap_or(0.0);
        if spread > counting { (spread / n.sqrt(), shared) } else { (0.0, shared.hypot(counting / n.sqrt())) }
    } else {
        (spread / n.sqrt(), shared_and_own(readings, instrument))
    };
    let u = type_a.hypot(type_b);
    let dof = if type_a > 0.0 { (n - 1.0) * (u / type_a).powi(4) } else { f64::INFINITY };
    Some(Estimate { value, u, n: readings.len(), dof, shared: 0.0 })
}

/// Type B of a series: the shared part kept whole, and what single readings add, averaged.
fn shared_and_own(readings: &[Quantity], instrument: Option<f64>) -> f64 {
    let n = readings.len() as f64;
    let of = |wanted: &'static [Bound]| readings.iter().filter(|q| wanted.contains(&q.bound)).map(|q| q.u);
    let finest = of(&[Bound::Plain]).reduce(f64::min).unwrap_or(0.0);
    let stated: Vec<f64> = of(&[Bound::Stated]).collect();
    let stated_share =
        if stated.is_empty() { 0.0 } else { (stated.iter().map(|u| u * u).sum::<f64>() / stated.len() as f64).sqrt() };
    let own: f64 =
        of(&[Bound::Approximate, Bound::AtLeast, Bound::AtMost, Bound::Range]).map(|u| (u / n).powi(2)).sum();
    let shared = match instrument {
        Some(d) => d.max(stated_share),
        None => finest.max(stated_share),
    };
    shared.hypot(own.sqrt())
}
