//! A row of the list read into a record, with every doubt.

use jiff::civil::Date;
use serde::Serialize;

use super::fill::{self, Outcome, Place, Words};
use super::headings;
use super::mapping::{Column, Mapping};
use super::table::{Cell, Headings, Row, Type, plain};
use super::target::Target;
use super::{materials, measures, notes, state};
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::piece::Component;
use crate::record::source::{SourceCell, SourceRow};
use crate::record::{Examination, Observed, PieceFile, accession};
use crate::vocabulary::{Scheme, TermId};

/// Something about a cell that a person should look at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Doubt {
    /// The heading of the column; blank where the row as a whole is meant.
    pub heading: String,
    /// What stands in the cell.
    pub text: String,
    /// What is doubtful.
    pub why: String,
    /// What to do.
    pub mend: String,
    /// Whether something was not read at all; else it was read and may be wrong.
    pub unread: bool,
}

/// A row as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The row, from 1.
    pub row: u32,
    /// The record; its number is blank where the row has none.
    pub file: PieceFile,
    /// The cells as they stood, beside what was read.
    pub source: SourceRow,
    /// What to look at.
    pub doubts: Vec<Doubt>,
    /// Names of files of photographs that the row gives.
    pub photographs: Vec<String>,
    /// Why the row is no piece, if it is none.
    pub no_piece: Option<String>,
}

/// What a list is read by.
pub struct Reader<'a> {
    /// How.
    pub mapping: &'a Mapping,
    /// The columns.
    pub headings: &'a Headings,
    /// The terms and conventions.
    pub words: Words<'a>,
    /// Name of the file.
    pub file: &'a str,
    /// SHA-256 of its bytes.
    pub sha256: &'a str,
    /// The sheet of a workbook.
    pub sheet: Option<&'a str>,
    /// The day to stand for that of the list where it is not known, and who imports.
    pub today: Date,
    /// See `today`.
    pub importer: &'a str,
}

/// Cells that say nothing.
const SAYS_NOTHING: [&str; 12] = ["-", "--", "–", "—", "n/a", "na", "n.a.", "nil", ".", "x", "?", "??"];

/// Words that a row of sums begins with.
const SUMS: [&str; 9] = ["total", "totals", "sum", "grand total", "subtotal", "count", "summe", "gesamt", "totaal"];

