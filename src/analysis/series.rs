//! Each damage through all examinations of a piece: its extents in time, and a rate where enough of them carry one.

use jiff::civil::Date;

use super::chains::Chains;
use super::change::{Standing, compared, is_nought, treated_since};
use crate::measure::{Bound, Kind, Line, Quantity, rounded};
use crate::record::condition::Condition;
use crate::record::{Examination, Observed};
use crate::vocabulary::Vocabulary;

/// Days of a Julian year.
const YEAR: f64 = 365.25;
/// Examinations of different days that a rate needs: through two points every line fits.
pub const LEAST: usize = 3;

/// What one examination says of a damage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point<'a> {
    /// The place of the examination among those of the piece.
    pub examination: usize,
    /// Its day.
    pub date: Option<Date>,
    /// The note; none where the examination does not speak of the damage.
    pub note: Option<&'a Observed<Condition>>,
    /// How it stands to the note before; none for the first.
    pub standing: Option<Standing>,
    /// Whether something was done about it since the note before.
    pub treated: bool,
}

impl<'a> Point<'a> {
    /// The extent, where one is recorded and finite.
    pub fn extent(&self) -> Option<&'a Quantity> {
        let extent = self.note.and_then(|n| n.what.extent.as_ref());
        extent.filter(|q| q.value.is_finite() && q.u.is_finite())
    }
}

/// One damage through time.
#[derive(Debug, Clone, PartialEq)]
pub struct Series<'a> {
    /// From the first note on, one for each examination in their order. Examinations that do not mention a damage
    /// which had gone before are left out.
    pub points: Vec<Point<'a>>,
    /// The kind of most of the extents that a rate may rest on: dated, more than a limit, and seen since the last
    /// treatment; without any, the kind of most extents. Of equally many, the latest; none without an extent.
    pub kind: Option<Kind>,
    /// How fast it grows or shrinks.
    pub trend: Trend,
}

impl<'a> Series<'a> {
    /// The notes, oldest first.
    pub fn notes(&self) -> impl Iterator<Item = &'a Observed<Condition>> {
        self.points.iter().filter_map(|p| p.note)
    }

    /// The latest note.
    pub fn latest(&self) -> Option<&'a Observed<Condition>> {
        self.notes().last()
    }
}

/// How fast a damage grows or shrinks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Trend {
    /// Nothing of it was found the last time.
    Gone,
    /// Fewer than [`LEAST`] days carry an extent of one kind that is more than a limit; how many do.
    TooFew(usize),
    /// A straight line through those that do.
    Rate(Rate),
}

/// A rate of change with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// The line: x in Julian years from `from`, y in the unit of `kind`.
    pub line: Line,
    /// The kind of extent.
    pub kind: Kind,
    /// The first day that counts: after a treatment only what was seen from it on.
    pub from: Date,
    /// The last day that counts.
    pub to: Date,
    /// Whether earlier extents were left out, since something was done about the damage in between.
    pub after_treatment: bool,
}

impl Rate {
    /// Whether the 95 % interval leaves out nought.
    pub fn is_told(&self) -> bool {
        self.line.rises_or_falls()
    }

    /// The line on a day, in the unit of the kind.
    pub fn on(&self, day: Date) -> f64 {
        self.line.at(years(self.from, day))
    }

    /// The rate in words: `1.42 ± 0.17 cm² a year`, or that it cannot be told from nought.
    pub fn words(&self) -> String {
        let (factor, unit) = unit(self.kind);
        let (slope, half) = (self.line.slope * factor, self.line.slope_half_width() * factor);
        let unit = match unit {
            "" => "a year".to_owned(),
            "%" => "percentage points a year".to_owned(),
            unit => format!("{unit} a year"),
        };
        let minus = |text: String| text.replace('-', "−");
        let (value, spread) = rounded(slope, half);
        if self.is_told() {
            return minus(format!("{value} ± {spread} {unit}"));
        }
        let (low, high) = (rounded(slope - half, half).0, rounded(slope + half, half).0);
        minus(format!("cannot be told from nought: between {low} and {high} {unit}"))
    }

    /// On what the rate rests: `from 4 examinations, 1 October 2020 …`, without the days.
    pub fn rests_on(&self) -> String {
        let n = self.line.n;
        let since = if self.after_treatment { " since the treatment" } else { "" };
        format!("95 % interval, a straight line through {n} examinations{since}")
    }
}

/// Each damage on record up to the examination at `until`, in the order in which it was last noted. Withdrawn notes do
/// not count; a note continued by two others stands in both series.
pub fn series<'a>(examinations: &'a [Examination], until: usize, vocabulary: &Vocabulary) -> Vec<Series<'a>> {
    let chains = Chains::of(examinations);
    let last = until.min(examinations.len().saturating_sub(1));
    let one = |head: usize| {
        let mut notes: Vec<usize> = std::iter::once(head).chain(chains.back(head)).collect();
        notes.reverse();
        notes.retain(|i| chains.links[*i].seen.note.withdrawn.is_none());
        let points = points(examinations, last, &chains, &notes, vocabulary);
        let fit = fitting(&points).1;
        let kind = kind(fit.iter().map(|(_, q)| *q)).or_else(|| kind(points.iter().filter_map(Point::extent)));
        let trend = trend(&points, kind);
        Series { points, kind, trend }
    };
    chains.last_words(last + 1).into_iter().map(one).collect()
}

