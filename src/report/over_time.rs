//! Each damage through all examinations: a small chart, its rate in words, and the same as a table.
//!
//! Positions are worked out here in units of the drawing; the template only puts them into SVG.

use jiff::civil::Date;
use serde::Serialize;

use super::letters::Letters;
use super::words::{capital, day, joined, place, si, term, text};
use crate::analysis::change::{COVERAGE, Standing};
use crate::analysis::series::{LEAST, Point, Series, Trend, series, unit};
use crate::measure::{Bound, Kind, Quantity, rounded};
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// Size of a panel, in units of the drawing, and the part of it that is plotted.
const WIDE: f64 = 320.0;
const LEFT: f64 = 38.0;
const RIGHT: f64 = 308.0;
const TOP: f64 = 22.0;
const FOOT: f64 = 138.0;

/// The section: damages that an earlier examination knew of.
#[derive(Debug, Default, Serialize)]
pub(super) struct OverTime {
    pub panels: Vec<Panel>,
    /// The marks used, each with its meaning.
    pub key: Vec<Key>,
    /// The mark of the rate's line stands on a panel.
    pub ruled: bool,
    pub wide: String,
    pub left: String,
    pub right: String,
    pub top: String,
    pub foot: String,
}

/// A mark and its meaning.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(super) struct Key {
    pub mark: &'static str,
    pub words: &'static str,
}

/// One damage.
#[derive(Debug, Serialize)]
pub(super) struct Panel {
    pub letter: String,
    pub damage: String,
    pub place: String,
    /// The rate, or why there is none.
    pub trend: String,
    /// What the chart shows, in words; blank where nothing can be drawn.
    pub drawn: String,
    /// The unit at the head of the scale.
    pub unit: &'static str,
    pub heights: Vec<Tick>,
    pub years: Vec<Tick>,
    pub dots: Vec<Dot>,
    /// Where something was done about it.
    pub treated: Vec<String>,
    /// The line of the rate as a path, where it is told from nought; else blank.
    pub line: String,
    pub rows: Vec<Row>,
}

/// One mark of a scale.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(super) struct Tick {
    pub at: String,
    pub label: String,
}

/// One examination on the chart.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Dot {
    pub mark: &'static str,
    pub x: String,
    pub y: String,
    /// The ends of the error bar, or the end of the arrow of a limit; blank where there is none.
    pub from: String,
    pub to: String,
}

/// One examination in words.
#[derive(Debug, Serialize)]
pub(super) struct Row {
    pub day: String,
    pub extent: String,
    pub standing: String,
}

/// The section for the examination at `at`: every damage on record before it, if any of them was seen at least twice.
pub(super) fn over_time(file: &PieceFile, at: usize, letters: &Letters, vocabulary: &Vocabulary) -> OverTime {
    let all = series(&file.examinations, at, vocabulary);
    if !all.iter().any(|s| s.notes().count() > 1) {
        return OverTime::default();
    }
    // A damage that nobody took up again has its panel too, with the question on it.
    let followed: Vec<Series<'_>> = all.into_iter().filter(|s| s.points.len() > 1).collect();
    let days: Vec<Date> = file.examinations.iter().take(at + 1).filter_map(|e| e.about.date).collect();
    let span = days.iter().min().zip(days.iter().max());
    let mut panels: Vec<Panel> =
        followed.iter().map(|s| panel(s, span.map(|(a, b)| Span { from: *a, to: *b }), letters)).collect();
    panels.sort_by_key(|p| (p.letter.is_empty(), p.letter.chars().count(), p.letter.clone()));
    let used = |mark: &str| panels.iter().flat_map(|p| &p.dots).any(|d| d.mark == mark);
    let mut key: Vec<Key> =
        MARKS.into_iter().filter(|(mark, _)| used(mark)).map(|(mark, words)| Key { mark, words }).collect();
    if panels.iter().any(|p| !p.treated.is_empty()) {
        key.push(Key { mark: "treated", words: "treated since the note before" });
    }
    OverTime {
        ruled: panels.iter().any(|p| !p.line.is_empty()),
        panels,
        key,
        wide: number(WIDE),
        left: number(LEFT),
        right: number(RIGHT),
        top: number(TOP),
        foot: number(FOOT),
    }
}

/// Every mark and its meaning.
const MARKS: [(&str, &str); 7] = [
    ("measured", "extent as recorded, with its expanded uncertainty (k = 2)"),
    ("at-least", "a lower limit: it may be more"),
    ("at-most", "an upper limit: it may be less"),
    ("nought", "looked for, and not found"),
    ("seen", "seen, without an extent of this kind"),
    ("not-looked", "not looked at"),
    ("not-mentioned", "not mentioned: ask"),
];

/// The days on the chart.
#[derive(Clone, Copy)]
struct Span {
    from: Date,
    to: Date,
}

impl Span {
    fn days(self, day: Date) -> f64 {
        self.from.until(day).map_or(0.0, |s| f64::from(s.get_days()))
    }

