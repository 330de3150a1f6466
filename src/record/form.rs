//! The one list of fields: each record names its fields once, and every form that is filled in or read off follows it.
//!
//! The examination sheet, the printed form, the catalogue tables and the word search all walk the same list, so
//! that a field added to a record is at once asked for, stored, journalled, found and printed.

use std::any::Any;

use jiff::civil::Date;

use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId};

/// The name of a field, as sheets and tables spell it, and the line that teaches it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Field {
    /// Lower case, words joined by `_`.
    pub name: &'static str,
    /// What to write there, in the words of the trade; shown as a comment in a blank sheet.
    pub help: &'static str,
    /// Whether the record makes no sense without it.
    pub needed: bool,
}

/// A field that may stay blank.
pub const fn field(name: &'static str, help: &'static str) -> Field {
    Field { name, help, needed: false }
}

/// A field without which the record makes no sense.
pub const fn needed(name: &'static str, help: &'static str) -> Field {
    Field { name, help, needed: true }
}

/// What an earlier record is, and what may stand for its identifier on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Earlier {
    /// A condition note; the word `last` finds it.
    Note,
    /// A treatment; its title finds it.
    Treatment,
}

/// Something that walks a record's fields: to fill them in, or to read them off.
///
/// A form that fills in leaves a value alone where it finds nothing; a form that reads off must not change one.
/// A form that has no use for a kind of field leaves its method out; one to which all kinds are alike has [`Form::leaf`] alone.
pub trait Form {
    /// A field of whatever kind, unless the method of its kind says otherwise.
    fn leaf(&mut self, _field: Field, _value: &mut dyn Leaf) {}
    /// A line or paragraph in the writer's own words.
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.leaf(field, value);
    }
    /// Several lines, in order.
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        self.leaf(field, value);
    }
    /// A whole number.
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        self.leaf(field, value);
    }
    /// A plain decimal number without a unit.
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        self.leaf(field, value);
    }
    /// A calendar day.
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.leaf(field, value);
    }
    /// A date as written, with the years that it means.
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        self.leaf(field, value);
    }
    /// A term of a vocabulary.
    fn term(&mut self, field: Field, _scheme: Scheme, value: &mut Option<TermId>) {
        self.leaf(field, value);
    }
    /// Several terms of a vocabulary.
    fn terms(&mut self, field: Field, _scheme: Scheme, value: &mut Vec<TermId>) {
        self.leaf(field, value);
    }
    /// One of a few fixed words.
    fn choice(&mut self, field: Field, _words: &'static [&'static str], value: &mut Option<String>) {
        self.leaf(field, value);
    }
    /// A quantity as written, with its value and uncertainty.
    fn quantity(&mut self, field: Field, _kind: Kind, value: &mut Option<Quantity>) {
        self.leaf(field, value);
    }
    /// Repeated readings of one quantity.
    fn quantities(&mut self, field: Field, _kind: Kind, value: &mut Vec<Quantity>) {
        self.leaf(field, value);
    }
    /// The name of a component of the same piece.
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.leaf(field, value);
    }
    /// The name of a person.
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.leaf(field, value);
    }
    /// The accession number of a piece in the same catalogue.
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.leaf(field, value);
    }
    /// The identifier of an earlier record that this one goes on from.
    fn earlier(&mut self, field: Field, _of: Earlier, value: &mut Option<String>) {
        self.leaf(field, value);
    }
    /// The stable identifier of the record itself.
    fn id(&mut self, value: &mut Option<String>);
    /// A figure worked out from the others: stored for readers of the tables, never filled in.
    fn computed(&mut self, _column: &'static str, _value: Option<f64>) {}
    /// One record inside another.
    fn row(&mut self, field: Field, row: &mut dyn Record);
    /// Several records inside another, in order.
    fn rows(&mut self, field: Field, rows: &mut dyn Rows);
}

/// The value of a field whose kind the form need not know.
pub trait Leaf {
    /// Whether nothing stands there.
    fn is_blank(&self) -> bool;
    /// Leaves nothing there.
    fn clear(&mut self);
    /// What stands there, to be put into a field of the same kind.
    fn copied(&self) -> Box<dyn Any>;
    /// Puts there what was copied from a field of the same kind; anything else changes nothing.
    fn put(&mut self, copied: Box<dyn Any>);
}

impl<T: Clone + 'static> Leaf for Option<T> {
    fn is_blank(&self) -> bool {
        self.is_none()
    }
    fn clear(&mut self) {
        *self = None;
    }
    fn copied(&self) -> Box<dyn Any> {
        Box::new(self.clone())
    }
    fn put(&mut self, copied: Box<dyn Any>) {
        if let Ok(copied) = copied.downcast() {
            *self = *copied;
        }
    }
}

impl<T: Clone + 'static> Leaf for Vec<T> {
    fn is_blank(&self) -> bool {
        self.is_empty()
    }
    fn clear(&mut self) {
        self.clear();
    }
    fn copied(&self) -> Box<dyn Any> {
        Box::new(self.clone())
    }
    fn put(&mut self, copied: Box<dyn Any>) {
        if let Ok(copied) = copied.downcast() {
            *self = *copied;
        }
    }
}

/// A thing with fields.
pub trait Record {
    /// Walks the fields in the order in which a person reads them.
    fn fields(&mut self, form: &mut dyn Form);
    /// Says, by field name, what cannot be right about the record as a whole.
    fn rules(&self, _say: &mut dyn FnMut(&'static str, String)) {}
}

/// A list of records whose kind the form need not know.
pub trait Rows {
    /// How many there are.
    fn count(&self) -> usize;
    /// The one at `index`, which must be below [`Rows::count`].
    fn at(&mut self, index: usize) -> &mut dyn Record;
    /// Appends a blank one.
    fn add(&mut self) -> &mut dyn Record;
    /// Takes the last one away again.
    fn drop_last(&mut self);
    /// Takes the one at `index` out, if there is one.
    fn take_out(&mut self, index: usize);
}

impl<T: Record + Default> Rows for Vec<T> {
    fn count(&self) -> usize {
        self.len()
    }
    fn at(&mut self, index: usize) -> &mut dyn Record {
        &mut self[index]
    }
    fn add(&mut self) -> &mut dyn Record {
        self.push(T::default());
        self.last_mut().expect("a record was just added")
    }
    fn drop_last(&mut self) {
        self.pop();
    }
    fn take_out(&mut self, index: usize) {
        if index < self.len() {
            self.remove(index);
        }
    }
}
