//! What a rule asks for, as its file writes it, and what in a record meets it.

use serde::Deserialize;

use super::phrase::{Phrase, said};
use super::things::Thing;
use crate::colour::Lab;
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// Years and clauses, all of which must hold.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Conditions {
    /// First year; none for an open start.
    pub from: Option<i32>,
    /// Last year; none for an open end.
    pub to: Option<i32>,
    /// Whether one recorded line must meet all clauses, and not the piece as a whole.
    #[serde(default)]
    pub together: bool,
    /// The clauses.
    #[serde(default)]
    pub all: Vec<Clause>,
}

/// One thing asked for, in any of several ways.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clause {
    /// Terms by whole id, `fibre/silk`; a narrower term meets it too.
    #[serde(default)]
    pub terms: Vec<TermId>,
    /// Words in any text of the line.
    #[serde(default)]
    pub words: Vec<Phrase>,
    /// Colours in words, read as `words` are, and named as a colour in the reason.
    #[serde(default)]
    pub colours: Vec<Phrase>,
    /// Phrases within which a word does not count: `olive green` for `green`.
    #[serde(default)]
    pub unless: Vec<Phrase>,
    /// Colour readings.
    pub lab: Option<LabRegion>,
    /// Only lines of these sections: `trimming`, `condition` ...
    #[serde(default, rename = "in")]
    pub within: Vec<String>,
    /// Only damage of this severity or worse; damage whose severity is not recorded counts.
    pub from_severity: Option<String>,
}

/// A part of CIELAB by hue angle, chroma and lightness.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LabRegion {
    /// First and last hue angle in degrees, counted upward.
    pub hue: [f64; 2],
    /// Least chroma.
    pub chroma: f64,
    /// Least and greatest lightness.
    pub lightness: [f64; 2],
}

impl LabRegion {
    /// Whether a colour lies in it.
    pub fn holds(&self, lab: Lab) -> bool {
        let [from, to] = self.hue;
        let turned = (lab.hue() - from).rem_euclid(360.0);
        turned <= (to - from).rem_euclid(360.0)
            && lab.chroma() >= self.chroma
            && (self.lightness[0]..=self.lightness[1]).contains(&lab.l)
    }
}

/// So many lines are named as the reason of one clause.
const NAMED: usize = 3;

impl Clause {
    /// The lines that meet it, in words; empty where none does.
    pub(super) fn met(&self, things: &[Thing], vocabulary: &Vocabulary) -> Vec<String> {
        let looked_at = things.iter().filter(|thing| self.looks_at(thing, vocabulary));
        looked_at.filter_map(|thing| self.reason(thing, vocabulary)).take(NAMED).collect()
    }

    fn looks_at(&self, thing: &Thing, vocabulary: &Vocabulary) -> bool {
        (self.within.is_empty() || self.within.iter().any(|section| section == thing.section))
            && self.severe_enough(thing, vocabulary)
    }

    fn severe_enough(&self, thing: &Thing, vocabulary: &Vocabulary) -> bool {
        let rank = |id: &TermId| vocabulary.get(id).and_then(|term| term.rank);
        let least = self.from_severity.as_ref().and_then(|name| rank(&TermId::new(Scheme::Severity, name)));
        let found = thing.terms.iter().find(|(field, _)| *field == "severity").and_then(|(_, id)| rank(id));
        least.zip(found).is_none_or(|(least, found)| found >= least)
    }

    fn reason(&self, thing: &Thing, vocabulary: &Vocabulary) -> Option<String> {
        for wanted in &self.terms {
            if let Some((field, term)) = thing.names(wanted, vocabulary) {
                return Some(thing.told(field, term.name()));
            }
        }
        let by_words = |list: &[Phrase], kind: Option<&'static str>| {
            thing.texts.iter().find_map(|text| {
                let phrase = list.iter().find(|phrase| said(&text.words, phrase, &self.unless))?;
                Some(thing.told(kind.unwrap_or(text.field), &shortened(&text.written, &phrase.written)))
            })
        };
        by_words(&self.colours, Some("colour")).or_else(|| by_words(&self.words, None)).or_else(|| {
            let region = self.lab?;
            let lab = thing.labs.iter().find(|lab| region.holds(**lab))?;
            Some(thing.told("colour read", &lab.to_string()))
        })
    }
}

/// A short text as it stands; of a long one, the phrase alone.
fn shortened(text: &str, phrase: &str) -> String {
    if text.chars().count() <= 40 { text.trim().to_owned() } else { phrase.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_region_of_colour_may_turn_past_the_zero_of_hue() {
        let green = LabRegion { hue: [120.0, 190.0], chroma: 25.0, lightness: [25.0, 90.0] };
        let red = LabRegion { hue: [340.0, 40.0], ..green };
        let cases = [
            (Lab::new(48.0, -40.0, 20.0), true, false),
            (Lab::new(48.0, -10.0, 5.0), false, false),
            (Lab::new(20.0, -40.0, 20.0), false, false),
            (Lab::new(48.0, 40.0, 10.0), false, true),
            (Lab::new(48.0, 40.0, -10.0), false, true),
            (Lab::new(48.0, -10.0, -40.0), false, false),
        ];
        for (lab, is_green, is_red) in cases {
            assert_eq!((green.holds(lab), red.holds(lab)), (is_green, is_red), "{lab}");
        }
    }
}
