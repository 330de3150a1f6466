//! The scale of a photograph: how many pixels a millimetre of the object takes.

/// Millimetres of an inch, exactly (international agreement of 1959).
const MM_PER_INCH: f64 = 25.4;

/// Pixels to the millimetre at the object, with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Pixels per millimetre; more than nothing.
    pub px_per_mm: f64,
    /// Standard uncertainty of it.
    pub u: f64,
}

impl Scale {
    /// Pixels per inch at the object.
    pub fn per_inch(self) -> f64 {
        self.px_per_mm * MM_PER_INCH
    }

    /// Pixels that a thread takes, of cloth with so many to the centimetre; none if there are none.
    pub fn pixels_a_thread(self, per_cm: f64) -> Option<f64> {
        (per_cm > 0.0).then(|| self.px_per_mm * 10.0 / per_cm)
    }
}
