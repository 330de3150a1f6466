//! Several programs at one older catalogue at once: one brings it up to date, the others wait for it, and the copy that was
//! made first is the old one.

use std::process::Stdio;
use std::time::Duration;

use dimity::catalogue::Catalogue;
use rusqlite::Connection;

use super::upgrades::{contents_of, newest_first, older, place};
use crate::support::{Room, clock};

/// A room with a catalogue of an earlier schema.
fn room_of(schema: u32) -> Room {
    let room = Room::bare();
    std::fs::create_dir(room.collection()).expect("made");
    place(schema, &room.collection());
    room
}

/// The copies that lie in the catalogue's folder, and whatever else is left of their making.
fn copies(room: &Room) -> Vec<String> {
    let entries = std::fs::read_dir(room.collection()).expect("reads");
    let names = entries.map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.filter(|n| n.contains("schema-") || n.contains("unfinished")).collect();
    names.sort();
    names
}

#[test]
fn programs_that_open_an_older_catalogue_at_once_all_get_in_and_the_copy_is_the_old_one() {
    for (round, schema) in newest_first().into_iter().enumerate() {
        let room = room_of(schema);
        let start = || {
            let mut command = room.program(&["list"]);
            command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("starts")
        };
        let running: Vec<_> = (0..2 + round % 5).map(|_| start()).collect();
        let mut brought_up = 0;
        for child in running {
            let output = child.wait_with_output().expect("ended");
            let err = String::from_utf8_lossy(&output.stderr);
            assert!(output.status.success(), "schema {schema}: every one gets in: {err}");
            assert!(String::from_utf8_lossy(&output.stdout).contains("2018.7"), "schema {schema}");
            brought_up += usize::from(err.contains("brought up from schema"));
        }
        assert_eq!(brought_up, 1, "schema {schema}: one of them brings it up");
        let name = format!("catalogue.schema-{schema}.sqlite");
        assert_eq!(copies(&room), [&*name], "schema {schema}");
        let copy = room.collection().join(name);
        assert_eq!(contents_of(&copy), contents_of(&older(schema)), "schema {schema}: the copy is what it was before");
        let version: u32 = Connection::open(copy)
            .expect("opens")
            .pragma_query_value(None, "user_version", |r| r.get(0))
            .expect("read");
        assert_eq!(version, schema, "the copy has the old schema");
        let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens");
        assert_eq!(catalogue.check().expect("checks"), [], "schema {schema}");
    }
}

#[test]
fn an_older_catalogue_is_waited_for_while_another_program_writes_to_it() {
    let room = room_of(17);
    let busy = Connection::open(room.collection().join("catalogue.sqlite")).expect("opens");
    busy.execute_batch("BEGIN EXCLUSIVE; UPDATE piece SET title = 'Waited for'").expect("begun");
    let ended = std::thread::spawn(move || {
        std::thread::sleep(Duration::from_millis(500));
        busy.execute_batch("COMMIT").expect("done");
    });
    let said = room.run(&["show", "2018.7"]);
    ended.join().expect("ended");
    assert!(said.code == Some(0) && said.out.contains("Waited for"), "{said:?}");
    let copy = Connection::open(room.collection().join("catalogue.schema-17.sqlite")).expect("opens");
    let title: String = copy.query_row("SELECT title FROM piece", [], |r| r.get(0)).expect("read");
    assert_eq!(title, "Waited for", "the copy is of the moment before the steps, not of the first look");
}
