//! Photographs in. The script of the page sends one file a request, its bytes as the body; without it the form sends all
//! of them at once. Either way a file is written to the store's own place as it comes, and then taken in as `dimity photo
//! add` does, and a bad one stops no other.

use std::path::Path as FilePath;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::post;
use axum::{Json, Router};
use serde::{Deserialize, Serialize};
use tokio::io::AsyncWriteExt as _;

use super::desk::{self, Desk, Turn};
use super::fault::{Wrong, sentence, written};
use super::form;
use super::frame::{self, Addresses, Leaf, Room};
use super::multipart::{Multipart, came};
use super::pace::Pace;
use super::photographs;
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::{Added, Catalogue, NewPhotograph};
use crate::photograph::{Incoming, IngestFault, MOST_BYTES};
use crate::record::account::Role;
use crate::record::photograph::STAGES;
use crate::report::Pictures as _;
use crate::vocabulary::{Scheme, TermId};

/// The longest text of a field of the form.
const LONGEST_FIELD: usize = 16 * 1024;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/photographs", post(take_in))
        .route("/pieces/{number}/photographs/form", post(take_in_form))
}

/// What is said of a file that comes in.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
pub(super) struct Told {
    name: String,
    view: String,
    light: String,
    component: String,
    examination: String,
    photographer: String,
    caption: String,
    /// Title or identifier of a treatment.
    treatment: String,
    /// Before, during or after it.
    stage: String,
}

impl Told {
    fn shows(&self, number: &str, catalogue: &Catalogue) -> Result<NewPhotograph, Wrong> {
        let term = |scheme, text: &str| -> Result<Option<TermId>, Wrong> {
            let Some(word) = written(text) else { return Ok(None) };
            let term = catalogue.vocabulary().find(scheme, &word).map_err(|e| Wrong::refused(e.to_string()))?;
            Ok(Some(term.id.clone()))
        };
        Ok(NewPhotograph {
            number: number.to_owned(),
            component: written(&self.component),
            examination: written(&self.examination),
            view: term(Scheme::View, &self.view)?,
            light: term(Scheme::Light, &self.light)?,
            photographer: written(&self.photographer),
            caption: written(&self.caption),
            treatment: written(&self.treatment),
            stage: stage(&self.stage)?,
            ..NewPhotograph::default()
        })
    }
}

/// One of the stages of a treatment, if any was said.
fn stage(text: &str) -> Result<Option<String>, Wrong> {
    let Some(stage) = written(text) else { return Ok(None) };
    if STAGES.contains(&stage.as_str()) {
        return Ok(Some(stage));
    }
    Err(Wrong::refused(format!("`{stage}` is no stage of a treatment; there are {}.", STAGES.join(", "))))
}

async fn take_in(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Query(told): Query<Told>,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let author = visitor.author()?.to_owned();
    let announced = headers.get(header::CONTENT_LENGTH).and_then(|v| v.to_str().ok()?.parse::<u64>().ok());
    if announced.is_some_and(|bytes| bytes > MOST_BYTES) {
        return Err(too_large(MOST_BYTES));
    }
    // What is wrong with the words is said before a hundred megabytes come in.
    let words = told.shows_of(&desk, &number).await?;
    let taken = one(&desk, author, words, &told.name, &mut Coming::Body(body)).await?;
    Ok(Json(taken).into_response())
}

/// What became of the files of a form.
#[derive(Serialize)]
struct Took {
    number: String,
    address: String,
    files: Vec<Taken>,
    /// Why the files after these were not looked at; blank where all were.
    stopped: String,
}

