//! `dimity convert sun`: where the sun stood at a place and moment, or when it rose, was highest and set on a day.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::Offset;
use serde_json::Value;

use super::Answer;
use crate::measure::Unreadable;
use crate::measure::cursor::Cursor;
use crate::optics::{Crossing, LOW, Place, Position, USEFUL_YEARS, compass, offset, position, sun_day};

/// What a refusal shows as a mend.
const EXAMPLE: &str = "51.5 N 0.13 W 2026-01-12 15:30 +00:00";

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let mut cursor = Cursor::new(line);
    let place = Place::read(&mut cursor)?;
    cursor.eat_any(&[",", ";", "on"]);
    let when = when(&cursor)?;
    if !USEFUL_YEARS.contains(&when.date.year()) {
        let (first, last) = USEFUL_YEARS.into_inner();
        return Err(Unreadable::new(when.at, format!("the sun is reckoned for the years {first} to {last}")));
    }
    match (when.time, when.offset) {
        (None, offset) => day(place, when.date, offset)
            .ok_or_else(|| Unreadable::new(when.at, format!("this day is out of reach; write `{EXAMPLE}`"))),
        (Some(time), Some(offset)) => {
            let local = when.date.to_datetime(time);
            let at = offset.to_timestamp(local).map_err(|e| Unreadable::new(when.at, e.to_string()))?;
            Ok(moment(place, local, offset, at))
        }
        (Some(_), None) => Err(Unreadable::new(
            line.trim_end().len(),
            "the time has no offset from UTC, without which the sun could stand anywhere",
        )
        .nearest(format!("{} +00:00", line.trim()))),
    }
}

/// What was written after the place.
#[derive(Debug, Clone, Copy)]
struct When {
    at: usize,
    date: Date,
    time: Option<Time>,
    offset: Option<Offset>,
}

fn when(cursor: &Cursor) -> Result<When, Unreadable> {
    let mut here = *cursor;
    here.skip_blanks();
    let (mut at, rest) = (here.at, here.rest().trim_end());
    let missing = || Unreadable::new(here.at, format!("a day is wanted after the place; write `{EXAMPLE}`"));
    let mut found: Option<When> = None;
    // A date and a time may be joined by T, as computers write them; an offset may lean on its time.
    for word in rest.split([' ', '\t', '\u{a0}', ',']).flat_map(dated).flat_map(parted) {
        let word_at = at + rest[at - here.at..].find(word).unwrap_or(0);
        at = word_at + word.len();
        if word.is_empty() || matches!(word, "at" | "on") {
            continue;
        }
        let refuse = |why: String| Err(Unreadable::new(word_at, why));
        match found.as_mut() {
            None => match word.parse::<Date>() {
                Ok(date) => found = Some(When { at: word_at, date, time: None, offset: None }),
                Err(_) => return refuse(format!("`{word}` is no day; write it as `2026-01-12`")),
            },
            Some(when) => match (word.parse::<Time>(), offset(word)) {
                (_, Some(offset)) if when.offset.is_none() => when.offset = Some(offset),
                (Ok(time), None) if when.time.is_none() && word.contains(':') => when.time = Some(time),
                _ => {
                    return refuse(format!(
                        "`{word}` is neither a time of day nor an offset from UTC; write `{EXAMPLE}`"
                    ));
                }
            },
        }
    }
    found.ok_or_else(missing)
}

/// A word, with a time that is joined to its date parted from it.
fn dated(word: &str) -> impl Iterator<Item = &str> {
    let joined = word.get(10..11).is_some_and(|t| t.eq_ignore_ascii_case("t"));
    let (date, time) = if joined { (&word[..10], &word[11..]) } else { (word, "") };
    [date, time].into_iter()
}

/// A word, with an offset that leans on its time parted from it: `15:30+01:00`, `15:30Z`.
fn parted(word: &str) -> impl Iterator<Item = &str> {
    let colon = word.find(':').unwrap_or(word.len());
    let lean = word[colon..].find(['+', '-', '−', 'Z', 'z']).map_or(word.len(), |i| colon + i);
    let starts = word.starts_with(['+', '-', '−']) || word.get(..3).is_some_and(|w| offset(w).is_some());
    let (time, zone) = if starts { (word, "") } else { word.split_at(lean) };
    [time, zone].into_iter().filter(|w| !w.is_empty())
}

fn moment(place: Place, local: DateTime, offset: Offset, at: Timestamp) -> Answer {
    let sun = position(place, at);
    let Position { height, apparent, azimuth } = sun;
    let side = if height < 0.0 { "below" } else { "above" };
    let light = match height {
        h if h < crate::optics::HORIZON => "; it has set",
        h if h < LOW => "; low: warm light and long shadows",
        _ => "",
    };
    let text = format!(
        "sun {:.1}° {side} the horizon, azimuth {azimuth:.0}° ({}){light}; {local} {offset} at {place}",
        height.abs(),
        compass(azimuth)
    );
    Answer::new(text)
        .with("height_deg", height)
        .with("apparent_height_deg", apparent)
        .with("azimuth_deg", azimuth)
        .with("direction", compass(azimuth))
        .with("utc", at.to_string())
}

