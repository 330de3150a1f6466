//! What headings of old lists usually mean: the table in `schema/headings.toml`, and the dimensions of the vocabulary.

use std::collections::{BTreeMap, HashMap};
use std::sync::OnceLock;

use serde::Deserialize;

use super::target::Target;
use crate::vocabulary::{Scheme, Term, Vocabulary};

/// The table of headings, built into the program and read once.
const TABLE: &str = include_str!("../../../schema/headings.toml");

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    meaning: Vec<Meaning>,
    dimensions: BTreeMap<String, Vec<String>>,
    fibres: BTreeMap<String, Vec<String>>,
    grades: BTreeMap<String, Vec<String>>,
}

/// What some headings mean.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Meaning {
    #[serde(rename = "as")]
    target: Target,
    #[serde(default)]
    with: BTreeMap<String, String>,
    called: String,
    headings: Vec<String>,
}

/// The table by heading and by label.
struct ByHeading {
    usual: Vec<Usual>,
    meanings: HashMap<String, (Target, BTreeMap<String, String>)>,
    dimensions: HashMap<String, String>,
    fibres: HashMap<String, String>,
    grades: HashMap<String, String>,
}

fn table() -> &'static ByHeading {
    static READ: OnceLock<ByHeading> = OnceLock::new();
    READ.get_or_init(|| {
        // A test reads the file, so that one which does not parse never ships.
        let table: Table = toml::from_str(TABLE).unwrap_or_default();
        let usual = |m: &Meaning| Usual { called: m.called.clone(), target: m.target.clone(), with: m.with.clone() };
        let usual = table.meaning.iter().map(usual).collect();
        let meanings = table.meaning.into_iter().flat_map(|m| {
            let Meaning { target, with, headings, .. } = m;
            headings.into_iter().map(move |h| (h, (target.clone(), with.clone())))
        });
        let by_word = |table: BTreeMap<String, Vec<String>>| -> HashMap<String, String> {
            let words = |(name, all): (String, Vec<String>)| all.into_iter().map(move |word| (word, name.clone()));
            table.into_iter().flat_map(words).collect()
        };
        ByHeading {
            usual,
            meanings: meanings.collect(),
            dimensions: by_word(table.dimensions),
            fibres: by_word(table.fibres),
            grades: by_word(table.grades),
        }
    })
}

/// What columns of old lists usually are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Usual {
    /// In the words of the trade.
    pub called: String,
    /// What the column is taken for.
    pub target: Target,
    /// Fields that go with it.
    pub with: BTreeMap<String, String>,
}

/// What columns of old lists usually are, the most telling first.
pub fn usual() -> &'static [Usual] {
    &table().usual
}

/// A heading reduced to what is compared.
pub fn bare(heading: &str) -> String {
    let mut out = String::new();
    for c in heading.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !out.ends_with(' ') && !out.is_empty() {
            out.push(' ');
        }
    }
    out.trim_end().to_owned()
}

/// What a heading is known to mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// What the column is taken for.
    pub target: Target,
    /// Fields that go with it.
    pub with: Vec<(String, String)>,
    /// The unit that the heading states: `cm` of `Height (cm)`.
    pub unit: Option<String>,
}

/// What a heading means, if it is a usual one.
pub fn known(heading: &str, vocabulary: &Vocabulary) -> Option<Known> {
    let whole = bare(heading);
    // The lower of two headings says most; a number that tells repeated ones apart says nothing.
    let lower = heading.rsplit(" / ").next().unwrap_or(heading);
    let numbered = lower
        .trim_end()
        .strip_suffix(')')
        .and_then(|t| t.rsplit_once(" ("))
        .filter(|(_, n)| n.bytes().all(|b| b.is_ascii_digit()));
    let lower = bare(numbered.map_or(lower, |(text, _)| text));
    let candidates = [whole.clone(), lower.clone(), without_unit(&whole), without_unit(&lower)];
    if let Some((target, with)) = candidates.iter().find_map(|text| table().meanings.get(text)) {
        let with = with.iter().map(|(k, v)| (k.clone(), v.clone())).collect();
        let measures = *target == Target::Dimensions;
        return Some(Known {
            target: target.clone(),
            with,
            unit: unit(heading).filter(|_| measures).map(String::from),
        });
    }
    let measured = candidates.iter().find_map(|text| dimension(text, vocabulary)).map(|name| Known {
        target: Target::Field { section: "measurement", field: "readings" },
        with: vec![("dimension".into(), name)],
        unit: unit(heading).map(String::from),
    });
    // `Insurance value 2009, EUR`: what speaks of money is no note, whatever else the heading says.
    let worth = |word: &str| matches!(table().meanings.get(word), Some((Target::Worth, _)));
    let worth = || whole.split(' ').any(worth).then(|| Known { target: Target::Worth, with: Vec::new(), unit: None });
    measured.or_else(worth)
}

