//! The lines of stitches of a piece, as they are recorded last.

use super::log::product;
use crate::measure::Estimate;
use crate::record::PieceFile;
use crate::vocabulary::TermId;

/// One line of stitches with what a reckoning needs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seam {
    pub purpose: Option<TermId>,
    pub component: Option<String>,
    pub stitch: Option<TermId>,
    pub by_machine: bool,
    /// Millimetres.
    pub length: Option<Estimate>,
    /// Per centimetre.
    pub density: Option<Estimate>,
    /// Length times density, where both are known.
    pub stitches: Option<Estimate>,
    /// How many alike its component stands for, where that is more than one.
    pub alike: Option<i64>,
}

impl Seam {
    /// What is not recorded that would be needed.
    pub fn missing(&self) -> Vec<&'static str> {
        let lacks = [("length", self.length.is_none()), ("stitch density", self.density.is_none())];
        lacks.into_iter().filter(|(_, lacks)| *lacks).map(|(what, _)| what).collect()
    }

    /// Whether both are the same line: purpose and component.
    pub fn same_line(&self, other: &Seam) -> bool {
        let name = |s: &Seam| s.component.as_deref().unwrap_or_default().trim().to_lowercase();
        self.purpose == other.purpose && name(self) == name(other)
    }
}

/// The lines of stitches of a piece: of each purpose and component those of the latest examination that saw any.
pub(super) fn seams(file: &PieceFile) -> Vec<Seam> {
    let mut all: Vec<Seam> = Vec::new();
    for exam in file.examinations.iter().rev() {
        let seen: Vec<Seam> = exam
            .stitching
            .iter()
            .filter(|o| o.withdrawn.is_none())
            .map(|o| {
                let s = &o.what;
                let (length, density) = (s.length.as_ref().map(Estimate::from), s.estimate());
                let component = file.components.iter().find(|c| c.name.is_some() && c.name == o.component);
                Seam {
                    purpose: s.purpose.clone(),
                    component: o.component.clone(),
                    stitch: s.stitch.clone(),
                    by_machine: s.made.as_deref() == Some("machine"),
                    stitches: length.zip(density).map(|(l, d)| product(l, d)),
                    length,
                    density,
                    alike: component.and_then(|c| c.count).filter(|n| *n > 1),
                }
            })
            .collect();
        let new: Vec<Seam> = seen.into_iter().filter(|s| !all.iter().any(|a| a.same_line(s))).collect();
        all.extend(new);
    }
    all
}
