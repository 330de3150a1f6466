//! One old list: what its columns are taken for, what becomes of its rows, and its way into the catalogue.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Serialize;

use super::columns::{self, Amiss, Fields, Line, Whole};
use super::enter::{self, Tried};
use super::{LONGEST_MAPPING, address, importer, lists, reading, unread, wrong};
use crate::catalogue::Catalogue;
use crate::draft::{KeptList, TakenIn};
use crate::exchange::import::mapping::{Layout, Mapping};
use crate::exchange::import::plan::Fate;
use crate::exchange::import::table::plain;
use crate::exchange::import::target;
use crate::exchange::old_list::{self, Read};
use crate::record::account::Role;
use crate::vocabulary::Scheme;
use crate::words::count;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::form;
use crate::workbench::frame::{self, Leaf, Room, When};
use crate::workbench::multipart::Multipart;
use crate::workbench::safekeeping::Beside;
use crate::workbench::sessions::Visitor;

/// What the page shows.
#[derive(Serialize)]
struct Page {
    address: String,
    name: String,
    version: u64,
    brought: When,
    entered: Vec<When>,
    /// None where it cannot be read as its mapping stands; why, then.
    read: Option<Inside>,
    unreadable: String,
    /// The mapping as text, and what is wrong with it as it was typed.
    text: String,
    typed: String,
    /// What was wrong with a form, where no field is to blame.
    amiss: String,
    /// The long work that is in the way.
    beside: Beside,
}

/// A list that can be read.
#[derive(Serialize)]
struct Inside {
    about: String,
    remarks: Vec<String>,
    lines: Vec<Line>,
    whole: Whole,
    targets: Vec<String>,
    piece_fields: Vec<String>,
    dimensions: Vec<String>,
    sums: Vec<Sum>,
    rows: String,
    to_look_at: usize,
    unread: usize,
    doubtful: usize,
    new: usize,
    enter: String,
    changed: usize,
    tried: Tried,
    reason: String,
    keep_changed: bool,
    photographs: usize,
}

/// How many rows have one fate.
#[derive(Serialize)]
struct Sum {
    word: &'static str,
    count: usize,
    address: String,
}

/// What stood in a form that was refused, and why.
#[derive(Debug, Default, Clone)]
pub(super) struct Refused {
    pub fields: Fields,
    pub amiss: Amiss,
    pub says: String,
    pub beside: Beside,
    /// What was to be entered, and why.
    pub enter: Option<enter::Asked>,
}

pub(super) async fn whole(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    show(&desk, &visitor, sha256, Refused::default()).await
}

/// The page again with what was typed, where it was refused.
pub(super) async fn again(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    sha256: String,
    refused: Refused,
) -> Result<Response, Wrong> {
    show(desk, visitor, sha256, refused).await.map(form::again)
}

pub(super) async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    sha256: String,
    refused: Refused,
) -> Result<Response, Wrong> {
    let (for_work, who) = (desk.clone(), importer(visitor));
    frame::page(desk, visitor, Room::Safekeeping, move |catalogue, _| {
        let kept = lists(&for_work).about(&sha256).map_err(|fault| wrong(&fault))?;
        let (read, unreadable) = match reading(&for_work, catalogue, &kept, &who) {
            Ok(read) => (Some(inside(catalogue, &kept, &read, &refused)?), String::new()),
            Err(why) if why.status == StatusCode::UNPROCESSABLE_ENTITY => (None, why.says),
            Err(other) => return Err(other),
        };
        let typed = kept.typed.as_deref().and_then(|text| Mapping::read(text).err()).unwrap_or_default();
        let page = Page {
            address: address(&kept.sha256),
            version: kept.version,
            brought: When::within("brought on ", &kept.began, format!(" by {}", kept.by)),
            entered: kept.entered.iter().map(told).collect(),
            read,
            unreadable,
            text: kept.typed.clone().unwrap_or_else(|| kept.mapping.clone()),
            typed,
            amiss: refused.says,
            beside: refused.beside,
            name: kept.name.clone(),
        };
        Ok(Leaf { template: "import_list.html", title: format!("Old list {}", kept.name), page })
    })
    .await
}

