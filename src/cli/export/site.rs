//! `dimity export site`.

use std::collections::{HashMap, HashSet};
use std::path::Path;

use super::public::{self, ForThePublic, Public, text};
use crate::cli::{Desk, Failure};
use crate::exchange::out::iiif;
use crate::exchange::parcel::Parcel;
use crate::photograph::{IngestFault, Store, is_bare};
use crate::record::accession::file_stem;
use crate::report::Pictures;
use crate::report::site::{self, STYLE, Site};

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
    #[arg(long, value_name = "URL", value_parser = public::base)]
    manifests: Option<String>,
}

const PAGE: &str = "\
index.html   The pieces; open it in a browser. The folder can be put anywhere whole.
pieces/      A page a piece.
pictures/    The photographs, made smaller.
style.css    How the pages look.
";

impl OfSite {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        if self.public.is_all() != self.all {
            return Err(if self.all {
                "`--all` is every piece; leave the numbers and `--of` away, or leave `--all` away".into()
            } else {
                "say which pieces are for the public: their numbers, `--of SEARCH`, or `--all`".into()
            });
        }
        let catalogue = desk.open()?;
        let public = self.public.gather(&catalogue)?;
        let (place, mut parcel) = self.public.begin("site", desk)?;
        let pictures = Copied::of(&public, &Store::at(&desk.folder), &mut parcel)?;
        let manifest =
            |number: &str| self.manifests.as_ref().map(|base| format!("{base}/{}", iiif::manifest_path(number)));
        let site = Site {
            vocabulary: catalogue.vocabulary(),
            collection: public.name(),
            units: public.collection.units.unwrap_or_default(),
            pictures: &pictures,
            manifest: &manifest,
        };
        text(&mut parcel, "style.css", STYLE)?;
        text(&mut parcel, "index.html", &site::index(&public.pieces, &site).map_err(|e| e.to_string())?)?;
        for (at, file) in public.pieces.iter().enumerate() {
            let page = site::piece(&public.pieces, at, &site).map_err(|e| e.to_string())?;
            text(&mut parcel, &site::page_of(file.number()), &page)?;
        }
        public.finish(parcel, &place, ("site", PAGE), &[], catalogue.vocabulary(), desk)
    }
}

/// The pictures of a site, by the SHA-256 of the photographs.
struct Copied(HashMap<String, String>);

impl Copied {
    /// Copies views and thumbnails, made again where they are missing. One that carries what a camera writes was not made
    /// by this program and is refused.
    fn of(public: &Public, store: &Store, parcel: &mut Parcel) -> Result<Self, Failure> {
        let (mut names, mut done) = (HashMap::new(), HashSet::new());
        for photo in public.pieces.iter().flat_map(|file| &file.photographs) {
            if !done.insert(photo.id.clone()) {
                continue;
            }
            match store.see_to_views(&photo.sha256, &photo.extension, false) {
                Ok(_) => {}
                Err(IngestFault::Unsupported { .. }) => continue,
                Err(fault) => return Err(fault.to_string().into()),
            }
            let name = file_stem(&photo.id);
            let pictures = [(store.view(&photo.sha256), ""), (store.thumbnail(&photo.sha256), "-small")];
            // A file that holds nothing to show has no views.
            if !pictures.iter().all(|(path, _)| path.is_file()) {
                continue;
            }
            for (path, end) in pictures {
                copy(&path, &format!("pictures/{name}{end}.jpg"), parcel)?;
            }
            names.insert(photo.sha256.clone(), name);
        }
        Ok(Self(names))
    }
}

fn copy(from: &Path, name: &str, parcel: &mut Parcel) -> Result<(), Failure> {
    let bytes = std::fs::read(from).map_err(|e| format!("cannot read `{}`: {e}", from.display()))?;
    if !is_bare(&bytes) {
        return Err(format!(
            "`{}` carries capture data and is no view that this program made; delete it and export again",
            from.display()
        )
        .into());
    }
    Ok(parcel.file(name, |out| std::io::Write::write_all(out, &bytes))?)
}

impl Pictures for Copied {
    fn view(&self, sha256: &str) -> Option<String> {
        self.0.get(sha256).map(|name| format!("../pictures/{name}.jpg"))
    }
    fn thumbnail(&self, sha256: &str) -> Option<String> {
        self.0.get(sha256).map(|name| format!("../pictures/{name}-small.jpg"))
    }
}
