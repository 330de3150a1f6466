//! Takes one photograph in: copied and hashed in one reading, checked, named by its hash, pictures derived.

use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::panic::resume_unwind;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::thread;

use sha2::{Digest as _, Sha256};
use tempfile::NamedTempFile;

use super::container::{Kind, check_whole, stranger};
use super::derived::{decode, derive, dimensions};
use super::fault::IngestFault;
use super::fixity::{CHUNK, Fixity, hex, verify};
use super::sealed::{Preview, heif_size, preview};
use super::writing::{beside, folder, name, sync_folder, temporary};
use super::{Store, read_capture};
use crate::digest::sha256;
use crate::record::capture::Capture;

/// The most bytes taken in as one photograph: the file is held in memory while it is decoded.
pub const MOST_BYTES: u64 = 2 << 30;

/// Naming an original is one step for all threads, so that of two equal files one is new and one is known.
static NAMING: Mutex<()> = Mutex::new(());

/// A photograph that is now in the store.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingested {
    /// SHA-256 of the bytes, lower-case hexadecimal.
    pub sha256: String,
    /// Extension it is stored under, by its content: `jpg`, `png`, `tif`, `webp`, `heic`, `avif`; of a raw file its
    /// maker's.
    pub extension: String,
    /// Name it came with, without its folder. Bytes that are no text are replaced by `�`.
    pub original_name: String,
    /// Length in bytes.
    pub bytes: u64,
    /// IANA media type, by content.
    pub media_type: String,
    /// Width in pixels when upright: the frame in which regions are drawn.
    pub width: u32,
    /// Height in pixels when upright.
    pub height: u32,
    /// Width in pixels as stored, before the EXIF orientation is applied.
    pub stored_width: u32,
    /// Height in pixels as stored.
    pub stored_height: u32,
    /// What the camera wrote.
    pub capture: Capture,
    /// Every EXIF tag. Keys are tag names of the Exif standard, those of the embedded thumbnail with
    /// `Thumbnail:` before them, unknown ones as `Exif:0xa50b`. Rationals are `{"num": 1, "den": 125}` as written.
    /// The maker note and other long values are `{"bytes": n, "sha256": "…"}`. Keys that begin with `GPS` hold
    /// the position: leave them out of what is published.
    pub exif: serde_json::Value,
    /// What the user should know, each a sentence.
    pub remarks: Vec<String>,
    /// A file of these bytes was in the store before.
    pub already: bool,
}

impl Store {
    /// Takes the file in. It is read once, while it is copied and hashed; the same bytes again are not stored
    /// again. On any fault the store is left without a trace of the file.
    ///
    /// Symbolic links are followed. Memory: twice the file's bytes, and the pixels about twice over.
    pub fn ingest(&self, file: &Path) -> Result<Ingested, IngestFault> {
        let source = open(file)?;
        let room = self.root.join("photographs");
        let (head, kind) = sniff(&source, file)?;
        folder(&room)?;
        let (copy, bytes, sha) = copy(head, &source, file, &room)?;
        let kind = kind.refined(&bytes, file);
        check_whole(kind, &bytes, file)?;

        let shown = Shown::of(kind, &bytes);
        let (stored_width, stored_height) = shown.size(kind, file)?;
        let (capture, exif, mut remarks) = read_capture(&bytes);
        remarks.extend(shown.remark(kind));
        let upright = upright(stored_width, stored_height, capture.orientation);
        remarks.extend(remark_on_name(file, kind));
        if kind.decoded() {
            remarks.extend(remark_on_size(&exif, stored_width, stored_height));
        }

        let place = self.original(&sha, kind.extension());
        let known = place.exists() && present(&self.view(&sha)) && present(&self.thumbnail(&sha));
        // The disk takes about as long over the original as the decoder does, and needs no core for it.
        let derived = thread::scope(|scope| {
            let syncing = scope.spawn(|| copy.as_file().sync_all());
            let made = match shown.bytes() {
                Some(picture) if !known => self.derived(kind, picture, &capture, &sha, file, &mut remarks).map(Some),
                _ => Ok(None),
            };
            let synced = syncing.join().unwrap_or_else(|panic| resume_unwind(panic));
            synced.map_err(IngestFault::io("write in", &room)).and(made)
        })?;
        let already = keep(copy, &place, &sha, &mut remarks)?;
        if let Some((view, thumbnail)) = derived {
            // The original is safe by now: a picture that fails to follow can be rebuilt.
            for (made, place) in [(view, self.view(&sha)), (thumbnail, self.thumbnail(&sha))] {
                if let Err(fault) = name(made, &place) {
                    remarks.push(format!("a derived picture is missing: {fault}; rebuild it"));
                }
            }
        }
        Ok(Ingested {
            sha256: sha,
            extension: kind.extension().into(),
            original_name: file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default(),
            bytes: bytes.len() as u64,
            media_type: kind.media_type().into(),
            width: upright.0,
            height: upright.1,
            stored_width,
            stored_height,
            capture,
            exif,
            remarks,
            already,
        })
    }

