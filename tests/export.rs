//! Exports: what comes out stands up to the reference libraries of its format, comes back as it was, and is the same twice.
//!
//! The libraries are `jsonschema` 4.26.0, `csvw` 4.1.1, `bagit` 1.9.0, `pyarrow` 26.0.1 and `duckdb` 2.0.1 of PyPI, asked
//! by `export/check.py`; `tests/run` installs them. Without them the checks that need them say that they were not run.

#[path = "export/held_back.rs"]
mod held_back;
#[path = "export/pool.rs"]
mod pool;
#[allow(dead_code, reason = "other tests change what they filled")]
#[path = "support/random.rs"]
mod random;
mod support;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

use dimity::catalogue::{Catalogue, Fault, Intent, NewPhotograph, tables};
use dimity::exchange::handed::{Handed, Wanted};
use dimity::exchange::{catalogue_in, out};
use dimity::photograph::Ingested;
use proptest::prelude::*;
use serde_json::{Value, json};

use support::full::full_to_the_last;
use support::{AGAIN, AUTHOR, Desk, PLAIN, Room, SPENCER, Tables, machine};

/// What the reference library says: `ok`, or what is wrong. None where it is not there.
fn check(what: &str, arguments: &[&Path]) -> Option<String> {
    let python = machine::python(&format!("the check `{what}` of tests/export/check.py"))?;
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/export/check.py");
    let done = Command::new(python).arg(script).arg(what).args(arguments).output().expect("Python starts");
    let said = String::from_utf8_lossy(&done.stdout).trim().to_owned();
    let complaint = String::from_utf8_lossy(&done.stderr);
    assert!(matches!(done.status.code(), Some(0 | 1)) && !said.is_empty(), "{what}: {said}\n{complaint}");
    Some(said)
}

fn stands(what: &str, arguments: &[&Path]) {
    if let Some(said) = check(what, arguments) {
        assert_eq!(said, "ok", "{what}");
    }
}

/// It must be found wrong, and for this.
fn falls(what: &str, arguments: &[&Path], why: &str) {
    if let Some(said) = check(what, arguments) {
        assert!(said.contains(why), "{what} should find `{why}`, and says\n{said}");
    }
}

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fn walk(at: &Path, from: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
        for entry in std::fs::read_dir(at).expect("reads").map(|e| e.expect("an entry").path()) {
            if entry.is_dir() {
                walk(&entry, from, found);
            } else {
                let name = entry.strip_prefix(from).expect("inside").to_string_lossy().into_owned();
                found.insert(name, std::fs::read(&entry).expect("reads"));
            }
        }
    }
    let mut found = BTreeMap::new();
    walk(folder, folder, &mut found);
    found
}

/// A catalogue with something of every kind in it.
fn furnished() -> Room {
    let room = Room::with(&[SPENCER, PLAIN, AGAIN]);
    let run = |arguments: &[&str]| drop(room.run(&[arguments, &["--by", "Wren Askerdale"]].concat()).done());
    let (one, two) = (room.photograph("one.png", 1), room.photograph("two.png", 2));
    run(&["photo", "add", "2031.1", &one, "--view", "front", "--rights", "CC-BY-4.0", "--holder", "Ida Farrow"]);
    run(&["photo", "add", "2031.2", &two]);
    let sha =
        room.run(&["show", "2031.1", "--json"]).json()[0]["photographs"][0]["sha256"].as_str().expect("one").to_owned();
    run(&["photo", "scale", &sha, "--between", "1,1", "31,1", "--length", "1 cm"]);
    run(&["photo", "region", &sha, "outline 1,1 9,1 9,9", "--outlines", "left front"]);
    run(&[
        "terms",
        "fibre",
        "--add",
        "pina",
        "--definition",
        "Leaf fibre of the pineapple.",
        "--source",
        "house rules",
    ]);
    run(&[
        "terms",
        "grade",
        "--define",
        "good",
        "--definition",
        "As new.",
        "--source",
        "house rules",
        "--since",
        "2024-01-01",
    ]);
    run(&["searches", "--keep", "silk", "fibre:silk"]);
    run(&["compare", "2031.1", "--with", "2031.2", "--keep", "first fitting"]);
    run(&["collection", "--name", "Study & \"collection\"", "--place", "51.5 N 0.13 W"]);
    run(&["conventions", "--circa", "4"]);
    run(&["report", "condition", "2031.1", "--seal"]);
    run(&["withdraw", "2031.2", "--reason", "given back"]);
    let doomed =
        room.write("doomed.toml", "[piece]\nnumber = \"2031.7\"\nnature = \"extant\"\nobject_name = \"cap\"\n");
    run(&["enter", &doomed]);
    run(&["purge", "2031.7", "--reason", "asked for", "--yes"]);
    room
}

