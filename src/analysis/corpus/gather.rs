//! The figures of a set of pieces, brought together feature by feature.

use std::borrow::Cow;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

use crate::analysis::comparison::features::{Item, Section};
use crate::analysis::comparison::value::{Limit, Value};
use crate::analysis::comparison::{Features, Written, kind_of_component};
use crate::dating::{Dated, Interval};
use crate::vocabulary::Vocabulary;

/// A feature as pieces are gathered by it: what is recorded, and on which kind of component. A seam of a sleeve and a seam
/// of a bodice are two features, whatever their purpose; left and right are one.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct Key<'a> {
    pub section: Section,
    pub name: Cow<'a, str>,
    pub aspect: &'static str,
    /// Blank for the whole piece, and where components are taken together.
    pub component: Cow<'a, str>,
}

impl Key<'_> {
    pub fn same_but_for_the_component(&self, other: &Key<'_>) -> bool {
        (self.section, &self.name, self.aspect) == (other.section, &other.name, other.aspect)
    }
}

/// One figure as read: value, standard uncertainty, as written.
pub(super) type Reading<'a> = (f64, f64, Written<'a>);

/// A piece of the set.
#[derive(Clone, Copy)]
pub(super) struct Member<'a> {
    /// Its place in the set.
    pub at: usize,
    pub number: &'a str,
    /// Whether it is in by a date that may lie outside the years asked for.
    pub uncertain: bool,
}

impl<'a> Member<'a> {
    pub fn of(at: usize, piece: &Features<'a>, years: Option<Interval>) -> Self {
        let file = piece.file();
        let date = file.piece.date.as_ref().map_or(Interval::new(None, None), Dated::interval);
        Self { at, number: file.number(), uncertain: years.is_some_and(|years| !years.holds(date)) }
    }
}

/// The figures of one piece under one feature.
pub(super) struct Lines<'a> {
    pub piece: Member<'a>,
    pub name: &'a str,
    pub unit: &'static str,
    pub first: Option<Reading<'a>>,
    pub more: Vec<Reading<'a>>,
    pub limit: bool,
    pub estimate: bool,
    pub worked_out: bool,
    pub taken: &'a str,
    /// The kinds of component, each once; blank where the feature tells.
    pub on: Vec<Cow<'a, str>>,
}

/// Features in the order in which they were met, found by their keys; under each the figures of piece after piece.
#[derive(Default)]
pub(super) struct Gathered<'a> {
    /// None where a feature is not wanted.
    at: HashMap<Key<'a>, Option<usize>>,
    pub features: Vec<(Key<'a>, Vec<Lines<'a>>)>,
}

/// How pieces are gathered.
#[derive(Clone, Copy)]
pub(super) struct Gathering<'q, 'a> {
    pub any_component: bool,
    pub vocabulary: &'a Vocabulary,
    /// The features of the piece to be placed: no others are wanted, save on other components.
    pub own: Option<&'q Gathered<'a>>,
}

impl<'a> Gathering<'_, 'a> {
    fn wants(self, key: &Key<'_>) -> bool {
        self.own.is_none_or(|own| own.features.iter().any(|(k, _)| k.same_but_for_the_component(key)))
    }

    /// Adds the figures of a piece.
    pub fn add(self, to: &mut Gathered<'a>, member: Member<'a>, piece: &Features<'a>) {
        let mut kinds: Vec<Option<Cow<'a, str>>> = vec![None; piece.component_count() + 1];
        for item in piece.items() {
            let kind = kinds[item.at.map_or(0, |at| at + 1)]
                .get_or_insert_with(|| kind_of_component(piece.file(), item.component, self.vocabulary));
            for aspect in &item.aspects {
                let Value::Figure { estimate, as_written, measure, limit, worked_out, .. } = &aspect.value else {
                    continue;
                };
                let component = if self.any_component { Cow::Borrowed("") } else { kind.clone() };
                let key = Key { section: item.section, name: item.key.clone(), aspect: aspect.name, component };
                let Some(all) = to.find(key, |key| self.wants(key)) else { continue };
                if all.last().is_none_or(|lines| lines.piece.at != member.at) {
                    all.push(Lines::none(member, item, measure.unit()));
                }
                let Some(lines) = all.last_mut() else { continue };
                if *limit != Limit::None {
                    lines.limit = true;
                    continue;
                }
                let sure = ["", "certain"].contains(&aspect.known.certainty);
                lines.estimate |= !sure || ["inferred", "reported"].contains(&aspect.known.evidence);
                lines.worked_out |= *worked_out;
                if item.section == Section::Dimensions {
                    lines.taken = item.variant;
                }
                if self.any_component && !lines.on.contains(kind) {
                    lines.on.push(kind.clone());
                }
                let reading = (estimate.value, estimate.u, as_written.clone());
                if lines.first.is_none() {
                    lines.first = Some(reading);
                } else {
                    lines.more.push(reading);
                }
            }
        }
    }
}

impl<'a> Gathered<'a> {
    /// The figures under a key; none where it is not wanted.
    fn find(&mut self, key: Key<'a>, wanted: impl Fn(&Key<'a>) -> bool) -> Option<&mut Vec<Lines<'a>>> {
        let features = &mut self.features;
        let place = match self.at.entry(key) {
            Entry::Occupied(known) => *known.get(),
            Entry::Vacant(new) => {
                let place = wanted(new.key()).then(|| {
                    features.push((new.key().clone(), Vec::new()));
                    features.len() - 1
                });
                *new.insert(place)
            }
        };
        place.map(|place| &mut self.features[place].1)
    }

    /// Puts those of later pieces behind these.
    pub fn and_then(mut self, later: Self) -> Self {
        for (key, mut lines) in later.features {
            if let Some(all) = self.find(key, |_| true) {
                all.append(&mut lines);
            }
        }
        self
    }
}

impl<'a> Lines<'a> {
    fn none(piece: Member<'a>, item: &Item<'a>, unit: &'static str) -> Self {
        Self {
            piece,
            name: item.name,
            unit,
            first: None,
            more: Vec::new(),
            limit: false,
            estimate: false,
            worked_out: false,
            taken: "",
            on: Vec::new(),
        }
    }
}
