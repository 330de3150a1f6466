//! Planes, bars and outlines against `OpenCV`, Shapely and a simulation.

use dimity::geometry::{
    Bar, Degenerate, Homography, Outline, Point, Rectangle, Scale, above_the_plane, area_of_all, area_of_union,
    area_within, distance, length, meeting, parallel,
};
use dimity::measure::Estimate;
use proptest::prelude::*;

use super::table::{Row, rows};

/// `0 0;500 0` or `0 0, 500 0`.
fn places(text: &str, between: char) -> Vec<Point> {
    let place = |pair: &str| {
        let (x, y) = pair.trim().split_once(' ').unwrap_or_else(|| panic!("`{pair}` is no place"));
        (x.trim().parse().expect("a number"), y.trim().parse().expect("a number"))
    };
    text.split(between).map(place).collect()
}

/// The rings of a `POLYGON ((…),(…))`, each without its closing place.
fn outline(wkt: &str) -> Outline {
    let inner = wkt.trim().trim_start_matches("POLYGON").trim().trim_start_matches('(').trim_end_matches(')');
    let mut rings = inner.split("),(").map(|ring| {
        let mut ring = places(ring.trim_matches(|c| c == '(' || c == ')'), ',');
        assert_eq!(ring.first(), ring.last());
        ring.pop();
        ring
    });
    Outline { around: rings.next().expect("a ring"), holes: rings.collect() }
}

fn pairs(row: &Row) -> Vec<(Point, Point)> {
    places(row.text("src_px"), ';').into_iter().zip(places(row.text("dst_mm"), ';')).collect()
}

#[test]
fn a_plane_is_mapped_as_opencv_maps_it() {
    for row in rows("geometry_homography.csv") {
        let pairs = pairs(&row);
        if ["degenerate", "twisted"].contains(&row.text("case")) {
            assert!(Homography::through(&pairs).is_err(), "{}: {}", row.place, row.text("source"));
            continue;
        }
        let found = Homography::through(&pairs).unwrap_or_else(|e| panic!("{}: {e}", row.place));
        let figures: Vec<f64> = row.text("H_rowmajor").split(' ').map(|v| v.parse().expect("a number")).collect();
        let by = |p: Point| {
            let h = &figures;
            let w = h[6] * p.0 + h[7] * p.1 + h[8];
            ((h[0] * p.0 + h[1] * p.1 + h[2]) / w, (h[3] * p.0 + h[4] * p.1 + h[5]) / w)
        };
        let exact = row.text("case") == "exact4";
        let close = if exact { 1e-6 } else { 1e-2 };
        for at in pairs.iter().map(|p| p.0).chain([(1200.0, 900.0), (2000.0, 1500.0)]) {
            let (there, wanted) = (found.map(at).expect("mapped"), by(at));
            row.near("place", distance(there, wanted), 0.0, close);
        }
        let missed = found.residual(&pairs).expect("mapped");
        if exact {
            let wanted = places(row.text("expected_mm"), ';')[0];
            let at = places(row.text("test_px"), ';')[0];
            row.near("place", distance(found.map(at).expect("mapped"), wanted), 0.0, 1e-6);
            row.near("residual", missed.worst, 0.0, 1e-9);
        } else {
            let words: Vec<&str> = row.text("residual_mm").split(' ').collect();
            row.near("rms", missed.rms, words[1].parse().expect("a number"), 1e-4);
            row.near("worst", missed.worst, words[3].parse().expect("a number"), 1e-2);
        }
    }
}

#[test]
fn least_squares_is_least() {
    for row in rows("geometry_homography.csv").iter().filter(|r| r.text("case") == "least_squares") {
        let pairs = pairs(row);
        let found = Homography::through(&pairs).expect("a plane");
        let least = found.residual(&pairs).expect("mapped").rms;
        // The same map, each known place moved a little before fitting, misses the true ones by more.
        for i in 0..pairs.len() {
            let mut other = pairs.clone();
            other[i].1.0 += 0.05;
            let missed = Homography::through(&other).expect("a plane").residual(&pairs).expect("mapped").rms;
            assert!(missed >= least, "{}: {missed} < {least}", row.place);
        }
    }
}

