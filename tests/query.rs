//! The language of searches: what is read, what is refused and where, what binds closest; and that the sets found by SQL
//! are those that a plain walk over the records finds.

mod support;

#[path = "query/catalogue.rs"]
mod catalogue;
#[path = "query/naive.rs"]
mod naive;
#[path = "support/random.rs"]
#[allow(dead_code, reason = "the dice alone are used here")]
mod random;

use std::collections::BTreeMap;

use dimity::query::{EXAMPLES, KEYS, Query, RULES, Reading};
use proptest::prelude::*;

fn read(text: &str) -> Query {
    Query::parse(text, &Reading::default()).unwrap_or_else(|m| panic!("`{text}` should be read:\n{m}"))
}

/// What is written, and how it is understood when written plainly.
const UNDERSTOOD: &[(&str, &str)] = &[
    ("", ""),
    ("  ", ""),
    ("silk", "silk"),
    ("Silk*", "Silk"),
    ("silk twill", "silk twill"),
    ("silk and twill", "silk twill"),
    ("\"silk twill\"", "\"silk twill\""),
    ("“silk twill”", "\"silk twill\""),
    ("\"silk\"", "\"silk\""),
    ("\"a \"\"word\"\" here\"", "\"a \"\"word\"\" here\""),
    // Terms: any spelling, written by the term's name.
    ("fibre:Flax", "fibre:linen"),
    ("fiber:silk", "fibre:silk"),
    ("FIBRE:silk", "fibre:silk"),
    ("fibre: silk", "fibre:silk"),
    ("fibre:=silk", "fibre:=silk"),
    ("fibre:\"tussah silk\"", "fibre:\"tussah silk\""),
    ("weave:twill", "structure:twill"),
    ("technique:backstitch", "stitch:backstitch"),
    ("component:\"left sleeve\"", "component:\"left sleeve\""),
    ("condition:active", "condition:active"),
    ("condition:Unstable", "condition:unstable"),
    // A statement of rights: by identifier, address or name.
    ("rights:InC", "rights:\"In Copyright\""),
    ("rights:\"http://rightsstatements.org/vocab/UND/1.0/\"", "rights:\"Copyright Undetermined\""),
    ("rights:=\"no known copyright\"", "rights:=\"No Known Copyright\""),
    ("lacks:rights", "lacks:rights"),
    ("fibre:(silk or wool)", "fibre:silk or fibre:wool"),
    ("fibre:(silk not wool)", "fibre:silk not fibre:wool"),
    ("not fibre:(silk or wool)", "not (fibre:silk or fibre:wool)"),
    // Figures, with and without quotes and blanks.
    ("sett:>30", "sett:>30"),
    ("sett: > 30", "sett:>30"),
    ("sett:(>30 or <10)", "sett:>30 or sett:<10"),
    ("stitches:8..10/in", "stitches:8..10/in"),
    ("bust:>80cm", "\"bust girth\":>80cm"),
    ("bust:>31 1/2 in silk", "\"bust girth\":>\"31 1/2 in\" silk"),
    ("waist-girth:60..70cm", "\"waist girth\":60..70cm"),
    ("yarn:<20tex", "yarn:<20tex"),
    ("weight:<120", "weight:<120"),
    ("twist:s", "twist:S"),
    // Dates.
    ("date:1800..1820", "date:1800..1820"),
    ("date:c. 1815 silk", "date:\"c. 1815\" silk"),
    ("date:early 19th century", "date:\"early 19th century\""),
    ("examined:2024-03", "examined:2024-03"),
    ("has:photographs", "has:photograph"),
    ("lacks:fibre", "lacks:fibre"),
    // What binds closest: not, then and, then or.
    ("a b or c d", "a b or c d"),
    ("a (b or c) d", "a (b or c) d"),
    ("(a or b) and (c or d)", "(a or b) (c or d)"),
    ("not a b", "not a b"),
    ("not (a b)", "not (a b)"),
    ("not not a", "not not a"),
    ("a and not b or c", "a not b or c"),
    ("((a))", "a"),
    ("\"and\" or \"or\"", "\"and\" or \"or\""),
];

