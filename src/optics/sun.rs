//! Where the sun stood: height and direction for a place and a moment, and the hours of a day.
//!
//! The low-accuracy solar coordinates of Meeus, *Astronomical Algorithms*, chapter 25 (the formulas of the NOAA solar
//! calculator), with parallax added. Against the solar position algorithm of NREL/TP-560-34302 they stay within 0.01° in
//! height for the years 1950 to 2050 and 0.02° for 1900 to 2100.

use std::ops::RangeInclusive;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;

use super::Place;

/// The height of the sun's centre, in degrees without refraction, at which its upper edge rises or sets: 34′ of
/// refraction and 16′ of half breadth.
pub const HORIZON: f64 = -0.833;

/// Below this height daylight turns warm and its shadows long; photography by daylight is common to stop (common
/// practice, no source).
pub const LOW: f64 = 10.0;

/// The years for which the formulas are used. Before and after, the length of the day itself drifts.
pub const USEFUL_YEARS: RangeInclusive<i16> = 1800..=2200;

/// Where the sun stands, in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// Height of the centre above the horizon, without refraction; negative below.
    pub height: f64,
    /// Height as seen through ordinary air at the ground; the same as `height` well below the horizon.
    pub apparent: f64,
    /// Direction from north by east: 90 is east, 180 south.
    pub azimuth: f64,
}

/// When the sun passes a height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crossing {
    /// At this moment, to about a minute (more near the poles, where the sun moves along the horizon).
    At(Timestamp),
    /// It stays above all day.
    StaysAbove,
    /// It stays below all day.
    StaysBelow,
}

/// The hours of one day at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunDay {
    /// The upper edge rises.
    pub sunrise: Crossing,
    /// The sun passes [`LOW`] upwards.
    pub high_from: Crossing,
    /// The sun is highest.
    pub noon: Timestamp,
    /// Its height then.
    pub noon_height: f64,
    /// The sun falls below [`LOW`]: the end of useful daylight.
    pub high_to: Crossing,
    /// The upper edge sets.
    pub sunset: Crossing,
}

/// Where the sun stands above a place at a moment.
pub fn position(place: Place, at: Timestamp) -> Position {
    let sun = Sun::at(seconds(at));
    let (sin, cos) = place.latitude().to_radians().sin_cos();
    let hour = sun.hour_angle(place, seconds(at)).to_radians();
    let height = (sin * sun.declination.sin() + cos * sun.declination.cos() * hour.cos()).clamp(-1.0, 1.0).asin();
    // From south, westwards; turned to run from north.
    let azimuth = hour.sin().atan2(hour.cos() * sin - sun.declination.tan() * cos).to_degrees() + 180.0;
    // The sun is 8.794″ from where the earth's centre would see it, at the horizon.
    let height = height.to_degrees() - 8.794 / 3600.0 * height.cos();
    Position { height, apparent: height + refraction(height), azimuth: azimuth.rem_euclid(360.0) }
}

/// The hours of a civil day. `offset` is that of the clocks from UTC; without one, the day is the one about the sun's own
/// noon. None outside [`USEFUL_YEARS`].
pub fn sun_day(place: Place, date: Date, offset: Option<Offset>) -> Option<SunDay> {
    if !USEFUL_YEARS.contains(&date.year()) {
        return None;
    }
    let clock = offset.map_or(place.longitude() * 240.0, |o| f64::from(o.seconds()));
    let midday = Offset::UTC.to_timestamp(date.at(12, 0, 0, 0)).ok()?;
    // The noon nearest to midday by the clock.
    let noon = noon(place, seconds(midday) - clock);
    let cross = |height: f64, side: f64| crossing(place, noon, height, side);
    Some(SunDay {
        sunrise: cross(HORIZON, -1.0),
        high_from: cross(LOW, -1.0),
        noon: timestamp(noon),
        noon_height: position(place, timestamp(noon)).height,
        high_to: cross(LOW, 1.0),
        sunset: cross(HORIZON, 1.0),
    })
}

/// The point of the compass, one of sixteen, as a word for a sentence: `south-west`.
pub fn compass(azimuth: f64) -> &'static str {
    const POINTS: [&str; 16] = [
        "north",
        "north-north-east",
        "north-east",
        "east-north-east",
        "east",
        "east-south-east",
        "south-east",
        "south-south-east",
        "south",
        "south-south-west",
        "south-west",
        "west-south-west",
        "west",
        "west-north-west",
        "north-west",
        "north-north-west",
    ];
    let point = (azimuth / 22.5).round().rem_euclid(16.0) as usize;
    POINTS.get(point).copied().unwrap_or("north")
}

