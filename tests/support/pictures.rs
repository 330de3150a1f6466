//! Pictures drawn for tests: a colour target, cloth, and some with positions in them, laid in by hand.

/// A small plain JPEG; each `shade` gives another.
pub fn plain(shade: u8) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let picture = image::RgbImage::from_fn(40, 30, |x, _| image::Rgb([shade, x as u8, 200]));
    picture.write_to(&mut bytes, image::ImageFormat::Jpeg).expect("a picture can be written");
    bytes.into_inner()
}

/// A field of a directory (TIFF 6.0, section 2): tag, type, count, value or place.
fn entry(tag: u16, kind: u16, count: u32, value: u32) -> Vec<u8> {
    [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &count.to_le_bytes(), &value.to_le_bytes()].concat()
}

/// A JPEG with an Exif block, laid in by hand: a TIFF whose one field, with this tag, leads to a directory of these fields,
/// and what they lead to (Exif 2.32, 4.7.2).
fn with_exif(plain: &[u8], tag: u16, fields: &[Vec<u8>], data: &[u8]) -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    tiff.extend([1, 0]);
    tiff.extend(entry(tag, 4, 1, 26));
    tiff.extend([0; 4]);
    tiff.extend((fields.len() as u16).to_le_bytes());
    tiff.extend(fields.concat());
    tiff.extend([0; 4]);
    tiff.extend(data);
    let mut bytes = plain[..2].to_vec();
    bytes.extend([0xff, 0xe1]);
    bytes.extend((tiff.len() as u16 + 8).to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(tiff);
    bytes.extend(&plain[2..]);
    bytes
}

/// A JPEG with a position in its Exif block: GPS latitude and longitude (Exif 2.32, 4.6.6).
pub fn with_position(plain: &[u8]) -> Vec<u8> {
    let (north, east) = (u32::from(b'N'), u32::from(b'E'));
    let fields = [entry(1, 2, 2, north), entry(2, 5, 3, 80), entry(3, 2, 2, east), entry(4, 5, 3, 104)];
    let figures = [48_u32, 1, 12, 1, 30, 1, 16, 1, 22, 1, 15, 1].map(u32::to_le_bytes).concat();
    with_exif(plain, 0x8825, &fields, &figures)
}

/// A JPEG with a time in its Exif block: DateTimeOriginal (Exif 2.32, 4.6.5).
pub fn timed(plain: &[u8], time: &str) -> Vec<u8> {
    with_exif(plain, 0x8769, &[entry(0x9003, 2, 20, 44)], &[time.as_bytes(), b"\0"].concat())
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
