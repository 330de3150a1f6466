//! A picture cut into tiles, as the IIIF Image API 3.0 lets them lie on a plain web server (level 0): which pieces there are,
//! what each is called, and the cutting. The names are the API's canonical ones, so that a viewer asks for them as they lie.

use dimity_pixels::smaller::{Filter, smaller};
use image::{DynamicImage, RgbImage};
use rayon::prelude::*;

use super::jpeg;

/// Side of a tile, in pixels.
pub const SIDE: u32 = 512;
/// JPEG quality of tiles.
const QUALITY: u8 = 85;
/// Longest side of a whole picture that is offered beside the tiles.
const LONGEST_SIZE: u32 = 1600;

/// How a picture is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plan {
    /// Width of the picture, pixels.
    pub width: u32,
    /// Height of the picture, pixels.
    pub height: u32,
    /// Side of a tile, pixels.
    pub side: u32,
}

/// One tile: the part of the picture that it shows, and how large it shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tile {
    /// Left, top, width, height, in pixels of the picture.
    pub region: (u32, u32, u32, u32),
    /// Width and height of the tile, in pixels of its own.
    pub size: (u32, u32),
}

impl Plan {
    /// The plan for a picture that is published with its longest side at most `longest`.
    pub fn fitted(width: u32, height: u32, longest: u32) -> Self {
        let (width, height) = super::derived::fitted(width, height, longest.max(1)).unwrap_or((width, height));
        Self { width: width.max(1), height: height.max(1), side: SIDE }
    }

    /// Scale factors, 1 first: each half as large as the one before, until one tile holds the whole picture.
    pub fn factors(&self) -> Vec<u32> {
        let last = |factor: &u32| self.width.div_ceil(*factor).max(self.height.div_ceil(*factor)) <= self.side;
        let mut factors = vec![1];
        while factors.last().is_some_and(|factor| !last(factor)) {
            factors.push(factors[factors.len() - 1].saturating_mul(2));
        }
        factors
    }

    /// Width and height of the whole picture at a scale factor.
    pub fn level(&self, factor: u32) -> (u32, u32) {
        (self.width.div_ceil(factor), self.height.div_ceil(factor))
    }

    /// The sizes in which the whole picture is there, largest first; always at least one.
    pub fn sizes(&self) -> impl Iterator<Item = (u32, u32)> {
        let factors = self.factors();
        let last = factors.last().copied();
        let small = move |(factor, (w, h)): &(u32, (u32, u32))| *w.max(h) <= LONGEST_SIZE || Some(*factor) == last;
        let plan = *self;
        factors.into_iter().map(move |factor| (factor, plan.level(factor))).filter(small).map(|(_, size)| size)
    }

    /// The tiles of a scale factor, row by row.
    pub fn tiles(&self, factor: u32) -> impl Iterator<Item = Tile> {
        let plan = *self;
        let step = plan.side.saturating_mul(factor);
        let rows = plan.height.div_ceil(step);
        (0..rows).flat_map(move |row| plan.row(factor, row))
    }

    fn row(self, factor: u32, row: u32) -> impl Iterator<Item = Tile> {
        let step = self.side.saturating_mul(factor);
        let y = row * step;
        let height = step.min(self.height - y);
        (0..self.width.div_ceil(step)).map(move |column| {
            let x = column * step;
            let width = step.min(self.width - x);
            Tile { region: (x, y, width, height), size: (width.div_ceil(factor), height.div_ceil(factor)) }
        })
    }

    /// Where a tile lies below the picture's folder: `region/size/rotation/quality.format` (Image API 3.0, 4.7).
    pub fn path(&self, tile: &Tile) -> String {
        let (x, y, width, height) = tile.region;
        if (x, y, width, height) == (0, 0, self.width, self.height) {
            return self.path_of_whole(tile.size);
        }
        format!("{x},{y},{width},{height}/{},{}/0/default.jpg", tile.size.0, tile.size.1)
    }

