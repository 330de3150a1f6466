//! The order of making: which steps both pieces have, and which of them stand at another place in the order.

use std::collections::HashMap;

use serde::Serialize;

use super::align::{Pair, WHOLE};
use super::features::{Features, Section};
use super::outcome::{Finding, Line, Relation, Side, Written};
use super::value::Provenance;
use crate::record::PieceFile;

/// One step as read from a piece.
#[derive(Debug)]
pub(super) struct Placed<'a> {
    component: &'a str,
    done: &'a str,
    /// The words without articles and punctuation, sorted: what steps are matched by.
    words: Vec<String>,
    place: usize,
    of: usize,
    known: Provenance<'a>,
}

impl<'a> Placed<'a> {
    fn side(&self) -> Side<'a> {
        let as_written = Written::Text(format!("step {} of {}: {}", self.place, self.of, self.done).into());
        Side { as_written, ..self.known.side() }
    }
}

/// One step of making, as both pieces place it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Step {
    /// The component, as the piece that has the step names it; blank where none is named.
    pub component: String,
    /// What was done, in the words of the subject, else of the other.
    pub done: String,
    /// Its place in the subject's order, from 1; none where the subject's order does not have it.
    pub subject: Option<usize>,
    /// Its place in the other's order.
    pub other: Option<usize>,
    /// Whether both have it and it stands at another place among the steps that both have.
    pub moved: bool,
}

/// The steps of the latest examination that reads any, in order: numbered ones by their number, the rest as listed.
pub(super) fn read(file: &PieceFile) -> Vec<Placed<'_>> {
    let Some(exam) =
        file.examinations.iter().rev().find(|e| e.steps.iter().any(|s| s.withdrawn.is_none() && s.what.done.is_some()))
    else {
        return Vec::new();
    };
    let mut steps: Vec<(i64, Placed<'_>)> = Vec::new();
    let mut last = 0;
    for seen in exam.steps.iter().filter(|s| s.withdrawn.is_none()) {
        let Some(done) = &seen.what.done else { continue };
        last = seen.what.order_of_work.unwrap_or(last);
        let placed = Placed {
            component: seen.component.as_deref().unwrap_or_default(),
            done,
            words: words(done),
            place: 0,
            of: 0,
            known: Provenance::of(seen.evidence.as_ref(), seen.certainty.as_ref(), exam.about.date),
        };
        steps.push((last, placed));
    }
    steps.sort_by_key(|(order, _)| *order);
    let of = steps.len();
    steps.into_iter().enumerate().map(|(i, (_, placed))| Placed { place: i + 1, of, ..placed }).collect()
}

fn words(text: &str) -> Vec<String> {
    const IDLE: [&str; 6] = ["the", "a", "an", "of", "and", "then"];
    let mut words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric())
        .map(str::to_lowercase)
        .filter(|w| !w.is_empty() && !IDLE.contains(&w.as_str()))
        .collect();
    words.sort();
    words
}

/// Share of the words of two steps that must be the same for them to be one step in other words.
const LIKE: f64 = 0.6;

/// Which step of ours is which of theirs: those of the same words first, in order; then those of which most words are the
/// same, the likest first, but never a left one with a right one.
fn partners(ours: &[Placed<'_>], theirs: &[Placed<'_>]) -> Vec<Option<usize>> {
    let mut free = vec![true; theirs.len()];
    let mut partners: Vec<Option<usize>> = ours
        .iter()
        .map(|step| {
            let at = (0..theirs.len()).find(|&j| free[j] && theirs[j].words == step.words)?;
            free[at] = false;
            Some(at)
        })
        .collect();
    let mut close: Vec<(f64, usize, usize)> = Vec::new();
    for i in (0..ours.len()).filter(|&i| partners[i].is_none()) {
        for j in (0..theirs.len()).filter(|&j| free[j]) {
            let likeness = likeness(&ours[i].words, &theirs[j].words);
            if likeness >= LIKE {
                close.push((likeness, i, j));
            }
        }
    }
    // Ties are broken alike whichever piece comes first.
    close.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1 + a.2, a.1.abs_diff(a.2)).cmp(&(b.1 + b.2, b.1.abs_diff(b.2)))));
    for (_, i, j) in close {
        if partners[i].is_none() && free[j] {
            partners[i] = Some(j);
            free[j] = false;
        }
    }
    partners
}

