//! The photograph store from outside: what is taken in, what is refused, and what is found changed later.

#[path = "photograph_store/camera_files.rs"]
mod camera_files;
#[path = "photograph_store/making.rs"]
mod making;
#[path = "photograph_store/meanings.rs"]
mod meanings;

use std::fs;
use std::path::{Path, PathBuf};

use dimity::photograph::{Fixity, IngestFault, Ingested, Store};
use exif::{Tag, Value};
use image::{DynamicImage, GenericImageView as _, ImageFormat};
use making::{Corner, corner_picture, crc, dark_corner, file, jpeg_with, png_with, with_exif};
use proptest::prelude::*;
use tempfile::TempDir;

/// A catalogue folder and a folder of photographs to take in.
struct Table {
    dir: TempDir,
    store: Store,
}

impl Table {
    fn new() -> Self {
        let dir = tempfile::tempdir().expect("a folder for the test");
        let store = Store::at(&dir.path().join("collection"));
        Self { dir, store }
    }

    fn lay(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.dir.path().join(name);
        fs::write(&path, bytes).expect("the test folder can be written");
        path
    }

    fn ingest(&self, name: &str, bytes: &[u8]) -> Result<Ingested, IngestFault> {
        self.store.ingest(&self.lay(name, bytes))
    }

    /// Every file below the catalogue folder.
    fn files(&self) -> Vec<PathBuf> {
        fn below(folder: &Path, found: &mut Vec<PathBuf>) {
            for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
                let path = entry.path();
                if path.is_dir() { below(&path, found) } else { found.push(path) }
            }
        }
        let mut found = vec![];
        below(&self.dir.path().join("collection"), &mut found);
        found
    }

    fn view(&self, taken: &Ingested) -> DynamicImage {
        image::open(self.store.view(&taken.sha256)).expect("a view that can be opened")
    }

    fn thumbnail(&self, taken: &Ingested) -> DynamicImage {
        image::open(self.store.thumbnail(&taken.sha256)).expect("a thumbnail that can be opened")
    }
}

#[test]
fn every_orientation_puts_the_corner_where_the_standard_says() {
    // Exif 2.32, tag 274: which visual side row 0 and column 0 are. The stored corner is row 0, column 0.
    let table = [
        (1, Corner::TopLeft, false),
        (2, Corner::TopRight, false),
        (3, Corner::BottomRight, false),
        (4, Corner::BottomLeft, false),
        (5, Corner::TopLeft, true),
        (6, Corner::TopRight, true),
        (7, Corner::BottomRight, true),
        (8, Corner::BottomLeft, true),
    ];
    let desk = Table::new();
    let jpeg = file(&corner_picture(64, 32), ImageFormat::Jpeg);
    for (orientation, corner, on_its_side) in table {
        let block = making::exif_block(
            &[(Tag::Orientation, Value::Short(vec![orientation]))],
            orientation % 2 == 0,
        );
        let taken =
            desk.ingest("turned.jpg", &with_exif(&jpeg, &block)).expect("a sound photograph");
        let upright = if on_its_side { (32, 64) } else { (64, 32) };
        assert_eq!((taken.width, taken.height), upright, "orientation {orientation}");
        assert_eq!((taken.stored_width, taken.stored_height), (64, 32));
        for picture in [desk.view(&taken), desk.thumbnail(&taken)] {
            assert_eq!(picture.dimensions(), upright, "orientation {orientation}");
            assert_eq!(dark_corner(&picture), corner, "orientation {orientation}");
        }
        let mirrored = matches!(orientation, 2 | 4 | 5 | 7);
        assert_eq!(
            taken.remarks.iter().any(|r| r.contains("mirrored")),
            mirrored,
            "{:?}",
            taken.remarks
        );
    }
}

#[test]
fn orientations_five_and_seven_mirror_and_six_and_eight_do_not() {
    // Corners alone cannot tell a quarter turn from its mirror image: mark the far end of the first row too.
    let mut picture = corner_picture(64, 32).into_rgb8();
    for (x, y) in (56..64).flat_map(|x| (0..8).map(move |y| (x, y))) {
        picture.put_pixel(x, y, [200, 0, 0].into());
    }
    let png = file(&picture.into(), ImageFormat::Png);
    let red = |p: &DynamicImage, x: u32, y: u32| {
        let [r, g, ..] = p.get_pixel(x, y).0;
        r > 150 && g < 100
    };
    // Where the red end of the first row lands in the upright 32 × 64 picture.
    for (orientation, (x, y)) in [(5, (2, 61)), (6, (29, 61)), (7, (29, 2)), (8, (2, 2))] {
        let desk = Table::new();
        let block =
            making::exif_block(&[(Tag::Orientation, Value::Short(vec![orientation]))], false);
        let taken =
            desk.ingest("row.png", &png_with(&png, b"eXIf", &block)).expect("a sound photograph");
        assert!(red(&desk.view(&taken), x, y), "orientation {orientation}");
    }
}

