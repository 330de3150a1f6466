//! Exports that lie ready: what each is, what was left out of it, and all of it in one file to carry away. Only finished
//! exports of this program under the names of its formats are shown; no part of a path comes from the browser.

use std::io::{self, Write};
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};

use axum::Router;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use hyper::body::Frame;
use serde::Serialize;
use tokio::sync::mpsc;

use super::hand_on;
use crate::export::Lying;
use crate::record::account::Role;
use crate::words::{count, size};
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room, When};
use crate::workbench::sessions::Visitor;

/// So much is packed before it is sent.
const PIECE: usize = 64 * 1024;
/// So many pieces wait at most for a browser that takes them slowly.
const WAITING: usize = 8;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/safekeeping/exports/{format}", get(page))
        .route("/safekeeping/exports/{format}/zip", get(carried))
}

/// The page of an export.
pub(super) fn address(format: &str) -> String {
    format!("/safekeeping/exports/{format}")
}

/// When an export was made.
pub(super) fn when(lying: &Lying) -> When {
    When::within("made ", &lying.at.to_string(), "")
}

/// One in the list of those that lie there.
#[derive(Serialize)]
pub(super) struct Row {
    address: String,
    title: &'static str,
    when: When,
}

/// One for that list.
pub(super) fn row(lying: &Lying) -> Row {
    let title = hand_on::named(lying.format).map_or(lying.format, |format| format.title);
    Row { address: address(lying.format), title, when: when(lying) }
}

/// What the page of one shows.
#[derive(Serialize)]
struct Page {
    address: String,
    /// Where it is made anew.
    again: String,
    when: When,
    /// `12 files, 3.4 MB`.
    much: String,
    /// What its own page says.
    says: String,
    /// What to think of before it is published.
    care: String,
    /// What was left out, in short.
    left_out: String,
    /// The whole list of it; blank where there is none.
    list: String,
}

/// What was left out for the public, in a sentence.
pub(super) fn left_out(short: &[String]) -> String {
    if short.is_empty() || short == ["nothing"] {
        return "Nothing that is recorded of these pieces was left out.".into();
    }
    format!("Left out, in fields that are filled in here: {}.", short.join(", "))
}

fn none() -> Wrong {
    Wrong::not_found("No finished export of this name lies in the catalogue's folder. Make one first.")
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(word): Path<String>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    frame::page(&desk, &visitor, Room::Safekeeping, move |catalogue, _| {
        let lying = Lying::of(catalogue.folder(), &word).ok_or_else(none)?;
        let list = lying.list();
        let written = lying.written().map_err(|_| none())?;
        let page = Page {
            address: address(lying.format),
            again: format!("/safekeeping/export/{}", lying.format),
            when: when(&lying),
            much: format!("{}, {}", count(written.files, "file"), size(written.bytes)),
            says: own_words(&lying.page().map_err(|_| none())?),
            care: list.as_ref().and_then(|list| list.care.as_deref()).map(sentence).unwrap_or_default(),
            left_out: list.as_ref().map(|list| left_out(&list.left_out)).unwrap_or_default(),
            list: list.map(|list| list.whole).unwrap_or_default(),
        };
        Ok(Leaf { template: "lying.html", title: row(&lying).title.into(), page })
    })
    .await
}

/// The whole export as one file, packed while it is sent.
async fn carried(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(word): Path<String>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let folder = desk.folder().to_owned();
    let turn = desk.packing.turn().await?;
    let Some(lying) = tokio::task::spawn_blocking(move || Lying::of(&folder, &word)).await.ok().flatten() else {
        return Err(none());
    };
    let name = format!("{}-{}.zip", lying.format, lying.at.strftime("%Y-%m-%d"));
    let (send, pieces) = mpsc::channel(WAITING);
    tokio::spawn(desk::work(turn, move || {
        let packed = lying.zipped(io::BufWriter::with_capacity(PIECE, Sent(&send)));
        if let Err(why) = packed {
            // The answer breaks off, and the browser says so: half a file never passes for a whole one.
            drop(send.blocking_send(Err(io::Error::other(why))));
        }
    }));
    let headers = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
        (header::CONTENT_SECURITY_POLICY, "default-src 'none'; sandbox".to_owned()),
        (header::CACHE_CONTROL, "private, no-store".to_owned()),
    ];
    Ok((StatusCode::OK, headers, Body::new(Pieces(pieces))).into_response())
}

type Piece = Result<Bytes, io::Error>;

/// Takes what is packed, and waits where the browser does. When the browser goes away, it takes no more.
struct Sent<'a>(&'a mpsc::Sender<Piece>);

impl Write for Sent<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let gone = |_| io::Error::from(io::ErrorKind::BrokenPipe);
        self.0.blocking_send(Ok(Bytes::copy_from_slice(bytes))).map_err(gone)?;
        Ok(bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The body of the answer.
struct Pieces(mpsc::Receiver<Piece>);

impl HttpBody for Pieces {
    type Data = Bytes;
    type Error = io::Error;
    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, io::Error>>> {
        self.0.poll_recv(context).map(|piece| piece.map(|piece| piece.map(Frame::data)))
    }
}

/// What an export says of itself, without the line by which the program knows it again: the title says that.
fn own_words(page: &str) -> String {
    page.split_once("\n\n").map_or(page, |(_, rest)| rest).to_owned()
}
