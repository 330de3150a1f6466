//! Lengths, areas and angles on a picture with a scale, each with the uncertainty of the scale and of the pointing.
//!
//! Two parts make up each uncertainty. That of the scale is shared by everything measured with it (it cancels in a
//! share and in a ratio). That of the pointing: for a length each place is out by itself; an outline is judged by one
//! eye all round, so it may lie in or out along its whole length, and its area is uncertain by that length times the
//! pointing error, which is more than places out one by one would give.

use super::cover::{area_of_union, area_within};
use super::{Bar, Homography, Outline, Point, Rectangle, distance, outline};
use crate::measure::{Estimate, propagate};

/// From what a picture has its scale.
#[derive(Debug, Clone, PartialEq)]
enum Way {
    /// None: everything is in pixels.
    Pixels,
    Bar(Bar),
    Rectangle(Box<Rectangle>),
}

/// The scale of a picture, with the pointing error that goes for what is drawn on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    way: Way,
    pointing: f64,
}

/// How places of the picture lie in the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum View {
    /// Seen square on: so many millimetres a pixel everywhere.
    Even(f64),
    /// Seen in perspective, and the sign that the map's divisor has this side of the horizon.
    Plane(Homography, f64),
}

impl View {
    /// A place in millimetres; none beyond the horizon of the plane.
    pub fn map(&self, p: Point) -> Option<Point> {
        match self {
            Self::Even(mm) => Some((p.0 * mm, p.1 * mm)),
            Self::Plane(h, side) => (h.depth(p) * side > 0.0).then(|| h.map(p)).flatten(),
        }
    }

    /// Millimetres a pixel about a place: the square root of how areas are mapped there.
    pub fn mm_per_px(&self, p: Point) -> Option<f64> {
        match self {
            Self::Even(mm) => Some(*mm),
            Self::Plane(h, _) => {
                let [[a, b], [c, d]] = h.near(p)?;
                Some((a * d - b * c).abs().sqrt())
            }
        }
    }
}

impl Scale {
    /// No scale: lengths in pixels, areas in square pixels, uncertain by the pointing alone.
    pub fn pixels(pointing: f64) -> Self {
        Self { way: Way::Pixels, pointing }
    }

    /// From a length.
    pub fn from_bar(bar: Bar, pointing: f64) -> Self {
        Self { way: Way::Bar(bar), pointing }
    }

    /// From a rectangle.
    pub fn from_rectangle(rectangle: Rectangle, pointing: f64) -> Self {
        Self { way: Way::Rectangle(Box::new(rectangle)), pointing }
    }

    /// How the picture sees the plane.
    pub fn view(&self) -> View {
        match &self.way {
            Way::Pixels => View::Even(1.0),
            Way::Bar(bar) => View::Even(bar.mm_per_px()),
            Way::Rectangle(r) => View::Plane(*r.homography(), r.homography().depth(r.middle()).signum()),
        }
    }

    /// Pixels a millimetre about a place.
    pub fn px_per_mm(&self, p: Point) -> Option<Estimate> {
        self.through(|view| Some(1.0 / view.mm_per_px(p)?), |_| Some(0.0))
    }

    /// The length of an open line.
    pub fn length(&self, line: &[Point]) -> Option<Estimate> {
        let measured = |view: &View, line: &[Point]| {
            Some(outline::length(&line.iter().map(|p| view.map(*p)).collect::<Option<Vec<_>>>()?))
        };
        self.through(|view| measured(view, line), |view| self.pointed(line, |line| measured(view, line)))
    }

    /// The length round outlines, holes left out.
    pub fn outer_length(&self, one: &Outline) -> Option<Estimate> {
        let mut line = one.around.clone();
        line.extend(one.around.first());
        self.length(&line)
    }

    /// The angle at `at` between the lines to `a` and to `b`, degrees from 0 to 180.
    pub fn angle(&self, a: Point, at: Point, b: Point) -> Option<Estimate> {
        let measured = |view: &View, p: &[Point]| {
            let [a, at, b] = [view.map(*p.first()?)?, view.map(*p.get(1)?)?, view.map(*p.get(2)?)?];
            let (u, v) = ((a.0 - at.0, a.1 - at.1), (b.0 - at.0, b.1 - at.1));
            let turn = (u.0 * v.1 - u.1 * v.0).abs().atan2(u.0 * v.0 + u.1 * v.1);
            (distance(a, at) > 0.0 && distance(b, at) > 0.0).then(|| turn.to_degrees())
        };
        let places = [a, at, b];
        self.through(|view| measured(view, &places), |view| self.pointed(&places, |p| measured(view, p)))
    }

