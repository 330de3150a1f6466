//! Exposure, sun, doses and air against published values and libraries.

use dimity::dating::Conventions;
use dimity::optics::{
    Air, BLUE_WOOL, Crossing, Dose, Doubt, Exposure, HORIZON, LOW, Place, Responsivity, SunDay, compass, position,
    sun_day,
};
use dimity::reckon::Calculator;
use jiff::Timestamp;
use jiff::civil::date;
use jiff::tz::Offset;
use proptest::prelude::*;

use super::table::{Row, rows};

#[test]
fn exposure_values_and_the_light_they_imply() {
    for row in rows("optics_exposure.csv") {
        let shot = Exposure::new(row.number("N"), row.number("t_s"), row.number("ISO")).expect("settings");
        row.near("EV", shot.ev(), row.number("EV"), 1e-9);
        for column in ["EV100", "second_EV100"] {
            row.near(column, shot.ev100(), row.number(column), 1e-9);
        }
        for (column, found) in [
            ("lux_C250", shot.illuminance()),
            ("second_lux", shot.illuminance()),
            ("cd_m2_K12.5", shot.luminance()),
            ("second_cd_m2", shot.luminance()),
        ] {
            row.near(column, found / row.number(column), 1.0, 1e-9);
        }
    }
}

#[test]
fn a_flash_silences_the_light_and_a_compensation_is_allowed_for() {
    let shot = Exposure::new(5.6, 1.0 / 60.0, 200.0).expect("settings");
    assert_eq!(shot.suggests(Some(true), None), Err(Doubt::Flash));
    assert_eq!(shot.suggests(None, None), Err(Doubt::FlashUnknown));
    let plain = shot.suggests(Some(false), None).expect("light");
    let lighter = shot.suggests(Some(false), Some(1.0)).expect("light");
    assert!((lighter.lux / plain.lux - 2.0).abs() < 1e-12, "one EV lighter was set for half the light there was");
    assert!((lighter.ev100 - plain.ev100 - 1.0).abs() < 1e-12 && plain.compensated == 0.0);
    assert_eq!(shot.suggests(Some(false), Some(f64::NAN)), Ok(plain));
    for (n, t, iso) in
        [(0.0, 0.01, 100.0), (8.0, 0.0, 100.0), (8.0, 0.01, 0.0), (f64::NAN, 0.01, 100.0), (8.0, -1.0, 1.0)]
    {
        assert_eq!(Exposure::new(n, t, iso), None, "{n} {t} {iso}");
    }
}

fn place(row: &Row) -> Place {
    Place::new(row.number("lat"), row.number("lon")).expect("a place")
}

/// Degrees between two directions.
fn between(one: f64, other: f64) -> f64 {
    let d = (one - other).rem_euclid(360.0);
    d.min(360.0 - d)
}

#[test]
fn the_sun_stands_where_two_libraries_put_it() {
    for row in rows("optics_sun.csv") {
        let at: Timestamp = row.text("utc").parse().expect("a moment");
        let found = position(place(&row), at);
        let true_height = row.number("elevation_true_deg");
        row.near("height", found.height, true_height, 0.02);
        row.near("apparent height", found.apparent, row.number("elevation_apparent_deg"), 0.03);
        if let Some(astral) = row.maybe("elevation_astral_deg") {
            row.near("height by astral", found.height, astral, 0.02);
        }
        // A degree of azimuth is short near the zenith.
        let apart = between(found.azimuth, row.number("azimuth_deg")) * true_height.to_radians().cos();
        row.near("azimuth", apart, 0.0, 0.02);
    }
}

#[test]
fn in_our_own_years_the_height_is_good_to_a_hundredth() {
    for row in rows("optics_sun.csv") {
        let at: Timestamp = row.text("utc").parse().expect("a moment");
        if ("1950".."2050").contains(&&row.text("utc")[..4]) {
            row.near("height", position(place(&row), at).height, row.number("elevation_true_deg"), 0.01);
        }
    }
}

fn day(row: &Row) -> SunDay {
    sun_day(place(row), row.text("date").parse().expect("a date"), None).expect("a year within reach")
}

