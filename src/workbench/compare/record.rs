//! What a comparison enters: a reason beside a difference, and the comparison itself under a name.

use std::fmt::Write as _;
use std::sync::Arc;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use axum::{Form, Router};
use serde::Deserialize;

use super::Asked;
use crate::catalogue::{Intent, Keeping};
use crate::exchange::{entry, sheet};
use crate::record::account::Role;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{self, Wrong, sentence, written};
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/comparison/departure", post(departure)).route("/comparison/keep", post(keep))
}

/// A reason for a difference.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Explained {
    back: String,
    number: String,
    component: String,
    feature: String,
    was: String,
    now: String,
    reason: String,
    note: String,
    learned: String,
}

impl Explained {
    /// The sheet that records it.
    fn sheet(&self) -> String {
        let mut text = format!("[piece]\nnumber = {}\n\n[[departure]]\n", sheet::quoted(self.number.trim()));
        for (name, value) in [
            ("feature", &self.feature),
            ("component", &self.component),
            ("was", &self.was),
            ("now", &self.now),
            ("reason", &self.reason),
            ("note", &self.note),
            ("learned", &self.learned),
        ] {
            let value = value.trim();
            if !value.is_empty() {
                let _ = writeln!(text, "{name} = {}", sheet::quoted(value));
            }
        }
        text
    }
}

/// Records a departure as a sheet would.
async fn departure(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Form(asked): Form<Explained>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let author = visitor.author()?.to_owned();
    let back = own(&asked.back);
    desk::write(&desk, move |catalogue| {
        let file = catalogue.piece(&asked.number)?;
        let is_it = |d: &crate::record::making::Departure| {
            d.feature == written(&asked.feature) && d.component == written(&asked.component)
        };
        if file.departures.iter().any(is_it) {
            return Err(Wrong::new(
                StatusCode::CONFLICT,
                format!(
                    "A reason for `{}` of {} was recorded meanwhile. Load the comparison again to read it; yours was not \
                     entered. On the page of the piece it can be corrected.",
                    asked.feature, asked.number
                ),
            ));
        }
        let read = entry::read(catalogue, asked.sheet().as_bytes())
            .map_err(|mistakes| Wrong::refused(fault::sentences(mistakes.iter().map(|m| m.what.as_str()))))?;
        let reason = format!("a reason for a difference: {}", asked.feature.trim());
        catalogue.enter(&read.file, &Intent { author, reason: Some(reason), ..Intent::default() })?;
        Ok(())
    })
    .await?;
    Ok(Redirect::to(&back).into_response())
}

/// A comparison to keep.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Keep {
    back: String,
    name: String,
    reason: String,
}

async fn keep(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(form): Form<Keep>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let author = visitor.author()?.to_owned();
    let back = own(&form.back);
    let asked = Asked::read(back.split_once('?').map(|(_, query)| query).unwrap_or_default());
    let name = form.name.trim().to_owned();
    let reason = written(&form.reason).unwrap_or_else(|| "comparison kept".into());
    let kept = name.clone();
    let _: Keeping = desk::write(&desk, move |catalogue| {
        let basis = asked.basis(catalogue).map_err(|why| Wrong::refused(sentence(&why)))?;
        Ok(catalogue.keep_comparison(&author, &reason, &name, (&asked.piece, &asked.with), &basis)?)
    })
    .await?;
    let query = form_urlencoded::Serializer::new(String::new()).append_pair("kept", &kept).finish();
    Ok(Redirect::to(&format!("/comparison?{query}")).into_response())
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
