//! The command line as a stranger meets it: what each command prints, how it ends, and each refusal's words.

#[path = "command_line/photographs.rs"]
mod photographs;
mod support;

use serde_json::{Value, json};
use support::{AGAIN, PLAIN, Room, SPENCER, second};

const COMMANDS: [&str; 29] = [
    "demo",
    "new",
    "sheet",
    "enter",
    "list",
    "find",
    "searches",
    "show",
    "photo",
    "report",
    "seals",
    "compare",
    "departures",
    "changes",
    "terms",
    "collection",
    "conventions",
    "journal",
    "check",
    "backup",
    "restore",
    "withdraw",
    "reinstate",
    "purge",
    "effort",
    "pattern",
    "among",
    "serve",
    "accounts",
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
        (
            "photo",
            [
                "add",
                "annotations",
                "read",
                "clock",
                "count",
                "region",
                "scale",
                "register",
                "sampling",
                "target",
                "colour",
                "coverage",
            ]
            .as_slice(),
        ),
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
        &["photo", "target", "abcdef"],
        &["photo", "colour", "abcdef"],
        &["photo", "colour", "abcdef", "--rectangle", "1,1,9,9", "--area", "outline 1,1 2,2 3,1"],
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
        &["photo", "target", "abcdef", "--corners", "1,1", "9,1", "9,9", "1,9"],
        &["photo", "colour", "abcdef", "--rectangle", "1,1,9,9"],
        &["photo", "coverage"],
        &["photo", "scale", "abcdef"],
        &["photo", "annotations", "1"],
        &["photo", "register", "abcdef", "123456"],
        &["photo", "sampling", "abcdef"],
        &["photo", "rights", "abcdef"],
        &["export", "json"],
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
    holds(
        &again,
        &[
            "A new examination",
            "damage = \"tear\"",
            "extent = \"\"  # last: 12 mm",
            "continues = \"",
            "[[overall]]",
            "examiner = ",
        ],
    );
    assert!(!again.contains("[[textile]]"), "only condition notes go forward:\n{again}");
    // The sheet bears today's day, and the story lies ahead of it.
    let today = again.lines().find(|l| l.starts_with("date = ")).expect("a day");
    let text = again
        .replace(today, "date = 2032-02-03")
        .replace("examiner = \"\"", "")
        .replace("[examination]", "[examination]\nexaminer = \"Wren Askerdale\"");
    let path = room.write("again.toml", text);
    holds(&room.run(&["enter", &path]).done(), &["2 added"]);
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    assert_eq!(piece["examinations"][1]["condition"][0]["continues"], piece["examinations"][0]["condition"][0]["id"]);
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
        [json!({"number": "2031.1", "new_piece": false, "added": 0, "corrected": 0, "unchanged": 12, "sealed": []})]
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
        (&["stays or moderate"], &["2031.1", "2031.2"]),
        (&["number:x"], &[]),
    ] {
        let arguments = [&["find", "--json", "--"][..], words].concat();
        let mut numbers: Vec<_> =
            room.run(&arguments).json().iter().map(|l| l["number"].as_str().unwrap_or("").to_owned()).collect();
        numbers.sort();
        assert_eq!(numbers, found, "{words:?}");
    }
    assert_eq!(room.run(&["find", "no", "such"]).done(), "no piece fits `no such`\n");
    for (words, says) in [
        ("\"", "quotes are not closed"),
        ("-", "no letter or digit"),
        ("*", "no letter or digit"),
        ("NOT", "something is missing"),
        ("(", "something is missing"),
        ("(silk", "bracket is not closed"),
        ("silk)", "closes nothing"),
        ("fibre:slk", "did you mean `silk`"),
        ("fibres:silk", "did you mean `fibre`"),
        ("stitches:9", "per what"),
    ] {
        holds(&room.run(&["find", "--", words]).refused(), &["cannot be read", "^", says]);
    }
}

#[test]
fn pieces_are_listed_by_date_and_found_by_the_years_they_may_be_of() {
    let dated = |number: &str, date: &str| {
        format!("[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"cap\"\ndate = \"{date}\"\n")
    };
    let sheets: Vec<String> = [
        ("1", "after 1850"),
        ("2", "1812"),
        ("3", "before 1800"),
        ("4", "late 18th century"),
        ("5", "undated"),
        ("6", "1812-1820"),
        ("7", "1780-1812"),
    ]
    .map(|(number, date)| dated(number, date))
    .to_vec();
    let room = Room::with(&sheets.iter().map(String::as_str).chain([PLAIN]).collect::<Vec<_>>());
    let numbers = |arguments: &[&str]| -> Vec<String> {
        let lines = room.run(&[arguments, &["--json"]].concat()).json();
        lines.iter().map(|line| line["number"].as_str().unwrap_or_default().to_owned()).collect()
    };
    assert_eq!(numbers(&["list", "--by-date"]), ["3", "4", "7", "2", "6", "1", "5", "2031.2"]);
    for (years, found) in [
        ("1810/1830", &["2", "6", "7"][..]),
        ("1799", &["3", "4", "7"][..]),
        ("1800", &["7"]),
        ("c. 1846", &["1"]),
        ("c. 1845", &[]),
        ("before 1780", &["3", "4"]),
        ("since 1820", &["1", "6"]),
        ("300 BC", &["3"]),
    ] {
        assert_eq!(numbers(&["find", "--dated", years]), found, "{years}");
    }
    assert_eq!(numbers(&["find", "cap", "--dated", "1812", "--by-date"]), ["7", "2", "6"]);
    assert!(numbers(&["find", "stays", "--dated", "1812"]).is_empty());
    holds(
        &room.run(&["find", "--dated", "1900"]).done(),
        &["after 1850", "not decided: 2 pieces", "(date)", "--undecided"],
    );
    holds(&room.run(&["find", "stays", "--dated", "1812"]).done(), &["no piece fits `stays date:1812`"]);
    holds(&room.run(&["find", "--dated", "1800s"]).refused(), &["`1800s` after `--dated`", "ten years or a hundred"]);
    holds(&room.run(&["find", "--dated", "undated"]).refused(), &["names no years"]);
}

