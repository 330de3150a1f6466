//! Colour read again at the same place: has it changed by more than two readings of an unchanged place scatter?

use super::change::COVERAGE;
use crate::colour::{Change, Grade, Lab, change, change_in_colour, ciede2000, ciede2000_spread};
use crate::record::textile::{Colour, Textile};
use crate::record::{Examination, Observed};
use jiff::civil::Date;

/// How far one reading of a place scatters when a hand instrument is set down again on woven cloth: standard deviation
/// of L*, of a* and of b* (common practice, no source). Several readings of one place in one examination show it
/// themselves, if they scatter more.
pub const READING_U: f64 = 0.3;

/// The colour of one place at two examinations.
#[derive(Debug, Clone, PartialEq)]
pub struct ColourChange {
    /// The component; blank for the whole piece.
    pub component: String,
    /// The role of the cloth: `shell`; blank if not recorded.
    pub role: String,
    /// Where on the cloth, as written in the later examination.
    pub place: String,
    /// The day of the earlier reading.
    pub then_on: Option<Date>,
    /// The earlier reading, the mean of several.
    pub then: Option<Lab>,
    /// The later one; none if the place was not read again.
    pub now: Option<Lab>,
    /// What became of it.
    pub outcome: Outcome,
}

/// What became of a colour.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// Both readings can be compared.
    Compared(Difference),
    /// They cannot, for this reason.
    NotComparable(&'static str),
    /// Read at the later examination for the first time.
    First,
    /// Not read at the later examination.
    NotReadAgain,
}

/// A difference of colour and what it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// CIEDE2000.
    pub de00: f64,
    /// Up to here two readings of an unchanged place differ: [`COVERAGE`] times the standard uncertainty of the
    /// difference at none.
    pub limit: f64,
    /// Whether the difference exceeds the limit.
    pub changed: bool,
    /// The grade of the grey scale for change in colour.
    pub grade: Grade,
    /// The change in words.
    pub words: Change,
}

/// All readings of one place in one examination.
#[derive(Clone, Copy)]
struct Spot<'a> {
    component: &'a str,
    role: &'a str,
    place: &'a str,
    /// None where every reading lacks a value.
    lab: Option<Lab>,
    /// Standard uncertainty of each of the three values.
    u: f64,
    /// That of the complete readings: blank where not recorded; none where several were used.
    instrument: Option<&'a str>,
    date: Option<Date>,
}

/// Each place whose colour was read at `later`, beside its latest reading at `earlier` or before; then the places that
/// were not read again.
pub fn between(examinations: &[Examination], earlier: usize, later: usize) -> Vec<ColourChange> {
    let (Some(before), Some(exam)) = (examinations.get(..=earlier), examinations.get(later)) else { return Vec::new() };
    let mut known: Vec<Spot<'_>> = Vec::new();
    for spot in before.iter().rev().flat_map(spots) {
        if !known.iter().any(|k| same(k, &spot)) {
            known.push(spot);
        }
    }
    let now = spots(exam);
    let mut changes: Vec<ColourChange> =
        now.iter().map(|spot| told(known.iter().find(|k| same(k, spot)), spot)).collect();
    let unread = known.iter().filter(|k| !now.iter().any(|spot| same(k, spot)));
    changes.extend(unread.map(|k| ColourChange {
        then_on: k.date,
        then: k.lab,
        now: None,
        outcome: Outcome::NotReadAgain,
        ..told(None, k)
    }));
    changes
}

fn told(then: Option<&Spot<'_>>, now: &Spot<'_>) -> ColourChange {
    let outcome = match then {
        None => Outcome::First,
        Some(then) => match (then.lab, now.lab) {
            (Some(_), Some(_)) if then.instrument.is_none() || then.instrument != now.instrument => {
                Outcome::NotComparable("the instruments differ")
            }
            (Some(a), Some(b)) => Outcome::Compared(difference(a, then.u, b, now.u)),
            _ => Outcome::NotComparable("a reading is not complete"),
        },
    };
    ColourChange {
        component: now.component.to_owned(),
        role: now.role.to_owned(),
        place: now.place.to_owned(),
        then_on: then.and_then(|t| t.date),
        then: then.and_then(|t| t.lab),
        now: now.lab,
        outcome,
    }
}

fn difference(then: Lab, u_then: f64, now: Lab, u_now: f64) -> Difference {
    let de00 = ciede2000(then, now);
    // At no difference both readings have the same weight, so that one u for either stands for the two.
    let u = (f64::midpoint(u_then * u_then, u_now * u_now)).sqrt();
    let limit = COVERAGE * ciede2000_spread(then, then, u).u;
    let grade = change_in_colour(then, now).grade;
    Difference { de00, limit, changed: de00 > limit, grade, words: change(then, now) }
}

