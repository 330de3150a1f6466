//! Whether pieces are found by what their records say: the index held against the records.

use std::collections::HashMap;

use rusqlite::{Connection, OptionalExtension};

use super::index::{EVERY, FoundBy, last_changes, words_of, work_out};
use super::pieces::Pieces;
use crate::catalogue::check::BACKUP;
use crate::catalogue::{Catalogue, Finding, Result};
use crate::query::FigureEntry;

impl Catalogue {
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
        let mut under = Under::of(&self.db)?;
        for (id, number) in self.ids()? {
            let told = match work_out(&self.db, id, changed.get(&id).copied()) {
                Ok(told) => told,
                Err(e) => {
                    findings.push(Finding::new(format!("`{number}` cannot be read: {e}"), BACKUP));
                    continue;
                }
            };
            let kept = kept(&self.db, &mut under, id)?;
            if told.as_ref().map(comparable) != kept {
                findings.push(Finding::new(format!("`{number}` is not found by what its record says"), MEND));
            }
        }
        let strays: i64 = self.db.query_row(
            "SELECT count(*) FROM found_piece WHERE piece_id NOT IN (SELECT id FROM piece)",
            [],
            |r| r.get(0),
        )?;
        // All that exist were taken out on the way.
        let strays = strays.max(under.beyond + under.pieces.len() as i64);
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

/// The words that each piece is under, by the sets of the words.
struct Under {
    words: HashMap<i64, String>,
    pieces: HashMap<i64, Vec<i64>>,
    /// Parts in which no piece can be.
    beyond: i64,
}

impl Under {
    fn of(db: &Connection) -> Result<Self> {
        let mut statement = db.prepare_cached("SELECT id, word FROM found_word")?;
        let words = statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<rusqlite::Result<_>>()?;
        let (mut pieces, mut beyond) = (HashMap::<i64, Vec<i64>>::new(), 0);
        let mut statement = db.prepare_cached("SELECT word_id, part, pieces FROM found_under ORDER BY word_id")?;
        let mut rows = statement.query([])?;
        while let Some(row) = rows.next()? {
            let mut part = Pieces::default();
            part.add_part(row.get(1)?, row.get_ref(2)?.as_blob().map_err(rusqlite::Error::from)?);
            beyond += i64::from(part.count() == 0);
            let word: i64 = row.get(0)?;
            part.iter().for_each(|piece| pieces.entry(piece).or_default().push(word));
        }
        Ok(Self { words, pieces, beyond })
    }

    /// The words of a piece, which is taken out. What its own list says otherwise is a word more.
    fn take(&mut self, db: &Connection, piece: i64) -> Result<Vec<String>> {
        let under = self.pieces.remove(&piece).unwrap_or_default();
        let named = |word: &i64| self.words.get(word).cloned().unwrap_or_else(|| format!("word {word}"));
        let mut words: Vec<String> = under.iter().map(named).collect();
        if words_of(db, piece)? != under {
            words.push("another list".into());
        }
        Ok(words)
    }
}

/// All of an index entry as lines, to be compared.
fn comparable(FoundBy { found, line }: &FoundBy) -> Vec<String> {
    let mut lines: Vec<String> = found.words.iter().cloned().collect();
    lines.push(EVERY.to_owned());
    lines.extend(found.figures.iter().map(|figure| figure.key.clone()));
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
fn kept(db: &Connection, under: &mut Under, piece: i64) -> Result<Option<Vec<String>>> {
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
    let mut lines = under.take(db, piece)?;
    let Some(last) = last else { return Ok(Some(lines).filter(|lines| !lines.is_empty())) };
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
