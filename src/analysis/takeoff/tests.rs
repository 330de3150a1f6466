//! A drawing whose true sizes are known, taken off through a bar and through an oblique grid; sheets that cover it.

use proptest::prelude::*;

use super::*;
use crate::geometry::{Homography, area_of_union, area_within};
use crate::record::photograph::Shape;
use crate::record::picture_scale::PictureScale;

fn region(shape: &str, note: &str) -> Region {
    Region {
        label: "A".into(),
        shape: Shape::parse(shape).expect("a shape"),
        note: (!note.is_empty()).then(|| note.into()),
        ..Region::default()
    }
}

/// A page at ten pixels a millimetre.
fn page(regions: Vec<Region>) -> Photograph {
    let bar = PictureScale::between([(0.0, 950.0), (1000.0, 950.0)], "10 cm", Some("0.1 mm"), 1.0).expect("a scale");
    Photograph { width: 1200, height: 1000, scale: Some(bar), regions, ..Photograph::default() }
}

const OBLONG: &str = "outline 100,100 1100,100 1100,600 100,600";

fn off(p: &Photograph, terms: &Terms) -> TakeOff {
    take_off(p, &PieceFile::default(), &[], terms).expect("a pattern")
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-6 * wanted.abs().max(1.0), "{found} is not {wanted}");
}

#[test]
fn an_oblong_at_an_eighth_has_the_sizes_and_the_uncertainty_of_hand_arithmetic() {
    let terms = Terms { ratio_within: 0.01, ..Terms::at(0.125) };
    let found = off(&page(vec![region(OBLONG, "front")]), &terms);
    let piece = &found.pieces[0];
    assert_eq!((piece.name.as_str(), piece.corners_marked, found.warnings.len()), ("front", false, 0));
    // 100 by 50 mm on the page.
    near(piece.width.value, 800.0);
    near(piece.height.value, 400.0);
    near(piece.round.value, 2400.0);
    near(piece.area.value, 320_000.0);
    let edges: Vec<(&str, f64)> = piece.edges.iter().map(|e| (e.name.as_str(), e.length.value.round())).collect();
    assert_eq!(edges, [("A–B", 800.0), ("B–C", 400.0), ("C–D", 800.0), ("D–A", 400.0)]);
    // One pixel is 0.1 mm, 0.8 mm at full size; two edges. The bar: √2 px of 1000 and 0.1/√3 mm of 100. The line: 0.5 mm
    // over √12, eightfold, at both edges. Paper: half a per cent over √3. Ratio: one per cent over √3.
    let w = piece.width;
    near(w.pointing, 0.8 * 2f64.sqrt());
    assert!((w.scale - 800.0 * (2f64.sqrt() / 1000.0).hypot(0.1 / 3f64.sqrt() / 100.0)).abs() < 1e-4, "{w:?}");
    near(w.line, 2.0 * 0.5 / 12f64.sqrt() * 8.0);
    near(w.paper, 4.0 / 3f64.sqrt());
    near(w.ratio, 8.0 / 3f64.sqrt());
    assert!((w.u() - 5.8969).abs() < 1e-3, "{}", w.u());
    // An area has each edge in or out with the line, and twice the relative part of paper and ratio.
    near(piece.area.line, 2400.0 * 0.5 / 12f64.sqrt() * 8.0);
    near(piece.area.paper, 2.0 * 320_000.0 * 0.005 / 3f64.sqrt());
    // The seam allowance is 15 mm all round.
    assert!(
        (piece.cut_area - 830.0 * 430.0).abs() < 0.01 && (piece.cut_size.0 - 830.0).abs() < 1e-3,
        "{}",
        piece.cut_area
    );
    assert!((piece.outline.around[0].0 - 15.0).abs() < 1e-3, "the seam line lies inside the cutting line");
    assert_eq!(both(800.0), ("31 1/2 in".into(), "80.0 cm".into()));
}

#[test]
fn a_scale_marked_at_full_size_needs_no_ratio_and_a_ratio_with_it_is_warned_of() {
    let mut p = page(vec![region(OBLONG, "")]);
    p.scale = PictureScale::between([(0.0, 950.0), (1000.0, 950.0)], "90 cm", Some("0.9 mm"), 1.0).ok();
    let plain = off(&p, &Terms::at(1.0));
    near(plain.pieces[0].width.value, 900.0);
    assert!(plain.warnings.is_empty());
    let twice = off(&p, &Terms::at(0.125));
    assert!(twice.warnings[0].contains("marked at full size; then the ratio is 1"), "{:?}", twice.warnings);
}