/// The places of an examination at which colour was read, each once.
fn spots(exam: &Examination) -> Vec<Spot<'_>> {
    let mut spots: Vec<Spot<'_>> = Vec::new();
    let cloths = exam.textiles.iter().filter(|o| o.withdrawn.is_none());
    let readings: Vec<(Spot<'_>, &Colour)> =
        cloths.flat_map(|cloth| cloth.what.colours.iter().map(move |colour| (spot(cloth, colour), colour))).collect();
    for (spot, _) in &readings {
        if !spots.iter().any(|s| same(s, spot)) {
            // Of whichever cloth: two of one role on one component cannot be told apart later.
            let alike: Vec<&Colour> = readings.iter().filter(|(s, _)| same(s, spot)).map(|(_, c)| *c).collect();
            spots.push(mean(Spot { date: exam.about.date, ..*spot }, &alike));
        }
    }
    spots
}

fn spot<'a>(cloth: &'a Observed<Textile>, colour: &'a Colour) -> Spot<'a> {
    Spot {
        component: trimmed(cloth.component.as_deref()),
        role: cloth.what.role.as_ref().map_or("", |role| role.name()),
        place: trimmed(colour.place.as_deref()),
        lab: lab(colour),
        u: READING_U,
        instrument: Some(trimmed(colour.instrument.as_deref())),
        date: None,
    }
}

