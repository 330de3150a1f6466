//! Date phrases: what is said of one period or two, doubt and open ends included.

use super::{
    Conventions, Dated, Undatable,
    doubt::{Doubt, marks},
    edtf,
    period::{self, Period, edtf_year},
    span::pair,
};

/// Reads a phrase that is not EDTF. `text` has no blanks around it. Where nothing better is known than that it is no
/// date, the refusal is the one given.
pub(super) fn read(text: &str, conventions: &Conventions, otherwise: Option<Undatable>) -> Result<Dated, Undatable> {
    attempt(text, conventions, otherwise).map_err(|mut refusal| {
        if refusal.nearest.is_none() {
            refusal.nearest = respelt(text);
        }
        let accepted =
            |proposal: &String| edtf::years(proposal).is_ok() || attempt(proposal, conventions, None).is_ok();
        refusal.nearest = refusal.nearest.take().filter(accepted);
        refusal
    })
}

fn attempt(text: &str, conventions: &Conventions, otherwise: Option<Undatable>) -> Result<Dated, Undatable> {
    let lower: String = text.chars().map(|c| if c.is_whitespace() { ' ' } else { c.to_ascii_lowercase() }).collect();
    let dated = |earliest, latest, edtf, remark| Dated { as_written: text.to_string(), earliest, latest, edtf, remark };
    if matches!(
        lower.as_str(),
        "undated"
            | "not dated"
            | "no date"
            | "n.d."
            | "n. d."
            | "nd"
            | "s.d."
            | "unknown"
            | "date unknown"
            | "unknown date"
    ) {
        return Ok(dated(None, None, None, Some("no date is given".into())));
    }
    let (core, doubt) = marks(&lower);
    // Blanks of several bytes became one byte, so the place is found again by counting characters.
    let characters = lower.find(core).map_or(0, |place| lower[..place].chars().count());
    let at = text.char_indices().nth(characters).map_or(text.len(), |(place, _)| place);
    let refuse = |why: String| Undatable { at, why, nearest: None };
    if let Some(open) = open_end(core, doubt, conventions) {
        let (earliest, latest, edtf, remark) = open;
        return Ok(dated(earliest, latest, Some(edtf), remark));
    }
    if let Some(year) = period::decade_or_century(core) {
        let why = format!("`{core}` may be ten years or a hundred");
        return Err(Undatable { nearest: Some(format!("{year}–{}", year + 9)), ..refuse(why) });
    }
    if let Some(period) = period::read(core, None, conventions) {
        return Ok(single(text, &period, doubt, conventions));
    }
    if let Some(day_first) = numeric_day(core) {
        let why = "day and month cannot be told apart in figures alone: write the year first or the month in letters";
        return Err(Undatable { nearest: Some(day_first), ..refuse(why.into()) });
    }
    match pair(core, doubt, conventions) {
        Some(Ok((earliest, latest, edtf, remark))) => Ok(dated(Some(earliest), Some(latest), Some(edtf), remark)),
        Some(Err((why, nearest))) => Err(Undatable { nearest, ..refuse(why) }),
        None if core.is_empty() => Err(refuse("a year is missing".into())),
        None => Err(hundred_or_ten(core).map(&refuse).or(otherwise).unwrap_or_else(|| {
            refuse(format!("`{}` is no date that can be read here", text.get(at..).unwrap_or(text)))
        })),
    }
}

/// What to say of a phrase with a word such as `1800s` in it.
fn hundred_or_ten(core: &str) -> Option<String> {
    let word = core.split(' ').find(|word| period::decade_or_century(word).is_some())?;
    Some(format!("`{word}` may be ten years or a hundred: write the years"))
}

/// `12/03/1987` or `14.3.1987` turned into EDTF with the day first, to be proposed and not assumed.
fn numeric_day(core: &str) -> Option<String> {
    let parts: Vec<&str> = core.split(['/', '.']).collect();
    let [day, month, year] = parts[..] else { return None };
    let number = |part: &str| part.parse::<u32>().ok().filter(|_| part.bytes().all(|b| b.is_ascii_digit()));
    (year.len() == 4).then_some(())?;
    Some(format!("{:04}-{:02}-{:02}", number(year)?, number(month)?, number(day)?))
}

