//! Views and thumbnails: upright, small, without EXIF, and the same when rebuilt.

use std::fs;

use dimity::photograph::Fixity;
use exif::{Tag, Value};
use image::{DynamicImage, GenericImageView as _, ImageFormat};

use super::making::{Corner, corner_picture, dark_corner, exif_block, file, jpeg_with, png_with, with_exif};
use super::table::Table;

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
        let block = exif_block(&[(Tag::Orientation, Value::Short(vec![orientation]))], orientation % 2 == 0);
        let taken = desk.ingest("turned.jpg", &with_exif(&jpeg, &block)).expect("a sound photograph");
        let upright = if on_its_side { (32, 64) } else { (64, 32) };
        assert_eq!((taken.width, taken.height), upright, "orientation {orientation}");
        assert_eq!((taken.stored_width, taken.stored_height), (64, 32));
        for picture in [desk.view(&taken), desk.thumbnail(&taken)] {
            assert_eq!(picture.dimensions(), upright, "orientation {orientation}");
            assert_eq!(dark_corner(&picture), corner, "orientation {orientation}");
        }
        let mirrored = matches!(orientation, 2 | 4 | 5 | 7);
        assert_eq!(taken.remarks.iter().any(|r| r.contains("mirrored")), mirrored, "{:?}", taken.remarks);
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
        let block = exif_block(&[(Tag::Orientation, Value::Short(vec![orientation]))], false);
        let taken = desk.ingest("row.png", &png_with(&png, b"eXIf", &block)).expect("a sound photograph");
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

    let taken =
        desk.ingest("exif.jpg", &jpeg_with(&[(Tag::Make, Value::Ascii(vec![b"Maker".to_vec()]))])).expect("sound");
    for derived in [desk.store.view(&taken.sha256), desk.store.thumbnail(&taken.sha256)] {
        let bytes = fs::read(derived).expect("derived");
        assert!(!bytes.windows(4).any(|w| w == b"Exif"));
    }
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
        assert_eq!(taken.remarks.iter().any(|r| r.contains("colour profile")), !goes, "{:?}", taken.remarks);
    }
}

#[test]
fn derived_pictures_are_rebuilt_to_the_byte() {
    let desk = Table::new();
    let bytes = with_exif(
        &file(&corner_picture(700, 500), ImageFormat::Jpeg),
        &exif_block(&[(Tag::Orientation, Value::Short(vec![6]))], true),
    );
    let taken = desk.ingest("one.jpg", &bytes).expect("sound");
    let read =
        || [desk.store.view(&taken.sha256), desk.store.thumbnail(&taken.sha256)].map(|p| fs::read(p).expect("derived"));
    let before = read();
    fs::remove_dir_all(desk.dir.path().join("collection/derived")).expect("derived can be deleted");
    desk.store.rebuild(&taken.sha256, "jpg").expect("rebuilt");
    assert_eq!(read(), before);
    assert_eq!(desk.files().len(), 3);
}
