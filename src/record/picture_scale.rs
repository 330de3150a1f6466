//! The scale of a photograph: from what it was taken, as written and as computed. Apart from the photograph because a
//! later one replaces it, and because its rules (what `20 x 15 cm` means, how sure a bar is) are its own.

use super::photograph::{outside, place, within};
use crate::geometry::{Bar, Degenerate, Point, Rectangle, Residual, Scale};
use crate::measure::{Bound, Estimate, Kind, MM_PER_INCH, Quantity};

/// A relative standard uncertainty above this is warned of (common practice, no source).
const LOOSE: f64 = 0.01;

/// The sentence that goes with every figure taken from a scale.
pub const PLANE_ONLY: &str = "holds in the plane of the bar only: what lies nearer the camera reads long, what slopes \
                              away or hangs in folds reads short";

/// A known length or rectangle on a photograph.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PictureScale {
    /// Stable identifier; blank until it is stored.
    pub id: String,
    /// The two ends of the length, or the four corners in order round the rectangle.
    pub places: Vec<Point>,
    /// Length or size as written: `10 cm`, `20 x 15 cm`.
    pub size: String,
    /// The length, or the side between the first two corners, millimetres.
    pub across_mm: f64,
    /// The side between the second corner and the third, millimetres.
    pub down_mm: Option<f64>,
    /// Standard uncertainty of each of these, millimetres.
    pub u_mm: f64,
    /// How far the bar may be out, as written.
    pub tolerance: Option<String>,
    /// Pointing error: standard uncertainty of one place in each direction, pixels.
    pub pointing_px: f64,
    /// Further known places: on the picture, and in millimetres from the first corner along the two sides.
    pub further: Vec<(Point, Point)>,
}

/// What a scale says.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Pixels a millimetre, in the middle.
    pub px_per_mm: Estimate,
    /// Pixels an inch at the object, in the middle.
    pub ppi: f64,
    /// Smallest and largest pixels a millimetre at the corners of a rectangle.
    pub range: Option<(f64, f64)>,
    /// Tilt of a rectangle from square on, degrees.
    pub tilt: Option<f64>,
    /// How far the known places are missed, millimetres; none where they are met whatever they are.
    pub residual: Option<Residual>,
    /// What to look at again.
    pub warnings: Vec<String>,
}

impl PictureScale {
    /// From the two ends of a known length.
    ///
    /// # Errors
    /// A sentence, if length or tolerance cannot be read or the ends are one place.
    pub fn between(ends: [Point; 2], length: &str, tolerance: Option<&str>, pointing: f64) -> Result<Self, String> {
        let read = known_length(length)?;
        Self {
            places: ends.to_vec(),
            size: length.trim().into(),
            across_mm: read.value,
            pointing_px: pointing,
            ..Self::default()
        }
        .sure(&[read], tolerance)
    }

    /// From the corners of a known rectangle, in order round it; the first side of `size` runs between the first two.
    ///
    /// # Errors
    /// A sentence, if size or tolerance cannot be read or the corners are no rectangle seen from any side.
    pub fn rectangle(
        corners: [Point; 4],
        size: &str,
        tolerance: Option<&str>,
        pointing: f64,
        further: Vec<(Point, Point)>,
    ) -> Result<Self, String> {
        let [across, down] = two_lengths(size)?;
        Self {
            places: corners.to_vec(),
            size: size.trim().into(),
            across_mm: across.value,
            down_mm: Some(down.value),
            pointing_px: pointing,
            further,
            ..Self::default()
        }
        .sure(&[across, down], tolerance)
    }

    /// Adds what is known of the bar itself, and proves that a scale can be made of it.
    fn sure(mut self, sides: &[Quantity], tolerance: Option<&str>) -> Result<Self, String> {
        if !(self.pointing_px > 0.0 && self.pointing_px.is_finite()) {
            return Err(format!("the pointing error must be above zero pixels, not {}", self.pointing_px));
        }
        // A bar is made to its length: `10 cm` is not known only to the centimetre. A stated ± is believed.
        let stated = sides.iter().filter(|q| q.bound == Bound::Stated).map(|q| q.u).fold(0.0, f64::max);
        let limit = match tolerance {
            None => 0.0,
            Some(text) => {
                let read = Quantity::parse(Kind::Length, text).map_err(|e| format!("the tolerance `{text}`: {e}"))?;
                if read.value < 0.0 || read.value >= self.across_mm {
                    return Err(format!("the tolerance `{text}` is not smaller than the bar; write it as `0.1 mm`"));
                }
                read.value
            }
        };
        self.u_mm = Estimate::new(self.across_mm, stated).with_error_limit(limit).u;
        self.tolerance = tolerance.map(|t| t.trim().to_owned());
        self.scale().map_err(|e| e.to_string())?;
        Ok(self)
    }

