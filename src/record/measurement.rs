//! One dimension, its readings and how it was taken.

use super::examination::Observation;
use super::form::{Form, Record, field, needed};
use crate::measure::{Estimate, Kind, Quantity, combine};
use crate::vocabulary::{Scheme, TermId};

/// One dimension of a component.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Measurement {
    /// Which dimension.
    pub dimension: Option<TermId>,
    /// Each reading, as read.
    pub readings: Vec<Quantity>,
    /// How it was taken.
    pub taken: Option<String>,
    /// With what.
    pub instrument: Option<String>,
    /// The smallest step that the instrument was read to.
    pub resolution: Option<Quantity>,
    /// How far the instrument itself may be out, either way: every reading with it shares that error.
    pub error_limit: Option<Quantity>,
    /// The dimension that this one makes up together with others of the same examination.
    pub adds_up_to: Option<TermId>,
    /// How many parts this one stands for in that sum, having been measured once; blank is one.
    pub times: Option<i64>,
}

/// Ways of taking a dimension.
pub const TAKEN: &[&str] =
    &["flat", "inside", "outside", "along the curve", "to the fastening", "edge to edge", "relaxed", "on the drawing"];

impl Measurement {
    /// Mean and combined uncertainty of the readings, in millimetres; none without a reading.
    pub fn estimate(&self) -> Option<Estimate> {
        let estimate = combine(&self.readings, self.resolution.as_ref())?;
        Some(match &self.error_limit {
            Some(limit) => estimate.with_error_limit(limit.value),
            None => estimate,
        })
    }
}

impl Observation for Measurement {
    const TABLE: &'static str = "measurement";
    const EVIDENCE: &'static str = "measured";
}

impl Record for Measurement {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("dimension", "which dimension"), Scheme::Dimension, &mut self.dimension);
        form.quantities(
            needed("readings", "each as read: [\"27 1/2 in\", \"27 5/8 in\"]"),
            Kind::Length,
            &mut self.readings,
        );
        form.choice(field("taken", "flat, inside, outside, along the curve, to the fastening"), TAKEN, &mut self.taken);
        form.text(field("instrument", "linen tape, steel rule"), &mut self.instrument);
        form.quantity(field("resolution", "the smallest step you read to: 1/8 in"), Kind::Length, &mut self.resolution);
        form.quantity(
            field("error_limit", "how far the instrument itself may be out: 1 mm"),
            Kind::Length,
            &mut self.error_limit,
        );
        form.term(
            field("adds_up_to", "the dimension that this one and others make together: hem girth"),
            Scheme::Dimension,
            &mut self.adds_up_to,
        );
        form.integer(field("times", "how many alike this one stands for in that sum"), &mut self.times);
        let estimate = self.estimate();
        form.computed("mm", estimate.as_ref().map(|e| e.value));
        form.computed("u_mm", estimate.as_ref().map(|e| e.u));
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if self.readings.iter().any(|q| q.value <= 0.0) {
            say("readings", "a dimension is greater than zero".into());
        }
        if self.times.is_some_and(|n| !(1..=1000).contains(&n)) {
            say("times", "a part stands for between 1 and 1000".into());
        }
        if self.times.is_some() && self.adds_up_to.is_none() {
            say(
                "times",
                "a part stands for several only in a sum; say in `adds_up_to` which dimension they make".into(),
            );
        }
        if self.adds_up_to.is_some() && self.adds_up_to == self.dimension {
            say("adds_up_to", "a dimension cannot be a part of itself".into());
        }
        if let Some(mean) = self.estimate().map(|e| e.value)
            && let Some(odd) = self.readings.iter().find(|q| q.value > 3.0 * mean || q.value < mean / 3.0)
        {
            say("readings", format!("`{}` lies far from the other readings; is its unit right?", odd.as_written));
        }
    }
}
