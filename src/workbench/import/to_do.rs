//! What could not be read of a list, or may be wrong: to be worked down on the pages of the pieces, or as a table to save.

use std::collections::HashSet;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::{Deserialize, Serialize};

use super::{address, importer, lists, reading, wrong};
use crate::exchange::import::list::{self, Line};
use crate::exchange::import::table::short;
use crate::record::account::Role;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::piece;
use crate::workbench::sessions::Visitor;
use crate::workbench::sheet::to_keep_as;

/// So many lines stand on one leaf.
const LEAF: usize = 100;
/// So many letters of a cell are shown.
const CELL: usize = 200;

#[derive(Serialize)]
struct Shown {
    address: String,
    name: String,
    unread: usize,
    doubtful: usize,
    lines: Vec<Todo>,
    page: usize,
    pages: usize,
    earlier: String,
    later: String,
}

#[derive(Serialize)]
struct Todo {
    row: Option<u32>,
    number: String,
    address: Option<String>,
    heading: String,
    text: String,
    why: String,
    mend: String,
    unread: bool,
}

/// Which leaf.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct At {
    page: Option<usize>,
}

pub(super) async fn leaf(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    Query(at): Query<At>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (for_work, who) = (desk.clone(), importer(&visitor));
    frame::page(&desk, &visitor, Room::Safekeeping, move |catalogue, _| {
        let kept = lists(&for_work).about(&sha256).map_err(|fault| wrong(&fault))?;
        let lines = reading(&for_work, catalogue, &kept, &who)?.to_do();
        let there: HashSet<String> = catalogue.numbers_ever()?.0.into_iter().collect();
        let unread = lines.iter().filter(|line| line.doubt.unread).count();
        let pages = lines.len().div_ceil(LEAF).max(1);
        let page = at.page.unwrap_or(1).clamp(1, pages);
        let todo = |line: &Line| Todo {
            row: line.row,
            number: line.number.clone(),
            address: there.contains(&line.number).then(|| piece::address(&line.number)),
            heading: line.doubt.heading.clone(),
            text: short(&line.doubt.text, CELL),
            why: sentence(&short(&line.doubt.why, 2 * CELL)),
            mend: sentence(&short(&line.doubt.mend, 2 * CELL)),
            unread: line.doubt.unread,
        };
        let to = address(&kept.sha256);
        let way = |page: usize| format!("{to}/to-do?page={page}");
        let page = Shown {
            name: kept.name.clone(),
            unread,
            doubtful: lines.len() - unread,
            lines: list::in_order(&lines).skip((page - 1) * LEAF).take(LEAF).map(todo).collect(),
            earlier: if page > 1 { way(page - 1) } else { String::new() },
            later: if page < pages { way(page + 1) } else { String::new() },
            address: to,
            page,
            pages,
        };
        Ok(Leaf { template: "import_to_do.html", title: format!("To work down: {}", kept.name), page })
    })
    .await
}

/// The list as a table for a spreadsheet program.
pub(super) async fn download(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (for_work, who) = (desk.clone(), importer(&visitor));
    let (name, bytes) = desk::read(&desk, move |catalogue| {
        let kept = lists(&for_work).about(&sha256).map_err(|fault| wrong(&fault))?;
        let lines = reading(&for_work, catalogue, &kept, &who)?.to_do();
        let bytes = list::csv(&lines).map_err(|e| Wrong::refused(format!("The list cannot be written: {e}.")))?;
        Ok((kept.name, bytes))
    })
    .await?;
    Ok(to_keep_as(&format!("{name}.to-do.csv"), "text/csv; charset=utf-8", bytes))
}
