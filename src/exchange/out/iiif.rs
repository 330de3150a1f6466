//! IIIF Presentation API 3.0: a manifest a piece, a canvas a photograph in pixels of the upright original, regions on it as
//! W3C Web Annotations, and a collection of the manifests. The pictures are static tiles (`photograph::tiles`).
//!
//! All of it lies where its identifier says, below one base: `collection.json`, `pieces/NUMBER/manifest.json`,
//! `photographs/UUID/info.json`.

use serde_json::{Map, Value, json};

use super::subject::{Publication, Subject};
use crate::exchange::annotations;
use crate::photograph::tiles::Plan;
use crate::record::PieceFile;
use crate::record::accession::file_stem;
use crate::record::photograph::{Photograph, Region, Shape};
use crate::record::rights::Rights;
use crate::vocabulary::{TermId, Vocabulary};

const CONTEXT: &str = "http://iiif.io/api/presentation/3/context.json";
const IMAGE_CONTEXT: &str = "http://iiif.io/api/image/3/context.json";
/// The service that says how large a canvas is in the world (IIIF, *Linking to External Services*, 3.3 Physical Dimensions,
/// revision of 2015-12-04). `@context`, `profile`, `physicalScale` and `physicalUnits` are what it requires; `id` and `type`
/// are what Presentation 3.0 (3.3.1, service) requires of every service. No list gives this one a type: the name is ours.
const PHYSICAL: &str = "http://iiif.io/api/annex/services/physdim";
/// Longest side of the small pictures of a list, in pixels.
const THUMBNAIL: u32 = 320;
/// Shortest side of such a picture, in pixels: viewers lay their lists out in columns of about a hundred, and ask for a width that
/// is no file of ours where a picture is narrower.
const NARROWEST: u32 = 100;

/// The path of a piece's manifest below the base.
pub fn manifest_path(number: &str) -> String {
    format!("pieces/{}/manifest.json", file_stem(number))
}

/// The path of a photograph's folder of tiles below the base.
pub fn tiles_path(photograph: &str) -> String {
    format!("photographs/{}", file_stem(photograph))
}

pub(super) fn manifest_id(base: &str, number: &str) -> String {
    format!("{base}/{}", manifest_path(number))
}

/// The address of a whole photograph.
pub(super) fn whole_picture(base: &str, photograph: &str) -> String {
    format!("{base}/{}/full/max/0/default.jpg", tiles_path(photograph))
}

/// What describes the tiles of a photograph: `info.json` of the Image API 3.0, level 0.
pub fn info(base: &str, photograph: &Photograph, plan: &Plan) -> Value {
    let pair = |(width, height): (u32, u32)| json!({ "width": width, "height": height });
    json!({
        "@context": IMAGE_CONTEXT,
        "id": format!("{base}/{}", tiles_path(&photograph.id)),
        "type": "ImageService3",
        "protocol": "http://iiif.io/api/image",
        "profile": "level0",
        "width": plan.width,
        "height": plan.height,
        "sizes": plan.sizes().map(pair).collect::<Vec<_>>(),
        "tiles": [{ "width": plan.side, "height": plan.side, "scaleFactors": plan.factors() }],
    })
}

/// The list of manifests.
pub fn collection(base: &str, publication: &Publication<'_>, plan: &dyn Fn(&Photograph) -> Plan) -> Value {
    let items = publication.pieces.iter().map(|file| {
        let mut one = json!({
            "id": manifest_id(base, file.number()),
            "type": "Manifest",
            "label": label(file),
        });
        if let Some(photo) = file.photographs.first() {
            one["thumbnail"] = json!([thumbnail(base, photo, &plan(photo))]);
        }
        one
    });
    json!({
        "@context": CONTEXT,
        "id": format!("{base}/collection.json"),
        "type": "Collection",
        "label": none(publication.collection()),
        "items": items.collect::<Vec<_>>(),
    })
}

