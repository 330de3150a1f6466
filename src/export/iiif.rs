//! IIIF: manifests with regions, and photographs as tiles that a plain web server can serve.

use std::collections::HashSet;

use super::public::{ForThePublic, Public, json};
use super::{Made, NotMade, To};
use crate::exchange::out::iiif;
use crate::exchange::parcel::Parcel;
use crate::photograph::tiles::{Plan, cut};
use crate::photograph::{IngestFault, Store};
use crate::record::photograph::Photograph;
use crate::words::count;

const PAGE: &str = "\
collection.json              IIIF Presentation API 3.0: the list of manifests.
pieces/NUMBER/manifest.json  The manifest of a piece: a canvas a photograph, in pixels of the upright original; regions are
                             W3C Web Annotations. A piece without a photograph has none.
photographs/UUID/            IIIF Image API 3.0, level 0: info.json, tiles and whole pictures as static files.

The identifiers hold for the address that was given as `--base`; serve the folder there as it lies. Viewers on pages of that
address need nothing more; for those at other addresses the server adds the header `Access-Control-Allow-Origin: *`.
";

pub(super) fn make(to: To<'_>, asked: &ForThePublic, base: &str, longest: u32) -> Result<Made, NotMade> {
    let mut public = asked.gather(to)?;
    let mut parcel = Parcel::begin(to.place)?;
    let plan = |photo: &Photograph| Plan::fitted(photo.width, photo.height, longest);
    let blind = photographs(to, &mut public, &mut parcel, base, &plan)?;
    // A manifest has at least one canvas (Presentation API 3.0, 5.2, items).
    let chosen = public.pieces.len();
    public.pieces.retain(|file| !file.photographs.is_empty());
    let unseen = chosen - public.pieces.len();
    let publication = public.publication(to.catalogue, Some(base));
    for file in &public.pieces {
        let manifest = iiif::manifest(base, file, &publication, &plan);
        json(&mut parcel, &iiif::manifest_path(file.number()), &manifest)?;
    }
    json(&mut parcel, "collection.json", &iiif::collection(base, &publication, &plan))?;
    let more = [(blind, "photograph", "that cannot be shown"), (unseen, "piece", "without a photograph to show")];
    let more: Vec<String> =
        more.into_iter().filter(|(n, ..)| *n > 0).map(|(n, of, why)| format!("{} {why}", count(n, of))).collect();
    public.finish(to, parcel, ("iiif", PAGE), &more)
}

/// Writes the tiles of all photographs, one after the other: each is a decoded original in memory. What has nothing to show is
/// taken out of the pieces; how many those are comes back.
fn photographs(
    to: To<'_>,
    public: &mut Public,
    parcel: &mut Parcel,
    base: &str,
    plan: &dyn Fn(&Photograph) -> Plan,
) -> Result<usize, NotMade> {
    let store = Store::at(to.catalogue.folder());
    let all: usize = public.pieces.iter().map(|file| file.photographs.len()).sum();
    to.watch.begin("photographs", all as u64);
    let (mut done, mut blind) = (HashSet::new(), HashSet::new());
    for photo in public.pieces.iter().flat_map(|file| &file.photographs) {
        to.step()?;
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
        let (plan, folder) = (plan(photo), iiif::tiles_path(&photo.id));
        json(parcel, &format!("{folder}/info.json"), &iiif::info(base, photo, &plan))?;
        cut(pixels, &plan, &mut |path, bytes| parcel.file(&format!("{folder}/{path}"), |out| out.write_all(bytes)))?;
    }
    for file in &mut public.pieces {
        file.photographs.retain(|photo| !blind.contains(&photo.id));
    }
    Ok(blind.len())
}
