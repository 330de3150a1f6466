//! A disk that fills up at random moments: what was acknowledged is there, the rest is wholly absent, and it goes on when
//! there is room again. `DIMITY_FULL` sets how many rounds; 100 before a release.

use super::backup::kept;
use super::upgrades;
use crate::support::{Disk, Room, SPENCER};

/// Rows of the old list that is imported in each round.
const ROWS: usize = 20;

#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_leaves_all_that_was_acknowledged_and_nothing_half_done() {
    let room = kept();
    let Some(mounted) = Disk::mounted("a disk that fills up", &room.path().join("disk"), 32) else { return };
    let disk = mounted.place();
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
        let schema = upgrades::older_one(round as u32);
        let old = format!("{disk}/old");
        std::fs::create_dir_all(&old).expect("made");
        upgrades::place(schema, std::path::Path::new(&old));
        let safe = format!("{disk}/safe");
        let rows: Vec<String> = (0..ROWS).map(|n| format!("l{round}.{n};cap;c. 18{n:02}\n")).collect();
        let list = room.write("old.csv", format!("No;Object;Date\n{}", rows.concat()));
        let (exported, once_more) = (format!("{disk}/out"), format!("{disk}/once more"));
        mounted.fill((state >> 30) % [40_000, 400_000, 1_500_000, 6_000_000][round as usize % 4]);
        let entered = room.run(&["--in", &folder, "enter", &sheet]);
        let added = room.run(&["--in", &folder, "photo", "add", "2031.1", "p.png", "--json"]);
        let backed = room.run(&["backup", &safe]);
        let opened = room.run(&["--in", &old, "list"]);
        let imported = room.run(&["--in", &folder, "import", "csv", &list, "--enter"]);
        let handed = room.run(&["--in", &folder, "export", "json", "--out", &exported]);
        let restored = room.run(&["restore", "seed", &once_more]);
        for said in [&entered, &added, &backed, &opened, &imported, &handed, &restored] {
            assert!(matches!(said.code, Some(0 | 1)), "round {round}: {said:?}");
            let words = ["disk is full", "No space left", "may be full", "make room"];
            let why = words.iter().any(|word| said.err.contains(word));
            assert!(said.code == Some(0) || why, "round {round}: it should say that the disk is full: {said:?}");
            if said.code == Some(0) { done += 1 } else { refused += 1 }
        }
        mounted.free();
        let shown = room.run(&["--in", &folder, "show", &number, "--json"]);
        assert_eq!(shown.code, entered.code, "round {round}: acknowledged, or wholly absent");
        let pieces = room.run(&["--in", &folder, "list", "--json"]).done();
        let rows = pieces.matches(&format!("\"l{round}.")).count();
        assert_eq!(
            rows,
            if imported.code == Some(0) { ROWS } else { 0 },
            "round {round}: all rows or none: {imported:?}"
        );
        if handed.code == Some(0) {
            let document = format!("{exported}/catalogue.json");
            let again = room.path().join("made again");
            let said = room.run(&["--in", again.to_str().expect("plain"), "import", "json", &document]);
            assert_eq!(said.code, Some(0), "round {round}: what was handed on is whole: {said:?}");
            std::fs::remove_dir_all(again).expect("removed");
        }
        let _ = std::fs::remove_dir_all(&exported);
        if restored.code != Some(0) && std::path::Path::new(&once_more).exists() {
            room.run(&["restore", "seed", &once_more]).done();
        }
        if std::path::Path::new(&once_more).exists() {
            assert!(room.run(&["--in", &once_more, "check"]).done().contains("all well"), "round {round}");
            std::fs::remove_dir_all(&once_more).expect("removed");
        }
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