/// Words in common by words in all, 0 to 1; none where one names a side and the other does not, or another.
fn likeness(a: &[String], b: &[String]) -> f64 {
    let sides = |words: &[String]| ["left", "right"].map(|side| words.iter().any(|w| w == side));
    if sides(a) != sides(b) {
        return 0.0;
    }
    let common = a.iter().filter(|word| b.contains(word)).count().min(b.iter().filter(|word| a.contains(word)).count());
    common as f64 / (a.len() + b.len() - common).max(1) as f64
}

/// The steps of two pieces: one line each, and the two orders laid beside each other.
pub(super) fn steps<'a>(subject: &Features<'a>, other: &Features<'a>) -> (Vec<Line<'a>>, Vec<Step>) {
    let (ours, theirs) = (&subject.steps, &other.steps);
    if ours.is_empty() && theirs.is_empty() {
        return (Vec::new(), Vec::new());
    }
    let partners = partners(ours, theirs);
    let matched: Vec<(usize, usize)> = partners.iter().enumerate().filter_map(|(i, j)| Some((i, (*j)?))).collect();
    let moved: HashMap<usize, bool> = matched.iter().map(|m| m.0).zip(out_of_order(&matched)).collect();
    let is_moved = |i: usize| moved.get(&i).copied().unwrap_or(false);
    let mut lines: Vec<Line<'a>> = ours
        .iter()
        .zip(&partners)
        .enumerate()
        .map(|(i, (step, partner))| match partner {
            Some(j) => together(step, &theirs[*j], is_moved(i)),
            None => alone(step, true),
        })
        .collect();
    let free: Vec<bool> = (0..theirs.len()).map(|j| !partners.contains(&Some(j))).collect();
    lines.extend((0..theirs.len()).filter(|&j| free[j]).map(|j| alone(&theirs[j], false)));

    let mut order = Vec::with_capacity(lines.len());
    let mut next = 0;
    let only_other = |upto: usize, next: &mut usize, order: &mut Vec<Step>| {
        order.extend((*next..upto).filter(|&j| free[j]).map(|j| theirs[j].step(None, Some(theirs[j].place), false)));
        *next = upto.max(*next);
    };
    for (i, (step, partner)) in ours.iter().zip(&partners).enumerate() {
        if let Some(j) = partner.filter(|_| !is_moved(i)) {
            only_other(j, &mut next, &mut order);
        }
        order.push(step.step(Some(step.place), partner.map(|j| theirs[j].place), is_moved(i)));
    }
    only_other(theirs.len(), &mut next, &mut order);
    (lines, order)
}

impl Placed<'_> {
    fn step(&self, subject: Option<usize>, other: Option<usize>, moved: bool) -> Step {
        Step { component: self.component.into(), done: self.done.into(), subject, other, moved }
    }
}

fn together<'a>(a: &Placed<'a>, b: &Placed<'a>, moved: bool) -> Line<'a> {
    let mut line = Line { subject: a.side(), other: b.side(), ..blank(a.component, a.done, "") };
    place(&mut line, moved);
    if a.words != b.words {
        let other_words = "in other words";
        line.caveat = Some(line.caveat.map_or(other_words.into(), |caveat| format!("{caveat}; {other_words}").into()));
    }
    line
}

fn alone<'a>(step: &Placed<'a>, ours: bool) -> Line<'a> {
    let line = blank(step.component, step.done, "");
    if ours {
        Line { finding: Finding::OnlySubject, subject: step.side(), ..line }
    } else {
        Line { finding: Finding::OnlyOther, other: step.side(), ..line }
    }
}

