//! JPEG for the derived pictures: decoded at a reduced scale, and written.
//!
//! A view needs a fraction of an original's pixels. The decoder leaves out the frequencies that the smaller picture
//! cannot show, so that of a photograph of 24 megapixels only 3 to 6 are ever made, and the time that is left is
//! spent on the entropy code, which has to be read whole. The decoder is a C library that builds with a C compiler
//! alone; what it cannot do goes to the other decoder, which tells the cause. Views are written in Rust, with the vector
//! instructions of the processor, so that no assembler is needed for them.

use std::panic::{AssertUnwindSafe, catch_unwind};

use image::{DynamicImage, GrayImage, RgbImage};
use jpeg_encoder::{ChromaSubsamplingMethod, ColorType, Encoder, SamplingFactor};
use mozjpeg::{ColorSpace, Decompress};

use super::jpeg_warnings::{Warnings, heard, manager};

/// Decodes a JPEG at the smallest scale of eighths whose longest side is not below `longest`, and tells what the decoder
/// warned of.
///
/// `None` where this decoder cannot: it says nothing about the cause, the other one does.
pub(super) fn reduced(bytes: &[u8], longest: u32) -> (Option<DynamicImage>, Warnings) {
    // The C library reports a fatal error by unwinding.
    let (done, warnings) = heard(|| catch_unwind(AssertUnwindSafe(|| attempt(bytes, longest))));
    (done.ok().flatten(), warnings)
}

fn attempt(bytes: &[u8], longest: u32) -> Option<DynamicImage> {
    let mut decoder = Decompress::builder().with_err(manager()).from_mem(bytes).ok()?;
    let (width, height) = decoder.size();
    decoder.scale(eighths(u32::try_from(width.max(height)).ok()?, longest));
    let stored = decoder.color_space();
    let mut started = match stored {
        ColorSpace::JCS_GRAYSCALE => decoder.grayscale().ok()?,
        ColorSpace::JCS_YCbCr | ColorSpace::JCS_RGB => decoder.rgb().ok()?,
        ColorSpace::JCS_CMYK | ColorSpace::JCS_YCCK => decoder.to_colorspace(ColorSpace::JCS_CMYK).ok()?,
        _ => return None,
    };
    let (width, height) = (u32::try_from(started.width()).ok()?, u32::try_from(started.height()).ok()?);
    let pixels = started.read_scanlines::<u8>().ok()?;
    started.finish().ok()?;
    match stored {
        ColorSpace::JCS_GRAYSCALE => GrayImage::from_raw(width, height, pixels).map(Into::into),
        ColorSpace::JCS_CMYK | ColorSpace::JCS_YCCK => {
            RgbImage::from_raw(width, height, paper_of_inks(&pixels)).map(Into::into)
        }
        _ => RgbImage::from_raw(width, height, pixels).map(Into::into),
    }
}

/// The scale in eighths, 1 to 8.
fn eighths(side: u32, longest: u32) -> u8 {
    let wanted = (u64::from(longest) * 8).div_ceil(u64::from(side.max(1)));
    wanted.clamp(1, 8) as u8
}

/// Four inks, stored inverted as every program that writes them does (common practice, no source), as light from
/// white paper.
fn paper_of_inks(inks: &[u8]) -> Vec<u8> {
    let shade = |ink: u8, black: u8| ((u32::from(ink) * u32::from(black) + 127) / 255) as u8;
    inks.chunks_exact(4).flat_map(|p| [shade(p[0], p[3]), shade(p[1], p[3]), shade(p[2], p[3])]).collect()
}

/// Writes an 8-bit grey or RGB picture as JPEG, chroma halved both ways by averages, with a colour profile where one is
/// given; `None` if the encoder refuses, which it does for sides above 65,535.
pub(super) fn encoded(picture: &DynamicImage, quality: u8, profile: Option<&[u8]>) -> Option<Vec<u8>> {
    let (kind, pixels) = match picture {
        DynamicImage::ImageLuma8(grey) => (ColorType::Luma, grey.as_raw()),
        DynamicImage::ImageRgb8(rgb) => (ColorType::Rgb, rgb.as_raw()),
        _ => return None,
    };
    let (width, height) = (u16::try_from(picture.width()).ok()?, u16::try_from(picture.height()).ok()?);
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, quality);
    encoder.set_sampling_factor(SamplingFactor::F_2_2);
    encoder.set_chroma_subsampling_method(ChromaSubsamplingMethod::Average);
    if let Some(profile) = profile {
        encoder.add_icc_profile(profile).ok()?;
    }
    encoder.encode(pixels, width, height, kind).ok()?;
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_is_the_smallest_that_is_large_enough() {
        let cases = [
            (6000, 3),
            (4000, 4),
            (1600, 8),
            (1601, 8),
            (3200, 4),
            (3201, 4),
            (12_800, 1),
            (65_535, 1),
            (10, 8),
            (0, 8),
        ];
        for (side, want) in cases {
            let found = eighths(side, 1600);
            assert_eq!(found, want, "{side}");
            assert!(side * u32::from(found) >= 1600 * 8 || found == 8, "{side}");
        }
    }

    #[test]
    fn inks_on_paper_are_light() {
        // Stored inverted: 255 is no ink.
        assert_eq!(
            paper_of_inks(&[255, 255, 255, 255, 0, 255, 255, 255, 255, 255, 255, 0]),
            [255, 255, 255, 0, 255, 255, 0, 0, 0]
        );
    }

    #[test]
    fn what_is_no_jpeg_is_left_to_the_other_decoder() {
        for bytes in [&b""[..], b"\xff\xd8", b"\xff\xd8\xff\xe0\0\x10JFIF", b"no picture at all"] {
            assert_eq!(reduced(bytes, 1600), (None, Warnings::default()));
        }
    }

    #[test]
    fn a_picture_comes_back_at_the_scale_asked_for() {
        let picture: DynamicImage = RgbImage::from_fn(400, 200, |x, y| [(x / 2) as u8, y as u8, 90].into()).into();
        let bytes = encoded(&picture, 90, None).expect("written");
        let small = reduced(&bytes, 100).0.expect("read").into_rgb8();
        assert_eq!(small.dimensions(), (100, 50));
        let [r, g, b] = small.get_pixel(50, 25).0.map(i32::from);
        assert!((r - 101).abs() < 4 && (g - 101).abs() < 4 && (b - 90).abs() < 4, "{r} {g} {b}");
    }
}
