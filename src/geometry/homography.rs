//! One plane seen in a picture: the map from pixels to millimetres that a camera without lens distortion gives.
//!
//! x = (h₁u + h₂v + h₃)/w, y = (h₄u + h₅v + h₆)/w, w = h₇u + h₈v + 1. Eight figures, so four places settle it; more
//! are fitted by least squares of the distances in the plane, from a linear beginning in coordinates moved and scaled
//! to the middle of the places (R. Hartley, "In defence of the 8-point algorithm", 1997, for why), made better step by
//! step (Gauss–Newton).

use super::solve::solve;
use super::{Degenerate, Point, cross, distance};

/// How far mapped places lie from where they should.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Root mean square of the distances, in the unit of the plane.
    pub rms: f64,
    /// The largest distance.
    pub worst: f64,
}

/// A map between two planes, row by row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography([[f64; 3]; 3]);

impl Homography {
    /// The map that takes the first of each pair to the second: exact for four pairs, least squares for more.
    ///
    /// # Errors
    /// [`Degenerate`] if there are fewer than four, if two are equal or three of four lie in a line on either side, or
    /// if the places cannot be one plane seen from one side.
    pub fn through(pairs: &[(Point, Point)]) -> Result<Self, Degenerate> {
        if pairs.len() < 4 {
            return Err(Degenerate::TooFew(pairs.len()));
        }
        let finite = |p: &Point| p.0.is_finite() && p.1.is_finite();
        if !pairs.iter().all(|(a, b)| finite(a) && finite(b)) {
            return Err(Degenerate::Figure("each place"));
        }
        let from: Vec<Point> = pairs.iter().map(|p| p.0).collect();
        let to: Vec<Point> = pairs.iter().map(|p| p.1).collect();
        apart(&from)?;
        apart(&to)?;
        let (into, out) = (Frame::of(&from), Frame::of(&to));
        let even: Vec<(Point, Point)> = pairs.iter().map(|(a, b)| (into.even(*a), out.even(*b))).collect();
        let mut h = linear(&even).ok_or(Degenerate::NoView)?;
        if even.len() > 4 {
            h = refined(h, &even);
        }
        let whole = times(out.back(), times([[h[0], h[1], h[2]], [h[3], h[4], h[5]], [h[6], h[7], 1.0]], into.there()));
        let found = Self(whole).scaled().ok_or(Degenerate::NoView)?;
        // A plane is seen from one side, and nothing of it behind the camera.
        let side = |p: Point| found.depth(p) > 0.0;
        let one = side(from[0]);
        if from.iter().all(|p| side(*p) == one && found.map(*p).is_some()) {
            Ok(found)
        } else {
            Err(Degenerate::NoView)
        }
    }

    /// Where a place comes to lie; none on the horizon of the plane.
    pub fn map(&self, p: Point) -> Option<Point> {
        let h = &self.0;
        let w = self.depth(p);
        let to = ((h[0][0] * p.0 + h[0][1] * p.1 + h[0][2]) / w, (h[1][0] * p.0 + h[1][1] * p.1 + h[1][2]) / w);
        (to.0.is_finite() && to.1.is_finite()).then_some(to)
    }

    /// What the map divides by: of one sign on each side of the horizon.
    pub(crate) fn depth(&self, p: Point) -> f64 {
        self.0[2][0] * p.0 + self.0[2][1] * p.1 + self.0[2][2]
    }

    /// The map back.
    pub fn inverse(&self) -> Option<Self> {
        let m = &self.0;
        let minor = |a: usize, b: usize, c: usize, d: usize| m[a][b] * m[c][d] - m[a][d] * m[c][b];
        let adjugate = [
            [minor(1, 1, 2, 2), -minor(0, 1, 2, 2), minor(0, 1, 1, 2)],
            [-minor(1, 0, 2, 2), minor(0, 0, 2, 2), -minor(0, 0, 1, 2)],
            [minor(1, 0, 2, 1), -minor(0, 0, 2, 1), minor(0, 0, 1, 1)],
        ];
        Self(adjugate).scaled()
    }

