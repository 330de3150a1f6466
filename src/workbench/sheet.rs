//! What is printed or taken away: sheets as they print, tables and files to keep.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::sync::Arc;

use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use base64::Engine as _;
use sha2::{Digest, Sha256};

use super::desk::{self, Desk};
use super::fault::Wrong;
use super::frame;
use crate::catalogue::Catalogue;
use crate::exchange::csv;
use crate::report::Settings;

/// A printed page, made on a reader.
pub(super) async fn sheet_of(
    desk: &Arc<Desk>,
    print: impl FnOnce(&Catalogue, &Settings<'_>) -> Result<String, Wrong> + Send + 'static,
) -> Result<Response, Wrong> {
    let for_work = desk.clone();
    let page = desk::read(desk, move |catalogue| {
        frame::with_settings(&for_work, catalogue, None, |settings| print(catalogue, settings))
    })
    .await?;
    Ok(printed(page.into_bytes()))
}

/// A table to take away, as CSV.
pub(super) fn table<H: AsRef<[u8]>>(name: &str, headings: &[H], rows: &[Vec<String>]) -> Result<Response, Wrong> {
    let text = csv(headings, rows).map_err(|_| Wrong::broken())?;
    Ok(to_keep(name, "text/csv; charset=utf-8", text.into_bytes()))
}

/// A file that the browser keeps instead of showing it. The name is ours: letters, digits, points and strokes.
pub(super) fn to_keep(name: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""));
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
        (header::CONTENT_DISPOSITION, disposition.unwrap_or(HeaderValue::from_static("attachment"))),
    ];
    (StatusCode::OK, headers, bytes).into_response()
}

/// The same under a name that comes from a record or a file: what is no letter, figure, point or stroke becomes a stroke.
pub(super) fn to_keep_as(name: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let plain = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_') { c } else { '_' };
    let name: String = name.chars().map(plain).collect();
    to_keep(name.trim_start_matches('.'), kind, bytes)
}

/// A printed page as it is: its own style and script and no other may run, and only a page of ours may frame it.
pub(super) fn printed(page: Vec<u8>) -> Response {
    let policy = {
        let text = String::from_utf8_lossy(&page);
        format!(
            "default-src 'none'; img-src 'self' data:; style-src{}; script-src{}; base-uri 'none'; form-action 'none'; \
             frame-ancestors 'self'",
            sources(" 'unsafe-hashes'", &styles(&text)),
            sources("", &elements(&text, "script")),
        )
    };
    let policy = HeaderValue::from_str(&policy).unwrap_or(HeaderValue::from_static("default-src 'none'"));
    let headers: [(HeaderName, HeaderValue); 3] = [
        (header::CONTENT_TYPE, HeaderValue::from_static("text/html; charset=utf-8")),
        (header::CONTENT_SECURITY_POLICY, policy),
        (header::X_FRAME_OPTIONS, HeaderValue::from_static("SAMEORIGIN")),
    ];
    (StatusCode::OK, headers, page).into_response()
}

/// What stands in elements of a name. Records cannot open such an element: they are escaped.
fn elements<'p>(page: &'p str, element: &str) -> Vec<&'p str> {
    let (open, close) = (format!("<{element}>"), format!("</{element}>"));
    page.split(&open).skip(1).filter_map(|rest| rest.split_once(&close)).map(|(content, _)| content).collect()
}

/// The styles of a page: in elements, and in attributes, which bring figures such as the share of a bar. The quotation marks
/// of records are escaped, so that none of them opens an attribute.
fn styles(page: &str) -> Vec<&str> {
    let mut styles = elements(page, "style");
    let attributes = page.split(" style=\"").skip(1).filter_map(|rest| rest.split_once('"'));
    styles.extend(attributes.map(|(content, _)| content));
    styles
}

/// The hashes of these contents as sources (Content Security Policy 3, 6.7.3.3), or that there are none. Hashes count for
/// attributes only where `unsafe-hashes` stands before them.
fn sources(before: &str, contents: &[&str]) -> String {
    let different: BTreeSet<&str> = contents.iter().copied().collect();
    if different.is_empty() {
        return " 'none'".to_owned();
    }
    different.into_iter().fold(before.to_owned(), |mut text, content| {
        let digest = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(content.as_bytes()));
        let _ = write!(text, " 'sha256-{digest}'");
        text
    })
}
