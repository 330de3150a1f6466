//! The fields of a record as a line of words meets them: what each takes, and what stands there.

use std::sync::OnceLock;

use jiff::civil::Date;

use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::record::{Examination, PieceFile};
use crate::vocabulary::{Scheme, TermId};

/// What may be written in a field.
#[derive(Debug, Clone)]
pub enum Takes {
    /// Words; several lines of them.
    Text(bool),
    /// A whole number.
    Integer,
    /// A decimal number.
    Number,
    /// A calendar day.
    Day,
    /// A date in words.
    Dated,
    /// A term; several.
    Term(Scheme, bool),
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// A quantity; several readings.
    Quantity(Kind, bool),
    /// A component of the piece.
    Component,
    /// A name of a person.
    Person,
    /// A number of a piece.
    Piece,
    /// An earlier record.
    Earlier,
    /// A record of its own; several.
    Records(Vec<Slot>, bool),
}

/// One field.
#[derive(Debug, Clone)]
pub struct Slot {
    /// Its name and the line that teaches it.
    pub field: Field,
    /// What it takes.
    pub takes: Takes,
}

impl Slot {
    /// Its name as people say it: `loom width`.
    pub fn label(&self) -> String {
        self.field.name.replace('_', " ")
    }

    /// Whether there may be several.
    pub fn is_several(&self) -> bool {
        matches!(
            self.takes,
            Takes::Text(true) | Takes::Term(_, true) | Takes::Quantity(_, true) | Takes::Records(_, true)
        )
    }
}

/// What is written in a field; of a field of records, the rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The name of the field.
    pub field: &'static str,
    /// As written, each of several.
    pub texts: Vec<String>,
    /// The records in it.
    pub rows: Vec<Vec<Written>>,
}

/// A section of the sheet.
#[derive(Debug)]
pub struct Section {
    /// Its heading: `measurement`.
    pub name: &'static str,
    /// The line that teaches it.
    pub help: &'static str,
    /// Its fields.
    pub slots: Vec<Slot>,
    /// Whether a sheet may have several.
    pub several: bool,
    /// Whether it belongs to an examination, not to the piece.
    pub observed: bool,
}

impl Section {
    /// The section of this heading.
    pub fn named(name: &str) -> Option<&'static Section> {
        sections().iter().find(|s| s.name == name)
    }

    /// Its heading as people say it: `made after`.
    pub fn label(&self) -> String {
        self.name.replace('_', " ")
    }

    /// The field of this name.
    pub fn slot(&self, name: &str) -> Option<&Slot> {
        self.slots.iter().find(|s| s.field.name == name)
    }
}

/// All sections of a sheet, in its order.
pub fn sections() -> &'static [Section] {
    static ALL: OnceLock<Vec<Section>> = OnceLock::new();
    ALL.get_or_init(|| {
        let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
        let mut all = Sections(Vec::new());
        file.sections(Some(0), &mut all);
        let observed = all.0.iter().position(|s| s.name == "examination").unwrap_or(all.0.len());
        all.0.iter_mut().skip(observed).for_each(|s| s.observed = true);
        all.0
    })
}

/// What is written in a record, and its identifier.
pub fn written(record: &mut dyn Record) -> (Option<String>, Vec<Written>) {
    let mut walk = Walk::default();
    record.fields(&mut walk);
    (walk.id, walk.written)
}

struct Sections(Vec<Section>);

impl Sections {
    fn add(&mut self, field: Field, record: &mut dyn Record, several: bool) {
        let mut walk = Walk::default();
        record.fields(&mut walk);
        let Field { name, help, .. } = field;
        self.0.push(Section { name, help, slots: walk.slots, several, observed: false });
    }
}

impl Form for Sections {
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        self.add(field, row, false);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        self.add(field, rows.add(), true);
        rows.drop_last();
    }
}

/// Reads the fields of one record off.
#[derive(Default)]
struct Walk {
    slots: Vec<Slot>,
    written: Vec<Written>,
    id: Option<String>,
}

impl Walk {
    fn meet(&mut self, field: Field, takes: Takes, texts: Vec<String>) {
        self.slots.push(Slot { field, takes });
        if !texts.is_empty() {
            self.written.push(Written { field: field.name, texts, rows: Vec::new() });
        }
    }

    fn one(&mut self, field: Field, takes: Takes, text: Option<String>) {
        self.meet(field, takes, text.into_iter().collect());
    }

    fn records(&mut self, field: Field, slots: Vec<Slot>, several: bool, rows: Vec<Vec<Written>>) {
        self.slots.push(Slot { field, takes: Takes::Records(slots, several) });
        let rows: Vec<_> = rows.into_iter().filter(|row| !row.is_empty()).collect();
        if !rows.is_empty() {
            self.written.push(Written { field: field.name, texts: Vec::new(), rows });
        }
    }
}

impl Form for Walk {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, Takes::Text(false), value.clone());
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.meet(field, Takes::Text(true), value.clone());
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.one(field, Takes::Integer, value.map(|n| n.to_string()));
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.one(field, Takes::Number, value.map(|n| n.to_string()));
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.one(field, Takes::Day, value.map(|d| d.to_string()));
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        self.one(field, Takes::Dated, value.as_ref().map(|d| d.as_written.clone()));
    }
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        self.one(field, Takes::Term(scheme, false), value.as_ref().map(|t| t.name().to_owned()));
    }
    fn terms(&mut self, field: Field, scheme: Scheme, value: &mut Vec<TermId>) {
        self.meet(field, Takes::Term(scheme, true), value.iter().map(|t| t.name().to_owned()).collect());
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        self.one(field, Takes::Choice(words), value.clone());
    }
    fn quantity(&mut self, field: Field, kind: Kind, value: &mut Option<Quantity>) {
        self.one(field, Takes::Quantity(kind, false), value.as_ref().map(|q| q.as_written.clone()));
    }
    fn quantities(&mut self, field: Field, kind: Kind, value: &mut Vec<Quantity>) {
        self.meet(field, Takes::Quantity(kind, true), value.iter().map(|q| q.as_written.clone()).collect());
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, Takes::Component, value.clone());
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, Takes::Person, value.clone());
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, Takes::Piece, value.clone());
    }
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
        self.one(field, Takes::Earlier, value.clone());
    }
    fn id(&mut self, value: &mut Option<String>) {
        self.id.clone_from(value);
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let mut inner = Self::default();
        row.fields(&mut inner);
        self.records(field, inner.slots, false, vec![inner.written]);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let of = |record: &mut dyn Record| {
            let mut inner = Self::default();
            record.fields(&mut inner);
            inner
        };
        let all = (0..rows.count()).map(|i| of(rows.at(i)).written).collect();
        let slots = of(rows.add()).slots;
        rows.drop_last();
        self.records(field, slots, true, all);
    }
}
