//! Drawing on a photograph: points, lines and outlines tied to what they show, and the scale that gives them a size. The
//! figures come from the server, where the rule has its home; what is written meets the same calls as the command line.

use std::sync::Arc;

use axum::extract::rejection::JsonRejection;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Json, Router};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::desk::{self, Desk};
use super::fault::{self, Wrong, sentence, written};
use super::form::{self, Retry, Why, again};
use super::frame::{self, Leaf, Room, When};
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Fault, NewRegion, Removed};
use crate::exchange::lines;
use crate::geometry::{POINTING_PX, Point};
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::record::photograph::{Photograph, Region, Shape, place};
use crate::record::picture_scale::{PLANE_ONLY, PictureScale, known_place};
use crate::report;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/photographs/{sha256}/draw", get(page))
        .route("/pieces/{number}/photographs/{sha256}/figures", post(figures))
        .route("/pieces/{number}/photographs/{sha256}/regions", post(region))
        .route("/pieces/{number}/photographs/{sha256}/regions/{id}/remove", post(remove))
        .route("/pieces/{number}/photographs/{sha256}/regions/{id}/put-back", post(put_back))
        .route("/pieces/{number}/photographs/{sha256}/scale", post(scale))
        .route("/pieces/{number}/photographs/{sha256}/scale/{id}/take-back", post(take_back_scale))
}

/// What the page shows.
#[derive(Serialize)]
struct Page<S> {
    number: String,
    address: String,
    /// The address of this photograph.
    photograph: String,
    study: S,
    /// The place of the scale that stands, as SVG wants it.
    scale_at: String,
    /// The identifier of the scale that stands; blank without one.
    scale_id: String,
    view: Option<String>,
    /// The original, where a browser shows its kind.
    original: String,
    width: u32,
    height: u32,
    things: Vec<Things>,
    components: Vec<String>,
    overlays: Vec<(String, String)>,
    others: Vec<(String, String)>,
    /// The identifiers of the regions, in the order in which they are listed.
    regions: Vec<String>,
    removed: Vec<Gone>,
    may: bool,
    again: Retry,
}

/// A region that was removed.
#[derive(Serialize)]
struct Gone {
    id: String,
    label: String,
    note: String,
    words: When,
}

/// What an examination recorded, to tie a region to.
#[derive(Serialize)]
struct Things {
    heading: String,
    lines: Vec<(String, String)>,
}

async fn page(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(place): Path<(String, String)>,
) -> Result<Response, Wrong> {
    show(&desk, &visitor, place, Retry::default()).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    (number, sha256): (String, String),
    again: Retry,
) -> Result<Response, Wrong> {
    let may = visitor.role >= Role::Examine;
    frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&number)?;
        let (at, photo) = find(&file, &sha256)?;
        let address = piece::address(&number);
        let page = Page {
            study: report::study_view(&file, at, settings).ok_or_else(missing)?,
            scale_at: photo.scale.as_ref().map(|s| pairs(&s.places)).unwrap_or_default(),
            scale_id: photo.scale.as_ref().map(|s| s.id.clone()).unwrap_or_default(),
            view: settings.pictures.view(&photo.sha256),
            original: if shows_in_a_browser(photo) {
                format!("/photographs/{}/original", photo.sha256)
            } else {
                String::new()
            },
            width: photo.width,
            height: photo.height,
            things: things(&file),
            components: file.components.iter().filter_map(|c| c.name.clone()).collect(),
            overlays: super::overlay::links(&file, photo),
            others: super::overlay::others(&file, photo),
            photograph: piece::photograph(&number, &photo.sha256),
            address,
            number: number.clone(),
            regions: photo.regions.iter().map(|r| r.id.clone()).collect(),
            removed: catalogue.removed_regions(&photo.sha256)?.into_iter().map(gone).collect(),
            may,
            again,
        };
        Ok(Leaf { template: "draw.html", title: format!("Draw on a photograph of {number}"), page })
    })
    .await
}

