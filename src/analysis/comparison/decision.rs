//! The decision rule: does a difference lie within the tolerance, outside it, or too near the limit to tell?

use serde::Serialize;

use super::tolerance::trimmed;
use crate::measure::{Estimate, coverage, quotient, upper_tail, welch_satterthwaite};

/// What two figures allow to be said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The difference lies within the tolerance, its uncertainty included.
    Agree,
    /// The difference lies beyond the tolerance, its uncertainty included.
    Differ,
    /// The uncertainty reaches across the limit of the tolerance.
    CannotTell,
}

impl Verdict {
    /// `agree`, `differ`, `cannot tell`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Agree => "agree",
            Self::Differ => "differ",
            Self::CannotTell => "cannot tell",
        }
    }
}

/// The subject's figure divided by the other's, both as recorded.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ratio {
    /// Subject by other.
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
    /// Expanded uncertainty for 95 %, with the coverage factor of the difference.
    pub expanded: f64,
}

/// The difference of two figures and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Figures {
    /// Subject minus other, in the unit of the figure; where the other was scaled, at the size of the subject.
    pub difference: f64,
    /// The difference in per cent of the other's value (as scaled); none where that is zero.
    pub percent: Option<f64>,
    /// Subject by other, both as recorded; none where the other is zero.
    pub ratio: Option<Ratio>,
    /// The other's value at the size of the subject; none where nothing was scaled.
    pub other_scaled: Option<f64>,
    /// Where the factor was fitted to this pair too: the share, 0 to 1, that it had in its own fitted value.
    pub leverage: Option<f64>,
    /// Standard uncertainty of the difference.
    pub u: f64,
    /// Effective degrees of freedom (Welch and Satterthwaite), not truncated; infinite is written as null.
    pub dof: f64,
    /// Expanded uncertainty U = k·u for 95 %.
    pub expanded: f64,
    /// Coverage factor: Student's t for the effective degrees of freedom.
    pub k: f64,
    /// The tolerance used.
    pub tolerance: f64,
    /// What can be said.
    pub verdict: Verdict,
}

impl Figures {
    /// The test of equivalence as two one-sided tests: the larger of the chances to see such a difference, or a smaller
    /// one, if the true difference lay just at the tolerance. The figures agree where it is 2.5 % or less.
    pub fn equivalence(&self) -> f64 {
        if self.u <= 0.0 {
            return if self.difference.abs() <= self.tolerance { 0.0 } else { 1.0 };
        }
        let dof = self.dof.floor().max(1.0);
        let tail = |distance: f64| upper_tail(distance / self.u, dof);
        tail(self.tolerance + self.difference).max(tail(self.tolerance - self.difference))
    }

    /// The decision in words: how far the difference may reach either way, where the tolerance lies, and, if it cannot be
    /// told, what would settle it.
    pub fn in_words(&self, unit: &str) -> String {
        // Three figures, so that what is said of the difference and the tolerance beside it never contradict each other
        // by rounding alone.
        let measure = |x: f64| format!("{} {unit}", short(x, 3)).trim_end().to_owned();
        let size = self.difference.abs();
        let (least, most) = ((size - self.expanded).max(0.0), size + self.expanded);
        let tolerance = measure(self.tolerance);
        match self.verdict {
            _ if self.expanded <= 0.0 => format!("{} apart; the tolerance is {tolerance}", measure(size)),
            Verdict::Agree => {
                format!("at most {} apart (95 % sure), within the tolerance of {tolerance}", measure(most))
            }
            Verdict::Differ => {
                format!("at least {} apart (95 % sure), beyond the tolerance of {tolerance}", measure(least))
            }
            Verdict::CannotTell if size + self.expanded <= self.tolerance || size - self.expanded > self.tolerance => {
                "the figures alone do not settle it".into()
            }
            Verdict::CannotTell => {
                let with_unit = |x: f64| format!("{} {unit}", short(x, 2)).trim_end().to_owned();
                let needed = (self.tolerance - size).abs();
                let range = format!(
                    "{} to {} apart (95 % sure), where the tolerance is {tolerance}",
                    short(least, 3),
                    measure(most)
                );
                if needed > 0.05 * self.expanded {
                    let (needed, now) = (with_unit(needed), with_unit(self.expanded));
                    format!("{range}; known to ± {needed} in place of ± {now}, this difference would be settled")
                } else {
                    format!("{range}; so near the limit that closer readings may not settle it")
                }
            }
        }
    }
}

