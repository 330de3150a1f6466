//! Cell by cell into the record of one row.

mod finish;

use std::borrow::Cow;

use super::fill::{self, Outcome, Place, Words};
use super::mapping::Column;
use super::reading::{Doubt, Reader, file_names, row_key};
use super::reported::textile_in_words;
use super::table::{Cell, Type, plain};
use super::target::Target;
use super::{materials, measures, notes, state};
use crate::exchange::line::{Section, Takes};
use crate::exchange::sheet::quoted;
use crate::record::blanks::fill_blanks;
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::piece::Component;
use crate::record::textile::Textile;
use crate::record::{Examination, Observed, PieceFile, accession};
use crate::vocabulary::{Scheme, TermId};

/// Cells that say nothing.
const SAYS_NOTHING: [&str; 12] = ["-", "--", "–", "—", "n/a", "na", "n.a.", "nil", ".", "x", "?", "??"];

/// What is told of a cell whose words are kept and not read.
pub(super) const KEPT: &str = "kept as a note";

/// A row on its way.
pub(super) struct Draft<'a, 'b> {
    reader: &'b Reader<'a>,
    pub(super) file: PieceFile,
    pub(super) doubts: Vec<Doubt>,
    notes: Vec<String>,
    pub(super) photographs: Vec<String>,
    /// Which record of a section belongs to which fields that go with it.
    records: Vec<(&'static str, Vec<(String, String)>, usize)>,
    /// What was read into which record of a section.
    filled: Vec<Filled>,
    /// Headings of cells that were read into a record which could not stand.
    pub(super) taken_back: Vec<String>,
}

/// A cell that was read into a record of a section.
struct Filled {
    section: &'static str,
    at: usize,
    heading: String,
    text: String,
}

impl Filled {
    fn is_of(&self, section: &str, at: usize) -> bool {
        self.section == section && self.at == at
    }
}

/// Whether a cell says nothing.
pub(super) fn is_blank(text: &str) -> bool {
    let text = text.trim();
    text.is_empty() || SAYS_NOTHING.contains(&text.to_lowercase().as_str())
}

impl<'a, 'b> Draft<'a, 'b> {
    pub(super) fn new(reader: &'b Reader<'a>) -> Self {
        Self {
            reader,
            file: PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() },
            doubts: Vec::new(),
            notes: Vec::new(),
            photographs: Vec::new(),
            records: Vec::new(),
            filled: Vec::new(),
            taken_back: Vec::new(),
        }
    }
}

impl Draft<'_, '_> {
    fn doubt(&mut self, column: &Column, cell: &Cell, why: impl Into<String>, mend: impl Into<String>, unread: bool) {
        self.doubts.push(Doubt {
            heading: column.heading.clone(),
            text: cell.text.clone(),
            why: why.into(),
            mend: mend.into(),
            unread,
        });
    }

    /// Reads one cell; what was read comes back in words.
    pub(super) fn cell(&mut self, column: &Column, cell: &Cell, row: u32) -> String {
        if matches!(column.target, Target::Nothing | Target::Worth) {
            return String::new();
        }
        if cell.has_failed() {
            self.doubt(column, cell, "the formula of the cell failed", "look what it was meant to say", true);
            return String::new();
        }
        let changed = column.instead.get(cell.text.trim()).map(|text| Cell { text: text.clone(), is: cell.is });
        let said = changed.as_ref().unwrap_or(cell);
        if changed.is_some() && is_blank(&said.text) {
            return String::new();
        }
        match &column.target {
            Target::Nothing | Target::Worth => String::new(),
            target if target.is("piece.number") => self.number(column, said, row),
            Target::Field { section, field } => self.field(column, section, field, said),
            Target::Dimensions => self.dimensions(column, said),
            Target::Materials => self.materials(column, said),
            Target::Condition => self.condition(said),
            Target::Mixed => self.merged(column, said),
            Target::Note => self.note(&column.heading, said),
            Target::Photographs => {
                let names: Vec<String> = file_names(&said.text).collect();
                self.photographs.extend(names.iter().cloned());
                names.join(", ")
            }
        }
    }

