//! The piece: one long entry like that of a printed catalogue, its photographs, and its record line by line.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use serde::Serialize;

use super::compare;
use super::desk::Desk;
use super::fault::Wrong;
use super::form::Retry;
use super::frame::{self, Leaf, Room};
use super::record::{self, Record};
use super::sessions::Visitor;
use super::withdrawn;
use crate::catalogue::{Catalogue, Fault};
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::record::source::SourceRow;
use crate::report::{self, Settings};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}", get(whole))
}

/// The address of a piece.
pub(super) fn address(number: &str) -> String {
    format!("/pieces/{}", report::link_part(number))
}

/// The page of a photograph of a piece.
pub(super) fn photograph(number: &str, sha256: &str) -> String {
    format!("{}/photographs/{}", address(number), report::link_part(sha256))
}

/// Where the examination of a day stands on the page of its piece.
pub(super) fn examination(catalogue: &Catalogue, number: &str, day: jiff::civil::Date) -> Result<String, Fault> {
    let file = catalogue.piece(number)?;
    let exam = file.examinations.iter().rev().find(|exam| exam.about.date == Some(day));
    let id = exam.and_then(|exam| exam.about.id.as_ref()).map(|id| format!("#exam-{id}")).unwrap_or_default();
    Ok(format!("{}{id}", address(number)))
}

/// What the page shows.
#[derive(Serialize)]
struct Page<E> {
    number: String,
    address: String,
    entry: E,
    photographs: Vec<Small>,
    record: Record,
    may_facts: bool,
    may_observe: bool,
    /// The comparisons in which it takes part.
    comparisons: Vec<compare::Row>,
    /// The accession numbers of what it was made after.
    made_after: Vec<String>,
    old_lists: Vec<OldList>,
    /// When, by whom and why it was taken out of the lists; blank where it stands there.
    withdrawn: String,
    back: Back,
}

/// What an old list said of the piece.
#[derive(Serialize)]
struct OldList {
    heading: String,
    /// Heading and text of each cell that says something.
    cells: Vec<(String, String)>,
}

impl OldList {
    fn of(source: &SourceRow) -> Self {
        let sheet = source.sheet.as_ref().map(|sheet| format!(", sheet {sheet}")).unwrap_or_default();
        let says = source.cells.iter().filter(|cell| !cell.text.trim().is_empty());
        Self {
            heading: format!("{}{sheet}, row {}", source.file, source.row),
            cells: says.map(|cell| (cell.heading.clone(), cell.text.clone())).collect(),
        }
    }
}

/// What the forms need that put back what stood before; the token is blank for who may only read.
#[derive(Serialize)]
struct Back {
    to: String,
    token: String,
    again: Retry,
}

/// A photograph in the strip.
#[derive(Serialize)]
pub(super) struct Small {
    address: String,
    picture: Option<String>,
    words: String,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(number): Path<String>) -> Result<Response, Wrong> {
    show(&desk, &visitor, number, Retry::default()).await
}

/// The page of a piece; again where one of its small forms could not be done.
pub(super) async fn show(desk: &Arc<Desk>, visitor: &Visitor, number: String, again: Retry) -> Result<Response, Wrong> {
    let role = visitor.role;
    let token = if role >= Role::Examine { visitor.token.as_str().to_owned() } else { String::new() };
    frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&number)?;
        let entry = report::entry_view(&file, settings);
        let title = format!("{number}, {}", entry.heading());
        let page = Page {
            address: address(&number),
            photographs: file.photographs.iter().map(|p| small(p, settings)).collect(),
            record: record::record(catalogue, &file, settings.units)?,
            comparisons: compare::with(catalogue, &number)?,
            made_after: file.made_after.iter().filter_map(|m| m.model.clone()).collect(),
            old_lists: file.sources.iter().map(OldList::of).collect(),
            may_facts: role >= Role::Keep,
            may_observe: role >= Role::Examine,
            withdrawn: catalogue.withdrawal(&number)?.as_ref().map(withdrawn::told).unwrap_or_default(),
            back: Back { to: address(&number), token, again },
            number,
            entry,
        };
        Ok(Leaf { template: "piece.html", title, page })
    })
    .await
}

pub(super) fn small(photo: &Photograph, settings: &Settings<'_>) -> Small {
    let view = photo.view.as_ref().map(|v| v.name().to_owned());
    let day = Some(report::day(photo.capture.day())).filter(|day| !day.is_empty());
    let words: Vec<String> = [view, photo.component.clone(), day].into_iter().flatten().collect();
    Small {
        address: photograph(&photo.number, &photo.sha256),
        picture: settings.pictures.thumbnail(&photo.sha256),
        words: if words.is_empty() { "view not recorded".to_owned() } else { report::capital(&words.join(", ")) },
    }
}
