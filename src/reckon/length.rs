//! `dimity convert length`: a written length in millimetres, centimetres and inches.

use super::Answer;
use crate::measure::{Kind, Quantity, Unreadable};

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let found = Quantity::parse(Kind::Length, line)?;
    Ok(Answer::new(found.display_si()).with("mm", found.value).with("u_mm", found.u))
}
