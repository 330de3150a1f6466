//! How names are compared: whatever their case and spacing.

use std::borrow::Cow;

/// Lower case, single spaces. Borrowed where the text is so already.
pub(super) fn normal(text: &str) -> Cow<'_, str> {
    let settled = !text.starts_with(' ')
        && !text.ends_with(' ')
        && !text.contains("  ")
        && text.bytes().all(|b| b.is_ascii() && !b.is_ascii_uppercase() && (b == b' ' || !b.is_ascii_whitespace()));
    if settled {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.split_whitespace().map(str::to_lowercase).collect::<Vec<_>>().join(" "))
}

/// Whether two names are one.
pub(super) fn alike(a: &str, b: &str) -> bool {
    a == b || normal(a) == normal(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn case_and_spacing_do_not_matter() {
        for (text, expected) in [
            ("left front", "left front"),
            (" Left  Front ", "left front"),
            ("Ärmel", "ärmel"),
            ("a\tb", "a b"),
            ("", ""),
        ] {
            assert_eq!(normal(text), expected, "{text}");
        }
        assert!(alike("Collar", " collar") && !alike("collar", "collars"));
    }
}
