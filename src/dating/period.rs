//! Single periods: a year, a day, a decade, a century or a part of one.

use super::{
    Conventions, calendar::calendar, century, convention::Hundreds, interval::year_in_words, token::Token, words::Word,
};

/// The years of one period, how EDTF writes it, and the convention it leaned on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Period {
    pub(super) first: i32,
    pub(super) last: i32,
    pub(super) edtf: String,
    pub(super) remark: Option<String>,
    /// Just a year: the only thing that `circa` widens and that an end such as `-75` can follow.
    pub(super) is_year: bool,
    pub(super) is_decade: bool,
}

impl Period {
    pub(super) fn span(first: i32, last: i32, remark: Option<String>) -> Period {
        let edtf = if first == last { edtf_year(first) } else { format!("{}/{}", edtf_year(first), edtf_year(last)) };
        Period { first, last, edtf, remark, is_year: false, is_decade: false }
    }

    pub(super) fn year(year: i32) -> Period {
        Period { is_year: true, ..Period::span(year, year, None) }
    }
}

pub(super) fn edtf_year(year: i32) -> String {
    if year < 0 { format!("-{:04}", year.unsigned_abs()) } else { format!("{year:04}") }
}

/// `1760–1775`, `300 BC–201 BC`.
pub(super) fn years(first: i32, last: i32) -> String {
    format!("{}–{}", year_in_words(first), year_in_words(last))
}

/// Which part of a decade or a century.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    Early,
    Mid,
    Late,
    Beginning,
    End,
    Turn,
    Half(i32),
    Quarter(i32),
    Third(i32),
}

/// What a period leaves to its neighbour: `late 18th` before `century`, `332` before `BC`.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Lent<'a> {
    /// The neighbour is a century, so a bare ordinal is one.
    pub(super) century: bool,
    /// The neighbour is a decade, so `1900s` or `années 1750-1760` is one.
    pub(super) decade: bool,
    /// Whether the neighbour is before the era, where it says so.
    pub(super) era: Option<bool>,
    /// Month (0 for none) and year.
    pub(super) month: Option<(u8, i32)>,
    /// What the neighbour is a part of.
    pub(super) whole: &'a [Token],
    /// The neighbour's `half`, `quarter`: `1st and 2nd quarter`.
    pub(super) fraction: Option<Word>,
}

/// Reads one period; `None` when the words are none.
pub(super) fn read(phrase: &[Token], lent: Lent, conventions: &Conventions) -> Option<Period> {
    if let Some(day) = calendar(phrase, lent.month) {
        return Some(day);
    }
    let (bc, phrase) = era(phrase);
    if let Some(year) = year(phrase, bc, lent.era) {
        return Some(year);
    }
    if let ([Token { word: Word::Ordinal(n), .. }], Some(fraction)) = (phrase, lent.fraction) {
        return whole(
            lent.whole,
            fraction_of(i32::from(*n), fraction),
            bc.or(lent.era) == Some(true),
            lent,
            conventions,
        );
    }
    let (part, rest) = part(phrase);
    if rest.is_empty() {
        // `mid` in `mid to late 18th century`: the noun is the neighbour's.
        part?;
        return whole(lent.whole, part, bc.or(lent.era) == Some(true), Lent { century: true, ..lent }, conventions);
    }
    whole(rest, part, bc.or(lent.era) == Some(true), lent, conventions)
}

/// A century or decade of which `part` is meant.
fn whole(noun: &[Token], part: Option<Part>, bc: bool, lent: Lent, conventions: &Conventions) -> Option<Period> {
    let (own, noun) = era(noun);
    let bc = own.unwrap_or(bc);
    if let Some((first, hundred)) = decade(noun, lent.decade) {
        return match (hundred && !lent.decade, conventions.hundreds) {
            _ if bc => None,
            (false, _) | (true, Hundreds::Decade) => century::decade(first, part),
            (true, Hundreds::Century) => century::century(first / 100 + 1, part, false, conventions),
            (true, Hundreds::Ask) => None,
        };
    }
    century::century(century_number(noun, lent.century)?, part, bc, conventions)
}

/// `AD 200`, `300 BC`: whether it is before the era, where that is said.
pub(super) fn era(phrase: &[Token]) -> (Option<bool>, &[Token]) {
    match phrase {
        [Token { word: Word::Bc, .. }, rest @ ..] | [rest @ .., Token { word: Word::Bc, .. }] => (Some(true), rest),
        [Token { word: Word::Ad, .. }, rest @ ..] | [rest @ .., Token { word: Word::Ad, .. }] => (Some(false), rest),
        _ => (None, phrase),
    }
}