/// The same for a form with files, which needs no script; answers with a page that says of each file what became of it.
async fn take_in_form(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    mut form: Multipart,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let author = form::who(&visitor);
    let (mut told, mut files, mut words) = (Told::default(), Vec::new(), None);
    let stopped = loop {
        let head = match form.next().await {
            Ok(Some(head)) => head,
            Ok(None) => break String::new(),
            Err(wrong) => break wrong.says,
        };
        match head.file {
            None => told.set(&head.name, form.text(LONGEST_FIELD).await?),
            // A field for files that was left alone is sent as a file without a name.
            Some(name) if name.is_empty() => {}
            Some(name) => {
                let author = match &author {
                    Ok(author) => author.clone(),
                    Err(amiss) => return photographs::adding(&desk, &visitor, number, told, amiss.says.clone()).await,
                };
                let words = match &words {
                    Some(words) => words,
                    None => match told.shows_of(&desk, &number).await {
                        Ok(found) => words.insert(found),
                        Err(wrong) if wrong.status == StatusCode::UNPROCESSABLE_ENTITY => {
                            let says = sentence(&wrong.says) + " No photograph was added.";
                            return photographs::adding(&desk, &visitor, number, told, says).await;
                        }
                        Err(wrong) => return Err(wrong),
                    },
                };
                let mut coming = Coming::Part(&mut form);
                let taken = one(&desk, author, words.clone(), &name, &mut coming).await;
                files.push(taken.unwrap_or_else(|wrong| Taken::refused(&name, wrong)));
            }
        }
        if let Some(Taken { ends: true, .. }) = files.last() {
            break "What came after it was not looked at.".to_owned();
        }
    };
    if files.is_empty() {
        let says = if stopped.is_empty() { "No file was chosen. Choose photographs.".to_owned() } else { stopped };
        return photographs::adding(&desk, &visitor, number, told, says).await;
    }
    frame::page(&desk, &visitor, Room::Collection, move |_, _| {
        let title = format!("Photographs of {number}");
        let page = Took { address: piece::address(&number), number, files, stopped };
        Ok(Leaf { template: "photographs_taken.html", title, page })
    })
    .await
}

/// A file as it came, in the store's own place until it is dropped. So many lie there at once as may be received: the turn
/// goes with the file.
pub(super) struct Received {
    pub incoming: Incoming,
    _turn: Turn,
}

/// Receives a file.
pub(super) async fn received(
    desk: &Arc<Desk>,
    name: &str,
    coming: &mut Coming<'_>,
    most: u64,
) -> Result<Received, Wrong> {
    let turn = desk.receiving.turn().await?;
    let (store, name) = (desk.store.clone(), name.to_owned());
    let incoming = blocking(move || store.incoming(&name).map_err(|fault| refusal(&fault, &fault.to_string()))).await?;
    receive(coming, incoming.path(), most, desk.patience.sending, too_large).await?;
    Ok(Received { incoming, _turn: turn })
}

/// Takes in one file as it comes.
async fn one(
    desk: &Arc<Desk>,
    author: String,
    words: NewPhotograph,
    name: &str,
    coming: &mut Coming<'_>,
) -> Result<Taken, Wrong> {
    let number = words.number.clone();
    let file = received(desk, name, coming, MOST_BYTES).await?;
    let alone = desk.decoding.turn().await?;
    let store = desk.store.clone();
    let taken = desk::work(alone, move || {
        let taken = store.ingest(file.incoming.path());
        taken.map_err(|fault| refusal(&fault, &file.incoming.told(&fault)))
    })
    .await??;
    let for_row = taken.clone();
    let added = desk::write(desk, move |catalogue| Ok(catalogue.add_photograph(&author, &for_row, &words)?)).await?;
    let small = Addresses(&desk.store).thumbnail(&taken.sha256);
    Ok(Taken {
        name: name.to_owned(),
        says: match added {
            Added::New => "added",
            Added::Tied => "known already; now tied to the treatment",
            Added::Known => "known already: the same bytes are recorded for this piece. Nothing was changed",
        }
        .to_owned(),
        known: added != Added::New,
        address: Some(piece::photograph(&number, &taken.sha256)),
        small,
        sha256: taken.sha256,
        remarks: taken.remarks,
        ends: false,
    })
}

/// What became of one file.
#[derive(Serialize)]
struct Taken {
    name: String,
    says: String,
    known: bool,
    sha256: String,
    remarks: Vec<String>,
    /// Its page; none if it was not taken in.
    address: Option<String>,
    small: Option<String>,
    /// Whether nothing after it can be read.
    #[serde(skip)]
    ends: bool,
}

impl Taken {
    fn refused(name: &str, wrong: Wrong) -> Self {
        let ends = wrong.status == StatusCode::BAD_REQUEST;
        let (says, name) = (wrong.says, name.to_owned());
        Self { name, says, known: false, sha256: String::new(), remarks: Vec::new(), address: None, small: None, ends }
    }
}

