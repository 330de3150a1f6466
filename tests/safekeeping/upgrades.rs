//! Catalogues of every earlier schema, opened by this one.
//!
//! `fixtures/older/schema-1.sqlite` was made by the program when that was its schema. Those up to 16 were made from it by the
//! program's own steps, with a row or a value in what each step brought: `write_the_older_catalogues` below does it. From 17
//! on the program itself wrote them when that was its schema: `write_the_catalogue_of_this_schema`; 18 by its commands, and made
//! as small afterwards.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use dimity::catalogue::{Catalogue, Extent, Intent, KeptSearch, SCHEMA_VERSION};
use dimity::exchange::entry;
use rusqlite::Connection;
use rusqlite::types::Value;

use crate::support::{AUTHOR, PLAIN, Room, clock};

/// The schemas of which a catalogue is kept: those that were released.
const KEPT: [u32; 23] = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 20, 21, 22, 23, 24];
/// Those that were made from the first by steps in SQL alone.
const BY_STEPS: std::ops::RangeInclusive<u32> = 2..=16;

pub fn older(schema: u32) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("fixtures/older/schema-{schema}.sqlite"))
}

/// Puts a catalogue of an earlier schema into a folder.
pub fn place(schema: u32, folder: &Path) {
    std::fs::copy(older(schema), folder.join("catalogue.sqlite")).expect("copied");
}

/// The older schemas of which a catalogue is kept, the newest first.
pub fn newest_first() -> Vec<u32> {
    KEPT.into_iter().rev().filter(|schema| i64::from(*schema) < SCHEMA_VERSION).collect()
}

/// One of them for each round of a test, the newest in the first.
pub fn older_one(round: u32) -> u32 {
    let all = newest_first();
    all[round as usize % all.len()]
}

pub type Rows = BTreeMap<String, Vec<Vec<Value>>>;

fn all(db: &Connection, sql: &str) -> Vec<Vec<Value>> {
    let mut statement = db.prepare(sql).unwrap_or_else(|e| panic!("{e}\n{sql}"));
    let columns = statement.column_count();
    let rows = statement.query_map([], |r| (0..columns).map(|i| r.get(i)).collect()).expect("reads");
    rows.map(|r| r.expect("a row")).collect()
}

/// What stands in these columns of these tables.
fn contents(db: &Connection, columns: &[(String, String)]) -> Rows {
    columns
        .iter()
        .map(|(table, columns)| (table.clone(), all(db, &format!("SELECT {columns} FROM \"{table}\""))))
        .collect()
}

/// The tables that hold what was recorded, and their columns; what is worked out from them is left aside.
fn columns(db: &Connection) -> Vec<(String, String)> {
    let sql = "SELECT m.name, group_concat('\"' || c.name || '\"', ', ') FROM sqlite_master m
        JOIN pragma_table_info(m.name) c WHERE m.type = 'table' AND m.name NOT LIKE 'words%' AND m.name NOT LIKE 'found%'
        AND m.name NOT IN ('term', 'setting') GROUP BY m.name";
    let mut statement = db.prepare(sql).expect("prepared");
    statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?))).expect("reads").map(|r| r.expect("a row")).collect()
}

#[test]
fn a_catalogue_of_every_earlier_schema_opens_with_all_it_holds() {
    for schema in newest_first() {
        let folder = tempfile::tempdir().expect("a folder");
        place(schema, folder.path());
        let path = folder.path().join("catalogue.sqlite");
        let db = Connection::open(&path).expect("opens");
        let columns = columns(&db);
        let before = contents(&db, &columns);
        assert_eq!(all(&db, "PRAGMA user_version"), [[Value::Integer(schema.into())]]);
        drop(db);

        let catalogue = Catalogue::open(folder.path(), clock()).unwrap_or_else(|e| panic!("schema {schema}: {e}"));
        assert_eq!(catalogue.check().expect("checks"), [], "schema {schema}");
        let brought_up = catalogue.brought_up().expect("it was older").clone();
        assert_eq!(brought_up.from, i64::from(schema));
        let file = catalogue.piece("2018.7").expect("the piece is there");
        assert_eq!((file.components.len(), file.examinations.len()), (8, 1));
        assert!(folder.path().join("READ-ME-FIRST.txt").exists());
        drop(catalogue);

        let now = Connection::open(&path).expect("opens");
        assert_eq!(all(&now, "PRAGMA user_version"), [[Value::Integer(SCHEMA_VERSION)]]);
        let after = contents(&now, &columns);
        for (table, rows) in &before {
            // The journal goes on; nothing in it is rewritten.
            let kept = after[table].get(..rows.len()).unwrap_or_default();
            assert_eq!(kept, rows, "schema {schema}: `{table}`");
            assert!(table == "journal" || after[table].len() == rows.len(), "schema {schema}: `{table}` has more rows");
        }
        let copy = Connection::open(&brought_up.copy).expect("the copy opens");
        assert_eq!(contents(&copy, &columns), before, "schema {schema}: the copy is what it was before");
        let again = Catalogue::open(folder.path(), clock()).expect("opens again");
        assert!(again.brought_up().is_none(), "schema {schema}: brought up once");
    }
}

