//! One photograph laid over another, and where the two differ. Made for a page from the views; nothing is stored.

use image::imageops::{FilterType, resize};
use image::{GrayImage, Rgb, RgbImage};

use super::Store;
use super::jpeg::encoded;
use crate::colour::target::Correction;
use crate::colour::{Lab, Light, Srgb, White, Xyz, ciede2000};
use crate::geometry::{Homography, Point};
use crate::record::photograph::Photograph;
use crate::record::registration::Registration;

/// The difference (ΔE00) that prints black; none prints white.
pub const BLACK: f64 = 20.0;
/// Longest side of the picture of differences.
const LONGEST: u32 = 720;
/// Quality of both pictures as JPEG.
const QUALITY: u8 = 84;
/// Linear light below and above which a pixel says nothing about how light the photograph is.
const USABLE: std::ops::Range<f64> = 0.02..0.95;

/// How the colours of the two were made comparable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Evened {
    /// Each by the correction from its own colour target.
    ByTarget,
    /// The second was multiplied in linear light, red, green and blue, so that the middle pixel of the two is alike:
    /// without a target in both, a change of the whole cannot be told from a change of the light.
    ByMiddle([f64; 3]),
}

/// One photograph laid over another.
#[derive(Debug, Clone, PartialEq)]
pub struct Overlay {
    /// The second photograph as it would look from where the first was taken, as JPEG, of the size of the first's view.
    pub laid: Vec<u8>,
    /// Where the two differ, as grey JPEG: white not at all, black by [`BLACK`] or more; ruled where only the first
    /// shows anything.
    pub difference: Vec<u8>,
    /// The part of the first photograph that the second shows as well, 0 to 1.
    pub shared: f64,
    /// ΔE00 that half of the shared pixels stay below.
    pub median: f64,
    /// ΔE00 that 95 % of them stay below.
    pub p95: f64,
    /// How the colours were made comparable.
    pub evened: Evened,
}

impl Store {
    /// Lays the second photograph over the first. None if a view is missing, or the two share nothing.
    pub fn overlay(&self, first: &Photograph, second: &Photograph, by: &Registration) -> Option<Overlay> {
        let view = |p: &Photograph| Some(image::open(self.view(&p.sha256)).ok()?.into_rgb8());
        let (under, over) = (Picture::of(first, view(first)?), Picture::of(second, view(second)?));
        laid_over(&under, &over, &by.map().ok()?, by.marks.first()?.0)
    }
}

/// A view, how large it is beside its original, and the correction of its colours.
struct Picture {
    pixels: RgbImage,
    /// Pixels of the view to one of the upright original.
    scale: f64,
    correction: Option<Correction>,
}

impl Picture {
    fn of(photograph: &Photograph, pixels: RgbImage) -> Self {
        let scale = f64::from(pixels.width()) / f64::from(photograph.width.max(1));
        let correction = photograph.target.as_ref().and_then(|t| t.correction.as_ref()).map(|f| f.correction);
        Self { pixels, scale, correction }
    }
}