/// The dimension that a label means.
pub fn dimension(label: &str, vocabulary: &Vocabulary) -> Option<String> {
    let bare = bare(label);
    if bare.is_empty() {
        return None;
    }
    if let Some(name) = table().dimensions.get(&bare) {
        return Some(name.clone());
    }
    let overall =
        bare.strip_prefix("overall ").or_else(|| bare.strip_prefix("max ")).map(|rest| format!("total {rest}"));
    let term = |text: &str| vocabulary.known(Scheme::Dimension, text).map(|t| t.name().to_owned());
    term(&bare).or_else(|| overall.as_deref().and_then(term))
}

/// A fibre by its name in the vocabulary or in another language.
pub fn fibre<'a>(word: &str, vocabulary: &'a Vocabulary) -> Option<&'a Term> {
    let term = |word: &str| vocabulary.known(Scheme::Fibre, word);
    term(word).or_else(|| table().fibres.get(word).and_then(|name| term(name)))
}

/// A grade, in the same way.
pub fn grade<'a>(words: &str, vocabulary: &'a Vocabulary) -> Option<&'a Term> {
    let term = |word: &str| vocabulary.known(Scheme::Grade, word);
    term(words).or_else(|| table().grades.get(&bare(words)).and_then(|name| term(name)))
}

/// Units of length, and the words for them in headings.
const UNITS: [(&str, &[&str]); 4] = [
    ("cm", &["cm", "centimetres", "centimeters", "zentimeter", "centimètres"]),
    ("mm", &["mm", "millimetres", "millimeters", "millimeter", "millimètres"]),
    ("m", &["m", "metres", "meters"]),
    ("in", &["in", "ins", "inch", "inches", "\""]),
];

/// The unit that a word is.
fn unit_of(word: &str) -> Option<&'static str> {
    UNITS.iter().find(|(_, words)| words.contains(&word)).map(|(unit, _)| *unit)
}

/// The unit of length that a heading states: the last, since `Höhe in cm` is no height in inches. The first word is none.
fn unit(heading: &str) -> Option<&'static str> {
    let lower = heading.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric() && c != '"').filter(|word| !word.is_empty());
    words.skip(1).filter_map(unit_of).last()
}

/// A bare heading without the unit that it states.
fn without_unit(bare: &str) -> String {
    let mut words: Vec<&str> = bare.split(' ').collect();
    let all = words.len();
    words.retain(|word| unit_of(word).is_none());
    if words.len() < all && words.last() == Some(&"en") {
        words.pop(); // `hauteur en cm`
    }
    if words.is_empty() { bare.to_owned() } else { words.join(" ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_headings_are_known_and_others_are_not() {
        let rows = [
            ("Acc. No.", "piece.number", ""),
            ("INVENTARNUMMER", "piece.number", ""),
            ("Numéro d'inventaire", "piece.number", ""),
            ("Dating", "piece.date", ""),
            ("Maße", "dimensions", ""),
            ("Material / Technik", "materials", ""),
            ("Donor", "person.person", "donor"),
            ("Notes (2)", "mixed", ""),
            ("Value", "worth", ""),
            ("Purchase price (£)", "worth", ""),
            ("Insurance value 2009, EUR", "worth", ""),
            ("Versicherungswert", "worth", ""),
            ("Provenance", "event.note", "acquisition"),
            ("Size / H (cm)", "measurement.readings", "total height"),
            ("Waist (in)", "measurement.readings", "waist girth"),
            ("C.B. length", "measurement.readings", "centre back length"),
        ];
        for (heading, word, with) in rows {
            let found = known(heading, Vocabulary::shipped()).unwrap_or_else(|| panic!("`{heading}` should be known"));
            assert_eq!(found.target.word(), word, "{heading}");
            assert_eq!(found.with.first().map_or("", |(_, v)| v.as_str()), with, "{heading}");
        }
        let units = [
            ("Waist (in)", Some("in")),
            ("Höhe in cm", Some("cm")),
            ("Hauteur en cm", Some("cm")),
            ("Size in inches", Some("in")),
            ("H (m)", Some("m")),
            ("Waist", None),
            ("Made in", None),
        ];
        for (heading, unit) in units {
            let found = known(heading, Vocabulary::shipped()).unwrap_or_else(|| panic!("`{heading}` should be known"));
            assert_eq!(found.unit.as_deref(), unit, "{heading}");
        }
        for heading in ["column F", "Xyzzy", ""] {
            assert_eq!(known(heading, Vocabulary::shipped()), None, "{heading}");
        }
    }

    #[test]
    fn every_heading_means_something_that_a_column_can_be_taken_for() {
        let table: Table = toml::from_str(TABLE).unwrap_or_else(|e| panic!("{e}"));
        let mut seen = std::collections::BTreeSet::new();
        for heading in table.meaning.iter().flat_map(|m| &m.headings) {
            assert_eq!(*heading, bare(heading), "written as it is compared");
            assert!(seen.insert(heading), "`{heading}` stands twice");
        }
        let tables =
            [(Scheme::Dimension, &table.dimensions), (Scheme::Fibre, &table.fibres), (Scheme::Grade, &table.grades)];
        for (scheme, table) in tables {
            for (name, words) in table {
                assert!(Vocabulary::shipped().known(scheme, name).is_some(), "{name}: {words:?}");
                words.iter().for_each(|word| assert_eq!(*word, bare(word), "written as it is compared"));
            }
        }
    }
}
