//! What goes wrong around the program: damaged and foreign files, full and read-only disks, hostile sheets, kills.

mod support;

use std::collections::HashSet;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use dimity::catalogue::{Catalogue, Fault, SCHEMA_VERSION};
use dimity::dating::Conventions;
use dimity::exchange::sheet::{self, Known};
use dimity::vocabulary::Vocabulary;
use proptest::prelude::*;
use support::killing::{killed, kills, span, wait};
use support::machine::as_nobody;
use support::{Desk, Disk, PLAIN, Room, SPENCER, Tables, clock, second};

fn database(room: &Room) -> std::path::PathBuf {
    room.collection().join("catalogue.sqlite")
}

/// Puts something in the place of the database file.
type Spoil<'a> = &'a dyn Fn(&Path);

/// Every command that opens a catalogue.
const OPENING: [&[&str]; 5] = [&["list"], &["check"], &["journal"], &["show", "1"], &["terms", "fibre"]];

#[test]
fn a_file_that_is_no_catalogue_is_refused_and_left_as_it_is() {
    let foreign = |path: &Path| {
        let db = rusqlite::Connection::open(path).expect("opens");
        db.execute_batch("PRAGMA application_id = 7; CREATE TABLE piece (x); INSERT INTO piece VALUES (1)")
            .expect("made");
    };
    let newer = |path: &Path| {
        drop(Catalogue::create(path.parent().expect("a folder"), clock()).expect("made"));
        rusqlite::Connection::open(path).and_then(|db| db.execute_batch("PRAGMA user_version = 99")).expect("set");
    };
    let beheaded = |path: &Path| {
        drop(Catalogue::create(path.parent().expect("a folder"), clock()).expect("made"));
        let mut bytes = std::fs::read(path).expect("reads");
        bytes[..16].fill(b'x');
        std::fs::write(path, bytes).expect("written");
    };
    let newest = format!(
        "this catalogue has schema 99, newer than the {SCHEMA_VERSION} that this program knows; use a newer `dimity`"
    );
    let cases: [(&str, Spoil<'_>, &str); 6] = [
        ("a database of another program", &foreign, "is a database of some other program; it was left alone"),
        ("a later release's catalogue", &newer, &newest),
        (
            "a text file",
            &|p| std::fs::write(p, "my notes\n".repeat(200)).expect("written"),
            "cannot be read as a catalogue: file is not a database",
        ),
        (
            "bytes",
            &|p| {
                let junk: Vec<u8> = (0..9999u32).map(|i| (i * i / 8) as u8).collect();
                std::fs::write(p, junk).expect("written");
            },
            "cannot be read as a catalogue",
        ),
        ("an empty file", &|p| std::fs::write(p, "").expect("written"), "was left alone"),
        ("a catalogue without its first bytes", &beheaded, "restore it from a backup"),
    ];
    for (what, make, says) in cases {
        let room = Room::bare();
        std::fs::create_dir(room.collection()).expect("made");
        make(&database(&room));
        let before = std::fs::read(database(&room)).expect("reads");
        for arguments in OPENING {
            let err = room.run(arguments).refused();
            assert!(err.contains(says), "{what}, `{arguments:?}`: {err}");
        }
        assert_eq!(std::fs::read(database(&room)).expect("reads"), before, "{what} must stay as it is");
    }
}

#[test]
fn a_damaged_catalogue_is_found_by_check_and_kept_byte_for_byte() {
    let room = Room::with(&[SPENCER]);
    Tables::open(&room.collection()).run("PRAGMA wal_checkpoint(TRUNCATE)");
    let whole = std::fs::read(database(&room)).expect("reads");
    let page = 4096;
    for (what, at, length) in [
        ("the schema page", page - 100, 100),
        ("a page in the middle", page * 20, page * 3),
        ("the end", whole.len() - page * 4, page * 4),
    ] {
        let mut bytes = whole.clone();
        bytes[at..at + length].fill(0x5a);
        std::fs::write(database(&room), &bytes).expect("written");
        let said = room.run(&["check"]);
        assert_eq!(said.code, Some(1), "{what}: {said:?}");
        for arguments in OPENING {
            let said = room.run(arguments);
            assert!(matches!(said.code, Some(0 | 1)), "{what}: {said:?}");
        }
        assert_eq!(std::fs::read(database(&room)).expect("reads"), bytes, "{what}: a damaged file must stay as it is");
    }
    for length in [whole.len() / 2, 5000, 99, 1] {
        std::fs::write(database(&room), &whole[..length]).expect("written");
        assert_eq!(room.run(&["check"]).code, Some(1), "cut to {length} bytes");
        assert_eq!(std::fs::read(database(&room)).expect("reads"), whole[..length], "cut to {length} bytes");
    }
}

#[test]
fn a_row_that_points_nowhere_is_named_with_its_mend() {
    let room = Room::with(&[SPENCER]);
    assert!(room.run(&["check"]).done().contains("all well"));
    let sql = Tables::open(&room.collection());
    // By a hand that switched the foreign keys off, as `sqlite3` does unless it is told otherwise.
    sql.run("PRAGMA foreign_keys = OFF; UPDATE reading SET owner_id = 4711 WHERE id = (SELECT min(id) FROM reading)");
    let row = sql.one("SELECT id FROM reading WHERE owner_id = 4711");
    drop(sql);
    let said = room.run(&["check"]);
    let wanted = format!(
        "row {row} of `reading` points to a row of `observation` that is gone\n    mend: restore the catalogue from a backup"
    );
    assert!(said.code == Some(1) && said.out.contains(&wanted), "{wanted}\n{said:?}");
}

#[cfg(unix)]
#[test]
fn a_read_only_folder_can_be_read_and_says_why_it_cannot_be_written() {
    use std::os::unix::fs::PermissionsExt;
    let Some(nobody) = as_nobody("a read-only folder") else { return };
    let room = Room::with(&[SPENCER]);
    let one = room.photograph("one.png", 1);
    room.run(&["photo", "add", "2031.1", &one]).done();
    let sheet = room.write("s.toml", PLAIN);
    // A copy of the program where somebody without rights can reach it.
    let program = room.path().join("dimity");
    std::fs::copy(env!("CARGO_BIN_EXE_dimity"), &program).expect("copied");
    let allow = |path: &Path, mode: u32| {
        std::fs::set_permissions(path, PermissionsExt::from_mode(mode)).expect("permitted");
    };
    let files =
        |path: &Path| std::fs::read_dir(path).expect("reads").map(|e| e.expect("an entry").path()).collect::<Vec<_>>();
    for file in files(&room.collection()) {
        if file.is_file() {
            allow(&file, 0o444);
        }
    }
    allow(room.path(), 0o755);
    allow(&room.collection(), 0o555);
    let run = |arguments: &[&str]| {
        let words: Vec<_> =
            nobody.iter().copied().chain([program.to_str().expect("plain")]).chain(arguments.iter().copied()).collect();
        let mut command = Command::new(words[0]);
        command.args(&words[1..]).current_dir(room.path()).env("DIMITY_IN", "collection").env("USER", "someone");
        let output = command.output().expect("starts");
        (
            output.status.code(),
            String::from_utf8_lossy(&output.stdout).into_owned(),
            String::from_utf8_lossy(&output.stderr).into_owned(),
        )
    };
    for arguments in [
        &["list"][..],
        &["show", "2031.1"],
        &["find", "silk"],
        &["check"],
        &["journal"],
        &["sheet", "2031.1"],
        &["report", "catalogue", "2031.1", "--out", "-"],
        &["report", "index", "--out", "-"],
    ] {
        let (code, out, err) = run(arguments);
        assert_eq!(code, Some(0), "{arguments:?} should work in a read-only folder: {out}{err}");
    }
    let mut refusals = Vec::new();
    for arguments in [
        &["enter", &sheet][..],
        &["terms", "fibre", "--add", "x", "--definition", "d", "--source", "s"],
        &["photo", "add", "2031.1", &room.photograph("two.png", 2)],
        &["report", "catalogue", "2031.1"],
    ] {
        let (code, out, err) = run(arguments);
        assert_eq!(code, Some(1), "{arguments:?}: {out}{err}");
        refusals.push(err);
    }
    assert!(
        refusals[0]
            .contains("the catalogue cannot be written: the file or its folder is read-only; nothing was changed"),
        "{}",
        refusals[0]
    );
    assert!(
        refusals.iter().all(|r| r.to_lowercase().contains("read-only") || r.contains("ermission")),
        "{refusals:#?}"
    );
    let named = "`collection/photographs`: you have no permission";
    assert!(refusals[2].contains(named), "the folder is named: {}", refusals[2]);
    allow(&room.collection(), 0o755);
    assert_eq!(room.run(&["list", "--json"]).json().len(), 1);
    // Changes that were not carried over yet, as a kill leaves them, are not passed over in silence.
    allow(&room.collection(), 0o755);
    room.write("collection/catalogue.sqlite-wal", "something");
    allow(&room.collection(), 0o555);
    let (code, out, err) = run(&["list"]);
    assert!(code == Some(1) && err.contains("copy the whole folder"), "{out}{err}");
    allow(&room.collection(), 0o755);
}

#[cfg(unix)]
#[test]
fn a_full_disk_changes_nothing_and_says_so() {
    let room = Room::bare();
    let Some(mounted) = Disk::mounted("a full disk", &room.path().join("disk"), 6) else { return };
    let disk = mounted.place();
    let folder = format!("{disk}/collection");
    room.run(&["new", &folder]).done();
    let small = room.write("small.toml", SPENCER);
    room.run(&["--in", &folder, "enter", &small]).done();
    let big = room.write("big.toml", format!("{PLAIN}description = \"{}\"\n", "silk ".repeat(1_600_000)));
    let err = room.run(&["--in", &folder, "enter", &big]).refused();
    assert!(err.contains("the disk is full; nothing was changed; free some space and try again"), "{err}");
    mounted.fill(20_000);
    let noise: Vec<u8> = (0..3_000_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    let picture = image::RgbImage::from_raw(1000, 1000, noise).expect("enough bytes");
    picture.save(room.path().join("big.png")).expect("saved");
    let err = room.run(&["--in", &folder, "photo", "add", "2031.1", "big.png"]).refused();
    assert!(["No space left", "disk is full", "may be full"].iter().any(|says| err.contains(says)), "{err}");
    mounted.free();
    assert!(
        room.run(&["--in", &folder, "check"]).done().contains("journal and 0 photographs"),
        "all of it is as it was"
    );
    assert_eq!(room.run(&["--in", &folder, "list", "--json"]).json().len(), 1);
    room.run(&["--in", &folder, "enter", &room.write("next.toml", PLAIN)]).done();
}

#[test]
fn a_missing_photograph_is_named_and_the_rest_goes_on() {
    let room = Room::with(&[SPENCER]);
    let one = room.photograph("one.png", 1);
    room.run(&["photo", "add", "2031.1", &one]).done();
    for folder in ["photographs", "derived"] {
        std::fs::remove_dir_all(room.collection().join(folder)).expect("removed");
    }
    for arguments in [
        &["report", "catalogue", "2031.1"][..],
        &["report", "condition", "2031.1"],
        &["report", "index"],
        &["show", "2031.1"],
        &["list"],
    ] {
        let said = room.run(arguments);
        assert_eq!(said.code, Some(0), "{said:?}");
    }
    let said = room.run(&["check"]);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains("is missing\n    mend: put the original back from a backup"), "{said:?}");
    room.run(&["photo", "add", "2031.1", &one]).done();
    room.run(&["check"]).done();
}

#[test]
fn a_sheet_is_read_whatever_program_saved_it() {
    let room = Room::new();
    let windows = SPENCER.replace('\n', "\r\n");
    let marked = [b"\xef\xbb\xbf".as_slice(), SPENCER.as_bytes()].concat();
    let both = [b"\xef\xbb\xbf".as_slice(), windows.as_bytes()].concat();
    room.run(&["enter", &room.write("plain.toml", SPENCER)]).done();
    for (what, bytes) in [("Windows line ends", windows.as_bytes()), ("a byte order mark", &marked), ("both", &both)] {
        let out = room.run(&["enter", &room.write("s.toml", bytes)]).done();
        assert!(out.contains("nothing new"), "{what} must make no difference: {out}");
    }
    let latin =
        SPENCER.replace("Green silk", "Gr\u{1}n silk").into_bytes().into_iter().map(|b| if b == 1 { 0xfc } else { b });
    let wide: Vec<u8> = SPENCER.encode_utf16().flat_map(u16::to_le_bytes).collect();
    for (what, bytes, says) in [
        ("Latin 1", latin.collect::<Vec<_>>(), ":7:12: the byte 0xFC here is no UTF-8; save the sheet as UTF-8"),
        ("UTF-16", [b"\xff\xfe".as_slice(), &wide].concat(), ":1:1: the byte 0xFF here is no UTF-8"),
        ("an empty file", Vec::new(), "the sheet has no [piece]"),
        ("blanks", b"\n \n\t\n".to_vec(), "the sheet has no [piece]"),
        ("junk", (0..4000u32).map(|i| (i * 7 % 256) as u8).collect(), "is no UTF-8"),
        ("text junk", b"\x00\x01\x1b[31m\x7f".repeat(300), "this is not TOML"),
    ] {
        let err = room.run(&["enter", &room.write("s.toml", bytes)]).refused();
        assert!(err.contains(says), "{what}: {err}");
        assert!(!err.contains('\u{1b}'), "{what}: a terminal must not obey a sheet: {err:?}");
        assert!(err.len() < 60_000, "{what}: the refusal has {} bytes", err.len());
    }
}

#[test]
fn absurd_values_are_refused_with_their_place() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let examined = |lines: &str| {
        format!(
            "[piece]\nnumber = \"2031.1\"\n[examination]\ndate = 2031-03-02\nexaminer = \"Wren Askerdale\"\n{lines}\n"
        )
    };
    for line in [
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"1e400 in\"]",
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"-5 cm\"]",
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"99999999999999999999 in\"]",
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"0 cm\"]",
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"NaN cm\"]",
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"inf in\"]",
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"27 in\", \"27 cm\", \"270 cm\"]",
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [27]",
        "[[textile]]\nrole = \"shell\"\nends = [\"48 in 0 in\"]",
        "[[textile]]\nrole = \"shell\"\nwarp = { ply = 0 }",
        "[[textile]]\nrole = \"shell\"\nwarp = { ply = 99999999999999999999 }",
        "[[textile]]\nrole = \"shell\"\ncolours = [{ l = nan, a = 0, b = 0 }]",
        "[[textile]]\nrole = \"shell\"\ncolours = [{ l = 50, a = 1e400, b = 0 }]",
        "[[fastening]]\nfastening = \"button\"\ncount = -1",
        "[[fastening]]\nfastening = \"button\"\ncount = 9223372036854775807",
        "[[condition]]\ndamage = \"tear\"\nextent = \"1/0 in\"",
        "[[work]]\ndate = 0001-01-01\ntask = \"x\"",
        "[[work]]\ndate = 9999-12-31\ntask = \"x\"",
        "[[work]]\ndate = 2031-02-30\ntask = \"x\"",
        "[[component]]\nname = \"x\"\ncount = 0",
    ] {
        let refusal = desk.refused(&examined(line));
        let place = refusal.split(':').next().and_then(|l| l.trim().parse::<usize>().ok());
        assert!(place.is_some_and(|l| l > 5), "a line should be named: {line}\n{refusal}");
    }
    desk.is_sound();
}

