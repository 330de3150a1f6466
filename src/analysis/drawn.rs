//! The sizes of what is drawn on a photograph: each region, what regions of one kind cover together, and their share of
//! a component's outline.

use crate::geometry::{Outline, POINTING_PX, Scale};
use crate::measure::Estimate;
use crate::record::photograph::{Photograph, Region, Shape};

/// Square millimetres of a square centimetre.
const CM2: f64 = 100.0;

/// The size of one region, as far as its shape has one.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Size {
    /// Length of a line, or round an outline without its holes: pixels or millimetres.
    pub length: Option<Estimate>,
    /// Area of an outline: square pixels or square centimetres.
    pub area: Option<Estimate>,
    /// Angle of a line of three positions, at the middle one: degrees.
    pub angle: Option<Estimate>,
}

/// What is known of the size of a region.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sized {
    /// In pixels.
    pub px: Size,
    /// In the plane of the scale; blank without one.
    pub plane: Size,
    /// Whether the photograph has a scale.
    pub scaled: bool,
    /// The components in whose outline it lies, with its share of each, from 0 to 1.
    pub shares: Vec<(String, Estimate)>,
}

/// What several regions cover together, overlaps counted once.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// How many regions.
    pub count: usize,
    /// Whether any two of them overlap.
    pub overlap: bool,
    /// Area in square pixels.
    pub px: Option<Estimate>,
    /// Area in square centimetres; none without a scale.
    pub plane: Option<Estimate>,
    /// Shares of the components in whose outline they lie.
    pub shares: Vec<(String, Estimate)>,
}

/// The scale of a photograph to measure with, if one was set and makes a scale.
pub fn scale_of(p: &Photograph) -> Option<Scale> {
    p.scale.as_ref().and_then(|s| s.scale().ok())
}

/// The size of a region drawn on `p`.
pub fn sized(p: &Photograph, region: &Region) -> Sized {
    let scale = scale_of(p);
    let pointing = p.scale.as_ref().map_or(POINTING_PX, |s| s.pointing_px);
    let shares = match &region.shape {
        Shape::Outline(outline) if region.outlines.is_none() => shares(p, std::slice::from_ref(outline), pointing),
        _ => Vec::new(),
    };
    Sized {
        px: size(&Scale::pixels(pointing), &region.shape, 1.0),
        plane: scale.as_ref().map(|s| size(s, &region.shape, CM2)).unwrap_or_default(),
        scaled: scale.is_some(),
        shares,
    }
}

/// What the outlines among these regions of `p` cover together; none if there is no outline among them.
pub fn together(p: &Photograph, regions: &[&Region]) -> Option<Together> {
    let outlines: Vec<Outline> = regions.iter().filter_map(|r| outline(r)).cloned().collect();
    if outlines.is_empty() {
        return None;
    }
    let pointing = p.scale.as_ref().map_or(POINTING_PX, |s| s.pointing_px);
    let px = Scale::pixels(pointing).area(&outlines);
    let sum: f64 = outlines.iter().map(Outline::area).sum();
    Some(Together {
        count: outlines.len(),
        overlap: px.is_some_and(|px| px.value < sum * (1.0 - 1e-9)),
        px,
        plane: scale_of(p).and_then(|s| s.area(&outlines)).map(|a| over(a, CM2)),
        shares: shares(p, &outlines, pointing),
    })
}

/// The names of the components outlined on `p`, each once, in order.
pub fn outlined(p: &Photograph) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for name in p.regions.iter().filter_map(|r| r.outlines.as_deref()) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// The share of each outlined component that these outlines cover, where they cover any. Without a scale it is a share
/// of the picture, which is the same if the view is square on.
fn shares(p: &Photograph, outlines: &[Outline], pointing: f64) -> Vec<(String, Estimate)> {
    let scale = scale_of(p).unwrap_or_else(|| Scale::pixels(pointing));
    let share = |name: &str| {
        let of_it = p.regions.iter().filter(|r| r.outlines.as_deref() == Some(name));
        let whole: Vec<Outline> = of_it.filter_map(outline).cloned().collect();
        Some((name.to_owned(), scale.share(outlines, &whole).filter(|s| s.value > 0.0)?))
    };
    outlined(p).into_iter().filter_map(share).collect()
}

