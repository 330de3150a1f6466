//! A line cut into parts, and a part into words; what stands in quotes or brackets is never cut.

use std::ops::Range;

/// Where the parts of a line stand, cut at `;` and at `,` that is no decimal comma.
pub(super) fn parts(text: &str) -> Vec<Range<usize>> {
    cut(text, |before, c, after| c == ';' || (c == ',' && !(before.is_some_and(digit) && after.is_some_and(digit))))
}

/// Where the fields of a record inside a field stand, cut at ` / `.
pub(super) fn inner(text: &str) -> Vec<Range<usize>> {
    cut(text, |before, c, after| {
        c == '/' && before.is_some_and(char::is_whitespace) && after.is_some_and(char::is_whitespace)
    })
}

/// The words of a part.
pub(super) fn words(text: &str, part: &Range<usize>) -> Vec<Range<usize>> {
    let within = cut(&text[part.clone()], |_, c, _| c.is_whitespace());
    within.into_iter().map(|w| w.start + part.start..w.end + part.start).collect()
}

/// The label of a part, `place: near the hem`, and where its value stands.
pub(super) fn label<'t>(text: &'t str, part: &Range<usize>) -> Option<(&'t str, Range<usize>)> {
    let whole = &text[part.clone()];
    let colon = whole.find(':')?;
    let name = whole[..colon].trim();
    let fits = !name.is_empty() && name.chars().all(|c| c.is_alphabetic() || matches!(c, ' ' | '_' | '-'));
    fits.then(|| (name, trimmed(text, part.start + colon + 1..part.end)))
}

/// What is meant by a value: the words in quotes, or the words as they stand.
pub(super) fn meant(value: &str) -> String {
    let value = value.trim();
    let Some(inside) = value.strip_prefix('"').and_then(|v| v.strip_suffix('"')).filter(|_| value.len() > 1) else {
        return value.to_owned();
    };
    let mut out = String::with_capacity(inside.len());
    let mut chars = inside.chars();
    while let Some(c) = chars.next() {
        if c != '\\' {
            out.push(c);
            continue;
        }
        match chars.next() {
            Some('n') => out.push('\n'),
            Some('t') => out.push('\t'),
            Some('r') => out.push('\r'),
            Some('u') => {
                let code: String = chars.by_ref().take(4).collect();
                out.extend(u32::from_str_radix(&code, 16).ok().and_then(char::from_u32));
            }
            Some(other) => out.push(other),
            None => out.push('\\'),
        }
    }
    out
}

fn digit(c: char) -> bool {
    c.is_ascii_digit()
}

/// The same place without the blanks around it.
pub(super) fn trimmed(text: &str, at: Range<usize>) -> Range<usize> {
    let inside = &text[at.clone()];
    let start = at.start + (inside.len() - inside.trim_start().len());
    start..(start + inside.trim().len())
}

/// The places between signs at which one cuts, blank ones left out.
fn cut(text: &str, at: impl Fn(Option<char>, char, Option<char>) -> bool) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let (mut begin, mut depth, mut quoted, mut escaped, mut before) = (0, 0_usize, false, false, None);
    // A quotation that is opened and never closed is an inch or a slip: it must not swallow the rest.
    let last_quote = text.rfind('"').unwrap_or(0);
    let mut chars = text.char_indices().peekable();
    while let Some((i, c)) = chars.next() {
        let after = chars.peek().map(|(_, c)| *c);
        // An inch sign follows its figure; a quotation begins after a blank or a sign.
        let opens = c == '"' && before.is_none_or(|b: char| b.is_whitespace() || matches!(b, ':' | ',' | ';' | '('));
        match c {
            '\\' if quoted => escaped = !escaped,
            '"' if quoted && !escaped => quoted = false,
            '"' if !quoted && opens && i < last_quote => quoted = true,
            '(' if !quoted && text[i..].contains(')') => depth += 1,
            ')' if !quoted => depth = depth.saturating_sub(1),
            c if !quoted && depth == 0 && at(before, c, after) => {
                found.push(trimmed(text, begin..i));
                begin = i + c.len_utf8();
            }
            _ => {}
        }
        if c != '\\' {
            escaped = false;
        }
        before = Some(c);
    }
    found.push(trimmed(text, begin..text.len()));
    found.retain(|r| !r.is_empty());
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_between_observations_and_never_inside_one() {
        let cases: [(&str, &[&str]); 8] = [
            ("tear, back, 12 mm", &["tear", "back", "12 mm"]),
            ("waist 27,5 cm; 27,6 cm", &["waist 27,5 cm", "27,6 cm"]),
            ("waist 27 1/2 in (69,9 cm; flat)", &["waist 27 1/2 in (69,9 cm; flat)"]),
            ("note: \"one; two, three\", back", &["note: \"one; two, three\"", "back"]),
            ("waist 27\", hem 30\"", &["waist 27\"", "hem 30\""]),
            ("a \"never closed; b", &["a \"never closed", "b"]),
            ("; ,, ;", &[]),
            ("(never closed, b", &["(never closed", "b"]),
        ];
        for (line, expected) in cases {
            let found: Vec<&str> = parts(line).into_iter().map(|r| &line[r]).collect();
            assert_eq!(found, expected, "{line}");
        }
    }

    #[test]
    fn quotes_are_taken_off_and_a_lone_inch_sign_stays() {
        for (value, expected) in
            [("\"a \\\"b\\\"\\n c\"", "a \"b\"\n c"), ("27\"", "27\""), ("\"", "\""), ("", ""), ("\"\\u00e9\"", "é")]
        {
            assert_eq!(meant(value), expected, "{value}");
        }
    }
}
