//! When a piece is due to be looked at again: by its stability, the hazards recorded and the day it was last examined.

use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;

use crate::vocabulary::{Relation, Scheme, TermId, Vocabulary};

/// What every interval rests on.
pub const BASIS: &str = "common practice, no source";

/// After how many months a piece is looked at again. The shortest that applies holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Intervals {
    /// In active change.
    pub active_change: u16,
    /// At risk.
    pub at_risk: u16,
    /// Stable.
    pub stable: u16,
    /// Stability not recorded.
    pub not_recorded: u16,
    /// A hazard is recorded.
    pub hazard: u16,
    /// A hazard is recorded that grows by itself: plastic or glass that breaks down, mould, insects.
    pub growing: u16,
}

/// The program's own (common practice, no source).
impl Default for Intervals {
    fn default() -> Self {
        Self { active_change: 6, at_risk: 24, stable: 60, not_recorded: 12, hazard: 24, growing: 6 }
    }
}

impl Intervals {
    /// The longest, in months.
    pub const MOST: u16 = 1200;

    /// Each interval by its word, with the words that name it, the shortest by default first.
    pub fn each(&mut self) -> [(&'static str, &'static str, &mut u16); 6] {
        [
            ("active_change", "in active change", &mut self.active_change),
            ("growing", "hazard that grows by itself: plastic, glass disease, mould, insects", &mut self.growing),
            ("not_recorded", "stability not recorded", &mut self.not_recorded),
            ("at_risk", "at risk", &mut self.at_risk),
            ("hazard", "any other hazard", &mut self.hazard),
            ("stable", "stable", &mut self.stable),
        ]
    }

    /// Each interval with the words that name it, in the same order.
    pub fn named(mut self) -> [(&'static str, u16); 6] {
        self.each().map(|(_, words, months)| (words, *months))
    }

    /// Reads a number of months.
    ///
    /// # Errors
    /// What is asked for, if this is none.
    pub fn months(text: &str) -> Result<u16, String> {
        let months = text.trim().parse().ok().filter(|months| (1..=Self::MOST).contains(months));
        months.ok_or_else(|| format!("`{text}` is no number of months; it is a whole number from 1 to {}", Self::MOST))
    }
}

/// What is known of one piece that bears on when it is due.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Standing {
    /// Accession number.
    pub number: String,
    /// What it is.
    pub object_name: String,
    /// Title, where it has one.
    pub title: Option<String>,
    /// Where it lies.
    pub location: Option<String>,
    /// Day of the last examination; none if it was never examined.
    pub examined: Option<Date>,
    /// The latest grade, in a word.
    pub grade: Option<String>,
    /// The latest stability, in a word.
    pub stability: Option<String>,
    /// What asks for a visit as if the piece were in active change, in words: `active damage, shattering`, `grade
    /// unstable`, `urgency now`; none if nothing does.
    pub pressing: Option<String>,
    /// Hazards recorded.
    pub hazards: Vec<TermId>,
}

impl Standing {
    /// Whether the piece lies at a place: whether its location holds these words, in any case. Every piece lies at none.
    pub fn lies_at(&self, place: Option<&str>) -> bool {
        let Some(place) = place.map(str::trim).filter(|p| !p.is_empty()) else { return true };
        self.location.as_ref().is_some_and(|l| l.to_lowercase().contains(&place.to_lowercase()))
    }
}

/// How often a damage is recorded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DamageCount {
    /// The damage, in a word.
    pub damage: String,
    /// Notes that stand: the latest of each chain, what is gone left out.
    pub notes: usize,
    /// Pieces that have one.
    pub pieces: usize,
}

/// What the survey of the collection rests on.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Survey {
    /// Each piece that can be looked at, in the order of the numbers.
    pub standings: Vec<Standing>,
    /// Damage across them, the most frequent first.
    pub damages: Vec<DamageCount>,
    /// Patterns and pictures, which have no condition of their own.
    pub left_out: usize,
}

/// When a piece is due, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// The day; none for a piece that was never examined, which is due at once.
    pub on: Option<Date>,
    /// `at risk: 24 months`.
    pub because: String,
}

impl Due {
    /// Whether it is due by a day.
    pub fn by(&self, day: Date) -> bool {
        self.on.is_none_or(|on| on <= day)
    }
}

/// The hazards that grow by themselves, with all kinds of each.
const GROWING: [&str; 4] = ["plastic breakdown", "glass disease", "mould spores", "live insects"];

