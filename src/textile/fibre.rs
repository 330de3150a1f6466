//! The table of fibre facts: `schema/fibres.toml`, built into the program and read once.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Mark;
use crate::measure::four_figures;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

const TABLE: &str = include_str!("../../schema/fibres.toml");

/// Stands wherever burning or solubility is printed.
pub const CAUTION: &str = "Burning and dissolving destroy a sample. They belong to trained hands, with the owner's leave and \
                           under the rules of the place, and are never needed to fill in a sheet.";

/// A property of a fibre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum Property {
    /// Diameter in micrometres.
    #[serde(rename = "diameter")]
    Diameter,
    /// Density in g/cm³, dry and in ordinary air.
    #[serde(rename = "density")]
    Density,
    /// Moisture taken up in ordinary air, in per cent of the dry mass.
    #[serde(rename = "regain")]
    Regain,
    /// Refractive index for light that swings along the fibre.
    #[serde(rename = "index along")]
    IndexAlong,
    /// Refractive index for light that swings across it.
    #[serde(rename = "index across")]
    IndexAcross,
    /// The difference of the two.
    #[serde(rename = "birefringence")]
    Birefringence,
    /// The way in which the fibrils of a bast fibre wind.
    #[serde(rename = "fibrils")]
    Fibrils,
    /// What the microscope shows.
    #[serde(rename = "microscope")]
    Microscope,
    /// How it burns: see [`CAUTION`].
    #[serde(rename = "burning")]
    Burning,
    /// What dissolves it: see [`CAUTION`].
    #[serde(rename = "solubility")]
    Solubility,
    /// The year before which none was sold.
    #[serde(rename = "first")]
    First,
}

impl Property {
    /// Every property, in the order in which they are told.
    pub const ALL: [Property; 11] = [
        Property::First,
        Property::Diameter,
        Property::Density,
        Property::Regain,
        Property::IndexAlong,
        Property::IndexAcross,
        Property::Birefringence,
        Property::Fibrils,
        Property::Microscope,
        Property::Burning,
        Property::Solubility,
    ];

    /// What it is called: `diameter`.
    pub fn name(self) -> &'static str {
        match self {
            Property::First => "first sold",
            Property::Diameter => "diameter",
            Property::Density => "density",
            Property::Regain => "regain",
            Property::IndexAlong => "index along",
            Property::IndexAcross => "index across",
            Property::Birefringence => "birefringence",
            Property::Fibrils => "fibrils",
            Property::Microscope => "under the microscope",
            Property::Burning => "burning",
            Property::Solubility => "solubility",
        }
    }

    /// The unit of its figures; empty where there is none.
    pub fn unit(self) -> &'static str {
        match self {
            Property::Diameter => "µm",
            Property::Density => "g/cm³",
            Property::Regain => "%",
            _ => "",
        }
    }

    /// Whether finding it out destroys a sample.
    pub fn destroys(self) -> bool {
        matches!(self, Property::Burning | Property::Solubility)
    }
}

/// One fact about one fibre.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// The name of the fibre in the list of fibres.
    pub fibre: String,
    /// What it is about.
    pub property: Property,
    /// Typical range, not a limit.
    pub range: Option<(f64, f64)>,
    /// In words.
    pub text: String,
    /// Where it is published.
    pub source: String,
    /// How far the source has been seen.
    pub mark: Mark,
}

impl Fact {
    /// The range with its unit, and the words: `12–17 µm, a single cell`. A year stands alone.
    pub fn words(&self) -> String {
        let unit = self.property.unit();
        let range = self.range.map(|(low, high)| {
            let joint = if low < 0.0 { " to " } else { "–" };
            let ends = if low < high {
                format!("{}{joint}{}", four_figures(low), four_figures(high))
            } else {
                four_figures(low)
            };
            if unit.is_empty() { ends } else { format!("{ends} {unit}") }
        });
        let text = Some(self.text.clone()).filter(|text| !text.is_empty());
        match self.property {
            Property::First => self.text.clone(),
            _ => [range, text].into_iter().flatten().collect::<Vec<_>>().join(", "),
        }
    }
}

/// A dye and the year before which none was sold.
#[derive(Debug, Clone, PartialEq)]
pub struct Dye {
    /// Its names in lower case; the first is the one printed.
    pub names: Vec<String>,
    /// The year.
    pub first: i32,
    /// Where it is published.
    pub source: String,
    /// How far the source has been seen.
    pub mark: Mark,
}

