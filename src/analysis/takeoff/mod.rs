//! A pattern taken off a scaled drawing: the outlines on a photograph of a page, enlarged to full size, each figure with
//! the uncertainty of pointing, scale, printed line, paper and ratio.
//!
//! An outline is a pattern piece. What else is drawn belongs to the piece in or at which it lies: a line noted `grain` is
//! its grain, one noted `fold` the edge on the fold (the piece is then opened out), any other line is measured; a point
//! noted `corner …` parts the outline into edges, any other point is a notch if it lies on the edge and a mark if not.
// Places have coordinates: single letters are their names.
#![allow(clippy::many_single_char_names)]

mod figure;
mod flat;
mod list;
mod sheets;
#[cfg(test)]
mod tests;

pub use figure::Figure;
pub use list::{Cloth, Size, both};
pub use sheets::{MARGIN_MM, Match, Paper, Sheets, Tile, sheets};

use self::figure::{Known, Parts};
use self::flat::Flat;
use crate::analysis::drawn::scale_of;
use crate::geometry::{Outline, Point, distance, length, parallel};
use crate::record::PieceFile;
use crate::record::photograph::{Photograph, Region, Shape};

/// Width of a printed line where none is stated (common practice, no source).
pub const LINE_MM: f64 = 0.5;

/// How far paper may have stretched or shrunk either way, where nothing is stated: half a per cent (common practice, no
/// source).
pub const PAPER: f64 = 0.005;

/// Seam allowance where none is stated (common practice, no source).
pub const ALLOWANCE_MM: f64 = 15.0;

/// What lies this near to an outline, in parts of the picture's diagonal, belongs to it.
const NEAR: f64 = 0.02;

/// No page that a drawing at a fraction of full size is printed on is wider than this.
const WIDEST_PAGE_MM: f64 = 1000.0;

/// On what terms a drawing is enlarged.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Terms {
    /// Length on the drawing over length at full size, in the millimetres of the picture's scale: 0.125 for 1:8; 1 where
    /// the scale was taken from a bar or grid that is itself marked in full-size lengths.
    pub ratio: f64,
    /// How far the ratio may be out either way, as a part of it.
    pub ratio_within: f64,
    /// Width of the printed line, millimetres on the page.
    pub line_mm: f64,
    /// How far the paper may have stretched or shrunk either way, as a part.
    pub paper: f64,
    /// Seam allowance at full size, millimetres.
    pub allowance_mm: f64,
}

impl Terms {
    /// With everything but the ratio as it goes without saying.
    pub fn at(ratio: f64) -> Self {
        Self { ratio, ratio_within: 0.0, line_mm: LINE_MM, paper: PAPER, allowance_mm: ALLOWANCE_MM }
    }

    fn check(&self) -> Result<(), String> {
        if !(self.ratio.is_finite() && self.ratio > 0.0) {
            return Err("the ratio of the drawing must be above zero; write it as `1/8` or `1:8`".into());
        }
        let small = |part: f64| (0.0..0.2).contains(&part);
        if !small(self.ratio_within) || !small(self.paper) {
            return Err("paper and ratio may be out by less than 20 %".into());
        }
        if !(0.0..=10.0).contains(&self.line_mm) {
            return Err("a printed line is at most 10 mm wide".into());
        }
        if !(0.0..=200.0).contains(&self.allowance_mm) {
            return Err("a seam allowance is between 0 and 200 mm".into());
        }
        Ok(())
    }
}

/// The pattern pieces of one page at full size.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeOff {
    /// The pieces, in the order in which they were drawn.
    pub pieces: Vec<PatternPiece>,
    /// On what terms they were enlarged.
    pub terms: Terms,
    /// What to look at again.
    pub warnings: Vec<String>,
}