#[test]
fn the_hours_of_a_day_are_those_of_two_libraries() {
    for row in rows("optics_days.csv") {
        let found = day(&row);
        row.near("noon height", found.noon_height, row.number("noon_height"), 0.01);
        let cases = [
            ("sunrise", found.sunrise, 30.0),
            ("high_from", found.high_from, 30.0),
            ("high_to", found.high_to, 30.0),
            ("sunset", found.sunset, 30.0),
            ("high_to_astral", found.high_to, 30.0),
            ("sunset_astral", found.sunset, 90.0),
            ("noon_astral", Crossing::At(found.noon), 60.0),
        ];
        for (column, crossing, seconds) in cases {
            match (row.text(column), crossing) {
                ("", _) | ("above", Crossing::StaysAbove) | ("below", Crossing::StaysBelow) => {}
                (text, Crossing::At(at)) => {
                    let wanted: Timestamp = text.parse().expect("a moment");
                    // Astral counts the day in UTC, which can be the day before or after.
                    let apart = (at.as_second() - wanted.as_second()) as f64;
                    let apart =
                        if column.ends_with("astral") { apart - (apart / 86400.0).round() * 86400.0 } else { apart };
                    row.near(column, apart, 0.0, seconds);
                }
                (text, found) => panic!("{}: {column} is {found:?}, wanted {text}", row.place),
            }
        }
    }
}

#[test]
fn the_day_is_that_of_the_clock() {
    // Auckland is half a world from Greenwich: the same date begins half a day earlier.
    let auckland = Place::new(-36.8485, 174.7633).expect("a place");
    let offset = Offset::from_hours(13).expect("an offset");
    let found = sun_day(auckland, date(2026, 1, 12), Some(offset)).expect("a year within reach");
    assert_eq!(offset.to_datetime(found.noon).date(), date(2026, 1, 12));
    assert!(sun_day(auckland, date(1799, 12, 31), None).is_none());
    assert!(sun_day(auckland, date(1800, 1, 1), None).is_some());
}

#[test]
fn the_compass_has_sixteen_points() {
    let cases = [
        (0.0, "north"),
        (359.0, "north"),
        (11.0, "north"),
        (12.0, "north-north-east"),
        (221.0, "south-west"),
        (-90.0, "west"),
    ];
    for (azimuth, wanted) in cases {
        assert_eq!(compass(azimuth), wanted, "{azimuth}");
    }
}

#[test]
fn doses_and_their_shares_of_a_year() {
    for row in rows("optics_dose.csv") {
        let dose = Dose::new(row.number("lux"), row.number("hours_per_day") * row.number("days")).expect("a dose");
        row.near("dose", dose.lux_hours, row.number("dose_lxh"), 1e-6);
        for (column, group) in [("share_of_15000", Responsivity::High), ("share_of_150000", Responsivity::Medium)] {
            row.near(column, dose.years(group).expect("a limit"), row.number(column), 1e-9);
        }
        assert_eq!(dose.years(Responsivity::None), None);
        row.near("low", dose.years(Responsivity::Low).expect("a limit"), dose.lux_hours / 600_000.0, 1e-9);
    }
    assert_eq!(Dose::new(-1.0, 2.0), None);
    assert_eq!(Dose::new(f64::INFINITY, 0.0), None);
}

#[test]
fn blue_wool_is_a_range_and_the_steps_follow_each_other() {
    for (row, wool) in rows("optics_blue_wool.csv").iter().zip(&BLUE_WOOL) {
        row.near("step", f64::from(wool.step), row.number("iso_blue_wool"), 0.0);
        row.near("with UV", wool.with_uv / 1e6, row.number("Mlxh_with_UV"), 1e-9);
        row.near("without UV", wool.without_uv / 1e6, row.number("Mlxh_without_UV"), 1e-9);
        let group = if wool.step <= dimity::optics::LAST_OF_HIGH { "high" } else { row.text("responsivity") };
        assert_eq!(group, row.text("responsivity"), "{}", row.place);
    }
    let dose = |lux_hours| Dose { lux_hours };
    let cases = [
        (1e5, None, None),
        (0.22e6, Some(1), None),
        (0.3e6, Some(1), Some(1)),
        (2e6, Some(3), Some(2)),
        (2e9, Some(8), Some(8)),
    ];
    for (lux_hours, may, will) in cases {
        let found = (dose(lux_hours).may_fade(), dose(lux_hours).will_fade());
        assert_eq!(found, (may, will), "{lux_hours}");
    }
    let (least, most) = dose(15_000.0).part_of_fade(&BLUE_WOOL[0]);
    assert!((least - 0.05).abs() < 1e-9 && (most - 0.0682).abs() < 1e-4);
}

