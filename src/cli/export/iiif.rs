//! `dimity export iiif`.

use std::collections::HashSet;

use super::public::{self, ForThePublic, Public, json};
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};
use crate::exchange::out::iiif;
use crate::exchange::parcel::Parcel;
use crate::photograph::tiles::{Plan, cut};
use crate::photograph::{IngestFault, Store};
use crate::record::photograph::Photograph;

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
    #[arg(long, value_name = "URL", value_parser = public::base)]
    base: String,
    /// Longest side of the published photographs, in pixels
    #[arg(long, value_name = "PIXELS", default_value_t = 6000, value_parser = clap::value_parser!(u32).range(64..=60_000))]
    longest: u32,
}

const PAGE: &str = "\
collection.json              IIIF Presentation API 3.0: the list of manifests.
pieces/NUMBER/manifest.json  The manifest of a piece: a canvas a photograph, in pixels of the upright original; regions are
                             W3C Web Annotations.
photographs/UUID/            IIIF Image API 3.0, level 0: info.json, tiles and whole pictures as static files.

The identifiers hold for the address that was given as `--base`; serve the folder there, with
`Access-Control-Allow-Origin: *` if viewers at other addresses are to read it.
";

impl Iiif {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let mut public = self.public.gather(&catalogue)?;
        let (place, mut parcel) = self.public.begin("iiif", desk)?;
        let without = self.photographs(&mut public, &Store::at(&desk.folder), &mut parcel)?;
        let publication = public.publication(&catalogue, Some(&self.base));
        let plan = |photo: &Photograph| self.plan(photo);
        for file in &public.pieces {
            let manifest = iiif::manifest(&self.base, file, &publication, &plan);
            json(&mut parcel, &iiif::manifest_path(file.number()), &manifest)?;
        }
        json(&mut parcel, "collection.json", &iiif::collection(&self.base, &publication, &plan))?;
        let more =
            if without == 0 { None } else { Some(format!("{} that cannot be shown", count(without, "photograph"))) };
        public.finish(parcel, &place, ("iiif", PAGE), more.as_slice(), catalogue.vocabulary(), desk)
    }

    fn plan(&self, photo: &Photograph) -> Plan {
        Plan::fitted(photo.width, photo.height, self.longest)
    }

    /// Writes the tiles of all photographs, one after the other: each is a decoded original in memory. What has nothing to
    /// show is taken out of the pieces; how many those are comes back.
    fn photographs(&self, public: &mut Public, store: &Store, parcel: &mut Parcel) -> Result<usize, Failure> {
        let all: usize = public.pieces.iter().map(|file| file.photographs.len()).sum();
        let bar = progress(all, "photographs");
        let (mut done, mut blind) = (HashSet::new(), HashSet::new());
        for photo in public.pieces.iter().flat_map(|file| &file.photographs) {
            bar.inc(1);
            // One photograph may show several pieces.
            if !done.insert(photo.id.clone()) {
                continue;
            }
            let pixels = match store.pixels(&photo.sha256, &photo.extension) {
                Ok(pixels) => pixels,
                Err(IngestFault::Unsupported { .. }) => {
                    blind.insert(photo.id.clone());
                    continue;
                }
                Err(fault) => return Err(fault.to_string().into()),
            };
            let (plan, folder) = (self.plan(photo), iiif::tiles_path(&photo.id));
            json(parcel, &format!("{folder}/info.json"), &iiif::info(&self.base, photo, &plan))?;
            cut(pixels, &plan, &mut |path, bytes| {
                parcel.file(&format!("{folder}/{path}"), |out| out.write_all(bytes))
            })?;
        }
        bar.finish_and_clear();
        for file in &mut public.pieces {
            file.photographs.retain(|photo| !blind.contains(&photo.id));
        }
        Ok(blind.len())
    }
}
