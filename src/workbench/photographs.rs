//! The photographs of a piece together: added, and of those that are ticked the rights stated and the clock put right.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use serde::{Deserialize, Serialize};

use super::choice::Choice;
use super::desk::{self, Desk};
use super::fault::{Wrong, sentence, written};
use super::form::{state_of, with_status};
use super::frame::{self, Leaf, Room};
use super::photograph_said;
use super::piece::{self, Small};
use super::sessions::Visitor;
use super::sheet::to_keep;
use super::upload::Told;
use crate::catalogue::{Catalogue, Fault, Untied};
use crate::exchange::annotations;
use crate::photograph::{MOST_BYTES, parse_shift};
use crate::record::PieceFile;
use crate::record::accession::file_stem;
use crate::record::account::Role;
use crate::record::photograph::{Photograph, STAGES};
use crate::record::rights::Rights;
use crate::record::treatment::Treatment;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// The routes of this file; photographs come in by `upload`.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/photographs", get(all))
        .route("/pieces/{number}/photographs/annotations", get(regions))
        .route(
            "/pieces/{number}/photographs/rights",
            post(|desk, who, number, fields| change(desk, who, number, fields, Role::Keep, rights)),
        )
        .route(
            "/pieces/{number}/photographs/clock",
            post(|desk, who, number, fields| change(desk, who, number, fields, Role::Examine, clock)),
        )
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    number: String,
    address: String,
    photographs: Vec<Ticked>,
    may: bool,
    may_rights: bool,
    views: Vec<Choice>,
    lights: Vec<Choice>,
    components: Vec<String>,
    examinations: Vec<Choice>,
    treatments: Vec<Choice>,
    stages: Vec<Choice>,
    statements: Vec<Choice>,
    most: u64,
    drawn: bool,
    /// Those that were taken off it and show no piece.
    off: Vec<Off>,
    asked: Asked,
    amiss: Amiss,
}

/// A photograph that can be ticked.
#[derive(Serialize)]
struct Ticked {
    #[serde(flatten)]
    small: Small,
    sha256: String,
    name: String,
    chosen: bool,
    /// When it was taken, as it is recorded now; blank if that is not known.
    taken: String,
    /// Its rights in a line; blank if nothing is recorded.
    rights: String,
}

/// A photograph that was taken off this piece.
#[derive(Serialize)]
struct Off {
    name: String,
    told: String,
    /// Where it is tied to another.
    address: String,
}

/// What was typed and ticked.
#[derive(Debug, Clone, Default, Serialize)]
struct Asked {
    photographs: Vec<String>,
    all: bool,
    statement: String,
    holder: String,
    credit: String,
    note: String,
    replace: bool,
    shift: String,
    offset: String,
    reason: String,
    /// What rights stood when the page was made.
    stood: String,
    /// What was said of photographs that could not be added, and why they could not.
    told: Told,
    told_amiss: String,
}

/// What is wrong, beside the field where it is.
#[derive(Debug, Default, Serialize)]
struct Amiss {
    ticked: String,
    statement: String,
    rights: String,
    shift: String,
    reason: String,
    clock: String,
    /// Whether others stand than those that were seen.
    meanwhile: bool,
}

impl Asked {
    fn of(fields: Vec<(String, String)>) -> Self {
        let mut asked = Self::default();
        for (name, text) in fields {
            match name.as_str() {
                "photo" => asked.photographs.push(text),
                "all" => asked.all = true,
                "statement" => asked.statement = text,
                "holder" => asked.holder = text,
                "credit" => asked.credit = text,
                "note" => asked.note = text,
                "replace" => asked.replace = true,
                "shift" => asked.shift = text,
                "offset" => asked.offset = text,
                "reason" => asked.reason = text,
                "stood" => asked.stood = text,
                _ => {}
            }
        }
        asked
    }

    /// With one photograph ticked, and its rights as they stand.
    fn about(photo: &Photograph, vocabulary: &Vocabulary) -> Self {
        let stated = photo.rights.stated(vocabulary).map(|term| term.id.name().to_owned());
        Self {
            photographs: vec![photo.sha256.clone()],
            statement: stated.unwrap_or_default(),
            holder: photo.rights.holder.clone().unwrap_or_default(),
            credit: photo.rights.credit_line.clone().unwrap_or_default(),
            note: photo.rights.further(vocabulary).unwrap_or_default().to_owned(),
            ..Self::default()
        }
    }

