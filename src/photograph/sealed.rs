//! Files that are kept whole but not developed here: camera raws and HEIF. What can be shown of them is the JPEG
//! that the camera laid inside.

use std::io::Cursor;
use std::ops::ControlFlow;

use memchr::{memchr, memmem};

use super::container::walk_jpeg;

/// Extensions that raw files go by; the file's own is kept when it is one of them.
const RAWS: [&str; 22] = [
    "dng", "cr2", "cr3", "crw", "nef", "nrw", "arw", "sr2", "srf", "raf", "orf", "rw2", "pef", "srw", "x3f", "mrw",
    "3fr", "iiq", "erf", "mef", "rwl", "raw",
];

/// The extension under which a raw file of this name is stored.
pub(super) fn raw_extension(own: &str) -> &'static str {
    RAWS.iter().find(|known| known.eq_ignore_ascii_case(own)).copied().unwrap_or("raw")
}

/// Whether the first bytes are those of a raw file that is no ordinary TIFF.
pub(super) fn is_raw(head: &[u8]) -> bool {
    matches!(
        head,
        [b'I', b'I', b'R' | b'U', ..]
            | [b'M', b'M', b'O', b'R', ..]
            | [0, b'M', b'R', b'M', ..]
            | [b'I', b'I', 0x1a, 0, 0, 0, b'H', b'E', b'A', b'P', ..]
            | [b'F', b'O', b'V', b'b', ..]
            | [_, _, _, _, b'f', b't', b'y', b'p', b'c', b'r', b'x', b' ', ..]
    ) || head.starts_with(b"FUJIFILMCCD-RAW ")
}

/// The extension of a HEIF file by its brand; none for other files.
pub(super) fn heif_extension(head: &[u8]) -> Option<&'static str> {
    let [_, _, _, _, b'f', b't', b'y', b'p', brand @ ..] = head else { return None };
    match brand.get(..4)? {
        b"avif" | b"avis" => Some("avif"),
        b"heic" | b"heix" | b"hevc" | b"hevx" | b"heim" | b"heis" | b"mif1" | b"msf1" => Some("heic"),
        _ => None,
    }
}

/// A JPEG inside another file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Preview<'a> {
    pub(super) bytes: &'a [u8],
    pub(super) width: u32,
    pub(super) height: u32,
}

/// Places that are tried before a file is said to hold no preview.
const MOST_PLACES: usize = 256;

/// The largest JPEG inside the file that can be decoded; none where there is none.
pub(super) fn preview(bytes: &[u8]) -> Option<Preview<'_>> {
    let mut best: Option<Preview> = None;
    let mut at = 1; // a file that is a JPEG itself is no preview
    let mut places = 0;
    while let Some(found) = bytes.get(at..).and_then(start_of_jpeg) {
        let start = at + found;
        places += 1;
        if places > MOST_PLACES {
            break;
        }
        at = start + 3;
        let rest = &bytes[start..];
        let mut size = None;
        let mut end = 0;
        let whole = walk_jpeg(rest, |marker, segment| {
            // Baseline, extended and progressive frames; the lossless kind is the raw picture itself.
            if let (0xc0..=0xc2, [8, h1, h2, w1, w2, ..]) = (marker, segment) {
                size = Some((u32::from(u16::from_be_bytes([*w1, *w2])), u32::from(u16::from_be_bytes([*h1, *h2]))));
            }
            end = segment.as_ptr() as usize - rest.as_ptr() as usize + segment.len();
            ControlFlow::Continue(())
        });
        let Some((width, height)) = size.filter(|(w, h)| whole.is_ok() && *w > 0 && *h > 0) else { continue };
        let tail = memmem::find(&rest[end..], b"\xff\xd9").map_or(rest.len(), |p| end + p + 2);
        let area = |w: u32, h: u32| u64::from(w) * u64::from(h);
        if best.is_none_or(|best| area(width, height) > area(best.width, best.height)) {
            best = Some(Preview { bytes: &rest[..tail], width, height });
        }
        at = start + tail;
    }
    best
}

