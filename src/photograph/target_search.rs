//! Looks for a colour target in a picture: even patches of one size in the rows and columns of a grid, seen from any
//! side, and coloured as the reference says. What it finds is a proposal.

use image::RgbImage;
use image::imageops::{FilterType, resize};

use super::target::{NamedReference, Unread, read_target};
use crate::colour::target::Grid;
use crate::geometry::{Homography, Point, cross, distance};

/// Longest side of the picture in which patches are looked for.
const LONGEST: u32 = 1400;
/// How far the code values of a pixel and its neighbours may lie apart within a patch.
const EVEN: u8 = 14;
/// The same along the growth of a patch, between one pixel and the next.
const STEP: u8 = 5;
/// Smallest patch in that picture, pixels.
const SMALLEST: usize = 36;
/// How far a patch may be from a parallelogram: its spread beside that of one of the same area.
const SHAPE: f64 = 0.12;
/// The share of a target's patches that must be seen: dark ones may run into the frame, cyan into a bluish cloth.
const SEEN: f64 = 0.7;
/// How far a patch may lie from where its neighbours say, as a part of the pitch.
const ASTRAY: f64 = 0.25;

/// A target that may be one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundTarget {
    /// Outer corners of the four corner patches, in pixels of the upright picture: upper left, upper right, lower right,
    /// lower left of the target as it is read.
    pub corners: [Point; 4],
    /// Mean ΔE00 of its patches against the reference.
    pub mean: f64,
}

/// The target that a picture shows, if one can be found and its patches are those of the reference.
pub fn find_target(picture: &RgbImage, named: &NamedReference) -> Option<FoundTarget> {
    let side = picture.width().max(picture.height());
    let by = f64::from(LONGEST.min(side)) / f64::from(side.max(1));
    let small = |n: u32| ((f64::from(n) * by).round() as u32).max(1);
    let looked = if by < 1.0 {
        resize(picture, small(picture.width()), small(picture.height()), FilterType::Triangle)
    } else {
        picture.clone()
    };
    let patches = patches(&looked);
    let grid = named.reference.grid;
    let mut tried = vec![false; patches.len()];
    let lattice = (0..patches.len()).find_map(|i| lattice(&patches, i, grid, &mut tried))?;
    let corners = lattice.map(|(x, y)| {
        let held = |v: f64, most: u32| (v / by).clamp(0.0, f64::from(most));
        let hundredth = |v: f64| (v * 10.0).round() / 10.0;
        (hundredth(held(x, picture.width())), hundredth(held(y, picture.height())))
    });
    // It can lie any way round: the colours tell which corner is the first.
    let [a, b, c, d] = corners;
    let read = |corners| match read_target(picture, corners, named, false) {
        Ok((reading, _)) => Some(FoundTarget { corners, mean: reading.results.mean }),
        Err(Unread::Turned { .. } | Unread::Another | Unread::Misplaced(_) | Unread::Empty) => None,
    };
    let turns = [[a, b, c, d], [c, d, a, b], [b, c, d, a], [d, a, b, c]];
    turns.into_iter().filter_map(read).min_by(|x, y| x.mean.total_cmp(&y.mean))
}

/// An even patch: its middle and the root of its area.
#[derive(Debug, Clone, Copy)]
struct Patch {
    at: Point,
    side: f64,
}

/// Every even patch of the form of a parallelogram, from above downwards.
fn patches(picture: &RgbImage) -> Vec<Patch> {
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    if width < 3 || height < 3 {
        return Vec::new();
    }
    let at = |x: usize, y: usize| -> &[u8] { &picture.as_raw()[3 * (y * width + x)..][..3] };
    let near = |p: &[u8], q: &[u8], by: u8| p.iter().zip(q).all(|(a, b)| a.abs_diff(*b) <= by);
    let even = |x: usize, y: usize| {
        let around = (y - 1..=y + 1).flat_map(|v| (x - 1..=x + 1).map(move |u| (u, v)));
        around.fold(true, |all, (u, v)| all && near(at(x, y), at(u, v), EVEN))
    };
    // The rim counts as taken, so that no neighbour lies outside.
    let rim = |x: usize, y: usize| x == 0 || y == 0 || x == width - 1 || y == height - 1;
    let mut taken: Vec<bool> = (0..width * height).map(|i| rim(i % width, i / width)).collect();
    for (i, done) in taken.iter_mut().enumerate() {
        *done = *done || !even(i % width, i / width);
    }
    let most = width * height / (2 * 24);
    let mut found = Vec::new();
    let mut open = Vec::new();
    for start in 0..width * height {
        if taken[start] {
            continue;
        }
        taken[start] = true;
        open.push(start);
        let mut sum = Moments::default();
        while let Some(i) = open.pop() {
            let (x, y) = (i % width, i / width);
            sum.add(x as f64, y as f64);
            for next in [i - 1, i + 1, i - width, i + width] {
                if !taken[next] && near(at(x, y), at(next % width, next / width), STEP) {
                    taken[next] = true;
                    open.push(next);
                }
            }
        }
        if (SMALLEST..=most).contains(&(sum.n as usize)) {
            found.extend(sum.patch());
        }
    }
    found
}

