//! The list of sizes of a pattern piece, and what cloth the pieces take.

use super::{Figure, PatternPiece, TakeOff};
use crate::measure::tape_inches;

/// One line of the list of sizes.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Size {
    /// What is measured: `width`, `A–B`.
    pub what: String,
    /// The length at full size, millimetres, with its uncertainty.
    pub net: Figure,
    /// The same with the seam allowance, where that has a meaning.
    pub cut_mm: Option<f64>,
    /// Anything to know about it.
    pub remark: &'static str,
}

/// The cloth that the pieces cover.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize)]
pub struct Cloth {
    /// Area of all pieces as often as they are cut, allowances included, square millimetres.
    pub area: f64,
    /// How many pieces say nothing about how often they are cut; each is reckoned once.
    pub uncounted: usize,
}

impl PatternPiece {
    /// Its sizes: across and along the grain, each edge, each line that has a name.
    pub fn sizes(&self) -> Vec<Size> {
        let size =
            |what: &str, net: Figure, cut_mm: Option<f64>, remark| Size { what: what.into(), net, cut_mm, remark };
        let grain = if self.grain.is_some() { "across the grain" } else { "no grain drawn: as the page lies" };
        let along = if self.grain.is_some() { "along the grain" } else { "no grain drawn: as the page lies" };
        let mut list = vec![
            size("width", self.width, Some(self.cut_size.0), grain),
            size("height", self.height, Some(self.cut_size.1), along),
        ];
        list.extend(
            self.edges.iter().map(|e| size(&e.name, e.length, None, if e.on_fold { "on the fold" } else { "" })),
        );
        list.extend(self.lines.iter().filter(|l| !l.name.is_empty()).map(|l| size(&l.name, l.length, None, "")));
        list.push(size("all round", self.round, None, if self.fold.is_some() { "opened out" } else { "" }));
        list
    }
}

impl TakeOff {
    /// What cloth all pieces cover together.
    pub fn cloth(&self) -> Cloth {
        let times = |p: &PatternPiece| p.count.filter(|n| *n > 0).unwrap_or(1) as f64;
        Cloth {
            area: self.pieces.iter().map(|p| p.cut_area * times(p)).sum(),
            uncounted: self.pieces.iter().filter(|p| p.count.is_none()).count(),
        }
    }
}

/// Inches to the sixteenth and centimetres to the millimetre: `13 7/16 in`, `34.1 cm`.
pub fn both(mm: f64) -> (String, String) {
    (tape_inches(mm), format!("{:.1} cm", mm / 10.0))
}
