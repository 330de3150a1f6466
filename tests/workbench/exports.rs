//! Exports in the browser: each format is the command line's, byte for byte, carried away as one file; what was left out and
//! whose rights to ask after stand there before; and nothing else in the folder is reached.

use std::collections::BTreeMap;
use std::io::{Cursor, Read as _};
use std::path::Path;
use std::process::Command;

use dimity::export::FORMATS;

use crate::bench::Bench;
use crate::safekeeping::{every_file, photographed, with_photograph};
use crate::support::pictures::{plain, with_position};
use crate::support::{AGAIN, PLAIN, SPENCER};
use crate::works::ended;

/// Runs the real program on a catalogue.
pub fn command_line(folder: &Path, arguments: &[&str]) -> String {
    let done = Command::new(env!("CARGO_BIN_EXE_dimity")).arg("--in").arg(folder).args(arguments).output();
    let done = done.expect("the program starts");
    assert!(done.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8_lossy(&done.stdout).into_owned()
}

/// What a ZIP file holds, by name, and its names in their order.
fn unpacked(bytes: &[u8]) -> (BTreeMap<String, Vec<u8>>, Vec<String>) {
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).expect("a ZIP file");
    let (mut files, mut names) = (BTreeMap::new(), Vec::new());
    for at in 0..zip.len() {
        let mut file = zip.by_index(at).expect("a file");
        let mut content = Vec::new();
        file.read_to_end(&mut content).expect("it unpacks, and its sum is right");
        let name = file.name().expect("a plain name").into_owned();
        names.push(name.clone());
        files.insert(name, content);
    }
    (files, names)
}

/// What lies in a folder, named as in a ZIP file of this format.
fn lying(folder: &Path, format: &str) -> BTreeMap<String, Vec<u8>> {
    every_file(folder).into_iter().map(|(name, bytes)| (format!("{format}/{name}"), bytes)).collect()
}

/// What is typed and ticked, and what the command line is given for the same.
type Case = (&'static str, &'static [(&'static str, &'static str)], &'static [&'static str]);

const CASES: [Case; 12] = [
    ("json", &[], &[]),
    ("json", &[("alone", "on"), ("with_gps", "on")], &["--alone", "--with-gps"]),
    ("csv", &[("every", "on")], &[]),
    ("csv", &[("numbers", "2031.1\n"), ("for_spreadsheets", "on")], &["2031.1", "--for-spreadsheets"]),
    ("parquet", &[("every", "on"), ("collection", "Study")], &["--collection", "Study"]),
    ("bag", &[("of", "fibre:silk"), ("with_gps", "on")], &["--of", "fibre:silk", "--with-gps"]),
    ("site", &[("every", "on"), ("with", "people"), ("with", "notes")], &["--all", "--with", "people,notes"]),
    (
        "site",
        &[("numbers", "2031.1"), ("base", "https://example.org/c/")],
        &["2031.1", "--manifests", "https://example.org/c"],
    ),
    (
        "iiif",
        &[("every", "on"), ("base", "https://example.org/c"), ("longest", "64")],
        &["--base", "https://example.org/c", "--longest", "64"],
    ),
    ("lido", &[("every", "on"), ("with", "provenance")], &["--with", "provenance"]),
    ("linked-art", &[("every", "on"), ("base", "https://example.org/c")], &["--base", "https://example.org/c"]),
    ("dublin-core", &[("of", "fibre:silk")], &["--of", "fibre:silk"]),
];

