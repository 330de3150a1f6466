//! A long work on its page: how far it has come, and what came of it.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use serde::Serialize;

use super::Beside;
use crate::record::account::Role;
use crate::workbench::desk::Desk;
use crate::workbench::fault::Wrong;
use crate::workbench::frame::{self, Leaf, Room};
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
    when: String,
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

fn begun(work: &Work) -> String {
    format!("begun {} by {}", frame::here(&work.began.to_string()), work.by)
}

/// What is said where a second work was to begin beside this one.
pub(super) fn beside(work: &Work) -> Beside {
    Beside {
        says: format!(
            "One long work is done at a time, and another one is under way: {}, {}. Wait until it has ended, then send this \
             again.",
            work.title,
            begun(work)
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
    when: String,
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
    desk.works.named(id).ok_or_else(|| {
        Wrong::not_found(
            "There is no such work: it was begun before the program was last started, or long ago. What it did stands where \
             it was done.",
        )
    })
}

async fn look(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(id): Path<String>) -> Result<Response, Wrong> {
    let work = found(&desk, &visitor, &id)?;
    let page = page(&work, &visitor);
    let title = page.title.clone();
    frame::page(&desk, &visitor, Room::Safekeeping, move |_, _| Ok(Leaf { template: "work.html", title, page })).await
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