/// One pattern piece at full size: millimetres, grain upright, the first place of its cutting line's box at 0,0.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternPiece {
    /// Its component, or else what the outline's note says, or its letter.
    pub name: String,
    /// The component whose outline it is.
    pub component: Option<String>,
    /// The outline's note.
    pub note: String,
    /// How many to cut, where the component says so, or the note (`cut 2`).
    pub count: Option<i64>,
    /// The seam line, opened out where there is a fold.
    pub outline: Outline,
    /// The cutting line: the seam line with the allowance round it.
    pub cut: Outline,
    /// The fold, from end to end.
    pub fold: Option<[Point; 2]>,
    /// The grain, from end to end.
    pub grain: Option<[Point; 2]>,
    /// Notches and marks.
    pub marks: Vec<Mark>,
    /// Lines drawn on it, with what they are called.
    pub lines: Vec<NamedLine>,
    /// Corners by name, of the half that is drawn.
    pub corners: Vec<(String, Point)>,
    /// Whether the corners were marked; else they were found where the outline turns.
    pub corners_marked: bool,
    /// The edges between them.
    pub edges: Vec<Edge>,
    /// Across the grain.
    pub width: Figure,
    /// Along the grain.
    pub height: Figure,
    /// Length of the seam line all round.
    pub round: Figure,
    /// Area inside the seam line, square millimetres.
    pub area: Figure,
    /// Across and along with the allowance.
    pub cut_size: (f64, f64),
    /// Area with the allowance, square millimetres.
    pub cut_area: f64,
}

/// A place marked on a pattern piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What its note says; blank on the half opened out.
    pub name: String,
    /// Where.
    pub at: Point,
    /// For a notch: the place on the cutting line's side that its tick runs to.
    pub tick: Option<Point>,
}

/// A line drawn on a pattern piece.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedLine {
    /// What its note says; blank on the half opened out.
    pub name: String,
    /// Its places.
    pub places: Vec<Point>,
    /// Its length.
    pub length: Figure,
}

/// A stretch of the seam line from one corner to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// `A–B`.
    pub name: String,
    /// Its length along the line.
    pub length: Figure,
    /// Whether it lies on the fold.
    pub on_fold: bool,
}

/// What the pattern pieces outlined on a photograph are called.
pub fn piece_names(p: &Photograph) -> Vec<String> {
    p.regions.iter().filter(|r| r.shows.is_none() && matches!(r.shape, Shape::Outline(_))).map(name_of).collect()
}

/// The pattern pieces drawn on a photograph of a page of `file`, at full size; `only` names those that are wanted, all if
/// it is empty.
///
/// # Errors
/// A sentence, if the photograph has no scale or no outline, or a piece cannot be enlarged.
pub fn take_off(p: &Photograph, file: &PieceFile, only: &[String], terms: &Terms) -> Result<TakeOff, String> {
    terms.check()?;
    let scale = scale_of(p).ok_or(
        "the photograph has no scale; set it from the printed bar, a rule laid beside it, or four corners of the grid: \
         `dimity photo scale`",
    )?;
    let outline = |r: &'_ Region| match &r.shape {
        Shape::Outline(o) if r.shows.is_none() => Some(o.clone()),
        _ => None,
    };
    let outlines: Vec<(&Region, Outline)> = p.regions.iter().filter_map(|r| Some((r, outline(r)?))).collect();
    if outlines.is_empty() {
        return Err("no pattern piece is outlined on the photograph; draw one: `dimity photo region PHOTOGRAPH \
                    \"outline X,Y X,Y X,Y\" --outlines COMPONENT`"
            .into());
    }
    let known = Known::new(&scale, terms);
    let mut homes: Vec<Vec<&Region>> = vec![Vec::new(); outlines.len()];
    let mut warnings = page_too_wide(p, &known).into_iter().collect::<Vec<_>>();
    let near = NEAR * f64::from(p.width).hypot(f64::from(p.height));
    for region in p.regions.iter().filter(|r| !matches!(r.shape, Shape::Outline(_))) {
        match home(region, &outlines, near) {
            Some(at) => homes[at].push(region),
            None if region.shows.is_none() => {
                warnings.push(format!("region {} lies in no pattern piece and is left out", named(region)));
            }
            None => {}
        }
    }
    let mut pieces = Vec::new();
    for ((region, drawn), inside) in outlines.iter().zip(&homes) {
        let name = name_of(region);
        let wanted = |w: &String| w.eq_ignore_ascii_case(&name) || w.eq_ignore_ascii_case(&region.label);
        if only.is_empty() || only.iter().any(wanted) {
            pieces.push(piece((region, drawn), inside, file, &known).map_err(|why| format!("{name}: {why}"))?);
        }
    }
    if pieces.is_empty() {
        let names: Vec<String> = outlines.iter().map(|(r, _)| name_of(r)).collect();
        return Err(format!("no pattern piece is called {}; there are: {}", only.join(", "), names.join(", ")));
    }
    Ok(TakeOff { pieces, terms: terms.clone(), warnings })
}