/// `before`: a place on the first photograph that is before the camera.
fn laid_over(under: &Picture, over: &Picture, map: &Homography, before: Point) -> Option<Overlay> {
    let (width, height) = under.pixels.dimensions();
    // Twice as wide as high, or the reverse: the smaller pictures that are compared keep the frame's form.
    let by = f64::from(LONGEST.min(width.max(height))) / f64::from(width.max(height).max(1));
    let small = |n: u32| ((f64::from(n) * by).round() as u32).max(1);
    let mut laid = RgbImage::from_pixel(width, height, Rgb([0xdd; 3]));
    let mut seen = GrayImage::new(width, height);
    // Beyond the horizon of the plane a map goes on, mirrored; the marks say which side is before the camera.
    let side = map.depth(before).signum();
    for (x, y, pixel) in laid.enumerate_pixels_mut() {
        let from = |n: u32| (f64::from(n) + 0.5) / under.scale;
        let here = (from(x), from(y));
        let Some(there) = map.map(here).filter(|_| map.depth(here) * side > 0.0) else { continue };
        if let Some(colour) = between(&over.pixels, (there.0 * over.scale, there.1 * over.scale)) {
            *pixel = colour;
            seen.put_pixel(x, y, [255].into());
        }
    }
    let (wide, high) = (small(width), small(height));
    // Averaged down, so that a mark pointed at a pixel beside does not show as a change.
    let one = resize(&under.pixels, wide, high, FilterType::Triangle);
    let two = resize(&laid, wide, high, FilterType::Triangle);
    let both = resize(&seen, wide, high, FilterType::Triangle);
    let shared: Vec<usize> = (0..(wide * high) as usize).filter(|i| both.as_raw()[*i] == 255).collect();
    if shared.is_empty() {
        return None;
    }
    let (one, two) = (lights(&one), lights(&two));
    let evened = match (under.correction, over.correction) {
        (Some(_), Some(_)) => Evened::ByTarget,
        _ => Evened::ByMiddle(gains(&one, &two, &shared)),
    };
    let lab = |light: Light| -> Lab { Xyz::from_light(light).to_lab(White::D65) };
    let apart = |i: usize| match evened {
        Evened::ByTarget => {
            let right = |p: &Picture, light| lab(p.correction.map_or(light, |c| c.apply(light)));
            ciede2000(right(under, one[i]), right(over, two[i]))
        }
        Evened::ByMiddle(gain) => {
            let [r, g, b] = two[i];
            ciede2000(lab(one[i]), lab([r * gain[0], g * gain[1], b * gain[2]]))
        }
    };
    let mut difference = GrayImage::from_fn(wide, high, |x, y| [if (x + y) % 6 == 0 { 150 } else { 255 }].into());
    let mut apart: Vec<f64> = shared
        .iter()
        .map(|&i| {
            let d = apart(i);
            let shade = 255.0 * (1.0 - (d / BLACK).clamp(0.0, 1.0));
            difference.put_pixel(i as u32 % wide, i as u32 / wide, [shade.round() as u8].into());
            d
        })
        .collect();
    apart.sort_by(f64::total_cmp);
    let rank = |part: f64| apart[((apart.len() - 1) as f64 * part).round() as usize];
    Some(Overlay {
        laid: encoded(&laid.into(), QUALITY, None)?,
        difference: encoded(&difference.into(), QUALITY, None)?,
        shared: apart.len() as f64 / f64::from(wide * high),
        median: rank(0.5),
        p95: rank(0.95),
        evened,
    })
}

/// The colour at a place between the middles of four pixels; none outside the picture.
fn between(picture: &RgbImage, (x, y): Point) -> Option<Rgb<u8>> {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    if !((0.0..width).contains(&x) && (0.0..height).contains(&y)) {
        return None;
    }
    let (x, y) = ((x - 0.5).clamp(0.0, width - 1.0), (y - 0.5).clamp(0.0, height - 1.0));
    let (left, top) = (x.floor() as u32, y.floor() as u32);
    let (right, below) = ((left + 1).min(picture.width() - 1), (top + 1).min(picture.height() - 1));
    let (fx, fy) = (x.fract(), y.fract());
    let at = |x, y, c: usize| f64::from(picture.get_pixel(x, y).0[c]);
    let channel = |c: usize| {
        let upper = at(left, top, c) * (1.0 - fx) + at(right, top, c) * fx;
        let lower = at(left, below, c) * (1.0 - fx) + at(right, below, c) * fx;
        (upper * (1.0 - fy) + lower * fy).round() as u8
    };
    Some(Rgb([channel(0), channel(1), channel(2)]))
}

fn lights(picture: &RgbImage) -> Vec<Light> {
    // 256 levels are worked out once: the curve is dear, and there are many pixels.
    let curve: Vec<f64> = (0..=255u8).map(|v| Srgb { r: v, g: v, b: v }.to_light()[0]).collect();
    picture.pixels().map(|p| p.0.map(|v| curve[usize::from(v)])).collect()
}

