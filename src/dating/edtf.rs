//! Extended Date/Time Format: strings to the years they allow.
//!
//! Library of Congress specification of 4 February 2019: levels 0 and 1, and of level 2 sets, significant digits,
//! qualifiers within a date, unspecified digits anywhere and divisions of the year. The calendar is proleptic
//! Gregorian. `?`, `~` and `%` mark doubt and widen nothing; a season stands for its whole year.

use super::Undatable;

/// First and last year; `None` for an open or unknown end.
pub type Years = (Option<i32>, Option<i32>);

/// A day as year, month, day, so that tuples compare in time.
type Day = (i32, u8, u8);

/// The years that an EDTF string allows.
///
/// # Errors
/// [`Undatable`] when the string is not EDTF, names a day that never was, or ends before it begins.
pub fn years(text: &str) -> Result<Years, Undatable> {
    if let Some(inner) = text.strip_prefix('[').and_then(|t| t.strip_suffix(']')) {
        return set(inner);
    }
    if let Some(inner) = text.strip_prefix('{').and_then(|t| t.strip_suffix('}')) {
        return set(inner);
    }
    match text.split_once('/') {
        None => date(text, 0).map(|(first, last)| (Some(first.0), Some(last.0))),
        Some((start, end)) => interval(start, end),
    }
}

fn refuse<T>(at: usize, why: impl Into<String>) -> Result<T, Undatable> {
    Err(Undatable { at, why: why.into(), nearest: None })
}

fn interval(start: &str, end: &str) -> Result<Years, Undatable> {
    let blank = |side: &str| side.is_empty() || side == "..";
    if blank(start) && blank(end) {
        return refuse(0, "an interval needs a date at one end at least");
    }
    let at = start.len() + 1;
    let first = if blank(start) { None } else { Some(date(start, 0)?.0) };
    let last = if blank(end) { None } else { Some(date(end, at)?.1) };
    in_order(first, last, at)?;
    Ok((first.map(|day| day.0), last.map(|day| day.0)))
}

fn in_order(first: Option<Day>, last: Option<Day>, at: usize) -> Result<(), Undatable> {
    match (first, last) {
        (Some(first), Some(last)) if first > last => refuse(at, "the interval ends before it begins"),
        _ => Ok(()),
    }
}

/// `1667,1668,1670..1672`, open at either end with `..`.
fn set(inner: &str) -> Result<Years, Undatable> {
    let mut at = 1;
    let (mut first, mut last): (Option<i32>, Option<i32>) = (None, None);
    let (mut open_before, mut open_after) = (false, false);
    for member in inner.split(',') {
        let (start, end) = member.split_once("..").unwrap_or((member, member));
        if start.is_empty() && end.is_empty() {
            return refuse(at, "a set needs dates");
        }
        let low = if start.is_empty() { None } else { Some(date(start, at)?.0) };
        let high = if end.is_empty() { None } else { Some(date(end, at + member.len() - end.len())?.1) };
        in_order(low, high, at)?;
        for day in [low, high].into_iter().flatten() {
            first = Some(first.map_or(day.0, |year| year.min(day.0)));
            last = Some(last.map_or(day.0, |year| year.max(day.0)));
        }
        open_before |= low.is_none();
        open_after |= high.is_none();
        at += member.len() + 1;
    }
    Ok((first.filter(|_| !open_before), last.filter(|_| !open_after)))
}

/// One date with its first and last day.
fn date(text: &str, at: usize) -> Result<(Day, Day), Undatable> {
    if !text.is_ascii() || text.is_empty() {
        return refuse(at, format!("`{text}` is no EDTF date"));
    }
    let day_text = match text.split_once('T') {
        Some((day, time)) if is_time(time) && day.len() == 10 => day,
        Some(_) => return refuse(at, format!("`{text}` has no whole time of day after the `T`")),
        None => text,
    };
    if let Some(long) = day_text.strip_prefix('Y') {
        return long_year(long, at);
    }
    let negative = day_text.starts_with('-');
    let mut parts = day_text[usize::from(negative)..].split('-').map(unqualified);
    let year = parts.next().flatten().unwrap_or("");
    let (month, day) = (parts.next(), parts.next());
    if parts.next().is_some() || month == Some(None) || day == Some(None) {
        return refuse(at, format!("`{text}` is no EDTF date"));
    }
    let (low, high) = year_bounds(year, negative, month.is_some())
        .map_or_else(|| refuse(at, format!("`{text}` does not begin with a year of four digits")), Ok)?;
    let (Some(Some(month)), day) = (month, day.flatten()) else {
        return Ok(((low, 1, 1), (high, 12, 31)));
    };
    let Some(day) = day else { return months(month, low, high, at + day_text.len()) };
    days(month, day, (low, high), at, text)
}

/// A component without the one qualifier it may have on each side; `None` when it has more.
fn unqualified(part: &str) -> Option<&str> {
    const MARKS: [char; 3] = ['?', '~', '%'];
    let part = part.strip_prefix(MARKS).unwrap_or(part);
    let part = part.strip_suffix(MARKS).unwrap_or(part);
    (!part.contains(MARKS)).then_some(part)
}

fn year_bounds(year: &str, negative: bool, more: bool) -> Option<(i32, i32)> {
    let (digits, significant) = match year.split_once('S') {
        Some((digits, count)) if !more => (digits, Some(count.parse::<u32>().ok()?)),
        Some(_) => return None,
        None => (year, None),
    };
    if digits.len() != 4 || !digits.chars().all(|c| c.is_ascii_digit() || c == 'X') {
        return None;
    }
    let (mut low, mut high) = bounds(digits)?;
    if let Some(significant) = significant {
        (low, high) = rounded_to(low, digits.len(), significant)?;
    }
    if negative && high == 0 {
        return None;
    }
    Some(if negative { (-high, -low) } else { (low, high) })
}

