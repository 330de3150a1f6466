//! From the pairs of waves that could be the threads to a count, or to the reason why there is none.

use super::spectrum::{Spectrum, Wave, combined, length};
use super::square::{LONGEST_SIDE, Square};
use super::weave::{Pair, pairs};
use super::{CannotTell, FEWEST_PIXELS, FEWEST_THREADS};

/// Peaks below this many times the median around them are noise: of 100,000 cells of noise alone, one in three
/// pictures has one at 20.
const ABOVE_NOISE: f64 = 30.0;
/// The most peaks looked at.
const MOST_PEAKS: usize = 40;
/// The least part of the peaks that a reading must explain.
const EXPLAINED: f64 = 0.72;
/// The least score of a reading: below it, what is seen of the threads is too little to be told from their diagonals.
const LEAST: f64 = 0.28;
/// The least confidence with which a count is given. With all explained, the best reading is then half as good again as
/// the next.
const LEAST_CONFIDENCE: f64 = 0.57;

/// Two waves in cycles per pixel, with what is known of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub(super) waves: [Wave; 2],
    /// Standard uncertainty as a part of each.
    pub(super) u: [f64; 2],
    pub(super) repeat: u32,
    /// 0 to 1.
    pub(super) confidence: f64,
}

/// Looks at the middle of a large square at full size first and then, where that tells nothing, at the whole of it from
/// farther off. The reason given is that of the first look.
pub(super) fn found(square: &Square) -> Result<Found, CannotTell> {
    let first = look(&square.middle(LONGEST_SIDE));
    let mut farther = square.clone();
    let mut size = 1.0;
    while first.is_err() && farther.side > LONGEST_SIDE {
        farther = farther.halved();
        size *= 0.5;
        if let Ok(found) = look(&farther.middle(LONGEST_SIDE)) {
            return Ok(Found { waves: found.waves.map(|k| k.map(|c| c * size)), ..found });
        }
    }
    first
}

fn look(square: &Square) -> Result<Found, CannotTell> {
    let flat = square.flattened().ok_or(CannotTell::NothingToSee)?;
    let spectrum = Spectrum::of(&flat);
    let peaks = spectrum.peaks(ABOVE_NOISE, MOST_PEAKS);
    if peaks.len() < 3 {
        return Err(CannotTell::NoPeaks);
    }
    let all = pairs(&spectrum, &peaks);
    let Some(best) = all.iter().find(|p| p.interlaced()) else {
        return Err(if all.is_empty() { CannotTell::NoPeaks } else { CannotTell::NoInterlacing });
    };
    let different = |p: &&Pair| !same(p, best, spectrum.side);
    // A pair without interlacing is no cloth, unless a very open one; it has to be much the stronger to cast a doubt.
    let rival = |p: &Pair| if p.interlaced() { p.score } else { 0.4 * p.score };
    let next = all.iter().filter(different).map(rival).fold(0.0, f64::max);
    let margin = best.score / next.max(1e-9);
    let fitted = best.fitted(&peaks, &spectrum);
    let threads = fitted.map(|k| length(k) * spectrum.side as f64);
    if threads.iter().any(|n| *n < FEWEST_THREADS) {
        return Err(CannotTell::TooFewThreads);
    }
    if fitted.iter().any(|k| 1.0 / length(*k) < FEWEST_PIXELS) {
        return Err(CannotTell::TooFewPixels);
    }
    let better = all.iter().filter(different).any(|p| p.interlacing > 0.45 && p.explained > best.explained + 0.06);
    let confidence = ((1.0 - 1.0 / margin) * best.explained.clamp(0.0, 1.0)).max(0.0).sqrt();
    if confidence < LEAST_CONFIDENCE || best.explained < EXPLAINED || better || best.score < LEAST {
        return Err(CannotTell::Ambiguous);
    }
    let fitted = [0, 1].map(|i| if best.strong[i] { paced(&flat, fitted[i]) } else { fitted[i] });
    let u = spread(&flat, fitted);
    Ok(Found { waves: fitted, u, repeat: best.repeat as u32, confidence })
}

