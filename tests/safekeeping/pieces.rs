//! Pieces withdrawn and brought back; pieces purged.

use dimity::catalogue::Catalogue;
use dimity::draft::{Draft, Drafts};

use super::backup::files;
use crate::support::{AUTHOR, Desk, PLAIN, Room, SPENCER, Tables, clock, second};

#[test]
fn a_withdrawn_piece_stands_in_no_list_and_comes_back_whole() {
    let room = Room::with(&[SPENCER, PLAIN]);
    let before = room.run(&["show", "2031.1", "--json"]).done();
    let said = room.run(&["withdraw", "2031.1", "--reason", "given back to the donor"]).done();
    assert!(said.contains("dimity reinstate 2031.1"), "{said}");
    for arguments in
        [&["list"][..], &["find", "silk"], &["find", "--dated", "1810/1820"], &["due"], &["photo", "coverage"]]
    {
        let said = room.run(arguments).out;
        assert!(!said.contains("2031.1 "), "{arguments:?} should not tell of it: {said}");
    }
    let index = room.run(&["report", "index", "--out", "-"]).done();
    assert!(!index.contains("Green silk spencer"), "the index leaves it out");
    assert!(room.run(&["list", "--withdrawn"]).done().starts_with("2031.1 "));
    assert!(room.run(&["find", "number:2031.1"]).out.starts_with("no piece"), "nor by its number");
    let dated = room.run(&["find", "date:1810..1820"]).out;
    assert!(dated.starts_with("no piece"), "nor by its date, and it is not counted: {dated}");
    assert!(!room.run(&["departures"]).out.contains("2031.1 "), "nor are its departures listed");
    let shown = room.run(&["show", "2031.1"]).done();
    assert!(shown.starts_with("# withdrawn on ") && shown.contains("by someone: given back to the donor"), "{shown}");
    assert_eq!(room.run(&["show", "2031.1", "--json"]).json()[0]["withdrawn"]["reason"], "given back to the donor");
    let again = room.write("again.toml", crate::support::AGAIN);
    for refused in [
        &["enter", &again][..],
        &["photo", "add", "2031.1", &room.photograph("p.png", 1)],
        &["withdraw", "2031.1", "--reason", "x"],
    ] {
        let err = room.run(refused).refused();
        assert!(err.contains("given back to the donor"), "{refused:?}: {err}");
    }
    assert!(room.run(&["withdraw", "2031.2", "--reason", " "]).refused().contains("say why"));
    room.run(&["reinstate", "2031.1", "--reason", "it stays after all"]).done();
    assert_eq!(room.run(&["show", "2031.1", "--json"]).done(), before, "nothing was lost");
    assert!(room.run(&["reinstate", "2031.1", "--reason", "x"]).refused().contains("is not withdrawn"));
    assert!(room.run(&["list"]).done().contains("2031.1 "));
    let journal = room.run(&["journal", "2031.1"]).done();
    assert!(
        journal.contains("withdrawn: not recorded → given back to the donor")
            && journal.contains("withdrawn: given back to the donor → not recorded")
            && journal.contains("someone: it stays after all"),
        "{journal}"
    );
    room.run(&["check"]).done();
}

/// Two pieces; the first has a consent, a sealed report, a photograph of its own and one that shows both.
fn two() -> Room {
    let room = Room::new();
    let own = ["terms", "fibre", "--add", "pina", "--definition", "leaf fibre", "--source", "own usage"];
    room.run(&own).done();
    let consent =
        "[[treatment]]\nproposal = \"xylographic net\"\nconsent_by = \"Sabine Dunmarrow\"\nconsent_on = 2031-03-09";
    let spencer = SPENCER.replace("Wren Askerdale", "Solitaire Quillfeather").replace("[[treatment]]", consent);
    let other = format!(
        "{PLAIN}[[component]]\nname = \"body\"\n[[made_after]]\nmodel = \"2031.1\"\n[[person]]\n\
         person = \"Sabine Dunmarrow\"\nrole = \"maker\"\n"
    );
    for sheet in [spencer, other] {
        room.run(&["enter", &room.write("s.toml", sheet), "--by", "Wren Askerdale"]).done();
    }
    room.run(&["photo", "add", "2031.1", &room.photograph("own.png", 1), &room.photograph("both.png", 2)]).done();
    room.run(&["photo", "add", "2031.2", &room.photograph("both.png", 2)]).done();
    room.run(&["report", "condition", "2031.1", "--seal", "--by", "Wren Askerdale"]).done();
    let correction = room.run(&["sheet", "2031.1"]).done().replace("Green silk spencer", "Sea green spencer");
    let correction = room.write("fix.toml", format!("reason = \"looked again\"\n{correction}"));
    room.run(&["enter", &correction, "--by", "Wren Askerdale"]).done();
    room
}

