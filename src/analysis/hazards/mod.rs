//! Hazards to look for, suggested by date, material, colour, damage and notes. A suggestion is never a finding, and the
//! absence of one means nothing. The rules are data, `schema/hazard_rules.toml`, each with its source.

use std::sync::OnceLock;

use serde::Deserialize;

use super::rules::{Conditions, Evidence};
use crate::record::PieceFile;
use crate::vocabulary::{Relation, Scheme, TermId, Vocabulary};

/// What suggestions are headed with wherever they are shown.
pub const HEADING: &str = "To look for (suggestions, not findings)";

/// The sentence without which no hazard is printed.
pub const DEFER: &str = "Local law, local codes, licensed practice and a qualified test come first.";

const FILE: &str = include_str!("../../../schema/hazard_rules.toml");

/// One rule.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// Its name, by which a page and a test know it.
    pub name: String,
    /// The hazard, by the name of its term.
    pub hazard: String,
    /// What has to be recorded.
    pub when: Conditions,
    /// What to consider, in a sentence.
    pub sentence: String,
    /// What the rule rests on.
    pub source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RuleFile {
    rule: Vec<Rule>,
}

/// The rules, in the order of their file.
pub fn rules() -> &'static [Rule] {
    static RULES: OnceLock<Vec<Rule>> = OnceLock::new();
    // A test reads the file, so one that does not parse never ships.
    RULES.get_or_init(|| toml::from_str::<RuleFile>(FILE).map(|file| file.rule).unwrap_or_default())
}

/// A hazard to look for.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    /// Which.
    pub hazard: TermId,
    /// The rules that point to it, one at least.
    pub by: Vec<Pointer>,
}

/// A rule that points to a hazard, and why it does.
#[derive(Debug, Clone, PartialEq)]
pub struct Pointer {
    /// The rule's name.
    pub rule: &'static str,
    /// What to consider.
    pub sentence: &'static str,
    /// What in the record met the rule.
    pub reasons: Vec<String>,
    /// What the rule rests on.
    pub source: &'static str,
}

/// Whether anything of the piece can be touched: a published pattern and a depiction are records of something else.
pub fn is_matter(file: &PieceFile) -> bool {
    !file.piece.nature.as_ref().is_some_and(|n| ["published pattern", "depiction"].contains(&n.name()))
}

/// The hazards to look for, in the order of the rules. One that is recorded already, or a kind of it, is not suggested
/// again.
pub fn suggest(file: &PieceFile, vocabulary: &Vocabulary) -> Vec<Suggestion> {
    if !is_matter(file) {
        return Vec::new();
    }
    let evidence = Evidence::of(file, vocabulary);
    let recorded = evidence.things.iter().filter(|t| t.section == "hazard").flat_map(|t| &t.terms);
    let recorded: Vec<&TermId> = recorded.filter(|(field, _)| *field == "hazard").map(|(_, term)| term).collect();
    let known = |hazard: &TermId| {
        recorded.iter().any(|r| matches!(vocabulary.relation(r, hazard), Relation::Same | Relation::Narrower))
    };
    let mut list: Vec<Suggestion> = Vec::new();
    for rule in rules() {
        let hazard = TermId::new(Scheme::Hazard, &rule.hazard);
        if known(&hazard) {
            continue;
        }
        let Some(reasons) = evidence.meets(&rule.when) else { continue };
        let pointer = Pointer { rule: &rule.name, sentence: &rule.sentence, reasons, source: &rule.source };
        match list.iter_mut().find(|s| s.hazard == hazard) {
            Some(same) => same.by.push(pointer),
            None => list.push(Suggestion { hazard, by: vec![pointer] }),
        }
    }
    list
}

#[cfg(test)]
mod tests;
