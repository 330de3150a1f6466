//! Searches kept under a name: asked again by a click, kept, removed.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence};
use super::form::{self, Retry, Why, again};
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Fault, KeptSearch};
use crate::record::account::Role;
use crate::report::link_part;
use crate::words::count;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/searches", get(whole).post(keep)).route("/searches/{name}/remove", post(remove))
}

/// The page on which a search is kept.
pub(super) fn address(query: &str) -> String {
    format!("/searches?query={}", link_part(query))
}

/// What is to be kept.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    name: String,
    query: String,
    note: String,
}

/// One that is kept.
#[derive(Serialize)]
struct Kept {
    name: String,
    query: String,
    note: String,
    /// The collection, narrowed to it.
    address: String,
    /// Where it is removed.
    place: String,
    /// `12 pieces`; or why it cannot be asked now.
    holds: String,
}

/// What is wrong, beside the field where it is.
#[derive(Default, Serialize)]
struct Amiss {
    query: String,
    name: String,
    /// With the whole of it.
    form: String,
}

#[derive(Serialize)]
struct Page {
    list: Vec<Kept>,
    asked: Asked,
    amiss: Amiss,
    may: bool,
    again: Retry,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    show(&desk, &visitor, asked, Amiss::default(), Retry::default()).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    asked: Asked,
    amiss: Amiss,
    again: Retry,
) -> Result<Response, Wrong> {
    let may = visitor.role >= Role::Examine;
    frame::page(desk, visitor, Room::Collection, move |catalogue, _| {
        let list = catalogue.kept_searches()?.into_iter().map(|search| kept(catalogue, search)).collect();
        let page = Page { list, asked, amiss, may, again };
        Ok(Leaf { template: "kept.html", title: "Kept searches".into(), page })
    })
    .await
}

fn kept(catalogue: &Catalogue, KeptSearch { name, query, note }: KeptSearch) -> Kept {
    // One that names a term which is gone is listed all the same.
    let holds = catalogue.count(&query);
    Kept {
        address: format!("/?words={}", link_part(&format!("kept:\"{name}\""))),
        place: removing(&name),
        holds: holds.map_or_else(|fault| sentence(&fault.to_string()), |n| count(n, "piece")),
        note: note.unwrap_or_default(),
        name,
        query,
    }
}

/// Where a search is removed.
fn removing(name: &str) -> String {
    format!("/searches/{}/remove", link_part(name))
}

async fn keep(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(asked): Form<Asked>) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let amiss = match visitor.author() {
        Ok(author) => kept_by(&desk, author.to_owned(), &asked).await?,
        Err(nameless) => Some(Amiss { form: nameless.says, ..Amiss::default() }),
    };
    let Some(amiss) = amiss else { return Ok(Redirect::to("/searches").into_response()) };
    show(&desk, &visitor, asked, amiss, Retry::default()).await.map(again)
}

/// Keeps a search; why it cannot be kept, if so.
async fn kept_by(desk: &Arc<Desk>, author: String, asked: &Asked) -> Result<Option<Amiss>, Wrong> {
    let note = Some(asked.note.trim().to_owned()).filter(|note| !note.is_empty());
    let search = KeptSearch { name: asked.name.clone(), query: asked.query.clone(), note };
    desk::write(desk, move |catalogue| match catalogue.keep_search(&author, "search kept", &search) {
        Ok(_) => Ok(None),
        Err(Fault::Asked(mistake)) => Ok(Some(Amiss { query: sentence(&mistake.sentence()), ..Amiss::default() })),
        // A search that can be read is refused for its name alone.
        Err(Fault::Refused(why)) => Ok(Some(Amiss { name: sentence(&why), ..Amiss::default() })),
        Err(other) => Err(other.into()),
    })
    .await
}

async fn remove(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(name): Path<String>,
    Form(Why { reason }): Form<Why>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let to = removing(&name);
    let work =
        move |catalogue: &mut Catalogue, author: &str, reason: &str| catalogue.remove_search(author, reason, &name);
    match form::put_with_reason(&desk, &visitor, &reason, work).await? {
        Ok(()) => Ok(Redirect::to("/searches").into_response()),
        Err(amiss) => {
            let retry = Retry::of(to, &reason, amiss);
            show(&desk, &visitor, Asked::default(), Amiss::default(), retry).await.map(again)
        }
    }
}
