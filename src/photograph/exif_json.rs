//! All EXIF tags as JSON, for the record and for tags that nobody has asked about yet.
//!
//! - Keys are the tag names of the Exif standard. Tags of the second page (the embedded thumbnail) begin with
//!   `Thumbnail:`, of later pages with `Page3:` and so on; unknown tags read `Exif:0xa50b`.
//! - Numbers are numbers. Rationals stay as written: `{"num": 1, "den": 125}`, a zero denominator too. More than
//!   one value makes a list.
//! - Text loses its padding; several texts make a list.
//! - Undefined bytes are text where printable, `{"hex": "…"}` up to 64 bytes, else `{"bytes": n, "sha256": "…"}`.
//!   The maker note is always the latter, and so are lists of more than 256 numbers.
//! - Positions are kept: this is the full account. Leave the keys that begin with `GPS` out of what is published.

use exif::{Context, Exif, Field, In, Tag, Value as Exifed};
use serde_json::{Map, Value, json};

use super::capture_text::text;
use crate::digest::{hex, sha256};

const LONGEST_LIST: usize = 256;
const LONGEST_HEX: usize = 64;

/// Every field that was read, first come first kept.
pub(super) fn all_tags(exif: &Exif) -> Value {
    let mut tags = Map::new();
    for field in exif.fields() {
        tags.entry(key(field)).or_insert_with(|| value(field));
    }
    Value::Object(tags)
}

fn key(field: &Field) -> String {
    let page = match field.ifd_num {
        In::PRIMARY => String::new(),
        In::THUMBNAIL => "Thumbnail:".into(),
        other => format!("Page{}:", u32::from(other.index()) + 1),
    };
    if field.tag.description().is_some() {
        return format!("{page}{}", field.tag);
    }
    let context = match field.tag.context() {
        Context::Exif => "Exif",
        Context::Gps => "GPS",
        Context::Interop => "Interop",
        _ => "Tiff",
    };
    format!("{page}{context}:0x{:04x}", field.tag.number())
}

fn value(field: &Field) -> Value {
    match &field.value {
        Exifed::Byte(v) => list(v, |&n| n.into()),
        Exifed::Short(v) => list(v, |&n| n.into()),
        Exifed::Long(v) => list(v, |&n| n.into()),
        Exifed::SByte(v) => list(v, |&n| n.into()),
        Exifed::SShort(v) => list(v, |&n| n.into()),
        Exifed::SLong(v) => list(v, |&n| n.into()),
        Exifed::Float(v) => list(v, |&n| f64::from(n).into()),
        Exifed::Double(v) => list(v, |&n| n.into()),
        Exifed::Rational(v) => list(v, |r| json!({ "num": r.num, "den": r.denom })),
        Exifed::SRational(v) => list(v, |r| json!({ "num": r.num, "den": r.denom })),
        Exifed::Ascii(v) => list(v, |line| text(line).unwrap_or_default().into()),
        Exifed::Undefined(v, _) if field.tag == Tag::MakerNote => digest(v),
        Exifed::Undefined(v, _) => undefined(v),
        Exifed::Unknown(kind, count, _) => json!({ "unknown type": kind, "count": count }),
    }
}

fn list<T>(values: &[T], each: impl Fn(&T) -> Value) -> Value {
    match values {
        [one] => each(one),
        many if many.len() > LONGEST_LIST => {
            let all = Value::from(many.iter().map(each).collect::<Vec<_>>()).to_string();
            json!({ "count": many.len(), "sha256": sha256(all.as_bytes()) })
        }
        many => many.iter().map(each).collect(),
    }
}

fn digest(bytes: &[u8]) -> Value {
    json!({ "bytes": bytes.len(), "sha256": sha256(bytes) })
}

fn undefined(bytes: &[u8]) -> Value {
    // User comments name their character code in eight bytes first.
    let said = bytes.strip_prefix(b"ASCII\0\0\0").unwrap_or(bytes);
    let end = said.iter().rposition(|&b| b != 0).map_or(0, |last| last + 1);
    match &said[..end] {
        printable if !printable.is_empty() && printable.iter().all(|b| matches!(b, b' '..=b'~')) => {
            String::from_utf8_lossy(printable).trim().into()
        }
        _ if bytes.len() <= LONGEST_HEX => {
            json!({ "hex": hex(bytes) })
        }
        _ => digest(bytes),
    }
}

/// The tags with fractions as the numbers they are; one over nought stays a pair. A position is never shown unless asked
/// for.
pub fn tags_as_numbers(exif: Value, position: bool) -> Value {
    match exif {
        Value::Object(tags) => {
            let figure = |name: &str| tags.get(name).and_then(Value::as_f64);
            if let (2, Some(over), Some(under)) = (tags.len(), figure("num"), figure("den")) {
                return if under == 0.0 { Value::Object(tags) } else { (over / under).into() };
            }
            let shown = tags.into_iter().filter(|(name, _)| position || !name.contains("GPS"));
            shown.map(|(name, value)| (name, tags_as_numbers(value, position))).collect()
        }
        Value::Array(list) => list.into_iter().map(|value| tags_as_numbers(value, position)).collect(),
        other => other,
    }
}