#[test]
fn any_number_can_be_kept_and_its_reports_stay_in_their_folder() {
    let room = Room::new();
    let long = "\u{1f9f5}".repeat(80);
    let numbers = [
        "1987/4/2",
        "../../up",
        "..",
        ".",
        "/etc/x",
        "C:\\x",
        "a b",
        "<script>alert(1)</script>",
        "&amp;",
        "\"q\"",
        "'q'",
        "%2e%2e",
        ".hidden",
        "nul",
        "--help",
        "-1",
        "Ω 7",
        "a\u{202e}b",
        "~",
        "$(x)",
        "`x`",
        "*",
        &"9".repeat(80),
        &long,
    ];
    for (i, number) in numbers.iter().enumerate() {
        room.run(&["enter", &room.write("s.toml", second(number))]).done();
        for arguments in [
            ["report", "catalogue", "--", number].as_slice(),
            &["show", "--json", "--", number],
            &["sheet", "--", number],
            &["journal", "--", number],
        ] {
            let said = room.run(arguments);
            assert_eq!(said.code, Some(0), "{said:?}");
        }
        let shown = room.run(&["show", "--json", "--", number]).json().remove(0);
        assert_eq!(shown["piece"]["number"], **number);
        let reports = std::fs::read_dir(room.collection().join("reports")).expect("reads").count();
        assert_eq!(reports, i + 1, "`{number}` has a page of its own in the folder `reports`");
    }
    let mut around: Vec<_> =
        std::fs::read_dir(room.path()).expect("reads").map(|e| e.expect("an entry").file_name()).collect();
    around.sort();
    assert_eq!(around, ["collection", "s.toml"], "nothing is written beside the catalogue");
    for (number, says) in [
        ("", "`number` is missing"),
        ("x\\u0007", "cannot hold the control character U+0007"),
        ("x\\ny", "control character U+000A"),
    ] {
        let sheet = format!("[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"x\"\n");
        let err = room.run(&["enter", &room.write("s.toml", sheet)]).refused();
        assert!(err.contains(says), "{err}");
    }
    let err = room.run(&["enter", &room.write("s.toml", second(&"9".repeat(81)))]).refused();
    assert!(err.contains("at most 80 characters"), "{err}");
    room.run(&["check"]).done();
}

