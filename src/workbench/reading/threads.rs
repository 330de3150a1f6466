//! Threads counted in a square of a macro photograph: shown to be looked at, and entered as ends and picks when confirmed.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Form, Router};
use serde::{Deserialize, Serialize};

use super::{Of, Sight, may_examine, or_amiss, photograph, refused, unreadable, with_status};
use crate::readings::threads::{Looked, Place, Square, Warp, in_words, look, scale_of, warp_and_weft, written};
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::report::capital;
use crate::threads::{self, Scale};
use crate::vocabulary::Scheme;
use crate::workbench::choice::Choice;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{self, Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::piece;
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}/photographs/{sha256}/threads", get(page).post(confirm))
}

/// What is to be counted, and where it goes.
#[derive(Debug, Default, Clone, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    square: String,
    scale: String,
    warp: String,
    examination: String,
    role: String,
    component: String,
}

/// What is wrong, beside the field where it is.
#[derive(Debug, Default, PartialEq, Serialize)]
struct Amiss {
    square: String,
    scale: String,
    warp: String,
    /// With what is to be entered.
    entering: String,
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    sight: Sight,
    asked: Asked,
    amiss: Amiss,
    /// The scale that the photograph has; blank without one.
    scale: String,
    count: Option<Counted>,
    /// Why there is no count.
    cannot_tell: String,
    nothing_new: bool,
    examinations: Vec<Choice>,
    roles: Vec<Choice>,
    components: Vec<Choice>,
    shows: Option<String>,
    may: bool,
}

/// A count, in words.
#[derive(Serialize)]
struct Counted {
    up: String,
    across: String,
    clearness: String,
    /// Ends and picks, where it is known which way the warp runs.
    ends: String,
    picks: String,
}

impl Asked {
    fn runs(&self) -> Option<Warp> {
        match self.warp.as_str() {
            "up" => Some(Warp::Up),
            "across" => Some(Warp::Across),
            _ => None,
        }
    }

    /// Square and scale, or what is amiss with them.
    fn settled(&self, photo: &Photograph) -> Result<(Square, Scale), Amiss> {
        let scale = match fault::written(&self.scale) {
            Some(text) => threads::scale(&text).map_err(|why| sentence(&why.to_string())),
            None => scale_of(photo).ok_or_else(|| {
                "No scale is set on this photograph. Set one under Draw and measure, or give one here.".to_owned()
            }),
        };
        let square = Square::parse(self.square.trim()).map_err(|why| sentence(&why));
        match (square, scale) {
            (Ok(square), Ok(scale)) => Ok((square, scale)),
            (square, scale) => Err(Amiss {
                square: square.err().unwrap_or_default(),
                scale: scale.err().unwrap_or_default(),
                ..Amiss::default()
            }),
        }
    }
}

/// What came of it.
#[derive(Default)]
struct Told {
    looked: Option<Looked>,
    amiss: Amiss,
    nothing_new: bool,
}

impl Told {
    fn of(counted: Result<Option<Looked>, Amiss>) -> Self {
        match counted {
            Ok(looked) => Self { looked, ..Self::default() },
            Err(amiss) => Self { amiss, ..Self::default() },
        }
    }
}

async fn page(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    Query(asked): Query<Asked>,
) -> Result<Response, Wrong> {
    let photo = photograph(&desk, &of).await?;
    let told = Told::of(counted(&desk, &photo, &asked).await?);
    show(&desk, &visitor, photo, asked, told).await
}

