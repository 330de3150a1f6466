//! Every rule against a sheet that meets it and one that does not.

use std::collections::HashSet;

use serde::Deserialize;

use super::*;
use crate::exchange::sheet::{Known, read};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

/// One row: the rule, what the source says, a sheet that meets it and one that does not.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    rule: String,
    source: String,
    says: String,
    fits: String,
    misses: String,
}

fn cases() -> Vec<Case> {
    toml::from_str::<Cases>(include_str!("../../../fixtures/checks/hazard_rules.toml")).expect("the cases parse").case
}

/// A piece from the lines of a sheet; number, nature and examination go without saying.
fn piece(lines: &str) -> PieceFile {
    let (head, rest) = lines.split_at(lines.find("[[").unwrap_or(lines.len()));
    let text = format!(
        "[piece]\nnumber = \"1\"\nnature = \"extant\"\nobject_name = \"piece\"\n{head}\n[examination]\ndate = 2024-03-12\n\
         examiner = \"A\"\n{rest}"
    );
    let known = Known {
        vocabulary: Vocabulary::shipped(),
        components: &|_| None,
        conventions: crate::dating::Conventions::default(),
    };
    let sheet = read(&text, &known);
    sheet.unwrap_or_else(|wrong| panic!("{text}\n{}", wrong.iter().map(ToString::to_string).collect::<String>())).file
}

fn pointers(lines: &str) -> Vec<Pointer> {
    suggest(&piece(lines), Vocabulary::shipped()).into_iter().flat_map(|s| s.by).collect()
}

fn names(lines: &str) -> Vec<&'static str> {
    pointers(lines).into_iter().map(|p| p.rule).collect()
}

#[test]
fn each_rule_is_met_by_one_sheet_and_missed_by_another() {
    let mut left: HashSet<&str> = rules().iter().map(|r| r.name.as_str()).collect();
    assert!(left.len() >= 30);
    for case in cases() {
        assert!(case.source.len() > 10 && case.says.len() > 10, "{}: what does the source say?", case.rule);
        assert!(names(&case.fits).contains(&case.rule.as_str()), "{} missed\n{}", case.rule, case.fits);
        assert!(!names(&case.misses).contains(&case.rule.as_str()), "{} met\n{}", case.rule, case.misses);
        left.remove(case.rule.as_str());
    }
    assert!(left.is_empty(), "rules without a case: {left:?}");
}

#[test]
fn rules_are_whole_and_never_call_a_piece_safe() {
    let vocabulary = Vocabulary::shipped();
    let mut seen = HashSet::new();
    for rule in rules() {
        assert!(seen.insert(&rule.name), "`{}` twice", rule.name);
        let hazard = TermId::new(Scheme::Hazard, &rule.hazard);
        assert!(vocabulary.get(&hazard).is_some(), "{}: no hazard `{}`", rule.name, rule.hazard);
        assert!(rule.sentence.ends_with('.') && !rule.source.trim().is_empty(), "{}", rule.name);
        assert!(!rule.when.all.is_empty(), "{} asks for nothing", rule.name);
        let said = format!("{} {} {}", rule.name, rule.sentence, rule.source).to_lowercase();
        for word in ["safe", "harmless", "no risk", " contains "] {
            assert!(!said.contains(word), "{}: `{word}`", rule.name);
        }
        for clause in &rule.when.all {
            for id in &clause.terms {
                assert!(vocabulary.get(id).is_some(), "{}: no term `{}`", rule.name, id.as_str());
            }
        }
    }
}

#[test]
fn the_reasons_name_the_years_and_the_lines_that_met_the_rule() {
    let green = "[[trimming]]\ntrimming = \"ribbon\"\nmaterial = \"bright green silk\"\n";
    let rows = [
        ("date = \"1855-65\"\n", "date 1855–1865 overlaps 1775–1900"),
        ("date = \"before 1780\"\n", "date 1779 or earlier overlaps 1775–1900"),
        ("", "date not recorded, which counts as possible (1775–1900)"),
        ("date = \"undated\"\n", "the date names no year, which counts as possible (1775–1900)"),
    ];
    for (date, reason) in rows {
        let found = pointers(&format!("{date}{green}"));
        let found = found.iter().find(|p| p.rule == "bright green").unwrap_or_else(|| panic!("{date}"));
        assert_eq!(found.reasons, [reason, "colour `bright green silk` of trimming `ribbon`"], "{date}");
    }
    assert!(!names(&format!("date = \"1905-10\"\n{green}")).contains(&"bright green"));
    assert!(!names(&format!("date = \"1760\"\n{green}")).contains(&"bright green"));
    let altered = format!("date = \"1760\"\n{green}[[sign]]\nsign = \"replaced part\"\n");
    let found = pointers(&altered);
    assert_eq!(
        found.iter().find(|p| p.rule == "bright green").map(|p| p.reasons[0].as_str()),
        Some("date 1760 is earlier than 1775–1900, but something added or replaced is recorded, which may be later")
    );
    let late = format!("date = \"1905-10\"\n{green}[[sign]]\nsign = \"replaced part\"\n");
    assert!(!names(&late).contains(&"bright green"), "an addition is never earlier than the piece");
    let let_down = format!("date = \"1760\"\n{green}[[sign]]\nsign = \"let down\"\n");
    assert!(!names(&let_down).contains(&"bright green"), "letting down adds nothing");
}

