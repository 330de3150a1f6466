//! Single periods: a year, a decade, a century or a part of one.

use super::{
    Conventions,
    calendar::{MONTHS, calendar},
};

/// The years of one period, how EDTF writes it, and the convention it leaned on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Period {
    pub(super) first: i32,
    pub(super) last: i32,
    pub(super) edtf: String,
    pub(super) remark: Option<String>,
    /// Just a year: the only thing that `circa` widens and that an end such as `-75` can follow.
    pub(super) is_year: bool,
}

impl Period {
    pub(super) fn span(first: i32, last: i32, remark: Option<String>) -> Period {
        let edtf = if first == last { edtf_year(first) } else { format!("{}/{}", edtf_year(first), edtf_year(last)) };
        Period { first, last, edtf, remark, is_year: false }
    }

    pub(super) fn year(year: i32) -> Period {
        Period { is_year: true, ..Period::span(year, year, None) }
    }
}

pub(super) fn edtf_year(year: i32) -> String {
    if year < 0 { format!("-{:04}", year.unsigned_abs()) } else { format!("{year:04}") }
}

/// Which part of a decade or a century.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Early,
    Mid,
    Late,
    Beginning,
    End,
    Turn,
    Half(i32),
    Quarter(i32),
    Third(i32),
}

/// What a part of a period is a part of, when the words leave it to a neighbour: `late 18th` before `century`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lent<'a>(pub(super) &'a str);

/// Reads one period from lower-case words; `None` when they are none.
pub(super) fn read(text: &str, lent: Option<Lent>, conventions: &Conventions) -> Option<Period> {
    let text = text.trim();
    if let Some(year) = year(text) {
        return Some(Period::year(year));
    }
    if let Some(day) = calendar(text) {
        return Some(day);
    }
    let (part, rest) = part(text.strip_prefix("the ").unwrap_or(text));
    if let Some(decade) = decade(rest) {
        return decade_part(decade, part);
    }
    if let Some(number) = century(rest, lent.is_some()) {
        return century_part(number, part, conventions);
    }
    // `mid` in `mid to late 18th century`: the noun is the neighbour's.
    match (lent, rest.is_empty(), part) {
        (Some(Lent(noun)), true, Some(_)) => read(&format!("{text} {noun}"), None, conventions),
        _ => None,
    }
}

/// A year of three or four digits.
pub(super) fn year(text: &str) -> Option<i32> {
    let plain = (3..=4).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten().filter(|year| *year > 0)
}

/// `1880s`, `1880's`.
fn decade(text: &str) -> Option<i32> {
    let digits = text.strip_suffix("'s").or_else(|| text.strip_suffix("’s")).or_else(|| text.strip_suffix('s'))?;
    year(digits).filter(|year| year % 10 == 0)
}

/// Whether the text names a hundred years or ten: `1800s`.
pub(super) fn decade_or_century(text: &str) -> Option<i32> {
    decade(part(text.trim().trim_start_matches("the ")).1).filter(|year| year % 100 == 0)
}

fn decade_part(decade: i32, part: Option<Part>) -> Option<Period> {
    if decade % 100 == 0 {
        return None;
    }
    let thirds = Some("early, mid and late in a decade taken as years 0–3, 4–6 and 7–9".to_string());
    Some(match part {
        None => Period { edtf: format!("{}X", &edtf_year(decade)[..3]), ..Period::span(decade, decade + 9, None) },
        Some(Part::Early | Part::Beginning) => Period::span(decade, decade + 3, thirds),
        Some(Part::Mid) => Period::span(decade + 4, decade + 6, thirds),
        Some(Part::Late | Part::End) => Period::span(decade + 7, decade + 9, thirds),
        Some(Part::Half(n)) => Period::span(decade + 5 * (n - 1), decade + 5 * n - 1, None),
        Some(_) => return None,
    })
}

const CENTURIES: [&str; 21] = [
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
    "sixteenth",
    "seventeenth",
    "eighteenth",
    "nineteenth",
    "twentieth",
    "twenty-first",
];

/// The number of a century; the noun may be lent.
fn century(text: &str, lent: bool) -> Option<i32> {
    let nouns = [" century", " centuries", " cent.", " cent", " c.", " c", "-century"];
    let ordinal = match nouns.iter().find_map(|noun| text.strip_suffix(noun)) {
        Some(ordinal) => ordinal.trim(),
        None if lent => text,
        None => return None,
    };
    if let Some(place) = CENTURIES.iter().position(|name| *name == ordinal) {
        return i32::try_from(place + 1).ok();
    }
    let suffix = ["st", "nd", "rd", "th"].into_iter().find_map(|suffix| ordinal.strip_suffix(suffix))?;
    suffix.parse().ok().filter(|n| (1..=21).contains(n))
}

