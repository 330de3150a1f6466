//! Rows out of the tables, one after the other.

use super::{Chosen, ROW, Table};
use crate::catalogue::change::{Row, from_sql};
use crate::catalogue::{Catalogue, Result};

impl Catalogue {
    /// When the catalogue was last changed, as the newest row of its journal says; blank before the first.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn last_changed(&self) -> Result<String> {
        let sql = "SELECT coalesce((SELECT at FROM journal ORDER BY id DESC LIMIT 1), '')";
        Ok(self.db.query_row(sql, [], |r| r.get(0))?)
    }

    /// Gives every chosen row of a table to `visit`, pieces in the order of their numbers, all else in the order in which
    /// it came in. A blank column is left out.
    ///
    /// # Errors
    /// If the table cannot be read, or whatever `visit` returns.
    pub fn each_row<E: From<crate::catalogue::Fault>>(
        &self,
        table: &Table,
        chosen: &Chosen,
        visit: &mut dyn FnMut(Row) -> std::result::Result<(), E>,
    ) -> std::result::Result<(), E> {
        let sql = match table.name.as_str() {
            "term" => format!("SELECT rowid AS {ROW}, * FROM term ORDER BY rowid"),
            "piece" => "SELECT * FROM piece ORDER BY number_order, id".to_owned(),
            name => format!("SELECT * FROM \"{name}\" ORDER BY id"),
        };
        let database = |e: rusqlite::Error| E::from(e.into());
        let mut statement = self.db.prepare_cached(&sql).map_err(database)?;
        // In the order of the table's own columns, as they are described.
        let places: Vec<usize> = table
            .columns
            .iter()
            .map(|column| statement.column_index(&column.name))
            .collect::<rusqlite::Result<_>>()
            .map_err(database)?;
        let mut found = statement.query([]).map_err(database)?;
        while let Some(stored) = found.next().map_err(database)? {
            let mut row = Row::new();
            for (column, place) in table.columns.iter().zip(&places) {
                let value = stored.get_ref(*place).and_then(from_sql).map_err(database)?;
                if !value.is_null() {
                    row.insert(column.name.clone(), value);
                }
            }
            if let Some(row) = chosen.of(table, row) {
                visit(row)?;
            }
        }
        Ok(())
    }
}
