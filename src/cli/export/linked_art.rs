//! `dimity export linked-art`.

use super::public::{Base, ForThePublic, json};
use crate::cli::{Desk, Failure};
use crate::exchange::out::linked_art;
use crate::record::accession::file_stem;

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

const PAGE: &str = "\
objects/   Linked Art 1.0 (https://linked.art, JSON-LD over CIDOC CRM 7): a HumanMadeObject a piece.
works/     What such an object shows, as a VisualItem with the right that it is subject to, where one is stated.
";

impl LinkedArt {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let public = self.public.gather(&catalogue)?;
        let (place, mut parcel) = self.public.begin("linked-art", desk)?;
        let publication = public.publication(&catalogue, self.base.base.as_deref());
        for file in &public.pieces {
            let name = file_stem(file.number());
            json(&mut parcel, &format!("objects/{name}.json"), &linked_art::object(file, &publication))?;
            if let Some(work) = linked_art::work(file, &publication) {
                json(&mut parcel, &format!("works/{name}.json"), &work)?;
            }
        }
        public.finish(parcel, &place, ("linked-art", PAGE), &[], catalogue.vocabulary(), desk)
    }
}
