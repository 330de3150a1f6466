//! Promise: a sealed report is the same page for ever, and whoever touches it is found out.

mod support;

use std::path::PathBuf;

use dimity::catalogue::{Catalogue, Clock};
use support::{AGAIN, Room, SPENCER};

const SEAL: [&str; 7] = ["report", "condition", "2031.1", "--seal", "--by", "Wren Askerdale", "--json"];

fn sealed(room: &Room) -> serde_json::Value {
    serde_json::from_str(&room.run(&SEAL).done()).expect("JSON")
}

fn text<'a>(seal: &'a serde_json::Value, name: &str) -> &'a str {
    seal[name].as_str().unwrap_or_else(|| panic!("no `{name}` in {seal}"))
}

fn page_of(room: &Room, seal: &serde_json::Value) -> PathBuf {
    let sha = text(seal, "sha256");
    room.collection().join("sealed").join(&sha[..2]).join(format!("{sha}.html"))
}

/// A correction of the tear of the first examination: its extent, and why.
fn correction(room: &Room) -> String {
    let sheet = room.run(&["sheet", "2031.1", "--examination", "2031-03-02"]).done();
    assert!(sheet.contains("extent = \"12 mm\""), "{sheet}");
    format!("reason = \"read on the wrong side\"\n{}", sheet.replacen("extent = \"12 mm\"", "extent = \"13 mm\"", 1))
}

#[test]
fn a_sealed_page_stays_byte_for_byte_while_everything_else_moves_on() {
    let room = Room::with(&[SPENCER]);
    let seal = sealed(&room);
    let code = text(&seal, "code").to_owned();
    let page = std::fs::read(page_of(&room, &seal)).expect("the sealed page");
    let printed = std::fs::read(room.collection().join("reports/condition-2031.1-sealed-1.html")).expect("written");
    assert_eq!(page, printed, "what is signed is what is sealed");
    let html = String::from_utf8(page.clone()).expect("UTF-8");
    for said in
        ["Sealed report 1", "Check code, written in by hand", "as sealed report 1 from the records", "journal row "]
    {
        assert!(html.contains(said), "`{said}` is missing");
    }
    assert!(!html.contains(&code), "no page can hold its own code");

    let shown = |room: &Room| room.run(&["seals", "--show", &code.to_lowercase().replace('-', "")]).done().into_bytes();
    assert_eq!(shown(&room), page);

    // The records move on: a correction, an examination, a wording, another program's vocabulary, a later schema.
    let path = room.write("fix.toml", correction(&room));
    room.run(&["enter", &path]).done();
    let path = room.write("again.toml", AGAIN);
    room.run(&["enter", &path]).done();
    room.run(&["terms", "grade", "--define", "fair", "--definition", "as we say", "--source", "us"]).done();
    {
        let db = rusqlite::Connection::open(room.collection().join(dimity::catalogue::FILE)).expect("opens");
        db.execute("UPDATE setting SET value = 'older' WHERE name = 'vocabulary'", []).expect("set");
        db.execute("ALTER TABLE piece ADD COLUMN of_a_later_schema TEXT", []).expect("altered");
    }
    assert_eq!(shown(&room), page);
    let later = Clock::Fixed("2090-01-01T00:00:00Z".parse().expect("a moment"));
    let catalogue = Catalogue::open(&room.collection(), later).expect("opens");
    let findings = catalogue.check().expect("checks");
    assert!(findings.iter().all(|f| f.what.contains("table `piece` is not as")), "{findings:#?}");
    assert_eq!(catalogue.seals(Some("2031.1")).expect("reads").len(), 1);
    drop(catalogue);
    let db = rusqlite::Connection::open(room.collection().join(dimity::catalogue::FILE)).expect("opens");
    db.execute("ALTER TABLE piece DROP COLUMN of_a_later_schema", []).expect("altered back");
    drop(db);
    room.run(&["check"]).done();

    let copy = room.write("copy.html", &page);
    assert!(room.run(&["seals", "--verify", &copy]).done().contains(&format!("unaltered: 1  {code}  2031.1")));
    let altered = room.write("altered.html", html.replacen("Wren", "Wran", 1));
    let refused = room.run(&["seals", "--verify", &altered]).refused();
    assert!(refused.contains("is not as any report was sealed") && refused.contains(&code), "{refused}");
    assert!(refused.contains("the first difference is in line "), "{refused}");
    let pdf = room.write("page.pdf", "%PDF-1.4");
    assert!(room.run(&["seals", "--verify", &pdf]).refused().contains("is a PDF"));

    let out = room.path().join("again/page.html");
    room.run(&["seals", "--show", "1", "--out", out.to_str().expect("plain")]).done();
    assert_eq!(std::fs::read(out).expect("written"), page);
}

