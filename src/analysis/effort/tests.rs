//! A reconstruction and its model of which every figure can be worked by hand.

use super::*;
use crate::measure::{Kind, Quantity};
use crate::record::construction::Stitching;
use crate::record::examination::{Examination, Observed};
use crate::record::piece::Component;
use crate::vocabulary::Scheme;

fn length(text: &str) -> Option<Quantity> {
    (!text.is_empty()).then(|| Quantity::parse(Kind::Length, text).expect("a length"))
}

fn seam(purpose: &str, component: &str, stitch: &str, density: &str, long: &str) -> Observed<Stitching> {
    Observed {
        component: Some(component.into()),
        what: Stitching {
            purpose: Some(TermId::new(Scheme::Purpose, purpose)),
            stitch: (!stitch.is_empty()).then(|| TermId::new(Scheme::Stitch, stitch)),
            density: (!density.is_empty())
                .then(|| Quantity::parse(Kind::Density, density).expect("a density"))
                .into_iter()
                .collect(),
            length: length(long),
            ..Stitching::default()
        },
        ..Observed::default()
    }
}

fn work(purpose: &str, component: &str, hours: &str) -> Work {
    Work {
        task: Some(purpose.into()),
        component: (!component.is_empty()).then(|| component.into()),
        hours: Some(Quantity::parse(Kind::Duration, hours).expect("hours")),
        purpose: (!purpose.is_empty()).then(|| TermId::new(Scheme::Purpose, purpose)),
        ..Work::default()
    }
}

fn file(number: &str, seams: Vec<Observed<Stitching>>, work: Vec<Work>) -> PieceFile {
    let mut file = PieceFile::default();
    file.piece.number = Some(number.into());
    let part = |name: &str, of: Option<&str>| Component {
        name: Some(name.into()),
        part_of: of.map(Into::into),
        ..Component::default()
    };
    file.components = vec![part("body", None), part("front", Some("body")), part("back", Some("body"))];
    file.examinations = vec![Examination { stitching: seams, ..Examination::default() }];
    file.work = work;
    file
}

/// Three seams in backstitch, 40 stitches in 10 cm: 400, 800 and 200 stitches.
fn sewn() -> PieceFile {
    let seams = vec![
        seam("side seam", "front", "backstitch", "4.0 ± 0.04 per cm", "1000 ± 2 mm"),
        seam("hem", "back", "backstitch", "4.0 ± 0.04 per cm", "2000 ± 4 mm"),
        seam("shoulder seam", "front", "backstitch", "4.0 ± 0.04 per cm", "500 ± 1 mm"),
        seam("collar seam", "front", "felling stitch", "", "300 mm"),
    ];
    let log = vec![work("side seam", "body", "1 h"), work("hem", "", "2 h"), work("shoulder seam", "front", "30 min")];
    file("2030.R1", seams, log)
}

fn line<'a>(e: &'a Effort, purpose: &str) -> &'a Line {
    e.lines.iter().find(|l| l.purpose == purpose).unwrap_or_else(|| panic!("no `{purpose}`"))
}

#[test]
fn a_steady_hand_has_the_rate_of_hand_arithmetic() {
    let made = sewn();
    let e = effort(&made, &[], std::slice::from_ref(&made));
    let rate = e.rates.iter().find(|r| r.stitch == "backstitch").expect("a rate");
    // 400 stitches in each hour, whatever the weights.
    assert!((rate.per_hour - 400.0).abs() < 1e-9 && rate.basis == Basis::WorkLog && rate.lines.len() == 3, "{rate:?}");
    assert!(rate.interval.0 < 400.0 && rate.interval.1 > 400.0 && rate.interval.0 > 300.0, "{rate:?}");
    let hem = line(&e, "hem");
    // u: 1 % of the density and 0.2 % of the length.
    let (n, u) = hem.stitches.expect("stitches");
    assert!((n - 800.0).abs() < 1e-9 && (u - 800.0 * 0.01f64.hypot(0.002)).abs() < 1e-9, "{u}");
    assert!((hem.hours.expect("hours").value - 2.0).abs() < 1e-9);
    assert_eq!((e.whole.lines, e.whole.unknown), (3, 1));
    assert!((e.whole.stitches.0 - 1400.0).abs() < 1e-9 && (e.whole.hours.value - 3.5).abs() < 1e-9);
    assert!((e.logged.comparable - 3.5).abs() < 1e-9 && (e.compared.hours.value - 3.5).abs() < 1e-9);
    // The density of the collar seam is not recorded: its hours stay unknown, and it is what is left.
    let collar = line(&e, "collar seam");
    assert_eq!((collar.hours, collar.why_not.as_str()), (None, "stitch density not recorded"));
    let left = e.left.expect("a log is kept");
    assert_eq!((left.lines, left.unknown, left.hours.value), (0, 1, 0.0));
}

#[test]
fn the_interval_of_a_rate_is_student_s_t_times_its_uncertainty() {
    // Counted stitches, equally uncertain: Σxy/Σx² with x 1, 2, 3 h and y 390, 820, 1170 gives 5540/14 = 395.71; residuals
    // −5.71, 28.57, −17.14 give s² = 571.43, u = √(571.43/14) = 6.389; t for 2 degrees of freedom is 4.303.
    let counted = |n: &str, hours: &str| Work {
        stitch: Some(TermId::new(Scheme::Stitch, "backstitch")),
        stitches: Some(Quantity::parse(Kind::Count, n).expect("a count")),
        ..work("", "", hours)
    };
    let mut made =
        file("2030.R2", Vec::new(), vec![counted("390", "1 h"), counted("820", "2 h"), counted("1170", "3 h")]);
    for w in &mut made.work {
        w.stitches.iter_mut().for_each(|q| q.u = 1.0);
        w.hours.iter_mut().for_each(|q| q.u = 0.0);
    }
    let e = effort(&made, &[], std::slice::from_ref(&made));
    let rate = &e.rates[0];
    assert!((rate.per_hour - 5540.0 / 14.0).abs() < 1e-6, "{rate:?}");
    let half = (rate.interval.1 - rate.interval.0) / 2.0;
    assert!((half - 4.302_653 * (571.428_571f64 / 14.0).sqrt()).abs() < 1e-3, "{half}");
}

