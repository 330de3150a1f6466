//! The fields of a row: a field is its columns, as written and as worked out, which go back together or not at all.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::catalogue::change::Row;
use crate::catalogue::flat::field_of;

/// The columns of a field in three states.
#[derive(Debug, Default)]
pub(in crate::catalogue) struct Columns<'r>(Vec<(&'r str, Option<&'r Value>, Option<&'r Value>, Option<&'r Value>)>);

impl Columns<'_> {
    /// Whether it says by now what it said before.
    pub fn says_so_already(&self) -> bool {
        self.0.iter().all(|(_, was, _, now)| was == now)
    }

    /// Whether it says by now something else than it was changed to.
    pub fn changed_since(&self) -> bool {
        self.0.iter().any(|(_, _, became, now)| became != now)
    }

    /// What it said before; a blank as null.
    pub fn was(&self) -> impl Iterator<Item = (String, Value)> {
        self.0.iter().map(|(name, was, ..)| ((*name).to_owned(), was.cloned().unwrap_or_default()))
    }
}

/// The fields of a row before a change, after it, and now.
pub(in crate::catalogue) struct Stems<'r>(BTreeMap<&'r str, Columns<'r>>);

impl<'r> Stems<'r> {
    pub fn of(before: &'r Row, after: &'r Row, now: &'r Row) -> Self {
        let mut stems: BTreeMap<&str, Columns<'_>> = BTreeMap::new();
        let has = |name: &str| [before, after, now].iter().any(|row| row.contains_key(name));
        for name in [before, after, now].into_iter().flat_map(Row::keys).map(String::as_str) {
            let columns = &mut stems.entry(field_of(name, has)).or_default().0;
            if !columns.iter().any(|(known, ..)| *known == name) {
                columns.push((name, before.get(name), after.get(name), now.get(name)));
            }
        }
        Self(stems)
    }

    /// The fields that the change touched.
    pub fn changed(&self) -> impl Iterator<Item = (&'r str, &Columns<'r>)> {
        let touched = |columns: &Columns<'_>| columns.0.iter().any(|(_, was, became, _)| was != became);
        self.0.iter().filter(move |(_, columns)| touched(columns)).map(|(stem, columns)| (*stem, columns))
    }
}

/// Whether two states of a row are the same; its number is not one of its fields.
pub(super) fn are_same(one: &Row, other: &Row) -> bool {
    let fields = |row: &Row| row.len() - usize::from(row.contains_key("id"));
    fields(one) == fields(other) && one.iter().all(|(name, value)| name == "id" || other.get(name) == Some(value))
}
