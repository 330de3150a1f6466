//! The state of the whole collection in a few queries, without reading pieces whole; and the intervals of its survey.

use std::collections::{BTreeMap, HashMap, HashSet};

use rusqlite::OptionalExtension;

use super::change::Row;
use super::{Catalogue, Result};
use crate::analysis::programme::{DamageCount, Intervals, Standing, Survey};
use crate::vocabulary::TermId;

/// Only what a later record has not taken the place of.
const STANDS: &str = "o.replaced_by IS NULL AND o.withdrawn IS NULL";

/// As [`Examination::is_hearsay`](crate::record::Examination::is_hearsay): something is told, and all of it is reported.
fn hearsay() -> String {
    format!(
        "ifnull((SELECT min(o.evidence IS 'evidence/reported') FROM observation o
                  WHERE o.examination_id = e.id AND {STANDS}), 0)"
    )
}

impl Catalogue {
    /// The state of each piece, and damage across them: of the whole collection, or of the pieces whose location holds the
    /// words of `place`.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn survey(&self, place: Option<&str>) -> Result<Survey> {
        let mut survey = Survey::default();
        let mut at: HashMap<i64, usize> = HashMap::new();
        let sql = format!(
            "SELECT p.id, p.number, p.object_name, p.title,
              (SELECT m.\"to\" FROM move m WHERE m.piece_id = p.id ORDER BY m.date DESC, m.position DESC LIMIT 1),
              (SELECT max(e.date) FROM examination e WHERE e.piece_id = p.id AND {} AND NOT {}),
              p.nature IN ('nature/published pattern', 'nature/depiction')
            FROM piece p WHERE {} ORDER BY p.number_order",
            if self.knows_taking_back()? { "e.withdrawn IS NULL" } else { "1" },
            hearsay(),
            self.in_catalogue()?
        );
        let mut statement = self.db.prepare_cached(&sql)?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            let standing = Standing {
                number: r.get(1)?,
                object_name: r.get(2)?,
                title: r.get(3)?,
                location: r.get(4)?,
                examined: r.get::<_, Option<String>>(5)?.and_then(|day| day.parse().ok()),
                ..Standing::default()
            };
            match (standing.lies_at(place), r.get(6)?) {
                (false, _) => {}
                (true, true) => survey.left_out += 1,
                (true, false) => {
                    at.insert(r.get(0)?, survey.standings.len());
                    survey.standings.push(standing);
                }
            }
        }
        // Later statements take the place of earlier ones, each as far as it says something.
        let sql = format!(
            "SELECT e.piece_id, substr(g.grade, 7), substr(g.stability, 11), substr(g.urgency, 9) FROM overall g
               JOIN observation o ON o.id = g.id JOIN examination e ON e.id = o.examination_id
              WHERE {STANDS} ORDER BY e.date, e.id, o.position"
        );
        let mut statement = self.db.prepare_cached(&sql)?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            if let Some(standing) = at.get(&r.get(0)?).and_then(|i| survey.standings.get_mut(*i)) {
                let (grade, stability): (Option<String>, Option<String>) = (r.get(1)?, r.get(2)?);
                let urgent = r.get::<_, Option<String>>(3)?.as_deref() == Some("now");
                standing.pressing = match grade.as_deref() {
                    _ if urgent => Some("urgency now".into()),
                    Some("unstable") => Some("grade unstable".into()),
                    _ => None,
                };
                standing.grade = grade.or(standing.grade.take());
                standing.stability = stability.or(standing.stability.take());
            }
        }
        let sql = format!(
            "SELECT DISTINCT e.piece_id, h.hazard FROM hazard h JOIN observation o ON o.id = h.id
               JOIN examination e ON e.id = o.examination_id WHERE {STANDS} ORDER BY e.piece_id, h.hazard"
        );
        let mut statement = self.db.prepare_cached(&sql)?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            if let Some(standing) = at.get(&r.get(0)?).and_then(|i| survey.standings.get_mut(*i)) {
                standing.hazards.extend(r.get::<_, Option<String>>(1)?.and_then(|id| TermId::parse(&id)));
            }
        }
        survey.damages = self.damages(&at, &mut survey.standings)?;
        Ok(survey)
    }

    /// Counts the notes of damage that stand, of the pieces in `at`, and says of each piece whether one is active.
    fn damages(&self, at: &HashMap<i64, usize>, standings: &mut [Standing]) -> Result<Vec<DamageCount>> {
        // A note may continue one that was corrected since: it continues the correction; or one that was withdrawn since:
        // it continues what that one continued.
        let mut handed_on: HashMap<i64, Option<i64>> = HashMap::new();
        let mut statement = self.db.prepare_cached(
            "SELECT o.id, coalesce(o.replaced_by, c.continues_id) FROM observation o JOIN condition c ON c.id = o.id
              WHERE o.replaced_by IS NOT NULL OR o.withdrawn IS NOT NULL",
        )?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            handed_on.insert(r.get(0)?, r.get(1)?);
        }
        let now = |id: i64| {
            // A walk that goes through more notes than were changed goes in a circle.
            let mut walk = std::iter::successors(Some(id), |id| handed_on.get(id).copied().flatten());
            walk.by_ref().take(handed_on.len() + 1).find(|id| !handed_on.contains_key(id))
        };
        let sql = format!(
            "SELECT c.id, c.continues_id, e.piece_id, substr(c.damage, 8), c.extent_value,
                    ifnull(c.activity = 'activity/active', 0) FROM condition c
               JOIN observation o ON o.id = c.id JOIN examination e ON e.id = o.examination_id WHERE {STANDS}"
        );
        let mut statement = self.db.prepare_cached(&sql)?;
        let mut rows = statement.query([])?;
        let (mut notes, mut continued) = (Vec::new(), HashSet::new());
        while let Some(r) = rows.next()? {
            let id: i64 = r.get(0)?;
            let (piece, damage, extent): (i64, String, Option<f64>) = (r.get(2)?, r.get(3)?, r.get(4)?);
            // A damage goes on in its own piece only.
            continued.extend(r.get::<_, Option<i64>>(1)?.and_then(now).map(|before| (piece, before)));
            if at.contains_key(&piece) && extent != Some(0.0) {
                notes.push((id, piece, damage, r.get::<_, bool>(5)?));
            }
        }
        let mut counts: BTreeMap<String, (usize, HashSet<i64>)> = BTreeMap::new();
        for (_, piece, damage, active) in
            notes.into_iter().filter(|(id, piece, ..)| !continued.contains(&(*piece, *id)))
        {
            if let (true, Some(standing)) = (active, at.get(&piece).and_then(|i| standings.get_mut(*i))) {
                standing.pressing.get_or_insert_with(|| format!("active damage, {damage}"));
            }
            let count = counts.entry(damage).or_default();
            count.0 += 1;
            count.1.insert(piece);
        }
        let count = |(damage, (notes, pieces)): (String, (usize, HashSet<i64>))| DamageCount {
            damage,
            notes,
            pieces: pieces.len(),
        };
        let mut list: Vec<DamageCount> = counts.into_iter().map(count).collect();
        list.sort_by_key(|c| std::cmp::Reverse(c.notes));
        Ok(list)
    }

    /// After how many months pieces of this catalogue are looked at again; the program's own until it chooses others.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn intervals(&self) -> Result<Intervals> {
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("survey_interval")? {
            return Ok(Intervals::default());
        }
        let sql = "SELECT active_change, at_risk, stable, not_recorded, hazard, growing FROM survey_interval";
        let found = self.db.prepare_cached(sql)?.query_row([], |r| {
            Ok(Intervals {
                active_change: r.get(0)?,
                at_risk: r.get(1)?,
                stable: r.get(2)?,
                not_recorded: r.get(3)?,
                hazard: r.get(4)?,
                growing: r.get(5)?,
            })
        });
        Ok(found.optional()?.unwrap_or_default())
    }

    /// Chooses the intervals. Returns whether anything changed.
    ///
    /// # Errors
    /// If the author is blank or the database refuses.
    pub fn set_intervals(&mut self, author: &str, reason: &str, chosen: &Intervals) -> Result<bool> {
        if self.intervals()? == *chosen {
            return Ok(false);
        }
        let mut row = Row::new();
        row.insert("active_change".into(), chosen.active_change.into());
        row.insert("at_risk".into(), chosen.at_risk.into());
        row.insert("stable".into(), chosen.stable.into());
        row.insert("not_recorded".into(), chosen.not_recorded.into());
        row.insert("hazard".into(), chosen.hazard.into());
        row.insert("growing".into(), chosen.growing.into());
        self.write(author, reason, |change| change.keep_only("survey_interval", row))
    }
}
