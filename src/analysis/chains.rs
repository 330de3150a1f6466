//! The condition notes of a piece and which continues which: one damage, seen again and again.

use std::collections::HashMap;

use super::change::Seen;
use crate::record::condition::Condition;
use crate::record::{Examination, Observed};

/// One note and the earlier one that it continues.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link<'a> {
    /// The place of its examination.
    pub at: usize,
    /// The note.
    pub seen: Seen<'a>,
    /// The place of the note that it continues; always of an earlier examination, so that no circle is possible.
    pub before: Option<usize>,
}

/// Every note of a piece, withdrawn ones too, in the order of the examinations.
#[derive(Debug, Clone, Default)]
pub(super) struct Chains<'a> {
    pub links: Vec<Link<'a>>,
}

impl<'a> Chains<'a> {
    pub fn of(examinations: &'a [Examination]) -> Self {
        let mut links: Vec<Link<'a>> = Vec::new();
        let mut by_id: HashMap<&str, usize> = HashMap::new();
        for (at, exam) in examinations.iter().enumerate() {
            let begin = links.len();
            for note in &exam.conditions {
                let before = match note.what.continues.as_deref() {
                    None => None,
                    // Sheets that were not entered yet say `last`: the latest of this damage on this component.
                    Some("last") => {
                        let mut all = last_alike(examinations[..at].iter(), note).into_iter();
                        let only = all.next().filter(|_| all.next().is_none());
                        only.and_then(|n| links.iter().position(|l| std::ptr::eq(l.seen.note, n)))
                    }
                    Some(id) => by_id.get(id).copied().filter(|i| *i < begin),
                };
                links.push(Link { at, seen: Seen { date: exam.about.date, note }, before });
            }
            for (i, link) in links.iter().enumerate().skip(begin) {
                if let Some(id) = link.seen.note.id.as_deref() {
                    by_id.entry(id).or_insert(i);
                }
            }
        }
        Self { links }
    }

    /// The places of the notes that this one continues, nearest first.
    pub fn back(&self, from: usize) -> impl Iterator<Item = usize> {
        let before = |i: &usize| self.links.get(*i).and_then(|l| l.before);
        std::iter::successors(before(&from), before)
    }

    /// The places of the notes before the examination at `until` that nothing there continues: the last word on each
    /// damage. Withdrawn notes neither speak nor take the word.
    pub fn last_words(&self, until: usize) -> Vec<usize> {
        let speaks = |l: &Link<'_>| l.at < until && l.seen.note.withdrawn.is_none();
        let mut continued = vec![false; self.links.len()];
        for (i, _) in self.links.iter().enumerate().filter(|(_, l)| speaks(l)) {
            // A withdrawn note between two others hands on what it continued.
            for earlier in self.back(i) {
                continued[earlier] = true;
                if self.links[earlier].seen.note.withdrawn.is_none() {
                    break;
                }
            }
        }
        (0..self.links.len()).filter(|i| speaks(&self.links[*i]) && !continued[*i]).collect()
    }
}

/// The last word on each damage: the notes that no later one continues.
pub fn latest_notes(examinations: &[Examination]) -> Vec<&Observed<Condition>> {
    let chains = Chains::of(examinations);
    chains.last_words(examinations.len()).into_iter().map(|i| chains.links[i].seen.note).collect()
}

/// What `last` may mean: the notes alike in the latest of these earlier examinations that has any. Examinations stand in
/// the order of their days and, on one day, of their entry. More than one leave open which is meant.
pub(crate) fn last_alike<'a>(
    earlier: impl DoubleEndedIterator<Item = &'a Examination>,
    note: &Observed<Condition>,
) -> Vec<&'a Observed<Condition>> {
    let of = |e: &'a Examination| -> Vec<_> {
        e.conditions.iter().filter(|n| n.withdrawn.is_none() && alike(n, note)).collect()
    };
    earlier.rev().map(of).find(|found| !found.is_empty()).unwrap_or_default()
}

/// Whether two notes speak of the same damage on the same component.
pub(super) fn alike(a: &Observed<Condition>, b: &Observed<Condition>) -> bool {
    a.component == b.component && a.what.damage == b.what.damage
}
