//! Which words of a line belong to which field: by label, or because only one field can take them.

use std::ops::Range;

use super::parts;
use super::slots::{Section, Slot, Takes, Written};
use super::{Part, Place, Words};
use crate::measure::Quantity;
use crate::vocabulary::Scheme;

/// A quantity, a term or a label is never longer, in words.
const LONGEST_RUN: usize = 8;

/// Words that only join others; alone between words that were placed they need no field.
const JOINING: [&str; 10] = ["on", "at", "in", "with", "and", "of", "the", "a", "by", "is"];

/// Where words without a label go that no term, quantity or component claims: the field that asks in words for what
/// the line is about.
const IN_WORDS: [(&str, &str); 13] = [
    ("piece", "object_name"),
    ("component", "name"),
    ("person", "person"),
    ("move", "to"),
    ("work", "task"),
    ("departure", "feature"),
    ("textile", "name"),
    ("step", "done"),
    ("sign", "seen"),
    ("condition", "place"),
    ("overall", "statement"),
    ("hazard", "basis"),
    ("examination", "reason"),
];

/// Reads the parts of a line of a known section.
pub(super) fn place(text: &str, from: usize, section: &'static Section, words: &Words<'_>) -> Vec<Part> {
    let all = parts::parts(&text[from..]);
    let all: Vec<Range<usize>> = all.into_iter().map(|r| r.start + from..r.end + from).collect();
    let label = |range: &Range<usize>| parts::label(text, range).and_then(|(name, _)| labelled(&section.slots, name));
    let mut reading = Reading {
        text,
        slots: &section.slots,
        words,
        in_words: in_words(section),
        parts: Vec::new(),
        about: false,
        named: all.iter().filter_map(label).map(|(slot, _)| slot.field.name).collect(),
    };
    all.into_iter().for_each(|range| reading.part(range));
    reading.parts
}

fn in_words(section: &Section) -> Option<&'static str> {
    IN_WORDS.iter().find(|(name, _)| *name == section.name).map(|(_, field)| *field)
}

struct Reading<'a> {
    text: &'a str,
    slots: &'static [Slot],
    words: &'a Words<'a>,
    in_words: Option<&'static str>,
    parts: Vec<Part>,
    /// Whether the part that is read names what the line is about.
    about: bool,
    /// Fields that the line names: they are not guessed at.
    named: Vec<&'static str>,
}

