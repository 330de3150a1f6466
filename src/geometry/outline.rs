//! Closed outlines, with holes: area, length, and whether they are outlines at all.

use super::{Point, cross, distance};

/// A closed outline and the holes in it. The last place joins the first.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outline {
    /// The places round it, in either direction.
    pub around: Vec<Point>,
    /// Holes: outlines inside that do not belong to it.
    pub holes: Vec<Vec<Point>>,
}

impl From<Vec<Point>> for Outline {
    fn from(around: Vec<Point>) -> Self {
        Self { around, holes: Vec::new() }
    }
}

impl Outline {
    /// The outer ring and the holes, in order.
    pub fn rings(&self) -> impl Iterator<Item = &[Point]> {
        std::iter::once(self.around.as_slice()).chain(self.holes.iter().map(Vec::as_slice))
    }

    /// Every place.
    pub fn points(&self) -> impl Iterator<Item = Point> {
        self.rings().flatten().copied()
    }

    /// The area inside, holes taken off, in the square of the unit of the places (Gauss's formula, from the first
    /// place so that a far-off origin costs no figures).
    pub fn area(&self) -> f64 {
        let mut rings = self.rings().map(|r| turning(r).abs());
        let outer = rings.next().unwrap_or(0.0);
        outer - rings.sum::<f64>()
    }

    /// The length round it, without the holes.
    pub fn outer_length(&self) -> f64 {
        closed_length(&self.around)
    }

    /// The length of every edge, holes included.
    pub fn edge_length(&self) -> f64 {
        self.rings().map(closed_length).sum()
    }

    /// The same outline with every place moved; none if one of them goes nowhere.
    pub fn moved(&self, by: impl Fn(Point) -> Option<Point>) -> Option<Self> {
        let ring = |ring: &Vec<Point>| ring.iter().map(|p| by(*p)).collect::<Option<Vec<_>>>();
        Some(Self { around: ring(&self.around)?, holes: self.holes.iter().map(ring).collect::<Option<_>>()? })
    }

    /// Whether a place lies inside (edges count as either side).
    pub fn holds(&self, p: Point) -> bool {
        self.rings().filter(|ring| inside(ring, p)).count() == 1
    }

    /// Why this is no outline that has an area: too few places, no area, an edge that crosses or touches another, a
    /// hole outside. Each is told with the place.
    ///
    /// # Errors
    /// A sentence.
    pub fn check(&self) -> Result<(), String> {
        let said = |p: Point| format!("{},{}", tidy(p.0), tidy(p.1));
        for (n, ring) in self.rings().enumerate() {
            let which = if n == 0 { "the outline".to_owned() } else { format!("hole {n}") };
            let ring = plain(ring);
            if ring.len() < 3 {
                return Err(format!("{which} needs at least three different places"));
            }
            if let Some(p) = meeting(&ring) {
                return Err(format!(
                    "{which} crosses or touches itself at {}; an outline that crosses itself has no area",
                    said(p)
                ));
            }
        }
        for (n, hole) in self.holes.iter().enumerate() {
            let number = n + 1;
            if let Some(p) = rings_meet(&self.around, hole) {
                return Err(format!("hole {number} crosses the outline at {}; draw it inside", said(p)));
            }
            if !hole.first().is_some_and(|p| inside(&self.around, *p)) {
                return Err(format!("hole {number} lies outside the outline; draw it inside"));
            }
            for (m, other) in self.holes[..n].iter().enumerate() {
                if let Some(p) = rings_meet(other, hole) {
                    return Err(format!("holes {} and {number} meet at {}; draw them as one", m + 1, said(p)));
                }
                let within = |a: &[Point], b: &[Point]| b.first().is_some_and(|p| inside(a, *p));
                if within(other, hole) || within(hole, other) {
                    return Err(format!("holes {} and {number} lie one in the other; draw the larger alone", m + 1));
                }
            }
        }
        Ok(())
    }
}

fn tidy(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// The length of an open line through places.
pub fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|w| distance(w[0], w[1])).sum()
}

