//! What light the piece had this year, and the days left; apart from its class, which the calendar does not change.
//!
//! Uncertain light is taken on the side that spares the cloth: the doses used at their upper end, the days left at their
//! lower end.

use jiff::civil::{Date, date};

use super::Line;
use super::light::{CIE, Class};
use crate::measure::{Bound, Estimate, Quantity};
use crate::optics::grouped;
use crate::record::PieceFile;
use crate::record::care::Display;

/// Hours of light a day that are reckoned with where none are recorded.
const USUAL_HOURS: f64 = 8.0;
/// The half width of what a light meter may be out by, as a part of its reading.
const METER: f64 = 0.1;

/// Where the piece was shown, in words.
pub(super) fn place(display: &Display) -> String {
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