#[test]
fn a_later_report_lists_what_differs_from_the_sealed_one() {
    let room = Room::with(&[SPENCER]);
    let code = text(&sealed(&room), "code").to_owned();
    let report = || {
        room.run(&["report", "condition", "2031.1", "--out", "-"])
            .done()
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    };
    assert!(report().contains("Nothing that is recorded of the piece differs"), "nothing was changed yet");
    let path = room.write("fix.toml", correction(&room));
    room.run(&["--by", "Tamsin Orrel", "enter", &path]).done();
    let page = report();
    for said in [
        &format!("check code {code}, sealed by Wren Askerdale"),
        "tear, left front<br>",
        "condition, 2 March 2031",
        "corrected<br><span class=\"small\">Tamsin Orrel, ",
        "read on the wrong side",
        "<span class=\"small\">extent</span> 12 mm",
        "<span class=\"small\">extent</span> 13 mm",
    ] {
        assert!(page.contains(said), "`{said}` is missing in {}", &page[page.find("Since the last").unwrap_or(0)..]);
    }
}

#[test]
fn a_correction_that_was_withdrawn_is_told_as_withdrawn_and_by_whom() {
    let room = Room::with(&[SPENCER]);
    sealed(&room);
    let path = room.write("fix.toml", correction(&room));
    room.run(&["--by", "Tamsin Orrel", "enter", &path]).done();
    let sheet = room.run(&["sheet", "2031.1", "--examination", "2031-03-02"]).done();
    let gone = sheet.replacen("extent = \"13 mm\"", "extent = \"13 mm\"\nwithdrawn = \"a crease, not a tear\"", 1);
    assert_ne!(sheet, gone);
    let path = room.write("gone.toml", format!("reason = \"looked again\"\n{gone}"));
    room.run(&["--by", "Ida Farrow", "enter", &path]).done();
    let page = room.run(&["report", "condition", "2031.1", "--out", "-"]).done();
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let said = &page[page.find("Since the last").expect("the section")..];
    for told in ["withdrawn<br><span class=\"small\">Ida Farrow, ", ": a crease, not a tear"] {
        assert!(said.contains(told), "`{told}` is missing in {said}");
    }
    assert!(!said.contains("taken away"), "{said}");
}

#[test]
fn outgoing_and_incoming_stand_side_by_side_as_sealed_and_as_seen() {
    let room = Room::with(&[SPENCER]);
    let code = text(&sealed(&room), "code").to_owned();
    let against = |more: &[&str]| {
        let asked = [&["report", "condition", "2031.1", "--against", &code, "--out", "-"], more].concat();
        room.run(&asked)
    };
    assert!(against(&[]).refused().contains("has none after it"), "nothing came in yet");
    let path = room.write("fix.toml", correction(&room));
    room.run(&["enter", &path]).done();
    let path = room.write("again.toml", AGAIN);
    room.run(&["enter", &path]).done();
    let page = against(&[]).done().split_whitespace().collect::<Vec<_>>().join(" ");
    let damage = &page[page.find("<h2>Damage</h2>").expect("the section")..];
    let damage = &damage[..damage.find("</table>").expect("its end")];
    // The sealed reading, not its correction; and the incoming note, which continues the correction, continues it.
    for said in ["12 mm", "16 mm", "<b>worse</b>"] {
        assert!(damage.contains(said), "`{said}` is missing in {damage}");
    }
    assert!(!damage.contains("13 mm") && !damage.contains("not mentioned"), "{damage}");
    for said in [
        "For the lender, outgoing",
        "For the borrower, outgoing",
        "For the lender, incoming",
        "For the borrower, incoming",
        "read on the wrong side",
        "examination of ",
        "1 condition note",
    ] {
        assert!(page.contains(said), "`{said}` is missing");
    }
    assert!(against(&["--examination", "2031-03-02"]).refused().contains("has none after it"));
    // The incoming report can be sealed in turn, and knows what it stands beside.
    let sealed = room
        .run(&["report", "condition", "2031.1", "--against", "1", "--seal", "--by", "Tamsin Orrel", "--json"])
        .done();
    let sealed: serde_json::Value = serde_json::from_str(&sealed).expect("JSON");
    assert_eq!((text(&sealed, "set"), text(&sealed, "against")), ("against", code.as_str()));
    assert_eq!(room.run(&["seals", "2031.1"]).done().lines().count(), 2);
    room.run(&["check"]).done();
}

/// What someone does to a sealed catalogue.
type Touch = Box<dyn Fn(&Room, &serde_json::Value)>;

