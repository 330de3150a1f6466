//! A photograph in the catalogue: the file, how it was taken, what it shows, and the regions drawn on it.

use jiff::civil::Date;

use super::capture::Capture;
use super::picture_scale::PictureScale;
use super::registration::Registration;
use super::rights::Rights;
use super::target::TargetReading;
use crate::geometry::{Outline, Point};
use crate::vocabulary::TermId;

/// One photograph, linked to what it shows.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Photograph {
    /// Stable identifier.
    pub id: String,
    /// SHA-256 of the original, 64 hexadecimal digits.
    pub sha256: String,
    /// Extension of the stored original.
    pub extension: String,
    /// The file's name when it came in.
    pub original_name: String,
    /// Size of the original in bytes.
    pub bytes: u64,
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
    pub height: u32,
    /// How it was taken.
    pub capture: Capture,
    /// What was odd about it when it came in.
    pub remarks: Vec<String>,
    /// Accession number of the piece that it shows.
    pub number: String,
    /// Component shown.
    pub component: Option<String>,
    /// Day of the examination that it belongs to.
    pub examination: Option<Date>,
    /// Title of the treatment that it belongs to.
    pub treatment: Option<String>,
    /// Identifier of that treatment; versions share a title.
    pub treatment_id: Option<String>,
    /// Front, back, detail ...
    pub view: Option<TermId>,
    /// By what light.
    pub light: Option<TermId>,
    /// Before, during or after treatment.
    pub stage: Option<String>,
    /// Who took it.
    pub photographer: Option<String>,
    /// What to print below it.
    pub caption: Option<String>,
    /// What others may do with the photograph itself, whichever pieces it shows.
    pub rights: Rights,
    /// Regions drawn on it.
    pub regions: Vec<Region>,
    /// The reading of the colour target in it that stands.
    pub target: Option<TargetReading>,
    /// Its scale, if one was set.
    pub scale: Option<PictureScale>,
    /// Other photographs laid over this one.
    pub registered: Vec<Registration>,
    /// The other pieces that it shows.
    pub beside: Vec<Beside>,
}

/// Another piece that a photograph shows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Beside {
    /// Its accession number.
    pub number: String,
    /// Whether the photograph belongs to a treatment of it.
    pub treated: bool,
}

impl Photograph {
    /// What is said of it as a photograph of its piece, each with its name; blank where nothing is.
    pub fn said(&self) -> Vec<(&'static str, String)> {
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        let term = |term: &Option<TermId>| term.as_ref().map(|id| id.name().to_owned()).unwrap_or_default();
        vec![
            ("component", text(&self.component)),
            ("examination", self.examination.map(|day| day.to_string()).unwrap_or_default()),
            ("treatment", text(&self.treatment)),
            ("view", term(&self.view)),
            ("light", term(&self.light)),
            ("stage", text(&self.stage)),
            ("photographer", text(&self.photographer)),
            ("caption", text(&self.caption)),
        ]
    }
}

/// The stages of a treatment that a photograph can show.
pub const STAGES: &[&str] = &["before", "during", "after"];

/// A point, line or outline drawn on a photograph, in pixels of the upright original.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Region {
    /// Stable identifier.
    pub id: String,
    /// The letter shown beside it.
    pub label: String,
    /// Its shape.
    pub shape: Shape,
    /// Identifier of the observation that it shows.
    pub shows: Option<String>,
    /// The component whose outline it is, if it is one.
    pub outlines: Option<String>,
    /// The number of the piece whose component or observation that is: a photograph may show several.
    pub piece: Option<String>,
    /// What it shows, in words.
    pub note: Option<String>,
}

/// The shape of a region.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum Shape {
    /// Nothing yet.
    #[default]
    Blank,
    /// One place.
    Point(Point),
    /// An open line.
    Line(Vec<Point>),
    /// A closed outline, with or without holes.
    Outline(Outline),
}