#[test]
fn dew_point_vapour_pressure_and_water_in_the_air() {
    for row in rows("optics_air.csv") {
        let temperature = row.number("T_C");
        let air = Air::new(temperature, row.number("RH_percent")).expect("air of a room");
        row.near("dew point", air.dew_point(), row.number("dewpoint_C"), 1e-4);
        row.near("vapour pressure", air.vapour_pressure(), row.number("vapour_pressure_hPa"), 1e-5);
        row.near("absolute humidity", air.absolute_humidity(), row.number("abs_humidity_g_m3"), 1e-4);
        // Below freezing the library gives the frost point.
        if row.number("dewpoint_C") > 0.0 {
            row.near("dew point by PsychroLib", air.dew_point(), row.number("psychrolib_dewpoint_C"), 0.05);
        }
    }
    for (t, h) in [(20.0, 0.0), (20.0, 100.1), (-46.0, 50.0), (61.0, 50.0), (f64::NAN, 50.0), (20.0, f64::NAN)] {
        assert_eq!(Air::new(t, h), None, "{t} {h}");
    }
    let slack = Air::new(20.0, 50.0).expect("air of a room").dew_point_slack(3.0);
    assert!((0.8..1.1).contains(&slack), "{slack}");
}

#[test]
fn a_place_is_read_as_people_write_it() {
    let cases = [
        ("51.5 N 0.13 W", (51.5, -0.13)),
        ("51.5, -0.13", (51.5, -0.13)),
        ("51.5 −0.13", (51.5, -0.13)),
        ("51°30′ N, 0°08′ W", (51.5, -8.0 / 60.0)),
        ("51° 30' 36\" N 0° 8' W", (51.51, -8.0 / 60.0)),
        ("0.13 W 51.5 N", (51.5, -0.13)),
        ("N 51.5 W 0.13", (51.5, -0.13)),
        ("N51.5, E 2", (51.5, 2.0)),
        ("33.87° south, 151.21° east", (-33.87, 151.21)),
        ("51,5 N; 0,13 W", (51.5, -0.13)),
        ("-33.8688 151.2093", (-33.8688, 151.2093)),
        ("+12 +3", (12.0, 3.0)),
        ("90 S 180 E", (-90.0, 180.0)),
        ("51° 0.13°", (51.0, 0.13)),
    ];
    for (text, (latitude, longitude)) in cases {
        let found = Place::parse(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        let near = (found.latitude() - latitude).abs() < 1e-9 && (found.longitude() - longitude).abs() < 1e-9;
        assert!(near, "{text}: {found:?}");
    }
}

#[test]
fn a_place_that_cannot_be_is_refused_where_it_goes_wrong() {
    let cases = [
        ("", 0, "a place has a latitude and a longitude; write `51.5 N 0.13 W`"),
        ("51.5 N", 6, "a place has a latitude and a longitude; write `51.5 N 0.13 W`"),
        ("91 N 0 E", 0, "a latitude of 91° is out of reason: it ends at 90°"),
        ("10 N 180.5 W", 5, "a longitude of -180.5° is out of reason: it ends at 180°"),
        ("51 N 3 S", 5, "both figures lie on the same axis"),
        ("51 N 3", 5, "one figure has its letter (N, S, E, W) and this one has none; write `51.5 N 0.13 W`"),
        ("51 3 W", 0, "one figure has its letter (N, S, E, W) and this one has none; write `51.5 N 0.13 W`"),
        ("-51 N 3 W", 0, "`-` and a letter both tell the side; write one of them, as in `51.5 N 0.13 W`"),
        ("51°61′ N 3 W", 4, "minutes and seconds of arc end below 60"),
        ("51 N 3 W Ealing", 9, "`Ealing` is left over after the place; a place is written `51.5 N 0.13 W`"),
        ("Ealing", 0, "a number is wanted where `Ealing` stands"),
    ];
    for (text, at, why) in cases {
        let found = Place::parse(text).expect_err(text);
        assert_eq!((found.at, found.why.as_str()), (at, why), "{text}");
    }
}

/// Pieces of what the calculators read, to be thrown together in any order.
const PIECES: &[&str] = &[
    "f/8",
    "f",
    "1/125",
    "s",
    "ISO",
    "iso200",
    "200",
    "+1",
    "-0.7",
    "EV",
    "flash",
    "50",
    "lx",
    "8 h",
    "45 min",
    "90 days",
    "a day",
    "×",
    "20",
    "°C",
    "°",
    "%",
    "55 %",
    "RH",
    "-",
    "−",
    "±",
    ";",
    "to",
    ",",
    "#7a5c3e",
    "#",
    "38.2",
    "-21.0",
    "L*",
    "51.5",
    "N",
    "W",
    "′",
    "″",
    "2026-01-12",
    "T",
    "15:30",
    "+01:00",
    "Z",
    "é",
    "½",
    "1e9",
    "999999999999999",
    "\u{a0}",
];

proptest! {
    #[test]
    fn no_line_of_pieces_is_a_panic_and_a_refusal_points_into_it(
        pieces in prop::collection::vec(prop::sample::select(PIECES), 0..9),
        blanks in any::<bool>(),
    ) {
        let line = pieces.join(if blanks { " " } else { "" });
        for calculator in [Calculator::Colour, Calculator::Light, Calculator::Sun] {
            match calculator.answer(&line, &Conventions::default()) {
                Ok(answer) => prop_assert!(!answer.text.contains('\n') && !answer.text.contains("NaN")),
                Err(refusal) => prop_assert!(refusal.at <= line.len() && line.is_char_boundary(refusal.at)),
            }
        }
    }

    #[test]
    fn a_printed_place_reads_back(lat in -90.0..90.0f64, lon in -180.0..180.0f64) {
        let place = Place::new(lat, lon).expect("a place");
        let read = Place::parse(&place.to_string()).expect("reads");
        prop_assert!((read.latitude() - lat).abs() < 1e-4 && (read.longitude() - lon).abs() < 1e-4);
    }

    #[test]
    fn the_sun_is_at_the_height_of_each_crossing(lat in -65.0..65.0f64, lon in -180.0..180.0f64, day in 0i64..36500) {
        let place = Place::new(lat, lon).expect("a place");
        let date = date(1950, 1, 1).saturating_add(jiff::Span::new().days(day));
        let found = sun_day(place, date, None).expect("a year within reach");
        for (crossing, height) in
            [(found.sunrise, HORIZON), (found.sunset, HORIZON), (found.high_from, LOW), (found.high_to, LOW)]
        {
            match crossing {
                Crossing::At(at) => prop_assert!((position(place, at).height - height).abs() < 0.02),
                Crossing::StaysBelow => prop_assert!(found.noon_height < height + 0.01),
                Crossing::StaysAbove => prop_assert!(lat.abs() > 60.0),
            }
        }
        if let (Crossing::At(rise), Crossing::At(set)) = (found.sunrise, found.sunset) {
            prop_assert!(rise < found.noon && found.noon < set);
        }
    }

    #[test]
    fn dew_never_lies_above_the_air(t in -45.0..60.0f64, h in 0.5..100.0f64, more in 0.0..20.0f64) {
        let air = Air::new(t, h).expect("air");
        prop_assert!(air.dew_point() <= t + 1e-9);
        let damper = Air::new(t, (h + more).min(100.0)).expect("air");
        prop_assert!(damper.dew_point() >= air.dew_point() && damper.absolute_humidity() >= air.absolute_humidity());
        prop_assert!((Air::new(t, 100.0).expect("air").dew_point() - t).abs() < 1e-9);
    }

    #[test]
    fn a_stop_is_twice_the_light(n in 1.0..32.0f64, t in 1e-4..30.0f64, iso in 25.0..25600.0f64) {
        let shot = Exposure::new(n, t, iso).expect("settings");
        let shorter = Exposure::new(n, t / 2.0, iso).expect("settings");
        prop_assert!((shorter.ev100() - shot.ev100() - 1.0).abs() < 1e-9);
        prop_assert!((shorter.illuminance() / shot.illuminance() - 2.0).abs() < 1e-9);
    }

    #[test]
    fn no_text_and_no_moment_is_a_panic(text in "\\PC{0,40}", second in -300_000_000_000i64..250_000_000_000, lat in -90.0..=90.0f64, lon in -180.0..=180.0f64, year in -9999i16..=9999) {
        let _ = Place::parse(&text);
        let place = Place::new(lat, lon).expect("a place");
        let found = position(place, Timestamp::from_second(second).expect("a moment"));
        prop_assert!((-90.1..=90.1).contains(&found.height) && (0.0..360.0).contains(&found.azimuth));
        let _ = sun_day(place, date(year, 6, 1), Some(Offset::from_hours(-12).expect("an offset")));
    }
}