/// The whole table.
#[derive(Debug, Default, PartialEq)]
pub struct Table {
    /// Facts about fibres.
    pub facts: Vec<Fact>,
    /// Dyes and their first years.
    pub dyes: Vec<Dye>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    fact: Vec<FactWritten>,
    dye: Vec<DyeWritten>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FactWritten {
    fibre: String,
    property: Property,
    from: Option<f64>,
    to: Option<f64>,
    #[serde(default)]
    text: String,
    source: String,
    mark: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DyeWritten {
    names: Vec<String>,
    first: i32,
    source: String,
    mark: String,
}

/// The shipped table.
pub fn table() -> &'static Table {
    static SHIPPED: OnceLock<Table> = OnceLock::new();
    // A test reads the file, so a table that does not parse never ships.
    SHIPPED.get_or_init(|| parse(TABLE).unwrap_or_default())
}

/// Reads a table as written.
///
/// # Errors
/// A sentence that names what is wrong.
pub fn parse(text: &str) -> Result<Table, String> {
    let written: Written = toml::from_str(text).map_err(|error| error.to_string())?;
    let marked = |mark: &str, what: &str| {
        Mark::named(mark).ok_or_else(|| format!("`{mark}` is no mark; write `read`, `memory` or `practice` ({what})"))
    };
    let fact = |f: FactWritten| {
        let range = f.from.map(|from| (from, f.to.unwrap_or(from)));
        if range.is_some_and(|(from, to)| from > to) || (f.from.is_none() && f.text.is_empty()) {
            return Err(format!("a fact about `{}` has neither a range in order nor words", f.fibre));
        }
        let mark = marked(&f.mark, &f.fibre)?;
        Ok(Fact { fibre: f.fibre, property: f.property, range, text: f.text, source: f.source, mark })
    };
    let dye = |d: DyeWritten| {
        let mark = marked(&d.mark, d.names.first().map_or("a dye", String::as_str))?;
        Ok(Dye { names: d.names, first: d.first, source: d.source, mark })
    };
    Ok(Table {
        facts: written.fact.into_iter().map(fact).collect::<Result<_, String>>()?,
        dyes: written.dye.into_iter().map(dye).collect::<Result<_, String>>()?,
    })
}

/// What is known of a property of a fibre: its own fact, else that of the nearest wider term that has one.
pub fn fact(fibre: &TermId, property: Property, vocabulary: &Vocabulary) -> Option<&'static Fact> {
    let own = |name: &str| table().facts.iter().find(|f| f.property == property && f.fibre == name);
    let mut next = Some(fibre.clone()).filter(|f| f.scheme() == Scheme::Fibre);
    // A term of one's own may stand in a circle of wider terms.
    for _ in 0..8 {
        let term = next?;
        if let Some(found) = own(term.name()) {
            return Some(found);
        }
        next = vocabulary.get(&term).and_then(|t| t.broader.clone());
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_table_reads_and_names_fibres_of_the_list() {
        let table = parse(TABLE).expect("readable");
        for fact in &table.facts {
            let term = Vocabulary::shipped().find(Scheme::Fibre, &fact.fibre).expect("a term");
            assert_eq!(term.name(), fact.fibre);
            assert!(!fact.source.trim().is_empty(), "{fact:?}");
        }
        assert!(table.dyes.iter().flat_map(|d| &d.names).all(|n| *n == n.to_lowercase() && !n.is_empty()));
        let mut keys: Vec<_> = table.facts.iter().map(|f| (&f.fibre, format!("{:?}", f.property))).collect();
        let all = keys.len();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len(), all, "a fact stands twice");
    }

    #[test]
    fn a_narrower_fibre_takes_over_what_it_does_not_say_itself() {
        let words = Vocabulary::shipped();
        let of = |name: &str, p| fact(&TermId::new(Scheme::Fibre, name), p, words).map(|f| (f.fibre.as_str(), f.range));
        assert_eq!(of("cultivated silk", Property::Diameter), Some(("cultivated silk", Some((10.0, 13.0)))));
        assert_eq!(of("cultivated silk", Property::Density), Some(("silk", Some((1.34, 1.34)))));
        assert_eq!(of("weighted silk", Property::Density), Some(("weighted silk", None)));
        assert_eq!(of("worsted yarn wool", Property::Diameter), Some(("wool", Some((16.0, 40.0)))));
        assert_eq!(of("lyocell of our own", Property::First), None);
        assert_eq!(fact(&TermId::new(Scheme::Weave, "cotton"), Property::Density, words), None);
    }

    #[test]
    fn a_table_with_a_fault_says_which() {
        let fact = |rest: &str| format!("dye = []\n[[fact]]\nfibre = \"wool\"\nproperty = \"density\"\n{rest}");
        let fault = |rest: &str| parse(&fact(rest)).unwrap_err();
        assert!(fault("source = \"x\"\nmark = \"read\"").contains("neither a range"));
        assert!(fault("from = 2.0\nto = 1.0\nsource = \"x\"\nmark = \"read\"").contains("`wool`"));
        assert!(fault("from = 1.0\nsource = \"x\"\nmark = \"heard\"").contains("`heard` is no mark"));
    }
}