/// The years that share the first `significant` digits with `year`, which is written with `length` digits.
fn rounded_to(year: i32, length: usize, significant: u32) -> Option<(i32, i32)> {
    let loose = u32::try_from(length).ok()?.checked_sub(significant).filter(|_| significant > 0)?;
    let span = 10i32.checked_pow(loose)?;
    let low = year - year.rem_euclid(span);
    Some((low, low.checked_add(span - 1)?))
}

/// Smallest and largest number with these digits, `X` being any.
fn bounds(digits: &str) -> Option<(i32, i32)> {
    Some((digits.replace('X', "0").parse().ok()?, digits.replace('X', "9").parse().ok()?))
}

/// `Y170000002`, `Y-17E7`, `Y3388E2S3`: years of more than four digits.
fn long_year(text: &str, at: usize) -> Result<(Day, Day), Undatable> {
    let years = || {
        let (text, significant) = match text.split_once('S') {
            Some((text, count)) => (text, Some(count.parse::<u32>().ok()?)),
            None => (text, None),
        };
        let (base, power) = match text.split_once('E') {
            Some((base, power)) if power.bytes().all(|b| b.is_ascii_digit()) => (base, power.parse().ok()?),
            Some(_) => return None,
            None => (text, 0),
        };
        let negative = base.starts_with('-');
        let digits = base.strip_prefix('-').unwrap_or(base);
        if !digits.bytes().all(|b| b.is_ascii_digit()) || digits.starts_with('0') {
            return None;
        }
        let year = digits.parse::<i32>().ok()?.checked_mul(10i32.checked_pow(power)?)?;
        if year <= 9999 {
            return None;
        }
        let (low, high) = match significant {
            Some(count) => rounded_to(year, year.to_string().len(), count)?,
            None => (year, year),
        };
        Some(if negative { (-high, -low) } else { (low, high) })
    };
    match years() {
        Some((low, high)) => Ok(((low, 1, 1), (high, 12, 31))),
        None => refuse(at, format!("`Y{text}` is no year of more than four digits that can be held here")),
    }
}

/// Which numbers of a range a pattern of two digits allows.
fn matching(pattern: &str, range: std::ops::RangeInclusive<u8>) -> Option<(u8, u8)> {
    let fits = |n: &u8| {
        let written = format!("{n:02}");
        pattern.len() == 2 && pattern.chars().zip(written.chars()).all(|(p, w)| p == 'X' || p == w)
    };
    let mut found = range.filter(fits);
    let first = found.next()?;
    Some((first, found.next_back().unwrap_or(first)))
}

/// A year and month, season (21 to 32), quarter, third or half of a year (33 to 41).
fn months(month: &str, low: i32, high: i32, at: usize) -> Result<(Day, Day), Undatable> {
    if let Some((first, last)) = matching(month, 1..=12) {
        return Ok(((low, first, 1), (high, last, 31)));
    }
    match matching(month, 21..=41) {
        Some((part, _)) => {
            let (first, last) = match part {
                33..=36 => ((part - 33) * 3 + 1, (part - 33) * 3 + 3),
                37..=39 => ((part - 37) * 4 + 1, (part - 37) * 4 + 4),
                40..=41 => ((part - 40) * 6 + 1, (part - 40) * 6 + 6),
                _ => (1, 12),
            };
            Ok(((low, first, 1), (high, last, 31)))
        }
        None => refuse(at.saturating_sub(month.len()), format!("`{month}` is no month from 01 to 12")),
    }
}

fn days(month: &str, day: &str, years: (i32, i32), at: usize, text: &str) -> Result<(Day, Day), Undatable> {
    let Some((first, last)) = matching(month, 1..=12) else {
        return refuse(at + 5, format!("`{month}` is no month from 01 to 12"));
    };
    let longest =
        (first..=last).filter(|n| matching(month, *n..=*n).is_some()).map(|n| days_in(n, years)).max().unwrap_or(31);
    match matching(day, 1..=longest) {
        Some((from, to)) => Ok(((years.0, first, from), (years.1, last, to))),
        None => refuse(at, format!("there is no such day as `{text}`")),
    }
}

/// Days in a month, the longest of the years given.
pub(super) fn days_in(month: u8, years: (i32, i32)) -> u8 {
    let leap = |year: i32| (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    match month {
        2 if years.0 != years.1 || leap(years.0) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// `23:20:30`, then nothing, `Z` or a shift from UTC.
fn is_time(text: &str) -> bool {
    let two = |part: &str, most: u32| {
        part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit()) && part.parse().is_ok_and(|n: u32| n <= most)
    };
    let (clock, zone) = match text.find(['Z', '+', '-']) {
        Some(place) => text.split_at(place),
        None => (text, ""),
    };
    let clock: Vec<&str> = clock.split(':').collect();
    let clock_right = matches!(clock[..], [h, m, s] if two(h, 23) && two(m, 59) && two(s, 59));
    let zone_right = match zone.strip_prefix(['+', '-']) {
        Some(shift) => match shift.split_once(':') {
            Some((h, m)) => two(h, 14) && two(m, 59),
            None => two(shift, 14),
        },
        None => zone.is_empty() || zone == "Z",
    };
    clock_right && zone_right
}