fn single(text: &str, period: &Period, doubt: Doubt, conventions: &Conventions) -> Dated {
    let widen = if doubt.circa && period.is_year { conventions.circa_years.max(0) } else { 0 };
    let remark = match (doubt.circa, period.is_year) {
        (true, true) => Some(circa_remark(conventions)),
        (true, false) => {
            Some(joined(Some("circa kept as a qualifier: it widens a single year only".into()), period.remark.clone()))
        }
        _ => period.remark.clone(),
    };
    Dated {
        as_written: text.to_string(),
        earliest: Some(period.first.saturating_sub(widen)),
        latest: Some(period.last.saturating_add(widen)),
        edtf: Some(marked(&period.edtf, doubt)),
        remark,
    }
}

pub(super) fn circa_remark(conventions: &Conventions) -> String {
    let source = match conventions.circa_years {
        5 => " (CCO 4.2.3.2)",
        10 => " (Object ID)",
        _ => "",
    };
    format!("circa taken as ±{} years{source}", conventions.circa_years.max(0))
}

pub(super) fn joined(a: Option<String>, b: Option<String>) -> String {
    [a, b].into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// EDTF with the qualifier on each of its dates.
fn marked(edtf: &str, doubt: Doubt) -> String {
    edtf.split('/').map(|date| format!("{date}{}", doubt.mark())).collect::<Vec<_>>().join("/")
}

type Open = (Option<i32>, Option<i32>, String, Option<String>);

/// `before 1800`, `by 1800`, `after 1850`, `from 1850`.
fn open_end(core: &str, doubt: Doubt, conventions: &Conventions) -> Option<Open> {
    let starts = |words: &[&str]| words.iter().find_map(|word| core.strip_prefix(word));
    let period = |rest: &str| {
        let (rest, own) = marks(rest);
        let period = period::read(rest, None, conventions)?;
        Some((period, Doubt { circa: doubt.circa || own.circa, uncertain: doubt.uncertain || own.uncertain }))
    };
    let (strict, latest, rest) = if let Some(rest) = starts(&["before ", "pre-", "earlier than "]) {
        (true, true, rest)
    } else if let Some(rest) = starts(&["by ", "until ", "not after ", "no later than ", "up to "]) {
        (false, true, rest)
    } else if let Some(rest) = starts(&["after ", "post-", "later than "]) {
        (true, false, rest)
    } else if let Some(rest) = starts(&["from ", "since ", "not before ", "no earlier than "]) {
        (false, false, rest)
    } else {
        return None;
    };
    let (period, doubt) = period(rest)?;
    let widen = if doubt.circa && period.is_year { conventions.circa_years.max(0) } else { 0 };
    let mut remark = period.remark.clone();
    if widen > 0 {
        remark = Some(circa_remark(conventions));
    }
    Some(if latest {
        let end = if strict { period.first.saturating_sub(1) } else { period.last };
        (None, Some(end.saturating_add(widen)), format!("../{}{}", edtf_year(end), doubt.mark()), remark)
    } else {
        let start = if strict { period.last.saturating_add(1) } else { period.first };
        (Some(start.saturating_sub(widen)), None, format!("{}{}/..", edtf_year(start), doubt.mark()), remark)
    })
}

/// The phrase with its misspelt words put right, when the dictionary of date words has a near one.
fn respelt(text: &str) -> Option<String> {
    let mut changed = false;
    let words: Vec<String> = text
        .split(' ')
        .map(|word| {
            let plain = word.to_lowercase();
            if plain.chars().count() < 4
                || !plain.chars().all(char::is_alphabetic)
                || period::words().any(|known| known == plain)
            {
                return word.to_string();
            }
            let near = period::words().map(|known| (strsim::osa_distance(&plain, known), known)).min();
            match near.filter(|(distance, _)| *distance <= 2) {
                Some((_, known)) => {
                    changed = true;
                    known.to_string()
                }
                None => word.to_string(),
            }
        })
        .collect();
    changed.then(|| words.join(" "))
}
