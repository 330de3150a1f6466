//! Mixtures of date words: nothing panics, no date ends before it begins, all EDTF written here reads back.

use crate::dating::{Beyond, Conventions, Cut, Dated, Hundreds, edtf};

/// The pieces that mixtures are made of: words of all languages, signs, figures, and what is none of them.
const PIECES: &[&str] = &[
    "c.",
    "circa",
    "ca",
    "v.",
    "vers",
    "um",
    "h.",
    "1760",
    "1798",
    "75",
    "02",
    "5",
    "0",
    "18",
    "1",
    "1880s",
    "80s",
    "1900s",
    "1880er",
    "–",
    "-",
    "—",
    "/",
    " to ",
    " or ",
    " and ",
    "late",
    "mid",
    "early",
    "Ende",
    "fin",
    "metà",
    "18th",
    "XVIIIe",
    "XVIII",
    "V",
    "century",
    "Jh.",
    "siècle",
    "s.",
    "C",
    "c",
    "first",
    "1.",
    "2nd",
    "last",
    "half",
    "quarter",
    "third",
    "Viertel",
    "of",
    "the",
    "du",
    "before",
    "after",
    "by",
    "until",
    "bis",
    "from",
    "von",
    "between",
    "entre",
    "à",
    "en",
    "et",
    "or later",
    "or earlier",
    "present",
    "?",
    "(?)",
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    ",",
    ";",
    "..",
    ".",
    "XX",
    "17XX",
    "Y",
    "E",
    "9",
    "March",
    "14",
    "mai",
    "spring",
    "summer",
    "2147483647",
    "99999999999",
    "\u{a0}",
    "’s",
    "'",
    "S2",
    "T",
    "Z",
    "BC",
    "AD",
    "v. Chr.",
    "AH",
    "designed",
    "woven",
    "altered",
    "design",
    "a.",
    "b.",
    "C.",
    "B",
    "undated",
    "n.d.",
    "dynasty",
    "garment",
    "12/03/1987",
    "3.14.1987",
    "1740/41",
    "-0299",
    "~",
    "%",
    "±",
    "é",
    "e\u{301}",
    "ß",
    "ᵉ",
    "\u{200b}",
    "👗",
    "İ",
    "années",
    "Settecento",
    "turn",
    "Years",
    "Jahre",
    "\t",
    "\n",
    "9999",
    "0001",
    "21-",
    "1985-04",
    "23:20:30",
];

/// A small generator, so that a run can be repeated: xorshift64* (Vigna 2016).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        usize::try_from((self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33) % n as u64).unwrap_or(0)
    }
}

fn mixture(dice: &mut Dice) -> String {
    let mut text = String::new();
    for _ in 0..=dice.below(9) {
        match dice.below(12) {
            0 => text.push_str(&dice.below(3000).to_string()),
            1 => text.extend(char::from_u32(u32::try_from(dice.below(0x3000)).unwrap_or(0))),
            _ => text.push_str(PIECES[dice.below(PIECES.len())]),
        }
        if dice.below(3) > 0 {
            text.push(' ');
        }
    }
    text
}

/// `DIMITY_STRESS` sets how many; the seed is always the same.
#[test]
fn no_mixture_of_words_in_any_language_makes_it_panic() {
    let count: usize = std::env::var("DIMITY_STRESS").ok().and_then(|n| n.parse().ok()).unwrap_or(100_000);
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let mut read = 0;
    for _ in 0..count {
        let text = mixture(&mut dice);
        let conventions = Conventions {
            circa_years: [5, 10, 0, -3, i32::MAX][dice.below(5)],
            century_from: [0, 1, 7, i32::MIN][dice.below(4)],
            cut: Cut::ALL[dice.below(Cut::ALL.len())],
            beyond: Beyond::ALL[dice.below(Beyond::ALL.len())],
            hundreds: Hundreds::ALL[dice.below(Hundreds::ALL.len())],
        };
        match Dated::with_events(&text, &conventions) {
            Ok((found, events)) => {
                read += 1;
                for years in events.iter().map(|event| event.years).chain([found.interval()]) {
                    assert!(years.earliest.is_none_or(|a| years.latest.is_none_or(|b| a <= b)), "{text:?}: {years}");
                }
                if let Some(written) = found.edtf {
                    assert!(edtf::years(&written).is_ok(), "{text:?} gave `{written}`");
                }
            }
            Err(refusal) => {
                assert!(text.is_char_boundary(refusal.at), "{text:?}: {} is inside a letter", refusal.at);
                if let Some(nearest) = refusal.nearest {
                    let again = Dated::parse(&nearest, &conventions);
                    assert!(again.is_ok(), "{text:?} proposes `{nearest}`, which is no date either");
                }
            }
        }
    }
    assert!(read * 50 > count, "too few mixtures are dates: {read} of {count}");
}
