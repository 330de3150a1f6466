//! The comparison of one piece with others as a sheet to pin up: pictures, summary, chart, tables, reasons, method.

mod chart;
mod tables;

use serde::Serialize;

use self::chart::Chart;
use self::tables::{Table, signs};
use super::press::{self, Sheet};
use super::side_by_side::{SideBySide, side_by_side};
use super::words::{capital, day, joined};
use super::{ReportFault, Settings};
use crate::analysis::comparison::{
    Accounted, Basis, Comparison, Heading, PairedBy, ToExplain, compare_many, to_explain,
};
use crate::record::PieceFile;
use crate::record::photograph::Photograph;

/// What the sheet says.
#[derive(Debug, Serialize)]
pub(crate) struct Page {
    subject: Heading,
    subject_line: String,
    /// Whether there is more than one section.
    several: bool,
    sections: Vec<Section>,
    /// Each sign and what it means.
    signs: Vec<tables::Sign>,
    tolerances: Vec<(&'static str, String)>,
}

/// The subject beside one other piece.
#[derive(Debug, Serialize)]
struct Section {
    anchor: String,
    other: Heading,
    pictures: [Picture; 2],
    /// Photographs of the two laid over each other.
    pairs: Vec<SideBySide>,
    summary: String,
    counts: crate::analysis::comparison::Counts,
    on_both: usize,
    chart: Option<Chart>,
    tables: Vec<Table>,
    /// What only the subject records, and what only the other does.
    only: [Vec<tables::Only>; 2],
    unexplained: Vec<Accounted>,
    /// The same, as a departure would record each.
    to_explain: Vec<ToExplain>,
    without_difference: Vec<Accounted>,
    untested: Vec<Accounted>,
    /// Components that go by another name, in words.
    renamed: Vec<String>,
    /// Components that only the one or the other has, in words.
    unpaired: Vec<String>,
}

/// One front view, or the words that there is none.
#[derive(Debug, Serialize)]
struct Picture {
    number: String,
    src: String,
    alt: String,
    width: u32,
    height: u32,
    /// Its name, nature and date.
    line: String,
    caption: String,
}

pub(super) fn print(
    subject: &PieceFile,
    others: &[PieceFile],
    basis: &Basis,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    let page = page(subject, others, basis, settings)?;
    let beside = match page.sections.as_slice() {
        [] => "nothing to compare with".to_string(),
        [only] => only.other.number.clone(),
        many => format!("{} others", many.len()),
    };
    let sheet = Sheet {
        title: format!("{} beside {beside}: comparison", page.subject.number),
        running_left: format!("Comparison {} / {beside}", page.subject.number),
        running_right: settings.collection.to_string(),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.to_string(),
    };
    press::print("comparison.html", &sheet, &page)
}

/// What the sheet says, for whoever lays it out.
pub(super) fn page(
    subject: &PieceFile,
    others: &[PieceFile],
    basis: &Basis,
    settings: &Settings<'_>,
) -> Result<Page, ReportFault> {
    let found = compare_many(subject, others, settings.vocabulary, basis).map_err(ReportFault::Asked)?;
    let sections: Vec<Section> = others
        .iter()
        .zip(found)
        .enumerate()
        .map(|(i, (other, found))| section(i, subject, other, found, settings))
        .collect();
    let heading = Heading::of(subject);
    Ok(Page {
        subject_line: line(&heading),
        several: sections.len() > 1,
        subject: heading,
        sections,
        signs: signs(),
        tolerances: basis.tolerances.in_words(),
    })
}

fn section(
    place: usize,
    subject: &PieceFile,
    other: &PieceFile,
    found: Comparison,
    settings: &Settings<'_>,
) -> Section {
    let (renamed, unpaired) = components(&found);
    let to_explain = to_explain(&found, subject, other);
    Section {
        anchor: format!("with-{}", place + 1),
        pictures: [picture(subject, settings), picture(other, settings)],
        pairs: side_by_side(
            &subject.photographs.iter().chain(&other.photographs).collect::<Vec<_>>(),
            |a, b| a.number != b.number,
            100 * place + 1,
            settings,
        ),
        on_both: found.counts.on_both(),
        chart: chart::of(&found),
        tables: found.groups.iter().map(tables::of).filter(|t| !t.parts.is_empty()).collect(),
        only: [tables::only(&found.groups, true), tables::only(&found.groups, false)],
        summary: found.summary,
        counts: found.counts,
        unexplained: found.unexplained,
        to_explain,
        without_difference: found.departures_without_difference,
        untested: found.departures_untested,
        renamed,
        unpaired,
        other: found.other,
    }
}

/// `Reconstruction, 2023. Spencer after 2018.2`.
fn line(heading: &Heading) -> String {
    let facts: Vec<&str> =
        [heading.nature.as_str(), heading.date.as_str()].into_iter().filter(|t| !t.is_empty()).collect();
    capital(&facts.join(", "))
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

/// The latest front view of the whole piece; failing that the latest front view of a part.
fn picture(file: &PieceFile, settings: &Settings<'_>) -> Picture {
    let heading = Heading::of(file);
    let number = heading.number.clone();
    let line = joined([heading.name.clone(), line(&heading)], ". ");
    let front = |p: &&Photograph| p.view.as_ref().is_some_and(|v| v.name().split_whitespace().any(|w| w == "front"));
    let best = file
        .photographs
        .iter()
        .filter(front)
        .max_by_key(|p| (p.component.is_none(), p.capture.taken.clone(), p.examination));
    let shown = best.and_then(|p| Some((p, settings.pictures.view(&p.sha256)?)));
    match shown {
        Some((photograph, src)) => Picture {
            alt: format!("Front view of {number}"),
            caption: photograph.caption.clone().unwrap_or_default(),
            width: photograph.width,
            height: photograph.height,
            line,
            number,
            src,
        },
        None => Picture {
            number,
            src: String::new(),
            alt: String::new(),
            width: 0,
            height: 0,
            line,
            caption: "No front view is recorded.".into(),
        },
    }
}
