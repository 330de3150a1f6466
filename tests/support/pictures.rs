//! Pictures with positions in them, laid in by hand.

/// A small plain JPEG; each `shade` gives another.
pub fn plain(shade: u8) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_fn(40, 30, |x, _| image::Rgb([shade, x as u8, 200]));
    picture.write_to(&mut bytes, image::ImageFormat::Jpeg).expect("a picture can be written");
    bytes.into_inner()
}

/// A JPEG with a position in its Exif block: GPS latitude and longitude (Exif 2.32, 4.6.6), laid in by hand.
pub fn with_position(plain: &[u8]) -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    tiff.extend([1, 0]);
    tiff.extend(entry(0x8825, 4, 1, 26));
    tiff.extend([0; 4]);
    tiff.extend([4, 0]);
    tiff.extend(entry(1, 2, 2, u32::from(b'N')));
    tiff.extend(entry(2, 5, 3, 80));
    tiff.extend(entry(3, 2, 2, u32::from(b'E')));
    tiff.extend(entry(4, 5, 3, 104));
    tiff.extend([0; 4]);
    for n in [48_u32, 1, 12, 1, 30, 1, 16, 1, 22, 1, 15, 1] {
        tiff.extend(n.to_le_bytes());
    }
    let mut bytes = plain[..2].to_vec();
    bytes.extend([0xff, 0xe1]);
    bytes.extend((tiff.len() as u16 + 8).to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(tiff);
    bytes.extend(&plain[2..]);
    bytes
}

/// A JPEG with a position in a description alone (XMP, part 3: a segment APP1 with its own heading), which is no Exif.
pub fn with_description(plain: &[u8]) -> Vec<u8> {
    let text = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF \
        xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\"><rdf:Description \
        xmlns:exif=\"http://ns.adobe.com/exif/1.0/\" exif:GPSLatitude=\"48,12.5N\"/></rdf:RDF></x:xmpmeta>";
    let mut bytes = plain[..2].to_vec();
    bytes.extend([0xff, 0xe1]);
    bytes.extend((text.len() as u16 + 2).to_be_bytes());
    bytes.extend(text);
    bytes.extend(&plain[2..]);
    bytes
}