#[test]
fn the_dating_convention_is_chosen_journalled_and_named_and_changes_no_date_behind_anyones_back() {
    let room = Room::with(&[SPENCER]);
    let plain = room.run(&["conventions"]).done();
    holds(&plain, &["circa taken as ±5 years (CCO 4.2.3.2)", "1800–1899", "thirds", "before 1800 ends with 1799"]);
    let said = room.run(&["conventions", "--circa", "10", "--century-from", "1", "--by", "Wren Askerdale"]).done();
    holds(&said, &["changed for the dates entered from now on", "±10 years (Object ID)", "1801–1900", "thirds"]);
    holds(&room.run(&["conventions", "--circa", "10"]).done(), &["nothing to change"]);
    let now = room.run(&["conventions", "--json"]).json();
    assert_eq!(
        (&now[0]["circa_years"], &now[0]["century_from"], &now[0]["early_late"]),
        (&json!(10), &json!(1), &json!("thirds"))
    );
    holds(&room.run(&["journal"]).done(), &["dating convention", "dating convention chosen", "Wren Askerdale"]);
    // The sheet again: the date is written as it was, and keeps its years.
    let again = room.write("again.toml", SPENCER);
    holds(&room.run(&["enter", &again]).done(), &["nothing"]);
    assert_eq!(room.run(&["list", "--json"]).json()[0]["earliest"], 1810);
    let other = SPENCER.replace("2031.1", "2031.9");
    room.run(&["enter", &room.write("other.toml", other)]).done();
    assert_eq!(room.run(&["list", "--json"]).json()[1]["earliest"], 1805);
    let shown = room.run(&["show", "2031.9", "--json"]).out;
    holds(&shown, &["circa taken as ±10 years (Object ID)"]);
    room.run(&["report", "catalogue", "2031.9"]).done();
    let page = std::fs::read_dir(room.collection().join("reports")).expect("reports").flatten();
    let pages: Vec<String> = page.filter_map(|file| std::fs::read_to_string(file.path()).ok()).collect();
    assert!(pages.iter().any(|page| page.contains("circa taken as ±10 years")), "the report names no convention");
    holds(&room.run(&["check"]).done(), &["all well"]);
    for (arguments, says) in
        [(["--circa", "-1"], "-1"), (["--century-from", "2"], "0..=1"), (["--hundreds", "x"], "ask")]
    {
        let said = room.run(&["conventions", arguments[0], arguments[1]]);
        assert_eq!(said.code, Some(2));
        holds(&said.err, &[says]);
    }
}

#[test]
fn the_collection_has_a_name_for_its_reports_and_a_place_for_its_sun() {
    let room = Room::with(&[SPENCER]);
    holds(&room.run(&["collection"]).done(), &["name   not recorded", "place  not recorded"]);
    let described = ["collection", "--name", "Askerdale study collection", "--place", "51.5 N 0.13 W"];
    holds(&room.run(&described).done(), &["name   Askerdale study collection", "51.5"]);
    let now = room.run(&["collection", "--json"]).json();
    assert_eq!((&now[0]["longitude"], &now[0]["changed"]), (&json!(-0.13), &json!(false)));
    let page = room.run(&["report", "catalogue", "2031.1", "--out", "-"]).done();
    holds(&page, &["Askerdale study collection"]);
    holds(&room.run(&["journal"]).done(), &["collection described"]);
    holds(&room.run(&["collection", "--place", "nowhere"]).refused(), &["`nowhere` after `--place`"]);
    holds(&room.run(&["collection", "--place", ""]).done(), &["place  not recorded", "Askerdale"]);
    holds(&room.run(&["check"]).done(), &["all well"]);
}

