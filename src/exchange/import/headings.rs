//! What headings of old lists usually mean, in six languages (common practice, no source).

use super::target::Target;
use crate::vocabulary::{Scheme, Vocabulary};

/// A meaning: what the column is taken for, and the fields that go with it.
type Meaning = (&'static str, &'static [(&'static str, &'static str)]);

/// Headings in lower case without signs, and what they mean. What stands first is tried first.
const KNOWN: &[(Meaning, &[&str])] = &[
    (
        ("piece.number", &[]),
        &[
            "accession number",
            "accession no",
            "accession",
            "acc no",
            "acc nr",
            "acc number",
            "accno",
            "acc",
            "object number",
            "object no",
            "obj no",
            "object id",
            "inventory number",
            "inventory no",
            "inv no",
            "inv nr",
            "inv",
            "catalogue number",
            "catalogue no",
            "catalog number",
            "catalog no",
            "cat no",
            "cat nr",
            "number",
            "no",
            "nr",
            "id",
            "ref",
            "ref no",
            "reference",
            "reference number",
            "item no",
            "item number",
            "museum number",
            "museum no",
            "identifier",
            "inventarnummer",
            "inventarnr",
            "inv nummer",
            "objektnummer",
            "nummer",
            "numero",
            "numéro",
            "no inv",
            "numéro d inventaire",
            "n inventaire",
            "inventarisnummer",
            "inventarisnr",
            "objectnummer",
            "numero di inventario",
            "n inv",
            "número de inventario",
            "nº inv",
            "signatur",
        ],
    ),
    (
        ("piece.object_name", &[]),
        &[
            "object name",
            "object",
            "object type",
            "item",
            "item type",
            "name",
            "type",
            "garment",
            "garment type",
            "what",
            "artefact",
            "artifact",
            "simple name",
            "gegenstand",
            "objekt",
            "bezeichnung",
            "objektbezeichnung",
            "désignation",
            "dénomination",
            "objet",
            "objectnaam",
            "voorwerp",
            "oggetto",
            "objeto",
            "kleidungsstück",
            "vêtement",
        ],
    ),
    (
        ("piece.title", &[]),
        &["title", "short description", "brief description", "caption", "titel", "titre", "titolo", "título"],
    ),
    (
        ("piece.description", &[]),
        &[
            "description",
            "desc",
            "descr",
            "full description",
            "physical description",
            "details",
            "beschreibung",
            "omschrijving",
            "beschrijving",
            "descrizione",
            "descripción",
        ],
    ),
    (
        ("piece.date", &[]),
        &[
            "date",
            "dating",
            "date made",
            "date of making",
            "production date",
            "year",
            "period",
            "circa",
            "age",
            "dated",
            "date created",
            "datierung",
            "datum",
            "jahr",
            "zeit",
            "entstehungszeit",
            "datation",
            "époque",
            "année",
            "datering",
            "jaar",
            "periode",
            "datazione",
            "data",
            "anno",
            "datación",
            "fecha",
            "época",
            "century",
            "jahrhundert",
            "siècle",
        ],
    ),
    (
        ("piece.maker", &[]),
        &[
            "maker",
            "made by",
            "manufacturer",
            "designer",
            "dressmaker",
            "tailor",
            "label",
            "creator",
            "artist",
            "hersteller",
            "schneider",
            "entwurf",
            "fabricant",
            "créateur",
            "auteur",
            "maker label",
            "vervaardiger",
            "ontwerper",
            "autore",
            "fabbricante",
            "autor",
            "fabricante",
        ],
    ),
    (
        ("piece.place", &[]),
        &[
            "place",
            "place made",
            "place of making",
            "place of origin",
            "origin",
            "country",
            "region",
            "made in",
            "herkunftsort",
            "entstehungsort",
            "land",
            "ort",
            "lieu",
            "origine",
            "pays",
            "lieu de création",
            "plaats",
            "herkomst",
            "luogo",
            "provenienza",
            "lugar",
            "origen",
            "país",
        ],
    ),
    (("piece.culture", &[]), &["culture", "community", "people", "kultur", "cultuur", "cultura"]),
    (
        ("piece.inscriptions", &[]),
        &[
            "inscription",
            "inscriptions",
            "marks",
            "marks and labels",
            "labels",
            "markings",
            "inschrift",
            "marque",
            "marques",
        ],
    ),
    (("piece.credit_line", &[]), &["credit", "credit line", "creditline"]),
    (("piece.rights", &[]), &["rights", "copyright", "licence", "license"]),
    (
        ("piece.keywords", &[]),
        &["keywords", "keyword", "tags", "subject", "subjects", "category", "schlagworte", "mots clés"],
    ),
    (("piece.distinguishing_features", &[]), &["distinguishing features", "features", "special features"]),
    (("piece.nature", &[]), &["nature", "original or copy", "original repro"]),
    (
        ("dimensions", &[]),
        &[
            "dimensions",
            "dimension",
            "dims",
            "dim",
            "measurements",
            "measurement",
            "meas",
            "size",
            "sizes",
            "maße",
            "masse",
            "abmessungen",
            "mesures",
            "afmetingen",
            "maten",
            "formaat",
            "dimensioni",
            "misure",
            "dimensiones",
            "medidas",
        ],
    ),
    (
        ("materials", &[]),
        &[
            "material",
            "materials",
            "medium",
            "media",
            "fabric",
            "fabrics",
            "fibre",
            "fibres",
            "fiber",
            "fibers",
            "textile",
            "cloth",
            "composition",
            "made of",
            "material technique",
            "materials and techniques",
            "materials techniques",
            "materials technique",
            "material and technique",
            "material and techniques",
            "matl",
            "mat",
            "stoff",
            "material technik",
            "materialien",
            "matériau",
            "matériaux",
            "matière",
            "matières",
            "tissu",
            "materiaal",
            "materialen",
            "stof",
            "materiale",
            "materiali",
            "tessuto",
            "materia",
            "materiales",
            "tejido",
            "gewebe",
        ],
    ),
    (
        ("condition", &[]),
        &[
            "condition",
            "cond",
            "condition report",
            "state",
            "state of preservation",
            "condition notes",
            "damage",
            "zustand",
            "erhaltungszustand",
            "état",
            "etat",
            "état de conservation",
            "conditie",
            "toestand",
            "staat",
            "stato",
            "stato di conservazione",
            "estado",
            "estado de conservación",
        ],
    ),
    (
        ("move.to", &[]),
        &[
            "location",
            "loc",
            "current location",
            "storage location",
            "store",
            "store location",
            "shelf",
            "box",
            "box no",
            "box number",
            "where",
            "bay",
            "drawer",
            "standort",
            "lagerort",
            "regal",
            "kiste",
            "karton",
            "emplacement",
            "localisation",
            "boîte",
            "standplaats",
            "locatie",
            "doos",
            "collocazione",
            "ubicazione",
            "ubicación",
            "localización",
        ],
    ),
    (
        ("person.person", &[("role", "donor")]),
        &[
            "donor",
            "given by",
            "donated by",
            "gift of",
            "giver",
            "schenker",
            "donateur",
            "donatore",
            "donante",
            "don de",
        ],
    ),
    (
        ("person.person", &[("role", "wearer")]),
        &["worn by", "wearer", "trägerin", "träger", "porté par", "gedragen door"],
    ),
    (
        ("person.person", &[("role", "owner")]),
        &["owner", "previous owner", "former owner", "owned by", "besitzer", "eigentümer", "propriétaire", "eigenaar"],
    ),
    (
        ("event.person", &[("event", "acquisition")]),
        &[
            "source",
            "acquired from",
            "from",
            "vendor",
            "bought from",
            "purchased from",
            "seller",
            "dealer",
            "acquisition source",
            "erworben von",
        ],
    ),
    (
        ("event.date", &[("event", "acquisition")]),
        &[
            "date acquired",
            "acquisition date",
            "acquired",
            "date of acquisition",
            "acq date",
            "date in",
            "date received",
            "received",
            "accession date",
            "date accessioned",
            "year acquired",
            "date purchased",
            "date given",
            "erwerbungsdatum",
            "zugang",
            "zugangsdatum",
            "date d acquisition",
            "acquis",
            "verwervingsdatum",
            "data di acquisizione",
            "fecha de adquisición",
        ],
    ),
    (
        ("event.note", &[("event", "acquisition")]),
        &[
            "acquisition",
            "acquisition method",
            "how acquired",
            "method",
            "acquisition note",
            "acquisition details",
            "price",
            "purchase price",
            "cost",
            "value",
            "provenance",
            "history",
            "object history",
            "erwerbung",
            "erwerbungsart",
            "provenienz",
            "herkunft",
            "acquisition mode",
            "verwerving",
            "acquisizione",
            "adquisición",
            "preis",
            "prix",
        ],
    ),
    (
        ("examination.examiner", &[]),
        &[
            "catalogued by",
            "cataloged by",
            "cataloguer",
            "cataloger",
            "recorded by",
            "examined by",
            "examiner",
            "checked by",
            "entered by",
            "bearbeiter",
            "erfasst von",
            "catalogué par",
        ],
    ),
    (
        ("examination.date", &[]),
        &[
            "date catalogued",
            "catalogued",
            "date cataloged",
            "date recorded",
            "date examined",
            "date checked",
            "date entered",
            "record date",
            "last checked",
            "examined",
            "erfasst",
            "erfasst am",
        ],
    ),
    (
        ("housing.storage", &[]),
        &["storage", "housing", "packing", "how stored", "aufbewahrung", "verpackung", "conditionnement"],
    ),
    (("hazard.hazard", &[]), &["hazard", "hazards", "warning"]),
    (("textile.colour", &[]), &["colour", "color", "colours", "colors", "farbe", "couleur", "kleur", "colore"]),
    (
        ("photographs", &[]),
        &[
            "photo",
            "photos",
            "photograph",
            "photographs",
            "image",
            "images",
            "picture",
            "pictures",
            "photo no",
            "photo number",
            "image file",
            "file",
            "filename",
            "file name",
            "image name",
            "foto",
            "fotos",
            "bild",
            "bilder",
            "afbeelding",
            "immagine",
            "imagen",
        ],
    ),
    (
        ("notes", &[]),
        &[
            "notes",
            "note",
            "remarks",
            "remark",
            "comments",
            "comment",
            "other",
            "misc",
            "miscellaneous",
            "additional",
            "info",
            "information",
            "further information",
            "bemerkung",
            "bemerkungen",
            "anmerkung",
            "anmerkungen",
            "notiz",
            "notizen",
            "remarque",
            "remarques",
            "observations",
            "opmerking",
            "opmerkingen",
            "osservazioni",
            "observaciones",
            "notas",
            "sonstiges",
            "other notes",
            "general notes",
        ],
    ),
    (("nothing", &[]), &["lfd nr", "row", "sort", "sort key", "serial", "record id", "record no"]),
];

