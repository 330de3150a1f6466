//! The Fourier spectrum of a square and its peaks.

use rustfft::{FftPlanner, num_complex::Complex32};

use super::square::Square;

/// A place in the spectrum, in cycles per pixel.
pub(super) type Wave = [f64; 2];

pub(super) fn combined(a: Wave, b: Wave, m: f64, n: f64) -> Wave {
    [m * a[0] + n * b[0], m * a[1] + n * b[1]]
}

pub(super) fn area(a: Wave, b: Wave) -> f64 {
    (a[0] * b[1] - a[1] * b[0]).abs()
}

pub(super) fn length(k: Wave) -> f64 {
    k[0].hypot(k[1])
}

/// One peak: where, and how strong.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peak {
    pub(super) at: Wave,
    /// Power over that of white noise of one square's own spread.
    pub(super) power: f64,
}

/// Power at each frequency of a windowed square; frequency 0 at the first cell, negative ones at the end.
pub(super) struct Spectrum {
    pub(super) side: usize,
    power: Vec<f32>,
    /// Median power in rings of [`RING`] bins.
    floor: Vec<f32>,
}

/// Width of the rings in which the noise is taken, in bins.
const RING: f64 = 6.0;
/// Waves longer than this part of the square are light, folds and creases, not threads.
pub(super) const FEWEST: f64 = 4.0;

impl Spectrum {
    /// Hann window, transform along the rows, then along the columns.
    pub(super) fn of(square: &Square) -> Self {
        let side = square.side;
        let hann: Vec<f32> = (0..side)
            .map(|k| 0.5 - 0.5 * (std::f64::consts::TAU * (k as f64 + 0.5) / side as f64).cos() as f32)
            .collect();
        let mut cells: Vec<Complex32> = square
            .pixels
            .chunks_exact(side)
            .zip(&hann)
            .flat_map(|(row, &wy)| row.iter().zip(&hann).map(move |(&p, &wx)| Complex32::new(p * wx * wy, 0.0)))
            .collect();
        let fft = FftPlanner::new().plan_fft_forward(side);
        fft.process(&mut cells);
        let mut turned = vec![Complex32::default(); cells.len()];
        transpose(&cells, &mut turned, side);
        fft.process(&mut turned);
        transpose(&turned, &mut cells, side);
        // The mean square of Hann is 3/8 each way: white noise of the square's own spread then has power 1.
        let spread: f32 = square.pixels.iter().map(|p| p * p).sum::<f32>() / (side * side) as f32;
        let one = spread * (side * side) as f32 * 0.140_625;
        let power: Vec<f32> = cells.iter().map(|c| c.norm_sqr() / one.max(f32::MIN_POSITIVE)).collect();
        let floor = rings(&power, side);
        Self { side, power, floor }
    }

    fn cell(&self, x: i64, y: i64) -> f64 {
        let side = self.side as i64;
        f64::from(self.power[(y.rem_euclid(side) * side + x.rem_euclid(side)) as usize])
    }

    fn floor_at(&self, k: Wave) -> f64 {
        let ring = (length(k) * self.side as f64 / RING) as usize;
        f64::from(self.floor[ring.min(self.floor.len() - 1)]).max(1e-9)
    }

