//! How every row of a list is read, leaf by leaf; and what one cell or one row means, said where the doubt stands.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};

use super::{address, enter, importer, lists, reading, wrong};
use crate::catalogue::Catalogue;
use crate::draft::{KeptList, ListFault};
use crate::exchange::import::mapping::Mapping;
use crate::exchange::import::plan::Fate;
use crate::exchange::import::table::short;
use crate::exchange::import::{Doubt, Reading};
use crate::exchange::old_list::Read;
use crate::record::account::Role;
use crate::report::link_part;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::piece;
use crate::workbench::sessions::Visitor;

/// So many rows stand on one leaf.
const LEAF: usize = 25;
/// So many letters of a cell are shown.
const CELL: usize = 400;
/// The rows with anything to look at.
const LOOK: &str = "to look at";
/// Every row.
const EVERY: &str = "every row";

/// Which rows are asked for.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct Which {
    show: String,
    page: Option<usize>,
}

/// What the page shows.
#[derive(Serialize)]
struct Shown {
    address: String,
    name: String,
    version: u64,
    show: String,
    page: usize,
    pages: usize,
    ways: Vec<Way>,
    rows: Vec<Line>,
    earlier: String,
    later: String,
}

/// A choice of rows.
#[derive(Serialize)]
struct Way {
    word: String,
    count: usize,
    address: String,
    chosen: bool,
}

/// One row.
#[derive(Serialize)]
struct Line {
    row: u32,
    number: String,
    address: Option<String>,
    fate: &'static str,
    says: Vec<Said>,
    cells: Vec<Cell>,
    /// Whether it wants a number that can be given here.
    wants_number: bool,
}

#[derive(Serialize)]
struct Cell {
    heading: String,
    text: String,
    read: String,
    doubts: Vec<Said>,
}

/// What is doubtful, and what to do.
#[derive(Serialize)]
struct Said {
    why: String,
    mend: String,
    unread: bool,
}

fn said(doubt: &Doubt) -> Said {
    Said { why: sentence(&short(&doubt.why, CELL)), mend: sentence(&short(&doubt.mend, CELL)), unread: doubt.unread }
}

/// Whether there is anything to look at in a row.
pub(super) fn is_to_look_at(reading: &Reading, fate: &Fate) -> bool {
    match fate {
        Fate::New | Fate::Known => !reading.doubts.is_empty(),
        Fate::ReadOtherwise(_) | Fate::Changed(_) | Fate::LeftOut(..) => true,
        Fate::NoPiece(_) => false,
    }
}

pub(super) async fn leaf(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    Query(which): Query<Which>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (for_work, who) = (desk.clone(), importer(&visitor));
    frame::page(&desk, &visitor, Room::Safekeeping, move |catalogue, _| {
        let kept = lists(&for_work).about(&sha256).map_err(|fault| wrong(&fault))?;
        let read = reading(&for_work, catalogue, &kept, &who)?;
        let page = page(catalogue, &kept, &read, which)?;
        Ok(Leaf { template: "import_rows.html", title: format!("Rows of {}", kept.name), page })
    })
    .await
}

