//! Looks for a ruled bar in a picture: dark and light blocks of one length, taking turns, lying straight across or
//! straight up. What it finds is a proposal: check cloth and borders are ruled too.

use image::GrayImage;
use image::imageops::rotate90;

use crate::geometry::Point;

/// Below this a pixel is dark, above [`LIGHT`] light; what lies between changes nothing.
const DARK: u8 = 100;
const LIGHT: u8 = 150;
/// Fewest blocks, first and last dark, that make a bar.
const FEWEST: usize = 5;
/// Shortest block, pixels.
const SHORTEST: f64 = 6.0;
/// How far a block may differ from the mean of its bar.
const EVEN: f64 = 0.06;

/// A bar that may be one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundBar {
    /// Beginning of the first dark block and end of the last.
    pub ends: [Point; 2],
    /// Blocks between the ends, dark and light.
    pub blocks: usize,
    /// How many rows of pixels show it.
    pub rows: usize,
}

/// The bars that a picture may show, the plainest first; three at most.
pub fn bars(picture: &GrayImage) -> Vec<FoundBar> {
    let mut found = across(picture);
    let height = f64::from(picture.height());
    // Turned clockwise, what stood at (x, y) lies at (height − y, x).
    let up = across(&rotate90(picture)).into_iter();
    found.extend(up.map(|bar| FoundBar { ends: bar.ends.map(|(x, y)| (y, height - x)), ..bar }));
    found.sort_by_key(|bar| std::cmp::Reverse(bar.rows * bar.blocks));
    found.truncate(3);
    found
}

/// The bars that lie along the rows of a picture.
fn across(picture: &GrayImage) -> Vec<FoundBar> {
    let width = picture.width() as usize;
    let mut open: Vec<Growing> = Vec::new();
    let mut done = Vec::new();
    if width == 0 {
        return done;
    }
    for (y, row) in picture.as_raw().chunks_exact(width).enumerate() {
        for (from, to, blocks) in ruled(row) {
            match open.iter_mut().find(|bar| bar.goes_on(from, to, blocks, y)) {
                Some(bar) => bar.add(from, to, y),
                None => open.push(Growing { first: y, last: y, from, to, rows: 1, blocks }),
            }
        }
        done.extend(open.extract_if(.., |bar| bar.last + 2 < y).filter_map(|bar| bar.finished()));
    }
    done.extend(open.iter().filter_map(Growing::finished));
    done
}

/// A bar while its rows are gathered: sums of the ends.
struct Growing {
    first: usize,
    last: usize,
    from: f64,
    to: f64,
    rows: usize,
    blocks: usize,
}

impl Growing {
    fn goes_on(&self, from: f64, to: f64, blocks: usize, y: usize) -> bool {
        let rows = self.rows as f64;
        let near = |a: f64, b: f64| (a - b).abs() < 2.0;
        self.blocks == blocks && self.last + 2 >= y && near(self.from / rows, from) && near(self.to / rows, to)
    }

    fn add(&mut self, from: f64, to: f64, y: usize) {
        (self.last, self.from, self.to, self.rows) = (y, self.from + from, self.to + to, self.rows + 1);
    }

    /// The bar, if enough rows show it: five, and a twenty-fifth of the length of a block (a ruler's
    /// blocks have ticks in them, and only a strip beside these is plain).
    fn finished(&self) -> Option<FoundBar> {
        let rows = self.rows as f64;
        let (from, to) = (self.from / rows, self.to / rows);
        let block = (to - from) / self.blocks as f64;
        let y = f64::midpoint(self.first as f64, self.last as f64) + 0.5;
        let enough = rows >= 5.0 && rows >= block * 0.04;
        enough.then_some(FoundBar { ends: [(from, y), (to, y)], blocks: self.blocks, rows: self.rows })
    }
}

/// The runs of even blocks in one row: beginning, end, number of blocks.
fn ruled(row: &[u8]) -> Vec<(f64, f64, usize)> {
    let edges = edges(row);
    let mut found = Vec::new();
    let mut at = 0;
    while at + FEWEST < edges.len() + 1 {
        // A bar begins where light turns dark.
        if !edges[at].1 {
            at += 1;
            continue;
        }
        let mut last = at + 1;
        while last < edges.len() && even(&edges[at..=last]) {
            last += 1;
        }
        let mut blocks = last - 1 - at;
        blocks -= usize::from(blocks > 0 && blocks.is_multiple_of(2));
        if blocks >= FEWEST {
            found.push((edges[at].0, edges[at + blocks].0, blocks));
            at += blocks;
        } else {
            at += 1;
        }
    }
    found
}

