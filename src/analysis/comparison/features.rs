//! What can be compared of one piece: its items (a dimension, a cloth, a line of stitches ...) with their properties,
//! the latest value of each.

use super::align::pair;
use super::outcome::{Side, Standing};
use super::tolerance::Measure;
use super::value::{Provenance, Value};
use crate::analysis::cloth;
use crate::record::construction::{Fastening, Stiffening, Stitching, Trimming};
use crate::record::measurement::Measurement;
use crate::record::textile::{Textile, Yarn};
use crate::record::{Examination, Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

/// The groups of a comparison, in the order in which a garment is described.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Section {
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
    pub(super) const TITLES: [(&'static str, &'static [Section]); 6] = [
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

/// One thing observed, with its properties.
#[derive(Debug, Clone)]
pub(super) struct Item {
    pub section: Section,
    /// As written; blank is the whole piece.
    pub component: String,
    /// The dimension, role, purpose or kind, by name.
    pub name: String,
    /// What tells it from others of the same name on the same component: how taken, which stitch.
    pub variant: String,
    /// Its place in the order of work.
    pub order: Option<i64>,
    pub aspects: Vec<Aspect>,
}

/// One property of an item.
#[derive(Debug, Clone)]
pub(super) struct Aspect {
    /// Blank for the item itself: the length of a dimension, the kind of a fastening.
    pub name: &'static str,
    pub value: Value,
    pub known: Provenance,
}

impl Aspect {
    pub(super) fn side(&self) -> Side {
        let (value, u) = self.value.figures();
        Side {
            standing: if self.value == Value::Absent { Standing::Absent } else { Standing::Recorded },
            as_written: self.value.as_written(),
            si: self.value.si(),
            value,
            u,
            evidence: self.known.evidence.clone(),
            certainty: self.known.certainty.clone(),
            examined: self.known.examined.clone(),
        }
    }
}

impl Item {
    fn same_thing(&self, other: &Self) -> bool {
        self.section == other.section
            && normal(&self.component) == normal(&other.component)
            && normal(&self.name) == normal(&other.name)
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

    pub(super) fn absent(&self) -> bool {
        self.aspects.iter().any(|a| a.value == Value::Absent)
    }
}

/// Lower case, single spaces: what names are compared by.
pub(super) fn normal(text: &str) -> String {
    text.split_whitespace().map(str::to_lowercase).collect::<Vec<_>>().join(" ")
}

/// The items of a piece, the latest value of each property over all examinations.
pub(super) fn items(file: &PieceFile, vocabulary: &Vocabulary) -> Vec<Item> {
    let mut known: Vec<Item> = Vec::new();
    for exam in &file.examinations {
        let mut news = of_examination(exam, vocabulary);
        while let Some(first) = news.first().cloned() {
            let (same, rest): (Vec<Item>, Vec<Item>) = news.into_iter().partition(|i| i.same_thing(&first));
            news = rest;
            let places: Vec<usize> = (0..known.len()).filter(|&i| known[i].same_thing(&first)).collect();
            let old: Vec<&str> = places.iter().map(|&i| known[i].variant.as_str()).collect();
            let new: Vec<&str> = same.iter().map(|i| i.variant.as_str()).collect();
            // A dimension taken in another way is another figure; another stitch in the same seam is a correction.
            let pairs = pair(&old, &new, first.section != Section::Dimensions);
            for (a, b) in pairs {
                match (a.map(|a| places[a]), b.map(|b| same[b].clone())) {
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

fn of_examination(exam: &Examination, vocabulary: &Vocabulary) -> Vec<Item> {
    let date = exam.about.date.map(|d| d.to_string()).unwrap_or_default();
    let mut items = Vec::new();
    each(&exam.measurements, &date, Section::Dimensions, |m, r| dimension(m, vocabulary, r), &mut items);
    each(&exam.textiles, &date, Section::Cloth, textile, &mut items);
    each(&exam.stitching, &date, Section::Stitching, stitching, &mut items);
    each(&exam.fastenings, &date, Section::Fastenings, fastening, &mut items);
    each(&exam.stiffening, &date, Section::Stiffening, stiffening, &mut items);
    each(&exam.trimmings, &date, Section::Trimmings, trimming, &mut items);
    items
}

fn each<T>(list: &[Observed<T>], date: &str, section: Section, read: impl Fn(&T, &mut Reading), items: &mut Vec<Item>) {
    for seen in list.iter().filter(|o| o.withdrawn.is_none()) {
        let mut reading = Reading::default();
        read(&seen.what, &mut reading);
        let known = Provenance::of(seen.evidence.as_ref(), seen.certainty.as_ref(), date);
        items.push(Item {
            section,
            component: seen.component.clone().unwrap_or_default(),
            name: reading.name,
            variant: reading.variant,
            order: reading.order,
            aspects: reading
                .values
                .into_iter()
                .map(|(name, value)| Aspect { name, value, known: known.clone() })
                .collect(),
        });
    }
}

/// What is read off one observation.
#[derive(Default)]
struct Reading {
    name: String,
    variant: String,
    order: Option<i64>,
    values: Vec<(&'static str, Value)>,
}

impl Reading {
    fn named(&mut self, term: Option<&TermId>, otherwise: &str) {
        self.name = term.map_or(otherwise, |t| t.name()).into();
    }

    fn add(&mut self, name: &'static str, value: Option<Value>) {
        self.values.extend(value.map(|v| (name, v)));
    }

    fn term(&mut self, name: &'static str, term: Option<&TermId>) {
        self.add(name, term.map(|t| Value::Terms(vec![t.clone()])));
    }

    /// A kind that may be counted: a count of none means that it is known to be absent.
    fn kind_and_count(&mut self, term: Option<&TermId>, count_name: &'static str, count: Option<i64>) {
        if count == Some(0) {
            self.add("", Some(Value::Absent));
        } else {
            self.term("", term);
            self.add(count_name, count.map(Value::count));
        }
    }
}

fn dimension(m: &Measurement, vocabulary: &Vocabulary, r: &mut Reading) {
    r.named(m.dimension.as_ref(), "dimension");
    r.variant = m.taken.clone().unwrap_or_default();
    let group = m.dimension.as_ref().and_then(|d| vocabulary.get(d)).and_then(|t| t.group.as_deref());
    let measure = match group {
        Some("fixed") => Measure::Fixed,
        Some("girth") => Measure::Girth,
        _ => Measure::Length,
    };
    let figure = Value::figure(m.estimate(), &m.readings, measure);
    r.add("", figure.map(|figure| figure.taken_with(m.instrument.as_deref())));
}

fn textile(t: &Textile, r: &mut Reading) {
    r.named(t.role.as_ref(), "textile");
    r.variant = t.name.clone().unwrap_or_default();
    let fibres: Vec<TermId> = t.fibres.iter().filter_map(|f| f.fibre.clone()).collect();
    r.add("fibres", Value::terms(fibres));
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
    r.add("loom width", t.loom_width.as_ref().and_then(|q| Value::single(q, Measure::Length)));
    r.add("colour", t.colour.clone().map(Value::Words));
    r.add("finish", Value::terms(t.finish.clone()));
    r.add("selvedge", t.selvedge.clone().map(Value::Words));
}

/// The mass as measured, else as estimated.
fn mass_per_area(t: &Textile, worked: Option<cloth::Mass>) -> Option<Value> {
    match (&t.mass, worked) {
        (Some(measured), _) => Value::single(measured, Measure::MassPerArea),
        (None, worked) => {
            worked.map(|m| Value::worked_out(m.estimate, "from setts, yarns and crimp", Measure::MassPerArea))
        }
    }
}

fn yarn(yarn: &Yarn, worked: &cloth::Twist, names: [&'static str; 6], r: &mut Reading) {
    let [twist, plies, angle, number, turns, crimp] = names;
    r.add(twist, yarn.twist.clone().map(Value::Choice));
    r.add(plies, yarn.ply.map(Value::count));
    let read = yarn.angle.as_ref().and_then(|q| Value::single(q, Measure::Angle));
    let worked = worked.angle.map(|a| Value::worked_out(a, "from turns and diameter", Measure::Angle));
    r.add(angle, read.or(worked));
    r.add(number, yarn.number.as_ref().and_then(|q| Value::single(q, Measure::Yarn)));
    r.add(turns, yarn.turns.as_ref().and_then(|q| Value::single(q, Measure::Turns)));
    r.add(crimp, yarn.crimp.as_ref().and_then(|q| Value::single(q, Measure::Crimp)));
}

fn stitching(s: &Stitching, r: &mut Reading) {
    r.named(s.purpose.as_ref(), "stitching");
    r.variant = s.stitch.as_ref().map(|t| t.name().to_string()).unwrap_or_default();
    r.order = s.order_of_work;
    r.term("stitch", s.stitch.as_ref());
    r.term("seam", s.seam.as_ref());
    r.add("made by", s.made.clone().map(Value::Choice));
    r.add("stitch density", Value::figure(s.estimate(), &s.density, Measure::Stitches));
    r.add("seam allowance", s.allowance.as_ref().and_then(|q| Value::single(q, Measure::Fixed)));
    r.add("length", s.length.as_ref().and_then(|q| Value::single(q, Measure::Length)));
    r.add("thread", s.thread.clone().map(Value::Words));
}

fn fastening(f: &Fastening, r: &mut Reading) {
    r.named(f.fastening.as_ref(), "fastening");
    r.kind_and_count(f.fastening.as_ref(), "count", f.count);
    r.add("size", f.size.as_ref().and_then(|q| Value::single(q, Measure::Fixed)));
    r.add("spacing", f.spacing.as_ref().and_then(|q| Value::single(q, Measure::Fixed)));
    r.add("material", f.material.clone().map(Value::Words));
    r.add("worked", f.worked.clone().map(Value::Words));
}

fn stiffening(s: &Stiffening, r: &mut Reading) {
    r.named(s.stiffener.as_ref(), "stiffening");
    r.kind_and_count(s.stiffener.as_ref(), "count", s.count);
    r.add("width", s.width.as_ref().and_then(|q| Value::single(q, Measure::Fixed)));
    r.add("thickness", s.thickness.as_ref().and_then(|q| Value::single(q, Measure::Thickness)));
    r.add("length", s.length.as_ref().and_then(|q| Value::single(q, Measure::Length)));
    r.add("channel", s.channel.clone().map(Value::Words));
}

fn trimming(t: &Trimming, r: &mut Reading) {
    r.named(t.trimming.as_ref(), "trimming");
    r.term("", t.trimming.as_ref());
    r.add("width", t.width.as_ref().and_then(|q| Value::single(q, Measure::Fixed)));
    r.add("length", t.length.as_ref().and_then(|q| Value::single(q, Measure::Length)));
    r.add("material", t.material.clone().map(Value::Words));
    r.add("placing", t.placing.clone().map(Value::Words));
}
