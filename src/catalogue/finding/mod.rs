//! Finding pieces: a query in, a page of lines out, with how many there are and how many are undecided.

mod agreement;
mod facets;
pub(super) mod index;
mod leaves;
mod pieces;
mod recall;
mod searches;
#[cfg(test)]
mod tests;

use std::collections::HashSet;

use rusqlite::{Connection, params_from_iter};

pub use facets::{Facet, FacetValue, Facets};
pub use recall::Recall;
pub use searches::KeptSearch;

use self::leaves::{Answer, Asking};
use self::pieces::Pieces;
use super::read::{LINE, line};
use super::{Catalogue, Line, Result};
use crate::query::{Query, Reading};

/// The order of an answer.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Order {
    /// By accession number.
    Number,
    /// Best match of the free words first; by number where there are none, and where they find more than 30,000.
    #[default]
    Match,
    /// By date: an open start first, an open end last, what has no date after all.
    Date,
}

/// What of an answer is wanted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Ask {
    /// The order.
    pub order: Order,
    /// Take in the pieces of which it is undecided, because nothing of the kind is recorded.
    pub undecided: bool,
    /// Lines to pass over.
    pub from: usize,
    /// Lines wanted at most; all, if not said.
    pub most: Option<usize>,
}

/// A page of an answer.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Found {
    /// The lines of the page.
    pub lines: Vec<Line>,
    /// How many pieces there are in all.
    pub total: usize,
    /// How many are undecided because nothing of the kind is recorded; they are in only if that was asked for.
    pub undecided: usize,
    /// How many pieces the catalogue has.
    pub of: usize,
}

/// An answer whose lines are read as they are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hits {
    /// Rows of pieces, in the order asked for.
    rows: Vec<i64>,
    /// As in [`Found`].
    pub undecided: usize,
    /// As in [`Found`].
    pub of: usize,
}

impl Hits {
    /// How many pieces there are.
    pub fn total(&self) -> usize {
        self.rows.len()
    }
}

/// An open start first, an open end last, what has no date after all: the order of [`crate::dating::Interval`].
const BY_DATE: &str =
    "(date_earliest IS NULL AND date_latest IS NULL), date_earliest NULLS FIRST, date_latest NULLS LAST, number_order";
const BY_NUMBER: &str = "number_order";
/// One piece of so many, or fewer, are looked up and sorted; for more it is quicker to go through all of them in order.
const FEW: usize = 8;
/// Where words find more than this, the best match is not looked for: weighing each would take longer than one waits for an
/// answer, and words that so many pieces hold hardly tell them apart.
const MOST_WEIGHED: usize = 30_000;
/// A match in the number weighs most, then in the name and the other short texts.
const BY_MATCH: &str = "SELECT rowid FROM words WHERE words MATCH ?
    ORDER BY bm25(words, 10.0, 5.0, 5.0, 3.0, 3.0, 3.0, 3.0, 3.0, 1.0)";

impl Catalogue {
    /// Reads a query with this catalogue's terms, dating convention and kept searches.
    ///
    /// # Errors
    /// [`super::Fault::Asked`] points at a mistake.
    pub fn query(&self, text: &str) -> Result<Query> {
        Ok(Query::parse(text, &self.reading()?)?)
    }

