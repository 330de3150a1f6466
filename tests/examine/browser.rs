//! A whole sitting in a real browser, by keyboard alone; the pages accessible at the widths of phone, tablet and laptop.

use std::path::Path;
use std::process::Command;

use dimity::catalogue::Catalogue;
use serde_json::Value;

use crate::support::{Serving, clock, machine};

#[test]
fn a_whole_sitting_by_keyboard_alone() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let tools = machine::npm_folder();
    let what = "a sitting by keyboard";
    let Some(chromium) = machine::browser(what, &["playwright-core", "axe-core"], &[]) else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path().join("collection");
    Catalogue::create(&folder, clock()).expect("a catalogue");
    let serving = Serving::start(&folder);
    let out = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().expect("target").join("pages/examine");
    std::fs::create_dir_all(&out).expect("a folder for pictures");
    let done = Command::new("node")
        .arg(root.join("tests/examine/sitting.mjs"))
        .arg(serde_json::json!({ "tools": tools, "chromium": chromium, "link": serving.link, "out": out }).to_string())
        .output()
        .expect("node runs");
    let said = String::from_utf8_lossy(&done.stderr);
    let faults: Vec<Value> = serde_json::from_slice(&done.stdout).unwrap_or_else(|e| panic!("{e}: {said}"));
    assert!(faults.is_empty(), "{faults:#?}");
    let file = Catalogue::open(&folder, clock()).expect("opened").piece("2031.7").expect("entered");
    assert_eq!(file.piece.title.as_deref(), Some("Another title"), "the second chose its own");
    let exam = &file.examinations[0];
    assert_eq!(exam.measurements[0].what.readings.len(), 2, "a reading was added with one key");
    assert_eq!((exam.stitching.len(), exam.conditions.len()), (1, 1));
    assert_eq!(file.components[0].name.as_deref(), Some("left front"));
}
