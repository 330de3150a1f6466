//! What a piece is, what it is made of, how it came here and where it lies.

use jiff::civil::Date;

use super::form::{Form, Record, field, needed};
use super::rights::Rights;
use crate::dating::Dated;
use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId};

/// One catalogued thing under one accession number.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Piece {
    /// Stable identifier (UUIDv7 text), given when it enters the catalogue.
    pub id: Option<String>,
    /// Accession number as written, component suffixes included (`1987.4.2a-c`).
    pub number: Option<String>,
    /// Extant, reconstruction, mock-up, published pattern or depiction.
    pub nature: Option<TermId>,
    /// What it is, in a word or two.
    pub object_name: Option<String>,
    /// The kind of garment, from the vocabulary.
    pub garment: Option<TermId>,
    /// A title, where it has one.
    pub title: Option<String>,
    /// Who made it, as far as known.
    pub maker: Option<String>,
    /// Where it was made.
    pub place: Option<String>,
    /// The culture or community it belongs to.
    pub culture: Option<String>,
    /// When it was made, as written and as years.
    pub date: Option<Dated>,
    /// A description a stranger could recognise it by.
    pub description: Option<String>,
    /// Inscriptions, marks and labels, one a line.
    pub inscriptions: Vec<String>,
    /// What tells it from others of its kind.
    pub distinguishing_features: Option<String>,
    /// How to credit it.
    pub credit_line: Option<String>,
    /// What others may do with it: one of the vocabulary's statements.
    pub rights_statement: Option<TermId>,
    /// Whose rights they are.
    pub rights_holder: Option<String>,
    /// What else is to be said of rights, in words; in records of before, the statement's URI.
    pub rights: Option<String>,
    /// Free words to find it by.
    pub keywords: Vec<String>,
}

impl Record for Piece {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.text(needed("number", "accession number, with its component letters"), &mut self.number);
        form.term(
            needed("nature", "extant, reconstruction, mock-up, published pattern, depiction"),
            Scheme::Nature,
            &mut self.nature,
        );
        form.text(needed("object_name", "what it is, in a word or two"), &mut self.object_name);
        form.term(field("garment", "the kind of garment, from the vocabulary"), Scheme::Garment, &mut self.garment);
        form.text(field("title", "a title, if it has one"), &mut self.title);
        form.text(field("maker", "who made it, as far as known"), &mut self.maker);
        form.text(field("place", "where it was made"), &mut self.place);
        form.text(field("culture", "culture or community"), &mut self.culture);
        form.dated(field("date", "as you would write it: c. 1812, 1780-90, late 18th century"), &mut self.date);
        form.text(field("description", "so that a stranger could recognise it"), &mut self.description);
        form.texts(field("inscriptions", "marks, labels, inscriptions, each as it stands"), &mut self.inscriptions);
        form.text(
            field("distinguishing_features", "what tells it from others of its kind"),
            &mut self.distinguishing_features,
        );
        form.text(field("credit_line", "how to credit it"), &mut self.credit_line);
        form.term(
            field("rights_statement", "what others may do with it: InC, NKC, CC-BY-4.0 ... (dimity terms rights)"),
            Scheme::Rights,
            &mut self.rights_statement,
        );
        form.text(field("rights_holder", "whose rights they are"), &mut self.rights_holder);
        form.text(field("rights", "what else is to be said of rights, in words"), &mut self.rights);
        form.texts(field("keywords", "words to find it by"), &mut self.keywords);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if let Some(number) = &self.number
            && let Err(why) = super::accession::check(number)
        {
            say("number", why);
        }
    }
}

impl Piece {
    /// What is recorded of its rights, as one value.
    pub fn rights(&self) -> Rights {
        Rights {
            statement: self.rights_statement.clone(),
            holder: self.rights_holder.clone(),
            credit_line: self.credit_line.clone(),
            words: self.rights.clone(),
        }
    }
}

/// A named part of a piece.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Component {
    /// Stable identifier.
    pub id: Option<String>,
    /// Its name, unique within the piece (`left front`).
    pub name: Option<String>,
    /// The component that it belongs to.
    pub part_of: Option<String>,
    /// The vocabulary's word for it.
    pub term: Option<TermId>,
    /// Left, right or centre as worn.
    pub side: Option<String>,
    /// How many there are alike; blank means not recorded.
    pub count: Option<i64>,
    /// Anything else.
    pub note: Option<String>,
}