fn gone(removed: Removed) -> Gone {
    let words = When::within("removed ", &removed.at, format!(" by {}: {}", removed.by, removed.why));
    Gone { words, id: removed.id, label: removed.label, note: removed.note }
}

/// The photograph of a piece, and its place among them.
pub(super) fn find<'f>(file: &'f PieceFile, sha256: &str) -> Result<(usize, &'f Photograph), Wrong> {
    let mut all = file.photographs.iter().enumerate();
    all.find(|(_, p)| p.sha256.eq_ignore_ascii_case(sha256)).ok_or_else(missing)
}

/// Whether browsers show originals of its kind.
pub(super) fn shows_in_a_browser(photo: &Photograph) -> bool {
    matches!(photo.extension.as_str(), "jpg" | "jpeg" | "png" | "webp")
}

fn missing() -> Wrong {
    Wrong::not_found("This piece has no such photograph.")
}

fn pairs(places: &[Point]) -> String {
    places.iter().map(|(x, y)| format!("{x},{y}")).collect::<Vec<_>>().join(" ")
}

/// The lines of every examination, the latest first; notes of condition and measurements before the rest.
fn things(file: &PieceFile) -> Vec<Things> {
    let sitting = |exam: &crate::record::Examination| {
        let mut all = lines::of_examination(exam);
        all.retain(|line| !matches!(line.section, "examination" | "overall"));
        all.sort_by_key(|line| match line.section {
            "condition" => 0,
            "measurement" => 1,
            _ => 2,
        });
        let words = |line: &lines::Line| {
            let written: Vec<&str> =
                line.written().map(|e| e.text.as_str()).filter(|t| !t.is_empty()).take(4).collect();
            let text = written.join(", ").replace('\n', "; ");
            let text: String = text.chars().take(90).collect();
            format!("{}: {text}", report::capital(&line.section.replace('_', " ")))
        };
        let named = |line: lines::Line| Some((line.id.clone()?, words(&line)));
        Things { heading: report::day(exam.about.date), lines: all.into_iter().filter_map(named).collect() }
    };
    let mut list: Vec<Things> = file.examinations.iter().rev().map(sitting).collect();
    list.retain(|things| !things.lines.is_empty());
    list
}

/// What is drawn and not kept yet.
#[derive(Deserialize)]
struct Draft {
    #[serde(default)]
    shape: String,
    #[serde(default)]
    scale: Option<ScaleDraft>,
}

/// A scale as somebody pointed and wrote it.
#[derive(Deserialize)]
struct ScaleDraft {
    /// The two ends of a length, or the four corners of a rectangle: `x,y x,y …`.
    places: String,
    /// `10 cm`, `20 x 15 cm`.
    size: String,
    #[serde(default)]
    tolerance: String,
    /// More places known in the plane of a rectangle, a line each: `812,1240 = 100 x 50 mm`.
    #[serde(default)]
    known: String,
    /// How far a pointed place may be out, in pixels; as usual if blank.
    #[serde(default)]
    pointing: String,
    /// The scale that stood when this was begun; blank if none did.
    #[serde(default)]
    instead: String,
}

impl ScaleDraft {
    fn made(&self, photo: &Photograph) -> Result<PictureScale, Wrong> {
        let places: Vec<Point> =
            self.places.split_whitespace().map(place).collect::<Result<_, _>>().map_err(Wrong::refused)?;
        let tolerance = Some(self.tolerance.trim()).filter(|t| !t.is_empty());
        let pointing = match written(&self.pointing) {
            None => POINTING_PX,
            Some(text) => {
                text.replace(',', ".").parse().map_err(|_| said(format!("`{text}` is no number of pixels")))?
            }
        };
        let known = || self.known.lines().filter_map(written).map(|line| known_place(&line)).collect();
        let made = match places[..] {
            [a, b] => PictureScale::between([a, b], &self.size, tolerance, pointing),
            [a, b, c, d] => {
                let known: Result<Vec<_>, String> = known();
                known.and_then(|known| PictureScale::rectangle([a, b, c, d], &self.size, tolerance, pointing, known))
            }
            _ => Err("a length has two ends, and a rectangle four corners".into()),
        };
        let made = made.map_err(said)?;
        made.check(f64::from(photo.width), f64::from(photo.height)).map_err(said)?;
        Ok(made)
    }
}

