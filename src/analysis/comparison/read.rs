//! Items read off the records: which property of an observation is compared, and as what kind of value.

use std::borrow::Cow;

use jiff::civil::Date;

use super::colour;
use super::features::{Aspect, Item, Section};
use super::names::normal;
use super::tolerance::Measure;
use super::value::{Provenance, Value};
use crate::analysis::cloth;
use crate::measure::Quantity;
use crate::record::construction::{Fastening, Stiffening, Stitching, Trimming};
use crate::record::measurement::Measurement;
use crate::record::piece::Component;
use crate::record::textile::{Textile, Yarn};
use crate::record::{Examination, Observed};
use crate::vocabulary::{TermId, Vocabulary};

/// How many there are alike of a component, where that is recorded.
pub(super) fn counted(component: &Component) -> Option<Item<'_>> {
    Some(count(component.name.as_deref()?, Value::count(component.count?)))
}

/// How many of a component are listed one by one, under these names.
pub(super) fn listed<'a>(component: &'a str, n: i64, names: &[&str]) -> Item<'a> {
    count(component, Value::count(n).written(format!("{n} ({})", names.join(", "))))
}

fn count<'a>(name: &'a str, value: Value<'a>) -> Item<'a> {
    Item {
        section: Section::Components,
        component: name,
        place: normal(name),
        at: None,
        name: "count",
        key: Cow::Borrowed("count"),
        variant: "",
        order: None,
        aspects: vec![Aspect { name: "", value, known: Provenance::default() }],
    }
}

pub(super) fn of_examination<'a>(exam: &'a Examination, vocabulary: &Vocabulary) -> Vec<Item<'a>> {
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
            at: None,
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
