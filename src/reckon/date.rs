//! `dimity convert date`: a written date as years and EDTF, with the convention that was needed.

use serde_json::{Value, json};

use super::Answer;
use crate::dating::{Conventions, Dated, Event, Interval, year_in_words};
use crate::measure::Unreadable;

pub(super) fn answer(line: &str, conventions: &Conventions) -> Result<Answer, Unreadable> {
    let (date, events) = Dated::with_events(line, conventions).map_err(|refusal| Unreadable {
        at: refusal.at,
        why: refusal.why,
        nearest: refusal.nearest,
    })?;
    let years = date.interval();
    let edtf = date.edtf.as_ref().map(|edtf| format!("EDTF {edtf}"));
    let text: Vec<String> = [Some(spoken(years)), edtf, date.remark.clone()].into_iter().flatten().collect();
    let answer = Answer::new(text.join(" · "))
        .with("earliest", date.earliest)
        .with("latest", date.latest)
        .with("edtf", date.edtf)
        .with("remark", date.remark)
        .with("events", events.iter().map(event).collect::<Vec<Value>>());
    Ok(answer)
}

/// `1755 to 1765`, `1850 or later`.
fn spoken(years: Interval) -> String {
    match (years.earliest, years.latest) {
        (Some(first), Some(last)) if first != last => format!("{} to {}", year_in_words(first), year_in_words(last)),
        _ => years.to_string(),
    }
}

fn event(event: &Event) -> Value {
    json!({
        "verb": event.verb, "as_written": event.as_written, "earliest": event.years.earliest,
        "latest": event.years.latest, "edtf": event.edtf,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_gives_years_edtf_and_the_convention() {
        let ten = Conventions { circa_years: 10, ..Conventions::default() };
        for (line, conventions, wanted) in [
            ("c. 1760", Conventions::default(), "1755 to 1765 · EDTF 1760~ · circa taken as ±5 years (CCO 4.2.3.2)"),
            ("c. 1760", ten, "1750 to 1770 · EDTF 1760~ · circa taken as ±10 years (Object ID)"),
            ("after 1850", Conventions::default(), "1851 or later · EDTF 1851/.."),
            ("300 BC", Conventions::default(), "300 BC · EDTF -0299"),
            ("undated", Conventions::default(), "no years · no date is given"),
        ] {
            assert_eq!(answer(line, &conventions).unwrap().text, wanted);
        }
        let fields = answer("designed 1912, woven c. 1914", &Conventions::default()).unwrap().fields;
        assert_eq!((&fields["earliest"], &fields["latest"]), (&1912.into(), &1919.into()));
        assert_eq!(fields["events"][1]["verb"], "woven");
        assert_eq!(fields["events"][1]["earliest"], 1909);
    }

    #[test]
    fn what_is_no_date_says_where_and_what_is_meant() {
        let refusal = answer("late 18th centruy", &Conventions::default()).unwrap_err();
        assert_eq!(refusal.nearest.as_deref(), Some("late 18th century"));
    }
}