/// Something in an older file that a step stumbles over, and how it is taken away again.
struct Obstacle {
    put: String,
    take_away: String,
    /// What the database says of it.
    cause: &'static str,
}

/// The statements of a step, by their first words.
fn statements(step: u32) -> Vec<Vec<String>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema");
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("reads").map(|e| e.expect("an entry").path()).collect();
    files.retain(|f| f.file_name().is_some_and(|n| n.to_string_lossy().starts_with(&format!("{step:04}_"))));
    files.sort();
    let text: String = files.iter().map(|f| std::fs::read_to_string(f).expect("reads")).collect();
    let words = |line: &str| line.split([' ', '(', ';']).filter(|w| !w.is_empty()).map(String::from).collect();
    text.lines().filter(|l| ["CREATE ", "ALTER ", "DROP "].iter().any(|w| l.starts_with(w))).map(words).collect()
}

/// What a step from this file on would stumble over, in the order of its statements: a name that it makes and that is taken
/// already. A name that an earlier step makes too, or that is taken down on the way, is left out.
fn obstacles(db: &Connection, from: u32, step: u32) -> Vec<Obstacle> {
    let there: BTreeSet<String> = all(db, "SELECT name FROM sqlite_master")
        .into_iter()
        .filter_map(|row| if let [Value::Text(name)] = &row[..] { Some(name.clone()) } else { None })
        .collect();
    let made = |words: &[String]| {
        let kind = words.iter().position(|w| ["TABLE", "VIEW", "INDEX", "TRIGGER"].contains(&w.as_str()))?;
        let name = words[kind + 1..].iter().find(|w| !["IF", "NOT", "EXISTS"].contains(&w.as_str()))?;
        Some((words[kind].clone(), name.clone()))
    };
    let before: Vec<_> = (from + 1..step).flat_map(statements).collect();
    let here = statements(step);
    let dropped = here.iter().filter(|words| words[0] == "DROP");
    let taken: BTreeSet<String> = before.iter().chain(dropped).filter_map(|w| made(w)).map(|(_, name)| name).collect();
    let free = |name: &String| !there.contains(name) && !taken.contains(name);
    let obstacle = |words: &Vec<String>| {
        let (kind, name) = made(words)?;
        if words[0] == "CREATE" && free(&name) {
            let trigger = kind == "TRIGGER";
            let put = if trigger {
                format!("CREATE TRIGGER {name} AFTER INSERT ON person BEGIN SELECT 1; END")
            } else {
                format!("CREATE TABLE {name} (in_the_way)")
            };
            let take_away = format!("DROP {} {name}", if trigger { "TRIGGER" } else { "TABLE" });
            return Some(Obstacle { put, take_away, cause: "already" });
        }
        let column = words.iter().position(|w| w == "COLUMN").map(|at| &words[at + 1])?;
        (words[0] == "ALTER" && there.contains(&name)).then(|| Obstacle {
            put: format!("ALTER TABLE {name} ADD COLUMN {column} TEXT"),
            take_away: format!("ALTER TABLE {name} DROP COLUMN {column}"),
            cause: "duplicate column name",
        })
    };
    here.iter().filter_map(obstacle).collect()
}

