//! Which of the peaks are the threads.
//!
//! A weave repeats after some threads each way, so that its peaks lie at whole parts of the thread frequencies: at
//! halves in plain weave, thirds and quarters in twill, fifths and eighths in satin. None of those parts lies on an
//! axis, because every end of such a weave floats as much as the next. So the threads are a pair of waves, about
//! square to each other, with peaks of interlacing between them and none on the axes below them.

#![allow(
    clippy::many_single_char_names,
    reason = "p and q are the two waves, m and l their multiples, n and s the repeat and step"
)]

use super::spectrum::{Peak, Spectrum, Wave, area, combined, length};

/// The repeats looked for, in threads.
const REPEATS: [i64; 7] = [2, 3, 4, 5, 6, 7, 8];

/// The sine of the least angle between warp and weft: cloth is not skewed by more than 6.5 degrees, while the rows of
/// crossings that pass for threads in twill and satin mostly are.
const SQUARE: f64 = 0.993_6;

/// A pair of waves taken for the threads.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pair {
    pub(super) p: Wave,
    pub(super) q: Wave,
    /// Threads in a repeat of the weave.
    pub(super) repeat: i64,
    /// Part of the peaks that the pair with its repeat explains, less what chance would.
    pub(super) explained: f64,
    /// Part of the peaks of interlacing that stand clear.
    pub(super) interlacing: f64,
    /// Strength of both waves together as a part of the strongest peak, times what is explained.
    pub(super) score: f64,
    /// Whether each wave is itself a strong peak.
    pub(super) strong: [bool; 2],
}

impl Pair {
    /// Whether the strongest peak of all lies no farther out than the threads: beyond them, every weave grows faint.
    fn reaches(&self, strongest: Wave) -> bool {
        let (x, y) = coordinates(self.p, self.q, strongest);
        x.abs() < 1.1 && y.abs() < 1.1 && length(strongest) < 1.15 * length(self.p).max(length(self.q))
    }

    /// Whether so many of its peaks of interlacing stand clear that the weave is beyond doubt. In a weave of even
    /// repeat with as much warp as weft above, every third peak may cancel.
    pub(super) fn interlaced(&self) -> bool {
        self.interlacing > if [2, 4, 6].contains(&self.repeat) { 0.6 } else { 0.74 }
    }

    /// The two waves laid through all peaks that the pair explains, by least squares, the strong ones counting more.
    pub(super) fn fitted(&self, peaks: &[Peak], spectrum: &Spectrum) -> [Wave; 2] {
        let n = self.repeat as f64;
        let (mut mm, mut ml, mut ll) = (0.0, 0.0, 0.0);
        let (mut m_at, mut l_at) = ([0.0; 2], [0.0; 2]);
        for peak in peaks {
            let (x, y) = coordinates(self.p, self.q, peak.at);
            let (m, l) = ((x * n).round() / n, (y * n).round() / n);
            let off = combined(self.p, self.q, x - m, y - l);
            if part(self.p, self.q, peak.at, spectrum.side) == Part::Streak
                || length(off) > slack(spectrum.side, peak.at)
            {
                continue;
            }
            let w = peak.power;
            (mm, ml, ll) = (mm + w * m * m, ml + w * m * l, ll + w * l * l);
            for i in 0..2 {
                m_at[i] += w * m * peak.at[i];
                l_at[i] += w * l * peak.at[i];
            }
        }
        let det = mm * ll - ml * ml;
        if det <= 1e-6 * mm * ll {
            return [self.p, self.q];
        }
        let p = [0, 1].map(|i| (m_at[i] * ll - l_at[i] * ml) / det);
        let q = [0, 1].map(|i| (l_at[i] * mm - m_at[i] * ml) / det);
        [p, q]
    }
}

fn greatest_common(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { greatest_common(b, a % b) }
}

fn coordinates(p: Wave, q: Wave, k: Wave) -> (f64, f64) {
    let det = p[0] * q[1] - p[1] * q[0];
    ((k[0] * q[1] - k[1] * q[0]) / det, (p[0] * k[1] - p[1] * k[0]) / det)
}

/// What a peak is to a pair of waves.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Part {
    /// A whole multiple of the threads.
    Whole(f64, f64),
    /// On an axis, but no multiple: single threads that differ from their neighbours.
    Streak,
    /// Elsewhere.
    Between(f64, f64),
}

fn slack(side: usize, k: Wave) -> f64 {
    1.0 / side as f64 + 0.012 * length(k)
}

fn part(p: Wave, q: Wave, k: Wave, side: usize) -> Part {
    let (x, y) = coordinates(p, q, k);
    let near = combined(p, q, x - x.round(), y - y.round());
    let slack = slack(side, k);
    if length(near) <= slack {
        Part::Whole(x.round(), y.round())
    } else if x.abs() * length(p) <= slack || y.abs() * length(q) <= slack {
        Part::Streak
    } else {
        Part::Between(x, y)
    }
}

