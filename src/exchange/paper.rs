//! The examination sheet on paper: the same fields as an HTML page to print and fill in with a pencil.

use serde::Serialize;

use crate::record::form::{Field, Form, Record, Rows};
use crate::record::{Examination, PieceFile};
use crate::vocabulary::Term;

/// The form as the page wants it.
#[derive(Debug, Serialize)]
pub struct PaperForm {
    /// The accession number, or blank.
    pub number: String,
    /// The kind of garment, in a word.
    pub garment: Option<String>,
    /// The sections in order.
    pub sections: Vec<Section>,
}

/// One section: fields with a line each, or a table with empty rows.
#[derive(Debug, Default, Serialize)]
pub struct Section {
    /// Its heading.
    pub title: String,
    /// The line that teaches.
    pub help: String,
    /// Fields with a line each.
    pub blanks: Vec<Blank>,
    /// Column heads of a table.
    pub columns: Vec<Column>,
    /// Rows of the table: what stands in the first columns already.
    pub rows: Vec<Vec<String>>,
}

/// One column of a table.
#[derive(Debug, Serialize)]
pub struct Column {
    /// Its head, in words.
    pub name: String,
    /// Its share of the width, in percent.
    pub percent: u32,
}

/// How many parts of a table's width a column takes: words and readings need room, counts do not.
fn parts(name: &str) -> u32 {
    match name {
        "readings" | "done" | "seen" | "description" | "place" | "basis" | "placing" | "treated" | "channel" => 4,
        "count" | "side" => 1,
        "component" | "damage" | "extent" | "purpose" | "density" | "dimension" | "fibres" | "name" | "thread"
        | "tested" => 3,
        _ => 2,
    }
}

/// One field to fill in.
#[derive(Debug, Serialize)]
pub struct Blank {
    /// Its name, in words.
    pub name: String,
    /// The line that teaches.
    pub help: String,
}

/// Sections that are filled in at a desk, not at the table.
const NOT_AT_THE_TABLE: [&str; 9] =
    ["person", "event", "move", "display", "care", "made_after", "departure", "work", "treatment"];

/// Columns left out of the tables, so that their rows stay wide enough to write in.
const CROWDED: [&str; 7] = ["continues", "finish", "colours", "selvedge", "loom width", "dye", "name"];

/// The form for a piece, with the components and dimensions that belong to the kind of garment.
pub fn form(number: &str, garment: Option<&Term>) -> PaperForm {
    let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    let mut paper = Paper { sections: Vec::new(), garment };
    file.sections(Some(0), &mut paper);
    PaperForm { number: number.into(), garment: garment.map(|g| g.id.name().to_owned()), sections: paper.sections }
}

struct Paper<'a> {
    sections: Vec<Section>,
    garment: Option<&'a Term>,
}

impl Paper<'_> {
    fn empty_rows(&self, section: &str) -> Vec<Vec<String>> {
        let named = |names: &[String], spare: usize| {
            let mut rows: Vec<Vec<String>> = names.iter().map(|n| vec![n.clone()]).collect();
            rows.resize(rows.len() + spare, Vec::new());
            rows
        };
        match (section, self.garment) {
            ("measurement", Some(garment)) => {
                let mut rows = named(&garment.dimensions, 4);
                rows.iter_mut().for_each(|row| row.insert(0, String::new()));
                rows
            }
            ("component", Some(garment)) => named(&garment.components, 3),
            ("measurement" | "component", None) => named(&[], 12),
            ("condition" | "stitching", _) => named(&[], 9),
            ("textile" | "step", _) => named(&[], 5),
            ("overall", _) => named(&[], 1),
            _ => named(&[], 3),
        }
    }
}

impl Form for Paper<'_> {
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let blanks = blanks(row);
        self.sections.push(Section { title: words(field.name), help: field.help.into(), blanks, ..Section::default() });
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        if NOT_AT_THE_TABLE.contains(&field.name) {
            return;
        }
        let all = blanks(rows.add());
        rows.drop_last();
        let mut section = Section { title: words(field.name), help: field.help.into(), ..Section::default() };
        if field.name == "overall" {
            section.blanks = all;
        } else {
            let fits = |name: &String| field.name == "component" || !CROWDED.contains(&name.as_str());
            let names: Vec<_> = all.into_iter().map(|b| b.name).filter(fits).collect();
            let whole: u32 = names.iter().map(|name| parts(name)).sum();
            section.columns =
                names.into_iter().map(|name| Column { percent: 100 * parts(&name) / whole.max(1), name }).collect();
            section.rows = self.empty_rows(field.name);
        }
        self.sections.push(section);
    }
}

fn blanks(record: &mut dyn Record) -> Vec<Blank> {
    let blank = |(name, help): (String, &str)| Blank { name: words(&name), help: help.to_owned() };
    super::sheet::fields_of(record).into_iter().map(blank).collect()
}

fn words(name: &str) -> String {
    name.replace('_', " ")
}
