//! The shipped lists keep their promises, and words find their terms.

use std::collections::{HashMap, HashSet};

use dimity::vocabulary::{Relation, Scheme, Side, Term, TermId, Vocabulary, parse_scheme};
use proptest::prelude::*;

fn shipped() -> &'static Vocabulary {
    Vocabulary::shipped()
}

fn found(scheme: Scheme, text: &str) -> String {
    shipped().find(scheme, text).map_or_else(|error| error.to_string(), |term| term.name().to_owned())
}

/// What is compared: lower case without spaces, hyphens and apostrophes.
fn folded(text: &str) -> String {
    text.to_lowercase().chars().filter(|c| !c.is_whitespace() && !"-_'’".contains(*c)).collect()
}

#[test]
fn each_file_parses_and_is_named_after_its_scheme() {
    for scheme in Scheme::ALL {
        let path = format!("{}/schema/vocabulary/{}.toml", env!("CARGO_MANIFEST_DIR"), scheme.key());
        let text = std::fs::read_to_string(&path).expect(&path);
        let terms = parse_scheme(&text).unwrap_or_else(|error| panic!("{path}: {error}"));
        assert!(terms.len() >= 3, "{path} holds too few terms");
        assert!(terms.iter().all(|term| term.id.scheme() == *scheme && !term.local), "{path}");
        let names: Vec<_> = terms.iter().map(Term::name).collect();
        let listed: Vec<_> = shipped().terms(*scheme).map(Term::name).collect();
        assert_eq!(names, listed, "{path}: shipped in file order");
    }
}

#[test]
fn no_file_is_left_out_of_the_schemes() {
    let folder = format!("{}/schema/vocabulary", env!("CARGO_MANIFEST_DIR"));
    let files = std::fs::read_dir(folder).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap());
    let keys: HashSet<String> = files.filter_map(|f| f.strip_suffix(".toml").map(str::to_owned)).collect();
    assert_eq!(keys, Scheme::ALL.iter().map(|s| s.key().to_owned()).collect());
}

#[test]
fn every_term_has_a_sentence_and_a_source() {
    for term in Scheme::ALL.iter().flat_map(|scheme| shipped().terms(*scheme)) {
        let (id, text) = (term.id.as_str(), &term.definition);
        assert!(text.ends_with('.') && text.starts_with(|c: char| c.is_uppercase() || c.is_numeric()), "{id}: {text}");
        assert!(text.len() > 15, "{id}: {text}");
        assert!(term.source.len() > 10, "{id}: {}", term.source);
        assert_eq!(term.name(), term.name().trim(), "{id}");
    }
}

#[test]
fn no_spelling_is_read_as_two_terms() {
    for scheme in Scheme::ALL {
        let mut seen: HashMap<String, &str> = HashMap::new();
        let mut twice = Vec::new();
        for term in shipped().terms(*scheme) {
            for spelling in term.spellings() {
                if let Some(other) = seen.insert(folded(spelling), term.name()) {
                    twice.push(format!("`{spelling}`: `{other}` and `{}`", term.name()));
                }
            }
        }
        assert!(twice.is_empty(), "{}: {twice:#?}", scheme.key());
    }
}

#[test]
fn a_broader_term_stands_before_its_kinds_so_that_no_circle_is_possible() {
    for scheme in Scheme::ALL {
        let mut above = HashSet::new();
        for term in shipped().terms(*scheme) {
            if let Some(broader) = &term.broader {
                assert!(above.contains(broader), "{}: `{broader}` must come first", term.id.as_str());
            }
            above.insert(term.id.clone());
        }
    }
}

#[test]
fn a_garment_names_dimensions_and_components_that_exist() {
    for garment in shipped().terms(Scheme::Garment) {
        let name = garment.name();
        assert!(!garment.dimensions.is_empty() && !garment.components.is_empty(), "{name}");
        for list in [&garment.dimensions, &garment.components] {
            assert_eq!(list.iter().collect::<HashSet<_>>().len(), list.len(), "{name} lists something twice: {list:?}");
        }
        for dimension in &garment.dimensions {
            assert_eq!(found(Scheme::Dimension, dimension), *dimension, "{name}");
        }
        for component in &garment.components {
            let (side, term) = shipped().component_side(component);
            let bare = component.trim_start_matches("left ").trim_start_matches("right ");
            assert_eq!(term.map(Term::name), Some(bare), "{name}: {component}");
            assert_eq!(side.is_some(), bare != component, "{name}: {component}");
        }
    }
}

