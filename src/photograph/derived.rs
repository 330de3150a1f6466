//! Decodes an original and makes the view and the thumbnail from it: upright, without EXIF, smaller.

use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use dimity_pixels::smaller::{Filter, smaller};
use image::error::ImageError;
use image::metadata::Orientation;
use image::{DynamicImage, GrayImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};

use super::container::{Kind, jpeg_header};
use super::directory::Directory;
use super::fault::IngestFault;
use super::jpeg;
use super::jpeg_warnings::Warnings;
use super::to_srgb::converted;
use crate::record::capture::Capture;

/// Longest side of a view, in pixels.
pub(super) const VIEW: u32 = 1600;
/// Longest side of a thumbnail, in pixels.
pub(super) const THUMBNAIL: u32 = 320;
/// JPEG quality of both.
const QUALITY: u8 = 82;
/// The most pixels taken in.
pub(super) const MOST_PIXELS: u64 = 300_000_000;
/// A colour profile longer than this is a printer's, and would outweigh a thumbnail.
const LONGEST_PROFILE: usize = 64 * 1024;

/// The cause where a JPEG's picture data ends too early or holds what is no code: bytes are missing or were changed.
const BROKEN: &str = "its picture data does not add up: bytes in it are missing or were changed";
/// Said where picture data is longer than its picture.
const LEFT_OVER: &str = "bytes are left over behind its picture data: some cameras write so, but data that was changed on \
                         the way may look like this too; look at the whole picture, and compare the file with the card";

/// A decoded original.
pub(super) struct Decoded {
    pub(super) pixels: DynamicImage,
    profile: Option<Vec<u8>>,
    /// What the user should know of the picture data.
    pub(super) remark: Option<&'static str>,
}

/// View and thumbnail as JPEG bytes.
pub(super) struct Pair {
    pub(super) view: Vec<u8>,
    pub(super) thumbnail: Vec<u8>,
    /// Whether the original's colour profile could not go with them.
    pub(super) profile_left_out: bool,
}

/// Width and height of the pixels as stored, from the header alone; refuses more than [`MOST_PIXELS`].
pub(super) fn dimensions(kind: Kind, bytes: &[u8], path: &Path) -> Result<(u32, u32), IngestFault> {
    guarded(path, || {
        let decoder = ImageReader::with_format(Cursor::new(header(kind, bytes)), kind.format()).into_decoder()?;
        Ok(decoder.dimensions())
    })
    .and_then(|(width, height)| {
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            let size = format!("{width} × {height} pixels");
            let most = format!("{} million pixels", MOST_PIXELS / 1_000_000);
            return Err(IngestFault::TooLarge { path: path.into(), size, most });
        }
        Ok((width, height))
    })
}

/// What tells a picture's size and profile: of a JPEG its header alone, because the decoder copies all that it is given.
fn header(kind: Kind, bytes: &[u8]) -> &[u8] {
    if kind.format() == ImageFormat::Jpeg { jpeg_header(bytes) } else { bytes }
}

/// Decodes as many pixels as a view needs. A JPEG whose picture data is broken is refused, though a decoder would fill it
/// in; where that is only likely, it is said in [`Decoded::remark`].
pub(super) fn decode(kind: Kind, bytes: &[u8], path: &Path) -> Result<Decoded, IngestFault> {
    dimensions(kind, bytes, path)?;
    let (small, warnings) = if kind == Kind::Jpeg { jpeg::reduced(bytes, VIEW) } else { (None, Warnings::default()) };
    if warnings.within > 0 {
        return Err(IngestFault::Damaged { path: path.into(), cause: BROKEN.into() });
    }
    let remark = (warnings.behind > 0).then_some(LEFT_OVER);
    Ok(Decoded { remark, ..decoded(kind, bytes, small, path)? })
}