    /// The nine figures, row by row, the last one 1 where that can be.
    pub fn rows(&self) -> [[f64; 3]; 3] {
        self.0
    }

    /// How far the places of these pairs are missed.
    pub fn residual(&self, pairs: &[(Point, Point)]) -> Option<Residual> {
        let missed: Vec<f64> =
            pairs.iter().map(|(a, b)| Some(distance(self.map(*a)?, *b))).collect::<Option<Vec<_>>>()?;
        let n = missed.len().max(1) as f64;
        let rms = (missed.iter().map(|d| d * d).sum::<f64>() / n).sqrt();
        Some(Residual { rms, worst: missed.iter().copied().fold(0.0, f64::max) })
    }

    /// Near one place: how a small step across and a small step down are mapped (the derivative).
    pub fn near(&self, p: Point) -> Option<[[f64; 2]; 2]> {
        let (h, w, to) = (&self.0, self.depth(p), self.map(p)?);
        let part = |row: usize, column: usize, value: f64| (h[row][column] - value * h[2][column]) / w;
        let near = [[part(0, 0, to.0), part(0, 1, to.0)], [part(1, 0, to.1), part(1, 1, to.1)]];
        near.iter().flatten().all(|v| v.is_finite()).then_some(near)
    }

    fn scaled(self) -> Option<Self> {
        let largest = self.0.iter().flatten().fold(0.0f64, |m, v| m.max(v.abs()));
        let last = self.0[2][2];
        let by = if last.abs() > largest * 1e-12 { last } else { largest };
        let scaled = self.0.map(|row| row.map(|v| v / by));
        (by.is_finite() && by != 0.0 && scaled.iter().flatten().all(|v| v.is_finite())).then_some(Self(scaled))
    }
}

/// Refuses places among which there are no four of which no two are equal and no three lie in a line.
pub(super) fn apart(places: &[Point]) -> Result<(), Degenerate> {
    if let [a, b, c, d] = places {
        return four_apart([*a, *b, *c, *d]);
    }
    let mut first = None;
    let n = places.len();
    for (i, j) in (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j))) {
        for (k, l) in (j + 1..n).flat_map(|k| (k + 1..n).map(move |l| (k, l))) {
            match four_apart([places[i], places[j], places[k], places[l]]) {
                Ok(()) => return Ok(()),
                Err(fault) => first = first.or(Some(fault)),
            }
        }
    }
    Err(first.unwrap_or(Degenerate::TooFew(n)))
}

fn four_apart(places: [Point; 4]) -> Result<(), Degenerate> {
    let widest = places.iter().map(|p| distance(*p, places[0])).fold(0.0, f64::max);
    for (i, a) in places.iter().enumerate() {
        if places[..i].iter().any(|b| distance(*a, *b) <= widest * 1e-9) {
            return Err(Degenerate::Equal(*a));
        }
    }
    let [a, b, c, d] = places;
    let in_line =
        [(b, c, d), (a, c, d), (a, b, d), (a, b, c)].into_iter().find(|(a, b, c)| flatness(*a, *b, *c) < 1e-6);
    in_line.map_or(Ok(()), |(a, b, c)| Err(Degenerate::InLine(a, b, c)))
}

/// Height of the triangle of three places over its longest side, as a part of that side: 0 is a line.
pub(super) fn flatness(a: Point, b: Point, c: Point) -> f64 {
    let longest = distance(a, b).max(distance(b, c)).max(distance(c, a));
    if longest > 0.0 { cross(a, b, c).abs() / (longest * longest) } else { 0.0 }
}

/// The middle and the mean distance of places: coordinates in which they lie about 0 and √2 away.
struct Frame {
    middle: Point,
    scale: f64,
}

impl Frame {
    fn of(places: &[Point]) -> Self {
        let n = places.len() as f64;
        let middle = (places.iter().map(|p| p.0).sum::<f64>() / n, places.iter().map(|p| p.1).sum::<f64>() / n);
        let mean = places.iter().map(|p| distance(*p, middle)).sum::<f64>() / n;
        Self { middle, scale: 2f64.sqrt() / mean }
    }

