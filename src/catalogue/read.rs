//! Reading: one piece whole, and the list.

use std::cell::RefCell;
use std::collections::HashMap;

use rusqlite::{Connection, OptionalExtension};
use serde::Serialize;

use super::change::{Row, row_if_any, rows};
use super::flat::{Fill, Source};
use super::{Catalogue, Fault, Result};
use crate::record::form::Record;
use crate::record::{Circumstances, Examination, Observation, Observed, PieceFile};

/// One line of the list of pieces.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// Accession number.
    pub number: String,
    /// Nature, in a word.
    pub nature: String,
    /// What it is.
    pub object_name: String,
    /// Kind of garment, in a word.
    pub garment: Option<String>,
    /// Title, where it has one.
    pub title: Option<String>,
    /// Date as written.
    pub date: Option<String>,
    /// Earliest year.
    pub earliest: Option<i32>,
    /// Latest year.
    pub latest: Option<i32>,
    /// Where it lies.
    pub location: Option<String>,
    /// Grade of the latest overall statement, in a word.
    pub grade: Option<String>,
    /// Fibres recorded on it, in words.
    pub fibres: Vec<String>,
    /// Day of the last examination.
    pub examined: Option<String>,
    /// Number of photographs.
    pub photographs: u32,
    /// SHA-256 of the photograph that stands for it.
    pub photograph: Option<String>,
}

/// What a [`Line`] is read from.
pub(super) const LINE: &str = "SELECT p.number, f.nature, p.object_name, f.garment, p.title, p.date, p.date_earliest,
        p.date_latest, f.location, f.grade, f.fibres, f.examined, f.photographs, f.photograph
   FROM piece p JOIN found_piece f ON f.piece_id = p.id";

/// Reads a [`Line`].
pub(super) fn line(r: &rusqlite::Row<'_>) -> rusqlite::Result<Line> {
    let fibres: String = r.get(10)?;
    Ok(Line {
        number: r.get(0)?,
        nature: r.get(1)?,
        object_name: r.get(2)?,
        garment: r.get(3)?,
        title: r.get(4)?,
        date: r.get(5)?,
        earliest: r.get(6)?,
        latest: r.get(7)?,
        location: r.get(8)?,
        grade: r.get(9)?,
        fibres: serde_json::from_str(&fibres).unwrap_or_default(),
        examined: r.get(11)?,
        photographs: r.get(12)?,
        photograph: r.get(13)?,
    })
}

impl Catalogue {
    /// All pieces, in the order of their numbers.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn list(&self) -> Result<Vec<Line>> {
        self.ready_to_find()?;
        let mut statement = self.db.prepare_cached(&format!("{LINE} ORDER BY p.number_order"))?;
        Ok(statement.query_map([], line)?.collect::<std::result::Result<_, _>>()?)
    }

    /// What holds of a piece `p` that is not withdrawn, as SQL.
    pub(super) fn in_catalogue(&self) -> Result<&'static str> {
        Ok(if self.knows_withdrawal()? { "p.withdrawn IS NULL" } else { "1" })
    }

    /// The numbers of all pieces that are not withdrawn, in order.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn numbers(&self) -> Result<Vec<String>> {
        let sql = format!("SELECT number FROM piece p WHERE {} ORDER BY number_order", self.in_catalogue()?);
        let mut statement = self.db.prepare_cached(&sql)?;
        Ok(statement.query_map([], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?)
    }

    /// The same of those that have a work log.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn numbers_with_work(&self) -> Result<Vec<String>> {
        let sql = format!(
            "SELECT number FROM piece p WHERE {} AND EXISTS (SELECT 1 FROM work w WHERE w.piece_id = p.id) \
             ORDER BY number_order",
            self.in_catalogue()?
        );
        let mut statement = self.db.prepare_cached(&sql)?;
        Ok(statement.query_map([], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?)
    }

    /// Number and title of all pieces that are not withdrawn, in order; the object name where there is no title, blank
    /// where there is neither.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn titles(&self) -> Result<Vec<(String, String)>> {
        let sql = format!(
            "SELECT number, coalesce(title, object_name, '') FROM piece p WHERE {} ORDER BY number_order",
            self.in_catalogue()?
        );
        let mut statement = self.db.prepare_cached(&sql)?;
        Ok(statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<std::result::Result<_, _>>()?)
    }

    /// The row of a piece.
    pub(super) fn piece_id(&self, number: &str) -> Result<i64> {
        match find_piece(&self.db, number)? {
            Some(id) => Ok(id),
            None => Err(self.no_piece(number)),
        }
    }

    /// Proves that there is such a piece.
    ///
    /// # Errors
    /// [`Fault::NoPiece`], with the nearest number, if there is none.
    pub fn is_there(&self, number: &str) -> Result<()> {
        self.piece_id(number).map(drop)
    }

    fn no_piece(&self, number: &str) -> Fault {
        if let Ok(Some(purged)) = self.purged(number) {
            return Fault::Refused(format!("`{number}` was {purged}"));
        }
        let all = self.numbers().unwrap_or_default();
        let near = all.into_iter().map(|n| (strsim::jaro_winkler(&n, number), n)).filter(|(s, _)| *s > 0.8);
        let near = near.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, n)| n);
        Fault::NoPiece { number: number.into(), near }
    }

    /// Everything known of one piece, as it stands.
    ///
    /// # Errors
    /// [`Fault::NoPiece`], with the nearest number, if there is none.
    pub fn piece(&self, number: &str) -> Result<PieceFile> {
        piece_file(&self.db, number)?.ok_or_else(|| self.no_piece(number))
    }

    /// The same, if there is such a piece.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn piece_if_any(&self, number: &str) -> Result<Option<PieceFile>> {
        piece_file(&self.db, number)
    }
}