    /// The area that outlines cover together, overlaps counted once.
    pub fn area(&self, outlines: &[Outline]) -> Option<Estimate> {
        self.through(|view| Some(area_of_union(&mapped(outlines, view)?)), |view| self.edge(outlines, view))
    }

    /// The part of `whole` that outlines cover together, from 0 to 1. The scale has no part in its uncertainty but
    /// through the perspective.
    pub fn share(&self, outlines: &[Outline], whole: &[Outline]) -> Option<Estimate> {
        let measured = |view: &View| {
            let (part, all) = (mapped(outlines, view)?, mapped(whole, view)?);
            let size = area_of_union(&all);
            (size > 0.0).then(|| (area_within(&part, &all) / size, size))
        };
        self.through(
            |view| Some(measured(view)?.0),
            |view| {
                let (share, size) = measured(view)?;
                Some((self.edge(outlines, view)? / size).hypot(share * self.edge(whole, view)? / size))
            },
        )
    }

    /// Any figure that follows from how places lie in the plane, with the uncertainty of the scale alone.
    pub fn figure(&self, f: impl Fn(&View) -> Option<f64>) -> Option<Estimate> {
        self.through(f, |_| Some(0.0))
    }

    /// How far a pointed place may be out about `p`, in the plane.
    pub fn pointing_mm(&self, p: Point) -> Option<f64> {
        Some(self.pointing * self.view().mm_per_px(p)?)
    }

    /// The value by `f` and its uncertainty: the scale's part (kept as the shared one), and the pointing's by `own`.
    fn through(&self, f: impl Fn(&View) -> Option<f64>, own: impl Fn(&View) -> Option<f64>) -> Option<Estimate> {
        let view = self.view();
        let value = f(&view)?;
        let with = |x: &[f64]| -> Option<f64> {
            match &self.way {
                Way::Pixels => None,
                Way::Bar(_) => f(&View::Even(x.get(1)? / x.first()?)),
                Way::Rectangle(r) => {
                    let h = r.with(x)?;
                    f(&View::Plane(h, h.depth(r.middle()).signum()))
                }
            }
        };
        let inputs = match &self.way {
            Way::Pixels => Vec::new(),
            Way::Bar(bar) => vec![bar.px, bar.mm],
            Way::Rectangle(r) => r.inputs(self.pointing),
        };
        let shared = if inputs.is_empty() { 0.0 } else { propagate(|x| with(x).unwrap_or(f64::NAN), &inputs).u };
        let u = shared.hypot(own(&view)?);
        (value.is_finite() && u.is_finite()).then(|| Estimate { shared, ..Estimate::new(value, u) })
    }

    /// The pointing's part for places each out by itself. Only the steps beside a place change with it, so a long line
    /// is taken piece by piece.
    fn pointed(&self, places: &[Point], f: impl Fn(&[Point]) -> Option<f64>) -> Option<f64> {
        let mut sum = 0.0;
        for i in 0..places.len() {
            let from = i.saturating_sub(2);
            let mut near: Vec<Point> = places.iter().copied().take(i + 3).skip(from).collect();
            for down in [false, true] {
                let mut at = |by: f64| {
                    let mut p = places[i];
                    if down {
                        p.1 += by;
                    } else {
                        p.0 += by;
                    }
                    near[i - from] = p;
                    f(&near)
                };
                let step = 1e-3;
                let slope = (at(step)? - at(-step)?) / (2.0 * step);
                sum += (slope * self.pointing).powi(2);
                near[i - from] = places[i];
            }
        }
        Some(sum.sqrt())
    }

    /// The pointing's part of an area: every edge in or out together.
    fn edge(&self, outlines: &[Outline], view: &View) -> Option<f64> {
        let of = |one: &Outline| {
            let first = one.around.first()?;
            let n = one.around.len() as f64;
            let sum = one.around.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
            let at = if n > 0.0 { (sum.0 / n, sum.1 / n) } else { *first };
            Some(one.moved(|p| view.map(p))?.edge_length() * view.mm_per_px(at)? * self.pointing)
        };
        outlines.iter().map(of).sum()
    }
}

fn mapped(outlines: &[Outline], view: &View) -> Option<Vec<Outline>> {
    outlines.iter().map(|one| one.moved(|p| view.map(p))).collect()
}
