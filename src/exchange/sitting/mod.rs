//! A sitting: from the lines of a draft to an examination sheet and into the catalogue, whole or not at all.
//!
//! What a draft says is read by [`super::line`], checked by [`super::sheet`] and entered by the one way that sheets have.
//! Before that it is compared with what the record says by now ([`meanwhile`]).

mod expected;
pub mod meanwhile;
mod records;

use serde::Serialize;

pub use expected::{Expected, expected};
use records::records;

use super::line::{self, Line, Words, Written};
use super::{entry, sheet};
use crate::catalogue::{Catalogue, Entered, Extent, Fault, Intent, TakenBack};
use crate::draft::{Draft, DraftLine, Receipt};
use crate::record::PieceFile;
use crate::record::account::Role;

/// One mistake, by the line in which it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Amiss {
    /// The key of the line; none if it is none in particular.
    pub key: Option<u64>,
    /// The field.
    pub field: Option<&'static str>,
    /// What is wrong, and the mend.
    pub what: String,
}

/// Why a draft was not entered. Nothing was changed.
#[derive(Debug)]
pub enum Refusal {
    /// Lines that cannot be entered as they are.
    Amiss(Vec<Amiss>),
    /// The record is another than the draft knows.
    Meanwhile(Box<meanwhile::Meanwhile>),
    /// The catalogue refuses.
    Fault(Fault),
}

impl From<Fault> for Refusal {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

/// What a draft is begun with.
#[derive(Debug, Clone, Default)]
pub struct Beginning<'a> {
    /// Accession number of the piece.
    pub number: &'a str,
    /// What is said of a new piece, by field.
    pub facts: &'a [(&'static str, String)],
    /// The day.
    pub day: &'a str,
    /// Who examines.
    pub by: &'a str,
    /// A recorded examination that is gone on with or corrected.
    pub examination: Option<&'a str>,
}

/// The draft of a piece: what is known of it, and a blank examination of this day, or one that is gone on with.
pub fn begin(file: Option<&PieceFile>, beginning: &Beginning<'_>) -> Draft {
    let Beginning { number, facts, day, by, examination } = *beginning;
    let filled = |pairs: &[(&'static str, String)]| -> Vec<Written> {
        let said = pairs.iter().filter(|(_, text)| !text.trim().is_empty());
        said.map(|(field, text)| Written { field, texts: vec![text.trim().to_owned()], rows: Vec::new() }).collect()
    };
    let words = Words { vocabulary: crate::vocabulary::Vocabulary::shipped(), components: &[] };
    let heading = |name: &str, written: &[Written]| {
        line::Section::named(name).map(|section| line::text(section, written, &words)).unwrap_or_default()
    };
    let all = file.map(records).unwrap_or_default();
    let piece = all.iter().find(|r| r.section.name == "piece");
    let mut draft = Draft {
        number: number.to_owned(),
        known: file.is_some(),
        by: by.to_owned(),
        garment: facts.iter().find(|(f, _)| *f == "garment").map(|(_, g)| g.clone()).filter(|g| !g.trim().is_empty()),
        seen: all.iter().filter(|r| r.is_observation()).filter_map(|r| r.id.clone()).collect(),
        ..Draft::default()
    };
    draft.add(DraftLine {
        text: heading("piece", &if file.is_some() { Vec::new() } else { filled(facts) }),
        base: piece.map(|record| line::text(record.section, &record.written, &words)),
        ..DraftLine::default()
    });
    let known =
        all.iter().find(|r| r.section.name == "examination" && examination.is_some() && r.id.as_deref() == examination);
    draft.add(match known {
        Some(record) => DraftLine {
            text: heading("examination", &[]),
            id: record.id.clone(),
            base: Some(line::text(record.section, &record.written, &words)),
            ..DraftLine::default()
        },
        None => DraftLine {
            text: heading("examination", &filled(&[("date", day.to_owned()), ("examiner", by.to_owned())])),
            ..DraftLine::default()
        },
    });
    for line in draft.lines.iter_mut().filter(|l| l.base.is_none()) {
        line.base = meanwhile::base_now(line, &all, &words);
    }
    // That a draft was begun is not a stroke of its writer.
    draft.past.clear();
    draft
}

/// The names of all components of the piece: those recorded, and those of the draft.
pub fn components(draft: &Draft, file: Option<&PieceFile>) -> Vec<String> {
    let mut names: Vec<String> = file.iter().flat_map(|f| &f.components).filter_map(|c| c.name.clone()).collect();
    let words = Words { vocabulary: crate::vocabulary::Vocabulary::shipped(), components: &[] };
    for line in &draft.lines {
        let headed = line::heading(&line.text).is_some_and(|(section, _)| section.name == "component");
        let name = headed.then(|| line::read(&line.text, None, &words).written()).and_then(|w| text_of(&w, "name"));
        names.extend(name.filter(|name| !names.contains(name)));
    }
    names
}

/// An observation of the examination that a draft goes on with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Recorded {
    /// Its identifier.
    pub id: String,
    /// Its section in words.
    pub section: String,
    /// As a line.
    pub line: String,
    /// Whether the draft has it as a line to be corrected.
    pub taken: bool,
}

