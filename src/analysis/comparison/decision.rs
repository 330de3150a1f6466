//! The decision rule: does a difference lie within the tolerance, outside it, or too near the limit to tell?

use serde::Serialize;

use crate::measure::{Estimate, student_t, welch_satterthwaite};

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

/// The difference of two figures and how well it is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Figures {
    /// Subject minus other, in the unit of the figure.
    pub difference: f64,
    /// The difference in per cent of the other's value; none where that is zero.
    pub percent: Option<f64>,
    /// Standard uncertainty of the difference.
    pub u: f64,
    /// Expanded uncertainty U = k·u for 95 %.
    pub expanded: f64,
    /// Coverage factor: Student's t for the effective degrees of freedom.
    pub k: f64,
    /// The tolerance used.
    pub tolerance: f64,
    /// What can be said.
    pub verdict: Verdict,
}

/// Compares two estimates by the rule of ISO 14253-1 (from memory): the tolerance is narrowed by the expanded
/// uncertainty to prove agreement, and widened by it to prove a difference.
///
/// With d = a − b: |d| + U ≤ T agrees, |d| − U > T differs, between the two it cannot be told. U = k·u with
/// u² = u_a² + u_b² (the two taken as independent), k = t₉₅(ν), ν after Welch and Satterthwaite, cut to a whole
/// number (GUM G.4.1).
pub fn decide(a: &Estimate, b: &Estimate, tolerance: f64) -> Figures {
    let difference = a.value - b.value;
    let u = a.u.hypot(b.u);
    let dof = welch_satterthwaite(&[(a.u, a.dof), (b.u, b.dof)]);
    let k = student_t(0.95, dof.floor().max(1.0));
    let expanded = k * u;
    let size = difference.abs();
    let verdict = if size + expanded <= tolerance {
        Verdict::Agree
    } else if size - expanded > tolerance {
        Verdict::Differ
    } else {
        Verdict::CannotTell
    };
    let percent = (b.value != 0.0).then(|| 100.0 * difference / b.value);
    Figures { difference, percent, u, expanded, k, tolerance, verdict }
}
