//! Pieces taken out of the lists and brought back, each with a reason; and those that are out.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use serde::Serialize;

use super::desk::Desk;
use super::fault::Wrong;
use super::form::{self, Retry, Why, again};
use super::frame::{self, Leaf, Room};
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Withdrawal};
use crate::record::account::Role;
use crate::report::capital;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/withdrawn", get(whole))
        .route(
            "/pieces/{number}/withdraw",
            post(|desk, who, number, why| change(desk, who, number, why, ("withdraw", Catalogue::withdraw))),
        )
        .route(
            "/pieces/{number}/reinstate",
            post(|desk, who, number, why| change(desk, who, number, why, ("reinstate", Catalogue::reinstate))),
        )
}

/// One that is out.
#[derive(Serialize)]
struct Out {
    number: String,
    address: String,
    heading: String,
    why: String,
}

#[derive(Serialize)]
struct Page {
    pieces: Vec<Out>,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Collection, |catalogue, _| {
        let out = |(number, heading, withdrawal): (String, String, Withdrawal)| Out {
            address: piece::address(&number),
            why: told(&withdrawal),
            number,
            heading,
        };
        let pieces = catalogue.withdrawn()?.into_iter().map(out).collect();
        Ok(Leaf { template: "withdrawn.html", title: "Withdrawn pieces".into(), page: Page { pieces } })
    })
    .await
}

/// When a piece was withdrawn, by whom and why.
pub(super) fn told(withdrawal: &Withdrawal) -> String {
    capital(&withdrawal.on(&frame::day(&withdrawal.at)))
}

/// Takes a piece out, or brings it back.
async fn change(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Form(Why { reason }): Form<Why>,
    (act, put): (&str, fn(&mut Catalogue, &str, &str, &str) -> crate::catalogue::Result<()>),
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (at, of) = (piece::address(&number), number.clone());
    let work = move |catalogue: &mut Catalogue, author: &str, reason: &str| put(catalogue, author, &of, reason);
    match form::put_with_reason(&desk, &visitor, &reason, work).await? {
        Ok(()) => Ok(Redirect::to(&at).into_response()),
        Err(amiss) => {
            let retry = Retry::of(format!("{at}/{act}"), &reason, amiss);
            piece::show(&desk, &visitor, number, retry).await.map(again)
        }
    }
}
