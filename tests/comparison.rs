//! Comparison: the decision rule against worked values, properties that hold for any two pieces, and one pair in full.

#[path = "comparison/cloth.rs"]
mod cloth;
#[path = "comparison/decision.rs"]
mod decision;
#[path = "comparison/pair.rs"]
mod pair;
#[path = "comparison/pieces.rs"]
mod pieces;
#[path = "comparison/properties.rs"]
mod properties;
#[path = "comparison/report.rs"]
mod report;
#[path = "comparison/scale.rs"]
mod scale;
#[path = "comparison/terms.rs"]
mod terms;
