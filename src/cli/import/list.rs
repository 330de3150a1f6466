//! `dimity import csv`, `xlsx` and `ods`: from the old spreadsheet.

mod photographs;
mod show;

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use self::photographs::Ask;

use crate::cli::report::write_bytes;
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};

use crate::catalogue::{Catalogue, Imported, Incoming, Intent};
use crate::exchange::import::list::{self, Line};
use crate::exchange::import::mapping::{Layout, Mapping};
use crate::exchange::import::plan::{self, Fate, Known};
use crate::exchange::import::table::Headings;
use crate::exchange::import::{self, Kind, Origin, Reader, Reading, Table, Words};

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

/// A list that was read, and what is to be done with it.
struct Read {
    name: String,
    sha256: String,
    kind: Kind,
    table: Table,
    mapping: Mapping,
    mapping_path: PathBuf,
    /// Whether the mapping was proposed and written just now.
    proposed: bool,
    headings: Headings,
    readings: Vec<Reading>,
    fates: Vec<Fate>,
}

impl List {
    pub(super) fn run(self, kind: Kind, desk: &mut Desk) -> Result<(), Failure> {
        let mut catalogue = desk.open()?;
        let read = self.read(&catalogue, kind, desk)?;
        let incoming: Vec<Incoming> = read
            .readings
            .iter()
            .zip(&read.fates)
            .filter(|(_, fate)| **fate == Fate::New)
            .map(|(reading, _)| Incoming { file: reading.file.clone(), source: reading.source.clone() })
            .collect();
        let intent = Intent {
            author: desk.author(),
            reason: Some(self.reason.clone().unwrap_or_else(|| format!("imported from `{}`", read.name))),
            dry_run: !self.enter,
            ..Intent::default()
        };
        let mut lines = to_do(&read);
        if !desk.json {
            show::reading(&read, desk);
        }
        let imported = if incoming.is_empty() {
            Imported::default()
        } else {
            let bar = progress(incoming.len(), if self.enter { "pieces" } else { "pieces tried" });
            let imported = catalogue.import(&incoming, &intent, &mut || bar.inc(1));
            bar.finish_and_clear();
            imported?
        };
        if self.keep_changed {
            let changed = read.readings.iter().zip(&read.fates).filter(|(_, fate)| matches!(fate, Fate::Changed(_)));
            let rows: Vec<_> = changed.map(|(r, _)| (r.file.number().to_owned(), r.source.clone())).collect();
            if !rows.is_empty() {
                catalogue.keep_source_rows(&rows, &intent)?;
            }
        }
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
            show::json(&read, &imported, &lines, pictures.as_ref(), self.enter, desk);
        } else {
            show::summary(&read, &imported, &lines, &list_path, self.enter, desk);
        }
        match (pictures, &self.photographs) {
            (Some(pictures), Some(_)) => pictures.add(&mut catalogue, self.enter, desk),
            _ => Ok(()),
        }
    }

    fn read(&self, catalogue: &Catalogue, stated: Kind, desk: &Desk) -> Result<Read, Failure> {
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
        let corrected = match std::fs::read_to_string(&mapping_path) {
            Ok(text) => {
                Some(Mapping::read(&text).map_err(|e| Failure::from(format!("`{}`: {e}", mapping_path.display())))?)
            }
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
            Err(e) => return Err(format!("cannot read `{}`: {e}", mapping_path.display()).into()),
        };
        let mut layout = corrected.as_ref().map_or_else(Layout::default, |m| m.file.clone());
        layout.sheet = self.sheet.clone().or(layout.sheet);
        let table = import::open(&bytes, &layout).map_err(wrong)?;
        let conventions = catalogue.conventions()?;
        let vocabulary = catalogue.vocabulary();
        let words = |day_first| Words { vocabulary, conventions: &conventions, day_first };
        let proposed = corrected.is_none();
        let mapping = corrected.unwrap_or_else(|| import::propose(&table, &layout, &words(layout.day_first)));
        if proposed {
            write_bytes(&mapping_path, mapping.text(&name).as_bytes())?;
        }
        let headings = mapping.headings(&table);
        let sha256 = crate::digest::sha256(&bytes);
        let author = desk.author();
        let origin = Origin {
            file: &name,
            sha256: &sha256,
            sheet: table.sheet.as_deref(),
            today: desk.today(),
            importer: &author,
        };
        let reader = Reader::new(&mapping, &headings, words(mapping.file.day_first), origin);
        let rows: Vec<_> = table.body(&headings).collect();
        let readings: Vec<Reading> = rows.par_iter().map(|row| reader.read(row)).collect();
        let (numbers, purged) = catalogue.numbers_ever()?;
        let known = Known { rows: catalogue.source_rows()?, numbers, purged };
        let fates = plan::fates(&readings, &known);
        Ok(Read { name, sha256, kind, table, mapping, mapping_path, proposed, headings, readings, fates })
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

/// What is to be looked at, row by row. Of rows that are known and unchanged, nothing is asked again.
fn to_do(read: &Read) -> Vec<Line> {
    let mut lines = Vec::new();
    for (reading, fate) in read.readings.iter().zip(&read.fates) {
        let number = reading.file.number().to_owned();
        let line = |doubt| Line { row: Some(reading.row), number: number.clone(), doubt };
        lines.extend(plan::to_look_at(fate, &number).map(line));
        if matches!(fate, Fate::New | Fate::Known | Fate::LeftOut(..)) {
            lines.extend(reading.doubts.iter().cloned().map(line));
        }
    }
    lines
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

/// Sums of rows by what is done with them, in words.
fn sums(fates: &[Fate]) -> String {
    let mut parts: Vec<(&str, usize)> = Vec::new();
    for fate in fates {
        match parts.iter_mut().find(|(word, _)| *word == fate.word()) {
            Some((_, n)) => *n += 1,
            None => parts.push((fate.word(), 1)),
        }
    }
    let list: Vec<String> = parts.iter().map(|(word, n)| format!("{n} {word}")).collect();
    format!("{}: {}", count(fates.len(), "row"), if list.is_empty() { "none".into() } else { list.join(", ") })
}
