//! Sums at the table: lengths, yarns, dates, light, without any piece.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;

use super::desk::Desk;
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/reckon", get(whole))
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Reckon, |_, _| {
        Ok(Leaf { template: "reckon.html", title: "Reckon".into(), page: () })
    })
    .await
}
