//! What the page of a draft shows.

use serde::Serialize;
use serde_json::{Value, json};

use crate::catalogue::Catalogue;
use crate::dating::Conventions;
use crate::draft::{Draft, DraftLine, Receipt, Stroke};
use crate::exchange::line::{self, Echo, Line, Section, Slot, Takes, Wanted, Words, Written};
use crate::exchange::sitting::{self, Amiss, Expected, Recorded};
use crate::record::PieceFile;
use crate::workbench::fault::Wrong;
use crate::workbench::form::Retry;
use crate::workbench::frame::{self, When};
use crate::workbench::piece;

/// The whole page.
#[derive(Serialize)]
pub(super) struct Page {
    address: String,
    piece: Option<String>,
    number: String,
    name: String,
    began: When,
    by: String,
    may: bool,
    entered: Option<Receipt>,
    /// Where it is taken back; blank where nothing new was entered.
    back: String,
    again: Retry,
    /// What was just taken back, and what of it stays.
    told: Vec<String>,
    aside: bool,
    headings: Vec<(String, &'static str)>,
    sheet: Sheet,
}

/// What changes while one writes.
#[derive(Serialize)]
pub(super) struct Sheet {
    pub version: u64,
    pub lines: Vec<Shown>,
    pub groups: Vec<Group>,
    /// How many things are expected, and how many of them are left.
    pub all: usize,
    pub left: usize,
    pub recorded: Vec<Recorded>,
    pub undo: String,
    pub redo: String,
    pub typed: String,
    pub typed_for: Option<u64>,
    pub reason: String,
    /// Whether something recorded is changed, so that a reason is needed.
    pub corrects: bool,
}

/// What is to be looked at, of one kind.
#[derive(Serialize)]
pub(super) struct Group {
    name: &'static str,
    list: Vec<Expected>,
}

const GROUPS: [(&str, &str); 3] =
    [("damage", "Damage seen last time"), ("component", "Components"), ("dimension", "Dimensions")];

fn groups(expected: &[Expected]) -> Vec<Group> {
    let of = |(kind, name): (&str, &'static str)| Group {
        name,
        list: expected.iter().filter(|e| e.kind == kind).cloned().collect(),
    };
    GROUPS.into_iter().map(of).filter(|g| !g.list.is_empty()).collect()
}

/// One line of the list.
#[derive(Serialize)]
pub(super) struct Shown {
    pub key: u64,
    pub section: String,
    /// Piece and circumstances: they head the sheet and cannot be taken out.
    pub head: bool,
    /// Whether another reading can be added.
    pub readings: bool,
    pub text: String,
    pub bits: Vec<Echo>,
    pub unplaced: Vec<String>,
    pub wanted: Vec<Wanted>,
    pub amiss: Vec<String>,
    pub corrects: bool,
}

pub(super) fn page(
    catalogue: &Catalogue,
    draft: &Draft,
    file: Option<&PieceFile>,
    may: bool,
    (again, told): (Retry, Vec<String>),
) -> Result<Page, Wrong> {
    let headings = line::sections().iter().map(|s| (s.label(), s.help)).collect();
    let name = file.and_then(|f| f.piece.title.clone().or_else(|| f.piece.object_name.clone()));
    Ok(Page {
        address: super::address(&draft.id),
        piece: file.map(|_| piece::address(&draft.number)),
        number: draft.number.clone(),
        name: name.unwrap_or_default(),
        began: When::at(&draft.began),
        by: draft.by.clone(),
        may,
        back: draft
            .entered
            .as_ref()
            .and_then(|receipt| receipt.row)
            .map(|_| super::taking_back(&draft.id))
            .unwrap_or_default(),
        again,
        told,
        entered: draft.entered.clone(),
        aside: draft.aside,
        headings,
        sheet: sheet(catalogue, draft, file, &[])?,
    })
}

/// The lines laid out, for the script that puts them into the page.
pub(super) fn parts(catalogue: &Catalogue, draft: &Draft, file: Option<&PieceFile>) -> Result<Value, Wrong> {
    parts_with(catalogue, draft, file, &[])
}

/// The same with what is amiss beside each line.
pub(super) fn parts_with(
    catalogue: &Catalogue,
    draft: &Draft,
    file: Option<&PieceFile>,
    amiss: &[Amiss],
) -> Result<Value, Wrong> {
    let sheet = sheet(catalogue, draft, file, amiss)?;
    let html = frame::part_html("sitting_lines.html", &sheet)?;
    let expected = frame::part_html("sitting_expected.html", &sheet)?;
    Ok(json!({
        "version": sheet.version,
        "lines": html,
        "expected": expected,
        "undo": sheet.undo,
        "redo": sheet.redo,
        "typed": sheet.typed,
        "typed_for": sheet.typed_for,
        "corrects": sheet.corrects,
    }))
}

fn sheet(catalogue: &Catalogue, draft: &Draft, file: Option<&PieceFile>, amiss: &[Amiss]) -> Result<Sheet, Wrong> {
    let components = sitting::components(draft, file);
    let words = Words { vocabulary: catalogue.vocabulary(), components: &components };
    let conventions = catalogue.conventions()?;
    let expected = sitting::expected(draft, file, &words);
    let lines: Vec<Shown> = draft.lines.iter().map(|l| shown(l, &words, &conventions, amiss)).collect();
    Ok(Sheet {
        version: draft.version,
        all: expected.len(),
        left: expected.iter().filter(|e| !e.done).count(),
        corrects: lines.iter().any(|l| l.corrects),
        recorded: sitting::recorded(draft, file, &words),
        lines,
        groups: groups(&expected),
        undo: draft.past.last().map(|s| done(s, &words)).unwrap_or_default(),
        redo: draft.future.last().map(|s| done(s, &words)).unwrap_or_default(),
        typed: draft.typed.clone(),
        typed_for: draft.typed_for,
        reason: draft.reason.clone(),
    })
}

fn shown(draft: &DraftLine, words: &Words<'_>, conventions: &Conventions, amiss: &[Amiss]) -> Shown {
    let read = sitting::read_line(&draft.text, words);
    let name = read.section.map_or("", |s| s.name);
    let head = matches!(name, "piece" | "examination");
    let bits = read.echo(words, conventions);
    Shown {
        key: draft.key,
        section: read.section.map(Section::label).unwrap_or_default(),
        head,
        readings: several(&read).is_some(),
        text: draft.text.clone(),
        // Of what is recorded already nothing needs to be written.
        wanted: if head && draft.base.is_some() { Vec::new() } else { wanted(&read) },
        unplaced: read.unplaced().map(|p| p.text.clone()).collect(),
        amiss: amiss.iter().filter(|a| a.key == Some(draft.key)).map(|a| said(a, read.section)).collect(),
        corrects: if head { changes(draft, &read, words) } else { draft.id.is_some() },
        bits,
    }
}

/// What a line still needs; the number of the piece is that of the draft.
fn wanted(read: &Line) -> Vec<Wanted> {
    let is_piece = read.section.is_some_and(|s| s.name == "piece");
    read.wanted().into_iter().filter(|w| !(is_piece && w.field == "number")).collect()
}

/// Whether a line says of what is recorded what the record does not.
fn changes(draft: &DraftLine, read: &Line, words: &Words<'_>) -> bool {
    let base = draft.base.as_deref().map(|base| sitting::read_line(base, words).written());
    base.is_some_and(|base| read.written().iter().any(|w| !base.contains(w)))
}

/// The field of repeated readings that a line has.
fn several(read: &Line) -> Option<&'static Slot> {
    let written = read.written();
    let slots = || read.section.iter().flat_map(|s| &s.slots).filter(|s| matches!(s.takes, Takes::Quantity(_, true)));
    slots().find(|s| written.iter().any(|w| w.field == s.field.name)).or_else(|| slots().find(|s| s.field.needed))
}

