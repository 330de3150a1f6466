//! Corrections in place: a line as it stands, and a line as it is to be, with a reason.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Json, Router};
use serde::Deserialize;
use serde_json::json;

use super::desk::{self, Desk};
use super::fault::{self, Wrong};
use super::form::{self, Amiss, Retry, Why};
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::Catalogue;
use crate::exchange::correction::{self, Correction, Refusal};
use crate::record::account::Role;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/lines/{section}", get(fact))
        .route("/pieces/{number}/lines/{section}/{id}", get(line))
        .route("/pieces/{number}/correct", post(correct))
        .route("/pieces/{number}/lines/{section}/{id}/put-back", post(put_back))
        .route("/pieces/{number}/changes/{row}/{version}/put-back", post(put_back_fact))
}

async fn fact(
    desk: State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, section)): Path<(String, String)>,
) -> Result<Response, Wrong> {
    line(desk, visitor, Path((number, section, String::new()))).await
}

/// A line with all its fields, as it stands.
async fn line(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path((number, section, id)): Path<(String, String, String)>,
) -> Result<Response, Wrong> {
    desk::read(&desk, move |catalogue| {
        let file = catalogue.piece(&number)?;
        let id = Some(id.as_str()).filter(|id| !id.is_empty());
        let gone = || Wrong::not_found("This line does not stand here any more. Load the page again to see what does.");
        let (line, _) = correction::find(&file, &section, id).ok_or_else(gone)?;
        let components: Vec<_> = file.components.iter().filter_map(|c| c.name.clone()).collect();
        Ok(Json(json!({ "line": line, "components": components })).into_response())
    })
    .await
}

#[derive(Deserialize)]
struct Asked {
    #[serde(flatten)]
    correction: Correction,
    #[serde(default)]
    reason: String,
}

async fn correct(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    asked: Result<Json<Asked>, axum::extract::rejection::JsonRejection>,
) -> Result<Response, Wrong> {
    let asked = fault::sent(asked, "This is no correction")?;
    visitor.may(if correction::is_observed(&asked.correction.section) { Role::Examine } else { Role::Keep })?;
    let author = visitor.author()?.to_owned();
    desk::write(&desk, move |catalogue| {
        let done = correction::correct(catalogue, &number, &asked.correction, &author, &asked.reason);
        match done {
            Ok(entered) => Ok(Json(json!({ "entered": entered })).into_response()),
            Err(Refusal::Mistakes(mistakes)) => {
                let wrong = mistakes.iter().map(|m| m.what.as_str()).collect::<Vec<_>>().join("; ");
                let answer = json!({ "wrong": wrong, "mistakes": mistakes });
                Ok((StatusCode::UNPROCESSABLE_ENTITY, Json(answer)).into_response())
            }
            Err(Refusal::Meanwhile { now, by }) => {
                let by =
                    by.map(|fate| json!({ "by": fate.by, "on": fate.on, "why": fate.withdrawn.unwrap_or(fate.why) }));
                let wrong = match now {
                    Some(_) => "This line was corrected meanwhile. Both versions are below; choose field by field.",
                    None => "This line was withdrawn meanwhile. What you wrote is still here; nothing was entered.",
                };
                Ok((StatusCode::CONFLICT, Json(json!({ "wrong": wrong, "now": now, "by": by }))).into_response())
            }
            Err(Refusal::Fault(fault)) => Err(fault.into()),
        }
    })
    .await
}

/// Puts back a line that was corrected or withdrawn, as it was, with a reason. Needs no script.
async fn put_back(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, section, id)): Path<(String, String, String)>,
    Form(Why { reason }): Form<Why>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let at = piece::address(&number);
    let to = format!("{at}/lines/{section}/{id}/put-back");
    let of = number.clone();
    let back = move |catalogue: &mut Catalogue, author: &str, reason: &str| {
        correction::put_back(catalogue, &of, &section, &id, author, reason)
    };
    answered(&desk, &visitor, number, (to, &reason), back).await
}

/// Lets a fact say again what it said before it was changed in place, with a reason. Needs no script.
async fn put_back_fact(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, row, version)): Path<(String, i64, String)>,
    Form(Why { reason }): Form<Why>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let to = format!("{}/changes/{row}/{version}/put-back", piece::address(&number));
    let of = number.clone();
    let back = move |catalogue: &mut Catalogue, author: &str, reason: &str| {
        correction::put_back_fact(catalogue, &of, (row, &version), author, reason)
    };
    answered(&desk, &visitor, number, (to, &reason), back).await
}

/// Does what a small form on the page of a piece asks for, with a reason; the page again where it could not be done.
async fn answered<T>(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    number: String,
    (to, reason): (String, &str),
    back: impl FnOnce(&mut Catalogue, &str, &str) -> Result<T, Refusal> + Send + 'static,
) -> Result<Response, Wrong> {
    let done = match form::who_and_why(visitor, reason) {
        Ok((author, reason)) => {
            desk::write(desk, move |catalogue| match back(catalogue, &author, &reason) {
                Ok(_) => Ok(Ok(())),
                Err(refusal) => told(refusal).map(Err),
            })
            .await?
        }
        Err(amiss) => Err((StatusCode::UNPROCESSABLE_ENTITY, amiss)),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&format!("{}#record", piece::address(&number))).into_response()),
        Err((status, amiss)) => {
            let page = piece::show(desk, visitor, number, Retry::of(to, reason, amiss)).await?;
            Ok(form::with_status(page, status))
        }
    }
}

/// What a refusal says to whoever sent a form, and the status of that answer; a fault of the program is none of it.
pub(super) fn told(refusal: Refusal) -> Result<(StatusCode, Amiss), Wrong> {
    match refusal {
        Refusal::Mistakes(mistakes) => {
            let wrong = fault::sentences(mistakes.iter().map(|m| m.what.as_str()));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, Amiss::at("reason", wrong + " Nothing was changed.")))
        }
        Refusal::Meanwhile { .. } => {
            let says =
                "This line was changed meanwhile; this page shows it as it stands now. Nothing was changed by you.";
            Ok((StatusCode::CONFLICT, Amiss::at("reason", says)))
        }
        Refusal::Fault(fault) => form::beside("reason", Err(fault))
            .map(|refused: Result<(), _>| refused.err().unwrap_or_else(|| Amiss::at("reason", "Nothing was changed")))
            .map(|amiss| (StatusCode::UNPROCESSABLE_ENTITY, amiss)),
    }
}
