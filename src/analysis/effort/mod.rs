//! What a piece takes to sew: stitches from seam lengths and densities, hours from a maker's pace, against the hours she
//! logged; and what is left to do.
//!
//! A length or a density that is not recorded stays unknown, and so do the hours of that line: the sums say of how many
//! lines they are.

mod log;
mod rates;
mod seams;
#[cfg(test)]
mod tests;

use serde::Serialize;

pub use log::{PassedOver, Sewn, Standing};
pub use rates::{Basis, FEWEST, Rate};

use self::seams::{Seam, seams};
use crate::measure::Estimate;
use crate::record::PieceFile;
use crate::record::making::Work;
use crate::vocabulary::TermId;

/// Hours with their 95 % interval; without an upper end where the log does not bound them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Hours {
    /// The hours.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: Option<f64>,
}

/// One line of stitches with its reckoning.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What it is for.
    pub purpose: String,
    /// On which component; blank for the whole piece.
    pub component: String,
    /// The stitch; blank if it is not recorded.
    pub stitch: String,
    /// Length, millimetres.
    pub length_mm: Option<f64>,
    /// Stitches a centimetre.
    pub per_cm: Option<f64>,
    /// Stitches and their standard uncertainty.
    pub stitches: Option<(f64, f64)>,
    /// What it takes whole.
    pub hours: Option<Hours>,
    /// Why it could not be reckoned; blank if it was.
    pub why_not: String,
    /// How far the log says it was brought; none where the piece has no log and nothing is made after it here.
    pub standing: Option<Standing>,
    /// The piece whose record it is, where that is the model.
    pub after: Option<String>,
    /// Anything to know about it.
    pub remark: String,
}

/// A sum over lines.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Total {
    /// How many lines it is over.
    pub lines: usize,
    /// How many more could not be reckoned.
    pub unknown: usize,
    /// Stitches and their standard uncertainty.
    pub stitches: (f64, f64),
    /// Hours.
    pub hours: Hours,
}

/// The hours of the work log.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Logged {
    /// All hours.
    pub all: f64,
    /// Those of lines that name a seam or a stitch.
    pub sewing: f64,
    /// Those that sewed lines of stitches which are done and could be reckoned: to be set against what these should take.
    pub comparable: f64,
}

/// What a piece takes to sew.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Effort {
    /// Accession number.
    pub number: String,
    /// Every line of stitches.
    pub lines: Vec<Line>,
    /// The rates that were used, and those that the log gives beside.
    pub rates: Vec<Rate>,
    /// The whole piece, as far as it could be reckoned.
    pub whole: Total,
    /// What the lines behind [`Logged::comparable`] should take by these rates.
    pub compared: Total,
    /// What is left; none where the piece keeps no log and follows no model.
    pub left: Option<Total>,
    /// What was logged.
    pub logged: Logged,
    /// Lines of the logs that name stitches but give no pace.
    pub passed_over: Vec<PassedOver>,
}

/// What `file` takes to sew by the pace of `logs`. Lines that its `models` have and it has not are taken to be still to
/// come, if it keeps a log.
pub fn effort(file: &PieceFile, models: &[PieceFile], logs: &[PieceFile]) -> Effort {
    let (mut sewn, mut passed_over) = (Vec::new(), Vec::new());
    for log in logs {
        let (found, over) = log::sewn(log);
        sewn.extend(found);
        passed_over.extend(over);
    }
    let own = seams(file);
    let in_hand = !file.work.is_empty();
    let mut planned: Vec<(Option<String>, Seam)> = own.into_iter().map(|s| (None, s)).collect();
    for model in models.iter().filter(|_| in_hand) {
        for seam in seams(model) {
            if !planned.iter().any(|(_, s)| s.same_line(&seam)) {
                planned.push((Some(model.number().to_owned()), seam));
            }
        }
    }
    let mut names: Vec<&str> = sewn.iter().map(|s| s.stitch.as_str()).collect();
    let by_hand = planned.iter().filter(|(_, s)| !s.by_machine);
    names.extend(by_hand.filter_map(|(_, s)| s.stitch.as_ref()).map(TermId::name));
    names.sort_unstable();
    names.dedup();
    let lines_of = |name: &str| sewn.iter().filter(|s| s.stitch == name).cloned().collect();
    let rates: Vec<Rate> = names.iter().filter_map(|name| Rate::of(name, lines_of(name))).collect();

    let all: Vec<Seam> = planned.iter().map(|(_, s)| s.clone()).collect();
    let lines: Vec<Line> = planned
        .iter()
        .map(|(after, seam)| {
            let standing = in_hand.then(|| log::standing(file, &all, seam));
            line(seam, after.clone(), standing, &rates)
        })
        .collect();
    let (compared, comparable) = log::comparable(file, &lines);
    let compared: Vec<Line> = lines.iter().zip(compared).filter(|(_, c)| *c).map(|(l, _)| l.clone()).collect();
    let left = |l: &Line| match l.standing {
        Some(Standing::Done) => 0.0,
        Some(Standing::Begun(share)) => 1.0 - share.unwrap_or(0.0),
        Some(Standing::NotLogged) | None => 1.0,
    };
    Effort {
        number: file.number().to_owned(),
        whole: total(&lines, &rates, |_| 1.0),
        compared: total(&compared, &rates, |_| 1.0),
        left: in_hand.then(|| total(&lines, &rates, left)),
        logged: logged(file, comparable),
        lines,
        rates,
        passed_over,
    }
}

