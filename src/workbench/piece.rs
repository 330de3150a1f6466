//! The piece: one long entry like that of a printed catalogue, its photographs, and its record line by line.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::record::{self, Record};
use super::sessions::Visitor;
use super::withdrawn;
use crate::catalogue::{Catalogue, Fault, JournalRow};
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::report::{self, Settings};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}", get(whole)).route("/pieces/{number}/journal", get(journal))
}

/// The address of a piece.
pub(super) fn address(number: &str) -> String {
    format!("/pieces/{}", report::link_part(number))
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
    /// When, by whom and why it was taken out of the lists; blank where it stands there.
    withdrawn: String,
    back: Back,
}

/// What the forms need that put back what stood before; the token is blank for who may only read.
#[derive(Serialize)]
struct Back {
    to: String,
    token: String,
}

/// A photograph in the strip.
#[derive(Serialize)]
pub(super) struct Small {
    address: String,
    picture: Option<String>,
    words: String,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(number): Path<String>) -> Result<Response, Wrong> {
    let role = visitor.role;
    let token = if role >= Role::Examine { visitor.token.as_str().to_owned() } else { String::new() };
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&number)?;
        let entry = report::entry_view(&file, settings);
        let title = format!("{number}, {}", entry.heading());
        let page = Page {
            address: address(&number),
            photographs: file.photographs.iter().map(|p| small(p, settings)).collect(),
            record: record::record(catalogue, &file, settings.units)?,
            may_facts: role >= Role::Keep,
            may_observe: role >= Role::Examine,
            withdrawn: catalogue.withdrawal(&number)?.as_ref().map(withdrawn::told).unwrap_or_default(),
            back: Back { to: address(&number), token },
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
        address: format!("{}/photographs/{}", address(&photo.number), photo.sha256),
        picture: settings.pictures.thumbnail(&photo.sha256),
        words: if words.is_empty() { "view not recorded".to_owned() } else { report::capital(&words.join(", ")) },
    }
}

/// So many acts stand on one leaf of the journal.
const ACTS: usize = 30;

/// Which leaf of the journal is meant.
#[derive(Deserialize)]
struct Which {
    /// The row before which it begins; the newest leaf where it is blank.
    before: Option<i64>,
}

/// What the page of the journal shows.
#[derive(Serialize)]
struct Journal {
    number: String,
    address: String,
    acts: Vec<Act>,
    /// Where the next older leaf begins.
    older: Option<i64>,
    is_newest: bool,
}

/// What one person did at one moment for one reason.
#[derive(Serialize, PartialEq)]
struct Act {
    /// In UTC, for the machine; the page shows it in local time.
    at: String,
    local: String,
    by: String,
    why: String,
    /// `3 added to measurement`.
    did: Vec<String>,
}

async fn journal(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Query(Which { before }): Query<Which>,
) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, _| {
        let leaf = catalogue.journal_leaf(&number, before, ACTS)?;
        let page = Journal {
            address: address(&number),
            acts: acts(&leaf.rows),
            older: leaf.older,
            is_newest: before.is_none(),
            number: number.clone(),
        };
        Ok(Leaf { template: "journal.html", title: format!("Journal of {number}"), page })
    })
    .await
}

/// The acts that rows tell of. The rows come newest first, and so do the acts.
fn acts(rows: &[JournalRow]) -> Vec<Act> {
    let act = |chunk: &[JournalRow]| {
        let mut counts: Vec<((&str, &str), usize)> = Vec::new();
        for row in chunk.iter().rev() {
            let key = (row.act.as_str(), row.in_table.as_str());
            match counts.iter_mut().find(|(k, _)| *k == key) {
                Some((_, n)) => *n += 1,
                None => counts.push((key, 1)),
            }
        }
        let verb = |act: &str| match act {
            "insert" => "added to",
            "update" => "changed in",
            _ => "removed from",
        };
        let said = |((act, table), n): ((&str, &str), usize)| format!("{n} {} {}", verb(act), table.replace('_', " "));
        let first = &chunk[0];
        Act {
            // To the second: HTML takes no finer fraction than three digits.
            at: first.at.get(..19).map_or_else(|| first.at.clone(), |second| format!("{second}Z")),
            local: frame::here(&first.at),
            by: first.author.clone(),
            why: first.reason.clone(),
            did: counts.into_iter().map(said).collect(),
        }
    };
    rows.chunk_by(JournalRow::same_act).map(act).collect()
}
