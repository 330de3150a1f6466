//! What can go wrong with a request, each with its status and a sentence that says what to do.

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

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
            full if full.is_full_disk() => StatusCode::INSUFFICIENT_STORAGE,
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

/// What several mistakes say, a sentence each.
pub(super) fn sentences<'a>(mistakes: impl IntoIterator<Item = &'a str>) -> String {
    mistakes.into_iter().map(sentence).collect::<Vec<_>>().join(" ")
}

/// A line of the command line as a sentence, with the places of the browser where it names a command.
pub(super) fn sentence(text: &str) -> String {
    let text = by_place(text);
    let end = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    crate::report::capital(&text) + end
}

/// Commands that a refusal may send somebody to, and where that is in the browser; the longer of two beginnings first.
/// `serve`, `new` and `demo` stay: they begin the program.
const PLACES: [(&str, &str); 35] = [
    ("find --keys", "How to ask"),
    ("find", "Collection"),
    ("list", "Collection"),
    ("searches", "Kept searches"),
    ("show", "the page of the piece"),
    ("sheet", "Examination sheets"),
    ("enter", "Examination sheets"),
    ("due", "Due"),
    ("intervals", "Due"),
    ("photo add", "Photographs on the page of the piece"),
    ("photo target", "Colour target on the page of the photograph"),
    ("photo colour", "Colour of an area on the page of the photograph"),
    ("photo count", "Threads on the page of the photograph"),
    ("photo scale", "Draw and measure on the page of the photograph"),
    ("photo region", "Draw and measure on the page of the photograph"),
    ("photo correct", "Put right what is said of it on the page of the photograph"),
    ("photo untie", "It shows another piece on the page of the photograph"),
    ("photo", "Photographs on the page of the piece"),
    ("pattern", "Pattern on the page of the photograph"),
    ("report", "Reports on the page of the piece"),
    ("seals", "Sealed reports"),
    ("collection", "Conventions in force"),
    ("conventions", "Conventions in force"),
    ("compare", "Compare"),
    ("departures", "Departures"),
    ("terms", "Words"),
    ("journal", "the journal"),
    ("take-back", "the journal of the piece"),
    ("check", "Check under Safekeeping"),
    ("import", "Old lists under Safekeeping"),
    ("export", "Export under Safekeeping"),
    ("backup", "Back up under Safekeeping"),
    ("restore", "the restore under Safekeeping"),
    ("accounts", "Accounts under Safekeeping"),
    ("withdraw", "Withdraw this piece on its own page"),
];

/// The same text, with places instead of commands.
fn by_place(text: &str) -> String {
    let mut parts = text.split("`dimity ");
    let mut placed = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let command = part.split_once('`');
        let is = |words: &str, name: &str| words.strip_prefix(name).is_some_and(|r| r.is_empty() || r.starts_with(' '));
        let place = command.and_then(|(words, rest)| {
            PLACES.iter().find(|(name, _)| is(words, name)).map(|(_, place)| format!("“{place}”{rest}"))
        });
        placed.push_str(&place.unwrap_or_else(|| format!("`dimity {part}")));
    }
    placed
}

impl IntoResponse for Wrong {
    fn into_response(self) -> Response {
        let mut response = (self.status, self.says.clone()).into_response();
        response.extensions_mut().insert(self);
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_sends_nobody_to_a_command_line() {
        for (text, says) in [
            ("no seal; `dimity seals` lists them", "No seal; “Sealed reports” lists them."),
            ("list them with `dimity terms dimension`, or not", "List them with “Words”, or not."),
            ("`dimity find --keys` names the keys", "“How to ask” names the keys."),
            ("`dimity check` and `dimity show 2031.1`", "“Check under Safekeeping” and “the page of the piece”."),
            ("`dimity serve` begins it", "`dimity serve` begins it."),
            ("a `dimity seals", "A `dimity seals."),
            ("`dimity sealskin`", "`dimity sealskin`."),
            ("", "."),
        ] {
            assert_eq!(sentence(text), says, "{text}");
        }
    }

    #[test]
    fn the_longer_of_two_commands_is_looked_for_first() {
        for (i, (later, _)) in PLACES.iter().enumerate() {
            for (earlier, _) in &PLACES[..i] {
                assert!(!later.starts_with(&format!("{earlier} ")), "`{later}` is never reached behind `{earlier}`");
            }
        }
    }
}
