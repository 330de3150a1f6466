//! A copy elsewhere, and back from one. Folders are those of the machine on which the program runs. Who came by the link of
//! the terminal owns it and may name them; where people sign in with accounts, only the folder that whoever started the
//! program named is used, and no other is reached from a browser.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use axum::{Form, Router};
use serde::{Deserialize, Serialize};

use super::{Beside, begun, form};
use crate::catalogue::Catalogue;
use crate::record::account::Role;
use crate::safekeeping::{self, Backup, Restored};
use crate::workbench::desk::Desk;
use crate::workbench::fault::{Wrong, written};
use crate::workbench::sessions::Visitor;
use crate::workbench::works::{Outcome, Work};

const BACKUP: &str = "/safekeeping/backup";
const RESTORE: &str = "/safekeeping/restore";

/// What stands when a backup was stopped.
const STOPPED: &str = "Every photograph and sealed page of a backup made before stands as it was; examinations in progress may be newer \
     than its list. The same backup, begun again, goes on where this one stopped.";
/// What stands when a restore was stopped.
const UNFINISHED: &str = "The new folder is not to be used yet, and RESTORE-UNFINISHED.txt in it says so; the same restore, \
                          begun again, goes on where this one stopped.";

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route(BACKUP, get(backup_page).post(backup)).route(RESTORE, get(restore_page).post(restore))
}

/// What is typed on either page.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    /// The folder for the copy, or for the catalogue that is made from one.
    folder: String,
    /// The backup to make it from.
    backup: String,
    quick: Option<String>,
}

#[derive(Debug, Default, Serialize)]
struct Amiss {
    folder: String,
    backup: String,
}

#[derive(Debug, Default, Serialize)]
struct Page {
    /// Whether folders may be named.
    names_folders: bool,
    /// The folder that was named at the start; blank if none was.
    given: String,
    asked: Asked,
    amiss: Amiss,
    beside: Beside,
}

fn page(desk: &Desk, asked: Asked) -> Page {
    let given = desk.backup.as_ref().map(|path| path.display().to_string()).unwrap_or_default();
    Page { names_folders: !desk.has_accounts(), given, asked, ..Page::default() }
}

async fn show_backup(desk: &Arc<Desk>, who: &Visitor, page: Page, status: StatusCode) -> Result<Response, Wrong> {
    form(desk, who, "backup.html", "Back up the catalogue", page, status).await
}

async fn show_restore(desk: &Arc<Desk>, who: &Visitor, page: Page, status: StatusCode) -> Result<Response, Wrong> {
    form(desk, who, "restore.html", "Make a catalogue from a backup", page, status).await
}

async fn backup_page(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let mut page = page(&desk, Asked::default());
    page.asked.folder = page.given.clone();
    show_backup(&desk, &visitor, page, StatusCode::OK).await
}

async fn restore_page(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let mut page = page(&desk, Asked::default());
    page.asked.backup = page.given.clone();
    show_restore(&desk, &visitor, page, StatusCode::OK).await
}

/// No folder is named by who signed in with an account: the machine may not be theirs.
fn no_folders_here() -> Wrong {
    Wrong::forbidden(
        "A folder of the machine is named where the machine stands, not in a browser that signs in: by `dimity backup`, \
         `dimity restore`, or `dimity serve --backup DIR`.",
    )
}

/// The folder that was typed, if it is written whole.
fn folder(text: &str) -> Result<PathBuf, String> {
    whole_path(&written(text).ok_or("Name a folder.")?)
}

/// A path that was typed, if it is written whole.
pub(super) fn whole_path(text: &str) -> Result<PathBuf, String> {
    let path = PathBuf::from(text);
    if path.is_absolute() && !text.contains('\0') {
        return Ok(path);
    }
    let example = if cfg!(windows) { r"D:\catalogue" } else { "/media/disk/catalogue" };
    Err(format!("Write the whole path, from its beginning: `{example}`."))
}

async fn backup(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(asked): Form<Asked>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let to = match &desk.backup {
        _ if !desk.has_accounts() => folder(&asked.folder),
        // Whatever a page sends: here no path is taken from it.
        _ if !asked.folder.is_empty() => return Err(no_folders_here()),
        Some(given) => Ok(given.clone()),
        None => return Err(no_folders_here()),
    };
    let to = match to {
        Ok(to) => to,
        Err(folder) => {
            let page = Page { amiss: Amiss { folder, ..Amiss::default() }, ..page(&desk, asked) };
            return show_backup(&desk, &visitor, page, StatusCode::UNPROCESSABLE_ENTITY).await;
        }
    };
    let (clock, quick) = (desk.clock, asked.quick.is_some());
    let work =
        move |catalogue: &mut Catalogue, work: &Work| match safekeeping::backup(catalogue, &to, quick, clock, work) {
            Ok(done) => backed_up(done, catalogue.folder(), &to),
            Err(fault) => Outcome::not_done(&fault, STOPPED),
        };
    match begun(&desk, &visitor, "Backup", BACKUP, work) {
        Ok(response) => Ok(response),
        Err((status, beside)) => show_backup(&desk, &visitor, Page { beside, ..page(&desk, asked) }, status).await,
    }
}

fn backed_up(done: Backup, from: &Path, to: &Path) -> Outcome {
    let mut lines = done.told_of_its_disk();
    lines.extend(done.told(from, to));
    if done.findings.is_empty() {
        lines.push(Backup::PROVED.into());
    }
    let mut outcome = Outcome::done(&lines, done.findings);
    let keep = "One copy is no copy. Keep another on another disk, and one in another place.".to_owned();
    let prove = format!(
        "Without this program: `sha256sum -c SHA256SUMS` in `{}`, on macOS `shasum -a 256 -c SHA256SUMS`. Every line must \
         say OK.",
        to.display()
    );
    outcome.told.push(("Keep".into(), vec![keep, prove]));
    outcome
}

async fn restore(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(asked): Form<Asked>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    if desk.has_accounts() {
        return Err(no_folders_here());
    }
    let (from, to) = match (folder(&asked.backup), folder(&asked.folder)) {
        (Ok(from), Ok(to)) => (from, to),
        (from, to) => {
            let amiss = Amiss { backup: from.err().unwrap_or_default(), folder: to.err().unwrap_or_default() };
            let page = Page { amiss, ..page(&desk, asked) };
            return show_restore(&desk, &visitor, page, StatusCode::UNPROCESSABLE_ENTITY).await;
        }
    };
    let clock = desk.clock;
    let work = move |_: &mut Catalogue, work: &Work| match safekeeping::restore(&from, &to, clock, work) {
        Ok(done) => restored(done, &to),
        Err(fault) => Outcome::not_done(&fault, UNFINISHED),
    };
    match begun(&desk, &visitor, "Catalogue from a backup", RESTORE, work) {
        Ok(response) => Ok(response),
        Err((status, beside)) => show_restore(&desk, &visitor, Page { beside, ..page(&desk, asked) }, status).await,
    }
}

fn restored(done: Restored, to: &Path) -> Outcome {
    let mut lines = vec![done.told(to)];
    if done.findings.is_empty() {
        lines.push(Restored::WELL.into());
    }
    let mut outcome = Outcome::done(&lines, done.findings);
    let open = format!(
        "This page still shows the catalogue that you came from. To open the new one, in a terminal: `dimity serve \"{}\"`.",
        to.display()
    );
    outcome.told.push(("Open it".into(), vec![open]));
    outcome
}
