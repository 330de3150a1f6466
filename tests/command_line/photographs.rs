//! What is said of a photograph is put right, and a photograph is taken off a piece that it does not show.

use dimity::catalogue::Catalogue;
use dimity::vocabulary::TermId;
use serde_json::{Value, json};

use crate::holds;
use crate::support::{PLAIN, Room, SPENCER, clock};

/// Two pieces; the first has a photograph of which everything is said. Its SHA-256.
fn room() -> (Room, String) {
    let room = Room::with(&[SPENCER, PLAIN]);
    let one = room.photograph("one.png", 1);
    let said = "--view front --light daylight --examination 2031-03-02 --stage before --photographer Wren --caption of";
    let mut add = vec!["photo", "add", "2031.1", &one, "--component", "left front"];
    add.extend(["--treatment", "Support of the tear"]);
    add.extend(said.split(' '));
    room.run(&add).done();
    let sha = photographs(&room, "2031.1")[0]["sha256"].as_str().expect("a text").to_owned();
    (room, sha)
}

fn photographs(room: &Room, number: &str) -> Vec<Value> {
    room.run(&["show", number, "--json"]).json()[0]["photographs"].as_array().expect("a list").clone()
}

fn catalogue(room: &Room) -> Catalogue {
    Catalogue::open(&room.collection(), clock()).expect("opens")
}

fn all_well(room: &Room) -> String {
    let said = room.run(&["check"]).done();
    assert!(said.contains("all well: database, journal and 1 photograph"), "{said}");
    said
}

#[test]
fn only_what_is_named_is_put_right_and_the_journal_tells_before_and_after() {
    let (room, sha) = room();
    let before = photographs(&room, "2031.1").remove(0);
    let row = catalogue(&room).revision().expect("reads").row;
    let why = ["--reason", "looked at the wrong list"];
    let mut asked = vec!["photo", "correct", &sha[..8], "--view", "back", "--caption", "of <b>the back</b>"];
    asked.extend(["--strike", "stage,treatment", "--component", "watch pocket"]);
    let said = room.run(&[&asked[..], &why].concat()).done();
    assert_eq!(
        said,
        "2031.1: component was `left front`, is now `watch pocket`\n\
         2031.1: treatment was `Support of the tear`, is now not recorded\n\
         2031.1: view was `front`, is now `back`\n2031.1: stage was `before`, is now not recorded\n\
         2031.1: caption was `of`, is now `of <b>the back</b>`\n"
    );
    let now = photographs(&room, "2031.1").remove(0);
    for (field, value) in [
        ("view", json!("back")),
        ("component", json!("watch pocket")),
        ("caption", json!("of <b>the back</b>")),
        ("stage", Value::Null),
        ("treatment", Value::Null),
        // Nobody named these.
        ("light", json!("daylight")),
        ("examination", json!("2031-03-02")),
        ("photographer", json!("Wren")),
        ("id", before["id"].clone()),
        ("sha256", before["sha256"].clone()),
    ] {
        assert_eq!(now[field], value, "{field}");
    }
    let journal = room.run(&["journal", "2031.1", "--json"]).json();
    let told = journal.iter().rfind(|r| r["in_table"] == "photograph_of").expect("journalled");
    assert_eq!((&told["act"], &told["reason"]), (&json!("update"), &json!("looked at the wrong list")));
    for (state, view, caption) in [("before", "front", "of"), ("after", "back", "of <b>the back</b>")] {
        let state = match &told[state] {
            Value::String(text) => serde_json::from_str(text).expect("JSON"),
            other => other.clone(),
        };
        assert_eq!((&state["view"], &state["caption"]), (&json!(format!("view/{view}")), &json!(caption)));
    }
    let then = catalogue(&room).piece_after("2031.1", row).expect("tells").expect("there");
    assert_eq!(then.photographs[0].caption.as_deref(), Some("of"), "as it stood before");
    assert_eq!(then.photographs[0].stage.as_deref(), Some("before"));

    let again = ["photo", "correct", &sha, "--view", "back", "--reason", "once more"];
    holds(&room.run(&again).done(), &["2031.1: nothing changed; it is recorded so already"]);
    let changed = ["photo", "correct", &sha, "--of", "2031.1", "--strike", "view", "--reason", "unsure", "--json"];
    let changed = room.run(&changed).json().remove(0);
    assert_eq!(changed["changed"], json!([{ "what": "view", "before": "back", "after": null }]));
    all_well(&room);
}

