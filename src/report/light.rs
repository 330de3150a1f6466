//! The light of a photograph, as its camera and the sun's place in the sky suggest it, and the light a piece may have.

use super::Settings;
use super::words::{Facts, text};
use crate::optics::{Doubt, HORIZON, LOW, compass, moment, position};
use crate::record::capture::Capture;
use crate::record::photograph::Photograph;
use crate::vocabulary::{Relation, Scheme, TermId};

/// Adds to the capture data what follows from it about the light.
pub(super) fn facts(p: &Photograph, s: &Settings<'_>, facts: Facts) -> Facts {
    let (ev, light) = suggested(&p.capture);
    facts
        .may_say("EV at ISO 100", ev)
        .may_say("Light suggested by the camera", light)
        .may_say("Sun", sun(p, s).unwrap_or_default())
}

/// The exposure value, and the light that it suggests; blank where a setting is missing, the light also where the flash
/// fired or may have.
fn suggested(c: &Capture) -> (String, String) {
    let Some(shot) = c.exposure() else { return (String::new(), String::new()) };
    let ev = format!("{:.1}", shot.ev100()).replace('-', "−");
    let light = match shot.suggests(flash_fired(c), c.exposure_bias_ev) {
        Ok(light) if light.compensated != 0.0 => format!("{light}; the compensation is allowed for"),
        Ok(light) => light.to_string(),
        Err(Doubt::Flash) => String::new(),
        Err(doubt @ Doubt::FlashUnknown) => format!("not said, since {doubt}"),
    };
    (ev, light)
}

/// Whether the flash fired, if the camera says.
fn flash_fired(c: &Capture) -> Option<bool> {
    let words = text(c.flash.as_ref());
    if words.starts_with("fired") {
        Some(true)
    } else if words.starts_with("did not fire") {
        Some(false)
    } else {
        None
    }
}

/// Where the sun stood, for a photograph by daylight whose moment and place are known. The place is that of the
/// collection: the position within a file is never used.
fn sun(p: &Photograph, s: &Settings<'_>) -> Option<String> {
    let place = s.place?;
    let daylight = TermId::new(Scheme::Light, "daylight");
    let kind = s.vocabulary.relation(p.light.as_ref()?, &daylight);
    if !matches!(kind, Relation::Same | Relation::Narrower) {
        return None;
    }
    let at = moment(p.capture.taken.as_deref()?, p.capture.offset.as_deref()?)?;
    let sun = position(place, at);
    let degrees = format!("{:.0}°", sun.height.abs());
    let direction = compass(sun.azimuth);
    Some(match sun.height {
        h if h < HORIZON => format!("{degrees} below the horizon by the camera’s clock, which daylight gainsays"),
        h if h < LOW => format!("{degrees} above the horizon, in the {direction}: low, the light warm"),
        _ => format!("{degrees} above the horizon, in the {direction}"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optics::Place;
    use crate::report::Pictures;
    use crate::vocabulary::Vocabulary;

    struct Nothing;
    impl Pictures for Nothing {
        fn view(&self, _: &str) -> Option<String> {
            None
        }
        fn thumbnail(&self, _: &str) -> Option<String> {
            None
        }
    }

    fn settings(place: Option<Place>) -> Settings<'static> {
        Settings {
            vocabulary: Vocabulary::shipped(),
            printed_on: jiff::civil::date(2026, 1, 20),
            collection: "",
            place,
            units: crate::measure::System::Metric,
            pictures: &Nothing,
        }
    }

    fn shot(flash: Option<&str>) -> Capture {
        Capture {
            aperture: Some(5.6),
            shutter_s: Some(1.0 / 60.0),
            iso: Some(200),
            flash: flash.map(str::to_owned),
            ..Capture::default()
        }
    }

    #[test]
    fn light_is_suggested_unless_the_flash_fired_or_may_have() {
        let about = "about 2,400 lx, good to a factor of 2; not a measurement";
        let cases = [
            (Some("did not fire, set to never fire"), about),
            (Some("fired"), ""),
            (None, "not said, since it is not recorded whether the flash fired"),
            (Some("unfired"), "not said, since it is not recorded whether the flash fired"),
        ];
        for (flash, wanted) in cases {
            assert_eq!(suggested(&shot(flash)), ("9.9".to_owned(), wanted.to_owned()), "{flash:?}");
        }
        let brighter = Capture { exposure_bias_ev: Some(1.0), ..shot(Some("did not fire")) };
        assert_eq!(
            suggested(&brighter).1,
            "about 4,700 lx, good to a factor of 2; not a measurement; the compensation is allowed for"
        );
        for blank in [Capture { iso: None, ..shot(None) }, Capture { aperture: Some(0.0), ..shot(None) }] {
            assert_eq!(suggested(&blank), (String::new(), String::new()));
        }
    }

    #[test]
    fn the_sun_is_told_only_of_daylight_with_time_zone_and_place() {
        let place = Place::new(51.5, -0.13);
        let photograph = |light: &str, taken: &str, offset: Option<&str>| Photograph {
            light: Some(TermId::new(Scheme::Light, light)),
            capture: Capture {
                taken: Some(taken.into()),
                offset: offset.map(str::to_owned),
                has_position: true,
                ..Capture::default()
            },
            ..Photograph::default()
        };
        let low = Some("5° above the horizon, in the south-west: low, the light warm");
        let cases = [
            ("daylight", "2026-01-12T15:30:00", Some("+00:00"), place, low),
            ("daylight from a north window", "2026-01-12T16:30:00.25", Some("+01:00"), place, low),
            ("daylight", "2026-06-21T13:00:00", Some("+01:00"), place, Some("62° above the horizon, in the south")),
            (
                "daylight, overcast",
                "2026-01-12T20:00:00",
                Some("+00:00"),
                place,
                Some("34° below the horizon by the camera’s clock, which daylight gainsays"),
            ),
            ("daylight", "2026-01-12T15:30:00", None, place, None),
            ("daylight", "2026-01-12T15:30:00", Some("+00:00"), None, None),
            ("LED panel", "2026-01-12T15:30:00", Some("+00:00"), place, None),
            ("mixed light", "2026-01-12T15:30:00", Some("+00:00"), place, None),
            ("daylight", "soon", Some("+00:00"), place, None),
        ];
        for (light, taken, offset, place, wanted) in cases {
            let found = sun(&photograph(light, taken, offset), &settings(place));
            assert_eq!(found.as_deref(), wanted, "{light} {taken} {offset:?}");
        }
    }
}
