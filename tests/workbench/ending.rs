//! The program asked to end while many are at work, and the disk full while somebody sends: what was acknowledged is there,
//! what was not is absent, and nothing is half done.

use std::io::{Read as _, Write as _};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use dimity::catalogue::{Catalogue, Intent};
use dimity::draft::Drafts;
use dimity::exchange::{entry, sheet};
use dimity::safekeeping::{self, Asked};
use serde_json::{Value, json};

use crate::support::{AUTHOR, Client, Disk, Room, SPENCER, Sitter, clock};

const UPLOAD: &str = "/pieces/2031.1/photographs?name=front.png";
const BYTES: &str = "application/octet-stream";

/// What the whole check finds in a catalogue that nobody has open.
fn findings(folder: &std::path::Path) -> Vec<String> {
    let catalogue = Catalogue::open(folder, clock()).expect("it opens");
    let found = safekeeping::check(&catalogue, &Asked::default(), &()).expect("checked").findings;
    found.into_iter().map(|finding| finding.what).collect()
}

/// Writes lines into a sitting until nobody answers; gives how many were acknowledged, and how many were sent.
fn writing(client: &Client, address: &str) -> (usize, usize) {
    let (mut version, mut acknowledged) = (1, 0);
    loop {
        let line = json!({ "version": version, "act": "write", "text": format!("tear, {} mm", acknowledged + 1) });
        let answer = client.send(&format!("{address}/stroke"), &line);
        let Some(now) = answer.and_then(|answer: Value| answer["version"].as_u64()) else {
            return (acknowledged, acknowledged + 1);
        };
        (version, acknowledged) = (now, acknowledged + 1);
    }
}

/// Adds photographs, each another, until nobody answers; gives the acknowledged ones.
fn adding(client: &Client) -> Vec<String> {
    let mut added = Vec::new();
    for shade in 0..=255 {
        let png = crate::drawing::png(shade);
        let Ok(answer) = client.asked(&format!("POST {UPLOAD} HTTP/1.1\r\ncontent-type: {BYTES}"), png) else { break };
        let Some(sha256) = answer.split("\"sha256\":\"").nth(1) else { break };
        added.push(sha256[..64].to_owned());
    }
    added
}

#[test]
#[cfg(unix)]
fn asked_to_end_under_load_it_ends_cleanly_and_keeps_what_it_acknowledged() {
    let room = Room::with(&[SPENCER]);
    let folder = room.collection();
    let mut sitter = Sitter::start(&folder);
    let client: Client = (*sitter).clone();
    let address = client.sitting("2031.7");
    let (ended, answered) = (AtomicBool::new(false), AtomicUsize::new(0));
    let (code, written, added) = std::thread::scope(|threads| {
        for reader in 0..20 {
            let (client, ended, answered) = (&client, &ended, &answered);
            threads.spawn(move || {
                let pages = ["/", "/pieces/2031.1", "/words", "/pieces/2031.1/reports/condition?set=summary"];
                while !ended.load(Ordering::Relaxed) {
                    let page = pages[reader % pages.len()];
                    let answer = client.asked(&format!("GET {page} HTTP/1.1\r\naccept: text/html"), "");
                    answered
                        .fetch_add(usize::from(answer.is_ok_and(|a| a.starts_with("HTTP/1.1 200"))), Ordering::Relaxed);
                }
            });
        }
        let writing = threads.spawn(|| writing(&client, &address));
        let adding = threads.spawn(|| adding(&client));
        // One more upload that never comes to its end, and one who does not read what was asked for.
        let mut half =
            client.begun(&format!("POST {UPLOAD} HTTP/1.1\r\ncontent-type: {BYTES}"), 1_000_000).expect("begun");
        half.write_all(&crate::drawing::png(7)[..500]).expect("sent");
        let _unread = client.begun("GET / HTTP/1.1", 0).expect("begun");
        // Once all of them are at it.
        while answered.load(Ordering::Relaxed) < 40 {
            std::thread::sleep(Duration::from_millis(20));
        }
        let id = sitter.program.id().to_string();
        assert!(std::process::Command::new("kill").args(["-TERM", &id]).status().expect("asked to end").success());
        // A request under way has ten seconds; a program that waits for the half upload never ends, and the test neither.
        let code = sitter.program.ended().code();
        ended.store(true, Ordering::Relaxed);
        let mut rest = Vec::new();
        let _ = half.read_to_end(&mut rest);
        assert!(!String::from_utf8_lossy(&rest).starts_with("HTTP/1.1 200"), "half an upload is not acknowledged");
        (code, writing.join().expect("it ends"), adding.join().expect("it ends"))
    });
    assert_eq!(code, Some(0), "SIGTERM ends it cleanly under load");
    let draft = Drafts::at(&folder).read(address.trim_start_matches("/examine/")).expect("the draft is whole");
    // The lines of the piece and of the circumstances come first. The last line sent may be there or not.
    let lines: Vec<&str> = draft.lines.iter().skip(2).map(|line| line.text.as_str()).collect();
    let expected: Vec<String> = (1..=lines.len()).map(|n| format!("tear, {n} mm")).collect();
    assert_eq!(lines, expected);
    assert!((written.0..=written.1).contains(&lines.len()), "{written:?}, {} lines", lines.len());
    let catalogue = Catalogue::open(&folder, clock()).expect("it opens");
    let there: Vec<String> =
        catalogue.piece("2031.1").expect("the piece").photographs.into_iter().map(|p| p.sha256).collect();
    assert!(added.iter().all(|sha256| there.contains(sha256)), "acknowledged: {added:?}; there: {there:?}");
    assert!(there.len() <= added.len() + 1, "acknowledged: {added:?}; there: {there:?}");
    assert!(!added.is_empty() && written.0 > 0, "the end should fall in the middle: {added:?}, {written:?}");
    assert_eq!(findings(&folder), Vec::<String>::new());
    assert_eq!(
        crate::drawing::left_in(&folder),
        Vec::<std::path::PathBuf>::new(),
        "nothing is left of what was not added"
    );
}

