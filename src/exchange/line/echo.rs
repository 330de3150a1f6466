//! What a line was understood as, said back beside it: values in both systems, terms with their definitions, the spread of
//! repeated readings.

use serde::Serialize;

use super::slots::{Slot, Takes, Written};
use super::{Line, Words};
use crate::dating::{Conventions, Dated};
use crate::measure::{Estimate, Kind, MM_PER_INCH, Quantity, combine, statistics};

/// One field as understood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Echo {
    /// The field of the record.
    pub field: &'static str,
    /// Its name in words, with that of the field inside it: `warp twist`.
    pub label: String,
    /// As written.
    pub text: String,
    /// What it was understood as, in SI; empty where that is what was written.
    pub metric: String,
    /// The same in inches, where the two differ.
    pub inches: String,
    /// The definition of a term, or the spread of readings.
    pub means: String,
    /// Nothing but the place of the words says that they belong here.
    pub guessed: bool,
}

/// A needed field that is still blank.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Wanted {
    /// The field.
    pub field: &'static str,
    /// Its name in words.
    pub label: String,
    /// What to write there.
    pub help: &'static str,
}

impl Line {
    /// Every field that is filled, as understood.
    pub fn echo(&self, words: &Words<'_>, conventions: &Conventions) -> Vec<Echo> {
        let Some(section) = self.section else { return Vec::new() };
        let mut all = Vec::new();
        for written in self.written() {
            let Some(slot) = section.slot(written.field) else { continue };
            let guess = |p: &super::Part| p.place.as_ref().is_some_and(|q| q.field == written.field && q.guessed);
            let guessed = self.parts.iter().any(guess);
            if let Takes::Records(slots, _) = &slot.takes {
                for cell in written.rows.iter().flatten() {
                    let Some(inner) = slots.iter().find(|s| s.field.name == cell.field) else { continue };
                    let label = format!("{} {}", slot.label(), inner.label());
                    let echo = one(inner, cell, words, conventions);
                    all.push(Echo { field: slot.field.name, label, guessed, ..echo });
                }
            } else {
                all.push(Echo { guessed, ..one(slot, &written, words, conventions) });
            }
        }
        all
    }

    /// Why figures that found no field cannot be read, where the line has a field for figures: `27` has no unit.
    pub fn unreadable(&self, part: &super::Part) -> Option<String> {
        let written = self.written();
        let open = |s: &&Slot| match s.takes {
            Takes::Quantity(_, several) => several || !written.iter().any(|w| w.field == s.field.name),
            _ => false,
        };
        let slot = self.section?.slots.iter().find(open).filter(|_| part.text.starts_with(char::is_numeric))?;
        let Takes::Quantity(kind, _) = slot.takes else { return None };
        Quantity::parse(kind, &part.text).err().map(|e| format!("{}: {e}", slot.label()))
    }

    /// The needed fields that are blank.
    pub fn wanted(&self) -> Vec<Wanted> {
        let written = self.written();
        let blank = |s: &&Slot| s.field.needed && !written.iter().any(|w| w.field == s.field.name);
        let slots = self.section.iter().flat_map(|s| &s.slots);
        slots.filter(blank).map(|s| Wanted { field: s.field.name, label: s.label(), help: s.field.help }).collect()
    }
}

fn one(slot: &Slot, written: &Written, words: &Words<'_>, conventions: &Conventions) -> Echo {
    let text = written.texts.join("; ");
    let mut echo = Echo {
        field: slot.field.name,
        label: slot.label(),
        text,
        metric: String::new(),
        inches: String::new(),
        means: String::new(),
        guessed: false,
    };
    match &slot.takes {
        Takes::Term(scheme, _) => {
            let found: Vec<_> = written.texts.iter().filter_map(|t| words.vocabulary.known(*scheme, t)).collect();
            let named = found.iter().map(|t| t.name()).collect::<Vec<_>>().join("; ");
            if !named.eq_ignore_ascii_case(&echo.text) {
                echo.metric = named;
            }
            echo.means = found.iter().map(|t| t.definition.as_str()).collect::<Vec<_>>().join(" ");
            if let [one] = &found[..] {
                echo.means.extend(one.how.iter().flat_map(|how| [" ", how.as_str()]));
            }
        }
        Takes::Quantity(kind, _) => {
            let read: Vec<_> = written.texts.iter().filter_map(|t| Quantity::parse(*kind, t).ok()).collect();
            if read.len() == written.texts.len() {
                (echo.metric, echo.inches) = understood(&read);
                if let [first, _, ..] = &read[..] {
                    echo.means = spread(&read, first.kind);
                }
            }
        }
        Takes::Day => {
            if let Ok(day) = echo.text.parse::<jiff::civil::Date>() {
                echo.metric = day.strftime("%-d %B %Y").to_string();
            }
        }
        Takes::Dated => {
            if let Ok(date) = Dated::parse(&echo.text, conventions) {
                echo.metric = date.interval().to_string();
            }
        }
        _ => {}
    }
    echo
}

/// `n` readings, and how far they lie apart.
fn spread(readings: &[Quantity], kind: Kind) -> String {
    let values: Vec<f64> = readings.iter().map(|q| q.value).collect();
    let (low, high) = values.iter().fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
    let s = statistics::stdev(&values).unwrap_or(0.0);
    let shown = |x: f64| {
        let (metric, inches) = figures(kind, &Estimate::exact(x));
        if inches.is_empty() { metric } else { format!("{metric} ({inches})") }
    };
    format!("{} readings, {} apart at most, standard deviation {}", readings.len(), shown(high - low), shown(s))
}

/// Readings of one thing as understood, in SI and, where one writes such a thing in inches, so too; blank without one.
pub fn understood(readings: &[Quantity]) -> (String, String) {
    match readings {
        [] => Default::default(),
        [one] => quantity(one),
        [first, ..] => combine(readings, None).map(|e| figures(first.kind, &e)).unwrap_or_default(),
    }
}

/// A quantity in SI and, where one writes it in inches, so too.
pub fn quantity(quantity: &Quantity) -> (String, String) {
    let (metric, inches) = figures(quantity.kind, &Estimate::from(quantity));
    // What limits the figure, `about` or `at least`, is said by the quantity itself.
    if matches!(quantity.kind, Kind::Density | Kind::Area) { (metric, inches) } else { (quantity.display_si(), inches) }
}

fn figures(kind: Kind, estimate: &Estimate) -> (String, String) {
    let at = |factor: f64, unit: &str| format!("{} {unit}", estimate.times(factor).shown());
    match kind {
        Kind::Length => (at(1.0, "mm"), at(1.0 / MM_PER_INCH, "in")),
        Kind::Area => (at(0.01, "cm²"), at(1.0 / (MM_PER_INCH * MM_PER_INCH), "sq in")),
        Kind::Density => (at(10.0, "per 10 cm"), at(MM_PER_INCH / 10.0, "per inch")),
        _ => (format!("{} {}", estimate.shown(), kind.unit()).trim_end().to_owned(), String::new()),
    }
}
