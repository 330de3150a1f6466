//! Paths, filling and blending: the drawing board. Apart because it knows nothing of cloth; points are in
//! millimetres on the piece until a [`View`] turns them into pixels.

use super::noise::hash;
use image::RgbImage;
use std::ops::{Add, Mul, Sub};

/// A colour as sRGB shares of 0 to 1.
pub type Colour = [f32; 3];

/// A point or a direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct P {
    /// Rightwards.
    pub x: f32,
    /// Downwards.
    pub y: f32,
}

/// A point, short to write.
pub const fn p(x: f32, y: f32) -> P {
    P { x, y }
}

impl P {
    /// Distance from the origin.
    pub fn length(self) -> f32 {
        (self.x * self.x + self.y * self.y).sqrt()
    }
    /// Turned by an angle in radians, clockwise on the page.
    #[must_use]
    pub fn turned(self, angle: f32) -> P {
        let (sin, cos) = angle.sin_cos();
        p(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }
    /// The other side of the centre line.
    #[must_use]
    pub fn mirrored(self) -> P {
        p(-self.x, self.y)
    }
}
impl Add for P {
    type Output = P;
    fn add(self, other: P) -> P {
        p(self.x + other.x, self.y + other.y)
    }
}
impl Sub for P {
    type Output = P;
    fn sub(self, other: P) -> P {
        p(self.x - other.x, self.y - other.y)
    }
}
impl Mul<f32> for P {
    type Output = P;
    fn mul(self, by: f32) -> P {
        p(self.x * by, self.y * by)
    }
}

/// Reads `x,y x,y! …`: points a curve passes through; `!` marks a corner. A word that is no point is left out.
fn knots(text: &str) -> Vec<(P, bool)> {
    let knot = |word: &str| {
        let corner = word.ends_with('!');
        let (x, y) = word.trim_end_matches('!').split_once(',')?;
        Some((p(x.parse().ok()?, y.parse().ok()?), corner))
    };
    text.split_whitespace().filter_map(knot).collect()
}

fn bezier(curve: [P; 4], t: f32) -> P {
    let u = 1.0 - t;
    curve[0] * (u * u * u) + curve[1] * (3.0 * u * u * t) + curve[2] * (3.0 * u * t * t) + curve[3] * (t * t * t)
}

/// Each span between knots is a cubic Bézier curve whose handles lie along the chord of the neighbours.
fn flatten(knots: &[(P, bool)], closed: bool) -> Vec<P> {
    let n = knots.len();
    if n < 2 {
        return knots.iter().map(|k| k.0).collect();
    }
    let handle = |at: usize| -> P {
        let inner = closed || (at > 0 && at + 1 < n);
        if knots[at].1 || !inner { p(0.0, 0.0) } else { (knots[(at + 1) % n].0 - knots[(at + n - 1) % n].0) * 0.5 }
    };
    let spans = if closed { n } else { n - 1 };
    let mut line = Vec::new();
    for at in 0..spans {
        let (from, to) = (knots[at].0, knots[(at + 1) % n].0);
        let span = (to - from).length();
        let reach = |h: P| {
            let long = h.length().max(1e-3);
            h * (span.min(long * 1.4) / long / 3.0)
        };
        let curve = [from, from + reach(handle(at)), to - reach(handle((at + 1) % n)), to];
        let steps = (span / 2.0).clamp(1.0, 40.0).ceil();
        line.extend((0..steps as usize).map(|s| bezier(curve, s as f32 / steps)));
    }
    if !closed {
        line.push(knots[n - 1].0);
    }
    line
}

/// A closed outline through the points written as `x,y x,y! …` (`!` = corner).
pub fn shape(text: &str) -> Vec<P> {
    flatten(&knots(text), true)
}

/// A closed outline given by its right half, from the middle of the top to the middle of the foot.
pub fn symmetric(text: &str) -> Vec<P> {
    let right = knots(text);
    let left = right.iter().rev().filter(|k| k.0.x.abs() > 0.01).map(|k| (k.0.mirrored(), k.1));
    flatten(&right.iter().copied().chain(left).collect::<Vec<_>>(), true)
}

/// An open line through the points written as `x,y x,y! …`.
pub fn line(text: &str) -> Vec<P> {
    flatten(&knots(text), false)
}

/// The line on the other side of the centre.
pub fn mirror(points: &[P]) -> Vec<P> {
    points.iter().map(|q| q.mirrored()).collect()
}

/// Length of a line.
pub fn run(points: &[P]) -> f32 {
    points.windows(2).map(|w| (w[1] - w[0]).length()).sum()
}

/// Area inside an outline (the shoelace sum).
pub fn area(points: &[P]) -> f32 {
    let twice: f32 = (0..points.len())
        .map(|i| (points[i], points[(i + 1) % points.len()]))
        .map(|(a, b)| a.x * b.y - b.x * a.y)
        .sum();
    (twice * 0.5).abs()
}

/// Where the camera stands: pixels a millimetre, and the point of the piece at the middle of the picture.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// Pixels a millimetre.
    pub scale: f32,
    /// The piece's point in the middle of the picture, in millimetres.
    pub centre: P,
    /// Width and height of the upright picture in pixels.
    pub size: (u32, u32),
}

