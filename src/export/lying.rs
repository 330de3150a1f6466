//! Exports that lie in the catalogue's folder `exports`: which there are, and each as one file to carry away.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use jiff::Timestamp;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::{FORMATS, place, public};
use crate::exchange::parcel::{PAGE, Written, is_of};

/// A finished export of this program, under the name of its format.
#[derive(Debug, Clone)]
pub struct Lying {
    /// One of [`FORMATS`].
    pub format: &'static str,
    /// When it was made.
    pub at: Timestamp,
    folder: PathBuf,
}

/// What was left out of an export for the public.
#[derive(Debug, Clone)]
pub struct List {
    /// In short: kinds with their counts, or a few words.
    pub left_out: Vec<String>,
    /// What to think of before it is published.
    pub care: Option<String>,
    /// The whole list, field by field.
    pub whole: String,
}

impl Lying {
    /// All that lie there, in the order of [`FORMATS`].
    pub fn all(catalogue: &Path) -> Vec<Self> {
        FORMATS.iter().filter_map(|format| Self::of(catalogue, format)).collect()
    }

    /// The one of this format; none for any other word, and none if the folder of that name is anything else.
    pub fn of(catalogue: &Path, format: &str) -> Option<Self> {
        let format = FORMATS.into_iter().find(|known| *known == format)?;
        let folder = place(catalogue, format);
        // A link to elsewhere is no export, whatever lies there.
        let ours = fs::symlink_metadata(&folder).is_ok_and(|about| about.is_dir()) && is_of(&folder, format);
        let at = made(&folder).and_then(|at| Timestamp::try_from(at).ok())?;
        ours.then_some(Self { format, at, folder })
    }

    /// What its page `EXPORT.txt` says.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn page(&self) -> io::Result<String> {
        fs::read_to_string(self.folder.join(PAGE))
    }

    /// The list of what was left out, which lies beside what is for the public.
    pub fn list(&self) -> Option<List> {
        let whole = fs::read_to_string(public::beside(&self.folder)).ok()?;
        let (left_out, care) = public::in_short(&whole);
        Some(List { left_out, care, whole })
    }

    /// How much it is.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn written(&self) -> io::Result<Written> {
        let files = files(&self.folder)?;
        Ok(Written { files: files.len(), bytes: files.iter().map(|(_, bytes)| bytes).sum() })
    }

    /// Writes it as one ZIP file, to a writer that need not go back: sorted names below a folder named by the format, fixed
    /// times. The same export gives the same bytes.
    ///
    /// # Errors
    /// If a file cannot be read, if `to` takes no more, or if another export took its place meanwhile.
    pub fn zipped(&self, to: impl Write) -> Result<(), String> {
        let began = made(&self.folder);
        let mut zip = ZipWriter::new_stream(to);
        for (name, bytes) in files(&self.folder).map_err(|e| e.to_string())? {
            // Sizes that are known only at the end go with deflated content alone, or some readers stumble. Pictures are
            // packed already.
            let level = if is_packed(&name) { 1 } else { 6 };
            let options = SimpleFileOptions::default()
                .compression_method(CompressionMethod::Deflated)
                .compression_level(Some(level))
                .last_modified_time(DateTime::default())
                .unix_permissions(0o644)
                .large_file(bytes >= u64::from(u32::MAX) / 2);
            let wrong = |e: &dyn std::fmt::Display| format!("`{name}`: {e}");
            zip.start_file(format!("{}/{name}", self.format), options).map_err(|e| wrong(&e))?;
            let mut file = File::open(self.folder.join(&name)).map_err(|e| wrong(&e))?;
            io::copy(&mut file, &mut zip).map_err(|e| wrong(&e))?;
        }
        if made(&self.folder) != began {
            return Err("another export took its place meanwhile".into());
        }
        zip.finish().and_then(|end| end.into_inner().flush().map_err(Into::into)).map_err(|e| e.to_string())
    }
}

/// When the export in a folder was made: its page is the last that is written of what every export has.
fn made(folder: &Path) -> Option<SystemTime> {
    fs::metadata(folder.join(PAGE)).and_then(|about| about.modified()).ok()
}

fn is_packed(name: &str) -> bool {
    let end = Path::new(name).extension().and_then(|end| end.to_str()).unwrap_or_default();
    ["jpg", "jpeg", "png", "webp", "parquet"].iter().any(|packed| end.eq_ignore_ascii_case(packed))
}

/// The files in a folder, by their names with `/` between the parts, sorted, each with its length. Links are not followed.
fn files(folder: &Path) -> io::Result<Vec<(String, u64)>> {
    fn walk(folder: &Path, above: &str, found: &mut Vec<(String, u64)>) -> io::Result<()> {
        for entry in fs::read_dir(folder)? {
            let entry = entry?;
            let name = format!("{above}{}", entry.file_name().to_string_lossy());
            let about = entry.metadata()?;
            if about.is_dir() {
                walk(&entry.path(), &format!("{name}/"), found)?;
            } else if about.is_file() {
                found.push((name, about.len()));
            }
        }
        Ok(())
    }
    let mut found = Vec::new();
    walk(folder, "", &mut found)?;
    found.sort();
    Ok(found)
}
