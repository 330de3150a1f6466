//! A correction of colour readings, fitted to the patches of a target and valid for that photograph alone.

use serde::{Deserialize, Serialize};

use super::evaluation::d50;
use super::least_squares::solve;
use super::reference::{Reference, ReferencePatch};
use crate::colour::{Light, Swatch, ciede2000};

/// A patch with a larger share of clipped pixels no longer tells its colour. Rule here.
pub(super) const CLIPPED: f64 = 0.05;
/// The fewest patches that a correction is fitted to: three for each of its four columns. Rule here.
const FEWEST: usize = 12;
/// An offset is taken in only if it brings the mean difference of left-out patches below this share, and down by this
/// much ΔE00. Rule here.
const WORTH: (f64, f64) = (0.9, 0.05);

/// Linear light in, linear light out: a matrix, and an offset for stray light where that was justified.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    /// Rows for red, green and blue.
    pub matrix: [[f64; 3]; 3],
    /// Added afterwards; 0, 0, 0 where none was justified.
    pub offset: [f64; 3],
}

/// A correction and how well it holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fitted {
    /// The correction.
    pub correction: Correction,
    /// How many patches it rests on.
    pub patches: usize,
    /// Patches that were left aside, by name, because they are clipped.
    pub left_aside: Vec<String>,
    /// Mean ΔE00 of these patches before.
    pub before: f64,
    /// Mean ΔE00 of patches left out one by one, each corrected by the fit to all others: what to expect on the cloth.
    pub left_out_mean: f64,
    /// The largest of them.
    pub left_out_max: f64,
}

/// Why no correction was fitted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unfit {
    /// A grey is clipped: the exposure is lost.
    #[error("no correction: {0} clipped, so that the exposure cannot be told; take the photograph again, darker")]
    Clipped(String),
    /// Too few patches are left.
    #[error("no correction: {0} patches are left that are not clipped, and it needs {FEWEST}")]
    TooFew(usize),
    /// The patches are too much alike.
    #[error("no correction: the patches do not tell red, green and blue apart")]
    Alike,
    /// It would not help.
    #[error(
        "no correction: it would make no reading better (patches left out one by one would be off by ΔE00 {after:.2} on \
         average, and are off by {before:.2} without it)"
    )]
    NoBetter {
        /// Mean ΔE00 before.
        before: f64,
        /// Mean ΔE00 of left-out patches after.
        after: f64,
    },
}

impl Correction {
    /// Changes nothing.
    pub const NONE: Correction =
        Correction { matrix: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], offset: [0.0; 3] };

    /// The corrected light.
    pub fn apply(&self, light: Light) -> Light {
        let mut out = self.offset;
        for (value, row) in out.iter_mut().zip(&self.matrix) {
            *value += row[0] * light[0] + row[1] * light[1] + row[2] * light[2];
        }
        out
    }

    /// The correction that brings `seen` nearest to `wanted` by least squares in linear light, every patch weighed
    /// alike; none where there are too few patches or they are too much alike.
    pub fn through(seen: &[Light], wanted: &[Light], offset: bool) -> Option<Correction> {
        if !offset {
            return solve(seen, wanted).map(|matrix| Correction { matrix, offset: [0.0; 3] });
        }
        let rows: Vec<[f64; 4]> = seen.iter().map(|[r, g, b]| [*r, *g, *b, 1.0]).collect();
        let found = solve(&rows, wanted)?;
        Some(Correction { matrix: found.map(|[r, g, b, _]| [r, g, b]), offset: found.map(|row| row[3]) })
    }

    /// Whether it has an offset.
    pub fn has_offset(&self) -> bool {
        self.offset.iter().any(|o| o.abs() > 0.0)
    }

    /// Fits a correction to the patches that are not clipped, and proves it by leaving out one after the other.
    ///
    /// # Errors
    /// [`Unfit`] where the patches do not allow it or it would not help.
    pub fn fit(reference: &Reference, swatches: &[Swatch]) -> Result<Fitted, Unfit> {
        let pairs: Vec<(&ReferencePatch, &Swatch)> = reference.patches.iter().zip(swatches).collect();
        let (aside, kept): (Vec<_>, Vec<_>) = pairs.into_iter().partition(|(_, s)| s.clipped > CLIPPED);
        let greys: Vec<String> =
            aside.iter().filter(|(p, _)| p.lab.chroma() < super::NEUTRAL).map(|(p, _)| p.title()).collect();
        if !greys.is_empty() {
            let verb = if greys.len() == 1 { "is" } else { "are" };
            return Err(Unfit::Clipped(format!("{} {verb}", greys.join(", "))));
        }
        if kept.len() < FEWEST {
            return Err(Unfit::TooFew(kept.len()));
        }
        let seen: Vec<Light> = kept.iter().map(|(_, s)| s.light).collect();
        let wanted: Vec<Light> = kept.iter().map(|(p, _)| p.light()).collect();
        let off = |i: usize, light: Light| ciede2000(kept[i].0.lab, d50(light));
        let before = (0..kept.len()).map(|i| off(i, seen[i])).sum::<f64>() / kept.len() as f64;
        let left_out = |offset: bool| -> Option<(f64, f64)> {
            let (mut sum, mut most) = (0.0, 0.0f64);
            for i in 0..kept.len() {
                let without = |list: &[Light]| [&list[..i], &list[i + 1..]].concat();
                let fit = Correction::through(&without(&seen), &without(&wanted), offset)?;
                let difference = off(i, fit.apply(seen[i]));
                sum += difference;
                most = most.max(difference);
            }
            Some((sum / kept.len() as f64, most))
        };
        let plain = left_out(false).ok_or(Unfit::Alike)?;
        let with_offset = left_out(true).filter(|(mean, _)| *mean < (WORTH.0 * plain.0).min(plain.0 - WORTH.1));
        let (left_out_mean, left_out_max) = with_offset.unwrap_or(plain);
        let correction = Correction::through(&seen, &wanted, with_offset.is_some()).ok_or(Unfit::Alike)?;
        // A negated `<` also refuses what is no number.
        if left_out_mean.partial_cmp(&before) != Some(std::cmp::Ordering::Less) {
            return Err(Unfit::NoBetter { before, after: left_out_mean });
        }
        let left_aside = aside.iter().map(|(p, _)| p.title()).collect();
        Ok(Fitted { correction, patches: kept.len(), left_aside, before, left_out_mean, left_out_max })
    }
}
