//! One clause of a date: marks of doubt, what was done, and one period, two, or one with an open end.

use super::{
    Conventions,
    convention::Beyond,
    doubt::{Around, Doubt, marks},
    interval::Interval,
    period::{self, Lent, Period, edtf_year},
    span::pair,
    token::Token,
    words::Word,
};

/// The years, EDTF and remark of a phrase.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reading {
    pub(super) years: Interval,
    pub(super) edtf: Option<String>,
    pub(super) remark: Option<String>,
    /// One year and nothing else.
    pub(super) is_year: bool,
}

/// Why a phrase is no date although its words are those of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Trouble {
    /// Byte in the text; none for the beginning of the phrase.
    pub(super) at: Option<usize>,
    pub(super) why: String,
    pub(super) nearest: Option<String>,
}

/// Remarks that are there, once each.
pub(super) fn joined(remarks: impl IntoIterator<Item = Option<String>>) -> Option<String> {
    let mut kept: Vec<String> = Vec::new();
    for remark in remarks.into_iter().flatten() {
        if !kept.contains(&remark) {
            kept.push(remark);
        }
    }
    (!kept.is_empty()).then(|| kept.join("; "))
}

/// Reads a clause whole; none when its words are not those of a date.
pub(super) fn read(
    phrase: &[Token],
    conventions: &Conventions,
    text: &str,
) -> (Around, Option<Result<Reading, Trouble>>) {
    let phrase = match phrase {
        [Token { word: Word::Open, .. }, inner @ .., Token { word: Word::Close, .. }] => inner,
        // `probably [1760]`
        _ => phrase,
    };
    let (core, around) = marks(phrase);
    let (core, around) = match core {
        [Token { word: Word::Open, .. }, inner @ .., Token { word: Word::Close, .. }] => {
            let (core, own) = marks(inner);
            (core, Around { doubt: around.doubt.and(own.doubt), act: around.act.or(own.act) })
        }
        _ => (core, around),
    };
    // `from 1770 to 1780` has two ends; `from 1770` has one.
    let spans = matches!(core.first(), Some(Token { word: Word::From | Word::Between, .. }));
    let both = spans.then(|| pair(core, around.doubt, conventions, text)).flatten();
    let found = both
        .or_else(|| open(core, around.doubt, conventions, text))
        .or_else(|| range(core, around.doubt, conventions, text));
    (around, found)
}

/// One period or two, without an open end.
fn range(core: &[Token], doubt: Doubt, conventions: &Conventions, text: &str) -> Option<Result<Reading, Trouble>> {
    match period::read(core, Lent::default(), conventions) {
        Some(period) => Some(Ok(single(&period, doubt, conventions))),
        None => pair(core, doubt, conventions, text),
    }
}

pub(super) fn single(period: &Period, doubt: Doubt, conventions: &Conventions) -> Reading {
    let widen = conventions.margin(doubt.circa && period.is_year);
    let remark = match (doubt.circa, period.is_year) {
        (true, true) => Some(conventions.circa_remark()),
        (true, false) => {
            joined([Some("circa kept as a qualifier: it widens a single year only".into()), period.remark.clone()])
        }
        _ => period.remark.clone(),
    };
    Reading {
        years: Interval::new(Some(period.first.saturating_sub(widen)), Some(period.last.saturating_add(widen))),
        edtf: Some(marked(&period.edtf, doubt)),
        remark,
        is_year: period.is_year,
    }
}

/// EDTF with the qualifier on each of its dates.
fn marked(edtf: &str, doubt: Doubt) -> String {
    match edtf.strip_prefix('[').and_then(|inner| inner.strip_suffix(']')) {
        Some(inner) => {
            let dates: Vec<_> = inner.split(',').map(|date| format!("{date}{}", doubt.mark())).collect();
            format!("[{}]", dates.join(","))
        }
        None => edtf.split('/').map(|date| format!("{date}{}", doubt.mark())).collect::<Vec<_>>().join("/"),
    }
}

/// Which end is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    /// Before it, and not in it.
    Before,
    /// To its end.
    By,
    /// After it, and not in it.
    After,
    /// From its beginning.
    From,
}

/// `before 1800`, `by 1800`, `after 1850`, `from 1850`, `1850 or later`, `1850–present`.
fn open(core: &[Token], doubt: Doubt, conventions: &Conventions, text: &str) -> Option<Result<Reading, Trouble>> {
    let (rest, end) = match core {
        [rest @ .., Token { word: Word::Later, .. }] => (rest, End::From),
        [rest @ .., Token { word: Word::Earlier, .. }] => (rest, End::By),
        [rest @ .., Token { word: Word::Dash | Word::To | Word::Until, .. }, Token { word: Word::Now, .. }] => {
            (rest, End::From)
        }
        [rest @ .., Token { word: Word::Figure(_, 4, _), .. }, Token { word: Word::Dash, .. }] => {
            (&core[..=rest.len()], End::From)
        }
        [Token { word: Word::Before, .. }, rest @ ..] => (rest, End::Before),
        [Token { word: Word::By | Word::Until, .. }, rest @ ..] => (rest, End::By),
        [Token { word: Word::After, .. }, rest @ ..] => (rest, End::After),
        [Token { word: Word::From, .. }, rest @ ..] => (rest, End::From),
        _ => return None,
    };
    let (rest, own) = marks(rest);
    let doubt = doubt.and(own.doubt);
    // The bound is taken as written; its own doubt moves the open end, below.
    let bound = match range(rest, Doubt::default(), conventions, text)? {
        Ok(bound) => bound,
        Err(trouble) => return Some(Err(trouble)),
    };
    let (Some(first), Some(last)) = (bound.years.earliest, bound.years.latest) else { return None };
    let widen = conventions.margin(doubt.circa && bound.is_year);
    let remark = joined([(widen > 0).then(|| conventions.circa_remark()), bound.remark]);
    Some(Ok(opened(end, (first, last), (widen, doubt), remark, conventions)))
}

fn opened(
    end: End,
    (first, last): (i32, i32),
    (widen, doubt): (i32, Doubt),
    remark: Option<String>,
    conventions: &Conventions,
) -> Reading {
    let beyond = conventions.beyond;
    let strict = i32::from(beyond == Beyond::Strict);
    let mark = doubt.mark();
    let hundred = beyond == Beyond::Hundred && matches!(end, End::Before | End::After);
    let convention = match (end, beyond) {
        (End::Before | End::After, Beyond::Inclusive) => Some("the year itself is held to be possible".to_string()),
        (End::Before | End::After, Beyond::Hundred) => Some("taken as up to a hundred years (Object ID)".to_string()),
        _ => None,
    };
    let (earliest, latest) = match end {
        End::Before => (hundred.then(|| first.saturating_sub(100)), Some(first.saturating_sub(strict))),
        End::By => (None, Some(last)),
        End::After => (Some(last.saturating_add(strict)), hundred.then(|| last.saturating_add(100))),
        End::From => (Some(first), None),
    };
    let edtf = match (earliest, latest) {
        (Some(a), Some(b)) => format!("{}{mark}/{}{mark}", edtf_year(a), edtf_year(b)),
        (Some(a), None) => format!("{}{mark}/..", edtf_year(a)),
        (None, b) => format!("../{}{mark}", edtf_year(b.unwrap_or(0))),
    };
    let years =
        Interval::new(earliest.map(|year| year.saturating_sub(widen)), latest.map(|year| year.saturating_add(widen)));
    Reading { years, edtf: Some(edtf), remark: joined([remark, convention]), is_year: false }
}
