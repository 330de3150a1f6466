//! At what size pieces are compared, as somebody says it: a stated factor, or dimensions to fit one to.

use serde::Serialize;

use crate::measure::{Kind, Quantity};
use crate::vocabulary::{Scheme, TermId, Vocabulary};

/// At what size two pieces are compared.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Sizes {
    /// For lengths and widths.
    pub lengths: Sizing,
    /// For girths.
    pub girths: Sizing,
}

/// Where a factor comes from.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[serde(tag = "from", rename_all = "snake_case")]
pub enum Sizing {
    /// Both as recorded.
    #[default]
    AsRecorded,
    /// The other pieces are this size beside the subject: 0.125 for a pattern at an eighth.
    Stated {
        /// Size of the other beside the subject.
        size: f64,
        /// As it was written: `1:8`, `94 %`.
        as_written: String,
    },
    /// The factor that brings these dimensions nearest to each other.
    Fitted {
        /// Which dimensions.
        to: Vec<TermId>,
    },
}

impl Sizes {
    /// Sets a stated size as somebody writes it: `1/8`, `94 %`, `lengths 97 %, girths 0.92`.
    ///
    /// # Errors
    /// A sentence.
    pub fn state(&mut self, text: &str) -> Result<(), String> {
        for part in text.split(',').map(str::trim) {
            let (slots, rest) = self.slots(part);
            let size = size(rest).ok_or_else(|| {
                format!(
                    "`{part}` is no scale; write the size of the others beside the piece: `1:8` for a pattern at an eighth, \
                     `94 %` for a smaller wearer, `lengths 97 %, girths 92 %` where the two differ"
                )
            })?;
            for slot in slots {
                *slot = Sizing::Stated { size, as_written: rest.into() };
            }
        }
        Ok(())
    }

    /// Names the dimensions that a factor is fitted to: `bust girth, waist girth`; with `lengths:` or `girths:` before
    /// them, the factor is for those alone.
    ///
    /// # Errors
    /// A sentence, with the nearest terms where a dimension is unknown.
    pub fn fit(&mut self, text: &str, vocabulary: &Vocabulary) -> Result<(), String> {
        let (slots, rest) = self.slots(text.trim());
        let mut to: Vec<TermId> = Vec::new();
        let parts: Vec<&str> = rest.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()).collect();
        let mut next = 0;
        while let Some(name) = parts.get(next) {
            // Some names have a comma of their own: `depth, overall`.
            let two = parts.get(next + 1).map(|second| format!("{name}, {second}"));
            let whole = two.and_then(|two| vocabulary.find(Scheme::Dimension, &two).ok());
            next += if whole.is_some() { 2 } else { 1 };
            let term = whole.map_or_else(|| dimension(name, vocabulary), |term| Ok(term.id.clone()))?;
            if vocabulary.get(&term).and_then(|t| t.group.as_deref()) == Some("fixed") {
                return Err(format!("`{name}` does not grow with the piece; a factor is fitted to lengths and girths"));
            }
            if !to.contains(&term) {
                to.push(term);
            }
        }
        if to.is_empty() {
            return Err("name the dimensions to fit to: `--fit \"bust girth, waist girth, centre back length\"`".into());
        }
        slots.into_iter().for_each(|slot| *slot = Sizing::Fitted { to: to.clone() });
        Ok(())
    }

    /// What a text is for, by its first word, and the rest of it.
    fn slots<'s, 't>(&'s mut self, text: &'t str) -> (Vec<&'s mut Sizing>, &'t str) {
        let after = |word: &str| {
            let rest = text.get(word.len()..).filter(|_| text[..word.len()].eq_ignore_ascii_case(word))?;
            let rest = rest.strip_prefix('s').unwrap_or(rest);
            rest.starts_with([':', ' ']).then(|| rest.trim_start_matches([':', ' ']))
        };
        // `girth` and `length` are dimensions too: as a list of one they are fitted to, not a word for what is scaled.
        if let Some(rest) = after("length") {
            (vec![&mut self.lengths], rest)
        } else if let Some(rest) = after("girth") {
            (vec![&mut self.girths], rest)
        } else {
            (vec![&mut self.lengths, &mut self.girths], text)
        }
    }

    /// One line a choice: `scale` or `fit`, what it is for, and the size as written or the dimensions with `;` between
    /// them. Blank where both are as recorded.
    pub fn written(&self) -> String {
        let line = |what: &str, sizing: &Sizing| match sizing {
            Sizing::AsRecorded => None,
            Sizing::Stated { as_written, .. } => Some(format!("scale {what}: {as_written}")),
            Sizing::Fitted { to } => {
                Some(format!("fit {what}: {}", to.iter().map(TermId::name).collect::<Vec<_>>().join("; ")))
            }
        };
        [line("lengths", &self.lengths), line("girths", &self.girths)]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join("\n")
    }

    /// Reads what [`Sizes::written`] writes, whether or not a list still holds the dimensions.
    ///
    /// # Errors
    /// A sentence that names the line.
    pub fn read(text: &str) -> Result<Self, String> {
        let mut sizes = Self::default();
        for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
            match line.split_once(' ') {
                Some(("scale", rest)) => sizes.state(rest)?,
                Some(("fit", rest)) => {
                    let (slots, names) = sizes.slots(rest);
                    let to: Vec<TermId> = names.split(';').map(|name| TermId::new(Scheme::Dimension, name)).collect();
                    slots.into_iter().for_each(|slot| *slot = Sizing::Fitted { to: to.clone() });
                }
                _ => return Err(format!("`{line}` begins neither with `scale` nor with `fit`")),
            }
        }
        Ok(sizes)
    }
}

