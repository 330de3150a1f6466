//! Whether pieces are found by what their records say: the index held against the records.

use rusqlite::{Connection, OptionalExtension};

use super::index::{FoundBy, last_changes, work_out};
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
        for (id, number) in self.ids()? {
            let told = match work_out(&self.db, id, changed.get(&id).copied()) {
                Ok(told) => told,
                Err(e) => {
                    findings.push(Finding::new(format!("`{number}` cannot be read: {e}"), BACKUP));
                    continue;
                }
            };
            let kept = kept(&self.db, id)?;
            if told.as_ref().map(comparable) != kept {
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
fn comparable(FoundBy { found, line }: &FoundBy) -> Vec<String> {
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