fn line(seam: &Seam, after: Option<String>, standing: Option<Standing>, rates: &[Rate]) -> Line {
    let stitch = seam.stitch.as_ref().map(|t| t.name().to_owned()).unwrap_or_default();
    let rate = rates.iter().find(|r| r.stitch == stitch);
    let missing = seam.missing();
    let why_not = if seam.by_machine {
        "sewn by machine: a hand's pace says nothing of it".to_owned()
    } else if !missing.is_empty() {
        format!("{} not recorded", missing.join(" and "))
    } else if stitch.is_empty() {
        "stitch not recorded".into()
    } else if rate.is_none() {
        format!("no rate is known for `{stitch}`: name it in {FEWEST} lines of the work log")
    } else {
        String::new()
    };
    let reckoned = rate.filter(|_| why_not.is_empty());
    let alike = seam.alike.map(|n| format!("the component stands for {n} alike; reckoned once, as recorded"));
    let halfway = matches!(standing, Some(Standing::Begun(None)))
        .then(|| "begun, no length says how far: all of it is counted as left".to_owned());
    Line {
        purpose: seam.purpose.as_ref().map(|t| t.name().to_owned()).unwrap_or_default(),
        component: seam.component.clone().unwrap_or_default(),
        length_mm: seam.length.map(|l| l.value),
        per_cm: seam.density.map(|d| d.value),
        stitches: seam.stitches.map(|n| (n.value, n.u)),
        hours: reckoned.zip(seam.stitches).map(|(rate, n)| hours(&[(rate, n)])),
        why_not,
        standing,
        after,
        remark: alike.into_iter().chain(halfway).collect::<Vec<_>>().join("; "),
        stitch,
    }
}

/// Stitches over rates. All lines of one stitch share what its rate is out by; the stitches of different lines and the
/// rates of different stitches are independent, so those add up in squares.
fn hours(parts: &[(&Rate, Estimate)]) -> Hours {
    let mut sums: Vec<(&Rate, f64)> = Vec::new();
    let mut own = 0.0f64;
    for (rate, n) in parts {
        own = own.hypot(2.0 * n.u / rate.per_hour);
        match sums.iter_mut().find(|(r, _)| r.stitch == rate.stitch) {
            Some((_, sum)) => *sum += n.value,
            None => sums.push((*rate, n.value)),
        }
    }
    let value: f64 = sums.iter().map(|(r, n)| n / r.per_hour).sum();
    let less = sums.iter().map(|(r, n)| n / r.per_hour - n / r.interval.1).fold(own, f64::hypot);
    let more = sums.iter().map(|(r, n)| (r.interval.0 > 0.0).then(|| n / r.interval.0 - n / r.per_hour));
    let more = more.collect::<Option<Vec<f64>>>().map(|list| list.into_iter().fold(own, f64::hypot));
    Hours { value, low: (value - less).max(0.0), high: more.map(|m| value + m) }
}

/// The sum over a share of each line; lines with no share are not counted.
fn total(lines: &[Line], rates: &[Rate], share: impl Fn(&Line) -> f64) -> Total {
    let mut sum = Total::default();
    let mut parts = Vec::new();
    for line in lines.iter().filter(|l| share(l) > 0.0) {
        let rate = rates.iter().find(|r| r.stitch == line.stitch);
        match (line.stitches, rate, line.hours) {
            (Some((n, u)), Some(rate), Some(_)) => {
                let part = Estimate::new(n * share(line), u * share(line));
                sum.lines += 1;
                sum.stitches = (sum.stitches.0 + part.value, sum.stitches.1.hypot(part.u));
                parts.push((rate, part));
            }
            _ => sum.unknown += 1,
        }
    }
    sum.hours = hours(&parts);
    sum
}

fn logged(file: &PieceFile, comparable: f64) -> Logged {
    let hours = |w: &Work| w.hours.as_ref().map_or(0.0, |q| q.value);
    let sewing = file.work.iter().filter(|w| w.purpose.is_some() || w.stitch.is_some());
    Logged { all: file.work.iter().map(hours).sum(), sewing: sewing.map(hours).sum(), comparable }
}