fn export(room: &Room, arguments: &[&str]) -> PathBuf {
    let place = room.path().join(format!("out-{}", arguments.join("-").replace(['/', ' '], "_")));
    let to = place.to_str().expect("a plain name");
    drop(room.run(&[&["export"], arguments, &["--out", to]].concat()).done());
    place
}

#[test]
fn the_whole_catalogue_goes_out_as_json_and_comes_back_byte_for_byte() {
    let room = furnished();
    let first = export(&room, &["json"]);
    let document = first.join("catalogue.json");
    let path = document.to_str().expect("a plain name");
    let said = room.run(&["--in", "again", "import", "json", path]).done();
    assert!(said.contains("1 piece taken in with their journal") && said.contains("3 files beside them"), "{said}");
    let second = room.path().join("second");
    room.run(&["--in", "again", "export", "json", "--out", second.to_str().expect("plain")]).done();
    assert_eq!(files(&first), files(&second));
    // It is a catalogue like the first one: whole, found in, written to.
    room.run(&["--in", "again", "check"]).done();
    assert_eq!(room.run(&["--in", "again", "find", "kept:silk", "--json"]).json().len(), 1);
    assert_eq!(room.run(&["journal", "--json"]).done(), room.run(&["--in", "again", "journal", "--json"]).done());
    assert!(room.run(&["--in", "again", "list", "--withdrawn"]).done().contains("given back"));
    let more = room.write("more.toml", "[piece]\nnumber = \"2032.1\"\nnature = \"extant\"\nobject_name = \"cap\"\n");
    room.run(&["--in", "again", "enter", &more, "--by", "Wren"]).done();
    room.run(&["--in", "again", "check"]).done();
    // And not into one that holds anything.
    let refused = room.run(&["--in", "again", "import", "json", path]).refused();
    assert!(refused.contains("holds records already"), "{refused}");
}

#[test]
fn the_json_schema_is_of_today_takes_every_document_and_refuses_wrong_ones() {
    let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/catalogue.schema.json");
    let today = format!("{:#}\n", out::schema::schema(tables().expect("the schema")));
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        std::fs::write(&shipped, &today).expect("written");
    }
    assert!(
        std::fs::read_to_string(&shipped).expect("it is shipped") == today,
        "schema/catalogue.schema.json is not of today; run this test with UPDATE_SCHEMA=1"
    );
    let room = furnished();
    assert_eq!(room.run(&["export", "json", "--schema"]).done(), today);
    let document = export(&room, &["json"]).join("catalogue.json");
    stands("json_schema", &[&shipped, &document]);

    let whole: Value = serde_json::from_slice(&std::fs::read(&document).expect("reads")).expect("JSON");
    let wrong = room.path().join("wrong.json");
    let cases: [(&str, Value, &str); 8] = [
        ("/tables/piece/0/title", json!(7), "7 is not of type 'string'"),
        ("/tables/measurement/0/mm", json!("698"), "'698' is not of type 'number'"),
        ("/tables/measurement/0/u_mm", json!(-1), "-1 is less than the minimum"),
        ("/tables/textile_fibres/0/fibre", json!("silk"), "'silk' does not match"),
        ("/tables/examination/0/date", json!("yesterday"), "'yesterday' does not match"),
        ("/tables/piece/0/colour", json!("red"), "Additional properties are not allowed ('colour' was unexpected)"),
        ("/tables/component/0/side", json!("top"), "'top' is not one of"),
        ("/format", json!("another"), "was expected"),
    ];
    for (place, value, why) in cases {
        let mut document = whole.clone();
        let (parent, name) = place.rsplit_once('/').expect("a path");
        document.pointer_mut(parent).unwrap_or_else(|| panic!("`{parent}`"))[name] = value;
        std::fs::write(&wrong, document.to_string()).expect("written");
        falls("json_schema", &[&shipped, &wrong], why);
    }
    let mut document = whole;
    document["tables"]["piece"][0].as_object_mut().expect("a row").remove("number");
    std::fs::write(&wrong, document.to_string()).expect("written");
    falls("json_schema", &[&shipped, &wrong], "'number' is a required property");
}

