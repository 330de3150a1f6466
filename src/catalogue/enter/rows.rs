//! A record's columns and the lists inside it, on their way into the tables.

use rusqlite::OptionalExtension;

use super::Entry;
use crate::catalogue::change::{Change, Row, fresh_uid};
use crate::catalogue::flat::{Flat, Link, earlier, ending};
use crate::catalogue::read::{components, find_piece};
use crate::catalogue::{Fault, Result};

impl Entry<'_, '_> {
    /// The lists inside a record: readings, terms and records of their own.
    pub(super) fn details(&mut self, table: &str, owner: i64, flat: &Flat) -> Result<()> {
        let row = |field: &str, position: usize| {
            let mut row = placed(owner, position);
            row.insert("field".into(), field.into());
            row
        };
        for (field, readings) in &flat.readings {
            for (i, q) in readings.iter().enumerate() {
                let mut row = row(field, i);
                row.insert("as_written".into(), q.as_written.clone().into());
                row.insert("value".into(), q.value.into());
                row.insert("u".into(), q.u.into());
                row.insert("unit".into(), ending(q.kind).into());
                self.change.insert("reading", &row)?;
            }
        }
        for (field, terms) in &flat.terms {
            for (i, term) in terms.iter().enumerate() {
                let mut row = row(field, i);
                row.insert("term".into(), term.as_str().into());
                self.change.insert("observation_term", &row)?;
            }
        }
        for (field, list) in &flat.lists {
            self.rows_from(&format!("{table}_{field}"), owner, list, 0)?;
        }
        Ok(())
    }

    /// Stores a list inside a record, without its first rows, which are there.
    pub(super) fn rows_from(&mut self, table: &str, owner: i64, list: &[Flat], kept: usize) -> Result<()> {
        for (i, item) in list.iter().enumerate().skip(kept) {
            let mut columns = placed(owner, i);
            columns.extend(self.columns(item)?);
            self.change.insert(table, &columns)?;
        }
        Ok(())
    }

    /// Removes the rows of a list inside a record, but for the first ones.
    pub(super) fn clear_from(&mut self, table: &str, owner: i64, kept: usize) -> Result<()> {
        let ids: Vec<i64> = {
            let sql = format!("SELECT id FROM \"{table}\" WHERE owner_id = ? ORDER BY position LIMIT -1 OFFSET ?");
            let mut statement = self.change.db().prepare(&sql)?;
            let kept = i64::try_from(kept).unwrap_or_default();
            statement.query_map((owner, kept), |r| r.get(0))?.collect::<std::result::Result<_, _>>()?
        };
        ids.into_iter().try_for_each(|id| self.change.delete(table, id))
    }

    /// The columns of a record, its links resolved to rows.
    fn columns(&mut self, flat: &Flat) -> Result<Row> {
        self.linked(flat.columns.clone(), &flat.links)
    }

    /// The same, taken out of the record.
    pub(super) fn columns_of(&mut self, flat: &mut Flat) -> Result<Row> {
        self.linked(std::mem::take(&mut flat.columns), &flat.links)
    }

    fn linked(&mut self, mut columns: Row, links: &[(String, Link)]) -> Result<Row> {
        for (column, link) in links {
            let id = match link {
                Link::Component(name) => {
                    components(self.change.db(), self.piece)?.get(name).copied().ok_or_else(|| {
                        Fault::Refused(format!(
                            "`{}` has no component `{name}`; list it under [[component]]",
                            self.done.number
                        ))
                    })?
                }
                Link::Person(name) => self.change.person(name)?,
                Link::Piece(number) => find_piece(self.change.db(), number)?.ok_or_else(|| {
                    Fault::Refused(format!(
                        "there is no piece `{number}` in this catalogue; enter its sheet first, or use `source`"
                    ))
                })?,
                Link::Earlier(of, uid) => self.row_of(earlier(*of), uid)?,
            };
            columns.insert(column.clone(), id.into());
        }
        Ok(columns)
    }

    pub(super) fn row_of(&self, table: &str, uid: &str) -> Result<i64> {
        let sql = format!("SELECT id FROM \"{table}\" WHERE uid = ?");
        let found = self.change.db().prepare_cached(&sql)?.query_row([uid], |r| r.get(0)).optional()?;
        found.ok_or_else(|| Fault::Refused(format!("there is no {table} with the id `{uid}`")))
    }
}

impl Change<'_> {
    /// The row of a person, made if the name is new.
    pub(in crate::catalogue) fn person(&mut self, name: &str) -> Result<i64> {
        let known = self
            .db()
            .prepare_cached("SELECT id FROM person WHERE name = ?")?
            .query_row([name], |r| r.get(0))
            .optional()?;
        match known {
            Some(id) => Ok(id),
            None => {
                let mut row = Row::new();
                row.insert("uid".into(), fresh_uid().into());
                row.insert("name".into(), name.into());
                self.insert("person", &row)
            }
        }
    }
}

/// The columns that a row of a list begins with.
pub(super) fn placed(owner: i64, position: usize) -> Row {
    Row::from_iter([("owner_id".to_owned(), owner.into()), ("position".to_owned(), (position + 1).into())])
}
