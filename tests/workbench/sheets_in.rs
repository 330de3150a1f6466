//! Examination sheets taken away and entered, as `dimity sheet` prints them and `dimity enter` takes them.

use dimity::record::account::{Account, Role};

use crate::bench::{Answer, Bench};
use crate::drawing::PASSWORD;
use crate::support::{AGAIN, Room, SPENCER};

/// Sheets as the page sends them on: in fields, with a reason.
fn on(bench: &Bench, to: &str, sheets: &[(&str, &str)], reason: &str) -> Answer {
    let mut fields = vec![("reason", reason)];
    for (name, text) in sheets {
        fields.extend([("name", *name), ("text", *text)]);
    }
    bench.form_with_files(to, &fields, &[])
}

#[test]
fn a_sheet_is_taken_away_as_the_command_line_prints_it() {
    let bench = Bench::by_link(&[SPENCER, AGAIN]);
    let room = Room::bare();
    let folder = bench.desk.folder().to_str().expect("a plain name").to_owned();
    let printed = |arguments: &[&str]| room.run(&[&["--in", &folder], arguments].concat()).done();
    for (query, arguments) in [
        ("number=2031.1&kind=filled", &["sheet", "2031.1"][..]),
        ("number=2031.1&kind=blank", &["sheet", "2031.1", "--blank"]),
        ("number=2031.1&kind=blank&garment=spencer", &["sheet", "2031.1", "--blank", "--for", "spencer"]),
        ("number=2031.99&garment=stays", &["sheet", "2031.99", "--for", "stays"]),
        ("number=2031.1&kind=filled&day=2031-03-02", &["sheet", "2031.1", "--examination", "2031-03-02"]),
    ] {
        let answer = bench.get(&format!("/sheets/file?{query}")).is(200);
        assert!(answer.header("content-disposition").contains("attachment; filename=\"2031."), "{query}");
        assert_eq!(answer.text().trim_end(), printed(arguments).trim_end(), "{query}");
    }
    let again = bench.get("/sheets/file?number=2031.1&kind=again").is(200).text();
    assert!(again.contains("date = 2031-05-01") && again.contains("[[condition]]"), "{again}");
    for (query, arguments) in [
        ("number=2031.1", &["sheet", "2031.1", "--form"][..]),
        ("garment=stays&paper=letter", &["sheet", "--for", "stays", "--form", "--paper", "letter"]),
        ("paper=%2Fetc%2Fpasswd", &["sheet", "--form"]),
    ] {
        let answer = bench.get(&format!("/sheets/form?{query}")).is(200);
        assert!(answer.header("content-security-policy").contains("default-src 'none'"), "{query}");
        assert_eq!(answer.text().trim_end(), printed(arguments).trim_end(), "{query}");
    }
}

#[test]
fn what_cannot_be_printed_is_told_beside_its_field() {
    let bench = Bench::by_link(&[SPENCER]);
    for (path, field, words) in [
        ("/sheets/file?number=", "number-amiss", "blank"),
        ("/sheets/file?number=2031.1&kind=blank&garment=spensir", "garment-amiss", "spencer"),
        ("/sheets/form?garment=spensir", "paper-garment-amiss", "spencer"),
        ("/sheets/file?number=2031.1&day=2000-01-01", "day-amiss", "2031-03-02"),
        ("/sheets/file?number=2031.1&day=%3Cb%3E", "day-amiss", "write it as"),
    ] {
        let page = bench.get(path).is(422).text();
        let (_, beside) = page.split_once(&format!("id=\"{field}\">")).expect("the field has a place for it");
        let (beside, _) = beside.split_once("</span>").expect("it ends");
        assert!(beside.contains(words) && !page.contains("<b>`"), "{path}: {beside}");
    }
    let name = bench.get("/sheets/file?number=..%2F..%2F%22x&kind=blank").is(200);
    assert_eq!(name.header("content-disposition"), "attachment; filename=\"_..__x.toml\"");
    assert!(bench.get("/pieces/2031.1").text().contains("/sheets?number=2031.1"));
    assert!(bench.get("/sheets?number=2031.1").is(200).text().contains("2 March 2031"));
}

