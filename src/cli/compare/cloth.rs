//! `dimity compare --cloth`: the cloths of other pieces ranked for one of this piece.

use super::super::say::count;
use super::super::{Desk, Failure};
use super::Settled;
use crate::analysis::comparison::{self, Nearest, nearest};
use crate::catalogue::Catalogue;

/// The cloths of the others, or of every piece that is not extant, ranked for one cloth of the piece.
pub(in crate::cli) fn candidates(cloth: &str, asked: &Settled, catalogue: &Catalogue) -> Result<Nearest, Failure> {
    let piece = catalogue.piece(&asked.subject)?;
    let (component, role) = match cloth.rsplit_once(':') {
        Some((component, role)) => (Some(component.trim()), role.trim()),
        None => (None, cloth.trim()),
    };
    let numbers: Vec<String> = if asked.others.is_empty() {
        catalogue.list()?.into_iter().filter(|line| line.nature != "extant").map(|line| line.number).collect()
    } else {
        asked.others.clone()
    };
    let others = numbers.iter().map(|n| catalogue.piece(n)).collect::<Result<Vec<_>, _>>()?;
    Ok(nearest(&piece, role, component, &others, catalogue.vocabulary(), &asked.basis.tolerances)?)
}

/// Prints the ranking.
pub(super) fn rank(
    cloth: &str,
    asked: &Settled,
    catalogue: &Catalogue,
    as_csv: bool,
    desk: &mut Desk,
) -> Result<(), Failure> {
    let found = candidates(cloth, asked, catalogue)?;
    if desk.json {
        desk.out.json(&found);
        return Ok(());
    }
    if as_csv {
        let headings = [
            "piece",
            "component",
            "role",
            "cloth",
            "distance",
            "properties compared",
            "of",
            "property",
            "wanted",
            "found",
            "in tolerances",
            "share",
        ];
        let rows: Vec<Vec<String>> = found
            .candidates
            .iter()
            .flat_map(|c| {
                c.parts.iter().map(|part| {
                    let cloth = [&c.cloth.number, &c.cloth.component, &c.cloth.role, &c.cloth.name].map(Clone::clone);
                    let figures = [format!("{}", c.distance), c.compared.to_string(), found.properties.to_string()];
                    let part = [
                        part.property.to_owned(),
                        part.wanted.clone(),
                        part.found.clone(),
                        format!("{}", part.tolerances),
                        format!("{}", part.share),
                    ];
                    cloth.into_iter().chain(figures).chain(part).collect()
                })
            })
            .collect();
        return desk.out.csv(&headings, &rows);
    }
    ranked(&found, desk);
    Ok(())
}

fn ranked(found: &Nearest, desk: &mut Desk) {
    let named = |cloth: &comparison::Cloth| {
        let parts = [&cloth.component, &cloth.role, &cloth.name];
        parts.into_iter().filter(|p| !p.is_empty()).cloned().collect::<Vec<_>>().join(", ")
    };
    let properties = count(found.properties, "property").replace("propertys", "properties");
    desk.out.line(format!("Cloths for {}, {} ({properties} recorded)", found.wanted.number, named(&found.wanted)));
    let mut sparse = false;
    for candidate in &found.candidates {
        if !candidate.enough && !sparse {
            sparse = true;
            desk.out.line("\nToo little recorded to rank with the others (less than half of the properties):");
        }
        desk.out.line(format!(
            "\n{:>6.2}  {} {}: {}; {} of {} compared",
            candidate.distance,
            candidate.cloth.number,
            candidate.cloth.piece,
            named(&candidate.cloth),
            candidate.compared,
            found.properties
        ));
        for part in candidate.parts.iter().filter(|part| part.share >= 0.05).take(4) {
            let share = 100.0 * part.share;
            desk.out.line(format!(
                "        {:.1} tolerances in {}: {} for {} ({share:.0} % of the distance squared)",
                part.tolerances, part.property, part.found, part.wanted
            ));
        }
    }
    if found.candidates.is_empty() {
        desk.out.line("\nNo other cloth shares a recorded property with it.");
    }
    if found.without > 0 {
        desk.out.line(format!("\nWithout a property in common: {}.", count(found.without, "cloth")));
    }
    desk.out.line(
        "\nDistance in tolerances: for each property recorded on both, how many times its tolerance the two differ; over the\n\
         properties, the root of the mean square. Terms count 0 if the same, 0.5 if one is broader, 1 if under one broader\n\
         term, 2 if different. A small distance over few properties says little.",
    );
}
