//! The keys of the language as data: what each asks about, what it takes, a line that teaches it, an example.

use crate::measure::Kind;
use crate::vocabulary::Scheme;

/// One word before the colon.
#[derive(Debug, PartialEq)]
pub struct Key {
    /// As it is written.
    pub name: &'static str,
    /// Other words for it.
    pub also: &'static [&'static str],
    /// What may stand behind the colon.
    pub takes: Takes,
    /// What it asks about, in one line.
    pub help: &'static str,
    /// A use of it.
    pub example: &'static str,
}

/// What a key takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Takes {
    /// A term of one of these lists; its kinds are taken in.
    Terms(&'static [Scheme]),
    /// Words of a text.
    Text(Text),
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A figure of this kind. Without a unit it is in `unit`; where that is blank, a unit must be written.
    Figure {
        /// The kind.
        kind: Kind,
        /// The unit that goes without saying.
        unit: &'static str,
    },
    /// Years.
    Years,
    /// Days.
    Days,
    /// An accession number.
    Number,
    /// What must be recorded.
    Has,
    /// What must not be recorded.
    Lacks,
    /// The name of a kept search.
    Kept,
}

/// A text that can be asked for by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Text {
    /// What the piece is called.
    Object,
    /// Its title.
    Title,
    /// Who made it.
    Maker,
    /// Anyone in its story.
    Person,
    /// Where it was made.
    Place,
    /// Where it lies.
    Location,
    /// Colours of its cloths, in words.
    Colour,
}

impl Text {
    /// Every one, in the order of the columns of the word index.
    pub const ALL: [Text; 7] =
        [Text::Object, Text::Title, Text::Maker, Text::Person, Text::Place, Text::Location, Text::Colour];

    /// Its key, which is the name of its column too.
    pub fn name(self) -> &'static str {
        match self {
            Text::Object => "object",
            Text::Title => "title",
            Text::Maker => "maker",
            Text::Person => "person",
            Text::Place => "place",
            Text::Location => "location",
            Text::Colour => "colour",
        }
    }
}

/// What `has:` and `lacks:` take beside the name of any key.
pub const THINGS: [&str; 22] = [
    "photograph",
    "scale",
    "target",
    "measurement",
    "textile",
    "stitching",
    "fastening",
    "stiffening",
    "trimming",
    "step",
    "sign",
    "condition",
    "overall",
    "hazard",
    "treatment",
    "seal",
    "examination",
    "component",
    "description",
    "housing",
    "event",
    "departure",
];

const fn terms(
    name: &'static str,
    also: &'static [&'static str],
    lists: &'static [Scheme],
    help: &'static str,
    example: &'static str,
) -> Key {
    Key { name, also, takes: Takes::Terms(lists), help, example }
}

const fn text(
    name: &'static str,
    also: &'static [&'static str],
    text: Text,
    help: &'static str,
    example: &'static str,
) -> Key {
    Key { name, also, takes: Takes::Text(text), help, example }
}

const fn figure(
    name: &'static str,
    also: &'static [&'static str],
    (kind, unit): (Kind, &'static str),
    help: &'static str,
    example: &'static str,
) -> Key {
    Key { name, also, takes: Takes::Figure { kind, unit }, help, example }
}

const fn key(
    name: &'static str,
    also: &'static [&'static str],
    takes: Takes,
    help: &'static str,
    example: &'static str,
) -> Key {
    Key { name, also, takes, help, example }
}

