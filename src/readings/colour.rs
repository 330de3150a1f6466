//! The colour of an area of cloth, with its spread, corrected by the photograph's target where that was read.

use image::RgbImage;

use super::beginning;
use crate::colour::Swatch;
use crate::colour::target::Fitted;
use crate::geometry::Point;
use crate::photograph::{Misplaced, area};
use crate::record::photograph::Shape;
use crate::record::target::TargetReading;

/// What to bear in mind with every reading.
pub const CAUTION: &str = "an indication: a photograph sees with its camera's eyes and by its light; for a colour of record use \
    a spectrophotometer";
/// What is said of a reading that is off.
pub const LOST: &str = "clipped pixels have lost their colour: the reading is off; choose another place";
/// From this share of clipped pixels on, the reading is said to be off.
const CLIPPED: f64 = 0.01;

/// A rectangle by its upper left corner, width and height: `640,500,200,150`.
///
/// # Errors
/// A sentence that shows how one is written.
pub fn rectangle(text: &str) -> Result<Vec<Point>, String> {
    let numbers: Option<Vec<f64>> = text.split(',').map(|n| n.trim().parse().ok()).collect();
    match numbers.as_deref() {
        Some([x, y, w, h]) if *w > 0.0 && *h > 0.0 => Ok(vec![(*x, *y), (x + w, *y), (x + w, y + h), (*x, y + h)]),
        _ => Err(format!("`{text}` is no rectangle; write x,y,width,height such as 640,500,200,150")),
    }
}

/// An outline without holes: `outline x,y x,y x,y`.
///
/// # Errors
/// A sentence that says what is wrong with it.
pub fn outline(text: &str) -> Result<Vec<Point>, String> {
    match Shape::parse(text)? {
        Shape::Outline(outline) if outline.holes.is_empty() => Ok(outline.around),
        Shape::Outline(_) => Err("a colour is read from an area without holes; read the parts one by one".into()),
        _ => Err("a colour is read from an area; write `outline x,y x,y x,y`".into()),
    }
}

/// The colour of an area of one photograph.
#[derive(Debug, Clone, PartialEq)]
pub struct AreaColour {
    /// Mean, spread, how many pixels, how many of them clipped.
    pub found: Swatch,
    /// The correction that was used, if one was.
    pub fitted: Option<Fitted>,
    /// Whether and how it is corrected, in words.
    pub correction: String,
    /// Whether the target of the photograph was read.
    pub target_read: bool,
}

/// Reads the colour within an outline; `uncorrected` leaves the correction by the photograph's target away.
///
/// # Errors
/// [`Misplaced`] names the place and the mend.
pub fn read(
    picture: &RgbImage,
    outline: &[Point],
    target: Option<&TargetReading>,
    uncorrected: bool,
) -> Result<AreaColour, Misplaced> {
    let fitted = target.and_then(|r| r.correction.as_ref()).filter(|_| !uncorrected);
    Ok(AreaColour {
        found: area(picture, outline, fitted.map(|f| &f.correction))?,
        fitted: fitted.cloned(),
        correction: correction(target, uncorrected),
        target_read: target.is_some(),
    })
}

impl AreaColour {
    /// Whether so much of it is clipped that it is off.
    pub fn is_off(&self) -> bool {
        self.found.clipped > CLIPPED
    }

    /// The colour in CIELAB with an indication of it in sRGB.
    pub fn mean(&self) -> String {
        let (chip, within) = self.found.lab.to_srgb();
        let beyond = if within { "" } else { ", which sRGB cannot quite show" };
        format!("{} (D65, 2°), about {chip}{beyond}", self.found.lab)
    }

    /// How far the pixels scatter.
    pub fn spread(&self) -> String {
        let Swatch { spread, pixels, clipped, .. } = &self.found;
        format!(
            "spread (standard deviation): L* {:.1}, a* {:.1}, b* {:.1} over {pixels} pixels, {:.1} % of them clipped",
            spread.l,
            spread.a,
            spread.b,
            100.0 * clipped
        )
    }

    /// A line for the sheet, among the colours of a textile.
    pub fn for_sheet(&self, sha256: &str) -> String {
        let id = beginning(sha256);
        let how = if self.fitted.is_some() { "corrected by its target" } else { "not corrected" };
        // A minus zero would look odd on a sheet.
        let [l, a, b] = [self.found.lab.l, self.found.lab.a, self.found.lab.b].map(|v| (v * 10.0).round() / 10.0 + 0.0);
        format!(
            "{{ place = \"\", l = {l:.1}, a = {a:.1}, b = {b:.1}, instrument = \"photograph {id}, {how} (D65, 2°)\" }}"
        )
    }
}

/// Whether and how the reading is corrected.
fn correction(reading: Option<&TargetReading>, uncorrected: bool) -> String {
    match reading {
        None => "not corrected: the photograph's colour target has not been read".into(),
        Some(reading) => match &reading.correction {
            Some(_) if uncorrected => "not corrected, as asked".into(),
            Some(fitted) => format!(
                "corrected by its own target ({}): patches left out come to ΔE00 {:.2} on average, {:.2} at worst",
                reading.reference, fitted.left_out_mean, fitted.left_out_max
            ),
            None => format!(
                "not corrected: its target was read without fitting a correction; as it is, mean ΔE00 {:.2}, largest {:.2}",
                reading.results.mean, reading.results.max
            ),
        },
    }
}
