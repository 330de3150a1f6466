//! Every reader of foreign text, over mixtures of the words that people use and of bytes that nobody does.
//!
//! `DIMITY_STRESS` sets how many texts each reader gets; the usual number keeps the tests quick, ten million is what a
//! reader must stand before it is called sound.

use dimity::dating::{Conventions, Dated};
use dimity::measure::{Dimensions, Kind, Quantity};
use dimity::reckon::Calculator;
use rayon::prelude::*;

/// Words of lengths, counts, yarns, dates, colours and light, and the signs between them.
const WORDS: &[&str] = &[
    "1",
    "27",
    "0",
    "12.5",
    "1,5",
    "999999999999999999999",
    "1e9",
    "½",
    "⅞",
    "1/2",
    "371/2",
    "3/0",
    "/",
    "⁄",
    ".",
    ",",
    "-",
    "–",
    "±",
    "+",
    "=",
    "x",
    "×",
    ";",
    ":",
    "(",
    ")",
    "[",
    "]",
    "\n",
    "\u{a0}",
    "\u{2009}",
    "#",
    "#7a5c3e",
    "°",
    "'",
    "\"",
    "″",
    "c.",
    "about",
    "at least",
    "between",
    "and",
    "to",
    "or",
    "per",
    "in",
    "over",
    "tape",
    "cm",
    "mm",
    "m",
    "ft",
    "yd",
    "nail",
    "Flemish ell",
    "aune",
    "de Paris",
    "pied",
    "pouces",
    "lignes",
    "cm²",
    "sq in",
    "ends",
    "picks",
    "spi",
    "per inch",
    "per cm",
    "tex",
    "dtex",
    "den",
    "Ne",
    "Nm",
    "lea",
    "30/2",
    "2/60",
    "g/m2",
    "oz",
    "%",
    "°C",
    "°F",
    "h",
    "min",
    "days",
    "lx",
    "f/8",
    "1/125",
    "ISO 100",
    "EV",
    "51.5 N",
    "0.13 W",
    "2026-01-12",
    "15:30",
    "+00:00",
    "Z",
    "1:8",
    "H.",
    "W:",
    "Warp",
    "a.",
    "(b)",
    "1760",
    "1750s",
    "75",
    "17XX",
    "circa",
    "early",
    "mid-",
    "late",
    "18th",
    "century",
    "first half of the",
    "before",
    "after",
    "probably",
    "?",
    "~",
    "..",
    "Y-17",
    "S2",
    "January",
    "1860er",
    "Jahre",
    "um",
    "vers",
    "siècle",
    "XVIIIe",
    "Jh.",
    "altered",
    "ﬁ",
    "é",
    "\u{202e}",
    "\u{0}",
    "𝟙",
    "Ⅷ",
    "１２",
];

struct Dice(u64);

impl Dice {
    /// The splitmix64 step: every seed gives its own run of numbers.
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}

fn text(seed: u64) -> String {
    let mut dice = Dice(seed);
    let glue = ["", " ", " "][dice.below(3)];
    let words: Vec<&str> = (0..=dice.below(7)).map(|_| WORDS[dice.below(WORDS.len())]).collect();
    let mut text = words.join(glue);
    if dice.below(4) == 0
        && let Some(any) = char::from_u32(dice.below(0x11_0000) as u32)
    {
        let place = (0..=text.len()).filter(|at| text.is_char_boundary(*at)).nth(dice.below(8)).unwrap_or(0);
        text.insert(place, any);
    }
    text
}

fn times() -> u64 {
    std::env::var("DIMITY_STRESS").ok().and_then(|n| n.parse().ok()).unwrap_or(20_000)
}

/// Refusals must point into the text.
fn place(text: &str, at: usize, reader: &str) {
    assert!(at <= text.len() && text.is_char_boundary(at), "{reader} points to byte {at} of {text:?}");
}

/// Gives every text to one reader, on all cores.
fn storm(read: impl Fn(&str) + Sync) {
    (0..times()).into_par_iter().for_each(|seed| read(&text(seed)));
}

#[test]
fn no_text_makes_a_quantity_panic_or_point_outside_it() {
    storm(|text| {
        for kind in Kind::ALL {
            match Quantity::parse(kind, text) {
                Ok(found) => assert!(found.value.is_finite() && found.u >= 0.0, "{kind} of {text:?}: {found:?}"),
                Err(refusal) => place(text, refusal.at, kind.name()),
            }
        }
    });
}

#[test]
fn no_text_makes_the_dimensions_of_a_record_panic() {
    storm(|text| {
        for measure in Dimensions::read(text).measures {
            assert!(measure.best().is_some_and(|q| q.value.is_finite()), "{text:?}: {measure:?}");
        }
    });
}

#[test]
fn no_text_makes_a_date_panic_or_end_before_it_begins() {
    let conventions = Conventions::default();
    storm(|text| match Dated::parse(text, &conventions) {
        Ok(found) => {
            let ends = found.earliest.zip(found.latest);
            assert!(ends.is_none_or(|(first, last)| first <= last), "{text:?}: {found:?}");
        }
        Err(refusal) => place(text, refusal.at, "a date"),
    });
}

#[test]
fn no_text_makes_a_calculator_panic_or_point_outside_it() {
    let conventions = Conventions::default();
    storm(|text| {
        for calculator in Calculator::ALL {
            if let Err(refusal) = calculator.answer(text, &conventions) {
                place(text, refusal.at, &format!("{calculator:?}"));
            }
        }
    });
}
