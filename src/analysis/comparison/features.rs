//! What can be compared of one piece: its items (a dimension, a cloth, a line of stitches ...) with their properties,
//! the latest value of each.

use std::borrow::Cow;

use jiff::civil::Date;

use super::align::pair;
use super::colour;
use super::names::normal;
use super::outcome::{Heading, Side, Standing};
use super::sequence::{self, Placed};
use super::tolerance::Measure;
use super::value::{Provenance, Value};
use crate::analysis::cloth;
use crate::measure::Quantity;
use crate::record::construction::{Fastening, Stiffening, Stitching, Trimming};
use crate::record::measurement::Measurement;
use crate::record::piece::Component;
use crate::record::textile::{Textile, Yarn};
use crate::record::{Examination, Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

/// The groups of a comparison, in the order in which a garment is described.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::analysis) enum Section {
    Components,
    Dimensions,
    Cloth,
    Stitching,
    Fastenings,
    Stiffening,
    Trimmings,
    Order,
}

impl Section {
    /// Every section that holds items; trimmings share a title with stiffening.
    pub(super) const TITLES: [(&'static str, &'static [Section]); 7] = [
        ("Components", &[Section::Components]),
        ("Dimensions", &[Section::Dimensions]),
        ("Cloth", &[Section::Cloth]),
        ("Stitching", &[Section::Stitching]),
        ("Fastenings", &[Section::Fastenings]),
        ("Stiffening and trimmings", &[Section::Stiffening, Section::Trimmings]),
        ("Order of making", &[Section::Order]),
    ];

    /// Whether two different things of this section on one component may stand for each other (a lacing in place
    /// of hooks), so that the pair is a difference and not two gaps.
    pub(super) fn replaceable(self) -> bool {
        matches!(self, Self::Fastenings | Self::Stiffening | Self::Trimmings)
    }

    /// Words that a departure may use for any item of this section.
    pub(super) fn words(self) -> &'static [&'static str] {
        match self {
            Self::Components => &["components"],
            Self::Dimensions => &["dimensions", "size"],
            Self::Cloth => &["cloth", "textile", "fabric"],
            Self::Stitching => &["stitching", "sewing"],
            Self::Fastenings => &["fastening", "fastenings", "closure"],
            Self::Stiffening => &["stiffening", "stiffener", "boning"],
            Self::Trimmings => &["trimming", "trimmings"],
            Self::Order => &["order of making", "order of work"],
        }
    }
}

/// One thing observed, with its properties. The words are those of the record.
#[derive(Debug, Clone)]
pub(in crate::analysis) struct Item<'a> {
    pub section: Section,
    /// As written; blank is the whole piece.
    pub component: &'a str,
    /// The component as names are compared.
    pub place: Cow<'a, str>,
    /// The dimension, role, purpose or kind, by name.
    pub name: &'a str,
    /// The name as names are compared.
    pub key: Cow<'a, str>,
    /// What tells it from others of the same name on the same component: how taken, which stitch.
    pub variant: &'a str,
    /// Its place in the order of work.
    pub order: Option<i64>,
    pub aspects: Vec<Aspect<'a>>,
}

/// One property of an item.
#[derive(Debug, Clone)]
pub(in crate::analysis) struct Aspect<'a> {
    /// Blank for the item itself: the length of a dimension, the kind of a fastening.
    pub name: &'static str,
    pub value: Value<'a>,
    pub known: Provenance<'a>,
}

impl Aspect<'_> {
    pub(super) fn side(&self) -> Side {
        let (value, u) = self.value.figures();
        Side {
            standing: if self.value == Value::Absent { Standing::Absent } else { Standing::Recorded },
            as_written: self.value.as_written(),
            unit: self.value.si_unit(),
            value,
            u,
            ..self.known.side()
        }
    }
}

impl<'a> Item<'a> {
    fn same_thing(&self, other: &Self) -> bool {
        self.section == other.section && self.key == other.key && self.place == other.place
    }

    /// Takes over what a later examination says, and keeps the rest.
    fn update(&mut self, later: Self) {
        for aspect in later.aspects {
            match self.aspects.iter_mut().find(|a| a.name == aspect.name) {
                Some(known) => *known = aspect,
                None => self.aspects.push(aspect),
            }
        }
        if !later.variant.is_empty() {
            self.variant = later.variant;
        }
        self.order = later.order.or(self.order);
    }

