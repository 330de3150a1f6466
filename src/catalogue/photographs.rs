//! Photographs in the catalogue: which file shows what. The regions and scales are in `drawings`.

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::change::{Change, Row, fresh_uid, row_by_id, rows};
use super::withdrawal::refuse_withdrawn;
use super::{Catalogue, Fault, Result, drawings};
use crate::photograph::{Ingested, moved};
use crate::record::capture::Capture;
use crate::record::photograph::{Beside, Photograph};
use crate::record::rights::Rights;
use crate::vocabulary::TermId;

/// What to record of a photograph that is in the store.
#[derive(Debug, Clone, Default)]
pub struct NewPhotograph {
    /// Accession number of the piece that it shows.
    pub number: String,
    /// Component shown.
    pub component: Option<String>,
    /// Day of the examination that it belongs to (`2024-03-12`).
    pub examination: Option<String>,
    /// Title or identifier of the treatment that it belongs to; of several versions the latest has the title.
    pub treatment: Option<String>,
    /// Front, back, detail ...
    pub view: Option<TermId>,
    /// By what light.
    pub light: Option<TermId>,
    /// Before, during or after treatment.
    pub stage: Option<String>,
    /// Who took it.
    pub photographer: Option<String>,
    /// What to print below it.
    pub caption: Option<String>,
    /// Its rights; what is blank is left as it stands.
    pub rights: Rights,
}

/// What adding a photograph did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Added {
    /// It is new for this piece.
    New,
    /// It was there, and now belongs to a treatment.
    Tied,
    /// It was there.
    Known,
}

/// The file behind a photograph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Original {
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Extension it is stored under.
    pub extension: String,
    /// When it was added, in UTC; blank if the journal does not say.
    pub added: String,
}

impl Catalogue {
    /// Records a photograph of a piece. The same bytes for the same piece again change nothing, but that a photograph
    /// which belongs to no treatment yet is tied to the one named, and that rights which are stated are set.
    ///
    /// # Errors
    /// If the piece, component, examination or treatment does not exist, if the photograph belongs to another treatment or
    /// shows another stage of it, or the database refuses.
    pub fn add_photograph(&mut self, author: &str, file: &Ingested, shows: &NewPhotograph) -> Result<Added> {
        let piece = self.piece_id(&shows.number)?;
        self.write(author, "photograph added", |change| {
            refuse_withdrawn(change.db(), piece, &shows.number)?;
            let photograph = change
                .db()
                .prepare_cached("SELECT id FROM photograph WHERE sha256 = ?")?
                .query_row([&file.sha256], |r| r.get::<_, i64>(0))
                .optional()?;
            let rights = rights_row(&shows.rights, false);
            let photograph = match photograph {
                Some(id) => {
                    change.update("photograph", id, &rights)?;
                    id
                }
                None => change.insert("photograph", &file_row(file).into_iter().chain(rights).collect())?,
            };
            let linked = change
                .db()
                .prepare_cached("SELECT id FROM photograph_of WHERE photograph_id = ? AND piece_id = ?")?
                .query_row([photograph, piece], |r| r.get::<_, i64>(0))
                .optional()?;
            if let Some(link) = linked {
                return tie(change, link, piece, shows);
            }
            let component = named(change.db(), "component", "name", shows.component.as_ref(), piece, "component")?;
            let examination =
                named(change.db(), "examination", "date", shows.examination.as_ref(), piece, "examination on")?;
            let treatment = treatment(change.db(), shows.treatment.as_ref(), piece)?;
            let mut row = Row::new();
            row.insert("uid".into(), fresh_uid().into());
            row.insert("photograph_id".into(), photograph.into());
            row.insert("piece_id".into(), piece.into());
            row.insert("component_id".into(), component.into());
            row.insert("examination_id".into(), examination.into());
            row.insert("treatment_id".into(), treatment.into());
            row.insert("view".into(), shows.view.as_ref().map(TermId::as_str).into());
            row.insert("light".into(), shows.light.as_ref().map(TermId::as_str).into());
            row.insert("stage".into(), shows.stage.clone().into());
            if let Some(name) = &shows.photographer {
                row.insert("photographer_id".into(), change.person(name)?.into());
            }
            row.insert("caption".into(), shows.caption.clone().into());
            change.insert("photograph_of", &row)?;
            Ok(Added::New)
        })
    }