/// Letters that stand for a dimension, and dimensions in other languages.
pub const DIMENSIONS: &[(&str, &str)] = &[
    ("h", "total height"),
    ("ht", "total height"),
    ("hgt", "total height"),
    ("high", "total height"),
    ("tall", "total height"),
    ("höhe", "total height"),
    ("hauteur", "total height"),
    ("hoogte", "total height"),
    ("altezza", "total height"),
    ("altura", "total height"),
    ("w", "total width"),
    ("wd", "total width"),
    ("wide", "total width"),
    ("breite", "total width"),
    ("b", "total width"),
    ("largeur", "total width"),
    ("breedte", "total width"),
    ("larghezza", "total width"),
    ("ancho", "total width"),
    ("l", "total length"),
    ("lg", "total length"),
    ("lgth", "total length"),
    ("long", "total length"),
    ("length", "total length"),
    ("länge", "total length"),
    ("longueur", "total length"),
    ("lengte", "total length"),
    ("lunghezza", "total length"),
    ("largo", "total length"),
    ("d", "depth, overall"),
    ("dp", "depth, overall"),
    ("deep", "depth, overall"),
    ("depth", "depth, overall"),
    ("tiefe", "depth, overall"),
    ("t", "depth, overall"),
    ("profondeur", "depth, overall"),
    ("diepte", "depth, overall"),
    ("cb", "centre back length"),
    ("length at cb", "centre back length"),
    ("length cb", "centre back length"),
    ("l at cb", "centre back length"),
    ("length at centre back", "centre back length"),
    ("length at center back", "centre back length"),
    ("l cb", "centre back length"),
    ("cf", "centre front length"),
    ("length at cf", "centre front length"),
    ("length cf", "centre front length"),
    ("length at centre front", "centre front length"),
    ("length at center front", "centre front length"),
    ("waist circ", "waist girth"),
    ("w waist", "waist girth"),
    ("taille", "waist girth"),
    ("bust circ", "bust girth"),
    ("hem circ", "hem girth"),
    ("hips girth", "hip girth"),
    ("circumference at waist", "waist girth"),
    ("circumference at hem", "hem girth"),
    ("sleeve l", "sleeve length"),
    ("sleeves", "sleeve length"),
    ("length of sleeve", "sleeve length"),
    ("shoulder to hem", "nape to hem"),
];

