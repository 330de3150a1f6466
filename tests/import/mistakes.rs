//! The mistakes that lists come with: a quotation mark left open, days in two orders, formulas that failed, old line ends.

use std::fmt::Write as _;

use dimity::catalogue::Catalogue;

use super::{read_of, row};
use crate::support::{Room, clock};

fn numbers(room: &Room) -> Vec<String> {
    let mut all = Catalogue::open(&room.collection(), clock()).expect("opens").numbers().expect("reads");
    all.sort();
    all
}

/// Five pieces; the mark that is opened in the row of the first is closed by the one in the row of the third.
const OPEN: &str =
    "No,Object,Notes\n2031.1,cap,\"torn\n2031.2,gown,\n2031.3,stays,\"worn\"\n2031.4,bag,\n2031.5,fan,\n";

#[test]
fn rows_that_an_open_quotation_mark_swallowed_are_told_and_not_entered_unseen() {
    let room = Room::new();
    let list = room.write("l.csv", OPEN);
    let told = room.run(&["import", "csv", &list, "--json"]).json().remove(0);
    assert_eq!((row(&told, 2)["fate"].as_str(), row(&told, 3)["number"].as_str()), (Some("left out"), Some("2031.4")));
    let said = room.run(&["import", "csv", &list, "--enter", "--by", "Wren Askerdale"]).done();
    let why = "lines 3 to 4 of the file look like rows of the list, and stand within the cell of column C";
    assert!(said.contains(why) && said.contains("whole_rows = [2]") && said.contains("1 left out, 2 new"), "{said}");
    assert!(said.contains("1 could not be read"), "{said}");
    let to_do = std::fs::read_to_string(format!("{list}.to-do.csv")).expect("written");
    assert!(to_do.contains("\n2,2031.1,") && to_do.contains(why), "{to_do}");
    assert_eq!(numbers(&room), ["2031.4", "2031.5"], "the rows that are whole go in");

    // Once the mark is closed, the others follow.
    room.write("l.csv", OPEN.replace("\"torn", "torn").replace("\"worn\"", "worn"));
    let said = room.run(&["import", "csv", &list, "--enter", "--by", "Wren Askerdale"]).done();
    assert!(said.contains("5 rows: 3 new, 2 known"), "{said}");
    assert_eq!(numbers(&room).len(), 5);
    room.run(&["check"]).done();
}

#[test]
fn a_cell_that_is_meant_so_is_entered_once_somebody_says_it() {
    let room = Room::new();
    let list = room.write("l.csv", OPEN);
    room.run(&["import", "csv", &list]).done();
    let mapping = format!("{list}.mapping.toml");
    let text = std::fs::read_to_string(&mapping).expect("proposed");
    std::fs::write(&mapping, text.replace("headings = 1 ", "whole_rows = [2]\nheadings = 1 ")).expect("written");
    let said = room.run(&["import", "csv", &list, "--enter", "--by", "Wren Askerdale"]).done();
    assert!(said.contains("3 rows: 3 new") && !said.contains("look like rows"), "{said}");
    let piece = Catalogue::open(&room.collection(), clock()).expect("opens").piece("2031.1").expect("entered");
    assert!(piece.examinations[0].about.note.as_deref().is_some_and(|note| note.contains("2031.2,gown")));
}

#[test]
fn headings_that_swallowed_rows_are_told() {
    let room = Room::new();
    let list = room.write("l.csv", "No,Object,\"Notes\n2031.1,cap,\n2031.2,gown,\"worn\"\n2031.4,bag,\n2031.5,fan,\n");
    let said = room.run(&["import", "csv", &list]).done();
    assert!(said.contains("? row 1: lines 2 to 3 of the file look like rows"), "{said}");
    let to_do = std::fs::read_to_string(format!("{list}.to-do.csv")).expect("written");
    assert!(to_do.contains("\n1,,,,\"lines 2 to 3 of the file"), "{to_do}");
}