/// The observations of the examination that a draft goes on with.
pub fn recorded(draft: &Draft, file: Option<&PieceFile>, words: &Words<'_>) -> Vec<Recorded> {
    let exam = draft.lines.iter().find(|l| is_of(l, "examination")).and_then(|l| l.id.as_ref());
    let Some((file, exam)) = file.zip(exam) else { return Vec::new() };
    let exams = file.examinations.iter().filter(|e| e.about.id.as_ref() == Some(exam)).cloned().collect();
    let all = records(&PieceFile { examinations: exams, ..PieceFile::default() });
    let line = |r: records::Record| {
        let id = r.id?;
        let taken = draft.lines.iter().any(|l| l.id.as_ref() == Some(&id));
        Some(Recorded { line: line::text(r.section, &r.written, words), section: r.section.label(), id, taken })
    };
    all.into_iter().filter(records::Record::is_observation).filter_map(line).collect()
}

/// A line that corrects a recorded observation: as it stands, to be changed. It may say why it is withdrawn instead.
pub fn correction(draft: &Draft, file: Option<&PieceFile>, id: &str, words: &Words<'_>) -> Option<DraftLine> {
    let found = recorded(draft, file, words).into_iter().find(|r| r.id == id && !r.taken)?;
    Some(DraftLine { base: Some(found.line.clone()), text: found.line, id: Some(found.id), ..DraftLine::default() })
}

fn text_of(written: &[Written], field: &str) -> Option<String> {
    written.iter().find(|w| w.field == field)?.texts.first().cloned()
}

/// The sheet of a draft, and what keeps its lines from being one.
fn sheet_of(draft: &Draft, words: &Words<'_>) -> (line::Sheet, Vec<Amiss>) {
    let mut made = line::Sheet::new(Some(&draft.reason));
    let mut amiss = Vec::new();
    for (place, draft_line) in draft.lines.iter().enumerate() {
        let read = line::read(&draft_line.text, None, words);
        let key = draft_line.key;
        let Some(section) = read.section else {
            if !draft_line.text.trim().is_empty() {
                let what =
                    "nothing in it tells what kind of line it is; begin it with a heading, as in `condition: ...`";
                amiss.push(Amiss { key: Some(key), field: None, what: what.into() });
            }
            continue;
        };
        for part in read.unplaced() {
            let what = read.unreadable(part).unwrap_or_else(|| {
                format!("`{}` found no field: name one, as in `note: {0}`, or take it out", part.text)
            });
            amiss.push(Amiss { key: Some(key), field: None, what });
        }
        if !section.several && draft.lines[..place].iter().any(|l| is_of(l, section.name)) {
            let what = format!("there is a line for `{}` already; change that one", section.label());
            amiss.push(Amiss { key: Some(key), field: None, what });
            continue;
        }
        let mut written = read.written();
        if let (false, Some(base)) = (section.several, &draft_line.base) {
            // A sheet says when and by whom also where the record has it.
            let base = line::read(base, None, words).written();
            let blank = |w: &Written| !written.iter().any(|m| m.field == w.field);
            let needed = |w: &Written| section.slot(w.field).is_some_and(|s| s.field.needed);
            let kept: Vec<_> = base.into_iter().filter(|w| needed(w) && blank(w)).collect();
            written.extend(kept);
        }
        if section.name == "piece" {
            written.retain(|w| w.field != "number");
            written.insert(0, Written { field: "number", texts: vec![draft.number.clone()], rows: Vec::new() });
        }
        made.add(key, section, draft_line.id.as_deref(), &written);
    }
    (made, amiss)
}

