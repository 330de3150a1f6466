//! Which component of one piece belongs to which of the other: by hand, by name, by what they are, by how many there are.

use std::borrow::Cow;

use serde::Serialize;

use super::align::{Pair, WHOLE};
use super::basis::ByHand;
use super::features::{Features, Item};
use super::names::{alike, normal};
use super::outcome::Line;
use super::read;
use super::value::Judge;
use crate::record::PieceFile;
use crate::record::piece::Component;
use crate::vocabulary::{TermId, Vocabulary};

/// A component of either piece, and its counterpart. A component that is set against several of the other piece stands in
/// several pairings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Pairing<'a> {
    /// As the subject names it.
    pub subject: Option<&'a str>,
    /// As the other names it.
    pub other: Option<&'a str>,
    /// How they were found to belong together; none for a component without a counterpart.
    pub by: Option<PairedBy>,
    /// Where one of the two is recorded once and stands for several alike: as words, `sleeve recorded once for 2`.
    pub once: Option<String>,
}

/// How two components were found to belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PairedBy {
    /// Somebody said so.
    Hand,
    /// Both have the same name.
    Name,
    /// The names differ, but the vocabulary's term and the side are the same, and no other component has them.
    TermAndSide,
    /// One is recorded once with a count (`sleeve`, 2) and stands for those that the other piece lists one by one.
    Count,
}

/// A vocabulary term and a side: what a component is, whatever it is called.
#[derive(PartialEq)]
struct Identity<'a> {
    term: Cow<'a, TermId>,
    side: Option<Cow<'a, str>>,
}

/// Two components that met, by their places in the lists of names.
struct Met {
    places: [usize; 2],
    by: PairedBy,
}

/// Which components of two pieces belong together. Items are gathered by it without comparing names.
pub(super) struct Components<'a> {
    pub(super) pairings: Vec<Pairing<'a>>,
    /// The places of each pairing in the two lists of names.
    places: Vec<[Option<usize>; 2]>,
    /// Whether some component stands in several pairings.
    has_shared: bool,
}

impl<'a> Components<'a> {
    /// Pairs the components that either piece lists or mentions.
    pub(super) fn of(
        subject: &Features<'a>,
        other: &Features<'a>,
        by_hand: &[ByHand],
        vocabulary: &Vocabulary,
    ) -> Self {
        let pieces = [subject, other];
        let met = meet(pieces, by_hand, vocabulary);
        let name = |side: usize, at: usize| pieces[side].names[at].0;
        let mut pairings = Vec::with_capacity(subject.names.len() + other.names.len());
        let mut places: Vec<[Option<usize>; 2]> = Vec::with_capacity(pairings.capacity());
        let mut has_shared = false;
        for Met { places: [i, j], by } in &met {
            let alone = [0, 1].map(|side| met.iter().filter(|m| m.places[side] == [*i, *j][side]).count());
            let once = [(subject, *i, alone[0]), (other, *j, alone[1])]
                .into_iter()
                .find_map(|(piece, at, partners)| once(piece, at, partners, *by));
            has_shared |= alone != [1, 1];
            pairings.push(Pairing { subject: Some(name(0, *i)), other: Some(name(1, *j)), by: Some(*by), once });
            places.push([Some(*i), Some(*j)]);
        }
        for side in [0, 1] {
            for at in (0..pieces[side].names.len()).filter(|at| met.iter().all(|m| m.places[side] != *at)) {
                let named = Some(name(side, at));
                let (subject, other) = if side == 0 { (named, None) } else { (None, named) };
                pairings.push(Pairing { subject, other, by: None, once: None });
                places.push(if side == 0 { [Some(at), None] } else { [None, Some(at)] });
            }
        }
        Self { pairings, places, has_shared }
    }

    /// The pairings in which an item's component stands; one that is none for the whole piece.
    pub(super) fn of_item(&self, item: &Item<'_>, side: usize) -> impl Iterator<Item = Option<usize>> {
        let wanted = item.at;
        let found = self.places.iter().enumerate().filter(move |(_, p)| wanted.is_some() && p[side] == wanted);
        found.map(|(pairing, _)| Some(pairing)).chain(wanted.is_none().then_some(None))
    }

    /// Whether an item's component stands in several pairings.
    pub(super) fn is_shared(&self, item: &Item<'_>, side: usize) -> bool {
        self.has_shared && self.of_item(item, side).nth(1).is_some()
    }

    /// Whether any component stands in several pairings.
    pub(super) fn has_shared(&self) -> bool {
        self.has_shared
    }

