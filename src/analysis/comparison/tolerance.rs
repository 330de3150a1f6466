//! How large a difference is still called agreement: one rule a kind of figure, stated so that it can be printed, changed
//! and kept.

use serde::ser::{Serialize, SerializeMap, Serializer};

use crate::measure::{Kind, Quantity};

/// A tolerance: a share of the mean of the two values, or a fixed amount, whichever is larger.
///
/// The mean of both is used rather than either value, so that the verdict is the same whichever piece comes first.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Tolerance {
    /// Share of the mean of both values: 0.02 is 2 %.
    pub relative: f64,
    /// Least amount, in the unit of the figure.
    pub absolute: f64,
}

impl Tolerance {
    /// A share and a least amount; anything negative or not finite counts as nothing.
    pub fn new(relative: f64, absolute: f64) -> Self {
        let sound = |x: f64| if x.is_finite() && x > 0.0 { x } else { 0.0 };
        Self { relative: sound(relative), absolute: sound(absolute) }
    }

    /// The tolerance for these two values, in their unit.
    pub fn between(self, a: f64, b: f64) -> f64 {
        (self.relative * f64::midpoint(a, b).abs()).max(self.absolute)
    }

    /// The same where one piece was brought to the size of the other: the amount holds at the size of the larger piece
    /// and shrinks with the smaller one, so that an eighth of full size has an eighth of the tolerance.
    pub(super) fn at_size(self, factor: f64) -> Self {
        Self { absolute: self.absolute * factor.min(1.0), ..self }
    }

    /// In words: `2 % or 5 mm, whichever is larger`.
    pub fn words(self, unit: &str) -> String {
        let share = format!("{} %", trimmed(self.relative * 100.0));
        let amount = format!("{} {unit}", trimmed(self.absolute)).trim_end().to_string();
        match (self.relative > 0.0, self.absolute > 0.0) {
            (true, true) => format!("{share} or {amount}, whichever is larger"),
            (true, false) => share,
            (false, true) => amount,
            (false, false) => "none: any difference counts".into(),
        }
    }
}

/// What a figure is, for the choice of its tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Lengths and widths of the garment, lengths of seams.
    Length,
    /// Measures around the body.
    Girth,
    /// Widths that do not grow with the garment: tape, seam allowance, bones, buttons, spacing.
    Fixed,
    /// Thickness of a stiffener.
    Thickness,
    /// Width of a cloth on the loom.
    LoomWidth,
    /// Ends and picks.
    Threads,
    /// Stitch density.
    Stitches,
    /// Yarn number.
    Yarn,
    /// Angle of twist.
    Angle,
    /// Turns of twist.
    Turns,
    /// Crimp of a yarn.
    Crimp,
    /// Cover factor of a cloth.
    Cover,
    /// Mass of an area of cloth.
    Mass,
    /// Numbers of buttons, hooks, bones, like components.
    Count,
    /// Colour difference CIEDE2000.
    Colour,
    /// One dimension of a piece divided by another.
    Proportion,
}

impl Measure {
    /// Every kind of figure, in the order in which tolerances are printed.
    pub const ALL: [Measure; 16] = [
        Self::Length,
        Self::Girth,
        Self::Fixed,
        Self::Thickness,
        Self::LoomWidth,
        Self::Threads,
        Self::Stitches,
        Self::Yarn,
        Self::Angle,
        Self::Turns,
        Self::Crimp,
        Self::Cover,
        Self::Mass,
        Self::Count,
        Self::Colour,
        Self::Proportion,
    ];

