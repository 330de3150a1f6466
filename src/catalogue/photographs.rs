//! Photographs in the catalogue: which file shows what, and the regions drawn on it.

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::change::{Row, fresh_uid, rows};
use super::{Catalogue, Fault, Result};
use crate::photograph::Ingested;
use crate::record::capture::Capture;
use crate::record::photograph::{Photograph, Region, Shape};
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
    /// Title of the treatment that it belongs to.
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
}

/// A region to draw on a photograph.
#[derive(Debug, Clone, Default)]
pub struct NewRegion {
    /// The letter shown beside it; blank gives the next one free.
    pub label: Option<String>,
    /// Its shape, in pixels of the upright original.
    pub shape: Shape,
    /// Identifier of the observation that it shows.
    pub shows: Option<String>,
    /// What it shows, in words.
    pub note: Option<String>,
}

impl Catalogue {
    /// Records a photograph of a piece; the same bytes for the same piece again change nothing. Says whether the link
    /// is new.
    ///
    /// # Errors
    /// If the piece, component, examination or treatment does not exist, or the database refuses.
    pub fn add_photograph(&mut self, author: &str, file: &Ingested, shows: &NewPhotograph) -> Result<bool> {
        let piece = self.piece_id(&shows.number)?;
        self.write(author, "photograph added", |change| {
            let photograph = change
                .db()
                .prepare_cached("SELECT id FROM photograph WHERE sha256 = ?")?
                .query_row([&file.sha256], |r| r.get::<_, i64>(0))
                .optional()?;
            let photograph = match photograph {
                Some(id) => id,
                None => change.insert("photograph", &file_row(file))?,
            };
            let linked = change
                .db()
                .prepare_cached("SELECT id FROM photograph_of WHERE photograph_id = ? AND piece_id = ?")?
                .query_row([photograph, piece], |r| r.get::<_, i64>(0))
                .optional()?;
            if linked.is_some() {
                return Ok(false);
            }
            let component = named(change.db(), "component", "name", shows.component.as_ref(), piece, "component")?;
            let examination =
                named(change.db(), "examination", "date", shows.examination.as_ref(), piece, "examination on")?;
            let treatment = named(change.db(), "treatment", "title", shows.treatment.as_ref(), piece, "treatment")?;
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
            Ok(true)
        })
    }

    /// Draws a region on a photograph, named by its SHA-256 or the beginning of it.
    ///
    /// # Errors
    /// If no photograph or more than one begins so, if the shape leaves the picture, or if the observation is unknown.
    pub fn add_region(&mut self, author: &str, photograph: &str, region: &NewRegion) -> Result<String> {
        let (id, width, height) = self.photograph_like(photograph)?;
        let inside = |(x, y): &(f64, f64)| (0.0..=width).contains(x) && (0.0..=height).contains(y);
        if let Some((x, y)) = region.shape.points().iter().find(|p| !inside(p)) {
            return Err(Fault::Refused(format!(
                "{x},{y} lies outside the picture, which is {width} by {height} pixels"
            )));
        }
        self.write(author, "region drawn", |change| {
            let taken: i64 =
                change.db().query_row("SELECT count(*) FROM region WHERE photograph_id = ?", [id], |r| r.get(0))?;
            let label = region.label.clone().unwrap_or_else(|| letter(taken));
            let shows = match &region.shows {
                None => Value::Null,
                Some(uid) => change
                    .db()
                    .query_row("SELECT id FROM observation WHERE uid = ?", [uid], |r| r.get::<_, i64>(0))
                    .optional()?
                    .ok_or_else(|| Fault::Refused(format!("there is no observation with the id `{uid}`")))?
                    .into(),
            };
            let mut row = Row::new();
            row.insert("uid".into(), fresh_uid().into());
            row.insert("photograph_id".into(), id.into());
            row.insert("label".into(), label.clone().into());
            row.insert("shape".into(), region.shape.to_string().into());
            row.insert("observation_id".into(), shows);
            row.insert("note".into(), region.note.clone().into());
            change.insert("region", &row)?;
            Ok(label)
        })
    }

    /// A photograph, named by its SHA-256 or the beginning of it, as it shows the first piece that it was added for.
    ///
    /// # Errors
    /// If no photograph or more than one begins so.
    pub fn photograph(&self, beginning: &str) -> Result<Photograph> {
        let (id, ..) = self.photograph_like(beginning)?;
        let none = || Fault::Refused(format!("the photograph `{beginning}` shows no piece of this catalogue"));
        linked(&self.db, "o.photograph_id", id)?.into_iter().next().ok_or_else(none)
    }

