//! `dimity backup` and `dimity restore`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::support::{AGAIN, PLAIN, Room, SPENCER, second};

/// A room with two pieces, a photograph and a sealed report.
pub fn kept() -> Room {
    let room = Room::with(&[SPENCER, PLAIN]);
    room.run(&["photo", "add", "2031.1", &room.photograph("one.png", 1)]).done();
    room.run(&["report", "condition", "2031.1", "--seal", "--by", "Wren Askerdale"]).done();
    room
}

/// The files below a folder, by their path in it.
pub fn files(folder: &Path) -> Vec<PathBuf> {
    let (mut found, mut folders) = (Vec::new(), vec![folder.to_path_buf()]);
    while let Some(next) = folders.pop() {
        for entry in std::fs::read_dir(next).expect("reads").map(|e| e.expect("an entry").path()) {
            if entry.is_dir() { folders.push(entry) } else { found.push(entry) }
        }
    }
    found.sort();
    found
}

fn the_photograph(folder: &Path) -> PathBuf {
    files(&folder.join("photographs")).pop().expect("a photograph")
}

/// Turns one bit in the middle of a file.
pub fn flip(path: &Path) {
    let mut bytes = std::fs::read(path).expect("reads");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 4;
    std::fs::write(path, bytes).expect("written");
}

/// What `sha256sum -c` says of the backup, where the machine has that tool.
pub fn sums(folder: &Path) -> Option<bool> {
    let output =
        Command::new("sha256sum").args(["--check", "--strict", "--quiet", "SHA256SUMS"]).current_dir(folder).output();
    output.ok().map(|output| output.status.success())
}

#[test]
fn a_backup_is_the_whole_catalogue_and_says_how_to_prove_it() {
    let room = kept();
    room.run(&["export", "csv"]).done();
    let said = room.run(&["backup", "safe"]).done();
    assert!(said.contains("2 pieces") && said.contains("proved: files, database, and the journal"), "{said}");
    let safe = room.path().join("safe");
    assert!(
        room.collection().join("exports/csv").is_dir() && !safe.join("exports").exists(),
        "exports can be made again"
    );
    if let Some(sound) = sums(&safe) {
        assert!(sound, "`sha256sum -c SHA256SUMS` should find every file as listed");
    }
    let page = std::fs::read_to_string(safe.join("BACKUP.txt")).expect("the page is there");
    assert!(page.contains("sha256sum -c SHA256SUMS") && page.contains("Pieces: 2"), "{page}");
    let listed = std::fs::read_to_string(safe.join("SHA256SUMS")).expect("the list is there").lines().count();
    let there: Vec<_> = files(&safe).into_iter().filter(|f| !f.ends_with(".incoming-lock")).collect();
    assert_eq!(there.len(), listed + 1, "every file but the list itself is listed: {there:#?}");
    assert!(!safe.join("catalogue.sqlite-wal").exists(), "the database of a backup is one file");
    // It opens like any other catalogue; that makes it younger than its list, so a copy is looked at.
    room.run(&["restore", "safe", "again"]).done();
    for arguments in [&["show", "2031.1", "--json"][..], &["journal", "--json"], &["list", "--json"]] {
        let of = |folder: &str| room.run(&[&["--in", folder], arguments].concat()).done();
        assert_eq!(of("again"), of("collection"), "{arguments:?}");
    }
    assert_eq!(
        std::fs::read(the_photograph(&room.path().join("again"))).expect("reads"),
        std::fs::read(room.path().join("one.png")).expect("reads"),
    );
    assert!(room.run(&["--in", "again", "check"]).done().contains("all well"));
    assert!(room.run(&["--in", "again", "seals"]).done().contains("2031.1"));
}