#[test]
fn dates_are_worked_out_without_a_catalogue() {
    let room = Room::bare();
    let ask = |arguments: &[&str]| room.run(&[&["convert", "date"], arguments].concat());
    assert_eq!(ask(&["c. 1760"]).done(), "1755 to 1765 · EDTF 1760~ · circa taken as ±5 years (CCO 4.2.3.2)\n");
    assert_eq!(
        ask(&["--circa", "10", "c.", "1760"]).done(),
        "1750 to 1770 · EDTF 1760~ · circa taken as ±10 years (Object ID)\n"
    );
    holds(&ask(&["--century-from", "1", "18. Jh."]).done(), &["1701 to 1800"]);
    let found = ask(&["--json", "about 1905, altered about 1920"]).json();
    assert_eq!(
        (&found[0]["earliest"], &found[0]["latest"], &found[0]["edtf"]),
        (&json!(1900), &json!(1910), &json!("1905~"))
    );
    assert_eq!(found[0]["events"][1]["verb"], "altered");
    assert_eq!(ask(&["--json", "after 1850"]).json()[0]["latest"], Value::Null);
    holds(&ask(&["Victorian"]).refused(), &["no date that can be read"]);
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
        "drew region A: 32 px² (u 27 px²); 27.3 px round (u 2.7 px)\n"
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
fn a_whole_card_is_taken_in_and_what_is_no_photograph_is_passed_over() {
    let room = Room::with(&[SPENCER]);
    let card = room.path().join("card/DCIM/100");
    std::fs::create_dir_all(card.join(".hidden")).expect("folders");
    for (name, shade) in [("b.jpg", 1), ("a.png", 2)] {
        std::fs::rename(room.photograph(name, shade), card.join(name)).expect("moved");
    }
    std::fs::rename(room.photograph("c.png", 3), card.join(".hidden/c.png")).expect("moved");
    std::fs::write(card.join("notes.xmp"), "<x/>").expect("written");
    std::fs::write(card.join("broken.jpg"), b"\xff\xd8\xff\xe0").expect("written");
    let said = room.run(&["photo", "add", "2031.1", "card"]);
    assert_eq!(said.code, Some(1));
    holds(&said.out, &["2031.1: 2 photographs added", "passed over in the folders, being no photographs: 1 file"]);
    holds(&said.err, &["broken.jpg"]);
    let names = room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"].clone();
    assert_eq!((&names[0]["original_name"], &names[1]["original_name"]), (&json!("a.png"), &json!("b.jpg")));
    holds(&room.run(&["photo", "add", "2031.1", "card"]).out, &["0 photographs added, 2 there already"]);
}

#[test]
fn a_clock_that_was_wrong_is_put_right_in_the_record_alone() {
    let room = Room::with(&[SPENCER]);
    let (timed, untimed) = (room.photograph("timed.jpg", 1), room.photograph("untimed.jpg", 2));
    let field = exif::Field {
        tag: exif::Tag::DateTimeOriginal,
        ifd_num: exif::In::PRIMARY,
        value: exif::Value::Ascii(vec![b"2031:03:02 15:58:10".to_vec()]),
    };
    let mut writer = exif::experimental::Writer::new();
    writer.push_field(&field);
    let mut tags = std::io::Cursor::new(Vec::new());
    writer.write(&mut tags, false).expect("a tag can be written");
    let segment = [b"Exif\0\0".as_slice(), tags.get_ref()].concat();
    let plain = std::fs::read(&timed).expect("reads");
    let length = u16::try_from(segment.len() + 2).expect("short").to_be_bytes();
    std::fs::write(&timed, [&plain[..2], b"\xff\xe1", &length, &segment, &plain[2..]].concat()).expect("written");
    room.run(&["photo", "add", "2031.1", &timed, &untimed]).done();
    let photos = room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"].clone();
    assert_eq!(photos[0]["capture"]["taken"], "2031-03-02T15:58:10");
    let sha = |index: usize| photos[index]["sha256"].as_str().expect("a text").to_owned();
    let (first, second) = (sha(0), sha(1));
    let clock = |arguments: &[&str]| room.run(&[&["photo", "clock"], arguments].concat());
    let why = "the clock of the examination room was in the last picture";
    for (arguments, says) in [
        (&[first.as_str(), "--shift", "00:03:20", "--reason", why][..], "the sign is missing"),
        (&[&first, "--shift", "+00:03:20", "--offset", "1:00", "--reason", why], "`1:00` is no offset from UTC"),
        (&[&first, &second, "--shift", "+00:03:20", "--reason", why], "`untimed.jpg` has no time"),
        (&[&first, "--shift", "+00:03:20", "--reason", " "], "reason"),
    ] {
        holds(&clock(arguments).refused(), &[says]);
    }
    let said = clock(&[&first, "--shift", "+00:03:20", "--offset", "+01:00", "--reason", why]).done();
    holds(&said, &["timed.jpg: 2031-03-02T15:58:10 is now 2031-03-02T16:01:30", "1 time put right"]);
    let now = room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"][0]["capture"].clone();
    assert_eq!((&now["taken"], &now["offset"]), (&json!("2031-03-02T16:01:30"), &json!("+01:00")));
    holds(&room.run(&["journal"]).done(), &[why]);
    holds(&room.run(&["check"]).done(), &["all well: database, journal and 2 photographs"]);
}

#[test]
fn check_tells_the_files_of_the_store_apart_and_makes_views_again() {
    let room = Room::with(&[SPENCER]);
    let photos: Vec<String> = (1..=3).map(|n| room.photograph(&format!("{n}.png"), n)).collect();
    room.run(&["photo", "add", "2031.1", &photos[0], &photos[1], &photos[2]]).done();
    holds(&room.run(&["check"]).done(), &["all well: database, journal and 3 photographs"]);
    let shown = room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"].clone();
    let sha = |n: usize| shown[n]["sha256"].as_str().expect("a text").to_owned();
    let original = |n: usize| room.collection().join(format!("photographs/{}/{}.png", &sha(n)[..2], sha(n)));
    let view = room.collection().join(format!("derived/{}/{}-view.jpg", &sha(0)[..2], sha(0)));
    let drawn = std::fs::read(&view).expect("a view");
    std::fs::remove_file(&view).expect("removed");
    holds(&room.run(&["check"]).done(), &["views made again: 1 photograph", "all well"]);
    assert_eq!(std::fs::read(&view).expect("a view"), drawn);
    // A view with a bit turned is found when views are compared, and is right again afterwards.
    let mut turned = drawn.clone();
    turned[200] ^= 4;
    std::fs::write(&view, turned).expect("written");
    holds(&room.run(&["check"]).done(), &["all well"]);
    holds(&room.run(&["check", "--views"]).done(), &["views made again: 1 photograph"]);
    assert_eq!(std::fs::read(&view).expect("a view"), drawn);
    holds(&room.run(&["check", "--since", "2999-01-01"]).done(), &["0 photographs of 3"]);
    holds(&room.run(&["check", "--since", "2020-01-01", "--sample", "100%"]).done(), &["3 photographs"]);
    assert_eq!(room.run(&["check", "--sample", "0%"]).code, Some(2));

    // Any single bit of an original.
    let sound = std::fs::read(original(1)).expect("reads");
    for bit in [0, 9, sound.len() * 4, sound.len() * 8 - 1] {
        let mut turned = sound.clone();
        turned[bit / 8] ^= 1 << (bit % 8);
        std::fs::write(original(1), turned).expect("written");
        holds(&room.run(&["check"]).said_wrong(), &["has changed", "from a backup"]);
    }
    std::fs::write(original(1), sound).expect("written");
    let store = room.collection().join("photographs");
    std::fs::write(store.join(".incoming-abc"), "half").expect("written");
    std::fs::write(store.join("notes.txt"), "?").expect("written");
    let lost = "0".repeat(64);
    std::fs::write(store.join(format!("{lost}.jpg")), "?").expect("written");
    std::fs::remove_file(original(2)).expect("removed");
    holds(
        &room.run(&["check"]).said_wrong(),
        &["is missing", "left behind by an interruption", "is no file of the store", "no record names it"],
    );
}

#[test]
fn threads_are_counted_shown_and_stored_only_when_confirmed() {
    let room = Room::with(&[SPENCER]);
    let path = room.path().join("macro.png");
    support::pictures::woven().save(&path).expect("saved");
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
    let odd = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/encoders/exiftool-odd.jpg");
    let tags = room.run(&["photo", "read", "--json", odd]).json()[0]["exif"].take();
    assert_eq!(
        (&tags["FNumber"], &tags["ExposureTime"], &tags["FocalLength"]),
        (&json!(5.6), &json!(0.025), &json!(52.5))
    );
    assert!(tags.as_object().is_some_and(|t| t.keys().all(|k| !k.contains("GPS"))), "a position is kept back: {tags}");
    let asked = room.run(&["photo", "read", "--json", "--position", odd]).json()[0]["exif"].take();
    assert_eq!((&asked["GPSLatitude"], &asked["GPSLatitudeRef"]), (&json!([10.0, 30.0, 0.0]), &json!("S")));
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

/// A jacket and two made after it: one of the wearer's size, one drawn at an eighth.
fn jackets() -> Room {
    let sheet = |number: &str, nature: &str, collar: &str, lengths: [&str; 3], more: &str| {
        let measured = ["bust girth", "waist girth", "centre back length"]
            .iter()
            .zip(lengths)
            .map(|(name, read)| format!("[[measurement]]\ndimension = \"{name}\"\nreadings = [\"{read}\"]\n"));
        format!(
            "[piece]\nnumber = \"{number}\"\nnature = \"{nature}\"\nobject_name = \"jacket\"\n\
             [[component]]\nname = \"{collar}\"\n{more}[examination]\ndate = 2031-05-02\nexaminer = \"Wren Askerdale\"\n\
             {}[[measurement]]\ndimension = \"collar depth\"\ncomponent = \"{collar}\"\nreadings = [\"60 mm\"]\n\
             [[textile]]\nrole = \"shell\"\nfibres = [\"linen\"]\nstructure = \"tabby\"\nends = [\"20 in 1 cm\"]\n",
            measured.collect::<String>()
        )
    };
    let departure = "[[made_after]]\nmodel = \"2033.1\"\n[[departure]]\nfeature = \"bust girth\"\nreason = \"fit\"\n\
                     was = \"880 mm\"\nnow = \"968 mm\"\nlearned = \"add it in the back next time\"\n";
    let sheets = [
        sheet("2033.1", "extant", "neck band", ["880 mm", "700 mm", "400 mm"], ""),
        sheet("2033.R1", "reconstruction", "collar", ["968 mm", "770 mm", "440 mm"], departure),
        sheet("2033.P1", "published pattern", "collar", ["110 mm", "87.5 mm", "50 mm"], ""),
    ];
    Room::with(&sheets.each_ref().map(String::as_str))
}

#[test]
fn compare_states_and_fits_sizes_and_pairs_components() {
    let room = jackets();
    let plain = room.run(&["compare", "2033.R1", "--with", "2033.1"]).done();
    holds(&plain, &["+88", "differ", "departure (fit); for next time: add it in the back next time"]);
    let fitted = [
        "compare",
        "2033.R1",
        "--with",
        "2033.1",
        "--fit",
        "bust, waist, centre back length",
        "--pair",
        "collar = neck band",
    ];
    let out = room.run(&fitted).done();
    holds(
        &out,
        &["Lengths and girths of 2033.1 are multiplied by 1.1", "(fitted to 3 dimensions)", "collar / neck band"],
    );
    holds(&out, &["brought to one size, which a change of size does not show"]);
    let json = room.run(&[&fitted[..], &["--json"]].concat()).json();
    assert_eq!(json[0]["counts"]["differ"], 1, "the collar alone did not grow: {}", json[0]["unexplained"]);
    let eighth = room.run(&["compare", "2033.1", "--with", "2033.P1", "--scale", "1:8", "--json"]).json();
    assert_eq!(eighth[0]["scaling"]["lengths"]["value"], 8.0);
    for (arguments, says) in [
        (&["--scale", "eighth"][..], "`eighth` is no scale"),
        (&["--fit", "wiast"], "did you mean `waist girth`"),
        (&["--scale", "1/8", "--fit", "waist"], "either stated or fitted"),
        (&["--tolerance", "lengths"], "say how large the tolerance for `length` is"),
        (&["--pair", "collar"], "pairs nothing"),
        (&["--pair", "collar = band"], "2033.1 has neck band"),
    ] {
        holds(&room.run(&[&["compare", "2033.R1", "--with", "2033.1"], arguments].concat()).refused(), &[says]);
        let page = [&["report", "comparison", "2033.R1", "--with", "2033.1"], arguments].concat();
        holds(&room.run(&page).refused(), &[says]);
    }
}

#[test]
fn a_comparison_is_kept_by_name_and_an_earlier_one_stays_readable() {
    let room = jackets();
    holds(&room.run(&["compare", "--kept", "Jackets"]).refused(), &["none is kept"]);
    holds(&room.run(&["compare", "--list"]).done(), &["no comparison is kept"]);
    let keep = ["compare", "2033.R1", "--with", "2033.1", "--keep", "Jackets"];
    holds(
        &room.run(&[&keep[..], &["--pair", "collar = neck band", "--reason", "first look"]].concat()).done(),
        &["kept as `Jackets`"],
    );
    let again = room.run(&["compare", "--kept", "jackets"]).done();
    holds(&again, &["`Jackets`, kept by", "first look", "collar / neck band"]);
    let before = room.run(&["journal", "--json"]).json().len();
    holds(&room.run(&["compare", "--kept", "jackets", "--keep", "jackets"]).done(), &["says the same already"]);
    assert_eq!(room.run(&["journal", "--json"]).json().len(), before, "what says the same is not written again");
    let change = [
        "compare",
        "--kept",
        "jackets",
        "--keep",
        "Jackets",
        "--fit",
        "bust",
        "--tolerance",
        "length 4 %",
        "--reason",
        "another wearer",
    ];
    holds(&room.run(&change).done(), &["--before 1"]);
    let kept = room.run(&["compare", "--list", "--json"]).json();
    assert_eq!(kept.len(), 2);
    assert_eq!((&kept[0]["stands"], &kept[1]["stands"]), (&json!(true), &json!(false)));
    assert_eq!(kept[0]["basis"]["tolerances"]["length"]["relative"], 0.04);
    assert_eq!(kept[0]["basis"]["pairs"][0]["other"], "neck band", "what was not changed is kept");
    let first = room.run(&["compare", "--kept", "Jackets", "--before", "1", "--json"]).json();
    assert!(first[0]["scaling"].is_null());
    holds(
        &room.run(&["compare", "--kept", "Jackets", "--before", "2"]).refused(),
        &["changed once; `--before 1` shows the first"],
    );
    holds(&room.run(&["compare", "--kept", "Jacket"]).refused(), &["kept are `Jackets`"]);
    holds(&room.run(&["report", "comparison", "--kept", "Jackets"]).done(), &["comparison-2033.R1.html"]);
    let without = room.run(&["compare", "--remove", "Jackets"]);
    assert_eq!(without.code, Some(2), "nothing is removed without a reason");
    holds(&without.err, &["--reason"]);
    holds(&room.run(&["compare", "--remove", "Jacket", "--reason", "x"]).refused(), &["no comparison stands"]);
    holds(
        &room.run(&["compare", "--remove", "jackets", "--reason", "sold"]).done(),
        &["removed `Jackets`", "--before 1"],
    );
    holds(&room.run(&["compare", "--kept", "Jackets"]).refused(), &["was removed"]);
    holds(&room.run(&["compare", "--list"]).done(), &["removed: Jackets: ", "    before: Jackets: "]);
    holds(&room.run(&["compare", "--kept", "Jackets", "--before", "1"]).done(), &["another wearer"]);
    holds(&room.run(&["compare", "--kept", "Jackets", "--before", "2"]).done(), &["first look"]);
    holds(&room.run(&["compare", "--kept", "Jackets", "--before", "3"]).refused(), &["changed 2 times"]);
    holds(&room.run(&["check"]).done(), &["all well"]);
}

#[test]
fn many_pieces_come_as_a_table_and_as_csv() {
    let room = jackets();
    let many = ["compare", "2033.R1", "--with", "2033.1", "2033.P1"];
    let table = room.run(&many).done();
    holds(&table, &["2033.R1 beside 2033.1", "2033.R1 beside 2033.P1", "\nDimensions\n", "bust girth"]);
    holds(&room.run(&[&many[..], &["--full"]].concat()).done(), &["with      2033.P1"]);
    let csv = room.run(&[&many[..], &["--csv"]].concat()).done();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let heads = reader.headers().expect("heads").clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row as wide as the head")).collect();
    let column = |name: &str| heads.iter().position(|h| h == name).expect(name);
    let bust =
        rows.iter().find(|r| &r[column("feature")] == "bust girth" && &r[column("other")] == "2033.1").expect("bust");
    assert_eq!((&bust[column("difference")], &bust[column("finding")]), ("88", "differ"));
    assert!(bust[column("in words")].contains("beyond the tolerance"));
    let square = room.run(&["compare", "2033.1", "--with", "2033.R1", "2033.P1", "--among"]).done();
    assert_eq!(square.lines().filter(|l| l.contains('·')).count(), 3, "{square}");
    holds(&square, &["not a measure of likeness"]);
    assert_eq!(
        room.run(&[&many[..], &["--table", "--json"]].concat()).json()[0]["others"].as_array().map(Vec::len),
        Some(2)
    );
}

#[test]
fn cloths_are_ranked_for_one_and_departures_listed_for_all() {
    let room = jackets();
    let ranked = room.run(&["compare", "2033.1", "--cloth", "shell"]).done();
    holds(
        &ranked,
        &["3 properties recorded", "2033.R1 jacket: shell; 3 of 3 compared", "A small distance over few properties"],
    );
    holds(&room.run(&["compare", "2033.1", "--cloth", "lining"]).refused(), &["it has shell"]);
    let all = room.run(&["departures"]).done();
    holds(&all, &["fit: 1 departure", "2033.R1    bust girth: 880 mm → 968 mm", "for next time: add it in the back"]);
    assert_eq!(room.run(&["departures", "--learned", "--json"]).json()[0]["after"], json!(["2033.1"]));
    holds(&room.run(&["departures", "--reason", "cost"]).done(), &["no such departure"]);
    holds(&room.run(&["departures", "--reason", "whim"]).refused(), &["`whim`"]);
    holds(&room.run(&["departures", "--csv"]).done(), &["learned\n2033.R1,jacket,2033.1,"]);
}

#[test]
fn changes_tell_what_became_of_each_damage() {
    let room = Room::with(&[SPENCER, AGAIN]);
    let text = room.run(&["changes", "2031.1"]).done();
    holds(
        &text,
        &[
            "2031.1, examined 2034-03-02, compared with ",
            "worse: tear, left front, at the pocket",
            "Over time",
            "no rate",
        ],
    );
    let json = room.run(&["changes", "2031.1", "--json"]).json().remove(0);
    assert_eq!(json["changes"][0]["standing"], "worse");
    assert_eq!(json["series"][0]["rate"], Value::Null);
    let since = json["since"].as_str().expect("a day").to_owned();
    assert_eq!(room.run(&["changes", "2031.1", "--since", &since, "--json"]).json().remove(0), json);
    holds(&room.run(&["changes", "2031.1", "--examination", &since]).done(), &["the first examination"]);
    holds(&room.run(&["changes", "2031.1", "--since", "2034-03-02"]).refused(), &["is not before"]);
    holds(&room.run(&["changes", "2031.1", "--since", "1999-01-01"]).refused(), &["has no examination on 1999-01-01"]);
    room.run(&["report", "condition", "2031.1", "--since", &since]).done();
    holds(
        &room.run(&["report", "condition", "2031.1", "--examination", &since, "--since", "2034-03-02"]).refused(),
        &["which is not before", "compare with an earlier day"],
    );
    let plain = Room::with(&[PLAIN]);
    holds(&plain.run(&["changes", "2031.2"]).refused(), &["has not been examined"]);
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
            "Z  Wren Askerdale: sheet entered  (entry 1)\n  new piece 1\n    number: 2031.1\n    nature: nature/extant\n",
            "Z  Wren Askerdale: by daylight  (entry ",
            ")\n  changed piece 1\n    title: Green silk spencer → Blue silk spencer\n",
        ],
    );
    assert!(told.lines().all(|line| line.chars().count() < 200), "no line runs on: {told}");
    let rows = room.run(&["journal", "2031.2", "--json"]).json();
    assert_eq!(rows.len(), 1);
    assert_eq!(
        (&rows[0]["act"], &rows[0]["in_table"], &rows[0]["before"]),
        (&json!("insert"), &json!("piece"), &Value::Null)
    );
}