/// A row on its way.
struct Draft<'a, 'b> {
    reader: &'b Reader<'a>,
    file: PieceFile,
    doubts: Vec<Doubt>,
    notes: Vec<String>,
    photographs: Vec<String>,
    /// Which record of a section belongs to which fields that go with it.
    records: Vec<(&'static str, Vec<(String, String)>, usize)>,
}

impl Reader<'_> {
    /// Reads a row.
    pub fn read(&self, row: &Row) -> Reading {
        let mut draft = Draft {
            reader: self,
            file: PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() },
            doubts: Vec::new(),
            notes: Vec::new(),
            photographs: Vec::new(),
            records: Vec::new(),
        };
        let mut cells = Vec::with_capacity(self.headings.names.len());
        let blank = Cell::default();
        for (at, heading) in self.headings.names.iter().enumerate() {
            let cell = row.cells.get(at).unwrap_or(&blank);
            let column = self.mapping.of(heading);
            let target = column.map_or(Target::Nothing, |c| c.target.clone());
            let read = match column {
                Some(column) if !is_blank(&cell.text) => draft.cell(column, cell, row.number),
                _ => String::new(),
            };
            cells.push(SourceCell {
                heading: heading.clone(),
                text: cell.text.clone(),
                taken_for: target.word(),
                read,
            });
        }
        let no_piece = self.no_piece(row, &draft);
        if draft.file.piece.number.is_none() && no_piece.is_none() {
            let by_row = self.mapping.numbers.get(&format!("row {}", row.number));
            draft.file.piece.number = by_row.cloned();
        }
        draft.finish();
        let source = SourceRow {
            id: None,
            file: self.file.to_owned(),
            file_sha256: self.sha256.to_owned(),
            sheet: self.sheet.map(String::from),
            row: row.number,
            cells,
        };
        let Draft { file, doubts, photographs, .. } = draft;
        Reading { row: row.number, file, source, doubts, photographs, no_piece }
    }

    /// Why a row without a number is no piece of the list: headings again, sums, a title between rows.
    fn no_piece(&self, row: &Row, draft: &Draft<'_, '_>) -> Option<String> {
        let filled = |at: usize| plain(row.text(at));
        let same = self.headings.names.iter().enumerate().filter(|(at, name)| {
            let text = filled(*at);
            !text.is_empty() && (text == **name || name.ends_with(&format!(" / {text}")))
        });
        if row.filled() > 1 && same.count() == row.filled() {
            return Some("the headings again".into());
        }
        let first = row.cells.iter().map(|c| headings::bare(&c.text)).find(|t| !t.is_empty()).unwrap_or_default();
        let others_are_figures = row
            .cells
            .iter()
            .filter(|c| !c.text.trim().is_empty())
            .skip(1)
            .all(|c| c.text.trim().chars().all(|c| c.is_ascii_digit() || " .,€£$%".contains(c)));
        if SUMS.iter().any(|word| first == *word) && others_are_figures {
            return Some("a row of sums".into());
        }
        let number =
            draft.file.piece.number.as_ref().filter(|n| row.filled() > 1 || n.contains(|c: char| c.is_ascii_digit()));
        let numbered = number.is_some() || self.mapping.numbers.contains_key(&format!("row {}", row.number));
        (!numbered && row.filled() == 1 && self.headings.names.len() > 2)
            .then(|| "a title between the rows, or a line that was broken".into())
    }
}

