//! A draft against the record as it stands by now: what both say, field by field, and what was chosen of it.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use super::records::{Record, records};
use crate::draft::{Draft, DraftLine};
use crate::exchange::line::{self, Section, Words, Written};
use crate::record::PieceFile;

/// What the record says that the draft does not know.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Meanwhile {
    /// Lines of the draft whose record is another by now.
    pub apart: Vec<Apart>,
    /// Observations that others entered since the draft began.
    pub also: Vec<Also>,
}

/// A line of the draft, and its record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Apart {
    /// The key of the line.
    pub key: u64,
    /// Its section in words.
    pub section: String,
    /// Whether the record was withdrawn, so that there is nothing to choose from.
    pub gone: bool,
    /// The fields in which they differ.
    pub fields: Vec<Field>,
}

/// A field in which a line and its record differ.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Field {
    /// Its name in a sheet.
    pub field: &'static str,
    /// Its name in words.
    pub label: String,
    /// As it stood when the draft began.
    pub before: String,
    /// As the draft has it.
    pub mine: String,
    /// As the record has it now.
    pub theirs: String,
    /// Which of the two alone was changed; none if both were.
    pub only: Option<Side>,
}

/// One of the two versions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The draft.
    Mine,
    /// The record.
    Theirs,
}

/// An observation that came in meanwhile.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Also {
    /// Its identifier.
    pub id: String,
    /// Its section in words.
    pub section: String,
    /// As a line.
    pub line: String,
    /// The day and the examiner of its examination.
    pub of: (String, String),
    /// A line of the draft that is about the same.
    pub like: Option<u64>,
}

/// What was chosen: for each line that differs, the side of each field.
pub type Choices = HashMap<u64, HashMap<String, Side>>;

/// Compares a draft with the record; nothing if all that it knows still stands.
pub fn compare(draft: &Draft, file: Option<&PieceFile>, words: &Words<'_>) -> Option<Meanwhile> {
    let all = file.map(records).unwrap_or_default();
    let mut meanwhile = Meanwhile::default();
    for line in &draft.lines {
        meanwhile.apart.extend(apart(line, &all, words));
    }
    let new = all.iter().filter(|r| r.is_observation() && r.id.as_ref().is_some_and(|id| !draft.seen.contains(id)));
    let corrected: Vec<&String> = draft.lines.iter().filter_map(|l| l.id.as_ref()).collect();
    for record in new.filter(|r| !corrected.contains(&r.id.as_ref().unwrap_or(&String::new()))) {
        let about = key_of(record.section, &record.written);
        let same = |l: &&DraftLine| {
            let read = line::read(&l.text, None, words);
            read.section
                .is_some_and(|s| s.name == record.section.name && key_of(s, &named(s, read.written(), words)) == about)
        };
        meanwhile.also.push(Also {
            id: record.id.clone().unwrap_or_default(),
            section: record.section.label(),
            line: line::text(record.section, &record.written, words),
            of: record.of.clone().unwrap_or_default(),
            like: draft.lines.iter().find(same).map(|l| l.key),
        });
    }
    (!meanwhile.apart.is_empty() || !meanwhile.also.is_empty()).then_some(meanwhile)
}

/// What an observation is about: its component and its needed term.
fn key_of(section: &Section, written: &[Written]) -> Vec<String> {
    let about = |w: &&Written| {
        let needed = section.slot(w.field).is_some_and(|s| s.field.needed && matches!(s.takes, line::Takes::Term(..)));
        needed || w.field == "component"
    };
    written.iter().filter(about).flat_map(|w| w.texts.iter().map(|t| t.to_lowercase())).collect()
}

/// With the terms of a line by their names.
fn named(section: &Section, mut written: Vec<Written>, words: &Words<'_>) -> Vec<Written> {
    for entry in &mut written {
        if let Some(line::Takes::Term(scheme, _)) = section.slot(entry.field).map(|s| &s.takes) {
            for text in &mut entry.texts {
                if let Some(term) = words.vocabulary.known(*scheme, text) {
                    *text = term.name().to_owned();
                }
            }
        }
    }
    written
}

