//! The parallel curve outside an outline: the line to cut along where a seam allowance is added.
//!
//! The curve is drawn by `i_overlay`; checked against Shapely's buffer with mitred corners.

use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

use super::outline::turning;
use super::{Outline, Point};

/// A corner sharper than this keeps a blunt end instead of a long point (common practice, no source).
const SHARPEST_DEG: f64 = 30.0;

/// A corner that turns less than this is cut straight, not mitred: on a curve of many short edges the two cannot be told
/// apart, and two lines nearly parallel do not meet well.
const STRAIGHT_DEG: f64 = 1.0;

/// The outline with a margin of this width all round it, corners mitred; several where the width is negative and parts
/// it, none where nothing is left. A margin that closes a notch or a hole fills it.
pub fn parallel(outline: &Outline, by: f64) -> Vec<Outline> {
    if !by.is_finite() || outline.points().any(|p| !(p.0.is_finite() && p.1.is_finite())) {
        return Vec::new();
    }
    if by == 0.0 {
        return vec![outline.clone()];
    }
    // The library takes outer rings that run one way and holes that run the other.
    let ring = |ring: &[Point], outer: bool| -> Vec<[f64; 2]> {
        let mut places: Vec<[f64; 2]> = ring.iter().map(|p| [p.0, p.1]).collect();
        if (turning(ring) > 0.0) != outer {
            places.reverse();
        }
        places
    };
    let rings: Vec<Vec<[f64; 2]>> = outline.rings().enumerate().map(|(n, r)| ring(r, n == 0)).collect();
    let style = OutlineStyle::new(by)
        .line_join(LineJoin::Miter(SHARPEST_DEG.to_radians()))
        .miter_min_turn(STRAIGHT_DEG.to_radians());
    let places = |ring: Vec<[f64; 2]>| ring.into_iter().map(|[x, y]| (x, y)).collect::<Vec<Point>>();
    let found = rings.outline_as::<i64>(&style).into_iter().filter_map(|shape| {
        let mut rings = shape.into_iter().map(places);
        Some(Outline { around: rings.next()?, holes: rings.collect() })
    });
    found.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{area_within, distance};
    use proptest::prelude::*;

    fn square(side: f64) -> Outline {
        vec![(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].into()
    }

    #[test]
    fn a_square_grows_by_the_margin_on_each_side_whichever_way_it_was_drawn() {
        let mut back = square(100.0);
        back.around.reverse();
        for drawn in [square(100.0), back] {
            let grown = parallel(&drawn, 15.0);
            assert!(grown.len() == 1 && (grown[0].area() - 130.0 * 130.0).abs() < 1e-3, "{grown:?}");
            let shrunk = parallel(&drawn, -15.0);
            assert!(shrunk.len() == 1 && (shrunk[0].area() - 70.0 * 70.0).abs() < 1e-3, "{shrunk:?}");
        }
        assert!(parallel(&square(20.0), -15.0).is_empty());
        assert_eq!(parallel(&square(20.0), 0.0), [square(20.0)]);
    }

    #[test]
    fn a_hole_shrinks_as_the_outside_grows() {
        let with =
            Outline { holes: vec![vec![(40.0, 40.0), (60.0, 40.0), (60.0, 60.0), (40.0, 60.0)]], ..square(100.0) };
        let grown = parallel(&with, 5.0);
        assert!(grown.len() == 1 && grown[0].holes.len() == 1);
        assert!((grown[0].area() - (110.0 * 110.0 - 10.0 * 10.0)).abs() < 1e-3);
        assert!(parallel(&with, 10.5)[0].holes.is_empty(), "a hole that the margin closes is filled");
    }

    #[test]
    fn what_is_no_outline_gives_none() {
        for places in [vec![], vec![(0.0, 0.0)], vec![(0.0, 0.0), (1.0, 1.0)], vec![(0.0, 0.0), (5.0, 0.0), (9.0, 0.0)]]
        {
            let _ = parallel(&places.into(), 3.0);
        }
        assert!(parallel(&vec![(0.0, 0.0), (1.0, f64::NAN), (3.0, 3.0)].into(), 1.0).is_empty());
        assert!(parallel(&square(1.0), f64::INFINITY).is_empty());
    }

    proptest! {
        /// Round a star-shaped outline nothing of the piece is cut off, and every place of the cutting line is at least
        /// the margin away from every corner of the piece (no place of the piece is nearer than its margin).
        #[test]
        fn the_margin_is_nowhere_narrower_than_stated(
            radii in proptest::collection::vec(40.0..120.0f64, 5..24), by in 3.0..25.0f64
        ) {
            let n = radii.len() as f64;
            let around: Vec<Point> = radii.iter().enumerate().map(|(i, r)| {
                let turn = std::f64::consts::TAU * i as f64 / n;
                (r * turn.cos(), r * turn.sin())
            }).collect();
            let piece = Outline::from(around);
            let cut = parallel(&piece, by);
            prop_assert_eq!(cut.len(), 1);
            prop_assert!((area_within(std::slice::from_ref(&piece), &cut) - piece.area()).abs() < 1e-3);
            for place in cut[0].points() {
                let nearest = piece.around.iter().map(|p| distance(*p, place)).fold(f64::INFINITY, f64::min);
                prop_assert!(nearest > by * 0.999 - 1e-3, "{place:?} is {nearest} from the piece, margin {by}");
            }
        }
    }
}
