//! Who a request comes from, and whether it may write: the cookie, the token, the role.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use super::desk::{self, Desk};
use super::fault::Wrong;
use super::multipart::{Multipart, Sent, boundary};
use super::sessions::{Secret, Visitor};
use super::{frame, guard};
use crate::measure::System;
use crate::record::account::Role;

/// The cookie that says in which system somebody reads lengths first: `metric` or `inches`.
const UNITS: &str = "dimity-units";
/// The header in which our scripts bring the token.
pub(super) const TOKEN: &str = "x-dimity-token";
/// A form of a page is never longer.
const LONGEST_FORM: usize = 64 * 1024;
/// Longer than any token.
const LONGEST_TOKEN: usize = 200;
/// An account that was removed or changed is noticed after so long by whoever only reads; by whoever writes, at once.
const ASK_AGAIN: Duration = Duration::from_secs(10);

/// The cookie of a request, once the door has seen it.
#[derive(Debug, Clone)]
pub(super) struct Cookie(pub String);

/// Lets those in who are known, and writes only with a token. Answers that went wrong become pages or JSON here.
pub(super) async fn ask(State(desk): State<Arc<Desk>>, mut request: Request, next: Next) -> Response {
    let wants_page = wants_page(request.headers());
    let path = request.uri().path_and_query().map_or_else(String::new, ToString::to_string);
    let is_open = ["/enter", "/sign-in"].contains(&request.uri().path()) || path.starts_with("/assets/");
    let cookie = cookie_of(request.headers(), &cookie_name(&desk));
    let writes = !guard::is_safe(request.method());
    let units = cookie_of(request.headers(), UNITS).and_then(|word| System::named(&word));
    let visitor = match &cookie {
        Some(cookie) => known(&desk, cookie, writes).await.map(|visitor| Visitor { units, ..visitor }),
        None => None,
    };
    if let (Some(visitor), Some(cookie)) = (&visitor, cookie) {
        request.extensions_mut().insert(visitor.clone());
        request.extensions_mut().insert(Cookie(cookie));
    } else if !is_open {
        return outside(&desk, &request, wants_page);
    }
    let answer = match &visitor {
        // Signing in needs no token: there is no session yet, and the guard has seen that the form is ours.
        Some(visitor) if writes && path_needs_token(request.uri().path()) => {
            // Who sends the token a byte at a time holds nothing up for longer than an answer may take.
            match tokio::time::timeout(desk.patience.answer, with_token(request, visitor)).await {
                Ok(Ok(request)) => next.run(request).await,
                Ok(Err(Barred::Wrong(wrong))) => wrong.into_response(),
                Ok(Err(Barred::Old(form))) if wants_page => frame::once_more(&desk, visitor, &path, &form),
                Ok(Err(Barred::Old(_))) => no_token().into_response(),
                Err(_) => Wrong::new(StatusCode::REQUEST_TIMEOUT, "What was sent came too slowly. Send it again.")
                    .into_response(),
            }
        }
        _ => next.run(request).await,
    };
    match answer.extensions().get::<Wrong>() {
        Some(wrong) if wants_page => frame::wrong_page(&desk, visitor.as_ref(), wrong),
        Some(wrong) => json_wrong(wrong),
        None => answer,
    }
}

fn path_needs_token(path: &str) -> bool {
    path != "/sign-in"
}

/// Who has this cookie; an account that was removed meanwhile has none.
async fn known(desk: &Arc<Desk>, cookie: &str, writes: bool) -> Option<Visitor> {
    let visitor = desk.sessions.visitor(cookie)?;
    if !desk.has_accounts() || !(writes | desk.sessions.is_to_be_asked(cookie, ASK_AGAIN)) {
        return Some(visitor);
    }
    let name = visitor.name.clone().unwrap_or_default();
    match desk::read(desk, move |catalogue| Ok(catalogue.account(&name)?)).await {
        Ok(Some(account)) => desk.sessions.set(cookie, Some(account.name), account.role),
        Ok(None) => desk.sessions.end(cookie),
        // The catalogue cannot be asked: whoever wants to write is told so by the page itself.
        Err(_) => {}
    }
    desk.sessions.visitor(cookie)
}

