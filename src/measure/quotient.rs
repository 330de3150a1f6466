//! One figure divided by another, with what their errors share.

use super::Estimate;

/// The quotient of two figures and its standard uncertainty.
///
/// First order with the covariance of the two (GUM 5.2.2): for q = a/b,
/// u² = (u_a/b)² + (a·u_b/b²)² − 2·a·cov/b³. Two readings with one tape share that tape's error
/// ([`Estimate::shared`]); their covariance is the product of the shared parts. Checked against GUM H.2.
///
/// `None` where the divisor is zero or a figure is not finite.
pub fn quotient(a: &Estimate, b: &Estimate, covariance: f64) -> Option<Estimate> {
    let value = a.value / b.value;
    let (da, db) = (a.u / b.value, value * b.u / b.value);
    let square = da * da + db * db - 2.0 * value * covariance / (b.value * b.value);
    let result = Estimate::new(value, square.max(0.0).sqrt());
    (b.value != 0.0 && result.is_sound()).then_some(result)
}
