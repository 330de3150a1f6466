//! What is drawn on photographs: regions, and the scale from which their sizes come.

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::change::{Row, fresh_uid, rows};
use super::undrawn::removed_rows;
use super::{Catalogue, Fault, Result};
use crate::geometry::{Point, written};
use crate::record::photograph::{Photograph, Region, Shape, place};
use crate::record::picture_scale::PictureScale;
use crate::words::letter;

/// A region to draw on a photograph.
#[derive(Debug, Clone, Default)]
pub struct NewRegion {
    /// The letter shown beside it; blank gives the next one free.
    pub label: Option<String>,
    /// Its shape, in pixels of the upright original.
    pub shape: Shape,
    /// Identifier of the observation that it shows.
    pub shows: Option<String>,
    /// Name of the component whose outline it is, if it is one.
    pub outlines: Option<String>,
    /// What it shows, in words.
    pub note: Option<String>,
}

impl Catalogue {
    /// Draws a region on a photograph, named by its SHA-256 or the beginning of it. Gives its letter.
    ///
    /// # Errors
    /// If no photograph or more than one begins so, if the shape leaves the picture or crosses itself, or if the
    /// observation or component is unknown.
    pub fn add_region(&mut self, author: &str, photograph: &str, region: &NewRegion) -> Result<String> {
        let (id, width, height) = self.photograph_like(photograph)?;
        region.shape.check(width, height).map_err(Fault::Refused)?;
        if region.outlines.is_some() && !matches!(region.shape, Shape::Outline(_)) {
            return Err(Fault::Refused("only an outline can be the outline of a component".into()));
        }
        self.write(author, "region drawn", |change| {
            let label = match &region.label {
                Some(label) => label.clone(),
                None => free_letter(change.db(), id)?,
            };
            let shows = match &region.shows {
                None => Value::Null,
                Some(uid) => change
                    .db()
                    .query_row("SELECT id FROM observation WHERE uid = ?", [uid], |r| r.get::<_, i64>(0))
                    .optional()?
                    .ok_or_else(|| Fault::Refused(format!("there is no observation with the id `{uid}`")))?
                    .into(),
            };
            let outlines = match &region.outlines {
                None => Value::Null,
                Some(name) => component(change.db(), id, name)?.into(),
            };
            let mut row = Row::new();
            row.insert("uid".into(), fresh_uid().into());
            row.insert("photograph_id".into(), id.into());
            row.insert("label".into(), label.clone().into());
            row.insert("shape".into(), region.shape.to_string().into());
            row.insert("observation_id".into(), shows);
            row.insert("outlines_id".into(), outlines);
            row.insert("note".into(), region.note.clone().into());
            change.insert("region", &row)?;
            Ok(label)
        })
    }

    /// Sets the scale of a photograph; one that was set before is kept and points to it.
    ///
    /// # Errors
    /// If no photograph or more than one begins so, or if a place leaves the picture.
    pub fn set_scale(&mut self, author: &str, photograph: &str, scale: &PictureScale) -> Result<()> {
        let (id, width, height) = self.photograph_like(photograph)?;
        scale.check(width, height).map_err(Fault::Refused)?;
        let before = "SELECT id FROM scale WHERE photograph_id = ? AND replaced_by IS NULL";
        self.write(author, "scale set", |change| {
            let before: Option<i64> = change.db().query_row(before, [id], |r| r.get(0)).optional()?;
            let mut row = Row::new();
            row.insert("uid".into(), fresh_uid().into());
            row.insert("photograph_id".into(), id.into());
            row.insert("places".into(), written(&scale.places).into());
            row.insert("size".into(), scale.size.clone().into());
            row.insert("across_mm".into(), scale.across_mm.into());
            row.insert("down_mm".into(), scale.down_mm.into());
            row.insert("u_mm".into(), scale.u_mm.into());
            row.insert("tolerance".into(), scale.tolerance.clone().into());
            row.insert("pointing_px".into(), scale.pointing_px.into());
            let further: Vec<String> =
                scale.further.iter().map(|((x, y), (a, d))| format!("{x},{y}={a},{d}")).collect();
            row.insert("further".into(), (!further.is_empty()).then(|| further.join(" ")).into());
            change.insert_instead("scale", row, before)
        })
    }

    /// A photograph by its SHA-256 or the beginning of it, as it shows the first piece to which it was added.
    ///
    /// # Errors
    /// If no photograph or more than one begins so.
    pub fn photograph(&self, beginning: &str) -> Result<Photograph> {
        let (id, ..) = self.photograph_like(beginning)?;
        if let Some(first) = super::photographs::linked(&self.db, "o.photograph_id", id)?.into_iter().next() {
            return Ok(first);
        }
        Err(Fault::Refused(self.shows_nothing(&self.photograph_named(beginning)?.sha256)?))
    }