/// Opens a catalogue of this schema with something in the way of a step; it must be left as it was.
fn stumbles(from: u32, step: u32, obstacle: &Obstacle) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    place(from, folder.path());
    let path = folder.path().join("catalogue.sqlite");
    let what = format!("from {from}, step {step}: {}", obstacle.put);
    Connection::open(&path).expect("opens").execute_batch(&obstacle.put).unwrap_or_else(|e| panic!("{what}: {e}"));
    let before = std::fs::read(&path).expect("reads");
    let fault = Catalogue::open(folder.path(), clock()).map(|_| ()).expect_err(&what).to_string();
    let place = path.display().to_string();
    for words in
        [&*place, &format!("at the step to schema {step}: "), obstacle.cause, "left as it was", "open it again"]
    {
        assert!(fault.contains(words), "{what}: `{words}` is not in: {fault}");
    }
    assert!(std::fs::read(&path).expect("reads") == before, "{what}: not a byte may be other than before");
    let left: Vec<_> =
        std::fs::read_dir(folder.path()).expect("reads").map(|e| e.expect("an entry").file_name()).collect();
    assert_eq!(left, ["catalogue.sqlite"], "{what}: nothing is left beside it");
    folder
}

#[test]
fn whichever_step_fails_the_old_catalogue_is_left_and_opens_when_the_cause_is_gone() {
    let newest = u32::try_from(SCHEMA_VERSION).expect("a number");
    for from in newest_first() {
        let db = Connection::open_with_flags(older(from), rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
        for step in from + 1..=newest {
            let all = obstacles(&db, from, step);
            // From the catalogue next below, the step breaks at its first, middle and last statement that can be broken; from
            // all others at the last.
            let near = newest_first().into_iter().find(|schema| *schema < step) == Some(from);
            let at: BTreeSet<usize> = match all.len().checked_sub(1) {
                Some(last) if near => [0, last / 2, last].into(),
                Some(last) => [last].into(),
                // What the step changes is not in this file yet; it is in one of those nearer to the step.
                None => [].into(),
            };
            assert!(!near || !at.is_empty(), "nothing breaks step {step}");
            for at in at {
                let folder = stumbles(from, step, &all[at]);
                if near || step == newest {
                    let path = folder.path().join("catalogue.sqlite");
                    Connection::open(&path).expect("opens").execute_batch(&all[at].take_away).expect("taken away");
                    let catalogue =
                        Catalogue::open(folder.path(), clock()).expect("brought up when nothing is in the way");
                    assert_eq!(catalogue.check().expect("checks"), [], "from {from}, step {step}");
                    assert_eq!(catalogue.piece("2018.7").expect("the piece").components.len(), 8);
                }
            }
        }
    }
}

#[test]
fn where_no_copy_can_be_made_first_nothing_is_begun() {
    for from in newest_first() {
        let folder = tempfile::tempdir().expect("a folder");
        place(from, folder.path());
        let path = folder.path().join("catalogue.sqlite");
        let before = std::fs::read(&path).expect("reads");
        let in_the_way = folder.path().join(format!("catalogue.schema-{from}.sqlite"));
        std::fs::create_dir_all(in_the_way.join("x")).expect("made");
        let fault = Catalogue::open(folder.path(), clock()).map(|_| ()).expect_err("no copy can be made").to_string();
        assert!(fault.contains(&*in_the_way.to_string_lossy()) && fault.contains("left as it was"), "{fault}");
        assert!(std::fs::read(&path).expect("reads") == before, "schema {from}");
        std::fs::remove_dir_all(&in_the_way).expect("removed");
        let catalogue = Catalogue::open(folder.path(), clock()).expect("brought up");
        let copy = &catalogue.brought_up().expect("it was older").copy;
        assert_eq!(contents_of(copy), contents_of(&older(from)), "schema {from}: the copy is what it was before");
    }
}

/// What is recorded in a catalogue's database.
pub fn contents_of(path: &Path) -> Rows {
    let db = Connection::open_with_flags(path, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    contents(&db, &columns(&db))
}

/// READ-ME-FIRST.txt tells how to look into the tables with other programs.
#[test]
fn a_view_that_somebody_made_over_the_journal_outlives_an_upgrade() {
    let folder = tempfile::tempdir().expect("a folder");
    place(17, folder.path());
    let db = Connection::open(folder.path().join("catalogue.sqlite")).expect("opens");
    db.execute_batch("CREATE VIEW my_changes AS SELECT at, author FROM journal").expect("made");
    let before = all(&db, "SELECT * FROM my_changes");
    drop(db);
    let catalogue = Catalogue::open(folder.path(), clock()).expect("brought up");
    assert!(catalogue.brought_up().is_some());
    drop(catalogue);
    let db = Connection::open(folder.path().join("catalogue.sqlite")).expect("opens");
    assert_eq!(all(&db, "SELECT * FROM my_changes"), before);
    let unused: i64 = db.pragma_query_value(None, "freelist_count", |r| r.get(0)).expect("counted");
    assert_eq!(unused, 0, "the table that was made anew leaves nothing behind");
}

#[test]
fn the_user_is_told_that_a_catalogue_was_brought_up_and_where_the_old_one_lies() {
    let room = Room::bare();
    std::fs::create_dir(room.collection()).expect("made");
    place(4, &room.collection());
    let said = room.run(&["list"]);
    assert_eq!(said.code, Some(0));
    assert!(
        said.err.contains("brought up from schema 4 to ") && said.err.contains("catalogue.schema-4.sqlite"),
        "{said:?}"
    );
    assert_eq!(room.run(&["list"]).err, "", "once");
    room.run(&["enter", &room.write("s.toml", PLAIN)]).done();
    room.run(&["check"]).done();
}

#[test]
#[ignore = "writes fixtures/older up to schema 16 anew"]
fn write_the_older_catalogues() {
    let schema = Path::new(env!("CARGO_MANIFEST_DIR")).join("schema");
    let mut steps: Vec<PathBuf> =
        std::fs::read_dir(schema).expect("reads").map(|e| e.expect("an entry").path()).collect();
    steps.retain(|path| path.extension().is_some_and(|e| e == "sql"));
    steps.sort();
    let work = tempfile::tempdir().expect("a folder");
    let path = work.path().join("c.sqlite");
    std::fs::copy(older(1), &path).expect("copied");
    let db = Connection::open(&path).expect("opens");
    make_small(&db);
    for number in BY_STEPS {
        let prefix = format!("{number:04}_");
        for step in steps.iter().filter(|s| s.file_name().is_some_and(|n| n.to_string_lossy().starts_with(&prefix))) {
            db.execute_batch(&std::fs::read_to_string(step).expect("reads")).expect("the step runs");
        }
        for (table, row) in brought_by(number) {
            record(&db, table, &row);
        }
        db.execute_batch(&format!("PRAGMA user_version = {number}; VACUUM")).expect("set");
        std::fs::copy(&path, older(number)).expect("kept");
    }
}

#[test]
#[ignore = "writes fixtures/older; run once when a schema is released, then raise KEPT"]
fn write_the_catalogue_of_this_schema() {
    let work = tempfile::tempdir().expect("a folder");
    let before = KEPT.into_iter().rfind(|schema| i64::from(*schema) < SCHEMA_VERSION).expect("an older one");
    place(before, work.path());
    let mut catalogue = Catalogue::open(work.path(), clock()).expect("brought up");
    catalogue.withdraw(AUTHOR, "2018.7", "lent for a year").expect("withdrawn");
    catalogue.reinstate(AUTHOR, "2018.7", "back again").expect("back");
    // Something that was taken back, and that something names still.
    let apron = "[piece]\nnumber = \"2018.7\"\n[[component]]\nname = \"apron\"\n[examination]\ndate = 2031-04-01\nexaminer = \
                 \"Wren Askerdale\"\n[[sign]]\nsign = \"wear\"\ncomponent = \"apron\"\n";
    let intent = |reason: &str| Intent { author: AUTHOR.into(), reason: Some(reason.into()), ..Intent::default() };
    let reason = format!("seen under schema {SCHEMA_VERSION}");
    let entered = entry::enter(&mut catalogue, apron.as_bytes(), |_| intent(&reason)).expect("entered");
    let row = entered.row.expect("something new");
    catalogue.take_back("2018.7", row, Extent::Entry, &intent("of another piece")).expect("taken back");
    let silk =
        KeptSearch { name: format!("silk under schema {SCHEMA_VERSION}"), query: "fibre:silk".into(), note: None };
    catalogue.keep_search(AUTHOR, "for the loan", &silk).expect("kept");
    drop(catalogue);
    let path = work.path().join("catalogue.sqlite");
    let db = Connection::open(&path).expect("opens");
    make_small(&db);
    db.execute_batch("PRAGMA journal_mode = DELETE; VACUUM").expect("one small file");
    drop(db);
    std::fs::copy(&path, older(u32::try_from(SCHEMA_VERSION).expect("a number"))).expect("kept");
}

/// Takes out the terms that nothing uses; they come back when the catalogue is opened.
fn make_small(db: &Connection) {
    db.execute_batch(
        "PRAGMA foreign_keys = ON; DELETE FROM setting; PRAGMA page_size = 512;
         PRAGMA temp_store = MEMORY; PRAGMA synchronous = OFF;",
    )
    .expect("set");
    loop {
        let mut gone = 0;
        for id in all(db, "SELECT id FROM term WHERE id <> 'damage/tear' ORDER BY rowid DESC") {
            gone += db.execute("DELETE FROM term WHERE id = ?", [&id[0]]).unwrap_or(0);
        }
        if gone == 0 {
            break;
        }
    }
}

/// Rows for what a step brought: a new row, or with an `id` that is there a changed one.
fn brought_by(number: u32) -> Vec<(&'static str, serde_json::Value)> {
    use serde_json::json;
    let uid = |n: u32| format!("0190c1b0-0000-7000-8000-{:012}", number * 100 + n);
    let photograph = |n: u32| {
        json!({ "id": n, "uid": uid(50 + n), "sha256": format!("{n:064}"), "extension": "jpg", "original_name": "a.jpg", "bytes": 7,
            "media_type": "image/jpeg", "width": 40, "height": 30, "orientation": 1, "exif": "{}", "remarks": "[]" })
    };
    match number {
        2 => vec![(
            "dating_convention",
            json!({ "id": 1, "circa_years": 10, "century_from": 0, "cut": "thirds", "beyond": "strict", "hundreds": "ask" }),
        )],
        3 => vec![("textile_fibres", json!({ "id": 1, "density": 1.54 }))],
        4 => vec![(
            "textile_colours",
            json!({ "owner_id": 1, "position": 1, "l": 80.5, "a": 1.5, "b": -2.25, "exposure": "exposed" }),
        )],
        5 => vec![("measurement", json!({ "error_limit": "1 mm", "error_limit_mm": 1.0, "error_limit_u": 0.5 }))],
        6 => vec![
            ("photograph", photograph(1)),
            ("photograph_of", json!({ "id": 1, "uid": uid(11), "photograph_id": 1, "piece_id": 1 })),
            (
                "scale",
                json!({ "id": 1, "uid": uid(12), "photograph_id": 1, "places": "1,1 11,1", "size": "1 cm", "across_mm": 10.0, "u_mm": 0.1, "pointing_px": 1.0 }),
            ),
        ],
        7 => vec![
            ("photograph", photograph(3)),
            (
                "target_reading",
                json!({ "id": 1, "uid": uid(1), "photograph_id": 3, "corners": "1,1 9,1 9,7 1,7", "reference": "made up",
                    "reference_sha256": "0".repeat(64), "results": "{}", "mean_de00": 1.5, "max_de00": 3.0 }),
            ),
        ],
        8 => vec![("collection", json!({ "id": 1, "name": "Study room", "latitude": 51.5, "longitude": -0.125 }))],
        9 => vec![
            (
                "treatment",
                json!({ "id": 1, "uid": uid(1), "piece_id": 1, "position": 1, "title": "Support", "not_to_be_done": "no washing" }),
            ),
            ("treatment_options", json!({ "id": 1, "owner_id": 1, "position": 1, "option": "net", "taken": "yes" })),
        ],
        10 => vec![
            (
                "display",
                json!({ "id": 1, "uid": uid(1), "piece_id": 1, "position": 1, "place": "case", "from": "2024-05-01" }),
            ),
            (
                "care",
                json!({ "id": 1, "uid": uid(2), "piece_id": 1, "position": 1, "topic": "box", "instead": "as it is", "reason": "room" }),
            ),
        ],
        11 => vec![(
            "wording",
            json!({ "id": 1, "uid": uid(1), "term": "damage/tear", "since": "2024-01-01", "entered": "2024-01-02", "definition": "Torn.", "source": "own usage" }),
        )],
        12 => vec![
            ("photograph", photograph(2)),
            (
                "registration",
                json!({ "id": 1, "uid": uid(11), "first_id": 1, "second_id": 2, "pairs": "1,1=1,1 9,1=9,1 9,9=9,9 1,9=1,9" }),
            ),
        ],
        13 => vec![
            (
                "comparison",
                json!({ "id": 1, "uid": uid(1), "name": "first fitting", "piece_id": 1, "tolerances": "length 3 %", "by": "Wren Askerdale",
                    "kept_at": "2031-05-01T09:30:00Z", "reason": "for the wall" }),
            ),
            ("comparison_other", json!({ "id": 1, "comparison_id": 1, "position": 1, "piece_id": 1 })),
        ],
        14 => vec![(
            "kept_search",
            json!({ "id": 1, "uid": uid(1), "name": "bodices", "query": "garment:bodice", "note": "for the loan" }),
        )],
        15 => vec![(
            "work",
            json!({ "id": 1, "uid": uid(1), "piece_id": 1, "position": 1, "date": "2031-04-30", "task": "hem", "sewn": "12 in", "sewn_mm": 304.8, "sewn_u": 1.0, "done": "begun" }),
        )],
        16 => vec![("account", json!({ "id": 1, "uid": uid(1), "name": "Wren Askerdale", "role": "keep" }))],
        _ => Vec::new(),
    }
}

/// Writes a row, and a row of the journal with the hash that rows had then.
fn record(db: &Connection, table: &str, row: &serde_json::Value) {
    let mut row = row.as_object().expect("a row").clone();
    if table == "measurement" {
        row.insert("id".into(), first(db, "SELECT min(id) FROM measurement"));
    }
    if let ("textile_colours", Some(owner)) = (table, row.get_mut("owner_id")) {
        *owner = first(db, "SELECT min(id) FROM textile");
    }
    let state = |id: &serde_json::Value| {
        let mut statement = db.prepare(&format!("SELECT * FROM \"{table}\" WHERE id = {id}")).expect("prepared");
        let names: Vec<String> = statement.column_names().map(String::from).collect();
        let read = |r: &rusqlite::Row<'_>| {
            let mut state = serde_json::Map::new();
            for (i, name) in names.iter().enumerate() {
                match r.get(i)? {
                    Value::Null | Value::Blob(_) => None,
                    Value::Integer(n) => state.insert(name.clone(), n.into()),
                    Value::Real(n) => state.insert(name.clone(), n.into()),
                    Value::Text(t) => state.insert(name.clone(), t.into()),
                };
            }
            Ok(serde_json::Value::Object(state).to_string())
        };
        statement.query_row([], read).ok()
    };
    let before = row.get("id").and_then(state);
    let value = |v: &serde_json::Value| match v {
        serde_json::Value::Number(n) => {
            n.as_i64().map_or_else(|| Value::Real(n.as_f64().expect("a number")), Value::Integer)
        }
        other => Value::Text(other.as_str().expect("a text").into()),
    };
    let id = if let (Some(id), Some(_)) = (row.get("id").cloned(), &before) {
        let set: Vec<_> = row.keys().map(|name| format!("\"{name}\" = ?")).collect();
        let sql = format!("UPDATE \"{table}\" SET {} WHERE id = {id}", set.join(", "));
        db.execute(&sql, rusqlite::params_from_iter(row.values().map(value))).unwrap_or_else(|e| panic!("{e}: {sql}"));
        id
    } else {
        let names: Vec<_> = row.keys().map(|k| format!("\"{k}\"")).collect();
        let marks = vec!["?"; row.len()].join(", ");
        let sql = format!("INSERT INTO \"{table}\" ({}) VALUES ({marks})", names.join(", "));
        db.execute(&sql, rusqlite::params_from_iter(row.values().map(value))).unwrap_or_else(|e| panic!("{e}: {sql}"));
        db.last_insert_rowid().into()
    };
    let after = state(&id).expect("it is there");
    let previous: String =
        db.query_row("SELECT hash FROM journal ORDER BY id DESC LIMIT 1", [], |r| r.get(0)).expect("a hash");
    let act = if before.is_some() { "update" } else { "insert" };
    let (at, author, reason) = ("2031-05-01T09:30:00Z", "Wren Askerdale", "made for the tests of later schemas");
    let covered =
        [&previous, at, author, reason, act, table, &id.to_string(), &before.clone().unwrap_or_default(), &after]
            .join("\n");
    let hash = crate::support::sha256(&covered);
    db.execute(
        "INSERT INTO journal (at, author, reason, act, in_table, row_id, before, after, previous_hash, hash)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        rusqlite::params![at, author, reason, act, table, id.as_i64(), before, after, previous, hash],
    )
    .expect("journalled");
}

fn first(db: &Connection, sql: &str) -> serde_json::Value {
    db.query_row(sql, [], |r| r.get::<_, i64>(0)).expect("a row").into()
}