/// What someone sees whom the door does not know. A script waits until this browser is known again (`known.js`).
fn outside(desk: &Desk, request: &Request, wants_page: bool) -> Response {
    if wants_page && desk.has_accounts() && guard::is_safe(request.method()) {
        let to = request.uri().path_and_query().map_or("/", |p| p.as_str());
        return Redirect::to(&format!("/sign-in?to={}", crate::report::link_part(to))).into_response();
    }
    let why = if desk.has_accounts() {
        "You are not signed in: the program was started again, or you were away too long. Sign in in another window"
    } else {
        "The program was started again, or this browser did not come by its link. Open the link that is shown now in the \
         terminal in which `dimity serve` runs, in another window of this browser"
    };
    if !wants_page {
        let says = format!("{why}; this one then goes on by itself, and what you typed is still here.");
        let way = desk.has_accounts().then_some("/sign-in");
        let told = serde_json::json!({ "wrong": says, "sign_in": way });
        return (StatusCode::UNAUTHORIZED, axum::Json(told)).into_response();
    }
    let then = if guard::is_safe(request.method()) {
        ". It keeps out other people and programs of this machine."
    } else {
        "; then load this page again, and what you filled in is sent once more."
    };
    frame::wrong_page(desk, None, &Wrong::new(StatusCode::UNAUTHORIZED, format!("{why}{then}")))
}

fn json_wrong(wrong: &Wrong) -> Response {
    (wrong.status, axum::Json(serde_json::json!({ "wrong": wrong.says }))).into_response()
}

/// Whether a person is to read the answer, not a script.
fn wants_page(headers: &HeaderMap) -> bool {
    let script = headers.get("sec-fetch-mode").is_some_and(|mode| mode != "navigate");
    let accepts = headers.get(header::ACCEPT).and_then(|v| v.to_str().ok()).unwrap_or_default();
    !script && accepts.contains("text/html")
}

fn no_token() -> Wrong {
    Wrong::forbidden(
        "This page was opened before you last signed in or before the program was started again. Open it anew in another \
         window and repeat the entry there; what you typed is still here.",
    )
}

/// Why a writing request goes no further.
enum Barred {
    Wrong(Wrong),
    /// A form without the token of this browser, with its fields: the page that it stood on is of another run.
    Old(Vec<(String, String)>),
}

impl From<Wrong> for Barred {
    fn from(wrong: Wrong) -> Self {
        Self::Wrong(wrong)
    }
}

/// A writing request, if it brings the token of its browser: in a header, or in the field `token` of a form.
async fn with_token(request: Request, visitor: &Visitor) -> Result<Request, Barred> {
    if let Some(token) = request.headers().get(TOKEN) {
        let is_ours = token.to_str().is_ok_and(|t| visitor.token.is(t));
        return if is_ours { Ok(request) } else { Err(no_token().into()) };
    }
    if let Some(boundary) = boundary(request.headers()) {
        return Ok(with_files(&boundary, request, visitor).await?);
    }
    let is_form = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok());
    if !is_form.is_some_and(|kind| kind.starts_with("application/x-www-form-urlencoded")) {
        return Err(no_token().into());
    }
    let (parts, body) = request.into_parts();
    let form: Bytes = to_bytes(body, LONGEST_FORM)
        .await
        .map_err(|_| Wrong::new(StatusCode::PAYLOAD_TOO_LARGE, "The form is too large, or broke off on its way."))?;
    let mut fields: Vec<(String, String)> = form_urlencoded::parse(&form).into_owned().collect();
    if !fields.iter().find(|(name, _)| name == "token").is_some_and(|(_, token)| visitor.token.is(token)) {
        fields.retain(|(name, _)| name != "token");
        return Err(Barred::Old(fields));
    }
    Ok(Request::from_parts(parts, Body::from(form)))
}

