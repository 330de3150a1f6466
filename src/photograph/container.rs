//! What kind of file this is, and whether it reaches its own end. Apart from decoding, because decoders forgive
//! a missing end and fill the rest with grey.

use std::ops::ControlFlow::{self, Break, Continue};
use std::path::Path;

use image::ImageFormat;
use memchr::memchr;

use super::directory::Directory;
use super::fault::IngestFault;
use super::sealed::{heif_extension, is_raw, raw_extension};

/// The kinds of photograph taken in, told by their first bytes and never by the file name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Jpeg,
    Png,
    Tiff,
    WebP,
    /// HEIC or AVIF, by extension: kept whole, not decoded.
    Heif(&'static str),
    /// A camera's raw file, by extension: kept whole, not developed.
    Raw(&'static str),
}

impl Kind {
    /// Reads the first bytes of a file; sixteen are enough. A raw file that begins as a TIFF is told from one by
    /// [`Kind::refined`], which needs the whole.
    pub(super) fn of(head: &[u8]) -> Option<Self> {
        if let Some(extension) = heif_extension(head) {
            return Some(Self::Heif(extension));
        }
        if is_raw(head) {
            return Some(Self::Raw("raw"));
        }
        match head {
            [0xff, 0xd8, 0xff, ..] => Some(Self::Jpeg),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Some(Self::Png),
            // 42 is the classic TIFF, 43 the one with long offsets.
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => Some(Self::Tiff),
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some(Self::WebP),
            _ => None,
        }
    }

    /// The same kind with what the whole file and its name tell besides.
    pub(super) fn refined(self, bytes: &[u8], path: &Path) -> Self {
        let own = path.extension().map(|e| e.to_string_lossy().into_owned()).unwrap_or_default();
        match self {
            Self::Raw(_) => Self::Raw(raw_extension(&own)),
            // NewSubfileType bit 0: the first page is a reduced picture of a raw one. 0xc612: DNGVersion.
            Self::Tiff => match Directory::walk(bytes) {
                Ok(d) if d.has(0xc612) => Self::Raw("dng"),
                Ok(d) if d.first_number(254).is_some_and(|t| t & 1 == 1) => Self::Raw(raw_extension(&own)),
                Ok(_) if bytes.get(8..10) == Some(b"CR") => Self::Raw("cr2"),
                _ => self,
            },
            other => other,
        }
    }

    /// Whether its own picture is decoded here; otherwise only a preview inside it can be shown.
    pub(super) const fn decoded(self) -> bool {
        !matches!(self, Self::Heif(_) | Self::Raw(_))
    }

    pub(super) fn extension(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::Tiff => "tif",
            Self::WebP => "webp",
            Self::Heif(extension) | Self::Raw(extension) => extension,
        }
    }

    /// Whether a file name's extension is one that files of this kind go by.
    pub(super) fn goes_by(self, extension: &str) -> bool {
        let usual: &[&str] = match self {
            Self::Jpeg => &["jpg", "jpeg", "jpe", "jfif", "mpo"],
            Self::Png => &["png"],
            Self::Tiff => &["tif", "tiff"],
            Self::WebP => &["webp"],
            Self::Heif("avif") => &["avif"],
            Self::Heif(_) => &["heic", "heif", "hif"],
            // Whatever name a raw file goes by, its maker gave it.
            Self::Raw(_) => return true,
        };
        usual.iter().any(|u| u.eq_ignore_ascii_case(extension))
    }

    pub(super) fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Tiff => "image/tiff",
            Self::WebP => "image/webp",
            Self::Heif("avif") => "image/avif",
            Self::Heif(_) => "image/heic",
            Self::Raw("dng") => "image/x-adobe-dng",
            Self::Raw(_) => "image/x-raw",
        }
    }

    /// The decoder for it; a file that is not decoded is shown by the JPEG inside it.
    pub(super) fn format(self) -> ImageFormat {
        match self {
            Self::Jpeg | Self::Heif(_) | Self::Raw(_) => ImageFormat::Jpeg,
            Self::Png => ImageFormat::Png,
            Self::Tiff => ImageFormat::Tiff,
            Self::WebP => ImageFormat::WebP,
        }
    }
}

