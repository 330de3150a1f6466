//! What is to be compared and on what terms, as it is written in an address.

use std::collections::HashSet;

use serde::Serialize;

use crate::analysis::comparison::{Basis, ByHand, Sizes, Tolerances};
use crate::catalogue::{Catalogue, Kept};

/// So many pieces are set beside one at once, and so many cloths ranked.
const MOST: usize = 100;

/// What is to be compared, as it is written.
#[derive(Debug, Clone, Default, Serialize)]
pub(super) struct Asked {
    pub piece: String,
    pub with: Vec<String>,
    pub pairs: Vec<String>,
    /// `scale 1/8`, `fit bust, waist`: a line each.
    pub sizes: String,
    /// `length 3 % or 4 mm`: a line each.
    pub tolerances: String,
    pub kept: String,
    pub before: usize,
    /// Cloths of the piece for which the cloths of the others are ranked: `shell`, `collar: interlining`.
    pub cloths: Vec<String>,
}

impl Asked {
    pub fn read(query: &str) -> Self {
        let mut asked = Self::default();
        for (name, value) in form_urlencoded::parse(query.as_bytes()) {
            let value = value.trim();
            match &*name {
                "piece" => value.clone_into(&mut asked.piece),
                // One field with several numbers, or several fields.
                "with" => asked
                    .with
                    .extend(value.split([',', ';', '\n']).map(str::trim).filter(|n| !n.is_empty()).map(str::to_owned)),
                "pair" if !value.is_empty() => asked.pairs.push(value.to_owned()),
                "sizes" => value.clone_into(&mut asked.sizes),
                "tolerances" => value.clone_into(&mut asked.tolerances),
                "kept" => value.clone_into(&mut asked.kept),
                "cloth" => asked
                    .cloths
                    .extend(value.split([',', ';', '\n']).map(str::trim).filter(|c| !c.is_empty()).map(str::to_owned)),
                "before" => asked.before = value.parse().unwrap_or_default(),
                _ => {}
            }
        }
        // Each once, and no more than one would look through.
        for list in [&mut asked.with, &mut asked.cloths] {
            let mut seen = HashSet::new();
            list.retain(|one| seen.len() < MOST && seen.insert(one.clone()));
        }
        asked
    }

    /// What a kept comparison says, as one would write it.
    pub fn of(kept: &Kept, before: usize) -> Self {
        let usual = Tolerances::default().written();
        let own = |line: &&str| !usual.lines().any(|known| known == *line);
        Self {
            piece: kept.subject.clone(),
            with: kept.others.clone(),
            pairs: kept.basis.pairs.iter().map(ByHand::written).collect(),
            sizes: kept.basis.sizes.written(),
            tolerances: kept.basis.tolerances.written().lines().filter(own).collect::<Vec<_>>().join("\n"),
            kept: kept.name.clone(),
            before,
            cloths: Vec::new(),
        }
    }

    pub fn basis(&self, catalogue: &Catalogue) -> Result<Basis, String> {
        let mut basis = Basis {
            pairs: self.pairs.iter().map(|pair| ByHand::read(pair)).collect::<Result<_, _>>()?,
            sizes: self.sizes(catalogue)?,
            tolerances: Tolerances::default(),
        };
        let lines = self.tolerances.lines().map(str::trim).filter(|line| !line.is_empty());
        lines.into_iter().try_for_each(|line| basis.tolerances.set_written(line))?;
        Ok(basis)
    }

    /// The size of the others: each line begins with `scale` or `fit`, as one that is kept is written.
    fn sizes(&self, catalogue: &Catalogue) -> Result<Sizes, String> {
        let mut sizes = Sizes::default();
        for line in self.sizes.lines().map(str::trim).filter(|line| !line.is_empty()) {
            match line.split_once(' ') {
                Some(("scale", rest)) => sizes.state(rest)?,
                Some(("fit", rest)) => sizes.fit(rest, catalogue.vocabulary())?,
                _ => return Err(format!("`{line}` begins neither with `scale` nor with `fit`")),
            }
        }
        Ok(sizes)
    }

    /// The address at which this is shown.
    pub fn address(&self) -> String {
        format!("/comparison?{}", self.query())
    }

    /// The same as the query of an address.
    pub fn query(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair("piece", &self.piece).append_pair("with", &self.with.join(", "));
        query.extend_pairs(self.pairs.iter().map(|pair| ("pair", pair)));
        for (name, value) in [("sizes", &self.sizes), ("tolerances", &self.tolerances)] {
            if !value.is_empty() {
                query.append_pair(name, value);
            }
        }
        if !self.cloths.is_empty() {
            query.append_pair("cloth", &self.cloths.join(", "));
        }
        query.finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_asked_is_read_back_from_its_address() {
        let asked = Asked::read(
            "piece=2023.R1&with=2018.2,+1&with=3&pair=collar+%3D+neck+band&pair=&sizes=scale+1%2F8&cloth=shell,collar:+lining",
        );
        assert_eq!(asked.with, ["2018.2", "1", "3"]);
        assert_eq!(asked.pairs, ["collar = neck band"]);
        let again = Asked::read(asked.address().split_once('?').expect("a query").1);
        assert_eq!(
            (again.piece, again.with, again.pairs, again.sizes, again.cloths),
            (asked.piece, asked.with, asked.pairs, asked.sizes, asked.cloths)
        );
    }
}