#[test]
fn what_cannot_be_so_is_refused_and_nothing_changes() {
    let (room, sha) = room();
    let row = catalogue(&room).revision().expect("reads").row;
    for (asked, says) in [
        (&["--reason", "r"][..], "nothing is named that is to be put right"),
        (&["--view", "back", "--reason", " "], "say why"),
        (&["--view", "backside", "--reason", "r"], "backside"),
        (&["--component", "hood", "--reason", "r"], "this piece has no component `hood`"),
        (&["--examination", "2030-01-01", "--reason", "r"], "this piece has no examination on `2030-01-01`"),
        (&["--treatment", "Wash", "--reason", "r"], "this piece has no treatment `Wash`"),
        (&["--caption", " ", "--reason", "r"], "a blank caption erases nothing"),
        (&["--photographer", "", "--reason", "r"], "a blank photographer erases nothing"),
        (&["--caption", "x", "--strike", "caption", "--reason", "r"], "give one of them"),
        (&["--of", "2031.2", "--view", "back", "--reason", "r"], "does not show `2031.2`, but `2031.1`"),
        (&["--of", "2031.9", "--view", "back", "--reason", "r"], "2031.9"),
    ] {
        let asked = [&["photo", "correct", &sha], asked].concat();
        holds(&room.run(&asked).refused(), &[says]);
    }
    holds(&room.run(&["photo", "correct", "ffffffff", "--view", "back", "--reason", "r"]).refused(), &["begins with"]);
    room.run(&["photo", "add", "2031.2", &room.photograph("same.png", 1)]).done();
    let both = catalogue(&room).revision().expect("reads").row;
    assert!(both > row);
    let vague = ["photo", "correct", &sha, "--view", "back", "--reason", "r"];
    holds(&room.run(&vague).refused(), &["shows `2031.1`, `2031.2`; say of which with `--of NUMBER`"]);
    room.run(&["withdraw", "2031.1", "--reason", "on loan for ever"]).done();
    for command in ["correct", "untie"] {
        let mut asked = vec!["photo", command, &sha, "--of", "2031.1", "--reason", "r"];
        asked.extend((command == "correct").then_some(["--view", "back"]).into_iter().flatten());
        holds(&room.run(&asked).refused(), &["was withdrawn on"]);
    }
    assert_eq!(catalogue(&room).revision().expect("reads").row, both + 1, "but for the withdrawal nothing was written");
}

#[test]
fn a_photograph_is_taken_off_kept_and_tied_to_the_piece_that_it_shows() {
    let (room, sha) = room();
    room.run(&["photo", "scale", &sha, "--between", "1,1", "39,1", "--length", "2 cm"]).done();
    let row = catalogue(&room).revision().expect("reads").row;
    let short = &sha[..8];
    let said = room.run(&["photo", "untie", &sha, "--reason", "shows the stays"]).done();
    holds(&said, &["one.png (", "taken off 2031.1; the original is kept; `dimity photo untie ", "--onto NUMBER"]);
    assert!(photographs(&room, "2031.1").is_empty());
    holds(&room.run(&["find", "has:photograph"]).done(), &["no piece"]);
    let then = catalogue(&room).piece_after("2031.1", row).expect("tells").expect("there");
    assert_eq!(then.photographs[0].view.as_ref().map(TermId::name), Some("front"), "as it stood before");

    // The original is known as kept: no finding, but a word of it.
    let checked = all_well(&room);
    holds(
        &checked,
        &["`one.png` shows no piece and is kept: taken off 2031.1 on ", ": shows the stays; `dimity photo untie "],
    );
    let of_journal = room.run(&["journal", "2031.1"]).done();
    holds(&of_journal, &["shows the stays"]);
    for asked in [&["photo", "sampling", short][..], &["photo", "correct", short, "--view", "back", "--reason", "r"]] {
        holds(&room.run(asked).refused(), &["shows no piece and is kept: taken off 2031.1"]);
    }
    holds(&room.run(&["photo", "untie", short, "--reason", "again"]).refused(), &["shows no piece and is kept"]);
    holds(&room.run(&["photo", "untie", short, "--onto", "2031.9", "--reason", "r"]).refused(), &["2031.9"]);

    // It goes along with a backup and with an export that is read back.
    room.run(&["backup", "copy"]).done();
    room.run(&["export", "json", "--out", "out"]).done();
    room.run(&["--in", "again", "import", "json", "out/catalogue.json"]).done();
    for copy in ["copy", "again"] {
        let stored = room.path().join(copy).join(format!("photographs/{}/{sha}.png", &sha[..2]));
        assert!(stored.exists(), "{}", stored.display());
    }
    holds(&room.run(&["--in", "again", "check"]).done(), &["all well", "`one.png` shows no piece and is kept"]);

    // What is true of the picture itself goes along to another piece; what was of the first does not.
    let onto = ["photo", "untie", short, "--onto", "2031.2", "--reason", "the stays"];
    holds(&room.run(&onto).done(), &["tied to 2031.2; the original is kept\n"]);
    let photo = photographs(&room, "2031.2").remove(0);
    for (field, value) in [("view", "front"), ("light", "daylight"), ("photographer", "Wren"), ("caption", "of")] {
        assert_eq!(photo[field], value, "{field}");
    }
    for field in ["component", "examination", "treatment", "stage"] {
        assert_eq!(photo[field], Value::Null, "{field}");
    }
    assert!(photo["scale"].is_object(), "the scale is of the picture: {photo}");
    holds(&room.run(&["find", "has:photograph"]).done(), &["2031.2"]);
    assert!(!all_well(&room).contains("shows no piece"));

    // In one act back again, and off and on to the same piece as it was there.
    let back = room.run(&["photo", "untie", short, "--onto", "2031.1", "--reason", "no, the spencer", "--json"]).json();
    assert_eq!((&back[0]["off"], &back[0]["onto"]), (&json!("2031.2"), &json!("2031.1")));
    let right = ["photo", "correct", short, "--component", "left front", "--stage", "after", "--reason", "r"];
    room.run(&right).done();
    holds(
        &room.run(&["photo", "untie", short, "--onto", "2031.1", "--reason", "r"]).refused(),
        &["it would be tied to `2031.1` again"],
    );
    room.run(&["photo", "untie", short, "--of", "2031.1", "--reason", "a slip"]).done();
    room.run(&["photo", "untie", short, "--onto", "2031.1", "--reason", "it was right"]).done();
    let photo = photographs(&room, "2031.1").remove(0);
    assert_eq!((&photo["component"], &photo["stage"]), (&json!("left front"), &json!("after")));
    all_well(&room);
}

