//! What leaves the house for the public, and what does not: the one home of that decision.
//!
//! Every field of a record is either public or left out as one of the [`Kind`]s. A field that nobody has decided on is
//! left out, so a field added to a record stays at home until a line here says otherwise. What was left out is
//! counted, so that whoever publishes can read it. What is never copied by any export (accounts, journal, sealed pages,
//! drafts, the originals of photographs with their positions) needs no line here.

mod kind;
#[cfg(test)]
mod tests;
mod veil;

use std::collections::HashSet;

use veil::{Ids, Veil};

use crate::record::capture::Capture;
use crate::record::photograph::{Photograph, Region};
use crate::record::{Examination, Observed, PieceFile};

pub use kind::{Kind, LeftOut, Terms};

/// A piece as the public may see it, and what that leaves out.
pub fn for_the_public(file: &PieceFile, terms: &Terms) -> (PieceFile, LeftOut) {
    // Each list by name: one that is added to a piece must be thought of here.
    let PieceFile {
        piece,
        components,
        people,
        events,
        moves,
        housings,
        displays,
        overrules,
        made_after,
        departures,
        work,
        treatments,
        examinations,
        photographs,
        // The words of an old list were never meant for the public.
        sources,
    } = file.clone();
    let mut shown = PieceFile {
        piece,
        components,
        people,
        events,
        moves,
        housings,
        displays,
        overrules,
        made_after,
        departures,
        work,
        treatments,
        examinations: examinations.into_iter().map(standing).collect(),
        photographs: Vec::new(),
        sources: Vec::new(),
    };
    let mut veil = Veil { terms, path: Vec::new(), shows: false, left_out: LeftOut::default() };
    shown.sections(None, &mut veil);
    for exam in &mut shown.examinations {
        exam.sections(&mut veil);
    }
    let mut left_out = veil.left_out;
    sources.iter().for_each(|_| left_out.count(Kind::Notes, "source"));
    let mut known = Ids::default();
    for exam in &mut shown.examinations {
        exam.sections(&mut known);
    }
    for photo in photographs {
        shown.photographs.extend(photograph(photo, terms, &known.0, &mut left_out));
    }
    (shown, left_out)
}

/// Without the lines that were withdrawn as mistakes: with the reason blanked they would pass for observations.
fn standing(exam: Examination) -> Examination {
    fn kept<T>(list: Vec<Observed<T>>) -> Vec<Observed<T>> {
        list.into_iter().filter(|o| o.withdrawn.is_none()).collect()
    }
    let Examination {
        about,
        textiles,
        measurements,
        stitching,
        fastenings,
        stiffening,
        trimmings,
        steps,
        signs,
        conditions,
        overall,
        hazards,
    } = exam;
    Examination {
        about,
        textiles: kept(textiles),
        measurements: kept(measurements),
        stitching: kept(stitching),
        fastenings: kept(fastenings),
        stiffening: kept(stiffening),
        trimmings: kept(trimmings),
        steps: kept(steps),
        signs: kept(signs),
        conditions: kept(conditions),
        overall: kept(overall),
        hazards: kept(hazards),
    }
}

/// A photograph as the public may see it; none where it belongs to what is left out.
fn photograph(photo: Photograph, terms: &Terms, known: &HashSet<String>, out: &mut LeftOut) -> Option<Photograph> {
    // Each field by name, as for a piece.
    let Photograph {
        id,
        sha256,
        extension,
        original_name,
        bytes,
        width,
        height,
        capture,
        remarks,
        number,
        component,
        examination,
        treatment,
        treatment_id,
        view,
        light,
        stage,
        photographer,
        caption,
        rights,
        regions,
        target,
        scale,
        // What lies over it may be left out, and no export has a use for it.
        registered: _,
    } = photo;
    if capture.has_position {
        out.count(Kind::Position, "photograph.position");
    }
    let of_treatment = treatment.is_some() || treatment_id.is_some() || stage.is_some();
    if of_treatment && !terms.lets_out(Kind::Treatment) {
        out.count(Kind::Treatment, "photograph");
        return None;
    }
    let [told, by, dated] = [Kind::Capture, Kind::People, Kind::Notes].map(|kind| terms.lets_out(kind));
    if !told {
        out.count(Kind::Capture, "photograph.capture");
    }
    if photographer.is_some() && !by {
        out.count(Kind::People, "photograph.photographer");
    }
    if examination.is_some() && !dated {
        out.count(Kind::Notes, "photograph.examination");
    }
    let regions = regions.into_iter().filter_map(|r| region(r, known, out)).collect();
    Some(Photograph {
        id,
        sha256,
        extension,
        original_name: if told { original_name } else { String::new() },
        bytes: if told { bytes } else { 0 },
        width,
        height,
        capture: Capture { has_position: false, ..if told { capture } else { Capture::default() } },
        remarks: if told { remarks } else { Vec::new() },
        number,
        component,
        examination: examination.filter(|_| dated),
        treatment,
        treatment_id,
        view,
        light,
        stage,
        photographer: photographer.filter(|_| by),
        caption,
        rights,
        regions,
        target: target.filter(|_| told),
        scale,
        registered: Vec::new(),
    })
}

/// A region, unless it shows an observation that is left out.
fn region(region: Region, known: &HashSet<String>, out: &mut LeftOut) -> Option<Region> {
    let Region { id, label, shape, shows, outlines, note } = region;
    if shows.as_ref().is_some_and(|id| !known.contains(id)) {
        out.count(Kind::Condition, "photograph.region");
        return None;
    }
    Some(Region { id, label, shape, shows, outlines, note })
}
