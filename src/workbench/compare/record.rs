//! What a comparison enters: a reason beside a difference, and the comparison itself under a name.

use std::fmt::Write as _;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use axum::{Form as Body, Router};
use serde::Serialize;
use serde_json::{Map, Value};

use super::{Again, Asked, show};
use crate::catalogue::{Catalogue, Fault, Intent};
use crate::exchange::correction::{self, Correction, Refusal};
use crate::exchange::{entry, sheet};
use crate::record::account::Role;
use crate::record::making::Departure;
use crate::vocabulary::{Scheme, TermId, Vocabulary};
use crate::workbench::correct::told;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{self, Wrong, sentence};
use crate::workbench::form::{self, Amiss, Field, Form, Retry, Sent, Typed, Why, with_status};
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/comparison/departure", post(departure))
        .route("/comparison/keep", post(keep))
        .route("/comparison/kept/{id}/remove", post(remove))
}

/// The fields of a departure that a form of this page sends.
const FIELDS: [&str; 7] = ["feature", "component", "was", "now", "reason", "note", "learned"];

/// The sheet that records it.
fn written_out(typed: &Typed) -> String {
    let mut text = format!("[piece]\nnumber = {}\n\n[[departure]]\n", sheet::quoted(typed.get("number")));
    for (name, value) in FIELDS.map(|name| (name, typed.get(name))) {
        if !value.is_empty() {
            let _ = writeln!(text, "{name} = {}", sheet::quoted(value));
        }
    }
    text
}

/// A reason that was not entered, to be shown again as it was typed.
pub(super) struct NotEntered {
    typed: Typed,
    amiss: Amiss,
    /// The one that was recorded meanwhile.
    stands: Option<Stands>,
    status: StatusCode,
}

/// The reason that stands beside the same difference.
#[derive(Serialize)]
pub(super) struct Stands {
    id: String,
    version: String,
    reason: String,
    note: String,
    learned: String,
}

impl NotEntered {
    fn refused(typed: Typed, (status, amiss): (StatusCode, Amiss)) -> Self {
        Self { typed, amiss, stands: None, status }
    }

    /// What its block on the page shows: the form as it was sent, and the reason that stands.
    pub fn shown(self, vocabulary: &Vocabulary) -> (Form, Option<Stands>) {
        let hidden = |name| Field::of("hidden", name, "");
        let reasons = vocabulary.terms(Scheme::DepartureReason);
        let reasons = reasons.map(|t| (t.id.name().to_owned(), format!("{}: {}", t.id.name(), t.definition)));
        let mut fields: Vec<Field> = ["back", "number", "component", "feature", "was", "now"].map(hidden).into();
        fields.extend([
            Field::choice("reason", "Reason", [(String::new(), "choose".to_owned())].into_iter().chain(reasons)),
            Field::text("note", "In your own words"),
            Field::text("learned", "What was learned, for next time"),
        ]);
        if let Some(stands) = &self.stands {
            fields.push(hidden("instead").holding(&stands.id));
            fields.push(hidden("version").holding(&stands.version));
        }
        let go = if self.stands.is_some() { "Enter mine in its place" } else { "Record it" };
        let change = ["component", "feature"].map(|name| self.typed.get(name)).into_iter().filter(|t| !t.is_empty());
        let says = format!(
            "{}; recorded as a departure of {}: was {}, now {}.",
            crate::report::capital(&change.collect::<Vec<_>>().join(", ")),
            self.typed.get("number"),
            self.typed.get("was"),
            self.typed.get("now")
        );
        let form = Form::new("/comparison/departure", go, fields, &self.typed).says(says).amiss(Some(&self.amiss));
        (form, self.stands)
    }
}

/// Records a departure as a sheet would; in the place of one that was recorded meanwhile, if that was seen and chosen.
async fn departure(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let back = own(typed.get("back"));
    let done = match form::who(&visitor) {
        Ok(author) => desk::write(&desk, move |catalogue| explain(catalogue, &author, typed)).await?,
        Err(amiss) => Err(NotEntered::refused(typed, (StatusCode::UNPROCESSABLE_ENTITY, amiss))),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&back).into_response()),
        Err(not) => {
            let status = not.status;
            let again = Again { reason: Some(not), ..Again::default() };
            Ok(with_status(show(&desk, &visitor, asked(&back), again).await?, status))
        }
    }
}

fn explain(catalogue: &mut Catalogue, author: &str, typed: Typed) -> Result<Result<(), NotEntered>, Wrong> {
    let refused = |typed, told| Ok(Err(NotEntered::refused(typed, told)));
    if typed.get("reason").is_empty() {
        let amiss = Amiss::at("reason", "Choose the reason. Nothing was entered.");
        return refused(typed, (StatusCode::UNPROCESSABLE_ENTITY, amiss));
    }
    let reason = format!("a reason for a difference: {}", typed.get("feature"));
    let (number, instead) = (typed.get("number").to_owned(), typed.get("instead").to_owned());
    let standing = stands(catalogue, &typed)?;
    if standing.is_some() && !instead.is_empty() {
        let value = |name: &str| (name.to_owned(), Value::String(typed.get(name).to_owned()));
        let fields: Map<String, Value> = ["was", "now", "reason", "note", "learned"].map(value).into_iter().collect();
        let version = typed.get("version").to_owned();
        let mine = Correction { section: "departure".into(), id: Some(instead), version, fields, withdraw: false };
        return match correction::correct(catalogue, &number, &mine, author, &reason) {
            Ok(_) => Ok(Ok(())),
            Err(Refusal::Meanwhile { .. }) => Ok(Err(both(stands(catalogue, &typed)?, typed))),
            Err(refusal) => refused(typed, told(refusal)?),
        };
    }
    if standing.is_some() {
        return Ok(Err(both(standing, typed)));
    }
    let read = match entry::read(catalogue, written_out(&typed).as_bytes()) {
        Ok(read) => read,
        Err(mistakes) => {
            let amiss = Amiss::at("reason", fault::sentences(mistakes.iter().map(|m| m.what.as_str())));
            return refused(typed, (StatusCode::UNPROCESSABLE_ENTITY, amiss));
        }
    };
    let intent = Intent { author: author.to_owned(), reason: Some(reason), ..Intent::default() };
    match form::beside("reason", catalogue.enter(&read.file, &intent))? {
        Ok(_) => Ok(Ok(())),
        Err(amiss) => refused(typed, (StatusCode::UNPROCESSABLE_ENTITY, amiss)),
    }
}

