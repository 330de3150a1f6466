//! The parts that an accession number names: `1987.4.2a-c` is the number 1987.4.2 with the parts a, b and c.
//!
//! Collections write the same thing in many ways: `a,b`; `a-c`, `a–c`, `a/c`; `.A-.C`; numbers instead of letters
//! (`2000.48.1-.36`); a running piece in brackets behind a letter (`7-d (2)`).

/// So many parts are spelled out; a longer range is told by its two ends.
const MOST: u32 = 1500;

/// A number taken apart.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Parted {
    /// The number without its parts.
    pub base: String,
    /// The parts, in order; empty where the number names none, or where only the two ends are certain.
    pub parts: Vec<String>,
    /// The ends of a range whose members are not certain: `a` to `lll`.
    pub ends: Option<(String, String)>,
    /// A running piece in brackets behind the part, first and last: `(2)`, `(1/3)`.
    pub items: Option<(u32, u32)>,
}

/// Takes a number apart. What names no part is all base; it never fails.
///
/// ```
/// use dimity::record::accession::parted;
/// let number = parted("1989-80-28-a/c");
/// assert_eq!((number.base.as_str(), number.parts), ("1989-80-28", vec!["a".into(), "b".into(), "c".into()]));
/// ```
pub fn parted(number: &str) -> Parted {
    let plain: String =
        number.trim().chars().map(|c| if matches!(c, '–' | '—' | '‐' | '‑' | '−') { '-' } else { c }).collect();
    let (text, items) = bracketed(&plain);
    let mut found =
        lettered(text).or_else(|| numbered(text)).unwrap_or_else(|| Parted { base: text.into(), ..Parted::default() });
    if items.is_some() && (found.parts.is_empty() && found.ends.is_none()) {
        // A bracket behind a number without letters is a word about it, and stays.
        found = Parted { base: plain, ..Parted::default() };
    } else {
        found.items = items;
    }
    found
}

/// `d (2)`, `a(1/3)`: the text before the bracket and what stands in it.
fn bracketed(text: &str) -> (&str, Option<(u32, u32)>) {
    let inside = text.strip_suffix(')').and_then(|t| t.rsplit_once('('));
    let read = inside.and_then(|(before, inside)| {
        let (first, last) = inside.split_once(['/', '-']).unwrap_or((inside, inside));
        Some((before.trim_end(), (first.trim().parse().ok()?, last.trim().parse().ok()?)))
    });
    read.map_or((text, None), |(before, items)| (before, Some(items)))
}

/// Letters behind the last digit.
fn lettered(text: &str) -> Option<Parted> {
    let end = text.rfind(|c: char| c.is_ascii_digit())? + 1;
    let (base, tail) = text.split_at(end);
    let tail = tail.trim_start_matches(' ').strip_prefix(['-', '.', '/']).unwrap_or(tail).trim();
    if tail.is_empty() {
        return None;
    }
    let mut found = Parted { base: base.into(), ..Parted::default() };
    for element in tail.split([',', '&', '+']) {
        let element = element.trim().trim_start_matches(['.', '-']);
        let (first, last) = element.split_once(['-', '/']).unwrap_or((element, element));
        let (first, last) = (first.trim(), last.trim().trim_start_matches('.'));
        if !is_part(first) || !is_part(last) {
            return None;
        }
        match (one(first), one(last)) {
            (Some(a), Some(b)) if a < b && a.is_lowercase() == b.is_lowercase() => {
                found.parts.extend((a..=b).map(String::from));
            }
            _ if first == last => found.parts.push(first.into()),
            _ => found.ends = Some((first.into(), last.into())),
        }
    }
    if found.ends.is_some() {
        found.parts.clear();
    }
    Some(found)
}

fn is_part(text: &str) -> bool {
    (1..=3).contains(&text.len()) && text.chars().all(|c| c.is_ascii_alphabetic())
}

fn one(text: &str) -> Option<char> {
    let mut chars = text.chars();
    chars.next().filter(|_| chars.next().is_none())
}

