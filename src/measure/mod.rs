//! Quantities as people write them, and how well they are known: the words and types every other part shares.
//!
//! `27 ½ in` stays `27 ½ in`; beside it stand 698.5 mm and the standard uncertainty that the writing alone
//! allows. Nothing here reads a file, a clock or a database.

mod amount;
mod binomial;
mod closure;
pub(crate) mod cursor;
mod density;
mod dimensions;
mod estimate;
pub(crate) mod figure;
pub(crate) mod hedge;
mod kind;
mod line;
mod propagate;
mod proportion;
mod quantity;
mod quotient;
pub(crate) mod ratio;
pub(crate) mod reading;
mod rounding;
mod scale;
pub mod statistics;
mod student;
mod system;
#[cfg(test)]
mod tests;
pub(crate) mod units;
mod unreadable;
mod yarn;
mod yarn_system;

pub use binomial::{median_interval, share_interval};
pub use closure::{Against, Closure, Part, closure};
pub use dimensions::{Agreement, Dimensions, Measure};
pub use estimate::{Estimate, combine};
pub use kind::Kind;
pub use line::Line;
pub use propagate::{propagate, welch_satterthwaite};
pub use proportion::{Pair, Proportion};
pub use quantity::{Bound, Quantity};
pub use quotient::quotient;
pub use rounding::{four_figures, plus_minus, rounded, tape_inches};
pub use student::{coverage, student_t, upper_tail};
pub use system::{MM_PER_INCH, System};
pub use unreadable::Unreadable;
pub use yarn_system::YarnSystem;