    fn number(&mut self, column: &Column, cell: &Cell, row: u32) -> String {
        let mapping = self.reader.mapping;
        let written = plain(&cell.text);
        let key = self.reader.key(row, &written);
        // A whole number that was made one with a nought behind the point.
        let number = mapping.numbers.get(&key).or_else(|| mapping.numbers.get(&written)).cloned();
        let number = number.unwrap_or_else(|| {
            if cell.is == Type::Number { written.trim_end_matches(".0").to_owned() } else { written.clone() }
        });
        let bare = row_key(row);
        if !written.is_empty() && mapping.numbers.contains_key(&bare) {
            self.doubt(
                column,
                cell,
                format!(
                    "`{bare}` under [numbers] is for a row without a number; this one has `{written}`, and keeps it"
                ),
                format!("write {} if this row is meant; rows may have come in above it", quoted(&key)),
                false,
            );
        }
        if let Err(why) = accession::check(&number) {
            self.doubt(
                column,
                cell,
                why,
                format!("add {} = \"the number\" under [numbers] in the mapping", quoted(&key)),
                true,
            );
            return String::new();
        }
        if written.starts_with('=') {
            self.doubt(
                column,
                cell,
                "this looks like a formula, not like a number",
                "correct it under [numbers] in the mapping",
                true,
            );
            return String::new();
        }
        if !number.contains(|c: char| c.is_numeric()) {
            self.doubt(
                column,
                cell,
                "a number without a figure",
                "correct it under [numbers] in the mapping, if it is none",
                false,
            );
        }
        let parted = accession::parted(&number);
        let mut read = number.clone();
        if let Some((first, last)) = &parted.ends {
            self.doubt(
                column,
                cell,
                format!("which parts lie between {first} and {last}? They are not spelled out"),
                "list them under [[component]] in the sheet of the piece",
                false,
            );
        }
        let letters = parted.parts.iter().filter(|p| p.chars().all(char::is_alphabetic));
        let parts: Vec<String> = letters.cloned().collect();
        if !parts.is_empty() {
            read = format!("{number}, with the parts {}", parts.join(", "));
        }
        for part in parts {
            self.component(&part);
        }
        // 2031.10 is 2031.1 to a spreadsheet program.
        if cell.is == Type::Number && number.contains('.') {
            self.doubt(
                column,
                cell,
                "the cell holds a number, not a text: noughts at its end are lost, and 2031.10 has become 2031.1",
                "look it up; correct it under [numbers] in the mapping",
                false,
            );
        }
        self.file.piece.number = Some(number);
        read
    }

    /// A component of this name, made if it is new.
    fn component(&mut self, name: &str) {
        if !self.file.components.iter().any(|c| c.name.as_deref() == Some(name)) {
            self.file.components.push(Component { name: Some(name.to_owned()), ..Component::default() });
        }
    }

    fn field(&mut self, column: &Column, section: &'static str, field: &'static str, cell: &Cell) -> String {
        let with: Vec<(String, String)> = column.with.iter().map(|(k, v)| (k.clone(), v.clone())).collect();
        // Of measures each column is one of its own; else columns with the same fields beside them fill one record.
        let alone = section == "measurement" || section == "person";
        let known = self.records.iter().find(|(s, w, _)| !alone && *s == section && *w == with).map(|(.., at)| *at);
        let known = known.or_else(|| self.cloth(section, &with));
        let mut at = known;
        if known.is_none() {
            for (field, value) in &with {
                let place = Place { section, field, at, unit: None };
                let (made, outcome) = fill::fill(&mut self.file, place, &Cell::text(value.clone()), &self.reader.words);
                at = at.or(made);
                if let Some(why) = outcome.doubt {
                    self.doubt(column, cell, format!("`with`: {why}"), "correct `with` in the mapping", true);
                }
            }
        }
        let hedged = is_hedged(&cell.text);
        let place = Place { section, field, at, unit: column.unit.as_deref() };
        let words = Words { day_first: column.day_first.or(self.reader.words.day_first), ..self.reader.words };
        let (made, outcome) = fill::fill(&mut self.file, place, &without_hedge(cell, section, field), &words);
        let Outcome { read, doubt, in_part } = outcome;
        if in_part {
            self.note(&column.heading, cell);
        }
        match (&read, made.or(at)) {
            (Some(_), Some(at)) => {
                let (heading, text) = (column.heading.clone(), cell.text.clone());
                self.filled.push(Filled { section, at, heading, text });
                if known.is_none() {
                    self.records.push((section, with, at));
                }
            }
            (None, _) if known.is_none() && at.is_some() => self.take_away(section),
            _ => {}
        }
        if hedged
            && section == "measurement"
            && read.is_some()
            && let Some(last) = self.exam().measurements.last_mut()
        {
            last.certainty = Some(TermId::new(Scheme::Certainty, "possible"));
        }
        if section == "piece" && field == "object_name" {
            self.garment(&cell.text);
        }
        let doubt = doubt.or_else(|| {
            hedged.then(|| "the list itself doubts it".to_owned()).filter(|_| field != "description" && field != "date")
        });
        if let Some(why) = doubt {
            let unread = read.is_none();
            let mend = if unread {
                format!(
                    "write what is meant as instead.{} = \"...\" below the column in the mapping",
                    quoted(cell.text.trim())
                )
            } else {
                "look whether it is so".into()
            };
            self.doubt(column, cell, why, mend, unread);
        }
        match read {
            Some(read) => format!("{section}.{field}: {read}"),
            None => {
                // What could not be read is kept in words.
                self.note(&column.heading, cell);
                String::new()
            }
        }
    }

