//! The real program killed while one types, and started again.

use std::io::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use dimity::catalogue::Catalogue;
use dimity::draft::Drafts;
use dimity::safekeeping::Asked;
use serde_json::{Value, json};

use crate::support::killing::{kills, wait};
use crate::support::{AUTHOR, Disk, Sitter, clock};

/// A sitting begun on a new piece in a new catalogue: the program, and the address of the draft.
fn begun(folder: &Path) -> (Sitter, String) {
    Catalogue::create(folder, clock()).expect("a catalogue");
    let serving = Sitter::start(folder);
    let address = serving.sitting("2031.7");
    (serving, address)
}

#[test]
fn a_program_killed_while_one_types_has_kept_every_acknowledged_keystroke() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path().join("collection");
    let (serving, address) = begun(&folder);
    let mut version = 1;
    let mut say = |serving: &Sitter, what: &str, mut value: Value| -> Option<Value> {
        value["version"] = json!(version);
        let answer = serving.send(&format!("{address}/{what}"), &value)?;
        version = answer["version"].as_u64()?;
        Some(answer)
    };
    say(&serving, "stroke", json!({ "act": "write", "text": "hem girth 120 cm" })).expect("kept");
    let text = "centre back length 15 1/4 in; 15 3/8 in";
    let mut acknowledged = 0;
    for end in 1..text.len() - 5 {
        say(&serving, "typed", json!({ "text": &text[..end], "caret": end })).expect("kept");
        acknowledged = end;
    }
    drop(serving);
    let id = address.trim_start_matches("/examine/");
    let draft = Drafts::at(&folder).read(id).expect("the draft is whole");
    assert_eq!(draft.typed, &text[..acknowledged], "the last acknowledged keystroke is there");
    // Started again, one goes on where one was.
    let serving = Sitter::start(&folder);
    let page = serving.ask(&format!("GET {address} HTTP/1.1\r\naccept: text/html"), "");
    assert!(page.contains(&text[..acknowledged]) && page.contains("hem girth 120 cm"), "{page}");
    let mut version = draft.version;
    for (what, mut value) in [("stroke", json!({ "act": "write", "text": text })), ("enter", json!({ "reason": "" }))] {
        value["version"] = json!(version);
        let answer = serving.send(&format!("{address}/{what}"), &value).expect("answered");
        assert!(answer["wrong"].is_null(), "{answer}");
        version = answer["version"].as_u64().unwrap_or(version);
    }
    drop(serving);
    let catalogue = Catalogue::open(&folder, clock()).expect("sound after a kill");
    assert_eq!(catalogue.piece("2031.7").expect("entered").examinations[0].measurements.len(), 2);
    assert!(catalogue.check().expect("checked").is_empty());
}

#[test]
fn a_kill_in_the_middle_of_entering_leaves_draft_and_record_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path().join("collection");
    let (serving, address) = begun(&folder);
    for i in 0..40u64 {
        let line = json!({ "version": i + 1, "act": "write", "text": format!("tear, {} mm, note: number {i}", i + 1) });
        serving.send(&format!("{address}/stroke"), &line).expect("kept");
    }
    // The request is sent, and the program killed while it may be anywhere in it.
    let value = json!({ "version": 41, "reason": "" }).to_string();
    let head = format!("POST {address}/enter HTTP/1.1\r\ncontent-type: application/json");
    let mut stream = serving.begun(&head, value.len()).expect("it listens");
    stream.write_all(value.as_bytes()).expect("sent");
    std::thread::sleep(std::time::Duration::from_millis(120));
    drop(serving);
    let catalogue = Catalogue::open(&folder, clock()).expect("sound after a kill");
    let notes = |catalogue: &Catalogue| {
        let file = catalogue.piece_if_any("2031.7").expect("read");
        file.map_or(0, |f| f.examinations[0].conditions.len())
    };
    let there = notes(&catalogue);
    assert!(there == 0 || there == 40, "all or nothing, not {there}");
    drop(catalogue);
    let draft = Drafts::at(&folder).read(address.trim_start_matches("/examine/")).expect("the draft is whole");
    assert_eq!(draft.lines.len(), 42);
    // Entered again it is there once.
    let serving = Sitter::start(&folder);
    if draft.entered.is_none() {
        let answer = serving.send(&format!("{address}/enter"), &json!({ "version": draft.version, "reason": "" }));
        let answer = answer.expect("answered");
        let shown: Vec<String> = answer["meanwhile"]
            .as_str()
            .unwrap_or_default()
            .split("data-id=\"")
            .skip(1)
            .filter_map(|l| Some(l.split('"').next()?.to_owned()))
            .collect();
        assert_eq!(shown.len(), there, "what had come in before the kill is shown");
        if there > 0 {
            let again = json!({ "version": answer["version"], "reason": "", "shown": shown });
            let answer = serving.send(&format!("{address}/enter"), &again).expect("answered");
            assert!(answer["wrong"].is_null(), "{answer}");
        }
    }
    assert_eq!(notes(&Catalogue::open(&folder, clock()).expect("opened")), 40);
}

/// What the program had acknowledged before it was gone.
#[derive(Debug, Default)]
struct Acknowledged {
    lines: usize,
    typed: String,
    entered: bool,
}

const LINES: usize = 12;

fn line(n: usize) -> String {
    format!("tear, {} mm, note: number {n}", n + 1)
}

