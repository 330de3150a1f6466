//! What can be compared of one piece: its items (a dimension, a cloth, a line of stitches ...) with their properties,
//! the latest value of each.

use std::borrow::Cow;

use rayon::prelude::*;

use super::align::pair;
use super::names::normal;
use super::outcome::{Heading, Side, Standing};
use super::read::{counted, of_examination};
use super::sequence::{self, Placed};
use super::value::{Provenance, Value};
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// The groups of a comparison, in the order in which a garment is described.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(in crate::analysis) enum Section {
    Components,
    Dimensions,
    Cloth,
    Stitching,
    Fastenings,
    Stiffening,
    Trimmings,
    Order,
}

impl Section {
    /// Every section that holds items; trimmings share a title with stiffening.
    pub(super) const TITLES: [(&'static str, &'static [Section]); 7] = [
        ("Components", &[Section::Components]),
        ("Dimensions", &[Section::Dimensions]),
        ("Cloth", &[Section::Cloth]),
        ("Stitching", &[Section::Stitching]),
        ("Fastenings", &[Section::Fastenings]),
        ("Stiffening and trimmings", &[Section::Stiffening, Section::Trimmings]),
        ("Order of making", &[Section::Order]),
    ];

    /// Whether two different things of this section on one component may stand for each other (a lacing in place
    /// of hooks), so that the pair is a difference and not two gaps.
    pub(super) fn replaceable(self) -> bool {
        matches!(self, Self::Fastenings | Self::Stiffening | Self::Trimmings)
    }

    /// Words that a departure may use for any item of this section.
    pub(super) fn words(self) -> &'static [&'static str] {
        match self {
            Self::Components => &["components"],
            Self::Dimensions => &["dimensions", "size"],
            Self::Cloth => &["cloth", "textile", "fabric"],
            Self::Stitching => &["stitching", "sewing"],
            Self::Fastenings => &["fastening", "fastenings", "closure"],
            Self::Stiffening => &["stiffening", "stiffener", "boning"],
            Self::Trimmings => &["trimming", "trimmings"],
            Self::Order => &["order of making", "order of work"],
        }
    }
}

/// One thing observed, with its properties. The words are those of the record.
#[derive(Debug, Clone)]
pub(in crate::analysis) struct Item<'a> {
    pub section: Section,
    /// As written; blank is the whole piece.
    pub component: &'a str,
    /// The component as names are compared.
    pub place: Cow<'a, str>,
    /// The component by its place in [`Features::names`]; none for the whole piece, and before they are listed.
    pub at: Option<usize>,
    /// The dimension, role, purpose or kind, by name.
    pub name: &'a str,
    /// The name as names are compared.
    pub key: Cow<'a, str>,
    /// What tells it from others of the same name on the same component: how taken, which stitch.
    pub variant: &'a str,
    /// Its place in the order of work.
    pub order: Option<i64>,
    pub aspects: Vec<Aspect<'a>>,
}

/// One property of an item.
#[derive(Debug, Clone)]
pub(in crate::analysis) struct Aspect<'a> {
    /// Blank for the item itself: the length of a dimension, the kind of a fastening.
    pub name: &'static str,
    pub value: Value<'a>,
    pub known: Provenance<'a>,
}

impl<'a> Aspect<'a> {
    pub(super) fn side(&self) -> Side<'a> {
        let (value, u) = self.value.figures();
        Side {
            standing: if self.value == Value::Absent { Standing::Absent } else { Standing::Recorded },
            as_written: self.value.as_written(),
            unit: self.value.si_unit(),
            value,
            u,
            ..self.known.side()
        }
    }
}

impl<'a> Item<'a> {
    fn same_thing(&self, other: &Self) -> bool {
        self.section == other.section && self.key == other.key && self.place == other.place
    }

    /// Takes over what a later examination says, and keeps the rest.
    fn update(&mut self, later: Self) {
        for aspect in later.aspects {
            match self.aspects.iter_mut().find(|a| a.name == aspect.name) {
                Some(known) => *known = aspect,
                None => self.aspects.push(aspect),
            }
        }
        if !later.variant.is_empty() {
            self.variant = later.variant;
        }
        self.order = later.order.or(self.order);
    }

