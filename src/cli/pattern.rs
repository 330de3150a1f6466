//! `dimity pattern`: a pattern taken off a scaled drawing on a photograph of its page, at full size.

use std::path::PathBuf;

use serde_json::json;

use super::report::{Press, Where, put};
use super::sheet::enter_on;
use super::{Desk, Failure};
use crate::analysis::takeoff::{ALLOWANCE_MM, LINE_MM, PAPER, PatternPiece, TakeOff, Terms, both, sheets, take_off};
use crate::catalogue::Catalogue;
use crate::digest::short;
use crate::measure::{Estimate, Kind, Quantity, plus_minus, rounded};
use crate::photograph::Store;
use crate::record::PieceFile;
use crate::record::accession::file_stem;
use crate::record::photograph::Photograph;
use crate::report;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

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
    #[arg(long, value_name = "PERCENT", default_value = "0 %")]
    ratio_within: String,
    /// Width of the printed line on the page; `0.5 mm` is common practice
    #[arg(long, value_name = "LENGTH", default_value_t = format!("{LINE_MM} mm"))]
    line: String,
    /// How far the paper may have stretched or shrunk either way; half a per cent is common practice
    #[arg(long, value_name = "PERCENT", default_value_t = format!("{} %", PAPER * 100.0))]
    stretch: String,
    /// Seam allowance to add all round, at full size
    #[arg(long, value_name = "LENGTH", default_value_t = format!("{ALLOWANCE_MM} mm"))]
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
                let page = taken.sheets(&press, &c.paper, length(&c.overlap, "overlap")?)?;
                put(desk, c.out, ("patterns", &taken.name("html", &c.paper)), &page).map(|_| ())
            }
        }
    }
}

/// A pattern taken off, with what it was taken from.
pub(super) struct Taken {
    off: TakeOff,
    file: PieceFile,
    photograph: Photograph,
}

impl Taken {
    /// `pattern-2021.P1-3fa9c1-a4.html`.
    pub fn name(&self, ending: &str, paper: &str) -> String {
        let sha = self.photograph.sha256.get(..6).unwrap_or_default();
        let paper = if paper.is_empty() { String::new() } else { format!("-{paper}") };
        format!("pattern-{}-{sha}{paper}.{ending}", file_stem(self.file.number()))
    }

    /// The page of sheets.
    pub fn sheets(&self, press: &Press, paper: &str, overlap: f64) -> Result<String, Failure> {
        use crate::analysis::takeoff::Paper;
        let paper = if paper == "letter" { Paper::Letter } else { Paper::A4 };
        let cut: Vec<_> = self.off.pieces.iter().map(|p| &p.cut).collect();
        let laid = sheets(&cut, paper, overlap)?;
        press.print(&Where::default(), |s| report::pattern_sheets(&self.off, &laid, &self.file, &self.photograph, s))
    }

    /// The drawing as SVG.
    pub fn outline(&self) -> Result<String, Failure> {
        let svg = report::pattern_outline(&self.off, &self.file, &self.photograph).map_err(|e| e.to_string())?;
        Ok(svg.trim_start().to_owned())
    }
}

/// The pattern on a photograph on the usual terms; the ratio as the record has it.
pub(super) fn taken(catalogue: &Catalogue, photograph: Photograph) -> Result<Taken, Failure> {
    let file = catalogue.piece(&photograph.number)?;
    let off = take_off(&photograph, &file, &[], &Terms::at(recorded_ratio(&file)?))?;
    Ok(Taken { off, file, photograph })
}

impl Drawing {
    fn open(&self, desk: &mut Desk) -> Result<(Catalogue, Taken), Failure> {
        let catalogue = desk.open()?;
        let photograph = catalogue.photograph(&self.photograph)?;
        let file = catalogue.piece(&photograph.number)?;
        let ratio = match &self.ratio {
            None => recorded_ratio(&file)?,
            Some(text) => Quantity::parse(Kind::Scale, text).map_err(|e| format!("`--ratio {text}`: {e}"))?.value,
        };
        let terms = Terms {
            ratio,
            ratio_within: percent(&self.ratio_within, "ratio-within")?,
            line_mm: length(&self.line, "line")?,
            paper: percent(&self.stretch, "stretch")?,
            allowance_mm: length(&self.allowance, "allowance")?,
        };
        let off = take_off(&photograph, &file, &self.piece, &terms)?;
        Ok((catalogue, Taken { off, file, photograph }))
    }
}