    pub(super) fn photograph_like(&self, beginning: &str) -> Result<(i64, f64, f64)> {
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
}

/// The next letter that no region of a photograph has, nor one that was removed had: a page that was printed may name it.
fn free_letter(db: &Connection, photograph: i64) -> Result<String> {
    let mut taken = rows(db, "SELECT label FROM region WHERE photograph_id = ?", [photograph])?;
    taken.extend(removed_rows(db, photograph)?.into_iter().map(|(region, _)| region));
    let is_free = |label: &String| taken.iter().all(|r| r.get("label").and_then(Value::as_str) != Some(label));
    // Of one more than are taken, one is free.
    Ok((0..=taken.len()).map(letter).find(is_free).unwrap_or_default())
}

/// A component, by its name, of a piece that the photograph shows.
fn component(db: &Connection, photograph: i64, name: &str) -> Result<i64> {
    let from = "FROM component c JOIN photograph_of o ON o.piece_id = c.piece_id WHERE o.photograph_id = ?1 AND c.withdrawn IS NULL";
    let found = db
        .query_row(&format!("SELECT c.id {from} AND c.name = ?2 ORDER BY o.id, c.id"), (photograph, name), |r| r.get(0))
        .optional()?;
    let known = rows(db, &format!("SELECT DISTINCT c.name {from} ORDER BY c.id"), [photograph])?;
    let known: Vec<&str> = known.iter().filter_map(|r| r.get("name")?.as_str()).collect();
    let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
    found.ok_or_else(|| {
        Fault::Refused(format!("the piece on this photograph has no component `{name}`; its components: {known}"))
    })
}

/// The regions of a photograph, in the order in which they were drawn.
pub(super) fn regions(db: &Connection, photograph: i64) -> Result<Vec<Region>> {
    // A region drawn for an observation that was corrected later belongs to the correction.
    let sql = "WITH RECURSIVE now(first, id) AS (
                 SELECT observation_id, observation_id FROM region WHERE photograph_id = ?1 AND observation_id IS NOT NULL
                 UNION SELECT now.first, o.replaced_by FROM now JOIN observation o ON o.id = now.id
                        WHERE o.replaced_by IS NOT NULL)
               SELECT r.uid, r.label, r.shape, r.note, c.name AS outlines, p.number AS piece,
                      (SELECT o.uid FROM now JOIN observation o ON o.id = now.id
                        WHERE now.first = r.observation_id AND o.replaced_by IS NULL) AS shows
                 FROM region r LEFT JOIN component c ON c.id = r.outlines_id
                 LEFT JOIN observation s ON s.id = r.observation_id LEFT JOIN examination e ON e.id = s.examination_id
                 LEFT JOIN piece p ON p.id = coalesce(c.piece_id, e.piece_id)
                WHERE r.photograph_id = ?1 ORDER BY r.id";
    let found = rows(db, sql, [photograph])?;
    let region = |row: &Row| {
        let text = |name: &str| row.get(name).and_then(Value::as_str).map(String::from);
        let shape = Shape::parse(&text("shape").unwrap_or_default()).map_err(Fault::Unreadable)?;
        Ok(Region {
            id: text("uid").unwrap_or_default(),
            label: text("label").unwrap_or_default(),
            shape,
            shows: text("shows"),
            outlines: text("outlines"),
            piece: text("piece"),
            note: text("note"),
        })
    };
    found.iter().map(region).collect()
}

/// The scale of a photograph that stands.
pub(super) fn scale(db: &Connection, photograph: i64) -> Result<Option<PictureScale>> {
    let sql = "SELECT * FROM scale WHERE photograph_id = ? AND replaced_by IS NULL";
    let Some(row) = rows(db, sql, [photograph])?.pop() else { return Ok(None) };
    let text = |name: &str| row.get(name).and_then(Value::as_str).map(String::from);
    let number = |name: &str| row.get(name).and_then(Value::as_f64);
    let places = |list: Option<String>| -> Result<Vec<Point>> {
        let list = list.unwrap_or_default();
        list.split_whitespace().map(place).collect::<std::result::Result<_, _>>().map_err(Fault::Unreadable)
    };
    let further = text("further").unwrap_or_default();
    let (at, to): (Vec<&str>, Vec<&str>) = further.split_whitespace().filter_map(|w| w.split_once('=')).unzip();
    let further = places(Some(at.join(" ")))?.into_iter().zip(places(Some(to.join(" ")))?).collect();
    Ok(Some(PictureScale {
        id: text("uid").unwrap_or_default(),
        places: places(text("places"))?,
        size: text("size").unwrap_or_default(),
        across_mm: number("across_mm").unwrap_or_default(),
        down_mm: number("down_mm"),
        u_mm: number("u_mm").unwrap_or_default(),
        tolerance: text("tolerance"),
        pointing_px: number("pointing_px").unwrap_or_default(),
        further,
    }))
}
