//! The units people write, by kind, with their exact size in the unit kept.
//!
//! Inch, foot and yard: international agreement of 1959. Nail, quarter and ells: Hayes 1740, as quoted by
//! sizes.com. French measures: law of 19 frimaire an VIII, 1 m = 443.296 lignes. Pound: 0.45359237 kg. Old measures
//! take today's factor, so their value is conventional.

use super::{Kind, Unreadable, cursor::Cursor, cursor::length_of, ratio::Ratio};

/// One unit: how it is written and what it is worth.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Unit {
    /// The first spelling is the one proposed in messages.
    pub(crate) spellings: &'static [&'static str],
    above: i128,
    below: i128,
    pub(crate) nature: Nature,
}

/// What matters about a unit besides its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Nature {
    Metric,
    /// Read on a tape in eighths.
    Inch,
    Imperial,
    Old,
    /// An ell: it differed by about 1 % from town to town (half width; from memory).
    Local,
    /// Known only roughly.
    Rough,
    /// °F and K: the zero is elsewhere.
    Fahrenheit,
    Kelvin,
}

impl Unit {
    /// Size in the unit of the kind.
    pub(crate) fn size(&self) -> Ratio {
        Ratio::new(self.above, self.below).unwrap_or(Ratio::ONE)
    }

    /// What is added after the multiplication (temperatures alone).
    pub(crate) fn offset(&self) -> Ratio {
        match self.nature {
            Nature::Fahrenheit => Ratio::new(-160, 9),
            Nature::Kelvin => Ratio::new(-27315, 100),
            _ => None,
        }
        .unwrap_or(Ratio::whole(0))
    }
}

const fn unit(spellings: &'static [&'static str], above: i128, below: i128, nature: Nature) -> Unit {
    Unit { spellings, above, below, nature }
}

use Nature::{Fahrenheit, Imperial, Inch, Kelvin, Local, Metric, Old, Rough};

const LENGTH: &[Unit] = &[
    unit(&["mm", "mm.", "millimetre", "millimetres", "millimeter", "millimeters"], 1, 1, Metric),
    unit(&["cm", "cm.", "centimetre", "centimetres", "centimeter", "centimeters"], 10, 1, Metric),
    unit(&["m", "m.", "metre", "metres", "meter", "meters"], 1000, 1, Metric),
    unit(&["µm", "μm", "um", "micron", "microns"], 1, 1000, Metric),
    unit(&["in", "in.", "ins", "ins.", "inch", "inches", "\"", "″", "”", "“", "''", "′′", "’’"], 127, 5, Inch),
    unit(&["ft", "ft.", "foot", "feet", "'", "′", "’"], 1524, 5, Imperial),
    unit(&["yd", "yd.", "yds", "yds.", "yard", "yards"], 4572, 5, Imperial),
    unit(&["nail", "nails"], 1143, 20, Old),
    unit(&["quarter", "quarters"], 1143, 5, Old),
    unit(&["English ell", "English ells"], 1143, 1, Local),
    unit(&["Flemish ell", "Flemish ells"], 3429, 5, Local),
    unit(&["French ell (English reckoning)", "French ells (English reckoning)"], 6858, 5, Local),
    unit(&["Scots ell", "Scots ells", "Scottish ell", "Scottish ells"], 4699, 5, Rough),
    unit(
        &["pied", "pieds", "pied du roi", "pieds du roi", "Paris foot", "Paris feet", "Paris pied", "Paris pieds"],
        4_500_000,
        13853,
        Old,
    ),
    unit(&["pouce", "pouces", "Paris inch", "Paris inches", "Paris pouce", "Paris pouces"], 375_000, 13853, Old),
    unit(&["ligne", "lignes", "Paris line", "Paris lines", "Paris ligne", "Paris lignes"], 31250, 13853, Old),
    unit(&["point", "points"], 15625, 83118, Old),
    unit(&["toise", "toises"], 27_000_000, 13853, Old),
    unit(&["aune de Paris", "aunes de Paris", "Paris aune", "Paris aunes"], 49_390_625, 41559, Old),
];

