//! Days, months and seasons written in words.

use super::{
    edtf::days_in,
    period::{Period, edtf_year, year},
};

pub(super) const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// `14 march 1987`, `march 14, 1987`, `march 1987`, `spring 1815`.
pub(super) fn calendar(text: &str) -> Option<Period> {
    let words: Vec<&str> = text.split([' ', ',']).filter(|word| !word.is_empty() && *word != "of").collect();
    let year = year(words.last()?)?;
    let season = |word: &str| match word {
        "spring" => Some(21),
        "summer" => Some(22),
        "autumn" | "fall" => Some(23),
        "winter" => Some(24),
        _ => None,
    };
    let edtf = match words[..] {
        [name, _] => match (month(name), season(name)) {
            (Some(month), _) => format!("{}-{month:02}", edtf_year(year)),
            (None, Some(season)) => format!("{}-{season}", edtf_year(year)),
            (None, None) => return None,
        },
        [a, b, _] => {
            let (month, day) = month(b).zip(day(a)).or_else(|| month(a).zip(day(b)))?;
            if day > days_in(month, (year, year)) {
                return None;
            }
            format!("{}-{month:02}-{day:02}", edtf_year(year))
        }
        _ => return None,
    };
    Some(Period { edtf, ..Period::span(year, year, None) })
}

fn month(word: &str) -> Option<u8> {
    let word = word.trim_end_matches('.');
    let short = word.len() == 3 || word == "sept";
    let place = MONTHS.iter().position(|name| *name == word || (short && name.starts_with(word)))?;
    u8::try_from(place + 1).ok()
}

fn day(word: &str) -> Option<u8> {
    let digits = ["st", "nd", "rd", "th"].into_iter().find_map(|suffix| word.strip_suffix(suffix)).unwrap_or(word);
    let plain = (1..=2).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| digits.parse().ok()).flatten().filter(|day| (1..=31).contains(day))
}
