//! The schema as behaviour: what the database itself refuses, whoever writes to it.

mod support;

use dimity::catalogue::{APPLICATION_ID, SCHEMA_VERSION};
use support::{AGAIN, Desk, SPENCER};

fn desk() -> Desk {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    desk.entered(AGAIN);
    desk
}

#[test]
fn the_file_says_what_it_is() {
    let desk = desk();
    let sql = desk.sql();
    for (pragma, value) in [
        ("application_id", APPLICATION_ID.to_string()),
        ("user_version", SCHEMA_VERSION.to_string()),
        ("journal_mode", "wal".into()),
        ("encoding", "UTF-8".into()),
    ] {
        assert_eq!(sql.one(&format!("PRAGMA {pragma}")), value, "{pragma}");
    }
    assert_eq!(APPLICATION_ID, i64::from(u32::from_be_bytes(*b"DMTY")));
}

#[test]
fn a_catalogue_of_the_first_schema_is_brought_up_to_date_and_keeps_what_it_holds() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join(dimity::catalogue::FILE);
    let old = rusqlite::Connection::open(&path).expect("opened");
    old.execute_batch(include_str!("../schema/0001_catalogue.sql")).expect("the first step");
    old.execute_batch(include_str!("../schema/0001_views.sql")).expect("its views");
    old.execute_batch(&format!(
        "PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = 1;
         INSERT INTO term (id, scheme, name, definition, source) VALUES ('nature/extant', 'nature', 'extant', 'x', 'x');
         INSERT INTO piece (uid, number, number_order, nature, object_name) VALUES ({UID}, '1', '1', 'nature/extant', 'cap');"
    ))
    .expect("an old piece");
    drop(old);
    let opened = dimity::catalogue::Catalogue::open(folder.path(), support::clock()).expect("opens");
    assert_eq!(opened.numbers().expect("reads"), ["1"]);
    assert_eq!(opened.conventions().expect("reads"), dimity::dating::Conventions::default());
    drop(opened);
    let tables = |sql: &support::Tables| sql.all("SELECT name || coalesce(sql, '') FROM sqlite_master ORDER BY name");
    let upgraded = support::Tables::open(folder.path());
    assert_eq!(upgraded.one("PRAGMA user_version"), SCHEMA_VERSION.to_string());
    assert_eq!(tables(&upgraded), tables(&desk().sql()), "an upgraded catalogue is built as a new one");
}