#[test]
fn a_document_that_is_not_as_it_was_written_is_refused_and_nothing_is_taken_in() {
    let room = furnished();
    let text = std::fs::read_to_string(export(&room, &["json"]).join("catalogue.json")).expect("reads");
    let some = std::fs::read_to_string(export(&room, &["json", "--alone"]).join("catalogue.json")).expect("reads");
    assert_eq!(text, some);
    let changed = |from: &str, to: &str| {
        assert!(text.contains(from), "`{from}`");
        text.replacen(from, to, 1)
    };
    let half = text.chars().take(text.len() / 2).collect::<String>();
    for (document, why) in [
        (String::new(), "ends in the middle"),
        (half, "ends in the middle"),
        ("[]".into(), "the catalogue as an object"),
        ("{}".into(), "this is no `dimity catalogue`"),
        ("{\"x\":1}".into(), "`x` does not belong into the document"),
        (changed("\"format\": \"dimity catalogue\"", "\"format\": \"other\""), "this is no `dimity catalogue`"),
        (changed("\"version\": 1", "\"version\": 2"), "by a newer program"),
        (changed("\"complete\": true", "\"complete\": false"), "is not complete"),
        (changed("\"object_name\":\"spencer\"", "\"object_name\":\"cape\""), "was changed outside the program"),
        (changed("\"number\":\"2031.1\",", ""), "`number` is missing"),
        (changed("\"object_name\":\"spencer\"", "\"object_name\":7"), "`object_name` must be a text"),
        (changed("\"object_name\":\"spencer\"", "\"object_nam\":\"x\""), "`object_nam` is no column of it"),
        (changed("\"person\": [", "\"persons\": ["), "there is no table `persons`"),
        (changed("\"act\":\"insert\"", "\"act\":\"eat\""), "does not fit its table"),
        (changed("\"reason\":\"photograph added\"", "\"reason\":\"photograph taken\""), "the journal does not follow"),
        (format!("{text} more"), "trailing characters"),
    ] {
        let path = room.write("wrong.json", &document);
        let refused = room.run(&["--in", "empty", "import", "json", &path]).refused();
        assert!(refused.contains(why), "`{why}` should stand in\n{refused}");
        assert_eq!(room.run(&["--in", "empty", "journal"]).done().trim(), "", "nothing was taken in");
    }
    // Nothing of the attempts is left: the right one goes in.
    let path = room.write("right.json", &text);
    let said = room.run(&["--in", "empty", "import", "json", &path]).said_wrong();
    assert!(
        said.contains("cannot be read") && said.contains("photographs"),
        "its photographs are not beside it: {said}"
    );
    assert_eq!(room.run(&["--in", "empty", "journal", "--json"]).done(), room.run(&["journal", "--json"]).done());
}

