//! Comparisons kept by name, each change of one beside what stood before; and the departures of the whole collection.

use serde::Serialize;
use serde_json::Value;

use super::change::{Row, fresh_uid, rows};
use super::{Catalogue, Fault, Result};
use crate::analysis::comparison::{Basis, ByHand, Sizes, Tolerances};
use crate::query::normal;

/// A comparison that is kept: which pieces, and on what terms. Its outcome is worked out anew each time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Kept {
    /// Stable identifier.
    pub id: String,
    /// The name it is asked for by.
    pub name: String,
    /// Accession number of the piece that is compared.
    pub subject: String,
    /// Those of the pieces that it is compared with.
    pub others: Vec<String>,
    /// The terms.
    pub basis: Basis,
    /// Who kept it.
    pub by: String,
    /// When, to the second, in universal time.
    pub at: String,
    /// Why.
    pub reason: String,
    /// Whether it stands; one that was changed or removed since is kept with its name.
    pub stands: bool,
}

/// What came of keeping a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keeping {
    /// There was none of this name.
    New,
    /// It takes the place of the one that stood.
    Changed,
    /// The one that stands says the same; nothing was written.
    Same,
}

/// One departure of a piece of the collection.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KeptDeparture {
    /// Accession number of the piece whose maker departed.
    pub number: String,
    /// Its title, or what it is.
    pub piece: String,
    /// What it is made after: accession numbers, and sources outside the catalogue.
    pub after: Vec<String>,
    /// On which component; blank where none is named.
    pub component: String,
    /// What differs.
    pub feature: String,
    /// How it is on the model.
    pub was: Option<String>,
    /// How it is here.
    pub now: Option<String>,
    /// The reason from the list.
    pub reason: String,
    /// Why, in the maker's words.
    pub note: Option<String>,
    /// What was learned by it, for next time.
    pub learned: Option<String>,
}

impl Catalogue {
    /// Keeps a comparison by name. One of that name that stood before stays, and points to the new one.
    ///
    /// # Errors
    /// If the name is blank, a piece is unknown, there is no other piece, or author or reason is blank.
    pub fn keep_comparison(
        &mut self,
        author: &str,
        reason: &str,
        name: &str,
        (subject, others): (&str, &[String]),
        basis: &Basis,
    ) -> Result<Keeping> {
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        if name.is_empty() {
            return Err(Fault::Refused("a comparison is kept by a name: `--keep \"spencer, first fitting\"`".into()));
        }
        if others.is_empty() {
            return Err(Fault::Refused("name at least one piece to compare with: `--with NUMBER`".into()));
        }
        let piece = self.piece_id(subject)?;
        let others_id = others.iter().map(|other| self.piece_id(other)).collect::<Result<Vec<i64>>>()?;
        let standing =
            self.kept_comparisons()?.into_iter().find(|kept| kept.stands && normal(&kept.name) == normal(&name));
        if let Some(kept) = &standing
            && kept.subject == subject
            && kept.others == others
            && kept.basis == *basis
        {
            return Ok(Keeping::Same);
        }
        let pairs: Vec<String> = basis.pairs.iter().map(ByHand::written).collect();
        let text = |text: String| if text.is_empty() { Value::Null } else { text.into() };
        let now = self.clock.now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string();
        self.write(author, reason, |change| {
            let before: Option<i64> = match &standing {
                None => None,
                Some(kept) => {
                    Some(change.db().query_row("SELECT id FROM comparison WHERE uid = ?", [&kept.id], |r| r.get(0))?)
                }
            };
            let uid = fresh_uid();
            let row = Row::from_iter([
                ("uid".to_owned(), uid.clone().into()),
                ("name".to_owned(), name.clone().into()),
                ("piece_id".to_owned(), piece.into()),
                ("pairs".to_owned(), text(pairs.join("\n"))),
                ("tolerances".to_owned(), basis.tolerances.written().into()),
                ("sizes".to_owned(), text(basis.sizes.written())),
                ("by".to_owned(), author.trim().into()),
                ("kept_at".to_owned(), now.into()),
                ("reason".to_owned(), reason.trim().into()),
            ]);
            change.insert_instead("comparison", row, before)?;
            let id: i64 = change.db().query_row("SELECT id FROM comparison WHERE uid = ?", [&uid], |r| r.get(0))?;
            for (position, other) in (1i64..).zip(&others_id) {
                let row = Row::from_iter([
                    ("comparison_id".to_owned(), id.into()),
                    ("position".to_owned(), position.into()),
                    ("piece_id".to_owned(), (*other).into()),
                ]);
                change.insert("comparison_other", &row)?;
            }
            Ok(if before.is_some() { Keeping::Changed } else { Keeping::New })
        })
    }

    /// Removes a kept comparison, known by its name or its identifier: it stands no more under its name, and stays to be read
    /// as one before. Gives its name.
    ///
    /// # Errors
    /// If none stands under that name, or the reason is blank.
    pub fn remove_comparison(&mut self, author: &str, reason: &str, named: &str) -> Result<String> {
        let meant = |kept: &Kept| kept.stands && (kept.id == named || normal(&kept.name) == normal(named));
        let Some(kept) = self.kept_comparisons()?.into_iter().find(meant) else {
            return Err(Fault::Refused(format!(
                "no comparison stands under `{named}`; it may have been removed or changed meanwhile, `dimity compare --list` \
                 shows those kept"
            )));
        };
        self.write(author, reason, |change| {
            let id: i64 = change.db().query_row("SELECT id FROM comparison WHERE uid = ?", [&kept.id], |r| r.get(0))?;
            change.remove_standing("comparison", id)
        })?;
        Ok(kept.name)
    }

