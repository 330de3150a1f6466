//! `dimity pattern`: a pattern taken off a scaled drawing on a photograph of its page, at full size.

use std::path::PathBuf;

use serde_json::json;

use super::report::{Press, Where, put};
use super::{Desk, Failure};
use crate::analysis::takeoff::both;
use crate::catalogue::Catalogue;
use crate::measure::rounded;
use crate::photograph::Store;
use crate::readings::pattern::{Dimension, Misworded, NotTaken, Taken, Written, length};
use crate::record::photograph::Photograph;
use crate::report;

/// Take a pattern off a scaled drawing: sizes, outlines and sheets to print, all at full size
///
/// First the page as a photograph or scan (`dimity photo add`), its scale (`dimity photo scale`: from the printed bar, a rule
/// beside it, or four corners of the printed grid where the page lies askew), and each pattern piece as an outline
/// (`dimity photo region ... --outlines COLLAR`). Lines with the note `grain` and `fold`, other lines by what they measure
/// (`--note "collar depth"`), and points with the note `corner A` or `notch` go to the piece on which they lie.
#[derive(Debug, clap::Subcommand)]
pub enum Pattern {
    /// List the sizes at full size, in inches and centimetres, with the seam allowance; enter them as measurements
    Sizes(Sizes),
    /// Write the pieces as one SVG drawing at full size
    Outline(Outline),
    /// Write a page of sheets to print at 100 % and join, with test squares
    Sheets(SheetsOf),
}

/// What is enlarged, and on what terms.
#[derive(Debug, clap::Args)]
struct Drawing {
    /// The photograph of the page: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// Ratio of the drawing, `1:8` or `1/8`; `1:1` where the scale was taken from a bar or grid that is itself marked in
    /// full-size lengths. If not given, what the piece says under [[made_after]]
    #[arg(long, value_name = "RATIO")]
    ratio: Option<String>,
    /// How far the ratio may be out either way
    #[arg(long, value_name = "PERCENT", default_value_t = Written::default().ratio_within)]
    ratio_within: String,
    /// Width of the printed line on the page; `0.5 mm` is common practice
    #[arg(long, value_name = "LENGTH", default_value_t = Written::default().line)]
    line: String,
    /// How far the paper may have stretched or shrunk either way; half a per cent is common practice
    #[arg(long, value_name = "PERCENT", default_value_t = Written::default().stretch)]
    stretch: String,
    /// Seam allowance to add all round, at full size
    #[arg(long, value_name = "LENGTH", default_value_t = Written::default().allowance)]
    allowance: String,
    /// Only this pattern piece, by its component, note or letter; may be given several times
    #[arg(long, value_name = "NAME")]
    piece: Vec<String>,
}

/// A list of sizes.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  dimity pattern sizes 3fa9c1 --ratio 1/8\n  dimity pattern sizes 3fa9c1 --measure \"A-B = side seam length\" --enter --examination 2021-11-02"
)]
pub struct Sizes {
    #[command(flatten)]
    drawing: Drawing,
    /// What an edge or another size is called in the vocabulary: `A-B = side seam length`, `collar: width = collar length`
    #[arg(long, value_name = "SIZE = DIMENSION")]
    measure: Vec<String>,
    /// Enter the sizes that are dimensions of the vocabulary as measurements, with evidence `published`
    #[arg(long, requires = "examination")]
    enter: bool,
    /// Day of the examination of the pattern that they belong to
    #[arg(long, value_name = "DAY")]
    examination: Option<jiff::civil::Date>,
}

