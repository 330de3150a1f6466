//! Lengths of a comparison as somebody prefers to read them. The analysis keeps millimetres; here a line is read in inches
//! as a whole, so that its figures, its words and its chart never stand in two systems unawares.

use crate::analysis::comparison::{Comparison, Finding, Line, Side, difference_words};
use crate::measure::{MM_PER_INCH, System};

/// Reads all lengths of a comparison in a system.
pub(super) fn read_in(found: &mut Comparison, units: System) {
    if units == System::Inches {
        found.groups.iter_mut().flat_map(|g| &mut g.lines).filter(|line| is_length(line)).for_each(turn);
    }
}

/// Whether a line is of lengths.
pub(super) fn is_length(line: &Line) -> bool {
    matches!(line.unit, "mm" | "in")
}

/// A line of lengths in the system in which it does not stand; none of anything else.
pub(super) fn in_other(line: &Line) -> Option<Line> {
    let mut other = line.clone();
    is_length(line).then(|| turn(&mut other))?;
    Some(other)
}

/// The difference in the other system: `−0.32 ± 0.09 in`; blank where it is no length.
pub(super) fn difference_in_other(line: &Line) -> String {
    in_other(line).map(|other| difference_words(&other).0).unwrap_or_default()
}

/// Turns a line from millimetres to inches, or back.
fn turn(line: &mut Line) {
    let (unit, by) = if line.unit == "mm" { ("in", 1.0 / MM_PER_INCH) } else { ("mm", MM_PER_INCH) };
    line.unit = unit;
    let times = |figure: &mut Option<f64>| *figure = figure.map(|x| x * by);
    for Side { value, u, unit: of_side, .. } in [&mut line.subject, &mut line.other] {
        times(value);
        times(u);
        *of_side = of_side.map(|_| unit);
    }
    if let Finding::Number(figures) = &mut line.finding {
        times(&mut figures.other_scaled);
        for figure in [&mut figures.difference, &mut figures.u, &mut figures.expanded, &mut figures.tolerance] {
            *figure *= by;
        }
    }
}