#[test]
fn a_colour_reading_points_as_well_as_a_word() {
    let read = |a: f64| {
        format!("date = \"1860\"\n[[textile]]\nrole = \"shell\"\ncolours = [{{ l = 48.0, a = {a:.1}, b = 20.0 }}]\n")
    };
    assert!(names(&read(-40.0)).contains(&"bright green"));
    assert!(!names(&read(-4.0)).contains(&"bright green"));
    assert!(!names(&read(40.0)).contains(&"bright green"));
}

#[test]
fn a_green_that_is_no_bright_one_is_pointed_at_all_the_same() {
    let of = |name: &str| rules().iter().find(|r| r.name == name).map(|r| &r.when);
    let (bright, dull) = (of("bright green").expect("a rule"), of("dark or dull green").expect("a rule"));
    assert_eq!(bright.all[0].unless, dull.all[0].colours, "what the one passes over the other takes up");
    assert_eq!((bright.from, bright.to), (dull.from, dull.to));
    for colour in ["dark green", "bottle-green", "olive green", "moss green", "dark silk green", "green", "grey green"]
    {
        let found = pointers(&format!("date = \"1868\"\n[[textile]]\nrole = \"shell\"\ncolour = \"{colour}\"\n"));
        let of_green = found.iter().filter(|p| p.rule.ends_with("green")).count();
        assert_eq!(of_green, 1, "{colour}");
    }
}

#[test]
fn what_is_recorded_is_not_suggested_again_and_a_wider_hazard_hides_none() {
    let silk = "date = \"1880\"\n[[textile]]\nrole = \"shell\"\nfibres = [\"silk\"]\ncolour = \"green\"\n";
    let with = |hazard: &str| names(&format!("{silk}[[hazard]]\nhazard = \"{hazard}\"\n"));
    assert!(names(silk).contains(&"bright green"));
    assert!(!with("arsenic green").contains(&"bright green"));
    assert!(with("poison").contains(&"bright green"));
    assert!(with("arsenic green").contains(&"silk of the weighting years"));
    // A narrower finding stands for the wider suggestion.
    let wool = "date = \"1880\"\n[[textile]]\nrole = \"shell\"\nfibres = [\"wool\"]\n[[hazard]]\nhazard = \"DDT\"\n";
    assert!(!names(wool).contains(&"wool and hair kept from moth"));
    // The words of a recorded hazard are no second evidence, and a withdrawn one is no record.
    let basis = "[[hazard]]\nhazard = \"poison\"\nbasis = \"smell of moth balls\"\n";
    assert!(!names(basis).contains(&"moth balls named"));
    let mut withdrawn = piece(&format!("{silk}[[hazard]]\nhazard = \"arsenic green\"\n"));
    withdrawn.examinations[0].hazards[0].withdrawn = Some("by mistake".into());
    let found = suggest(&withdrawn, Vocabulary::shipped());
    assert!(found.iter().any(|s| s.hazard.name() == "arsenic green"));
}

#[test]
fn a_pattern_or_a_picture_holds_nothing_and_a_blank_piece_is_pointed_at_by_nothing() {
    let mut file = piece("date = \"1860\"\n[[textile]]\nrole = \"shell\"\ncolour = \"bright green\"\n");
    assert!(!suggest(&file, Vocabulary::shipped()).is_empty());
    for nature in ["published pattern", "depiction"] {
        file.piece.nature = Some(TermId::new(Scheme::Nature, nature));
        assert_eq!(suggest(&file, Vocabulary::shipped()), [], "{nature}");
    }
    assert_eq!(suggest(&PieceFile::default(), Vocabulary::shipped()), []);
}

#[test]
fn damage_that_a_later_note_took_up_counts_as_the_later_note_says() {
    let mut file = piece("[[condition]]\ndamage = \"mould\"\n");
    assert_eq!(suggest(&file, Vocabulary::shipped()).len(), 1);
    file.examinations[0].conditions[0].id = Some("c1".into());
    let mut later = file.examinations[0].clone();
    later.conditions[0].id = Some("c2".into());
    later.conditions[0].what.continues = Some("c1".into());
    later.conditions[0].what.damage = Some(TermId::new(Scheme::Damage, "staining"));
    file.examinations.push(later);
    assert_eq!(suggest(&file, Vocabulary::shipped()), []);
}
