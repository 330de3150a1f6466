//! The kinds of quantity an examination records, with the SI unit each is kept in.

use std::fmt;

/// What sort of thing a quantity measures. It decides the units that may be written and the unit kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A length, kept in millimetres.
    Length,
    /// An area, kept in square millimetres.
    Area,
    /// Threads or stitches along a line, kept per centimetre.
    Density,
    /// A number of separate things.
    Count,
    /// A part of a whole, kept in per cent.
    Percent,
    /// A mass, kept in grams.
    Mass,
    /// The mass of an area of cloth, kept in grams per square metre.
    MassPerArea,
    /// An angle, kept in degrees.
    Angle,
    /// A yarn number, kept in tex (grams per kilometre).
    Yarn,
    /// A time spent, kept in hours.
    Duration,
    /// A temperature, kept in degrees Celsius.
    Temperature,
    /// Light that falls on a thing, kept in lux.
    Illuminance,
    /// How much ultraviolet light holds, kept in microwatts per lumen.
    Ultraviolet,
    /// The scale of a drawing as a ratio: `1:8` is kept as 0.125.
    Scale,
    /// How far a damage reaches: a count, a length, an area or a percentage, whichever is written.
    Extent,
}

impl Kind {
    /// Every kind, in the order of the definition.
    pub const ALL: [Kind; 15] = [
        Kind::Length,
        Kind::Area,
        Kind::Density,
        Kind::Count,
        Kind::Percent,
        Kind::Mass,
        Kind::MassPerArea,
        Kind::Angle,
        Kind::Yarn,
        Kind::Duration,
        Kind::Temperature,
        Kind::Illuminance,
        Kind::Ultraviolet,
        Kind::Scale,
        Kind::Extent,
    ];

    /// The unit that values of this kind are kept in; empty where there is none.
    pub fn unit(self) -> &'static str {
        match self {
            Kind::Length => "mm",
            Kind::Area => "mm²",
            Kind::Density => "per cm",
            Kind::Count | Kind::Scale | Kind::Extent => "",
            Kind::Percent => "%",
            Kind::Mass => "g",
            Kind::MassPerArea => "g/m²",
            Kind::Angle => "deg",
            Kind::Yarn => "tex",
            Kind::Duration => "h",
            Kind::Temperature => "°C",
            Kind::Illuminance => "lx",
            Kind::Ultraviolet => "µW/lm",
        }
    }

    /// The name of the kind, in lower case: `length`.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Length => "length",
            Kind::Area => "area",
            Kind::Density => "density",
            Kind::Count => "count",
            Kind::Percent => "percent",
            Kind::Mass => "mass",
            Kind::MassPerArea => "mass per area",
            Kind::Angle => "angle",
            Kind::Yarn => "yarn",
            Kind::Duration => "duration",
            Kind::Temperature => "temperature",
            Kind::Illuminance => "illuminance",
            Kind::Ultraviolet => "ultraviolet",
            Kind::Scale => "scale",
            Kind::Extent => "extent",
        }
    }

    /// The kind with this name, as [`Kind::name`] gives it.
    pub fn named(name: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.name() == name)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
