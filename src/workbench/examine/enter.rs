//! Entering a draft, whole; choosing between two versions; taking back what was entered.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use axum::{Form, Json, Router};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::{NO_MESSAGE, Refused, Sent, answered, drafts, view};
use crate::catalogue::{Catalogue, Entered};
use crate::draft::{Draft, DraftFault, Drafts, Receipt};
use crate::exchange::line::Words;
use crate::exchange::sitting::meanwhile::{self, Choices, Meanwhile};
use crate::exchange::sitting::{self, Refusal};
use crate::record::account::Role;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{self, Wrong};
use crate::workbench::form::{self, Amiss, Retry};
use crate::workbench::frame;
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/examine/{id}/enter", post(enter)).route("/examine/{id}/take-back", post(take_back))
}

#[derive(Deserialize)]
struct Asked {
    version: u64,
    #[serde(default)]
    window: String,
    #[serde(default)]
    reason: String,
    /// What was chosen where the record is another than the draft knows.
    #[serde(default)]
    choices: Choices,
    /// The observations of others that were shown.
    #[serde(default)]
    shown: Vec<String>,
}

async fn enter(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(id): Path<String>,
    sent: Sent<Asked>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let (author, may) = (visitor.author()?.to_owned(), visitor.role);
    let asked = fault::sent(sent, NO_MESSAGE)?;
    let (all, now) = (drafts(&desk), desk.clock.now().to_string());
    let done = desk::write(&desk, move |catalogue| {
        // The reason, and what was chosen, are kept first: a refusal leaves them in the draft.
        let kept = all.change_once(&id, asked.version, &asked.window, |draft: &mut Draft| {
            if draft.entered.is_some() {
                return Err(Wrong::refused("This examination is entered already.").into());
            }
            draft.reason.clone_from(&asked.reason);
            if !asked.choices.is_empty() || !asked.shown.is_empty() {
                let file = catalogue.piece_if_any(&draft.number)?;
                let components = sitting::components(draft, file.as_ref());
                let words = Words { vocabulary: catalogue.vocabulary(), components: &components };
                meanwhile::settle(draft, file.as_ref(), &asked.choices, &asked.shown, &words);
            }
            Ok::<_, Refused>(())
        });
        let draft = match kept {
            Ok((draft, _)) => draft,
            Err(refused) => return Ok(Err(refused)),
        };
        // The window did not hear that it was entered, and asks once more.
        if let Some(receipt) = &draft.entered {
            return Ok(Ok(Json(json!({ "what": receipt.what })).into_response()));
        }
        if !draft.typed.trim().is_empty() {
            let says = "A line is still being written. Put it into the list with Enter, or clear it; then enter all.";
            return refused(catalogue, &draft, says, &[]).map(Ok);
        }
        match sitting::enter(catalogue, &draft, &author, may) {
            Ok((entered, receipt)) => {
                let what = in_words(&entered);
                let receipt = Receipt { at: now, what: what.clone(), ..receipt };
                // The record has it; if the draft cannot say so, entering it again adds nothing.
                let marked = mark(&all, &draft, receipt);
                Ok(marked.map(|()| Json(json!({ "entered": entered, "what": what })).into_response()))
            }
            Err(Refusal::Amiss(amiss)) => {
                let n = amiss.len();
                let says = if n == 1 { "One thing".to_owned() } else { format!("{n} things") };
                let says =
                    format!("{says} cannot be entered as written; each stands beside its line. Nothing was entered.");
                refused(catalogue, &draft, &says, &amiss).map(Ok)
            }
            Err(Refusal::Meanwhile(meanwhile)) => both(catalogue, &draft, &meanwhile).map(Ok),
            Err(Refusal::Fault(fault)) => {
                let wrong = Wrong::from(fault);
                let mut answer = view::parts(catalogue, &draft, catalogue.piece_if_any(&draft.number)?.as_ref())?;
                answer["wrong"] = json!(wrong.says);
                Ok(Ok((wrong.status, Json(answer)).into_response()))
            }
        }
    })
    .await?;
    answered(done)
}