/// When a piece is due to be looked at again.
pub fn due(standing: &Standing, intervals: &Intervals, vocabulary: &Vocabulary) -> Due {
    let Some(examined) = standing.examined else {
        return Due { on: None, because: "never examined".into() };
    };
    let by_stability = match standing.stability.as_deref() {
        Some("active change") => ("in active change", intervals.active_change),
        Some("at risk") => ("at risk", intervals.at_risk),
        Some("stable") => ("stable", intervals.stable),
        Some(_) | None => ("stability not recorded", intervals.not_recorded),
    };
    let grows = |hazard: &&TermId| {
        GROWING.iter().any(|name| {
            let wide = TermId::new(Scheme::Hazard, name);
            matches!(vocabulary.relation(hazard, &wide), Relation::Same | Relation::Narrower)
        })
    };
    let growing = standing.hazards.iter().find(grows).map(|h| (h.name(), intervals.growing));
    let hazard = standing.hazards.first().map(|h| (h.name(), intervals.hazard));
    let pressing = standing.pressing.as_deref().map(|why| (why, intervals.active_change));
    let all = [pressing, Some(by_stability), growing, hazard];
    let (why, months) = all.into_iter().flatten().min_by_key(|(_, months)| *months).unwrap_or(by_stability);
    Due {
        on: Some(examined.saturating_add(i32::from(months).months())),
        because: format!("{why}: {months} month{}", if months == 1 { "" } else { "s" }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_shortest_interval_that_applies_holds() {
        let last = Some(date(2024, 1, 31));
        let rows: [(Option<Date>, Option<&str>, &[&str], Option<Date>, &str); 10] = [
            (None, None, &[], None, "never examined"),
            (None, Some("stable"), &["mercury"], None, "never examined"),
            (last, None, &[], Some(date(2025, 1, 31)), "stability not recorded: 12 months"),
            (last, Some("of our own"), &[], Some(date(2025, 1, 31)), "stability not recorded: 12 months"),
            (last, Some("stable"), &[], Some(date(2029, 1, 31)), "stable: 60 months"),
            (last, Some("at risk"), &[], Some(date(2026, 1, 31)), "at risk: 24 months"),
            // The month has no 31st day.
            (
                Some(date(2023, 8, 31)),
                Some("active change"),
                &[],
                Some(date(2024, 2, 29)),
                "in active change: 6 months",
            ),
            (last, Some("stable"), &["mercury"], Some(date(2026, 1, 31)), "mercury: 24 months"),
            (
                last,
                Some("stable"),
                &["mercury", "cellulose nitrate"],
                Some(date(2024, 7, 31)),
                "cellulose nitrate: 6 months",
            ),
            (last, Some("active change"), &["mercury"], Some(date(2024, 7, 31)), "in active change: 6 months"),
        ];
        for (examined, stability, hazards, on, because) in rows {
            let standing = Standing {
                examined,
                stability: stability.map(str::to_owned),
                hazards: hazards.iter().map(|h| TermId::new(Scheme::Hazard, h)).collect(),
                ..Standing::default()
            };
            let found = due(&standing, &Intervals::default(), Vocabulary::shipped());
            assert_eq!((found.on, found.because.as_str()), (on, because), "{standing:?}");
        }
    }

    #[test]
    fn what_presses_is_looked_at_as_if_it_were_changing() {
        let standing = Standing {
            examined: Some(date(2024, 1, 31)),
            stability: Some("stable".into()),
            pressing: Some("active damage, shattering".into()),
            ..Standing::default()
        };
        let found = due(&standing, &Intervals::default(), Vocabulary::shipped());
        assert_eq!(
            (found.on, found.because.as_str()),
            (Some(date(2024, 7, 31)), "active damage, shattering: 6 months")
        );
    }

    #[test]
    fn a_piece_is_due_on_its_day_and_one_never_examined_always() {
        let due = |on| Due { on, because: String::new() };
        assert!(due(None).by(date(1900, 1, 1)));
        assert!(due(Some(date(2025, 1, 31))).by(date(2025, 1, 31)));
        assert!(!due(Some(date(2025, 1, 31))).by(date(2025, 1, 30)));
        // No day lies beyond the calendar.
        let late = Standing { examined: Some(Date::MAX), ..Standing::default() };
        assert_eq!(super::due(&late, &Intervals::default(), Vocabulary::shipped()).on, Some(Date::MAX));
    }
}
