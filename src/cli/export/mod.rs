//! `dimity export`: the catalogue, or chosen pieces of it, handed on in open formats. What is asked for, and what is said at
//! the end; the making is in `crate::export`.

mod public;
mod whole;

use std::path::PathBuf;

use super::say::{Bar, all_well};
use super::{Desk, Failure};
use crate::export::{self, Asked, Made, Which};

/// Hand the catalogue, or chosen pieces, on in open formats
///
/// An export is a folder, by default in `exports` in the catalogue's folder, with a page EXPORT.txt that says what it is.
/// It appears whole or not at all, and takes the place of an earlier export only. The same catalogue gives the same bytes.
/// GPS positions of photographs are left out unless they are asked for. What is for the public (`site`, `iiif`, `lido`,
/// `linked-art`, `dublin-core`) leaves out far more, GPS positions always, and lists it.
#[derive(Debug, clap::Subcommand)]
pub enum Export {
    Json(whole::Json),
    Csv(whole::Csv),
    Parquet(whole::Parquet),
    Bag(whole::Bag),
    Lido(public::Lido),
    LinkedArt(public::LinkedArt),
    DublinCore(public::DublinCore),
    Iiif(public::Iiif),
    Site(public::OfSite),
}

impl Export {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let (asked, out) = match self {
            Self::Json(json) if json.schema => return whole::print_schema(desk),
            Self::Json(json) => json.asked(),
            Self::Csv(csv) => csv.asked(),
            Self::Parquet(parquet) => parquet.asked(),
            Self::Bag(bag) => bag.asked(),
            Self::Lido(lido) => lido.asked(),
            Self::LinkedArt(linked_art) => linked_art.asked(),
            Self::DublinCore(dublin_core) => dublin_core.asked(),
            Self::Iiif(iiif) => iiif.asked(),
            Self::Site(site) => site.asked()?,
        };
        make(&asked, out, desk)
    }
}

/// What is asked for, and the folder for it if one was named.
type Wanted = (Asked, Option<PathBuf>);

/// Which pieces an export is of.
#[derive(Debug, Clone, Default, clap::Args)]
struct Pieces {
    /// Accession numbers; all pieces if neither they nor `--of` are given
    numbers: Vec<String>,
    /// Those that a search finds, as `dimity find` takes it; `kept:"NAME"` for a kept one
    #[arg(long, value_name = "SEARCH")]
    of: Option<String>,
}

impl From<Pieces> for Which {
    fn from(pieces: Pieces) -> Self {
        Self { numbers: pieces.numbers, of: pieces.of }
    }
}

fn make(asked: &Asked, out: Option<PathBuf>, desk: &mut Desk) -> Result<(), Failure> {
    let catalogue = desk.open()?;
    let place = out.unwrap_or_else(|| export::place(&desk.folder, asked.format()));
    let bar = Bar::default();
    let made = export::make(&catalogue, asked, &place, &bar);
    bar.finish();
    let made = made.map_err(|why| why.to_string())?;
    let Made { written, left_out, list, findings, care, .. } = &made;
    let place = place.display();
    if desk.json {
        desk.out.json(&serde_json::json!({
            "out": place.to_string(), "files": written.files, "bytes": written.bytes,
            "left_out": left_out, "list": list.as_ref().map(|list| list.display().to_string()), "findings": findings,
            "care": care,
        }));
        return all_well(findings);
    }
    desk.out.findings(findings);
    desk.out.line(format!("{place}: {}", made.told()));
    match list {
        Some(list) => {
            let left_out = if left_out.is_empty() { "nothing".into() } else { left_out.join(", ") };
            desk.out.line(format!("left out: {left_out} (the list: `{}`)", list.display()));
        }
        None if left_out.is_empty() => {}
        None => desk.out.line(format!("left out: {}", left_out.join("; "))),
    }
    if let Some(care) = care {
        desk.out.line(care);
    }
    all_well(findings)
}
