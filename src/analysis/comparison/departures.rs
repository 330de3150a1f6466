//! The departures that a maker recorded, laid beside the lines that they speak of.

use std::borrow::Cow;

use serde::Serialize;

use super::align::WHOLE;
use super::decision::Verdict;
use super::names::normal;
use super::outcome::{Accounted, Comparison, Explanation, Group, Line};
use crate::record::PieceFile;
use crate::record::making::Departure;

/// The departures that explain nothing.
#[derive(Default)]
pub(super) struct Leftover {
    /// Their features agree.
    pub without_difference: Vec<Accounted>,
    /// Their features are recorded on one piece only, or not at all, or cannot be told.
    pub untested: Vec<Accounted>,
}

/// A difference for which nobody gave a reason, as the maker of one of the two would record it: all but the reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ToExplain {
    /// Accession number of the piece that departs: the one made after the other, else the one that is compared.
    pub number: String,
    /// The component as that piece names it; blank for the whole piece.
    pub component: String,
    /// What differs.
    pub feature: String,
    /// How it is on the other piece.
    pub was: String,
    /// How it is on this one.
    pub now: String,
}

/// The differences without a recorded departure, in the order of [`Comparison::unexplained`].
pub fn to_explain(found: &Comparison<'_>, subject: &PieceFile, other: &PieceFile) -> Vec<ToExplain> {
    let after = |a: &PieceFile, b: &PieceFile| a.made_after.iter().any(|m| m.model.as_deref() == Some(b.number()));
    let departs = if after(other, subject) && !after(subject, other) { other } else { subject };
    let is_subject = std::ptr::eq(departs, subject);
    let listed = |name: &&str| departs.components.iter().filter_map(|c| c.name.as_deref()).any(|c| c == *name);
    found
        .lines()
        .filter(|line| line.is_unexplained())
        .map(|line| {
            let (now, was) = if is_subject { (&line.subject, &line.other) } else { (&line.other, &line.subject) };
            let mut names = line.component.split(" / ").chain([line.component.as_ref()]);
            ToExplain {
                number: departs.number().into(),
                component: names.find(listed).unwrap_or_default().into(),
                feature: line.feature().into_owned(),
                was: was.words().into_owned(),
                now: now.words().into_owned(),
            }
        })
        .collect()
}

/// What a departure may call a line by.
struct Called<'l, 'a> {
    line: &'l mut Line<'a>,
    components: Vec<String>,
    items: Vec<String>,
}