#[test]
fn places_that_give_no_plane_are_refused_by_name() {
    let side = Estimate::new(200.0, 0.0);
    let refused = |c: [Point; 4]| Rectangle::new(c, side, side, &[]).expect_err("refused");
    let line = refused([(0.0, 0.0), (50.0, 50.0), (100.0, 100.0), (0.0, 100.0)]);
    assert_eq!(line, Degenerate::InLine((0.0, 0.0), (50.0, 50.0), (100.0, 100.0)));
    assert_eq!(refused([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (9.0, 9.0)]), Degenerate::Equal((9.0, 9.0)));
    for crossed in [
        [(0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)],
        [(0.0, 0.0), (100.0, 0.0), (0.0, 100.0), (100.0, 100.0)],
        // One corner inside the triangle of the others.
        [(0.0, 0.0), (100.0, 0.0), (30.0, 20.0), (0.0, 100.0)],
    ] {
        assert_eq!(refused(crossed), Degenerate::Crossed, "{crossed:?}");
    }
    let nan = refused([(0.0, 0.0), (f64::NAN, 0.0), (9.0, 9.0), (0.0, 9.0)]);
    assert!(matches!(nan, Degenerate::Figure(_)), "{nan:?}");
    let square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)];
    for (across, down) in [(0.0, 1.0), (1.0, 0.0), (-1.0, 1.0), (f64::NAN, 1.0), (1.0, f64::INFINITY)] {
        let made = Rectangle::new(square, Estimate::new(across, 0.0), Estimate::new(down, 0.0), &[]);
        assert!(matches!(made, Err(Degenerate::Figure(_))), "{across} {down}");
    }
    assert_eq!(Homography::through(&[((0.0, 0.0), (0.0, 0.0)); 3]), Err(Degenerate::TooFew(3)));
    // Either way round is a rectangle.
    assert!(Rectangle::new([square[0], square[3], square[2], square[1]], side, side, &[]).is_ok());
}

#[test]
fn an_oblique_or_narrow_rectangle_is_warned_of() {
    let made = |c: [Point; 4], across: f64, down: f64| {
        Rectangle::new(c, Estimate::new(across, 0.0), Estimate::new(down, 0.0), &[]).expect("a rectangle")
    };
    let square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)];
    assert!(made(square, 50.0, 50.0).tilt() < 1e-3 && made(square, 50.0, 50.0).warnings().is_empty());
    // Drawn half as tall as it is: arccos 0.5.
    let low = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)];
    assert!((made(low, 50.0, 50.0).tilt() - 60.0).abs() < 1e-6);
    let said = made(low, 50.0, 50.0).warnings();
    assert!(said.len() == 1 && said[0].contains("oblique, about 60°"), "{said:?}");
    let swapped = made(low, 50.0, 100.0).warnings();
    assert!(swapped.len() == 2 && swapped[1].contains("the other way round"), "{swapped:?}");
    let narrow = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 40.0), (0.0, 40.0)];
    let said = made(narrow, 500.0, 20.0).warnings();
    assert!(said.len() == 1 && said[0].contains("nearly in line"), "{said:?}");
}