fn is_of(line: &DraftLine, section: &str) -> bool {
    line::heading(&line.text).is_some_and(|(s, _)| s.name == section)
}

/// What cannot be right about one line, while it is written into a draft. What is only missing yet is not told.
pub fn amiss_in(catalogue: &Catalogue, text: &str, draft: &Draft, file: Option<&PieceFile>) -> Vec<String> {
    const ABOUT: &str = "examination";
    let components = components(draft, file);
    let words = Words { vocabulary: catalogue.vocabulary(), components: &components };
    let read_line = line::read(text, None, &words);
    let Some(section) = read_line.section else { return Vec::new() };
    let mut made = line::Sheet::new(None);
    let number = Written { field: "number", texts: vec![draft.number.clone()], rows: Vec::new() };
    let mut written = read_line.written();
    if section.name == "piece" {
        written.insert(0, number.clone());
    } else if let Some(piece) = line::Section::named("piece") {
        made.add(0, piece, None, &[number]);
    }
    if let (true, Some(about)) = (section.observed && section.name != ABOUT, line::Section::named(ABOUT)) {
        let day = Written { field: "date", texts: vec!["2000-01-01".into()], rows: Vec::new() };
        let by = Written { field: "examiner", texts: vec!["-".into()], rows: Vec::new() };
        made.add(0, about, None, &[day, by]);
    }
    // The components that the draft brings are known to its lines.
    if let (true, Some(component)) = (section.name != "component", line::Section::named("component")) {
        let listed: Vec<String> = file.iter().flat_map(|f| &f.components).filter_map(|c| c.name.clone()).collect();
        for name in components.iter().filter(|name| !listed.contains(name)) {
            let name = Written { field: "name", texts: vec![name.clone()], rows: Vec::new() };
            made.add(0, component, None, &[name]);
        }
    }
    made.add(1, section, None, &written);
    let amiss = read(catalogue, &made).err().unwrap_or_default();
    let of_line = amiss.into_iter().filter(|a| a.key == Some(1) && a.field.is_some());
    let label = |field: &str| section.slot(field).map(line::Slot::label).unwrap_or_default();
    of_line.map(|a| format!("{}: {}", label(a.field.unwrap_or_default()), a.what)).collect()
}

fn read(catalogue: &Catalogue, made: &line::Sheet) -> Result<sheet::Sheet, Vec<Amiss>> {
    entry::read(catalogue, made.text().as_bytes()).map_err(|mistakes| {
        let amiss = |m: sheet::Mistake| {
            let bound = made.bound(m.line);
            Amiss { key: bound.key, field: bound.field, what: m.what }
        };
        mistakes.into_iter().map(amiss).collect()
    })
}

