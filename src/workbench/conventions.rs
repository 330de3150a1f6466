//! The conventions in force and the collection itself: how what is written is understood, what reports are headed with.

use std::sync::Arc;

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form as Body, Router};
use serde::Serialize;

use super::desk::{self, Desk};
use super::fault::Wrong;
use super::form::{self, Amiss, Field, Form, Typed, again};
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
struct Sent {
    dates: Option<(Typed, Amiss)>,
    collection: Option<(Typed, Amiss)>,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    show(&desk, &visitor, Sent::default()).await
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, sent: Sent) -> Result<Response, Wrong> {
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

const WHY: &str = "the journal keeps it";

fn of_dates(standing: &dating::Conventions, sent: Option<(Typed, Amiss)>) -> Form {
    let mut fields: Vec<Field> = dating::Conventions::CHOICES
        .map(|choice| match choice.answers {
            [] => Field::of("number", choice.word, choice.asks).required(),
            answers => Field::choice(choice.word, choice.asks, answers.iter().copied()),
        })
        .into();
    fields.push(Field::text("reason", "Why").hint(WHY));
    let stands = || dating::Conventions::CHOICES.map(|choice| (choice.word, standing.answer(choice.word)));
    let (typed, amiss) = sent.map_or_else(|| (stands().into_iter().collect(), None), |(t, a)| (t, Some(a)));
    Form::new("/conventions/dates", "Read dates so from now on", fields, &typed)
        .says("Dates that stand in the record keep the years they were given, each with the convention that gave them.")
        .amiss(amiss.as_ref())
}

fn of_collection(described: &Collection, sent: Option<(Typed, Amiss)>) -> Form {
    let fields = vec![
        Field::text("name", "What reports are headed with").hint("blank for nothing"),
        Field::text("place", "Where the collection is kept")
            .hint("51.5 N 0.13 W; from it the sun in daylight photographs is reckoned; blank for nowhere"),
        Field::choice("units", "Lengths first in", [("metric", "centimetres"), ("inches", "inches")])
            .hint("for whoever has not chosen for themselves at the top of the page"),
        Field::text("reason", "Why").hint(WHY),
    ];
    let stands = || {
        [
            ("name", described.name.clone().unwrap_or_default()),
            ("place", described.place.map(|place| place.to_string()).unwrap_or_default()),
            ("units", described.units.unwrap_or_default().word().to_owned()),
        ]
    };
    let (typed, amiss) = sent.map_or_else(|| (stands().into_iter().collect(), None), |(t, a)| (t, Some(a)));
    Form::new("/conventions/collection", "Describe it so", fields, &typed).amiss(amiss.as_ref())
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
    let amiss = match chosen {
        Ok((author, chosen)) => {
            let reason = typed.some("reason").unwrap_or_else(|| "dating convention chosen".into());
            let put = move |catalogue: &mut Catalogue| catalogue.set_conventions(&author, &reason, &chosen);
            desk::write(&desk, move |catalogue| form::beside("", put(catalogue))).await?.err()
        }
        Err(amiss) => Some(amiss),
    };
    match amiss {
        None => Ok(Redirect::to("/conventions").into_response()),
        Some(amiss) => {
            let sent = Sent { dates: Some((typed, amiss)), ..Sent::default() };
            show(&desk, &visitor, sent).await.map(again)
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
    let amiss = match described {
        Ok((author, described)) => {
            let reason = typed.some("reason").unwrap_or_else(|| "collection described".into());
            let put = move |catalogue: &mut Catalogue| catalogue.set_collection(&author, &reason, &described);
            desk::write(&desk, move |catalogue| form::beside("name", put(catalogue))).await?.err()
        }
        Err(amiss) => Some(amiss),
    };
    match amiss {
        None => Ok(Redirect::to("/conventions").into_response()),
        Some(amiss) => {
            let sent = Sent { collection: Some((typed, amiss)), ..Sent::default() };
            show(&desk, &visitor, sent).await.map(again)
        }
    }
}