    /// Sets the rights of photographs, named by the beginnings of their SHA-256. What `rights` leaves blank is left as it
    /// stands; with `replace` it is blanked. Returns how many were changed.
    ///
    /// # Errors
    /// If one of them is unknown, or the vocabulary has no such statement: then none is changed.
    pub fn set_photograph_rights(
        &mut self,
        author: &str,
        photographs: &[String],
        rights: &Rights,
        replace: bool,
    ) -> Result<usize> {
        if let Some(unknown) = rights.statement.as_ref().filter(|id| self.vocabulary.get(id).is_none()) {
            return Err(Fault::Refused(format!(
                "there is no rights statement `{unknown}`; `dimity terms rights` lists them"
            )));
        }
        let ids: Vec<i64> =
            photographs.iter().map(|p| self.photograph_like(p).map(|(id, ..)| id)).collect::<Result<_>>()?;
        self.write(author, "rights of photographs set", |change| {
            let mut changed = 0;
            for id in ids {
                changed += usize::from(change.update("photograph", id, &rights_row(rights, replace))?);
            }
            Ok(changed)
        })
    }

    /// Moves the times of photographs by what their camera's clock was out; an offset from UTC is filled in where one
    /// is given. The files and the tags kept from them stay as they are. Returns original name, time before and after.
    ///
    /// # Errors
    /// If one of them is unknown or has no time, if the offset is none, or if the reason is blank: then none is moved.
    pub fn shift_clock(
        &mut self,
        author: &str,
        reason: &str,
        photographs: &[String],
        shift: jiff::SignedDuration,
        offset: Option<&str>,
    ) -> Result<Vec<(String, String, String)>> {
        if let Some(offset) = offset.filter(|offset| !is_offset(offset)) {
            return Err(Fault::Refused(format!(
                "`{offset}` is no offset from UTC; write a sign, hours and minutes: +01:00"
            )));
        }
        let mut found = Vec::new();
        for beginning in photographs {
            let (id, ..) = self.photograph_like(beginning)?;
            let (name, taken): (String, Option<String>) =
                self.db.query_row("SELECT original_name, taken FROM photograph WHERE id = ?", [id], |r| {
                    Ok((r.get(0)?, r.get(1)?))
                })?;
            let taken = taken.ok_or_else(|| Fault::Refused(format!("`{name}` has no time that could be put right")))?;
            let after = moved(&taken, shift)
                .ok_or_else(|| Fault::Refused(format!("the time `{taken}` of `{name}` cannot be moved so far")))?;
            found.push((id, name, taken, after));
        }
        self.write(author, reason, |change| {
            for (id, _, _, after) in &found {
                let mut row = Row::new();
                row.insert("taken".into(), after.clone().into());
                if let Some(offset) = offset {
                    row.insert("taken_offset".into(), offset.into());
                }
                change.update("photograph", *id, &row)?;
            }
            Ok(())
        })?;
        Ok(found.into_iter().map(|(_, name, before, after)| (name, before, after)).collect())
    }

    /// The extension under which the original of this SHA-256 is stored, if the catalogue knows it.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn original(&self, sha256: &str) -> Result<Option<String>> {
        let sql = "SELECT extension FROM photograph WHERE sha256 = ?";
        Ok(self.db.prepare_cached(sql)?.query_row([sha256], |r| r.get(0)).optional()?)
    }

    /// Every original that the catalogue knows.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn originals(&self) -> Result<Vec<Original>> {
        let mut statement = self.db.prepare_cached(
            "SELECT sha256, extension, coalesce((SELECT max(at) FROM journal
                     WHERE in_table = 'photograph' AND act = 'insert' AND row_id = photograph.id), '')
               FROM photograph ORDER BY id",
        )?;
        let original =
            |r: &rusqlite::Row<'_>| Ok(Original { sha256: r.get(0)?, extension: r.get(1)?, added: r.get(2)? });
        Ok(statement.query_map([], original)?.collect::<std::result::Result<_, _>>()?)
    }
}

/// `+01:00`, as Exif writes the offset of a clock.
fn is_offset(text: &str) -> bool {
    let Some((hours, minutes)) = text.strip_prefix(['+', '-']).and_then(|rest| rest.split_once(':')) else {
        return false;
    };
    let two = |part: &str, most: u8| part.len() == 2 && part.parse::<u8>().is_ok_and(|n| n <= most);
    two(hours, 14) && two(minutes, 59)
}