#[test]
fn the_last_entry_or_another_is_taken_back_and_that_too() {
    let room = Room::with(&[SPENCER]);
    let title = |wanted: &str| {
        let shown = room.run(&["show", "2031.1", "--json"]).json().remove(0);
        assert_eq!(shown["piece"]["title"], json!(wanted), "{shown}");
    };
    let enter = |reason: &str, fact: &str| {
        let sheet = format!("reason = \"{reason}\"\n[piece]\nnumber = \"2031.1\"\n{fact}\n");
        room.run(&["enter", &room.write("s.toml", sheet)]).done();
    };
    enter("by daylight", "title = \"Blue silk spencer\"");
    enter("on the label", "maker = \"R. Hollin\"");
    let told = room.run(&["journal", "2031.1"]).done();
    let entry = told.split("by daylight  (entry ").nth(1).and_then(|rest| rest.split(')').next()).expect("a number");
    let back = |more: &[&str]| room.run(&[&["take-back", "2031.1", "--reason", "lamplight"], more].concat());
    assert_eq!(back(&["--entry", entry, "--dry-run"]).done(), "2031.1: 1 line would be taken back\n");
    title("Blue silk spencer");
    assert_eq!(back(&["--entry", entry]).done(), "2031.1: 1 line taken back\n");
    title("Green silk spencer");
    back(&[]).done();
    title("Blue silk spencer");
    holds(&back(&["--entry", "99999"]).refused(), &["the journal of `2031.1` has no entry with the row 99999"]);
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
            "`2031.1` is not found by what its record says\n    mend: `dimity check --index`",
        ],
    );
    assert_eq!(said.err, "dimity: 4 findings above\n");
    let said = room.run(&["check", "--json"]);
    assert_eq!((said.code, said.out.lines().count()), (Some(1), 4));
    for line in said.out.lines() {
        let finding: Value = serde_json::from_str(line).expect("JSON");
        assert!(finding["what"].is_string() && finding["mend"].is_string());
    }
}

