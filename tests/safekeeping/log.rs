//! What was written last lies in SQLite's log alone for a while: work that is lost with the log is told, a log that was only
//! cut short by a kill is not, and a log of before never spoils a database that is restored.

use std::path::{Path, PathBuf};

use rusqlite::Connection;

use super::backup::kept;
use super::bits::{bytes_of, put_back};
use super::upgrades;
use crate::support::{PLAIN, Room, SPENCER, sha256_of};

/// A room whose `collection` is as a kill leaves it: the last entries were acknowledged and are in the log alone.
pub fn with_a_log() -> Room {
    let room = kept();
    let folder = room.collection();
    // While somebody reads a moment of before, nothing is carried over from the log into the database.
    let reader = Connection::open(folder.join("catalogue.sqlite")).expect("opens");
    reader.execute_batch("BEGIN; SELECT count(*) FROM piece").expect("held");
    for number in ["7.1", "7.2", "7.3"] {
        room.run(&["enter", &room.write("s.toml", SPENCER.replace("2031.1", number))]).done();
    }
    let kept: Vec<(PathBuf, Vec<u8>)> = ["", "-wal", "-last"]
        .map(|ending| folder.join(format!("catalogue.sqlite{ending}")))
        .map(|file| (file.clone(), std::fs::read(file).expect("reads")))
        .into();
    drop(reader);
    let _ = std::fs::remove_file(folder.join("catalogue.sqlite-shm"));
    for (file, bytes) in kept {
        std::fs::write(file, bytes).expect("written");
    }
    room
}

fn log(room: &Room) -> PathBuf {
    room.collection().join("catalogue.sqlite-wal")
}

/// The size of a frame of this log: a page and 24 bytes before it.
fn frame(log: &[u8]) -> usize {
    u32::from_be_bytes(log[8..12].try_into().expect("four bytes")) as usize + 24
}

/// Where the frames begin that end a piece of work: those that say how large the database is then.
fn ends(log: &[u8]) -> Vec<usize> {
    let frames = (32..log.len()).step_by(frame(log));
    frames.filter(|at| log[at + 4..at + 8] != [0; 4]).collect()
}

/// What is done to the log, whose place and bytes are given.
type Spoil<'s> = &'s dyn Fn(&Path, Vec<u8>);