#[test]
fn nesting_without_end_is_refused_and_nothing_is_taken_in() {
    const DEEP: usize = 1_000_000;
    let room = Room::bare();
    let deep = [format!("{}1{}", "[".repeat(DEEP), "]".repeat(DEEP)), "{\"a\":".repeat(DEEP)];
    let documents = deep.iter().flat_map(|deep| {
        ["", "{\"format\":", "{\"held_back\":", "{\"tables\":{\"piece\":[", "{\"tables\":{\"piece\":[{\"title\":"]
            .map(|before| format!("{before}{deep}"))
    });
    for (n, document) in documents.enumerate() {
        let path = room.write("deep.json", &document);
        let refused = room.run(&["--in", "empty", "import", "json", &path]).refused();
        assert!(refused.len() < 1000, "document {n}: {refused:.300}");
        assert_eq!(room.run(&["--in", "empty", "journal"]).done().trim(), "", "document {n}");
    }
}

/// A document in which all holds together, journal and all, and which names files as no camera does.
#[test]
fn no_name_in_a_document_leads_out_of_the_folder() {
    const ROGUE: &str = "rogue bytes";
    let digest = support::sha256(ROGUE);
    let outside = format!("{:.<64}", "../../../../../../up/");
    let cases = [
        (digest.clone(), "/../../../up", "../../up.jpg"),
        (digest.clone(), "jpg/../../../../up", "/etc/up"),
        (digest.clone(), "sh;x\n\u{1b}[31m", "up\u{0}.jpg\n\u{1b}[31m"),
        (digest, "", "C:\\up.jpg"),
        (outside, "jpg", ".."),
        ("é".repeat(64), "jpg", ""),
        ("A".repeat(64), "jpg", "~/up.jpg"),
    ];
    for (sha256, extension, name) in cases {
        let mut desk = Desk::new();
        desk.entered(SPENCER);
        let picture = desk.folder().join("sound.jpg");
        std::fs::write(&picture, support::pictures::plain(3)).expect("written");
        let sound = dimity::photograph::Store::at(desk.folder()).ingest(&picture).expect("taken in");
        let (extension, original_name) = (extension.to_owned(), name.to_owned());
        let forged = Ingested { sha256: sha256.clone(), extension, original_name, ..sound };
        let shows = NewPhotograph { number: "2031.1".into(), ..NewPhotograph::default() };
        desk.catalogue.add_photograph(AUTHOR, &forged, &shows).expect("the tables hold any text");
        let room = Room::bare();
        let house = room.path().join("house/in");
        std::fs::create_dir_all(&house).expect("made");
        // Wherever the name may lead from beside the document, there is something to take.
        for place in ["up", "house/up", "house/in/up", "up.jpg"] {
            std::fs::write(room.path().join(place), ROGUE).expect("written");
        }
        std::fs::write(house.join("catalogue.json"), written(&desk.catalogue)).expect("written");
        let before = files(room.path());
        let run = |arguments: &[&str]| {
            let mut command = room.program(arguments);
            command.current_dir(&house).env("DIMITY_IN", "made/again").env("HOME", room.path());
            let output = command.output().expect("starts");
            let told = String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned();
            assert!(matches!(output.status.code(), Some(0 | 1)), "{sha256} {name}: {arguments:?}: {told}");
            assert!(!told.contains('\u{1b}') && !told.contains('\0'), "{sha256} {name}: {arguments:?}: {told}");
        };
        run(&["import", "json", "catalogue.json"]);
        run(&["check"]);
        run(&["show", "2031.1"]);
        run(&["report", "catalogue", "2031.1"]);
        for format in ["json", "bag"] {
            run(&["export", format]);
        }
        run(&["backup", "safe"]);
        let mut after = files(room.path());
        after.retain(|path, _| !path.starts_with("house/in/made/again/") && !path.starts_with("house/in/safe/"));
        assert_eq!(after.keys().collect::<Vec<_>>(), before.keys().collect::<Vec<_>>(), "{sha256} {name}");
        assert_eq!(after, before, "{sha256} {name}");
    }
}

fn written(catalogue: &Catalogue) -> Vec<u8> {
    let handed = Handed::of(catalogue, Wanted { pieces: None, with_gps: true, files: None }).expect("reads");
    let about = handed.about().expect("reads");
    let mut bytes = Vec::new();
    out::json::write(&mut bytes, &about, &handed).expect("written");
    bytes
}