/// Every pixel as sRGB of eight bits a channel, upright.
pub(super) fn whole(kind: Kind, bytes: &[u8], capture: &Capture, path: &Path) -> Result<RgbImage, IngestFault> {
    dimensions(kind, bytes, path)?;
    let Decoded { pixels, profile, .. } = decoded(kind, bytes, None, path)?;
    let pixels = plain(pixels);
    let adobe = capture.colour_space.as_deref() == Some("Adobe RGB");
    let mut upright = converted(&pixels, profile.as_deref(), adobe).map_or(pixels, DynamicImage::from);
    if let Some(turn) = Orientation::from_exif(capture.orientation) {
        upright.apply_orientation(turn);
    }
    Ok(upright.into_rgb8())
}

/// Decodes the pixels, unless they are given. Memory is bounded by the stated size of the picture: at most the pixels twice over
/// and 64 MiB, whatever the file claims on the way.
fn decoded(kind: Kind, bytes: &[u8], given: Option<DynamicImage>, path: &Path) -> Result<Decoded, IngestFault> {
    guarded(path, || {
        let needed = if given.is_some() { header(kind, bytes) } else { bytes };
        let mut decoder = ImageReader::with_format(Cursor::new(needed), kind.format()).into_decoder()?;
        let mut limits = Limits::default();
        limits.max_alloc = Some(decoder.total_bytes().saturating_mul(2).saturating_add(64 << 20));
        decoder.set_limits(limits)?;
        // The TIFF decoder passes over a profile of the type that the standard gives it.
        let laid_in = || Directory::walk(bytes).ok()?.profile().map(<[u8]>::to_vec);
        let profile = if kind == Kind::Tiff { laid_in() } else { decoder.icc_profile().ok().flatten() };
        let pixels = match given {
            Some(pixels) => pixels,
            None => DynamicImage::from_decoder(decoder)?,
        };
        Ok(Decoded { pixels, profile, remark: None })
    })
}

/// Runs a decoder. A decoder that panics on a damaged file must not end a batch of a thousand good ones.
fn guarded<T>(path: &Path, work: impl FnOnce() -> Result<T, ImageError>) -> Result<T, IngestFault> {
    let path = path.to_path_buf();
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(Ok(done)) => Ok(done),
        Ok(Err(ImageError::IoError(e))) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
            Err(IngestFault::Truncated { path, detail: "the picture data ends too early".into() })
        }
        Ok(Err(ImageError::Unsupported(e))) => Err(IngestFault::Unsupported {
            path,
            what: format!("a picture of a kind unknown to the decoder (“{e}”)"),
            mend: "save it as an ordinary 8 or 16 bit RGB TIFF or as JPEG and add that file".into(),
        }),
        Ok(Err(ImageError::Limits(_))) => Err(IngestFault::Damaged {
            path,
            cause: "decoding it would take more memory than its size in pixels warrants".into(),
        }),
        Ok(Err(e)) => Err(IngestFault::Damaged { path, cause: in_words(&e.to_string()) }),
        Err(_) => Err(IngestFault::Damaged { path, cause: "the decoder gave up on it".into() }),
    }
}

/// A decoder's cause without its internals.
fn in_words(cause: &str) -> String {
    if cause.contains("CRC") {
        return "a check sum in it does not match its data".into();
    }
    format!("the decoder says “{}”", cause.trim_end_matches('.'))
}

