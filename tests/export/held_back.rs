//! What stays at home of photographs: positions and the originals that hold them, and files that are not what was stored.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::support::full::full;
use crate::support::pictures::{plain, with_description, with_position};
use crate::support::{PLAIN, Room, SPENCER, second};
use crate::{files, stands};

/// A piece with three photographs: a position in the tags of the first, in a description of the second, in none of the third.
fn room() -> (Room, [String; 3]) {
    let room = Room::with(&[PLAIN]);
    let pictures = [
        ("tags.jpg", with_position(&plain(1))),
        ("description.jpg", with_description(&plain(2))),
        ("none.jpg", plain(3)),
    ];
    for (name, bytes) in pictures {
        let path = room.write(name, bytes);
        room.run(&["photo", "add", "2031.2", &path, "--by", "Wren Askerdale"]).done();
    }
    let shown = room.run(&["show", "2031.2", "--json"]).json().remove(0);
    let sha = ["tags.jpg", "description.jpg", "none.jpg"].map(|name| {
        let photographs = shown["photographs"].as_array().expect("photographs");
        let photo = photographs.iter().find(|p| p["original_name"] == name).expect("it is there");
        photo["sha256"].as_str().expect("a SHA-256").to_owned()
    });
    // What was changed afterwards is journalled with all that stood in the row.
    room.run(&["photo", "rights", &sha[0], "--rights", "CC-BY-4.0", "--by", "Wren Askerdale"]).done();
    (room, sha)
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain name")
}

fn document(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("catalogue.json")).expect("reads")).expect("JSON")
}

fn absent(sha: &str, why: &str) -> Value {
    json!({ "table": "photograph", "sha256": sha, "why": why })
}

/// Exports to this folder of the room and reads it back into a catalogue beside it; what the reading said.
fn there_and_back(room: &Room, from: &str, to: &str, into: &str) -> (PathBuf, String) {
    let place = room.path().join(to);
    drop(room.run(&["--in", from, "export", "json", "--out", text(&place)]));
    let said = room.run(&["--in", into, "import", "json", text(&place.join("catalogue.json"))]).done();
    (place, said)
}

#[test]
fn an_export_without_positions_names_what_it_holds_back_and_can_be_read_back_without_it() {
    let (room, [tags, description, none]) = room();
    let (first, said) = there_and_back(&room, "collection", "first", "second-home");
    for (name, bytes) in files(&first) {
        let found = memchr::memmem::find(&bytes, b"GPSLatitude");
        assert!(found.is_none(), "`{name}` says where a photograph was taken");
    }
    let told = document(&first);
    assert_eq!(told["complete"], false, "originals are held back, and the document must not call itself complete");
    assert_eq!(
        told["held_back"],
        json!({ "positions": [tags], "files": [absent(&tags, "position"), absent(&description, "position")] })
    );
    let left_out = told["left_out"].to_string();
    for words in ["GPS positions of 1 photograph,", "2 originals that hold GPS positions"] {
        assert!(left_out.contains(words), "{left_out}");
    }
    let page = std::fs::read_to_string(first.join("EXPORT.txt")).expect("reads");
    assert!(page.contains(&format!("original {description}: holds a GPS position; it is not here")), "{page}");
    stands(
        "json_schema",
        &[&Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/catalogue.schema.json"), &{
            first.join("catalogue.json")
        }],
    );

    // What was read back says what it is without, and holds the rest.
    for words in [
        "1 file beside them",
        "held back by the export: the GPS position of tags.jpg",
        "held back by the export: the original of tags.jpg",
        "held back by the export: the original of description.jpg",
    ] {
        assert!(said.contains(words), "`{words}` should stand in\n{said}");
    }
    let second = |arguments: &[&str]| room.run(&[&["--in", "second-home"], arguments].concat());
    let shown = second(&["show", "2031.2", "--json"]).json().remove(0);
    let photographs = shown["photographs"].as_array().expect("photographs");
    assert_eq!(photographs.len(), 3, "the photographs are there");
    assert!(shown.to_string().contains("CC Attribution") && !shown.to_string().contains("GPS"), "{shown}");
    // It is told forward from its journal like any other.
    let now = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system());
    let today = now.date().to_string();
    assert!(second(&["show", "2031.2", "--as-of", &today]).done().contains("stays"));
    let journal = second(&["journal"]).done();
    assert!(journal.contains("without its GPS position") && journal.contains("only its SHA-256"), "{journal}");
    // Nothing is wrong with it but the files that were announced.
    let found = second(&["check"]).said_wrong();
    assert!(!found.contains("outside the program") && !found.contains(&none), "{found}");
    assert!(found.contains(&tags) && found.contains(&description), "{found}");
    // It goes on: is written to, purged from, and comes out again.
    second(&["photo", "rights", &tags, "--rights", "CC0-1.0", "--by", "Wren"]).done();
    let (third, _) = there_and_back(&room, "second-home", "third", "third-home");
    assert_eq!(
        document(&third)["held_back"],
        json!({ "positions": [], "files": [absent(&tags, "unread"), absent(&description, "unread")] })
    );
    let (fourth, _) = there_and_back(&room, "third-home", "fourth", "fourth-home");
    assert_eq!(files(&third), files(&fourth), "without anything held back anew it comes back byte for byte");
    second(&["purge", "2031.2", "--reason", "asked for", "--yes", "--by", "Wren"]).done();
    second(&["check"]).done();
}

