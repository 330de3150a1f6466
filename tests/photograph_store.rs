//! The photograph store from outside: what is taken in, what is refused, and what is found changed later.

#[path = "photograph_store/camera_files.rs"]
mod camera_files;
#[path = "photograph_store/damaged_data.rs"]
mod damaged_data;
#[path = "photograph_store/derived.rs"]
mod derived;
#[path = "photograph_store/encoders.rs"]
mod encoders;
#[path = "support/machine.rs"]
mod machine;
#[path = "photograph_store/making.rs"]
mod making;
#[path = "photograph_store/meanings.rs"]
mod meanings;
#[path = "photograph_store/refused.rs"]
mod refused;
#[path = "photograph_store/table.rs"]
mod table;

use std::fs;

use dimity::photograph::{Fixity, IngestFault, Ingested};
use exif::{Tag, Value};
use image::{GenericImageView as _, ImageFormat};
use making::{corner_picture, file, jpeg_with, with_exif};
use table::Table;

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
    let new = paths.par_iter().map(|p| desk.store.ingest(p).expect("sound")).filter(|taken| !taken.already).count();
    assert_eq!((new, desk.files().len()), (1, 3));
}

#[test]
fn many_files_are_handed_over_in_their_order_faults_among_them() {
    let desk = Table::new();
    // The first takes longest, so that others are done before it.
    let paths: Vec<_> = (0..12_u32)
        .map(|n| match n {
            5 => desk.lay("5.jpg", b"no picture"),
            n => desk.lay(&format!("{n}.jpg"), &file(&corner_picture(16 + 1200 / (n + 1), 8 + n), ImageFormat::Jpeg)),
        })
        .collect();
    let mut handed = vec![];
    desk.store
        .ingest_all(&paths, |path, result| handed.push((path.to_path_buf(), result.map(|t| t.original_name).ok())));
    let wanted: Vec<_> = (0..12).map(|n| (paths[n].clone(), (n != 5).then(|| format!("{n}.jpg")))).collect();
    assert_eq!(handed, wanted);
    assert_eq!(desk.files().len(), 11 * 3, "an original, a view and a thumbnail of each that is sound");
    desk.store.ingest_all(&[], |path, _| panic!("there is no file, and yet {}", path.display()));
}

#[test]
fn a_changed_bit_and_a_lost_file_are_found() {
    let desk = Table::new();
    let taken = desk.ingest("one.jpg", &file(&corner_picture(40, 30), ImageFormat::Jpeg)).expect("sound");
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
    let fault = desk.store.rebuild(&taken.sha256, "jpg").expect_err("nothing is derived from changed bytes");
    assert!(matches!(fault, IngestFault::Changed(_)), "{fault}");

    let again = desk.ingest("one.jpg", &right).expect("the right bytes mend the store");
    assert!(again.already && again.remarks.iter().any(|r| r.contains("was replaced")), "{:?}", again.remarks);
    assert_eq!(desk.store.verify(&taken.sha256, "jpg"), Fixity::Sound);

    fs::remove_file(&place).expect("removed");
    assert_eq!(desk.store.verify(&taken.sha256, "jpg"), Fixity::Missing);
    assert_eq!(desk.store.verify("no hash", "jpg"), Fixity::Missing);
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
    let sizes = |x, y| [(Tag::PixelXDimension, Value::Long(vec![x])), (Tag::PixelYDimension, Value::Long(vec![y]))];
    let wrong = desk.ingest("wrong.png", &jpeg_with(&sizes(16, 8))).expect("sound");
    assert_eq!(wrong.remarks, ["the file is named `.png` but holds image/jpeg; it is stored as `.jpg`"]);
    assert_eq!(desk.ingest("turned.jpg", &jpeg_with(&sizes(8, 16))).expect("sound").remarks, Vec::<String>::new());
    let small = desk.ingest("small.jpg", &jpeg_with(&sizes(32, 16))).expect("sound");
    assert!(small.remarks[0].contains("the camera took 32 × 16 pixels and the file has 16 × 8"), "{:?}", small.remarks);
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
    assert!(fs::symlink_metadata(desk.store.original(&taken.sha256, "jpg")).expect("stored").is_file());
}
