//! A place on the earth as people write it: `51.5 N 0.13 W`, `51°30′ N, 0°08′ W`, `51.5, -0.13`.

use std::fmt;

use crate::measure::Unreadable;
use crate::measure::cursor::Cursor;
use crate::measure::figure;

/// A position in degrees.
///
/// ```
/// use dimity::optics::Place;
/// let london = Place::parse("51°30′ N, 0°08′ W")?;
/// assert_eq!(london.latitude(), 51.5);
/// assert_eq!(london.to_string(), "51.5° N, 0.1333° W");
/// # Ok::<(), dimity::measure::Unreadable>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    latitude: f64,
    longitude: f64,
}

/// What a refusal shows as a mend.
const EXAMPLE: &str = "51.5 N 0.13 W";

impl Place {
    /// A place by latitude (north positive, ±90) and longitude (east positive, ±180); none outside.
    pub fn new(latitude: f64, longitude: f64) -> Option<Place> {
        let sane = latitude.abs() <= 90.0 && longitude.abs() <= 180.0;
        sane.then_some(Place { latitude, longitude })
    }

    /// Degrees north of the equator.
    pub fn latitude(self) -> f64 {
        self.latitude
    }

    /// Degrees east of Greenwich.
    pub fn longitude(self) -> f64 {
        self.longitude
    }

    /// Reads a place and nothing after it.
    ///
    /// # Errors
    /// [`Unreadable`] names the place in the text and the mend.
    pub fn parse(text: &str) -> Result<Place, Unreadable> {
        let mut cursor = Cursor::new(text);
        let place = Place::read(&mut cursor)?;
        if !cursor.at_end() {
            cursor.skip_blanks();
            let why =
                format!("`{}` is left over after the place; a place is written `{EXAMPLE}`", cursor.rest().trim());
            return Err(Unreadable::new(cursor.at, why));
        }
        Ok(place)
    }

    /// Reads the place that stands at the cursor.
    pub(crate) fn read(cursor: &mut Cursor) -> Result<Place, Unreadable> {
        cursor.skip_blanks();
        let at = cursor.at;
        let first = coordinate(cursor)?;
        cursor.eat_any(&[",", ";", "/"]);
        let second = coordinate(cursor)?;
        let (lat, lon) = match (first.axis, second.axis) {
            (Some(Axis::Latitude), Some(Axis::Longitude)) | (None, None) => (first, second),
            (Some(Axis::Longitude), Some(Axis::Latitude)) => (second, first),
            (Some(_), Some(_)) => return Err(Unreadable::new(second.at, "both figures lie on the same axis")),
            (Some(_), None) => return Err(lettered(second.at)),
            (None, Some(_)) => return Err(lettered(first.at)),
        };
        for (c, most, name) in [(lat, 90.0, "latitude"), (lon, 180.0, "longitude")] {
            if c.degrees.abs() > most {
                let why = format!("a {name} of {}° is out of reason: it ends at {most}°", c.degrees);
                return Err(Unreadable::new(c.at, why));
            }
        }
        Place::new(lat.degrees, lon.degrees).ok_or_else(|| Unreadable::new(at, "this is no place on the earth"))
    }
}

fn lettered(at: usize) -> Unreadable {
    Unreadable::new(at, format!("one figure has its letter (N, S, E, W) and this one has none; write `{EXAMPLE}`"))
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Axis {
    Latitude,
    Longitude,
}

#[derive(Debug, Clone, Copy)]
struct Coordinate {
    degrees: f64,
    axis: Option<Axis>,
    at: usize,
}

/// The letter of a hemisphere: its axis, and whether it counts negative.
fn hemisphere(cursor: &mut Cursor) -> Option<(Axis, bool)> {
    let sides: [(&[&str], Axis, bool); 4] = [
        (&["north", "N"], Axis::Latitude, false),
        (&["south", "S"], Axis::Latitude, true),
        (&["east", "E"], Axis::Longitude, false),
        (&["west", "W"], Axis::Longitude, true),
    ];
    sides.into_iter().find(|(names, ..)| cursor.eat_any(names)).map(|(_, axis, negative)| (axis, negative))
}

fn coordinate(cursor: &mut Cursor) -> Result<Coordinate, Unreadable> {
    cursor.skip_blanks();
    let at = cursor.at;
    if cursor.at_end() {
        return Err(Unreadable::new(at, format!("a place has a latitude and a longitude; write `{EXAMPLE}`")));
    }
    let before = hemisphere(cursor);
    cursor.skip_blanks();
    let sign = cursor.take(|c| matches!(c, '-' | '−' | '+'));
    let mut degrees = number(cursor)?;
    if cursor.eat_any(&["°", "º", "deg", "degrees"]) && figure::begins(cursor) {
        let mut ahead = *cursor;
        let from = ahead.at;
        let minutes = number(&mut ahead)?;
        // `51° 0.13°` begins the next figure instead.
        if ahead.eat_any(&["′", "'", "’", "min"]) {
            degrees += sixtieth(minutes, from)? / 60.0;
            *cursor = ahead;
            let mut further = ahead;
            if figure::begins(&further) {
                let from = further.at;
                let seconds = number(&mut further)?;
                if further.eat_any(&["″", "\"", "”", "''", "′′", "sec"]) {
                    degrees += sixtieth(seconds, from)? / 3600.0;
                    *cursor = further;
                }
            }
        }
    }
    // After `N 51.5` a letter belongs to the next figure.
    let side = before.or_else(|| hemisphere(cursor));
    if let (Some(sign), Some(_)) = (sign, side) {
        let why = format!("`{sign}` and a letter both tell the side; write one of them, as in `{EXAMPLE}`");
        return Err(Unreadable::new(at, why));
    }
    let negative = matches!(sign, Some('-' | '−')) || side.is_some_and(|(_, negative)| negative);
    Ok(Coordinate { degrees: if negative { -degrees } else { degrees }, axis: side.map(|(axis, _)| axis), at })
}

fn number(cursor: &mut Cursor) -> Result<f64, Unreadable> {
    Ok(figure::read(cursor)?.value.to_f64())
}

fn sixtieth(value: f64, at: usize) -> Result<f64, Unreadable> {
    if value < 60.0 { Ok(value) } else { Err(Unreadable::new(at, "minutes and seconds of arc end below 60")) }
}

impl fmt::Display for Place {
    /// Degrees with up to four decimals and letters; it reads back.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let shown = |value: f64| {
            let text = format!("{:.4}", value.abs());
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        };
        let (ns, ew) = (if self.latitude < 0.0 { 'S' } else { 'N' }, if self.longitude < 0.0 { 'W' } else { 'E' });
        write!(f, "{}° {ns}, {}° {ew}", shown(self.latitude), shown(self.longitude))
    }
}
