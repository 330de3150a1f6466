//! Treatment: what was proposed, who consented to what, what was done. What seals a consent is in `seal`.

use jiff::civil::Date;

use super::form::{Earlier, Form, Record, field, needed};
use crate::measure::{Kind, Quantity};

/// One treatment, from proposal to after-care. A part not reached yet stays blank.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Treatment {
    /// Stable identifier.
    pub id: Option<String>,
    /// What is put to the owner.
    pub proposal: Proposal,
    /// Who agreed to it.
    pub consent: Consent,
    /// Who took the agreement back. What was agreed to stays sealed.
    pub withdrawal: ConsentWithdrawal,
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

/// What is put to the owner before anything is done. Once consented to it never changes: a change is a new version.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Proposal {
    /// A short name for the treatment.
    pub title: Option<String>,
    /// Identifier of the treatment of which this is a new version.
    pub follows: Option<String>,
    /// Who proposes it.
    pub proposed_by: Option<String>,
    /// On which day.
    pub proposed_on: Option<Date>,
    /// The present condition that it answers to.
    pub present_condition: Option<String>,
    /// What it is to achieve.
    pub aims: Option<String>,
    /// What else could be done, and why it was or was not chosen.
    pub options: Vec<OptionConsidered>,
    /// Trials made before, with their results.
    pub tests: Vec<TrialBefore>,
    /// What is to be done, in a paragraph.
    pub proposal: Option<String>,
    /// The same step by step, where it needs steps.
    pub planned: Vec<PlannedStep>,
    /// What is to be used.
    pub proposed_materials: Vec<ProposedMaterial>,
    /// What is left alone on purpose.
    pub not_to_be_done: Option<String>,
    /// What could go wrong.
    pub risks: Option<String>,
    /// How long it is thought to take.
    pub hours_expected: Option<Quantity>,
}

/// An agreement to a proposal. It stands once it says who and when; from then on proposal and consent are sealed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Consent {
    /// Who consented.
    pub consent_by: Option<String>,
    /// On which day.
    pub consent_on: Option<Date>,
    /// What they were shown.
    pub consent_shown: Option<String>,
    /// On what conditions.
    pub consent_conditions: Option<String>,
}

/// An agreement taken back: by whom, when and why. It says all three or nothing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ConsentWithdrawal {
    /// Who took it back.
    pub consent_withdrawn_by: Option<String>,
    /// On which day.
    pub consent_withdrawn_on: Option<Date>,
    /// Why.
    pub consent_withdrawn_why: Option<String>,
}

impl Treatment {
    /// Whether the consent was taken back.
    pub fn is_withdrawn(&self) -> bool {
        self.withdrawal != ConsentWithdrawal::default()
    }

    /// What speaks against the withdrawal of the consent as it is written, if anything does.
    ///
    /// # Errors
    /// What is missing or cannot be.
    pub fn check_withdrawal(&self) -> Result<(), String> {
        let w = &self.withdrawal;
        if !self.is_withdrawn() {
            return Ok(());
        }
        if !self.is_consented() {
            return Err("there is no consent that could be withdrawn; leave `consent_withdrawn_...` blank".into());
        }
        if w.consent_withdrawn_by.is_none() || w.consent_withdrawn_on.is_none() || w.consent_withdrawn_why.is_none() {
            return Err("a consent is withdrawn by somebody, on a day, for a reason: fill in `consent_withdrawn_by`, \
                        `consent_withdrawn_on` and `consent_withdrawn_why`"
                .into());
        }
        if w.consent_withdrawn_on < self.consent.consent_on {
            return Err("`consent_withdrawn_on` lies before `consent_on`".into());
        }
        Ok(())
    }

    /// Whether a consent was given: it says who and when.
    pub fn is_consented(&self) -> bool {
        self.consent.consent_by.is_some() && self.consent.consent_on.is_some()
    }