/// A scale taken from a bar marked at full size together with a ratio below one would enlarge twice.
fn page_too_wide(p: &Photograph, known: &Known) -> Option<String> {
    let middle = (f64::from(p.width) / 2.0, f64::from(p.height) / 2.0);
    let wide = known.mm_per_px(middle)? * f64::from(p.width.max(p.height));
    (known.terms.ratio < 0.75 && wide > WIDEST_PAGE_MM).then(|| {
        format!(
            "by its scale the picture is {:.1} m across: it was perhaps taken from a bar or grid marked at full size; then \
             the ratio is 1",
            wide / 1000.0
        )
    })
}

/// The outline in or at which a region lies: that which holds its middle, else the nearest, if it is near.
fn home(region: &Region, outlines: &[(&Region, Outline)], near: f64) -> Option<usize> {
    let places: Vec<Point> = region.shape.points().collect();
    let n = places.len().max(1) as f64;
    let sum = places.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
    let middle = (sum.0 / n, sum.1 / n);
    let away = outlines.iter().enumerate().map(|(i, (_, o))| {
        let edge = || flat::to_ring(&o.around, middle).map_or(f64::INFINITY, |(_, _, away)| away);
        (i, if o.holds(middle) { 0.0 } else { edge() })
    });
    let nearest = away.min_by(|a, b| a.1.total_cmp(&b.1))?;
    (nearest.1 <= near).then_some(nearest.0)
}

fn note(region: &Region) -> &str {
    region.note.as_deref().unwrap_or_default().trim()
}

fn name_of(region: &Region) -> String {
    let words = region.outlines.as_deref().unwrap_or_else(|| note(region));
    if words.is_empty() { format!("piece {}", region.label) } else { words.to_owned() }
}

fn named(region: &Region) -> String {
    if note(region).is_empty() { region.label.clone() } else { format!("{} ({})", region.label, note(region)) }
}

/// What follows a first word, if the note begins with it: `corner A`, `grain`.
fn after<'a>(note: &'a str, word: &str) -> Option<&'a str> {
    let begins = note.get(..word.len()).is_some_and(|w| w.eq_ignore_ascii_case(word));
    let rest = note.get(word.len()..).filter(|_| begins)?;
    (rest.is_empty() || !rest.starts_with(char::is_alphanumeric)).then(|| rest.trim_matches([' ', ':', ',']))
}

/// How often a piece is cut by its note: `cut 2`, `cut 1 on the fold`.
fn to_cut(note: &str) -> Option<i64> {
    let rest = after(note, "cut")?;
    rest.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok().filter(|n| (1..=10_000).contains(n))
}

