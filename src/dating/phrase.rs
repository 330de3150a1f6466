//! Date phrases: marks of doubt, open ends, spans and alternatives, made of single periods.

use super::{
    Conventions, Dated, Undatable, edtf,
    period::{self, Lent, Period, edtf_year},
};

/// Doubt marked around the years. `circa` widens a single year; the rest is kept for EDTF alone.
#[derive(Debug, Clone, Copy, Default)]
struct Doubt {
    circa: bool,
    uncertain: bool,
}

impl Doubt {
    fn mark(self) -> &'static str {
        match (self.circa, self.uncertain) {
            (true, true) => "%",
            (true, false) => "~",
            (false, true) => "?",
            (false, false) => "",
        }
    }
}

/// Reads a phrase that is not EDTF. `text` has no blanks around it. Where nothing better is known than that it is no
/// date, the refusal is the one given.
pub(super) fn read(
    text: &str,
    conventions: &Conventions,
    otherwise: Option<Undatable>,
) -> Result<Dated, Undatable> {
    attempt(text, conventions, otherwise).map_err(|mut refusal| {
        if refusal.nearest.is_none() {
            refusal.nearest = respelt(text);
        }
        let accepted = |proposal: &String| {
            edtf::years(proposal).is_ok() || attempt(proposal, conventions, None).is_ok()
        };
        refusal.nearest = refusal.nearest.take().filter(accepted);
        refusal
    })
}

fn attempt(
    text: &str,
    conventions: &Conventions,
    otherwise: Option<Undatable>,
) -> Result<Dated, Undatable> {
    let lower: String = text
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c.to_ascii_lowercase() })
        .collect();
    let dated = |earliest, latest, edtf, remark| Dated {
        as_written: text.to_string(),
        earliest,
        latest,
        edtf,
        remark,
    };
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
        Some(Ok((earliest, latest, edtf, remark))) => {
            Ok(dated(Some(earliest), Some(latest), Some(edtf), remark))
        }
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
    let number =
        |part: &str| part.parse::<u32>().ok().filter(|_| part.bytes().all(|b| b.is_ascii_digit()));
    (year.len() == 4).then_some(())?;
    Some(format!("{:04}-{:02}-{:02}", number(year)?, number(month)?, number(day)?))
}

/// The phrase without the marks of doubt around it.
fn marks(lower: &str) -> (&str, Doubt) {
    const CIRCA: [&str; 9] =
        ["circa", "ca.", "ca", "c.", "c", "about", "around", "approximately", "~"];
    const UNCERTAIN: [&str; 6] = ["probably", "possibly", "perhaps", "likely", "maybe", "?"];
    const VERBS: [&str; 6] = ["designed", "made", "worn", "dated", "made in", "dated to"];
    let mut doubt = Doubt::default();
    let mut core = lower.trim();
    loop {
        let before = core;
        core = without(core, &CIRCA, &mut doubt.circa);
        core = without(core, &UNCERTAIN, &mut doubt.uncertain);
        core = without(core, &VERBS, &mut false);
        if core == before {
            break;
        }
    }
    if let Some(rest) = core.strip_suffix("(?)").or_else(|| core.strip_suffix('?')) {
        (core, doubt.uncertain) = (rest.trim(), true);
    }
    for suffix in [" circa", " ca.", " ca", " c"] {
        if let Some(rest) =
            core.strip_suffix(suffix).filter(|rest| rest.ends_with(|c: char| c.is_ascii_digit()))
        {
            (core, doubt.circa) = (rest.trim(), true);
            break;
        }
    }
    (core, doubt)
}

/// `core` without one of these words before it; a word of letters must not run on into another.
fn without<'a>(core: &'a str, words: &[&str], found: &mut bool) -> &'a str {
    for word in words {
        let Some(rest) = core.strip_prefix(word) else { continue };
        if rest
            .chars()
            .next()
            .is_some_and(|c| c.is_alphabetic() && word.ends_with(char::is_alphabetic))
        {
            continue;
        }
        *found = true;
        return rest.trim_start();
    }
    core
}