#[test]
fn with_its_positions_an_export_comes_back_byte_for_byte() {
    let (room, [tags, ..]) = room();
    let place = |name: &str| room.path().join(name);
    room.run(&["export", "json", "--with-gps", "--out", text(&place("first"))]).done();
    let told = document(&place("first"));
    assert_eq!((&told["complete"], &told["held_back"]), (&json!(true), &json!({ "positions": [], "files": [] })));
    assert!(told["tables"].to_string().contains("GPSLatitude"));
    let said = room.run(&["--in", "again", "import", "json", text(&place("first/catalogue.json"))]).done();
    assert!(said.contains("3 files beside them") && !said.contains("held back"), "{said}");
    room.run(&["--in", "again", "check"]).done();
    room.run(&["--in", "again", "export", "json", "--with-gps", "--out", text(&place("second"))]).done();
    assert_eq!(files(&place("first")), files(&place("second")));
    assert!(place("second/photographs").join(&tags[..2]).join(format!("{tags}.jpg")).is_file());
}

#[test]
fn a_document_whose_list_of_what_is_held_back_is_untrue_is_refused() {
    let (room, [tags, description, none]) = room();
    let first = room.path().join("first");
    room.run(&["export", "json", "--out", text(&first)]).done();
    let told = std::fs::read_to_string(first.join("catalogue.json")).expect("reads");
    let positions = format!("\"positions\":[\"{tags}\"]");
    assert!(told.contains(&positions), "the list stands on its line");
    let with = |now: &str| told.replacen(&positions, now, 1);
    for (changed, why) in [
        // What the journal holds of it is gone without a word.
        (with("\"positions\":[]"), "no purge names it"),
        // The journal tells of this one in full.
        (with(&format!("\"positions\":[\"{tags}\",\"{none}\"]")), "does not follow"),
        (with(&format!("\"positions\":[\"{tags}\"],\"more\":[]")), "unknown field"),
        (with(&format!("\"positions\":[\"{tags}\",\"é\"]")), "is no SHA-256"),
        (
            told.replacen(
                &format!("\"{description}\",\"why\":\"position\""),
                &format!("\"{description}\",\"why\":\"x\""),
                1,
            ),
            "unknown variant",
        ),
    ] {
        assert_ne!(changed, told, "{why}: nothing was changed");
        let path = room.write("wrong.json", changed);
        let refused = room.run(&["--in", "empty", "import", "json", &path]).refused();
        assert!(refused.contains(why), "`{why}` should stand in\n{refused}");
        assert_eq!(room.run(&["--in", "empty", "journal"]).done().trim(), "", "nothing was taken in");
    }
}