fn piece(
    (region, drawn): (&Region, &Outline),
    inside: &[&Region],
    file: &PieceFile,
    known: &Known,
) -> Result<PatternPiece, String> {
    let lines = || inside.iter().filter(|r| matches!(r.shape, Shape::Line(_)));
    let ends = |word: &str| {
        let line = lines().find(|r| after(note(r), word).is_some())?;
        let places: Vec<Point> = line.shape.points().collect();
        Some([*places.first()?, *places.last()?])
    };
    let points: Vec<(&str, Point)> = inside
        .iter()
        .filter_map(|r| match r.shape {
            Shape::Point(at) => Some((note(r), at)),
            _ => None,
        })
        .collect();
    let marked: Vec<(String, Point)> =
        points.iter().filter_map(|(n, at)| Some((after(n, "corner")?.to_owned(), *at))).collect();
    let flat = Flat::new(drawn, ends("grain"), ends("fold"), &marked, known)?;
    let out = |places: &[Point]| flat.lie(places).ok_or("lies beyond the horizon of the page".to_owned());

    let half = out(&flat.ring)?;
    let whole = flat.opened(&half);
    let holes = drawn.holes.iter().map(|h| out(h)).collect::<Result<Vec<_>, _>>()?;
    let mirrored = holes.iter().filter_map(|h| flat.mirrored(h, &half));
    let outline = Outline { holes: holes.iter().cloned().chain(mirrored).collect(), around: whole };
    outline.check().map_err(|why| format!("at full size {why}"))?;
    let cut = parallel(&outline, known.terms.allowance_mm).into_iter().max_by(|a, b| a.area().total_cmp(&b.area()));
    let cut = cut.ok_or("no cutting line can be drawn round it")?;

    let (mut marks, mut named_lines) = (Vec::new(), Vec::new());
    for (name, at) in points.iter().filter(|(n, _)| after(n, "corner").is_none()) {
        let place = out(&[*at])?[0];
        marks.push(mark(name, place, &outline, &half, known));
        let other = flat.mirrored(&[place], &half).and_then(|m| m.first().copied());
        marks.extend(other.map(|place| mark("", place, &outline, &half, known)));
    }
    for line in lines().filter(|r| after(note(r), "grain").is_none() && after(note(r), "fold").is_none()) {
        let px: Vec<Point> = line.shape.points().collect();
        let places = out(&px)?;
        let length = flat.figure(|f| Some(length(&f.lie(&px)?)), Parts::ends(known))?;
        let other = flat.mirrored(&places, &half);
        named_lines.push(NamedLine { name: note(line).to_owned(), places, length });
        named_lines.extend(other.map(|places| NamedLine { name: String::new(), places, length }));
    }
    let line_of = |ends: Option<[Point; 2]>| ends.and_then(|e| flat.lie(&e)).map(|l| [l[0], l[1]]);
    let component = region.outlines.clone();
    let recorded = file.components.iter().find(|c| c.name.is_some() && c.name == component);
    let mut made = PatternPiece {
        name: name_of(region),
        count: recorded.and_then(|c| c.count).or_else(|| to_cut(note(region))),
        note: if component.is_some() { note(region).to_owned() } else { String::new() },
        component,
        corners: flat.corners(&half),
        corners_marked: flat.marked,
        edges: flat.edges(known)?,
        width: flat.figure(|f| f.size(true), Parts::across(known))?,
        height: flat.figure(|f| f.size(false), Parts::across(known))?,
        round: flat.figure(Flat::round, Parts::round(known))?,
        area: flat.area_figure(drawn, known)?,
        cut_size: extent(&cut.around).map(|(low, high)| (high.0 - low.0, high.1 - low.1)).unwrap_or_default(),
        cut_area: cut.area(),
        fold: flat.fold_ends(&half),
        grain: line_of(ends("grain")),
        outline,
        cut,
        marks,
        lines: named_lines,
    };
    made.set_at_origin();
    Ok(made)
}

/// A point on the edge is a notch, with a tick towards the cutting line; elsewhere a mark.
fn mark(name: &str, at: Point, whole: &Outline, half: &[Point], known: &Known) -> Mark {
    let size = extent(half).map_or(0.0, |(low, high)| distance(low, high));
    let edge = flat::to_ring(&whole.around, at).filter(|(_, _, away)| *away < NEAR * size);
    let Some((edge, on, _)) = edge else { return Mark { name: name.into(), at, tick: None } };
    let (a, b) = (whole.around[edge], whole.around[(edge + 1) % whole.around.len()]);
    let long = distance(a, b);
    if long <= 0.0 {
        return Mark { name: name.into(), at: on, tick: None };
    }
    let far = known.terms.allowance_mm.clamp(4.0, 10.0);
    let out = [1.0, -1.0].map(|way| (on.0 + way * far * (b.1 - a.1) / long, on.1 - way * far * (b.0 - a.0) / long));
    let tick = if whole.holds(out[0]) { out[1] } else { out[0] };
    Mark { name: name.into(), at: on, tick: Some(tick) }
}

/// The corners of the box round places.
pub fn extent(places: &[Point]) -> Option<(Point, Point)> {
    let first = *places.first()?;
    let grow =
        |(low, high): (Point, Point), p: &Point| ((low.0.min(p.0), low.1.min(p.1)), (high.0.max(p.0), high.1.max(p.1)));
    Some(places.iter().fold((first, first), grow))
}

impl PatternPiece {
    /// Moves everything so that the box of the cutting line begins at 0,0.
    fn set_at_origin(&mut self) {
        let Some((low, _)) = extent(&self.cut.around) else { return };
        let by = |p: &mut Point| *p = (p.0 - low.0, p.1 - low.1);
        for outline in [&mut self.outline, &mut self.cut] {
            outline.around.iter_mut().chain(outline.holes.iter_mut().flatten()).for_each(by);
        }
        self.fold.iter_mut().chain(self.grain.iter_mut()).flatten().for_each(by);
        self.corners.iter_mut().for_each(|c| by(&mut c.1));
        self.lines.iter_mut().flat_map(|l| l.places.iter_mut()).for_each(by);
        for mark in &mut self.marks {
            by(&mut mark.at);
            mark.tick.iter_mut().for_each(by);
        }
    }
}
