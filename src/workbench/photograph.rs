//! Photographs: the files, by their SHA-256 and in three sizes, with types that no browser takes for a page.

use std::path::PathBuf;
use std::sync::Arc;

use axum::Router;
use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use serde::{Deserialize, Serialize};
use tokio_util::io::ReaderStream;

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence};
use super::frame::{self, Leaf, Room};
use super::piece;
use super::reading;
use super::sessions::Visitor;
use crate::analysis::sampling::sampling as from_record;
use crate::readings::sampling;
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::report;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/photographs/{sha256}/view", get(view))
        .route("/photographs/{sha256}/small", get(small))
        .route("/photographs/{sha256}/original", get(original))
        .route("/pieces/{number}/photographs/{sha256}", get(look))
}

async fn view(State(desk): State<Arc<Desk>>, _: Visitor, Path(sha256): Path<String>) -> Result<Response, Wrong> {
    send(desk.store.view(&sha256), "image/jpeg", None).await
}

async fn small(State(desk): State<Arc<Desk>>, _: Visitor, Path(sha256): Path<String>) -> Result<Response, Wrong> {
    send(desk.store.thumbnail(&sha256), "image/jpeg", None).await
}

/// The file as the camera wrote it, to be kept rather than shown: the catalogue says its extension, not the address.
async fn original(State(desk): State<Arc<Desk>>, _: Visitor, Path(sha256): Path<String>) -> Result<Response, Wrong> {
    let sha = sha256.to_ascii_lowercase();
    let known = desk::read(&desk, move |catalogue| Ok(catalogue.original(&sha)?)).await?;
    let Some(extension) = known else { return Err(missing()) };
    let kind = match extension.as_str() {
        "jpg" | "jpeg" => "image/jpeg",
        "png" => "image/png",
        "tif" | "tiff" => "image/tiff",
        "webp" => "image/webp",
        _ => "application/octet-stream",
    };
    send(desk.store.original(&sha256, &extension), kind, Some(&extension)).await
}

fn missing() -> Wrong {
    Wrong::not_found("There is no such photograph in this catalogue.")
}

/// Streams a file. Its place was made by the store from 64 hexadecimal digits, or leads nowhere.
async fn send(place: PathBuf, kind: &str, keep_as: Option<&str>) -> Result<Response, Wrong> {
    let file = tokio::fs::File::open(&place).await.map_err(|_| missing())?;
    let length = file.metadata().await.map_err(|_| missing())?.len();
    let name = place.file_stem().and_then(|name| name.to_str()).unwrap_or("photograph");
    let disposition = match keep_as {
        Some(extension) => format!("attachment; filename=\"{name}.{extension}\""),
        None => "inline".to_owned(),
    };
    let headers = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::CONTENT_LENGTH, length.to_string()),
        (header::CONTENT_DISPOSITION, disposition),
        // A file under its own hash never changes.
        (header::CACHE_CONTROL, "private, max-age=31536000, immutable".to_owned()),
        (header::CONTENT_SECURITY_POLICY, "default-src 'none'; sandbox".to_owned()),
    ];
    Ok((StatusCode::OK, headers, Body::from_stream(ReaderStream::with_capacity(file, 64 * 1024))).into_response())
}

/// What the page of a photograph shows.
#[derive(Serialize)]
struct Page<P> {
    number: String,
    address: String,
    plate: P,
    original: String,
    earlier: Option<String>,
    later: Option<String>,
    /// What it can show, a line each.
    shows: Vec<String>,
    /// Whether that tells of its sharpness, for which the original is decoded.
    sharpness: bool,
    scaled: bool,
    may_rights: bool,
}

/// What else is asked of the page.
#[derive(Deserialize)]
struct Asked {
    /// Anything, to have its sharpness judged.
    #[serde(default)]
    sharpness: String,
}

/// A photograph of a piece with what is drawn on it and how it was taken.
async fn look(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, sha256)): Path<(String, String)>,
    Query(Asked { sharpness }): Query<Asked>,
) -> Result<Response, Wrong> {
    let may_rights = visitor.role >= Role::Keep;
    let finest = if sharpness.is_empty() {
        None
    } else {
        Some(reading::finest(&desk, &(number.clone(), sha256.clone())).await?)
    };
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&number)?;
        let at = file.photographs.iter().position(|p| p.sha256.eq_ignore_ascii_case(&sha256)).ok_or_else(missing)?;
        let address = piece::address(&number);
        let beside = |i: Option<usize>| Some(format!("{address}/photographs/{}", file.photographs.get(i?)?.sha256));
        let photo = &file.photographs[at];
        let page = Page {
            shows: shows(photo, &file, finest.as_ref()),
            sharpness: finest.is_some(),
            scaled: photo.scale.is_some(),
            may_rights,
            plate: report::plate_view(&file, at, settings),
            original: format!("/photographs/{sha256}/original"),
            earlier: beside(at.checked_sub(1)),
            later: beside(Some(at + 1)),
            number: number.clone(),
            address: address.clone(),
        };
        Ok(Leaf { template: "photograph.html", title: format!("Photograph of {number}"), page })
    })
    .await
}

/// What a photograph can show; `finest` is its finest detail where that was looked for, or why it cannot be.
fn shows(photo: &Photograph, file: &PieceFile, finest: Option<&Result<Option<f64>, String>>) -> Vec<String> {
    let found = from_record(photo, file);
    let sharpness = finest.map(|finest| match finest {
        Ok(finest) => sampling::sharpness(&found, *finest),
        Err(why) => why.clone(),
    });
    let lines = sampling::resolution(&found).into_iter().chain(sampling::cloths(&found));
    lines.chain(sharpness).chain(sampling::exposure(photo, &found)).map(|line| sentence(&line)).collect()
}
