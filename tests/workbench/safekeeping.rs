//! The catalogue as a whole in the browser: checked, backed up, restored; and by whom.

use std::collections::BTreeMap;
use std::path::Path;

use dimity::catalogue::{Catalogue, NewPhotograph};
use dimity::photograph::Store;
use dimity::record::account::{Account, Role};
use dimity::workbench::Entrance;

use crate::bench::Bench;
use crate::support::pictures::plain;
use crate::support::{AGAIN, AUTHOR, Desk, PLAIN, SPENCER, clock};
use crate::works::ended;

/// Every file below a folder, by its name from there.
pub fn every_file(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for entry in std::fs::read_dir(at).expect("a folder").map(|entry| entry.expect("an entry").path()) {
            if entry.is_dir() {
                folders.push(entry);
            } else {
                let name = entry.strip_prefix(folder).expect("inside").to_string_lossy().into_owned();
                found.insert(name, std::fs::read(&entry).expect("a file"));
            }
        }
    }
    found
}

/// The same but for those that a running catalogue keeps beside its database.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = every_file(folder);
    files.retain(|name, _| !name.ends_with("-shm") && !name.ends_with("-wal") && !name.starts_with('.'));
    files
}

/// A photograph of the first piece; its SHA-256.
pub fn photographed(desk: &mut Desk, name: &str, bytes: &[u8]) -> String {
    let room = tempfile::tempdir().expect("a folder");
    let file = room.path().join(name);
    std::fs::write(&file, bytes).expect("written");
    let taken = Store::at(desk.folder()).ingest(&file).expect("taken in");
    let sha256 = taken.sha256.clone();
    let new = NewPhotograph { number: "2031.1".into(), ..NewPhotograph::default() };
    desk.catalogue.add_photograph(AUTHOR, &taken, &new).expect("added");
    sha256
}

/// Where an original lies, below the catalogue's folder.
pub fn original(folder: &Path, sha256: &str) -> std::path::PathBuf {
    folder.join("photographs").join(&sha256[..2]).join(format!("{sha256}.jpg"))
}

fn link(key: dimity::workbench::Secret) -> Entrance {
    Entrance::Link { key, by: Some(AUTHOR.into()) }
}

/// A workbench with one piece and its photograph, and a browser that came by the link.
pub fn with_photograph() -> (Bench, String) {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let sha256 = photographed(&mut desk, "front.jpg", &plain(90));
    (entered(Bench::of(desk, link, None)), sha256)
}

/// The browser comes in by the link.
fn entered(mut bench: Bench) -> Bench {
    let link = bench.link();
    let answer = bench.get(&link).is(303);
    bench.takes_cookie(&answer);
    bench
}

/// A workbench with accounts, at which somebody with this role has signed in.
pub fn signed_in(role: Role, backup: Option<std::path::PathBuf>) -> Bench {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let account = Account { name: "Piers Holloway".into(), role };
    desk.catalogue.add_account("test", &account, "a long enough password").expect("an account");
    let mut bench = Bench::of(desk, |_| Entrance::Accounts, backup);
    bench.sign_in("Piers Holloway", "a long enough password").is(303);
    bench
}

#[test]
fn the_check_reads_everything_and_a_flipped_bit_is_named_with_its_mend() {
    let (bench, sha256) = with_photograph();
    bench.get("/safekeeping/check").is(200);
    let well = ended(&bench, bench.form("/safekeeping/check", &[]));
    assert!(well.contains("All well: database, journal and 1 photograph."), "{well}");
    let place = original(bench.desk.folder(), &sha256);
    let sound = std::fs::read(&place).expect("the original");
    let mut spoilt = sound.clone();
    spoilt[sound.len() / 2] ^= 1;
    std::fs::write(&place, spoilt).expect("written");
    let found = ended(&bench, bench.form("/safekeeping/check", &[("views", "on")]));
    for said in [
        "data-how=\"found\"",
        "1 finding",
        &sha256,
        "has changed",
        "Put the original back from a backup.",
        "Looked at: database, journal and 1 photograph.",
    ] {
        assert!(found.contains(said), "`{said}` should stand in {found}");
    }
    // A share of nothing that was added since a day to come: the photograph is not read, and this is said.
    let part = ended(&bench, bench.form("/safekeeping/check", &[("share", "100 %"), ("since", "2031-05-02")]));
    assert!(part.contains("All well: database, journal and 0 photographs of 1."), "{part}");
    std::fs::write(&place, sound).expect("put back");
    let whole = ended(&bench, bench.form("/safekeeping/check", &[("views", "on"), ("index", "on")]));
    assert!(whole.contains("data-how=\"well\""), "{whole}");
    let page = bench.get("/safekeeping").is(200).text();
    assert_eq!(page.matches("Check of the catalogue</a>").count(), 4, "what was done lately is listed: {page}");
}

