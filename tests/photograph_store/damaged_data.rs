//! JPEG files that reach their end but have lost data in the middle. Decoders fill such gaps in; here they are told.

use std::fs;
use std::path::{Path, PathBuf};

use dimity::photograph::IngestFault;

use super::table::Table;
use Damage::{Cut, PutIn, Zeroed};

/// What befell the bytes: so many were cut out, made zero, or put in as zeros.
#[derive(Debug, Clone, Copy)]
enum Damage {
    Cut,
    Zeroed,
    PutIn,
}

/// File of `fixtures/encoders`, damage, where, bytes, and the last line that djpeg of libjpeg-turbo 2.1.5 (Debian 12)
/// writes about the result: nothing where it finds the file sound.
const CASES: [(&str, Damage, usize, usize, &str); 31] = [
    ("pillow-baseline.jpg", Cut, 630, 1, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-baseline.jpg", Cut, 662, 8, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-baseline.jpg", Cut, 630, 40, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-baseline.jpg", Zeroed, 662, 8, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-baseline.jpg", Zeroed, 630, 40, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-baseline.jpg", PutIn, 701, 4, "Corrupt JPEG data: 2 extraneous bytes before marker 0xd9"),
    ("pillow-restart.jpg", Cut, 693, 2, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-restart.jpg", Cut, 744, 8, "Corrupt JPEG data: found marker 0xd9 instead of RST2"),
    ("pillow-restart.jpg", Cut, 693, 40, "Corrupt JPEG data: found marker 0xd1 instead of RST5"),
    ("pillow-restart.jpg", Zeroed, 693, 8, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-restart.jpg", Zeroed, 641, 40, "Corrupt JPEG data: 18 extraneous bytes before marker 0xd4"),
    ("pillow-restart.jpg", PutIn, 757, 4, ""),
    ("pillow-progressive-420.jpg", Cut, 273, 8, "Bogus Huffman table definition"),
    ("pillow-progressive-420.jpg", Cut, 406, 2, "Corrupt JPEG data: 9 extraneous bytes before marker 0xc4"),
    ("pillow-progressive-420.jpg", Cut, 538, 2, "Corrupt JPEG data: bad Huffman code"),
    ("pillow-progressive-420.jpg", Zeroed, 406, 8, "Corrupt JPEG data: 11 extraneous bytes before marker 0xc4"),
    ("pillow-progressive-420.jpg", Zeroed, 273, 40, "Huffman table 0x01 was not defined"),
    ("vips-progressive.jpg", Cut, 446, 1, "Corrupt JPEG data: premature end of data segment"),
    ("vips-progressive.jpg", Cut, 574, 8, "Invalid component ID 0 in SOS"),
    ("vips-progressive.jpg", Cut, 702, 8, "Corrupt JPEG data: 7 extraneous bytes before marker 0xda"),
    ("vips-progressive.jpg", Zeroed, 446, 40, "Huffman table 0x01 was not defined"),
    ("pillow-grey.jpg", Cut, 342, 2, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-grey.jpg", Zeroed, 342, 8, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-grey.jpg", PutIn, 357, 4, ""),
    ("pillow-grey.jpg", PutIn, 357, 40, "Corrupt JPEG data: 33 extraneous bytes before marker 0xd9"),
    ("pillow-cmyk.jpg", Cut, 395, 8, "Corrupt JPEG data: premature end of data segment"),
    ("pillow-cmyk.jpg", Zeroed, 351, 40, "Corrupt JPEG data: premature end of data segment"),
    ("exiftool-odd.jpg", Cut, 1136, 8, "Corrupt JPEG data: premature end of data segment"),
    ("exiftool-odd.jpg", PutIn, 1175, 40, "Corrupt JPEG data: 38 extraneous bytes before marker 0xd9"),
    ("vips-p3.jpg", Cut, 1557, 8, "Corrupt JPEG data: premature end of data segment"),
    ("vips-p3.jpg", Zeroed, 1589, 2, "Corrupt JPEG data: premature end of data segment"),
];

fn damaged(name: &str, damage: Damage, at: usize, length: usize) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/encoders").join(name);
    let mut bytes = fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    match damage {
        Cut => drop(bytes.drain(at..at + length)),
        Zeroed => bytes[at..at + length].fill(0),
        PutIn => drop(bytes.splice(at..at, vec![0; length])),
    }
    bytes
}

#[test]
fn picture_data_that_does_not_add_up_is_refused_where_a_reference_decoder_finds_it_corrupt() {
    for (name, damage, at, length, verdict) in CASES {
        let case = format!("{name}, {damage:?} {length} at {at}: {verdict}");
        let desk = Table::new();
        let result = desk.ingest(name, &damaged(name, damage, at, length));
        // Bytes before the end-of-image marker (0xd9) of a single scan may be a camera's padding.
        if verdict.is_empty() || verdict.contains("before marker 0xd9") {
            let taken = result.unwrap_or_else(|fault| panic!("{case}: {fault}"));
            let told = taken.remarks.iter().any(|r| r.starts_with("bytes are left over behind its picture data"));
            assert_eq!(told, !verdict.is_empty(), "{case}: {:?}", taken.remarks);
            continue;
        }
        let fault = result.map(|taken| taken.remarks).expect_err(&case);
        assert!(matches!(fault, IngestFault::Damaged { .. }), "{case}: {fault}");
        let text = fault.to_string();
        for words in [name, "its picture data does not add up", "copy it again from the camera or card"] {
            assert!(text.contains(words), "{case}: {text}");
        }
        assert_eq!(desk.files(), Vec::<PathBuf>::new(), "{case}: nothing of it is left");
    }
}