/// Enters a draft in one transaction; gives what was done, and the receipt by which it can be taken back.
///
/// # Errors
/// If lines are amiss, if the record is another by now, or if the catalogue refuses: what this person may not do is refused
/// there. The draft is left as it is.
pub fn enter(catalogue: &mut Catalogue, draft: &Draft, author: &str, may: Role) -> Result<(Entered, Receipt), Refusal> {
    let before = catalogue.piece_if_any(&draft.number)?;
    let components = components(draft, before.as_ref());
    let words = Words { vocabulary: catalogue.vocabulary(), components: &components };
    let (made, amiss) = sheet_of(draft, &words);
    if !amiss.is_empty() {
        return Err(Refusal::Amiss(amiss));
    }
    if let Some(meanwhile) = meanwhile::compare(draft, before.as_ref(), &words) {
        return Err(Refusal::Meanwhile(Box::new(meanwhile)));
    }
    let sheet = read(catalogue, &made).map_err(Refusal::Amiss)?;
    let reason = sheet.reason.clone();
    let intent = Intent { author: author.to_owned(), reason, may, again: draft.withdrew, ..Intent::default() };
    let entered = catalogue.enter(&sheet.file, &intent)?;
    let receipt = Receipt { row: entered.row, ..Receipt::default() };
    Ok((entered, receipt))
}

/// Takes back all that a draft brought, by its receipt: see [`Catalogue::take_back`]. What was entered stays readable, and the
/// journal tells both.
///
/// # Errors
/// If nothing of it stands any more, or if the catalogue refuses; nothing was changed then.
pub fn take_back(
    catalogue: &mut Catalogue,
    draft: &Draft,
    author: &str,
    reason: &str,
    may: Role,
) -> Result<TakenBack, Fault> {
    let Some(row) = draft.entered.as_ref().and_then(|receipt| receipt.row) else {
        return Err(Fault::Refused("nothing new was entered, so that there is nothing to take back".into()));
    };
    let intent = Intent { author: author.to_owned(), reason: Some(reason.to_owned()), may, ..Intent::default() };
    catalogue.take_back(&draft.number, row, Extent::Entry, &intent)
}

/// Opens a draft again whose entry was taken back: its lines are as they were, and know what the record says by now.
pub fn reopen(draft: &mut Draft, file: Option<&PieceFile>, back: &TakenBack) {
    let words = Words { vocabulary: crate::vocabulary::Vocabulary::shipped(), components: &[] };
    let all = file.map(records).unwrap_or_default();
    draft.entered = None;
    draft.withdrew |= back.piece;
    draft.known = file.is_some();
    draft.seen = all.iter().filter(|r| r.is_observation()).filter_map(|r| r.id.clone()).collect();
    for line in &mut draft.lines {
        line.base = meanwhile::base_now(line, &all, &words);
    }
}

/// Writes a line into a draft: into its place, if it has the key of a line; to the line of its section, where there is
/// one of that kind alone (`piece: title: ...`); else at the end. Gives its key.
pub fn write(draft: &mut Draft, key: Option<u64>, text: &str, words: &Words<'_>) -> Option<u64> {
    let text = text.trim().to_owned();
    if let Some(known) = key.and_then(|key| draft.line(key)).cloned() {
        draft.change(DraftLine { text, ..known });
        return key;
    }
    // Its line was removed meanwhile, or it is new: what was written is not lost.
    let alone = line::heading(&text).map(|(section, _)| section).filter(|section| !section.several);
    let head = alone.and_then(|section| draft.lines.iter().find(|l| is_of(l, section.name))).cloned();
    match head {
        Some(head) => {
            let said = line::read(&text, None, words);
            let fill = |text: String, w: &Written| line::with(&text, w.field, &w.texts, None, None, words);
            let mut text = said.written().iter().fold(head.text.clone(), fill);
            for part in said.unplaced() {
                text.push_str("; ");
                text.push_str(&part.text);
            }
            draft.change(DraftLine { text, ..head.clone() });
            Some(head.key)
        }
        None if !text.is_empty() => Some(draft.add(DraftLine { text, ..DraftLine::default() })),
        None => None,
    }
}

/// A line of a draft as read.
pub fn read_line(text: &str, words: &Words<'_>) -> Line {
    line::read(text, None, words)
}