#[test]
fn the_order_of_days_is_told_by_the_cells_of_each_column_alone() {
    let room = Room::new();
    let list = room.write(
        "l.csv",
        "No;Object;Made;Acquired;Last checked;Notes\n\
         2031.1;cap;5/6/1815;3/4/1998;12/31/1999;12-13-1885\n\
         2031.2;bag;03.04.98;31/12/1998;3/4/1999;\n\
         2031.3;fan;c. 1880;03.04.98;31/12/1999;\n",
    );
    room.run(&["import", "csv", &list]).done();
    let mapping = format!("{list}.mapping.toml");
    let text = std::fs::read_to_string(&mapping).expect("proposed");
    let text = text.replace("heading = \"Made\"\nas = \"note\"", "heading = \"Made\"\nas = \"piece.date\"");
    std::fs::write(&mapping, &text).expect("written");
    let told = room.run(&["import", "csv", &list, "--json"]).json().remove(0);
    for (at, heading, wanted, doubt) in [
        // No cell of its own tells, whatever the others do.
        (2, "Made", "piece.date: 1815 (1815-06-05)", "`day_first` of the column says which"),
        // Two digits do not say the century in which a piece was made.
        (3, "Made", "", "a year of two digits"),
        (2, "Acquired", "event.date: 1998 (1998-04-03)", ""),
        (3, "Acquired", "event.date: 1998 (1998-12-31)", ""),
        // With full stops the day stands first.
        (4, "Acquired", "event.date: 1998 (1998-04-03)", ""),
        // The cells disagree.
        (2, "Last checked", "examination.date: 1999-12-31", ""),
        (3, "Last checked", "examination.date: 1999-04-03", "`day_first` of the column says which"),
        (4, "Last checked", "examination.date: 1999-12-31", ""),
    ] {
        assert_eq!(read_of(row(&told, at), heading), wanted, "row {at}, {heading}");
        let doubts: Vec<&str> = row(&told, at)["doubts"]
            .as_array()
            .expect("doubts")
            .iter()
            .filter(|d| d["heading"] == heading)
            .filter_map(|d| d["why"].as_str())
            .collect();
        let fits = if doubt.is_empty() { doubts.is_empty() } else { doubts.iter().any(|why| why.contains(doubt)) };
        assert!(fits, "row {at}, {heading}: {doubts:?}");
    }

    // Each column says it in the mapping, where a person corrects it.
    let (_, of_acquired) = text.split_once("heading = \"Acquired\"").expect("the column");
    assert!(of_acquired.contains("\nday_first = true"), "{text}");
    let (_, of_checked) = text.split_once("heading = \"Last checked\"").expect("the column");
    assert!(of_checked.contains("\n# day_first = true"), "{text}");
    let corrected = text.replace("heading = \"Last checked\"", "heading = \"Last checked\"\nday_first = false");
    std::fs::write(&mapping, corrected).expect("written");
    let told = room.run(&["import", "csv", &list, "--json"]).json().remove(0);
    assert_eq!(read_of(row(&told, 3), "Last checked"), "examination.date: 1999-03-04");
    let doubts = row(&told, 4)["doubts"].to_string();
    assert!(doubts.contains("`31/12/1999` can only be 1999-12-31, with the day first"), "{doubts}");
}

#[test]
fn failed_formulas_of_a_text_file_are_read_as_nothing() {
    let room = Room::new();
    let list = room.write("l.csv", "No,Object,Notes\n2031.1,#NAME?,#VALUE!\n2031.2,cap,Err:502\n2031.3,fan,#WERT!\n");
    let told = room.run(&["import", "csv", &list, "--enter", "--json"]).json().remove(0);
    for (at, heading) in [(2, "Object"), (2, "Notes"), (3, "Notes"), (4, "Notes")] {
        assert_eq!(read_of(row(&told, at), heading), "", "row {at}, {heading}");
    }
    assert!(row(&told, 2)["doubts"].to_string().contains("the formula of the cell failed"));
    let piece = Catalogue::open(&room.collection(), clock()).expect("opens").piece("2031.1").expect("entered");
    let text = dimity::exchange::json::of_piece(&piece);
    assert!(!text["piece"].to_string().contains("#NAME?") && !text["examinations"].to_string().contains('#'), "{text}");
    assert_eq!(piece.sources[0].cells[1].text, "#NAME?", "the cell is kept as it stood");
}

#[test]
fn a_list_of_an_old_mac_and_one_whose_first_heading_begins_like_an_archive_are_read() {
    let room = Room::new();
    let mut text = String::from("No;Object;Material\r");
    for i in 1..=400 {
        write!(text, "2031.{i};cap, lady's;silk, lined\r").expect("a text takes it");
    }
    let list = room.write("mac.csv", text);
    let said = room.run(&["import", "csv", &list, "--enter"]).done();
    assert!(
        said.contains("`;` between the cells, headings in row 1") && said.contains("imported: 400 pieces"),
        "{said}"
    );
    let list = room.write("pk.csv", "PK-Nr.;Object\n2032.1;cap\n2032.2;fan\n");
    let said = room.run(&["import", "csv", &list]).done();
    assert!(said.contains("PK-Nr. -> piece.number   a guess"), "{said}");
}

#[test]
fn what_was_answered_in_the_mapping_is_not_asked_again_and_what_was_not_still_stands() {
    let room = Room::new();
    let list = room.write("l.csv", "No;Object;Date\n2031.1;cap;before the war\n2031.2;fan;soon\n");
    room.run(&["import", "csv", &list]).done();
    let mapping = format!("{list}.mapping.toml");
    let text = std::fs::read_to_string(&mapping).expect("proposed");
    let answer = "as = \"piece.date\"\ninstead.\"before the war\" = \"before 1914\"";
    std::fs::write(&mapping, text.replace("as = \"piece.date\"", answer)).expect("written");
    let to_do = || std::fs::read_to_string(format!("{list}.to-do.csv")).expect("written");
    room.run(&["import", "csv", &list, "--enter"]).done();
    let first = to_do();
    assert!(first.contains("soon") && !first.contains("before the war"), "{first}");
    let again = room.run(&["import", "csv", &list, "--enter"]).done();
    assert!(again.contains("2 rows: 2 known") && again.contains("the catalogue was not changed"), "{again}");
    assert_eq!(to_do(), first, "the list to work down is neither doubled nor lost by another run");
}