fn day(place: Place, date: Date, offset: Option<Offset>) -> Option<Answer> {
    let sun = sun_day(place, date, offset)?;
    let shown = offset.unwrap_or(Offset::UTC);
    // To the nearest minute: the formulas are no finer, and the air moves a sunset by as much.
    let clock = |at: Timestamp| {
        let at = Timestamp::from_second((at.as_second() + 30).div_euclid(60) * 60).unwrap_or(at);
        let local = shown.to_datetime(at);
        let day = if local.date() == date { String::new() } else { format!("{} ", local.date()) };
        format!("{day}{:02}:{:02}", local.hour(), local.minute())
    };
    let when = |verb: &str, crossing: Crossing, above: &str, below: &str| match crossing {
        Crossing::At(at) => format!("{verb} {}", clock(at)),
        Crossing::StaysAbove => above.to_owned(),
        Crossing::StaysBelow => below.to_owned(),
    };
    let rise = when("sunrise", sun.sunrise, "the sun does not set", "the sun does not rise");
    let set = when("sunset", sun.sunset, "", "");
    let end = when("useful daylight ends about", sun.high_to, "", "");
    let end = match sun.high_to {
        Crossing::At(_) => format!("{end}, when the sun falls below {LOW}° (common practice)"),
        Crossing::StaysAbove => format!("it stays above {LOW}° all day"),
        Crossing::StaysBelow => format!("it does not reach {LOW}°: low, warm light all day"),
    };
    let from = when(&format!("above {LOW}° from"), sun.high_from, "", "");
    let noon = format!("highest {} at {:.1}°", clock(sun.noon), sun.noon_height);
    let parts: Vec<String> = [rise, from, noon, end, set].into_iter().filter(|p| !p.is_empty()).collect();
    let zone = if shown == Offset::UTC { "UTC".to_owned() } else { format!("UTC{shown}") };
    let text = format!("{}; {date} at {place}, times in {zone}", parts.join("; "));
    let stamp = |crossing| match crossing {
        Crossing::At(at) => Value::from(at.display_with_offset(shown).to_string()),
        _ => Value::Null,
    };
    Some(
        Answer::new(text)
            .with("sunrise", stamp(sun.sunrise))
            .with("above_10_deg_from", stamp(sun.high_from))
            .with("noon", stamp(Crossing::At(sun.noon)))
            .with("noon_height_deg", sun.noon_height)
            .with("above_10_deg_to", stamp(sun.high_to))
            .with("sunset", stamp(sun.sunset)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sun_is_answered_in_one_line() {
        let london = "sun 4.7° above the horizon, azimuth 226° (south-west); low: warm light and long shadows; \
                      2026-01-12T15:30:00 +00 at 51.5° N, 0.13° W";
        let hours = "sunrise 08:02; above 10° from 09:41; highest 12:09 at 16.9°; useful daylight ends about 14:37, when \
                     the sun falls below 10° (common practice); sunset 16:16; 2026-01-12 at 51.5° N, 0.13° W, times in UTC";
        let cases = [
            ("51.5 N 0.13 W 2026-01-12 15:30 +00:00", london),
            ("51.5, -0.13, 2026-01-12T15:30Z", london),
            ("51.5 N 0.13 W on 2026-01-12 at 15:30 UTC", london),
            ("51.5 N 0.13 W 2026-01-12T15:30+00:00", london),
            ("51.5 N 0.13 W 2026-01-12", hours),
            ("51.5 N 0.13 W 2026-01-12 Z", hours),
            (
                "69.65 N 18.96 E 2026-12-21 +01:00",
                "the sun does not rise; highest 11:42 at -3.1°; it does not reach 10°: low, warm light all day; \
                 2026-12-21 at 69.65° N, 18.96° E, times in UTC+01",
            ),
            (
                "69.65 N 18.96 E 2026-06-21 +02:00",
                "the sun does not set; above 10° from 04:11; highest 12:46 at 43.8°; useful daylight ends about 21:21, \
                 when the sun falls below 10° (common practice); 2026-06-21 at 69.65° N, 18.96° E, times in UTC+02",
            ),
        ];
        for (line, wanted) in cases {
            assert_eq!(answer(line).map(|a| a.text).map_err(|e| e.to_string()).as_deref(), Ok(wanted), "{line}");
        }
    }

    #[test]
    fn what_cannot_be_read_says_where_and_how_to_mend_it() {
        let cases = [
            ("51.5 N 0.13 W", 13, "a day is wanted after the place; write `51.5 N 0.13 W 2026-01-12 15:30 +00:00`"),
            ("51.5 N 0.13 W tomorrow", 14, "`tomorrow` is no day; write it as `2026-01-12`"),
            ("51.5 N 0.13 W 2026-02-30", 14, "`2026-02-30` is no day; write it as `2026-01-12`"),
            (
                "51.5 N 0.13 W 2026-01-12 noon",
                25,
                "`noon` is neither a time of day nor an offset from UTC; write `51.5 N 0.13 W 2026-01-12 15:30 +00:00`",
            ),
            (
                "51.5 N 0.13 W 2026-01-12 15:30 +01:00 CET",
                38,
                "`CET` is neither a time of day nor an offset from UTC; write `51.5 N 0.13 W 2026-01-12 15:30 +00:00`",
            ),
            ("51.5 N 0.13 W 1492-01-12", 14, "the sun is reckoned for the years 1800 to 2200"),
            ("2026-01-12", 0, "a latitude of 2026° is out of reason: it ends at 90°"),
        ];
        for (line, at, why) in cases {
            let found = answer(line).expect_err(line);
            assert_eq!((found.at, found.why.as_str()), (at, why), "{line}");
        }
        let found = answer("51.5 N 0.13 W 2026-01-12 15:30").expect_err("no offset");
        assert_eq!(found.nearest.as_deref(), Some("51.5 N 0.13 W 2026-01-12 15:30 +00:00"));
    }
}
