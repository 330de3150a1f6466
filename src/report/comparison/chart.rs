//! The chart of differences of dimensions: one strip a dimension, drawn to one scale, with error bar and tolerance.
//!
//! Positions are worked out here in units of the drawing; the template only puts them into SVG. Each strip is a small
//! drawing of its own, so that its words can stand beside it as text at any width of page.

use serde::Serialize;

use super::tables::sign;
use crate::analysis::comparison::{Comparison, Figures, Finding, Line, difference_words, finding_words};

/// Width of a strip, in units of the drawing.
const WIDTH: f64 = 400.0;
/// Blank at either end, so that a sign at the end is not cut.
const MARGIN: f64 = 10.0;

/// The strips and their scale.
#[derive(Debug, Serialize)]
pub(super) struct Chart {
    pub parts: Vec<Part>,
    pub ticks: Vec<Tick>,
    pub zero: String,
    /// Whether a strip reaches beyond the scale.
    pub cut: bool,
}

/// The strips of one component.
#[derive(Debug, Serialize)]
pub(super) struct Part {
    pub component: String,
    pub strips: Vec<Strip>,
}

/// One dimension.
#[derive(Debug, Serialize)]
pub(super) struct Strip {
    pub feature: String,
    pub difference: String,
    pub finding: String,
    pub sign: &'static str,
    /// The drawing in words.
    pub words: String,
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

/// The chart of all dimensions recorded on both pieces; none if there is no such dimension.
pub(super) fn of(found: &Comparison) -> Option<Chart> {
    let lines: Vec<(&Line, &Figures)> = found
        .groups
        .iter()
        .filter(|g| g.title == "Dimensions")
        .flat_map(|g| &g.lines)
        .filter_map(|line| match &line.finding {
            Finding::Number(f) if (f.difference + f.expanded).is_finite() => Some((line, f)),
            _ => None,
        })
        .collect();
    let scale = Scale::of(&lines)?;
    let mut parts: Vec<Part> = Vec::new();
    let mut cut = false;
    for (line, figures) in lines {
        let strip = strip(line, figures, &scale);
        cut |= !strip.beyond.is_empty();
        match parts.iter_mut().find(|p| p.component == line.component) {
            Some(part) => part.strips.push(strip),
            None => parts.push(Part { component: line.component.clone(), strips: vec![strip] }),
        }
    }
    Some(Chart { parts, ticks: scale.ticks(), zero: scale.x(0.0), cut })
}

fn strip(line: &Line, f: &Figures, scale: &Scale) -> Strip {
    let (difference, _) = difference_words(line);
    let finding = finding_words(line);
    let words = format!("difference {difference}, tolerance {} mm either side of none: {finding}", short(f.tolerance));
    let beyond = match f.difference {
        d if d > scale.reach => "right",
        d if d < -scale.reach => "left",
        _ => "",
    };
    let from_to = |a: f64, b: f64| {
        let (start, end) = (scale.place(a), scale.place(b));
        [number(start), number(end - start)]
    };
    Strip {
        feature: line.feature.clone(),
        words,
        difference,
        finding,
        sign: sign(line),
        band: from_to(-f.tolerance, f.tolerance),
        bar: [scale.x(f.difference - f.expanded), scale.x(f.difference + f.expanded)],
        at: scale.x(f.difference),
        beyond,
    }
}

/// Millimetres to units of the drawing, none in the middle.
struct Scale {
    /// Millimetres from the middle to either end.
    reach: f64,
    step: f64,
}

impl Scale {
    /// Wide enough for every strip, unless one lies so far out that the rest would shrink to nothing: then for three
    /// times what all but the widest need.
    fn of(lines: &[(&Line, &Figures)]) -> Option<Self> {
        let mut needs: Vec<f64> =
            lines.iter().map(|(_, f)| (f.difference.abs() + f.expanded).max(f.tolerance)).collect();
        needs.sort_by(f64::total_cmp);
        let widest = *needs.last()?;
        let usual = needs.get(needs.len().wrapping_sub(2)).copied().unwrap_or(widest);
        let need = widest.min(3.0 * usual).max(1.0);
        let step = [1.0, 2.0, 5.0]
            .into_iter()
            .flat_map(|base| (0..7).map(move |power| base * 10f64.powi(power)))
            .filter(|step| need / step <= 4.0)
            .fold(f64::INFINITY, f64::min);
        let step = if step.is_finite() { step } else { need };
        Some(Self { reach: need * 1.05, step })
    }

    fn place(&self, millimetres: f64) -> f64 {
        let share = (millimetres / self.reach).clamp(-1.0, 1.0);
        WIDTH / 2.0 + share * (WIDTH / 2.0 - MARGIN)
    }

    fn x(&self, millimetres: f64) -> String {
        number(self.place(millimetres))
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
    format!("{x:.1}")
}

fn short(x: f64) -> String {
    let text = format!("{x:.1}");
    text.strip_suffix(".0").map_or(text.clone(), String::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_is_even_about_none_and_its_ends_are_kept() {
        let scale = Scale { reach: 20.0, step: 5.0 };
        for (mm, at) in [(0.0, "200.0"), (20.0, "390.0"), (-20.0, "10.0"), (10.0, "295.0"), (900.0, "390.0")] {
            assert_eq!(scale.x(mm), at, "{mm}");
        }
        let labels: Vec<String> = scale.ticks().into_iter().map(|t| t.label).collect();
        assert_eq!(labels, ["−20", "−15", "−10", "−5", "0", "+5", "+10", "+15", "+20"]);
    }
}
