//! A copy of a sealed page held against the seals: unaltered, or in what it differs.

use super::NotPrinted;
use crate::catalogue::{Catalogue, Seal};
use crate::sealed::{Pages, check_code};

/// What a copy turned out to be.
#[derive(Debug)]
pub enum SealedCopy {
    /// Byte for byte what was sealed.
    Unaltered(Box<Seal>),
    /// None of what was sealed.
    Other {
        /// The check code that these bytes would have.
        code: String,
        /// The seal that it names in its foot, and the first line that differs, if the sealed page can be read.
        claims: Option<(Box<Seal>, Option<usize>)>,
    },
}

/// Why a PDF is never held against a seal, to be followed by how the page is brought up.
pub const NO_COPY_OF_A_PDF: &str = "which is made anew by whoever prints the page and is never the same twice; compare it \
                                    with the page that the check code written on it brings up";

impl SealedCopy {
    /// What is to be said of one that is not as it was sealed; `unknown` where it names no seal.
    pub fn in_words(&self, unknown: &str) -> String {
        match self {
            Self::Unaltered(seal) => format!("its check code is {}", seal.code),
            Self::Other { code, claims: None } => format!("its own check code would be {code}; {unknown}"),
            Self::Other { code, claims: Some((seal, at)) } => {
                let at = at.map(|line| format!("; the first difference is in line {line}")).unwrap_or_default();
                format!(
                    "its own check code would be {code}; it says that it is sealed report {}, whose check code is {}{at}",
                    seal.no, seal.code
                )
            }
        }
    }
}

/// Holds the bytes of a page against all that was sealed.
///
/// # Errors
/// If the database refuses.
pub fn held_against_seals(catalogue: &Catalogue, page: &[u8]) -> Result<SealedCopy, NotPrinted> {
    let sha256 = Pages::sha256(page);
    let seals = catalogue.seals(None)?;
    if let Some(seal) = seals.iter().find(|s| s.sha256 == sha256) {
        return Ok(SealedCopy::Unaltered(Box::new(seal.clone())));
    }
    let claimed = claim(page).and_then(|no| seals.into_iter().find(|s| s.no == no));
    let claims = claimed.map(|seal| {
        let sealed = Pages::at(catalogue.folder()).read(&seal.sha256).ok();
        let at = sealed.map(|sealed| first_difference(&sealed, page));
        (Box::new(seal), at)
    });
    Ok(SealedCopy::Other { code: check_code(&sha256).unwrap_or_default(), claims })
}

/// The number that a page gives itself in its foot: `as sealed report 3 from`.
fn claim(page: &[u8]) -> Option<i64> {
    let text = String::from_utf8_lossy(page);
    let (_, rest) = text.rsplit_once(" as sealed report ")?;
    rest.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()
}

/// The line, from 1, in which two texts first differ.
fn first_difference(a: &[u8], b: &[u8]) -> usize {
    let same = a.iter().zip(b).take_while(|(x, y)| x == y);
    1 + same.filter(|(x, _)| **x == b'\n').count()
}