fn closed_length(ring: &[Point]) -> f64 {
    match (ring.first(), ring.last()) {
        (Some(first), Some(last)) => length(ring) + distance(*last, *first),
        _ => 0.0,
    }
}

/// Half the sum of the cross products round a ring: its area, with a sign for the direction.
pub(super) fn turning(ring: &[Point]) -> f64 {
    let Some(origin) = ring.first() else { return 0.0 };
    ring.windows(2).map(|w| cross(*origin, w[0], w[1])).sum::<f64>() / 2.0
}

/// A ring without places that repeat the one before.
fn plain(ring: &[Point]) -> Vec<Point> {
    let mut plain = ring.to_vec();
    plain.dedup();
    while plain.len() > 1 && plain.first() == plain.last() {
        plain.pop();
    }
    plain
}

/// Whether a place lies inside a ring: how often a line to the left crosses it.
fn inside(ring: &[Point], p: Point) -> bool {
    edges(ring).filter(|(a, b)| (a.1 > p.1) != (b.1 > p.1) && across_at(*a, *b, p.1) < p.0).count() % 2 == 1
}

fn across_at(a: Point, b: Point, down: f64) -> f64 {
    a.0 + (down - a.1) / (b.1 - a.1) * (b.0 - a.0)
}

/// The edges of a ring, the closing one last.
pub(super) fn edges(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)).take(ring.len())
}

/// The first place at which a ring crosses or touches itself; none if it is simple. Places must not repeat the one
/// before.
pub fn meeting(ring: &[Point]) -> Option<Point> {
    let all: Vec<(Point, Point)> = edges(ring).collect();
    let n = all.len();
    for (i, one) in all.iter().enumerate() {
        for (j, other) in all.iter().enumerate().skip(i + 1) {
            let neighbours = j == i + 1 || (i == 0 && j + 1 == n);
            let found = if neighbours { doubled_back(*one, *other) } else { touch(*one, *other) };
            if found.is_some() {
                return found;
            }
        }
    }
    None
}

/// Neighbours share one place; they meet elsewhere only if one runs back over the other.
fn doubled_back(one: (Point, Point), other: (Point, Point)) -> Option<Point> {
    let (shared, a, b) = if one.1 == other.0 { (one.1, one.0, other.1) } else { (one.0, one.1, other.0) };
    let same_way = (a.0 - shared.0) * (b.0 - shared.0) + (a.1 - shared.1) * (b.1 - shared.1) > 0.0;
    (cross(shared, a, b) == 0.0 && same_way).then_some(shared)
}

fn rings_meet(one: &[Point], other: &[Point]) -> Option<Point> {
    edges(one).find_map(|a| edges(other).find_map(|b| touch(a, b)))
}

/// Where two edges cross or touch.
pub(super) fn touch((a, b): (Point, Point), (c, d): (Point, Point)) -> Option<Point> {
    let apart = |p: f64, q: f64, r: f64, s: f64| p.max(q) < r.min(s) || r.max(s) < p.min(q);
    if apart(a.0, b.0, c.0, d.0) || apart(a.1, b.1, c.1, d.1) {
        return None;
    }
    let (ca, cb) = (cross(c, d, a), cross(c, d, b));
    let (ac, ad) = (cross(a, b, c), cross(a, b, d));
    if (ca > 0.0 && cb > 0.0) || (ca < 0.0 && cb < 0.0) || (ac > 0.0 && ad > 0.0) || (ac < 0.0 && ad < 0.0) {
        return None;
    }
    if ca == cb {
        // In one line, and their boxes overlap.
        return [a, b]
            .into_iter()
            .find(|p| between(c, d, *p))
            .or_else(|| [c, d].into_iter().find(|p| between(a, b, *p)));
    }
    let t = ca / (ca - cb);
    Some((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)))
}

fn between(a: Point, b: Point, p: Point) -> bool {
    let within = |x: f64, one: f64, other: f64| x >= one.min(other) && x <= one.max(other);
    within(p.0, a.0, b.0) && within(p.1, a.1, b.1)
}