    fn pairing(&self, place: Option<usize>) -> Option<&Pairing<'a>> {
        place.and_then(|at| self.pairings.get(at))
    }

    /// By its name for both pieces.
    pub(super) fn label(&self, place: Option<usize>) -> Cow<'a, str> {
        match self.pairing(place).map(|p| (p.subject, p.other)) {
            Some((Some(a), Some(b))) if !alike(a, b) => format!("{a} / {b}").into(),
            Some((Some(name), _) | (None, Some(name))) => name.into(),
            Some((None, None)) | None => WHOLE.into(),
        }
    }

    /// As the subject names it, else as the other does.
    pub(super) fn name(&self, place: Option<usize>) -> &'a str {
        self.pairing(place).and_then(|p| p.subject.or(p.other)).unwrap_or(WHOLE)
    }

    /// What is to be told of a pairing in each of its lines.
    pub(super) fn once(&self, place: Option<usize>) -> Option<&str> {
        self.pairing(place).and_then(|p| p.once.as_deref())
    }

    /// Whether a line of its own counts the component: one listed one by one on the other piece is counted by
    /// [`Components::counts`].
    pub(super) fn counts_apart(&self, place: Option<usize>) -> bool {
        self.pairing(place).is_some_and(|p| p.by == Some(PairedBy::Count))
    }

    /// The counts of components that stand for several: beside those that the other piece lists one by one.
    pub(super) fn counts(&self, pieces: [&Features<'a>; 2], judge: &Judge<'_>, lines: &mut Vec<Line<'a>>) {
        if self.pairings.iter().all(|p| p.by != Some(PairedBy::Count)) {
            return;
        }
        for side in [0, 1] {
            for at in 0..pieces[side].names.len() {
                let many: Vec<usize> = self
                    .pairings
                    .iter()
                    .zip(&self.places)
                    .filter(|(p, places)| p.by == Some(PairedBy::Count) && places[side] == Some(at))
                    .filter_map(|(_, places)| places[1 - side])
                    .collect();
                let Some(one) = record(pieces[side], at).filter(|c| c.count.is_some_and(|n| n > 1)) else { continue };
                if many.is_empty() {
                    continue;
                }
                lines.extend(count(one, (pieces[1 - side], &many), side, judge));
            }
        }
    }
}

/// One line: how many the one component stands for, beside how many are listed. Where fewer are listed than it stands for,
/// the others may be there or not: the count of the other piece is not recorded.
fn count<'a>(
    one: &'a Component,
    (other, many): (&Features<'a>, &[usize]),
    side: usize,
    judge: &Judge<'_>,
) -> Option<Line<'a>> {
    let names: Vec<&'a str> = many.iter().map(|&at| other.names[at].0).collect();
    let listed: i64 = many.iter().map(|&at| alike_of(record(other, at))).sum();
    let told = read::counted(one)?;
    let beside = read::listed(names[0], listed, &names);
    let complete = (Some(listed) == one.count).then_some(&beside);
    let name = one.name.as_deref().unwrap_or_default();
    let (subject, second) = if side == 0 { (Some(&told), complete) } else { (complete, Some(&told)) };
    let component =
        if side == 0 { format!("{name} / {}", names.join(", ")) } else { format!("{} / {name}", names.join(", ")) };
    let place = if side == 0 { name } else { names[0] };
    let pair =
        Pair { component: component.into(), at: None, place, subject, other: second, leverage: None, once: None };
    let mut lines = Vec::new();
    pair.tell(judge, &mut lines);
    lines.into_iter().next()
}

