//! The charts of differences: one strip a feature, with error bar and tolerance, by component.
//!
//! Places are worked out here in per cent of the strip's width; the template only puts them into SVG. A strip is a small
//! drawing of its own that stretches with the page while its signs keep their size, so that it reads alike on a
//! telephone, on a wall and in two columns on paper; its words stand beside it as text.

use serde::Serialize;

use super::lengths::is_length;
use super::tables::sign;
use crate::analysis::comparison::{Comparison, Figures, Finding, Group, Line, difference_words, finding_words};
use crate::measure::rounded;

/// Blank at either end of a strip, in per cent, so that a sign at the end is not cut.
const MARGIN: f64 = 4.0;
/// Marks of the scale to either side of none, at most: their numbers must fit a narrow column.
const MARKS: f64 = 2.6;

/// The strips of one kind of feature and their scale.
#[derive(Debug, Serialize)]
pub(super) struct Chart {
    pub title: String,
    /// What the scale counts: `mm`, `in`, `%`.
    pub unit: &'static str,
    /// In two columns of about one length, each over its own scale; one where there is little.
    pub columns: Vec<Vec<Part>>,
    pub ticks: Vec<Tick>,
    pub zero: String,
    /// Whether a strip reaches beyond the scale.
    pub cut: bool,
    /// Features that had no room.
    pub left_out: usize,
    /// Whether each difference stands there in per cent only.
    pub brief: bool,
    /// Whether the other piece was brought to the size of the subject.
    pub scaled: bool,
}

/// The strips of one component.
#[derive(Debug, Serialize)]
pub(super) struct Part {
    pub component: String,
    pub strips: Vec<Strip>,
}

/// One feature.
#[derive(Debug, Serialize)]
pub(super) struct Strip {
    pub feature: String,
    pub difference: String,
    pub sign: &'static str,
    /// The drawing in words.
    pub words: String,
    /// Where the band of the tolerance begins, and how wide it is.
    pub band: [String; 2],
    pub bar: [String; 2],
    pub at: String,
    /// `left` or `right` if the value lies beyond the scale.
    pub beyond: &'static str,
}

/// One mark of the scale.
#[derive(Debug, Serialize)]
pub(super) struct Tick {
    pub at: String,
    pub label: String,
}

/// In what a chart counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Counted {
    /// Lengths, in the system in which the lines are read.
    Lengths,
    /// Per cent of the other piece's value, so that a long dimension and a short one, a count of threads and a length
    /// can be read together.
    Share,
}

/// A line's figures in what the chart counts.
struct Reading<'a> {
    line: &'a Line<'a>,
    /// Whether the difference stands beside the strip in its own unit as well.
    in_full: bool,
    difference: f64,
    expanded: f64,
    tolerance: f64,
}

impl Reading<'_> {
    /// How far out it lies, in tolerances.
    fn out(&self) -> f64 {
        (self.difference.abs() + self.expanded) / self.tolerance.max(f64::MIN_POSITIVE)
    }
}

/// The dimensions in per cent of the other piece, for the first sheet: no more than there is room for, and then those
/// that lie furthest out for their tolerance.
pub(super) fn dimensions(found: &Comparison<'_>) -> Option<Chart> {
    let group = found.groups.iter().find(|g| g.title == DIMENSIONS)?;
    chart(group, Counted::Share, ROOM)
}

/// The dimensions as lengths, then each other kind of feature in per cent.
pub(super) fn by_kind(found: &Comparison<'_>) -> Vec<Chart> {
    let kind = |group: &Group<'_>| match group.title {
        DIMENSIONS => chart(group, Counted::Lengths, usize::MAX),
        _ => chart(group, Counted::Share, usize::MAX),
    };
    found.groups.iter().filter_map(kind).collect()
}

/// What is left between the dimensions that a factor was fitted to, as lengths.
pub(super) fn left_over(found: &Comparison<'_>) -> Option<Chart> {
    let fitted = |line: &&Line<'_>| matches!(line.finding, Finding::Number(Figures { leverage: Some(_), .. }));
    let lines = found.groups.iter().flat_map(|g| &g.lines).filter(fitted).cloned().collect();
    chart(&Group { title: "Left over after the fit", lines }, Counted::Lengths, usize::MAX)
}

