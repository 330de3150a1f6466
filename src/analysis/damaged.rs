//! Damage on the piece as a whole: area and share for each damage term, each component and both, from what is drawn on
//! all photographs with a scale. Overlaps count once, and so does a note that several photographs show.

use super::drawn::{outlined, scale_of, together};
use crate::measure::Estimate;
use crate::record::photograph::{Photograph, Region, Shape};

/// A condition note, as far as its area goes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Note<'a> {
    /// Its identifier and those of the notes that it continues: a region drawn for any of them shows it.
    pub ids: Vec<&'a str>,
    /// The damage term; blank if not named.
    pub damage: String,
    /// The component; blank for the whole piece.
    pub component: String,
}

/// What some notes cover together.
#[derive(Debug, Clone, PartialEq)]
pub struct Total {
    /// The damage term; none for all of them.
    pub damage: Option<String>,
    /// The component; none for all of them.
    pub component: Option<String>,
    /// How many notes.
    pub notes: usize,
    /// How many of them are outlined on a photograph with a scale.
    pub drawn: usize,
    /// Whether outlines overlap.
    pub overlap: bool,
    /// Their area in square centimetres.
    pub area: Option<Estimate>,
    /// Their share of the component, from 0 to 1, where it is outlined on every photograph that the area comes from,
    /// and that is one.
    pub share: Option<Estimate>,
}

