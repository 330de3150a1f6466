//! `dimity due`: which pieces are to be looked at again, and by when.

use jiff::civil::Date;
use serde_json::json;

use super::say::{count, day};
use super::{Desk, Failure};
use crate::analysis::programme::{BASIS, Due as When, Standing, due};

/// Say which pieces are due to be looked at again, the longest overdue first
///
/// A piece is due some months after its last examination: fewer if it is changing or holds a hazard, more if it is stable;
/// what was never examined is due at once. `dimity intervals` shows the months and changes them. `dimity report survey`
/// prints the list by location, to take into the store.
#[derive(Debug, clap::Args)]
pub struct Due {
    /// Due by this day; today if not given
    #[arg(long, value_name = "DAY", value_parser = day)]
    until: Option<Date>,
    /// Only where the location holds these words: `--place "bay B"`
    #[arg(long, value_name = "TEXT")]
    place: Option<String>,
}

impl Due {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let day = self.until.unwrap_or_else(|| desk.today());
        let catalogue = desk.open()?;
        let (survey, intervals) = (catalogue.survey(self.place.as_deref())?, catalogue.intervals()?);
        let with_day = survey.standings.iter().map(|s| (s, due(s, &intervals, catalogue.vocabulary())));
        let (mut list, later): (Vec<_>, Vec<_>) = with_day.partition(|(_, when)| when.by(day));
        list.sort_by_key(|(_, when)| when.on);
        for (standing, when) in &list {
            if desk.json {
                desk.out.json(&as_json(standing, when));
            }
        }
        if desk.json {
            return Ok(());
        }
        let width = |text: fn(&Standing) -> &str| list.iter().map(|(s, _)| text(s).chars().count()).max().unwrap_or(0);
        let (number, name) = (width(|s| &s.number), width(|s| &s.object_name));
        for (s, when) in &list {
            desk.out.line(format!(
                "{:10}  {:number$}  {:name$}  {}  ({})",
                when.on.map_or("now".to_owned(), |on| on.to_string()),
                s.number,
                s.object_name,
                s.location.as_deref().unwrap_or("location not recorded"),
                when.because,
            ));
        }
        let never = match list.iter().filter(|(_, when)| when.on.is_none()).count() {
            0 => String::new(),
            n => format!(", {n} of them never examined"),
        };
        desk.out.line(format!(
            "{} due by {day}{never}; {} not due yet; months between visits: {BASIS}, see \
             `dimity intervals`",
            count(list.len(), "piece"),
            later.len(),
        ));
        if survey.left_out > 0 {
            desk.out.line(match survey.left_out {
                1 => "not asked: 1 pattern or picture, which has no condition of its own".to_owned(),
                n => format!("not asked: {n} patterns or pictures, which have no condition of their own"),
            });
        }
        Ok(())
    }
}

fn as_json(s: &Standing, when: &When) -> serde_json::Value {
    json!({
        "number": s.number, "object_name": s.object_name, "title": s.title, "location": s.location,
        "examined": s.examined.map(|d| d.to_string()), "grade": s.grade, "stability": s.stability, "hazards": s.hazards,
        "due": when.on.map(|d| d.to_string()), "because": when.because,
    })
}
