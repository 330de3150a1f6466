//! Colours as read, and the cloths of other pieces ranked for one.

use super::pieces::*;
use dimity::analysis::comparison::{Basis, Finding, Tolerances, Verdict, nearest};
use dimity::measure::Kind;
use dimity::record::textile::Colour;
use dimity::record::{Examination, PieceFile};

fn cloths(number: &str, textiles: Vec<dimity::record::Observed<dimity::record::textile::Textile>>) -> PieceFile {
    let mut file = piece(number, "mock-up", "swatch");
    file.examinations = vec![Examination { textiles, ..Examination::default() }];
    file
}

fn read(lab: [f64; 3], exposure: Option<&str>, instrument: Option<&str>) -> Colour {
    Colour {
        l: Some(lab[0]),
        a: Some(lab[1]),
        b: Some(lab[2]),
        exposure: exposure.map(String::from),
        instrument: instrument.map(String::from),
        ..Colour::default()
    }
}

fn coloured(number: &str, colours: Vec<Colour>) -> PieceFile {
    let mut seen = cloth("", "shell", &["silk"], "2/1 twill", [&[], &[]]);
    seen.what.colours = colours;
    cloths(number, vec![seen])
}

#[test]
fn colours_are_compared_where_light_did_not_reach_and_by_one_instrument() {
    let green = [43.5, -33.0, 20.8];
    let find = |ours: Vec<Colour>, theirs: Vec<Colour>| {
        let c = compare(&coloured("A", ours), &coloured("B", theirs), &vocabulary(), &Basis::default());
        let line = c.groups.iter().flat_map(|g| &g.lines).find(|l| l.aspect == "colour reading").expect("read").clone();
        let Finding::Colour(figures) = line.finding.clone() else { panic!("{line:?}") };
        (figures, line)
    };
    let meter = Some("meter, D65/10");
    let (same, line) = find(vec![read(green, None, meter)], vec![read(green, None, meter)]);
    assert!(same.de00.abs() < 1e-12 && same.verdict == Verdict::Agree && line.caveat.is_none());
    // The faded outside has no part where a protected place was read.
    let faded = read([55.0, -20.0, 22.0], Some("exposed"), meter);
    let protected = read(green, Some("protected"), meter);
    let (kept, line) = find(vec![faded.clone(), protected], vec![read(green, None, meter)]);
    assert!(kept.de00.abs() < 1e-12);
    assert!(line.subject.words().contains("protected from light"), "{}", line.subject.words());
    assert!(line.caveat.is_some_and(|c| c.contains("not said on the other")));
    let (far, _) = find(vec![faded], vec![read(green, None, meter)]);
    assert_eq!((far.verdict, far.words.contains("lighter")), (Verdict::Differ, true), "{far:?}");
    // Two instruments leave more doubt, and the line says so.
    let near = [45.5, -33.0, 20.8];
    let (one, _) = find(vec![read(near, None, meter)], vec![read(green, None, meter)]);
    let (two, line) = find(vec![read(near, None, Some("other"))], vec![read(green, None, meter)]);
    assert!(two.expanded > 1.5 * one.expanded && line.caveat.is_some_and(|c| c.contains("one instrument")));
    // CIEDE2000 itself is checked in tests/checks/colour.rs; here only that it is what stands in the line.
    let expected = dimity::colour::ciede2000(
        dimity::colour::Lab::new(45.5, -33.0, 20.8),
        dimity::colour::Lab::new(43.5, -33.0, 20.8),
    );
    assert!((one.de00 - expected).abs() < 1e-12);
}

#[test]
fn the_nearest_cloth_comes_first_and_silence_does_not_win() {
    let linen = |ends: &str, picks: &str, mass: Option<&str>| {
        let mut seen = cloth("", "lining", &["linen"], "tabby", [&[ends], &[picks]]);
        seen.what.mass = mass.map(|m| quantity(Kind::MassPerArea, m));
        seen
    };
    let extant = cloths("2018.2", vec![linen("20 per cm", "19 per cm", Some("130 g/m2"))]);
    let close = cloths("S1", vec![linen("19 per cm", "18 per cm", Some("135 g/m2"))]);
    let coarse = cloths("S2", vec![linen("12 per cm", "11 per cm", Some("190 g/m2"))]);
    let mut silent = cloth("", "lining", &["linen"], "tabby", [&[], &[]]);
    silent.what.warp = dimity::record::textile::Yarn::default();
    let silent = cloths("S3", vec![silent]);
    let thread = cloths("S4", vec![cloth("", "thread", &["linen"], "tabby", [&["20 per cm"], &["19 per cm"]])]);
    let others = [coarse, silent, close, thread, extant.clone()];
    let found = nearest(&extant, "lining", None, &others, &vocabulary(), &Tolerances::default()).expect("ranked");
    let order: Vec<&str> = found.candidates.iter().map(|c| c.cloth.number.as_str()).collect();
    assert_eq!(order, ["S1", "S2", "S3"], "its own piece and threads are left out");
    let [close, coarse, silent] = found.candidates.as_slice() else { panic!() };
    assert!(close.enough && coarse.enough && !silent.enough);
    assert!(silent.distance < close.distance, "the silent one is nearest by its number alone, and stands last");
    assert_eq!((silent.compared, found.properties), (2, close.compared));
    // 20 beside 12 per cm: 8 / (15 % of 16) = 3.33 tolerances; worked by hand.
    let ends = coarse.parts.iter().find(|p| p.property == "ends").expect("compared");
    assert!((ends.tolerances - 8.0 / 2.4).abs() < 1e-9, "{ends:?}");
    assert!((coarse.parts.iter().map(|p| p.share).sum::<f64>() - 1.0).abs() < 1e-12);
    let squares: f64 = coarse.parts.iter().map(|p| p.tolerances.powi(2)).sum();
    assert!((coarse.distance - (squares / coarse.parts.len() as f64).sqrt()).abs() < 1e-12);
}

#[test]
fn a_cloth_that_is_not_there_or_not_alone_is_asked_for_again() {
    let two = cloths(
        "A",
        vec![cloth("collar", "lining", &[], "tabby", [&[], &[]]), cloth("body", "lining", &[], "tabby", [&[], &[]])],
    );
    let ask = |role: &str, component: Option<&str>| {
        nearest(&two, role, component, &[], &vocabulary(), &Tolerances::default()).map(|n| n.wanted.component)
    };
    assert!(ask("lining", None).expect_err("two").contains("several cloths `lining`"));
    assert!(ask("shell", None).expect_err("none").contains("it has collar: lining, body: lining"));
    assert_eq!(ask("lining", Some("collar")), Ok("collar".into()));
}