/// So many significant figures, without idle zeros.
fn short(x: f64, figures: i32) -> String {
    if x == 0.0 || !x.is_finite() {
        return trimmed(x);
    }
    let places = (figures - 1 - x.abs().log10().floor() as i32).clamp(0, 6) as usize;
    let text = format!("{x:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').into() } else { text }
}

/// How the other piece's figure is brought to the size of the subject.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Enlarged {
    /// Times the other's figure.
    pub factor: f64,
    /// Standard uncertainty of the factor.
    pub u: f64,
    /// Its degrees of freedom.
    pub dof: f64,
    /// Where the factor was fitted to this pair too, the share it had in its own fitted value.
    pub leverage: Option<f64>,
}

impl Enlarged {
    /// As recorded.
    pub const NOT: Enlarged = Enlarged { factor: 1.0, u: 0.0, dof: f64::INFINITY, leverage: None };
}

/// Compares two estimates by the rule of ISO 14253-1 (from memory): the tolerance is narrowed by the expanded
/// uncertainty to prove agreement, and widened by it to prove a difference.
///
/// With d = a − b: |d| + U ≤ T agrees, |d| − U > T differs, between the two it cannot be told. U = k·u with
/// u² = u_a² + u_b² (the two taken as independent), k = t₉₅(ν), ν after Welch and Satterthwaite, cut to a whole
/// number (GUM G.4.1).
pub fn decide(a: &Estimate, b: &Estimate, tolerance: f64) -> Figures {
    judge(a, b, false, Enlarged::NOT, tolerance)
}

/// The same for one piece brought to the size of the other, and for figures that share the error of an instrument.
///
/// With d = a − f·b: u² = own_a² + (f·own_b)² + shared² + factor². The errors that one instrument gave to both are
/// shared and leave |s_a − f·s_b| (GUM 5.2.2), else √(s_a² + (f·s_b)²). The factor brings its own relative uncertainty
/// times the mean of a and f·b, which is the same whichever piece comes first; but for a pair that it was fitted to, the
/// variance of a residual is that of the pair times (1 − leverage), since the factor followed the pair.
pub(super) fn judge(a: &Estimate, b: &Estimate, one_instrument: bool, by: Enlarged, tolerance: f64) -> Figures {
    let times = by.factor;
    let scaled = times * b.value;
    let difference = a.value - scaled;
    let (own_a, own_b) = (a.without_shared(), b.without_shared());
    let shared = if one_instrument { (a.shared - times * b.shared).abs() } else { a.shared.hypot(times * b.shared) };
    let factor = by.u / times * f64::midpoint(a.value, scaled);
    let mut parts = [(own_a.u, own_a.dof), (times * own_b.u, own_b.dof), (shared, f64::INFINITY), (factor, by.dof)];
    if let Some(leverage) = by.leverage {
        parts[3].0 = 0.0;
        let left = (1.0 - leverage).max(0.0).sqrt();
        parts.iter_mut().for_each(|part| part.0 *= left);
    }
    let u = parts.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
    let dof = welch_satterthwaite(&parts);
    let k = coverage(dof);
    let expanded = k * u;
    let size = difference.abs();
    let verdict = if size + expanded <= tolerance {
        Verdict::Agree
    } else if size - expanded > tolerance {
        Verdict::Differ
    } else {
        Verdict::CannotTell
    };
    let covariance = if one_instrument { a.shared * b.shared } else { 0.0 };
    Figures {
        difference,
        percent: (scaled != 0.0).then(|| 100.0 * difference / scaled),
        ratio: quotient(a, b, covariance).map(|q| Ratio { value: q.value, u: q.u, expanded: k * q.u }),
        other_scaled: (by != Enlarged::NOT).then_some(scaled),
        leverage: by.leverage,
        u,
        dof,
        expanded,
        k,
        tolerance,
        verdict,
    }
}
