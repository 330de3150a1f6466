//! The whole import tried and taken back, and entered in one transaction.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};

use super::list::{self, Refused};
use super::{address, lists, reading, wrong};
use crate::catalogue::{Catalogue, Fault, Intent};
use crate::draft::{KeptList, TakenIn, Trial};
use crate::record::account::Role;
use crate::words::count;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::sessions::Visitor;

/// A list of no more rows is tried at once, without being asked: that takes about a second (1000 rows in 0.5 s on two cores).
const SHORT: usize = 2000;

/// What came of trying, as the page says it.
#[derive(Serialize)]
pub(super) struct Tried {
    /// Whether it was tried as it stands now.
    pub done: bool,
    pub says: String,
    pub refused: String,
}

/// What is known of a trial, if neither mapping nor catalogue changed since.
pub(super) fn tried(catalogue: &Catalogue, kept: &KeptList) -> Result<Tried, Wrong> {
    let (now, row) = (crate::digest::sha256(kept.mapping.as_bytes()), catalogue.revision()?.row);
    let trial = kept.tried.as_ref().filter(|trial| trial.mapping == now && trial.revision == row);
    let says = |trial: &Trial| format!("{} with {}", count(trial.pieces, "piece"), count(trial.lines, "line"));
    Ok(Tried {
        done: trial.is_some(),
        says: trial.filter(|trial| trial.refused.is_none()).map(says).unwrap_or_default(),
        refused: trial.and_then(|trial| trial.refused.clone()).unwrap_or_default(),
    })
}

/// Tries a list that is short, where it is known who does it.
pub(super) async fn try_if_short(desk: &Arc<Desk>, visitor: &Visitor, sha256: &str) -> Result<(), Wrong> {
    let Ok(author) = visitor.author().map(str::to_owned) else { return Ok(()) };
    let (for_work, of, who) = (desk.clone(), sha256.to_owned(), author.clone());
    let short = desk::read(desk, move |catalogue| {
        let kept = lists(&for_work).about(&of).map_err(|fault| wrong(&fault))?;
        // What cannot be read is told by the page.
        Ok(reading(&for_work, catalogue, &kept, &who).is_ok_and(|read| (1..=SHORT).contains(&read.new_rows())))
    })
    .await?;
    if short { try_now(desk, author, sha256.to_owned()).await } else { Ok(()) }
}

async fn try_now(desk: &Arc<Desk>, author: String, sha256: String) -> Result<(), Wrong> {
    let for_work = desk.clone();
    desk::write(desk, move |catalogue| {
        let kept = lists(&for_work).about(&sha256).map_err(|fault| wrong(&fault))?;
        let read = reading(&for_work, catalogue, &kept, &author)?;
        let intent = Intent { author, reason: Some(read.reason()), dry_run: true, ..Intent::default() };
        let mut trial = Trial {
            mapping: crate::digest::sha256(kept.mapping.as_bytes()),
            revision: catalogue.revision()?.row,
            ..Trial::default()
        };
        match read.enter(catalogue, &intent, &mut || ()) {
            Ok(imported) => (trial.pieces, trial.lines) = (imported.pieces, imported.lines),
            Err(Fault::Refused(why)) => trial.refused = Some(sentence(&why)),
            Err(other) => return Err(other.into()),
        }
        // Whoever changed the mapping meanwhile is not told of this trial: it names the mapping that was tried.
        lists(&for_work).tried(&sha256, trial).map_err(|fault| wrong(&fault))?;
        Ok(())
    })
    .await
}

/// Tries the whole import and takes it back.
pub(super) async fn attempt(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    try_now(&desk, visitor.author()?.to_owned(), sha256.clone()).await?;
    Ok(Redirect::to(&format!("{}#enter", address(&sha256))).into_response())
}

/// What somebody enters.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Asked {
    version: u64,
    reason: String,
    /// The new wording of rows that changed is kept as well.
    keep_changed: Option<String>,
}

/// Enters what is new, all of it or nothing.
pub(super) async fn enter(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    Form(asked): Form<Asked>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let author = visitor.author()?.to_owned();
    let refuse = |says: &str| Refused { says: says.to_owned(), ..Refused::default() };
    if asked.reason.trim().is_empty() {
        let refused = refuse("Say why in a few words: the journal keeps it with every piece. Nothing was entered.");
        return list::again(&desk, &visitor, sha256, refused).await;
    }
    let (for_work, of) = (desk.clone(), sha256.clone());
    let done = desk::write(&desk, move |catalogue| {
        let kept = lists(&for_work).about(&of).map_err(|fault| wrong(&fault))?;
        if kept.version != asked.version {
            return Err(wrong(&crate::draft::ListFault::Meanwhile));
        }
        if kept.typed.is_some() {
            return Ok(Err(
                "The mapping that was typed cannot be read. Correct it, or drop it; nothing was entered.".into()
            ));
        }
        let read = reading(&for_work, catalogue, &kept, &author)?;
        let intent = Intent { author: author.clone(), reason: Some(asked.reason), ..Intent::default() };
        let imported = match read.enter(catalogue, &intent, &mut || ()) {
            Ok(imported) => imported,
            Err(Fault::Refused(why)) => return Ok(Err(sentence(&why))),
            Err(other) => return Err(other.into()),
        };
        let mut entered = TakenIn {
            at: for_work.clock.now().to_string(),
            by: author,
            pieces: imported.pieces,
            lines: imported.lines,
            kept: 0,
        };
        if asked.keep_changed.is_some() {
            read.keep_changed(catalogue, &intent)?;
            entered.kept = read.changed_rows();
        }
        if entered.pieces + entered.kept > 0 {
            lists(&for_work)
                .change(&of, None, |list| {
                    list.entered.push(entered);
                    list.tried = None;
                })
                .map_err(|fault| wrong(&fault))?;
        }
        Ok(Ok(()))
    })
    .await?;
    match done {
        Ok(()) => Ok(Redirect::to(&address(&sha256)).into_response()),
        Err(says) => {
            let says: String = says;
            list::again(&desk, &visitor, sha256, refuse(&says)).await
        }
    }
}