#[test]
fn markup_in_any_text_stays_text() {
    const EVIL: &str = "<script>alert(1)</script><img src=x onerror=alert(1)>\\\"'";
    let room = Room::new();
    let field = |name: &str| format!("{name} = \"{EVIL}\"\n");
    let fields = |names: &[&str]| names.iter().map(|n| field(n)).collect::<String>();
    let sheet = [
        "[piece]\nnumber = \"1\"\nnature = \"extant\"\n",
        &fields(&[
            "object_name",
            "title",
            "maker",
            "place",
            "culture",
            "description",
            "distinguishing_features",
            "credit_line",
            "rights",
        ]),
        &format!("inscriptions = [\"{EVIL}\"]\nkeywords = [\"{EVIL}\"]\n[[component]]\n"),
        &fields(&["name", "note"]),
        "[[person]]\nrole = \"maker\"\n",
        &fields(&["person", "note"]),
        "[[event]]\nevent = \"gift\"\n",
        &fields(&["place", "source", "note"]),
        "[[move]]\n",
        &fields(&["to", "by", "reason"]),
        "[[made_after]]\n",
        &fields(&["source", "note"]),
        "[[departure]]\nreason = \"fit\"\n",
        &fields(&["feature", "was", "now", "note"]),
        "[[work]]\ndate = 2031-01-01\n",
        &fields(&["task", "cost", "note"]),
        "[[treatment]]\n",
        &fields(&["title", "aims", "proposal", "risks", "result", "after_care"]),
        "[examination]\ndate = 2031-01-01\n",
        &fields(&["examiner", "reason", "place", "magnification", "methods", "not_examined", "note"]),
        "[[textile]]\nrole = \"shell\"\n",
        &fields(&["component", "name", "selvedge", "colour", "dye", "interpretation", "note"]),
        "[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"60 cm\"]\n",
        &fields(&["instrument", "note"]),
        "[[stitching]]\npurpose = \"side seam\"\n",
        &fields(&["thread", "note"]),
        "[[step]]\n",
        &fields(&["done"]),
        "[[sign]]\nsign = \"darn\"\n",
        &fields(&["seen"]),
        "[[condition]]\ndamage = \"tear\"\n",
        &fields(&["place", "treated", "note"]),
        "[[overall]]\ngrade = \"good\"\n",
        &fields(&["statement", "handling", "storage", "display"]),
        "[[hazard]]\nhazard = \"poison\"\n",
        &fields(&["basis", "tested", "caution"]),
    ]
    .concat();
    room.run(&["enter", &room.write("s.toml", sheet)]).done();
    let photo = room.photograph("<img src=x onerror=alert(1)>.png", 1);
    room.run(&["photo", "add", "1", &photo, "--caption", EVIL, "--photographer", EVIL]).done();
    let piece = room.run(&["show", "1", "--json"]).json().remove(0);
    assert_eq!(piece["piece"]["title"], EVIL.replace("\\\"", "\""), "JSON keeps the text as it was written");
    room.run(&["list", "--json"]).json();
    room.run(&["journal", "--json"]).json();
    for arguments in [
        &["report", "catalogue", "1"][..],
        &["report", "condition", "1"],
        &["report", "comparison", "1", "--with", "1"],
        &["report", "index"],
        &["report", "catalogue", "1", "--linked"],
    ] {
        let page = room.run(&[arguments, &["--out", "-"]].concat()).done();
        for evil in ["<script>alert(1)", "<img src=x", "onerror=alert(1)>\""] {
            assert!(!page.contains(evil), "`{evil}` must not reach the page of {arguments:?}");
        }
    }
}

