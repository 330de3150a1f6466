//! Promise: every change is journalled, and tampering shows.

mod support;

use dimity::record::target::TargetReading;
use support::full::{full, target_reading};
use support::{AUTHOR, second};

#[test]
fn a_target_reading_comes_back_as_it_was_stored_and_a_later_one_stands() {
    let mut desk = full();
    let photograph = desk.catalogue.piece("2031.1").expect("there").photographs.remove(0);
    let stored = photograph.target.expect("a reading");
    assert_eq!(TargetReading { id: String::new(), ..stored.clone() }, target_reading());
    let later = TargetReading { reference: "measured".into(), ..target_reading() };
    assert!(desk.catalogue.add_target_reading(AUTHOR, &photograph.sha256, &later).expect("stored"));
    let standing = desk.catalogue.target_reading(&photograph.sha256).expect("reads").expect("a reading");
    assert_eq!(standing.reference, "measured");
    let replaced = desk.sql().one(
        "SELECT a.reference || ', ' || b.reference FROM target_reading a JOIN target_reading b ON b.id = a.replaced_by",
    );
    assert_eq!(replaced, "made up, measured");
    desk.is_sound();
}

#[test]
fn every_change_has_time_author_and_reason() {
    let desk = full();
    let rows = desk.catalogue.journal(None).expect("reads");
    assert!(rows.len() > 50);
    let reasons: std::collections::BTreeSet<_> = rows.iter().map(|r| r.reason.as_str()).collect();
    assert_eq!(
        reasons.into_iter().collect::<Vec<_>>(),
        [
            "account added",
            "collection described",
            "colour target read",
            "condition report sealed",
            "dating convention chosen",
            "definition of our own",
            "from the old list",
            "kept to look at",
            "measured again",
            "photograph added",
            "photographs registered",
            "region drawn",
            "scale set",
            "sheet entered",
            "study",
            "survey planned",
            "term of our own"
        ]
    );
    for row in &rows {
        assert_eq!((row.author.as_str(), row.at.as_str()), (AUTHOR, "2031-05-01T09:30:00Z"), "{row:?}");
        let states = (row.before.is_some(), row.after.is_some());
        let fits = match row.act.as_str() {
            "insert" => (false, true),
            "update" => (true, true),
            _ => (true, false),
        };
        assert_eq!(states, fits, "before and after of {row:?}");
    }
}

#[test]
fn the_hashes_are_what_the_page_in_the_folder_says() {
    let desk = full();
    let page = std::fs::read_to_string(desk.folder().join("READ-ME-FIRST.txt")).expect("the page is there");
    for word in ["SHA-256 of before and of after", "joined by line feeds", "64 zeros", "blank counts as an empty text"]
    {
        assert!(page.contains(word), "the page should explain `{word}`");
    }
    let sql = desk.sql();
    let digest = support::sha256;
    let column = |name: &str| sql.all(&format!("SELECT {name} FROM journal ORDER BY id"));
    let meta =
        "previous_hash || char(10) || at || char(10) || author || char(10) || reason || char(10) || act || char(10) ||
                in_table || char(10) || row_id || char(10)";
    let states = column("before").into_iter().zip(column("after"));
    let covered = |state: &str| if state.is_empty() { String::new() } else { digest(state) };
    let texts = column(meta).into_iter().zip(states);
    let texts = texts.map(|(meta, (before, after))| format!("{meta}{}\n{}", covered(&before), covered(&after)));
    let written = sql.all("SELECT hash FROM journal ORDER BY id");
    let mut previous = "0".repeat(64);
    for (text, hash) in texts.zip(&written) {
        assert!(text.starts_with(&previous), "each row begins with the hash before it");
        let reckoned = digest(&text);
        assert_eq!(reckoned, *hash, "{text}");
        previous = reckoned;
    }
}