/// The ratio that the piece's record gives for its drawing.
fn recorded_ratio(file: &PieceFile) -> Result<f64, String> {
    let mut ratios: Vec<f64> = file.made_after.iter().filter_map(|m| m.scale.as_ref()).map(|q| q.value).collect();
    ratios.dedup();
    match ratios[..] {
        [one] => Ok(one),
        [] => Err(format!(
            "no ratio is recorded for the drawings of {}; give `--ratio 1:8`, or `--ratio 1:1` if the scale was taken from a \
             bar or grid marked in full-size lengths",
            file.number()
        )),
        _ => Err(format!("{} records more than one ratio; give the one of this drawing: `--ratio 1:8`", file.number())),
    }
}

fn length(text: &str, what: &str) -> Result<f64, String> {
    // Nothing needs no unit.
    if text.trim() == "0" {
        return Ok(0.0);
    }
    Ok(Quantity::parse(Kind::Length, text).map_err(|e| format!("`--{what} {text}`: {e}"))?.value)
}

fn percent(text: &str, what: &str) -> Result<f64, String> {
    if text.trim() == "0" {
        return Ok(0.0);
    }
    Ok(Quantity::parse(Kind::Percent, text).map_err(|e| format!("`--{what} {text}`: {e}"))?.value / 100.0)
}

/// One size that is a dimension of the vocabulary.
struct Dimension {
    piece: String,
    component: Option<String>,
    term: TermId,
    what: String,
    value: Estimate,
}

impl Sizes {
    fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let (mut catalogue, taken) = self.drawing.open(desk)?;
        let dimensions = dimensions(&taken.off, &self.measure, catalogue.vocabulary())?;
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

/// The sizes that are dimensions: lines called by one, and what `--measure` names.
fn dimensions(off: &TakeOff, named: &[String], vocabulary: &Vocabulary) -> Result<Vec<Dimension>, Failure> {
    let mut found = Vec::new();
    let mut add = |piece: &PatternPiece, term: TermId, what: &str, value: Estimate| {
        let (piece, component) = (piece.name.clone(), piece.component.clone());
        found.push(Dimension { piece, component, term, what: what.to_owned(), value });
    };
    for piece in &off.pieces {
        for line in &piece.lines {
            if let Ok(term) = vocabulary.find(Scheme::Dimension, &line.name) {
                add(piece, term.id.clone(), &line.name, line.length.estimate());
            }
        }
    }
    for text in named {
        let wrong = |why: &str| format!("`--measure {text}`: {why}; write it as `A-B = side seam length`");
        let (size, dimension) = text.split_once('=').ok_or_else(|| wrong("no `=`"))?;
        let term = vocabulary.find(Scheme::Dimension, dimension.trim()).map_err(|e| wrong(&e.to_string()))?;
        let (of, what) = size.split_once(':').map_or((None, size.trim()), |(p, w)| (Some(p.trim()), w.trim()));
        let what = what.replace('-', "–");
        let here: Vec<&PatternPiece> =
            off.pieces.iter().filter(|p| of.is_none_or(|name| p.name.eq_ignore_ascii_case(name))).collect();
        let mut hits = here.iter().flat_map(|p| {
            let alike = p.sizes().into_iter().filter(|s| s.what.replace('-', "–") == what);
            alike.map(|s| (*p, s)).collect::<Vec<_>>()
        });
        match (hits.next(), hits.next()) {
            (Some((piece, size)), None) => add(piece, term.id.clone(), &size.what, size.net.estimate()),
            (None, _) => return Err(wrong("no piece has such a size").into()),
            _ => return Err(wrong("more than one piece has such a size; put the piece first, `collar: A-B`").into()),
        }
    }
    Ok(found)
}

fn reading(value: &Estimate) -> String {
    format!("{} mm", plus_minus(value.value, value.u))
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
            lines.push(format!("readings = [\"{}\"]", reading(&d.value)));
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
            "component": d.component, "reading": reading(&d.value) })).collect::<Vec<_>>() })
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
    let sha = short(&taken.photograph.sha256);
    let terms = &taken.off.terms;
    let row = |d: &Dimension| {
        let mut row = toml::Table::new();
        row.insert("dimension".into(), d.term.name().into());
        if let Some(component) = &d.component {
            row.insert("component".into(), component.clone().into());
        }
        row.insert("readings".into(), vec![reading(&d.value)].into());
        row.insert("taken".into(), "on the drawing".into());
        row.insert("instrument".into(), format!("scale of photograph {sha}").into());
        row.insert("evidence".into(), "published".into());
        let note = format!(
            "Taken off the drawing of {} at {}, enlarged; the ± holds pointing, scale, a line of {} mm and paper out by {} %.",
            d.piece,
            report::ratio(terms.ratio),
            terms.line_mm,
            terms.paper * 100.0
        );
        row.insert("note".into(), note.into());
        row
    };
    let number = taken.file.number();
    let rows = dimensions.iter().map(row).collect();
    let entered = enter_on(catalogue, (&taken.file, day), &desk.author(), ("measurement", rows))?;
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