    /// Takes the last record of a section away again, that was begun for a cell which could not be read.
    fn take_away(&mut self, section: &'static str) {
        struct Last(&'static str);
        impl Form for Last {
            fn id(&mut self, _: &mut Option<String>) {}
            fn row(&mut self, _: Field, _: &mut dyn Record) {}
            fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
                if field.name == self.0 {
                    rows.drop_last();
                }
            }
        }
        self.file.sections(Some(0), &mut Last(section));
    }

    /// The kind of garment that an object's name tells.
    fn garment(&mut self, name: &str) {
        if self.file.piece.garment.is_some() {
            return;
        }
        let vocabulary = self.reader.words.vocabulary;
        let known = |text: &str| vocabulary.known(Scheme::Garment, text).map(|t| t.id.clone());
        let head = name.split([',', ';', '(', '\n', '?']).next().unwrap_or(name).trim();
        let last = head.rsplit(' ').next().unwrap_or(head);
        self.file.piece.garment = known(name.trim()).or_else(|| known(head)).or_else(|| known(last));
    }

    /// The one cloth with this role that another column has told of: a colour beside it is its colour.
    fn cloth(&self, section: &str, with: &[(String, String)]) -> Option<usize> {
        let [(field, role)] = with else { return None };
        if section != "textile" || field != "role" {
            return None;
        }
        let textiles = &self.file.examinations.first()?.textiles;
        let is_it = |textile: &Observed<Textile>| textile.what.role.as_ref().is_some_and(|r| r.name() == role);
        let mut of_role = textiles.iter().enumerate().filter(|(_, textile)| is_it(textile));
        let (at, _) = of_role.next()?;
        of_role.next().is_none().then_some(at)
    }

    /// Adds a cloth; where a column has told of its colour alone before, that is the same cloth.
    fn add_cloth(&mut self, mut textile: Observed<Textile>) {
        let role = textile.what.role.as_ref().map(|role| role.name().to_owned()).unwrap_or_default();
        let at = self.cloth("textile", &[("role".into(), role)]);
        let told = at.map(|at| &mut self.exam().textiles[at]);
        match told.filter(|told| told.what.fibres.is_empty() && told.what.structure.is_none() && told.note.is_none()) {
            Some(told) if told.component == textile.component => {
                fill_blanks(&mut textile, told);
                *told = textile;
            }
            _ => self.exam().textiles.push(textile),
        }
    }

    fn exam(&mut self) -> &mut Examination {
        if self.file.examinations.is_empty() {
            self.file.examinations.push(Examination::default());
        }
        &mut self.file.examinations[0]
    }

    fn dimensions(&mut self, column: &Column, cell: &Cell) -> String {
        let found = measures::read(&cell.text, &column.order, column.unit.as_deref(), self.reader.words.vocabulary);
        for measurement in found.measurements {
            if let Some(part) = &measurement.component {
                self.component(&part.clone());
            }
            self.exam().measurements.push(measurement);
        }
        if !found.doubts.is_empty() {
            self.doubt(
                column,
                cell,
                found.doubts.join("; "),
                "look at the piece, or correct the mapping",
                found.is_unread,
            );
            if found.is_unread {
                self.note(&column.heading, cell);
            }
        }
        found.read.join("; ")
    }