#[test]
fn a_bag_holds_smaller_copies_in_place_of_originals_with_positions_and_says_so() {
    let (room, [tags, description, none]) = room();
    let bag = room.path().join("bag");
    let said = room.run(&["export", "bag", "2031.2", "--out", text(&bag)]).done();
    assert!(said.contains("with 3 photographs") && said.contains("2 originals that hold GPS positions"), "{said}");
    stands("bag", &[&bag]);
    let there = files(&bag);
    for sha in [&tags, &description] {
        assert!(there.contains_key(&format!("data/photographs/{sha}-view.jpg")), "{:?}", there.keys());
        let page = String::from_utf8_lossy(&there["EXPORT.txt"]);
        assert!(page.contains(&format!("original {sha}: holds a GPS position")), "{page}");
    }
    assert!(there.contains_key(&format!("data/photographs/{none}.jpg")));
    for (name, bytes) in &there {
        assert!(memchr::memmem::find(bytes, b"GPSLatitude").is_none(), "`{name}` says where a photograph was taken");
    }
    let told: Value = serde_json::from_slice(&there["data/catalogue.json"]).expect("JSON");
    assert_eq!(told["held_back"]["files"].as_array().map(Vec::len), Some(2));
    stands("json_schema", &[&bag.join("data/catalogue.schema.json"), &bag.join("data/catalogue.json")]);
}

#[test]
fn a_rotten_original_is_never_packed_as_a_sound_one() {
    let (room, [_, _, none]) = room();
    let stored = room.collection().join("photographs").join(&none[..2]).join(format!("{none}.jpg"));
    let mut bytes = std::fs::read(&stored).expect("reads");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(&stored, bytes).expect("written");
    for (arguments, original, list) in [
        (&["json"][..], format!("photographs/{}/{none}.jpg", &none[..2]), "catalogue.json"),
        (&["bag", "2031.2"], format!("data/photographs/{none}.jpg"), "data/catalogue.json"),
    ] {
        let place = room.path().join(arguments[0]);
        let said = room.run(&[&["export"], arguments, &["--out", text(&place)]].concat()).said_wrong();
        assert!(said.contains(&none) && said.contains("has changed since it was stored"), "{said}");
        let there = files(&place);
        assert!(!there.contains_key(&original), "{original} is not what was stored");
        let told: Value = serde_json::from_slice(&there[list]).expect("JSON");
        let held = told["held_back"]["files"].as_array().expect("a list");
        assert!(held.contains(&absent(&none, "changed")), "{held:?}");
        assert_eq!(told["complete"], false);
        assert!(String::from_utf8_lossy(&there["EXPORT.txt"]).contains(&format!("original {none}: has changed")));
    }
    // The rest can be read back all the same.
    let said = room.run(&["--in", "again", "import", "json", text(&room.path().join("json/catalogue.json"))]).done();
    assert!(
        said.contains("the original of none.jpg") && said.contains("which has changed since it was stored"),
        "{said}"
    );
}