#[test]
fn each_format_is_stored_whole_and_derived_small_and_without_exif() {
    let wide = corner_picture(2000, 1000);
    let sixteen = DynamicImage::ImageRgb16(corner_picture(2000, 1000).into_rgb16());
    let grey = DynamicImage::ImageLuma8(corner_picture(2000, 1000).into_luma8());
    let clear = DynamicImage::ImageRgba8(corner_picture(2000, 1000).into_rgba8());
    let cases = [
        ("a.JPG", &wide, ImageFormat::Jpeg, "jpg", "image/jpeg"),
        ("b.png", &wide, ImageFormat::Png, "png", "image/png"),
        ("c.tiff", &wide, ImageFormat::Tiff, "tif", "image/tiff"),
        ("d.tif", &sixteen, ImageFormat::Tiff, "tif", "image/tiff"),
        ("e.webp", &wide, ImageFormat::WebP, "webp", "image/webp"),
        ("f.png", &sixteen, ImageFormat::Png, "png", "image/png"),
        ("g.tif", &grey, ImageFormat::Tiff, "tif", "image/tiff"),
        ("h.png", &clear, ImageFormat::Png, "png", "image/png"),
    ];
    let desk = Table::new();
    for (name, picture, format, extension, media_type) in cases {
        let bytes = file(picture, format);
        let taken = desk.ingest(name, &bytes).expect(name);
        assert_eq!((taken.extension.as_str(), taken.media_type.as_str()), (extension, media_type));
        assert_eq!((taken.original_name.as_str(), taken.bytes), (name, bytes.len() as u64));
        assert_eq!((taken.width, taken.height), (2000, 1000));
        assert_eq!(taken.remarks, Vec::<String>::new(), "{name}");
        assert!(!taken.already);
        assert_eq!(fs::read(desk.store.original(&taken.sha256, extension)).expect("stored"), bytes);
        assert_eq!(desk.store.verify(&taken.sha256, extension), Fixity::Sound);
        assert_eq!(desk.view(&taken).dimensions(), (1600, 800), "{name}");
        assert_eq!(desk.thumbnail(&taken).dimensions(), (320, 160), "{name}");
        assert_eq!(dark_corner(&desk.thumbnail(&taken)), Corner::TopLeft, "{name}");
    }
    assert_eq!(desk.files().len(), 3 * cases.len());

    let taken = desk.ingest("exif.jpg", &jpeg_with(&[(Tag::Make, ascii("Maker"))])).expect("sound");
    for derived in [desk.store.view(&taken.sha256), desk.store.thumbnail(&taken.sha256)] {
        let bytes = fs::read(derived).expect("derived");
        assert!(!bytes.windows(4).any(|w| w == b"Exif"));
    }
}

fn ascii(text: &str) -> Value {
    Value::Ascii(vec![text.as_bytes().to_vec()])
}

#[test]
fn a_colour_profile_goes_with_the_derived_pictures_where_it_fits() {
    use image::ImageEncoder as _;
    let profile = |space: &[u8], len: usize| {
        let mut profile = vec![0; len];
        profile[16..20].copy_from_slice(space);
        profile
    };
    // Space of the profile, its length, whether the picture is grey, whether it goes along.
    let cases = [
        (b"RGB ", 560, false, true),
        (b"CMYK", 560, false, false),
        (b"RGB ", 70_000, false, false),
        (b"GRAY", 400, true, true),
        (b"RGB ", 400, true, false),
    ];
    for (space, len, grey, goes) in cases {
        let desk = Table::new();
        let picture = corner_picture(64, 32);
        let picture = if grey { DynamicImage::ImageLuma8(picture.into_luma8()) } else { picture };
        let mut bytes = vec![];
        let mut encoder = image::codecs::jpeg::JpegEncoder::new(&mut bytes);
        encoder.set_icc_profile(profile(space, len)).expect("JPEG holds profiles");
        picture.write_with_encoder(encoder).expect("written");
        let taken = desk.ingest("profile.jpg", &bytes).expect("sound");
        let view = fs::read(desk.store.view(&taken.sha256)).expect("derived");
        assert_eq!(view.windows(12).any(|w| w == b"ICC_PROFILE\0"), goes, "{space:?} {len} {grey}");
        assert_eq!(
            taken.remarks.iter().any(|r| r.contains("colour profile")),
            !goes,
            "{:?}",
            taken.remarks
        );
    }
}