/// A heading reduced to what is compared.
pub fn bare(heading: &str) -> String {
    let mut out = String::new();
    for c in heading.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !out.ends_with(' ') && !out.is_empty() {
            out.push(' ');
        }
    }
    out.trim_end().to_owned()
}

/// What a heading is known to mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// What the column is taken for.
    pub target: Target,
    /// Fields that go with it.
    pub with: Vec<(String, String)>,
    /// The unit that the heading states: `cm` of `Height (cm)`.
    pub unit: Option<String>,
}

/// What a heading means, if it is a usual one.
pub fn known(heading: &str, vocabulary: &Vocabulary) -> Option<Known> {
    let unit = unit(heading);
    let whole = bare(heading);
    // The lower of two headings says most; a number that tells repeated ones apart says nothing.
    let lower = heading.rsplit(" / ").next().unwrap_or(heading);
    let numbered = lower
        .trim_end()
        .strip_suffix(')')
        .and_then(|t| t.rsplit_once(" ("))
        .filter(|(_, n)| n.bytes().all(|b| b.is_ascii_digit()));
    let lower = bare(numbered.map_or(lower, |(text, _)| text));
    let without_unit = |text: &str| {
        let words: Vec<&str> = text.split(' ').collect();
        let kept = words
            .iter()
            .filter(|w| !matches!(**w, "cm" | "mm" | "in" | "ins" | "inch" | "inches" | "m"))
            .copied()
            .collect::<Vec<_>>();
        if kept.is_empty() { text.to_owned() } else { kept.join(" ") }
    };
    let candidates = [whole.clone(), lower.clone(), without_unit(&whole), without_unit(&lower)];
    for text in &candidates {
        if let Some(((word, with), _)) = KNOWN.iter().find(|(_, headings)| headings.contains(&text.as_str())) {
            let with = with.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
            return Target::parse(word).ok().map(|target| Known { target, with, unit: unit.clone() });
        }
    }
    candidates.iter().find_map(|text| dimension(text, vocabulary)).map(|name| Known {
        target: Target::Field { section: "measurement", field: "readings" },
        with: vec![("dimension".into(), name)],
        unit,
    })
}

