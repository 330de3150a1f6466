//! Colours as read with an instrument, and the difference of two: CIEDE2000 against a tolerance.

use std::borrow::Cow;

use serde::Serialize;

use super::decision::{Verdict, decide};
use super::names::alike;
use crate::analysis::colour_change::READING_U;
use crate::colour::{Lab, change, ciede2000_spread};
use crate::measure::Estimate;
use crate::record::textile::{Colour, PROTECTED};

/// How far two hand instruments read one cloth apart: standard deviation of L*, of a* and of b* (common practice, no
/// source). Added where the instruments differ or are not named.
const BETWEEN_INSTRUMENTS_U: f64 = 0.6;

/// The colour of one cloth: the mean of its readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::analysis) struct Reading<'a> {
    lab: Lab,
    /// Standard uncertainty of each of the three values.
    u: f64,
    readings: usize,
    /// Whether only places that light did not reach were taken.
    protected: bool,
    /// That of all readings; none where it is not recorded or where several were used.
    instrument: Option<&'a str>,
}

impl<'a> Reading<'a> {
    /// The mean of the complete readings: of places protected from light where there are any, since those are nearest to
    /// what the cloth was; else of all. None without a complete reading.
    pub(super) fn of(colours: &'a [Colour]) -> Option<Self> {
        let complete = |c: &&Colour| [c.l, c.a, c.b].iter().all(|v| v.is_some_and(f64::is_finite));
        let protected = |c: &&Colour| c.exposure.as_deref() == Some(PROTECTED);
        let any_protected = colours.iter().filter(complete).any(|c| protected(&c));
        let taken: Vec<&Colour> = colours.iter().filter(complete).filter(|c| !any_protected || protected(c)).collect();
        let first = taken.first()?;
        let n = taken.len() as f64;
        let mean = |of: fn(&Colour) -> Option<f64>| taken.iter().filter_map(|c| of(c)).sum::<f64>() / n;
        let lab = Lab::new(mean(|c| c.l), mean(|c| c.a), mean(|c| c.b));
        let squares: f64 = taken
            .iter()
            .filter_map(|c| Some((c.l? - lab.l).powi(2) + (c.a? - lab.a).powi(2) + (c.b? - lab.b).powi(2)))
            .sum();
        let scatter = if taken.len() > 1 { (squares / (3.0 * (n - 1.0))).sqrt() } else { 0.0 };
        let named = first.instrument.as_deref().map(str::trim).filter(|name| !name.is_empty());
        let instrument =
            named.filter(|name| taken.iter().all(|c| c.instrument.as_deref().is_some_and(|other| alike(name, other))));
        Some(Self {
            lab,
            u: scatter.max(READING_U) / n.sqrt(),
            readings: taken.len(),
            protected: any_protected,
            instrument,
        })
    }

    pub(super) fn words(&self) -> String {
        let Lab { l, a, b, .. } = self.lab;
        let sign = |x: f64| format!("{x:.1}").replace('-', "−");
        let many = if self.readings > 1 { format!("mean of {}", self.readings) } else { String::new() };
        let place = if self.protected { "protected from light" } else { "" };
        let notes: Vec<&str> = [place, many.as_str()].into_iter().filter(|t| !t.is_empty()).collect();
        let notes = if notes.is_empty() { String::new() } else { format!(" ({})", notes.join(", ")) };
        format!("L* {}, a* {}, b* {}{notes}", sign(l), sign(a), sign(b))
    }
}

/// The difference of two colours and how well it is known.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ColourFigures {
    /// CIEDE2000.
    pub de00: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// Expanded uncertainty for 95 %.
    pub expanded: f64,
    /// The tolerance used.
    pub tolerance: f64,
    /// How the subject stands to the other: `lighter, duller`.
    pub words: String,
    /// What can be said.
    pub verdict: Verdict,
}

pub(super) fn judge(ours: &Reading, theirs: &Reading, tolerance: f64) -> ColourFigures {
    let between = if one_instrument(ours, theirs) { 0.0 } else { BETWEEN_INSTRUMENTS_U };
    // One u stands for the six values: of two that differ, their root mean square.
    let reading = f64::midpoint(ours.u * ours.u, theirs.u * theirs.u).sqrt();
    let spread = ciede2000_spread(theirs.lab, ours.lab, reading.hypot(between));
    let figures = decide(&Estimate::new(spread.value, spread.u), &Estimate::exact(0.0), tolerance);
    ColourFigures {
        de00: spread.value,
        u: spread.u,
        expanded: figures.expanded,
        tolerance,
        words: change(theirs.lab, ours.lab)
            .to_string()
            .replace("no part of the colour changed visibly", "hardly to be told apart"),
        verdict: figures.verdict,
    }
}

fn one_instrument(ours: &Reading, theirs: &Reading) -> bool {
    ours.instrument.zip(theirs.instrument).is_some_and(|(a, b)| alike(a, b))
}

pub(super) fn caveat(ours: &Reading, theirs: &Reading) -> Option<Cow<'static, str>> {
    match (one_instrument(ours, theirs), ours.protected == theirs.protected) {
        (true, true) => None,
        (false, true) => Some("not known to be read with one instrument".into()),
        (true, false) => Some("protected from light on one piece, not said on the other".into()),
        (false, false) => Some(
            "protected from light on one piece, not said on the other; not known to be read with one instrument".into(),
        ),
    }
}

impl ColourFigures {
    /// The decision in words.
    pub fn in_words(&self) -> String {
        let range = format!(
            "ΔE00 {:.1} ± {:.1} (95 %), tolerance {}",
            self.de00,
            self.expanded,
            super::tolerance::trimmed(self.tolerance)
        );
        format!("{}; {range}", self.words)
    }
}
