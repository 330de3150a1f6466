//! The grey scale by instrument: change in colour (ISO 105-A05) and staining (ISO 105-A04).
//!
//! The scale itself is a row of grey pairs (ISO 105-A02 and A03) laid beside the cloth: grade 5 is no difference, grade
//! 1 the largest. The formulas were read in stored codes, the pairs in a stored preview of EN 20105-A02:1994.

use std::fmt;

use super::Lab;
use super::difference::{cie76, hue_difference};

/// A grade in half steps, from 1 (much changed) to 5 (unchanged): `4-5` lies between 4 and 5.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Grade {
    halves: u8,
}

/// A grade, and what it was read from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GreyScale {
    /// The difference that the grade is read from, in CIELAB units: ΔE_F for a change, ΔE_GS for staining.
    pub difference: f64,
    /// The grade on a continuous scale.
    pub exact: f64,
    /// The grade in half steps.
    pub grade: Grade,
}

/// Upper ends of ΔE_F for the grades 5, 4-5 ... 1-2; the end itself belongs to the next grade (A05, table 1).
const CHANGE: [f64; 8] = [0.40, 1.25, 2.10, 2.95, 4.10, 5.80, 8.20, 11.60];
/// Lower ends of the staining value for the grades 5, 4-5 ... 1-2; the end belongs to the better grade (A04, 6.6).
const STAINING: [f64; 8] = [4.75, 4.25, 3.75, 3.25, 2.75, 2.25, 1.75, 1.25];

impl Grade {
    /// The grade as a number: 4.5 for `4-5`.
    pub fn value(self) -> f64 {
        f64::from(self.halves) / 2.0
    }

    /// The grade `steps` half steps below 5.
    fn below_five(steps: usize) -> Grade {
        Grade { halves: 10 - u8::try_from(steps.min(8)).unwrap_or(8) }
    }
}

impl fmt::Display for Grade {
    /// `4` or `4-5`, as the standards write it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whole = self.halves / 2;
        if self.halves.is_multiple_of(2) { write!(f, "{whole}") } else { write!(f, "{whole}-{}", whole + 1) }
    }
}

/// The grade for change in colour, from original to changed (ISO 105-A05:1996, clauses 7 and 8).
pub fn change_in_colour(original: Lab, changed: Lab) -> GreyScale {
    let (c0, c1) = (original.chroma(), changed.chroma());
    let (dc, dh) = (c1 - c0, hue_difference(original, changed));
    let c = f64::midpoint(c0, c1);
    // In the blues a change of chroma is weighed apart.
    let away = (mean_hue(original, changed) - 280.0).abs();
    let x = (if away > 180.0 { 360.0 - away } else { away } / 30.0).powi(2);
    let d = dc * c * (-x).exp() / 100.0;
    let chroma = (dc - d) / (1.0 + (20.0 * c / 1000.0).powi(2));
    let hue = (dh - d) / (1.0 + (10.0 * c / 1000.0).powi(2));
    let difference = (changed.l - original.l).hypot(chroma).hypot(hue);
    let exact = if difference <= 3.4 { 5.0 - difference / 1.7 } else { 5.0 - (difference / 0.85).log2() };
    let passed = CHANGE.iter().take_while(|end| difference >= **end).count();
    GreyScale { difference, exact: exact.max(1.0), grade: Grade::below_five(passed) }
}

/// The mean of two hue angles on the short way round.
fn mean_hue(one: Lab, other: Lab) -> f64 {
    let (h0, h1) = (one.hue(), other.hue());
    let mean = f64::midpoint(h0, h1);
    match ((h0 - h1).abs() > 180.0, h0 + h1 < 360.0) {
        (false, _) => mean,
        (true, true) => mean + 180.0,
        (true, false) => mean - 180.0,
    }
}

/// The grade for staining of an adjacent white cloth, from unstained to stained (ISO 105-A04:1989). The logarithm is
/// the natural one: it alone gives back the pairs of ISO 105-A03.
pub fn staining(unstained: Lab, stained: Lab) -> GreyScale {
    let (total, dl) = (cie76(unstained, stained), stained.l - unstained.l);
    let difference = total - 0.4 * (total * total - dl * dl).max(0.0).sqrt();
    let steep = if difference > 0.0 { 6.1 - 1.45 * difference.ln() } else { 5.0 };
    let exact = if steep > 4.0 { 5.0 - 0.23 * difference } else { steep };
    let passed = STAINING.iter().take_while(|end| exact < **end).count();
    GreyScale { difference, exact: exact.clamp(1.0, 5.0), grade: Grade::below_five(passed) }
}
