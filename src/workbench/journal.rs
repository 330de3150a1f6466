//! The journal, of a piece and of the whole catalogue; and a piece as it stood on a day gone by.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form as Body, Router};
use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::{Wrong, sentence};
use super::form::{self, Retry, Why};
use super::frame::{self, Leaf, Room, When};
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Extent, Intent, JournalLeaf, JournalRow};
use crate::record::account::Role;
use crate::report::{self, Settings};

/// So many acts stand on one leaf.
const ACTS: usize = 30;
/// So many changes of one act are told field by field.
const TOLD: usize = 200;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/journal", get(of_all))
        .route("/pieces/{number}/journal", get(of_piece))
        .route("/pieces/{number}/as-of", get(as_of))
        .route("/pieces/{number}/journal/{row}/take-back", post(take_back))
}

/// Which leaf is meant.
#[derive(Deserialize)]
struct Which {
    /// The row before which it begins; the newest leaf where it is blank.
    before: Option<i64>,
}

/// What the page shows.
#[derive(Serialize)]
struct Journal {
    /// The piece; blank for the whole catalogue.
    number: String,
    /// The piece's address.
    piece: String,
    /// The journal's own.
    address: String,
    acts: Vec<Act>,
    again: Retry,
    /// What was just taken back, and what of it stays.
    told: Vec<String>,
    /// Where the next older leaf begins.
    older: Option<i64>,
    is_newest: bool,
}

/// What one person did at one moment for one reason.
#[derive(Serialize, PartialEq)]
pub(super) struct Act {
    at: When,
    by: String,
    why: String,
    /// `3 added to measurement`.
    did: Vec<String>,
    /// Each change, and its fields before and after.
    changes: Vec<(String, Vec<String>)>,
    /// Changes beyond those that are told.
    beyond: usize,
    /// Where it is taken back; blank where it is not, or not here.
    back: String,
}

async fn of_piece(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Query(Which { before }): Query<Which>,
) -> Result<Response, Wrong> {
    show(&desk, &visitor, number, before, (Retry::default(), Vec::new())).await
}

/// The journal of a piece, with the entry that could not be taken back, or what was.
async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    number: String,
    before: Option<i64>,
    (again, told): (Retry, Vec<String>),
) -> Result<Response, Wrong> {
    let may = visitor.role >= Role::Keep;
    frame::page(desk, visitor, Room::Collection, move |catalogue, _| {
        let leaf = catalogue.journal_leaf(&number, before, ACTS)?;
        let title = format!("Journal of {number}");
        let mut journal = Journal::of(&leaf, before, Some(number));
        if may {
            let reversible = catalogue.reversible()?;
            for (act, rows) in journal.acts.iter_mut().zip(leaf.rows.chunk_by(JournalRow::same_act)) {
                if rows.iter().all(|row| reversible.holds(row)) {
                    act.back = taking_back(&journal.piece, rows[0].id);
                }
            }
        }
        Ok(Leaf { template: "journal.html", title, page: Journal { again, told, ..journal } })
    })
    .await
}

/// Where the entry that a row of the journal tells of is taken back.
fn taking_back(piece: &str, row: i64) -> String {
    format!("{piece}/journal/{row}/take-back")
}

/// Takes back what one entry did to a piece, with a reason.
async fn take_back(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, row)): Path<(String, i64)>,
    Body(Why { reason }): Body<Why>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let of = number.clone();
    let back = move |catalogue: &mut Catalogue, author: &str, reason: &str| {
        let intent = Intent { author: author.to_owned(), reason: Some(reason.to_owned()), ..Intent::default() };
        catalogue.take_back(&of, row, Extent::Entry, &intent)
    };
    let at = piece::address(&number);
    match form::put_with_reason(&desk, &visitor, &reason, back).await? {
        Ok(done) if done.stays.is_empty() => Ok(Redirect::to(&format!("{at}/journal")).into_response()),
        Ok(done) => show(&desk, &visitor, number, None, (Retry::default(), done.in_words(false))).await,
        Err(amiss) => {
            let retry = Retry::of(taking_back(&at, row), &reason, amiss);
            // The leaf on which that entry stands: it begins at it.
            show(&desk, &visitor, number, row.checked_add(1), (retry, Vec::new())).await.map(form::again)
        }
    }
}

async fn of_all(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Query(Which { before }): Query<Which>,
) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Safekeeping, move |catalogue, _| {
        let leaf = catalogue.journal_of_all(before, ACTS)?;
        Ok(Leaf { template: "journal.html", title: "Journal".into(), page: Journal::of(&leaf, before, None) })
    })
    .await
}

impl Journal {
    /// A leaf of the journal, of a piece or of all.
    fn of(leaf: &JournalLeaf, before: Option<i64>, number: Option<String>) -> Self {
        let piece = number.as_deref().map(piece::address).unwrap_or_default();
        Self {
            address: format!("{piece}/journal"),
            acts: acts(&leaf.rows),
            again: Retry::default(),
            told: Vec::new(),
            older: leaf.older,
            is_newest: before.is_none(),
            number: number.unwrap_or_default(),
            piece,
        }
    }
}

/// The acts since a moment, the newest first and no more than stand on a leaf; and whether there
/// are more.
pub(super) fn since(catalogue: &Catalogue, moment: Timestamp) -> Result<(Vec<Act>, bool), Wrong> {
    let JournalLeaf { mut rows, older } = catalogue.journal_of_all(None, ACTS)?;
    let all = rows.len();
    rows.retain(|row| row.at.parse::<Timestamp>().is_ok_and(|at| at >= moment));
    Ok((acts(&rows), rows.len() == all && older.is_some()))
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
            at: When::at(&first.at),
            by: first.author.clone(),
            why: first.reason.clone(),
            did: counts.into_iter().map(said).collect(),
            changes: chunk.iter().rev().take(TOLD).map(JournalRow::in_words).collect(),
            beyond: chunk.len().saturating_sub(TOLD),
            back: String::new(),
        }
    };
    rows.chunk_by(JournalRow::same_act).map(act).collect()
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct On {
    day: String,
}

/// What a piece looked like on a day.
#[derive(Serialize)]
struct AsOf<E> {
    number: String,
    address: String,
    day: String,
    wrong: String,
    /// After which row of the journal, and of when.
    after: Option<When>,
    entry: Option<E>,
}

async fn as_of(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Query(On { day }): Query<On>,
) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, settings| {
        // What was never here is told as elsewhere.
        catalogue.piece(&number)?;
        let day = day.trim().to_owned();
        let mut page = AsOf {
            address: piece::address(&number),
            wrong: String::new(),
            after: None,
            entry: None,
            number: number.clone(),
            day,
        };
        match page.day.parse::<Date>() {
            _ if page.day.is_empty() => {}
            Err(_) => page.wrong = format!("`{}` is no day; write it as 2024-05-01.", page.day),
            Ok(day) => {
                let moment = catalogue.moment(day)?;
                match catalogue.piece_after(&number, moment.row)? {
                    None => {
                        let why = format!(
                            "On {} `{number}` was not yet entered here; its journal tells since when",
                            report::day(Some(day))
                        );
                        page.wrong = sentence(&why);
                    }
                    Some(file) => {
                        // Definitions as on that day; what stands in the store is of today.
                        let then = Settings { printed_on: day, ..*settings };
                        page.after =
                            Some(When::within(format!("after row {} of the journal, ", moment.row), &moment.at, ""));
                        page.entry = Some(report::entry_view(&file, &then));
                    }
                }
            }
        }
        Ok(Leaf { template: "as_of.html", title: format!("{number} on a day gone by"), page })
    })
    .await
}