const RIGHT: [&str; 4] = ["10,10", "190,10", "190,130", "10,130"];

#[test]
fn a_target_is_read_stored_and_corrects_the_colours_of_its_photograph() {
    let room = Room::with(&[SPENCER]);
    let tinged = room.path().join("tinged.png");
    support::pictures::target(|[r, g, b]| [r * 0.95, g * 0.9, b * 0.7]).save(&tinged).expect("saved");
    room.run(&["photo", "add", "2031.1", tinged.to_str().expect("a name"), "--view", "front"]).done();
    let sha = room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"][0]["sha256"]
        .as_str()
        .expect("text")
        .to_owned();
    let stored = room.collection().join(format!("photographs/{}/{sha}.png", &sha[..2]));
    let before = std::fs::read(&stored).expect("there");
    let id = &sha[..8];
    let cloth = ["photo", "colour", id, "--rectangle", "20,150,60,40"];
    holds(&room.run(&cloth).done(), &["not corrected: the photograph's colour target has not been read"]);

    let read = |corners: [&str; 4], more: &[&str]| {
        let mut arguments = vec!["photo", "target", id, "--corners"];
        arguments.extend(corners);
        arguments.extend(more);
        room.run(&arguments)
    };
    let offered = room.run(&["photo", "target", id, "--find"]).done();
    holds(&offered, &["may be the target", "--corners", "--rectangle", "Look at it"]);
    holds(&room.run(&["photo", "scale", id, "--find"]).done(), &["may be a colour target", "--size"]);
    holds(&room.run(&cloth).done(), &["not corrected: the photograph's colour target has not been read"]);
    let corners = offered.split("--corners ").nth(1).and_then(|rest| rest.lines().next()).expect("corners");
    let corners: Vec<&str> = corners.split(' ').collect();
    let said = read([corners[0], corners[1], corners[2], corners[3]], &["--dry-run", "--json"]).json().remove(0);
    assert!(said["results"]["mean"].as_f64().is_some_and(|mean| mean < 8.0), "what is offered can be read: {said}");
    holds(&read(RIGHT, &["--dry-run"]).done(), &["nothing was stored"]);
    holds(
        &read(RIGHT, &[]).done(),
        &[
            "19 white 9.5",
            "mean ΔE00",
            "FADGI 2023: ",
            "source (read): FADGI",
            "Metamorfoze",
            "stored; the original is untouched",
        ],
    );
    holds(&room.run(&cloth).done(), &["not corrected: its target was read without fitting a correction"]);
    let said = read(RIGHT, &["--correct", "--json"]).json().remove(0);
    assert_eq!((&said["stored"], &said["correction"]["patches"]), (&json!(true), &json!(23)), "{said}");
    assert_eq!(said["correction"]["left_aside"], json!(["18 cyan"]));
    holds(
        &read(RIGHT, &["--correct"]).done(),
        &["correction for this photograph alone: matrix in linear light", "in place of the earlier reading"],
    );

    // The cloth was drawn with the light 0.2, 0.3, 0.1: corrected, it is found again.
    let truth = dimity::colour::Xyz::from_light([0.2, 0.3, 0.1]).to_lab(dimity::colour::White::D65);
    let found = |more: &[&str]| {
        let said = room.run(&[&cloth[..], more, &["--json"]].concat()).json().remove(0);
        let lab: dimity::colour::Lab = serde_json::from_value(said["lab"].clone()).expect("a colour");
        (dimity::colour::ciede2000(lab, truth), said)
    };
    let (off, said) = found(&[]);
    assert!(off < 0.5, "{off} {said}");
    assert_eq!((&said["corrected"], &said["pixels"], &said["clipped"]), (&json!(true), &json!(2400), &json!(0.0)));
    let line = said["sheet"].as_str().expect("text");
    holds(line, &[&format!("instrument = \"photograph {id}, corrected by its target (D65, 2°)\" }}")]);
    assert!(toml::from_str::<toml::Table>(&format!("colours = [{line}]")).is_ok(), "{line}");
    let (off, said) = found(&["--uncorrected"]);
    assert!(off > 3.0 && said["corrected"] == json!(false), "{off} {said}");

    for (corners, more, says) in [
        (["190,130", "10,130", "10,10", "190,10"], &[][..], "they fit with `--corners 10,10 190,10 190,130 10,130`"),
        (["10,10", "190,130", "190,10", "10,130"], &[], "do not go round a field"),
        (["10,150", "190,150", "190,190", "10,190"], &[], "is not this target"),
        (["10,10", "1900,10", "190,130", "10,130"], &[], "1900,10 lies outside the picture, which is 200 by 200"),
        (["10,10", "x", "190,130", "10,130"], &[], "`x` is no pixel position"),
        (RIGHT, &["--reference", "none.csv"], "`none.csv` cannot be read"),
        (RIGHT, &["--grid", "5x5"], "the built-in target has 6x4 patches"),
    ] {
        holds(&read(corners, more).refused(), &[says]);
    }
    let file = room.write("mine.csv", "patch,l,a,b\n1,20,0,0\n2,x,0,0\n");
    holds(&read(RIGHT, &["--reference", &file]).refused(), &["mine.csv`: line 3: `x` is no number for L*"]);
    for (more, says) in [
        (["--rectangle", "1,1,9"], "is no rectangle"),
        (["--rectangle", "1,1,-9,9"], "is no rectangle"),
        (["--rectangle", "1,1,900,9"], "lies outside the picture"),
        (["--area", "line 1,1 2,2"], "a colour is read from an area"),
        (["--area", "outline 1,1 1.1,1 1,1.1"], "the area holds no pixel"),
    ] {
        holds(&room.run(&[&["photo", "colour", id][..], &more].concat()).refused(), &[says]);
    }

    // Three readings, each kept, one standing; all told by the journal of the piece; the original as it was.
    assert_eq!(std::fs::read(&stored).expect("there"), before);
    let journal = room.run(&["journal", "2031.1", "--json"]).json();
    let acts = |act: &str| journal.iter().filter(|r| r["in_table"] == "target_reading" && r["act"] == act).count();
    assert_eq!((acts("insert"), acts("update"), acts("delete")), (3, 2, 0));
    let target = &room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"][0]["target"];
    assert_eq!(
        (&target["correction"]["patches"], &target["verdicts"][0]["guideline"]),
        (&json!(23), &json!("FADGI 2023"))
    );
    holds(&room.run(&["check"]).done(), &["all well"]);

    let covered = room.run(&["photo", "coverage", "2031.1"]).done();
    holds(
        &covered,
        &[
            "2031.1 spencer: 1 photograph",
            "missing     back, left side",
            "too coarse  front (200 × 200 pixels",
            "not known   scale bar",
        ],
    );
    let covered = room.run(&["photo", "coverage", "--json"]).json().remove(0);
    let views = covered["views"].as_array().expect("a list");
    let state = |view: &str| views.iter().find(|v| v["view"] == view).map(|v| v["state"].clone());
    assert_eq!(state("colour target in the frame"), Some(json!("present")));
    assert_eq!(state("front"), Some(json!("too_coarse")));
    holds(&room.run(&["photo", "coverage", "9"]).refused(), &["there is no piece `9`"]);
}

