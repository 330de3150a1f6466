//! Dates as spreadsheets have them: made into days, into numbers of days, or with a nought after the point.

use jiff::civil::{Date, date};

use super::table::{Cell, Type};

/// A date ready to be read, and what is doubtful about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ready {
    /// The text to read.
    pub text: String,
    /// Why it may be wrong.
    pub doubt: Option<String>,
}

/// Makes a cell ready to be read as a date. `day_first` says whether `3/4/1998` is the third of April; `None` that it was
/// not stated, so that such a day is doubtful.
pub fn ready(cell: &Cell, day_first: Option<bool>) -> Ready {
    let text = cell.text.trim();
    let plain = |text: &str| Ready { text: text.to_owned(), doubt: None };
    if cell.is == Type::Day {
        let day = text.split([' ', 'T']).next().unwrap_or(text);
        return Ready {
            text: day.into(),
            doubt: Some("the spreadsheet program made a day of what was typed; look whether it was one".into()),
        };
    }
    // `1881.0`: a year that was a number once.
    let whole = text.strip_suffix(".0").or_else(|| text.strip_suffix(",0")).unwrap_or(text);
    let whole = if whole.len() == 4 && whole.bytes().all(|b| b.is_ascii_digit()) { whole } else { text };
    if let Some(day) = serial(whole) {
        return Ready {
            text: day.to_string(),
            doubt: Some(format!("`{text}` was taken for the number of a day, {day}, as spreadsheet programs count")),
        };
    }
    let Some((one, two, year)) = numbers(whole) else { return plain(whole) };
    let (day, month) = if day_first.unwrap_or(true) { (one, two) } else { (two, one) };
    let found = Date::new(year, month, day).or_else(|_| Date::new(year, day, month));
    match found {
        Ok(found) => {
            let open = day_first.is_none() && one <= 12 && two <= 12 && one != two;
            Ready {
                text: found.to_string(),
                doubt: open.then(|| {
                    format!("`{text}` was read with the day first, as {found}; `day_first` in the mapping says which")
                }),
            }
        }
        Err(_) => plain(whole),
    }
}

/// Whether a cell tells that days stand first (or last), in `31/1/1998`.
pub fn tells_order(text: &str) -> Option<bool> {
    let (one, two, _) = numbers(text.trim())?;
    match (one > 12, two > 12) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}

/// The day of a serial number, 1 being 1 January 1900 (with the day too many in that year that spreadsheet programs keep);
/// only of numbers that are no year and no other figure of a list: five digits, from 1954 to 2064.
fn serial(text: &str) -> Option<Date> {
    let number: i32 = text.parse().ok().filter(|n| (20_000..60_200).contains(n))?;
    date(1899, 12, 30).checked_add(jiff::Span::new().days(number)).ok()
}

/// `12/3/1998`, `12.03.98`: three numbers with the year last.
fn numbers(text: &str) -> Option<(i8, i8, i16)> {
    let sign = ['/', '.', '-'].into_iter().find(|sign| text.matches(*sign).count() == 2)?;
    let mut parts = text.split(sign);
    let (one, two, year) = (parts.next()?, parts.next()?, parts.next()?.trim());
    let (one, two): (i8, i8) = (one.trim().parse().ok()?, two.trim().parse().ok()?);
    // Two digits of a year are no year of the making of a garment; of an acquisition they are the present or last century.
    let year = match (year.len(), year.parse::<i16>().ok()?) {
        (4, year) => year,
        (2, short) if short < 40 => 2000 + short,
        (2, short) => 1900 + short,
        _ => return None,
    };
    ((1..=31).contains(&one) && (1..=31).contains(&two)).then_some((one, two, year))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_spreadsheets_are_made_ready() {
        let rows = [
            ("1881.0", Type::Text, None, "1881", false),
            ("1881", Type::Number, None, "1881", false),
            ("c. 1880s", Type::Text, None, "c. 1880s", false),
            ("31/12/1998", Type::Text, None, "1998-12-31", false),
            ("12/31/1998", Type::Text, None, "1998-12-31", false),
            ("3/4/1998", Type::Text, None, "1998-04-03", true),
            ("3/4/1998", Type::Text, Some(false), "1998-03-04", false),
            ("03.04.98", Type::Text, Some(true), "1998-04-03", false),
            // 36000 is 24 July 1998, by the rule of the Office Open XML standard (ECMA-376 part 1, 18.17.4.1).
            ("36000", Type::Number, None, "1998-07-24", true),
            ("1998-03-12 00:00", Type::Day, None, "1998-03-12", true),
            ("99/99/9999", Type::Text, None, "99/99/9999", false),
        ];
        for (text, is, first, wanted, doubtful) in rows {
            let ready = ready(&Cell { text: text.into(), is }, first);
            assert_eq!((ready.text.as_str(), ready.doubt.is_some()), (wanted, doubtful), "{text}: {:?}", ready.doubt);
        }
    }
}
