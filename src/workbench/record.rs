//! The record line by line, as the page of a piece shows it: what stands, and below it what stood before.

use std::collections::HashMap;

use serde::Serialize;

use super::frame;
use crate::catalogue::{Catalogue, FactChange, Fate};
use crate::exchange::correction;
use crate::exchange::lines::{self, Line};
use crate::measure::System;
use crate::record::{Examination, PieceFile};
use crate::report::capital;

/// One line with its past.
#[derive(Debug, Serialize)]
pub(super) struct Shown {
    section: &'static str,
    id: String,
    /// Each field in which something is written, by its name in words.
    words: Vec<(String, String)>,
    /// Whether the line can be withdrawn or struck out.
    can_go: bool,
    /// What stood here before, the latest first.
    earlier: Vec<Past>,
}

/// A line that does not stand any more.
#[derive(Debug, Serialize)]
pub(super) struct Past {
    /// Where it is put back: section and identifier.
    place: String,
    section: String,
    words: Vec<(String, String)>,
    until: String,
    by: String,
    why: String,
}

/// The lines of one heading.
#[derive(Debug, Serialize)]
pub(super) struct Block {
    title: &'static str,
    lines: Vec<Shown>,
}

/// One examination.
#[derive(Debug, Serialize)]
pub(super) struct Sitting {
    id: String,
    heading: String,
    about: Vec<Shown>,
    blocks: Vec<Block>,
    withdrawn: Vec<Past>,
    /// Whether it was taken back as a whole.
    taken_back: bool,
}

/// A fact that was changed in place.
#[derive(Debug, Serialize)]
pub(super) struct Changed {
    day: String,
    by: String,
    why: String,
    what: String,
    columns: Vec<(String, String, String)>,
    /// What is sent to put it back, after the address of the piece; blank where it cannot be.
    back: String,
}

/// The whole record of a piece.
#[derive(Debug, Serialize)]
pub(super) struct Record {
    facts: Vec<Block>,
    sittings: Vec<Sitting>,
    changed: Vec<Changed>,
}

/// Reads the record of a piece, with its past.
pub(super) fn record(catalogue: &Catalogue, file: &PieceFile, units: System) -> crate::catalogue::Result<Record> {
    let fates = catalogue.fates(file.number())?;
    let earlier = catalogue.earlier(file.number())?;
    let past = Pasts::of(&earlier, &fates, units);
    let stands = |exam: &&Examination| file.examinations.iter().any(|known| known.about.id == exam.about.id);
    let taken_back = earlier.iter().filter(|exam| !stands(exam)).map(|exam| Sitting {
        taken_back: true,
        ..sitting(&Examination { about: exam.about.clone(), ..Examination::default() }, &past)
    });
    let sittings = file.examinations.iter().map(|exam| sitting(exam, &past)).chain(taken_back).collect();
    let facts = blocks(lines::of_piece(file), &past);
    let changed = catalogue.fact_changes(file.number())?.into_iter().map(|change| changed(file, change)).collect();
    Ok(Record { facts, sittings, changed })
}

fn sitting(exam: &Examination, past: &Pasts<'_>) -> Sitting {
    let (about, observed): (Vec<Line>, Vec<Line>) =
        lines::of_examination(exam).into_iter().partition(|line| line.section == "examination");
    let id = exam.about.id.clone().unwrap_or_default();
    let day = crate::report::day(exam.about.date);
    let by = exam.about.examiner.clone().unwrap_or_default();
    let heading = [day, by].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(", ");
    Sitting {
        withdrawn: past
            .withdrawn
            .get(id.as_str())
            .map(|l| l.iter().map(|l| past.told(l)).collect())
            .unwrap_or_default(),
        about: about.into_iter().map(|line| past.shown(&line)).collect(),
        blocks: blocks(observed, past),
        heading,
        id,
        taken_back: false,
    }
}

fn blocks(lines: Vec<Line>, past: &Pasts<'_>) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    for line in lines {
        let title = title(line.section);
        let shown = past.shown(&line);
        match blocks.last_mut().filter(|b| b.title == title) {
            Some(block) => block.lines.push(shown),
            None => blocks.push(Block { title, lines: vec![shown] }),
        }
    }
    blocks
}

