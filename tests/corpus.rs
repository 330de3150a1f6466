//! A piece among others: who counts, what is told beside it, and where the piece stands.

mod support;

use dimity::analysis::comparison::{Features, Written};
use dimity::analysis::corpus::{Asked, Corpus, Figure, as_text, corpus, ordinal, place, summary};
use dimity::record::PieceFile;
use proptest::prelude::*;
use support::{Desk, Room};

/// A bodice with side seams of these densities.
fn bodice(number: &str, date: &str, seams: &[&str], more: &str) -> String {
    let lines: Vec<String> = seams
        .iter()
        .enumerate()
        .map(|(i, d)| {
            let side = if i == 0 { "left" } else { "right" };
            format!("[[stitching]]\ncomponent = \"{side} front\"\npurpose = \"side seam\"\ndensity = [\"{d}\"]\n{more}")
        })
        .collect();
    let lines = lines.concat();
    format!(
        "[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"bodice\"\ngarment = \"bodice\"\ndate = \"{date}\"\n\
         [[component]]\nname = \"left front\"\n[[component]]\nname = \"right front\"\n\
         [examination]\ndate = 2024-03-12\nexaminer = \"Wren\"\n{lines}"
    )
}

fn sheets() -> Vec<String> {
    let mut sheets: Vec<String> = [7, 8, 8, 9, 9, 10, 11, 12]
        .iter()
        .enumerate()
        .map(|(i, n)| bodice(&format!("b{i}"), "1810", &[&format!("{n} in 1 in")], ""))
        .collect();
    // Both seams of one piece count once; a limit does not count; an estimate and an uncertain date are told.
    sheets.push(bodice("two", "c. 1818", &["8 in 1 in", "10 in 1 in"], ""));
    sheets.push(bodice("limit", "1810", &["at least 6 in 1 in"], ""));
    sheets.push(bodice("guess", "1810", &["9 in 1 in"], "certainty = \"possible\"\n"));
    sheets.push(bodice("none", "1810", &[], ""));
    sheets.push(bodice("R1", "2024", &["9 in 1 in"], ""));
    sheets
}

/// The pieces live as long as the tests, since what is found borrows their words.
fn found<'a>(desk: &'a Desk, query: &str, piece: Option<&str>, feature: &str) -> Corpus<'a> {
    let (query, words) = (desk.catalogue.query(query).expect("read"), desk.catalogue.vocabulary());
    let set: Vec<PieceFile> = desk
        .catalogue
        .members(&query)
        .expect("found")
        .iter()
        .map(|n| desk.catalogue.piece(n).expect("there"))
        .collect();
    let subject = piece.map(|n| Features::of(Box::leak(Box::new(desk.catalogue.piece(n).expect("there"))), words));
    let asked = Asked { subject: subject.as_ref(), years: query.years(), feature, any_component: false };
    corpus(&Features::all(set.leak(), words), asked, words)
}

#[test]
fn a_reconstruction_stands_between_percentiles_of_the_pieces_of_its_time() {
    let mut desk = Desk::new();
    sheets().iter().for_each(|sheet| drop(desk.entered(sheet)));
    let found = found(&desk, "garment:bodice date:1800..1820", Some("R1"), "");
    assert_eq!((found.pieces, found.uncertain_date, found.features.len()), (12, 1, 1), "{found:#?}");
    let seam = &found.features[0];
    assert_eq!((seam.feature.as_str(), seam.unit), ("stitch density of side seam, front", "per cm"));
    assert_eq!((seam.recorded, seam.limits, seam.estimates, seam.uncertain_date), (11, 1, 1, 1));
    assert_eq!(seam.values.len(), 10);
    let two = seam.values.iter().find(|f| f.number == "two").expect("counts");
    assert!((two.value - 9.0 / 2.54).abs() < 1e-9, "the mean of both seams: {two:?}");
    assert_eq!(two.as_written.words(), "8 in 1 in; 10 in 1 in");
    let place = seam.place.as_ref().expect("placed");
    assert_eq!((place.below, place.level, place.above), (3, 4, 3));
    // Mid-rank: (3 + 4/2) of 10.
    assert_eq!(place.percentile, Some(50.0));
    // One count over one inch is known to ± 1.04 (two standard uncertainties), so that 8 and 10 may be level with it: from
    // 1 to 8 of 10 may be below. Clopper–Pearson, lower end of 1 and upper end of 8 of 10 (scipy 1.17.1, binomtest(1, 10) and
    // binomtest(8, 10), method exact).
    let (low, high) = place.interval.expect("an interval");
    assert!((low - 0.252_858).abs() < 1e-5 && (high - 97.478_927).abs() < 1e-5, "{low} to {high}");
    let text = as_text(&found);
    for part in [
        "12 pieces, 1 of them by a date",
        "recorded of 11 of 12",
        "1 a limit only, not counted",
        "1 an estimate",
        "3 of 10 have less, 4 as much, 3 more",
        "the 50th percentile; with 95 % confidence between the 0th and the 97th",
        "median 3.54 per cm (9.00 per inch)",
    ] {
        assert!(text.contains(part), "`{part}` should stand in\n{text}");
    }
}

