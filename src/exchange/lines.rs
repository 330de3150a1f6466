//! A record line by line, as a person reads and corrects it: each field with its name, its help and what is written.

use jiff::civil::Date;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::dating::Dated;
use crate::digest::hex;
use crate::measure::{Kind, Quantity, System};
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::record::{Examination, PieceFile};
use crate::vocabulary::{Scheme, TermId};

/// One field of a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Entry {
    /// Its name in a sheet.
    pub name: &'static str,
    /// What to write there.
    pub help: &'static str,
    /// Whether the line makes no sense without it.
    pub needed: bool,
    /// What kind of thing is written there.
    pub kind: &'static str,
    /// Whether there may be several, one written below the other.
    pub several: bool,
    /// The list of the vocabulary that it takes terms from.
    pub scheme: Option<&'static str>,
    /// The few words it may be.
    pub words: &'static [&'static str],
    /// What is written; several one below the other.
    pub text: String,
    /// A length, an area or a density as understood: metric and in inches; blank for all else.
    pub figures: Option<[String; 2]>,
    /// Records inside it, each with its fields.
    pub rows: Vec<Vec<Entry>>,
    /// The fields that a further record inside it has.
    pub blank: Vec<Entry>,
}

/// One line of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// Its heading in a sheet.
    pub section: &'static str,
    /// Its identifier.
    pub id: Option<String>,
    /// Its fields, blanks and all.
    pub fields: Vec<Entry>,
    /// Changes when what is written changes: who corrects a line names the version that they saw.
    pub version: String,
}

impl Line {
    fn of(section: &'static str, record: &mut dyn Record) -> Self {
        let mut reading = Reading::default();
        record.fields(&mut reading);
        let mut digest = Sha256::new();
        for field in &reading.fields {
            digest_of(field, &mut digest);
        }
        let version = hex(&digest.finalize()[..12]);
        Self { section, id: reading.id, fields: reading.fields, version }
    }

    /// The fields in which something is written.
    pub fn written(&self) -> impl Iterator<Item = &Entry> {
        self.fields.iter().filter(|field| field.is_written())
    }
}

/// Names and texts, each ended by a sign that no text holds.
fn digest_of(field: &Entry, digest: &mut Sha256) {
    if !field.is_written() {
        return;
    }
    for text in [field.name, &field.text] {
        digest.update(text.as_bytes());
        digest.update([0]);
    }
    for row in &field.rows {
        row.iter().for_each(|inner| digest_of(inner, digest));
        digest.update([1]);
    }
}

impl Entry {
    fn new(field: Field, kind: &'static str) -> Self {
        let Field { name, help, needed } = field;
        Self {
            name,
            help,
            needed,
            kind,
            several: false,
            scheme: None,
            words: &[],
            text: String::new(),
            figures: None,
            rows: Vec::new(),
            blank: Vec::new(),
        }
    }

    /// Whether anything is written there.
    pub fn is_written(&self) -> bool {
        !self.text.is_empty() || self.rows.iter().flatten().any(Self::is_written)
    }

    /// What is written, on one line, and how a length, an area or a density was understood: the preferred system first.
    pub fn in_units(&self, units: System) -> String {
        let words = self.in_words();
        let Some([metric, inches]) = &self.figures else { return words };
        format!("{words} ({})", units.ordered(metric.as_str(), inches).join("; "))
    }

    /// What is written, on one line.
    pub fn in_words(&self) -> String {
        if self.rows.is_empty() {
            return self.text.replace('\n', if self.kind == "text" && !self.several { " " } else { "; " });
        }
        let row = |row: &Vec<Entry>| {
            let words = row.iter().filter(|e| e.is_written());
            words.map(|e| format!("{} {}", e.name.replace('_', " "), e.in_words())).collect::<Vec<_>>().join(", ")
        };
        self.rows.iter().map(row).filter(|words| !words.is_empty()).collect::<Vec<_>>().join("; ")
    }
}

/// The lines of what belongs to the piece itself.
pub fn of_piece(file: &PieceFile) -> Vec<Line> {
    let mut walk = Walk::default();
    file.clone().sections(None, &mut walk);
    walk.0
}

/// The lines of an examination, its circumstances first.
pub fn of_examination(examination: &Examination) -> Vec<Line> {
    let mut walk = Walk::default();
    examination.clone().sections(&mut walk);
    walk.0
}

/// Gathers the lines of sections.
#[derive(Default)]
struct Walk(Vec<Line>);

impl Form for Walk {
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        self.0.push(Line::of(field.name, row));
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            self.0.push(Line::of(field.name, rows.at(i)));
        }
    }
}

/// Reads the fields of one record off.
#[derive(Default)]
struct Reading {
    id: Option<String>,
    fields: Vec<Entry>,
}

impl Reading {
    fn fields_of(record: &mut dyn Record) -> Vec<Entry> {
        let mut reading = Self::default();
        record.fields(&mut reading);
        reading.fields
    }

    fn one(&mut self, field: Field, kind: &'static str, text: Option<String>) {
        self.fields.push(Entry { text: text.unwrap_or_default(), ..Entry::new(field, kind) });
    }

    fn many(&mut self, field: Field, kind: &'static str, texts: &[String]) {
        self.fields.push(Entry { text: texts.join("\n"), several: true, ..Entry::new(field, kind) });
    }

    fn understood(&mut self, readings: &[Quantity]) {
        let (metric, inches) = super::line::understood(readings);
        if let Some(last) = self.fields.last_mut().filter(|_| !inches.is_empty()) {
            last.figures = Some([metric, inches]);
        }
    }

    fn takes_from(&mut self, scheme: Scheme) {
        if let Some(last) = self.fields.last_mut() {
            last.scheme = Some(scheme.key());
        }
    }
}

impl Form for Reading {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, "text", value.clone());
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.many(field, "text", value);
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.one(field, "whole number", value.map(|n| n.to_string()));
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.one(field, "number", value.map(|n| n.to_string()));
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.one(field, "day", value.map(|d| d.to_string()));
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        self.one(field, "date", value.as_ref().map(|d| d.as_written.clone()));
    }
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        self.one(field, "term", value.as_ref().map(|t| t.name().to_owned()));
        self.takes_from(scheme);
    }
    fn terms(&mut self, field: Field, scheme: Scheme, value: &mut Vec<TermId>) {
        let names: Vec<String> = value.iter().map(|t| t.name().to_owned()).collect();
        self.many(field, "term", &names);
        self.takes_from(scheme);
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        self.one(field, "choice", value.clone());
        if let Some(last) = self.fields.last_mut() {
            last.words = words;
        }
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        self.one(field, "quantity", value.as_ref().map(|q| q.as_written.clone()));
        self.understood(value.as_slice());
    }
    fn quantities(&mut self, field: Field, _: Kind, value: &mut Vec<Quantity>) {
        let written: Vec<String> = value.iter().map(|q| q.as_written.clone()).collect();
        self.many(field, "quantity", &written);
        self.understood(value);
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, "component", value.clone());
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, "person", value.clone());
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, "piece", value.clone());
    }
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
        self.one(field, "earlier", value.clone());
    }
    fn id(&mut self, value: &mut Option<String>) {
        self.id.clone_from(value);
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let fields = Self::fields_of(row);
        self.fields.push(Entry { rows: vec![fields], ..Entry::new(field, "record") });
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let all = (0..rows.count()).map(|i| Self::fields_of(rows.at(i))).collect();
        let blank = Self::fields_of(rows.add());
        rows.drop_last();
        self.fields.push(Entry { several: true, rows: all, blank, ..Entry::new(field, "record") });
    }
}