#[test]
fn a_bar_gives_pixels_a_millimetre() {
    for row in rows("geometry_bar.csv") {
        let px = Estimate::new(row.number("bar_px"), row.number("u_px"));
        let bar = Bar::new(px, Estimate::new(row.number("bar_mm"), row.number("u_mm"))).expect("a bar");
        let k = bar.px_per_mm();
        row.near("px/mm", k.value, row.number("px_per_mm"), 1e-9);
        row.near("u", k.u, row.number("u_px_per_mm"), 1e-9 * k.value);
        row.near("ppi", bar.ppi(), row.number("ppi_at_object"), 1e-6);
        row.near("mm/px", bar.mm_per_px(), row.number("mm_per_px"), 1e-12);
        // The same through the general road.
        let scale = Scale::from_bar(bar, 0.0);
        let same = scale.px_per_mm((0.0, 0.0)).expect("a scale");
        row.near("u by propagation", same.u, k.u, 1e-5 * k.u);
    }
    let mm = Estimate::new(100.0, 0.0);
    let bar = Bar::between((10.0, 10.0), (40.0, 50.0), mm, 1.5).expect("a bar");
    assert!((bar.px.value - 50.0).abs() < 1e-12 && (bar.px.u - 1.5 * 2f64.sqrt()).abs() < 1e-12);
    assert_eq!(Bar::between((1.0, 1.0), (1.0, 1.0), mm, 1.0), Err(Degenerate::Equal((1.0, 1.0))));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(Bar::between((1.0, 1.0), (2.0, 1.0), Estimate::new(bad, 0.0), 1.0).is_err(), "{bad}");
        assert!(Bar::between((1.0, 1.0), (2.0, bad.abs() * f64::NAN), mm, 1.0).is_err(), "{bad}");
    }
    // 10 mm above the cloth at a metre: one per cent (geometry).
    assert!((above_the_plane(1000.0, 10.0).expect("a factor") - 1.010_101).abs() < 1e-6);
    assert_eq!(above_the_plane(10.0, 10.0), None);
}

#[test]
fn outlines_have_the_area_and_length_that_shapely_gives_them() {
    for row in rows("geometry_outlines.csv") {
        if row.text("kind") == "line" {
            let inner = row.text("wkt").trim_start_matches("LINESTRING").trim_matches(|c| c == '(' || c == ')');
            row.near("length", length(&places(inner, ',')), row.number("total_length"), 1e-9);
            continue;
        }
        let found = outline(row.text("wkt"));
        row.near("outer length", found.outer_length(), row.number("outer_length"), 1e-9);
        row.near("edges", found.edge_length(), row.number("total_length"), 1e-9);
        let simple = found.check();
        assert_eq!(simple.is_ok(), row.text("simple") == "yes", "{}: {simple:?}", row.place);
        if let Err(said) = simple {
            assert!(meeting(&found.around).is_some() && said.contains("crosses or touches itself at"), "{said}");
            continue;
        }
        row.near("area", found.area(), row.number("area"), 1e-9 * row.number("area").max(1.0));
        row.near("area by strips", area_of_union(&[found]), row.number("area"), 1e-9 * row.number("area").max(1.0));
    }
}

#[test]
fn overlaps_are_counted_once() {
    for row in rows("geometry_union.csv") {
        let list: Vec<Outline> = row.text("outlines").split(';').map(outline).collect();
        let whole = [outline(row.text("whole"))];
        let near = |what, found, column| row.near(what, found, row.number(column), 1e-7 * row.number(column).max(1.0));
        near("sum", area_of_all(&list), "sum");
        near("union", area_of_union(&list), "union");
        near("within", area_within(&list, &whole), "within");
        let share = Scale::pixels(1.0).share(&list, &whole).expect("a share");
        row.near("share", share.value, row.number("within") / whole[0].area(), 1e-9);
    }
}

