//! What a piece takes to sew: its lines of stitches, the pace they are reckoned by, what is logged and what is left.

use serde::Serialize;

use super::press::{self, Sheet};
use super::words::{capital, day, joined, text};
use super::{ReportFault, Settings};
use crate::analysis::effort::{Effort, FEWEST, Hours, Line, Rate, Standing, Total};
use crate::measure::rounded;
use crate::record::PieceFile;

#[derive(Debug, Serialize)]
struct Page {
    number: String,
    line: String,
    sums: Vec<[String; 2]>,
    reckoned: Vec<Row>,
    unknown: Vec<Unknown>,
    rates: Vec<RateRow>,
    passed_over: Vec<String>,
    /// Whether the piece keeps a log.
    logged: bool,
    fewest: usize,
}

#[derive(Debug, Serialize)]
struct Row {
    what: String,
    place: String,
    stitch: String,
    length: String,
    per_cm: String,
    stitches: String,
    hours: String,
    interval: String,
    standing: String,
    remark: String,
}

#[derive(Debug, Serialize)]
struct Unknown {
    what: String,
    place: String,
    why: String,
    standing: String,
}

#[derive(Debug, Serialize)]
struct RateRow {
    stitch: String,
    per_hour: String,
    interval: String,
    basis: String,
    lines: Vec<String>,
}

/// `12 h 20 min`.
pub(crate) fn clock(hours: f64) -> String {
    let minutes = (hours * 60.0).round().clamp(0.0, 1e9) as i64;
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

/// `6 h to 14 h`.
pub(crate) fn interval(hours: &Hours) -> String {
    match hours.high {
        Some(high) => format!("{} to {}", clock(hours.low), clock(high)),
        None => format!("{} at least; the log sets no upper end", clock(hours.low)),
    }
}

/// What a sum comes to, in words.
pub(crate) fn sum(total: &Total) -> String {
    let unknown = match total.unknown {
        0 => String::new(),
        1 => "; 1 more line could not be reckoned".to_owned(),
        n => format!("; {n} more lines could not be reckoned"),
    };
    if total.lines == 0 {
        return format!("no line could be reckoned{unknown}");
    }
    let (n, u) = rounded(total.stitches.0, total.stitches.1);
    let lines = if total.lines == 1 { "1 line".to_owned() } else { format!("{} lines", total.lines) };
    format!("{} ({}), {n} stitches (u {u}), {lines}{unknown}", clock(total.hours.value), interval(&total.hours))
}

/// How far a line was brought, in words; blank where no log is kept.
pub(crate) fn standing(line: &Line) -> String {
    match line.standing {
        None => String::new(),
        Some(Standing::Done) => "done".into(),
        Some(Standing::Begun(None)) => "begun".into(),
        Some(Standing::Begun(Some(share))) => format!("{:.0} % sewn", share * 100.0),
        Some(Standing::NotLogged) => "not in the log".into(),
    }
}

fn place(line: &Line) -> String {
    let place = if line.component.is_empty() { "whole piece".to_owned() } else { line.component.clone() };
    joined([place, line.after.as_ref().map(|n| format!("as on {n}")).unwrap_or_default()], ", ")
}

fn row(line: &Line) -> Option<Row> {
    let (hours, (n, u)) = (line.hours?, line.stitches?);
    let (n, u) = rounded(n, u);
    Some(Row {
        what: capital(&line.purpose),
        place: place(line),
        stitch: line.stitch.clone(),
        length: line.length_mm.map(|mm| format!("{:.1} cm", mm / 10.0)).unwrap_or_default(),
        per_cm: line.per_cm.map(|d| format!("{d:.2}")).unwrap_or_default(),
        stitches: format!("{n}, u\u{a0}{u}"),
        hours: clock(hours.value),
        interval: interval(&hours),
        standing: standing(line),
        remark: line.remark.clone(),
    })
}

fn rate(rate: &Rate) -> RateRow {
    let low = rate.interval.0.max(0.0);
    RateRow {
        stitch: capital(&rate.stitch),
        per_hour: format!("{:.0}", rate.per_hour),
        interval: format!("{low:.0} to {:.0}", rate.interval.1),
        basis: rate.in_words(),
        lines: rate
            .lines
            .iter()
            .map(|s| {
                format!("{}, {}: {}, {:.0} stitches in {}", s.number, s.date, s.what, s.stitches.0, clock(s.hours.0))
            })
            .collect(),
    }
}

fn sums(e: &Effort) -> Vec<[String; 2]> {
    let mut list = vec![["The whole piece".to_owned(), sum(&e.whole)]];
    if let Some(left) = &e.left {
        let words = if left.lines + left.unknown == 0 { "nothing: the log names every line".into() } else { sum(left) };
        list.push(["Left to do".into(), words]);
        list.push([
            "Logged".into(),
            format!("{} in all, {} of it for named seams", clock(e.logged.all), clock(e.logged.sewing)),
        ]);
    }
    if e.compared.lines > 0 {
        list.push([
            "Logged against reckoned".into(),
            format!(
                "{} logged for lines that should take {} ({})",
                clock(e.logged.comparable),
                clock(e.compared.hours.value),
                interval(&e.compared.hours)
            ),
        ]);
    }
    list
}

pub(super) fn print(file: &PieceFile, e: &Effort, settings: &Settings<'_>) -> Result<String, ReportFault> {
    let unknown = |l: &Line| Unknown {
        what: capital(&l.purpose),
        place: place(l),
        why: l.why_not.clone(),
        standing: standing(l),
    };
    let page = Page {
        number: e.number.clone(),
        line: joined([text(file.piece.title.as_ref()), text(file.piece.maker.as_ref())], "; "),
        sums: sums(e),
        reckoned: e.lines.iter().filter_map(row).collect(),
        unknown: e.lines.iter().filter(|l| l.hours.is_none()).map(unknown).collect(),
        rates: e.rates.iter().map(rate).collect(),
        passed_over: e.passed_over.iter().map(|p| format!("{}, {}, {}: {}", p.number, p.date, p.task, p.why)).collect(),
        logged: e.left.is_some(),
        fewest: FEWEST,
    };
    let sheet = Sheet {
        title: format!("{}: sewing effort", e.number),
        running_left: format!("Sewing effort {}", e.number),
        running_right: settings.collection.trim().to_owned(),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.trim().to_owned(),
    };
    press::print("effort.html", &sheet, &page)
}
