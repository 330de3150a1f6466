//! A dose of light, `50 lx 8 h 90 days`, against a year's allowance and blue wool.

use crate::measure::cursor::Cursor;
use crate::measure::{Kind, Unreadable, figure, units};
use crate::optics::{BLUE_WOOL, Dose, LAST_OF_HIGH, Responsivity, grouped};
use crate::reckon::Answer;

/// Lux in a foot-candle: lumens on a square foot.
const FOOT_CANDLE: f64 = 10.763_910_416_709_722;

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let mut cursor = Cursor::new(line);
    cursor.eat_any(&["about", "c."]);
    let lux = number(&mut cursor)?;
    let lux = if cursor.eat_any(&["lx", "lux"]) {
        lux
    } else if cursor.eat_any(&["fc", "foot-candles", "foot-candle", "footcandles", "footcandle"]) {
        lux * FOOT_CANDLE
    } else {
        cursor.skip_blanks();
        let why = format!("`lx` is wanted here after the light, as in `50 lx 8 h 90 days`; found `{}`", cursor.word());
        return Err(Unreadable::new(cursor.at, why));
    };
    let (mut hours, mut days) = (None, None);
    loop {
        while cursor
            .eat_any(&["×", "x", "*", ",", "for", "at", "a day", "per day", "/day", "/ day", "/d", "daily", "on"])
        {
        }
        if !figure::begins(&cursor) {
            break;
        }
        let at = cursor.at;
        let value = number(&mut cursor)?;
        let day =
            [(&["days", "day", "d"][..], 1.0), (&["weeks", "week", "wk"], 7.0), (&["years", "year", "yr"], 365.0)];
        if let Some((_, size)) = day.iter().find(|(names, _)| cursor.eat_any(names)) {
            if days.replace(value * size).is_some() {
                return Err(Unreadable::new(at, "the days are given twice; write `50 lx 8 h 90 days`"));
            }
        } else if let Some(unit) = units::eat(&mut cursor, units::of(Kind::Duration)) {
            hours = Some(hours.unwrap_or(0.0) + value * unit.size().to_f64());
        } else {
            let why = "this number has no unit of time: write `h`, `min` or `days`, as in `50 lx 8 h 90 days`";
            return Err(Unreadable::new(at, why));
        }
    }
    if !cursor.at_end() {
        cursor.skip_blanks();
        let why = format!("`{}` does not belong to a dose; write `50 lx 8 h 90 days`", cursor.rest().trim());
        return Err(Unreadable::new(cursor.at, why));
    }
    let missing = "how long the light was on is missing; write `50 lx 8 h 90 days` or `300 lx 45 min`";
    let hours = match (hours, days) {
        (Some(h), days) if h <= 24.0 || days.is_none() => h * days.unwrap_or(1.0),
        (Some(_), _) => {
            return Err(Unreadable::new(0, "a day has 24 hours; write the hours of one day, then the days"));
        }
        (None, Some(days)) => days * 24.0,
        (None, None) => return Err(Unreadable::new(line.trim_end().len(), missing)),
    };
    let dose = Dose::new(lux, hours).ok_or_else(|| Unreadable::new(0, "such a dose is out of reason"))?;
    Ok(dose_answer(dose))
}

fn dose_answer(dose: Dose) -> Answer {
    let share = |group| dose.years(group).map_or_else(String::new, |years| format!("{group} {}", part(years)));
    let shares = [Responsivity::High, Responsivity::Medium, Responsivity::Low].map(share).join(", ");
    let text = format!("{dose}; of a year's allowance by responsivity (CIE 157:2004): {shares}; {}", wool(dose));
    let mut answer = Answer::new(text).with("lux_hours", dose.lux_hours);
    for group in Responsivity::ALL {
        if let Some(years) = dose.years(group) {
            answer = answer.with(&format!("years_{group}"), years);
        }
    }
    answer.with("blue_wool_may_fade_to_step", dose.may_fade()).with("blue_wool_fades_to_step", dose.will_fade())
}

/// `24 %`, `2.4 times`.
fn part(share: f64) -> String {
    match share {
        s if s >= 10.0 => format!("{} times", grouped(s)),
        s if s >= 1.5 => format!("{s:.1} times"),
        s if s >= 0.095 => format!("{:.0} %", s * 100.0),
        s if s > 0.0 => format!("{} %", format!("{:.2}", s * 100.0).trim_end_matches('0').trim_end_matches('.')),
        _ => "nothing".to_owned(),
    }
}

/// What the dose does to blue wool, as a range.
fn wool(dose: Dose) -> String {
    let steps = |last: u8| if last == 1 { "1".to_owned() } else { format!("1 to {last}") };
    let caution = "batches differ";
    match (dose.will_fade(), dose.may_fade()) {
        (None, None) => {
            let first = &BLUE_WOOL[0];
            let (least, most) = dose.part_of_fade(first);
            format!("blue wool 1: {} to {} of a just visible fade ({caution})", part(least), part(most))
        }
        (None, Some(may)) => {
            format!("blue wool {} may fade just visibly, if there is ultraviolet ({caution})", steps(may))
        }
        (Some(will), may) => {
            let beyond = may.filter(|m| *m > will).map_or(String::new(), |m| format!(", to {m} with ultraviolet"));
            let more = if will >= LAST_OF_HIGH { ": all that is of high responsivity" } else { "" };
            format!("blue wool {} fades just visibly or more{beyond}{more} ({caution})", steps(will))
        }
    }
}

fn number(cursor: &mut Cursor) -> Result<f64, Unreadable> {
    Ok(figure::read(cursor)?.value.to_f64())
}