    /// Where the whole picture of a size lies.
    pub fn path_of_whole(&self, (width, height): (u32, u32)) -> String {
        if (width, height) == (self.width, self.height) {
            return "full/max/0/default.jpg".into();
        }
        format!("full/{width},{height}/0/default.jpg")
    }
}

/// Cuts a picture: `put` is given the path and the JPEG of every tile and of every whole picture, in an order that is always
/// the same. A picture of another size than planned is brought to it first. Beside the picture itself and one of half its
/// size only a row of tiles is in memory.
///
/// # Errors
/// What `put` says, or that a tile cannot be written as JPEG, which no tile of this size meets.
pub fn cut(
    picture: RgbImage,
    plan: &Plan,
    put: &mut dyn FnMut(&str, &[u8]) -> Result<(), String>,
) -> Result<(), String> {
    let mut at = resized(picture.into(), (plan.width, plan.height));
    let sizes: Vec<(u32, u32)> = plan.sizes().collect();
    for factor in plan.factors() {
        let level = plan.level(factor);
        at = resized(at, level);
        if factor == 1 || sizes.contains(&level) {
            let path = plan.path_of_whole(level);
            put(&path, &written(&at, &path)?)?;
        }
        for row in 0..plan.height.div_ceil(plan.side.saturating_mul(factor)) {
            // A picture that one tile holds was written as a whole.
            let tiles: Vec<Tile> = plan.row(factor, row).filter(|tile| tile.size != level).collect();
            let one = |tile: &Tile| -> Result<(String, Vec<u8>), String> {
                let path = plan.path(tile);
                let (x, y) = (tile.region.0 / factor, tile.region.1 / factor);
                let part = at.crop_imm(x, y, tile.size.0, tile.size.1);
                Ok((path.clone(), written(&part, &path)?))
            };
            let made: Vec<_> = tiles.par_iter().map(one).collect::<Result<_, _>>()?;
            for (path, bytes) in made {
                put(&path, &bytes)?;
            }
        }
    }
    Ok(())
}

fn written(picture: &DynamicImage, path: &str) -> Result<Vec<u8>, String> {
    jpeg::encoded(picture, QUALITY, None).ok_or_else(|| format!("`{path}` cannot be written as JPEG"))
}

