//! The colour target in a photograph: found or pointed at, read, shown, and stored only when that is said.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;

use super::{Of, Sight, may_examine, or_amiss, photograph, pixels, with_status};
use crate::colour::target::{Scheme, Unfit};
use crate::geometry::written;
use crate::photograph::{NamedReference, Unread, find_target, read_target};
use crate::readings::target as words;
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::record::target::{TargetReading, corners};
use crate::report::capital;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{self, Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::multipart::Multipart;
use crate::workbench::piece;
use crate::workbench::sessions::Visitor;

/// The longest list of patches that is taken: some thousand lines.
const LONGEST_REFERENCE: usize = 128 * 1024;
/// The longest text of another field.
const LONGEST_FIELD: usize = 4 * 1024;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}/photographs/{sha256}/target", get(page).post(asked))
}

/// What is asked for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
enum Act {
    /// Read, and show what would be stored.
    #[default]
    Look,
    /// Look where the target may be.
    Find,
    /// Read, and store it.
    Store,
}

/// What was typed and chosen.
#[derive(Debug, Clone, Default, Serialize)]
struct Asked {
    corners: String,
    grid: String,
    correct: bool,
    /// The reference file: its name and its bytes as Base64, so that it need not be chosen again to store what was shown.
    reference_name: String,
    reference: String,
    #[serde(skip)]
    act: Act,
}

/// What is wrong, beside the field where it is.
#[derive(Debug, Default, PartialEq, Serialize)]
struct Amiss {
    corners: String,
    /// The same corners in the order in which they fit.
    better: String,
    reference: String,
    grid: String,
    storing: String,
}

/// What came of it.
#[derive(Debug, Default)]
struct Told {
    read: Option<Read>,
    /// What is said of a target that was looked for.
    found: String,
    amiss: Amiss,
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    sight: Sight,
    asked: Asked,
    read: Option<Read>,
    found: String,
    amiss: Amiss,
    /// The reading that is stored.
    stands: Option<Read>,
    built_in: String,
    may: bool,
}

/// A reading in words.
#[derive(Debug, Serialize)]
struct Read {
    against: String,
    corners: String,
    patches: Vec<[String; 4]>,
    lines: Vec<String>,
    verdicts: Vec<[String; 2]>,
    warnings: Vec<String>,
    correction: String,
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(of): Path<Of>) -> Result<Response, Wrong> {
    let photo = photograph(&desk, &of).await?;
    show(&desk, &visitor, photo, Asked::default(), Told::default()).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    photo: Photograph,
    asked: Asked,
    told: Told,
) -> Result<Response, Wrong> {
    let may = may_examine(visitor);
    let is_amiss = told.amiss != Amiss::default();
    let page = frame::page(desk, visitor, Room::Collection, move |_, settings| {
        let page = Page {
            sight: Sight::of(&photo, settings),
            stands: photo.target.as_ref().map(|reading| view(reading, None)),
            built_in: NamedReference::built_in().name,
            read: told.read,
            found: told.found,
            amiss: told.amiss,
            asked,
            may,
        };
        Ok(Leaf { template: "target.html", title: format!("Colour target: {}", photo.number), page })
    });
    Ok(with_status(page.await?, is_amiss))
}

fn view(reading: &TargetReading, unfit: Option<&Unfit>) -> Read {
    let found = &reading.results;
    let patch = |p: &crate::colour::target::Judged| {
        [p.title(), p.measured.to_string(), format!("{:.2}", p.delta_e00), p.reference.to_string()]
    };
    let fitted = reading.correction.as_ref().map(|fitted| capital(&words::corrected(fitted)));
    Read {
        against: reading.reference.clone(),
        corners: written(&reading.corners),
        patches: found.patches.iter().map(patch).collect(),
        lines: vec![capital(&words::differences(found)), capital(&words::greys(found))],
        verdicts: Scheme::ALL.iter().map(|scheme| words::judged(&scheme.judge(found))).collect(),
        warnings: found.warnings().iter().map(|warning| sentence(warning)).collect(),
        correction: fitted.or(unfit.map(|why| sentence(&why.to_string()))).unwrap_or_default(),
    }
}

impl Asked {
    /// Reads the form. A reference that is chosen takes the place of the one chosen before.
    async fn read(form: &mut Multipart) -> Result<Self, Wrong> {
        let too_long = || {
            let says =
                "This file is too long for a list of patches: it has a line for each of them, with L*, a* and b*.";
            Wrong::new(axum::http::StatusCode::PAYLOAD_TOO_LARGE, says)
        };
        let mut asked = Self::default();
        while let Some(head) = form.next().await? {
            match (head.name.as_str(), head.file) {
                ("reference", Some(name)) if !name.is_empty() => {
                    asked.reference = STANDARD.encode(form.whole(LONGEST_REFERENCE, too_long).await?);
                    asked.reference_name = name;
                }
                ("kept-name", None) => asked.reference_name = form.text(LONGEST_FIELD).await?,
                ("kept", None) => asked.reference = form.text(2 * LONGEST_REFERENCE).await?,
                ("corners", None) => asked.corners = form.text(LONGEST_FIELD).await?,
                ("grid", None) => asked.grid = form.text(LONGEST_FIELD).await?,
                ("correct", None) => asked.correct = !form.text(LONGEST_FIELD).await?.is_empty(),
                ("act", None) => {
                    asked.act = match form.text(LONGEST_FIELD).await?.as_str() {
                        "find" => Act::Find,
                        "store" => Act::Store,
                        _ => Act::Look,
                    };
                }
                _ => {}
            }
        }
        Ok(asked)
    }