fn century_part(number: i32, part: Option<Part>, conventions: &Conventions) -> Option<Period> {
    let hundred = (number - 1) * 100;
    let from = hundred + conventions.century_from.clamp(0, 1);
    let whole = format!("the century taken as {from}–{}", from + 99);
    let cut = |first: i32, last: i32, how: &str| {
        let remark = if how.is_empty() { whole.clone() } else { format!("{whole}, {how}") };
        Some(Period::span(first, last, Some(remark)))
    };
    let thirds = "early, mid and late as its thirds";
    match part {
        None if from == hundred => {
            let edtf = format!("{}XX", &edtf_year(hundred)[..2]);
            Some(Period { edtf, ..Period::span(from, from + 99, Some(whole)) })
        }
        None => cut(from, from + 99, ""),
        Some(Part::Early | Part::Third(1)) => cut(from, from + 32, thirds),
        Some(Part::Mid | Part::Third(2)) => cut(from + 33, hundred + 66, thirds),
        Some(Part::Late | Part::Third(_)) => cut(hundred + 67, from + 99, thirds),
        Some(Part::Beginning) => cut(from, from + 9, "its beginning as ten years"),
        Some(Part::End) => cut(from + 90, from + 99, "its end as ten years"),
        Some(Part::Turn) => cut(from - 10, from + 9, "its turn as ten years either side of its beginning"),
        Some(Part::Half(n)) => cut(from + 50 * (n - 1), from + 50 * n - 1, "halved"),
        Some(Part::Quarter(n)) => cut(from + 25 * (n - 1), from + 25 * n - 1, "quartered"),
    }
}

/// The part named before a decade or century, and the rest.
fn part(text: &str) -> (Option<Part>, &str) {
    let simple: [(&str, Part); 11] = [
        ("early", Part::Early),
        ("mid", Part::Mid),
        ("middle", Part::Mid),
        ("late", Part::Late),
        ("beginning", Part::Beginning),
        ("start", Part::Beginning),
        ("end", Part::End),
        ("turn", Part::Turn),
        ("very early", Part::Beginning),
        ("very late", Part::End),
        ("later", Part::Late),
    ];
    for (word, part) in simple {
        if let Some(rest) = text.strip_prefix(word).filter(|rest| rest.is_empty() || rest.starts_with([' ', '-'])) {
            return (Some(part), of_the(rest));
        }
    }
    let ordinals = [
        ("first", 1),
        ("1st", 1),
        ("second", 2),
        ("2nd", 2),
        ("third", 3),
        ("3rd", 3),
        ("fourth", 4),
        ("4th", 4),
        ("last", 0),
    ];
    for (word, n) in ordinals {
        let Some(rest) = text.strip_prefix(word).and_then(|rest| rest.strip_prefix([' ', '-'])) else {
            continue;
        };
        for (noun, most) in [("half", 2), ("third", 3), ("quarter", 4)] {
            let Some(rest) = rest.strip_prefix(noun).filter(|rest| rest.is_empty() || rest.starts_with(' ')) else {
                continue;
            };
            let n = if n == 0 { most } else { n };
            let part = match most {
                2 => Part::Half(n),
                3 => Part::Third(n),
                _ => Part::Quarter(n),
            };
            if n <= most {
                return (Some(part), of_the(rest));
            }
        }
    }
    (None, text)
}

fn of_the(text: &str) -> &str {
    let text = text.trim_start_matches([' ', '-']);
    let text = text.strip_prefix("of ").unwrap_or(text).trim_start();
    text.strip_prefix("the ").unwrap_or(text).trim_start()
}

/// Every word that a date phrase may hold, for proposals when one is misspelt.
pub(super) fn words() -> impl Iterator<Item = &'static str> {
    const OTHERS: [&str; 29] = [
        "century",
        "centuries",
        "circa",
        "about",
        "around",
        "early",
        "late",
        "mid",
        "middle",
        "half",
        "quarter",
        "last",
        "turn",
        "beginning",
        "before",
        "after",
        "between",
        "from",
        "since",
        "until",
        "probably",
        "possibly",
        "perhaps",
        "spring",
        "summer",
        "autumn",
        "winter",
        "undated",
        "unknown",
    ];
    CENTURIES.into_iter().chain(MONTHS).chain(OTHERS)
}
