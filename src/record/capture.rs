//! What the camera wrote about one exposure. Apart from the reader of image files, so that reports and
//! analysis can speak of a photograph without opening one.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::optics::Exposure;

/// The camera's own account of one exposure, as far as the file carries it.
///
/// Every field is a claim of the camera, not a measurement of ours: the clock may be wrong, the white
/// balance is a setting, and a missing value is *not recorded*, never "no". Tag meanings: Exif 2.32.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Capture {
    /// Local time of the exposure in ISO 8601, with the fraction of the second as recorded, e.g.
    /// `2018-11-14T11:20:05.25`. It carries no zone; see [`offset`](Self::offset).
    pub taken: Option<String>,
    /// Offset of `taken` from UTC, `+01:00`. `None`: the zone is unknown and must be asked for.
    pub offset: Option<String>,
    /// Maker of the camera.
    pub make: Option<String>,
    /// Model of the camera.
    pub model: Option<String>,
    /// Lens, as the camera names it.
    pub lens: Option<String>,
    /// Focal length in millimetres, not converted to another film size.
    pub focal_length_mm: Option<f64>,
    /// The same as for 35 mm film, where the camera says so.
    pub focal_length_35mm: Option<f64>,
    /// Aperture as f-number: 8 stands for f/8.
    pub aperture: Option<f64>,
    /// Exposure time in seconds.
    pub shutter_s: Option<f64>,
    /// Exposure compensation in EV; positive is lighter.
    pub exposure_bias_ev: Option<f64>,
    /// Sensitivity as ISO speed.
    pub iso: Option<u32>,
    /// What the flash did, in words.
    pub flash: Option<String>,
    /// White balance setting: `automatic` or `manual`.
    pub white_balance: Option<String>,
    /// Colour space: `sRGB`, `Adobe RGB` or `uncalibrated`.
    pub colour_space: Option<String>,
    /// Orientation of the stored pixels, 1 to 8; 1 (upright) where the file does not say.
    pub orientation: u8,
    /// The last program that wrote the file.
    pub software: Option<String>,
    /// Whether the file holds a position. The position itself is never copied here.
    pub has_position: bool,
}

impl Capture {
    /// The three settings of the exposure; none where one is missing or such as no camera has.
    pub fn exposure(&self) -> Option<Exposure> {
        Exposure::new(self.aperture?, self.shutter_s?, f64::from(self.iso?))
    }

    /// The day at the head of the time, by the camera's clock.
    pub fn day(&self) -> Option<Date> {
        self.taken.as_deref()?.get(..10)?.parse().ok()
    }
}

impl Default for Capture {
    /// Nothing recorded, pixels upright.
    fn default() -> Self {
        Self {
            taken: None,
            offset: None,
            make: None,
            model: None,
            lens: None,
            focal_length_mm: None,
            focal_length_35mm: None,
            aperture: None,
            shutter_s: None,
            exposure_bias_ev: None,
            iso: None,
            flash: None,
            white_balance: None,
            colour_space: None,
            orientation: 1,
            software: None,
            has_position: false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Capture;

    #[test]
    fn an_older_record_without_some_fields_still_reads_and_stands_upright() {
        let read: Capture = serde_json::from_str(r#"{"make":"Any"}"#).expect("fields are optional");
        assert_eq!(read, Capture { make: Some("Any".into()), ..Capture::default() });
        assert_eq!(read.orientation, 1);
    }
}
