//! The words by which a piece is found, gathered anew whenever something is entered of it.

use super::Entry;
use crate::catalogue::Result;
use crate::catalogue::read::piece_file;
use crate::record::form::{Field, Form, Record, Rows};

impl Entry<'_, '_> {
    /// Rebuilds the words by which the piece is found.
    pub(super) fn words(&mut self) -> Result<()> {
        let db = self.change.db();
        let Some(mut file) = piece_file(db, &self.done.number)? else { return Ok(()) };
        let mut gather = Gather(String::new());
        for i in 0..file.examinations.len().max(1) {
            if i == 0 {
                file.sections(Some(0), &mut gather);
            } else {
                file.examinations[i].sections(&mut gather);
            }
        }
        db.prepare_cached("DELETE FROM words WHERE rowid = ?")?.execute([self.piece])?;
        let name = file.piece.object_name.unwrap_or_default();
        db.prepare_cached("INSERT INTO words (rowid, number, name, body) VALUES (?, ?, ?, ?)")?.execute((
            self.piece,
            &self.done.number,
            name,
            gather.0,
        ))?;
        Ok(())
    }
}

/// Gathers the words of a record.
struct Gather(String);

impl Gather {
    fn add(&mut self, text: &str) {
        self.0.push_str(text);
        self.0.push('\n');
    }
}

impl Form for Gather {
    fn text(&mut self, _: Field, value: &mut Option<String>) {
        if let Some(text) = value {
            self.add(text);
        }
    }
    fn texts(&mut self, _: Field, value: &mut Vec<String>) {
        value.iter().for_each(|text| self.add(text));
    }
    fn dated(&mut self, _: Field, value: &mut Option<crate::dating::Dated>) {
        if let Some(date) = value {
            self.add(&date.as_written);
        }
    }
    fn term(&mut self, _: Field, _: crate::vocabulary::Scheme, value: &mut Option<crate::vocabulary::TermId>) {
        if let Some(term) = value {
            self.add(term.name());
        }
    }
    fn terms(&mut self, _: Field, _: crate::vocabulary::Scheme, value: &mut Vec<crate::vocabulary::TermId>) {
        value.iter().for_each(|term| self.add(term.name()));
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        let _ = words;
        self.text(field, value);
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
    }
}