    fn materials(&mut self, column: &Column, cell: &Cell) -> String {
        let found = materials::read(&cell.text, self.reader.words.vocabulary);
        let read: Vec<String> = found.textiles.iter().map(textile_in_words).collect();
        for textile in found.textiles {
            if let Some(part) = &textile.component {
                self.component(&part.clone());
            }
            self.add_cloth(textile);
        }
        if !found.unread.is_empty() {
            let why = format!("no fibre, cloth or finish is found in `{}`", found.unread.join("`, `"));
            let mend = format!(
                "write what is meant as instead.{} = \"...\" below the column in the mapping",
                quoted(cell.text.trim())
            );
            self.doubt(column, cell, why, mend, true);
        }
        if !found.doubts.is_empty() {
            self.doubt(column, cell, found.doubts.join("; "), "look at the piece", false);
        }
        read.join("; ")
    }

    fn condition(&mut self, cell: &Cell) -> String {
        let found = state::read(&cell.text, self.reader.words.vocabulary);
        let exam = self.exam();
        exam.conditions.extend(found.conditions);
        match exam.overall.first_mut() {
            Some(overall) => {
                let graded = overall.what.grade.as_ref().is_some_and(|g| g.name() != "not graded");
                if !graded {
                    overall.what.grade = found.overall.what.grade;
                }
                let before = overall.what.statement.take().unwrap_or_default();
                overall.what.statement =
                    Some(format!("{before}\n{}", found.overall.what.statement.unwrap_or_default()));
            }
            None => exam.overall.push(found.overall),
        }
        if found.read.is_empty() { "words on the state".into() } else { found.read.join(", ") }
    }

    fn note(&mut self, heading: &str, cell: &Cell) -> String {
        let text = fill::clean(&cell.text);
        if text.is_empty() {
            return String::new();
        }
        self.notes.push(format!("{heading}: {text}"));
        KEPT.into()
    }

    /// Several things in one cell: what has a label is read as its column would be, a measure as a measure.
    fn merged(&mut self, column: &Column, cell: &Cell) -> String {
        self.note(&column.heading, cell);
        let mut read = vec![KEPT.to_owned()];
        for part in notes::parts(&fill::clean(&cell.text), self.reader.words.vocabulary) {
            let inner = Column {
                heading: column.heading.clone(),
                target: part.target,
                with: part.with.into_iter().collect(),
                unit: part.unit,
                ..Column::default()
            };
            if let Some(word) = inner.target.shows_words() {
                // A note stays at home. What it calls the maker or the name of the piece would be shown to everybody.
                let why = format!("`{}` may be for `{word}`, which is published; it was left in the note", part.text);
                self.doubt(column, cell, why, "enter it on the sheet of the piece, if others may read it", false);
                continue;
            }
            let taken = Cell::text(part.text.clone());
            let (notes, doubts) = (self.notes.len(), self.doubts.len());
            let said = match &inner.target {
                Target::Field { section, field } => self.field(&inner, section, field, &taken),
                Target::Dimensions => self.dimensions(&inner, &taken),
                Target::Materials => self.materials(&inner, &taken),
                Target::Condition => self.condition(&taken),
                _ => String::new(),
            };
            // The whole cell is a note already, and what it says on the way may be said better by a column of its own.
            self.notes.truncate(notes);
            if said.is_empty() {
                self.doubts.truncate(doubts);
            } else {
                let doubt = format!("`{}` was read as {said}", part.text);
                self.doubt(column, cell, doubt, "look whether it is so; the whole cell is kept as a note", false);
                read.push(said);
            }
        }
        read.join("; ")
    }
}

/// Whether the list itself doubts what it says.
fn is_hedged(text: &str) -> bool {
    text.trim_end().ends_with('?')
}

/// A cell as it is read: of a term or a measure, `box?` says which, and doubts it.
pub(super) fn without_hedge<'c>(cell: &'c Cell, section: &str, field: &str) -> Cow<'c, Cell> {
    if !is_hedged(&cell.text) {
        return Cow::Borrowed(cell);
    }
    let slot = Section::named(section).and_then(|section| section.slot(field));
    if matches!(slot.map(|slot| &slot.takes), Some(Takes::Term(..) | Takes::Quantity(..))) {
        Cow::Owned(Cell { text: cell.text.trim_end_matches(['?', ' ']).to_owned(), is: cell.is })
    } else {
        Cow::Borrowed(cell)
    }
}
