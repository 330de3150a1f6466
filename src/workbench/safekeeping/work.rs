//! A long work on its page: how far it has come, and what came of it.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use jiff::Timestamp;
use serde::Serialize;

use super::Beside;
use crate::record::account::Role;
use crate::workbench::desk::Desk;
use crate::workbench::fault::Wrong;
use crate::workbench::frame::{self, Leaf, Room, When};
use crate::workbench::journal::{self, Act};
use crate::workbench::sessions::Visitor;
use crate::workbench::works::{How, Outcome, Progress, Work};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/safekeeping/work/{id}", get(look))
        .route("/safekeeping/work/{id}/part", get(part))
        .route("/safekeeping/work/{id}/stop", post(stop))
}

/// The page of a work.
pub(super) fn address(id: &str) -> String {
    format!("/safekeeping/work/{id}")
}

/// A work in the list of those that were done.
#[derive(Serialize)]
pub(super) struct Row {
    address: String,
    title: String,
    when: When,
    /// `under way`, `all well` …
    state: &'static str,
    running: bool,
}

/// A work for that list.
pub(super) fn row(work: &Work) -> Row {
    let outcome = work.outcome();
    Row {
        address: address(&work.id),
        title: work.title.clone(),
        when: begun(work),
        running: outcome.is_none(),
        state: outcome.map_or("under way", |outcome| state(outcome.how)),
    }
}

fn state(how: How) -> &'static str {
    match how {
        How::Well => "done",
        How::Found => "done; something was found",
        How::Failed => "could not be done",
        How::Stopped => "stopped",
    }
}

fn begun(work: &Work) -> When {
    When::within("begun ", &work.began.to_string(), format!(" by {}", work.by))
}

/// What is said where a second work was to begin beside this one.
pub(super) fn beside(work: &Work) -> Beside {
    Beside {
        says: format!(
            "One long work is done at a time, and another one is under way: {}, begun by {}. Wait until it has ended, then \
             send this again.",
            work.title, work.by
        ),
        address: address(&work.id),
    }
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    address: String,
    /// Where one of this kind is begun.
    from: String,
    title: String,
    when: When,
    token: String,
    stopping: bool,
    progress: Option<Progress>,
    outcome: Option<Outcome>,
    /// `3 findings`, where there are any.
    findings: String,
}

fn page(work: &Work, visitor: &Visitor) -> Page {
    let outcome = work.outcome();
    let findings = outcome.as_ref().map_or(0, |outcome| outcome.findings.len());
    Page {
        address: address(&work.id),
        from: work.from.clone(),
        title: work.title.clone(),
        when: begun(work),
        token: visitor.token.as_str().to_owned(),
        stopping: work.is_stopping(),
        progress: work.progress(),
        findings: crate::words::count(findings, "finding"),
        outcome,
    }
}

fn found(desk: &Desk, visitor: &Visitor, id: &str) -> Result<Arc<Work>, Wrong> {
    visitor.may(Role::Keep)?;
    desk.works.named(id).ok_or_else(gone)
}

fn gone() -> Wrong {
    Wrong::not_found(
        "There is no such work: it was begun before the program was last started, or long ago. What it did stands where \
         it was done.",
    )
}

async fn look(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(id): Path<String>) -> Result<Response, Wrong> {
    let work = match found(&desk, &visitor, &id) {
        Err(wrong) if wrong.status == StatusCode::NOT_FOUND => return of_another_run(&desk, &visitor, &id).await,
        found => found?,
    };
    let page = page(&work, &visitor);
    let title = page.title.clone();
    frame::page(&desk, &visitor, Room::Safekeeping, move |_, _| Ok(Leaf { template: "work.html", title, page })).await
}

/// What the journal knows of a work that only an earlier run of the program could tell of. Its name says when it was begun.
async fn of_another_run(desk: &Arc<Desk>, visitor: &Visitor, id: &str) -> Result<Response, Wrong> {
    #[derive(Serialize)]
    struct Gone {
        when: When,
        acts: Vec<Act>,
        more: bool,
    }
    let began = uuid::Uuid::try_parse(id).ok().and_then(|id| id.get_timestamp()).ok_or_else(gone)?.to_unix();
    let seconds = i64::try_from(began.0).map_err(|_| gone())?;
    let began = Timestamp::new(seconds, 0).map_err(|_| gone())?;
    let page = frame::page(desk, visitor, Room::Safekeeping, move |catalogue, _| {
        let (acts, more) = journal::since(catalogue, began)?;
        let page = Gone { when: When::within("Begun ", &began.to_string(), ""), acts, more };
        Ok(Leaf { template: "work_gone.html", title: "A work of an earlier run".into(), page })
    });
    let mut page = page.await?;
    *page.status_mut() = StatusCode::NOT_FOUND;
    Ok(page)
}

async fn part(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(id): Path<String>) -> Result<Response, Wrong> {
    let work = found(&desk, &visitor, &id)?;
    let page = page(&work, &visitor);
    frame::part(&desk, "work_part.html", move |_| Ok(page)).await
}

async fn stop(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(id): Path<String>) -> Result<Response, Wrong> {
    let work = found(&desk, &visitor, &id)?;
    work.stop();
    Ok(Redirect::to(&address(&id)).into_response())
}