/// Whether two pairs give the same counts.
fn same(a: &Pair, b: &Pair, side: usize) -> bool {
    let near = |k: Wave, l: Wave| {
        let apart = |sign: f64| (k[0] - sign * l[0]).hypot(k[1] - sign * l[1]);
        apart(1.0).min(apart(-1.0)) < 3.0 / side as f64 + 0.03 * length(l)
    };
    near(a.p, b.p) && near(a.q, b.q) || near(a.p, b.q) && near(a.q, b.p)
}

/// Standard uncertainty of each wave as a part of it: the four quarters of the square are counted apart, and the
/// scatter of their counts is that of the threads (GUM 4.2.3). A thirtieth of a bin is the least that is believed.
fn spread(flat: &Square, waves: [Wave; 2]) -> [f64; 2] {
    let side = flat.side / 2;
    let quarters = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(x, y)| {
        let spectrum = Spectrum::of(&flat.part(x * side, y * side, side));
        waves.map(|k| {
            let found = spectrum.near(k, 1).at;
            (found[0] * k[0] + found[1] * k[1]) / length(k).powi(2)
        })
    });
    std::array::from_fn(|i| {
        let mean = quarters.iter().map(|q| q[i]).sum::<f64>() / 4.0;
        let s = (quarters.iter().map(|q| (q[i] - mean).powi(2)).sum::<f64>() / 3.0).sqrt();
        (s / std::f64::consts::SQRT_2).hypot(0.033 / (length(waves[i]) * flat.side as f64))
    })
}

/// The wave counted from one side of the square to the other: its phase is followed in strips three threads wide and a
/// straight line laid through. A window would count the threads in the middle for more than those at the sides.
fn paced(flat: &Square, wave: Wave) -> Wave {
    let size = length(wave);
    let (whole, strip) = (flat.side as f64, 3.0 / size);
    let reach = whole * (wave[0].abs() + wave[1].abs()) / size / 2.0;
    let strips = (2.0 * reach / strip) as usize;
    if strips < 3 {
        return wave;
    }
    let from = -(strips as f64) * strip / 2.0;
    let mut sums = vec![(0.0, 0.0, 0.0); strips];
    for (y, row) in flat.pixels.chunks_exact(flat.side).enumerate() {
        let y = y as f64 + 0.5 - whole / 2.0;
        for (x, &value) in row.iter().enumerate() {
            let x = x as f64 + 0.5 - whole / 2.0;
            let along = x * wave[0] + y * wave[1];
            let at = (along / size - from) / strip;
            if at >= 0.0
                && let Some(sum) = sums.get_mut(at as usize)
            {
                let (sin, cos) = (std::f64::consts::TAU * along).sin_cos();
                *sum = (sum.0 + f64::from(value) * cos, sum.1 - f64::from(value) * sin, sum.2 + 1.0);
            }
        }
    }
    // Strips in the corners hold too few pixels to say anything.
    let most = sums.iter().map(|s| s.2).fold(0.0, f64::max);
    let mut line = Line::default();
    let mut turned = 0.0;
    let mut before = None;
    for (i, (re, im, n)) in sums.into_iter().enumerate() {
        if n < 0.25 * most {
            continue;
        }
        let phase = im.atan2(re) / std::f64::consts::TAU;
        turned = before.map_or(phase, |b: f64| turned + (phase - b) - (phase - b).round());
        before = Some(phase);
        line.add(i as f64 * strip, turned, n);
    }
    let Some(slope) = line.slope() else { return wave };
    // Only unevenness is to be made good here; a jump is a mistake.
    if slope.abs() < 0.03 * size { combined(wave, wave, 1.0 + slope / size, 0.0) } else { wave }
}

/// Sums for a straight line by weighted least squares.
#[derive(Default)]
struct Line {
    w: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
}

impl Line {
    fn add(&mut self, x: f64, y: f64, w: f64) {
        (self.w, self.x, self.y) = (self.w + w, self.x + w * x, self.y + w * y);
        (self.xx, self.xy) = (self.xx + w * x * x, self.xy + w * x * y);
    }

    fn slope(&self) -> Option<f64> {
        let det = self.w * self.xx - self.x * self.x;
        (det > 0.0).then(|| (self.w * self.xy - self.x * self.y) / det)
    }
}
