//! The mapping as the file that it is: written by hand, saved, proposed anew.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::list::{self, Refused};
use super::{LONGEST_MAPPING, address, enter, lists, wrong};
use crate::draft::KeptList;
use crate::exchange::import::mapping::{Layout, Mapping};
use crate::record::account::Role;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::Wrong;
use crate::workbench::multipart::Multipart;
use crate::workbench::sessions::Visitor;
use crate::workbench::sheet::to_keep_as;
use crate::workbench::upload::blocking;

/// Takes a mapping that was written by hand. One with a mistake is kept as it was typed, beside the one that is read by.
pub(super) async fn correct(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    mut form: Multipart,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let fields = form.fields(LONGEST_MAPPING).await?;
    // A browser sends the lines of a field with both signs.
    let text = fields.get("text").map(|text| text.replace("\r\n", "\n")).unwrap_or_default();
    let drops = fields.contains_key("drop");
    let (for_work, of) = (desk.clone(), sha256.clone());
    let reads = blocking(move || {
        let reads = Mapping::read(&text).is_ok();
        let version = list::seen(&for_work, &of, &fields)?.version;
        let change = |list: &mut KeptList| match (drops, reads) {
            (true, _) => list.typed = None,
            (false, true) => (list.mapping, list.typed, list.tried) = (text, None, None),
            (false, false) => list.typed = Some(text),
        };
        lists(&for_work).change(&of, Some(version), change).map_err(|fault| wrong(&fault))?;
        Ok(reads)
    })
    .await?;
    if !drops && !reads {
        return list::again(&desk, &visitor, sha256, Refused::default()).await;
    }
    enter::try_if_short(&desk, &visitor, &sha256).await?;
    Ok(Redirect::to(&address(&sha256)).into_response())
}

/// Which version of the list somebody saw.
#[derive(Deserialize)]
pub(super) struct Seen {
    version: u64,
}

/// Drops what was decided about the columns and proposes anew.
pub(super) async fn propose(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    Form(seen): Form<Seen>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (for_work, of) = (desk.clone(), sha256.clone());
    desk::read(&desk, move |catalogue| {
        let kept = lists(&for_work).about(&of).map_err(|fault| wrong(&fault))?;
        let sheet = Mapping::read(&kept.mapping).ok().and_then(|m| m.file.sheet);
        let (_, proposal) = list::proposed(&for_work, catalogue, &kept, &Layout { sheet, ..Layout::default() })?;
        let change = |list: &mut KeptList| {
            (list.mapping, list.typed, list.tried) = (proposal.text(&kept.name), None, None);
        };
        lists(&for_work).change(&of, Some(seen.version), change).map_err(|fault| wrong(&fault))
    })
    .await?;
    enter::try_if_short(&desk, &visitor, &sha256).await?;
    Ok(Redirect::to(&address(&sha256)).into_response())
}

/// The mapping as it stands, to be saved beside the list.
pub(super) async fn download(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let kept = blocking(move || lists(&desk).about(&sha256).map_err(|fault| wrong(&fault))).await?;
    let text = kept.typed.unwrap_or(kept.mapping);
    Ok(to_keep_as(&format!("{}.mapping.toml", kept.name), "text/plain; charset=utf-8", text.into_bytes()))
}
