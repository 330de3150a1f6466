//! `dimity withdraw`, `reinstate` and `purge`: a piece out of the lists, back again, or gone.

use std::io::{BufRead as _, IsTerminal as _, Write as _};

use super::{Desk, Failure};
use crate::catalogue::Purge as Purged;

/// Take a piece out of the lists; nothing of it is lost
///
/// It is neither listed nor found nor surveyed until it comes back with `dimity reinstate`. `dimity list --withdrawn`
/// lists what was withdrawn, and `dimity show` still shows it.
#[derive(Debug, clap::Args)]
pub struct Withdraw {
    /// Accession number
    number: String,
    /// Why
    #[arg(long)]
    reason: String,
}

/// Bring a withdrawn piece back
#[derive(Debug, clap::Args)]
pub struct Reinstate {
    /// Accession number
    number: String,
    /// Why
    #[arg(long)]
    reason: String,
}

/// Erase a piece for ever, with its photographs, sealed pages and drafts
///
/// For what must not be kept, such as a donor's wish or a law; `dimity withdraw` is for the rest. The journal keeps that
/// it was purged, by whom and why; what it held of the piece is taken out, and its chain of hashes stays whole. Authors
/// and reasons of earlier changes stay. Backups made before still hold the piece, and so do printed reports.
#[derive(Debug, clap::Args)]
pub struct Purge {
    /// Accession number
    number: String,
    /// Why
    #[arg(long)]
    reason: String,
    /// Say what would go, and change nothing
    #[arg(long)]
    dry_run: bool,
    /// Do not ask for the number again
    #[arg(long)]
    yes: bool,
}

impl Withdraw {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        desk.open()?.withdraw(&desk.author(), &self.number, &self.reason)?;
        let number = &self.number;
        desk.out.line(format!("{number}: withdrawn; `dimity reinstate {number} --reason TEXT` brings it back"));
        Ok(())
    }
}

impl Reinstate {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        desk.open()?.reinstate(&desk.author(), &self.number, &self.reason)?;
        desk.out.line(format!("{}: back in the catalogue", self.number));
        Ok(())
    }
}

impl Purge {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let mut catalogue = desk.open()?;
        let author = desk.author();
        if !self.dry_run && !self.yes {
            let planned = catalogue.purge(&author, &self.number, &self.reason, true)?;
            self.confirmed(&planned)?;
        }
        let done = catalogue.purge(&author, &self.number, &self.reason, self.dry_run)?;
        if desk.json {
            desk.out.json(&done);
        } else {
            done.in_words(self.dry_run).iter().for_each(|line| desk.out.line(line));
        }
        if self.dry_run || done.is_whole() {
            return Ok(());
        }
        let left = done.left.iter().map(|file| format!("dimity: could not be removed, delete it by hand: {file}"));
        let unread = done.unread.iter().map(|fault| {
            format!("dimity: {fault}; it may be of `{}`: look into it, and delete it by hand if it is", self.number)
        });
        Err(Failure::lines(left.chain(unread).chain(done.scraps.map(|scraps| format!("dimity: {scraps}"))).collect()))
    }

    /// Asks for the number again, where somebody can answer.
    fn confirmed(&self, planned: &Purged) -> Result<(), Failure> {
        let number = &self.number;
        if !std::io::stdin().is_terminal() {
            return Err(format!(
                "`{number}` would be erased for ever; add `--yes` if that is meant, or `--dry-run` to see what would go"
            )
            .into());
        }
        let mut err = std::io::stderr().lock();
        for line in planned.in_words(true) {
            let _ = writeln!(err, "{line}");
        }
        let _ = write!(err, "This cannot be undone. Type the number of the piece to erase it: ");
        let _ = err.flush();
        let mut typed = String::new();
        let _ = std::io::stdin().lock().read_line(&mut typed);
        if typed.trim() == number {
            Ok(())
        } else {
            Err(format!("`{}` is not `{number}`; nothing was changed", typed.trim()).into())
        }
    }
}
