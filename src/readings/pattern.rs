//! A pattern taken off a scaled drawing on a photograph of its page: on terms as they are written, with the sizes that are
//! dimensions of the vocabulary, entered as published measurements.

use jiff::civil::Date;

use crate::analysis::takeoff::{ALLOWANCE_MM, LINE_MM, PAPER, Paper, PatternPiece, TakeOff, Terms, sheets, take_off};
use crate::catalogue::{Catalogue, Entered};
use crate::digest::short;
use crate::exchange::entry::enter_on;
use crate::measure::{Estimate, Kind, Quantity, plus_minus};
use crate::record::PieceFile;
use crate::record::accession::file_stem;
use crate::record::photograph::Photograph;
use crate::report::{self, Settings};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// The terms of a drawing as somebody wrote them.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// Ratio of the drawing, `1:8`; if not given, what the piece's record says.
    pub ratio: Option<String>,
    /// How far the ratio may be out either way.
    pub ratio_within: String,
    /// Width of the printed line on the page.
    pub line: String,
    /// How far the paper may have stretched or shrunk either way.
    pub stretch: String,
    /// Seam allowance at full size.
    pub allowance: String,
    /// Only these pattern pieces; all of them if none is named.
    pub pieces: Vec<String>,
}

impl Default for Written {
    fn default() -> Self {
        Self {
            ratio: None,
            ratio_within: "0 %".into(),
            line: format!("{LINE_MM} mm"),
            stretch: format!("{} %", PAPER * 100.0),
            allowance: format!("{ALLOWANCE_MM} mm"),
            pieces: Vec::new(),
        }
    }
}

/// What is wrong with one of the terms, named as the command line and the form name it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`--{name} {text}`: {why}")]
pub struct Misworded {
    /// `ratio`, `ratio-within`, `line`, `stretch`, `allowance`, `overlap`, `measure`.
    pub name: &'static str,
    /// What was written.
    pub text: String,
    /// What is wrong with it.
    pub why: String,
}

/// Why a pattern is not taken off.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotTaken {
    /// One of the terms cannot be read.
    #[error(transparent)]
    Misworded(#[from] Misworded),
    /// None is written, and the piece's record gives none.
    #[error(
        "no ratio is recorded for the drawings of {0}; give `--ratio 1:8`, or `--ratio 1:1` if the scale was taken from a bar \
         or grid marked in full-size lengths"
    )]
    NoRatio(String),
    /// None is written, and the piece's record gives more than one.
    #[error("{0} records more than one ratio; give the one of this drawing: `--ratio 1:8`")]
    Ratios(String),
    /// What is drawn cannot be enlarged.
    #[error("{0}")]
    Refused(String),
}

impl Written {
    fn terms(&self, file: &PieceFile) -> Result<Terms, NotTaken> {
        let ratio = match &self.ratio {
            None => recorded_ratio(file)?,
            Some(text) => {
                let read = Quantity::parse(Kind::Scale, text);
                read.map_err(|e| Misworded { name: "ratio", text: text.clone(), why: e.to_string() })?.value
            }
        };
        Ok(Terms {
            ratio,
            ratio_within: percent(&self.ratio_within, "ratio-within")?,
            line_mm: length(&self.line, "line")?,
            paper: percent(&self.stretch, "stretch")?,
            allowance_mm: length(&self.allowance, "allowance")?,
        })
    }
}

/// The ratio that the piece's record gives for its drawing.
fn recorded_ratio(file: &PieceFile) -> Result<f64, NotTaken> {
    let mut ratios: Vec<f64> = file.made_after.iter().filter_map(|m| m.scale.as_ref()).map(|q| q.value).collect();
    ratios.dedup();
    match ratios[..] {
        [one] => Ok(one),
        [] => Err(NotTaken::NoRatio(file.number().to_owned())),
        _ => Err(NotTaken::Ratios(file.number().to_owned())),
    }
}

fn quantity(kind: Kind, text: &str, name: &'static str) -> Result<f64, Misworded> {
    // Nothing needs no unit.
    if text.trim() == "0" {
        return Ok(0.0);
    }
    let wrong = |why: crate::measure::Unreadable| Misworded { name, text: text.to_owned(), why: why.to_string() };
    Ok(Quantity::parse(kind, text).map_err(wrong)?.value)
}

/// A length in millimetres; `0` needs no unit.
///
/// # Errors
/// [`Misworded`] with the name of the term.
pub fn length(text: &str, name: &'static str) -> Result<f64, Misworded> {
    quantity(Kind::Length, text, name)
}

fn percent(text: &str, name: &'static str) -> Result<f64, Misworded> {
    Ok(quantity(Kind::Percent, text, name)? / 100.0)
}

/// A pattern taken off, with what it was taken from.
#[derive(Debug)]
pub struct Taken {
    /// The pieces at full size.
    pub off: TakeOff,
    /// The piece whose photograph it is.
    pub file: PieceFile,
    /// The photograph of the page.
    pub photograph: Photograph,
}

/// One size that is a dimension of the vocabulary.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    /// The pattern piece.
    pub piece: String,
    /// Its component.
    pub component: Option<String>,
    /// The dimension.
    pub term: TermId,
    /// What the size is called on the drawing.
    pub what: String,
    /// The size at full size, millimetres.
    pub value: Estimate,
}

impl Dimension {
    /// The reading, as a sheet takes it.
    pub fn reading(&self) -> String {
        format!("{} mm", plus_minus(self.value.value, self.value.u))
    }
}