#[test]
fn what_cannot_be_read_of_the_check_stands_beside_its_field() {
    let bench = Bench::by_link(&[SPENCER]);
    for (field, typed, why) in [
        ("share", "half", "A share is written as a percentage, such as 5%."),
        ("share", "0%", "A share is written as a percentage, such as 5%."),
        ("since", "May", "Write the day as 2024-03-12."),
        ("share", "<b>", "A share is written as a percentage, such as 5%."),
    ] {
        let page = bench.form("/safekeeping/check", &[(field, typed)]).is(422).text();
        let (_, beside) = page.split_once(&format!("id=\"{field}-amiss\">")).expect("a place for it");
        assert!(beside.starts_with(why), "{field} {typed}: {beside}");
        assert!(page.contains("<details open>") && !page.contains("value=\"<b>\""), "{page}");
        assert!(page.contains(&format!("value=\"{}\"", typed.replace('<', "&lt;").replace('>', "&gt;"))), "{page}");
    }
    assert!(!bench.get("/safekeeping").text().contains("Done lately"), "nothing was begun");
}

#[test]
fn a_backup_is_made_into_the_folder_that_was_named_and_a_catalogue_made_from_it() {
    let (bench, sha256) = with_photograph();
    let room = tempfile::tempdir().expect("a folder");
    let path = |name: &str| room.path().join(name).to_str().expect("a plain name").to_owned();
    let (copy, again) = (path("copy"), path("again"));
    let told = ended(&bench, bench.form("/safekeeping/backup", &[("folder", &copy)]));
    for said in ["data-how=\"well\"", "1 piece in", "Proved: files, database", "One copy is no copy"] {
        assert!(told.contains(said), "`{said}` should stand in {told}");
    }
    // The same as the command line makes: every file but the page, which says when.
    let beside = path("beside");
    crate::exports::command_line(bench.desk.folder(), &["backup", &beside]);
    let (mut ours, mut theirs) = (files(Path::new(&copy)), files(Path::new(&beside)));
    for name in ["BACKUP.txt", "SHA256SUMS"] {
        assert!(ours.remove(name).is_some() && theirs.remove(name).is_some(), "{name}");
    }
    let names = |files: &BTreeMap<String, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&ours), names(&theirs));
    let others: Vec<_> = ours.iter().filter(|(name, bytes)| theirs[*name] != **bytes).map(|(name, _)| name).collect();
    assert!(ours.len() >= 3 && others.is_empty(), "{others:?} are others");
    let told = ended(&bench, bench.form("/safekeeping/backup", &[("folder", &copy), ("quick", "on")]));
    assert!(told.contains("2 copied now"), "only database and page are new: {told}");
    let told = ended(&bench, bench.form("/safekeeping/restore", &[("backup", &copy), ("folder", &again)]));
    for said in ["data-how=\"well\"", "1 piece and", "All well: every file is as it was backed up", "dimity serve"] {
        assert!(told.contains(said), "`{said}` should stand in {told}");
    }
    let made = Catalogue::open(Path::new(&again), clock()).expect("it opens");
    assert_eq!(made.revision().expect("a revision"), bench.desk.catalogue.revision().expect("a revision"));
    let photograph = |folder: &Path| std::fs::read(original(folder, &sha256)).expect("the original");
    assert_eq!(photograph(Path::new(&again)), photograph(bench.desk.folder()));
    // A folder that holds something is left alone, and why stands on the page.
    let told = ended(&bench, bench.form("/safekeeping/restore", &[("backup", &copy), ("folder", &again)]));
    assert!(told.contains("data-how=\"failed\"") && told.contains("is not empty"), "{told}");
    let inside = bench.desk.folder().join("copy");
    let told = ended(&bench, bench.form("/safekeeping/backup", &[("folder", inside.to_str().expect("plain"))]));
    assert!(told.contains("lies in the catalogue") && !inside.exists(), "{told}");
}