#[test]
fn sheets_are_tried_then_entered_each_whole_or_not_at_all() {
    let bench = Bench::by_link(&[]);
    let wrong = SPENCER.replace("2031.1", "2031.2").replacen(
        "nature = \"extant\"",
        "nature = \"extent\"\nobject_nam = \"<b>x</b>\"",
        1,
    );
    let before = bench.revision();
    let page = bench
        .form_with_files(
            "/sheets/read",
            &[],
            &[("one.toml", SPENCER.as_bytes()), ("<i>two</i>.toml", wrong.as_bytes())],
        )
        .is(422)
        .text();
    for words in
        ["Would be entered", "2031.1: new piece", "2 mistakes", "did you mean", "extant", "object_name", "<b>Line "]
    {
        assert!(page.contains(words), "{words}: {page}");
    }
    for never in ["<i>two", "<b>x</b>"] {
        assert!(!page.contains(never), "{never}");
    }
    assert_eq!(bench.revision(), before, "looking at them changes nothing");
    // One is entered though the other is wrong; that one stays, to be mended here.
    let page = on(&bench, "/sheets/enter", &[("one.toml", SPENCER), ("two.toml", &wrong)], "").is(422).text();
    assert!(page.contains("href=\"/pieces/2031.1\"") && page.contains("Enter this sheet"), "{page}");
    assert_eq!(bench.desk.catalogue.numbers().expect("reads"), ["2031.1"]);
    let mended = SPENCER.replace("2031.1", "2031.2");
    on(&bench, "/sheets/enter", &[("two.toml", &mended.replace('\n', "\r\n"))], "").is(200);
    assert_eq!(bench.desk.catalogue.numbers().expect("reads").len(), 2);
    // What the command line makes of the same sheet.
    let room = Room::with(&[SPENCER]);
    let theirs = dimity::catalogue::Catalogue::open(&room.collection(), crate::support::clock()).expect("opens");
    let told = |catalogue: &dimity::catalogue::Catalogue| {
        let text = dimity::exchange::sheet::filled(&catalogue.piece("2031.1").expect("there"), Some(0));
        text.lines().filter(|l| !l.contains("id = ")).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(told(&bench.desk.catalogue), told(&theirs));
    // The same again adds nothing, and says so.
    let before = bench.revision();
    let page = on(&bench, "/sheets/enter", &[("one.toml", SPENCER)], "").is(200).text();
    assert!(page.contains("Nothing new; all of it is recorded for 2031.1 already") && bench.revision() == before);
    bench.desk.is_sound();
}

#[test]
fn a_correction_is_told_and_needs_a_reason() {
    let bench = Bench::by_link(&[SPENCER]);
    let sheet = bench.get("/sheets/file?number=2031.1").is(200).text();
    let fixed = sheet.replacen("object_name = \"spencer\"", "object_name = \"short spencer\"", 1);
    assert_ne!(fixed, sheet);
    let before = bench.revision();
    let page = bench.form_with_files("/sheets/read", &[], &[("fix.toml", fixed.as_bytes())]).is(200).text();
    assert!(page.contains("1 corrected") && page.contains("autocomplete=\"off\" required"), "{page}");
    let page = on(&bench, "/sheets/enter", &[("fix.toml", &fixed)], "  ").is(422).text();
    assert!(page.contains("say why, in the field below") && !page.contains("--reason"), "{page}");
    assert_eq!(bench.revision(), before);
    on(&bench, "/sheets/enter", &[("fix.toml", &fixed)], "looked again").is(200);
    let row = bench.desk.catalogue.journal(Some("2031.1")).expect("a journal").pop().expect("a row");
    assert_eq!(row.reason, "looked again");
    assert_eq!(
        bench.desk.catalogue.piece("2031.1").expect("there").piece.object_name.as_deref(),
        Some("short spencer")
    );
}

#[test]
fn what_is_no_sheet_is_refused_and_changes_nothing() {
    let bench = Bench::by_link(&[SPENCER]);
    let before = bench.revision();
    let none = bench.form_with_files("/sheets/read", &[], &[]).is(422).text();
    assert!(none.contains("Choose the sheets first"), "{none}");
    let page =
        bench.form_with_files("/sheets/read", &[], &[("a.toml", b"[piece]\nnumber = \"\xff\"\n")]).is(422).text();
    assert!(page.contains("save the sheet as UTF-8"), "{page}");
    let huge = vec![b'#'; 9 << 20];
    let page = bench.form_with_files("/sheets/enter", &[], &[("a.toml", &huge)]).is(422).text();
    assert!(page.contains("choose fewer"), "{page}");
    let many: Vec<(&str, &[u8])> = (0..101).map(|_| ("a.toml", &b"x"[..])).collect();
    bench.form_with_files("/sheets/enter", &[], &many).is(422);
    for text in ["", "not a sheet", "[piece]\n", "[piece]\nnumber = \"\"\n", &"[".repeat(100_000)] {
        let page = on(&bench, "/sheets/enter", &[("../../x", text)], "x").is(422).text();
        assert!(page.contains("class=\"amiss\""), "{text}");
    }
    assert_eq!(bench.revision(), before);
}

#[test]
fn who_may_only_read_prints_sheets_and_enters_none() {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    for (name, role) in [("Tamsin Orrel", Role::Read), ("Piers Holloway", Role::Examine)] {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
    assert!(!bench.get("/sheets").is(200).text().contains("Enter filled-in sheets"));
    bench.get("/sheets/file?number=2031.1").is(200);
    bench.get("/sheets/form").is(200);
    let sheet = SPENCER.replace("2031.1", "2031.2");
    for to in ["/sheets/read", "/sheets/enter"] {
        bench.form_with_files(to, &[], &[("a.toml", sheet.as_bytes())]).is(403);
    }
    bench.form("/sign-out", &[]).is(303);
    bench.sign_in("Piers Holloway", PASSWORD).is(303);
    on(&bench, "/sheets/enter", &[("a.toml", &sheet)], "").is(200);
    let row = bench.desk.catalogue.journal(Some("2031.2")).expect("a journal").pop().expect("a row");
    assert_eq!(row.author, "Piers Holloway");
}
