//! Is every bit still as it was: the whole check, or a part of it.

use std::sync::Arc;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use axum::{Form, Router};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Beside, begun, form};
use crate::catalogue::{Catalogue, Original};
use crate::record::account::Role;
use crate::safekeeping::{self, Turn, share};
use crate::workbench::desk::Desk;
use crate::workbench::fault::{Wrong, sentence, written};
use crate::workbench::sessions::Visitor;
use crate::workbench::works::{Outcome, Work};

const HERE: &str = "/safekeeping/check";

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route(HERE, get(page).post(check))
}

/// How much is to be looked at, as typed.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    share: String,
    since: String,
    views: Option<String>,
    index: Option<String>,
}

#[derive(Debug, Default, Serialize)]
struct Amiss {
    share: String,
    since: String,
}

#[derive(Debug, Default, Serialize)]
struct Page {
    asked: Asked,
    amiss: Amiss,
    beside: Beside,
    /// Whether what is rarely needed stands open.
    open: bool,
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, page: Page, status: StatusCode) -> Result<Response, Wrong> {
    form(desk, visitor, "check.html", "Check the catalogue", page, status).await
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    show(&desk, &visitor, Page::default(), StatusCode::OK).await
}

async fn check(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(asked): Form<Asked>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let turn = match turn(&asked) {
        Ok(turn) => turn,
        Err(amiss) => {
            let page = Page { asked, amiss, open: true, ..Page::default() };
            return show(&desk, &visitor, page, StatusCode::UNPROCESSABLE_ENTITY).await;
        }
    };
    let (views, index, today) = (asked.views.is_some(), asked.index.is_some(), desk.today());
    let work = move |catalogue: &mut Catalogue, work: &Work| checked(catalogue, turn, (views, index), today, work);
    match begun(&desk, &visitor, "Check of the catalogue", HERE, work) {
        Ok(response) => Ok(response),
        Err((status, beside)) => show(&desk, &visitor, Page { asked, beside, ..Page::default() }, status).await,
    }
}

fn turn(asked: &Asked) -> Result<Turn, Amiss> {
    let part = written(&asked.share).map(|text| share(&text).map_err(|why| sentence(&why))).transpose();
    let no_day = |_| "Write the day as 2024-03-12.".to_owned();
    let since = written(&asked.since).map(|text| text.parse::<Date>().map_err(no_day)).transpose();
    match (part, since) {
        (Ok(share), Ok(since)) => Ok(Turn { share, since }),
        (part, since) => Err(Amiss { share: part.err().unwrap_or_default(), since: since.err().unwrap_or_default() }),
    }
}

fn checked(catalogue: &mut Catalogue, turn: Turn, (views, index): (bool, bool), today: Date, work: &Work) -> Outcome {
    let original = |original: &Original| turn.takes(original, today);
    let asked = safekeeping::Asked { original: &original, views };
    let made = if index { catalogue.make_index() } else { Ok(()) };
    let whole = match made.and_then(|()| safekeeping::check(catalogue, &asked, work)) {
        Ok(whole) => whole,
        Err(fault) => return Outcome::not_done(&fault, "Nothing can be said of what was not read."),
    };
    let mut lines = whole.told();
    lines.push(if whole.findings.is_empty() { whole.all_well() } else { format!("looked at: {}", whole.looked_at()) });
    Outcome::done(&lines, whole.findings)
}