#[test]
fn a_dimension_says_how_it_is_taken() {
    for dimension in shipped().terms(Scheme::Dimension) {
        assert!(dimension.how.as_ref().is_some_and(|how| how.ends_with('.')), "{}", dimension.name());
        let group = dimension.group.as_deref().unwrap_or_default();
        assert!(["length", "girth", "fixed"].contains(&group), "{}: {group}", dimension.name());
    }
    assert!(shipped().terms(Scheme::Dimension).count() >= 60);
}

#[test]
fn damage_terms_say_kind_looks_causes_and_extent() {
    let kinds = [
        "structural",
        "surface",
        "colour",
        "biological",
        "chemical",
        "old repair",
        "planar distortion",
        "loss of parts",
        "deposit",
    ];
    let mut used = HashSet::new();
    for damage in shipped().terms(Scheme::Damage) {
        let name = damage.name();
        let kind = damage.kind.as_deref().unwrap_or_default();
        assert!(kinds.contains(&kind), "{name}: {kind}");
        used.insert(kind);
        assert!(damage.looks.as_ref().is_some_and(|looks| looks.ends_with('.')), "{name}");
        assert!(!damage.extent.is_empty() && !damage.causes.is_empty(), "{name}");
        for extent in &damage.extent {
            assert!(["length", "area", "count", "percent", "note"].contains(&extent.as_str()), "{name}: {extent}");
        }
        for cause in &damage.causes {
            assert_eq!(found(Scheme::Cause, cause), *cause, "{name}");
        }
        assert!(!damage.confused_with.is_empty(), "{name}: nothing else looks like it?");
        for other in &damage.confused_with {
            assert!(other != name && shipped().find(Scheme::Damage, other).is_ok(), "{name}: `{other}`");
        }
    }
    assert_eq!(used.len(), kinds.len());
    assert!(shipped().terms(Scheme::Damage).count() >= 60);
}

#[test]
fn hazards_say_where_they_occur_and_what_to_do() {
    assert!(shipped().terms(Scheme::Hazard).count() >= 20);
    for hazard in shipped().terms(Scheme::Hazard) {
        let name = hazard.name();
        assert!(hazard.occurs.is_some() && !hazard.cautions.is_empty() && !hazard.avoid.is_empty(), "{name}");
        for sentence in hazard.cautions.iter().chain(&hazard.avoid) {
            assert!(sentence.ends_with('.'), "{name}: {sentence}");
        }
    }
}

#[test]
fn ladders_are_ranked_from_one_without_a_gap() {
    for scheme in [Scheme::Grade, Scheme::Severity, Scheme::Stability, Scheme::Urgency, Scheme::Certainty] {
        let ranks: Vec<u8> = shipped().terms(scheme).filter_map(|term| term.rank).collect();
        assert_eq!(ranks, (1..=ranks.len() as u8).collect::<Vec<_>>(), "{}", scheme.key());
        assert!(ranks.len() >= 3, "{}", scheme.key());
    }
}