#[test]
fn any_stored_value_changed_outside_is_found() {
    let mut desk = full();
    desk.entered(&second("2031.9"));
    desk.catalogue.purge(AUTHOR, "2031.9", "entered by mistake", false).expect("purged");
    let sql = desk.sql();
    sql.run("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON");
    for fence in sql.all("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name LIKE 'treatment%'") {
        sql.run(&format!("DROP TRIGGER {fence}"));
    }
    let fences = ["sealed_report_stays", "wording_stays", "purge_stands"];
    fences.iter().for_each(|fence| sql.run(&format!("DROP TRIGGER {fence}")));
    // Without its fences the schema is other than it should be, and that is found too; it is not what is tried here.
    let standing = desk.catalogue.check().expect("the check runs").len();
    let tables = sql.all(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'words%' AND name NOT LIKE 'sqlite%' AND name NOT GLOB 'found_*'
         AND name NOT IN ('journal', 'setting', 'account_password') ORDER BY name",
    );
    let (mut tried, mut empty) = (0, Vec::new());
    for table in &tables {
        let Some(row) = sql.all(&format!("SELECT max(rowid) FROM \"{table}\"")).pop().filter(|r| !r.is_empty()) else {
            empty.push(table.clone());
            continue;
        };
        for column in sql.all(&format!("SELECT name FROM pragma_table_info('{table}') WHERE name NOT IN ('id')")) {
            let kind = sql.one(&format!("SELECT type FROM pragma_table_info('{table}') WHERE name = '{column}'"));
            let other = if kind == "TEXT" {
                format!("coalesce(\"{column}\", '') || 'x'")
            } else {
                format!("coalesce(\"{column}\", 0) + 1")
            };
            let kept: rusqlite::types::Value = sql
                .0
                .query_row(&format!("SELECT \"{column}\" FROM \"{table}\" WHERE rowid = {row}"), [], |r| r.get(0))
                .expect("a value");
            sql.run(&format!("UPDATE \"{table}\" SET \"{column}\" = {other} WHERE rowid = {row}"));
            let found = desk.catalogue.check().expect("the check runs");
            assert!(found.len() > standing, "`{table}.{column}` was changed and nothing was found");
            sql.0
                .execute(&format!("UPDATE \"{table}\" SET \"{column}\" = ? WHERE rowid = {row}"), [&kept])
                .expect("the value can be put back");
            tried += 1;
        }
    }
    assert!(tried > 250, "only {tried} columns were tried");
    assert_eq!(empty, ["journal_cover"], "these tables had no row to try; an older catalogue has one in that");
    assert_eq!(desk.catalogue.check().expect("the check runs").len(), standing, "all of it was put back");
}

