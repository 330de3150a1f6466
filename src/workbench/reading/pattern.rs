//! A pattern taken off a drawing on a photograph of its page: sizes at full size, the drawing, sheets to print; entered as
//! measurements when that is said.

mod terms;

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use serde::Serialize;

use self::terms::{Amiss, Asked};
use super::{Of, Sight, may_examine, or_amiss, photograph, refused, with_status};
use crate::analysis::takeoff::piece_names;
use crate::catalogue::Catalogue;
use crate::readings::pattern::{Dimension, Taken, length};
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::report;
use crate::workbench::choice::Choice;
use crate::workbench::desk::{self, Desk};
use crate::workbench::draw::find;
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::piece;
use crate::workbench::sessions::Visitor;
use crate::workbench::sheet::{sheet_of, to_keep};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/photographs/{sha256}/pattern", get(page))
        .route("/pieces/{number}/photographs/{sha256}/pattern/outline", get(outline))
        .route("/pieces/{number}/photographs/{sha256}/pattern/sheets", get(sheets))
        .route("/pieces/{number}/photographs/{sha256}/pattern/enter", post(enter))
}

/// What the page shows.
#[derive(Serialize)]
struct Page<L> {
    sight: Sight,
    asked: Asked,
    /// The terms, to be sent along.
    fields: Vec<(&'static str, String)>,
    amiss: Amiss,
    scaled: bool,
    names: Vec<Choice>,
    off: Option<L>,
    dimensions: Vec<[String; 3]>,
    query: String,
    examinations: Vec<Choice>,
    nothing_new: bool,
    may: bool,
}

/// What came of it.
#[derive(Default)]
struct Told {
    taken: Option<(Taken, Vec<Dimension>)>,
    amiss: Amiss,
    nothing_new: bool,
}

async fn page(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    let asked = Asked::of(fields);
    let photo = photograph(&desk, &of).await?;
    let told = taken(&desk, &photo, &asked).await?;
    Box::pin(show(&desk, &visitor, photo, asked, told)).await
}

/// Takes the pattern off; nothing where the photograph has no scale or no outline yet.
async fn taken(desk: &Arc<Desk>, photo: &Photograph, asked: &Asked) -> Result<Told, Wrong> {
    if photo.scale.is_none() || piece_names(photo).is_empty() {
        return Ok(Told::default());
    }
    let (photo, asked) = (photo.clone(), asked.clone());
    desk::read(desk, move |catalogue| {
        let taken = match Taken::of(catalogue.piece(&photo.number)?, photo, &asked.written()) {
            Ok(taken) => taken,
            Err(not) => return Ok(Told { amiss: not.into(), ..Told::default() }),
        };
        let named = taken.dimensions(&asked.measured(), catalogue.vocabulary());
        let (dimensions, amiss) = match named {
            Ok(dimensions) => (dimensions, Amiss::default()),
            Err(misworded) => (Vec::new(), misworded.into()),
        };
        Ok(Told { taken: Some((taken, dimensions)), amiss, nothing_new: false })
    })
    .await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    photo: Photograph,
    asked: Asked,
    Told { taken, amiss, nothing_new }: Told,
) -> Result<Response, Wrong> {
    let may = may_examine(visitor);
    let is_amiss = amiss != Amiss::default();
    let page = frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&photo.number)?;
        let name = |name: &String| Choice::of(name, name, if asked.pieces.contains(name) { name } else { "" });
        let dimension =
            |d: &Dimension| [d.component.clone().unwrap_or_default(), d.term.name().to_owned(), d.reading()];
        let page = Page {
            sight: Sight::of(&photo, settings),
            scaled: photo.scale.is_some(),
            names: piece_names(&photo).iter().map(name).collect(),
            off: taken.as_ref().map(|(taken, _)| report::pattern_sizes(&taken.off)),
            dimensions: taken.iter().flat_map(|(_, list)| list).map(dimension).collect(),
            query: asked.query(),
            fields: asked.fields().into_iter().map(|(name, text)| (name, text.to_owned())).collect(),
            examinations: Choice::examinations(&file, &asked.examination),
            nothing_new,
            asked,
            amiss,
            may,
        };
        Ok(Leaf { template: "pattern_sizes.html", title: format!("Pattern of {}", photo.number), page })
    });
    Ok(with_status(page.await?, is_amiss))
}

