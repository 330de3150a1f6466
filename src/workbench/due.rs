//! What is due to be looked at, by location: the survey, to be walked with a tablet.

use std::sync::Arc;

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form as Body, Router};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::Wrong;
use super::form::{self, Amiss, Field, Form, Sent, Typed};
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use super::sheet::sheet_of;
use crate::analysis::programme::Intervals;
use crate::catalogue::Catalogue;
use crate::record::account::Role;
use crate::report::{self, Asked as SurveyAsked};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/due", get(whole)).route("/due/sheet", get(sheet)).route("/due/intervals", post(choose))
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
    /// What changes the intervals, for who may.
    intervals: Option<Form>,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    show(&desk, &visitor, asked, None).await
}

/// The page; with the intervals as they were sent and what is wrong with them, if they were.
async fn show(desk: &Arc<Desk>, visitor: &Visitor, mut asked: Asked, sent: Sent) -> Result<Response, Wrong> {
    let (today, may) = (desk.today(), visitor.role >= Role::Keep);
    frame::page(desk, visitor, Room::Due, move |catalogue, settings| {
        let (until, wrong_until) = asked.until(today);
        if asked.until.trim().is_empty() {
            asked.until = today.to_string();
        }
        let place = asked.place();
        let (survey, intervals) = (catalogue.survey(place)?, catalogue.intervals()?);
        let survey = report::survey_view(&survey, &SurveyAsked { until, place, intervals: &intervals }, settings);
        let intervals = may.then(|| of_intervals(intervals, sent));
        let page = Page { asked, wrong_until, survey, intervals };
        Ok(Leaf { template: "due.html", title: "Due to be looked at".into(), page })
    })
    .await
}

fn of_intervals(mut standing: Intervals, sent: Sent) -> Form {
    let mut fields: Vec<Field> =
        standing.each().map(|(word, words, _)| Field::of("number", word, report::capital(words)).required()).into();
    fields.push(Field::why());
    Form::settling("/due/intervals", "Look again after so many months", fields, sent, stands(standing))
}

fn stands(mut standing: Intervals) -> Typed {
    standing.each().into_iter().map(|(word, _, months)| (word, months.to_string())).collect()
}

async fn choose(State(desk): State<Arc<Desk>>, visitor: Visitor, Body(typed): Body<Typed>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let chosen = form::who(&visitor).and_then(|author| {
        let mut chosen = Intervals::default();
        for (word, _, months) in chosen.each() {
            *months = Intervals::months(typed.get(word)).map_err(|why| Amiss::at(word, why))?;
        }
        Ok((author, chosen))
    });
    let work = chosen.map(|(author, chosen)| {
        let reason = typed.some("reason").unwrap_or_else(|| "survey planned".into());
        move |catalogue: &mut Catalogue| catalogue.set_intervals(&author, &reason, &chosen)
    });
    let now = |catalogue: &Catalogue| Ok(Some(stands(catalogue.intervals()?)));
    match form::settle(&desk, "", &typed, now, work).await? {
        Ok(_) => Ok(Redirect::to("/due").into_response()),
        Err(amiss) => {
            let status = amiss.status();
            let page = show(&desk, &visitor, Asked::default(), Some((typed, amiss))).await?;
            Ok(form::with_status(page, status))
        }
    }
}

/// The same to print.
async fn sheet(State(desk): State<Arc<Desk>>, _: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    sheet_of(&desk, move |catalogue, settings| {
        let ((until, _), place) = (asked.until(settings.printed_on), asked.place());
        let (survey, intervals) = (catalogue.survey(place)?, catalogue.intervals()?);
        Ok(report::survey(&survey, &SurveyAsked { until, place, intervals: &intervals }, settings)?)
    })
    .await
}