/// What was entered, when and by whom.
fn told(done: &TakenIn) -> When {
    When::within(format!("{} on ", entered(done)), &done.at, format!(" by {}", done.by))
}

/// What was entered.
pub(super) fn entered(done: &TakenIn) -> String {
    let TakenIn { pieces, lines, kept, .. } = done;
    let mut parts = Vec::new();
    if *pieces > 0 {
        parts.push(format!("{} with {} entered", count(*pieces, "piece"), count(*lines, "line")));
    }
    if *kept > 0 {
        parts.push(format!("the new wording of {} kept", count(*kept, "row")));
    }
    parts.join(", ")
}

fn inside(catalogue: &Catalogue, kept: &KeptList, read: &Read, refused: &Refused) -> Result<Inside, Wrong> {
    let mut remarks: Vec<String> = read.table.remarks.iter().map(|r| sentence(&plain(r))).collect();
    if !read.table.other_sheets.is_empty() {
        let list: Vec<String> = read.table.other_sheets.iter().map(|s| plain(s)).collect();
        remarks.push(format!(
            "Other sheets are not read: {}. Choose one below under how the file is laid out.",
            list.join(", ")
        ));
    }
    for column in read.mapping.column.iter().filter(|c| !read.headings.names.contains(&c.heading)) {
        remarks.push(format!("The mapping names a column “{}”, which the list does not have.", plain(&column.heading)));
    }
    let to_do = read.to_do();
    let unread = to_do.iter().filter(|line| line.doubt.unread).count();
    let rows = format!("{}/rows", address(&kept.sha256));
    let sum = |(word, count): (&'static str, usize)| Sum {
        word,
        count,
        address: format!("{rows}?show={}", crate::report::link_part(word)),
    };
    let there = |fate: &Fate| !matches!(fate, Fate::NoPiece(_) | Fate::LeftOut(..));
    let named = read.rows().filter(|(_, fate)| there(fate)).map(|(row, _)| row.photographs.len()).sum();
    Ok(Inside {
        about: format!("{}, {}, headings in row {}", read.kind.word(), read.written(), read.headings.row),
        remarks,
        lines: columns::lines(read, &refused.fields, &refused.amiss),
        whole: columns::whole(read, &refused.fields, refused.amiss.clone()),
        targets: target::fields().collect(),
        piece_fields: target::fields().filter(|word| word.starts_with("piece.") && word != "piece.number").collect(),
        dimensions: catalogue.vocabulary().terms(Scheme::Dimension).map(|t| t.name().to_owned()).collect(),
        sums: read.by_fate().into_iter().map(sum).collect(),
        to_look_at: read.rows().filter(|(row, fate)| super::rows::is_to_look_at(row, fate)).count(),
        unread,
        doubtful: to_do.len() - unread,
        new: read.new_rows(),
        enter: count(read.new_rows(), "piece"),
        changed: read.changed_rows(),
        tried: enter::tried(catalogue, kept)?,
        reason: refused.enter.as_ref().map_or_else(|| read.reason(), |asked| asked.reason.clone()),
        keep_changed: refused.enter.as_ref().is_some_and(|asked| asked.keep_changed.is_some()),
        photographs: named,
        rows,
    })
}

