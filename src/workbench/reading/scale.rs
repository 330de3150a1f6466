//! Looks for a ruled bar or a colour target in a photograph, whose scale the page then offers. Nothing is stored.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router};
use serde::Serialize;

use super::{Of, photograph, pixels};
use crate::geometry::written;
use crate::photograph::{FoundBar, FoundTarget, NamedReference, bars, find_target};
use crate::workbench::desk::Desk;
use crate::workbench::fault::Wrong;
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/pieces/{number}/photographs/{sha256}/scale/found", get(found))
}

/// What may give a scale.
#[derive(Serialize)]
struct Offer {
    /// `length` or `rectangle`.
    pen: &'static str,
    /// Its places, as the scale form takes them.
    places: String,
    /// How large it may be; blank where nobody can know.
    size: String,
    tolerance: &'static str,
    says: String,
}

async fn found(State(desk): State<Arc<Desk>>, _: Visitor, Path(of): Path<Of>) -> Result<Response, Wrong> {
    let photo = photograph(&desk, &of).await?;
    let (bars, target) = pixels(&desk, &photo, |picture| {
        (bars(&image::imageops::grayscale(picture)), find_target(picture, &NamedReference::built_in()))
    })
    .await?;
    let offers: Vec<Offer> = target.iter().map(by_target).chain(bars.iter().map(by_bar)).collect();
    Ok(Json(offers).into_response())
}

fn by_target(target: &FoundTarget) -> Offer {
    Offer {
        pen: "rectangle",
        places: written(&target.corners),
        size: String::new(),
        tolerance: "0.2 mm",
        says:
            "May be a colour target. Look at it, then write what its patches measure together outside: width x height."
                .into(),
    }
}

fn by_bar(bar: &FoundBar) -> Offer {
    let [(x, y), (to_x, to_y)] = bar.ends;
    Offer {
        pen: "length",
        places: format!("{x:.1},{y:.1} {to_x:.1},{to_y:.1}"),
        size: format!("{} cm", bar.blocks),
        tolerance: "0.1 mm",
        says: format!(
            "May be a bar: {} blocks, dark at both ends. Look at it (checked cloth is ruled too); the length holds if each \
             block is 1 cm.",
            bar.blocks
        ),
    }
}