#[test]
fn a_piece_on_the_fold_is_opened_out() {
    let regions = vec![
        region(OBLONG, "back"),
        // Drawn a little off the edge, as by hand.
        region("line 102,90 99,620", "fold"),
        region("point 700,101", "notch"),
        region("point 400,300", "dart point"),
    ];
    let found = off(&page(regions), &Terms::at(0.125));
    let piece = &found.pieces[0];
    near(piece.width.value, 1600.0);
    near(piece.height.value, 400.0);
    near(piece.area.value, 640_000.0);
    near(piece.round.value, 4000.0);
    let fold: Vec<&str> = piece.edges.iter().filter(|e| e.on_fold).map(|e| e.name.as_str()).collect();
    assert_eq!(fold, ["D–A"]);
    near(piece.edges[0].length.value, 800.0);
    // Both marks stand on either half, and only that on the edge is a notch.
    let notches: Vec<bool> = piece.marks.iter().map(|m| m.tick.is_some()).collect();
    assert_eq!(notches, [true, true, false, false]);
    let middle = piece.fold.expect("a fold")[0].0;
    near(piece.marks[0].at.0 - middle, middle - piece.marks[1].at.0);
    let none = page(vec![region(OBLONG, "back"), region("line 600,150 600,550", "fold")]);
    let why = take_off(&none, &PieceFile::default(), &[], &Terms::at(0.125)).expect_err("no fold");
    assert!(why.contains("back: the line marked as its fold runs along none of its edges"), "{why}");
}

#[test]
fn the_grain_stands_upright_and_corners_are_as_marked() {
    let (sin, cos) = 30f64.to_radians().sin_cos();
    let turned = |x: f64, y: f64| format!("{},{}", 500.0 + x * cos - y * sin, 150.0 + x * sin + y * cos);
    let shape =
        format!("outline {} {} {} {}", turned(0.0, 0.0), turned(300.0, 0.0), turned(300.0, 600.0), turned(0.0, 600.0));
    let regions = vec![
        region(&shape, "sleeve"),
        region(&format!("line {} {}", turned(150.0, 500.0), turned(150.0, 100.0)), "Grain"),
        region(&format!("point {}", turned(0.0, 0.0)), "corner head"),
        region(&format!("point {}", turned(300.0, 600.0)), "corner wrist"),
        region(&format!("line {} {}", turned(0.0, 300.0), turned(300.0, 300.0)), "elbow girth"),
    ];
    let piece = &off(&page(regions), &Terms::at(0.125)).pieces[0];
    near(piece.width.value, 240.0);
    near(piece.height.value, 480.0);
    let grain = piece.grain.expect("a grain");
    assert!((grain[0].0 - grain[1].0).abs() < 1e-6, "{grain:?}");
    let edges: Vec<(&str, f64)> = piece.edges.iter().map(|e| (e.name.as_str(), e.length.value.round())).collect();
    assert_eq!((edges, piece.corners_marked), (vec![("head–wrist", 720.0), ("wrist–head", 720.0)], true));
    near(piece.lines[0].length.value, 240.0);
    assert_eq!(piece.lines[0].name, "elbow girth");
}

#[test]
fn an_oblique_page_is_set_straight_by_four_corners_of_its_grid() {
    // The grid of 120 by 80 mm as a camera held askew sees it.
    let seen = [(150.0, 120.0), (1050.0, 200.0), (960.0, 820.0), (120.0, 700.0)];
    let grid = [(0.0, 0.0), (120.0, 0.0), (120.0, 80.0), (0.0, 80.0)];
    let there = Homography::through(&grid.into_iter().zip(seen).collect::<Vec<_>>()).expect("a view");
    let at = |x: f64, y: f64| there.map((x, y)).map(|(x, y)| format!("{x},{y}")).expect("seen");
    let shape = format!("outline {} {} {} {}", at(10.0, 10.0), at(110.0, 10.0), at(110.0, 60.0), at(10.0, 60.0));
    let mut p = page(vec![region(&shape, "front")]);
    p.scale = PictureScale::rectangle(seen, "120 x 80 mm", Some("0.2 mm"), 1.0, Vec::new()).ok();
    let piece = &off(&p, &Terms::at(0.125)).pieces[0];
    near(piece.width.value, 800.0);
    near(piece.height.value, 400.0);
    near(piece.area.value, 320_000.0);
    assert!(piece.width.scale > 0.0 && piece.width.u() > piece.width.line);
}

