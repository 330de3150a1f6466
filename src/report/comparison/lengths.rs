//! Lengths of a comparison as somebody prefers to read them. The analysis keeps millimetres; here a line is read in inches
//! as a whole, so that its figures, its words and its chart never stand in two systems unawares.

use crate::analysis::comparison::{Comparison, Finding, Line, Side};
use crate::measure::{MM_PER_INCH, System};

/// Reads all lengths of a comparison in a system.
pub(super) fn read_in(found: &mut Comparison<'_>, units: System) {
    if units == System::Inches {
        found.groups.iter_mut().flat_map(|g| &mut g.lines).filter(|line| is_length(line)).for_each(turn);
    }
}

/// Whether a line is of lengths.
pub(super) fn is_length(line: &Line<'_>) -> bool {
    matches!(line.unit, "mm" | "in")
}

/// A line of lengths in the system in which it does not stand; none of anything else.
pub(super) fn in_other<'a>(line: &Line<'a>) -> Option<Line<'a>> {
    is_length(line).then(|| {
        let mut other = line.clone();
        turn(&mut other);
        other
    })
}

/// Turns a line from millimetres to inches, or back.
fn turn(line: &mut Line<'_>) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::comparison::{Basis, Features, compare_many, difference_words};
    use crate::measure::{Kind, Quantity};
    use crate::record::measurement::Measurement;
    use crate::record::{Examination, Observed, PieceFile};
    use crate::vocabulary::{Scheme, TermId, Vocabulary};

    fn piece(number: &str, length: &str) -> PieceFile {
        let what = Measurement {
            dimension: Some(TermId::new(Scheme::Dimension, "centre back length")),
            readings: vec![Quantity::parse(Kind::Length, length).expect("a length")],
            ..Measurement::default()
        };
        let measured = Observed { what, ..Observed::default() };
        let mut file = PieceFile::default();
        file.piece.number = Some(number.into());
        file.examinations = vec![Examination { measurements: vec![measured], ..Examination::default() }];
        file
    }

    #[test]
    fn a_line_is_turned_whole_and_back() {
        let vocabulary = Vocabulary::shipped();
        let (subject, other) = (piece("1", "12 in"), piece("2", "10 in"));
        let basis = Basis::default();
        let [ours, theirs] = [&subject, &other].map(|file| Features::of(file, vocabulary));
        let mut found = compare_many(&ours, &[theirs], vocabulary, &basis).expect("compared").pop().expect("one");
        let metric = found.groups[0].lines[0].clone();
        read_in(&mut found, System::Metric);
        assert_eq!(found.groups[0].lines[0], metric, "as the analysis keeps it");
        read_in(&mut found, System::Inches);
        let inches = &found.groups[0].lines[0];
        // 12 in less 10 in, by hand.
        let Finding::Number(figures) = inches.finding else { panic!("figures: {inches:?}") };
        assert!((figures.difference - 2.0).abs() < 1e-9, "{figures:?}");
        assert_eq!(
            (inches.subject.value.map(f64::round), inches.other.value.map(f64::round)),
            (Some(12.0), Some(10.0))
        );
        // 2 in are 50.8 mm; inches read to the whole allow no tenth.
        let back = difference_words(&in_other(inches).expect("a length")).0;
        assert!(back.starts_with("+51 ± "), "{back}");
        assert!(inches.subject.si().ends_with(" in") && metric.subject.si().ends_with(" mm"));
    }
}
