//! Lines written into an examination sheet, with the way back from a place in the sheet to the line it came from.

use super::slots::{Section, Takes, Written};
use crate::exchange::sheet::quoted;

/// Where a line of the sheet comes from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Bound {
    /// The line that was written; none for what the sheet itself needs.
    pub key: Option<u64>,
    /// The field.
    pub field: Option<&'static str>,
}

/// A sheet that grows line by line.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    text: String,
    bounds: Vec<Bound>,
}

impl Sheet {
    /// A sheet with a reason for what it corrects, if there is one.
    pub fn new(reason: Option<&str>) -> Self {
        let mut sheet = Self::default();
        if let Some(reason) = reason.filter(|r| !r.trim().is_empty()) {
            sheet.put(Bound::default(), &format!("reason = {}", quoted(reason.trim())));
        }
        sheet
    }

    /// The sheet as text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Where a line of the sheet, from 1, comes from.
    pub fn bound(&self, line: usize) -> Bound {
        self.bounds.get(line.wrapping_sub(1)).cloned().unwrap_or_default()
    }

    /// Adds a record; `id` is that of the record which it corrects.
    pub fn add(&mut self, key: u64, section: &'static Section, id: Option<&str>, written: &[Written]) {
        let heading = if section.several { format!("[[{}]]", section.name) } else { format!("[{}]", section.name) };
        self.put(Bound { key: Some(key), field: None }, &heading);
        if let Some(id) = id {
            self.put(Bound { key: Some(key), field: None }, &format!("id = {}", quoted(id)));
        }
        for entry in written {
            let Some(slot) = section.slot(entry.field) else { continue };
            let line = format!("{} = {}", entry.field, value(&slot.takes, entry));
            self.put(Bound { key: Some(key), field: Some(slot.field.name) }, &line);
        }
    }

    fn put(&mut self, bound: Bound, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
        self.bounds.push(bound);
    }
}

fn value(takes: &Takes, written: &Written) -> String {
    let list = |texts: Vec<String>| format!("[{}]", texts.join(", "));
    match takes {
        Takes::Records(slots, several) => {
            let cell = |w: &Written| {
                let takes = slots.iter().find(|s| s.field.name == w.field).map_or(&Takes::Integer, |s| &s.takes);
                format!("{} = {}", w.field, value(takes, w))
            };
            let row = |row: &Vec<Written>| format!("{{ {} }}", row.iter().map(cell).collect::<Vec<_>>().join(", "));
            let rows: Vec<String> = written.rows.iter().map(row).collect();
            if *several { list(rows) } else { rows.into_iter().next().unwrap_or_else(|| "{}".into()) }
        }
        Takes::Text(true) | Takes::Term(_, true) | Takes::Quantity(_, true) => {
            list(written.texts.iter().map(|t| quoted(t)).collect())
        }
        // What was written twice is not dropped: the reader of the sheet says what is wrong with it.
        _ => quoted(&written.texts.join("; ")),
    }
}