impl View {
    /// From millimetres on the piece to pixels.
    pub fn at(&self, q: P) -> P {
        (q - self.centre) * self.scale + p(self.size.0 as f32 / 2.0, self.size.1 as f32 / 2.0)
    }
    /// From pixels to millimetres on the piece.
    pub fn back(&self, x: f32, y: f32) -> P {
        (p(x, y) - p(self.size.0 as f32 / 2.0, self.size.1 as f32 / 2.0)) * (1.0 / self.scale) + self.centre
    }
    /// A whole line in pixels.
    pub fn line(&self, points: &[P]) -> Vec<P> {
        points.iter().map(|q| self.at(*q)).collect()
    }
}

/// How much of each pixel of a box an outline covers.
pub struct Mask {
    /// Left column; may lie outside the picture.
    pub x0: i32,
    /// Top row; may lie outside the picture.
    pub y0: i32,
    /// Columns.
    pub w: usize,
    /// Rows.
    pub h: usize,
    /// Shares from 0 to 1, row by row.
    pub share: Vec<f32>,
}

/// Sub-rows a pixel is cut into; along the row coverage is exact.
const CUTS: i32 = 4;

/// Fills an outline given in pixels (non-zero winding), keeping what lies within `margin` of the picture.
pub fn fill(outline: &[P], size: (u32, u32), margin: i32) -> Mask {
    let far = outline.iter().fold((f32::MAX, f32::MAX, f32::MIN, f32::MIN), |b, q| {
        (b.0.min(q.x), b.1.min(q.y), b.2.max(q.x), b.3.max(q.y))
    });
    let x0 = (far.0.floor() as i32).clamp(-margin, size.0 as i32 + margin);
    let y0 = (far.1.floor() as i32).clamp(-margin, size.1 as i32 + margin);
    let w = ((far.2.ceil() as i32).clamp(x0, size.0 as i32 + margin) - x0) as usize;
    let h = ((far.3.ceil() as i32).clamp(y0, size.1 as i32 + margin) - y0) as usize;
    let mut mask = Mask { x0, y0, w, h, share: vec![0.0; w * h] };
    let mut crossings: Vec<Vec<(f32, i8)>> = vec![Vec::new(); h * CUTS as usize];
    for (i, from) in outline.iter().enumerate() {
        let to = outline[(i + 1) % outline.len()];
        let (upper, lower, turn) = if from.y < to.y { (*from, to, 1) } else { (to, *from, -1) };
        let row = |y: f32| ((y - y0 as f32) * CUTS as f32 - 0.5).ceil() as i32;
        for cut in row(upper.y).max(0)..row(lower.y).min(h as i32 * CUTS) {
            let y = (cut as f32 + 0.5) / CUTS as f32 + y0 as f32;
            let x = upper.x + (lower.x - upper.x) * (y - upper.y) / (lower.y - upper.y);
            crossings[cut as usize].push((x - x0 as f32, turn));
        }
    }
    for (cut, row) in crossings.iter_mut().enumerate() {
        row.sort_by(|a, b| a.0.total_cmp(&b.0));
        let start = cut / CUTS as usize * w;
        let mut winding = 0;
        for pair in row.windows(2) {
            winding += i32::from(pair[0].1);
            if winding != 0 {
                span(&mut mask.share[start..start + w], pair[0].0, pair[1].0);
            }
        }
    }
    mask
}