/// A dimension by its name, by another spelling, or by its name without `girth` or `length`.
fn dimension(name: &str, vocabulary: &Vocabulary) -> Result<TermId, String> {
    let find = |name: &str| vocabulary.find(Scheme::Dimension, name).map(|term| term.id.clone());
    find(name).or_else(|unknown| {
        find(&format!("{name} girth")).or_else(|_| find(&format!("{name} length"))).map_err(|_| unknown.to_string())
    })
}

fn size(text: &str) -> Option<f64> {
    let plain = text.replace(',', ".").parse().ok();
    plain
        .or_else(|| Quantity::parse(Kind::Scale, text).ok().map(|q| q.value))
        .filter(|x: &f64| x.is_finite() && *x > 1e-6 && *x < 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_is_read_in_the_words_of_the_trade() {
        for (text, lengths, girths) in [
            ("1/8", 0.125, 0.125),
            ("1:8", 0.125, 0.125),
            ("94 %", 0.94, 0.94),
            ("0.94", 0.94, 0.94),
            ("lengths 97 %, girths 92 %", 0.97, 0.92),
        ] {
            let mut sizes = Sizes::default();
            sizes.state(text).unwrap_or_else(|e| panic!("{text}: {e}"));
            for (sizing, expected) in [(&sizes.lengths, lengths), (&sizes.girths, girths)] {
                let Sizing::Stated { size, .. } = sizing else { panic!("{text}") };
                assert!((size - expected).abs() < 1e-12, "{text}: {size}");
            }
            assert_eq!(Sizes::read(&sizes.written()), Ok(sizes), "{text}");
        }
        for bad in ["", "0", "-1", "eighth", "1:0", "widths 3 %", "lengths", "lengthß 1"] {
            assert!(Sizes::default().state(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn dimensions_to_fit_to_are_known_by_their_names() {
        let words = Vocabulary::shipped();
        let mut sizes = Sizes::default();
        sizes.fit("bust, waist girth, centre back length", words).expect("known");
        let Sizing::Fitted { to } = &sizes.lengths else { panic!() };
        assert_eq!(
            to.iter().map(TermId::name).collect::<Vec<_>>(),
            ["bust girth", "waist girth", "centre back length"]
        );
        assert_eq!(Sizes::read(&sizes.written()), Ok(sizes));
        let mut comma = Sizes::default();
        comma.fit("depth, overall, waist girth", words).expect("known");
        let Sizing::Fitted { to } = &comma.lengths else { panic!() };
        assert_eq!(to.iter().map(TermId::name).collect::<Vec<_>>(), ["depth, overall", "waist girth"]);
        assert_eq!(Sizes::read(&comma.written()), Ok(comma));
        let mut girths = Sizes::default();
        girths.fit("girths: waist girth", words).expect("known");
        assert_eq!(girths.lengths, Sizing::AsRecorded);
        assert!(Sizes::default().fit("wiast girth", words).expect_err("unknown").contains("waist girth"));
        assert!(Sizes::default().fit("tape width", words).expect_err("fixed").contains("does not grow"));
        assert!(Sizes::default().fit(" , ", words).is_err());
    }
}
