//! A figure at full size and what its uncertainty is made of.
//!
//! A printed line has a width, and its true edge may be anywhere in it: the place of the line is known to the width over
//! √12 (rectangular, GUM 4.3.7). One hand draws one edge of the line all round, so a closed outline is in or out by that
//! along its whole length; the same goes for the pointing.

use crate::geometry::{Point, Scale, View};
use crate::measure::Estimate;

use super::Terms;

/// What a figure is made of: the scale of the picture and the terms of the enlargement.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known<'a> {
    pub scale: &'a Scale,
    pub terms: &'a Terms,
}

impl<'a> Known<'a> {
    pub fn new(scale: &'a Scale, terms: &'a Terms) -> Self {
        Self { scale, terms }
    }

    pub fn mm_per_px(&self, at: Point) -> Option<f64> {
        self.scale.view().mm_per_px(at)
    }

    /// Standard uncertainty of the place of a printed line, full size.
    fn line(&self) -> f64 {
        self.terms.line_mm / 12f64.sqrt() / self.terms.ratio
    }
}

/// How often the uncertainty of a place goes into a figure, and to which power its lengths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Parts {
    pointing: f64,
    line_mm: f64,
    power: f64,
}

impl Parts {
    /// A length from one place to another: each is out by itself.
    pub(super) fn ends(known: &Known) -> Self {
        Self { pointing: 2f64.sqrt(), line_mm: 2f64.sqrt() * known.line(), power: 1.0 }
    }

    /// A width from edge to edge: both are in or out together with the line.
    pub(super) fn across(known: &Known) -> Self {
        Self { pointing: 2f64.sqrt(), line_mm: 2.0 * known.line(), power: 1.0 }
    }

    /// A length all round: a parallel curve is longer by 2π times its distance.
    pub(super) fn round(known: &Known) -> Self {
        let turn = std::f64::consts::TAU;
        Self { pointing: turn, line_mm: turn * known.line(), power: 1.0 }
    }

    /// An area: in or out along a length of `round`.
    pub(super) fn area(known: &Known, round: f64) -> Self {
        Self { pointing: round, line_mm: round * known.line(), power: 2.0 }
    }
}

/// A figure at full size with the standard uncertainties that make up its own: millimetres or square millimetres.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize)]
pub struct Figure {
    /// The figure.
    pub value: f64,
    /// From pointing at the places.
    pub pointing: f64,
    /// From the scale of the picture.
    pub scale: f64,
    /// From the width of the printed line.
    pub line: f64,
    /// From the stretch of the paper.
    pub paper: f64,
    /// From the ratio of the drawing.
    pub ratio: f64,
}

impl Figure {
    /// Works a figure out through the view of the plane.
    pub(super) fn worked(
        known: &Known,
        at: Point,
        parts: Parts,
        f: impl Fn(&View) -> Option<f64>,
    ) -> Result<Self, String> {
        let beyond = || "lies beyond the horizon of the page, or the scale does not hold there".to_owned();
        let found = known.scale.figure(f).ok_or_else(beyond)?;
        let pointing = known.scale.pointing_mm(at).ok_or_else(beyond)? / known.terms.ratio;
        let limit = |relative: f64| found.value.abs() * parts.power * relative / 3f64.sqrt();
        Ok(Self {
            value: found.value,
            pointing: pointing * parts.pointing,
            scale: found.shared,
            line: parts.line_mm,
            paper: limit(known.terms.paper),
            ratio: limit(known.terms.ratio_within),
        })
    }

    /// Combined standard uncertainty (GUM 5.1.2).
    pub fn u(&self) -> f64 {
        [self.pointing, self.scale, self.line, self.paper, self.ratio].into_iter().fold(0.0, f64::hypot)
    }

    /// Value and standard uncertainty.
    pub fn estimate(&self) -> Estimate {
        Estimate::new(self.value, self.u())
    }

    /// What makes up the uncertainty, by name.
    pub fn budget(&self) -> [(&'static str, f64); 5] {
        [
            ("pointing", self.pointing),
            ("scale of the picture", self.scale),
            ("width of the line", self.line),
            ("paper", self.paper),
            ("ratio", self.ratio),
        ]
    }
}
