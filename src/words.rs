//! How words and letters are written, wherever they are.

use std::borrow::Cow;

/// A first letter made large.
pub(crate) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// "1 photograph", "2 photographs".
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// So many bytes, in words: `12 kB`, `3.4 MB`.
pub fn size(bytes: u64) -> String {
    match bytes {
        0..1_000_000 => format!("{} kB", bytes.div_ceil(1000)),
        1_000_000..1_000_000_000 => format!("{:.1} MB", bytes as f64 / 1e6),
        _ => format!("{:.1} GB", bytes as f64 / 1e9),
    }
}

/// The letter at this place: A, B … Z, AA, AB …
pub(crate) fn letter(at: usize) -> String {
    let last = char::from(b'A' + u8::try_from(at % 26).unwrap_or_default());
    if at < 26 { last.to_string() } else { format!("{}{last}", letter(at / 26 - 1)) }
}

/// Words that a spreadsheet program takes for words. What it would take for a formula (it begins with = + - @, a tab or a
/// return) gets an apostrophe before it: a formula of unknown origin must not run where somebody opens a list.
pub(crate) fn as_text(words: &str) -> Cow<'_, str> {
    if words.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{words}").into() } else { words.into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_run_on_after_z() {
        let cases = [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")];
        for (at, wanted) in cases {
            assert_eq!(letter(at), wanted);
        }
    }

    #[test]
    fn the_first_letter_is_made_large_whatever_the_script() {
        for (words, wanted) in [("left front", "Left front"), ("ärmel", "Ärmel"), ("", ""), ("1 tear", "1 tear")] {
            assert_eq!(capital(words), wanted);
        }
    }
}
