//! `dimity import json`: a catalogue made again from its export.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use crate::catalogue::{Catalogue, FILE, Fault, tables};
use crate::cli::say::{Bar, all_well, count};
use crate::cli::{Desk, Failure};
use crate::exchange::in_json;
use crate::safekeeping;

/// Make a catalogue again from `dimity export json`, in a new folder or an empty catalogue
///
/// `dimity --in NEW-DIR import json exports/json/catalogue.json`. Everything comes back as it was, identifiers and journal
/// included; photographs and sealed reports are copied from beside the document and held against their SHA-256. It is taken
/// in whole or not at all: only if the journal in it tells how every record came to be. Passwords of accounts are not in an
/// export and must be given anew.
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
        catalogue.take_in(|take| {
            let mut take = |table: &_, row| take(table, row).map_err(|fault| fault.to_string());
            in_json::read(BufReader::with_capacity(1 << 16, file), tables()?, &mut take)
                .map_err(|why| Fault::Refused(format!("`{name}`: {why}")))
        })?;
        let beside = self.file.parent().unwrap_or(Path::new("."));
        let bar = Bar::default();
        let done = safekeeping::files(&catalogue, beside, &bar);
        bar.finish();
        let (files, findings) = done?;
        let pieces = catalogue.numbers()?.len();
        if desk.json {
            let row = catalogue.revision()?.row;
            desk.out
                .json(&serde_json::json!({ "pieces": pieces, "files": files, "revision": row, "findings": findings }));
            return all_well(&findings);
        }
        desk.out.findings(&findings);
        desk.out.line(format!(
            "{}: {} taken in with their journal, to row {}; {} beside them",
            desk.folder.display(),
            count(pieces, "piece"),
            catalogue.revision()?.row,
            count(files, "file")
        ));
        all_well(&findings)
    }
}