const AREA: &[Unit] = &[
    unit(
        &["mm²", "mm2", "mm^2", "sq mm", "sq. mm", "square mm", "square millimetres", "square millimetre"],
        1,
        1,
        Metric,
    ),
    unit(
        &["cm²", "cm2", "cm^2", "sq cm", "sq. cm", "square cm", "square centimetres", "square centimetre"],
        100,
        1,
        Metric,
    ),
    unit(&["m²", "m2", "m^2", "sq m", "sq. m", "square m", "square metres", "square metre"], 1_000_000, 1, Metric),
    unit(
        &["sq in", "in²", "in2", "in^2", "sq. in", "sq. in.", "sq in.", "square in", "square inches", "square inch"],
        16129,
        25,
        Imperial,
    ),
    unit(&["sq ft", "ft²", "ft2", "ft^2", "sq. ft", "sq. ft.", "square feet", "square foot"], 2_322_576, 25, Imperial),
];

const MASS: &[Unit] = &[
    unit(&["g", "g.", "gram", "grams", "gramme", "grammes", "gm"], 1, 1, Metric),
    unit(&["kg", "kg.", "kilogram", "kilograms", "kilo", "kilos"], 1000, 1, Metric),
    unit(&["mg", "milligram", "milligrams"], 1, 1000, Metric),
    unit(&["oz", "oz.", "ounce", "ounces"], 45_359_237, 1_600_000, Imperial),
    unit(&["lb", "lb.", "lbs", "lbs.", "pound", "pounds"], 45_359_237, 100_000, Imperial),
];

/// An ounce and a square yard by their legal sizes. A momme is the weight in pounds of 100 yd of silk 45 in wide (from
/// memory).
const MASS_PER_AREA: &[Unit] = &[
    unit(
        &["g/m²", "g/m2", "g/m^2", "g / m²", "g/sq m", "gsm", "g.s.m.", "g per m²", "g per m2", "g per sq m", "g m⁻²"],
        1,
        1,
        Metric,
    ),
    unit(&["grams per square metre", "grammes per square metre", "g per square metre"], 1, 1, Metric),
    unit(
        &["oz/yd²", "oz/yd2", "oz/yd^2", "oz / yd²", "oz/sq yd", "oz/sq. yd", "oz per yd²", "oz per yd2"],
        28_349_523_125,
        836_127_360,
        Imperial,
    ),
    unit(
        &["oz per sq yd", "oz per sq. yd", "oz per square yard", "ounces per square yard", "osy"],
        28_349_523_125,
        836_127_360,
        Imperial,
    ),
    unit(&["momme", "mommes"], 45_359_237, 10_451_592, Imperial),
];

const DURATION: &[Unit] = &[
    unit(&["h", "h.", "hr", "hr.", "hrs", "hrs.", "hour", "hours"], 1, 1, Metric),
    unit(&["min", "min.", "mins", "minute", "minutes"], 1, 60, Metric),
    unit(&["s", "sec", "secs", "second", "seconds"], 1, 3600, Metric),
];

const ANGLE: &[Unit] = &[
    unit(&["deg", "°", "º", "deg.", "degree", "degrees"], 1, 1, Metric),
    unit(&["arcmin", "′", "'", "’"], 1, 60, Metric),
];

const PERCENT: &[Unit] = &[unit(&["%", "per cent", "percent", "pct", "p.c."], 1, 1, Metric)];

const TEMPERATURE: &[Unit] = &[
    unit(&["°C", "ºC", "° C", "℃", "C", "deg C", "degC", "degrees C", "Celsius", "degrees Celsius"], 1, 1, Metric),
    unit(
        &["°F", "ºF", "° F", "℉", "F", "deg F", "degF", "degrees F", "Fahrenheit", "degrees Fahrenheit"],
        5,
        9,
        Fahrenheit,
    ),
    unit(&["K", "kelvin", "kelvins"], 1, 1, Kelvin),
];

/// A foot-candle is a lumen on a square foot.
const ILLUMINANCE: &[Unit] = &[
    unit(&["lx", "lux"], 1, 1, Metric),
    unit(&["fc", "ft-c", "foot-candle", "foot-candles", "footcandles"], 1_562_500, 145_161, Imperial),
];

const ULTRAVIOLET: &[Unit] = &[unit(
    &["µW/lm", "μW/lm", "uW/lm", "microwatts per lumen", "µW per lm", "uW per lm", "µW/lumen", "uW/lumen"],
    1,
    1,
    Metric,
)];

