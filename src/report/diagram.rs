//! The piece in outline, with each condition note marked where it lies: letter and hatch, front and back.

mod figures;
mod place;
mod spread;

use serde::Serialize;

use self::figures::{Spot, View};
use self::place::Found;
use self::spread::{RADIUS, REACH, apart};
use super::damage::Component;
use super::letters::{Letters, standing};
use super::words::{capital, joined, place as component, term, text};
use crate::record::Observed;
use crate::record::PieceFile;
use crate::record::condition::Condition;
use crate::vocabulary::Vocabulary;

/// The figure and the notes on it, and beside it.
#[derive(Debug, Default, Serialize)]
pub(super) struct Diagram {
    /// What the figure shows; blank if there is none for this garment.
    pub figure: String,
    /// Why there is none.
    pub without: &'static str,
    pub views: Vec<Drawn>,
    /// The kinds of damage marked, each with its hatch.
    pub kinds: Vec<Kind>,
    /// Every note, in the order of the letters.
    pub notes: Vec<Line>,
}

/// One view.
#[derive(Debug, Serialize)]
pub(super) struct Drawn {
    pub name: String,
    pub view_box: String,
    pub half: String,
    pub half_seam: String,
    pub whole: String,
    pub whole_seam: String,
    pub marks: Vec<Mark>,
    /// The words at the left and the right edge: which hand of the wearer that is.
    pub hands: [&'static str; 2],
    pub hand_x: String,
    pub hand_y: String,
    /// What the drawing shows, in words.
    pub words: String,
}

/// One note on a view.
#[derive(Debug, Serialize)]
pub(super) struct Mark {
    pub letter: String,
    pub hatch: usize,
    pub x: String,
    pub y: String,
    /// The place meant, where the mark had to stand beside it; else blank.
    pub lead: String,
    /// Size of the letter.
    pub size: &'static str,
}

/// A kind of damage and its hatch.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(super) struct Kind {
    pub hatch: usize,
    pub words: String,
}

/// One note in the legend.
#[derive(Debug, Serialize)]
pub(super) struct Line {
    pub letter: String,
    pub words: String,
    /// The view on which it is marked, or why on none.
    pub at: String,
    /// Whether it is marked.
    pub marked: bool,
    /// Numbers of the photographs that show it.
    pub figures: Vec<usize>,
}

/// The kinds of damage of the vocabulary, in the order of their hatches, which the template draws; the last stands for
/// every other.
pub(super) const KINDS: [&str; 10] = [
    "structural",
    "surface",
    "colour",
    "biological",
    "chemical",
    "deposit",
    "loss of parts",
    "planar distortion",
    "old repair",
    "kind not recorded",
];