impl Taken {
    /// Takes off the pattern that is drawn on a photograph.
    ///
    /// # Errors
    /// [`NotTaken`] says which term is wrong, or what cannot be enlarged.
    pub fn of(file: PieceFile, photograph: Photograph, terms: &Written) -> Result<Self, NotTaken> {
        let read = terms.terms(&file)?;
        let off = take_off(&photograph, &file, &terms.pieces, &read).map_err(NotTaken::Refused)?;
        Ok(Self { off, file, photograph })
    }

    /// `pattern-2021.P1-3fa9c1-a4.html`.
    pub fn name(&self, ending: &str, paper: &str) -> String {
        let sha = self.photograph.sha256.get(..6).unwrap_or_default();
        let paper = if paper.is_empty() { String::new() } else { format!("-{paper}") };
        format!("pattern-{}-{sha}{paper}.{ending}", file_stem(self.file.number()))
    }

    /// The page of sheets, for `a4` or `letter`, neighbours overlapping by so many millimetres.
    ///
    /// # Errors
    /// A sentence, if the sheets cannot be laid.
    pub fn sheets(&self, paper: &str, overlap: f64, settings: &Settings<'_>) -> Result<String, String> {
        let paper = if paper == "letter" { Paper::Letter } else { Paper::A4 };
        let cut: Vec<_> = self.off.pieces.iter().map(|p| &p.cut).collect();
        let laid = sheets(&cut, paper, overlap)?;
        report::pattern_sheets(&self.off, &laid, &self.file, &self.photograph, settings).map_err(|e| e.to_string())
    }

    /// The drawing as SVG.
    ///
    /// # Errors
    /// Only if a template is at fault.
    pub fn outline(&self) -> Result<String, String> {
        let svg = report::pattern_outline(&self.off, &self.file, &self.photograph).map_err(|e| e.to_string())?;
        Ok(svg.trim_start().to_owned())
    }

    /// The sizes that are dimensions: lines called by one, and those named as in `A-B = side seam length`.
    ///
    /// # Errors
    /// [`Misworded`], if a name does not fit.
    pub fn dimensions(&self, named: &[String], vocabulary: &Vocabulary) -> Result<Vec<Dimension>, Misworded> {
        let mut found = Vec::new();
        let mut add = |piece: &PatternPiece, term: TermId, what: &str, value: Estimate| {
            let (piece, component) = (piece.name.clone(), piece.component.clone());
            found.push(Dimension { piece, component, term, what: what.to_owned(), value });
        };
        for piece in &self.off.pieces {
            for line in &piece.lines {
                if let Ok(term) = vocabulary.find(Scheme::Dimension, &line.name) {
                    add(piece, term.id.clone(), &line.name, line.length.estimate());
                }
            }
        }
        for text in named {
            let wrong = |why: &str| Misworded {
                name: "measure",
                text: text.clone(),
                why: format!("{why}; write it as `A-B = side seam length`"),
            };
            let (size, dimension) = text.split_once('=').ok_or_else(|| wrong("no `=`"))?;
            let term = vocabulary.find(Scheme::Dimension, dimension.trim()).map_err(|e| wrong(&e.to_string()))?;
            let (of, what) = size.split_once(':').map_or((None, size.trim()), |(p, w)| (Some(p.trim()), w.trim()));
            let what = what.replace('-', "–");
            let here = self.off.pieces.iter().filter(|p| of.is_none_or(|name| p.name.eq_ignore_ascii_case(name)));
            let mut hits = here.flat_map(|p| {
                let alike = p.sizes().into_iter().filter(|s| s.what.replace('-', "–") == what);
                alike.map(|s| (p, s)).collect::<Vec<_>>()
            });
            match (hits.next(), hits.next()) {
                (Some((piece, size)), None) => add(piece, term.id.clone(), &size.what, size.net.estimate()),
                (None, _) => return Err(wrong("no piece has such a size")),
                _ => return Err(wrong("more than one piece has such a size; put the piece first, `collar: A-B`")),
            }
        }
        Ok(found)
    }

    /// Enters dimensions as measurements of an examination, with evidence `published`, by the sheet's own way in.
    ///
    /// # Errors
    /// Why they cannot be entered, a text each.
    pub fn enter(
        &self,
        (catalogue, author): (&mut Catalogue, &str),
        dimensions: &[Dimension],
        day: Date,
    ) -> Result<Entered, Vec<String>> {
        let rows = dimensions.iter().map(|d| self.row(d)).collect();
        enter_on(catalogue, (&self.file, day), author, ("measurement", rows))
    }

    fn row(&self, dimension: &Dimension) -> toml::Table {
        let terms = &self.off.terms;
        let mut row = toml::Table::new();
        row.insert("dimension".into(), dimension.term.name().into());
        if let Some(component) = &dimension.component {
            row.insert("component".into(), component.clone().into());
        }
        row.insert("readings".into(), vec![dimension.reading()].into());
        row.insert("taken".into(), "on the drawing".into());
        row.insert("instrument".into(), format!("scale of photograph {}", short(&self.photograph.sha256)).into());
        row.insert("evidence".into(), "published".into());
        let note = format!(
            "Taken off the drawing of {} at {}, enlarged; the ± holds pointing, scale, a line of {} mm and paper out by {} %.",
            dimension.piece,
            report::ratio(terms.ratio),
            terms.line_mm,
            terms.paper * 100.0
        );
        row.insert("note".into(), note.into());
        row
    }
}
