//! `dimity photo count`: threads counted in a square of a photograph, shown to be confirmed, and stored only then.

use crate::catalogue::{Catalogue, NewRegion};
use crate::cli::sheet::enter_on;
use crate::cli::{Desk, Failure};
use crate::digest::short;
use crate::measure::plus_minus;
use crate::photograph::{Grey, Rectangle, Store};
use crate::record::photograph::{Photograph, Shape};
use crate::record::picture_scale::PictureScale;
use crate::threads::{self, Scale, Threads, Visible};

/// Count the threads in a square of a macro photograph
///
/// Prints threads per centimetre both ways with their standard uncertainty, or why nothing can be told. Look whether the
/// figures can be right before you take them: `--confirm` stores them as ends and picks, with the photograph and the
/// square named. Example: `dimity photo count 3fa9c1 --square 800,600,512 --scale "42.5 px/mm" --warp up`.
#[derive(Debug, clap::Args)]
pub struct Count {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// Left, top and side of the square, in pixels of the upright picture
    #[arg(long, value_name = "X,Y,SIDE")]
    square: String,
    /// Pixels to a length at the cloth: `11.8 px/mm`, `11.8 ± 0.1 px/mm`, `300 ppi`
    #[arg(long)]
    scale: Option<String>,
    /// Which way the warp runs in the picture; no picture tells that by itself
    #[arg(long, value_parser = ["across", "up"])]
    warp: Option<String>,
    /// Store the counts as ends and picks
    #[arg(long, requires_all = ["examination", "role", "warp"])]
    confirm: bool,
    /// Day of the examination that the counts belong to
    #[arg(long, value_name = "DAY")]
    examination: Option<jiff::civil::Date>,
    /// Which textile: shell, lining, trim ...
    #[arg(long)]
    role: Option<String>,
    /// Component that the square shows, if the photograph does not say
    #[arg(long)]
    component: Option<String>,
}

/// The square that was asked for.
#[derive(Debug, Clone, Copy)]
struct Square {
    x: u32,
    y: u32,
    side: u32,
}

