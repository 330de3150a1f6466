//! All or nothing: a kill in the middle, another who writes, a row that the catalogue refuses.

use std::fmt::Write as _;
use std::process::Stdio;
use std::time::Duration;

use dimity::catalogue::Catalogue;

use crate::support::killing::{killed, kills, span, wait};
use crate::support::{Room, clock};

const ROWS: usize = 250;

fn long_list(room: &Room) -> String {
    let mut text = String::from("No;Object;Date;Material;Size\n");
    for i in 0..ROWS {
        let (year, height) = (1700 + i % 200, 100 + i % 50);
        writeln!(text, "2031.{i};gown;c. {year};silk, lined with linen;H. {height} cm").expect("a text takes it");
    }
    room.write("long.csv", text)
}

#[test]
fn a_kill_in_the_middle_leaves_all_or_nothing() {
    let kills = kills();
    let (mut whole, mut told, mut nothing, mut longest) = (0, 0, 0, Duration::ZERO);
    for round in 0..kills {
        if round % 10 == 0 {
            // As long as the entering itself takes just now, so that kills fall before, in and after its one commit.
            let room = Room::new();
            let list = long_list(&room);
            longest = span(|| _ = room.run(&["import", "csv", &list, "--enter"]).done());
        }
        let room = Room::new();
        let list = long_list(&room);
        // Every second one from the middle to well after the end: the commit is there, also on a machine that slows down.
        let after = wait(round, longest);
        let after = if round % 2 == 0 { after } else { longest.mul_f64(0.4) + after };
        let lines = killed(&room, &["import", "csv", &list, "--enter"], after).lines;
        let acknowledged = lines.iter().any(|line| line.starts_with("imported:"));
        let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens after a kill");
        let there = catalogue.numbers().expect("reads").len();
        assert!(there == 0 || there == ROWS, "round {round}: {there} of {ROWS} pieces are there");
        assert!(!acknowledged || there == ROWS, "round {round}: it said that all was imported: {lines:#?}");
        told += u32::from(acknowledged);
        assert_eq!(catalogue.check().expect("checks"), [], "round {round}");
        if there == 0 {
            nothing += 1;
        } else {
            whole += 1;
        }
        // And again: all of it is there, once.
        room.run(&["import", "csv", &list, "--enter"]).done();
        assert_eq!(catalogue.numbers().expect("reads").len(), ROWS);
    }
    println!("{kills} kills of an import: {nothing} times nothing was there, {whole} times all, {told} of them told");
    // A handful of rounds may miss one side.
    assert!(nothing > 0, "a kill should fall before the commit");
    assert!(whole > 0 || kills < 40, "a kill should fall after the commit");
}

#[test]
fn a_catalogue_that_another_writes_to_is_waited_for_and_then_left_alone() {
    let room = Room::new();
    let list = room.write("l.csv", "No,Object\n2031.1,cap\n");
    let other = rusqlite::Connection::open(room.collection().join("catalogue.sqlite")).expect("opens");
    other.execute_batch("BEGIN IMMEDIATE").expect("begins");
    let refused = room.run(&["import", "csv", &list, "--enter"]).refused();
    assert!(refused.contains("another program is writing to this catalogue; nothing was changed"), "{refused}");
    other.execute_batch("ROLLBACK").expect("ends");
    room.run(&["import", "csv", &list, "--enter"]).done();
}

#[test]
fn two_imports_at_once_double_nothing() {
    let room = Room::new();
    let list = long_list(&room);
    room.run(&["import", "csv", &list]).done();
    let begin = |name: &str| {
        room.program(&["import", "csv", &list, "--enter", "--to-do", name])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("starts")
    };
    let (mut one, mut other) = (begin("one.csv"), begin("other.csv"));
    let ended = [one.wait().expect("ended").success(), other.wait().expect("ended").success()];
    assert!(ended.contains(&true), "one of them at least goes through");
    let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens");
    assert_eq!(catalogue.numbers().expect("reads").len(), ROWS);
    assert!(catalogue.source_rows().expect("reads").values().all(|rows| rows.len() == 1));
    std::thread::sleep(Duration::from_millis(1));
}

#[test]
fn a_row_that_the_catalogue_refuses_keeps_all_out_and_is_named() {
    use dimity::catalogue::{Fault, Incoming, Intent};
    use dimity::record::PieceFile;
    use dimity::record::source::SourceRow;
    let mut desk = crate::support::Desk::new();
    let incoming = |number: &str, row: u32, name: Option<&str>| {
        let mut file = PieceFile::default();
        file.piece.number = Some(number.into());
        file.piece.nature = Some(dimity::vocabulary::TermId::new(dimity::vocabulary::Scheme::Nature, "extant"));
        file.piece.object_name = name.map(String::from);
        Incoming {
            file,
            source: SourceRow { file: "l.csv".into(), file_sha256: "0".repeat(64), row, ..SourceRow::default() },
        }
    };
    let intent = Intent { author: "Wren Askerdale".into(), ..Intent::default() };
    let rows = [incoming("2031.1", 2, Some("cap")), incoming("2031.2", 3, None)];
    let refused =
        desk.catalogue.import(&rows, &[], &intent, &mut || Ok(())).expect_err("the second has no name").to_string();
    assert!(refused.contains("row 3 (`2031.2`)") && refused.contains("nothing was imported"), "{refused}");
    assert!(desk.catalogue.numbers().expect("reads").is_empty());

    // Stopped after the second of three, or with a wording for a piece that is not there: nothing stands either.
    let rows = ["2031.1", "2031.2", "2031.3"].map(|number| incoming(number, 2, Some("cap")));
    let mut left = 2;
    let mut stop = || {
        left -= 1;
        if left == 0 { Err(Fault::Stopped) } else { Ok(()) }
    };
    let stopped = desk.catalogue.import(&rows, &[], &intent, &mut stop).expect_err("it is stopped");
    assert!(matches!(stopped, Fault::Stopped), "{stopped}");
    let gone = [("2031.9".to_owned(), rows[0].source.clone())];
    let refused = desk.catalogue.import(&rows, &gone, &intent, &mut || Ok(())).expect_err("no such piece").to_string();
    assert!(refused.contains("2031.9"), "{refused}");
    assert!(desk.catalogue.numbers().expect("reads").is_empty());
    let later = [("2031.1".to_owned(), rows[0].source.clone())];
    let done = desk.catalogue.import(&rows, &later, &intent, &mut || Ok(())).expect("now all of it enters");
    assert_eq!((done.pieces, done.later, desk.catalogue.numbers().expect("reads").len()), (3, 1, 3));
    desk.is_sound();
}