fn apart(line: &DraftLine, all: &[Record], words: &Words<'_>) -> Option<Apart> {
    let read = line::read(&line.text, None, words);
    let section = read.section?;
    let mine = named(section, read.written(), words);
    let base = base_of(line, words);
    let now = record_of(line, section, &mine, all);
    let (now, gone) = match (now, &line.id) {
        (Some(record), _) => (record.written.clone(), false),
        (None, Some(_)) => (Vec::new(), true),
        (None, None) => return None,
    };
    if now == base && !gone {
        return None;
    }
    // A fact that the draft does not mention stays as the record has it.
    let whole = line.id.is_some() && section.several;
    let text =
        |written: &[Written], field: &str| written.iter().find(|w| w.field == field).map(in_words).unwrap_or_default();
    let differs = |slot: &line::Slot| {
        let field = slot.field.name;
        let (before, mine, theirs) = (text(&base, field), text(&mine, field), text(&now, field));
        if mine == theirs || field == "number" || (!whole && mine.is_empty()) {
            return None;
        }
        let only = match (before == mine, before == theirs) {
            (true, false) => Some(Side::Theirs),
            (false, true) => Some(Side::Mine),
            _ => None,
        };
        // A fact that only the draft changed is what the draft is for.
        let plain = !whole && only == Some(Side::Mine);
        (!plain).then(|| Field { field, label: slot.label(), before, mine, theirs, only })
    };
    let fields: Vec<Field> = section.slots.iter().filter_map(differs).collect();
    (gone || !fields.is_empty()).then(|| Apart { key: line.key, section: section.label(), gone, fields })
}

fn base_of(line: &DraftLine, words: &Words<'_>) -> Vec<Written> {
    line.base.as_deref().map(|base| line::read(base, None, words).written()).unwrap_or_default()
}

/// The record that a line changes: by its identifier, or because there is one of that kind or name alone.
fn record_of<'r>(line: &DraftLine, section: &Section, mine: &[Written], all: &'r [Record]) -> Option<&'r Record> {
    let mut of = all.iter().filter(|r| r.section.name == section.name);
    if let Some(id) = &line.id {
        return of.find(|r| r.id.as_ref() == Some(id));
    }
    let same = |record: &Record, field: &str| super::text_of(&record.written, field) == super::text_of(mine, field);
    match section.name {
        "piece" => of.next(),
        "examination" => of.find(|r| same(r, "date") && same(r, "examiner")),
        "component" => of.find(|r| same(r, "name")),
        _ => None,
    }
}

/// The record that a line changes, as it stands, as a line.
pub(super) fn base_now(line: &DraftLine, all: &[Record], words: &Words<'_>) -> Option<String> {
    let read = line::read(&line.text, None, words);
    let section = read.section?;
    record_of(line, section, &read.written(), all).map(|r| line::text(section, &r.written, words))
}

/// What is written in a field, on one line.
fn in_words(written: &Written) -> String {
    let cell = |w: &Written| format!("{} {}", w.field.replace('_', " "), w.texts.join(" "));
    let rows = written.rows.iter().map(|row| row.iter().map(cell).collect::<Vec<_>>().join(", "));
    written.texts.iter().cloned().chain(rows).collect::<Vec<_>>().join("; ")
}

/// Puts what was chosen into the draft, each line in one stroke, and takes note of what its writer has been shown.
/// Fields without a choice keep what the draft says. Gives the keys of lines for which something is left to choose.
pub fn settle(
    draft: &mut Draft,
    file: Option<&PieceFile>,
    choices: &Choices,
    shown: &[String],
    words: &Words<'_>,
) -> Vec<u64> {
    let all = file.map(records).unwrap_or_default();
    let mut open = Vec::new();
    for draft_line in draft.lines.clone() {
        let Some(found) = apart(&draft_line, &all, words) else { continue };
        let none = HashMap::new();
        let chosen = choices.get(&draft_line.key).unwrap_or(&none);
        if !found.gone && found.fields.iter().any(|f| !chosen.contains_key(f.field)) {
            open.push(draft_line.key);
            continue;
        }
        let read = line::read(&draft_line.text, None, words);
        let Some(section) = read.section else { continue };
        let mut mine = read.written();
        let now = record_of(&draft_line, section, &named(section, mine.clone(), words), &all);
        for field in found.fields.iter().filter(|f| chosen.get(f.field) == Some(&Side::Theirs)) {
            mine.retain(|w| w.field != field.field);
            let theirs = now.iter().flat_map(|r| &r.written).find(|w| w.field == field.field);
            // A fact left out of the draft stays as the record has it; an observation is written anew, whole.
            mine.extend(theirs.filter(|_| draft_line.id.is_some() && section.several).cloned());
        }
        mine.sort_by_key(|w| section.slots.iter().position(|s| s.field.name == w.field));
        let changed = DraftLine {
            text: line::text(section, &mine, words),
            base: now.map(|r| line::text(section, &r.written, words)),
            // What was withdrawn is not corrected: the line becomes a new one.
            id: if found.gone { None } else { draft_line.id.clone() },
            key: draft_line.key,
        };
        draft.change(changed);
    }
    draft.seen.extend(shown.iter().filter(|id| !draft.seen.contains(id)).cloned().collect::<Vec<_>>());
    open
}
