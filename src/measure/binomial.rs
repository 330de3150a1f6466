//! What a count of successes tells of a share, and what the order of a sample tells of its median. Exact, by the binomial
//! distribution, with no assumption on how the values are distributed.

use super::student::incomplete_beta;

/// The share of which `of` tries gave `count`, with this confidence: the interval of Clopper and Pearson (The use of
/// confidence or fiducial limits, Biometrika 26 (1934) 404–413), which is never narrower than it says.
///
/// Without a try it is everything from 0 to 1.
pub fn share_interval(count: usize, of: usize, confidence: f64) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let count = count.min(of);
    let (k, n) = (count as f64, of as f64);
    let tail = (1.0 - confidence) / 2.0;
    // P(X ≥ k) = I_p(k, n−k+1), rising in p.
    let low = if count == 0 { 0.0 } else { rising(|p| incomplete_beta(k, n - k + 1.0, p), tail) };
    let high = if count == of { 1.0 } else { rising(|p| incomplete_beta(k + 1.0, n - k, p), 1.0 - tail) };
    (low, high)
}

/// Which value of a sample of `n` in ascending order, counted from 1, begins the interval for the median; it ends with the
/// one as far from the other end. And the confidence that it really has: at least `confidence`, unless even the whole
/// range has less. None for an empty sample.
///
/// The number of values below the median is binomial with p = 1/2 (David and Nagaraja, Order Statistics, 3rd ed. 2003, 7.1;
/// from memory).
pub fn median_interval(n: usize, confidence: f64) -> Option<(usize, f64)> {
    let covers = |k: usize| {
        // P(X ≤ k−1) = I_½(n−k+1, k)
        1.0 - 2.0 * incomplete_beta((n - k + 1) as f64, k as f64, 0.5)
    };
    let (mut low, mut high) = (1, n.div_ceil(2));
    if n == 0 {
        return None;
    }
    while low < high {
        let middle = (low + high).div_ceil(2);
        if covers(middle) >= confidence { low = middle } else { high = middle - 1 }
    }
    Some((low, covers(low).max(0.0)))
}

/// Where a rising function on 0 to 1 meets `target`.
fn rising(f: impl Fn(f64) -> f64, target: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if f(middle) < target { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}