    /// Whether anything is recorded of its being done.
    pub fn is_begun(&self) -> bool {
        !self.steps.is_empty() || !self.materials.is_empty() || self.result.is_some() || self.departures.is_some()
    }

    /// The treatment of a piece with this identifier.
    pub fn by_id<'a>(list: &'a [Self], id: Option<&String>) -> Option<&'a Self> {
        id.and_then(|id| list.iter().find(|t| t.id.as_ref() == Some(id)))
    }

    /// The versions before this one, latest first. A circle, which no sheet can make, ends the list.
    pub fn before<'a>(&'a self, list: &'a [Self]) -> Vec<&'a Self> {
        let mut found: Vec<&Self> = Vec::new();
        let mut at = self;
        while let Some(earlier) = Self::by_id(list, at.proposal.follows.as_ref()) {
            if std::ptr::eq(earlier, self) || found.iter().any(|f| std::ptr::eq(*f, earlier)) {
                break;
            }
            found.push(earlier);
            at = earlier;
        }
        found
    }
}

impl Record for Treatment {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        self.proposal.fields(form);
        self.consent.fields(form);
        self.withdrawal.fields(form);
        form.rows(field("steps", "what was done, in order"), &mut self.steps);
        form.rows(field("materials", "what was used, with supplier and lot"), &mut self.materials);
        form.text(field("departures", "how it departed from the proposal, and why"), &mut self.departures);
        form.text(field("result", "how it turned out"), &mut self.result);
        form.text(field("after_care", "what to look out for later"), &mut self.after_care);
    }
}

impl Record for Proposal {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(needed("title", "a short name for it"), &mut self.title);
        form.earlier(
            field("follows", "for a new version: title or id of the treatment that it replaces"),
            Earlier::Treatment,
            &mut self.follows,
        );
        form.person(field("proposed_by", "who proposes it"), &mut self.proposed_by);
        form.day(field("proposed_on", "2024-03-12"), &mut self.proposed_on);
        form.text(field("present_condition", "the present condition that it answers to"), &mut self.present_condition);
        form.text(field("aims", "what it is to achieve"), &mut self.aims);
        form.rows(
            field("options", "what could be done, nothing included, and why it was chosen or not"),
            &mut self.options,
        );
        form.rows(field("tests", "tests made before: wash-fastness, pH ... with their results"), &mut self.tests);
        form.text(field("proposal", "what is to be done"), &mut self.proposal);
        form.rows(field("planned", "the same step by step"), &mut self.planned);
        form.rows(field("proposed_materials", "what is to be used"), &mut self.proposed_materials);
        form.text(field("not_to_be_done", "what is left alone on purpose"), &mut self.not_to_be_done);
        form.text(field("risks", "what could go wrong"), &mut self.risks);
        form.quantity(field("hours_expected", "4 h"), Kind::Duration, &mut self.hours_expected);
    }
}

impl Record for Consent {
    fn fields(&mut self, form: &mut dyn Form) {
        form.person(field("consent_by", "who agreed; with the day this seals all above"), &mut self.consent_by);
        form.day(field("consent_on", "when they agreed"), &mut self.consent_on);
        form.text(field("consent_shown", "what they were shown"), &mut self.consent_shown);
        form.text(field("consent_conditions", "on what conditions"), &mut self.consent_conditions);
    }
}

impl Record for ConsentWithdrawal {
    fn fields(&mut self, form: &mut dyn Form) {
        form.person(
            field("consent_withdrawn_by", "who took the consent back; what was agreed to stays sealed"),
            &mut self.consent_withdrawn_by,
        );
        form.day(field("consent_withdrawn_on", "when"), &mut self.consent_withdrawn_on);
        form.text(field("consent_withdrawn_why", "why"), &mut self.consent_withdrawn_why);
    }
}

/// A course that was thought of.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OptionConsidered {
    /// What could be done.
    pub option: Option<String>,
    /// Whether it is the one proposed.
    pub taken: Option<String>,
    /// Why, or why not.
    pub reason: Option<String>,
}