/// The proportions, in per cent.
pub(super) fn proportions(found: &Comparison<'_>) -> Option<Chart> {
    let lines = found.proportions.clone();
    chart(&Group { title: "Proportions", lines }, Counted::Share, usize::MAX)
}

const DIMENSIONS: &str = "Dimensions";
/// Strips and names of components that the first sheet has room for, in two columns on Letter.
const ROOM: usize = 44;

fn chart(group: &Group<'_>, counted: Counted, room: usize) -> Option<Chart> {
    let mut readings: Vec<Reading> = group.lines.iter().filter_map(|line| reading(line, counted)).collect();
    let all = readings.len();
    while rows(&readings) > room {
        let nearest = readings.iter().enumerate().min_by(|(_, a), (_, b)| a.out().total_cmp(&b.out()));
        let Some((at, _)) = nearest else { break };
        readings.remove(at);
    }
    let unit = match counted {
        Counted::Lengths => readings.first()?.line.unit,
        Counted::Share => "%",
    };
    let fine = if unit == "in" { 0.05 } else { 1.0 };
    let scale = Scale::of(&readings, fine)?;
    let mut parts: Vec<Part> = Vec::new();
    let mut cut = false;
    for reading in &readings {
        let strip = strip(reading, &scale);
        cut |= !strip.beyond.is_empty();
        let component = &reading.line.component;
        match parts.iter_mut().find(|p| p.component == *component) {
            Some(part) => part.strips.push(strip),
            None => parts.push(Part { component: component.to_string(), strips: vec![strip] }),
        }
    }
    let (title, left_out) = (group.title.to_owned(), all - readings.len());
    let (columns, brief) = (in_columns(parts), readings.iter().all(|r| !r.in_full));
    let scaled =
        readings.iter().any(|r| matches!(r.line.finding, Finding::Number(Figures { other_scaled: Some(_), .. })));
    Some(Chart { scaled, title, unit, columns, ticks: scale.ticks(), zero: scale.x(0.0), cut, left_out, brief })
}

impl Chart {
    /// Rows of the longest column.
    pub fn rows(&self) -> usize {
        self.columns.iter().map(|parts| parts.iter().map(|p| p.strips.len() + 1).sum()).max().unwrap_or(0)
    }
}

/// Parts in order, split where the two halves come nearest to one length.
fn in_columns(mut parts: Vec<Part>) -> Vec<Vec<Part>> {
    let length = |parts: &[Part]| parts.iter().map(|p| p.strips.len() + 1).sum::<usize>();
    let apart = |at: &usize| length(&parts[..*at]).abs_diff(length(&parts[*at..]));
    match (1..parts.len()).min_by_key(apart) {
        Some(at) => {
            let second = parts.split_off(at);
            vec![parts, second]
        }
        None => vec![parts],
    }
}

/// Rows that strips take, one for the name of each component among them.
fn rows(readings: &[Reading]) -> usize {
    let mut components: Vec<&str> = readings.iter().map(|r| r.line.component.as_ref()).collect();
    components.sort_unstable();
    components.dedup();
    readings.len() + components.len()
}

/// None for terms, for another unit, and for a share of nothing.
fn reading<'a>(line: &'a Line<'_>, counted: Counted) -> Option<Reading<'a>> {
    let Finding::Number(Figures { difference, expanded, tolerance, other_scaled, .. }) = line.finding else {
        return None;
    };
    // A count has no error bar; it stands in the tables.
    if line.unit.is_empty() && expanded == 0.0 {
        return None;
    }
    let by = match counted {
        Counted::Lengths => is_length(line).then_some(1.0)?,
        Counted::Share => 100.0 / other_scaled.or(line.other.value).filter(|v| *v != 0.0)?.abs(),
    };
    let in_full = is_length(line) && line.aspect.is_empty();
    let reading =
        Reading { line, in_full, difference: difference * by, expanded: expanded * by, tolerance: tolerance * by };
    (reading.difference.abs() + reading.expanded + reading.tolerance).is_finite().then_some(reading)
}

