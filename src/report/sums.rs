//! Parts against the whole that they make, as finished words.

use serde::Serialize;

use super::words::joined;
use crate::analysis::sums::{Sum, sums};
use crate::measure::plus_minus;
use crate::record::PieceFile;

/// One sum.
#[derive(Debug, Serialize)]
pub(super) struct SumRow {
    /// What the parts make.
    pub whole: String,
    pub place: String,
    /// The parts, named.
    pub parts: String,
    /// Their sum, in millimetres with its standard uncertainty.
    pub sum: String,
    /// The whole as measured.
    pub measured: String,
    /// Sum minus whole with its expanded uncertainty.
    pub excess: String,
    /// What follows.
    pub finding: String,
}

/// The sums of the latest examination, up to the one at `at`, that has any.
pub(super) fn rows(file: &PieceFile, at: usize) -> Vec<SumRow> {
    let exams = file.examinations.iter().take(at + 1).rev();
    exams.map(|exam| sums(exam).iter().map(row).collect::<Vec<_>>()).find(|rows| !rows.is_empty()).unwrap_or_default()
}

fn row(sum: &Sum) -> SumRow {
    let figure = |value: f64, u: f64| plus_minus(value, u).replace('-', "−");
    let named = |(name, times): &(String, u32)| if *times > 1 { format!("{times} × {name}") } else { name.clone() };
    let mut row = SumRow {
        whole: super::words::capital(sum.dimension.name()),
        place: sum.component.clone().unwrap_or_else(|| "whole piece".into()),
        parts: joined(sum.parts.iter().map(named), ", "),
        sum: figure(sum.closure.sum.value, sum.closure.sum.u),
        measured: String::new(),
        excess: String::new(),
        finding: "the whole was not measured".into(),
    };
    if let Some(against) = &sum.closure.against {
        row.measured = figure(against.whole.value, against.whole.u);
        row.excess = figure(against.excess, against.expanded);
        let (low, high) = against.each;
        row.finding = if against.closes {
            "the parts add up to the whole within their uncertainty".into()
        } else {
            let way = if against.excess > 0.0 { "too much" } else { "missing" };
            let (least, most) = (low.abs().min(high.abs()), low.abs().max(high.abs()));
            format!(
                "they do not add up: between {least:.1} and {most:.1} mm {way} on each of {} parts",
                sum.closure.parts
            )
        };
    }
    row
}