/// The reason that stands beside the difference which somebody explains.
fn stands(catalogue: &Catalogue, typed: &Typed) -> Result<Option<Stands>, Fault> {
    let file = catalogue.piece(typed.get("number"))?;
    let is_it = |d: &&Departure| d.feature == typed.some("feature") && d.component == typed.some("component");
    let Some(departure) = file.departures.iter().find(is_it) else { return Ok(None) };
    let line = correction::find(&file, "departure", departure.id.as_deref());
    Ok(Some(Stands {
        id: departure.id.clone().unwrap_or_default(),
        version: line.map(|(line, _)| line.version).unwrap_or_default(),
        reason: departure.reason.as_ref().map(TermId::name).unwrap_or_default().to_owned(),
        note: departure.note.clone().unwrap_or_default(),
        learned: departure.learned.clone().unwrap_or_default(),
    }))
}

/// Both reasons, to choose from.
fn both(stands: Option<Stands>, typed: Typed) -> NotEntered {
    let amiss = Amiss::at("", "A reason for this difference was recorded meanwhile. Yours is not entered yet; choose.");
    NotEntered { typed, amiss, stands, status: StatusCode::CONFLICT }
}

/// The form that keeps what is compared under a name.
pub(super) fn keeping(asked: &Asked, sent: Sent) -> Form {
    let fields = vec![Field::of("hidden", "back", ""), Field::text("name", "Its name").required(), Field::why()];
    let stands = || [("back", asked.address()), ("name", asked.kept.clone())].into_iter().collect();
    Form::sent("/comparison/keep", "Keep it", fields, sent, stands)
}

async fn keep(State(desk): State<Arc<Desk>>, visitor: Visitor, Body(typed): Body<Typed>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let compared = asked(&own(typed.get("back")));
    let name = typed.get("name").to_owned();
    let work = form::who(&visitor).map(|author| {
        let (compared, name) = (compared.clone(), name.clone());
        let reason = typed.some("reason").unwrap_or_else(|| "comparison kept".into());
        move |catalogue: &mut Catalogue| {
            let basis = compared.basis(catalogue).map_err(|why| Fault::Refused(sentence(&why)))?;
            catalogue.keep_comparison(&author, &reason, &name, (&compared.piece, &compared.with), &basis)
        }
    });
    match form::put(&desk, "name", work).await? {
        Ok(_) => {
            let query = form_urlencoded::Serializer::new(String::new()).append_pair("kept", &name).finish();
            Ok(Redirect::to(&format!("/comparison?{query}")).into_response())
        }
        Err(amiss) => {
            let again = Again { keep: Some((typed, amiss)), ..Again::default() };
            show(&desk, &visitor, compared, again).await.map(form::again)
        }
    }
}

/// Where a kept comparison is removed.
pub(super) fn removing(id: &str) -> String {
    format!("/comparison/kept/{}/remove", crate::report::link_part(id))
}

/// Removes the kept comparison that was seen, with a reason.
async fn remove(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(id): Path<String>,
    Body(Why { reason }): Body<Why>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let to = removing(&id);
    let work =
        move |catalogue: &mut Catalogue, author: &str, reason: &str| catalogue.remove_comparison(author, reason, &id);
    match form::put_with_reason(&desk, &visitor, &reason, work).await? {
        Ok(_) => Ok(Redirect::to("/comparison").into_response()),
        Err(amiss) => {
            let again = Again { removal: Retry::of(to, &reason, amiss), ..Again::default() };
            show(&desk, &visitor, Asked::default(), again).await.map(form::again)
        }
    }
}

/// What an address compares.
fn asked(back: &str) -> Asked {
    Asked::read(back.split_once('?').map(|(_, query)| query).unwrap_or_default())
}

/// An address of a comparison, or the page without one: a form never leads elsewhere.
fn own(back: &str) -> String {
    let plain = back.starts_with("/comparison?") && !back.contains(|c: char| c.is_control());
    if plain { back.to_owned() } else { "/comparison".to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_never_leads_elsewhere() {
        for (back, wanted) in [
            ("/comparison?piece=1&with=2", "/comparison?piece=1&with=2"),
            ("https://attacker.example/", "/comparison"),
            ("//attacker.example/comparison?", "/comparison"),
            ("/comparison?a\r\nSet-Cookie: x", "/comparison"),
            ("", "/comparison"),
        ] {
            assert_eq!(own(back), wanted, "{back:?}");
        }
    }
}
