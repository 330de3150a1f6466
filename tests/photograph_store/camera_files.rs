//! Files of many cameras against a reference reading of their tags. Run where `DIMITY_SHARED` names the folder
//! that holds `data/photos`; the files are others' and not part of this repository.

use dimity::photograph::{Store, read_capture};
use dimity::record::capture::Capture;
use serde_json::Value;

use super::machine;

/// Where the reference and this reading part, and why.
const KNOWN: [(&str, &str, &str); 2] = [
    ("et__NikonD70.jpg", "colour space", "65535 with interoperability index R03 is Adobe RGB here"),
    ("ne__exif-both.png", "position", "the reference takes the older of two EXIF blocks"),
];
/// The reference gave up on this file's container before its tags.
const NOT_READ_THERE: &str = "JPEG format error";

/// The reference value of a tag of the main picture, maker notes left aside.
fn reference<'a>(tags: &'a Value, tag: &str) -> Option<&'a Value> {
    ["ExifIFD", "IFD0", "GPS"].iter().find_map(|group| tags.get(format!("EXIF:{group}:{tag}")))
}

fn words(tags: &Value, tag: &str) -> Option<String> {
    let text = match reference(tags, tag)? {
        Value::String(text) => text.trim().to_owned(),
        other => other.to_string(),
    };
    (!text.is_empty()).then_some(text)
}

fn above_zero(tags: &Value, tag: &str) -> Option<f64> {
    reference(tags, tag)?.as_f64().filter(|&n| n > 0.0)
}

fn near(got: Option<f64>, want: Option<f64>) -> bool {
    match (got, want) {
        (Some(got), Some(want)) => (got - want).abs() <= 1e-6 * want.abs().max(1e-6),
        (got, want) => got.is_none() && want.is_none(),
    }
}

/// The fields that differ from the reference, in words.
fn differences(capture: &Capture, tags: &Value) -> Vec<String> {
    let mut found = vec![];
    let mut same = |field: &str, same: bool, got: String| {
        if !same {
            found.push(format!("{field} reads {got}"));
        }
    };
    for (field, got, tag) in [
        ("make", &capture.make, "Make"),
        ("model", &capture.model, "Model"),
        ("lens", &capture.lens, "LensModel"),
        ("software", &capture.software, "Software"),
    ] {
        same(
            field,
            tag == "Software" && reference(tags, tag).is_none() || *got == words(tags, tag),
            format!("{got:?}"),
        );
    }
    for (field, got, tag) in [
        ("focal length", capture.focal_length_mm, "FocalLength"),
        ("aperture", capture.aperture, "FNumber"),
        ("shutter", capture.shutter_s, "ExposureTime"),
        ("iso", capture.iso.map(f64::from), "ISO"),
    ] {
        let want = above_zero(tags, tag);
        // Without the tag itself the Apex one may speak.
        same(field, want.is_none() && field != "iso" || near(got, want), format!("{got:?}"));
    }
    let orientation = above_zero(tags, "Orientation").unwrap_or(1.0);
    same("orientation", near(Some(f64::from(capture.orientation)), Some(orientation)), capture.orientation.to_string());
    let number = |tag: &str| reference(tags, tag).and_then(Value::as_u64);
    let flash = number("Flash").map(|bits| bits & 1 == 1);
    same("flash", capture.flash.as_ref().map(|f| f.starts_with("fired")) == flash, format!("{:?}", capture.flash));
    let balance = number("WhiteBalance").and_then(|n| ["automatic", "manual"].get(n as usize).copied());
    same("white balance", capture.white_balance.as_deref() == balance, format!("{:?}", capture.white_balance));
    let space = match number("ColorSpace") {
        Some(1) => Some("sRGB"),
        Some(65535) => Some("uncalibrated"),
        _ => None,
    };
    same("colour space", capture.colour_space.as_deref() == space, format!("{:?}", capture.colour_space));
    let taken = words(tags, "DateTimeOriginal").map(|date| {
        let fraction = words(tags, "SubSecTimeOriginal").map_or(String::new(), |f| format!(".{f}"));
        date.replacen(':', "-", 2).replacen(' ', "T", 1) + &fraction
    });
    same("taken", taken.is_none() || capture.taken == taken, format!("{:?}", capture.taken));
    same("offset", capture.offset == words(tags, "OffsetTimeOriginal"), format!("{:?}", capture.offset));
    let placed = words(tags, "GPSLatitude").is_some() || words(tags, "GPSLongitude").is_some();
    same("position", capture.has_position == placed, capture.has_position.to_string());
    found
}

#[test]
fn camera_files_read_as_the_reference_reads_them() {
    let Some(folder) = machine::open_data("photos", "files of many cameras") else { return };
    let listing = std::fs::read(folder.join("exif-reference.json")).expect("the reference reading");
    let listing: Vec<Value> = serde_json::from_slice(&listing).expect("the reference is JSON");
    let dir = tempfile::tempdir().expect("a folder for the test");
    let store = Store::at(dir.path());
    let (mut read, mut taken_in, mut wrong) = (0, 0, vec![]);
    for entry in &listing {
        let name = entry["file"].as_str().expect("a file name");
        let path = folder.join(name);
        let bytes = std::fs::read(&path).expect("the file of the listing");
        let (capture, _, remarks) = read_capture(&bytes);
        println!("{name}: {remarks:?}");
        let kind = entry["preferred"]["FileType"].as_str().unwrap_or_default();
        let decoded = matches!(kind, "JPEG" | "PNG" | "TIFF" | "Extended WEBP");
        if decoded || matches!(kind, "HEIC" | "AVIF" | "CR2" | "DNG" | "NEF") {
            if entry["preferred"]["Warning"] == NOT_READ_THERE {
                continue;
            }
            read += 1;
            let mut found = differences(&capture, &entry["by_group"]);
            found.retain(|f| !KNOWN.iter().any(|(file, field, _)| *file == name && f.starts_with(field)));
            if !found.is_empty() {
                wrong.push(format!("{name}: {}", found.join(", ")));
            }
        }
        match store.ingest(&path) {
            Ok(taken) => {
                taken_in += 1;
                let stored = (Some(u64::from(taken.stored_width)), Some(u64::from(taken.stored_height)));
                let want = &entry["preferred"];
                if !decoded {
                    println!("    {kind} kept as .{}, {} × {}", taken.extension, taken.width, taken.height);
                    continue;
                }
                assert_eq!(stored, (want["ImageWidth"].as_u64(), want["ImageHeight"].as_u64()), "{name}");
            }
            Err(fault) => println!("    {fault}"),
        }
    }
    assert!(read >= 50, "{read} files were compared");
    println!("{read} read, {taken_in} of {} taken in, {} differ", listing.len(), wrong.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