    /// The unit of the figures; blank where there is none.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Length | Self::Girth | Self::Fixed | Self::Thickness | Self::LoomWidth => "mm",
            Self::Threads | Self::Stitches | Self::Turns => "per cm",
            Self::Yarn => "tex",
            Self::Angle => "deg",
            Self::Crimp => "%",
            Self::Mass => "g/m²",
            Self::Count | Self::Cover | Self::Proportion => "",
            Self::Colour => "ΔE00",
        }
    }

    /// The word by which a tolerance is set: `length 3 % or 4 mm`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Length => "length",
            Self::Girth => "girth",
            Self::Fixed => "fixed",
            Self::Thickness => "thickness",
            Self::LoomWidth => "loom width",
            Self::Threads => "threads",
            Self::Stitches => "stitches",
            Self::Yarn => "yarn",
            Self::Angle => "angle",
            Self::Turns => "turns",
            Self::Crimp => "crimp",
            Self::Cover => "cover",
            Self::Mass => "mass",
            Self::Count => "count",
            Self::Colour => "colour",
            Self::Proportion => "proportion",
        }
    }

    /// What it covers, for the method section of a report.
    fn covers(self) -> &'static str {
        match self {
            Self::Length => "lengths and widths of the garment, lengths of seams",
            Self::Girth => "girths",
            Self::Fixed => "fixed widths, allowances, spacing, sizes of small parts",
            Self::Thickness => "thickness of stiffeners",
            Self::LoomWidth => "width of a cloth on the loom",
            Self::Threads => "ends and picks",
            Self::Stitches => "stitch density",
            Self::Yarn => "yarn number",
            Self::Angle => "angle of twist",
            Self::Turns => "turns of twist",
            Self::Crimp => "crimp, in points of the percentage",
            Self::Cover => "cover factor",
            Self::Mass => "mass per area",
            Self::Count => "counts of fastenings, stiffeners and like components",
            Self::Colour => "colour difference (CIEDE2000)",
            Self::Proportion => "proportions of dimensions",
        }
    }

    /// The unit that an amount of tolerance is printed in.
    fn amount_unit(self) -> &'static str {
        if self == Self::Crimp { "points" } else { self.unit() }
    }

    /// The kind of quantity that an amount may be written as.
    fn kind(self) -> Option<Kind> {
        Some(match self {
            Self::Length | Self::Girth | Self::Fixed | Self::Thickness | Self::LoomWidth => Kind::Length,
            Self::Threads | Self::Stitches | Self::Turns => Kind::Density,
            Self::Yarn => Kind::Yarn,
            Self::Angle => Kind::Angle,
            Self::Mass => Kind::MassPerArea,
            Self::Crimp | Self::Cover | Self::Count | Self::Colour | Self::Proportion => return None,
        })
    }

    /// The kind that a text begins with, singular or plural, and what follows the word.
    fn named(text: &str) -> Option<(Self, &str)> {
        let mut words: Vec<(Self, &'static str)> = Self::ALL.map(|m| (m, m.word())).to_vec();
        words.sort_by_key(|(_, word)| std::cmp::Reverse(word.len()));
        words.into_iter().find_map(|(measure, word)| {
            let start = text.get(..word.len()).filter(|start| start.eq_ignore_ascii_case(word))?;
            let rest = &text[start.len()..];
            let rest = rest.strip_prefix('s').unwrap_or(rest);
            rest.is_empty().then_some((measure, "")).or_else(|| {
                rest.starts_with([' ', ':', '=']).then(|| (measure, rest.trim_start_matches([' ', ':', '='])))
            })
        })
    }
}

/// The tolerances of a comparison, one a kind of figure.
///
/// The defaults are a starting point for hand-sewn garments (common practice, no source): change them to suit the
/// question, and the report will print what was used.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerances([Tolerance; Measure::ALL.len()]);

impl Default for Tolerances {
    fn default() -> Self {
        Self(Measure::ALL.map(|measure| {
            let (relative, absolute) = match measure {
                Measure::Length | Measure::LoomWidth => (0.02, 5.0),
                Measure::Girth => (0.02, 10.0),
                Measure::Fixed => (0.0, 2.0),
                Measure::Thickness => (0.10, 0.5),
                Measure::Threads | Measure::Stitches | Measure::Yarn | Measure::Turns | Measure::Mass => (0.15, 0.0),
                Measure::Angle => (0.0, 5.0),
                Measure::Crimp | Measure::Colour => (0.0, 3.0),
                Measure::Cover => (0.10, 0.0),
                Measure::Count => (0.0, 0.0),
                Measure::Proportion => (0.03, 0.0),
            };
            Tolerance::new(relative, absolute)
        }))
    }
}

impl Tolerances {
    /// The tolerance for a kind of figure.
    pub fn of(&self, measure: Measure) -> Tolerance {
        self.0[measure as usize]
    }

    /// Sets the tolerance for a kind of figure.
    pub fn set(&mut self, measure: Measure, tolerance: Tolerance) {
        self.0[measure as usize] = tolerance;
    }

    /// Sets one as somebody writes it: `length 3 % or 4 mm`, `stitches 10 %`, `count none`. A share is in per cent of the
    /// mean of both values; of a share and an amount the larger holds.
    ///
    /// # Errors
    /// A sentence that names the place and the mend.
    pub fn set_written(&mut self, text: &str) -> Result<(), String> {
        let Some((measure, rest)) = Measure::named(text.trim()) else {
            let words: Vec<&str> = Measure::ALL.iter().map(|m| m.word()).collect();
            return Err(format!(
                "`{text}` sets no tolerance; begin with what it is for ({}): `length 3 % or 4 mm`",
                words.join(", ")
            ));
        };
        let rest = rest.trim().trim_end_matches(", whichever is larger");
        if rest.is_empty() {
            return Err(format!("say how large the tolerance for `{}` is: `{text} 3 %`", measure.word()));
        }
        if rest == "none" || rest.starts_with("none:") {
            self.set(measure, Tolerance::new(0.0, 0.0));
            return Ok(());
        }
        let (mut relative, mut absolute) = (None, None);
        for part in rest.split(" or ").flat_map(|p| p.split(", ")).map(str::trim) {
            let (slot, value) = if let Some(share) = part.strip_suffix('%') {
                if measure == Measure::Colour {
                    return Err("a colour difference takes an amount, not a share: `colour 3`".into());
                }
                (&mut relative, plain(share).map(|share| share / 100.0))
            } else {
                (&mut absolute, amount(part, measure))
            };
            let value = value.ok_or_else(|| {
                let unit = measure.amount_unit();
                format!(
                    "`{part}` is no tolerance for `{}`; write a share (`3 %`), an amount (`{}`), or both joined by `or`",
                    measure.word(),
                    format!("4 {unit}").trim_end()
                )
            })?;
            if slot.replace(value).is_some() {
                return Err(format!("`{text}` gives two of a kind; write one share and one amount at most"));
            }
        }
        self.set(measure, Tolerance::new(relative.unwrap_or(0.0), absolute.unwrap_or(0.0)));
        Ok(())
    }

