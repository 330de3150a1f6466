//! Which of the expected photographs are missing or too coarse, piece by piece.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::{Wrong, sentence, written};
use super::frame::{self, Leaf, Room};
use super::piece;
use super::sessions::Visitor;
use crate::analysis::coverage::{Coverage, coverage};

/// So many pieces stand on one leaf.
const LEAF: usize = 40;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/photographs/missing", get(page))
}

/// Which pieces are looked at.
#[derive(Default, Deserialize)]
#[serde(default)]
struct Which {
    /// The number of one; all if blank.
    piece: String,
    /// The leaf, from 1 on.
    page: String,
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    /// The number of the one piece; blank where all are looked at.
    piece: String,
    pieces: Vec<Covered>,
    leaf: usize,
    leaves: usize,
    earlier: Option<usize>,
    later: Option<usize>,
}

/// What is there of one piece.
#[derive(Serialize)]
struct Covered {
    number: String,
    name: String,
    photographs: String,
    summary: String,
    /// The state in words, and the views.
    wanting: Vec<(&'static str, String)>,
    remark: String,
}

impl From<Coverage> for Covered {
    fn from(found: Coverage) -> Self {
        Self {
            photographs: format!("{}/photographs", piece::address(&found.number)),
            summary: found.summary(),
            wanting: found.wanting().into_iter().map(|(state, line)| (state.words(), line)).collect(),
            remark: if found.remark.is_empty() { String::new() } else { sentence(&found.remark) },
            number: found.number,
            name: found.object_name,
        }
    }
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(which): Query<Which>) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, _| {
        let asked = written(&which.piece);
        let numbers = match &asked {
            Some(number) => vec![number.clone()],
            None => catalogue.numbers()?,
        };
        let leaves = numbers.len().div_ceil(LEAF).max(1);
        let leaf = which.page.trim().parse::<usize>().unwrap_or(1).clamp(1, leaves);
        let mut pieces = Vec::new();
        for number in numbers.iter().skip((leaf - 1) * LEAF).take(LEAF) {
            pieces.push(coverage(&catalogue.piece(number)?, catalogue.vocabulary()).into());
        }
        let page = Page {
            piece: asked.unwrap_or_default(),
            pieces,
            leaf,
            leaves,
            earlier: (leaf > 1).then(|| leaf - 1),
            later: (leaf < leaves).then(|| leaf + 1),
        };
        Ok(Leaf { template: "coverage.html", title: "Views that are missing".into(), page })
    })
    .await
}
