//! What published guides decide differently about dates, and how each choice is named beside a date.

/// The choices that published guides make differently. One catalogue keeps to one set of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conventions {
    /// Years either side of a single `circa` year (CCO 5, Object ID 10).
    pub circa_years: i32,
    /// Last digit of a century's first year: 0 for 1800–1899, 1 for 1801–1900.
    pub century_from: i32,
    /// How `early`, `mid` and `late` cut a century.
    pub cut: Cut,
    /// Whether `before 1800` and `after 1800` hold 1800 itself, and whether they end.
    pub beyond: Beyond,
    /// What `1800s` means.
    pub hundreds: Hundreds,
}

/// How `early`, `mid` and `late` cut a century.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Cut {
    /// Three thirds: 1800–1832, 1833–1866, 1867–1899 (common practice, no source).
    #[default]
    Thirds,
    /// The first quarter, 15 years either side of the middle, the last quarter: 1800–1825, 1835–1865, 1875–1899
    /// (UC San Diego visual resources date guide for early and mid; late by symmetry).
    Quarters,
}

/// Whether `before 1800` and `after 1800` hold the year itself, and whether they end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Beyond {
    /// To 1799; from 1801. Open at the other end (as the words say).
    #[default]
    Strict,
    /// To 1800; from 1800. Open at the other end (common practice of collections that index whole years, no source).
    Inclusive,
    /// 1700–1800; 1800–1900 (Object ID, Getty/ICOM: up to a hundred years).
    Hundred,
}

/// What `1800s` means: the words alone do not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hundreds {
    /// It is refused, and the writer is asked for the years.
    #[default]
    Ask,
    /// The century, 1800–1899.
    Century,
    /// The decade, 1800–1809.
    Decade,
}

impl Default for Conventions {
    fn default() -> Conventions {
        Conventions {
            circa_years: 5,
            century_from: 0,
            cut: Cut::default(),
            beyond: Beyond::default(),
            hundreds: Hundreds::default(),
        }
    }
}

/// A choice that is written as one word, on the command line and in the catalogue.
macro_rules! named {
    ($kind:ident: $($variant:ident = $word:literal),+) => {
        impl $kind {
            /// All choices.
            pub const ALL: &[$kind] = &[$($kind::$variant),+];
            /// The word for it.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $($kind::$variant => $word),+ }
            }
            /// The choice that a word names.
            #[must_use]
            pub fn from_word(word: &str) -> Option<$kind> {
                match word { $($word => Some($kind::$variant),)+ _ => None }
            }
        }
    };
}

named!(Cut: Thirds = "thirds", Quarters = "quarters");
named!(Beyond: Strict = "strict", Inclusive = "inclusive", Hundred = "hundred");
named!(Hundreds: Ask = "ask", Century = "century", Decade = "decade");

/// One choice that a collection makes: its word on the command line, the question, and the answers, each by its word and in
/// plain words; none where a number is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choice {
    /// Its word.
    pub word: &'static str,
    /// What it decides.
    pub asks: &'static str,
    /// The answers.
    pub answers: &'static [(&'static str, &'static str)],
}

/// Most years either side of `circa`.
pub const CIRCA_MOST: i32 = 100;

impl Conventions {
    /// Every choice, in the order of [`Self::sentences`].
    pub const CHOICES: [Choice; 5] = [
        Choice { word: "circa", asks: "Years either side of a single circa year", answers: &[] },
        Choice {
            word: "century-from",
            asks: "The 19th century",
            answers: &[("0", "1800 to 1899"), ("1", "1801 to 1900")],
        },
        Choice {
            word: "early-late",
            asks: "Early, mid and late",
            answers: &[
                ("thirds", "the thirds of a century"),
                ("quarters", "its first and last quarter, and 30 years in the middle"),
            ],
        },
        Choice {
            word: "before-after",
            asks: "Before 1800, after 1800",
            answers: &[
                ("strict", "to 1799, from 1801"),
                ("inclusive", "to 1800, from 1800"),
                ("hundred", "up to a hundred years: 1700 to 1800, 1800 to 1900"),
            ],
        },
        Choice {
            word: "hundreds",
            asks: "1800s",
            answers: &[
                ("ask", "refused: it may be ten years or a hundred"),
                ("century", "the century"),
                ("decade", "the decade 1800 to 1809"),
            ],
        },
    ];