    /// Where a day stands, with room at either end for a mark.
    fn x(self, day: Date) -> f64 {
        let all = self.days(self.to);
        let share = if all > 0.0 { self.days(day) / all } else { 0.5 };
        LEFT + 14.0 + share.clamp(0.0, 1.0) * (RIGHT - LEFT - 28.0)
    }

    /// The beginnings of years, so many that their labels stand apart.
    fn years(self) -> Vec<Tick> {
        let (first, last) = (self.from.year(), self.to.year());
        let step = [1, 2, 5, 10, 20, 50, 100].into_iter().find(|s| (last - first) / s <= 5).unwrap_or(1000);
        (first..=last)
            .filter(|y| y % step == 0)
            .filter_map(|y| Date::new(y, 1, 1).ok())
            .filter(|d| *d >= self.from && *d <= self.to)
            .map(|d| Tick { at: number(self.x(d)), label: d.year().to_string() })
            .collect()
    }
}

fn panel(s: &Series<'_>, span: Option<Span>, letters: &Letters) -> Panel {
    let latest = s.latest();
    let damage = capital(&latest.map(|n| term(n.what.damage.as_ref())).unwrap_or_default());
    let damage = if damage.is_empty() { "Damage not named".to_owned() } else { damage };
    let of_it = joined(latest.map(|n| [place(n), text(n.what.place.as_ref())]).unwrap_or_default(), ", ");
    let rows: Vec<Row> = s.points.iter().map(row).collect();
    let trend = trend(s);
    let mut panel = Panel {
        letter: latest.and_then(|n| letters.of_note(n.id.as_deref()?)).unwrap_or_default().to_owned(),
        drawn: String::new(),
        unit: "",
        heights: Vec::new(),
        years: Vec::new(),
        dots: Vec::new(),
        treated: Vec::new(),
        line: String::new(),
        trend,
        rows,
        damage,
        place: of_it,
    };
    if let (Some(span), Some(kind)) = (span, s.kind) {
        draw(&mut panel, s, span, kind);
    }
    panel
}

fn draw(panel: &mut Panel, s: &Series<'_>, span: Span, kind: Kind) {
    let (factor, unit) = unit(kind);
    let of_kind = |p: &&Point<'_>| p.date.is_some() && p.extent().is_some_and(|q| q.kind == kind);
    let reach = |q: &Quantity| (q.value + COVERAGE * q.u) * factor;
    let highest = s.points.iter().filter(of_kind).filter_map(Point::extent).map(reach).fold(0.0, f64::max);
    if !highest.is_finite() || !s.points.iter().any(|p| of_kind(&p)) {
        return;
    }
    let scale = Scale::up_to(highest, kind);
    for p in &s.points {
        let Some(day) = p.date else { continue };
        panel.dots.push(dot(p, kind, factor, span.x(day), &scale));
        if p.treated {
            panel.treated.push(number(span.x(day)));
        }
    }
    if let Trend::Rate(rate) = s.trend
        && rate.is_told()
    {
        let y = |day: Date| number(scale.y(rate.on(day) * factor));
        let (from, to) = (number(span.x(rate.from)), number(span.x(rate.to)));
        panel.line = format!("M{from} {}L{to} {}", y(rate.from), y(rate.to));
    }
    panel.unit = if unit.is_empty() { "count" } else { unit };
    panel.heights = scale.ticks();
    panel.years = span.years();
    let what = |r: &Row| if r.extent.is_empty() { r.standing.clone() } else { r.extent.clone() };
    let told = panel.rows.iter().map(|r| joined([r.day.clone(), what(r)], ": "));
    panel.drawn = format!("{}. {}", joined(told, "; "), panel.trend);
}

fn dot(p: &Point<'_>, kind: Kind, factor: f64, x: f64, scale: &Scale) -> Dot {
    let plain =
        |mark: &'static str, y: f64| Dot { mark, x: number(x), y: number(y), from: String::new(), to: String::new() };
    let foot = FOOT - 7.0;
    let Some(q) = p.extent().filter(|q| q.kind == kind) else {
        return match (p.note, p.standing) {
            (None, Some(Standing::NotLookedAt)) => plain("not-looked", foot),
            (None, _) => plain("not-mentioned", foot),
            (Some(_), _) if p.extent().is_some_and(|q| q.value == 0.0) => plain("nought", FOOT),
            (Some(_), _) => plain("seen", foot),
        };
    };
    let y = scale.y(q.value * factor);
    let spread = COVERAGE * q.u * factor;
    let ends = |mark, from: f64, to: f64| Dot { from: number(from), to: number(to), ..plain(mark, y) };
    match q.bound {
        Bound::AtLeast => ends("at-least", y, (y - 22.0).max(TOP - 14.0)),
        Bound::AtMost => ends("at-most", y, (y + 22.0).min(FOOT)),
        _ if q.value == 0.0 => plain("nought", FOOT),
        _ if q.u == 0.0 => plain("measured", y),
        _ => ends("measured", scale.y(q.value * factor - spread), scale.y(q.value * factor + spread)),
    }
}

/// From nought upwards.
struct Scale {
    top: f64,
    step: f64,
}

