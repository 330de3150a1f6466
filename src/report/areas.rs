//! Lengths and areas of what is drawn on photographs with a scale: a line a region, and a line a kind of damage where
//! it is drawn more than once, overlaps counted once.

use std::collections::BTreeMap;

use serde::Serialize;

use super::letters::{Letters, standing};
use super::plates::Plate;
use super::words::{capital, expanded, joined, term, text};
use crate::analysis::damaged::{Note, Total, totals};
use crate::analysis::drawn::{Sized, Together, outlined, scale_of, sized, together};
use crate::measure::{Estimate, rounded};
use crate::record::condition::Condition;
use crate::record::photograph::{Photograph, Region, Shape};
use crate::record::picture_scale::PLANE_ONLY;
use crate::record::{Observed, PieceFile};

/// The table of areas of a report.
#[derive(Debug, Default, Serialize)]
pub(super) struct Areas {
    pub rows: Vec<AreaRow>,
    /// From what each figure has its scale, and what to take care of.
    pub scales: Vec<String>,
    /// Numbers of figures with lines or outlines, but without a scale.
    pub unscaled: Vec<String>,
    /// Whether a share is said anywhere.
    pub shared: bool,
    /// Where the figures hold.
    pub holds: &'static str,
}

/// One region, or one kind of damage on one figure.
#[derive(Debug, Serialize)]
pub(super) struct AreaRow {
    pub figure: usize,
    pub sign: String,
    pub what: String,
    pub area: String,
    pub length: String,
    pub share: String,
    /// Whether it sums up lines above it.
    pub total: bool,
}

/// What is measured on these photographs, given in the order of their plates.
pub(super) fn areas(photographs: &[&Photograph], plates: &[Plate]) -> Areas {
    let mut areas = Areas { holds: PLANE_ONLY, ..Areas::default() };
    for (p, plate) in photographs.iter().zip(plates) {
        let measurable = p.regions.iter().any(|r| matches!(r.shape, Shape::Line(_) | Shape::Outline(_)));
        if !measurable {
            continue;
        }
        if scale_of(p).is_none() {
            areas.unscaled.push(plate.number.to_string());
            continue;
        }
        areas.scales.extend(scale(p, plate.number));
        let mut kinds: BTreeMap<&str, Vec<&Region>> = BTreeMap::new();
        for (n, region) in p.regions.iter().enumerate() {
            let kind = plate.kinds.get(n).map(String::as_str).unwrap_or_default();
            if region.outlines.is_none() && matches!(region.shape, Shape::Outline(_)) && !kind.is_empty() {
                kinds.entry(kind).or_default().push(region);
            }
            areas.rows.extend(row(p, plate, n, region));
        }
        for (kind, regions) in kinds.into_iter().filter(|(_, regions)| regions.len() > 1) {
            areas.rows.extend(together(p, &regions).map(|t| total(plate.number, kind, &t)));
        }
        areas.rows.extend(outlined(p).into_iter().filter_map(|component| on_component(p, plate.number, component)));
        areas.shared |= !outlined(p).is_empty();
    }
    areas
}

/// One line of the areas on the piece as a whole.
#[derive(Debug, Serialize)]
pub(super) struct WholeRow {
    pub component: String,
    pub damage: String,
    pub notes: String,
    pub area: String,
    pub share: String,
    /// Whether it sums up other lines.
    pub total: bool,
}

/// Area and share for each damage and component of the examination at `at`, from all its photographs.
pub(super) fn whole(file: &PieceFile, at: usize, photographs: &[&Photograph], letters: &Letters) -> Vec<WholeRow> {
    let Some(exam) = file.examinations.get(at) else { return Vec::new() };
    let note = |(n, o): (usize, &Observed<Condition>)| Note {
        ids: letters.ids(n).iter().map(String::as_str).collect(),
        damage: term(o.what.damage.as_ref()),
        component: text(o.component.as_ref()),
    };
    let notes: Vec<Note<'_>> = standing(exam).enumerate().map(note).collect();
    let or = |name: &str, blank: &str| if name.is_empty() { blank.to_owned() } else { name.to_owned() };
    let row = |t: Total| {
        let damage = t.damage.as_deref().map_or("all damage".to_owned(), |d| or(d, "damage not named"));
        let counted =
            if t.drawn == t.notes { t.notes.to_string() } else { format!("{} of {} drawn", t.drawn, t.notes) };
        let percent = t.share.map(|s| s.times(100.0));
        WholeRow {
            component: t.component.as_deref().map_or("All components".to_owned(), |c| capital(&or(c, "whole piece"))),
            total: t.damage.is_none() || t.component.is_none(),
            damage: if t.overlap { format!("{damage}, overlaps counted once") } else { damage },
            notes: counted,
            area: with_unit(t.area.as_ref(), "cm²"),
            share: with_unit(percent.as_ref(), "%"),
        }
    };
    totals(photographs, &notes).into_iter().map(row).collect()
}

