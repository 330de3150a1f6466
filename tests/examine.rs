//! The examination in progress: kept keystroke by keystroke, entered whole, by one or by two.

#[allow(dead_code, reason = "the printed pages use the rest")]
#[path = "pages/fault.rs"]
mod fault;
mod support;
#[allow(dead_code, reason = "the printed pages use the rest")]
#[path = "pages/tools.rs"]
mod tools;

#[path = "examine/bench.rs"]
mod bench;
#[path = "examine/browser.rs"]
mod browser;
#[path = "examine/expected.rs"]
mod expected;
#[path = "examine/kill.rs"]
mod kill;

use axum::http::StatusCode;
use bench::{Bench, Window};
use dimity::draft::Drafts;
use serde_json::json;
use support::{AUTHOR, Desk, SPENCER, machine};

const NEW: [(&str, &str); 4] =
    [("number", "2031.7"), ("nature", "extant"), ("object_name", "spencer"), ("garment", "spencer")];

#[test]
fn a_sitting_is_kept_as_a_draft_entered_whole_and_taken_back() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &NEW);
    window.say("typed", json!({ "text": "centre back length 15 1", "caret": 23 })).done();
    let drafts = Drafts::at(desk.folder());
    let kept = drafts.all().expect("drafts");
    assert_eq!(kept[0].typed, "centre back length 15 1", "each keystroke lies on the disk when it is acknowledged");
    window.write(&[
        "component: left front",
        "centre back length 15 1/4 in; 15 3/8 in",
        "left front, shoulder length 12,7 cm, flat",
        "stitch: side seam backstitch 9 per inch, allowance 10 mm, hand",
        "textile: shell, silk 100 %, tabby",
        "tear, left front, 12 mm, slight, inactive, place: near the hem",
        "step: side seams sewn before the lining was set in",
        "overall: good, statement: \"sound; one old tear\"",
    ]);
    assert!(
        desk.catalogue.piece_if_any("2031.7").expect("read").is_none(),
        "nothing enters the record before it is entered"
    );
    let answer = window.enter();
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let file = desk.catalogue.piece("2031.7").expect("the piece");
    assert_eq!(file.piece.object_name.as_deref(), Some("spencer"));
    let exam = &file.examinations[0];
    assert_eq!(exam.about.examiner.as_deref(), Some(AUTHOR));
    let first = &exam.measurements[0].what;
    assert_eq!(first.readings.iter().map(|q| q.as_written.as_str()).collect::<Vec<_>>(), ["15 1/4 in", "15 3/8 in"]);
    assert!((exam.measurements[1].what.readings[0].value - 127.0).abs() < 1e-9, "a decimal comma is understood");
    assert_eq!(exam.stitching[0].what.made.as_deref(), Some("hand"));
    assert_eq!(exam.textiles[0].what.fibres.len(), 1);
    assert_eq!(exam.conditions[0].what.place.as_deref(), Some("near the hem"));
    assert_eq!(exam.overall[0].what.statement.as_deref(), Some("sound; one old tear"));
    assert_eq!((exam.steps.len(), file.components.len()), (1, 1));
    let page = bench.get(&window.address).done().body;
    assert!(page.contains("Entered") && page.contains("Take it back"), "{page}");
    assert!(bench.get("/examine").body.contains("None."), "what is entered is no draft any more");

    let version = drafts.read(window.address.trim_start_matches("/examine/")).expect("kept").version.to_string();
    let take_back = |version: &str, reason: &str| {
        bench.form(&format!("{}/take-back", window.address), &[("version", version), ("reason", reason)])
    };
    for (version, reason, says) in [(version.as_str(), " ", "Say why"), ("1", "wrong <piece>", "changed meanwhile")] {
        let again = take_back(version, reason);
        assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY, "{says}");
        let typed = reason.trim().replace('<', "&lt;").replace('>', "&gt;");
        assert!(again.body.contains(says) && again.body.contains(&format!("value=\"{typed}\"")), "{}", again.body);
    }
    take_back(&version, "wrong piece").done();
    let file = desk.catalogue.piece("2031.7").expect("the piece");
    assert!(file.examinations.is_empty() && file.components.is_empty(), "what was entered is withdrawn: {file:?}");
    assert!(desk.catalogue.withdrawal("2031.7").expect("reads").is_some(), "and the piece that it brought");
    assert_eq!(desk.sql().one("SELECT count(*) FROM observation WHERE withdrawn = 'wrong piece'"), "7");
    desk.is_sound();
    // The draft is open again, and can be entered again.
    let mut window = Window::open(&bench, &window.address);
    assert_eq!(window.enter().status, StatusCode::OK);
    let file = desk.catalogue.piece("2031.7").expect("the piece");
    assert_eq!((file.examinations[0].measurements.len(), file.components.len()), (2, 1));
    assert!(desk.catalogue.withdrawal("2031.7").expect("reads").is_none(), "it is in the catalogue again");
    desk.is_sound();
}