/// Makes both pictures. The thumbnail is made from the view, which is near enough and far quicker.
pub(super) fn derive(original: Decoded, capture: &Capture, path: &Path) -> Result<Pair, IngestFault> {
    let Decoded { pixels, mut profile, .. } = original;
    let whole = plain(pixels);
    let mut view = shrink(&whole, VIEW).unwrap_or(whole);
    let adobe = capture.colour_space.as_deref() == Some("Adobe RGB");
    if let Some(srgb) = converted(&view, profile.as_deref(), adobe) {
        (view, profile) = (srgb.into(), None);
    }
    if let Some(turn) = Orientation::from_exif(capture.orientation) {
        view.apply_orientation(turn);
    }
    // An ICC profile names the space it converts from in bytes 16 to 19 (ICC.1, header).
    let wanted: &[u8] = if matches!(view, DynamicImage::ImageLuma8(_)) { b"GRAY" } else { b"RGB " };
    let fits = profile.as_ref().is_some_and(|p| p.len() <= LONGEST_PROFILE && p.get(16..20) == Some(wanted));
    let profile_left_out = profile.is_some() && !fits;
    let profile = profile.filter(|_| fits);
    let encode = |picture: &DynamicImage| -> Result<Vec<u8>, IngestFault> {
        jpeg::encoded(picture, QUALITY, profile.as_deref())
            .ok_or_else(|| IngestFault::Damaged { path: path.into(), cause: "no view of it can be written".into() })
    };
    let thumbnail = encode(shrink(&view, THUMBNAIL).as_ref().unwrap_or(&view))?;
    Ok(Pair { view: encode(&view)?, thumbnail, profile_left_out })
}

/// Width and height that bring the longest side to `longest`, at least one pixel each; `None` if small already.
pub(super) fn fitted(width: u32, height: u32, longest: u32) -> Option<(u32, u32)> {
    let side = width.max(height);
    let scaled = |n: u32| {
        let n = (u64::from(n) * u64::from(longest) + u64::from(side) / 2) / u64::from(side);
        u32::try_from(n).unwrap_or(longest).max(1)
    };
    (side > longest).then(|| (scaled(width), scaled(height)))
}

fn shrink(pixels: &DynamicImage, longest: u32) -> Option<DynamicImage> {
    let (width, height) = fitted(pixels.width(), pixels.height(), longest)?;
    Some(smaller(pixels, (width, height), Filter::Lanczos))
}

/// Eight bits, grey or RGB, as JPEG holds; what was transparent becomes white paper.
fn plain(pixels: DynamicImage) -> DynamicImage {
    let over_white = |value: u8, alpha: u8| {
        let (value, alpha) = (u32::from(value), u32::from(alpha));
        ((value * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    };
    match pixels {
        DynamicImage::ImageLuma8(_) | DynamicImage::ImageRgb8(_) => pixels,
        DynamicImage::ImageLuma16(_) => pixels.into_luma8().into(),
        DynamicImage::ImageLumaA8(_) | DynamicImage::ImageLumaA16(_) => {
            let two = pixels.into_luma_alpha8();
            GrayImage::from_fn(two.width(), two.height(), |x, y| {
                let [v, a] = two.get_pixel(x, y).0;
                [over_white(v, a)].into()
            })
            .into()
        }
        _ if pixels.color().has_alpha() => {
            let four = pixels.into_rgba8();
            RgbImage::from_fn(four.width(), four.height(), |x, y| {
                let [r, g, b, a] = four.get_pixel(x, y).0;
                [r, g, b].map(|v| over_white(v, a)).into()
            })
            .into()
        }
        _ => pixels.into_rgb8().into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_side_is_fitted_and_nothing_is_enlarged() {
        let cases = [
            ((6000, 4000, 1600), Some((1600, 1067))),
            ((4000, 6000, 1600), Some((1067, 1600))),
            ((1601, 1, 1600), Some((1600, 1))),
            ((1600, 1200, 1600), None),
            ((320, 320, 320), None),
            ((30000, 2, 320), Some((320, 1))),
        ];
        for ((width, height, longest), want) in cases {
            assert_eq!(fitted(width, height, longest), want, "{width} × {height}");
        }
    }

    #[test]
    fn transparent_parts_become_white_paper() {
        let mut four = image::RgbaImage::from_pixel(3, 1, [10, 20, 30, 255].into());
        four.put_pixel(1, 0, [10, 20, 30, 0].into());
        four.put_pixel(2, 0, [0, 0, 0, 128].into());
        let flat = plain(four.into()).into_rgb8();
        assert_eq!(
            [flat.get_pixel(0, 0).0, flat.get_pixel(1, 0).0, flat.get_pixel(2, 0).0],
            [[10, 20, 30], [255; 3], [127; 3]]
        );
    }
}