fn taken_in(document: &[u8]) -> Desk {
    let mut desk = Desk::new();
    desk.catalogue
        .take_in(|take| {
            let mut take = |table: &_, row| take(table, row).map_err(|e| e.to_string());
            Ok(catalogue_in::read(document, tables()?, &mut take).map_err(Fault::Refused)?.positions)
        })
        .expect("taken in");
    desk
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn whatever_is_recorded_comes_back_byte_for_byte(start: u64, density in 5u8..90) {
        let mut desk = Desk::new();
        desk.entered("[piece]\nnumber = \"model\"\nnature = \"extant\"\nobject_name = \"gown\"\n");
        for i in 0..3u64 {
            let file = random::file(start.wrapping_add(i), density, &["model"], false);
            let intent = Intent { author: AUTHOR.into(), reason: Some("any".into()), ..Intent::default() };
            desk.catalogue.enter(&file, &intent).expect("entered");
        }
        let first = written(&desk.catalogue);
        let again = taken_in(&first);
        prop_assert!(first == written(&again.catalogue), "the second export differs");
        again.is_sound();
    }
}

/// Begun by the first release, with a row in every table: an empty one would come back whole whatever became of its rows.
#[test]
fn every_table_has_rows_that_go_out_and_come_back() {
    let (room, desk) = (Room::bare(), full_to_the_last());
    let full = desk.folder().to_str().expect("a plain name");
    let out = |from: &str, format: &str| {
        let place = room.path().join(format!("{format}-of-{}", if from == full { "first" } else { from }));
        room.run(&["--in", from, "export", format, "--out", place.to_str().expect("a plain name")]).done();
        place
    };
    let (json, csv) = (out(full, "json"), out(full, "csv"));
    let document = json.join("catalogue.json");
    room.run(&["--in", "again", "import", "json", document.to_str().expect("a plain name")]).done();
    room.run(&["--in", "again", "check"]).done();
    for (format, first) in [("json", &json), ("csv", &csv)] {
        assert!(files(first) == files(&out("again", format)), "what came back goes out as other {format}");
    }
    let document: Value = serde_json::from_slice(&std::fs::read(document).expect("reads")).expect("JSON");
    for table in tables().expect("the schema") {
        let rows = document["tables"][&table.name].as_array().map_or(0, Vec::len);
        assert!(rows > 0, "`{}` is empty, and nothing is tried of it", table.name);
        let mut read = csv::Reader::from_path(csv.join(format!("{}.csv", table.name))).expect("a table");
        assert_eq!(read.records().flatten().count(), rows, "{}.csv", table.name);
    }
    let schema = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/catalogue.schema.json");
    stands("json_schema", &[&schema, &json.join("catalogue.json")]);
    stands("csvw", &[&csv]);
    stands("parquet", &[&out(full, "parquet"), &schema]);
    // The schema describes every table: what does not belong into its rows is found in each.
    let mut wrong = document;
    for (table, rows) in wrong["tables"].as_object_mut().expect("tables") {
        rows[0][format!("no_column_of_{table}")] = json!(1);
    }
    let path = room.write("wrong.json", wrong.to_string());
    let Some(said) = check("json_schema", &[&schema, Path::new(&path)]) else { return };
    for table in tables().expect("the schema") {
        let why = format!("/tables/{0}/0: Additional properties are not allowed ('no_column_of_{0}' was", table.name);
        assert!(said.contains(&why), "no `{why}` in\n{said}");
    }
}