#[test]
fn what_is_typed_is_echoed_in_both_systems_with_definitions_and_what_is_missing() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &NEW);
    // 27.5 × 25.4 = 698.5 mm, u = (1/8 in)/√12; 9 per inch = 35.4 per 10 cm.
    let cases: [(&str, &[&str]); 7] = [
        ("waist girth 27 ½ in", &["measurement", "698.5 ± 0.9 mm", "27.50 ± 0.04 in"]),
        ("stitch: side seam 9 per inch", &["stitching", "per 10 cm", "<b>9 per inch</b>", "35"]),
        ("waist girth 27,5 cm; 27,9 cm", &["2 readings", "4 mm"]),
        ("tear, 12 mm", &["condition", "damage"]),
        ("waist girth", &["still to be written", "readings"]),
        ("waist girth 27 5/8", &["to be placed", "27 5/8", "has no unit"]),
        ("tear, severity: awful", &["is no severity"]),
    ];
    for (text, says) in cases {
        let answer = window.say("typed", json!({ "text": text, "caret": text.chars().count() })).done().json();
        let echo = answer["echo"].as_str().expect("an echo").to_owned();
        for word in says {
            assert!(echo.contains(word), "`{text}` should say `{word}`:\n{echo}");
        }
    }
    let ways = window.say("typed", json!({ "text": "centre ba", "caret": 9 })).done().json()["ways"].to_string();
    assert!(ways.contains("centre back length") && ways.contains("means"), "{ways}");
}

#[test]
fn a_refused_sitting_keeps_its_draft_and_says_each_fault_beside_its_line() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &NEW);
    window.write(&["waist girth 27 5/8", "tear, extent: twelve", "hem girth 120 cm"]);
    let answer = window.enter();
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.body);
    let said = answer.json();
    let lines = said["lines"].as_str().expect("lines");
    assert!(lines.contains("has no unit"), "{lines}");
    assert!(desk.catalogue.piece_if_any("2031.7").expect("read").is_none());
    assert!(lines.contains("hem girth 120 cm"), "what was typed stays");
    // Mended, it goes in.
    let first =
        lines.split("data-key=\"").find(|l| l.contains("27 5/8")).and_then(|l| l.split('"').next()).expect("a key");
    let key: u64 = first.parse().expect("a number");
    window.say("stroke", json!({ "act": "write", "key": key, "text": "waist girth 27 5/8 in" })).done();
    let refused = window.enter().json();
    assert!(refused["lines"].as_str().expect("lines").contains("extent: "), "{refused}");
    window.say("stroke", json!({ "act": "remove", "key": key + 1 })).done();
    assert_eq!(window.enter().status, StatusCode::OK);
    // A line that is still being written is not left behind.
    let mut other = Window::begin(&bench, &[("number", "2031.7")]);
    other.say("typed", json!({ "text": "tear, 3 mm", "caret": 3 })).done();
    assert_eq!(other.enter().status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[test]
fn a_draft_that_changed_on_the_disk_is_told_and_harms_no_other() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let (mut spoilt, sound) = (Window::begin(&bench, &NEW), Window::begin(&bench, &[("number", "2031.8")]));
    spoilt.write(&["waist girth 27 in"]);
    let name = format!("{}.json", spoilt.address.trim_start_matches("/examine/"));
    let path = desk.folder().join("drafts").join(&name);
    let text = std::fs::read_to_string(&path).expect("reads");
    std::fs::write(&path, text.replace("waist girth 27 in", "waist girth 37 in")).expect("written");
    let list = bench.get("/examine").done().body;
    assert!(list.contains(&name) && list.contains("have changed") && list.contains(&sound.address), "{list}");
    let opened = bench.get(&spoilt.address);
    assert_eq!(opened.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(opened.body.contains("have changed") && !opened.body.contains("free some space"), "{}", opened.body);
    bench.get(&sound.address).done();
    let found =
        dimity::safekeeping::check(&desk.catalogue, &dimity::safekeeping::Asked::default(), &()).expect("checks");
    assert!(found.findings.len() == 1 && found.findings[0].what.contains(&name), "{:#?}", found.findings);
}

#[test]
fn every_stroke_is_undone_and_done_again() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &NEW);
    window.write(&["waist girth 27 in", "hem girth 120 cm"]);
    let undone = window.say("stroke", json!({ "act": "undo" })).done().json();
    assert!(!undone["lines"].as_str().expect("lines").contains("hem girth"), "{undone}");
    assert_eq!(
        (undone["redo"].as_str(), undone["undo"].as_str()),
        (Some("added hem girth"), Some("added waist girth"))
    );
    let again = window.say("stroke", json!({ "act": "redo" })).done().json();
    assert!(again["lines"].as_str().expect("lines").contains("hem girth"), "{again}");
}

