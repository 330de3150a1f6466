//! Which component, and which item, of one piece is set against which of the other.

use serde::Serialize;

use super::features::{Item, Section, normal};
use super::outcome::{Finding, Line, Side};
use super::tolerance::Tolerances;
use super::value::{find, weakest};
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
    /// Both have the same name.
    Name,
    /// The names differ, but the vocabulary's term and the side are the same, and no other component has them.
    TermAndSide,
}

/// A vocabulary term and a side: what a component is, whatever it is called.
type Identity = (TermId, Option<String>);

/// Pairs the components that either piece lists or mentions.
pub(super) fn components(
    (subject, subject_items): (&PieceFile, &[Item]),
    (other, other_items): (&PieceFile, &[Item]),
    vocabulary: &Vocabulary,
) -> Vec<Pairing> {
    let ours = names(subject, subject_items);
    let theirs = names(other, other_items);
    let mut left: Vec<&String> = Vec::new();
    let mut taken = vec![false; theirs.len()];
    let mut pairings = Vec::new();
    for name in &ours {
        match theirs.iter().position(|t| normal(t) == normal(name)) {
            Some(at) => {
                taken[at] = true;
                pairings.push(paired(name, &theirs[at], PairedBy::Name));
            }
            None => left.push(name),
        }
    }
    let mut free: Vec<&String> = theirs.iter().zip(&taken).filter(|(_, t)| !**t).map(|(n, _)| n).collect();
    for name in left.clone() {
        let Some(wanted) = identity(subject, name, vocabulary) else { continue };
        let alone = left.iter().filter(|n| identity(subject, n, vocabulary).as_ref() == Some(&wanted)).count() == 1;
        let alike: Vec<&String> =
            free.iter().copied().filter(|n| identity(other, n, vocabulary).as_ref() == Some(&wanted)).collect();
        if let (true, [only]) = (alone, alike.as_slice()) {
            pairings.push(paired(name, only, PairedBy::TermAndSide));
            free.retain(|n| n != only);
        }
    }
    let matched: Vec<String> = pairings.iter().filter_map(|p| p.subject.clone()).collect();
    pairings.extend(left.into_iter().filter(|n| !matched.contains(n)).map(|n| Pairing {
        subject: Some(n.clone()),
        other: None,
        by: None,
    }));
    pairings.extend(free.into_iter().map(|n| Pairing { subject: None, other: Some(n.clone()), by: None }));
    pairings
}

fn paired(a: &str, b: &str, by: PairedBy) -> Pairing {
    Pairing { subject: Some(a.into()), other: Some(b.into()), by: Some(by) }
}

fn names(file: &PieceFile, items: &[Item]) -> Vec<String> {
    let listed = file.components.iter().filter_map(|c| c.name.as_deref());
    let mut names: Vec<String> = Vec::new();
    for name in listed.chain(items.iter().map(|i| i.component.as_str())).filter(|n| !n.trim().is_empty()) {
        if !names.iter().any(|n| normal(n) == normal(name)) {
            names.push(name.into());
        }
    }
    names
}

/// The record's own term and side come first, then what the vocabulary makes of the name.
fn identity(file: &PieceFile, name: &str, vocabulary: &Vocabulary) -> Option<Identity> {
    let record = file.components.iter().find(|c| c.name.as_deref().is_some_and(|n| normal(n) == normal(name)));
    let (side, term) = vocabulary.component_side(name);
    let term = record.and_then(|c| c.term.clone()).or_else(|| term.map(|t| t.id.clone()))?;
    let side = record.and_then(|c| c.side.clone()).or_else(|| side.map(|s| s.to_string()));
    Some((term, side))
}

/// Two items set against each other, or one without a counterpart.
pub(super) struct Pair<'a> {
    pub component: String,
    pub subject: Option<&'a Item>,
    pub other: Option<&'a Item>,
}

/// Pairs the items of one section: same component and same name, then the same way of taking or the same stitch,
/// then the order in which they are recorded.
pub(super) fn items<'a>(
    section: Section,
    subject: &'a [Item],
    other: &'a [Item],
    components: &[Pairing],
) -> Vec<Pair<'a>> {
    let ours: Vec<&Item> = subject.iter().filter(|i| i.section == section).collect();
    let theirs: Vec<&Item> = other.iter().filter(|i| i.section == section).collect();
    let mut places: Vec<(String, String)> = Vec::new();
    for key in ours.iter().map(|i| key(i, components, true)).chain(theirs.iter().map(|i| key(i, components, false))) {
        if !places.contains(&key) {
            places.push(key);
        }
    }
    let mut pairs = Vec::new();
    for place in &places {
        let a: Vec<&Item> = ours.iter().copied().filter(|i| key(i, components, true) == *place).collect();
        let b: Vec<&Item> = theirs.iter().copied().filter(|i| key(i, components, false) == *place).collect();
        let variants = |list: &[&'a Item]| list.iter().map(|i| i.variant.as_str()).collect::<Vec<_>>();
        for (x, y) in pair(&variants(&a), &variants(&b), true) {
            pairs.push(Pair { component: place.0.clone(), subject: x.map(|x| a[x]), other: y.map(|y| b[y]) });
        }
    }
    if section.replaceable() {
        join_replacements(&mut pairs);
    }
    pairs
}

