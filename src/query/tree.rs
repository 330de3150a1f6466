//! What a query means, as a tree, and how it is written.

use std::fmt::{self, Display as _, Write as _};
use std::sync::Arc;

use super::day::Days;
use super::figure::Bounds;
use super::key::{Key, Takes};
use crate::dating::Interval;
use crate::vocabulary::TermId;

/// A condition on a piece.
#[derive(Debug, Clone, PartialEq)]
pub enum Tree {
    /// A word that the record holds somewhere, or the beginning of one; `whole` takes it exactly, several as a phrase.
    Words {
        /// The words.
        text: String,
        /// Exactly as they stand.
        whole: bool,
    },
    /// One thing asked under a key.
    Clause(Clause),
    /// A kept search.
    Kept {
        /// Its name.
        name: String,
        /// What it means; nothing where it finds every piece.
        means: Arc<Option<Tree>>,
    },
    /// It does not hold.
    Not(Box<Tree>),
    /// All hold; two at least.
    And(Vec<Tree>),
    /// One holds; two at least.
    Or(Vec<Tree>),
}

/// `key:value`.
#[derive(Debug, Clone, PartialEq)]
pub struct Clause {
    /// What is asked about.
    pub field: Field,
    /// `=`, `>`, `>=`, `<`, `<=`, or blank.
    pub sign: &'static str,
    /// The value as it is written, without quotes.
    pub text: String,
    /// What that means.
    pub test: Test,
}

/// What a clause asks about.
#[derive(Debug, Clone, PartialEq)]
pub enum Field {
    /// One of [`super::KEYS`].
    Key(&'static Key),
    /// A dimension, by its term.
    Dimension(TermId),
}

/// What must be true of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Test {
    /// One of these terms is recorded; kinds of the terms asked for are among them.
    Terms(Vec<TermId>),
    /// A component on this side: `left`, `right`, `centre`.
    Sided(String, Vec<TermId>),
    /// The text holds these words in this order; `whole`: it is this text.
    Text {
        /// The words.
        words: String,
        /// The whole of the text.
        whole: bool,
    },
    /// One of a few fixed words.
    Choice(String),
    /// A figure within bounds.
    Figure(Bounds),
    /// Years that the date must meet; `within`: that it must not leave.
    Years {
        /// The years.
        years: Interval,
        /// All years of the date are among them.
        within: bool,
    },
    /// A day among these.
    Days(Days),
    /// The accession number; `beginning`: its first characters.
    Number {
        /// The number, in lower case.
        number: String,
        /// Only how it begins.
        beginning: bool,
    },
    /// Whether a thing is recorded at all.
    Has(Thing),
    /// Whether nothing of the kind is recorded.
    Lacks(Thing),
}

/// What `has:` and `lacks:` ask for.
#[derive(Debug, Clone, PartialEq)]
pub enum Thing {
    /// One of [`super::THINGS`].
    Listed(&'static str),
    /// Anything under a key.
    Of(Field),
}

impl Field {
    /// The word before the colon.
    pub fn name(&self) -> &str {
        match self {
            Self::Key(key) => key.name,
            Self::Dimension(term) => term.name(),
        }
    }

    /// Whether a piece can be undecided under it because nothing is recorded.
    pub fn may_be_blank(&self) -> bool {
        match self {
            Self::Key(key) => !matches!(key.takes, Takes::Number | Takes::Has | Takes::Lacks | Takes::Kept),
            Self::Dimension(_) => true,
        }
    }
}

impl Tree {
    /// All of these; none for no condition at all.
    pub(super) fn all_of(mut parts: Vec<Tree>) -> Option<Tree> {
        if parts.len() > 1 { Some(Tree::And(parts)) } else { parts.pop() }
    }