#[test]
fn tampering_with_rows_or_journal_is_found() {
    const UID: &str = "0190c1b0-0000-7000-8000-000000000000";
    let shadow = |row: &str| {
        format!(
            "INSERT INTO journal (id, at, author, reason, act, in_table, row_id, before, after, previous_hash, hash)
             SELECT {row} FROM journal WHERE id = 5"
        )
    };
    let forged = shadow(
        "max(id) + (SELECT count(*) FROM journal), at, author, reason, act, in_table, row_id, before, after, previous_hash, 'x'",
    );
    let cases = [
        ("a row is added", format!("INSERT INTO person (uid, name) VALUES ('{UID}', 'Nobody')"), "row 3 of `person`"),
        ("a row is taken away", "DELETE FROM reading WHERE id = 1".into(), "row 1 of `reading`"),
        ("a replaced observation is brought back", "UPDATE observation SET replaced_by = NULL".into(), "of `observation`"),
        ("a shipped definition is rewritten", "UPDATE term SET definition = 'x' WHERE id = 'damage/tear'".into(), "the shipped term `damage/tear`"),
        ("an own term poses as shipped", "UPDATE term SET local = 0 WHERE id = 'damage/moth graze'".into(), "of `term`"),
        ("an author is exchanged", "UPDATE journal SET author = 'Nobody' WHERE id = 3".into(), "from row 3 on"),
        ("a reason is exchanged", "UPDATE journal SET reason = 'x' WHERE id = 4".into(), "from row 4 on"),
        ("a time is exchanged", "UPDATE journal SET at = '2000-01-01T00:00:00Z' WHERE id = 1".into(), "from row 1 on"),
        ("a state is rewritten", "UPDATE journal SET after = '{}' WHERE id = 7".into(), "from row 7 on"),
        ("an earlier state is rewritten", "UPDATE journal SET before = '{}' WHERE act = 'update'".into(), "the journal does not follow"),
        ("a field moves into its neighbour", "UPDATE journal SET author = author || char(10) || reason, reason = 'x' WHERE id = 3".into(), "from row 3 on"),
        ("a row is cut out", "DELETE FROM journal WHERE id = 5".into(), "from row 6 on"),
        ("the first row is cut off", "DELETE FROM journal WHERE id = 1".into(), "from row 2 on"),
        ("the last row is cut off", "DELETE FROM journal WHERE id = (SELECT max(id) FROM journal)".into(), "of `region`"),
        ("the whole journal is cut off", "DELETE FROM journal".into(), "of `piece`"),
        ("two rows change places", "UPDATE journal SET id = -1 WHERE id = 5; UPDATE journal SET id = 5 WHERE id = 6; UPDATE journal SET id = 6 WHERE id = -1".into(), "from row 5 on"),
        ("a forged row is added", forged, "the journal does not follow"),
        ("a hash is rewritten", "UPDATE journal SET hash = 'x' WHERE id = 9".into(), "from row 9 on"),
        ("a previous hash is rewritten", "UPDATE journal SET previous_hash = hash WHERE id = 9".into(), "from row 9 on"),
    ];
    let desk = full();
    let file = desk.folder().join("catalogue.sqlite");
    desk.sql().run("PRAGMA wal_checkpoint(TRUNCATE)");
    for (what, tampering, says) in cases {
        let copy = tempfile::tempdir().expect("a temporary folder");
        std::fs::copy(&file, copy.path().join("catalogue.sqlite")).expect("copied");
        let sql = support::Tables::open(copy.path());
        sql.run("DROP TRIGGER journal_is_kept; DROP TRIGGER journal_stands; PRAGMA foreign_keys = OFF");
        sql.run(&tampering);
        let catalogue = dimity::catalogue::Catalogue::open(copy.path(), support::clock()).expect("it still opens");
        let found: Vec<_> = catalogue.check().expect("the check runs").into_iter().map(|f| f.what).collect();
        assert!(found.iter().any(|f| f.contains(says)), "{what}: the check should say `{says}`, and says {found:#?}");
    }
}

#[test]
fn the_journal_of_a_piece_tells_of_that_piece_alone() {
    let mut desk = full();
    desk.entered(&second("2031.3"));
    let told = |number: &str| desk.catalogue.journal(Some(number)).expect("there is such a piece");
    let tables =
        |number: &str| -> std::collections::BTreeSet<_> { told(number).into_iter().map(|r| r.in_table).collect() };
    assert_eq!(told("2031.3").len(), 1);
    let spencer = tables("2031.1");
    for table in [
        "piece",
        "component",
        "examination",
        "observation",
        "condition",
        "reading",
        "treatment_steps",
        "treatment_planned",
        "treatment_seal",
        "textile_fibres",
        "photograph",
        "photograph_of",
        "region",
        "scale",
        "registration",
        "seal",
    ] {
        assert!(spencer.contains(table), "the journal of the spencer should tell of `{table}`: {spencer:?}");
    }
    for table in ["work", "departure", "made_after", "fastening", "observation_term"] {
        assert!(!spencer.contains(table), "`{table}` belongs to the other piece");
    }
    let other = tables("2031.2");
    for table in ["treatment", "treatment_steps", "photograph", "region", "condition", "textile_fibres"] {
        assert!(!other.contains(table), "`{table}` belongs to the spencer");
    }
    let all = desk.catalogue.journal(None).expect("reads");
    // People, the collection's own terms and its dating convention belong to no single piece.
    let shared =
        ["account", "person", "term", "wording", "dating_convention", "collection", "survey_interval", "kept_search"];
    let shared = all.iter().filter(|r| shared.contains(&r.in_table.as_str())).count();
    assert_eq!(told("2031.1").len() + told("2031.2").len() + told("2031.3").len() + shared, all.len());
}
