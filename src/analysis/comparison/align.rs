//! Which component, and which item, of one piece is set against which of the other.

use std::borrow::Cow;
use std::collections::HashMap;

use serde::Serialize;

use super::basis::ByHand;
use super::features::{Aspect, Features, Item, Section};
use super::names::{alike, normal};
use super::outcome::{Finding, Line, Side};
use super::value::{Judge, weakest};
use crate::record::PieceFile;
use crate::vocabulary::{TermId, Vocabulary};

/// A component of either piece, and its counterpart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Pairing {
    /// As the subject names it.
    pub subject: Option<String>,
    /// As the other names it.
    pub other: Option<String>,
    /// How they were found to belong together; none for a component without a counterpart.
    pub by: Option<PairedBy>,
}

/// How two components were found to belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PairedBy {
    /// Somebody said so.
    Hand,
    /// Both have the same name.
    Name,
    /// The names differ, but the vocabulary's term and the side are the same, and no other component has them.
    TermAndSide,
}

/// A vocabulary term and a side: what a component is, whatever it is called.
type Identity<'a> = (Cow<'a, TermId>, Option<Cow<'a, str>>);

/// Pairs the components that either piece lists or mentions: by hand, then by name, then by what they are.
pub(super) fn components(
    subject: &Features<'_>,
    other: &Features<'_>,
    by_hand: &[ByHand],
    vocabulary: &Vocabulary,
) -> Vec<Pairing> {
    let (ours, theirs) = (&subject.names, &other.names);
    let mut partner: Vec<Option<(usize, PairedBy)>> = vec![None; ours.len()];
    let mut free = vec![true; theirs.len()];
    let place = |names: &[(&str, Cow<'_, str>)], wanted: &str| names.iter().position(|(_, key)| *key == normal(wanted));
    for pair in by_hand {
        if let (Some(i), Some(j)) = (place(ours, &pair.subject), place(theirs, &pair.other))
            && partner[i].is_none()
            && free[j]
        {
            partner[i] = Some((j, PairedBy::Hand));
            free[j] = false;
        }
    }
    for (i, (_, key)) in ours.iter().enumerate().filter(|(i, _)| partner[*i].is_none()).collect::<Vec<_>>() {
        if let Some(j) = (0..theirs.len()).find(|&j| free[j] && theirs[j].1 == *key) {
            partner[i] = Some((j, PairedBy::Name));
            free[j] = false;
        }
    }
    let left: Vec<usize> = (0..ours.len()).filter(|&i| partner[i].is_none()).collect();
    let over: Vec<usize> = (0..theirs.len()).filter(|&j| free[j]).collect();
    if !left.is_empty() && !over.is_empty() {
        let known = |file, name| identity(file, name, vocabulary);
        let left: Vec<_> = left.into_iter().map(|i| (i, known(subject.file, ours[i].0))).collect();
        let over: Vec<_> = over.into_iter().map(|j| (j, known(other.file, theirs[j].0))).collect();
        for (i, wanted) in left.iter().filter(|(_, identity)| identity.is_some()) {
            let alone = left.iter().filter(|(_, identity)| identity == wanted).count() == 1;
            let mut alike = over.iter().filter(|(_, identity)| identity == wanted);
            if let (true, Some((j, _)), None) = (alone, alike.next(), alike.next()) {
                partner[*i] = Some((*j, PairedBy::TermAndSide));
                free[*j] = false;
            }
        }
    }
    let name = |names: &[(&str, Cow<'_, str>)], at: usize| Some(names[at].0.to_owned());
    let pairing = |(i, partner): (usize, &Option<(usize, PairedBy)>)| Pairing {
        subject: name(ours, i),
        other: partner.and_then(|(j, _)| name(theirs, j)),
        by: partner.map(|(_, by)| by),
    };
    let mut pairings: Vec<Pairing> = partner.iter().enumerate().map(pairing).collect();
    // Those that met come first, in the order in which they were found; then those without a counterpart.
    let rank = |by: Option<PairedBy>| match by {
        Some(PairedBy::Hand) => 0,
        Some(PairedBy::Name) => 1,
        Some(PairedBy::TermAndSide) => 2,
        None => 3,
    };
    pairings.sort_by_key(|pairing| rank(pairing.by));
    let over = (0..theirs.len()).filter(|&j| free[j]);
    pairings.extend(over.map(|j| Pairing { subject: None, other: name(theirs, j), by: None }));
    pairings
}

/// The record's own term and side come first, then what the vocabulary makes of the name.
fn identity<'a>(file: &'a PieceFile, name: &str, vocabulary: &'a Vocabulary) -> Option<Identity<'a>> {
    let record = file.components.iter().find(|c| c.name.as_deref().is_some_and(|n| alike(n, name)));
    let term = record.and_then(|c| c.term.as_ref());
    let side = record.and_then(|c| c.side.as_deref());
    if let (Some(term), Some(side)) = (term, side) {
        return Some((Cow::Borrowed(term), Some(Cow::Borrowed(side))));
    }
    let (told_side, told_term) = vocabulary.component_side(name);
    let term = term.map(Cow::Borrowed).or_else(|| told_term.map(|t| Cow::Borrowed(&t.id)))?;
    let side = side.map(Cow::Borrowed).or_else(|| told_side.map(|s| Cow::Owned(s.to_string())));
    Some((term, side))
}

/// Two items set against each other, or one without a counterpart.
#[derive(Clone)]
pub(super) struct Pair<'a> {
    /// By its name for both pieces.
    pub component: String,
    /// As the subject names it, else as the other does.
    pub place: &'a str,
    pub subject: Option<&'a Item<'a>>,
    pub other: Option<&'a Item<'a>>,
    /// Where a factor was fitted to the pair, the share that it had in its own fitted value.
    pub leverage: Option<f64>,
}

/// The components of both pieces by one number each, so that items are gathered without comparing names.
pub(super) struct Places<'a> {
    pairings: &'a [Pairing],
    ours: HashMap<Cow<'a, str>, usize>,
    theirs: HashMap<Cow<'a, str>, usize>,
}

impl<'a> Places<'a> {
    pub(super) fn of(pairings: &'a [Pairing]) -> Self {
        let by = |name: fn(&Pairing) -> Option<&str>| {
            let named = pairings.iter().enumerate();
            named.filter_map(|(at, pairing)| Some((normal(name(pairing)?), at))).collect()
        };
        Self { pairings, ours: by(|p| p.subject.as_deref()), theirs: by(|p| p.other.as_deref()) }
    }

    /// The number of an item's component; none for the whole piece.
    fn of_item(&self, item: &Item<'_>, ours: bool) -> Option<usize> {
        if item.place.is_empty() {
            return None;
        }
        (if ours { &self.ours } else { &self.theirs }).get(&item.place).copied()
    }

    fn label(&self, place: Option<usize>) -> String {
        match place.and_then(|at| self.pairings.get(at)).map(|p| (p.subject.as_deref(), p.other.as_deref())) {
            Some((Some(a), Some(b))) if !alike(a, b) => format!("{a} / {b}"),
            Some((Some(name), _) | (None, Some(name))) => name.into(),
            Some((None, None)) | None => WHOLE.into(),
        }
    }

    fn name(&self, place: Option<usize>) -> &'a str {
        let pairing = place.and_then(|at| self.pairings.get(at));
        pairing.and_then(|p| p.subject.as_deref().or(p.other.as_deref())).unwrap_or(WHOLE)
    }
}

/// How the piece as a whole is named in a line.
pub(super) const WHOLE: &str = "whole piece";

/// Pairs the items of one section: same component and same name, then the same way of taking or the same stitch,
/// then the order in which they are recorded.
pub(super) fn items<'a>(
    section: Section,
    subject: &'a [Item<'a>],
    other: &'a [Item<'a>],
    places: &Places<'a>,
) -> Vec<Pair<'a>> {
    type Bucket<'a> = (Option<usize>, [Vec<&'a Item<'a>>; 2]);
    let mut at: HashMap<(Option<usize>, &str), usize> = HashMap::new();
    let mut buckets: Vec<Bucket<'a>> = Vec::new();
    for (side, list) in [subject, other].into_iter().enumerate() {
        for item in list.iter().filter(|i| i.section == section) {
            let place = places.of_item(item, side == 0);
            let next = buckets.len();
            let bucket = *at.entry((place, item.key.as_ref())).or_insert(next);
            if bucket == next {
                buckets.push((place, [Vec::new(), Vec::new()]));
            }
            buckets[bucket].1[side].push(item);
        }
    }
    let mut pairs = Vec::with_capacity(buckets.len());
    for (place, [a, b]) in &buckets {
        let mut add = |subject: Option<&'a Item<'a>>, other: Option<&'a Item<'a>>| {
            let (component, place) = (places.label(*place), places.name(*place));
            pairs.push(Pair { component, place, subject, other, leverage: None });
        };
        match (a.as_slice(), b.as_slice()) {
            ([x], [y]) => add(Some(x), Some(y)),
            ([x], []) => add(Some(x), None),
            ([], [y]) => add(None, Some(y)),
            (a, b) => {
                let variants = |list: &[&'a Item<'a>]| list.iter().map(|i| i.variant).collect::<Vec<_>>();
                for (x, y) in pair(&variants(a), &variants(b), true) {
                    add(x.map(|x| a[x]), y.map(|y| b[y]));
                }
            }
        }
    }
    if section.replaceable() {
        join_replacements(&mut pairs);
    }
    pairs
}

