//! What pieces are found by, kept in step with the records: brought up to date with each change, made anew, checked.

use std::collections::HashMap;

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::super::change::Row;
use super::super::check::BACKUP;
use super::super::read::piece_file_by_id;
use super::super::withdrawal::stands;
use super::super::{Catalogue, Finding, Result};
use crate::query::{Beside, Entries, FigureEntry, entries};

/// Counts up when the same record is to be found by something else; an older index is then made anew.
const VERSION: &str = "3";

/// The tables, as the last step of the schema that touches them makes them.
const TABLES: &str = include_str!("../../../schema/0014_finding.sql");

/// The pieces that a row of any table belongs to.
pub(in crate::catalogue) fn pieces_of(db: &Connection, table: &str, id: i64, row: &Row) -> Result<Vec<i64>> {
    let number = |column: &str| row.get(column).and_then(Value::as_i64);
    let ask = |sql: &str, id: i64| -> Result<Vec<i64>> {
        let mut statement = db.prepare_cached(sql)?;
        Ok(statement.query_map([id], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?)
    };
    let of_examination = "SELECT piece_id FROM examination WHERE id = ?";
    let of_observation =
        "SELECT e.piece_id FROM observation o JOIN examination e ON e.id = o.examination_id WHERE o.id = ?";
    let of_photograph = "SELECT piece_id FROM photograph_of WHERE photograph_id = ?";
    if table == "piece" {
        return Ok(vec![id]);
    }
    if let Some(piece) = number("piece_id") {
        return Ok(vec![piece]);
    }
    if let Some(examination) = number("examination_id") {
        return ask(of_examination, examination);
    }
    if let Some(photograph) = number("photograph_id").or_else(|| number("first_id")) {
        return ask(of_photograph, photograph);
    }
    match (table, number("owner_id")) {
        (table, Some(owner)) if table.starts_with("treatment_") => {
            ask("SELECT piece_id FROM treatment WHERE id = ?", owner)
        }
        (_, Some(owner)) => ask(of_observation, owner),
        ("photograph", None) => ask(of_photograph, id),
        // The table of a kind of observation shares its row number.
        (kind, None) => ask(&format!("{of_observation} AND o.kind = '{kind}'"), id),
    }
}

/// Works out anew what a piece is found by; by nothing, if it is withdrawn or gone.
pub(in crate::catalogue) fn refresh(db: &Connection, piece: i64, changed: Option<Date>) -> Result<()> {
    forget(db, piece)?;
    let Some((found, line)) = work_out(db, piece, changed)? else { return Ok(()) };
    for word in &found.words {
        let id = word_id(db, word)?;
        db.prepare_cached("INSERT INTO found_under (word_id, piece_id) VALUES (?, ?)")?.execute([id, piece])?;
    }
    for f in &found.figures {
        let id = word_id(db, &f.key)?;
        db.prepare_cached(
            "INSERT OR IGNORE INTO found_figure (word_id, low, high, least, most, piece_id) VALUES (?, ?, ?, ?, ?, ?)",
        )?
        .execute((id, f.low, f.high, f.least, f.most, piece))?;
    }
    let [object, title, maker, person, place, location, colour] = &found.texts;
    db.prepare_cached(
        "INSERT INTO words (rowid, number, object, title, maker, person, place, location, colour, body)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )?
    .execute((piece, &line.number, object, title, maker, person, place, location, colour, &found.body))?;
    db.prepare_cached(
        "INSERT INTO found_piece (piece_id, nature, garment, date_earliest, date_latest, location, grade, fibres,
                                  examined, photographs, photograph) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )?
    .execute((
        piece,
        line.nature,
        line.garment,
        line.years.0,
        line.years.1,
        &found.location,
        &found.grade,
        serde_json::to_string(&found.fibres).unwrap_or_default(),
        found.examined.map(|d| d.to_string()),
        found.photographs as i64,
        &found.photograph,
    ))?;
    Ok(())
}

/// Takes a piece out of everything that it is found by.
pub(in crate::catalogue) fn forget(db: &Connection, piece: i64) -> Result<()> {
    for table in ["found_under", "found_figure", "found_piece"] {
        db.prepare_cached(&format!("DELETE FROM {table} WHERE piece_id = ?"))?.execute([piece])?;
    }
    db.prepare_cached("DELETE FROM words WHERE rowid = ?")?.execute([piece])?;
    Ok(())
}

/// Takes out the words under which nothing is found any more: they may be names of a piece that was purged.
pub(in crate::catalogue) fn forget_unused_words(db: &Connection) -> Result<()> {
    db.execute(
        "DELETE FROM found_word WHERE id NOT IN (SELECT word_id FROM found_under UNION SELECT word_id FROM found_figure)",
        [],
    )?;
    Ok(())
}

/// Facts of the piece itself that its line in the index repeats.
struct OfPiece {
    number: String,
    nature: String,
    garment: Option<String>,
    years: (Option<i32>, Option<i32>),
}

fn work_out(db: &Connection, piece: i64, changed: Option<Date>) -> Result<Option<(Entries, OfPiece)>> {
    if !stands(db, piece)? {
        return Ok(None);
    }
    let Some(file) = piece_file_by_id(db, piece)? else { return Ok(None) };
    let sealed = db.prepare_cached("SELECT 1 FROM seal WHERE piece_id = ? LIMIT 1")?.exists([piece])?;
    let term = |t: &Option<crate::vocabulary::TermId>| t.as_ref().map(|t| t.name().to_owned());
    let line = OfPiece {
        number: file.number().to_owned(),
        nature: term(&file.piece.nature).unwrap_or_default(),
        garment: term(&file.piece.garment),
        years: file.piece.date.as_ref().map_or((None, None), |d| (d.earliest, d.latest)),
    };
    Ok(Some((entries(&file, Beside { sealed, changed }), line)))
}

fn word_id(db: &Connection, word: &str) -> Result<i64> {
    let known =
        db.prepare_cached("SELECT id FROM found_word WHERE word = ?")?.query_row([word], |r| r.get(0)).optional()?;
    if let Some(id) = known {
        return Ok(id);
    }
    db.prepare_cached("INSERT INTO found_word (word) VALUES (?)")?.execute([word])?;
    Ok(db.last_insert_rowid())
}

/// The day of a moment of the journal. It is written in UTC, the day first.
pub(in crate::catalogue) fn day_of(at: &str) -> Option<Date> {
    at.get(..10).and_then(|day| day.parse().ok())
}

/// The day of the last change to each piece, by the journal.
fn last_changes(db: &Connection) -> Result<HashMap<i64, Date>> {
    let mut changed = HashMap::new();
    let mut statement = db.prepare("SELECT in_table, row_id, coalesce(after, before), at FROM journal ORDER BY id")?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        let (table, id): (String, i64) = (r.get(0)?, r.get(1)?);
        let row: Row = r.get::<_, Option<String>>(2)?.and_then(|t| serde_json::from_str(&t).ok()).unwrap_or_default();
        let at: String = r.get(3)?;
        let Some(day) = day_of(&at) else { continue };
        changed.extend(pieces_of(db, &table, id, &row)?.into_iter().map(|piece| (piece, day)));
    }
    Ok(changed)
}

