//! What a word that is being written may become: terms with their definitions, components, names of fields.

use super::slots::{Section, Slot, Takes};
use super::{Words, heading, parts, read, sections};
use crate::vocabulary::{Scheme, Term};

/// So many are offered at once.
const MOST: usize = 8;
/// A term that is begun is never longer, in words.
const LONGEST_BEGUN: usize = 5;

/// One way to go on.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Completion {
    /// Where in the line what is replaced begins, in characters.
    pub from: usize,
    /// Where it ends.
    pub to: usize,
    /// What is put there.
    pub with: String,
    /// What kind of word it is: `damage term`, `component`.
    pub kind: String,
    /// What it means.
    pub means: String,
}

/// What the word before `caret` (in characters) may become.
pub fn complete(text: &str, caret: usize, words: &Words<'_>) -> Vec<Completion> {
    let end = text.char_indices().nth(caret).map_or(text.len(), |(at, _)| at);
    let before = &text[..end];
    let (section, from) = match heading(text).filter(|(_, from)| *from <= end) {
        Some((section, from)) => (Some(section), from),
        None => (read(text, None, words).section, 0),
    };
    let Some(part) = parts::parts(&before[from..]).pop().filter(|_| !before.ends_with([',', ';', ':'])) else {
        return Vec::new();
    };
    let part = part.start + from..part.end + from;
    if before[part.end..].chars().any(|c| !c.is_whitespace()) {
        return Vec::new();
    }
    let (label, value) = match parts::label(text, &part) {
        Some((label, value)) => (Some(label), value),
        None => (None, part.clone()),
    };
    // `in` behind a figure is its unit, and needs no other end.
    let line = read(text, None, words);
    let slot = |p: &super::Part| p.place.as_ref().and_then(|q| line.section?.slot(q.field));
    let quantity = |p: &super::Part| slot(p).is_some_and(|s| matches!(s.takes, Takes::Quantity(..)));
    if line.parts.iter().any(|p| p.at.end == value.end && quantity(p)) {
        return Vec::new();
    }
    let found = parts::words(text, &value);
    let mut all: Vec<Completion> = Vec::new();
    // The longest beginning first: `centre ba` means more than `ba`.
    for n in (1..=LONGEST_BEGUN.min(found.len())).rev() {
        let at = found[found.len() - n].start..value.end;
        let begun = &text[at.clone()];
        let tail = if before[at.end..].is_empty() { begun.to_owned() } else { continue };
        let place = (text[..at.start].chars().count(), text[..at.end].chars().count());
        for (with, kind, means) in ways(section, label, &tail, words) {
            let same = with.eq_ignore_ascii_case(&tail) || all.iter().any(|c| c.with == with);
            if !same && all.len() < MOST {
                all.push(Completion { from: place.0, to: place.1, with, kind, means });
            }
        }
    }
    all
}

type Way = (String, String, String);

fn ways(section: Option<&'static Section>, label: Option<&str>, begun: &str, words: &Words<'_>) -> Vec<Way> {
    let lower = begun.to_lowercase();
    let mut ways: Vec<Way> = Vec::new();
    let slots: Vec<&Slot> = match (section, label) {
        (Some(section), Some(label)) => {
            let name = label.to_lowercase();
            section.slots.iter().filter(|s| s.label() == name || s.label() == format!("{name}s")).collect()
        }
        (Some(section), None) => section.slots.iter().collect(),
        (None, _) => Vec::new(),
    };
    let term = |term: &Term| (term.name().to_owned(), term.id.scheme().noun().to_owned(), term.definition.clone());
    let mut add_scheme = |scheme: Scheme| ways.extend(words.vocabulary.beginning(scheme, begun).into_iter().map(term));
    if section.is_none() {
        // Nothing tells yet what is observed: what an observation is about.
        let keys = sections().iter().filter(|s| s.observed && s.several);
        let key =
            |s: &'static Section| s.slots.iter().find_map(|slot| scheme_of(&slot.takes).filter(|_| slot.field.needed));
        keys.filter_map(key).for_each(&mut add_scheme);
    }
    for slot in &slots {
        schemes(&slot.takes).into_iter().for_each(&mut add_scheme);
    }
    let takes_component = section.is_none() || slots.iter().any(|s| matches!(s.takes, Takes::Component));
    if takes_component {
        let begins = words.components.iter().filter(|name| name.to_lowercase().starts_with(&lower));
        ways.extend(begins.map(|name| (name.clone(), "component".into(), "a component of this piece".into())));
    }
    for slot in &slots {
        if let Takes::Choice(list) = slot.takes {
            let begins = list.iter().filter(|word| word.to_lowercase().starts_with(&lower));
            ways.extend(begins.map(|word| ((*word).to_owned(), slot.label(), slot.field.help.to_owned())));
        }
        if label.is_none() && lower.len() > 1 && slot.label().starts_with(&lower) {
            ways.push((format!("{}: ", slot.label()), "field".into(), slot.field.help.to_owned()));
        }
    }
    if label.is_none() {
        let begins = sections().iter().filter(|s| lower.len() > 1 && s.label().starts_with(&lower));
        ways.extend(begins.map(|s| (format!("{}: ", s.label()), "kind of line".into(), s.help.to_owned())));
    }
    ways
}

fn scheme_of(takes: &Takes) -> Option<Scheme> {
    match takes {
        Takes::Term(scheme, _) => Some(*scheme),
        _ => None,
    }
}

/// The lists of a field; of a field of records, those of what stands in them.
fn schemes(takes: &Takes) -> Vec<Scheme> {
    match takes {
        Takes::Term(scheme, _) => vec![*scheme],
        Takes::Records(slots, _) => slots.iter().filter_map(|s| scheme_of(&s.takes)).collect(),
        _ => Vec::new(),
    }
}