fn resized(picture: DynamicImage, (width, height): (u32, u32)) -> DynamicImage {
    if (picture.width(), picture.height()) == (width, height) {
        return picture;
    }
    smaller(&picture, (width, height), Filter::Box)
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use super::*;

    fn plan(width: u32, height: u32) -> Plan {
        Plan { width, height, side: SIDE }
    }

    #[test]
    fn the_tiles_of_every_factor_cover_the_picture_once() {
        for (width, height) in [(1, 1), (512, 512), (513, 512), (1025, 700), (4000, 3000), (37, 5000)] {
            let plan = plan(width, height);
            for factor in plan.factors() {
                let area: u64 = plan.tiles(factor).map(|t| u64::from(t.region.2) * u64::from(t.region.3)).sum();
                assert_eq!(area, u64::from(width) * u64::from(height), "{width}x{height} at {factor}");
                for tile in plan.tiles(factor) {
                    let (x, y, w, h) = tile.region;
                    assert!(x + w <= width && y + h <= height && x % (SIDE * factor) == 0 && y % (SIDE * factor) == 0);
                    assert!(tile.size.0.max(tile.size.1) <= SIDE && tile.size.0 > 0 && tile.size.1 > 0);
                }
            }
            let last = plan.factors().pop().expect("a factor");
            assert_eq!(plan.tiles(last).count(), 1, "the last factor shows the whole in one tile");
        }
    }

    /// Worked out by hand for a picture of 1100 × 600: regions, sizes and names as 4.1 to 4.7 of the Image API 3.0 have them.
    #[test]
    fn tiles_have_their_canonical_names() {
        let plan = plan(1100, 600);
        assert_eq!(plan.factors(), [1, 2, 4]);
        let names = |factor| plan.tiles(factor).map(|t| plan.path(&t)).collect::<Vec<_>>();
        assert_eq!(
            names(1),
            [
                "0,0,512,512/512,512/0/default.jpg",
                "512,0,512,512/512,512/0/default.jpg",
                "1024,0,76,512/76,512/0/default.jpg",
                "0,512,512,88/512,88/0/default.jpg",
                "512,512,512,88/512,88/0/default.jpg",
                "1024,512,76,88/76,88/0/default.jpg",
            ]
        );
        assert_eq!(names(2), ["0,0,1024,600/512,300/0/default.jpg", "1024,0,76,600/38,300/0/default.jpg"]);
        assert_eq!(names(4), ["full/275,150/0/default.jpg"]);
        assert_eq!(plan.sizes().collect::<Vec<_>>(), [(1100, 600), (550, 300), (275, 150)]);
        assert_eq!(super::Plan::fitted(200, 100, 6000), Plan { width: 200, height: 100, side: SIDE });
        assert_eq!(super::Plan::fitted(8000, 4000, 2000), Plan { width: 2000, height: 1000, side: SIDE });
    }

    /// A picture whose colour says where each pixel stands: every tile must show the part that its name says.
    #[test]
    fn a_tile_shows_the_part_that_its_name_says() {
        let (width, height) = (1300, 900);
        let at = |x: f64, y: f64| [x / 1300.0 * 250.0, y / 900.0 * 250.0];
        let picture = RgbImage::from_fn(width, height, |x, y| {
            let [r, g] = at(f64::from(x), f64::from(y));
            [r as u8, g as u8, 60].into()
        });
        let plan = plan(width, height);
        let mut files = BTreeMap::new();
        cut(picture, &plan, &mut |path, bytes| {
            assert!(files.insert(path.to_owned(), bytes.to_vec()).is_none(), "`{path}` is written twice");
            Ok(())
        })
        .expect("cut");
        let mut wanted: BTreeSet<String> = plan.sizes().map(|size| plan.path_of_whole(size)).collect();
        wanted.insert("full/max/0/default.jpg".into());
        for factor in plan.factors() {
            for tile in plan.tiles(factor) {
                let path = plan.path(&tile);
                let shown = image::load_from_memory(&files[&path]).expect("a JPEG").into_rgb8();
                assert_eq!(shown.dimensions(), tile.size, "{path}");
                let (x, y, w, h) = tile.region;
                for (u, v) in [(0.1, 0.1), (0.9, 0.2), (0.5, 0.5), (0.2, 0.9)] {
                    let pixel =
                        shown.get_pixel((f64::from(tile.size.0) * u) as u32, (f64::from(tile.size.1) * v) as u32);
                    let there = at(f64::from(x) + f64::from(w) * u, f64::from(y) + f64::from(h) * v);
                    // Four levels: JPEG at quality 85, and up to a tile pixel of rounding.
                    for (found, wanted) in pixel.0.iter().zip(there) {
                        assert!((f64::from(*found) - wanted).abs() <= 4.0, "{path} at {u},{v}: {found}, not {wanted}");
                    }
                }
                wanted.insert(path);
            }
        }
        assert_eq!(files.keys().cloned().collect::<BTreeSet<_>>(), wanted);
        assert!(files.values().all(|bytes| super::super::is_bare(bytes)));
    }

    #[test]
    fn what_stops_the_writing_stops_the_cutting() {
        let mut n = 0;
        let stopped = cut(RgbImage::new(1200, 800), &plan(1200, 800), &mut |_, _| {
            n += 1;
            if n == 3 { Err("the disk is full".into()) } else { Ok(()) }
        });
        assert_eq!((stopped, n), (Err("the disk is full".into()), 3));
    }
}
