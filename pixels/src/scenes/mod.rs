//! The photographs of the invented collection, drawn by the program itself: nothing here was photographed,
//! and every file is the same bytes each time. `fixtures/demo/photographs.toml` lists them; [`draw`] gives the
//! upright picture, [`jpeg`] the file a camera would have left, [`photographs`] the list with every damage outlined
//! from the numbers that draw it.
// Drawing is geometry: x, y, w, h are the words for it, and pixel counts are far below any wrap.
#![allow(clippy::many_single_char_names, clippy::similar_names, clippy::cast_possible_wrap)]

pub mod canvas;
pub mod capture;
pub mod closeup;
pub mod cloth;
pub mod damage;
pub mod figures;
pub mod garment;
pub mod noise;
pub mod props;

use canvas::{Canvas, P, View, p};
use capture::{Camera, Capture};
use damage::{Damage, Extent};
use image::RgbImage;
use serde::Deserialize;
use std::fmt::Write as _;

const LIST: &str = include_str!("../../../fixtures/demo/photographs.toml");

/// A damage outlined on a photograph.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Letter beside the outline.
    pub label: String,
    /// `point x,y`, `line x,y x,y …` or `outline x,y x,y x,y …` in pixels of the upright picture.
    pub shape: String,
    /// Damage term.
    pub damage: String,
    /// Component on which it lies.
    pub component: String,
}

/// A component outlined on a photograph.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Outlined {
    /// Name of the component.
    pub component: String,
    /// `outline x,y x,y x,y …` in pixels of the upright picture.
    pub shape: String,
}

/// A pattern piece, line or place drawn on a photograph of a plate.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TakenOff {
    /// Name of the component whose outline it is, if it is one.
    pub component: Option<String>,
    /// `outline …`, `line …` or `point …` in pixels of the upright picture.
    pub shape: String,
    /// What it is called.
    pub note: Option<String>,
}

/// The scale bar as someone pointed at it, or the corners of a known rectangle.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bar {
    /// Its two ends or four corners, `x,y x,y`, in pixels of the upright picture.
    pub between: String,
    /// Its length or size, as written.
    pub length: String,
    /// How far it may be out, as written.
    pub tolerance: String,
}

/// How a photograph lies over an earlier one, by marks that someone pointed at in both.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LaidOver {
    /// File name of the earlier one.
    pub file: String,
    /// The marks, `x,y = x,y`: on the earlier one, then on this.
    pub marks: Vec<String>,
}

/// How a photograph is drawn.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(clippy::struct_excessive_bools, reason = "each says whether one thing is in the frame")]
pub struct Recipe {
    /// Figure or macro scene.
    pub figure: String,
    /// Outer cloth.
    pub shell: String,
    /// Lining, or what shows through.
    pub lining: String,
    /// Binding, ribbon or lace.
    pub trim: Option<String>,
    /// Pixels a millimetre.
    pub scale: f32,
    /// Point of the figure in the middle of the frame, millimetres.
    pub centre: [f32; 2],
    /// Width and height in pixels.
    pub size: [u32; 2],
    /// Length of the scale bar in centimetres; 0 for none.
    pub bar_cm: u32,
    /// Whether the colour target is in the frame.
    #[serde(default)]
    pub target: bool,
    /// Whether the number card is in the frame.
    #[serde(default)]
    pub card: bool,
    /// Whether the piece stands on a floor.
    #[serde(default)]
    pub standing: bool,
    /// Damages shown, by their names.
    #[serde(default)]
    pub damages: Vec<String>,
    /// Whether the colour target is read when the collection is built.
    #[serde(default)]
    pub read_target: bool,
}