#[test]
fn a_word_is_found_by_any_spelling() {
    use Scheme::{Component, Damage, Dimension, Fibre, Hazard, Light, Seam, Stitch, Weave};
    let rows = [
        (Fibre, "linen", "linen"),
        (Fibre, "Flax", "linen"),
        (Fibre, "  linen (FLAX) ", "linen"),
        (Fibre, "fibre/linen", "linen"),
        (Weave, "2/1 Twill", "2/1 twill"),
        (Weave, "weave/2/1 twill", "2/1 twill"),
        (Weave, "tabby", "tabby"),
        (Stitch, "back stitch", "backstitch"),
        (Stitch, "Back-stitch", "backstitch"),
        (Stitch, "301", "301 lockstitch"),
        (Stitch, "tacking (basting)", "tacking"),
        (Seam, "mantua maker’s seam", "mantua-maker's seam"),
        (Damage, "pinhole", "pin hole"),
        (Damage, "stain", "staining"),
        (Damage, "tide-line", "tideline"),
        (Dimension, "hem circumference", "hem girth"),
        (Hazard, "arsenic greens (copper arsenite and acetoarsenite)", "arsenic green"),
        (Light, "daylight, overcast", "daylight, overcast"),
        (Component, "whalebone", "stiffener"),
    ];
    for (scheme, text, name) in rows {
        assert_eq!(found(scheme, text), name, "{text}");
    }
    // A spelling of one list is no word of another.
    assert!(shipped().find(Scheme::Damage, "linen").is_err());
    assert!(shipped().find(Scheme::Damage, "fibre/linen").is_err());
}

#[test]
fn the_terms_of_the_damage_hazard_and_stitch_check_lists_are_there() {
    let damage = "tideline; seam slippage; fading; abrasion; tear; foxing; hole; crease; shattering; broken stiffener; \
        staining; fraying; pin hole; insect damage; soiling; crushed pile; split; crazing; dye loss; accretion; \
        adhesive residue; bleeding; bloom; burn or scorch; corrosion; crocking; cut; delamination; discolouration; \
        distortion; embrittlement; fibre loss (grazing); fold; frass; iron-mordant loss; loss; missing element; mould; \
        odour; oxidation (metal-borne); pilling; salt deposit; seam failure; shrinkage; soiling, general; \
        soiling, local; soot; stain; stiffness; stitch loss; tarnish; tendering; weak area; unidirectional loss; \
        yellowing";
    let stitches = "running stitch; tacking (basting); backstitch; half backstitch; combination stitch; slip stitch; \
        whip stitch (overcasting); felling (hemming) stitch; herringbone (catch) stitch; buttonhole stitch; eyelet; \
        worked bar, thread loop; gauging (cartridge pleating); darning; couching; quilting; 301 lockstitch; \
        602/605 cover stitch; chain stitch, hand; marking (cross) stitch; 515 safety stitch";
    let seams = "plain seam; flat-felled seam; run and fell; mantua-maker's seam; stacked (lapped) seam; French seam; \
        English stitch (lined seam in one sewing); counter hem; bound seam or edge; narrow hem, rolled hem; \
        selvedge seam";
    // Evidence of making and use, never scored as damage.
    let signs = "alteration; repair; wear";
    for text in signs.split("; ") {
        assert!(shipped().find(Scheme::Damage, text).is_err(), "{text}");
    }
    let lists = [(Scheme::Damage, damage), (Scheme::Stitch, stitches), (Scheme::Seam, seams), (Scheme::Sign, signs)];
    for (scheme, list) in lists {
        for text in list.split("; ") {
            assert!(shipped().find(scheme, text).is_ok(), "{}", found(scheme, text));
        }
    }
}

#[test]
fn an_unknown_word_is_answered_with_the_nearest_terms() {
    let rows = [
        (Scheme::Fibre, "lnen", "`lnen` is no fibre; did you mean `linen`?"),
        (Scheme::Damage, "tidelin", "`tidelin` is no damage term; did you mean `tideline`?"),
        (Scheme::Activity, "activ", "`activ` is no activity; did you mean `active` or `inactive`?"),
        (Scheme::Fibre, "xyzzy", "`xyzzy` is no fibre; list them with `dimity terms fibre`"),
        (Scheme::Fibre, "", "`` is no fibre; list them with `dimity terms fibre`"),
        (
            Scheme::TextileRole,
            "shel lining",
            "`shel lining` is no textile role; did you mean `lining`, `shell` or `interlining`?",
        ),
    ];
    for (scheme, text, answer) in rows {
        assert_eq!(shipped().find(scheme, text).unwrap_err().to_string(), answer);
    }
    let many = shipped().find(Scheme::Stitch, "stitch").unwrap_err();
    assert_eq!(many.nearest.len(), 3, "three at most: {many}");
    assert!(many.to_string().contains("` or `"), "{many}");
    let long = shipped().find(Scheme::Fibre, &"é".repeat(100_000)).unwrap_err();
    assert_eq!(long.text, format!("{}…", "é".repeat(60)));
}

