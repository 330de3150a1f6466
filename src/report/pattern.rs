//! A pattern at full size: as one drawing, and as a page of sheets to print, join and cut by.

use std::fmt::Write as _;

use serde::Serialize;

use super::press::{self, Sheet};
use super::words::{day, joined, text};
use super::{ReportFault, Settings};
use crate::analysis::takeoff::{MARGIN_MM, PatternPiece, Sheets, TakeOff, both};
use crate::digest::short;
use crate::geometry::{Outline, Point, distance};
use crate::measure::rounded;
use crate::record::PieceFile;
use crate::record::photograph::Photograph;

/// The line that goes with every pattern.
pub const COPYRIGHT: &str = "Copyright in a published pattern may still run. What you may copy, and for whom, the law \
                             where you are and its holder say: to respect that is yours.";

/// The sizes of all pieces, for a page on a screen.
#[derive(Debug, Serialize)]
pub(crate) struct SizeLists {
    ratio: String,
    lists: Vec<List>,
    cloth: String,
    warnings: Vec<String>,
    terms: Vec<(&'static str, String)>,
    copyright: &'static str,
}

/// What the pieces measure at full size.
pub(super) fn sizes(off: &TakeOff) -> SizeLists {
    SizeLists {
        ratio: ratio(off.terms.ratio),
        lists: off.pieces.iter().map(list).collect(),
        cloth: cloth(off),
        warnings: off.warnings.clone(),
        terms: terms(off),
        copyright: COPYRIGHT,
    }
}

/// How a drawing with its sheets is printed.
#[derive(Debug, Serialize)]
struct Page {
    number: String,
    title: String,
    source: String,
    copyright: &'static str,
    /// Style of the paper: `A4`, `letter`.
    paper: String,
    margin: f64,
    paper_name: &'static str,
    overlap: String,
    terms: Vec<(&'static str, String)>,
    warnings: Vec<String>,
    window: [f64; 2],
    covered: [String; 2],
    pieces: Vec<Drawn>,
    tiles: Vec<TileView>,
    matches: Vec<MatchView>,
    lists: Vec<List>,
    cloth: String,
    sheets: usize,
}

#[derive(Debug, Serialize)]
struct TileView {
    name: String,
    view: String,
    x: String,
    y: String,
    /// The frame at the left and above: where the sheet is cut, so exactly at the edge of the window.
    edge: String,
    /// The frame at the right and below, a little within the window, for a printer that clips it.
    far: String,
    /// Where the edge of the next sheet comes to lie.
    right: Option<[String; 4]>,
    below: Option<[String; 4]>,
    beside: String,
}

#[derive(Debug, Serialize)]
struct MatchView {
    x: String,
    y: String,
    name: String,
}

/// The sizes of one piece.
#[derive(Debug, Serialize)]
struct List {
    name: String,
    /// How many to cut, and whether it is opened out.
    cut: String,
    corners: String,
    rows: Vec<Row>,
    area: String,
    budget: String,
}

#[derive(Debug, Serialize)]
struct Row {
    what: String,
    inches: String,
    cm: String,
    u: String,
    cut_inches: String,
    cut_cm: String,
    remark: String,
}

/// One piece as paths, moved to its place.
#[derive(Debug, Serialize)]
struct Drawn {
    shift: String,
    cut: String,
    seam: String,
    fold: String,
    grain: String,
    arrows: String,
    ticks: String,
    crosses: String,
    lines: String,
    words: Vec<Word>,
    label: Vec<Word>,
}

#[derive(Debug, Serialize)]
struct Word {
    x: String,
    y: String,
    size: String,
    text: String,
}

/// The whole drawing.
#[derive(Debug, Serialize)]
struct Whole {
    width: String,
    height: String,
    pieces: Vec<Drawn>,
    title: String,
    notes: Vec<Word>,
    foot: String,
}

fn mm(value: f64) -> String {
    let shown = format!("{value:.2}");
    let shown = shown.trim_end_matches('0').trim_end_matches('.');
    if shown == "-0" { "0".into() } else { shown.into() }
}

fn ring(path: &mut String, places: &[Point], close: bool) {
    for (i, (x, y)) in places.iter().enumerate() {
        let _ = write!(path, "{}{} {}", if i == 0 { "M" } else { "L" }, mm(*x), mm(*y));
    }
    if close && !places.is_empty() {
        path.push('Z');
    }
}

fn outline(one: &Outline) -> String {
    let mut path = String::new();
    one.rings().for_each(|r| ring(&mut path, r, true));
    path
}

fn open(lines: &[&[Point]]) -> String {
    let mut path = String::new();
    lines.iter().for_each(|l| ring(&mut path, l, false));
    path
}

/// The place inside with the most room round it, of a coarse grid.
fn roomiest(one: &Outline, (width, height): (f64, f64)) -> Point {
    const STEPS: u32 = 18;
    let at = |i: u32, whole: f64| whole * (f64::from(i) + 0.5) / f64::from(STEPS);
    let places = (0..STEPS).flat_map(|i| (0..STEPS).map(move |j| (at(i, width), at(j, height))));
    let room = |p: &Point| one.points().map(|q| distance(*p, q)).fold(f64::INFINITY, f64::min);
    places.filter(|p| one.holds(*p)).max_by(|a, b| room(a).total_cmp(&room(b))).unwrap_or((width / 2.0, height / 2.0))
}

fn drawn(piece: &PatternPiece, at: Point, terms: &str) -> Drawn {
    let size = (piece.cut_size.0.min(piece.cut_size.1) / 16.0).clamp(2.5, 6.0);
    let word = |p: Point, size: f64, text: &str| Word { x: mm(p.0), y: mm(p.1), size: mm(size), text: text.to_owned() };
    let arrow = |tip: Point, from: Point| {
        let long = distance(tip, from).max(1e-9);
        let (x, y) = ((from.0 - tip.0) / long * 4.0, (from.1 - tip.1) / long * 4.0);
        [(tip.0 + x - y / 2.5, tip.1 + y + x / 2.5), tip, (tip.0 + x + y / 2.5, tip.1 + y - x / 2.5)]
    };
    let heads: Vec<[Point; 3]> = piece.grain.map_or(Vec::new(), |[a, b]| vec![arrow(a, b), arrow(b, a)]);
    let ticks: Vec<[Point; 2]> = piece.marks.iter().filter_map(|m| Some([m.at, m.tick?])).collect();
    let crosses: Vec<[Point; 2]> = piece
        .marks
        .iter()
        .filter(|m| m.tick.is_none())
        .flat_map(|m| {
            let (x, y) = m.at;
            [[(x - 2.5, y), (x + 2.5, y)], [(x, y - 2.5), (x, y + 2.5)]]
        })
        .collect();
    let mut words: Vec<Word> = piece
        .marks
        .iter()
        .filter(|m| !m.name.is_empty())
        .map(|m| word((m.at.0 + 3.0, m.at.1 - 1.5), 3.0, &m.name))
        .chain(piece.corners.iter().map(|(name, p)| word((p.0 + 1.5, p.1 - 1.5), 3.2, name)))
        .collect();
    let named = piece.lines.iter().filter(|l| !l.name.is_empty());
    words.extend(named.filter_map(|l| Some(word(*l.places.get(l.places.len() / 2)?, 3.0, &l.name))));
    words.extend(piece.fold.map(|[a, b]| word((f64::midpoint(a.0, b.0) + 2.0, f64::midpoint(a.1, b.1)), 3.0, "fold")));
    let count = match piece.count {
        _ if piece.note.starts_with("cut ") => String::new(),
        None => "how many to cut is not recorded".to_owned(),
        Some(n) => format!("cut {n}"),
    };
    let lines = [piece.name.clone(), joined([count, piece.note.clone()], "; "), terms.to_owned()];
    let middle = roomiest(&piece.outline, piece.cut_size);
    let label = lines
        .iter()
        .enumerate()
        .map(|(i, line)| {
            let size = if i == 0 { size * 1.5 } else { size };
            word((middle.0, middle.1 + size * 1.3 * i as f64), size, line)
        })
        .collect();
    let slices: Vec<&[Point]> = piece.lines.iter().map(|l| l.places.as_slice()).collect();
    Drawn {
        shift: format!("translate({} {})", mm(at.0), mm(at.1)),
        cut: outline(&piece.cut),
        seam: outline(&piece.outline),
        fold: piece.fold.map(|f| open(&[&f])).unwrap_or_default(),
        grain: piece.grain.map(|g| open(&[&g])).unwrap_or_default(),
        arrows: open(&heads.iter().map(<[Point; 3]>::as_slice).collect::<Vec<_>>()),
        ticks: open(&ticks.iter().map(<[Point; 2]>::as_slice).collect::<Vec<_>>()),
        crosses: open(&crosses.iter().map(<[Point; 2]>::as_slice).collect::<Vec<_>>()),
        lines: open(&slices),
        words,
        label,
    }
}

/// The source in words: `2021.P1, Spencer of about 1815, … (Hester Vane-Orley, author); photograph 3fa9c1…`.
fn source(file: &PieceFile, photograph: &Photograph) -> String {
    let maker = text(file.piece.maker.as_ref());
    let maker = if maker.is_empty() { maker } else { format!("({maker})") };
    let title = joined([text(file.piece.title.as_ref()), maker], " ");
    let sha = short(&photograph.sha256);
    joined([joined([file.number().to_owned(), title], ", "), format!("photograph {sha}")], "; ")
}

fn allowance(off: &TakeOff) -> String {
    let mm = off.terms.allowance_mm;
    if mm > 0.0 { format!("seam allowance {} mm included", self::mm(mm)) } else { "no seam allowance".into() }
}

/// The ratio as it is written: `1:8`.
pub(crate) fn ratio(ratio: f64) -> String {
    if ratio < 1.0 { format!("1:{}", mm(1.0 / ratio)) } else { format!("{}:1", mm(ratio)) }
}

fn terms(off: &TakeOff) -> Vec<(&'static str, String)> {
    let t = &off.terms;
    let percent = |part: f64| format!("±{} %", mm(part * 100.0));
    vec![
        ("ratio of the drawing", format!("{}, may be out by {}", ratio(t.ratio), percent(t.ratio_within))),
        ("width of the printed line", format!("{} mm", mm(t.line_mm))),
        ("paper may have stretched or shrunk", percent(t.paper)),
        ("seam allowance", format!("{} mm", mm(t.allowance_mm))),
    ]
}

fn list(piece: &PatternPiece) -> List {
    let row = |size: crate::analysis::takeoff::Size| {
        let (inches, cm) = both(size.net.value);
        let (cut_inches, cut_cm) = size.cut_mm.map(both).unwrap_or_default();
        let u = rounded(size.net.value, size.net.u()).1;
        Row { what: size.what, inches, cm, u: format!("{u} mm"), cut_inches, cut_cm, remark: size.remark.into() }
    };
    let longest = piece.height;
    let parts: Vec<String> = longest
        .budget()
        .iter()
        .filter(|(_, u)| *u > 0.0)
        .map(|(what, u)| format!("{what} {} mm", rounded(longest.value, *u).1))
        .collect();
    let area = piece.area;
    let (value, u) = rounded(area.value / 100.0, area.u() / 100.0);
    let cut = piece.count.map_or("how many to cut is not recorded".to_owned(), |n| format!("cut {n}"));
    let fold = if piece.fold.is_some() { ", opened out over its fold" } else { "" };
    List {
        name: piece.name.clone(),
        cut: format!("{cut}{fold}"),
        corners: if piece.corners_marked {
            "Corners as marked on the drawing.".into()
        } else {
            "Corners found where the outline turns by more than 30°.".into()
        },
        rows: piece.sizes().into_iter().map(row).collect(),
        area: format!("{value} cm² (u {u} cm²); with the allowance {:.0} cm²", piece.cut_area / 100.0),
        budget: format!(
            "u of the height, {} mm, is made up of: {}",
            rounded(longest.value, longest.u()).1,
            parts.join(", ")
        ),
    }
}

/// What cloth the pieces cover, in words.
pub(crate) fn cloth(off: &TakeOff) -> String {
    let cloth = off.cloth();
    let once = match cloth.uncounted {
        0 => String::new(),
        n => format!(" ({n} of {} say nothing about how often they are cut, and count once)", off.pieces.len()),
    };
    format!(
        "The pieces cover {:.2} m² with their allowances{once}; a lay takes more, by how much the width of the cloth, nap \
         and pattern decide",
        cloth.area / 1e6
    )
}

pub(super) fn page(
    off: &TakeOff,
    laid: &Sheets,
    file: &PieceFile,
    photograph: &Photograph,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    let window = laid.paper.window();
    let covered = laid.covered();
    let step = (window.0 - laid.overlap, window.1 - laid.overlap);
    let label = allowance(off);
    let window_on = |t: &crate::analysis::takeoff::Tile| {
        let next = |there: bool, line: [f64; 4]| there.then(|| line.map(mm));
        let (x, y) = t.at;
        let sides = ["left", "right", "above", "below"];
        let beside: Vec<&str> = sides.iter().zip(t.beside).filter(|(_, b)| *b).map(|(s, _)| *s).collect();
        TileView {
            view: format!("{} {} {} {}", mm(x), mm(y), mm(window.0), mm(window.1)),
            x: mm(x),
            y: mm(y),
            edge: open(&[&[(x, y + window.1), (x, y), (x + window.0, y)]]),
            far: {
                let (right, foot) = (x + window.0 - 0.5, y + window.1 - 0.5);
                open(&[&[(right, y), (right, foot), (x, foot)]])
            },
            right: next(t.beside[1], [x + step.0, y, x + step.0, y + window.1]),
            below: next(t.beside[3], [x, y + step.1, x + window.0, y + step.1]),
            beside: if beside.is_empty() { "stands alone".into() } else { format!("joined {}", beside.join(", ")) },
            name: t.name.clone(),
        }
    };
    let matches = laid.matches.iter().map(|m| MatchView { x: mm(m.at.0), y: mm(m.at.1), name: m.name.clone() });
    let title = format!("{}: pattern at full size", file.number());
    let page = Page {
        number: file.number().to_owned(),
        title: text(file.piece.title.as_ref()),
        source: source(file, photograph),
        copyright: COPYRIGHT,
        paper: laid.paper.name().to_lowercase(),
        margin: MARGIN_MM,
        paper_name: laid.paper.name(),
        overlap: mm(laid.overlap),
        terms: terms(off),
        warnings: off.warnings.clone(),
        window: [window.0, window.1],
        covered: [mm(covered.0), mm(covered.1)],
        pieces: off.pieces.iter().zip(&laid.places).map(|(p, at)| drawn(p, *at, &label)).collect(),
        tiles: laid.tiles.iter().map(window_on).collect(),
        matches: matches.collect(),
        lists: off.pieces.iter().map(list).collect(),
        cloth: cloth(off),
        sheets: laid.tiles.len(),
    };
    let sheet = Sheet {
        title,
        running_left: file.number().to_owned(),
        running_right: settings.collection.trim().to_owned(),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.trim().to_owned(),
    };
    press::print("pattern.html", &sheet, &page)
}

/// The drawing as one SVG file, in millimetres, with test squares and source below it.
pub(super) fn whole(off: &TakeOff, file: &PieceFile, photograph: &Photograph) -> Result<String, ReportFault> {
    const GAP: f64 = 15.0;
    let (mut at, mut tall) = ((GAP, GAP), 0.0f64);
    let label = allowance(off);
    let mut pieces = Vec::new();
    for piece in &off.pieces {
        pieces.push(drawn(piece, at, &label));
        at.0 += piece.cut_size.0 + GAP;
        tall = tall.max(piece.cut_size.1);
    }
    let foot = GAP + tall + GAP;
    let width = at.0.max(260.0);
    let lines = [
        source(file, photograph),
        joined(terms(off).into_iter().map(|(w, v)| format!("{w}: {v}")), "; "),
        COPYRIGHT.into(),
    ];
    let notes = lines
        .iter()
        .enumerate()
        .map(|(i, line)| Word {
            x: mm(GAP),
            y: mm(foot + 112.0 + 6.0 * i as f64),
            size: "3.5".into(),
            text: line.clone(),
        })
        .collect();
    let page = Whole {
        width: mm(width),
        height: mm(foot + 136.0),
        pieces,
        title: format!("{}: pattern at full size", file.number()),
        notes,
        foot: format!("translate({} {})", mm(GAP), mm(foot)),
    };
    let sheet = Sheet {
        title: String::new(),
        running_left: String::new(),
        running_right: String::new(),
        printed_on: String::new(),
        collection: String::new(),
    };
    press::print("drawing.html", &sheet, &page)
}
