//! The catalogue as a whole: where it is checked, copied, handed on and taken in. What takes long is a [`Work`].

mod check;
mod copies;
mod fields;
mod hand_on;
mod lying;
mod made_again;
mod work;

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use serde::Serialize;

use super::desk::Desk;
use super::fault::Wrong;
use super::form::with_status;
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use super::works::{Begun, NotBegun, Outcome, Work, begin};
use crate::catalogue::Catalogue;
use crate::export::Lying;
use crate::record::account::Role;

/// The routes of this folder.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/safekeeping", get(whole))
        .merge(check::routes())
        .merge(copies::routes())
        .merge(hand_on::routes())
        .merge(lying::routes())
        .merge(made_again::routes())
        .merge(work::routes())
}

/// What the first page shows.
#[derive(Serialize)]
struct Page {
    may: bool,
    /// Whether folders of this machine may be named here.
    names_folders: bool,
    /// Exports that lie ready.
    lying: usize,
    /// What was done since the program was started, the newest first.
    works: Vec<work::Row>,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    let may = visitor.role >= Role::Keep;
    let works = if may { desk.works.list().iter().map(|work| work::row(work)).collect() } else { Vec::new() };
    let names_folders = !desk.has_accounts();
    frame::page(&desk, &visitor, Room::Safekeeping, move |catalogue, _| {
        let lying = if may { Lying::all(catalogue.folder()).len() } else { 0 };
        let page = Page { may, names_folders, lying, works };
        Ok(Leaf { template: "safekeeping.html", title: "Safekeeping".into(), page })
    })
    .await
}

/// A page that shows a form, and what is amiss in it.
async fn form<P: Serialize + Send + 'static>(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    template: &'static str,
    title: &str,
    page: P,
    status: StatusCode,
) -> Result<Response, Wrong> {
    let title = title.to_owned();
    let shown = frame::page(desk, visitor, Room::Safekeeping, move |_, _| Ok(Leaf { template, title, page })).await;
    Ok(with_status(shown?, status))
}

/// What keeps a work from being begun, with where to look if that is another one.
#[derive(Debug, Clone, Default, Serialize)]
pub(super) struct Beside {
    /// What is in the way, and what to do.
    pub says: String,
    /// The page of the other work; blank where it is none.
    pub address: String,
}

/// Begins a long work under the name of whoever asks, and goes to its page; or says what is in its way.
pub(super) fn begun(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    title: &str,
    from: &str,
    work: impl FnOnce(&mut Catalogue, &Work) -> Outcome + Send + 'static,
) -> Result<Response, (StatusCode, Beside)> {
    let refused = |wrong: Wrong| (wrong.status, Beside { says: wrong.says, address: String::new() });
    let by = visitor.author().map_err(refused)?.to_owned();
    match begin(desk, Begun { title: title.to_owned(), by, from: from.to_owned() }, work) {
        Ok(work) => Ok(Redirect::to(&work::address(&work.id)).into_response()),
        Err(NotBegun::Beside(other)) => Err((StatusCode::CONFLICT, work::beside(&other))),
        Err(NotBegun::Wrong(wrong)) => Err(refused(wrong)),
    }
}
