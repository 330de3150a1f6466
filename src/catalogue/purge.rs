//! Purging: the one way by which something recorded is erased. The journal keeps that it was, by whom and why; the rows
//! that told of the piece keep their place and the digests of what they held, so that the chain of hashes stays whole.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::belonging::{Key, OWNED, Owners, belonging, links};
use super::change::{Change, Row, row_by_id, rows};
use super::finding::index::{self, Homes, Index};
use super::import::of_piece;
use super::ties::LAST_TAKEN_OFF;
use super::{Catalogue, Fault, Finding, JournalRow, Result, journal};
use crate::digest::sha256;
use crate::draft::{DraftFault, Drafts, Lists};
use crate::photograph::Store;
use crate::record::making::MadeAfter;
use crate::sealed::Pages;
use crate::words::count;

/// What went with a piece, or would go.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Purge {
    /// The piece.
    pub number: String,
    /// Rows erased, by table.
    pub rows: BTreeMap<String, usize>,
    /// People that only this piece named.
    pub people: Vec<String>,
    /// Photographs that show this piece alone: SHA-256 and extension.
    pub photographs: Vec<(String, String)>,
    /// Photographs that show other pieces too, and stay.
    pub photographs_kept: usize,
    /// Sealed pages, by SHA-256.
    pub sealed_pages: Vec<String>,
    /// Examinations of it still being written, and old lists with a row of it that are still kept.
    pub drafts: usize,
    /// Why drafts could not be looked into, each with its file: they stay, and may be of this piece.
    pub unread: Vec<String>,
    /// Rows of the journal that lose what they held.
    pub journal_rows: usize,
    /// Rows of other pieces that named this one and do so no longer.
    pub links_undone: usize,
    /// Old lists that the piece came from and that still lay on their way in, by their SHA-256: they go whole.
    pub lists: Vec<String>,
    /// Files that could not be removed, with the cause.
    pub left: Vec<String>,
    /// Why unused space of the database may still hold scraps of the piece, if it may.
    pub scraps: Option<String>,
}

impl Purge {
    /// Whether nothing of the piece is left that the owner must see to: no file, no draft that could not be looked into, no
    /// scraps in the database.
    pub fn is_whole(&self) -> bool {
        self.left.is_empty() && self.unread.is_empty() && self.scraps.is_none()
    }

    /// What went, or would go, a line each; the first names the piece, the others are set in.
    pub fn in_words(&self, planned: bool) -> Vec<String> {
        let rows: usize = self.rows.values().sum();
        let tables: Vec<String> = self.rows.iter().map(|(table, n)| format!("{table} {n}")).collect();
        let mut lines = vec![
            format!("{}: {}", self.number, if planned { "would be purged" } else { "purged" }),
            format!("  {}: {}", count(rows, "row"), tables.join(", ")),
            format!(
                "  {}, {}, {}",
                count(self.photographs.len(), "photograph"),
                count(self.sealed_pages.len(), "sealed page"),
                count(self.drafts, "draft")
            ),
            format!("  {} of the journal, which keep when, who and why", count(self.journal_rows, "row")),
        ];
        if self.photographs_kept > 0 {
            lines.push(format!(
                "  kept, because they show other pieces too: {}",
                count(self.photographs_kept, "photograph")
            ));
        }
        if !self.people.is_empty() {
            lines.push(format!("  named by this piece alone: {}", self.people.join(", ")));
        }
        if self.links_undone > 0 {
            lines.push(format!("  links of other pieces to it, undone: {}", self.links_undone));
        }
        if !self.lists.is_empty() {
            let lists = count(self.lists.len(), "old list");
            lines.push(format!(
                "  {lists} that it came from, kept on the way in: whole, with rows that were not entered yet"
            ));
        }
        for fault in &self.unread {
            lines.push(format!("  {fault}; it may be of this piece: look into it, and delete it by hand if it is"));
        }
        lines.push("  not touched: backups, exports and copies made before, printed reports".into());
        lines
    }
}