#[test]
fn huge_and_deep_sheets_are_answered_not_choked_on() {
    let room = Room::new();
    let deep = 100_000;
    for (what, text) in [
        ("deep lists", format!("x = {}{}", "[".repeat(deep), "]".repeat(deep))),
        ("unclosed lists", format!("x = {}", "[".repeat(deep))),
        ("deep tables", format!("x = {}1{}", "{a=".repeat(deep), "}".repeat(deep))),
        ("deep dotted keys", format!("x{} = 1", ".a".repeat(deep))),
        ("a deep heading", format!("[x{}]", ".a".repeat(deep))),
        ("many unknown fields", (0..700_000).map(|i| format!("field{i} = 1\n")).collect::<Vec<_>>().concat()),
        ("one long line", format!("x = [{}]", "1, ".repeat(3_000_000))),
        ("many broken lines", "= = =\n".repeat(300_000)),
        ("many bad lines", format!("{PLAIN}{}", "[[event]]\nevent = \"eaten\"\n".repeat(100_000))),
    ] {
        let said = room.run(&["enter", &room.write("s.toml", text)]);
        assert_eq!(
            said.code,
            Some(1),
            "{what} should be refused, not crash: {}",
            said.err.chars().take(300).collect::<String>()
        );
        assert!(said.err.len() < 200_000, "{what}: the refusal has {} bytes", said.err.len());
    }
    // Ten megabytes that make sense are a sheet like any other.
    let words = "silk ".repeat(2_000_000);
    room.run(&["enter", &room.write("s.toml", format!("{PLAIN}description = \"{words}\"\n"))]).done();
    assert_eq!(room.run(&["show", "2031.2", "--json"]).json()[0]["piece"]["description"], words.trim());
}

