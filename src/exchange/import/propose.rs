//! A mapping proposed by looking at the list: at its headings, and at what its cells can be read as.

use std::collections::BTreeSet;

use super::draft::without_hedge;
use super::fill::{self, Place, Words};
use super::headings;
use super::mapping::{Column, Layout, Mapping};
use super::table::{Cell, Headings, Row, Table, plain};
use super::target::Target;
use super::{days, materials, state};
use crate::measure::Dimensions;
use crate::record::{Examination, PieceFile, accession};
use crate::vocabulary::Vocabulary;

/// So many rows are looked at for the headings.
const HEAD: usize = 20;

/// So many cells of a column are looked at.
const LOOKED_AT: usize = 200;

/// So many cells are shown for an example, and so many letters of each.
const EXAMPLES: usize = 3;
const EXAMPLE: usize = 60;

/// Proposes a mapping; what `stated` says stands.
pub fn propose(table: &Table, stated: &Layout, words: &Words<'_>) -> Mapping {
    let (row, rows) = match (stated.headings, stated.heading_rows) {
        (Some(row), rows) => (row, rows.unwrap_or(1)),
        (None, _) => heading_rows(table, words.vocabulary),
    };
    let headings = table.headings(row, rows);
    let body: Vec<&Row> = table.body(&headings).collect();
    let mut mapping = Mapping {
        file: Layout {
            encoding: table.written.as_ref().map(|w| w.encoding.clone()),
            delimiter: table.written.as_ref().map(|w| w.delimiter),
            sheet: table.sheet.clone(),
            headings: Some(row),
            heading_rows: Some(rows),
            day_first: stated.day_first,
            whole_rows: stated.whole_rows.clone(),
        },
        ..Mapping::default()
    };
    if let Ok(nature) = Target::parse("piece.nature") {
        mapping.fixed.insert(nature, "extant".into());
    }
    let is_number =
        |heading: &String| headings::known(heading, words.vocabulary).is_some_and(|k| k.target.is("piece.number"));
    let numbered = headings.names.iter().any(is_number);
    for (at, heading) in headings.names.iter().enumerate() {
        mapping.column.push(column(at, heading, &body, words, numbered));
    }
    one_number(&mut mapping);
    no_guess_beside_the_date(&mut mapping);
    mapping.settle_days(table);
    mapping
}

/// The row of the headings, and how many rows they take: where most cells are usual headings.
fn heading_rows(table: &Table, vocabulary: &Vocabulary) -> (u32, u32) {
    let is_known = |text: &str| !text.trim().is_empty() && headings::known(&plain(text), vocabulary).is_some();
    let known = |row: &Row| row.cells.iter().filter(|c| is_known(&c.text)).count();
    let head: Vec<&Row> = table.rows.iter().take(HEAD).collect();
    let best =
        head.iter().enumerate().filter(|(_, row)| row.filled() > 1).max_by_key(|(at, row)| (known(row), HEAD - at));
    let Some((at, row)) = best else { return (table.rows.first().map_or(0, |r| r.number), 1) };
    if known(row) == 0 {
        // Nothing is known: the first row of several words, or none where the list begins with figures.
        let words =
            |row: &&&Row| row.filled() > 1 && row.cells.iter().all(|c| !c.text.chars().any(|c| c.is_ascii_digit()));
        return head.iter().take(5).find(|r| words(r)).map_or((0, 0), |r| (r.number, 1));
    }
    let next = head.get(at + 1).filter(|next| next.number == row.number + 1 && next.filled() > 0);
    let lower = |next: &&&Row| {
        next.cells.iter().all(|c| c.text.trim().is_empty() || is_known(&c.text)) && next.filled() < row.filled()
    };
    if let Some(next) = next.filter(lower) {
        return (next.number, 2);
    }
    // The row above names groups where this one has more cells.
    let above = at
        .checked_sub(1)
        .and_then(|i| head.get(i))
        .filter(|above| above.number + 1 == row.number && above.filled() > 1);
    let group = |above: &&&Row| {
        above.cells.iter().enumerate().any(|(i, c)| !c.text.trim().is_empty() && row.text(i).trim().is_empty())
    };
    if above.as_ref().is_some_and(group) { (row.number, 2) } else { (row.number, 1) }
}

