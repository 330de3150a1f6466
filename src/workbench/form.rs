//! A form as a page shows it: fields with what was typed, and what is wrong beside each.

use std::collections::HashMap;
use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::Response;
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::{Wrong, sentence, written};
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Fault};

/// A form of plain fields; `asked_form` in `parts.html` lays it out.
#[derive(Debug, Default, Serialize)]
pub(super) struct Form {
    /// Where it is sent.
    to: String,
    fields: Vec<Field>,
    /// What the button says.
    go: &'static str,
    /// What is to be known before.
    says: String,
    /// What is wrong with the whole of it.
    amiss: String,
    /// Whether it is shown again, since something is wrong.
    open: bool,
}

/// One field.
#[derive(Debug, Default, Serialize)]
pub(super) struct Field {
    name: &'static str,
    label: String,
    value: String,
    hint: String,
    amiss: String,
    /// `text`, `date`, `password`, `number`, `area`, `hidden`; `choice` has its choices.
    kind: &'static str,
    choices: Vec<(String, String)>,
    required: bool,
}

/// What was typed, field by field.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(from = "HashMap<String, String>")]
pub(super) struct Typed(HashMap<String, String>);

/// A browser sends the lines of a field with two signs at their ends; a record has one.
impl From<HashMap<String, String>> for Typed {
    fn from(sent: HashMap<String, String>) -> Self {
        Self(sent.into_iter().map(|(name, text)| (name, text.replace("\r\n", "\n"))).collect())
    }
}

/// What is wrong, and beside which field it is said; a blank name is the whole form.
#[derive(Debug, Clone)]
pub(super) struct Amiss {
    pub field: &'static str,
    pub says: String,
}

/// What was sent of a form and what is wrong with it; none where nothing was.
pub(super) type Sent = Option<(Typed, Amiss)>;

/// The hidden field of a form that settles something: the state of what it settles when its page was made.
const STOOD: &str = "stood";

impl Amiss {
    /// What a form settles was settled otherwise since its page was made.
    pub fn meanwhile() -> Self {
        let says = "This was changed by someone else meanwhile: beside each field stands what holds now. Nothing of yours was \
                    entered; send it again to put it in its place.";
        Self { field: STOOD, says: says.into() }
    }

    /// The status of the page on which it is said.
    pub fn status(&self) -> StatusCode {
        if self.field == STOOD { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY }
    }

    /// Beside this field.
    pub fn at(field: &'static str, says: impl AsRef<str>) -> Self {
        Self { field, says: sentence(says.as_ref()) }
    }
}

impl Typed {
    /// What stands in a field, without the spaces around it.
    pub fn get(&self, name: &str) -> &str {
        self.0.get(name).map(|text| text.trim()).unwrap_or_default()
    }

    /// The same, if it is anything.
    pub fn some(&self, name: &str) -> Option<String> {
        written(self.get(name))
    }

    /// Whether the form that was sent has this field at all.
    pub fn has(&self, name: &str) -> bool {
        self.0.contains_key(name)
    }

    /// The state of what this says.
    fn state(&self) -> String {
        state_of(self.0.iter().map(|(name, value)| (name.as_str(), value.as_str())))
    }

    /// What stands in a field, to the last space: a password.
    pub fn exactly(&self, name: &str) -> &str {
        self.0.get(name).map(String::as_str).unwrap_or_default()
    }
}

/// A state by what each of its parts says: another text where one of them says something else.
pub(super) fn state_of<'t>(parts: impl IntoIterator<Item = (&'t str, &'t str)>) -> String {
    let mut parts: Vec<_> = parts.into_iter().collect();
    parts.sort_unstable();
    let text: Vec<String> = parts.iter().map(|(name, value)| format!("{name}\0{value}\0")).collect();
    crate::digest::sha256(text.concat().as_bytes())
}

impl FromIterator<(&'static str, String)> for Typed {
    fn from_iter<I: IntoIterator<Item = (&'static str, String)>>(values: I) -> Self {
        Self(values.into_iter().map(|(name, value)| (name.to_owned(), value)).collect())
    }
}

impl Field {
    /// A line of text.
    pub fn text(name: &'static str, label: impl Into<String>) -> Self {
        Self { name, label: label.into(), kind: "text", ..Self::default() }
    }

