//! A piece among others, and the departures of all makers: what is seen only across the collection.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, RawQuery, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence};
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use super::sheet::{sheet_of, table};
use crate::analysis::corpus::Corpus;
use crate::catalogue::Fault;
use crate::photograph::Store;
use crate::printing::{self, NotPrinted, WhichDepartures};
use crate::report::{self, Settings, StorePictures};
use crate::vocabulary::Scheme;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/comparison/among", get(among))
        .route("/comparison/among/sheet", get(among_sheet))
        .route("/departures", get(departures))
        .route("/departures/sheet", get(departures_sheet))
        .route("/departures/table.csv", get(departures_table))
        .route("/collection/sheet", get(index))
}

/// Which set, and what of it.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Among {
    set: String,
    piece: String,
    feature: String,
    any_component: String,
}

impl Among {
    fn asked(&self) -> printing::Among<'_> {
        printing::Among {
            set: self.set.trim(),
            piece: Some(self.piece.trim()).filter(|piece| !piece.is_empty()),
            feature: self.feature.trim(),
            any_component: !self.any_component.is_empty(),
        }
    }
}

/// What the page shows.
#[derive(Serialize)]
struct AmongPage {
    asked: Among,
    numbers: Vec<(String, String)>,
    /// Where the sheet is, if it can be made.
    sheet: String,
    wrong_set: String,
    wrong_piece: String,
    wrong: String,
}

async fn among(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    RawQuery(query): RawQuery,
    Query(asked): Query<Among>,
) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Comparison, move |catalogue, _| {
        let mut page = AmongPage {
            numbers: catalogue.titles()?,
            sheet: String::new(),
            wrong_set: String::new(),
            wrong_piece: String::new(),
            wrong: String::new(),
            asked,
        };
        if !page.asked.set.trim().is_empty() {
            match page.asked.asked().look(catalogue) {
                Ok(()) => page.sheet = format!("/comparison/among/sheet?{}", query.unwrap_or_default()),
                Err(NotPrinted::Fault(Fault::Asked(mistake))) => page.wrong_set = sentence(&mistake.sentence()),
                Err(NotPrinted::Fault(fault @ Fault::NoPiece { .. })) => {
                    page.wrong_piece = sentence(&fault.to_string());
                }
                Err(other) => page.wrong = sentence(&other.to_string()),
            }
        }
        Ok(Leaf { template: "among.html", title: "A piece among others".into(), page })
    })
    .await
}

async fn among_sheet(State(desk): State<Arc<Desk>>, _: Visitor, Query(asked): Query<Among>) -> Result<Response, Wrong> {
    sheet_of(&desk, move |catalogue, settings| {
        let print = |corpus: &Corpus<'_>, set: &str| Ok::<_, NotPrinted>(report::among(corpus, set, settings)?);
        Ok(printing::among(catalogue, &asked.asked(), print)?)
    })
    .await
}

/// Which departures.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Departed {
    reason: String,
    of: String,
    learned: String,
}

impl Departed {
    fn which(&self) -> WhichDepartures<'_> {
        let some = |text: &'_ str| !text.trim().is_empty();
        WhichDepartures {
            reason: Some(self.reason.trim()).filter(|text| some(text)),
            of: Some(self.of.trim()).filter(|text| some(text)),
            learned: some(&self.learned),
        }
    }
}

/// A departure in the list.
#[derive(Serialize)]
struct Row {
    number: String,
    piece: String,
    place: String,
    change: String,
    reason: String,
    note: String,
    learned: String,
}

/// What the page of departures shows.
#[derive(Serialize)]
struct DeparturesPage {
    asked: Departed,
    reasons: Vec<(String, String)>,
    numbers: Vec<(String, String)>,
    rows: Vec<Row>,
    wrong: String,
    /// Where the table is.
    table: String,
}

async fn departures(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    RawQuery(query): RawQuery,
    Query(asked): Query<Departed>,
) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Comparison, move |catalogue, _| {
        let (rows, wrong) = match printing::some_departures(catalogue, asked.which()) {
            Ok(list) => (list.into_iter().map(row).collect(), String::new()),
            Err(NotPrinted::Refused(why)) => (Vec::new(), sentence(&why)),
            Err(NotPrinted::Fault(fault @ Fault::NoPiece { .. })) => (Vec::new(), sentence(&fault.to_string())),
            Err(other) => return Err(other.into()),
        };
        let reasons = catalogue.vocabulary().terms(Scheme::DepartureReason);
        let page = DeparturesPage {
            reasons: reasons.map(|t| (t.id.name().to_owned(), t.definition.clone())).collect(),
            numbers: catalogue.titles()?,
            table: format!("/departures/table.csv?{}", query.unwrap_or_default()),
            rows,
            wrong,
            asked,
        };
        Ok(Leaf { template: "departures.html", title: "Departures".into(), page })
    })
    .await
}

fn row(d: crate::catalogue::KeptDeparture) -> Row {
    let place = [d.component, d.feature].into_iter().filter(|words| !words.is_empty());
    let change = match (d.was, d.now) {
        (Some(was), Some(now)) => format!("{was} → {now}"),
        (Some(was), None) => format!("was {was}"),
        (None, Some(now)) => format!("now {now}"),
        (None, None) => String::new(),
    };
    Row {
        place: report::capital(&place.collect::<Vec<_>>().join(", ")),
        number: d.number,
        piece: d.piece,
        change,
        reason: d.reason,
        note: d.note.unwrap_or_default(),
        learned: d.learned.unwrap_or_default(),
    }
}

async fn departures_sheet(State(desk): State<Arc<Desk>>, _: Visitor) -> Result<Response, Wrong> {
    sheet_of(&desk, |catalogue, settings| Ok(report::departures(&printing::departures(catalogue)?, settings)?)).await
}

async fn departures_table(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Query(asked): Query<Departed>,
) -> Result<Response, Wrong> {
    desk::read(&desk, move |catalogue| {
        let rows: Vec<_> =
            printing::some_departures(catalogue, asked.which())?.iter().map(printing::departure_row).collect();
        table("departures.csv", &printing::DEPARTURE_HEADINGS, &rows)
    })
    .await
}

/// The collection on one page, with its small pictures in it, to be taken along.
async fn index(State(desk): State<Arc<Desk>>, _: Visitor) -> Result<Response, Wrong> {
    // Every small picture is in it: so many such pages are made at once and no more.
    let _turn = desk.packing.turn().await?;
    sheet_of(&desk, |catalogue, settings| {
        let store = Store::at(catalogue.folder());
        let pictures = StorePictures::embedded(&store);
        let settings = Settings { pictures: &pictures, ..*settings };
        Ok(report::index(&printing::index(catalogue, |_| Vec::new())?, &settings)?)
    })
    .await
}
