//! A full-size drawing cut into sheets of paper that are joined again by match marks.
//!
//! Each sheet is a window on the one drawing, and windows overlap: what is printed in an overlap is printed on both sheets
//! at the same place of the drawing, match marks included, so they meet when the sheets are laid right.

use crate::geometry::{Outline, Point, area_within};
use crate::words::letter;

/// The edge of the paper that is left free, millimetres: more than what printers cannot reach (common practice, no
/// source).
pub const MARGIN_MM: f64 = 10.0;

/// The strip below the window for the sheet's name.
const FOOT_MM: f64 = 9.0;

/// Between pieces laid side by side.
const GAP_MM: f64 = 12.0;

/// A drawing on more sheets than this is refused (common practice, no source).
const MOST: usize = 400;

/// The paper in the printer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    A4,
    /// 8 ½ × 11 in (ANSI/ASME Y14.1).
    Letter,
}

impl Paper {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }

    /// Width and height, millimetres.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// Width and height of the window for the drawing, millimetres.
    pub fn window(self) -> (f64, f64) {
        let (width, height) = self.size();
        (width - 2.0 * MARGIN_MM, height - 2.0 * MARGIN_MM - FOOT_MM)
    }
}

/// One sheet that is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Tile {
    /// Row by letter and column by number: `B3`.
    pub name: String,
    /// The place of the drawing at the upper left corner of its window.
    pub at: Point,
    /// Whether a sheet lies to the left, to the right, above and below.
    pub beside: [bool; 4],
}

/// A match mark, printed on both sheets whose overlap holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// The two sheets: `A1 A2`.
    pub name: String,
    /// Where on the drawing.
    pub at: Point,
}

/// A drawing laid out on sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheets {
    /// The paper.
    pub paper: Paper,
    /// How far neighbours overlap, millimetres.
    pub overlap: f64,
    /// Where the upper left corner of each piece comes to lie.
    pub places: Vec<Point>,
    /// Columns and rows of sheets.
    pub grid: (usize, usize),
    /// The sheets that anything is drawn on, row by row.
    pub tiles: Vec<Tile>,
    /// The match marks.
    pub matches: Vec<Match>,
}

impl Sheets {
    /// Width and height of the drawing that the sheets cover together.
    pub fn covered(&self) -> (f64, f64) {
        let (window, (columns, rows)) = (self.paper.window(), self.grid);
        let along = |window: f64, n: usize| (window - self.overlap) * n as f64 + self.overlap;
        (along(window.0, columns), along(window.1, rows))
    }
}

/// Lays the cutting lines of pieces out (each with its box at 0,0) and cuts the drawing into as few sheets as the widths
/// tried allow.
///
/// # Errors
/// A sentence, if there are too many sheets or the overlap leaves no room.
pub fn sheets(pieces: &[&Outline], paper: Paper, overlap: f64) -> Result<Sheets, String> {
    let window = paper.window();
    if !(5.0..=60.0).contains(&overlap) {
        return Err("the sheets overlap by 5 to 60 mm".into());
    }
    let step = (window.0 - overlap, window.1 - overlap);
    let sizes: Vec<Point> = pieces
        .iter()
        .map(|p| super::extent(&p.around).map_or((0.0, 0.0), |(low, high)| (high.0 - low.0, high.1 - low.1)))
        .collect();
    let count = |long: f64, step: f64| (((long - overlap) / step).ceil().max(1.0)) as usize;
    let widest = sizes.iter().map(|s| s.0).fold(0.0, f64::max);
    let least = count(widest, step.0);
    let mut best: Option<Sheets> = None;
    for columns in least..least + 4 {
        let (places, height) = shelves(&sizes, step.0 * columns as f64 + overlap);
        let rows = count(height, step.1);
        if columns * rows > MOST {
            continue;
        }
        let laid: Vec<Outline> =
            pieces.iter().zip(&places).filter_map(|(p, at)| p.moved(|q| Some((q.0 + at.0, q.1 + at.1)))).collect();
        let made = tiled(&laid, places, paper, overlap, (columns, rows));
        if best.as_ref().is_none_or(|b| made.tiles.len() < b.tiles.len()) {
            best = Some(made);
        }
    }
    best.ok_or_else(|| format!("the drawing takes more than {MOST} sheets; is the scale right?"))
}

/// Pieces side by side from the tallest down, a new row where the width is used up; and the height of all rows.
fn shelves(sizes: &[Point], width: f64) -> (Vec<Point>, f64) {
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    order.sort_by(|a, b| sizes[*b].1.total_cmp(&sizes[*a].1));
    let mut places = vec![(0.0, 0.0); sizes.len()];
    let (mut at, mut tall) = ((0.0, 0.0), 0.0f64);
    for i in order {
        if at.0 > 0.0 && at.0 + sizes[i].0 > width {
            at = (0.0, at.1 + tall + GAP_MM);
            tall = 0.0;
        }
        places[i] = at;
        at.0 += sizes[i].0 + GAP_MM;
        tall = tall.max(sizes[i].1);
    }
    (places, at.1 + tall)
}

fn tiled(laid: &[Outline], places: Vec<Point>, paper: Paper, overlap: f64, grid: (usize, usize)) -> Sheets {
    let window = paper.window();
    let step = (window.0 - overlap, window.1 - overlap);
    let corner = |row: usize, column: usize| (step.0 * column as f64, step.1 * row as f64);
    let used = |row: usize, column: usize| {
        let (x, y) = corner(row, column);
        let around = vec![(x, y), (x + window.0, y), (x + window.0, y + window.1), (x, y + window.1)];
        area_within(laid, &[around.into()]) > 1e-6
    };
    let all: Vec<bool> = (0..grid.1).flat_map(|r| (0..grid.0).map(move |c| used(r, c))).collect();
    let there = |row: usize, column: usize| column < grid.0 && row < grid.1 && all[row * grid.0 + column];
    let name = |row: usize, column: usize| format!("{}{}", letter(row), column + 1);
    let (mut tiles, mut matches) = (Vec::new(), Vec::new());
    for row in 0..grid.1 {
        for column in (0..grid.0).filter(|c| there(row, *c)) {
            let at = corner(row, column);
            let beside = [
                column > 0 && there(row, column - 1),
                there(row, column + 1),
                row > 0 && there(row - 1, column),
                there(row + 1, column),
            ];
            let mut meet = |other: String, at: Point| {
                matches.push(Match { name: format!("{} {other}", name(row, column)), at });
            };
            // Two marks a side, so that a sheet cannot be laid askew.
            for part in [0.25, 0.75] {
                if beside[1] {
                    meet(name(row, column + 1), (at.0 + step.0 + overlap / 2.0, at.1 + part * window.1));
                }
                if beside[3] {
                    meet(name(row + 1, column), (at.0 + part * window.0, at.1 + step.1 + overlap / 2.0));
                }
            }
            tiles.push(Tile { name: name(row, column), at, beside });
        }
    }
    Sheets { paper, overlap, places, grid, tiles, matches }
}
