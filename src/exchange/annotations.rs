//! Regions as W3C Web Annotations (Web Annotation Data Model, Recommendation of 23 February 2017), so that other
//! programs can show them: one collection a piece, one page in it, one annotation a region.
//!
//! The target is the original photograph, named by its SHA-256, in pixels of the upright picture. A place or an upright
//! box is a media fragment; anything else a drawing in SVG.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::json;
use crate::geometry::{Point, written};
use crate::record::photograph::{Photograph, Region, Shape};
use crate::record::{Observation, Observed, PieceFile};

/// The JSON-LD context of the model.
const CONTEXT: &str = "http://www.w3.org/ns/anno.jsonld";

/// What a fragment selector of a picture conforms to (Media Fragments URI 1.0).
const MEDIA_FRAGMENTS: &str = "http://www.w3.org/TR/media-frags/";

/// Every region on the photographs of a piece.
pub fn of_piece(file: &PieceFile) -> Value {
    let collection = match &file.piece.id {
        Some(id) => format!("urn:uuid:{id}#regions"),
        None => "urn:uuid:00000000-0000-0000-0000-000000000000#regions".to_owned(),
    };
    let drawn = file.photographs.iter().flat_map(|p| p.regions.iter().map(move |r| (p, r)));
    let items: Vec<Value> = drawn.filter_map(|(p, r)| annotation(file, p, r)).collect();
    json!({
        "@context": CONTEXT,
        "id": collection,
        "type": "AnnotationCollection",
        "label": format!("Regions on the photographs of {}", file.number()),
        "total": items.len(),
        "first": {
            "id": format!("{collection}-1"),
            "type": "AnnotationPage",
            "partOf": collection,
            "startIndex": 0,
            "items": items,
        },
    })
}

/// One region; none if nothing is drawn.
fn annotation(file: &PieceFile, p: &Photograph, region: &Region) -> Option<Value> {
    let selector = selector(p, &region.shape)?;
    let mut bodies = Vec::new();
    let mut text = |value: String, purpose: &str| {
        bodies.push(json!({ "type": "TextualBody", "value": value, "format": "text/plain", "purpose": purpose }));
    };
    said(file, region).into_iter().for_each(|(words, purpose)| text(words, purpose));
    text(region.label.clone(), "identifying");
    if let Some(id) = &region.shows {
        bodies.push(json!({ "type": "SpecificResource", "source": format!("urn:uuid:{id}"), "purpose": "linking" }));
    }
    // The sizes, as this program gives them in JSON: a reader that does not know them passes them by.
    let mut size = json::region(p, region);
    if let Some(fields) = size.as_object_mut() {
        fields.retain(|name, _| ["length_", "area_", "angle_", "shares", "holds"].iter().any(|b| name.starts_with(b)));
        if !fields.is_empty() {
            bodies.push(json!({
                "type": "TextualBody", "value": size.to_string(), "format": "application/json", "purpose": "describing",
            }));
        }
    }
    Some(json!({
        "@context": CONTEXT,
        "id": format!("urn:uuid:{}", region.id),
        "type": "Annotation",
        "motivation": if region.outlines.is_some() { "identifying" } else { "describing" },
        "body": bodies,
        "target": {
            "type": "SpecificResource",
            "source": { "id": format!("urn:sha256:{}", p.sha256), "type": "Image", "format": media_type(&p.extension) },
            "selector": selector,
        },
    }))
}

/// What a region says, in words, and for what purpose: what it shows, which component it outlines, its note.
pub(super) fn said(file: &PieceFile, region: &Region) -> Vec<(String, &'static str)> {
    let shows = region.shows.as_deref().and_then(|id| name(file, id)).map(|name| (name, "tagging"));
    let outlines = region.outlines.as_ref().map(|component| (format!("outline of {component}"), "identifying"));
    let note = region.note.clone().map(|note| (note, "describing"));
    [shows, outlines, note].into_iter().flatten().collect()
}

/// Where a region lies on the upright picture, in its pixels; none if nothing is drawn.
pub(super) fn selector(p: &Photograph, shape: &Shape) -> Option<Value> {
    let fragment = |x: f64, y: f64, w: f64, h: f64| json!({ "type": "FragmentSelector", "conformsTo": MEDIA_FRAGMENTS, "value": format!("xywh=pixel:{x},{y},{w},{h}") });
    let svg = |inner: String| {
        let value =
            format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\">{inner}</svg>", p.width, p.height);
        json!({ "type": "SvgSelector", "value": value })
    };
    match shape {
        Shape::Blank => None,
        // The pixel in which the place lies.
        Shape::Point((x, y)) => {
            let last = |v: f64, n: u32| v.floor().clamp(0.0, f64::from(n.max(1) - 1));
            Some(fragment(last(*x, p.width), last(*y, p.height), 1.0, 1.0))
        }
        Shape::Line(line) => Some(svg(format!("<polyline fill=\"none\" points=\"{}\"/>", written(line)))),
        Shape::Outline(outline) => {
            if let (Some((x, y, w, h)), true) = (upright_box(&outline.around), outline.holes.is_empty()) {
                return Some(fragment(x, y, w, h));
            }
            let mut path = String::new();
            for ring in outline.rings() {
                let _ = write!(path, "M{}Z", written(ring).replace(' ', "L"));
            }
            Some(svg(format!("<path fill-rule=\"evenodd\" d=\"{path}\"/>")))
        }
    }
}