/// Ties a photograph that is there to a treatment; what is recorded of it already is never replaced.
fn tie(change: &mut Change<'_>, link: i64, piece: i64, shows: &NewPhotograph) -> Result<Added> {
    let Some(treatment) = treatment(change.db(), shows.treatment.as_ref(), piece)? else { return Ok(Added::Known) };
    let known = row_by_id(change.db(), "photograph_of", link)?;
    let stage = known.get("stage").and_then(Value::as_str);
    if known.get("treatment_id").is_some_and(|id| *id != treatment) {
        return Err(Fault::Refused(
            "this photograph belongs to another treatment or version already; `dimity show NUMBER --json` says to which".into(),
        ));
    }
    if let (Some(known), Some(asked)) = (stage, shows.stage.as_deref())
        && known != asked
    {
        return Err(Fault::Refused(format!("this photograph is recorded as taken {known} treatment, not {asked}")));
    }
    let mut row = Row::from_iter([("treatment_id".to_owned(), treatment.into())]);
    if let Some(stage) = &shows.stage {
        row.insert("stage".into(), stage.clone().into());
    }
    Ok(if change.update("photograph_of", link, &row)? { Added::Tied } else { Added::Known })
}

/// A treatment of the piece by title or identifier.
pub(super) fn treatment(db: &Connection, name: Option<&String>, piece: i64) -> Result<Option<i64>> {
    let column = match name {
        Some(name) if name.len() == 36 && uuid::Uuid::parse_str(name).is_ok() => "uid",
        _ => "title",
    };
    named(db, "treatment", column, name, piece, "treatment")
}

/// A row of a table of the piece, by what stands in a column; nothing where nothing is named.
pub(super) fn named(
    db: &Connection,
    table: &str,
    column: &str,
    name: Option<&String>,
    piece: i64,
    what: &str,
) -> Result<Option<i64>> {
    let Some(name) = name else { return Ok(None) };
    let stands = if matches!(table, "component" | "examination") { "AND withdrawn IS NULL" } else { "" };
    let sql =
        format!("SELECT id FROM \"{table}\" WHERE piece_id = ? AND \"{column}\" = ? {stands} ORDER BY id DESC LIMIT 1");
    let found = db.prepare_cached(&sql)?.query_row((piece, name), |r| r.get(0)).optional()?;
    found
        .map(Some)
        .ok_or_else(|| Fault::Refused(format!("this piece has no {what} `{name}`; `dimity show NUMBER` lists them")))
}

/// The columns of rights; blanks only where they are to be written.
fn rights_row(rights: &Rights, blanks: bool) -> Row {
    let columns: [(&str, Value); 4] = [
        ("rights_statement", rights.statement.as_ref().map(TermId::as_str).into()),
        ("rights_holder", rights.holder.clone().into()),
        ("credit_line", rights.credit_line.clone().into()),
        ("rights", rights.words.clone().into()),
    ];
    columns.into_iter().filter(|(_, v)| blanks || !v.is_null()).map(|(name, v)| (name.to_owned(), v)).collect()
}

