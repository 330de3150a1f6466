//! Invented damages with a known rate, and what must not be given one.

use super::*;
use crate::record::Circumstances;
use crate::vocabulary::{Scheme, TermId};
use jiff::civil::date;

/// An examination with one note that continues the one before: extent, and what was done if anything.
fn exams(list: &[(Option<Date>, Option<&str>, Option<&str>)]) -> Vec<Examination> {
    let one = |(i, (date, extent, treated)): (usize, &(Option<Date>, Option<&str>, Option<&str>))| {
        let what = Condition {
            damage: Some(TermId::new(Scheme::Damage, "tear")),
            extent: extent.filter(|t| !t.is_empty()).map(|t| Quantity::parse(Kind::Extent, t).expect("an extent")),
            treated: treated.map(Into::into),
            continues: (i > 0).then(|| "last".into()),
            ..Condition::default()
        };
        let note = Observed { id: Some(format!("n{i}")), what, ..Observed::default() };
        let conditions = if extent.is_some() { vec![note] } else { Vec::new() };
        Examination {
            about: Circumstances { date: *date, ..Circumstances::default() },
            conditions,
            ..Examination::default()
        }
    };
    list.iter().enumerate().map(one).collect()
}

fn yearly(extents: &[&str]) -> Vec<Examination> {
    let list: Vec<_> = (2015..).step_by(2).zip(extents).map(|(y, e)| (Some(date(y, 5, 1)), Some(*e), None)).collect();
    exams(&list)
}

fn only(examinations: &[Examination]) -> Series<'_> {
    let mut found = series(examinations, usize::MAX, Vocabulary::shipped());
    assert_eq!(found.len(), 1, "one damage");
    found.remove(0)
}

#[test]
fn a_rate_needs_three_days_of_one_kind_that_are_more_than_limits() {
    type Exam = (Option<Date>, Option<&'static str>, Option<&'static str>);
    let (a, b, c) = (Some(date(2015, 1, 1)), Some(date(2018, 1, 1)), Some(date(2021, 1, 1)));
    let cases: &[(&[Exam], Option<usize>)] = &[
        (&[(a, Some("12 mm"), None), (b, Some("15 mm"), None), (c, Some("18 mm"), None)], None),
        (&[(a, Some("12 mm"), None), (b, Some("15 mm"), None)], Some(2)),
        (&[(a, Some("12 mm"), None), (b, Some("15 mm"), None), (b, Some("18 mm"), None)], Some(2)),
        (&[(a, Some("12 mm"), None), (b, Some("15 mm"), None), (None, Some("18 mm"), None)], Some(2)),
        (&[(a, Some("12 mm"), None), (b, Some("2 cm2"), None), (c, Some("18 mm"), None)], Some(2)),
        (&[(a, Some("12 mm"), None), (b, Some("at least 15 mm"), None), (c, Some("18 mm"), None)], Some(2)),
        (&[(a, Some("12 mm"), None), (b, Some("up to 15 mm"), None), (c, Some("18 mm"), None)], Some(2)),
        (&[(a, Some("12 mm"), None), (b, Some(""), None), (c, Some("18 mm"), None)], Some(2)),
        (&[(a, Some("12 mm"), None), (b, None, None), (c, Some("18 mm"), None)], Some(2)),
        (&[(a, Some(""), None), (b, Some(""), None)], Some(0)),
        // After a treatment only what was seen from it on counts.
        (&[(a, Some("12 mm"), None), (b, Some("15 mm"), Some("sewn")), (c, Some("15 mm"), Some("sewn"))], Some(2)),
        (&[(a, Some("about 12 mm"), None), (b, Some("14-16 mm"), None), (c, Some("18 mm"), None)], None),
    ];
    for (list, wanted) in cases {
        let examinations = exams(list);
        let found = match only(&examinations).trend {
            Trend::TooFew(n) => Some(n),
            Trend::Rate(_) => None,
            Trend::Gone => panic!("gone: {list:?}"),
        };
        assert_eq!(found, *wanted, "{list:?}");
    }
}

#[test]
fn a_known_rate_is_found_in_the_unit_of_its_kind() {
    // Two Julian years are 730.5 days; 2015 to 2021 by twos are 731, 730 and 730.
    let cases = [
        (["12 mm", "15 mm", "18 mm", "21 mm"], "1.50 ± 0.13 mm a year"),
        (["21 mm", "18 mm", "15 mm", "12 mm"], "−1.50 ± 0.13 mm a year"),
        (["4.1 ± 0.1 cm2", "6.1 ± 0.1 cm2", "8.1 ± 0.1 cm2", "10.1 ± 0.1 cm2"], "1.00 ± 0.04 cm² a year"),
        (["2", "4", "6", "8"], "1.00 ± 0.13 a year"),
        (["10 %", "16 %", "22 %", "28 %"], "3.00 ± 0.13 percentage points a year"),
        (
            ["4.1 ± 0.6 cm2", "4.6 ± 0.5 cm2", "4.0 ± 0.6 cm2", "4.4 ± 0.5 cm2"],
            "cannot be told from nought: between −0.3 and 0.3 cm² a year",
        ),
        (["6", "6", "6", "6"], "cannot be told from nought: between −0.13 and 0.13 a year"),
        // Growth by leaps is no rate that could be told.
        (["12 mm", "12 mm", "12 mm", "40 mm"], "cannot be told from nought: between −6 and 15 mm a year"),
    ];
    for (extents, wanted) in cases {
        let examinations = yearly(&extents);
        let Trend::Rate(rate) = only(&examinations).trend else { panic!("{extents:?}") };
        assert_eq!(rate.words(), wanted, "{extents:?}");
        assert_eq!((rate.line.n, rate.from, rate.to), (4, date(2015, 5, 1), date(2021, 5, 1)));
        assert_eq!(rate.rests_on(), "95 % interval, a straight line through 4 examinations");
    }
}

