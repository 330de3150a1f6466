//! One sitting at the table, and what every observation made in it has in common.

use jiff::civil::Date;

use super::condition::{Condition, Hazard, Overall, Sign};
use super::construction::{Fastening, Step, Stiffening, Stitching, Trimming};
use super::form::{Form, Record, field, needed};
use super::measurement::Measurement;
use super::textile::Textile;
use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId};

/// One sitting: who looked, when, why, by what light; and all that was seen.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Examination {
    /// The circumstances.
    pub about: Circumstances,
    /// Cloths and yarns.
    pub textiles: Vec<Observed<Textile>>,
    /// Dimensions.
    pub measurements: Vec<Observed<Measurement>>,
    /// Lines and areas of stitches.
    pub stitching: Vec<Observed<Stitching>>,
    /// Buttons, hooks, lacing.
    pub fastenings: Vec<Observed<Fastening>>,
    /// Bones, busks, buckram.
    pub stiffening: Vec<Observed<Stiffening>>,
    /// Lace, braid, ribbon.
    pub trimmings: Vec<Observed<Trimming>>,
    /// The order of making.
    pub steps: Vec<Observed<Step>>,
    /// Signs of wear and alteration: evidence, not damage.
    pub signs: Vec<Observed<Sign>>,
    /// Damage.
    pub conditions: Vec<Observed<Condition>>,
    /// The state of the whole: at most one.
    pub overall: Vec<Observed<Overall>>,
    /// What could hurt someone.
    pub hazards: Vec<Observed<Hazard>>,
}

impl Examination {
    /// Whether it only tells what others said, as an old list does: it holds something, and all of it is reported. Nobody
    /// looked at the piece then.
    pub fn is_hearsay(&self) -> bool {
        fn told<T>(list: &[Observed<T>]) -> impl Iterator<Item = bool> {
            list.iter().map(|o| o.evidence.as_ref().is_some_and(|e| e.name() == "reported"))
        }
        let first = told(&self.textiles).chain(told(&self.measurements)).chain(told(&self.stitching));
        let second = told(&self.fastenings).chain(told(&self.stiffening)).chain(told(&self.trimmings));
        let third = told(&self.steps).chain(told(&self.signs)).chain(told(&self.conditions));
        let mut all = first.chain(second).chain(third).chain(told(&self.overall)).chain(told(&self.hazards)).peekable();
        all.peek().is_some() && all.all(|reported| reported)
    }
}

/// The circumstances of an examination.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Circumstances {
    /// Stable identifier.
    pub id: Option<String>,
    /// The day.
    pub date: Option<Date>,
    /// Who looked.
    pub examiner: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Where.
    pub place: Option<String>,
    /// By what light.
    pub light: Option<TermId>,
    /// With what magnification.
    pub magnification: Option<String>,
    /// Air temperature.
    pub temperature: Option<Quantity>,
    /// Relative humidity.
    pub humidity: Option<Quantity>,
    /// How the piece was handled and supported.
    pub methods: Option<String>,
    /// What was not looked at, and why.
    pub not_examined: Option<String>,
    /// Anything else.
    pub note: Option<String>,
}

impl Record for Circumstances {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.day(needed("date", "day of the examination, 2024-03-12"), &mut self.date);
        form.person(needed("examiner", "who looks"), &mut self.examiner);
        form.text(field("reason", "why: acquisition, loan, survey, study"), &mut self.reason);
        form.text(field("place", "where"), &mut self.place);
        form.term(field("light", "by what light"), Scheme::Light, &mut self.light);
        form.text(field("magnification", "bare eye, loupe 10x, microscope 40x"), &mut self.magnification);
        form.quantity(field("temperature", "18 °C"), Kind::Temperature, &mut self.temperature);
        form.quantity(field("humidity", "relative humidity, 52 %"), Kind::Percent, &mut self.humidity);
        form.text(field("methods", "how it was handled, supported, turned"), &mut self.methods);
        form.text(field("not_examined", "what was NOT looked at, and why"), &mut self.not_examined);
        form.text(field("note", "anything else"), &mut self.note);
    }
}

/// What kind of thing an observation records.
pub trait Observation: Record + Default + Clone + PartialEq {
    /// The table, and the heading in a sheet.
    const TABLE: &'static str;
    /// The evidence taken for granted where none is written.
    const EVIDENCE: &'static str = "seen";
    /// The certainty taken for granted where none is written.
    fn certainty(&self) -> &'static str {
        "certain"
    }
}

/// An observation with what all have in common: where, how it is known, how surely.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Observed<T> {
    /// Stable identifier.
    pub id: Option<String>,
    /// The component looked at; blank means the piece as a whole.
    pub component: Option<String>,
    /// What was observed.
    pub what: T,
    /// Measured, seen, inferred, published, depicted or reported.
    pub evidence: Option<TermId>,
    /// Certain, probable or possible.
    pub certainty: Option<TermId>,
    /// What the observer makes of it: interpretation, kept apart from the observation.
    pub interpretation: Option<String>,
    /// Anything else that was seen.
    pub note: Option<String>,
    /// Why this record is withdrawn, if it is.
    pub withdrawn: Option<String>,
}

impl<T: Observation> Observed<T> {
    /// Fills in the evidence and certainty that go without saying for a piece of this nature.
    pub fn settle(&mut self, nature: Option<&TermId>) {
        let evidence = match nature.map(TermId::name) {
            Some("published pattern") => "published",
            Some("depiction") => "depicted",
            _ => T::EVIDENCE,
        };
        self.evidence.get_or_insert_with(|| TermId::new(Scheme::Evidence, evidence));
        self.certainty.get_or_insert_with(|| TermId::new(Scheme::Certainty, self.what.certainty()));
    }
}

impl<T: Observation> Record for Observed<T> {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.component(field("component", "where; blank for the whole piece"), &mut self.component);
        self.what.fields(form);
        form.term(
            field("evidence", "measured, seen, inferred, published, depicted, reported"),
            Scheme::Evidence,
            &mut self.evidence,
        );
        form.term(field("certainty", "certain, probable, possible"), Scheme::Certainty, &mut self.certainty);
        form.text(field("interpretation", "what you make of it, apart from what you saw"), &mut self.interpretation);
        form.text(field("note", "anything else you saw"), &mut self.note);
        form.text(field("withdrawn", "to withdraw a line entered by mistake: why"), &mut self.withdrawn);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        self.what.rules(say);
    }
}