#[test]
fn a_term_stands_to_another_as_the_tree_says() {
    let id = |text: &str| TermId::parse(text).expect(text);
    let rows = [
        ("fibre/linen", "fibre/linen", Relation::Same),
        ("fibre/silk", "fibre/tussah silk", Relation::Broader),
        ("fibre/animal fibre", "fibre/tussah silk", Relation::Broader),
        ("fibre/tussah silk", "fibre/silk", Relation::Narrower),
        ("fibre/linen", "fibre/hemp", Relation::Related { common: id("fibre/bast fibre") }),
        ("fibre/linen", "fibre/cotton", Relation::Related { common: id("fibre/plant fibre") }),
        ("fibre/linen", "fibre/silk", Relation::Different),
        ("fibre/linen", "damage/hole", Relation::Different),
        ("fibre/moonbeam", "fibre/linen", Relation::Different),
        ("fibre/moonbeam", "fibre/moonbeam", Relation::Same),
        ("weave/2/1 twill Z", "weave/2/1 twill S", Relation::Related { common: id("weave/2/1 twill") }),
    ];
    for (a, b, relation) in rows {
        assert_eq!(shipped().relation(&id(a), &id(b)), relation, "{a} to {b}");
    }
}

#[test]
fn local_terms_join_the_list_and_never_displace_a_shipped_one() {
    let local = |name: &str, also: &[&str], broader: Option<&str>| Term {
        id: TermId::new(Scheme::Fibre, name),
        also: also.iter().map(ToString::to_string).collect(),
        broader: broader.map(|wider| TermId::new(Scheme::Fibre, wider)),
        definition: "Of our own.".to_owned(),
        source: "our own".to_owned(),
        ..Term::default()
    };
    let words = shipped().with_local(vec![
        local("sea silk", &["byssus", "silk"], Some("animal fibre")),
        local("linen", &[], None),
        local("flax", &[], None),
        local("ouroboros", &[], Some("worm")),
        local("worm", &[], Some("ouroboros")),
    ]);
    let name = |text: &str| words.find(Scheme::Fibre, text).map(|term| term.name().to_owned()).unwrap_or_default();
    assert_eq!(name("byssus"), "sea silk");
    assert_eq!(name("silk"), "silk", "a shipped name stands");
    assert_eq!(name("flax"), "linen", "a shipped spelling stands");
    assert!(words.get(&TermId::new(Scheme::Fibre, "flax")).is_some_and(|term| term.local), "still there by its id");
    assert!(!words.get(&TermId::new(Scheme::Fibre, "linen")).unwrap().local);
    assert!(words.get(&TermId::new(Scheme::Fibre, "sea silk")).unwrap().local, "marked, whatever was passed in");
    assert_eq!(words.terms(Scheme::Fibre).last().map(Term::name), Some("worm"));
    let (a, b) = (TermId::new(Scheme::Fibre, "ouroboros"), TermId::new(Scheme::Fibre, "worm"));
    assert!(matches!(words.relation(&a, &b), Relation::Broader | Relation::Narrower), "a circle ends");
    assert_eq!(
        words.relation(&TermId::new(Scheme::Fibre, "sea silk"), &TermId::new(Scheme::Fibre, "wool")),
        Relation::Related { common: TermId::new(Scheme::Fibre, "animal fibre") }
    );
    assert!(shipped().find(Scheme::Fibre, "byssus").is_err(), "the shipped lists are untouched");
}

