//! The catalogue's tables through plain SQL, as anybody with another program could reach them.

use std::path::Path;

use rusqlite::Connection;

/// The database file of a catalogue, foreign keys on.
pub struct Tables(pub Connection);

impl Tables {
    pub fn open(folder: &Path) -> Self {
        let db = Connection::open(folder.join("catalogue.sqlite")).expect("the file opens");
        db.pragma_update(None, "foreign_keys", true).expect("foreign keys can be switched on");
        Self(db)
    }

    /// Runs statements, whatever they do.
    pub fn run(&self, sql: &str) {
        self.0.execute_batch(sql).unwrap_or_else(|e| panic!("{e}\n{sql}"));
    }

    /// What the database answers to a statement that it should refuse.
    pub fn refusal(&self, sql: &str) -> String {
        self.0.execute_batch(sql).map_or_else(|e| e.to_string(), |()| panic!("should be refused:\n{sql}"))
    }

    /// One text or number, as text; a blank as an empty text.
    pub fn one(&self, sql: &str) -> String {
        let value = self.0.query_row(sql, [], |r| r.get::<_, rusqlite::types::Value>(0));
        words(value.unwrap_or_else(|e| panic!("{e}\n{sql}")))
    }

    /// The first column of all rows, as text.
    pub fn all(&self, sql: &str) -> Vec<String> {
        let mut statement = self.0.prepare(sql).unwrap_or_else(|e| panic!("{e}\n{sql}"));
        let rows = statement.query_map([], |r| r.get::<_, rusqlite::types::Value>(0)).expect("the query runs");
        rows.map(|r| words(r.expect("a row"))).collect()
    }
}

fn words(value: rusqlite::types::Value) -> String {
    use rusqlite::types::Value::{Blob, Integer, Null, Real, Text};
    match value {
        Null => String::new(),
        Integer(i) => i.to_string(),
        Real(f) => f.to_string(),
        Text(t) => t,
        Blob(b) => format!("{b:?}"),
    }
}