#[test]
fn what_belongs_to_a_row_is_found_through_an_index() {
    let desk = desk();
    let links = desk.sql().all(
        "SELECT m.name || '.' || f.\"from\" FROM sqlite_master m
           JOIN pragma_foreign_key_list(m.name) f JOIN pragma_table_info(m.name) c ON c.name = f.\"from\"
          WHERE m.type = 'table' AND c.\"notnull\" AND f.\"table\" NOT IN ('person', 'term') AND NOT EXISTS
            (SELECT 1 FROM pragma_index_list(m.name) i JOIN pragma_index_info(i.name) x ON x.seqno = 0
              WHERE x.name = f.\"from\" AND NOT i.partial)",
    );
    assert!(links.is_empty(), "these links are followed by reading the whole table: {links:?}");
}

#[test]
fn every_table_is_strict() {
    let desk = desk();
    let loose = desk.sql().all(
        "SELECT name FROM pragma_table_list WHERE type = 'table' AND schema = 'main' AND strict = 0
         AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'",
    );
    // The word index is made of tables of SQLite's own.
    assert!(loose.iter().all(|name| name.starts_with("words_")), "these tables are not STRICT: {loose:?}");
}

#[test]
fn every_view_can_be_read_and_shows_the_words_not_the_ids() {
    let mut desk = desk();
    desk.entered(
        "[piece]\nnumber = \"2031.1\"\n[[display]]\nplace = \"case\"\nfrom = 2031-01-01\nto = 2031-01-10\nlight = \"50 lx\"\n\
         hours = \"8 h\"\n[[departure]]\nfeature = \"hem\"\nreason = \"fit\"\nlearned = \"cut it longer\"\n",
    );
    desk.enter_with("[piece]\nnumber = \"2031.1\"\nrights_statement = \"InC\"\n", Some("looked into"))
        .expect("entered");
    let sql = desk.sql();
    let views = sql.all("SELECT name FROM sqlite_master WHERE type = 'view' ORDER BY name");
    assert_eq!(
        views,
        [
            "v_condition",
            "v_departure",
            "v_display",
            "v_kept_search",
            "v_measurement",
            "v_observation",
            "v_photograph",
            "v_piece",
            "v_rights",
            "v_seal",
            "v_source_cell",
            "v_stitching",
            "v_textile",
            "v_treatment"
        ]
    );
    for view in &views {
        let rows: usize = sql.one(&format!("SELECT count(*) FROM {view}")).parse().expect("a count");
        assert!(
            rows > 0 || ["v_photograph", "v_kept_search", "v_seal", "v_source_cell"].contains(&view.as_str()),
            "`{view}` shows nothing"
        );
    }
    for (query, answer) in [
        ("SELECT nature || ', ' || object_name || ', ' || location || ', ' || examinations FROM v_piece",
         "extant, spencer, bay A, shelf 1, 2"),
        ("SELECT damage || ', ' || severity || ', ' || activity || ', ' || evidence || ', ' || certainty || ', ' || examiner
          FROM v_condition JOIN v_observation USING (number, examined, component, evidence, certainty)
          WHERE kind = 'condition' ORDER BY examined LIMIT 1", "tear, slight, inactive, seen, certain, Wren Askerdale"),
        ("SELECT place || ', ' || lux_hours FROM v_display", "case, 4000.0"),
        ("SELECT number || ', ' || statement || ', ' || uri FROM v_rights",
         "2031.1, InC, http://rightsstatements.org/vocab/InC/1.0/"),
        ("SELECT number || ', ' || feature || ', ' || reason || ', ' || learned FROM v_departure",
         "2031.1, hem, fit, cut it longer"),
        ("SELECT dimension || ', ' || as_written || ', ' || round(mm, 2) FROM v_measurement",
         "centre back length, 14 1/2 in; 14 5/8 in, 369.89"),
        ("SELECT role || ', ' || fibres || ', ' || structure || ', ' || round(ends_per_cm, 2) FROM v_textile",
         "shell, silk, cotton, tabby, 19.29"),
        ("SELECT purpose || ', ' || stitch || ', ' || round(per_cm, 2) FROM v_stitching", "side seam, backstitch, 3.74"),
        ("SELECT title || ', ' || version || ', ' || hours_expected || ', ' || hours_worked || ', ' || last_worked_on FROM v_treatment",
         "Support of the tear, 1, 4.0, 1.5, 2031-04-01"),
    ] {
        assert_eq!(sql.one(query), answer, "{query}");
    }
}

const UID: &str = "'0190c1b0-0000-7000-8000-000000000000'";

#[test]
fn a_bad_row_is_refused_by_the_database_itself() {
    let desk = desk();
    let sql = desk.sql();
    let uid = |text: &str| text.replace("UID", UID);
    let piece = "INSERT INTO piece (uid, number, number_order, nature, object_name";
    for (what, statement, says) in [
        (
            "a text where a number belongs",
            "UPDATE measurement SET mm = 'about a foot'",
            "cannot store TEXT value in REAL column",
        ),
        (
            "a fraction where a whole number belongs",
            "UPDATE examination SET piece_id = 1.5",
            "cannot store REAL value in INTEGER column",
        ),
        ("bytes where a text belongs", "UPDATE piece SET title = x'00'", "cannot store BLOB value in TEXT column"),
        (
            "evidence from another list",
            "UPDATE observation SET evidence = 'certainty/certain'",
            "CHECK constraint failed",
        ),
        ("evidence in no list", "UPDATE observation SET evidence = 'evidence/hunch'", "FOREIGN KEY constraint failed"),
        ("no evidence", "UPDATE observation SET evidence = NULL", "NOT NULL constraint failed: observation.evidence"),
        (
            "no certainty",
            "UPDATE observation SET certainty = NULL",
            "NOT NULL constraint failed: observation.certainty",
        ),
        ("damage from another list", "UPDATE condition SET damage = 'sign/darn'", "CHECK constraint failed"),
        (
            "an unknown damage",
            "UPDATE condition SET damage = 'damage/eaten by wolves'",
            "FOREIGN KEY constraint failed",
        ),
        (
            "years in the wrong order",
            "UPDATE piece SET date_earliest = 1900, date_latest = 1800",
            "CHECK constraint failed: date_earliest <= date_latest",
        ),
        ("years without a written date", "UPDATE piece SET date = NULL", "CHECK constraint failed"),
        (
            "a second dating convention",
            "INSERT INTO dating_convention VALUES (2, 5, 0, 'thirds', 'strict', 'ask')",
            "CHECK constraint failed: id = 1",
        ),
        (
            "a century that begins with 02",
            "INSERT INTO dating_convention VALUES (1, 5, 2, 'thirds', 'strict', 'ask')",
            "CHECK constraint failed: century_from IN (0, 1)",
        ),
        ("a negative uncertainty", "UPDATE housing SET length_u = -1", "CHECK constraint failed: length_u >= 0"),
        ("a negative uncertainty of a reading", "UPDATE reading SET u = -0.1", "CHECK constraint failed: u >= 0"),
        ("a written quantity without its value", "UPDATE housing SET length_mm = NULL", "CHECK constraint failed"),
        ("a value without a written quantity", "UPDATE housing SET width_mm = 3", "CHECK constraint failed"),
        ("an extent without its kind", "UPDATE condition SET extent_kind = NULL", "CHECK constraint failed"),
        ("a kind of extent that is none", "UPDATE condition SET extent_kind = 'weight'", "CHECK constraint failed"),
        ("a day that is none", "UPDATE examination SET date = '2 March 2031'", "CHECK constraint failed"),
        ("a day in a move that is none", "UPDATE move SET date = 'spring'", "CHECK constraint failed"),
        ("a twist that is none", "UPDATE textile SET warp_twist = 'X'", "CHECK constraint failed"),
        ("a mass without its figure", "UPDATE textile SET mass = 'heavy'", "CHECK constraint failed"),
        ("a crimp of no uncertainty at all", "UPDATE textile SET warp_crimp_u = -1", "CHECK constraint failed"),
        ("a fibre without weight", "UPDATE textile_fibres SET density = 0", "CHECK constraint failed: density > 0"),
        ("an option taken or not", "INSERT INTO treatment_options (owner_id, position, option, taken) VALUES (1, 1, 'x', 'maybe')", "CHECK constraint failed"),
        ("a version of itself", "UPDATE treatment SET follows_id = id", "CHECK constraint failed: follows_id <> id"),
        ("a yarn of no plies", "UPDATE textile SET warp_ply = 0", "CHECK constraint failed: warp_ply > 0"),
        (
            "a lightness beyond white",
            "UPDATE textile_colours SET l = 101",
            "CHECK constraint failed: l BETWEEN 0 AND 100",
        ),
        ("a side that is none", "UPDATE component SET side = 'up'", "CHECK constraint failed"),
        ("a component of a piece that is gone", "UPDATE component SET piece_id = 99", "FOREIGN KEY constraint failed"),
        (
            "an observation of an examination that is gone",
            "UPDATE observation SET examination_id = 99",
            "FOREIGN KEY constraint failed",
        ),
        (
            "an observation that replaces itself",
            "UPDATE observation SET replaced_by = id",
            "CHECK constraint failed: replaced_by <> id",
        ),
        ("a reading of nothing", "UPDATE reading SET owner_id = 99", "FOREIGN KEY constraint failed"),
        ("a person without a name", "UPDATE person SET name = '  '", "CHECK constraint failed: trim(name) <> ''"),
        (
            "two people of one name",
            "INSERT INTO person (uid, name) VALUES (UID, 'Wren Askerdale')",
            "UNIQUE constraint failed: person.name",
        ),
        ("a term in use that vanishes", "DELETE FROM term WHERE id = 'damage/tear'", "FOREIGN KEY constraint failed"),
        (
            "a term without a scheme",
            "INSERT INTO term (id, scheme, name, definition, source) VALUES ('x', '', 'x', '', '')",
            "CHECK constraint failed",
        ),
        (
            "inscriptions that are no JSON",
            "UPDATE piece SET inscriptions = '[\"x'",
            "CHECK constraint failed: json_valid(inscriptions)",
        ),
        ("a short identifier", "UPDATE piece SET uid = '1'", "CHECK constraint failed: length(uid) = 36"),
        ("a piece that vanishes under its parts", "DELETE FROM piece", "FOREIGN KEY constraint failed"),
        (
            "a model without model or source",
            "INSERT INTO made_after (uid, piece_id, position) VALUES (UID, 1, 1)",
            "CHECK constraint failed: model_id IS NOT NULL OR source IS NOT NULL",
        ),
        ("a journal row erased", "DELETE FROM journal", "the journal is never shortened"),
        ("a journal row rewritten", "UPDATE journal SET author = 'me'", "the journal is never rewritten"),
        (
            "a journal row without author",
            "INSERT INTO journal (at, author, reason, act, in_table, row_id, previous_hash, hash) VALUES ('', ' ', 'x', 'insert', 'x', 1, '', '')",
            "CHECK constraint failed: trim(author) <> ''",
        ),
        (
            "a journal row without reason",
            "INSERT INTO journal (at, author, reason, act, in_table, row_id, previous_hash, hash) VALUES ('', 'x', '', 'insert', 'x', 1, '', '')",
            "CHECK constraint failed: trim(reason) <> ''",
        ),
        (
            "a region of no shape",
            "INSERT INTO region (uid, photograph_id, label, shape) VALUES (UID, 1, 'A', 'cloud 1,1')",
            "CHECK constraint failed",
        ),
        (
            "a target reading whose results are no JSON",
            "INSERT INTO target_reading (uid, photograph_id, corners, reference, reference_sha256, results, mean_de00, max_de00)
             VALUES (UID, 1, '1,1', 'x', hex(zeroblob(32)), '{', 1.0, 2.0)",
            "CHECK constraint failed: json_valid(results)",
        ),
        (
            "a target reading against nothing",
            "INSERT INTO target_reading (uid, photograph_id, corners, reference, reference_sha256, results, mean_de00, max_de00)
             VALUES (UID, 1, '1,1', ' ', hex(zeroblob(32)), '{}', 1.0, 2.0)",
            "CHECK constraint failed: trim(reference) <> ''",
        ),
        (
            "a bar of no length",
            "INSERT INTO scale (uid, photograph_id, places, size, across_mm, u_mm, pointing_px)
             VALUES (UID, 1, '1,1 2,2', '0 cm', 0, 0, 1)",
            "CHECK constraint failed",
        ),
    ] {
        let refusal = sql.refusal(&uid(statement));
        assert!(refusal.contains(says), "{what}: the database says `{refusal}`, not `{says}`");
    }
    for (what, values, says) in [
        ("two pieces of one number", "'2031.1', 'x', 'nature/extant', 'x'", "UNIQUE constraint failed: piece.number"),
        ("a number with a space at its end", "'7 ', 'x', 'nature/extant', 'x'", "CHECK constraint failed"),
        ("a blank number", "'', 'x', 'nature/extant', 'x'", "CHECK constraint failed"),
        ("a nature that is none", "'7', 'x', 'nature/spirit', 'x'", "FOREIGN KEY constraint failed"),
        ("no name", "'7', 'x', 'nature/extant', NULL", "NOT NULL constraint failed: piece.object_name"),
    ] {
        let refusal = sql.refusal(&format!("{piece}) VALUES ({UID}, {values})"));
        assert!(refusal.contains(says), "{what}: the database says `{refusal}`, not `{says}`");
    }
    desk.is_sound();
}

#[test]
fn every_shipped_term_stands_in_the_tables_with_definition_and_source() {
    let desk = Desk::new();
    let sql = desk.sql();
    assert_eq!(sql.all("SELECT id FROM term WHERE trim(definition) = '' OR trim(source) = ''"), [""; 0]);
    assert_eq!(sql.all("PRAGMA foreign_key_check"), [""; 0], "every broader term is there");
    let stored: usize = sql.one("SELECT count(*) FROM term").parse().expect("a count");
    let words = dimity::vocabulary::Vocabulary::shipped();
    assert_eq!(stored, dimity::vocabulary::Scheme::ALL.iter().map(|s| words.terms(*s).count()).sum::<usize>());
}

/// A catalogue that an earlier release made and filled, `fixtures/older/schema-1.sqlite`: it holds the piece of the
/// sheet beside it and nothing else.
#[test]
fn an_older_catalogue_is_brought_up_to_date_with_all_it_holds() {
    let older = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/older");
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::copy(older.join("schema-1.sqlite"), folder.path().join("catalogue.sqlite")).expect("copied");
    let mut catalogue = dimity::catalogue::Catalogue::open(folder.path(), support::clock()).expect("opens");
    let version = support::Tables::open(folder.path()).one("PRAGMA user_version");
    assert_eq!(version, SCHEMA_VERSION.to_string());
    let findings = catalogue.check().expect("the check runs");
    assert!(findings.is_empty(), "{findings:#?}");
    // The sheet that it was filled from is known, every line of it.
    let sheet = std::fs::read(older.join("2018.7.toml")).expect("the sheet");
    let intent = |_: &dimity::exchange::sheet::Sheet| dimity::catalogue::Intent {
        author: support::AUTHOR.into(),
        ..dimity::catalogue::Intent::default()
    };
    let entered = dimity::exchange::entry::enter(&mut catalogue, &sheet, intent).expect("enters");
    assert_eq!((entered.added, entered.corrected), (0, 0), "{entered:?}");
}
