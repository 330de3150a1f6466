//! The examination in progress: begun, written line by line, entered whole.
//!
//! Every message of the page brings the version of the draft that it saw, and is answered after the draft lies on the disk.

mod enter;
mod strokes;
mod view;

use std::sync::Arc;

use axum::extract::rejection::JsonRejection;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Json, Router};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence};
use super::form::{Retry, again};
use super::frame::{self, Leaf, Room, When};
use super::sessions::Visitor;
use crate::draft::{Draft, DraftFault, Drafts};
use crate::exchange::sitting;
use crate::record::accession;
use crate::record::account::Role;
use crate::vocabulary::Scheme;

/// The routes of this file and those below it.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/examine", get(all).post(begin))
        .route("/pieces/{number}/examine", get(of_piece))
        .route("/examine/{id}", get(whole))
        .route("/examine/{id}/part", get(part))
        .route("/examine/{id}/aside", post(aside))
        .merge(strokes::routes())
        .merge(enter::routes())
}

/// The address of a draft.
pub(super) fn address(id: &str) -> String {
    format!("/examine/{id}")
}

/// Where what was entered from a draft is taken back.
fn taking_back(id: &str) -> String {
    format!("{}/take-back", address(id))
}

fn drafts(desk: &Desk) -> Drafts {
    Drafts::at(desk.folder())
}

/// A message of the page, if it can be read.
type Sent<T> = Result<Json<T>, JsonRejection>;

/// What is said of one that cannot be read.
const NO_MESSAGE: &str = "This is no message of the page";

/// Why a message was not done: in words, or because another window was faster.
enum Refused {
    Wrong(Wrong),
    Meanwhile(Box<Draft>),
}

impl From<Wrong> for Refused {
    fn from(wrong: Wrong) -> Self {
        Self::Wrong(wrong)
    }
}

impl From<crate::catalogue::Fault> for Refused {
    fn from(fault: crate::catalogue::Fault) -> Self {
        Self::Wrong(fault.into())
    }
}

impl From<DraftFault> for Refused {
    fn from(fault: DraftFault) -> Self {
        match fault {
            DraftFault::Meanwhile(now) => Self::Meanwhile(now),
            other => Self::Wrong(wrong(&other)),
        }
    }
}

fn wrong(fault: &DraftFault) -> Wrong {
    let status = match fault {
        DraftFault::Gone => StatusCode::NOT_FOUND,
        DraftFault::Meanwhile(_) => StatusCode::CONFLICT,
        DraftFault::Unreadable { .. } => StatusCode::UNPROCESSABLE_ENTITY,
        _ => StatusCode::INSUFFICIENT_STORAGE,
    };
    let says = match fault {
        DraftFault::Gone | DraftFault::Meanwhile(_) | DraftFault::Unreadable { .. } => fault.to_string(),
        other => format!(
            "what you wrote is not kept yet, and still stands in this window: {other}; free some space, then go on"
        ),
    };
    Wrong::new(status, sentence(&says))
}

/// The answer to a message; where another window was faster, both versions are said.
fn answered(done: Result<Response, Refused>) -> Result<Response, Wrong> {
    match done {
        Ok(response) => Ok(response),
        Err(Refused::Wrong(wrong)) => Err(wrong),
        Err(Refused::Meanwhile(now)) => {
            let says =
                "This draft was changed in another window or by someone else. What you are writing still stands here.";
            let answer = json!({ "wrong": says, "elsewhere": true, "version": now.version, "typed": now.typed });
            Ok((StatusCode::CONFLICT, Json(answer)).into_response())
        }
    }
}

/// One line in the list of drafts.
#[derive(Serialize)]
struct InProgress {
    address: String,
    number: String,
    known: bool,
    by: String,
    began: When,
    lines: usize,
    typed: String,
}

/// What the page of all drafts shows.
#[derive(Serialize)]
struct All {
    drafts: Vec<InProgress>,
    aside: Vec<InProgress>,
    /// Drafts that cannot be read, in sentences.
    unreadable: Vec<String>,
    may: bool,
    named: bool,
    asked: Begun,
    known: bool,
    /// The examinations of the piece: identifier, day and examiner.
    exams: Vec<(String, String)>,
    natures: Vec<String>,
    garments: Vec<String>,
    wrong: String,
}

/// What a new draft is begun with.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Begun {
    number: String,
    nature: String,
    object_name: String,
    garment: String,
    /// A recorded examination to go on with.
    examination: String,
}

async fn all(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(asked): Query<Begun>) -> Result<Response, Wrong> {
    list(&desk, &visitor, asked, String::new()).await
}

/// The same for a piece that one comes from.
async fn of_piece(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
) -> Result<Response, Wrong> {
    list(&desk, &visitor, Begun { number, ..Begun::default() }, String::new()).await
}

