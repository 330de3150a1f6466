//! What is to be looked at on a kind of garment, and what is said back of a line while it is written.

use dimity::exchange::line::Words;
use dimity::exchange::sitting::{self, Beginning};
use dimity::vocabulary::{Scheme, Vocabulary};
use serde_json::json;

use crate::NEW;
use crate::bench::{Bench, Window};
use crate::support::{AUTHOR, Desk};

/// The dimensions of two garments that share few: `schema/vocabulary/garment.toml`.
const OF_SPENCER: [&str; 18] = [
    "bust girth",
    "waist girth",
    "centre front length",
    "centre back length",
    "across back",
    "back waist width",
    "shoulder length",
    "side seam length",
    "armhole girth",
    "neck girth",
    "sleeve length",
    "underarm sleeve length",
    "upper arm girth",
    "elbow girth",
    "cuff girth",
    "collar length",
    "collar depth",
    "waistband depth",
];
const OF_SHIFT: [&str; 8] = [
    "total length",
    "total width",
    "bust girth",
    "neck girth",
    "sleeve length",
    "upper arm girth",
    "hem girth",
    "gusset side",
];
const PARTS_OF_SHIFT: [&str; 9] = [
    "front",
    "back",
    "left sleeve",
    "right sleeve",
    "left underarm gusset",
    "right underarm gusset",
    "left gore",
    "right gore",
    "hem",
];

/// What is expected of a new piece of this kind once these lines are written: kind, name, whether it is done.
fn expected(garment: &str, lines: &[&str]) -> Vec<(&'static str, String, bool)> {
    let facts = [("object_name", "piece".to_owned()), ("garment", garment.to_owned())];
    let beginning =
        Beginning { number: "2031.7", facts: &facts, day: "2031-05-01", by: AUTHOR, ..Beginning::default() };
    let mut draft = sitting::begin(None, &beginning);
    for line in lines {
        let words = Words { vocabulary: Vocabulary::shipped(), components: &[] };
        sitting::write(&mut draft, None, line, &words);
    }
    let components = sitting::components(&draft, None);
    let words = Words { vocabulary: Vocabulary::shipped(), components: &components };
    sitting::expected(&draft, None, &words).into_iter().map(|e| (e.kind, e.name, e.done)).collect()
}

#[test]
fn each_garment_expects_its_own_dimensions_and_components_and_knows_which_are_left() {
    let both = ["waist girth 27 in", "bust girth 84 cm; 84,2 cm", "component: left sleeve", "tear, 3 mm"];
    let cases: [(&str, &[&str], &[&str], &[&str]); 7] = [
        ("spencer", &[], &OF_SPENCER, &[]),
        ("shift", &[], &OF_SHIFT, &[]),
        // A waist is nothing that a shift expects.
        ("spencer", &both, &OF_SPENCER, &["left sleeve", "bust girth", "waist girth"]),
        ("shift", &both, &OF_SHIFT, &["left sleeve", "bust girth"]),
        // By its other name.
        ("chemise", &["hem girth 180 cm"], &OF_SHIFT, &["hem girth"]),
        ("no such garment", &both, &[], &[]),
        // The line of the piece says otherwise than what it was begun with.
        ("spencer", &["piece: garment: shift", "total width 70 cm"], &OF_SHIFT, &["total width"]),
    ];
    for (garment, lines, dimensions, done) in cases {
        let all = expected(garment, lines);
        let of = |kind: &str| -> Vec<&str> { all.iter().filter(|e| e.0 == kind).map(|e| e.1.as_str()).collect() };
        assert_eq!(of("dimension"), dimensions, "{garment} {lines:?}");
        if dimensions == OF_SHIFT {
            assert_eq!(of("component"), PARTS_OF_SHIFT, "{garment} {lines:?}");
        }
        let is_done: Vec<&str> = all.iter().filter(|e| e.2).map(|e| e.1.as_str()).collect();
        assert_eq!(is_done, done, "{garment} {lines:?}");
    }
}