fn seconds(at: Timestamp) -> f64 {
    at.as_second() as f64 + f64::from(at.subsec_nanosecond()) * 1e-9
}

fn timestamp(seconds: f64) -> Timestamp {
    Timestamp::from_second(seconds.round() as i64).unwrap_or(Timestamp::UNIX_EPOCH)
}

/// The sun among the stars at one moment.
#[derive(Debug, Clone, Copy)]
struct Sun {
    /// Declination in radians.
    declination: f64,
    /// True sun less mean sun, in degrees of hour angle.
    equation: f64,
}

impl Sun {
    /// At seconds from 1970 in UTC. Equation numbers are those of Meeus, chapters 22, 25 and 28.
    fn at(seconds: f64) -> Sun {
        // (25.1) Julian centuries from J2000.0; the 64 to 72 s between UTC and dynamical time are put in as 69.
        let t = ((seconds + 69.0) / 86400.0 - 10957.5) / 36525.0;
        let rad = f64::to_radians;
        // (25.2)-(25.4) mean longitude, mean anomaly, eccentricity
        let l0 = 280.466_46 + t * (36_000.769_83 + t * 0.000_303_2);
        let m = rad(357.529_11 + t * (35_999.050_29 - t * 0.000_153_7));
        let e = 0.016_708_634 - t * (0.000_042_037 + t * 0.000_000_126_7);
        // equation of the centre
        let centre = m.sin() * (1.914_602 - t * (0.004_817 + t * 0.000_014))
            + (2.0 * m).sin() * (0.019_993 - t * 0.000_101)
            + (3.0 * m).sin() * 0.000_289;
        // apparent longitude: aberration and the chief term of nutation
        let node = rad(125.04 - 1_934.136 * t);
        let longitude = rad(l0 + centre - 0.005_69 - 0.004_78 * node.sin());
        // (22.2) obliquity, with its chief term of nutation
        let tilt = 23.439_291_1 - t * (0.013_004_2 + t * (0.000_000_16 - t * 0.000_000_504));
        let tilt = rad(tilt + 0.002_56 * node.cos());
        // (25.7)
        let declination = (tilt.sin() * longitude.sin()).asin();
        // (28.3)
        let y = (tilt / 2.0).tan().powi(2);
        let l0 = rad(l0);
        let equation = y * (2.0 * l0).sin() - 2.0 * e * m.sin() + 4.0 * e * y * m.sin() * (2.0 * l0).cos()
            - 0.5 * y * y * (4.0 * l0).sin()
            - 1.25 * e * e * (2.0 * m).sin();
        Sun { declination, equation: equation.to_degrees() }
    }

    /// Hour angle at a place, in degrees from −180 to 180; 0 at noon.
    fn hour_angle(self, place: Place, seconds: f64) -> f64 {
        let angle = seconds / 240.0 + self.equation + place.longitude() - 180.0;
        (angle + 180.0).rem_euclid(360.0) - 180.0
    }
}

/// The noon nearest to a moment, in seconds from 1970.
fn noon(place: Place, near: f64) -> f64 {
    (0..3).fold(near, |at, _| at - Sun::at(at).hour_angle(place, at) * 240.0)
}

/// When the sun passes `height` before (`side` −1) or after (1) a noon.
fn crossing(place: Place, noon: f64, height: f64, side: f64) -> Crossing {
    let (sin, cos) = place.latitude().to_radians().sin_cos();
    let mut at = noon;
    for _ in 0..5 {
        let sun = Sun::at(at);
        let part = height.to_radians().sin() - sin * sun.declination.sin();
        let reach = cos * sun.declination.cos();
        if part >= reach {
            return Crossing::StaysBelow;
        }
        if part <= -reach {
            return Crossing::StaysAbove;
        }
        let wanted = side * (part / reach).acos().to_degrees();
        // The hour angle now, counted from this noon without a jump at midnight.
        let now = (at - noon) / 240.0 + sun.equation - Sun::at(noon).equation;
        at += (wanted - now) * 240.0;
    }
    Crossing::At(timestamp(at))
}

/// What ordinary air (1010 hPa, 10 °C) lifts the sun by, in degrees (Sæmundsson 1986, as in Meeus 16.4); nothing once it
/// is below the horizon for good.
fn refraction(height: f64) -> f64 {
    if height < -1.0 {
        return 0.0;
    }
    1.02 / (height + 10.3 / (height + 5.11)).to_radians().tan() / 60.0
}
