//! A catalogue made again from its export: the document taken in whole or not at all, then the files beside it.

use std::io::{BufReader, Read};
use std::path::Path;

use super::catalogue_in;
use super::out::HeldBack;
use crate::catalogue::{Catalogue, Fault, Finding, Result, tables};
use crate::digest::short;
use crate::safekeeping::{self, Watch};
use crate::words::count;

/// What came of it.
#[derive(Debug)]
pub struct MadeAgain {
    /// Pieces.
    pub pieces: usize,
    /// Photographs and sealed pages copied.
    pub files: usize,
    /// The last row of the journal.
    pub row: i64,
    /// What the export had held back.
    pub held_back: HeldBack,
    /// Files that are missing or have changed, each with its mend.
    pub findings: Vec<Finding>,
}

/// Takes a document in that is called `name`, into a catalogue in which nothing is yet; then the files that lie `beside` it as
/// in a catalogue's folder.
///
/// # Errors
/// If something is in the catalogue already, or the document is not one, or not true to its journal: then nothing was taken in.
/// If the disk refuses a file: then the records are in, and `check` names what is missing.
pub fn made_again(
    catalogue: &mut Catalogue,
    document: impl Read,
    name: &str,
    beside: &Path,
    watch: &dyn Watch,
) -> Result<MadeAgain> {
    let mut held_back = HeldBack::default();
    catalogue.take_in(|take| {
        let mut take = |table: &_, row| take(table, row).map_err(|fault| fault.to_string());
        held_back = catalogue_in::read(BufReader::with_capacity(1 << 16, document), tables()?, &mut take)
            .map_err(|why| Fault::Refused(format!("`{name}`: {why}")))?;
        Ok(held_back.positions.clone())
    })?;
    let absent = held_back.files.iter().map(|file| file.sha256.clone()).collect();
    let (files, findings) = safekeeping::files(catalogue, beside, &absent, watch)?;
    let (pieces, row) = (catalogue.numbers()?.len(), catalogue.revision()?.row);
    Ok(MadeAgain { pieces, files, row, held_back, findings })
}

impl MadeAgain {
    /// In a line.
    pub fn told(&self, folder: &Path) -> String {
        format!(
            "{}: {} taken in with their journal, to row {}; {} beside them",
            folder.display(),
            count(self.pieces, "piece"),
            self.row,
            count(self.files, "file")
        )
    }

    /// What the export had held back, photograph by photograph.
    pub fn held_back_told(&self, catalogue: &Catalogue) -> Vec<String> {
        // A photograph by its name, anything else by its digest alone.
        let name = |sha256: &str| match catalogue.photograph(sha256) {
            Ok(photo) => format!("{} ({})", photo.original_name, short(sha256)),
            Err(_) => short(sha256).to_owned(),
        };
        let HeldBack { positions, files, .. } = &self.held_back;
        let position = |sha256: &String| format!("held back by the export: the GPS position of {}", name(sha256));
        let mut lines: Vec<String> = positions.iter().map(position).collect();
        for file in files {
            let lead = if file.why.is_meant() { "held back by the export" } else { "not in the export" };
            let of = if file.table == "photograph" { " of" } else { "" };
            lines.push(format!("{lead}: the {}{of} {}, which {}", file.kind(), name(&file.sha256), file.why.words()));
        }
        if !files.is_empty() {
            lines.push("`dimity check` names these files until they are put back".into());
        }
        lines
    }
}
