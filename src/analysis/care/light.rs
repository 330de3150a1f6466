//! Light: the class of the piece and what it may have in a year. What it had is reckoned in `display`.

use super::{Line, display::place, overruled};
use crate::optics::{Responsivity, grouped};
use crate::record::PieceFile;
use crate::record::construction::Trimming;
use crate::record::textile::Textile;
use crate::vocabulary::{Relation, Scheme, TermId, Vocabulary};

pub(super) const CIE: &str =
    "CIE 157:2004, read in secondary sources; reciprocity of light and time is taken for granted";
/// Where ultraviolet is too much, in µW/lm.
const UV_MOST: f64 = 75.0;

/// How readily light harms the piece, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Class {
    /// The group of CIE 157:2004.
    pub group: Responsivity,
    /// What in the record it follows from.
    pub because: Vec<String>,
    /// Whether the keeper chose it over the program's.
    pub chosen: bool,
}

/// The class of a piece: that of its most delicate cloth or trim; what is not known counts as delicate.
pub fn class(file: &PieceFile, vocabulary: &Vocabulary) -> Class {
    if let Some(group) = overruled(file, "light").and_then(|o| chosen(o.instead.as_deref()?)) {
        return Class { group, because: vec!["as its keeper decided".into()], chosen: true };
    }
    let exams = || file.examinations.iter();
    let textiles = exams().flat_map(|e| &e.textiles).filter(|o| o.withdrawn.is_none());
    let sewing = |t: &Textile| t.role.as_ref().is_some_and(|r| r.name() == "thread");
    let mut found: Vec<(Responsivity, String)> = textiles
        .filter(|o| !sewing(&o.what))
        .map(|o| {
            let role = o.what.role.as_ref().map_or("textile", TermId::name);
            let place = o.component.as_ref().map(|c| format!(" ({c})")).unwrap_or_default();
            let (group, why) = of_textile(&o.what, vocabulary);
            (group, format!("{role}{place}: {why}"))
        })
        .collect();
    if found.is_empty() {
        let why = "no textile is recorded, and what is not known counts as delicate".to_owned();
        return Class { group: Responsivity::High, because: vec![why], chosen: false };
    }
    let trims = exams().flat_map(|e| &e.trimmings).filter(|o| o.withdrawn.is_none());
    found.extend(trims.filter_map(|o| of_trim(&o.what)));
    let group = found.iter().map(|(group, _)| *group).min().unwrap_or(Responsivity::High);
    let mut because: Vec<String> = Vec::new();
    for (_, why) in found.into_iter().filter(|(of, _)| *of == group) {
        if !because.contains(&why) && because.len() < 3 {
            because.push(why);
        }
    }
    Class { group, because, chosen: false }
}

/// The group that a decision begins with: `medium responsivity, ...`.
fn chosen(instead: &str) -> Option<Responsivity> {
    let word = instead.split(|c: char| !c.is_alphabetic()).find(|w| !w.is_empty())?.to_lowercase();
    [Responsivity::High, Responsivity::Medium, Responsivity::Low].into_iter().find(|g| g.to_string() == word)
}

/// Words for a cloth that was not coloured.
const WHITE: [&str; 9] = ["white", "cream", "natural", "bleached", "unbleached", "undyed", "ecru", "écru", "ivory"];
/// Words that may stand beside them and name no colour. `Silk` is none of them: white silk is as delicate as dyed silk.
const NEUTRAL: [&str; 30] = [
    "off", "half", "ground", "cotton", "linen", "wool", "hemp", "flax", "and", "with", "on", "a", "the", "of", "all",
    "over", "both", "sides", "faces", "plain", "now", "very", "slightly", "rather", "yellowed", "husk", "lace", "tape",
    "thread", "cord",
];
/// Words in the name of a cloth that say that it has colour.
const OTHER: [&str; 28] = [
    "blue", "red", "green", "yellow", "pink", "purple", "violet", "mauve", "brown", "black", "grey", "orange", "buff",
    "crimson", "scarlet", "salmon", "lilac", "tan", "gold", "coloured", "dyed", "print", "printed", "stripe",
    "striped", "sprig", "sprigged", "check",
];
/// What a field of dye may say where there is none.
const NO_DYE_USED: [&str; 2] = ["none", "undyed"];
/// Dyes that last better on any fibre, and those that do on wool alone.
const LASTING: [&str; 2] = ["madder", "alizarin"];
const LASTING_ON_WOOL: [&str; 2] = ["indigo", "woad"];
/// Words that may stand beside a lasting dye and name no other, doubt nothing and deny nothing.
const OF_A_DYE: [&str; 17] = [
    "and",
    "with",
    "on",
    "in",
    "by",
    "a",
    "the",
    "dye",
    "dyed",
    "natural",
    "synthetic",
    "wool",
    "cotton",
    "linen",
    "alum",
    "mordant",
    "hplc",
];

