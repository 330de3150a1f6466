//! Words looked for in written text: whole words, the plural allowed, passed over where the text says that there is none.

use serde::Deserialize;

/// A phrase of a rule, taken apart once.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(from = "String")]
pub struct Phrase {
    /// As the rule has it.
    pub written: String,
    words: Vec<String>,
}

impl From<String> for Phrase {
    fn from(written: String) -> Self {
        Self { words: tokens(&written), written }
    }
}

/// The words of a text in lower case; a stop is a word of its own, so that nothing is read across it.
pub(super) fn tokens(text: &str) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    let mut word = String::new();
    for c in text.chars().chain([' ']) {
        if c.is_alphanumeric() {
            word.extend(c.to_lowercase());
            continue;
        }
        if c == '\'' || c == '’' {
            continue;
        }
        if !word.is_empty() {
            list.push(std::mem::take(&mut word));
        }
        if matches!(c, '.' | ';' | ':' | '!' | '?' | '\n') {
            list.push(".".into());
        }
    }
    list
}

/// Words after which a thing is said not to be there.
const NONE: [&str; 2] = ["no", "without"];
/// So many words may stand between such a word and the thing.
const REACH: usize = 3;

/// Whether a text has the phrase anywhere outside the phrases of `unless`, and does not say that there is none of it.
pub(super) fn said(text: &[String], phrase: &Phrase, unless: &[Phrase]) -> bool {
    let barred = |at: usize| {
        let covers =
            |other: &Phrase| places(text, &other.words).any(|from| (from..from + other.words.len()).contains(&at));
        unless.iter().any(covers)
    };
    places(text, &phrase.words).any(|at| !barred(at) && !denied(text, at))
}

/// Where the words stand one after the other.
fn places<'a>(text: &'a [String], wanted: &'a [String]) -> impl Iterator<Item = usize> + 'a {
    let long = wanted.len();
    (0..(text.len() + 1).saturating_sub(long.max(1)))
        .filter(move |at| long > 0 && text[*at..at + long].iter().zip(wanted).all(|(a, b)| alike(a, b)))
}

/// The same word, or its plural.
fn alike(word: &str, wanted: &str) -> bool {
    word == wanted || word.strip_prefix(wanted).is_some_and(|end| matches!(end, "s" | "es"))
}

fn denied(text: &[String], at: usize) -> bool {
    let before = &text[..at];
    let sentence = before.iter().rposition(|word| word == ".").map_or(0, |stop| stop + 1);
    let near = &before[sentence.max(at.saturating_sub(REACH))..];
    let says = |(i, word): (usize, &String)| {
        let next = near.get(i + 1).map(String::as_str);
        // `No longer` and `no doubt` deny nothing.
        NONE.contains(&word.as_str()) && !matches!(next, Some("longer" | "doubt"))
    };
    near.iter().enumerate().any(says)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phrase_is_found_as_words_and_not_where_it_is_denied() {
        let cases: [(&str, &str, &[&str], bool); 17] = [
            ("Bright green ribbon", "green", &[], true),
            ("bright-green ribbon", "bright green", &[], true),
            ("greenish", "green", &[], false),
            ("evergreen", "green", &[], false),
            ("two wreaths", "wreath", &[], true),
            ("brushes", "brush", &[], true),
            ("olive green", "green", &["olive green"], false),
            ("olive green, bright green piping", "green", &["olive green"], true),
            ("No smell of camphor", "camphor", &[], false),
            ("without any camphor", "camphor", &[], false),
            ("no moth; camphor", "camphor", &[], true),
            ("no longer smells of camphor", "camphor", &[], true),
            ("no name, no date and yet some camphor", "camphor", &[], true),
            ("hatter’s felt", "hatters", &[], true),
            ("", "green", &[], false),
            ("green", "", &[], false),
            ("bright. Green", "bright green", &[], false),
        ];
        for (text, phrase, unless, found) in cases {
            let phrase = Phrase::from(phrase.to_owned());
            let unless: Vec<Phrase> = unless.iter().map(|u| (*u).to_owned().into()).collect();
            assert_eq!(said(&tokens(text), &phrase, &unless), found, "`{}` in `{text}`", phrase.written);
        }
    }
}
