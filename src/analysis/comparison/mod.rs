//! Two pieces side by side, feature by feature: what agrees, what differs, what cannot be told, and why.
//!
//! Records in, a plain result out. A feature is compared only where both pieces record it; *not recorded* is never
//! agreement, and a fastening counted as 0 is *known to be absent*, which is something else again. There is no
//! single score: a garment is not alike "to 87 %".

mod align;
mod decision;
mod departures;
mod features;
mod outcome;
mod sequence;
mod summary;
mod terms;
mod text;
mod tolerance;
mod value;

pub use align::{PairedBy, Pairing};
pub use decision::{Figures, Verdict, decide};
pub use outcome::{
    Accounted, Comparison, Counts, Explanation, Finding, Group, Heading, Line, Relation, Side, Standing,
};
pub use text::{as_text, difference_words, finding_words};
pub use tolerance::{Tolerance, Tolerances};

use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// Compares `subject` with `other`: differences are *subject minus other*.
///
/// The latest value of each feature over all examinations stands for the piece; withdrawn lines are left out.
/// Departures are taken from both records, since either piece may be the one that was made after the other.
pub fn compare(subject: &PieceFile, other: &PieceFile, vocabulary: &Vocabulary, tolerances: &Tolerances) -> Comparison {
    let subject_items = features::items(subject, vocabulary);
    let other_items = features::items(other, vocabulary);
    let components = align::components((subject, &subject_items), (other, &other_items), vocabulary);
    let pairs_of = |section| align::items(section, &subject_items, &other_items, &components);
    let mut groups: Vec<Group> = features::Section::TITLES
        .into_iter()
        .map(|(title, sections)| Group {
            title: title.into(),
            lines: sections
                .iter()
                .flat_map(|section| pairs_of(*section))
                .flat_map(|pair| pair.lines(vocabulary, tolerances))
                .collect(),
        })
        .collect();
    if let Some(order) = groups.last_mut() {
        order.lines.extend(sequence::steps(subject, other));
        order.lines.extend(sequence::stitching(&pairs_of(features::Section::Stitching)));
    }
    groups.retain(|group| !group.lines.is_empty());

    let subject = outcome::Party::of(subject);
    let other = outcome::Party::of(other);
    let departures = departures::attach(&mut groups, [&subject, &other]);
    let counts = Counts::of(&groups);
    let unexplained = summary::unexplained(&groups);
    Comparison {
        summary: summary::sentence(&subject, &other, &counts, unexplained.len()),
        components,
        groups,
        counts,
        unexplained,
        departures_without_difference: departures.without_difference,
        departures_untested: departures.untested,
        subject: subject.heading,
        other: other.heading,
        tolerances: *tolerances,
    }
}
