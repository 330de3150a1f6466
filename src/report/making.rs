//! Materials, construction and dimensions as tables of finished words.

use serde::Serialize;

use super::words::{Facts, amount, capital, density, expanded, in_both, joined, known, place, readings, term, text};
use crate::measure::System;
use crate::record::condition::Sign;
use crate::record::construction::{Fastening, Step, Stiffening, Stitching, Trimming};
use crate::record::measurement::Measurement;
use crate::record::{Examination, Observation, Observed, PieceFile};

/// Rows of one kind, and which examination they come from.
#[derive(Debug, Serialize)]
pub(super) struct Group<R> {
    pub rows: Vec<R>,
    /// Blank if they belong to the examination reported; else whose they are.
    pub from: String,
    /// What holds for every row and is not printed in each; blank if nothing does.
    pub shared: String,
}

/// The kinds of line of which nothing is recorded, to be named together.
pub(super) fn unrecorded(kinds: &[(&'static str, &[Group<Line>])]) -> Vec<&'static str> {
    kinds.iter().filter(|(_, groups)| groups.is_empty()).map(|(name, _)| *name).collect()
}

/// A row that can stand for an earlier one.
pub(super) trait Row {
    /// What it is about, and where.
    fn about(&self) -> (&str, &str);
    /// How much it says: a fuller earlier row is printed beside a later one that only adds a detail.
    fn says(&self) -> usize;
}

/// The rows of the examination at `at`, then those of earlier ones, the latest first, that say something which no
/// later row about the same thing says.
pub(super) fn groups<T: Observation, R: Row>(
    file: &PieceFile,
    at: usize,
    pick: impl Fn(&Examination) -> &Vec<Observed<T>>,
    row: impl Fn(&Observed<T>) -> R,
) -> Vec<Group<R>> {
    let mut groups: Vec<Group<R>> = Vec::new();
    for (i, exam) in file.examinations.iter().enumerate().take(at + 1).rev() {
        let said = |r: &R| {
            let later = groups.iter().flat_map(|g| &g.rows);
            later.filter(|l| l.about() == r.about()).any(|l| l.says() >= r.says())
        };
        let stand = pick(exam).iter().filter(|o| o.withdrawn.is_none());
        let rows: Vec<R> = stand.map(&row).filter(|r| i == at || !said(r)).collect();
        if !rows.is_empty() {
            let from = if i == at { String::new() } else { super::condition::whose(exam) };
            groups.push(Group { rows, from, shared: String::new() });
        }
    }
    groups
}

/// One observation as a line: its name, its facts, and what was made of it.
#[derive(Debug, Serialize)]
pub(super) struct Line {
    pub head: String,
    pub place: String,
    pub facts: Facts,
    pub known: String,
    pub note: String,
    pub interpretation: String,
}

impl Row for Line {
    fn about(&self) -> (&str, &str) {
        (&self.head, &self.place)
    }
    fn says(&self) -> usize {
        self.facts.rows.len()
    }
}

pub(super) fn line<T>(o: &Observed<T>, head: &str, facts: Facts) -> Line {
    Line {
        head: capital(head),
        place: place(o),
        facts,
        known: known(o),
        note: text(o.note.as_ref()),
        interpretation: text(o.interpretation.as_ref()),
    }
}

/// One line of stitches.
#[derive(Debug, Serialize)]
pub(super) struct StitchRow {
    pub line: Line,
    pub stitch: String,
    pub counted: String,
    pub per_cm: String,
    pub per_inch: String,
}

impl Row for StitchRow {
    fn about(&self) -> (&str, &str) {
        self.line.about()
    }
    fn says(&self) -> usize {
        self.line.says() + usize::from(!self.counted.is_empty())
    }
}

pub(super) fn stitching(o: &Observed<Stitching>) -> StitchRow {
    let s = &o.what;
    let by = s.made.as_ref().map(|m| format!("by {m}")).unwrap_or_default();
    let order = s.order_of_work.map(|n| n.to_string()).unwrap_or_default();
    let facts = Facts::default()
        .say("Seam", term(s.seam.as_ref()))
        .say("Thread", text(s.thread.as_ref()))
        .may_say("Line", amount(s.length.as_ref()))
        .may_say("Allowance", amount(s.allowance.as_ref()))
        .may_say("Order of work", order);
    let facts = if by.is_empty() { facts.say("by hand or machine", "") } else { facts };
    let facts = if s.stitch.is_none() { facts.say("stitch", "") } else { facts };
    let (per_cm, per_inch) = density(s.estimate().as_ref());
    let stitch = joined([term(s.stitch.as_ref()), by], ", ");
    StitchRow {
        line: line(o, &term(s.purpose.as_ref()), facts),
        stitch,
        counted: readings(&s.density),
        per_cm,
        per_inch,
    }
}

pub(super) fn fastening(o: &Observed<Fastening>) -> Line {
    let f = &o.what;
    let facts = Facts::default()
        .say("Count", f.count.map(|n| n.to_string()).unwrap_or_default())
        .say("Material", text(f.material.as_ref()))
        .may_say("Size of one", amount(f.size.as_ref()))
        .may_say("From one to the next", amount(f.spacing.as_ref()))
        .say("Worked", text(f.worked.as_ref()));
    line(o, &term(f.fastening.as_ref()), facts)
}

pub(super) fn stiffening(o: &Observed<Stiffening>) -> Line {
    let s = &o.what;
    let facts = Facts::default()
        .say("Count", s.count.map(|n| n.to_string()).unwrap_or_default())
        .may_say("Width", amount(s.width.as_ref()))
        .may_say("Thickness", amount(s.thickness.as_ref()))
        .may_say("Length", amount(s.length.as_ref()))
        .say("Channel", text(s.channel.as_ref()));
    line(o, &term(s.stiffener.as_ref()), facts)
}

pub(super) fn trimming(o: &Observed<Trimming>) -> Line {
    let t = &o.what;
    let facts = Facts::default()
        .say("Material", text(t.material.as_ref()))
        .may_say("Width", amount(t.width.as_ref()))
        .may_say("Length", amount(t.length.as_ref()))
        .say("Placing", text(t.placing.as_ref()));
    line(o, &term(t.trimming.as_ref()), facts)
}

pub(super) fn sign(o: &Observed<Sign>) -> Line {
    line(o, &term(o.what.sign.as_ref()), Facts::default().say("Seen", text(o.what.seen.as_ref())))
}

/// Steps in their order; those without a number keep the place in which they were listed.
pub(super) fn steps(file: &PieceFile, at: usize) -> Vec<Group<Line>> {
    let latest = (0..=at).rev().find(|i| file.examinations.get(*i).is_some_and(|e| !e.steps.is_empty()));
    let Some((i, exam)) = latest.and_then(|i| Some((i, file.examinations.get(i)?))) else {
        return Vec::new();
    };
    let mut steps: Vec<&Observed<Step>> = exam.steps.iter().filter(|o| o.withdrawn.is_none()).collect();
    steps.sort_by_key(|o| o.what.order_of_work.unwrap_or(i64::MAX));
    let rows: Vec<Line> = steps.into_iter().map(|o| line(o, &text(o.what.done.as_ref()), Facts::default())).collect();
    let from = if i == at { String::new() } else { super::condition::whose(exam) };
    if rows.is_empty() { Vec::new() } else { vec![Group { rows, from, shared: String::new() }] }
}

/// One dimension.
#[derive(Debug, Serialize)]
pub(super) struct DimensionRow {
    pub line: Line,
    pub readings: String,
    pub n: usize,
    /// The mean with its expanded uncertainty, in the preferred system.
    pub mean: String,
    /// The same in the other.
    pub also: String,
    /// Standard uncertainty and coverage factor.
    pub spread: String,
    pub taken: String,
    /// Instrument, step, evidence and certainty; blank where the group says them for all.
    pub how: String,
}

impl Row for DimensionRow {
    fn about(&self) -> (&str, &str) {
        self.line.about()
    }
    fn says(&self) -> usize {
        1
    }
}

fn dimension(o: &Observed<Measurement>, units: System) -> DimensionRow {
    let m = &o.what;
    let estimate = m.estimate();
    let [mean, also] = in_both(estimate.as_ref(), units);
    DimensionRow {
        line: line(o, &term(m.dimension.as_ref()), Facts::default()),
        readings: readings(&m.readings),
        n: m.readings.len(),
        mean,
        also,
        spread: expanded(estimate.as_ref()).1,
        taken: text(m.taken.as_ref()),
        how: how(o),
    }
}

fn how(o: &Observed<Measurement>) -> String {
    let instrument = text(o.what.instrument.as_ref());
    let instrument = if instrument.is_empty() { "instrument not recorded".to_owned() } else { instrument };
    let step = o.what.resolution.as_ref().map(|r| format!("read to {}", r.as_written)).unwrap_or_default();
    let limit =
        o.what.error_limit.as_ref().map(|l| format!("itself out by up to {}", l.as_written)).unwrap_or_default();
    joined([joined([instrument, step, limit], ", "), known(o)], "; ")
}

/// The dimensions; what all rows of a group have in common is said once.
pub(super) fn dimensions(file: &PieceFile, at: usize, units: System) -> Vec<Group<DimensionRow>> {
    let mut list = groups(file, at, |e| &e.measurements, |o| dimension(o, units));
    for group in &mut list {
        let first = group.rows.first().map(|r| r.how.clone()).unwrap_or_default();
        if group.rows.len() > 1 && group.rows.iter().all(|r| r.how == first) {
            group.rows.iter_mut().for_each(|r| r.how.clear());
            group.shared = first;
        }
    }
    list
}
