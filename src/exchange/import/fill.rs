//! One cell written into one field of the record, by what the field takes.

use jiff::civil::Date;

use super::days;
use super::table::Cell;
use crate::dating::{Conventions, Dated, month_or_span, says_more};
use crate::measure::{Kind, Quantity};
use crate::record::PieceFile;
use crate::record::form::{Field, Form, Record, Rows};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// What cells are read by.
#[derive(Debug, Clone, Copy)]
pub struct Words<'a> {
    /// The terms.
    pub vocabulary: &'a Vocabulary,
    /// How dates are understood.
    pub conventions: &'a Conventions,
    /// Whether `3/4/1998` is the third of April; none if nobody said it and the cells of the column do not tell.
    pub day_first: Option<bool>,
}

/// What came of a cell.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Outcome {
    /// What was read, in words; none if nothing could be.
    pub read: Option<String>,
    /// Why it is doubtful, or could not be read.
    pub doubt: Option<String>,
    /// Whether a part of the cell was read and the rest was not.
    pub in_part: bool,
}

impl Outcome {
    fn read(text: impl Into<String>) -> Self {
        Self { read: Some(text.into()), ..Self::default() }
    }
    fn unread(why: impl Into<String>) -> Self {
        Self { doubt: Some(why.into()), ..Self::default() }
    }
}

/// Where a cell goes.
#[derive(Debug, Clone, Copy)]
pub struct Place<'a> {
    /// The section of the sheet.
    pub section: &'a str,
    /// The field in it.
    pub field: &'a str,
    /// Which record of the section; a new one if there is none.
    pub at: Option<usize>,
    /// The unit of a bare number.
    pub unit: Option<&'a str>,
}

/// Writes a cell into a field; gives the place of its record in the section, and what came of it. A record that was begun
/// for a cell that could not be read is taken away again.
pub fn fill(file: &mut PieceFile, place: Place<'_>, cell: &Cell, words: &Words<'_>) -> (Option<usize>, Outcome) {
    let mut walk = Sections { place, one: One::of(place, cell, words), at: place.at };
    file.sections(Some(0), &mut walk);
    (walk.at, walk.one.outcome.unwrap_or_default())
}

struct Sections<'a> {
    place: Place<'a>,
    one: One<'a>,
    at: Option<usize>,
}

impl Form for Sections<'_> {
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        if field.name == self.place.section {
            row.fields(&mut self.one);
        }
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        if field.name != self.place.section {
            return;
        }
        match self.at.filter(|at| *at < rows.count()) {
            Some(at) => rows.at(at).fields(&mut self.one),
            None => {
                rows.add().fields(&mut self.one);
                if self.one.outcome.as_ref().is_some_and(|o| o.read.is_some()) {
                    self.at = Some(rows.count() - 1);
                } else {
                    rows.drop_last();
                }
            }
        }
    }
}

/// One field of one record.
struct One<'a> {
    field: &'a str,
    unit: Option<&'a str>,
    /// Whether it says when the piece was made.
    of_making: bool,
    cell: &'a Cell,
    words: &'a Words<'a>,
    outcome: Option<Outcome>,
}

impl<'a> One<'a> {
    fn of(place: Place<'a>, cell: &'a Cell, words: &'a Words<'a>) -> Self {
        let Place { section, field, unit, .. } = place;
        Self { field, unit, of_making: section == "piece", cell, words, outcome: None }
    }
}

