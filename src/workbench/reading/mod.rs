//! Pages on which something is read off one photograph: its places are pointed at on the easel or typed, the answer is shown,
//! and it is entered only when somebody says so. What is read has its home in `readings`.

mod colour;
mod pattern;
mod scale;
mod target;
mod threads;

use std::sync::Arc;

use axum::Router;
use axum::http::StatusCode;
use axum::response::Response;
use image::RgbImage;
use serde::Serialize;

use super::assets;
use super::desk::{self, Desk};
use super::draw::{find, shows_in_a_browser};
use super::fault::{Wrong, sentence};
use super::form::again;
use super::overlay::named;
use super::piece;
use super::sessions::Visitor;
use crate::photograph::IngestFault;
use crate::readings::sampling;
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::report::Settings;

/// The routes of this room.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .merge(colour::routes())
        .merge(scale::routes())
        .merge(target::routes())
        .merge(threads::routes())
        .merge(pattern::routes())
}

/// The photograph that a page is about, ready to be pointed at.
#[derive(Debug, Serialize)]
struct Sight {
    number: String,
    /// The address of its piece.
    address: String,
    /// Its own address.
    photograph: String,
    words: String,
    view: Option<String>,
    /// The original, where a browser shows its kind; blank otherwise.
    original: String,
    width: u32,
    height: u32,
    /// What brings pointed places into the form.
    script: String,
}

impl Sight {
    fn of(photo: &Photograph, settings: &Settings<'_>) -> Self {
        let address = piece::address(&photo.number);
        let original = format!("/photographs/{}/original", photo.sha256);
        Self {
            number: photo.number.clone(),
            photograph: format!("{address}/photographs/{}", photo.sha256),
            address,
            words: named(photo),
            view: settings.pictures.view(&photo.sha256),
            original: if shows_in_a_browser(photo) { original } else { String::new() },
            width: photo.width,
            height: photo.height,
            script: assets::address("pointing.js"),
        }
    }
}

/// A photograph of a piece, by the number of the piece and the SHA-256.
pub(super) type Of = (String, String);

/// The photograph that is meant.
async fn photograph(desk: &Arc<Desk>, (number, sha256): &Of) -> Result<Photograph, Wrong> {
    let (number, sha256) = (number.clone(), sha256.clone());
    desk::read(desk, move |catalogue| Ok(find(&catalogue.piece(&number)?, &sha256)?.1.clone())).await
}

/// Works on the pixels of an original; one photograph at a time stands in memory.
async fn pixels<T: Send + 'static>(
    desk: &Arc<Desk>,
    photo: &Photograph,
    work: impl FnOnce(&RgbImage) -> T + Send + 'static,
) -> Result<T, Wrong> {
    let turn = desk.decoding.turn().await?;
    let (store, sha256, extension) = (desk.store.clone(), photo.sha256.clone(), photo.extension.clone());
    let folder = desk.folder().to_owned();
    let waited_for = Arc::new(());
    let waits = Arc::downgrade(&waited_for);
    let done = desk::work(turn, move || {
        let unread = |fault: IngestFault| unreadable(&folder, &fault.to_string());
        let picture = store.pixels(&sha256, &extension).map_err(unread)?;
        // Whoever asked may have stopped it meanwhile, and others wait for their turn.
        if waits.strong_count() == 0 {
            return Err(Wrong::closing());
        }
        Ok(work(&picture))
    })
    .await?;
    drop(waited_for);
    done
}

/// The finest detail of a photograph in pixels, or why it cannot be looked for.
pub(super) async fn finest(desk: &Arc<Desk>, of: &Of) -> Result<Result<Option<f64>, String>, Wrong> {
    let photo = photograph(desk, of).await?;
    or_amiss(pixels(desk, &photo, sampling::finest).await)
}

/// Why an original cannot be read, without the place where the catalogue stands.
fn unreadable(folder: &std::path::Path, why: &str) -> Wrong {
    Wrong::refused(sentence(&why.replace(&format!("{}{}", folder.display(), std::path::MAIN_SEPARATOR), "")))
}

/// What a sheet was refused with, as sentences.
fn refused(lines: &[String]) -> Wrong {
    Wrong::refused(super::fault::sentences(lines.iter().map(|line| line.trim())))
}

/// What became of something asked for: there, or what is amiss beside the form. Other wrongs are pages of their own.
fn or_amiss<T>(asked: Result<T, Wrong>) -> Result<Result<T, String>, Wrong> {
    match asked {
        Ok(found) => Ok(Ok(found)),
        Err(wrong) if wrong.status == StatusCode::UNPROCESSABLE_ENTITY => Ok(Err(wrong.says)),
        Err(wrong) => Err(wrong),
    }
}

/// The page, with the status of what could not be understood where something is amiss.
fn with_status(page: Response, is_amiss: bool) -> Response {
    if is_amiss { again(page) } else { page }
}

fn may_examine(visitor: &Visitor) -> bool {
    visitor.role >= Role::Examine
}