/// The component by its name for both pieces, and the item's name.
fn key(item: &Item, components: &[Pairing], ours: bool) -> (String, String) {
    let wanted = normal(&item.component);
    if wanted.is_empty() {
        return ("whole piece".into(), normal(&item.name));
    }
    let pairing = components
        .iter()
        .find(|p| (if ours { &p.subject } else { &p.other }).as_deref().is_some_and(|name| normal(name) == wanted));
    let label = match pairing.map(|p| (p.subject.as_deref(), p.other.as_deref())) {
        Some((Some(a), Some(b))) if normal(a) != normal(b) => format!("{a} / {b}"),
        Some((Some(a), _)) => a.into(),
        _ => item.component.clone(),
    };
    (label, normal(&item.name))
}

/// Where exactly one kind on each side of a component is left over, the one stands in place of the other.
fn join_replacements(pairs: &mut Vec<Pair>) {
    let places: Vec<String> = pairs.iter().map(|p| p.component.clone()).collect();
    for place in places {
        let single = |ours: bool| {
            let mut found = pairs.iter().enumerate().filter(|(_, p)| {
                p.component == place
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
    let rules: [fn(&str, &str) -> bool; 3] =
        [|x, y| normal(x) == normal(y), |x, y| x.is_empty() || y.is_empty(), |_, _| true];
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
            (Some(a), Some(b)) if normal(&a.name) != normal(&b.name) => {
                format!("{} / {}", a.name, b.name)
            }
            (Some(item), _) | (None, Some(item)) => item.name.clone(),
            (None, None) => String::new(),
        }
    }

    /// What to bear in mind of the pair as a whole.
    fn caveat(&self) -> Option<String> {
        let (a, b) = (self.subject?, self.other?);
        let differ = a.section == Section::Dimensions
            && !a.variant.is_empty()
            && !b.variant.is_empty()
            && normal(&a.variant) != normal(&b.variant);
        differ.then(|| format!("not taken alike: {}, and {}", a.variant, b.variant))
    }

    /// One line a property.
    pub(super) fn lines(&self, vocabulary: &Vocabulary, tolerances: &Tolerances) -> Vec<Line> {
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
        names.into_iter().filter_map(|name| self.line(name, vocabulary, tolerances)).collect()
    }

    fn line(&self, aspect: &str, vocabulary: &Vocabulary, tolerances: &Tolerances) -> Option<Line> {
        let of = |item: Option<&'_ Item>| item.and_then(|i| i.aspects.iter().find(|a| a.name == aspect).cloned());
        let (a, b) = (of(self.subject), of(self.other));
        let (finding, remark) = match (&a, &b) {
            (Some(only), None) | (None, Some(only)) if only.value.is_worked_out() => return None,
            (Some(a), Some(b)) => find(&a.value, &b.value, vocabulary, tolerances),
            (Some(_), None) => (Finding::OnlySubject, None),
            (None, Some(_)) => (Finding::OnlyOther, None),
            (None, None) => return None,
        };
        let caveat = a.as_ref().and(b.as_ref()).and_then(|_| self.caveat());
        let caveat = match (caveat, remark) {
            (Some(x), Some(y)) => Some(format!("{x}; {y}")),
            (x, y) => x.or(y),
        };
        let item = self.name();
        let unit = a.as_ref().or(b.as_ref()).map(|x| x.value.unit()).unwrap_or_default().to_string();
        let words: Vec<(&str, &str)> =
            [&a, &b].into_iter().flatten().map(|x| (x.known.evidence.as_str(), x.known.certainty.as_str())).collect();
        let weakest_evidence = match words.as_slice() {
            [x, y] => weakest(*x, *y),
            [x] => weakest(*x, *x),
            _ => String::new(),
        };
        let side =
            |x: Option<&super::features::Aspect>| x.map_or_else(Side::not_recorded, super::features::Aspect::side);
        Some(Line {
            component: self.component.clone(),
            feature: if aspect.is_empty() { item.clone() } else { format!("{item}: {aspect}") },
            subject: side(a.as_ref()),
            other: side(b.as_ref()),
            item,
            aspect: aspect.into(),
            finding,
            unit,
            caveat,
            departures: Vec::new(),
            weakest_evidence,
            section_words: self.subject.or(self.other).map(|i| i.section.words()).unwrap_or_default(),
        })
    }
}