fn said(text: impl AsRef<str>) -> Wrong {
    Wrong::refused(sentence(text.as_ref()))
}

/// What is said of a message that cannot be read.
const NOTHING: &str = "This is nothing to draw";

/// How large a draft is, or what a scale would say. Writes nothing.
async fn figures(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, sha256)): Path<(String, String)>,
    draft: Result<Json<Draft>, JsonRejection>,
) -> Result<Response, Wrong> {
    let draft = fault::sent(draft, NOTHING)?;
    desk::read(&desk, move |catalogue| {
        let units = frame::units(visitor.units, &catalogue.collection()?);
        let file = catalogue.piece(&number)?;
        let (_, photo) = find(&file, &sha256)?;
        let answer = match &draft.scale {
            Some(scale) => json!({ "figures": report::scale_lines(&scale.made(photo)?) }),
            None => {
                let shape = drawn(&draft.shape, photo)?;
                let region = Region { shape, ..Region::default() };
                let scaled = photo.scale.is_some();
                json!({
                    "figures": report::region_figures(photo, &region, units), "scaled": scaled,
                    "holds": scaled.then_some(PLANE_ONLY),
                })
            }
        };
        Ok(Json(answer).into_response())
    })
    .await
}

fn drawn(text: &str, photo: &Photograph) -> Result<Shape, Wrong> {
    let shape = Shape::parse(text).map_err(said)?;
    shape.check(f64::from(photo.width), f64::from(photo.height)).map_err(said)?;
    Ok(shape)
}

/// A region to keep.
#[derive(Deserialize)]
struct RegionDraft {
    shape: String,
    #[serde(default)]
    shows: String,
    #[serde(default)]
    outlines: String,
    #[serde(default)]
    label: String,
    #[serde(default)]
    note: String,
}

async fn region(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(place): Path<(String, String)>,
    draft: Result<Json<RegionDraft>, JsonRejection>,
) -> Result<Response, Wrong> {
    let draft = fault::sent(draft, NOTHING)?;
    let label = on_photograph(&desk, &visitor, place, move |catalogue, author, file, photo| {
        let shows = written(&draft.shows);
        let stands = |id: &String| things(file).iter().any(|t| t.lines.iter().any(|(known, _)| known == id));
        if shows.as_ref().is_some_and(|id| !stands(id)) {
            return Err(Wrong::new(
                StatusCode::CONFLICT,
                "What this was to be tied to was corrected or withdrawn meanwhile. Load the page again in another window \
                 to see what stands; what you drew is still here.",
            ));
        }
        if shows.is_some() && written(&draft.outlines).is_some() {
            return Err(said("an outline is either that of a component or shows something on it; choose one"));
        }
        let region = NewRegion {
            label: written(&draft.label),
            shape: drawn(&draft.shape, photo)?,
            shows,
            outlines: written(&draft.outlines),
            note: written(&draft.note),
        };
        Ok(catalogue.add_region(author, &photo.sha256, &region)?)
    });
    Ok(Json(json!({ "label": label.await? })).into_response())
}

