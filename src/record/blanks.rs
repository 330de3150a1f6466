//! Filling the blanks of a record from what is known: a blank on a sheet never erases. What is to be blank is struck out by
//! name.

use std::any::Any;
use std::collections::VecDeque;

use super::form::{Field, Form, Leaf, Record, Rows};

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
    fn meet(&mut self, value: &mut dyn Leaf) {
        if !self.filling {
            self.known.push_back(value.copied());
        } else if let Some(known) = self.known.pop_front()
            && value.is_blank()
        {
            value.put(known);
        }
    }
}

impl Form for Blanks {
    fn leaf(&mut self, _: Field, value: &mut dyn Leaf) {
        self.meet(value);
    }
    fn id(&mut self, value: &mut Option<String>) {
        self.meet(value);
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

impl Form for Striking<'_> {
    fn leaf(&mut self, field: Field, value: &mut dyn Leaf) {
        if !self.names.iter().any(|name| name == field.name) {
            return;
        }
        let list = if value.is_blank() {
            &mut self.struck.blank
        } else if field.needed {
            &mut self.struck.needed
        } else {
            value.clear();
            &mut self.struck.written
        };
        list.push(field.name.to_owned());
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, _: Field, _: &mut dyn Rows) {}
}
