//! The words and signs around figures: hedges, limits, the joint of a range, `±` and its coverage.

use super::{Bound, cursor::Cursor};

/// What the words around the figures say.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Marks {
    pub(super) approximate: bool,
    pub(super) between: bool,
    pub(super) limit: Option<Bound>,
}

pub(super) fn marks_before(cursor: &mut Cursor, marks: &mut Marks) {
    loop {
        if cursor.eat_any(&["approximately", "approx.", "approx", "about", "around", "roughly", "circa"])
            || cursor.eat_any(&["ca.", "ca", "c.", "c", "~", "≈"])
        {
            marks.approximate = true;
        } else if cursor.eat_any(&["at least", "not less than", "more than", "over", "min.", "min", "≥", ">=", ">"]) {
            marks.limit = Some(Bound::AtLeast);
        } else if cursor.eat_any(&["at most", "not more than", "less than", "under", "up to", "max.", "max"])
            || cursor.eat_any(&["≤", "<=", "<"])
        {
            marks.limit = Some(Bound::AtMost);
        } else if cursor.eat("between") {
            marks.between = true;
        } else {
            cursor.skip_blanks();
            return;
        }
    }
}

pub(super) fn marks_after(cursor: &mut Cursor, marks: &mut Marks) {
    if cursor.eat_any(&["approximately", "approx.", "approx", "or so", "?"]) {
        marks.approximate = true;
    } else if cursor.eat_any(&["or more", "or longer", "at least", "minimum"]) {
        marks.limit = Some(Bound::AtLeast);
    } else if cursor.eat_any(&["or less", "at most", "maximum"]) {
        marks.limit = Some(Bound::AtMost);
    }
}

/// Eats a mark that joins the two ends of a range.
pub(crate) fn eat_to(cursor: &mut Cursor, between: bool) -> bool {
    cursor.eat_any(&["–", "—", "‒", "-", "‐", "‑", "to", "or"]) || (between && cursor.eat("and"))
}

pub(crate) fn eat_plus_minus(cursor: &mut Cursor) -> bool {
    cursor.eat_any(&["±", "+/-", "+/−", "+-", "+−"])
}

/// The coverage factor that a remark in brackets gives to a `±`: 1 when there is none.
pub(crate) fn eat_coverage(cursor: &mut Cursor) -> f64 {
    if cursor.eat_any(&["(k=2)", "(k = 2)", "(k= 2)", "(k =2)"]) {
        2.0
    } else if cursor.eat_any(&["(95 %)", "(95%)"]) {
        1.959_963_984_540_054
    } else {
        1.0
    }
}