impl Reading<'_> {
    fn part(&mut self, range: Range<usize>) {
        let text = self.text;
        if let Some((name, value)) = parts::label(text, &range)
            && let Some((slot, inner)) = labelled(self.slots, name)
        {
            if value.is_empty() {
                self.parts.push(Part { at: range, text: String::new(), place: None, label: Some(slot.field.name) });
            } else {
                self.value(slot, inner, value);
            }
            return;
        }
        let first = self.parts.len();
        self.about = false;
        let is_needed = |field: &&str| self.slots.iter().any(|s| s.field.name == *field && s.field.needed);
        if let Some(field) = self.in_words.filter(is_needed).filter(|f| self.is_open(f)) {
            // What is asked for in words is not taken apart: `left front` is the name of a component, not a side of one.
            let place = Place { field, row: None, inner: None, guessed: true };
            self.parts.push(Part::of(text, range, Some(place)));
            return;
        }
        self.runs(&range);
        let unplaced = |p: &&Part| p.place.is_none() && !p.joins();
        let left: Vec<Range<usize>> = self.parts[first..].iter().filter(unplaced).map(|p| p.at.clone()).collect();
        let Some(field) = self.in_words.filter(|f| !left.is_empty() && self.is_open(f)) else { return };
        let place = Place { field, row: None, inner: None, guessed: true };
        if !self.about {
            // A part that goes on in words is words as a whole: `back lining basted` is no component.
            self.parts.truncate(first);
            self.parts.push(Part::of(text, range, Some(place)));
        } else if let ([one], Some(part)) =
            (&left[..], self.parts[first..].iter_mut().find(|p| p.place.is_none() && !p.joins()))
        {
            part.at.clone_from(one);
            part.place = Some(place);
        }
    }

    /// The words of a part, run by run, the longest that fits first.
    fn runs(&mut self, range: &Range<usize>) {
        let found = parts::words(self.text, range);
        let mut at = 0;
        while at < found.len() {
            let longest = LONGEST_RUN.min(found.len() - at);
            let placed = (1..=longest).rev().find_map(|n| {
                let run = found[at].start..found[at + n - 1].end;
                self.fitting(&run, &found[at..at + n]).map(|(run, place)| (n, run, place))
            });
            if let Some((n, run, place)) = placed {
                let slot = self.slots.iter().find(|s| s.field.name == place.field);
                self.about |= slot.is_some_and(|s| s.field.needed && matches!(s.takes, Takes::Term(..)));
                self.parts.push(Part::of(self.text, run, Some(place)));
                at += n;
            } else {
                self.unplaced(found[at].clone());
                at += 1;
            }
        }
    }

    /// Words that belong nowhere; those that follow each other stay together.
    fn unplaced(&mut self, word: Range<usize>) {
        match self.parts.last_mut() {
            Some(last)
                if last.place.is_none()
                    && last.label.is_none()
                    && self.text[last.at.end..word.start].trim().is_empty() =>
            {
                *last = Part::of(self.text, last.at.start..word.end, None);
            }
            _ => self.parts.push(Part::of(self.text, word, None)),
        }
    }

    /// The field that takes a run of words, with the place of the words that it takes.
    fn fitting(&self, run: &Range<usize>, words: &[Range<usize>]) -> Option<(Range<usize>, Place)> {
        let whole = &self.text[run.clone()];
        // `allowance 10 mm`: the name of a field, then what fits it.
        for n in (1..words.len()).rev() {
            let name = &self.text[words[0].start..words[n - 1].end];
            if let Some((slot, None)) = labelled(self.slots, name)
                && self.is_open(slot.field.name)
                && fits(&slot.takes, &self.text[words[n].start..run.end], self.words, true)
            {
                return Some((words[n].start..run.end, Place::plain(slot.field.name)));
            }
        }
        let open = self.slots.iter().filter(|slot| self.is_open(slot.field.name));
        for slot in open {
            if fits(&slot.takes, whole, self.words, slot.field.name == "count") {
                return Some((run.clone(), Place::plain(slot.field.name)));
            }
            if let Takes::Records(inner, several) = &slot.takes
                && let Some(place) = self.inside(slot, inner, *several, whole)
            {
                return Some((run.clone(), place));
            }
        }
        None
    }

    /// `silk 60 %`: what a record inside is about begins it; what it has beside goes to the last one begun.
    fn inside(&self, slot: &Slot, inner: &'static [Slot], several: bool, run: &str) -> Option<Place> {
        let rows = self.rows(slot.field.name);
        let place = |row, field| Place { field: slot.field.name, row: Some(row), inner: Some(field), guessed: false };
        let key = inner.iter().find(|s| s.field.needed && matches!(s.takes, Takes::Term(..)))?;
        if (several || rows == 0) && fits(&key.takes, run, self.words, false) {
            return Some(place(rows, key.field.name));
        }
        let last = rows.checked_sub(1)?;
        let taken = |name: &str| {
            self.parts
                .iter()
                .filter_map(|p| p.place.as_ref())
                .any(|p| p.field == slot.field.name && p.row == Some(last) && p.inner == Some(name))
        };
        let fit = inner.iter().find(|s| {
            matches!(s.takes, Takes::Quantity(..)) && !taken(s.field.name) && fits(&s.takes, run, self.words, false)
        })?;
        Some(place(last, fit.field.name))
    }

    fn rows(&self, field: &str) -> usize {
        let of = self.parts.iter().filter_map(|p| p.place.as_ref()).filter(|p| p.field == field);
        of.filter_map(|p| p.row).map(|row| row + 1).max().unwrap_or(0)
    }

    /// Whether a field can take one more.
    fn is_open(&self, field: &str) -> bool {
        let several = self.slots.iter().any(|s| s.field.name == field && s.is_several());
        let record = self.slots.iter().any(|s| s.field.name == field && matches!(s.takes, Takes::Records(..)));
        several
            || record
            || !self.named.contains(&field)
                && !self.parts.iter().filter_map(|p| p.place.as_ref()).any(|p| p.field == field)
    }

    /// A value that stands behind the name of its field.
    fn value(&mut self, slot: &'static Slot, inner: Option<&'static Slot>, value: Range<usize>) {
        let field = slot.field.name;
        let Takes::Records(slots, several) = &slot.takes else {
            self.parts.push(Part::of(self.text, value, Some(Place::plain(field))));
            return;
        };
        let row = if *several && inner.is_none() { self.rows(field) } else { self.rows(field).saturating_sub(1) };
        if let Some(inner) = inner {
            let place = Place { field, row: Some(row), inner: Some(inner.field.name), guessed: false };
            self.parts.push(Part::of(self.text, value, Some(place)));
            return;
        }
        // One after another: `silk / 60 % / loupe`, each by its name or because it fits.
        let mut taken: Vec<&str> = Vec::new();
        for range in parts::inner(&self.text[value.clone()]) {
            let range = range.start + value.start..range.end + value.start;
            let named = parts::label(self.text, &range).and_then(|(name, v)| Some((labelled(slots, name)?.0, v)));
            let (slot, at) = match named {
                Some((slot, at)) => (Some(slot), at),
                None => {
                    let text = &self.text[range.clone()];
                    let open = |s: &&Slot| !taken.contains(&s.field.name);
                    let fit = slots.iter().filter(open).find(|s| fits(&s.takes, text, self.words, true));
                    let first_words = || slots.iter().filter(open).find(|s| matches!(s.takes, Takes::Text(_)));
                    (fit.or_else(first_words), range)
                }
            };
            let place = slot.map(|s| Place { field, row: Some(row), inner: Some(s.field.name), guessed: false });
            taken.extend(slot.map(|s| s.field.name));
            self.parts.push(Part::of(self.text, at, place));
        }
    }
}

