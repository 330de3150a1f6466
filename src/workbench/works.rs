//! Long works: begun by a request, done on a thread of their own with a connection of their own, one at a time, and looked at
//! on a page of their own. A browser that goes away does not end them; they end at their end, when somebody stops them, or
//! with the program.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use jiff::Timestamp;
use serde::Serialize;

use super::desk::Desk;
use super::fault::{Wrong, sentence};
use crate::catalogue::{Catalogue, Fault, Finding};
use crate::safekeeping::Watch;

/// So many are kept to be looked at; the oldest goes first.
const KEPT: usize = 20;
/// How long is left is told when so much of a part is behind: earlier it would be a guess.
const TELLING: Duration = Duration::from_secs(4);

/// The long works of a workbench since it was opened, the newest first.
#[derive(Default)]
pub(super) struct Works(Mutex<All>);

#[derive(Default)]
struct All {
    works: VecDeque<Arc<Work>>,
    closed: bool,
}

/// A long work.
pub(super) struct Work {
    /// Its name in addresses.
    pub id: String,
    /// What it does: `Check of the catalogue`.
    pub title: String,
    /// Who began it.
    pub by: String,
    /// When.
    pub began: Timestamp,
    /// Where one of this kind is begun.
    pub from: String,
    stopping: AtomicBool,
    state: Mutex<State>,
    ended: Condvar,
}

#[derive(Default)]
struct State {
    part: Option<Part>,
    outcome: Option<Outcome>,
}

struct Part {
    what: String,
    of: u64,
    done: u64,
    began: Instant,
}

/// How far a part of a work has come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Progress {
    /// `photographs`.
    pub what: String,
    /// All of them.
    pub of: u64,
    /// Those behind.
    pub done: u64,
    /// `about 3 minutes to go`, or blank.
    pub left: String,
}

/// How a work ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum How {
    /// All was done, and all is well.
    Well,
    /// All was done, and something was found.
    Found,
    /// It could not be done.
    Failed,
    /// It was stopped.
    Stopped,
}

/// What came of a work.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Outcome {
    /// How it ended.
    pub how: How,
    /// What was done, a sentence each.
    pub lines: Vec<String>,
    /// What is wrong, each with its mend.
    pub findings: Vec<Finding>,
    /// What else is to be known, under headings.
    pub told: Vec<(String, Vec<String>)>,
    /// Where to go from here: words and address.
    pub next: Vec<(String, String)>,
}

impl Outcome {
    /// All was done; these lines say what, and these findings what is wrong, as the command line says it.
    pub fn done(lines: &[String], findings: Vec<Finding>) -> Self {
        let how = if findings.is_empty() { How::Well } else { How::Found };
        let whole = |finding: Finding| Finding::new(sentence(&finding.what), sentence(&finding.mend));
        let (lines, findings) =
            (lines.iter().map(|line| sentence(line)).collect(), findings.into_iter().map(whole).collect());
        Self { how, lines, findings, told: Vec::new(), next: Vec::new() }
    }

    /// It was not done, for this reason; what stands, if it was `stopped`.
    pub fn not_done(fault: &Fault, stopped: &str) -> Self {
        match fault {
            Fault::Stopped => Self::ended(How::Stopped, format!("It was stopped before its end. {stopped}")),
            fault => Self::failed(&fault.to_string()),
        }
    }

    /// It could not be done, for this reason.
    pub fn failed(why: &str) -> Self {
        Self::ended(How::Failed, sentence(why))
    }

    fn ended(how: How, says: impl Into<String>) -> Self {
        Self { how, lines: vec![says.into()], findings: Vec::new(), told: Vec::new(), next: Vec::new() }
    }
}

/// Why a work was not begun.
pub(super) enum NotBegun {
    /// Another one is under way.
    Beside(Arc<Work>),
    /// The program is closing, or has no thread for it.
    Wrong(Wrong),
}

/// What is to be begun.
pub(super) struct Begun {
    /// What it does.
    pub title: String,
    /// Who begins it.
    pub by: String,
    /// Where one of this kind is begun.
    pub from: String,
}