impl Count {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let square = Square::parse(&self.square)?;
        let mut catalogue = desk.open()?;
        let photograph = catalogue.photograph(&self.photograph)?;
        let scale = self.scale(&photograph)?;
        let grey = square.pixels(desk, &photograph)?;
        let found = threads::count(&grey.pixels, grey.width, grey.height, scale);
        let detail = threads::detail(&grey.pixels, grey.width, grey.height);
        let count = match found {
            Ok(count) => count,
            Err(why) if desk.json => {
                desk.out.json(&serde_json::json!({ "cannot_tell": why.to_string(), "detail_px": detail,
                    "ppi_at_object": scale.per_inch() }));
                return Ok(());
            }
            Err(why) => return Err(format!("cannot tell: {why}").into()),
        };
        let up = self.warp.as_deref() != Some("across");
        let (warp, weft) = if up { (count.up, count.across) } else { (count.across, count.up) };
        if desk.json {
            desk.out.json(&serde_json::json!({ "up": count.up, "across": count.across, "repeat": count.repeat,
                "confidence": count.confidence, "confidence_words": count.in_words(), "detail_px": detail,
                "ppi_at_object": scale.per_inch() }));
        } else {
            for (way, threads) in [("up", count.up), ("across", count.across)] {
                desk.out.line(format!("threads running {way:7} {}", in_words(&threads)));
            }
            let sharp = detail.map_or(String::new(), |d| format!("; finest detail {d:.1} px"));
            desk.out.line(format!(
                "{} reading (confidence {:.2}), {:.0} pixels per inch at the cloth{sharp}",
                count.in_words(),
                count.confidence,
                scale.per_inch()
            ));
            if self.warp.is_some() {
                desk.out.line(format!("ends = [\"{}\"]\npicks = [\"{}\"]", written(&warp), written(&weft)));
            } else {
                desk.out.line("say which way the warp runs, `--warp up` or `--warp across`, to have ends and picks");
            }
        }
        if self.confirm {
            self.store(desk, &mut catalogue, &photograph, (square, scale), (&warp, &weft))
        } else {
            Ok(())
        }
    }

    /// The scale: the one given here, else the one set on the photograph.
    fn scale(&self, photograph: &Photograph) -> Result<Scale, Failure> {
        if let Some(text) = &self.scale {
            return Scale::parse(text).map_err(|e| format!("`--scale {text}`: {e}").into());
        }
        let stored = photograph.scale.as_ref().and_then(PictureScale::said).map(|said| said.px_per_mm);
        stored.map(|scale| Scale { px_per_mm: scale.value, u: scale.u }).ok_or_else(|| {
            format!(
                "no scale is known for the photograph `{0}`; set it with `dimity photo scale {0} ...`, or give one here: \
                 `--scale \"11.8 px/mm\"`",
                self.photograph
            )
            .into()
        })
    }

    /// Enters the counts as a textile of the examination, by the sheet's own way in, and draws the square.
    fn store(
        &self,
        desk: &mut Desk,
        catalogue: &mut Catalogue,
        photograph: &Photograph,
        (square, scale): (Square, Scale),
        (warp, weft): (&Threads, &Threads),
    ) -> Result<(), Failure> {
        let (Some(day), Some(role)) = (self.examination, &self.role) else {
            return Err("to store a count give `--examination DAY` and `--role`".into());
        };
        let file = catalogue.piece(&photograph.number)?;
        let author = desk.author();
        let note = format!(
            "Counted by the Fourier spectrum of the square {},{},{} of photograph {} at {:.3} pixels a millimetre.",
            square.x,
            square.y,
            square.side,
            short(&photograph.sha256),
            scale.px_per_mm
        );
        let mut textile = toml::Table::new();
        let mut put = |key: &str, value: &str| textile.insert(key.into(), value.into());
        put("role", role);
        put("evidence", "measured");
        put("note", &note);
        if let Some(component) = self.component.as_ref().or(photograph.component.as_ref()) {
            put("component", component);
        }
        textile.insert("ends".into(), vec![written(warp)].into());
        textile.insert("picks".into(), vec![written(weft)].into());
        let entered = enter_on(catalogue, (&file, day), &author, ("textile", vec![textile]))?;
        if entered.is_nothing() {
            told(desk, format!("nothing new; this count is recorded for {} already", photograph.number));
            return Ok(());
        }
        let label = self.draw(catalogue, photograph, square, (&author, &note))?;
        told(desk, format!("{}: count stored with evidence measured; the square is region {label}", photograph.number));
        Ok(())
    }

    /// Draws the square on the photograph, tied to the textile whose note names it.
    fn draw(
        &self,
        catalogue: &mut Catalogue,
        photograph: &Photograph,
        square: Square,
        (author, note): (&str, &str),
    ) -> Result<String, Failure> {
        let file = catalogue.piece(&photograph.number)?;
        let textiles = file.examinations.iter().flat_map(|e| &e.textiles);
        let shows = textiles.filter(|t| t.note.as_deref() == Some(note)).filter_map(|t| t.id.clone()).next_back();
        let (x, y, side) = (f64::from(square.x), f64::from(square.y), f64::from(square.side));
        let corners = vec![(x, y), (x + side, y), (x + side, y + side), (x, y + side)];
        let region = NewRegion {
            shape: Shape::Outline(corners.into()),
            shows,
            note: Some("threads counted here".into()),
            ..NewRegion::default()
        };
        Ok(catalogue.add_region(author, &photograph.sha256, &region)?)
    }
}

impl Square {
    fn parse(text: &str) -> Result<Self, Failure> {
        let figures: Option<Vec<u32>> = text.split(',').map(|part| part.trim().parse().ok()).collect();
        match figures.as_deref() {
            Some(&[x, y, side]) if side > 0 => Ok(Self { x, y, side }),
            _ => Err(format!("`{text}` is no square; write left, top and side in pixels, such as 800,600,512").into()),
        }
    }

    fn pixels(self, desk: &Desk, photograph: &Photograph) -> Result<Grey, Failure> {
        let Self { x, y, side } = self;
        let (width, height) = (photograph.width, photograph.height);
        if u64::from(x) + u64::from(side) > u64::from(width) || u64::from(y) + u64::from(side) > u64::from(height) {
            return Err(
                format!("the square {x},{y},{side} leaves the picture, which is {width} by {height} pixels").into()
            );
        }
        let wanted = Rectangle { x, y, width: side, height: side };
        Store::at(&desk.folder)
            .grey(&photograph.sha256, &photograph.extension, wanted)
            .map_err(|fault| fault.to_string())?
            .ok_or_else(|| "the square lies outside the stored picture".into())
    }
}

/// One line on what was done; JSON has been printed already.
fn told(desk: &mut Desk, line: String) {
    if !desk.json {
        desk.out.line(line);
    }
}

/// `24.3 ± 0.2 per cm`, as a sheet takes it.
fn written(threads: &Threads) -> String {
    format!("{} per cm", plus_minus(threads.per_cm, threads.u))
}

fn in_words(threads: &Threads) -> String {
    let seen = if Visible::of(threads.pixels) == Visible::Countable { "" } else { ", fewer than are wanted" };
    format!("{}, {:.1} px a thread{seen}, {:.0}° from upright", written(threads), threads.pixels, threads.direction)
}