/// A bag of one piece says nothing of another that the same photograph shows, nor of the model that stays; what was sealed with
/// such words stays whole, and is named.
#[test]
fn a_bag_tells_of_no_piece_that_is_not_in_it() {
    let gown = "[piece]\nnumber = \"2031.2\"\nnature = \"extant\"\nobject_name = \"gown\"\n\
        [[component]]\nname = \"secret pocket\"\n[[made_after]]\nmodel = \"2031.9\"\n\
        [examination]\ndate = 2031-03-02\nexaminer = \"Wren\"\n[[sign]]\nsign = \"darn\"\n";
    let room = Room::with(&[SPENCER, &second("2031.9"), gown]);
    let by = ["--by", "Wren Askerdale"];
    let run = |arguments: &[&str]| room.run(&[arguments, &by].concat()).done();
    let both = room.photograph("both.png", 1);
    run(&["photo", "add", "2031.1", &both]);
    run(&["photo", "add", "2031.2", &both]);
    let shown = room.run(&["show", "2031.2", "--json"]).json().remove(0);
    let photo = shown["photographs"][0]["sha256"].as_str().expect("a SHA-256").to_owned();
    let sign = shown["examinations"][0]["sign"][0]["id"].as_str().expect("an id");
    let pages = || -> BTreeSet<String> {
        let sealed = files(&room.collection().join("sealed"));
        sealed
            .keys()
            .map(|name| name.rsplit('/').next().expect("a name").trim_end_matches(".html").to_owned())
            .collect()
    };
    run(&["report", "condition", "2031.1", "--seal"]);
    let early = pages();
    run(&["photo", "region", &photo, "outline 1,1 9,1 9,9", "--outlines", "secret pocket"]);
    run(&["photo", "region", &photo, "point 5,5", "--shows", sign, "--note", "the lucky darn"]);
    run(&["photo", "region", &photo, "outline 11,1 19,1 19,9", "--outlines", "left front"]);
    run(&["report", "condition", "2031.1", "--seal"]);
    let late: BTreeSet<String> = pages().difference(&early).cloned().collect();
    let (early, late) = (early.first().expect("one"), late.first().expect("another"));
    run(&["compare", "2031.1", "--with", "2031.2", "--pair", "watch pocket = secret pocket", "--keep", "pockets"]);

    for arguments in [&["bag", "2031.1"][..], &["csv", "2031.1"]] {
        let place = room.path().join(arguments[0]);
        let said = room.run(&[&["export"], arguments, &["--out", text(&place)]].concat()).done();
        for (name, bytes) in files(&place) {
            for word in ["secret pocket", "lucky darn", "2031.2"] {
                assert!(memchr::memmem::find(&bytes, word.as_bytes()).is_none(), "`{name}` tells of `{word}`");
            }
        }
        for words in ["3 rows that tell of other pieces", "what 1 sealed record tells of other pieces"] {
            assert!(said.contains(words), "`{words}` should stand in\n{said}");
        }
    }
    let bag = room.path().join("bag");
    stands("bag", &[&bag]);
    stands("json_schema", &[&bag.join("data/catalogue.schema.json"), &bag.join("data/catalogue.json")]);
    let there = files(&bag);
    assert!(there.contains_key(&format!("data/sealed/{early}.html")), "{:?}", there.keys());
    assert!(!there.contains_key(&format!("data/sealed/{late}.html")), "{:?}", there.keys());
    let page = String::from_utf8_lossy(&there["EXPORT.txt"]);
    let held = format!("sealed page {late}: tells of a piece that is not in the export; it is not here");
    assert!(page.contains(&held) && !page.contains(early), "{page}");
    let told: Value = serde_json::from_slice(&there["data/catalogue.json"]).expect("JSON");
    let files_held = json!([{ "table": "seal", "sha256": late, "why": "others" }]);
    assert_eq!(told["held_back"], json!({ "positions": [], "files": files_held }));
    assert_eq!(told["tables"]["region"].as_array().map(Vec::len), Some(1), "its own outline goes along");
    let printed = String::from_utf8_lossy(&there["data/2031.1/condition.html"]);
    assert!(printed.contains("outline of left front"), "and is printed");

    // A model that stays is not called unrecorded.
    let place = room.path().join("gown");
    room.run(&["export", "bag", "2031.2", "--out", text(&place)]).done();
    for (name, bytes) in files(&place) {
        assert!(memchr::memmem::find(&bytes, b"2031.9").is_none(), "`{name}` names the model");
    }
    let entry = String::from_utf8_lossy(&files(&place)["data/2031.2/catalogue.html"]).into_owned();
    assert!(entry.contains("a piece that is not handed on with it"), "{entry}");

    // Together they keep nothing from each other.
    let place = room.path().join("both");
    let said = room.run(&["export", "bag", "2031.1", "2031.2", "2031.9", "--out", text(&place)]).done();
    assert!(
        said.contains("3 pieces with 1 photograph and 2 sealed reports") && !said.contains("other pieces"),
        "{said}"
    );
    let there = files(&place);
    assert!(there.contains_key(&format!("data/sealed/{late}.html")));
    assert!(String::from_utf8_lossy(&there["data/2031.1/condition.html"]).contains("outline of secret pocket"));
    let told: Value = serde_json::from_slice(&there["data/catalogue.json"]).expect("JSON");
    assert_eq!((&told["held_back"]["files"], told["tables"]["region"].as_array().map(Vec::len)), (&json!([]), Some(3)));
}

