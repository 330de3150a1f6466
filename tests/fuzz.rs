//! Foreign and damaged bytes for every reader of files and of what is typed: none of it panics, or is taken for what it is
//! not. `DIMITY_FUZZ` sets how many cases each gets; thousands before a release, under a bound of memory (`SAFEKEEPING.md`).
//! Sheets are tried in `faults`, lists as whole archives in `import`, requests in `workbench`.

mod support;

use std::io::{Cursor, Read as _, Write as _};
use std::path::Path;
use std::sync::OnceLock;

use dimity::analysis::comparison::{ByHand, Sizes};
use dimity::catalogue::tables;
use dimity::dating::Conventions;
use dimity::draft::{Draft, DraftLine, Drafts, KeptList, Lists, TakenIn, Trial};
use dimity::exchange::catalogue_in;
use dimity::exchange::import::mapping::Layout;
use dimity::exchange::import::{Mapping, Words, open, propose};
use dimity::photograph::Store;
use dimity::readings::threads::Square;
use dimity::record::photograph::Shape;
use dimity::vocabulary::Vocabulary;
use proptest::prelude::*;
use support::cases::{cases, damage, damaged};
use support::{AGAIN, PLAIN, Room, SPENCER};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name)).expect("the fixture is there")
}

/// A catalogue's document, as it is exported.
fn document() -> &'static [u8] {
    static DOCUMENT: OnceLock<Vec<u8>> = OnceLock::new();
    DOCUMENT.get_or_init(|| {
        let room = Room::with(&[SPENCER, PLAIN, AGAIN]);
        room.run(&["photo", "add", "2031.1", &room.photograph("one.png", 1)]).done();
        room.run(&["export", "json"]).done();
        std::fs::read(room.collection().join("exports/json/catalogue.json")).expect("exported")
    })
}

fn read_document(bytes: &[u8]) -> Result<usize, String> {
    let mut rows = 0;
    let mut take = |_: &_, _| {
        rows += 1;
        Ok(())
    };
    catalogue_in::read(bytes, tables().expect("tables"), &mut take)?;
    Ok(rows)
}

/// The mapping that is proposed for the list of the fixtures.
fn mapping() -> &'static str {
    static MAPPING: OnceLock<String> = OnceLock::new();
    MAPPING.get_or_init(|| {
        let (layout, conventions) = (Layout::default(), Conventions::default());
        let table = open(&fixture("import/chest.csv"), &layout).expect("read");
        let words = Words { vocabulary: Vocabulary::shipped(), conventions: &conventions, day_first: None };
        propose(&table, &layout, &words).text("chest.csv")
    })
}

/// Parts of an archive.
fn parts(archive: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut archive = ZipArchive::new(Cursor::new(archive)).expect("an archive");
    let count = archive.len();
    let read = |i| {
        let mut part = archive.by_index(i).expect("a part");
        let mut bytes = Vec::new();
        part.read_to_end(&mut bytes).expect("whole");
        let name = part.name().expect("a text").into_owned();
        (name, bytes)
    };
    (0..count).map(read).collect()
}

/// The same packed again, so that every sum is right.
fn packed(parts: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        let method = if name == "mimetype" { CompressionMethod::Stored } else { CompressionMethod::Deflated };
        writer.start_file(name, SimpleFileOptions::default().compression_method(method)).expect("begun");
        writer.write_all(bytes).expect("written");
    }
    writer.finish().expect("ended").into_inner()
}

/// A draft and a kept list with something in every field.
fn kept() -> (Draft, KeptList) {
    let line = |key: u64| DraftLine {
        key,
        text: format!("tear, {key} mm – \"hem\""),
        id: Some("x".into()),
        base: Some("tear".into()),
    };
    let mut draft = Draft { number: "2031.7".into(), typed: "waist".into(), ..Draft::default() };
    for key in 0..4 {
        draft.add(line(key));
    }
    draft.undo();
    let list = KeptList {
        sha256: "a".repeat(64),
        name: "alt.csv".into(),
        mapping: mapping().into(),
        tried: Some(Trial { pieces: 3, ..Trial::default() }),
        entered: vec![TakenIn { by: "Wren Askerdale".into(), ..TakenIn::default() }],
        ..KeptList::default()
    };
    (draft, list)
}

/// A box of ISO/IEC 14496-12: its length, its name, what is in it.
fn boxed(name: [u8; 4], inside: &[&[u8]]) -> Vec<u8> {
    let inside = inside.concat();
    [&(inside.len() as u32 + 8).to_be_bytes()[..], &name, &inside].concat()
}

