//! Days in a query: `2024-03-12`, `2024-03`, `2024`, from one to another.

use jiff::civil::Date;

use super::mistake::Mistake;
use super::value::ends;

/// Days from the first to the last; an open end is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Days {
    /// First day.
    pub first: Option<Date>,
    /// Last day.
    pub last: Option<Date>,
}

impl Days {
    /// Whether the day is among them.
    pub fn hold(&self, day: Date) -> bool {
        self.first.is_none_or(|first| first <= day) && self.last.is_none_or(|last| day <= last)
    }
}

pub(super) fn read(sign: &str, text: &str) -> Result<Days, Mistake> {
    if let Some((from, to)) = ends(text) {
        let first = (!from.text.is_empty()).then(|| one(from.text, from.at)).transpose()?;
        let last = (!to.text.is_empty()).then(|| one(to.text, to.at)).transpose()?;
        let days = Days { first: first.map(|(a, _)| a), last: last.map(|(_, b)| b) };
        return if days.first > days.last && days.last.is_some() {
            let turned = format!("{}..{}", to.text, from.text);
            Err(Mistake::new(0..text.len(), "the first day lies behind the last").nearest([turned]))
        } else {
            Ok(days)
        };
    }
    let (first, last) = one(text, 0)?;
    Ok(match sign {
        ">" => Days { first: last.tomorrow().ok(), last: None },
        ">=" => Days { first: Some(first), last: None },
        "<" => Days { first: None, last: first.yesterday().ok() },
        "<=" => Days { first: None, last: Some(last) },
        _ => Days { first: Some(first), last: Some(last) },
    })
}

/// First and last day of what is written.
fn one(text: &str, at: usize) -> Result<(Date, Date), Mistake> {
    let refuse = || {
        Mistake::new(at..at + text.len(), format!("`{text}` is no day"))
            .mend("write `2024-03-12`, `2024-03` or `2024`; a span as `2023-05..2024-02`")
    };
    let parts: Vec<&str> = text.trim().split('-').collect();
    let widths: &[usize] = &[4, 2, 2];
    if parts.len() > 3 || parts.iter().zip(widths).any(|(p, w)| p.len() != *w || !p.bytes().all(|b| b.is_ascii_digit()))
    {
        return Err(refuse());
    }
    let number = |i: usize| parts.get(i).and_then(|p| p.parse::<i16>().ok());
    let year = number(0).ok_or_else(refuse)?;
    let month = |m: i16| i8::try_from(m).ok();
    let (from, to) = match (number(1), number(2)) {
        (None, _) => (Date::new(year, 1, 1), Date::new(year, 12, 31)),
        (Some(m), None) => {
            let first = Date::new(year, month(m).ok_or_else(refuse)?, 1);
            (first.clone(), first.map(Date::last_of_month))
        }
        (Some(m), Some(d)) => {
            let day = Date::new(year, month(m).ok_or_else(refuse)?, month(d).ok_or_else(refuse)?);
            (day.clone(), day)
        }
    };
    from.ok().zip(to.ok()).ok_or_else(refuse)
}
