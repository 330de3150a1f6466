//! Pictures drawn for tests: a colour target, cloth, and some with positions in them, laid in by hand.

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

/// A target of the built-in reference, 30 pixels a patch, upper left at 10,10, each colour changed by `camera`; below it
/// an even cloth.
pub fn target(camera: impl Fn([f64; 3]) -> [f64; 3]) -> image::RgbImage {
    let patches = &dimity::colour::target::Reference::built_in().patches;
    image::RgbImage::from_fn(200, 200, |x, y| {
        let at = (x.wrapping_sub(10) / 30, y.wrapping_sub(10) / 30);
        let light = patches
            .iter()
            .find(|p| p.place == at)
            .map_or([0.2, 0.3, 0.1], dimity::colour::target::ReferencePatch::light);
        let level = |v: f64| {
            let v = v.clamp(0.0, 1.0);
            255.0 * if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 }
        };
        camera(light).map(|v| level(v).round() as u8).into()
    })
}

/// Plain weave of 8 px an end and 10 px a pick, light warp over darker weft: 400 by 300 px.
pub fn woven() -> image::GrayImage {
    image::GrayImage::from_fn(400, 300, |x, y| {
        let ((i, du), (j, dv)) = ((x / 8, f64::from(x % 8) / 8.0 - 0.44), (y / 10, f64::from(y % 10) / 10.0 - 0.45));
        let round = |d: f64| 1.0 - 3.0 * d * d;
        let grey = if (i + j) % 2 == 0 { 210.0 * round(du) } else { 160.0 * round(dv) };
        [grey as u8].into()
    })
}

/// A picture as the bytes of a PNG.
pub fn as_png(picture: impl Into<image::DynamicImage>) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.into().write_to(&mut bytes, image::ImageFormat::Png).expect("a picture can be written");
    bytes.into_inner()
}
