//! An exposure, `f/8 1/125 ISO 200`, and the light that it suggests.

use crate::measure::cursor::Cursor;
use crate::measure::{Unreadable, figure};
use crate::optics::{Doubt, Exposure, FACTOR};
use crate::reckon::Answer;

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
pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
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
        .with("suggested_lux_least", light.lux / FACTOR)
        .with("suggested_lux_most", light.lux * FACTOR)
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