fn reads(text: &str) {
    let names = |_: &str| Some(vec!["left front".to_owned()]);
    let known = Known { vocabulary: Vocabulary::shipped(), components: &names, conventions: Conventions::default() };
    if let Err(mistakes) = sheet::read(text, &known) {
        assert!(!mistakes.is_empty());
        for mistake in mistakes {
            assert!(mistake.line >= 1 && mistake.column >= 1 && !mistake.what.is_empty(), "{mistake:?}");
            assert!(mistake.line <= text.matches('\n').count() + 1, "{mistake:?} is beyond the end");
            assert!(mistake.to_string().lines().count() >= 3, "{mistake}");
        }
    }
}

/// Pieces of which sheets are made, put together by chance.
fn shreds() -> impl Strategy<Value = String> {
    let shred = prop::sample::select(vec![
        "[piece]\n",
        "[[component]]\n",
        "[examination]\n",
        "[[condition]]\n",
        "[[textile]]\n",
        "[[measurement]]\n",
        "[[stitching]]\n",
        "[[overall]]\n",
        "number = ",
        "name = ",
        "date = ",
        "damage = ",
        "readings = ",
        "fibres = ",
        "warp = ",
        "ply = ",
        "colours = ",
        "continues = ",
        "id = ",
        "extent = ",
        "\"\"",
        "\"x\"",
        "\"tear\"",
        "\"27 1/2 in\"",
        "1",
        "-1",
        "1.5",
        "nan",
        "inf",
        "2031-03-02",
        "07:32:00",
        "true",
        "[]",
        "{}",
        "[[]]",
        "[{}]",
        "{ a = 1 }",
        "[\"a\", 1, {}]",
        "{ fibre = \"silk\" }",
        "'''x'''",
        "\"\"\"\nx\"\"\"",
        "# x",
        "\n",
        "\r\n",
        "=",
        ".",
        "\"",
        "[",
        "]",
        "{",
        "}",
        ",",
        " ",
        "\u{1f9f5}",
        "é",
    ]);
    prop::collection::vec(shred, 0..40).prop_map(|parts| parts.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_the_reader_panic(text in any::<String>()) {
        reads(&text);
    }

    #[test]
    fn no_heap_of_shreds_makes_the_reader_panic(text in shreds()) {
        reads(&text);
    }

    #[test]
    fn no_slip_of_the_pen_makes_the_reader_panic(at in 0usize..SPENCER.len(), cut in 0usize..30, put in "\\PC{0,4}|[\"\\[\\]{}=.,#\\n]{1,3}") {
        let text: String = SPENCER.chars().take(at).chain(put.chars()).chain(SPENCER.chars().skip(at + cut)).collect();
        reads(&text);
    }

    #[test]
    fn no_bytes_make_the_decoder_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        if let Ok(text) = sheet::text_of(&bytes) {
            reads(text);
        }
    }
}

