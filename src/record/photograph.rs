//! A photograph in the catalogue: the file, how it was taken, what it shows, and the regions drawn on it.

use jiff::civil::Date;

use super::capture::Capture;
use super::target::TargetReading;
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
    /// Regions drawn on it.
    pub regions: Vec<Region>,
    /// The reading of the colour target in it that stands.
    pub target: Option<TargetReading>,
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
    Point((f64, f64)),
    /// An open line.
    Line(Vec<(f64, f64)>),
    /// A closed outline.
    Outline(Vec<(f64, f64)>),
}

impl Shape {
    /// Reads `point x,y`, `line x,y x,y …` or `outline x,y x,y x,y …`.
    ///
    /// # Errors
    /// A sentence that names what is wrong.
    pub fn parse(text: &str) -> Result<Self, String> {
        let mut words = text.split_whitespace();
        let kind = words.next().unwrap_or_default();
        let mut points = Vec::new();
        for word in words {
            let pair = word.split_once(',').and_then(|(x, y)| Some((x.parse::<f64>().ok()?, y.parse::<f64>().ok()?)));
            match pair {
                Some((x, y)) if x.is_finite() && y.is_finite() => points.push((x, y)),
                _ => return Err(format!("`{word}` is no pixel position; write x,y such as 812,1240")),
            }
        }
        match (kind, points.len()) {
            ("point", 1) => Ok(Self::Point(points[0])),
            ("line", 2..) => Ok(Self::Line(points)),
            ("outline", 3..) => Ok(Self::Outline(points)),
            ("point", n) => Err(format!("a point has one position, not {n}")),
            ("line", _) => Err("a line needs at least two positions".into()),
            ("outline", _) => Err("an outline needs at least three positions".into()),
            _ => Err(format!("`{kind}` is no shape; write `point`, `line` or `outline` and its positions")),
        }
    }

    /// The positions, in order.
    pub fn points(&self) -> &[(f64, f64)] {
        match self {
            Self::Blank => &[],
            Self::Point(point) => std::slice::from_ref(point),
            Self::Line(points) | Self::Outline(points) => points,
        }
    }
}

impl std::fmt::Display for Shape {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Blank => "",
            Self::Point(_) => "point",
            Self::Line(_) => "line",
            Self::Outline(_) => "outline",
        })?;
        self.points().iter().try_for_each(|(x, y)| write!(f, " {x},{y}"))
    }
}
