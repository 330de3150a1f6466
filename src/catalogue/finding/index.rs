//! What pieces are found by, kept in step with the records: brought up to date with each change, made anew.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::super::change::Row;
use super::super::flat::AsStored;
use super::super::open::finding_tables;
use super::super::read::{piece_file_of, piece_row, stands};
use super::super::{Catalogue, Result};
use super::pieces::Part;
use super::recall::MADE;
use crate::query::{Beside, Entries, entries};
use crate::record::PieceFile;
use crate::vocabulary::TermId;

/// Counts up when the same record is to be found by something else; an older index is then made anew.
const VERSION: &str = "4";

/// To which piece rows belong; what was asked once, or seen when it came in, is not asked again.
#[derive(Default)]
pub(in crate::catalogue) struct Homes {
    examinations: HashMap<i64, i64>,
    /// With the place of its kind, which names the table of its own, among the kinds.
    observations: HashMap<i64, (i64, usize)>,
    kinds: Vec<String>,
}

impl Homes {
    /// The pieces that a row of any table belongs to.
    pub fn pieces_of(&mut self, db: &Connection, table: &str, id: i64, row: &Row) -> Result<Vec<i64>> {
        let number = |column: &str| row.get(column).and_then(Value::as_i64);
        let ask = |sql: &str, id: i64| -> Result<Vec<i64>> {
            let mut statement = db.prepare_cached(sql)?;
            Ok(statement.query_map([id], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?)
        };
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
            let pieces = match self.examinations.get(&examination) {
                Some(piece) => vec![*piece],
                None => ask("SELECT piece_id FROM examination WHERE id = ?", examination)?,
            };
            self.examinations.extend(pieces.iter().map(|piece| (examination, *piece)));
            if let Some(kind) = row.get("kind").and_then(Value::as_str).filter(|_| table == "observation") {
                let at = self.kinds.iter().position(|known| known == kind).unwrap_or_else(|| {
                    self.kinds.push(kind.to_owned());
                    self.kinds.len() - 1
                });
                self.observations.extend(pieces.iter().map(|piece| (id, (*piece, at))));
            }
            return Ok(pieces);
        }
        if let Some(photograph) = number("photograph_id").or_else(|| number("first_id")) {
            return ask(of_photograph, photograph);
        }
        match (table, number("owner_id")) {
            (table, Some(owner)) if table.starts_with("treatment_") => {
                ask("SELECT piece_id FROM treatment WHERE id = ?", owner)
            }
            (_, Some(owner)) => match self.observations.get(&owner) {
                Some((piece, _)) => Ok(vec![*piece]),
                None => ask(of_observation, owner),
            },
            ("photograph", None) => ask(of_photograph, id),
            // The table of a kind of observation shares its row number.
            (kind, None) => match self.observations.get(&id).filter(|(_, at)| self.kinds[*at] == kind) {
                Some((piece, _)) => Ok(vec![*piece]),
                None => ask(&format!("{of_observation} AND o.kind = '{kind}'"), id),
            },
        }
    }
}

/// The word that every piece is under which can be found.
pub(super) const EVERY: &str = "piece/every";

/// What pieces are found by, while it is brought into step with their records.
pub(in crate::catalogue) struct Index<'d> {
    db: &'d Connection,
    /// The numbers of the words met so far.
    words: HashMap<String, i64>,
    /// The part of the sets that is at work.
    part: i64,
    /// That part of the set of each word, as it stands in the tables and as it shall stand.
    sets: HashMap<i64, (Part, Part)>,
}

impl<'d> Index<'d> {
    /// Lets pieces be put in and taken out, and writes what comes of it. Pieces of neighbouring row numbers are best dealt
    /// with one after another.
    pub(in crate::catalogue) fn over<T>(db: &'d Connection, work: impl FnOnce(&mut Self) -> Result<T>) -> Result<T> {
        let mut index = Self { db, words: HashMap::new(), part: 0, sets: HashMap::new() };
        let done = work(&mut index)?;
        index.write_sets()?;
        Ok(done)
    }

    /// Works out anew what a piece is found by; by nothing, if it is withdrawn or gone.
    pub(in crate::catalogue) fn refresh(&mut self, piece: i64, changed: Option<Date>) -> Result<()> {
        self.forget(piece)?;
        self.add(piece, changed)
    }

    /// The same for a piece that is found by nothing yet.
    pub(in crate::catalogue) fn add(&mut self, piece: i64, changed: Option<Date>) -> Result<()> {
        work_out(self.db, piece, changed)?.map_or(Ok(()), |found| self.put(piece, &found))
    }

