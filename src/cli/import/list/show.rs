//! How a list was read, in lines and as JSON.

use std::path::Path;

use serde_json::json;

use super::photographs::Pictures;
use crate::catalogue::Imported;
use crate::cli::Desk;
use crate::cli::say::count;
use crate::exchange::import::list::Line;
use crate::exchange::import::plan::Fate;
use crate::exchange::import::table::{plain, short};
use crate::exchange::import::{Doubt, Reading};
use crate::exchange::old_list::Read;

/// So many letters of a cell are shown.
const SHOWN: usize = 70;

/// The file, the columns, and every row that is not known already.
pub(super) fn reading(read: &Read, mapping: &Path, desk: &mut Desk) {
    let said = desk_line(read);
    desk.out.line(said);
    for remark in &read.table.remarks {
        desk.out.line(format!("  ? {}", plain(remark)));
    }
    if !read.table.other_sheets.is_empty() {
        let list = read.table.other_sheets.iter().map(|s| format!("`{}`", plain(s))).collect::<Vec<_>>().join(", ");
        desk.out
            .line(format!("  ? other sheets are not read: {list}; `--sheet NAME` with a mapping of its own reads one"));
    }
    let whose = if read.proposed { "proposed and written to" } else { "read from" };
    desk.out.line(format!("mapping {whose} `{}`", mapping.display()));
    for heading in &read.headings.names {
        match read.mapping.of(heading) {
            Some(column) => {
                let with: Vec<String> = column.with.iter().map(|(k, v)| format!("{k} {v}")).collect();
                let with = if with.is_empty() { String::new() } else { format!(" ({})", with.join(", ")) };
                let sure = if column.sure.is_empty() { String::new() } else { format!("   {}", column.sure) };
                desk.out.line(format!("  {heading} -> {}{with}{sure}", column.target.word()));
            }
            None => desk
                .out
                .line(format!("  {heading} -> nothing: the mapping does not name this column; its cells are kept")),
        }
    }
    for column in read.mapping.column.iter().filter(|c| !read.headings.names.contains(&c.heading)) {
        desk.out
            .line(format!("  ? the mapping names a column `{}`, which the list does not have", plain(&column.heading)));
    }
    for (reading, fate) in read.rows().filter(|(_, fate)| **fate != Fate::Known) {
        desk.out.line(row(read, reading, fate).join("\n"));
    }
}

/// One row: what becomes of it, then each cell with what was read there and what is doubtful.
fn row(read: &Read, reading: &Reading, fate: &Fate) -> Vec<String> {
    let number = reading.file.piece.number.as_deref().unwrap_or("no number");
    let mut lines = vec![String::new(), format!("row {}  {number}  {}", reading.row, fate.word())];
    if let Fate::LeftOut(why, mend) = fate {
        lines.push(format!("  ! {why}; {mend}"));
    } else if let Some(doubt) = read.to_look_at(fate, number) {
        lines.push(format!("  ! {}; {}", doubt.why, doubt.mend));
    }
    for cell in reading.source.cells.iter().filter(|c| !c.text.trim().is_empty()) {
        let said = if cell.read.is_empty() { "kept, not read".to_owned() } else { short(&cell.read, 4 * SHOWN) };
        lines.push(format!("  {}: {} -> {said}", cell.heading, short(&cell.text, SHOWN)));
        lines.extend(reading.doubts.iter().filter(|d| d.heading == cell.heading).map(told));
    }
    lines.extend(reading.doubts.iter().filter(|d| d.heading.is_empty()).map(told));
    lines
}

fn told(doubt: &Doubt) -> String {
    let mark = if doubt.unread { '!' } else { '?' };
    format!("    {mark} {}; {}", short(&doubt.why, 4 * SHOWN), short(&doubt.mend, 2 * SHOWN))
}

fn desk_line(read: &Read) -> String {
    format!("{}: {}, {}, headings in row {}", plain(&read.name), read.kind.word(), read.written(), read.headings.row)
}

/// What was done, or would be.
pub(super) fn summary(read: &Read, imported: &Imported, lines: &[Line], list: &Path, entered: bool, desk: &mut Desk) {
    let unread = lines.iter().filter(|l| l.doubt.unread).count();
    desk.out.line(format!("\n{}", read.sums()));
    desk.out.line(format!(
        "{unread} could not be read and need correcting; {} were read but are doubtful; listed in `{}`",
        lines.len() - unread,
        list.display()
    ));
    let what = format!("{}, {}", count(imported.pieces, "piece"), count(imported.lines, "line"));
    let later = match imported.later {
        0 => String::new(),
        rows => format!("; the new wording of {} is kept", count(rows, "row")),
    };
    desk.out.line(match (entered, imported.pieces) {
        (true, 0) if later.is_empty() => "nothing new; the catalogue was not changed".into(),
        (true, 0) => format!("nothing new{later}"),
        (true, _) => format!("imported: {what}{later}"),
        (false, 0) => "nothing new to enter".into(),
        (false, _) => format!(
            "would be imported: {what}; nothing was changed. Correct the mapping, run again, then add `--enter`"
        ),
    });
}

/// All of it as one object.
pub(super) fn json(
    (read, mapping): (&Read, &Path),
    imported: &Imported,
    lines: &[Line],
    pictures: Option<&Pictures>,
    entered: bool,
    desk: &mut Desk,
) {
    let rows = read.rows().map(|(reading, fate)| {
        json!({ "row": reading.row, "number": reading.file.piece.number, "fate": fate.word(), "cells": reading.source.cells,
                "doubts": reading.doubts })
    });
    let columns = read.headings.names.iter().map(|heading| {
        let column = read.mapping.of(heading);
        json!({ "heading": heading, "as": column.map_or_else(|| "nothing".into(), |c| c.target.word()),
                "with": column.map(|c| &c.with), "sure": column.map(|c| c.sure.as_str()) })
    });
    desk.out.json(&json!({
        "file": read.name, "sha256": read.sha256, "kind": read.kind, "sheet": read.table.sheet,
        "encoding": read.table.written.as_ref().map(|w| &w.encoding), "delimiter": read.table.written.as_ref().map(|w| w.delimiter),
        "mapping": mapping.display().to_string(), "mapping_proposed": read.proposed, "columns": columns.collect::<Vec<_>>(),
        "rows": rows.collect::<Vec<_>>(), "entered": entered, "pieces": imported.pieces, "lines": imported.lines, "later_rows": imported.later, "to_do": lines,
        "photographs": pictures.map(Pictures::told),
    }));
}
