//! The collection: a line and a thumbnail each, a search and filters with counts, leaf by leaf.
//!
//! What is asked is the language of `dimity find`: the field of words takes all of it, and each filter adds a clause.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::kept;
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::{Ask, Catalogue, Facet, Fault, Line, Order};
use crate::photograph::Store;
use crate::query;
use crate::report;

/// So many pieces are read at once.
const LEAF: usize = 60;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/", get(whole)).route("/collection/part", get(part)).route("/collection/leaf", get(leaf))
}

/// What is asked for; what is blank narrows nothing. A filter holds a clause: `fibre:silk`, `lacks:fibre`.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    words: String,
    dated: String,
    garment: String,
    fibre: String,
    grade: String,
    location: String,
    nature: String,
    order: String,
    /// Whether pieces are taken in of which what is asked for is not recorded.
    undecided: String,
    page: String,
}

/// The filters: key of the counts, label, and what is chosen.
const WAYS: [(&str, &str, fn(&Asked) -> &str); 5] = [
    ("garment", "Garment", |a| &a.garment),
    ("fibre", "Fibre", |a| &a.fibre),
    ("grade", "Condition", |a| &a.grade),
    ("location", "Lies in", |a| &a.location),
    ("nature", "Nature", |a| &a.nature),
];

/// What the page shows.
#[derive(Serialize)]
struct Look {
    asked: Asked,
    /// Beside the field of words, if they cannot be read.
    wrong_words: String,
    /// Beside the field of years.
    wrong_dated: String,
    total: usize,
    found: usize,
    /// Pieces of which what is asked for is not recorded, and what that is.
    undecided: usize,
    blanks: String,
    filters: Vec<Filter>,
    rows: Vec<Row>,
    /// From 1.
    page: usize,
    pages: usize,
    earlier: Option<String>,
    later: Option<String>,
    /// Whether anything narrows the list.
    narrowed: bool,
    /// Where what narrows it is kept under a name.
    keep: String,
}

/// A choice among what is recorded.
#[derive(Serialize)]
struct Filter {
    name: &'static str,
    label: &'static str,
    options: Vec<Choice>,
}

#[derive(Serialize)]
struct Choice {
    clause: String,
    words: String,
    count: usize,
    chosen: bool,
}

/// A piece in a line.
#[derive(Serialize)]
struct Row {
    number: String,
    address: String,
    heading: String,
    line: String,
    fibres: String,
    location: String,
    grade: String,
    examined: String,
    thumbnail: Option<String>,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    let store = desk.store.clone();
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, _| {
        Ok(Leaf {
            template: "collection.html",
            title: "Collection".into(),
            page: look(&store, catalogue, asked, true)?,
        })
    })
    .await
}

/// Filters, count and the first leaf, for the script that answers while one types.
async fn part(State(desk): State<Arc<Desk>>, _: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    some(desk, asked, "collection_part.html", true).await
}

/// One leaf alone, for the script that reads on while one scrolls.
async fn leaf(State(desk): State<Arc<Desk>>, _: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    some(desk, asked, "collection_leaf.html", false).await
}

async fn some(desk: Arc<Desk>, asked: Asked, template: &'static str, counted: bool) -> Result<Response, Wrong> {
    let store = desk.store.clone();
    frame::part(&desk, template, move |catalogue| look(&store, catalogue, asked, counted)).await
}

fn look(store: &Store, catalogue: &Catalogue, asked: Asked, counted: bool) -> Result<Look, Wrong> {
    let (words, wrong_words) = read(catalogue, asked.words.trim())?;
    let dated = asked.dated.trim().replace('"', "\"\"");
    let (dated, wrong_dated) = match dated.as_str() {
        "" => Default::default(),
        dated => read(catalogue, &format!("date:\"{dated}\""))?,
    };
    let typed = words.and(dated);
    let filters: Vec<query::Query> =
        WAYS.iter().map(|(_, _, chosen)| clause(catalogue, chosen(&asked))).collect::<Result<_, _>>()?;
    let all = filters.iter().cloned().fold(typed.clone(), query::Query::and);
    let order = if asked.order == "date" { Order::Date } else { Order::Match };
    let with_undecided = !asked.undecided.is_empty();
    let hits = catalogue.hits(&all, &Ask { order, undecided: with_undecided, ..Ask::default() })?;
    let pages = hits.total().div_ceil(LEAF).max(1);
    let page = asked.page.trim().parse().unwrap_or(1).clamp(1, pages);
    let lines = catalogue.lines(&hits, (page - 1) * LEAF, LEAF)?;
    Ok(Look {
        filters: if counted { counts(catalogue, &typed, &filters, &all, &asked)? } else { Vec::new() },
        rows: lines.iter().map(|line| row(line, store)).collect(),
        total: hits.of,
        found: hits.total(),
        undecided: hits.undecided,
        blanks: all.may_be_blank().join(", "),
        earlier: (page > 1).then(|| address(&asked, page - 1)),
        later: (page < pages).then(|| address(&asked, page + 1)),
        narrowed: all.tree.is_some(),
        keep: kept::address(&all.to_string()),
        wrong_words,
        wrong_dated,
        page,
        pages,
        asked,
    })
}

