//! What is asked for where something goes out to the public: LIDO, Linked Art, Dublin Core, IIIF, a site.

use std::path::PathBuf;

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};

use super::{Pieces, Wanted};
use crate::cli::Failure;
use crate::exchange::out::discretion::Kind;
use crate::export::{self, Asked, LONGEST, LONGEST_FITS};

/// Which pieces the public may see, and what of them.
#[derive(Debug, clap::Args)]
struct ForThePublic {
    #[command(flatten)]
    which: Pieces,
    /// The folder to write; if not given, one named like the format in the catalogue's folder `exports`
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Include what is left out by default; several with commas
    #[arg(long = "with", value_name = "KIND", value_parser = kinds(), value_delimiter = ',')]
    included: Vec<Kind>,
}

/// Where the records will lie on the web.
#[derive(Debug, clap::Args)]
struct Base {
    /// Address of the folder that the IIIF export is put at, as in https://example.org/collection; pieces, terms and
    /// pictures are named below it. Without it they are named by UUIDs
    #[arg(long = "base", value_name = "URL", value_parser = export::base)]
    base: Option<String>,
}

fn kinds() -> impl TypedValueParser<Value = Kind> {
    let word = |(kind, help): &(Kind, &'static str)| PossibleValue::new(kind.word()).help(*help);
    PossibleValuesParser::new(Kind::CAN_BE_INCLUDED.iter().map(word))
        .try_map(|word| Kind::from_word(&word).ok_or_else(|| format!("`{word}` is no kind of what is left out")))
}

/// For museums and portals: LIDO 1.1, one XML file
///
/// Locations, values, people, provenance, condition, treatments and notes are left out by default; the list of what was
/// left out lies beside the folder. Of what `--with` includes, this has a place for provenance, people, other-pieces and the
/// photographs of treatments.
#[derive(Debug, clap::Args)]
pub struct Lido {
    #[command(flatten)]
    public: ForThePublic,
    #[command(flatten)]
    base: Base,
}

/// For linked data: Linked Art 1.0, JSON-LD over CIDOC CRM, a file a piece
///
/// Locations, values, people, provenance, condition, treatments and notes are left out by default; the list of what was
/// left out lies beside the folder.
#[derive(Debug, clap::Args)]
pub struct LinkedArt {
    #[command(flatten)]
    public: ForThePublic,
    #[command(flatten)]
    base: Base,
}

/// For library catalogues and search engines: the fifteen elements of Dublin Core, one RDF/XML file
///
/// Locations, values, people, provenance, condition, treatments and notes are left out by default; the list of what was
/// left out lies beside the folder. Of what `--with` includes, the fifteen elements have a place for people and other-pieces.
#[derive(Debug, clap::Args)]
pub struct DublinCore {
    #[command(flatten)]
    public: ForThePublic,
    #[command(flatten)]
    base: Base,
}

/// For IIIF viewers: manifests with regions, and photographs as tiles that a plain web server can serve
///
/// Put the folder at the address that you gave as `--base`, and open `pieces/NUMBER/manifest.json` in any IIIF viewer. The
/// photographs are written anew from their pixels, as sRGB, without anything that the camera wrote into them. A viewer at
/// another address reads them only if the server sends `Access-Control-Allow-Origin: *`.
#[derive(Debug, clap::Args)]
pub struct Iiif {
    #[command(flatten)]
    public: ForThePublic,
    /// Address that the folder will be put at, as in https://example.org/collection
    #[arg(long, value_name = "URL", value_parser = export::base)]
    base: String,
    /// Longest side of the published photographs, in pixels
    #[arg(long, value_name = "PIXELS", default_value_t = LONGEST, value_parser = longest())]
    longest: u32,
}

fn longest() -> clap::builder::RangedI64ValueParser<u32> {
    clap::value_parser!(u32).range(i64::from(*LONGEST_FITS.start())..=i64::from(*LONGEST_FITS.end()))
}

/// For readers: a site of chosen pieces, an index and a page a piece, to put on any web server or to open from a disk
///
/// Plain HTML with one style sheet, no script, relative links. Photographs are the smaller views, without anything that the
/// camera wrote into them; the originals stay here. Locations, values, people, provenance, condition, treatments and notes
/// are left out by default (`--with` includes a kind; treatments and work logs have no page); the list of what was left out
/// lies beside the folder.
#[derive(Debug, clap::Args)]
pub struct OfSite {
    #[command(flatten)]
    public: ForThePublic,
    /// Every piece, where no numbers and no `--of` are given
    #[arg(long)]
    all: bool,
    /// Address at which the folder of `dimity export iiif` lies: each page then links its manifest
    #[arg(long, value_name = "URL", value_parser = export::base)]
    manifests: Option<String>,
}

impl ForThePublic {
    fn asked(self) -> (export::ForThePublic, Option<PathBuf>) {
        (export::ForThePublic { of: self.which.into(), included: self.included }, self.out)
    }
}

impl Lido {
    pub(super) fn asked(self) -> Wanted {
        let (public, out) = self.public.asked();
        (Asked::Lido { public, base: self.base.base }, out)
    }
}

impl LinkedArt {
    pub(super) fn asked(self) -> Wanted {
        let (public, out) = self.public.asked();
        (Asked::LinkedArt { public, base: self.base.base }, out)
    }
}

impl DublinCore {
    pub(super) fn asked(self) -> Wanted {
        let (public, out) = self.public.asked();
        (Asked::DublinCore { public, base: self.base.base }, out)
    }
}

impl Iiif {
    pub(super) fn asked(self) -> Wanted {
        let (public, out) = self.public.asked();
        (Asked::Iiif { public, base: self.base, longest: self.longest }, out)
    }
}

impl OfSite {
    pub(super) fn asked(self) -> Result<Wanted, Failure> {
        let (public, out) = self.public.asked();
        match (public.of.is_all(), self.all) {
            (false, true) => {
                Err("`--all` is every piece; leave the numbers and `--of` away, or leave `--all` away".into())
            }
            (true, false) => {
                Err("say which pieces are for the public: their numbers, `--of SEARCH`, or `--all`".into())
            }
            _ => Ok((Asked::Site { public, manifests: self.manifests }, out)),
        }
    }
}