pub(super) fn find_piece(db: &Connection, number: &str) -> Result<Option<i64>> {
    Ok(db.prepare_cached("SELECT id FROM piece WHERE number = ?")?.query_row([number], |r| r.get(0)).optional()?)
}

/// Reads one piece whole through any connection, inside a transaction or not.
pub(super) fn piece_file(db: &Connection, number: &str) -> Result<Option<PieceFile>> {
    find_piece(db, number)?.map_or(Ok(None), |id| piece_file_by_id(db, id))
}

/// The same by its row.
pub(super) fn piece_file_by_id(db: &Connection, id: i64) -> Result<Option<PieceFile>> {
    piece_row(db, id)?.map(|row| piece_file_of(db, id, &row)).transpose()
}

/// The row of the piece itself.
pub(super) fn piece_row(db: &Connection, id: i64) -> Result<Option<Row>> {
    row_if_any(db, "piece", id)
}

/// The same where that row is read already.
pub(super) fn piece_file_of(db: &Connection, id: i64, row: &Row) -> Result<PieceFile> {
    let mut file = PieceFile::default();
    Fill::record(row, &FromTable::of(db, "piece"), &mut file.piece);
    file.components = of_piece(db, "component", id)?;
    file.people = of_piece(db, "person_role", id)?;
    file.events = of_piece(db, "event", id)?;
    file.moves = of_piece(db, "move", id)?;
    file.housings = of_piece(db, "housing", id)?;
    file.displays = of_piece(db, "display", id)?;
    file.overrules = of_piece(db, "care", id)?;
    file.made_after = of_piece(db, "made_after", id)?;
    file.departures = of_piece(db, "departure", id)?;
    file.work = of_piece(db, "work", id)?;
    file.treatments = of_piece(db, "treatment", id)?;
    for row in rows(db, "SELECT * FROM examination WHERE piece_id = ? ORDER BY date, id", [id])?
        .iter()
        .filter(|row| stands(row))
    {
        let exam_id = row.get("id").and_then(serde_json::Value::as_i64).unwrap_or_default();
        let mut about = Circumstances::default();
        Fill::record(row, &FromTable::of(db, "examination"), &mut about);
        file.examinations.push(Examination { about, ..observations(db, exam_id, Standing::Now)? });
    }
    file.photographs = super::photographs::of_piece(db, id)?;
    file.sources = super::import::of_piece(db, id)?;
    Ok(file)
}

fn of_piece<T: Record + Default>(db: &Connection, table: &'static str, piece: i64) -> Result<Vec<T>> {
    let sql = format!("SELECT * FROM \"{table}\" WHERE piece_id = ? ORDER BY position, id");
    let mut rows = rows(db, &sql, [piece])?;
    rows.retain(stands);
    Ok(filled(&rows, &FromTable::of(db, table)))
}

/// Whether a row was not taken back. Read of the row and not asked of the table: an older one has no such column.
pub(super) fn stands(row: &Row) -> bool {
    !row.contains_key("withdrawn")
}

/// Which observations are read.
#[derive(Debug, Clone, Copy)]
pub(super) enum Standing {
    /// Those that stand.
    Now,
    /// Those that were corrected or withdrawn.
    Earlier,
}

/// All observations of an examination, its circumstances left blank.
pub(super) fn observations(db: &Connection, exam: i64, which: Standing) -> Result<Examination> {
    let mut kinds = db.prepare_cached("SELECT DISTINCT kind FROM observation WHERE examination_id = ?")?;
    let kinds = kinds.query_map([exam], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?;
    let seen = Seen { db, exam, which, kinds };
    Ok(Examination {
        about: Circumstances::default(),
        textiles: seen.observed()?,
        measurements: seen.observed()?,
        stitching: seen.observed()?,
        fastenings: seen.observed()?,
        stiffening: seen.observed()?,
        trimmings: seen.observed()?,
        steps: seen.observed()?,
        signs: seen.observed()?,
        conditions: seen.observed()?,
        overall: seen.observed()?,
        hazards: seen.observed()?,
    })
}

/// What was observed in an examination.
struct Seen<'d> {
    db: &'d Connection,
    exam: i64,
    which: Standing,
    /// The kinds of which there are any; the tables of the others are not asked.
    kinds: Vec<String>,
}

