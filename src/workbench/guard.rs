//! What every request and every answer must be, whatever the page: who it was meant for, where it comes from, how large.
//!
//! A browser sends requests on behalf of any page that it shows. Four things keep foreign pages out: the name in `Host`
//! must be ours (a foreign name that was made to point here is not), `Origin` must be ours for whatever writes, what a
//! foreign page embeds is refused, and a writing request brings a token that only our own pages hold (`door.rs`).

use std::net::IpAddr;
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::uri::Authority;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::desk::Desk;

/// No script or style but our own files; nothing from elsewhere; no frame around us.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Lets a request in, and puts on every answer the headers that browsers keep to.
pub(super) async fn check(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    let mut response = match stranger(&desk, &request) {
        Some((status, says)) => (status, says).into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    let mut unless_set = |name: HeaderName, value: &'static str| {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    };
    unless_set(header::CONTENT_SECURITY_POLICY, POLICY);
    unless_set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    unless_set(header::X_FRAME_OPTIONS, "DENY");
    // Not `no-referrer`: with it browsers send forms from an origin `null`.
    unless_set(header::REFERRER_POLICY, "same-origin");
    unless_set(header::CACHE_CONTROL, "private, no-cache");
    unless_set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    unless_set(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    unless_set(
        HeaderName::from_static("permissions-policy"),
        "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    );
    response
}

/// Why a request is not for us, if it is not.
fn stranger(desk: &Desk, request: &Request) -> Option<(StatusCode, &'static str)> {
    let headers = request.headers();
    let Some(host) = one(headers, &header::HOST).and_then(|h| h.parse::<Authority>().ok()) else {
        return Some((StatusCode::BAD_REQUEST, "The request does not say in one word which host it is for.\n"));
    };
    let in_address = request.uri().authority();
    if !is_ours(desk, &host) || in_address.is_some_and(|a| a != &host) {
        return Some((
            StatusCode::MISDIRECTED_REQUEST,
            "This catalogue is not known by this name. Use the address that the terminal shows.\n",
        ));
    }
    let site = headers.get("sec-fetch-site").and_then(|v| v.to_str().ok());
    let is_ours = matches!(site, Some("same-origin" | "none"));
    if is_safe(request.method()) {
        let to_read = headers.get("sec-fetch-mode").is_some_and(|mode| mode == "navigate")
            && headers.get("sec-fetch-dest").is_some_and(|dest| dest == "document");
        return (site.is_some() && !is_ours && !to_read)
            .then_some((StatusCode::FORBIDDEN, "Pages of other sites cannot use this catalogue.\n"));
    }
    let from_us = match headers.get(header::ORIGIN) {
        Some(_) => one(headers, &header::ORIGIN).is_some_and(|origin| origin == expected_origin(desk, &host)),
        None => site == Some("same-origin"),
    };
    (!from_us).then_some((StatusCode::FORBIDDEN, "Only its own pages can write to this catalogue.\n"))
}

/// Whether a method only reads.
pub(super) fn is_safe(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS)
}

/// The value of a header that is there once.
fn one<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Option<&'h str> {
    let mut values = headers.get_all(name).iter();
    let first = values.next()?.to_str().ok()?;
    values.next().is_none().then_some(first)
}

/// Whether a name is one of ours. A number of the internet cannot be made to point elsewhere, so beyond loopback any will
/// do; a name must be the one that the command line gave.
fn is_ours(desk: &Desk, host: &Authority) -> bool {
    let given = desk.address.as_deref().and_then(|a| a.split_once("://")).map(|(_, rest)| rest.trim_end_matches('/'));
    if given.is_some_and(|given| host.as_str().eq_ignore_ascii_case(given)) {
        return true;
    }
    if host.port_u16().unwrap_or(80) != desk.listen.port() || host.as_str().contains('@') {
        return false;
    }
    let name = host.host();
    let number: Option<IpAddr> = name.trim_start_matches('[').trim_end_matches(']').parse().ok();
    match number {
        Some(number) => number.is_loopback() || !desk.listen.ip().is_loopback(),
        None => desk.listen.ip().is_loopback() && name.eq_ignore_ascii_case("localhost"),
    }
}

/// The origin that pages got from this host have.
fn expected_origin(desk: &Desk, host: &Authority) -> String {
    let given = desk.address.as_deref().map(|a| a.trim_end_matches('/'));
    match given {
        Some(given) if given.ends_with(&format!("://{host}")) => given.to_ascii_lowercase(),
        _ => format!("http://{host}"),
    }
}
