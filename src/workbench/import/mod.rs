//! Old lists, brought in step by step: the file is kept, read, corrected, tried and entered. Until somebody is done with it,
//! it waits in the catalogue's folder, so that a lid that is closed loses nothing.

mod columns;
mod enter;
mod list;
mod photographs;
mod rows;
mod text;
mod to_do;

use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use jiff::civil::Date;
use serde::Serialize;

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence};
use super::form::with_status;
use super::frame::{self, Leaf, Room, When};
use super::multipart::Multipart;
use super::sessions::Visitor;
use super::upload::{Coming, blocking, receive};
use crate::catalogue::Catalogue;
use crate::draft::{KeptList, ListFault, Lists};
use crate::exchange::import::limits;
use crate::exchange::import::mapping::{Layout, Mapping};
use crate::exchange::import::plan::Door;
use crate::exchange::import::table::plain;
use crate::exchange::old_list::{self, Given, Read, Unread};
use crate::record::account::Role;
use crate::words::count;

/// A mapping is never longer.
const LONGEST_MAPPING: usize = 4 << 20;

/// The routes of this file and those below it.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/import", get(all).post(bring))
        .route("/import/{sha256}", get(list::whole))
        .route("/import/{sha256}/mapping", post(list::correct))
        .route("/import/{sha256}/text", post(text::correct))
        .route("/import/{sha256}/propose", post(text::propose))
        .route("/import/{sha256}/mapping.toml", get(text::download))
        .route("/import/{sha256}/rows", get(rows::leaf))
        .route("/import/{sha256}/instead", post(rows::instead))
        .route("/import/{sha256}/number", post(rows::number))
        .route("/import/{sha256}/to-do", get(to_do::leaf))
        .route("/import/{sha256}/to-do.csv", get(to_do::download))
        .route("/import/{sha256}/try", post(enter::attempt))
        .route("/import/{sha256}/enter", post(enter::enter))
        .route("/import/{sha256}/remove", post(remove))
        .merge(photographs::routes())
}

/// The list that was read last, so that leafing through it does not read it again.
#[derive(Default)]
pub(in crate::workbench) struct LastRead(Mutex<Option<(Key, Arc<Read>)>>);

/// What a reading depends on: the list, its mapping, the state of the catalogue, who reads it and when.
#[derive(PartialEq, Eq)]
struct Key(String, String, i64, String, Date);

/// Who imports, in the words of the journal; blank where nobody has said it.
fn importer(visitor: &Visitor) -> String {
    visitor.name.clone().unwrap_or_default()
}

/// Reads a list as its mapping says.
fn reading(desk: &Desk, catalogue: &Catalogue, kept: &KeptList, importer: &str) -> Result<Arc<Read>, Wrong> {
    let mapping_sha = crate::digest::sha256(kept.mapping.as_bytes());
    let row = catalogue.revision()?.row;
    let key = Key(kept.sha256.clone(), mapping_sha, row, importer.to_owned(), desk.today());
    // A reading that failed leaves nothing half done behind.
    let mut last = desk.old_list.0.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, read)) = last.as_ref().filter(|(known, _)| *known == key) {
        return Ok(read.clone());
    }
    *last = None;
    let mapping = Mapping::read(&kept.mapping).map_err(|why| Wrong::refused(sentence(&why)))?;
    let bytes = lists(desk).bytes(&kept.sha256).map_err(|fault| wrong(&fault))?;
    let given = Given {
        name: &kept.name,
        bytes: &bytes,
        mapping: Some(mapping),
        sheet: None,
        importer,
        today: desk.today(),
        door: Door::Page,
    };
    let read = Arc::new(old_list::read(catalogue, given).map_err(unread)?);
    *last = Some((key, read.clone()));
    Ok(read)
}

fn lists(desk: &Desk) -> Lists {
    Lists::at(desk.folder())
}

/// The page of a list.
fn address(sha256: &str) -> String {
    format!("/import/{sha256}")
}

fn wrong(fault: &ListFault) -> Wrong {
    let status = match fault {
        ListFault::Gone => StatusCode::NOT_FOUND,
        ListFault::Meanwhile => StatusCode::CONFLICT,
        ListFault::Unreadable { .. } => StatusCode::UNPROCESSABLE_ENTITY,
        ListFault::Disk(_) | ListFault::Io { .. } => StatusCode::INSUFFICIENT_STORAGE,
    };
    Wrong::new(status, sentence(&fault.to_string()))
}