    /// The answer to a choice, by its word.
    #[must_use]
    pub fn answer(&self, choice: &str) -> String {
        match choice {
            "circa" => self.circa_years.to_string(),
            "century-from" => self.century_from.to_string(),
            "early-late" => self.cut.word().into(),
            "before-after" => self.beyond.word().into(),
            _ => self.hundreds.word().into(),
        }
    }

    /// Answers a choice.
    ///
    /// # Errors
    /// What it can be answered with, if not with this.
    pub fn choose(&mut self, choice: &Choice, answer: &str) -> Result<(), String> {
        let number = |range: std::ops::RangeInclusive<i32>| answer.trim().parse().ok().filter(|n| range.contains(n));
        let taken = match choice.word {
            "circa" => number(0..=CIRCA_MOST).map(|years| self.circa_years = years),
            "century-from" => number(0..=1).map(|year| self.century_from = year),
            "early-late" => Cut::from_word(answer).map(|cut| self.cut = cut),
            "before-after" => Beyond::from_word(answer).map(|beyond| self.beyond = beyond),
            "hundreds" => Hundreds::from_word(answer).map(|hundreds| self.hundreds = hundreds),
            _ => None,
        };
        let known: Vec<&str> = choice.answers.iter().map(|(word, _)| *word).collect();
        let or =
            if known.is_empty() { format!("a whole number of years from 0 to {CIRCA_MOST}") } else { known.join(", ") };
        taken.ok_or_else(|| format!("`{answer}` is no answer here; it is {or}"))
    }

    /// `circa taken as ±5 years (CCO 4.2.3.2)`.
    pub(super) fn circa_remark(&self) -> String {
        let source = match self.circa_years {
            5 => " (CCO 4.2.3.2)",
            10 => " (Object ID)",
            _ => "",
        };
        format!("circa taken as ±{} years{source}", self.circa_years.max(0))
    }

    /// Years that `circa` adds at an end.
    pub(super) fn margin(&self, circa: bool) -> i32 {
        if circa { self.circa_years.max(0) } else { 0 }
    }

    /// Every choice in a sentence, for a reader of the catalogue.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let from = 1800 + self.century_from.clamp(0, 1);
        vec![
            self.circa_remark(),
            format!("the 19th century taken as {from}–{}", from + 99),
            match self.cut {
                Cut::Thirds => "early, mid and late taken as the thirds of a century".into(),
                Cut::Quarters => "early and late taken as the first and last quarter of a century, mid as 15 years \
                                  either side of its middle (UC San Diego)"
                    .into(),
            },
            match self.beyond {
                Beyond::Strict => "before 1800 ends with 1799, after 1800 begins with 1801".into(),
                Beyond::Inclusive => "before 1800 and after 1800 hold 1800 itself".into(),
                Beyond::Hundred => "before 1800 taken as 1700–1800, after 1800 as 1800–1900 (Object ID)".into(),
            },
            match self.hundreds {
                Hundreds::Ask => "1800s is refused: it may be ten years or a hundred".into(),
                Hundreds::Century => "1800s taken as the century".into(),
                Hundreds::Decade => "1800s taken as the decade 1800–1809".into(),
            },
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_answer_of_every_choice_is_taken_and_read_back() {
        for choice in &Conventions::CHOICES {
            let numbers = [("0", ""), ("5", ""), ("100", "")];
            let answers = if choice.answers.is_empty() { &numbers[..] } else { choice.answers };
            for (answer, _) in answers {
                let mut conventions = Conventions::default();
                conventions.choose(choice, answer).unwrap_or_else(|e| panic!("{}: {e}", choice.word));
                assert_eq!(conventions.answer(choice.word), *answer, "{}", choice.word);
            }
            for answer in ["", "-1", "101", "nonsense"] {
                let mut conventions = Conventions::default();
                assert!(conventions.choose(choice, answer).is_err(), "{} {answer}", choice.word);
                assert_eq!(conventions, Conventions::default(), "{} {answer} changes nothing", choice.word);
            }
        }
    }
}