/// A bodice with a hem on each of these components.
fn hems(number: &str, seams: &[(&str, u32)]) -> String {
    let lines: Vec<String> = seams
        .iter()
        .map(|(on, n)| {
            let on = if on.is_empty() { String::new() } else { format!("component = \"{on}\"\n") };
            format!("[[stitching]]\n{on}purpose = \"hem\"\ndensity = [\"{n} in 1 in\"]\n")
        })
        .collect();
    format!(
        "[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"bodice\"\ngarment = \"bodice\"\n\
         [[component]]\nname = \"back\"\n[[component]]\nname = \"left sleeve\"\n[[component]]\nname = \"right sleeve\"\n\
         [examination]\ndate = 2024-03-12\nexaminer = \"Wren\"\n{}",
        lines.concat()
    )
}

#[test]
fn a_hem_of_the_sleeve_is_not_mixed_with_one_of_the_back_unless_asked_for_and_told() {
    let mut desk = Desk::new();
    for i in 0..6 {
        desk.entered(&hems(&format!("b{i}"), &[("back", 8), ("left sleeve", 14), ("right sleeve", 16)]));
    }
    desk.entered(&hems("whole", &[("", 20)]));
    desk.entered(&hems("R1", &[("left sleeve", 15)]));
    let set: Vec<PieceFile> =
        ["b0", "b1", "b2", "b3", "b4", "b5", "whole"].map(|n| desk.catalogue.piece(n).expect("there")).into();
    let subject = desk.catalogue.piece("R1").expect("there");
    let words = desk.catalogue.vocabulary();
    let (subject, read) = (Features::of(&subject, words), Features::all(&set, words));
    let ask =
        |subject, feature, any_component| corpus(&read, Asked { subject, years: None, feature, any_component }, words);
    // Left and right of one piece are one kind of component, and their mean counts once.
    let placed = ask(Some(&subject), "", false);
    assert_eq!(placed.features.len(), 1, "the reconstruction records it of the sleeve alone: {placed:#?}");
    let sleeve = &placed.features[0];
    assert_eq!((sleeve.feature.as_str(), sleeve.component.as_str()), ("stitch density of hem, sleeve", "sleeve"));
    assert!(sleeve.values.iter().all(|f| (f.value - 15.0 / 2.54).abs() < 1e-9), "{sleeve:#?}");
    let standing = sleeve.place.as_ref().map(|p| (p.below, p.level, p.above));
    assert_eq!((sleeve.values.len(), standing), (6, Some((0, 6, 0))));
    assert_eq!(sleeve.elsewhere, [("back".to_owned(), 6), ("the whole piece".to_owned(), 1)]);
    assert!(as_text(&placed).contains("not counted here, since recorded elsewhere: back 6, the whole piece 1"));

    let all = ask(None, "", false);
    let names: Vec<&str> = all.features.iter().map(|f| f.feature.as_str()).collect();
    let wanted = ["stitch density of hem", "stitch density of hem, back", "stitch density of hem, sleeve"];
    assert_eq!(names, wanted);
    assert_eq!(ask(None, "density sleeve", false).features.len(), 1, "a component is a word of the name");

    let mixed = ask(Some(&subject), "", true);
    let seam = &mixed.features[0];
    assert_eq!((seam.feature.as_str(), seam.values.len()), ("stitch density of hem, any component", 7));
    assert_eq!((seam.on.len(), seam.elsewhere.len()), (3, 0));
    let text = as_text(&mixed);
    assert!(text.contains("on different components, taken together: back 6, sleeve 6, the whole piece 1"), "{text}");
}

