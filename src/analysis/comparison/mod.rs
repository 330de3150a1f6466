//! Two pieces side by side, feature by feature: what agrees, what differs, what cannot be told, and why.
//!
//! Records in, a plain result out. A feature is compared only where both pieces record it; *not recorded* is never
//! agreement, and a fastening counted as 0 is *known to be absent*, which is something else again. There is no
//! single score: a garment is not alike "to 87 %".

mod align;
mod basis;
mod colour;
mod components;
mod decision;
mod departures;
pub(in crate::analysis) mod features;
mod matrix;
mod names;
mod nearest;
mod outcome;
mod proportions;
mod read;
mod rows;
mod scale;
mod scaling;
mod sequence;
mod summary;
mod terms;
mod text;
mod tolerance;
pub(in crate::analysis) mod value;

pub use basis::{Basis, ByHand};
pub use colour::ColourFigures;
pub(in crate::analysis) use components::kind_of_component;
pub use components::{PairedBy, Pairing};
pub use decision::{Figures, Ratio, Verdict, decide};
pub use departures::{ToExplain, to_explain};
pub use features::Features;
pub use matrix::{Cell, Matrix, Row, Square};
pub use nearest::{Candidate, Cloth, Nearest, Part, nearest};
pub use outcome::{
    Accounted, Comparison, Counts, Explanation, Finding, Group, Heading, Line, Relation, Side, Standing, Written,
};
pub use rows::rows;
pub use scale::{Sizes, Sizing};
pub use scaling::{Factor, Fitted, Scaling};
pub use sequence::Step;
pub use text::{as_text, difference_words, finding_words};
pub use tolerance::{Measure, Tolerance, Tolerances};

use rayon::prelude::*;

use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;
use components::Components;
use features::Section;
use value::Judge;

/// Each of these with each that follows it. Components paired by hand and sizes are between one piece and others, and have no
/// part here: `basis` is to have neither.
pub fn among_all<'a>(pieces: &[Features<'a>], vocabulary: &Vocabulary, basis: &'a Basis) -> Vec<Comparison<'a>> {
    let pairs = pieces.iter().enumerate().flat_map(|(i, one)| pieces[i + 1..].iter().map(move |other| (one, other)));
    pairs.map(|(one, other)| compare_features(one, other, vocabulary, basis)).collect()
}

/// Compares `subject` with `other`: differences are *subject minus other*.
///
/// The latest value of each feature over all examinations stands for the piece; withdrawn lines are left out.
/// Departures are taken from both records, since either piece may be the one that was made after the other.
pub fn compare<'a>(
    subject: &'a PieceFile,
    other: &'a PieceFile,
    vocabulary: &Vocabulary,
    basis: &'a Basis,
) -> Comparison<'a> {
    compare_features(&Features::of(subject, vocabulary), &Features::of(other, vocabulary), vocabulary, basis)
}

/// The same for pieces that were read before.
pub fn compare_features<'a>(
    subject: &Features<'a>,
    other: &Features<'a>,
    vocabulary: &Vocabulary,
    basis: &'a Basis,
) -> Comparison<'a> {
    let components = Components::of(subject, other, &basis.pairs, vocabulary);
    let pairs_of = |section| align::items(section, &subject.items, &other.items, &components);
    let mut dimensions = pairs_of(Section::Dimensions);
    let scaling = Scaling::settle(&basis.sizes, &mut dimensions);
    let judge = Judge { vocabulary, tolerances: &basis.tolerances, scaling: scaling.as_ref() };
    let proportions = proportions::of(&dimensions, &basis.tolerances);
    let mut stitching = Vec::new();
    let mut groups: Vec<Group<'a>> = Vec::with_capacity(Section::TITLES.len());
    for (title, sections) in Section::TITLES {
        let mut lines = Vec::new();
        for section in sections {
            let pairs = match section {
                Section::Dimensions => std::mem::take(&mut dimensions),
                section => pairs_of(*section),
            };
            lines.reserve(pairs.len());
            pairs.iter().for_each(|pair| pair.tell(&judge, &mut lines));
            if *section == Section::Components {
                components.counts([subject, other], &judge, &mut lines);
            }
            if *section == Section::Stitching {
                stitching = sequence::stitching(&pairs);
            }
        }
        groups.push(Group { title, lines });
    }
    let (steps, order_of_work) = sequence::steps(subject, other);
    if let Some(order) = groups.last_mut() {
        order.lines.extend(steps);
        order.lines.extend(stitching);
    }
    groups.retain(|group| !group.lines.is_empty());

    let departures = departures::attach(&mut groups, [subject.file, other.file]);
    Comparison {
        components: components.pairings,
        counts: Counts::of(&groups),
        groups,
        scaling,
        proportions,
        order_of_work,
        departures_without_difference: departures.without_difference,
        departures_untested: departures.untested,
        subject: subject.heading,
        other: other.heading,
        basis,
    }
}

/// Compares one piece with each of many, on all cores.
///
/// # Errors
/// A sentence, if a pair of components set by hand is on none of the pieces.
pub fn compare_many<'a>(
    subject: &Features<'a>,
    others: &[Features<'a>],
    vocabulary: &Vocabulary,
    basis: &'a Basis,
) -> Result<Vec<Comparison<'a>>, String> {
    if !basis.pairs.is_empty() {
        let names: Vec<(&str, Vec<&str>)> = others.iter().map(|t| (t.file.number(), t.component_names())).collect();
        basis.check((subject.file.number(), &subject.component_names()), &names)?;
    }
    let beside = |other| compare_features(subject, other, vocabulary, basis);
    Ok(others.par_iter().with_min_len(16).map(beside).collect())
}
