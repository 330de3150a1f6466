//! Help: the vocabulary with definitions and sources, and the conventions in force.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::sessions::Visitor;
use crate::query;
use crate::vocabulary::{Scheme, Term, Vocabulary};

/// So many terms are shown of a search.
const MOST: usize = 100;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/words", get(lists))
        .route("/words/searching", get(searching))
        .route("/words/{scheme}", get(list))
        .route("/words/{scheme}/terms", get(terms))
}

#[derive(Deserialize)]
struct Asked {
    #[serde(default)]
    seek: String,
}

/// A list of the vocabulary.
#[derive(Serialize)]
struct List {
    key: &'static str,
    title: &'static str,
    count: usize,
}

/// A term with its meaning.
#[derive(Serialize)]
struct Entry {
    /// Key and title of its list.
    list: (&'static str, &'static str),
    name: String,
    also: String,
    broader: String,
    definition: String,
    /// How to take it, how it looks, where it is met: what the list has beyond a definition.
    more: Vec<String>,
    cautions: Vec<String>,
    avoid: Vec<String>,
    source: String,
    /// Whether the collection added it, or defines it in its own words and since when.
    own: String,
}

fn entry(term: &Term) -> Entry {
    let said = |label: &str, text: &Option<String>| text.as_ref().map(|text| format!("{label}: {text}"));
    let listed = |label: &str, list: &[String]| (!list.is_empty()).then(|| format!("{label}: {}", list.join(", ")));
    let more = [
        said("how it looks", &term.looks),
        listed("easily taken for", &term.confused_with),
        said("how it is taken", &term.how),
        said("where it is met", &term.occurs),
    ];
    let own = if term.local { Some("a term of this collection".to_owned()) } else { term.own_wording.clone() };
    Entry {
        list: (term.id.scheme().key(), term.id.scheme().title()),
        name: term.name().to_owned(),
        also: term.also.join(", "),
        broader: term.broader.as_ref().map(|b| b.name().to_owned()).unwrap_or_default(),
        definition: term.definition.clone(),
        more: more.into_iter().flatten().collect(),
        cautions: term.cautions.clone(),
        avoid: term.avoid.clone(),
        source: term.source.clone(),
        own: own.unwrap_or_default(),
    }
}

/// What the page of all lists shows.
#[derive(Serialize)]
struct Overview {
    seek: String,
    lists: Vec<List>,
    found: Vec<Entry>,
    /// How many were found beyond those shown.
    beyond: usize,
}

async fn lists(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Words, move |catalogue, settings| {
        let words = catalogue.vocabulary().on(settings.printed_on);
        let lists = Scheme::ALL.iter().map(|s| List { key: s.key(), title: s.title(), count: words.terms(*s).count() });
        let all = found(&words, &asked.seek);
        let page = Overview {
            lists: lists.collect(),
            beyond: all.len().saturating_sub(MOST),
            found: all.into_iter().take(MOST).map(entry).collect(),
            seek: asked.seek,
        };
        Ok(Leaf { template: "words.html", title: "Words".into(), page })
    })
    .await
}

/// The terms that hold the words sought: those named so first, then those that say so.
fn found<'v>(words: &'v Vocabulary, seek: &str) -> Vec<&'v Term> {
    let sought: Vec<String> = seek.split_whitespace().map(str::to_lowercase).collect();
    if sought.is_empty() {
        return Vec::new();
    }
    let rank = |term: &Term| {
        let names = term.spellings().collect::<Vec<_>>().join(" ").to_lowercase();
        if sought.iter().all(|word| names.contains(word)) {
            return Some((!names.starts_with(&sought[0]), names));
        }
        let all = format!("{names} {}", term.definition.to_lowercase());
        sought.iter().all(|word| all.contains(word)).then(|| (true, format!("\u{ffff}{names}")))
    };
    let mut list: Vec<_> =
        Scheme::ALL.iter().flat_map(|s| words.terms(*s)).filter_map(|t| rank(t).map(|r| (r, t))).collect();
    list.sort_by(|(a, _), (b, _)| a.cmp(b));
    list.into_iter().map(|(_, term)| term).collect()
}

/// The list of this name.
pub(super) fn scheme_of(key: &str) -> Result<Scheme, Wrong> {
    let none = || Wrong::not_found("The vocabulary has no list of this name. `Words` in the menu shows them all.");
    Scheme::from_key(key).ok_or_else(none)
}

/// What the page of one list shows.
#[derive(Serialize)]
struct One {
    key: &'static str,
    title: &'static str,
    entries: Vec<Entry>,
}

async fn list(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(scheme): Path<String>) -> Result<Response, Wrong> {
    let scheme = scheme_of(&scheme)?;
    frame::page(&desk, &visitor, Room::Words, move |catalogue, settings| {
        let words = catalogue.vocabulary().on(settings.printed_on);
        let page = One { key: scheme.key(), title: scheme.title(), entries: words.terms(scheme).map(entry).collect() };
        Ok(Leaf { template: "word_list.html", title: scheme.title().into(), page })
    })
    .await
}

/// The terms of a list for a script that completes them: name, other spellings, definition.
async fn terms(State(desk): State<Arc<Desk>>, _: Visitor, Path(scheme): Path<String>) -> Result<Response, Wrong> {
    let scheme = scheme_of(&scheme)?;
    let today = desk.today();
    desk::read(&desk, move |catalogue| {
        let words = catalogue.vocabulary().on(today);
        let term = |t: &Term| serde_json::json!({ "name": t.name(), "also": t.also, "definition": t.definition });
        Ok(axum::Json(words.terms(scheme).map(term).collect::<Vec<_>>()).into_response())
    })
    .await
}

/// What the page about searching shows.
#[derive(Serialize)]
struct Searching {
    rules: Vec<&'static str>,
    examples: Vec<(&'static str, &'static str, String)>,
    keys: Vec<(&'static str, &'static str, &'static str)>,
}

async fn searching(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Words, move |_, _| {
        let example = |(query, finds): &(&'static str, &'static str)| (*query, *finds, crate::report::link_part(query));
        let page = Searching {
            rules: query::RULES.to_vec(),
            examples: query::EXAMPLES.iter().map(example).collect(),
            keys: query::KEYS.iter().map(|key| (key.name, key.help, key.example)).collect(),
        };
        Ok(Leaf { template: "searching.html", title: "How to ask".into(), page })
    })
    .await
}
