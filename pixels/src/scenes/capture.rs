//! The camera's own record: EXIF fields of an invented camera, and the JPEG file they ride in. Apart because a file
//! of the demo must be read by the same code, and by any other reader, as a photograph from a camera.

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder, RgbImage};
use serde::Deserialize;
use std::io::Cursor;

/// JPEG quality of the whole set.
pub const QUALITY: u8 = 80;

/// An invented camera.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Camera {
    /// Name by which photographs call for it.
    pub id: String,
    /// Maker.
    pub make: String,
    /// Model.
    pub model: String,
    /// Serial number of the body.
    pub serial: String,
}

/// One exposure.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Capture {
    /// Which camera.
    pub camera: String,
    /// Lens as the camera names it.
    pub lens: String,
    /// Focal length in millimetres.
    pub focal_mm: u32,
    /// Aperture number.
    pub aperture: f32,
    /// Exposure time in seconds, as `1/60` or `2`.
    pub shutter: String,
    /// Sensitivity.
    pub iso: u16,
    /// Local time `YYYY:MM:DD hh:mm:ss`.
    pub taken: String,
    /// Zone of that time.
    pub offset: String,
    /// 0 automatic, 1 set by hand.
    pub white_balance: u16,
    /// 1 upright; 6 and 8: the camera was held upright and the pixels lie turned.
    pub orientation: u16,
}

fn ratio(text: &str) -> Result<Rational, String> {
    let (num, denom) = text.split_once('/').unwrap_or((text, "1"));
    match (num.trim().parse(), denom.trim().parse()) {
        (Ok(num), Ok(denom)) if denom > 0 => Ok(Rational { num, denom }),
        _ => Err(format!("shutter `{text}` is no exposure time: write it as `1/60` or `2`")),
    }
}

/// The fields a camera writes, for a stored picture of `size` pixels.
fn fields(camera: &Camera, shot: &Capture, light: &str, artist: &str, size: (u32, u32)) -> Result<Vec<Field>, String> {
    let text = |tag: Tag, words: &str| (tag, Value::Ascii(vec![words.as_bytes().to_vec()]));
    let short = |tag: Tag, number: u16| (tag, Value::Short(vec![number]));
    let rational = |tag: Tag, num: u32, denom: u32| (tag, Value::Rational(vec![Rational { num, denom }]));
    // EXIF light source: 1 daylight, 10 cloudy, 0 unknown.
    let source = match light {
        "daylight from a north window" => 1,
        "daylight, overcast" => 10,
        _ => 0,
    };
    let list = vec![
        text(Tag::Make, &camera.make),
        text(Tag::Model, &camera.model),
        short(Tag::Orientation, shot.orientation),
        rational(Tag::XResolution, 300, 1),
        rational(Tag::YResolution, 300, 1),
        short(Tag::ResolutionUnit, 2),
        text(Tag::DateTime, &shot.taken),
        text(Tag::Artist, artist),
        short(Tag::YCbCrPositioning, 1),
        (Tag::ExposureTime, Value::Rational(vec![ratio(&shot.shutter)?])),
        rational(Tag::FNumber, (shot.aperture * 10.0).round() as u32, 10),
        short(Tag::ExposureProgram, 1),
        short(Tag::PhotographicSensitivity, shot.iso),
        short(Tag::SensitivityType, 2),
        (Tag::ExifVersion, Value::Undefined(b"0232".to_vec(), 0)),
        text(Tag::DateTimeOriginal, &shot.taken),
        text(Tag::DateTimeDigitized, &shot.taken),
        text(Tag::OffsetTime, &shot.offset),
        text(Tag::OffsetTimeOriginal, &shot.offset),
        text(Tag::OffsetTimeDigitized, &shot.offset),
        short(Tag::MeteringMode, 3),
        short(Tag::LightSource, source),
        // 0x10: the flash was switched off and did not fire.
        short(Tag::Flash, 0x10),
        rational(Tag::FocalLength, shot.focal_mm, 1),
        (Tag::ComponentsConfiguration, Value::Undefined(vec![1, 2, 3, 0], 0)),
        (Tag::FlashpixVersion, Value::Undefined(b"0100".to_vec(), 0)),
        short(Tag::ColorSpace, 1),
        (Tag::PixelXDimension, Value::Long(vec![size.0])),
        (Tag::PixelYDimension, Value::Long(vec![size.1])),
        short(Tag::CustomRendered, 0),
        short(Tag::ExposureMode, 1),
        short(Tag::WhiteBalance, shot.white_balance),
        short(Tag::FocalLengthIn35mmFilm, (shot.focal_mm * 3 / 2) as u16),
        short(Tag::SceneCaptureType, 0),
        text(Tag::BodySerialNumber, &camera.serial),
        text(Tag::LensModel, &shot.lens),
    ];
    Ok(list.into_iter().map(|(tag, value)| Field { tag, ifd_num: In::PRIMARY, value }).collect())
}

/// Turns an upright picture to the way the sensor saw it, so that a viewer obeying `orientation` shows it upright.
pub fn as_stored(upright: RgbImage, orientation: u16) -> RgbImage {
    match orientation {
        // Shown turned 90 degrees clockwise: stored turned 90 degrees the other way.
        6 => image::imageops::rotate270(&upright),
        8 => image::imageops::rotate90(&upright),
        _ => upright,
    }
}

/// The finished file.
pub fn encode(
    upright: RgbImage,
    camera: &Camera,
    shot: &Capture,
    light: &str,
    artist: &str,
) -> Result<Vec<u8>, String> {
    let stored = as_stored(upright, shot.orientation);
    let fields = fields(camera, shot, light, artist, stored.dimensions())?;
    let mut block = Cursor::new(Vec::new());
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    writer.write(&mut block, false).map_err(|e| format!("EXIF could not be written: {e}"))?;
    let mut file = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut file, QUALITY);
    encoder.set_exif_metadata(block.into_inner()).map_err(|e| format!("EXIF could not be placed in the file: {e}"))?;
    encoder
        .write_image(stored.as_raw(), stored.width(), stored.height(), ExtendedColorType::Rgb8)
        .map_err(|e| format!("the picture could not be encoded: {e}"))?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_camera_held_upright_stores_the_pixels_turned() {
        let mut upright = RgbImage::new(2, 3);
        upright.put_pixel(0, 0, image::Rgb([255, 0, 0]));
        // Orientation 6: the stored first row is the upright right-hand side; top left comes to lie bottom left.
        let six = as_stored(upright.clone(), 6);
        assert_eq!((six.dimensions(), six.get_pixel(0, 1).0[0]), ((3, 2), 255));
        let eight = as_stored(upright.clone(), 8);
        assert_eq!((eight.dimensions(), eight.get_pixel(2, 0).0[0]), ((3, 2), 255));
        assert_eq!(as_stored(upright.clone(), 1), upright);
    }

    #[test]
    fn exposure_times_are_fractions_or_seconds() {
        for (text, want) in [("1/60", Some((1, 60))), ("2", Some((2, 1))), ("1/0", None), ("slow", None)] {
            assert_eq!(ratio(text).ok().map(|r| (r.num, r.denom)), want, "`{text}`");
        }
    }
}
