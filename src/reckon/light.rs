//! `dimity convert light`: what a camera's settings suggest, a dose of light, or air and its dew point. Which of the three
//! is meant shows in the units.

use super::Answer;
use crate::measure::cursor::Cursor;
use crate::measure::{Kind, Quantity, Unreadable, figure, units};
use crate::optics::{Air, BLUE_WOOL, Dose, Doubt, Exposure, LAST_OF_HIGH, Responsivity, grouped};

/// What can be asked, for refusals.
const ASK: &str = "write an exposure (`f/8 1/125 ISO 200`), a dose (`50 lx 8 h 90 days`) or air (`20 °C 55 %`)";

/// Lux in a foot-candle: lumens on a square foot.
const FOOT_CANDLE: f64 = 10.763_910_416_709_722;

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let lower = line.to_lowercase();
    let says = |marks: &[&str]| marks.iter().any(|mark| lower.contains(mark));
    if line.trim().is_empty() {
        Err(Unreadable::new(0, format!("nothing is written; {ASK}")))
    } else if says(&["%", "per cent", "percent"]) {
        air(line)
    } else if says(&["lx", "lux", "fc", "foot-candle", "footcandle"]) {
        dose(line)
    } else if says(&["f/", "iso"]) || lower.trim_start().starts_with(['f', 'ƒ']) {
        exposure(line)
    } else {
        Err(Unreadable::new(0, format!("neither lux, nor per cent, nor an f-number is written; {ASK}")))
    }
}

/// The settings found so far, each once.
#[derive(Debug, Default)]
struct Settings {
    aperture: Option<f64>,
    seconds: Option<f64>,
    iso: Option<f64>,
    bias: Option<f64>,
    flash: bool,
}

/// Settings are words between blanks, each read by itself: `8 1/125` is not eight and a bit.
fn exposure(line: &str) -> Result<Answer, Unreadable> {
    let mut found = Settings::default();
    let mut iso_next = false;
    let mut at = 0;
    for word in line.split(char::is_whitespace) {
        let start = at;
        at += word.len() + line[at + word.len()..].chars().next().map_or(0, char::len_utf8);
        let word = word.trim_end_matches([',', ';']);
        let mut cursor = Cursor { text: &line[..start + word.len()], at: start };
        if cursor.eat_any(&["flash"]) {
            found.flash = true;
        } else if cursor.eat_any(&["f/", "ƒ/", "f", "ƒ"]) {
            once(&mut found.aperture, &mut cursor, "aperture")?;
        } else if cursor.eat_any(&["iso"]) {
            cursor.eat_any(&[":"]);
            iso_next = cursor.at_end();
            if !iso_next {
                once(&mut found.iso, &mut cursor, "ISO speed")?;
            }
        } else if iso_next && figure::begins(&cursor) {
            once(&mut found.iso, &mut cursor, "ISO speed")?;
            iso_next = false;
        } else if let Some(sign) = cursor.take(|c| matches!(c, '+' | '-' | '−')) {
            once(&mut found.bias, &mut cursor, "compensation")?;
            found.bias = found.bias.map(|b| if sign == '+' { b } else { -b });
            cursor.eat_any(&["EV"]);
        } else if figure::begins(&cursor) {
            once(&mut found.seconds, &mut cursor, "exposure time")?;
            cursor.eat_any(&["s", "sec", "\"", "″"]);
        } else {
            cursor.eat_any(&["s", "sec", "second", "seconds", "EV", "at", "@"]);
        }
        if !cursor.at_end() {
            let why = format!("`{}` is no setting of an exposure; write `f/8 1/125 ISO 200`", cursor.rest());
            return Err(Unreadable::new(cursor.at, why));
        }
    }
    let missing = |what: &str| Unreadable::new(line.len(), format!("{what} is missing; write `f/8 1/125 ISO 200`"));
    let aperture = found.aperture.ok_or_else(|| missing("the aperture"))?;
    let seconds = found.seconds.ok_or_else(|| missing("the exposure time"))?;
    let iso = found.iso.ok_or_else(|| missing("the ISO speed"))?;
    let shot = Exposure::new(aperture, seconds, iso)
        .ok_or_else(|| Unreadable::new(0, "no camera has such settings; write them as `f/8 1/125 ISO 200`"))?;
    if found.flash {
        return Err(Unreadable::new(0, format!("{}; leave flash photographs out", Doubt::Flash)));
    }
    let light = shot
        .suggests(Some(false), found.bias)
        .map_err(|doubt| Unreadable::new(0, format!("{doubt}; say so with the word `flash` if it did")))?;
    let ev100 = shot.ev100();
    let allowed = if light.compensated == 0.0 {
        String::new()
    } else {
        format!(" ({:+.1} EV of compensation allowed for)", light.compensated)
    };
    let text = format!("EV {:.1}, at ISO 100 {ev100:.1}; light suggested by the camera: {light}{allowed}", shot.ev());
    Ok(Answer::new(text)
        .with("ev", shot.ev())
        .with("ev100", ev100)
        .with("suggested_lux", light.lux)
        .with("suggested_lux_least", light.lux / crate::optics::FACTOR)
        .with("suggested_lux_most", light.lux * crate::optics::FACTOR)
        .with("luminance_cd_m2", shot.luminance()))
}

