//! Threads counted in a square of a photograph: looked at first, entered as ends and picks only when confirmed.

use crate::catalogue::{Catalogue, NewRegion};
use crate::digest::short;
use crate::exchange::entry::enter_on;
use crate::geometry::Point;
use crate::measure::plus_minus;
use crate::photograph::{Rectangle, Store};
use crate::record::photograph::{Photograph, Shape};
use crate::record::picture_scale::PictureScale;
use crate::threads::{self, CannotTell, Count, Scale, Threads, Visible};

/// A square of a picture, in pixels of the upright original.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Square {
    /// Pixels left of it.
    pub x: u32,
    /// Pixels above it.
    pub y: u32,
    /// Its side.
    pub side: u32,
}

/// Which way the warp runs in the picture; no picture tells that by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Warp {
    /// More nearly up and down.
    Up,
    /// More nearly across.
    Across,
}

/// What a square shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Looked {
    /// The square.
    pub square: Square,
    /// The scale that it was counted by.
    pub scale: Scale,
    /// The count, or why there is none.
    pub count: Result<Count, CannotTell>,
    /// The finest detail, in pixels.
    pub detail: Option<f64>,
}

/// Where a count goes.
#[derive(Debug, Clone, Copy)]
pub struct Place<'a> {
    /// Day of the examination.
    pub day: jiff::civil::Date,
    /// Which textile: shell, lining, trim ...
    pub role: &'a str,
    /// Component that the square shows, if the photograph does not say.
    pub component: Option<&'a str>,
}

impl Square {
    /// Reads `800,600,512`: left, top and side.
    ///
    /// # Errors
    /// A sentence that shows how one is written.
    pub fn parse(text: &str) -> Result<Self, String> {
        let figures: Option<Vec<u32>> = text.split(',').map(|part| part.trim().parse().ok()).collect();
        match figures.as_deref() {
            Some(&[x, y, side]) if side > 0 => Ok(Self { x, y, side }),
            _ => Err(format!("`{text}` is no square; write left, top and side in pixels, such as 800,600,512")),
        }
    }

    fn corners(self) -> Vec<Point> {
        let (x, y, side) = (f64::from(self.x), f64::from(self.y), f64::from(self.side));
        vec![(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    }
}

/// The scale set on a photograph, as a count takes it.
pub fn scale_of(photograph: &Photograph) -> Option<Scale> {
    let said = photograph.scale.as_ref().and_then(PictureScale::said)?;
    Some(Scale { px_per_mm: said.px_per_mm.value, u: said.px_per_mm.u })
}

/// Counts the threads in a square.
///
/// # Errors
/// A sentence, if the square leaves the picture or the picture cannot be read.
pub fn look(store: &Store, photograph: &Photograph, square: Square, scale: Scale) -> Result<Looked, String> {
    let Square { x, y, side } = square;
    let (width, height) = (photograph.width, photograph.height);
    if u64::from(x) + u64::from(side) > u64::from(width) || u64::from(y) + u64::from(side) > u64::from(height) {
        return Err(format!("the square {x},{y},{side} leaves the picture, which is {width} by {height} pixels"));
    }
    let wanted = Rectangle { x, y, width: side, height: side };
    let grey = store
        .grey(&photograph.sha256, &photograph.extension, wanted)
        .map_err(|fault| fault.to_string())?
        .ok_or("the square lies outside the stored picture")?;
    Ok(Looked {
        square,
        scale,
        count: threads::count(&grey.pixels, grey.width, grey.height, scale),
        detail: threads::detail(&grey.pixels, grey.width, grey.height),
    })
}

/// Warp and weft of a count.
pub fn warp_and_weft(count: &Count, warp: Warp) -> (Threads, Threads) {
    match warp {
        Warp::Up => (count.up, count.across),
        Warp::Across => (count.across, count.up),
    }
}

impl Looked {
    /// How clear the reading is, and how fine the picture.
    pub fn clearness(&self, count: &Count) -> String {
        let sharp = self.detail.map_or(String::new(), |d| format!("; finest detail {d:.1} px"));
        format!(
            "{} reading (confidence {:.2}), {:.0} pixels per inch at the cloth{sharp}",
            count.in_words(),
            count.confidence,
            self.scale.per_inch()
        )
    }

    /// Enters a count as a textile of the examination, by the sheet's own way in, and draws the square; its letter comes
    /// back, or none if the same count is recorded already.
    ///
    /// # Errors
    /// Why it cannot be entered, a text each.
    pub fn enter(
        &self,
        (catalogue, author): (&mut Catalogue, &str),
        photograph: &Photograph,
        (warp, weft): (&Threads, &Threads),
        place: Place<'_>,
    ) -> Result<Option<String>, Vec<String>> {
        let refused = |fault: crate::catalogue::Fault| vec![format!(" {fault}")];
        let file = catalogue.piece(&photograph.number).map_err(refused)?;
        let Square { x, y, side } = self.square;
        let note = format!(
            "Counted by the Fourier spectrum of the square {x},{y},{side} of photograph {} at {:.3} pixels a millimetre.",
            short(&photograph.sha256),
            self.scale.px_per_mm
        );
        let mut textile = toml::Table::new();
        let mut put = |key: &str, value: &str| textile.insert(key.into(), value.into());
        put("role", place.role);
        put("evidence", "measured");
        put("note", &note);
        if let Some(component) = place.component.or(photograph.component.as_deref()) {
            put("component", component);
        }
        textile.insert("ends".into(), vec![written(warp)].into());
        textile.insert("picks".into(), vec![written(weft)].into());
        let entered = enter_on(catalogue, (&file, place.day), author, ("textile", vec![textile]))?;
        if entered.is_nothing() {
            return Ok(None);
        }
        self.draw(catalogue, photograph, (author, &note)).map(Some).map_err(refused)
    }

    /// Draws the square on the photograph, tied to the textile whose note names it.
    fn draw(
        &self,
        catalogue: &mut Catalogue,
        photograph: &Photograph,
        (author, note): (&str, &str),
    ) -> crate::catalogue::Result<String> {
        let file = catalogue.piece(&photograph.number)?;
        let textiles = file.examinations.iter().flat_map(|e| &e.textiles);
        let shows = textiles.filter(|t| t.note.as_deref() == Some(note)).filter_map(|t| t.id.clone()).next_back();
        let region = NewRegion {
            shape: Shape::Outline(self.square.corners().into()),
            shows,
            note: Some("threads counted here".into()),
            ..NewRegion::default()
        };
        catalogue.add_region(author, &photograph.sha256, &region)
    }
}

/// `24.3 ± 0.2 per cm`, as a sheet takes it.
pub fn written(threads: &Threads) -> String {
    format!("{} per cm", plus_minus(threads.per_cm, threads.u))
}

/// The same with pixels and direction.
pub fn in_words(threads: &Threads) -> String {
    let seen = if Visible::of(threads.pixels) == Visible::Countable { "" } else { ", fewer than are wanted" };
    // A minus zero would look odd.
    let direction = threads.direction.round() + 0.0;
    format!("{}, {:.1} px a thread{seen}, {direction:.0}° from upright", written(threads), threads.pixels)
}