#[test]
fn a_purged_piece_is_gone_and_the_journal_keeps_that_it_was() {
    let room = two();
    let drafts = Drafts::at(&room.collection());
    for number in ["2031.1", "2031.2"] {
        drafts.begin(Draft { number: number.into(), ..Draft::default() }).expect("begun");
    }
    let before = files(&room.collection());
    let rows = room.run(&["journal", "--json"]).json();
    let planned =
        room.run(&["purge", "2031.1", "--reason", "the donor's wish", "--dry-run", "--json"]).json().remove(0);
    assert_eq!(files(&room.collection()), before, "a dry run changes nothing");
    assert_eq!(
        planned["people"].as_array().map(Vec::len),
        Some(1),
        "only the examiner is named by nobody else: {planned}"
    );
    assert_eq!(planned["photographs"].as_array().map(Vec::len), Some(1));
    assert_eq!((planned["photographs_kept"].as_u64(), planned["links_undone"].as_u64()), (Some(1), Some(1)));
    assert_eq!(planned["drafts"], 1);
    assert!(room.run(&["purge", "2031.1", "--reason", "the donor's wish"]).refused().contains("add `--yes`"));
    assert!(room.run(&["purge", "2031.1", "--reason", " ", "--yes"]).refused().contains("say why"));
    room.run(&["show", "2031.1"]).done();

    let done = room.run(&["purge", "2031.1", "--reason", "the donor's wish", "--yes", "--json"]).json().remove(0);
    assert_eq!(done, planned, "what was done is what was planned");
    let err = room.run(&["show", "2031.1"]).refused();
    assert!(err.contains("`2031.1` was purged on ") && err.contains("by someone: the donor's wish"), "{err}");
    assert!(room.run(&["find", "sea", "green"]).done().contains("no piece"));
    let gone: Vec<_> = before.iter().filter(|file| !file.exists()).collect();
    assert!(gone.iter().any(|f| f.to_string_lossy().contains("photographs/")), "{gone:?}");
    assert!(gone.iter().any(|f| f.to_string_lossy().contains("sealed/")), "{gone:?}");
    assert_eq!(files(&room.collection().join("photographs")).len(), 1, "the one that shows both stays");
    assert_eq!(drafts.of("2031.1").expect("read").0, [] as [std::path::PathBuf; 0]);
    assert_eq!(drafts.of("2031.2").expect("read").0.len(), 1, "the draft of another piece stays");
    assert!(room.run(&["check"]).done().contains("all well"));

    // What the journal held of it is gone; that it held something, when, by whom and why, is not.
    let after = room.run(&["journal", "--json"]).json();
    for (was, is) in rows.iter().zip(&after) {
        for field in ["id", "at", "author", "reason", "act", "in_table", "row_id"] {
            assert_eq!(was[field], is[field]);
        }
    }
    let purge = after.last().expect("a last row");
    assert_eq!((purge["in_table"].as_str(), purge["reason"].as_str()), (Some("purge"), Some("the donor's wish")));
    assert!(room.run(&["journal"]).done().contains("only its SHA-256"));
    // Not a word of it is left in any file of the database.
    for file in files(&room.collection()).iter().filter(|f| f.to_string_lossy().contains("catalogue.sqlite")) {
        let bytes = std::fs::read(file).expect("reads");
        for word in ["Sea green", "Solitaire", "xylographic", "at the pocket", "Green silk", "sea green", "solitaire"] {
            let found = bytes.windows(word.len()).any(|w| w == word.as_bytes());
            assert!(!found, "`{word}` is still in {}", file.display());
        }
    }
    // The reconstruction goes on naming its model; what is entered next takes no old story for its own.
    let other = room.run(&["show", "2031.2", "--json"]).json().remove(0);
    assert_eq!(other["made_after"][0]["source"], "2031.1, purged from this catalogue");
    room.run(&["enter", &room.write("next.toml", second("2031.1"))]).done();
    assert_eq!(room.run(&["journal", "2031.1", "--json"]).json().len(), 1);
    room.run(&["enter", &room.write("next.toml", SPENCER.replace("2031.1", "2031.7"))]).done();
    let sealed = room.run(&["report", "condition", "2031.7", "--seal", "--by", "Wren Askerdale"]).done();
    assert!(sealed.contains('2'), "the number of the purged report is not given again: {sealed}");
    assert!(room.run(&["check"]).done().contains("all well"));
    let backup = room.run(&["backup", "safe"]).done();
    assert!(backup.contains("proved"), "{backup}");
}

