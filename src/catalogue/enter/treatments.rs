//! Treatments on their way in: a version finds the one before it, and what was consented to is not changed.

use super::Entry;
use super::matching::split;
use crate::catalogue::{Fault, Result, consents};
use crate::record::seal::Seal;
use crate::record::treatment::{Treatment, keep_agreed};

impl Entry<'_, '_> {
    pub(super) fn treatments(&mut self, incoming: &[Treatment], known: &[Treatment]) -> Result<()> {
        let mut list = incoming.to_vec();
        for treatment in &mut list {
            self.follow(treatment, known)?;
            if let Some(stored) = Treatment::by_id(known, treatment.id.as_ref())
                && (stored.is_consented() || consents::is_sealed(self.change.db(), id(stored))?)
            {
                keep_agreed(treatment, stored);
                self.unchanged(treatment, stored)?;
            }
            treatment
                .check_withdrawal()
                .map_err(|why| Fault::Refused(format!("the treatment `{}`: {why}", title(treatment))))?;
        }
        self.list("treatment", &list, known)?;
        let had: Vec<String> = known.iter().filter(|k| k.is_consented()).map(|k| id(k).to_owned()).collect();
        self.change.seal_consents(self.piece, &had)
    }

    /// Refuses a sheet that changes what was agreed to.
    fn unchanged(&self, treatment: &Treatment, stored: &Treatment) -> Result<()> {
        let agreed = Seal::of(&self.done.number, stored);
        let changed = agreed.fields_changed(&Seal::of(&self.done.number, treatment));
        if changed.is_empty() {
            return Ok(());
        }
        let consent = &stored.consent;
        Err(Fault::Refused(format!(
            "`{}` of the treatment `{}` cannot be changed: {} consented to it on {}, and it is sealed ({}); write the \
             change as a new version, a [[treatment]] without `id` and with `follows = \"{}\"`; `steps`, `materials`, \
             `departures`, `result`, `after_care` and `consent_withdrawn_...` may be added to this one",
            changed.join("`, `"),
            title(stored),
            consent.consent_by.as_deref().unwrap_or("someone"),
            consent.consent_on.map(|d| d.to_string()).unwrap_or_default(),
            agreed.short(),
            id(stored),
        )))
    }

    /// Replaces the title in `follows` by the identifier of the treatment meant: the one that makes this line the same as
    /// a known one, else the latest of that title that has no later version yet.
    fn follow(&self, treatment: &mut Treatment, known: &[Treatment]) -> Result<()> {
        let Some(written) = treatment.proposal.follows.clone() else { return Ok(()) };
        let own = treatment.id.clone();
        let itself = |k: &Treatment| own.is_some() && k.id == own;
        let stored =
            known.iter().find(|k| itself(k)).and_then(|k| Treatment::by_id(known, k.proposal.follows.as_ref()));
        let named = |k: &&Treatment| k.id.as_deref() == Some(&*written) || title(k).eq_ignore_ascii_case(&written);
        let followed = |k: &Treatment| known.iter().any(|o| !itself(o) && o.proposal.follows == k.id);
        let same = |k: &&Treatment| {
            let mut trial = treatment.clone();
            trial.proposal.follows.clone_from(&k.id);
            let trial = split(&trial).1;
            known.iter().any(|o| split(o).1 == trial)
        };
        let meant: Vec<&Treatment> = known.iter().filter(named).filter(|k| !itself(k)).collect();
        let found = stored
            .filter(|k| named(k))
            .or_else(|| meant.iter().copied().find(same))
            .or_else(|| meant.iter().copied().rfind(|k| !followed(k)))
            .or_else(|| meant.last().copied());
        let Some(found) = found else {
            let list: Vec<_> = known.iter().map(|k| format!("`{}`", title(k))).collect();
            let list = if list.is_empty() { "it has none yet".into() } else { format!("it has {}", list.join(", ")) };
            return Err(Fault::Refused(format!(
                "`follows`: there is no other treatment `{written}` of `{}`, {list}; a new version is entered after the \
                 one that it replaces",
                self.done.number
            )));
        };
        if itself(found) || found.before(known).into_iter().any(itself) {
            return Err(Fault::Refused(format!(
                "`follows`: the treatment `{written}` is itself a later version of this one"
            )));
        }
        treatment.proposal.follows.clone_from(&found.id);
        Ok(())
    }
}

fn id(treatment: &Treatment) -> &str {
    treatment.id.as_deref().unwrap_or_default()
}

fn title(treatment: &Treatment) -> &str {
    treatment.proposal.title.as_deref().unwrap_or_default()
}