/// The pattern on a photograph; what is wrong with its terms is told, for there is no form to say it beside.
fn pattern(catalogue: &Catalogue, (number, sha256): &Of, asked: &Asked) -> Result<Taken, Wrong> {
    let file = catalogue.piece(number)?;
    let photo = find(&file, sha256)?.1.clone();
    Taken::of(file, photo, &asked.written()).map_err(|not| {
        let Amiss { ratio, ratio_within, line, stretch, allowance, form, .. } = Amiss::from(not);
        Wrong::refused([ratio, ratio_within, line, stretch, allowance, form].concat())
    })
}

/// The drawing, to be saved.
async fn outline(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path(of): Path<Of>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    let asked = Asked::of(fields);
    let (name, svg) = desk::read(&desk, move |catalogue| {
        let taken = pattern(catalogue, &of, &asked)?;
        Ok((taken.name("svg", ""), taken.outline().map_err(|_| Wrong::broken())?))
    })
    .await?;
    Ok(to_keep(&name, "image/svg+xml", svg.into_bytes()))
}

/// The page of sheets, in its own window.
async fn sheets(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path(of): Path<Of>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    let asked = Asked::of(fields);
    let overlap = length(&asked.overlap, "overlap").map_err(|term| Wrong::refused(sentence(&term.why)))?;
    sheet_of(&desk, move |catalogue, settings| {
        let taken = pattern(catalogue, &of, &asked)?;
        taken.sheets(&asked.paper, overlap, settings).map_err(|why| Wrong::refused(sentence(&why)))
    })
    .await
}

/// Enters the sizes that are dimensions as measurements.
async fn enter(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let asked = Asked::of(fields);
    let photo = photograph(&desk, &of).await?;
    let mut told = taken(&desk, &photo, &asked).await?;
    if told.amiss == Amiss::default() {
        let done = match visitor.author() {
            Ok(author) => entered(&desk, author.to_owned(), photo.clone(), asked.clone()).await,
            Err(nameless) => Err(Wrong::refused(nameless.says)),
        };
        match or_amiss(done)? {
            Ok(Some(to)) => return Ok(Redirect::to(&to).into_response()),
            Ok(None) => told.nothing_new = true,
            Err(entering) => told.amiss.entering = entering,
        }
    }
    Box::pin(show(&desk, &visitor, photo, asked, told)).await
}

/// Enters them; where they are shown, or none if they are recorded already.
async fn entered(desk: &Arc<Desk>, author: String, photo: Photograph, asked: Asked) -> Result<Option<String>, Wrong> {
    let day = asked.examination.trim().parse();
    let day = day.map_err(|_| Wrong::refused("Choose the examination of the pattern that they belong to."))?;
    desk::write(desk, move |catalogue| {
        let file = catalogue.piece(&photo.number)?;
        let (number, why) = (photo.number.clone(), "What is drawn was changed meanwhile. Load the page again.");
        let taken = Taken::of(file, photo, &asked.written()).map_err(|_| Wrong::refused(why))?;
        let named = taken.dimensions(&asked.measured(), catalogue.vocabulary());
        let dimensions = named.map_err(|term| Wrong::refused(sentence(&term.why)))?;
        if dimensions.is_empty() {
            return Err(Wrong::refused(
                "None of the sizes is called by a dimension of the vocabulary. Draw a line with its name as note, or say \
                 above which edge is which.",
            ));
        }
        let done = taken.enter((catalogue, &author), &dimensions, day).map_err(|lines| refused(&lines))?;
        let to = (!done.is_nothing()).then(|| piece::examination(catalogue, &number, day));
        Ok(to.transpose()?)
    })
    .await
}
