//! `dimity convert fibre`: what is published of a fibre, each fact with its source and how far that was seen.

use serde_json::json;

use super::Answer;
use crate::measure::Unreadable;
use crate::textile::fibre::{CAUTION, Property, fact};
use crate::vocabulary::{Scheme, Vocabulary};

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let words = Vocabulary::shipped();
    let term = words.find(Scheme::Fibre, line).map_err(|unknown| Unreadable::new(0, unknown.to_string()))?;
    let facts: Vec<_> = Property::ALL.into_iter().filter_map(|p| fact(&term.id, p, words)).collect();
    if facts.is_empty() {
        return Err(Unreadable::new(
            0,
            format!("nothing is tabled of {}; its meaning: {}", term.name(), term.definition),
        ));
    }
    let told = facts.iter().map(|f| {
        let of = if f.fibre == term.name() { String::new() } else { format!(" of {}", f.fibre) };
        format!("{}{of}: {} [{}, {}]", f.property.name(), f.words(), f.source, f.mark.words())
    });
    let caution = if facts.iter().any(|f| f.property.destroys()) { format!(". {CAUTION}") } else { String::new() };
    let text = format!("{}: {}{caution}", term.name(), told.collect::<Vec<_>>().join("; "));
    let table: Vec<_> = facts
        .iter()
        .map(|f| {
            json!({
                "property": f.property.name(), "of": f.fibre, "from": f.range.map(|r| r.0), "to": f.range.map(|r| r.1),
                "unit": f.property.unit(), "words": f.text, "source": f.source, "mark": f.mark.words(),
            })
        })
        .collect();
    Ok(Answer::new(text).with("fibre", term.name()).with("facts", table).with("caution", CAUTION))
}
