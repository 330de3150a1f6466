//! What is not taken in, in which words, and that nothing of it is left.

use std::fs;
use std::path::PathBuf;

use dimity::photograph::IngestFault;
use exif::{Tag, Value};
use image::ImageFormat;
use proptest::prelude::*;

use super::making::{corner_picture, crc, exif_block, file, with_exif};
use super::table::Table;

#[test]
fn a_file_cut_short_anywhere_is_refused_and_leaves_nothing() {
    let picture = corner_picture(16, 8);
    let block = exif_block(&[(Tag::Make, Value::Ascii(vec![b"Maker".to_vec()]))], true);
    let jpeg = with_exif(&file(&picture, ImageFormat::Jpeg), &block);
    let whole = [
        ("cut.jpg", jpeg),
        ("cut.png", file(&picture, ImageFormat::Png)),
        ("cut.tif", file(&picture, ImageFormat::Tiff)),
        ("cut.webp", file(&picture, ImageFormat::WebP)),
    ];
    for (name, bytes) in whole {
        let desk = Table::new();
        for end in 0..bytes.len() {
            let fault = desk.ingest(name, &bytes[..end]).map(|_| end).expect_err("a part is not the whole").to_string();
            assert!(fault.contains(name) && fault.contains(';'), "{end} bytes: {fault}");
        }
        assert_eq!(desk.files(), Vec::<PathBuf>::new(), "{name}");
        desk.ingest(name, &bytes).expect("the whole is taken in");
        let mut longer = bytes.clone();
        longer.extend(b"\0\0 more after the end");
        desk.ingest(name, &longer).expect("what follows the end does no harm");
    }
}

#[test]
fn the_end_of_an_embedded_thumbnail_is_not_the_end_of_the_photograph() {
    let desk = Table::new();
    let inner = file(&corner_picture(8, 8), ImageFormat::Jpeg);
    let outer = file(&corner_picture(16, 8), ImageFormat::Jpeg);
    let mut comment = outer[..2].to_vec();
    comment.extend([0xff, 0xfe]);
    comment.extend((inner.len() as u16 + 2).to_be_bytes());
    comment.extend(inner);
    let fault = desk.ingest("inner.jpg", &comment).expect_err("only the inner picture ends");
    assert!(matches!(fault, IngestFault::Truncated { .. }), "{fault}");
    comment.extend(&outer[2..]);
    desk.ingest("outer.jpg", &comment).expect("the outer picture ends too");
}

#[test]
fn what_is_no_photograph_is_refused_by_name_with_a_mend() {
    let bomb = {
        let mut png = file(&corner_picture(8, 8), ImageFormat::Png);
        png[16..24].copy_from_slice(&[0, 0, 0x75, 0x30, 0, 0, 0x75, 0x30]); // 30000 × 30000
        let sum = crc(&png[12..29]).to_be_bytes();
        png[29..33].copy_from_slice(&sum);
        png
    };
    let cases: [(&str, Vec<u8>, &str); 6] = [
        ("empty.jpg", vec![], "is empty; copy it again"),
        ("notes.jpg", b"not a picture at all".to_vec(), "is not a photograph that can be read here; give a JPEG"),
        ("film.mp4", b"\0\0\0\x18ftypisom\0\0\0\0".to_vec(), "a film, not a photograph"),
        ("two.gif", b"GIF89a\0\0\0\0".to_vec(), "is a GIF picture"),
        ("bomb.png", bomb, "is too large: 30000 × 30000 pixels, and the most is 300 million pixels; divide"),
        (
            "bad.png",
            {
                let mut png = file(&corner_picture(8, 8), ImageFormat::Png);
                png[50] ^= 0xff;
                png
            },
            "is damaged: ",
        ),
    ];
    for (name, bytes, words) in cases {
        let desk = Table::new();
        let fault = desk.ingest(name, &bytes).expect_err(name).to_string();
        assert!(fault.contains(words) && fault.contains(name), "{fault}");
        assert_eq!(desk.files(), Vec::<PathBuf>::new(), "{name}");
    }
    let desk = Table::new();
    let folder = desk.store.ingest(desk.dir.path()).expect_err("a folder").to_string();
    assert!(folder.contains("is a folder; name the photographs in it"), "{folder}");
    let absent = desk.store.ingest(&desk.dir.path().join("absent.jpg")).expect_err("absent").to_string();
    assert!(absent.contains("absent.jpg`: there is no such file"), "{absent}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn a_damaged_file_is_stored_whole_or_not_at_all(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        which in 0..4usize,
    ) {
        let format = [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::Tiff, ImageFormat::WebP][which];
        let mut bytes = file(&corner_picture(16, 8), format);
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        let desk = Table::new();
        match desk.ingest("damaged", &bytes) {
            Ok(taken) => {
                prop_assert_eq!(desk.files().len(), 3);
                prop_assert_eq!(fs::read(desk.store.original(&taken.sha256, &taken.extension)).expect("stored"), bytes);
            }
            Err(fault) => {
                prop_assert!(fault.to_string().contains("damaged"));
                prop_assert_eq!(desk.files().len(), 0);
            }
        }
    }
}

#[test]
fn a_file_standing_where_a_folder_is_needed_is_named_in_the_fault() {
    let desk = Table::new();
    fs::create_dir(desk.dir.path().join("collection")).expect("a folder");
    fs::write(desk.dir.path().join("collection/photographs"), b"in the way").expect("a file");
    let fault = desk.ingest("one.jpg", &file(&corner_picture(16, 8), ImageFormat::Jpeg)).expect_err("in the way");
    let fault = fault.to_string();
    assert!(fault.contains("collection/photographs`: a file stands where a folder is needed"), "{fault}");
}
