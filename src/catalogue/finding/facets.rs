//! How many pieces of an answer there are of each kind: by nature, garment, fibre, decade, place and grade.

use std::collections::{BTreeMap, HashMap};

use super::super::{Catalogue, Result};
use super::chosen;
use super::leaves::Asking;
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
        self.ready_to_find()?;
        let snapshot = self.db.unchecked_transaction()?;
        let mut asking = Asking::new(&self.db)?;
        let (chosen, _) = chosen(&mut asking, query, false)?;
        let total = chosen.count();
        let columns =
            "SELECT nature, garment, fibres, date_earliest, date_latest, location, grade, piece_id FROM found_piece";
        // Few are read one by one, many in one go.
        let few = total * 8 < asking.all.count();
        let sql = if few { format!("{columns} WHERE piece_id = ?") } else { columns.to_owned() };
        let mut statement = self.db.prepare_cached(&sql)?;
        let mut count = Count::new(&self.vocabulary);
        if few {
            for id in chosen.iter() {
                let mut rows = statement.query([id])?;
                if let Some(row) = rows.next()? {
                    count.add(row)?;
                }
            }
        } else {
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                if chosen.holds(row.get(7)?) {
                    count.add(row)?;
                }
            }
        }
        drop(snapshot);
        Ok(count.done(total))
    }
}

/// Counts of texts, each text told apart once.
#[derive(Default)]
struct Tally {
    counts: HashMap<String, usize>,
    blank: usize,
}

impl Tally {
    fn add(&mut self, value: Option<&str>) {
        match value {
            None => self.blank += 1,
            Some(value) => match self.counts.get_mut(value) {
                Some(n) => *n += 1,
                None => {
                    self.counts.insert(value.to_owned(), 1);
                }
            },
        }
    }

    fn values(self, clause: impl Fn(&str) -> String) -> Vec<FacetValue> {
        let value = |(label, pieces): (String, usize)| FacetValue { clause: clause(&label), label, pieces };
        let mut values: Vec<FacetValue> = self.counts.into_iter().map(value).collect();
        values.sort_by(|a, b| b.pieces.cmp(&a.pieces).then_with(|| a.label.cmp(&b.label)));
        values
    }
}

struct Count<'v> {
    vocabulary: &'v Vocabulary,
    nature: Tally,
    garment: Tally,
    fibres: Tally,
    location: Tally,
    grade: Tally,
    /// Pieces by the years they may be of.
    years: BTreeMap<(Option<i32>, Option<i32>), usize>,
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

impl<'v> Count<'v> {
    fn new(vocabulary: &'v Vocabulary) -> Self {
        Self {
            vocabulary,
            nature: Tally::default(),
            garment: Tally::default(),
            fibres: Tally::default(),
            location: Tally::default(),
            grade: Tally::default(),
            years: BTreeMap::new(),
        }
    }

    fn add(&mut self, row: &rusqlite::Row<'_>) -> rusqlite::Result<()> {
        fn text<'r>(row: &'r rusqlite::Row<'_>, at: usize) -> rusqlite::Result<Option<&'r str>> {
            Ok(row.get_ref(at)?.as_str_or_null()?)
        }
        self.nature.add(text(row, 0)?);
        self.garment.add(text(row, 1)?);
        // Of a list of fibres there are few different ones: they are taken apart at the end.
        self.fibres.add(text(row, 2)?.filter(|list| *list != "[]"));
        *self.years.entry((row.get(3)?, row.get(4)?)).or_default() += 1;
        self.location.add(text(row, 5)?);
        self.grade.add(text(row, 6)?);
        Ok(())
    }

    fn done(self, pieces: usize) -> Facets {
        let undated = self.years.get(&(None, None)).copied().unwrap_or_default();
        let decades = decades(&self.years);
        let vocabulary = self.vocabulary;
        let group = |key, title, not_recorded, values| Facet { key, title, values, not_recorded };
        let plain = |key: &'static str, title, tally: Tally| {
            let blank = tally.blank;
            group(key, title, blank, tally.values(|label| format!("{key}:={}", quoted(label))))
        };
        let wide = |key: &'static str, title, scheme: Scheme, tally: Tally, list: fn(&str) -> Vec<String>| {
            let blank = tally.blank;
            let tally = with_wider(tally, scheme, vocabulary, list);
            group(key, title, blank, tally.values(|label| format!("{key}:{}", quoted(label))))
        };
        let groups = vec![
            plain("nature", "Nature", self.nature),
            wide("garment", "Garment", Scheme::Garment, self.garment, |one| vec![one.to_owned()]),
            wide("fibre", "Fibre", Scheme::Fibre, self.fibres, |list| serde_json::from_str(list).unwrap_or_default()),
            group("date", "Decade", undated, decades),
            plain("grade", "Condition", self.grade),
            plain("location", "Location", self.location),
        ];
        Facets { pieces, groups }
    }
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
fn decades(years: &BTreeMap<(Option<i32>, Option<i32>), usize>) -> Vec<FacetValue> {
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
