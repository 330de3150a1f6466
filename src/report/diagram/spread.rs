//! Marks on a figure set apart, so that none covers another.

use super::figures::Spot;

/// Radius of a mark.
pub(super) const RADIUS: f64 = 10.5;
/// Half the width that marks may use.
pub(super) const REACH: f64 = 118.0;
/// Least distance between the middles of two marks.
const APART: f64 = 2.0 * RADIUS + 1.5;

/// A middle for each mark, in order: its own place, or the nearest free one around it; none where the view is full.
pub(super) fn apart(anchors: &[Spot], high: f64) -> Vec<Option<Spot>> {
    let mut taken: Vec<Spot> = Vec::new();
    anchors
        .iter()
        .map(|anchor| {
            let free = |at: &Spot| within(*at, high) && taken.iter().all(|t| (t.0 - at.0).hypot(t.1 - at.1) >= APART);
            let found = around(*anchor, high).find(free);
            taken.extend(found);
            found
        })
        .collect()
}

fn within((x, y): Spot, high: f64) -> bool {
    x.abs() <= REACH - RADIUS && y >= RADIUS && y <= high - RADIUS
}

/// The place itself, moved into the view, then circles around it; each begins on the side away from the centre line.
fn around(anchor: Spot, high: f64) -> impl Iterator<Item = Spot> {
    let inner = |value: f64, low: f64, top: f64| value.max(low).min(top.max(low));
    let own = (inner(anchor.0, RADIUS - REACH, REACH - RADIUS), inner(anchor.1, RADIUS, high - RADIUS));
    let outward = if own.0 < 0.0 { std::f64::consts::PI } else { 0.0 };
    let circles = (0..30).flat_map(move |ring| {
        let radius = APART + f64::from(ring) * 8.0;
        (0..24).map(move |step| {
            // Alternately to either hand of the first direction: 0, +15°, −15°, +30° …
            let turn = f64::from((step + 1) / 2) * if step % 2 == 0 { -15.0 } else { 15.0 };
            let angle = outward + turn.to_radians();
            (own.0 + radius * angle.cos(), own.1 + radius * angle.sin())
        })
    });
    std::iter::once(own).chain(circles)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_mark_alone_stands_on_its_place_and_a_second_beside_it() {
        assert_eq!(apart(&[(24.0, 64.0)], 172.0), [Some((24.0, 64.0))]);
        let two = apart(&[(24.0, 64.0), (24.0, 64.0), (-24.0, 64.0), (-24.0, 64.0)], 172.0);
        assert_eq!(two[1], Some((24.0 + APART, 64.0)), "away from the centre line");
        assert!(two[3].is_some_and(|(x, y)| (x + 24.0 + APART).abs() < 1e-9 && (y - 64.0).abs() < 1e-9));
        // At the edge the mark is moved in whole.
        assert_eq!(apart(&[(0.0, 0.0)], 100.0), [Some((0.0, RADIUS))]);
    }

    #[test]
    fn a_view_that_is_full_takes_no_more() {
        let many = apart(&[(0.0, 20.0); 400], 60.0);
        assert!(many.iter().flatten().count() > 10 && many.last() == Some(&None));
    }

    proptest! {
        #[test]
        fn no_two_marks_overlap_and_none_leaves_the_view(
            anchors in proptest::collection::vec((-130.0..130.0f64, -20.0..320.0f64), 0..40), high in 60.0..300.0f64,
        ) {
            let found = apart(&anchors, high);
            prop_assert_eq!(found.len(), anchors.len());
            let placed: Vec<Spot> = found.into_iter().flatten().collect();
            for (i, a) in placed.iter().enumerate() {
                prop_assert!(within(*a, high));
                prop_assert!(placed[..i].iter().all(|b| (a.0 - b.0).hypot(a.1 - b.1) >= APART));
            }
        }
    }
}
