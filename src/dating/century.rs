//! Centuries and their parts as years.

use super::{
    Conventions,
    convention::Cut,
    period::{Part, Period, edtf_year, years},
};

/// The first year of the century, and the year that its parts are counted from.
fn beginning(number: i32, bc: bool, conventions: &Conventions) -> (i32, i32) {
    let hundred = (number - 1) * 100;
    match (bc, conventions.century_from.clamp(0, 1)) {
        // 300–201 BC is −299 to −200: there was no year 0, and no guide begins such a century elsewhere.
        (true, _) => (1 - number * 100, 1 - number * 100),
        (false, from) => (hundred + from, hundred),
    }
}

/// A century, or a part of one.
pub(super) fn century(number: i32, part: Option<Part>, bc: bool, conventions: &Conventions) -> Option<Period> {
    let (from, hundred) = beginning(number, bc, conventions);
    let last = from + 99;
    // The first century has no year 0.
    let begin = if bc { from } else { from.max(1) };
    let whole = format!("the century taken as {}", years(begin, last));
    let cut = |first: i32, last: i32, how: &str| {
        let remark = if how.is_empty() { whole.clone() } else { format!("{whole}, {how}") };
        Some(Period::span(if bc { first } else { first.max(1) }, last, Some(remark)))
    };
    let thirds = "early, mid and late as its thirds";
    let quarters = "early and late as its first and last quarter, mid as 15 years either side of its middle";
    match (part, conventions.cut) {
        (None, _) if from == hundred && !bc && number > 1 => {
            let edtf = format!("{}XX", edtf_year(hundred).get(..2)?);
            Some(Period { edtf, ..Period::span(from, last, Some(whole)) })
        }
        (None, _) => cut(from, last, ""),
        (Some(Part::Early), Cut::Quarters) => cut(from, hundred + 25, quarters),
        (Some(Part::Mid), Cut::Quarters) => cut(hundred + 35, hundred + 65, quarters),
        (Some(Part::Late), Cut::Quarters) => cut(from + 75, last, quarters),
        (Some(Part::Early), _) => cut(from, from + 32, thirds),
        (Some(Part::Mid), _) => cut(from + 33, hundred + 66, thirds),
        (Some(Part::Late), _) => cut(hundred + 67, last, thirds),
        (Some(Part::Third(1)), _) => cut(from, from + 32, "cut in thirds"),
        (Some(Part::Third(2)), _) => cut(from + 33, hundred + 66, "cut in thirds"),
        (Some(Part::Third(_)), _) => cut(hundred + 67, last, "cut in thirds"),
        (Some(Part::Beginning), _) => cut(from, from + 9, "its beginning as ten years"),
        (Some(Part::End), _) => cut(from + 90, last, "its end as ten years"),
        (Some(Part::Turn), _) => cut(from - 10, from + 9, "its turn as ten years either side of its beginning"),
        (Some(Part::Half(n)), _) => cut(from + 50 * (n - 1), from + 50 * n - 1, "halved"),
        (Some(Part::Quarter(n)), _) => cut(from + 25 * (n - 1), from + 25 * n - 1, "quartered"),
    }
}

/// A decade, or a part of one. `decade` is its first year.
pub(super) fn decade(decade: i32, part: Option<Part>) -> Option<Period> {
    let thirds = || Some("early, mid and late in a decade taken as years 0–3, 4–6 and 7–9".to_string());
    Some(match part {
        None => {
            let edtf = format!("{}X", edtf_year(decade).get(..3)?);
            Period { edtf, is_decade: true, ..Period::span(decade, decade + 9, None) }
        }
        Some(Part::Early | Part::Beginning) => Period::span(decade, decade + 3, thirds()),
        Some(Part::Mid) => Period::span(decade + 4, decade + 6, thirds()),
        Some(Part::Late | Part::End) => Period::span(decade + 7, decade + 9, thirds()),
        Some(Part::Half(n)) => Period::span(decade + 5 * (n - 1), decade + 5 * n - 1, None),
        Some(_) => return None,
    })
}
