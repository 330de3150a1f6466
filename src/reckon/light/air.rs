//! Air, `20 °C 55 %`: its dew point and the water in it.

use crate::measure::cursor::Cursor;
use crate::measure::{Kind, Quantity, Unreadable, figure, units};
use crate::optics::Air;
use crate::reckon::Answer;

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
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