/// What the second is multiplied by in each channel so that the middle ratio of the two is 1.
fn gains(one: &[Light], two: &[Light], shared: &[usize]) -> [f64; 3] {
    [0, 1, 2].map(|c| {
        let usable = |light: &Light| USABLE.contains(&light[c]);
        let mut ratios: Vec<f64> =
            shared.iter().filter(|&&i| usable(&one[i]) && usable(&two[i])).map(|&i| one[i][c] / two[i][c]).collect();
        ratios.sort_by(f64::total_cmp);
        ratios.get(ratios.len() / 2).copied().unwrap_or(1.0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Soft waves of colour, so that sampling between pixels errs little, with a dark blot if wanted.
    fn drawn(width: u32, height: u32, place: impl Fn(Point) -> Point, blot: bool, light: f64) -> RgbImage {
        RgbImage::from_fn(width, height, |x, y| {
            let (u, v) = place((f64::from(x) + 0.5, f64::from(y) + 0.5));
            let wave = |k: f64, at: f64| 140.0 + 60.0 * (at / k).sin();
            let blot = if blot && (u - 150.0).hypot(v - 100.0) < 20.0 { 0.35 } else { 1.0 };
            [wave(31.0, u + v), wave(43.0, u - v), wave(37.0, v)].map(|c| (c * blot * light) as u8).into()
        })
    }

    fn plain(pixels: RgbImage) -> Picture {
        Picture { pixels, scale: 1.0, correction: None }
    }

    #[test]
    fn the_second_comes_to_lie_on_the_first_and_only_what_changed_is_dark() {
        // The second was taken from elsewhere: what lies at p on the first lies at `map(p)` on the second.
        let corners = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)];
        let there = [(25.0, 18.0), (318.0, 30.0), (305.0, 225.0), (12.0, 210.0)];
        let pairs: Vec<(Point, Point)> = corners.into_iter().zip(there).collect();
        let map = Homography::through(&pairs).expect("a map");
        let back = map.inverse().expect("a map back");
        let first = plain(drawn(300, 200, |p| p, false, 1.0));
        let second = plain(drawn(340, 240, |p| back.map(p).unwrap_or(p), true, 0.8));
        let found = laid_over(&first, &second, &map, (0.0, 0.0)).expect("laid over");
        assert!(found.shared > 0.98 && found.median < 1.0, "shared {} median {}", found.shared, found.median);
        let Evened::ByMiddle(gain) = found.evened else { panic!("no target was read") };
        assert!(
            gain.iter().all(|g| (g - 1.6).abs() < 0.3),
            "linear light of 0.8 in code values is about 0.6: {gain:?}"
        );
        let grey = image::load_from_memory(&found.difference).expect("a picture").into_luma8();
        assert_eq!(grey.dimensions(), (300, 200));
        let (blot, beside) = (grey.get_pixel(150, 100).0[0], grey.get_pixel(60, 60).0[0]);
        assert!(blot < 60 && beside > 225, "the blot is {blot}, the cloth beside it {beside}");
        let laid = image::load_from_memory(&found.laid).expect("a picture");
        assert_eq!((laid.width(), laid.height()), (300, 200));
    }

    #[test]
    fn a_picture_on_itself_does_not_differ_and_one_that_shares_nothing_is_refused() {
        let map = |by: f64| {
            let corners = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (0.0, 200.0)];
            let pairs: Vec<(Point, Point)> = corners.into_iter().map(|p| (p, (p.0 + by, p.1))).collect();
            Homography::through(&pairs).expect("a map")
        };
        let picture = plain(drawn(300, 200, |p| p, true, 1.0));
        let found = laid_over(&picture, &picture, &map(0.0), (0.0, 0.0)).expect("laid over");
        assert!(found.p95 < 1e-9 && (found.shared - 1.0).abs() < 1e-9, "{} {}", found.p95, found.shared);
        assert_eq!(found.evened, Evened::ByMiddle([1.0; 3]));
        assert_eq!(laid_over(&picture, &picture, &map(400.0), (0.0, 0.0)), None);
        let half = laid_over(&picture, &picture, &map(150.0), (0.0, 0.0)).expect("laid over");
        assert!((half.shared - 0.5).abs() < 0.02, "{}", half.shared);
    }

    #[test]
    fn a_change_of_the_whole_is_told_by_targets_and_evened_out_without() {
        let map = Homography::through(&[
            ((0.0, 0.0), (0.0, 0.0)),
            ((300.0, 0.0), (300.0, 0.0)),
            ((300.0, 200.0), (300.0, 200.0)),
            ((0.0, 200.0), (0.0, 200.0)),
        ])
        .expect("a map");
        let (light, dark) = (drawn(300, 200, |p| p, false, 1.0), drawn(300, 200, |p| p, false, 0.8));
        let read = |pixels: &RgbImage| Picture { correction: Some(Correction::NONE), ..plain(pixels.clone()) };
        let by_target = laid_over(&read(&light), &read(&dark), &map, (0.0, 0.0)).expect("laid over");
        assert!(by_target.evened == Evened::ByTarget && by_target.median > 5.0, "{}", by_target.median);
        let one_target = laid_over(&read(&light), &plain(dark), &map, (0.0, 0.0)).expect("laid over");
        assert!(matches!(one_target.evened, Evened::ByMiddle(_)) && one_target.median < 1.0);
    }
}