#[test]
fn a_second_backup_copies_only_what_is_new() {
    let room = kept();
    let first = room.run(&["backup", "safe", "--json"]).json().remove(0);
    assert_eq!((first["files"].as_u64(), first["copied"].as_u64()), (Some(5), Some(5)), "{first}");
    let nothing = room.run(&["backup", "safe", "--json"]).json().remove(0);
    assert_eq!((nothing["copied"].as_u64(), nothing["bytes"].as_u64()), (Some(2), Some(0)), "database and page alone");
    assert_eq!(nothing["read_back"].as_u64(), Some(5), "all of it is read back nevertheless");
    room.run(&["photo", "add", "2031.1", &room.photograph("two.png", 2)]).done();
    room.run(&["enter", &room.write("again.toml", AGAIN)]).done();
    let quick = room.run(&["backup", "safe", "--quick", "--json"]).json().remove(0);
    assert_eq!(
        (quick["files"].as_u64(), quick["copied"].as_u64(), quick["read_back"].as_u64()),
        (Some(6), Some(3), Some(4)),
        "{quick}"
    );
    assert_ne!(sums(&room.path().join("safe")), Some(false));
    room.run(&["restore", "safe", "again"]).done();
    let shown = room.run(&["--in", "again", "show", "2031.1", "--json"]).json().remove(0);
    assert_eq!(shown["examinations"].as_array().map(Vec::len), Some(2));
}

#[test]
fn a_backup_made_while_another_program_writes_is_of_one_moment() {
    let room = kept();
    let stop = AtomicBool::new(false);
    std::thread::scope(|threads| {
        threads.spawn(|| {
            let mut n = 0;
            while !stop.load(Ordering::Relaxed) {
                n += 1;
                let sheet = room.write("busy.toml", SPENCER.replace("2031.1", &format!("busy {n}")));
                room.run(&["enter", &sheet]).done();
            }
        });
        for round in 0..4 {
            let said = room.run(&["backup", "safe"]);
            assert_eq!(said.code, Some(0), "{said:?}");
            let again = format!("again {round}");
            let restored = room.run(&["restore", "safe", &again]).done();
            assert!(restored.contains("all well"), "{restored}");
            for line in room.run(&["--in", &again, "list", "--json"]).json() {
                let number = line["number"].as_str().expect("a number").to_owned();
                let shown = room.run(&["--in", &again, "show", &number, "--json"]).json().remove(0);
                let whole = usize::from(number != "2031.2");
                assert_eq!(
                    shown["examinations"].as_array().map(Vec::len),
                    Some(whole),
                    "{number} is whole or not there"
                );
            }
        }
        stop.store(true, Ordering::Relaxed);
    });
}

/// The photographs that a catalogue names, by their SHA-256.
fn named(room: &Room, folder: &str) -> BTreeSet<String> {
    let shown = room.run(&["--in", folder, "show", "2031.1", "--json"]).json().remove(0);
    let photographs = shown["photographs"].as_array().expect("a list").clone();
    photographs.iter().map(|p| p["sha256"].as_str().expect("a hash").to_owned()).collect()
}

#[test]
fn a_backup_made_while_photographs_come_in_is_whole_and_the_next_brings_the_rest() {
    let room = kept();
    let stop = AtomicBool::new(false);
    let mut seen = BTreeSet::new();
    std::thread::scope(|threads| {
        threads.spawn(|| {
            for n in 0..500 {
                if stop.load(Ordering::Relaxed) {
                    break;
                }
                // Two at once: the second is often being taken in while the first is in the record.
                let pictures = [0, 1].map(|k| {
                    let picture =
                        image::RgbImage::from_fn(300, 200, |x, y| image::Rgb([(n % 251) as u8, (x ^ y) as u8, k]));
                    let path = room.path().join(format!("busy {n} {k}.png"));
                    picture.save(&path).expect("saved");
                    path.to_str().expect("plain").to_owned()
                });
                room.run(&["photo", "add", "2031.1", &pictures[0], &pictures[1]]).done();
            }
        });
        for round in 0..4 {
            room.run(&["backup", "safe"]).done();
            assert_ne!(sums(&room.path().join("safe")), Some(false), "round {round}");
            let again = format!("again {round}");
            let restored = room.run(&["restore", "safe", &again]);
            // One that was stored at that moment and not recorded yet may have come along, and is told of. Nothing else is.
            let told: Vec<&str> = restored.out.lines().collect();
            for pair in told.windows(2).filter(|pair| pair[1].trim_start().starts_with("mend: ")) {
                assert!(pair[0].contains("no record names it"), "round {round}: {restored:?}");
            }
            let only_those = restored.out.contains("all well") || restored.out.contains("no record names it");
            assert!(only_those, "round {round}: {restored:?}");
            let there = named(&room, &again);
            let stored = files(&room.path().join(&again).join("photographs"));
            for sha256 in &there {
                let file = stored.iter().find(|f| f.file_stem().is_some_and(|s| s.to_string_lossy() == *sha256));
                let bytes = std::fs::read(file.unwrap_or_else(|| panic!("round {round}: {sha256} is not there")));
                assert_eq!(crate::support::sha256_of(&bytes.expect("reads")), *sha256, "round {round}");
            }
            assert!(there.is_superset(&seen), "round {round}: nothing that was copied is lost by a later run");
            seen = there;
        }
        stop.store(true, Ordering::Relaxed);
    });
    let all = named(&room, "collection");
    assert!(all.len() > 2 && all.is_superset(&seen), "photographs came in meanwhile: {}", all.len());
    room.run(&["backup", "safe"]).done();
    assert!(room.run(&["restore", "safe", "the rest"]).done().contains("all well"), "all are recorded by now");
    assert_eq!(named(&room, "the rest"), all, "the next run brings what was added since");
}