/// Types line after line and enters them, until it is done or the program is gone; `entering` is called just before.
fn typed_and_entered(serving: &Sitter, address: &str, entering: impl FnOnce()) -> Acknowledged {
    let mut done = Acknowledged::default();
    let mut version = 1;
    let mut say = |what: &str, mut value: Value| -> Option<Value> {
        value["version"] = json!(version);
        let answer = serving.send(&format!("{address}/{what}"), &value)?;
        assert!(answer["wrong"].is_null(), "{what}: {answer}");
        version = answer["version"].as_u64().unwrap_or(version);
        Some(answer)
    };
    for n in 0..LINES {
        let text = line(n);
        for end in [5, text.len() - 4] {
            let Some(_) = say("typed", json!({ "text": &text[..end], "caret": end })) else { return done };
            text[..end].clone_into(&mut done.typed);
        }
        let Some(_) = say("stroke", json!({ "act": "write", "text": text })) else { return done };
        done.lines = n + 1;
        done.typed.clear();
    }
    entering();
    done.entered = say("enter", json!({ "reason": "" })).is_some();
    done
}

#[test]
fn a_kill_at_any_moment_of_typing_and_entering_loses_nothing_that_was_acknowledged() {
    let (mut typing, mut entering, mut ended) = (0, 0, 0);
    let (mut whole, mut last) = (Duration::ZERO, Duration::ZERO);
    for round in 0..kills() {
        let room = tempfile::tempdir().expect("a folder");
        let folder = room.path().join("collection");
        if round % 10 == 0 {
            let (serving, address) = begun(&folder);
            let (start, mut enters) = (Instant::now(), None);
            assert!(typed_and_entered(&serving, &address, || enters = Some(Instant::now())).entered);
            whole = start.elapsed().mul_f64(1.1);
            last = enters.expect("it came to that").elapsed().mul_f64(1.2);
            drop(serving);
            std::fs::remove_dir_all(&folder).expect("removed");
        }
        let (mut serving, address) = begun(&folder);
        let id = serving.program.id().to_string();
        // Every second time the clock runs from the entering on, which is short beside the typing.
        let at_the_end = round % 2 == 1;
        let after = wait(round / 2, if at_the_end { last } else { whole });
        let kill = || {
            std::thread::sleep(after);
            Command::new("kill").args(["-9", &id]).status().expect("killed")
        };
        let done = std::thread::scope(|threads| {
            if !at_the_end {
                threads.spawn(kill);
            }
            typed_and_entered(&serving, &address, || {
                if at_the_end {
                    threads.spawn(kill);
                }
            })
        });
        serving.program.ended();
        let draft = Drafts::at(&folder).read(address.trim_start_matches("/examine/")).expect("the draft is whole");
        // The lines of the piece and of the circumstances come first. What was on its way may be there or not.
        let lines: Vec<&str> = draft.lines.iter().skip(2).map(|l| l.text.as_str()).collect();
        let expected: Vec<String> = (0..lines.len()).map(line).collect();
        assert_eq!(lines, expected, "round {round}: {done:?}");
        assert!((done.lines..=done.lines + 1).contains(&lines.len()), "round {round}: {done:?}, {} lines", lines.len());
        let next = line(done.lines);
        let typed = draft.typed.as_str();
        assert!(
            typed == done.typed
                || (typed.is_empty() && lines.len() > done.lines)
                || (next.starts_with(typed) && typed.len() > done.typed.len()),
            "round {round}: `{typed}` is in the draft: {done:?}"
        );
        let catalogue = Catalogue::open(&folder, clock()).expect("opens after a kill");
        let file = catalogue.piece_if_any("2031.7").expect("reads");
        let there = file.map_or(0, |f| f.examinations[0].conditions.len());
        assert!(there == 0 || there == LINES, "round {round}: all or nothing, not {there}: {done:?}");
        assert!(there == LINES || !(done.entered || draft.entered.is_some()), "round {round}: entered: {done:?}");
        let found = dimity::safekeeping::check(&catalogue, &Asked::default(), &()).expect("checks").findings;
        assert_eq!(found, [], "round {round}");
        match (done.entered, done.lines) {
            (true, _) => ended += 1,
            (_, LINES) => entering += 1,
            _ => typing += 1,
        }
    }
    println!("{} kills in the browser: {typing} while typing, {entering} while entering, {ended} after it", kills());
    assert!(typing > 0 && (entering > 0 || kills() < 40), "the kills should fall in the middle");
}

#[test]
fn a_full_disk_keeps_draft_and_record_as_they_were_and_says_so() {
    let room = tempfile::tempdir().expect("a folder");
    let Some(disk) = Disk::mounted("a draft on a full disk", &room.path().join("disk"), 6) else { return };
    let folder = room.path().join("disk/collection");
    Catalogue::create(&folder, clock()).expect("a catalogue");
    let bench = crate::bench::Bench::at(&folder, AUTHOR);
    let mut window = crate::bench::Window::begin(&bench, &crate::NEW);
    window.write(&["waist girth 27 in"]);
    disk.fill(0);
    let before = Drafts::at(&folder).all().expect("drafts")[0].clone();
    let answer = window.say("typed", json!({ "text": "tear ".repeat(4000), "caret": 4 }));
    assert_eq!(answer.status.as_u16(), 507, "{}", answer.body);
    assert!(answer.body.contains("still stands in this window"), "{}", answer.body);
    let entered = window.enter();
    assert!(!entered.status.is_success(), "{}", entered.body);
    assert_eq!(Drafts::at(&folder).all().expect("drafts")[0], before, "the draft is as it was");
    disk.free();
    assert!(Catalogue::open(&folder, clock()).expect("sound").piece_if_any("2031.7").expect("read").is_none());
    window.enter().done();
    drop(bench);
    drop(disk);
}
