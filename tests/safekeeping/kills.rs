//! kill -9 at random moments of a backup and of an upgrade; those of entry and ingest are in `faults`.

use std::time::{Duration, Instant};

use dimity::catalogue::{Catalogue, SCHEMA_VERSION};

use super::backup::kept;
use super::upgrades;
use crate::support::killing::{killed, kills, wait};
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
    }
    room.run(&["check"]).done();
    println!("{} kills of a backup: {cut_short} cut short, {whole} had ended", kills());
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
