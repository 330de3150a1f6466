//! Every field of the record holds words, a length or a day of its own: those that the list of what was left out names are in no
//! byte of any export for the public, and those that it does not name are the few that are listed here.

use std::collections::BTreeMap;

use dimity::catalogue::{Catalogue, Intent};
use dimity::dating::Dated;
use dimity::measure::{Kind, Quantity};
use dimity::record::form::{Field, Form, Leaf, Record, Rows};
use jiff::civil::{Date, date};
use memchr::memmem;

use crate::support::{AUTHOR, Room, clock};
use crate::{FORMATS, export, files_below, random, text_of};

/// What may be published, by the name of the section in a sheet. A field is public only if it stands here as well as in the program.
const OPEN: &[(&str, &str)] = &[
    (
        "piece",
        "object_name title maker place culture date description inscriptions credit_line rights rights_holder keywords",
    ),
    ("made_after", "source scale"),
    ("departure", "feature was now reason"),
    ("examination", "date light magnification"),
    ("textile", "name ends picks mass selvedge loom_width colour dye"),
    ("textile.fibres", "percent method diameter"),
    ("textile.warp", "twist angle turns diameter number crimp"),
    ("textile.weft", "twist angle turns diameter number crimp"),
    ("textile.colours", "place instrument"),
    ("measurement", "readings instrument resolution error_limit"),
    ("stitching", "thread density length allowance seam"),
    ("fastening", "material size spacing worked"),
    ("stiffening", "width thickness length channel"),
    ("trimming", "material width length placing"),
    ("step", "done"),
    ("sign", "seen"),
];

/// What stays at home unless it is asked for by name, with a field of each kind.
const KINDS: &[(&str, &str)] = &[
    ("values", "work.cost"),
    ("location", "move.to"),
    ("location", "housing.description"),
    ("location", "display.place"),
    ("location", "examination.place"),
    ("people", "person.person"),
    ("people", "examination.examiner"),
    ("provenance", "event.person"),
    ("provenance", "event.source"),
    ("distinguishing", "piece.distinguishing_features"),
    ("condition", "condition.place"),
    ("condition", "hazard.basis"),
    ("treatment", "treatment.proposal"),
    ("treatment", "treatment.materials.supplier"),
    ("consent", "treatment.consent_by"),
    ("work-log", "work.task"),
    ("notes", "measurement.interpretation"),
    ("notes", "examination.note"),
    ("notes", "examination.reason"),
    ("notes", "departure.learned"),
    ("notes", "event.note"),
];

/// Writes into each field something that stands in no other: `Qpiece.titleQ`.
#[derive(Default)]
struct Marks {
    path: Vec<&'static str>,
    /// By field, the ways in which an export might write what stands there; empty where it has no words of its own.
    made: BTreeMap<String, Vec<String>>,
    days: BTreeMap<String, Date>,
}

impl Marks {
    fn name(&self, field: Field) -> String {
        format!("{}.{}", self.path.join("."), field.name)
    }

    fn mark(&mut self, field: Field) -> String {
        let name = self.name(field);
        let mark = format!("Q{name}Q");
        self.made.insert(name, vec![mark.clone()]);
        mark
    }
}

impl Form for Marks {
    fn leaf(&mut self, field: Field, value: &mut dyn Leaf) {
        if !value.is_blank() {
            let name = self.name(field);
            self.made.entry(name).or_default();
        }
    }
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        let tied = matches!(self.name(field).as_str(), "piece.number" | "component.name");
        if value.is_some() && !tied {
            *value = Some(self.mark(field));
        }
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        if !value.is_empty() {
            *value = vec![self.mark(field)];
        }
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.text(field, value);
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        if let Some(value) = value {
            value.as_written = self.mark(field);
        }
    }
    fn quantities(&mut self, field: Field, _: Kind, values: &mut Vec<Quantity>) {
        if let Some(value) = values.first_mut() {
            value.as_written = self.mark(field);
        }
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        if let Some(value) = value {
            value.as_written = self.mark(field);
        }
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        if value.is_some() {
            let name = self.name(field);
            let day = self.days.get(&name).copied().unwrap_or(date(3000 + self.days.len() as i16, 2, 3));
            self.days.insert(name.clone(), day);
            self.made.insert(name, vec![day.to_string(), day.strftime("%-d %B %Y").to_string()]);
            *value = Some(day);
        }
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        self.path.push(field.name);
        row.fields(self);
        self.path.pop();
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        self.path.push(field.name);
        for at in 0..rows.count() {
            rows.at(at).fields(self);
        }
        self.path.pop();
    }
}

