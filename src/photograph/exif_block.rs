//! Where each file format keeps its EXIF. Apart from reading the tags, which are the same everywhere.

use std::borrow::Cow;
use std::ops::ControlFlow::{Break, Continue};

use super::container::{Kind, START_OF_SCAN, walk_jpeg};
use super::sealed::{heif_exif, raw_exif};

/// The EXIF block of a file, as a TIFF structure. `Ok(None)`: the file carries none.
pub(super) fn exif_block(bytes: &[u8]) -> Result<Option<Cow<'_, [u8]>>, String> {
    match Kind::of(bytes) {
        Some(Kind::Tiff) => Ok(Some(Cow::Borrowed(bytes))),
        Some(Kind::Jpeg) => {
            let mut found = None;
            // A JPEG cut short may still have its EXIF: take what was seen on the way.
            // It stands before the picture data (Exif 2.32, section 4.5.4), which is not looked through.
            let _ = walk_jpeg(bytes, |marker, segment| {
                if marker == 0xe1 {
                    found = segment.strip_prefix(b"Exif\0").and_then(|s| s.get(1..));
                }
                if found.is_some() || marker == START_OF_SCAN { Break(()) } else { Continue(()) }
            });
            Ok(found.map(Cow::Borrowed))
        }
        Some(Kind::Png) => {
            let named = |wanted: &'static [u8; 4]| {
                move |[a, b, c, d, name @ ..]: [u8; 8]| (u32::from_be_bytes([a, b, c, d]), name == *wanted, 4)
            };
            if let Some(block) = chunks(bytes, 8, named(b"eXIf")).next() {
                return Ok(Some(without_prefix(block)));
            }
            if let Some(profile) = chunks(bytes, 8, named(b"tEXt")).find_map(raw_profile) {
                return profile.map(|block| Some(Cow::Owned(block)));
            }
            let packed = |text: &[u8]| RAW_PROFILES.iter().any(|keyword| text.starts_with(keyword));
            if chunks(bytes, 8, named(b"zTXt")).any(packed) || chunks(bytes, 8, named(b"iTXt")).any(packed) {
                return Err("it stands in a compressed text chunk, as older programs wrote it".into());
            }
            Ok(None)
        }
        Some(Kind::WebP) => {
            let wanted = |[name @ .., a, b, c, d]: [u8; 8]| {
                let size = u32::from_le_bytes([a, b, c, d]);
                (size, name == *b"EXIF", size % 2)
            };
            Ok(chunks(bytes, 12, wanted).next().map(without_prefix))
        }
        Some(Kind::Heif(_)) => Ok(heif_exif(bytes)?.map(Cow::Owned)),
        Some(Kind::Raw(_)) => Ok(raw_exif(bytes).map(Cow::Owned)),
        None => Err("the file is no photograph of a kind known here".into()),
    }
}

/// Some writers keep the JPEG identifier before the TIFF structure in PNG and WebP.
fn without_prefix(block: &[u8]) -> Cow<'_, [u8]> {
    Cow::Borrowed(block.strip_prefix(b"Exif\0\0").unwrap_or(block))
}

/// Keywords under which programs kept EXIF in PNG before the format had a chunk for it (common practice, no
/// source): lines of hexadecimal after a name and a length.
const RAW_PROFILES: [&[u8]; 2] = [b"Raw profile type exif\0", b"Raw profile type APP1\0"];

/// The bytes of a raw profile in a text chunk; `None`: it is other text.
fn raw_profile(text: &[u8]) -> Option<Result<Vec<u8>, String>> {
    let written = RAW_PROFILES.iter().find_map(|keyword| text.strip_prefix(*keyword))?;
    // An empty line, the name, the length, then the bytes.
    let mut lines = written.splitn(4, |&b| b == b'\n');
    let digits = lines.nth(3).unwrap_or_default().iter().filter(|b| !b.is_ascii_whitespace());
    let nibbles: Option<Vec<u8>> = digits.map(|&b| char::from(b).to_digit(16).map(|n| n as u8)).collect();
    Some(match nibbles {
        Some(nibbles) => {
            let bytes: Vec<u8> = nibbles.chunks_exact(2).map(|pair| pair[0] << 4 | pair[1]).collect();
            Ok(without_prefix(&bytes).into_owned())
        }
        None => Err("its text chunk holds other than hexadecimal digits".into()),
    })
}

/// The wanted chunks of a chunked file, the last perhaps cut short. `read` gives from the eight bytes of a
/// chunk's head its size, whether it is wanted, and how many bytes follow it.
fn chunks(bytes: &[u8], mut at: usize, read: impl Fn([u8; 8]) -> (u32, bool, u32)) -> impl Iterator<Item = &[u8]> {
    std::iter::from_fn(move || {
        loop {
            let head = bytes.get(at..at.checked_add(8)?)?.try_into().ok()?;
            let (size, wanted, after) = read(head);
            let start = at + 8;
            let end = start.checked_add(size as usize)?;
            at = end.checked_add(after as usize)?;
            if wanted {
                return Some(bytes.get(start..end).unwrap_or(&bytes[start..]));
            }
        }
    })
}