/// Begins a long work. It is given a connection of its own to the catalogue, and itself to tell how far it has come.
pub(super) fn begin(
    desk: &Arc<Desk>,
    begun: Begun,
    work: impl FnOnce(&mut Catalogue, &Work) -> Outcome + Send + 'static,
) -> Result<Arc<Work>, NotBegun> {
    let mut all = desk.works.all();
    if all.closed {
        return Err(NotBegun::Wrong(Wrong::closing()));
    }
    if let Some(beside) = all.works.iter().find(|work| work.is_running()) {
        return Err(NotBegun::Beside(beside.clone()));
    }
    let new = Arc::new(Work {
        id: uuid::Uuid::now_v7().to_string(),
        title: begun.title,
        by: begun.by,
        began: desk.clock.now(),
        from: begun.from,
        stopping: AtomicBool::new(false),
        state: Mutex::default(),
        ended: Condvar::new(),
    });
    let (at_it, of_desk) = (new.clone(), desk.clone());
    let doing = move || {
        let done = catch_unwind(AssertUnwindSafe(|| match Catalogue::open(&of_desk.folder, of_desk.clock) {
            Ok(mut catalogue) => work(&mut catalogue, &at_it),
            Err(fault) => Outcome::not_done(&fault, ""),
        }));
        at_it.end(done.unwrap_or_else(|_| Outcome::ended(How::Failed, Wrong::broken().says)));
    };
    let thread = std::thread::Builder::new().name("long work".into()).spawn(doing);
    thread.map_err(|e| {
        NotBegun::Wrong(Wrong::new(
            axum::http::StatusCode::SERVICE_UNAVAILABLE,
            format!("The machine cannot begin this now: {e}. Try again later."),
        ))
    })?;
    all.works.push_front(new.clone());
    all.works.truncate(KEPT);
    Ok(new)
}

impl Works {
    fn all(&self) -> MutexGuard<'_, All> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The one of this name.
    pub fn named(&self, id: &str) -> Option<Arc<Work>> {
        self.all().works.iter().find(|work| work.id == id).cloned()
    }

    /// All that are kept, the newest first.
    pub fn list(&self) -> Vec<Arc<Work>> {
        self.all().works.iter().cloned().collect()
    }

    /// Begins no more, stops what is under way, and waits for its end, but not longer than this.
    pub fn close(&self, patience: Duration) {
        let running = {
            let mut all = self.all();
            all.closed = true;
            all.works.iter().find(|work| work.is_running()).cloned()
        };
        if let Some(work) = running {
            work.stop();
            let state = work.state();
            drop(work.ended.wait_timeout_while(state, patience, |state| state.outcome.is_none()));
        }
    }
}

impl Work {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn end(&self, outcome: Outcome) {
        let mut state = self.state();
        state.part = None;
        state.outcome = Some(outcome);
        drop(state);
        self.ended.notify_all();
    }

    /// Whether it has not ended yet.
    pub fn is_running(&self) -> bool {
        self.state().outcome.is_none()
    }

    /// What came of it, once it has ended.
    pub fn outcome(&self) -> Option<Outcome> {
        self.state().outcome.clone()
    }

    /// How far it has come, if it has told.
    pub fn progress(&self) -> Option<Progress> {
        let state = self.state();
        let part = state.part.as_ref()?;
        let done = part.done.min(part.of);
        Some(Progress { what: part.what.clone(), of: part.of, done, left: left(part.began.elapsed(), done, part.of) })
    }

    /// Asks it to stop before the next step.
    pub fn stop(&self) {
        self.stopping.store(true, Ordering::Relaxed);
    }

    /// Whether it was asked to stop.
    pub fn is_stopping(&self) -> bool {
        self.stopping.load(Ordering::Relaxed)
    }
}

/// How long the rest takes, if it goes on as it went.
fn left(behind: Duration, done: u64, of: u64) -> String {
    if behind < TELLING || done == 0 || done >= of {
        return String::new();
    }
    let seconds = behind.as_secs_f64() / done as f64 * (of - done) as f64;
    let told = |n: f64, unit: &str| crate::words::count(n.ceil() as usize, unit);
    match seconds {
        s if s < 60.0 => "less than a minute to go".to_owned(),
        s if s < 5400.0 => format!("about {} to go", told(s / 60.0, "minute")),
        s => format!("about {} to go", told(s / 3600.0, "hour")),
    }
}