/// A year of three or four digits; of fewer where the era is named.
fn year(phrase: &[Token], bc: Option<bool>, lent: Option<bool>) -> Option<Period> {
    let [Token { word: Word::Figure(value, digits, _), .. }] = phrase else { return None };
    let era = bc.or(lent);
    let least = if era.is_some() { 1 } else { 3 };
    let bc = era == Some(true);
    ((least..=4).contains(digits) && *value > 0).then(|| Period::year(if bc { 1 - value } else { *value }))
}

/// `1880s`, `années 1880`, `1880er Jahre`: its first year, and whether it could be a hundred years.
pub(super) fn decade(phrase: &[Token], lent: bool) -> Option<(i32, bool)> {
    let (value, digits, sure) = match phrase {
        [Token { word: Word::Decade(value, digits), .. }] => (*value, *digits, false),
        [Token { word: Word::Decade(value, digits), .. }, Token { word: Word::Years, .. }]
        | [
            Token { word: Word::Years, .. },
            Token { word: Word::Decade(value, digits) | Word::Figure(value, digits, _), .. },
        ] => (*value, *digits, true),
        [Token { word: Word::Figure(value, digits, _), .. }] if lent && value % 10 == 0 => (*value, *digits, true),
        _ => return None,
    };
    (matches!(digits, 3..=4) && value % 10 == 0 && value > 0).then_some((value, !sure && value % 100 == 0))
}

/// The number of a century; the noun may be lent.
fn century_number(phrase: &[Token], lent: bool) -> Option<i32> {
    let numeral = match phrase {
        [numeral, Token { word: Word::Century, .. }] | [Token { word: Word::Century, .. }, numeral] => numeral,
        [token @ Token { word: Word::Named(_), .. }] => token,
        [numeral] if lent => numeral,
        _ => return None,
    };
    let number = match numeral.word {
        Word::Ordinal(n) | Word::Roman(n) | Word::Named(n) => i32::from(n),
        Word::Figure(n, 1..=2, _) => n,
        _ => return None,
    };
    (1..=40).contains(&number).then_some(number)
}

fn fraction_of(n: i32, noun: Word) -> Option<Part> {
    let (part, most): (fn(i32) -> Part, i32) = match noun {
        Word::Half => (Part::Half, 2),
        Word::Third | Word::Ordinal(3) => (Part::Third, 3),
        Word::Quarter => (Part::Quarter, 4),
        _ => return None,
    };
    let n = if n == 0 { most } else { n };
    (1..=most).contains(&n).then(|| part(n))
}

/// The part named before a decade or century, and the rest.
pub(super) fn part(phrase: &[Token]) -> (Option<Part>, &[Token]) {
    match phrase {
        // `beginning third quarter` is none; `Mitte des 2. Drittels` neither.
        [Token { word: Word::Part(part), .. }, rest @ ..] => (Some(*part), rest),
        [number, noun, rest @ ..] => {
            let n = match number.word {
                Word::Ordinal(n) | Word::Roman(n) => i32::from(n),
                Word::Figure(n, 1, true) if n > 0 => n,
                Word::Last => 0,
                _ => return lone_half(phrase),
            };
            match fraction_of(n, noun.word) {
                Some(part) => (Some(part), rest),
                None => lone_half(phrase),
            }
        }
        _ => lone_half(phrase),
    }
}

/// Italian `metà del XIX secolo` is its middle; with a number before it, a half.
fn lone_half(phrase: &[Token]) -> (Option<Part>, &[Token]) {
    match phrase {
        [Token { word: Word::Half, .. }, rest @ ..] if !rest.is_empty() => (Some(Part::Mid), rest),
        _ => (None, phrase),
    }
}

/// What may be lent to a neighbour.
pub(super) fn lendable(phrase: &[Token]) -> Lent<'_> {
    let (bc, bare) = era(phrase);
    let (_, whole) = part(bare);
    let fraction = match bare {
        [Token { word: Word::Ordinal(_) | Word::Last | Word::Figure(_, 1, true), .. }, noun, _, ..]
            if matches!(noun.word, Word::Half | Word::Quarter | Word::Third | Word::Ordinal(3))
                && whole.len() < bare.len() =>
        {
            Some(noun.word)
        }
        _ => None,
    };
    Lent {
        century: phrase.iter().any(|token| matches!(token.word, Word::Century | Word::Named(_))),
        decade: decade(whole, false).is_some_and(|(_, hundred)| !hundred),
        era: bc,
        month: super::calendar::lendable(phrase),
        whole,
        fraction,
    }
}
