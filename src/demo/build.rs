//! Builds the invented collection the way a person would: sheets entered, photographs added, regions drawn.

use std::path::Path;

use dimity_pixels::scenes::{Bar, Photograph, jpeg, photographs};
use rayon::prelude::*;

use super::sheets::SHEETS;
use crate::analysis::comparison::Basis;
use crate::catalogue::{Catalogue, Clock, Collection, Intent, NewPhotograph, NewRegion};
use crate::exchange::entry;
use crate::geometry::{POINTING_PX, Point};
use crate::optics::Place;
use crate::photograph::{self, Ingested, NamedReference, Store};
use crate::record::PieceFile;
use crate::record::photograph::{Shape, place};
use crate::record::picture_scale::PictureScale;
use crate::record::registration::mark;
use crate::record::rights::Rights;
use crate::vocabulary::{Scheme, TermId};

/// Who owns the invented collection and enters its records.
pub const OWNER: &str = "Wren Askerdale";

/// What the invented collection is called.
const COLLECTION: &str = "Study collection of Wren Askerdale";

/// What was built.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub struct Built {
    /// Pieces.
    pub pieces: usize,
    /// Sheets entered.
    pub sheets: usize,
    /// Photographs drawn and added.
    pub photographs: usize,
    /// Regions drawn on them.
    pub regions: usize,
}

/// Builds the collection in a new or empty folder. `step` is told of each sheet and photograph.
///
/// # Errors
/// A sentence, if the folder is taken or cannot be written. The demo's own sheets are proved by the tests.
pub fn build(folder: &Path, clock: Clock, step: &(dyn Fn(&str) + Sync)) -> Result<Built, String> {
    let mut catalogue = Catalogue::create(folder, clock).map_err(|e| e.to_string())?;
    // A place of our own: the island lies in no sea, the light is that of the middle north.
    let collection = Collection { name: Some(COLLECTION.into()), place: Place::new(56.0, -6.5), units: None };
    catalogue.set_collection(OWNER, "collection described", &collection).map_err(|e| e.to_string())?;
    for (name, text) in SHEETS {
        step(name);
        let intent = |read: &crate::exchange::sheet::Sheet| Intent {
            author: OWNER.into(),
            reason: read.reason.clone(),
            ..Intent::default()
        };
        entry::enter(&mut catalogue, text.as_bytes(), intent)
            .map_err(|lines| format!("{name}: {}", lines.join("\n")))?;
    }
    keep_comparison(&mut catalogue)?;
    let mut built = Built { sheets: SHEETS.len(), ..Built::default() };
    let store = Store::at(folder);
    let list = photographs()?;
    let drawn: Vec<Result<Ingested, String>> = list
        .par_iter()
        .map(|photograph| {
            let taken = draw_into(&store, photograph);
            step(&photograph.file);
            taken
        })
        .collect();
    let drawn = drawn.into_iter().collect::<Result<Vec<_>, _>>()?;
    for (photograph, taken) in list.iter().zip(&drawn) {
        add(&mut catalogue, photograph, taken).map_err(|e| format!("{}: {e}", photograph.file))?;
        built.photographs += 1;
        if photograph.recipe.read_target {
            read_target(&mut catalogue, &store, photograph, taken).map_err(|e| format!("{}: {e}", photograph.file))?;
        }
        let file = catalogue.piece(&photograph.number).map_err(|e| e.to_string())?;
        if let Some(bar) = &photograph.bar {
            catalogue.set_scale(OWNER, &taken.sha256, &scale(bar)?).map_err(|e| format!("{}: {e}", photograph.file))?;
        }
        for one in &photograph.outlined {
            let region = NewRegion {
                shape: Shape::parse(&one.shape)?,
                label: Some(String::new()),
                outlines: Some(one.component.clone()),
                ..NewRegion::default()
            };
            catalogue.add_region(OWNER, &taken.sha256, &region).map_err(|e| format!("{}: {e}", photograph.file))?;
            built.regions += 1;
        }
        for one in &photograph.taken_off {
            let region = NewRegion {
                shape: Shape::parse(&one.shape)?,
                outlines: one.component.clone(),
                note: one.note.clone(),
                ..NewRegion::default()
            };
            catalogue.add_region(OWNER, &taken.sha256, &region).map_err(|e| format!("{}: {e}", photograph.file))?;
            built.regions += 1;
        }
        for region in &photograph.regions {
            let region = NewRegion {
                label: Some(region.label.clone()),
                shape: Shape::parse(&region.shape)?,
                shows: condition_note(&file, photograph, &region.damage, &region.component),
                ..NewRegion::default()
            };
            catalogue.add_region(OWNER, &taken.sha256, &region).map_err(|e| format!("{}: {e}", photograph.file))?;
            built.regions += 1;
        }
    }
    for (photograph, taken) in list.iter().zip(&drawn) {
        let Some(over) = &photograph.laid_over else { continue };
        let earlier = list.iter().zip(&drawn).find(|(p, _)| p.file == over.file);
        let (_, earlier) = earlier.ok_or_else(|| format!("{}: there is no `{}`", photograph.file, over.file))?;
        let marks = over.marks.iter().map(|m| mark(m)).collect::<Result<Vec<_>, _>>()?;
        catalogue
            .register(OWNER, &earlier.sha256, &taken.sha256, &marks)
            .map_err(|e| format!("{}: {e}", photograph.file))?;
    }
    built.pieces = catalogue.numbers().map_err(|e| e.to_string())?.len();
    Ok(built)
}