impl Told {
    /// Takes a field of a form.
    fn set(&mut self, name: &str, text: String) {
        match name {
            "view" => self.view = text,
            "light" => self.light = text,
            "component" => self.component = text,
            "examination" => self.examination = text,
            "photographer" => self.photographer = text,
            "caption" => self.caption = text,
            "treatment" => self.treatment = text,
            "stage" => self.stage = text,
            _ => {}
        }
    }

    async fn shows_of(&self, desk: &Arc<Desk>, number: &str) -> Result<NewPhotograph, Wrong> {
        let (number, told) = (number.to_owned(), self.clone());
        desk::read(desk, move |catalogue| {
            catalogue
                .piece_if_any(&number)?
                .ok_or_else(|| Wrong::not_found(format!("There is no piece `{number}`.")))?;
            told.shows(&number, catalogue)
        })
        .await
    }
}

/// Where the bytes of a file come from.
pub(super) enum Coming<'f> {
    /// They are all of a request.
    Body(Body),
    /// They are a part of a form.
    Part(&'f mut Multipart),
}

impl Coming<'_> {
    /// The next of them, at least one; none at the end.
    async fn bytes(&mut self) -> Result<Option<Vec<u8>>, Wrong> {
        let body = match self {
            Self::Body(body) => body,
            Self::Part(form) => return form.bytes().await,
        };
        let broken = |_| {
            let says = "The file broke off on its way; nothing of it was kept. Send it again.";
            Wrong::new(StatusCode::BAD_REQUEST, says)
        };
        came(body).await.transpose().map(|bytes| bytes.map(Into::into)).map_err(broken)
    }
}

/// Writes a body to its file as it comes, if it does not come in drops; of one that is too long no more than `most` is ever on the disk.
pub(super) async fn receive(
    coming: &mut Coming<'_>,
    to: &FilePath,
    most: u64,
    sending: Duration,
    too_large: fn(u64) -> Wrong,
) -> Result<(), Wrong> {
    // Where it lies meanwhile is nobody's concern.
    let no_room = |e: std::io::Error| {
        let fault = IngestFault::io("keep", FilePath::new("the file"))(e);
        refusal(&fault, &format!("{fault}; nothing of it was kept"))
    };
    let mut file = tokio::fs::File::create(to).await.map_err(no_room)?;
    let (mut total, mut pace) = (0, Pace::over(sending));
    loop {
        let asked = Instant::now();
        let Some(bytes) = coming.bytes().await? else { break };
        if pace.is_too_slow(asked.elapsed(), bytes.len() as u64) {
            let says =
                "The file came too slowly, and others wait to send theirs; nothing of it was kept. Send it again.";
            return Err(Wrong::new(StatusCode::REQUEST_TIMEOUT, says));
        }
        total += bytes.len() as u64;
        if total > most {
            return Err(too_large(most));
        }
        file.write_all(&bytes).await.map_err(no_room)?;
    }
    file.flush().await.map_err(no_room)
}

fn too_large(most: u64) -> Wrong {
    Wrong::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        format!("This file is too large: the most is {} MiB. Divide the picture or save it smaller.", most >> 20),
    )
}

fn refusal(fault: &IngestFault, told: &str) -> Wrong {
    let status = match fault {
        full if full.is_full_disk() => StatusCode::INSUFFICIENT_STORAGE,
        IngestFault::Io { .. } => StatusCode::SERVICE_UNAVAILABLE,
        IngestFault::TooLarge { .. } => StatusCode::PAYLOAD_TOO_LARGE,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    };
    Wrong::new(status, sentence(told))
}

pub(super) async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    tokio::task::spawn_blocking(work).await.map_err(|_| Wrong::broken())?
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::photograph::Store;

    #[tokio::test]
    async fn a_body_that_is_too_long_is_refused_and_leaves_nothing() {
        let room = tempfile::tempdir().expect("a temporary folder");
        let incoming = Store::at(room.path()).incoming("long.jpg").expect("room for it");
        let wrong = receive(
            &mut Coming::Body(Body::from(vec![0; 33])),
            incoming.path(),
            32,
            Duration::from_secs(20),
            too_large,
        )
        .await
        .expect_err("too long");
        assert_eq!(wrong.status, StatusCode::PAYLOAD_TOO_LARGE);
        receive(&mut Coming::Body(Body::from(vec![0; 32])), incoming.path(), 32, Duration::from_secs(20), too_large)
            .await
            .expect("as long as allowed");
        assert_eq!(std::fs::metadata(incoming.path()).expect("the file").len(), 32);
    }
}
