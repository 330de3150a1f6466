//! What is said of a photograph of a piece, put right; and a photograph taken off a piece that it does not show. The original
//! is kept either way, and what is drawn on it and measured of it (scale, target, registrations) stays with it.

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::change::{Change, Row, fresh_uid, row_by_id, rows};
use super::photographs::{linked, named, treatment};
use super::withdrawal::refuse_withdrawn;
use super::{Catalogue, Fault, Result};
use crate::digest::short;
use crate::record::photograph::STAGES;
use crate::vocabulary::TermId;

/// What becomes of one thing that is said of a photograph.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Amend<T> {
    /// It stays as it stands.
    #[default]
    Stays,
    /// It was never so: nothing is said any more.
    Struck,
    /// It is this.
    Is(T),
}

impl<T> Amend<T> {
    fn column(&self, value: impl FnOnce(&T) -> Result<Value>) -> Result<Option<Value>> {
        match self {
            Self::Stays => Ok(None),
            Self::Struck => Ok(Some(Value::Null)),
            Self::Is(known) => value(known).map(Some),
        }
    }
}

/// What is put right of a photograph of a piece.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PhotographCorrection {
    /// Component shown.
    pub component: Amend<String>,
    /// Day of the examination that it belongs to (`2024-03-12`).
    pub examination: Amend<String>,
    /// Title or identifier of the treatment that it belongs to.
    pub treatment: Amend<String>,
    /// Front, back, detail ...
    pub view: Amend<TermId>,
    /// By what light.
    pub light: Amend<TermId>,
    /// Before, during or after treatment.
    pub stage: Amend<String>,
    /// Who took it.
    pub photographer: Amend<String>,
    /// What to print below it.
    pub caption: Amend<String>,
}

/// What was put right: the piece, and of each thing that changed its name, what stood and what stands; blank for nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PutRight {
    /// Accession number of the piece.
    pub number: String,
    /// What changed.
    pub changed: Vec<(&'static str, String, String)>,
}

/// A photograph that was taken off a piece.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Untied {
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Extension it is stored under.
    pub extension: String,
    /// The file's name when it came in.
    pub original_name: String,
    /// Accession number of the piece; blank if that was purged since.
    pub number: String,
    /// When it was taken off, in UTC.
    pub at: String,
    /// By whom.
    pub by: String,
    /// Why.
    pub why: String,
}

impl Untied {
    /// In words: off which piece it was taken, when, by whom and why.
    pub fn in_words(&self) -> String {
        let off = if self.number.is_empty() { "a piece that was purged since" } else { self.number.as_str() };
        let day = self.at.get(..10).unwrap_or(&self.at);
        format!("taken off {off} on {day} by {}: {}", self.by, self.why)
    }

    /// That a photograph is kept though it shows no piece, and the mend.
    pub fn kept_how(&self) -> String {
        let off = if self.at.is_empty() { String::new() } else { format!(": {}", self.in_words()) };
        format!("shows no piece and is kept{off}; {}", self.how_tied())
    }

    /// How it is tied to the piece that it shows.
    pub fn how_tied(&self) -> String {
        let short = short(&self.sha256);
        format!("`dimity photo untie {short} --onto NUMBER --reason TEXT` ties it to the piece that it shows")
    }
}