    fn photograph_like(&self, beginning: &str) -> Result<(i64, f64, f64)> {
        let hex = beginning.len() >= 6 && beginning.chars().all(|c| c.is_ascii_hexdigit());
        let mut statement =
            self.db.prepare_cached("SELECT id, width, height FROM photograph WHERE sha256 GLOB ? || '*' LIMIT 2")?;
        let found = statement
            .query_map([if hex { beginning } else { "-" }], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?
            .collect::<std::result::Result<Vec<_>, _>>()?;
        match found.as_slice() {
            [one] => Ok(*one),
            [] => Err(Fault::Refused(format!(
                "no photograph begins with `{beginning}`; give at least 6 digits of its SHA-256, as `dimity show NUMBER` lists it"
            ))),
            _ => Err(Fault::Refused(format!("more than one photograph begins with `{beginning}`; give more digits"))),
        }
    }

    /// SHA-256 and extension of every original that the catalogue knows.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn originals(&self) -> Result<Vec<(String, String)>> {
        let mut statement = self.db.prepare_cached("SELECT sha256, extension FROM photograph ORDER BY id")?;
        Ok(statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<std::result::Result<_, _>>()?)
    }
}

/// A, B … Z, AA, AB …
fn letter(index: i64) -> String {
    let digit = |i: i64| char::from(b'A' + u8::try_from(i % 26).unwrap_or_default());
    if index < 26 { digit(index).to_string() } else { format!("{}{}", letter(index / 26 - 1), digit(index)) }
}

fn named(
    db: &Connection,
    table: &str,
    column: &str,
    name: Option<&String>,
    piece: i64,
    what: &str,
) -> Result<Option<i64>> {
    let Some(name) = name else { return Ok(None) };
    let sql = format!("SELECT id FROM \"{table}\" WHERE piece_id = ? AND \"{column}\" = ? ORDER BY id DESC LIMIT 1");
    let found = db.prepare_cached(&sql)?.query_row((piece, name), |r| r.get(0)).optional()?;
    found
        .map(Some)
        .ok_or_else(|| Fault::Refused(format!("this piece has no {what} `{name}`; `dimity show NUMBER` lists them")))
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

/// The links whose `column` has this value, each with its photograph.
fn linked(db: &Connection, column: &str, value: i64) -> Result<Vec<Photograph>> {
    let sql = format!(
        "SELECT f.*, o.uid AS link_uid, p.number, c.name AS component, e.date AS examination, t.title AS treatment,
                      o.view, o.light, o.stage, x.name AS photographer, o.caption
                 FROM photograph_of o JOIN photograph f ON f.id = o.photograph_id JOIN piece p ON p.id = o.piece_id
                 LEFT JOIN component c ON c.id = o.component_id LEFT JOIN examination e ON e.id = o.examination_id
                 LEFT JOIN treatment t ON t.id = o.treatment_id LEFT JOIN person x ON x.id = o.photographer_id
                WHERE {column} = ? ORDER BY o.id"
    );
    rows(db, &sql, [value])?.iter().map(|row| photograph(db, row)).collect()
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
        view: text("view").as_deref().and_then(TermId::parse),
        light: text("light").as_deref().and_then(TermId::parse),
        stage: text("stage"),
        photographer: text("photographer"),
        caption: text("caption"),
        regions: regions(db, id)?,
    })
}

fn regions(db: &Connection, photograph: i64) -> Result<Vec<Region>> {
    // A region drawn for an observation that was corrected later belongs to the correction.
    let sql = "WITH RECURSIVE now(first, id) AS (
                 SELECT observation_id, observation_id FROM region WHERE photograph_id = ?1 AND observation_id IS NOT NULL
                 UNION SELECT now.first, o.replaced_by FROM now JOIN observation o ON o.id = now.id
                        WHERE o.replaced_by IS NOT NULL)
               SELECT r.uid, r.label, r.shape, r.note,
                      (SELECT o.uid FROM now JOIN observation o ON o.id = now.id
                        WHERE now.first = r.observation_id AND o.replaced_by IS NULL) AS shows
                 FROM region r WHERE r.photograph_id = ?1 ORDER BY r.id";
    let found = rows(db, sql, [photograph])?;
    let region = |row: &Row| {
        let text = |name: &str| row.get(name).and_then(Value::as_str).map(String::from);
        let shape = Shape::parse(&text("shape").unwrap_or_default()).map_err(Fault::Unreadable)?;
        Ok(Region {
            id: text("uid").unwrap_or_default(),
            label: text("label").unwrap_or_default(),
            shape,
            shows: text("shows"),
            note: text("note"),
        })
    };
    found.iter().map(region).collect()
}
