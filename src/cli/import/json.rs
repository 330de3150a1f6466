//! `dimity import json`: a catalogue made again from its export.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use crate::catalogue::{Catalogue, FILE, Fault, tables};
use crate::cli::say::{Bar, all_well, count};
use crate::cli::{Desk, Failure};
use crate::digest::short;
use crate::exchange::catalogue_in;
use crate::exchange::out::{HeldBack, Why};
use crate::safekeeping;

/// Make a catalogue again from `dimity export json`, in a new folder or an empty catalogue
///
/// `dimity --in NEW-DIR import json exports/json/catalogue.json`. Everything comes back as it was, identifiers and journal
/// included; photographs and sealed reports are copied from beside the document and held against their SHA-256. It is taken
/// in whole or not at all: only if the journal in it tells how every record came to be. What the document names as held
/// back, GPS positions and the originals that hold them, is not in it: the photographs come in without, and that is said.
/// Passwords of accounts are not in an export and must be given anew.
#[derive(Debug, clap::Args)]
pub struct Json {
    /// The document
    file: PathBuf,
}

impl Json {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let file = File::open(&self.file).map_err(|e| format!("cannot read `{}`: {e}", self.file.display()))?;
        let there = desk.folder.join(FILE).is_file();
        let mut catalogue = if there { desk.open()? } else { Catalogue::create(&desk.folder, desk.clock)? };
        let name = self.file.display().to_string();
        let mut held_back = HeldBack::default();
        catalogue.take_in(|take| {
            let mut take = |table: &_, row| take(table, row).map_err(|fault| fault.to_string());
            held_back = catalogue_in::read(BufReader::with_capacity(1 << 16, file), tables()?, &mut take)
                .map_err(|why| Fault::Refused(format!("`{name}`: {why}")))?;
            Ok(held_back.positions.clone())
        })?;
        let beside = self.file.parent().unwrap_or(Path::new("."));
        let bar = Bar::default();
        let absent = held_back.files.iter().map(|file| file.sha256.clone()).collect();
        let done = safekeeping::files(&catalogue, beside, &absent, &bar);
        bar.finish();
        let (files, findings) = done?;
        let pieces = catalogue.numbers()?.len();
        let row = catalogue.revision()?.row;
        if desk.json {
            desk.out.json(&serde_json::json!({
                "pieces": pieces, "files": files, "revision": row, "held_back": held_back, "findings": findings,
            }));
            return all_well(&findings);
        }
        desk.out.findings(&findings);
        desk.out.line(format!(
            "{}: {} taken in with their journal, to row {row}; {} beside them",
            desk.folder.display(),
            count(pieces, "piece"),
            count(files, "file")
        ));
        say(desk, &catalogue, &held_back);
        all_well(&findings)
    }
}

/// What the export had held back, photograph by photograph.
fn say(desk: &mut Desk, catalogue: &Catalogue, held_back: &HeldBack) {
    // A photograph by its name, anything else by its digest alone.
    let name = |sha256: &str| match catalogue.photograph(sha256) {
        Ok(photo) => format!("{} ({})", photo.original_name, short(sha256)),
        Err(_) => short(sha256).to_owned(),
    };
    for sha256 in &held_back.positions {
        desk.out.line(format!("held back by the export: the GPS position of {}", name(sha256)));
    }
    for file in &held_back.files {
        let lead = if file.why == Why::Position { "held back by the export" } else { "not in the export" };
        let of = if file.table == "photograph" { " of" } else { "" };
        desk.out.line(format!("{lead}: the {}{of} {}, which {}", file.kind(), name(&file.sha256), file.why.words()));
    }
    if !held_back.files.is_empty() {
        desk.out.line("`dimity check` names these files until they are put back");
    }
}
