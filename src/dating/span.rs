//! Two periods joined: spans and alternatives, with ends cut short (`1760-75`) or a noun shared.

use super::{
    Conventions,
    clause::{Reading, Trouble, joined},
    doubt::{Doubt, marks},
    interval::Interval,
    period::{self, Lent, Part, Period, edtf_year},
    token::Token,
    words::Word,
};

/// Two periods joined. Every joint is tried in turn, because `mid-18th` has a hyphen of its own.
pub(super) fn pair(
    whole: &[Token],
    doubt: Doubt,
    conventions: &Conventions,
    text: &str,
) -> Option<Result<Reading, Trouble>> {
    let (core, wanted): (&[Token], fn(Word) -> bool) = match whole {
        [Token { word: Word::Between, .. }, rest @ ..] => {
            (rest, |word| matches!(word, Word::And | Word::Loose | Word::To | Word::Dash))
        }
        [Token { word: Word::From, .. }, rest @ ..] => {
            (rest, |word| matches!(word, Word::To | Word::Until | Word::Loose | Word::Dash))
        }
        _ => (whole, |word| {
            matches!(word, Word::To | Word::Until | Word::Loose | Word::Dash | Word::Slash | Word::Or | Word::And)
        }),
    };
    // `between 1770 and 1780` is a span, not two years.
    let spans = matches!(whole.first(), Some(Token { word: Word::Between | Word::From, .. }));
    (1..core.len().saturating_sub(1)).filter(|place| wanted(core[*place].word)).find_map(|place| {
        let joint = if spans { Word::To } else { core[place].word };
        two(&core[..place], joint, &core[place + 1..], doubt, conventions, text)
    })
}

fn two(
    left: &[Token],
    joint: Word,
    right: &[Token],
    doubt: Doubt,
    conventions: &Conventions,
    text: &str,
) -> Option<Result<Reading, Trouble>> {
    let ((left, left_own), (right, right_own)) = (marks(left), marks(right));
    if right_own.act.is_some() || left_own.act.is_some() {
        return None;
    }
    let (left_own, right_own) = (left_own.doubt, right_own.doubt);
    let (left, right) = (without_seasons(left, right), right);
    let lent_left = period::lendable(right);
    let lent_right = period::lendable(left);
    // What the left lends to the right: `18th century – 19th`, `années 1750-1760`, `BC 300-200`.
    let era_first = matches!(left.first(), Some(Token { word: Word::Bc | Word::Ad, .. }));
    let era = lent_right.era.filter(|_| era_first);
    let right_lent = Lent { whole: &[], fraction: None, month: None, era, ..lent_right };
    let start = period::read(left, lent_left, conventions)?;
    // `turn of the 18th to the 19th century` is the turn of the later one.
    if let [Token { word: Word::Part(Part::Turn), .. }, ..] = left {
        let turn: Vec<Token> = left.iter().take(1).chain(right).copied().collect();
        let turn = period::read(&turn, Lent::default(), conventions)?;
        return Some(Ok(super::clause::single(&turn, doubt, conventions)));
    }
    let end = match short_end(&start, right) {
        Some(Ok(end)) => end,
        Some(Err(why)) => {
            let at = right.first().map_or(0, |token| token.at);
            return Some(Err(Trouble { at: Some(at), why, nearest: None }));
        }
        None => period::read(right, right_lent, conventions)?,
    };
    if end.last < start.first || end.first < start.first {
        let slice = |phrase: &[Token]| Some(text.get(phrase.first()?.at..phrase.last()?.end)?.to_owned());
        let nearest = slice(right).zip(slice(left)).map(|(right, left)| format!("{right} – {left}"));
        return Some(Err(Trouble { at: None, why: "the span ends before it begins".into(), nearest }));
    }
    Some(Ok(spanned((&start, left_own), joint, (&end, right_own), doubt, conventions)))
}