    /// The same where it is worked out already.
    pub(in crate::catalogue) fn put(&mut self, piece: i64, FoundBy { found, line }: &FoundBy) -> Result<()> {
        let db = self.db;
        let mut under = Vec::with_capacity(found.words.len() + 1);
        for word in found.words.iter().map(String::as_str).chain([EVERY]) {
            under.push(self.word(word)?);
        }
        for f in &found.figures {
            let id = self.word(&f.key)?;
            under.push(id);
            db.prepare_cached(
                "INSERT OR IGNORE INTO found_figure (word_id, low, high, least, most, piece_id) VALUES (?, ?, ?, ?, ?, ?)",
            )?
            .execute((id, f.low, f.high, f.least, f.most, piece))?;
        }
        under.sort_unstable();
        under.dedup();
        under.iter().try_for_each(|word| self.set(*word, piece, true))?;
        db.prepare_cached("INSERT INTO found_words_of (piece_id, words) VALUES (?, ?)")?
            .execute((piece, serde_json::to_string(&under).unwrap_or_default()))?;
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
            &line.nature,
            &line.garment,
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
    pub(in crate::catalogue) fn forget(&mut self, piece: i64) -> Result<()> {
        words_of(self.db, piece)?.into_iter().try_for_each(|word| self.set(word, piece, false))?;
        for table in ["found_words_of", "found_figure", "found_piece"] {
            self.db.prepare_cached(&format!("DELETE FROM {table} WHERE piece_id = ?"))?.execute([piece])?;
        }
        self.db.prepare_cached("DELETE FROM words WHERE rowid = ?")?.execute([piece])?;
        Ok(())
    }

    /// Puts a piece under a word, or takes it out from there.
    fn set(&mut self, word: i64, piece: i64, holds: bool) -> Result<()> {
        if Part::of(piece) != self.part {
            self.write_sets()?;
            self.part = Part::of(piece);
        }
        let set = match self.sets.entry(word) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => {
                let sql = "SELECT pieces FROM found_under WHERE word_id = ? AND part = ?";
                let read = |r: &rusqlite::Row<'_>| Ok(Part::read(r.get_ref(0)?.as_blob()?));
                let part = self.db.prepare_cached(sql)?.query_row([word, self.part], read).optional()?;
                let part = part.unwrap_or_default();
                new.insert((part.clone(), part))
            }
        };
        set.1.set(piece, holds);
        Ok(())
    }

    /// Writes the part of the sets that was at work.
    fn write_sets(&mut self) -> Result<()> {
        let part = self.part;
        let mut changed: Vec<(i64, Part)> =
            self.sets.drain().filter(|(_, (was, is))| was != is).map(|(word, (_, is))| (word, is)).collect();
        changed.sort_unstable_by_key(|(word, _)| *word);
        for (word, set) in changed {
            match set.kept() {
                Some(pieces) => {
                    let sql = "INSERT OR REPLACE INTO found_under (word_id, part, pieces) VALUES (?, ?, ?)";
                    self.db.prepare_cached(sql)?.execute((word, part, pieces))?
                }
                None => {
                    let sql = "DELETE FROM found_under WHERE word_id = ? AND part = ?";
                    self.db.prepare_cached(sql)?.execute([word, part])?
                }
            };
        }
        Ok(())
    }

    /// The number of a word, which gets one if it is new.
    fn word(&mut self, word: &str) -> Result<i64> {
        if let Some(id) = self.words.get(word) {
            return Ok(*id);
        }
        let mut known = self.db.prepare_cached("SELECT id FROM found_word WHERE word = ?")?;
        let id = match known.query_row([word], |r| r.get(0)).optional()? {
            Some(id) => id,
            None => {
                self.db.prepare_cached("INSERT INTO found_word (word) VALUES (?)")?.execute([word])?;
                self.db.last_insert_rowid()
            }
        };
        self.words.insert(word.to_owned(), id);
        Ok(id)
    }
}

/// The words that a piece is under, by their numbers.
pub(super) fn words_of(db: &Connection, piece: i64) -> Result<Vec<i64>> {
    let sql = "SELECT words FROM found_words_of WHERE piece_id = ?";
    let list: Option<String> = db.prepare_cached(sql)?.query_row([piece], |r| r.get(0)).optional()?;
    Ok(list.and_then(|list| serde_json::from_str(&list).ok()).unwrap_or_default())
}

/// Takes out the words under which nothing is found any more: they may be names of a piece that was purged.
pub(in crate::catalogue) fn forget_unused_words(db: &Connection) -> Result<()> {
    db.execute("DELETE FROM found_word WHERE id NOT IN (SELECT word_id FROM found_under)", [])?;
    Ok(())
}

/// Facts of the piece itself that its line in the index repeats.
pub(super) struct OfPiece {
    pub number: String,
    pub nature: String,
    pub garment: Option<String>,
    pub years: (Option<i32>, Option<i32>),
}

