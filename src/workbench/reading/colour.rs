//! The colour of an area of cloth, read from a photograph. Nothing is entered.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use serde::{Deserialize, Serialize};

use super::{Of, Sight, or_amiss, photograph, pixels, with_status};
use crate::readings::colour::{self, AreaColour, CAUTION, LOST};
use crate::record::photograph::Photograph;
use crate::report::capital;
use crate::workbench::desk::Desk;
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}/photographs/{sha256}/colour", get(page))
}

/// What is to be read.
#[derive(Debug, Default, Clone, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    /// `x,y,width,height`, or `outline x,y x,y x,y`.
    area: String,
    /// Anything, to leave the correction away.
    uncorrected: String,
}

/// What the page shows.
#[derive(Serialize)]
struct Page {
    sight: Sight,
    asked: Asked,
    amiss: String,
    read: Option<Read>,
    /// Whether the photograph has a correction by its target.
    corrected: bool,
    target_read: bool,
}

/// A colour that was read.
#[derive(Serialize)]
struct Read {
    chip: String,
    lines: Vec<String>,
    lost: &'static str,
    caution: String,
    sheet: String,
}

async fn page(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    Query(asked): Query<Asked>,
) -> Result<Response, Wrong> {
    let photo = photograph(&desk, &of).await?;
    let (read, amiss) = match or_amiss(found(&desk, &photo, &asked).await)? {
        Ok(read) => (read, String::new()),
        Err(amiss) => (None, amiss),
    };
    let is_amiss = !amiss.is_empty();
    let page = frame::page(&desk, &visitor, Room::Collection, move |_, settings| {
        let page = Page {
            sight: Sight::of(&photo, settings),
            read: read.map(|read| view(&read, &photo.sha256)),
            corrected: photo.target.as_ref().is_some_and(|t| t.correction.is_some()),
            target_read: photo.target.is_some(),
            asked,
            amiss,
        };
        Ok(Leaf { template: "area_colour.html", title: format!("Colour of an area: {}", photo.number), page })
    });
    Ok(with_status(page.await?, is_amiss))
}

/// What was read; nothing where no area is given yet.
async fn found(desk: &Arc<Desk>, photo: &Photograph, asked: &Asked) -> Result<Option<AreaColour>, Wrong> {
    let area = asked.area.trim();
    if area.is_empty() {
        return Ok(None);
    }
    let outline = if area.starts_with("outline") { colour::outline(area) } else { colour::rectangle(area) };
    let outline = outline.map_err(|why| Wrong::refused(sentence(&why)))?;
    let (target, uncorrected) = (photo.target.clone(), !asked.uncorrected.is_empty());
    let read = pixels(desk, photo, move |picture| colour::read(picture, &outline, target.as_ref(), uncorrected));
    read.await?.map(Some).map_err(|why| Wrong::refused(sentence(&why.to_string())))
}

fn view(read: &AreaColour, sha256: &str) -> Read {
    Read {
        chip: read.found.lab.to_srgb().0.to_string(),
        lines: vec![read.mean(), capital(&read.spread()), capital(&read.correction)],
        lost: if read.is_off() { LOST } else { "" },
        caution: sentence(CAUTION),
        sheet: read.for_sheet(sha256),
    }
}