#[test]
fn a_purge_names_the_drafts_that_it_could_not_look_into() {
    let room = Room::with(&[SPENCER, PLAIN]);
    let drafts = Drafts::at(&room.collection());
    let begin = |number: &str| {
        let draft =
            drafts.begin(Draft { number: number.into(), typed: "tear".into(), ..Draft::default() }).expect("begun");
        room.collection().join(format!("drafts/{}.json", draft.id))
    };
    let (read, spoilt) = (begin("2031.1"), begin("2031.1"));
    let text = std::fs::read_to_string(&spoilt).expect("reads");
    std::fs::write(&spoilt, text.replace("tear", "teas")).expect("written");
    let name = spoilt.file_name().expect("a name").to_string_lossy().into_owned();
    let asked = ["purge", "2031.1", "--reason", "the donor's wish"];
    let planned = room.run(&[&asked[..], &["--dry-run"]].concat()).done();
    assert!(
        planned.contains("1 draft") && planned.contains(&name) && planned.contains("delete it by hand"),
        "{planned}"
    );
    let done = room.run(&[&asked[..], &["--yes"]].concat());
    assert_eq!(done.code, Some(1), "somebody must still look into it: {done:?}");
    assert!(done.err.contains(&name) && done.err.contains("it may be of `2031.1`"), "{done:?}");
    assert!(!read.exists() && spoilt.exists(), "what cannot be read is never removed");
    assert!(room.run(&["list"]).done().contains("2031.2"));
    std::fs::remove_file(&spoilt).expect("removed by hand");
    let done = room.run(&["purge", "2031.2", "--reason", "the donor's wish", "--yes"]).done();
    assert!(!done.contains("by hand"), "{done}");
}

#[test]
fn contents_taken_out_or_put_back_by_hand_are_told_from_a_purge() {
    let room = two();
    room.run(&["purge", "2031.2", "--reason", "entered twice", "--yes"]).done();
    room.run(&["check"]).done();
    let sql = Tables::open(&room.collection());
    sql.run("DROP TRIGGER journal_stands; DROP TRIGGER purge_stands");
    let purged = sql.one("SELECT max(id) FROM journal WHERE after_sha256 IS NOT NULL");
    for (tampering, says) in [
        ("UPDATE journal SET after = NULL, after_sha256 = hex(zeroblob(32)) WHERE id = 4".to_owned(), "from row 4 on"),
        (
            format!("UPDATE journal SET after_sha256 = hex(zeroblob(32)) WHERE id = {purged}"),
            "the journal does not follow",
        ),
        (
            format!("UPDATE journal SET after_sha256 = NULL, after = '{{}}' WHERE id = {purged}"),
            "though a purge names it",
        ),
        ("UPDATE purge SET journal_rows = '[]'".into(), "no purge names it"),
        ("UPDATE purge SET number = 'x'".into(), "of `purge`"),
    ] {
        let found = Desk::found_in(&room.collection(), &tampering);
        assert!(found.iter().any(|f| f.contains(says)), "{tampering}: {found:#?}");
    }
}

#[test]
fn a_journal_from_before_digests_can_be_purged_too() {
    let folder = tempfile::tempdir().expect("a folder");
    super::upgrades::place(9, folder.path());
    let mut catalogue = Catalogue::open(folder.path(), clock()).expect("opens");
    let done = catalogue.purge(AUTHOR, "2018.7", "the donor's wish", false).expect("purged");
    assert!(done.journal_rows > 10, "{done:?}");
    assert_eq!(catalogue.check().expect("checks"), [], "the chain is whole");
    assert_eq!(catalogue.list().expect("reads").len(), 0);
    // A digest that stands for other contents is found: the older rows are covered a second time.
    for tampering in [
        "UPDATE journal SET after_sha256 = lower(hex(zeroblob(32))) WHERE id = 3",
        "UPDATE journal SET author = 'Nobody' WHERE id = 3",
        "UPDATE journal_cover SET sha256 = lower(hex(zeroblob(32)))",
        "UPDATE journal_cover SET up_to = up_to - 1",
    ] {
        drop(catalogue);
        let found = Desk::found_in(folder.path(), &format!("DROP TRIGGER IF EXISTS journal_stands; {tampering}"));
        assert!(
            found.iter().any(|f| f.contains("the journal does not follow") || f.contains("of `journal_cover`")),
            "{tampering}: {found:#?}"
        );
        catalogue = Catalogue::open(folder.path(), clock()).expect("opens");
    }
}

#[test]
fn a_purge_beside_a_reader_says_that_scraps_may_be_left() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let reader = Catalogue::open(desk.folder(), clock()).expect("opens");
    let told = reader.at_once(|| {
        assert_eq!(reader.numbers()?, ["2031.1"]);
        desk.catalogue.purge(AUTHOR, "2031.1", "the donor's wish", false)
    });
    let why = told.expect("purged").scraps.expect("the log beside the database could not be emptied");
    assert!(why.contains("was purged, but") && why.contains("another program is reading the catalogue"), "{why}");
    assert!(reader.numbers().expect("read").is_empty(), "the piece is gone all the same");
}