#[test]
fn a_damaged_backup_is_named_and_mended_by_the_next_run() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    let safe = room.path().join("safe");
    let photograph = the_photograph(&safe);
    flip(&photograph);
    let said = room.run(&["restore", "safe", "part"]);
    assert_eq!(said.code, Some(1));
    let name = photograph.file_name().expect("a name").to_str().expect("plain");
    assert!(said.out.contains(name) && said.out.contains("has changed in the backup"), "{said:?}");
    assert_eq!(room.run(&["--in", "part", "list", "--json"]).json().len(), 2, "the rest is restored");
    let said = room.run(&["backup", "safe"]).done();
    assert!(said.contains("had changed or gone in the backup, and was copied anew"), "{said}");
    assert_ne!(sums(&safe), Some(false));
    room.run(&["restore", "safe", "whole"]).done();

    for spoil in ["catalogue.sqlite", "SHA256SUMS"] {
        let kept = std::fs::read(safe.join(spoil)).expect("reads");
        flip(&safe.join(spoil));
        let said = room.run(&["restore", "safe", "none"]);
        assert!(
            said.code == Some(1) && said.err.contains("use another backup")
                || said.out.contains("has changed in the backup"),
            "{spoil}: {said:?}"
        );
        std::fs::write(safe.join(spoil), kept).expect("written");
        let _ = std::fs::remove_dir_all(room.path().join("none"));
    }
    std::fs::remove_file(safe.join("SHA256SUMS")).expect("removed");
    assert!(room.run(&["restore", "safe", "none"]).refused().contains("is no finished backup"));
}

#[test]
fn a_photograph_that_is_spoilt_in_the_catalogue_never_replaces_the_sound_copy() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    // A flipped bit is for `check` to find; a cut file is seen by its length.
    flip(&the_photograph(&room.collection()));
    room.run(&["backup", "safe"]).done();
    assert_ne!(sums(&room.path().join("safe")), Some(false));
    std::fs::write(the_photograph(&room.collection()), "half").expect("written");
    let said = room.run(&["backup", "safe"]);
    assert_eq!(said.code, Some(1));
    assert!(
        said.out.contains("it was not copied") && said.out.contains("put the sound copy of the backup in its place"),
        "{said:?}"
    );
    room.run(&["restore", "safe", "again"]).done();
    std::fs::copy(the_photograph(&room.path().join("safe")), the_photograph(&room.collection())).expect("put back");
    room.run(&["check"]).done();
    // Lost altogether, and in no backup: that is said as well.
    std::fs::remove_file(the_photograph(&room.collection())).expect("removed");
    let said = room.run(&["backup", "other"]);
    assert!(said.code == Some(1) && said.out.contains("is missing, and the backup has no copy"), "{said:?}");
}