fn strip(reading: &Reading, scale: &Scale) -> Strip {
    let line = reading.line;
    let (amount, percent) = difference_words(line);
    let both = if percent.is_empty() { amount } else { format!("{amount} ({percent})") };
    let words =
        format!("difference {both}, tolerance {} either side of none: {}", tolerance_words(line), finding_words(line));
    let beyond = match reading.difference {
        d if d > scale.reach => "right",
        d if d < -scale.reach => "left",
        _ => "",
    };
    let from_to = |a: f64, b: f64| {
        let (start, end) = (scale.place(a), scale.place(b));
        [number(start), number(end - start)]
    };
    Strip {
        feature: line.feature().into_owned(),
        words,
        difference: if reading.in_full { both } else { share_words(reading) },
        sign: sign(line),
        band: from_to(-reading.tolerance, reading.tolerance),
        bar: [scale.x(reading.difference - reading.expanded), scale.x(reading.difference + reading.expanded)],
        at: scale.x(reading.difference),
        beyond,
    }
}

fn tolerance_words(line: &Line<'_>) -> String {
    match line.finding {
        Finding::Number(f) => format!("{} {}", short(f.tolerance), line.unit).trim_end().to_owned(),
        _ => String::new(),
    }
}

/// `+29 ± 5 %`.
fn share_words(reading: &Reading) -> String {
    let (value, expanded) = if reading.expanded > 0.0 {
        rounded(reading.difference, reading.expanded)
    } else {
        (short(reading.difference), String::new())
    };
    let value = match value.strip_prefix('-') {
        Some(rest) => format!("−{rest}"),
        None if value.chars().any(|c| c.is_ascii_digit() && c != '0') => format!("+{value}"),
        None => value,
    };
    if expanded.is_empty() { format!("{value} %") } else { format!("{value} ± {expanded} %") }
}

/// What is counted to per cent of the strip's width, none in the middle.
struct Scale {
    /// From the middle to either end, in what is counted.
    reach: f64,
    step: f64,
}

impl Scale {
    /// Wide enough for every bar and for the usual tolerance, unless a few lie so far out that the rest would shrink to
    /// nothing: then for three times what nine in ten of them need; never finer than `fine`.
    fn of(readings: &[Reading], fine: f64) -> Option<Self> {
        let sorted = |of: fn(&Reading) -> f64| {
            let mut all: Vec<f64> = readings.iter().map(of).collect();
            all.sort_by(f64::total_cmp);
            all
        };
        let reaches = sorted(|r| r.difference.abs() + r.expanded);
        let tolerances = sorted(|r| r.tolerance);
        let usual = reaches.get(readings.len().checked_sub(1)? * 9 / 10)?;
        let tolerance = tolerances.get(readings.len() / 2)?;
        let need = reaches.last()?.min(3.0 * usual).max(1.2 * tolerance).max(fine);
        let step = [1.0, 2.0, 5.0]
            .into_iter()
            .flat_map(|base| (-2..7).map(move |power| base * 10f64.powi(power)))
            .filter(|step| *step >= fine && need / step <= MARKS)
            .fold(f64::INFINITY, f64::min);
        let step = if step.is_finite() { step } else { need };
        Some(Self { reach: need * 1.05, step })
    }

    fn place(&self, value: f64) -> f64 {
        let share = (value / self.reach).clamp(-1.0, 1.0);
        50.0 + share * (50.0 - MARGIN)
    }

    fn x(&self, value: f64) -> String {
        number(self.place(value))
    }

    fn ticks(&self) -> Vec<Tick> {
        let steps = (self.reach / self.step).floor() as i32;
        (-steps..=steps)
            .map(|i| {
                let value = f64::from(i) * self.step;
                let label = match i {
                    0 => "0".to_string(),
                    i if i < 0 => format!("−{}", short(-value)),
                    _ => format!("+{}", short(value)),
                };
                Tick { at: self.x(value), label }
            })
            .collect()
    }
}

fn number(x: f64) -> String {
    format!("{x:.2}")
}

/// To a tenth; what is less than a whole to a hundredth.
fn short(x: f64) -> String {
    let text = if x.abs() < 1.0 { format!("{x:.2}") } else { format!("{x:.1}") };
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_is_even_about_none_and_its_ends_are_kept() {
        let scale = Scale { reach: 20.0, step: 10.0 };
        for (value, at) in [(0.0, "50.00"), (20.0, "96.00"), (-20.0, "4.00"), (10.0, "73.00"), (900.0, "96.00")] {
            assert_eq!(scale.x(value), at, "{value}");
        }
        let labels: Vec<String> = scale.ticks().into_iter().map(|t| t.label).collect();
        assert_eq!(labels, ["−20", "−10", "0", "+10", "+20"]);
    }
}
