//! The collection: a line and a thumbnail each, words and filters with counts, leaf by leaf.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::desk::Desk;
use super::fault::Wrong;
use super::frame::{self, Leaf, Room};
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Line, Search};
use crate::dating::{Dated, Interval};
use crate::photograph::Store;

/// So many pieces are read at once.
const LEAF: usize = 60;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/", get(whole)).route("/collection/part", get(part)).route("/collection/leaf", get(leaf))
}

/// What is asked for; what is blank narrows nothing.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    words: String,
    dated: String,
    garment: String,
    fibre: String,
    grade: String,
    place: String,
    nature: String,
    order: String,
    page: String,
}

/// All lines of the catalogue, kept until something is written.
#[derive(Default)]
pub(super) struct Shelf(Mutex<Option<(i64, Arc<Lines>)>>);

struct Lines {
    list: Vec<Line>,
    at: HashMap<String, usize>,
}

impl Shelf {
    fn lines(&self, catalogue: &Catalogue) -> Result<Arc<Lines>, Wrong> {
        // Held while reading, so that twenty who come at once wait for one reading.
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let now = catalogue.revision()?.row;
        if let Some((then, lines)) = kept.as_ref()
            && *then == now
        {
            return Ok(lines.clone());
        }
        let list = catalogue.list()?;
        let at = list.iter().enumerate().map(|(i, line)| (line.number.clone(), i)).collect();
        let lines = Arc::new(Lines { list, at });
        *kept = Some((now, lines.clone()));
        Ok(lines)
    }
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    asked: Asked,
    /// Beside the field of years, if it could not be read.
    wrong_dated: String,
    total: usize,
    found: usize,
    /// Pieces without a date, which no years find; 0 where years are not asked for.
    undated: usize,
    filters: Vec<Filter>,
    rows: Vec<Row>,
    /// From 1.
    page: usize,
    pages: usize,
    earlier: Option<String>,
    later: Option<String>,
    /// Whether anything narrows the list.
    narrowed: bool,
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
    value: String,
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
    let shelf = desk.clone();
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, _| {
        Ok(Leaf { template: "collection.html", title: "Collection".into(), page: look(&shelf, catalogue, asked)? })
    })
    .await
}

/// Filters, count and the first leaf, for the script that answers while one types.
async fn part(State(desk): State<Arc<Desk>>, _: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    some(desk, asked, "collection_part.html").await
}

/// One leaf alone, for the script that reads on while one scrolls.
async fn leaf(State(desk): State<Arc<Desk>>, _: Visitor, Query(asked): Query<Asked>) -> Result<Response, Wrong> {
    some(desk, asked, "collection_leaf.html").await
}

async fn some(desk: Arc<Desk>, asked: Asked, template: &'static str) -> Result<Response, Wrong> {
    let shelf = desk.clone();
    frame::part(&desk, move |catalogue, _| {
        Ok(Leaf { template, title: String::new(), page: look(&shelf, catalogue, asked)? })
    })
    .await
}

fn look(desk: &Desk, catalogue: &Catalogue, asked: Asked) -> Result<Page, Wrong> {
    let lines = desk.shelf.lines(catalogue)?;
    let (dated, wrong_dated) = years(&asked.dated, catalogue)?;
    let search = Search { words: asked.words.clone(), dated, by_date: asked.order == "date" };
    let all: Vec<&Line> = if search == Search::default() {
        lines.list.iter().collect()
    } else {
        let numbers = catalogue.matching(&search)?;
        numbers.iter().filter_map(|n| lines.at.get(n)).filter_map(|i| lines.list.get(*i)).collect()
    };
    let (found, filters) = sifted(&all, &asked);
    let pages = found.len().div_ceil(LEAF).max(1);
    let page = asked.page.trim().parse().unwrap_or(1).clamp(1, pages);
    let rows = found.iter().skip((page - 1) * LEAF).take(LEAF).map(|line| row(line, &desk.store)).collect();
    let narrowed = search.dated.is_some()
        || [&asked.words, &asked.garment, &asked.fibre, &asked.grade, &asked.place, &asked.nature]
            .iter()
            .any(|text| !text.trim().is_empty());
    Ok(Page {
        undated: if search.dated.is_some() { catalogue.undated()? } else { 0 },
        earlier: (page > 1).then(|| address(&asked, page - 1)),
        later: (page < pages).then(|| address(&asked, page + 1)),
        total: lines.list.len(),
        found: found.len(),
        wrong_dated,
        filters,
        rows,
        page,
        pages,
        narrowed,
        asked,
    })
}