/// Takes what the form says of columns and layout, and reads the list so.
pub(super) async fn correct(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    mut form: Multipart,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let fields = form.fields(LONGEST_MAPPING).await?;
    let (for_work, who, of) = (desk.clone(), importer(&visitor), sha256.clone());
    let for_page = fields.clone();
    let done = desk::read(&desk, move |catalogue| {
        let kept = match seen(&for_work, &of, &fields) {
            Ok(kept) => kept,
            // Somebody else decided meanwhile: what was chosen here stays on the page, to be sent once more or not.
            Err(why) if why.status == StatusCode::CONFLICT => {
                return Ok(Err(Refused { fields, says: why.says, ..Refused::default() }));
            }
            Err(other) => return Err(other),
        };
        if kept.typed.is_some() {
            let says = "The mapping that was typed waits below and cannot be read yet. Correct it there, or drop it; the \
                        columns were not changed.";
            return Ok(Err(Refused { fields, says: says.into(), ..Refused::default() }));
        }
        let read = reading(&for_work, catalogue, &kept, &who)?;
        let (mapping, layout) = match columns::corrected(&read, &fields, catalogue.vocabulary()) {
            Ok(corrected) => corrected,
            Err(amiss) => return Ok(Err(Refused { fields, amiss, ..Refused::default() })),
        };
        let made = laid_out(&for_work, catalogue, (&kept, &read), mapping, &layout);
        let (text, aside) = match made {
            Ok(made) => made,
            Err(why) if why.status == StatusCode::UNPROCESSABLE_ENTITY => {
                return Ok(Err(Refused { fields, says: why.says, ..Refused::default() }));
            }
            Err(other) => return Err(other),
        };
        let change = |list: &mut KeptList| {
            list.aside.extend(aside);
            (list.mapping, list.typed, list.tried) = (text, None, None);
        };
        lists(&for_work).change(&of, Some(kept.version), change).map_err(|fault| wrong(&fault))?;
        Ok(Ok(()))
    })
    .await?;
    if let Err(refused) = done {
        return again(&desk, &visitor, sha256, Refused { fields: for_page, ..refused }).await;
    }
    enter::try_if_short(&desk, &visitor, &sha256).await?;
    Ok(Redirect::to(&address(&sha256)).into_response())
}

/// The list, if it still is as the form had it.
pub(super) fn seen(desk: &Desk, sha256: &str, fields: &Fields) -> Result<KeptList, Wrong> {
    let kept = lists(desk).about(sha256).map_err(|fault| wrong(&fault))?;
    let version = fields.get("version").and_then(|v| v.parse::<u64>().ok());
    if version == Some(kept.version) { Ok(kept) } else { Err(wrong(&crate::draft::ListFault::Meanwhile)) }
}

/// The mapping as a file, where the list may be laid out otherwise now; and what is put aside of another sheet.
fn laid_out(
    desk: &Desk,
    catalogue: &Catalogue,
    (kept, read): (&KeptList, &Read),
    mapping: Mapping,
    layout: &Layout,
) -> Result<(String, Option<(String, String)>), Wrong> {
    let without_days = |layout: &Layout| Layout { day_first: None, ..layout.clone() };
    let sheet = layout.sheet.clone().filter(|sheet| read.table.sheet.as_ref() != Some(sheet));
    let made = |mapping: Mapping, proposal: &Mapping| -> Result<String, Wrong> {
        let text = mapping.remarked(proposal).text(&kept.name);
        Mapping::read(&text).map_err(|why| Wrong::refused(sentence(&why)))?;
        Ok(text)
    };
    if let Some(sheet) = sheet {
        let aside = match read.table.sheet.clone() {
            Some(now) => Some((now, made(mapping.clone(), &read.proposal)?)),
            None => None,
        };
        if let Some(earlier) = kept.aside.get(&sheet) {
            return Ok((earlier.clone(), aside));
        }
        // Another sheet is another list: what was said of rows and columns does not hold there.
        let fresh = Layout { sheet: Some(sheet), ..Layout::default() };
        let (_, proposal) = proposed(desk, catalogue, kept, &fresh)?;
        let Mapping { examination, fixed, .. } = mapping;
        return Ok((made(Mapping { examination, fixed, ..proposal.clone() }, &proposal)?, aside));
    }
    if without_days(layout) == without_days(&read.mapping.file) {
        return Ok((made(Mapping { file: layout.clone(), ..mapping }, &read.proposal)?, None));
    }
    let (_, proposal) = proposed(desk, catalogue, kept, layout)?;
    let carried = proposal.clone().carrying(&mapping);
    let file = Layout { day_first: layout.day_first, ..carried.file.clone() };
    Ok((made(Mapping { file, ..carried }, &proposal)?, None))
}

/// A mapping proposed anew for a list that is laid out so.
pub(super) fn proposed(
    desk: &Desk,
    catalogue: &Catalogue,
    kept: &KeptList,
    layout: &Layout,
) -> Result<(crate::exchange::import::Table, Mapping), Wrong> {
    let bytes = lists(desk).bytes(&kept.sha256).map_err(|fault| wrong(&fault))?;
    old_list::proposed(catalogue, &bytes, layout).map_err(unread)
}