    /// How it is known: all properties of an observation are known alike.
    pub(super) fn known(&self) -> Provenance<'a> {
        self.aspects.first().map(|aspect| aspect.known).unwrap_or_default()
    }

    pub(super) fn absent(&self) -> bool {
        self.aspects.iter().any(|a| a.value == Value::Absent)
    }
}

/// What can be compared of a piece, read once for however many comparisons.
#[derive(Debug)]
pub struct Features<'a> {
    pub(super) file: &'a PieceFile,
    pub(super) heading: Heading<'a>,
    pub(super) items: Vec<Item<'a>>,
    /// The order of making.
    pub(super) steps: Vec<Placed<'a>>,
    /// The components that the piece lists or mentions, each once: as written, and as names are compared.
    pub(super) names: Vec<(&'a str, Cow<'a, str>)>,
}

impl<'a> Features<'a> {
    /// Reads a piece.
    pub fn of(file: &'a PieceFile, vocabulary: &Vocabulary) -> Self {
        let mut items = items(file, vocabulary);
        let listed = file.components.iter().filter_map(|c| c.name.as_deref()).map(|name| (name, normal(name)));
        let mentioned = items.iter().map(|item| (item.component, item.place.clone()));
        let mut names: Vec<(&str, Cow<'_, str>)> = Vec::new();
        for (name, key) in listed.chain(mentioned).filter(|(_, key)| !key.is_empty()) {
            if !names.iter().any(|(_, known)| *known == key) {
                names.push((name, key));
            }
        }
        for item in &mut items {
            item.at = names.iter().position(|(_, key)| *key == item.place);
        }
        Self { file, heading: Heading::of(file), steps: sequence::read(file), items, names }
    }

    /// Reads many pieces, on all cores.
    pub fn all(files: &'a [PieceFile], vocabulary: &Vocabulary) -> Vec<Self> {
        files.par_iter().with_min_len(16).map(|file| Self::of(file, vocabulary)).collect()
    }

    /// The piece that was read.
    pub fn file(&self) -> &'a PieceFile {
        self.file
    }

    pub(in crate::analysis) fn items(&self) -> &[Item<'a>] {
        &self.items
    }

    /// How many components the piece lists or mentions.
    pub(in crate::analysis) fn component_count(&self) -> usize {
        self.names.len()
    }

    /// The components that the piece lists or mentions, as written.
    pub(super) fn component_names(&self) -> Vec<&'a str> {
        self.names.iter().map(|(name, _)| *name).collect()
    }
}

/// The items of a piece, the latest value of each property over all examinations.
pub(super) fn items<'a>(file: &'a PieceFile, vocabulary: &Vocabulary) -> Vec<Item<'a>> {
    let mut known: Vec<Item<'a>> = file.components.iter().filter_map(counted).collect();
    for exam in &file.examinations {
        let mut news = of_examination(exam, vocabulary);
        if !known.iter().any(|item| item.section != Section::Components) {
            known.append(&mut news);
            continue;
        }
        while let Some(first) = news.first() {
            let first = (first.section, first.place.clone(), first.key.clone());
            let like = |i: &Item<'_>| i.section == first.0 && i.key == first.2 && i.place == first.1;
            let (same, rest): (Vec<Item<'a>>, Vec<Item<'a>>) = news.into_iter().partition(like);
            news = rest;
            let places: Vec<usize> = (0..known.len()).filter(|&i| known[i].same_thing(&same[0])).collect();
            let old: Vec<&str> = places.iter().map(|&i| known[i].variant).collect();
            let new: Vec<&str> = same.iter().map(|i| i.variant).collect();
            // A dimension taken in another way is another figure; another stitch in the same seam is a correction.
            let pairs = pair(&old, &new, first.0 != Section::Dimensions);
            let mut same: Vec<Option<Item<'a>>> = same.into_iter().map(Some).collect();
            for (a, b) in pairs {
                match (a.map(|a| places[a]), b.and_then(|b| same[b].take())) {
                    (Some(place), Some(later)) => known[place].update(later),
                    (None, Some(later)) => known.push(later),
                    _ => {}
                }
            }
        }
    }
    known.retain(|item| !item.aspects.is_empty() || item.order.is_some());
    known
}
