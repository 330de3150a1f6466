//! What can go wrong with a request, each with its status and a sentence that says what to do.

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use crate::catalogue::Fault;
use crate::report::ReportFault;

/// A request that was not done. The door turns it into a page, or into JSON where a script asked.
#[derive(Debug, Clone)]
pub struct Wrong {
    /// The status of the answer.
    pub status: StatusCode,
    /// What happened and what to do, in whole sentences.
    pub says: String,
}

impl Wrong {
    /// With this status and these words.
    pub fn new(status: StatusCode, says: impl Into<String>) -> Self {
        Self { status, says: says.into() }
    }

    /// There is no such page, piece or photograph.
    pub fn not_found(says: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, says)
    }

    /// What was sent cannot be understood or accepted.
    pub fn refused(says: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, says)
    }

    /// The person may not do this.
    pub fn forbidden(says: impl Into<String>) -> Self {
        Self::new(StatusCode::FORBIDDEN, says)
    }

    /// The program is about to end.
    pub fn closing() -> Self {
        Self::new(StatusCode::SERVICE_UNAVAILABLE, "The program is closing. Start it again, then repeat this.")
    }

    /// A fault of the program.
    pub fn broken() -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "The program failed here; nothing was changed by this request. The terminal in which it runs says more.",
        )
    }
}

impl From<Fault> for Wrong {
    fn from(fault: Fault) -> Self {
        let status = match &fault {
            Fault::NoPiece { .. } => StatusCode::NOT_FOUND,
            Fault::Refused(_) | Fault::Asked(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Fault::Io { .. } | Fault::Database(_) => StatusCode::SERVICE_UNAVAILABLE,
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        };
        Self::new(status, sentence(&fault.to_string()))
    }
}

impl From<ReportFault> for Wrong {
    fn from(fault: ReportFault) -> Self {
        let status = match fault {
            ReportFault::Template { .. } => StatusCode::INTERNAL_SERVER_ERROR,
            _ => StatusCode::NOT_FOUND,
        };
        Self::new(status, sentence(&fault.to_string()))
    }
}

/// What a script sent as JSON; what cannot be read is told in these words.
pub(super) fn sent<T>(asked: Result<Json<T>, JsonRejection>, what: &str) -> Result<T, Wrong> {
    asked.map(|Json(asked)| asked).map_err(|e| Wrong::new(e.status(), format!("{what}: {}.", e.body_text())))
}

/// What was written in a field, without the spaces around it; none if that is nothing.
pub(super) fn written(text: &str) -> Option<String> {
    Some(text.trim().to_owned()).filter(|text| !text.is_empty())
}

/// Why something is done, as a form sends it that needs no script.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Why {
    /// The reason, as typed.
    pub reason: String,
}

impl Why {
    /// The reason; nothing is done without one.
    pub fn given(&self) -> Result<String, Wrong> {
        written(&self.reason).ok_or_else(|| Wrong::refused("Say why in a few words. Nothing was changed."))
    }
}

/// What several mistakes say, a sentence each.
pub(super) fn sentences<'a>(mistakes: impl IntoIterator<Item = &'a str>) -> String {
    mistakes.into_iter().map(sentence).collect::<Vec<_>>().join(" ")
}

/// A line of the command line as a sentence.
pub(super) fn sentence(text: &str) -> String {
    let end = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    crate::report::capital(text) + end
}

impl IntoResponse for Wrong {
    fn into_response(self) -> Response {
        let mut response = (self.status, self.says.clone()).into_response();
        response.extensions_mut().insert(self);
        response
    }
}
