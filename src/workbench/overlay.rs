//! Before and after: one photograph laid over another by marks that both show, under a slider.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::rejection::JsonRejection;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Json, Router};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::desk::{self, Desk};
use super::draw::find;
use super::fault::{self, Wrong, sentence};
use super::form::{self, Retry, Why, again};
use super::frame::{self, Leaf, Room};
use super::piece;
use super::sessions::Visitor;
use crate::analysis::comparability::Comparability;
use crate::catalogue::Catalogue;
use crate::photograph::{Overlay, Store};
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::record::registration::{Registration, marks};
use crate::report::{self, Laid, Pictures, Settings};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/photographs/{sha256}/over/{other}", get(page).post(register))
        .route("/pieces/{number}/photographs/{sha256}/over/{other}/{picture}", get(picture))
        .route("/pieces/{number}/photographs/{sha256}/over/{other}/{id}/take-back", post(take_back))
}

/// So many overlays are kept in memory: each is a few hundred kilobytes, and takes a second to make.
const KEPT: usize = 6;

/// The overlays made last, by the identifier of the registration.
#[derive(Default)]
pub(super) struct Overlays(Mutex<VecDeque<(String, Arc<Overlay>)>>);

impl Overlays {
    fn get(&self, store: &Store, first: &Photograph, second: &Photograph, by: &Registration) -> Option<Arc<Overlay>> {
        let kept = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        // The corrections by colour targets belong to what is shown as much as the marks do.
        let target = |p: &Photograph| p.target.as_ref().map(|t| t.id.clone()).unwrap_or_default();
        let key = format!("{} {} {}", by.id, target(first), target(second));
        if let Some((_, overlay)) = kept().iter().find(|(known, _)| *known == key) {
            return Some(overlay.clone());
        }
        let overlay = Arc::new(store.overlay(first, second, by)?);
        let mut kept = kept();
        kept.push_back((key, overlay.clone()));
        while kept.len() > KEPT {
            kept.pop_front();
        }
        Some(overlay)
    }
}

/// Photographs by their addresses, those laid over each other too.
pub(super) struct WithOverlays<'a> {
    pub pictures: &'a dyn Pictures,
    pub desk: &'a Desk,
}

impl Pictures for WithOverlays<'_> {
    fn view(&self, sha256: &str) -> Option<String> {
        self.pictures.view(sha256)
    }
    fn thumbnail(&self, sha256: &str) -> Option<String> {
        self.pictures.thumbnail(sha256)
    }
    fn laid(&self, first: &Photograph, second: &Photograph, by: &Registration) -> Option<Laid> {
        let found = self.desk.overlays.get(&self.desk.store, first, second, by)?;
        // The registration is named, so that a picture made of older marks is never shown for it.
        let of = if second.number == first.number {
            String::new()
        } else {
            format!("?of={}", report::link_part(&second.number))
        };
        let address = |picture: &str| format!("{}/{picture}-{}{of}", address(first, &second.sha256), by.id);
        Some(Laid {
            over: address("laid"),
            difference: address("difference"),
            shared: found.shared,
            median: found.median,
            p95: found.p95,
            evened: found.evened,
        })
    }
}

fn address(first: &Photograph, second: &str) -> String {
    format!("{}/over/{second}", piece::photograph(&first.number, &first.sha256))
}

/// A photograph in words: what it shows, when, and the name of its file.
pub(super) fn named(photo: &Photograph) -> String {
    let view = photo.view.as_ref().map(|v| v.name().to_owned());
    let stage = photo.stage.as_ref().map(|s| format!("{s} treatment"));
    let day = Some(report::day(photo.capture.day())).filter(|d| !d.is_empty());
    let words: Vec<String> =
        [view, photo.component.clone(), stage, day, Some(photo.original_name.clone())].into_iter().flatten().collect();
    report::capital(&words.join(", "))
}

/// The pairs in which a photograph is laid over another, by address and words.
pub(super) fn links(file: &PieceFile, photo: &Photograph) -> Vec<(String, String)> {
    let mut links = Vec::new();
    for first in &file.photographs {
        for by in &first.registered {
            let Some(second) = file.photographs.iter().find(|p| p.sha256 == by.other) else { continue };
            if first.sha256 == photo.sha256 || second.sha256 == photo.sha256 {
                links.push((address(first, &second.sha256), format!("{} → {}", named(first), named(second))));
            }
        }
    }
    links
}

/// The other photographs of the piece, to lay over this one.
pub(super) fn others(file: &PieceFile, photo: &Photograph) -> Vec<(String, String)> {
    let known = |p: &&Photograph| p.sha256 != photo.sha256 && !photo.registered.iter().any(|by| by.other == p.sha256);
    file.photographs.iter().filter(known).map(|p| (address(photo, &p.sha256), named(p))).collect()
}

/// What the page shows.
#[derive(Serialize)]
struct Page<L> {
    number: String,
    address: String,
    first: Side,
    second: Side,
    /// The two laid over each other; empty before marks are set.
    laid: Vec<L>,
    /// Whether they may be compared, in two sentences.
    verdicts: [String; 2],
    /// The identifier of the registration that stands; blank without one.
    instead: String,
    /// Where that is taken back.
    back: String,
    may: bool,
    again: Retry,
}

#[derive(Serialize)]
struct Side {
    words: String,
    draw: String,
    view: Option<String>,
    width: u32,
    height: u32,
}

impl Side {
    fn of(photo: &Photograph, settings: &Settings<'_>) -> Self {
        Self {
            words: named(photo),
            draw: format!("{}/draw", piece::photograph(&photo.number, &photo.sha256)),
            view: settings.pictures.view(&photo.sha256),
            width: photo.width,
            height: photo.height,
        }
    }
}