/// Where exactly one kind on each side of a component is left over, the one stands in place of the other.
fn join_replacements(pairs: &mut Vec<Pair>) {
    let places: Vec<&str> = pairs.iter().map(|p| p.place).collect();
    for place in places {
        let single = |ours: bool| {
            let mut found = pairs.iter().enumerate().filter(|(_, p)| {
                p.place == place
                    && if ours {
                        p.subject.is_some() && p.other.is_none()
                    } else {
                        p.subject.is_none() && p.other.is_some()
                    }
            });
            match (found.next(), found.next()) {
                (Some((at, _)), None) => Some(at),
                _ => None,
            }
        };
        if let (Some(a), Some(b)) = (single(true), single(false)) {
            // None of one thing is not the other thing's counterpart.
            if [pairs[a].subject, pairs[b].other].into_iter().flatten().any(Item::absent) {
                continue;
            }
            pairs[a].other = pairs[b].other;
            pairs.remove(b);
        }
    }
}

/// Pairs two lists by variant: equal ones first, then those where one is blank, and if `loose` the rest in order.
pub(super) fn pair(a: &[&str], b: &[&str], loose: bool) -> Vec<(Option<usize>, Option<usize>)> {
    let mut partner: Vec<Option<usize>> = vec![None; a.len()];
    let mut free: Vec<usize> = (0..b.len()).collect();
    let rules: [fn(&str, &str) -> bool; 3] = [alike, |x, y| x.is_empty() || y.is_empty(), |_, _| true];
    for rule in &rules[..if loose { 3 } else { 2 }] {
        for (i, x) in a.iter().enumerate() {
            if partner[i].is_none()
                && let Some(at) = free.iter().position(|&j| rule(x, b[j]))
            {
                partner[i] = Some(free.remove(at));
            }
        }
    }
    let mut pairs: Vec<_> = partner.into_iter().enumerate().map(|(i, j)| (Some(i), j)).collect();
    pairs.extend(free.into_iter().map(|j| (None, Some(j))));
    pairs
}