fn said(amiss: &Amiss, section: Option<&'static Section>) -> String {
    let label = amiss.field.and_then(|f| section?.slot(f)).map(Slot::label);
    label.map_or_else(|| amiss.what.clone(), |label| format!("{label}: {}", amiss.what))
}

/// A stroke in words: `added centre back length`.
fn done(stroke: &Stroke, words: &Words<'_>) -> String {
    let what = |line: &DraftLine| {
        let read = sitting::read_line(&line.text, words);
        let needed = read
            .written()
            .into_iter()
            .find(|w| read.section.and_then(|s| s.slot(w.field)).is_some_and(|s| s.field.needed));
        let short = needed.and_then(|w| w.texts.first().cloned()).unwrap_or_else(|| line.text.clone());
        short.chars().take(40).collect::<String>()
    };
    match (&stroke.before, &stroke.after) {
        (None, Some((_, line))) => format!("added {}", what(line)),
        (Some(_), Some((_, line))) => format!("changed {}", what(line)),
        (Some((_, line)), None) => format!("removed {}", what(line)),
        (None, None) => String::new(),
    }
}

/// What a line being written is understood as.
#[derive(Serialize)]
pub(super) struct Understood {
    section: String,
    also: Vec<&'static str>,
    bits: Vec<Echo>,
    wanted: Vec<Wanted>,
    unplaced: Vec<Unplaced>,
    amiss: Vec<String>,
    blank: bool,
}

