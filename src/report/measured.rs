//! One photograph to be measured on: what is drawn and how large it is, what its scale says.

use serde::Serialize;

use super::Settings;
use super::areas::{angle, area, length, share, with_unit};
use super::plates::{self, Plate};
use super::words::{bracketed, capital};
use crate::analysis::drawn::{Sized, sized};
use crate::measure::{Estimate, MM_PER_INCH, System, rounded};
use crate::record::PieceFile;
use crate::record::photograph::{Photograph, Region, Shape};
use crate::record::picture_scale::{PLANE_ONLY, PictureScale};

/// A photograph with what is drawn on it, each with its size.
#[derive(Debug, Serialize)]
pub(crate) struct Study {
    plate: Plate,
    drawn: Vec<Drawn>,
    /// What the scale says; empty without one.
    scale: Vec<String>,
    /// Where the figures hold.
    holds: &'static str,
}

#[derive(Debug, Serialize)]
struct Drawn {
    sign: String,
    what: String,
    figures: Vec<String>,
}

/// The photograph of a piece at this place among them.
pub(super) fn study(file: &PieceFile, at: usize, settings: &Settings<'_>) -> Option<Study> {
    let photograph = file.photographs.get(at)?;
    let plate = plates::one(file, at, settings)?;
    let drawn = |(n, region): (usize, &Region)| {
        let sign = plate.signs.get(n).cloned().unwrap_or_default();
        let what = plate.keys.iter().find(|k| k.sign == sign).map(|k| capital(&k.words)).unwrap_or_default();
        Drawn { sign, what, figures: figures(photograph, region, settings.units) }
    };
    Some(Study {
        drawn: photograph.regions.iter().enumerate().map(drawn).collect(),
        scale: photograph.scale.as_ref().map(scale_lines).unwrap_or_default(),
        holds: PLANE_ONLY,
        plate,
    })
}

/// How large a region is: `4.10 ± 0.12 cm² (0.636 ± 0.019 sq in)`, with the expanded uncertainty for 95 %, the preferred system
/// first; in pixels without a scale.
pub(super) fn figures(p: &Photograph, region: &Region, units: System) -> Vec<String> {
    let found = sized(p, region);
    let round = if matches!(region.shape, Shape::Outline(_)) { " round" } else { "" };
    let (area, length) = if found.scaled { in_both(&found, units) } else { in_pixels(&found) };
    let length = if length.is_empty() { length } else { format!("{length}{round}") };
    let angle = angle(&found);
    let angle = if angle.is_empty() { angle } else { format!("{angle} at the middle place") };
    [area, length, angle, share(&found.shares)].into_iter().filter(|words| !words.is_empty()).collect()
}

fn in_both(found: &Sized, units: System) -> (String, String) {
    let both = |metric: String, inches: String| {
        let [first, second] = units.ordered(metric, inches);
        bracketed(&first, &second)
    };
    let in_inches = |e: &Option<Estimate>, per: f64, unit| with_unit(e.map(|e| e.times(1.0 / per)).as_ref(), unit);
    // An area is kept in square centimetres.
    let square = MM_PER_INCH * MM_PER_INCH / 100.0;
    (
        both(area(found), in_inches(&found.plane.area, square, "sq in")),
        both(length(found), in_inches(&found.plane.length, MM_PER_INCH, "in")),
    )
}

fn in_pixels(found: &Sized) -> (String, String) {
    let words = |e: &Option<Estimate>, unit| with_unit(e.as_ref(), unit);
    (words(&found.px.area, "px²"), words(&found.px.length, "px"))
}

/// What a scale says, a line each: the figure, what it means at the object, where it holds, what to look at again.
pub fn scale_lines(scale: &PictureScale) -> Vec<String> {
    let Some(said) = scale.said() else { return vec!["the scale cannot be worked out".into()] };
    let (k, u) = rounded(said.px_per_mm.value, said.px_per_mm.u);
    let middle = if scale.down_mm.is_some() { " in the middle of the rectangle" } else { "" };
    let of = scale.tolerance.as_ref().map(|t| format!(" within {t}")).unwrap_or_default();
    let mut lines = vec![
        format!("{k} px/mm, u {u} px/mm{middle}, from {}{of}, places to {} px", scale.size, scale.pointing_px),
        format!("{:.0} ppi at the object; a pixel is {:.3} mm", said.ppi, 1.0 / said.px_per_mm.value),
    ];
    if let (Some((low, high)), Some(tilt)) = (said.range, said.tilt) {
        lines.push(format!("{low:.2} to {high:.2} px/mm at its corners; turned about {tilt:.0}° from square on"));
        lines.push(match said.residual {
            Some(r) => format!("known places are missed by {:.2} mm (rms), {:.2} mm at most", r.rms, r.worst),
            None => "residual 0 mm: four corners are met whatever they are; a further known place would tell".into(),
        });
    }
    let seen = if scale.down_mm.is_some() { "" } else { ", and if that is seen square on" };
    lines.push(format!("{PLANE_ONLY}{seen}"));
    lines.extend(said.warnings.iter().map(|w| format!("take care: {w}")));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_is_told_with_its_uncertainty_and_in_pixels_without_a_scale() {
        let region = |shape: &str| Region { shape: Shape::parse(shape).expect("a shape"), ..Region::default() };
        let mut p = Photograph { width: 1000, height: 1000, ..Photograph::default() };
        let square = region("outline 100,100 200,100 200,200 100,200");
        let plain = figures(&p, &square, System::Metric);
        assert!(plain.len() == 2 && plain[0].ends_with("px²") && plain[1].ends_with("px round"), "{plain:?}");
        let bar = PictureScale::between([(0.0, 900.0), (1000.0, 900.0)], "10 cm", Some("0.1 mm"), 1.0);
        p.scale = Some(bar.expect("a bar"));
        let scaled = figures(&p, &square, System::Metric);
        assert!(scaled[0].starts_with("1.00") && scaled[0].contains("\u{a0}cm² (0.155"), "{scaled:?}");
        assert!(scaled[1].starts_with("40.0") && scaled[1].contains("\u{a0}mm (1.575"), "{scaled:?}");
        assert!(scaled[1].ends_with("in) round"), "{scaled:?}");
        let inches = figures(&p, &square, System::Inches);
        assert!(inches[0].starts_with("0.155") && inches[0].contains("(1.00"), "{inches:?}");
        assert_eq!(figures(&p, &region("point 1,1"), System::Metric), Vec::<String>::new());
        let bent = figures(&p, &region("line 100,100 200,100 200,200"), System::Metric);
        assert!(bent[1].contains('°') && bent[1].ends_with("at the middle place"), "{bent:?}");
    }
}
