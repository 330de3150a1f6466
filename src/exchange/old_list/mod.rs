//! An old list held against the catalogue: read by its mapping, with what becomes of every row; tried or entered, all of it
//! or nothing; what is to be worked down afterwards; and whose the photographs are. Both doors import through this.

pub mod pictures;

use jiff::civil::Date;
use rayon::prelude::*;

use super::import::list::Line;
use super::import::mapping::{Layout, Mapping};
use super::import::plan::{self, Door, Fate, Known};
use super::import::table::Headings;
use super::import::target::Target;
use super::import::{self, Kind, Origin, Reader, Reading, Table, Words};
use crate::catalogue::{Catalogue, Fault, Imported, Incoming, Intent, Result};
use crate::safekeeping::Watch;
use crate::words::count;

/// A list to be read, and how.
#[derive(Debug)]
pub struct Given<'a> {
    /// Name of the file, without its folder.
    pub name: &'a str,
    /// Its bytes.
    pub bytes: &'a [u8],
    /// The mapping that a person has corrected; without one it is proposed.
    pub mapping: Option<Mapping>,
    /// The sheet of a workbook, where the mapping is not to say it.
    pub sheet: Option<String>,
    /// Who imports, and on which day.
    pub importer: &'a str,
    /// See `importer`.
    pub today: Date,
    /// Whose words say what to do.
    pub door: Door,
}

/// Why a list could not be read.
#[derive(Debug)]
pub enum Unread {
    /// What is wrong with the list: a sentence.
    List(String),
    /// The catalogue refuses.
    Catalogue(Fault),
}

impl From<Fault> for Unread {
    fn from(fault: Fault) -> Self {
        Self::Catalogue(fault)
    }
}

/// A list that was read.
#[derive(Debug)]
pub struct Read {
    /// Name of the file.
    pub name: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// What kind of file it is.
    pub kind: Kind,
    /// Its cells.
    pub table: Table,
    /// How it was read.
    pub mapping: Mapping,
    /// What would be proposed for it: how sure that is, and some cells of each column.
    pub proposal: Mapping,
    /// Whether the mapping is that proposal.
    pub proposed: bool,
    /// The columns.
    pub headings: Headings,
    /// Every row, as read.
    pub readings: Vec<Reading>,
    /// What becomes of each.
    pub fates: Vec<Fate>,
    door: Door,
}

/// Reads a list.
///
/// # Errors
/// If it is none, is damaged or too large, or if the catalogue cannot be asked.
pub fn read(catalogue: &Catalogue, given: Given<'_>) -> std::result::Result<Read, Unread> {
    let Given { name, bytes, mut mapping, sheet, importer, today, door } = given;
    let mut layout = mapping.as_ref().map_or_else(Layout::default, |m| m.file.clone());
    layout.sheet = sheet.or(layout.sheet);
    let (table, proposal) = proposed(catalogue, bytes, &layout)?;
    let conventions = catalogue.conventions()?;
    let vocabulary = catalogue.vocabulary();
    let proposed = mapping.is_none();
    if let Some(given) = &mut mapping {
        given.settle_days(&table);
    }
    let mapping = mapping.unwrap_or_else(|| proposal.clone());
    let headings = mapping.headings(&table);
    let sha256 = crate::digest::sha256(bytes);
    let origin = Origin { file: name, sha256: &sha256, sheet: table.sheet.as_deref(), today, importer };
    let rows: Vec<_> = table.body(&headings).collect();
    let words = Words { vocabulary, conventions: &conventions, day_first: mapping.file.day_first };
    let reader = Reader::new(&mapping, &headings, words, origin).among(rows.iter().copied());
    let readings: Vec<Reading> = rows.par_iter().map(|row| reader.read(row)).collect();
    let (numbers, purged) = catalogue.numbers_ever()?;
    let fates = plan::fates(&readings, &Known { rows: catalogue.source_rows()?, numbers, purged, door });
    let (name, kind) = (name.to_owned(), Kind::of(bytes));
    Ok(Read { name, sha256, kind, table, mapping, proposal, proposed, headings, readings, fates, door })
}

/// The cells of a list that is laid out so, and a mapping proposed by looking at them.
///
/// # Errors
/// If it is none, is damaged or too large, or if the catalogue cannot be asked.
pub fn proposed(catalogue: &Catalogue, bytes: &[u8], layout: &Layout) -> std::result::Result<(Table, Mapping), Unread> {
    let table = import::open(bytes, layout).map_err(Unread::List)?;
    let conventions = catalogue.conventions()?;
    let words = Words { vocabulary: catalogue.vocabulary(), conventions: &conventions, day_first: layout.day_first };
    let proposal = import::propose(&table, layout, &words);
    Ok((table, proposal))
}

impl Read {
    /// Every row with what becomes of it.
    pub fn rows(&self) -> impl Iterator<Item = (&Reading, &Fate)> {
        self.readings.iter().zip(&self.fates)
    }

    /// How many rows enter.
    pub fn new_rows(&self) -> usize {
        self.fates.iter().filter(|fate| **fate == Fate::New).count()
    }

    /// How many rows say something else than when they were imported.
    pub fn changed_rows(&self) -> usize {
        self.fates.iter().filter(|fate| matches!(fate, Fate::Changed(_))).count()
    }

