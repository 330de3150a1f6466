//! Written colours: `#7a5c3e`, `38.2 -21.0 14.5`, `L* 38.2, a* −21.0, b* 14.5`, one alone or two to compare.

use super::{Lab, Srgb};
use crate::measure::Unreadable;
use crate::measure::cursor::Cursor;
use crate::measure::figure;

/// One written colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Written {
    /// The colour; that of an sRGB value under D65.
    pub lab: Lab,
    /// The sRGB value, if one was written.
    pub srgb: Option<Srgb>,
}

/// One colour, or two with an instrument's uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The first: the reference of a comparison.
    pub first: Written,
    /// The second, if one was written.
    pub second: Option<Written>,
    /// Standard uncertainty of each value, written after `±`.
    pub u: Option<f64>,
}

/// The example that refusals show.
const TWO: &str = "#7a5c3e; 38.2 -21.0 14.5";

impl Written {
    /// Reads one colour and nothing after it.
    ///
    /// # Errors
    /// [`Unreadable`] names the place and the mend.
    pub fn parse(text: &str) -> Result<Written, Unreadable> {
        let mut cursor = Cursor::new(text);
        let colour = one(&mut cursor)?;
        if cursor.at_end() { Ok(colour) } else { Err(left_over(&cursor)) }
    }
}

impl Pair {
    /// Reads one colour or two; between two stands `;`, `to`, `and`, `with` or `/`; `± 0.3` may follow.
    ///
    /// # Errors
    /// [`Unreadable`] names the place and the mend.
    pub fn parse(text: &str) -> Result<Pair, Unreadable> {
        let mut cursor = Cursor::new(text);
        let first = one(&mut cursor)?;
        let mut pair = Pair { first, second: None, u: None };
        if cursor.eat_any(&[";", "to", "and", "with", "vs", "/", "|", "→", "->"]) {
            pair.second = Some(one(&mut cursor)?);
        }
        if cursor.eat_any(&["±", "+/-", "+-", "u"]) {
            let at = cursor.at;
            let u = signed(&mut cursor)?;
            if !(u > 0.0 && u <= 20.0) {
                return Err(Unreadable::new(at, "the uncertainty of an instrument lies above 0 and up to 20 units"));
            }
            if pair.second.is_none() {
                return Err(Unreadable::new(
                    at,
                    format!("an uncertainty is of use between two colours: `{TWO} ± 0.3`"),
                ));
            }
            pair.u = Some(u);
        }
        if cursor.at_end() { Ok(pair) } else { Err(left_over(&cursor)) }
    }
}

fn left_over(cursor: &Cursor) -> Unreadable {
    let mut here = *cursor;
    here.skip_blanks();
    let why = format!("`{}` is left over after the colour; two colours are written `{TWO}`", here.rest().trim());
    Unreadable::new(here.at, why)
}

fn one(cursor: &mut Cursor) -> Result<Written, Unreadable> {
    cursor.skip_blanks();
    let at = cursor.at;
    if cursor.at_end() {
        return Err(Unreadable::new(at, format!("a colour is missing; write it as in `{TWO}`")));
    }
    if cursor.take(|c| c == '#').is_some() {
        let rest = cursor.rest();
        let end = rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len());
        let digits = &rest[..end];
        cursor.at += end;
        let srgb = Srgb::parse(digits).map_err(|why| Unreadable::new(at, format!("`#{digits}` is {why}")))?;
        return Ok(Written { lab: srgb.to_lab(), srgb: Some(srgb) });
    }
    let l = part(cursor, &["L*", "L"], (0.0, 100.0), "lightness L*")?;
    let a = part(cursor, &["a*", "a"], (-160.0, 160.0), "a*")?;
    let b = part(cursor, &["b*", "b"], (-160.0, 160.0), "b*")?;
    Ok(Written { lab: Lab::new(l, a, b), srgb: None })
}

/// One of the three values, with or without its name.
fn part(cursor: &mut Cursor, names: &[&str], (low, high): (f64, f64), name: &str) -> Result<f64, Unreadable> {
    let mut ahead = *cursor;
    ahead.eat_any(&[","]);
    if ahead.eat_any(names) {
        ahead.eat_any(&["=", ":"]);
    }
    ahead.skip_blanks();
    let at = ahead.at;
    if ahead.at_end() || ahead.rest().starts_with(';') {
        return Err(Unreadable::new(at, format!("{name} is missing: a colour is `38.2 -21.0 14.5` or `#7a5c3e`")));
    }
    let value = signed(&mut ahead)?;
    if !(low..=high).contains(&value) {
        return Err(Unreadable::new(at, format!("{name} of {value} is out of reason: it lies from {low} to {high}")));
    }
    *cursor = ahead;
    Ok(value)
}

/// A number with its sign.
fn signed(cursor: &mut Cursor) -> Result<f64, Unreadable> {
    cursor.skip_blanks();
    let minus = cursor.take(|c| matches!(c, '-' | '−')).is_some();
    if !minus {
        cursor.take(|c| c == '+');
    }
    let value = figure::read(cursor)?.value.to_f64();
    Ok(if minus { -value } else { value })
}
