//! Light: the class of the piece, what it may have in a year, what it had, and the days left.
//!
//! Uncertain light is taken on the side that spares the cloth: the doses used at their upper end, the days left at their
//! lower end.

use jiff::civil::{Date, date};

use super::{Line, overruled};
use crate::measure::{Bound, Estimate, Quantity};
use crate::optics::{Responsivity, grouped};
use crate::record::PieceFile;
use crate::record::care::Display;
use crate::record::construction::Trimming;
use crate::record::textile::Textile;
use crate::vocabulary::{Relation, Scheme, TermId, Vocabulary};

const CIE: &str = "CIE 157:2004, read in secondary sources; reciprocity of light and time is taken for granted";
/// Hours of light a day that are reckoned with where none are recorded.
const USUAL_HOURS: f64 = 8.0;
/// The half width of what a light meter may be out by, as a part of its reading.
const METER: f64 = 0.1;
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
        super::sizes::capital(&class.group.to_string()),
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

fn place(display: &Display) -> String {
    display.place.clone().unwrap_or_else(|| "a place not recorded".into())
}

/// What a piece was shown in a calendar year.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shown {
    /// Lux hours from the first day of the year to the day asked for, that day included.
    pub used: LuxHours,
    /// Lux hours planned from the next day to the end of the year.
    pub planned: LuxHours,
    /// Lux hours from the next day to the end of the year in places of which no last day is recorded, if it stays there.
    pub going_on: LuxHours,
    /// Those places.
    pub without_end: Vec<String>,
    /// Days on display so far.
    pub days: i64,
    /// Places whose light or hours are not recorded: of these nothing is in the sums.
    pub unknown: Vec<String>,
}

/// A dose with its standard uncertainty, in lux hours. Doses by one meter share its error, so they add up straight.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LuxHours {
    /// Lux hours.
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
}

impl LuxHours {
    fn add(&mut self, other: Estimate) {
        self.value += other.value;
        self.u += other.u;
    }

    /// The upper end for about 95 %.
    fn upper(self) -> f64 {
        self.value + 2.0 * self.u
    }
}

/// A light reading with what its meter may be out by, where the reading does not state its own uncertainty.
fn metered(q: &Quantity) -> Estimate {
    let plain = Estimate::from(q);
    if q.bound == Bound::Stated { plain } else { plain.with_error_limit(METER * q.value) }
}

/// Light of one day, in lux hours.
fn a_day(light: Estimate, hours: Estimate) -> Estimate {
    Estimate::from_shares(light.value * hours.value, &[light.u * hours.value, hours.u * light.value])
}

/// What was shown in the year of `today`, up to that day, and what is planned after it.
pub fn shown(file: &PieceFile, today: Date) -> Shown {
    let year = (date(today.year(), 1, 1), date(today.year(), 12, 31));
    let mut sum = Shown::default();
    for display in &file.displays {
        let Some(from) = display.from else { continue };
        let from = from.max(year.0);
        // What has no last day is still there; nobody knows for how long.
        let used = days(from, display.to.unwrap_or(today).min(today).min(year.1));
        let to_come = days(from.max(today.tomorrow().unwrap_or(today)), display.to.unwrap_or(year.1).min(year.1));
        if used + to_come == 0 {
            continue;
        }
        sum.days += used;
        match (&display.light, &display.hours) {
            (Some(light), Some(hours)) => {
                let one = a_day(metered(light), Estimate::from(hours));
                sum.used.add(one.times(used as f64));
                if display.to.is_some() {
                    sum.planned.add(one.times(to_come as f64));
                } else if to_come > 0 {
                    sum.going_on.add(one.times(to_come as f64));
                    sum.without_end.push(place(display));
                }
            }
            _ => sum.unknown.push(place(display)),
        }
    }
    sum
}

/// Days from the first to the last, both counted; none if the last comes first.
fn days(first: Date, last: Date) -> i64 {
    if last < first { 0 } else { i64::from((last - first).get_days()) + 1 }
}