fn page(catalogue: &Catalogue, kept: &KeptList, read: &Read, which: Which) -> Result<Shown, Wrong> {
    let look = read.rows().filter(|(row, fate)| is_to_look_at(row, fate)).count();
    let mut ways = vec![(LOOK, look), (EVERY, read.readings.len())];
    ways.extend(read.by_fate());
    let show = match which.show.as_str() {
        "" if look > 0 => LOOK.to_owned(),
        "" => EVERY.to_owned(),
        _ => which.show,
    };
    let wanted = |(row, fate): &(&Reading, &Fate)| match show.as_str() {
        LOOK => is_to_look_at(row, fate),
        EVERY => true,
        word => fate.word() == word,
    };
    let chosen: Vec<(&Reading, &Fate)> = read.rows().filter(wanted).collect();
    let pages = chosen.len().div_ceil(LEAF).max(1);
    let at = which.page.unwrap_or(1).clamp(1, pages);
    let to = address(&kept.sha256);
    let way = |show: &str, page: usize| format!("{to}/rows?show={}&page={page}", link_part(show));
    let (there, _) = catalogue.numbers_ever()?;
    let there: std::collections::HashSet<String> = there.into_iter().collect();
    let row = |(reading, fate): &(&Reading, &Fate)| {
        let number = reading.file.piece.number.clone().unwrap_or_default();
        let mut says: Vec<Said> = read.to_look_at(fate, &number).iter().map(said).collect();
        says.extend(reading.doubts.iter().filter(|d| d.heading.is_empty()).map(said));
        let filled = reading.source.cells.iter().filter(|c| !c.text.trim().is_empty());
        let cell = |c: &crate::record::source::SourceCell| Cell {
            heading: c.heading.clone(),
            text: short(&c.text, CELL),
            read: short(&c.read, CELL),
            doubts: reading.doubts.iter().filter(|d| d.heading == c.heading).map(said).collect(),
        };
        Line {
            row: reading.row,
            address: there.contains(&number).then(|| piece::address(&number)),
            number,
            fate: fate.word(),
            says,
            cells: filled.map(cell).collect(),
            wants_number: matches!(fate, Fate::LeftOut(..)) && reading.swallowed.is_none(),
        }
    };
    Ok(Shown {
        name: kept.name.clone(),
        version: kept.version,
        page: at,
        pages,
        ways: ways
            .into_iter()
            .map(|(word, count)| Way { word: word.into(), count, address: way(word, 1), chosen: word == show })
            .collect(),
        rows: chosen.iter().skip((at - 1) * LEAF).take(LEAF).map(row).collect(),
        earlier: if at > 1 { way(&show, at - 1) } else { String::new() },
        later: if at < pages { way(&show, at + 1) } else { String::new() },
        address: to,
        show,
    })
}

/// What a cell or a row means, as somebody says it beside the doubt.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct Told {
    version: u64,
    row: u32,
    heading: String,
    meant: String,
    show: String,
    page: Option<usize>,
}

/// Reads something in place of what a cell says.
pub(super) async fn instead(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    Form(meant): Form<Told>,
) -> Result<Response, Wrong> {
    let (row, heading, text) = (meant.row, meant.heading.clone(), meant.meant.clone());
    change(&desk, &visitor, sha256, meant, move |mapping, read| mapping.read_instead(&read.table, row, &heading, &text))
        .await
}

/// Gives a row a number.
pub(super) async fn number(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    Form(meant): Form<Told>,
) -> Result<Response, Wrong> {
    let (row, text) = (meant.row, meant.meant.clone());
    change(&desk, &visitor, sha256, meant, move |mapping, read| {
        let reading = read.readings.iter().find(|reading| reading.row == row);
        mapping.number_row(reading.ok_or_else(|| format!("there is no row {row} in the list"))?, &text)
    })
    .await
}

async fn change(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    sha256: String,
    meant: Told,
    put: impl FnOnce(&mut Mapping, &Read) -> Result<(), String> + Send + 'static,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (for_work, of, who) = (desk.clone(), sha256.clone(), importer(visitor));
    let seen = meant.version;
    desk::read(desk, move |catalogue| {
        let kept = lists(&for_work).about(&of).map_err(|fault| wrong(&fault))?;
        if kept.version != seen {
            return Err(wrong(&ListFault::Meanwhile));
        }
        let read = reading(&for_work, catalogue, &kept, &who)?;
        let mut mapping = read.mapping.clone();
        put(&mut mapping, &read).map_err(|why| Wrong::refused(sentence(&why)))?;
        let text = mapping.remarked(&read.proposal).text(&kept.name);
        let change = |list: &mut KeptList| (list.mapping, list.tried) = (text, None);
        lists(&for_work).change(&of, Some(seen), change).map_err(|fault| wrong(&fault))
    })
    .await?;
    enter::try_if_short(desk, visitor, &sha256).await?;
    let back = format!(
        "{}/rows?show={}&page={}#row-{}",
        address(&sha256),
        link_part(&meant.show),
        meant.page.unwrap_or(1),
        meant.row
    );
    Ok(Redirect::to(&back).into_response())
}