    /// The strongest peak within `reach` bins of a frequency.
    pub(super) fn near(&self, k: Wave, reach: i64) -> Peak {
        let side = self.side as f64;
        let (x, y) = ((k[0] * side).round() as i64, (k[1] * side).round() as i64);
        let mut best = (x, y);
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                if self.cell(x + dx, y + dy) > self.cell(best.0, best.1) {
                    best = (x + dx, y + dy);
                }
            }
        }
        self.peak(best)
    }

    /// How far a frequency stands above everything 3 to 5 bins away from it. Streaks and speckle have neighbours
    /// as strong as themselves; a peak has not.
    pub(super) fn stands(&self, k: Wave) -> f64 {
        let peak = self.near(k, 2);
        let side = self.side as f64;
        let (x, y) = ((peak.at[0] * side).round() as i64, (peak.at[1] * side).round() as i64);
        let mut around = f64::MIN_POSITIVE;
        for dy in -5i64..=5 {
            for dx in -5i64..=5 {
                if (9..=25).contains(&(dx * dx + dy * dy)) {
                    around = around.max(self.cell(x + dx, y + dy));
                }
            }
        }
        peak.power / around
    }

    /// The centre of gravity of the power within two bins: a peak that the unevenness of the threads has frayed keeps
    /// its mean there.
    fn peak(&self, (x, y): (i64, i64)) -> Peak {
        let (mut sum, mut sx, mut sy) = (0.0, 0.0, 0.0);
        for dy in -2i64..=2 {
            for dx in -2i64..=2 {
                let power = self.cell(x + dx, y + dy);
                sum += power;
                sx += power * dx as f64;
                sy += power * dy as f64;
            }
        }
        let part = |s: f64| if sum > 0.0 { s / sum } else { 0.0 };
        let side = self.side as f64;
        let at = [(x as f64 + part(sx)) / side, (y as f64 + part(sy)) / side];
        let power = self.cell(x, y);
        Peak { at, power }
    }

    /// The peaks of one half of the spectrum that stand out of the noise, strongest first.
    pub(super) fn peaks(&self, above: f64, most: usize) -> Vec<Peak> {
        let half = (self.side / 2) as i64 - 1;
        let mut found = Vec::new();
        for y in 0..=half {
            for x in -half..=half {
                if y == 0 && x <= 0 || ((x * x + y * y) as f64) < FEWEST * FEWEST {
                    continue;
                }
                let here = self.cell(x, y);
                let k = [x as f64 / self.side as f64, y as f64 / self.side as f64];
                if here < above * self.floor_at(k) {
                    continue;
                }
                let higher =
                    (-2..=2).any(|dy| (-2..=2).any(|dx| (dx, dy) != (0, 0) && self.cell(x + dx, y + dy) > here));
                if !higher {
                    found.push(self.peak((x, y)));
                }
            }
        }
        found.sort_by(|a, b| b.power.total_cmp(&a.power));
        // The frayed edges of a strong peak are none of their own.
        let mut kept: Vec<Peak> = Vec::new();
        for peak in found {
            let clear = (2.5 / self.side as f64).max(0.08 * length(peak.at));
            let frayed = |k: &Peak| (k.at[0] - peak.at[0]).hypot(k.at[1] - peak.at[1]) < clear;
            if kept.len() < most && !kept.iter().any(frayed) {
                kept.push(peak);
            }
        }
        kept
    }
}

fn transpose(from: &[Complex32], to: &mut [Complex32], side: usize) {
    const BLOCK: usize = 16;
    for top in (0..side).step_by(BLOCK) {
        for left in (0..side).step_by(BLOCK) {
            for y in top..(top + BLOCK).min(side) {
                for x in left..(left + BLOCK).min(side) {
                    to[x * side + y] = from[y * side + x];
                }
            }
        }
    }
}

/// The median power in rings around the middle. Half of the spectrum says all.
fn rings(power: &[f32], side: usize) -> Vec<f32> {
    let half = side / 2;
    let mut rings = vec![Vec::new(); (half as f64 * 1.5 / RING) as usize + 2];
    for y in 0..half {
        for x in 0..side {
            let dx = if x < half { x } else { side - x };
            let ring = ((dx * dx + y * y) as f64).sqrt() / RING;
            if let Some(ring) = rings.get_mut(ring as usize) {
                ring.push(power[y * side + x]);
            }
        }
    }
    let mut floor: Vec<f32> = rings
        .iter_mut()
        .map(|ring| {
            let middle = ring.len() / 2;
            if ring.is_empty() { 0.0 } else { *ring.select_nth_unstable_by(middle, f32::total_cmp).1 }
        })
        .collect();
    // A ring without cells takes its neighbour's median.
    for i in 1..floor.len() {
        if floor[i] <= 0.0 {
            floor[i] = floor[i - 1];
        }
    }
    floor
}
