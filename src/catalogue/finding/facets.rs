//! How many pieces of an answer there are of each kind: by nature, garment, fibre, decade, place and grade.

use std::collections::BTreeMap;

use hashbrown::HashMap;
use rusqlite::Connection;
use rusqlite::types::Type;

use super::super::{Catalogue, Result, once};
use super::chosen;
use super::leaves::words_of_list;
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
            let terms = once(&state.terms, || Terms::of(asking.db, &self.vocabulary))?;
            let few;
            // Few are read one by one, many in one go.
            let columns = if state.columns.get().is_none() && total * 8 < state.all.count() {
                few = Columns::of(asking.db, &chosen)?;
                &few
            } else {
                once(&state.columns, || Columns::all(asking.db))?
            };
            Ok(count(terms, columns, &chosen))
        })
    }
}

/// The pieces under each term that they are counted by.
pub(super) struct Terms {
    nature: Group,
    garment: Group,
    fibre: Group,
    grade: Group,
}

/// The pieces under each term of a list, and those of which anything of it is recorded.
#[derive(Default)]
struct Group {
    each: BTreeMap<String, Pieces>,
    any: Pieces,
}

impl Terms {
    fn of(db: &Connection, vocabulary: &Vocabulary) -> Result<Self> {
        let with_wider = |scheme| -> Result<Group> { Ok(Group::of(db, scheme)?.with_wider(scheme, vocabulary)) };
        Ok(Self {
            nature: Group::of(db, Scheme::Nature)?,
            garment: with_wider(Scheme::Garment)?,
            fibre: with_wider(Scheme::Fibre)?,
            grade: Group::of(db, Scheme::Grade)?,
        })
    }
}

impl Group {
    fn of(db: &Connection, scheme: Scheme) -> Result<Self> {
        let mut group = Self::default();
        let (from, to) = words_of_list(scheme.key());
        let sql = "SELECT w.word, u.part, u.pieces FROM found_word w JOIN found_under u ON u.word_id = w.id
                    WHERE w.word >= ? AND w.word < ?";
        let mut statement = db.prepare_cached(sql)?;
        let mut rows = statement.query([&from, &to])?;
        while let Some(row) = rows.next()? {
            let word: String = row.get(0)?;
            let (part, pieces) = (row.get(1)?, row.get_ref(2)?.as_blob().map_err(rusqlite::Error::from)?);
            group.any.add_part(part, pieces);
            // A list without a term says that something was looked for, and is not there.
            if let Some(name) = word.get(from.len()..).filter(|name| !name.is_empty()) {
                group.each.entry(name.to_owned()).or_default().add_part(part, pieces);
            }
        }
        Ok(group)
    }

    /// The same with each piece under the wider terms as well.
    fn with_wider(mut self, scheme: Scheme, vocabulary: &Vocabulary) -> Self {
        for (name, pieces) in self.each.clone() {
            for wider in vocabulary.wider(&TermId::new(scheme, &name)) {
                let all = self.each.entry(wider.name().to_owned()).or_default();
                *all = std::mem::take(all).or(&pieces);
            }
        }
        self
    }

    /// How many of the chosen are under each term.
    fn counted(&self, key: &'static str, title: &'static str, sign: &str, chosen: &Pieces) -> Facet {
        let each = self.each.iter().map(|(name, pieces)| (name.clone(), chosen.count_with(pieces)));
        let clause = |name: &str| format!("{key}:{sign}{}", quoted(name));
        Facet { key, title, values: values(each, clause), not_recorded: chosen.count() - chosen.count_with(&self.any) }
    }
}

/// Values that fit any piece, most pieces first.
fn values(each: impl Iterator<Item = (String, usize)>, clause: impl Fn(&str) -> String) -> Vec<FacetValue> {
    let there = each.filter(|(_, pieces)| *pieces > 0);
    let value = |(label, pieces): (String, usize)| FacetValue { clause: clause(&label), label, pieces };
    let mut values: Vec<FacetValue> = there.map(value).collect();
    values.sort_by(|a, b| b.pieces.cmp(&a.pieces).then_with(|| a.label.cmp(&b.label)));
    values
}

/// When pieces are from and where they lie, each different value once.
#[derive(Default)]
pub(super) struct Columns {
    pieces: Vec<i64>,
    years: Spans,
    location: Texts,
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
    fn counts(&self, at: &[usize]) -> (HashMap<String, usize>, usize) {
        let counts = counts(&self.of, at, self.places.len() + 1);
        let each = self.places.iter().map(|(text, place)| (text, counts[*place as usize]));
        let each = each.filter(|(_, pieces)| *pieces > 0).map(|(text, pieces)| (text.clone(), pieces));
        (each.collect(), counts[0])
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

const COLUMNS: &str = "SELECT piece_id, date_earliest, date_latest, location FROM found_piece";

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
            self.pieces.push(row.get(0)?);
            self.years.add((row.get(1)?, row.get(2)?));
            self.location.add(text(row, 3)?);
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

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

fn count(terms: &Terms, columns: &Columns, chosen: &Pieces) -> Facets {
    let at: Vec<usize> = (0..columns.pieces.len()).filter(|at| chosen.holds(columns.pieces[*at])).collect();
    let years = columns.years.counts(&at);
    let undated = years.get(&(None, None)).copied().unwrap_or_default();
    let (locations, nowhere) = columns.location.counts(&at);
    let located = values(locations.into_iter(), |place| format!("location:={}", quoted(place)));
    let groups = vec![
        terms.nature.counted("nature", "Nature", "=", chosen),
        terms.garment.counted("garment", "Garment", "", chosen),
        terms.fibre.counted("fibre", "Fibre", "", chosen),
        Facet { key: "date", title: "Decade", values: decades(&years), not_recorded: undated },
        terms.grade.counted("grade", "Condition", "=", chosen),
        Facet { key: "location", title: "Location", values: located, not_recorded: nowhere },
    ];
    Facets { pieces: chosen.count(), groups }
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
