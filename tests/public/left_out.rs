//! Every field of the record holds words, a length or a day of its own: those that the list of what was left out names are in no
//! byte of any export for the public, and those that it does not name are the few that are listed here.

use std::collections::BTreeMap;

use dimity::catalogue::{Catalogue, Intent};
use dimity::dating::Dated;
use dimity::measure::{Kind, Quantity};
use dimity::record::form::{Field, Form, Leaf, Record, Rows};
use jiff::civil::{Date, date};
use memchr::memmem;

use crate::support::{AFTER, AUTHOR, Room, SPENCER, clock};
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

/// What must not be found: a word of the piece that stays at home.
const HIDDEN: &str = "Hester";

/// The spencer, and a gown that stays at home; one photograph shows both, with what is drawn of either. Another was taken for a
/// treatment of the gown and shows the spencer as well.
fn shared() -> Room {
    let gown = format!(
        "[piece]\nnumber = \"2031.2\"\nnature = \"extant\"\nobject_name = \"gown\"\ntitle = \"{HIDDEN}'s gown\"\n\
         [[component]]\nname = \"secret pocket of {HIDDEN}\"\n[[treatment]]\ntitle = \"Wash for {HIDDEN}\"\n\
         [examination]\ndate = 2031-03-02\nexaminer = \"Wren Askerdale\"\n\
         [[textile]]\nrole = \"lining\"\nname = \"{HIDDEN}'s silk\"\ncomponent = \"secret pocket of {HIDDEN}\"\n\
         [[measurement]]\ndimension = \"waist girth\"\nreadings = [\"27 in\"]\ncomponent = \"secret pocket of {HIDDEN}\"\n\
         [[stitching]]\npurpose = \"hem\"\nstitch = \"backstitch\"\ncomponent = \"secret pocket of {HIDDEN}\"\n\
         [[sign]]\nsign = \"darn\"\nseen = \"{HIDDEN}'s darn\"\ncomponent = \"secret pocket of {HIDDEN}\"\n\
         [[condition]]\ndamage = \"tear\"\ncomponent = \"secret pocket of {HIDDEN}\"\n"
    );
    let room = Room::with(&[SPENCER, &gown]);
    let (both, treated) = (room.photograph("both.png", 1), room.photograph("treated.png", 2));
    room.run(&["photo", "add", "2031.1", &both, "--view", "front", "--caption", "Two at once"]).done();
    room.run(&["photo", "add", "2031.2", &both, "--caption", &format!("{HIDDEN}'s gown beside it")]).done();
    room.run(&["photo", "add", "2031.1", &treated, "--caption", "In the bath"]).done();
    let wash = format!("Wash for {HIDDEN}");
    room.run(&["photo", "add", "2031.2", &treated, "--treatment", &wash, "--stage", "during"]).done();
    let of = |number: &str| room.run(&["show", number, "--json"]).json().remove(0);
    let (spencer, gown) = (of("2031.1"), of("2031.2"));
    let photo = spencer["photographs"][0]["sha256"].as_str().expect("a SHA-256").to_owned();
    let draw = |shape: &str, more: &[&str]| {
        room.run(&[&["photo", "region", &photo, shape][..], more].concat()).done();
    };
    room.run(&["photo", "scale", &photo, "--between", "1,1", "31,1", "--length", "10 cm"]).done();
    draw("outline 1,1 9,1 9,9", &["--outlines", &format!("secret pocket of {HIDDEN}")]);
    for kind in ["textile", "measurement", "stitching", "sign", "condition"] {
        let id = gown["examinations"][0][kind][0]["id"].as_str().expect("an id");
        draw("outline 2,2 8,2 8,8", &["--shows", id]);
    }
    draw("outline 11,1 19,1 19,9", &["--outlines", "left front"]);
    let own = spencer["examinations"][0]["measurement"][0]["id"].as_str().expect("an id");
    draw("line 11,1 11,20", &["--shows", own]);
    room
}

/// Whether any file below holds a word, however it is spelt.
fn told(folder: &std::path::Path, word: &str) -> bool {
    let word = word.to_ascii_lowercase();
    let holds = |file: &std::path::PathBuf| {
        let bytes = std::fs::read(file).expect("reads").to_ascii_lowercase();
        memmem::find(&bytes, word.as_bytes()).is_some()
    };
    files_below(folder).iter().any(holds)
}