#[test]
fn of_two_windows_the_slower_is_told_and_loses_nothing() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut one = Window::begin(&bench, &NEW);
    let mut two = Window::open(&bench, &one.address);
    one.write(&["waist girth 27 in"]);
    for (what, value) in
        [("typed", json!({ "text": "tear" })), ("stroke", json!({ "act": "write", "text": "tear, 3" }))]
    {
        let answer = two.say(what, value);
        assert_eq!(answer.status, StatusCode::CONFLICT, "{}", answer.body);
        assert_eq!(answer.json()["elsewhere"], json!(true));
    }
    let mut two = Window::open(&bench, &one.address);
    two.write(&["tear, 3"]);
    let page = bench.get(&one.address).body;
    assert!(page.contains("waist girth 27 in") && page.contains("tear, 3"), "both are in the draft");
}

#[test]
fn a_message_that_is_sent_again_because_its_answer_was_lost_is_done_once() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &NEW);
    window.write(&["hem girth 120 cm"]);
    for (what, mut message) in [
        ("stroke", json!({ "act": "write", "text": "waist girth 27 in" })),
        ("typed", json!({ "text": "tear, 3 mm", "caret": 3 })),
        ("typed", json!({ "text": "", "caret": 0 })),
        ("enter", json!({ "reason": "" })),
    ] {
        message["version"] = json!(window.version);
        message["window"] = json!(format!("one window, {}", window.version));
        let path = format!("{}/{what}", window.address);
        let (first, again) = (bench.send(&path, &message).done(), bench.send(&path, &message).done());
        assert_eq!(first.json()["version"], again.json()["version"], "{what}: {}", again.body);
        assert_eq!(first.json()["what"], again.json()["what"], "{what}: {}", again.body);
        window.version = first.json()["version"].as_u64().unwrap_or(window.version);
    }
    let file = desk.catalogue.piece("2031.7").expect("entered");
    assert_eq!((file.examinations.len(), file.examinations[0].measurements.len()), (1, 2));
    desk.is_sound();
}

