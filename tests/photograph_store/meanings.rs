//! The meaning of EXIF tags, row by row, and that nothing in a file can make the reading panic.

use dimity::photograph::read_capture;
use dimity::record::capture::Capture;
use exif::{Context, Rational, SRational, Tag, Value};
use proptest::prelude::*;

use super::making::{corner_picture, exif_block, file, jpeg_with, png_with, with_exif};

/// Rows of a check file, without remarks and header. Fields may stand in double quotes.
fn rows(text: &str) -> Vec<Vec<String>> {
    let split = |line: &str| {
        let mut fields = vec![String::new()];
        let mut quoted = false;
        for c in line.chars() {
            match c {
                '"' => quoted = !quoted,
                ',' if !quoted => fields.push(String::new()),
                c => fields.last_mut().expect("one field at least").push(c),
            }
        }
        fields
    };
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(split).collect()
}

fn tag(name: &str) -> Tag {
    let numbers =
        (0..=u16::MAX).flat_map(|n| [Context::Tiff, Context::Exif, Context::Gps, Context::Interop].map(|c| Tag(c, n)));
    numbers
        .filter(|tag| tag.description().is_some())
        .find(|tag| tag.to_string() == name)
        .unwrap_or_else(|| panic!("no tag `{name}`"))
}

/// `short:6`, `rational:1/125`, `ascii:text` …
fn value(written: &str) -> Value {
    let (kind, value) = written.split_once(':').expect("a type and a value");
    let number = |n: &str| n.parse::<i64>().expect("a number");
    let pair = || value.split_once('/').map(|(n, d)| (number(n), number(d))).expect("a fraction");
    match kind {
        "ascii" => Value::Ascii(vec![value.as_bytes().to_vec()]),
        "short" => Value::Short(vec![number(value) as u16]),
        "long" => Value::Long(vec![number(value) as u32]),
        "rational" => Value::Rational(vec![Rational { num: pair().0 as u32, denom: pair().1 as u32 }]),
        "srational" => Value::SRational(vec![SRational { num: pair().0 as i32, denom: pair().1 as i32 }]),
        other => panic!("no type `{other}`"),
    }
}

#[test]
fn each_tag_means_what_the_standard_says_in_either_byte_order() {
    let jpeg = file(&corner_picture(16, 8), image::ImageFormat::Jpeg);
    let table = rows(include_str!("../../fixtures/checks/exif-meanings.csv"));
    assert!(table.len() > 60);
    for row in table {
        let [written, field, want, _source] = row.as_slice() else { panic!("four fields: {row:?}") };
        let tags: Vec<_> = written
            .split(';')
            .map(|one| one.split_once('=').expect("a tag and a value"))
            .map(|(name, written)| (tag(name), value(written)))
            .collect();
        for little_endian in [true, false] {
            let (capture, _, _) = read_capture(&with_exif(&jpeg, &exif_block(&tags, little_endian)));
            let got = serde_json::to_value(&capture).expect("a plain record")[field.as_str()].clone();
            let same = match got.as_f64() {
                Some(number) => want.parse::<f64>().is_ok_and(|want| (number - want).abs() < 1e-12),
                None => got.as_str().map_or_else(|| got.to_string(), Into::into) == want.replace("none", "null"),
            };
            assert!(same, "{written}: {field} is {got}, not {want}");
        }
    }
}

#[test]
fn keys_name_the_tags_that_the_standard_numbers_so() {
    let table = rows(include_str!("../../fixtures/checks/exif-tags.csv"));
    assert_eq!(table.len(), 43);
    for row in table {
        let name = row[0].split(' ').next().unwrap_or_default();
        let number = u16::from_str_radix(row[1].trim_start_matches("0x"), 16).expect("a tag number");
        // Tags of the first directory, and those of the Exif directory.
        let context = if matches!(number, 0x100..=0x13b | 0x8298) { Context::Tiff } else { Context::Exif };
        let (_, all, _) = read_capture(&jpeg_with(&[(Tag(context, number), Value::Short(vec![7]))]));
        assert_eq!(all[name], 7, "{number:#06x} is in {all}");
    }
}

