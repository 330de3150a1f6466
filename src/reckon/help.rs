//! What each calculator is called, what it takes, and lines that show it: told once, for the command line and the browser.

use super::Calculator;

/// What is told of a calculator.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub struct Help {
    /// Its word on the command line and in addresses.
    pub word: &'static str,
    /// What it works out, in a few words.
    pub takes: &'static str,
    /// Lines that it answers.
    pub examples: &'static [&'static str],
}

impl Calculator {
    /// What is told of it.
    pub fn help(self) -> Help {
        let (word, takes, examples): (_, _, &[&str]) = match self {
            Self::Length => (
                "length",
                "A length as written, or a record's line of dimensions",
                &["27 1/2 in", "2 pouces 4 lignes", "H. 42 1/2 in. (108 cm)"],
            ),
            Self::Sum => (
                "sum",
                "Parts against the whole, and how far the tape may be out",
                &["312 + 315 + 2 x 298 mm = 1220 mm", "312 + 315 mm = 628 mm, tape 1 mm"],
            ),
            Self::Colour => (
                "colour",
                "A colour as hex or CIELAB, or two to compare",
                &["#7a5c3e", "38.2 -21.0 14.5; 40 -18 15 ± 0.3"],
            ),
            Self::Light => (
                "light",
                "An exposure, a dose of light, or air and its dew point",
                &["f/8 1/125 ISO 200", "50 lx 8 h 90 days", "20 °C 55 %"],
            ),
            Self::Sun => (
                "sun",
                "The sun at a place; without a time, the hours of the day",
                &["51.5 N 0.13 W 2026-01-12 15:30 +00:00", "51.5 N 0.13 W 2026-01-12"],
            ),
            Self::Yarn => ("yarn", "A yarn number in every system", &["30/2 Ne", "2/60 Nm", "20 tex x 2", "40 den"]),
            Self::Twist => (
                "twist",
                "Turns, angle and diameter of a yarn, one from two",
                &["600 per m, 0.19 mm", "20 deg, 0.2 mm", "15 tpi, 20 deg"],
            ),
            Self::Sett => ("sett", "A thread count in the usual units; of a cloth", &["60 per inch", "28 x 24 per cm"]),
            Self::Cover => ("cover", "Cover factor of warp, weft and cloth", &["28/cm 20 tex, 24/cm 25 tex"]),
            Self::Mass => (
                "mass",
                "Mass of a cloth; or the yarn that a mass implies",
                &["28/cm 20 tex 5 %, 24/cm 25 tex 8 %", "120 g/m2, 28/cm, 24/cm"],
            ),
            Self::Stitches => {
                ("stitches", "A stitch count in the usual units, or one stitch", &["9 per inch", "2.8 mm"])
            }
            Self::Fibre => ("fibre", "What is published of a fibre, each fact with its source", &["tussah silk"]),
            Self::Date => {
                ("date", "A date as written", &["c. 1760-75", "spätes 18. Jh.", "about 1905, altered about 1920"])
            }
        };
        Help { word, takes, examples }
    }

    /// The calculator of a word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|calculator| calculator.help().word == word)
    }
}
