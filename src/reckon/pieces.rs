//! Several quantities in one line, whichever kind each turns out to be.

use crate::measure::cursor::Cursor;
use crate::measure::{Kind, Quantity, Unreadable, reading};

/// Reads the next quantity as the first of `kinds` that fits; none where nothing fits.
///
/// A length or an angle may go on in smaller units (`2 ft 3 in`), so in `0.2 mm 20 deg` the whole fits nothing; then the
/// text is taken only as far as the next number.
pub(super) fn next(cursor: &mut Cursor, kinds: &[Kind]) -> Option<(usize, Quantity)> {
    let whole = cursor.text;
    std::iter::once(whole.len()).chain(breaks(*cursor)).find_map(|end| {
        let piece = Cursor { text: whole.get(..end)?, at: cursor.at };
        kinds.iter().enumerate().find_map(|(place, kind)| {
            let mut ahead = piece;
            let found = reading::next(&mut ahead, *kind).ok()?;
            cursor.at = ahead.at;
            Some((place, found))
        })
    })
}

/// Where a number begins after a blank.
fn breaks(cursor: Cursor<'_>) -> impl Iterator<Item = usize> {
    let (text, from) = (cursor.text, cursor.at);
    let after = text.get(from..).unwrap_or("").char_indices().skip(1).take(200);
    after.filter_map(move |(at, c)| {
        let begins = c.is_ascii_digit() && text.get(..from + at)?.ends_with(char::is_whitespace);
        begins.then_some(from + at)
    })
}

/// The refusal of what stands at the cursor, up to the next comma: it is none of `wanted`.
pub(super) fn none_of(cursor: &Cursor, wanted: &str) -> Unreadable {
    let word = cursor.text.get(cursor.at..).unwrap_or("").split([',', ';']).next().unwrap_or("").trim();
    Unreadable::new(cursor.at, format!("`{word}` is no {wanted}"))
}