    /// Whether every place lies on a picture of this size.
    ///
    /// # Errors
    /// A sentence that names the place.
    pub fn check(&self, width: f64, height: f64) -> Result<(), String> {
        let mut places = self.places.iter().chain(self.further.iter().map(|f| &f.0));
        places.find(|p| !within(**p, width, height)).map_or(Ok(()), |p| Err(outside(*p, width, height)))
    }

    /// The scale to measure with.
    ///
    /// # Errors
    /// If the places make none.
    pub fn scale(&self) -> Result<Scale, Degenerate> {
        match self.as_rectangle()? {
            Some(rectangle) => Ok(Scale::from_rectangle(rectangle, self.pointing_px)),
            None => Ok(Scale::from_bar(self.as_bar()?, self.pointing_px)),
        }
    }

    fn as_bar(&self) -> Result<Bar, Degenerate> {
        let [a, b] = self.places[..] else { return Err(Degenerate::TooFew(self.places.len())) };
        Bar::between(a, b, Estimate::new(self.across_mm, self.u_mm), self.pointing_px)
    }

    fn as_rectangle(&self) -> Result<Option<Rectangle>, Degenerate> {
        let Some(down) = self.down_mm else { return Ok(None) };
        let [a, b, c, d] = self.places[..] else { return Err(Degenerate::TooFew(self.places.len())) };
        let side = |mm: f64| Estimate::new(mm, self.u_mm);
        Rectangle::new([a, b, c, d], side(self.across_mm), side(down), &self.further).map(Some)
    }

    /// What the scale says, and what to look at again.
    pub fn said(&self) -> Option<Said> {
        let scale = self.scale().ok()?;
        let rectangle = self.as_rectangle().ok()?;
        let middle = match &rectangle {
            Some(r) => r.middle(),
            None => *self.places.first()?,
        };
        let px_per_mm = scale.px_per_mm(middle)?;
        let view = scale.view();
        let range = rectangle.as_ref().map(|_| {
            let at = self.places.iter().filter_map(|p| view.mm_per_px(*p)).map(|mm| 1.0 / mm);
            at.fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), k| (low.min(k), high.max(k)))
        });
        let mut warnings = rectangle.as_ref().map(Rectangle::warnings).unwrap_or_default();
        let share = px_per_mm.u / px_per_mm.value;
        if share > LOOSE {
            warnings.push(format!(
                "the scale is known to {:.1} % only: point more closely, or at a longer bar",
                share * 100.0
            ));
        }
        if self.u_mm == 0.0 {
            warnings.push("the bar is taken as exact; say how far it may be out with a tolerance".into());
        }
        Some(Said {
            ppi: px_per_mm.value * MM_PER_INCH,
            px_per_mm,
            range,
            tilt: rectangle.as_ref().map(Rectangle::tilt),
            residual: rectangle.as_ref().and_then(Rectangle::residual),
            warnings,
        })
    }
}

/// Reads a further known place: `812,1240 = 100 x 50 mm`.
///
/// # Errors
/// A sentence.
pub fn known_place(text: &str) -> Result<(Point, Point), String> {
    let Some((at, to)) = text.split_once('=') else {
        return Err(format!("`{text}` is no known place; write it as `812,1240 = 100 x 50 mm`"));
    };
    let [across, down] = sides(to, false)?;
    Ok((place(at.trim())?, (across.value, down.value)))
}

fn known_length(text: &str) -> Result<Quantity, String> {
    let read = Quantity::parse(Kind::Length, text).map_err(|e| format!("the length `{text}`: {e}"))?;
    if read.value > 0.0 { Ok(read) } else { Err(format!("the length `{text}` must be above zero")) }
}

fn two_lengths(text: &str) -> Result<[Quantity; 2], String> {
    sides(text, true)
}