/// The years that were asked for; or none, with what is wrong with them.
fn years(text: &str, catalogue: &Catalogue) -> Result<(Option<Interval>, String), Wrong> {
    if text.trim().is_empty() {
        return Ok((None, String::new()));
    }
    let years = match Dated::parse(text, &catalogue.conventions()?) {
        Ok(date) => date.interval(),
        Err(refusal) => return Ok((None, refusal.to_string())),
    };
    let blank = "this names no years; write for instance 1810-1830, or c. 1815";
    Ok(if years.is_undated() { (None, blank.to_owned()) } else { (Some(years), String::new()) })
}

/// A way to sort pieces: the field of the question, its label, and the values of a piece.
type Way = (&'static str, &'static str, fn(&Asked) -> &str, fn(&Line) -> Vec<&str>);

const WAYS: [Way; 5] = [
    ("garment", "Garment", |a| &a.garment, |l| l.garment.as_deref().into_iter().collect()),
    ("fibre", "Fibre", |a| &a.fibre, |l| l.fibres.iter().map(String::as_str).collect()),
    ("grade", "Condition", |a| &a.grade, |l| l.grade.as_deref().into_iter().collect()),
    ("place", "Lies in", |a| &a.place, |l| l.location.as_deref().map(area).into_iter().collect()),
    ("nature", "Nature", |a| &a.nature, |l| vec![l.nature.as_str()]),
];

/// What is asked for that is not recorded of a piece.
const NOT_RECORDED: &str = "not recorded";

/// `bay 3` of `bay 3, shelf 12`.
fn area(location: &str) -> &str {
    location.split([',', ';']).next().unwrap_or(location).trim()
}

/// What fits all filters; and each filter with counts of what the other filters leave.
fn sifted<'l>(all: &[&'l Line], asked: &Asked) -> (Vec<&'l Line>, Vec<Filter>) {
    let fits = |line: &Line, (_, _, wanted, values): &Way| {
        let wanted = wanted(asked).trim();
        wanted.is_empty() || values(line).contains(&wanted) || (wanted == NOT_RECORDED && values(line).is_empty())
    };
    let mut found = Vec::new();
    let mut counts: [HashMap<&str, usize>; WAYS.len()] = Default::default();
    for line in all.iter().copied() {
        let misses = WAYS.iter().enumerate().filter(|(_, way)| !fits(line, way)).map(|(i, _)| i);
        let misses: Vec<usize> = misses.take(2).collect();
        if misses.is_empty() {
            found.push(line);
        }
        for (i, (_, _, _, values)) in WAYS.iter().enumerate() {
            if misses.iter().all(|miss| *miss == i) {
                let values = values(line);
                for value in if values.is_empty() { vec![NOT_RECORDED] } else { values } {
                    *counts[i].entry(value).or_default() += 1;
                }
            }
        }
    }
    let filter = |((name, label, wanted, _), mut counts): (&Way, HashMap<&str, usize>)| {
        let wanted = wanted(asked).trim();
        if !wanted.is_empty() {
            counts.entry(wanted).or_default();
        }
        let choice = |(value, count): (&str, usize)| Choice { value: value.to_owned(), count, chosen: value == wanted };
        let mut options: Vec<Choice> = counts.into_iter().map(choice).collect();
        options.sort_by_cached_key(|c| (c.value == NOT_RECORDED, crate::record::accession::sort_key(&c.value)));
        Filter { name, label, options }
    };
    let filters = WAYS.iter().zip(counts).map(filter).collect();
    (found, filters)
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
        heading: crate::report::capital(&heading),
        line: parts.into_iter().flatten().collect::<Vec<_>>().join(", "),
        fibres: line.fibres.join(", "),
        location: line.location.clone().unwrap_or_default(),
        grade: line.grade.clone().unwrap_or_default(),
        examined: crate::report::day(line.examined.as_ref().and_then(|day| day.parse().ok())),
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
        ("place", &asked.place),
        ("nature", &asked.nature),
        ("order", &asked.order),
    ];
    for (name, value) in fields.into_iter().filter(|(_, value)| !value.trim().is_empty()) {
        query.append_pair(name, value);
    }
    query.append_pair("page", &page.to_string());
    format!("/?{}", query.finish())
}
