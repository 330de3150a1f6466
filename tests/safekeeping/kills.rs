//! kill -9 at random moments of a backup, of a restore and of an upgrade; those of entry and ingest are in `faults`.

use std::time::{Duration, Instant};

use dimity::catalogue::{Catalogue, SCHEMA_VERSION};

use super::backup::{kept, unfinished};
use super::log::older_backup;
use super::upgrades;
use crate::support::killing::{killed, kills, span, wait};
use crate::support::{Room, SPENCER, clock};

#[test]
fn a_kill_during_a_backup_leaves_the_one_of_before_and_the_next_run_finishes() {
    let room = kept();
    room.run(&["backup", "safe"]).done();
    let (mut whole, mut cut_short, mut longest) = (0, 0, Duration::ZERO);
    for round in 0..kills() {
        if round % 10 == 0 {
            let start = Instant::now();
            room.run(&["backup", "timed"]).done();
            longest = start.elapsed().mul_f64(1.2);
            std::fs::remove_dir_all(room.path().join("timed")).expect("removed");
        }
        // Something new each time, so that there is something to copy.
        room.run(&["enter", &room.write("s.toml", SPENCER.replace("2031.1", &format!("r{round}")))]).done();
        let [high, low] = (round as u16).to_be_bytes();
        let picture = image::RgbImage::from_fn(60, 40, |x, y| image::Rgb([low, x as u8 ^ high, y as u8 ^ 7]));
        picture.save(room.path().join("p.png")).expect("saved");
        room.run(&["photo", "add", "2031.1", "p.png"]).done();
        let ended = killed(&room, &["backup", "safe"], wait(round, longest)).ended;
        whole += u32::from(ended);
        cut_short += u32::from(!ended);
        // Whatever the moment, what lies there is a backup that proves itself: this one or the one before.
        let restored = room.run(&["restore", "safe", "again"]).done();
        assert!(restored.contains("all well"), "round {round}: {restored}");
        let pieces = room.run(&["--in", "again", "list", "--json"]).json().len();
        let expected = if ended { 3..=3 } else { 2..=3 };
        assert!(expected.contains(&(pieces - round as usize)), "round {round}: {pieces} pieces");
        std::fs::remove_dir_all(room.path().join("again")).expect("removed");
        room.run(&["backup", "safe"]).done();
        assert_eq!(unfinished(&room.path().join("safe")), [""; 0], "round {round}: the next run cleared up");
    }
    room.run(&["check"]).done();
    println!("{} kills of a backup: {cut_short} cut short, {whole} had ended", kills());
    assert!(cut_short > 0, "the kills should fall in the middle");
}

#[test]
fn a_kill_during_a_restore_leaves_a_whole_catalogue_or_one_that_the_next_run_makes_whole() {
    let room = kept();
    for n in 0..6 {
        room.run(&["photo", "add", "2031.1", &room.photograph(&format!("{n}.png"), 10 + n)]).done();
    }
    room.run(&["backup", "new"]).done();
    let again = room.path().join("again");
    let (mut whole, mut cut_short, mut longest) = (0, 0, [Duration::ZERO; 2]);
    for round in 0..kills() {
        // By turns of this schema and of an older one, to which opening it for the final check writes much.
        let older = round % 2 == 1;
        if older {
            // The catalogues of these schemas name no photograph.
            older_backup(&room, 1 + round % 5);
        }
        let restore = ["restore", if older { "safe" } else { "new" }, "again"];
        if round % 10 < 2 {
            longest[usize::from(older)] = span(|| _ = room.run(&restore).done());
            std::fs::remove_dir_all(&again).expect("removed");
        }
        let ended = killed(&room, &restore, wait(round, longest[usize::from(older)])).ended;
        let unfinished = again.join("RESTORE-UNFINISHED.txt").exists();
        assert!(!ended || !unfinished, "round {round}: it ended, and says that it did not");
        let is_whole = !unfinished && again.join("catalogue.sqlite").exists();
        assert!(is_whole || !ended, "round {round}: it ended, and there is nothing");
        whole += u32::from(is_whole);
        cut_short += u32::from(unfinished);
        if !is_whole {
            let said = room.run(&restore).done();
            assert!(said.contains("all well"), "round {round}: {said}");
        }
        let pieces = if older { 1 } else { 2 };
        assert_eq!(room.run(&["--in", "again", "list", "--json"]).json().len(), pieces, "round {round}");
        assert!(room.run(&["--in", "again", "check"]).done().contains("all well"), "round {round}");
        std::fs::remove_dir_all(&again).expect("removed");
    }
    println!("{} kills of a restore: {cut_short} cut short, {whole} were whole", kills());
    assert!(cut_short > 0, "the kills should fall in the middle");
}

#[test]
fn a_kill_during_an_upgrade_leaves_the_old_catalogue_or_the_new_one() {
    let (mut old, mut new, mut longest) = (0, 0, Duration::ZERO);
    for round in 0..kills() {
        let room = Room::bare();
        std::fs::create_dir(room.collection()).expect("made");
        let schema = upgrades::older_one(round);
        let start = Instant::now();
        upgrades::place(schema, &room.collection());
        if round % 10 == 0 {
            assert_eq!(room.run(&["list"]).code, Some(0));
            longest = start.elapsed().mul_f64(1.1);
            std::fs::remove_dir_all(room.collection()).expect("removed");
            std::fs::create_dir(room.collection()).expect("made");
            upgrades::place(schema, &room.collection());
        }
        killed(&room, &["list"], wait(round, longest));
        let db = rusqlite::Connection::open(room.collection().join("catalogue.sqlite")).expect("opens");
        let version: i64 = db.query_row("PRAGMA user_version", [], |r| r.get(0)).expect("reads");
        drop(db);
        assert!(
            version == i64::from(schema) || version == SCHEMA_VERSION,
            "round {round}: schema {version} is neither"
        );
        old += u32::from(version == i64::from(schema));
        new += u32::from(version == SCHEMA_VERSION);
        let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens after a kill");
        assert_eq!(catalogue.check().expect("checks"), [], "round {round}");
        assert_eq!(catalogue.piece("2018.7").expect("there").components.len(), 8, "round {round}");
    }
    println!("{} kills of an upgrade: {old} left the old catalogue, {new} the new one", kills());
    assert!(old > 0, "the kills should fall in the middle");
}
