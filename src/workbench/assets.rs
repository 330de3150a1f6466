//! Styles and scripts, built into the program, each under an address that changes with its content.

use std::sync::OnceLock;

use axum::Router;
use axum::extract::Path;
use axum::http::{HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use sha2::{Digest, Sha256};
use std::sync::Arc;

use super::desk::Desk;
use super::fault::Wrong;
use crate::digest::hex;

/// The style of the workbench stands on that of printed reports: one ink, one paper, one set of letters.
const STYLE: &str = concat!(
    include_str!("../../templates/style/base.css"),
    include_str!("../../templates/style/page.css"),
    include_str!("../../templates/style/survey.css"),
    include_str!("../../templates/style/comparison.css"),
    include_str!("../../templates/workbench/style/frame.css"),
    include_str!("../../templates/workbench/style/collection.css"),
    include_str!("../../templates/workbench/style/piece.css"),
    include_str!("../../templates/workbench/style/sitting.css"),
    include_str!("../../templates/workbench/style/words.css"),
    include_str!("../../templates/workbench/style/reports.css"),
    include_str!("../../templates/workbench/style/studio.css"),
    include_str!("../../templates/workbench/style/lists.css"),
    include_str!("../../templates/workbench/style/safekeeping.css"),
    include_str!("../../templates/workbench/style/reckon.css"),
);

/// Name, kind, content. A module imports another as `./NAME.js`.
const ASSETS: &[(&str, &str, &str)] = &[
    ("workbench.css", "text/css; charset=utf-8", STYLE),
    ("workbench.js", JS, include_str!("../../templates/workbench/script/workbench.js")),
    ("known.js", JS, include_str!("../../templates/workbench/script/known.js")),
    ("long.js", JS, include_str!("../../templates/workbench/script/long.js")),
    ("collection.js", JS, include_str!("../../templates/workbench/script/collection.js")),
    ("piece.js", JS, include_str!("../../templates/workbench/script/piece.js")),
    ("sitting.js", JS, include_str!("../../templates/workbench/script/sitting.js")),
    ("keeping.js", JS, include_str!("../../templates/workbench/script/keeping.js")),
    ("ways.js", JS, include_str!("../../templates/workbench/script/ways.js")),
    ("photographs.js", JS, include_str!("../../templates/workbench/script/photographs.js")),
    ("coming.js", JS, include_str!("../../templates/workbench/script/coming.js")),
    ("import_photographs.js", JS, include_str!("../../templates/workbench/script/import_photographs.js")),
    ("easel.js", JS, include_str!("../../templates/workbench/script/easel.js")),
    ("draw.js", JS, include_str!("../../templates/workbench/script/draw.js")),
    ("pointing.js", JS, include_str!("../../templates/workbench/script/pointing.js")),
    ("slide.js", JS, include_str!("../../templates/workbench/script/slide.js")),
    ("overlay.js", JS, include_str!("../../templates/workbench/script/overlay.js")),
    ("compare.js", JS, include_str!("../../templates/workbench/script/compare.js")),
    ("work.js", JS, include_str!("../../templates/workbench/script/work.js")),
    ("reckon.js", JS, include_str!("../../templates/workbench/script/reckon.js")),
    ("icon.svg", "image/svg+xml", include_str!("../../templates/workbench/icon.svg")),
];

const JS: &str = "text/javascript; charset=utf-8";

/// The first digits of the SHA-256 of all of them: one program, one address.
fn edition() -> &'static str {
    static EDITION: OnceLock<String> = OnceLock::new();
    EDITION.get_or_init(|| {
        let mut all = Sha256::new();
        ASSETS.iter().for_each(|(_, _, content)| all.update(content.as_bytes()));
        hex(&all.finalize()[..8])
    })
}

/// The address of an asset.
pub(super) fn address(name: &str) -> String {
    format!("/assets/{}/{name}", edition())
}

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new().route("/assets/{edition}/{name}", get(asset))
}

async fn asset(Path((asked, name)): Path<(String, String)>) -> Result<Response, Wrong> {
    // Only what stands in the list can be had: no file is opened.
    let found = ASSETS.iter().find(|(known, _, _)| *known == name && asked == edition());
    let Some((_, kind, content)) = found else { return Err(Wrong::not_found("There is nothing at this address.")) };
    let headers: [(HeaderName, &str); 2] =
        [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "private, max-age=31536000, immutable")];
    Ok((StatusCode::OK, headers, *content).into_response())
}