#[test]
fn check_finds_every_way_of_touching_a_seal() {
    let sql = |statement: &'static str| {
        move |room: &Room, _: &serde_json::Value| {
            let db = rusqlite::Connection::open(room.collection().join(dimity::catalogue::FILE)).expect("opens");
            db.execute_batch(statement).expect("done");
        }
    };
    let cases: Vec<(&str, Touch, &[&str])> = vec![
        (
            "a letter of the page",
            Box::new(|room, seal| {
                let path = page_of(room, seal);
                let page = std::fs::read_to_string(&path).expect("read");
                std::fs::write(&path, page.replacen("2031.1", "2031.2", 1)).expect("written");
            }),
            &["sealed report 1 of `2031.1`, check code ", "was changed", "put the page back from a backup"],
        ),
        (
            "the page gone",
            Box::new(|room, seal| std::fs::remove_file(page_of(room, seal)).expect("removed")),
            &["is missing"],
        ),
        (
            "a foreign file",
            Box::new(|room, _| std::fs::write(room.collection().join("sealed/notes.txt"), "x").expect("written")),
            &["notes.txt` is no sealed page"],
        ),
        (
            "the row",
            Box::new(sql("DROP TRIGGER sealed_report_stays; UPDATE seal SET sealed_by = 'someone else'")),
            &["row 1 of `seal` was changed outside the program"],
        ),
        (
            "the code",
            Box::new(sql("DROP TRIGGER sealed_report_stays; UPDATE seal SET code = '2222-2222-2222'")),
            &["bears a check code that is not that of its SHA-256"],
        ),
        (
            "the row gone",
            Box::new(sql("DROP TRIGGER sealed_report_is_kept; DELETE FROM seal")),
            &["row 1 of `seal` was changed outside", "is a whole page, but no seal names it"],
        ),
        (
            "the journal before it",
            Box::new(sql(
                "DROP TRIGGER journal_stands; UPDATE journal SET hash = replace(hash, substr(hash, 1, 1), 'x') WHERE id = (SELECT revision FROM seal)",
            )),
            &["was printed from a journal that is not this one"],
        ),
    ];
    for (what, touch, says) in cases {
        let room = Room::with(&[SPENCER]);
        let seal = sealed(&room);
        room.run(&["check"]).done();
        touch(&room, &seal);
        let said = room.run(&["check"]);
        assert_eq!(said.code, Some(1), "{what}: {}", said.out);
        for part in says {
            assert!(said.out.contains(part), "{what}: `{part}` is missing in {}", said.out);
        }
    }
}

#[test]
fn the_database_itself_refuses_to_change_or_lose_a_seal_or_a_wording() {
    let room = Room::with(&[SPENCER]);
    sealed(&room);
    room.run(&["terms", "damage", "--define", "tear", "--definition", "torn", "--source", "us"]).done();
    let db = rusqlite::Connection::open(room.collection().join(dimity::catalogue::FILE)).expect("opens");
    for (statement, says) in [
        ("UPDATE seal SET record = '{}'", "a sealed report is never changed"),
        ("DELETE FROM seal", "a sealed report is never removed"),
        ("UPDATE wording SET definition = 'x'", "a wording stays as it was entered"),
        ("DELETE FROM wording", "a wording stays"),
        (
            "INSERT INTO wording (uid, term, since, entered, source)
             VALUES ('0190c1b0-0000-7000-8000-000000000000', 'fibre/linen', '2031-01-01', '2031-01-01', 'x')",
            "CHECK constraint failed",
        ),
    ] {
        let refused = db.execute_batch(statement).expect_err(statement).to_string();
        assert!(refused.contains(says), "{statement}: {refused}");
    }
}

#[test]
fn sealing_is_refused_where_it_would_mean_nothing_and_leaves_nothing() {
    let room = Room::with(&[SPENCER]);
    let nothing = |room: &Room| {
        assert!(!room.collection().join("sealed").exists(), "a page was kept");
        assert!(room.run(&["seals"]).done().starts_with("no report is sealed"));
    };
    let base = ["report", "condition", "2031.1", "--seal"];
    for (more, says) in [
        (&[][..], "say who seals the report"),
        (&["--by", "  "], "say who seals the report"),
        (&["--by", "W", "--out", "-"], "is written to a file"),
        (&["--by", "W", "--linked"], "cannot be used with"),
        (&["--by", "W", "--against", "2346-789A-CDEF"], "no report is sealed under `2346-789A-CDEF`"),
        (&["--by", "W", "--examination", "1999-01-01"], "1999-01-01"),
    ] {
        let said = room.run(&[&base[..], more].concat());
        assert_ne!(said.code, Some(0), "{more:?}");
        assert!(said.err.contains(says), "{more:?}: {}", said.err);
        nothing(&room);
    }
    let dry = room.run(&[&base[..], &["--by", "W", "--dry-run"]].concat()).done();
    assert!(dry.starts_with("would seal this report of 2031.1 as number 1: "), "{dry}");
    nothing(&room);

    let code = text(&sealed(&room), "code").to_owned();
    let other = room.write("other.toml", support::second("2031.3"));
    room.run(&["enter", &other]).done();
    assert!(room.run(&["report", "condition", "2031.3", "--against", "1"]).refused().contains("has not been examined"));
    let mut wrong = code.clone();
    wrong.replace_range(..1, if code.starts_with('2') { "3" } else { "2" });
    let refused = room.run(&["seals", "--show", &wrong]).refused();
    assert!(refused.contains(&format!("did you mean `{code}`, of 2031.1?")), "{refused}");
}