/// The fault of a file whose first bytes are of no kind taken in.
pub(super) fn stranger(path: &Path, head: &[u8]) -> IngestFault {
    let what = match head {
        [_, _, _, _, b'f', b't', b'y', b'p', ..] => "a film, not a photograph",
        [b'G', b'I', b'F', b'8', ..] => "a GIF picture",
        [b'B', b'M', ..] => "a BMP picture",
        [b'8', b'B', b'P', b'S', ..] => "a layered picture of a painting program",
        [b'%', b'P', b'D', b'F', ..] => "a PDF",
        _ => return IngestFault::NotAnImage(path.into()),
    };
    let mend = "export it as JPEG or TIFF and add that file".into();
    IngestFault::Unsupported { path: path.into(), what: what.into(), mend }
}

/// Checks that the file reaches its own end, where its format says where that is.
pub(super) fn check_whole(kind: Kind, bytes: &[u8], path: &Path) -> Result<(), IngestFault> {
    let missing = match kind {
        Kind::Jpeg => walk_jpeg(bytes, |_, _| Continue(())).err(),
        Kind::Png => walk_png(bytes),
        Kind::WebP => walk_webp(bytes),
        Kind::Tiff => match Directory::walk(bytes) {
            Ok(d) => d.missing(),
            Err(_) => None, // long offsets: left to the decoder
        },
        Kind::Heif(_) => walk_heif(bytes),
        Kind::Raw(_) => None, // every maker ends its files in its own way
    };
    match missing {
        None => Ok(()),
        Some(detail) => Err(IngestFault::Truncated { path: path.into(), detail: detail.into() }),
    }
}

/// The marker before picture data (SOS).
pub(super) const START_OF_SCAN: u8 = 0xda;

/// Goes through a JPEG's marker segments (ITU-T T.81, annex B) to the end-of-image marker; `visit` sees each
/// marker and its segment, and may end the walk there. Bytes out of step between segments are passed over, as decoders do.
pub(super) fn walk_jpeg<'a>(
    bytes: &'a [u8],
    mut visit: impl FnMut(u8, &'a [u8]) -> ControlFlow<()>,
) -> Result<(), &'static str> {
    const CUT: &str = "the JPEG stops before its end-of-image marker";
    let mut at = 2;
    let mut scans = 0;
    loop {
        at += bytes.get(at..).and_then(|rest| memchr(0xff, rest)).ok_or(CUT)?;
        at += bytes[at..].iter().position(|&b| b != 0xff).ok_or(CUT)?;
        let marker = bytes[at];
        at += 1;
        match marker {
            0xd9 if scans > 0 => return Ok(()),
            0xd9 => return Err("the JPEG ends before its picture begins"),
            // A stuffed byte, a restart, a marker without a segment.
            0x00..=0x01 | 0xd0..=0xd8 => continue,
            // Once picture data has begun, only these may come between scans; the rest is damage in the data.
            0xc4 | 0xda..=0xdd | 0xe0..=0xef | 0xfe => {}
            _ if scans > 0 => continue,
            _ => {}
        }
        let length = bytes.get(at..at + 2).map(|b| usize::from(u16::from_be_bytes([b[0], b[1]]))).ok_or(CUT)?;
        if length < 2 {
            continue;
        }
        if visit(marker, bytes.get(at + 2..at + length).ok_or(CUT)?).is_break() {
            return Ok(());
        }
        at += length;
        scans += usize::from(marker == START_OF_SCAN);
    }
}

/// A JPEG as far as its picture data: all that a decoder reads for size and colour profile, without the megabytes behind.
/// The whole where no picture data begins.
pub(super) fn jpeg_header(bytes: &[u8]) -> &[u8] {
    let mut header = bytes;
    let _ = walk_jpeg(bytes, |marker, segment| {
        if marker != START_OF_SCAN {
            return Continue(());
        }
        let end = segment.as_ptr() as usize - bytes.as_ptr() as usize + segment.len();
        header = &bytes[..end];
        Break(())
    });
    header
}

