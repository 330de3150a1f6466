//! How many pieces of an answer there are of each kind: by nature, garment, fibre, decade, place and grade.

use std::collections::BTreeMap;

use hashbrown::HashMap;
use rusqlite::Connection;
use rusqlite::types::Type;

use super::super::{Catalogue, Result};
use super::chosen;
use super::pieces::Pieces;
use crate::query::Query;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// The counts of an answer.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Facets {
    /// How many pieces are counted.
    pub pieces: usize,
    /// The counts, one group a key.
    pub groups: Vec<Facet>,
}

/// Counts under one key.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Facet {
    /// The key of the language.
    pub key: &'static str,
    /// The heading.
    pub title: &'static str,
    /// The values, most pieces first; decades in their order. A piece counts under each value that fits it, so that the
    /// sum may be more than the pieces.
    pub values: Vec<FacetValue>,
    /// Pieces of which nothing is recorded under the key.
    pub not_recorded: usize,
}

/// One value and how many pieces it fits.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct FacetValue {
    /// In words: `silk`, `1810s`.
    pub label: String,
    /// What to add to the query to be left with these.
    pub clause: String,
    /// How many.
    pub pieces: usize,
}

impl Catalogue {
    /// Counts the pieces that a query asks for.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn facets(&self, query: &Query) -> Result<Facets> {
        self.asking(|asking| {
            let (chosen, _) = chosen(asking, query, false)?;
            let total = chosen.count();
            let state = asking.state;
            let few;
            let columns = match state.columns.get() {
                Some(columns) => columns,
                // Few are read one by one, many in one go.
                None if total * 8 < state.all.count() => {
                    few = Columns::of(asking.db, &chosen)?;
                    &few
                }
                None => {
                    let all = Columns::all(asking.db)?;
                    state.columns.get_or_init(|| all)
                }
            };
            Ok(count(columns, &chosen, &self.vocabulary))
        })
    }
}

/// What pieces are counted by, each different value once.
#[derive(Default)]
pub(super) struct Columns {
    pieces: Vec<i64>,
    nature: Texts,
    garment: Texts,
    /// A list as JSON. There are few different ones: they are taken apart where they are counted.
    fibres: Texts,
    years: Spans,
    location: Texts,
    grade: Texts,
}

/// A text a piece, by its place among those that there are, from 1; 0 where there is none.
#[derive(Default)]
struct Texts {
    places: HashMap<String, u32>,
    of: Vec<u32>,
}

impl Texts {
    /// The text of the next piece. It is made one's own only where it is new, which few of a hundred thousand are.
    fn add(&mut self, text: Option<&str>) {
        let next = self.places.len() as u32 + 1;
        self.of.push(text.map_or(0, |text| *self.places.entry_ref(text).or_insert(next)));
    }

    /// How many of the pieces at these places have each text, and how many have none.
    fn counts(&self, at: &[usize]) -> Tally {
        let counts = counts(&self.of, at, self.places.len() + 1);
        let each = self.places.iter().map(|(text, place)| (text, counts[*place as usize]));
        let each = each.filter(|(_, pieces)| *pieces > 0).map(|(text, pieces)| (text.clone(), pieces));
        Tally { blank: counts[0], counts: each.collect() }
    }
}

/// The years that a piece may be of.
type Years = (Option<i32>, Option<i32>);

/// The years a piece, by their place among those that there are.
#[derive(Default)]
struct Spans {
    places: HashMap<Years, u32>,
    of: Vec<u32>,
}

impl Spans {
    fn add(&mut self, years: Years) {
        let next = self.places.len() as u32;
        self.of.push(*self.places.entry(years).or_insert(next));
    }

    /// How many of the pieces at these places have each.
    fn counts(&self, at: &[usize]) -> BTreeMap<Years, usize> {
        let counts = counts(&self.of, at, self.places.len());
        let each = self.places.iter().map(|(years, place)| (*years, counts[*place as usize]));
        each.filter(|(_, pieces)| *pieces > 0).collect()
    }
}

/// How often each of so many values stands at these places.
fn counts(of: &[u32], at: &[usize], values: usize) -> Vec<usize> {
    let mut counts = vec![0; values];
    at.iter().for_each(|at| counts[of[*at] as usize] += 1);
    counts
}

const COLUMNS: &str =
    "SELECT nature, garment, fibres, date_earliest, date_latest, location, grade, piece_id FROM found_piece";

impl Columns {
    fn all(db: &Connection) -> Result<Self> {
        let mut columns = Self::default();
        columns.add(db.prepare_cached(COLUMNS)?.query([])?)?;
        Ok(columns)
    }

    fn of(db: &Connection, pieces: &Pieces) -> Result<Self> {
        let mut columns = Self::default();
        let mut statement = db.prepare_cached(&format!("{COLUMNS} WHERE piece_id = ?"))?;
        pieces.iter().try_for_each(|id| columns.add(statement.query([id])?))?;
        Ok(columns)
    }