/// Puts each departure beside its lines, and lists those that no difference bears out.
pub(super) fn attach(groups: &mut [Group<'_>], pieces: [&PieceFile; 2]) -> Leftover {
    let mut leftover = Leftover::default();
    if pieces.iter().all(|piece| piece.departures.is_empty()) {
        return leftover;
    }
    let names = |text: &str| text.split(" / ").map(|name| normal(name).into_owned()).collect();
    let mut lines: Vec<Called<'_, '_>> = groups
        .iter_mut()
        .flat_map(|g| &mut g.lines)
        .map(|line| Called { components: names(&line.component), items: names(&line.item), line })
        .collect();
    for piece in pieces {
        for departure in &piece.departures {
            let spoken_of = matching(&lines, departure);
            let verdicts: Vec<Option<Verdict>> = spoken_of.iter().map(|&at| lines[at].line.verdict()).collect();
            let all_agree = verdicts.iter().all(|v| *v == Some(Verdict::Agree));
            // Of the many properties of a cloth or seam, the reason stands beside those that are not alike.
            for &at in &spoken_of {
                let line = &mut *lines[at].line;
                if all_agree || line.verdict() != Some(Verdict::Agree) {
                    line.departures.push(Explanation {
                        reason: reason(departure),
                        note: departure.note.clone(),
                        learned: departure.learned.clone(),
                        recorded_on: piece.number().into(),
                    });
                }
            }
            let account = |why: &str| Accounted {
                component: departure.component.clone().unwrap_or_default(),
                feature: departure.feature.clone().unwrap_or_default(),
                what: format!("{} ({}): {why}", described(departure), piece.number()),
            };
            if verdicts.contains(&Some(Verdict::Differ)) {
                continue;
            }
            if verdicts.is_empty() {
                leftover.untested.push(account("no such feature is recorded on either piece"));
            } else if all_agree && spoken_of.iter().any(|&at| lines[at].line.is_scaled()) {
                leftover
                    .untested
                    .push(account("the two agree once brought to one size, which a change of size does not show"));
            } else if all_agree {
                leftover.without_difference.push(account("the two agree"));
            } else if verdicts.contains(&Some(Verdict::CannotTell)) {
                leftover.untested.push(account("it cannot be told whether the two differ"));
            } else {
                leftover.untested.push(account("recorded on one piece only"));
            }
        }
    }
    leftover
}

fn reason(departure: &Departure) -> String {
    departure.reason.as_ref().map_or("no reason given", |r| r.name()).into()
}

fn described(departure: &Departure) -> String {
    let mut text = reason(departure);
    if let (Some(was), Some(now)) = (&departure.was, &departure.now) {
        text = format!("{text}; was {was}, now {now}");
    }
    if let Some(note) = &departure.note {
        text = format!("{text}; {note}");
    }
    text
}

/// The lines that a departure speaks of: those it names exactly; failing that, those named within its words.
fn matching(lines: &[Called<'_, '_>], departure: &Departure) -> Vec<usize> {
    let feature = normal(departure.feature.as_deref().unwrap_or_default());
    if feature.is_empty() {
        return Vec::new();
    }
    let component = departure.component.as_deref().map(normal).filter(|c| !c.is_empty());
    let here: Vec<usize> = (0..lines.len())
        .filter(|&at| component.as_ref().is_none_or(|c| lines[at].components.iter().any(|name| name == c)))
        .collect();
    let rules: [fn(&str, &Called<'_, '_>) -> bool; 3] = [names_exactly, names_within, names_section];
    let mut found =
        rules.iter().map(|rule| here.iter().copied().filter(|&at| rule(&feature, &lines[at])).collect::<Vec<_>>());
    found.find(|found| !found.is_empty()).unwrap_or_default()
}

/// `side seam`, `side seam: stitch`, `side seam stitch` or `stitch`.
fn names_exactly(feature: &str, called: &Called<'_, '_>) -> bool {
    let aspect = called.line.aspect;
    called.items.iter().any(|item| {
        let rest = feature.strip_prefix(item.as_str());
        rest.is_some_and(|rest| {
            rest.is_empty()
                || (!aspect.is_empty() && rest.strip_prefix(':').unwrap_or(rest).strip_prefix(' ') == Some(aspect))
        })
    }) || (!aspect.is_empty() && feature == aspect)
}

/// `stitch density of the side seam`, `left sleeve length`: the item is named within, so is the aspect if any is, and
/// no word is left that would make it something else (`collar lining` is not the lining).
fn names_within(feature: &str, called: &Called<'_, '_>) -> bool {
    const IDLE: [&str; 12] = ["of", "the", "in", "on", "at", "a", "an", "its", "cloth", "fabric", "kind", "type"];
    called.items.iter().any(|item| {
        if !holds(feature, item) {
            return false;
        }
        let component = if called.line.component == WHOLE { Cow::Borrowed("") } else { normal(&called.line.component) };
        let rest = without(feature, item);
        let known = |word: &str| {
            IDLE.contains(&word) || holds(&component, word) || holds(called.line.aspect, word) || holds(item, word)
        };
        rest.split_whitespace().all(known)
    })
}

/// `text` with the first `phrase` taken out.
fn without(text: &str, phrase: &str) -> String {
    text.replacen(phrase, " ", 1).replace([',', ':', ';'], " ")
}

/// `boning`, `closure`: a word for the whole section.
fn names_section(feature: &str, called: &Called<'_, '_>) -> bool {
    called.line.section_words.iter().any(|word| holds(feature, word))
}

/// Whether `text` holds `phrase` as whole words.
fn holds(text: &str, phrase: &str) -> bool {
    !phrase.is_empty()
        && text.match_indices(phrase).any(|(at, found)| {
            let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
            edge(text[..at].chars().next_back()) && edge(text[at + found.len()..].chars().next())
        })
}