#[test]
fn uncertainties_are_those_of_a_simulation() {
    for row in rows("geometry_uncertainty.csv") {
        let c = places(row.text("corners"), ';');
        let (across, down) = (Estimate::new(500.0, 0.2), Estimate::new(300.0, 0.2));
        let rectangle = Rectangle::new([c[0], c[1], c[2], c[3]], across, down, &[]).expect("a rectangle");
        let scale = Scale::from_rectangle(rectangle, 1.5);
        let near = |what, found: Estimate, u: f64, value: &str, u_value: &str| {
            row.near(what, found.value, row.number(value), 1e-6 * found.value);
            // 60 000 draws know a standard deviation to 0.3 %; the rest is what a first order leaves out.
            row.near("its uncertainty", u / row.number(u_value), 1.0, 0.02);
        };
        let along = scale.length(&places(row.text("line"), ';')).expect("a length");
        near("length", along, along.u, "length_mm", "u_length_mm");
        let quad = Outline::from(places(row.text("quad"), ';'));
        let area = scale.area(std::slice::from_ref(&quad)).expect("an area");
        near("area", area, area.shared, "area_mm2", "u_area_mm2");
        assert!(area.u > area.shared);
        let p = &quad.around;
        let angle = scale.angle(p[0], p[1], p[2]).expect("an angle");
        near("angle", angle, angle.u, "angle_deg", "u_angle_deg");
    }
}