fn unread(why: Unread) -> Wrong {
    match why {
        Unread::List(why) => Wrong::refused(sentence(&why)),
        Unread::Catalogue(fault) => fault.into(),
    }
}

/// A list that waits here.
#[derive(Serialize)]
struct Waiting {
    address: String,
    name: String,
    brought: When,
    state: String,
}

#[derive(Serialize)]
struct All {
    lists: Vec<Waiting>,
    /// Lists that cannot be read, in sentences.
    unreadable: Vec<String>,
    amiss: String,
    most: u64,
}

async fn all(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    show(&desk, &visitor, String::new()).await
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, amiss: String) -> Result<Response, Wrong> {
    let kept = lists(desk);
    frame::page(desk, visitor, Room::Safekeeping, move |_, _| {
        let waiting = |list: KeptList| Waiting {
            address: address(&list.sha256),
            brought: When::within("brought on ", &list.began, format!(", {}", list.by)),
            state: match list.entered.last() {
                Some(last) => format!("entered on {}: {}", frame::day(&last.at), count(last.pieces, "piece")),
                None => "not entered yet".into(),
            },
            name: list.name,
        };
        let lists = kept.all().map_err(|fault| wrong(&fault))?.into_iter().map(waiting).collect();
        let unreadable = kept.unreadable().map_err(|fault| wrong(&fault))?;
        let unreadable = unreadable.iter().map(|fault| sentence(&fault.to_string())).collect();
        let page = All { lists, unreadable, amiss, most: limits::FILE >> 20 };
        Ok(Leaf { template: "import.html", title: "Old lists".into(), page })
    })
    .await
}

/// Takes a list in as it comes, and proposes how it is read.
async fn bring(State(desk): State<Arc<Desk>>, visitor: Visitor, form: Multipart) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let refused = match brought(&desk, &visitor, form).await {
        Ok(kept) => {
            enter::try_if_short(&desk, &visitor, &kept.sha256).await?;
            return Ok(Redirect::to(&address(&kept.sha256)).into_response());
        }
        Err(wrong) => wrong,
    };
    Ok(with_status(show(&desk, &visitor, refused.says).await?, refused.status))
}

async fn brought(desk: &Arc<Desk>, visitor: &Visitor, mut form: Multipart) -> Result<KeptList, Wrong> {
    let name = loop {
        match form.next().await? {
            Some(head) if head.file.as_deref().is_some_and(|name| !name.is_empty()) => break head.file,
            Some(_) => {}
            None => return Err(Wrong::refused("Choose a file first: the list as a text file or a workbook.")),
        }
    };
    let name = own_name(&name.unwrap_or_default());
    let by = visitor.author()?.to_owned();
    let kept = lists(desk);
    let coming = {
        let kept = kept.clone();
        blocking(move || kept.coming().map_err(|fault| wrong(&fault))).await?
    };
    receive(&mut Coming::Part(&mut form), coming.path(), limits::FILE, desk.patience.sending, too_large).await?;
    let began = desk.clock.now().to_string();
    desk::read(desk, move |catalogue| {
        let bytes =
            std::fs::read(coming.path()).map_err(|e| Wrong::refused(format!("The list cannot be read: {e}.")))?;
        let (_, proposal) = old_list::proposed(catalogue, &bytes, &Layout::default()).map_err(unread)?;
        let list = KeptList {
            sha256: crate::digest::sha256(&bytes),
            mapping: proposal.text(&name),
            name,
            by,
            began,
            ..KeptList::default()
        };
        kept.keep(coming, list).map_err(|fault| wrong(&fault))
    })
    .await
}

/// The name of a file without folders and without signs that no name should hold.
fn own_name(name: &str) -> String {
    let last = plain(name.rsplit(['/', '\\']).next().unwrap_or_default());
    let short: String = last.chars().take(120).collect();
    if short.is_empty() { "list".into() } else { short }
}

fn too_large(most: u64) -> Wrong {
    let says =
        format!("This file has more than {} MB; no list has. Take pictures out of it, or divide it.", most >> 20);
    Wrong::new(StatusCode::PAYLOAD_TOO_LARGE, says)
}

/// Removes what was kept of a list. What was entered stays.
async fn remove(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let kept = lists(&desk);
    blocking(move || kept.remove(&sha256).map_err(|fault| wrong(&fault))).await?;
    Ok(Redirect::to("/import").into_response())
}