#[test]
fn the_line_stands_where_the_points_stand() {
    let examinations = yearly(&["12 mm", "15 mm", "18 mm", "21 mm"]);
    let Trend::Rate(rate) = only(&examinations).trend else { panic!("a rate") };
    for (day, wanted) in [(date(2015, 5, 1), 12.0), (date(2021, 5, 1), 21.0), (date(2018, 5, 1), 16.5)] {
        assert!((rate.on(day) - wanted).abs() < 0.01, "{day}: {}", rate.on(day));
    }
}

#[test]
fn after_a_treatment_the_rate_begins_anew_and_what_is_gone_has_none() {
    let day = |y| Some(date(y, 5, 1));
    let sewn = Some("sewn");
    let examinations = exams(&[
        (day(2011), Some("40 mm"), None),
        (day(2013), Some("3 mm"), sewn),
        (day(2015), Some("5 mm"), sewn),
        (day(2017), Some("7 mm"), sewn),
    ]);
    let Trend::Rate(rate) = only(&examinations).trend else { panic!("a rate") };
    assert!(rate.after_treatment && rate.line.n == 3 && (rate.line.slope - 1.0).abs() < 0.01);
    assert!(rate.rests_on().ends_with("through 3 examinations since the treatment"));
    assert_eq!(only(&yearly(&["12 mm", "9 mm", "6 mm", "0 mm"])).trend, Trend::Gone);
}

#[test]
fn the_kind_of_the_rate_is_that_of_the_extents_it_rests_on() {
    let day = |y| Some(date(y, 5, 1));
    let sewn = Some("sewn");
    let mut list: Vec<_> = (2001..2006).map(|y| (day(y), Some("4 cm2"), None)).collect();
    list.extend([(2013, "3 mm"), (2015, "5 mm"), (2017, "7 mm")].map(|(y, extent)| (day(y), Some(extent), sewn)));
    let treated = exams(&list);
    let mut limits: Vec<_> = (2001..2006).map(|y| (day(y), Some("over 50 %"), None)).collect();
    limits.extend([(2013, "3 mm"), (2015, "5 mm"), (2017, "7 mm")].map(|(y, extent)| (day(y), Some(extent), None)));
    for examinations in [treated, exams(&limits)] {
        let found = only(&examinations);
        let Trend::Rate(rate) = found.trend else { panic!("{:?}", found.trend) };
        assert_eq!((rate.kind, found.kind, rate.line.n), (Kind::Length, Some(Kind::Length), 3));
    }
    // Nothing to rest a rate on: what is on record is still shown.
    assert_eq!(only(&exams(&limits[..2])).kind, Some(Kind::Percent));
}

#[test]
fn every_examination_since_the_first_note_has_a_point() {
    use Standing::{NoLongerFound, NotLookedAt, NotMentioned, Worse};
    let day = |y| Some(date(y, 5, 1));
    let mut examinations = exams(&[
        (day(2011), None, None),
        (day(2012), Some("3 mm"), None),
        (day(2013), None, None),
        (day(2014), None, None),
        (day(2015), Some("9 mm"), None),
        (day(2016), Some("0 mm"), None),
        (day(2017), None, None),
    ]);
    examinations[3].about.not_examined = Some("the back".into());
    // The first note continues nothing, though it says `last`.
    let points: Vec<_> =
        only(&examinations).points.iter().map(|p| (p.examination, p.standing, p.note.is_some())).collect();
    assert_eq!(
        points,
        [
            (1, None, true),
            (2, Some(NotMentioned), false),
            (3, Some(NotLookedAt), false),
            (4, Some(Worse), true),
            (5, Some(NoLongerFound), true),
        ]
    );
    // Seen from 2014, what came later is not known.
    let then = series(&examinations, 3, Vocabulary::shipped());
    assert_eq!((then[0].points.len(), then[0].latest().and_then(|n| n.id.as_deref())), (3, Some("n1")));
    assert!(series(&[], 3, Vocabulary::shipped()).is_empty());
    // A withdrawn note is no point.
    examinations[4].conditions[0].withdrawn = Some("another tear".into());
    assert_eq!(only(&examinations).points[3].standing, Some(NotMentioned));
}
