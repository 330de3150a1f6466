//! Doses of light: lux hours, what a guide allows in a year, and what they do to blue wool.
//!
//! A dose is light times time (reciprocity is taken for granted). What it does to a piece is not known from its dose: the
//! dye decides, and batches of blue wool themselves differ, so that only ranges are given.

use std::fmt;

use super::figures::grouped;

/// How readily light harms a thing, in the four groups of CIE 157:2004.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Responsivity {
    /// As blue wool 1 to 3: most dyes before and many after 1860, silk; an unknown dye is treated so.
    High,
    /// As blue wool 4 to 6: the better natural dyes (madder, indigo on wool).
    Medium,
    /// As blue wool 7 and 8.
    Low,
    /// Metal, glass, stone.
    None,
}

impl Responsivity {
    /// All four.
    pub const ALL: [Responsivity; 4] =
        [Responsivity::High, Responsivity::Medium, Responsivity::Low, Responsivity::None];

    /// What CIE 157:2004 allows in a year, in lux hours; none where there is no limit. Read in secondary sources: 15,000
    /// in a conservators' list (2013), 150,000 and 600,000 in a museum's published light plan.
    pub fn yearly(self) -> Option<f64> {
        match self {
            Responsivity::High => Some(15_000.0),
            Responsivity::Medium => Some(150_000.0),
            Responsivity::Low => Some(600_000.0),
            Responsivity::None => None,
        }
    }

    /// The light level that goes with it, in lux (from memory); none where there is no limit.
    pub fn level(self) -> Option<f64> {
        match self {
            Responsivity::High | Responsivity::Medium => Some(50.0),
            Responsivity::Low => Some(200.0),
            Responsivity::None => None,
        }
    }
}

impl fmt::Display for Responsivity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Responsivity::High => "high",
            Responsivity::Medium => "medium",
            Responsivity::Low => "low",
            Responsivity::None => "none",
        })
    }
}

/// One step of the blue wool scale of ISO 105-B08: the dose to a just visible fade, as a range in lux hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlueWool {
    /// Step 1 (fades first) to 8.
    pub step: u8,
    /// The dose in daylight through glass, ultraviolet included.
    pub with_uv: f64,
    /// The dose without ultraviolet.
    pub without_uv: f64,
}

const fn wool(step: u8, with_uv: f64, without_uv: f64) -> BlueWool {
    BlueWool { step, with_uv: with_uv * 1e6, without_uv: without_uv * 1e6 }
}

/// The eight steps, after Michalski's table of sensitivities (Canadian Conservation Institute; figures from memory, a
/// stored page gives 0.4 and 900 for the first and the last without ultraviolet).
pub const BLUE_WOOL: [BlueWool; 8] = [
    wool(1, 0.22, 0.3),
    wool(2, 0.6, 1.0),
    wool(3, 1.5, 3.0),
    wool(4, 3.5, 10.0),
    wool(5, 8.0, 30.0),
    wool(6, 20.0, 100.0),
    wool(7, 50.0, 300.0),
    wool(8, 120.0, 1100.0),
];

/// The last step of the group of high responsivity.
pub const LAST_OF_HIGH: u8 = 3;

/// A dose of light in lux hours.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Dose {
    /// Lux hours.
    pub lux_hours: f64,
}

impl Dose {
    /// A light level for some hours; none for a negative or impossible one.
    pub fn new(lux: f64, hours: f64) -> Option<Dose> {
        let lux_hours = lux * hours;
        (lux >= 0.0 && hours >= 0.0 && lux_hours.is_finite()).then_some(Dose { lux_hours })
    }

    /// How many years' allowance of a group it uses: 1 is a year's. None where there is no limit.
    pub fn years(self, group: Responsivity) -> Option<f64> {
        Some(self.lux_hours / group.yearly()?)
    }

    /// The last step of blue wool that this dose may have faded just visibly, if the light held ultraviolet; none if not
    /// even the first.
    pub fn may_fade(self) -> Option<u8> {
        BLUE_WOOL.iter().rev().find(|w| self.lux_hours >= w.with_uv).map(|w| w.step)
    }

    /// The last step that it will have faded just visibly even without ultraviolet.
    pub fn will_fade(self) -> Option<u8> {
        BLUE_WOOL.iter().rev().find(|w| self.lux_hours >= w.without_uv).map(|w| w.step)
    }

    /// The part of a just visible fade of a step, as a range from without to with ultraviolet.
    pub fn part_of_fade(self, wool: &BlueWool) -> (f64, f64) {
        (self.lux_hours / wool.without_uv, self.lux_hours / wool.with_uv)
    }
}

impl fmt::Display for Dose {
    /// `36,000 lx h`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} lx h", grouped(self.lux_hours))
    }
}