#[test]
fn all_tags_keep_numbers_fractions_and_positions_and_weigh_the_maker_note() {
    let tags = [
        (Tag::ExposureTime, Value::Rational(vec![Rational { num: 1, denom: 125 }])),
        (Tag::ExposureBiasValue, Value::SRational(vec![SRational { num: -1, denom: 0 }])),
        (Tag::GPSLatitude, Value::Rational([48, 5, 0].map(|num| Rational { num, denom: 1 }).to_vec())),
        (Tag::MakerNote, Value::Undefined(b"abc".to_vec(), 0)),
        (Tag::ExifVersion, Value::Undefined(b"0232".to_vec(), 0)),
        (Tag::UserComment, Value::Undefined(b"ASCII\0\0\0 left sleeve \0\0".to_vec(), 0)),
        (Tag::ComponentsConfiguration, Value::Undefined(vec![1, 2, 3, 0], 0)),
        (Tag(Context::Exif, 0xa50b), Value::Short(vec![3, 4])),
        (Tag::Artist, Value::Ascii(vec![b"Photographer  ".to_vec()])),
    ];
    let (capture, all, remarks) = read_capture(&jpeg_with(&tags));
    assert_eq!(all["ExposureTime"], serde_json::json!({ "num": 1, "den": 125 }));
    assert_eq!(all["ExposureBiasValue"], serde_json::json!({ "num": -1, "den": 0 }));
    assert_eq!(all["GPSLatitude"][0], serde_json::json!({ "num": 48, "den": 1 }));
    // SHA-256 of `abc`: FIPS 180-4 example.
    let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(all["MakerNote"], serde_json::json!({ "bytes": 3, "sha256": abc }));
    assert_eq!(all["ExifVersion"], "0232");
    assert_eq!(all["UserComment"], "left sleeve");
    assert_eq!(all["ComponentsConfiguration"], serde_json::json!({ "hex": "01020300" }));
    assert_eq!(all["Exif:0xa50b"], serde_json::json!([3, 4]));
    assert_eq!(all["Artist"], "Photographer");
    assert!(capture.has_position && remarks.is_empty(), "{remarks:?}");
    let record = serde_json::to_string(&capture).expect("a plain record");
    assert!(!record.contains("48"), "no position in the capture record: {record}");
}

#[test]
fn without_exif_the_record_is_empty_and_there_is_nothing_to_remark() {
    for format in [image::ImageFormat::Jpeg, image::ImageFormat::Png, image::ImageFormat::WebP] {
        let (capture, all, remarks) = read_capture(&file(&corner_picture(16, 8), format));
        assert_eq!((capture, all, remarks), (Capture::default(), serde_json::json!({}), vec![]), "{format:?}");
    }
    let (_, _, remarks) = read_capture(b"no photograph");
    assert_eq!(remarks.len(), 1, "{remarks:?}");
}

#[test]
fn exif_is_found_where_each_format_keeps_it() {
    let block = exif_block(&[(Tag::Make, Value::Ascii(vec![b"Maker".to_vec()]))], false);
    let png = file(&corner_picture(16, 8), image::ImageFormat::Png);
    let hex: String =
        block.iter().flat_map(|b| [b >> 4, b & 15]).map(|n| char::from(b"0123456789abcdef"[usize::from(n)])).collect();
    let profile = format!("Raw profile type exif\0\nexif\n    {}\n{}\n{}\n", block.len(), &hex[..20], &hex[20..]);
    let prefixed = [&b"Exif\0\0"[..], &block].concat();
    let webp = |name: &[u8], body: &[u8]| {
        // An odd chunk before it, with its padding byte.
        [b"RIFF\xff\0\0\0WEBPXMP \x01\0\0\0x\0", name, &(body.len() as u32).to_le_bytes()[..], body].concat()
    };
    let cases = [
        (png_with(&png, b"eXIf", &block), true, 0),
        (png_with(&png, b"eXIf", &prefixed), true, 0),
        (png_with(&png, b"tEXt", profile.as_bytes()), true, 0),
        (png_with(&png, b"tEXt", b"Comment\0left sleeve"), false, 0),
        (png_with(&png, b"tEXt", b"Raw profile type exif\0\nexif\n 4\nxyz0"), false, 1),
        (png_with(&png, b"zTXt", b"Raw profile type APP1\0\0packed"), false, 1),
        (webp(b"EXIF", &block), true, 0),
        (webp(b"EXIF", &prefixed), true, 0),
        (webp(b"exif", &block), false, 0),
        (block.clone(), true, 0),
    ];
    for (n, (bytes, found, remarked)) in cases.iter().enumerate() {
        let (capture, _, remarks) = read_capture(bytes);
        assert_eq!((capture.make.is_some(), remarks.len()), (*found, *remarked), "case {n}: {remarks:?}");
    }
}

