//! One outline laid flat: from pixels to full-size millimetres with the grain upright; its corners, its edges, its fold.

use super::figure::{Figure, Known, Parts};
use super::{Edge, extent};
use crate::geometry::{Outline, Point, View, distance, length};
use crate::words::letter;

/// Where an outline turns by more than this, it has a corner, unless corners are marked (common practice, no source).
const CORNER_DEG: f64 = 30.0;

/// An outline with what is needed to lay it flat, through the view that the picture has or through another.
#[derive(Debug, Clone)]
pub(super) struct Flat<'a> {
    known: Known<'a>,
    view: View,
    /// The places round it in pixels, marked corners among them.
    pub ring: Vec<Point>,
    grain: Option<[Point; 2]>,
    fold: Option<[Point; 2]>,
    /// The first place on the fold and how many follow it there.
    on_fold: Option<(usize, usize)>,
    /// Places of the ring that are corners, with their names.
    corners: Vec<(usize, String)>,
    /// Whether corners were marked.
    pub marked: bool,
}

/// The nearest place of a closed ring: on which edge, where, how far.
pub(super) fn to_ring(ring: &[Point], p: Point) -> Option<(usize, Point, f64)> {
    let each = ring.iter().enumerate().map(|(i, a)| {
        let b = ring[(i + 1) % ring.len()];
        let (x, y) = (b.0 - a.0, b.1 - a.1);
        let long = x * x + y * y;
        let t = if long > 0.0 { (((p.0 - a.0) * x + (p.1 - a.1) * y) / long).clamp(0.0, 1.0) } else { 0.0 };
        let on = (a.0 + t * x, a.1 + t * y);
        (i, on, distance(on, p))
    });
    each.min_by(|a, b| a.2.total_cmp(&b.2))
}

impl<'a> Flat<'a> {
    pub fn new(
        drawn: &Outline,
        grain: Option<[Point; 2]>,
        fold: Option<[Point; 2]>,
        marked: &[(String, Point)],
        known: &Known<'a>,
    ) -> Result<Self, String> {
        let mut ring = drawn.around.clone();
        ring.dedup();
        let mut names: Vec<(Point, String)> = Vec::new();
        for (name, at) in marked {
            let Some((edge, on, _)) = to_ring(&ring, *at) else { continue };
            let ends = [ring[edge], ring[(edge + 1) % ring.len()]];
            // A corner pointed at beside a place of the outline is that place.
            let near = ends.into_iter().filter(|e| distance(*e, *at) < 0.02 * distance(ends[0], ends[1]).max(50.0));
            let place = near.min_by(|a, b| distance(*a, *at).total_cmp(&distance(*b, *at)));
            let place = place.unwrap_or_else(|| {
                ring.insert(edge + 1, on);
                on
            });
            names.push((place, name.clone()));
        }
        let mut flat = Self {
            known: *known,
            view: known.scale.view(),
            ring,
            grain: grain.filter(|g| g[0] != g[1]),
            fold: fold.filter(|f| f[0] != f[1]),
            on_fold: None,
            corners: Vec::new(),
            marked: names.len() > 1,
        };
        let half = flat.lie(&flat.ring).ok_or("lies beyond the horizon of the page")?;
        if flat.fold.is_some() {
            flat.on_fold = Some(flat.find_fold(&half)?);
        }
        flat.corners = if flat.marked {
            let index = |p: Point| flat.ring.iter().position(|q| *q == p);
            names.into_iter().filter_map(|(p, name)| Some((index(p)?, name))).collect()
        } else {
            turns(&half).into_iter().map(|i| (i, String::new())).collect()
        };
        flat.corners.sort_by_key(|c| c.0);
        flat.corners.dedup_by_key(|c| c.0);
        for (n, (_, name)) in flat.corners.iter_mut().enumerate() {
            if name.is_empty() {
                *name = letter(n);
            }
        }
        Ok(flat)
    }

    fn seen(&self, view: &View) -> Self {
        Self { view: *view, ..self.clone() }
    }

    /// Places in full-size millimetres, turned so that the grain is upright.
    pub fn lie(&self, places: &[Point]) -> Option<Vec<Point>> {
        let (sin, cos) = match self.grain {
            None => (0.0, 1.0),
            Some([from, to]) => {
                let (a, b) = (self.view.map(from)?, self.view.map(to)?);
                let long = distance(a, b);
                // Upright either way: the way that turns the drawing least.
                let up = if a.1 >= b.1 { 1.0 } else { -1.0 };
                (up * (a.0 - b.0) / long, up * (a.1 - b.1) / long)
            }
        };
        let turned = |p: &Point| {
            let (x, y) = self.view.map(*p)?;
            let (x, y) = (x / self.known.terms.ratio, y / self.known.terms.ratio);
            let to = (x * cos - y * sin, x * sin + y * cos);
            (to.0.is_finite() && to.1.is_finite()).then_some(to)
        };
        places.iter().map(turned).collect()
    }