#[test]
fn pointing_and_scale_both_count() {
    // A square of 100 px at 2 px/mm with a bar known to 1 %: 2500 mm², 2 % of it from the scale, and from the edge its
    // length, 200 mm, times half a millimetre (by hand).
    let bar = Bar::new(Estimate::new(200.0, 2.0), Estimate::new(100.0, 0.0)).expect("a bar");
    let scale = Scale::from_bar(bar, 1.0);
    let square = Outline::from(vec![(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]);
    let area = scale.area(std::slice::from_ref(&square)).expect("an area");
    assert!((area.value - 2500.0).abs() < 1e-9 && (area.shared - 50.0).abs() < 1e-3, "{area:?}");
    assert!((area.u - 50f64.hypot(100.0)).abs() < 1e-3, "{area:?}");
    // A length: 1 % and the two ends, each half a millimetre along the line.
    let line = scale.length(&[(0.0, 0.0), (100.0, 0.0)]).expect("a length");
    assert!((line.value - 50.0).abs() < 1e-9 && (line.u - 0.5f64.hypot(0.5 * 2f64.sqrt())).abs() < 1e-4, "{line:?}");
    // A place in the middle of a straight line adds nothing along it.
    let bent = scale.length(&[(0.0, 0.0), (30.0, 0.0), (60.0, 0.0), (100.0, 0.0)]).expect("a length");
    assert!((bent.u - line.u).abs() < 1e-4, "{bent:?}");
    let half = Outline::from(vec![(0.0, 0.0), (50.0, 0.0), (50.0, 100.0), (0.0, 100.0)]);
    let share = scale.share(&[half], std::slice::from_ref(&square)).expect("a share");
    assert!((share.value - 0.5).abs() < 1e-12 && share.shared < 1e-12);
    // (300 px / 10 000)² and (½ · 400 px / 10 000)².
    assert!((share.u - 0.03f64.hypot(0.02)).abs() < 1e-9, "{share:?}");
    let right = scale.angle((10.0, 0.0), (0.0, 0.0), (0.0, 10.0)).expect("an angle");
    assert!((right.value - 90.0).abs() < 1e-9 && right.shared < 1e-9, "{right:?}");
    assert_eq!(scale.angle((0.0, 0.0), (0.0, 0.0), (0.0, 10.0)), None);
    let in_px = Scale::pixels(1.0).area(std::slice::from_ref(&square)).expect("an area");
    assert!((in_px.value - 1e4).abs() < 1e-9 && (in_px.u - 400.0).abs() < 1e-9 && in_px.shared == 0.0);
}

#[test]
fn holes_and_outlines_that_are_none_are_refused_with_the_place() {
    let square = |x: f64, y: f64, s: f64| vec![(x, y), (x + s, y), (x + s, y + s), (x, y + s)];
    let with = |around: Vec<Point>, holes: Vec<Vec<Point>>| Outline { around, holes }.check();
    let big = square(0.0, 0.0, 100.0);
    assert_eq!(with(big.clone(), vec![square(10.0, 10.0, 20.0), square(40.0, 40.0, 20.0)]), Ok(()));
    for (around, holes, says) in [
        (
            vec![(0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.0)],
            vec![],
            "the outline crosses or touches itself at 4.5,4.5",
        ),
        (
            vec![(0.0, 0.0), (9.0, 0.0), (9.0, 0.0), (0.0, 0.0)],
            vec![],
            "the outline needs at least three different places",
        ),
        (vec![(0.0, 0.0), (9.0, 0.0), (4.0, 0.0)], vec![], "the outline crosses or touches itself at"),
        (
            big.clone(),
            vec![vec![(1.0, 1.0), (3.0, 3.0), (3.0, 1.0), (1.0, 3.0)]],
            "hole 1 crosses or touches itself at 2,2",
        ),
        (big.clone(), vec![square(90.0, 10.0, 20.0)], "hole 1 crosses the outline at 100,"),
        (big.clone(), vec![square(200.0, 10.0, 20.0)], "hole 1 lies outside"),
        (big.clone(), vec![square(10.0, 10.0, 20.0), square(20.0, 20.0, 20.0)], "holes 1 and 2 meet at"),
        (big.clone(), vec![square(10.0, 10.0, 40.0), square(20.0, 20.0, 10.0)], "holes 1 and 2 lie one in the other"),
        (big.clone(), vec![square(20.0, 20.0, 10.0), square(10.0, 10.0, 40.0)], "holes 1 and 2 lie one in the other"),
    ] {
        let said = with(around, holes).expect_err(says);
        assert!(said.starts_with(says), "`{said}` is not `{says}`");
    }
    // A last place that repeats the first, and one place given twice running, are how people draw.
    assert_eq!(with(vec![(0.0, 0.0), (9.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 0.0)], vec![]), Ok(()));
}

#[test]
fn nothing_is_measured_beyond_the_horizon() {
    let steep = [(1000.0, 1000.0), (2000.0, 1000.0), (2600.0, 1600.0), (400.0, 1600.0)];
    let side = Estimate::new(300.0, 0.1);
    let scale = Scale::from_rectangle(Rectangle::new(steep, side, side, &[]).expect("a rectangle"), 1.0);
    assert!(scale.length(&[(1500.0, 1100.0), (1600.0, 1100.0)]).is_some());
    assert_eq!(scale.length(&[(1500.0, 1100.0), (1500.0, 10.0)]), None);
    assert_eq!(scale.area(&[Outline::from(vec![(1500.0, 1100.0), (1600.0, 1100.0), (1500.0, 10.0)])]), None);
}

fn a_rectangle() -> impl Strategy<Value = [Point; 4]> {
    let near = |x: f64, y: f64| (x - 180.0..x + 180.0, y - 180.0..y + 180.0);
    (near(500.0, 500.0), near(2500.0, 500.0), near(2500.0, 2000.0), near(500.0, 2000.0))
        .prop_map(|(a, b, c, d)| [a, b, c, d])
}

fn a_star() -> impl Strategy<Value = Outline> {
    (proptest::collection::vec(0.4f64..1.0, 3..24), 100.0f64..900.0, 100.0f64..900.0, 20.0f64..400.0).prop_map(
        |(reach, x, y, size)| {
            let n = reach.len() as f64;
            let place = |(i, r): (usize, &f64)| {
                let turn = std::f64::consts::TAU * i as f64 / n;
                (x + size * r * turn.cos(), y + size * r * turn.sin())
            };
            Outline::from(reach.iter().enumerate().map(place).collect::<Vec<_>>())
        },
    )
}

proptest! {
    #[test]
    fn a_map_and_its_inverse_undo_each_other(c in a_rectangle(), x in 0.0f64..3000.0, y in 0.0f64..2500.0) {
        let side = Estimate::new(400.0, 0.0);
        let h = *Rectangle::new(c, side, Estimate::new(300.0, 0.0), &[]).expect("a rectangle").homography();
        let back = h.inverse().expect("an inverse");
        let there = h.map((x, y)).expect("mapped");
        prop_assert!(distance(back.map(there).expect("mapped"), (x, y)) < 1e-6);
    }

    #[test]
    fn an_area_has_no_beginning_and_no_direction(one in a_star(), start in 0usize..24) {
        let mut other = one.clone();
        other.around.rotate_left(start % one.around.len());
        prop_assert!((other.area() - one.area()).abs() < 1e-6);
        other.around.reverse();
        prop_assert!((other.area() - one.area()).abs() < 1e-6);
        prop_assert!((area_of_union(&[other]) - one.area()).abs() < 1e-6);
        prop_assert_eq!(one.check(), Ok(()));
    }

    #[test]
    fn a_union_is_no_more_than_the_sum_and_no_less_than_the_largest(list in proptest::collection::vec(a_star(), 1..6)) {
        let union = area_of_union(&list);
        let largest = list.iter().map(Outline::area).fold(0.0, f64::max);
        prop_assert!(union <= area_of_all(&list) + 1e-6 && union >= largest - 1e-6);
        let mut twice = list.clone();
        twice.extend(list.clone());
        prop_assert!((area_of_union(&twice) - union).abs() < 1e-6);
        // Inclusion and exclusion of the first with the rest.
        let rest = area_of_union(&list[1..]);
        prop_assert!((union - (list[0].area() + rest - area_within(&list[1..], &list[..1]))).abs() < 1e-5);
    }

    #[test]
    fn no_places_whatever_bring_it_down(list in proptest::collection::vec((any::<f64>(), any::<f64>()), 0..9), more in any::<[f64; 8]>()) {
        let one = Outline { around: list.clone(), holes: vec![list.clone()] };
        let _ = (one.check(), one.area(), one.edge_length(), area_of_union(&[one.clone(), list.clone().into()]));
        let c = [(more[0], more[1]), (more[2], more[3]), (more[4], more[5]), (more[6], more[7])];
        let side = Estimate::new(more[0].abs(), 0.1);
        if let Ok(rectangle) = Rectangle::new(c, side, side, &[]) {
            let _ = (rectangle.warnings(), rectangle.residual());
            let scale = Scale::from_rectangle(rectangle, 1.0);
            let alone = [one.clone()];
            let _ = (scale.area(&alone), scale.length(&list), scale.share(&alone, &alone));
        }
    }
}

#[test]
fn a_margin_round_an_outline_is_as_shapely_draws_it() {
    for row in rows("geometry_parallel.csv") {
        let around: Vec<Point> = row
            .text("places")
            .split(' ')
            .map(|pair| {
                let (x, y) = pair.split_once(',').expect("a place");
                (x.parse().expect("a number"), y.parse().expect("a number"))
            })
            .collect();
        let drawn = Outline::from(around);
        row.near("area", drawn.area(), row.number("area"), 1e-5);
        row.near("round", drawn.outer_length(), row.number("round"), 1e-5);
        let found = parallel(&drawn, row.number("by"));
        assert_eq!(found.len(), 1, "{}: {found:?}", row.place);
        // Corners that turn by less than a degree are cut straight here: a few hundredths of a millimetre round it.
        row.near("area with the margin", found[0].area(), row.number("cut_area"), 2e-5 * row.number("cut_area"));
        row.near("round with the margin", found[0].outer_length(), row.number("cut_round"), 0.05);
        let extent = |of: fn(&Point) -> f64| {
            let all = found[0].around.iter().map(of);
            all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)
        };
        row.near("width with the margin", extent(|p| p.0), row.number("cut_width"), 0.02);
        row.near("height with the margin", extent(|p| p.1), row.number("cut_height"), 0.02);
    }
}
