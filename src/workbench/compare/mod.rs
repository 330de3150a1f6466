//! The comparison: pieces chosen and components paired, the sheet, and reasons written beside the differences.

mod asked;
mod record;
mod tables;

use std::sync::Arc;

use axum::Router;
use axum::extract::{RawQuery, State};
use axum::response::Response;
use axum::routing::get;
use serde::Serialize;

use self::asked::Asked;
use super::desk::Desk;
use super::fault::{Wrong, sentence};
use super::frame::{self, Leaf, Room};
use super::overlay::WithOverlays;
use super::sessions::Visitor;
use crate::analysis::comparison::ByHand;
use crate::catalogue::{Catalogue, Kept};
use crate::printing;
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::report::{self, Settings};
use crate::vocabulary::Scheme;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/comparison", get(page)).merge(record::routes()).merge(tables::routes())
}

/// What the page shows.
#[derive(Serialize)]
struct Page<S> {
    asked: Asked,
    with: String,
    numbers: Vec<(String, String)>,
    pairing: Vec<Choice>,
    kept: Vec<Row>,
    /// The kept comparison that is shown.
    shown: String,
    wrong: String,
    sheet: Option<S>,
    live: Live,
    cloths: String,
    /// The terms, for the tables to take away.
    query: String,
    /// The others with one another, where there are several.
    square: Option<Table>,
}

/// A small table: headings, and rows that begin with their own.
#[derive(Serialize)]
struct Table {
    headings: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// A component of the piece, and which of the others' it may be paired with.
#[derive(Serialize)]
struct Choice {
    component: String,
    /// `collar = neck band`, `neck band`, whether it is chosen.
    options: Vec<(String, String, bool)>,
}

/// A kept comparison in the list.
#[derive(Serialize)]
pub(super) struct Row {
    address: String,
    name: String,
    words: String,
    /// Whether another took its place.
    past: bool,
}

/// What the forms in the sheet need.
#[derive(Serialize)]
struct Live {
    may: bool,
    token: String,
    back: String,
    /// Each reason with its definition.
    reasons: Vec<(String, String)>,
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor, RawQuery(query): RawQuery) -> Result<Response, Wrong> {
    let asked = Asked::read(query.as_deref().unwrap_or_default());
    let (may, token) = (visitor.role >= Role::Keep, visitor.token.as_str().to_owned());
    let held = desk.clone();
    frame::page(&desk, &visitor, Room::Comparison, move |catalogue, settings| {
        let mut asked = asked;
        let mut shown = String::new();
        if !asked.kept.is_empty() && asked.piece.is_empty() {
            let kept = catalogue.kept_comparison(&asked.kept, asked.before)?;
            shown = format!("`{}`, kept by {} on {}: {}", kept.name, kept.by, frame::day(&kept.at), kept.reason);
            asked = Asked::of(&kept, asked.before);
        }
        let pictures = WithOverlays { pictures: settings.pictures, desk: &held };
        let with_overlays = Settings { pictures: &pictures, ..*settings };
        let chosen = !asked.piece.is_empty() && !asked.with.is_empty();
        // What is written wrongly is said on the page, where it can be mended.
        let (pieces, mut wrong) = match chosen.then(|| pieces(&asked, catalogue)).transpose() {
            Ok(pieces) => (pieces, String::new()),
            Err(wrong) => (None, wrong.says),
        };
        let sheet = pieces.as_ref().map(|(subject, others)| {
            let kept = shown.clone();
            let basis = asked.basis(catalogue)?;
            let near = |cloth: &String| {
                printing::cloths(catalogue, &asked.piece, cloth, &asked.with, &basis.tolerances)
                    .map_err(|e| e.to_string())
            };
            let cloths = asked.cloths.iter().map(near).collect::<Result<_, _>>()?;
            let compared = report::Compared { basis, cloths, kept };
            report::comparison_view(subject, others, &compared, &with_overlays).map_err(|e| e.to_string())
        });
        let sheet = sheet.transpose().unwrap_or_else(|why| {
            wrong = sentence(&why);
            None
        });
        let several = pieces.as_ref().filter(|_| sheet.is_some() && asked.with.len() > 1);
        let square = several.map(|pieces| tables::square(pieces, asked.basis(catalogue), catalogue)).transpose()?;
        let square = square.map(|(headings, rows)| Table { headings, rows });
        let reasons = catalogue.vocabulary().terms(Scheme::DepartureReason);
        let page = Page {
            live: Live {
                may,
                token,
                back: asked.address(),
                reasons: reasons.map(|t| (t.id.name().to_owned(), t.definition.clone())).collect(),
            },
            pairing: pieces.as_ref().map(|(one, others)| pairing(one, others, &asked)).unwrap_or_default(),
            numbers: catalogue.titles()?,
            kept: rows(&catalogue.kept_comparisons()?),
            with: asked.with.join(", "),
            cloths: asked.cloths.join(", "),
            query: asked.query(),
            square,
            shown,
            wrong,
            sheet,
            asked,
        };
        Ok(Leaf { template: "compare.html", title: "Comparison".into(), page })
    })
    .await
}

fn pieces(asked: &Asked, catalogue: &Catalogue) -> Result<(PieceFile, Vec<PieceFile>), Wrong> {
    let subject = catalogue.piece(&asked.piece)?;
    let others = asked.with.iter().map(|number| catalogue.piece(number)).collect::<Result<Vec<_>, _>>()?;
    Ok((subject, others))
}

/// The components of the piece, each with those of the others.
fn pairing(subject: &PieceFile, others: &[PieceFile], asked: &Asked) -> Vec<Choice> {
    let mut theirs: Vec<&str> = Vec::new();
    for name in others.iter().flat_map(|o| &o.components).filter_map(|c| c.name.as_deref()) {
        if !theirs.contains(&name) {
            theirs.push(name);
        }
    }
    let choice = |ours: &str| {
        let option = |other: &&str| {
            let pair = ByHand { subject: ours.to_owned(), other: (*other).to_owned() };
            let is_set = asked.pairs.iter().any(|p| ByHand::read(p).is_ok_and(|p| p == pair));
            (pair.written(), (*other).to_owned(), is_set)
        };
        Choice { component: ours.to_owned(), options: theirs.iter().map(option).collect() }
    };
    if theirs.is_empty() {
        return Vec::new();
    }
    subject.components.iter().filter_map(|c| c.name.as_deref()).map(choice).collect()
}

/// The comparisons that stand and in which a piece takes part.
pub(super) fn with(catalogue: &Catalogue, number: &str) -> Result<Vec<Row>, Wrong> {
    let takes_part = |one: &Kept| one.stands && (one.subject == number || one.others.iter().any(|o| o == number));
    let kept = catalogue.kept_comparisons()?;
    Ok(rows(&kept.into_iter().filter(takes_part).collect::<Vec<_>>()))
}

fn rows(kept: &[Kept]) -> Vec<Row> {
    let mut before = 0;
    let row = |one: &Kept| {
        before = if one.stands { 0 } else { before + 1 };
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair("kept", &one.name);
        if before > 0 {
            query.append_pair("before", &before.to_string());
        }
        Row {
            address: format!("/comparison?{}", query.finish()),
            name: one.name.clone(),
            words: format!(
                "{} beside {}; {}, {}: {}",
                one.subject,
                one.others.join(", "),
                one.by,
                frame::day(&one.at),
                one.reason
            ),
            past: !one.stands,
        }
    };
    kept.iter().map(row).collect()
}