/// Keeps one comparison by name: the reconstruction beside its model and its mock-up, girths apart from size.
fn keep_comparison(catalogue: &mut Catalogue) -> Result<(), String> {
    let mut basis = Basis::default();
    basis.sizes.fit("girths: bust girth, waist girth", catalogue.vocabulary())?;
    basis.tolerances.set_written("stitches 20 %")?;
    let pieces = ("2023.R1", &["2018.2".to_owned(), "2022.M1".to_owned()][..]);
    catalogue
        .keep_comparison(OWNER, "the wearer is larger", "spencer, girths fitted", pieces, &basis)
        .map(|_| ())
        .map_err(|e| e.to_string())
}

/// The scale that someone takes from a bar or a rectangle.
pub(super) fn scale(bar: &Bar) -> Result<PictureScale, String> {
    let ends: Vec<Point> = bar.between.split_whitespace().map(place).collect::<Result<_, _>>()?;
    let tolerance = Some(bar.tolerance.as_str());
    match ends[..] {
        [a, b] => PictureScale::between([a, b], &bar.length, tolerance, POINTING_PX),
        [a, b, c, d] => PictureScale::rectangle([a, b, c, d], &bar.length, tolerance, POINTING_PX, Vec::new()),
        _ => Err(format!("`{}` are neither two ends nor four corners", bar.between)),
    }
}

/// Draws one photograph as a file and takes it into the store as if it came from a card.
fn draw_into(store: &Store, photograph: &Photograph) -> Result<Ingested, String> {
    let card = tempfile::tempdir().map_err(|e| format!("no temporary folder: {e}"))?;
    let path = card.path().join(&photograph.file);
    std::fs::write(&path, jpeg(photograph)?).map_err(|e| format!("cannot write `{}`: {e}", path.display()))?;
    store.ingest(&path).map_err(|e| e.to_string())
}

fn add(catalogue: &mut Catalogue, photograph: &Photograph, taken: &Ingested) -> Result<(), String> {
    let file = catalogue.piece(&photograph.number).map_err(|e| e.to_string())?;
    let term = |scheme: Scheme, word: &str| -> Result<TermId, String> {
        catalogue.vocabulary().find(scheme, word).map(|t| t.id.clone()).map_err(|e| e.to_string())
    };
    let known = |name: &String| file.components.iter().any(|c| c.name.as_ref() == Some(name));
    let examined = |day: &str| file.examinations.iter().any(|e| e.about.date.is_some_and(|d| d.to_string() == day));
    // The photograph of a plate that is in copyright is no photographer's to give away.
    let of_piece = file.piece.rights();
    let rights = match of_piece.stated(catalogue.vocabulary()).and_then(|term| term.identifier.as_deref()) {
        Some("InC") => Rights { credit_line: None, words: None, ..of_piece },
        _ => Rights {
            statement: Some(term(Scheme::Rights, "CC-BY-4.0")?),
            holder: Some(photograph.photographer.clone()),
            ..Rights::default()
        },
    };
    let shows = NewPhotograph {
        number: photograph.number.clone(),
        component: photograph.component.clone().filter(known),
        examination: Some(photograph.examination.clone()).filter(|day| examined(day)),
        treatment: photograph.treatment.clone(),
        view: Some(term(Scheme::View, &photograph.view)?),
        light: Some(term(Scheme::Light, &photograph.light)?),
        stage: photograph.stage.clone(),
        photographer: Some(photograph.photographer.clone()),
        caption: Some(photograph.caption.clone()),
        rights,
    };
    catalogue.add_photograph(&photograph.photographer, taken, &shows).map(|_| ()).map_err(|e| e.to_string())
}

/// Reads the colour target as its owner would with `dimity photo target`.
fn read_target(catalogue: &mut Catalogue, store: &Store, drawn: &Photograph, taken: &Ingested) -> Result<(), String> {
    let corners = drawn.target_corners().ok_or("no colour target is in the frame")?;
    let picture = store.pixels(&taken.sha256, &taken.extension).map_err(|e| e.to_string())?;
    let (reading, _) =
        photograph::read_target(&picture, corners, &NamedReference::built_in(), true).map_err(|e| e.to_string())?;
    catalogue.add_target_reading(OWNER, &taken.sha256, &reading).map(|_| ()).map_err(|e| e.to_string())
}

/// The condition note that a region shows: the same damage, on the same component if one says so.
fn condition_note(file: &PieceFile, photograph: &Photograph, damage: &str, component: &str) -> Option<String> {
    let exam =
        file.examinations.iter().find(|e| e.about.date.is_some_and(|d| d.to_string() == photograph.examination))?;
    let same = |c: &&crate::record::Observed<crate::record::condition::Condition>| {
        c.what.damage.as_ref().is_some_and(|d| d.name() == damage)
    };
    let here = exam.conditions.iter().filter(same).find(|c| c.component.as_deref() == Some(component));
    here.or_else(|| exam.conditions.iter().find(same)).and_then(|c| c.id.clone())
}