    /// View and thumbnail as files that still want their names.
    fn derived(
        &self,
        kind: Kind,
        picture: &[u8],
        capture: &Capture,
        sha: &str,
        file: &Path,
        remarks: &mut Vec<String>,
    ) -> Result<(NamedTempFile, NamedTempFile), IngestFault> {
        let decoded = decode(kind, picture, file)?;
        remarks.extend(decoded.remark.map(String::from));
        let pair = derive(decoded, capture, file)?;
        if pair.profile_left_out {
            remarks
                .push("the colour profile could not go into the derived pictures; judge colour by the original".into());
        }
        let view = self.view(sha);
        let near = view.parent().unwrap_or(&self.root);
        Ok((beside(near, &pair.view)?, beside(near, &pair.thumbnail)?))
    }

    /// Makes view and thumbnail again from the original, which must still hold its bytes. Says whether there was
    /// anything to show.
    pub fn rebuild(&self, sha: &str, ext: &str) -> Result<bool, IngestFault> {
        let Sound { place, bytes, kind } = self.sound(sha, ext)?;
        let (capture, _, _) = read_capture(&bytes);
        let Some(picture) = Shown::of(kind, &bytes).bytes() else { return Ok(false) };
        let pair = derive(decode(kind, picture, &place)?, &capture, &place)?;
        for (made, place) in [(pair.view, self.view(sha)), (pair.thumbnail, self.thumbnail(sha))] {
            name(beside(place.parent().unwrap_or(&self.root), &made)?, &place)?;
        }
        Ok(true)
    }

    /// The whole of a stored original, which must still hold its bytes.
    pub(super) fn sound(&self, sha: &str, ext: &str) -> Result<Sound, IngestFault> {
        let place = self.original(sha, ext);
        let mut bytes = vec![];
        open(&place)?.read_to_end(&mut bytes).map_err(IngestFault::io("read", &place))?;
        if !sha256(&bytes).eq_ignore_ascii_case(sha) {
            return Err(IngestFault::Changed(place));
        }
        let kind = Kind::of(&bytes).ok_or_else(|| stranger(&place, &bytes))?.refined(&bytes, &place);
        Ok(Sound { place, bytes, kind })
    }
}

/// A stored original whose bytes are those that its name stands for.
pub(super) struct Sound {
    pub(super) place: PathBuf,
    pub(super) bytes: Vec<u8>,
    pub(super) kind: Kind,
}

/// What of a file can be shown.
pub(super) enum Shown<'a> {
    /// The picture itself.
    Whole(&'a [u8]),
    /// The JPEG that the camera laid inside a file which is not decoded here.
    Preview(Preview<'a>),
    /// Nothing; the size is what the file says of itself, if it does.
    Nothing(Option<(u32, u32)>),
}

impl<'a> Shown<'a> {
    pub(super) fn of(kind: Kind, bytes: &'a [u8]) -> Self {
        if kind.decoded() {
            return Self::Whole(bytes);
        }
        match preview(bytes) {
            Some(preview) => Self::Preview(preview),
            None => Self::Nothing(heif_size(bytes).filter(|_| matches!(kind, Kind::Heif(_)))),
        }
    }

    pub(super) fn bytes(&self) -> Option<&'a [u8]> {
        match self {
            Self::Whole(bytes) => Some(bytes),
            Self::Preview(preview) => Some(preview.bytes),
            Self::Nothing(_) => None,
        }
    }

    /// Width and height of what is shown, before it is turned upright; zero where nothing is known.
    fn size(&self, kind: Kind, path: &Path) -> Result<(u32, u32), IngestFault> {
        match self {
            Self::Whole(bytes) => dimensions(kind, bytes, path),
            Self::Preview(preview) => Ok((preview.width, preview.height)),
            Self::Nothing(size) => Ok(size.unwrap_or((0, 0))),
        }
    }

    fn remark(&self, kind: Kind) -> Option<String> {
        let what = if matches!(kind, Kind::Raw(_)) { "a raw file" } else { "a HEIF file" };
        match self {
            Self::Whole(_) => None,
            Self::Preview(p) => Some(format!(
                "{what}, kept whole: shown and measured is the preview of {} × {} pixels inside it",
                p.width, p.height
            )),
            Self::Nothing(_) => Some(format!(
                "{what}, kept whole, without a preview that can be shown; add a JPEG or TIFF made from it as well"
            )),
        }
    }
}

/// Whether a file begins as one of the kinds taken in; a file that cannot be read counts as one, so that taking it in
/// says why.
pub fn is_photograph(path: &Path) -> bool {
    let sniffed = open(path).and_then(|file| sniff(&file, path));
    !matches!(sniffed, Err(IngestFault::NotAnImage(_) | IngestFault::Unsupported { .. }))
}