impl Catalogue {
    /// Erases a piece and all that belongs to it alone, its photographs, sealed pages and drafts among it. A dry run works out
    /// what would go, and changes nothing.
    ///
    /// # Errors
    /// If there is no such piece, if author or reason is blank, or if the database refuses: then nothing was erased.
    pub fn purge(&mut self, author: &str, number: &str, reason: &str, dry_run: bool) -> Result<Purge> {
        let piece = self.piece_id(number)?;
        let refused = |e: DraftFault| Fault::Refused(e.to_string());
        let (sittings, unread) = Drafts::at(self.folder()).of(number).map_err(refused)?;
        let unread: Vec<String> = unread.iter().map(DraftFault::to_string).collect();
        // The copy of an old list that it came from, if one still waits to be worked down, tells of it.
        let lists: BTreeSet<String> = of_piece(&self.db, piece)?.into_iter().map(|row| row.file_sha256).collect();
        let kept = Lists::at(self.folder());
        let lists: Vec<String> = lists.into_iter().filter(|sha256| !kept.of(sha256).is_empty()).collect();
        let drafts = sittings.len();
        // What is deleted is overwritten with zeros in the database file.
        self.db.pragma_update(None, "secure_delete", true)?;
        let planned = self.write_or_try(author, reason, dry_run, |change| {
            Ok(Purge { drafts, unread, lists, ..erase(change, piece, number)? })
        });
        // The fences were down; they stand again whatever happened.
        self.db.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, true)?;
        let mut purge = planned?;
        if dry_run {
            return Ok(purge);
        }
        let (store, pages) = (Store::at(self.folder()), Pages::at(self.folder()));
        let photographs = purge
            .photographs
            .iter()
            .flat_map(|(sha, ext)| [store.original(sha, ext), store.view(sha), store.thumbnail(sha)]);
        let files = photographs.chain(purge.sealed_pages.iter().map(|sha| pages.place(sha))).chain(sittings);
        for file in files {
            match std::fs::remove_file(&file) {
                Err(e) if e.kind() != std::io::ErrorKind::NotFound => {
                    purge.left.push(format!("`{}`: {e}", file.display()));
                }
                _ => {}
            }
        }
        for sha256 in &purge.lists {
            if let Err(fault) = kept.remove(sha256) {
                purge.left.push(fault.to_string());
            }
        }
        purge.scraps = self.leave_no_scraps().err().map(|e| {
            format!(
                "`{number}` was purged, but unused space of the database may still hold scraps of it: {e}; see to that, \
                 and run `sqlite3 {} VACUUM`",
                self.folder().join(super::FILE).display()
            )
        });
        Ok(purge)
    }

    /// Scraps of earlier states lie in unused space; the file is written anew without it, and the log beside it emptied.
    fn leave_no_scraps(&self) -> Result<()> {
        self.db.execute_batch("VACUUM")?;
        // That somebody is in the way is no error to SQLite, but an answer.
        let in_the_way: bool = self.db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |r| r.get(0))?;
        if in_the_way {
            return Err(Fault::Refused("another program is reading the catalogue, and must end first".into()));
        }
        Ok(())
    }

    /// What was purged under this number last, in words.
    pub(super) fn purged(&self, number: &str) -> Result<Option<String>> {
        if !self.has_table("purge")? {
            return Ok(None);
        }
        let sql =
            "SELECT j.at, j.author, j.reason FROM purge p JOIN journal j ON j.in_table = 'purge' AND j.row_id = p.id
                    WHERE p.number = ? ORDER BY p.id DESC LIMIT 1";
        let words = |r: &rusqlite::Row<'_>| {
            let at: String = r.get(0)?;
            Ok(format!(
                "purged on {} by {}: {}",
                at.get(..10).unwrap_or(&at),
                r.get::<_, String>(1)?,
                r.get::<_, String>(2)?
            ))
        };
        Ok(self.db.query_row(sql, [number], words).optional()?)
    }

    /// Contents of the journal that are gone without a purge that says so, or still there in spite of one.
    pub(super) fn purge_findings(&self, journal: &[JournalRow]) -> Result<Vec<Finding>> {
        if !self.has_table("purge")? {
            return Ok(Vec::new());
        }
        let mut named = BTreeSet::new();
        for row in rows(&self.db, "SELECT journal_rows FROM purge", [])? {
            let text = row.get("journal_rows").and_then(Value::as_str).unwrap_or_default();
            let ranges: Vec<(i64, i64)> = serde_json::from_str(text).unwrap_or_default();
            named.extend(
                ranges.into_iter().flat_map(|(first, last)| first..=last.min(first.saturating_add(10_000_000))),
            );
        }
        // A photograph that is told anew was a digest before.
        let anew: HashMap<i64, i64> =
            journal.iter().filter(|row| row.tells_anew()).map(|row| (row.row_id, row.id)).collect();
        let held_back =
            |row: &JournalRow| row.in_table == "photograph" && anew.get(&row.row_id).is_some_and(|told| row.id < *told);
        let misfits = journal.iter().filter(|row| {
            if row.is_digest() { !named.contains(&row.id) && !held_back(row) } else { named.contains(&row.id) }
        });
        Ok(misfits
            .map(|row| {
                let what = if row.is_digest() {
                    "is gone, and no purge names it: it was changed outside the program"
                } else {
                    "is there, though a purge names it: it was put back outside the program"
                };
                Finding::new(format!("what row {} of the journal held {what}", row.id), "compare with a backup")
            })
            .collect())
    }
}