fn mark(all: &Drafts, draft: &Draft, receipt: Receipt) -> Result<(), Refused> {
    let marked = all.change(&draft.id, draft.version, |draft: &mut Draft| {
        draft.entered = Some(receipt);
        Ok::<_, Refused>(())
    });
    marked.map(|_| ())
}

fn refused(catalogue: &Catalogue, draft: &Draft, says: &str, amiss: &[sitting::Amiss]) -> Result<Response, Wrong> {
    let file = catalogue.piece_if_any(&draft.number)?;
    let mut answer = view::parts_with(catalogue, draft, file.as_ref(), amiss)?;
    let general: Vec<&str> = amiss.iter().filter(|a| a.key.is_none()).map(|a| a.what.as_str()).collect();
    answer["wrong"] = json!([&[says], &general[..]].concat().join(" "));
    Ok((StatusCode::UNPROCESSABLE_ENTITY, Json(answer)).into_response())
}

/// Both versions side by side.
fn both(catalogue: &Catalogue, draft: &Draft, meanwhile: &Meanwhile) -> Result<Response, Wrong> {
    #[derive(Serialize)]
    struct Both<'a> {
        meanwhile: &'a Meanwhile,
    }
    let file = catalogue.piece_if_any(&draft.number)?;
    let mut answer = view::parts(catalogue, draft, file.as_ref())?;
    answer["meanwhile"] = json!(frame::part_html("sitting_meanwhile.html", &Both { meanwhile })?);
    answer["wrong"] =
        json!("The record changed since this examination was begun. Both versions are below; nothing was entered yet.");
    Ok((StatusCode::CONFLICT, Json(answer)).into_response())
}

fn in_words(entered: &Entered) -> String {
    if entered.is_nothing() {
        return "nothing new: all of it was recorded already".into();
    }
    let counts = [(entered.added, "added"), (entered.corrected, "corrected"), (entered.unchanged, "unchanged")];
    let counts = counts.into_iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}"));
    entered.new_piece.then(|| "new piece".to_owned()).into_iter().chain(counts).collect::<Vec<_>>().join(", ")
}

#[derive(Deserialize)]
struct Back {
    version: u64,
    #[serde(default)]
    reason: String,
}

/// Takes back what was entered, with a reason, and opens the draft again.
async fn take_back(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(id): Path<String>,
    Form(asked): Form<Back>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let done = match form::who_and_why(&visitor, &asked.reason) {
        Ok((author, reason)) => {
            let (all, may, of) = (drafts(&desk), visitor.role, id.clone());
            let work = move |catalogue: &mut Catalogue| {
                let draft = all.read(&of).map_err(|fault| super::wrong(&fault))?;
                if draft.version != asked.version {
                    let says = "The draft was changed meanwhile; this page shows it as it is now.";
                    return Ok(Err(Amiss::at("reason", says)));
                }
                if draft.entered.is_none() {
                    return Ok(Err(Amiss::at("reason", "This sitting was taken back already.")));
                }
                let back = sitting::take_back(catalogue, &draft, &author, &reason, may);
                let back = match form::beside("reason", back)? {
                    Ok(back) => back,
                    Err(amiss) => return Ok(Err(amiss)),
                };
                let file = catalogue.piece_if_any(&draft.number)?;
                let opened = all.change(&of, draft.version, |draft: &mut Draft| {
                    sitting::reopen(draft, file.as_ref(), &back);
                    Ok::<_, DraftFault>(())
                });
                opened.map(|_| Ok(back)).map_err(|fault| super::wrong(&fault))
            };
            desk::write(&desk, work).await?
        }
        Err(amiss) => Err(amiss),
    };
    match done {
        Ok(back) if back.stays.is_empty() => Ok(Redirect::to(&super::address(&id)).into_response()),
        Ok(back) => super::show(&desk, &visitor, id, (Retry::default(), back.in_words(false))).await,
        Err(amiss) => {
            let retry = Retry::of(super::taking_back(&id), &asked.reason, amiss);
            super::show(&desk, &visitor, id, (retry, Vec::new())).await.map(form::again)
        }
    }
}
