//! The piece: one long entry like that of a printed catalogue, then its examinations, treatments and reports.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use serde::Serialize;

use super::desk::Desk;
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::report;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}", get(whole))
}

/// The address of a piece.
pub(super) fn address(number: &str) -> String {
    format!("/pieces/{}", report::link_part(number))
}

/// What the page shows.
#[derive(Serialize)]
struct Page<E> {
    number: String,
    address: String,
    entry: E,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(number): Path<String>) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&number)?;
        let entry = report::entry_view(&file, settings);
        let title = format!("{number}, {}", entry.heading());
        let page = Page { address: address(&number), number, entry };
        Ok(Leaf { template: "piece.html", title, page })
    })
    .await
}