#[test]
fn what_hangs_on_the_piece_is_named_and_taken_away_first() {
    let (room, sha) = room();
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let tear = piece["examinations"][0]["condition"][0]["id"].as_str().expect("an id").to_owned();
    for region in [
        &["outline 1,1 9,1 9,9", "--shows", &tear][..],
        &["outline 1,1 9,1 9,9", "--outlines", "left front"],
        &["point 3,3", "--note", "a speck on the lens"],
    ] {
        room.run(&[&["photo", "region", &sha], region].concat()).done();
    }
    let row = catalogue(&room).revision().expect("reads").row;
    let untie = ["photo", "untie", &sha, "--reason", "shows the stays"];
    let says = ["the regions A, B tell of what is recorded of `2031.1`", "--remove A --reason TEXT`"];
    holds(&room.run(&untie).refused(), &says);
    assert_eq!(catalogue(&room).revision().expect("reads").row, row, "nothing was written");
    for letter in ["A", "B"] {
        room.run(&["photo", "region", &sha, "--remove", letter, "--reason", "of the other"]).done();
    }
    room.run(&[&untie[..], &["--onto", "2031.2"]].concat()).done();
    let drawn = photographs(&room, "2031.2")[0]["regions"].clone();
    assert_eq!(drawn[0]["note"], "a speck on the lens", "what is of the picture stays with it");
    // What tells of the former piece is not drawn again where that is not shown, and is where it is shown again.
    for letter in ["A", "B"] {
        let back = ["photo", "region", &sha, "--put-back", letter];
        holds(&room.run(&back).refused(), &["from which this photograph was taken off", "tie the photograph"]);
    }
    room.run(&["photo", "untie", &sha, "--onto", "2031.1", "--reason", "it was right"]).done();
    for letter in ["A", "B"] {
        room.run(&["photo", "region", &sha, "--put-back", letter]).done();
    }
    all_well(&room);
}

#[test]
fn what_was_taken_off_a_piece_is_erased_with_it() {
    let (room, sha) = room();
    room.run(&["photo", "untie", &sha, "--reason", "shows the donor"]).done();
    let purge = room.run(&["purge", "2031.1", "--reason", "the donor's wish", "--yes", "--json"]).json().remove(0);
    assert_eq!(purge["photographs"].as_array().map(Vec::len), Some(1), "{purge}");
    assert!(!room.collection().join(format!("photographs/{}/{sha}.png", &sha[..2])).exists());
    holds(&room.run(&["check"]).done(), &["all well: database, journal and 0 photographs"]);
}
