//! Through a formula: how the uncertainties of what goes in make that of what comes out (GUM 5.1.2 and G.4).

use super::Estimate;

/// The value of `formula` and its combined standard uncertainty, the inputs being independent.
///
/// First order, as GUM 5.1.2 has it: u² = Σ (∂f/∂xᵢ)² uᵢ². The derivatives are central differences over a
/// thousandth of each uᵢ, so a formula is written once, as itself. The degrees of freedom follow Welch and
/// Satterthwaite. Shared parts are not followed: sums of readings with one instrument are [`super::Closure`]'s.
///
/// ```
/// use dimity::measure::{Estimate, propagate};
/// let area = propagate(|x| x[0] * x[1] / 2.0, &[Estimate::new(86.0, 0.5), Estimate::new(42.0, 0.5)]);
/// assert!((area.u - 23.926_972).abs() < 1e-6);
/// ```
pub fn propagate(formula: impl Fn(&[f64]) -> f64, inputs: &[Estimate]) -> Estimate {
    let mut at: Vec<f64> = inputs.iter().map(|input| input.value).collect();
    let value = formula(&at);
    let mut parts = Vec::with_capacity(inputs.len());
    for (index, input) in inputs.iter().enumerate() {
        if input.u <= 0.0 {
            continue;
        }
        let step = input.u * 1e-3;
        at[index] = input.value + step;
        let above = formula(&at);
        at[index] = input.value - step;
        let below = formula(&at);
        at[index] = input.value;
        parts.push(((above - below).abs() / 2e-3, input.dof));
    }
    let u = parts.iter().map(|(u, _)| u * u).sum::<f64>().sqrt();
    Estimate { dof: welch_satterthwaite(&parts), ..Estimate::new(value, u) }
}

/// Effective degrees of freedom of a sum of independent parts, each with its standard uncertainty and degrees of
/// freedom (GUM G.2b). Infinite where no part has a finite number; never less than the rule gives.
pub fn welch_satterthwaite(parts: &[(f64, f64)]) -> f64 {
    let total: f64 = parts.iter().map(|(u, _)| u * u).sum();
    let share: f64 = parts
        .iter()
        .filter(|(u, dof)| *u > 0.0 && dof.is_finite() && *dof > 0.0)
        .map(|(u, dof)| (u * u / total).powi(2) / dof)
        .sum();
    if share > 0.0 { 1.0 / share } else { f64::INFINITY }
}