#[test]
fn each_way_of_writing_is_understood_and_reads_back() {
    for (text, plain) in UNDERSTOOD {
        let query = read(text);
        assert_eq!(query.to_string(), *plain, "`{text}`");
        assert_eq!(read(plain), query, "`{plain}` reads back as what `{text}` means");
    }
}

/// What is refused: the place, the beginning of the cause, and a part of the mend.
const REFUSED: &[(&str, &str, &str, &str)] = &[
    ("fibre:slk", "slk", "`slk` is no fibre", "did you mean `silk`"),
    ("date:1815 fibre:\"tusah silk\"", "tusah silk", "`tusah silk` is no fibre", "did you mean `tussah"),
    ("fibres:silk", "fibres", "`fibres` is no key", "did you mean `fibre`"),
    ("1:8", "1", "`1` is no key", "put them in quotes"),
    ("fibre:", "fibre:", "`fibre` has no value", "fibre:silk"),
    ("fibre: or silk", "fibre:", "`fibre` has no value", "fibre:silk"),
    ("silk and", "", "something is missing here", "quote"),
    ("or silk", "or", "something is missing before `or`", "quotes"),
    ("silk or or wool", "or", "something is missing before `or`", "quotes"),
    ("()", ")", "something is missing before this bracket", "there"),
    ("(silk", "(", "this bracket is not closed", "`)`"),
    ("silk)", ")", "this bracket closes nothing", "take it out"),
    ("\"silk", "\"silk", "these quotes are not closed", "for inches write `in`"),
    (">30", ">30", "`>` needs a key before it", "sett:>30"),
    ("fibre:>silk", "silk", "`fibre` takes a word", "fibre:silk"),
    ("stitches:9", "", "the count has no length", "per cm"),
    ("bust:>80", "", "", "80"),
    ("stitches:10..8/in", "10..8/in", "the first end is larger", "8/in..10"),
    ("date:1820..1800", "1820..1800", "the first year lies behind", "1800..1820"),
    ("date:undated", "undated", "`undated` names no years", "lacks:date"),
    ("examined:yesterday", "yesterday", "`yesterday` is no day", "2024-03-12"),
    ("examined:2024-02-30", "2024-02-30", "`2024-02-30` is no day", "2024-03-12"),
    ("has:photo", "photo", "`photo` is nothing that a record has or lacks", "did you mean `photograph`"),
    ("twist:Y", "Y", "`Y` is no twist", "`S` or `Z`"),
    ("kept:mine", "mine", "there is no kept search `mine`", "dimity searches"),
    ("condition:stabel", "stabel", "`stabel` is no word of condition", "did you mean `stable`"),
    ("-", "-", "there is no letter or digit", ""),
];

#[test]
fn each_mistake_is_pointed_at_with_cause_and_mend() {
    for (text, place, why, mend) in REFUSED {
        let mistake = Query::parse(text, &Reading::default()).expect_err(text);
        let shown = mistake.to_string();
        assert_eq!(
            text.get(mistake.span.clone()),
            Some(*place).filter(|p| !p.is_empty()).or(text.get(mistake.span.clone())),
            "{shown}"
        );
        assert!(mistake.why.starts_with(why), "{shown}");
        assert!(mistake.sentence().contains(mend), "`{mend}` should stand in\n{shown}");
    }
}

#[test]
fn the_place_is_marked_under_the_text() {
    let mistake = Query::parse("garment:bodice fibre:slk", &Reading::default()).expect_err("refused");
    assert_eq!(
        mistake.to_string(),
        "this search cannot be read\n  garment:bodice fibre:slk\n                       ^^^\n`slk` is no fibre; did you mean `silk`?"
    );
}

