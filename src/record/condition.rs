//! Wear and alteration as evidence; damage; the state of the whole; what could hurt someone.

use super::examination::Observation;
use super::form::{Earlier, Form, Record, field, needed};
use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId};

/// A sign of wear or alteration: evidence of the piece's life, never counted as damage.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sign {
    /// Which sign.
    pub sign: Option<TermId>,
    /// Where and what, in words.
    pub seen: Option<String>,
}

impl Observation for Sign {
    const TABLE: &'static str = "sign";
}

impl Record for Sign {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("sign", "let out, darn, needle holes, perspiration mark ..."), Scheme::Sign, &mut self.sign);
        form.text(field("seen", "where and what"), &mut self.seen);
    }
}

/// One observed damage.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Condition {
    /// Which damage.
    pub damage: Option<TermId>,
    /// Where on the component.
    pub place: Option<String>,
    /// How much: a count, length, area or share.
    pub extent: Option<Quantity>,
    /// How severe.
    pub severity: Option<TermId>,
    /// Still going on, or at rest.
    pub activity: Option<TermId>,
    /// Likely cause.
    pub cause: Option<TermId>,
    /// What has been done about it, where something has.
    pub treated: Option<String>,
    /// The earlier note that this one continues.
    pub continues: Option<String>,
}

impl Observation for Condition {
    const TABLE: &'static str = "condition";
}

impl Record for Condition {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("damage", "tear, tideline, fading ..."), Scheme::Damage, &mut self.damage);
        form.text(field("place", "where on the component"), &mut self.place);
        form.quantity(field("extent", "how much: 6, 12 mm, 4.1 cm2, 2 x 3 cm, 15 %"), Kind::Extent, &mut self.extent);
        form.term(field("severity", "slight, moderate, severe"), Scheme::Severity, &mut self.severity);
        form.term(field("activity", "active, inactive, not known"), Scheme::Activity, &mut self.activity);
        form.term(field("cause", "light, wear, insects, moisture ..."), Scheme::Cause, &mut self.cause);
        form.text(field("treated", "what has been done about it, if anything"), &mut self.treated);
        form.earlier(
            field("continues", "id of the earlier note, or \"last\" for the latest of this damage here"),
            Earlier::Note,
            &mut self.continues,
        );
    }
}

/// The state of the piece as a whole, with advice.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Overall {
    /// The grade; the report prints its definition.
    pub grade: Option<TermId>,
    /// Stable, at risk, in active change.
    pub stability: Option<TermId>,
    /// How soon something must be done.
    pub urgency: Option<TermId>,
    /// The state in words.
    pub statement: Option<String>,
    /// How to handle it.
    pub handling: Option<String>,
    /// How to store it.
    pub storage: Option<String>,
    /// How to light and display it.
    pub display: Option<String>,
}

impl Observation for Overall {
    const TABLE: &'static str = "overall";
}

impl Record for Overall {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("grade", "of the whole; the report prints its definition"), Scheme::Grade, &mut self.grade);
        form.term(field("stability", "stable, at risk, active change"), Scheme::Stability, &mut self.stability);
        form.term(field("urgency", "none, within five years, within a year, now"), Scheme::Urgency, &mut self.urgency);
        form.text(field("statement", "the state in words"), &mut self.statement);
        form.text(field("handling", "how to handle it"), &mut self.handling);
        form.text(field("storage", "how to store it"), &mut self.storage);
        form.text(field("display", "how to light and display it"), &mut self.display);
    }
}

/// Something that could hurt whoever handles the piece.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Hazard {
    /// Which hazard.
    pub hazard: Option<TermId>,
    /// Why it is suspected.
    pub basis: Option<String>,
    /// How, by whom and when it was tested; blank means not tested.
    pub tested: Option<String>,
    /// Anything to add to the usual cautions.
    pub caution: Option<String>,
}

impl Observation for Hazard {
    const TABLE: &'static str = "hazard";
    const EVIDENCE: &'static str = "inferred";
    /// What nobody has tested is possible, no more.
    fn certainty(&self) -> &'static str {
        let tested = self.tested.as_ref().is_some_and(|t| !t.trim().is_empty());
        if tested { "certain" } else { "possible" }
    }
}

impl Record for Hazard {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("hazard", "what it may hold"), Scheme::Hazard, &mut self.hazard);
        form.text(field("basis", "why it is suspected"), &mut self.basis);
        form.text(field("tested", "test, tester, date; blank if not tested"), &mut self.tested);
        form.text(field("caution", "beyond the usual cautions"), &mut self.caution);
    }
}