/// Works out anew what these pieces are found by, the day of their last change among it.
pub(in crate::catalogue) fn refresh_all(db: &Connection, pieces: &std::collections::BTreeSet<i64>) -> Result<()> {
    let changed = last_changes(db)?;
    pieces.iter().try_for_each(|piece| refresh(db, *piece, changed.get(piece).copied()))
}

/// Makes the whole index anew.
pub(in crate::catalogue) fn rebuild(db: &Connection) -> Result<()> {
    db.execute_batch(
        "DELETE FROM words; DELETE FROM found_under; DELETE FROM found_figure; DELETE FROM found_piece; DELETE FROM found_word;",
    )?;
    let changed = last_changes(db)?;
    let ids: Vec<i64> = db
        .prepare("SELECT id FROM piece ORDER BY id")?
        .query_map([], |r| r.get(0))?
        .collect::<std::result::Result<_, _>>()?;
    ids.into_iter().try_for_each(|piece| refresh(db, piece, changed.get(&piece).copied()))
}

impl Catalogue {
    /// Makes the index anew where an older program left it. What cannot be written is left as it is.
    pub(in crate::catalogue) fn see_to_index(&mut self) -> Result<()> {
        if self.index_stands()? || self.db.is_readonly(rusqlite::MAIN_DB).unwrap_or(true) {
            return Ok(());
        }
        self.make_index()
    }

    fn index_stands(&self) -> Result<bool> {
        let sql = "SELECT value FROM setting WHERE name = 'finding'";
        let stored: Option<String> = self.db.prepare_cached(sql)?.query_row([], |r| r.get(0)).optional()?;
        Ok(stored.as_deref() == Some(VERSION))
    }

