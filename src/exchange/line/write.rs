//! A record written as a line, so that the line reads back as the same record.

use super::slots::{Section, Slot, Takes, Written};
use super::{Words, read};
use crate::exchange::sheet::quoted;

/// Writes a record as a line. Names of fields are left out where the words alone tell.
pub fn text(section: &'static Section, written: &[Written], words: &Words<'_>) -> String {
    let parts: Vec<(String, String)> = section.slots.iter().flat_map(|slot| of(slot, written)).collect();
    let join = |bare: &[bool]| {
        let part = |((name, value), bare): (&(String, String), &bool)| {
            if *bare { value.clone() } else { format!("{name}: {value}") }
        };
        let body = parts.iter().zip(bare).map(part).collect::<Vec<_>>().join("; ");
        format!("{}: {body}", section.label())
    };
    let same = |line: &str| {
        let read = read(line, None, words);
        read.unplaced().next().is_none()
            && read.section.is_some_and(|s| s.name == section.name)
            && read.written() == written
    };
    let mut bare = vec![false; parts.len()];
    // A word is set bare one at a time, and only where the line still reads as it did.
    for i in 0..parts.len().min(40) {
        bare[i] = true;
        bare[i] = same(&join(&bare));
    }
    let whole = join(&bare);
    let unheaded = whole.split_once(": ").map_or("", |(_, rest)| rest).to_owned();
    if !unheaded.is_empty() && section.observed && section.several && same(&unheaded) { unheaded } else { whole }
}

/// The same line with other words in one field: what someone filled in beside it.
pub fn with(
    line: &str,
    field: &str,
    texts: &[String],
    row: Option<usize>,
    inner: Option<&str>,
    words: &Words<'_>,
) -> String {
    let read = read(line, None, words);
    let Some(section) = read.section else { return line.to_owned() };
    let Some(slot) = section.slot(field) else { return line.to_owned() };
    let mut written = read.written();
    if !written.iter().any(|w| w.field == slot.field.name) {
        written.push(Written { field: slot.field.name, texts: Vec::new(), rows: Vec::new() });
    }
    let texts: Vec<String> = texts.iter().map(|t| t.trim().to_owned()).filter(|t| !t.is_empty()).collect();
    for entry in written.iter_mut().filter(|w| w.field == slot.field.name) {
        match (&slot.takes, row, inner) {
            (Takes::Records(slots, _), Some(row), Some(inner)) => {
                let Some(inner) = slots.iter().find(|s| s.field.name == inner) else { continue };
                // A row beyond the last is the next one, however far beyond it is said to be.
                if row >= entry.rows.len() {
                    entry.rows.push(Vec::new());
                }
                let row = row.min(entry.rows.len() - 1);
                let cells = &mut entry.rows[row];
                cells.retain(|w| w.field != inner.field.name);
                if !texts.is_empty() {
                    cells.push(Written { field: inner.field.name, texts: texts.clone(), rows: Vec::new() });
                }
                cells.sort_by_key(|w| slots.iter().position(|s| s.field.name == w.field));
            }
            _ => entry.texts.clone_from(&texts),
        }
        entry.rows.retain(|row| !row.is_empty());
    }
    written.retain(|w| !w.texts.is_empty() || !w.rows.is_empty());
    written.sort_by_key(|w| section.slots.iter().position(|s| s.field.name == w.field));
    let mut out = text(section, &written, words);
    // What is still to be placed is carried along.
    for part in read.unplaced() {
        out.push_str("; ");
        out.push_str(&part.text);
    }
    out
}

/// The parts of one field: its name and value, each of several for itself.
fn of(slot: &Slot, written: &[Written]) -> Vec<(String, String)> {
    let Some(found) = written.iter().find(|w| w.field == slot.field.name) else { return Vec::new() };
    let label = slot.label();
    let mut parts: Vec<_> = found.texts.iter().map(|t| (label.clone(), value(t))).collect();
    for row in &found.rows {
        let cell = |w: &Written| {
            let text = value(&w.texts.join(" "));
            format!("{}: {}", w.field.replace('_', " "), if text.contains(" / ") { quoted(&text) } else { text })
        };
        parts.push((label.clone(), row.iter().map(cell).collect::<Vec<_>>().join(" / ")));
    }
    parts
}

/// A value as it can stand in a line: in quotes where a sign in it would cut it.
fn value(text: &str) -> String {
    let plain = text.trim() == text
        && !text.contains([';', ':', '"', '\\', '(', ')'])
        && !text.chars().any(char::is_control)
        && !text.contains(" / ")
        && super::parts::parts(text).len() == 1;
    if plain { text.to_owned() } else { quoted(text) }
}

/// What the parts of a line write; for tests of this room.
#[cfg(test)]
pub(super) fn written_of(line: &str, words: &Words<'_>) -> Vec<Written> {
    let read = read(line, None, words);
    read.section.map(|s| super::place::written(s, &read.parts)).unwrap_or_default()
}
