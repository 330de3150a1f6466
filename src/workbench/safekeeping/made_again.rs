//! A catalogue made again from its export, into one in which nothing is yet. The document and what lies beside it are on the
//! machine on which the program runs: only who came by the link of the terminal names them.

use std::fs::File;
use std::path::Path;
use std::sync::Arc;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use axum::{Form, Router};
use serde::{Deserialize, Serialize};

use super::copies::whole_path;
use super::{Beside, begun};
use crate::catalogue::Catalogue;
use crate::exchange::made_again::made_again;
use crate::record::account::Role;
use crate::workbench::desk::Desk;
use crate::workbench::fault::{Wrong, sentence, written};
use crate::workbench::form::with_status;
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::sessions::Visitor;
use crate::workbench::works::{Outcome, Work};

const PLACE: &str = "/import/catalogue";

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route(PLACE, get(whole).post(take_in))
}

/// What is typed.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    document: String,
}

#[derive(Serialize)]
struct Page {
    names_files: bool,
    /// Whether nothing is in the catalogue yet.
    is_empty: bool,
    folder: String,
    asked: Asked,
    amiss: String,
    beside: Beside,
}

async fn whole(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    show(&desk, &visitor, Asked::default(), String::new(), Beside::default(), StatusCode::OK).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    asked: Asked,
    amiss: String,
    beside: Beside,
    status: StatusCode,
) -> Result<Response, Wrong> {
    let names_files = !desk.has_accounts();
    // Where the machine may be another's, nothing of its paths is told.
    let folder = if names_files { desk.folder().display().to_string() } else { String::new() };
    let page = frame::page(desk, visitor, Room::Safekeeping, move |catalogue, _| {
        let is_empty = catalogue.revision()?.row == 0;
        let page = Page { names_files, is_empty, folder, asked, amiss, beside };
        Ok(Leaf { template: "import_catalogue.html", title: "A catalogue from its export".into(), page })
    })
    .await?;
    Ok(with_status(page, status))
}

async fn take_in(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(asked): Form<Asked>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    if desk.has_accounts() {
        return Err(Wrong::forbidden(
            "A file of the machine is named where the machine stands, not in a browser that signs in: by \
             `dimity --in NEW-DIR import json DOCUMENT`.",
        ));
    }
    let refused = StatusCode::UNPROCESSABLE_ENTITY;
    let opened = written(&asked.document).ok_or("Name the document.".to_owned()).and_then(|text| {
        let path = whole_path(&text)?;
        // A folder can be opened as a file is on some systems, and a device never ends.
        let file = std::fs::metadata(&path).and_then(|about| {
            if about.is_file() { File::open(&path) } else { Err(std::io::ErrorKind::InvalidInput.into()) }
        });
        Ok((file.map_err(|e| format!("The document cannot be read: {e}."))?, path))
    });
    let (file, path) = match opened {
        Ok(opened) => opened,
        Err(amiss) => return show(&desk, &visitor, asked, amiss, Beside::default(), refused).await,
    };
    let work = move |catalogue: &mut Catalogue, work: &Work| {
        let beside = path.parent().unwrap_or(Path::new("/"));
        match made_again(catalogue, file, &path.display().to_string(), beside, work) {
            Ok(done) => {
                let held_back = done.held_back_told(catalogue).iter().map(|line| sentence(line)).collect::<Vec<_>>();
                let mut outcome = Outcome::done(&[done.told(catalogue.folder())], done.findings);
                if !held_back.is_empty() {
                    outcome.told.push(("Held back by the export".into(), held_back));
                }
                outcome.next.push(("The collection".into(), "/".into()));
                outcome
            }
            Err(fault) => Outcome::not_done(
                &fault,
                "The records are in, but not every file beside them; the check names those that are missing.",
            ),
        }
    };
    match begun(&desk, &visitor, "Catalogue from its export", PLACE, work) {
        Ok(response) => Ok(response),
        Err((status, beside)) => show(&desk, &visitor, asked, String::new(), beside, status).await,
    }
}
