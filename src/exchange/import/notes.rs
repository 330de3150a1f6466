//! Cells into which several things were merged: `bust 34 in; Cond: fair; given by an aunt`.

use super::headings;
use super::target::Target;
use crate::measure::Dimensions;
use crate::vocabulary::Vocabulary;

/// A part of a cell that says what it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// What it is taken for.
    pub target: Target,
    /// Fields that go with it.
    pub with: Vec<(String, String)>,
    /// The unit that its label states.
    pub unit: Option<String>,
    /// Its words, without the label.
    pub text: String,
}

/// So many parts of one cell are looked at.
const MOST: usize = 40;

/// The parts of a cell that say what they are: by a label that is a usual heading, or by a measure with its dimension.
pub fn parts(text: &str, vocabulary: &Vocabulary) -> Vec<Part> {
    let mut found = Vec::new();
    for piece in text.split(['\n', ';', '|']).flat_map(sentences).map(str::trim).filter(|p| !p.is_empty()).take(MOST) {
        if let Some(part) = labelled(piece, vocabulary).or_else(|| measured(piece, vocabulary)) {
            found.push(part);
        }
    }
    found
}

/// Sentences end at a full stop before a capital; `c. 1880` and `27 in. long` go on.
fn sentences(text: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let mut begin = 0;
    for (at, _) in text.match_indices(". ") {
        let (before, after) = (&text[begin..at], &text[at + 2..]);
        let word = before.rsplit(' ').next().unwrap_or(before);
        if (word.chars().count() > 3 || matches!(word, "cm" | "mm")) && after.starts_with(char::is_uppercase) {
            out.push(&text[begin..at]);
            begin = at + 2;
        }
    }
    out.push(&text[begin..]);
    out
}

fn labelled(text: &str, vocabulary: &Vocabulary) -> Option<Part> {
    let (label, rest) = text.split_once([':', '='])?;
    if label.trim().is_empty() || label.split_whitespace().count() > 4 || rest.trim().is_empty() {
        return None;
    }
    let known = headings::known(label, vocabulary)?;
    // A number in a note is another number; notes within notes are notes.
    let told = known.target.is("piece.number")
        || matches!(known.target, Target::Mixed | Target::Note | Target::Nothing | Target::Photographs | Target::Worth);
    (!told).then(|| Part { target: known.target, with: known.with, unit: known.unit, text: rest.trim().to_owned() })
}

/// A part that is nothing but a dimension and its figures.
fn measured(text: &str, vocabulary: &Vocabulary) -> Option<Part> {
    if text.len() > 60 || !text.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let found = Dimensions::read(text);
    let all = !found.measures.is_empty()
        && found.others.is_empty()
        && found.measures.iter().all(|m| !m.label.is_empty() && headings::dimension(&m.label, vocabulary).is_some());
    all.then(|| Part { target: Target::Dimensions, with: Vec::new(), unit: None, text: text.to_owned() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_says_what_it_is_is_found_and_the_rest_left_alone() {
        let rows = [
            ("bust 34 in; Cond: fair; given by an aunt", "dimensions=bust 34 in, condition=fair"),
            ("Location: box 4\nDonor: W. Askerdale", "move.to=box 4, person.person=W. Askerdale"),
            ("Made c. 1880. Waist 61 cm. Much worn.", "dimensions=Waist 61 cm"),
            ("No: see 12. Remember: ask again", ""),
            ("3 buttons, 2 hooks", ""),
        ];
        for (text, wanted) in rows {
            let found = parts(text, Vocabulary::shipped());
            let told: Vec<String> = found.iter().map(|p| format!("{}={}", p.target.word(), p.text)).collect();
            assert_eq!(told.join(", "), wanted, "{text}");
        }
    }
}
