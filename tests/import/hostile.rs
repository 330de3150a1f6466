//! Hostile lists: archives that unpack without end, cells without measure, bytes of any kind.

use std::fmt::Write as _;
use std::io::{Cursor, Write};

use dimity::catalogue::{Catalogue, Incoming, Intent};
use dimity::dating::Conventions;
use dimity::exchange::import::mapping::Layout;
use dimity::exchange::import::plan::{Fate, Known, fates};
use dimity::exchange::import::target::fields;
use dimity::exchange::import::{Mapping, Origin, Reader, Reading, Table, Words, open, propose};
use dimity::exchange::line::{Section, Takes};
use dimity::vocabulary::Vocabulary;
use proptest::prelude::*;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::placed;
use crate::support::{Room, clock};

fn archive(parts: &[(&str, Vec<u8>)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        let method = if *name == "mimetype" { CompressionMethod::Stored } else { CompressionMethod::Deflated };
        writer.start_file(*name, SimpleFileOptions::default().compression_method(method)).expect("begun");
        writer.write_all(bytes).expect("written");
    }
    writer.finish().expect("ended").into_inner()
}

fn ods(content: &str) -> Vec<u8> {
    archive(&[
        ("mimetype", b"application/vnd.oasis.opendocument.spreadsheet".to_vec()),
        ("META-INF/manifest.xml", b"<manifest:manifest/>".to_vec()),
        ("content.xml", format!("<office:document-content><office:body><office:spreadsheet><table:table table:name=\"t\">{content}</table:table></office:spreadsheet></office:body></office:document-content>").into_bytes()),
    ])
}

fn refused(bytes: &[u8]) -> String {
    open(bytes, &Layout::default()).expect_err("it should be refused")
}

#[test]
fn archives_that_unpack_without_end_are_refused_before_they_are_read() {
    // 300 MB of noughts in some 300 KB.
    let bomb = archive(&[("xl/worksheets/sheet1.xml", vec![b' '; 300 << 20])]);
    assert!(bomb.len() < 4 << 20, "{}", bomb.len());
    assert!(refused(&bomb).contains("would unpack to more than 256 MB"));

    // The same, declaring to be small: the size is written in the central directory and in the part's own head.
    let mut liar = bomb.clone();
    let size = u32::try_from(300usize << 20).expect("fits").to_le_bytes();
    let places: Vec<usize> = memchr::memmem::find_iter(&bomb, &size).collect();
    assert!(!places.is_empty(), "the declared size is found");
    for at in places {
        liar[at..at + 4].copy_from_slice(&1000u32.to_le_bytes());
    }
    let words = refused(&liar);
    assert!(words.contains("would unpack") || words.contains("damaged"), "{words}");

    let many: Vec<(String, Vec<u8>)> = (0..5000).map(|i| (format!("p{i}"), Vec::new())).collect();
    let many: Vec<(&str, Vec<u8>)> = many.iter().map(|(n, b)| (n.as_str(), b.clone())).collect();
    assert!(refused(&archive(&many)).contains("5000 parts"));
}

#[test]
fn numbers_that_are_meant_to_fill_the_memory_are_refused() {
    let texts = archive(&[(
        "xl/sharedStrings.xml",
        b"<sst uniqueCount=\"99999999999999999\"><si><t>x</t></si></sst>".to_vec(),
    )]);
    assert!(refused(&texts).contains("99999999999999999 texts"));
    let value = "office:value-type=\"string\" office:string-value=\"x\"";
    for content in [
        format!("<table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell table:number-columns-repeated=\"16384\" {value}/></table:table-row>"),
        format!("<table:table-row><table:table-cell {value}/></table:table-row><table:table-row table:number-rows-repeated=\"1000000\"/><table:table-row><table:table-cell table:number-columns-repeated=\"10000\"/><table:table-cell {value}/></table:table-row>"),
        "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>a<text:s text:c=\"4000000000\"/></text:p></table:table-cell></table:table-row>".to_owned(),
    ] {
        let words = refused(&ods(&content));
        assert!(words.contains("beyond every measure"), "{content}: {words}");
    }
    // The blanks at the end of a row and of a sheet, which every program writes, are no harm.
    let sound = format!(
        "<table:table-row><table:table-cell {value}/><table:table-cell table:number-columns-repeated=\"16383\"/></table:table-row><table:table-row table:number-rows-repeated=\"1048575\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>"
    );
    assert_eq!(open(&ods(&sound), &Layout::default()).expect("read").rows.len(), 1);
}

