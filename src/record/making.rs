//! What a reconstruction follows, where its maker chose to depart, and what the work took.

use jiff::civil::Date;

use super::form::{Form, Record, field, needed};
use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId};

/// What a piece is made after: a piece of this catalogue, or a source outside it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MadeAfter {
    /// Stable identifier.
    pub id: Option<String>,
    /// Accession number of the model, a piece in this catalogue.
    pub model: Option<String>,
    /// A published pattern, portrait or other source outside it.
    pub source: Option<String>,
    /// Scale of the source, `1:8` for a pattern drawn at an eighth.
    pub scale: Option<Quantity>,
    /// Anything else.
    pub note: Option<String>,
}

/// How the words end that stand for a model that was purged; before them stands its number.
const PURGED: &str = ", purged from this catalogue";

impl MadeAfter {
    /// The words that stand for a model that was purged.
    pub fn purged(number: &str) -> String {
        format!("{number}{PURGED}")
    }

    /// Whether words stand for a model that was purged, and so name another piece by its number.
    pub fn names_purged(words: &str) -> bool {
        words.ends_with(PURGED)
    }
}

impl Record for MadeAfter {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.piece(field("model", "accession number of a piece in this catalogue"), &mut self.model);
        form.text(field("source", "or a source outside it: book and plate, portrait"), &mut self.source);
        form.quantity(field("scale", "1:1, or 1:8 for a drawing at an eighth"), Kind::Scale, &mut self.scale);
        form.text(field("note", "anything else"), &mut self.note);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if self.model.is_none() && self.source.is_none() {
            say("model", "say what it is made after: a `model` in this catalogue or a `source` outside it".into());
        }
    }
}

/// A difference that a maker chose, with the reason.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Departure {
    /// Stable identifier.
    pub id: Option<String>,
    /// What differs: the dimension, the textile's role, the purpose of the stitching, as the records name it.
    pub feature: Option<String>,
    /// On which component.
    pub component: Option<String>,
    /// How it is on the model.
    pub was: Option<String>,
    /// How it is here.
    pub now: Option<String>,
    /// Why, from the list.
    pub reason: Option<TermId>,
    /// Why, in the maker's words.
    pub note: Option<String>,
    /// What was learned by it, for next time.
    pub learned: Option<String>,
}

impl Record for Departure {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.text(
            needed("feature", "what differs: a dimension, a role of textile, a purpose of stitching"),
            &mut self.feature,
        );
        form.component(field("component", "on which component"), &mut self.component);
        form.text(field("was", "how it is on the model"), &mut self.was);
        form.text(field("now", "how it is here"), &mut self.now);
        form.term(
            needed("reason", "fit, cost, supply, time, law or safety, taste, mistake"),
            Scheme::DepartureReason,
            &mut self.reason,
        );
        form.text(field("note", "in your own words"), &mut self.note);
        form.text(field("learned", "what you would do next time, and why"), &mut self.learned);
    }
}

/// One line of a maker's work log.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Work {
    /// Stable identifier.
    pub id: Option<String>,
    /// On which day.
    pub date: Option<Date>,
    /// What was done.
    pub task: Option<String>,
    /// On which component.
    pub component: Option<String>,
    /// How long it took.
    pub hours: Option<Quantity>,
    /// Which seam or line was sewn, by its purpose; with the component it finds the stitching that is recorded.
    pub purpose: Option<TermId>,
    /// With which stitch, where the stitching does not say it.
    pub stitch: Option<TermId>,
    /// What length was sewn, where it was not the whole line.
    pub sewn: Option<Quantity>,
    /// How many stitches were made, where they were counted.
    pub stitches: Option<Quantity>,
    /// Whether the line was begun or finished; blank is finished, or as far as `sewn` goes.
    pub done: Option<String>,
    /// What it cost, with its currency.
    pub cost: Option<String>,
    /// Anything else.
    pub note: Option<String>,
}

/// How far a line of stitches was brought in a line of the work log.
pub const DONE: &[&str] = &["begun", "finished"];

impl Record for Work {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.day(needed("date", "2024-03-12"), &mut self.date);
        form.text(needed("task", "what was done"), &mut self.task);
        form.component(field("component", "on which component"), &mut self.component);
        form.quantity(field("hours", "2 h 30 min"), Kind::Duration, &mut self.hours);
        form.term(
            field("purpose", "which seam was sewn: side seam, hem; your pace is worked out from it"),
            Scheme::Purpose,
            &mut self.purpose,
        );
        form.term(
            field("stitch", "with which stitch, if the stitching does not say"),
            Scheme::Stitch,
            &mut self.stitch,
        );
        form.quantity(field("sewn", "what length, if not the whole line"), Kind::Length, &mut self.sewn);
        form.quantity(field("stitches", "how many, if you counted"), Kind::Count, &mut self.stitches);
        form.choice(field("done", "begun or finished; blank: finished, or as far as sewn"), DONE, &mut self.done);
        form.text(field("cost", "with its currency"), &mut self.cost);
        form.text(field("note", "anything else"), &mut self.note);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        let none = |q: &Option<Quantity>| q.as_ref().is_some_and(|q| q.value <= 0.0);
        if none(&self.sewn) {
            say("sewn", "a length that was sewn is greater than zero".into());
        }
        if none(&self.stitches) {
            say("stitches", "a count of stitches is greater than zero".into());
        }
        if self.stitches.is_some() && self.stitch.is_none() && self.purpose.is_none() {
            say("stitches", "say which stitch they are: `stitch`, or the `purpose` of a line that is recorded".into());
        }
        if self.purpose.is_none() && (self.sewn.is_some() || self.done.is_some()) {
            say("purpose", "say which line of stitches it is: `purpose`".into());
        }
    }
}
