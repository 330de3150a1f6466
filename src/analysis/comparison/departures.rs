//! The departures that a maker recorded, laid beside the lines that they speak of.

use super::decision::Verdict;
use super::features::normal;
use super::outcome::{Accounted, Explanation, Group, Line, Party};
use crate::record::making::Departure;

/// The departures that explain nothing.
#[derive(Default)]
pub(super) struct Leftover {
    /// Their features agree.
    pub without_difference: Vec<Accounted>,
    /// Their features are recorded on one piece only, or not at all, or cannot be told.
    pub untested: Vec<Accounted>,
}

/// Puts each departure beside its lines, and lists those that no difference bears out.
pub(super) fn attach(groups: &mut [Group], parties: [&Party; 2]) -> Leftover {
    let mut leftover = Leftover::default();
    for party in parties {
        for departure in party.departures {
            let lines = matching(groups, departure);
            let verdicts: Vec<Option<Verdict>> = lines.iter().map(|line| line.verdict()).collect();
            let all_agree = verdicts.iter().all(|v| *v == Some(Verdict::Agree));
            // Of the many properties of a cloth or seam, the reason stands beside those that are not alike.
            for line in lines.into_iter().filter(|line| all_agree || line.verdict() != Some(Verdict::Agree)) {
                line.departures.push(Explanation {
                    reason: reason(departure),
                    note: departure.note.clone(),
                    recorded_on: party.heading.number.clone(),
                });
            }
            let account = |why: &str| Accounted {
                component: departure.component.clone().unwrap_or_default(),
                feature: departure.feature.clone().unwrap_or_default(),
                what: format!("{} ({}): {why}", described(departure), party.heading.number),
            };
            if verdicts.contains(&Some(Verdict::Differ)) {
                continue;
            }
            if verdicts.is_empty() {
                leftover.untested.push(account("no such feature is recorded on either piece"));
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
fn matching<'a>(groups: &'a mut [Group], departure: &Departure) -> Vec<&'a mut Line> {
    let feature = normal(departure.feature.as_deref().unwrap_or_default());
    if feature.is_empty() {
        return Vec::new();
    }
    let component = departure.component.as_deref().map(normal).filter(|c| !c.is_empty());
    let here =
        |line: &Line| component.as_ref().is_none_or(|c| line.component.split(" / ").any(|name| normal(name) == *c));
    let rules: [fn(&str, &Line) -> bool; 3] = [names_exactly, names_within, names_section];
    let lines: Vec<&mut Line> = groups.iter_mut().flat_map(|g| &mut g.lines).filter(|line| here(line)).collect();
    let rule = rules.into_iter().find(|rule| lines.iter().any(|line| rule(&feature, line)));
    lines.into_iter().filter(|line| rule.is_some_and(|rule| rule(&feature, line))).collect()
}

fn items(line: &Line) -> impl Iterator<Item = String> {
    line.item.split(" / ").map(normal)
}

/// `side seam`, `side seam: stitch`, `side seam stitch` or `stitch`.
fn names_exactly(feature: &str, line: &Line) -> bool {
    let aspect = normal(&line.aspect);
    items(line).any(|item| {
        feature == item
            || (!aspect.is_empty() && (feature == format!("{item}: {aspect}") || feature == format!("{item} {aspect}")))
    }) || (!aspect.is_empty() && feature == aspect)
}

/// `stitch density of the side seam`, `left sleeve length`: the item is named within, so is the aspect if any is, and
/// no word is left that would make it something else (`collar lining` is not the lining).
fn names_within(feature: &str, line: &Line) -> bool {
    const IDLE: [&str; 12] = ["of", "the", "in", "on", "at", "a", "an", "its", "cloth", "fabric", "kind", "type"];
    let aspect = normal(&line.aspect);
    let whole = line.component == "whole piece";
    let component = if whole { String::new() } else { normal(&line.component) };
    items(line).any(|item| {
        if !holds(feature, &item) {
            return false;
        }
        let rest = without(feature, &item);
        let known =
            |word: &str| IDLE.contains(&word) || holds(&component, word) || holds(&aspect, word) || holds(&item, word);
        rest.split_whitespace().all(known)
    })
}

/// `text` with the first `phrase` taken out.
fn without(text: &str, phrase: &str) -> String {
    text.replacen(phrase, " ", 1).replace([',', ':', ';'], " ")
}

/// `boning`, `closure`: a word for the whole section.
fn names_section(feature: &str, line: &Line) -> bool {
    line.section_words.iter().any(|word| holds(feature, word))
}

/// Whether `text` holds `phrase` as whole words.
fn holds(text: &str, phrase: &str) -> bool {
    !phrase.is_empty()
        && text.match_indices(phrase).any(|(at, found)| {
            let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
            edge(text[..at].chars().next_back()) && edge(text[at + found.len()..].chars().next())
        })
}
