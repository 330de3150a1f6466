//! A figure with its standard uncertainty: what goes into the formulas of cloth, and what comes out.

use crate::measure::{Estimate, Quantity, plus_minus};

/// A value and its standard uncertainty, in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertain {
    /// The value.
    pub value: f64,
    /// Standard uncertainty; never negative.
    pub u: f64,
}

impl Uncertain {
    /// A value with its standard uncertainty.
    pub fn new(value: f64, u: f64) -> Uncertain {
        Uncertain { value, u: u.abs() }
    }

    /// A value without uncertainty.
    pub fn exact(value: f64) -> Uncertain {
        Uncertain::new(value, 0.0)
    }

    /// A value that may lie anywhere between two ends (rectangular distribution, GUM 4.3.7).
    pub fn between(low: f64, high: f64) -> Uncertain {
        Uncertain::new(f64::midpoint(low, high), (high - low) / 12f64.sqrt())
    }

    /// A result with the shares that its inputs have in the uncertainty, each the partial derivative times u of that
    /// input: u = √Σ(∂f/∂xᵢ·uᵢ)² (GUM 5.1.2, inputs independent).
    pub(super) fn from_shares(value: f64, shares: &[f64]) -> Uncertain {
        Uncertain::new(value, shares.iter().fold(0.0, |sum: f64, share| sum.hypot(*share)))
    }

    /// The same in another unit.
    #[must_use]
    pub fn times(self, factor: f64) -> Uncertain {
        Uncertain::new(self.value * factor, self.u * factor)
    }

    /// The ends of value ± 2 u: where the true value lies in about 95 of 100 cases. Neither is below nothing.
    pub fn range(self) -> (f64, f64) {
        ((self.value - 2.0 * self.u).max(0.0), (self.value + 2.0 * self.u).max(0.0))
    }

    /// Value and uncertainty to the place that the uncertainty supports: `23.6 ± 0.2`.
    pub fn shown(self) -> String {
        let u = if self.u < 1e-9 * self.value.abs().max(1.0) { 0.0 } else { self.u };
        if u > 0.0 { plus_minus(self.value, u) } else { figure(self.value) }
    }

    /// Both numbers can be printed and reckoned with.
    pub fn is_sound(self) -> bool {
        self.value.is_finite() && self.u.is_finite()
    }
}

/// A figure to four significant places and no idle zeros: enough for a conversion, where nothing says how well it is
/// known.
pub fn figure(x: f64) -> String {
    if !x.is_finite() || x == 0.0 {
        return "0".into();
    }
    let decimals = (3 - x.abs().log10().floor() as i64).clamp(0, 9) as usize;
    let text = format!("{x:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

impl From<&Quantity> for Uncertain {
    fn from(q: &Quantity) -> Uncertain {
        Uncertain::new(q.value, q.u)
    }
}

impl From<Estimate> for Uncertain {
    fn from(e: Estimate) -> Uncertain {
        Uncertain::new(e.value, e.u)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_print_to_what_they_support() {
        assert_eq!(Uncertain::new(23.622, 0.161).shown(), "23.62 ± 0.16");
        assert_eq!(Uncertain::exact(23.622_047).shown(), "23.62");
        assert_eq!(Uncertain::exact(1234.56).shown(), "1235");
        assert_eq!((figure(0.0), figure(0.012_345), figure(120.0)), ("0".into(), "0.01235".into(), "120".into()));
        assert_eq!(Uncertain::new(1.0, 2.0).range(), (0.0, 5.0));
        let between = Uncertain::between(0.0, 12.0);
        assert!((between.value - 6.0).abs() < 1e-12 && (between.u - 12f64.sqrt()).abs() < 1e-12);
    }
}