/// Sums over the pixels of a patch.
#[derive(Default)]
struct Moments {
    n: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Moments {
    fn add(&mut self, x: f64, y: f64) {
        (self.n, self.x, self.y) = (self.n + 1.0, self.x + x, self.y + y);
        (self.xx, self.xy, self.yy) = (self.xx + x * x, self.xy + x * y, self.yy + y * y);
    }

    /// The patch, if it is one: of every parallelogram of area A the root of the determinant of its spread is A/12.
    fn patch(&self) -> Option<Patch> {
        let (x, y) = (self.x / self.n, self.y / self.n);
        // A pixel is a square of its own, which adds a twelfth.
        let spread = |sum: f64, square: f64| sum / self.n - square + 1.0 / 12.0;
        let (xx, yy, xy) = (spread(self.xx, x * x), spread(self.yy, y * y), self.xy / self.n - x * y);
        let form = (xx * yy - xy * xy).max(0.0).sqrt() * 12.0 / self.n;
        let long = (xx + yy + ((xx - yy).powi(2) + 4.0 * xy * xy).sqrt()) / 2.0;
        let narrow = xx + yy - long;
        let square = (form - 1.0).abs() <= SHAPE && narrow * 6.0 >= long;
        // The rim of a patch is not even, and was left out: a pixel all round.
        square.then(|| Patch { at: (x + 0.5, y + 0.5), side: self.n.sqrt() + 2.0 })
    }
}

/// The outer corners of a grid of patches of which one is this, clockwise on the picture from where its columns and
/// rows begin.
fn lattice(patches: &[Patch], first: usize, grid: Grid, tried: &mut [bool]) -> Option<[Point; 4]> {
    if tried[first] {
        return None;
    }
    let here = patches[first];
    let like = |p: &Patch| p.side < here.side * 1.6 && here.side < p.side * 1.6;
    let mut near: Vec<usize> = (0..patches.len())
        .filter(|i| *i != first && like(&patches[*i]) && distance(patches[*i].at, here.at) < here.side * 2.2)
        .collect();
    near.sort_by(|a, b| distance(patches[*a].at, here.at).total_cmp(&distance(patches[*b].at, here.at)));
    near.truncate(6);
    for &right in &near {
        for &below in &near {
            let (u, v) = (minus(patches[right].at, here.at), minus(patches[below].at, here.at));
            let (long, wide) = (u.0.hypot(u.1), v.0.hypot(v.1));
            let turn = cross((0.0, 0.0), u, v) / (long * wide);
            // Rows run clockwise from columns; a pitch is a little more than a patch.
            if turn < 0.6 || long > 2.0 * wide || wide > 2.0 * long {
                continue;
            }
            let widest = grid.columns.max(grid.rows) as i32;
            let cells = grown(patches, first, (u, v), widest);
            // A patch in the midst of a larger field, a check or a quilt, begins no target.
            if cells.len() > (grid.columns * grid.rows) as usize {
                cells.iter().for_each(|c| tried[c.patch] = true);
                return None;
            }
            for (columns, rows) in [(grid.columns, grid.rows), (grid.rows, grid.columns)] {
                if let Some(corners) = spanned(&cells, patches, columns, rows) {
                    return Some(corners);
                }
            }
        }
    }
    None
}

/// One patch in its cell, and the steps to the next column and row there.
struct Cell {
    column: i32,
    row: i32,
    patch: usize,
    steps: (Point, Point),
}

/// Takes in neighbour after neighbour: each says where the next ones should be. No further than `widest` columns or rows
/// from the first: a target reaches no further, and checked cloth would.
fn grown(patches: &[Patch], first: usize, steps: (Point, Point), widest: i32) -> Vec<Cell> {
    let mut cells = vec![Cell { column: 0, row: 0, patch: first, steps }];
    let mut at = 0;
    let mut taken = vec![false; patches.len()];
    taken[first] = true;
    while at < cells.len() {
        let (column, row, here, (u, v)) = {
            let c = &cells[at];
            (c.column, c.row, patches[c.patch], c.steps)
        };
        at += 1;
        for (dc, dr) in [(1, 0), (-1, 0), (0, 1), (0, -1)] {
            let there = (column + dc, row + dr);
            let outside = there.0.abs() > widest || there.1.abs() > widest;
            if outside || cells.iter().any(|c| (c.column, c.row) == there) {
                continue;
            }
            let (sign, step) = if dr == 0 { (f64::from(dc), u) } else { (f64::from(dr), v) };
            let wanted = (here.at.0 + sign * step.0, here.at.1 + sign * step.1);
            let pitch = step.0.hypot(step.1);
            let like = |p: &Patch| p.side < here.side * 1.5 && here.side < p.side * 1.5;
            let best = (0..patches.len())
                .filter(|i| like(&patches[*i]) && !taken[*i])
                .map(|i| (i, distance(patches[i].at, wanted)))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            let Some((next, _)) = best.filter(|(_, far)| *far < ASTRAY * pitch) else { continue };
            let step_to = minus(patches[next].at, here.at);
            let step_to = (step_to.0 * sign, step_to.1 * sign);
            let steps = if dr == 0 { (step_to, v) } else { (u, step_to) };
            taken[next] = true;
            cells.push(Cell { column: column + dc, row: row + dr, patch: next, steps });
        }
    }
    cells
}

/// The outer corners, if the cells span exactly so many columns and rows and enough of them are there.
fn spanned(cells: &[Cell], patches: &[Patch], columns: u32, rows: u32) -> Option<[Point; 4]> {
    let range = |of: fn(&Cell) -> i32| Some((cells.iter().map(of).min()?, cells.iter().map(of).max()?));
    let ((left, right), (top, bottom)) = (range(|c| c.column)?, range(|c| c.row)?);
    let wanted = (i64::from(columns) - 1, i64::from(rows) - 1);
    let enough = cells.len() as f64 >= SEEN * f64::from(columns * rows);
    if (i64::from(right - left), i64::from(bottom - top)) != wanted || !enough {
        return None;
    }
    let place = |c: &Cell| (f64::from(c.column - left) + 0.5, f64::from(c.row - top) + 0.5);
    let pairs: Vec<(Point, Point)> = cells.iter().map(|c| (place(c), patches[c.patch].at)).collect();
    // Many pairs of four to look through: the far ones settle the plane as well.
    let map = Homography::through(&pairs).ok()?;
    let pitch = |c: &Cell| {
        let near = map.near(place(c))?;
        Some((near[0][0] * near[1][1] - near[0][1] * near[1][0]).abs().sqrt())
    };
    let mut shares: Vec<f64> = cells.iter().filter_map(|c| Some(patches[c.patch].side / pitch(c)?)).collect();
    shares.sort_by(f64::total_cmp);
    let margin = (1.0 - shares.get(shares.len() / 2)?.min(1.0)) / 2.0;
    let (wide, high) = (f64::from(columns) - margin, f64::from(rows) - margin);
    let corners = [(margin, margin), (wide, margin), (wide, high), (margin, high)].map(|p| map.map(p));
    let [Some(a), Some(b), Some(c), Some(d)] = corners else { return None };
    Some([a, b, c, d])
}

fn minus(a: Point, b: Point) -> Point {
    (a.0 - b.0, a.1 - b.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::White;

    /// The usual target between these corners of its frame, on ruled cloth, with a camera's grain.
    fn drawn(corners: [Point; 4], grain: i32) -> RgbImage {
        let own = NamedReference::built_in();
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let pairs: Vec<(Point, Point)> = corners.into_iter().zip(square).collect();
        let into = Homography::through(&pairs).expect("a field");
        let mut seed = 7u32;
        let colour = |(u, v): Point| -> [u8; 3] {
            let cell = |t: f64, n: u32| ((t * f64::from(n)) as u32, (t * f64::from(n)).fract());
            let ((column, fx), (row, fy)) = (cell(u, 6), cell(v, 4));
            let patch = own.reference.patches.iter().find(|p| p.place == (column, row));
            match patch {
                Some(p) if (0.07..0.93).contains(&fx) && (0.07..0.93).contains(&fy) => {
                    let (s, _) = p.lab.adapted(White::D50, White::D65).to_srgb();
                    [s.r, s.g, s.b]
                }
                _ => [28, 28, 29],
            }
        };
        RgbImage::from_fn(900, 700, |x, y| {
            let at = (f64::from(x) + 0.5, f64::from(y) + 0.5);
            let on = into.map(at).filter(|(u, v)| (0.0..1.0).contains(u) && (0.0..1.0).contains(v));
            let cloth = || if (x / 3 + y / 5) % 2 == 0 { [150, 140, 120] } else { [170, 160, 150] };
            on.map_or_else(cloth, colour)
                .map(|c| {
                    seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    let noise = if grain > 0 { (seed >> 16) as i32 % (2 * grain + 1) - grain } else { 0 };
                    (i32::from(c) + noise).clamp(0, 255) as u8
                })
                .into()
        })
    }

    #[test]
    fn a_target_is_found_whichever_way_it_lies() {
        let named = NamedReference::built_in();
        let cases = [
            ("straight", [(300.0, 400.0), (600.0, 400.0), (600.0, 600.0), (300.0, 600.0)], 0),
            ("with grain", [(300.0, 400.0), (600.0, 400.0), (600.0, 600.0), (300.0, 600.0)], 4),
            ("upside down", [(600.0, 600.0), (300.0, 600.0), (300.0, 400.0), (600.0, 400.0)], 2),
            ("on its side", [(600.0, 200.0), (600.0, 500.0), (400.0, 500.0), (400.0, 200.0)], 2),
            ("turned", [(320.0, 180.0), (580.0, 270.0), (520.0, 445.0), (260.0, 355.0)], 2),
            ("oblique", [(200.0, 200.0), (620.0, 240.0), (600.0, 460.0), (240.0, 520.0)], 2),
            ("small", [(100.0, 100.0), (220.0, 100.0), (220.0, 180.0), (100.0, 180.0)], 2),
        ];
        for (what, frame, grain) in cases {
            let found = find_target(&drawn(frame, grain), &named).unwrap_or_else(|| panic!("{what}: not found"));
            assert!(found.mean < 3.0, "{what}: mean ΔE00 {}", found.mean);
            // The corners of the corner patches lie 7 % of a cell inside the frame.
            for (corner, outer) in found.corners.iter().zip(frame) {
                let cell = distance(frame[0], frame[1]) / 6.0;
                let far = distance(*corner, outer);
                assert!(far < 0.35 * cell, "{what}: {corner:?} is {far:.1} px from {outer:?}");
            }
        }
    }

    #[test]
    fn what_is_no_target_is_not_offered() {
        let named = NamedReference::built_in();
        let grey = RgbImage::from_fn(900, 700, |x, y| {
            // A quilt of grey squares in six columns and four rows: the form, not the colours.
            let (u, v) = (x.wrapping_sub(200), y.wrapping_sub(200));
            let on = u < 300 && v < 200 && (4..46).contains(&(u % 50)) && (4..46).contains(&(v % 50));
            [if on { 120 } else { 40 }; 3].into()
        });
        for (what, picture) in [
            ("a quilt", grey),
            (
                "checked cloth",
                RgbImage::from_fn(1400, 1000, |x, y| {
                    let dark = (x / 13 + y / 13) % 2 == 0;
                    [if dark { 60 } else { 200 }, 90, 120].into()
                }),
            ),
            ("plain", RgbImage::from_pixel(300, 200, [90; 3].into())),
            ("nothing", RgbImage::new(0, 0)),
            ("one pixel", RgbImage::new(1, 1)),
            ("cloth alone", drawn([(-90.0, -90.0), (-60.0, -90.0), (-60.0, -70.0), (-90.0, -70.0)], 4)),
        ] {
            assert_eq!(find_target(&picture, &named), None, "{what}");
        }
    }
}