#[test]
fn acknowledged_work_that_is_lost_with_the_log_is_told() {
    let turned = |at: usize| {
        move |log: &Path, mut bytes: Vec<u8>| {
            bytes[at] ^= 1;
            std::fs::write(log, bytes).expect("written");
        }
    };
    let last_end = |bytes: &[u8]| *ends(bytes).last().expect("work was ended");
    let cases: [(&str, Spoil<'_>); 6] = [
        ("a bit of the log's head", &turned(9)),
        ("a bit of the salt in its head", &turned(17)),
        ("a bit of the first page", &turned(32 + 24 + 100)),
        ("a bit of the last page", &|log, bytes| turned(last_end(&bytes) + 24 + 100)(log, bytes)),
        ("the log is gone", &|log, _| std::fs::remove_file(log).expect("removed")),
        ("the log is cut", &|log, bytes| std::fs::write(log, &bytes[..last_end(&bytes)]).expect("written")),
    ];
    let room = with_a_log();
    let sound = bytes_of(&room.collection());
    for (what, spoil) in cases {
        put_back(&room.collection(), &sound);
        let _ = std::fs::remove_dir_all(room.path().join("safe"));
        spoil(&log(&room), std::fs::read(log(&room)).expect("reads"));
        // Whatever is done first: the loss is told until somebody has seen to it.
        room.run(&["list"]).done();
        room.run(&["enter", &room.write("s.toml", PLAIN.replace("2031.2", "8.1"))]).done();
        let out = room.run(&["check"]).said_wrong();
        assert!(
            out.contains("was acknowledged, as `catalogue.sqlite-last` says") && out.contains("enter again"),
            "{what}: {out}"
        );
        let err = room.run(&["backup", "safe"]).refused();
        assert!(err.contains("was acknowledged"), "{what}: what lost something never replaces a backup: {err}");
        std::fs::remove_file(room.collection().join("catalogue.sqlite-last")).expect("removed");
        assert!(room.run(&["check"]).done().contains("all well"), "{what}");
        room.run(&["enter", &room.write("s.toml", PLAIN.replace("2031.2", "8.2"))]).done();
        assert!(room.run(&["backup", "safe"]).done().contains("proved"), "{what}");
    }
}

#[test]
fn a_log_that_a_kill_cut_short_is_no_finding() {
    let cut: [(&str, &dyn Fn(&[u8]) -> Vec<u8>); 4] = [
        ("as it was", &|bytes| bytes.to_vec()),
        ("half a frame", &|bytes| [bytes, &bytes[32..32 + frame(bytes) / 2]].concat()),
        ("frames without an end", &|bytes| [bytes, &bytes[32..32 + 2 * frame(bytes)]].concat()),
        ("an end that does not verify", &|bytes| {
            let end = *ends(bytes).last().expect("work was ended");
            [bytes, &bytes[end..end + frame(bytes)]].concat()
        }),
    ];
    let room = with_a_log();
    let sound = bytes_of(&room.collection());
    let bytes = std::fs::read(log(&room)).expect("reads");
    for (what, cut) in cut {
        put_back(&room.collection(), &sound);
        assert!(ends(&bytes).len() >= 3, "three entries are in the log alone");
        std::fs::write(log(&room), cut(&bytes)).expect("written");
        assert!(room.run(&["check"]).done().contains("all well"), "{what}");
        assert_eq!(room.run(&["list", "--json"]).json().len(), 5, "{what}: all that was acknowledged is there");
        assert!(room.run(&["backup", "safe"]).done().contains("proved"), "{what}");
    }
}

#[test]
fn a_database_of_before_that_was_put_back_by_hand_is_told() {
    let room = kept();
    let database = room.collection().join("catalogue.sqlite");
    let before = std::fs::read(&database).expect("reads");
    room.run(&["enter", &room.write("s.toml", SPENCER.replace("2031.1", "7.1"))]).done();
    assert!(room.run(&["check"]).done().contains("all well"));
    std::fs::write(&database, before).expect("written");
    let out = room.run(&["check"]).said_wrong();
    assert!(out.contains("an older database was put in the place of this one"), "{out}");
}

/// A backup of a catalogue of an earlier schema, as an older program made it.
pub fn older_backup(room: &Room, schema: u32) {
    let safe = room.path().join("safe");
    let _ = std::fs::remove_dir_all(&safe);
    std::fs::create_dir(&safe).expect("made");
    upgrades::place(schema, &safe);
    let sum = sha256_of(&std::fs::read(safe.join("catalogue.sqlite")).expect("reads"));
    std::fs::write(safe.join("SHA256SUMS"), format!("{sum}  catalogue.sqlite\n")).expect("written");
}

#[test]
fn a_log_that_an_interrupted_restore_left_never_spoils_what_is_restored() {
    let room = Room::bare();
    older_backup(&room, 5);
    room.run(&["restore", "safe", "again"]).done();
    // As a kill during the final check leaves it: what opening the catalogue wrote is in the log alone.
    let again = room.path().join("again");
    let reader = Connection::open(again.join("catalogue.sqlite")).expect("opens");
    reader.execute_batch("BEGIN; SELECT count(*) FROM piece").expect("held");
    for number in ["7.1", "7.2"] {
        let sheet = room.write("s.toml", SPENCER.replace("2031.1", number));
        room.run(&["--in", "again", "enter", &sheet]).done();
    }
    let log = std::fs::read(again.join("catalogue.sqlite-wal")).expect("reads");
    assert!(ends(&log).len() >= 2, "the log holds work");
    drop(reader);
    for beside in ["-wal", "-shm", "-journal", "-last"] {
        std::fs::write(again.join(format!("catalogue.sqlite{beside}")), &log).expect("written");
    }
    std::fs::write(again.join("RESTORE-UNFINISHED.txt"), "x").expect("written");
    let said = room.run(&["restore", "safe", "again"]).done();
    assert!(said.contains("all well"), "{said}");
    assert_eq!(room.run(&["--in", "again", "list", "--json"]).json().len(), 1, "it is the catalogue of the backup");
    assert!(room.run(&["--in", "again", "check"]).done().contains("all well"));
}

#[test]
fn a_log_that_lies_in_a_backup_never_spoils_the_next() {
    let room = with_a_log();
    let left = std::fs::read(log(&room)).expect("reads");
    room.run(&["backup", "safe"]).done();
    // As somebody leaves it who looked into the backup with a program that was killed.
    std::fs::write(room.path().join("safe/catalogue.sqlite-wal"), left).expect("written");
    room.run(&["enter", &room.write("s.toml", PLAIN.replace("2031.2", "8.1"))]).done();
    room.run(&["backup", "safe"]).done();
    assert_eq!(room.run(&["--in", "safe", "list", "--json"]).json().len(), 6);
    assert!(room.run(&["--in", "safe", "check"]).done().contains("all well"));
}
