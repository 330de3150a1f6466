//! Coming in and going out: the link of the terminal, the sign-in page, the name for the journal.

use std::sync::Arc;
use std::time::Instant;

use axum::extract::{Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Json, Router};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::desk::{self, Desk, Entrance};
use super::door::{self, Perhaps, set_cookie};
use super::fault::Wrong;
use super::form::again;
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::measure::System;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/enter", get(enter))
        .route("/sign-in", get(ask).post(sign_in))
        .route("/sign-out", post(sign_out))
        .route("/name", get(ask_name).post(set_name))
        .route("/units", post(set_units))
        .route("/token", get(token))
}

#[derive(Deserialize)]
struct Key {
    #[serde(default)]
    key: String,
}

/// The link of the terminal: its secret becomes a cookie and leaves the address line.
async fn enter(State(desk): State<Arc<Desk>>, Query(asked): Query<Key>) -> Result<Response, Wrong> {
    match &desk.entrance {
        Entrance::Link { key, by } if key.is(&asked.key) => {
            let secret = desk.sessions.begin(by.clone(), Desk::role_by_link()).map_err(|_| Wrong::broken())?;
            Ok(([(header::SET_COOKIE, set_cookie(&desk, Some(&secret)))], Redirect::to("/")).into_response())
        }
        Entrance::Link { .. } => Err(Wrong::new(
            StatusCode::UNAUTHORIZED,
            "This link is of another run of the program. Open the one that the terminal shows now.",
        )),
        Entrance::Accounts => Ok(Redirect::to("/sign-in").into_response()),
    }
}

#[derive(Deserialize)]
struct To {
    to: Option<String>,
}

/// What the sign-in page shows.
#[derive(Serialize, Default)]
struct SignIn {
    name: String,
    to: String,
    wrong: String,
}

async fn ask(State(desk): State<Arc<Desk>>, Perhaps(known): Perhaps, Query(To { to }): Query<To>) -> Response {
    if known.is_some() || !desk.has_accounts() {
        return Redirect::to("/").into_response();
    }
    sign_in_page(&desk, StatusCode::OK, SignIn { to: inside(to.as_deref()).to_owned(), ..SignIn::default() })
}

fn sign_in_page(desk: &Desk, status: StatusCode, page: SignIn) -> Response {
    frame::bare(desk, status, &Leaf { template: "sign_in.html", title: "Sign in".into(), page })
}

#[derive(Deserialize)]
struct Asked {
    #[serde(default)]
    name: String,
    #[serde(default)]
    password: String,
    to: Option<String>,
}

async fn sign_in(State(desk): State<Arc<Desk>>, Form(asked): Form<Asked>) -> Result<Response, Wrong> {
    if !desk.has_accounts() {
        return Ok(Redirect::to("/").into_response());
    }
    let to = inside(asked.to.as_deref()).to_owned();
    let again = |status, wrong: String| {
        let page = SignIn { name: asked.name.clone(), to: to.clone(), wrong };
        sign_in_page(&desk, status, page)
    };
    let turn = desk.hashing.turn().await?;
    if let Some(wait) = desk.slowing.wait(&asked.name, Instant::now()) {
        let seconds = wait.as_secs() + 1;
        let wrong = format!("Too many tries went wrong. Wait {seconds} seconds, then try again.");
        let mut response = again(StatusCode::TOO_MANY_REQUESTS, wrong);
        response.headers_mut().insert(header::RETRY_AFTER, seconds.into());
        return Ok(response);
    }
    let (name, password) = (asked.name.clone(), asked.password);
    let credentials = desk::read(&desk, move |catalogue| Ok(catalogue.credentials(&name)?)).await?;
    let (name, for_work) = (asked.name.clone(), desk.clone());
    // How it went is remembered before the next has its turn, and even if whoever asked does not wait for it.
    let tried = move || {
        let account = credentials.open_to(&password);
        match &account {
            Some(account) => for_work.slowing.succeeded(&account.name),
            None => for_work.slowing.failed(&name, Instant::now()),
        }
        account
    };
    let Some(account) = desk::work(turn, tried).await? else {
        let wrong = "Name and password do not belong together. Look at capital letters and the language of the keys.";
        return Ok(again(StatusCode::UNAUTHORIZED, wrong.into()));
    };
    let secret = desk.sessions.begin(Some(account.name), account.role).map_err(|_| Wrong::broken())?;
    Ok(([(header::SET_COOKIE, set_cookie(&desk, Some(&secret)))], Redirect::to(&to)).into_response())
}

