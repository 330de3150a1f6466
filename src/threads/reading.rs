//! From the pairs of waves that could be the threads to a count, or to the reason why there is none.

use super::spectrum::{Peak, Spectrum, Wave, area, combined, length};
use super::square::{LONGEST_SIDE, SMALLEST_SIDE, Square};
use super::weave::{Pair, pairs};
use super::{CannotTell, FEWEST_PIXELS, FEWEST_THREADS};

/// Peaks below this many times the median around them are noise: of 100,000 cells of noise alone, one in three
/// pictures has one at 20.
const ABOVE_NOISE: f64 = 30.0;
/// The most peaks looked at.
const MOST_PEAKS: usize = 40;
/// How much better the best reading must be than the next.
const MARGIN: f64 = 1.25;

/// Two waves in cycles per pixel, with what is known of them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Found {
    pub(crate) waves: [Wave; 2],
    /// Standard uncertainty as a part of each.
    pub(crate) u: [f64; 2],
    pub(crate) repeat: u32,
    /// 0 to 1.
    pub(crate) confidence: f64,
    /// Side of the square in which they were found.
    pub(crate) side: usize,
}

/// Looks at full size first and, where the threads are too coarse for that, at half of it.
pub(crate) fn found(square: &Square) -> Result<Found, CannotTell> {
    let mut square = square.clone();
    let mut size = 1.0;
    loop {
        let middle = if square.side > LONGEST_SIDE { square.middle(LONGEST_SIDE) } else { square.clone() };
        match look(&middle) {
            Ok(found) => {
                let waves = found.waves.map(|k| k.map(|c| c * size));
                return Ok(Found { waves, side: (found.side as f64 / size) as usize, ..found });
            }
            Err(CannotTell::TooFewThreads | CannotTell::NoPeaks) if square.side >= 2 * LONGEST_SIDE.min(SMALLEST_SIDE * 8) => {
                square = square.halved();
                size *= 0.5;
            }
            Err(reason) => return Err(reason),
        }
    }
}

fn look(square: &Square) -> Result<Found, CannotTell> {
    let flat = square.flattened().ok_or(CannotTell::NothingToSee)?;
    let spectrum = Spectrum::of(&flat);
    let peaks = spectrum.peaks(ABOVE_NOISE, MOST_PEAKS);
    if peaks.len() < 3 {
        return Err(CannotTell::NoPeaks);
    }
    let all = pairs(&spectrum, &peaks);
    let Some(best) = all.iter().find(|p| p.interlacing >= 2) else {
        return Err(if all.is_empty() { CannotTell::NoPeaks } else { CannotTell::NoInterlacing });
    };
    let different = |p: &&Pair| !same(p, best, spectrum.side);
    let next = all.iter().find(different).map_or(0.0, |p| p.score);
    let margin = best.score / next.max(1e-9);
    let fitted = best.fitted(&peaks, &spectrum);
    let threads = fitted.map(|k| length(k) * spectrum.side as f64);
    if threads.iter().any(|n| *n < FEWEST_THREADS) {
        return Err(CannotTell::TooFewThreads);
    }
    if fitted.iter().any(|k| 1.0 / length(*k) < FEWEST_PIXELS) {
        return Err(CannotTell::TooFewPixels);
    }
    if margin < MARGIN || best.explained < 0.5 || best.strength[0] < 0.04 {
        return Err(CannotTell::Ambiguous);
    }
    let u = spread(&flat, fitted);
    let confidence = ((1.0 - 1.0 / margin) * best.explained.clamp(0.0, 1.0)).sqrt();
    Ok(Found { waves: fitted, u, repeat: best.repeat as u32, confidence, side: spectrum.side })
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
        (s / 2.0).hypot(0.033 / (length(waves[i]) * flat.side as f64))
    })
}

#[allow(dead_code)]
fn unused(_: &Peak) { let _ = (area, combined); }