fn as_words(arguments: &[String]) -> Vec<&str> {
    arguments.iter().map(String::as_str).collect()
}

/// Each piece that is asked for is whole.
fn whole(catalogue: &Catalogue, asked_for: &mut dyn FnMut(&str) -> bool) {
    for number in catalogue.numbers().expect("reads").iter().filter(|number| asked_for(number)) {
        let file = catalogue.piece(number).expect("reads");
        assert_eq!((file.components.len(), file.examinations.len()), (2, 1), "{number} is whole or not there");
    }
}

#[test]
fn a_kill_during_enter_loses_nothing_that_was_acknowledged() {
    let room = Room::new();
    let (mut acknowledged, mut cut_short, mut seen) = (0, 0, HashSet::new());
    let entering = |round: u32| {
        let mut arguments = vec!["enter".to_owned()];
        for i in 0..12 {
            let sheet = SPENCER.replace("2031.1", &format!("{round}.{i}"));
            arguments.push(room.write(&format!("{i}.toml"), sheet));
        }
        arguments
    };
    let mut longest = Duration::ZERO;
    let rounds = kills();
    for round in 0..rounds {
        // A machine may slow down on the way: the span is taken anew from time to time.
        if round % 10 == 0 {
            let undisturbed = entering(1000 + round);
            longest = span(|| _ = room.run(&as_words(&undisturbed)).done());
        }
        let arguments = entering(round);
        let lines = killed(&room, &as_words(&arguments), wait(round, longest)).lines;
        let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens after a kill");
        for line in &lines {
            let number = line.split(": ").nth(1).expect("the line names the piece");
            let file =
                catalogue.piece(number).unwrap_or_else(|e| panic!("round {round}: acknowledged, then lost: {e}"));
            assert_eq!(file.examinations[0].conditions.len(), 1, "round {round}: {number} is whole");
        }
        // What the rounds before left was looked at then, and is once more when all is over.
        whole(&catalogue, &mut |number| seen.insert(number.to_owned()));
        acknowledged += lines.len();
        cut_short += usize::from(lines.len() < 12);
    }
    println!("{rounds} kills of entry: {acknowledged} sheets acknowledged, {cut_short} runs cut short");
    assert!(
        acknowledged > 0 && cut_short > 0,
        "the kills should fall in the middle: {acknowledged} acknowledged, {cut_short} cut short"
    );
    whole(&Catalogue::open(&room.collection(), clock()).expect("opens"), &mut |_| true);
    room.run(&["check"]).done();
}

