//! What is due to be looked at, by location: the survey, to be walked with a tablet.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::report::{self, Asked as SurveyAsked};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/due", get(whole))
}

#[derive(Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    until: String,
    place: String,
}

/// What the page shows.
#[derive(Serialize)]
struct Page<S> {
    asked: Asked,
    wrong_until: String,
    survey: S,
}

async fn whole(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Query(mut asked): Query<Asked>,
) -> Result<Response, Wrong> {
    let today = desk.today();
    frame::page(&desk, &visitor, Room::Due, move |catalogue, settings| {
        let (until, wrong_until) = match asked.until.trim() {
            "" => (today, String::new()),
            text => match text.parse() {
                Ok(day) => (day, String::new()),
                Err(_) => (today, format!("`{text}` is no day; write it as {today}")),
            },
        };
        if asked.until.trim().is_empty() {
            asked.until = today.to_string();
        }
        let place = Some(asked.place.as_str()).filter(|place| !place.trim().is_empty());
        let (survey, intervals) = (catalogue.survey(place)?, catalogue.intervals()?);
        let survey = report::survey_view(&survey, &SurveyAsked { until, place, intervals: &intervals }, settings);
        Ok(Leaf {
            template: "due.html",
            title: "Due to be looked at".into(),
            page: Page { asked, wrong_until, survey },
        })
    })
    .await
}
