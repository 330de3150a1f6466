//! Treatment: what was proposed, who consented, what was done.

use jiff::civil::Date;

use super::form::{Form, Record, field, needed};
use crate::measure::{Kind, Quantity};

/// One treatment, from proposal to after-care. A part not reached yet stays blank.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Treatment {
    /// Stable identifier.
    pub id: Option<String>,
    /// A short name for it.
    pub title: Option<String>,
    /// Who proposed it.
    pub proposed_by: Option<String>,
    /// On which day.
    pub proposed_on: Option<Date>,
    /// What it is to achieve.
    pub aims: Option<String>,
    /// What is proposed, and what is not to be done.
    pub proposal: Option<String>,
    /// What could go wrong.
    pub risks: Option<String>,
    /// How long it is thought to take.
    pub hours_expected: Option<Quantity>,
    /// Who consented.
    pub consent_by: Option<String>,
    /// On which day.
    pub consent_on: Option<Date>,
    /// What they were shown.
    pub consent_shown: Option<String>,
    /// What was done, step by step.
    pub steps: Vec<TreatmentStep>,
    /// What was used.
    pub materials: Vec<Material>,
    /// How it departed from the proposal, and why.
    pub departures: Option<String>,
    /// How it turned out.
    pub result: Option<String>,
    /// What to look out for later.
    pub after_care: Option<String>,
}

impl Record for Treatment {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.text(needed("title", "a short name for it"), &mut self.title);
        form.person(field("proposed_by", "who proposes it"), &mut self.proposed_by);
        form.day(field("proposed_on", "2024-03-12"), &mut self.proposed_on);
        form.text(field("aims", "what it is to achieve"), &mut self.aims);
        form.text(field("proposal", "what is to be done, and what is not"), &mut self.proposal);
        form.text(field("risks", "what could go wrong"), &mut self.risks);
        form.quantity(field("hours_expected", "4 h"), Kind::Duration, &mut self.hours_expected);
        form.person(field("consent_by", "who agreed"), &mut self.consent_by);
        form.day(field("consent_on", "when they agreed"), &mut self.consent_on);
        form.text(field("consent_shown", "what they were shown"), &mut self.consent_shown);
        form.rows(field("steps", "what was done, in order"), &mut self.steps);
        form.rows(field("materials", "what was used, with supplier and lot"), &mut self.materials);
        form.text(field("departures", "how it departed from the proposal, and why"), &mut self.departures);
        form.text(field("result", "how it turned out"), &mut self.result);
        form.text(field("after_care", "what to look out for later"), &mut self.after_care);
    }
}

/// One step of a treatment.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TreatmentStep {
    /// What was done.
    pub done: Option<String>,
    /// On which day.
    pub date: Option<Date>,
    /// By whom.
    pub by: Option<String>,
    /// How long it took.
    pub hours: Option<Quantity>,
}

impl Record for TreatmentStep {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(needed("done", "what was done"), &mut self.done);
        form.day(field("date", "2024-03-12"), &mut self.date);
        form.person(field("by", "by whom"), &mut self.by);
        form.quantity(field("hours", "1 h 30 min"), Kind::Duration, &mut self.hours);
    }
}

/// One material used in a treatment.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Material {
    /// What it is.
    pub material: Option<String>,
    /// Where it came from.
    pub supplier: Option<String>,
    /// Lot or batch.
    pub lot: Option<String>,
    /// How much, or at what strength.
    pub amount: Option<String>,
}

impl Record for Material {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(needed("material", "what it is"), &mut self.material);
        form.text(field("supplier", "where it came from"), &mut self.supplier);
        form.text(field("lot", "lot or batch"), &mut self.lot);
        form.text(field("amount", "how much, or how strong"), &mut self.amount);
    }
}
