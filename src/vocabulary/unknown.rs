//! A word that is no term, and the terms it may have been meant for.

use std::cmp::Ordering;
use std::fmt;

use super::{Scheme, Term};

/// Suggestions to name at most.
const MOST: usize = 3;
/// Likeness (0 to 1) below which a suggestion would puzzle rather than help.
const LIKE_ENOUGH: f64 = 0.6;
/// Characters of an unknown word to print and compare; longer ones are cut, with a mark.
const LONGEST: usize = 60;

/// The answer to a word that no spelling in the scheme matches.
///
/// Reads: `` `lnen` is no fibre; did you mean `linen`? ``
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UnknownTerm {
    /// The list that was searched.
    pub scheme: Scheme,
    /// What was written, cut if very long.
    pub text: String,
    /// Names of up to three terms, likeliest first; may be empty.
    pub nearest: Vec<String>,
}

impl UnknownTerm {
    pub(super) fn new<'a>(scheme: Scheme, text: &str, terms: impl Iterator<Item = &'a Term>) -> Self {
        let text = shortened(text.trim());
        let nearest = nearest(&text, terms);
        Self { scheme, text, nearest }
    }
}

impl fmt::Display for UnknownTerm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is no {}", self.text, self.scheme.noun())?;
        match self.nearest.as_slice() {
            [] => write!(f, "; list them with `dimity terms {}`", self.scheme.key()),
            [one] => write!(f, "; did you mean `{one}`?"),
            [one, two] => write!(f, "; did you mean `{one}` or `{two}`?"),
            [one, two, three, ..] => write!(f, "; did you mean `{one}`, `{two}` or `{three}`?"),
        }
    }
}

impl std::error::Error for UnknownTerm {}

/// A spelling reduced to what is compared: lower case, without spaces, hyphens and apostrophes. Of a URI, `http` and
/// `https` are one, and the last stroke does not matter.
pub(super) fn folded(text: &str) -> String {
    let text = match text.trim().split_once("://") {
        Some((scheme, address)) if ["http", "https"].iter().any(|web| web.eq_ignore_ascii_case(scheme)) => {
            address.trim_end_matches('/')
        }
        _ => text,
    };
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_' | '‐' | '‑' | '–' | '\'' | '’'))
        .flat_map(char::to_lowercase)
        .collect()
}

fn shortened(text: &str) -> String {
    match text.char_indices().nth(LONGEST) {
        Some((cut, _)) => format!("{}…", &text[..cut]),
        None => text.to_owned(),
    }
}

fn nearest<'a>(text: &str, terms: impl Iterator<Item = &'a Term>) -> Vec<String> {
    let sought = folded(text);
    let mut ranked: Vec<(f64, &str)> =
        terms.map(|term| (likeness(&sought, term), term.name())).filter(|(score, _)| *score >= LIKE_ENOUGH).collect();
    // A stable sort: equal scores keep the order of the list.
    ranked.sort_by(|a, b| b.0.partial_cmp(&a.0).unwrap_or(Ordering::Equal));
    ranked.into_iter().take(MOST).map(|(_, name)| name.to_owned()).collect()
}

/// The best likeness of any spelling of the term.
fn likeness(sought: &str, term: &Term) -> f64 {
    term.spellings().map(|spelling| alike(sought, &folded(spelling))).fold(0.0, f64::max)
}

/// Edit distance over length; a whole word inside a longer name (`slippage`) counts as alike too.
fn alike(sought: &str, spelling: &str) -> f64 {
    let edits = strsim::normalized_damerau_levenshtein(sought, spelling);
    let inside = sought.chars().count() >= 4 && (spelling.contains(sought) || sought.contains(spelling));
    if inside { edits.max(LIKE_ENOUGH + edits / 10.0) } else { edits }
}
