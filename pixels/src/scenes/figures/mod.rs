//! The invented garments, drawn in millimetres about their own centre line: one file a kind. In front views the
//! wearer's left lies to the right of the picture; in back views to the left.

mod bodices;
mod gowns;
mod hat;
mod jacket;
mod sheet;
mod shirt;
mod spencer;
mod stays;

use super::canvas::{Canvas, Colour, P, View, line, p, run, shape};
use super::cloth::{Cloth, Tile};
use super::garment::{Fold, Lamp, Panel, Trim};
use super::noise::{dice, mix};

/// The cloths a figure is cut from.
#[derive(Clone, Copy, Debug)]
pub struct Wardrobe {
    /// Outer cloth.
    pub shell: Cloth,
    /// Lining, or whatever shows inside.
    pub lining: Cloth,
    /// Binding, ribbon, lace.
    pub trim: Cloth,
}

/// One step of the drawing.
#[derive(Clone, Debug)]
pub enum Part {
    /// A piece of cloth.
    Panel(Box<Panel>),
    /// A seam, stitch or fastening.
    Trim(Trim),
}

/// A garment as laid out for the camera: its parts from the lowest up.
#[derive(Clone, Debug, Default)]
pub struct Figure {
    /// The parts, lowest first.
    pub parts: Vec<Part>,
}

/// Lays a figure out from its cloths.
pub type Cut = fn(&Wardrobe) -> Figure;

/// Every figure by the name the recipes use.
pub const FIGURES: [(&str, Cut); 28] = [
    ("spencer front", spencer::front),
    ("spencer back", spencer::back),
    ("spencer interior", spencer::interior),
    ("mock-up front", spencer::mockup_front),
    ("mock-up back", spencer::mockup_back),
    ("shirt front", shirt::front),
    ("shirt back", shirt::back),
    ("jacket front", jacket::front),
    ("jacket back", jacket::back),
    ("jacket interior", jacket::interior),
    ("stays front", stays::front),
    ("stays back", stays::back),
    ("stays and busk front", stays::with_busk),
    ("stays interior", stays::interior),
    ("gown front", gowns::gown_front),
    ("gown back", gowns::gown_back),
    ("day dress front", gowns::dress_front),
    ("day dress back", gowns::dress_back),
    ("check bodice front", bodices::check_front),
    ("check bodice back", bodices::check_back),
    ("satin bodice front", bodices::satin_front),
    ("satin bodice back", bodices::satin_back),
    ("satin bodice interior", bodices::satin_interior),
    ("blouse front", bodices::blouse_front),
    ("blouse back", bodices::blouse_back),
    ("hat", hat::side),
    ("pattern sheet", sheet::pattern),
    ("pattern details", sheet::detail),
];

/// Draws the named figure's parts.
pub fn named(name: &str, wardrobe: &Wardrobe) -> Option<Figure> {
    if let Some(side) = name.strip_prefix("hat ") {
        return hat::turned(side, wardrobe);
    }
    FIGURES.iter().find(|f| f.0 == name).map(|f| f.1(wardrobe))
}

impl Figure {
    /// Adds a panel and hands it back to be shaped.
    pub fn panel(&mut self, outline: Vec<P>, cloth: Cloth) -> &mut Panel {
        self.parts.push(Part::Panel(Box::new(Panel::new(outline, cloth))));
        match self.parts.last_mut() {
            Some(Part::Panel(panel)) => panel,
            // The line above pushed a panel.
            _ => unreachable!("the last part is the panel just added"),
        }
    }

    /// Adds a seam, stitch line or fastening.
    pub fn trim(&mut self, trim: Trim) {
        self.parts.push(Part::Trim(trim));
    }

    /// Adds a seam through the points as written.
    pub fn seam(&mut self, text: &str, side: f32) {
        self.trim(Trim::Seam(flip(line(text), side)));
    }

    /// Draws the whole figure.
    pub fn draw(&self, canvas: &mut Canvas, view: &View, lamp: &Lamp) {
        let mut tiles: Vec<(Cloth, Tile)> = Vec::new();
        for part in &self.parts {
            match part {
                Part::Trim(trim) => trim.draw(canvas, view),
                Part::Panel(panel) => {
                    let known = tiles.iter().position(|t| t.0 == panel.cloth).unwrap_or_else(|| {
                        tiles.push((panel.cloth, Tile::new(&panel.cloth, view.scale)));
                        tiles.len() - 1
                    });
                    panel.draw(canvas, view, lamp, &tiles[known].1);
                }
            }
        }
    }
}

/// The points on one side of the centre: -1 mirrors, 1 leaves.
pub fn flip(points: Vec<P>, side: f32) -> Vec<P> {
    points.into_iter().map(|q| p(q.x * side, q.y)).collect()
}

/// An outline on one side of the centre.
pub fn half(text: &str, side: f32) -> Vec<P> {
    flip(shape(text), side)
}

/// A fold through the points as written.
pub fn fold(text: &str, side: f32, width: (f32, f32), height: f32, sharp: f32) -> Fold {
    Fold { line: flip(line(text), side), width, height, sharp }
}

/// A point at a share of a line's length.
pub fn point_at(points: &[P], share: f32) -> P {
    let mut left = run(points) * share.clamp(0.0, 1.0);
    for pair in points.windows(2) {
        let long = (pair[1] - pair[0]).length();
        if left <= long {
            return pair[0] + (pair[1] - pair[0]) * (left / long.max(1e-6));
        }
        left -= long;
    }
    points.last().copied().unwrap_or(p(0.0, 0.0))
}

/// Gathers: `count` uneven folds from one line towards another, each with its own length.
pub fn gathers(from: &[P], to: &[P], count: usize, width: (f32, f32), height: f32, seed: u32) -> Vec<Fold> {
    (0..count)
        .map(|i| {
            let share = (i as f32 + 0.5 + 0.32 * dice(i, seed)) / count as f32;
            let end = mix(0.72, 1.05, dice(i, seed + 1) * 0.5 + 0.5);
            let (a, b) = (point_at(from, share), point_at(to, share + 0.02 * dice(i, seed + 2)));
            let side = p(-(b - a).y, (b - a).x) * (0.03 * dice(i, seed + 3));
            let tall = height * mix(0.55, 1.2, dice(i, seed + 4) * 0.5 + 0.5);
            let line = (0..=8)
                .map(|s| s as f32 / 8.0)
                .map(|t| a + (b - a) * (t * end) + side * (t * std::f32::consts::PI).sin())
                .collect();
            Fold { line, width, height: tall, sharp: 0.25 }
        })
        .collect()
}

/// A ribbon of cloth along a line: its outline.
pub fn ribbon(points: &[P], wide: f32) -> Vec<P> {
    let n = points.len();
    let normal = |i: usize| {
        let way = points[(i + 1).min(n - 1)] - points[i.saturating_sub(1)];
        p(-way.y, way.x) * (0.5 * wide / way.length().max(1e-6))
    };
    let left = (0..n).map(|i| points[i] + normal(i));
    let right = (0..n).rev().map(|i| points[i] - normal(i));
    left.chain(right).collect()
}

/// Running or back stitches in a thread's colour.
pub fn stitches(text: &str, side: f32, colour: Colour) -> Trim {
    Trim::Stitches(flip(line(text), side), 2.4, 1.1, 0.55, colour)
}