/// Every cell of every table, as an independent reader of the format has it, against the same as an independent reader of SQLite
/// has it.
#[test]
fn every_cell_goes_out_as_it_is_kept() {
    let (room, desk) = (Room::bare(), full_to_the_last());
    // Drawn without a letter, as outlines are: a text that must stand there and has nothing in it.
    Tables::open(desk.folder()).run("UPDATE region SET label = ''");
    let out = |from: &Path, format: &str, to: &str| {
        let place = room.path().join(to);
        let [from, to] = [from, &place].map(|path| path.to_str().expect("a plain name"));
        let collection: &[&str] = if format == "parquet" { &["--collection", "Askerdale"] } else { &[] };
        room.run(&[&["--in", from, "export", format, "--out", to], collection].concat()).done();
        place
    };
    let database = desk.folder().join("catalogue.sqlite");
    let (csv, parquet) = (out(desk.folder(), "csv", "csv"), out(desk.folder(), "parquet", "parquet"));
    let document = out(desk.folder(), "json", "json").join("catalogue.json");
    let all = [("csv_cells", &csv), ("parquet_cells", &parquet), ("json_cells", &document)];
    for (what, place) in all {
        stands(what, &[place, &database]);
    }

    // The checks can fail: each of these cells is another in a catalogue that was changed, and a row more or less is found.
    let other = room.path().join("other.sqlite");
    desk.catalogue.copy_database(&other, &mut |_, _| ()).expect("copied");
    let db = rusqlite::Connection::open(&other).expect("opens");
    db.pragma_update(None, "foreign_keys", false).expect("off");
    let changes = [
        ("UPDATE piece SET title = title || ' ' WHERE number = '2031.1'", "piece.title of "),
        ("UPDATE housing SET length = NULL, length_mm = NULL, length_u = NULL", "housing.length of "),
        ("UPDATE piece SET culture = 'nobody''s' WHERE number = '2031.1'", "piece.culture of "),
        ("UPDATE piece SET keywords = '[\"silk\"]' WHERE number = '2031.1'", "piece.keywords of "),
        ("UPDATE scale SET across_mm = across_mm * (1 + 1e-14) WHERE id = 1", "scale.across_mm of 1: "),
        ("UPDATE reading SET position = position + 9 WHERE id = 1", "reading.position of 1: "),
        ("UPDATE move SET date = '2031-02-02'", "move.date of "),
        ("UPDATE comparison SET kept_at = '2031-05-01T09:30:01Z' WHERE id = 1", "comparison.kept_at of 1: "),
        ("UPDATE term SET local = 1 - local WHERE id = 'fibre/silk'", "term.local of fibre/silk: "),
        ("DELETE FROM source_row", "source_row: 1 rows, 1 of them apart, for 0"),
        (
            "INSERT INTO kept_search(id, uid, name, query) VALUES (9, '012345678901234567890123456789012345', 'x', 'y')",
            "kept_search: ",
        ),
    ];
    for (sql, _) in changes {
        db.execute_batch(sql).unwrap_or_else(|e| panic!("{e}\n{sql}"));
    }
    drop(db);
    for (what, place) in all {
        let Some(said) = check(what, &[place, &other]) else { continue };
        for (sql, why) in changes {
            assert!(said.contains(why), "{what} does not see `{sql}`:\n{said}");
        }
    }
    // A file with the right columns and nothing in it.
    let empty = out(&Room::new().collection(), "parquet", "empty");
    let part = "piece/collection=Askerdale/part-0.parquet";
    std::fs::copy(empty.join(part), parquet.join(part)).expect("copied");
    let schema = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/catalogue.schema.json");
    stands("parquet", &[&parquet, &schema]);
    falls("parquet_cells", &[&parquet, &database], "piece: 0 rows");
    let text = std::fs::read_to_string(csv.join("piece.csv")).expect("reads");
    assert!(text.contains("Green silk spencer"));
    std::fs::write(csv.join("piece.csv"), text.replacen("Green silk", "Green wool", 1)).expect("written");
    stands("csvw", &[&csv]);
    falls("csv_cells", &[&csv, &database], "'Green wool spencer' for 'Green silk spencer'");
}

