//! Linked Art, a file a piece.

use super::public::{ForThePublic, json};
use super::{Made, NotMade, To};
use crate::exchange::out::linked_art;
use crate::exchange::parcel::Parcel;
use crate::record::accession::file_stem;

const PAGE: &str = "\
objects/   Linked Art 1.0 (https://linked.art, JSON-LD over CIDOC CRM 7): a HumanMadeObject a piece.
works/     What such an object shows, as a VisualItem with the right that it is subject to, where one is stated.
";

pub(super) fn make(to: To<'_>, asked: &ForThePublic, base: Option<&str>) -> Result<Made, NotMade> {
    let public = asked.gather(to)?;
    let mut parcel = Parcel::begin(to.place)?;
    let publication = public.publication(to.catalogue, base);
    for file in &public.pieces {
        let name = file_stem(file.number());
        json(&mut parcel, &format!("objects/{name}.json"), &linked_art::object(file, &publication))?;
        if let Some(work) = linked_art::work(file, &publication) {
            json(&mut parcel, &format!("works/{name}.json"), &work)?;
        }
    }
    public.finish(to, parcel, ("linked-art", PAGE), &[])
}
