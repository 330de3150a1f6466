//! A row to its end: what goes without saying, what cannot stand, and the examination that the observations belong to.

use super::super::fill::{self, Place};
use super::super::reading::Doubt;
use super::super::reported::{Named, Reported};
use super::super::table::Cell;
use super::super::target::Target;
use super::{Draft, Filled, KEPT};
use crate::exchange::line::{Section, Slot, written};
use crate::record::condition::Overall;
use crate::record::form::{Field, Form, Record, Rows};
use crate::record::{Circumstances, Examination, Observed};
use crate::vocabulary::{Scheme, TermId};

impl Draft<'_, '_> {
    /// Fills in what goes without saying, and says how all of it is known.
    pub(in crate::exchange::import) fn finish(&mut self) {
        let mapping = self.reader.mapping;
        let (_, said) = written(&mut self.file.piece);
        for (target, value) in &mapping.fixed {
            // What a column says is not overwritten.
            let Target::Field { section, field } = target else { continue };
            if said.iter().any(|said| said.field == *field) {
                continue;
            }
            let place = Place { section, field, at: None, unit: None };
            let (_, outcome) = fill::fill(&mut self.file, place, &Cell::text(value.clone()), &self.reader.words);
            if outcome.read.is_none() {
                self.doubts.push(Doubt {
                    text: value.clone(),
                    why: format!("[fixed] {}: {}", target.word(), outcome.doubt.unwrap_or_default()),
                    mend: "correct [fixed] in the mapping".into(),
                    unread: true,
                    ..Doubt::default()
                });
            }
        }
        let piece = &mut self.file.piece;
        piece.nature.get_or_insert_with(|| TermId::new(Scheme::Nature, "extant"));
        if piece.object_name.is_none() {
            let garment = piece.garment.as_ref().map(|g| g.name().to_owned());
            let named = garment.or_else(|| piece.title.clone());
            if named.is_none() {
                self.doubts.push(Doubt {
                    why: "the row does not say what the piece is".into(),
                    mend: "take a column for `piece.object_name`, or correct the piece later".into(),
                    unread: true,
                    ..Doubt::default()
                });
            }
            self.file.piece.object_name = Some(named.unwrap_or_else(|| "not named in the list".into()));
        }
        self.whereabouts();
        self.take_back();
        self.sitting();
    }

    /// Takes records back that cannot stand as they are: a housing of which the list says no kind of storage. The words of
    /// their cells become notes.
    fn take_back(&mut self) {
        let mut standing = Standing { read: &self.filled, fallen: Vec::new() };
        self.file.sections(Some(0), &mut standing);
        for Fallen { section, at, why, mend } in standing.fallen {
            let all = std::mem::take(&mut self.filled).into_iter();
            let (cells, others): (Vec<_>, Vec<_>) = all.partition(|f| f.is_of(section, at));
            self.filled = others;
            for Filled { heading, text, .. } in cells {
                // Of a cell that holds several things, all is a note already.
                if !self.notes.iter().any(|there| there.starts_with(&format!("{heading}: "))) {
                    self.notes.push(format!("{heading}: {}", fill::clean(&text)));
                }
                self.taken_back.push(heading.clone());
                let why = format!("{why}; {KEPT}");
                self.doubts.push(Doubt { heading, text, why, mend: mend.clone(), unread: true });
            }
        }
    }

    /// Facts of a list that need what it does not say.
    fn whereabouts(&mut self) {
        // A person is kept with the part that they have, and an event with its kind.
        for role in &mut self.file.people {
            role.role.get_or_insert_with(|| TermId::new(Scheme::PersonRole, "informant"));
        }
        for event in &mut self.file.events {
            event.event.get_or_insert_with(|| TermId::new(Scheme::Event, "acquisition"));
            event.source.get_or_insert_with(|| format!("old list `{}`", self.reader.list.file));
        }
    }

    /// The examination that the observations of the list belong to.
    fn sitting(&mut self) {
        let (reader, mapping) = (self.reader, self.reader.mapping);
        let notes = std::mem::take(&mut self.notes);
        let exam = self.exam();
        if !notes.is_empty() {
            let before = exam.about.note.take().map(|n| format!("{n}\n")).unwrap_or_default();
            exam.about.note = Some(format!("{before}{}", notes.join("\n")));
        }
        let bare = Examination { about: Circumstances::default(), ..exam.clone() } == Examination::default();
        if bare && *exam == Examination::default() {
            self.file.examinations.clear();
            return;
        }
        if bare {
            // An examination in which nothing was observed would count as one; this one only tells.
            let mut overall = Observed::<Overall>::default();
            overall.what.grade = Some(TermId::new(Scheme::Grade, "not graded"));
            exam.overall.push(overall);
        }
        let about = &mut exam.about;
        about.date = about.date.or(mapping.examination.date).or(Some(reader.list.today));
        let examiner = about.examiner.take().or_else(|| mapping.examination.examiner.clone());
        about.examiner = Some(examiner.unwrap_or_else(|| reader.list.importer.to_owned()));
        about.reason.get_or_insert_with(|| format!("read from the old list `{}`", reader.list.file));
        about.not_examined.get_or_insert_with(|| "the piece itself: all of this is what the list says".into());
        let mut reported = Reported::default();
        exam.sections(&mut reported);
        let mut named = Named::default();
        exam.sections(&mut named);
        for name in named.0 {
            self.component(&name);
        }
        self.file.name_components(reader.words.vocabulary);
    }
}

/// Takes out the records that were read from fields and cannot stand: by what they need, and by their own rules.
struct Standing<'f> {
    read: &'f [Filled],
    fallen: Vec<Fallen>,
}

/// A record that was taken out.
struct Fallen {
    section: &'static str,
    at: usize,
    why: String,
    mend: String,
}

impl Form for Standing<'_> {
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, _: &mut dyn Record) {}
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let Some(Section { name: section, slots, .. }) = Section::named(field.name) else { return };
        for at in (0..rows.count()).rev().filter(|at| self.read.iter().any(|f| f.is_of(section, *at))) {
            let record = rows.at(at);
            let (_, written) = written(record);
            let lacks = |slot: &&Slot| slot.field.needed && !written.iter().any(|w| w.field == slot.field.name);
            let mut broken = None;
            record.rules(&mut |_, why| _ = broken.get_or_insert(why));
            let told = match (slots.iter().find(lacks), broken) {
                (Some(Slot { field, .. }), _) => Some((
                    format!(
                        "the row says nothing for `{section}.{}`, without which this cannot be recorded",
                        field.name
                    ),
                    format!("take a column for `{section}.{}` in the mapping, or say it with `with`", field.name),
                )),
                (None, Some(why)) => Some((why, "correct the mapping, or enter it by hand".into())),
                (None, None) => None,
            };
            if let Some((why, mend)) = told {
                self.fallen.push(Fallen { section, at, why, mend });
                rows.take_out(at);
            }
        }
    }
}