/// The dimension that a label means.
pub fn dimension(label: &str, vocabulary: &Vocabulary) -> Option<String> {
    let bare = bare(label);
    if bare.is_empty() {
        return None;
    }
    if let Some((_, name)) = DIMENSIONS.iter().find(|(short, _)| *short == bare) {
        return Some((*name).to_owned());
    }
    let overall =
        bare.strip_prefix("overall ").or_else(|| bare.strip_prefix("max ")).map(|rest| format!("total {rest}"));
    let term = |text: &str| vocabulary.known(Scheme::Dimension, text).map(|t| t.name().to_owned());
    term(&bare).or_else(|| overall.as_deref().and_then(term))
}

/// The unit of length that stands in a heading.
fn unit(heading: &str) -> Option<String> {
    let lower = heading.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric() && c != '"').filter(|w| !w.is_empty()).skip(1);
    words.into_iter().find_map(|word| match word {
        "cm" | "centimetres" | "centimeters" => Some("cm".to_owned()),
        "mm" | "millimetres" | "millimeters" => Some("mm".to_owned()),
        "in" | "ins" | "inch" | "inches" | "\"" => Some("in".to_owned()),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_headings_are_known_and_others_are_not() {
        let rows = [
            ("Acc. No.", "piece.number", ""),
            ("INVENTARNUMMER", "piece.number", ""),
            ("Numéro d'inventaire", "piece.number", ""),
            ("Dating", "piece.date", ""),
            ("Maße", "dimensions", ""),
            ("Material / Technik", "materials", ""),
            ("Donor", "person.person", "donor"),
            ("Notes (2)", "notes", ""),
            ("Size / H (cm)", "measurement.readings", "total height"),
            ("Waist (in)", "measurement.readings", "waist girth"),
            ("C.B. length", "measurement.readings", "centre back length"),
        ];
        for (heading, word, with) in rows {
            let found = known(heading, Vocabulary::shipped()).unwrap_or_else(|| panic!("`{heading}` should be known"));
            assert_eq!(found.target.word(), word, "{heading}");
            assert_eq!(found.with.first().map_or("", |(_, v)| v.as_str()), with, "{heading}");
        }
        assert_eq!(known("Waist (in)", Vocabulary::shipped()).and_then(|k| k.unit).as_deref(), Some("in"));
        for heading in ["column F", "Xyzzy", ""] {
            assert_eq!(known(heading, Vocabulary::shipped()), None, "{heading}");
        }
    }

    #[test]
    fn every_heading_means_something_that_a_column_can_be_taken_for() {
        let mut seen = std::collections::BTreeSet::new();
        for ((word, _), headings) in KNOWN {
            Target::parse(word).unwrap_or_else(|e| panic!("{e}"));
            for heading in *headings {
                assert_eq!(*heading, bare(heading), "written as it is compared");
                assert!(seen.insert(*heading), "`{heading}` stands twice");
            }
        }
        for (short, name) in DIMENSIONS {
            assert!(Vocabulary::shipped().known(Scheme::Dimension, name).is_some(), "{short}: {name}");
        }
    }
}
