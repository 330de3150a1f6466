//! A whole sitting in a real browser: by keyboard alone, the pages accessible at the widths of phone, tablet and laptop; and
//! with the program killed and started again meanwhile.

use std::path::Path;

use dimity::catalogue::Catalogue;
use dimity::record::account::{Account, Role};
use serde_json::json;

use crate::fault;
use crate::support::{AUTHOR, Serving, clock};
use crate::tools::Tools;

fn script(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/examine").join(name)
}

#[test]
fn a_whole_sitting_by_keyboard_alone() {
    let Some(tools) = Tools::there("a sitting by keyboard") else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path().join("collection");
    Catalogue::create(&folder, clock()).expect("a catalogue");
    let serving = Serving::start(&folder);
    let faults = tools.script(&script("sitting.mjs"), "examine", json!({ "link": serving.link }));
    assert!(faults.is_empty(), "{}", fault::told(&faults));
    let file = Catalogue::open(&folder, clock()).expect("opened").piece("2031.7").expect("entered");
    assert_eq!(file.piece.title.as_deref(), Some("Another title"), "the second chose its own");
    let exam = &file.examinations[0];
    assert_eq!(exam.measurements[0].what.readings.len(), 2, "a reading was added with one key");
    assert_eq!((exam.stitching.len(), exam.conditions.len()), (1, 1));
    assert_eq!(file.components[0].name.as_deref(), Some("left front"));
}

/// Of an account at the desk that asks for one.
const PASSWORD: &str = "tape, needle, lamp, box";

/// The program killed while one types, and started again: the window that was open goes on, and all of it is in the record
/// once, under the name of who typed it.
fn goes_on_in_the_old_window(entrance: &str, arguments: &[&str]) {
    let Some(tools) = Tools::there("a window that outlives the program") else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path().join("collection");
    let mut catalogue = Catalogue::create(&folder, clock()).expect("a catalogue");
    for name in [AUTHOR, "Tamsin Orrel"] {
        catalogue.add_account(AUTHOR, &Account { name: name.into(), role: Role::Keep }, PASSWORD).expect("an account");
    }
    let lines = ["tear, 1 mm, note: one", "tear, 2 mm, note: two", "tear, 3 mm, note: three", "tear, 4 mm, note: four"];
    let job = json!({
        "program": env!("CARGO_BIN_EXE_dimity"), "folder": folder, "arguments": arguments, "lines": lines,
        "name": AUTHOR, "password": PASSWORD, "entrance": entrance,
    });
    let faults = tools.script(&script("restart.mjs"), "restart", job);
    assert!(faults.is_empty(), "{entrance}: {}", fault::told(&faults));
    let file = catalogue.piece("2031.7").expect("entered");
    let extents = file.examinations[0].conditions.iter().filter_map(|c| c.what.extent.as_ref());
    let extents: Vec<&str> = extents.map(|extent| extent.as_written.as_str()).collect();
    assert_eq!(extents, ["1 mm", "2 mm", "3 mm", "4 mm"], "{entrance}: each line once");
    let whose = catalogue.journal(Some("2031.7")).expect("the journal");
    assert!(!whose.is_empty() && whose.iter().all(|entry| entry.author == AUTHOR), "{entrance}: {whose:#?}");
    catalogue.refresh_terms().expect("read");
    assert!(
        catalogue.vocabulary().find(dimity::vocabulary::Scheme::Fibre, "gossamer").is_ok(),
        "the form went in as well"
    );
    assert!(catalogue.check().expect("checked").is_empty(), "{entrance}");
}

#[test]
fn the_old_window_goes_on_after_a_kill_once_somebody_came_by_the_new_link() {
    goes_on_in_the_old_window("link", &["--port"]);
}

#[test]
fn the_old_window_goes_on_after_a_kill_once_somebody_signed_in() {
    goes_on_in_the_old_window("accounts", &["--listen"]);
}
