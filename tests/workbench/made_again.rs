//! A catalogue made again from its export in the browser: whole or not at all, and by nobody who signs in.

use dimity::catalogue::Catalogue;
use dimity::record::account::{Account, Role};

use crate::bench::Bench;
use crate::drawing::PASSWORD;
use crate::support::{AGAIN, Room, SPENCER, clock};
use crate::works::ended;

const PLACE: &str = "/import/catalogue";

/// A collection with a photograph, and the document of its export.
fn exported() -> (Room, String) {
    let room = Room::with(&[SPENCER, AGAIN]);
    let picture = room.photograph("front.png", 90);
    room.run(&["photo", "add", "2031.1", &picture, "--view", "front"]).done();
    room.run(&["export", "json"]).done();
    let document = room.collection().join("exports/json/catalogue.json");
    let document = document.to_str().expect("a plain name").to_owned();
    (room, document)
}

#[test]
fn a_catalogue_comes_back_whole_with_its_files() {
    let (room, document) = exported();
    let bench = Bench::by_link(&[]);
    assert!(bench.get(PLACE).is(200).text().contains("name=\"document\""));
    let part = ended(&bench, bench.form(PLACE, &[("document", &document)]));
    assert!(part.contains("1 piece taken in with their journal") && part.contains("1 file beside them"), "{part}");
    let theirs = Catalogue::open(&room.collection(), clock()).expect("opens");
    let told = |catalogue: &Catalogue| dimity::exchange::json::of_piece(&catalogue.piece("2031.1").expect("there"));
    assert_eq!(told(&bench.desk.catalogue), told(&theirs), "identifiers included");
    assert_eq!(bench.desk.catalogue.revision().expect("read").hash, theirs.revision().expect("read").hash);
    let whole = dimity::safekeeping::check(&bench.desk.catalogue, &dimity::safekeeping::Asked::default(), &());
    assert!(whole.expect("checked").findings.is_empty());
    assert!(bench.get("/pieces/2031.1").is(200).text().contains("spencer"), "it is shown at once");
    // Into a catalogue that holds something nothing is read.
    assert!(bench.get(PLACE).is(200).text().contains("this one holds records"));
    let before = bench.revision();
    let part = ended(&bench, bench.form(PLACE, &[("document", &document)]));
    assert!(part.contains("holds records already") && bench.revision() == before, "{part}");
}

#[test]
fn what_is_no_export_changes_nothing() {
    let (room, document) = exported();
    let bench = Bench::by_link(&[]);
    let folder = room.path().to_str().expect("a plain name").to_owned();
    for (path, words) in [
        ("", "Name the document"),
        ("catalogue.json", "Write the whole path"),
        ("/no/such/<b>file</b>.json", "cannot be read"),
        (folder.as_str(), "cannot be read"),
        ("/dev/zero", "cannot be read"),
    ] {
        let page = bench.form(PLACE, &[("document", path)]).is(422).text();
        assert!(page.contains(words) && !page.contains("<b>file"), "{path}: {page}");
    }
    let text = std::fs::read_to_string(&document).expect("the document");
    for (name, text) in [
        ("a.json", "{}".to_owned()),
        ("b.json", text.replacen("spencer", "spancer", 1)),
        ("c.json", text[..text.len() / 2].to_owned()),
    ] {
        let path = room.write(name, text);
        let part = ended(&bench, bench.form(PLACE, &[("document", &path)]));
        assert!(part.contains("data-how=\"failed\""), "{name}: {part}");
        assert_eq!((bench.revision(), bench.desk.catalogue.numbers().expect("reads").len()), (0, 0), "{name}");
    }
    // A photograph that is not there is named, and the rest is taken in.
    std::fs::remove_dir_all(room.collection().join("exports/json/photographs")).expect("removed");
    let part = ended(&bench, bench.form(PLACE, &[("document", &document)]));
    assert!(part.contains("the file as it was at") && part.contains("1 piece taken in"), "{part}");
}

#[test]
fn who_signs_in_names_no_file_of_the_machine() {
    let (_room, document) = exported();
    let mut bench = Bench::by_accounts(&[]);
    for (name, role) in [("Piers Holloway", Role::Examine), ("Ida Falk", Role::Keep)] {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    bench.sign_in("Piers Holloway", PASSWORD).is(303);
    bench.get(PLACE).is(403);
    bench.form(PLACE, &[("document", &document)]).is(403);
    bench.form("/sign-out", &[]).is(303);
    bench.sign_in("Ida Falk", PASSWORD).is(303);
    let page = bench.get(PLACE).is(200).text();
    assert!(page.contains("import json DOCUMENT") && !page.contains("name=\"document\""), "{page}");
    assert!(!page.contains(bench.desk.folder().to_str().expect("a plain name")), "no path of the machine is told");
    for path in [document.as_str(), "/etc/passwd", ""] {
        let said = bench.form(PLACE, &[("document", path)]).is(403).text();
        assert!(said.contains("where the machine stands"), "{said}");
    }
    assert!(bench.desk.catalogue.numbers().expect("reads").is_empty());
}