/// One drawing.
#[derive(Debug, clap::Args)]
pub struct Outline {
    #[command(flatten)]
    drawing: Drawing,
    /// The file to write; `-` for standard output; if not given, a file in the catalogue's folder `patterns`
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Sheets of paper.
#[derive(Debug, clap::Args)]
pub struct SheetsOf {
    #[command(flatten)]
    drawing: Drawing,
    /// Paper in the printer
    #[arg(long, value_name = "SIZE", default_value = "a4", value_parser = ["a4", "letter"])]
    paper: String,
    /// How far neighbouring sheets overlap
    #[arg(long, value_name = "LENGTH", default_value = "15 mm")]
    overlap: String,
    /// The file to write; `-` for standard output; if not given, a file in the catalogue's folder `patterns`
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

impl Pattern {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        match self {
            Self::Sizes(c) => c.run(desk),
            Self::Outline(c) => {
                let (_, taken) = c.drawing.open(desk)?;
                put(desk, c.out, ("patterns", &taken.name("svg", "")), &taken.outline()?).map(|_| ())
            }
            Self::Sheets(c) => {
                let (catalogue, taken) = c.drawing.open(desk)?;
                let press = Press { catalogue, store: Store::at(&desk.folder), today: desk.today() };
                let page = printed(&taken, &press, &c.paper, length(&c.overlap, "overlap")?)?;
                put(desk, c.out, ("patterns", &taken.name("html", &c.paper)), &page).map(|_| ())
            }
        }
    }
}

/// The pattern on a photograph on the usual terms; the ratio as the record has it.
pub(super) fn taken(catalogue: &Catalogue, photograph: Photograph) -> Result<Taken, Failure> {
    Ok(Taken::of(catalogue.piece(&photograph.number)?, photograph, &Written::default())?)
}

/// The page of sheets.
pub(super) fn printed(taken: &Taken, press: &Press, paper: &str, overlap: f64) -> Result<String, Failure> {
    press.print(&Where::default(), |settings| taken.sheets(paper, overlap, settings))
}

impl From<NotTaken> for Failure {
    fn from(not: NotTaken) -> Self {
        not.to_string().into()
    }
}

impl From<Misworded> for Failure {
    fn from(term: Misworded) -> Self {
        term.to_string().into()
    }
}

impl Drawing {
    fn open(&self, desk: &mut Desk) -> Result<(Catalogue, Taken), Failure> {
        let catalogue = desk.open()?;
        let photograph = catalogue.photograph(&self.photograph)?;
        let file = catalogue.piece(&photograph.number)?;
        let terms = Written {
            ratio: self.ratio.clone(),
            ratio_within: self.ratio_within.clone(),
            line: self.line.clone(),
            stretch: self.stretch.clone(),
            allowance: self.allowance.clone(),
            pieces: self.piece.clone(),
        };
        Ok((catalogue, Taken::of(file, photograph, &terms)?))
    }
}

impl Sizes {
    fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let (mut catalogue, taken) = self.drawing.open(desk)?;
        let dimensions = taken.dimensions(&self.measure, catalogue.vocabulary())?;
        if desk.json {
            desk.out.json(&in_json(&taken, &dimensions));
        } else {
            lines(&taken, &dimensions).iter().for_each(|line| desk.out.line(line));
        }
        if self.enter {
            return enter(desk, &mut catalogue, &taken, &dimensions, self.examination);
        }
        Ok(())
    }
}

