//! Records to columns and back: the two forms through which every record enters and leaves the tables.
//!
//! Naming rule, the same for all: a quantity `width` has the columns `width`, `width_mm`, `width_u`; a date `date` has
//! `date`, `date_earliest`, `date_latest`, `date_edtf`, `date_remark`; a link to a component, person or piece ends in
//! `_id`; a record inside a record has its name before each column; a list inside a record has a table of its own,
//! named `table_field`; readings stand in `reading`, lists of terms in `observation_term`.

use jiff::civil::Date;
use serde_json::Value;

use super::change::Row;
use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::vocabulary::{Scheme, TermId};

/// The table in which an earlier record stands.
pub(super) const fn earlier(of: Earlier) -> &'static str {
    match of {
        Earlier::Note => "observation",
        Earlier::Treatment => "treatment",
    }
}

/// What a record names that the tables know by row number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Link {
    Component(String),
    Person(String),
    Piece(String),
    Earlier(Earlier, String),
}

/// A record taken apart for the tables.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Flat {
    pub uid: Option<String>,
    pub columns: Row,
    pub links: Vec<(String, Link)>,
    pub readings: Vec<(&'static str, Vec<Quantity>)>,
    pub terms: Vec<(&'static str, Vec<TermId>)>,
    pub lists: Vec<(&'static str, Vec<Flat>)>,
    prefix: String,
    /// Whether blanks are left out.
    without_blanks: bool,
}

impl Flat {
    /// Takes a record apart. Every column of the record is present, blanks as null, so that an update can blank one.
    pub fn of(record: &mut dyn Record) -> Self {
        let mut flat = Self::default();
        record.fields(&mut flat);
        flat
    }

    /// The same for a new row, without its blanks.
    pub fn of_new(record: &mut dyn Record) -> Self {
        let mut flat = Self { without_blanks: true, ..Self::default() };
        record.fields(&mut flat);
        flat
    }

    fn set(&mut self, name: &str, value: impl Into<Value>) {
        self.set_of(name, "", value);
    }

    /// Sets the column that belongs to a field by an ending.
    fn set_of(&mut self, name: &str, ending: &str, value: impl Into<Value>) {
        let value = value.into();
        if self.without_blanks && value.is_null() {
            return;
        }
        let mut column = String::with_capacity(self.prefix.len() + name.len() + ending.len());
        column.extend([self.prefix.as_str(), name, ending]);
        self.columns.insert(column, value);
    }

    fn link(&mut self, field: Field, value: Option<&String>, link: impl FnOnce(String) -> Link) {
        let column = format!("{}{}_id", self.prefix, field.name);
        match value {
            Some(name) => self.links.push((column, link(name.clone()))),
            None if self.without_blanks => {}
            None => {
                self.columns.insert(column, Value::Null);
            }
        }
    }
}

/// The ending of the column that holds a quantity's value.
pub(super) fn ending(kind: Kind) -> &'static str {
    match kind {
        Kind::Length => "mm",
        Kind::Area => "mm2",
        Kind::Density => "per_cm",
        Kind::Count => "count",
        Kind::Percent => "percent",
        Kind::Mass => "g",
        Kind::MassPerArea => "g_m2",
        Kind::Angle => "deg",
        Kind::Yarn => "tex",
        Kind::Duration => "h",
        Kind::Temperature => "c",
        Kind::Illuminance => "lx",
        Kind::Ultraviolet => "uw_lm",
        Kind::Scale => "ratio",
        Kind::Extent => "value",
    }
}

/// The field to which a column belongs: that which has its name without the ending, where `has` knows one; else the column
/// itself.
pub(super) fn field_of(column: &str, has: impl Fn(&str) -> bool) -> &str {
    let endings = ["u", "earliest", "latest", "edtf", "remark", "kind"].into_iter().chain(Kind::ALL.map(ending));
    let mut fields = endings.filter_map(|end| column.strip_suffix(end)?.strip_suffix('_'));
    fields.find(|field| has(field)).unwrap_or(column)
}

/// The kinds that an extent can turn out to be, with the word that the tables keep.
const EXTENTS: [(Kind, &str); 4] =
    [(Kind::Count, "count"), (Kind::Length, "length"), (Kind::Area, "area"), (Kind::Percent, "percent")];

impl Form for Flat {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.set(field.name, value.clone());
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.set(field.name, serde_json::to_string(value).unwrap_or_default());
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.set(field.name, *value);
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.set(field.name, *value);
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.set(field.name, value.map(|d| d.to_string()));
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        let name = field.name;
        self.set(name, value.as_ref().map(|d| d.as_written.clone()));
        self.set_of(name, "_earliest", value.as_ref().and_then(|d| d.earliest));
        self.set_of(name, "_latest", value.as_ref().and_then(|d| d.latest));
        self.set_of(name, "_edtf", value.as_ref().and_then(|d| d.edtf.clone()));
        self.set_of(name, "_remark", value.as_ref().and_then(|d| d.remark.clone()));
    }
    fn term(&mut self, field: Field, _scheme: Scheme, value: &mut Option<TermId>) {
        self.set(field.name, value.as_ref().map(|t| t.as_str().to_owned()));
    }
    fn terms(&mut self, field: Field, _scheme: Scheme, value: &mut Vec<TermId>) {
        self.terms.push((field.name, value.clone()));
    }
    fn choice(&mut self, field: Field, _words: &'static [&'static str], value: &mut Option<String>) {
        self.set(field.name, value.clone());
    }
    fn quantity(&mut self, field: Field, kind: Kind, value: &mut Option<Quantity>) {
        if self.without_blanks && value.is_none() {
            return;
        }
        let name = field.name;
        self.set(name, value.as_ref().map(|q| q.as_written.clone()));
        self.set_of(name, &format!("_{}", ending(kind)), value.as_ref().map(|q| q.value));
        self.set_of(name, "_u", value.as_ref().map(|q| q.u));
        if kind == Kind::Extent {
            let found = value.as_ref().and_then(|q| EXTENTS.iter().find(|(k, _)| *k == q.kind));
            self.set_of(name, "_kind", found.map(|(_, word)| *word));
        }
    }
    fn quantities(&mut self, field: Field, _kind: Kind, value: &mut Vec<Quantity>) {
        self.readings.push((field.name, value.clone()));
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.link(field, value.as_ref(), Link::Component);
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.link(field, value.as_ref(), Link::Person);
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.link(field, value.as_ref(), Link::Piece);
    }
    fn earlier(&mut self, field: Field, of: Earlier, value: &mut Option<String>) {
        self.link(field, value.as_ref(), |uid| Link::Earlier(of, uid));
    }
    fn id(&mut self, value: &mut Option<String>) {
        self.uid.clone_from(value);
    }
    fn computed(&mut self, column: &'static str, value: Option<f64>) {
        self.set(column, value);
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let outer = self.prefix.clone();
        self.prefix = format!("{outer}{}_", field.name);
        row.fields(self);
        self.prefix = outer;
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let of = if self.without_blanks { Self::of_new } else { Self::of };
        let list = (0..rows.count()).map(|i| of(rows.at(i))).collect();
        self.lists.push((field.name, list));
    }
}

