//! The two statements of one measure brought together: `10 x 12 in. (25.4 x 30.5 cm)`.

use super::scan::{Amount, System};
use super::{Agreement, Dimensions, Measure, label, run::Run};
use crate::measure::Quantity;

/// One amount in its run, and what it turned out to be.
#[derive(Debug, Clone)]
struct Slot {
    run: usize,
    place: usize,
    /// The slot that states the same measure in the other system.
    twin: Option<usize>,
    /// It was said by an earlier slot.
    said: bool,
}

/// The measures of the runs.
pub(super) fn measures(text: &str, mut runs: Vec<Run>) -> Dimensions {
    lend_systems(text, &mut runs);
    let mut others = Vec::new();
    for run in runs.iter().filter(|run| run.system.is_none()) {
        others.extend(run.amounts.iter().map(|amount| amount.figures.clone()));
    }
    let runs: Vec<Run> = runs.into_iter().filter(|run| run.system.is_some()).collect();
    let slots = paired(text, &runs);
    let labels = label::labels(text, &runs);
    let mut found = Dimensions { measures: Vec::new(), others };
    for slot in slots.iter().filter(|slot| !slot.said) {
        let one = (&runs[slot.run], slot.place);
        let two = slot.twin.map(|twin| (&runs[slots[twin].run], slots[twin].place));
        let label = &labels[slot.run][slot.place];
        if let Some(mut measure) = stated(one, two) {
            measure.group = slot.run + 1;
            measure.label.clone_from(&label.name);
            measure.part.clone_from(&label.part);
            measure.note.clone_from(&label.note);
            found.measures.push(measure);
        }
    }
    found
}

/// A run without a unit that leans on its neighbour in the other system takes that system's counterpart:
/// `22.5 [9"]`, `102cm (40)`.
fn lend_systems(text: &str, runs: &mut [Run]) {
    for index in 1..runs.len() {
        let (before, after) = runs.split_at_mut(index);
        let (Some(first), Some(second)) = (before.last_mut(), after.first_mut()) else { continue };
        let gap = text.get(second.before.clone()).unwrap_or("");
        let Some(place) = gap.find(['(', '[']).filter(|_| second.opened) else { continue };
        let (misspelt, between) = gap.split_at(place);
        let misspelt = misspelt.trim().trim_end_matches(['.', ',']);
        if between.contains(char::is_alphanumeric) {
            continue;
        }
        match (first.system, second.system) {
            (None, Some(system)) if near_unit(misspelt, system.other()) => lend(first, system.other()),
            _ if !misspelt.is_empty() => {}
            (Some(system), None) if second.closed => lend(second, system.other()),
            _ => {}
        }
    }
}

/// Whether a word is the unit of this system with a letter too many or too few, or nothing at all.
fn near_unit(word: &str, system: System) -> bool {
    let known: &[&str] = if system == System::Metric { &["cm", "mm"] } else { &["in", "ins", "inches"] };
    word.is_empty() || known.iter().any(|unit| strsim::osa_distance(&word.to_lowercase(), unit) <= 1)
}

fn lend(run: &mut Run, system: System) {
    run.system = Some(system);
    if let Some(last) = run.amounts.last_mut() {
        last.remarks.push(format!("`{}` has no unit of its own; taken as {}", last.figures, system.usual()));
    }
}

/// Every amount as a slot, twins found.
fn paired(text: &str, runs: &[Run]) -> Vec<Slot> {
    let mut slots: Vec<Slot> = Vec::new();
    // Slots in order that are not yet paired, since the last pair.
    let mut waiting: Vec<usize> = Vec::new();
    let mut index = 0;
    while index < runs.len() {
        let run = &runs[index];
        let mut bundle = vec![index];
        if run.opened {
            while runs.get(index + bundle.len()).is_some_and(|next| next.continues) {
                bundle.push(index + bundle.len());
            }
        }
        let fresh = slots.len();
        for number in &bundle {
            let places = 0..runs[*number].amounts.len();
            slots.extend(places.map(|place| Slot { run: *number, place, twin: None, said: false }));
        }
        let new: Vec<usize> = (fresh..slots.len()).collect();
        let gap = text.get(run.before.clone()).unwrap_or("");
        let old = partners(&slots, &waiting, runs, run, &new, gap);
        if old.is_empty() {
            waiting.extend(new);
        } else {
            for (one, two) in old.iter().zip(&new) {
                slots[*one].twin = Some(*two);
                slots[*two].said = true;
            }
            waiting.clear();
        }
        index += bundle.len();
    }
    slots
}

