//! What the lines of a work log sewed: stitches and hours, and how far each line of stitches was brought.

use serde::Serialize;

use super::Line;
use super::seams::{Seam, seams};
use crate::measure::{Estimate, Pair};
use crate::record::PieceFile;
use crate::record::making::Work;
use crate::vocabulary::TermId;

/// Stitches that a maker sewed, and the time they took: one point of a fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sewn {
    /// The piece.
    pub number: String,
    /// Day of the line, or of the first of those that together sewed one line of stitches.
    pub date: String,
    /// What was sewn: purpose and component, or the task.
    pub what: String,
    /// The stitch.
    pub stitch: String,
    /// Hours and their standard uncertainty.
    pub hours: (f64, f64),
    /// Stitches and their standard uncertainty.
    pub stitches: (f64, f64),
}

impl Sewn {
    pub(super) fn pair(&self) -> Pair {
        Pair { x: self.hours.0, u_x: self.hours.1, y: self.stitches.0, u_y: self.stitches.1 }
    }
}

/// A line of the log that names stitches but gives no pace.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PassedOver {
    /// The piece.
    pub number: String,
    /// The day.
    pub date: String,
    /// The task.
    pub task: String,
    /// Why.
    pub why: String,
}

/// How far a line of stitches was brought.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// The log says that it was sewn.
    Done,
    /// The log says that it was begun; with the share that was sewn, where lengths tell.
    Begun(Option<f64>),
    /// No line of the log names it.
    NotLogged,
}

/// The lines of the log that name one purpose and component.
struct Group<'a> {
    purpose: &'a TermId,
    component: Option<&'a str>,
    lines: Vec<&'a Work>,
}

impl Group<'_> {
    fn takes_in(&self, file: &PieceFile, seam: &Seam) -> bool {
        seam.purpose.as_ref() == Some(self.purpose)
            && self.component.is_none_or(|c| part_of(file, seam.component.as_deref(), c))
    }
}

fn day(work: &Work) -> String {
    work.date.map(|d| d.to_string()).unwrap_or_default()
}

/// Which lines of stitches have all their hours in the log, being done and reckoned, and these hours: what was logged can
/// be set against what they should take.
pub(super) fn comparable(file: &PieceFile, lines: &[Line]) -> (Vec<bool>, f64) {
    let (mut compared, mut hours) = (vec![false; lines.len()], 0.0);
    for group in groups(file) {
        let within = |l: &Line| {
            let component = Some(l.component.as_str()).filter(|c| !c.is_empty());
            l.purpose == group.purpose.name() && group.component.is_none_or(|c| part_of(file, component, c))
        };
        let here: Vec<usize> = (0..lines.len()).filter(|i| within(&lines[*i])).collect();
        let whole = |i: &usize| lines[*i].standing == Some(Standing::Done) && lines[*i].hours.is_some();
        let timed = group.lines.iter().all(|w| w.hours.is_some());
        if timed && !here.is_empty() && here.iter().all(whole) {
            here.iter().for_each(|i| compared[*i] = true);
            hours += group.lines.iter().filter_map(|w| w.hours.as_ref()).map(|q| q.value).sum::<f64>();
        }
    }
    (compared, hours)
}

/// Whether a component is another or belongs to it, however far up.
fn part_of(file: &PieceFile, component: Option<&str>, whole: &str) -> bool {
    let mut at = component;
    // No chain is longer than the list of components; one that runs in a ring ends there.
    for _ in 0..=file.components.len() {
        match at {
            None => return false,
            Some(name) if name.trim().eq_ignore_ascii_case(whole.trim()) => return true,
            Some(name) => {
                let record = file.components.iter().find(|c| c.name.as_deref() == Some(name));
                at = record.and_then(|c| c.part_of.as_deref());
            }
        }
    }
    false
}

fn groups(file: &PieceFile) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for work in &file.work {
        let Some(purpose) = &work.purpose else { continue };
        let component = work.component.as_deref();
        match groups.iter_mut().find(|g| g.purpose == purpose && g.component == component) {
            Some(group) => group.lines.push(work),
            None => groups.push(Group { purpose, component, lines: vec![work] }),
        }
    }
    groups
}

/// How far the log of a piece says that a line of stitches was brought.
pub(super) fn standing(file: &PieceFile, all: &[Seam], seam: &Seam) -> Standing {
    let mut best = Standing::NotLogged;
    for group in groups(file).iter().filter(|g| g.takes_in(file, seam)) {
        let says = |word: &str| group.lines.iter().any(|w| w.done.as_deref() == Some(word));
        let whole = group.lines.iter().any(|w| w.done.is_none() && w.sewn.is_none());
        if says("finished") || whole {
            return Standing::Done;
        }
        let sewn: f64 = group.lines.iter().filter_map(|w| w.sewn.as_ref()).map(|q| q.value).sum();
        let lengths: Option<f64> =
            all.iter().filter(|s| group.takes_in(file, s)).map(|s| s.length.map(|l| l.value)).sum();
        let share = lengths.filter(|l| *l > 0.0 && sewn > 0.0).map(|l| sewn / l);
        if share.is_some_and(|s| s >= 1.0) && !says("begun") {
            return Standing::Done;
        }
        best = Standing::Begun(share.map(|s| s.min(1.0)));
    }
    best
}