    /// How it is known: all properties of an observation are known alike.
    pub(super) fn known(&self) -> Provenance<'a> {
        self.aspects.first().map(|aspect| aspect.known).unwrap_or_default()
    }

    pub(super) fn absent(&self) -> bool {
        self.aspects.iter().any(|a| a.value == Value::Absent)
    }
}

/// What can be compared of a piece, read once for however many comparisons.
#[derive(Debug)]
pub struct Features<'a> {
    pub(super) file: &'a PieceFile,
    pub(super) heading: Heading,
    pub(super) items: Vec<Item<'a>>,
    /// The order of making.
    pub(super) steps: Vec<Placed<'a>>,
    /// The components that the piece lists or mentions, each once: as written, and as names are compared.
    pub(super) names: Vec<(&'a str, Cow<'a, str>)>,
}

impl<'a> Features<'a> {
    /// Reads a piece.
    pub fn of(file: &'a PieceFile, vocabulary: &Vocabulary) -> Self {
        let items = items(file, vocabulary);
        let listed = file.components.iter().filter_map(|c| c.name.as_deref()).map(|name| (name, normal(name)));
        let mentioned = items.iter().map(|item| (item.component, item.place.clone()));
        let mut names: Vec<(&str, Cow<'_, str>)> = Vec::new();
        for (name, key) in listed.chain(mentioned).filter(|(_, key)| !key.is_empty()) {
            if !names.iter().any(|(_, known)| *known == key) {
                names.push((name, key));
            }
        }
        Self { file, heading: Heading::of(file), steps: sequence::read(file), items, names }
    }

    /// The components that the piece lists or mentions, as written.
    pub(super) fn component_names(&self) -> Vec<&'a str> {
        self.names.iter().map(|(name, _)| *name).collect()
    }
}

/// The items of a piece, the latest value of each property over all examinations.
pub(in crate::analysis) fn items<'a>(file: &'a PieceFile, vocabulary: &Vocabulary) -> Vec<Item<'a>> {
    let mut known: Vec<Item<'a>> = file.components.iter().filter_map(counted).collect();
    for exam in &file.examinations {
        let mut news = of_examination(exam, vocabulary);
        if !known.iter().any(|item| item.section != Section::Components) {
            known.append(&mut news);
            continue;
        }
        while let Some(first) = news.first() {
            let first = (first.section, first.place.clone(), first.key.clone());
            let like = |i: &Item<'_>| i.section == first.0 && i.key == first.2 && i.place == first.1;
            let (same, rest): (Vec<Item<'a>>, Vec<Item<'a>>) = news.into_iter().partition(like);
            news = rest;
            let places: Vec<usize> = (0..known.len()).filter(|&i| known[i].same_thing(&same[0])).collect();
            let old: Vec<&str> = places.iter().map(|&i| known[i].variant).collect();
            let new: Vec<&str> = same.iter().map(|i| i.variant).collect();
            // A dimension taken in another way is another figure; another stitch in the same seam is a correction.
            let pairs = pair(&old, &new, first.0 != Section::Dimensions);
            let mut same: Vec<Option<Item<'a>>> = same.into_iter().map(Some).collect();
            for (a, b) in pairs {
                match (a.map(|a| places[a]), b.and_then(|b| same[b].take())) {
                    (Some(place), Some(later)) => known[place].update(later),
                    (None, Some(later)) => known.push(later),
                    _ => {}
                }
            }
        }
    }
    known.retain(|item| !item.aspects.is_empty() || item.order.is_some());
    known
}

/// How many there are alike of a component, where that is recorded.
fn counted(component: &Component) -> Option<Item<'_>> {
    let name = component.name.as_deref()?;
    let value = Value::count(component.count?);
    Some(Item {
        section: Section::Components,
        component: name,
        place: normal(name),
        name: "count",
        key: Cow::Borrowed("count"),
        variant: "",
        order: None,
        aspects: vec![Aspect { name: "", value, known: Provenance::default() }],
    })
}

