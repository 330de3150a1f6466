//! Where the piece was shown and by how much light; and where its keeper decides otherwise than the program advises.

use jiff::civil::Date;

use super::form::{Form, Record, field, needed};
use crate::measure::{Kind, Quantity};

/// A time on display, here or on loan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Display {
    /// Stable identifier.
    pub id: Option<String>,
    /// Where.
    pub place: Option<String>,
    /// First day.
    pub from: Option<Date>,
    /// Last day; blank while it is still there.
    pub to: Option<Date>,
    /// Light on the piece.
    pub light: Option<Quantity>,
    /// Hours of light a day, the mean over all days.
    pub hours: Option<Quantity>,
    /// Ultraviolet in that light.
    pub uv: Option<Quantity>,
    /// Anything else.
    pub note: Option<String>,
}

impl Record for Display {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.text(needed("place", "where: case and room, or who has it on loan"), &mut self.place);
        form.day(needed("from", "first day, 2024-03-12; a planned one too"), &mut self.from);
        form.day(field("to", "last day; blank while it is there"), &mut self.to);
        form.quantity(
            field("light", "on the piece, as measured: 50 lx, 48 ± 5 lx"),
            Kind::Illuminance,
            &mut self.light,
        );
        form.quantity(
            field("hours", "of light a day, the mean over all days of the week: 8 h"),
            Kind::Duration,
            &mut self.hours,
        );
        form.quantity(field("uv", "ultraviolet in that light: 10 µW/lm"), Kind::Ultraviolet, &mut self.uv);
        form.text(field("note", "anything else"), &mut self.note);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if self.from.zip(self.to).is_some_and(|(from, to)| to < from) {
            say("to", "the last day is before the first".into());
        }
        if self.hours.as_ref().is_some_and(|h| h.value > 24.0) {
            say("hours", "a day has 24 hours; write the hours of light of one day".into());
        }
    }
}

/// What the program advises on, a line or more each.
pub const TOPICS: &[&str] =
    &["storage", "padding", "handling", "light", "ultraviolet", "air", "box", "mannequin", "display"];

/// What is done instead of what the program advises.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Overrule {
    /// Stable identifier.
    pub id: Option<String>,
    /// Which advice: one of [`TOPICS`].
    pub topic: Option<String>,
    /// What is done instead.
    pub instead: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Who decided it.
    pub by: Option<String>,
    /// On which day.
    pub date: Option<Date>,
}

impl Record for Overrule {
    fn fields(&mut self, form: &mut dyn Form) {
        form.id(&mut self.id);
        form.choice(
            needed("topic", "storage, padding, handling, light, ultraviolet, air, box, mannequin, display"),
            TOPICS,
            &mut self.topic,
        );
        form.text(
            needed("instead", "what is done instead; for light begin with high, medium or low for other figures"),
            &mut self.instead,
        );
        form.text(needed("reason", "why"), &mut self.reason);
        form.person(field("by", "who decided it"), &mut self.by);
        form.day(field("date", "when, 2024-03-12"), &mut self.date);
    }
}