async fn sign_out(State(desk): State<Arc<Desk>>, Perhaps(known): Perhaps) -> Response {
    if let Some((_, cookie)) = known {
        desk.sessions.end(&cookie.0);
    }
    let to = if desk.has_accounts() { "/sign-in" } else { "/" };
    ([(header::SET_COOKIE, set_cookie(&desk, None))], Redirect::to(to)).into_response()
}

/// What the page that asks for a name shows.
#[derive(Serialize)]
struct Naming {
    name: String,
    to: String,
    wrong: String,
}

async fn ask_name(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Query(To { to }): Query<To>,
) -> Result<Response, Wrong> {
    let page = Naming {
        name: visitor.name.clone().unwrap_or_default(),
        to: inside(to.as_deref()).to_owned(),
        wrong: String::new(),
    };
    name_page(&desk, &visitor, page).await
}

async fn name_page(desk: &Arc<Desk>, visitor: &Visitor, page: Naming) -> Result<Response, Wrong> {
    let leaf = Leaf { template: "name.html", title: "Your name".into(), page };
    frame::page(desk, visitor, Room::Door, move |_, _| Ok(leaf)).await
}

#[derive(Deserialize)]
struct Named {
    #[serde(default)]
    name: String,
    to: Option<String>,
}

async fn set_name(
    State(desk): State<Arc<Desk>>,
    Perhaps(known): Perhaps,
    Form(asked): Form<Named>,
) -> Result<Response, Wrong> {
    let Some((visitor, cookie)) = known else { return Err(Wrong::forbidden("Nobody is signed in at this browser.")) };
    if desk.has_accounts() {
        return Err(Wrong::forbidden("The name in the journal is that of your account."));
    }
    let (name, to) = (asked.name.trim().to_owned(), inside(asked.to.as_deref()).to_owned());
    if name.is_empty() || name.chars().count() > 120 || name.chars().any(char::is_control) {
        let wrong = "Write the name by which the journal is to know you: 1 to 120 characters on one line.".into();
        return name_page(&desk, &visitor, Naming { name: asked.name, to, wrong }).await.map(again);
    }
    desk.sessions.set(&cookie.0, Some(name), visitor.role);
    Ok(Redirect::to(&to).into_response())
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Preferred {
    units: String,
}

/// The token of this browser by now, for a window that was opened before somebody came in again. Only a script of our own
/// pages can read it: others' are refused here, and their browsers would keep the answer from them as well.
async fn token(State(desk): State<Arc<Desk>>, visitor: Visitor, headers: HeaderMap) -> Result<Response, Wrong> {
    if headers.get("sec-fetch-site").is_none_or(|site| site != "same-origin") {
        return Err(Wrong::forbidden("This is for the scripts of this catalogue's own pages alone."));
    }
    let known = json!({ "token": visitor.token.as_str(), "name": visitor.name, "accounts": desk.has_accounts() });
    Ok(([(header::CACHE_CONTROL, "no-store")], Json(known)).into_response())
}

/// In which system this browser shows lengths first; back to the page from which it was asked.
async fn set_units(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    headers: HeaderMap,
    Form(asked): Form<Preferred>,
) -> Result<Response, Wrong> {
    let Some(units) = System::named(&asked.units) else {
        return Err(Wrong::refused("Lengths are shown in `metric` or in `inches` first."));
    };
    let from = headers.get(header::REFERER).and_then(|v| v.to_str().ok()).unwrap_or_default();
    let path = from.split_once("://").and_then(|(_, rest)| rest.find('/').map(|at| &rest[at..]));
    Ok(([(header::SET_COOKIE, door::set_units(&desk, units))], Redirect::to(inside(path))).into_response())
}

/// Where to go next, if that is a place of ours; a foreign address in a link leads nowhere.
fn inside(to: Option<&str>) -> &str {
    let ours = |to: &&str| {
        let plain = to.bytes().all(|b| (0x21..0x7f).contains(&b) && b != b'\\');
        to.starts_with('/') && !to.starts_with("//") && plain
    };
    to.filter(ours).unwrap_or("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_sent_on_to_places_of_ours_alone() {
        let cases = [
            (None, "/"),
            (Some("/pieces/2018.2?x=1"), "/pieces/2018.2?x=1"),
            (Some("//elsewhere.example"), "/"),
            (Some("/\\elsewhere.example"), "/"),
            (Some("https://elsewhere.example"), "/"),
            (Some("javascript:alert(1)"), "/"),
            (Some("/\t/elsewhere.example"), "/"),
            (Some("/a\r\nSet-Cookie: x=y"), "/"),
        ];
        for (to, goes) in cases {
            assert_eq!(inside(to), goes, "{to:?}");
        }
    }
}
