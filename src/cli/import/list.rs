//! `dimity import csv`, `xlsx` and `ods`: from the old spreadsheet.

mod photographs;
mod show;

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use self::photographs::Ask;

use crate::cli::report::write_bytes;
use crate::cli::say::Bar;
use crate::cli::{Desk, Failure};

use crate::catalogue::{Catalogue, Intent};
use crate::exchange::import::list::{self, Line};
use crate::exchange::import::mapping::Mapping;
use crate::exchange::import::plan::Door;
use crate::exchange::import::{self, Kind};
use crate::exchange::old_list::{self, Given, Read, Unread};

/// Pieces from an old spreadsheet
///
/// Run it without `--enter` first: nothing enters the catalogue. It proposes what each column is, writes that as a mapping
/// beside the list (LIST.mapping.toml), shows how every row is read and what is doubtful, tries the whole import and takes
/// it back. Correct the mapping, run again, and when the reading is right add `--enter`: all rows enter in one go, or
/// none.
///
/// Every cell is kept with its piece as it stood, also of columns that are not read. What could not be read, or may be
/// wrong, stands in a list to work down (LIST.to-do.csv). The same list again adds nothing: known rows are known, new
/// rows go in, and a row that changed since is told and never overwrites the record. What a list says is kept as
/// reported, never as seen, and never as certain.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example:\n  dimity import csv old-list.csv\n  dimity import csv old-list.csv --enter --photographs scans"
)]
pub struct List {
    /// The list
    file: PathBuf,
    /// Enter what was read; without it nothing in the catalogue is changed
    #[arg(long)]
    enter: bool,
    /// Read by this mapping; it is written there if it does not exist [default: LIST.mapping.toml]
    #[arg(long, value_name = "FILE")]
    mapping: Option<PathBuf>,
    /// The sheet of a workbook, where no mapping says it yet
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
    /// Where the list to work down is written [default: LIST.to-do.csv]
    #[arg(long, value_name = "FILE")]
    to_do: Option<PathBuf>,
    /// Match the photographs in this folder and those below it to pieces, by accession number; with `--enter` they are added
    #[arg(long, value_name = "DIR")]
    photographs: Option<PathBuf>,
    /// Keep the new wording of rows that changed since beside the old; the records stay as they are
    #[arg(long, requires = "enter")]
    keep_changed: bool,
    /// Why, for the journal
    #[arg(long)]
    reason: Option<String>,
}

impl List {
    pub(super) fn run(self, kind: Kind, desk: &mut Desk) -> Result<(), Failure> {
        let mut catalogue = desk.open()?;
        let (read, mapping) = self.read(&catalogue, kind, desk)?;
        let intent = Intent {
            author: desk.author(),
            reason: Some(self.reason.clone().unwrap_or_else(|| read.reason())),
            dry_run: !self.enter,
            ..Intent::default()
        };
        let mut lines = read.to_do();
        if !desk.json {
            show::reading(&read, &mapping, desk);
        }
        let bar = Bar::default();
        let imported = read.enter(&mut catalogue, self.keep_changed, &intent, &bar);
        bar.finish();
        let imported = imported?;
        let pictures = match &self.photographs {
            Some(folder) => {
                let somebody = self.enter && !desk.json && std::io::stdin().is_terminal();
                let (mut typed, mut shown) = (std::io::stdin().lock(), std::io::stderr());
                let mut ask = somebody.then_some(Ask { typed: &mut typed, shown: &mut shown });
                Some(photographs::matched(folder, &read, &catalogue, ask.as_mut(), desk)?)
            }
            None => None,
        };
        lines.extend(pictures.iter().flat_map(|p| p.lines.iter().cloned()));
        let list_path = self.to_do.clone().unwrap_or_else(|| beside(&self.file, "to-do.csv"));
        write_list(&list_path, &lines)?;
        if desk.json {
            show::json((&read, &mapping), &imported, &lines, pictures.as_ref(), self.enter, desk);
        } else {
            show::summary(&read, &imported, &lines, &list_path, self.enter, desk);
        }
        match (pictures, &self.photographs) {
            (Some(pictures), Some(_)) => pictures.add(&mut catalogue, self.enter, desk),
            _ => Ok(()),
        }
    }

    /// The list as read, and where its mapping lies.
    fn read(&self, catalogue: &Catalogue, stated: Kind, desk: &Desk) -> Result<(Read, PathBuf), Failure> {
        let file = self.file.as_path();
        let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let wrong = |why: String| Failure::from(format!("`{}`: {why}", file.display()));
        let bytes = bytes_of(file).map_err(wrong)?;
        let kind = Kind::of(&bytes);
        if kind != stated {
            let (kind, stated) = (kind.word(), stated.word());
            return Err(wrong(format!("its bytes are those of {kind}, not of {stated}; write `dimity import {kind}`")));
        }
        let mapping_path = self.mapping.clone().unwrap_or_else(|| beside(file, "mapping.toml"));
        let mapping = match std::fs::read_to_string(&mapping_path) {
            Ok(text) => {
                Some(Mapping::read(&text).map_err(|e| Failure::from(format!("`{}`: {e}", mapping_path.display())))?)
            }
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
            Err(e) => return Err(format!("cannot read `{}`: {e}", mapping_path.display()).into()),
        };
        let (importer, today, sheet) = (&desk.author(), desk.today(), self.sheet.clone());
        let given = Given { name: &name, bytes: &bytes, mapping, sheet, importer, today, door: Door::Terminal };
        let read = old_list::read(catalogue, given).map_err(|unread| match unread {
            Unread::List(why) => wrong(why),
            Unread::Catalogue(fault) => fault.into(),
        })?;
        if read.proposed {
            write_bytes(&mapping_path, read.mapping.text(&name).as_bytes())?;
        }
        Ok((read, mapping_path))
    }
}

/// The bytes of a file that is not larger than any list.
fn bytes_of(file: &Path) -> Result<Vec<u8>, String> {
    use std::io::Read as _;
    let told = |e: std::io::Error| format!("cannot be read: {e}");
    let most = import::limits::FILE;
    let mut bytes = Vec::new();
    std::fs::File::open(file).map_err(told)?.take(most + 1).read_to_end(&mut bytes).map_err(told)?;
    if bytes.len() as u64 > most { Err(format!("it has more than {} MB; no list has", most >> 20)) } else { Ok(bytes) }
}

/// A file beside the list, called after it.
fn beside(file: &Path, ending: &str) -> PathBuf {
    let mut name = file.file_name().unwrap_or_default().to_owned();
    name.push(".");
    name.push(ending);
    file.with_file_name(name)
}

/// Writes the list to work down. A file that is not such a list is left alone.
fn write_list(path: &Path, lines: &[Line]) -> Result<(), Failure> {
    let ours = list::HEADINGS.join(",");
    if let Ok(there) = std::fs::read(path)
        && !there.is_empty()
        && !there.starts_with(ours.as_bytes())
    {
        return Err(format!(
            "`{}` is another file, and was left alone; `--to-do FILE` names another place",
            path.display()
        )
        .into());
    }
    let text = list::csv(lines).map_err(|e| format!("the list to work down cannot be written: {e}"))?;
    write_bytes(path, &text)
}