/// The same by the first bytes of a file, sixteen of them or all that it has.
pub fn begins_as_photograph(head: &[u8]) -> bool {
    head.is_empty() || Kind::of(head).is_some()
}

/// Whether a file or folder is hidden by its name, and passed over where it was not named by itself.
pub fn is_hidden(name: &str) -> bool {
    name.starts_with('.')
}

/// Opens an ordinary file that holds something.
fn open(path: &Path) -> Result<File, IngestFault> {
    let about = fs::metadata(path).map_err(|e| match e.kind() {
        io::ErrorKind::NotFound => IngestFault::NotFound(path.into()),
        _ => IngestFault::io("read", path)(e),
    })?;
    if about.is_dir() {
        return Err(IngestFault::Folder(path.into()));
    }
    if !about.is_file() {
        return Err(IngestFault::NotAFile(path.into()));
    }
    if about.len() == 0 {
        return Err(IngestFault::Empty(path.into()));
    }
    if about.len() > MOST_BYTES {
        let size = format!("{} MiB", about.len() >> 20);
        return Err(IngestFault::TooLarge { path: path.into(), size, most: format!("{} MiB", MOST_BYTES >> 20) });
    }
    File::open(path).map_err(IngestFault::io("read", path))
}

/// Tells the kind by the first bytes, before anything is written.
fn sniff(source: &File, path: &Path) -> Result<(Vec<u8>, Kind), IngestFault> {
    let mut head = vec![];
    source.take(16).read_to_end(&mut head).map_err(IngestFault::io("read", path))?;
    match Kind::of(&head) {
        Some(kind) => Ok((head, kind)),
        None => Err(stranger(path, &head)),
    }
}

/// Copies the rest of the file into a temporary one in `room`, hashing on the way; not yet synced to the disk.
fn copy(
    head: Vec<u8>,
    source: &File,
    path: &Path,
    room: &Path,
) -> Result<(NamedTempFile, Vec<u8>, String), IngestFault> {
    let mut copy = temporary(room)?;
    let mut hash = Sha256::new_with_prefix(&head);
    copy.write_all(&head).map_err(IngestFault::io("write in", room))?;
    let mut bytes = head;
    bytes.reserve(source.metadata().map_or(0, |about| about.len().min(MOST_BYTES) as usize));
    loop {
        let start = bytes.len();
        if start as u64 > MOST_BYTES {
            let (size, most) = ("a file that grows while it is read".into(), format!("{} MiB", MOST_BYTES >> 20));
            return Err(IngestFault::TooLarge { path: path.into(), size, most });
        }
        let read = source.take(CHUNK as u64).read_to_end(&mut bytes);
        if read.map_err(IngestFault::io("read", path))? == 0 {
            break;
        }
        hash.update(&bytes[start..]);
        copy.write_all(&bytes[start..]).map_err(IngestFault::io("write in", room))?;
    }
    Ok((copy, bytes, hex(hash)))
}

/// Names the copy by its hash, unless its bytes are there already; tells whether they were.
fn keep(copy: NamedTempFile, place: &Path, sha: &str, remarks: &mut Vec<String>) -> Result<bool, IngestFault> {
    let shelf = place.parent().unwrap_or(place);
    let already = {
        let _one_at_a_time = NAMING.lock().unwrap_or_else(PoisonError::into_inner);
        let already = place.exists();
        let sound = already && verify(place, sha) == Fixity::Sound;
        if already && !sound {
            remarks.push(
                "the copy in the store had changed; it was replaced by these bytes, which are the right ones".into(),
            );
        }
        if !sound {
            folder(shelf)?;
            name(copy, place)?;
        }
        already
    };
    sync_folder(shelf)?;
    Ok(already)
}

fn present(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|about| about.is_file() && about.len() > 0)
}

/// Orientations 5 to 8 lay the picture on its side.
const fn upright(width: u32, height: u32, orientation: u8) -> (u32, u32) {
    if orientation >= 5 { (height, width) } else { (width, height) }
}

fn remark_on_name(file: &Path, kind: Kind) -> Option<String> {
    let extension = file.extension()?.to_string_lossy();
    (!kind.goes_by(&extension)).then(|| {
        format!(
            "the file is named `.{extension}` but holds {}; it is stored as `.{}`",
            kind.media_type(),
            kind.extension()
        )
    })
}

/// A size in EXIF that is not that of the pixels shows that the file was made smaller or cropped afterwards.
fn remark_on_size(exif: &serde_json::Value, width: u32, height: u32) -> Option<String> {
    let stated = |key: &str| exif.get(key)?.as_u64().filter(|&n| n > 0);
    let (x, y) = (stated("PixelXDimension")?, stated("PixelYDimension")?);
    let (w, h) = (u64::from(width), u64::from(height));
    ((x, y) != (w, h) && (y, x) != (w, h)).then(|| {
        format!("the camera took {x} × {y} pixels and the file has {w} × {h}: it was resized or cropped afterwards")
    })
}
