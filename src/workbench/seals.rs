//! All sealed reports; and whether a copy is unaltered.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence};
use super::frame::{self, Leaf, Room};
use super::multipart::Multipart;
use super::piece;
use super::reports::{SealRow, seal_row};
use super::sessions::Visitor;
use crate::catalogue::Fault;
use crate::printing::{self, SealedCopy};
use crate::report::link_part;

/// The largest page that is held against the seals: the photographs are in it.
const LARGEST: usize = 64 * 1024 * 1024;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/seals", get(whole)).route("/seals/compare", post(compare))
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct Asked {
    code: String,
}

/// A sealed report, with the piece that it is of.
#[derive(Serialize)]
struct Row {
    number: String,
    piece: String,
    seal: SealRow,
}

#[derive(Serialize)]
struct Page {
    rows: Vec<Row>,
    code: String,
    wrong_code: String,
    /// What the copy turned out to be, and whether it is unaltered.
    copy: Option<(String, bool)>,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    let code = asked.code.trim().to_owned();
    let mut wrong_code = String::new();
    if !code.is_empty() {
        let named = code.clone();
        match desk::read(&desk, move |catalogue| Ok(catalogue.seal_named(&named))).await? {
            Ok(seal) => return Ok(Redirect::to(&format!("/sealed/{}", link_part(&seal.code))).into_response()),
            Err(Fault::Refused(why)) => wrong_code = sentence(&why),
            Err(other) => return Err(other.into()),
        }
    }
    show(&desk, &visitor, code, wrong_code, None).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    code: String,
    wrong_code: String,
    copy: Option<(String, bool)>,
) -> Result<Response, Wrong> {
    frame::page(desk, visitor, Room::Safekeeping, move |catalogue, _| {
        let row = |seal: &crate::catalogue::Seal| Row {
            number: seal.number.clone(),
            piece: piece::address(&seal.number),
            seal: seal_row(seal),
        };
        let rows = catalogue.seals(None)?.iter().rev().map(row).collect();
        Ok(Leaf { template: "seals.html", title: "Sealed reports".into(), page: Page { rows, code, wrong_code, copy } })
    })
    .await
}

/// Holds a file against all that was sealed. Nothing of it is kept.
async fn compare(State(desk): State<Arc<Desk>>, visitor: Visitor, mut form: Multipart) -> Result<Response, Wrong> {
    // A page is in memory whole: so many at once and no more.
    let _turn = desk.packing.turn().await?;
    let mut bytes = Vec::new();
    while let Some(head) = form.next().await? {
        if head.name == "page" {
            bytes = form.whole(LARGEST, || Wrong::refused("This file is larger than any report is.")).await?;
        }
    }
    let copy = if bytes.is_empty() {
        ("Choose a file first.".to_owned(), false)
    } else if bytes.starts_with(b"%PDF") {
        (sentence(&format!("this is a PDF, {}", printing::NO_COPY_OF_A_PDF)), false)
    } else {
        desk::read(&desk, move |catalogue| {
            Ok(match printing::held_against_seals(catalogue, &bytes)? {
                SealedCopy::Unaltered(seal) => {
                    let row = seal_row(&seal);
                    (format!("Unaltered: sealed report {} of {}, {}.", seal.no, seal.number, row.words), true)
                }
                other @ SealedCopy::Other { .. } => {
                    let unknown = "below stand those that are sealed";
                    (sentence(&format!("not as any report was sealed: {}", other.in_words(unknown))), false)
                }
            })
        })
        .await?
    };
    show(&desk, &visitor, String::new(), String::new(), Some(copy)).await
}