/// Every key, in the order in which a garment is described. The name of any dimension is a key too: `bust:>80cm`.
pub const KEYS: &[Key] = &[
    key("number", &["accession"], Takes::Number, "accession number; a star for how it begins", "number:2018*"),
    terms(
        "nature",
        &[],
        &[Scheme::Nature],
        "extant, reconstruction, mock-up, published pattern, depiction",
        "nature:reconstruction",
    ),
    terms("garment", &[], &[Scheme::Garment], "kind of garment", "garment:bodice"),
    text("object", &["name"], Text::Object, "what it is called", "object:\"riding habit\""),
    text("title", &[], Text::Title, "its title", "title:green"),
    key("date", &["dated", "made"], Takes::Years, "when it was made; years that its date allows", "date:1800..1820"),
    text("maker", &[], Text::Maker, "who made it", "maker:dunmarrow"),
    text(
        "person",
        &[],
        Text::Person,
        "anyone in its story: maker, wearer, donor, examiner",
        "person:\"Wren Askerdale\"",
    ),
    text("place", &[], Text::Place, "where it was made", "place:lyon"),
    text("location", &["at"], Text::Location, "where it lies now", "location:\"bay A\""),
    terms("storage", &[], &[Scheme::Storage], "what holds it in store", "storage:box"),
    terms("event", &[], &[Scheme::Event], "what happened to it: gift, purchase, alteration", "event:gift"),
    terms(
        "component",
        &["part"],
        &[Scheme::Component],
        "a part it has, with its side if you like",
        "component:\"left sleeve\"",
    ),
    terms("fibre", &["fiber"], &[Scheme::Fibre], "a fibre found in any of its cloths", "fibre:silk"),
    terms("structure", &["weave"], &[Scheme::Weave], "weave or other structure of a cloth", "structure:twill"),
    terms("role", &[], &[Scheme::TextileRole], "what a cloth is there for", "role:lining"),
    terms("finish", &[], &[Scheme::Finish], "printing, dyeing, finishing", "finish:printed"),
    text("colour", &["color"], Text::Colour, "a colour in words", "colour:\"pale blue\""),
    figure(
        "sett",
        &[],
        (Kind::Density, "per cm"),
        "threads of warp or weft over a length; per cm without a unit",
        "sett:>30",
    ),
    figure("ends", &["warp"], (Kind::Density, "per cm"), "warp threads over a length", "ends:60..80/in"),
    figure("picks", &["weft"], (Kind::Density, "per cm"), "weft threads over a length", "picks:<20"),
    figure(
        "yarn",
        &[],
        (Kind::Yarn, "tex"),
        "yarn number of warp or weft, in any system; tex without one",
        "yarn:<20tex",
    ),
    figure("turns", &[], (Kind::Density, ""), "turns of twist over a length", "turns:>600/m"),
    key("twist", &[], Takes::Choice(&["S", "Z", "none"]), "direction of twist of warp or weft", "twist:Z"),
    figure(
        "weight",
        &["mass"],
        (Kind::MassPerArea, "g/m2"),
        "mass of an area of cloth; g/m2 without a unit",
        "weight:<120",
    ),
    terms("stitch", &["technique"], &[Scheme::Stitch], "a stitch it is sewn with", "stitch:backstitch"),
    terms("seam", &[], &[Scheme::Seam], "a seam or edge finish", "seam:\"flat felled seam\""),
    terms("purpose", &[], &[Scheme::Purpose], "what a line of stitching is for", "purpose:hem"),
    key("sewn", &[], Takes::Choice(&["hand", "machine"]), "sewn by hand or by machine", "sewn:hand"),
    figure("stitches", &[], (Kind::Density, ""), "stitches over a length, on any line", "stitches:8..10/in"),
    figure("allowance", &[], (Kind::Length, ""), "a seam allowance", "allowance:<10mm"),
    terms("fastening", &[], &[Scheme::Fastening], "what closes it", "fastening:lacing"),
    terms("stiffener", &["boning"], &[Scheme::Stiffener], "what stiffens it", "stiffener:baleen"),
    terms("trimming", &[], &[Scheme::Trimming], "what trims it", "trimming:piping"),
    terms("sign", &[], &[Scheme::Sign], "a sign of wear or alteration", "sign:\"let out\""),
    terms("damage", &[], &[Scheme::Damage], "a damage last seen on it", "damage:tear"),
    terms("cause", &[], &[Scheme::Cause], "what did the damage", "cause:light"),
    terms(
        "condition",
        &[],
        &[Scheme::Grade, Scheme::Stability, Scheme::Urgency, Scheme::Activity, Scheme::Severity],
        "a word of condition: good, stable, active, severe, now",
        "condition:active",
    ),
    terms("grade", &[], &[Scheme::Grade], "its grade, by the latest statement", "grade:poor"),
    terms("stability", &[], &[Scheme::Stability], "its stability, by the latest statement", "stability:\"at risk\""),
    terms("urgency", &[], &[Scheme::Urgency], "how soon something must be done", "urgency:now"),
    terms("hazard", &[], &[Scheme::Hazard], "what it may hold that could hurt someone", "hazard:\"arsenic green\""),
    terms("rights", &[], &[Scheme::Rights], "what others may do with it, by its statement of rights", "rights:InC"),
    terms("view", &[], &[Scheme::View], "a view it was photographed from", "view:back"),
    key("examined", &[], Takes::Days, "a day on which it was examined", "examined:2024"),
    key("changed", &[], Takes::Days, "the day of the last change to its record", "changed:>2024-03"),
    key("has", &[], Takes::Has, "something is recorded: a photograph, a seal, or any key", "has:photograph"),
    key("lacks", &[], Takes::Lacks, "nothing is recorded: of a thing, or of any key", "lacks:fibre"),
    key("kept", &[], Takes::Kept, "a search kept under a name", "kept:\"regency bodices\""),
];
