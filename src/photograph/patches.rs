//! Colours read from the pixels of a photograph: the patches of a target between its four corners, and areas of cloth.

use image::RgbImage;

use crate::colour::target::{Correction, Grid};
use crate::colour::{Swatch, Tally};
use crate::geometry::{Homography, Point, cross};

/// The share of a patch, in each direction, that is read: its inner part, clear of borders and of small errors of the
/// corners.
const INNER: f64 = 0.5;
/// The fewest pixels that a patch is read from.
const FEWEST: u64 = 16;

/// Why nothing could be read there.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Misplaced {
    /// A position lies outside the picture.
    #[error("{x},{y} lies outside the picture, which is {width} by {height} pixels")]
    Outside {
        /// Position.
        x: f64,
        /// Position.
        y: f64,
        /// Width of the picture.
        width: u32,
        /// Height of the picture.
        height: u32,
    },
    /// The corners do not go round a field.
    #[error(
        "the four corners do not go round a field; give them in turn, as a clock goes: upper left, upper right, lower \
         right, lower left of the target as it is read"
    )]
    Crossed,
    /// The patches are too small.
    #[error(
        "a patch of the target is only {0} pixels there, and {FEWEST} are needed; check the corners, or photograph it larger"
    )]
    TooSmall(u64),
    /// The area has no pixel.
    #[error("the area holds no pixel; draw it larger")]
    Empty,
}

/// The patches of a target, row by row: the inner part of each cell of the grid that the four corners span. Corners are
/// the outer corners of the four patches in the corners: upper left, upper right, lower right, lower left of the target
/// as it is read, wherever these lie in the picture.
///
/// # Errors
/// [`Misplaced`] names the place and the mend.
pub fn sample(picture: &RgbImage, corners: [(f64, f64); 4], grid: Grid) -> Result<Vec<Swatch>, Misplaced> {
    inside(picture, &corners)?;
    let map = field(corners).ok_or(Misplaced::Crossed)?;
    let (columns, rows) = (f64::from(grid.columns), f64::from(grid.rows));
    let margin = (1.0 - INNER) / 2.0;
    let mut found = Vec::with_capacity(grid.count());
    for row in 0..grid.rows {
        for column in 0..grid.columns {
            let at = |(dx, dy)| map.map(((f64::from(column) + dx) / columns, (f64::from(row) + dy) / rows));
            let (near, far) = (margin, 1.0 - margin);
            let inner = [(near, near), (far, near), (far, far), (near, far)].map(at);
            let inner: Vec<Point> = inner.into_iter().collect::<Option<_>>().ok_or(Misplaced::Crossed)?;
            let swatch = within(picture, &inner, None);
            match swatch {
                Some(swatch) if swatch.pixels >= FEWEST => found.push(swatch),
                few => return Err(Misplaced::TooSmall(few.map_or(0, |s| s.pixels))),
            }
        }
    }
    Ok(found)
}

/// The colour of an area given by its outline (a pixel counts if its middle lies inside), with or without a correction.
///
/// # Errors
/// [`Misplaced`] names the place and the mend.
pub fn area(picture: &RgbImage, outline: &[(f64, f64)], correction: Option<&Correction>) -> Result<Swatch, Misplaced> {
    inside(picture, outline)?;
    within(picture, outline, correction).ok_or(Misplaced::Empty)
}

fn inside(picture: &RgbImage, points: &[(f64, f64)]) -> Result<(), Misplaced> {
    let (width, height) = picture.dimensions();
    let within = |(x, y): &(f64, f64)| (0.0..=f64::from(width)).contains(x) && (0.0..=f64::from(height)).contains(y);
    match points.iter().find(|p| !within(p)) {
        Some((x, y)) => Err(Misplaced::Outside { x: *x, y: *y, width, height }),
        None => Ok(()),
    }
}

/// Gathers the pixels whose middles lie inside the outline (even and odd).
fn within(picture: &RgbImage, outline: &[(f64, f64)], correction: Option<&Correction>) -> Option<Swatch> {
    let (width, height) = picture.dimensions();
    let low = outline.iter().fold(f64::MAX, |y, p| y.min(p.1)).max(0.0) as u32;
    let high = (outline.iter().fold(0.0, |y: f64, p| y.max(p.1)).ceil() as u32).min(height);
    let mut tally = Tally::new(correction);
    let mut crossings = Vec::new();
    for y in low..high {
        let middle = f64::from(y) + 0.5;
        crossings.clear();
        for (from, to) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            if (from.1 <= middle) != (to.1 <= middle) {
                crossings.push(from.0 + (to.0 - from.0) * (middle - from.1) / (to.1 - from.1));
            }
        }
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            // The first pixel whose middle is not left of the crossing, and the first beyond the other.
            let (first, end) = ((pair[0] - 0.5).ceil().max(0.0) as u32, (pair[1] - 0.5).ceil().max(0.0) as u32);
            for x in first..end.min(width) {
                tally.add(picture.get_pixel(x, y).0);
            }
        }
    }
    tally.swatch()
}

