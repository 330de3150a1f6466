//! One written number: whole, decimal (point or comma), fraction or mixed fraction in any of their spellings.
//!
//! The number is kept exactly, with the step in which it was written: the step is what its uncertainty comes from.

use super::{Unreadable, cursor::Cursor, ratio::Ratio};

/// Longest run of digits that is taken for a measurement.
const MOST_DIGITS: usize = 15;

/// How finely a number was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Step {
    /// `27`: in whole units.
    Whole,
    /// `27.50`: in hundredths.
    Decimals(u32),
    /// `27 ½`: with this denominator.
    Fraction(i128),
}

impl Step {
    /// The step in units. On a tape in inches every fraction up to an eighth is read against eighths.
    pub(crate) fn of_unit(self, inches: bool) -> Option<Ratio> {
        match self {
            Step::Whole => Some(Ratio::ONE),
            Step::Decimals(places) => Ratio::new(1, 10i128.checked_pow(places)?),
            Step::Fraction(below) if inches && matches!(below, 1 | 2 | 4 | 8) => Ratio::new(1, 8),
            Step::Fraction(below) => Ratio::new(1, below),
        }
    }
}

/// A number as read, with the bytes it covers.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Figure {
    pub(crate) value: Ratio,
    pub(crate) step: Step,
    pub(crate) start: usize,
    pub(crate) end: usize,
    /// The two numbers of a fraction that stands alone, `30/2`, not yet reduced.
    pub(crate) bare: Option<(i128, i128)>,
}

pub(crate) fn is_slash(c: char) -> bool {
    matches!(c, '/' | '\u{2044}' | '\u{2215}')
}

fn is_hyphen(c: char) -> bool {
    matches!(c, '-' | '\u{2010}' | '\u{2011}')
}

/// Whether a number may begin here.
pub(crate) fn begins(cursor: &Cursor) -> bool {
    let mut chars = cursor.rest().trim_start().chars();
    match chars.next() {
        Some('.' | ',') => chars.next().is_some_and(|c| c.is_ascii_digit()),
        Some(c) => c.is_ascii_digit() || vulgar(c).is_some(),
        None => false,
    }
}

/// Reads the number that stands here.
pub(crate) fn read(cursor: &mut Cursor) -> Result<Figure, Unreadable> {
    cursor.skip_blanks();
    let start = cursor.at;
    let (value, step, bare) = number(cursor, start)?;
    if cursor.peek().is_some_and(is_slash) && !matches!(step, Step::Whole) {
        return Err(Unreadable::new(cursor.at, "a second fraction bar follows the fraction"));
    }
    Ok(Figure { value, step, start, end: cursor.at, bare })
}

type Parts = (Ratio, Step, Option<(i128, i128)>);

fn number(cursor: &mut Cursor, start: usize) -> Result<Parts, Unreadable> {
    if let Some((above, below)) = cursor.peek().and_then(vulgar) {
        cursor.take(|_| true);
        return Ok((exact(above, below, start)?, Step::Fraction(below), None));
    }
    let digits = cursor.take_digits();
    if let Some(decimals) = decimals(cursor)? {
        return decimal(digits, decimals, start);
    }
    if digits.is_empty() {
        let why = match cursor.word() {
            "" => "a number is missing".to_string(),
            word => format!("a number is wanted where `{word}` stands"),
        };
        return Err(Unreadable::new(start, why));
    }
    let whole = integer(digits, start)?;
    if let Some(below) = below_bar(cursor)? {
        return Ok((exact(whole, below, start)?, Step::Fraction(below), Some((whole, below))));
    }
    match mixed(cursor)? {
        Some((above, below)) => {
            let value = exact(above, below, start)?.plus(Ratio::whole(whole)).ok_or_else(|| too_large(start))?;
            Ok((value, Step::Fraction(below), None))
        }
        None => Ok((Ratio::whole(whole), Step::Whole, None)),
    }
}

