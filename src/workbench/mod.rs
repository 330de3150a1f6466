//! The workbench: the whole job in a browser, at the table. Thin handlers over the same calls as the command line.
//!
//! [`app`] is every page, apart from binding a port, so that tests ask pages without a network; [`serve`] listens.
//! A request passes `guard` (is it meant for us, does it come from us), `door` (who is it, may it write), then a page.

mod accounts;
mod assets;
mod choice;
mod collection;
mod compare;
mod conventions;
mod correct;
mod coverage;
mod desk;
mod door;
mod draw;
mod due;
mod examine;
mod fault;
mod file_data;
mod form;
mod frame;
mod guard;
mod import;
mod journal;
mod kept;
mod multipart;
mod overlay;
mod own_words;
mod pace;
mod photograph;
mod photograph_said;
mod photographs;
mod piece;
mod purge;
mod reading;
mod reckon;
mod record;
mod reports;
mod safekeeping;
mod seals;
mod serve;
mod sessions;
mod sheet;
mod sheets;
mod sign_in;
mod slowing;
mod studies;
mod upload;
mod withdrawn;
mod words;
mod works;

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware::from_fn_with_state;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::timeout::{RequestBodyTimeoutLayer, TimeoutLayer};

pub use desk::{Desk, Entrance, Opening};
pub use serve::{Patience, serve, serve_until};
pub use sessions::Secret;

/// What is typed is never longer; uploads have a limit of their own.
const LONGEST_BODY: usize = 1024 * 1024;

/// Every page of the workbench.
pub fn app(desk: Arc<Desk>) -> Router {
    let patience = desk.patience;
    Router::new()
        .merge(assets::routes())
        .merge(sign_in::routes())
        .merge(collection::routes())
        .merge(piece::routes())
        .merge(journal::routes())
        .merge(purge::routes())
        .merge(correct::routes())
        .merge(examine::routes())
        .merge(reports::routes())
        .merge(seals::routes())
        .merge(photograph::routes())
        .merge(photograph_said::routes())
        .merge(photographs::routes())
        .merge(draw::routes())
        .merge(reading::routes())
        .merge(coverage::routes())
        .merge(overlay::routes())
        .merge(compare::routes())
        .merge(studies::routes())
        .merge(due::routes())
        .merge(sheets::routes())
        .merge(kept::routes())
        .merge(withdrawn::routes())
        .merge(words::routes())
        .merge(own_words::routes())
        .merge(conventions::routes())
        .merge(accounts::routes())
        .merge(reckon::routes())
        .merge(safekeeping::routes())
        .fallback(nothing_here)
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, patience.answer))
        .merge(
            Router::new()
                .merge(upload::routes())
                .merge(file_data::routes())
                .merge(import::routes())
                .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, patience.upload)),
        )
        .layer(CatchPanicLayer::custom(|_: Box<dyn std::any::Any + Send>| {
            axum::response::IntoResponse::into_response(fault::Wrong::broken())
        }))
        .layer(DefaultBodyLimit::max(LONGEST_BODY))
        .layer(from_fn_with_state(desk.clone(), door::ask))
        .layer(RequestBodyTimeoutLayer::new(patience.sending))
        .layer(from_fn_with_state(desk.clone(), guard::check))
        .with_state(desk)
}

async fn nothing_here() -> fault::Wrong {
    fault::Wrong::not_found("There is no page at this address. The collection is a good place to begin.")
}