impl Watch for Work {
    fn begin(&self, what: &str, of: u64) {
        self.state().part = Some(Part { what: what.to_owned(), of, done: 0, began: Instant::now() });
    }
    fn more(&self, n: u64) {
        if let Some(part) = &mut self.state().part {
            part.done += n;
        }
    }
    fn is_wanted(&self) -> bool {
        !self.is_stopping()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::workbench::desk::Opening;
    use crate::workbench::{Desk as Workbench, Entrance};

    fn desk(folder: &std::path::Path) -> Arc<Workbench> {
        let clock = crate::catalogue::Clock::Fixed("2031-05-01T09:30:00Z".parse().expect("a moment"));
        Catalogue::create(folder, clock).expect("a new catalogue");
        let listen = "127.0.0.1:0".parse().expect("an address");
        let (folder, address) = (folder.to_owned(), None);
        let opening = Opening { folder, clock, listen, address, entrance: Entrance::Accounts, backup: None };
        Arc::new(Workbench::open(opening).expect("the workbench opens"))
    }

    fn begun(
        desk: &Arc<Workbench>,
        work: impl FnOnce(&Work) -> Outcome + Send + 'static,
    ) -> Result<Arc<Work>, NotBegun> {
        let begun = Begun { title: "A long work".into(), by: "Ida Falk".into(), from: "/".into() };
        begin(desk, begun, move |_, at_it| work(at_it))
    }

    fn how(work: &Work) -> How {
        let state = work.state();
        let (state, _) = work
            .ended
            .wait_timeout_while(state, Duration::from_secs(20), |state| state.outcome.is_none())
            .expect("it can be waited for");
        state.outcome.as_ref().expect("it ends").how
    }

    #[test]
    fn a_work_that_breaks_is_told_as_failed_and_stands_in_nobodys_way() {
        let room = tempfile::tempdir().expect("a folder");
        let desk = desk(room.path());
        let Ok(broken) = begun(&desk, |_| panic!("a fault of the program, as this test wants it")) else {
            panic!("it begins")
        };
        assert_eq!(how(&broken), How::Failed);
        let Ok(next) = begun(&desk, |_| Outcome::done(&[], Vec::new())) else { panic!("the next begins") };
        assert_eq!(how(&next), How::Well);
    }

    #[test]
    fn when_the_program_closes_a_work_is_stopped_waited_for_and_none_begins_any_more() {
        let room = tempfile::tempdir().expect("a folder");
        let desk = desk(room.path());
        let Ok(work) = begun(&desk, |work| {
            while work.is_wanted() {
                std::thread::sleep(Duration::from_millis(5));
            }
            // What it tidies up takes a moment.
            std::thread::sleep(Duration::from_millis(50));
            Outcome::not_done(&Fault::Stopped, "Nothing is left of it.")
        }) else {
            panic!("it begins")
        };
        let Err(NotBegun::Beside(beside)) = begun(&desk, |_| Outcome::done(&[], Vec::new())) else {
            panic!("a second does not begin")
        };
        assert_eq!(beside.id, work.id);
        desk.works.close(Duration::from_secs(20));
        assert_eq!(work.outcome().map(|outcome| outcome.how), Some(How::Stopped), "it had ended when closing was done");
        assert!(matches!(begun(&desk, |_| Outcome::done(&[], Vec::new())), Err(NotBegun::Wrong(_))));
    }

    #[test]
    fn what_is_left_is_told_in_round_words_and_never_before_it_can_be_known() {
        let cases = [
            (2, 50, 100, ""),
            (60, 0, 100, ""),
            (60, 100, 100, ""),
            (10, 50, 100, "less than a minute to go"),
            (60, 50, 100, "about 1 minute to go"),
            (61, 50, 100, "about 2 minutes to go"),
            (7200, 50, 100, "about 2 hours to go"),
        ];
        for (behind, done, of, told) in cases {
            assert_eq!(left(Duration::from_secs(behind), done, of), told, "{behind} s, {done} of {of}");
        }
    }
}
