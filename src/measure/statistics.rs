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