#[test]
fn a_kill_during_new_leaves_a_folder_in_which_it_can_be_made() {
    let longest = span(|| _ = Room::bare().run(&["new", "c"]).done());
    for round in 0..20 {
        let place = tempfile::tempdir().expect("a folder");
        let folder = place.path().join("c");
        let mut child = Command::new(env!("CARGO_BIN_EXE_dimity"))
            .arg("new")
            .arg(&folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("starts");
        std::thread::sleep(wait(round, longest));
        child.kill().expect("killed"); // SIGKILL
        child.wait().expect("ended");
        match Catalogue::open(&folder, clock()) {
            Ok(catalogue) => assert_eq!(catalogue.check().expect("checks"), [], "round {round}"),
            Err(Fault::NoCatalogue(_)) => drop(Catalogue::create(&folder, clock()).expect("made after a kill")),
            Err(other) => panic!("round {round}: {other}"),
        }
    }
}

#[test]
fn a_kill_during_photo_add_leaves_every_original_whole() {
    let room = Room::with(&[SPENCER]);
    let (mut acknowledged, mut cut_short) = (Vec::new(), 0);
    let rounds = u16::try_from(kills()).expect("as many as there are shades");
    let adding = |round: u16| {
        let mut arguments = ["photo", "add", "2031.1", "--json"].map(String::from).to_vec();
        for i in 0..8u16 {
            let [high, low] = round.wrapping_mul(8).wrapping_add(i).to_be_bytes();
            let picture = image::RgbImage::from_fn(60, 40, |x, y| image::Rgb([low, x as u8 ^ high, y as u8]));
            let path = room.path().join(format!("{round}-{i}.png"));
            picture.save(&path).expect("saved");
            arguments.push(path.to_str().expect("plain").to_owned());
        }
        arguments
    };
    let mut longest = Duration::ZERO;
    for round in 0..rounds {
        if round % 10 == 0 {
            // Pictures of their own: sixteen bits tell eight thousand rounds apart.
            let whole = adding(4000 + round);
            longest = span(|| _ = room.run(&as_words(&whole)).done());
        }
        let lines = killed(&room, &as_words(&adding(round)), wait(round.into(), longest)).lines;
        cut_short += usize::from(lines.len() < 8);
        acknowledged.extend(
            lines.iter().filter_map(|l| {
                serde_json::from_str::<serde_json::Value>(l).ok()?["sha256"].as_str().map(String::from)
            }),
        );
    }
    let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens after the kills");
    let known: Vec<_> = catalogue.originals().expect("reads").into_iter().map(|original| original.sha256).collect();
    for sha in &acknowledged {
        assert!(known.contains(sha), "acknowledged, then lost: {sha}");
    }
    println!("{rounds} kills of ingest: {} photographs acknowledged, {cut_short} runs cut short", acknowledged.len());
    assert!(!acknowledged.is_empty() && cut_short > 0, "{} acknowledged, {cut_short} cut short", acknowledged.len());
    drop(catalogue);
    // An original may lie in the store whose record was cut short; nothing else may be wrong.
    let said = room.run(&["check"]).out;
    let findings = said.lines().filter(|line| !line.starts_with("    mend"));
    for line in findings {
        let expected = ["no record names it", "left behind by an interruption", "views made again", "all well"];
        assert!(expected.iter().any(|words| line.contains(words)), "after the kills: {line}");
    }
    // What was cut short can be added again: the whole card once more, and all is there once.
    let files: Vec<String> = (0..rounds)
        .flat_map(|r| (0..8).map(move |i| format!("{r}-{i}.png")))
        .map(|name| room.path().join(name))
        .map(|path| path.to_str().expect("plain").to_owned())
        .collect();
    let arguments: Vec<&str> = ["photo", "add", "2031.1"].into_iter().chain(files.iter().map(String::as_str)).collect();
    room.run(&arguments).done();
    room.run(&["check"]).done();
    let shown = room.run(&["show", "2031.1", "--json"]).json();
    // Eight more of each undisturbed run.
    let undisturbed = 8 * usize::from(rounds.div_ceil(10));
    assert_eq!(shown[0]["photographs"].as_array().map(Vec::len), Some(files.len() + undisturbed));
}

#[test]
fn two_writers_take_turns() {
    let room = Room::new();
    let busy = Tables::open(&room.collection());
    busy.run("BEGIN IMMEDIATE; INSERT INTO person (uid, name) VALUES ('0190c1b0-0000-7000-8000-000000000000', 'X')");
    let sheet = room.write("s.toml", PLAIN);
    let reading = room.run(&["list"]);
    assert_eq!(reading.code, Some(0), "a reader does not wait for a writer: {reading:?}");
    let started = std::thread::spawn(move || {
        std::thread::sleep(Duration::from_millis(300));
        busy.run("ROLLBACK");
    });
    room.run(&["enter", &sheet]).done();
    started.join().expect("rolled back");
}

#[test]
fn a_library_caller_gets_faults_by_kind() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    assert!(matches!(Catalogue::open(folder.path(), clock()), Err(Fault::NoCatalogue(_))));
    let catalogue = Catalogue::create(folder.path(), clock()).expect("made");
    assert!(matches!(Catalogue::create(folder.path(), clock()), Err(Fault::NotEmpty(_))));
    assert!(matches!(catalogue.piece("1"), Err(Fault::NoPiece { near: None, .. })));
}

#[test]
fn two_programs_writing_sheets_and_photographs_at_once_lose_nothing() {
    const SHEETS: usize = 50;
    let room = Room::with(&[SPENCER]);
    // Each says what was acknowledged: numbers of pieces, and hashes of photographs.
    let write = |who: usize| {
        let (mut pieces, mut photographs) = (Vec::new(), Vec::new());
        for n in 0..SHEETS {
            let number = format!("w{who}.{n}");
            let sheet = room.write(&format!("{number}.toml"), SPENCER.replace("2031.1", &number));
            let said = room.run(&["enter", &sheet]);
            if said.code == Some(0) {
                pieces.push(number);
            } else {
                assert!(said.err.contains("another program is writing"), "{said:?}");
            }
            if n % 5 == 0 {
                let name = format!("w{who}-{n}.png");
                let picture = room.photograph(&name, (who * SHEETS + n) as u8);
                let said = room.run(&["photo", "add", "2031.1", &picture]);
                if said.code == Some(0) {
                    photographs.push(support::sha256_of(&std::fs::read(&picture).expect("reads")));
                } else {
                    assert!(said.err.contains("another program is writing"), "{said:?}");
                }
            }
        }
        (pieces, photographs)
    };
    let (one, other) = std::thread::scope(|threads| {
        let one = threads.spawn(|| write(1));
        let other = write(2);
        (one.join().expect("it ends"), other)
    });
    let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens");
    let there: HashSet<String> = catalogue.numbers().expect("reads").into_iter().collect();
    let pieces: Vec<_> = one.0.iter().chain(&other.0).collect();
    for number in &pieces {
        assert!(there.contains(*number), "`{number}` was acknowledged");
        assert_eq!(catalogue.piece(number).expect("reads").examinations.len(), 1, "{number}");
    }
    assert_eq!(there.len(), pieces.len() + 1, "what was refused is absent");
    let shown = room.run(&["show", "2031.1", "--json"]).done();
    let photographs: HashSet<_> = one.1.iter().chain(&other.1).collect();
    photographs.iter().for_each(|sha256| assert!(shown.contains(sha256.as_str()), "{sha256} was acknowledged"));
    assert!(pieces.len() > SHEETS, "both should come to write: {} pieces", pieces.len());
    assert!(room.run(&["check"]).done().contains("all well"));
    println!("two programs at once: {} pieces and {} photographs acknowledged", pieces.len(), photographs.len());
}

