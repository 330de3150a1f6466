//! Letters for condition notes, shared by the text of a report and the regions drawn on its photographs.

use std::collections::{HashMap, HashSet};

use crate::record::condition::Condition;
use crate::record::photograph::Photograph;
use crate::record::{Examination, Observed};
use crate::words::letter;

/// Which letter stands for which note.
#[derive(Debug, Default)]
pub(super) struct Letters {
    /// By identifier of the note, and of the earlier notes that it continues.
    by_id: HashMap<String, String>,
    /// In the order of the notes that stand.
    in_order: Vec<String>,
    /// The identifiers of each note and of those that it continues, in the same order.
    chains: Vec<Vec<String>>,
}

impl Letters {
    /// Gives each note that stands in the examination a letter. A letter already drawn beside a region that shows
    /// the note is kept, if no other note has it; the rest take A, B, C … in order.
    pub fn of(examinations: &[Examination], at: usize, photographs: &[Photograph]) -> Self {
        let Some(exam) = examinations.get(at) else { return Self::default() };
        let notes: Vec<_> = standing(exam).collect();
        let chains: Vec<Vec<&str>> = notes.iter().map(|n| chain(examinations, at, n)).collect();
        let mut taken = HashSet::new();
        let mut letters: Vec<Option<String>> = Vec::new();
        for chain in &chains {
            // A region drawn for this very note speaks before one drawn for an earlier note of its chain.
            let drawn = chain.iter().find_map(|id| drawn(photographs, id));
            letters.push(drawn.filter(|l| taken.insert(l.clone())));
        }
        let mut free = (0..).map(letter);
        let in_order: Vec<String> = letters
            .into_iter()
            .map(|l| l.unwrap_or_else(|| free.by_ref().find(|l| taken.insert(l.clone())).unwrap_or_default()))
            .collect();
        let mut by_id = HashMap::new();
        for (chain, letter) in chains.iter().zip(&in_order) {
            for id in chain {
                by_id.entry((*id).to_owned()).or_insert_with(|| letter.clone());
            }
        }
        let chains = chains.iter().map(|chain| chain.iter().map(|id| (*id).to_owned()).collect()).collect();
        Self { by_id, in_order, chains }
    }

    /// The letter of the `n`th standing note.
    pub fn nth(&self, n: usize) -> &str {
        self.in_order.get(n).map_or("", String::as_str)
    }

    /// The identifiers of the `n`th standing note and of those that it continues.
    pub fn ids(&self, n: usize) -> &[String] {
        self.chains.get(n).map_or(&[], Vec::as_slice)
    }

    /// The letter of the note with this identifier, or of the note that continues it.
    pub fn of_note(&self, id: &str) -> Option<&str> {
        self.by_id.get(id).map(String::as_str)
    }

    /// Whether a note has this letter.
    pub fn has(&self, letter: &str) -> bool {
        self.in_order.iter().any(|l| l == letter)
    }
}

/// The notes of an examination that were not withdrawn.
pub(super) fn standing(exam: &Examination) -> impl Iterator<Item = &Observed<Condition>> {
    exam.conditions.iter().filter(|n| n.withdrawn.is_none())
}

/// The identifier of a note and of those that it continues, nearest first.
fn chain<'a>(examinations: &'a [Examination], at: usize, note: &'a Observed<Condition>) -> Vec<&'a str> {
    let earlier = || examinations.iter().take(at).flat_map(|e| &e.conditions);
    let mut ids: Vec<&str> = Vec::new();
    let mut next = Some(note);
    while let Some(note) = next {
        if let Some(id) = note.id.as_deref() {
            if ids.contains(&id) {
                break;
            }
            ids.push(id);
        } else if !ids.is_empty() {
            break;
        }
        let before = note.what.continues.as_deref();
        next = before.and_then(|id| earlier().find(|n| n.id.as_deref() == Some(id)));
    }
    ids
}

/// The capital letters drawn beside the first region that shows the note.
fn drawn(photographs: &[Photograph], id: &str) -> Option<String> {
    let mut regions = photographs.iter().flat_map(|p| &p.regions).filter(|r| r.shows.as_deref() == Some(id));
    let label = regions.find_map(|r| Some(r.label.trim()).filter(|l| !l.is_empty()))?;
    let fits = label.len() <= 2 && label.chars().all(|c| c.is_ascii_uppercase());
    fits.then(|| label.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::photograph::Region;

    fn note(id: &str, continues: Option<&str>) -> Observed<Condition> {
        let what = Condition { continues: continues.map(Into::into), ..Condition::default() };
        Observed { id: Some(id.into()), what, ..Observed::default() }
    }

    fn photograph(regions: &[(&str, &str)]) -> Photograph {
        let region = |(label, shows): &(&str, &str)| Region {
            label: (*label).into(),
            shows: Some((*shows).into()),
            ..Region::default()
        };
        Photograph { regions: regions.iter().map(region).collect(), ..Photograph::default() }
    }

    #[test]
    fn a_note_has_the_letter_drawn_for_it_and_no_two_share_one() {
        let mut exam = Examination {
            conditions: vec![note("a", None), note("b", None), note("c", None), note("d", None)],
            ..Examination::default()
        };
        let cases: &[(&[(&str, &str)], [&str; 4])] = &[
            (&[], ["A", "B", "C", "D"]),
            (&[("B", "a"), ("A", "b")], ["B", "A", "C", "D"]),
            (&[("B", "a"), ("B", "b")], ["B", "A", "C", "D"]),
            (&[("D", "a"), ("", "b"), ("seam", "c"), ("7", "d")], ["D", "A", "B", "C"]),
            (&[("A", "d"), ("Q", "other")], ["B", "C", "D", "A"]),
        ];
        for (regions, wanted) in cases {
            let letters = Letters::of(std::slice::from_ref(&exam), 0, &[photograph(regions)]);
            let found: Vec<_> = ["a", "b", "c", "d"].map(|id| letters.of_note(id).unwrap_or("none")).to_vec();
            assert_eq!(found, wanted, "{regions:?}");
        }
        exam.conditions[0].withdrawn = Some("twice".into());
        let letters = Letters::of(&[exam], 0, &[]);
        assert_eq!((letters.of_note("a"), letters.of_note("b")), (None, Some("A")));
    }

    #[test]
    fn a_region_drawn_for_an_earlier_note_shows_the_note_that_continues_it() {
        let exams = [
            Examination { conditions: vec![note("a", None)], ..Examination::default() },
            Examination { conditions: vec![note("b", Some("a")), note("c", None)], ..Examination::default() },
        ];
        let letters = Letters::of(&exams, 1, &[photograph(&[("C", "a")])]);
        assert_eq!(
            (letters.of_note("a"), letters.of_note("b"), letters.of_note("c")),
            (Some("C"), Some("C"), Some("A"))
        );
    }
}