#[test]
fn each_format_is_that_of_the_command_line_byte_for_byte_in_one_file() {
    let (mut bench, _) = with_photograph();
    bench.desk.entered(PLAIN);
    photographed(&mut bench.desk, "placed.jpg", &with_position(&plain(40)));
    let room = tempfile::tempdir().expect("a folder");
    for (at, (format, fields, arguments)) in CASES.into_iter().enumerate() {
        bench.get(&format!("/safekeeping/export/{format}")).is(200);
        let told = ended(&bench, bench.form(&format!("/safekeeping/export/{format}"), fields));
        assert!(told.contains("data-how=\"well\""), "{format} {fields:?}: {told}");
        let to = room.path().join(format!("{at}"));
        command_line(
            bench.desk.folder(),
            &[&["export", format, "--out", to.to_str().expect("plain")], arguments].concat(),
        );
        let page = bench.get(&format!("/safekeeping/exports/{format}")).is(200).text();
        assert!(
            page.contains("class=\"keep-page\">") && !page.contains("Written by `dimity"),
            "what it is, for who never used a command line: {page}"
        );
        let zip = bench.get(&format!("/safekeeping/exports/{format}/zip")).is(200);
        assert_eq!(zip.header("content-type"), "application/zip");
        assert!(zip.header("content-disposition").starts_with(&format!("attachment; filename=\"{format}-")));
        let (files, names) = unpacked(&zip.body);
        let made = lying(&to, format);
        assert_eq!(files.keys().collect::<Vec<_>>(), made.keys().collect::<Vec<_>>(), "{format} {fields:?}");
        assert!(made.len() > 1 && files == made, "{format} {fields:?}");
        let mut sorted = names.clone();
        sorted.sort();
        assert_eq!(names, sorted, "the names stand in their order");
        let again = bench.get(&format!("/safekeeping/exports/{format}/zip")).is(200);
        assert_eq!(again.body, zip.body, "{format}: the same export gives the same bytes");
    }
    let first = bench.get("/safekeeping").text();
    assert!(first.contains("9 exports lie ready"), "{first}");
    let list = bench.get("/safekeeping/export").is(200).text();
    for format in FORMATS {
        assert!(list.contains(&format!("/safekeeping/exports/{format}\"")), "{format} lies ready: {list}");
    }
    bench.desk.is_sound();
}

#[test]
fn what_is_left_out_and_whose_rights_stand_before_the_download() {
    let mut bench = Bench::by_link(&[SPENCER, AGAIN]);
    let told = ended(&bench, bench.form("/safekeeping/export/site", &[("every", "on")]));
    let said = command_line(bench.desk.folder(), &["export", "site", "--all"]);
    let line = said.lines().find_map(|line| line.strip_prefix("left out: ")).expect("it says what was left out");
    let (kinds, _) = line.split_once(" (the list").expect("and where the list is");
    assert!(told.contains(kinds), "{kinds}: {told}");
    let care = said.lines().find(|line| line.starts_with("before you publish")).expect("and whose rights to ask after");
    assert!(told.contains(&care["before you publish".len()..]), "{care}: {told}");
    let page = bench.get("/safekeeping/exports/site").is(200).text();
    let (before, after) = page.split_once("/safekeeping/exports/site/zip").expect("the download");
    assert!(before.contains(care) && before.contains(kinds), "{kinds}; {care}: {page}");
    let capital = care.replacen("before", "Before", 1);
    assert!(before.contains(&capital), "whose rights stands for itself as well");
    assert!(!after.contains("left out"), "it all stands before");
    photographed(&mut bench.desk, "placed.jpg", &with_position(&plain(40)));
    let told = ended(&bench, bench.form("/safekeeping/export/json", &[]));
    for said in ["GPS positions of 1 photograph", "1 original that holds a GPS position"] {
        assert!(told.contains(said) && !told.contains("--with"), "`{said}` should stand in {told}");
    }
    assert!(!ended(&bench, bench.form("/safekeeping/export/json", &[("with_gps", "on")])).contains("GPS"));
    let told = ended(&bench, bench.form("/safekeeping/export/csv", &[("numbers", "2031.1")]));
    assert!(told.contains("The journal, and what belongs to no chosen piece"), "{told}");
}

#[test]
fn what_cannot_be_made_is_told_beside_its_field_and_what_was_typed_stays() {
    let mut bench = Bench::by_link(&[SPENCER, PLAIN]);
    bench.desk.catalogue.withdraw("test", "2031.2", "given back").expect("withdrawn");
    let cases: &[(&str, &[(&str, &str)], &str, &str)] = &[
        ("csv", &[], "every", "Say which pieces"),
        ("site", &[], "every", "Say which pieces"),
        ("csv", &[("numbers", "2031.9")], "numbers", "There is no piece `2031.9`"),
        ("bag", &[("of", "fibre:slik")], "of", "did you mean `silk`"),
        ("bag", &[("of", "fibre:wool")], "of", "This finds no piece."),
        ("lido", &[("numbers", "2031.2")], "numbers", "`2031.2` is withdrawn"),
        ("parquet", &[("every", "on")], "collection", "This collection has no name yet"),
        ("iiif", &[("every", "on")], "base", "Say at which address"),
        ("iiif", &[("every", "on"), ("base", "ftp://x")], "base", "Write an address such as"),
        ("iiif", &[("every", "on"), ("base", "https://example.org"), ("longest", "12")], "longest", "from 64 to 60000"),
    ];
    for (format, fields, field, why) in cases {
        let page = bench.form(&format!("/safekeeping/export/{format}"), fields).is(422).text();
        let place = if *field == "every" { "name=\"every\"".to_owned() } else { format!("id=\"{field}-amiss\">") };
        let (_, beside) = page.split_once(&place).expect("a place for it");
        let (beside, _) = beside.split_at(beside.len().min(700));
        assert!(beside.contains(why), "{format} {fields:?}: beside the field stands {beside}");
        for (name, typed) in fields.iter().filter(|(name, _)| *name != "every") {
            let kept = page.replace("&#x2F;", "/");
            assert!(
                kept.contains(&format!("value=\"{typed}\"")) || kept.contains(&format!(">{typed}</textarea>")),
                "{name}"
            );
        }
    }
    assert!(!bench.desk.folder().join("exports").exists(), "nothing was written");
}

