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

/// Makes a cell ready to be read as a date. `day_first` says whether `3/4/1998` is the third of April in its column; `None`
/// that neither its cells nor a person tell, so that such a day is doubtful.
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
    let Some(figures) = figures(whole) else { return plain(whole) };
    let first = figures.dotted || day_first.unwrap_or(true);
    let (as_it_should, otherwise) = (figures.day(first), figures.day(!first));
    let Some(found) = as_it_should.or(otherwise) else { return plain(whole) };
    let word = |first: bool| if first { "day" } else { "month" };
    let doubt = match (as_it_should, otherwise) {
        (None, _) if figures.dotted || day_first.is_some() => {
            let place = if figures.dotted { "with full stops" } else { "in this column" };
            let (one, other) = (word(!first), word(first));
            Some(format!("`{text}` can only be {found}, with the {one} first; {place} the {other} stands first"))
        }
        (Some(one), Some(other)) if one != other => match (figures.dotted, day_first) {
            (true, Some(false)) => Some(format!(
                "`{text}` was read with the day first, as {found}, since it has full stops; `day_first` says otherwise"
            )),
            (false, None) => {
                Some(format!("`{text}` was read with the day first, as {found}; `day_first` of the column says which"))
            }
            _ => None,
        },
        _ => None,
    };
    // `12/3/04` may be of either century; `12/3/98` is hardly of the one before the last.
    let century = || Some(format!("`{text}` has a year of two digits, and was read as {found}"));
    let doubt = doubt.or_else(|| century().filter(|_| figures.short && figures.year >= 2000));
    Ready { text: found.to_string(), doubt }
}

/// Whether the day stands first in a column with these cells: as they tell, and only if they agree.
pub fn order<'a>(cells: impl Iterator<Item = &'a str>) -> Option<bool> {
    let mut told = cells.filter_map(tells_order);
    let first = told.next()?;
    told.all(|other| other == first).then_some(first)
}

/// Whether a cell tells that days stand first (or last), as `31/1/1998` does. One with full stops tells nothing of others.
fn tells_order(text: &str) -> Option<bool> {
    let figures = figures(text.trim()).filter(|figures| !figures.dotted)?;
    match (figures.day(true), figures.day(false)) {
        (Some(_), None) => Some(true),
        (None, Some(_)) => Some(false),
        _ => None,
    }
}

/// Whether a cell holds a day, and no year alone.
pub fn in_figures(cell: &Cell) -> bool {
    cell.is == Type::Day || figures(cell.text.trim()).is_some() || cell.text.trim().parse::<Date>().is_ok()
}

/// Whether a day in figures has a year of two digits, which does not say the century.
pub fn has_short_year(text: &str) -> bool {
    figures(text.trim()).is_some_and(|figures| figures.short)
}

/// The day of a serial number, 1 being 1 January 1900 (with the day too many in that year that spreadsheet programs keep);
/// only of numbers that are no year and no other figure of a list: five digits, from 1954 to 2064.
fn serial(text: &str) -> Option<Date> {
    let number: i32 = text.parse().ok().filter(|n| (20_000..60_200).contains(n))?;
    date(1899, 12, 30).checked_add(jiff::Span::new().days(number)).ok()
}

/// Three numbers with the year last: `12/3/1998`, `12.03.98`.
struct Figures {
    one: i8,
    two: i8,
    year: i16,
    /// Whether the year has two digits.
    short: bool,
    /// Whether full stops stand between them. The day comes first then (DIN 5008; common practice on the Continent).
    dotted: bool,
}

impl Figures {
    /// The day, if it is one in this order.
    fn day(&self, day_first: bool) -> Option<Date> {
        let (day, month) = if day_first { (self.one, self.two) } else { (self.two, self.one) };
        Date::new(self.year, month, day).ok()
    }
}

fn figures(text: &str) -> Option<Figures> {
    let sign = ['/', '.', '-'].into_iter().find(|sign| text.matches(*sign).count() == 2)?;
    let mut parts = text.split(sign).map(str::trim);
    let (one, two, year) = (parts.next()?, parts.next()?, parts.next()?);
    if ![one, two, year].iter().all(|part| part.bytes().all(|b| b.is_ascii_digit())) {
        return None;
    }
    let (one, two): (i8, i8) = (one.parse().ok()?, two.parse().ok()?);
    // Of an acquisition two digits are a year of the present or the last century; of the making of a garment they are none.
    let (year, short) = match (year.len(), year.parse::<i16>().ok()?) {
        (4, year) => (year, false),
        (2, short) if short < 40 => (2000 + short, true),
        (2, short) => (1900 + short, true),
        _ => return None,
    };
    let days = (1..=31).contains(&one) && (1..=31).contains(&two);
    days.then_some(Figures { one, two, year, short, dotted: sign == '.' })
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
            ("3/4/1998", Type::Text, Some(true), "1998-04-03", false),
            ("3/3/1998", Type::Text, None, "1998-03-03", false),
            // Only the other order fits.
            ("12/31/1998", Type::Text, Some(true), "1998-12-31", true),
            ("31/12/1998", Type::Text, Some(false), "1998-12-31", true),
            ("31-12-1998", Type::Text, Some(true), "1998-12-31", false),
            // With full stops the day stands first.
            ("03.04.98", Type::Text, None, "1998-04-03", false),
            ("03.04.98", Type::Text, Some(true), "1998-04-03", false),
            // A year of two digits may be of this century or the last.
            ("03.04.04", Type::Text, None, "2004-04-03", true),
            ("3/4/39", Type::Text, Some(true), "2039-04-03", true),
            ("3/4/40", Type::Text, Some(true), "1940-04-03", false),
            ("03.04.1998", Type::Text, Some(false), "1998-04-03", true),
            ("31.12.1998", Type::Text, Some(false), "1998-12-31", false),
            ("12.31.1998", Type::Text, None, "1998-12-31", true),
            ("12/3/-9", Type::Text, None, "12/3/-9", false),
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

    #[test]
    fn the_cells_of_a_column_tell_the_order_if_they_agree() {
        let rows: [(&[&str], Option<bool>); 7] = [
            (&["3/4/1998", "31/12/1998", "c. 1880"], Some(true)),
            (&["3/4/1998", "12/31/1998"], Some(false)),
            (&["31/12/1998", "12/31/1999"], None),
            (&["3/4/1998", "5/5/1998"], None),
            (&["31.12.1998", "3/4/1998"], None),
            (&["12-13-1885"], Some(false)),
            (&[], None),
        ];
        for (cells, wanted) in rows {
            assert_eq!(order(cells.iter().copied()), wanted, "{cells:?}");
        }
    }
}