/// Where the next start-of-image marker stands that an application, quantisation or Huffman segment follows.
fn start_of_jpeg(bytes: &[u8]) -> Option<usize> {
    let mut at = 0;
    loop {
        at += memchr(0xff, bytes.get(at..)?)?;
        if let [0xff, 0xd8, 0xff, 0xe0..=0xef | 0xdb | 0xc4, ..] = bytes.get(at..)? {
            return Some(at);
        }
        at += 1;
    }
}

/// Width and height of the largest picture that a HEIF file describes (ISO/IEC 23008-12, `ispe`); none where it
/// describes none.
pub(super) fn heif_size(bytes: &[u8]) -> Option<(u32, u32)> {
    let sizes = bytes.windows(16).filter(|w| w.starts_with(b"ispe\0\0\0\0")).map(|w| {
        let number = |at: usize| u32::from_be_bytes([w[at], w[at + 1], w[at + 2], w[at + 3]]);
        (number(8), number(12))
    });
    sizes.filter(|(w, h)| *w > 0 && *h > 0).max_by_key(|(w, h)| u64::from(*w) * u64::from(*h))
}

/// The EXIF block of a HEIF file, as a TIFF structure.
pub(super) fn heif_exif(bytes: &[u8]) -> Result<Option<Vec<u8>>, String> {
    match exif::Reader::new().continue_on_error(true).read_from_container(&mut Cursor::new(bytes)) {
        Ok(read) => Ok(Some(read.buf().to_vec())),
        Err(exif::Error::NotFound(_)) => Ok(None),
        Err(exif::Error::PartialResult(partial)) => Ok(Some(partial.into_inner().0.buf().to_vec())),
        Err(e) => Err(e.to_string()),
    }
}

/// The EXIF block of a raw file: the file itself where it is built as a TIFF, else what its preview carries.
pub(super) fn raw_exif(bytes: &[u8]) -> Option<Vec<u8>> {
    match bytes {
        // Two makers write another number where a TIFF has 42; the structure is the same.
        [b'I', b'I', b'R' | b'U', ..] => Some([b"II\x2a\0", &bytes[4..]].concat()),
        [b'M', b'M', b'O', b'R', ..] => Some([b"MM\0\x2a", &bytes[4..]].concat()),
        [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => Some(bytes.to_vec()),
        _ => {
            let preview = preview(bytes)?;
            super::exif_block::exif_block(preview.bytes).ok().flatten().map(std::borrow::Cow::into_owned)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jpeg(width: u16, height: u16, frame: u8) -> Vec<u8> {
        let [w1, w2] = width.to_be_bytes();
        let [h1, h2] = height.to_be_bytes();
        let head = [0xff, 0xd8, 0xff, 0xe0, 0, 4, b'J', b'F', 0xff, frame, 0, 8, 8, h1, h2, w1, w2, 1];
        [&head[..], b"\xff\xda\0\x02data\xff\xd9"].concat()
    }

    #[test]
    fn the_largest_preview_that_can_be_shown_is_found() {
        let raw = [
            &b"II\x2a\0 some directories \xff\xd8\xff\x01 no picture "[..],
            &jpeg(160, 120, 0xc0),
            b" sensor \xff\xd8\xff\xe0 broken ",
            &jpeg(1600, 1200, 0xc2),
            b"\xff",
            &jpeg(6000, 4000, 0xc3),
        ]
        .concat();
        let found = preview(&raw).expect("a preview");
        assert_eq!((found.width, found.height), (1600, 1200), "the lossless frame is the raw picture itself");
        assert_eq!(found.bytes, jpeg(1600, 1200, 0xc2));
        assert!(preview(&jpeg(10, 10, 0xc0)).is_none(), "the file itself is no preview");
        assert!(preview(b"").is_none());
        assert!(preview(&[0xff; 1000]).is_none());
    }

    #[test]
    fn the_size_of_a_heif_picture_is_the_largest_it_describes() {
        let size = |w: u32, h: u32| [b"\0\0\0\x14ispe\0\0\0\0".as_slice(), &w.to_be_bytes(), &h.to_be_bytes()].concat();
        let file = [size(320, 240), size(4032, 3024), size(0, 9)].concat();
        assert_eq!(heif_size(&file), Some((4032, 3024)));
        assert_eq!(heif_size(b"ispe"), None);
    }
}