#[cfg(unix)]
#[test]
fn a_folder_that_becomes_read_only_at_any_moment_keeps_what_was_acknowledged() {
    use std::os::unix::fs::PermissionsExt;
    const SHEETS: usize = 6;
    let Some(nobody) = as_nobody("a folder that becomes read-only") else { return };
    let room = Room::with(&[SPENCER]);
    let program = room.path().join("dimity");
    std::fs::copy(env!("CARGO_BIN_EXE_dimity"), &program).expect("copied");
    let folder = room.collection();
    if !nobody.is_empty() {
        let given = Command::new("chown").args(["-R", "65534:65534"]).arg(&folder).status();
        assert!(given.expect("chown runs").success());
    }
    std::fs::set_permissions(room.path(), PermissionsExt::from_mode(0o755)).expect("permitted");
    let allow = |folders: &str, files: &str| {
        for (kind, mode) in [("f", files), ("d", folders)] {
            // What vanishes on the way, as a file beside the database does, need not be allowed anything.
            let mut find = Command::new("find");
            find.arg(&folder).args(["-type", kind, "-exec", "chmod", mode, "{}", "+"]).stderr(Stdio::null());
            find.status().expect("find runs");
        }
    };
    let command = |arguments: &[&str]| {
        let words: Vec<_> =
            nobody.iter().copied().chain([program.to_str().expect("plain")]).chain(arguments.iter().copied()).collect();
        let mut command = Command::new(words[0]);
        command.args(&words[1..]).current_dir(room.path()).env("DIMITY_IN", "collection").env("USER", "someone");
        command
    };
    let done = |arguments: &[&str]| {
        let output = command(arguments).output().expect("starts");
        let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        assert!(output.status.success(), "{arguments:?}: {out}{err}");
        out.into_owned()
    };
    let writing = |round: u32, photographs: bool| -> Vec<String> {
        let mut arguments: Vec<String> =
            if photographs { vec!["photo", "add", "2031.1", "--json"] } else { vec!["enter"] }
                .into_iter()
                .map(str::to_owned)
                .collect();
        arguments.extend((0..SHEETS).map(|n| {
            if photographs {
                let [high, low] = (round as u16).wrapping_mul(8).wrapping_add(n as u16).to_be_bytes();
                let picture = image::RgbImage::from_fn(50, 40, |x, y| image::Rgb([low, x as u8 ^ high, y as u8]));
                let path = room.path().join(format!("{round}-{n}.png"));
                picture.save(&path).expect("saved");
                path.to_str().expect("plain").to_owned()
            } else {
                room.write(&format!("{round}-{n}.toml"), SPENCER.replace("2031.1", &format!("{round}.{n}")))
            }
        }));
        arguments
    };
    let (mut acknowledged, mut refused, mut longest) = (0, 0, [Duration::ZERO; 2]);
    for round in 0..kills() {
        let photographs = round % 2 == 1;
        let kind = usize::from(photographs);
        if round % 10 < 2 {
            let undisturbed = writing(4000 + round, photographs);
            longest[kind] = span(|| _ = done(&as_words(&undisturbed)));
        }
        let arguments = writing(round, photographs);
        let mut command = command(&as_words(&arguments));
        let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("starts");
        std::thread::sleep(wait(round, longest[kind]));
        allow("555", "444");
        let output = child.wait_with_output().expect("ended");
        allow("755", "644");
        let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        assert!(matches!(output.status.code(), Some(0 | 1)), "round {round}: {out}{err}");
        let why = err.contains("ermission") || err.to_lowercase().contains("read-only");
        assert!(output.status.success() || why, "round {round}: it should say why: {out}{err}");
        assert!(!output.status.success() || out.lines().count() >= SHEETS, "round {round}: {out}{err}");
        refused += u32::from(!output.status.success());
        let shown = done(&["show", "2031.1", "--json"]);
        let list = done(&["list", "--json"]);
        for line in out.lines() {
            let there = if photographs {
                let told: serde_json::Value = serde_json::from_str(line).expect("JSON");
                shown.contains(told["sha256"].as_str().expect("a hash"))
            } else {
                let number = line.split(": ").nth(1).expect("the line names the piece");
                list.contains(&format!("\"{number}\""))
            };
            assert!(there, "round {round}: acknowledged, then lost: {line}");
            acknowledged += 1;
        }
    }
    let said = command(&["check"]).output().expect("starts");
    let findings = String::from_utf8_lossy(&said.stdout).into_owned();
    for line in findings.lines().filter(|line| !line.starts_with("    mend")) {
        let expected = ["no record names it", "left behind by an interruption", "views made again", "all well"];
        assert!(expected.iter().any(|words| line.contains(words)), "after the rounds: {line}");
    }
    println!("{} rounds of a folder become read-only: {acknowledged} acknowledged, {refused} refused", kills());
    assert!(acknowledged > 0, "some should come in");
}