/// The manifest of a piece, already as the public may see it.
pub fn manifest(
    base: &str,
    file: &PieceFile,
    publication: &Publication<'_>,
    plan: &dyn Fn(&Photograph) -> Plan,
) -> Value {
    let id = manifest_id(base, file.number());
    let rights = Subject(file).rights();
    let mut one = Map::new();
    one.insert("@context".into(), CONTEXT.into());
    one.insert("id".into(), id.clone().into());
    one.insert("type".into(), "Manifest".into());
    one.insert("label".into(), label(file));
    if let Some(words) = &file.piece.description {
        one.insert("summary".into(), none(words));
    }
    one.insert("metadata".into(), facts(file, publication).into());
    put_rights(&mut one, &rights, publication.vocabulary);
    one.insert("provider".into(), json!([{ "id": base, "type": "Agent", "label": none(publication.collection()) }]));
    if let Some(photo) = file.photographs.first() {
        one.insert("thumbnail".into(), json!([thumbnail(base, photo, &plan(photo))]));
    }
    let canvases = file.photographs.iter().enumerate().map(|(n, photo)| {
        let canvas = format!("{base}/pieces/{}/canvas/{}", file_stem(file.number()), file_stem(&photo.id));
        Canvas { base, file, photo, id: canvas, n: n + 1, vocabulary: publication.vocabulary }.write(&plan(photo))
    });
    one.insert("items".into(), canvases.collect());
    Value::Object(one)
}

/// Words whose language the record does not tell.
fn none(words: &str) -> Value {
    json!({ "none": [words] })
}

fn label(file: &PieceFile) -> Value {
    let title = Subject(file).title();
    let number = file.number();
    none(&if title == number { number.to_owned() } else { format!("{title}, {number}") })
}

fn fact(label: &str, values: &[&str]) -> Option<Value> {
    let values: Vec<&str> = values.iter().map(|v| v.trim()).filter(|v| !v.is_empty()).collect();
    (!values.is_empty()).then(|| json!({ "label": { "en": [label] }, "value": { "none": values } }))
}