impl Scale {
    fn up_to(highest: f64, kind: Kind) -> Self {
        let need = if highest > 0.0 { highest * 1.05 } else { 1.0 };
        let step = (if kind == Kind::Count { 0 } else { -6 }..12)
            .flat_map(|power| [1.0, 2.0, 5.0].map(|base| base * 10f64.powi(power)))
            .find(|step| need / step <= 4.0)
            .unwrap_or(need);
        Self { top: need, step }
    }

    fn y(&self, value: f64) -> f64 {
        FOOT - (value / self.top).clamp(0.0, 1.0) * (FOOT - TOP)
    }

    fn ticks(&self) -> Vec<Tick> {
        let steps = (self.top / self.step).floor() as i32;
        let decimals = (-self.step.log10().floor()).clamp(0.0, 6.0) as usize;
        (0..=steps)
            .map(|i| f64::from(i) * self.step)
            .map(|v| Tick {
                at: number(self.y(v)),
                label: if v == 0.0 { "0".into() } else { format!("{v:.decimals$}") },
            })
            .collect()
    }
}

fn row(p: &Point<'_>) -> Row {
    let date = day(p.date);
    let standing = match (p.note, p.standing) {
        (_, Some(standing)) => standing.words().to_owned(),
        (Some(n), None) if n.what.continues.is_some() => "the earlier note is not in this file".to_owned(),
        (_, None) => "first seen".to_owned(),
    };
    let extent = match (p.note, p.extent()) {
        (None, _) => String::new(),
        (Some(_), None) => "extent not recorded".to_owned(),
        (Some(_), Some(q)) => extent(q),
    };
    Row { day: if date.is_empty() { "date not recorded".to_owned() } else { date }, extent, standing }
}

/// The extent as written, and in the unit of the chart with its expanded uncertainty: `4.1 ± 0.6 cm² (4.1 ± 1.2 cm²)`.
fn extent(q: &Quantity) -> String {
    let (factor, unit) = unit(q.kind);
    if si(q).is_empty() {
        return q.as_written.clone();
    }
    let mark = match q.bound {
        Bound::AtLeast => "at least ",
        Bound::AtMost => "up to ",
        _ => "",
    };
    let (value, wide) = rounded(q.value * factor, COVERAGE * q.u * factor);
    format!("{} ({mark}{})", q.as_written, format!("{value} ± {wide} {unit}").trim_end())
}

/// The rate in words, or why there is none.
fn trend(s: &Series<'_>) -> String {
    match (s.trend, s.kind) {
        (Trend::Gone, _) => "No longer found.".to_owned(),
        (Trend::TooFew(_), None) => "No extent is recorded that could be followed.".to_owned(),
        (Trend::TooFew(n), Some(kind)) => {
            let (have, kind) = (if n == 0 { "none".to_owned() } else { n.to_string() }, kind.name());
            format!("No rate: it takes {LEAST} dated extents of one kind, limits apart; recorded as {kind}: {have}.")
        }
        (Trend::Rate(rate), _) => format!("Rate {} ({}).", rate.words(), rate.rests_on()),
    }
}

fn number(x: f64) -> String {
    format!("{x:.1}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_begins_at_nought_and_has_few_marks() {
        for (highest, labels) in [
            (19.6, &["0", "10", "20"][..]),
            (36.0, &["0", "10", "20", "30"]),
            (0.9, &["0", "0.5"]),
            (0.0, &["0", "0.5", "1.0"]),
            (4.6, &["0", "2", "4"]),
            (1e300, &["0"]),
        ] {
            let found: Vec<String> = Scale::up_to(highest, Kind::Length).ticks().into_iter().map(|t| t.label).collect();
            assert_eq!(found[..labels.len().min(found.len())], *labels, "{highest}");
        }
        assert_eq!(Scale::up_to(1.0, Kind::Count).ticks().len(), 2, "no half of a single thing");
        let scale = Scale { top: 20.0, step: 5.0 };
        for (value, y) in [(0.0, FOOT), (20.0, TOP), (10.0, f64::midpoint(FOOT, TOP)), (-3.0, FOOT), (99.0, TOP)] {
            assert!((scale.y(value) - y).abs() < 1e-9, "{value}");
        }
    }

    #[test]
    fn years_stand_apart_and_one_day_stands_in_the_middle() {
        let date = jiff::civil::date;
        let labels = |from, to| Span { from, to }.years().into_iter().map(|t| t.label).collect::<Vec<_>>();
        assert_eq!(labels(date(2018, 11, 14), date(2025, 3, 6)), ["2020", "2022", "2024"]);
        assert_eq!(labels(date(2020, 1, 1), date(2022, 6, 1)), ["2020", "2021", "2022"]);
        assert!(labels(date(2020, 2, 1), date(2020, 6, 1)).is_empty());
        let one = Span { from: date(2020, 2, 1), to: date(2020, 2, 1) };
        assert!((one.x(one.from) - f64::midpoint(LEFT, RIGHT)).abs() < 1e-9);
    }
}
