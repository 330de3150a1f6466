//! The comparison of one piece with others as sheets to pin up: pictures at one scale, summary, chart, tables, reasons,
//! method. The first sheet stands alone.

mod chart;
mod matrix;
mod pictures;
mod readings;
mod tables;

use serde::Serialize;

use self::chart::Chart;
use self::matrix::Matrix;
use self::pictures::{Facing, facing, line};
use self::tables::{Extent, RunOn, Table, signs};
use super::press::{self, Sheet};
use super::side_by_side::{SideBySide, side_by_side};
use super::words::day;
use super::{ReportFault, Settings};
use crate::analysis::comparison::{Accounted, Comparison, Heading, PairedBy, Tolerances, compare};
use crate::record::PieceFile;

#[derive(Debug, Serialize)]
struct Page {
    subject: Heading,
    subject_line: String,
    /// All pieces and the matrix of all features, where there is more than one section.
    several: Option<Several>,
    sections: Vec<Section>,
    /// Each sign and what it means.
    signs: Vec<tables::Sign>,
    tolerances: Vec<(&'static str, String)>,
}

/// What stands before the sections if there is more than one.
#[derive(Debug, Serialize)]
struct Several {
    pieces: Facing,
    matrix: Matrix,
}

/// The subject beside one other piece.
#[derive(Debug, Serialize)]
struct Section {
    anchor: String,
    other: Heading,
    pictures: Facing,
    /// Photographs of the two laid over each other.
    pairs: Vec<SideBySide>,
    summary: String,
    counts: crate::analysis::comparison::Counts,
    on_both: usize,
    /// The dimensions in per cent, for the first sheet.
    chart: Option<Chart>,
    /// Each kind of feature.
    charts: Vec<Chart>,
    tables: Vec<Table>,
    /// What only the subject records, and what only the other does.
    only: [Vec<RunOn>; 2],
    unexplained: Vec<Accounted>,
    without_difference: Vec<Accounted>,
    untested: Vec<Accounted>,
    /// Components that go by another name, in words.
    renamed: Vec<String>,
    /// Components that only the one or the other has, in words.
    unpaired: Vec<String>,
}

pub(super) fn print(
    subject: &PieceFile,
    others: &[PieceFile],
    tolerances: &Tolerances,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    let found: Vec<Comparison> =
        others.iter().map(|other| compare(subject, other, settings.vocabulary, tolerances)).collect();
    let heading = Heading::of(subject);
    let beside = match others {
        [] => "nothing to compare with".to_string(),
        [only] => Heading::of(only).number,
        many => format!("{} others", many.len()),
    };
    let sheet = Sheet {
        title: format!("{} beside {beside}: comparison", heading.number),
        running_left: format!("Comparison {} / {beside}", heading.number),
        running_right: settings.collection.to_string(),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.to_string(),
    };
    let several = (others.len() > 1).then(|| Several {
        pieces: facing(&std::iter::once(subject).chain(others).collect::<Vec<_>>(), settings),
        matrix: matrix::of(&found),
    });
    let extent = if several.is_some() { Extent::Brief } else { Extent::Full };
    let sections = found.into_iter().zip(others).enumerate();
    let page = Page {
        subject_line: line(&heading),
        sections: sections.map(|(i, (f, other))| section(i, f, [subject, other], extent, settings)).collect(),
        several,
        subject: heading,
        signs: signs(),
        tolerances: tolerances.in_words(),
    };
    press::print("comparison.html", &sheet, &page)
}

fn section(
    place: usize,
    found: Comparison,
    [subject, other]: [&PieceFile; 2],
    extent: Extent,
    settings: &Settings<'_>,
) -> Section {
    let (renamed, unpaired) = components(&found);
    Section {
        anchor: format!("with-{}", place + 1),
        pictures: facing(&[subject, other], settings),
        pairs: side_by_side(
            &subject.photographs.iter().chain(&other.photographs).collect::<Vec<_>>(),
            |a, b| a.number != b.number,
            100 * place + 1,
            settings,
        ),
        on_both: found.counts.on_both(),
        chart: chart::dimensions(&found),
        charts: if extent == Extent::Full { chart::by_kind(&found) } else { Vec::new() },
        tables: found
            .groups
            .iter()
            .map(|group| tables::of(group, extent))
            .filter(|t| !(t.parts.is_empty() && t.alike.is_empty()))
            .collect(),
        only: match extent {
            Extent::Full => [tables::only(&found.groups, true), tables::only(&found.groups, false)],
            Extent::Brief => [Vec::new(), Vec::new()],
        },
        summary: found.summary,
        counts: found.counts,
        unexplained: found.unexplained,
        without_difference: found.departures_without_difference,
        untested: found.departures_untested,
        renamed,
        unpaired,
        other: found.other,
    }
}

fn components(found: &Comparison) -> (Vec<String>, Vec<String>) {
    let (mut renamed, mut unpaired) = (Vec::new(), Vec::new());
    for pairing in &found.components {
        match (&pairing.subject, &pairing.other, pairing.by) {
            (Some(a), Some(b), Some(PairedBy::TermAndSide)) => renamed.push(format!("{a} with {b}")),
            (Some(a), None, _) => unpaired.push(format!("{a} ({})", found.subject.number)),
            (None, Some(b), _) => unpaired.push(format!("{b} ({})", found.other.number)),
            _ => {}
        }
    }
    (renamed, unpaired)
}
