//! What goes without saying of an old list: all of it is reported, none of it certain.

use crate::record::Observed;
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::textile::{Fibre, Textile};
use crate::vocabulary::{Scheme, TermId};

/// A textile in a line.
pub(super) fn textile_in_words(textile: &Observed<Textile>) -> String {
    let name = |t: &Option<TermId>| t.as_ref().map_or("", TermId::name).to_owned();
    let fibre = |f: &Fibre| {
        let share = f.percent.as_ref().map(|p| format!(" {}", p.as_written)).unwrap_or_default();
        format!("{}{share} ({})", name(&f.fibre), name(&f.certainty))
    };
    let mut parts: Vec<String> = textile.what.fibres.iter().map(fibre).collect();
    parts.extend(textile.what.structure.iter().chain(&textile.what.finish).map(|t| t.name().to_owned()));
    if parts.is_empty() {
        parts.push("in words alone".into());
    }
    let part = textile.component.as_ref().map(|c| format!("{c}, ")).unwrap_or_default();
    format!("{part}{}: {}", name(&textile.what.role), parts.join(", "))
}

/// Marks observations as told by somebody: reported, and never certain.
#[derive(Debug, Default)]
pub(super) struct Reported {
    hazard: bool,
    depth: usize,
}

impl Form for Reported {
    fn id(&mut self, _: &mut Option<String>) {}
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        if self.depth != 1 {
            return;
        }
        match field.name {
            "evidence" if value.is_none() => *value = Some(TermId::new(scheme, "reported")),
            "certainty" if value.is_none() => {
                *value = Some(TermId::new(scheme, if self.hazard { "possible" } else { "probable" }));
            }
            _ => {}
        }
    }
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        if self.depth > 0 {
            return;
        }
        self.hazard = field.name == "hazard";
        self.depth = 1;
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
        self.depth = 0;
    }
}

/// The components that observations name.
#[derive(Debug, Default)]
pub(super) struct Named(pub Vec<String>);

impl Form for Named {
    fn id(&mut self, _: &mut Option<String>) {}
    fn component(&mut self, _: Field, value: &mut Option<String>) {
        self.0.extend(value.clone());
    }
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
    }
}