/// The display that days left are reckoned by, with its light of a day, written out: the one of today, of several that
/// with the most light; else the latest that has begun.
fn standing(file: &PieceFile, today: Date) -> Option<(&Display, Estimate, String)> {
    let begun = file.displays.iter().filter_map(|d| {
        let (from, light, hours) = (d.from.filter(|from| *from <= today)?, d.light.as_ref()?, d.hours.as_ref()?);
        let one = a_day(metered(light), Estimate::from(hours));
        let how = format!("{} for {} a day", light.as_written, hours.as_written);
        // The days of those that still run do not rank them.
        let since = if d.to.is_none_or(|to| to >= today) { None } else { Some(from) };
        Some((since, d, one, how))
    });
    let best = begun.max_by(|(since, _, one, _), (other, _, another, _)| {
        let strength = (one.value + 2.0 * one.u).total_cmp(&(another.value + 2.0 * another.u));
        since.is_none().cmp(&other.is_none()).then(since.cmp(other)).then(strength)
    });
    best.map(|(_, d, one, how)| (d, one, how))
}

/// How the light of the year stands.
pub(super) fn display(file: &PieceFile, class: &Class, today: Date) -> Vec<Line> {
    let Some(allowed) = class.group.yearly() else { return Vec::new() };
    let level = class.group.level().unwrap_or(50.0);
    let year = today.year();
    let shown = shown(file, today);
    let source = "records of display; lux × hours a day × days";
    let mut lines = Vec::new();
    if shown.days == 0 && shown.planned.value + shown.going_on.value == 0.0 && shown.unknown.is_empty() {
        let text = format!("Nothing is on record for {year}; that does not mean that it was kept in the dark.");
        lines.push(Line::new(text, Vec::new(), source));
    } else if shown.used.value > 0.0 || shown.unknown.is_empty() {
        let used = crate::measure::rounded(shown.used.value, 2.0 * shown.used.u);
        let used = (whole(&used.0), whole(&used.1));
        let text = format!(
            "Used in {year} up to this day: {} ± {} lx h in {} days on display, of {} allowed.",
            used.0,
            used.1,
            shown.days,
            grouped(allowed)
        );
        lines.push(Line::new(
            text,
            vec!["± is two standard uncertainties; a plain meter reading is taken as true within 10 %".into()],
            source,
        ));
    }
    if !shown.unknown.is_empty() {
        let text = format!(
            "Light or hours are not recorded for {}: how much of the year’s light is used is not known, and days left \
             cannot be said.",
            shown.unknown.join(", ")
        );
        lines.push(Line::new(text, Vec::new(), source));
        return lines;
    }
    let (one, how) = match standing(file, today) {
        Some((d, one, how)) => (one, format!("{how}, as at {}", place(d))),
        None => (
            Estimate::new(level * USUAL_HOURS, 0.0),
            format!("{level} lx for {USUAL_HOURS} hours a day, which is assumed"),
        ),
    };
    let left = allowed - shown.used.upper();
    let most = days(today, date(year, 12, 31)) - 1;
    let careful = one.value + 2.0 * one.u;
    let count = if careful > 0.0 { ((left / careful).floor().max(0.0) as i64).min(most) } else { most };
    let text = match (left <= 0.0, count == most) {
        (true, _) => format!("The light of {year} is used up: out of the light until the year is over."),
        (false, true) => format!("Enough is left for all {most} days of {year} that remain, at {how}."),
        (false, false) => format!("Days left in {year}: {count}, at {how}; reckoned on the careful side."),
    };
    lines.push(Line::new(text, Vec::new(), CIE));
    lines.extend(year_over(&shown, allowed, year).map(|text| Line::new(text, Vec::new(), source)));
    lines
}

/// What the year comes to with all that is still to come in it; none where that is nothing.
fn year_over(shown: &Shown, allowed: f64, year: i16) -> Option<String> {
    let open = shown.without_end.join(", ");
    let reckoned = match (shown.planned.value > 0.0, open.is_empty()) {
        (false, true) => return None,
        (true, true) => "With what is planned".to_owned(),
        (true, false) => format!(
            "With what is planned, and with {open} going on to the end of {year} because no last day is recorded,"
        ),
        (false, false) => format!("With {open} going on to the end of {year} because no last day is recorded,"),
    };
    let upper = shown.used.upper() + shown.planned.upper() + shown.going_on.upper();
    let verdict = if upper > allowed { "more than is allowed" } else { "within what is allowed" };
    let most = whole(&crate::measure::rounded(upper, upper * 0.05).0);
    Some(format!("{reckoned} the year comes to {most} lx h at most: {verdict}."))
}

/// A rounded figure with commas between thousands.
fn whole(figure: &str) -> String {
    figure.parse::<f64>().map_or_else(|_| figure.to_owned(), grouped)
}
