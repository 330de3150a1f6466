//! Days, months and seasons.

use super::{
    edtf::days_in,
    period::{Period, edtf_year},
    token::Token,
    words::Word,
};

/// `14 March 1987`, `March 14, 1987`, `March 1987`, `spring 1815`, `spring/summer 1988`, `3/14/1987`. `lent` is the
/// month and year that a neighbour has: `14–16 March 1987`.
pub(super) fn calendar(phrase: &[Token], lent: Option<(u8, i32)>) -> Option<Period> {
    let mut words = [None; 5];
    for (place, token) in phrase.iter().enumerate() {
        *words.get_mut(place)? = Some(token.word);
    }
    let year = |word: Option<Word>| match word? {
        Word::Figure(year, 3..=4, _) if year > 0 => Some(year),
        _ => None,
    };
    match words {
        [Some(Word::Day(a, b, year, dotted)), None, ..] => day_in_figures(a, b, year, dotted),
        [Some(Word::Month(month)), last, None, ..] => {
            month_of(month, if last.is_some() { year(last) } else { lent.map(|(_, year)| year) }?)
        }
        [Some(Word::Season(season)), last, None, ..] => {
            season_of(season, season, if last.is_some() { year(last) } else { lent.map(|(_, year)| year) }?)
        }
        [Some(Word::Season(first)), Some(Word::Slash | Word::Dash), Some(Word::Season(second)), last, None] => {
            season_of(first, second, year(last)?)
        }
        [first, Some(Word::Month(month)), None, ..] if year(first).is_some() => month_of(month, year(first)?),
        [first, Some(Word::Season(season)), None, ..] => season_of(season, season, year(first)?),
        [first, Some(Word::Month(month)), last, None, ..] if day(first).is_some() => {
            let year = if last.is_some() { year(last) } else { lent.map(|(_, year)| year) };
            day_of(year?, month, day(first)?)
        }
        [Some(Word::Month(month)), second, last, None, ..] => day_of(year(last)?, month, day(second)?),
        [first, Some(Word::Month(month)), last, None, ..] => day_of(year(first)?, month, day(last)?),
        [first, None, ..] => lent.and_then(|(month, year)| day_of(year, month, day(first)?)),
        _ => None,
    }
}

/// The month and year at the end of a day or month, to be lent.
pub(super) fn lendable(phrase: &[Token]) -> Option<(u8, i32)> {
    match phrase {
        [.., Token { word: Word::Month(month), .. }, Token { word: Word::Figure(year, 3..=4, _), .. }]
        | [
            Token { word: Word::Month(month), .. },
            Token { word: Word::Figure(..) | Word::Ordinal(_), .. },
            Token { word: Word::Figure(year, 3..=4, _), .. },
        ] => Some((*month, *year)),
        [.., Token { word: Word::Season(_), .. }, Token { word: Word::Figure(year, 3..=4, _), .. }] => Some((0, *year)),
        _ => None,
    }
}

fn day(word: Option<Word>) -> Option<u8> {
    match word? {
        Word::Figure(day, 1..=2, _) => u8::try_from(day).ok(),
        Word::Ordinal(day) => Some(day),
        _ => None,
    }
}

fn written(edtf: String, year: i32) -> Period {
    Period { edtf, ..Period::span(year, year, None) }
}

fn month_of(month: u8, year: i32) -> Option<Period> {
    (1..=12).contains(&month).then(|| written(format!("{}-{month:02}", edtf_year(year)), year))
}

fn season_of(first: u8, last: u8, year: i32) -> Option<Period> {
    let name = edtf_year(year);
    Some(written(if first == last { format!("{name}-{first}") } else { format!("{name}-{first}/{name}-{last}") }, year))
        .filter(|_| first <= last || last == 21)
        .map(|period| if first > last { written(name, year) } else { period })
}

fn day_text(year: i32, month: u8, day: u8) -> Option<String> {
    let real = (1..=12).contains(&month) && (1..=days_in(month, (year, year))).contains(&day);
    real.then(|| format!("{}-{month:02}-{day:02}", edtf_year(year)))
}

fn day_of(year: i32, month: u8, day: u8) -> Option<Period> {
    day_text(year, month, day).map(|edtf| written(edtf, year))
}

/// `12/03/1987`: with full stops the day comes first (common practice, no source); with strokes both readings are kept
/// where both are days.
fn day_in_figures(a: u8, b: u8, year: i32, dotted: bool) -> Option<Period> {
    let (day_first, month_first) = (day_text(year, b, a), day_text(year, a, b).filter(|_| !dotted));
    match (day_first, month_first) {
        (Some(one), Some(other)) if one != other => {
            let (one, other) = if one < other { (one, other) } else { (other, one) };
            let remark = "day and month cannot be told apart in figures alone: both readings are kept";
            Some(Period { remark: Some(remark.into()), ..written(format!("[{one},{other}]"), year) })
        }
        (Some(edtf), _) | (None, Some(edtf)) => Some(written(edtf, year)),
        (None, None) => None,
    }
}