#[test]
fn a_component_is_split_into_side_and_part() {
    let rows = [
        ("left front", Some(Side::Left), Some("front")),
        ("Right Sleeve", Some(Side::Right), Some("sleeve")),
        ("left sleeve lining", Some(Side::Left), Some("sleeve lining")),
        ("sleeve linings", None, Some("sleeve lining")),
        ("right front lining", Some(Side::Right), Some("front lining")),
        ("right skirt lining", Some(Side::Right), Some("skirt lining")),
        ("collar binding", None, Some("binding")),
        ("centre front", Some(Side::Centre), Some("front")),
        ("centre back panel", Some(Side::Centre), Some("back panel")),
        ("centre front binding", Some(Side::Centre), Some("front binding")),
        ("right armhole seam", Some(Side::Right), Some("armhole")),
        ("skirt front hem", None, Some("skirt front hem")),
        ("bone channel 3", None, Some("bone channel")),
        ("button 4", None, Some("button")),
        ("buttons", None, Some("button")),
        ("lace left cuff", Some(Side::Left), Some("cuff")),
        ("left side front", Some(Side::Left), Some("side front")),
        ("side-back (left)", Some(Side::Left), Some("side back")),
        ("underarm gussets", None, Some("underarm gusset")),
        ("body", None, Some("body")),
        ("left", Some(Side::Left), None),
        ("moonbeam", None, None),
        ("", None, None),
    ];
    for (name, side, part) in rows {
        let (found_side, term) = shipped().component_side(name);
        let part = part.map(|part| found(Scheme::Component, part));
        assert_eq!((found_side, term.map(|term| term.name().to_owned())), (side, part), "{name}");
    }
    assert_eq!([Side::Left, Side::Right, Side::Centre].map(|s| s.to_string()), ["left", "right", "centre"]);
}

#[test]
fn an_id_reads_and_prints() {
    let id = TermId::parse("weave/2/1 twill").unwrap();
    assert_eq!((id.scheme(), id.name(), id.as_str()), (Scheme::Weave, "2/1 twill", "weave/2/1 twill"));
    assert_eq!(id.to_string(), "2/1 twill");
    assert_eq!(serde_json::to_string(&id).unwrap(), "\"weave/2/1 twill\"");
    assert_eq!(serde_json::from_str::<TermId>("\"weave/2/1 twill\"").unwrap(), id);
    for bad in ["linen", "fibre/", "fibre/ ", "fabric/linen", "/linen", ""] {
        assert_eq!(TermId::parse(bad), None, "{bad}");
    }
    let error = serde_json::from_str::<TermId>("\"linen\"").unwrap_err().to_string();
    assert!(error.starts_with("`linen` is no term id; write `scheme/name`"), "{error}");
}

#[test]
fn scheme_keys_read_back_and_are_plain() {
    for scheme in Scheme::ALL {
        assert_eq!(Scheme::from_key(scheme.key()), Some(*scheme));
        assert!(scheme.key().chars().all(|c| c.is_ascii_lowercase() || c == '_'));
    }
    assert_eq!(Scheme::from_key("Fibre"), None);
    assert_eq!(Scheme::ALL.iter().map(|s| s.title()).collect::<HashSet<_>>().len(), Scheme::ALL.len());
}

#[test]
fn a_broken_file_is_refused_with_the_place_and_the_mend() {
    let head = "scheme = \"fibre\"\ntitle = \"Fibres\"\nnote = \"n\"\n";
    let term = |body: &str| format!("{head}[[term]]\n{body}");
    let rows = [
        ("scheme = \"yarns\"\ntitle = \"Y\"\nnote = \"n\"".to_owned(), "`yarns` is no scheme"),
        ("scheme = \"fibre\"\ntitle = \"Yarns\"\nnote = \"n\"".to_owned(), "write `Fibres`"),
        ("scheme = \"fibre\"\ntitle = \"Fibres\"\nnote = \" \"".to_owned(), "empty note"),
        (term("name = \" \"\ndefinition = \"d\"\nsource = \"s\""), "has no name"),
        (term("name = \"a\"\ndefinition = \"\"\nsource = \"s\""), "`a` of `fibre` has an empty definition"),
        (term("name = \"a\"\ndefinition = \"d\"\nsource = \" \""), "`a` of `fibre` has an empty source"),
        (term("name = \"a\"\ndefinition = \"d\""), "source"),
        (term("name = \"a\"\ndefinition = \"d\"\nsource = \"s\"\ncolour = \"red\""), "colour"),
        ("scheme =".to_owned(), "line 1"),
    ];
    for (text, part) in rows {
        let error = parse_scheme(&text).unwrap_err();
        assert!(error.contains(part), "{error}");
    }
    assert!(parse_scheme(head).unwrap().is_empty());
}