#[test]
fn the_same_bytes_again_are_known_and_not_stored_twice() {
    let desk = Table::new();
    let bytes = file(&corner_picture(40, 30), ImageFormat::Jpeg);
    let first = desk.ingest("one.jpg", &bytes).expect("sound");
    let second = desk.ingest("two.jpeg", &bytes).expect("sound");
    assert!(!first.already && second.already);
    assert_eq!(second.original_name, "two.jpeg");
    let named_back = Ingested { original_name: "one.jpg".into(), already: false, ..second };
    assert_eq!(named_back, first);
    assert_eq!(desk.files().len(), 3);

    fs::remove_file(desk.store.thumbnail(&first.sha256)).expect("it was there");
    assert!(desk.ingest("one.jpg", &bytes).expect("sound").already);
    assert_eq!(desk.thumbnail(&first).dimensions(), (40, 30), "what is missing is made again");
}

#[test]
fn of_many_equal_files_at_once_one_is_new() {
    use rayon::prelude::*;
    let desk = Table::new();
    let bytes = file(&corner_picture(40, 30), ImageFormat::Jpeg);
    let paths: Vec<_> = (0..12).map(|n| desk.lay(&format!("{n}.jpg"), &bytes)).collect();
    let new = paths
        .par_iter()
        .map(|p| desk.store.ingest(p).expect("sound"))
        .filter(|taken| !taken.already)
        .count();
    assert_eq!((new, desk.files().len()), (1, 3));
}