#[test]
fn what_is_drawn_of_a_piece_that_stays_at_home_stays_with_it() {
    let room = shared();
    for format in FORMATS {
        let (folder, said) = export(&room, format, &format!("out/{format}"), &["2031.1"]);
        assert!(!told(&folder, HIDDEN), "{format} tells of the gown");
        assert!(!told(&folder, "2031.2"), "{format} names the gown");
        assert!(told(&folder, "Two at once") || format == "linked-art", "{format}: the photograph itself is published");
        let list = text_of(&room.path().join(format!("out/{format}-left-out.txt")));
        assert!(
            list.contains("\nother-pieces 6\n  photograph.region 6\n"),
            "{format} does not count what is drawn:\n{list}"
        );
        assert!(
            !told(&folder, "In the bath") && list.contains("\n  photograph 1\n"),
            "a treatment of the gown:\n{list}"
        );
        let look = "before you publish, ask whose rights these are: no statement of rights: 2031.1; and look at the photographs \
                    that show a piece outside the export as well, of: 2031.1";
        assert!(said.contains(look) && list.contains(look), "{format}: {said}\n{list}");
        assert!(!list.contains(HIDDEN), "{list}");
    }
    let drawn = |more: &[&str]| {
        let place = format!("out/{}", more.len());
        let iiif = export(&room, "iiif", &place, more).0;
        let manifest = text_of(&iiif.join("pieces/2031.1/manifest.json"));
        (manifest.matches("\"commenting\"").count(), text_of(&room.path().join(format!("{place}-left-out.txt"))))
    };
    let (alone, _) = drawn(&["2031.1"]);
    assert_eq!(alone, 2, "what is its own is drawn");
    // Asked for by name: its outline, and nothing that was observed on it.
    let (asked, list) = drawn(&["2031.1", "--with", "other-pieces,condition"]);
    assert!(asked == 3 && !list.contains("other-pieces") && list.contains("photograph.region 5"), "{asked}\n{list}");
    // Published as well: each page has its own, and what is shared.
    let (both, list) = drawn(&["2031.1", "2031.2"]);
    assert!(both == 3 && !list.contains("other-pieces"), "{both}\n{list}");
}

/// The number of a model that was purged is the number of another piece still, though it stands in words.
#[test]
fn the_number_of_a_purged_model_stays_at_home_as_it_did_before() {
    let room = Room::with(&[SPENCER, AFTER]);
    let left_out = |format: &str, state: &str| {
        let (folder, _) = export(&room, format, &format!("{state}/{format}"), &["2031.R1"]);
        assert!(!told(&folder, "2031.1"), "{format} names the model, {state}");
        let list = text_of(&room.path().join(format!("{state}/{format}-left-out.txt")));
        assert!(list.contains("\nother-pieces 1\n") && !list.contains("2031.1"), "{format}, {state}:\n{list}");
    };
    // A piece without a photograph has no manifest, but all formats are asked.
    room.run(&["photo", "add", "2031.R1", &room.photograph("after.png", 1)]).done();
    FORMATS.iter().for_each(|format| left_out(format, "before"));
    room.run(&["purge", "2031.1", "--reason", "the donor's wish", "--yes"]).done();
    FORMATS.iter().for_each(|format| left_out(format, "after"));
    assert!(
        room.run(&["show", "2031.R1"]).done().contains("2031.1, purged from this catalogue"),
        "at home it is named"
    );
    for format in FORMATS {
        let (folder, _) = export(&room, format, &format!("open/{format}"), &["2031.R1", "--with", "other-pieces"]);
        assert!(told(&folder, "2031.1, purged"), "{format}: the same search finds it where it is asked for");
    }
}

/// What somebody wrote goes out as it stands; where it names a piece that stays, by its number, that is said before.
#[test]
fn a_number_in_ones_own_words_is_pointed_at() {
    let after = AFTER.replace(
        "object_name = \"spencer\"",
        "object_name = \"spencer\"\ntitle = \"Spencer of 1815\"\ndescription = \"Cut by eye after (2031.1); see 2031.12\"",
    );
    let room = Room::with(&[SPENCER, &after, &SPENCER.replace("2031.1", "1815")]);
    let told = |numbers: &[&str]| export(&room, "site", "out/words", numbers).1;
    let look = "look at the words that name a piece outside the export, of: 2031.R1";
    for (numbers, pointed) in [
        (&["2031.R1"][..], true),
        (&["2031.R1", "1815"], true),
        (&["2031.R1", "2031.1"], true),
        (&["2031.R1", "2031.1", "1815"], false),
        (&["2031.1"], false),
    ] {
        let said = told(numbers);
        assert_eq!(said.contains(look), pointed, "{numbers:?}: {said}");
    }
    room.run(&["purge", "2031.1", "--reason", "the donor's wish", "--yes"]).done();
    assert!(told(&["2031.R1", "1815"]).contains(look), "a purged number is one still");
}