impl Shape {
    /// Reads `point x,y`, `line x,y x,y …` or `outline x,y x,y x,y …`, with `hole x,y x,y x,y …` after an outline as
    /// often as it has holes.
    ///
    /// # Errors
    /// A sentence that names what is wrong.
    pub fn parse(text: &str) -> Result<Self, String> {
        let mut words = text.split_whitespace();
        let kind = words.next().unwrap_or_default();
        let mut rings: Vec<Vec<Point>> = vec![Vec::new()];
        for word in words {
            if word == "hole" && kind == "outline" {
                rings.push(Vec::new());
            } else if let Some(ring) = rings.last_mut() {
                ring.push(place(word)?);
            }
        }
        if let Some(short) = rings.iter().skip(1).position(|ring| ring.len() < 3) {
            return Err(format!("hole {} needs at least three positions", short + 1));
        }
        let holes = rings.split_off(1);
        let points = rings.pop().unwrap_or_default();
        match (kind, points.len()) {
            ("point", 1) => Ok(Self::Point(points[0])),
            ("line", 2..) => Ok(Self::Line(points)),
            ("outline", 3..) => Ok(Self::Outline(Outline { around: points, holes })),
            ("point", n) => Err(format!("a point has one position, not {n}")),
            ("line", _) => Err("a line needs at least two positions".into()),
            ("outline", _) => Err("an outline needs at least three positions".into()),
            _ => Err(format!("`{kind}` is no shape; write `point`, `line` or `outline` and its positions")),
        }
    }

    /// Whether the shape can be drawn on a picture of this size: no place outside, no outline that crosses itself, no
    /// hole outside its outline.
    ///
    /// # Errors
    /// A sentence that names the place.
    pub fn check(&self, width: f64, height: f64) -> Result<(), String> {
        if let Some((x, y)) = self.points().find(|p| !within(*p, width, height)) {
            return Err(outside((x, y), width, height));
        }
        match self {
            Self::Outline(outline) => outline.check(),
            _ => Ok(()),
        }
    }

    /// Every position, in order, those of holes last.
    pub fn points(&self) -> impl Iterator<Item = Point> {
        let (line, outline) = match self {
            Self::Blank => (&[][..], None),
            Self::Point(point) => (std::slice::from_ref(point), None),
            Self::Line(points) => (points.as_slice(), None),
            Self::Outline(outline) => (&[][..], Some(outline)),
        };
        line.iter().copied().chain(outline.into_iter().flat_map(Outline::points))
    }
}

/// Reads `x,y`.
///
/// # Errors
/// A sentence that quotes the word.
pub fn place(word: &str) -> Result<Point, String> {
    let pair = word.split_once(',').and_then(|(x, y)| Some((x.parse::<f64>().ok()?, y.parse::<f64>().ok()?)));
    pair.filter(|(x, y)| x.is_finite() && y.is_finite())
        .ok_or_else(|| format!("`{word}` is no pixel position; write x,y such as 812,1240"))
}

/// Whether a place lies on a picture of this size.
pub fn within((x, y): Point, width: f64, height: f64) -> bool {
    (0.0..=width).contains(&x) && (0.0..=height).contains(&y)
}

/// What to say of a place that does not.
pub fn outside((x, y): Point, width: f64, height: f64) -> String {
    format!("{x},{y} lies outside the picture, which is {width} by {height} pixels")
}

impl std::fmt::Display for Shape {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut ring = |name: &str, points: &[Point]| {
            f.write_str(name)?;
            points.iter().try_for_each(|(x, y)| write!(f, " {x},{y}"))
        };
        match self {
            Self::Blank => Ok(()),
            Self::Point(point) => ring("point", std::slice::from_ref(point)),
            Self::Line(points) => ring("line", points),
            Self::Outline(outline) => {
                ring("outline", &outline.around)?;
                outline.holes.iter().try_for_each(|hole| ring(" hole", hole))
            }
        }
    }
}