#[test]
fn the_second_to_enter_sees_both_versions_and_chooses_field_by_field() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let number = desk.catalogue.list().expect("a list")[0].number.clone();
    let (bench_one, bench_two) = (Bench::at(desk.folder(), AUTHOR), Bench::at(desk.folder(), "Ida Holm"));
    let mut one = Window::begin(&bench_one, &[("number", &number)]);
    let mut two = Window::begin(&bench_two, &[("number", &number)]);
    let facts = |window: &mut Window<'_>, text: &str| {
        window.say("stroke", json!({ "act": "write", "key": 1, "text": text })).done();
    };
    facts(&mut one, "piece: title: One title; place: Bath; maker: A maker");
    facts(&mut two, "piece: place: York");
    two.write(&["piece: title: Another title"]);
    one.write(&["waist girth 27 in"]);
    two.write(&["waist girth 28 in"]);
    let reason = json!({ "reason": "label read again" });
    one.say("enter", reason.clone()).done();
    let answer = two.say("enter", reason.clone());
    assert_eq!(answer.status, StatusCode::CONFLICT, "{}", answer.body);
    let both = answer.json()["meanwhile"].as_str().expect("both versions").to_owned();
    for word in ["One title", "Another title", "Bath", "York", "27 in", "about the same"] {
        assert!(both.contains(word), "{word}:\n{both}");
    }
    assert!(!both.contains("A maker"), "what only the other changed is no question: {both}");
    let file = desk.catalogue.piece(&number).expect("there");
    assert_eq!(file.piece.title.as_deref(), Some("One title"), "nothing was entered yet");
    let shown: Vec<&str> = both.split("data-id=\"").skip(1).filter_map(|l| l.split('"').next()).collect();
    let mut two = Window::open(&bench_two, &two.address);
    let undecided = two.say("enter", json!({ "reason": "x", "choices": { "1": { "title": "mine" } }, "shown": shown }));
    assert_eq!(undecided.status, StatusCode::CONFLICT, "a field without a choice is asked for again");
    let mut two = Window::open(&bench_two, &two.address);
    let choices = json!({ "1": { "title": "mine", "place": "theirs" } });
    let answer = two.say("enter", json!({ "reason": "label read again", "choices": choices, "shown": shown }));
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let file = desk.catalogue.piece(&number).expect("there");
    assert_eq!(
        (file.piece.title.as_deref(), file.piece.place.as_deref(), file.piece.maker.as_deref()),
        (Some("Another title"), Some("Bath"), Some("A maker"))
    );
    let waists = file.examinations.iter().flat_map(|e| &e.measurements).filter(|m| m.what.readings.len() == 1);
    assert!(waists.count() >= 2, "the observations of both stand");
    desk.is_sound();
}

#[test]
fn a_change_of_a_fact_needs_a_reason_and_the_draft_stays() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let number = desk.catalogue.list().expect("a list")[0].number.clone();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &[("number", &number)]);
    let answer = window.say("stroke", json!({ "act": "write", "key": 1, "text": "piece: title: Another" })).done();
    assert_eq!(answer.json()["corrects"], json!(true));
    let refused = window.enter();
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.json()["wrong"].as_str().expect("words").contains("say why"), "{}", refused.body);
    window.say("enter", json!({ "reason": "label found" })).done();
    assert_eq!(desk.catalogue.piece(&number).expect("there").piece.title.as_deref(), Some("Another"));
}

#[test]
fn strangers_write_nothing_and_script_stays_text() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let evil = "\"><img data-planted src=x onerror=alert(1)>";
    let mut window = Window::begin(&bench, &[("number", evil), ("object_name", evil), ("garment", evil)]);
    for what in ["typed", "stroke", "enter", "fields"] {
        let value = json!({ "version": window.version, "act": "write", "text": "tear" });
        let answer = bench.send_with(&format!("{}/{what}", window.address), &value, "a guess");
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{what}: {}", answer.body);
    }
    let quoted = evil.replace('"', "\\\"");
    window.write(&[&format!("tear, note: \"{quoted}\", place: {evil}"), evil]);
    let echo = window.say("typed", json!({ "text": format!("step: {evil}"), "caret": 3 })).done();
    let refused = window.enter();
    let fields = window.say("fields", json!({ "text": format!("step: {evil}") })).done();
    let pages = [
        bench.get("/examine").body,
        bench.get(&window.address).body,
        echo.json()["echo"].to_string(),
        refused.json()["lines"].to_string(),
        fields.json()["fields"].to_string(),
    ];
    for page in pages {
        assert!(!page.contains("<img data-planted"), "{page}");
        assert!(!page.contains("style=\"") && !page.contains("onclick"), "{page}");
    }
    for strange in ["/examine/../catalogue.sqlite", "/examine/x", "/examine/00000000-0000-0000-0000-000000000000"] {
        assert_eq!(bench.get(strange).status, StatusCode::NOT_FOUND, "{strange}");
    }
    assert!(bench.send(&format!("{}/stroke", window.address), &json!({ "version": "x" })).status.is_client_error());
}