    /// The photographs meant, all of this piece.
    fn chosen(&self, file: &PieceFile) -> Vec<String> {
        let known = |sha: &&String| file.photographs.iter().any(|p| p.sha256 == **sha);
        if self.all {
            return file.photographs.iter().map(|p| p.sha256.clone()).collect();
        }
        self.photographs.iter().filter(known).cloned().collect()
    }
}

/// A photograph that is ticked when the page opens.
#[derive(Deserialize)]
struct Which {
    #[serde(default)]
    photo: String,
}

async fn all(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Query(Which { photo }): Query<Which>,
) -> Result<Response, Wrong> {
    show(&desk, &visitor, number, photo, Asked::default(), Amiss::default()).await
}

/// The page again, since photographs could not be added: with what was said of them.
pub(super) async fn adding(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    number: String,
    told: Told,
    told_amiss: String,
) -> Result<Response, Wrong> {
    let asked = Asked { told, told_amiss, ..Asked::default() };
    let page = show(desk, visitor, number, String::new(), asked, Amiss::default()).await?;
    Ok(with_status(page, StatusCode::UNPROCESSABLE_ENTITY))
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    number: String,
    about: String,
    asked: Asked,
    amiss: Amiss,
) -> Result<Response, Wrong> {
    let role = visitor.role;
    frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&number)?;
        let vocabulary = catalogue.vocabulary();
        let about = file.photographs.iter().find(|p| p.sha256 == about);
        let mut asked = about.map_or(asked, |photo| Asked::about(photo, vocabulary));
        if asked.stood.is_empty() || amiss.meanwhile {
            asked.stood = rights_of(&file, vocabulary);
        }
        // One evening at the table is lit alike: what was said of the last photograph is offered for the next.
        let light = file.photographs.last().and_then(|p| p.light.as_ref()).map(TermId::name).unwrap_or_default();
        let ticked = |p: &Photograph| Ticked {
            small: piece::small(p, settings),
            chosen: asked.photographs.contains(&p.sha256),
            taken: taken(p),
            rights: p.rights.caption(vocabulary),
            name: p.original_name.clone(),
            sha256: p.sha256.clone(),
        };
        let off = |photo: Untied| Off {
            told: sentence(&photo.in_words()),
            address: photograph_said::address(&number, &photo.sha256),
            name: photo.original_name,
        };
        let page = Page {
            off: photograph_said::taken_off(catalogue, &number)?.into_iter().map(off).collect(),
            photographs: file.photographs.iter().map(ticked).collect(),
            views: Choice::terms(vocabulary, Scheme::View, ""),
            lights: Choice::terms(vocabulary, Scheme::Light, light),
            components: file.components.iter().filter_map(|c| c.name.clone()).collect(),
            examinations: Choice::examinations(&file, ""),
            treatments: treatments(&file),
            stages: STAGES.iter().map(|stage| Choice::of(stage, *stage, "")).collect(),
            statements: Choice::terms(vocabulary, Scheme::Rights, &asked.statement),
            most: MOST_BYTES,
            drawn: file.photographs.iter().any(|p| !p.regions.is_empty()),
            address: piece::address(&number),
            number: number.clone(),
            may: role >= Role::Examine,
            may_rights: role >= Role::Keep,
            asked,
            amiss,
        };
        Ok(Leaf { template: "photographs.html", title: format!("Photographs of {number}"), page })
    })
    .await
}

/// The state of the rights of all photographs of a piece.
fn rights_of(file: &PieceFile, vocabulary: &Vocabulary) -> String {
    let rights: Vec<_> = file.photographs.iter().map(|p| (&p.sha256, p.rights.caption(vocabulary))).collect();
    state_of(rights.iter().map(|(sha256, rights)| (sha256.as_str(), rights.as_str())))
}

/// The treatments of a piece, the latest first.
fn treatments(file: &PieceFile) -> Vec<Choice> {
    let choice = |t: &Treatment| Some(Choice::of(t.id.as_deref()?, t.proposal.title.clone().unwrap_or_default(), ""));
    file.treatments.iter().rev().filter_map(choice).collect()
}

/// The time by the camera's clock, put right if that was done.
fn taken(photo: &Photograph) -> String {
    let Some(taken) = &photo.capture.taken else { return String::new() };
    let offset = photo.capture.offset.as_ref().map(|offset| format!(" {offset}")).unwrap_or_default();
    format!("{}{offset}", taken.replace('T', " "))
}