/// A HEIF file laid in by hand (ISO/IEC 23008-12): a size, and one item that is an Exif block of one field.
fn heif() -> Vec<u8> {
    let tiff = b"\0\0\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0";
    let entry = boxed(*b"infe", &[&[2, 0, 0, 0], &[0, 1, 0, 0], b"Exif\0"]);
    let information = boxed(*b"iinf", &[&[0, 0, 0, 0], &[0, 1], &entry]);
    let size = boxed(*b"ispe", &[&[0; 4], &4032u32.to_be_bytes(), &3024u32.to_be_bytes()]);
    let properties = boxed(*b"iprp", &[&boxed(*b"ipco", &[&size])]);
    let handler = boxed(*b"hdlr", &[&[0; 8], b"pict", &[0; 13]]);
    let kind = boxed(*b"ftyp", &[b"heic", &[0; 4], b"mif1heic"]);
    let place = |at: u32| {
        let extent = [&[0, 1, 0, 0, 0, 1][..], &at.to_be_bytes(), &(tiff.len() as u32).to_be_bytes()].concat();
        boxed(*b"iloc", &[&[0, 0, 0, 0], &[0x44, 0, 0, 1], &extent])
    };
    let meta = |at| boxed(*b"meta", &[&[0; 4], &handler, &place(at), &information, &properties]);
    let at = (kind.len() + meta(0).len() + 8) as u32;
    [kind, meta(at), boxed(*b"mdat", &[tiff])].concat()
}

/// Photographs of all kinds that are read by structure: boxes, directories, a profile of colours, a raw's preview.
fn photographs() -> &'static [(&'static str, Vec<u8>)] {
    static PHOTOGRAPHS: OnceLock<Vec<(&'static str, Vec<u8>)>> = OnceLock::new();
    PHOTOGRAPHS.get_or_init(|| {
        let jpeg = support::pictures::timed(&support::pictures::plain(7), "2031:05:01 09:30:00");
        // A raw of one directory whose fields lead to the preview (0xc612: its version), and one with a head of its own.
        let directory = b"\x2a\0\x08\0\0\0\x03\0\x01\x02\x04\0\x01\0\0\0\x32\0\0\0\x02\x02\x04\0\x01\0\0\0\0\x10\0\0\
            \x12\xc6\x01\0\x04\0\0\0\x01\x04\0\0\0\0\0\0";
        let raw = [&b"II"[..], directory, &jpeg].concat();
        let other = [&b"IIU\0"[..], &directory[2..], &jpeg].concat();
        let fuji = [&b"FUJIFILMCCD-RAW 0201"[..], &[0; 64], &jpeg].concat();
        vec![
            ("p.heic", heif()),
            ("p.dng", raw),
            ("p.rw2", other),
            ("p.raf", fuji),
            ("p.jpg", fixture("encoders/vips-p3.jpg")),
            ("q.jpg", fixture("encoders/exiftool-odd.jpg")),
            ("p.tif", fixture("encoders/vips-p3-16.tif")),
            ("q.tif", fixture("encoders/vips-bigtiff.tif")),
            ("p.png", fixture("encoders/exiftool-exif.png")),
            ("p.webp", fixture("encoders/pillow-lossy.webp")),
        ]
    })
}

/// The bytes where a JPEG's or TIFF's profile of colours lies (ICC.1:2022, 7.2: the signature `acsp` is byte 36 of it).
fn profile(bytes: &[u8]) -> std::ops::Range<usize> {
    let at = memchr::memmem::find(bytes, b"acsp").expect("a profile") - 36;
    let [a, b, c, d] = bytes[at..at + 4].try_into().expect("four");
    at..at + u32::from_be_bytes([a, b, c, d]) as usize
}

fn ingest(name: &str, bytes: &[u8]) -> Result<(), String> {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).expect("written");
    Store::at(&folder.path().join("collection")).ingest(&path).map(drop).map_err(|e| e.to_string())
}

#[test]
fn what_is_damaged_below_is_sound_to_begin_with() {
    assert!(read_document(document()).expect("read") > 20);
    Mapping::read(mapping()).expect("read");
    for (name, bytes) in photographs() {
        assert_eq!(ingest(name, bytes), Ok(()), "{name}");
    }
    for name in ["import/store.xlsx", "import/liste.ods"] {
        assert!(open(&packed(&parts(&fixture(name))), &Layout::default()).is_ok(), "{name}");
    }
}

