//! Object documentation for a study collection of garments: catalogue, examine, photograph, report and compare.

/// Written dates read to years: trade phrases and EDTF, with the convention used.
pub mod dating;
/// Quantities as people write them, and how well they are known.
pub mod measure;