/// What a row's links and lists are read from.
pub(super) trait Source {
    fn name_of(&self, link: &str, id: i64) -> Option<String>;
    fn readings(&self, owner: i64, field: &str) -> Vec<Row>;
    fn terms(&self, owner: i64, field: &str) -> Vec<Row>;
    fn list(&self, owner: i64, field: &str) -> Vec<Row>;
}

/// Fills a record from its row.
pub(super) struct Fill<'a> {
    pub row: &'a Row,
    pub source: &'a dyn Source,
    prefix: String,
}

impl<'a> Fill<'a> {
    pub fn record(row: &'a Row, source: &'a dyn Source, record: &mut dyn Record) {
        record.fields(&mut Fill { row, source, prefix: String::new() });
    }

    fn get(&self, name: &str) -> Option<&'a Value> {
        if self.prefix.is_empty() { self.row.get(name) } else { self.row.get(&format!("{}{name}", self.prefix)) }
    }
    fn string(&self, name: &str) -> Option<String> {
        self.get(name).and_then(Value::as_str).map(String::from)
    }
    fn float(&self, name: &str) -> Option<f64> {
        self.get(name).and_then(Value::as_f64)
    }
    fn year(&self, name: &str) -> Option<i32> {
        self.get(name).and_then(Value::as_i64).and_then(|y| y.try_into().ok())
    }
    fn owner(&self) -> i64 {
        self.row.get("id").and_then(Value::as_i64).unwrap_or_default()
    }
    fn link(&self, field: Field, kind: &str) -> Option<String> {
        let id = self.get(&format!("{}_id", field.name)).and_then(Value::as_i64)?;
        self.source.name_of(kind, id)
    }
}