/// The words of a text in lower case, parted at hyphens too.
fn words(text: Option<&String>) -> Vec<String> {
    let text = text.map(|t| t.to_lowercase()).unwrap_or_default();
    text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

fn has(words: &[String], list: &[&str]) -> bool {
    words.iter().any(|w| list.contains(&w.as_str()))
}

/// Whether words say white and nothing else: one that is not known may be a colour.
fn white_alone(words: &[String]) -> bool {
    has(words, &WHITE) && words.iter().all(|w| WHITE.contains(&w.as_str()) || NEUTRAL.contains(&w.as_str()))
}

/// Whether a name has a word of colour, in the plural too.
fn names_colour(name: &[String]) -> bool {
    name.iter().any(|w| OTHER.contains(&w.as_str()) || w.strip_suffix('s').is_some_and(|w| OTHER.contains(&w)))
}

/// Whether a field of dye says anything else than that there is none.
fn has_dye(dye: Option<&String>) -> bool {
    let said = words(dye);
    dye.is_some_and(|text| text.contains('?')) || said.iter().any(|w| !NO_DYE_USED.contains(&w.as_str()))
}

/// Whether a field of dye names dyes that last and says nothing besides that may be another dye, a doubt or a denial.
fn lasts(dye: Option<&String>, on_wool: bool) -> bool {
    let said = words(dye);
    let lasting = |w: &str| LASTING.contains(&w) || (on_wool && LASTING_ON_WOOL.contains(&w));
    said.iter().any(|w| lasting(w))
        && said.iter().all(|w| lasting(w) || OF_A_DYE.contains(&w.as_str()))
        && !dye.is_some_and(|text| text.contains('?'))
}

fn of_textile(t: &Textile, vocabulary: &Vocabulary) -> (Responsivity, &'static str) {
    let is = |id: &TermId, scheme, name| {
        matches!(vocabulary.relation(id, &TermId::new(scheme, name)), Relation::Same | Relation::Narrower)
    };
    let of_yarns = [&t.warp.fibre, &t.weft.fibre].into_iter().flatten();
    let fibres: Vec<&TermId> = t.fibres.iter().filter_map(|f| f.fibre.as_ref()).chain(of_yarns).collect();
    let finish = |name| t.finish.iter().any(|f| is(f, Scheme::Finish, name));
    if fibres.iter().any(|f| is(f, Scheme::Fibre, "silk")) {
        return (Responsivity::High, "silk");
    }
    let on_wool = fibres.iter().all(|f| is(f, Scheme::Fibre, "wool"));
    if !fibres.is_empty() && lasts(t.dye.as_ref(), on_wool) {
        return (Responsivity::Medium, "a dye that lasts better: madder, or indigo on wool");
    }
    let (colour, name) = (words(t.colour.as_ref()), words(t.name.as_ref()));
    let coloured = finish("dyed")
        || finish("printed")
        || finish("painted")
        || has_dye(t.dye.as_ref())
        || !(colour.is_empty() || white_alone(&colour))
        || names_colour(&name);
    let plain = finish("undyed") || finish("bleached") || white_alone(&colour) || white_alone(&name);
    if fibres.is_empty() || coloured || !plain {
        return (Responsivity::High, "its dye is not known to last");
    }
    (Responsivity::Medium, "undyed or white, as recorded")
}

/// Trims made of the garment's own cloth, or of nothing that fades.
const NO_DYE: [&str; 12] = [
    "whitework",
    "tucks",
    "smocking",
    "self-fabric trim",
    "beads",
    "sequins",
    "jet",
    "buttons, ornamental",
    "slashing",
    "pleating",
    "vandyke",
    "none seen",
];

fn of_trim(t: &Trimming) -> Option<(Responsivity, String)> {
    let name = t.trimming.as_ref()?.name();
    let said = words(t.material.as_ref());
    let silk = has(&said, &["silk"]);
    if NO_DYE.contains(&name) || white_alone(&said) {
        return None;
    }
    let why = if silk { "silk" } else { "its dye is not known to last" };
    Some((Responsivity::High, format!("{name}: {why}")))
}

/// What the class allows in a year.
pub(super) fn allowance(class: &Class) -> Line {
    let (Some(dose), Some(level)) = (class.group.yearly(), class.group.level()) else { return Line::default() };
    let hours = grouped(dose / level);
    let text = format!(
        "{} responsivity: at most {} lx h in a year, that is {hours} hours at {level} lx. Photography counts.",
        crate::words::capital(&class.group.to_string()),
        grouped(dose),
    );
    Line::new(text, class.because.clone(), format!("{CIE}; grouping of undyed cloth from memory"))
}

/// Ultraviolet: the limit, and the displays that went beyond it.
pub(super) fn ultraviolet(file: &PieceFile) -> Vec<Line> {
    let mut lines = vec![Line::new(
        format!(
            "At most {UV_MOST} µW/lm, 10 where lamps and glass allow it. A filter does not stop fading: for most dyes \
             ultraviolet does less than half of it."
        ),
        Vec::new(),
        "manual of a hand-held ultraviolet meter: 75 µW/lm (read); 10 from memory; S. Michalski, Canadian Conservation \
         Institute, Agent of Deterioration: Light, Ultraviolet and Infrared (read)",
    )];
    for display in &file.displays {
        let Some(uv) = display.uv.as_ref().filter(|uv| uv.value > UV_MOST) else { continue };
        let text = format!("{} was measured at {}: more than {UV_MOST} µW/lm.", uv.as_written, place(display));
        lines.push(Line::new(text, Vec::new(), "record of display"));
    }
    lines
}
