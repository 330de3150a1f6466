//! Draws woven cloth of known sett: the pictures that a count is tried on. Own drawing, apart from the tests that use it.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{GrayImage, ImageFormat};

/// A small generator of even numbers, so that every picture can be drawn again from its seed (xorshift64*).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0xd1b5_4a32_d192_ed03);
        (0..8).for_each(|_| _ = dice.next());
        dice
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.max(1);
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    /// Evenly from 0 to 1.
    pub fn even(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[(self.next() % from.len() as u64) as usize]
    }

    /// The sum of four even numbers: near enough to the normal curve.
    pub fn normal(&mut self) -> f64 {
        ((0..4).map(|_| self.even()).sum::<f64>() - 2.0) * 3f64.sqrt()
    }
}

/// The weaves drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weave {
    Plain,
    Twill21,
    Twill22,
    Satin5,
    Satin8,
}

impl Weave {
    pub const ALL: [Self; 5] = [Self::Plain, Self::Twill21, Self::Twill22, Self::Satin5, Self::Satin8];

    pub fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::Twill21 => "twill 2/1",
            Self::Twill22 => "twill 2/2",
            Self::Satin5 => "satin of 5",
            Self::Satin8 => "satin of 8",
        }
    }

    /// Whether the warp lies on top where end `i` and pick `j` cross.
    fn warp_on_top(self, i: i64, j: i64) -> bool {
        match self {
            Self::Plain => (i + j).rem_euclid(2) == 0,
            Self::Twill21 => (i - j).rem_euclid(3) < 2,
            Self::Twill22 => (i - j).rem_euclid(4) < 2,
            Self::Satin5 => (i - 2 * j).rem_euclid(5) != 0,
            Self::Satin8 => (i - 3 * j).rem_euclid(8) != 0,
        }
    }
}

/// One picture to draw.
#[derive(Debug, Clone, Copy)]
pub struct Cloth {
    pub weave: Weave,
    /// Pixels a warp thread and a weft thread take.
    pub pitch: (f64, f64),
    /// Side of the square in pixels.
    pub side: usize,
    /// Turn of the cloth in degrees.
    pub turn: f64,
    /// Standard deviation of the distance from thread to thread, as a part of it.
    pub irregular: f64,
    /// Part of the pitch that the yarn covers.
    pub cover: (f64, f64),
    /// Lightness of warp and weft, 0 to 1.
    pub tone: (f64, f64),
    /// How dark the yarn is at its edge, and where it dives, as a part of its lightness.
    pub round: f64,
    /// How far the light falls off over the square, as a part.
    pub light: f64,
    /// Blur in pixels (standard deviation) and noise in parts of full white.
    pub blur: f64,
    pub noise: f64,
    /// Quality of the JPEG it goes through, if any.
    pub jpeg: Option<u8>,
    pub seed: u64,
}

/// A run of threads: their boundaries in pixels, so irregular that the mean over the square is the pitch.
struct Run {
    bounds: Vec<f64>,
    tones: Vec<f64>,
}

impl Run {
    fn new(pitch: f64, side: f64, irregular: f64, dice: &mut Dice) -> Self {
        let reach = side * 0.75 + 4.0 * pitch;
        let n = (2.0 * reach / pitch).ceil() as usize + 2;
        let mut bounds = vec![0.0];
        for _ in 0..n {
            let step = (1.0 + irregular * dice.normal()).max(0.3);
            bounds.push(bounds[bounds.len() - 1] + step * pitch);
        }
        // The threads of the square itself, counted and measured, have the mean that was asked for.
        let middle = bounds[n] / 2.0;
        let place = |x: f64| -> f64 {
            let k = bounds.partition_point(|b| *b <= x).clamp(1, n);
            (k - 1) as f64 + (x - bounds[k - 1]) / (bounds[k] - bounds[k - 1])
        };
        let threads = place(middle + side / 2.0) - place(middle - side / 2.0);
        let stretch = threads * pitch / side;
        let bounds: Vec<f64> = bounds.iter().map(|b| (b - middle) * stretch).collect();
        let tones = (0..=n).map(|_| 1.0 + 0.05 * dice.normal()).collect();
        Self { bounds, tones }
    }

    /// Number of the thread at `x`, the place across it from -1/2 to 1/2, and its own tone.
    fn at(&self, x: f64) -> (i64, f64, f64) {
        let k = self.bounds.partition_point(|b| *b <= x).clamp(1, self.bounds.len() - 1);
        let (low, high) = (self.bounds[k - 1], self.bounds[k]);
        (k as i64, (x - low) / (high - low) - 0.5, self.tones[k - 1])
    }
}