fn span(row: &mut [f32], from: f32, to: f32) {
    let part = 1.0 / CUTS as f32;
    let (from, to) = (from.clamp(0.0, row.len() as f32), to.clamp(0.0, row.len() as f32));
    let (first, last) = (from as usize, to as usize);
    if first == last {
        if first < row.len() {
            row[first] += (to - from) * part;
        }
        return;
    }
    row[first] += (first as f32 + 1.0 - from) * part;
    for cell in &mut row[first + 1..last] {
        *cell += part;
    }
    if last < row.len() {
        row[last] += (to - last as f32) * part;
    }
}

/// The picture being drawn, and where cloth already lies.
pub struct Canvas {
    /// Width in pixels.
    pub w: usize,
    /// Height in pixels.
    pub h: usize,
    /// The pixels, row by row.
    pub px: Vec<Colour>,
    /// Share of each pixel that is garment and not background.
    pub cloth: Vec<f32>,
}

impl Canvas {
    /// An empty picture.
    pub fn new(size: (u32, u32), fill: Colour) -> Canvas {
        let (w, h) = (size.0 as usize, size.1 as usize);
        Canvas { w, h, px: vec![fill; w * h], cloth: vec![0.0; w * h] }
    }

    /// Lays `colour` over a pixel by `share`; outside the picture nothing happens.
    pub fn blend(&mut self, x: i32, y: i32, colour: Colour, share: f32) {
        if let Some(at) = self.index(x, y) {
            let px = &mut self.px[at];
            for (have, want) in px.iter_mut().zip(colour) {
                *have += (want - *have) * share;
            }
        }
    }

    /// Where a pixel stands in the rows, if it is in the picture.
    pub fn index(&self, x: i32, y: i32) -> Option<usize> {
        (x >= 0 && y >= 0 && (x as usize) < self.w && (y as usize) < self.h).then(|| y as usize * self.w + x as usize)
    }

    /// Fills an outline (pixels) with one colour.
    pub fn flat(&mut self, outline: &[P], colour: Colour, share: f32) {
        let mask = fill(outline, (self.w as u32, self.h as u32), 0);
        for (i, covered) in mask.share.iter().enumerate().filter(|c| *c.1 > 0.0) {
            self.blend(mask.x0 + (i % mask.w) as i32, mask.y0 + (i / mask.w) as i32, colour, covered.min(1.0) * share);
        }
    }

    /// Visits every pixel near an outline given in pixels (grown by `grow`), with its place.
    pub fn each_near(&mut self, outline: &[P], grow: f32, mut visit: impl FnMut(&mut Colour, f32, P)) {
        let far = outline.iter().fold((f32::MAX, f32::MAX, f32::MIN, f32::MIN), |b, q| {
            (b.0.min(q.x), b.1.min(q.y), b.2.max(q.x), b.3.max(q.y))
        });
        let (x0, x1) = ((far.0 - grow).max(0.0) as usize, ((far.2 + grow).max(0.0) as usize).min(self.w));
        let (y0, y1) = ((far.1 - grow).max(0.0) as usize, ((far.3 + grow).max(0.0) as usize).min(self.h));
        for y in y0..y1 {
            for x in x0..x1 {
                let at = y * self.w + x;
                visit(&mut self.px[at], self.cloth[at], p(x as f32 + 0.5, y as f32 + 0.5));
            }
        }
    }

