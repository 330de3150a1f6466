//! The colour of many pixels: their mean, how far they spread, and how many are clipped. Apart from any picture, so that
//! patches of a target and areas of cloth are counted alike.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use super::target::Correction;
use super::{Lab, Light, Srgb, White, Xyz};

/// The lowest and highest level of eight bits that still tells a colour: beyond them a channel has run into its end.
const ENDS: (u8, u8) = (1, 254);

/// What the pixels of one area are like.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Swatch {
    /// Mean of the linear light, as the lens of an instrument would gather it.
    pub light: Light,
    /// CIELAB of that mean, for D65 and the 2° observer.
    pub lab: Lab,
    /// Standard deviation of the pixels' L*, a* and b*, each about its mean.
    pub spread: Lab,
    /// How many pixels.
    pub pixels: u64,
    /// Share of them, 0 to 1, of which a channel has run into black or white.
    pub clipped: f64,
}

impl Swatch {
    /// The spread as one figure: the root mean square distance of a pixel from the mean, in CIELAB units.
    pub fn scatter(&self) -> f64 {
        self.spread.l.hypot(self.spread.a).hypot(self.spread.b)
    }
}

/// Gathers pixels one by one.
///
/// ```
/// use dimity::colour::Tally;
/// let mut tally = Tally::new(None);
/// tally.add([119, 119, 119]);
/// tally.add([119, 119, 119]);
/// let grey = tally.swatch().expect("two pixels");
/// assert_eq!((grey.pixels, grey.clipped), (2, 0.0));
/// assert!((grey.lab.l - 50.0).abs() < 0.1 && grey.scatter() < 1e-6);
/// ```
#[derive(Debug, Clone)]
pub struct Tally<'a> {
    correction: Option<&'a Correction>,
    light: Light,
    /// The first pixel, from which the sums are taken so that no figures are lost.
    origin: Option<Lab>,
    sum: [f64; 3],
    squares: [f64; 3],
    pixels: u64,
    clipped: u64,
}

impl<'a> Tally<'a> {
    /// Nothing gathered; with a correction each pixel is corrected first. Clipping is judged before.
    pub fn new(correction: Option<&'a Correction>) -> Self {
        Self { correction, light: [0.0; 3], origin: None, sum: [0.0; 3], squares: [0.0; 3], pixels: 0, clipped: 0 }
    }

    /// Adds one sRGB pixel.
    pub fn add(&mut self, pixel: [u8; 3]) {
        let table = levels();
        let seen = pixel.map(|level| table[usize::from(level)]);
        let light = self.correction.map_or(seen, |c| c.apply(seen));
        let lab = Xyz::from_light(light).to_lab(White::D65);
        let from = *self.origin.get_or_insert(lab);
        for (i, away) in [lab.l - from.l, lab.a - from.a, lab.b - from.b].into_iter().enumerate() {
            self.light[i] += light[i];
            self.sum[i] += away;
            self.squares[i] += away * away;
        }
        self.pixels += 1;
        self.clipped += u64::from(pixel.iter().any(|level| *level < ENDS.0 || *level > ENDS.1));
    }

    /// What was gathered; none without a pixel.
    pub fn swatch(&self) -> Option<Swatch> {
        if self.pixels == 0 {
            return None;
        }
        let n = self.pixels as f64;
        let light = self.light.map(|sum| sum / n);
        let deviation = |i: usize| {
            let mean = self.sum[i] / n;
            if self.pixels < 2 { 0.0 } else { ((self.squares[i] - n * mean * mean) / (n - 1.0)).max(0.0).sqrt() }
        };
        Some(Swatch {
            light,
            lab: Xyz::from_light(light).to_lab(White::D65),
            spread: Lab::new(deviation(0), deviation(1), deviation(2)),
            pixels: self.pixels,
            clipped: self.clipped as f64 / n,
        })
    }
}

/// Linear light of every level.
fn levels() -> &'static [f64; 256] {
    static LEVELS: OnceLock<[f64; 256]> = OnceLock::new();
    LEVELS.get_or_init(|| {
        let mut table = [0.0; 256];
        for (level, light) in (0..=u8::MAX).zip(&mut table) {
            *light = Srgb { r: level, g: level, b: level }.to_light()[0];
        }
        table
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(pixels: &[[u8; 3]]) -> Swatch {
        let mut tally = Tally::new(None);
        pixels.iter().for_each(|p| tally.add(*p));
        tally.swatch().expect("pixels")
    }

    #[test]
    fn light_is_averaged_and_not_its_code() {
        // Half black and half white gather half the light: L* 76, where the mean of the codes would be L* 54.
        let half = of(&[[0; 3], [255; 3]]);
        assert!((half.lab.l - 76.07).abs() < 0.01, "{half:?}");
        assert!((half.spread.l - 100.0 / 2f64.sqrt()).abs() < 1e-6, "{half:?}");
        assert!(half.clipped > 0.99);
    }

    #[test]
    fn a_channel_at_its_end_counts_as_clipped() {
        let cases = [([1, 128, 128], 0.0), ([0, 128, 128], 1.0), ([128, 254, 128], 0.0), ([128, 128, 255], 1.0)];
        for (pixel, share) in cases {
            assert!((of(&[pixel]).clipped - share).abs() < 1e-9, "{pixel:?}");
        }
        assert_eq!(Tally::new(None).swatch(), None);
    }
}
