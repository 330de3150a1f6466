//! Long works: how they end, and what is told of them on the way.

use super::*;
use crate::workbench::desk::Opening;
use crate::workbench::{Desk as Workbench, Entrance};

fn desk(folder: &std::path::Path) -> Arc<Workbench> {
    let clock = crate::catalogue::Clock::Fixed("2031-05-01T09:30:00Z".parse().expect("a moment"));
    Catalogue::create(folder, clock).expect("a new catalogue");
    let listen = "127.0.0.1:0".parse().expect("an address");
    let (folder, address) = (folder.to_owned(), None);
    let patience = super::super::serve::Patience::default();
    let opening = Opening { folder, clock, listen, address, entrance: Entrance::Accounts, backup: None, patience };
    Arc::new(Workbench::open(opening).expect("the workbench opens"))
}

fn begun(desk: &Arc<Workbench>, work: impl FnOnce(&Work) -> Outcome + Send + 'static) -> Result<Arc<Work>, NotBegun> {
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