#[test]
fn a_tag_in_the_first_directory_counts_where_its_own_has_none() {
    // TIFF/EP (ISO 12234-2) keeps exposure tags there.
    let misplaced = (Tag(Context::Tiff, 0x829d), Value::Rational(vec![Rational { num: 8, denom: 1 }]));
    let (capture, _, _) = read_capture(&jpeg_with(std::slice::from_ref(&misplaced)));
    assert_eq!(capture.aperture, Some(8.0));
    let placed = (Tag::FNumber, Value::Rational(vec![Rational { num: 4, denom: 1 }]));
    let (capture, _, _) = read_capture(&jpeg_with(&[misplaced, placed]));
    assert_eq!(capture.aperture, Some(4.0));
}

#[test]
fn a_value_that_claims_more_than_it_is_worth_is_left_in_the_file() {
    // A TIFF structure whose one value would be two mebibytes.
    let mut block = b"II\x2a\0\x08\0\0\0\x02\0".to_vec();
    block.extend(b"\xbc\x02\x07\0\0\0\x20\0\x26\0\0\0"); // tag 700, two mebibytes at 38
    block.extend(b"\x31\x01\x02\0\x04\0\0\0Abc\0"); // Software
    block.extend([0; 12]);
    block.resize(38 + (2 << 20), 7);
    let (capture, _, remarks) = read_capture(&block);
    assert_eq!(capture.software.as_deref(), Some("Abc"));
    assert_eq!(remarks, ["EXIF tag 0x02bc holds 2097152 bytes and was left in the file"]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn reading_never_panics_on_mutated_bytes(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in any::<prop::sample::Index>(),
        which in 0..4usize,
    ) {
        let tags = [
            (Tag::Make, Value::Ascii(vec![b"Maker".to_vec()])),
            (Tag::DateTimeOriginal, Value::Ascii(vec![b"2018:11:14 11:20:05".to_vec()])),
            (Tag::OffsetTimeOriginal, Value::Ascii(vec![b"+01:00".to_vec()])),
            (Tag::FNumber, Value::Rational(vec![Rational { num: 28, denom: 10 }])),
            (Tag::GPSLatitude, Value::Rational(vec![Rational { num: 48, denom: 1 }; 3])),
            (Tag::InteroperabilityIndex, Value::Ascii(vec![b"R98".to_vec()])),
        ];
        let block = exif_block(&tags, which % 2 == 0);
        let mut bytes = match which {
            0 | 1 => with_exif(&[0xff, 0xd8, 0xff, 0xd9], &block),
            2 => block,
            _ => {
                let mut webp = b"RIFF\xff\0\0\0WEBPEXIF".to_vec();
                webp.extend((block.len() as u32).to_le_bytes());
                webp.extend(block);
                webp
            }
        };
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        bytes.truncate(cut.index(bytes.len()).max(bytes.len() / 2));
        let (capture, _, _) = read_capture(&bytes);
        prop_assert!((1..=8).contains(&capture.orientation));
    }

    #[test]
    fn reading_never_panics_on_any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        for head in [&b""[..], b"II\x2a\0\x08\0\0\0", b"MM\0\x2a\0\0\0\x08", b"\xff\xd8\xff\xe1", b"RIFF\xff\0\0\0WEBP", b"\x89PNG\r\n\x1a\n"] {
            let _ = read_capture(&[head, &bytes].concat());
        }
    }
}