fn points<'a>(
    examinations: &'a [Examination],
    last: usize,
    chains: &Chains<'a>,
    notes: &[usize],
    vocabulary: &Vocabulary,
) -> Vec<Point<'a>> {
    let mut points: Vec<Point<'a>> = Vec::new();
    let Some(first) = notes.first().map(|i| chains.links[*i].at) else { return points };
    let mut before = None;
    for (examination, exam) in examinations.iter().enumerate().take(last + 1).skip(first) {
        let here = notes.iter().map(|i| chains.links[*i]).find(|l| l.at == examination).map(|l| l.seen);
        let gone = before.is_some_and(|b: super::change::Seen<'_>| b.note.what.extent.as_ref().is_some_and(is_nought));
        let standing = match (here, before) {
            (Some(now), Some(then)) => Some(compared(then, now, vocabulary).standing),
            (Some(_), None) => None,
            (None, _) if gone => continue,
            (None, _) => {
                let unseen = exam.about.not_examined.as_deref().is_some_and(|t| !t.trim().is_empty());
                Some(if unseen { Standing::NotLookedAt } else { Standing::NotMentioned })
            }
        };
        let treated = here.zip(before).is_some_and(|(now, then)| treated_since(then.note, now.note));
        points.push(Point { examination, date: exam.about.date, note: here.map(|s| s.note), standing, treated });
        before = here.or(before);
    }
    points
}

/// The kind that most extents have; of equally many, the latest.
fn kind<'a>(extents: impl Iterator<Item = &'a Quantity>) -> Option<Kind> {
    let kinds: Vec<Kind> = extents.map(|q| q.kind).collect();
    let count = |kind: &Kind| kinds.iter().filter(|k| *k == kind).count();
    kinds.iter().copied().max_by_key(count)
}

/// The place of the last treatment, and the extents of any kind that a rate may rest on: those seen from it on.
fn fitting<'a>(points: &[Point<'a>]) -> (Option<usize>, Vec<(Date, &'a Quantity)>) {
    let treated = points.iter().rposition(|p| p.treated);
    let fit = points.iter().skip(treated.unwrap_or(0)).filter_map(|p| Some((p.date?, p.extent()?)));
    (treated, fit.filter(|(_, q)| !matches!(q.bound, Bound::AtLeast | Bound::AtMost)).collect())
}

fn trend(points: &[Point<'_>], kind: Option<Kind>) -> Trend {
    let noted = || points.iter().filter(|p| p.note.is_some());
    if noted().next_back().and_then(Point::extent).is_some_and(is_nought) {
        return Trend::Gone;
    }
    let (treated, mut usable) = fitting(points);
    usable.retain(|(_, q)| Some(q.kind) == kind);
    let mut days: Vec<Date> = usable.iter().map(|(day, _)| *day).collect();
    days.sort_unstable();
    days.dedup();
    let (Some(kind), [from, .., to], LEAST..) = (kind, &days[..], days.len()) else { return Trend::TooFew(days.len()) };
    let places: Vec<(f64, f64, f64)> =
        usable.iter().map(|(day, q)| (years(*from, *day), q.value, known_to(q))).collect();
    match Line::through(&places) {
        Some(line) => {
            let after_treatment = treated.is_some_and(|t| points[..t].iter().any(|p| p.extent().is_some()));
            Trend::Rate(Rate { line, kind, from: *from, to: *to, after_treatment })
        }
        None => Trend::TooFew(days.len()),
    }
}

/// The standard uncertainty of an extent in a fit. A count is exact as it stands, but a damage that grows by single steps
/// is known to one step at any moment: the half width of ½ adds 1/√12 (rectangular distribution, GUM 4.3.7).
fn known_to(q: &Quantity) -> f64 {
    if q.kind == Kind::Count { q.u.hypot(1.0 / 12f64.sqrt()) } else { q.u }
}

/// Julian years from one day to another.
fn years(from: Date, to: Date) -> f64 {
    from.until(to).map_or(f64::NAN, |span| f64::from(span.get_days()) / YEAR)
}

/// How extents of a kind are shown: the factor from the unit that is kept, and the unit. Areas of damage are read in
/// square centimetres.
pub fn unit(kind: Kind) -> (f64, &'static str) {
    if kind == Kind::Area { (0.01, "cm²") } else { (1.0, kind.unit()) }
}

#[cfg(test)]
#[path = "series_tests.rs"]
mod tests;
