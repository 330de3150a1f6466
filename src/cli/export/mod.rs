//! `dimity export`: the catalogue, or chosen pieces of it, handed on in open formats. One file a format; what all of them
//! ask and say is here.

mod bag;
mod csv;
mod dublin_core;
mod iiif;
mod json;
mod lido;
mod linked_art;
mod parquet;
mod public;
mod site;

use std::path::PathBuf;

use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::Catalogue;
use crate::exchange::parcel::{Parcel, Written};

/// Hand the catalogue, or chosen pieces, on in open formats
///
/// An export is a folder, by default in `exports` in the catalogue's folder, with a page EXPORT.txt that says what it is.
/// It appears whole or not at all, and takes the place of an earlier export only. The same catalogue gives the same bytes.
/// GPS positions of photographs are left out unless they are asked for. What is for the public (`site`, `iiif`, `lido`,
/// `linked-art`, `dublin-core`) leaves out far more, positions always, and lists it.
#[derive(Debug, clap::Subcommand)]
pub enum Export {
    Json(json::Json),
    Csv(csv::Csv),
    Parquet(parquet::Parquet),
    Bag(bag::Bag),
    Lido(lido::Lido),
    LinkedArt(linked_art::LinkedArt),
    DublinCore(dublin_core::DublinCore),
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
    #[arg(long, value_name = "QUERY")]
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
            // Names the nearest number where there is none.
            chosen.push(catalogue.piece(number)?.number().to_owned());
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
}

impl Told<'_> {
    pub fn say(&self, desk: &mut Desk) {
        if desk.json {
            desk.out.json(&serde_json::json!({
                "out": self.place.display().to_string(), "files": self.written.files, "bytes": self.written.bytes,
                "left_out": self.left_out,
            }));
            return;
        }
        let size = super::backup::size(self.written.bytes);
        let files = count(self.written.files, "file");
        desk.out.line(format!("{}: {} in {files}, {size}", self.place.display(), self.what));
        if !self.left_out.is_empty() {
            desk.out.line(format!("left out: {}", self.left_out.join("; ")));
        }
    }
}