/// One photograph of the demo collection.
#[derive(Clone, Debug)]
pub struct Photograph {
    /// File name.
    pub file: String,
    /// Accession number of the piece.
    pub number: String,
    /// `front`, `back`, `interior`, `detail`, `macro`, `damage` …
    pub view: String,
    /// Kind of light.
    pub light: String,
    /// Title of the treatment to which it belongs.
    pub treatment: Option<String>,
    /// `before`, `during` or `after` treatment.
    pub stage: Option<String>,
    /// Date of the examination to which it belongs.
    pub examination: String,
    /// Component shown, where it is not the whole.
    pub component: Option<String>,
    /// Who took it.
    pub photographer: String,
    /// What it shows, in a sentence.
    pub caption: String,
    /// Damages outlined.
    pub regions: Vec<Region>,
    /// Components outlined.
    pub outlined: Vec<Outlined>,
    /// Pattern pieces and what is marked on them.
    pub taken_off: Vec<TakenOff>,
    /// The scale bar, where it was measured.
    pub bar: Option<Bar>,
    /// The photograph over which it was laid.
    pub laid_over: Option<LaidOver>,
    /// Pixels a millimetre in the plane of the piece, as drawn (the scale bar says the same).
    pub px_per_mm: f32,
    /// Width and height of the upright picture.
    pub size: (u32, u32),
    /// How it is drawn.
    pub recipe: Recipe,
    /// Damages drawn.
    pub damages: Vec<Damage>,
    /// Exposure.
    pub capture: Capture,
    /// Camera.
    pub camera: Camera,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    file: String,
    number: String,
    view: String,
    light: String,
    treatment: Option<String>,
    stage: Option<String>,
    examination: String,
    component: Option<String>,
    photographer: String,
    caption: String,
    bar: Option<Bar>,
    laid_over: Option<LaidOver>,
    #[serde(default)]
    outlined: Vec<Outlined>,
    #[serde(default)]
    taken_off: Vec<TakenOff>,
    draw: Recipe,
    capture: Capture,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct List {
    camera: Vec<Camera>,
    damage: Vec<Damage>,
    photograph: Vec<Entry>,
}

/// The list of photographs, in order, with their regions worked out.
pub fn photographs() -> Result<Vec<Photograph>, String> {
    let list: List = toml::from_str(LIST).map_err(|e| format!("`photographs.toml` cannot be read: {e}"))?;
    list.photograph.into_iter().map(|entry| complete(entry, &list.camera, &list.damage)).collect()
}

fn complete(entry: Entry, cameras: &[Camera], damages: &[Damage]) -> Result<Photograph, String> {
    let file = &entry.file;
    let missing =
        |kind: &str, name: &str| format!("photograph `{file}` calls for the {kind} `{name}`, which is not listed");
    let camera = cameras
        .iter()
        .find(|c| c.id == entry.capture.camera)
        .ok_or_else(|| missing("camera", &entry.capture.camera))?
        .clone();
    let damages: Vec<Damage> = entry
        .draw
        .damages
        .iter()
        .map(|name| damages.iter().find(|d| d.id == *name).cloned().ok_or_else(|| missing("damage", name)))
        .collect::<Result<_, _>>()?;
    let cloths = [Some(&entry.draw.shell), Some(&entry.draw.lining), entry.draw.trim.as_ref()];
    if let Some(name) = cloths.into_iter().flatten().find(|name| cloth::named(name).is_none()) {
        return Err(missing("cloth", name));
    }
    let view = view_of(&entry.draw);
    let regions = damages.iter().zip('A'..='Z').filter_map(|(damage, letter)| region(damage, letter, &view)).collect();
    Ok(Photograph {
        px_per_mm: entry.draw.scale,
        size: (entry.draw.size[0], entry.draw.size[1]),
        file: entry.file,
        number: entry.number,
        view: entry.view,
        light: entry.light,
        treatment: entry.treatment,
        stage: entry.stage,
        examination: entry.examination,
        component: entry.component,
        photographer: entry.photographer,
        caption: entry.caption,
        regions,
        outlined: entry.outlined,
        taken_off: entry.taken_off,
        bar: entry.bar,
        laid_over: entry.laid_over,
        recipe: entry.draw,
        damages,
        capture: entry.capture,
        camera,
    })
}

fn view_of(recipe: &Recipe) -> View {
    View { scale: recipe.scale, centre: p(recipe.centre[0], recipe.centre[1]), size: (recipe.size[0], recipe.size[1]) }
}

/// A damage as a region: its own shape in pixels, cut at the edge of the picture; nothing if its middle is outside.
fn region(damage: &Damage, letter: char, view: &View) -> Option<Region> {
    let (word, points) = match damage.extent() {
        Extent::Point(at) => ("point", vec![at]),
        Extent::Line(points) => ("line", points.into_iter().step_by(4).collect()),
        Extent::Outline(points) => ("outline", points.into_iter().step_by(2).collect::<Vec<P>>()),
    };
    let (w, h) = (view.size.0 as f32 - 1.0, view.size.1 as f32 - 1.0);
    let points = view.line(&points);
    let middle = points.iter().fold(p(0.0, 0.0), |a, q| a + *q) * (1.0 / points.len().max(1) as f32);
    if middle.x < 0.0 || middle.y < 0.0 || middle.x > w || middle.y > h {
        return None;
    }
    let mut shape = word.to_owned();
    for q in &points {
        let _ = write!(shape, " {:.0},{:.0}", q.x.clamp(0.0, w), q.y.clamp(0.0, h));
    }
    Some(Region { label: letter.to_string(), shape, damage: damage.term.clone(), component: damage.component.clone() })
}

impl Photograph {
    /// The outer corners of the target's four corner patches, in pixels of the upright picture, if it is in the frame.
    pub fn target_corners(&self) -> Option<[(f64, f64); 4]> {
        let (at, side) = target_place(&self.recipe);
        self.recipe.target.then(|| props::target_corners(at, side).map(|q| (f64::from(q.x), f64::from(q.y))))
    }
}

/// Draws the upright picture.
pub fn draw(photograph: &Photograph) -> RgbImage {
    let recipe = &photograph.recipe;
    let view = view_of(recipe);
    let raking = photograph.light == "raking light";
    let cloth = |name: &str| cloth::named(name).unwrap_or(cloth::CLOTHS[0].1);
    let wardrobe = figures::Wardrobe {
        shell: cloth(&recipe.shell),
        lining: cloth(&recipe.lining),
        trim: cloth(recipe.trim.as_deref().unwrap_or(&recipe.lining)),
    };
    let mut canvas = Canvas::new(view.size, [0.5; 3]);
    if closeup::SCENES.contains(&recipe.figure.as_str()) {
        let damages: Vec<&Damage> = photograph.damages.iter().collect();
        closeup::draw(&mut canvas, &view, &recipe.figure, &wardrobe, &damages, &photograph.light);
    } else {
        props::backdrop(&mut canvas, recipe.standing, raking);
        let lamp = garment::Lamp::of(&photograph.light);
        if let Some(figure) = figures::named(&recipe.figure, &wardrobe) {
            figure.draw(&mut canvas, &view, &lamp);
        }
        for damage in &photograph.damages {
            damage.paint(&mut canvas, &view, &wardrobe.shell, &wardrobe.lining);
        }
    }
    furnish(&mut canvas, photograph);
    canvas.finish()
}

/// Upper left corner of the target and the side of a patch, in pixels. A standing piece fills the foot of the frame: the
/// target stands above.
fn target_place(recipe: &Recipe) -> (P, f32) {
    let (w, h) = (recipe.size[0] as f32, recipe.size[1] as f32);
    let y = if recipe.standing && h > w { 56.0 } else { h - 246.0 };
    (p(w - 352.0, y), 42.0)
}

/// Scale bar, target and number card along the foot of the picture.
fn furnish(canvas: &mut Canvas, photograph: &Photograph) {
    let recipe = &photograph.recipe;
    let h = canvas.h as f32;
    if recipe.bar_cm > 0 {
        let tall = if recipe.scale > 9.0 { 150.0 } else { 112.0 };
        props::scale_bar(canvas, p(56.0, h - tall), recipe.bar_cm, recipe.scale);
    }
    if recipe.target {
        let (at, side) = target_place(recipe);
        props::target(canvas, at, side);
    }
    if recipe.card {
        props::number_card(canvas, p(56.0, 56.0), 26.0, &photograph.number);
    }
}

/// The photograph as the camera stored it: JPEG with EXIF, pixels turned where the camera was held upright.
pub fn jpeg(photograph: &Photograph) -> Result<Vec<u8>, String> {
    let shot = &photograph.capture;
    capture::encode(draw(photograph), &photograph.camera, shot, &photograph.light, &photograph.photographer)
        .map_err(|e| format!("photograph `{}`: {e}", photograph.file))
}

#[cfg(test)]
mod tests;