impl Catalogue {
    /// Puts right what is said of a photograph, named by its SHA-256 or the beginning of it, of a piece: only what is named
    /// changes. Where the photograph shows one piece alone, the piece need not be named.
    ///
    /// # Errors
    /// If nothing is named or a text is blank, if the piece is not shown or is withdrawn, if component, examination, treatment
    /// or stage are unknown, if author or reason is blank, or the database refuses: then nothing is changed.
    pub fn correct_photograph(
        &mut self,
        author: &str,
        reason: &str,
        photograph: &str,
        number: Option<&str>,
        amended: &PhotographCorrection,
    ) -> Result<PutRight> {
        if *amended == PhotographCorrection::default() {
            return Err(Fault::Refused(
                "nothing is named that is to be put right; name it, or strike out what was never so".into(),
            ));
        }
        let tie = self.tie(photograph, number)?;
        let unknown = [(&amended.view, "view"), (&amended.light, "light")].into_iter().find_map(|(term, scheme)| {
            let Amend::Is(id) = term else { return None };
            self.vocabulary
                .get(id)
                .is_none()
                .then(|| format!("there is no {scheme} `{id}`; `dimity terms {scheme}` lists them"))
        });
        if let Some(unknown) = unknown {
            return Err(Fault::Refused(unknown));
        }
        self.write(author, reason, |change| {
            refuse_withdrawn(change.db(), tie.piece, &tie.number)?;
            let before = said(change.db(), tie.link)?;
            let columns = columns(change, tie.piece, amended)?;
            change.update("photograph_of", tie.link, &columns)?;
            let after = said(change.db(), tie.link)?;
            let changed = before.into_iter().zip(after).filter(|(before, after)| before != after);
            let changed = changed.map(|((what, before), (_, after))| (what, before, after)).collect();
            Ok(PutRight { number: tie.number.clone(), changed })
        })
    }

    /// Takes a photograph off a piece that it does not show. The original stays in the store under its hash, with its scale, its
    /// target and what is drawn on it; the journal keeps what was said. With `onto` it is tied to that piece in the same act, and
    /// what is true of the picture itself goes along: view, light, photographer, caption. A photograph that shows no piece since
    /// it was taken off is only tied, to the same piece again as it was.
    ///
    /// # Errors
    /// If the photograph does not show the piece, if a region on it shows an observation of the piece or outlines a component of
    /// it, if either piece is unknown or withdrawn or they are the same, if author or reason is blank, or the database refuses.
    pub fn untie_photograph(
        &mut self,
        author: &str,
        reason: &str,
        photograph: &str,
        number: Option<&str>,
        onto: Option<&str>,
    ) -> Result<Untied> {
        let (id, ..) = self.photograph_like(photograph)?;
        let other = onto.map(|number| Ok::<_, Fault>((self.piece_id(number)?, number))).transpose()?;
        let tie = match self.ties(id)? {
            none if none.is_empty() && other.is_some() => None,
            _ => Some(self.tie(photograph, number)?),
        };
        if let (Some((piece, _)), Some(tie)) = (other, &tie)
            && piece == tie.piece
        {
            return Err(Fault::Refused(format!(
                "it would be tied to `{}` again, off which it is to be taken; name the piece that it shows",
                tie.number
            )));
        }
        self.write(author, reason, |change| {
            let row = match &tie {
                Some(tie) => {
                    refuse_withdrawn(change.db(), tie.piece, &tie.number)?;
                    refuse_drawn(change.db(), tie)?;
                    let row = row_by_id(change.db(), "photograph_of", tie.link)?;
                    change.delete("photograph_of", tie.link)?;
                    row
                }
                None => last_tie(change.db(), id)?,
            };
            if let Some((piece, number)) = other {
                refuse_withdrawn(change.db(), piece, number)?;
                tie_onto(change, id, piece, row)?;
            }
            let number = tie.as_ref().map(|tie| tie.number.clone()).unwrap_or_default();
            Ok(Untied { number, ..untied(&row_by_id(change.db(), "photograph", id)?) })
        })
    }

