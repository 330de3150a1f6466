//! The scale of a picture from one known length in it: pixels a millimetre, and how well that is known.

use super::{Degenerate, Point, distance};
use crate::measure::{Estimate, MM_PER_INCH};

/// A length known both in pixels and in millimetres. The picture is taken to be seen square on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Length in the picture, pixels.
    pub px: Estimate,
    /// True length, millimetres.
    pub mm: Estimate,
}

impl Bar {
    /// From a length in pixels and in millimetres, each with its standard uncertainty.
    ///
    /// # Errors
    /// [`Degenerate::Figure`] unless both lengths are above zero and both uncertainties are numbers.
    pub fn new(px: Estimate, mm: Estimate) -> Result<Self, Degenerate> {
        let usable = |e: Estimate| e.value.is_finite() && e.value > 0.0 && e.u.is_finite() && e.u >= 0.0;
        if !usable(px) {
            return Err(Degenerate::Figure("the length in the picture"));
        }
        if usable(mm) { Ok(Self { px, mm }) } else { Err(Degenerate::Figure("the true length")) }
    }

    /// From two places on the picture, each pointed at with the standard uncertainty `pointing` along the bar.
    ///
    /// # Errors
    /// If the places are the same, or a figure is none.
    pub fn between(a: Point, b: Point, mm: Estimate, pointing: f64) -> Result<Self, Degenerate> {
        let px = distance(a, b);
        if px == 0.0 {
            return Err(Degenerate::Equal(a));
        }
        Self::new(Estimate::new(px, pointing * 2f64.sqrt()), mm)
    }

    /// Pixels a millimetre: k = px/mm with u(k)/k = √((u_px/px)² + (u_mm/mm)²) (GUM 5.1.6).
    pub fn px_per_mm(&self) -> Estimate {
        let k = self.px.value / self.mm.value;
        Estimate::new(k, k * (self.px.u / self.px.value).hypot(self.mm.u / self.mm.value))
    }

    /// Pixels an inch at the object.
    pub fn ppi(&self) -> f64 {
        self.px_per_mm().value * MM_PER_INCH
    }

    /// Millimetres a pixel.
    pub fn mm_per_px(&self) -> f64 {
        self.mm.value / self.px.value
    }
}

/// How much too long something reads that lies `height` nearer to a camera at `distance` than the bar does, as a
/// factor: D/(D − h). None where it would touch the camera.
pub fn above_the_plane(distance: f64, height: f64) -> Option<f64> {
    (distance.is_finite() && height.is_finite() && distance > 0.0 && height < distance)
        .then(|| distance / (distance - height))
}
