//! The catalogue as a whole: where it is checked, copied, handed on and taken in.

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
    Router::new().route("/safekeeping", get(whole))
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Safekeeping, |_, _| {
        Ok(Leaf { template: "safekeeping.html", title: "Safekeeping".into(), page: () })
    })
    .await
}
