//! Colours of other working spaces as sRGB, so that a view looks the same in every browser and on paper.

use image::{DynamicImage, RgbImage};
use moxcms::{ColorProfile, DataColorSpace, Layout, TransformOptions};

/// The picture in sRGB. `None` where nothing has to be done or nothing can: no profile, sRGB already, or a profile
/// that is no RGB one.
///
/// `adobe` says that the camera named Adobe RGB as the space (Exif interoperability index R03) without a profile.
pub(super) fn converted(picture: &DynamicImage, profile: Option<&[u8]>, adobe: bool) -> Option<RgbImage> {
    let DynamicImage::ImageRgb8(pixels) = picture else { return None };
    let source = match profile {
        Some(bytes) => ColorProfile::new_from_slice(bytes).ok()?,
        None if adobe => ColorProfile::new_adobe_rgb(),
        None => return None,
    };
    if source.color_space != DataColorSpace::Rgb {
        return None;
    }
    let transform = source
        .create_transform_8bit(Layout::Rgb, &ColorProfile::new_srgb(), Layout::Rgb, TransformOptions::default())
        .ok()?;
    let mut out = vec![0; pixels.as_raw().len()];
    transform.transform(pixels.as_raw(), &mut out).ok()?;
    RgbImage::from_raw(pixels.width(), pixels.height(), out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(colour: [u8; 3]) -> DynamicImage {
        RgbImage::from_pixel(1, 1, colour.into()).into()
    }

    /// Wanted values: the matrices and curves of CSS Color 4, section 17 (Display P3), and of the Adobe RGB (1998)
    /// encoding, multiplied out with numpy 2 in double precision.
    #[test]
    fn other_spaces_become_srgb() {
        let p3 = ColorProfile::new_display_p3().encode().expect("a profile");
        let cases = [
            (Some(&p3), false, [128, 128, 128], [128, 128, 128]),
            (Some(&p3), false, [255, 0, 0], [255, 0, 0]),
            (Some(&p3), false, [200, 100, 50], [215, 93, 31]),
            (None, true, [128, 128, 128], [128, 128, 128]),
            (Some(&p3), false, [90, 140, 80], [73, 142, 72]),
            (None, true, [100, 150, 100], [66, 151, 97]),
            (None, true, [180, 90, 60], [205, 90, 56]),
        ];
        for (profile, adobe, from, want) in cases {
            let found = converted(&one(from), profile.map(Vec::as_slice), adobe).expect("converted");
            let found = found.get_pixel(0, 0).0;
            let near = found.iter().zip(want).all(|(a, b): (&u8, u8)| a.abs_diff(b) <= 2);
            assert!(near, "{from:?} became {found:?}, wanted {want:?}");
        }
        assert!(converted(&one([1, 2, 3]), None, false).is_none());
        assert!(converted(&one([1, 2, 3]), Some(b"no profile"), false).is_none());
    }
}