/// All pairs of waves that could be the threads, best first.
pub(super) fn pairs(spectrum: &Spectrum, peaks: &[Peak]) -> Vec<Pair> {
    let Some(top) = peaks.first().map(|p| p.power.sqrt()) else { return Vec::new() };
    let mut waves: Vec<Peak> = Vec::new();
    let mut offer = |k: Wave| {
        let peak = spectrum.near(k, 2);
        let k = peak.at;
        let inside = k[0].abs() < 0.47 && k[1].abs() < 0.47 && length(k) < 0.47;
        let known = |w: &Peak| {
            let d = (w.at[0] - k[0]).hypot(w.at[1] - k[1]).min((w.at[0] + k[0]).hypot(w.at[1] + k[1]));
            d < 1.5 / spectrum.side as f64
        };
        if inside && length(k) * spectrum.side as f64 >= 8.0 && spectrum.stands(k) > 2.5 && !waves.iter().any(known) {
            waves.push(peak);
        }
    };
    let strong = &peaks[..peaks.len().min(14)];
    strong.iter().for_each(|p| offer(p.at));
    for (i, p) in strong.iter().take(8).enumerate() {
        for q in &strong[..i] {
            offer(combined(p.at, q.at, 1.0, 1.0));
            offer(combined(p.at, q.at, 1.0, -1.0));
        }
    }
    let mut found = Vec::new();
    for (i, p) in waves.iter().enumerate() {
        for q in &waves[..i] {
            let sin = area(p.at, q.at) / (length(p.at) * length(q.at));
            let ratio = length(p.at) / length(q.at);
            if sin > SQUARE && (0.2..=5.0).contains(&ratio) {
                found.extend(weighed(spectrum, peaks, p, q, top));
            }
        }
    }
    found.retain(|pair: &Pair| pair.reaches(peaks[0].at));
    found.sort_by(|a: &Pair, b: &Pair| b.score.total_cmp(&a.score));
    found
}

fn weighed(spectrum: &Spectrum, peaks: &[Peak], p: &Peak, q: &Peak, top: f64) -> Option<Pair> {
    let side = spectrum.side;
    let (a, b) = (p.at, q.at);
    let parts: Vec<(Part, f64)> = peaks.iter().map(|k| (part(a, b, k.at, side), k.power.sqrt())).collect();
    let counted: f64 = parts.iter().filter(|(part, _)| *part != Part::Streak).map(|(_, w)| w).sum();
    let whole: f64 = parts.iter().filter(|(part, _)| matches!(part, Part::Whole(..))).map(|(_, w)| w).sum();
    let mean = 0.5 * (length(a) + length(b));
    let mut best: Option<Pair> = None;
    for n in REPEATS {
        for s in 1..n {
            if greatest_common(n, s) != 1 {
                continue;
            }
            let on = |x: f64, y: f64, k: Wave| {
                let (m, l) = ((x * n as f64).round(), (y * n as f64).round());
                let off = combined(a, b, x - m / n as f64, y - l / n as f64);
                (m as i64 + s * l as i64).rem_euclid(n) == 0 && length(off) <= slack(side, k)
            };
            let mut between = 0.0;
            for ((part, weight), peak) in parts.iter().zip(peaks) {
                if let Part::Between(x, y) = part
                    && on(*x, *y, peak.at)
                {
                    between += weight;
                }
            }
            let chance = (std::f64::consts::PI * slack(side, [mean, 0.0]).powi(2) * n as f64 / area(a, b)).min(1.0);
            let explained = (whole + between) / counted.max(1e-12) - 1.5 * chance;
            if best.as_ref().is_none_or(|b| explained > b.explained + 0.02) {
                let turned = n == 2 && turns(spectrum, a, b, top);
                let interlacing = if turned { 0.0 } else { interlacing(spectrum, a, b, n, s) };
                let (x, y) = (p.power.sqrt() / top, q.power.sqrt() / top);
                let score = (x * y).sqrt() * explained.max(0.0);
                best =
                    Some(Pair { p: a, q: b, repeat: n, explained, interlacing, score, strong: [x > 0.15, y > 0.15] });
            }
        }
    }
    best
}

/// Whether what passes for a plain weave turns one way. A plain weave is its own mirror image; a satin read along the rows
/// of its crossings is not, and its true threads then stand on one side only.
fn turns(spectrum: &Spectrum, p: Wave, q: Wave, top: f64) -> bool {
    let power = |x: f64, y: f64| spectrum.near(combined(p, q, x, y), 1).power;
    let left = power(1.5, -0.5) + power(0.5, 1.5);
    let right = power(1.5, 0.5) + power(0.5, -1.5);
    let (weak, strong) = (left.min(right), left.max(right));
    strong > (0.12 * top).powi(2) && strong > 5.0 * weak
}

/// Which part of the peaks that tell of interlacing stands clear; nothing if fewer than two do.
fn interlacing(spectrum: &Spectrum, p: Wave, q: Wave, n: i64, s: i64) -> f64 {
    let (mut clear, mut looked_at) = (0u32, 0u32);
    for l in -2 * n..=2 * n {
        for m in 0..=2 * n {
            let off_axis = m % n != 0 && l % n != 0;
            if !off_axis || (m + s * l).rem_euclid(n) != 0 {
                continue;
            }
            let k = combined(p, q, m as f64 / n as f64, l as f64 / n as f64);
            // Near the edge of the spectrum and beyond the threads' own waves little is left of any peak; but where
            // warp and weft of a plain weave are alike, the nearest peaks cancel and the next ones tell.
            let far = if n == 2 { 1.7 } else { 1.3 };
            let reach = length(k) < 0.45 && length(k) < far * length(p).max(length(q));
            if reach && length(k) * spectrum.side as f64 > 4.0 {
                looked_at += 1;
                clear += u32::from(spectrum.stands(k) > 3.0);
            }
        }
    }
    if clear < 2 { 0.0 } else { f64::from(clear) / f64::from(looked_at) }
}