/// `20 x 15 cm`, `20 cm × 15 cm`: a unit behind the second goes for the first as well.
fn sides(text: &str, above_zero: bool) -> Result<[Quantity; 2], String> {
    let wrong = |why: String| format!("the size `{}`: {why}; write it as `20 x 15 cm`", text.trim());
    let Some((first, second)) = text.split_once(['x', '×', 'X']) else {
        return Err(wrong("two sides are needed".into()));
    };
    let unit = second.trim_start_matches(|c: char| !c.is_alphabetic() && !"\"\u{2033}'\u{2032}".contains(c));
    let read = |part: &str| Quantity::parse(Kind::Length, part).map_err(|e| wrong(e.to_string()));
    let first = if first.chars().any(|c| c.is_alphabetic() || "\"\u{2033}'\u{2032}".contains(c)) {
        read(first)?
    } else {
        read(&format!("{} {unit}", first.trim()))?
    };
    let second = read(second)?;
    if above_zero && !(first.value > 0.0 && second.value > 0.0) {
        return Err(wrong("each side must be above zero".into()));
    }
    Ok([first, second])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_as_people_write_them() {
        for (text, wanted) in [
            ("20 x 15 cm", (200.0, 150.0)),
            ("20x15cm", (200.0, 150.0)),
            ("20 cm × 15 cm", (200.0, 150.0)),
            ("8 x 10 in", (203.2, 254.0)),
            ("8\" x 10\"", (203.2, 254.0)),
            ("2 ½ X 3 in", (63.5, 76.2)),
        ] {
            let [a, b] = two_lengths(text).unwrap_or_else(|e| panic!("{e}"));
            assert!((a.value - wanted.0).abs() < 1e-9 && (b.value - wanted.1).abs() < 1e-9, "{text}: {a:?} {b:?}");
        }
        for text in ["", "20 cm", "20 x 15", "0 x 15 cm", "20 x 0 cm", "x", "20 x 15 g", "wide x tall"] {
            let said = two_lengths(text).expect_err(text);
            assert!(said.contains("write it as `20 x 15 cm`"), "{text}: {said}");
        }
        assert_eq!(known_place("812,1240 = 0 x 50 mm"), Ok(((812.0, 1240.0), (0.0, 50.0))));
        assert!(known_place("812,1240").is_err() && known_place("812 = 1 x 1 cm").is_err());
    }

    #[test]
    fn a_bar_is_as_sure_as_its_tolerance_and_its_ends() {
        let ends = [(100.0, 50.0), (1100.0, 50.0)];
        let bar = PictureScale::between(ends, "10 cm", Some("0.1 mm"), 1.5).expect("a scale");
        assert!((bar.u_mm - 0.1 / 3f64.sqrt()).abs() < 1e-12);
        let said = bar.said().expect("said");
        let wanted = 10.0 * (1.5 * 2f64.sqrt() / 1000.0).hypot(0.1 / 3f64.sqrt() / 100.0);
        assert!((said.px_per_mm.value - 10.0).abs() < 1e-12 && (said.px_per_mm.u - wanted).abs() < 1e-6, "{said:?}");
        assert!((said.ppi - 254.0).abs() < 1e-9 && said.warnings.is_empty() && said.residual.is_none());
        // Written whole, not known only to the centimetre; without a tolerance that is said.
        let exact = PictureScale::between(ends, "10 cm", None, 1.0).expect("a scale");
        assert!(exact.u_mm == 0.0 && exact.said().expect("said").warnings[0].contains("taken as exact"));
        let stated = PictureScale::between(ends, "100 ± 0.2 mm", None, 1.0).expect("a scale");
        assert!((stated.u_mm - 0.2).abs() < 1e-12);
        let short = PictureScale::between([(0.0, 0.0), (40.0, 0.0)], "1 cm", Some("0.1 mm"), 1.0).expect("a scale");
        assert!(short.said().expect("said").warnings[0].contains("known to 3.6 % only"));
    }

    #[test]
    fn what_gives_no_scale_is_refused() {
        let ends = [(100.0, 50.0), (1100.0, 50.0)];
        let between = |ends, length, tolerance, pointing| PictureScale::between(ends, length, tolerance, pointing);
        for (made, says) in [
            (between([(1.0, 1.0); 2], "10 cm", None, 1.0), "given twice"),
            (between(ends, "10", None, 1.0), "the length `10`"),
            (between(ends, "0 cm", None, 1.0), "must be above zero"),
            (between(ends, "10 cm", Some("a bit"), 1.0), "the tolerance `a bit`"),
            (between(ends, "10 cm", Some("10 cm"), 1.0), "not smaller than the bar"),
            (between(ends, "10 cm", None, 0.0), "the pointing error"),
            (between(ends, "10 cm", None, f64::NAN), "the pointing error"),
        ] {
            let said = made.expect_err(says);
            assert!(said.contains(says), "`{said}` does not say `{says}`");
        }
    }

    #[test]
    fn a_further_known_place_shows_a_residual() {
        let corners = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0)];
        let made =
            |further| PictureScale::rectangle(corners, "10 x 5 cm", Some("0.1 mm"), 1.0, further).expect("a scale");
        assert_eq!(made(vec![]).said().expect("said").residual, None);
        let met = made(vec![((500.0, 250.0), (50.0, 25.0))]).said().expect("said");
        assert!(met.residual.expect("a residual").worst < 1e-6 && met.tilt.expect("a tilt") < 1e-3);
        let missed = made(vec![((500.0, 250.0), (50.0, 27.0))]).said().expect("said");
        assert!(missed.residual.expect("a residual").worst > 0.5, "{missed:?}");
        assert!((met.range.expect("a range").0 - 10.0).abs() < 1e-6);
    }
}