/// Which waiting slots the `new` ones restate, in order; none when they restate nothing.
fn partners(slots: &[Slot], waiting: &[usize], runs: &[Run], run: &Run, new: &[usize], gap: &str) -> Vec<usize> {
    let other = |slot: &usize| runs[slots[*slot].run].system.map(System::other) == run.system;
    let waiting: Vec<usize> = waiting.iter().rev().copied().take_while(other).collect::<Vec<_>>();
    let Some(last) = waiting.first().map(|slot| slots[*slot].run) else { return Vec::new() };
    let in_last: Vec<usize> = waiting.iter().rev().copied().filter(|slot| slots[*slot].run == last).collect();
    let all: Vec<usize> = waiting.iter().rev().copied().collect();
    let bare = gap.trim().chars().filter(|c| !matches!(c, '.' | ',' | ';' | '/' | '=' | ':' | '-' | '–')).count();
    if run.opened {
        let words = gap.chars().filter(|c| c.is_alphabetic()).count() > 12 && gap.contains('\n');
        return match new.len() {
            _ if words => Vec::new(),
            n if n == in_last.len() => in_last,
            n if n == all.len() => all,
            n if n < in_last.len() => in_last[..n].to_vec(),
            _ => in_last,
        };
    }
    // Without a bracket only like stands for like: with at most one stray sign between, or on a line of its own.
    let line_of_its_own = gap.trim_end_matches([' ', '\t', '\r']).ends_with('\n') && gap.matches('\n').count() == 1;
    let joined = matches!(gap.trim(), "x" | "X" | "×" | "*");
    if (bare <= 1 && !joined || line_of_its_own) && new.len() == in_last.len() { in_last } else { Vec::new() }
}

/// The measure that one or two statements make.
fn stated(one: (&Run, usize), two: Option<(&Run, usize)>) -> Option<Measure> {
    let mut measure = Measure {
        label: String::new(),
        part: String::new(),
        note: String::new(),
        group: 0,
        metric: None,
        imperial: None,
        agreement: None,
        remarks: Vec::new(),
    };
    let amount = |(run, place): (&Run, usize)| -> Option<(Amount, System, Option<Quantity>, Option<Quantity>)> {
        let amount = run.amounts.get(place)?.clone();
        let unit = run.unit_for(place);
        let (plain, other) = (amount.quantity(unit), amount.other_quantity(unit));
        Some((amount, run.system?, plain, other))
    };
    let mut sides = vec![amount(one)?];
    sides.extend(two.and_then(amount));
    // Of two readings of one fraction the one that the other system bears out is taken, and that is said.
    if let [(_, system, Some(a), other_a), (_, _, Some(b), other_b)] = &sides[..] {
        let fits = |a: &Quantity, b: &Quantity| {
            let (metric, imperial) = if *system == System::Metric { (a, b) } else { (b, a) };
            Agreement::between(metric, imperial) == Agreement::Agree
        };
        // One of the two may be wrong as well: a tenth apart is near enough to tell 37 1/2 from 185 1/2.
        let near = |a: &Quantity, b: &Quantity| fits(a, b) || (a.value - b.value).abs() < 0.1 * a.value.min(b.value);
        let take = match (other_a, other_b) {
            _ if near(a, b) => None,
            (Some(other), _) if near(other, b) => Some(0),
            (_, Some(other)) if near(a, other) => Some(1),
            _ => None,
        };
        if let Some(side) = take {
            let (amount, _, plain, other) = &mut sides[side];
            let chosen = amount.other.clone().unwrap_or_default();
            amount.remarks.push(format!("`{}` is taken as {chosen}, which the other unit bears out", amount.figures));
            plain.clone_from(other);
        }
    }
    for (amount, system, quantity, _) in sides {
        measure.remarks.extend(amount.remarks);
        match system {
            System::Metric => measure.metric = quantity,
            System::Imperial => measure.imperial = quantity,
        }
    }
    if let (Some(metric), Some(imperial)) = (&measure.metric, &measure.imperial) {
        measure.agreement = Some(Agreement::between(metric, imperial));
    }
    (measure.metric.is_some() || measure.imperial.is_some()).then_some(measure)
}
