//! Lists as they are: the mapping, the dry run, the reading of their mess, the list to work down, run twice.

use dimity::catalogue::Catalogue;

use super::{placed, read_of, row};
use crate::support::{Room, clock};

#[test]
fn a_mapping_is_proposed_corrected_by_hand_and_used_again() {
    let room = Room::new();
    let list = placed(&room, "chest.csv");
    let first = room.run(&["import", "csv", &list, "--by", "Wren Askerdale"]).done();
    assert!(first.contains("chest.csv: csv, windows-1252, `;` between the cells, headings in row 2"), "{first}");
    assert!(first.contains("Acc. No. -> piece.number") && first.contains("would be imported"), "{first}");
    let mapping = format!("{list}.mapping.toml");
    let text = std::fs::read_to_string(&mapping).expect("the mapping stands beside the list");
    for words in [
        "encoding = \"windows-1252\"",
        "delimiter = \";\"",
        "heading = \"Notes (2)\"",
        "as = \"materials\"  # sure",
        "#   \"silk/cotton mix?\"",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    assert!(
        Catalogue::open(&room.collection(), clock()).expect("opens").numbers().expect("reads").is_empty(),
        "a dry run changes nothing"
    );

    let corrected = text
        .replace("as = \"dimensions\"", "as = \"dimensions\"\norder = [\"total height\", \"total width\"]")
        .replace("as = \"piece.date\"", "as = \"piece.date\"\ninstead.\"before the war\" = \"before 1914\"")
        .replace("[numbers]\n", "[numbers]\n\"row 11\" = \"2031.9\"\n")
        .replace("# date = 2009-05-31", "date = 2009-05-31");
    assert_ne!(corrected, text);
    std::fs::write(&mapping, &corrected).expect("written");
    let told = room.run(&["import", "csv", &list, "--json"]).json().remove(0);
    assert_eq!(told["mapping_proposed"], false);
    assert_eq!(read_of(row(&told, 5), "Size"), "total height 380.0 ± 2.9 mm; total width 705.00 ± 0.29 mm");
    assert_eq!(read_of(row(&told, 6), "Dating"), "piece.date: 1913 or earlier (../1913)");
    assert_eq!(row(&told, 11)["number"], "2031.9", "a blank number is given by its row");
    assert_eq!(
        std::fs::read_to_string(&mapping).expect("reads"),
        corrected,
        "a mapping that a person corrected is left alone"
    );

    std::fs::write(&mapping, corrected.replace("as = \"move.to\"", "as = \"move.too\"")).expect("written");
    let wrong = room.run(&["import", "csv", &list]).refused();
    assert!(wrong.contains("did you mean `move.to`?") && wrong.contains("mapping.toml"), "{wrong}");
}

#[test]
fn the_mess_of_a_real_list_is_read_and_every_doubt_is_told() {
    let room = Room::new();
    let list = placed(&room, "chest.csv");
    let told = room.run(&["import", "csv", &list, "--json", "--by", "Wren Askerdale"]).json().remove(0);
    for (at, heading, wanted) in [
        (3, "Size", "centre back length 387.00 ± 0.29 mm; waist girth 698.5 ± 0.9 mm"),
        (3, "Material", "shell: silk (possible), cotton (possible)"),
        (3, "Dating", "piece.date: 1810 to 1820 (1815~)"),
        (3, "Acquired", "event.date: 1998 (1998-12-31)"),
        (3, "Notes", "kept as a note; bust girth 864 ± 7 mm"),
        (4, "Acc. No.", "2031-2a,b, with the parts a, b"),
        (4, "Material", "shell: wool (probable); lining: linen (probable)"),
        (4, "Condition", "grade fair, insect damage"),
        (4, "Donor", ""),
        (5, "Notes", "kept as a note; move.to: drawer 2; measurement.readings: 610.0 ± 2.9 mm"),
        (6, "Notes", "kept as a note"),
        (9, "Dating", "piece.date: 1881"),
        (9, "Material", "shell: cotton 60 % (probable), linen 40 % (probable)"),
        (9, "Where", ""),
        (14, "Material", "a, b, shell: leather (probable); c, shell: cotton (possible)"),
        (14, "Donor", "person.person: Fräulein Möhrle"),
    ] {
        assert_eq!(read_of(row(&told, at), heading), wanted, "row {at}, {heading}");
    }
    // Doubts, by row, heading and words.
    for (at, heading, words) in [
        (3, "Material", "silk in `silk/cotton mix?` is possible, no more"),
        (5, "Size", "which dimension is `38 cm`?"),
        (6, "Dating", "no date that can be read"),
        (12, "Size", "differ by 647 mm"),
        (12, "Material", "no fibre, cloth or finish"),
    ] {
        let doubts = row(&told, at)["doubts"].as_array().expect("doubts");
        let found =
            doubts.iter().any(|d| d["heading"] == heading && d["why"].as_str().is_some_and(|w| w.contains(words)));
        assert!(found, "row {at}, {heading}: {words}\n{doubts:#?}");
    }
    let fates: Vec<(u64, &str)> = told["rows"]
        .as_array()
        .expect("rows")
        .iter()
        .map(|r| (r["row"].as_u64().expect("a row"), r["fate"].as_str().expect("a word")))
        .collect();
    assert_eq!(
        fates,
        [
            (3, "new"),
            (4, "new"),
            (5, "new"),
            (6, "new"),
            (8, "no piece"),
            (9, "new"),
            (10, "left out"),
            (11, "left out"),
            (12, "new"),
            (13, "no piece"),
            (14, "new"),
            (15, "no piece")
        ]
    );
}

#[test]
fn all_cells_are_kept_beside_what_was_read_and_nothing_is_certain_or_seen() {
    let room = Room::new();
    let list = placed(&room, "chest.csv");
    let done = room.run(&["import", "csv", &list, "--enter", "--by", "Wren Askerdale"]).done();
    assert!(done.contains("imported: 7 pieces"), "{done}");
    let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens");
    let file = catalogue.piece("2031.3").expect("imported");
    let cells: Vec<(&str, &str)> =
        file.sources[0].cells.iter().map(|c| (c.heading.as_str(), c.text.as_str())).collect();
    assert_eq!(
        cells,
        [
            ("Acc. No.", "2031.3"),
            ("Object", "Stays"),
            ("Dating", "1780s?"),
            ("Material", "prob. linen"),
            ("Size", "38 x 70.5 cm"),
            ("Condition", "poor"),
            ("Where", ""),
            ("Donor", ""),
            ("Acquired", ""),
            ("Photo", ""),
            ("Notes", "Loc: drawer 2\nWaist: 61 cm"),
            ("Notes (2)", "")
        ]
    );
    assert_eq!((file.sources[0].row, file.sources[0].file.as_str()), (5, "chest.csv"));
    let exam = &file.examinations[0];
    assert!(
        exam.about.note.as_deref().is_some_and(|n| n.contains("Size: 38 x 70.5 cm") && n.contains("Waist: 61 cm")),
        "what was not read is kept in words: {:?}",
        exam.about.note
    );
    for number in catalogue.numbers().expect("reads") {
        let json = dimity::exchange::json::of_piece(&catalogue.piece(&number).expect("reads"));
        let text = json["examinations"].to_string();
        assert!(
            !text.contains("certainty/certain")
                && !text.contains("evidence/seen")
                && !text.contains("evidence/measured"),
            "{number}: {text}"
        );
        assert!(
            json["old_lists"][0]["cells"].as_array().is_some_and(|c| c.len() == 12),
            "{number}: the JSON has every cell"
        );
    }
    // Nobody looked at it: it is due to be examined, however new the import is.
    let due = room.run(&["due"]).done();
    assert!(due.contains("2031.3") && due.contains("never examined"), "{due}");
    let shown = room.run(&["show", "2031.3"]).done();
    assert!(shown.contains("# from the old list chest.csv, row 5") && shown.contains("#   Dating: 1780s?"), "{shown}");
    let sql = rusqlite::Connection::open(room.collection().join("catalogue.sqlite")).expect("opens");
    let of_view: String = sql
        .query_row(
            "SELECT text || ' = ' || read FROM v_source_cell WHERE number = '2031.1' AND heading = 'Material'",
            [],
            |r| r.get(0),
        )
        .expect("the view shows it");
    assert_eq!(of_view, "silk/cotton mix? = shell: silk (possible), cotton (possible)");
    let journal = room.run(&["journal", "2031.3"]).done();
    assert!(journal.contains("Wren Askerdale") && journal.contains("imported from `chest.csv`"), "{journal}");
    room.run(&["check"]).done();
}

#[test]
fn what_could_not_be_read_is_a_list_to_work_down() {
    let room = Room::new();
    let list = placed(&room, "chest.csv");
    room.run(&["import", "csv", &list, "--by", "Wren Askerdale"]).done();
    let to_do = format!("{list}.to-do.csv");
    let mut reader = csv::Reader::from_path(&to_do).expect("the list stands beside the spreadsheet");
    let lines: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a line")).collect();
    let line = |row: &str, column: &str| {
        lines
            .iter()
            .find(|l| &l[0] == row && &l[2] == column)
            .unwrap_or_else(|| panic!("row {row}, {column}: {lines:#?}"))
    };
    assert_eq!(&line("6", "Dating")[3], "before the war");
    assert!(line("6", "Dating")[5].contains("instead.\"before the war\""));
    assert!(line("11", "")[4].contains("no accession number"));
    assert!(line("10", "")[4].contains("row 9 has this number already"));
    assert!(lines.iter().all(|l| !l[3].starts_with('=')), "no formula runs where the list is opened");
    // A file of somebody else is not overwritten.
    std::fs::write(&to_do, "my own list\n").expect("written");
    let refused = room.run(&["import", "csv", &list]).refused();
    assert!(refused.contains("is another file"), "{refused}");
}

#[test]
fn run_twice_nothing_is_doubled_changes_are_told_and_new_rows_go_in() {
    let room = Room::new();
    let text = "No;Object;Date\n2031.1;cap;1810\n2031.2;cap;1820\n";
    let list = room.write("caps.csv", text);
    let import =
        |more: &[&str]| room.run(&[&["import", "csv", &list, "--enter", "--by", "Wren Askerdale"], more].concat());
    assert!(import(&[]).done().contains("imported: 2 pieces"));
    let rows = || {
        dimity::catalogue::Catalogue::open(&room.collection(), clock())
            .expect("opens")
            .journal(None)
            .expect("reads")
            .len()
    };
    let before = rows();
    let again = import(&[]).done();
    assert!(again.contains("2 rows: 2 known") && again.contains("the catalogue was not changed"), "{again}");
    assert_eq!(rows(), before, "nothing is written by the second run");

    // A row above, one changed, one new: known by number and text, not by place.
    room.write("caps.csv", "No;Object;Date\n2031.0;bag;1800\n2031.1;cap;1811\n2031.2;cap;1820\n2031.3;cap;1830\n");
    let third = import(&[]).done();
    assert!(third.contains("4 rows: 2 new, 1 changed since, 1 known"), "{third}");
    assert!(third.contains("the list says something else now under `Date`"), "{third}");
    let catalogue = dimity::catalogue::Catalogue::open(&room.collection(), clock()).expect("opens");
    let date = |number: &str| catalogue.piece(number).expect("there").piece.date.expect("dated").as_written;
    assert_eq!((date("2031.1"), date("2031.3")), ("1810".into(), "1830".into()), "the record is not overwritten");

    // Once the record was looked at, the new wording is kept beside the old, and is known from then on.
    import(&["--keep-changed"]).done();
    let fourth = import(&[]).done();
    assert!(fourth.contains("4 rows: 4 known"), "{fourth}");
    assert_eq!(catalogue.piece("2031.1").expect("there").sources.len(), 2);

    // A correction by hand is not undone by another run.
    let fix = room.write("fix.toml", "reason = \"looked again\"\n[piece]\nnumber = \"2031.2\"\ndate = \"1825\"\n");
    room.run(&["enter", &fix]).done();
    import(&[]).done();
    assert_eq!(date("2031.2"), "1825");
    room.run(&["check"]).done();
}

#[test]
fn pieces_that_are_there_or_were_purged_are_left_alone() {
    let room = Room::with(&["[piece]\nnumber = \"2031-7\"\nnature = \"extant\"\nobject_name = \"cap\"\n"]);
    let list = room.write("l.csv", "No,Object\n2031.7,cap\n2031-7,cap\n2031.8,cap\n2031.9,cap\n");
    let told = room.run(&["import", "csv", &list, "--enter"]).done();
    assert!(told.contains("differs from `2031.7` in its signs alone"), "{told}");
    assert!(told.contains("4 rows: 2 left out, 2 new"), "{told}");
    room.run(&["purge", "2031.8", "--reason", "given back", "--yes"]).done();
    let again = room.run(&["import", "csv", &list, "--enter"]).done();
    assert!(again.contains("`2031.8` was purged") && again.contains("the catalogue was not changed"), "{again}");
    room.run(&["withdraw", "2031.9", "--reason", "lent"]).done();
    assert!(room.run(&["import", "csv", &list, "--enter"]).done().contains("1 known"));
}

#[test]
fn workbooks_are_read_with_their_own_mess() {
    let room = Room::new();
    let list = placed(&room, "store.xlsx");
    let told = room.run(&["import", "xlsx", &list, "--json"]).json().remove(0);
    let columns: Vec<String> = told["columns"]
        .as_array()
        .expect("columns")
        .iter()
        .map(|c| format!("{} = {}", c["heading"].as_str().unwrap_or(""), c["as"].as_str().unwrap_or("")))
        .collect();
    assert_eq!(columns[0], "Inv. No. = piece.number");
    assert!(
        columns.contains(&"Size / H (cm) = measurement.readings".to_owned()),
        "two rows of headings are one: {columns:?}"
    );
    assert_eq!(read_of(row(&told, 4), "Size / W (cm)"), "measurement.readings: 415.00 ± 0.29 mm");
    assert_eq!(read_of(row(&told, 4), "Last checked"), "examination.date: 2004-05-06");
    let doubts = row(&told, 4)["doubts"].to_string();
    assert!(doubts.contains("2031.10 has become 2031.1"), "{doubts}");
    assert_eq!(read_of(row(&told, 5), "Remarks"), "kept as a note", "a merged cell holds for each of its rows");
    assert_eq!(read_of(row(&told, 6), "Size / H (cm)"), "measurement.readings: 185.00 ± 0.29 mm");
    let said = room.run(&["import", "xlsx", &list, "--enter"]).done();
    assert!(said.contains("other sheets are not read: `Old`") && said.contains("imported: 3 pieces"), "{said}");

    let list = placed(&room, "liste.ods");
    let told = room.run(&["import", "ods", &list, "--json"]).json().remove(0);
    assert_eq!(read_of(row(&told, 2), "Bemerkungen"), "kept as a note");
    assert_eq!(row(&told, 2)["cells"][7]["text"], "zwei Zeilen\nin einer Zelle");
    assert_eq!(read_of(row(&told, 2), "Material"), "shell: linen (possible)");
    assert_eq!(read_of(row(&told, 4), "Datierung"), "piece.date: 1795");
    assert_eq!(read_of(row(&told, 4), "Maße"), "total width 200.0 ± 2.9 mm");
    assert!(row(&told, 5)["doubts"].to_string().contains("made a day of what was typed"));
    room.run(&["import", "ods", &list, "--enter"]).done();
    let wrong = room.run(&["import", "csv", &list]).refused();
    assert!(wrong.contains("its bytes are those of ods, not of csv; write `dimity import ods`"), "{wrong}");
    room.run(&["check"]).done();
}

#[test]
fn where_a_heading_names_the_number_or_the_date_no_other_column_is_guessed_to_be_one() {
    let room = Room::new();
    let list =
        "Inv. no;What;When;Where kept;Worn\n1998.3;Bodice;c. 1880;Box 4;1880-85\n1998.4;Gown;1810-15;Box 5;1810-15\n";
    let list = room.write("list.csv", list);
    let said = room.run(&["import", "csv", &list]).done();
    for (column, taken_for) in [
        ("Inv. no", "piece.number   sure"),
        ("When", "piece.date   sure"),
        ("Where kept", "move.to   sure"),
        ("Worn", "note   dates of something else"),
    ] {
        assert!(said.contains(&format!("{column} -> {taken_for}")), "{column}: {taken_for}\n{said}");
    }
}

#[test]
fn days_of_a_nameless_column_are_no_dates_of_making() {
    let room = Room::new();
    let list = room.write("list.csv", "Inv. no;What;Seen on\n1998.3;Bodice;3/4/1998\n1998.4;Gown;5/4/1998\n");
    let said = room.run(&["import", "csv", &list]).done();
    assert!(said.contains("Seen on -> note"), "{said}");
}

#[test]
fn a_number_given_to_a_row_stays_with_what_stands_there() {
    let room = Room::new();
    let rows = "2031.21;Cap\n2031.21;Bag\n;Fan\n2031.24;Shawl\n";
    let list = room.write("list.csv", format!("Inv. no;What\n{rows}"));
    let said = room.run(&["import", "csv", &list]).done();
    assert!(said.contains("\"2031.21 [2]\" = ...") && said.contains("add \"row 4\" = "), "{said}");
    let mapping = std::fs::read_to_string(format!("{list}.mapping.toml")).expect("reads");
    let given = "[numbers]\n\"2031.21 [2]\" = \"2031.22\"\n\"row 4\" = \"2031.23\"\n";
    std::fs::write(format!("{list}.mapping.toml"), mapping.replace("[numbers]\n", given)).expect("written");
    let said = room.run(&["import", "csv", &list, "--enter"]).done();
    assert!(said.contains("imported: 4 pieces"), "{said}");
    // One row comes in above: no other row takes the numbers, and none is taken for changed.
    room.write("list.csv", format!("Inv. no;What\n2031.20;Muff\n{rows}"));
    let said = room.run(&["import", "csv", &list]).done();
    assert!(!said.contains("changed since"), "{said}");
    assert!(said.contains("5 rows: 1 new, 3 known, 1 left out"), "{said}");
}

#[test]
fn a_colour_beside_a_material_is_that_of_the_same_cloth() {
    for heading in [
        "Inv. no;Material;Colour\n2031.1;silk, cotton lining;blue\n",
        "Inv. no;Colour;Material\n2031.1;blue;silk, cotton lining\n",
    ] {
        let room = Room::new();
        let list = room.write("list.csv", heading);
        room.run(&["import", "csv", &list, "--enter"]).done();
        let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
        let cloths = piece["examinations"][0]["textile"].as_array().expect("cloths");
        let told: Vec<_> = cloths
            .iter()
            .map(|c| (c["role"].as_str(), c["colour"].as_str(), c["fibres"][0]["fibre"].as_str()))
            .collect();
        let wanted = [
            (Some("textile_role/shell"), Some("blue"), Some("fibre/silk")),
            (Some("textile_role/lining"), None, Some("fibre/cotton")),
        ];
        assert_eq!(told, wanted, "{heading}{piece:#}");
    }
}

#[test]
fn the_unit_of_a_heading_is_its_last_word_for_one() {
    let room = Room::new();
    let list = room.write("l.csv", "Inv. Nr.;Höhe in cm;Taille en mm\n2031.1;42;610\n");
    let told = room.run(&["import", "csv", &list, "--json"]).json().remove(0);
    assert_eq!(read_of(row(&told, 2), "Höhe in cm"), "measurement.readings: 420.0 ± 2.9 mm");
    assert_eq!(read_of(row(&told, 2), "Taille en mm"), "measurement.readings: 610.00 ± 0.29 mm");
}

#[test]
fn a_record_that_lacks_what_it_needs_stays_a_note_and_is_told() {
    let room = Room::new();
    let list = room.write("l.csv", "No,Object,Wrapped in,Moved\n2031.1,cap,grey tissue,2009-05-31\n2031.2,bag,,\n");
    room.run(&["import", "csv", &list]).done();
    let mapping = format!("{list}.mapping.toml");
    let text = std::fs::read_to_string(&mapping).expect("a mapping was proposed");
    let corrected = text
        .replace("heading = \"Wrapped in\"\nas = \"note\"", "heading = \"Wrapped in\"\nas = \"housing.description\"")
        .replace("heading = \"Moved\"\nas = \"piece.date\"", "heading = \"Moved\"\nas = \"move.date\"")
        .replace("heading = \"Moved\"\nas = \"note\"", "heading = \"Moved\"\nas = \"move.date\"");
    assert!(corrected.contains("housing.description") && corrected.contains("move.date"), "{text}");
    std::fs::write(&mapping, corrected).expect("written");
    let told = room.run(&["import", "csv", &list, "--enter", "--json"]).json().remove(0);
    assert_eq!(told["pieces"], 2);
    assert_eq!(read_of(row(&told, 2), "Wrapped in"), "kept as a note");
    let doubts = row(&told, 2)["doubts"].to_string();
    for needed in ["`housing.storage`", "`move.to`"] {
        assert!(doubts.contains(needed), "{needed}: {doubts}");
    }
    let kept = Catalogue::open(&room.collection(), clock()).expect("opens").piece("2031.1").expect("there");
    assert_eq!((kept.housings.len(), kept.moves.len()), (0, 0));
    let note = kept.examinations[0].about.note.clone().unwrap_or_default();
    assert!(note.contains("Wrapped in: grey tissue") && note.contains("Moved: 2009-05-31"), "{note}");
    room.run(&["check"]).done();
}

#[test]
fn a_column_is_called_sure_only_where_its_cells_can_be_read() {
    let room = Room::new();
    let list =
        room.write("l.csv", "No,Object,Packing,Keywords\n2031.1,cap,green crate,a\n2031.2,bag,the other one,b\n");
    let said = room.run(&["import", "csv", &list]).done();
    assert!(
        said.contains("Packing -> housing.storage   likely: the heading says so, but only 0 of 2 cells fit"),
        "{said}"
    );
    assert!(said.contains("Keywords -> piece.keywords   sure"), "{said}");
}