#[test]
fn two_lines_are_too_few_and_the_built_in_rate_says_so() {
    let mut made = sewn();
    made.work.pop();
    let e = effort(&made, &[], std::slice::from_ref(&made));
    let rate = e.rates.iter().find(|r| r.stitch == "backstitch").expect("a rate");
    assert_eq!(
        (rate.basis, rate.interval.1 / rate.per_hour, rate.per_hour / rate.interval.0),
        (Basis::BuiltIn, 2.0, 2.0)
    );
    assert!(rate.in_words().contains("no source; 2 lines of the work log, and 3 are needed"), "{}", rate.in_words());
    let left = e.left.expect("a log is kept");
    assert_eq!((left.lines, left.unknown), (1, 1), "the shoulder seam, and the collar that is not known");
    let hours = line(&e, "shoulder seam").hours.expect("hours");
    // 200 stitches, u 2: twice and half the hours, and a little for the stitches.
    let plain = 200.0 / rate.per_hour;
    assert!((hours.value - plain).abs() < 1e-12);
    assert!((hours.high.expect("an end") - plain - plain.hypot(4.04 / rate.per_hour)).abs() < 1e-3, "{hours:?}");
}

#[test]
fn a_seam_is_left_as_far_as_it_is_not_sewn() {
    let mut made = sewn();
    made.work[1].sewn = length("500 mm");
    let e = effort(&made, &[], std::slice::from_ref(&made));
    assert_eq!(line(&e, "hem").standing, Some(Standing::Begun(Some(0.25))));
    // Three quarters of 800 stitches; the collar stays unknown.
    let left = e.left.expect("a log is kept");
    assert!((left.stitches.0 - 600.0).abs() < 1e-9 && left.unknown == 1, "{left:?}");
    made.work[1].done = Some("finished".into());
    assert_eq!(line(&effort(&made, &[], &[]), "hem").standing, Some(Standing::Done));
    made.work[1] = Work { done: Some("begun".into()), ..work("hem", "", "1 h") };
    let e = effort(&made, &[], std::slice::from_ref(&made));
    assert_eq!(line(&e, "hem").standing, Some(Standing::Begun(None)));
    assert!(e.passed_over.iter().any(|p| p.why.contains("begun only")), "{:?}", e.passed_over);
    // Two days at one seam are one point of the fit.
    made.work[1] = Work { done: Some("begun".into()), ..work("hem", "", "1 h 15 min") };
    made.work.push(work("hem", "", "45 min"));
    let e = effort(&made, &[], std::slice::from_ref(&made));
    assert!((e.rates.iter().find(|r| r.stitch == "backstitch").expect("a rate").per_hour - 400.0).abs() < 1e-9);
}

#[test]
fn what_the_model_has_and_the_piece_in_hand_has_not_is_still_to_come() {
    let model = file(
        "1790.1",
        vec![
            seam("hem", "back", "backstitch", "5 per cm", "900 mm"),
            seam("gathering", "front", "running stitch", "3.0 ± 0.1 per cm", "400 mm"),
        ],
        Vec::new(),
    );
    let made = sewn();
    let e = effort(&made, std::slice::from_ref(&model), std::slice::from_ref(&made));
    let coming = line(&e, "gathering");
    assert_eq!((coming.after.as_deref(), coming.standing), (Some("1790.1"), Some(Standing::NotLogged)));
    assert_eq!(e.lines.iter().filter(|l| l.purpose == "hem").count(), 1, "the piece's own hem stands");
    // The model itself has no log: all of it is what it would take, and nothing is left.
    let e = effort(&model, &[], std::slice::from_ref(&made));
    assert!(e.left.is_none() && e.whole.lines == 2 && e.lines.iter().all(|l| l.standing.is_none()));
    assert!((line(&e, "hem").hours.expect("hours").value - 450.0 / 400.0).abs() < 1e-9);
}

#[test]
fn what_cannot_be_reckoned_is_named_and_never_filled() {
    let mut machine = seam("topstitching", "front", "backstitch", "4 per cm", "1 m");
    machine.what.made = Some("machine".into());
    let seams = vec![
        seam("hem", "back", "backstitch", "4 per cm", ""),
        seam("side seam", "front", "", "4 per cm", "30 cm"),
        seam("eyelet", "front", "eyelet", "4 per cm", "30 cm"),
        machine,
        seam("collar seam", "front", "slip stitch", "", ""),
    ];
    let e = effort(&file("2030.R3", seams, Vec::new()), &[], &[]);
    let whys: Vec<&str> = e.lines.iter().map(|l| l.why_not.as_str()).collect();
    assert_eq!(whys[0], "length not recorded");
    assert_eq!(whys[1], "stitch not recorded");
    assert!(whys[2].starts_with("no rate is known for `eyelet`"));
    assert!(whys[3].starts_with("sewn by machine"));
    assert_eq!(whys[4], "length and stitch density not recorded");
    assert_eq!((e.whole.lines, e.whole.unknown), (0, 5));
    assert!(e.lines.iter().all(|l| l.hours.is_none()));
}

#[test]
fn a_component_that_is_part_of_itself_ends() {
    let mut made = sewn();
    made.components[0].part_of = Some("front".into());
    let _ = effort(&made, &[], std::slice::from_ref(&made));
}
