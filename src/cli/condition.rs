//! `dimity report condition`: the condition report, as a print set, to be sealed, or against a sealed one.

use std::path::Path;

use super::report::{Press, Where, name, write};
use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::Seal;
use crate::photograph::Store;
use crate::printing::{self, Asked, Printed};
use crate::report::PrintSet;

/// The condition report of an examination, ready to sign
///
/// `--set summary` prints one sheet, `--set loan` what travels with a loan. `--seal` keeps the exact page for ever under
/// its SHA-256 and says its check code, to be written on the paper that is signed; `dimity seals` shows it again. When
/// the piece comes back, `--against CODE` lays the new examination beside the sealed report.
#[derive(Debug, clap::Args)]
pub struct Condition {
    /// Accession number
    number: String,
    /// The examination, by its day; the last if not given
    #[arg(long, value_name = "DAY")]
    examination: Option<jiff::civil::Date>,
    /// Tell changes since the examination of this day; since the one before if not given
    #[arg(long, value_name = "DAY", conflicts_with = "against")]
    since: Option<jiff::civil::Date>,
    /// The full report, a one-page summary, or the set for a loan
    #[arg(long, value_name = "SET", default_value = "full", conflicts_with = "against")]
    set: Set,
    /// Lay the examination beside this sealed report: its check code or number
    #[arg(long, value_name = "CODE")]
    against: Option<String>,
    /// Seal the report: needs --by
    #[arg(long, conflicts_with = "linked")]
    seal: bool,
    /// Say what would be sealed, and keep nothing
    #[arg(long, requires = "seal")]
    dry_run: bool,
    #[command(flatten)]
    place: Where,
}

/// The print sets by their words.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Set {
    /// Everything
    #[default]
    Full,
    /// One sheet
    Summary,
    /// Condition, packing and handling, lines to write on arrival, signatures of both sides
    Loan,
}

impl From<Set> for PrintSet {
    fn from(set: Set) -> Self {
        match set {
            Set::Full => Self::Full,
            Set::Summary => Self::Summary,
            Set::Loan => Self::Loan,
        }
    }
}

impl Condition {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let sealed_by = match (&desk.by, self.seal) {
            (Some(name), true) if !name.trim().is_empty() => Some(name.trim().to_owned()),
            (_, true) => {
                return Err("say who seals the report: `--by NAME`, or set DIMITY_BY".into());
            }
            (_, false) => None,
        };
        let to_screen = self.place.out.as_deref() == Some(Path::new("-"));
        if self.seal && to_screen {
            return Err("a sealed report is written to a file: name one with `--out FILE`, or leave `--out` out".into());
        }
        let mut press = Press { catalogue: desk.open()?, store: Store::at(&desk.folder), today: desk.today() };
        let asked = Asked {
            number: &self.number,
            examination: self.examination,
            since: self.since,
            set: self.set.into(),
            against: self.against.as_deref(),
            sealed_by: sealed_by.as_deref(),
        };
        let printed = press.condition(&asked, &self.place)?;
        if to_screen {
            desk.out.line(printed.page);
            return Ok(());
        }
        let (Some(new), Some(by)) = (printed.new, sealed_by) else {
            let path = self.place.out.clone().unwrap_or_else(|| desk.folder.join("reports").join(self.name(None)));
            write(&path, &printed.page)?;
            desk.out.line(format!("wrote {}", path.display()));
            return Ok(());
        };
        if self.dry_run {
            let size = count(printed.page.len(), "byte");
            desk.out.line(format!("would seal this report of {} as number {}: {size}", self.number, new.revision.next));
            return Ok(());
        }
        let seal = press.catalogue.seal(&by, printed.page.as_bytes(), &new)?;
        let path = self.place.out.clone().unwrap_or_else(|| desk.folder.join("reports").join(self.name(Some(&seal))));
        write(&path, &printed.page)?;
        if desk.json {
            desk.out.json(&super::seals::as_json(&seal));
            return Ok(());
        }
        desk.out.line(format!("sealed report {} of {}, examination of {}", seal.no, seal.number, seal.examined));
        desk.out.line(format!("check code {}", seal.code));
        desk.out.line(format!("wrote {}: print it, write the check code on its line, sign", path.display()));
        Ok(())
    }

    /// The file's name: what it is, which day, and the number of its seal.
    fn name(&self, seal: Option<&Seal>) -> String {
        let set = Some(PrintSet::from(self.set).word()).filter(|_| self.set != Set::Full);
        let against = self.against.as_ref().map(|_| "against");
        let day = self.examination.map(|day| day.to_string());
        let seal = seal.map(|seal| format!("sealed-{}", seal.no));
        let parts = [set.map(String::from), against.map(String::from), day, seal];
        let end: String = parts.into_iter().flatten().flat_map(|part| ["-".to_owned(), part]).collect();
        name("condition", &self.number).replace(".html", &format!("{end}.html"))
    }
}

impl Press {
    /// Prints a condition report as it is asked for.
    pub fn condition(&self, asked: &Asked<'_>, place: &Where) -> Result<Printed, Failure> {
        let number = asked.number;
        let file = self.catalogue.piece(number)?;
        if file.examinations.is_empty() {
            return Err(
                format!("`{number}` has not been examined; `dimity sheet {number}` prints a sheet to begin").into()
            );
        }
        for day in asked.examination.into_iter().chain(asked.since) {
            crate::exchange::entry::examination_on(&file, day)?;
        }
        self.print(place, |settings| printing::condition(&self.catalogue, asked, settings))
    }
}