/// A sealed report that is not as it was sealed is no more packed than a photograph that is not as it was stored.
#[test]
fn a_spoilt_sealed_report_is_named_and_not_packed() {
    let room = Room::with(&[SPENCER]);
    room.run(&["report", "condition", "2031.1", "--seal", "--by", "Wren"]).done();
    let sealed = files(&room.collection().join("sealed"));
    let (name, page) = sealed.first_key_value().expect("a sealed page");
    let place = room.collection().join("sealed").join(name);
    let sha256 = place.file_stem().expect("a name").to_string_lossy().into_owned();
    for (spoilt, why) in [(Some(&page[1..]), "has changed since it was stored"), (None, "cannot be read")] {
        std::fs::remove_file(&place).expect("removed");
        if let Some(bytes) = spoilt {
            std::fs::write(&place, bytes).expect("written");
        }
        let bag = room.path().join("bag");
        let said = room.run(&["export", "bag", "2031.1", "--out", text(&bag)]).said_wrong();
        assert!(said.contains(&format!("the sealed page {sha256} {why}; it is not in the export")), "{said}");
        let there = files(&bag);
        assert!(!there.keys().any(|name| name.starts_with("data/sealed")), "{:?}", there.keys());
        assert!(String::from_utf8_lossy(&there["EXPORT.txt"]).contains(&format!("sealed page {sha256}: {why}")));
        stands("bag", &[&bag]);
        std::fs::write(&place, page).expect("written");
    }
}

/// What only this catalogue has a use for is in no byte of what hands everything on.
#[test]
fn passphrases_and_drafts_stay_whatever_is_exported() {
    const DRAFTED: &str = "Quillfeather";
    let (room, desk) = (Room::bare(), full());
    let drafts = desk.folder().join("drafts");
    std::fs::create_dir_all(&drafts).expect("made");
    std::fs::write(drafts.join("half.toml"), DRAFTED).expect("written");
    let hash = desk.sql().one("SELECT hash FROM account_password");
    assert!(hash.len() > 30, "a passphrase is kept as its hash: {hash}");
    for arguments in [&["json", "--with-gps"][..], &["csv"], &["parquet"], &["bag", "2031.1"]] {
        let place = room.path().join(arguments[0]);
        room.run(&[&["--in", text(desk.folder()), "export"], arguments, &["--out", text(&place)]].concat()).done();
        for (name, bytes) in files(&place) {
            for secret in [&hash, DRAFTED] {
                let found = memchr::memmem::find(&bytes, secret.as_bytes());
                assert!(found.is_none(), "{arguments:?}: `{name}` holds `{secret}`");
            }
        }
    }
}

/// The two states that a kill can leave while the new folder is named.
#[test]
fn an_export_that_a_kill_left_without_its_name_is_found_again() {
    let room = Room::with(&[PLAIN]);
    let (place, before) = (room.path().join("out"), room.path().join(".out.before"));
    let csv = || room.run(&["export", "csv", "--out", text(&place)]).done();
    csv();
    std::fs::rename(&place, &before).expect("moved away");
    csv();
    assert!(place.join("piece.csv").is_file() && !before.exists());
    std::fs::create_dir(&before).expect("made");
    std::fs::write(before.join("piece.csv"), "half of it is removed").expect("written");
    csv();
    assert!(place.join("piece.csv").is_file() && !before.exists());
}

#[test]
fn a_folder_that_only_bears_the_name_of_an_earlier_export_is_left_alone() {
    let room = Room::with(&[PLAIN]);
    let (place, own) = (room.path().join("out"), room.path().join(".out.before"));
    std::fs::create_dir(&own).expect("made");
    std::fs::write(own.join("letter.txt"), "mine").expect("written");
    room.run(&["export", "csv", "--out", text(&place)]).done();
    assert!(place.join("piece.csv").is_file());
    assert_eq!(std::fs::read_to_string(own.join("letter.txt")).expect("there"), "mine");
}

#[test]
fn alone_the_document_asks_for_no_file_and_every_page_names_what_stayed() {
    let (room, [tags, ..]) = room();
    for arguments in [&["csv"][..], &["parquet", "--collection", "Askerdale"]] {
        let name = arguments[0];
        let place = room.path().join(name);
        room.run(&[&["export"], arguments, &["--out", text(&place)]].concat()).done();
        let page = std::fs::read_to_string(place.join("EXPORT.txt")).expect("a page");
        assert!(page.contains(&format!("photograph {tags}: its record is without its GPS position")), "{name}: {page}");
    }
    std::fs::remove_dir_all(room.collection().join("photographs")).expect("lost");
    let place = room.path().join("alone");
    room.run(&["export", "json", "--alone", "--out", text(&place)]).done();
    assert_eq!(document(&place)["held_back"], json!({ "positions": [tags], "files": [] }));
}
