//! Filled-in sheets: read and tried first, with every mistake where it stands, then entered, each whole or not at all. A sheet
//! stands in a field of the page, so that a mistake is put right there.

use std::cell::Cell;
use std::sync::Arc;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Serialize;

use super::{Amiss, refused};
use crate::catalogue::{Catalogue, Entered, Fault, Intent};
use crate::exchange::entry::{self, Refusal};
use crate::exchange::sheet::{Mistake, text_of};
use crate::record::account::Role;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence, written};
use crate::workbench::form::{self, again};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::multipart::Multipart;
use crate::workbench::piece;
use crate::workbench::sessions::Visitor;

/// The sheets of one request are never longer together, in bytes.
const LONGEST: usize = 8 << 20;
/// The most sheets of one request.
const MOST: usize = 100;

/// A sheet that was sent: its name, and its bytes.
struct Sheet {
    name: String,
    bytes: Vec<u8>,
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    sheets: Vec<Told>,
    reason: String,
    /// Whether one of them corrects something, and needs a reason.
    corrects: bool,
    /// How many are still to be entered.
    left: usize,
}

/// What a sheet would bring or brought, or what is wrong with it.
#[derive(Serialize)]
struct Told {
    name: String,
    /// Its text; none where it was entered, or is no text.
    text: Option<String>,
    says: String,
    seals: Vec<String>,
    mistakes: Vec<Mistake>,
    amiss: String,
    /// The page of the piece, where the sheet was entered.
    address: Option<String>,
}

/// Looks at sheets that were chosen, or at their fields as they stand now. Changes nothing.
pub(super) async fn read(State(desk): State<Arc<Desk>>, visitor: Visitor, form: Multipart) -> Result<Response, Wrong> {
    look(&desk, &visitor, form, true).await
}

/// Enters them, each whole or not at all.
pub(super) async fn enter(State(desk): State<Arc<Desk>>, visitor: Visitor, form: Multipart) -> Result<Response, Wrong> {
    look(&desk, &visitor, form, false).await
}

async fn look(desk: &Arc<Desk>, visitor: &Visitor, form: Multipart, dry_run: bool) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let may = visitor.role;
    let author = match form::who(visitor) {
        Ok(author) => author,
        Err(amiss) => return refused(desk, visitor, Amiss { files: amiss.says, ..Amiss::default() }).await,
    };
    let (sheets, reason) = match sent(form).await {
        Ok(sent) => sent,
        Err(wrong) if wrong.status == StatusCode::UNPROCESSABLE_ENTITY => {
            return refused(desk, visitor, Amiss { files: wrong.says, ..Amiss::default() }).await;
        }
        Err(other) => return Err(other),
    };
    let given = written(&reason);
    let page = desk::write(desk, move |catalogue| {
        let mut corrects = false;
        let mut told = Vec::new();
        for sheet in sheets {
            told.push(one(catalogue, sheet, (&author, may), given.as_deref(), dry_run, &mut corrects));
        }
        let left = told.iter().filter(|sheet| sheet.text.is_some()).count();
        Ok(Page { sheets: told, reason, corrects, left })
    })
    .await?;
    let wrong = page.sheets.iter().any(|sheet| !sheet.mistakes.is_empty() || !sheet.amiss.is_empty());
    let title = if dry_run { "Sheets, not entered yet" } else { "Sheets entered" };
    let page = frame::page(desk, visitor, Room::Examine, move |_, _| {
        Ok(Leaf { template: "sheets_in.html", title: title.into(), page })
    })
    .await?;
    Ok(if wrong { again(page) } else { page })
}

/// The sheets of a form, as files or as fields, and the reason that stands beside them.
async fn sent(mut form: Multipart) -> Result<(Vec<Sheet>, String), Wrong> {
    let (mut sheets, mut reason, mut left) = (Vec::<Sheet>::new(), String::new(), LONGEST);
    let mut name = String::new();
    while let Some(head) = form.next().await? {
        if head.file.as_deref() == Some("") {
            continue;
        }
        let too_long = || {
            let says = format!("These sheets have more than {} MB together; choose fewer.", LONGEST >> 20);
            Wrong::refused(says)
        };
        let bytes = form.whole(left, too_long).await?;
        left -= bytes.len();
        let text = || String::from_utf8_lossy(&bytes).into_owned();
        match (head.file, head.name.as_str()) {
            (Some(file), _) => sheets.push(Sheet { name: file, bytes }),
            (None, "reason") => reason = text(),
            (None, "name") => name = text(),
            // A browser sends the lines of a field with both signs.
            (None, "text") => {
                sheets
                    .push(Sheet { name: std::mem::take(&mut name), bytes: text().replace("\r\n", "\n").into_bytes() });
            }
            _ => {}
        }
        if sheets.len() > MOST {
            return Err(Wrong::refused(format!("These are more than {MOST} sheets; choose fewer at once.")));
        }
    }
    if sheets.is_empty() {
        return Err(Wrong::refused("Choose the sheets first: the text files that you filled in."));
    }
    Ok((sheets, reason))
}

/// Tries or enters one sheet. What is wrong with it stops no other.
fn one(
    catalogue: &mut Catalogue,
    sheet: Sheet,
    (author, may): (&str, Role),
    reason: Option<&str>,
    dry_run: bool,
    corrects: &mut bool,
) -> Told {
    let Sheet { name, bytes } = sheet;
    let text = text_of(&bytes).ok().map(str::to_owned);
    let mut told = Told {
        name,
        text,
        says: String::new(),
        seals: Vec::new(),
        mistakes: Vec::new(),
        amiss: String::new(),
        address: None,
    };
    // What is corrected is told before a reason is asked for.
    let unfounded = Cell::new(false);
    let put = |catalogue: &mut Catalogue, dry_run: bool| {
        entry::enter_or(catalogue, &bytes, |read| {
            let own = read.reason.clone().or_else(|| reason.map(str::to_owned));
            unfounded.set(own.is_none());
            let reason = own.or_else(|| dry_run.then(|| "tried".to_owned()));
            Intent { author: author.to_owned(), reason, dry_run, may, ..Intent::default() }
        })
    };
    let tried = put(catalogue, true);
    let asks = unfounded.get() && tried.as_ref().is_ok_and(|entered| entered.corrected > 0);
    *corrects |= asks;
    let done = if dry_run || asks || tried.is_err() { tried } else { put(catalogue, false) };
    match done {
        Ok(entered) if !dry_run && asks => {
            told.amiss = format!(
                "It corrects {} of what is recorded: say why, in the field below. Nothing was entered.",
                entered.corrected
            );
        }
        Ok(entered) => tell(&mut told, &entered, dry_run),
        Err(Refusal::Mistakes(mistakes)) => told.mistakes = mistakes,
        Err(Refusal::Catalogue(Fault::Refused(why))) => told.amiss = sentence(&why),
        // Of many sheets those before this one are in: each is told of, whatever became of it.
        Err(Refusal::Catalogue(other)) => told.amiss = sentence(&other.to_string()),
    }
    told
}

fn tell(told: &mut Told, entered: &Entered, dry_run: bool) {
    told.says = sentence(&entry::told(entered));
    told.seals = entered.sealed.iter().map(|sealed| sentence(&entry::seal_told(sealed, dry_run))).collect();
    if !dry_run {
        (told.text, told.address) = (None, Some(piece::address(&entered.number)));
    }
}