/// Counts; nothing where no square is given yet.
async fn counted(desk: &Arc<Desk>, photo: &Photograph, asked: &Asked) -> Result<Result<Option<Looked>, Amiss>, Wrong> {
    if asked.square.trim().is_empty() {
        return Ok(Ok(None));
    }
    let (square, scale) = match asked.settled(photo) {
        Ok(settled) => settled,
        Err(amiss) => return Ok(Err(amiss)),
    };
    let turn = desk.decoding.turn().await?;
    let (store, folder, photo) = (desk.store.clone(), desk.folder().to_owned(), photo.clone());
    let looked = desk::work(turn, move || look(&store, &photo, square, scale).map_err(|why| unreadable(&folder, &why)));
    Ok(or_amiss(looked.await?)?.map(Some).map_err(|square| Amiss { square, ..Amiss::default() }))
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    photo: Photograph,
    asked: Asked,
    Told { looked, amiss, nothing_new }: Told,
) -> Result<Response, Wrong> {
    let may = may_examine(visitor);
    let is_amiss = amiss != Amiss::default();
    let page = frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&photo.number)?;
        let cannot_tell = looked.as_ref().and_then(|l| l.count.as_ref().err()).map(|why| sentence(&why.to_string()));
        let page = Page {
            sight: Sight::of(&photo, settings),
            scale: scale_of(&photo).map(|s| format!("{:.2} px/mm", s.px_per_mm)).unwrap_or_default(),
            count: looked.as_ref().and_then(|looked| view(looked, asked.runs())),
            cannot_tell: cannot_tell.unwrap_or_default(),
            nothing_new,
            examinations: Choice::examinations(&file, &asked.examination),
            roles: Choice::terms(catalogue.vocabulary(), Scheme::TextileRole, &asked.role),
            components: Choice::components(&file, &asked.component),
            shows: photo.component.clone(),
            asked,
            amiss,
            may,
        };
        Ok(Leaf { template: "threads.html", title: format!("Threads of {}", photo.number), page })
    });
    Ok(with_status(page.await?, is_amiss))
}

fn view(looked: &Looked, warp: Option<Warp>) -> Option<Counted> {
    let count = looked.count.as_ref().ok()?;
    let (ends, picks) = warp.map_or_else(Default::default, |warp| {
        let (warp, weft) = warp_and_weft(count, warp);
        (written(&warp), written(&weft))
    });
    Some(Counted {
        up: in_words(&count.up),
        across: in_words(&count.across),
        clearness: capital(&looked.clearness(count)),
        ends,
        picks,
    })
}

/// Counts again and enters it. What is wrong is told beside its field, with the count still there.
async fn confirm(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    Form(asked): Form<Asked>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let photo = photograph(&desk, &of).await?;
    let mut told = Told::of(counted(&desk, &photo, &asked).await?);
    if let Some(looked) = &told.looked {
        let entered = match visitor.author() {
            Ok(author) => entered(&desk, author.to_owned(), &photo, &asked, looked.clone()).await,
            Err(nameless) => Err(Wrong::refused(nameless.says)),
        };
        match or_amiss(entered)? {
            Ok(Some(to)) => return Ok(Redirect::to(&to).into_response()),
            Ok(None) => told.nothing_new = true,
            Err(entering) => told.amiss.entering = entering,
        }
    } else if told.amiss == Amiss::default() {
        told.amiss.square = "Say where: draw a square, or write left, top and side in pixels.".into();
    }
    show(&desk, &visitor, photo, asked, told).await
}

/// Enters a count; where it is shown, or none if it is recorded already.
async fn entered(
    desk: &Arc<Desk>,
    author: String,
    photo: &Photograph,
    asked: &Asked,
    looked: Looked,
) -> Result<Option<String>, Wrong> {
    let Some(warp) = asked.runs() else {
        return Err(Wrong::refused("Say which way the warp runs; no picture tells that by itself."));
    };
    let day = asked.examination.trim().parse();
    let day = day.map_err(|_| Wrong::refused("Choose the examination that the count belongs to."))?;
    let count = *looked.count.as_ref().map_err(|why| Wrong::refused(sentence(&why.to_string())))?;
    let (photo, role, component) = (photo.clone(), asked.role.trim().to_owned(), fault::written(&asked.component));
    desk::write(desk, move |catalogue| {
        let (warp, weft) = warp_and_weft(&count, warp);
        let place = Place { day, role: &role, component: component.as_deref() };
        let done = looked.enter((catalogue, &author), &photo, (&warp, &weft), place).map_err(|why| refused(&why))?;
        Ok(done.map(|_| piece::examination(catalogue, &photo.number, day)).transpose()?)
    })
    .await
}