    /// What queries are read against here.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn reading(&self) -> Result<Reading<'_>> {
        let sets = self.kept_searches()?.into_iter().map(|set| (set.name, set.query)).collect();
        Ok(Reading { vocabulary: &self.vocabulary, conventions: self.conventions()?, sets })
    }

    /// The pieces that a query asks for, a page of them.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn find(&self, query: &Query, ask: &Ask) -> Result<Found> {
        self.asking(|asking| {
            let hits = hits(asking, query, ask)?;
            let lines = self.lines(&hits, ask.from, ask.most.unwrap_or(usize::MAX))?;
            Ok(Found { lines, total: hits.total(), undecided: hits.undecided, of: hits.of })
        })
    }

    /// The pieces that a query asks for, to be read line by line with [`Catalogue::lines`].
    ///
    /// # Errors
    /// If the database refuses.
    pub fn hits(&self, query: &Query, ask: &Ask) -> Result<Hits> {
        self.asking(|asking| hits(asking, query, ask))
    }

    /// How many pieces a search finds.
    ///
    /// # Errors
    /// [`super::Fault::Asked`] points at a mistake in it; or if the database refuses.
    pub fn count(&self, search: &str) -> Result<usize> {
        let query = self.query(search)?;
        self.asking(|asking| Ok(chosen(asking, &query, false)?.0.count()))
    }

    /// The numbers of the pieces that a query asks for, in the order of the numbers.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn members(&self, query: &Query) -> Result<Vec<String>> {
        let found = self.find(query, &Ask { order: Order::Number, ..Ask::default() })?;
        Ok(found.lines.into_iter().map(|l| l.number).collect())
    }

    /// Lines of an answer: `most` of them from `from` on.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn lines(&self, hits: &Hits, from: usize, most: usize) -> Result<Vec<Line>> {
        let page = hits.rows.iter().skip(from).take(most);
        let mut statement = self.db.prepare_cached(&format!("{LINE} WHERE p.id = ?"))?;
        let mut lines = Vec::new();
        for row in page {
            lines.extend(statement.query_map([row], line)?.collect::<std::result::Result<Vec<_>, _>>()?);
        }
        Ok(lines)
    }
}

fn hits(asking: &mut Asking<'_>, query: &Query, ask: &Ask) -> Result<Hits> {
    let (chosen, undecided) = chosen(asking, query, ask.undecided)?;
    let rows = in_order(asking, &chosen, query, ask.order)?;
    Ok(Hits { rows, undecided, of: asking.all().count() })
}

fn in_order(asking: &Asking<'_>, chosen: &Pieces, query: &Query, order: Order) -> Result<Vec<i64>> {
    // All in this order, of which there is one for each question.
    let whole = |sql: &str, asked: Option<String>| {
        let bytes = |rows: &Vec<i64>| rows.len() * 8;
        let question = format!("{sql} {asked:?}");
        asking.state.orders.get(question, bytes, || rows_of(asking.db, sql, asked.as_slice()))
    };
    let of_chosen = |rows: &[i64]| rows.iter().copied().filter(|id| chosen.holds(*id)).collect::<Vec<i64>>();
    let words = query.words();
    let each = query.needs_all_words();
    let mut rows = Vec::new();
    if order == Order::Match && !words.is_empty() && asking.words(&words, each)?.count() <= MOST_WEIGHED {
        rows = of_chosen(&whole(BY_MATCH, Some(leaves::of_words(&words, each)))?);
    }
    let count = chosen.count();
    if rows.len() == count {
        return Ok(rows);
    }
    let there: HashSet<i64> = rows.iter().copied().collect();
    let by = if order == Order::Date { BY_DATE } else { BY_NUMBER };
    if (count - rows.len()) * FEW <= asking.all().count() {
        let rest: Vec<i64> = chosen.iter().filter(|id| !there.contains(id)).collect();
        let sql = format!("SELECT id FROM piece WHERE id IN (SELECT value FROM json_each(?)) ORDER BY {by}");
        rows.extend(rows_of(asking.db, &sql, &[serde_json::json!(rest).to_string()])?);
    } else {
        let all = whole(&format!("SELECT id FROM piece ORDER BY {by}"), None)?;
        rows.extend(of_chosen(&all).into_iter().filter(|id| !there.contains(id)));
    }
    Ok(rows)
}

fn rows_of(db: &Connection, sql: &str, params: &[String]) -> Result<Vec<i64>> {
    let mut statement = db.prepare_cached(sql)?;
    Ok(statement.query_map(params_from_iter(params), |r| r.get(0))?.collect::<std::result::Result<_, _>>()?)
}

/// The pieces asked for, and how many are undecided.
fn chosen(asking: &mut Asking<'_>, query: &Query, with_undecided: bool) -> Result<(Pieces, usize)> {
    let Answer { yes, no } = asking.whole(query.tree.as_ref())?;
    // A condition may be asked of the table of pieces, where the withdrawn stand as well.
    let yes = yes.and(asking.all());
    let undecided = asking.all().clone().without(&yes).without(&no);
    let count = undecided.count();
    Ok((if with_undecided { yes.or(&undecided) } else { yes }, count))
}