/// Where a workbook's first part is (ISO/IEC 29500-2, 8.3): without it nothing of the rest is looked at.
const PACKAGE: &str = "<Relationships><Relationship Id=\"r0\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>";

/// An xlsx of one sheet called `name`, whose texts and rows are these.
fn xlsx(name: &str, before: &str, texts: &str, rows: &str) -> Vec<u8> {
    let book =
        format!("{before}<workbook><sheets><sheet name=\"{name}\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>");
    let links = "<Relationships><Relationship Id=\"r1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>";
    archive(&[
        ("_rels/.rels", PACKAGE.into()),
        ("xl/workbook.xml", book.into_bytes()),
        ("xl/_rels/workbook.xml.rels", links.into()),
        ("xl/sharedStrings.xml", format!("{before}<sst>{texts}</sst>").into_bytes()),
        (
            "xl/worksheets/sheet1.xml",
            format!("{before}<worksheet><sheetData>{rows}</sheetData></worksheet>").into_bytes(),
        ),
    ])
}

/// No cell of it, if it is read at all, holds more than its own few letters, and none what lies in a file of the machine.
fn harmless(what: &str, bytes: &[u8]) {
    match open(bytes, &Layout::default()) {
        Err(why) => assert!(!why.is_empty() && why.len() < 2000, "{what}: {why}"),
        Ok(table) => {
            let cells = format!("{:?}", table.rows);
            assert!(cells.len() < 10_000 && !cells.contains("root:"), "{what}: {cells:.400}");
        }
    }
}

#[test]
fn entities_and_nesting_of_a_workbook_are_not_followed() {
    const DEEP: usize = 300_000;
    // Ten to the ninth of one word (XML 1.0, 4.4), and what lies in a file beside (4.2.2).
    let mut bomb = String::from("<!DOCTYPE a [<!ENTITY e0 \"silk\">");
    for i in 1..10 {
        let ten = format!("&e{};", i - 1).repeat(10);
        write!(bomb, "<!ENTITY e{i} \"{ten}\">").expect("a text takes it");
    }
    bomb.push_str("]>");
    let outside = "<!DOCTYPE a [<!ENTITY e9 SYSTEM \"file:///etc/passwd\">]>";
    let parameter = "<!DOCTYPE a [<!ENTITY % p SYSTEM \"file:///etc/passwd\"> %p; <!ENTITY e9 \"x\">]>";
    let unended = "<!DOCTYPE a [<!ENTITY e9 \"";
    let text = "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>&e9;</text:p></table:table-cell></table:table-row>";
    let rows =
        "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c><c r=\"B1\" t=\"inlineStr\"><is><t>&e9;</t></is></c></row>";
    let plain = |text: &str| text.replace("&e9;", "silk");
    assert!(
        open(&xlsx("t", "", &plain("<si><t>&e9;</t></si>"), &plain(rows)), &Layout::default()).is_ok(),
        "sound without"
    );
    assert!(open(&ods(&plain(text)), &Layout::default()).is_ok(), "sound without");
    for before in [bomb.as_str(), outside, parameter, unended] {
        harmless(before, &xlsx("t", before, "<si><t>&e9;</t></si>", rows));
        let sheet = format!(
            "{before}<office:document-content><office:body><office:spreadsheet><table:table table:name=\"&e9;\">{text}</table:table></office:spreadsheet></office:body></office:document-content>"
        );
        let parts = [
            ("mimetype", b"application/vnd.oasis.opendocument.spreadsheet".to_vec()),
            ("META-INF/manifest.xml", b"<manifest:manifest/>".to_vec()),
            ("content.xml", sheet.into_bytes()),
        ];
        harmless(before, &archive(&parts));
    }
    for (tag, name) in [
        ("t", "t"),
        ("row", "row r=\"1\""),
        ("table:table", "table:table table:name=\"x\""),
        ("text:span", "text:span"),
        ("si", "si"),
    ] {
        let (open, close) = (format!("<{name}>").repeat(DEEP), format!("</{tag}>").repeat(DEEP));
        harmless(tag, &xlsx("t", "", &format!("<si>{open}x{close}</si>"), &format!("{open}{close}")));
        harmless(tag, &xlsx("t", "", "", &open));
        harmless(
            tag,
            &ods(&format!(
                "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>{open}x{close}</text:p></table:table-cell></table:table-row>"
            )),
        );
        harmless(tag, &ods(&open));
    }
}

