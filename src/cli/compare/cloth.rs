//! `dimity compare --cloth`: the cloths of other pieces ranked for one of this piece.

use super::super::say::count;
use super::super::{Desk, Failure};
use super::Settled;
use crate::analysis::comparison::{self, Nearest};
use crate::catalogue::Catalogue;
use crate::printing;

/// Prints the ranking.
pub(super) fn rank(
    cloth: &str,
    asked: &Settled,
    catalogue: &Catalogue,
    as_csv: bool,
    desk: &mut Desk,
) -> Result<(), Failure> {
    let found = printing::cloths(catalogue, &asked.subject, cloth, &asked.others, &asked.basis.tolerances)?;
    if desk.json {
        desk.out.json(&found);
        return Ok(());
    }
    if as_csv {
        return desk.out.csv(&printing::CLOTH_HEADINGS, &printing::cloth_rows(&found));
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