    fn add(&mut self, mut rows: rusqlite::Rows<'_>) -> rusqlite::Result<()> {
        while let Some(row) = rows.next()? {
            self.nature.add(text(row, 0)?);
            self.garment.add(text(row, 1)?);
            self.fibres.add(text(row, 2)?.filter(|list| *list != "[]"));
            self.years.add((row.get(3)?, row.get(4)?));
            self.location.add(text(row, 5)?);
            self.grade.add(text(row, 6)?);
            self.pieces.push(row.get(7)?);
        }
        Ok(())
    }
}

/// A text where it lies, without a copy of it.
fn text<'r>(row: &'r rusqlite::Row<'_>, column: usize) -> rusqlite::Result<Option<&'r str>> {
    row.get_ref(column)?
        .as_str_or_null()
        .map_err(|e| rusqlite::Error::FromSqlConversionFailure(column, Type::Text, e.into()))
}

/// Counts of texts.
struct Tally {
    counts: HashMap<String, usize>,
    blank: usize,
}

impl Tally {
    fn values(self, clause: impl Fn(&str) -> String) -> Vec<FacetValue> {
        let value = |(label, pieces): (String, usize)| FacetValue { clause: clause(&label), label, pieces };
        let mut values: Vec<FacetValue> = self.counts.into_iter().map(value).collect();
        values.sort_by(|a, b| b.pieces.cmp(&a.pieces).then_with(|| a.label.cmp(&b.label)));
        values
    }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

fn count(columns: &Columns, chosen: &Pieces, vocabulary: &Vocabulary) -> Facets {
    let at: Vec<usize> = (0..columns.pieces.len()).filter(|at| chosen.holds(columns.pieces[*at])).collect();
    let years = columns.years.counts(&at);
    let undated = years.get(&(None, None)).copied().unwrap_or_default();
    let group = |key, title, not_recorded, values| Facet { key, title, values, not_recorded };
    let plain = |key: &'static str, title, column: &Texts| {
        let tally = column.counts(&at);
        let blank = tally.blank;
        group(key, title, blank, tally.values(|label| format!("{key}:={}", quoted(label))))
    };
    let wide = |key: &'static str, title, scheme, column: &Texts, list: fn(&str) -> Vec<String>| {
        let tally = with_wider(column.counts(&at), scheme, vocabulary, list);
        let blank = tally.blank;
        group(key, title, blank, tally.values(|label| format!("{key}:{}", quoted(label))))
    };
    let listed: fn(&str) -> Vec<String> = |list| serde_json::from_str(list).unwrap_or_default();
    let groups = vec![
        plain("nature", "Nature", &columns.nature),
        wide("garment", "Garment", Scheme::Garment, &columns.garment, |one| vec![one.to_owned()]),
        wide("fibre", "Fibre", Scheme::Fibre, &columns.fibres, listed),
        group("date", "Decade", undated, decades(&years)),
        plain("grade", "Condition", &columns.grade),
        plain("location", "Location", &columns.location),
    ];
    Facets { pieces: chosen.count(), groups }
}

/// Counts under each term and under the terms wider than it, a piece once under each.
fn with_wider(tally: Tally, scheme: Scheme, vocabulary: &Vocabulary, list: fn(&str) -> Vec<String>) -> Tally {
    let mut counts: HashMap<String, usize> = HashMap::new();
    for (value, pieces) in tally.counts {
        let mut names: Vec<String> = list(&value);
        for name in names.clone() {
            names.extend(vocabulary.wider(&TermId::new(scheme, &name)).into_iter().map(|t| t.name().to_owned()));
        }
        names.sort_unstable();
        names.dedup();
        names.into_iter().for_each(|name| *counts.entry(name).or_default() += pieces);
    }
    Tally { counts, blank: tally.blank }
}

/// Most decades told apart; a wider span has none of its own.
const MOST_DECADES: i32 = 200;

/// A piece counts in every decade that its date allows, as `date:` finds it; an open end reaches to the last decade in
/// which a closed one lies.
fn decades(years: &BTreeMap<Years, usize>) -> Vec<FacetValue> {
    let ends = years.keys().flat_map(|(a, b)| a.iter().chain(b)).map(|y| y.div_euclid(10));
    let (Some(first), Some(last)) = (ends.clone().min(), ends.max()) else { return Vec::new() };
    let first = first.max(last - MOST_DECADES);
    let mut counts: BTreeMap<i32, usize> = BTreeMap::new();
    for ((from, to), pieces) in years.iter().filter(|((a, b), _)| a.is_some() || b.is_some()) {
        let from = from.map_or(first, |y| y.div_euclid(10)).max(first);
        let to = to.map_or(last, |y| y.div_euclid(10)).min(last);
        (from..=to).for_each(|decade| *counts.entry(decade).or_default() += pieces);
    }
    let value = |(decade, pieces): (i32, usize)| {
        let (from, to) = (i64::from(decade) * 10, i64::from(decade) * 10 + 9);
        let label = if from > 0 { format!("{from}s") } else { format!("{from} to {to}") };
        FacetValue { label, clause: format!("date:{}..{}", edtf(from), edtf(to)), pieces }
    };
    counts.into_iter().map(value).collect()
}

/// A year as EDTF writes it.
fn edtf(year: i64) -> String {
    if year < 0 { format!("-{:04}", -year) } else { format!("{year:04}") }
}