fn outline(region: &Region) -> Option<&Outline> {
    match &region.shape {
        Shape::Outline(outline) => Some(outline),
        _ => None,
    }
}

fn size(scale: &Scale, shape: &Shape, area_unit: f64) -> Size {
    match shape {
        Shape::Blank | Shape::Point(_) => Size::default(),
        Shape::Line(line) => Size {
            length: scale.length(line),
            area: None,
            angle: match line[..] {
                [a, at, b] => scale.angle(a, at, b),
                _ => None,
            },
        },
        Shape::Outline(outline) => Size {
            length: scale.outer_length(outline),
            area: scale.area(std::slice::from_ref(outline)).map(|a| over(a, area_unit)),
            angle: None,
        },
    }
}

fn over(e: Estimate, unit: f64) -> Estimate {
    Estimate { value: e.value / unit, u: e.u / unit, shared: e.shared / unit, ..e }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::picture_scale::PictureScale;

    fn region(shape: &str, outlines: Option<&str>) -> Region {
        Region { shape: Shape::parse(shape).expect("a shape"), outlines: outlines.map(Into::into), ..Region::default() }
    }

    fn photograph(scale: bool) -> Photograph {
        let bar =
            || PictureScale::between([(0.0, 900.0), (1000.0, 900.0)], "10 cm", Some("0.1 mm"), 1.0).expect("a bar");
        Photograph {
            width: 1000,
            height: 1000,
            scale: scale.then(bar),
            regions: vec![
                region("outline 100,100 500,100 500,500 100,500", Some("front")),
                region("outline 100,100 200,100 200,200 100,200", None),
                region("outline 150,100 250,100 250,200 150,200 hole 160,110 160,120 170,120 170,110", None),
                region("outline 800,800 900,800 900,900", None),
                region("line 100,100 200,100 200,200", None),
                region("point 100,100", None),
            ],
            ..Photograph::default()
        }
    }

    #[test]
    fn a_region_has_its_size_in_pixels_and_with_a_scale_in_millimetres() {
        let p = photograph(true);
        let of = |n: usize| sized(&p, &p.regions[n]);
        let near = |e: Option<Estimate>, wanted: f64| {
            let value = e.expect("a figure").value;
            assert!((value - wanted).abs() < 1e-9, "{value} is not {wanted}");
        };
        near(of(1).px.area, 10_000.0);
        near(of(1).plane.area, 1.0);
        near(of(1).plane.length, 40.0);
        near(of(2).px.area, 9_900.0);
        near(of(2).plane.length, 40.0);
        near(of(4).plane.length, 20.0);
        near(of(4).plane.angle, 90.0);
        assert_eq!((of(5).px, of(5).plane), (Size::default(), Size::default()));
        let plain = photograph(false);
        let without = sized(&plain, &plain.regions[1]);
        assert!(!without.scaled && without.plane == Size::default());
        near(without.px.area, 10_000.0);
    }

    #[test]
    fn shares_are_of_outlined_components_and_overlaps_count_once() {
        let p = photograph(true);
        let share = |n: usize| sized(&p, &p.regions[n]).shares;
        assert!(share(1).len() == 1 && share(1)[0].0 == "front" && (share(1)[0].1.value - 1.0 / 16.0).abs() < 1e-9);
        // The component's own outline is no damage, and the third damage lies outside it.
        assert!(share(0).is_empty() && share(3).is_empty());
        let both = together(&p, &[&p.regions[1], &p.regions[2], &p.regions[4]]).expect("outlines");
        assert!(both.count == 2 && both.overlap);
        // The hole of the second lies in the first: nothing of it is missing.
        assert!((both.px.expect("an area").value - 15_000.0).abs() < 1e-6);
        assert!((both.plane.expect("an area").value - 1.5).abs() < 1e-9);
        let apart = together(&p, &[&p.regions[1], &p.regions[3]]).expect("outlines");
        assert!(!apart.overlap && (apart.plane.expect("an area").value - 1.5).abs() < 1e-9);
        assert_eq!(together(&p, &[&p.regions[4], &p.regions[5]]), None);
    }
}
