//! Filling the blanks of a record from what is known: a blank on a sheet never erases. What is to be blank is struck out by
//! name.

use std::any::Any;
use std::collections::VecDeque;

use jiff::civil::Date;

use super::form::{Earlier, Field, Form, Record, Rows};
use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId};

/// Fills each blank field of `incoming` with the value that `known` has there. Lists inside are left as they are.
pub fn fill_blanks<T: Record + Clone>(incoming: &mut T, known: &T) {
    let mut blanks = Blanks { known: VecDeque::new(), filling: false };
    known.clone().fields(&mut blanks);
    blanks.filling = true;
    incoming.fields(&mut blanks);
}

/// Walks the known record, then the incoming one; both have the same fields in the same order.
struct Blanks {
    known: VecDeque<Box<dyn Any>>,
    filling: bool,
}

impl Blanks {
    fn meet<T: Clone + 'static>(&mut self, value: &mut T, blank: bool) {
        if !self.filling {
            self.known.push_back(Box::new(value.clone()));
        } else if let Some(known) = self.known.pop_front().and_then(|k| k.downcast::<T>().ok())
            && blank
        {
            *value = *known;
        }
    }

    fn one<T: Clone + 'static>(&mut self, value: &mut Option<T>) {
        let blank = value.is_none();
        self.meet(value, blank);
    }

    fn many<T: Clone + 'static>(&mut self, value: &mut Vec<T>) {
        let blank = value.is_empty();
        self.meet(value, blank);
    }
}

impl Form for Blanks {
    fn text(&mut self, _: Field, value: &mut Option<String>) {
        self.one(value);
    }
    fn texts(&mut self, _: Field, value: &mut Vec<String>) {
        self.many(value);
    }
    fn integer(&mut self, _: Field, value: &mut Option<i64>) {
        self.one(value);
    }
    fn number(&mut self, _: Field, value: &mut Option<f64>) {
        self.one(value);
    }
    fn day(&mut self, _: Field, value: &mut Option<Date>) {
        self.one(value);
    }
    fn dated(&mut self, _: Field, value: &mut Option<Dated>) {
        self.one(value);
    }
    fn term(&mut self, _: Field, _: Scheme, value: &mut Option<TermId>) {
        self.one(value);
    }
    fn terms(&mut self, _: Field, _: Scheme, value: &mut Vec<TermId>) {
        self.many(value);
    }
    fn choice(&mut self, _: Field, _: &'static [&'static str], value: &mut Option<String>) {
        self.one(value);
    }
    fn quantity(&mut self, _: Field, _: Kind, value: &mut Option<Quantity>) {
        self.one(value);
    }
    fn quantities(&mut self, _: Field, _: Kind, value: &mut Vec<Quantity>) {
        self.many(value);
    }
    fn component(&mut self, _: Field, value: &mut Option<String>) {
        self.one(value);
    }
    fn person(&mut self, _: Field, value: &mut Option<String>) {
        self.one(value);
    }
    fn piece(&mut self, _: Field, value: &mut Option<String>) {
        self.one(value);
    }
    fn earlier(&mut self, _: Field, _: Earlier, value: &mut Option<String>) {
        self.one(value);
    }
    fn id(&mut self, value: &mut Option<String>) {
        self.one(value);
    }
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, _: &mut dyn Rows) {}
}

/// What became of the fields of a record that were to be struck out, by name.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Struck {
    /// Blank now, and not before.
    pub written: Vec<String>,
    /// Blank before.
    pub blank: Vec<String>,
    /// Left alone: the record makes no sense without it.
    pub needed: Vec<String>,
    /// The record has no such field.
    pub unknown: Vec<String>,
}

/// Blanks the fields of a record that have these names. Records and lists of records inside it are left alone.
pub fn strike(record: &mut dyn Record, names: &[String]) -> Struck {
    let mut form = Striking { names, struck: Struck::default() };
    record.fields(&mut form);
    let mut struck = form.struck;
    let met = |name: &&String| ![&struck.written, &struck.blank, &struck.needed].iter().any(|list| list.contains(name));
    struck.unknown = names.iter().filter(met).cloned().collect();
    struck
}

struct Striking<'n> {
    names: &'n [String],
    struck: Struck,
}

impl Striking<'_> {
    fn meet<T: Default>(&mut self, field: Field, value: &mut T, is_blank: bool) {
        if !self.names.iter().any(|name| name == field.name) {
            return;
        }
        let list = match (field.needed, is_blank) {
            (true, false) => &mut self.struck.needed,
            (_, true) => &mut self.struck.blank,
            (false, false) => {
                *value = T::default();
                &mut self.struck.written
            }
        };
        list.push(field.name.to_owned());
    }

    fn one<T>(&mut self, field: Field, value: &mut Option<T>) {
        let is_blank = value.is_none();
        self.meet(field, value, is_blank);
    }

    fn many<T>(&mut self, field: Field, value: &mut Vec<T>) {
        let is_blank = value.is_empty();
        self.meet(field, value, is_blank);
    }
}

impl Form for Striking<'_> {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value);
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.many(field, value);
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.one(field, value);
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.one(field, value);
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.one(field, value);
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        self.one(field, value);
    }
    fn term(&mut self, field: Field, _: Scheme, value: &mut Option<TermId>) {
        self.one(field, value);
    }
    fn terms(&mut self, field: Field, _: Scheme, value: &mut Vec<TermId>) {
        self.many(field, value);
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
        self.one(field, value);
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        self.one(field, value);
    }
    fn quantities(&mut self, field: Field, _: Kind, value: &mut Vec<Quantity>) {
        self.many(field, value);
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value);
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value);
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value);
    }
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
        self.one(field, value);
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, _: Field, _: &mut dyn Rows) {}
}