#[test]
fn hostile_names_of_parts_and_sheets_lead_nowhere() {
    let room = Room::new();
    let sound = xlsx("t", "", "<si><t>No</t></si>", "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c></row>");
    let around = |room: &Room| {
        let mut names: Vec<_> =
            std::fs::read_dir(room.path()).expect("reads").map(|e| e.expect("an entry").file_name()).collect();
        names.sort();
        names
    };
    for name in [
        "../../up.xml",
        "/tmp/dimity-up.xml",
        "C:\\up.xml",
        "xl/../../up.xml",
        "a\u{1b}[31m",
        "",
        "nul",
        "xl/worksheets/../workbook.xml",
    ] {
        let mut parts = vec![(name, b"<x/>".to_vec())];
        parts.push(("xl/workbook.xml", b"<workbook/>".to_vec()));
        harmless(name, &archive(&parts));
        let list = room.write("up.xlsx", archive(&parts));
        let said = room.run(&["import", "xlsx", &list]);
        assert!(said.code == Some(1) && !said.err.contains('\u{1b}'), "{name:?}: {said:?}");
    }
    assert!(!std::path::Path::new("/tmp/dimity-up.xml").exists() && !room.path().join("../up.xml").exists());
    assert_eq!(open(&sound, &Layout::default()).expect("what the names are put into is sound").rows.len(), 1);
    for sheet in
        ["../../up", "/etc/x", "a&#x1b;[31mred", "&quot;]\n[x]", "'; DROP TABLE piece; --", "&lt;b&gt;", "\u{202e}x"]
    {
        let rows = "<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>No</t></is></c><c r=\"B1\" t=\"inlineStr\"><is><t>Object</t></is></c></row>\
            <row r=\"2\"><c r=\"A2\" t=\"inlineStr\"><is><t>2031.5</t></is></c><c r=\"B2\" t=\"inlineStr\"><is><t>cap</t></is></c></row>";
        let room = Room::new();
        let list = room.write("s.xlsx", xlsx(sheet, "", "", rows));
        // Twice: the second time by the mapping that the first has written, with the name in it.
        for arguments in [&["import", "xlsx", &list][..], &["import", "xlsx", &list, "--enter"]] {
            let shown = room.run(arguments);
            assert_eq!(shown.code, Some(0), "{sheet}: {shown:?}");
            assert!(!shown.out.contains('\u{1b}'), "{sheet}: {shown:?}");
        }
        assert_eq!(around(&room), ["collection", "s.xlsx", "s.xlsx.mapping.toml", "s.xlsx.to-do.csv"], "{sheet}");
        room.run(&["check"]).done();
    }
}

#[test]
fn what_is_no_list_is_told_in_words() {
    let wide = vec!["x"; 100_000].join(",");
    let long = format!("a,b\n1,{}", "x".repeat(2 << 20));
    for (bytes, words) in [
        (wide.as_bytes(), "at most 1000 columns"),
        (long.as_bytes(), "the cell holds"),
        (b"".as_slice(), "holds no cells"),
        (b"\n\n;;\n", "holds no cells"),
        (b"%PDF-1.7", "a PDF"),
        (&[0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1], "old binary workbook"),
        (b"PK\x03\x04rubbish", "damaged"),
    ] {
        let told = refused(bytes);
        assert!(told.contains(words), "{words}: {told}");
    }
    let room = Room::new();
    assert!(room.run(&["import", "csv", "nowhere.csv"]).refused().contains("cannot be read"));
}

