//! Mean and standard deviation that keep their digits: compensated sums in two passes.
//!
//! Tested against the certified values of the NIST StRD univariate sets.

/// The sum with the lost low-order parts carried along (Neumaier's compensated summation).
fn sum(values: impl Iterator<Item = f64>) -> f64 {
    let (mut total, mut lost) = (0.0_f64, 0.0_f64);
    for x in values {
        let next = total + x;
        lost += if total.abs() >= x.abs() { (total - next) + x } else { (x - next) + total };
        total = next;
    }
    total + lost
}

/// The arithmetic mean; `None` of no values.
pub fn mean(values: &[f64]) -> Option<f64> {
    let first = *values.first()?;
    let n = values.len() as f64;
    // Sums of differences from the first value stay small when the values differ little.
    Some(first + sum(values.iter().map(|x| x - first)) / n)
}

/// The sample standard deviation (n − 1); `None` of fewer than two values.
pub fn stdev(values: &[f64]) -> Option<f64> {
    if values.len() < 2 {
        return None;
    }
    let n = values.len() as f64;
    let centre = mean(values)?;
    let squares = sum(values.iter().map(|x| (x - centre).powi(2)));
    // What the rounded mean leaves over is taken out again (corrected two-pass rule, Chan 1983).
    let rest = sum(values.iter().map(|x| x - centre));
    Some(((squares - rest * rest / n).max(0.0) / (n - 1.0)).sqrt())
}

/// Where the quantiles of a sample lie between its values: the plotting position of the k-th of n is
/// (k − a)/(n + 1 − a − b). Hyndman and Fan, Sample quantiles in statistical packages, The American Statistician 50
/// (1996) 361–365, number the usual choices.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plotting {
    /// a in the formula.
    pub a: f64,
    /// b in the formula.
    pub b: f64,
}

impl Plotting {
    /// Their type 8, which they recommend: nearly unbiased for the median of each order statistic, whatever the
    /// distribution.
    pub const MEDIAN_UNBIASED: Plotting = Plotting { a: 1.0 / 3.0, b: 1.0 / 3.0 };
}

/// The `p`-quantile of values in ascending order, linear between them; none without a value.
pub fn quantile(sorted: &[f64], p: f64, plotting: Plotting) -> Option<f64> {
    let (first, last) = (*sorted.first()?, *sorted.last()?);
    let n = sorted.len() as f64;
    let place = plotting.a + p * (n + 1.0 - plotting.a - plotting.b);
    // The place counts from 1; below the first value or above the last there is nothing to go by.
    let below = place.floor();
    let at = |k: f64| if k < 1.0 { first } else { sorted.get(k as usize - 1).copied().unwrap_or(last) };
    let (low, high) = (at(below), at(below + 1.0));
    Some(low + (place - below) * (high - low))
}