    /// A field of another kind: `date`, `password`, `number`, `area`, `hidden`.
    pub fn of(kind: &'static str, name: &'static str, label: impl Into<String>) -> Self {
        Self { kind, ..Self::text(name, label) }
    }

    /// One of these: what is sent, and what is read.
    pub fn choice<V: Into<String>, L: Into<String>>(
        name: &'static str,
        label: impl Into<String>,
        choices: impl IntoIterator<Item = (V, L)>,
    ) -> Self {
        let choices = choices.into_iter().map(|(value, label)| (value.into(), label.into())).collect();
        Self { choices, ..Self::of("choice", name, label) }
    }

    /// Why something is decided.
    pub fn why() -> Self {
        Self::text("reason", "Why").hint("the journal keeps it")
    }

    /// With a line that says how it is filled in.
    pub fn hint(self, hint: impl Into<String>) -> Self {
        Self { hint: hint.into(), ..self }
    }

    /// With a value that stands whatever was typed.
    pub fn holding(self, value: impl Into<String>) -> Self {
        Self { value: value.into(), ..self }
    }

    /// That must not be left blank.
    pub fn required(self) -> Self {
        Self { required: true, ..self }
    }
}

impl Form {
    /// A form with what was typed in it. A password is never shown again.
    pub fn new(to: impl Into<String>, go: &'static str, fields: Vec<Field>, typed: &Typed) -> Self {
        let filled = |field: Field| match field.kind {
            "password" => field,
            _ if !field.value.is_empty() => field,
            _ => Field { value: typed.get(field.name).to_owned(), ..field },
        };
        Self { to: to.into(), go, fields: fields.into_iter().map(filled).collect(), ..Self::default() }
    }

    /// The form as it was sent, with what is wrong; where nothing was sent, with what stands now.
    pub fn sent(
        to: impl Into<String>,
        go: &'static str,
        fields: Vec<Field>,
        sent: Sent,
        stands: impl FnOnce() -> Typed,
    ) -> Self {
        let (typed, amiss) = sent.map_or_else(|| (stands(), None), |(typed, amiss)| (typed, Some(amiss)));
        Self::new(to, go, fields, &typed).amiss(amiss.as_ref())
    }

    /// A form that settles something for everybody, and says what stood when its page was made, so that [`settle`] finds out
    /// whether that still stands. Shown again because it does not, it says beside each field what stands there now.
    pub fn settling(to: impl Into<String>, go: &'static str, fields: Vec<Field>, sent: Sent, stands: Typed) -> Self {
        let seen = sent.as_ref().filter(|(_, amiss)| amiss.field != STOOD).and_then(|(typed, _)| typed.some(STOOD));
        let typed = sent.as_ref().filter(|(_, amiss)| amiss.field == STOOD).map(|(typed, _)| typed);
        let beside = |field: Field| match (typed, stands.0.get(field.name)) {
            (Some(typed), Some(now)) if typed.get(field.name) != now.trim() => {
                let label = field.choices.iter().find(|(value, _)| value == now).map(|(_, label)| label);
                let now = if now.trim().is_empty() { "nothing" } else { label.unwrap_or(now) };
                Field { amiss: format!("Now: {now}"), ..field }
            }
            _ => field,
        };
        let mut fields: Vec<Field> = fields.into_iter().map(beside).collect();
        fields.push(Field::of("hidden", STOOD, "").holding(seen.unwrap_or_else(|| stands.state())));
        Self::sent(to, go, fields, sent, || stands)
    }

    /// With what is to be known before it is sent.
    pub fn says(self, says: impl Into<String>) -> Self {
        Self { says: says.into(), ..self }
    }

    /// With what is wrong, beside its field.
    pub fn amiss(mut self, amiss: Option<&Amiss>) -> Self {
        if let Some(Amiss { field, says }) = amiss {
            self.open = true;
            match self.fields.iter_mut().find(|f| f.name == *field && f.kind != "hidden") {
                Some(field) => field.amiss.clone_from(says),
                None => self.amiss.clone_from(says),
            }
        }
        self
    }
}

/// Why something is done, as a small form sends it that asks for nothing else.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Why {
    /// The reason, as typed.
    pub reason: String,
}