    /// Draws along a line given in pixels. `paint` is told the way along, the signed distance across (left of the
    /// direction of travel is negative) and gives a colour and a share.
    pub fn stroke(&mut self, points: &[P], half: f32, mut paint: impl FnMut(f32, f32) -> (Colour, f32)) {
        let mut gone = 0.0;
        for pair in points.windows(2) {
            let (from, way) = (pair[0], pair[1] - pair[0]);
            let long = way.length();
            if long < 1e-4 {
                continue;
            }
            let unit = way * (1.0 / long);
            let reach = half + 1.0;
            let (x0, x1) = (from.x.min(pair[1].x) - reach, from.x.max(pair[1].x) + reach);
            let (y0, y1) = (from.y.min(pair[1].y) - reach, from.y.max(pair[1].y) + reach);
            for y in (y0.floor() as i32).max(0)..=(y1.ceil() as i32).min(self.h as i32 - 1) {
                for x in (x0.floor() as i32).max(0)..=(x1.ceil() as i32).min(self.w as i32 - 1) {
                    let to = p(x as f32 + 0.5, y as f32 + 0.5) - from;
                    let (along, across) = (to.x * unit.x + to.y * unit.y, to.y * unit.x - to.x * unit.y);
                    if along < 0.0 || along >= long || across.abs() > reach {
                        continue;
                    }
                    let (colour, share) = paint(gone + along, across);
                    let edge = (half + 0.5 - across.abs()).clamp(0.0, 1.0);
                    if share * edge > 0.0 {
                        self.blend(x, y, colour, share * edge);
                    }
                }
            }
            gone += long;
        }
    }

    /// A line of one colour and width (pixels).
    pub fn thin(&mut self, points: &[P], width: f32, colour: Colour, share: f32) {
        // Below a pixel the line keeps a pixel's width and gives up strength instead.
        let fade = (width / 1.0).min(1.0);
        self.stroke(points, (width * 0.5).max(0.5), |_, _| (colour, share * fade));
    }

    /// The finished upright picture, with the faintest grain so that gradients do not band.
    pub fn finish(&self) -> RgbImage {
        let mut bytes = Vec::with_capacity(self.w * self.h * 3);
        for (i, px) in self.px.iter().enumerate() {
            let grain = hash((i % self.w) as i32, (i / self.w) as i32, 11) - 0.5;
            bytes.extend(px.map(|c| (c * 255.0 + 0.5 + grain).clamp(0.0, 255.0) as u8));
        }
        RgbImage::from_raw(self.w as u32, self.h as u32, bytes).unwrap_or_default()
    }
}

/// A colour made lighter or darker.
pub fn dim(colour: Colour, by: f32) -> Colour {
    colour.map(|c| c * by)
}

/// A colour between two.
pub fn between(a: Colour, b: Colour, share: f32) -> Colour {
    [0, 1, 2].map(|i| a[i] + (b[i] - a[i]) * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_filled_square_covers_its_own_area_and_edges_are_shares() {
        let mask = fill(&[p(1.5, 1.25), p(4.0, 1.25), p(4.0, 3.0), p(1.5, 3.0)], (10, 10), 0);
        let sum: f32 = mask.share.iter().sum();
        assert!((sum - 2.5 * 1.75).abs() < 1e-4, "{sum}");
        assert!((mask.share[mask.w] - 0.5).abs() < 1e-4);
    }

    #[test]
    fn a_corner_stays_sharp_and_a_smooth_knot_bends() {
        let square = shape("0,0! 10,0! 10,10! 0,10!");
        assert!((area(&square) - 100.0).abs() < 1e-3);
        let round = shape("0,0 10,0 10,10 0,10");
        assert!(area(&round) > 110.0, "a closed smooth curve bulges past its knots");
        assert!((run(&line("0,0 3,4!")) - 5.0).abs() < 1e-4);
    }

    #[test]
    fn a_view_maps_there_and_back() {
        let view = View { scale: 3.0, centre: p(10.0, 200.0), size: (1500, 2000) };
        assert_eq!(view.at(p(10.0, 200.0)), p(750.0, 1000.0));
        let q = view.back(753.0, 1000.0);
        assert!((q.x - 11.0).abs() < 1e-3 && (q.y - 200.0).abs() < 1e-3);
    }
}
