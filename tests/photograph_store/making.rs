//! Small photographs made for the tests: pixels by the image library, EXIF by its writer.

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Field, In, Tag, Value};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};

/// A dark corner, by where it lies in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Corner {
    TopLeft,
    TopRight,
    BottomLeft,
    BottomRight,
}

pub const DARK: Rgb<u8> = Rgb([30, 30, 120]);
pub const LIGHT: Rgb<u8> = Rgb([230, 220, 190]);

/// A light picture whose top left eighth-wide, quarter-high corner is dark.
pub fn corner_picture(width: u32, height: u32) -> DynamicImage {
    RgbImage::from_fn(width, height, |x, y| if x < width / 4 && y < height / 4 { DARK } else { LIGHT }).into()
}

/// The one dark corner of a picture.
pub fn dark_corner(picture: &DynamicImage) -> Corner {
    let picture = picture.to_luma8();
    let (right, bottom) = (picture.width() - 3, picture.height() - 3);
    let dark = |x, y| picture.get_pixel(x, y).0[0] < 100;
    match [dark(2, 2), dark(right, 2), dark(2, bottom), dark(right, bottom)] {
        [true, false, false, false] => Corner::TopLeft,
        [false, true, false, false] => Corner::TopRight,
        [false, false, true, false] => Corner::BottomLeft,
        [false, false, false, true] => Corner::BottomRight,
        other => panic!("not one dark corner: {other:?}"),
    }
}

/// The picture as a file of this format.
pub fn file(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(vec![]);
    picture.write_to(&mut bytes, format).expect("a picture can be written to memory");
    bytes.into_inner()
}

/// An EXIF block (a TIFF structure) of these tags.
pub fn exif_block(tags: &[(Tag, Value)], little_endian: bool) -> Vec<u8> {
    let fields: Vec<Field> =
        tags.iter().map(|(tag, value)| Field { tag: *tag, ifd_num: In::PRIMARY, value: value.clone() }).collect();
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut block = Cursor::new(vec![]);
    writer.write(&mut block, little_endian).expect("the tags can be written");
    block.into_inner()
}

/// Puts an EXIF block right after a JPEG's first marker.
pub fn with_exif(jpeg: &[u8], block: &[u8]) -> Vec<u8> {
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xff, 0xe1]);
    bytes.extend((block.len() as u16 + 8).to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(block);
    bytes.extend(&jpeg[2..]);
    bytes
}

/// A small JPEG with these tags.
pub fn jpeg_with(tags: &[(Tag, Value)]) -> Vec<u8> {
    with_exif(&file(&corner_picture(16, 8), ImageFormat::Jpeg), &exif_block(tags, true))
}

/// Puts a chunk after a PNG's header chunk.
pub fn png_with(png: &[u8], name: &[u8], body: &[u8]) -> Vec<u8> {
    let named = [name, body].concat();
    let length = (body.len() as u32).to_be_bytes();
    [&png[..33], &length, &named, &crc(&named).to_be_bytes(), &png[33..]].concat()
}

/// CRC-32 as PNG writes it (ISO 3309; PNG, annex D).
pub fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |sum, &byte| {
        (0..8).fold(sum ^ u32::from(byte), |s, _| if s & 1 == 1 { s >> 1 ^ 0xedb8_8320 } else { s >> 1 })
    })
}
