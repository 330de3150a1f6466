//! What an old list says beside what was read stays at home: through import and export for the public.

use super::{read_of, row};
use crate::support::Room;

/// Stands wherever a list says more than a field holds.
const SECRET: &str = "Quillfeather";

/// The files of an export, with what stands in them.
fn exported(room: &Room, to: &str, with: &[&str]) -> Vec<(String, String)> {
    let arguments = ["export", "site", "--all", "--out", to];
    room.run(&[&arguments[..], with].concat()).done();
    let mut found = Vec::new();
    let mut folders = vec![room.path().join(to)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()) {
            if entry.is_dir() {
                folders.push(entry);
            } else {
                let text = String::from_utf8_lossy(&std::fs::read(&entry).expect("a file")).into_owned();
                found.push((entry.display().to_string(), text));
            }
        }
    }
    found
}

fn list() -> String {
    format!(
        "No;Object;Material;Notes;Size;Condition;Value;Date\n\
         2031.1;spencer;Shell: silk, bequest of Aunt Hester {SECRET}, 12 Mill Lane;\
         Name: Hester {SECRET}. Label: for {SECRET}. Colour: green as {SECRET} liked;\
         H. 42 cm, {SECRET}'s own measure;good, {SECRET} mended it;£{SECRET} 40;\
         c. 1815 (after Hester {SECRET})\n\
         2031.2;cap;({SECRET}) cotton;Title: the {SECRET} cap;;;£ 7;1820, so {SECRET}\n\
         2031.3;fan;cotton;;;;;Qing dynasty, 19th century\n"
    )
}

#[test]
fn what_was_not_read_is_in_no_byte_of_an_export_for_the_public() {
    let room = Room::new();
    let file = room.write("l.csv", list());
    let told = room.run(&["import", "csv", &file, "--enter", "--json"]).json().remove(0);
    assert_eq!(read_of(row(&told, 2), "Material"), "shell: silk (probable)");
    assert_eq!(read_of(row(&told, 2), "Date"), "piece.date: 1810 to 1820 (1815~)");
    assert_eq!(read_of(row(&told, 4), "Date"), "piece.date: 1800 to 1899 (18XX)", "the other order as well");
    let doubts = row(&told, 2)["doubts"].to_string();
    for word in ["piece.object_name", "piece.maker", "textile.colour"] {
        assert!(doubts.contains(&format!("may be for `{word}`, which is published")), "{word}: {doubts}");
    }
    let files = exported(&room, "site", &[]);
    assert!(files.iter().any(|(_, text)| text.contains("spencer")), "what is public is found by the same search");
    assert!(files.iter().any(|(_, text)| text.contains("silk")), "the cloth that was read is public");
    for (name, text) in &files {
        assert!(!text.contains(SECRET) && !text.contains("Mill Lane"), "{name} holds what was not read");
    }
    let left_out = std::fs::read_to_string(room.path().join("site-left-out.txt")).expect("the list beside it");
    assert!(left_out.contains("the rows of old lists as they were kept"), "{left_out}");
    assert!(left_out.contains("textile.note") && left_out.contains("old-list"), "{left_out}");
    // It is at home all the same.
    let shown = room.run(&["show", "2031.1"]).done();
    assert!(shown.contains("bequest of Aunt Hester"), "{shown}");
}

#[test]
fn what_a_piece_is_worth_is_kept_unread_and_goes_out_with_no_kind() {
    let room = Room::new();
    let file = room.write("l.csv", list().replace(SECRET, ""));
    let said = room.run(&["import", "csv", &file, "--enter"]).done();
    assert!(said.contains("Value -> worth   sure"), "{said}");
    let to_do = std::fs::read_to_string(format!("{file}.to-do.csv")).expect("written");
    assert!(to_do.contains(",,Value,,") && to_do.contains("2 cells are kept with the pieces"), "{to_do}");
    for with in ["provenance,notes", "notes", "values"] {
        let files = exported(&room, &format!("out-{with}"), &["--with", with]);
        assert!(files.iter().all(|(_, text)| !text.contains('£')), "with {with}");
    }
    let shown = room.run(&["show", "2031.2"]).done();
    assert!(shown.contains("Value: £ 7"), "{shown}");
}