/// Which components belong together: by hand first, then by name, then by what they are, then by how many there are.
fn meet(pieces: [&Features<'_>; 2], by_hand: &[ByHand], vocabulary: &Vocabulary) -> Vec<Met> {
    let [ours, theirs] = pieces.map(|piece| &piece.names);
    let mut met: Vec<Met> = Vec::with_capacity(ours.len());
    let mut free = [vec![true; ours.len()], vec![true; theirs.len()]];
    let join = |i: usize, j: usize, by, free: &mut [Vec<bool>; 2], met: &mut Vec<Met>| {
        (free[0][i], free[1][j]) = (false, false);
        met.push(Met { places: [i, j], by });
    };
    let place = |names: &[(&str, Cow<'_, str>)], wanted: &str| names.iter().position(|(_, key)| *key == normal(wanted));
    for pair in by_hand {
        if let (Some(i), Some(j)) = (place(ours, &pair.subject), place(theirs, &pair.other))
            && (free[0][i] || free[1][j])
        {
            join(i, j, PairedBy::Hand, &mut free, &mut met);
        }
    }
    for (i, (_, key)) in ours.iter().enumerate() {
        if free[0][i]
            && let Some(j) = (0..theirs.len()).find(|&j| free[1][j] && theirs[j].1 == *key)
        {
            join(i, j, PairedBy::Name, &mut free, &mut met);
        }
    }
    if !free.iter().all(|side| side.contains(&true)) {
        return met;
    }
    let known = [0, 1].map(|side| {
        let open = (0..free[side].len()).filter(|&at| free[side][at]);
        open.filter_map(|at| Some((at, identity(pieces[side], at, vocabulary)?))).collect::<Vec<_>>()
    });
    for (i, wanted) in &known[0] {
        let alone = known[0].iter().filter(|(_, identity)| identity == wanted).count() == 1;
        let mut alike = known[1].iter().filter(|(_, identity)| identity == wanted);
        if let (true, Some((j, _)), None) = (alone, alike.next(), alike.next()) {
            join(*i, *j, PairedBy::TermAndSide, &mut free, &mut met);
        }
    }
    for side in [0, 1] {
        for (at, wanted) in &known[side] {
            if free[side][*at] {
                let several = stood_for(pieces, side, (*at, wanted), &known, &free);
                for other in several {
                    let (i, j) = if side == 0 { (*at, other) } else { (other, *at) };
                    join(i, j, PairedBy::Count, &mut free, &mut met);
                }
            }
        }
    }
    met
}

/// Those that the component `at`, recorded once with a count, stands for: they are the same thing, on the same side if it
/// has one, and no more than it counts. Of a pair the left and the right one are meant, whatever else there is (a centre
/// front beside two fronts). None where another component of the same piece could stand for them as well.
fn stood_for(
    pieces: [&Features<'_>; 2],
    side: usize,
    (at, wanted): (usize, &Identity<'_>),
    known: &[Vec<(usize, Identity<'_>)>; 2],
    free: &[Vec<bool>; 2],
) -> Vec<usize> {
    let Some(count) = record(pieces[side], at).and_then(|c| c.count).filter(|n| *n > 1) else { return Vec::new() };
    let open = |side: usize| {
        let open = known[side].iter().filter(move |(i, _)| free[side][*i]);
        open.filter(move |(_, one)| one.term == wanted.term && (wanted.side.is_none() || one.side == wanted.side))
    };
    if open(side).any(|(i, _)| *i != at) {
        return Vec::new();
    }
    let all = || open(1 - side);
    let hands: Vec<usize> =
        all().filter(|(_, one)| matches!(one.side.as_deref(), Some("left" | "right"))).map(|(i, _)| *i).collect();
    let is_pair = count == 2 && wanted.side.is_none() && !hands.is_empty();
    let several = if is_pair { hands } else { all().map(|(i, _)| *i).collect() };
    let listed: i64 = several.iter().map(|&i| alike_of(record(pieces[1 - side], i))).sum();
    if listed <= count { several } else { Vec::new() }
}

/// How many a component stands for; one where that is not recorded.
fn alike_of(component: Option<&Component>) -> i64 {
    component.and_then(|c| c.count).unwrap_or(1)
}

/// What is said where a component is recorded once for several.
fn once(piece: &Features<'_>, at: usize, partners: usize, by: PairedBy) -> Option<String> {
    if partners == 1 && by != PairedBy::Count {
        return None;
    }
    let several = alike_of(record(piece, at));
    let told = partners > 1 || by == PairedBy::Count && several > 1;
    told.then(|| format!("{} recorded once for {}", piece.names[at].0, several.max(partners as i64)))
}

/// The record of a component that the piece lists; none for one that is only mentioned.
fn record<'a>(piece: &Features<'a>, at: usize) -> Option<&'a Component> {
    let name = piece.names[at].0;
    piece.file.components.iter().find(|c| c.name.as_deref().is_some_and(|n| alike(n, name)))
}

/// The record's own term and side come first, then what the vocabulary makes of the name.
fn identity<'a>(piece: &Features<'a>, at: usize, vocabulary: &'a Vocabulary) -> Option<Identity<'a>> {
    let record = record(piece, at);
    let term = record.and_then(|c| c.term.as_ref());
    let side = record.and_then(|c| c.side.as_deref());
    if let (Some(term), Some(side)) = (term, side) {
        return Some(Identity { term: Cow::Borrowed(term), side: Some(Cow::Borrowed(side)) });
    }
    let (told_side, told_term) = vocabulary.component_side(piece.names[at].0);
    let term = term.map(Cow::Borrowed).or_else(|| told_term.map(|t| Cow::Borrowed(&t.id)))?;
    let side = side.map(Cow::Borrowed).or_else(|| told_side.map(|s| Cow::Owned(s.to_string())));
    Some(Identity { term, side })
}

/// What a component is, without its side: its term, or its name where the vocabulary has none for it. Blank for the whole
/// piece.
pub(in crate::analysis) fn kind_of_component<'a>(
    file: &'a PieceFile,
    name: &'a str,
    vocabulary: &'a Vocabulary,
) -> Cow<'a, str> {
    if name.is_empty() {
        return Cow::Borrowed("");
    }
    let listed = file.components.iter().find(|c| c.name.as_deref().is_some_and(|n| alike(n, name)));
    let term = listed.and_then(|c| c.term.as_ref());
    let term = term.or_else(|| vocabulary.component_side(name).1.map(|t| &t.id));
    term.map_or_else(|| normal(name), |term| Cow::Borrowed(term.name()))
}
