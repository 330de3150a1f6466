//! Threads, stitches and turns of twist along a line: `9 per inch`, `24 ends/cm`, `57 in 51 mm`, `9 spi`, `600 per m`.
//!
//! A count of evenly spaced things in a window put down anywhere has u(N) = 1/√6 = 0.41, not √N: they are spaced,
//! not scattered. A window written with a number (`in 51 mm`, `per 2 cm`) was set with a rule, so its length
//! carries the step of the writing but no more than 1 mm or ⅛ in; `per inch` without a number is exactly one inch.

use super::{
    Bound, Kind, MM_PER_INCH, Unreadable,
    cursor::Cursor,
    figure,
    hedge::{eat_coverage, eat_plus_minus, eat_to},
    ratio::Ratio,
    reading::{Reading, backwards},
    units::{self, Nature, Unit},
};

const NOUNS: &[&str] = &[
    "stitches", "stitch", "sts.", "sts", "st.", "st", "threads", "thread", "ends", "end", "picks", "pick", "warps",
    "wefts", "yarns", "courses", "wales", "turns", "turn", "twists",
];

/// Abbreviations that hold noun and unit in one: per inch, or per centimetre.
const PER_INCH: &[&str] = &["spi", "epi", "ppi", "tpi", "wpi", "cpi", "s.p.i."];
const PER_CM: &[&str] = &["spc", "epc", "ppc", "tpc"];
/// Turns of twist are counted over a metre.
const PER_M: &[&str] = &["tpm"];

pub(crate) fn read(cursor: &mut Cursor) -> Result<Reading, Unreadable> {
    let count = count(cursor)?;
    cursor.eat_any(NOUNS);
    let (length, u_length) = window(cursor)?;
    // GUM 5.1.6, written so that a count of nothing divides by nothing.
    let per_cm = |n: f64| n / length * 10.0;
    let u = per_cm(count.u).hypot(per_cm(count.value) * u_length / length);
    Ok(Reading { value: per_cm(count.value), u, ..count })
}

/// The count N with u(N).
fn count(cursor: &mut Cursor) -> Result<Reading, Unreadable> {
    let counting = 1.0 / 6f64.sqrt();
    let first = figure::read(cursor)?;
    let n = first.value.to_f64();
    if eat_plus_minus(cursor) {
        let spread = figure::read(cursor)?.value.to_f64();
        return Ok(Reading::stated(n, spread / eat_coverage(cursor)));
    }
    let mut ahead = *cursor;
    if eat_to(&mut ahead, false) && figure::begins(&ahead) {
        // `24 to 1 in` is no range; only a number that is followed by no unit of length is a second count.
        let second = figure::read(&mut ahead)?;
        let to_window = units::eat(&mut ahead.clone(), units::of(Kind::Length)).is_some();
        if !to_window || !cursor.rest().trim_start().starts_with("to") {
            *cursor = ahead;
            let m = second.value.to_f64();
            if m < n {
                return Err(backwards(cursor, first.start, first.end, second.start, second.end));
            }
            return Ok(Reading::range(n, m, counting));
        }
    }
    if let Some((above, below)) = first.bare
        && above >= below
        && units::eat(&mut cursor.clone(), units::of(Kind::Length)).is_some()
    {
        let proposal = units::splice(cursor.text, first.start, first.end, &format!("{above} per {below}"));
        return Err(Unreadable::new(
            first.start,
            format!("`{above}/{below}` may be a fraction or a count in a length"),
        )
        .nearest(proposal));
    }
    Ok(Reading { bound: Bound::Plain, ..Reading::plain(n, counting) })
}

/// The length counted over, in mm, with its standard uncertainty.
fn window(cursor: &mut Cursor) -> Result<(f64, f64), Unreadable> {
    if cursor.eat_any(PER_INCH) {
        return Ok((MM_PER_INCH, 0.0));
    }
    if cursor.eat_any(PER_CM) {
        return Ok((10.0, 0.0));
    }
    if cursor.eat_any(PER_M) {
        return Ok((1000.0, 0.0));
    }
    let before = *cursor;
    let per =
        cursor.eat_any(&["per", "/", "⁄", "to the", "to an", "to a", "to", "in an", "in a", "in one", "an", "each"]);
    let over = !per && cursor.eat_any(&["in", "over", "across", "within"]);
    if !per && !over {
        return Err(no_window(&before));
    }
    let number = if figure::begins(cursor) { Some(figure::read(cursor)?) } else { None };
    let unit_at = *cursor;
    let Some(unit) = units::eat(cursor, units::of(Kind::Length)) else {
        return Err(if unit_at.at_end() {
            no_window(&before)
        } else {
            units::complain(&unit_at, Kind::Length, units::of(Kind::Length))
        });
    };
    let size = unit.size();
    let Some(number) = number else {
        return if over { Err(no_window(&before)) } else { Ok((size.to_f64(), 0.0)) };
    };
    let length = number.value.times(size).filter(|length| !length.is_zero());
    let length =
        length.ok_or_else(|| Unreadable::new(number.start, "the length counted over must be more than nothing"))?;
    let step = number.step.of_unit(unit.nature == Nature::Inch).and_then(|step| step.times(size));
    let step = step.ok_or_else(|| figure::too_large(number.start))?;
    Ok((length.to_f64(), step.to_f64().min(ruled(unit)) / 12f64.sqrt()))
}

/// The graduation of the rule that a window is set with, in mm.
fn ruled(unit: &Unit) -> f64 {
    if unit.nature == Nature::Metric { 1.0 } else { Ratio::new(127, 40).map_or(3.175, Ratio::to_f64) }
}

fn no_window(cursor: &Cursor) -> Unreadable {
    let mut here = *cursor;
    here.skip_blanks();
    let before = cursor.text.get(..cursor.at).unwrap_or("").trim_end();
    match here.word().to_lowercase().as_str() {
        "" | "per" => {
            Unreadable::new(here.at, "the count has no length: per what?").nearest(format!("{before} per cm"))
        }
        "x" | "×" => {
            Unreadable::new(here.at, "these are two counts: write ends and picks apart, each with its length")
        }
        word => {
            let why = format!("`{}` does not say over what length the count was made", here.word());
            let refusal = Unreadable::new(here.at, why);
            if word.starts_with("in") { refusal.nearest(format!("{before} per inch")) } else { refusal }
        }
    }
}
