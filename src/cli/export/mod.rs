//! `dimity export`: the catalogue, or chosen pieces of it, handed on in open formats. One file a format; what all of them
//! ask and say is here.

mod bag;
mod described;
mod iiif;
mod json;
mod linked_art;
mod public;
mod site;
mod tables;

use std::fmt::Write as _;
use std::path::PathBuf;

use super::say::{all_well, count};
use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Finding};
use crate::exchange::out::{About, Absent, Why};
use crate::exchange::parcel::{Parcel, Written};

/// Hand the catalogue, or chosen pieces, on in open formats
///
/// An export is a folder, by default in `exports` in the catalogue's folder, with a page EXPORT.txt that says what it is.
/// It appears whole or not at all, and takes the place of an earlier export only. The same catalogue gives the same bytes.
/// GPS positions of photographs are left out unless they are asked for. What is for the public (`site`, `iiif`, `lido`,
/// `linked-art`, `dublin-core`) leaves out far more, GPS positions always, and lists it.
#[derive(Debug, clap::Subcommand)]
pub enum Export {
    Json(json::Json),
    Csv(tables::Csv),
    Parquet(tables::Parquet),
    Bag(bag::Bag),
    Lido(described::Lido),
    LinkedArt(linked_art::LinkedArt),
    DublinCore(described::DublinCore),
    Iiif(iiif::Iiif),
    Site(site::OfSite),
}

impl Export {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        match self {
            Self::Json(json) => json.run(desk),
            Self::Csv(csv) => csv.run(desk),
            Self::Parquet(parquet) => parquet.run(desk),
            Self::Bag(bag) => bag.run(desk),
            Self::Lido(lido) => lido.run(desk),
            Self::LinkedArt(linked_art) => linked_art.run(desk),
            Self::DublinCore(dublin_core) => dublin_core.run(desk),
            Self::Iiif(iiif) => iiif.run(desk),
            Self::Site(site) => site.run(desk),
        }
    }
}

/// Where an export goes, and what of photographs stays here.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Where {
    /// The folder to write; if not given, one named like the format in the catalogue's folder `exports`
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Leave the GPS positions of photographs in
    #[arg(long)]
    with_gps: bool,
}

/// Which pieces an export is of.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Which {
    /// Accession numbers; all pieces if neither they nor `--of` are given
    numbers: Vec<String>,
    /// Those that a search finds, as `dimity find` takes it; `kept:"NAME"` for a kept one
    #[arg(long, value_name = "SEARCH")]
    of: Option<String>,
}

impl Which {
    /// Whether nothing was chosen, and so all pieces are meant.
    pub(super) fn is_all(&self) -> bool {
        self.numbers.is_empty() && self.of.is_none()
    }

    /// The numbers of the pieces that were chosen; none if nothing was, and so everything is meant.
    pub(super) fn some(&self, catalogue: &Catalogue) -> Result<Option<Vec<String>>, Failure> {
        if self.is_all() { Ok(None) } else { self.chosen(catalogue).map(Some) }
    }

    /// The numbers of the pieces, each once, in the order of the numbers. Withdrawn ones are in only by number.
    pub(super) fn chosen(&self, catalogue: &Catalogue) -> Result<Vec<String>, Failure> {
        let mut chosen = match &self.of {
            Some(query) => catalogue.members(&catalogue.query(query)?)?,
            None if self.numbers.is_empty() => catalogue.numbers()?,
            None => Vec::new(),
        };
        for number in &self.numbers {
            catalogue.is_there(number)?;
            chosen.push(number.clone());
        }
        chosen.sort_by_cached_key(|number| crate::record::accession::sort_key(number));
        chosen.dedup();
        if chosen.is_empty() {
            return Err("there is no piece to export; `dimity list` lists them, `dimity find` tries a search".into());
        }
        Ok(chosen)
    }
}

impl Where {
    /// The folder on its way out.
    pub(super) fn begin(&self, format: &str, desk: &Desk) -> Result<(PathBuf, Parcel), Failure> {
        let place = self.out.clone().unwrap_or_else(|| desk.folder.join("exports").join(format));
        let parcel = Parcel::begin(&place)?;
        Ok((place, parcel))
    }
}

/// `14 pieces` or `3 chosen pieces`, in words.
pub(super) fn of(catalogue: &Catalogue, chosen: Option<&[String]>) -> Result<String, Failure> {
    Ok(match chosen {
        Some(numbers) => count(numbers.len(), "chosen piece"),
        None => count(catalogue.numbers()?.len(), "piece"),
    })
}

/// What is held back of photographs and sealed pages, for `EXPORT.txt`; blank if nothing is.
pub(super) fn held(about: &About) -> String {
    let held = &about.held_back;
    let mut lines = String::new();
    for sha256 in &held.positions {
        let _ = writeln!(lines, "photograph {sha256}: its record is without its GPS position");
    }
    for file in &held.files {
        let _ = writeln!(lines, "{} {}: {}; it is not here", file.kind(), file.sha256, file.why.words());
    }
    if lines.is_empty() { lines } else { format!("\nHeld back, by SHA-256:\n\n{lines}") }
}

/// Files that should have gone out and could not.
pub(super) fn findings(about: &About) -> Vec<Finding> {
    let wrong = about.held_back.files.iter().filter(|file| file.why != Why::Position);
    let told = |file: &Absent| {
        let what = format!("the {} {} {}; it is not in the export", file.kind(), file.sha256, file.why.words());
        Finding::new(what, "`dimity check` says where it lies; put it back from a backup and export again")
    };
    wrong.map(told).collect()
}

/// What was written, for the last line.
pub(super) struct Told<'a> {
    /// `14 pieces`, `43 tables`.
    pub what: String,
    /// The folder.
    pub place: &'a std::path::Path,
    /// How much.
    pub written: Written,
    /// What stayed here, each in a few words.
    pub left_out: &'a [String],
    /// Where all of it is listed, if it is.
    pub list: Option<&'a std::path::Path>,
    /// What should have gone out and could not.
    pub findings: &'a [Finding],
}

impl Told<'_> {
    /// Says it; a failure if something that should have gone out could not.
    pub fn say(&self, desk: &mut Desk) -> Result<(), Failure> {
        if desk.json {
            desk.out.json(&serde_json::json!({
                "out": self.place.display().to_string(), "files": self.written.files, "bytes": self.written.bytes,
                "left_out": self.left_out, "list": self.list.map(|list| list.display().to_string()), "findings": self.findings,
            }));
            return all_well(self.findings);
        }
        desk.out.findings(self.findings);
        let size = super::backup::size(self.written.bytes);
        let files = count(self.written.files, "file");
        desk.out.line(format!("{}: {} in {files}, {size}", self.place.display(), self.what));
        match self.list {
            Some(list) => {
                let left_out = if self.left_out.is_empty() { "nothing".into() } else { self.left_out.join(", ") };
                desk.out.line(format!("left out: {left_out} (the list: `{}`)", list.display()));
            }
            None if self.left_out.is_empty() => {}
            None => desk.out.line(format!("left out: {}", self.left_out.join("; "))),
        }
        all_well(self.findings)
    }
}
