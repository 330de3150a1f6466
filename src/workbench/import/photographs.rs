//! Photographs named by number: whose they are is told by their names first, and nothing is sent before somebody has
//! confirmed it. Then each is sent by itself, as on the page of its piece.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::State;
use axum::extract::rejection::JsonRejection;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use axum::{Json, Router};
use serde::{Deserialize, Serialize};

use crate::exchange::old_list::pictures::{Known, Whose};
use crate::photograph::{MOST_BYTES, begins_as_photograph, is_hidden};
use crate::record::account::Role;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sent, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::piece;
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/import/photographs", get(whole)).route("/import/photographs/whose", post(whose))
}

#[derive(Serialize)]
struct Page {
    most: u64,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    frame::page(&desk, &visitor, Room::Safekeeping, |_, _| {
        let page = Page { most: MOST_BYTES };
        Ok(Leaf { template: "import_photographs.html", title: "Photographs named by number".into(), page })
    })
    .await
}

/// The files that somebody chose: no more of each than its name and how it begins.
#[derive(Debug, Deserialize)]
struct Chosen {
    files: Vec<Named>,
}

/// One file.
#[derive(Debug, Deserialize)]
struct Named {
    /// Folders above it, the outermost first, and its own name, with `/` between.
    path: String,
    /// Its first bytes, two hexadecimal digits each.
    begins: String,
}

/// Whose each of them is.
#[derive(Serialize)]
struct Answer {
    found: Vec<Found>,
    /// Where the photographs of each piece are sent.
    to: BTreeMap<String, String>,
}

/// Whose one file is.
#[derive(Serialize)]
struct Found {
    /// `sure`, `open`, `nobody`, `passed`.
    is: &'static str,
    numbers: Vec<String>,
    why: String,
}

/// Says whose files are by their names alone.
async fn whose(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    asked: Result<Json<Chosen>, JsonRejection>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let chosen = sent(asked, "The names of these files were not understood")?;
    let answer = desk::read(&desk, move |catalogue| {
        let known = Known::of_catalogue(catalogue)?;
        let parts = |file: &Named| file.path.split('/').filter(|p| !p.is_empty()).map(String::from).collect::<Vec<_>>();
        let kept: Vec<bool> = chosen.files.iter().map(is_kept).collect();
        let files = chosen.files.iter().zip(&kept).filter(|(_, kept)| **kept);
        let files: Vec<Vec<String>> = files.map(|(file, _)| parts(file)).collect();
        let mut whose = known.whose(&files).into_iter();
        let found: Vec<Found> = kept.iter().map(|kept| found(if *kept { whose.next() } else { None })).collect();
        let address = |number: &String| (number.clone(), piece::address(number));
        let to = found.iter().flat_map(|found| &found.numbers).map(address).collect();
        Ok(Answer { found, to })
    })
    .await?;
    Ok(Json(answer).into_response())
}

/// Whether a file counts: hidden ones, and what does not begin as a photograph does, are passed over.
fn is_kept(file: &Named) -> bool {
    let digits: Option<Vec<u8>> = (0..file.begins.len() / 2)
        .map(|at| u8::from_str_radix(file.begins.get(2 * at..2 * at + 2)?, 16).ok())
        .collect();
    !file.path.split('/').any(is_hidden) && digits.is_some_and(|begins| begins_as_photograph(&begins))
}

/// Whose a file is, as the script has it; none if it was passed over.
fn found(whose: Option<Whose>) -> Found {
    match whose {
        Some(Whose::Sure(numbers)) => Found { is: "sure", numbers, why: String::new() },
        Some(Whose::Open(numbers, why)) => Found { is: "open", numbers, why: sentence(&why) },
        Some(Whose::Nobody) => Found { is: "nobody", numbers: Vec::new(), why: String::new() },
        None => Found { is: "passed", numbers: Vec::new(), why: String::new() },
    }
}
