//! Promise: every change is journalled, and tampering shows.

mod support;

use dimity::analysis::comparison::{Basis, ByHand};
use dimity::catalogue::{Collection, Intent, KeptSearch, NewPhotograph, NewRegion, NewSeal};
use dimity::colour::target::{Evaluation, Reference, ReferencePatch};
use dimity::colour::{Lab, Swatch};
use dimity::dating::Conventions;
use dimity::optics::Place;
use dimity::photograph::Store;
use dimity::record::photograph::Shape;
use dimity::record::picture_scale::PictureScale;
use dimity::record::source::{SourceCell, SourceRow};
use dimity::record::target::TargetReading;
use dimity::vocabulary::{Scheme, TermId, Wording};
use support::{AGAIN, AUTHOR, Desk, PLAIN, SPENCER, second};

/// A catalogue with a row in nearly every table.
fn full() -> Desk {
    let mut desk = Desk::new();
    let keeper =
        dimity::record::account::Account { name: "Ida Falk".into(), role: dimity::record::account::Role::Keep };
    desk.catalogue.add_account(support::AUTHOR, &keeper, "tape, needle, lamp, box").expect("an account");
    let own = TermId::new(Scheme::Damage, "moth graze");
    desk.catalogue.add_term(AUTHOR, &own, None, "Nap eaten off.", "own usage").expect("a new term");
    for circa_years in [10, 7] {
        let chosen = Conventions { circa_years, ..Conventions::default() };
        assert!(desk.catalogue.set_conventions(AUTHOR, "dating convention chosen", &chosen).expect("chosen"));
        assert_eq!(desk.catalogue.conventions().expect("reads"), chosen);
    }
    for name in ["Study room", "Study collection"] {
        let described = Collection { name: Some(name.into()), place: Place::new(51.5, -0.13), ..Collection::default() };
        assert!(desk.catalogue.set_collection(AUTHOR, "collection described", &described).expect("described"));
        assert_eq!(desk.catalogue.collection().expect("reads"), described);
    }
    for at_risk in [12, 18] {
        let chosen = dimity::analysis::programme::Intervals { at_risk, ..Default::default() };
        assert!(desk.catalogue.set_intervals(AUTHOR, "survey planned", &chosen).expect("chosen"));
        assert_eq!(desk.catalogue.intervals().expect("reads"), chosen);
    }
    let set = KeptSearch { name: "silks".into(), query: "fibre:silk".into(), note: Some("for the study day".into()) };
    assert!(desk.catalogue.keep_search(AUTHOR, "study", &set).expect("kept"));
    desk.entered(&SPENCER.replace("\"tear\"", "\"moth graze\""));
    desk.entered(&AGAIN.replace("\"tear\"", "\"moth graze\""));
    desk.entered(
        "[piece]\nnumber = \"2031.1\"\n[[treatment]]\ntitle = \"Net\"\nfollows = \"Support of the tear\"\n
         options = [\"net\"]\ntests = [\"pH\"]\nplanned = [{ step = \"lay\", hours = \"1 h\" }]\n
         proposed_materials = [\"net\"]\nhours_expected = \"2 h\"\nconsent_by = \"Sabine Dunmarrow\"\nconsent_on = 2034-03-03\n
         steps = [\"laid\"]\nmaterials = [\"net\"]\n",
    );
    let correction = desk.filled("2031.1", Some(0)).replace("extent = \"12 mm\"", "extent = \"2 cm2\"");
    desk.entered(&format!("reason = \"measured again\"\n{correction}"));
    desk.entered(&format!(
        "{PLAIN}[[component]]\nname = \"body\"\n[[made_after]]\nmodel = \"2031.1\"\nscale = \"1:1\"\n
         [[departure]]\nfeature = \"waist girth\"\nreason = \"fit\"\n[[work]]\ndate = 2031-03-03\ntask = \"cut\"\nhours = \"2 h\"\n
         [examination]\ndate = 2031-04-01\nexaminer = \"Sabine Dunmarrow\"\n
         [[textile]]\nrole = \"shell\"\nfinish = [\"printed\"]\nloom_width = \"80 cm\"\n
         [[fastening]]\nfastening = \"button\"\ncount = 3\nsize = \"9 mm\"\n
         [[stiffening]]\nstiffener = \"baleen\"\nwidth = \"5 mm\"\n
         [[trimming]]\ntrimming = \"braid\"\nwidth = \"1 cm\"\n
         [[step]]\ndone = \"lined\"\norder_of_work = 1\n[[sign]]\nsign = \"darn\"\nseen = \"elbow\"\n
         [[hazard]]\nhazard = \"arsenic green\"\nbasis = \"green\"\n
         [[display]]\nplace = \"case\"\nfrom = 2031-01-01\nlight = \"50 lx\"\nhours = \"8 h\"\nuv = \"10 uW/lm\"\n
         [[care]]\ntopic = \"box\"\ninstead = \"as it is\"\nreason = \"room\"\nby = \"Sabine Dunmarrow\"\n"
    ));
    let cell = |heading: &str, text: &str| SourceCell {
        heading: heading.into(),
        text: text.into(),
        taken_for: "piece.date".into(),
        ..SourceCell::default()
    };
    let row = SourceRow {
        file: "old-list.csv".into(),
        file_sha256: "ab".repeat(32),
        sheet: Some("gowns".into()),
        row: 7,
        cells: vec![cell("Date", "c. 1812")],
        ..SourceRow::default()
    };
    let intent = Intent { author: AUTHOR.into(), reason: Some("from the old list".into()), ..Intent::default() };
    desk.catalogue.import(&[], &[("2031.2".to_owned(), row)], &intent, &mut || Ok(())).expect("kept");
    for scale in ["1:1", "1:8"] {
        let mut basis = Basis { pairs: vec![ByHand::read("body = watch pocket").expect("a pair")], ..Basis::default() };
        basis.sizes.state(scale).expect("a scale");
        let pieces = ("2031.2", &["2031.1".to_owned()][..]);
        desk.catalogue.keep_comparison(AUTHOR, "kept to look at", "stays", pieces, &basis).expect("kept");
        let kept = desk.catalogue.kept_comparison("Stays", 0).expect("reads");
        assert_eq!((kept.basis, kept.others, kept.stands), (basis, pieces.1.to_vec(), true));
    }
    let day = jiff::civil::date(2031, 5, 1);
    let own = Wording {
        term: TermId::new(Scheme::Grade, "good"),
        since: day,
        entered: day,
        definition: Some("As good as it was.".into()),
        source: "own usage".into(),
    };
    assert!(desk.catalogue.word_term(AUTHOR, &own).expect("worded"));
    let first = seal(&mut desk, "full", None);
    seal(&mut desk, "against", Some(first));
    let card = tempfile::tempdir().expect("a temporary folder");
    let path = card.path().join("one.png");
    image::RgbImage::new(20, 10).save(&path).expect("a picture can be saved");
    let taken = Store::at(desk.folder()).ingest(&path).expect("a sound picture");
    let shows = NewPhotograph { number: "2031.1".into(), caption: Some("front".into()), ..NewPhotograph::default() };
    desk.catalogue.add_photograph(AUTHOR, &taken, &shows).expect("added");
    desk.catalogue.add_target_reading(AUTHOR, &taken.sha256, &target_reading()).expect("stored");
    let bar = |to| PictureScale::between([(1.0, 1.0), (to, 1.0)], "1 cm", Some("0.1 mm"), 1.0).expect("a scale");
    let further = vec![((5.0, 5.0), (1.0, 1.0))];
    let corners = [(1.0, 1.0), (9.0, 1.0), (9.0, 9.0), (1.0, 9.0)];
    let square = PictureScale::rectangle(corners, "2 x 2 cm", None, 1.0, further).expect("a scale");
    let other = card.path().join("two.png");
    image::RgbImage::from_pixel(20, 10, [9; 3].into()).save(&other).expect("a picture can be saved");
    let other = Store::at(desk.folder()).ingest(&other).expect("a sound picture");
    desk.catalogue.add_photograph(AUTHOR, &other, &shows).expect("added");
    for down in [8.0, 9.0] {
        let marks = [(1.0, 1.0), (19.0, 1.0), (19.0, down), (1.0, 9.0)].map(|p| (p, p));
        let before = desk.catalogue.register(AUTHOR, &taken.sha256, &other.sha256, &marks).expect("registered");
        assert_eq!(before, down > 8.5, "the second replaces the first");
    }
    for scale in [bar(11.0), bar(12.0), square] {
        desk.catalogue.set_scale(AUTHOR, &taken.sha256, &scale).expect("set");
    }
    let region = NewRegion { shape: Shape::Point((3.0, 4.0)), ..NewRegion::default() };
    desk.catalogue.add_region(AUTHOR, &taken.sha256, &region).expect("drawn");
    desk.is_sound();
    desk
}

/// Seals the second examination of the spencer; gives the check code.
fn seal(desk: &mut Desk, print_set: &str, against: Option<String>) -> String {
    let file = desk.catalogue.piece("2031.1").expect("it is there");
    let new = NewSeal {
        number: "2031.1".into(),
        examination: file.examinations[1].about.id.clone().expect("stored"),
        print_set: print_set.into(),
        against,
        sealed_on: jiff::civil::date(2031, 5, 1),
        record: dimity::exchange::json::of_piece(&file),
        revision: desk.catalogue.revision().expect("reads"),
    };
    desk.catalogue.seal(AUTHOR, print_set.as_bytes(), &new).expect("sealed").code
}

/// A reading of a target that was met exactly.
fn target_reading() -> TargetReading {
    let patches = &Reference::built_in().patches;
    let swatch = |p: &ReferencePatch| {
        let spread = Lab::new(0.5, 0.5, 0.5);
        Swatch { light: p.light(), lab: p.lab, spread, pixels: 100, clipped: 0.0 }
    };
    let swatches: Vec<Swatch> = patches.iter().map(swatch).collect();
    TargetReading {
        id: String::new(),
        corners: [(1.0, 1.0), (9.0, 1.0), (9.0, 7.0), (1.0, 7.5)],
        reference: "made up".into(),
        reference_sha256: "0".repeat(64),
        results: Evaluation::of(Reference::built_in(), &swatches, None).expect("judged"),
        correction: None,
    }
}

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