/// The decimals after a point or comma, when digits follow it.
fn decimals<'a>(cursor: &mut Cursor<'a>) -> Result<Option<&'a str>, Unreadable> {
    let mut ahead = *cursor;
    let Some(mark) = ahead.take(|c| matches!(c, '.' | ',')) else { return Ok(None) };
    let from = cursor.at;
    let before = cursor.text[..from].len() - cursor.text[..from].trim_end_matches(|c: char| c.is_ascii_digit()).len();
    let digits = ahead.take_digits();
    if digits.is_empty() {
        return Ok(None);
    }
    let again = ahead.rest().starts_with(['.', ',']) && ahead.rest()[1..].starts_with(|c: char| c.is_ascii_digit());
    if again {
        return Err(Unreadable::new(ahead.at, "a second decimal mark follows the first"));
    }
    // `1,200` may be one and a fifth or twelve hundred; `0,125` can only be an eighth.
    let whole = &cursor.text[from - before..from];
    if mark == ',' && digits.len() == 3 && (1..=3).contains(&before) && !whole.starts_with('0') {
        let rest = ahead.rest();
        return Err(Unreadable::new(from, format!("`{whole},{digits}` may mean thousands or decimals"))
            .nearest(format!("{}{digits}{rest}", &cursor.text[..from])));
    }
    *cursor = ahead;
    Ok(Some(digits))
}

fn decimal(whole: &str, decimals: &str, start: usize) -> Result<Parts, Unreadable> {
    let joined = format!("{whole}{decimals}");
    let places = u32::try_from(decimals.len()).map_err(|_| too_large(start))?;
    let above = integer(&joined, start)?;
    let below = 10i128.checked_pow(places).ok_or_else(|| too_large(start))?;
    Ok((exact(above, below, start)?, Step::Decimals(places), None))
}

/// The number below a fraction bar that stands here, when there is a digit after the bar.
fn below_bar(cursor: &mut Cursor) -> Result<Option<i128>, Unreadable> {
    let mut ahead = *cursor;
    if ahead.take(is_slash).is_none() {
        return Ok(None);
    }
    let from = ahead.at;
    let digits = ahead.take_digits();
    if digits.is_empty() {
        return Ok(None);
    }
    let below = integer(digits, from)?;
    if below == 0 {
        return Err(Unreadable::new(from, "nothing can be divided by zero"));
    }
    *cursor = ahead;
    Ok(Some(below))
}

/// The fraction that follows a whole number: `½`, ` 1/2`, `-1/2`.
fn mixed(cursor: &mut Cursor) -> Result<Option<(i128, i128)>, Unreadable> {
    let mut ahead = *cursor;
    let joined = ahead.take(is_hyphen).is_some();
    if !joined {
        ahead.skip_blanks();
    }
    if let Some(fraction) = ahead.peek().and_then(vulgar) {
        ahead.take(|_| true);
        *cursor = ahead;
        return Ok(Some(fraction));
    }
    let from = ahead.at;
    let digits = ahead.take_digits();
    if digits.is_empty() || from == cursor.at {
        return Ok(None);
    }
    let Some(below) = below_bar(&mut ahead)? else { return Ok(None) };
    let above = integer(digits, from)?;
    if above >= below {
        // `8-10/2 cm` is a range of counts, not a mixed number.
        return if joined {
            Ok(None)
        } else {
            Err(Unreadable::new(
                from,
                format!("the fraction `{above}/{below}` after a whole number is not less than one"),
            ))
        };
    }
    *cursor = ahead;
    Ok(Some((above, below)))
}

fn integer(digits: &str, at: usize) -> Result<i128, Unreadable> {
    if digits.len() > MOST_DIGITS {
        return Err(Unreadable::new(at, format!("`{digits}` has more digits than any measurement")));
    }
    digits.parse().map_err(|_| too_large(at))
}

fn exact(above: i128, below: i128, at: usize) -> Result<Ratio, Unreadable> {
    Ratio::new(above, below).ok_or_else(|| too_large(at))
}

pub(crate) fn too_large(at: usize) -> Unreadable {
    Unreadable::new(at, "the number is too large to be a measurement")
}

/// The fractions that have a character of their own.
fn vulgar(c: char) -> Option<(i128, i128)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅐' => (1, 7),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        _ => return None,
    })
}