/// The sides a component can have, as worn.
pub const SIDES: &[&str] = &["left", "right", "centre"];

impl Record for Component {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.text(needed("name", "as you will call it in every other line: left front"), &mut self.name);
        form.component(field("part_of", "the component it belongs to"), &mut self.part_of);
        form.term(
            field("term", "the vocabulary's word, found from the name if blank"),
            Scheme::Component,
            &mut self.term,
        );
        form.choice(field("side", "left, right or centre, as worn"), SIDES, &mut self.side);
        form.integer(field("count", "how many alike"), &mut self.count);
        form.text(field("note", "anything else"), &mut self.note);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if self.count.is_some_and(|n| !(1..=10_000).contains(&n)) {
            say("count", "a count of components is between 1 and 10000".into());
        }
        if self.part_of.is_some() && self.part_of == self.name {
            say("part_of", "a component cannot be part of itself".into());
        }
    }
}

/// A person and the part they have in the piece's story.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Role {
    /// Stable identifier.
    pub id: Option<String>,
    /// Their name.
    pub person: Option<String>,
    /// What they are to the piece.
    pub role: Option<TermId>,
    /// Anything else.
    pub note: Option<String>,
}

impl Record for Role {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.person(needed("person", "their name"), &mut self.person);
        form.term(needed("role", "maker, wearer, donor, conservator ..."), Scheme::PersonRole, &mut self.role);
        form.text(field("note", "anything else"), &mut self.note);
    }
}

/// An event of acquisition or provenance.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Event {
    /// Stable identifier.
    pub id: Option<String>,
    /// Gift, purchase, worn, sold ...
    pub event: Option<TermId>,
    /// When, as written.
    pub date: Option<Dated>,
    /// From or by whom.
    pub person: Option<String>,
    /// Where.
    pub place: Option<String>,
    /// How this is known.
    pub source: Option<String>,
    /// Anything else.
    pub note: Option<String>,
}

impl Record for Event {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.term(needed("event", "gift, purchase, bequest, worn, sold ..."), Scheme::Event, &mut self.event);
        form.dated(field("date", "when, as you would write it"), &mut self.date);
        form.person(field("person", "from whom, by whom"), &mut self.person);
        form.text(field("place", "where"), &mut self.place);
        form.text(field("source", "how this is known"), &mut self.source);
        form.text(field("note", "anything else"), &mut self.note);
    }
}

/// A move to a place; the last one is where the piece lies now.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Move {
    /// Stable identifier.
    pub id: Option<String>,
    /// Where it went.
    pub to: Option<String>,
    /// On which day.
    pub date: Option<Date>,
    /// Who moved it.
    pub by: Option<String>,
    /// Why.
    pub reason: Option<String>,
}

impl Record for Move {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.text(needed("to", "where it went: room, shelf, box"), &mut self.to);
        form.day(field("date", "day of the move, 2024-03-12"), &mut self.date);
        form.person(field("by", "who moved it"), &mut self.by);
        form.text(field("reason", "why"), &mut self.reason);
    }
}

/// What holds the piece in store.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Housing {
    /// Stable identifier.
    pub id: Option<String>,
    /// Box, hanger, roll, mount ...
    pub storage: Option<TermId>,
    /// Materials, padding, maker.
    pub description: Option<String>,
    /// Inside length.
    pub length: Option<Quantity>,
    /// Inside width.
    pub width: Option<Quantity>,
    /// Inside height.
    pub height: Option<Quantity>,
    /// In use since.
    pub since: Option<Date>,
}

impl Record for Housing {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.term(needed("storage", "box, padded hanger, roll, mount ..."), Scheme::Storage, &mut self.storage);
        form.text(field("description", "materials, padding"), &mut self.description);
        form.quantity(field("length", "inside"), Kind::Length, &mut self.length);
        form.quantity(field("width", "inside"), Kind::Length, &mut self.width);
        form.quantity(field("height", "inside"), Kind::Length, &mut self.height);
        form.day(field("since", "in use since"), &mut self.since);
    }
}
