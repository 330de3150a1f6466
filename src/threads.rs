//! Threads counted in a photograph. The counting goes over pixels and stands in the package `dimity-pixels`; here is a scale
//! as one writes it.

pub use dimity_pixels::threads::{
    CannotTell, Count, FEWEST_PIXELS, FEWEST_THREADS, PIXELS_AT_LEAST, PIXELS_WANTED, SMALLEST_SIDE, Scale, Threads,
    Visible, count, detail, pixels_per_inch_wanted,
};

use crate::measure::cursor::Cursor;
use crate::measure::hedge::eat_plus_minus;
use crate::measure::ratio::Ratio;
use crate::measure::{MM_PER_INCH, Unreadable, figure};

/// Reads `11.8 px/mm`, `11.8 ± 0.1 px/mm`, `118 px/cm` or `300 ppi`. Without `±` the last place written is what is
/// not known: a step d has the standard uncertainty d/√12 (GUM F.2.2.1).
///
/// # Errors
/// [`Unreadable`] if it is no number, has no unit, or is nothing.
///
/// ```
/// let scale = dimity::threads::scale("254 ± 2.54 ppi")?;
/// assert!((scale.px_per_mm - 10.0).abs() < 1e-9 && (scale.u - 0.1).abs() < 1e-9);
/// # Ok::<(), dimity::measure::Unreadable>(())
/// ```
pub fn scale(text: &str) -> Result<Scale, Unreadable> {
    let mut cursor = Cursor::new(text);
    let value = figure::read(&mut cursor)?;
    let step = value.step.of_unit(false).map_or(0.0, Ratio::to_f64);
    let u = if eat_plus_minus(&mut cursor) { figure::read(&mut cursor)?.value.to_f64() } else { step / 12f64.sqrt() };
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
    let scale = Scale { px_per_mm: value.value.to_f64() / mm, u: u / mm };
    if scale.px_per_mm > 0.0 { Ok(scale) } else { Err(Unreadable::new(value.start, "a scale is more than nothing")) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::scale;

    #[test]
    fn a_scale_is_read_with_its_uncertainty_and_nothing_else_is() {
        let step = |d: f64| d / 12f64.sqrt();
        for (text, px_per_mm, u) in [
            ("11.8 px/mm", 11.8, step(0.1)),
            ("11.8 ± 0.1 px/mm", 11.8, 0.1),
            ("118 px/cm", 11.8, step(0.1)),
            ("300 ppi", 300.0 / 25.4, step(1.0 / 25.4)),
            ("12 pixels per mm", 12.0, step(1.0)),
        ] {
            let scale = scale(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!((scale.px_per_mm - px_per_mm).abs() < 1e-9 && (scale.u - u).abs() < 1e-9, "{text}: {scale:?}");
        }
        for text in ["", "11.8", "px/mm", "0 px/mm", "11.8 mm", "11.8 px/mm or so", "-3 px/mm"] {
            assert!(scale(text).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_breaks_a_scale(text in ".{0,24}") {
            if let Ok(scale) = scale(&text) {
                prop_assert!(scale.px_per_mm > 0.0 && scale.u >= 0.0);
            }
        }
    }
}