    /// The photographs that show no piece, since they were taken off the last one, in the order in which they were added.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn untied_photographs(&self) -> Result<Vec<Untied>> {
        let sql = format!(
            "SELECT f.sha256, f.extension, f.original_name, j.at, j.author, j.reason,
                    (SELECT number FROM piece WHERE id = json_extract(j.before, '$.piece_id')) AS number
               FROM photograph f LEFT JOIN journal j ON j.id = {LAST_TAKEN_OFF}
              WHERE NOT EXISTS (SELECT 1 FROM photograph_of o WHERE o.photograph_id = f.id) ORDER BY f.id"
        );
        Ok(rows(&self.db, &sql, [])?.iter().map(untied).collect())
    }

    /// What to say of a photograph that shows no piece: off which it was taken, and how it is tied to another.
    pub(super) fn shows_nothing(&self, sha256: &str) -> Result<String> {
        let found = self.untied_photographs()?.into_iter().find(|photo| photo.sha256 == sha256);
        Ok(found.map_or_else(
            || format!("the photograph `{}` shows no piece", short(sha256)),
            |photo| format!("the photograph `{}` {}", short(sha256), photo.kept_how()),
        ))
    }

    /// The pieces that a photograph shows, in the order in which it was tied to them.
    fn ties(&self, photograph: i64) -> Result<Vec<Tie>> {
        let sql = "SELECT o.id, o.piece_id, p.number, f.sha256 FROM photograph_of o JOIN piece p ON p.id = o.piece_id
                     JOIN photograph f ON f.id = o.photograph_id WHERE o.photograph_id = ? ORDER BY o.id";
        let mut statement = self.db.prepare_cached(sql)?;
        let tie = |r: &rusqlite::Row<'_>| {
            Ok(Tie { link: r.get(0)?, piece: r.get(1)?, number: r.get(2)?, photograph, sha256: r.get(3)? })
        };
        Ok(statement.query_map([photograph], tie)?.collect::<rusqlite::Result<_>>()?)
    }

    /// The tie of a photograph to a piece; to the only one that it shows, if none is named.
    fn tie(&self, photograph: &str, number: Option<&str>) -> Result<Tie> {
        let (id, ..) = self.photograph_like(photograph)?;
        if let Some(number) = number {
            self.piece_id(number)?;
        }
        let mut ties = self.ties(id)?;
        let shown = ties.iter().map(|tie| format!("`{}`", tie.number)).collect::<Vec<_>>().join(", ");
        match number {
            _ if ties.is_empty() => {
                Err(Fault::Refused(self.shows_nothing(&self.photograph_named(photograph)?.sha256)?))
            }
            Some(number) => ties
                .into_iter()
                .find(|tie| tie.number == number)
                .ok_or_else(|| Fault::Refused(format!("this photograph does not show `{number}`, but {shown}"))),
            None if ties.len() == 1 => Ok(ties.remove(0)),
            None => Err(Fault::Refused(format!("this photograph shows {shown}; say of which with `--of NUMBER`"))),
        }
    }
}

/// Of a photograph `f`: the row of the journal by which it was last taken off a piece.
pub(super) const LAST_TAKEN_OFF: &str =
    "(SELECT max(id) FROM journal WHERE act = 'delete' AND in_table = 'photograph_of'
    AND json_extract(before, '$.photograph_id') = f.id)";

/// That a photograph shows a piece.
struct Tie {
    link: i64,
    piece: i64,
    number: String,
    photograph: i64,
    sha256: String,
}

/// The tie that a photograph had when it was last taken off a piece; blank if it never was.
fn last_tie(db: &Connection, photograph: i64) -> Result<Row> {
    let sql =
        format!("SELECT before FROM journal WHERE id = (SELECT {LAST_TAKEN_OFF} FROM photograph f WHERE f.id = ?)");
    let before: Option<Option<String>> = db.query_row(&sql, [photograph], |r| r.get(0)).optional()?;
    Ok(before.flatten().and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default())
}

/// Ties a photograph to a piece, if it is not tied to it already; `row` is the tie that it had before.
fn tie_onto(change: &mut Change<'_>, photograph: i64, piece: i64, mut row: Row) -> Result<()> {
    let there = "SELECT 1 FROM photograph_of WHERE photograph_id = ? AND piece_id = ?";
    if change.db().prepare_cached(there)?.exists((photograph, piece))? {
        return Ok(());
    }
    let again = row.get("piece_id").and_then(Value::as_i64) == Some(piece);
    let mut lost = Vec::new();
    for (column, value) in &row {
        // Component, examination and treatment are a piece's own, and may be struck out since.
        let keeps = match column.as_str() {
            "view" | "light" | "photographer_id" | "caption" => true,
            "stage" => again,
            "component_id" | "examination_id" | "treatment_id" => {
                let sql = format!("SELECT 1 FROM \"{}\" WHERE id = ?", column.trim_end_matches("_id"));
                again && change.db().prepare_cached(&sql)?.exists([value.as_i64()])?
            }
            _ => false,
        };
        if !keeps {
            lost.push(column.clone());
        }
    }
    for column in lost {
        row.remove(&column);
    }
    row.insert("uid".into(), fresh_uid().into());
    row.insert("photograph_id".into(), photograph.into());
    row.insert("piece_id".into(), piece.into());
    change.insert("photograph_of", &row)?;
    Ok(())
}