    fn reference(&self) -> Result<NamedReference, Amiss> {
        let bytes = STANDARD.decode(&self.reference).unwrap_or_default();
        let file = Some((self.reference_name.as_str(), bytes.as_slice())).filter(|(name, _)| !name.is_empty());
        words::reference(file, fault::written(&self.grid).as_deref()).map_err(|why| match why {
            words::NoReference::Misread(why) => {
                let reference = sentence(&format!("`{}`: {why}", self.reference_name));
                Amiss { reference, ..Amiss::default() }
            }
            why => Amiss { grid: sentence(&why.to_string()), ..Amiss::default() },
        })
    }
}

async fn asked(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    mut form: Multipart,
) -> Result<Response, Wrong> {
    let mut asked = Asked::read(&mut form).await?;
    if asked.act == Act::Store {
        visitor.may(Role::Examine)?;
    }
    let photo = photograph(&desk, &of).await?;
    let reference = match asked.reference() {
        Ok(reference) => reference,
        Err(amiss) => {
            // What cannot be read is not kept to be sent again.
            asked.reference.clear();
            asked.reference_name.clear();
            return show(&desk, &visitor, photo, asked, Told { amiss, ..Told::default() }).await;
        }
    };
    if asked.act == Act::Find {
        let found = found(&desk, &photo, &mut asked, reference).await?;
        return show(&desk, &visitor, photo, asked, Told { found, ..Told::default() }).await;
    }
    let (reading, unfit) = match read(&desk, &photo, &asked, reference).await? {
        Ok(read) => read,
        Err(amiss) => return show(&desk, &visitor, photo, asked, Told { amiss, ..Told::default() }).await,
    };
    if asked.act == Act::Store {
        match visitor.author() {
            Ok(author) => {
                let to = format!("{}/target", piece::photograph(&photo.number, &photo.sha256));
                let (author, sha256) = (author.to_owned(), photo.sha256);
                desk::write(&desk, move |catalogue| Ok(catalogue.add_target_reading(&author, &sha256, &reading)?))
                    .await?;
                return Ok(Redirect::to(&to).into_response());
            }
            Err(nameless) => {
                let amiss = Amiss { storing: nameless.says, ..Amiss::default() };
                let told = Told { read: Some(view(&reading, unfit.as_ref())), amiss, ..Told::default() };
                return show(&desk, &visitor, photo, asked, told).await;
            }
        }
    }
    let read = Some(view(&reading, unfit.as_ref()));
    show(&desk, &visitor, photo, asked, Told { read, ..Told::default() }).await
}

/// Looks for the target; its corners come into the form.
async fn found(
    desk: &Arc<Desk>,
    photo: &Photograph,
    asked: &mut Asked,
    reference: NamedReference,
) -> Result<String, Wrong> {
    let name = reference.name.clone();
    let Some(target) = pixels(desk, photo, move |picture| find_target(picture, &reference)).await? else {
        return Ok("No colour target was found; point at its corners yourself.".to_owned());
    };
    asked.corners = written(&target.corners);
    Ok(format!(
        "This may be the target, mean ΔE00 {:.1} against {name}. Look at it, then read it. Nothing is stored yet.",
        target.mean
    ))
}

/// Reads the target.
async fn read(
    desk: &Arc<Desk>,
    photo: &Photograph,
    asked: &Asked,
    reference: NamedReference,
) -> Result<Result<(TargetReading, Option<Unfit>), Amiss>, Wrong> {
    let wrong = |corners: String| Amiss { corners, ..Amiss::default() };
    let places = match corners(asked.corners.split_whitespace()) {
        Ok(places) => places,
        Err(why) => return Ok(Err(wrong(sentence(&why)))),
    };
    let correct = asked.correct;
    let read = pixels(desk, photo, move |picture| read_target(picture, places, &reference, correct));
    let unread = |why: Unread| match why {
        Unread::Turned { mean, better, corners } => Amiss {
            corners: format!(
                "The patches do not stand where these corners say (mean ΔE00 {mean:.1}); in the order {corners} they fit \
                 (mean ΔE00 {better:.1})."
            ),
            better: corners,
            ..Amiss::default()
        },
        why => wrong(sentence(&why.to_string())),
    };
    Ok(match or_amiss(read.await)? {
        Ok(read) => read.map_err(unread),
        Err(unreadable) => Err(wrong(unreadable)),
    })
}
