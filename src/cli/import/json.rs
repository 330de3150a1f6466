//! `dimity import json`: a catalogue made again from its export.

use std::fs::File;
use std::path::{Path, PathBuf};

use crate::catalogue::{Catalogue, FILE};
use crate::cli::say::{Bar, all_well};
use crate::cli::{Desk, Failure};
use crate::exchange::made_again::{MadeAgain, made_again};

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
        let bar = Bar::default();
        let beside = self.file.parent().unwrap_or(Path::new("."));
        let done = made_again(&mut catalogue, file, &name, beside, &bar);
        bar.finish();
        let done = done?;
        if desk.json {
            let MadeAgain { pieces, files, row, held_back, findings } = &done;
            desk.out.json(&serde_json::json!({
                "pieces": pieces, "files": files, "revision": row, "held_back": held_back, "findings": findings,
            }));
            return all_well(findings);
        }
        desk.out.findings(&done.findings);
        desk.out.line(done.told(&desk.folder));
        for line in done.held_back_told(&catalogue) {
            desk.out.line(line);
        }
        all_well(&done.findings)
    }
}