    /// Visits the clauses, those of kept searches too.
    pub fn each_clause(&self, visit: &mut dyn FnMut(&Clause)) {
        match self {
            Self::Words { .. } => {}
            Self::Clause(clause) => visit(clause),
            Self::Kept { means, .. } => {
                if let Some(tree) = &**means {
                    tree.each_clause(visit);
                }
            }
            Self::Not(inner) => inner.each_clause(visit),
            Self::And(parts) | Self::Or(parts) => parts.iter().for_each(|p| p.each_clause(visit)),
        }
    }

    /// The years that a piece must meet whatever else holds.
    pub(super) fn years(&self) -> Option<Interval> {
        match self {
            Self::Clause(Clause { test: Test::Years { years, .. }, .. }) => Some(*years),
            Self::Kept { means, .. } => Option::as_ref(means).and_then(Self::years),
            Self::And(parts) => parts.iter().filter_map(Self::years).reduce(|a, b| {
                let earliest = a.earliest.max(b.earliest);
                Interval::new(earliest, a.latest.zip(b.latest).map_or(a.latest.or(b.latest), |(a, b)| Some(a.min(b))))
            }),
            Self::Words { .. } | Self::Clause(_) | Self::Not(_) | Self::Or(_) => None,
        }
    }

    pub(super) fn needs_all_words(&self) -> bool {
        match self {
            Self::And(parts) => parts.iter().all(Self::needs_all_words),
            Self::Or(_) => {
                let mut words = Vec::new();
                self.wanted_words(&mut words);
                words.is_empty()
            }
            Self::Words { .. } | Self::Clause(_) | Self::Kept { .. } | Self::Not(_) => true,
        }
    }

    pub(super) fn wanted_words<'a>(&'a self, words: &mut Vec<(&'a str, bool)>) {
        match self {
            Self::Words { text, whole } => words.push((text, *whole)),
            Self::And(parts) | Self::Or(parts) => parts.iter().for_each(|p| p.wanted_words(words)),
            Self::Clause(_) | Self::Kept { .. } | Self::Not(_) => {}
        }
    }
}

/// Quotes around a text that would not be read as one plain word.
fn quoted(text: &str) -> String {
    let plain = !text.is_empty()
        && !["and", "or", "not"].iter().any(|word| text.eq_ignore_ascii_case(word))
        && !text.starts_with(['=', '<', '>'])
        && !text.chars().any(|c| c.is_whitespace() || matches!(c, '(' | ')' | '"' | '“' | '”' | '„' | ':'));
    if plain { text.to_owned() } else { format!("\"{}\"", text.replace('"', "\"\"")) }
}

/// A value after a key may hold colons.
fn quoted_value(text: &str) -> String {
    let colons = text.contains(':') && quoted(&text.replace(':', "")) == text.replace(':', "");
    if colons { text.to_owned() } else { quoted(text) }
}

impl fmt::Display for Clause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}{}", quoted(self.field.name()), self.sign, quoted_value(&self.text))
    }
}

impl fmt::Display for Tree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words { text, whole: false } => f.write_str(&quoted(text)),
            Self::Words { text, whole: true } => write!(f, "\"{}\"", text.replace('"', "\"\"")),
            Self::Clause(clause) => clause.fmt(f),
            Self::Kept { name, .. } => write!(f, "kept:{}", quoted_value(name)),
            Self::Not(inner) => {
                f.write_str("not ")?;
                bracketed(inner, matches!(**inner, Self::And(_) | Self::Or(_)), f)
            }
            Self::And(parts) => joined(parts, " ", |p| matches!(p, Self::Or(_) | Self::And(_)), f),
            Self::Or(parts) => joined(parts, " or ", |p| matches!(p, Self::Or(_)), f),
        }
    }
}

fn joined(parts: &[Tree], with: &str, inner: fn(&Tree) -> bool, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    for (i, part) in parts.iter().enumerate() {
        if i > 0 {
            f.write_str(with)?;
        }
        bracketed(part, inner(part), f)?;
    }
    Ok(())
}

fn bracketed(tree: &Tree, brackets: bool, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    if !brackets {
        return tree.fmt(f);
    }
    f.write_char('(')?;
    tree.fmt(f)?;
    f.write_char(')')
}
