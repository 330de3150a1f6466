//! Examination sheets to be taken away: a form for pencil and paper, or a text file to be filled in on any computer.

mod filled_in;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::{get, post};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::choice::Choice;
use super::desk::{self, Desk};
use super::fault::{Wrong, sentence, written};
use super::form;
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use super::sheet::{printed, to_keep_as};
use crate::catalogue::Catalogue;
use crate::exchange::sheet::{Asked, NoSheet};
use crate::record::account::Role;
use crate::report;
use crate::vocabulary::Scheme;

/// The routes of this file and that below it.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/sheets", get(whole))
        .route("/sheets/form", get(paper))
        .route("/sheets/file", get(file))
        .route("/sheets/read", post(filled_in::read))
        .route("/sheets/enter", post(filled_in::enter))
}

/// Paper sizes.
const PAPERS: [(&str, &str); 2] = [("a4", "A4"), ("letter", "Letter")];
/// What a sheet is to hold.
const KINDS: [(&str, &str); 3] = [
    ("filled", "what is recorded, ready to be corrected"),
    ("again", "a new examination that follows the last one"),
    ("blank", "nothing yet"),
];

/// A sheet as somebody asks for it.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Wanted {
    number: String,
    garment: String,
    paper: String,
    kind: String,
    /// The examination, by its day; the last if blank.
    day: String,
}

/// What the page shows.
#[derive(Serialize)]
pub(super) struct Page {
    may: bool,
    asked: Wanted,
    /// Whether the number is that of a piece.
    known: bool,
    garments: Vec<String>,
    papers: Vec<Choice>,
    kinds: Vec<Choice>,
    /// The days on which the piece was examined, the latest first.
    days: Vec<Choice>,
    amiss: Amiss,
}

/// What is wrong, beside its field.
#[derive(Debug, Clone, Default, Serialize)]
pub(super) struct Amiss {
    number: String,
    garment: String,
    day: String,
    pub files: String,
}

async fn whole(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Query(asked): Query<Wanted>,
) -> Result<Response, Wrong> {
    show(&desk, &visitor, asked, Amiss::default()).await
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, asked: Wanted, amiss: Amiss) -> Result<Response, Wrong> {
    let may = visitor.role >= Role::Examine;
    frame::page(desk, visitor, Room::Examine, move |catalogue, settings| {
        let number = asked.number.trim();
        let known = if number.is_empty() { None } else { catalogue.piece_if_any(number)? };
        let words = catalogue.vocabulary().on(settings.printed_on);
        let page = Page {
            may,
            known: known.is_some(),
            garments: words.terms(Scheme::Garment).map(|t| t.name().to_owned()).collect(),
            papers: Choice::list(&PAPERS, &asked.paper),
            kinds: Choice::list(&KINDS, &asked.kind),
            days: known.as_ref().map(|file| Choice::examinations(file, &asked.day)).unwrap_or_default(),
            asked,
            amiss,
        };
        Ok(Leaf { template: "sheets.html", title: "Examination sheets".into(), page })
    })
    .await
}

/// The same with what is wrong with the files that were chosen.
async fn refused(desk: &Arc<Desk>, visitor: &Visitor, amiss: Amiss) -> Result<Response, Wrong> {
    show(desk, visitor, Wanted::default(), amiss).await.map(form::again)
}

/// The page again, with what is wrong beside its field.
async fn again(desk: &Arc<Desk>, visitor: &Visitor, asked: Wanted, why: NoSheet) -> Result<Response, Wrong> {
    let amiss = match why {
        NoSheet::Garment(why) => Amiss { garment: sentence(&why), ..Amiss::default() },
        NoSheet::Examination(why) => Amiss { day: sentence(&why), ..Amiss::default() },
        NoSheet::Catalogue(fault) => return Err(fault.into()),
    };
    show(desk, visitor, asked, amiss).await.map(form::again)
}

impl Wanted {
    fn asked(&self) -> Result<Asked, NoSheet> {
        let day = written(&self.day).map(|text| {
            text.parse::<Date>()
                .map_err(|_| NoSheet::Examination(format!("`{text}` is no day; write it as 2031-03-02")))
        });
        Ok(Asked {
            number: self.number.trim().to_owned(),
            garment: written(&self.garment),
            blank: self.kind == "blank",
            again: self.kind == "again",
            examination: day.transpose()?,
        })
    }
}

/// The form for pencil and paper, in a window of its own.
async fn paper(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Query(asked): Query<Wanted>,
) -> Result<Response, Wrong> {
    let paper = PAPERS.iter().map(|(size, _)| *size).find(|size| *size == asked.paper).unwrap_or("a4");
    let wanted = asked.clone();
    let made = desk::read(&desk, move |catalogue| {
        Ok(wanted.asked().and_then(|asked| asked.form(Some(catalogue))).map(|form| report::paper_form(&form, paper)))
    });
    match made.await? {
        Ok(page) => Ok(printed(page?.into_bytes())),
        Err(why) => again(&desk, &visitor, asked, why).await,
    }
}

/// The sheet as a text file to be kept.
async fn file(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(asked): Query<Wanted>) -> Result<Response, Wrong> {
    if let Err(why) = crate::record::accession::check(asked.number.trim()) {
        let amiss = Amiss { number: sentence(&why), ..Amiss::default() };
        return show(&desk, &visitor, asked, amiss).await.map(form::again);
    }
    let (wanted, today) = (asked.clone(), desk.today());
    let text = move |catalogue: &Catalogue| wanted.asked().and_then(|asked| asked.text(Some(catalogue), today));
    match desk::read(&desk, move |catalogue| Ok(text(catalogue))).await? {
        Ok(text) => Ok(to_keep_as(&format!("{}.toml", asked.number.trim()), "text/plain; charset=utf-8", text.into())),
        Err(why) => again(&desk, &visitor, asked, why).await,
    }
}