fn file_row(file: &Ingested) -> Row {
    let capture = &file.capture;
    let pairs: [(&str, Value); 25] = [
        ("uid", fresh_uid().into()),
        ("sha256", file.sha256.clone().into()),
        ("extension", file.extension.clone().into()),
        ("original_name", file.original_name.clone().into()),
        ("bytes", file.bytes.into()),
        ("media_type", file.media_type.clone().into()),
        ("width", file.width.into()),
        ("height", file.height.into()),
        ("orientation", capture.orientation.max(1).into()),
        ("taken", capture.taken.clone().into()),
        ("taken_offset", capture.offset.clone().into()),
        ("make", capture.make.clone().into()),
        ("model", capture.model.clone().into()),
        ("lens", capture.lens.clone().into()),
        ("software", capture.software.clone().into()),
        ("focal_length_mm", capture.focal_length_mm.into()),
        ("aperture", capture.aperture.into()),
        ("shutter_s", capture.shutter_s.into()),
        ("exposure_bias_ev", capture.exposure_bias_ev.into()),
        ("iso", capture.iso.into()),
        ("flash", capture.flash.clone().into()),
        ("white_balance", capture.white_balance.clone().into()),
        ("colour_space", capture.colour_space.clone().into()),
        ("exif", file.exif.to_string().into()),
        ("remarks", serde_json::to_string(&file.remarks).unwrap_or_default().into()),
    ];
    pairs.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

/// The photographs of a piece, in the order in which they were added.
pub(super) fn of_piece(db: &Connection, piece: i64) -> Result<Vec<Photograph>> {
    linked(db, "o.piece_id", piece)
}

/// The links of photographs to pieces in which `column` is `id`, in the order in which they were made.
pub(super) fn linked(db: &Connection, column: &str, id: i64) -> Result<Vec<Photograph>> {
    let sql = format!(
        "SELECT f.*, o.uid AS link_uid, p.number, c.name AS component, e.date AS examination, t.title AS treatment,
                      t.uid AS treatment_uid,
                      o.view, o.light, o.stage, x.name AS photographer, o.caption
                 FROM photograph_of o JOIN photograph f ON f.id = o.photograph_id JOIN piece p ON p.id = o.piece_id
                 LEFT JOIN component c ON c.id = o.component_id LEFT JOIN examination e ON e.id = o.examination_id
                 LEFT JOIN treatment t ON t.id = o.treatment_id LEFT JOIN person x ON x.id = o.photographer_id
                WHERE {column} = ? ORDER BY o.id"
    );
    rows(db, &sql, [id])?.iter().map(|row| photograph(db, row)).collect()
}

fn photograph(db: &Connection, row: &Row) -> Result<Photograph> {
    let text = |name: &str| row.get(name).and_then(Value::as_str).map(String::from);
    let float = |name: &str| row.get(name).and_then(Value::as_f64);
    let whole = |name: &str| row.get(name).and_then(Value::as_u64).unwrap_or_default();
    let id = row.get("id").and_then(Value::as_i64).unwrap_or_default();
    let exif: Value = text("exif").and_then(|t| serde_json::from_str(&t).ok()).unwrap_or_default();
    Ok(Photograph {
        id: text("link_uid").unwrap_or_default(),
        sha256: text("sha256").unwrap_or_default(),
        extension: text("extension").unwrap_or_default(),
        original_name: text("original_name").unwrap_or_default(),
        bytes: whole("bytes"),
        width: whole("width").try_into().unwrap_or_default(),
        height: whole("height").try_into().unwrap_or_default(),
        capture: Capture {
            taken: text("taken"),
            offset: text("taken_offset"),
            make: text("make"),
            model: text("model"),
            lens: text("lens"),
            focal_length_mm: float("focal_length_mm"),
            focal_length_35mm: exif.get("FocalLengthIn35mmFilm").and_then(Value::as_f64).filter(|mm| *mm > 0.0),
            aperture: float("aperture"),
            shutter_s: float("shutter_s"),
            exposure_bias_ev: float("exposure_bias_ev"),
            iso: row.get("iso").and_then(Value::as_u64).and_then(|v| v.try_into().ok()),
            flash: text("flash"),
            white_balance: text("white_balance"),
            colour_space: text("colour_space"),
            orientation: whole("orientation").try_into().unwrap_or(1),
            software: text("software"),
            has_position: exif.as_object().is_some_and(|o| o.keys().any(|k| k.contains("GPSLatitude"))),
        },
        remarks: text("remarks").and_then(|t| serde_json::from_str(&t).ok()).unwrap_or_default(),
        number: text("number").unwrap_or_default(),
        component: text("component"),
        examination: text("examination").and_then(|t| t.parse().ok()),
        treatment: text("treatment"),
        treatment_id: text("treatment_uid"),
        view: text("view").as_deref().and_then(TermId::parse),
        light: text("light").as_deref().and_then(TermId::parse),
        stage: text("stage"),
        photographer: text("photographer"),
        caption: text("caption"),
        rights: Rights {
            statement: text("rights_statement").as_deref().and_then(TermId::parse),
            holder: text("rights_holder"),
            credit_line: text("credit_line"),
            words: text("rights"),
        },
        regions: drawings::regions(db, id)?,
        scale: drawings::scale(db, id)?,
        target: super::targets::of_photograph(db, id)?,
        registered: super::registrations::of_photograph(db, id)?,
        beside: beside(db, id, text("number").unwrap_or_default().as_str())?,
    })
}

/// The pieces that a photograph shows beside this one, in the order in which it was added to them.
fn beside(db: &Connection, photograph: i64, number: &str) -> Result<Vec<Beside>> {
    let sql = "SELECT p.number, o.treatment_id IS NOT NULL OR o.stage IS NOT NULL
                 FROM photograph_of o JOIN piece p ON p.id = o.piece_id
                WHERE o.photograph_id = ? AND p.number <> ? ORDER BY o.id";
    let mut statement = db.prepare_cached(sql)?;
    let found = statement
        .query_map((photograph, number), |r| Ok(Beside { number: r.get(0)?, treated: r.get(1)? }))?
        .collect::<std::result::Result<_, _>>()?;
    Ok(found)
}
