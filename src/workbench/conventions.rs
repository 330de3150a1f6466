//! The conventions in force and the collection itself: how what is written is understood, what reports are headed with.

use std::sync::Arc;

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form as Body, Router};
use serde::Serialize;

use super::desk::Desk;
use super::fault::Wrong;
use super::form::{self, Amiss, Field, Form, Sent, Typed, with_status};
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Collection};
use crate::dating;
use crate::measure::System;
use crate::optics::Place;
use crate::record::account::Role;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/conventions", get(whole))
        .route("/conventions/dates", post(dates))
        .route("/conventions/collection", post(collection))
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    dates: Vec<String>,
    version: String,
    definitions: String,
    name: String,
    place: String,
    units: &'static str,
    /// What changes them, for who may.
    of_dates: Option<Form>,
    of_collection: Option<Form>,
}

/// Which form is shown again, as it was sent, and what is wrong.
#[derive(Default)]
struct Again {
    dates: Sent,
    collection: Sent,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    show(&desk, &visitor, Again::default()).await
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, sent: Again) -> Result<Response, Wrong> {
    let may = visitor.role >= Role::Keep;
    frame::page(desk, visitor, Room::Words, move |catalogue, _| {
        let (standing, described) = (catalogue.conventions()?, catalogue.collection()?);
        let page = Page {
            dates: standing.sentences(),
            version: catalogue.vocabulary().version(),
            definitions: catalogue.vocabulary().definitions(),
            of_dates: may.then(|| of_dates(&standing, sent.dates)),
            of_collection: may.then(|| of_collection(&described, sent.collection)),
            units: described.units.map_or("metric", System::word),
            place: described.place.map(|place| place.to_string()).unwrap_or_default(),
            name: described.name.unwrap_or_default(),
        };
        Ok(Leaf { template: "conventions.html", title: "Conventions in force".into(), page })
    })
    .await
}

fn of_dates(standing: &dating::Conventions, sent: Sent) -> Form {
    let mut fields: Vec<Field> = dating::Conventions::CHOICES
        .map(|choice| match choice.answers {
            [] => Field::of("number", choice.word, choice.asks).required(),
            answers => Field::choice(choice.word, choice.asks, answers.iter().copied()),
        })
        .into();
    fields.push(Field::why());
    Form::settling("/conventions/dates", "Read dates so from now on", fields, sent, dates_stand(standing))
        .says("Dates that stand in the record keep the years they were given, each with the convention that gave them.")
}

fn dates_stand(standing: &dating::Conventions) -> Typed {
    dating::Conventions::CHOICES.map(|choice| (choice.word, standing.answer(choice.word))).into_iter().collect()
}

fn of_collection(described: &Collection, sent: Sent) -> Form {
    let fields = vec![
        Field::text("name", "What reports are headed with").hint("blank for nothing"),
        Field::text("place", "Where the collection is kept")
            .hint("51.5 N 0.13 W; from it the sun in daylight photographs is reckoned; blank for nowhere"),
        Field::choice("units", "Lengths first in", [("metric", "centimetres"), ("inches", "inches")])
            .hint("for whoever has not chosen for themselves at the top of the page"),
        Field::why(),
    ];
    Form::settling("/conventions/collection", "Describe it so", fields, sent, collection_stands(described))
}

fn collection_stands(described: &Collection) -> Typed {
    let fields = [
        ("name", described.name.clone().unwrap_or_default()),
        ("place", described.place.map(|place| place.to_string()).unwrap_or_default()),
        ("units", described.units.unwrap_or_default().word().to_owned()),
    ];
    fields.into_iter().collect()
}

async fn dates(State(desk): State<Arc<Desk>>, visitor: Visitor, Body(typed): Body<Typed>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let chosen = form::who(&visitor).and_then(|author| {
        let mut chosen = dating::Conventions::default();
        for choice in &dating::Conventions::CHOICES {
            chosen.choose(choice, typed.get(choice.word)).map_err(|why| Amiss::at(choice.word, why))?;
        }
        Ok((author, chosen))
    });
    let work = chosen.map(|(author, chosen)| {
        let reason = typed.some("reason").unwrap_or_else(|| "dating convention chosen".into());
        move |catalogue: &mut Catalogue| catalogue.set_conventions(&author, &reason, &chosen)
    });
    let stands = |catalogue: &Catalogue| Ok(Some(dates_stand(&catalogue.conventions()?)));
    match form::settle(&desk, "", &typed, stands, work).await? {
        Ok(_) => Ok(Redirect::to("/conventions").into_response()),
        Err(amiss) => {
            let status = amiss.status();
            let sent = Again { dates: Some((typed, amiss)), ..Again::default() };
            Ok(with_status(show(&desk, &visitor, sent).await?, status))
        }
    }
}

async fn collection(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let described = form::who(&visitor).and_then(|author| {
        let place = typed.some("place").map(|text| Place::parse(&text)).transpose();
        let place = place.map_err(|refusal| Amiss::at("place", refusal.to_string()))?;
        Ok((author, Collection { name: typed.some("name"), place, units: System::named(typed.get("units")) }))
    });
    let work = described.map(|(author, described)| {
        let reason = typed.some("reason").unwrap_or_else(|| "collection described".into());
        move |catalogue: &mut Catalogue| catalogue.set_collection(&author, &reason, &described)
    });
    let stands = |catalogue: &Catalogue| Ok(Some(collection_stands(&catalogue.collection()?)));
    match form::settle(&desk, "name", &typed, stands, work).await? {
        Ok(_) => Ok(Redirect::to("/conventions").into_response()),
        Err(amiss) => {
            let status = amiss.status();
            let sent = Again { collection: Some((typed, amiss)), ..Again::default() };
            Ok(with_status(show(&desk, &visitor, sent).await?, status))
        }
    }
}
