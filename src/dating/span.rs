//! Two periods joined: spans and alternatives, with ends cut short (`1760-75`) or a noun shared.

use super::{
    Conventions,
    doubt::{Doubt, marks},
    period::{self, Lent, Period, edtf_year},
    phrase::{circa_remark, joined},
};

/// A span or alternatives: the years, EDTF and remark, or why not with a proposal.
pub(super) type Pair = Result<(i32, i32, String, Option<String>), (String, Option<String>)>;

/// Two periods joined. Every joint is tried in turn, because `mid-18th` has a hyphen of its own.
pub(super) fn pair(core: &str, doubt: Doubt, conventions: &Conventions) -> Option<Pair> {
    let (core, words): (&str, &[&str]) = if let Some(rest) = core.strip_prefix("between ") {
        (rest, &[" and "])
    } else if let Some(rest) = core.strip_prefix("from ") {
        (rest, &[" to ", " until ", " till ", "–", "—", "-"])
    } else {
        (core, &["–", "—", "‒", "‐", "-", "/", " to ", " until ", " or ", ".."])
    };
    let mut joints: Vec<(usize, &str)> = words.iter().flat_map(|word| core.match_indices(word)).collect();
    joints.sort_unstable();
    joints
        .into_iter()
        .find_map(|(place, joint)| two(&core[..place], joint, &core[place + joint.len()..], doubt, conventions))
}

fn two(left: &str, joint: &str, right: &str, doubt: Doubt, conventions: &Conventions) -> Option<Pair> {
    let (left, left_own) = marks(left);
    let (right, right_own) = marks(right);
    let start = period::read(left, Some(Lent(noun(right))), conventions)?;
    let end = match short_end(&start, right) {
        Some(Ok(end)) => end,
        Some(Err(why)) => return Some(Err((why, None))),
        None => period::read(right, None, conventions)?,
    };
    if end.last < start.first || end.first < start.first {
        let turned = format!("{right} – {left}");
        return Some(Err(("the span ends before it begins".into(), Some(turned))));
    }
    // A `circa` before the whole span widens nothing; one on each end widens each.
    let both = right_own.circa && (doubt.circa || left_own.circa);
    let ends = (both || (left_own.circa && start.is_year), right_own.circa);
    let widen = |circa: bool, period: &Period| {
        if circa && period.is_year { conventions.circa_years.max(0) } else { 0 }
    };
    let (before, after) = (widen(ends.0, &start), widen(ends.1, &end));
    let mut remarks = start.remark.clone();
    if end.remark != start.remark {
        remarks = Some(joined(remarks, end.remark.clone())).filter(|text| !text.is_empty());
    }
    if before > 0 || after > 0 {
        remarks = Some(joined(Some(circa_remark(conventions)), remarks));
    } else if doubt.circa {
        remarks = Some(joined(Some("circa kept as a qualifier: a span as written is not widened".into()), remarks));
    }
    if joint == "/" && start.last + 1 == end.first && start.is_year {
        remarks = Some("two years for one: before 1752 the English year began on 25 March".into());
    }
    let mark = |own: Doubt| Doubt { circa: doubt.circa || own.circa, uncertain: doubt.uncertain || own.uncertain };
    let edtf = if joint == " or " && start.is_year && end.is_year {
        format!("[{}{},{}{}]", start.edtf, mark(left_own).mark(), end.edtf, mark(right_own).mark())
    } else {
        let (first, last) = (edge(&start, true), edge(&end, false));
        format!("{first}{}/{last}{}", mark(left_own).mark(), mark(right_own).mark())
    };
    let (first, last) = (start.first.saturating_sub(before), start.last.max(end.last).saturating_add(after));
    Some(Ok((first, last, edtf, remarks)))
}

/// The first or last date of a period in EDTF; months and days are kept.
fn edge(period: &Period, first: bool) -> String {
    let single = period.first == period.last && !period.edtf.contains('/');
    match (single, first) {
        (true, _) => period.edtf.clone(),
        (false, true) => edtf_year(period.first),
        (false, false) => edtf_year(period.last),
    }
}

/// The noun that the left side of a span may borrow: `19th century` of `early 19th century`.
fn noun(right: &str) -> &str {
    let place = right.rfind(|c: char| c.is_ascii_digit()).unwrap_or(0);
    let start = right.get(..place).and_then(|before| before.rfind(' ')).map_or(0, |blank| blank + 1);
    right.get(start..).unwrap_or(right)
}

/// An end year cut short, `1760-75`; the digits left out are those of the first year.
fn short_end(start: &Period, right: &str) -> Option<Result<Period, String>> {
    let (digits, decade) = match right.strip_suffix('s') {
        Some(digits) => (digits, true),
        None => (right, false),
    };
    let short = (1..=2).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    let countable = start.is_year || (decade && start.last == start.first.saturating_add(9));
    if !short || !countable {
        return None;
    }
    let cut = if digits.len() == 1 { 10 } else { 100 };
    let mut year = start.first - start.first.rem_euclid(cut) + digits.parse::<i32>().ok()?;
    if year < start.first {
        year += cut;
        // `1798–02` crosses into the next century; `1768-5` and `1790-80` are more likely slips.
        if cut == 10 || year - start.first > 50 {
            return Some(Err(format!("the end `{right}` lies before `{}`: write both years whole", start.first)));
        }
    }
    Some(Ok(if decade { Period::span(year, year + 9, None) } else { Period::year(year) }))
}
