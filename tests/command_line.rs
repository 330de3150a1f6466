//! The command line as a stranger meets it: what each command prints, how it ends, and each refusal's words.

mod support;

use serde_json::{Value, json};
use support::{AGAIN, PLAIN, Room, SPENCER, second};

const COMMANDS: [&str; 13] = [
    "demo", "new", "sheet", "enter", "list", "find", "show", "photo", "report", "compare", "terms", "journal", "check",
];

fn holds(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` should stand in\n{text}");
    }
}

#[test]
fn every_command_has_help_and_stands_in_the_help_of_all() {
    let room = Room::bare();
    let all = room.run(&["--help"]).done();
    for command in COMMANDS {
        holds(&all, &[&format!("\n  {command} ")]);
        let help = room.run(&[command, "--help"]).done();
        assert!(help.lines().next().is_some_and(|l| l.len() > 20), "`{command}` is not explained:\n{help}");
    }
    for (command, parts) in [
        ("photo", ["add", "count", "read", "region"].as_slice()),
        ("report", &["catalogue", "condition", "comparison", "index"]),
    ] {
        let help = room.run(&[command, "--help"]).done();
        for part in parts {
            holds(&help, &[&format!("\n  {part} ")]);
            room.run(&[command, part, "--help"]).done();
        }
    }
}

#[test]
fn what_is_not_understood_exits_with_2_and_names_the_usage() {
    let room = Room::new();
    for arguments in [
        &["frobnicate"][..],
        &[],
        &["show"],
        &["enter"],
        &["compare", "1"],
        &["list", "--colour"],
        &["photo", "add", "1"],
        &["photo", "add", "1", "x.jpg", "--stage", "later"],
        &["sheet", "1", "--blank", "--again"],
        &["sheet", "1", "--examination", "spring"],
        &["terms", "fibre", "--add", "x"],
        &["report", "condition"],
    ] {
        let said = room.run(arguments);
        assert_eq!(said.code, Some(2), "`{}`: {}", said.asked, said.err);
        assert!(said.out.is_empty() && said.err.contains("--help"), "{said:?}");
    }
}

#[test]
fn new_makes_an_empty_catalogue_and_never_takes_a_full_folder() {
    let room = Room::bare();
    let out = room.run(&["new", "collection"]).done();
    holds(&out, &["made an empty catalogue in collection", "next: cd collection && dimity sheet"]);
    holds(&room.run(&["list"]).done(), &["no pieces yet", "dimity enter"]);
    assert!(room.collection().join("READ-ME-FIRST.txt").is_file());
    for command in ["new", "demo"] {
        let err = room.run(&[command, "collection"]).refused();
        assert_eq!(err, "dimity: `collection` is not empty; name a new or empty folder\n");
        room.write("a-file", "kept");
        let err = room.run(&[command, "a-file"]).refused();
        holds(&err, &["`a-file` is not empty"]);
        assert_eq!(std::fs::read(room.path().join("a-file")).expect("still there"), b"kept");
    }
    std::fs::create_dir(room.path().join("empty")).expect("made");
    room.run(&["new", "empty"]).done();
}

#[test]
fn without_a_catalogue_each_command_says_how_to_begin() {
    let room = Room::bare();
    let sheet = room.write("s.toml", PLAIN);
    let photo = room.photograph("p.png", 1);
    for arguments in [
        &["list"][..],
        &["find", "x"],
        &["show", "1"],
        &["enter", &sheet],
        &["journal"],
        &["check"],
        &["compare", "1", "--with", "2"],
        &["photo", "add", "1", &photo],
        &["photo", "region", "abcdef", "point 1,1"],
        &["report", "index"],
        &["report", "catalogue", "1"],
        &["report", "condition", "1"],
        &["report", "comparison", "1", "--with", "2"],
        &["terms", "fibre", "--remove", "x"],
        &["terms", "fibre", "--add", "x", "--definition", "d", "--source", "s"],
    ] {
        let err = room.run(arguments).refused();
        assert_eq!(
            err,
            "dimity: there is no catalogue in `collection`; `dimity new collection` makes an empty one, `--in DIR` names another folder\n",
            "{arguments:?}"
        );
    }
    // What needs none works without.
    room.run(&["sheet", "1", "--for", "spencer"]).done();
    room.run(&["sheet", "--form"]).done();
    room.run(&["terms", "fibre"]).done();
    room.run(&["photo", "read", &photo]).done();
    assert!(!room.collection().exists(), "nothing may be made in passing");
}

#[test]
fn an_unknown_piece_is_answered_with_the_nearest() {
    let room = Room::with(&[SPENCER, PLAIN]);
    let photo = room.photograph("p.png", 1);
    for arguments in [
        &["show", "2031.11"][..],
        &["journal", "2031.11"],
        &["compare", "2031.11", "--with", "2031.2"],
        &["compare", "2031.2", "--with", "2031.11"],
        &["photo", "add", "2031.11", &photo],
        &["report", "catalogue", "2031.11"],
        &["report", "condition", "2031.11"],
        &["report", "comparison", "2031.2", "--with", "2031.11"],
    ] {
        assert_eq!(
            room.run(arguments).refused(),
            "dimity: there is no piece `2031.11`; did you mean `2031.1`?\n",
            "{arguments:?}"
        );
    }
    assert_eq!(room.run(&["show", "Q"]).refused(), "dimity: there is no piece `Q`\n");
    assert!(
        !room.collection().join("photographs").exists(),
        "no photograph may be copied for a piece that is not there"
    );
}

#[test]
fn an_unknown_examination_day_is_answered_with_those_there_are() {
    let room = Room::with(&[SPENCER, AGAIN, PLAIN]);
    let photo = room.photograph("p.png", 1);
    for arguments in [
        &["sheet", "2031.1", "--examination", "2031-03-03"][..],
        &["report", "condition", "2031.1", "--examination", "2031-03-03"],
    ] {
        assert_eq!(
            room.run(arguments).refused(),
            "dimity: `2031.1` has no examination on 2031-03-03; there are: 2031-03-02, 2034-03-02\n"
        );
    }
    holds(&room.run(&["sheet", "2031.2", "--examination", "2031-03-03"]).refused(), &["it has not been examined"]);
    holds(
        &room.run(&["report", "condition", "2031.2"]).refused(),
        &["`2031.2` has not been examined; `dimity sheet 2031.2`"],
    );
    for (flag, value, what) in [
        ("--examination", "2031-03-03", "examination on `2031-03-03`"),
        ("--component", "tail", "component `tail`"),
        ("--treatment", "bath", "treatment `bath`"),
        ("--view", "frnt", "did you mean `front`"),
        ("--light", "moon", "`moon` is no"),
    ] {
        holds(&room.run(&["photo", "add", "2031.1", &photo, flag, value]).refused(), &[what]);
    }
    assert_eq!(room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"], json!([]));
}

#[test]
fn a_blank_sheet_teaches_and_reads_back() {
    let room = Room::new();
    let blank = room.run(&["sheet", "2032.1", "--for", "spencer"]).done();
    holds(
        &blank,
        &[
            "a blank means NOT RECORDED",
            "number = \"2032.1\"",
            "garment = \"spencer\"",
            "[[measurement]]",
            "readings = []",
            "# [[hazard]]",
        ],
    );
    let path = room.write("s.toml", &blank);
    let err = room.run(&["enter", &path]).refused();
    holds(&err, &["`nature` is missing here", "`object_name` is missing here"]);
    assert_eq!(err.matches(" is missing here").count(), 2, "only what every piece needs is asked for:\n{err}");
    let filled = blank
        .replace("nature = \"\"", "nature = \"extant\"")
        .replace("object_name = \"\"", "object_name = \"spencer\"");
    let path = room.write("s.toml", &filled);
    holds(&room.run(&["enter", &path]).done(), &["s.toml: 2032.1: new piece"]);
    let stored = room.run(&["show", "2032.1", "--json"]).json().remove(0);
    assert_eq!(stored["examinations"], json!([]), "blanks are no examination");
    // A known piece prints filled, unless a blank one is asked for.
    holds(&room.run(&["sheet", "2032.1"]).done(), &["nature = \"extant\""]);
    holds(&room.run(&["sheet", "2032.1", "--blank"]).done(), &["nature = \"\""]);
    holds(&room.run(&["sheet", "2032.1", "--for", "spencr"]).refused(), &["`spencr` is no", "did you mean `spencer`"]);
    holds(&room.run(&["sheet"]).refused(), &["give its accession number"]);
}

#[test]
fn the_form_is_a_page_for_a_pencil_and_says_what_it_is_given_as_text() {
    let room = Room::new();
    let page = room.run(&["sheet", "2032.1", "--for", "spencer", "--form", "--paper", "letter"]).done();
    holds(&page, &["<html", "2032.1"]);
    let page = room.run(&["sheet", "<script>alert(1)</script>", "--form"]).done();
    assert!(!page.contains("<script>alert(1)"), "the number is text, not markup");
}

#[test]
fn sheet_again_carries_the_condition_notes_forward() {
    let room = Room::with(&[SPENCER]);
    let again = room.run(&["sheet", "2031.1", "--again"]).done();
    holds(&again, &["A new examination", "damage = \"tear\"", "extent = \"12 mm\"", "continues = \""]);
    assert!(!again.contains("[[textile]]"), "only condition notes go forward:\n{again}");
    let path = room.write(
        "again.toml",
        again.replace("examiner = \"\"", "").replace("[examination]", "[examination]\nexaminer = \"Wren Askerdale\""),
    );
    holds(&room.run(&["enter", &path]).done(), &["2 added"]);
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    // Today is before the day of the sheet in the story, so the new examination stands first.
    assert_eq!(piece["examinations"][0]["condition"][0]["continues"], piece["examinations"][1]["condition"][0]["id"]);
}

#[test]
fn enter_says_in_a_line_what_it_did() {
    let room = Room::new();
    let (one, two, bad) = (room.write("1.toml", SPENCER), room.write("2.toml", PLAIN), room.write("3.toml", "x = 1"));
    let out = room.run(&["enter", "--dry-run", &one]).done();
    holds(&out, &["1.toml: 2031.1: new piece, 13 added (dry run: nothing was changed)"]);
    assert_eq!(room.run(&["list", "--json"]).json(), [Value::Null; 0]);
    let said = room.run(&["enter", &one, &bad, &two]);
    assert_eq!(said.code, Some(1));
    holds(&said.out, &["1.toml: 2031.1: new piece, 13 added", "2.toml: 2031.2: new piece\n"]);
    holds(&said.err, &["3.toml:1:1: ", "the sheet has no [piece]"]);
    assert!(!said.err.contains("1.toml"), "the good sheets are entered");
    holds(&room.run(&["enter", &one]).done(), &["nothing new; all of it is recorded for 2031.1 already"]);
    assert_eq!(
        room.run(&["enter", "--json", &one]).json(),
        [json!({"number": "2031.1", "new_piece": false, "added": 0, "corrected": 0, "unchanged": 12})]
    );
    let sheet = room.run(&["sheet", "2031.1"]).done();
    let path = room.write("4.toml", sheet.replace("12 mm", "13 mm"));
    assert!(room.run(&["enter", &path]).refused().contains("this sheet corrects 1 line of what is recorded; say why"));
    holds(&room.run(&["enter", &path, "--reason", "misread"]).done(), &["1 corrected, 11 unchanged"]);
    holds(&room.run(&["enter", "none.toml"]).refused(), &["none.toml: cannot be read: "]);
}

#[test]
fn who_writes_is_the_examiner_unless_said_otherwise() {
    let room = Room::with(&[SPENCER]);
    let last = |room: &Room| room.run(&["journal", "--json"]).json().pop().expect("not empty")["author"].clone();
    assert_eq!(last(&room), "Wren Askerdale", "the examiner wrote the sheet");
    let path = room.write("s.toml", PLAIN);
    room.run(&["enter", &path]).done();
    assert_eq!(last(&room), "someone", "a sheet without an examination is by whoever is at the machine");
    let path = room.write("s.toml", AGAIN);
    room.run(&["--by", "Sabine Dunmarrow", "enter", &path]).done();
    assert_eq!(last(&room), "Sabine Dunmarrow");
    let path = room.write("s.toml", second("7"));
    let by = room.command(&["enter", &path]).env("DIMITY_BY", "Ida Farrow").output().expect("starts");
    assert!(by.status.success());
    assert_eq!(last(&room), "Ida Farrow");
    holds(
        &room.run(&["enter", &room.write("s.toml", second("8")), "--by", " "]).refused(),
        &["say who is writing: `--by NAME`"],
    );
}

#[test]
fn all_mistakes_of_a_sheet_are_shown_at_once_with_place_and_mend() {
    let room = Room::with(&[SPENCER]);
    let sheet = r#"reasn = "typing"
[piece]
number = "2031.9"
nature = "extnat"
date = "the year of the comet"
colour = "green"

[[component]]
name = "left front"
part_of = "left frnt"

[examination]
date = "2 March 2031"

[[textile]]
role = "shell"
fibres = ["lnen", { fibre = "silk", percent = "80 %" }, { fibre = "cotton", percent = "70 %" }]
warp = { twist = "sideways", ply = 1.5 }
ends = ["48"]
colours = [{ l = 138.2, a = "green", b = 0 }]

[[measurement]]
dimension = "centre back length"
readings = ["14 1/2 in", "14 1/2 cm", "14 1/2"]
taken = "loosely"

[[condition]]
component = "left fornt"
extent = "12 parsecs"
severity = true
"#;
    let path = room.write("bad.toml", sheet);
    let err = room.run(&["enter", &path]).refused();
    insta::assert_snapshot!("all_mistakes_of_a_sheet", err);
    let broken = room.write("broken.toml", "[piece]\nnumber = \"1\nnature = extant\n[piece]\n");
    insta::assert_snapshot!("a_sheet_that_is_no_toml", room.run(&["enter", &broken]).refused());
    assert_eq!(room.run(&["list", "--json"]).json().len(), 1, "nothing of it was entered");
}

#[test]
fn list_and_find_print_a_line_a_piece() {
    let room = Room::with(&[SPENCER, PLAIN, AGAIN]);
    assert_eq!(
        room.run(&["list"]).done(),
        "2031.1  spencer  c. 1815  extant             bay A, shelf 1\n2031.2  stays    undated  reconstruction     location not recorded\n"
    );
    let lines = room.run(&["list", "--json"]).json();
    assert_eq!(
        lines[0],
        json!({"number": "2031.1", "nature": "extant", "object_name": "spencer", "garment": "spencer", "title": "Green silk spencer",
               "date": "c. 1815", "earliest": 1810, "latest": 1820, "location": "bay A, shelf 1", "grade": "good",
               "fibres": ["silk", "cotton"], "examined": "2034-03-02", "photographs": 0, "photograph": null})
    );
    for (words, found) in [
        (&["spencer"][..], &["2031.1"][..]),
        (&["SPENC"], &["2031.1"]),
        (&["silk", "tear"], &["2031.1"]),
        (&["silk", "stays"], &[]),
        (&["Wren"], &["2031.1"]),
        (&["2031"], &["2031.1", "2031.2"]),
        (&["2031.2"], &["2031.2"]),
        (&["moderate"], &["2031.1"]),
        (&["crepeline"], &["2031.1"]),
        (&["Sabine Dunmarrow"], &["2031.1"]),
        (&["nowhere"], &[]),
        (&["encer"], &[]),
        (&["\""], &[]),
        (&["-"], &[]),
        (&["*"], &[]),
        (&["NOT"], &[]),
        (&["a OR b"], &[]),
        (&["number:x"], &[]),
        (&["("], &[]),
        (&["'"], &[]),
    ] {
        let arguments = [&["find", "--json", "--"][..], words].concat();
        let mut numbers: Vec<_> =
            room.run(&arguments).json().iter().map(|l| l["number"].as_str().unwrap_or("").to_owned()).collect();
        numbers.sort();
        assert_eq!(numbers, found, "{words:?}");
    }
    assert_eq!(room.run(&["find", "no", "such"]).done(), "no piece has all of: no such\n");
}

#[test]
fn show_prints_everything_and_json_keeps_words_and_figures() {
    let room = Room::with(&[SPENCER, AGAIN]);
    let shown = room.run(&["show", "2031.1"]).done();
    holds(
        &shown,
        &["number = \"2031.1\"", "# examination 1 of 2", "# examination 2 of 2", "14 1/2 in", "# 0 photographs"],
    );
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let reading = &piece["examinations"][0]["measurement"][0]["readings"][0];
    assert_eq!((&reading["as_written"], &reading["unit"]), (&json!("14 1/2 in"), &json!("mm")));
    assert!((reading["value"].as_f64().unwrap_or(0.0) - 368.3).abs() < 1e-9, "{reading}");
    let condition = &piece["examinations"][0]["condition"][0];
    assert_eq!(
        (&condition["damage"], &condition["evidence"], &condition["certainty"]),
        (&json!("damage/tear"), &json!("evidence/seen"), &json!("certainty/certain"))
    );
    assert!(condition.get("cause").is_none(), "a blank is left out, not null or no");
    assert_eq!(
        piece["piece"]["date"],
        json!({"as_written": "c. 1815", "earliest": 1810, "latest": 1820, "edtf": "1815~", "convention": piece["piece"]["date"]["convention"]})
    );
}

#[test]
fn photographs_are_added_once_read_and_drawn_upon() {
    let room = Room::with(&[SPENCER, PLAIN]);
    let (one, two) = (room.photograph("one.png", 1), room.photograph("two.jpg", 2));
    let bad = room.write("three.jpg", "no picture");
    let before = std::fs::read(&one).expect("there");
    let said = room.run(&[
        "photo",
        "add",
        "2031.1",
        &one,
        &bad,
        &two,
        "--view",
        "front",
        "--component",
        "left front",
        "--examination",
        "2031-03-02",
        "--treatment",
        "Support of the tear",
        "--stage",
        "before",
        "--light",
        "daylight",
        "--photographer",
        "Ida Farrow",
        "--caption",
        "<b>front</b>",
    ]);
    assert_eq!(said.code, Some(1), "{said:?}");
    holds(&said.out, &["2031.1: 2 photographs added\n"]);
    holds(&said.err, &["three.jpg"]);
    holds(&room.run(&["photo", "add", "2031.1", &one]).done(), &["2031.1: 0 photographs added, 1 there already"]);
    holds(&room.run(&["photo", "add", "2031.2", &one]).done(), &["2031.2: 1 photograph added"]);
    assert_eq!(std::fs::read(&one).expect("there"), before, "the file given is not touched");

    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let photos = piece["photographs"].as_array().expect("a list");
    assert_eq!(photos.len(), 2);
    for (field, value) in [
        ("view", "front"),
        ("component", "left front"),
        ("examination", "2031-03-02"),
        ("stage", "before"),
        ("treatment", "Support of the tear"),
        ("light", "daylight"),
        ("photographer", "Ida Farrow"),
        ("caption", "<b>front</b>"),
        ("original_name", "one.png"),
    ] {
        assert_eq!(photos[0][field], value, "{field}");
    }
    let sha = photos[0]["sha256"].as_str().expect("a text");
    let stored = std::fs::read(room.collection().join(format!("photographs/{}/{sha}.png", &sha[..2])))
        .expect("the original is there");
    assert_eq!(stored, before, "the original is stored whole");
    let journal = room.run(&["journal", "--json"]).json();
    let added = journal.iter().find(|r| r["in_table"] == "photograph").expect("journalled");
    assert_eq!((&added["author"], &added["reason"]), (&json!("Ida Farrow"), &json!("photograph added")));

    let tear = piece["examinations"][0]["condition"][0]["id"].as_str().expect("an id");
    assert_eq!(
        room.run(&["photo", "region", &sha[..8], "outline 1,1 9,1 9,9", "--shows", tear]).done(),
        "drew region A\n"
    );
    assert_eq!(room.run(&["photo", "region", sha, "point 40,30", "--note", "corner"]).done(), "drew region B\n");
    for (photo, shape, says) in [
        (sha, "point 41,30", "41,30 lies outside the picture, which is 40 by 30 pixels"),
        (sha, "cloud 1,1", "`cloud` is no shape"),
        (sha, "point", "a point has one position, not 0"),
        (sha, "line 1,1", "at least two positions"),
        (sha, "outline 1,1 2,2", "at least three positions"),
        (sha, "point x,y", "`x,y` is no pixel position"),
        (sha, "point NaN,1", "is no pixel position"),
        ("abc", "point 1,1", "at least 6 digits"),
        ("ffffffffffff", "point 1,1", "no photograph begins with"),
        ("zzzzzzzz", "point 1,1", "no photograph begins with"),
    ] {
        holds(&room.run(&["photo", "region", photo, shape]).refused(), &[says]);
    }
    holds(
        &room.run(&["photo", "region", sha, "point 1,1", "--shows", "019"]).refused(),
        &["there is no observation with the id `019`"],
    );
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let regions = piece["photographs"][0]["regions"].as_array().expect("a list");
    assert_eq!(regions.len(), 2);
    assert_eq!((&regions[0]["shape"], &regions[0]["shows"]), (&json!("outline 1,1 9,1 9,9"), &json!(tear)));

    // The region follows the note to its correction.
    let sheet = room.run(&["sheet", "2031.1"]).done().replace("12 mm", "13 mm");
    room.run(&["enter", &room.write("s.toml", sheet), "--reason", "misread"]).done();
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    assert_eq!(piece["photographs"][0]["regions"][0]["shows"], piece["examinations"][0]["condition"][0]["id"]);
    holds(&room.run(&["check"]).done(), &["all well: database, journal and 2 photographs"]);
}

#[test]
fn threads_are_counted_shown_and_stored_only_when_confirmed() {
    let room = Room::with(&[SPENCER]);
    // Plain weave of 8 px an end and 10 px a pick, light warp over darker weft.
    let picture = image::GrayImage::from_fn(400, 300, |x, y| {
        let ((i, du), (j, dv)) = ((x / 8, f64::from(x % 8) / 8.0 - 0.44), (y / 10, f64::from(y % 10) / 10.0 - 0.45));
        let round = |d: f64| 1.0 - 3.0 * d * d;
        let grey = if (i + j) % 2 == 0 { 210.0 * round(du) } else { 160.0 * round(dv) };
        [grey as u8].into()
    });
    let path = room.path().join("macro.png");
    picture.save(&path).expect("saved");
    room.run(&["photo", "add", "2031.1", path.to_str().expect("plain"), "--component", "left front"]).done();
    let shown: Value = serde_json::from_str(&room.run(&["show", "2031.1", "--json"]).done()).expect("JSON");
    let id = shown["photographs"][0]["sha256"].as_str().expect("a photograph")[..10].to_owned();
    let asked = ["photo", "count", &id, "--square", "60,20,256", "--scale", "20.0 px/mm", "--warp", "up"];

    let said = room.run(&asked).done();
    holds(&said, &["threads running up", "8.0 px a thread", "ends = [\"25.", "picks = [\"20.", "508 pixels per inch"]);
    let across = [&asked[..8], &["across"]].concat();
    holds(&room.run(&across).done(), &["ends = [\"20.", "picks = [\"25."]);
    let before = room.run(&["show", "2031.1", "--json"]).done();
    let all = [&asked[..], &["--json"]].concat();
    let json: Value = serde_json::from_str(&room.run(&all).done()).expect("JSON");
    assert!((json["up"]["per_cm"].as_f64().expect("a figure") - 25.0).abs() < 0.2, "{json}");
    assert_eq!(room.run(&["show", "2031.1", "--json"]).done(), before, "nothing is stored before it is confirmed");

    let confirm = [&asked[..], &["--confirm", "--examination", "2031-03-02", "--role", "shell"]].concat();
    holds(&room.run(&confirm).done(), &["2031.1: count stored with evidence measured; the square is region A"]);
    holds(&room.run(&confirm).done(), &["nothing new; this count is recorded for 2031.1 already"]);
    let shown: Value = serde_json::from_str(&room.run(&["show", "2031.1", "--json"]).done()).expect("JSON");
    let textile = shown["examinations"][0]["textile"].as_array().and_then(|t| t.last()).expect("a textile").clone();
    holds(&textile.to_string(), &["per cm", "measured", "60,20,256", &id, "left front"]);
    assert_eq!(shown["photographs"][0]["regions"][0]["shows"], textile["id"], "the square is tied to the count");

    for (arguments, parts) in [
        (
            &["--square", "0,0,20", "--scale", "20 px/mm"][..],
            &["cannot tell: the square is smaller than 48 pixels"][..],
        ),
        (&["--square", "300,0,256", "--scale", "20 px/mm"], &["leaves the picture, which is 400 by 300 pixels"]),
        (&["--square", "1,2", "--scale", "20 px/mm"], &["`1,2` is no square"]),
        (&["--square", "60,20,256"], &["no scale is known", "--scale"]),
        (&["--square", "60,20,256", "--scale", "20"], &["`--scale 20`"]),
    ] {
        let said = room.run(&[&["photo", "count", &id], arguments].concat());
        assert_eq!(said.code, Some(1), "{said:?}");
        holds(&said.err, parts);
    }
    let day = [&asked[..], &["--confirm", "--examination", "2031-03-09", "--role", "shell"]].concat();
    holds(&room.run(&day).err, &["has no examination on 2031-03-09"]);
    let role = [&asked[..], &["--confirm", "--examination", "2031-03-02", "--role", "shall"]].concat();
    holds(&room.run(&role).err, &["shall"]);
}

#[test]
fn photo_read_stores_nothing() {
    let room = Room::bare();
    let photo = room.photograph("one.jpg", 1);
    holds(&room.run(&["photo", "read", &photo]).done(), &["one.jpg\n", "orientation"]);
    let read = room.run(&["photo", "read", "--json", &photo]).json();
    assert_eq!(read[0]["capture"]["orientation"], 1);
    let said = room.run(&["photo", "read", "none.jpg", &photo]);
    assert_eq!(said.code, Some(1));
    holds(&said.err, &["none.jpg: cannot be read"]);
    holds(&said.out, &["one.jpg"]);
    assert_eq!(std::fs::read_dir(room.path()).expect("reads").count(), 1);
}

#[test]
fn reports_go_where_they_are_told() {
    let room = Room::with(&[SPENCER, AGAIN, PLAIN]);
    for (arguments, file) in [
        (&["report", "catalogue", "2031.1"][..], "catalogue-2031.1.html"),
        (&["report", "condition", "2031.1"], "condition-2031.1.html"),
        (&["report", "condition", "2031.1", "--examination", "2031-03-02"], "condition-2031.1-2031-03-02.html"),
        (&["report", "comparison", "2031.2", "--with", "2031.1"], "comparison-2031.2.html"),
        (&["report", "index"], "index.html"),
        (&["report", "catalogue", "2031.1", "--linked"], "catalogue-2031.1.html"),
    ] {
        let out = room.run(arguments).done();
        assert_eq!(out, format!("wrote collection/reports/{file}\n"));
        assert!(room.collection().join("reports").join(file).metadata().is_ok_and(|m| m.len() > 0), "{file}");
    }
    assert_eq!(room.run(&["report", "catalogue", "2031.1", "--out", "sub/my.html"]).done(), "wrote sub/my.html\n");
    assert!(room.path().join("sub/my.html").is_file());
    let page = room.run(&["report", "catalogue", "2031.1", "--out", "-"]).done();
    assert_eq!(page.trim_end(), std::fs::read_to_string(room.path().join("sub/my.html")).expect("reads").trim_end());
    room.write("taken", "");
    holds(
        &room.run(&["report", "catalogue", "2031.1", "--out", "taken/x.html"]).refused(),
        &["cannot make the folder of `taken/x.html`"],
    );
}

#[test]
fn compare_runs_as_text_and_as_json() {
    let room = Room::with(&[SPENCER, PLAIN]);
    room.run(&["compare", "2031.2", "--with", "2031.1"]).done();
    assert_eq!(room.run(&["compare", "2031.2", "--with", "2031.1", "--json"]).json().len(), 1);
    assert_eq!(room.run(&["compare", "2031.2", "--with", "2031.1", "2031.1", "--json"]).json().len(), 2);
}

#[test]
fn terms_are_listed_added_and_taken_away_unless_in_use() {
    let room = Room::new();
    holds(&room.run(&["terms"]).done(), &["damage             Damage terms\n", "person_role"]);
    assert!(room.run(&["terms", "--json"]).json().iter().any(|s| s["scheme"] == "damage"));
    holds(&room.run(&["terms", "fibre"]).done(), &["linen", "    source: "]);
    assert!(
        room.run(&["terms", "fibre", "--json"])
            .json()
            .iter()
            .all(|t| t["definition"].is_string() && t["source"].is_string() && t["local"] == false)
    );
    assert_eq!(
        room.run(&["terms", "fibres"]).refused(),
        "dimity: there is no list `fibres`; `dimity terms` names them all\n"
    );

    let add = |name: &'static str, definition: &'static str, source: &'static str| {
        ["terms", "damage", "--add", name, "--definition", definition, "--source", source]
    };
    assert_eq!(
        room.run(&add("moth graze", "Nap eaten off.", "own usage")).done(),
        "added `moth graze` to the list `damage`\n"
    );
    holds(
        &room.run(&["terms", "damage"]).done(),
        &["moth graze [your own]\n    Nap eaten off.\n    source: own usage\n"],
    );
    for (arguments, says) in [
        (add("moth graze", "x", "y"), "`moth graze` is in the list `damage` already"),
        (add("tear", "x", "y"), "`tear` is in the list `damage` already"),
        (add("nip", " ", "y"), "a term needs a definition"),
        (add("nip", "x", ""), "a term needs a source"),
        (add(" ", "x", "y"), "a term needs a name"),
    ] {
        holds(&room.run(&arguments).refused(), &[says]);
    }
    let narrower = [&add("moth bite", "x", "y")[..], &["--broader", "moth graze"]].concat();
    room.run(&narrower).done();
    let unknown = [&add("moth nip", "x", "y")[..], &["--broader", "moth grase"]].concat();
    holds(&room.run(&unknown).refused(), &["did you mean `moth graze`"]);

    room.run(&["enter", &room.write("s.toml", SPENCER.replace("\"tear\"", "\"moth bite\""))]).done();
    let remove = |name: &str| room.run(&["terms", "damage", "--remove", name]);
    assert_eq!(
        remove("moth bite").refused(),
        "dimity: `damage/moth bite` is in use by a record; a term in use stays\n"
    );
    assert_eq!(
        remove("moth graze").refused(),
        "dimity: `damage/moth graze` is in use by a record; a term in use stays\n"
    );
    assert_eq!(remove("tear").refused(), "dimity: `damage/tear` is shipped with the program and stays\n");
    assert_eq!(remove("nothing").refused(), "dimity: there is no term `damage/nothing`\n");
    room.run(&add("slip", "x", "y")).done();
    assert_eq!(remove("slip").done(), "removed `slip` from the list `damage`\n");
    holds(&room.run(&["check"]).done(), &["all well"]);
}

#[test]
fn the_journal_tells_who_when_why_before_and_after() {
    let room = Room::with(&[SPENCER, PLAIN]);
    let sheet = room.run(&["sheet", "2031.1"]).done().replace("Green silk", "Blue silk");
    room.run(&["enter", &room.write("s.toml", format!("reason = \"by daylight\"\n{sheet}"))]).done();
    let told = room.run(&["journal", "2031.1"]).done();
    holds(
        &told,
        &[
            "  Wren Askerdale  insert piece 1  (sheet entered)\n",
            "  Wren Askerdale  update piece 1  (by daylight)\n",
            "    - {",
            "    + {",
        ],
    );
    let rows = room.run(&["journal", "2031.2", "--json"]).json();
    assert_eq!(rows.len(), 1);
    assert_eq!(
        (&rows[0]["act"], &rows[0]["in_table"], &rows[0]["before"]),
        (&json!("insert"), &json!("piece"), &Value::Null)
    );
}

#[test]
fn check_names_each_finding_with_its_mend_and_exits_with_1() {
    let room = Room::with(&[SPENCER]);
    let (one, two) = (room.photograph("one.png", 1), room.photograph("two.png", 2));
    room.run(&["photo", "add", "2031.1", &one, &two]).done();
    assert_eq!(room.run(&["check"]).done(), "all well: database, journal and 2 photographs\n");
    assert_eq!(room.run(&["check", "--json"]).json(), [Value::Null; 0]);
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let place = |i: usize| {
        let sha = piece["photographs"][i]["sha256"].as_str().expect("a text");
        room.collection().join(format!("photographs/{}/{sha}.png", &sha[..2]))
    };
    std::fs::remove_file(place(0)).expect("it was there");
    let mut bytes = std::fs::read(place(1)).expect("it is there");
    bytes[20] ^= 1;
    std::fs::write(place(1), bytes).expect("written");
    support::Tables::open(&room.collection()).run("UPDATE piece SET title = 'x'");
    let said = room.run(&["check"]);
    assert_eq!(said.code, Some(1));
    holds(
        &said.out,
        &[
            "is missing\n    mend: put the original back from a backup",
            "has changed: its SHA-256 is now",
            "row 1 of `piece` was changed outside the program\n    mend: ",
        ],
    );
    assert_eq!(said.err, "dimity: 3 findings above\n");
    let said = room.run(&["check", "--json"]);
    assert_eq!((said.code, said.out.lines().count()), (Some(1), 3));
    for line in said.out.lines() {
        let finding: Value = serde_json::from_str(line).expect("JSON");
        assert!(finding["what"].is_string() && finding["mend"].is_string());
    }
}