#[test]
fn what_cannot_be_taken_off_is_refused_with_the_mend() {
    let no_scale = Photograph { scale: None, ..page(vec![region(OBLONG, "")]) };
    let with = |p: &Photograph, terms: Terms, only: &[&str]| {
        let only: Vec<String> = only.iter().map(|o| (*o).to_owned()).collect();
        take_off(p, &PieceFile::default(), &only, &terms).expect_err("refused")
    };
    let plain = page(vec![region(OBLONG, "front")]);
    for (said, says) in [
        (with(&no_scale, Terms::at(0.125), &[]), "`dimity photo scale`"),
        (with(&page(vec![region("point 5,5", "notch")]), Terms::at(0.125), &[]), "`dimity photo region"),
        (with(&plain, Terms::at(0.0), &[]), "write it as `1/8`"),
        (with(&plain, Terms::at(f64::NAN), &[]), "write it as `1/8`"),
        (with(&plain, Terms { paper: 0.3, ..Terms::at(0.125) }, &[]), "less than 20 %"),
        (with(&plain, Terms { allowance_mm: -1.0, ..Terms::at(0.125) }, &[]), "between 0 and 200 mm"),
        (with(&plain, Terms::at(0.125), &["collar"]), "there are: front"),
    ] {
        assert!(said.contains(says), "`{said}` does not say `{says}`");
    }
    let lost = off(&page(vec![region(OBLONG, ""), region("point 1190,990", "button")]), &Terms::at(0.125));
    assert_eq!((lost.pieces[0].marks.len(), lost.warnings.len()), (0, 1));
}

#[test]
fn a_note_says_how_often_a_piece_is_cut() {
    for (note, n) in
        [("cut 2", Some(2)), ("Cut 1 on the fold", Some(1)), ("cut", None), ("cuts 3", None), ("cut 0", None)]
    {
        assert_eq!(to_cut(note), n, "{note}");
    }
}

fn star(radii: &[f64]) -> Outline {
    let n = radii.len() as f64;
    let most = radii.iter().copied().fold(0.0, f64::max);
    let at = |(i, r): (usize, &f64)| {
        let turn = std::f64::consts::TAU * i as f64 / n;
        (most + r * turn.cos(), most + r * turn.sin())
    };
    let around: Vec<Point> = radii.iter().enumerate().map(at).collect();
    // As every pattern piece, with its box at 0,0.
    let low = extent(&around).map_or((0.0, 0.0), |(low, _)| low);
    around.iter().map(|p| (p.0 - low.0, p.1 - low.1)).collect::<Vec<Point>>().into()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn sheets_put_together_give_back_every_piece_whole(
        shapes in proptest::collection::vec(proptest::collection::vec(20.0..420.0f64, 5..12), 1..6),
        overlap in 5.0..40.0f64, letter in any::<bool>(),
    ) {
        let pieces: Vec<Outline> = shapes.iter().map(|r| star(r)).collect();
        let paper = if letter { Paper::Letter } else { Paper::A4 };
        let laid = sheets(&pieces.iter().collect::<Vec<_>>(), paper, overlap).expect("sheets");
        let placed: Vec<Outline> = pieces.iter().zip(&laid.places)
            .filter_map(|(p, at)| p.moved(|q| Some((q.0 + at.0, q.1 + at.1)))).collect();
        let window = paper.window();
        let windows: Vec<Outline> = laid.tiles.iter().map(|t| {
            let (x, y) = t.at;
            vec![(x, y), (x + window.0, y), (x + window.0, y + window.1), (x, y + window.1)].into()
        }).collect();
        // Nothing of a piece lies on no sheet, and no piece on another.
        let all: f64 = pieces.iter().map(Outline::area).sum();
        prop_assert!((area_of_union(&placed) - all).abs() < 1e-6 * all);
        prop_assert!((area_within(&placed, &windows) - all).abs() < 1e-6 * all);
        // Neighbours overlap by what is stated, and each match mark stands in the overlap of the two sheets it names.
        let tile = |name: &str| laid.tiles.iter().find(|t| t.name == name).expect("a sheet");
        for m in &laid.matches {
            let (a, b) = m.name.split_once(' ').expect("two names");
            let (a, b) = (tile(a), tile(b));
            let step = (b.at.0 - a.at.0, b.at.1 - a.at.1);
            let shared = if step.0 > 0.0 { window.0 - step.0 } else { window.1 - step.1 };
            prop_assert!((shared - overlap).abs() < 1e-9);
            for t in [a, b] {
                let here = (m.at.0 - t.at.0, m.at.1 - t.at.1);
                prop_assert!(here.0 >= 0.0 && here.0 <= window.0 && here.1 >= 0.0 && here.1 <= window.1);
            }
        }
        let neighbours: usize = laid.tiles.iter().map(|t| usize::from(t.beside[1]) + usize::from(t.beside[3])).sum();
        prop_assert_eq!(laid.matches.len(), 2 * neighbours);
    }
}
