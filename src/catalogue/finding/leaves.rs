//! A query as sets of pieces: each condition is one flat statement, and the sets are joined by the rules of the language.

use std::collections::HashMap;

use rusqlite::types::Value as Sql;
use rusqlite::{Connection, Row, params_from_iter};

use super::super::Result;
use super::pieces::Pieces;
use super::recall::State;
use crate::dating::Interval;
use crate::query::{Bounds, Clause, Field, Takes, Test, Thing, Tree, normal};
use crate::vocabulary::TermId;

/// Of which pieces it holds and of which it does not; of the rest nothing is recorded that decides it.
#[derive(Debug, Clone)]
pub(super) struct Answer {
    pub yes: Pieces,
    pub no: Pieces,
}

/// Answers queries on one state of the catalogue.
pub(super) struct Asking<'c> {
    pub db: &'c Connection,
    pub state: &'c State,
    kept: HashMap<String, Answer>,
}

impl<'c> Asking<'c> {
    pub fn new(db: &'c Connection, state: &'c State) -> Self {
        Self { db, state, kept: HashMap::new() }
    }

    /// The pieces that can be found.
    pub fn all(&self) -> &'c Pieces {
        &self.state.all
    }

    /// Kleene's strong three-valued logic: `and` fails where one part fails, `or` holds where one part holds.
    pub fn answer(&mut self, tree: &Tree) -> Result<Answer> {
        Ok(match tree {
            Tree::Not(inner) => {
                let Answer { yes, no } = self.answer(inner)?;
                Answer { yes: no, no: yes }
            }
            Tree::And(parts) => {
                let mut all = Answer { yes: self.all().clone(), no: Pieces::default() };
                for part in parts {
                    let Answer { yes, no } = self.answer(part)?;
                    all = Answer { yes: all.yes.and(&yes), no: all.no.or(&no) };
                }
                all
            }
            Tree::Or(parts) => {
                let mut any = Answer { yes: Pieces::default(), no: self.all().clone() };
                for part in parts {
                    let Answer { yes, no } = self.answer(part)?;
                    any = Answer { yes: any.yes.or(&yes), no: any.no.and(&no) };
                }
                any
            }
            Tree::Kept { name, means } => {
                if let Some(known) = self.kept.get(name) {
                    return Ok(known.clone());
                }
                let answer = self.whole(Option::as_ref(means))?;
                self.kept.insert(name.clone(), answer.clone());
                answer
            }
            Tree::Words { text, whole } => self.decided(self.matching(&word(text, *whole))?),
            Tree::Clause(clause) => self.clause(clause)?,
        })
    }

    /// The same for a query that may have no condition.
    pub fn whole(&mut self, tree: Option<&Tree>) -> Result<Answer> {
        match tree {
            Some(tree) => self.answer(tree),
            None => Ok(self.decided(self.all().clone())),
        }
    }

    fn decided(&self, yes: Pieces) -> Answer {
        Answer { no: self.all().clone().without(&yes), yes }
    }

    fn recorded(&self, yes: Pieces, recorded: Pieces) -> Answer {
        Answer { no: recorded.without(&yes), yes }
    }

    fn matching(&self, query: &str) -> Result<Pieces> {
        self.pieces("SELECT rowid FROM words WHERE words MATCH ?", &[query.to_owned().into()])
    }

    /// The pieces that hold all of these words, or any of them.
    pub fn words(&self, words: &[(&str, bool)], all: bool) -> Result<Pieces> {
        let sets: Result<Vec<Pieces>> = words.iter().map(|(text, whole)| self.matching(&word(text, *whole))).collect();
        Ok(sets?.into_iter().reduce(|a, b| if all { a.and(&b) } else { a.or(&b) }).unwrap_or_default())
    }

    fn clause(&self, clause: &Clause) -> Result<Answer> {
        Ok(match (&clause.test, &clause.field) {
            (Test::Terms(terms), _) => {
                self.recorded(self.under(terms.iter().map(TermId::as_str))?, self.listed(terms)?)
            }
            (Test::Sided(side, terms), field) => {
                let sided: Vec<String> = terms.iter().map(|t| format!("{side} {}", t.as_str())).collect();
                self.recorded(self.under(sided.iter().map(String::as_str))?, self.any(field)?)
            }
            (Test::Choice(word), field) => {
                let word = format!("{}/{word}", field.name());
                self.recorded(self.under(std::iter::once(word.as_str()))?, self.any(field)?)
            }
            (Test::Text { words, whole: true }, field) => {
                let word = format!("{}/{}", field.name(), normal(words));
                self.recorded(self.under(std::iter::once(word.as_str()))?, self.any(field)?)
            }
            (Test::Text { words, whole: false }, field) => {
                let yes = self.matching(&format!("{} : {}", field.name(), phrase(words)))?;
                self.recorded(yes, self.any(field)?)
            }
            (Test::Figure(bounds), field) => self.recorded(self.figures(field.name(), bounds)?, self.any(field)?),
            (Test::Days(days), field) => {
                let (low, high) = days.numbers();
                let bounds = Bounds { low, high, surely: false };
                self.recorded(self.figures(field.name(), &bounds)?, self.any(field)?)
            }
            (Test::Years { years, within }, _) => self.recorded(self.years(*years, *within)?, self.dated()?),
            (Test::Number { number, beginning: false }, _) => {
                self.decided(self.pieces("SELECT id FROM piece WHERE lower(number) = ?", &[number.clone().into()])?)
            }
            (Test::Number { number, beginning: true }, _) => {
                let sql = "SELECT id FROM piece WHERE lower(number) >= ? AND lower(number) < ?";
                // No character comes after this one.
                let end = format!("{number}\u{10ffff}");
                self.decided(self.pieces(sql, &[number.clone().into(), end.into()])?)
            }
            (Test::Has(thing), _) => self.decided(self.things(thing)?),
            (Test::Lacks(thing), _) => {
                let Answer { yes, no } = self.decided(self.things(thing)?);
                Answer { yes: no, no: yes }
            }
        })
    }

    /// The pieces under any of these words of the index.
    fn under<'a>(&self, words: impl Iterator<Item = &'a str>) -> Result<Pieces> {
        words
            .into_iter()
            .try_fold(Pieces::default(), |all, word| Ok(self.sets(UNDER, &[word.to_owned().into()])?.or(&all)))
    }

    /// The pieces with any word of the index that begins like this.
    fn beginning(&self, with: &str) -> Result<Pieces> {
        let (from, to) = words_of_list(with);
        let sql = "SELECT part, pieces FROM found_under
            WHERE word_id IN (SELECT id FROM found_word WHERE word >= ? AND word < ?)";
        self.sets(sql, &[from.into(), to.into()])
    }

    /// The pieces of which any term of the lists of these is recorded.
    fn listed(&self, terms: &[TermId]) -> Result<Pieces> {
        let mut lists: Vec<&str> = terms.iter().map(|t| t.scheme().key()).collect();
        lists.sort_unstable();
        lists.dedup();
        lists.into_iter().try_fold(Pieces::default(), |all, list| Ok(self.beginning(list)?.or(&all)))
    }

    /// The pieces of which anything is recorded under this key.
    fn any(&self, field: &Field) -> Result<Pieces> {
        match field {
            Field::Key(key) => match key.takes {
                Takes::Terms(lists) => {
                    lists.iter().try_fold(Pieces::default(), |all, list| Ok(self.beginning(list.key())?.or(&all)))
                }
                Takes::Text(_) | Takes::Choice(_) => self.beginning(key.name),
                Takes::Figure { .. } | Takes::Days => self.has_figure(key.name),
                Takes::Years => self.dated(),
                Takes::Number | Takes::Has | Takes::Lacks | Takes::Kept => Ok(self.all().clone()),
            },
            Field::Dimension(term) => self.has_figure(term.name()),
        }
    }

    /// A figure's key is a word that its pieces are under.
    fn has_figure(&self, key: &str) -> Result<Pieces> {
        self.under(std::iter::once(key))
    }

    fn figures(&self, key: &str, bounds: &Bounds) -> Result<Pieces> {
        let sql = if bounds.surely {
            "SELECT piece_id FROM found_figure WHERE word_id = (SELECT id FROM found_word WHERE word = ?1)
                AND low >= ?2 AND least >= ?2 AND most <= ?3"
        } else {
            "SELECT piece_id FROM found_figure WHERE word_id = (SELECT id FROM found_word WHERE word = ?1)
                AND low <= ?3 AND high >= ?2"
        };
        self.pieces(sql, &[key.to_owned().into(), bounds.low.into(), bounds.high.into()])
    }

    fn dated(&self) -> Result<Pieces> {
        let sql = "SELECT id FROM piece WHERE date_earliest IS NOT NULL OR date_latest IS NOT NULL";
        self.pieces(sql, &[])
    }

    /// An open end meets every year, and lies within open years alone.
    fn years(&self, years: Interval, within: bool) -> Result<Pieces> {
        let sql = if within {
            "SELECT id FROM piece WHERE (date_earliest IS NOT NULL OR date_latest IS NOT NULL)
                AND (?1 IS NULL OR date_earliest >= ?1) AND (?2 IS NULL OR date_latest <= ?2)"
        } else {
            "SELECT id FROM piece WHERE (date_earliest IS NOT NULL OR date_latest IS NOT NULL)
                AND (?1 IS NULL OR date_latest IS NULL OR date_latest >= ?1)
                AND (?2 IS NULL OR date_earliest IS NULL OR date_earliest <= ?2)"
        };
        self.pieces(sql, &[years.earliest.into(), years.latest.into()])
    }

    fn things(&self, thing: &Thing) -> Result<Pieces> {
        match thing {
            Thing::Listed(name) => self.under(std::iter::once(format!("has/{name}").as_str())),
            Thing::Of(field) => self.any(field),
        }
    }

    /// The pieces whose row numbers a statement gives.
    fn pieces(&self, sql: &str, params: &[Sql]) -> Result<Pieces> {
        self.once(sql, params, |all, row| {
            all.add(row.get(0)?);
            Ok(())
        })
    }

    /// The pieces of the parts of sets that a statement gives.
    fn sets(&self, sql: &str, params: &[Sql]) -> Result<Pieces> {
        self.once(sql, params, add_part)
    }

    /// What a statement gives, which is run once in each state of the catalogue.
    fn once(&self, sql: &str, params: &[Sql], add: Add) -> Result<Pieces> {
        let made = || gathered(self.db, sql, params, add);
        Ok(self.state.sets.get(format!("{sql} {params:?}"), Pieces::bytes, made)?.as_ref().clone())
    }
}

