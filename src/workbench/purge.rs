//! A piece erased for ever: what would go, and the number typed once more.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Form as Body, Router};
use serde::Serialize;

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence};
use super::form::{self, Amiss, Field, Form, Typed, again};
use super::frame::{self, Leaf, Room};
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::Catalogue;
use crate::record::account::Role;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}/purge", get(ask).post(purge))
}

#[derive(Serialize)]
struct Page {
    number: String,
    address: String,
    /// What would go, a line each.
    goes: Vec<String>,
    form: Option<Form>,
    /// Files that could not be removed.
    left: Vec<String>,
    /// Why scraps may be left in the database.
    scraps: String,
}

async fn ask(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(number): Path<String>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    show(&desk, &visitor, number, Typed::default(), None).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    number: String,
    typed: Typed,
    amiss: Option<Amiss>,
) -> Result<Response, Wrong> {
    let of = number.clone();
    let would =
        desk::write(desk, move |catalogue| Ok(catalogue.purge("nobody yet", &of, "to see what would go", true)?));
    let would = would.await?;
    let to = format!("{}/purge", piece::address(&number));
    let fields = vec![
        Field::text("reason", "Why").hint("the journal keeps it, and your name").required(),
        Field::text("number", "The number of the piece, once more").required(),
    ];
    let page = Page {
        goes: would.in_words(true).into_iter().skip(1).collect(),
        form: Some(Form::new(to, "Erase it for ever", fields, &typed).amiss(amiss.as_ref())),
        left: Vec::new(),
        scraps: String::new(),
        address: piece::address(&number),
        number,
    };
    let leaf = Leaf { template: "purge.html", title: format!("Erase {}", page.number), page };
    frame::page(desk, visitor, Room::Collection, move |_, _| Ok(leaf)).await
}

async fn purge(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let meant = form::who(&visitor).and_then(|author| {
        let reason = typed.some("reason").ok_or_else(|| Amiss::at("reason", "say why in a few words"))?;
        if typed.get("number") == number {
            return Ok((author, reason));
        }
        let other = format!("`{}` is not `{number}`; nothing was erased", typed.get("number"));
        Err(Amiss::at("number", other))
    });
    let of = number.clone();
    let work =
        meant.map(|(author, reason)| move |catalogue: &mut Catalogue| catalogue.purge(&author, &of, &reason, false));
    match form::put(&desk, "", work).await? {
        Err(amiss) => show(&desk, &visitor, number, typed, Some(amiss)).await.map(again),
        Ok(done) if done.is_whole() => Ok(Redirect::to("/journal").into_response()),
        Ok(done) => {
            let goes = done.in_words(false).into_iter().skip(1).collect();
            let scraps = done.scraps.map(|scraps| sentence(&scraps)).unwrap_or_default();
            let page = Page { goes, form: None, left: done.left, scraps, address: String::new(), number };
            let leaf = Leaf { template: "purge.html", title: format!("{} is erased", page.number), page };
            frame::page(&desk, &visitor, Room::Collection, move |_, _| Ok(leaf)).await
        }
    }
}
