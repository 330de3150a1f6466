//! Who may sign in at the workbench from another desk, and what they may do.

use std::sync::Arc;

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form as Body, Router};
use serde::Serialize;

use super::desk::Desk;
use super::door::Perhaps;
use super::fault::Wrong;
use super::form::{self, Amiss, Field, Form, Sent, Typed, with_status};
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Fault};
use crate::record::account::{Account, Role};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/accounts", get(whole).post(add))
        .route("/accounts/change", post(change))
        .route("/accounts/remove", post(remove))
}

/// One who may sign in.
#[derive(Serialize)]
struct Row {
    name: String,
    may: &'static str,
    change: Form,
    remove: Form,
}

#[derive(Serialize)]
struct Page {
    rows: Vec<Row>,
    add: Form,
    /// Whether this workbench asks for names and passwords.
    asks: bool,
    /// What is wrong with what was sent of an account that is there no more.
    gone: String,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    show(&desk, &visitor, None).await
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, sent: Sent) -> Result<Response, Wrong> {
    let asks = desk.has_accounts();
    frame::page(desk, visitor, Room::Safekeeping, move |catalogue, _| {
        let accounts = catalogue.accounts()?;
        // What was sent is shown again where it was sent from: at an account, or where one is added.
        let of = |name: &str| sent.clone().filter(|(typed, _)| typed.get("of") == name);
        // The first who may sign in is somebody who may let the others in.
        let keeps = accounts.iter().any(|account| account.role == Role::Keep);
        let first = if keeps { Role::Read } else { Role::Keep };
        let fresh = || [("role", first.word().to_owned())].into_iter().collect();
        let add = Form::sent("/accounts", "Add the account", new_fields(), of(""), fresh);
        let is_there = |typed: &Typed| accounts.iter().any(|account| account.name == typed.get("of"));
        let gone = sent.as_ref().filter(|(typed, _)| !typed.get("of").is_empty() && !is_there(typed));
        let gone = gone.map(|(_, amiss)| amiss.says.clone()).unwrap_or_default();
        let rows = accounts.iter().map(|account| row(account, of(&account.name))).collect();
        Ok(Leaf { template: "accounts.html", title: "Accounts".into(), page: Page { rows, add, asks, gone } })
    })
    .await
}

fn roles() -> impl Iterator<Item = (&'static str, String)> {
    Role::ALL.into_iter().map(|role| (role.word(), format!("{}: {}", role.word(), role.may())))
}

fn password(label: &str) -> Field {
    Field::of("password", "password", label)
}

fn new_fields() -> Vec<Field> {
    vec![
        Field::text("name", "Name").hint("it stands in the journal beside all that they enter").required(),
        Field::choice("role", "What they may do", roles()),
        password("Password").hint("at least twelve characters; a few words do well").required(),
        Field::of("password", "again", "The same again").required(),
    ]
}

fn row(account: &Account, sent: Sent) -> Row {
    let fields = vec![
        Field::of("hidden", "of", ""),
        Field::choice("role", "What they may do", roles()),
        password("A new password").hint("blank leaves it as it is"),
        Field::of("password", "again", "The same again"),
    ];
    let change = Form::settling("/accounts/change", "Change", fields, sent, stands(account));
    let of = vec![Field::of("hidden", "of", "")];
    let remove = Form::settling("/accounts/remove", "Remove this account", of, None, stands(account))
        .says("What they entered stays theirs in the journal.");
    Row { name: account.name.clone(), may: account.role.word(), change, remove }
}

fn stands(account: &Account) -> Typed {
    [("of", account.name.clone()), ("role", account.role.word().to_owned())].into_iter().collect()
}

/// The password, where it was typed twice alike; none where it was left blank.
fn twice(typed: &Typed) -> Result<Option<String>, Amiss> {
    let (first, second) = (typed.exactly("password"), typed.exactly("again"));
    if first != second {
        return Err(Amiss::at("again", "the two passwords differ; nothing was changed"));
    }
    Ok(Some(first.to_owned()).filter(|password| !password.is_empty()))
}

fn role(typed: &Typed) -> Result<Role, Amiss> {
    Role::from_word(typed.get("role")).ok_or_else(|| Amiss::at("role", "choose what they may do"))
}

/// Changes the accounts, or shows them again with what is wrong.
async fn put(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    typed: Typed,
    field: &'static str,
    work: Result<impl FnOnce(&mut Catalogue) -> Result<(), Fault> + Send + 'static, Amiss>,
) -> Result<Response, Wrong> {
    let of = typed.get("of").to_owned();
    let now =
        move |catalogue: &Catalogue| Ok(catalogue.accounts()?.iter().find(|account| account.name == of).map(stands));
    // One at a time as all that is written: a password takes a core and memory to hash.
    match form::settle(desk, field, &typed, now, work).await? {
        Ok(()) => Ok(Redirect::to("/accounts").into_response()),
        Err(amiss) => {
            let status = amiss.status();
            Ok(with_status(show(desk, visitor, Some((typed, amiss))).await?, status))
        }
    }
}

async fn add(State(desk): State<Arc<Desk>>, visitor: Visitor, Body(typed): Body<Typed>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let new = form::who(&visitor).and_then(|author| {
        let password = twice(&typed)?.ok_or_else(|| Amiss::at("password", "an account needs a password"))?;
        Ok((author, Account { name: typed.get("name").to_owned(), role: role(&typed)? }, password))
    });
    // The name may be refused, or the password.
    let short = new.as_ref().is_ok_and(|(_, new, _)| !new.name.is_empty());
    let field = if short { "password" } else { "name" };
    let work = new.map(|(author, new, password)| {
        move |catalogue: &mut Catalogue| catalogue.add_account(&author, &new, &password)
    });
    put(&desk, &visitor, typed, field, work).await
}

async fn change(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Perhaps(known): Perhaps,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let changed = form::who(&visitor).and_then(|author| Ok((author, role(&typed)?, twice(&typed)?)));
    let name = typed.get("of").to_owned();
    let of = name.clone();
    let new_password = matches!(&changed, Ok((_, _, Some(_))));
    let work = changed.map(|(author, role, password)| {
        move |catalogue: &mut Catalogue| catalogue.change_account(&author, &of, Some(role), password.as_deref())
    });
    let answer = put(&desk, &visitor, typed, "password", work).await?;
    // Whoever came in by the old password does not stay in; the browser in which it was changed does.
    if new_password && answer.status().is_redirection() {
        desk.sessions.end_others(&name, known.as_ref().map(|(_, cookie)| cookie.0.as_str()));
    }
    Ok(answer)
}

async fn remove(State(desk): State<Arc<Desk>>, visitor: Visitor, Body(typed): Body<Typed>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let name = typed.get("of").to_owned();
    let work =
        form::who(&visitor).map(|author| move |catalogue: &mut Catalogue| catalogue.remove_account(&author, &name));
    put(&desk, &visitor, typed, "", work).await
}