#[test]
fn the_version_is_short_and_steady() {
    let version = shipped().version();
    assert!(version.len() == 8 && version.chars().all(|c| c.is_ascii_hexdigit()), "{version}");
    assert_eq!(version, shipped().with_local(Vec::new()).version());
}

proptest! {
    #[test]
    fn no_text_makes_a_search_panic(text in ".{0,80}", which in 0..Scheme::ALL.len()) {
        let scheme = Scheme::ALL[which];
        match shipped().find(scheme, &text) {
            Ok(term) => prop_assert!(term.id.scheme() == scheme),
            Err(error) => prop_assert!(error.nearest.len() <= 3 && !error.to_string().is_empty()),
        }
        let _ = shipped().component_side(&text);
        let _ = TermId::parse(&text);
        let _ = parse_scheme(&text);
    }

    #[test]
    fn a_term_is_found_however_it_is_spaced_and_capitalised(pick in any::<prop::sample::Index>(), upper: bool) {
        let all: Vec<&Term> = Scheme::ALL.iter().flat_map(|scheme| shipped().terms(*scheme)).collect();
        let term = pick.get(&all);
        for spelling in term.spellings() {
            let text = spelling.replace(' ', "  ").replace('-', " ");
            let text = if upper { text.to_uppercase() } else { text };
            prop_assert_eq!(shipped().find(term.id.scheme(), &text).map(|t| &t.id), Ok(&term.id));
        }
        prop_assert_eq!(shipped().get(&term.id).map(|t| &t.id), Some(&term.id));
    }
}

#[test]
fn every_rights_statement_has_its_identifier_and_address() {
    // Source: rightsstatements.org, the twelve statements of version 1.0.
    const STATEMENTS: [&str; 12] = [
        "InC",
        "InC-OW-EU",
        "InC-EDU",
        "InC-NC",
        "InC-RUU",
        "NoC-CR",
        "NoC-NC",
        "NoC-OKLR",
        "NoC-US",
        "CNE",
        "UND",
        "NKC",
    ];
    // Source: SPDX licence list, and the addresses that Creative Commons gives in its metadata.
    const LICENCES: [(&str, &str); 8] = [
        ("CC0-1.0", "publicdomain/zero/1.0"),
        ("CC-PDM-1.0", "publicdomain/mark/1.0"),
        ("CC-BY-4.0", "licenses/by/4.0"),
        ("CC-BY-SA-4.0", "licenses/by-sa/4.0"),
        ("CC-BY-ND-4.0", "licenses/by-nd/4.0"),
        ("CC-BY-NC-4.0", "licenses/by-nc/4.0"),
        ("CC-BY-NC-SA-4.0", "licenses/by-nc-sa/4.0"),
        ("CC-BY-NC-ND-4.0", "licenses/by-nc-nd/4.0"),
    ];
    let statement = |id: &str| format!("http://rightsstatements.org/vocab/{id}/1.0/");
    let expected: Vec<(String, String)> = STATEMENTS
        .iter()
        .map(|id| ((*id).to_owned(), statement(id)))
        .chain(LICENCES.iter().map(|(id, path)| ((*id).to_owned(), format!("http://creativecommons.org/{path}/"))))
        .collect();
    let found = shipped().terms(Scheme::Rights).map(|t| (t.identifier.clone(), t.uri.clone()));
    let found: Vec<(String, String)> = found.filter_map(|(id, uri)| id.zip(uri)).collect();
    assert_eq!(found, expected);
    // However an address is copied, it is the same statement.
    for (id, uri) in &expected {
        for written in [id.clone(), uri.clone(), uri.replace("http:", "https:"), uri.trim_end_matches('/').to_owned()] {
            let term = shipped().find(Scheme::Rights, &written).unwrap_or_else(|e| panic!("{e}"));
            assert_eq!(term.identifier.as_deref(), Some(id.as_str()), "{written}");
        }
    }
}
