//! Everything known of one piece, as one value: what a sheet fills in, the catalogue keeps and a report prints.

use super::care::{Display, Overrule};
use super::examination::{Examination, Observation, Observed};
use super::form::{Form, Record, field};
use super::making::{Departure, MadeAfter, Work};
use super::photograph::Photograph;
use super::piece::{Component, Event, Housing, Move, Piece, Role};
use super::source::SourceRow;
use super::treatment::Treatment;

/// Everything known of one piece.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PieceFile {
    /// What it is.
    pub piece: Piece,
    /// Its parts.
    pub components: Vec<Component>,
    /// The people in its story.
    pub people: Vec<Role>,
    /// How it came here.
    pub events: Vec<Event>,
    /// Where it has been; the last is where it is.
    pub moves: Vec<Move>,
    /// What holds it.
    pub housings: Vec<Housing>,
    /// Where it was shown, and by how much light.
    pub displays: Vec<Display>,
    /// Where its keeper decides otherwise than the program advises.
    pub overrules: Vec<Overrule>,
    /// What it is made after.
    pub made_after: Vec<MadeAfter>,
    /// Where its maker departed.
    pub departures: Vec<Departure>,
    /// The maker's work log.
    pub work: Vec<Work>,
    /// Treatments proposed and done.
    pub treatments: Vec<Treatment>,
    /// Examinations, oldest first. A sheet holds one at most.
    pub examinations: Vec<Examination>,
    /// Photographs, in the order in which they were added. They do not come by sheet.
    pub photographs: Vec<Photograph>,
    /// What old lists said of it, cell by cell. They do not come by sheet.
    pub sources: Vec<SourceRow>,
}

impl PieceFile {
    /// Walks the piece and the examination at `examination`, section by section, as a sheet does.
    pub fn sections(&mut self, examination: Option<usize>, form: &mut dyn Form) {
        form.row(field("piece", "what it is"), &mut self.piece);
        form.rows(field("component", "its parts; every other line names one of them"), &mut self.components);
        form.rows(field("person", "the people in its story"), &mut self.people);
        form.rows(field("event", "how it came here: acquisition and provenance"), &mut self.events);
        form.rows(field("move", "where it has been; the last is where it is"), &mut self.moves);
        form.rows(field("housing", "what holds it in store"), &mut self.housings);
        form.rows(field("display", "where it was shown, and by how much light"), &mut self.displays);
        form.rows(field("care", "where you decide otherwise than the program advises, and why"), &mut self.overrules);
        form.rows(field("made_after", "for a reconstruction: what it follows"), &mut self.made_after);
        form.rows(
            field("departure", "for a reconstruction: what you chose to do otherwise, and why"),
            &mut self.departures,
        );
        form.rows(field("work", "for a reconstruction: the work log"), &mut self.work);
        form.rows(field("treatment", "proposed, consented to, done"), &mut self.treatments);
        if let Some(exam) = examination.and_then(|i| self.examinations.get_mut(i)) {
            exam.sections(form);
        }
    }

    /// Fills in what goes without saying, so that what is stored says it.
    pub fn settle(&mut self) {
        let nature = self.piece.nature.clone();
        for exam in &mut self.examinations {
            exam.settle(nature.as_ref());
        }
    }

    /// Finds side and vocabulary term of each component from its name, where they are blank.
    pub fn name_components(&mut self, vocabulary: &crate::vocabulary::Vocabulary) {
        for component in &mut self.components {
            let (side, term) = vocabulary.component_side(component.name.as_deref().unwrap_or_default());
            if component.side.is_none() {
                component.side = side.map(|s| s.to_string());
            }
            if component.term.is_none() {
                component.term = term.map(|t| t.id.clone());
            }
        }
    }

    /// The accession number, or an empty text.
    pub fn number(&self) -> &str {
        self.piece.number.as_deref().unwrap_or_default()
    }

    /// What stands of one kind of observation, the latest examination first: of an earlier one what no later one says again
    /// of the same thing on the same component. `about` names the thing. Withdrawn lines are passed over.
    pub fn standing<'a, T: Observation, K: PartialEq>(
        &'a self,
        of: impl Fn(&'a Examination) -> &'a Vec<Observed<T>>,
        about: impl Fn(&'a T) -> K,
    ) -> Vec<&'a Observed<T>> {
        let mut found: Vec<&'a Observed<T>> = Vec::new();
        for exam in self.examinations.iter().rev() {
            let later = found.len();
            for o in of(exam).iter().filter(|o| o.withdrawn.is_none()) {
                let same = |l: &&'a Observed<T>| l.component == o.component && about(&l.what) == about(&o.what);
                if !found[..later].iter().any(same) {
                    found.push(o);
                }
            }
        }
        found
    }

    /// The same without stable identifiers, photographs and rows of old lists: what two sheets are compared by.
    #[must_use]
    pub fn without_ids(mut self) -> Self {
        for i in 0..self.examinations.len().max(1) {
            self.sections(Some(i), &mut ForgetIds);
        }
        self.photographs.clear();
        self.sources.clear();
        self
    }
}

impl Examination {
    /// Walks the examination, section by section.
    pub fn sections(&mut self, form: &mut dyn Form) {
        form.row(field("examination", "who looked, when, why, by what light"), &mut self.about);
        form.rows(field("textile", "each cloth and yarn"), &mut self.textiles);
        form.rows(field("measurement", "each dimension, with every reading"), &mut self.measurements);
        form.rows(field("stitching", "each line of stitches"), &mut self.stitching);
        form.rows(field("fastening", "buttons, hooks, lacing, ties"), &mut self.fastenings);
        form.rows(field("stiffening", "bones, busks, buckram"), &mut self.stiffening);
        form.rows(field("trimming", "lace, braid, ribbon"), &mut self.trimmings);
        form.rows(field("step", "the order of making, as you read it"), &mut self.steps);
        form.rows(field("sign", "signs of wear and alteration: evidence, not damage"), &mut self.signs);
        form.rows(field("condition", "each damage, one line a place"), &mut self.conditions);
        form.rows(field("overall", "the state of the whole, once"), &mut self.overall);
        form.rows(field("hazard", "what could hurt someone"), &mut self.hazards);
    }

    fn settle(&mut self, nature: Option<&crate::vocabulary::TermId>) {
        fn each<T: Observation>(list: &mut [Observed<T>], nature: Option<&crate::vocabulary::TermId>) {
            list.iter_mut().for_each(|o| o.settle(nature));
        }
        each(&mut self.textiles, nature);
        each(&mut self.measurements, nature);
        each(&mut self.stitching, nature);
        each(&mut self.fastenings, nature);
        each(&mut self.stiffening, nature);
        each(&mut self.trimmings, nature);
        each(&mut self.steps, nature);
        each(&mut self.signs, nature);
        each(&mut self.conditions, nature);
        each(&mut self.overall, nature);
        each(&mut self.hazards, nature);
    }
}

/// Blanks every identifier.
struct ForgetIds;

impl Form for ForgetIds {
    fn id(&mut self, value: &mut Option<String>) {
        *value = None;
    }
    fn row(&mut self, _field: super::form::Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _field: super::form::Field, rows: &mut dyn super::form::Rows) {
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
    }
}
