//! The scale of a photograph: how many pixels a millimetre of the object takes.

use crate::measure::cursor::Cursor;
use crate::measure::hedge::eat_plus_minus;
use crate::measure::ratio::Ratio;
use crate::measure::{MM_PER_INCH, Unreadable, figure};

/// Pixels to the millimetre at the object, with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Pixels per millimetre; more than nothing.
    pub px_per_mm: f64,
    /// Standard uncertainty of it.
    pub u: f64,
}

impl Scale {
    /// Reads `11.8 px/mm`, `11.8 ± 0.1 px/mm`, `118 px/cm` or `300 ppi`. Without `±` the last place written is what is
    /// not known: a step d has the standard uncertainty d/√12 (GUM F.2.2.1).
    ///
    /// # Errors
    /// [`Unreadable`] if it is no number, has no unit, or is nothing.
    ///
    /// ```
    /// use dimity::threads::Scale;
    /// let scale = Scale::parse("254 ± 2.54 ppi")?;
    /// assert!((scale.px_per_mm - 10.0).abs() < 1e-9 && (scale.u - 0.1).abs() < 1e-9);
    /// # Ok::<(), dimity::measure::Unreadable>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self, Unreadable> {
        let mut cursor = Cursor::new(text);
        let value = figure::read(&mut cursor)?;
        let step = value.step.of_unit(false).map_or(0.0, Ratio::to_f64);
        let u =
            if eat_plus_minus(&mut cursor) { figure::read(&mut cursor)?.value.to_f64() } else { step / 12f64.sqrt() };
        let at = cursor.at;
        let mm = if cursor.eat_any(&["px/mm", "px per mm", "pixels per mm", "pixels/mm"]) {
            1.0
        } else if cursor.eat_any(&["px/cm", "px per cm", "pixels per cm", "pixels/cm"]) {
            10.0
        } else if cursor.eat_any(&["ppi", "px/in", "px per inch", "pixels per inch"]) {
            MM_PER_INCH
        } else {
            return Err(Unreadable::new(at, "a scale says how many pixels a length takes: `11.8 px/mm` or `300 ppi`"));
        };
        cursor.skip_blanks();
        if !cursor.at_end() {
            return Err(Unreadable::new(cursor.at, format!("`{}` follows the scale", cursor.rest().trim())));
        }
        let scale = Self { px_per_mm: value.value.to_f64() / mm, u: u / mm };
        if scale.px_per_mm > 0.0 {
            Ok(scale)
        } else {
            Err(Unreadable::new(value.start, "a scale is more than nothing"))
        }
    }

    /// Pixels per inch at the object.
    pub fn per_inch(self) -> f64 {
        self.px_per_mm * MM_PER_INCH
    }

    /// Pixels that a thread takes, of cloth with so many to the centimetre; none if there are none.
    pub fn pixels_a_thread(self, per_cm: f64) -> Option<f64> {
        (per_cm > 0.0).then(|| self.px_per_mm * 10.0 / per_cm)
    }
}
