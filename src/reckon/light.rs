//! `dimity convert light`: what a camera's settings suggest, a dose of light, or air and its dew point. Which of the three
//! is meant shows in the units.

mod air;
mod dose;
mod exposure;

use super::Answer;
use crate::measure::Unreadable;

/// What can be asked, for refusals.
const ASK: &str = "write an exposure (`f/8 1/125 ISO 200`), a dose (`50 lx 8 h 90 days`) or air (`20 °C 55 %`)";

pub(super) fn answer(line: &str) -> Result<Answer, Unreadable> {
    let lower = line.to_lowercase();
    let says = |marks: &[&str]| marks.iter().any(|mark| lower.contains(mark));
    if line.trim().is_empty() {
        Err(Unreadable::new(0, format!("nothing is written; {ASK}")))
    } else if says(&["%", "per cent", "percent"]) {
        air::answer(line)
    } else if says(&["lx", "lux", "fc", "foot-candle", "footcandle"]) {
        dose::answer(line)
    } else if says(&["f/", "iso"]) || lower.trim_start().starts_with(['f', 'ƒ']) {
        exposure::answer(line)
    } else {
        Err(Unreadable::new(0, format!("neither lux, nor per cent, nor an f-number is written; {ASK}")))
    }
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