/// By what a piece is found.
pub(in crate::catalogue) struct FoundBy {
    pub(super) found: Entries,
    pub(super) line: OfPiece,
}

impl FoundBy {
    /// Works it out from the record.
    fn of(file: &PieceFile, beside: Beside) -> Self {
        let term = |t: &Option<TermId>| t.as_ref().map(|t| t.name().to_owned());
        let line = OfPiece {
            number: file.number().to_owned(),
            nature: term(&file.piece.nature).unwrap_or_default(),
            garment: term(&file.piece.garment),
            years: file.piece.date.as_ref().map_or((None, None), |d| (d.earliest, d.latest)),
        };
        Self { found: entries(file, beside), line }
    }

    /// The same of a record that is about to be entered as a new piece: as it will be read from the tables.
    pub(in crate::catalogue) fn of_new(sheet: &PieceFile, changed: Option<Date>) -> Self {
        let mut file = sheet.clone();
        file.sections(None, &mut AsStored);
        for exam in &mut file.examinations {
            exam.sections(&mut AsStored);
        }
        Self::of(&file, Beside { sealed: false, changed })
    }
}

pub(super) fn work_out(db: &Connection, piece: i64, changed: Option<Date>) -> Result<Option<FoundBy>> {
    let Some(row) = piece_row(db, piece)?.filter(stands) else { return Ok(None) };
    let file = piece_file_of(db, piece, &row)?;
    let sealed = db.prepare_cached("SELECT 1 FROM seal WHERE piece_id = ? LIMIT 1")?.exists([piece])?;
    Ok(Some(FoundBy::of(&file, Beside { sealed, changed })))
}

/// The day of a moment of the journal. It is written in UTC, the day first.
pub(in crate::catalogue) fn day_of(at: &str) -> Option<Date> {
    at.get(..10).and_then(|day| day.parse().ok())
}

/// The day of the last change to each piece, by the journal.
pub(super) fn last_changes(db: &Connection) -> Result<HashMap<i64, Date>> {
    let (mut changed, mut homes) = (HashMap::new(), Homes::default());
    let mut statement = db.prepare("SELECT in_table, row_id, coalesce(after, before), at FROM journal ORDER BY id")?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        let (table, id): (String, i64) = (r.get(0)?, r.get(1)?);
        let row: Row = r.get::<_, Option<String>>(2)?.and_then(|t| serde_json::from_str(&t).ok()).unwrap_or_default();
        let at: String = r.get(3)?;
        let Some(day) = day_of(&at) else { continue };
        changed.extend(homes.pieces_of(db, &table, id, &row)?.into_iter().map(|piece| (piece, day)));
    }
    Ok(changed)
}

/// Works out anew what these pieces are found by, the day of their last change among it.
pub(in crate::catalogue) fn refresh_all(db: &Connection, pieces: &std::collections::BTreeSet<i64>) -> Result<()> {
    let changed = last_changes(db)?;
    Index::over(db, |index| pieces.iter().try_for_each(|piece| index.refresh(*piece, changed.get(piece).copied())))
}

/// Makes the whole index anew.
pub(in crate::catalogue) fn rebuild(db: &Connection) -> Result<()> {
    db.execute_batch(
        "DELETE FROM words; DELETE FROM found_under; DELETE FROM found_words_of; DELETE FROM found_figure; DELETE FROM found_piece; DELETE FROM found_word;",
    )?;
    let changed = last_changes(db)?;
    let ids: Vec<i64> = db
        .prepare("SELECT id FROM piece ORDER BY id")?
        .query_map([], |r| r.get(0))?
        .collect::<std::result::Result<_, _>>()?;
    Index::over(db, |index| ids.into_iter().try_for_each(|piece| index.add(piece, changed.get(&piece).copied())))
}

impl Catalogue {
    /// Makes the index anew where an older program left it. What cannot be written is left as it is.
    pub(in crate::catalogue) fn see_to_index(&mut self) -> Result<()> {
        if self.index_stands()? || self.db.is_readonly(rusqlite::MAIN_DB).unwrap_or(true) {
            return Ok(());
        }
        self.make_index()
    }

    pub(super) fn index_stands(&self) -> Result<bool> {
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
        let again =
            "INSERT INTO setting (name, value) VALUES (?, 1) ON CONFLICT (name) DO UPDATE SET value = value + 1";
        transaction.execute(again, [MADE])?;
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
        for made in finding_tables()? {
            let kind = ["CREATE TABLE ", "CREATE VIRTUAL TABLE ", "CREATE INDEX "];
            let temporary =
                kind.iter().find_map(|kind| made.strip_prefix(kind).map(|rest| format!("{kind}temp.{rest}")));
            self.db.execute_batch(&temporary.unwrap_or_default())?;
        }
        rebuild(&self.db)
    }
}
