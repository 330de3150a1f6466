//! The comparison of one piece with others as sheets to pin up: pictures at one scale, summary, chart, tables, reasons,
//! method. The first sheet stands alone.

mod chart;
mod cloths;
mod lengths;
mod matrix;
mod pictures;
mod readings;
mod tables;

use serde::Serialize;

use self::chart::Chart;
use self::cloths::Cloth;
use self::matrix::Matrix;
use self::pictures::{Facing, facing, line};
use self::tables::{Extent, RunOn, Table, signs};
use super::press::{self, Sheet};
use super::side_by_side::{SideBySide, side_by_side};
use super::words::day;
use super::{ReportFault, Settings};
use crate::analysis::comparison::{
    Accounted, Basis, ByHand, Comparison, Features, Group, Heading, Line, Nearest, PairedBy, ToExplain, compare_many,
    to_explain,
};
use crate::record::PieceFile;

/// What is to be compared, and what stands beside it on the page.
#[derive(Debug, Clone, Default)]
pub struct Compared {
    /// On what terms.
    pub basis: Basis,
    /// Candidates for cloths of the piece.
    pub cloths: Vec<Nearest>,
    /// By what name these terms are kept, by whom and when; blank where they are not.
    pub kept: String,
}

/// What the sheet says.
#[derive(Debug, Serialize)]
pub(crate) struct Page {
    subject: Named,
    subject_line: String,
    /// All pieces and the matrix of all features, where there is more than one section.
    several: Option<Several>,
    sections: Vec<Section>,
    /// Each sign and what it means.
    signs: Vec<tables::Sign>,
    tolerances: Vec<(&'static str, String)>,
    /// Terms that are not those that hold where nothing is said: sizes, components paired by hand, the name it is kept by.
    terms: Vec<String>,
    cloths: Vec<Cloth>,
}

/// How a piece is named, apart from its record.
#[derive(Debug, Serialize)]
struct Named {
    number: String,
    name: String,
    nature: String,
    date: String,
}

impl Named {
    fn of(heading: Heading<'_>) -> Self {
        let Heading { number, name, nature, date } = heading;
        Self { number: number.into(), name: name.into(), nature: nature.into(), date: date.into() }
    }
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
    other: Named,
    pictures: Facing,
    /// Photographs of the two laid over each other.
    pairs: Vec<SideBySide>,
    summary: String,
    counts: crate::analysis::comparison::Counts,
    on_both: usize,
    /// The dimensions in per cent, for the first sheet.
    chart: Option<Chart>,
    /// What differs, with reasons, for the first sheet.
    differing: Vec<RunOn>,
    more_differ: usize,
    /// Rows of the chart and lines of what differs on the first sheet: the pictures take the room that these leave.
    rows: usize,
    lines: usize,
    /// What is left where a factor was fitted.
    left_over: Option<Chart>,
    /// Each kind of feature.
    charts: Vec<Chart>,
    tables: Vec<Table>,
    proportions: Option<Table>,
    /// What only the subject records, and what only the other does.
    only: [Vec<RunOn>; 2],
    unexplained: Vec<Accounted>,
    /// The same, as a departure would record each.
    to_explain: Vec<ToExplain>,
    without_difference: Vec<Accounted>,
    untested: Vec<Accounted>,
    learned: Vec<Accounted>,
    /// Components that go by another name, in words.
    renamed: Vec<String>,
    /// Components that only the one or the other has, in words.
    unpaired: Vec<String>,
}

pub(super) fn print(
    subject: &PieceFile,
    others: &[PieceFile],
    compared: &Compared,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    let page = page(subject, others, compared, settings)?;
    let beside = match others {
        [] => "nothing to compare with".to_string(),
        [only] => only.number().to_owned(),
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
    compared: &Compared,
    settings: &Settings<'_>,
) -> Result<Page, ReportFault> {
    let (basis, vocabulary) = (&compared.basis, settings.vocabulary);
    let (ours, theirs) = (Features::of(subject, vocabulary), Features::all(others, vocabulary));
    let found = compare_many(&ours, &theirs, vocabulary, basis).map_err(ReportFault::Asked)?;
    let several = matrix::of(&found).filter(|_| others.len() > 1).map(|matrix| Several {
        pieces: facing(&std::iter::once(subject).chain(others).collect::<Vec<_>>(), settings),
        matrix,
    });
    let extent = if several.is_some() { Extent::Brief } else { Extent::Full };
    let sections = found.into_iter().zip(others).enumerate();
    let heading = Heading::of(subject);
    Ok(Page {
        subject_line: line(&heading),
        sections: sections.map(|(i, (f, other))| section(i, f, [subject, other], extent, settings)).collect(),
        several,
        subject: Named::of(heading),
        signs: signs(),
        tolerances: basis.tolerances.in_words(),
        terms: terms(compared),
        cloths: compared.cloths.iter().map(cloths::of).collect(),
    })
}

fn section(
    place: usize,
    mut found: Comparison<'_>,
    [subject, other]: [&PieceFile; 2],
    extent: Extent,
    settings: &Settings<'_>,
) -> Section {
    let (renamed, unpaired) = components(&found);
    lengths::read_in(&mut found, settings.units);
    let to_explain = to_explain(&found, subject, other);
    let chart = chart::dimensions(&found);
    let (differing, more_differ) = tables::differing(&found.groups);
    let rows = chart.as_ref().map_or(0, Chart::rows);
    let letters = differing.iter().map(|d| d.component.len() + d.features.chars().count() + 4).sum::<usize>();
    let lines = letters.div_ceil(135);
    let proportions = Group { title: "Proportions", lines: found.proportions.clone() };
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
        chart,
        rows,
        lines,
        differing,
        more_differ,
        left_over: chart::left_over(&found),
        charts: match extent {
            Extent::Full => chart::by_kind(&found).into_iter().chain(chart::proportions(&found)).collect(),
            Extent::Brief => Vec::new(),
        },
        proportions: (!proportions.lines.is_empty())
            .then(|| tables::of(&proportions, extent))
            .filter(|t| !t.parts.is_empty()),
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
        learned: learned(&found.groups),
        summary: found.summary(),
        counts: found.counts,
        unexplained: found.unexplained(),
        to_explain,
        without_difference: found.departures_without_difference,
        untested: found.departures_untested,
        renamed,
        unpaired,
        other: Named::of(found.other),
    }
}

fn components(found: &Comparison<'_>) -> (Vec<String>, Vec<String>) {
    let (mut renamed, mut unpaired) = (Vec::new(), Vec::new());
    for pairing in &found.components {
        match (&pairing.subject, &pairing.other, pairing.by) {
            (Some(a), Some(b), Some(by)) if by != PairedBy::Name => {
                let once = pairing.once.as_ref().map(|once| format!(" ({once})")).unwrap_or_default();
                renamed.push(format!("{a} with {b}{once}"));
            }
            (Some(a), None, _) => unpaired.push(format!("{a} ({})", found.subject.number)),
            (None, Some(b), _) => unpaired.push(format!("{b} ({})", found.other.number)),
            _ => {}
        }
    }
    (renamed, unpaired)
}

/// What was learned from the departures that stand beside a line, each once.
fn learned(groups: &[Group<'_>]) -> Vec<Accounted> {
    let mut list: Vec<Accounted> = Vec::new();
    let of = |line: &Line<'_>| -> Vec<Accounted> {
        let told = |e: &crate::analysis::comparison::Explanation| {
            let (component, feature) = (line.component.to_string(), line.item.to_string());
            Some(Accounted { component, feature, what: e.learned.clone()? })
        };
        line.departures.iter().filter_map(told).collect()
    };
    for one in groups.iter().flat_map(|g| &g.lines).flat_map(of) {
        if !list.iter().any(|known| known.what == one.what) {
            list.push(one);
        }
    }
    list
}

/// The terms that somebody chose, in words.
fn terms(compared: &Compared) -> Vec<String> {
    let basis = &compared.basis;
    let sizes = basis.sizes.written();
    let pairs: Vec<String> = basis.pairs.iter().map(ByHand::written).collect();
    let kept = (!compared.kept.is_empty()).then(|| format!("kept as {}", compared.kept));
    let sizes = sizes.lines().map(|line| format!("size: {line}"));
    let pairs = (!pairs.is_empty()).then(|| format!("components paired by hand: {}", pairs.join("; ")));
    kept.into_iter().chain(sizes).chain(pairs).collect()
}