/// The columns that are to be set.
fn columns(change: &mut Change<'_>, piece: i64, amended: &PhotographCorrection) -> Result<Row> {
    let text = |what: &str, text: &String| match text.trim() {
        "" => Err(Fault::Refused(format!("a blank {what} erases nothing; strike it out if it was never so"))),
        text => Ok(text.to_owned()),
    };
    let term = |id: &TermId| Ok(id.as_str().into());
    let db = change.db();
    let mut set = vec![
        (
            "component_id",
            amended.component.column(|name| {
                Ok(named(db, "component", "name", Some(&text("component", name)?), piece, "component")?.into())
            })?,
        ),
        (
            "examination_id",
            amended.examination.column(|day| {
                Ok(named(db, "examination", "date", Some(&text("examination", day)?), piece, "examination on")?.into())
            })?,
        ),
        (
            "treatment_id",
            amended.treatment.column(|name| Ok(treatment(db, Some(&text("treatment", name)?), piece)?.into()))?,
        ),
        ("view", amended.view.column(term)?),
        ("light", amended.light.column(term)?),
        (
            "stage",
            amended.stage.column(|stage| match stage.as_str() {
                known if STAGES.contains(&known) => Ok(known.into()),
                other => {
                    Err(Fault::Refused(format!("`{other}` is no stage of a treatment; write {}", STAGES.join(", "))))
                }
            })?,
        ),
        ("caption", amended.caption.column(|caption| Ok(text("caption", caption)?.into()))?),
    ];
    let photographer = match &amended.photographer {
        Amend::Is(name) => Amend::Is(change.person(&text("photographer", name)?)?),
        Amend::Struck => Amend::Struck,
        Amend::Stays => Amend::Stays,
    };
    set.push(("photographer_id", photographer.column(|id| Ok((*id).into()))?));
    Ok(set.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))).collect())
}

/// What is said of a photograph by its tie, each with its name.
fn said(db: &Connection, link: i64) -> Result<Vec<(&'static str, String)>> {
    let photo = linked(db, "o.id", link)?.pop().ok_or_else(|| Fault::Refused("the photograph is gone".into()))?;
    Ok(photo.said())
}

/// Refuses to take off what carries an observation of the piece, or the outline of a component of it.
fn refuse_drawn(db: &Connection, tie: &Tie) -> Result<()> {
    let sql = "SELECT r.label FROM region r WHERE r.photograph_id = ?1 AND (
        EXISTS (SELECT 1 FROM component c WHERE c.id = r.outlines_id AND c.piece_id = ?2) OR
        EXISTS (SELECT 1 FROM observation o JOIN examination e ON e.id = o.examination_id
                 WHERE o.id = r.observation_id AND e.piece_id = ?2)) ORDER BY r.id";
    let mut statement = db.prepare_cached(sql)?;
    let letters: Vec<String> =
        statement.query_map((tie.photograph, tie.piece), |r| r.get(0))?.collect::<rusqlite::Result<_>>()?;
    let Some(first) = letters.first() else { return Ok(()) };
    let (regions, them) = if letters.len() == 1 { ("region", "it") } else { ("regions", "them") };
    Err(Fault::Refused(format!(
        "on this photograph the {regions} {} tell of what is recorded of `{}`; remove {them} first, \
         `dimity photo region {} --remove {first} --reason TEXT`, and correct or withdraw what was measured by {them}",
        letters.join(", "),
        tie.number,
        short(&tie.sha256),
    )))
}

fn untied(row: &Row) -> Untied {
    let text = |name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
    Untied {
        sha256: text("sha256"),
        extension: text("extension"),
        original_name: text("original_name"),
        number: text("number"),
        at: text("at"),
        by: text("author"),
        why: text("reason"),
    }
}
