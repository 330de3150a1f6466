//! Student's t: the coverage factor for a given confidence and degrees of freedom.
//!
//! The values agree with JCGM 100:2008 Table G.2.

use std::sync::OnceLock;

/// The factor t such that a share `p` of Student's distribution lies within ±t: `student_t(0.95, 10.0)` is 2.228.
///
/// Infinite degrees of freedom give the normal distribution. Outside its domain the result is not a number
/// (`dof` not positive), zero (`p` ≤ 0) or infinite (`p` ≥ 1); it never panics.
pub fn student_t(p: f64, dof: f64) -> f64 {
    if p.is_nan() || dof.is_nan() || dof <= 0.0 {
        return f64::NAN;
    }
    if p <= 0.0 {
        return 0.0;
    }
    if p >= 1.0 {
        return f64::INFINITY;
    }
    let tail = 1.0 - p;
    if dof > 1e4 {
        let z = bisect(|z| erfc(z / std::f64::consts::SQRT_2), tail);
        return if dof.is_infinite() { z } else { about_normal(z, dof) };
    }
    bisect(|t| two_tails(t, dof), tail)
}

/// Student's t for 95 % and a whole number of degrees of freedom (truncated; below one counts as one): what
/// [`student_t`] gives, kept, for comparisons by the hundred thousand.
pub fn coverage(dof: f64) -> f64 {
    const KEPT: usize = 400;
    static TABLE: OnceLock<Vec<OnceLock<f64>>> = OnceLock::new();
    static NORMAL: OnceLock<f64> = OnceLock::new();
    if dof.is_nan() {
        return f64::NAN;
    }
    let whole = dof.floor().max(1.0);
    let table = TABLE.get_or_init(|| vec![OnceLock::new(); KEPT]);
    if let Some(kept) = table.get(whole as usize) {
        return *kept.get_or_init(|| student_t(0.95, whole));
    }
    let z = *NORMAL.get_or_init(|| student_t(0.95, f64::INFINITY));
    if whole.is_infinite() { z } else { about_normal(z, whole) }
}

/// The share of Student's distribution above `t`. Not a number outside its domain (`dof` not positive).
pub fn upper_tail(t: f64, dof: f64) -> f64 {
    if t.is_nan() || dof.is_nan() || dof <= 0.0 {
        return f64::NAN;
    }
    let both = match () {
        () if t.is_infinite() => 0.0,
        () if dof.is_infinite() => erfc(t.abs() / std::f64::consts::SQRT_2),
        () => two_tails(t.abs(), dof),
    };
    if t >= 0.0 { both / 2.0 } else { 1.0 - both / 2.0 }
}

/// Expansion in 1/dof about the normal quantile `z` (Abramowitz and Stegun 26.7.5).
fn about_normal(z: f64, dof: f64) -> f64 {
    let first = (z.powi(3) + z) / 4.0;
    let second = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    let third = (3.0 * z.powi(7) + 19.0 * z.powi(5) + 17.0 * z.powi(3) - 15.0 * z) / 384.0;
    z + first / dof + second / (dof * dof) + third / dof.powi(3)
}

/// The point where a falling function from 1 to 0 meets `target`.
fn bisect(falling: impl Fn(f64) -> f64, target: f64) -> f64 {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    while falling(high) > target && high < 1e300 {
        low = high;
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if falling(middle) > target { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// The share of Student's distribution beyond ±t: the regularised incomplete beta function (A&S 26.7.1, 26.5.27).
fn two_tails(t: f64, dof: f64) -> f64 {
    let square = t * t;
    let x = dof / (dof + square);
    let (a, b) = (dof / 2.0, 0.5);
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (square / (dof + square)).ln()).exp();
    if square == 0.0 {
        1.0
    } else if x < (a + 1.0) / (a + b + 2.0) {
        front * beta_fraction(a, b, x) / a
    } else {
        1.0 - front * beta_fraction(b, a, 1.0 - x) / b
    }
}

/// The regularised incomplete beta function I_x(a, b) for a, b > 0 (A&S 26.5.1).
pub(super) fn incomplete_beta(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (-x).ln_1p()).exp();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * beta_fraction(a, b, x) / a
    } else {
        1.0 - front * beta_fraction(b, a, 1.0 - x) / b
    }
}

/// The continued fraction of the incomplete beta function (A&S 26.5.8), by Lentz's forward evaluation.
fn beta_fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let away = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut above = 1.0;
    let mut below = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
    let mut result = below;
    for step in 1..2000 {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        for term in [even, odd] {
            below = 1.0 / away(1.0 + term * below);
            above = away(1.0 + term / above);
            result *= below * above;
        }
        if (below * above - 1.0).abs() < 1e-15 {
            break;
        }
    }
    result
}

/// ln Γ(x) for x > 0: upward shift and Stirling's series (A&S 6.1.41).
fn ln_gamma(x: f64) -> f64 {
    let (mut shift, mut z) = (0.0, x);
    while z < 15.0 {
        shift += z.ln();
        z += 1.0;
    }
    let inverse = 1.0 / (z * z);
    let series = (1.0 / 12.0
        - inverse * (1.0 / 360.0 - inverse * (1.0 / 1260.0 - inverse * (1.0 / 1680.0 - inverse / 1188.0))))
        / z;
    (z - 0.5) * z.ln() - z + 0.5 * (2.0 * std::f64::consts::PI).ln() + series - shift
}

/// The complementary error function for x ≥ 0: a series near zero, a continued fraction beyond (A&S 7.1.6, 7.1.14).
fn erfc(x: f64) -> f64 {
    let scale = (-x * x).exp() / std::f64::consts::PI.sqrt();
    if x < 2.0 {
        let (mut term, mut total) = (2.0 * x, 2.0 * x);
        for n in 1..200 {
            term *= 2.0 * x * x / (2.0 * f64::from(n) + 1.0);
            total += term;
            if term < total * 1e-17 {
                break;
            }
        }
        1.0 - scale * total
    } else {
        let mut tail = x;
        for n in (1..200).rev() {
            tail = x + f64::from(n) / 2.0 / tail;
        }
        scale / tail
    }
}