/// Pieces in which, together, every field is filled in and marked.
fn marked(room: &Room) -> Marks {
    let mut catalogue = Catalogue::open(&room.collection(), clock()).expect("opens");
    let mut marks = Marks::default();
    for start in 0..12 {
        let mut file = random::file(start, 100, &["2031.1"], false);
        file.piece.number = Some(format!("2031.{}", start + 1));
        file.sections(Some(0), &mut marks);
        let intent = Intent { author: AUTHOR.into(), reason: Some("to be found".into()), ..Intent::default() };
        catalogue.enter(&file, &intent).expect("entered");
        let photograph = room.photograph(&format!("{start}.png"), start as u8);
        room.run(&["photo", "add", file.number(), &photograph]).done();
    }
    marks
}

/// Nothing that the list beside an export names is in any byte of it. The list comes back.
fn held_to_its_list(room: &Room, marks: &Marks, format: &str, with: &[&str]) -> String {
    let (folder, _) = export(room, format, &format!("out/{format}"), with);
    let list = text_of(&room.path().join(format!("out/{format}-left-out.txt")));
    for file in files_below(&folder) {
        let bytes = std::fs::read(&file).expect("reads").to_ascii_lowercase();
        let found = |words: &&String| memmem::find(&bytes, words.to_ascii_lowercase().as_bytes()).is_some();
        let kept = marks.made.iter().filter(|(name, _)| names(&list, name)).flat_map(|(_, ways)| ways);
        let left: Vec<_> = kept.filter(found).collect();
        assert!(left.is_empty(), "{with:?}: {} holds {left:?}, said to be left out", file.display());
    }
    let told = files_below(&folder).iter().any(|file| text_of(file).contains("Qpiece.descriptionQ"));
    assert!(told, "{format}: what is public must be found by the same search");
    list
}

fn names(list: &str, field: &str) -> bool {
    list.contains(&format!("\n  {field} "))
}

#[test]
fn what_the_list_names_is_in_no_byte_and_what_it_does_not_name_may_be_published() {
    let room = Room::new();
    let marks = marked(&room);
    assert!(marks.made.len() > 180, "only {} fields", marks.made.len());
    let open = |name: &str| {
        let (at, field) = name.rsplit_once('.').expect("a section and a field");
        OPEN.iter().any(|(open, fields)| *open == at && fields.split_whitespace().any(|of| of == field))
    };
    for format in FORMATS {
        let list = held_to_its_list(&room, &marks, format, &[]);
        let worded = marks.made.iter().filter(|(_, ways)| !ways.is_empty()).map(|(name, _)| name);
        let unasked: Vec<_> = worded.filter(|name| !names(&list, name) && !open(name)).collect();
        assert!(unasked.is_empty(), "{format} publishes {unasked:?}");
        for (kind, field) in KINDS {
            let mut of_kind = list.split("\n\n").filter(|part| part.starts_with(&format!("{kind} ")));
            assert!(of_kind.any(|part| names(part, field)), "{format}: no {field} among {kind} in\n{list}");
        }
    }
}

/// What is included brings nothing else with it: the list tells what then stays, and that is in no byte either.
#[test]
fn a_kind_that_is_included_brings_no_other_with_it() {
    let room = Room::new();
    let marks = marked(&room);
    for (included, _) in dimity::exchange::out::discretion::Kind::CAN_BE_INCLUDED {
        let included = included.word();
        let lists = ["site", "lido"].map(|format| held_to_its_list(&room, &marks, format, &["--with", included]));
        for (kind, field) in KINDS {
            let stays = lists.iter().all(|list| names(list, field));
            let name =
                matches!(*field, "person.person" | "examination.examiner" | "event.person" | "treatment.consent_by");
            assert!(
                stays == (*kind != included || name && included != "people"),
                "with {included}: {field} stays: {stays}"
            );
        }
    }
}
