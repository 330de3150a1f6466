//! The small language in which pieces are asked for: words, phrases, `key:value`, and, or, not, brackets.
//!
//! Text in, a tree with its places out; or a [`Mistake`] that points at the place and proposes a mend. Nothing here
//! knows of tables: the catalogue turns a tree into sets of pieces, and [`entries`] says by what a piece is found.
//!
//! *Not recorded* is not *no*. A clause is true of a piece, false, or undecided because nothing of the kind is recorded;
//! `and`, `or` and `not` follow the strong three-valued logic of Kleene (Introduction to Metamathematics, 1952, §64).
//! A search answers with the pieces of which the whole is true, and says of how many it is undecided.
//!
//! ```
//! use dimity::query::{Query, Reading};
//! let reading = Reading::default();
//! let query = Query::parse("fibre:silk (bodice or spencer) not date:1800..1820", &reading)?;
//! assert_eq!(query.to_string(), "fibre:silk (bodice or spencer) not date:1800..1820");
//! let mistake = Query::parse("fibre:lnen", &reading).unwrap_err();
//! assert_eq!((mistake.span.clone(), mistake.why.as_str()), (6..10, "`lnen` is no fibre"));
//! assert_eq!(mistake.nearest, ["linen"]);
//! # Ok::<(), dimity::query::Mistake>(())
//! ```

mod day;
mod entries;
mod figure;
mod help;
mod key;
mod mistake;
mod parse;
mod token;
mod tree;
mod value;

use std::collections::BTreeMap;

pub use day::Days;
pub use entries::{Beside, Entries, FigureEntry, entries, normal};
pub use figure::Bounds;
pub use help::{EXAMPLES, RULES, guide};
pub use key::{KEYS, Key, THINGS, Takes, Text};
pub use mistake::Mistake;
pub use tree::{Clause, Field, Test, Thing, Tree};

use crate::dating::{Conventions, Interval};
use crate::vocabulary::Vocabulary;

/// What a query is read against.
#[derive(Debug, Clone)]
pub struct Reading<'a> {
    /// The terms that may be asked for.
    pub vocabulary: &'a Vocabulary,
    /// How written dates are understood.
    pub conventions: Conventions,
    /// Kept searches that a query may name, with their queries.
    pub sets: BTreeMap<String, String>,
}

impl Default for Reading<'static> {
    /// The shipped terms, the program's own conventions, and no sets.
    fn default() -> Self {
        Reading { vocabulary: Vocabulary::shipped(), conventions: Conventions::default(), sets: BTreeMap::new() }
    }
}

/// A query that was understood.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Query {
    /// What must hold; without a condition every piece is found.
    pub tree: Option<Tree>,
}

impl Query {
    /// The query that finds every piece.
    pub const ALL: Query = Query { tree: None };

    /// Reads a query.
    ///
    /// # Errors
    /// A [`Mistake`] that names the place, the cause and the mend.
    pub fn parse(text: &str, reading: &Reading<'_>) -> Result<Query, Mistake> {
        parse::query(text, reading)
    }

    /// Both queries at once.
    #[must_use]
    pub fn and(self, other: Query) -> Query {
        let parts: Vec<Tree> = self.tree.into_iter().chain(other.tree).collect();
        Query { tree: Tree::all_of(parts) }
    }

    /// The names of the keys that it asks for and that a record may leave blank, each once, in order.
    pub fn may_be_blank(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        if let Some(tree) = &self.tree {
            tree.each_clause(&mut |clause| {
                let name = clause.field.name().to_owned();
                if clause.field.may_be_blank() && !names.contains(&name) {
                    names.push(name);
                }
            });
        }
        names
    }

    /// The years by which it chooses: those of its `date:` clauses that must hold, each narrowing the last. None where it
    /// asks for none.
    pub fn years(&self) -> Option<Interval> {
        self.tree.as_ref().and_then(Tree::years)
    }

    /// The free words that a piece may hold to be found: those not under a `not`.
    pub fn words(&self) -> Vec<(&str, bool)> {
        let mut words = Vec::new();
        if let Some(tree) = &self.tree {
            tree.wanted_words(&mut words);
        }
        words
    }

    /// Whether a piece must hold all of these words to be found, and not any of them.
    pub fn needs_all_words(&self) -> bool {
        self.tree.as_ref().is_none_or(Tree::needs_all_words)
    }
}

/// The query as it would be written; it reads back as the same.
impl std::fmt::Display for Query {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.tree.as_ref().map_or(Ok(()), |tree| tree.fmt(f))
    }
}
