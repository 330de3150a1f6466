//! Scales of drawings and patterns: `1:8`, `1/8`, `100 %`, `1/8 in to the inch`.
//!
//! A scale is a statement of the maker, not a reading, so it carries no uncertainty of its own.

use super::{
    Kind, Unreadable,
    cursor::Cursor,
    figure::{self, is_slash},
    ratio::Ratio,
    reading::Reading,
    rounding::plain,
    units,
};

pub(crate) fn read(cursor: &mut Cursor) -> Result<Reading, Unreadable> {
    cursor.eat("scale");
    if cursor.eat_any(&["full size", "full scale", "actual size", "life size", "natural size"]) {
        return Ok(Reading::plain(1.0, 0.0));
    }
    cursor.skip_blanks();
    let start = cursor.at;
    let drawn = figure::read(cursor)?;
    let ratio = if cursor.eat_any(&["%", "per cent", "percent"]) {
        drawn.value.over(Ratio::whole(100))
    } else if cursor.eat_any(&[":", "∶"]) || (cursor.peek().is_some_and(is_slash) && cursor.take(is_slash).is_some())
    {
        drawn.value.over(figure::read(cursor)?.value)
    } else if let Some(unit) = units::eat(cursor, units::of(Kind::Length)) {
        let drawn = drawn.value.times(unit.size());
        let real = real_length(cursor)?;
        drawn.and_then(|drawn| drawn.over(real))
    } else if drawn.bare.is_some() {
        Some(drawn.value)
    } else {
        let written = cursor.text.get(start..drawn.end).unwrap_or("");
        return Err(Unreadable::new(drawn.end, format!("`{written}` alone is no scale")).nearest(units::splice(
            cursor.text,
            start,
            start,
            "1:",
        )));
    };
    cursor.eat("scale");
    match ratio.filter(|ratio| !ratio.is_zero()) {
        Some(ratio) => Ok(Reading::plain(ratio.to_f64(), 0.0)),
        None => Err(Unreadable::new(start, "a scale needs two numbers larger than nothing")),
    }
}

/// The length on the thing that the drawn length stands for.
fn real_length(cursor: &mut Cursor) -> Result<Ratio, Unreadable> {
    if !cursor.eat_any(&["to the", "to one", "to an", "to a", "to", "per", "=", ":", "/"]) {
        cursor.skip_blanks();
        return Err(Unreadable::new(
            cursor.at,
            "a drawn length needs the length it stands for, as in `1/8 in to the inch`",
        ));
    }
    let number = if figure::begins(cursor) { figure::read(cursor)?.value } else { Ratio::ONE };
    match units::eat(cursor, units::of(Kind::Length)) {
        Some(unit) => number.times(unit.size()).ok_or_else(|| figure::too_large(cursor.at)),
        None => Err(units::complain(cursor, Kind::Length, units::of(Kind::Length))),
    }
}

/// The scale as a drawing carries it: `1:8`, or `2:1` for an enlargement.
pub(crate) fn print(value: f64) -> String {
    if value > 0.0 && value < 1.0 { format!("1:{}", plain(1.0 / value)) } else { format!("{}:1", plain(value)) }
}
