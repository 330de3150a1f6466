//! The whole import tried and taken back, and entered in one transaction.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};

use super::list::{self, Refused};
use super::{address, lists, reading, wrong};
use crate::catalogue::{Catalogue, Fault, Intent};
use crate::draft::{KeptList, ListFault, TakenIn, Trial};
use crate::record::account::Role;
use crate::safekeeping::Watch;
use crate::words::count;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::form::with_status;
use crate::workbench::safekeeping;
use crate::workbench::sessions::Visitor;
use crate::workbench::works::{Outcome, Work};

/// A list of no more new rows is tried without being asked, and tried and entered while one waits: that takes about a second
/// (1000 rows in 0.5 s on two cores). A longer one is a long work.
const SHORT: usize = 2000;

/// What came of trying, as the page says it.
#[derive(Serialize)]
pub(super) struct Tried {
    /// Whether it was tried as it stands now.
    pub done: bool,
    pub says: String,
    pub refused: String,
}

/// What a trial that went through says.
fn would_enter(trial: &Trial) -> String {
    let (pieces, lines) = (count(trial.pieces, "piece"), count(trial.lines, "line"));
    format!("Tried as a whole, and taken back: {pieces} with {lines} would enter.")
}

/// What is known of a trial, if neither mapping nor catalogue changed since.
pub(super) fn tried(catalogue: &Catalogue, kept: &KeptList) -> Result<Tried, Wrong> {
    let (now, row) = (crate::digest::sha256(kept.mapping.as_bytes()), catalogue.revision()?.row);
    let trial = kept.tried.as_ref().filter(|trial| trial.mapping == now && trial.revision == row);
    Ok(Tried {
        done: trial.is_some(),
        says: trial.filter(|trial| trial.refused.is_none()).map(would_enter).unwrap_or_default(),
        refused: trial.and_then(|trial| trial.refused.clone()).unwrap_or_default(),
    })
}

/// Why a list was neither tried nor entered.
enum NotDone {
    /// Something in the list or in what was asked: said on the page of the list.
    Refused(String),
    /// It was stopped.
    Stopped,
    /// Anything else.
    Wrong(Wrong),
}

impl From<Wrong> for NotDone {
    fn from(wrong: Wrong) -> Self {
        Self::Wrong(wrong)
    }
}

impl From<Fault> for NotDone {
    fn from(fault: Fault) -> Self {
        match fault {
            Fault::Refused(why) => Self::Refused(sentence(&why)),
            Fault::Stopped => Self::Stopped,
            other => Self::Wrong(other.into()),
        }
    }
}

impl From<NotDone> for Wrong {
    fn from(not: NotDone) -> Self {
        match not {
            NotDone::Refused(says) => Self::refused(says),
            NotDone::Stopped => Fault::Stopped.into(),
            NotDone::Wrong(wrong) => wrong,
        }
    }
}

impl NotDone {
    /// As the end of a long work.
    fn outcome(self) -> Outcome {
        match self {
            Self::Refused(says) | Self::Wrong(Wrong { says, .. }) => Outcome::failed(&says),
            Self::Stopped => Outcome::not_done(&Fault::Stopped, "Nothing was changed."),
        }
    }
}

/// A list, and who does something with it.
#[derive(Debug, Clone)]
struct OfList {
    sha256: String,
    author: String,
}

impl OfList {
    fn of(visitor: &Visitor, sha256: &str) -> Result<Self, Wrong> {
        Ok(Self { sha256: sha256.to_owned(), author: visitor.author()?.to_owned() })
    }

    /// How many of its rows are new; none if it cannot be read, which its page tells.
    async fn new_rows(&self, desk: &Arc<Desk>) -> Result<usize, Wrong> {
        let (for_work, list) = (desk.clone(), self.clone());
        desk::read(desk, move |catalogue| {
            let kept = lists(&for_work).about(&list.sha256).map_err(|fault| wrong(&fault))?;
            Ok(reading(&for_work, catalogue, &kept, &list.author).map_or(0, |read| read.new_rows()))
        })
        .await
    }

    /// Tries the whole import, takes it back and keeps what came of it.
    fn attempt(&self, desk: &Desk, catalogue: &mut Catalogue, watch: &dyn Watch) -> Result<Trial, NotDone> {
        let kept = lists(desk).about(&self.sha256).map_err(|fault| wrong(&fault))?;
        let read = reading(desk, catalogue, &kept, &self.author)?;
        let intent =
            Intent { author: self.author.clone(), reason: Some(read.reason()), dry_run: true, ..Intent::default() };
        let mut trial = Trial {
            mapping: crate::digest::sha256(kept.mapping.as_bytes()),
            revision: catalogue.revision()?.row,
            ..Trial::default()
        };
        match read.enter(catalogue, false, &intent, watch).map_err(NotDone::from) {
            Ok(imported) => (trial.pieces, trial.lines) = (imported.pieces, imported.lines),
            Err(NotDone::Refused(why)) => trial.refused = Some(why),
            Err(other) => return Err(other),
        }
        // Whoever changed the mapping meanwhile is not told of this trial: it names the mapping that was tried.
        lists(desk).tried(&self.sha256, trial.clone()).map_err(|fault| wrong(&fault))?;
        Ok(trial)
    }