/// Whether the blocks between these edges are of one length.
fn even(edges: &[(f64, bool)]) -> bool {
    let (Some(first), Some(last)) = (edges.first(), edges.last()) else { return false };
    let mean = (last.0 - first.0) / (edges.len() - 1) as f64;
    let out = (mean * EVEN).max(1.0);
    mean >= SHORTEST && edges.windows(2).all(|w| (w[1].0 - w[0].0 - mean).abs() <= out)
}

/// Where a row turns dark (true) or light (false).
fn edges(row: &[u8]) -> Vec<(f64, bool)> {
    let mut edges = Vec::new();
    let mut dark = row.first().is_some_and(|v| *v < DARK);
    for (x, pair) in row.windows(2).enumerate() {
        let turned = if dark { pair[1] > LIGHT } else { pair[1] < DARK };
        if !turned {
            continue;
        }
        dark = !dark;
        // The edge is half way between what lies on either side, in the pair of pixels between which that is.
        let around = &row[x.saturating_sub(3)..(x + 5).min(row.len())];
        let (low, high) = around.iter().fold((u8::MAX, 0), |(low, high), v| (low.min(*v), high.max(*v)));
        let level = f64::midpoint(low.into(), high.into());
        let beyond = |v: u8| (f64::from(v) < level) == dark;
        let mut i = x;
        while i > 0 && beyond(row[i]) {
            i -= 1;
        }
        let (a, b) = (f64::from(row[i]), f64::from(row[i + 1]));
        let part = if (b - a).abs() > 0.0 { ((level - a) / (b - a)).clamp(0.0, 1.0) } else { 0.5 };
        edges.push((i as f64 + 0.5 + part, dark));
    }
    edges
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Luma;

    /// A bar of `blocks` blocks of `block` pixels from (left, top), `tall` pixels high, on grey.
    fn picture(left: f64, top: u32, block: f64, blocks: u32, tall: u32) -> GrayImage {
        GrayImage::from_fn(600, 400, |x, y| {
            let along = (f64::from(x) + 0.5 - left) / block;
            let on = y >= top && y < top + tall && along >= 0.0 && along < f64::from(blocks);
            Luma([match (on, along as u32 % 2) {
                (false, _) => 170,
                (true, 0) => 20,
                (true, _) => 240,
            }])
        })
    }

    #[test]
    fn a_ruled_bar_is_found_where_it_lies() {
        let found = bars(&picture(50.0, 300, 24.0, 9, 12));
        assert_eq!(found.len(), 1, "{found:?}");
        let [(x, y), (to, _)] = found[0].ends;
        assert!((x - 50.0).abs() < 0.6 && (to - 266.0).abs() < 0.6 && (y - 306.0).abs() < 0.6, "{found:?}");
        assert_eq!((found[0].blocks, found[0].rows), (9, 12));
        // The last block is light: the ends are those of the dark ones.
        let found = bars(&picture(50.0, 300, 24.0, 10, 12));
        assert!(found[0].blocks == 9 && (found[0].ends[1].0 - 266.0).abs() < 0.6, "{found:?}");
        // Upright.
        let found = bars(&image::imageops::rotate270(&picture(50.0, 300, 24.0, 9, 12)));
        let (x, mut ys) = (found[0].ends[0].0, found[0].ends.map(|p| p.1));
        ys.sort_by(f64::total_cmp);
        assert!((x - 306.0).abs() < 0.6 && (ys[0] - 334.0).abs() < 0.6 && (ys[1] - 550.0).abs() < 0.6, "{found:?}");
    }

    #[test]
    fn what_is_no_bar_is_not_offered() {
        for (what, picture) in [
            ("too few blocks", picture(50.0, 300, 24.0, 4, 12)),
            ("too thin", picture(50.0, 300, 24.0, 9, 3)),
            ("too fine", picture(50.0, 300, 4.0, 40, 12)),
            ("plain", GrayImage::from_pixel(60, 40, Luma([120]))),
            ("nothing", GrayImage::new(0, 0)),
            ("one pixel", GrayImage::new(1, 1)),
        ] {
            assert_eq!(bars(&picture), [], "{what}");
        }
        // Blocks of growing length.
        let uneven = GrayImage::from_fn(600, 40, |x, _| {
            Luma([if (f64::from(x).sqrt() as u32).is_multiple_of(2) { 20 } else { 240 }])
        });
        assert_eq!(bars(&uneven), []);
    }
}