/// The totals: for each component its damages in the order of the notes and, of several notes, all together; then each
/// damage found on several components; then everything. Lines of which nothing is drawn are left out, and sums of one.
pub fn totals(photographs: &[&Photograph], notes: &[Note<'_>]) -> Vec<Total> {
    let chosen: Vec<Option<usize>> = notes.iter().map(|note| best(photographs, note)).collect();
    let total = |damage: Option<&str>, component: Option<&str>| {
        let is_in = |n: &Note<'_>| damage.is_none_or(|d| d == n.damage) && component.is_none_or(|c| c == n.component);
        let these: Vec<usize> = (0..notes.len()).filter(|i| is_in(&notes[*i])).collect();
        sum(photographs, notes, &chosen, &these, damage, component)
    };
    let mut totals = Vec::new();
    let components = distinct(notes.iter().map(|n| n.component.as_str()));
    for component in &components {
        let here = || notes.iter().filter(|n| n.component == *component);
        let damages = distinct(here().map(|n| n.damage.as_str()));
        totals.extend(damages.iter().map(|d| total(Some(d), Some(component))));
        if damages.len() > 1 {
            totals.push(total(None, Some(component)));
        }
    }
    for damage in distinct(notes.iter().map(|n| n.damage.as_str())) {
        if distinct(notes.iter().filter(|n| n.damage == damage).map(|n| n.component.as_str())).len() > 1 {
            totals.push(total(Some(damage), None));
        }
    }
    if components.len() > 1 {
        totals.push(total(None, None));
    }
    totals.retain(|t| t.drawn > usize::from(t.damage.is_none() || t.component.is_none()));
    totals
}

fn sum(
    photographs: &[&Photograph],
    notes: &[Note<'_>],
    chosen: &[Option<usize>],
    these: &[usize],
    damage: Option<&str>,
    component: Option<&str>,
) -> Total {
    let mut total = Total {
        damage: damage.map(str::to_owned),
        component: component.map(str::to_owned),
        notes: these.len(),
        drawn: these.iter().filter(|i| chosen[**i].is_some()).count(),
        overlap: false,
        area: None,
        share: None,
    };
    let mut shares = Vec::new();
    for (at, p) in photographs.iter().enumerate() {
        let here = these.iter().filter(|i| chosen[**i] == Some(at)).map(|i| &notes[*i]);
        let regions: Vec<&Region> = here.flat_map(|note| regions(p, note)).collect();
        let Some(covered) = together(p, &regions) else { continue };
        total.overlap |= covered.overlap;
        // Photographs have scales of their own: their uncertainties are independent.
        total.area = match (total.area, covered.plane) {
            (Some(a), Some(b)) => Some(Estimate::new(a.value + b.value, a.u.hypot(b.u))),
            (a, b) => a.or(b),
        };
        let of_it = covered.shares.into_iter().find(|(name, _)| Some(name.as_str()) == component);
        shares.push(of_it.map(|(_, share)| share));
    }
    if let [share] = shares[..] {
        total.share = share;
    }
    total
}

/// The photograph with a scale on which the note is drawn with the least relative uncertainty; one on which its
/// component is outlined goes before all others, since it tells a share too.
fn best(photographs: &[&Photograph], note: &Note<'_>) -> Option<usize> {
    let rank = |at: usize| {
        let p = photographs[at];
        let area = together(p, &regions(p, note).collect::<Vec<_>>())?.plane.filter(|a| a.value > 0.0)?;
        let alone = !outlined(p).contains(&note.component.as_str());
        Some((alone, area.u / area.value, at))
    };
    let better = |a: (bool, f64, usize), b: (bool, f64, usize)| if (b.0, b.1) < (a.0, a.1) { b } else { a };
    (0..photographs.len())
        .filter(|at| scale_of(photographs[*at]).is_some())
        .filter_map(rank)
        .reduce(better)
        .map(|r| r.2)
}

/// The outlines on a photograph that show a note.
fn regions<'p>(p: &'p Photograph, note: &Note<'_>) -> impl Iterator<Item = &'p Region> {
    let shows = |r: &Region| r.shows.as_deref().is_some_and(|id| note.ids.contains(&id));
    p.regions.iter().filter(move |r| matches!(r.shape, Shape::Outline(_)) && r.outlines.is_none() && shows(r))
}

fn distinct<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut found: Vec<&str> = Vec::new();
    for name in names {
        if !found.contains(&name) {
            found.push(name);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::picture_scale::PictureScale;

    fn note(id: &'static str, damage: &str, component: &str) -> Note<'static> {
        Note { ids: vec![id], damage: damage.into(), component: component.into() }
    }

    /// A photograph of 10 pixels to the millimetre, so that 100 by 100 pixels are 1 cm².
    fn photograph(regions: &[(&str, &str)], scale: bool) -> Photograph {
        let one = |(shape, what): &(&str, &str)| {
            let part = what.strip_prefix("part ");
            Region {
                shape: Shape::parse(shape).expect("a shape"),
                shows: part.is_none().then(|| (*what).to_owned()),
                outlines: part.map(str::to_owned),
                ..Region::default()
            }
        };
        let bar = || PictureScale::between([(0.0, 900.0), (1000.0, 900.0)], "10 cm", Some("0.1 mm"), 1.0);
        Photograph {
            width: 1000,
            height: 1000,
            scale: scale.then(|| bar().expect("a bar")),
            regions: regions.iter().map(one).collect(),
            ..Photograph::default()
        }
    }

    #[test]
    fn areas_add_up_by_damage_and_component_and_nothing_counts_twice() {
        let first = photograph(
            &[
                ("outline 0,0 400,0 400,500 0,500", "part front"),
                ("outline 0,0 100,0 100,100 0,100", "a"),
                ("outline 50,0 150,0 150,100 50,100", "b"),
                ("outline 0,200 100,200 100,300 0,300", "c"),
                ("line 0,0 500,500", "c"),
            ],
            true,
        );
        // The tideline again, drawn larger, and a stain on the back; a photograph without a scale tells nothing.
        let second =
            photograph(&[("outline 0,0 300,0 300,300 0,300", "a"), ("outline 0,0 200,0 200,100 0,100", "d")], true);
        let third = photograph(&[("outline 0,0 200,0 200,200 0,200", "e")], false);
        let notes = [
            note("a", "tideline", "front"),
            note("b", "tideline", "front"),
            note("c", "foxing", "front"),
            note("d", "tideline", "back"),
            note("e", "hole", "back"),
        ];
        let found = totals(&[&second, &first, &third], &notes);
        let told: Vec<_> = found
            .iter()
            .map(|t| {
                let name = |n: &Option<String>| n.clone().unwrap_or_else(|| "all".into());
                let area = t.area.map_or(0.0, |a| (a.value * 100.0).round() / 100.0);
                let share = t.share.map(|s| (s.value * 1000.0).round() / 10.0);
                (name(&t.damage), name(&t.component), t.notes, t.drawn, t.overlap, area, share)
            })
            .collect();
        let row = |d: &str, c: &str, n, drawn, o, a, s| (d.to_owned(), c.to_owned(), n, drawn, o, a, s);
        assert_eq!(
            told,
            [
                row("tideline", "front", 2, 2, true, 1.5, Some(7.5)),
                row("foxing", "front", 1, 1, false, 1.0, Some(5.0)),
                row("all", "front", 3, 3, true, 2.5, Some(12.5)),
                row("tideline", "back", 1, 1, false, 2.0, None),
                row("tideline", "all", 3, 3, true, 3.5, None),
                row("all", "all", 5, 4, true, 4.5, None),
            ]
        );
        // Two photographs: their uncertainties add in quadrature.
        let u = |i: usize| found[i].area.map(|a| a.u).unwrap_or_default();
        assert!((u(5) - u(2).hypot(u(3))).abs() < 1e-12);
    }

    #[test]
    fn nothing_drawn_is_no_line() {
        let plain = photograph(&[("outline 0,0 200,0 200,200 0,200", "a")], false);
        assert!(totals(&[&plain], &[note("a", "hole", "front")]).is_empty());
        assert!(totals(&[], &[note("a", "hole", "front")]).is_empty() && totals(&[&plain], &[]).is_empty());
    }

    #[test]
    fn of_two_photographs_the_better_known_speaks() {
        let coarse = Photograph {
            scale: Some(
                PictureScale::between([(0.0, 900.0), (1000.0, 900.0)], "10 cm", Some("5 mm"), 4.0).expect("a bar"),
            ),
            ..photograph(&[("outline 0,0 110,0 110,100 0,100", "a")], true)
        };
        let fine = photograph(&[("outline 0,0 100,0 100,100 0,100", "a")], true);
        for order in [[&coarse, &fine], [&fine, &coarse]] {
            let found = totals(&order, &[note("a", "hole", "front")]);
            assert!((found[0].area.expect("an area").value - 1.0).abs() < 1e-9);
        }
    }
}