#[test]
fn tables_go_out_as_csv_that_its_description_fits() {
    let room = furnished();
    let csv = export(&room, &["csv"]);
    stands("csvw", &[&csv]);
    for (file, from, to, why) in [
        ("measurement.csv", "centre back length", "centre back length\",x,\"", "measurement.csv"),
        ("component.csv", ",left,", ",top,", "component.csv"),
        ("journal.csv", "Z,Wren Askerdale", "Z o'clock,Wren Askerdale", "journal.csv"),
        ("component.csv", "left front", "left front\r\n1,x,1,1,again", "component.csv"),
    ] {
        let text = std::fs::read_to_string(csv.join(file)).expect("reads");
        assert!(text.contains(from), "`{from}` in {file}");
        std::fs::write(csv.join(file), text.replacen(from, to, 1)).expect("written");
        falls("csvw", &[&csv], why);
        std::fs::write(csv.join(file), text).expect("written");
    }
    // A link to nothing.
    let text = std::fs::read_to_string(csv.join("person.csv")).expect("reads");
    let headings = text.lines().next().expect("a line");
    std::fs::write(csv.join("person.csv"), format!("{headings}\r\n")).expect("written");
    falls("csvw", &[&csv], "link");
}

#[test]
fn links_to_what_was_not_chosen_are_counted_once() {
    let after = "[piece]\nnumber = \"2031.R1\"\nnature = \"reconstruction\"\nobject_name = \"spencer\"\n\
        [[made_after]]\nmodel = \"2031.1\"\n";
    let room = Room::with(&[SPENCER, after]);
    let place = room.path().join("one");
    let said = room.run(&["export", "csv", "2031.R1", "--out", place.to_str().expect("a plain name")]).done();
    assert!(said.contains("1 link to what was not chosen"), "{said}");
}

#[cfg(unix)]
#[test]
fn a_place_whose_name_is_no_text_is_told_all_the_same() {
    use std::os::unix::ffi::OsStrExt as _;
    let room = Room::with(&[PLAIN]);
    let mut command = room.program(&["--json", "export", "lido", "2031.2", "--out"]);
    let ended = command.arg(std::ffi::OsStr::from_bytes(b"odd-\xff")).output().expect("it runs");
    assert!(ended.status.success(), "{}", String::from_utf8_lossy(&ended.stderr));
    let told: serde_json::Value = serde_json::from_slice(&ended.stdout).expect("JSON");
    assert!(told["list"].as_str().is_some_and(|list| list.contains("odd-")), "{told}");
}

#[test]
fn a_text_like_a_formula_stands_as_recorded_unless_it_is_asked_otherwise() {
    let room = Room::with(&[PLAIN]);
    let sheet = room
        .write("f.toml", "[piece]\nnumber = \"9\"\nnature = \"extant\"\nobject_name = \"=1+1\"\ntitle = \"-5 °C\"\n");
    room.run(&["enter", &sheet, "--by", "Wren"]).done();
    let plain = std::fs::read_to_string(export(&room, &["csv"]).join("piece.csv")).expect("reads");
    assert!(plain.contains(",=1+1,") && plain.contains(",-5 °C,"), "{plain}");
    let safe = export(&room, &["csv", "--for-spreadsheets"]);
    let text = std::fs::read_to_string(safe.join("piece.csv")).expect("reads");
    assert!(text.contains(",'=1+1,") && text.contains(",'-5 °C,"), "{text}");
    assert!(std::fs::read_to_string(safe.join("EXPORT.txt")).expect("reads").contains("an apostrophe stands before"));
    stands("csvw", &[&safe]);
}