    /// Enters what is new, all of it or nothing.
    fn enter(
        &self,
        desk: &Desk,
        catalogue: &mut Catalogue,
        asked: &Asked,
        watch: &dyn Watch,
    ) -> Result<TakenIn, NotDone> {
        let kept = lists(desk).about(&self.sha256).map_err(|fault| wrong(&fault))?;
        if kept.version != asked.version {
            return Err(wrong(&ListFault::Meanwhile).into());
        }
        if kept.typed.is_some() {
            let says = "The mapping that was typed cannot be read. Correct it, or drop it; nothing was entered.";
            return Err(NotDone::Refused(says.into()));
        }
        let read = reading(desk, catalogue, &kept, &self.author)?;
        let intent = Intent { author: self.author.clone(), reason: Some(asked.reason.clone()), ..Intent::default() };
        let imported = read.enter(catalogue, asked.keep_changed.is_some(), &intent, watch)?;
        let entered = TakenIn {
            at: desk.clock.now().to_string(),
            by: self.author.clone(),
            pieces: imported.pieces,
            lines: imported.lines,
            kept: imported.later,
        };
        if entered.pieces + entered.kept > 0 {
            let note = |list: &mut KeptList| {
                list.entered.push(entered.clone());
                list.tried = None;
            };
            lists(desk).change(&self.sha256, None, note).map_err(|fault| wrong(&fault))?;
        }
        Ok(entered)
    }

    /// What comes after it, as the page of a long work says it.
    fn whence(&self, outcome: Outcome, to_do: bool) -> Outcome {
        let address = address(&self.sha256);
        let to_do = to_do.then(|| ("What is to be worked down".into(), format!("{address}/to-do")));
        let next = to_do.into_iter().chain([("The list".into(), address), ("The collection".into(), "/".into())]);
        Outcome { next: next.collect(), ..outcome }
    }
}

/// Tries a list that is short, where it is known who does it.
pub(super) async fn try_if_short(desk: &Arc<Desk>, visitor: &Visitor, sha256: &str) -> Result<(), Wrong> {
    let Ok(list) = OfList::of(visitor, sha256) else { return Ok(()) };
    if (1..=SHORT).contains(&list.new_rows(desk).await?) { try_now(desk, list).await } else { Ok(()) }
}

async fn try_now(desk: &Arc<Desk>, list: OfList) -> Result<(), Wrong> {
    let for_work = desk.clone();
    desk::write(desk, move |catalogue| Ok(list.attempt(&for_work, catalogue, &()).map(|_| ())?)).await
}

/// Tries the whole import and takes it back: a long list as a long work.
pub(super) async fn attempt(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let list = OfList::of(&visitor, &sha256)?;
    if list.new_rows(&desk).await? <= SHORT {
        try_now(&desk, list).await?;
        return Ok(Redirect::to(&format!("{}#enter", address(&sha256))).into_response());
    }
    let for_work = desk.clone();
    let work = move |catalogue: &mut Catalogue, work: &Work| {
        let outcome = match list.attempt(&for_work, catalogue, work) {
            Ok(Trial { refused: Some(why), .. }) => {
                Outcome::failed(&format!("Tried as a whole, and taken back. {why}"))
            }
            Ok(trial) => Outcome::done(&[would_enter(&trial) + " Nothing was changed."], Vec::new()),
            Err(not) => not.outcome(),
        };
        list.whence(outcome, false)
    };
    as_work(&desk, &visitor, sha256, "Old list tried", Refused::default(), work).await
}

/// Begins it as a long work, or says on the page of the list what is in its way.
async fn as_work(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    sha256: String,
    title: &str,
    typed: Refused,
    work: impl FnOnce(&mut Catalogue, &Work) -> Outcome + Send + 'static,
) -> Result<Response, Wrong> {
    match safekeeping::begun(desk, visitor, title, &address(&sha256), work) {
        Ok(response) => Ok(response),
        Err((status, beside)) => {
            let refused = Refused { beside, ..typed };
            Ok(with_status(list::show(desk, visitor, sha256, refused).await?, status))
        }
    }
}

/// What somebody enters.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct Asked {
    pub version: u64,
    pub reason: String,
    /// The new wording of rows that changed is kept as well.
    pub keep_changed: Option<String>,
}

/// Enters what is new, all of it or nothing.
pub(super) async fn enter(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(sha256): Path<String>,
    Form(asked): Form<Asked>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let list = OfList::of(&visitor, &sha256)?;
    let typed = Refused { enter: Some(asked.clone()), ..Refused::default() };
    if asked.reason.trim().is_empty() {
        let says = "Say why in a few words: the journal keeps it with every piece. Nothing was entered.".into();
        return list::again(&desk, &visitor, sha256, Refused { says, ..typed }).await;
    }
    let for_work = desk.clone();
    if list.new_rows(&desk).await? > SHORT {
        let work = move |catalogue: &mut Catalogue, work: &Work| match list.enter(&for_work, catalogue, &asked, work) {
            Ok(done) => list.whence(Outcome::done(&[list::entered(&done)], Vec::new()), true),
            Err(not) => list.whence(not.outcome(), false),
        };
        return as_work(&desk, &visitor, sha256, "Old list entered", typed, work).await;
    }
    let done = desk::write(&desk, move |catalogue| match list.enter(&for_work, catalogue, &asked, &()) {
        Ok(_) => Ok(Ok(())),
        Err(NotDone::Refused(says)) => Ok(Err(says)),
        Err(other) => Err(other.into()),
    })
    .await?;
    match done {
        Ok(()) => Ok(Redirect::to(&address(&sha256)).into_response()),
        Err(says) => list::again(&desk, &visitor, sha256, Refused { says, ..typed }).await,
    }
}