#[test]
fn rights_of_pieces_and_photographs_are_stated_shown_and_printed() {
    let room = Room::with(&[PLAIN]);
    let sheet = "reason = \"rights looked into\"\n[piece]\nnumber = \"2031.2\"\nrights_statement = \"https://rightsstatements.org/vocab/InC/1.0/\"\n\
                 rights_holder = \"Ilse Varnholt\"\ncredit_line = \"Lent by Ilse Varnholt\"\n";
    let sheet = room.write("rights.toml", sheet);
    room.run(&["enter", &sheet, "--by", "Wren"]).done();
    let piece = room.run(&["show", "2031.2", "--json"]).json().remove(0);
    assert_eq!(piece["piece"]["rights_statement"], "rights/In Copyright", "an address is read as the statement");
    holds(
        &room.run(&["show", "2031.2"]).done(),
        &["rights_statement = \"In Copyright\"", "rights_holder = \"Ilse Varnholt\""],
    );

    let (one, two) = (room.photograph("one.png", 1), room.photograph("two.png", 2));
    room.run(&["photo", "add", "2031.2", &one, "--rights", "cc by 4.0", "--holder", "Ida Farrow", "--by", "Ida"])
        .done();
    room.run(&["photo", "add", "2031.2", &two, "--by", "Ida"]).done();
    let photo = |i: usize| room.run(&["show", "2031.2", "--json"]).json().remove(0)["photographs"][i].clone();
    assert_eq!(
        photo(0)["rights"],
        json!({ "statement": "rights/CC Attribution", "holder": "Ida Farrow", "credit_line": null, "words": null })
    );
    assert_eq!(photo(1)["rights"], json!(null));

    let sha = photo(1)["sha256"].as_str().expect("a text").to_owned();
    let set = room.run(&["photo", "rights", &sha[..8], "--rights", "NKC", "--credit", "A. Q.", "--by", "Ida"]).done();
    assert_eq!(set, "rights of 1 photograph set; 1 changed\n");
    holds(
        &room.run(&["photo", "rights", "--of", "2031.2"]).done(),
        &[
            "rights: Ida Farrow; CC Attribution (CC-BY-4.0, http://creativecommons.org/licenses/by/4.0/)",
            "A. Q.; No Known Copyright (NKC, http://rightsstatements.org/vocab/NKC/1.0/)",
        ],
    );
    // What is not given is left as it stands; with --replace it goes.
    room.run(&["photo", "rights", &sha[..8], "--holder", "Bo", "--by", "Ida"]).done();
    holds(&room.run(&["photo", "rights", &sha]).done(), &["A. Q.; rights: Bo; No Known Copyright"]);
    room.run(&["photo", "rights", &sha, "--rights", "CNE", "--replace", "--by", "Ida"]).done();
    let said = room.run(&["photo", "rights", &sha, "--json"]).json().remove(0);
    assert_eq!(said["statement"]["uri"], "http://rightsstatements.org/vocab/CNE/1.0/");
    assert_eq!((&said["holder"], &said["credit_line"]), (&json!(null), &json!(null)));

    let page = room.run(&["report", "catalogue", "2031.2", "--out", "-"]).done();
    holds(
        &page,
        &[
            "rights: Ilse Varnholt; In Copyright (InC, http://rightsstatements.org/vocab/InC/1.0/)",
            "Rights: Ida Farrow; CC-BY-4.0.",
            "Rights: CNE.",
        ],
    );
    room.run(&["check"]).done();

    let wrong = room.run(&["photo", "rights", &sha, "--rights", "CC-BX", "--by", "Ida"]).refused();
    holds(&wrong, &["CC-BX"]);
    holds(&room.run(&["photo", "rights", "--of", "2031.9"]).refused(), &["there is no piece `2031.9`"]);
}
