//! Which item of one piece is set against which of the other, and the lines that come of it.

use std::borrow::Cow;

use super::components::Components;
use super::features::{Aspect, Item, Section};
use super::names::alike;
use super::outcome::{Finding, Line, Side};
use super::value::Judge;

/// Two items set against each other, or one without a counterpart.
#[derive(Clone)]
pub(super) struct Pair<'i, 'a> {
    /// By its name for both pieces.
    pub component: Cow<'a, str>,
    /// The pairing of the two components; none for the whole piece.
    pub at: Option<usize>,
    /// As the subject names it, else as the other does.
    pub place: &'a str,
    pub subject: Option<&'i Item<'a>>,
    pub other: Option<&'i Item<'a>>,
    /// Where a factor was fitted to the pair, the share that it had in its own fitted value.
    pub leverage: Option<f64>,
    /// What is to be told where a component is recorded once for several.
    pub once: Option<&'i str>,
}

/// How the piece as a whole is named in a line.
pub(super) const WHOLE: &str = "whole piece";

/// Pairs the items of one section: same component and same name, then the same way of taking or the same stitch,
/// then the order in which they are recorded.
pub(super) fn items<'i, 'a>(
    section: Section,
    subject: &'i [Item<'a>],
    other: &'i [Item<'a>],
    components: &'i Components<'a>,
) -> Vec<Pair<'i, 'a>> {
    let mut features: Vec<(Option<usize>, &str)> = Vec::new();
    let mut placed: Vec<(usize, usize, &'i Item<'a>)> = Vec::new();
    for (side, list) in [subject, other].into_iter().enumerate() {
        for item in list.iter().filter(|i| i.section == section) {
            for place in components.of_item(item, side) {
                if section == Section::Components && components.counts_apart(place) {
                    continue;
                }
                let feature = (place, item.key.as_ref());
                let at = features.iter().position(|known| *known == feature).unwrap_or_else(|| {
                    features.push(feature);
                    features.len() - 1
                });
                placed.push((at, side, item));
            }
        }
    }
    // Stable, so that the items of the subject come first, and each side's as they are recorded.
    placed.sort_by_key(|(at, ..)| *at);
    let mut pairs = Vec::with_capacity(features.len());
    for of_one in placed.chunk_by(|(x, ..), (y, ..)| x == y) {
        let place = features[of_one[0].0].0;
        let mut add = |subject: Option<&'i Item<'a>>, other: Option<&'i Item<'a>>| {
            let (component, name, once) = (components.label(place), components.name(place), components.once(place));
            pairs.push(Pair { component, at: place, place: name, subject, other, leverage: None, once });
        };
        match of_one.split_at(of_one.partition_point(|(_, side, _)| *side == 0)) {
            ([(.., x)], [(.., y)]) => add(Some(x), Some(y)),
            ([(.., x)], []) => add(Some(x), None),
            ([], [(.., y)]) => add(None, Some(y)),
            (a, b) => {
                let variants =
                    |list: &[(usize, usize, &'i Item<'a>)]| list.iter().map(|i| i.2.variant).collect::<Vec<_>>();
                for (x, y) in pair(&variants(a), &variants(b), true) {
                    add(x.map(|x| a[x].2), y.map(|y| b[y].2));
                }
            }
        }
    }
    if section.replaceable() {
        join_replacements(&mut pairs);
    }
    if components.has_shared() {
        tell_once(&mut pairs, components);
    }
    pairs
}

/// What a component that stands for several records, and none of those that it stands for, is told once.
fn tell_once(pairs: &mut Vec<Pair<'_, '_>>, components: &Components<'_>) {
    let key = |item: &Item<'_>| std::ptr::from_ref(item).cast::<()>();
    let met: Vec<*const ()> =
        pairs.iter().filter_map(|p| p.subject.zip(p.other)).flat_map(|(a, b)| [key(a), key(b)]).collect();
    let mut told: Vec<*const ()> = Vec::new();
    pairs.retain_mut(|pair| {
        let (item, side) = match (pair.subject, pair.other) {
            (Some(item), None) => (item, 0),
            (None, Some(item)) => (item, 1),
            _ => return true,
        };
        if !components.is_shared(item, side) || met.contains(&key(item)) {
            return true;
        }
        if told.contains(&key(item)) {
            return false;
        }
        told.push(key(item));
        pair.component = Cow::Borrowed(item.component);
        pair.place = item.component;
        pair.once = None;
        true
    });
}

/// Where exactly one kind on each side of a component is left over, the one stands in place of the other.
fn join_replacements(pairs: &mut Vec<Pair<'_, '_>>) {
    let places: Vec<Option<usize>> = pairs.iter().map(|p| p.at).collect();
    for place in places {
        let single = |ours: bool| {
            let mut found = pairs.iter().enumerate().filter(|(_, p)| {
                p.at == place
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

impl<'a> Pair<'_, 'a> {
    fn name(&self) -> Cow<'a, str> {
        match (self.subject, self.other) {
            (Some(a), Some(b)) if a.key != b.key => format!("{} / {}", a.name, b.name).into(),
            (Some(item), _) | (None, Some(item)) => item.name.into(),
            (None, None) => "".into(),
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

    /// Adds one line a property.
    pub(super) fn tell(&self, judge: &Judge<'_>, lines: &mut Vec<Line<'a>>) {
        let either = [self.subject, self.other];
        let only_itself = either.into_iter().flatten().any(Item::absent);
        let ours = self.subject.map(|item| item.aspects.as_slice()).unwrap_or_default();
        let theirs = self.other.map(|item| item.aspects.as_slice()).unwrap_or_default();
        let pairs = ours
            .iter()
            .map(|a| (Some(a), theirs.iter().find(|b| b.name == a.name)))
            .chain(theirs.iter().filter(|b| ours.iter().all(|a| a.name != b.name)).map(|b| (None, Some(b))));
        for (a, b) in pairs {
            if !only_itself || a.or(b).is_some_and(|aspect| aspect.name.is_empty()) {
                lines.extend(self.line(a, b, judge));
            }
        }
    }

    fn line(&self, a: Option<&Aspect<'a>>, b: Option<&Aspect<'a>>, judge: &Judge<'_>) -> Option<Line<'a>> {
        let both = a.is_some() && b.is_some();
        let (finding, remark) = match (a, b) {
            (Some(only), None) | (None, Some(only)) if only.value.is_worked_out() => return None,
            (Some(a), Some(b)) => judge.find(&a.value, &b.value, self.leverage),
            (Some(_), None) => (Finding::OnlySubject, None),
            (None, Some(_)) => (Finding::OnlyOther, None),
            (None, None) => return None,
        };
        let told = [self.caveat(), self.once.map(str::to_owned)].map(|told| told.filter(|_| both).map(Cow::Owned));
        let caveat = told.into_iter().chain([remark]).flatten().reduce(|x, y| format!("{x}; {y}").into());
        Some(Line {
            component: self.component.clone(),
            place: self.place,
            item: self.name(),
            aspect: a.or(b).map(|x| x.name).unwrap_or_default(),
            finding,
            unit: a.or(b).map(|x| x.value.unit()).unwrap_or_default(),
            subject: a.map_or_else(Side::not_recorded, Aspect::side),
            other: b.map_or_else(Side::not_recorded, Aspect::side),
            caveat,
            departures: Vec::new(),
            section_words: self.subject.or(self.other).map(|i| i.section.words()).unwrap_or_default(),
        })
    }
}