/// Goes through a PNG's chunks (PNG, third edition, section 5) to IEND; says what is missing.
fn walk_png(bytes: &[u8]) -> Option<&'static str> {
    const CUT: &str = "the PNG stops before its IEND chunk";
    let mut at = 8;
    let mut picture = false;
    loop {
        let Some([a, b, c, d, name @ ..]) = bytes.get(at..at + 8) else { return Some(CUT) };
        let end = u64::from(u32::from_be_bytes([*a, *b, *c, *d])) + at as u64 + 12;
        if end > bytes.len() as u64 {
            return Some(CUT);
        }
        match name {
            b"IDAT" => picture = true,
            b"IEND" if picture => return None,
            b"IEND" => return Some("the PNG ends before its picture begins"),
            _ => {}
        }
        at = end as usize;
    }
}

/// Goes through a HEIF's boxes (ISO/IEC 14496-12) to the end of the file.
fn walk_heif(bytes: &[u8]) -> Option<&'static str> {
    let mut at = 0_u64;
    while at < bytes.len() as u64 {
        let head = bytes.get(at as usize..at as usize + 16).or_else(|| bytes.get(at as usize..at as usize + 8));
        let Some(head) = head else { return Some("the HEIF stops inside a box") };
        let size = u64::from(u32::from_be_bytes([head[0], head[1], head[2], head[3]]));
        let size = match (size, head.get(8..16)) {
            (0, _) => return None, // the last box reaches to the end
            (1, Some(long)) => long.iter().fold(0, |n: u64, b| n << 8 | u64::from(*b)),
            (size, _) => size,
        };
        match at.checked_add(size.max(8)) {
            Some(next) if next <= bytes.len() as u64 => at = next,
            _ => return Some("the HEIF is shorter than its boxes say"),
        }
    }
    None
}

/// Compares the length that a WebP states in its RIFF header with what is there.
fn walk_webp(bytes: &[u8]) -> Option<&'static str> {
    let stated = bytes.get(4..8).map(|b| u64::from(u32::from_le_bytes([b[0], b[1], b[2], b[3]])))?;
    (stated + 8 > bytes.len() as u64).then_some("the WebP is shorter than its header says")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_jpeg_ends_where_its_marker_stands_and_nowhere_else() {
        const SCAN: &[u8] = b"\xff\xda\0\x02";
        const TABLE: &[u8] = b"\xff\xc4\0\x04\xff\xd9"; // an end marker inside a segment is data
        const END: &[u8] = b"\xff\xd9";
        let cases: [(&str, &[&[u8]], bool); 10] = [
            ("one scan", &[SCAN, b"data", END], true),
            ("stuffed bytes and restarts", &[SCAN, b"a\xff\0b\xff\xd0c\xff\xd7", END], true),
            ("more scans", &[SCAN, b"a", TABLE, SCAN, b"b", END], true),
            ("fill bytes before markers", &[b"\xff\xff\xff", TABLE, SCAN, b"a\xff\xff", END], true),
            ("a damaged byte in the data", &[SCAN, b"a\xff\x42\xff\xffb", END], true),
            ("what follows the end", &[SCAN, b"a", END, b"a film"], true),
            ("no end", &[SCAN, b"data"], false),
            ("an end inside the last segment only", &[SCAN, b"a", TABLE], false),
            ("an end before any scan", &[TABLE, END, SCAN], false),
            ("a segment longer than the file", &[SCAN, b"a\xff\xc4\xff\xff", END], false),
        ];
        for (name, parts, whole) in cases {
            let bytes = [b"\xff\xd8", parts.concat().as_slice()].concat();
            assert_eq!(walk_jpeg(&bytes, |_, _| Continue(())).is_ok(), whole, "{name}");
        }
    }

    #[test]
    fn raw_camera_files_that_begin_as_tiff_do_are_told_apart() {
        let page = |tag: u16, value: u32| {
            let entry = [&tag.to_le_bytes()[..], b"\x04\0\x01\0\0\0", &value.to_le_bytes()].concat();
            [b"II\x2a\0\x08\0\0\0\x01\0", entry.as_slice(), &[0; 4]].concat()
        };
        let cases = [
            (page(254, 0), false), // the picture itself
            (page(254, 1), true),  // a reduced picture of another
            (page(254, 2), false), // a page of several
            (page(0xc612, 0x0101), true),
            (page(256, 1), false),
        ];
        for (bytes, raw) in cases {
            let kind = Kind::Tiff.refined(&bytes, Path::new("a.nef"));
            assert_eq!(matches!(kind, Kind::Raw("dng" | "nef")), raw, "{kind:?}");
        }
    }
}
