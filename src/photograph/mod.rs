//! The photograph store: takes photographs in, reads their capture data, derives views and thumbnails, and
//! checks that no bit has changed. It works on files alone and knows nothing of the database.
//!
//! Layout below the catalogue folder, `ab` being the first two digits of the SHA-256:
//! ```text
//! photographs/ab/<sha256>.<ext>      the original, byte for byte
//! derived/ab/<sha256>-view.jpg       longest side 1600, upright; can be rebuilt
//! derived/ab/<sha256>-thumb.jpg      longest side 320, upright; can be rebuilt
//! ```

mod bar_search;
mod bare;
mod capture_data;
mod capture_text;
mod card;
mod clock;
mod container;
mod derived;
mod directory;
mod exif_block;
mod exif_json;
mod fault;
pub(crate) mod fixity;
mod grey;
mod incoming;
mod ingest;
mod jpeg;
mod jpeg_warnings;
mod overlay;
mod patches;
mod pixels;
mod sealed;
mod survey;
mod target;
mod target_search;
pub mod tiles;
mod to_srgb;
pub(crate) mod writing;

pub use bar_search::{FoundBar, bars};
pub use bare::is_bare;
pub use capture_data::read_capture;
pub use clock::{moved, parse_shift};
pub use exif_json::tags_as_numbers;
pub use fault::IngestFault;
pub(crate) use fault::{io_words, is_full_disk};
pub use fixity::Fixity;
pub use grey::{Grey, Rectangle};
pub use incoming::Incoming;
pub use ingest::{Ingested, MOST_BYTES, begins_as_photograph, is_hidden, is_photograph};
pub use overlay::{BLACK, Evened, Overlay};
pub use patches::{Misplaced, area, sample};
pub(crate) use survey::walk;
pub use survey::{Stranger, View};
pub use target::{NamedReference, Unread, read_target};
pub use target_search::{FoundTarget, find_target};

use std::path::{Path, PathBuf};

/// The photographs of one catalogue folder.
///
/// Holds no open file and no lock: cheap to make, and safe to share between threads.
#[derive(Debug, Clone)]
pub struct Store {
    root: PathBuf,
}

impl Store {
    /// The store below `root`, the catalogue folder. Nothing is touched until something is written.
    pub fn at(root: &Path) -> Self {
        Self { root: root.to_path_buf() }
    }

    /// Where the original of this SHA-256 and extension lies, or would lie.
    ///
    /// Anything but 64 hexadecimal digits leads to a name that never exists, so that a hash taken from an
    /// address or a damaged row cannot point outside the store.
    pub fn original(&self, sha: &str, ext: &str) -> PathBuf {
        let ext: String = ext.chars().filter(char::is_ascii_alphanumeric).collect();
        self.place("photographs", sha, &format!(".{}", ext.to_ascii_lowercase()))
    }

    /// Where the view (longest side 1600 px, upright JPEG) lies.
    pub fn view(&self, sha: &str) -> PathBuf {
        self.place("derived", sha, "-view.jpg")
    }

    /// Where the thumbnail (longest side 320 px, upright JPEG) lies.
    pub fn thumbnail(&self, sha: &str) -> PathBuf {
        self.place("derived", sha, "-thumb.jpg")
    }

    fn place(&self, room: &str, sha: &str, ending: &str) -> PathBuf {
        let folder = self.root.join(room);
        let sha = sha.to_ascii_lowercase();
        match sha.get(..2) {
            Some(two) if fixity::is_sha256(&sha) => folder.join(two).join(format!("{sha}{ending}")),
            _ => folder.join("not-a-sha256"),
        }
    }

    /// Whether the original still holds the bytes that its name stands for. Reads the whole file.
    pub fn verify(&self, sha: &str, ext: &str) -> Fixity {
        fixity::verify(&self.original(sha, ext), sha)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_made_of_the_hash_and_never_leaves_the_folder() {
        let store = Store::at(Path::new("c"));
        let sha = "ab".repeat(32);
        let cases = [
            (sha.clone(), "jpg", format!("c/photographs/ab/{sha}.jpg")),
            (sha.to_ascii_uppercase(), "JPG", format!("c/photographs/ab/{sha}.jpg")),
            (sha.clone(), "/../x", format!("c/photographs/ab/{sha}.x")),
            (String::new(), "jpg", "c/photographs/not-a-sha256".into()),
            ("é".into(), "jpg", "c/photographs/not-a-sha256".into()),
            (format!("../{}", &sha[3..]), "jpg", "c/photographs/not-a-sha256".into()),
            (format!("{sha}0"), "jpg", "c/photographs/not-a-sha256".into()),
        ];
        for (sha, ext, want) in cases {
            assert_eq!(store.original(&sha, ext), PathBuf::from(&want), "{sha} {ext}");
        }
        assert_eq!(store.view(&sha), PathBuf::from(format!("c/derived/ab/{sha}-view.jpg")));
        assert_eq!(store.thumbnail(&sha), PathBuf::from(format!("c/derived/ab/{sha}-thumb.jpg")));
    }
}