/// The mean of several readings, and how well it is known.
fn mean<'a>(spot: Spot<'a>, readings: &[&'a Colour]) -> Spot<'a> {
    let complete: Vec<&Colour> = readings.iter().copied().filter(|c| lab(c).is_some()).collect();
    let labs: Vec<Lab> = complete.iter().filter_map(|c| lab(c)).collect();
    let n = labs.len() as f64;
    // A reading that is not complete has no part in the mean, and neither has its instrument.
    let mut instruments = complete.iter().map(|c| trimmed(c.instrument.as_deref()));
    let first = instruments.next();
    let instrument = first.filter(|first| instruments.all(|i| i == *first));
    let spot = Spot { instrument, ..spot };
    if labs.len() < 2 {
        return Spot { lab: labs.first().copied(), ..spot };
    }
    let of = |part: fn(&Lab) -> f64| labs.iter().map(part).sum::<f64>() / n;
    let mean = Lab::new(of(|c| c.l), of(|c| c.a), of(|c| c.b));
    let squares: f64 =
        labs.iter().map(|c| (c.l - mean.l).powi(2) + (c.a - mean.a).powi(2) + (c.b - mean.b).powi(2)).sum();
    let scatter = (squares / (3.0 * (n - 1.0))).sqrt();
    Spot { lab: Some(mean), u: scatter.max(READING_U) / n.sqrt(), ..spot }
}

fn lab(c: &Colour) -> Option<Lab> {
    let values = [c.l?, c.a?, c.b?];
    values.iter().all(|v| v.is_finite()).then(|| Lab::new(values[0], values[1], values[2]))
}

fn same(a: &Spot<'_>, b: &Spot<'_>) -> bool {
    a.component == b.component && a.role == b.role && folded(Some(a.place)) == folded(Some(b.place))
}

fn trimmed(text: Option<&str>) -> &str {
    text.map(str::trim).unwrap_or_default()
}

fn folded(text: Option<&str>) -> String {
    trimmed(text).to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Circumstances;
    use crate::vocabulary::{Scheme, TermId};

    type Read = (&'static str, [f64; 3], &'static str);

    fn exam(year: i16, component: &str, readings: &[Read]) -> Examination {
        let one = |(place, [l, a, b], instrument): &Read| Colour {
            place: Some((*place).into()),
            l: Some(*l),
            a: Some(*a),
            b: Some(*b).filter(|b| *b < 900.0),
            instrument: Some((*instrument).into()),
            ..Colour::default()
        };
        let role = Some(TermId::new(Scheme::TextileRole, "shell"));
        let what = Textile { role, colours: readings.iter().map(one).collect(), ..Textile::default() };
        let textile = Observed { component: Some(component.into()), what, ..Observed::default() };
        let date = Some(jiff::civil::date(year, 3, 6));
        Examination {
            about: Circumstances { date, ..Circumstances::default() },
            textiles: vec![textile],
            ..Examination::default()
        }
    }

    fn outcome(then: &[Read], now: &[Read]) -> Outcome {
        let exams = [exam(2018, "body", then), exam(2025, "body", now)];
        between(&exams, 0, 1).remove(0).outcome
    }

    #[test]
    fn a_difference_within_the_scatter_of_reading_is_no_change() {
        let green = [43.6, -33.2, 20.9];
        // At this green one unit of a* is about half a unit of CIEDE2000; the limit is about 0.9.
        let cases = [
            ([43.5, -33.0, 20.8], false, "5"),
            ([44.2, -33.2, 20.9], false, "4-5"),
            ([45.0, -33.2, 20.9], true, "4"),
            ([48.9, -24.6, 22.4], true, "1-2"),
            (green, false, "5"),
        ];
        for (now, changed, grade) in cases {
            let Outcome::Compared(d) = outcome(&[("hem", green, "meter")], &[("Hem ", now, "meter")]) else {
                panic!("{now:?} was not compared")
            };
            assert_eq!((d.changed, d.grade.to_string().as_str()), (changed, grade), "{now:?} {d:?}");
            assert!((0.7..1.3).contains(&d.limit), "{}", d.limit);
        }
    }

    #[test]
    fn what_cannot_be_compared_says_why_and_nothing_is_left_out() {
        let read = |instrument| [("hem", [43.6, -33.2, 20.9], instrument)];
        assert_eq!(outcome(&read("meter"), &read("camera")), Outcome::NotComparable("the instruments differ"));
        let half = [("hem", [43.6, -33.2, 999.0], "meter")];
        assert_eq!(outcome(&read("meter"), &half), Outcome::NotComparable("a reading is not complete"));
        assert_eq!(outcome(&half, &read("meter")), Outcome::NotComparable("a reading is not complete"));
        let mixed = [read("meter")[0], read("camera")[0]];
        assert_eq!(outcome(&mixed, &read("meter")), Outcome::NotComparable("the instruments differ"));
        assert_eq!(outcome(&[], &read("meter")), Outcome::First);
        assert_eq!(outcome(&read("meter"), &[]), Outcome::NotReadAgain);
        let elsewhere = [exam(2018, "body", &read("meter")), exam(2025, "left sleeve", &read("meter"))];
        let found: Vec<_> = between(&elsewhere, 0, 1).into_iter().map(|c| (c.component, c.outcome)).collect();
        assert_eq!(found, [("left sleeve".into(), Outcome::First), ("body".into(), Outcome::NotReadAgain)]);
        assert!(between(&elsewhere, 0, 7).is_empty() && between(&elsewhere, 7, 1).is_empty());
    }

    #[test]
    fn every_cloth_of_a_role_is_read_and_only_complete_readings_name_an_instrument() {
        let (a, b) = (("hem", [50.0, 0.0, 0.0], "meter"), ("HEM", [54.0, 0.0, 0.0], "meter"));
        let mut then = exam(2018, "body", &[a]);
        then.textiles.extend(exam(2018, "body", &[b]).textiles);
        let found = between(&[then, exam(2025, "body", &[a])], 0, 1);
        assert_eq!((found.len(), found[0].then), (1, Some(Lab::new(52.0, 0.0, 0.0))));
        // A half reading by another instrument does not spoil the whole one, wherever it stands.
        let half = ("hem", [50.0, 0.0, 999.0], "camera");
        for readings in [[half, a, a], [a, half, a], [a, a, half]] {
            assert!(matches!(outcome(&readings, &[a]), Outcome::Compared(_)), "{readings:?}");
        }
        assert!(matches!(outcome(&[half, a], &[a]), Outcome::Compared(_)));
    }

    #[test]
    fn the_latest_earlier_reading_speaks_and_repeated_readings_show_their_scatter() {
        let exams = [
            exam(2010, "body", &[("hem", [30.0, 0.0, 0.0], "meter")]),
            exam(2018, "body", &[("hem", [50.0, 0.0, 0.0], "meter"), ("hem", [54.0, 0.0, 0.0], "meter")]),
            exam(2020, "body", &[]),
            exam(2025, "body", &[("hem", [53.0, 0.0, 0.0], "meter")]),
        ];
        let found = between(&exams, 2, 3);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].then, found[0].then_on), (Some(Lab::new(52.0, 0.0, 0.0)), exams[1].about.date));
        let Outcome::Compared(d) = &found[0].outcome else { panic!("compared") };
        // 4 units between two readings: s = √(8/3), u = s/√2; one lightness apart is no change.
        assert!(!d.changed && d.limit > 3.0, "{d:?}");
        let Outcome::Compared(d) = between(&exams, 0, 3).remove(0).outcome else { panic!("compared") };
        assert!(d.changed && d.de00 > 15.0);
    }
}
