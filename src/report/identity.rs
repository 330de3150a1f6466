//! What a piece is, where it lies and how it came here, as both reports print it.

use serde::Serialize;

use super::words::{Facts, bracketed, capital, dated, day, joined, term, text};
use crate::record::PieceFile;
use crate::record::piece::{Event, Housing, Role};
use crate::vocabulary::Vocabulary;

/// The head of a page and the facts that identify the piece.
#[derive(Debug, Serialize)]
pub(super) struct Identity {
    /// Accession number, or `no number`.
    pub number: String,
    /// Title, or what the piece is.
    pub heading: String,
    /// What and when, in one line.
    pub line: String,
    pub facts: Facts,
    /// Inscriptions, each as it stands.
    pub inscriptions: Vec<String>,
    /// Parts, in the order of the record.
    pub parts: String,
}

impl Identity {
    pub fn of(file: &PieceFile, vocabulary: &Vocabulary) -> Self {
        let p = &file.piece;
        let name = name(file);
        let title = text(p.title.as_ref());
        let (heading, line) = head(file);
        let garment =
            if p.garment.as_ref().is_some_and(|g| g.name() == name) { String::new() } else { term(p.garment.as_ref()) };
        let garment_missing = p.garment.is_none();
        let mut facts =
            Facts::default().say("Number", file.number()).say("Nature", term(p.nature.as_ref())).say("Object", name);
        facts =
            if garment_missing { facts.say("Kind of garment", "") } else { facts.may_say("Kind of garment", garment) };
        let facts = facts
            .may_say("Title", title)
            .say("Date", dated(p.date.as_ref()))
            .say("Maker", text(p.maker.as_ref()))
            .say("Place", text(p.place.as_ref()))
            .say("Culture", text(p.culture.as_ref()))
            .say("Features", text(p.distinguishing_features.as_ref()))
            .say("Credit", text(p.credit_line.as_ref()))
            .say("Rights", p.rights().without_credit(vocabulary))
            .say("Lies in", location(file))
            .say("Housing", file.housings.last().map(housing).unwrap_or_default())
            .say("Owner", owner(file));
        let number = if file.number().is_empty() { "no number".to_owned() } else { file.number().to_owned() };
        let inscriptions = p.inscriptions.iter().map(|i| i.trim().to_owned()).filter(|i| !i.is_empty()).collect();
        Self { number, heading, line, facts, inscriptions, parts: parts(file) }
    }
}

/// What the piece is, in a word or two.
fn name(file: &PieceFile) -> String {
    let p = &file.piece;
    if p.object_name.is_some() { text(p.object_name.as_ref()) } else { term(p.garment.as_ref()) }
}

/// Title, or what the piece is; and below it what, where and when in one line.
pub(super) fn head(file: &PieceFile) -> (String, String) {
    let p = &file.piece;
    let (name, title) = (name(file), text(p.title.as_ref()));
    let heading = [title, capital(&name)].into_iter().find(|t| !t.is_empty());
    let heading = heading.unwrap_or_else(|| "Piece without a name".to_owned());
    let written = p.date.as_ref().map(|d| d.as_written.clone()).unwrap_or_default();
    let name = if name.eq_ignore_ascii_case(&heading) { String::new() } else { name };
    let line = joined([name, text(p.place.as_ref()), written], ", ");
    (heading, line)
}

/// The parts with their counts: `left front, right front, sleeve linings (2)`.
pub(super) fn parts(file: &PieceFile) -> String {
    let part = |c: &crate::record::piece::Component| {
        let count = c.count.filter(|n| *n != 1).map(|n| n.to_string()).unwrap_or_default();
        bracketed(&text(c.name.as_ref()), &count)
    };
    joined(file.components.iter().map(part), ", ")
}

/// The place of the latest move, and since when.
pub(super) fn location(file: &PieceFile) -> String {
    let Some(last) = file.moves.last() else { return String::new() };
    let since = last.date.map(|d| format!("since {}", day(Some(d)))).unwrap_or_default();
    bracketed(&text(last.to.as_ref()), &since)
}

/// What holds the piece now.
pub(super) fn packed_in(file: &PieceFile) -> String {
    file.housings.last().map(housing).unwrap_or_default()
}

fn housing(h: &Housing) -> String {
    let sizes = [&h.length, &h.width, &h.height].into_iter().flatten().map(|q| q.as_written.clone());
    let inside = joined(sizes, " × ");
    let inside = if inside.is_empty() { inside } else { format!("inside {inside}") };
    let since = h.since.map(|d| format!("since {}", day(Some(d)))).unwrap_or_default();
    let description = text(h.description.as_ref()).trim_end_matches('.').to_owned();
    joined([term(h.storage.as_ref()), description, inside, since], "; ")
}

/// Who owns the piece, as far as the people in its story say so.
pub(super) fn owner(file: &PieceFile) -> String {
    let owners = file.people.iter().filter(|p| p.role.as_ref().is_some_and(|r| r.name() == "owner"));
    joined(owners.map(|p| text(p.person.as_ref())), ", ")
}

/// One line of provenance: what happened, when, with whom, where, and how it is known.
#[derive(Debug, Serialize)]
pub(super) struct Passage {
    pub what: String,
    pub rest: String,
    /// How it is known; blank is printed as not recorded.
    pub source: String,
    pub note: String,
}

/// The story of the piece, in the order of the record.
pub(super) fn provenance(events: &[Event]) -> Vec<Passage> {
    let passage = |e: &Event| Passage {
        what: capital(&term(e.event.as_ref())),
        rest: joined([dated(e.date.as_ref()), text(e.person.as_ref()), text(e.place.as_ref())], ", "),
        source: text(e.source.as_ref()),
        note: text(e.note.as_ref()),
    };
    events.iter().map(passage).collect()
}

/// The people in the story: `Name, role (note)`.
pub(super) fn people(list: &[Role]) -> Vec<String> {
    let one =
        |r: &Role| bracketed(&joined([text(r.person.as_ref()), term(r.role.as_ref())], ", "), &text(r.note.as_ref()));
    list.iter().map(one).filter(|t| !t.is_empty()).collect()
}