#[test]
fn fewer_than_five_are_not_summed_up_and_the_piece_itself_is_left_out() {
    let mut desk = Desk::new();
    sheets().iter().for_each(|sheet| drop(desk.entered(sheet)));
    let found = found(&desk, "number:b0 or number:b1 or number:b2 or number:R1", Some("R1"), "side seam");
    let seam = &found.features[0];
    assert_eq!((found.pieces, seam.values.len()), (3, 3));
    assert!(seam.summary.is_none());
    let place = seam.place.as_ref().expect("placed");
    assert_eq!((place.below, place.percentile, place.interval), (3, None, None));
    let text = as_text(&found);
    assert!(
        text.contains("the values: b0 2.76 per cm") && text.contains("Fewer than 5 pieces: no percentile"),
        "{text}"
    );
    assert!(found_nothing(&desk).features.is_empty());
}

fn found_nothing(desk: &Desk) -> Corpus<'_> {
    found(desk, "", None, "no such feature")
}

#[test]
fn the_command_and_the_page_say_the_same() {
    let all = sheets();
    let room = Room::with(&all.iter().map(String::as_str).collect::<Vec<_>>());
    let asked = ["garment:bodice date:1800..1820", "--piece", "R1", "--feature", "stitch density"];
    let said = room.run(&[&["among"][..], &asked].concat()).done();
    assert!(said.contains("3 of 10 have less, 4 as much, 3 more"), "{said}");
    let json = room.run(&[&["among", "--json"][..], &asked].concat()).json();
    assert_eq!(json[0]["features"][0]["place"]["percentile"], 50.0);
    let page = room.run(&[&["report", "among", "--out", "-"][..], &asked].concat()).done();
    for part in ["R1 among others", "<svg", "50th percentile", "Clopper", "garment:bodice date:1800..1820", "b7"] {
        assert!(page.contains(part), "`{part}` should stand on the page");
    }
    let refused = room.run(&["among", "garment:bodise"]).refused();
    assert!(refused.contains("did you mean `bodice`"), "{refused}");
}

#[test]
fn ordinals_read_well() {
    for (n, text) in [
        (0.0, "0th"),
        (1.0, "1st"),
        (2.4, "2nd"),
        (3.0, "3rd"),
        (11.0, "11th"),
        (42.0, "42nd"),
        (93.3, "93rd"),
        (100.0, "100th"),
        (112.0, "112th"),
    ] {
        assert_eq!(ordinal(n), text);
    }
}

proptest! {
    #[test]
    fn numbers_keep_their_order(mut values in prop::collection::vec(-1e6_f64..1e6, 0..60), at in -1e6_f64..1e6, u in 0.0_f64..1e5) {
        values.sort_by(f64::total_cmp);
        let figure = |value, u| Figure { number: "x", value, u, as_written: Written::Text("".into()) };
        let found = place(&values, figure(at, u));
        prop_assert_eq!(found.below + found.level + found.above, values.len());
        prop_assert_eq!(found.percentile.is_some(), values.len() >= 5);
        if let (Some(p), Some((low, high))) = (found.percentile, found.interval) {
            prop_assert!(0.0 <= low && low <= p && p <= high && high <= 100.0, "{} {} {}", low, p, high);
            // What is better known is placed no less closely.
            let (sure_low, sure_high) = place(&values, figure(at, 0.0)).interval.expect("an interval");
            prop_assert!(low <= sure_low && sure_high <= high);
        }
        if let Some(s) = summary(&values) {
            let order = [s.least, s.lower_quartile, s.median, s.upper_quartile, s.most];
            prop_assert!(order.windows(2).all(|w| w[0] <= w[1] + 1e-9), "{:?}", order);
            prop_assert!(s.median_from <= s.median && s.median <= s.median_to && s.confidence > 0.0);
        }
    }
}
