//! The whole collection on one page: every piece with its picture, to search and sift without the program.

use serde::Serialize;

use super::pictures::link;
use super::press::{self, Sheet};
use super::words::{capital, day, text};
use super::{ReportFault, Settings};
use crate::record::accession::sort_key;

/// One piece in the index.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct IndexEntry {
    /// Accession number.
    pub number: String,
    /// Extant, reconstruction, mock-up ...
    pub nature: String,
    /// What it is, in a word or two.
    pub object_name: String,
    /// The kind of garment; none if not recorded.
    pub garment: Option<String>,
    /// Its title; none if it has none.
    pub title: Option<String>,
    /// Its date as written; none if not recorded.
    pub date: Option<String>,
    /// First year that the date allows.
    pub earliest: Option<i32>,
    /// Last year that the date allows.
    pub latest: Option<i32>,
    /// Where it lies; none if not recorded.
    pub location: Option<String>,
    /// The latest grade of its condition; none if not recorded.
    pub grade: Option<String>,
    /// Fibres of all its cloths.
    pub fibres: Vec<String>,
    /// SHA-256 of the photograph to show.
    pub thumbnail: Option<String>,
    /// Reports and other pages about it: what to call them, and where they are.
    pub links: Vec<(String, String)>,
}

#[derive(Debug, Serialize)]
struct Page {
    entries: Vec<Line>,
    filters: Vec<Filter>,
    undated: usize,
}