impl Record for OptionConsidered {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(needed("option", "what could be done"), &mut self.option);
        form.choice(field("taken", "yes, no, in part"), &["yes", "no", "in part"], &mut self.taken);
        form.text(field("reason", "why, or why not"), &mut self.reason);
    }
}

/// A test made before treatment.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TrialBefore {
    /// What was tested: wash-fastness, pH, solubility ...
    pub test: Option<String>,
    /// On what spot or material.
    pub place: Option<String>,
    /// By whom.
    pub by: Option<String>,
    /// On which day.
    pub date: Option<Date>,
    /// How: liquid, temperature, time, instrument, standard.
    pub method: Option<String>,
    /// What was seen or read.
    pub result: Option<String>,
    /// What follows from it for the choice of treatment.
    pub meaning: Option<String>,
}

impl Record for TrialBefore {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(needed("test", "wash-fastness, pH, solubility ..."), &mut self.test);
        form.text(field("place", "on what spot or material"), &mut self.place);
        form.person(field("by", "by whom"), &mut self.by);
        form.day(field("date", "2024-03-12"), &mut self.date);
        form.text(field("method", "how: liquid, temperature, time, instrument, standard"), &mut self.method);
        form.text(field("result", "what was seen or read"), &mut self.result);
        form.text(field("meaning", "what follows from it for the choice"), &mut self.meaning);
    }
}

/// A step that is proposed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PlannedStep {
    /// What is to be done.
    pub step: Option<String>,
    /// On which component.
    pub component: Option<String>,
    /// How long it is thought to take.
    pub hours: Option<Quantity>,
}

impl Record for PlannedStep {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(needed("step", "what is to be done"), &mut self.step);
        form.component(field("component", "on which component"), &mut self.component);
        form.quantity(field("hours", "1 h 30 min"), Kind::Duration, &mut self.hours);
    }
}

/// A material that is proposed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ProposedMaterial {
    /// What it is.
    pub material: Option<String>,
    /// What for, and how it comes off again.
    pub purpose: Option<String>,
    /// Where it would come from.
    pub supplier: Option<String>,
    /// How much, or at what strength.
    pub amount: Option<String>,
}

impl Record for ProposedMaterial {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(needed("material", "what it is"), &mut self.material);
        form.text(field("purpose", "what for, and how it comes off again"), &mut self.purpose);
        form.text(field("supplier", "where it would come from"), &mut self.supplier);
        form.text(field("amount", "how much, or how strong"), &mut self.amount);
    }
}

/// One step that was done.
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

/// Fills what `incoming` leaves blank of proposal and consent with what `known` has there, lists included: a sheet that
/// adds to the record of a treatment need not repeat what was agreed.
pub fn keep_agreed(incoming: &mut Treatment, known: &Treatment) {
    fn list<T: Clone>(incoming: &mut Vec<T>, known: &[T]) {
        if incoming.is_empty() {
            incoming.extend_from_slice(known);
        }
    }
    super::blanks::fill_blanks(&mut incoming.proposal, &known.proposal);
    super::blanks::fill_blanks(&mut incoming.consent, &known.consent);
    super::blanks::fill_blanks(&mut incoming.withdrawal, &known.withdrawal);
    let (p, k) = (&mut incoming.proposal, &known.proposal);
    list(&mut p.options, &k.options);
    list(&mut p.tests, &k.tests);
    list(&mut p.planned, &k.planned);
    list(&mut p.proposed_materials, &k.proposed_materials);
    // The same words keep the figures that they were given then, whatever is made of them now.
    let hours = p.planned.iter_mut().zip(&k.planned).map(|(p, k)| (&mut p.hours, &k.hours));
    for (now, then) in hours.chain([(&mut p.hours_expected, &k.hours_expected)]) {
        if let (Some(now), Some(then)) = (now, then)
            && now.as_written == then.as_written
        {
            now.clone_from(then);
        }
    }
}