async fn list(desk: &Arc<Desk>, visitor: &Visitor, asked: Begun, wrong_number: String) -> Result<Response, Wrong> {
    let (all, who) = (drafts(desk), visitor.clone());
    frame::page(desk, visitor, Room::Examine, move |catalogue, settings| {
        let words = catalogue.vocabulary().on(settings.printed_on);
        let terms = |scheme| words.terms(scheme).map(|t| t.name().to_owned()).collect::<Vec<_>>();
        let line = |d: Draft| InProgress {
            address: address(&d.id),
            number: d.number,
            known: d.known,
            by: d.by,
            began: When::at(&d.began),
            // Piece and circumstances are not written at the table.
            lines: d.lines.len().saturating_sub(2),
            typed: d.typed,
        };
        let (all, unreadable) = all.sorted_out().map_err(|fault| wrong(&fault))?;
        let open = all.into_iter().filter(|d| d.entered.is_none());
        let (aside, drafts): (Vec<_>, Vec<_>) = open.partition(|d| d.aside);
        let number = asked.number.trim();
        let file = if number.is_empty() { None } else { catalogue.piece_if_any(number)? };
        let exam = |e: &crate::record::Examination| {
            let words = [crate::report::day(e.about.date), e.about.examiner.clone().unwrap_or_default()].join(", ");
            Some((e.about.id.clone()?, words))
        };
        let page = All {
            drafts: drafts.into_iter().map(line).collect(),
            aside: aside.into_iter().map(line).collect(),
            unreadable: unreadable.iter().map(|fault| sentence(&fault.to_string())).collect(),
            may: who.role >= Role::Examine,
            named: who.name.is_some(),
            known: file.is_some(),
            exams: file.iter().flat_map(|f| f.examinations.iter().rev().filter_map(exam)).collect(),
            natures: terms(Scheme::Nature),
            garments: terms(Scheme::Garment),
            wrong: wrong_number,
            asked,
        };
        Ok(Leaf { template: "examine.html", title: "Examinations in progress".into(), page })
    })
    .await
}

async fn begin(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(asked): Form<Begun>) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let number = asked.number.trim().to_owned();
    let Ok(author) = visitor.author().map(str::to_owned) else {
        let back = format!("/examine?number={}", crate::report::link_part(&number));
        return Ok(Redirect::to(&format!("/name?to={}", crate::report::link_part(&back))).into_response());
    };
    if let Err(why) = accession::check(&number) {
        return list(&desk, &visitor, asked, crate::report::capital(&why)).await.map(again);
    }
    let (all, today, now) = (drafts(&desk), desk.today(), desk.clock.now());
    let draft = desk::read(&desk, move |catalogue| {
        let file = catalogue.piece_if_any(&number)?;
        let facts = [("nature", asked.nature), ("object_name", asked.object_name), ("garment", asked.garment)];
        let day = today.to_string();
        let examination = Some(asked.examination.as_str()).filter(|id| !id.is_empty());
        let beginning = sitting::Beginning { number: &number, facts: &facts, day: &day, by: &author, examination };
        let draft = sitting::begin(file.as_ref(), &beginning);
        all.begin(Draft { began: now.to_string(), ..draft }).map_err(|fault| wrong(&fault))
    })
    .await?;
    Ok(Redirect::to(&address(&draft.id)).into_response())
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(id): Path<String>) -> Result<Response, Wrong> {
    show(&desk, &visitor, id, (Retry::default(), Vec::new())).await
}

/// The page of a draft, with what could not be taken back, or what was.
async fn show(desk: &Arc<Desk>, visitor: &Visitor, id: String, back: (Retry, Vec<String>)) -> Result<Response, Wrong> {
    let (all, who) = (drafts(desk), visitor.clone());
    frame::page(desk, visitor, Room::Examine, move |catalogue, _| {
        let draft = all.read(&id).map_err(|fault| wrong(&fault))?;
        let file = catalogue.piece_if_any(&draft.number)?;
        let title = format!("{}, examination in progress", draft.number);
        let page = view::page(catalogue, &draft, file.as_ref(), who.role >= Role::Examine, back)?;
        Ok(Leaf { template: "sitting.html", title, page })
    })
    .await
}

/// The lines as they stand now, for a window that another was faster than.
async fn part(State(desk): State<Arc<Desk>>, _: Visitor, Path(id): Path<String>) -> Result<Response, Wrong> {
    let all = drafts(&desk);
    desk::read(&desk, move |catalogue| {
        let draft = all.read(&id).map_err(|fault| wrong(&fault))?;
        let file = catalogue.piece_if_any(&draft.number)?;
        Ok(Json(view::parts(catalogue, &draft, file.as_ref())?).into_response())
    })
    .await
}

#[derive(Deserialize)]
struct Aside {
    version: u64,
    #[serde(default)]
    again: bool,
}

/// Puts a draft aside, or takes it up again. Nothing of it is lost.
async fn aside(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(id): Path<String>,
    Form(asked): Form<Aside>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let all = drafts(&desk);
    let to = if asked.again { address(&id) } else { "/examine".to_owned() };
    desk::read(&desk, move |_| {
        all.change(&id, asked.version, |draft| {
            draft.aside = !asked.again;
            Ok::<_, DraftFault>(())
        })
        .map_err(|fault| wrong(&fault))
    })
    .await?;
    Ok(Redirect::to(&to).into_response())
}