fn facts(file: &PieceFile, publication: &Publication<'_>) -> Vec<Value> {
    let (p, of) = (&file.piece, Subject(file));
    let words = |text: &Option<String>| text.clone().unwrap_or_default();
    let lines: Vec<String> = of.dimensions().iter().map(super::subject::Measured::line).collect();
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    let inscriptions: Vec<&str> = p.inscriptions.iter().map(String::as_str).collect();
    let models: Vec<&str> = of.models().map(|(_, words)| words).collect();
    let rights = of.rights();
    [
        fact("Number", &[file.number()]),
        fact("Object", &[of.kind()]),
        fact("Nature", &[p.nature.as_ref().map_or("", TermId::name)]),
        fact("Date", &[of.date().unwrap_or_default()]),
        fact("Maker", &[&words(&p.maker)]),
        fact("Place", &[&words(&p.place)]),
        fact("Culture", &[&words(&p.culture)]),
        fact("Materials", &[&of.medium()]),
        fact("Dimensions", &lines),
        fact("Inscriptions", &inscriptions),
        fact("Made after", &models),
        fact("Rights", &[&rights.without_credit(publication.vocabulary)]),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// `rights` takes a URI of rightsstatements.org or Creative Commons alone (Presentation 3.0, 3.3); every other word is a
/// fact, and who must be named is the required statement.
fn put_rights(one: &mut Map<String, Value>, rights: &Rights, vocabulary: &Vocabulary) {
    let uri = rights.stated(vocabulary).and_then(|term| term.uri.as_deref());
    let known = |uri: &&str| {
        ["http://rightsstatements.org/vocab/", "http://creativecommons.org/"].iter().any(|start| uri.starts_with(start))
    };
    if let Some(uri) = uri.filter(known) {
        one.insert("rights".into(), uri.into());
    }
    let credit = [rights.credit_line.as_deref(), rights.holder.as_deref()];
    let credit: Vec<&str> = credit.into_iter().flatten().map(str::trim).filter(|c| !c.is_empty()).collect();
    if !credit.is_empty() {
        one.insert("requiredStatement".into(), json!({ "label": { "en": ["Credit"] }, "value": { "none": credit } }));
    }
}

/// The smallest of the sizes that is large enough for a list.
fn thumbnail(base: &str, photo: &Photograph, plan: &Plan) -> Value {
    let mut sizes: Vec<(u32, u32)> = plan.sizes().collect();
    sizes.sort_unstable();
    let large = sizes.iter().find(|(w, h)| *w.max(h) >= THUMBNAIL && *w.min(h) >= NARROWEST).or(sizes.last());
    let (width, height) = large.copied().unwrap_or((plan.width, plan.height));
    json!({
        "id": format!("{base}/{}/{}", tiles_path(&photo.id), plan.path_of_whole((width, height))),
        "type": "Image",
        "format": "image/jpeg",
        "width": width,
        "height": height,
        "service": [service(base, photo)],
    })
}

fn service(base: &str, photo: &Photograph) -> Value {
    json!({ "id": format!("{base}/{}", tiles_path(&photo.id)), "type": "ImageService3", "profile": "level0" })
}

/// One photograph of a piece.
struct Canvas<'a> {
    base: &'a str,
    file: &'a PieceFile,
    photo: &'a Photograph,
    id: String,
    /// Its place among the photographs, from 1.
    n: usize,
    vocabulary: &'a Vocabulary,
}

impl Canvas<'_> {
    fn write(&self, plan: &Plan) -> Value {
        let (photo, id) = (self.photo, &self.id);
        let mut one = Map::new();
        one.insert("id".into(), id.clone().into());
        one.insert("type".into(), "Canvas".into());
        one.insert("label".into(), self.label());
        one.insert("height".into(), photo.height.into());
        one.insert("width".into(), photo.width.into());
        if let Some(caption) = &photo.caption {
            one.insert("summary".into(), none(caption));
        }
        let light = photo.light.as_ref().map_or("", TermId::name);
        let scale = self.scale();
        let said = photo.rights.line(self.vocabulary);
        let by = photo.photographer.as_deref().unwrap_or_default();
        let facts = [
            fact("Light", &[light]),
            fact("Photographer", &[by]),
            scale.as_ref().and_then(|s| fact("Scale", &[&s.0])),
            fact("Rights", &[&said]),
        ];
        let facts: Vec<Value> = facts.into_iter().flatten().collect();
        if !facts.is_empty() {
            one.insert("metadata".into(), facts.into());
        }
        put_rights(&mut one, &photo.rights, self.vocabulary);
        if let Some(mm) = scale.and_then(|s| s.1) {
            one.insert(
                "service".into(),
                json!([{
                    "@context": format!("{PHYSICAL}/1/context.json"),
                    "id": format!("{id}/physical"),
                    "type": "PhysicalDimensions",
                    "profile": PHYSICAL,
                    "physicalScale": mm,
                    "physicalUnits": "mm",
                }]),
            );
        }
        one.insert("thumbnail".into(), json!([thumbnail(self.base, photo, plan)]));
        one.insert(
            "items".into(),
            json!([{
                "id": format!("{id}/page"),
                "type": "AnnotationPage",
                "items": [{
                    "id": format!("{id}/page/picture"),
                    "type": "Annotation",
                    "motivation": "painting",
                    "body": {
                        "id": whole_picture(self.base, &photo.id),
                        "type": "Image",
                        "format": "image/jpeg",
                        "height": plan.height,
                        "width": plan.width,
                        "service": [service(self.base, photo)],
                    },
                    "target": id,
                }],
            }]),
        );
        let regions: Vec<Value> = photo.regions.iter().filter_map(|r| self.region(r)).collect();
        if !regions.is_empty() {
            let page = json!([{ "id": format!("{id}/regions"), "type": "AnnotationPage", "items": regions }]);
            one.insert("annotations".into(), page);
        }
        Value::Object(one)
    }

    fn label(&self) -> Value {
        let view = self.photo.view.as_ref().map(TermId::name);
        let words: Vec<&str> = view.into_iter().chain(self.photo.component.as_deref()).collect();
        if words.is_empty() { json!({ "en": [format!("Photograph {}", self.n)] }) } else { none(&words.join(", ")) }
    }

    /// The scale in words, and millimetres a pixel where one scale holds for the whole picture.
    fn scale(&self) -> Option<(String, Option<f64>)> {
        let said = self.photo.scale.as_ref()?.said()?;
        let words = crate::report::scale_lines(self.photo.scale.as_ref()?).join("; ");
        let one = said.range.is_none() && said.px_per_mm.value > 0.0;
        Some((words, one.then(|| 1.0 / said.px_per_mm.value)))
    }

    /// A region as an annotation on the canvas; none if nothing is drawn or nothing is said of it.
    fn region(&self, region: &Region) -> Option<Value> {
        let selector = match &region.shape {
            // A place of no extent; the model counts whole pixels from the corner.
            Shape::Point((x, y)) => {
                let whole = |v: &f64| (v.round() as i64).max(1);
                json!({ "type": "PointSelector", "x": whole(x), "y": whole(y) })
            }
            shape => annotations::selector(self.photo, shape)?,
        };
        let said = annotations::said(self.file, region);
        if said.is_empty() {
            return None;
        }
        let words = said.into_iter().map(|(words, _)| words).collect::<Vec<_>>().join("; ");
        Some(json!({
            "id": format!("{}/regions/{}", self.id, file_stem(&region.id)),
            "type": "Annotation",
            "motivation": "commenting",
            "body": { "type": "TextualBody", "value": words, "format": "text/plain" },
            "target": {
                "type": "SpecificResource",
                "source": { "id": self.id, "type": "Canvas" },
                "selector": selector,
            },
        }))
    }
}