    /// Every tolerance as [`Tolerances::set_written`] reads it, one a line; a share to a thousand-millionth of a per cent, so
    /// that what is read back is written alike again.
    pub fn written(&self) -> String {
        let line = |measure: &Measure| {
            let Tolerance { relative, absolute } = self.of(*measure);
            let share = (relative > 0.0).then(|| format!("{} %", (relative * 1e11).round() / 1e9));
            let amount =
                (absolute > 0.0).then(|| format!("{absolute} {}", measure.amount_unit()).trim_end().to_owned());
            let parts: Vec<String> = share.into_iter().chain(amount).collect();
            let rule = if parts.is_empty() { "none".to_owned() } else { parts.join(" or ") };
            format!("{} {rule}", measure.word())
        };
        Measure::ALL.iter().map(line).collect::<Vec<_>>().join("\n")
    }

    /// Each kind of figure and its tolerance in words, for the method section of a report.
    pub fn in_words(&self) -> Vec<(&'static str, String)> {
        Measure::ALL.iter().map(|m| (m.covers(), self.of(*m).words(m.amount_unit()))).collect()
    }
}

impl Serialize for Tolerances {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(Measure::ALL.len()))?;
        for measure in Measure::ALL {
            map.serialize_entry(&measure.word().replace(' ', "_"), &self.of(measure))?;
        }
        map.end()
    }
}

/// A plain number that is not negative.
fn plain(text: &str) -> Option<f64> {
    text.trim().replace(',', ".").parse().ok().filter(|x: &f64| x.is_finite() && *x >= 0.0)
}

fn amount(text: &str, measure: Measure) -> Option<f64> {
    match measure.kind() {
        Some(kind) => Quantity::parse(kind, text).ok().map(|q| q.value).filter(|x| x.is_finite() && *x >= 0.0),
        None => plain(text.strip_suffix(measure.amount_unit()).unwrap_or(text)),
    }
}

/// A number without idle zeros, at most three decimals.
pub(super) fn trimmed(x: f64) -> String {
    let text = format!("{x:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tolerance_is_set_in_the_words_it_is_printed_in() {
        let cases = [
            ("length 3 % or 4 mm", Measure::Length, 0.03, 4.0),
            ("Lengths: 1/4 in", Measure::Length, 0.0, 6.35),
            ("girth 2,5 %", Measure::Girth, 0.025, 0.0),
            ("stitches 10 %", Measure::Stitches, 0.10, 0.0),
            ("threads 1 per cm", Measure::Threads, 0.0, 1.0),
            ("crimp 4 points", Measure::Crimp, 0.0, 4.0),
            ("count none", Measure::Count, 0.0, 0.0),
            ("count 1", Measure::Count, 0.0, 1.0),
            ("colour 2", Measure::Colour, 0.0, 2.0),
            ("loom width 10 mm", Measure::LoomWidth, 0.0, 10.0),
            ("fixed 2 mm, whichever is larger", Measure::Fixed, 0.0, 2.0),
        ];
        for (text, measure, relative, absolute) in cases {
            let mut set = Tolerances::default();
            set.set_written(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            let Tolerance { relative: r, absolute: a } = set.of(measure);
            assert!((r - relative).abs() < 1e-12 && (a - absolute).abs() < 1e-9, "{text}: {r} {a}");
        }
        for bad in [
            "",
            "length",
            "len 3 %",
            "length 3",
            "length 3 kg",
            "length 3 % or 4 %",
            "length -2 mm",
            "count x",
            "girth nan %",
            "colour 10 %",
            "colour 3 or 10 %",
        ] {
            assert!(Tolerances::default().set_written(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn what_is_written_is_read_back_and_written_alike() {
        let mut set = Tolerances::default();
        set.set(Measure::Length, Tolerance::new(1.0 / 3.0, 0.396_875));
        let mut back = Tolerances::default();
        set.written().lines().for_each(|line| back.set_written(line).expect(line));
        for measure in Measure::ALL {
            assert!((back.of(measure).relative - set.of(measure).relative).abs() < 1e-11, "{measure:?}");
            assert!((back.of(measure).absolute - set.of(measure).absolute).abs() < 1e-12, "{measure:?}");
        }
        assert_eq!(back.written(), set.written());
    }
}