#[test]
fn hostile_cells_are_kept_as_words_and_shown_without_harm() {
    let room = Room::new();
    let list = room.write(
        "l.csv",
        "No,Object,Notes\n../../etc,cap,\u{1b}[31mred\n=2+2,cap,\n2031.1,\u{7}cap\u{0},\"-1+cmd|' /C calc'!A0\"\n",
    );
    let shown = room.run(&["import", "csv", &list]).done();
    assert!(!shown.contains('\u{1b}') && !shown.contains('\u{7}'), "{shown:?}");
    assert!(shown.contains("looks like a formula"), "{shown}");
    room.run(&["import", "csv", &list, "--enter"]).done();
    let kept = Catalogue::open(&room.collection(), clock()).expect("opens").piece("2031.1").expect("there");
    assert_eq!(kept.piece.object_name.as_deref(), Some("cap"));
    assert_eq!(kept.sources[0].cells[1].text, "\u{7}cap\u{0}", "the cell is kept as it stood");
    assert!(!room.run(&["show", "2031.1"]).done().contains('\u{7}'));
    room.run(&["check"]).done();
}

/// Reads a list from end to end and tries to enter it.
fn tried(bytes: &[u8]) {
    let Ok(table) = open(bytes, &Layout::default()) else { return };
    let conventions = Conventions::default();
    let mapping = propose(&table, &Layout::default(), &words(&conventions));
    let text = mapping.text("list.csv");
    let again = Mapping::read(&text).unwrap_or_else(|e| panic!("the mapping reads back: {e}\n{text}"));
    let readings = readings(&table, &again, &conventions);
    for (reading, row) in readings.iter().zip(table.body(&again.headings(&table))) {
        for (cell, kept) in row.cells.iter().zip(&reading.source.cells) {
            assert_eq!(cell.text, kept.text, "every cell is kept");
        }
    }
    entered(readings, &text);
}

fn words(conventions: &Conventions) -> Words<'_> {
    Words { vocabulary: Vocabulary::shipped(), conventions, day_first: None }
}

fn readings(table: &Table, mapping: &Mapping, conventions: &Conventions) -> Vec<Reading> {
    let headings = mapping.headings(table);
    let origin = Origin {
        file: "list.csv",
        sha256: &"0".repeat(64),
        sheet: None,
        today: jiff::civil::date(2031, 5, 1),
        importer: "Wren Askerdale",
    };
    let reader = Reader::new(mapping, &headings, words(conventions), origin);
    table.body(&headings).map(|row| reader.read(row)).collect()
}

fn incoming(readings: Vec<Reading>) -> Vec<Incoming> {
    let fates = fates(&readings, &Known::default());
    let new = readings.into_iter().zip(fates).filter(|(_, fate)| *fate == Fate::New);
    new.map(|(r, _)| Incoming { file: r.file, source: r.source }).collect()
}

/// Enters what was read: whatever that is, the catalogue takes it.
fn entered(readings: Vec<Reading>, about: &str) {
    let incoming = incoming(readings);
    let intent = Intent { author: "Wren Askerdale".into(), ..Intent::default() };
    let mut desk = crate::support::Desk::new();
    let done =
        desk.catalogue.import(&incoming, &[], &intent, &mut || Ok(())).unwrap_or_else(|e| panic!("{e}\n{about}"));
    assert_eq!(done.pieces, incoming.len());
    assert_eq!(desk.catalogue.check().expect("checks"), []);
}

/// Cells for a field that takes this: some that it can hold, and some that it cannot.
fn cells_for(takes: &Takes) -> Vec<String> {
    let own = match takes {
        Takes::Term(scheme, _) => Vocabulary::shipped().terms(*scheme).map(|t| t.name().to_owned()).take(2).collect(),
        Takes::Choice(words) => words.iter().map(|word| (*word).to_owned()).collect(),
        _ => Vec::new(),
    };
    let any =
        ["words of some kind?", "1880", "0", "-3", "7.5", "12 cm", "3 cm2", "50 %", "5 g", "1 h", "2031-04-30", "a; b"];
    own.into_iter().chain(any.map(String::from)).collect()
}