fn erase(change: &mut Change<'_>, piece: i64, number: &str) -> Result<Purge> {
    let all = journal::all(change.db())?;
    let owners = Owners::all(change.db())?;
    let mut purge = Purge { number: number.into(), ..Purge::default() };
    let uid = row_by_id(change.db(), "piece", piece)?.get("uid").cloned().unwrap_or_default();

    let mut start = Key::from([("piece".to_owned(), piece)]);
    // What was taken off the piece last, and shows no other since, goes with it: nothing else would ever name it.
    let photographs = format!(
        "SELECT f.id, f.sha256, f.extension, EXISTS (SELECT 1 FROM photograph_of o
          WHERE o.photograph_id = f.id AND o.piece_id <> ?1) AS kept
        FROM photograph f WHERE f.id IN (SELECT photograph_id FROM photograph_of WHERE piece_id = ?1)
           OR NOT EXISTS (SELECT 1 FROM photograph_of o WHERE o.photograph_id = f.id)
              AND (SELECT json_extract(before, '$.piece_id') FROM journal WHERE id = {LAST_TAKEN_OFF}) = ?1"
    );
    for row in rows(change.db(), &photographs, [piece])? {
        if row.get("kept").and_then(Value::as_i64) == Some(0) {
            start.insert(("photograph".to_owned(), number_in(&row, "id")));
            purge.photographs.push((text_in(&row, "sha256"), text_in(&row, "extension")));
        } else {
            purge.photographs_kept += 1;
        }
    }
    let told = belonging(&all, &owners, &start, false);
    let (mut doomed, mut emptied) = (told.there, told.rows);
    let people = only_named_by(change.db(), &doomed)?;
    emptied.extend(belonging(&all, &owners, &people, false).rows);
    emptied.sort_unstable();
    for (_, id) in &people {
        purge.people.push(text_in(&row_by_id(change.db(), "person", *id)?, "name"));
    }
    doomed.extend(people);
    for (_, id) in doomed.iter().filter(|(table, _)| table == "seal") {
        purge.sealed_pages.push(text_in(&row_by_id(change.db(), "seal", *id)?, "sha256"));
    }
    purge.links_undone = undo_links(change, &doomed, number)?;

    // Seals and journal are fenced by triggers against every other way in.
    change.db().set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false)?;
    change.db().execute_batch("PRAGMA defer_foreign_keys = ON")?;
    for (table, id) in &doomed {
        change.db().prepare_cached(&format!("DELETE FROM \"{table}\" WHERE id = ?"))?.execute([id])?;
        *purge.rows.entry(table.clone()).or_default() += 1;
    }
    Index::over(change.db(), |index| index.forget(piece))?;
    index::forget_unused_words(change.db())?;
    // The index keeps the words of deleted texts until it is put in order.
    change.db().execute("INSERT INTO words(words) VALUES ('optimize')", [])?;
    let beside = pieces_beside(change.db(), &all, &emptied, piece)?;
    empty(change.db(), &all, &emptied)?;
    index::refresh_all(change.db(), &beside)?;
    change.db().set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, true)?;
    purge.journal_rows = emptied.len();
    let row = Row::from_iter([
        ("uid".to_owned(), uid),
        ("number".to_owned(), number.into()),
        ("journal_rows".to_owned(), serde_json::to_string(&ranges(&emptied)).unwrap_or_default().into()),
        ("photographs".to_owned(), purge.photographs.len().into()),
        ("sealed_pages".to_owned(), purge.sealed_pages.len().into()),
    ]);
    change.insert("purge", &row)?;
    Ok(purge)
}

