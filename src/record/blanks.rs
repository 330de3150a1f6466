//! Filling the blanks of a record from what is known: a blank on a sheet never erases.

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