/// Left, top, width and height of four places that are the corners of an upright box in whole pixels.
fn upright_box(ring: &[Point]) -> Option<(f64, f64, f64, f64)> {
    if ring.len() != 4 {
        return None;
    }
    let same = |p: f64, q: f64| (p - q).abs() < 1e-9;
    let next = |i: usize| (ring[i], ring[(i + 1) % 4]);
    // Sides lie and stand by turns, beginning with either.
    let by_turns = |first: usize| {
        (0..4).all(|i| {
            let (p, q) = next(i);
            if i % 2 == first { same(p.1, q.1) } else { same(p.0, q.0) }
        })
    };
    let whole = ring.iter().all(|p| same(p.0, p.0.round()) && same(p.1, p.1.round()));
    let (one, other) = (ring[0], ring[2]);
    let size = ((one.0 - other.0).abs(), (one.1 - other.1).abs());
    ((by_turns(0) || by_turns(1)) && whole && size.0 > 0.0 && size.1 > 0.0)
        .then(|| (one.0.min(other.0), one.1.min(other.1), size.0, size.1))
}

/// Registered media types of the originals that the store takes.
fn media_type(extension: &str) -> &'static str {
    match extension {
        "jpg" | "jpeg" => "image/jpeg",
        "png" => "image/png",
        "tif" | "tiff" => "image/tiff",
        "webp" => "image/webp",
        _ => "application/octet-stream",
    }
}

/// What an observation is called: its damage, sign or dimension, and the component.
fn name(file: &PieceFile, id: &str) -> Option<String> {
    fn in_list<T: Observation>(list: &[Observed<T>], id: &str, name: impl Fn(&T) -> Option<String>) -> Option<String> {
        let found = list.iter().find(|o| o.id.as_deref() == Some(id))?;
        let words: Vec<String> = name(&found.what).into_iter().chain(found.component.clone()).collect();
        (!words.is_empty()).then(|| words.join(", "))
    }
    let term = |t: Option<&crate::vocabulary::TermId>| t.map(|t| t.name().to_owned());
    file.examinations.iter().find_map(|e| {
        in_list(&e.conditions, id, |c| term(c.damage.as_ref()))
            .or_else(|| in_list(&e.signs, id, |s| term(s.sign.as_ref())))
            .or_else(|| in_list(&e.measurements, id, |m| term(m.dimension.as_ref())))
            .or_else(|| in_list(&e.stitching, id, |s| term(s.purpose.as_ref())))
            .or_else(|| in_list(&e.textiles, id, |t| term(t.role.as_ref())))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(shape: &str) -> Value {
        let p = Photograph { width: 3000, height: 2000, ..Photograph::default() };
        selector(&p, &Shape::parse(shape).expect("a shape")).expect("a selector")
    }

    #[test]
    fn places_and_boxes_are_fragments_and_the_rest_is_drawn() {
        let svg =
            |inner: &str| format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 3000 2000\">{inner}</svg>");
        for (shape, kind, value) in [
            ("point 812.5,1240", "FragmentSelector", "xywh=pixel:812,1240,1,1".to_owned()),
            ("point 3000,2000", "FragmentSelector", "xywh=pixel:2999,1999,1,1".to_owned()),
            ("outline 10,20 110,20 110,70 10,70", "FragmentSelector", "xywh=pixel:10,20,100,50".to_owned()),
            ("outline 110,70 110,20 10,20 10,70", "FragmentSelector", "xywh=pixel:10,20,100,50".to_owned()),
            ("line 1,2 3,4.5", "SvgSelector", svg("<polyline fill=\"none\" points=\"1,2 3,4.5\"/>")),
            ("outline 1,2 9,2 9,8", "SvgSelector", svg("<path fill-rule=\"evenodd\" d=\"M1,2L9,2L9,8Z\"/>")),
            (
                "outline 0,0 9,0 9,9 0,9 hole 2,2 3,2 3,3",
                "SvgSelector",
                svg("<path fill-rule=\"evenodd\" d=\"M0,0L9,0L9,9L0,9ZM2,2L3,2L3,3Z\"/>"),
            ),
        ] {
            let found = of(shape);
            assert_eq!(
                (found["type"].as_str(), found["value"].as_str()),
                (Some(kind), Some(value.as_str())),
                "{shape}"
            );
            assert_eq!(found["conformsTo"] == MEDIA_FRAGMENTS, kind == "FragmentSelector", "{shape}");
        }
    }
}