/// A stored quantity: value and uncertainty as stored, whatever a later parser would make of the words.
fn stored(kind: Kind, as_written: String, value: f64, u: f64) -> Quantity {
    match Quantity::parse(kind, &as_written) {
        Ok(parsed) => Quantity { value, u, ..parsed },
        Err(_) => Quantity { as_written, kind, value, u, bound: crate::measure::Bound::default() },
    }
}

impl Form for Fill<'_> {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        *value = self.string(field.name).and_then(|t| serde_json::from_str(&t).ok()).unwrap_or_default();
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        *value = self.get(field.name).and_then(Value::as_i64);
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        *value = self.float(field.name);
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        *value = self.string(field.name).and_then(|t| t.parse().ok());
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        let name = field.name;
        *value = self.string(name).map(|as_written| Dated {
            as_written,
            earliest: self.year(&format!("{name}_earliest")),
            latest: self.year(&format!("{name}_latest")),
            edtf: self.string(&format!("{name}_edtf")),
            remark: self.string(&format!("{name}_remark")),
        });
    }
    fn term(&mut self, field: Field, _scheme: Scheme, value: &mut Option<TermId>) {
        *value = self.get(field.name).and_then(Value::as_str).and_then(TermId::parse);
    }
    fn terms(&mut self, field: Field, _scheme: Scheme, value: &mut Vec<TermId>) {
        let rows = self.source.terms(self.owner(), field.name);
        *value = rows.iter().filter_map(|r| r.get("term")?.as_str().and_then(TermId::parse)).collect();
    }
    fn choice(&mut self, field: Field, _words: &'static [&'static str], value: &mut Option<String>) {
        *value = self.string(field.name);
    }
    fn quantity(&mut self, field: Field, kind: Kind, value: &mut Option<Quantity>) {
        let name = field.name;
        *value = self.string(name).and_then(|as_written| {
            let number = self.float(&format!("{name}_{}", ending(kind)))?;
            let u = self.float(&format!("{name}_u"))?;
            let word = self.string(&format!("{name}_kind"));
            let kind = EXTENTS.iter().find(|(_, w)| word.as_deref() == Some(w)).map_or(kind, |(k, _)| *k);
            Some(stored(kind, as_written, number, u))
        });
    }
    fn quantities(&mut self, field: Field, kind: Kind, value: &mut Vec<Quantity>) {
        let read = |r: &Row| {
            let as_written = r.get("as_written")?.as_str()?.to_owned();
            Some(stored(kind, as_written, r.get("value")?.as_f64()?, r.get("u")?.as_f64()?))
        };
        *value = self.source.readings(self.owner(), field.name).iter().filter_map(read).collect();
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.link(field, "component");
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.link(field, "person");
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        *value = self.link(field, "piece");
    }
    fn earlier(&mut self, field: Field, of: Earlier, value: &mut Option<String>) {
        *value = self.link(field, earlier(of));
    }
    fn id(&mut self, value: &mut Option<String>) {
        *value = self.string("uid");
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let outer = self.prefix.clone();
        self.prefix = format!("{outer}{}_", field.name);
        row.fields(self);
        self.prefix = outer;
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        for row in self.source.list(self.owner(), field.name) {
            Fill::record(&row, self.source, rows.add());
        }
    }
}

/// Makes a record what it will be when it is read from the tables: a quantity is read from its words again there.
pub(super) struct AsStored;

impl Form for AsStored {
    fn quantity(&mut self, _: Field, _: Kind, value: &mut Option<Quantity>) {
        if let Some(q) = value.take() {
            *value = Some(stored(q.kind, q.as_written, q.value, q.u));
        }
    }
    fn quantities(&mut self, _: Field, kind: Kind, value: &mut Vec<Quantity>) {
        *value = value.drain(..).map(|q| stored(kind, q.as_written, q.value, q.u)).collect();
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        (0..rows.count()).for_each(|i| rows.at(i).fields(self));
    }
}