#[test]
fn the_page_counts_what_is_left() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let shift = [("number", "2031.8"), ("nature", "extant"), ("object_name", "shift"), ("garment", "shift")];
    let mut window = Window::begin(&bench, &shift);
    assert!(bench.get(&window.address).body.contains("17 of 17 left"), "8 dimensions and 9 components");
    window.write(&["hem girth 180 cm", "component: hem"]);
    let page = bench.get(&window.address).body;
    assert!(page.contains("15 of 17 left"), "{page}");
    assert_eq!(page.matches("data-done=\"true\"").count(), 2, "each of the two is ticked");
}

/// As a reader sees it.
fn plain(html: &str) -> String {
    html.replace("&#x27;", "'")
        .replace("&#39;", "'")
        .replace("&quot;", "\"")
        .replace("&#x2F;", "/")
        .replace("&amp;", "&")
}

#[test]
fn a_term_is_explained_by_its_own_definition_while_it_is_written() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &NEW);
    let cases = [
        ("tear, 12 mm", Scheme::Damage, "tear"),
        ("tear, 12 mm, slight", Scheme::Severity, "slight"),
        ("centre back length 40 cm", Scheme::Dimension, "centre back length"),
        ("stitch: side seam backstitch 9 per inch", Scheme::Stitch, "backstitch"),
        ("overall: good", Scheme::Grade, "good"),
    ];
    for (text, scheme, name) in cases {
        let term = Vocabulary::shipped().known(scheme, name).expect("a term");
        let said = window.say("typed", json!({ "text": text, "caret": text.chars().count() })).done().json();
        let echo = plain(said["echo"].as_str().expect("an echo"));
        let means: Vec<&str> =
            echo.split("class=\"sit-means\">").skip(1).filter_map(|m| m.split("</span>").next()).collect();
        assert!(means.iter().any(|m| m.starts_with(&term.definition)), "`{text}`: {name} means {means:?}");
    }
    for (text, scheme, name) in [
        ("centre ba", Scheme::Dimension, "centre back length"),
        ("tea", Scheme::Damage, "tear"),
        ("stitch: backst", Scheme::Stitch, "backstitch"),
    ] {
        let term = Vocabulary::shipped().known(scheme, name).expect("a term");
        let said = window.say("typed", json!({ "text": text, "caret": text.chars().count() })).done().json();
        let ways = said["ways"].as_array().expect("ways").clone();
        let way = ways.iter().find(|way| way["with"] == name).unwrap_or_else(|| panic!("`{text}` offers {ways:?}"));
        assert!(way["means"].as_str().expect("words").starts_with(&term.definition), "`{text}`: {way}");
    }
}

#[test]
fn how_far_repeated_readings_lie_apart_is_said_exactly() {
    let desk = Desk::new();
    let bench = Bench::at(desk.folder(), AUTHOR);
    let mut window = Window::begin(&bench, &NEW);
    // By hand: 275, 279, 277 mm: 4 mm apart, s = √((2² + 2² + 0²)/2) = 2 mm; 4/25.4 = 0.157 in, 2/25.4 = 0.079 in.
    // 27 in, 27 1/4 in: 6.35 mm apart, s = 6.35/√2 = 4.490 mm, 0.17678 in.
    for (text, says) in [
        (
            "waist girth 27,5 cm; 27,9 cm; 27,7 cm",
            "3 readings, 4 mm (0.1575 in) apart at most, standard deviation 2 mm (0.07874 in)<",
        ),
        (
            "waist girth 27 in; 27 1/4 in",
            "2 readings, 6.35 mm (0.25 in) apart at most, standard deviation 4.49 mm (0.1768 in)<",
        ),
        ("waist girth 27,5 cm; 27,5 cm", "2 readings, 0 mm (0 in) apart at most, standard deviation 0 mm (0 in)<"),
    ] {
        let said = window.say("typed", json!({ "text": text, "caret": text.chars().count() })).done().json();
        let echo = plain(said["echo"].as_str().expect("an echo")).replace('\u{a0}', " ");
        assert!(echo.contains(says), "`{text}` should say `{says}`:\n{echo}");
    }
}