/// Numbers where others have letters: `2010.4.1-.45`, `21.83.48, .49`, `1914-22-4-1/933`.
fn numbered(text: &str) -> Option<Parted> {
    // Where the digits at the end begin, and their value.
    let last_of = |text: &str| {
        let begin = text.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        (begin, text[begin..].parse::<u32>().ok())
    };
    if let Some((before, last)) = text.rsplit_once('.')
        && let Some(list) = before.trim_end().strip_suffix(['-', ','])
        && let (Ok(last), (at, Some(first))) = (last.parse::<u32>(), last_of(list))
        && let Some(base) = text[..at].strip_suffix('.')
    {
        let range = before.trim_end().ends_with('-');
        let base = base.to_owned();
        return match (first..=last, range) {
            (_, false) => Some(Parted { base, parts: vec![first.to_string(), last.to_string()], ..Parted::default() }),
            (all, true) if first < last && last - first < MOST => {
                Some(Parted { base, parts: all.map(|n| n.to_string()).collect(), ..Parted::default() })
            }
            _ => None,
        };
    }
    // A stroke in a number whose other signs are hyphens divides the ends of a range.
    let (before, last) = text.rsplit_once('/')?;
    let (at, first) = last_of(before);
    let base = before[..at].strip_suffix('-')?;
    let fits = before.matches('-').count() >= 2 && !before.contains('/');
    let (first, last) = (first?, last.parse::<u32>().ok()?);
    (fits && first < last).then(|| Parted {
        base: base.to_owned(),
        ends: Some((first.to_string(), last.to_string())),
        ..Parted::default()
    })
}

/// What two ways of writing one number have in common: letters without case and numbers by value, signs between them left
/// out. `2031-04A` and `2031.4.a` are the same.
pub fn likeness(number: &str) -> String {
    runs(number).join(".")
}

/// The runs of digits and of letters of a text, digits without leading zeros, letters in lower case.
pub fn runs(text: &str) -> Vec<String> {
    let mut runs: Vec<String> = Vec::new();
    let mut before = ' ';
    for c in text.chars() {
        let joins = |other: char| {
            (c.is_ascii_digit() && other.is_ascii_digit()) || (c.is_alphabetic() && other.is_alphabetic())
        };
        if c.is_alphanumeric() {
            match runs.last_mut() {
                Some(run) if joins(before) => run.extend(c.to_lowercase()),
                _ => runs.push(c.to_lowercase().collect()),
            }
        }
        before = c;
    }
    for run in &mut runs {
        if run.starts_with('0') && run.len() > 1 && run.bytes().all(|b| b.is_ascii_digit()) {
            let value = run.trim_start_matches('0');
            *run = if value.is_empty() { "0".into() } else { value.into() };
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn joined(number: &str) -> (String, String) {
        let found = parted(number);
        (found.base, found.parts.join(" "))
    }

    #[test]
    fn parts_are_read_in_every_way_of_writing_them() {
        let rows = [
            ("2031.4", "2031.4", ""),
            ("2031.4a", "2031.4", "a"),
            ("2031-4-a,b", "2031-4", "a b"),
            ("2031.4a–c", "2031.4", "a b c"),
            ("2031.4.A-.C", "2031.4", "A B C"),
            ("2031-4-a/c,f", "2031-4", "a b c f"),
            ("C.I.31.4.2a, b", "C.I.31.4.2", "a b"),
            ("T.12 & coat", "T.12 & coat", ""),
            ("2031.4 (2)", "2031.4 (2)", ""),
            ("2010.4.1-.3", "2010.4", "1 2 3"),
            ("21.83.48, .49", "21.83", "48 49"),
            ("", "", ""),
            ("spencer", "spencer", ""),
        ];
        for (number, base, parts) in rows {
            assert_eq!(joined(number), (base.to_owned(), parts.to_owned()), "{number}");
        }
        assert_eq!(parted("31-4-7-d (2)").items, Some((2, 2)));
        assert_eq!(parted("1939-17-6-a/lll").ends, Some(("a".into(), "lll".into())));
        assert_eq!(parted("1914-22-4-1/933").ends, Some(("1".into(), "933".into())));
        assert_eq!(parted("1987/4/2").base, "1987/4/2", "a stroke may be the collection's own sign");
    }

    #[test]
    fn ways_of_writing_one_number_are_alike_and_numbers_are_not() {
        for (one, other, same) in [
            ("2031-04A", "2031.4.a", true),
            ("2031/4", "2031.4", true),
            ("2031.1", "2031.10", false),
            ("2031.11", "2031.1.1", false),
            ("T 007", "t.7", true),
        ] {
            assert_eq!(likeness(one) == likeness(other), same, "{one} and {other}");
        }
    }

    proptest::proptest! {
        #[test]
        fn nothing_is_too_strange_to_be_taken_apart(text in "\\PC{0,40}", plain in "[0-9a-cA-Z.,/() –-]{0,24}") {
            for number in [&text, &plain] {
                let found = parted(number);
                proptest::prop_assert!(found.parts.len() <= MOST as usize);
                likeness(number);
            }
        }
    }
}