/// One piece, as finished words, with what the script sifts by.
#[derive(Debug, Serialize)]
struct Line {
    anchor: String,
    number: String,
    name: String,
    object_name: String,
    nature: String,
    date: String,
    facts: Vec<(&'static str, String)>,
    src: String,
    alt: String,
    links: Vec<(String, String)>,
    /// Everything that the search box looks through, in lower case.
    words: String,
    /// One value a filter; several are joined by `|`.
    values: Vec<String>,
}

/// A choice above the list.
#[derive(Debug, Serialize)]
struct Filter {
    name: &'static str,
    label: &'static str,
    /// Value, words, and how many pieces have it.
    options: Vec<(String, String, usize)>,
}

/// What stands for a blank.
const BLANK: &str = "not recorded";
/// A date that allows more years than this says too little to be listed under each of its decades.
const WIDEST_DECADES: i32 = 15;

pub(super) fn print(entries: &[IndexEntry], settings: &Settings<'_>) -> Result<String, ReportFault> {
    let mut sorted: Vec<&IndexEntry> = entries.iter().collect();
    sorted.sort_by_key(|e| sort_key(&e.number));
    let sheet = Sheet {
        title: if settings.collection.is_empty() {
            "The collection".into()
        } else {
            format!("{}: the collection", settings.collection)
        },
        running_left: "The collection".into(),
        running_right: settings.collection.to_string(),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.to_string(),
    };
    let page = Page {
        filters: filters(&sorted),
        undated: sorted.iter().filter(|e| e.earliest.is_none() && e.latest.is_none()).count(),
        entries: sorted.iter().enumerate().map(|(i, e)| line(i, e, settings)).collect(),
    };
    press::print("index.html", &sheet, &page)
}

fn line(place: usize, entry: &IndexEntry, settings: &Settings<'_>) -> Line {
    let src = entry.thumbnail.as_ref().and_then(|sha| settings.pictures.thumbnail(sha)).unwrap_or_default();
    let title = text(entry.title.as_ref());
    let name = if title.is_empty() { capital(&entry.object_name) } else { title.clone() };
    let words = [&entry.number, &entry.nature, &entry.object_name]
        .into_iter()
        .chain([&entry.garment, &entry.title, &entry.date, &entry.location, &entry.grade].into_iter().flatten())
        .chain(&entry.fibres)
        .map(|w| w.to_lowercase())
        .collect::<Vec<_>>()
        .join(" ");
    let or_blank = |value: &str| if value.trim().is_empty() { BLANK.to_string() } else { value.to_string() };
    Line {
        anchor: format!("piece-{}", place + 1),
        alt: if src.is_empty() { String::new() } else { format!("{}, {}", entry.number, entry.object_name) },
        src,
        number: entry.number.clone(),
        object_name: if title.is_empty() { String::new() } else { capital(&entry.object_name) },
        name: or_blank(&name),
        nature: capital(&entry.nature),
        date: or_blank(&text(entry.date.as_ref())),
        facts: vec![
            ("Fibres", or_blank(&entry.fibres.join(", "))),
            ("Condition", or_blank(&text(entry.grade.as_ref()))),
            ("Place", or_blank(&text(entry.location.as_ref()))),
        ],
        links: entry.links.iter().map(|(label, file)| (label.clone(), link(file))).collect(),
        words,
        values: FILTERS.iter().map(|(_, _, values)| values(entry).join("|")).collect(),
    }
}

type Values = fn(&IndexEntry) -> Vec<String>;

/// The filters: name, label, and the values that a piece has.
const FILTERS: [(&str, &str, Values); 5] = [
    ("nature", "Nature", |e| one(&e.nature)),
    ("garment", "Garment", |e| one(&text(e.garment.as_ref()))),
    ("fibre", "Fibre", |e| if e.fibres.is_empty() { one("") } else { e.fibres.iter().flat_map(|f| one(f)).collect() }),
    ("grade", "Condition", |e| one(&text(e.grade.as_ref()))),
    ("decade", "Decade", |e| decades(e.earliest, e.latest)),
];

/// A value, without the signs that separate values in the page.
fn one(value: &str) -> Vec<String> {
    let value = value.replace(['|', '¦'], " ");
    vec![if value.trim().is_empty() { BLANK.into() } else { value }]
}

/// The decades that a date allows: `1810s`. An open, unknown or very wide date has none.
fn decades(earliest: Option<i32>, latest: Option<i32>) -> Vec<String> {
    let (Some(from), Some(to)) = (earliest.or(latest), latest.or(earliest)) else { return one("") };
    let open = earliest.is_none() || latest.is_none();
    let (from, to) = (from.div_euclid(10), to.div_euclid(10));
    if open || from > to || to.saturating_sub(from) >= WIDEST_DECADES {
        return vec!["open or very wide".into()];
    }
    (from..=to).map(|d| format!("{}s", i64::from(d) * 10)).collect()
}

fn filters(entries: &[&IndexEntry]) -> Vec<Filter> {
    FILTERS
        .iter()
        .map(|(name, label, values)| {
            let mut options: Vec<(String, String, usize)> = Vec::new();
            for entry in entries {
                let mut of_entry = values(entry);
                of_entry.sort();
                of_entry.dedup();
                for value in of_entry {
                    match options.iter_mut().find(|(v, _, _)| *v == value) {
                        Some(option) => option.2 += 1,
                        None => options.push((value.clone(), value, 1)),
                    }
                }
            }
            // By name, decades by age; what is not recorded comes last.
            options.sort_by_key(|(value, ..)| (value == BLANK, sort_key(value)));
            Filter { name, label, options }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_lies_in_each_decade_that_it_allows() {
        let cases: [(Option<i32>, Option<i32>, &[&str]); 7] = [
            (Some(1815), Some(1815), &["1810s"]),
            (Some(1779), Some(1790), &["1770s", "1780s", "1790s"]),
            (Some(1800), Some(1809), &["1800s"]),
            (None, None, &[BLANK]),
            (Some(1850), None, &["open or very wide"]),
            (Some(1500), Some(1999), &["open or very wide"]),
            (Some(i32::MIN), Some(i32::MAX), &["open or very wide"]),
        ];
        for (from, to, expected) in cases {
            assert_eq!(decades(from, to), expected, "{from:?} {to:?}");
        }
    }
}
