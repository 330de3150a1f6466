//! Yarn numbers, direct (tex, denier) and by count (Ne, NeL, NeK, Nm), with their ply.
//!
//! tex: ISO 1144. Hank lengths per pound: cotton 840 yd, linen lea 300 yd, worsted 560 yd (the last from memory).
//! In a fraction such as `30/2` or `2/60` the smaller number is the ply, whichever side it stands on: spinners
//! write both. The value is the resultant of the whole yarn, without the shortening by ply twist.

use super::{
    Unreadable,
    cursor::Cursor,
    figure::{self, Figure},
    hedge::{eat_coverage, eat_plus_minus, eat_to},
    ratio::Ratio,
    reading::{Reading, backwards},
    units,
};

/// A way of numbering yarn.
#[derive(Debug, Clone, Copy)]
enum System {
    /// tex = number × the ratio.
    Direct(Ratio),
    /// tex = the ratio ÷ number.
    Count(Ratio),
}

/// Most strands that a fraction is taken to ply.
const MOST_PLY: i128 = 12;

fn eat_system(cursor: &mut Cursor) -> Option<System> {
    let direct = |above, below| Ratio::new(above, below).map(System::Direct);
    // One pound in grams over a hank in kilometres: 453.59237 / (yards × 0.0009144).
    let hank = |yards: i128| Ratio::new(45_359_237 * 100, yards * 9144).map(System::Count);
    if cursor.eat_any(&["dtex", "decitex"]) {
        direct(1, 10)
    } else if cursor.eat_any(&["ktex", "kilotex"]) {
        direct(1000, 1)
    } else if cursor.eat("tex") {
        direct(1, 1)
    } else if cursor.eat_any(&["denier", "den.", "den"]) {
        direct(1, 9)
    } else if cursor.eat_any(&["linen lea", "leas", "lea", "NeL"]) {
        hank(300)
    } else if cursor.eat_any(&["worsted count", "worsted", "NeK"]) {
        hank(560)
    } else if cursor.eat_any(&["cotton count", "cotton", "NeC", "Ne"]) {
        hank(840)
    } else if cursor.eat_any(&["Nm", "metric count"]) {
        Ratio::new(1000, 1).map(System::Count)
    } else {
        None
    }
}

pub(crate) fn read(cursor: &mut Cursor) -> Result<Reading, Unreadable> {
    let before = eat_system(cursor);
    let first = figure::read(cursor)?;
    let mut spread = None;
    let mut second = None;
    let mut ahead = *cursor;
    if eat_plus_minus(cursor) {
        spread = Some(figure::read(cursor)?);
    } else if eat_to(&mut ahead, false) && figure::begins(&ahead) {
        *cursor = ahead;
        second = Some(figure::read(cursor)?);
    }
    if first.bare.is_none() {
        // The trade writes a count in the plural: `30s`.
        cursor.eat("s");
    }
    let after = *cursor;
    let Some(system) = before.or_else(|| eat_system(cursor)) else {
        return Err(no_system(&after, &first));
    };
    let factor = spread.map(|_| eat_coverage(cursor));
    let (number, ply) = number_and_ply(&first, system, cursor)?;
    let ply = times(cursor, ply)?;
    let of = |figure: &Figure, number: Ratio| tex(figure, number, ply, system);
    let (value, u) = of(&first, number)?;
    if let (Some(spread), Some(factor)) = (spread, factor) {
        let share = spread.value.to_f64() / factor;
        let u = match system {
            System::Direct(size) => share * size.to_f64() * ply as f64,
            System::Count(_) => value * share / number.to_f64(),
        };
        return Ok(Reading::stated(value, u));
    }
    let Some(second) = second else { return Ok(Reading::plain(value, u)) };
    if second.value.to_f64() < first.value.to_f64() {
        return Err(backwards(cursor, first.start, first.end, second.start, second.end));
    }
    let (other, other_u) = of(&second, second.value)?;
    Ok(Reading::range(value, other, u.max(other_u)))
}

/// The number in the system and the ply that a fraction gives.
fn number_and_ply(figure: &Figure, system: System, cursor: &Cursor) -> Result<(Ratio, i128), Unreadable> {
    let Some((above, below)) = figure.bare else { return Ok((figure.value, 1)) };
    let (ply, count) = (above.min(below), above.max(below));
    if matches!(system, System::Direct(_)) {
        let plied = units::splice(cursor.text, figure.start, figure.end, &count.to_string());
        return Err(Unreadable::new(
            figure.start,
            format!("`{above}/{below}` is ambiguous in tex or denier: write the ply after it"),
        )
        .nearest(format!("{plied} x {ply}")));
    }
    if ply == 0 || ply == count || ply > MOST_PLY {
        let why = format!("in `{above}/{below}` neither number is clearly the ply");
        return Err(Unreadable::new(figure.start, why));
    }
    Ok((Ratio::whole(count), ply))
}

/// A ply written as a factor, `20 tex x 2`.
fn times(cursor: &mut Cursor, ply: i128) -> Result<i128, Unreadable> {
    if !cursor.eat_any(&["×", "x"]) {
        return Ok(ply);
    }
    let figure = figure::read(cursor)?;
    let strands = figure.value.to_f64();
    if ply != 1 || !figure.value.is_whole() || !(1.0..=1000.0).contains(&strands) {
        return Err(Unreadable::new(figure.start, "the ply is one whole number"));
    }
    Ok(strands as i128)
}

/// The resultant tex and the uncertainty of the writing.
fn tex(figure: &Figure, number: Ratio, ply: i128, system: System) -> Result<(f64, f64), Unreadable> {
    let large = || figure::too_large(figure.start);
    let step = if figure.bare.is_some() { Some(Ratio::ONE) } else { figure.step.of_unit(false) };
    let step = step.ok_or_else(large)?.to_f64() / 12f64.sqrt();
    let strands = Ratio::whole(ply);
    match system {
        System::Direct(size) => {
            let value = number.times(size).and_then(|tex| tex.times(strands)).ok_or_else(large)?;
            Ok((value.to_f64(), step * size.to_f64() * ply as f64))
        }
        System::Count(_) if number.is_zero() => {
            Err(Unreadable::new(figure.start, "a yarn count of nothing has no tex"))
        }
        System::Count(size) => {
            let value = size.over(number).and_then(|tex| tex.times(strands)).ok_or_else(large)?.to_f64();
            Ok((value, value * step / number.to_f64()))
        }
    }
}

fn no_system(cursor: &Cursor, figure: &Figure) -> Unreadable {
    let mut here = *cursor;
    here.skip_blanks();
    let known = "`tex`, `dtex`, `den`, `Ne`, `NeL`, `NeK`, `Nm`, `lea`";
    let (why, proposal) = match (here.word(), figure.bare) {
        ("", Some(_)) => ("the yarn number has no system".to_string(), " Ne"),
        ("", None) => ("the yarn number has no system".to_string(), " tex"),
        (word, _) => (format!("`{word}` is no yarn number system known here"), ""),
    };
    let refusal = Unreadable::new(here.at, format!("{why}: use {known}"));
    if proposal.is_empty() { refusal } else { refusal.nearest(format!("{}{proposal}", cursor.text.trim_end())) }
}
