//! What the columns of records mean: their fields, walked once, by the naming rule of `flat`.

use std::sync::LazyLock;

use jiff::civil::Date;

use super::Content;
use crate::catalogue::flat::ending;
use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::record::care::{Display, Overrule};
use crate::record::condition::{Condition, Hazard, Overall, Sign};
use crate::record::construction::{Fastening, Step, Stiffening, Stitching, Trimming};
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::record::making::{Departure, MadeAfter, Work};
use crate::record::measurement::Measurement;
use crate::record::piece::{Component, Event, Housing, Move, Piece, Role};
use crate::record::textile::Textile;
use crate::record::treatment::Treatment;
use crate::record::{Circumstances, Observation, Observed};
use crate::vocabulary::{Scheme, TermId};

/// What one column means.
#[derive(Debug, Default)]
pub(super) struct Meant {
    pub table: String,
    pub column: String,
    /// Where it is other than the schema says.
    pub content: Option<Content>,
    pub means: String,
    pub unit: Option<&'static str>,
    pub words: &'static [&'static str],
    pub scheme: Option<Scheme>,
}

/// The list whose terms stand in a column of a record; none where other things do.
pub(in crate::catalogue) fn scheme(table: &str, column: &str) -> Option<Scheme> {
    meant().iter().find(|m| m.table == table && m.column == column)?.scheme
}

/// What every column of every record means.
pub(super) fn meant() -> &'static [Meant] {
    static MEANT: LazyLock<Vec<Meant>> = LazyLock::new(of_records);
    &MEANT
}

fn of_records() -> Vec<Meant> {
    fn observed<T: Observation>(all: &mut Describe) {
        all.of(T::TABLE, &mut T::default());
    }
    let mut all = Describe::default();
    all.of("piece", &mut Piece::default());
    all.of("component", &mut Component::default());
    all.of("person_role", &mut Role::default());
    all.of("event", &mut Event::default());
    all.of("move", &mut Move::default());
    all.of("housing", &mut Housing::default());
    all.of("display", &mut Display::default());
    all.of("care", &mut Overrule::default());
    all.of("made_after", &mut MadeAfter::default());
    all.of("departure", &mut Departure::default());
    all.of("work", &mut Work::default());
    all.of("treatment", &mut Treatment::default());
    all.of("examination", &mut Circumstances::default());
    observed::<Textile>(&mut all);
    observed::<Measurement>(&mut all);
    observed::<Stitching>(&mut all);
    observed::<Fastening>(&mut all);
    observed::<Stiffening>(&mut all);
    observed::<Trimming>(&mut all);
    observed::<Step>(&mut all);
    observed::<Sign>(&mut all);
    observed::<Condition>(&mut all);
    observed::<Overall>(&mut all);
    observed::<Hazard>(&mut all);
    // What all observations have in common stands in a table of its own; the step's own columns are not there.
    all.of("observation", &mut Observed::<Step>::default());
    all.meant
}

#[derive(Default)]
struct Describe {
    table: String,
    /// The record inside the record: what its columns begin with, and what it is called.
    prefix: String,
    within: String,
    meant: Vec<Meant>,
}

impl Describe {
    fn of(&mut self, table: &str, record: &mut dyn Record) {
        let outer = std::mem::replace(&mut self.table, table.to_owned());
        record.fields(self);
        self.table = outer;
    }

    fn put(&mut self, column: &str, means: &str) -> &mut Meant {
        self.meant.push(Meant {
            table: self.table.clone(),
            column: format!("{}{column}", self.prefix),
            means: format!("{}{means}", self.within),
            ..Meant::default()
        });
        let last = self.meant.len() - 1;
        &mut self.meant[last]
    }

    fn link(&mut self, field: Field) {
        self.put(&format!("{}_id", field.name), field.help);
    }
}

impl Form for Describe {
    fn text(&mut self, field: Field, _: &mut Option<String>) {
        self.put(field.name, field.help);
    }
    fn texts(&mut self, field: Field, _: &mut Vec<String>) {
        self.put(field.name, field.help).content = Some(Content::Texts);
    }
    fn integer(&mut self, field: Field, _: &mut Option<i64>) {
        self.put(field.name, field.help);
    }
    fn number(&mut self, field: Field, _: &mut Option<f64>) {
        self.put(field.name, field.help);
    }
    fn day(&mut self, field: Field, _: &mut Option<Date>) {
        self.put(field.name, field.help).content = Some(Content::Day);
    }
    fn dated(&mut self, field: Field, _: &mut Option<Dated>) {
        let name = field.name;
        self.put(name, &format!("as written: {}", field.help));
        self.put(&format!("{name}_earliest"), "earliest year that it means, before our era nought or less");
        self.put(&format!("{name}_latest"), "latest year that it means");
        self.put(&format!("{name}_edtf"), "the same in EDTF (ISO 8601-2)");
        self.put(&format!("{name}_remark"), "the convention by which the years were read");
    }
    fn term(&mut self, field: Field, scheme: Scheme, _: &mut Option<TermId>) {
        self.put(field.name, field.help).scheme = Some(scheme);
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], _: &mut Option<String>) {
        self.put(field.name, field.help).words = words;
    }
    fn quantity(&mut self, field: Field, kind: Kind, _: &mut Option<Quantity>) {
        let name = field.name;
        // What an extent is counted in stands beside it.
        let unit = (kind != Kind::Extent).then(|| kind.unit()).filter(|unit| !unit.is_empty());
        self.put(name, &format!("as written: {}", field.help));
        self.put(&format!("{name}_{}", ending(kind)), &format!("value of `{name}`")).unit = unit;
        self.put(&format!("{name}_u"), &format!("standard uncertainty of `{name}`")).unit = unit;
        if kind == Kind::Extent {
            let words = &["count", "length", "area", "percent"];
            self.put(&format!("{name}_kind"), "what the value is: a number, mm, mm2 or per cent").words = words;
        }
    }
    fn component(&mut self, field: Field, _: &mut Option<String>) {
        self.link(field);
    }
    fn person(&mut self, field: Field, _: &mut Option<String>) {
        self.link(field);
    }
    fn piece(&mut self, field: Field, _: &mut Option<String>) {
        self.link(field);
    }
    fn earlier(&mut self, field: Field, _: Earlier, _: &mut Option<String>) {
        self.link(field);
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn computed(&mut self, column: &'static str, _: Option<f64>) {
        let (unit, _) = COMPUTED.iter().find(|(_, columns)| columns.contains(&column)).copied().unwrap_or_default();
        let what = if column.ends_with("_u") || column.starts_with("u_") {
            "standard uncertainty of the mean"
        } else {
            "mean"
        };
        self.put(column, &format!("{what}, worked out from the readings")).unit = Some(unit).filter(|u| !u.is_empty());
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        let outer = (self.prefix.clone(), self.within.clone());
        self.prefix = format!("{}{}_", outer.0, field.name);
        self.within = format!("{}{}: ", outer.1, field.name);
        row.fields(self);
        (self.prefix, self.within) = outer;
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let table = format!("{}_{}", self.table, field.name);
        self.of(&table, rows.add());
        rows.drop_last();
    }
}

/// The units of what is worked out, by column.
const COMPUTED: [(&str, &[&str]); 2] =
    [("per cm", &["ends_per_cm", "ends_u", "picks_per_cm", "picks_u", "per_cm", "u_per_cm"]), ("mm", &["mm", "u_mm"])];