/// The map from the unit square to a field; none unless the corners go round it without crossing or bending inwards.
fn field(corners: [Point; 4]) -> Option<Homography> {
    let turns: Vec<f64> = (0..4).map(|i| cross(corners[i], corners[(i + 1) % 4], corners[(i + 2) % 4])).collect();
    let round = turns.iter().all(|t| *t > 1.0) || turns.iter().all(|t| *t < -1.0);
    let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    let pairs: Vec<(Point, Point)> = square.into_iter().zip(corners).collect();
    Homography::through(&pairs).ok().filter(|_| round)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of a grid of even cells between four corners, each cell with its own grey-blue.
    fn drawn(corners: [(f64, f64); 4], grid: Grid) -> RgbImage {
        let map = field(corners).expect("a field");
        let mut picture = RgbImage::from_pixel(400, 300, [9, 9, 9].into());
        // Drawn forwards in steps finer than a pixel, so that it does not rest on the sampling.
        for i in 0..1200 {
            for j in 0..1200 {
                let (u, v) = (f64::from(i) / 1200.0, f64::from(j) / 1200.0);
                let (x, y) = map.map((u, v)).expect("a place");
                let (column, row) = ((u * f64::from(grid.columns)) as u8, (v * f64::from(grid.rows)) as u8);
                picture.put_pixel(x as u32, y as u32, [40 + 20 * column, 40 + 20 * row, 200].into());
            }
        }
        picture
    }

    #[test]
    fn every_patch_is_found_whichever_way_the_target_lies() {
        let grid = Grid { columns: 6, rows: 4 };
        let quads = [
            [(20.0, 20.0), (380.0, 20.0), (380.0, 260.0), (20.0, 260.0)],
            [(60.0, 40.0), (350.0, 20.0), (380.0, 280.0), (20.0, 230.0)],
            // Upside down, and seen in a mirror.
            [(380.0, 280.0), (20.0, 250.0), (50.0, 20.0), (350.0, 40.0)],
            [(380.0, 20.0), (20.0, 20.0), (20.0, 260.0), (380.0, 260.0)],
        ];
        for corners in quads {
            let found = sample(&drawn(corners, grid), corners, grid).expect("sampled");
            assert_eq!(found.len(), 24);
            for (i, swatch) in found.iter().enumerate() {
                let mut wanted = Tally::new(None);
                wanted.add([40 + 20 * (i % 6) as u8, 40 + 20 * (i / 6) as u8, 200]);
                let wanted = wanted.swatch().expect("a pixel");
                assert!(crate::colour::cie76(swatch.lab, wanted.lab) < 1e-6, "{corners:?}, patch {i}: {swatch:?}");
                assert!(swatch.scatter() < 1e-6 && swatch.pixels > 300);
            }
        }
    }

    #[test]
    fn the_map_goes_through_its_corners_and_keeps_the_crossing_of_the_diagonals() {
        let corners = [(60.0, 40.0), (350.0, 20.0), (380.0, 280.0), (20.0, 230.0)];
        let map = field(corners).expect("a field");
        for ((u, v), wanted) in [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].into_iter().zip(corners) {
            let (x, y) = map.map((u, v)).expect("a place");
            assert!((x - wanted.0).hypot(y - wanted.1) < 1e-9, "{u},{v}");
        }
        // The middle of a square lies on both diagonals, however it is seen.
        let (x, y) = map.map((0.5, 0.5)).expect("a place");
        for (from, to) in [(corners[0], corners[2]), (corners[1], corners[3])] {
            let cross = (to.0 - from.0) * (y - from.1) - (to.1 - from.1) * (x - from.0);
            assert!(cross.abs() < 1e-6, "{x},{y}");
        }
    }

    #[test]
    fn corners_that_make_no_field_are_refused() {
        let picture = RgbImage::new(400, 300);
        let grid = Grid { columns: 6, rows: 4 };
        let crossed = [(20.0, 20.0), (380.0, 260.0), (380.0, 20.0), (20.0, 260.0)];
        let bent = [(20.0, 20.0), (380.0, 20.0), (60.0, 60.0), (20.0, 260.0)];
        let line = [(20.0, 20.0), (100.0, 100.0), (200.0, 200.0), (20.0, 260.0)];
        for corners in [crossed, bent, line, [(5.0, 5.0); 4]] {
            assert_eq!(sample(&picture, corners, grid), Err(Misplaced::Crossed), "{corners:?}");
        }
        let small = [(20.0, 20.0), (38.0, 20.0), (38.0, 32.0), (20.0, 32.0)];
        assert!(matches!(sample(&picture, small, grid), Err(Misplaced::TooSmall(_))));
        let outside = [(20.0, 20.0), (401.0, 20.0), (380.0, 260.0), (20.0, 260.0)];
        assert!(matches!(sample(&picture, outside, grid), Err(Misplaced::Outside { width: 400, .. })));
        let nothing = [(f64::NAN, 20.0), (380.0, 20.0), (380.0, 260.0), (20.0, 260.0)];
        assert!(matches!(sample(&picture, nothing, grid), Err(Misplaced::Outside { .. })));
    }

    #[test]
    fn an_area_counts_the_pixels_whose_middles_it_holds() {
        let picture = RgbImage::from_fn(10, 10, |x, _| if x < 5 { [100; 3] } else { [200; 3] }.into());
        let square = |a: f64, b: f64| [(a, a), (b, a), (b, b), (a, b)];
        let pixels = |outline: &[(f64, f64)]| area(&picture, outline, None).map(|s| s.pixels);
        assert_eq!(pixels(&square(0.0, 10.0)), Ok(100));
        assert_eq!(pixels(&square(0.0, 4.4)), Ok(16));
        assert_eq!(pixels(&square(0.6, 4.6)), Ok(16));
        assert_eq!(
            pixels(&[(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)]),
            Ok(45),
            "half of the square, the diagonal left out"
        );
        assert_eq!(pixels(&square(3.1, 3.4)), Err(Misplaced::Empty));
        let left = area(&picture, &square(0.0, 4.0), None).expect("an area");
        let halved = Correction { matrix: [[0.5, 0.0, 0.0], [0.0, 0.5, 0.0], [0.0, 0.0, 0.5]], ..Correction::NONE };
        let darker = area(&picture, &square(0.0, 4.0), Some(&halved)).expect("an area");
        assert!((darker.light[1] * 2.0 - left.light[1]).abs() < 1e-12 && darker.lab.l < left.lab.l - 10.0);
    }
}
