//! The state of a piece in the words of an old list: a grade, damages, and what else was written.

use super::headings;
use crate::record::Observed;
use crate::record::condition::{Condition, Overall};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// What was found in a cell.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    /// The whole, in the words of the list; the grade where one is named.
    pub overall: Observed<Overall>,
    /// Damages that are named and nothing else.
    pub conditions: Vec<Observed<Condition>>,
    /// What was read, in words.
    pub read: Vec<String>,
}

/// Reads a cell. A damage counts only where its phrase is a damage, with a severity or a hedge beside it at most: `no
/// tears` and `tear mended` stay words.
pub fn read(text: &str, vocabulary: &Vocabulary) -> State {
    let text = super::fill::clean(text);
    let mut found = State::default();
    let mut grade = None;
    for phrase in text.split([';', ',', '\n', '.']).map(str::trim).filter(|p| !p.is_empty()) {
        let hedged = phrase.ends_with('?');
        let bare = phrase.trim_end_matches('?').trim().trim_end_matches(" condition");
        if let Some(term) = headings::grade(bare, vocabulary) {
            if grade.is_none() {
                found.read.push(format!("grade {}", term.name()));
                grade = Some(term.id.clone());
            }
            continue;
        }
        let (severity, rest) = match bare.split_once(' ') {
            Some((first, rest)) => match vocabulary.known(Scheme::Severity, first) {
                Some(term) => (Some(term.id.clone()), rest.trim()),
                None => (None, bare),
            },
            None => (None, bare),
        };
        let singular = rest.strip_suffix('s').filter(|s| s.len() > 3);
        let damage = vocabulary.known(Scheme::Damage, rest).or_else(|| vocabulary.known(Scheme::Damage, singular?));
        if let Some(damage) = damage {
            found.read.push(damage.name().to_owned());
            found.conditions.push(Observed {
                what: Condition { damage: Some(damage.id.clone()), severity, ..Condition::default() },
                certainty: hedged.then(|| TermId::new(Scheme::Certainty, "possible")),
                note: Some(phrase.to_owned()),
                ..Observed::default()
            });
        }
    }
    found.overall.what.grade = Some(grade.unwrap_or_else(|| TermId::new(Scheme::Grade, "not graded")));
    found.overall.what.statement = Some(text);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_and_plain_damages_are_read_and_the_rest_stays_words() {
        let rows = [
            ("Good", "good", ""),
            ("fair condition; moth holes, slight fading", "fair", "insect damage, fading slight"),
            ("no tears, not faded", "not graded", ""),
            ("tear mended; stain?", "not graded", "staining possible"),
        ];
        for (text, grade, damages) in rows {
            let found = read(text, Vocabulary::shipped());
            let one = |c: &Observed<Condition>| {
                let name = |t: &Option<TermId>| t.as_ref().map(|t| format!(" {}", t.name())).unwrap_or_default();
                format!("{}{}{}", name(&c.what.damage).trim(), name(&c.what.severity), name(&c.certainty))
            };
            let told = found.conditions.iter().map(one).collect::<Vec<_>>().join(", ");
            let graded = found.overall.what.grade.as_ref().map_or("", TermId::name);
            assert_eq!((graded, told.as_str()), (grade, damages), "{text}");
            assert_eq!(found.overall.what.statement.as_deref(), Some(text));
        }
    }
}