    /// How many rows have each fate, in the order in which the list has them.
    pub fn by_fate(&self) -> Vec<(&'static str, usize)> {
        let mut parts: Vec<(&str, usize)> = Vec::new();
        for fate in &self.fates {
            match parts.iter_mut().find(|(word, _)| *word == fate.word()) {
                Some((_, n)) => *n += 1,
                None => parts.push((fate.word(), 1)),
            }
        }
        parts
    }

    /// The same in words.
    pub fn sums(&self) -> String {
        let list: Vec<String> = self.by_fate().iter().map(|(word, n)| format!("{n} {word}")).collect();
        let list = if list.is_empty() { "none".into() } else { list.join(", ") };
        format!("{}: {list}", count(self.fates.len(), "row"))
    }

    /// How the file is written: its encoding and the sign between its cells, or its sheet.
    pub fn written(&self) -> String {
        match (&self.table.written, &self.table.sheet) {
            (Some(written), _) => {
                let sign = match written.delimiter {
                    '\t' => "a tab".to_owned(),
                    sign => format!("`{sign}`"),
                };
                format!("{}, {sign} between the cells", written.encoding)
            }
            (None, Some(sheet)) => format!("sheet `{}`", import::table::plain(sheet)),
            (None, None) => String::new(),
        }
    }

    /// The reason that the journal is given where nobody says another.
    pub fn reason(&self) -> String {
        format!("imported from `{}`", self.name)
    }

    /// What is to be looked at of one row because of what becomes of it.
    pub fn to_look_at(&self, fate: &Fate, number: &str) -> Option<import::Doubt> {
        plan::to_look_at(fate, number, self.door)
    }

    /// What is to be looked at: of the list as a whole, then row by row. What was doubtful when a row was entered is told as
    /// long as the mapping does not answer it: a list that is imported again for its new rows is still worked down.
    pub fn to_do(&self) -> Vec<Line> {
        let mut lines = self.of_the_whole();
        for (reading, fate) in self.rows() {
            let number = reading.file.number().to_owned();
            let line = |doubt| Line { row: Some(reading.row), number: number.clone(), doubt };
            lines.extend(self.to_look_at(fate, &number).map(line));
            if matches!(fate, Fate::New | Fate::Known | Fate::LeftOut(..)) {
                lines.extend(reading.doubts.iter().cloned().map(line));
            }
        }
        lines
    }

    /// What is to be looked at of headings, and of columns that no field can take.
    fn of_the_whole(&self) -> Vec<Line> {
        let mut lines = Vec::new();
        for (row, found) in self.table.swallowed().filter(|(row, _)| row.number <= self.headings.row) {
            let mend = import::Swallowed::mend(row.number);
            let doubt = import::Doubt { why: found.why(), mend, unread: true, ..import::Doubt::default() };
            lines.push(Line { row: Some(row.number), number: String::new(), doubt });
        }
        for column in self.mapping.column.iter().filter(|column| column.target == Target::Worth) {
            let filled = |reading: &&Reading| {
                reading.source.cells.iter().any(|c| c.heading == column.heading && !c.text.trim().is_empty())
            };
            let cells = self.readings.iter().filter(filled).count();
            if cells > 0 {
                let doubt = import::Doubt {
                    heading: column.heading.clone(),
                    why: format!(
                        "what a piece cost or is worth has no field that keeps it from the public: {} {} kept with the pieces \
                         as they stood, and not read",
                        count(cells, "cell"),
                        if cells == 1 { "is" } else { "are" }
                    ),
                    mend: "look them up on the pieces; take the column for another field in the mapping if they may be read".into(),
                    unread: true,
                    ..import::Doubt::default()
                };
                lines.push(Line { row: None, number: String::new(), doubt });
            }
        }
        lines
    }

    /// Enters the rows that are new, and keeps the new wording of those that changed beside the old where that is wished:
    /// all of it or nothing. A dry run tries it and takes it back.
    ///
    /// # Errors
    /// If the catalogue refuses one of them; a new one is named by its row. [`Fault::Stopped`] if the rest is not wanted.
    pub fn enter(
        &self,
        catalogue: &mut Catalogue,
        keep_changed: bool,
        intent: &Intent,
        watch: &dyn Watch,
    ) -> Result<Imported> {
        let new = self.rows().filter(|(_, fate)| **fate == Fate::New);
        let incoming: Vec<Incoming> =
            new.map(|(reading, _)| Incoming { file: reading.file.clone(), source: reading.source.clone() }).collect();
        let changed = self.rows().filter(|(_, fate)| keep_changed && matches!(fate, Fate::Changed(_)));
        let later: Vec<_> = changed.map(|(r, _)| (r.file.number().to_owned(), r.source.clone())).collect();
        if incoming.is_empty() && later.is_empty() {
            return Ok(Imported::default());
        }
        watch.begin(if intent.dry_run { "pieces tried" } else { "pieces" }, incoming.len() as u64);
        catalogue.import(&incoming, &later, intent, &mut || {
            watch.more(1);
            watch.go_on()
        })
    }

    /// The numbers of pieces that enter or are known by this list, with the files that their rows name.
    fn pieces(&self) -> impl Iterator<Item = (&str, &[String])> {
        let there = |fate: &Fate| matches!(fate, Fate::New | Fate::Known | Fate::ReadOtherwise(_) | Fate::Changed(_));
        let rows = self.rows().filter(move |(_, fate)| there(fate));
        rows.map(|(reading, _)| (reading.file.number(), reading.photographs.as_slice()))
    }
}
