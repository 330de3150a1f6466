//! How one term, or one list of terms, stands to another in the vocabulary's tree.

use super::outcome::Relation;
use crate::vocabulary::{Relation as Wider, TermId, Vocabulary};

/// How `a` stands to `b`.
pub(super) fn relate(a: &TermId, b: &TermId, vocabulary: &Vocabulary) -> Relation {
    match vocabulary.relation(a, b) {
        Wider::Same => Relation::Identical,
        Wider::Broader => Relation::Broader,
        Wider::Narrower => Relation::Narrower,
        Wider::Related { common } => Relation::Related { common: common.name().into() },
        Wider::Different => Relation::Different,
    }
}

/// How two lists stand to each other, whatever their order: the same terms are set against each other first, then
/// broader and narrower ones. A term left over without a partner makes the lists different.
pub(super) fn relate_lists(a: &[&TermId], b: &[&TermId], vocabulary: &Vocabulary) -> Relation {
    if let ([x], [y]) = (a, b) {
        return relate(x, y, vocabulary);
    }
    let mut left = distinct(a);
    let mut right = distinct(b);
    let same: Vec<&TermId> = left.iter().filter(|t| right.contains(t)).copied().collect();
    left.retain(|t| !same.contains(t));
    right.retain(|t| !same.contains(t));
    if let ([x], [y]) = (left.as_slice(), right.as_slice()) {
        return relate(x, y, vocabulary);
    }
    if left.is_empty() && right.is_empty() {
        return Relation::Identical;
    }
    if left.len() != right.len() {
        return Relation::Different;
    }
    let relations: Vec<Vec<Relation>> =
        left.iter().map(|x| right.iter().map(|y| relate(x, y, vocabulary)).collect()).collect();
    if all_paired(&relations, |r| *r == Relation::Broader) {
        Relation::Broader
    } else if all_paired(&relations, |r| *r == Relation::Narrower) {
        Relation::Narrower
    } else if all_paired(&relations, |r| matches!(r, Relation::Broader | Relation::Narrower)) {
        Relation::Mixed
    } else {
        Relation::Different
    }
}

/// Whether every row can have a column of its own among those allowed (matching by augmenting paths). Whether one
/// exists does not depend on which list comes first.
fn all_paired(relations: &[Vec<Relation>], allowed: impl Fn(&Relation) -> bool) -> bool {
    fn place(row: usize, allowed: &[Vec<bool>], tried: &mut [bool], owner: &mut [Option<usize>]) -> bool {
        for column in 0..owner.len() {
            if !allowed[row][column] || std::mem::replace(&mut tried[column], true) {
                continue;
            }
            if owner[column].is_none_or(|other| place(other, allowed, tried, owner)) {
                owner[column] = Some(row);
                return true;
            }
        }
        false
    }
    let allowed: Vec<Vec<bool>> = relations.iter().map(|row| row.iter().map(&allowed).collect()).collect();
    let columns = allowed.first().map_or(0, Vec::len);
    let mut owner = vec![None; columns];
    (0..allowed.len()).all(|row| place(row, &allowed, &mut vec![false; columns], &mut owner))
}

fn distinct<'a>(terms: &[&'a TermId]) -> Vec<&'a TermId> {
    let mut list: Vec<&TermId> = Vec::new();
    for term in terms {
        if !list.contains(term) {
            list.push(term);
        }
    }
    list
}