impl Seen<'_> {
    fn observed<T: Observation>(&self) -> Result<Vec<Observed<T>>> {
        let table = T::TABLE;
        if !self.kinds.iter().any(|kind| kind == table) {
            return Ok(Vec::new());
        }
        let standing = match self.which {
            Standing::Now => "o.replaced_by IS NULL AND o.withdrawn IS NULL",
            Standing::Earlier => "(o.replaced_by IS NOT NULL OR o.withdrawn IS NOT NULL)",
        };
        let sql = format!(
            "SELECT * FROM observation o JOIN \"{table}\" t ON t.id = o.id
              WHERE o.examination_id = ? AND o.kind = '{table}' AND {standing} ORDER BY o.position, o.id"
        );
        Ok(filled(&rows(self.db, &sql, [self.exam])?, &FromTable::of(self.db, table)))
    }
}

fn filled<T: Record + Default>(rows: &[Row], source: &FromTable<'_>) -> Vec<T> {
    rows.iter()
        .map(|row| {
            let mut record = T::default();
            Fill::record(row, source, &mut record);
            record
        })
        .collect()
}

/// The lists and links of rows of one table.
pub(super) struct FromTable<'a> {
    db: &'a Connection,
    table: &'static str,
    readings: OfOwner,
    terms: OfOwner,
}

/// The details of the record that was asked about last: it asks for them field by field.
#[derive(Default)]
struct OfOwner(RefCell<Option<(i64, Vec<Row>)>>);

impl OfOwner {
    fn of_field(&self, owner: i64, field: &str, read: impl FnOnce() -> Vec<Row>) -> Vec<Row> {
        let mut last = self.0.borrow_mut();
        if last.as_ref().is_none_or(|(of, _)| *of != owner) {
            *last = Some((owner, read()));
        }
        let of_field = |row: &&Row| row.get("field").and_then(serde_json::Value::as_str) == Some(field);
        last.iter().flat_map(|(_, rows)| rows).filter(of_field).cloned().collect()
    }
}

impl<'a> FromTable<'a> {
    pub(super) fn of(db: &'a Connection, table: &'static str) -> Self {
        Self { db, table, readings: OfOwner::default(), terms: OfOwner::default() }
    }

    fn rows(&self, sql: &str, params: impl rusqlite::Params) -> Vec<Row> {
        rows(self.db, sql, params).unwrap_or_default()
    }
}

impl Source for FromTable<'_> {
    fn name_of(&self, link: &str, id: i64) -> Option<String> {
        let sql = match link {
            "component" => "SELECT name FROM component WHERE id = ?",
            "person" => "SELECT name FROM person WHERE id = ?",
            "piece" => "SELECT number FROM piece WHERE id = ?",
            "treatment" => "SELECT uid FROM treatment WHERE id = ?",
            // A note that was withdrawn since hands on what it continued; nothing is left where it continued nothing.
            "observation" if self.table == "condition" => {
                "WITH RECURSIVE now(id) AS (SELECT ?1 UNION
                   SELECT coalesce(o.replaced_by, c.continues_id) FROM now JOIN observation o ON o.id = now.id
                     LEFT JOIN condition c ON c.id = o.id
                    WHERE o.replaced_by IS NOT NULL OR o.withdrawn IS NOT NULL)
                 SELECT o.uid FROM now JOIN observation o ON o.id = now.id
                  WHERE o.replaced_by IS NULL AND o.withdrawn IS NULL"
            }
            // What was corrected since is named by its correction.
            _ => {
                "WITH RECURSIVE now(id) AS (SELECT ?1 UNION
                   SELECT o.replaced_by FROM now JOIN observation o ON o.id = now.id WHERE o.replaced_by IS NOT NULL)
                 SELECT o.uid FROM now JOIN observation o ON o.id = now.id WHERE o.replaced_by IS NULL"
            }
        };
        self.db.prepare_cached(sql).ok()?.query_row([id], |r| r.get(0)).ok()
    }
    fn readings(&self, owner: i64, field: &str) -> Vec<Row> {
        let sql = "SELECT * FROM reading WHERE owner_id = ? ORDER BY position";
        self.readings.of_field(owner, field, || self.rows(sql, [owner]))
    }
    fn terms(&self, owner: i64, field: &str) -> Vec<Row> {
        let sql = "SELECT * FROM observation_term WHERE owner_id = ? ORDER BY position";
        self.terms.of_field(owner, field, || self.rows(sql, [owner]))
    }
    fn list(&self, owner: i64, field: &str) -> Vec<Row> {
        let table = format!("{}_{field}", self.table);
        self.rows(&format!("SELECT * FROM \"{table}\" WHERE owner_id = ? ORDER BY position"), [owner])
    }
}

/// The names of components of a piece, by row.
pub(super) fn components(db: &Connection, piece: i64) -> Result<HashMap<String, i64>> {
    let rows = rows(db, "SELECT * FROM component WHERE piece_id = ?", [piece])?;
    let named = |row: &Row| Some((row.get("name")?.as_str()?.to_owned(), row.get("id")?.as_i64()?));
    Ok(rows.iter().filter(|row| stands(row)).filter_map(named).collect())
}