/// Nesting without end, in each of the notations that are read.
#[test]
fn nesting_without_end_is_refused_in_words() {
    const DEEP: usize = 200_000;
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let deep = format!("{}1{}", open.repeat(DEEP), close.repeat(DEEP));
        assert!(read_document(deep.as_bytes()).is_err());
        for field in ["format", "held_back", "tables", "other"] {
            assert!(read_document(format!("{{\"{field}\":{deep}}}").as_bytes()).is_err(), "{field}");
        }
        let table = tables().expect("tables")[0].name.clone();
        assert!(read_document(format!("{{\"tables\":{{\"{table}\":[{deep}]}}}}").as_bytes()).is_err());
        draft_read(deep.as_bytes());
        draft_read(format!("{{\"lines\":{deep}}}").as_bytes());
    }
    assert!(Mapping::read(&format!("a = {}1{}", "[".repeat(DEEP), "]".repeat(DEEP))).is_err());
    assert!(Mapping::read(&format!("a = {}1{}", "{a=".repeat(DEEP), "}".repeat(DEEP))).is_err());
    assert!(Mapping::read(&format!("[{}a]", "a.".repeat(DEEP))).is_err());
}

/// Lays bytes in as a draft and as a kept list, and has both read in every way.
fn draft_read(bytes: &[u8]) {
    let folder = tempfile::tempdir().expect("a folder");
    let (drafts, lists) = (Drafts::at(folder.path()), Lists::at(folder.path()));
    let id = drafts.begin(Draft::default()).expect("begun").id;
    std::fs::write(folder.path().join(format!("drafts/{id}.json")), bytes).expect("written");
    let told = drafts.unreadable().expect("looked at");
    assert_eq!(drafts.all().expect("all").len() + told.len(), 1, "read, or told");
    if let Ok(mut draft) = drafts.read(&id) {
        while draft.undo().is_some() {}
        while draft.redo().is_some() {}
    }
    let sha256 = "a".repeat(64);
    std::fs::create_dir_all(folder.path().join("drafts/lists")).expect("made");
    std::fs::write(folder.path().join(format!("drafts/lists/{sha256}.json")), bytes).expect("written");
    let told = lists.unreadable().expect("looked at");
    assert!(
        !told.is_empty() && lists.all().expect("all").len() <= 1,
        "the bytes of the list are missing, which is told"
    );
}

/// Something like what is typed for a comparison, or any text.
fn typed() -> impl Strategy<Value = String> {
    prop_oneof![
        "(scale|fit|lengths|girths|collar|neck band|rectangle|outline|[0-9]{1,12}|1/8|1/0|-1|1e400|[ ,:;=./x\\n-]){0,12}",
        "\\PC{0,40}",
        any::<String>(),
    ]
}

proptest! {
    #![proptest_config(cases(64))]

    #[test]
    fn documents_of_catalogues(damage in damage()) {
        let _ = read_document(&damaged(document(), &damage));
    }

    #[test]
    fn mappings_of_lists(damage in damage()) {
        let bytes = damaged(mapping().as_bytes(), &damage);
        let text = String::from_utf8_lossy(&bytes);
        if let Ok(read) = Mapping::read(&text) {
            let again = read.text("chest.csv");
            prop_assert!(Mapping::read(&again).is_ok(), "what is read is written so that it is read again:\n{again}");
            let _ = open(&fixture("import/chest.csv"), &read.file);
        }
    }

    #[test]
    fn drafts_and_kept_lists(damage in damage(), list in any::<bool>()) {
        let (draft, kept) = kept();
        let sound = if list { serde_json::to_vec(&kept) } else { serde_json::to_vec(&draft) };
        draft_read(&damaged(&sound.expect("written"), &damage));
    }

    #[test]
    fn what_is_typed_for_comparisons_and_places(text in typed()) {
        let _ = (ByHand::read(&text), Sizes::read(&text), Shape::parse(&text), Square::parse(&text));
        let mut sizes = Sizes::default();
        let _ = sizes.state(&text);
    }

    #[test]
    fn workbooks_whose_parts_were_altered_and_packed_again(which in 0usize..2, part in any::<prop::sample::Index>(), damage in damage()) {
        let mut parts = parts(&fixture(["import/store.xlsx", "import/liste.ods"][which]));
        let at = part.index(parts.len());
        parts[at].1 = damaged(&parts[at].1, &damage);
        let _ = open(&packed(&parts), &Layout::default());
    }
}

proptest! {
    // Pictures take longer.
    #![proptest_config(cases(32))]

    #[test]
    fn heads_boxes_and_directories_of_photographs(which in any::<prop::sample::Index>(), damage in damage()) {
        let (name, bytes) = &photographs()[which.index(photographs().len())];
        let _ = ingest(name, &damaged(bytes, &damage));
    }

    #[test]
    fn profiles_of_colours(tiff in any::<bool>(), flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12)) {
        let (name, sound) = if tiff { &photographs()[6] } else { &photographs()[4] };
        let mut bytes = sound.clone();
        let place = profile(&bytes);
        for (at, put) in flips {
            bytes[place.start + at.index(place.len())] = put;
        }
        let _ = ingest(name, &bytes);
    }
}