#[test]
fn a_bag_is_valid_and_a_changed_bit_is_found() {
    let room = furnished();
    let bag = export(&room, &["bag", "2031.1"]);
    stands("bag", &[&bag]);
    let there = files(&bag);
    for name in [
        "bagit.txt",
        "bag-info.txt",
        "data/catalogue.json",
        "data/2031.1/condition.html",
        "data/2031.1/catalogue.html",
        "data/2031.1/treatment-1.html",
    ] {
        assert!(there.contains_key(name), "`{name}` among {:?}", there.keys());
    }
    assert_eq!(there["bagit.txt"], b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n");
    let document: Value = serde_json::from_slice(&there["data/catalogue.json"]).expect("JSON");
    assert_eq!((&document["of"], &document["complete"]), (&json!(["2031.1"]), &json!(false)));
    let numbers: Vec<_> = document["tables"]["piece"].as_array().expect("rows").iter().map(|p| &p["number"]).collect();
    assert_eq!(numbers, ["2031.1"]);
    assert_eq!(document["tables"]["journal"], json!([]));
    assert_eq!(document["tables"]["photograph"].as_array().map(Vec::len), Some(1), "the other photograph is not of it");
    let treatment = String::from_utf8_lossy(&there["data/2031.1/treatment-1.html"]);
    assert!(treatment.contains("Treatment record") && treatment.contains("Net laid"), "what was done is printed");
    // The sealed report goes along to the byte.
    let sha256 = document["tables"]["seal"][0]["sha256"].as_str().expect("it is sealed");
    let stored = room.collection().join("sealed").join(&sha256[..2]).join(format!("{sha256}.html"));
    assert_eq!(there[&format!("data/sealed/{sha256}.html")], std::fs::read(stored).expect("reads"));
    assert_eq!(document["held_back"], json!({ "positions": [], "files": [] }));
    stands("json_schema", &[&bag.join("data/catalogue.schema.json"), &bag.join("data/catalogue.json")]);

    for (name, at) in [("data/2031.1/condition.html", 5000), ("bag-info.txt", 30), ("manifest-sha256.txt", 5)] {
        let mut bytes = there[name].clone();
        bytes[at] ^= 1;
        std::fs::write(bag.join(name), bytes).expect("written");
        falls("bag", &[&bag], &format!("{name} sha256 validation failed"));
        std::fs::write(bag.join(name), &there[name]).expect("written");
    }
    std::fs::remove_file(bag.join("data/2031.1/condition.html")).expect("removed");
    falls("bag", &[&bag], "Payload-Oxum");
    let wrong = room.run(&["export", "bag", "2031.9"]).refused();
    assert!(wrong.contains("there is no piece `2031.9`"), "{wrong}");
}

#[test]
fn the_same_catalogue_gives_the_same_bytes_and_only_an_export_is_replaced() {
    let room = furnished();
    for format in [&["json"][..], &["csv"], &["parquet"], &["bag"]] {
        let first = files(&export(&room, format));
        let place = room.path().join("elsewhere");
        room.abroad(&[&["export"], format, &["--out", place.to_str().expect("a plain name")]].concat()).done();
        assert!(first == files(&place), "{format:?} differs from one time and place to the next");
        std::fs::remove_dir_all(place).expect("removed");
        assert!(first.len() > 3, "{format:?}");
    }
    let mine = room.path().join("mine");
    std::fs::create_dir(&mine).expect("made");
    std::fs::write(mine.join("letter.txt"), "dear").expect("written");
    let refused = room.run(&["export", "csv", "--out", mine.to_str().expect("plain")]).refused();
    assert!(refused.contains("is no export of this program"), "{refused}");
    assert_eq!(files(&mine).len(), 1);
    let said = room.run(&["export", "csv", "--of", "kept:silk"]).done();
    assert!(said.contains("of 1 chosen piece in") && said.contains("left out: the journal"), "{said}");
    assert!(room.collection().join("exports/csv/piece.csv").is_file());
}

#[test]
fn parquet_has_the_types_of_its_columns() {
    let room = furnished();
    let parquet = export(&room, &["parquet"]);
    assert!(parquet.join("piece/collection=Study%20%26%20%22collection%22/part-0.parquet").is_file());
    let schema = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/catalogue.schema.json");
    stands("parquet", &[&parquet, &schema]);
    let nameless = Room::with(&[PLAIN]);
    let refused = nameless.run(&["export", "parquet"]).refused();
    assert!(refused.contains("this collection has no name yet"), "{refused}");
}
