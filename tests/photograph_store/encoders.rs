//! Pictures written once by Pillow, libvips and ExifTool (fixtures/encoders/README.md): each is read as what it shows;
//! and, damaged at random, each is taken in whole or not at all.

use std::fs;
use std::path::Path;

use dimity::photograph::{IngestFault, read_capture};

use super::table::Table;

/// The four quarters, row by row.
const QUARTERS: [[u8; 3]; 4] = [[200, 40, 40], [40, 160, 60], [40, 60, 180], [128, 128, 128]];

/// File, and how far a channel may be off in the middle of a quarter: 1 where nothing is lost (a rounding of 16 bits), 3 for
/// JPEG of quality 92 and for colours that went through a profile, more where chroma is halved.
const FILES: [(&str, u8); 20] = [
    ("pillow-baseline.jpg", 3),
    ("pillow-progressive-420.jpg", 6),
    ("pillow-cmyk.jpg", 5),
    ("pillow-restart.jpg", 3),
    ("pillow-lzw.tif", 0),
    ("pillow-deflate.tif", 0),
    ("pillow-packbits.tif", 0),
    ("pillow-palette.png", 0),
    ("pillow-alpha.png", 0),
    ("pillow-lossy.webp", 6),
    ("pillow-lossless.webp", 0),
    ("vips-16.png", 1),
    ("vips-16.tif", 1),
    ("vips-interlaced.png", 0),
    ("vips-jpeg.tif", 6),
    ("vips-p3.jpg", 6),
    ("vips-p3-16.tif", 3),
    ("vips-progressive.jpg", 6),
    ("vips-tiled.tif", 0),
    ("vips.webp", 0),
];

fn bytes(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/encoders").join(name);
    fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

#[test]
fn what_other_encoders_wrote_is_read_as_what_it_shows() {
    for (name, off) in FILES {
        let desk = Table::new();
        let taken = desk.ingest(name, &bytes(name)).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!((taken.width, taken.height), (48, 32), "{name}");
        let whole = desk.store.pixels(&taken.sha256, &taken.extension).unwrap_or_else(|e| panic!("{name}: {e}"));
        let view = desk.view(&taken).into_rgb8();
        for (i, wanted) in QUARTERS.iter().enumerate() {
            let (x, y) = (12 + 24 * (i as u32 % 2), 8 + 16 * (i as u32 / 2));
            // The view is compressed anew.
            for (what, picture, off) in [("original", &whole, off), ("view", &view, off + 6)] {
                let found = picture.get_pixel(x, y).0;
                let worst = found.iter().zip(wanted).map(|(a, b)| a.abs_diff(*b)).max().unwrap_or(0);
                assert!(worst <= off, "{name}, {what}, quarter {i}: {found:?} for {wanted:?}");
            }
        }
    }
    let desk = Table::new();
    let grey = desk.ingest("pillow-grey.jpg", &bytes("pillow-grey.jpg")).expect("sound");
    let [r, g, b] = desk.view(&grey).into_rgb8().get_pixel(36, 24).0;
    assert!(r == g && g == b && r.abs_diff(128) <= 4, "{r} {g} {b}");
}

#[test]
fn a_tiff_of_long_offsets_is_taken_in_or_refused_by_name() {
    let desk = Table::new();
    match desk.ingest("vips-bigtiff.tif", &bytes("vips-bigtiff.tif")) {
        Ok(taken) => assert_eq!((taken.width, taken.height), (48, 32)),
        Err(fault) => assert!(matches!(fault, IngestFault::Unsupported { .. }), "{fault}"),
    }
}

#[test]
fn tags_that_exiftool_wrote_are_read_as_it_wrote_them() {
    let (odd, exif, remarks) = read_capture(&bytes("exiftool-odd.jpg"));
    assert_eq!((odd.taken.as_deref(), odd.offset.as_deref()), (Some("2031-03-02T15:58:10.07"), Some("+05:45")));
    assert_eq!((odd.focal_length_mm, odd.focal_length_35mm, odd.aperture), (Some(52.5), Some(79.0), Some(5.6)));
    assert_eq!((odd.shutter_s, odd.iso, odd.orientation), (Some(1.0 / 40.0), Some(320), 6), "{remarks:?}");
    assert!(odd.has_position && exif.as_object().is_some_and(|o| o.contains_key("GPSLatitude")));
    for (name, aperture) in [("exiftool-le.tif", 11.0), ("exiftool-exif.png", 4.0)] {
        let (read, _, remarks) = read_capture(&bytes(name));
        assert_eq!((read.make.as_deref(), read.aperture), (Some("Invented"), Some(aperture)), "{name}: {remarks:?}");
    }
    let desk = Table::new();
    let turned = desk.ingest("exiftool-odd.jpg", &bytes("exiftool-odd.jpg")).expect("sound");
    assert_eq!((turned.width, turned.height), (32, 48), "orientation 6 lies on its side");
}

/// A small generator of even numbers below a limit, the same each time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % limit.max(1)
    }

    /// Changes, cuts, doubles or puts in a few bytes, up to six times.
    fn spoil(&mut self, bytes: &mut Vec<u8>) {
        for _ in 0..=self.below(6) {
            let at = self.below(bytes.len().max(1));
            let some = self.below(12) + 1;
            match self.below(5) {
                0 if at < bytes.len() => bytes[at] ^= 1 << self.below(8),
                1 if at < bytes.len() => bytes[at] = [0, 1, 0x7f, 0x80, 0xff][self.below(5)],
                2 => bytes.truncate(at.max(4)),
                3 => {
                    let part: Vec<u8> = bytes.iter().skip(at).take(some).copied().collect();
                    let to = self.below(bytes.len() + 1);
                    bytes.splice(to..to, part);
                }
                _ => drop(bytes.drain(at.min(bytes.len())..(at + some).min(bytes.len()))),
            }
        }
    }
}