/// A free word as the word index is asked for it: exactly, or as the beginning of a word.
fn word(text: &str, whole: bool) -> String {
    format!("{}{}", phrase(text), if whole { "" } else { "*" })
}

/// A text as the word index is asked for it: one phrase.
pub(super) fn phrase(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

/// The words of a list, or of a key, stand between these two: `0` follows `/`, so that all that begin with `fibre/` lie
/// between `fibre/` and `fibre0`.
pub(super) fn words_of_list(key: &str) -> (String, String) {
    (format!("{key}/"), format!("{key}0"))
}

/// The parts of the set of a word.
const UNDER: &str = "SELECT part, pieces FROM found_under WHERE word_id = (SELECT id FROM found_word WHERE word = ?)";

/// The pieces under a word of the index.
pub(super) fn under(db: &Connection, word: &str) -> Result<Pieces> {
    gathered(db, UNDER, &[word.to_owned().into()], add_part)
}

/// How a row adds to a set.
type Add = fn(&mut Pieces, &Row<'_>) -> rusqlite::Result<()>;

/// A row of a part's number and what is kept of it.
fn add_part(all: &mut Pieces, row: &Row<'_>) -> rusqlite::Result<()> {
    all.add_part(row.get(0)?, row.get_ref(1)?.as_blob()?);
    Ok(())
}

fn gathered(db: &Connection, sql: &str, params: &[Sql], add: Add) -> Result<Pieces> {
    let mut statement = db.prepare_cached(sql)?;
    let mut rows = statement.query(params_from_iter(params))?;
    let mut found = Pieces::default();
    while let Some(row) = rows.next()? {
        add(&mut found, row)?;
    }
    Ok(found)
}

/// For the order of best match: the words as one question, all of them where each must be there, else any. What the question
/// finds weighs the same either way.
pub(super) fn of_words(words: &[(&str, bool)], all: bool) -> String {
    let each: Vec<String> = words.iter().map(|(text, whole)| word(text, *whole)).collect();
    each.join(if all { " AND " } else { " OR " })
}