/// Words that found no field, and fields that would take any words.
#[derive(Serialize)]
struct Unplaced {
    text: String,
    /// Why figures cannot be read.
    why: String,
    from: usize,
    to: usize,
    fields: Vec<(String, &'static str)>,
}

pub(super) fn understood(text: &str, words: &Words<'_>, conventions: &Conventions, amiss: Vec<String>) -> Understood {
    let read = sitting::read_line(text, words);
    let at = |byte: usize| text[..byte].chars().count();
    let written = read.written();
    let free = |slot: &&Slot| {
        let takes = matches!(slot.takes, Takes::Text(_) | Takes::Person);
        takes && slot.field.name != "withdrawn" && !written.iter().any(|w| w.field == slot.field.name)
    };
    let fields = || -> Vec<(String, &'static str)> {
        let slots = read.section.iter().flat_map(|s| &s.slots);
        slots.filter(free).map(|s| (s.label(), s.field.help)).collect()
    };
    let unplaced = read.unplaced().map(|p| Unplaced {
        text: p.text.clone(),
        why: read.unreadable(p).unwrap_or_default(),
        from: at(p.at.start),
        to: at(p.at.end),
        fields: fields(),
    });
    Understood {
        section: read.section.map(Section::label).unwrap_or_default(),
        also: read.also.clone(),
        bits: read.echo(words, conventions),
        wanted: wanted(&read),
        unplaced: unplaced.collect(),
        amiss,
        blank: text.trim().is_empty(),
    }
}

/// One field to fill in, of the panel of all fields.
#[derive(Serialize)]
pub(super) struct Field {
    name: &'static str,
    inner: Option<&'static str>,
    row: usize,
    label: String,
    help: &'static str,
    needed: bool,
    /// How it is filled in: `text`, `lines`, `day`, `term`, `choice`, `short`.
    box_kind: &'static str,
    choices: Vec<String>,
    text: String,
}

/// All fields of the section of a line, with what the line says in them.
pub(super) fn fields(text: &str, words: &Words<'_>) -> Vec<Field> {
    let read = sitting::read_line(text, words);
    let Some(section) = read.section else { return Vec::new() };
    let written = read.written();
    let mut all = Vec::new();
    for slot in section.slots.iter().filter(|s| s.field.name != "withdrawn" && s.field.name != "number") {
        let found = written.iter().find(|w| w.field == slot.field.name);
        let Takes::Records(inner, several) = &slot.takes else {
            all.push(field(slot, None, 0, slot.label(), found, words));
            continue;
        };
        let rows = found.map_or(0, |w| w.rows.len());
        // One more than there are, where there may be several.
        for row in 0..if *several { rows + 1 } else { 1 } {
            for cell in inner {
                let number =
                    if *several { format!("{} {} ", slot.label(), row + 1) } else { format!("{} ", slot.label()) };
                let there =
                    found.and_then(|w| w.rows.get(row)).and_then(|r| r.iter().find(|w| w.field == cell.field.name));
                all.push(field(cell, Some(slot.field.name), row, number + &cell.label(), there, words));
            }
        }
    }
    all
}

fn field(
    slot: &Slot,
    outer: Option<&'static str>,
    row: usize,
    label: String,
    written: Option<&Written>,
    words: &Words<'_>,
) -> Field {
    let named = |scheme| words.vocabulary.terms(scheme).map(|t| t.name().to_owned()).collect::<Vec<_>>();
    let (box_kind, choices) = match &slot.takes {
        Takes::Text(false) => ("text", Vec::new()),
        Takes::Text(true) | Takes::Quantity(_, true) | Takes::Term(_, true) => ("lines", Vec::new()),
        Takes::Day => ("day", Vec::new()),
        Takes::Term(scheme, false) => ("term", named(*scheme)),
        Takes::Choice(list) => ("choice", list.iter().map(|w| (*w).to_owned()).collect()),
        Takes::Component => ("term", words.components.to_vec()),
        _ => ("short", Vec::new()),
    };
    Field {
        name: outer.unwrap_or(slot.field.name),
        inner: outer.map(|_| slot.field.name),
        row,
        label,
        help: slot.field.help,
        needed: slot.field.needed,
        box_kind,
        choices,
        text: written.map(|w| w.texts.join("\n")).unwrap_or_default(),
    }
}