impl One<'_> {
    fn is(&self, field: Field) -> bool {
        self.outcome.is_none() && field.name == self.field
    }

    fn said(&self) -> &str {
        self.cell.text.trim()
    }

    /// Fills a field that holds one thing, unless another column has said something else.
    fn set<T: PartialEq>(&mut self, value: &mut Option<T>, made: Result<(T, String), String>) {
        self.outcome = Some(match made {
            Err(why) => Outcome::unread(why),
            Ok((made, read)) if value.is_none() || value.as_ref() == Some(&made) => {
                *value = Some(made);
                Outcome::read(read)
            }
            Ok(_) => Outcome::unread("another column has said something else already"),
        });
    }

    fn parts(&self) -> Vec<String> {
        let parts = self.said().split(['\n', ';']).map(str::trim).filter(|p| !p.is_empty());
        parts.map(String::from).collect()
    }

    /// A figure with the unit of its column where it has none.
    fn figure(&self, kind: Kind, text: &str) -> Result<Quantity, String> {
        let bare = text.chars().any(|c| c.is_ascii_digit())
            && !text.chars().any(|c| c.is_alphabetic() || matches!(c, '"' | '″' | '\'' | '%'));
        let text = match self.unit {
            Some(unit) if bare => format!("{text} {unit}"),
            _ => text.to_owned(),
        };
        Quantity::parse(kind, &text).map_err(|e| e.to_string())
    }
}

/// Words without the signs that no field holds: control characters other than the line break.
pub fn clean(text: &str) -> String {
    let text = text.replace("\r\n", "\n").replace(['\r', '\u{b}', '\u{2028}'], "\n").replace('\u{a0}', " ");
    text.chars().filter(|c| *c == '\n' || !c.is_control()).collect::<String>().trim().to_owned()
}

impl Form for One<'_> {
    fn id(&mut self, _: &mut Option<String>) {}
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        if self.is(field) {
            let text = clean(self.said());
            // Words of several columns stand one below the other.
            let joined = match value.take() {
                Some(before) if before != text => format!("{before}\n{text}"),
                _ => text.clone(),
            };
            *value = Some(joined);
            self.outcome = Some(Outcome::read(text));
        }
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        if self.is(field) {
            let parts: Vec<String> = self.parts().iter().map(|p| clean(p)).collect();
            value.extend(parts.iter().cloned());
            self.outcome = Some(Outcome::read(parts.join("; ")));
        }
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        if self.is(field) {
            let text = self.said().strip_suffix(".0").unwrap_or(self.said()).to_owned();
            let made =
                text.parse().map(|n: i64| (n, n.to_string())).map_err(|_| format!("`{text}` is no whole number"));
            self.set(value, made);
        }
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        if self.is(field) {
            let text = self.said().replace(',', ".");
            let made = text.parse().ok().filter(|n: &f64| n.is_finite());
            self.set(value, made.map(|n| (n, n.to_string())).ok_or_else(|| format!("`{text}` is no number")));
        }
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        if self.is(field) {
            let ready = days::ready(self.cell, self.words.day_first);
            let read = ready.text.parse::<Date>().ok().or_else(|| {
                let dated = Dated::parse(&ready.text, self.words.conventions).ok()?;
                dated.edtf?.parse().ok()
            });
            let likely = read.filter(|day| (1500..=2500).contains(&day.year()));
            self.set(
                value,
                likely.map(|day| (day, day.to_string())).ok_or_else(|| format!("`{}` names no day", ready.text)),
            );
            self.add_doubt(ready.doubt.filter(|_| self.cell.is != super::table::Type::Day));
        }
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        if self.is(field) && self.of_making && days::has_short_year(self.said()) {
            let why = format!("`{}` has a year of two digits, which does not say the century", self.said());
            self.outcome = Some(Outcome::unread(why));
        }
        if self.is(field) {
            let ready = days::ready(self.cell, self.words.day_first);
            let text = clean(&ready.text);
            let mut made = Dated::parse(&text, self.words.conventions).map_err(|e| e.to_string());
            // When a piece was made is published as it is written: what else the cell says stays at home.
            let more = self.of_making && says_more(&text);
            if let (true, Ok(whole)) = (more, &made) {
                made = self.date_alone(&text, whole).ok_or_else(|| "more than a date stands there".into());
            }
            self.set(value, made.map(|dated| (dated.clone(), years(&dated))));
            self.add_doubt(ready.doubt);
            self.add_doubt(month_or_span(&text));
            if let Some(outcome) = self.outcome.as_mut().filter(|outcome| more && outcome.read.is_some()) {
                outcome.in_part = true;
                self.add_doubt(Some("more than a date stands there; the whole cell is kept as a note".into()));
            }
        }
    }
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        if self.is(field) {
            let found = self.words.vocabulary.find(scheme, self.said());
            let made = found.map(|t| (t.id.clone(), t.name().to_owned())).map_err(|e| e.to_string());
            self.set(value, made);
        }
    }
    fn terms(&mut self, field: Field, scheme: Scheme, value: &mut Vec<TermId>) {
        if self.is(field) {
            let (mut read, mut unread) = (Vec::new(), Vec::new());
            for part in self.parts().iter().flat_map(|p| p.split(',')).map(str::trim).filter(|p| !p.is_empty()) {
                match self.words.vocabulary.find(scheme, part) {
                    Ok(term) => {
                        value.push(term.id.clone());
                        read.push(term.name().to_owned());
                    }
                    Err(e) => unread.push(e.to_string()),
                }
            }
            self.outcome = Some(Outcome {
                read: (!read.is_empty()).then(|| read.join(", ")),
                doubt: (!unread.is_empty()).then(|| unread.join("; ")),
                in_part: false,
            });
        }
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        if self.is(field) {
            let found = words.iter().find(|w| w.eq_ignore_ascii_case(self.said()));
            let made = found.map(|w| ((*w).to_owned(), (*w).to_owned()));
            let made = made.ok_or_else(|| format!("`{}` is none of: {}", self.said(), words.join(", ")));
            self.set(value, made);
        }
    }
    fn quantity(&mut self, field: Field, kind: Kind, value: &mut Option<Quantity>) {
        if self.is(field) {
            let made = self.figure(kind, self.said()).map(|q| (q.clone(), q.display_si()));
            self.set(value, made);
        }
    }
    fn quantities(&mut self, field: Field, kind: Kind, value: &mut Vec<Quantity>) {
        if self.is(field) {
            let all: Result<Vec<Quantity>, String> = self.parts().iter().map(|p| self.figure(kind, p)).collect();
            self.outcome = Some(match all {
                Ok(all) if all.iter().all(|q| q.value > 0.0) => {
                    let read = all.iter().map(Quantity::display_si).collect::<Vec<_>>().join("; ");
                    value.extend(all);
                    Outcome::read(read)
                }
                Ok(_) => Outcome::unread("a dimension is greater than nought"),
                Err(why) => Outcome::unread(why),
            });
        }
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        if self.is(field) {
            let name = super::table::plain(&clean(self.said()));
            let made = if name.is_empty() { Err("no name stands there".to_owned()) } else { Ok((name.clone(), name)) };
            self.set(value, made);
        }
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, _: Field, _: &mut dyn Rows) {}
}

