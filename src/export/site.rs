//! A site of chosen pieces: an index and a page a piece.

use std::collections::{HashMap, HashSet};
use std::path::Path;

use super::public::{ForThePublic, Public, text};
use super::{Made, NotMade, To};
use crate::exchange::out::iiif;
use crate::exchange::parcel::Parcel;
use crate::photograph::{IngestFault, Store, is_bare};
use crate::record::PieceFile;
use crate::record::accession::file_stem;
use crate::report::Pictures;
use crate::report::site::{self, STYLE, Site};

const PAGE: &str = "\
index.html   The pieces; open it in a browser. The folder can be put anywhere whole.
pieces/      A page a piece.
pictures/    The photographs, made smaller.
style.css    How the pages look.
";

pub(super) fn make(to: To<'_>, asked: &ForThePublic, manifests: Option<&str>) -> Result<Made, NotMade> {
    let public = asked.gather(to)?;
    let mut parcel = Parcel::begin(to.place)?;
    let pictures = Copied::of(to, &public, &mut parcel)?;
    // A piece without a picture has no manifest.
    let shown = |file: &PieceFile| file.photographs.iter().any(|photo| pictures.0.contains_key(&photo.sha256));
    let manifest = |file: &PieceFile| {
        manifests.filter(|_| shown(file)).map(|base| format!("{base}/{}", iiif::manifest_path(file.number())))
    };
    let site = Site {
        vocabulary: to.catalogue.vocabulary(),
        collection: public.name(),
        units: public.collection.units.unwrap_or_default(),
        pictures: &pictures,
        manifest: &manifest,
    };
    text(&mut parcel, "style.css", STYLE)?;
    text(&mut parcel, "index.html", &site::index(&public.pieces, &site)?)?;
    for (at, file) in public.pieces.iter().enumerate() {
        text(&mut parcel, &site::page_of(file.number()), &site::piece(&public.pieces, at, &site)?)?;
    }
    public.finish(to, parcel, ("site", PAGE), &[])
}

/// The pictures of a site, by the SHA-256 of the photographs.
struct Copied(HashMap<String, String>);

impl Copied {
    /// Copies views and thumbnails, made again where they are missing. One that carries what a camera writes was not made
    /// by this program and is refused.
    fn of(to: To<'_>, public: &Public, parcel: &mut Parcel) -> Result<Self, NotMade> {
        let store = Store::at(to.catalogue.folder());
        let all: usize = public.pieces.iter().map(|file| file.photographs.len()).sum();
        to.watch.begin("photographs", all as u64);
        let (mut names, mut done) = (HashMap::new(), HashSet::new());
        for photo in public.pieces.iter().flat_map(|file| &file.photographs) {
            to.step()?;
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

fn copy(from: &Path, name: &str, parcel: &mut Parcel) -> Result<(), NotMade> {
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