#[test]
fn sets_stand_for_their_query_and_never_go_in_a_circle() {
    let sets = |list: &[(&str, &str)]| Reading {
        sets: list.iter().map(|(n, q)| ((*n).to_owned(), (*q).to_owned())).collect::<BTreeMap<_, _>>(),
        ..Reading::default()
    };
    let reading = sets(&[
        ("silks", "fibre:silk"),
        ("early silks", "kept:silks date:<1800"),
        ("a", "kept:b"),
        ("b", "not kept:a"),
        ("bad", "fibre:x"),
    ]);
    let query = Query::parse("kept:\"Early Silks\" or twill", &reading).expect("read");
    assert_eq!(query.to_string(), "kept:\"early silks\" or twill");
    assert_eq!(query.may_be_blank(), ["fibre", "date"]);
    for (text, why) in [
        ("kept:a", "the search names itself in a circle: a, which names b, which names a"),
        ("kept:bad", "the kept search `bad` cannot be read: `x` is no fibre"),
        ("kept:silk", "there is no kept search `silk`"),
    ] {
        assert!(Query::parse(text, &reading).expect_err(text).why.starts_with(why), "{text}");
    }
    // Sets that double at each step are read once each.
    let doubling: Vec<(String, String)> = (0..50)
        .map(|i| (format!("s{i}"), if i == 0 { "silk".into() } else { format!("kept:s{} or kept:s{}", i - 1, i - 1) }))
        .collect();
    let reading = Reading { sets: doubling.into_iter().collect(), ..Reading::default() };
    Query::parse("kept:s49", &reading).expect("read");
}

#[test]
fn every_key_and_every_example_of_the_help_can_be_read() {
    let reading =
        Reading { sets: [("regency bodices".to_owned(), "garment:bodice".to_owned())].into(), ..Reading::default() };
    for key in KEYS {
        assert!(!key.help.is_empty() && key.help.len() < 90, "{}", key.name);
        let query =
            Query::parse(key.example, &reading).unwrap_or_else(|m| panic!("the example of `{}`: {m}", key.name));
        assert!(query.to_string().starts_with(&format!("{}:", key.name)), "{}", key.example);
    }
    for (query, _) in EXAMPLES {
        Query::parse(query, &reading).unwrap_or_else(|m| panic!("{m}"));
    }
    assert!(RULES.len() + EXAMPLES.len() <= 20, "the language is taught in twenty lines");
}

#[test]
fn what_goes_too_deep_or_too_far_is_refused() {
    for text in [
        "(".repeat(5000),
        "not ".repeat(2400) + "x",
        "fibre:".repeat(1000),
        "x".repeat(10_001),
        "(".repeat(70) + "x" + &")".repeat(70),
    ] {
        Query::parse(&text, &Reading::default()).expect_err("refused");
    }
    read(&format!("{}x{}", "(".repeat(50), ")".repeat(50)));
}

/// Texts that look like queries.
fn shreds() -> impl Strategy<Value = String> {
    let part = prop_oneof![
        "[a-zß ]{0,6}",
        Just("\"".to_owned()),
        Just("(".to_owned()),
        Just(")".to_owned()),
        Just(" and ".to_owned()),
        Just(" or ".to_owned()),
        Just(" not ".to_owned()),
        Just("..".to_owned()),
        Just(">".to_owned()),
        Just("<=".to_owned()),
        Just("=".to_owned()),
        Just("fibre:".to_owned()),
        Just("sett:".to_owned()),
        Just("date:".to_owned()),
        Just("bust:".to_owned()),
        Just("yarn:".to_owned()),
        Just("has:".to_owned()),
        Just("examined:".to_owned()),
        Just("silk".to_owned()),
        Just("c. 1815".to_owned()),
        Just("30/cm".to_owned()),
        Just("20tex".to_owned()),
        Just("80cm".to_owned()),
        Just("1/2 in".to_owned()),
        Just("2024-03".to_owned()),
        Just("30Ne".to_owned()),
        "\\PC{0,3}",
    ];
    prop::collection::vec(part, 0..14).prop_map(|parts| parts.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn any_text_is_read_or_pointed_at(text in prop_oneof![shreds(), "\\PC{0,60}", any::<String>()]) {
        match Query::parse(&text, &Reading::default()) {
            Ok(query) => {
                let plain = query.to_string();
                let again = Query::parse(&plain, &Reading::default());
                prop_assert_eq!(again.as_ref().map_err(ToString::to_string), Ok(&query), "`{}` from `{}`", plain, text);
            }
            Err(mistake) => {
                prop_assert!(text.get(mistake.span.clone()).is_some(), "{:?} lies in `{}`", mistake.span, text);
                prop_assert!(!mistake.sentence().is_empty() && mistake.to_string().contains('^'));
            }
        }
    }
}
