//! `dimity enter`: reads examination sheets into the catalogue, each whole or not at all.

use std::path::PathBuf;

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Entered, Intent};
use crate::exchange::{entry, sheet};

/// Enter examination sheets, each whole or not at all
///
/// A mistake is shown with its place and the nearest right word, all of a file at once; that file then changes
/// nothing. The same sheet again adds nothing. A correction needs a reason.
#[derive(Debug, clap::Args)]
pub struct Enter {
    /// The sheets
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Why, if the sheet does not say
    #[arg(long)]
    reason: Option<String>,
    /// Read, check and say what would happen, but change nothing
    #[arg(long)]
    dry_run: bool,
}

impl Enter {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let mut catalogue = desk.open()?;
        let mut refused = Vec::new();
        for path in &self.files {
            match self.one(&mut catalogue, path, desk) {
                Ok(entered) if desk.json => desk.out.json(&entered),
                Ok(entered) => {
                    let tried = self.dry_run && !entered.is_nothing();
                    let would = if tried { " (dry run: nothing was changed)" } else { "" };
                    desk.out.line(format!("{}: {}{would}", path.display(), entry::told(&entered)));
                    for sealed in &entered.sealed {
                        desk.out.line(format!("{}: {}", path.display(), entry::seal_told(sealed, self.dry_run)));
                    }
                }
                Err(lines) => refused.extend(lines),
            }
        }
        if refused.is_empty() { Ok(()) } else { Err(Failure::lines(refused)) }
    }

    fn one(&self, catalogue: &mut Catalogue, path: &PathBuf, desk: &Desk) -> Result<Entered, Vec<String>> {
        let bytes = std::fs::read(path).map_err(|e| vec![format!("{}: cannot be read: {e}", path.display())])?;
        entry::enter(catalogue, &bytes, |read| Intent {
            author: desk.by.clone().or_else(|| examiner(read)).unwrap_or_else(|| desk.author()),
            reason: read.reason.clone().or_else(|| self.reason.clone()),
            dry_run: self.dry_run,
            ..Intent::default()
        })
        .map_err(|lines| lines.into_iter().map(|line| format!("{}:{line}", path.display())).collect())
    }
}

/// Whoever examined wrote the sheet, unless `--by` says otherwise.
fn examiner(read: &sheet::Sheet) -> Option<String> {
    read.file.examinations.first()?.about.examiner.clone()
}
