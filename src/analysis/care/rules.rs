//! The advice that follows from material and state by rules, `schema/care_rules.toml`.

use std::sync::OnceLock;

use serde::Deserialize;

use super::Line;
use crate::analysis::rules::{Conditions, Evidence};

const FILE: &str = include_str!("../../../schema/care_rules.toml");

/// The topic of which the first rule that fits is the whole advice.
const FIRST_ONLY: &str = "storage";

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rule {
    pub topic: String,
    #[serde(default)]
    pub when: Conditions,
    pub text: String,
    pub source: String,
    /// Whether it is for the people, not the piece.
    #[serde(default)]
    pub caution: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RuleFile {
    rule: Vec<Rule>,
}

/// The rules, in the order of their file.
pub(super) fn rules() -> &'static [Rule] {
    static RULES: OnceLock<Vec<Rule>> = OnceLock::new();
    // A test reads the file, so one that does not parse never ships.
    RULES.get_or_init(|| toml::from_str::<RuleFile>(FILE).map(|file| file.rule).unwrap_or_default())
}

/// The lines on one topic.
pub(super) fn lines(topic: &str, evidence: &Evidence<'_>) -> Vec<Line> {
    let of_topic = rules().iter().filter(|rule| rule.topic == topic);
    let line = |rule: &Rule, because| Line { caution: rule.caution, ..Line::new(&rule.text, because, &rule.source) };
    let fitting = of_topic.filter_map(|rule| evidence.meets(&rule.when).map(|because| line(rule, because)));
    if topic == FIRST_ONLY { fitting.take(1).collect() } else { fitting.collect() }
}