/// A heading of a sheet, as a page says it.
pub(super) fn title(section: &str) -> &'static str {
    match section {
        "piece" => "The piece",
        "component" => "Components",
        "person" => "People",
        "event" => "Provenance",
        "move" => "Places",
        "housing" => "Housing",
        "display" => "Displays",
        "care" => "Care decided otherwise",
        "made_after" => "Made after",
        "departure" => "Departures",
        "work" => "Work",
        "treatment" => "Treatments",
        "examination" => "Circumstances",
        "textile" => "Textiles",
        "measurement" => "Dimensions",
        "stitching" => "Stitching",
        "fastening" => "Fastenings",
        "stiffening" => "Stiffening",
        "trimming" => "Trimmings",
        "step" => "Order of making",
        "sign" => "Wear and alteration",
        "condition" => "Condition notes",
        "overall" => "State of the whole",
        "hazard" => "Hazards",
        _ => "Other lines",
    }
}

/// The lines that do not stand, by what became of them.
struct Pasts<'a> {
    fates: &'a HashMap<String, Fate>,
    /// In which system figures come first.
    units: System,
    /// Corrected lines by the identifier of their correction.
    corrected: HashMap<&'a str, Vec<Line>>,
    /// Withdrawn lines by the identifier of their examination.
    withdrawn: HashMap<&'a str, Vec<Line>>,
}

impl<'a> Pasts<'a> {
    fn of(earlier: &'a [Examination], fates: &'a HashMap<String, Fate>, units: System) -> Self {
        let mut pasts = Self { fates, units, corrected: HashMap::new(), withdrawn: HashMap::new() };
        for exam in earlier {
            for line in lines::of_examination(exam).into_iter().filter(|l| l.section != "examination") {
                let fate = line.id.as_ref().and_then(|id| fates.get(id));
                match fate.and_then(|f| f.now.as_deref()) {
                    Some(now) => pasts.corrected.entry(now).or_default().push(line),
                    None => {
                        let exam = exam.about.id.as_deref().unwrap_or_default();
                        pasts.withdrawn.entry(exam).or_default().push(line);
                    }
                }
            }
        }
        pasts
    }

    fn shown(&self, line: &Line) -> Shown {
        let id = line.id.clone().unwrap_or_default();
        let can_go = correction::can_go(line.section);
        Shown { section: line.section, words: words(line, self.units), can_go, earlier: self.before(&id), id }
    }

    /// What stood before a line, and before that; a chain is never longer than all that were corrected.
    fn before(&self, id: &str) -> Vec<Past> {
        let (mut list, mut at) = (Vec::new(), vec![id]);
        for _ in 0..=self.fates.len() {
            let lines: Vec<&Line> = at.iter().filter_map(|id| self.corrected.get(id)).flatten().collect();
            list.extend(lines.iter().map(|line| self.told(line)));
            at = lines.iter().filter_map(|line| line.id.as_deref()).collect();
            if at.is_empty() {
                break;
            }
        }
        list
    }

    fn told(&self, line: &Line) -> Past {
        let fate = line.id.as_ref().and_then(|id| self.fates.get(id)).cloned().unwrap_or_default();
        Past {
            place: format!("{}/{}", line.section, line.id.as_deref().unwrap_or_default()),
            section: capital(&line.section.replace('_', " ")),
            // Why it was withdrawn is said below it.
            words: words(line, self.units).into_iter().filter(|(name, _)| name != "withdrawn").collect(),
            until: crate::report::day(fate.on.parse().ok()),
            by: fate.by,
            why: fate.withdrawn.unwrap_or(fate.why),
        }
    }
}

fn words(line: &Line, units: System) -> Vec<(String, String)> {
    line.written().map(|field| (field.name.replace('_', " "), field.in_units(units))).collect()
}

fn changed(file: &PieceFile, change: FactChange) -> Changed {
    let back =
        change.is_open.then(|| format!("/changes/{}/{}/put-back", change.row, correction::version_of(file, &change)));
    let columns = change.columns.into_iter().map(|(name, was, now)| (name.replace('_', " "), was, now));
    Changed {
        day: frame::day(&change.at),
        by: change.by,
        why: change.why,
        what: title(change.section).into(),
        columns: columns.collect(),
        back: back.unwrap_or_default(),
    }
}