/// What a region measures, for the note that it shows: `4.10 ± 0.12 cm²`; blank without a scale.
pub(super) fn words(p: &Photograph, region: &Region) -> String {
    let found = sized(p, region);
    if found.plane.area.is_some() { area(&found) } else { length(&found) }
}

fn row(p: &Photograph, plate: &Plate, n: usize, region: &Region) -> Option<AreaRow> {
    let found = sized(p, region);
    found.plane.length?;
    let sign = plate.signs.get(n).cloned().unwrap_or_default();
    let what = plate.keys.iter().find(|k| k.sign == sign).map(|k| capital(&k.words)).unwrap_or_default();
    Some(AreaRow {
        figure: plate.number,
        what,
        area: area(&found),
        length: joined([length(&found), angle(&found)], ", "),
        share: share(&found.shares),
        sign,
        total: false,
    })
}

fn total(figure: usize, kind: &str, t: &Together) -> AreaRow {
    let overlap = if t.overlap { ", overlaps counted once" } else { "" };
    AreaRow {
        figure,
        sign: String::new(),
        what: format!("All {kind}, {} outlines{overlap}", t.count),
        area: with_unit(t.plane.as_ref(), "cm²"),
        length: String::new(),
        share: share(&t.shares),
        total: true,
    }
}

/// How much of an outlined component is drawn upon, whatever it shows, where more than one outline lies in it.
fn on_component(p: &Photograph, figure: usize, component: &str) -> Option<AreaRow> {
    let lies = |r: &&Region| sized(p, r).shares.iter().any(|(name, _)| name == component);
    let regions: Vec<&Region> = p.regions.iter().filter(lies).collect();
    let mut t = together(p, &regions).filter(|t| t.count > 1)?;
    t.shares.retain(|(name, _)| name == component);
    let row = total(figure, &format!("that is outlined on {component}"), &t);
    Some(AreaRow { area: String::new(), ..row })
}

pub(super) fn area(found: &Sized) -> String {
    with_unit(found.plane.area.as_ref(), "cm²")
}

pub(super) fn length(found: &Sized) -> String {
    with_unit(found.plane.length.as_ref(), "mm")
}

pub(super) fn angle(found: &Sized) -> String {
    found.plane.angle.as_ref().map(|a| format!("{}°", expanded(Some(a)).0)).unwrap_or_default()
}

pub(super) fn with_unit(e: Option<&Estimate>, unit: &str) -> String {
    e.map(|e| format!("{}\u{a0}{unit}", expanded(Some(e)).0)).unwrap_or_default()
}

pub(super) fn share(shares: &[(String, Estimate)]) -> String {
    let one = |(name, s): &(String, Estimate)| {
        let percent = Estimate { value: s.value * 100.0, u: s.u * 100.0, ..*s };
        format!("{}\u{a0}% of {name}", expanded(Some(&percent)).0)
    };
    joined(shares.iter().map(one), "; ")
}

/// `Fig. 1: 2.400 px/mm, u 0.014 (61 ppi), from 10 cm within 0.1 mm`.
fn scale(p: &Photograph, figure: usize) -> Option<String> {
    let set = p.scale.as_ref()?;
    let said = set.said()?;
    let (k, u) = rounded(said.px_per_mm.value, said.px_per_mm.u);
    let within = set.tolerance.as_ref().map(|t| format!(" within {t}")).unwrap_or_default();
    let care = joined(said.warnings.iter().cloned(), "; ");
    let care = if care.is_empty() { care } else { format!("; take care: {care}") };
    Some(format!("Fig. {figure}: {k} px/mm, u\u{a0}{u} ({:.0} ppi), from {}{within}{care}", said.ppi, set.size))
}
