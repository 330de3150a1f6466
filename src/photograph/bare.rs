//! Whether a derived picture carries nothing but its pixels and their colour: asked before it is given to strangers.

/// Whether these bytes are a JPEG without what cameras and programs write beside the picture: no Exif, no XMP, no IPTC, no
/// comment, nothing behind its end. JFIF (APP0), a colour profile (APP2) and the Adobe marker of the colour transform
/// (APP14) may stay.
pub fn is_bare(bytes: &[u8]) -> bool {
    let mut at = 2;
    if bytes.get(..2) != Some(&[0xff, 0xd8]) || !bytes.ends_with(&[0xff, 0xd9]) {
        return false;
    }
    loop {
        let Some([0xff, marker, high, low]) = bytes.get(at..at + 4).and_then(|b| <[u8; 4]>::try_from(b).ok()) else {
            return false;
        };
        let length = usize::from(high) << 8 | usize::from(low);
        let content = bytes.get(at + 4..at + 2 + length.max(2)).unwrap_or_default();
        match marker {
            // Start of scan: the picture itself follows, to the end.
            0xda => return !bytes[at..bytes.len() - 2].windows(2).any(|pair| pair == [0xff, 0xd9]),
            0xe2 if content.starts_with(b"ICC_PROFILE\0") => {}
            0xe0 | 0xee | 0xc0..=0xcf | 0xdb | 0xdd => {}
            _ => return false,
        }
        at += 2 + length.max(2);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_written_view_is_bare_and_anything_laid_into_it_is_seen() {
        let picture = image::RgbImage::from_fn(64, 48, |x, y| [x as u8, y as u8, 90].into());
        let plain = super::super::jpeg::encoded(&picture.into(), 85, None).expect("written");
        assert!(is_bare(&plain));
        let with = |marker: u8, content: &[u8]| {
            let mut bytes = plain[..2].to_vec();
            let length = content.len() as u16 + 2;
            bytes.extend([0xff, marker, (length >> 8) as u8, length as u8]);
            bytes.extend(content);
            bytes.extend(&plain[2..]);
            bytes
        };
        for (marker, content, bare) in [
            (0xe1, &b"Exif\0\0MM"[..], false),
            (0xe1, b"http://ns.adobe.com/xap/1.0/\0<x/>", false),
            (0xed, b"Photoshop 3.0\0", false),
            (0xe2, b"MPF\0MM", false),
            (0xfe, b"a comment", false),
            (0xe2, b"ICC_PROFILE\0\x01\x01x", true),
            (0xee, b"Adobe\0d\0\0\0\0\0", true),
        ] {
            assert_eq!(is_bare(&with(marker, content)), bare, "marker {marker:x}");
        }
        let mut longer = plain.clone();
        longer.extend(&plain);
        assert!(!is_bare(&longer), "a second picture behind the end may carry anything");
        for cut in 0..plain.len().min(700) {
            assert!(!is_bare(&plain[..cut]), "{cut}");
        }
    }
}
