//! Reads what the camera wrote into a file: the capture record and all tags.

use exif::{Context, Error, Exif, In, Reader, Tag, Value};

use super::capture_text::{colour_space, flash, moment, offset, text, white_balance};
use super::directory::Directory;
use super::exif_block::exif_block;
use super::exif_json::all_tags;
use crate::record::capture::Capture;

/// Reads the EXIF of a JPEG, PNG, TIFF or WebP held in memory.
///
/// Gives the capture record, every tag as JSON (keys are EXIF tag names, see the fields of
/// [`Ingested`](super::Ingested)), and remarks on what could not be read or deserves a look. A file without EXIF
/// gives an empty record and no remark. Never fails: what is unreadable is remarked and left out.
pub fn read_capture(bytes: &[u8]) -> (Capture, serde_json::Value, Vec<String>) {
    let mut remarks = vec![];
    let Some(exif) = parse(bytes, &mut remarks) else {
        return (Capture::default(), serde_json::Value::Object(serde_json::Map::new()), remarks);
    };
    let capture = Tags(&exif).capture(&mut remarks);
    (capture, all_tags(&exif), remarks)
}

fn parse(bytes: &[u8], remarks: &mut Vec<String>) -> Option<Exif> {
    let unreadable = |cause: &str| format!("EXIF could not be read: {cause}");
    let block = match exif_block(bytes) {
        Ok(block) => block?,
        Err(cause) => {
            remarks.push(unreadable(&cause));
            return None;
        }
    };
    let long = match Directory::walk(&block) {
        Ok(directory) => directory.oversized(),
        Err(cause) => {
            remarks.push(unreadable(cause));
            return None;
        }
    };
    let mut block = block.into_owned();
    for (count_at, tag, size) in long {
        // The reader would copy the value whole: let it find none.
        if let Some(count) = block.get_mut(count_at..count_at + 4) {
            count.fill(0);
        }
        remarks.push(format!("EXIF tag 0x{tag:04x} holds {size} bytes and was left in the file"));
    }
    let mut partly = vec![];
    let read = Reader::new()
        .continue_on_error(true)
        .read_raw(block)
        .or_else(|e| e.distill_partial_result(|errors| partly = errors.iter().map(Error::to_string).collect()));
    partly.sort();
    partly.dedup();
    remarks.extend(partly.into_iter().map(|cause| format!("EXIF could be read in part only: {}", lower(&cause))));
    match read {
        Ok(exif) => Some(exif),
        Err(Error::NotFound(_) | Error::BlankValue(_)) => None,
        Err(e) => {
            remarks.push(unreadable(&lower(&e.to_string())));
            None
        }
    }
}

fn lower(cause: &str) -> String {
    let mut chars = cause.chars();
    chars.next().map_or(String::new(), |first| first.to_lowercase().chain(chars).collect())
}

/// ISO speeds of other kinds, looked at when the short tag is full (Exif 2.32, SensitivityType): the recommended
/// exposure index first, because that is what the short tag would have held in most cameras.
const LONG_SPEEDS: [Tag; 3] = [Tag::RecommendedExposureIndex, Tag::ISOSpeed, Tag::StandardOutputSensitivity];
const SPEED_IS_ELSEWHERE: u32 = 65535;

struct Tags<'a>(&'a Exif);