#[test]
fn a_file_cut_short_anywhere_is_refused_and_leaves_nothing() {
    let picture = corner_picture(16, 8);
    let block = making::exif_block(&[(Tag::Make, ascii("Maker"))], true);
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
            let fault = desk
                .ingest(name, &bytes[..end])
                .map(|_| end)
                .expect_err("a part is not the whole")
                .to_string();
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
    let cases: [(&str, Vec<u8>, &str); 8] = [
        ("empty.jpg", vec![], "is empty; copy it again"),
        (
            "notes.jpg",
            b"not a picture at all".to_vec(),
            "is not a photograph that can be read here; give a JPEG",
        ),
        (
            "phone.heic",
            b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec(),
            "is a HEIC picture, which cannot be opened here; export",
        ),
        ("film.mp4", b"\0\0\0\x18ftypisom\0\0\0\0".to_vec(), "a film, not a photograph"),
        ("two.gif", b"GIF89a\0\0\0\0".to_vec(), "is a GIF picture"),
        (
            "raw.cr2",
            b"II\x2a\0\x10\0\0\0CR\x02\0\0\0\0\0\0\0\0\0\0\0".to_vec(),
            "is a raw camera file, which cannot be opened here; develop",
        ),
        (
            "bomb.png",
            bomb,
            "is too large: 30000 × 30000 pixels, and the most is 300 million pixels; divide",
        ),
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
    let absent =
        desk.store.ingest(&desk.dir.path().join("absent.jpg")).expect_err("absent").to_string();
    assert!(absent.contains("absent.jpg`: there is no such file"), "{absent}");
}

#[test]
fn a_changed_bit_and_a_lost_file_are_found() {
    let desk = Table::new();
    let taken =
        desk.ingest("one.jpg", &file(&corner_picture(40, 30), ImageFormat::Jpeg)).expect("sound");
    let place = desk.store.original(&taken.sha256, "jpg");
    let right = fs::read(&place).expect("stored");
    for at in [0, right.len() / 2, right.len() - 1] {
        let mut wrong = right.clone();
        wrong[at] ^= 1;
        fs::write(&place, wrong).expect("written");
        let Fixity::Changed { now } = desk.store.verify(&taken.sha256, "jpg") else {
            panic!("the changed bit at {at} was not seen")
        };
        assert!(now.len() == 64 && now != taken.sha256);
    }
    let fault = desk
        .store
        .rebuild(&taken.sha256, "jpg")
        .expect_err("nothing is derived from changed bytes");
    assert!(matches!(fault, IngestFault::Changed(_)), "{fault}");

    let again = desk.ingest("one.jpg", &right).expect("the right bytes mend the store");
    assert!(
        again.already && again.remarks.iter().any(|r| r.contains("was replaced")),
        "{:?}",
        again.remarks
    );
    assert_eq!(desk.store.verify(&taken.sha256, "jpg"), Fixity::Sound);

    fs::remove_file(&place).expect("removed");
    assert_eq!(desk.store.verify(&taken.sha256, "jpg"), Fixity::Missing);
    assert_eq!(desk.store.verify("no hash", "jpg"), Fixity::Missing);
}

#[test]
fn derived_pictures_are_rebuilt_to_the_byte() {
    let desk = Table::new();
    let bytes = with_exif(
        &file(&corner_picture(700, 500), ImageFormat::Jpeg),
        &making::exif_block(&[(Tag::Orientation, Value::Short(vec![6]))], true),
    );
    let taken = desk.ingest("one.jpg", &bytes).expect("sound");
    let read = || {
        [desk.store.view(&taken.sha256), desk.store.thumbnail(&taken.sha256)]
            .map(|p| fs::read(p).expect("derived"))
    };
    let before = read();
    fs::remove_dir_all(desk.dir.path().join("collection/derived")).expect("derived can be deleted");
    desk.store.rebuild(&taken.sha256, "jpg").expect("rebuilt");
    assert_eq!(read(), before);
    assert_eq!(desk.files().len(), 3);
}

#[test]
fn unreadable_exif_is_remarked_and_the_photograph_kept() {
    let jpeg = file(&corner_picture(16, 8), ImageFormat::Jpeg);
    let cases: [(&str, &[u8], &str); 3] = [
        ("no byte order", b"XX\x2a\0\x08\0\0\0\0\0", "EXIF could not be read: "),
        ("a directory outside", b"II\x2a\0\xff\xff\0\0", "EXIF could be read in part only: "),
        ("nothing at all", b"", "EXIF could not be read: "),
    ];
    for (name, block, remark) in cases {
        let desk = Table::new();
        let taken = desk.ingest("odd.jpg", &with_exif(&jpeg, block)).expect("the picture is sound");
        assert!(taken.remarks.iter().any(|r| r.starts_with(remark)), "{name}: {:?}", taken.remarks);
        assert_eq!(desk.store.verify(&taken.sha256, "jpg"), Fixity::Sound);
    }
}

#[test]
fn a_wrong_extension_and_a_resized_picture_are_remarked() {
    let desk = Table::new();
    let sizes = |x, y| {
        [(Tag::PixelXDimension, Value::Long(vec![x])), (Tag::PixelYDimension, Value::Long(vec![y]))]
    };
    let wrong = desk.ingest("wrong.png", &jpeg_with(&sizes(16, 8))).expect("sound");
    assert_eq!(
        wrong.remarks,
        ["the file is named `.png` but holds image/jpeg; it is stored as `.jpg`"]
    );
    assert_eq!(
        desk.ingest("turned.jpg", &jpeg_with(&sizes(8, 16))).expect("sound").remarks,
        Vec::<String>::new()
    );
    let small = desk.ingest("small.jpg", &jpeg_with(&sizes(32, 16))).expect("sound");
    assert!(
        small.remarks[0].contains("the camera took 32 × 16 pixels and the file has 16 × 8"),
        "{:?}",
        small.remarks
    );
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

#[cfg(unix)]
#[test]
fn links_are_followed_and_names_that_are_no_text_are_kept_as_far_as_they_go() {
    use std::os::unix::ffi::OsStrExt as _;
    let desk = Table::new();
    let path = desk.lay("real.jpg", &file(&corner_picture(16, 8), ImageFormat::Jpeg));
    let link = desk.dir.path().join(std::ffi::OsStr::from_bytes(b"li\xffnk.jpg"));
    std::os::unix::fs::symlink(path, &link).expect("a link");
    let taken = desk.store.ingest(&link).expect("links are followed");
    assert_eq!(taken.original_name, "li\u{fffd}nk.jpg");
    assert!(
        fs::symlink_metadata(desk.store.original(&taken.sha256, "jpg")).expect("stored").is_file()
    );
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_named_in_the_fault() {
    use std::os::unix::fs::PermissionsExt as _;
    let desk = Table::new();
    let room = desk.dir.path().join("collection/photographs");
    fs::create_dir_all(&room).expect("a folder");
    fs::set_permissions(&room, fs::Permissions::from_mode(0o555)).expect("permissions");
    if fs::write(room.join("probe"), b"").is_ok() {
        println!("not run: this user may write everywhere");
        return;
    }
    let fault = desk
        .ingest("one.jpg", &file(&corner_picture(16, 8), ImageFormat::Jpeg))
        .expect_err("no permission");
    let fault = fault.to_string();
    assert!(fault.contains(&*room.to_string_lossy()) && fault.contains("no permission"), "{fault}");
}

#[test]
fn a_file_standing_where_a_folder_is_needed_is_named_in_the_fault() {
    let desk = Table::new();
    fs::create_dir(desk.dir.path().join("collection")).expect("a folder");
    fs::write(desk.dir.path().join("collection/photographs"), b"in the way").expect("a file");
    let fault = desk
        .ingest("one.jpg", &file(&corner_picture(16, 8), ImageFormat::Jpeg))
        .expect_err("in the way");
    let fault = fault.to_string();
    assert!(
        fault.contains("collection/photographs`: a file stands where a folder is needed"),
        "{fault}"
    );
}