/// What was typed; or what asks for everything, with what is wrong.
fn read(catalogue: &Catalogue, text: &str) -> Result<(query::Query, String), Wrong> {
    match catalogue.query(text) {
        Ok(query) => Ok((query, String::new())),
        Err(Fault::Asked(mistake)) => Ok((query::Query::default(), report::capital(&mistake.sentence()))),
        Err(other) => Err(other.into()),
    }
}

/// The clause of a filter; one that was made up and cannot be read finds nothing out.
fn clause(catalogue: &Catalogue, text: &str) -> Result<query::Query, Wrong> {
    Ok(read(catalogue, text)?.0)
}

/// Each filter with counts of what the others leave.
fn counts(
    catalogue: &Catalogue,
    typed: &query::Query,
    filters: &[query::Query],
    all: &query::Query,
    asked: &Asked,
) -> Result<Vec<Filter>, Wrong> {
    let of_all = catalogue.facets(all)?.groups;
    let mut list = Vec::new();
    for (i, (name, label, chosen)) in WAYS.iter().enumerate() {
        let chosen = chosen(asked).trim();
        // Without a choice of its own a filter leaves what all leave.
        let others = if filters[i].tree.is_none() {
            None
        } else {
            let others = filters.iter().enumerate().filter(|(j, _)| *j != i);
            let query = others.fold(typed.clone(), |query, (_, other)| query.and(other.clone()));
            Some(catalogue.facets(&query)?.groups)
        };
        let group = others.as_ref().unwrap_or(&of_all).iter().find(|group| group.key == *name);
        list.push(Filter { name, label, options: group.map(|g| options(g, chosen)).unwrap_or_default() });
    }
    Ok(list)
}

fn options(group: &Facet, chosen: &str) -> Vec<Choice> {
    let choice = |clause: &str, words: &str, count| Choice {
        chosen: clause == chosen,
        clause: clause.to_owned(),
        words: words.to_owned(),
        count,
    };
    let mut options: Vec<Choice> = group.values.iter().map(|v| choice(&v.clause, &v.label, v.pieces)).collect();
    options.sort_by_cached_key(|c| crate::record::accession::sort_key(&c.words));
    if group.not_recorded > 0 {
        options.push(choice(&format!("lacks:{}", group.key), "not recorded", group.not_recorded));
    }
    // What was chosen stays to be seen, also where nothing is left of it.
    if !chosen.is_empty() && !options.iter().any(|c| c.chosen) {
        let words = chosen.split_once(':').map_or(chosen, |(_, words)| words.trim_start_matches('='));
        options.push(choice(chosen, words.trim_matches('"'), 0));
    }
    options
}

fn row(line: &Line, store: &Store) -> Row {
    let heading = line.title.clone().unwrap_or_else(|| line.object_name.clone());
    let name = Some(line.object_name.clone()).filter(|name| !name.eq_ignore_ascii_case(&heading));
    let nature = Some(line.nature.clone()).filter(|nature| nature != "extant");
    let parts = [name, line.date.clone(), nature];
    let thumbnail = line.photograph.as_ref().filter(|sha| store.thumbnail(sha).is_file());
    Row {
        number: line.number.clone(),
        address: piece::address(&line.number),
        heading: report::capital(&heading),
        line: parts.into_iter().flatten().collect::<Vec<_>>().join(", "),
        fibres: line.fibres.join(", "),
        location: line.location.clone().unwrap_or_default(),
        grade: line.grade.clone().unwrap_or_default(),
        examined: report::day(line.examined.as_ref().and_then(|day| day.parse().ok())),
        thumbnail: thumbnail.map(|sha| format!("/photographs/{sha}/small")),
    }
}

/// The address of a leaf of the same list.
fn address(asked: &Asked, page: usize) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    let fields = [
        ("words", &asked.words),
        ("dated", &asked.dated),
        ("garment", &asked.garment),
        ("fibre", &asked.fibre),
        ("grade", &asked.grade),
        ("location", &asked.location),
        ("nature", &asked.nature),
        ("order", &asked.order),
        ("undecided", &asked.undecided),
    ];
    for (name, value) in fields.into_iter().filter(|(_, value)| !value.trim().is_empty()) {
        query.append_pair(name, value);
    }
    query.append_pair("page", &page.to_string());
    format!("/?{}", query.finish())
}
