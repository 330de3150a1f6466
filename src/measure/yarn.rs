//! Yarn numbers as written, direct (tex, denier) and by count (Ne, NeL, NeK, Nm), with their ply. The systems and
//! their constants are in [`super::yarn_system`].
//!
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
    yarn_system::{Rule, YarnSystem},
};

/// Most strands that a fraction is taken to ply.
const MOST_PLY: i128 = 12;

/// How a yarn number was put.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Put {
    pub(crate) system: YarnSystem,
    /// Strands; 1 is a single yarn, or a resultant written as one number.
    pub(crate) ply: i128,
}

pub(crate) fn read(cursor: &mut Cursor) -> Result<Reading, Unreadable> {
    read_with(cursor).map(|(reading, _)| reading)
}

/// The resultant, and how it was put.
pub(crate) fn read_with(cursor: &mut Cursor) -> Result<(Reading, Put), Unreadable> {
    let before = YarnSystem::eat(cursor);
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
    let Some(system) = before.or_else(|| YarnSystem::eat(cursor)) else {
        return Err(no_system(&after, &first));
    };
    let factor = spread.map(|_| eat_coverage(cursor));
    let rule = system.rule();
    let (number, ply) = number_and_ply(&first, rule, cursor)?;
    let ply = times(cursor, ply)?;
    let put = Put { system, ply };
    let of = |figure: &Figure, number: Ratio| tex(figure, number, ply, rule);
    let (value, u) = of(&first, number)?;
    if let (Some(spread), Some(factor)) = (spread, factor) {
        let share = spread.value.to_f64() / factor;
        let u = match rule {
            Rule::Direct(size) => share * size.to_f64() * ply as f64,
            Rule::Count(_) => value * share / number.to_f64(),
        };
        return Ok((Reading::stated(value, u), put));
    }
    let Some(second) = second else { return Ok((Reading::plain(value, u), put)) };
    if second.value.to_f64() < first.value.to_f64() {
        return Err(backwards(cursor, first.start, first.end, second.start, second.end));
    }
    let (other, other_u) = of(&second, second.value)?;
    Ok((Reading::range(value, other, u.max(other_u)), put))
}

/// The number in the system and the ply that a fraction gives.
fn number_and_ply(figure: &Figure, rule: Rule, cursor: &Cursor) -> Result<(Ratio, i128), Unreadable> {
    let Some((above, below)) = figure.bare else { return Ok((figure.value, 1)) };
    let (ply, count) = (above.min(below), above.max(below));
    if matches!(rule, Rule::Direct(_)) {
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
fn tex(figure: &Figure, number: Ratio, ply: i128, rule: Rule) -> Result<(f64, f64), Unreadable> {
    let large = || figure::too_large(figure.start);
    let step = if figure.bare.is_some() { Some(Ratio::ONE) } else { figure.step.of_unit(false) };
    let step = step.ok_or_else(large)?.to_f64() / 12f64.sqrt();
    let strands = Ratio::whole(ply);
    match rule {
        Rule::Direct(size) => {
            let value = number.times(size).and_then(|tex| tex.times(strands)).ok_or_else(large)?;
            Ok((value.to_f64(), step * size.to_f64() * ply as f64))
        }
        Rule::Count(_) if number.is_zero() => Err(Unreadable::new(figure.start, "a yarn count of nothing has no tex")),
        Rule::Count(size) => {
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
