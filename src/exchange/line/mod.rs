//! One observation on one line, as one writes it on paper, read into the fields of the record.
//!
//! `centre back length 15 1/4 in; 15 3/8 in`, `tear, back, 12 mm, slight, inactive`, `stitch: side seam backstitch 9 per
//! inch`. Parts are set off by `,` or `;`. A part may name its field (`note: seen by raking light`); any other words go to
//! the one field that can take them: a term to the field of its list, a length to a field of lengths, the name of a
//! component to `component`. The heading of the sheet may stand first (`condition: tear ...`); without one, the section
//! is the one that understands most. What finds no field stays as words to be placed, and is never dropped.
//!
//! Fields and their help come from the one list of the record ([`crate::record::form`]); what each may hold is decided by
//! the vocabulary and by [`crate::measure`]; whether the line as a whole can be right is said by [`super::sheet`], into
//! which `sheet` writes it.

mod complete;
mod echo;
mod parts;
mod place;
mod sheet;
mod slots;
#[cfg(test)]
mod tests;
mod write;

use std::ops::Range;

pub use complete::{Completion, complete};
pub use echo::{Echo, Wanted, understood};
pub use sheet::{Bound, Sheet};
pub use slots::{Section, Slot, Takes, Written, sections, written};
pub use write::{text, with};

use crate::vocabulary::Vocabulary;

/// A line is never longer, in bytes: what is beyond is kept, and stays to be placed.
pub const LONGEST: usize = 8000;

/// What words of a line may mean beside numbers.
#[derive(Debug, Clone, Copy)]
pub struct Words<'a> {
    /// The terms.
    pub vocabulary: &'a Vocabulary,
    /// The components of the piece.
    pub components: &'a [String],
}

/// Some words of a line, and where they belong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Where they stand in the line, in bytes.
    pub at: Range<usize>,
    /// The words, without quotes.
    pub text: String,
    /// Their field, if they found one.
    pub place: Option<Place>,
    /// A field that was named and given nothing.
    pub label: Option<&'static str>,
}

/// A field of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The field of the record.
    pub field: &'static str,
    /// Which of the records in that field, from 0.
    pub row: Option<usize>,
    /// The field of that record.
    pub inner: Option<&'static str>,
    /// No term, quantity or label says so: the words are only set there because they must mean something.
    pub guessed: bool,
}

/// A line as read.
#[derive(Debug, Clone)]
pub struct Line {
    /// What kind of observation it is; none if nothing in it tells.
    pub section: Option<&'static Section>,
    /// Whether the line names its section itself.
    pub headed: bool,
    /// Other sections that could be meant, the likeliest first.
    pub also: Vec<&'static str>,
    /// Its words, in order.
    pub parts: Vec<Part>,
}

impl Line {
    /// What it writes into the fields of its section.
    pub fn written(&self) -> Vec<Written> {
        self.section.map(|section| place::written(section, &self.parts)).unwrap_or_default()
    }

    /// The words that found no field.
    pub fn unplaced(&self) -> impl Iterator<Item = &Part> {
        self.parts.iter().filter(|p| p.place.is_none() && p.label.is_none() && !p.joins())
    }
}

/// Other words for the headings, as they are said at the table.
const ALSO: [(&str, &str); 14] = [
    ("measure", "measurement"),
    ("dimension", "measurement"),
    ("cloth", "textile"),
    ("fabric", "textile"),
    ("stitch", "stitching"),
    ("seam", "stitching"),
    ("damage", "condition"),
    ("wear", "sign"),
    ("alteration", "sign"),
    ("bone", "stiffening"),
    ("trim", "trimming"),
    ("part", "component"),
    ("grade", "overall"),
    ("treat", "treatment"),
];

/// Reads a line. With `section`, it is known what kind of line it is, and no heading is looked for.
pub fn read(text: &str, section: Option<&'static Section>, words: &Words<'_>) -> Line {
    let mut limit = text.len().min(LONGEST);
    while !text.is_char_boundary(limit) {
        limit -= 1;
    }
    let mut line = read_within(&text[..limit], section, words);
    if limit < text.len() {
        let (at, text) = (limit..text.len(), text[limit..].to_owned());
        line.parts.push(Part { at, text, place: None, label: None });
    }
    line
}

fn read_within(text: &str, section: Option<&'static Section>, words: &Words<'_>) -> Line {
    let known = |section: &'static Section, from: usize, headed: bool| Line {
        section: Some(section),
        headed,
        also: Vec::new(),
        parts: place::place(text, from, section, words),
    };
    if let Some(section) = section {
        return known(section, 0, false);
    }
    if let Some((section, from)) = heading(text) {
        return known(section, from, true);
    }
    let mut best: Vec<(Score, &'static Section, Vec<Part>)> = Vec::new();
    for section in sections().iter().filter(|s| s.observed && s.several) {
        let parts = place::place(text, 0, section, words);
        if let Some(score) = Score::of(section, &parts) {
            best.push((score, section, parts));
        }
    }
    // The sort is stable: of sections that understand as much, the first of the sheet comes first.
    best.sort_by(|a, b| b.0.cmp(&a.0));
    let also = best.iter().skip(1).take(MOST_OTHERS).map(|(_, s, _)| s.name).collect();
    match best.into_iter().next() {
        Some((_, section, parts)) => Line { section: Some(section), headed: false, also, parts },
        None => {
            let whole = parts::trimmed(text, 0..text.len());
            let all = (!whole.is_empty()).then(|| Part {
                text: text[whole.clone()].into(),
                at: whole,
                place: None,
                label: None,
            });
            Line { section: None, headed: false, also: Vec::new(), parts: all.into_iter().collect() }
        }
    }
}

/// The heading at the beginning of a line, and where what follows it begins.
pub fn heading(text: &str) -> Option<(&'static Section, usize)> {
    let colon = text.find(':')?;
    let name = text[..colon].trim().to_lowercase().replace([' ', '-'], "_");
    let also = ALSO.iter().find(|(word, _)| *word == name).map(|(_, name)| *name);
    Some((Section::named(also.unwrap_or(&name))?, colon + 1))
}

/// So many other sections are offered.
const MOST_OTHERS: usize = 3;

/// A line begins with what it is about, but for the component; where it does not, that weighs as so many words left.
const NOT_FIRST: usize = 2;

/// How much a section understands of a line: the words it leaves, as few as may be; then the fields it fills.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Score(std::cmp::Reverse<usize>, usize);

impl Score {
    /// None if the line does not say what the section is about: its first needed term.
    fn of(section: &Section, parts: &[Part]) -> Option<Self> {
        let placed = |p: &&Part| p.place.as_ref().is_some_and(|q| !q.guessed);
        let key = section.slots.iter().find(|s| s.field.needed && matches!(s.takes, Takes::Term(..)))?;
        let said = |p: &Part| p.place.as_ref().is_some_and(|q| q.field == key.field.name && !q.guessed);
        if !parts.iter().any(&said) {
            return None;
        }
        let count = |p: &Part| p.text.split_whitespace().count();
        let is_component = |p: &Part| p.place.as_ref().is_some_and(|q| q.field == "component");
        let first = parts.iter().find(|p| !is_component(p)).is_some_and(said);
        let left: usize = parts.iter().filter(|p| !placed(p) && !p.joins()).map(count).sum();
        let left = if first { left } else { left + NOT_FIRST };
        Some(Self(std::cmp::Reverse(left), parts.iter().filter(placed).count()))
    }
}