fn is_blank(text: &str) -> bool {
    let text = text.trim();
    text.is_empty() || SAYS_NOTHING.contains(&text.to_lowercase().as_str())
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
    fn cell(&mut self, column: &Column, cell: &Cell, row: u32) -> String {
        if column.target == Target::Nothing {
            return String::new();
        }
        if cell.is == Type::Error || cell.text.starts_with("#REF!") || cell.text.starts_with("#N/A") {
            self.doubt(column, cell, "the formula of the cell failed", "look what it was meant to say", true);
            return String::new();
        }
        let changed = column.instead.get(cell.text.trim()).map(|text| Cell { text: text.clone(), is: cell.is });
        let said = changed.as_ref().unwrap_or(cell);
        if changed.is_some() && is_blank(&said.text) {
            return String::new();
        }
        match &column.target {
            Target::Nothing => String::new(),
            target if target.is("piece.number") => self.number(column, said, row),
            Target::Field { section, field } => self.field(column, section, field, said),
            Target::Dimensions => self.dimensions(column, said),
            Target::Materials => self.materials(column, said),
            Target::Condition => self.condition(said),
            Target::Notes => self.merged(column, said),
            Target::Note => self.note(&column.heading, said),
            Target::Photographs => {
                let names = said.text.split(['\n', ';', ',']).map(|n| fill::clean(n)).filter(|n| !n.is_empty());
                let names: Vec<String> = names.collect();
                self.photographs.extend(names.iter().cloned());
                names.join(", ")
            }
        }
    }

    fn number(&mut self, column: &Column, cell: &Cell, row: u32) -> String {
        let mapping = self.reader.mapping;
        let written = plain(&cell.text);
        // A whole number that was made one with a nought behind the point.
        let number = mapping.numbers.get(&written).or_else(|| mapping.numbers.get(&format!("row {row}"))).cloned();
        let number = number.unwrap_or_else(|| {
            if cell.is == Type::Number { written.trim_end_matches(".0").to_owned() } else { written.clone() }
        });
        if let Err(why) = accession::check(&number) {
            self.doubt(
                column,
                cell,
                why,
                format!("add \"row {row}\" = \"the number\" under [numbers] in the mapping"),
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
        let hedged = cell.text.trim_end().ends_with('?');
        let name = Cell { text: cell.text.trim_end_matches(['?', ' ']).to_owned(), is: cell.is };
        let takes_term =
            matches!(section, "housing" | "hazard") || matches!((section, field), ("piece", "garment" | "nature"));
        let said = if hedged && (takes_term || section == "measurement") { &name } else { cell };
        let place = Place { section, field, at, unit: column.unit.as_deref() };
        let (made, outcome) = fill::fill(&mut self.file, place, said, &self.reader.words);
        let Outcome { read, doubt } = outcome;
        match (&read, made.or(at)) {
            (Some(_), Some(at)) if known.is_none() => self.records.push((section, with, at)),
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
                    crate::exchange::sheet::quoted(cell.text.trim())
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
            self.exam().textiles.push(textile);
        }
        if !found.unread.is_empty() {
            let why = format!("no fibre, cloth or finish is found in `{}`", found.unread.join("`, `"));
            let mend = format!(
                "write what is meant as instead.{} = \"...\" below the column in the mapping",
                crate::exchange::sheet::quoted(cell.text.trim())
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
        "kept as a note".into()
    }

    /// Several things in one cell: what has a label is read as its column would be, a measure as a measure.
    fn merged(&mut self, column: &Column, cell: &Cell) -> String {
        self.note(&column.heading, cell);
        let mut read = vec!["kept as a note".to_owned()];
        for part in notes::parts(&fill::clean(&cell.text), self.reader.words.vocabulary) {
            let inner = Column {
                heading: column.heading.clone(),
                target: part.target,
                with: part.with.into_iter().collect(),
                unit: part.unit,
                order: Vec::new(),
                instead: Default::default(),
                sure: String::new(),
                examples: Vec::new(),
            };
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

    /// Fills in what goes without saying, and says how all of it is known.
    fn finish(&mut self) {
        let mapping = self.reader.mapping;
        for (target, value) in &mapping.fixed {
            let Target::Field { section, field } = target else { continue };
            let place = Place { section, field, at: None, unit: None };
            let mut trial = self.file.clone();
            // What a column says is not overwritten.
            if is_said(&self.file, field) {
                continue;
            }
            let (_, outcome) = fill::fill(&mut trial, place, &Cell::text(value.clone()), &self.reader.words);
            match outcome.read {
                Some(_) => self.file = trial,
                None => self.doubts.push(Doubt {
                    heading: String::new(),
                    text: value.clone(),
                    why: format!("[fixed] {}: {}", target.word(), outcome.doubt.unwrap_or_default()),
                    mend: "correct [fixed] in the mapping".into(),
                    unread: true,
                }),
            }
        }
        let piece = &mut self.file.piece;
        piece.nature.get_or_insert_with(|| TermId::new(Scheme::Nature, "extant"));
        if piece.object_name.is_none() {
            let garment = piece.garment.as_ref().map(|g| g.name().to_owned());
            let named = garment.or_else(|| piece.title.clone());
            if named.is_none() {
                self.doubts.push(Doubt {
                    heading: String::new(),
                    text: String::new(),
                    why: "the row does not say what the piece is".into(),
                    mend: "take a column for `piece.object_name`, or correct the piece later".into(),
                    unread: true,
                });
            }
            self.file.piece.object_name = Some(named.unwrap_or_else(|| "not named in the list".into()));
        }
        self.whereabouts();
        self.sitting();
    }

    /// Facts of a list that need what it does not say.
    fn whereabouts(&mut self) {
        // A person is kept with the part that they have; an event with its kind; a housing with its way of storage.
        for role in &mut self.file.people {
            role.role.get_or_insert_with(|| TermId::new(Scheme::PersonRole, "informant"));
        }
        for event in &mut self.file.events {
            event.event.get_or_insert_with(|| TermId::new(Scheme::Event, "acquisition"));
            event.source.get_or_insert_with(|| format!("old list `{}`", self.reader.file));
        }
    }

    /// The examination that the observations of the list belong to.
    fn sitting(&mut self) {
        let (reader, mapping) = (self.reader, self.reader.mapping);
        let notes = std::mem::take(&mut self.notes);
        let exam = self.exam();
        if !notes.is_empty() {
            let before = exam.about.note.take().map(|n| format!("{n}\n")).unwrap_or_default();
            exam.about.note = Some(format!("{before}{}", notes.join("\n")));
        }
        let bare = Examination { about: Default::default(), ..exam.clone() } == Examination::default();
        if bare && *exam == Examination::default() {
            self.file.examinations.clear();
            return;
        }
        if bare {
            // An examination in which nothing was observed would count as one; this one only tells.
            let mut overall = Observed::<crate::record::condition::Overall>::default();
            overall.what.grade = Some(TermId::new(Scheme::Grade, "not graded"));
            exam.overall.push(overall);
        }
        let about = &mut exam.about;
        about.date = about.date.or(mapping.examination.date).or(Some(reader.today));
        let examiner = about.examiner.take().or_else(|| mapping.examination.examiner.clone());
        about.examiner = Some(examiner.unwrap_or_else(|| reader.importer.to_owned()));
        about.reason.get_or_insert_with(|| format!("read from the old list `{}`", reader.file));
        about.not_examined.get_or_insert_with(|| "the piece itself: all of this is what the list says".into());
        let mut reported = Reported { hazard: false, depth: 0 };
        exam.sections(&mut reported);
        let mut named = Named(Vec::new());
        exam.sections(&mut named);
        for name in named.0 {
            self.component(&name);
        }
        self.file.name_components(reader.words.vocabulary);
    }
}

/// Whether a field of the piece says something.
fn is_said(file: &PieceFile, field: &str) -> bool {
    crate::exchange::line::written(&mut file.piece.clone()).1.iter().any(|w| w.field == field)
}

/// A textile in a line.
fn textile_in_words(textile: &Observed<crate::record::textile::Textile>) -> String {
    let name = |t: &Option<TermId>| t.as_ref().map_or("", TermId::name).to_owned();
    let fibre = |f: &crate::record::textile::Fibre| {
        let share = f.percent.as_ref().map(|p| format!(" {}", p.as_written)).unwrap_or_default();
        format!("{}{share} ({})", name(&f.fibre), name(&f.certainty))
    };
    let mut parts: Vec<String> = textile.what.fibres.iter().map(fibre).collect();
    parts.extend(textile.what.structure.iter().chain(&textile.what.finish).map(|t| t.name().to_owned()));
    if parts.is_empty() {
        parts.push("in words alone".into());
    }
    let part = textile.component.as_ref().map(|c| format!("{c}, ")).unwrap_or_default();
    format!("{part}{}: {}", name(&textile.what.role), parts.join(", "))
}

/// Marks observations as told by somebody: reported, and never certain.
struct Reported {
    hazard: bool,
    depth: usize,
}

impl Form for Reported {
    fn id(&mut self, _: &mut Option<String>) {}
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        if self.depth != 1 {
            return;
        }
        match field.name {
            "evidence" if value.is_none() => *value = Some(TermId::new(scheme, "reported")),
            "certainty" if value.is_none() => {
                *value = Some(TermId::new(scheme, if self.hazard { "possible" } else { "probable" }));
            }
            _ => {}
        }
    }
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        if self.depth > 0 {
            return;
        }
        self.hazard = field.name == "hazard";
        self.depth = 1;
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
        self.depth = 0;
    }
}

/// The components that observations name.
struct Named(Vec<String>);

impl Form for Named {
    fn id(&mut self, _: &mut Option<String>) {}
    fn component(&mut self, _: Field, value: &mut Option<String>) {
        self.0.extend(value.clone());
    }
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
    }
}