fn of_examination<'a>(exam: &'a Examination, vocabulary: &Vocabulary) -> Vec<Item<'a>> {
    let date = exam.about.date;
    let mut items = Vec::with_capacity(exam.measurements.len() + exam.textiles.len() + exam.stitching.len() + 8);
    each(&exam.measurements, date, Section::Dimensions, |m, r| dimension(m, vocabulary, r), &mut items);
    each(&exam.textiles, date, Section::Cloth, textile, &mut items);
    each(&exam.stitching, date, Section::Stitching, stitching, &mut items);
    each(&exam.fastenings, date, Section::Fastenings, fastening, &mut items);
    each(&exam.stiffening, date, Section::Stiffening, stiffening, &mut items);
    each(&exam.trimmings, date, Section::Trimmings, trimming, &mut items);
    items
}

fn each<'a, T>(
    list: &'a [Observed<T>],
    date: Option<Date>,
    section: Section,
    read: impl Fn(&'a T, &mut Reading<'a>),
    items: &mut Vec<Item<'a>>,
) {
    for seen in list.iter().filter(|o| o.withdrawn.is_none()) {
        let known = Provenance::of(seen.evidence.as_ref(), seen.certainty.as_ref(), date);
        let mut reading = Reading { name: "", variant: "", order: None, aspects: Vec::new(), known };
        read(&seen.what, &mut reading);
        let component = seen.component.as_deref().unwrap_or_default();
        items.push(Item {
            section,
            component,
            place: normal(component),
            name: reading.name,
            key: normal(reading.name),
            variant: reading.variant,
            order: reading.order,
            aspects: reading.aspects,
        });
    }
}

/// What is read off one observation.
struct Reading<'a> {
    name: &'a str,
    variant: &'a str,
    order: Option<i64>,
    aspects: Vec<Aspect<'a>>,
    known: Provenance<'a>,
}

impl<'a> Reading<'a> {
    fn named(&mut self, term: Option<&'a TermId>, otherwise: &'static str) {
        self.name = term.map_or(otherwise, |t| t.name());
    }

    fn add(&mut self, name: &'static str, value: Option<Value<'a>>) {
        let known = self.known;
        self.aspects.extend(value.map(|value| Aspect { name, value, known }));
    }

    fn words(&mut self, name: &'static str, words: Option<&'a String>) {
        self.add(name, words.map(|words| Value::Words(words)));
    }

    fn choice(&mut self, name: &'static str, word: Option<&'a String>) {
        self.add(name, word.map(|word| Value::Choice(word)));
    }

    fn single(&mut self, name: &'static str, quantity: Option<&'a Quantity>, measure: Measure) {
        self.add(name, quantity.and_then(|q| Value::single(q, measure)));
    }

    fn term(&mut self, name: &'static str, term: Option<&'a TermId>) {
        self.add(name, term.map(|t| Value::Terms(vec![t])));
    }

    /// A kind that may be counted: a count of none means that it is known to be absent.
    fn kind_and_count(&mut self, term: Option<&'a TermId>, count_name: &'static str, count: Option<i64>) {
        if count == Some(0) {
            self.add("", Some(Value::Absent));
        } else {
            self.term("", term);
            self.add(count_name, count.map(Value::count));
        }
    }
}

fn dimension<'a>(m: &'a Measurement, vocabulary: &Vocabulary, r: &mut Reading<'a>) {
    r.named(m.dimension.as_ref(), "dimension");
    r.variant = m.taken.as_deref().unwrap_or_default();
    let group = m.dimension.as_ref().and_then(|d| vocabulary.get(d)).and_then(|t| t.group.as_deref());
    let measure = match group {
        Some("fixed") => Measure::Fixed,
        Some("girth") => Measure::Girth,
        _ => Measure::Length,
    };
    let figure = Value::figure(m.estimate(), &m.readings, measure);
    r.add("", figure.map(|figure| figure.taken_with(m.instrument.as_deref())));
}