/// Reads the number of a setting that may stand once.
fn once(slot: &mut Option<f64>, cursor: &mut Cursor, name: &str) -> Result<(), Unreadable> {
    let at = cursor.at;
    if slot.is_some() {
        return Err(Unreadable::new(at, format!("a second {name} stands here; write `f/8 1/125 ISO 200`")));
    }
    *slot = Some(figure::read(cursor)?.value.to_f64());
    Ok(())
}

fn dose(line: &str) -> Result<Answer, Unreadable> {
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

fn air(line: &str) -> Result<Answer, Unreadable> {
    let (temperature, rest) = one(line, 0, Kind::Temperature).or_else(|refusal| {
        // The humidity may come first.
        let (_, rest) = one(line, 0, Kind::Percent).map_err(|_| refusal)?;
        let (temperature, _) = one(line, rest, Kind::Temperature)?;
        Ok((temperature, 0))
    })?;
    let (humidity, end) = one(line, rest, Kind::Percent)?;
    let end = if rest == 0 { one(line, end, Kind::Temperature)?.1 } else { end };
    let left = line[end..].trim();
    if !left.is_empty() {
        return Err(Unreadable::new(end, format!("`{left}` is left over; air is written `20 °C 55 %`")));
    }
    let (t, h) = (temperature.value, humidity.value);
    let air = Air::new(t, h).ok_or_else(|| {
        Unreadable::new(0, "air is read from -45 to 60 °C and from above 0 to 100 % of relative humidity")
    })?;
    let slack = air.dew_point_slack(3.0);
    let text = format!(
        "dew point {:.1} °C ({slack:.1} °C either way if the humidity is good to 3 %), vapour pressure {:.1} hPa, \
         {:.1} g/m³ of water",
        air.dew_point(),
        air.vapour_pressure(),
        air.absolute_humidity()
    );
    Ok(Answer::new(text)
        .with("temperature_c", t)
        .with("humidity_percent", h)
        .with("dew_point_c", air.dew_point())
        .with("dew_point_slack_c", slack)
        .with("vapour_pressure_hpa", air.vapour_pressure())
        .with("absolute_humidity_g_m3", air.absolute_humidity()))
}

/// The quantity that begins at `from`, and where it ends, the words about it passed over.
fn one(line: &str, from: usize, kind: Kind) -> Result<(Quantity, usize), Unreadable> {
    let mut cursor = Cursor { text: line, at: from };
    while cursor.eat_any(&[",", ";", "/", "and", "at", "RH", "relative humidity", "T", "="]) {}
    cursor.skip_blanks();
    let start = cursor.at;
    cursor.eat_any(&["about", "c."]);
    cursor.skip_blanks();
    cursor.take(|c| matches!(c, '-' | '−'));
    figure::read(&mut cursor)?;
    if units::eat(&mut cursor, units::of(kind)).is_none() {
        return Err(units::complain(&cursor, kind, units::of(kind)));
    }
    let end = cursor.at;
    let quantity = Quantity::parse(kind, &line[start..end]).map_err(|mut refusal| {
        refusal.at += start;
        refusal
    })?;
    while cursor.eat_any(&["relative humidity", "RH", "r.h."]) {}
    Ok((quantity, cursor.at))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn light_and_air_are_answered_in_one_line() {
        let exposure = "EV 13.0, at ISO 100 12.0; light suggested by the camera: about 10,000 lx, good to a factor of 2; \
                        not a measurement";
        let dose = "36,000 lx h; of a year's allowance by responsivity (CIE 157:2004): high 2.4 times, medium 24 %, \
                    low 6 %; blue wool 1: 12 % to 16 % of a just visible fade (batches differ)";
        let air = "dew point 10.7 °C (0.8 °C either way if the humidity is good to 3 %), vapour pressure 12.8 hPa, \
                   9.5 g/m³ of water";
        let cases = [
            ("f/8 1/125 ISO 200", exposure),
            ("ISO200, 1/125s, f8", exposure),
            ("1/125 s at f/8 iso: 200", exposure),
            (
                "f/8 1/125 ISO 400 -1 EV",
                &exposure
                    .replace("12.0;", "11.0;")
                    .replace("about 10,000 lx", "about 2,500 lx")
                    .replace("measurement", "measurement (-1.0 EV of compensation allowed for)"),
            ),
            ("50 lx 8 h 90 days", dose),
            ("50 lux × 8 h a day × 90 days", dose),
            ("50 lx for 90 days, 8 h daily", dose),
            ("50 lx 720 h", dose),
            ("50 lx 30 days", dose),
            ("20 °C 55 %", air),
            ("20 °C, 55 % RH", air),
            ("55 % 20 °C", air),
            ("68 °F and 55 % relative humidity", air),
        ];
        for (line, wanted) in cases {
            assert_eq!(answer(line).map(|a| a.text).map_err(|e| e.to_string()).as_deref(), Ok(wanted), "{line}");
        }
    }

    #[test]
    fn large_doses_reach_further_steps_of_blue_wool() {
        let cases = [
            ("300 lx 1 h", "blue wool 1: 0.1 % to 0.14 % of a just visible fade"),
            ("250 lx 1000 h", "blue wool 1 may fade just visibly, if there is ultraviolet"),
            ("1000 lx 1000 h", "blue wool 1 to 2 fades just visibly or more (batches differ)"),
            ("1000 lx 2000 h", "blue wool 1 to 2 fades just visibly or more, to 3 with ultraviolet (batches differ)"),
            (
                "1000 lx 4000 h",
                "blue wool 1 to 3 fades just visibly or more, to 4 with ultraviolet: all that is of high",
            ),
        ];
        for (line, wanted) in cases {
            let found = answer(line).expect(line).text;
            assert!(found.contains(wanted), "{line}: {found}");
        }
        let candles = answer("5 fc 1 h").expect("reads").fields["lux_hours"].as_f64().expect("a number");
        assert!((candles - 53.8196).abs() < 1e-4, "{candles}");
    }

    #[test]
    fn what_cannot_be_read_says_where_and_how_to_mend_it() {
        let cases = [
            ("", 0, "nothing is written; write an exposure"),
            ("bright", 0, "neither lux, nor per cent, nor an f-number is written; write an exposure"),
            ("f/8 ISO 200", 11, "the exposure time is missing"),
            ("1/125 ISO 200", 13, "the aperture is missing"),
            ("f/8 1/125", 9, "the ISO speed is missing"),
            ("f/8 f/11 1/125 ISO 200", 6, "a second aperture stands here"),
            ("f/8 1/125 ISO 200 tripod", 18, "`tripod` is no setting of an exposure"),
            ("f/8 1/125 ISO 200 flash", 0, "the flash fired"),
            ("f/0 1/125 ISO 200", 0, "no camera has such settings"),
            ("50 lx", 5, "how long the light was on is missing"),
            ("50 lx 8", 5, "this number has no unit of time"),
            ("50 lx 30 h 3 days", 0, "a day has 24 hours"),
            ("50 8 h lx", 3, "`lx` is wanted here after the light"),
            ("50 lx 8 h 3 days 4 days", 16, "the days are given twice"),
            ("50 lx 8 h sharp", 10, "`sharp` does not belong to a dose"),
            ("20 °C 155 %", 0, "air is read from -45 to 60 °C"),
            ("20 °C 55 % cold", 10, "`cold` is left over"),
            ("20 55 %", 2, ""),
        ];
        for (line, at, why) in cases {
            let found = answer(line).expect_err(line);
            assert!(found.why.starts_with(why), "{line}: {found}");
            assert!(found.at.abs_diff(at) <= 1, "{line}: {} for {at}", found.at);
        }
    }
}