/// What is done to the photographs chosen: why not, if something is amiss.
type Put = fn(&mut Catalogue, &str, &[String], &Asked) -> Result<Option<Amiss>, Fault>;

async fn change(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Form(fields): Form<Vec<(String, String)>>,
    role: Role,
    put: Put,
) -> Result<Response, Wrong> {
    visitor.may(role)?;
    let asked = Asked::of(fields);
    let amiss = match visitor.author() {
        Ok(author) => {
            let (author, number, asked) = (author.to_owned(), number.clone(), asked.clone());
            let done = move |catalogue: &mut Catalogue| {
                let chosen = asked.chosen(&catalogue.piece(&number)?);
                if chosen.is_empty() {
                    let ticked = "Tick the photographs that this is about. Nothing was changed.".into();
                    return Ok(Some(Amiss { ticked, ..Amiss::default() }));
                }
                Ok(put(catalogue, &author, &chosen, &asked)?)
            };
            desk::write(&desk, done).await?
        }
        Err(nameless) => Some(Amiss { ticked: nameless.says, ..Amiss::default() }),
    };
    let Some(amiss) = amiss else {
        return Ok(Redirect::to(&format!("{}/photographs#recorded", piece::address(&number))).into_response());
    };
    let status = if amiss.meanwhile { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok(with_status(show(&desk, &visitor, number, String::new(), asked, amiss).await?, status))
}

fn rights(catalogue: &mut Catalogue, author: &str, chosen: &[String], asked: &Asked) -> Result<Option<Amiss>, Fault> {
    if let (Some(seen), Some(photo)) = (written(&asked.stood), chosen.first()) {
        let file = catalogue.piece(&catalogue.photograph(photo)?.number)?;
        if seen != rights_of(&file, catalogue.vocabulary()) {
            let rights =
                "Rights of these photographs were recorded by someone else meanwhile: they stand above, beside each. \
                          Nothing of yours was entered; send it again to record it."
                    .into();
            return Ok(Some(Amiss { rights, meanwhile: true, ..Amiss::default() }));
        }
    }
    let statement = written(&asked.statement).map(|word| {
        let found = catalogue.vocabulary().find(Scheme::Rights, &word);
        found.map(|term| term.id.clone()).map_err(|why| sentence(&why.to_string()))
    });
    let statement = match statement.transpose() {
        Ok(statement) => statement,
        Err(statement) => return Ok(Some(Amiss { statement, ..Amiss::default() })),
    };
    let given = Rights {
        statement,
        holder: written(&asked.holder),
        credit_line: written(&asked.credit),
        words: written(&asked.note),
    };
    if given.is_blank() && !asked.replace {
        let rights = "Say what is to be recorded. Nothing was changed.".into();
        return Ok(Some(Amiss { rights, ..Amiss::default() }));
    }
    catalogue.set_photograph_rights(author, chosen, &given, asked.replace)?;
    Ok(None)
}

fn clock(catalogue: &mut Catalogue, author: &str, chosen: &[String], asked: &Asked) -> Result<Option<Amiss>, Fault> {
    let shift = match parse_shift(&asked.shift) {
        Ok(shift) => shift,
        Err(why) => return Ok(Some(Amiss { shift: sentence(&why), ..Amiss::default() })),
    };
    let Some(reason) = written(&asked.reason) else {
        let reason = "Say how you know. Nothing was changed.".into();
        return Ok(Some(Amiss { reason, ..Amiss::default() }));
    };
    match catalogue.shift_clock(author, &reason, chosen, shift, written(&asked.offset).as_deref()) {
        Ok(_) => Ok(None),
        Err(Fault::Refused(why)) => Ok(Some(Amiss { clock: sentence(&why), ..Amiss::default() })),
        Err(other) => Err(other),
    }
}

/// The regions of a piece's photographs as W3C Web Annotations, to be saved.
async fn regions(State(desk): State<Arc<Desk>>, _: Visitor, Path(number): Path<String>) -> Result<Response, Wrong> {
    let (name, collection) = desk::read(&desk, move |catalogue| {
        let file = catalogue.piece(&number)?;
        Ok((file_stem(file.number()), annotations::of_piece(&file)))
    })
    .await?;
    let json = serde_json::to_string_pretty(&collection).map_err(|_| Wrong::broken())? + "\n";
    let kind = "application/ld+json; profile=\"http://www.w3.org/ns/anno.jsonld\"";
    Ok(to_keep(&format!("annotations-{name}.json"), kind, json.into_bytes()))
}