/// One column. Where a heading says which column is the number (`numbered`), no other is guessed to be one.
fn column(at: usize, heading: &str, body: &[&Row], words: &Words<'_>, numbered: bool) -> Column {
    let cells: Vec<&Cell> =
        body.iter().filter_map(|r| r.cells.get(at)).filter(|c| !c.text.trim().is_empty()).take(LOOKED_AT).collect();
    let mut seen = BTreeSet::new();
    let examples: Vec<String> = cells
        .iter()
        .map(|c| c.text.chars().take(EXAMPLE).collect::<String>())
        .filter(|t| seen.insert(t.clone()))
        .take(EXAMPLES)
        .collect();
    let mut column = Column { heading: heading.to_owned(), examples, ..Column::default() };
    let share = |reads: &dyn Fn(&Cell) -> bool| cells.iter().filter(|c| reads(c)).count();
    if cells.is_empty() {
        let known = headings::known(heading, words.vocabulary);
        column.sure = "no cell holds anything".into();
        if let Some(known) = known {
            (column.target, column.with, column.unit) = (known.target, known.with.into_iter().collect(), known.unit);
        }
        return column;
    }
    if let Some(known) = headings::known(heading, words.vocabulary) {
        let target = known.target;
        let read = share(&|cell| reads(&target, cell, known.unit.as_deref(), words));
        column.sure = match (read, cells.len()) {
            (read, all) if read == all => format!("sure: the heading says so, {all} of {all} cells fit"),
            (read, all) if read * 10 >= all * 8 => format!("sure: the heading says so, {read} of {all} cells fit"),
            (read, all) => format!("likely: the heading says so, but only {read} of {all} cells fit"),
        };
        (column.target, column.with, column.unit) = (target, known.with.into_iter().collect(), known.unit);
        return column;
    }
    // By what stands in it, where most of it can be read as one thing.
    for word in ["piece.number", "dimensions", "piece.date", "materials", "condition"] {
        let Ok(target) = Target::parse(word) else { continue };
        let read = share(&|cell| reads(&target, cell, None, words));
        let distinct = cells.iter().map(|c| c.text.trim()).collect::<BTreeSet<_>>().len() == cells.len();
        let may_be = match word {
            "piece.number" => distinct && !numbered,
            // A day in figures is one of buying, seeing, writing down: garments of old lists have years.
            "piece.date" => cells.iter().filter(|cell| days::in_figures(cell)).count() * 2 < cells.len(),
            _ => true,
        };
        if read * 10 >= cells.len() * 7 && cells.len() > 1 && may_be {
            column.sure =
                format!("a guess: the heading says nothing, but {read} of {} cells can be read so", cells.len());
            column.target = target;
            return column;
        }
    }
    column.target = Target::Note;
    column.sure = "not known: kept as a note; say what it is, or `nothing`".into();
    column
}

/// Whether a cell can be read as this: it is read, and what comes of it is looked at. Words fit any field of words.
fn reads(target: &Target, cell: &Cell, unit: Option<&str>, words: &Words<'_>) -> bool {
    let text = cell.text.trim();
    match target {
        t if t.is("piece.number") => {
            accession::check(&plain(text)).is_ok()
                && text.chars().count() < 40
                && text.chars().any(|c| c.is_ascii_digit())
                && !text.contains(". ")
                && text.split_whitespace().count() < 4
        }
        Target::Field { section, field } => {
            let mut trial = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
            let place = Place { section, field, at: None, unit };
            let (_, outcome) = fill::fill(&mut trial, place, &without_hedge(cell, section, field), words);
            outcome.read.is_some()
        }
        Target::Dimensions => !Dimensions::read(text).measures.is_empty(),
        Target::Materials => materials::read(text, words.vocabulary)
            .textiles
            .iter()
            .any(|t| !t.what.fibres.is_empty() || t.what.structure.is_some()),
        Target::Condition => !state::read(text, words.vocabulary).read.is_empty(),
        Target::Mixed | Target::Note | Target::Photographs | Target::Worth | Target::Nothing => true,
    }
}

/// Of several columns that could be the number, the one with the fewest repetitions is; the others are kept as notes.
fn one_number(mapping: &mut Mapping) {
    let at: Vec<usize> = (0..mapping.column.len()).filter(|i| mapping.column[*i].target.is("piece.number")).collect();
    let rank = |i: &usize| {
        let column = &mapping.column[*i];
        let said = i32::from(!column.sure.starts_with("sure"));
        let bare = headings::bare(&column.heading);
        (said, i32::from(!bare.contains("acc") && !bare.contains("inv")), *i)
    };
    let Some(best) = at.iter().copied().min_by_key(|i| rank(i)) else { return };
    for i in at.into_iter().filter(|i| *i != best) {
        mapping.column[i].target = Target::Note;
        mapping.column[i].sure = "another number; kept as a note".into();
    }
}

/// Where a heading says which column is the date of making, no other is guessed to be one.
fn no_guess_beside_the_date(mapping: &mut Mapping) {
    let is_date = |column: &Column| column.target.is("piece.date");
    let is_guess = |column: &Column| column.sure.starts_with("a guess");
    if mapping.column.iter().any(|column| is_date(column) && !is_guess(column)) {
        for column in mapping.column.iter_mut().filter(|column| is_date(column) && is_guess(column)) {
            column.target = Target::Note;
            column.sure = "dates of something else; kept as a note".into();
        }
    }
}

impl Mapping {
    /// Says of each column of dates whether days stand first in it, where nobody has said it and its own cells tell.
    pub fn settle_days(&mut self, table: &Table) {
        if self.file.day_first.is_some() {
            return;
        }
        let headings = self.headings(table);
        for column in self.column.iter_mut().filter(|c| c.day_first.is_none() && c.target.is_dated()) {
            let Some(at) = headings.names.iter().position(|name| *name == column.heading) else { continue };
            column.day_first = days::order(table.body(&headings).map(|row| row.text(at)));
        }
    }

    /// The headings that this mapping names, in a table.
    pub fn headings(&self, table: &Table) -> Headings {
        table.headings(self.file.headings.unwrap_or(1), self.file.heading_rows.unwrap_or(1))
    }
}