/// The other pieces that these rows of the journal are changes of as well: the last day they were changed may be another.
fn pieces_beside(db: &Connection, all: &[JournalRow], rows: &[i64], but: i64) -> Result<BTreeSet<i64>> {
    let (mut pieces, mut homes) = (BTreeSet::new(), Homes::default());
    for row in all.iter().filter(|row| rows.binary_search(&row.id).is_ok()) {
        let text = row.after.as_deref().or(row.before.as_deref());
        let content: Row = text.and_then(|t| serde_json::from_str(t).ok()).unwrap_or_default();
        pieces.extend(homes.pieces_of(db, &row.in_table, row.row_id, &content)?);
    }
    pieces.remove(&but);
    Ok(pieces)
}

/// The people whom these rows name and no other row does.
fn only_named_by(db: &Connection, doomed: &Key) -> Result<Key> {
    let links = links(db, "f.\"table\" = 'person'")?;
    let (mut by_these, mut by_others) = (BTreeSet::new(), BTreeSet::new());
    for (table, column, _) in links {
        let sql = format!("SELECT id, \"{column}\" AS person FROM \"{table}\" WHERE \"{column}\" IS NOT NULL");
        for row in rows(db, &sql, [])? {
            let by =
                if doomed.contains(&(table.clone(), number_in(&row, "id"))) { &mut by_these } else { &mut by_others };
            by.insert(number_in(&row, "person"));
        }
    }
    Ok(by_these.difference(&by_others).map(|id| ("person".to_owned(), *id)).collect())
}

/// Blanks the links by which other rows name these; a reconstruction goes on naming its model, in words.
fn undo_links(change: &mut Change<'_>, doomed: &Key, number: &str) -> Result<usize> {
    let mut undone = 0;
    for (table, column, to) in links(change.db(), &format!("NOT {OWNED} AND f.\"table\" <> 'term'"))? {
        let sql = format!("SELECT id, \"{column}\" AS link FROM \"{table}\" WHERE \"{column}\" IS NOT NULL");
        for row in rows(change.db(), &sql, [])? {
            let id = number_in(&row, "id");
            if !doomed.contains(&(to.clone(), number_in(&row, "link"))) || doomed.contains(&(table.clone(), id)) {
                continue;
            }
            let mut columns = Row::from_iter([(column.clone(), Value::Null)]);
            if table == "made_after" && !row_by_id(change.db(), &table, id)?.contains_key("source") {
                columns.insert("source".into(), MadeAfter::purged(number).into());
            }
            change.update(&table, id, &columns)?;
            undone += 1;
        }
    }
    Ok(undone)
}

/// Takes out what these rows of the journal held; its digest takes its place.
fn empty(db: &Connection, journal: &[JournalRow], emptied: &[i64]) -> Result<()> {
    let mut statement = db.prepare_cached(
        "UPDATE journal SET before = NULL, after = NULL, before_sha256 = ?, after_sha256 = ? WHERE id = ?",
    )?;
    for row in journal.iter().filter(|row| emptied.binary_search(&row.id).is_ok()) {
        let digest = |text: &Option<String>| text.as_deref().map(|text| sha256(text.as_bytes()));
        statement.execute((digest(&row.before), digest(&row.after), row.id))?;
    }
    Ok(())
}

/// Ascending numbers as first and last of each run.
fn ranges(numbers: &[i64]) -> Vec<(i64, i64)> {
    let mut ranges: Vec<(i64, i64)> = Vec::new();
    for &number in numbers {
        match ranges.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => ranges.push((number, number)),
        }
    }
    ranges
}

fn number_in(row: &Row, name: &str) -> i64 {
    row.get(name).and_then(Value::as_i64).unwrap_or_default()
}

fn text_in(row: &Row, name: &str) -> String {
    row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned()
}