    /// Makes anew what pieces are found by, from the records.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn make_index(&mut self) -> Result<()> {
        let transaction = self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        rebuild(&transaction)?;
        transaction.execute("INSERT OR REPLACE INTO setting (name, value) VALUES ('finding', ?)", [VERSION])?;
        transaction.commit()?;
        Ok(())
    }

    /// Before a search: a catalogue that cannot be written and has no index of this program gets one in temporary tables,
    /// which stand before those of the file until the program ends.
    pub(in crate::catalogue) fn ready_to_find(&self) -> Result<()> {
        if self.index_stands()? {
            return Ok(());
        }
        let made = "SELECT 1 FROM temp.sqlite_master WHERE name = 'found_piece'";
        if self.db.prepare_cached(made)?.exists([])? {
            return Ok(());
        }
        let begin = TABLES.find("CREATE VIRTUAL TABLE").unwrap_or_default();
        let end = TABLES.find("-- Searches kept").unwrap_or(TABLES.len());
        let temporary = TABLES[begin..end]
            .replace("CREATE TABLE ", "CREATE TEMP TABLE ")
            .replace("CREATE VIRTUAL TABLE ", "CREATE VIRTUAL TABLE temp.")
            .replace("CREATE INDEX ", "CREATE INDEX temp.");
        self.db.execute_batch(&temporary)?;
        rebuild(&self.db)
    }

    /// Where the index does not say what the records say.
    pub(in crate::catalogue) fn index_findings(&self) -> Result<Vec<Finding>> {
        const MEND: &str = "`dimity check --index` makes it anew from the records, which are not touched";
        let mut findings = Vec::new();
        if !self.index_stands()? {
            return Ok(findings);
        }
        // The word index is checked by writing a command to it: where nothing can be written, or another is writing, it
        // is not checked this time.
        if let Err(e) = self.db.execute_batch("INSERT INTO words(words, rank) VALUES ('integrity-check', 1)")
            && e.sqlite_error_code() == Some(rusqlite::ErrorCode::DatabaseCorrupt)
        {
            findings.push(Finding::new(format!("the word index is damaged: {e}"), MEND));
        }
        let changed = last_changes(&self.db)?;
        for (id, number) in self.ids()? {
            let told = match work_out(&self.db, id, changed.get(&id).copied()) {
                Ok(told) => told,
                Err(e) => {
                    findings.push(Finding::new(format!("`{number}` cannot be read: {e}"), BACKUP));
                    continue;
                }
            };
            let kept = kept(&self.db, id)?;
            if told.map(|(found, line)| comparable(&found, &line)) != kept {
                findings.push(Finding::new(format!("`{number}` is not found by what its record says"), MEND));
            }
        }
        let strays: i64 = self.db.query_row(
            "SELECT count(*) FROM found_piece WHERE piece_id NOT IN (SELECT id FROM piece)",
            [],
            |r| r.get(0),
        )?;
        if strays > 0 {
            findings.push(Finding::new(format!("{strays} of the pieces that can be found do not exist"), MEND));
        }
        Ok(findings)
    }

    fn ids(&self) -> Result<Vec<(i64, String)>> {
        let mut statement = self.db.prepare_cached("SELECT id, number FROM piece ORDER BY number_order")?;
        Ok(statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<std::result::Result<_, _>>()?)
    }
}

/// All of an index entry as lines, to be compared.
fn comparable(found: &Entries, line: &OfPiece) -> Vec<String> {
    let mut lines: Vec<String> = found.words.iter().cloned().collect();
    lines.extend(found.figures.iter().map(figure_line));
    lines.sort();
    lines.dedup();
    lines.push(line.number.clone());
    lines.extend(found.texts.iter().cloned());
    lines.push(found.body.clone());
    let fibres = serde_json::to_string(&found.fibres).unwrap_or_default();
    lines.push(format!(
        "{} {:?} {:?} {:?} {:?} {fibres} {:?} {} {:?}",
        line.nature,
        line.garment,
        line.years,
        found.location,
        found.grade,
        found.examined.map(|d| d.to_string()),
        found.photographs,
        found.photograph
    ));
    lines
}

fn figure_line(f: &FigureEntry) -> String {
    format!("{}: {:?} {:?} {:?} {:?}", f.key, f.low, f.high, f.least, f.most)
}

/// The same as it is kept; none where the piece has no line in the index.
fn kept(db: &Connection, piece: i64) -> Result<Option<Vec<String>>> {
    let of_piece = "SELECT nature, garment, date_earliest, date_latest, location, grade, fibres, examined, photographs,
                           photograph FROM found_piece WHERE piece_id = ?";
    let last = db
        .prepare_cached(of_piece)?
        .query_row([piece], |r| {
            let text = |i: usize| r.get::<_, Option<String>>(i);
            let years: (Option<i32>, Option<i32>) = (r.get(2)?, r.get(3)?);
            Ok(format!(
                "{} {:?} {years:?} {:?} {:?} {} {:?} {} {:?}",
                r.get::<_, String>(0)?,
                text(1)?,
                text(4)?,
                text(5)?,
                r.get::<_, String>(6)?,
                text(7)?,
                r.get::<_, i64>(8)?,
                text(9)?
            ))
        })
        .optional()?;
    let Some(last) = last else { return Ok(None) };
    let under = "SELECT w.word FROM found_under u JOIN found_word w ON w.id = u.word_id WHERE u.piece_id = ?";
    let mut lines: Vec<String> =
        db.prepare_cached(under)?.query_map([piece], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?;
    let figures =
        "SELECT w.word, f.low, f.high, f.least, f.most FROM found_figure f JOIN found_word w ON w.id = f.word_id
                    WHERE f.piece_id = ?";
    let mut statement = db.prepare_cached(figures)?;
    let mut rows = statement.query([piece])?;
    while let Some(r) = rows.next()? {
        let f = FigureEntry { key: r.get(0)?, low: r.get(1)?, high: r.get(2)?, least: r.get(3)?, most: r.get(4)? };
        lines.push(figure_line(&f));
    }
    lines.sort();
    let words = "SELECT number, object, title, maker, person, place, location, colour, body FROM words WHERE rowid = ?";
    let texts: Option<Vec<String>> =
        db.prepare_cached(words)?.query_row([piece], |r| (0..9).map(|i| r.get(i)).collect()).optional()?;
    lines.extend(texts.unwrap_or_default());
    lines.push(last);
    Ok(Some(lines))
}
