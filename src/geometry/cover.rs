//! What several outlines cover: together, each place once; and how much of one lies within another.
//!
//! The plane is cut into upright strips at every corner and crossing. Inside a strip no edge crosses another, so each
//! outline covers trapezia, and a trapezium's area is its width times its height in the middle: exact, with no
//! outline of the union to build and no grid to round to.

use super::Point;
use super::outline::{Outline, edges, touch};

/// The sum of the areas, overlaps counted as often as they are drawn.
pub fn area_of_all(outlines: &[Outline]) -> f64 {
    outlines.iter().map(Outline::area).sum()
}

/// The area that the outlines cover together, overlaps counted once.
pub fn area_of_union(outlines: &[Outline]) -> f64 {
    covered(&[outlines])
}

/// The area that the outlines cover together within what the outlines of `whole` cover together.
pub fn area_within(outlines: &[Outline], whole: &[Outline]) -> f64 {
    covered(&[outlines, whole])
}

/// One edge, from left to right, and the outline to which it belongs.
struct Edge {
    left: Point,
    right: Point,
    group: usize,
    outline: usize,
}

impl Edge {
    fn down_at(&self, across: f64) -> f64 {
        self.left.1 + (across - self.left.0) / (self.right.0 - self.left.0) * (self.right.1 - self.left.1)
    }
}

/// The area of what every group covers, each group being the union of its outlines.
fn covered(groups: &[&[Outline]]) -> f64 {
    let mut list = Vec::new();
    let mut outline = 0;
    for (group, outlines) in groups.iter().enumerate() {
        for one in *outlines {
            for (a, b) in one.rings().flat_map(edges).filter(|(a, b)| a.0 != b.0 && finite(*a) && finite(*b)) {
                let (left, right) = if a.0 < b.0 { (a, b) } else { (b, a) };
                list.push(Edge { left, right, group, outline });
            }
            outline += 1;
        }
    }
    list.sort_by(|a, b| a.left.0.total_cmp(&b.left.0));
    let mut cuts: Vec<f64> = list.iter().flat_map(|e| [e.left.0, e.right.0]).collect();
    for (i, one) in list.iter().enumerate() {
        let beside = list[i + 1..].iter().take_while(|other| other.left.0 <= one.right.0);
        cuts.extend(beside.filter_map(|other| touch((one.left, one.right), (other.left, other.right))).map(|p| p.0));
    }
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let (mut area, mut next) = (0.0, 0);
    let mut here: Vec<usize> = Vec::new();
    for strip in cuts.windows(2) {
        here.retain(|i| list[*i].right.0 > strip[0]);
        while next < list.len() && list[next].left.0 <= strip[0] {
            here.push(next);
            next += 1;
        }
        let middle = f64::midpoint(strip[0], strip[1]);
        let mut met: Vec<(f64, usize, usize)> =
            here.iter().map(|i| &list[*i]).map(|e| (e.down_at(middle), e.group, e.outline)).collect();
        met.sort_by(|a, b| a.0.total_cmp(&b.0));
        area += (strip[1] - strip[0]) * height(&met, groups.len(), outline);
    }
    area
}

/// How much of an upright line is inside every group; each edge met goes into its outline or out of it.
fn height(met: &[(f64, usize, usize)], groups: usize, outlines: usize) -> f64 {
    let mut within = vec![false; outlines];
    let mut deep = vec![0usize; groups];
    let (mut height, mut from) = (0.0, None);
    for (down, group, outline) in met {
        within[*outline] = !within[*outline];
        if within[*outline] {
            deep[*group] += 1;
        } else {
            deep[*group] -= 1;
        }
        match (from, deep.iter().all(|d| *d > 0)) {
            (None, true) => from = Some(*down),
            (Some(top), false) => {
                height += down - top;
                from = None;
            }
            _ => {}
        }
    }
    height
}

fn finite(p: Point) -> bool {
    p.0.is_finite() && p.1.is_finite()
}
