//! What the words of dates mean, one table a language, all looked up at once: a record need not say its language.

#![allow(clippy::enum_glob_use, reason = "a table of words is read without the name of the enum on each line")]

mod dutch;
mod english;
mod french;
mod german;
mod italian;
mod spanish;

use std::collections::HashMap;
use std::sync::OnceLock;

use super::period::Part;
use super::token::folded;

/// What a word says in a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Word {
    /// Digits: value, how many, and whether a full stop follows (`18. Jahrhundert`).
    Figure(i32, u8, bool),
    /// `1880s`, `80s`, `1880er`: value and digits.
    Decade(i32, u8),
    /// `12/03/1987`: first, second and year; whether full stops part them.
    Day(u8, u8, i32, bool),
    /// `18th`, `first`.
    Ordinal(u8),
    /// `XVIII`.
    Roman(u8),
    /// `last` of halves, thirds, quarters.
    Last,
    Circa,
    Uncertain,
    Query,
    Century,
    /// A century of that number in one word: `Ottocento`.
    Named(u8),
    /// The noun of a decade: `années 1750`.
    Years,
    Part(Part),
    Half,
    Third,
    Quarter,
    Before,
    By,
    After,
    From,
    To,
    /// `until`: a joint between two dates, `by` before one.
    Until,
    Or,
    And,
    Between,
    /// Joins two dates, and says nothing before one: French `à`, Dutch `en`.
    Loose,
    /// `of`: says nothing in English, `or` in Dutch.
    Of,
    /// Says nothing.
    Filler,
    Month(u8),
    Season(u8),
    Bc,
    Ad,
    /// Years of another reckoning: since the Hijra, since the Creation.
    Elsewhere,
    Later,
    Earlier,
    /// `present`: an end that has not come.
    Now,
    Verb(Act),
    Undated,
    /// `period`, `dynasty`: the words beside it name a time that is not read.
    Reign,
    /// `a.`, `B)`: which part of a piece is meant.
    Label,
    Dash,
    Slash,
    Comma,
    Open,
    Close,
    Other,
}

/// What happened to a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Act {
    /// Before it was made: designed, patented.
    Planned,
    /// Made: woven, sewn.
    Made,
    /// Afterwards: altered, shown.
    Later,
}

/// One language: words as they are spelt, and what they say.
type Table = &'static [(&'static str, Word)];

const TABLES: [Table; 6] = [english::WORDS, french::WORDS, german::WORDS, italian::WORDS, dutch::WORDS, spanish::WORDS];

struct Lexicon {
    /// Folded words, several joined by a blank.
    meanings: HashMap<String, Word>,
    /// How many words the longest entry has that begins with this one.
    longest: HashMap<String, usize>,
    /// Spelling, folded spelling and the set of its letters, for proposals.
    spellings: Vec<(&'static str, String, u32)>,
}

fn lexicon() -> &'static Lexicon {
    static LEXICON: OnceLock<Lexicon> = OnceLock::new();
    LEXICON.get_or_init(|| {
        let mut made = Lexicon { meanings: HashMap::new(), longest: HashMap::new(), spellings: Vec::new() };
        for (spelling, word) in TABLES.into_iter().flatten() {
            let key = folded(spelling);
            let length = key.split(' ').count();
            let first = key.split(' ').next().unwrap_or_default().to_owned();
            let longest = made.longest.entry(first).or_default();
            *longest = length.max(*longest);
            if length == 1 {
                made.spellings.push((spelling, key.clone(), letters(&key)));
            }
            made.meanings.entry(key).or_insert(*word);
        }
        made
    })
}

/// The meaning of a folded word, or of several joined by a blank.
pub(super) fn meaning(key: &str) -> Option<Word> {
    lexicon().meanings.get(key).copied()
}

/// How many words to look at together, beginning with this one.
pub(super) fn longest(first: &str) -> usize {
    lexicon().longest.get(first).copied().unwrap_or(1)
}

/// Which of the 26 letters stand in a word.
fn letters(word: &str) -> u32 {
    word.bytes().filter(u8::is_ascii_lowercase).fold(0, |set, b| set | 1 << (b - b'a'))
}

/// The known spelling nearest to a misspelt word: one letter wrong in a short word, two in a long one.
pub(super) fn nearest(word: &str) -> Option<&'static str> {
    let key = folded(word);
    let length = key.chars().count();
    if length < 4 || !key.chars().all(char::is_alphabetic) || meaning(&key).is_some() {
        return None;
    }
    let (most, set) = (if length < 6 { 1 } else { 2 }, letters(&key));
    // Two wrong letters change four places of the set at most: most words need no closer look.
    let near = lexicon().spellings.iter().filter(|(_, known, known_set)| {
        (known_set ^ set).count_ones() <= 4 && known.len().abs_diff(key.len()) <= most && known.len() > 2
    });
    let near = near.map(|(spelling, known, _)| (strsim::osa_distance(&key, known), known, *spelling)).min();
    // Who slips twice has the first letter right.
    let alike = |distance: usize, known: &str| distance < 2 || known.as_bytes().first() == key.as_bytes().first();
    near.filter(|(distance, known, _)| *distance <= most && alike(*distance, known)).map(|(.., spelling)| spelling)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_means_the_same_in_every_language() {
        for (spelling, word) in TABLES.into_iter().flatten() {
            assert_eq!(meaning(&folded(spelling)), Some(*word), "`{spelling}` has two meanings");
        }
    }

    #[test]
    fn a_misspelt_word_finds_its_neighbour_in_any_language() {
        for (wrong, right) in [
            ("centruy", "century"),
            ("Jahrhundret", "Jahrhundert"),
            ("siecel", "siècle"),
            ("probabelment", "probablement"),
            ("Febraur", "Februar"),
            ("Marhc", "march"),
            ("moitie", ""),
            ("garment", ""),
        ] {
            assert_eq!(nearest(wrong).unwrap_or_default(), right, "{wrong}");
        }
    }
}