    /// Every comparison that is kept, in the order in which they were first kept by their names; of one name the latest
    /// first, then those that it took the place of.
    ///
    /// # Errors
    /// If the database refuses, or a stored line cannot be read.
    pub fn kept_comparisons(&self) -> Result<Vec<Kept>> {
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("comparison")? {
            return Ok(Vec::new());
        }
        let sql = "SELECT c.*, p.number FROM comparison c JOIN piece p ON p.id = c.piece_id
                    ORDER BY (SELECT min(f.id) FROM comparison f WHERE f.name = c.name), c.id DESC";
        rows(&self.db, sql, [])?.iter().map(|row| self.kept(row)).collect()
    }

    /// The comparison that stands under a name, or the one so many changes before it; that it was removed is one change.
    ///
    /// # Errors
    /// If it was removed and none before is asked for, or if there is none, with the names there are.
    pub fn kept_comparison(&self, name: &str, changes_before: usize) -> Result<Kept> {
        let all = self.kept_comparisons()?;
        let mut named: Vec<Kept> = all.iter().filter(|kept| normal(&kept.name) == normal(name)).cloned().collect();
        if named.is_empty() {
            let there: Vec<String> = all.iter().filter(|k| k.stands).map(|k| format!("`{}`", k.name)).collect();
            let there = match there.as_slice() {
                [] => "none is kept; `dimity compare ... --keep NAME` keeps one".to_owned(),
                kept => format!("kept are {}", kept.join(", ")),
            };
            return Err(Fault::Refused(format!("there is no comparison `{name}`; {there}")));
        }
        // That it was removed is its last change.
        let removed = usize::from(!named[0].stands);
        let Some(at) = changes_before.checked_sub(removed) else {
            return Err(Fault::Refused(format!("`{name}` was removed; `--before 1` shows what it was")));
        };
        if at >= named.len() {
            let changes = named.len() - 1 + removed;
            let times = if changes == 1 { "once".to_owned() } else { format!("{changes} times") };
            return Err(Fault::Refused(match changes {
                0 => format!("`{name}` was never changed; there is none before it"),
                _ => format!("`{name}` was changed {times}; `--before {changes}` shows the first"),
            }));
        }
        Ok(named.swap_remove(at))
    }

    fn kept(&self, row: &Row) -> Result<Kept> {
        let text = |name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default();
        let id = row.get("id").and_then(Value::as_i64).unwrap_or_default();
        let unreadable = |why: String| Fault::Unreadable(format!("comparison `{}`: {why}", text("name")));
        let mut tolerances = Tolerances::default();
        text("tolerances").lines().try_for_each(|line| tolerances.set_written(line)).map_err(unreadable)?;
        let pairs =
            text("pairs").lines().map(ByHand::read).collect::<std::result::Result<_, _>>().map_err(unreadable)?;
        let sizes = Sizes::read(text("sizes")).map_err(unreadable)?;
        let others = "SELECT p.number FROM comparison_other o JOIN piece p ON p.id = o.piece_id
                       WHERE o.comparison_id = ? ORDER BY o.position";
        let number = |row: &Row| row.get("number").and_then(Value::as_str).unwrap_or_default().to_owned();
        Ok(Kept {
            id: text("uid").into(),
            name: text("name").into(),
            subject: text("number").into(),
            others: rows(&self.db, others, [id])?.iter().map(number).collect(),
            basis: Basis { tolerances, sizes, pairs },
            by: text("by").into(),
            at: text("kept_at").into(),
            reason: text("reason").into(),
            stands: !row.contains_key("replaced_by"),
        })
    }

    /// Every departure of the collection, by piece, in the order in which its maker recorded them.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn departures(&self) -> Result<Vec<KeptDeparture>> {
        let after = "SELECT m.piece_id, coalesce(p.number, m.source) AS after FROM made_after m
                       LEFT JOIN piece p ON p.id = m.model_id ORDER BY m.piece_id, m.position, m.id";
        let mut models: std::collections::HashMap<i64, Vec<String>> = std::collections::HashMap::new();
        for row in rows(&self.db, after, [])? {
            let piece = row.get("piece_id").and_then(Value::as_i64).unwrap_or_default();
            models.entry(piece).or_default().extend(row.get("after").and_then(Value::as_str).map(String::from));
        }
        let sql = format!(
            "SELECT p.id AS piece_id, p.number, coalesce(p.title, p.object_name) AS piece, d.*, c.name AS on_component
               FROM departure d JOIN piece p ON p.id = d.piece_id LEFT JOIN component c ON c.id = d.component_id
              WHERE {} ORDER BY p.number_order, d.position, d.id",
            self.in_catalogue()?
        );
        let departure = |row: &Row| {
            let some = |name: &str| row.get(name).and_then(Value::as_str).map(String::from);
            let text = |name: &str| some(name).unwrap_or_default();
            let piece = row.get("piece_id").and_then(Value::as_i64).unwrap_or_default();
            KeptDeparture {
                number: text("number"),
                piece: text("piece"),
                after: models.get(&piece).cloned().unwrap_or_default(),
                component: text("on_component"),
                feature: text("feature"),
                was: some("was"),
                now: some("now"),
                reason: text("reason").split_once('/').map(|(_, name)| name.to_owned()).unwrap_or_default(),
                note: some("note"),
                learned: some("learned"),
            }
        };
        Ok(rows(&self.db, &sql, [])?.iter().map(departure).collect())
    }
}