impl Tags<'_> {
    /// The tag where the standard puts it, else where TIFF/EP (ISO 12234-2) and some phones do: in the first
    /// directory.
    fn value(&self, tag: Tag) -> Option<&Value> {
        let at = |tag| self.0.get_field(tag, In::PRIMARY).map(|f| &f.value);
        at(tag).or_else(|| (tag.context() == Context::Exif).then(|| at(Tag(Context::Tiff, tag.number())))?)
    }

    fn text(&self, tag: Tag) -> Option<String> {
        match self.value(tag)? {
            Value::Ascii(lines) => lines.iter().find_map(|line| text(line)),
            Value::Undefined(bytes, _) | Value::Byte(bytes) => text(bytes),
            _ => None,
        }
    }

    fn whole(&self, tag: Tag) -> Option<u32> {
        self.value(tag)?.get_uint(0)
    }

    /// A number of any kind; a zero denominator is no number.
    fn number(&self, tag: Tag) -> Option<f64> {
        number(self.value(tag)?)
    }

    fn above_zero(&self, tag: Tag) -> Option<f64> {
        self.number(tag).filter(|&n| n > 0.0)
    }

    fn capture(&self, remarks: &mut Vec<String>) -> Capture {
        let (taken, offset) = self.taken(remarks);
        Capture {
            taken,
            offset,
            make: self.text(Tag::Make),
            model: self.text(Tag::Model),
            lens: self.text(Tag::LensModel),
            focal_length_mm: self.above_zero(Tag::FocalLength),
            focal_length_35mm: self.above_zero(Tag::FocalLengthIn35mmFilm),
            // Apex values (Exif 2.32, annex C): N = 2^(Av/2), t = 2^-Tv.
            aperture: self
                .above_zero(Tag::FNumber)
                .or_else(|| self.number(Tag::ApertureValue).and_then(|av| possible((av / 2.0).exp2()))),
            shutter_s: self
                .above_zero(Tag::ExposureTime)
                .or_else(|| self.number(Tag::ShutterSpeedValue).and_then(|tv| possible((-tv).exp2()))),
            exposure_bias_ev: self.number(Tag::ExposureBiasValue),
            iso: self.iso(),
            flash: self.whole(Tag::Flash).map(flash),
            white_balance: self.whole(Tag::WhiteBalance).and_then(white_balance).map(Into::into),
            colour_space: self
                .whole(Tag::ColorSpace)
                .and_then(|c| colour_space(c, self.text(Tag::InteroperabilityIndex).as_deref()))
                .map(Into::into),
            orientation: self.orientation(remarks),
            software: self.text(Tag::Software),
            has_position: self.has_position(),
        }
    }

    /// The exposure, else the digitising. The date of the last change is not the day of photography, and its
    /// offset says nothing about the exposure.
    fn taken(&self, remarks: &mut Vec<String>) -> (Option<String>, Option<String>) {
        let sources = [
            (Tag::DateTimeOriginal, Tag::SubSecTimeOriginal, Tag::OffsetTimeOriginal),
            (Tag::DateTimeDigitized, Tag::SubSecTimeDigitized, Tag::OffsetTimeDigitized),
        ];
        for (date, fraction, zone) in sources {
            let Some(written) = self.text(date) else { continue };
            match moment(&written, self.text(fraction).as_deref()) {
                Ok(Some(taken)) => return (Some(taken), self.text(zone).and_then(|z| offset(&z))),
                Ok(None) => {}
                Err(remark) => remarks.push(remark),
            }
        }
        (None, None)
    }

    fn iso(&self) -> Option<u32> {
        match self.whole(Tag::PhotographicSensitivity) {
            None | Some(0) => None,
            Some(SPEED_IS_ELSEWHERE) => LONG_SPEEDS.into_iter().find_map(|tag| self.whole(tag).filter(|&n| n > 0)),
            speed => speed,
        }
    }

    fn orientation(&self, remarks: &mut Vec<String>) -> u8 {
        match self.whole(Tag::Orientation) {
            None => 1,
            Some(n @ 1..=8) => {
                if matches!(n, 2 | 4 | 5 | 7) {
                    remarks.push(format!(
                        "EXIF orientation {n} asks for a mirrored picture; compare left and right with the piece"
                    ));
                }
                n as u8
            }
            Some(n) => {
                remarks.push(format!("EXIF orientation {n} is not one of 1 to 8; the picture is shown as stored"));
                1
            }
        }
    }

    /// Whether a latitude or longitude can be read, here or of the thing photographed.
    fn has_position(&self) -> bool {
        [Tag::GPSLatitude, Tag::GPSLongitude, Tag::GPSDestLatitude, Tag::GPSDestLongitude]
            .into_iter()
            .any(|tag| self.number(tag).is_some())
    }
}

fn number(value: &Value) -> Option<f64> {
    let number = match value {
        Value::Rational(v) => v.first().filter(|r| r.denom != 0)?.to_f64(),
        Value::SRational(v) => v.first().filter(|r| r.denom != 0)?.to_f64(),
        Value::Float(v) => f64::from(*v.first()?),
        Value::Double(v) => *v.first()?,
        Value::SByte(v) => f64::from(*v.first()?),
        Value::SShort(v) => f64::from(*v.first()?),
        Value::SLong(v) => f64::from(*v.first()?),
        other => f64::from(other.get_uint(0)?),
    };
    number.is_finite().then_some(number)
}

/// Apex powers outside what any lens or shutter does are writing errors.
fn possible(n: f64) -> Option<f64> {
    (n > 1e-9 && n < 1e9).then_some(n)
}