    fn even(&self, p: Point) -> Point {
        ((p.0 - self.middle.0) * self.scale, (p.1 - self.middle.1) * self.scale)
    }

    fn there(&self) -> [[f64; 3]; 3] {
        let s = self.scale;
        [[s, 0.0, -s * self.middle.0], [0.0, s, -s * self.middle.1], [0.0, 0.0, 1.0]]
    }

    fn back(&self) -> [[f64; 3]; 3] {
        let s = 1.0 / self.scale;
        [[s, 0.0, self.middle.0], [0.0, s, self.middle.1], [0.0, 0.0, 1.0]]
    }
}

fn times(a: [[f64; 3]; 3], b: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    let cell = |row: &[f64; 3], column: usize| (0..3).map(|i| row[i] * b[i][column]).sum();
    a.map(|row| [cell(&row, 0), cell(&row, 1), cell(&row, 2)])
}

/// Adds one equation to the normal equations.
fn gather(a: &mut [[f64; 8]; 8], b: &mut [f64; 8], row: [f64; 8], right: f64) {
    for i in 0..8 {
        for j in 0..8 {
            a[i][j] += row[i] * row[j];
        }
        b[i] += row[i] * right;
    }
}

/// The beginning: the equations with the division multiplied out. The last figure can be 1, because the middle of
/// what a camera sees is never on the horizon.
fn linear(pairs: &[(Point, Point)]) -> Option<[f64; 8]> {
    let rows = pairs.iter().flat_map(|((u, v), (x, y))| {
        [([*u, *v, 1.0, 0.0, 0.0, 0.0, -u * x, -v * x], *x), ([0.0, 0.0, 0.0, *u, *v, 1.0, -u * y, -v * y], *y)]
    });
    if pairs.len() == 4 {
        let (mut a, mut b) = ([[0.0; 8]; 8], [0.0; 8]);
        for (i, (row, right)) in rows.enumerate() {
            (a[i], b[i]) = (row, right);
        }
        return solve(a, b);
    }
    let (mut a, mut b) = ([[0.0; 8]; 8], [0.0; 8]);
    rows.for_each(|(row, right)| gather(&mut a, &mut b, row, right));
    solve(a, b)
}

/// Steps of Gauss and Newton while the sum of squares falls.
fn refined(mut h: [f64; 8], pairs: &[(Point, Point)]) -> [f64; 8] {
    let at = |h: &[f64; 8], p: Point| {
        let w = h[6] * p.0 + h[7] * p.1 + 1.0;
        ((h[0] * p.0 + h[1] * p.1 + h[2]) / w, (h[3] * p.0 + h[4] * p.1 + h[5]) / w, w)
    };
    let missed = |h: &[f64; 8]| -> f64 {
        pairs
            .iter()
            .map(|(from, _)| at(h, *from))
            .zip(pairs.iter())
            .fold(0.0, |sum, ((x, y, _), (_, to))| sum + (x - to.0).powi(2) + (y - to.1).powi(2))
    };
    let mut sum = missed(&h);
    for _ in 0..20 {
        let (mut a, mut b) = ([[0.0; 8]; 8], [0.0; 8]);
        for (from, to) in pairs {
            let (x, y, w) = at(&h, *from);
            let (u, v) = (from.0 / w, from.1 / w);
            gather(&mut a, &mut b, [u, v, 1.0 / w, 0.0, 0.0, 0.0, -u * x, -v * x], to.0 - x);
            gather(&mut a, &mut b, [0.0, 0.0, 0.0, u, v, 1.0 / w, -u * y, -v * y], to.1 - y);
        }
        let Some(step) = solve(a, b) else { break };
        let mut next = h;
        next.iter_mut().zip(step).for_each(|(value, by)| *value += by);
        let better = missed(&next);
        if better.is_nan() || better >= sum {
            break;
        }
        (h, sum) = (next, better);
    }
    h
}