/// A form with files, if its first field is the token: the rest comes as it is read, and goes on as [`Multipart`].
async fn with_files(boundary: &str, request: Request, visitor: &Visitor) -> Result<Request, Wrong> {
    let (mut parts, body) = request.into_parts();
    let mut form = Multipart::of(boundary, body);
    // What cannot be read brings no token.
    let first = form.next().await.ok().flatten();
    if first.is_none_or(|head| head.name != "token") || !visitor.token.is(&form.text(LONGEST_TOKEN).await?) {
        return Err(no_token());
    }
    parts.extensions.insert(Sent::new(form));
    Ok(Request::from_parts(parts, Body::empty()))
}

/// `__Host-` binds the cookie to this host and to TLS; browsers refuse it without. Cookies are shared by all ports of a
/// machine, so that without TLS the name says the port: who opens a second catalogue beside the first stays in both.
fn cookie_name(desk: &Desk) -> String {
    if is_secure(desk) { "__Host-dimity".to_owned() } else { format!("dimity-{}", desk.listen.port()) }
}

fn is_secure(desk: &Desk) -> bool {
    desk.address.as_deref().is_some_and(|a| a.starts_with("https://"))
}

fn cookie_of(headers: &HeaderMap, name: &str) -> Option<String> {
    let lines = headers.get_all(header::COOKIE).iter().filter_map(|v| v.to_str().ok());
    let mut pairs = lines.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.find(|(n, _)| *n == name).map(|(_, value)| value.to_owned())
}

/// The cookie of a new session, or with nothing the end of one.
pub(super) fn set_cookie(desk: &Desk, secret: Option<&Secret>) -> HeaderValue {
    let secure = if is_secure(desk) { "; Secure" } else { "" };
    let (value, age) = secret.map_or(("", "; Max-Age=0"), |s| (s.as_str(), ""));
    let text = format!("{}={value}; Path=/; HttpOnly; SameSite=Strict{secure}{age}", cookie_name(desk));
    // The text is ours and plain.
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static(""))
}

/// The cookie that keeps in which system somebody reads lengths first, for a year.
pub(super) fn set_units(desk: &Desk, units: System) -> HeaderValue {
    let secure = if is_secure(desk) { "; Secure" } else { "" };
    let text =
        format!("{UNITS}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age={}{secure}", units.word(), 365 * 24 * 60 * 60);
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static(""))
}

impl Visitor {
    /// Refuses whoever may not do this.
    pub(super) fn may(&self, role: Role) -> Result<(), Wrong> {
        if self.role >= role {
            return Ok(());
        }
        let what = match role {
            Role::Read => "read",
            Role::Examine => "enter or correct anything",
            Role::Keep => "do this: it is for those who keep the collection",
        };
        Err(Wrong::forbidden(format!(
            "Your account may not {what}. Whoever keeps the collection can change that under `Safekeeping`, `Accounts`."
        )))
    }

    /// The name for the journal.
    pub(super) fn author(&self) -> Result<&str, Wrong> {
        let unnamed = || {
            Wrong::new(
                StatusCode::PRECONDITION_REQUIRED,
                "Say first who you are, at the top of the page under `your name`: the journal keeps it with what you enter.",
            )
        };
        self.name.as_deref().filter(|name| !name.trim().is_empty()).ok_or_else(unnamed)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Visitor {
    type Rejection = Wrong;
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Wrong> {
        let nobody = || Wrong::new(StatusCode::UNAUTHORIZED, "Nobody is signed in at this browser.");
        parts.extensions.get::<Self>().cloned().ok_or_else(nobody)
    }
}

/// Who is there, if anybody.
pub(super) struct Perhaps(pub Option<(Visitor, Cookie)>);

impl<S: Send + Sync> FromRequestParts<S> for Perhaps {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        let (visitor, cookie) = (parts.extensions.get::<Visitor>(), parts.extensions.get::<Cookie>());
        Ok(Self(visitor.cloned().zip(cookie.cloned())))
    }
}