/// What the log of a piece gives for a pace, and what it passes over.
pub(super) fn sewn(file: &PieceFile) -> (Vec<Sewn>, Vec<PassedOver>) {
    let seams = seams(file);
    let (mut found, mut over) = (Vec::new(), Vec::new());
    let mut pass = |work: &Work, why: String| {
        let task = work.task.clone().unwrap_or_default();
        over.push(PassedOver { number: file.number().to_owned(), date: day(work), task, why });
    };
    // Stitches that were counted with no line of stitches named.
    for work in file.work.iter().filter(|w| w.purpose.is_none()) {
        match (&work.stitch, &work.stitches, &work.hours) {
            (None, _, _) => {}
            (Some(stitch), Some(n), Some(hours)) => {
                let what = work.task.clone().unwrap_or_default();
                found.push(one(file, work, stitch, what, hours.into(), n.into()));
            }
            (Some(_), None, _) => pass(work, "neither a purpose nor a count of stitches is given".into()),
            (Some(_), _, None) => pass(work, "no hours are given".into()),
        }
    }
    for group in groups(file) {
        let here: Vec<&Seam> = seams.iter().filter(|s| group.takes_in(file, s)).collect();
        let what = [group.purpose.name(), group.component.unwrap_or_default()].join(", ");
        let what = what.trim_end_matches([',', ' ']).to_owned();
        let mut whole: Vec<&Work> = Vec::new();
        for work in group.lines {
            let Some(hours) = &work.hours else {
                pass(work, "no hours are given".into());
                continue;
            };
            let by_length = |q| Ok::<_, String>(product(q, density(&here)?));
            let stitches = match (&work.stitches, &work.sewn) {
                (Some(n), _) => Ok(Estimate::from(n)),
                (None, Some(length)) => by_length(Estimate::from(length)),
                (None, None) => {
                    whole.push(work);
                    continue;
                }
            };
            match stitches.and_then(|n| Ok((n, stitch_of(work, &here)?))) {
                Ok((n, stitch)) => found.push(one(file, work, &stitch, what.clone(), hours.into(), n)),
                Err(why) => pass(work, why),
            }
        }
        let Some(last) = whole.last().copied() else { continue };
        let begun = whole.iter().any(|w| w.done.as_deref() == Some("begun"));
        let finished = whole.iter().any(|w| w.done.as_deref() != Some("begun"));
        if begun && !finished {
            pass(last, "the line was begun only, and no length says how far".into());
            continue;
        }
        let hours =
            whole.iter().filter_map(|w| w.hours.as_ref()).fold((0.0, 0.0f64), |s, q| (s.0 + q.value, s.1.hypot(q.u)));
        match counted(&here).and_then(|n| Ok((n, stitch_of(last, &here)?))) {
            Ok((n, stitch)) => {
                found.push(one(file, whole[0], &stitch, what, Estimate::new(hours.0, hours.1), n));
            }
            Err(why) => pass(last, why),
        }
    }
    found.retain(|s| s.hours.0 > 0.0 && s.stitches.0 > 0.0);
    (found, over)
}

fn one(file: &PieceFile, work: &Work, stitch: &TermId, what: String, hours: Estimate, stitches: Estimate) -> Sewn {
    Sewn {
        number: file.number().to_owned(),
        date: day(work),
        what,
        stitch: stitch.name().to_owned(),
        hours: (hours.value, hours.u),
        stitches: (stitches.value, stitches.u),
    }
}

/// Length times density: `length` in millimetres, `density` per centimetre.
pub(super) fn product(length: Estimate, density: Estimate) -> Estimate {
    let value = length.value * density.value / 10.0;
    let share = |e: Estimate| if e.value > 0.0 { e.u / e.value } else { 0.0 };
    Estimate::new(value, value * share(length).hypot(share(density)))
}

/// The stitch of a line of the log: its own, or the one stitch of the lines it names.
fn stitch_of(work: &Work, here: &[&Seam]) -> Result<TermId, String> {
    if let Some(stitch) = &work.stitch {
        return Ok(stitch.clone());
    }
    let mut stitches: Vec<&TermId> = here.iter().filter_map(|s| s.stitch.as_ref()).collect();
    stitches.dedup();
    match (stitches.as_slice(), here.len()) {
        ([one], _) if here.iter().all(|s| s.stitch.is_some()) => Ok((*one).clone()),
        (_, 0) => Err("no stitching is recorded for it, and the line names no stitch".into()),
        _ => Err("the stitching recorded for it has more than one stitch or none; name the one sewn".into()),
    }
}

/// The density of the lines named, which must agree on one line.
fn density(here: &[&Seam]) -> Result<Estimate, String> {
    let known: Vec<Estimate> = here.iter().filter_map(|s| s.density).collect();
    match known.as_slice() {
        [] => Err("no stitch density is recorded for it".into()),
        [one] => Ok(*one),
        many => {
            let n = many.len() as f64;
            let u = many.iter().fold(0.0f64, |u, e| u.hypot(e.u)) / n;
            Ok(Estimate::new(many.iter().map(|e| e.value).sum::<f64>() / n, u))
        }
    }
}

/// The stitches of all lines named together; each must be known.
fn counted(here: &[&Seam]) -> Result<Estimate, String> {
    if here.is_empty() {
        return Err("no stitching is recorded for it".into());
    }
    let mut sum = (0.0, 0.0f64);
    for seam in here {
        let n = seam.stitches.ok_or_else(|| format!("{} not recorded for it", seam.missing().join(" and ")))?;
        sum = (sum.0 + n.value, sum.1.hypot(n.u));
    }
    Ok(Estimate::new(sum.0, sum.1))
}