#[test]
fn a_catalogue_that_moved_on_while_the_page_was_printed_is_not_sealed() {
    use dimity::catalogue::NewSeal;
    let room = Room::with(&[SPENCER]);
    let mut catalogue = Catalogue::open(&room.collection(), support::clock()).expect("opens");
    let revision = catalogue.revision().expect("reads");
    let file = catalogue.piece("2031.1").expect("reads");
    let new = |revision| NewSeal {
        number: "2031.1".into(),
        examination: file.examinations[0].about.id.clone().expect("stored"),
        print_set: "full".into(),
        against: None,
        sealed_on: jiff::civil::date(2031, 5, 1),
        record: serde_json::json!({}),
        revision,
    };
    let path = room.write("again.toml", AGAIN);
    room.run(&["enter", &path]).done();
    let refused = catalogue.seal("W", b"page", &new(revision)).expect_err("moved on").to_string();
    assert!(refused.contains("seal it again"), "{refused}");
    assert_eq!(
        std::fs::read_dir(room.collection().join("sealed")).map_or(0, |d| {
            d.flatten().map(|e| std::fs::read_dir(e.path()).map_or(0, Iterator::count)).sum::<usize>()
        }),
        0,
        "the page went again"
    );
    let now = catalogue.revision().expect("reads");
    let seal = catalogue.seal("W", b"page", &new(now.clone())).expect("sealed");
    assert_eq!((seal.no, seal.revision, seal.revision_hash.as_str()), (1, now.row, now.hash.as_str()));
    assert_eq!(catalogue.seal_named(&seal.sha256[..12]).expect("found"), seal);
    assert!(catalogue.check().expect("checks").is_empty());
}

#[test]
fn a_report_prints_the_definition_in_force_on_the_day_of_its_examination() {
    let room = Room::with(&[SPENCER]);
    let define = |definition: &str, since: &str| {
        room.run(&[
            "terms",
            "severity",
            "--define",
            "slight",
            "--definition",
            definition,
            "--source",
            "house rules",
            "--since",
            since,
        ])
        .done()
    };
    let page = || {
        let page = room.run(&["report", "condition", "2031.1", "--out", "-"]).done();
        page.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let shipped = page();
    assert!(!shipped.contains("own wording"), "nothing of our own yet");
    assert!(define("seen with a lens only", "2031-04-01").contains("from 2031-04-01 on `slight`"));
    assert!(!page().contains("seen with a lens only"), "it began after the examination");
    define("seen from a chair", "2030-01-01");
    let own = page();
    for said in
        ["seen from a chair", "the collection’s own wording since 2030-01-01", "house rules", "terms and wordings"]
    {
        assert!(own.contains(said), "`{said}` is missing");
    }
    assert!(define("seen from a chair", "2030-01-01").contains("nothing was changed"));
    room.run(&["terms", "severity", "--restore", "slight", "--since", "2031-01-01"]).done();
    assert!(!page().contains("seen from a chair"), "the shipped one holds again");
    let list = room.run(&["terms", "severity"]).done();
    for said in
        ["from 2031-04-01: seen with a lens only", "from 2030-01-01: seen from a chair", "from 2031-01-01: as shipped"]
    {
        assert!(list.contains(said), "`{said}` is missing in {list}");
    }
    room.run(&["check"]).done();

    for (arguments, says) in [
        (&["terms", "fibre", "--define", "linen", "--definition", "x", "--source", "y"][..], "stay as shipped"),
        (&["terms", "grade", "--define", "goood", "--definition", "x", "--source", "y"], "did you mean `good`"),
        (&["terms", "grade", "--define", "good", "--definition", " ", "--source", "y"], "needs a definition"),
        (&["terms", "grade", "--define", "good", "--definition", "x"], "--source"),
    ] {
        let said = room.run(arguments);
        assert!(said.code != Some(0) && said.err.contains(says), "{arguments:?}: {}", said.err);
    }
}