/// The field of this name; with a second name, `warp twist`, the field of the record in it.
fn labelled(slots: &'static [Slot], name: &str) -> Option<(&'static Slot, Option<&'static Slot>)> {
    let name = name.trim().to_lowercase().replace(['_', '-'], " ");
    if let Some(slot) = slots.iter().find(|s| s.label() == name || (s.is_several() && s.label() == format!("{name}s")))
    {
        return Some((slot, None));
    }
    slots.iter().find_map(|slot| {
        let Takes::Records(inner, false) = &slot.takes else { return None };
        let rest = name.strip_prefix(&slot.label())?.strip_prefix(' ')?;
        inner.iter().find(|s| s.label() == rest).map(|inner| (slot, Some(inner)))
    })
}

/// Whether only a field of this kind would be written so. A bare number fits a count alone, or a field that was named.
fn fits(takes: &Takes, run: &str, words: &Words<'_>, named: bool) -> bool {
    match takes {
        Takes::Term(scheme, _) => is_term(*scheme, run, words),
        Takes::Choice(list) => list.iter().any(|word| word.eq_ignore_ascii_case(run)),
        Takes::Component => words.components.iter().any(|name| name.to_lowercase() == run.to_lowercase()),
        Takes::Quantity(kind, _) => run.chars().any(char::is_numeric) && Quantity::parse(*kind, run).is_ok(),
        Takes::Integer => named && run.parse::<i64>().is_ok(),
        Takes::Number => named && run.replace(',', ".").parse::<f64>().is_ok(),
        Takes::Day => run.len() == 10 && run.parse::<jiff::civil::Date>().is_ok(),
        Takes::Text(_) | Takes::Dated | Takes::Person | Takes::Piece | Takes::Earlier | Takes::Records(..) => false,
    }
}

fn is_term(scheme: Scheme, run: &str, words: &Words<'_>) -> bool {
    words.vocabulary.known(scheme, run).is_some()
}

/// What the parts write into the fields, in the order of the record.
pub(super) fn written(section: &'static Section, parts: &[Part]) -> Vec<Written> {
    let placed = |field: &'static str| parts.iter().filter(move |p| p.place.as_ref().is_some_and(|q| q.field == field));
    let of = |slot: &'static Slot| {
        let field = slot.field.name;
        let mut written = Written { field, texts: Vec::new(), rows: Vec::new() };
        for part in placed(field) {
            match part.place.as_ref().and_then(|p| p.row.zip(p.inner)) {
                None => written.texts.push(part.text.clone()),
                Some((row, inner)) => {
                    while written.rows.len() <= row {
                        written.rows.push(Vec::new());
                    }
                    let row = &mut written.rows[row];
                    match row.iter_mut().find(|w: &&mut Written| w.field == inner) {
                        Some(same) => same.texts.push(part.text.clone()),
                        None => {
                            row.push(Written { field: inner, texts: vec![part.text.clone()], rows: Vec::new() });
                        }
                    }
                }
            }
        }
        in_order(slot, &mut written.rows);
        written
    };
    let blank = |w: &Written| w.texts.is_empty() && w.rows.is_empty();
    section.slots.iter().map(of).filter(|w| !blank(w)).collect()
}

fn in_order(slot: &Slot, rows: &mut [Vec<Written>]) {
    let Takes::Records(slots, _) = &slot.takes else { return };
    let place = |w: &Written| slots.iter().position(|s| s.field.name == w.field);
    rows.iter_mut().for_each(|row| row.sort_by_key(&place));
}

impl Part {
    fn of(text: &str, at: Range<usize>, place: Option<Place>) -> Self {
        Self { text: parts::meant(&text[at.clone()]), at, place, label: None }
    }

    /// Whether these words only join others.
    pub fn joins(&self) -> bool {
        self.place.is_none()
            && self.label.is_none()
            && self.text.split_whitespace().all(|w| JOINING.contains(&w.to_lowercase().as_str()))
    }
}

impl Place {
    fn plain(field: &'static str) -> Self {
        Self { field, row: None, inner: None, guessed: false }
    }
}
