//! The walk over a record's own list of fields that blanks what is not included.

use std::collections::{BTreeSet, HashSet};

use super::super::fields::{KEPT, PUBLIC};
use super::kind::{Kind, LeftOut, Terms};
use crate::record::form::{Field, Form, Leaf, Record, Rows};
use crate::record::making::MadeAfter;

/// What is decided of a field.
pub(super) enum Decision {
    Public,
    Left(Kind),
}

/// The decision on a field of the record at this path: `textile.fibres`.
pub(super) fn decision(path: &str, field: &str) -> Decision {
    let has = |(at, names): &(&str, &str)| *at == path && names.split_whitespace().any(|name| name == field);
    if PUBLIC.iter().any(has) {
        return Decision::Public;
    }
    let left = KEPT.iter().find(|(at, _, names)| has(&(*at, *names)));
    Decision::Left(left.map_or(Kind::Undecided, |(_, kind, _)| *kind))
}

/// Walks a record and blanks what is not included.
pub(super) struct Veil<'a> {
    pub terms: &'a Terms,
    pub path: Vec<&'static str>,
    /// Whether the row being walked has anything left.
    pub shows: bool,
    pub left_out: LeftOut,
}

impl Veil<'_> {
    /// Whether a filled-in field is included; counted if it is not.
    fn includes(&mut self, field: Field, also: Option<Kind>) -> bool {
        let path = self.path.join(".");
        let kind = match decision(&path, field.name) {
            Decision::Left(kind) if !self.terms.includes(kind) => Some(kind),
            Decision::Left(_) | Decision::Public => also.filter(|kind| !self.terms.includes(*kind)),
        };
        match kind {
            Some(kind) => self.left_out.count(kind, &format!("{path}.{}", field.name)),
            None => self.shows = true,
        }
        kind.is_none()
    }

    /// Blanks what stands there unless it is included.
    fn veil(&mut self, field: Field, value: &mut dyn Leaf, also: Option<Kind>) {
        if !value.is_blank() && !self.includes(field, also) {
            value.clear();
        }
    }
}

impl Form for Veil<'_> {
    fn leaf(&mut self, field: Field, value: &mut dyn Leaf) {
        self.veil(field, value, None);
    }
    /// What stands in words for a model that was purged is the number of another piece still.
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        let stranger = value.as_deref().is_some_and(MadeAfter::names_purged);
        self.veil(field, value, stranger.then_some(Kind::OtherPieces));
    }
    /// A name needs `people`, whatever else its line needs.
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.veil(field, value, Some(Kind::People));
    }
    /// The number of another piece goes out only if that piece does.
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        let stranger = value.as_ref().is_some_and(|number| !self.terms.published.contains(number));
        self.veil(field, value, stranger.then_some(Kind::OtherPieces));
    }
    /// An identifier says nothing by itself, and regions hang on it.
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        self.path.push(field.name);
        row.fields(self);
        self.path.pop();
    }
    /// A row with nothing left in it is taken out, so that its being there says nothing either.
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        self.path.push(field.name);
        let mut any = self.shows;
        for at in (0..rows.count()).rev() {
            self.shows = false;
            rows.at(at).fields(self);
            if self.shows {
                any = true;
            } else {
                rows.take_out(at);
            }
        }
        self.shows = any;
        self.path.pop();
    }
}

/// Gathers identifiers.
#[derive(Default)]
pub(super) struct Ids(pub HashSet<String>);

impl Form for Ids {
    fn id(&mut self, value: &mut Option<String>) {
        self.0.extend(value.clone());
    }
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for at in 0..rows.count() {
            rows.at(at).fields(self);
        }
    }
}

/// Looks through what somebody wrote in their own words for the number of a piece.
pub(super) struct Names<'a> {
    pub of: &'a BTreeSet<String>,
    pub found: bool,
}

impl Names<'_> {
    /// A number with a blank in it is not looked for: its first word may be any.
    pub fn look(&mut self, words: &str) {
        let mut apart = words.split(|c: char| c.is_whitespace() || "\"'“”‘’()[],;:".contains(c));
        self.found |= apart.any(|word| self.of.contains(word.trim_end_matches(['.', '?', '!'])));
    }
}

impl Form for Names<'_> {
    fn text(&mut self, _: Field, value: &mut Option<String>) {
        value.iter().for_each(|words| self.look(words));
    }
    fn texts(&mut self, _: Field, value: &mut Vec<String>) {
        value.iter().for_each(|words| self.look(words));
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for at in 0..rows.count() {
            rows.at(at).fields(self);
        }
    }
}
