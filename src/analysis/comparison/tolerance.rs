//! How large a difference is still called agreement: one rule a kind of figure, stated so that it can be printed.

use serde::Serialize;

/// A tolerance: a share of the mean of the two values, or a fixed amount, whichever is larger.
///
/// The mean of both is used rather than either value, so that the verdict is the same whichever piece comes first.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tolerance {
    /// Share of the mean of both values: 0.02 is 2 %.
    pub relative: f64,
    /// Least amount, in the unit of the figure.
    pub absolute: f64,
}

impl Tolerance {
    /// A share and a least amount; anything negative or not finite counts as nothing.
    pub fn new(relative: f64, absolute: f64) -> Self {
        let sound = |x: f64| if x.is_finite() && x > 0.0 { x } else { 0.0 };
        Self { relative: sound(relative), absolute: sound(absolute) }
    }

    /// The tolerance for these two values, in their unit.
    pub fn between(self, a: f64, b: f64) -> f64 {
        (self.relative * f64::midpoint(a, b).abs()).max(self.absolute)
    }

    /// In words: `2 % or 5 mm, whichever is larger`.
    pub fn words(self, unit: &str) -> String {
        let share = format!("{} %", trimmed(self.relative * 100.0));
        let amount = format!("{} {unit}", trimmed(self.absolute)).trim_end().to_string();
        match (self.relative > 0.0, self.absolute > 0.0) {
            (true, true) => format!("{share} or {amount}, whichever is larger"),
            (true, false) => share,
            (false, true) => amount,
            (false, false) => "none: any difference counts".into(),
        }
    }
}

/// The tolerances of a comparison, one a kind of figure.
///
/// The defaults are a starting point for hand-sewn garments (common practice, no source): change them to suit the
/// question, and the report will print what was used.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tolerances {
    /// Lengths of the garment and of seams, in millimetres.
    pub length: Tolerance,
    /// Measures around the body, in millimetres: twice a width taken flat.
    pub girth: Tolerance,
    /// Things with a width that does not grow with the garment: tape, seam allowance, bones, buttons, spacing.
    pub fixed: Tolerance,
    /// Thickness of a stiffener, in millimetres.
    pub thickness: Tolerance,
    /// Ends and picks, per centimetre.
    pub threads: Tolerance,
    /// Stitches per centimetre.
    pub stitches: Tolerance,
    /// Yarn number in tex.
    pub yarn: Tolerance,
    /// Angle of twist, in degrees.
    pub angle: Tolerance,
    /// Turns of twist, per centimetre.
    pub turns: Tolerance,
    /// Crimp of a yarn, in per cent.
    pub crimp: Tolerance,
    /// Cover factor of a cloth.
    pub cover: Tolerance,
    /// Mass of a cloth, in g/m².
    pub mass: Tolerance,
    /// Numbers of buttons, hooks, bones.
    pub count: Tolerance,
}

impl Default for Tolerances {
    fn default() -> Self {
        Self {
            length: Tolerance::new(0.02, 5.0),
            girth: Tolerance::new(0.02, 10.0),
            fixed: Tolerance::new(0.0, 2.0),
            thickness: Tolerance::new(0.10, 0.5),
            threads: Tolerance::new(0.15, 0.0),
            stitches: Tolerance::new(0.15, 0.0),
            yarn: Tolerance::new(0.15, 0.0),
            angle: Tolerance::new(0.0, 5.0),
            turns: Tolerance::new(0.15, 0.0),
            crimp: Tolerance::new(0.0, 3.0),
            cover: Tolerance::new(0.10, 0.0),
            mass: Tolerance::new(0.15, 0.0),
            count: Tolerance::new(0.0, 0.0),
        }
    }
}

/// What a figure is, for the choice of its tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Measure {
    Length,
    Girth,
    Fixed,
    Thickness,
    Threads,
    Stitches,
    Yarn,
    Angle,
    Turns,
    Crimp,
    Cover,
    MassPerArea,
    Count,
}

impl Measure {
    pub(super) fn unit(self) -> &'static str {
        match self {
            Self::Length | Self::Girth | Self::Fixed | Self::Thickness => "mm",
            Self::Threads | Self::Stitches | Self::Turns => "per cm",
            Self::Yarn => "tex",
            Self::Angle => "deg",
            Self::Crimp => "%",
            Self::MassPerArea => "g/m²",
            Self::Count | Self::Cover => "",
        }
    }
}

impl Tolerances {
    pub(super) fn of(&self, measure: Measure) -> Tolerance {
        match measure {
            Measure::Length => self.length,
            Measure::Girth => self.girth,
            Measure::Fixed => self.fixed,
            Measure::Thickness => self.thickness,
            Measure::Threads => self.threads,
            Measure::Stitches => self.stitches,
            Measure::Yarn => self.yarn,
            Measure::Angle => self.angle,
            Measure::Turns => self.turns,
            Measure::Crimp => self.crimp,
            Measure::Cover => self.cover,
            Measure::MassPerArea => self.mass,
            Measure::Count => self.count,
        }
    }

    /// Each kind of figure and its tolerance in words, for the method section of a report.
    pub fn in_words(&self) -> Vec<(&'static str, String)> {
        [
            ("lengths and widths of the garment, lengths of seams", Measure::Length),
            ("girths", Measure::Girth),
            ("fixed widths, allowances, spacing, sizes of small parts", Measure::Fixed),
            ("thickness of stiffeners", Measure::Thickness),
            ("ends and picks", Measure::Threads),
            ("stitch density", Measure::Stitches),
            ("yarn number", Measure::Yarn),
            ("angle of twist", Measure::Angle),
            ("turns of twist", Measure::Turns),
            ("crimp, in points of the percentage", Measure::Crimp),
            ("cover factor", Measure::Cover),
            ("mass per area", Measure::MassPerArea),
            ("counts of fastenings and stiffeners", Measure::Count),
        ]
        .into_iter()
        .map(|(what, measure)| (what, self.of(measure).words(measure.unit())))
        .collect()
    }
}

/// A number without idle zeros, at most three decimals.
pub(super) fn trimmed(x: f64) -> String {
    let text = format!("{x:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}