fn textile<'a>(t: &'a Textile, r: &mut Reading<'a>) {
    r.named(t.role.as_ref(), "textile");
    r.variant = t.name.as_deref().unwrap_or_default();
    r.add("fibres", Value::terms(t.fibres.iter().filter_map(|f| f.fibre.as_ref()).collect()));
    r.term("structure", t.structure.as_ref());
    r.add("ends", Value::figure(t.ends_estimate(), &t.ends, Measure::Threads));
    r.add("picks", Value::figure(t.picks_estimate(), &t.picks, Measure::Threads));
    let worked = cloth::figures(t);
    let warp = ["warp twist", "warp plies", "warp angle of twist", "warp yarn number", "warp turns", "warp crimp"];
    let weft = ["weft twist", "weft plies", "weft angle of twist", "weft yarn number", "weft turns", "weft crimp"];
    yarn(&t.warp, &worked.warp, warp, r);
    yarn(&t.weft, &worked.weft, weft, r);
    let cover = worked.cover.map(|c| Value::worked_out(c.cloth, "from setts and yarns", Measure::Cover));
    r.add("cover factor", cover);
    r.add("mass per area", mass_per_area(t, worked.mass));
    r.single("loom width", t.loom_width.as_ref(), Measure::LoomWidth);
    r.words("colour", t.colour.as_ref());
    r.add("colour reading", colour::Reading::of(&t.colours).map(Value::Colour));
    r.words("dye", t.dye.as_ref());
    r.add("finish", Value::terms(t.finish.iter().collect()));
    r.words("selvedge", t.selvedge.as_ref());
}

/// The mass as measured, else as estimated.
fn mass_per_area(t: &Textile, worked: Option<cloth::Mass>) -> Option<Value<'_>> {
    match (&t.mass, worked) {
        (Some(measured), _) => Value::single(measured, Measure::Mass),
        (None, worked) => worked.map(|m| Value::worked_out(m.estimate, "from setts, yarns and crimp", Measure::Mass)),
    }
}

fn yarn<'a>(yarn: &'a Yarn, worked: &cloth::Twist, names: [&'static str; 6], r: &mut Reading<'a>) {
    let [twist, plies, angle, number, turns, crimp] = names;
    r.choice(twist, yarn.twist.as_ref());
    r.add(plies, yarn.ply.map(Value::count));
    let read = yarn.angle.as_ref().and_then(|q| Value::single(q, Measure::Angle));
    let worked = worked.angle.map(|a| Value::worked_out(a, "from turns and diameter", Measure::Angle));
    r.add(angle, read.or(worked));
    r.single(number, yarn.number.as_ref(), Measure::Yarn);
    r.single(turns, yarn.turns.as_ref(), Measure::Turns);
    r.single(crimp, yarn.crimp.as_ref(), Measure::Crimp);
}

fn stitching<'a>(s: &'a Stitching, r: &mut Reading<'a>) {
    r.named(s.purpose.as_ref(), "stitching");
    r.variant = s.stitch.as_ref().map(TermId::name).unwrap_or_default();
    r.order = s.order_of_work;
    r.term("stitch", s.stitch.as_ref());
    r.term("seam", s.seam.as_ref());
    r.choice("made by", s.made.as_ref());
    r.add("stitch density", Value::figure(s.estimate(), &s.density, Measure::Stitches));
    r.single("seam allowance", s.allowance.as_ref(), Measure::Fixed);
    r.single("length", s.length.as_ref(), Measure::Length);
    r.words("thread", s.thread.as_ref());
}

fn fastening<'a>(f: &'a Fastening, r: &mut Reading<'a>) {
    r.named(f.fastening.as_ref(), "fastening");
    r.kind_and_count(f.fastening.as_ref(), "count", f.count);
    r.single("size", f.size.as_ref(), Measure::Fixed);
    r.single("spacing", f.spacing.as_ref(), Measure::Fixed);
    r.words("material", f.material.as_ref());
    r.words("worked", f.worked.as_ref());
}

fn stiffening<'a>(s: &'a Stiffening, r: &mut Reading<'a>) {
    r.named(s.stiffener.as_ref(), "stiffening");
    r.kind_and_count(s.stiffener.as_ref(), "count", s.count);
    r.single("width", s.width.as_ref(), Measure::Fixed);
    r.single("thickness", s.thickness.as_ref(), Measure::Thickness);
    r.single("length", s.length.as_ref(), Measure::Length);
    r.words("channel", s.channel.as_ref());
}

fn trimming<'a>(t: &'a Trimming, r: &mut Reading<'a>) {
    r.named(t.trimming.as_ref(), "trimming");
    r.term("", t.trimming.as_ref());
    r.single("width", t.width.as_ref(), Measure::Fixed);
    r.single("length", t.length.as_ref(), Measure::Length);
    r.words("material", t.material.as_ref());
    r.words("placing", t.placing.as_ref());
}