#[test]
fn a_full_disk_is_said_with_what_to_do_and_the_same_goes_well_once_there_is_room() {
    let room = tempfile::tempdir().expect("a folder");
    let Some(disk) = Disk::mounted("a full disk told in the browser", &room.path().join("disk"), 12) else { return };
    let folder = room.path().join("disk/collection");
    let mut catalogue = Catalogue::create(&folder, clock()).expect("a catalogue");
    let intent = |_: &sheet::Sheet| Intent { author: AUTHOR.into(), ..Intent::default() };
    entry::enter(&mut catalogue, SPENCER.as_bytes(), intent).expect("entered");
    drop(catalogue);
    let sitter = Sitter::start(&folder);
    let address = sitter.sitting("2031.7");
    let line = json!({ "version": 1, "act": "write", "text": "waist girth 27 in" });
    let mut version = sitter.send(&format!("{address}/stroke"), &line).expect("kept")["version"].as_u64().expect("one");
    let id = address.trim_start_matches("/examine/").to_owned();
    let draft = Drafts::at(&folder).read(&id).expect("read");
    let state = || Catalogue::open(&folder, clock()).expect("it opens").revision().expect("read");
    let before = state();
    let picture = crate::drawing::png(90);
    let script = "application/json";
    let typed = |version: u64| json!({ "version": version, "text": "tear ".repeat(12_000), "caret": 4 }).to_string();
    let enter = |version: u64| json!({ "version": version, "reason": "" }).to_string();
    // At the brim, and with room for a part of the file or of the picture made from it.
    for leave in [0, 4096, 40_000] {
        disk.fill(leave);
        let many = [picture.clone(), vec![0; 2_000_000]].concat();
        let form = [
            &b"--x\r\ncontent-disposition: form-data; name=\"token\"\r\n\r\n"[..],
            sitter.token().as_bytes(),
            b"\r\n--x\r\ncontent-disposition: form-data; name=\"files\"; filename=\"front.png\"\r\n\r\n",
            &many,
            b"\r\n--x--\r\n",
        ]
        .concat();
        for (what, answer) in [
            ("an upload", sitter.post(UPLOAD, BYTES, &many)),
            (
                "an upload by a form",
                sitter.post("/pieces/2031.1/photographs/form", "multipart/form-data; boundary=x", form),
            ),
            ("a draft", sitter.post(&format!("{address}/typed"), script, typed(version))),
        ] {
            let status = answer.lines().next().unwrap_or_default().to_owned();
            let is_page = what.ends_with("form");
            assert!(status.contains("507") || (is_page && status.contains("200")), "{what}, {leave} left: {answer}");
            let mend = ["ree some space", "ake room"].iter().any(|words| answer.contains(words));
            assert!(mend, "{what}, {leave} left: it says what to do: {answer}");
        }
        if leave == 0 {
            let answer = sitter.post(&format!("{address}/enter"), script, enter(version));
            assert!(answer.starts_with("HTTP/1.1 507") && answer.contains("ree some space"), "{answer}");
        }
        assert_eq!(
            crate::drawing::left_in(&folder),
            Vec::<std::path::PathBuf>::new(),
            "{leave} left: nothing half stored"
        );
        assert_eq!(state(), before, "{leave} left: the record is as it was");
        assert!(
            Drafts::at(&folder).read(&id).expect("the draft is whole") == draft,
            "{leave} left: the draft is as it was"
        );
        // It goes on.
        assert!(sitter.ask("GET /words HTTP/1.1\r\naccept: text/html", "").starts_with("HTTP/1.1 200"));
        disk.free();
    }
    let added = sitter.post(UPLOAD, BYTES, &picture);
    assert!(added.starts_with("HTTP/1.1 200"), "{added}");
    let kept = sitter.send(&format!("{address}/typed"), &json!({ "version": version, "text": "", "caret": 0 }));
    version = kept.expect("kept")["version"].as_u64().expect("one");
    let entered = sitter.post(&format!("{address}/enter"), script, enter(version));
    assert!(entered.starts_with("HTTP/1.1 200"), "{entered}");
    drop(sitter);
    assert_eq!(findings(&folder), Vec::<String>::new());
    let catalogue = Catalogue::open(&folder, clock()).expect("it opens");
    assert_eq!(catalogue.piece("2031.1").expect("there").photographs.len(), 1);
    assert_eq!(catalogue.piece("2031.7").expect("there").examinations[0].measurements.len(), 1);
    drop(catalogue);
    drop(disk);
}
