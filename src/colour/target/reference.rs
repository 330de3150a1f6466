//! The reference values of a target, and the built-in arrangement of 24 patches.

use std::sync::OnceLock;

use super::arrangement::{Grid, arranged};
use super::written::{Misread, read};
use crate::colour::{Lab, Light, White};

/// What one patch should look like, and where it lies.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferencePatch {
    /// Number or name of the patch in the file: `7`, `B3`.
    pub id: String,
    /// Its name, if the file has one: `orange`.
    pub name: String,
    /// Its colour, for D50 and the 2° observer.
    pub lab: Lab,
    /// Column and row, from 0 at the upper left.
    pub place: (u32, u32),
}

/// The reference values of a target.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Its patches, row by row.
    pub patches: Vec<ReferencePatch>,
    /// Columns and rows.
    pub grid: Grid,
}

/// The built-in reference as text.
const BUILT_IN: &str = include_str!("../../../schema/target24.csv");

impl Reference {
    /// The usual arrangement of 24 patches, made after November 2014.
    pub fn built_in() -> &'static Reference {
        static READ: OnceLock<Reference> = OnceLock::new();
        // A test reads the file, so one that cannot be read never ships.
        READ.get_or_init(|| {
            Self::parse(BUILT_IN, None).unwrap_or(Reference { patches: Vec::new(), grid: Grid { columns: 6, rows: 4 } })
        })
    }

    /// The text of the built-in reference, for its SHA-256.
    pub fn built_in_text() -> &'static str {
        BUILT_IN
    }

    /// Reads a reference file: CGATS text with `LAB_L LAB_A LAB_B`, or CSV with the columns `patch`, `name`, `l`, `a`,
    /// `b`. Values are taken for D50 unless the file says D65. `grid` is needed where the file does not tell how the
    /// patches lie.
    ///
    /// # Errors
    /// [`Misread`] names the line, what is wrong and the mend.
    pub fn parse(text: &str, grid: Option<Grid>) -> Result<Reference, Misread> {
        let listed = read(text)?;
        let ids: Vec<&str> = listed.patches.iter().map(|p| p.id.as_str()).collect();
        let (grid, places) = arranged(&ids, grid)?;
        let mut patches: Vec<ReferencePatch> = listed
            .patches
            .into_iter()
            .zip(places)
            .map(|(p, place)| ReferencePatch {
                id: p.id,
                name: p.name,
                lab: p.lab.adapted(listed.white, White::D50),
                place,
            })
            .collect();
        patches.sort_by_key(|p| (p.place.1, p.place.0));
        Ok(Reference { patches, grid })
    }
}

impl ReferencePatch {
    /// `7 orange`, or the number alone.
    pub fn title(&self) -> String {
        if self.name.is_empty() || self.name == self.id {
            self.id.clone()
        } else {
            format!("{} {}", self.id, self.name)
        }
    }

    /// The linear light that a faithful photograph in sRGB would have.
    pub fn light(&self) -> Light {
        self.lab.adapted(White::D50, White::D65).to_xyz(White::D65).to_light()
    }

    /// Whether sRGB can show it. Where it cannot, a photograph in sRGB is off by that alone.
    pub fn shown_by_srgb(&self) -> bool {
        self.lab.adapted(White::D50, White::D65).to_srgb().1
    }
}