#[test]
fn an_examination_again_brings_the_damage_of_the_last_to_look_at() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let file = desk.catalogue.list().map(|l| desk.catalogue.piece(&l[0].number).expect("there")).expect("a list");
    let Some(note) = file.examinations[0].conditions.first().cloned() else { panic!("the sheet has a condition note") };
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &[("number", file.number())]);
    let page = bench.get(&window.address).body;
    let id = note.id.clone().expect("an id");
    let line = page.split("data-line=\"").find(|l| l.contains(&id)).and_then(|l| l.split('"').next()).expect("a line");
    let line = line.replace("&quot;", "\"").replace("&#39;", "'").replace("&#x27;", "'");
    window.write(&[&format!("{line} severity: moderate")]);
    let answer = window.enter();
    assert_eq!(answer.status, StatusCode::OK, "{line} {}", answer.body);
    let file = desk.catalogue.piece(file.number()).expect("there");
    let again = file.examinations.iter().flat_map(|e| &e.conditions).find(|c| c.what.continues.is_some());
    assert_eq!(again.and_then(|c| c.what.continues.clone()), Some(id));
}

#[test]
fn an_observation_is_corrected_with_a_reason_and_another_may_be_withdrawn() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let number = desk.catalogue.list().expect("a list")[0].number.clone();
    let before = desk.catalogue.piece(&number).expect("there");
    let exam = &before.examinations[0];
    let (measured, note) = (&exam.measurements[0], &exam.conditions[0]);
    let (id, note_id) = (measured.id.clone().expect("an id"), note.id.clone().expect("an id"));
    let bench = Bench::at(desk.folder(), AUTHOR);
    let about = exam.about.id.clone().expect("an id");
    let mut window = Window::begin(&bench, &[("number", &number), ("examination", &about)]);
    let taken = window.say("stroke", json!({ "act": "take", "text": id })).done().json();
    let name = measured.what.dimension.as_ref().expect("a dimension").name().to_owned();
    let text = format!("measurement: {name} 99 cm");
    window.say("stroke", json!({ "act": "write", "key": taken["key"], "text": text })).done();
    let taken = window.say("stroke", json!({ "act": "take", "text": note_id })).done().json();
    let line =
        taken["lines"].as_str().expect("lines").split(&format!("data-key=\"{}\" data-text=\"", taken["key"])).nth(1);
    let line = line.and_then(|l| l.split('"').next()).expect("the line").replace("&quot;", "\"");
    let line = format!("{line}; withdrawn: another piece");
    window.say("stroke", json!({ "act": "write", "key": taken["key"], "text": line })).done();
    assert_eq!(window.enter().status, StatusCode::UNPROCESSABLE_ENTITY, "a correction needs a reason");
    let answer = window.say("enter", json!({ "reason": "tape read again" }));
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = desk.catalogue.piece(&number).expect("there");
    assert_eq!(after.examinations.len(), before.examinations.len());
    let exam = &after.examinations[0];
    assert_eq!(exam.measurements[0].what.readings[0].as_written, "99 cm");
    assert_eq!(exam.measurements.len(), before.examinations[0].measurements.len(), "the earlier one is replaced");
    assert!(!exam.conditions.iter().any(|c| c.id.as_ref() == Some(&note_id)), "the note is withdrawn");
    assert_eq!(desk.sql().one(&format!("SELECT replaced_by IS NOT NULL FROM observation WHERE uid = '{id}'")), "1");
    desk.is_sound();
}