/// The units that may be written for this kind; none for those with a grammar of their own.
pub(crate) fn of(kind: Kind) -> &'static [Unit] {
    match kind {
        Kind::Length => LENGTH,
        Kind::Area => AREA,
        Kind::Mass => MASS,
        Kind::MassPerArea => MASS_PER_AREA,
        Kind::Duration => DURATION,
        Kind::Angle => ANGLE,
        Kind::Percent => PERCENT,
        Kind::Temperature => TEMPERATURE,
        Kind::Illuminance => ILLUMINANCE,
        Kind::Ultraviolet => ULTRAVIOLET,
        Kind::Density | Kind::Count | Kind::Yarn | Kind::Scale | Kind::Extent => &[],
    }
}

/// Eats the longest unit of the table that stands here.
pub(crate) fn eat(cursor: &mut Cursor, table: &'static [Unit]) -> Option<&'static Unit> {
    let mut ahead = *cursor;
    ahead.skip_blanks();
    let found = table
        .iter()
        .flat_map(|unit| unit.spellings.iter().map(move |spelling| (unit, *spelling)))
        .filter_map(|(unit, spelling)| length_of(ahead.rest(), spelling).map(|length| (length, unit)))
        .max_by_key(|(length, _)| *length);
    let (length, unit) = found?;
    cursor.at = ahead.at + length;
    Some(unit)
}

/// Whether a unit of inches, feet or yards stands in the text.
pub(crate) fn mentions_inches(text: &str) -> bool {
    let mut cursor = Cursor::new(text);
    while let Some(c) = cursor.peek() {
        let mut ahead = cursor;
        match (c.is_ascii_digit(), eat(&mut ahead, LENGTH)) {
            (false, Some(unit)) if matches!(unit.nature, Nature::Inch | Nature::Imperial) => return true,
            (false, Some(_)) => cursor = ahead,
            _ => cursor.at += c.len_utf8(),
        }
    }
    false
}

/// Names that stood for different lengths in different towns, with the reading to propose.
const AMBIGUOUS: &[(&str, &str, &str)] = &[
    ("ells", "English ells", "an ell was 45 in in England, 27 in in Flanders and about 37 in in Scotland"),
    ("ell", "English ell", "an ell was 45 in in England, 27 in in Flanders and about 37 in in Scotland"),
    ("French ells", "French ells (English reckoning)", "a French ell may be the English reckoning of 54 in or an aune"),
    ("French ell", "French ell (English reckoning)", "a French ell may be the English reckoning of 54 in or an aune"),
    ("aunes", "aunes de Paris", "an aune ran from 64 to 140 cm by region"),
    ("aune", "aune de Paris", "an aune ran from 64 to 140 cm by region"),
];

/// Why the unit that stands here cannot be taken, with the nearest one that can.
pub(crate) fn complain(cursor: &Cursor, kind: Kind, table: &'static [Unit]) -> Unreadable {
    let mut here = *cursor;
    here.skip_blanks();
    for (name, proposal, why) in AMBIGUOUS.iter().filter(|_| kind == Kind::Length) {
        if let Some(length) = length_of(here.rest(), name) {
            let end = here.at + length;
            return Unreadable::new(here.at, format!("`{name}` alone is ambiguous: {why}"))
                .nearest(splice(here.text, here.at, end, proposal));
        }
    }
    let word = here.word();
    let known = table.iter().map(|unit| unit.spellings[0]).collect::<Vec<_>>().join("`, `");
    let complaint = Unreadable::new(here.at, format!("`{word}` is no unit of {kind} known here: use `{known}`"));
    let near = table
        .iter()
        .flat_map(|unit| unit.spellings)
        .map(|spelling| (strsim::osa_distance(&word.to_lowercase(), &spelling.to_lowercase()), *spelling))
        .min_by_key(|(distance, _)| *distance)
        .filter(|(distance, spelling)| *distance <= 2 && *distance < spelling.chars().count().div_ceil(2));
    match near {
        Some((_, spelling)) => complaint.nearest(splice(here.text, here.at, here.at + word.len(), spelling)),
        None => complaint,
    }
}

/// `text` with the bytes from `start` to `end` replaced.
pub(crate) fn splice(text: &str, start: usize, end: usize, with: &str) -> String {
    let before = text.get(..start).unwrap_or(text);
    let after = text.get(end..).unwrap_or("");
    format!("{before}{with}{after}").trim().to_string()
}