fn single(text: &str, period: &Period, doubt: Doubt, conventions: &Conventions) -> Dated {
    let widen = if doubt.circa && period.is_year { conventions.circa_years.max(0) } else { 0 };
    let remark = match (doubt.circa, period.is_year) {
        (true, true) => Some(circa_remark(conventions)),
        (true, false) => Some(joined(
            Some("circa kept as a qualifier: it widens a single year only".into()),
            period.remark.clone(),
        )),
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

fn circa_remark(conventions: &Conventions) -> String {
    let source = match conventions.circa_years {
        5 => " (CCO 4.2.3.2)",
        10 => " (Object ID)",
        _ => "",
    };
    format!("circa taken as ±{} years{source}", conventions.circa_years.max(0))
}

fn joined(a: Option<String>, b: Option<String>) -> String {
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
        Some((
            period,
            Doubt { circa: doubt.circa || own.circa, uncertain: doubt.uncertain || own.uncertain },
        ))
    };
    let (strict, latest, rest) = if let Some(rest) = starts(&["before ", "pre-", "earlier than "]) {
        (true, true, rest)
    } else if let Some(rest) = starts(&["by ", "until ", "not after ", "no later than ", "up to "])
    {
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
        (
            None,
            Some(end.saturating_add(widen)),
            format!("../{}{}", edtf_year(end), doubt.mark()),
            remark,
        )
    } else {
        let start = if strict { period.last.saturating_add(1) } else { period.first };
        (
            Some(start.saturating_sub(widen)),
            None,
            format!("{}{}/..", edtf_year(start), doubt.mark()),
            remark,
        )
    })
}

/// A span or alternatives: the years, EDTF and remark, or why not with a proposal.
type Pair = Result<(i32, i32, String, Option<String>), (String, Option<String>)>;

/// Two periods joined. Every joint is tried in turn, because `mid-18th` has a hyphen of its own.
fn pair(core: &str, doubt: Doubt, conventions: &Conventions) -> Option<Pair> {
    let (core, words): (&str, &[&str]) = if let Some(rest) = core.strip_prefix("between ") {
        (rest, &[" and "])
    } else if let Some(rest) = core.strip_prefix("from ") {
        (rest, &[" to ", " until ", " till ", "–", "—", "-"])
    } else {
        (core, &["–", "—", "‒", "‐", "-", "/", " to ", " until ", " or ", ".."])
    };
    let mut joints: Vec<(usize, &str)> =
        words.iter().flat_map(|word| core.match_indices(word)).collect();
    joints.sort_unstable();
    joints.into_iter().find_map(|(place, joint)| {
        two(&core[..place], joint, &core[place + joint.len()..], doubt, conventions)
    })
}

fn two(
    left: &str,
    joint: &str,
    right: &str,
    doubt: Doubt,
    conventions: &Conventions,
) -> Option<Pair> {
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
        remarks = Some(joined(
            Some("circa kept as a qualifier: a span as written is not widened".into()),
            remarks,
        ));
    }
    if joint == "/" && start.last + 1 == end.first && start.is_year {
        remarks = Some("two years for one: before 1752 the English year began on 25 March".into());
    }
    let mark = |own: Doubt| Doubt {
        circa: doubt.circa || own.circa,
        uncertain: doubt.uncertain || own.uncertain,
    };
    let edtf = if joint == " or " && start.is_year && end.is_year {
        format!("[{}{},{}{}]", start.edtf, mark(left_own).mark(), end.edtf, mark(right_own).mark())
    } else {
        let (first, last) = (edge(&start, true), edge(&end, false));
        format!("{first}{}/{last}{}", mark(left_own).mark(), mark(right_own).mark())
    };
    let (first, last) =
        (start.first.saturating_sub(before), start.last.max(end.last).saturating_add(after));
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
    let start =
        right.get(..place).and_then(|before| before.rfind(' ')).map_or(0, |blank| blank + 1);
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
            return Some(Err(format!(
                "the end `{right}` lies before `{}`: write both years whole",
                start.first
            )));
        }
    }
    Some(Ok(if decade { Period::span(year, year + 9, None) } else { Period::year(year) }))
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
            let near =
                period::words().map(|known| (strsim::osa_distance(&plain, known), known)).min();
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
