//! A disk that fills up at random moments: what was acknowledged is there, the rest is wholly absent, and it goes on when
//! there is room again. `DIMITY_FULL` sets how many rounds; 100 before a release.

use std::process::Command;

use super::backup::kept;
use super::upgrades;
use crate::support::{Room, SPENCER};

/// Takes the disk away again, also when the test fails.
struct Unmount(String);

impl Drop for Unmount {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

/// Fills the disk but for so many bytes.
fn fill(disk: &str, leave: u64) {
    let output = Command::new("df").args(["--output=avail", "-B1", disk]).output().expect("df runs");
    let available: u64 = String::from_utf8_lossy(&output.stdout)
        .split_whitespace()
        .last()
        .and_then(|n| n.parse().ok())
        .expect("a number");
    std::fs::write(format!("{disk}/filler"), vec![1u8; available.saturating_sub(leave) as usize])
        .expect("the filler fits");
}

#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_leaves_all_that_was_acknowledged_and_nothing_half_done() {
    let room = kept();
    let disk = room.path().join("disk");
    std::fs::create_dir(&disk).expect("made");
    let disk = disk.to_str().expect("plain").to_owned();
    let mount = Command::new("mount").args(["-t", "tmpfs", "-o", "size=24m", "none", &disk]).output();
    if !mount.is_ok_and(|output| output.status.success()) {
        return eprintln!("skipped: a small disk cannot be mounted here");
    }
    let _unmount = Unmount(disk.clone());
    let folder = format!("{disk}/collection");
    room.run(&["restore", "collection", "x"]).refused();
    room.run(&["backup", "seed"]).done();
    room.run(&["restore", "seed", &folder]).done();
    room.run(&["backup", &format!("{disk}/safe")]).done();
    let rounds: u64 = std::env::var("DIMITY_FULL").ok().and_then(|n| n.parse().ok()).unwrap_or(12);
    let (mut refused, mut done) = (0, 0);
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    for round in 0..rounds {
        // xorshift (Marsaglia 2003)
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        let number = format!("r{round}");
        let sheet = room.write("s.toml", SPENCER.replace("2031.1", &number));
        let picture = image::RgbImage::from_fn(200, 150, |x, y| {
            image::Rgb([round as u8, (x * y % 251) as u8, ((x * 7) ^ y) as u8])
        });
        picture.save(room.path().join("p.png")).expect("saved");
        room.run(&["enter", &sheet]).done();
        let older = Room::bare();
        let schema = 1 + (round % 12) as u32;
        let old = format!("{disk}/old");
        std::fs::create_dir_all(&old).expect("made");
        upgrades::place(schema, std::path::Path::new(&old));
        let safe = format!("{disk}/safe");
        fill(&disk, (state >> 30) % [40_000, 400_000, 1_500_000][round as usize % 3]);
        let entered = room.run(&["--in", &folder, "enter", &sheet]);
        let added = room.run(&["--in", &folder, "photo", "add", "2031.1", "p.png", "--json"]);
        let backed = room.run(&["backup", &safe]);
        let opened = room.run(&["--in", &old, "list"]);
        for said in [&entered, &added, &backed, &opened] {
            assert!(matches!(said.code, Some(0 | 1)), "round {round}: {said:?}");
            let words = ["disk is full", "No space left", "may be full", "make room"];
            let why = words.iter().any(|word| said.err.contains(word));
            assert!(said.code == Some(0) || why, "round {round}: it should say that the disk is full: {said:?}");
            if said.code == Some(0) { done += 1 } else { refused += 1 }
        }
        std::fs::remove_file(format!("{disk}/filler")).expect("removed");
        let shown = room.run(&["--in", &folder, "show", &number, "--json"]);
        assert_eq!(shown.code, entered.code, "round {round}: acknowledged, or wholly absent");
        if added.code == Some(0) {
            let sha = added.json()[0]["sha256"].as_str().expect("a hash").to_owned();
            assert!(room.run(&["--in", &folder, "show", "2031.1", "--json"]).done().contains(&sha), "round {round}");
        }
        room.run(&["--in", &folder, "photo", "add", "2031.1", "p.png"]).done();
        assert!(room.run(&["--in", &folder, "check"]).done().contains("all well"), "round {round}");
        let again = older.path().join("again").to_str().expect("plain").to_owned();
        assert!(
            room.run(&["restore", &safe, &again]).done().contains("all well"),
            "round {round}: a whole backup lies there"
        );
        assert_eq!(room.run(&["--in", &old, "list"]).code, Some(0), "round {round}: schema {schema}");
        room.run(&["--in", &old, "check"]).out.lines().for_each(|line| {
            assert!(!line.contains("outside the program") && !line.contains("damaged"), "round {round}: {line}");
        });
        std::fs::remove_dir_all(&old).expect("removed");
        room.run(&["backup", &safe]).done();
    }
    println!("{rounds} rounds on a disk that fills up: {refused} refused, {done} done");
    assert!(refused > 0 && done > 0, "some should fit and some not: {refused} refused, {done} done");
}