#[test]
fn an_unsound_database_never_replaces_the_one_in_the_backup() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    let before = std::fs::read(room.path().join("safe/catalogue.sqlite")).expect("reads");
    crate::support::Tables::open(&room.collection()).run("UPDATE reading SET value = value + 1");
    let err = room.run(&["backup", "safe"]).refused();
    assert!(err.contains("does not prove sound") && err.contains("`reading` was changed outside"), "{err}");
    assert_eq!(std::fs::read(room.path().join("safe/catalogue.sqlite")).expect("reads"), before);
    assert_ne!(sums(&room.path().join("safe")), Some(false));
}

#[test]
fn folders_that_hold_something_are_refused_and_left_alone() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    std::fs::create_dir(room.path().join("letters")).expect("made");
    room.write("letters/a.txt", "mine");
    assert!(room.run(&["backup", "letters"]).refused().contains("holds something else than a backup"));
    assert!(room.run(&["restore", "safe", "letters"]).refused().contains("is not empty"));
    assert!(room.run(&["restore", "safe", "collection"]).refused().contains("is not empty"));
    assert_eq!(files(&room.path().join("letters")).len(), 1);
    for inside in ["collection", "collection/backup", "collection/../collection/x/y"] {
        let err = room.run(&["backup", inside]).refused();
        assert!(err.contains("lies in the catalogue's own folder"), "{inside}: {err}");
    }
    assert!(!room.collection().join("backup").exists());
    // A list that leads out of the folder is not followed.
    let list = room.path().join("safe/SHA256SUMS");
    let text = std::fs::read_to_string(&list).expect("reads");
    std::fs::write(&list, text.replace("READ-ME-FIRST.txt", "../READ-ME-FIRST.txt")).expect("written");
    assert!(room.run(&["restore", "safe", "none"]).refused().contains("names no file with its SHA-256"));
}

/// What a copy that was killed leaves in the folders to which it copies.
fn half_copied(folder: &Path) {
    for shelf in ["", "photographs/00", "sealed/3a", "drafts", "drafts/lists"] {
        std::fs::create_dir_all(folder.join(shelf)).expect("made");
        std::fs::write(folder.join(shelf).join(".incoming-x"), "half").expect("written");
    }
}

/// The files below a folder that have no name yet.
pub fn unfinished(folder: &Path) -> Vec<String> {
    let mut found: Vec<_> = files(folder).iter().map(|file| file.display().to_string()).collect();
    found.retain(|file| file.contains("/.incoming-") && !file.ends_with("/.incoming-lock"));
    found
}

#[test]
fn an_interrupted_backup_leaves_nothing_behind_once_the_next_is_made() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    half_copied(&room.path().join("safe"));
    room.run(&["backup", "safe"]).done();
    assert_eq!(unfinished(&room.path().join("safe")), [""; 0]);
    assert!(room.run(&["--in", "safe", "check"]).done().contains("all well"), "a backup is a catalogue");
}

#[test]
fn an_interrupted_restore_goes_on() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    let again = room.path().join("again");
    std::fs::create_dir(&again).expect("made");
    std::fs::write(again.join("RESTORE-UNFINISHED.txt"), "x").expect("written");
    half_copied(&again);
    let said = room.run(&["restore", "safe", "again"]).done();
    assert!(said.contains("all well"), "{said}");
    assert!(!again.join("RESTORE-UNFINISHED.txt").exists());
    assert_eq!(unfinished(&again), [""; 0], "what was half copied is gone");
}

#[test]
fn a_list_that_names_the_waiting_database_is_followed() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    // As a kill between the last two steps of a backup leaves it.
    let safe = room.path().join("safe");
    std::fs::rename(safe.join("catalogue.sqlite"), safe.join("catalogue.sqlite.incoming")).expect("renamed");
    std::fs::write(safe.join("catalogue.sqlite"), "the one of before").expect("written");
    room.run(&["restore", "safe", "again"]).done();
    room.run(&["enter", &room.write("s.toml", second("9"))]).done();
    room.run(&["backup", "safe"]).done();
    assert_ne!(sums(&safe), Some(false));
}
