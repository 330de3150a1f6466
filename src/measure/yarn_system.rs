//! The ways of numbering yarn, with their exact constants: the one home of every hank length.
//!
//! tex, decitex: ISO 1144. Hank lengths in a pound: cotton 840 yd and linen lea 300 yd (read), worsted 560 yd, woollen
//! run 1600 yd and Yorkshire skein 256 yd (from memory; the last two are read only where they are named).

use super::{cursor::Cursor, ratio::Ratio};

/// A way of numbering yarn: by the mass of a length (direct), or by the length of a mass (a count).
///
/// ```
/// use dimity::measure::YarnSystem;
/// assert_eq!(YarnSystem::Metric.from_tex(20.0), 50.0);
/// assert!((YarnSystem::Cotton.to_tex(30.0) - 19.684_708).abs() < 1e-6);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum YarnSystem {
    /// Grams in a kilometre.
    Tex,
    /// Grams in ten kilometres.
    Decitex,
    /// Kilograms in a kilometre: rovings.
    Kilotex,
    /// Grams in nine kilometres.
    Denier,
    /// Kilometres in a kilogram.
    Metric,
    /// English cotton count: hanks of 840 yd in a pound.
    Cotton,
    /// Linen lea: leas of 300 yd in a pound.
    Linen,
    /// Worsted count: hanks of 560 yd in a pound.
    Worsted,
    /// American woollen run: 1600 yd in a pound.
    Run,
    /// Yorkshire woollen skein: 256 yd in a pound.
    Skein,
}

/// How a system stands to tex.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Rule {
    /// tex = number × the ratio.
    Direct(Ratio),
    /// tex = the ratio ÷ number.
    Count(Ratio),
}

impl YarnSystem {
    /// Every system, direct ones first.
    pub const ALL: [YarnSystem; 10] = [
        YarnSystem::Tex,
        YarnSystem::Decitex,
        YarnSystem::Kilotex,
        YarnSystem::Denier,
        YarnSystem::Metric,
        YarnSystem::Cotton,
        YarnSystem::Linen,
        YarnSystem::Worsted,
        YarnSystem::Run,
        YarnSystem::Skein,
    ];

    /// The sign written after a number: `tex`, `Ne`. It reads back as the same system.
    pub fn sign(self) -> &'static str {
        match self {
            YarnSystem::Tex => "tex",
            YarnSystem::Decitex => "dtex",
            YarnSystem::Kilotex => "ktex",
            YarnSystem::Denier => "den",
            YarnSystem::Metric => "Nm",
            YarnSystem::Cotton => "Ne",
            YarnSystem::Linen => "NeL",
            YarnSystem::Worsted => "NeK",
            YarnSystem::Run => "run",
            YarnSystem::Skein => "Yorkshire skein",
        }
    }

    /// Whether the number grows with the thickness.
    pub fn is_direct(self) -> bool {
        matches!(self.rule(), Rule::Direct(_))
    }

    /// The number in tex. A count of 0 has none: it gives infinity.
    pub fn to_tex(self, number: f64) -> f64 {
        match self.rule() {
            Rule::Direct(size) => number * size.to_f64(),
            Rule::Count(size) => size.to_f64() / number,
        }
    }

    /// The number in this system of a yarn of so many tex.
    pub fn from_tex(self, tex: f64) -> f64 {
        match self.rule() {
            Rule::Direct(size) => tex / size.to_f64(),
            Rule::Count(size) => size.to_f64() / tex,
        }
    }

    pub(crate) fn rule(self) -> Rule {
        let direct = |above, below| Rule::Direct(Ratio::new(above, below).unwrap_or(Ratio::ONE));
        // One pound in grams over a hank in kilometres: 453.59237 / (yards × 0.0009144).
        let hank = |yards: i128| Rule::Count(Ratio::new(45_359_237 * 100, yards * 9144).unwrap_or(Ratio::ONE));
        match self {
            YarnSystem::Tex => direct(1, 1),
            YarnSystem::Decitex => direct(1, 10),
            YarnSystem::Kilotex => direct(1000, 1),
            YarnSystem::Denier => direct(1, 9),
            YarnSystem::Metric => Rule::Count(Ratio::whole(1000)),
            YarnSystem::Cotton => hank(840),
            YarnSystem::Linen => hank(300),
            YarnSystem::Worsted => hank(560),
            YarnSystem::Run => hank(1600),
            YarnSystem::Skein => hank(256),
        }
    }

    /// Eats the name of a system that stands here.
    pub(crate) fn eat(cursor: &mut Cursor) -> Option<YarnSystem> {
        const NAMES: &[(&[&str], YarnSystem)] = &[
            (&["dtex", "decitex"], YarnSystem::Decitex),
            (&["ktex", "kilotex"], YarnSystem::Kilotex),
            (&["tex"], YarnSystem::Tex),
            (&["denier", "den.", "den"], YarnSystem::Denier),
            (&["linen lea", "leas", "lea", "NeL"], YarnSystem::Linen),
            (&["worsted count", "worsted", "NeK"], YarnSystem::Worsted),
            (&["cotton count", "cotton", "NeC", "Ne"], YarnSystem::Cotton),
            (&["Nm", "metric count"], YarnSystem::Metric),
            (&["woollen run", "runs", "run"], YarnSystem::Run),
            (&["Yorkshire skeins", "Yorkshire skein", "YSW"], YarnSystem::Skein),
        ];
        NAMES.iter().find(|(names, _)| cursor.eat_any(names)).map(|(_, system)| *system)
    }
}
