//! A maker's pace: stitches an hour, stitch by stitch, fitted to her work log; where the log says too little, a built-in
//! rate with a wide interval.

use serde::Serialize;

use super::log::Sewn;
use crate::measure::{Pair, Proportion, student_t};

/// A rate is fitted to no fewer lines of the log.
pub const FEWEST: usize = 3;

/// A built-in rate may be out by this factor either way (common practice, no source).
const FACTOR: f64 = 2.0;

/// Stitches an hour of an even hand in plain cloth, with threading, waxing and laying straight (common practice, no
/// source; they serve only until a log says better).
const BUILT_IN: &[(&str, f64)] = &[
    ("running stitch", 900.0),
    ("tacking", 700.0),
    ("gathering", 1000.0),
    ("gauging", 900.0),
    ("combination stitch", 750.0),
    ("backstitch", 480.0),
    ("half backstitch", 520.0),
    ("prick stitch", 420.0),
    ("stab stitch", 300.0),
    ("whip stitch", 700.0),
    ("oversewing", 700.0),
    ("whipped gathers", 450.0),
    ("felling stitch", 560.0),
    ("slip stitch", 450.0),
    ("ladder stitch", 400.0),
    ("herringbone stitch", 400.0),
    ("English stitch", 500.0),
    ("buttonhole stitch", 300.0),
    ("blanket stitch", 450.0),
    ("pad stitch", 600.0),
    ("quilting", 480.0),
    ("chain stitch", 480.0),
    ("cross stitch", 300.0),
    ("hand stitch", 500.0),
];

/// From where a rate comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Fitted to the work log.
    WorkLog,
    /// Built in: common practice, no source.
    BuiltIn,
}

/// Stitches an hour of one stitch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rate {
    /// The stitch.
    pub stitch: String,
    /// Stitches an hour.
    pub per_hour: f64,
    /// The 95 % interval; of a built-in rate half and double. The lower end of a fit may be nought or less: then the log
    /// does not bound the hours.
    pub interval: (f64, f64),
    /// From where it comes.
    pub basis: Basis,
    /// The lines of the log that speak of this stitch.
    pub lines: Vec<Sewn>,
}

impl Rate {
    /// The rate of a stitch from the lines of the log that sewed it; none where they are too few and nothing is built in.
    ///
    /// The fit is the line through the origin, stitches = rate · hours, each line weighted by what its hours and its
    /// stitches are uncertain by; the interval is Student's t with n − 1 degrees of freedom times the larger of what the
    /// scatter gives and what the uncertainties give.
    pub(super) fn of(stitch: &str, lines: Vec<Sewn>) -> Option<Self> {
        let pairs: Vec<Pair> = lines.iter().map(Sewn::pair).collect();
        let fit = Proportion::through(&pairs).filter(|_| pairs.len() >= FEWEST);
        if let Some(fit) = fit {
            let (u, _) = fit.u();
            let half = u * student_t(0.95, (fit.n - 1) as f64);
            let interval = (fit.factor - half, fit.factor + half);
            return Some(Self { stitch: stitch.into(), per_hour: fit.factor, interval, basis: Basis::WorkLog, lines });
        }
        let (_, per_hour) = BUILT_IN.iter().find(|(name, _)| *name == stitch)?;
        let interval = (per_hour / FACTOR, per_hour * FACTOR);
        Some(Self { stitch: stitch.into(), per_hour: *per_hour, interval, basis: Basis::BuiltIn, lines })
    }

    /// What the rate rests on, in words.
    pub fn in_words(&self) -> String {
        let n = self.lines.len();
        let lines = if n == 1 { "1 line".to_owned() } else { format!("{n} lines") };
        match self.basis {
            Basis::WorkLog => format!("fitted to {lines} of the work log"),
            Basis::BuiltIn if n == 0 => "built in: common practice, no source".into(),
            Basis::BuiltIn => {
                format!("built in: common practice, no source; {lines} of the work log, and {FEWEST} are needed")
            }
        }
    }
}