/// `DIMITY_STRESS=100000 cargo test --test photograph_store storm` tries more than the few hundred of every day.
#[test]
fn a_storm_of_damaged_pictures_panics_nothing_and_leaves_no_part_behind() {
    let rounds = std::env::var("DIMITY_STRESS").ok().and_then(|n| n.parse().ok()).unwrap_or(400);
    let others = ["pillow-grey.jpg", "vips-bigtiff.tif", "exiftool-odd.jpg", "exiftool-le.tif", "exiftool-exif.png"];
    let whole: Vec<Vec<u8>> = FILES.iter().map(|(name, _)| *name).chain(others).map(bytes).collect();
    let mut dice = Dice(20_310_302);
    let (mut taken_in, mut refused) = (0, 0);
    for round in 0..rounds {
        let mut spoilt = whole[dice.below(whole.len())].clone();
        dice.spoil(&mut spoilt);
        let desk = Table::new();
        match desk.ingest("spoilt", &spoilt) {
            Ok(taken) => {
                taken_in += 1;
                let kept = fs::read(desk.store.original(&taken.sha256, &taken.extension)).expect("stored");
                assert!(kept == spoilt, "round {round}: what is stored is what came");
                assert!((1..=3).contains(&desk.files().len()), "round {round}: {:?}", desk.files());
                // It may still be damaged: then that is said, and nothing worse.
                let _ = desk.store.pixels(&taken.sha256, &taken.extension);
            }
            Err(fault) => {
                refused += 1;
                assert!(fault.to_string().contains("spoilt"), "round {round}: {fault}");
                assert_eq!(desk.files().len(), 0, "round {round}: {fault}");
            }
        }
    }
    assert!(taken_in > 0 && refused > 0, "{taken_in} taken in, {refused} refused");
    println!("{rounds} spoilt pictures: {taken_in} taken in, {refused} refused");
}