#[test]
fn a_folder_is_written_whole_or_asked_for_again() {
    let bench = Bench::by_link(&[SPENCER]);
    for typed in ["", "  ", "copy", "../copy", "./copy", "~/copy"] {
        let page = bench.form("/safekeeping/backup", &[("folder", typed)]).is(422).text();
        let (_, beside) = page.split_once("id=\"folder-amiss\">").expect("a place for it");
        assert!(beside.starts_with("Write the whole path") || beside.starts_with("Name a folder."), "{beside}");
        let page = bench.form("/safekeeping/restore", &[("folder", "/tmp/x"), ("backup", typed)]).is(422).text();
        let (_, beside) = page.split_once("id=\"backup-amiss\">").expect("a place for it");
        assert!(!beside.starts_with('<') && page.contains("value=\"/tmp/x\"") | page.contains("&#x2F;tmp"), "{page}");
    }
}

#[test]
fn with_accounts_no_folder_but_the_one_that_was_named_at_the_start_is_reached() {
    let room = tempfile::tempdir().expect("a folder");
    let (given, other) = (room.path().join("given"), room.path().join("other"));
    let named = other.to_str().expect("plain");
    let bench = signed_in(Role::Keep, None);
    let page = bench.get("/safekeeping/backup").is(200).text();
    assert!(page.contains("dimity serve --backup DIR") && !page.contains("name=\"folder\""), "{page}");
    bench.form("/safekeeping/backup", &[]).is(403);
    let bench = signed_in(Role::Keep, Some(given.clone()));
    let page = bench.get("/safekeeping/backup").is(200).text();
    assert!(page.contains("given</kbd>") && !page.contains("name=\"folder\""), "{page}");
    bench.form("/safekeeping/backup", &[("folder", named)]).is(403);
    let page = bench.get("/safekeeping/restore").is(200).text();
    assert!(page.contains("dimity restore BACKUP NEW-FOLDER") && !page.contains("<form class=\"keep-form\""), "{page}");
    bench.form("/safekeeping/restore", &[("backup", given.to_str().expect("plain")), ("folder", named)]).is(403);
    bench.form("/safekeeping/restore", &[]).is(403);
    assert!(!given.exists() && !other.exists(), "nothing was written");
    let told = ended(&bench, bench.form("/safekeeping/backup", &[]));
    assert!(told.contains("data-how=\"well\"") && given.join("SHA256SUMS").is_file(), "{told}");
}

#[test]
fn the_folder_named_at_the_start_stands_in_the_field_of_who_came_by_the_link() {
    let mut desk = Desk::new();
    desk.entered(PLAIN);
    let bench = entered(Bench::of(desk, link, Some("/media/disk/catalogue".into())));
    let page = bench.get("/safekeeping/backup").is(200).text().replace("&#x2F;", "/");
    assert!(page.contains("value=\"/media/disk/catalogue\""), "{page}");
}

#[test]
fn hostile_text_stays_text() {
    let hostile = "<script>alert(1)</script>";
    let mut bench = Bench::by_link_as(&[SPENCER, AGAIN], None);
    bench.form("/name", &[("name", hostile)]).is(303);
    bench
        .desk
        .catalogue
        .keep_search(
            AUTHOR,
            "kept",
            &dimity::catalogue::KeptSearch { name: hostile.replace('"', ""), query: "fibre:silk".into(), note: None },
        )
        .expect("kept");
    let told = ended(&bench, bench.form("/safekeeping/backup", &[("folder", "/proc/<script>alert(1)</script>")]));
    let pages = [
        told,
        bench.get("/safekeeping").text(),
        bench.get("/safekeeping/export/site").text(),
        bench
            .form("/safekeeping/export/site", &[("numbers", hostile), ("of", hostile), ("base", hostile)])
            .is(422)
            .text(),
        bench
            .form("/safekeeping/export/parquet", &[("every", "on"), ("of", hostile), ("collection", hostile)])
            .is(422)
            .text(),
        bench
            .form("/safekeeping/export/iiif", &[("every", "on"), ("longest", hostile), ("with", hostile)])
            .is(422)
            .text(),
    ];
    for page in pages {
        assert!(!page.contains("<script>alert"), "{page}");
    }
}