async fn page(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(place): Path<(String, String, String)>,
) -> Result<Response, Wrong> {
    show(&desk, &visitor, place, Retry::default()).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    (number, sha256, other): (String, String, String),
    again: Retry,
) -> Result<Response, Wrong> {
    let may = visitor.role >= Role::Examine;
    let held = desk.clone();
    frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&number)?;
        let (_, first) = find(&file, &sha256)?;
        let (_, second) = find(&file, &other)?;
        let by = first.registered.iter().find(|by| by.other == second.sha256);
        let pictures = WithOverlays { pictures: settings.pictures, desk: &held };
        let with = Settings { pictures: &pictures, ..*settings };
        let only = |p: &Photograph, keeps: bool| {
            let mut p = p.clone();
            p.registered.retain(|by| keeps && by.other == second.sha256);
            p
        };
        let (one, two) = (only(first, true), only(second, false));
        let page = Page {
            laid: report::pairs_view(&[&one, &two], &with),
            verdicts: Comparability::of(first, second).verdicts(),
            instead: by.map(|by| by.id.clone()).unwrap_or_default(),
            back: by.map(|by| taking_back(first, &second.sha256, &by.id)).unwrap_or_default(),
            again,
            first: Side::of(first, settings),
            second: Side::of(second, settings),
            address: piece::address(&number),
            number: number.clone(),
            may,
        };
        Ok(Leaf { template: "overlay.html", title: format!("Before and after: {number}"), page })
    })
    .await
}

/// The marks that lay one photograph over the other.
#[derive(Deserialize)]
struct Marks {
    marks: String,
    #[serde(default)]
    instead: String,
}

async fn register(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, sha256, other)): Path<(String, String, String)>,
    asked: Result<Json<Marks>, JsonRejection>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let author = visitor.author()?.to_owned();
    let asked = fault::sent(asked, "These are no marks")?;
    let set = marks(&asked.marks).map_err(|e| Wrong::refused(sentence(&e)))?;
    desk::write(&desk, move |catalogue: &mut Catalogue| {
        let file = catalogue.piece(&number)?;
        let (_, first) = find(&file, &sha256)?;
        let (_, second) = find(&file, &other)?;
        let by = first.registered.iter().find(|by| by.other == second.sha256);
        if by.map(|by| by.id.as_str()).unwrap_or_default() != asked.instead {
            return Err(Wrong::new(
                axum::http::StatusCode::CONFLICT,
                "Marks were set by someone else meanwhile. Load the page again to see them; yours were not entered.",
            ));
        }
        catalogue.register(&author, &first.sha256, &second.sha256, &set)?;
        Ok(Json(json!({ "marks": set.len() })).into_response())
    })
    .await
}

/// Where marks are taken back.
fn taking_back(first: &Photograph, second: &str, id: &str) -> String {
    format!("{}/{}/take-back", address(first, second), report::link_part(id))
}

/// Takes the marks back that were seen, with a reason; those set before hold again. Needs no script.
async fn take_back(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, sha256, other, id)): Path<(String, String, String, String)>,
    Form(Why { reason }): Form<Why>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let place = (number.clone(), sha256.clone(), other.clone());
    let seen = id.clone();
    let who = form::who_and_why(&visitor, &reason);
    let (first, done) = desk::write(&desk, move |catalogue: &mut Catalogue| {
        let file = catalogue.piece(&number)?;
        let (_, first) = find(&file, &sha256)?;
        let (_, second) = find(&file, &other)?;
        let done = match who {
            Ok((author, reason)) => {
                let pair = (first.sha256.as_str(), second.sha256.as_str());
                form::beside("reason", catalogue.take_back_registration(&author, &reason, pair, Some(&seen)))?
            }
            Err(amiss) => Err(amiss),
        };
        Ok((first.clone(), done))
    })
    .await?;
    match done {
        Ok(_) => Ok(Redirect::to(&address(&first, &place.2)).into_response()),
        Err(amiss) => {
            let retry = Retry::of(taking_back(&first, &place.2, &id), &reason, amiss);
            show(&desk, &visitor, place, retry).await.map(again)
        }
    }
}

/// The piece of the photograph that is laid over; blank where both are of one piece.
#[derive(Deserialize)]
struct Of {
    #[serde(default)]
    of: String,
}

async fn picture(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path((number, sha256, other, picture)): Path<(String, String, String, String)>,
    Query(Of { of }): Query<Of>,
) -> Result<Response, Wrong> {
    let missing = || Wrong::not_found("These two photographs are not laid over each other.");
    let held = desk.clone();
    let jpeg = desk::read(&desk, move |catalogue| {
        let file = catalogue.piece(&number)?;
        let (_, first) = find(&file, &sha256)?;
        let beside = if of.is_empty() { None } else { Some(catalogue.piece(&of)?) };
        let (_, second) = find(beside.as_ref().unwrap_or(&file), &other)?;
        let (kind, id) = picture.split_once('-').ok_or_else(missing)?;
        let by = first.registered.iter().find(|by| by.other == second.sha256 && by.id == id).ok_or_else(missing)?;
        let found = held.overlays.get(&held.store, first, second, by).ok_or_else(missing)?;
        match kind {
            "laid" => Ok(found.laid.clone()),
            "difference" => Ok(found.difference.clone()),
            _ => Err(missing()),
        }
    })
    .await?;
    Ok(([(header::CONTENT_TYPE, "image/jpeg"), (header::CACHE_CONTROL, "private, max-age=3600")], jpeg).into_response())
}