/// Which small form of a page asks again for its reason, with what was typed in it; blank where none does.
#[derive(Debug, Clone, Default, Serialize)]
pub(super) struct Retry {
    /// Where that form is sent.
    to: String,
    reason: String,
    amiss: String,
}

impl Retry {
    /// The form that is sent there, as it was.
    pub fn of(to: String, reason: &str, amiss: Amiss) -> Self {
        Self { to, reason: reason.trim().to_owned(), amiss: amiss.says }
    }
}

/// Who writes, or that this must be said first.
pub(super) fn who(visitor: &Visitor) -> Result<String, Amiss> {
    let nameless = "Say first who you are: the journal keeps it with what you enter. Open `your name` at the top of the page in \
                    another window, then send this again; what you typed is still here.";
    visitor.author().map(str::to_owned).map_err(|_| Amiss { field: "", says: nameless.into() })
}

/// Who does something, and why; nothing is done without either.
pub(super) fn who_and_why(visitor: &Visitor, reason: &str) -> Result<(String, String), Amiss> {
    let author = who(visitor)?;
    let reason = written(reason);
    Ok((author, reason.ok_or_else(|| Amiss::at("reason", "Say why in a few words. Nothing was changed."))?))
}

/// What the catalogue refuses, beside the field where it is; what fails otherwise is no matter of the form.
pub(super) fn beside<T>(field: &'static str, done: Result<T, Fault>) -> Result<Result<T, Amiss>, Wrong> {
    match done {
        Ok(done) => Ok(Ok(done)),
        Err(Fault::Refused(why)) => Ok(Err(Amiss::at(field, why))),
        Err(Fault::Asked(mistake)) => Ok(Err(Amiss::at(field, mistake.sentence()))),
        Err(other) => Err(other.into()),
    }
}

/// Does what a form asks for, if it could be read: what came of it, or what is amiss. What the catalogue refuses is said
/// beside this field.
pub(super) async fn put<T: Send + 'static>(
    desk: &Arc<Desk>,
    field: &'static str,
    work: Result<impl FnOnce(&mut Catalogue) -> Result<T, Fault> + Send + 'static, Amiss>,
) -> Result<Result<T, Amiss>, Wrong> {
    match work {
        Ok(work) => desk::write(desk, move |catalogue| beside(field, work(catalogue))).await,
        Err(amiss) => Ok(Err(amiss)),
    }
}

/// Does what a small form asks for that gives no more than a reason; without who and why nothing is done. What is amiss is said
/// beside the reason.
pub(super) async fn put_with_reason<T: Send + 'static>(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    reason: &str,
    work: impl FnOnce(&mut Catalogue, &str, &str) -> Result<T, Fault> + Send + 'static,
) -> Result<Result<T, Amiss>, Wrong> {
    let who_and_why = who_and_why(visitor, reason);
    let work = who_and_why.map(|(author, reason)| move |catalogue: &mut Catalogue| work(catalogue, &author, &reason));
    put(desk, "reason", work).await
}

/// Does what a form made by [`Form::settling`] asks for, unless something else stands by now than when its page was made, or the
/// form does not say what stood then. Where nothing stands any more that it could settle, the work itself says so.
pub(super) async fn settle<T: Send + 'static>(
    desk: &Arc<Desk>,
    field: &'static str,
    typed: &Typed,
    stands: impl FnOnce(&Catalogue) -> Result<Option<Typed>, Fault> + Send + 'static,
    work: Result<impl FnOnce(&mut Catalogue) -> Result<T, Fault> + Send + 'static, Amiss>,
) -> Result<Result<T, Amiss>, Wrong> {
    let seen = typed.some(STOOD);
    match work {
        Ok(work) => {
            let settled = move |catalogue: &mut Catalogue| match stands(catalogue)? {
                Some(now) if seen != Some(now.state()) => Ok(Err(Amiss::meanwhile())),
                _ => beside(field, work(catalogue)),
            };
            desk::write(desk, settled).await
        }
        Err(amiss) => Ok(Err(amiss)),
    }
}

/// The page again, since what was sent could not be taken.
pub(super) fn again(page: Response) -> Response {
    with_status(page, StatusCode::UNPROCESSABLE_ENTITY)
}

/// A page under another status than that of what was found.
pub(super) fn with_status(mut page: Response, status: StatusCode) -> Response {
    *page.status_mut() = status;
    page
}