/// The diagram of the notes of the examination at `at`; `components` are the same notes as the report prints them.
pub(super) fn diagram(
    file: &PieceFile,
    at: usize,
    letters: &Letters,
    components: &[Component],
    vocabulary: &Vocabulary,
) -> Diagram {
    let Some(exam) = file.examinations.get(at) else { return Diagram::default() };
    let notes: Vec<&Observed<Condition>> = standing(exam).collect();
    let Some(figure) = figures::of_garment(file.piece.garment.as_ref(), vocabulary) else {
        let without = if file.piece.garment.is_none() {
            "The kind of garment is not recorded, so that no figure could be chosen."
        } else {
            "There is no figure of this garment."
        };
        return Diagram { without, ..Diagram::default() };
    };
    let found: Vec<Result<Found, &str>> = notes
        .iter()
        .map(|n| {
            let words = text(n.what.place.as_ref());
            place::find(figure, file, &text(n.component.as_ref()), &words, vocabulary)
        })
        .collect();
    let mut middles: Vec<Option<Spot>> = vec![None; notes.len()];
    for (v, view) in figure.views.iter().enumerate() {
        let here: Vec<usize> = (0..notes.len()).filter(|i| found[*i].is_ok_and(|f| f.view == v)).collect();
        let anchors: Vec<Spot> = here.iter().filter_map(|i| found[*i].ok()).map(|f| f.at).collect();
        for (i, middle) in here.into_iter().zip(apart(&anchors, view.high)) {
            middles[i] = middle;
        }
    }
    let hatches: Vec<usize> = notes.iter().map(|n| hatch(n, vocabulary)).collect();
    let lines: Vec<Line> = notes
        .iter()
        .enumerate()
        .map(|(i, n)| {
            let letter = letters.nth(i).to_owned();
            let at = match (found[i], middles[i]) {
                (Ok(f), Some(_)) => figure.views[f.view].name.clone(),
                (Ok(_), None) => "not marked: no room left on the figure".to_owned(),
                (Err(why), _) => format!("not marked: {why}"),
            };
            let shown = components.iter().flat_map(|c| &c.notes).find(|l| l.letter == letter);
            Line {
                words: named(n),
                at,
                marked: middles[i].is_some(),
                figures: shown.map(|l| l.figures.clone()).unwrap_or_default(),
                letter,
            }
        })
        .collect();
    let views = figure.views.iter().enumerate().map(|(v, view)| {
        let here = (0..notes.len()).filter_map(|i| {
            let (anchor, middle) = (found[i].ok().filter(|f| f.view == v)?.at, middles[i]?);
            Some(mark(&lines[i].letter, hatches[i], anchor, middle))
        });
        let marks: Vec<Mark> = here.collect();
        let said = lines.iter().filter(|l| marks.iter().any(|m| m.letter == l.letter));
        let said = joined(said.map(|l| format!("{} {}", l.letter, l.words)), "; ");
        drawn(view, marks, &said)
    });
    let views = views.collect();
    let mut kinds: Vec<usize> = (0..notes.len()).filter(|i| lines[*i].marked).map(|i| hatches[i]).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let mut lines = lines;
    lines.sort_by(|a, b| (a.letter.len(), &a.letter).cmp(&(b.letter.len(), &b.letter)));
    Diagram {
        figure: figure.name.clone(),
        without: "",
        views,
        kinds: kinds.into_iter().map(|hatch| Kind { hatch, words: KINDS[hatch].to_owned() }).collect(),
        notes: lines,
    }
}

fn drawn(view: &View, marks: Vec<Mark>, said: &str) -> Drawn {
    let said = if said.is_empty() { "nothing is marked".to_owned() } else { format!("marked: {said}") };
    Drawn {
        view_box: format!("{} 0 {} {}", number(-REACH), number(2.0 * REACH), number(view.high + 14.0)),
        hands: if view.from_behind { ["left", "right"] } else { ["right", "left"] },
        hand_x: number(REACH - 2.0),
        hand_y: number(view.high + 9.0),
        words: format!("{}; {said}", capital(&view.name)),
        name: view.name.clone(),
        half: view.half.clone(),
        half_seam: view.half_seam.clone(),
        whole: view.whole.clone(),
        whole_seam: view.whole_seam.clone(),
        marks,
    }
}

fn mark(letter: &str, hatch: usize, anchor: Spot, middle: Spot) -> Mark {
    let away = (anchor.0 - middle.0).hypot(anchor.1 - middle.1);
    let lead = if away > RADIUS {
        format!("M{} {}L{} {}", number(middle.0), number(middle.1), number(anchor.0), number(anchor.1))
    } else {
        String::new()
    };
    let size = match letter.len() {
        0 | 1 => "11",
        2 => "9",
        _ => "6.5",
    };
    Mark { letter: letter.to_owned(), hatch, x: number(middle.0), y: number(middle.1), lead, size }
}

/// The hatch of a note, by the kind of its damage.
fn hatch(note: &Observed<Condition>, vocabulary: &Vocabulary) -> usize {
    let kind = note.what.damage.as_ref().and_then(|d| vocabulary.get(d)).and_then(|t| t.kind.as_deref());
    KINDS.iter().position(|k| Some(*k) == kind).unwrap_or(KINDS.len() - 1)
}

fn named(note: &Observed<Condition>) -> String {
    let damage = term(note.what.damage.as_ref());
    let damage = if damage.is_empty() { "damage not named".to_owned() } else { damage };
    joined([damage, component(note)], ", ")
}

fn number(x: f64) -> String {
    let text = format!("{x:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vocabulary::Scheme;

    #[test]
    fn every_kind_of_damage_of_the_vocabulary_has_a_hatch_of_its_own() {
        for damage in Vocabulary::shipped().terms(Scheme::Damage) {
            let kind = damage.kind.as_deref().unwrap_or_default();
            assert!(KINDS.contains(&kind), "{}: `{kind}`", damage.name());
        }
    }
}
