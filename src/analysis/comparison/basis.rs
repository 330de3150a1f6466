//! On what terms pieces are compared: tolerances, sizes, and the pairs of components that somebody set by hand.

use serde::Serialize;

use super::names::alike;
use super::scale::Sizes;
use super::tolerance::Tolerances;

/// On what terms pieces are compared.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Basis {
    /// How large a difference still counts as agreement.
    pub tolerances: Tolerances,
    /// At what size.
    pub sizes: Sizes,
    /// Components that belong together, whatever their names say.
    pub pairs: Vec<ByHand>,
}

/// Two components that somebody says belong together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ByHand {
    /// As the subject names it.
    pub subject: String,
    /// As the other piece names it.
    pub other: String,
}

impl ByHand {
    /// Reads `collar = neck band`: the component of the subject, then that of the other.
    ///
    /// # Errors
    /// A sentence.
    pub fn read(text: &str) -> Result<Self, String> {
        let names = text.split_once('=').map(|(a, b)| (a.trim(), b.trim()));
        match names.filter(|(a, b)| !a.is_empty() && !b.is_empty() && !b.contains('=')) {
            Some((subject, other)) => Ok(Self { subject: subject.into(), other: other.into() }),
            None => Err(format!(
                "`{text}` pairs nothing; write the component of the piece and that of the other: `collar = neck band`"
            )),
        }
    }

    /// As [`ByHand::read`] reads it.
    pub fn written(&self) -> String {
        format!("{} = {}", self.subject, self.other)
    }
}

impl Basis {
    /// Proves that each pair set by hand names a component of the subject and one of some other piece. The names are those
    /// that the pieces list or mention.
    ///
    /// # Errors
    /// A sentence that names the component and those there are.
    pub(super) fn check(&self, subject: (&str, &[&str]), others: &[(&str, Vec<&str>)]) -> Result<(), String> {
        let holds = |names: &[&str], name: &str| names.iter().any(|n| alike(n, name));
        let there = |names: &[&str]| if names.is_empty() { "none".to_owned() } else { names.join(", ") };
        for pair in &self.pairs {
            if !holds(subject.1, &pair.subject) {
                return Err(format!(
                    "`{}`: {} has no component `{}`; it has {}",
                    pair.written(),
                    subject.0,
                    pair.subject,
                    there(subject.1)
                ));
            }
            if !others.iter().any(|(_, names)| holds(names, &pair.other)) {
                let lists: Vec<String> =
                    others.iter().map(|(number, names)| format!("{number} has {}", there(names))).collect();
                return Err(format!(
                    "`{}`: no other piece has a component `{}`; {}",
                    pair.written(),
                    pair.other,
                    lists.join("; ")
                ));
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pair_is_read_as_it_is_written() {
        let pair = ByHand::read(" collar=neck band ").expect("a pair");
        assert_eq!((pair.subject.as_str(), pair.other.as_str()), ("collar", "neck band"));
        assert_eq!(ByHand::read(&pair.written()), Ok(pair));
        for bad in ["collar", "= x", "x =", "", "a = b = c"] {
            assert!(ByHand::read(bad).is_err(), "{bad}");
        }
    }
}
