//! How a piece is put together: stitches, fastenings, stiffening, trimmings, the order of work.

use super::examination::Observation;
use super::form::{Form, Record, field, needed};
use crate::measure::{Estimate, Kind, Quantity, combine};
use crate::vocabulary::{Scheme, TermId};

/// One observed line or area of stitches.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Stitching {
    /// What it is for.
    pub purpose: Option<TermId>,
    /// The stitch.
    pub stitch: Option<TermId>,
    /// The seam or edge finish.
    pub seam: Option<TermId>,
    /// By hand or machine.
    pub made: Option<String>,
    /// The thread.
    pub thread: Option<String>,
    /// Stitches per length, each reading.
    pub density: Vec<Quantity>,
    /// Length of the line.
    pub length: Option<Quantity>,
    /// Seam allowance.
    pub allowance: Option<Quantity>,
    /// Its place in the order of work.
    pub order_of_work: Option<i64>,
}

impl Stitching {
    /// Mean stitch density per centimetre with its uncertainty; none without a reading.
    pub fn estimate(&self) -> Option<Estimate> {
        combine(&self.density, None)
    }
}

impl Observation for Stitching {
    const TABLE: &'static str = "stitching";
}

impl Record for Stitching {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(
            needed("purpose", "what the line is for: side seam, hem, boning channel"),
            Scheme::Purpose,
            &mut self.purpose,
        );
        form.term(field("stitch", "backstitch, running stitch, lockstitch ..."), Scheme::Stitch, &mut self.stitch);
        form.term(field("seam", "seam or edge finish"), Scheme::Seam, &mut self.seam);
        form.choice(field("made", "by hand or by machine"), &["hand", "machine"], &mut self.made);
        form.text(field("thread", "fibre, colour, ply"), &mut self.thread);
        form.quantities(
            field("density", "each count: [\"9 in 1 in\", \"10 in 1 in\"]"),
            Kind::Density,
            &mut self.density,
        );
        form.quantity(field("length", "of the line"), Kind::Length, &mut self.length);
        form.quantity(field("allowance", "seam allowance"), Kind::Length, &mut self.allowance);
        form.integer(field("order_of_work", "its place in the order of work"), &mut self.order_of_work);
        let estimate = self.estimate();
        form.computed("per_cm", estimate.as_ref().map(|e| e.value));
        form.computed("u_per_cm", estimate.as_ref().map(|e| e.u));
    }
}

/// One kind of fastening.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Fastening {
    /// Button, hook and eye, lacing ...
    pub fastening: Option<TermId>,
    /// What it is made of.
    pub material: Option<String>,
    /// How many.
    pub count: Option<i64>,
    /// Size of one.
    pub size: Option<Quantity>,
    /// Distance from one to the next.
    pub spacing: Option<Quantity>,
    /// How it is attached or worked.
    pub worked: Option<String>,
}

impl Observation for Fastening {
    const TABLE: &'static str = "fastening";
}

impl Record for Fastening {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("fastening", "button, hook and eye, lacing, tie"), Scheme::Fastening, &mut self.fastening);
        form.text(field("material", "what it is made of"), &mut self.material);
        form.integer(field("count", "how many"), &mut self.count);
        form.quantity(field("size", "of one"), Kind::Length, &mut self.size);
        form.quantity(field("spacing", "from one to the next"), Kind::Length, &mut self.spacing);
        form.text(field("worked", "how it is attached or worked"), &mut self.worked);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        count_rule(self.count, say);
    }
}

/// One kind of stiffening.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Stiffening {
    /// Baleen, cane, steel ...
    pub stiffener: Option<TermId>,
    /// How many strips.
    pub count: Option<i64>,
    /// Width of one.
    pub width: Option<Quantity>,
    /// Thickness of one.
    pub thickness: Option<Quantity>,
    /// Length of one.
    pub length: Option<Quantity>,
    /// The channel that holds it.
    pub channel: Option<String>,
}

impl Observation for Stiffening {
    const TABLE: &'static str = "stiffening";
}

impl Record for Stiffening {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("stiffener", "baleen, cane, steel, buckram ..."), Scheme::Stiffener, &mut self.stiffener);
        form.integer(field("count", "how many strips"), &mut self.count);
        form.quantity(field("width", "of one"), Kind::Length, &mut self.width);
        form.quantity(field("thickness", "of one"), Kind::Length, &mut self.thickness);
        form.quantity(field("length", "of one"), Kind::Length, &mut self.length);
        form.text(field("channel", "how it is held"), &mut self.channel);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        count_rule(self.count, say);
    }
}

/// One trimming.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trimming {
    /// Lace, braid, ribbon ...
    pub trimming: Option<TermId>,
    /// What it is made of.
    pub material: Option<String>,
    /// Its width.
    pub width: Option<Quantity>,
    /// Its length.
    pub length: Option<Quantity>,
    /// Where and how it is set on.
    pub placing: Option<String>,
}

impl Observation for Trimming {
    const TABLE: &'static str = "trimming";
}

impl Record for Trimming {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("trimming", "lace, braid, ribbon, piping"), Scheme::Trimming, &mut self.trimming);
        form.text(field("material", "what it is made of"), &mut self.material);
        form.quantity(field("width", "across"), Kind::Length, &mut self.width);
        form.quantity(field("length", "along"), Kind::Length, &mut self.length);
        form.text(field("placing", "where and how it is set on"), &mut self.placing);
    }
}

/// One step of making, as it can be read from the piece.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Step {
    /// Its place in the order; blank means as listed.
    pub order_of_work: Option<i64>,
    /// What was done.
    pub done: Option<String>,
}

impl Observation for Step {
    const TABLE: &'static str = "step";
    const EVIDENCE: &'static str = "inferred";
}

impl Record for Step {
    fn fields(&mut self, form: &mut dyn Form) {
        form.integer(field("order_of_work", "1, 2, 3 ...; blank: as listed here"), &mut self.order_of_work);
        form.text(needed("done", "what was done"), &mut self.done);
    }
}

fn count_rule(count: Option<i64>, say: &mut dyn FnMut(&'static str, String)) {
    if count.is_some_and(|n| !(0..=1_000_000).contains(&n)) {
        say("count", "a count is between 0 and 1000000".into());
    }
}