/// `spring/summer 1988 – …` keeps its season; `winter 1990–91` is two years, and the season is left to the words.
fn without_seasons<'a>(left: &'a [Token], right: &[Token]) -> &'a [Token] {
    let short = matches!(right, [Token { word: Word::Figure(..), .. }]);
    let seasons = |token: &&Token| matches!(token.word, Word::Season(_) | Word::Slash | Word::Dash);
    let skipped = left.iter().take_while(seasons).count();
    if short && matches!(left.get(skipped..), Some([Token { word: Word::Figure(..), .. }])) {
        &left[skipped..]
    } else {
        left
    }
}

fn spanned(
    (start, left_own): (&Period, Doubt),
    joint: Word,
    (end, right_own): (&Period, Doubt),
    doubt: Doubt,
    conventions: &Conventions,
) -> Reading {
    // A `circa` before the whole span widens nothing; one on each end widens each.
    let both = right_own.circa && (doubt.circa || left_own.circa);
    let before = conventions.margin((both || left_own.circa) && start.is_year);
    let after = conventions.margin(right_own.circa && end.is_year);
    let mut remarks = start.remark.clone();
    if end.remark != start.remark {
        remarks = joined([remarks, end.remark.clone()]);
    }
    if before > 0 || after > 0 {
        remarks = joined([Some(conventions.circa_remark()), remarks]);
    } else if doubt.circa {
        remarks = joined([Some("circa kept as a qualifier: a span as written is not widened".into()), remarks]);
    }
    if joint == Word::Slash && start.is_year && start.last + 1 == end.first && start.first > 0 && start.first < 1752 {
        remarks = Some("two years for one: before 1752 the English year began on 25 March".into());
    }
    let mark = |own: Doubt| doubt.and(own).mark();
    let days = start.edtf.len() == 10 && end.edtf.len() == 10;
    let edtf = if matches!(joint, Word::Or | Word::And) && ((start.is_year && end.is_year) || days) {
        let (open, close) = if joint == Word::Or { ('[', ']') } else { ('{', '}') };
        format!("{open}{}{},{}{}{close}", start.edtf, mark(left_own), end.edtf, mark(right_own))
    } else {
        format!("{}{}/{}{}", edge(start, true), mark(left_own), edge(end, false), mark(right_own))
    };
    let (first, last) = (start.first.saturating_sub(before), start.last.max(end.last).saturating_add(after));
    Reading { years: Interval::new(Some(first), Some(last)), edtf: Some(edtf), remark: remarks, is_year: false }
}

/// The first or last date of a period in EDTF; months and days are kept.
fn edge(period: &Period, first: bool) -> String {
    let single = period.first == period.last && !period.edtf.contains(['/', '[']);
    match (single, first) {
        (true, _) => period.edtf.clone(),
        (false, true) => edtf_year(period.first),
        (false, false) => edtf_year(period.last),
    }
}

/// An end year cut short, `1760-75`; the digits left out are those of the first year.
fn short_end(start: &Period, right: &[Token]) -> Option<Result<Period, String>> {
    let (value, digits, decade) = match right {
        [Token { word: Word::Figure(value, digits @ 1..=2, _), .. }] => (*value, *digits, false),
        [Token { word: Word::Decade(value, digits @ 1..=2), .. }] => (*value, *digits, true),
        _ => return None,
    };
    // A year before the era counts down, and a whole day is followed by a day.
    if !(start.is_year || (decade && start.is_decade)) || start.first < 100 {
        return None;
    }
    let cut = if digits == 1 { 10 } else { 100 };
    let mut year = start.first - start.first.rem_euclid(cut) + value;
    if year < start.first {
        year += cut;
        // `1798–02` crosses into the next century; `1768-5` and `1790-80` are more likely slips.
        if cut == 10 || year - start.first > 50 {
            let why = format!(
                "the end `{value:0width$}` lies before `{}`: write both years whole",
                start.first,
                width = usize::from(digits)
            );
            return Some(Err(why));
        }
    }
    Some(Ok(if decade { Period { is_decade: true, ..Period::span(year, year + 9, None) } } else { Period::year(year) }))
}