#[test]
fn nothing_but_a_finished_export_of_that_name_is_shown_or_carried_away() {
    let bench = Bench::by_link(&[SPENCER]);
    ended(&bench, bench.form("/safekeeping/export/csv", &[("every", "on")]));
    let exports = bench.desk.folder().join("exports");
    let secret = "Quillfeather";
    // A folder of somebody's own, one that stopped half way, another format's under this name, a link to elsewhere.
    std::fs::create_dir_all(exports.join("lido")).expect("made");
    std::fs::write(exports.join("lido/notes.txt"), secret).expect("written");
    std::fs::write(exports.join("lido/EXPORT.txt"), secret).expect("written");
    std::fs::create_dir_all(exports.join(".bag.unfinished")).expect("made");
    std::fs::write(exports.join(".bag.unfinished/EXPORT.txt"), "Written by `dimity export bag`.\n").expect("written");
    std::fs::create_dir_all(exports.join("site")).expect("made");
    std::fs::copy(exports.join("csv/EXPORT.txt"), exports.join("site/EXPORT.txt")).expect("copied");
    std::fs::create_dir_all(exports.join("mine")).expect("made");
    std::fs::write(exports.join("mine/EXPORT.txt"), "Written by `dimity export mine`.\n").expect("written");
    #[cfg(unix)]
    {
        let elsewhere = tempfile::tempdir().expect("a folder").keep();
        std::fs::write(elsewhere.join("EXPORT.txt"), "Written by `dimity export iiif`.\n").expect("written");
        std::os::unix::fs::symlink(&elsewhere, exports.join("iiif")).expect("linked");
        std::fs::write(elsewhere.join("secret.txt"), secret).expect("written");
        std::os::unix::fs::symlink(elsewhere.join("secret.txt"), exports.join("csv/secret.txt")).expect("linked");
        std::os::unix::fs::symlink(&elsewhere, exports.join("csv/secrets")).expect("linked");
    }
    let others = [
        "lido",
        "bag",
        "site",
        "iiif",
        "mine",
        ".bag.unfinished",
        "json",
        "CSV",
        "csv%2F..%2Fmine",
        "..",
        "%2E%2E",
        "..%2F..",
        "csv%00",
        "%2Fetc",
    ];
    for name in others {
        for path in [format!("/safekeeping/exports/{name}"), format!("/safekeeping/exports/{name}/zip")] {
            let answer = bench.get(&path).is(404);
            assert!(!answer.text().contains(secret), "{path}");
        }
    }
    let list = bench.get("/safekeeping/export").text();
    assert_eq!(list.matches("/safekeeping/exports/").count(), 1, "the finished one alone is offered: {list}");
    let (files, _) = unpacked(&bench.get("/safekeeping/exports/csv/zip").is(200).body);
    assert!(
        files.contains_key("csv/EXPORT.txt") && !files.keys().any(|name| name.contains("secret")),
        "{:?}",
        files.keys()
    );
    for name in ["nothing", "..", "csv%2F..", "JSON"] {
        bench.get(&format!("/safekeeping/export/{name}")).is(404);
        bench.form(&format!("/safekeeping/export/{name}"), &[("every", "on")]).is(404);
    }
    // A folder that is no export is not written over either.
    let told = ended(&bench, bench.form("/safekeeping/export/lido", &[("every", "on")]));
    assert!(told.contains("data-how=\"failed\"") && told.contains("is no export of this program"), "{told}");
}

#[test]
fn the_schema_of_the_document_is_that_of_the_command_line() {
    let bench = Bench::by_link(&[SPENCER]);
    let schema = bench.get("/safekeeping/export/json/schema").is(200).text();
    assert_eq!(schema, command_line(bench.desk.folder(), &["export", "json", "--schema"]));
}
