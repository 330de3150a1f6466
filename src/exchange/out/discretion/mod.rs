//! What leaves the house for the public, and what does not: the one home of that decision.
//!
//! Every field of a record is either public or left out as one of the [`Kind`]s. A field that nobody has decided on is
//! left out, so a field added to a record stays at home until a line here says otherwise. What was left out is
//! counted, so that whoever publishes can read it. What is never copied for the public (accounts, journal, sealed pages,
//! drafts, the originals of photographs with their positions) needs no line here.

mod kind;
#[cfg(test)]
mod tests;
mod veil;

use std::collections::{BTreeSet, HashSet};

use veil::{Ids, Names, Veil};

use crate::record::capture::Capture;
use crate::record::photograph::{Photograph, Region};
use crate::record::{Examination, Observed, PieceFile};

pub use kind::{Kind, LeftOut, Terms};

/// Whether a field of a section goes out to the public.
pub fn is_public(section: &str, field: &str) -> bool {
    matches!(veil::decision(section, field), veil::Decision::Public)
}

/// A piece as the public may see it, and what that leaves out.
pub fn for_the_public(mut shown: PieceFile, terms: &Terms) -> (PieceFile, LeftOut) {
    // Each list by name: one that is added to a piece must be thought of here.
    let PieceFile {
        piece: _,
        components: _,
        people: _,
        events: _,
        moves: _,
        housings: _,
        displays: _,
        overrules: _,
        made_after: _,
        departures: _,
        work: _,
        treatments: _,
        examinations,
        photographs,
        sources,
    } = &mut shown;
    let (photographs, sources) = (std::mem::take(photographs), std::mem::take(sources));
    examinations.iter_mut().for_each(without_mistakes);
    let mut veil = Veil { terms, path: Vec::new(), shows: false, left_out: LeftOut::default() };
    shown.sections(None, &mut veil);
    for exam in &mut shown.examinations {
        exam.sections(&mut veil);
    }
    let mut left_out = veil.left_out;
    // The words of an old list were never meant for the public.
    sources.iter().for_each(|_| left_out.count(Kind::OldList, "source"));
    let mut known = Ids::default();
    for exam in &mut shown.examinations {
        exam.sections(&mut known);
    }
    for photo in photographs {
        shown.photographs.extend(photograph(photo, terms, &known.0, &mut left_out));
    }
    (shown, left_out)
}

/// Whether the public words of a piece, as somebody wrote them, name one of these pieces by its number.
pub fn names_one_of(shown: &mut PieceFile, numbers: &BTreeSet<String>) -> bool {
    let mut names = Names { of: numbers, found: false };
    shown.sections(None, &mut names);
    for exam in &mut shown.examinations {
        exam.sections(&mut names);
    }
    shown.photographs.iter().filter_map(|photo| photo.caption.as_deref()).for_each(|words| names.look(words));
    names.found
}

/// Takes out the lines that were withdrawn as mistakes: with the reason blanked they would pass for observations.
fn without_mistakes(exam: &mut Examination) {
    fn standing<T>(list: &mut Vec<Observed<T>>) {
        list.retain(|o| o.withdrawn.is_none());
    }
    // Each list by name, as above.
    let Examination {
        about: _,
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
    standing(textiles);
    standing(measurements);
    standing(stitching);
    standing(fastenings);
    standing(stiffening);
    standing(trimmings);
    standing(steps);
    standing(signs);
    standing(conditions);
    standing(overall);
    standing(hazards);
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
        beside,
    } = photo;
    if capture.has_position {
        out.count(Kind::Position, "photograph.position");
    }
    // One that was taken for a treatment of another piece tells of that, whatever else it shows.
    let treated = beside.iter().any(|other| other.treated);
    let of_treatment = treatment.is_some() || treatment_id.is_some() || stage.is_some() || treated;
    if of_treatment && !terms.includes(Kind::Treatment) {
        out.count(Kind::Treatment, "photograph");
        return None;
    }
    let [told, by, noted] = [Kind::Camera, Kind::People, Kind::Notes].map(|kind| terms.includes(kind));
    if !told {
        out.count(Kind::Camera, "photograph.capture");
    }
    if photographer.is_some() && !by {
        out.count(Kind::People, "photograph.photographer");
    }
    if examination.is_some() && !noted {
        out.count(Kind::Notes, "photograph.examination");
    }
    let drawn = Drawn { of: &number, terms, known };
    let regions = regions.into_iter().filter_map(|r| drawn.region(r, out)).collect();
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
        examination: examination.filter(|_| noted),
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
        beside: Vec::new(),
    })
}

/// What is drawn on a photograph of a piece.
struct Drawn<'a> {
    /// The number of the piece.
    of: &'a str,
    terms: &'a Terms,
    /// The observations of it that go out.
    known: &'a HashSet<String>,
}

impl Drawn<'_> {
    /// A region, unless it is of a piece that stays at home, shows an observation that is left out, or tells nothing once
    /// its note is.
    fn region(&self, region: Region, out: &mut LeftOut) -> Option<Region> {
        // Each field by name, as above.
        let Region { id, label, shape, shows, outlines, piece, note } = region;
        let other = piece.as_deref().filter(|piece| *piece != self.of);
        let stranger = other.is_some_and(|piece| !self.terms.published.contains(piece));
        if stranger && !self.terms.includes(Kind::OtherPieces) {
            out.count(Kind::OtherPieces, "photograph.region");
            return None;
        }
        if shows.as_ref().is_some_and(|id| !self.known.contains(id)) {
            // What is observed on another piece in the export is told, or left out and counted, with that piece.
            if other.is_none() || stranger {
                out.count(Kind::Condition, "photograph.region");
            }
            return None;
        }
        let noted = self.terms.includes(Kind::Notes);
        if note.is_some() && !noted {
            out.count(Kind::Notes, "photograph.region.note");
            if shows.is_none() && outlines.is_none() {
                return None;
            }
        }
        Some(Region { id, label, shape, shows, outlines, piece, note: note.filter(|_| noted) })
    }
}
