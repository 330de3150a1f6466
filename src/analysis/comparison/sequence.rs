//! The order of making: which steps both pieces have, and which of them stand at another place in the order.

use std::collections::HashMap;

use super::align::Pair;
use super::features::Section;
use super::outcome::{Finding, Line, Relation, Side, Standing};
use super::value::{Provenance, weakest};
use crate::record::PieceFile;

/// One step as read from a piece.
struct Placed {
    component: String,
    done: String,
    /// The words without articles and punctuation, sorted: what steps are matched by.
    words: Vec<String>,
    place: usize,
    of: usize,
    known: Provenance,
}

impl Placed {
    fn side(&self) -> Side {
        Side {
            standing: Standing::Recorded,
            as_written: format!("step {} of {}: {}", self.place, self.of, self.done),
            evidence: self.known.evidence.clone(),
            certainty: self.known.certainty.clone(),
            examined: self.known.examined.clone(),
            ..Side::not_recorded()
        }
    }
}

/// The steps of the latest examination that reads any, in order: numbered ones by their number, the rest as listed.
fn read(file: &PieceFile) -> Vec<Placed> {
    let Some(exam) =
        file.examinations.iter().rev().find(|e| e.steps.iter().any(|s| s.withdrawn.is_none() && s.what.done.is_some()))
    else {
        return Vec::new();
    };
    let date = exam.about.date.map(|d| d.to_string()).unwrap_or_default();
    let mut steps: Vec<(i64, Placed)> = Vec::new();
    let mut last = 0;
    for seen in exam.steps.iter().filter(|s| s.withdrawn.is_none()) {
        let Some(done) = &seen.what.done else { continue };
        last = seen.what.order_of_work.unwrap_or(last);
        let placed = Placed {
            component: seen.component.clone().unwrap_or_default(),
            done: done.clone(),
            words: words(done),
            place: 0,
            of: 0,
            known: Provenance::of(seen.evidence.as_ref(), seen.certainty.as_ref(), &date),
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

/// One line a step. Steps are the same when their words are the same.
pub(super) fn steps(subject: &PieceFile, other: &PieceFile) -> Vec<Line> {
    let (ours, theirs) = (read(subject), read(other));
    let mut free: Vec<usize> = (0..theirs.len()).collect();
    let partners: Vec<Option<usize>> = ours
        .iter()
        .map(|step| {
            let at = free.iter().position(|&j| theirs[j].words == step.words)?;
            Some(free.remove(at))
        })
        .collect();
    let matched: Vec<(usize, usize)> = partners.iter().enumerate().filter_map(|(i, j)| Some((i, (*j)?))).collect();
    let moved: HashMap<usize, bool> = matched.iter().map(|m| m.0).zip(out_of_order(&matched)).collect();
    let mut lines: Vec<Line> = ours
        .iter()
        .zip(&partners)
        .enumerate()
        .map(|(i, (step, partner))| match partner {
            Some(j) => together(step, &theirs[*j], moved.get(&i).copied().unwrap_or(false)),
            None => alone(step, true),
        })
        .collect();
    lines.extend(free.into_iter().map(|j| alone(&theirs[j], false)));
    lines
}

fn together(a: &Placed, b: &Placed, moved: bool) -> Line {
    let mut line = blank(&a.component, &a.done, "");
    line.subject = a.side();
    line.other = b.side();
    place(&mut line, moved);
    line.weakest_evidence = weakest((&a.known.evidence, &a.known.certainty), (&b.known.evidence, &b.known.certainty));
    line
}

fn alone(step: &Placed, ours: bool) -> Line {
    let mut line = blank(&step.component, &step.done, "");
    let known = (step.known.evidence.as_str(), step.known.certainty.as_str());
    line.weakest_evidence = weakest(known, known);
    if ours {
        line.finding = Finding::OnlySubject;
        line.subject = step.side();
    } else {
        line.finding = Finding::OnlyOther;
        line.other = step.side();
    }
    line
}

fn place(line: &mut Line, moved: bool) {
    let relation = if moved { Relation::Different } else { Relation::Identical };
    line.finding = Finding::Term { relation };
    line.caveat = moved.then(|| "at another place in the order".to_string());
}

fn blank(component: &str, item: &str, aspect: &str) -> Line {
    Line {
        component: if component.is_empty() { "whole piece".into() } else { component.into() },
        feature: if aspect.is_empty() { item.into() } else { format!("{item}: {aspect}") },
        item: item.into(),
        aspect: aspect.into(),
        subject: Side::not_recorded(),
        other: Side::not_recorded(),
        finding: Finding::OnlySubject,
        unit: String::new(),
        caveat: None,
        departures: Vec::new(),
        weakest_evidence: String::new(),
        section_words: Section::Order.words(),
    }
}

/// The order of work among the lines of stitches that both pieces number.
pub(super) fn stitching(pairs: &[Pair]) -> Vec<Line> {
    let numbered: Vec<(&Pair, i64, i64)> =
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
            let mut line = blank(&pair.component, &x.name, "order of work");
            let side = |item: &super::features::Item, order: i64| Side {
                as_written: format!("number {order}"),
                ..item.aspects.first().map_or_else(
                    || Side { standing: Standing::Recorded, ..Side::not_recorded() },
                    |a| Side { si: String::new(), value: None, u: None, standing: Standing::Recorded, ..a.side() },
                )
            };
            line.subject = side(x, *a);
            line.other = side(y, *b);
            place(&mut line, moved);
            line.weakest_evidence = weakest(
                (&line.subject.evidence, &line.subject.certainty),
                (&line.other.evidence, &line.other.certainty),
            );
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