async fn scale(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(place): Path<(String, String)>,
    draft: Result<Json<ScaleDraft>, JsonRejection>,
) -> Result<Response, Wrong> {
    let draft = fault::sent(draft, NOTHING)?;
    let answer = on_photograph(&desk, &visitor, place, move |catalogue, author, _, photo| {
        let made = draft.made(photo)?;
        let stands = photo.scale.as_ref().map(|s| s.id.as_str()).unwrap_or_default();
        let mine = report::scale_lines(&made);
        if stands != draft.instead {
            let says = "The scale of this photograph was changed meanwhile. Both stand here; yours is not set yet.";
            let theirs = photo.scale.as_ref().map(report::scale_lines);
            let theirs = theirs.unwrap_or_else(|| vec!["it was taken back: no scale is set".to_owned()]);
            let both = json!({ "wrong": says, "stands": stands, "theirs": theirs, "mine": mine });
            return Ok((StatusCode::CONFLICT, Json(both)).into_response());
        }
        catalogue.set_scale(author, &photo.sha256, &made)?;
        Ok(Json(json!({ "figures": mine })).into_response())
    });
    answer.await
}

/// Changes what is drawn on a photograph, in the name of a visitor who may examine.
async fn on_photograph<T: Send + 'static>(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    (number, sha256): (String, String),
    change: impl FnOnce(&mut Catalogue, &str, &PieceFile, &Photograph) -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    visitor.may(Role::Examine)?;
    let author = visitor.author()?.to_owned();
    desk::write(desk, move |catalogue| {
        let file = catalogue.piece(&number)?;
        let (_, photo) = find(&file, &sha256)?;
        change(catalogue, &author, &file, photo)
    })
    .await
}

/// A photograph of a piece, and something on it.
type On = Path<(String, String, String)>;

async fn remove(desk: State<Arc<Desk>>, visitor: Visitor, on: On, why: Form<Why>) -> Result<Response, Wrong> {
    let removed = |catalogue: &mut Catalogue, author: &str, why: &str, photograph: &str, id: &str| {
        catalogue.remove_region(author, why, photograph, id).map(|_| ())
    };
    take_back(desk, &visitor, on, why, ("regions", "remove"), removed).await
}

async fn put_back(desk: State<Arc<Desk>>, visitor: Visitor, on: On) -> Result<Response, Wrong> {
    let why = Form(Why { reason: "region put back".into() });
    let there = |catalogue: &mut Catalogue, author: &str, why: &str, photograph: &str, id: &str| {
        catalogue.put_back_region(author, why, photograph, id).map(|_| ())
    };
    take_back(desk, &visitor, on, why, ("regions", "put-back"), there).await
}

async fn take_back_scale(desk: State<Arc<Desk>>, visitor: Visitor, on: On, why: Form<Why>) -> Result<Response, Wrong> {
    take_back(desk, &visitor, on, why, ("scale", "take-back"), Catalogue::take_back_scale).await
}

/// Takes something drawn back, with a reason, and shows the photograph again. Needs no script.
async fn take_back(
    State(desk): State<Arc<Desk>>,
    visitor: &Visitor,
    Path((number, sha256, id)): On,
    Form(Why { reason }): Form<Why>,
    (list, act): (&str, &str),
    back: impl FnOnce(&mut Catalogue, &str, &str, &str, &str) -> Result<(), Fault> + Send + 'static,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let at = piece::photograph(&number, &sha256);
    let to = format!("{at}/{list}/{}/{act}", report::link_part(&id));
    let done = match form::who_and_why(visitor, &reason) {
        Ok((author, reason)) => {
            let (number, sha256) = (number.clone(), sha256.clone());
            let work = move |catalogue: &mut Catalogue| {
                let file = catalogue.piece(&number)?;
                let (_, photo) = find(&file, &sha256)?;
                form::beside("reason", back(catalogue, &author, &reason, &photo.sha256, &id))
            };
            desk::write(&desk, work).await?
        }
        Err(amiss) => Err(amiss),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&format!("{at}/draw")).into_response()),
        Err(amiss) => {
            let retry = Retry::of(to, &reason, amiss);
            show(&desk, visitor, (number, sha256), retry).await.map(again)
        }
    }
}
