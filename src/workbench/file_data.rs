//! What a file of a camera says, looked at without adding it: nothing of it is kept.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use serde::Serialize;
use serde_json::Value;

use super::desk::{self, Desk};
use super::fault::Wrong;
use super::form::again;
use super::frame::{self, Leaf, Room};
use super::multipart::Multipart;
use super::sessions::Visitor;
use super::upload::{Coming, received};
use crate::photograph::{read_capture, tags_as_numbers};
use crate::report::capital;

/// The largest file that is looked at: it stands in memory. Raw files of large cameras have about half of it.
const LARGEST: u64 = 256 * 1024 * 1024;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/photographs/file", get(page).post(read))
}

/// What the page shows.
#[derive(Default, Serialize)]
struct Page {
    file: Option<File>,
    amiss: String,
}

/// What one file says.
#[derive(Serialize)]
struct File {
    name: String,
    facts: Vec<(String, String)>,
    /// Whether it tells a time without the zone.
    zone_unknown: bool,
    remarks: Vec<String>,
    /// All its tags but a position, as JSON; blank if it has none.
    tags: String,
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    show(&desk, &visitor, Page::default()).await
}

async fn show(desk: &Arc<Desk>, visitor: &Visitor, page: Page) -> Result<Response, Wrong> {
    let is_amiss = !page.amiss.is_empty();
    let title = "What a file says".to_owned();
    let shown =
        frame::page(desk, visitor, Room::Collection, |_, _| Ok(Leaf { template: "file_data.html", title, page }));
    let shown = shown.await?;
    Ok(if is_amiss { again(shown) } else { shown })
}

async fn read(State(desk): State<Arc<Desk>>, visitor: Visitor, mut form: Multipart) -> Result<Response, Wrong> {
    let mut file = None;
    while let Some(head) = form.next().await? {
        if let Some(name) = head.file.filter(|name| !name.is_empty() && file.is_none()) {
            file = one(&desk, name, &mut form).await?;
        }
    }
    let amiss = if file.is_none() { "Choose a file that is not empty.".into() } else { String::new() };
    show(&desk, &visitor, Page { file, amiss }).await
}

/// Looks at one file as it comes; nothing of an empty one. It vanishes when it was read.
async fn one(desk: &Arc<Desk>, name: String, form: &mut Multipart) -> Result<Option<File>, Wrong> {
    let file = received(desk, &name, &mut Coming::Part(form), LARGEST).await?;
    let alone = desk.decoding.turn().await?;
    desk::work(alone, move || {
        let bytes = std::fs::read(file.incoming.path()).map_err(|_| Wrong::broken())?;
        Ok((!bytes.is_empty()).then(|| said(name, &bytes)))
    })
    .await?
}

fn said(name: String, bytes: &[u8]) -> File {
    let (capture, exif, remarks) = read_capture(bytes);
    let facts = match serde_json::to_value(&capture) {
        Ok(Value::Object(fields)) => {
            let fact = |(field, value): (String, Value)| {
                (capital(&field.replace('_', " ")), value.to_string().trim_matches('"').to_owned())
            };
            fields.into_iter().filter(|(_, value)| !value.is_null()).map(fact).collect()
        }
        _ => Vec::new(),
    };
    // A position is held back, here as everywhere.
    let tags = match tags_as_numbers(exif, false) {
        Value::Object(tags) if !tags.is_empty() => serde_json::to_string_pretty(&tags).unwrap_or_default(),
        _ => String::new(),
    };
    File { facts, zone_unknown: capture.taken.is_some() && capture.offset.is_none(), remarks, tags, name }
}
