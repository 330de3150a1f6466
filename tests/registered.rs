//! Two photographs are laid over each other by marks, and it is said whether they may be compared, through the real
//! program.

mod support;

use serde_json::{Value, json};
use support::{PLAIN, Room, SPENCER};

const MARKS: [&str; 10] = [
    "--mark",
    "20,20 = 40,30",
    "--mark",
    "380,20 = 400,30",
    "--mark",
    "380,280 = 400,290",
    "--mark",
    "20,280 = 40,290",
    "--mark",
    "200,150 = 220,160",
];

/// A room with two photographs of the spencer and one of another piece; what is drawn on them lies 20 by 10 pixels
/// further on the others, and the last has a stain.
fn room() -> (Room, [String; 3]) {
    let room = Room::with(&[SPENCER, PLAIN]);
    let picture = |name: &str, by: (f64, f64), stain: bool| {
        let path = room.path().join(name);
        let drawn = image::RgbImage::from_fn(440, 320, |x, y| {
            let (u, v) = (f64::from(x) - by.0, f64::from(y) - by.1);
            let wave = |k: f64, at: f64| 150.0 + 50.0 * (at / k).sin();
            let stain = if stain && (u - 200.0).hypot(v - 150.0) < 30.0 { 0.3 } else { 1.0 };
            [wave(31.0, u + v), wave(43.0, u - v), wave(37.0, v)].map(|c| (c * stain) as u8).into()
        });
        drawn.save(&path).expect("saved");
        path.to_str().expect("plain").to_owned()
    };
    let files = [
        picture("before.png", (0.0, 0.0), false),
        picture("after.png", (20.0, 10.0), true),
        picture("other.png", (20.0, 10.0), false),
    ];
    for (file, number) in files.iter().zip(["2031.1", "2031.1", "2031.2"]) {
        room.run(&["photo", "add", number, file, "--view", "front", "--light", "daylight"]).done();
    }
    let sha = |number: &str, at: usize| {
        let piece = room.run(&["show", number, "--json"]).json().remove(0);
        piece["photographs"][at]["sha256"].as_str().expect("a text")[..10].to_owned()
    };
    let all = [sha("2031.1", 0), sha("2031.1", 1), sha("2031.2", 0)];
    (room, all)
}

fn register(room: &Room, first: &str, second: &str, more: &[&str]) -> support::Said {
    room.run(&[&["photo", "register", first, second][..], more].concat())
}

#[test]
fn without_marks_it_is_only_said_whether_the_two_may_be_compared() {
    let (room, [first, second, _]) = room();
    let said = register(&room, &first, &second, &[]).done();
    for part in ["view: alike; front | front", "focal length: not known", "Not registered: give four marks"] {
        assert!(said.contains(part), "`{part}` should stand in\n{said}");
    }
    let before = room.run(&["journal", "--json"]).json().len();
    register(&room, &first, &second, &[]).done();
    assert_eq!(room.run(&["journal", "--json"]).json().len(), before, "asking changes nothing");
}

#[test]
fn marks_are_kept_replaced_and_shown_in_reports() {
    let (room, [first, second, other]) = room();
    let said = register(&room, &first, &second, &MARKS).done();
    assert!(said.contains("Registered by 5 marks, missed by 0.0 px (rms)"), "{said}");
    let said = register(&room, &first, &second, &MARKS[..8]).done();
    assert!(said.contains("Registered by 4 marks; a fifth would tell"), "{said}");
    let kept = room.run(&["show", "2031.1", "--json"]).json().remove(0)["photographs"][0]["registered"].take();
    assert_eq!(kept.as_array().map(Vec::len), Some(1), "one stands: {kept}");
    assert_eq!(kept[0]["marks"][0], json!([[20.0, 20.0], [40.0, 30.0]]));
    assert_eq!(kept[0]["residual_px"], Value::Null);
    let json = register(&room, &first, &second, &["--json"]).json().remove(0);
    assert_eq!(json["registration"]["id"], kept[0]["id"]);
    let page = room.run(&["report", "condition", "2031.1", "--out", "-"]).done();
    // The second was taken 20 pixels beside and 10 below, so that of 440 by 320 pixels 420 by 310 are on both: 92 %.
    for part in ["one over the other", "92 % of the first", "Where they differ", "Focal length", "type=\"range\""] {
        assert!(page.contains(part), "`{part}` should stand in the report");
    }
    register(&room, &other, &first, &MARKS[..8]).done();
    let sheet = room.run(&["report", "comparison", "2031.1", "--with", "2031.2", "--out", "-"]).done();
    assert!(sheet.contains("One over the other"), "the two pieces were laid over each other");
    assert!(!sheet.contains(&second), "a pair of one piece is no comparison of two");
    assert!(room.run(&["check"]).done().contains("all well"));
}

#[test]
fn marks_that_cannot_be_are_refused_with_the_mend_and_nothing_is_kept() {
    let (room, [first, second, _]) = room();
    for (second, marks, says) in [
        (&second, &["1,1 = 1,1", "9,9 = 9,9", "5,1 = 5,1"][..], "four places are needed, not 3"),
        (&second, &["1,1 = 1,1", "2,2 = 2,2", "3,3 = 3,3", "9,1 = 9,1"], "lie in one line"),
        (&second, &["1,1 = 1,1", "9,1 = 9,1", "9,9 = 9,9", "1,900 = 1,9"], "1,900 lies outside the picture"),
        (&second, &["1,1"], "write its place on the first and on the second"),
        (&first, &["1,1 = 1,1", "9,1 = 9,1", "9,9 = 9,9", "1,9 = 1,9"], "not laid over itself"),
    ] {
        let marks: Vec<&str> = marks.iter().flat_map(|m| ["--mark", m]).collect();
        let said = register(&room, &first, second, &marks).refused();
        assert!(said.contains(says), "`{says}` should stand in\n{said}");
    }
    let kept = room.run(&["show", "2031.1", "--json"]).json().remove(0)["photographs"][0]["registered"].take();
    assert_eq!(kept, json!([]));
}

#[test]
fn marks_are_taken_back_with_a_reason_and_those_before_hold_again() {
    let (room, [first, second, _]) = room();
    let back = |reason: &[&str]| register(&room, &first, &second, &[&["--take-back"][..], reason].concat());
    assert!(back(&["--reason", "none there"]).refused().contains("not laid over each other"));
    register(&room, &first, &second, &MARKS[..8]).done();
    register(&room, &first, &second, &MARKS).done();
    let without = back(&[]);
    assert!(without.code == Some(2) && without.err.contains("--reason"), "not without a reason: {without:?}");
    let said = back(&["--reason", "a mark on a shadow"]).done();
    assert!(said.contains("those set before hold again") && said.contains("Registered by 4 marks"), "{said}");
    let said = back(&["--reason", "not the same place"]).done();
    assert!(said.contains("not laid over each other any more") && said.contains("Not registered"), "{said}");
    assert!(room.run(&["journal"]).done().contains("not the same place"));
    assert!(room.run(&["check"]).done().contains("all well"));
}
