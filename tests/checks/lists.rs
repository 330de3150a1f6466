//! What the importer reads of old lists, against open museum data that state it themselves: fibres in words on materials,
//! labelled sections, and accession numbers with their parts.

use std::collections::BTreeSet;

use dimity::exchange::import::materials::{self, Labelled};
use dimity::record::accession::parted;
use dimity::vocabulary::{Scheme, Vocabulary};

use super::table::{Row, open_data};

/// The fibres for which the tags of the data set say all that its words say.
const TAGGED: [&str; 12] =
    ["silk", "cotton", "linen", "wool", "hemp", "rayon", "nylon", "polyester", "leather", "fur", "straw", "acrylic"];

/// The tags of a record that name one of these; flax is the plant of linen.
fn tagged(row: &Row) -> BTreeSet<String> {
    let tags = row.text("material_tags").split('|').map(str::to_lowercase);
    let tags = tags.map(|t| if t == "flax" { "linen".to_owned() } else { t });
    tags.filter(|t| TAGGED.contains(&t.as_str())).collect()
}

/// The same as found by the importer.
fn found(row: &Row) -> BTreeSet<String> {
    let vocabulary = Vocabulary::shipped();
    let terms: Vec<_> =
        TAGGED.iter().filter_map(|name| Some((*name, vocabulary.known(Scheme::Fibre, name)?.id.clone()))).collect();
    let read = materials::read(row.text("raw"), vocabulary);
    let fibres = read.textiles.iter().flat_map(|t| &t.what.fibres).filter_map(|f| f.fibre.clone());
    fibres
        .filter_map(|fibre| {
            let same = terms.iter().find(|(_, term)| *term == fibre);
            let wider = || terms.iter().find(|(_, term)| vocabulary.wider(&fibre).contains(&term));
            same.or_else(wider).map(|(name, _)| (*name).to_owned())
        })
        .collect()
}

#[test]
fn the_fibres_that_museum_records_name_are_found() {
    let Some(rows) = open_data("materials-dev.csv") else { return };
    let rows: Vec<&Row> = rows.iter().filter(|r| r.text("tags_cover_text") == "yes").collect();
    let (mut right, mut named, mut hit, mut extra) = (0, 0, 0, 0);
    for row in &rows {
        let (wanted, found) = (tagged(row), found(row));
        named += wanted.len();
        hit += wanted.intersection(&found).count();
        extra += found.difference(&wanted).count();
        right += usize::from(wanted == found);
        if wanted != found {
            println!("{}: {:?}: found {found:?}, tagged {wanted:?}", row.place, row.text("raw"));
        }
    }
    println!(
        "fibres: {right} of {} records wholly right; {hit} of {named} fibres found, {extra} found that are not tagged",
        rows.len()
    );
    assert!(right * 100 >= rows.len() * 98, "{right} of {} records, less than 98 %", rows.len());
}

#[test]
fn the_labelled_sections_of_museum_records_are_told_apart() {
    let Some(rows) = open_data("materials-dev.csv") else { return };
    let rows: Vec<&Row> = rows.iter().filter(|r| r.text("structure") == "labelled").collect();
    let plain =
        |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ").trim_end_matches(['.', ';']).to_owned();
    let mut right = 0;
    for row in &rows {
        let parts = materials::labelled(row.text("raw"));
        let part = |label| {
            plain(
                &parts.iter().filter(|(l, _)| *l == Some(label)).map(|(_, t)| t.as_str()).collect::<Vec<_>>().join(" "),
            )
        };
        let (medium, technique) = (part(Labelled::Medium), part(Labelled::Technique));
        let fits = medium == plain(row.text("medium_part")) && technique == plain(row.text("technique_part"));
        right += usize::from(fits);
        if !fits {
            println!("{}: {:?}: {medium:?}, {technique:?}", row.place, row.text("raw"));
        }
    }
    println!("labelled sections: {right} of {}", rows.len());
    assert!(right * 100 >= rows.len() * 99, "{right} of {} records, less than 99 %", rows.len());
}

#[test]
fn the_parts_that_museum_numbers_name_are_read() {
    let Some(rows) = open_data("accessions-dev.csv") else { return };
    let mut right = 0;
    for row in &rows {
        let found = parted(row.text("raw"));
        let list = |text: &str| text.split('|').filter(|p| !p.is_empty()).map(String::from).collect::<Vec<_>>();
        // After z, and of ranges of numbers, the data set scores the ends alone.
        let ends = (row.text("first_part").to_owned(), row.text("last_part").to_owned());
        let parts = match &found.ends {
            Some(found) => *found == ends,
            None => found.parts == list(row.text("parts")),
        };
        let item =
            found.items.map(|(a, b)| if a == b { a.to_string() } else { format!("{a}..{b}") }).unwrap_or_default();
        let fits = found.base == row.text("base") && parts && item == row.text("item");
        right += usize::from(fits);
        if !fits {
            println!("{}: {:?}: {found:?}", row.place, row.text("raw"));
        }
    }
    println!("accession numbers: {right} of {}", rows.len());
    assert!(right * 100 >= rows.len() * 99, "{right} of {} numbers, less than 99 %", rows.len());
}
