//! Pieces from an old list: all of them in one transaction, each with the cells that it was read from.

use std::collections::HashMap;

use jiff::civil::Date;
use rusqlite::{Connection, ErrorCode};
use serde_json::Value;

use super::change::{Change, Row, fresh_uid, rows};
use super::enter::{Entry, strike::Strike};
use super::finding::index::FoundBy;
use super::read::find_piece;
use super::{Catalogue, Fault, Intent, Result};
use crate::record::PieceFile;
use crate::record::source::SourceRow;

/// So many pieces are made ready at once.
const AHEAD: usize = 128;

/// One piece of an old list on its way in.
#[derive(Debug, Clone)]
pub struct Incoming {
    /// What was read.
    pub file: PieceFile,
    /// What stood there.
    pub source: SourceRow,
}

impl Incoming {
    /// The record as it is entered, and by what it will be found.
    fn ready(&self, day: Option<Date>) -> (PieceFile, FoundBy) {
        let mut sheet = self.file.clone();
        sheet.settle();
        let found = FoundBy::of_new(&sheet, day);
        (sheet, found)
    }
}

/// What an import did.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Imported {
    /// Pieces that are new.
    pub pieces: usize,
    /// Lines recorded for them.
    pub lines: usize,
    /// Rows of which a later wording is kept.
    pub later: usize,
}

impl Catalogue {
    /// Enters pieces of an old list that are not in the catalogue yet, and keeps a later wording of rows of others beside
    /// what was kept of them before, whose records stay as they are: all or nothing. `done` is told after each piece, and
    /// may end it.
    ///
    /// # Errors
    /// If a piece is in the catalogue already, cannot be entered or is gone; the row of a new one is named. Or what `done`
    /// says. Nothing is changed then.
    pub fn import(
        &mut self,
        incoming: &[Incoming],
        later: &[(String, SourceRow)],
        intent: &Intent,
        done: &mut dyn FnMut() -> Result<()>,
    ) -> Result<Imported> {
        let reason = intent.reason.clone().unwrap_or_else(|| "imported from an old list".into());
        // In kB. Digests and words stand in no order in their indexes: a long import goes back to every page again and again.
        let usual: i64 = self.db.pragma_query_value(None, "cache_size", |r| r.get(0))?;
        self.db.pragma_update(None, "cache_size", -262_144)?;
        let imported = self.write_or_try(&intent.author, &reason, intent.dry_run, |change| {
            let day = change.day();
            std::thread::scope(|scope| {
                // One core makes the next pieces ready while the other writes.
                let (give, ready) = std::sync::mpsc::sync_channel(2);
                scope.spawn(move || {
                    let of_some = |some: &[Incoming]| some.iter().map(|piece| piece.ready(day)).collect::<Vec<_>>();
                    incoming.chunks(AHEAD).all(|some| give.send(of_some(some)).is_ok())
                });
                let mut imported = Imported::default();
                for (incoming, (sheet, found)) in incoming.iter().zip(ready.into_iter().flatten()) {
                    imported.lines += enter(change, incoming, sheet, found)?;
                    imported.pieces += 1;
                    done()?;
                }
                imported.later = keep(change, later)?;
                Ok(imported)
            })
        });
        // What is entered is entered, whatever becomes of the memory.
        let _ = self.db.pragma_update(None, "cache_size", usual);
        imported
    }

    /// All rows of old lists that are kept, by the number of their piece, oldest first.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn source_rows(&self) -> Result<HashMap<String, Vec<SourceRow>>> {
        let mut kept: HashMap<String, Vec<SourceRow>> = HashMap::new();
        let sql = "SELECT p.number, s.* FROM source_row s JOIN piece p ON p.id = s.piece_id ORDER BY s.id";
        for row in rows(&self.db, sql, [])? {
            let number = text(&row, "number");
            kept.entry(number).or_default().push(source(&row));
        }
        Ok(kept)
    }

    /// The numbers of all pieces, withdrawn ones among them, and of those that were purged, in no order.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn numbers_ever(&self) -> Result<(Vec<String>, Vec<String>)> {
        let all = |sql: &str| -> Result<Vec<String>> {
            let mut statement = self.db.prepare_cached(sql)?;
            Ok(statement.query_map([], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?)
        };
        let purged = if self.has_table("purge")? { all("SELECT number FROM purge")? } else { Vec::new() };
        Ok((all("SELECT number FROM piece")?, purged))
    }
}

/// Keeps rows beside those that were kept of their pieces before; says how many.
fn keep(change: &mut Change<'_>, later: &[(String, SourceRow)]) -> Result<usize> {
    for (number, source) in later {
        let piece =
            find_piece(change.db(), number)?.ok_or_else(|| Fault::NoPiece { number: number.clone(), near: None })?;
        change.insert("source_row", &columns(piece, source))?;
    }
    Ok(later.len())
}

/// Enters one piece with the cells it was read from; says of how many lines.
fn enter(change: &mut Change<'_>, incoming: &Incoming, sheet: PieceFile, found: FoundBy) -> Result<usize> {
    let Incoming { file, source } = incoming;
    let refused =
        |why: String| Fault::Refused(format!("row {} (`{}`): {why}; nothing was imported", source.row, file.number()));
    let told = |fault| match fault {
        Fault::Refused(why) => refused(why),
        Fault::Database(e) if e.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) => {
            refused(format!("the catalogue refuses this record: {e}"))
        }
        other => other,
    };
    let entry = Entry::new(change, sheet, Strike::default()).map_err(told)?;
    if !entry.is_new() {
        return Err(refused("the piece came into the catalogue meanwhile; run the import again".into()));
    }
    let (entered, piece) = entry.run_as().map_err(told)?;
    change.insert("source_row", &columns(piece, source))?;
    change.is_found_by(piece, found);
    Ok(entered.added as usize)
}

fn columns(piece: i64, source: &SourceRow) -> Row {
    Row::from_iter([
        ("uid".to_owned(), fresh_uid().into()),
        ("piece_id".to_owned(), piece.into()),
        ("file".to_owned(), source.file.clone().into()),
        ("file_sha256".to_owned(), source.file_sha256.clone().into()),
        ("sheet".to_owned(), source.sheet.clone().into()),
        ("row".to_owned(), source.row.into()),
        ("cells".to_owned(), serde_json::to_string(&source.cells).unwrap_or_default().into()),
    ])
}

fn text(row: &Row, column: &str) -> String {
    row.get(column).and_then(Value::as_str).unwrap_or_default().to_owned()
}

fn source(row: &Row) -> SourceRow {
    SourceRow {
        id: row.get("uid").and_then(Value::as_str).map(String::from),
        file: text(row, "file"),
        file_sha256: text(row, "file_sha256"),
        sheet: row.get("sheet").and_then(Value::as_str).map(String::from),
        row: row.get("row").and_then(Value::as_u64).and_then(|n| n.try_into().ok()).unwrap_or_default(),
        cells: serde_json::from_str(&text(row, "cells")).unwrap_or_default(),
    }
}

/// The rows of old lists that are kept of a piece; none in an older catalogue on a medium that cannot be written.
pub(super) fn of_piece(db: &Connection, piece: i64) -> Result<Vec<SourceRow>> {
    match rows(db, "SELECT * FROM source_row WHERE piece_id = ? ORDER BY id", [piece]) {
        Ok(found) => Ok(found.iter().map(source).collect()),
        Err(fault) => {
            let there = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'source_row'";
            if db.prepare_cached(there)?.exists([])? { Err(fault) } else { Ok(Vec::new()) }
        }
    }
}