fn place(line: &mut Line<'_>, moved: bool) {
    let relation = if moved { Relation::Different } else { Relation::Identical };
    line.finding = Finding::Term { relation };
    line.caveat = moved.then_some("at another place in the order".into());
}

fn blank<'a>(component: &'a str, item: &'a str, aspect: &'static str) -> Line<'a> {
    let component = if component.is_empty() { WHOLE } else { component };
    Line {
        component: component.into(),
        place: component,
        item: item.into(),
        aspect,
        subject: Side::not_recorded(),
        other: Side::not_recorded(),
        finding: Finding::OnlySubject,
        unit: "",
        caveat: None,
        departures: Vec::new(),
        section_words: Section::Order.words(),
    }
}

/// The order of work among the lines of stitches that both pieces number.
pub(super) fn stitching<'a>(pairs: &[Pair<'_, 'a>]) -> Vec<Line<'a>> {
    let numbered: Vec<(&Pair<'_, 'a>, i64, i64)> =
        pairs.iter().filter_map(|p| Some((p, p.subject?.order?, p.other?.order?))).collect();
    if numbered.len() < 2 {
        return Vec::new();
    }
    let ranks: Vec<(i64, i64)> = numbered.iter().map(|(_, a, b)| (*a, *b)).collect();
    numbered
        .iter()
        .zip(out_of_order(&ranks))
        .filter_map(|((pair, a, b), moved)| {
            let (x, y) = (pair.subject?, pair.other?);
            let side = |known: Provenance<'a>, order: i64| Side {
                as_written: Written::Text(format!("number {order}").into()),
                ..known.side()
            };
            let mut line = Line {
                component: pair.component.clone(),
                subject: side(x.known(), *a),
                other: side(y.known(), *b),
                ..blank(pair.place, x.name, "order of work")
            };
            place(&mut line, moved);
            Some(line)
        })
        .collect()
}

/// Which members stand at another place: the ones that cross most others are set aside, all of them together, until
/// none cross. Two that changed places are both out of order; the answer does not depend on which piece comes first.
fn out_of_order<T: Ord + Copy>(ranks: &[(T, T)]) -> Vec<bool> {
    let mut moved = vec![false; ranks.len()];
    loop {
        let crossings: Vec<usize> = (0..ranks.len())
            .map(|i| {
                if moved[i] {
                    return 0;
                }
                (0..ranks.len()).filter(|&j| !moved[j] && cross(ranks[i], ranks[j])).count()
            })
            .collect();
        let most = crossings.iter().copied().max().unwrap_or(0);
        if most == 0 {
            return moved;
        }
        for (flag, count) in moved.iter_mut().zip(crossings) {
            *flag |= count == most;
        }
    }
}

fn cross<T: Ord + Copy>(a: (T, T), b: (T, T)) -> bool {
    (a.0 < b.0 && a.1 > b.1) || (a.0 > b.0 && a.1 < b.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_step_that_moved_is_out_of_order() {
        let cases: [(&[usize], &[bool]); 5] = [
            (&[0, 1, 2, 3], &[false, false, false, false]),
            (&[3, 0, 1, 2], &[true, false, false, false]),
            (&[1, 2, 3, 0], &[false, false, false, true]),
            (&[0, 2, 1, 3], &[false, true, true, false]),
            (&[], &[]),
        ];
        for (places, expected) in cases {
            let ranks: Vec<(usize, usize)> = places.iter().copied().enumerate().collect();
            assert_eq!(out_of_order(&ranks), expected, "{places:?}");
        }
    }

    #[test]
    fn steps_match_by_their_words_and_not_by_left_and_right() {
        assert_eq!(words("Sew the side seams, then press."), words("sew side seams press"));
        assert_ne!(words("sew left side seam"), words("sew right side seam"));
    }
}
