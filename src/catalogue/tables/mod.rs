//! The tables as they are handed on and taken in: every row, and of every column what it means, in what unit, and what it
//! points to. Which columns there are is asked of the schema itself; what they mean comes from the records' own fields.

mod chosen;
mod describe;
mod meanings;
mod rows;
mod take_in;

pub use chosen::Chosen;

use std::sync::OnceLock;

use rusqlite::Connection;

pub(super) use self::describe::scheme;
use self::describe::{Meant, meant};
use super::{Clock, Result, open};

/// One table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Its name, as the database has it.
    pub name: String,
    /// What a row of it is, in a sentence.
    pub means: &'static str,
    /// Its columns, in order. The first tells its rows apart.
    pub columns: Vec<Column>,
}

/// One column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its name, as the database has it.
    pub name: String,
    /// What stands in it.
    pub content: Content,
    /// What it means.
    pub means: String,
    /// The unit of a number that has one, as in `mm`.
    pub unit: Option<&'static str>,
    /// Whether no row is without it.
    pub needed: bool,
    /// The table whose rows it names.
    pub points_to: Option<String>,
    /// The only words that may stand in it; none if it is free.
    pub words: &'static [&'static str],
    /// What its texts begin with, for a term of one list: `fibre/`.
    pub begins: Option<String>,
}

impl Column {
    /// Whether it holds a standard uncertainty.
    pub fn is_uncertainty(&self) -> bool {
        let name = &self.name;
        self.content == Content::Number && (name == "u" || name.starts_with("u_") || name.ends_with("_u"))
    }
}

/// What can stand in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Content {
    /// A text.
    Text,
    /// A whole number.
    Integer,
    /// A number.
    Number,
    /// Yes or no, kept as 1 and 0.
    Boolean,
    /// A day, `2024-03-12`.
    Day,
    /// A moment in UTC, as ISO 8601 writes it.
    Moment,
    /// Several texts, kept as a JSON list.
    Texts,
    /// An object or a list, kept as JSON.
    Json,
}

/// Tables that nobody is given: what the program keeps for itself, what can be worked out anew, and passwords.
const KEPT_BACK: [&str; 2] = ["setting", "account_password"];

/// Every table that is handed on, in an order in which each comes after those that it cannot be without.
///
/// # Errors
/// If the schema cannot be made in memory.
pub fn tables() -> Result<&'static [Table]> {
    static TABLES: OnceLock<Vec<Table>> = OnceLock::new();
    if let Some(made) = TABLES.get() {
        return Ok(made);
    }
    let made = of_schema(&open::in_memory(Clock::System)?)?;
    Ok(TABLES.get_or_init(|| made))
}

/// The name under which the number of a term's row is handed on: the journal knows the term by it.
const ROW: &str = "row";

fn of_schema(db: &Connection) -> Result<Vec<Table>> {
    let sql = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'words%'
                 AND name NOT GLOB 'found_*' AND name NOT LIKE 'sqlite_%' ORDER BY rowid";
    let names: Vec<String> = db.prepare(sql)?.query_map([], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?;
    let meanings = meant();
    let mut tables = Vec::new();
    for name in names.into_iter().filter(|name| !KEPT_BACK.contains(&name.as_str())) {
        let mut columns = columns(db, &name, meanings)?;
        if name == "term" {
            columns.insert(1, Column { name: ROW.into(), ..number_of_row() });
        }
        tables.push(Table { means: meanings::of_table(&name), name, columns });
    }
    Ok(tables)
}

fn number_of_row() -> Column {
    Column {
        name: String::new(),
        content: Content::Integer,
        means: "the number of its row, by which the journal knows it".into(),
        unit: None,
        needed: true,
        points_to: None,
        words: &[],
        begins: None,
    }
}

fn columns(db: &Connection, table: &str, meanings: &[Meant]) -> Result<Vec<Column>> {
    let sql = "SELECT c.name, c.type, c.\"notnull\" OR c.pk, f.\"table\" FROM pragma_table_info(?1) c
                 LEFT JOIN pragma_foreign_key_list(?1) f ON f.\"from\" = c.name ORDER BY c.cid";
    let mut statement = db.prepare_cached(sql)?;
    let column = |r: &rusqlite::Row<'_>| {
        let name: String = r.get(0)?;
        let meant = meanings.iter().find(|m| m.table == table && m.column == name);
        let stored = match r.get::<_, String>(1)?.as_str() {
            "INTEGER" => Content::Integer,
            "REAL" => Content::Number,
            _ => Content::Text,
        };
        let (content, sense) = match meant {
            Some(m) => (m.content.unwrap_or(stored), m.means.clone()),
            None => meanings::of_column(table, &name)
                .map_or((stored, String::new()), |(content, means)| (content.unwrap_or(stored), means.to_owned())),
        };
        Ok(Column {
            content,
            means: sense,
            unit: meant.and_then(|m| m.unit),
            needed: r.get(2)?,
            points_to: r.get(3)?,
            words: meant.map_or(&[][..], |m| m.words),
            begins: meant.and_then(|m| m.scheme).map(|scheme| format!("{}/", scheme.key())),
            name,
        })
    };
    Ok(statement.query_map([table], column)?.collect::<std::result::Result<_, _>>()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_and_every_column_says_what_it_means() {
        let mut silent = Vec::new();
        for table in tables().expect("the schema can be made") {
            if table.means.is_empty() {
                silent.push(table.name.clone());
            }
            let blank = table.columns.iter().filter(|c| c.means.is_empty());
            silent.extend(blank.map(|c| format!("{}.{}", table.name, c.name)));
        }
        assert!(silent.is_empty(), "say in `meanings.rs` what these are: {silent:#?}");
    }

    #[test]
    fn what_a_meaning_is_given_for_is_there() {
        let tables = tables().expect("the schema can be made");
        let there = |table: &str, column: &str| {
            tables.iter().any(|t| t.name == table && (column == "*" || t.columns.iter().any(|c| c.name == column)))
        };
        let lost: Vec<_> = meanings::named().filter(|(table, column)| *table != "*" && !there(table, column)).collect();
        assert!(lost.is_empty(), "these are no columns: {lost:?}");
    }

    #[test]
    fn a_quantity_is_a_number_with_its_unit_and_a_term_names_its_list() {
        let tables = tables().expect("the schema can be made");
        let column = |table: &str, name: &str| {
            let table = tables.iter().find(|t| t.name == table).expect("a table");
            table.columns.iter().find(|c| c.name == name).unwrap_or_else(|| panic!("`{name}`")).clone()
        };
        let (width, u) = (column("housing", "width_mm"), column("housing", "width_u"));
        assert_eq!(
            (width.content, width.unit, u.content, u.unit),
            (Content::Number, Some("mm"), Content::Number, Some("mm"))
        );
        let fibre = column("textile_fibres", "fibre");
        assert_eq!(
            (fibre.begins.as_deref(), fibre.points_to.as_deref(), fibre.needed),
            (Some("fibre/"), Some("term"), true)
        );
        assert_eq!(column("component", "side").words, ["left", "right", "centre"]);
        assert_eq!(column("textile", "warp_number_tex").unit, Some("tex"));
        assert_eq!(column("examination", "date").content, Content::Day);
        assert_eq!(column("piece", "keywords").content, Content::Texts);
        assert_eq!(column("photograph", "exif").content, Content::Json);
    }
}