impl Pair<'_> {
    fn name(&self) -> String {
        match (self.subject, self.other) {
            (Some(a), Some(b)) if a.key != b.key => format!("{} / {}", a.name, b.name),
            (Some(item), _) | (None, Some(item)) => item.name.into(),
            (None, None) => String::new(),
        }
    }

    /// What to bear in mind of the pair as a whole.
    pub(super) fn caveat(&self) -> Option<String> {
        let (a, b) = (self.subject?, self.other?);
        let differ = a.section == Section::Dimensions
            && !a.variant.is_empty()
            && !b.variant.is_empty()
            && !alike(a.variant, b.variant);
        differ.then(|| format!("not taken alike: {}, and {}", a.variant, b.variant))
    }

    /// One line a property.
    pub(super) fn lines(&self, judge: &Judge<'_>) -> Vec<Line> {
        let mut names: Vec<&'static str> = Vec::new();
        let either = [self.subject, self.other];
        for aspect in either.into_iter().flatten().flat_map(|i| &i.aspects) {
            if !names.contains(&aspect.name) {
                names.push(aspect.name);
            }
        }
        if either.into_iter().flatten().any(Item::absent) {
            names.retain(|n| n.is_empty());
        }
        names.into_iter().filter_map(|name| self.line(name, judge)).collect()
    }

    fn line(&self, aspect: &'static str, judge: &Judge<'_>) -> Option<Line> {
        fn of<'a>(item: Option<&'a Item<'a>>, aspect: &str) -> Option<&'a Aspect<'a>> {
            item.and_then(|i| i.aspects.iter().find(|a| a.name == aspect))
        }
        fn known<'a>(x: Option<&'a Aspect<'_>>) -> (&'a str, &'a str) {
            x.map_or(("", ""), |x| (x.known.evidence, x.known.certainty))
        }
        let (a, b) = (of(self.subject, aspect), of(self.other, aspect));
        let (finding, remark) = match (a, b) {
            (Some(only), None) | (None, Some(only)) if only.value.is_worked_out() => return None,
            (Some(a), Some(b)) => judge.find(&a.value, &b.value, self.leverage),
            (Some(_), None) => (Finding::OnlySubject, None),
            (None, Some(_)) => (Finding::OnlyOther, None),
            (None, None) => return None,
        };
        let caveat = a.and(b).and_then(|_| self.caveat());
        let caveat = match (caveat, remark) {
            (Some(x), Some(y)) => Some(format!("{x}; {y}")),
            (x, y) => x.or(y.map(Cow::into_owned)),
        };
        let item = self.name();
        let weakest_evidence = weakest(known(a.or(b)), known(b.or(a)));
        Some(Line {
            component: self.component.clone(),
            place: self.place.into(),
            feature: if aspect.is_empty() { item.clone() } else { format!("{item}: {aspect}") },
            item,
            aspect,
            finding,
            unit: a.or(b).map(|x| x.value.unit()).unwrap_or_default(),
            subject: a.map_or_else(Side::not_recorded, Aspect::side),
            other: b.map_or_else(Side::not_recorded, Aspect::side),
            caveat,
            departures: Vec::new(),
            weakest_evidence,
            section_words: self.subject.or(self.other).map(|i| i.section.words()).unwrap_or_default(),
        })
    }
}
