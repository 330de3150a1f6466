//! What is due to be looked at, by location: the survey, to be walked with a tablet.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::reports;
use super::sessions::Visitor;
use crate::report::{self, Asked as SurveyAsked};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/due", get(whole)).route("/due/sheet", get(sheet))
}

#[derive(Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    until: String,
    place: String,
}

impl Asked {
    /// Until when; today where nothing is written, and where what is written is no day, which is said too.
    fn until(&self, today: Date) -> (Date, String) {
        match self.until.trim() {
            "" => (today, String::new()),
            text => match text.parse() {
                Ok(day) => (day, String::new()),
                Err(_) => (today, format!("`{text}` is no day; write it as {today}")),
            },
        }
    }

    /// Where, if that is written.
    fn place(&self) -> Option<&str> {
        Some(self.place.as_str()).filter(|place| !place.trim().is_empty())
    }
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
        let (until, wrong_until) = asked.until(today);
        if asked.until.trim().is_empty() {
            asked.until = today.to_string();
        }
        let place = asked.place();
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

/// The same to print.
async fn sheet(State(desk): State<Arc<Desk>>, _: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    let for_work = desk.clone();
    let page = desk::read(&desk, move |catalogue| {
        frame::with_settings(&for_work, catalogue, None, |settings| {
            let ((until, _), place) = (asked.until(settings.printed_on), asked.place());
            let (survey, intervals) = (catalogue.survey(place)?, catalogue.intervals()?);
            Ok(report::survey(&survey, &SurveyAsked { until, place, intervals: &intervals }, settings)?)
        })
    })
    .await?;
    Ok(reports::printed(page.into_bytes()))
}