    /// A figure through the view, with the parts of its uncertainty.
    pub fn figure(&self, f: impl Fn(&Self) -> Option<f64>, parts: Parts) -> Result<Figure, String> {
        let at = extent(&self.ring).map_or((0.0, 0.0), |(a, b)| (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1)));
        Figure::worked(&self.known, at, parts, |view| f(&self.seen(view)))
    }

    /// Across the grain, or along it.
    pub fn size(&self, across: bool) -> Option<f64> {
        let (low, high) = extent(&self.opened(&self.lie(&self.ring)?))?;
        Some(if across { high.0 - low.0 } else { high.1 - low.1 })
    }

    /// The length round the whole.
    pub fn round(&self) -> Option<f64> {
        Some(Outline::from(self.opened(&self.lie(&self.ring)?)).outer_length())
    }

    /// The area of the whole, holes taken off.
    pub fn area_figure(&self, drawn: &Outline, known: &Known) -> Result<Figure, String> {
        let times = if self.on_fold.is_some() { 2.0 } else { 1.0 };
        let edge: f64 = drawn.holes.iter().filter_map(|h| self.lie(h)).map(|h| Outline::from(h).outer_length()).sum();
        let round = self.round().unwrap_or(0.0) + times * edge;
        let area = |f: &Self| {
            let half = f.lie(&f.ring)?;
            let holes: f64 = drawn.holes.iter().map(|h| Some(Outline::from(f.lie(h)?).area())).sum::<Option<f64>>()?;
            Some(Outline::from(f.opened(&half)).area() - times * holes)
        };
        self.figure(area, Parts::area(known, round))
    }

    /// The edges between corners, in order round the outline.
    pub fn edges(&self, known: &Known) -> Result<Vec<Edge>, String> {
        let n = self.ring.len();
        let count = if self.corners.len() > 1 { self.corners.len() } else { 0 };
        let edge = |k: usize| {
            let (from, to) = (&self.corners[k], &self.corners[(k + 1) % count]);
            let steps = (to.0 + n - from.0) % n;
            let px: Vec<Point> = (0..=steps).map(|s| self.ring[(from.0 + s) % n]).collect();
            let on_fold =
                self.on_fold.is_some_and(|(first, more)| (0..=steps).all(|s| (from.0 + s + n - first) % n <= more));
            let length = self.figure(|f| Some(length(&f.lie(&px)?)), Parts::ends(known))?;
            Ok(Edge { name: format!("{}–{}", from.1, to.1), length, on_fold })
        };
        (0..count).map(edge).collect()
    }

    /// The corners by name.
    pub fn corners(&self, half: &[Point]) -> Vec<(String, Point)> {
        self.corners.iter().map(|(i, name)| (name.clone(), half[*i])).collect()
    }

    fn fold_line(&self, half: &[Point]) -> Option<[Point; 2]> {
        let (first, more) = self.on_fold?;
        Some([*half.get(first)?, *half.get((first + more) % half.len())?])
    }

    /// The fold from end to end.
    pub fn fold_ends(&self, half: &[Point]) -> Option<[Point; 2]> {
        self.fold_line(half)
    }

    /// Which places lie on the fold: a run of two at least.
    fn find_fold(&self, half: &[Point]) -> Result<(usize, usize), String> {
        let none = || "the line marked as its fold runs along none of its edges".to_owned();
        let line = self.fold.and_then(|f| self.lie(&f)).ok_or_else(none)?;
        let long = distance(line[0], line[1]);
        let size = extent(half).map_or(0.0, |(a, b)| distance(a, b));
        let on = |p: &Point| {
            let away = (line[1].0 - line[0].0) * (p.1 - line[0].1) - (line[1].1 - line[0].1) * (p.0 - line[0].0);
            (away / long).abs() < 0.01 * size
        };
        let on: Vec<bool> = half.iter().map(on).collect();
        let n = on.len();
        let first: Vec<usize> = (0..n).filter(|i| on[*i] && !on[(i + n - 1) % n]).collect();
        let [first] = first[..] else { return Err(none()) };
        let more = (1..n).take_while(|s| on[(first + s) % n]).count();
        if more == 0 { Err(none()) } else { Ok((first, more)) }
    }

    /// The whole ring: opened out over the fold, if there is one.
    pub fn opened(&self, half: &[Point]) -> Vec<Point> {
        let (Some((first, more)), Some(line)) = (self.on_fold, self.fold_line(half)) else { return half.to_vec() };
        let n = half.len();
        let chain: Vec<Point> = (0..=n - more).map(|s| half[(first + more + s) % n]).collect();
        let back = chain.iter().rev().skip(1).take(chain.len().saturating_sub(2)).map(|p| over(*p, line));
        chain.iter().copied().chain(back).collect()
    }

    /// Places on the other side of the fold; none without one.
    pub fn mirrored(&self, places: &[Point], half: &[Point]) -> Option<Vec<Point>> {
        let line = self.fold_line(half)?;
        Some(places.iter().map(|p| over(*p, line)).collect())
    }
}

/// A place on the other side of a line.
fn over(p: Point, [a, b]: [Point; 2]) -> Point {
    let (x, y) = (b.0 - a.0, b.1 - a.1);
    let t = ((p.0 - a.0) * x + (p.1 - a.1) * y) / (x * x + y * y);
    (2.0 * (a.0 + t * x) - p.0, 2.0 * (a.1 + t * y) - p.1)
}

/// The places at which a ring turns sharply.
fn turns(ring: &[Point]) -> Vec<usize> {
    let n = ring.len();
    let sharp = |i: &usize| {
        let (a, b, c) = (ring[(i + n - 1) % n], ring[*i], ring[(i + 1) % n]);
        let (u, v) = ((b.0 - a.0, b.1 - a.1), (c.0 - b.0, c.1 - b.1));
        (u.0 * v.1 - u.1 * v.0).atan2(u.0 * v.0 + u.1 * v.1).abs().to_degrees() > CORNER_DEG
    };
    (0..n).filter(sharp).collect()
}
