//! How a piece is made and how large it is: what entry, condition report and public page print alike.

use serde::Serialize;

use super::cloth::{self, TextileRow};
use super::making::{self, DimensionRow, Group, Line, StitchRow};
use super::sums::{self, SumRow};
use crate::measure::System;
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// Put among the other things that a page shows.
#[derive(Debug, Serialize)]
pub(super) struct Made {
    textiles: Vec<Group<TextileRow>>,
    stitching: Vec<Group<StitchRow>>,
    fastenings: Vec<Group<Line>>,
    stiffening: Vec<Group<Line>>,
    trimmings: Vec<Group<Line>>,
    steps: Vec<Group<Line>>,
    /// Parts of the construction of which nothing is recorded.
    unrecorded: Vec<&'static str>,
    dimensions: Vec<Group<DimensionRow>>,
    sums: Vec<SumRow>,
    signs: Vec<Group<Line>>,
}

impl Made {
    /// As the examination at `at` found it, and earlier ones where it is silent.
    pub fn of(file: &PieceFile, at: usize, units: System, vocabulary: &Vocabulary) -> Self {
        let fastenings = making::groups(file, at, |e| &e.fastenings, making::fastening);
        let stiffening = making::groups(file, at, |e| &e.stiffening, making::stiffening);
        let trimmings = making::groups(file, at, |e| &e.trimmings, making::trimming);
        let steps = making::steps(file, at);
        Self {
            textiles: cloth::textiles(file, at, vocabulary),
            stitching: making::groups(file, at, |e| &e.stitching, making::stitching),
            unrecorded: making::unrecorded(&[
                ("fastenings", &fastenings),
                ("stiffening", &stiffening),
                ("trimmings", &trimmings),
                ("order of making", &steps),
            ]),
            fastenings,
            stiffening,
            trimmings,
            steps,
            dimensions: making::dimensions(file, at, units),
            sums: sums::rows(file, at),
            signs: making::groups(file, at, |e| &e.signs, making::sign),
        }
    }
}
