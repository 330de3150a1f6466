//! Terms of the collection's own, and its own definitions of the words by which it judges.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form as Body, Router};
use serde::Serialize;

use super::desk::Desk;
use super::fault::Wrong;
use super::form::{self, Amiss, Field, Form, Sent, Typed, again};
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use super::words::scheme_of;
use crate::catalogue::{Catalogue, Fault};
use crate::record::account::Role;
use crate::report::day;
use crate::vocabulary::{Scheme, TermId, Vocabulary, WORDED, Wording};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/words/{scheme}/own", get(whole).post(add))
        .route("/words/{scheme}/own/remove", post(remove))
        .route("/words/{scheme}/own/wording", post(word))
}

/// A term that the collection added.
#[derive(Serialize)]
struct Own {
    name: String,
    definition: String,
    source: String,
}

/// A definition of the collection's own, or the day from which the shipped one held again.
#[derive(Serialize)]
struct Worded {
    term: String,
    since: String,
    definition: String,
    source: String,
    entered: String,
}

#[derive(Serialize)]
struct Page {
    title: &'static str,
    list: &'static str,
    own: Vec<Own>,
    wordings: Vec<Worded>,
    add: Option<Form>,
    /// None where the definitions of this list stay as shipped.
    word: Option<Form>,
    worded: bool,
    /// Where a term is removed, and what is wrong with removing one.
    remove: String,
    amiss: String,
}

/// Which form was sent, and what is wrong with it.
#[derive(Default)]
struct Again {
    add: Sent,
    word: Sent,
    remove: Option<Amiss>,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(list): Path<String>) -> Result<Response, Wrong> {
    show(&desk, &visitor, scheme_of(&list)?, Again::default()).await
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, scheme: Scheme, sent: Again) -> Result<Response, Wrong> {
    let (may, today) = (visitor.role >= Role::Keep, desk.today());
    frame::page(desk, visitor, Room::Words, move |catalogue, _| {
        let words = catalogue.vocabulary();
        let own = words.terms(scheme).filter(|term| term.local).map(|term| Own {
            name: term.name().to_owned(),
            definition: term.definition.clone(),
            source: term.source.clone(),
        });
        let worded = WORDED.contains(&scheme);
        let page = Page {
            title: scheme.title(),
            list: scheme.key(),
            own: own.collect(),
            wordings: wordings(words, scheme),
            add: may.then(|| of_new(scheme, sent.add)),
            word: (may && worded).then(|| of_wording(words, scheme, &today.to_string(), sent.word)),
            worded,
            remove: if may { format!("/words/{}/own/remove", scheme.key()) } else { String::new() },
            amiss: sent.remove.map(|amiss| amiss.says).unwrap_or_default(),
        };
        let title = format!("{}: words of our own", scheme.title());
        Ok(Leaf { template: "own_words.html", title, page })
    })
    .await
}

fn wordings(words: &Vocabulary, scheme: Scheme) -> Vec<Worded> {
    let of = |name: &str, w: &Wording| Worded {
        term: name.to_owned(),
        since: day(Some(w.since)),
        definition: w.definition.clone().unwrap_or_default(),
        source: w.source.clone(),
        entered: day(Some(w.entered)),
    };
    let each = words.terms(scheme).flat_map(|term| words.wordings(&term.id).map(|w| of(term.name(), w)));
    each.collect()
}

fn of_new(scheme: Scheme, sent: Sent) -> Form {
    let fields = vec![
        Field::text("name", "The term").required(),
        Field::text("broader", "The broader term that it belongs under").hint("blank for none"),
        Field::of("area", "definition", "What it means").required(),
        Field::text("source", "Where that is written, who decided it, or how you know").required(),
    ];
    Form::sent(format!("/words/{}/own", scheme.key()), "Add the term", fields, sent, Typed::default)
}

fn of_wording(words: &Vocabulary, scheme: Scheme, today: &str, sent: Sent) -> Form {
    let terms = words.terms(scheme).map(|term| (term.name().to_owned(), term.name().to_owned()));
    let fields = vec![
        Field::choice("term", "The term", terms),
        Field::of("area", "definition", "What it means here").hint("blank goes back to the shipped definition"),
        Field::text("source", "Where that is written, or who decided it"),
        Field::of("date", "since", "From the day").required(),
    ];
    let begins = || [("since", today.to_owned())].into_iter().collect();
    Form::sent(format!("/words/{}/own/wording", scheme.key()), "Define it so", fields, sent, begins)
        .says("A report prints the definition in force on the day of its examination; earlier ones stay.")
}

/// Back to the page if it was done; else what is wrong.
async fn put(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    scheme: Scheme,
    field: &'static str,
    work: Result<impl FnOnce(&mut Catalogue) -> Result<(), Fault> + Send + 'static, Amiss>,
    sent: impl FnOnce(Amiss) -> Again,
) -> Result<Response, Wrong> {
    match form::put(desk, field, work).await? {
        Ok(()) => Ok(Redirect::to(&format!("/words/{}/own", scheme.key())).into_response()),
        Err(amiss) => show(desk, visitor, scheme, sent(amiss)).await.map(again),
    }
}

async fn add(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(list): Path<String>,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let scheme = scheme_of(&list)?;
    let new = form::who(&visitor).and_then(|author| {
        let wanted = |name: &'static str, what: &str| typed.some(name).ok_or_else(|| Amiss::at(name, what));
        let name = wanted("name", "a term needs a name")?;
        let definition = wanted("definition", "a term needs a definition")?;
        let source = wanted("source", "say where it is written, who decided it, or how you know")?;
        Ok((author, TermId::new(scheme, &name), typed.some("broader"), definition, source))
    });
    let field = if typed.some("broader").is_some() { "broader" } else { "name" };
    let work = new.map(|(author, id, broader, definition, source)| {
        move |catalogue: &mut Catalogue| catalogue.add_term(&author, &id, broader.as_deref(), &definition, &source)
    });
    let sent = |amiss| Again { add: Some((typed, amiss)), ..Again::default() };
    put(&desk, &visitor, scheme, field, work, sent).await
}

async fn remove(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(list): Path<String>,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let scheme = scheme_of(&list)?;
    let id = TermId::new(scheme, typed.get("term"));
    let work = form::who(&visitor).map(|author| move |catalogue: &mut Catalogue| catalogue.remove_term(&author, &id));
    put(&desk, &visitor, scheme, "", work, |amiss| Again { remove: Some(amiss), ..Again::default() }).await
}

async fn word(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(list): Path<String>,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let scheme = scheme_of(&list)?;
    let today = desk.today();
    let meant = form::who(&visitor).and_then(|author| {
        let since = typed.get("since").parse();
        let since = since.map_err(|_| Amiss::at("since", format!("write the day as {today}")))?;
        let definition = typed.some("definition");
        let source = match (&definition, typed.some("source")) {
            (_, Some(source)) => source,
            (None, None) => "as shipped".into(),
            (Some(_), None) => return Err(Amiss::at("source", "say where it is written, or who decided it")),
        };
        let term = TermId::new(scheme, typed.get("term"));
        Ok((author, Wording { term, since, entered: today, definition, source }))
    });
    let work = meant
        .map(|(author, wording)| move |catalogue: &mut Catalogue| catalogue.word_term(&author, &wording).map(drop));
    let sent = |amiss| Again { word: Some((typed, amiss)), ..Again::default() };
    put(&desk, &visitor, scheme, "term", work, sent).await
}
