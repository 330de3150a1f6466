//! What is written: every keystroke kept, every line added, changed, removed, undone and done again.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use axum::routing::post;
use axum::{Json, Router};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::{NO_MESSAGE, Refused, Sent, answered, drafts, view};
use crate::catalogue::Catalogue;
use crate::draft::Draft;
use crate::exchange::line::{self, Words};
use crate::exchange::sitting;
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{self, Wrong};
use crate::workbench::frame;
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/examine/{id}/typed", post(typed))
        .route("/examine/{id}/stroke", post(stroke))
        .route("/examine/{id}/fields", post(fields))
}

/// What stands in the writing line, or in the reason.
#[derive(Deserialize)]
struct Typed {
    version: u64,
    #[serde(default)]
    window: String,
    #[serde(default)]
    text: String,
    /// In characters.
    #[serde(default)]
    caret: usize,
    #[serde(default)]
    key: Option<u64>,
    #[serde(default)]
    reason: Option<String>,
}

async fn typed(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(id): Path<String>,
    sent: Sent<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let sent = fault::sent(sent, NO_MESSAGE)?;
    let all = drafts(&desk);
    let done = desk::read(&desk, move |catalogue| {
        let kept = all.change_once(&id, sent.version, &sent.window, |draft: &mut Draft| {
            writable(draft)?;
            draft.typed.clone_from(&sent.text);
            draft.typed_for = sent.key;
            if let Some(reason) = &sent.reason {
                draft.reason.clone_from(reason);
            }
            Ok::<_, Refused>(())
        });
        Ok(kept.and_then(|(draft, _)| Ok(Json(echo(catalogue, &draft, &sent.text, sent.caret)?).into_response())))
    })
    .await?;
    answered(done)
}

fn writable(draft: &Draft) -> Result<(), Refused> {
    match &draft.entered {
        None => Ok(()),
        Some(_) => {
            Err(Wrong::refused("This examination is entered already, and nothing can be added to its draft.").into())
        }
    }
}

/// What a line is understood as, and how it may go on.
fn echo(catalogue: &Catalogue, draft: &Draft, text: &str, caret: usize) -> Result<Value, Wrong> {
    let file = catalogue.piece_if_any(&draft.number)?;
    let components = sitting::components(draft, file.as_ref());
    let words = Words { vocabulary: catalogue.vocabulary(), components: &components };
    // What cannot be right is said while the line is written; what is missing is asked for instead.
    let amiss = sitting::amiss_in(catalogue, text, draft, file.as_ref());
    let conventions = catalogue.conventions()?;
    let understood = view::understood(text, &words, &conventions, amiss);
    let ways = line::complete(text, caret, &words);
    Ok(json!({
        "version": draft.version,
        "echo": frame::part_html("sitting_echo.html", &understood)?,
        "ways": ways,
    }))
}

/// A change of the list.
#[derive(Deserialize)]
struct Stroke {
    version: u64,
    #[serde(default)]
    window: String,
    act: Act,
    #[serde(default)]
    key: Option<u64>,
    #[serde(default)]
    text: String,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum Act {
    /// A line written: a new one, or in place of that of the key.
    Write,
    Remove,
    /// The recorded observation of this identifier, to be corrected.
    Take,
    Undo,
    Redo,
}

async fn stroke(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(id): Path<String>,
    sent: Sent<Stroke>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let sent = fault::sent(sent, NO_MESSAGE)?;
    let all = drafts(&desk);
    let done = desk::read(&desk, move |catalogue| {
        let changed = all.change_once(&id, sent.version, &sent.window, |draft: &mut Draft| {
            writable(draft)?;
            let file = catalogue.piece_if_any(&draft.number)?;
            act(catalogue, draft, file.as_ref(), &sent)
        });
        Ok(changed.and_then(|(draft, key)| {
            let file = catalogue.piece_if_any(&draft.number)?;
            let mut parts = view::parts(catalogue, &draft, file.as_ref())?;
            parts["key"] = json!(key.flatten());
            Ok(Json(parts).into_response())
        }))
    })
    .await?;
    answered(done)
}

/// Does it; gives the key of the line that it was about.
fn act(
    catalogue: &Catalogue,
    draft: &mut Draft,
    file: Option<&PieceFile>,
    sent: &Stroke,
) -> Result<Option<u64>, Refused> {
    let components = sitting::components(draft, file);
    let words = Words { vocabulary: catalogue.vocabulary(), components: &components };
    Ok(match sent.act {
        Act::Write => {
            draft.typed.clear();
            draft.typed_for = None;
            sitting::write(draft, sent.key, &sent.text, &words)
        }
        Act::Remove => {
            if let Some(key) = sent.key {
                draft.remove(key);
            }
            None
        }
        Act::Take => {
            let gone = || Wrong::not_found("This line does not stand here any more, or is in the list already.");
            let line = sitting::correction(draft, file, &sent.text, &words).ok_or_else(gone)?;
            Some(draft.add(line))
        }
        Act::Undo => draft.undo().and_then(|s| Some(s.before.or(s.after)?.1.key)),
        Act::Redo => draft.redo().and_then(|s| Some(s.after.or(s.before)?.1.key)),
    })
}

/// A line, and what was filled in beside it.
#[derive(Deserialize)]
struct Filled {
    #[serde(default)]
    text: String,
    #[serde(default)]
    fields: Vec<Fill>,
}

#[derive(Deserialize)]
struct Fill {
    name: String,
    #[serde(default)]
    inner: Option<String>,
    #[serde(default)]
    row: usize,
    #[serde(default)]
    texts: Vec<String>,
}

/// The panel of all fields.
#[derive(Serialize)]
struct Panel {
    fields: Vec<view::Field>,
}

/// The panel of all fields of a line; with fields filled in, the line that says so. Nothing is kept by this: the page
/// sends the line as it sends everything typed.
async fn fields(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(id): Path<String>,
    sent: Sent<Filled>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let sent = fault::sent(sent, NO_MESSAGE)?;
    let all = drafts(&desk);
    desk::read(&desk, move |catalogue| {
        let draft = all.read(&id).map_err(|fault| super::wrong(&fault))?;
        let file = catalogue.piece_if_any(&draft.number)?;
        let components = sitting::components(&draft, file.as_ref());
        let words = Words { vocabulary: catalogue.vocabulary(), components: &components };
        let put = |text: String, f: &Fill| {
            let row = f.inner.as_ref().map(|_| f.row);
            line::with(&text, &f.name, &f.texts, row, f.inner.as_deref(), &words)
        };
        let text = sent.fields.iter().fold(sent.text, put);
        let panel = Panel { fields: view::fields(&text, &words) };
        let html = frame::part_html("sitting_fields.html", &panel)?;
        Ok(Json(json!({ "text": text, "fields": html })).into_response())
    })
    .await
}