fn lines(taken: &Taken, dimensions: &[Dimension]) -> Vec<String> {
    let off = &taken.off;
    let mut lines = vec![format!(
        "{}, drawing at {}; at full size, with a seam allowance of {} mm:",
        taken.file.number(),
        report::ratio(off.terms.ratio),
        off.terms.allowance_mm
    )];
    for piece in &off.pieces {
        let count = piece.count.map_or("how many to cut is not recorded".to_owned(), |n| format!("cut {n}"));
        let fold = if piece.fold.is_some() { ", opened out over its fold" } else { "" };
        lines.push(format!("{}, {count}{fold}", piece.name));
        for size in piece.sizes() {
            let (inches, cm) = both(size.net.value);
            let u = rounded(size.net.value, size.net.u()).1;
            let cut = size.cut_mm.map(both).map(|(i, c)| format!("; to cut {i}, {c}")).unwrap_or_default();
            let remark = if size.remark.is_empty() { String::new() } else { format!("  ({})", size.remark) };
            lines.push(format!("  {:20} {inches:>11} {cm:>9}, u {u} mm{cut}{remark}", size.what));
        }
        let (area, u) = rounded(piece.area.value / 100.0, piece.area.u() / 100.0);
        lines.push(format!("  area {area} cm², u {u} cm²; with the allowance {:.0} cm²", piece.cut_area / 100.0));
        let parts = piece.height.budget().into_iter().filter(|(_, u)| *u > 0.0);
        let parts: Vec<String> =
            parts.map(|(what, u)| format!("{what} {} mm", rounded(piece.height.value, u).1)).collect();
        lines.push(format!("  u of the height is made up of: {}", parts.join(", ")));
        if !piece.corners_marked {
            lines.push("  corners found where the outline turns; mark your own with points noted `corner A`".into());
        }
    }
    lines.push(report::cloth(off));
    lines.extend(off.warnings.iter().map(|w| format!("take care: {w}")));
    if !dimensions.is_empty() {
        lines.push("for the sheet:".into());
        for d in dimensions {
            lines.push("[[measurement]]".into());
            lines.push(format!("dimension = \"{}\"", d.term.name()));
            lines.extend(d.component.as_ref().map(|c| format!("component = {}", toml::Value::String(c.clone()))));
            lines.push(format!("readings = [\"{}\"]", d.reading()));
            lines.push("taken = \"on the drawing\"".into());
            lines.push("evidence = \"published\"".into());
        }
    }
    lines.push(report::COPYRIGHT.into());
    lines
}

fn in_json(taken: &Taken, dimensions: &[Dimension]) -> serde_json::Value {
    let pieces = taken.off.pieces.iter().map(|p| {
        json!({ "name": p.name, "component": p.component, "count": p.count, "opened_out": p.fold.is_some(),
            "corners_marked": p.corners_marked,
            "sizes": p.sizes().iter().map(|s| json!({ "size": s.what, "mm": s.net.value, "u_mm": s.net.u(),
                "parts_of_u": s.net, "cut_mm": s.cut_mm })).collect::<Vec<_>>(),
            "area_mm2": p.area.value, "u_area_mm2": p.area.u(), "cut_area_mm2": p.cut_area,
            "outline": p.outline.around, "cutting_line": p.cut.around })
    });
    json!({ "number": taken.file.number(), "photograph": taken.photograph.sha256, "terms": taken.off.terms,
        "pieces": pieces.collect::<Vec<_>>(), "cloth": taken.off.cloth(), "warnings": taken.off.warnings,
        "dimensions": dimensions.iter().map(|d| json!({ "piece": d.piece, "size": d.what, "dimension": d.term.name(),
            "component": d.component, "reading": d.reading() })).collect::<Vec<_>>() })
}

/// Enters dimensions as measurements of the examination, by the sheet's own way in.
fn enter(
    desk: &mut Desk,
    catalogue: &mut Catalogue,
    taken: &Taken,
    dimensions: &[Dimension],
    day: Option<jiff::civil::Date>,
) -> Result<(), Failure> {
    let Some(day) = day else { return Err("to enter sizes give `--examination DAY`".into()) };
    if dimensions.is_empty() {
        return Err(
            "none of the sizes is called by a dimension of the vocabulary; draw a line with its name as note, or name \
                    an edge: `--measure \"A-B = side seam length\"`"
                .into(),
        );
    }
    let number = taken.file.number();
    let entered = taken.enter((catalogue, &desk.author()), dimensions, day).map_err(Failure::of_sheet)?;
    if !desk.json {
        let said = if entered.is_nothing() {
            format!("nothing new; these sizes are recorded for {number} already")
        } else {
            format!("{number}: {} entered with evidence published", super::say::count(dimensions.len(), "measurement"))
        };
        desk.out.line(said);
    }
    Ok(())
}