#[test]
fn whatever_a_lone_column_is_taken_for_the_list_goes_in() {
    let conventions = Conventions::default();
    let mut desk = crate::support::Desk::new();
    let trial = Intent { author: "Wren Askerdale".into(), dry_run: true, ..Intent::default() };
    let (mut all, mut refused) = (Vec::new(), Vec::new());
    for field in fields().filter(|field| field != "piece.number") {
        let (section, name) = field.split_once('.').expect("a section and a field");
        let slot = Section::named(section).and_then(|section| section.slot(name)).expect("a field of a sheet");
        let cells = cells_for(&slot.takes);
        let list = cells
            .iter()
            .enumerate()
            .fold("No\tX\n".to_owned(), |list, (i, cell)| format!("{list}{field} {i}\t{cell}\n"));
        let columns = [("No", "piece.number"), ("X", &field)];
        let columns =
            columns.map(|(heading, word)| format!("[[column]]\nheading = \"{heading}\"\nas = \"{word}\"\n")).concat();
        let mapping = Mapping::read(&format!("[file]\nheadings = 1\n{columns}")).expect("a mapping");
        let table = open(list.as_bytes(), &Layout { delimiter: Some('\t'), ..Layout::default() }).expect("a list");
        let read = readings(&table, &mapping, &conventions);
        assert_eq!(read.len(), cells.len());
        for reading in &read {
            let cell = &reading.source.cells[1];
            let kept = reading.file.examinations.first().and_then(|e| e.about.note.clone()).unwrap_or_default();
            assert!(
                !matches!(cell.read.as_str(), "" | "kept as a note") || kept.contains(cell.text.trim()),
                "{field}: `{}` is nowhere in the record: {kept:?}",
                cell.text
            );
        }
        if let Err(why) = desk.catalogue.import(&incoming(read.clone()), &[], &trial, &mut || Ok(())) {
            refused.push(format!("{field}: {why}"));
        }
        all.extend(read);
    }
    assert!(refused.is_empty(), "{refused:#?}");
    entered(all, "one column beside the number");
}

/// A cell as lists have them, or any text.
fn cell() -> impl Strategy<Value = String> {
    prop_oneof![
        "[0-9]{1,4}[./-][0-9]{1,3}[a-c]{0,2}",
        "(c\\. |before |late )?1[78][0-9]{2}(s|\\?|/[0-9]{2}|\\.0)?",
        "(silk|cotton|wool|mix|\\?|/|, |60%|lined with | or ){1,6}",
        "(H\\.? |W |waist |)[0-9]{1,3}([.,][0-9])?( x [0-9]{1,3})?( cm| in| mm|\"|)",
        "(Good|poor|tear|moth holes|no |; |slight ){1,4}",
        "\\PC{0,20}",
        Just(String::new()),
        Just("Total".to_owned()),
        Just("\u{0}\u{1b}=\"'`;\n".to_owned()),
    ]
}

proptest! {
    #![proptest_config(crate::support::cases::cases(48))]

    #[test]
    fn no_cells_are_too_strange(rows in prop::collection::vec(prop::collection::vec(cell(), 10), 1..6), headed in any::<bool>()) {
        let mut writer = csv::Writer::from_writer(Vec::new());
        if headed {
            writer.write_record(["No", "Object", "Date", "Material", "Size", "Condition", "Where", "Donor", "Acquired", "Notes"]).expect("written");
        }
        for row in &rows {
            writer.write_record(row).expect("written");
        }
        tried(&writer.into_inner().expect("written"));
    }

    #[test]
    fn no_bytes_are_too_strange(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        tried(&bytes);
    }

    #[test]
    fn no_damage_to_a_workbook_is_too_strange(which in 0usize..2, at in any::<prop::sample::Index>(), put in prop::collection::vec(any::<u8>(), 1..8)) {
        let room = Room::bare();
        let mut bytes = std::fs::read(placed(&room, ["store.xlsx", "liste.ods"][which])).expect("reads");
        let at = at.index(bytes.len());
        for (i, byte) in put.into_iter().enumerate() {
            if let Some(place) = bytes.get_mut(at + i) {
                *place = byte;
            }
        }
        let _ = open(&bytes, &Layout::default());
    }

    #[test]
    fn no_sheet_of_an_archive_is_too_strange(inner in "(<(row|c|v|t|is|sheetData|mergeCell)( r=\"[A-Z]{0,4}[0-9]{0,12}\"| t=\"(s|b|e|d|inlineStr)\"| s=\"[0-9]{1,9}\"| ref=\"[A-Z0-9:]{0,9}\")*/?>|</(row|c|v|t|is|sheetData)>|[0-9]{1,12}|&[a-z#0-9]{0,6};){0,24}") {
        let bytes = xlsx("t", "", "", &inner);
        let _ = open(&bytes, &Layout::default());
    }
}