impl One<'_> {
    /// The date in a text without what is written beside it, if that changes nothing of its years.
    fn date_alone(&self, text: &str, whole: &Dated) -> Option<Dated> {
        let parts = text.split(['(', ')', '[', ']', ',', ';', '\n']).map(str::trim).filter(|part| !says_more(part));
        let mut dated = parts.filter_map(|part| Dated::parse(part, self.words.conventions).ok());
        dated.find(|dated| (dated.earliest, dated.latest) == (whole.earliest, whole.latest))
    }

    fn add_doubt(&mut self, doubt: Option<String>) {
        if let (Some(outcome), Some(doubt)) = (&mut self.outcome, doubt)
            && outcome.doubt.is_none()
        {
            outcome.doubt = Some(doubt);
        }
    }
}

/// The years of a date in words: `1880 to 1889 (188X~)`.
pub fn years(dated: &Dated) -> String {
    let years = match (dated.earliest, dated.latest) {
        (Some(a), Some(b)) if a == b => a.to_string(),
        (Some(a), Some(b)) => format!("{a} to {b}"),
        (Some(a), None) => format!("{a} or later"),
        (None, Some(b)) => format!("{b} or earlier"),
        (None, None) => "no years".into(),
    };
    dated.edtf.as_ref().filter(|edtf| **edtf != years).map_or(years.clone(), |edtf| format!("{years} ({edtf})"))
}