impl Cloth {
    /// The picture in grey, as a camera would have stored it.
    pub fn draw(&self) -> GrayImage {
        // Enough places in a pixel that the drawing itself folds nothing over.
        let places: usize = if self.pitch.0.min(self.pitch.1) < 5.0 { 3 } else { 2 };
        let mut dice = Dice::new(self.seed);
        let side = self.side as f64;
        let warp = Run::new(self.pitch.0, side, self.irregular, &mut dice);
        let weft = Run::new(self.pitch.1, side, self.irregular, &mut dice);
        let shift = (dice.even() * self.pitch.0, dice.even() * self.pitch.1);
        let (sin, cos) = self.turn.to_radians().sin_cos();
        let lamp = (dice.between(-1.0, 1.0), dice.between(-1.0, 1.0), dice.between(-0.5, 0.5));
        let mut grey = vec![0.0; self.side * self.side];
        for y in 0..self.side {
            for x in 0..self.side {
                let mut sum = 0.0;
                for part in 0..places * places {
                    let fine = |k: usize| (k as f64 + 0.5) / places as f64;
                    let (dx, dy) =
                        (x as f64 + fine(part % places) - side / 2.0, y as f64 + fine(part / places) - side / 2.0);
                    let (u, v) = (dx * cos + dy * sin + shift.0, dy * cos - dx * sin + shift.1);
                    sum += self.tone_at(warp.at(u), weft.at(v));
                }
                let (a, b) = (x as f64 / side - 0.5, y as f64 / side - 0.5);
                let lit = 1.0 + self.light * (lamp.0 * a + lamp.1 * b + lamp.2 * (a * a + b * b - 0.16));
                grey[y * self.side + x] = sum / (places * places) as f64 * lit;
            }
        }
        let grey = blurred(&grey, self.side, self.blur);
        let picture = GrayImage::from_fn(self.side as u32, self.side as u32, |x, y| {
            let value = grey[y as usize * self.side + x as usize] + self.noise * dice.normal();
            [(value * 255.0).round().clamp(0.0, 255.0) as u8].into()
        });
        let Some(quality) = self.jpeg else { return picture };
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, quality).encode_image(&picture).expect("a JPEG");
        image::load(Cursor::new(bytes), ImageFormat::Jpeg).expect("the JPEG again").into_luma8()
    }

    fn tone_at(&self, warp: (i64, f64, f64), weft: (i64, f64, f64)) -> f64 {
        let ((i, du, warp_tone), (j, dv, weft_tone)) = (warp, weft);
        let up = self.weave.warp_on_top(i, j);
        let (on_warp, on_weft) = (du.abs() < self.cover.0 / 2.0, dv.abs() < self.cover.1 / 2.0);
        // A round yarn darkens to its edges, and along itself where the float ends.
        let shade = |across: f64, cover: f64, along: f64, before: bool, after: bool| {
            let edge = (2.0 * across / cover).powi(2);
            let end = if (along < 0.0 && before) || (along > 0.0 && after) { (2.0 * along).powi(2) } else { 0.0 };
            1.0 - self.round * edge - 0.7 * self.round * end
        };
        if on_warp && (up || !on_weft) {
            let dives = (!self.weave.warp_on_top(i, j - 1), !self.weave.warp_on_top(i, j + 1));
            let low = if up { 1.0 } else { 0.7 };
            low * self.tone.0 * warp_tone * shade(du, self.cover.0, dv, dives.0, dives.1)
        } else if on_weft {
            let dives = (self.weave.warp_on_top(i - 1, j), self.weave.warp_on_top(i + 1, j));
            let low = if up { 0.7 } else { 1.0 };
            low * self.tone.1 * weft_tone * shade(dv, self.cover.1, du, dives.0, dives.1)
        } else {
            0.12
        }
    }
}

/// A Gaussian blur, edges held.
fn blurred(grey: &[f64], side: usize, sigma: f64) -> Vec<f64> {
    if sigma < 0.05 {
        return grey.to_vec();
    }
    let reach = (3.0 * sigma).ceil() as i64;
    let weights: Vec<f64> = (-reach..=reach).map(|k| (-0.5 * (k as f64 / sigma).powi(2)).exp()).collect();
    let total: f64 = weights.iter().sum();
    let one_way = |from: &[f64], step: (i64, i64)| -> Vec<f64> {
        let last = side as i64 - 1;
        (0..side * side)
            .map(|at| {
                let (x, y) = ((at % side) as i64, (at / side) as i64);
                let near = (-reach..=reach).zip(&weights).map(|(k, w)| {
                    let (x, y) = ((x + k * step.0).clamp(0, last), (y + k * step.1).clamp(0, last));
                    w * from[y as usize * side + x as usize]
                });
                near.sum::<f64>() / total
            })
            .collect()
    };
    one_way(&one_way(grey, (1, 0)), (0, 1))
}
