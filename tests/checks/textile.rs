//! Cloth: published values, a second opinion by reference libraries, and properties.
#![allow(clippy::float_cmp, reason = "limits and whole figures are exact")]

use dimity::dating::Conventions;
use dimity::measure::{Estimate, Kind, Quantity, YarnSystem};
use dimity::reckon::Calculator;
use dimity::textile::fibre::{self, Property};
use dimity::textile::mass::{self, Threads};
use dimity::textile::sett::{self, Density};
use dimity::textile::twist::{self, Tightness};
use dimity::textile::weave::{Repeat, satin_steps};
use dimity::textile::yarn::{YarnNumber, resultant};
use dimity::textile::{Mark, cover};
use dimity::vocabulary::{Scheme, TermId, Vocabulary};
use proptest::prelude::*;

use super::table::{Row, rows};

fn exact(value: f64) -> Estimate {
    Estimate::exact(value)
}

/// Fails unless the figure is the wanted one to 12 significant places.
fn same(row: &Row, what: &str, found: f64, wanted: f64) {
    row.near(what, found, wanted, wanted.abs() * 1e-12);
}

fn system(sign: &str) -> YarnSystem {
    let sign = if sign == "denier" { "den" } else { sign };
    YarnSystem::ALL.into_iter().find(|s| s.sign() == sign).unwrap_or_else(|| panic!("`{sign}` is no system"))
}

#[test]
fn yarn_numbers_convert_between_all_systems() {
    for row in rows("units_yarn.csv") {
        let number = system(row.text("to")).from_tex(system(row.text("from")).to_tex(row.number("value")));
        same(&row, row.text("to"), number, row.number("expected"));
    }
}

#[test]
fn thread_and_stitch_densities_convert_between_the_usual_units() {
    for row in rows("units_counts.csv") {
        let (value, from) = (row.number("value"), row.text("from"));
        let density = match from {
            "stitch_pitch_mm" => Density::apart(exact(value)).expect("a length"),
            _ if from.ends_with("/in") => Density::per_cm(exact(value / 2.54)),
            _ => Density::per_cm(exact(value)),
        };
        let found = match row.text("to") {
            "threads/cm" | "stitches/cm" => density.per_cm,
            "threads/in" | "stitches/in" => density.per_inch(),
            "stitches/10cm" => density.per_10_cm(),
            "stitch_pitch_mm" => density.pitch_mm().expect("a density"),
            other => panic!("`{other}` is no unit"),
        };
        same(&row, row.text("to"), found.value, row.number("expected"));
    }
    assert_eq!(Density::apart(exact(0.0)), None);
    assert_eq!(Density::per_cm(exact(0.0)).pitch_mm(), None);
}

#[test]
fn the_least_length_to_count_over_changes_where_the_table_does() {
    // ISO 7211-2:1984, from memory.
    let cases = [(9.9, 10.0), (10.0, 5.0), (24.9, 5.0), (25.0, 3.0), (40.0, 3.0), (40.1, 2.0), (0.0, 10.0)];
    for (per_cm, cm) in cases {
        assert_eq!(Density::per_cm(exact(per_cm)).least_length_cm(), cm, "{per_cm} per cm");
    }
}

#[test]
fn twist_follows_the_helix() {
    for row in rows("textile_twist.csv") {
        let turns = || exact(row.number("turns") / 100.0);
        let found = match row.text("quantity") {
            "angle_from_tpm_d" => twist::angle(turns(), exact(row.number("d_mm"))).value,
            "d_mm_from_tpm_angle" => twist::diameter(exact(row.number("angle_deg")), turns()).expect("inside").value,
            "d_mm_from_tex_v1.1" => twist::round_diameter(exact(row.number("count")), twist::COTTON_VOLUME).value,
            "alpha_tex_from_tpi_Ne" => {
                let turns = exact(row.number("turns") / 2.54);
                twist::factor(turns, exact(YarnSystem::Cotton.to_tex(row.number("count")))).value
            }
            other => panic!("`{other}` is no quantity"),
        };
        same(&row, row.text("quantity"), found, row.number("expected"));
    }
    // The multiplier of 20 turns per inch in a 30 Ne yarn; a factor is 956.7 multipliers (arithmetic in the table).
    let (turns, tex) = (exact(20.0 / 2.54), exact(YarnSystem::Cotton.to_tex(30.0)));
    let multiplier = twist::multiplier(turns, tex).value;
    assert!((multiplier - 20.0 / 30f64.sqrt()).abs() < 1e-12);
    assert!((twist::factor(turns, tex).value / multiplier - 956.73).abs() < 0.005);
}

#[test]
fn no_angle_beyond_the_upright_gives_turns_or_a_diameter() {
    for degrees in [-10.0, 0.0, 90.0, 120.0, f64::NAN] {
        assert_eq!(twist::turns(exact(degrees), exact(0.2)), None, "{degrees}");
        assert_eq!(twist::diameter(exact(degrees), exact(6.0)), None, "{degrees}");
    }
    assert_eq!(twist::turns(exact(20.0), exact(0.0)), None);
    assert_eq!(twist::diameter(exact(20.0), exact(0.0)), None);
    assert_eq!(twist::angle(exact(0.0), exact(0.2)).value, 0.0);
}

#[test]
fn twist_is_named_by_its_angle() {
    // Emery 1966, from memory.
    let cases = [
        (0.0, Tightness::Loose),
        (9.9, Tightness::Loose),
        (10.0, Tightness::Medium),
        (24.9, Tightness::Medium),
        (25.0, Tightness::Tight),
        (45.0, Tightness::Tight),
        (45.1, Tightness::VeryTight),
        (-20.0, Tightness::Medium),
    ];
    for (degrees, wanted) in cases {
        assert_eq!(Tightness::of(degrees), wanted, "{degrees}");
    }
    assert_eq!((Tightness::Medium.words(), Tightness::MARK), ("medium twist", Mark::Memory));
}

#[test]
fn cover_crimp_and_mass_agree_with_the_worked_examples() {
    for row in rows("textile_fabric.csv") {
        let set = |n: &str, tex: &str, crimp: &str| Threads {
            per_cm: exact(row.number(n)),
            tex: exact(row.number(tex)),
            crimp: exact(row.maybe(crimp).unwrap_or(0.0) * 100.0),
        };
        let found = match (row.text("quantity"), row.text("case")) {
            ("areal_mass", "") => {
                mass::of_cloth(&set("n1_per_cm", "tex1", "crimp1"), &set("n2_per_cm", "tex2", "crimp2")).value
            }
            ("areal_mass", _) => {
                // "Ne 40 x 30, 120 x 70 per inch, crimp 3% / 5%"
                let set = |n: f64, ne: f64, crimp: f64| Threads {
                    per_cm: exact(n / 2.54),
                    tex: exact(YarnSystem::Cotton.to_tex(ne)),
                    crimp: exact(crimp),
                };
                mass::of_cloth(&set(120.0, 40.0, 3.0), &set(70.0, 30.0, 5.0)).value
            }
            ("cover_SI", _) => cover::si(exact(row.number("n1_per_cm")), exact(row.number("tex1"))).value,
            ("cover_Peirce" | "cover_warp_Peirce", _) => {
                cover::of_threads(exact(row.number("n1_per_cm")), exact(row.number("tex1"))).value
            }
            ("crimp_pct", _) => mass::crimp(exact(108.0), exact(100.0)).expect("a length").value,
            (other, _) => panic!("`{other}` is no quantity"),
        };
        // The rows of Peirce's cover were worked out with 590.5412; the exact constant has more places.
        let slack = if row.text("quantity").ends_with("Peirce") { 1e-7 } else { 1e-12 };
        row.near(row.text("quantity"), found, row.number("expected"), row.number("expected") * slack);
    }
    assert_eq!(mass::crimp(exact(108.0), exact(0.0)), None);
}

#[test]
fn threads_that_touch_cover_all_there_is() {
    let k = |warp, weft| cover::of_cloth(exact(warp), exact(weft)).value;
    assert_eq!(k(28.0, 5.0), 28.0);
    assert_eq!(k(41.0, 5.0), 28.0);
    assert_eq!(k(41.0, 33.0), 28.0);
    assert_eq!(k(14.0, 14.0), 21.0);
    assert_eq!(k(0.0, 9.0), 9.0);
}

#[test]
fn weaves_have_the_floats_and_shares_that_their_grids_show() {
    for row in rows("textile_weave.csv") {
        let name = row.text("weave");
        let grid = row.text("matrix_bottom_row_first");
        if grid.is_empty() {
            let ends: usize = name.split(' ').find_map(|word| word.parse().ok()).expect("a number of ends");
            let steps: Vec<String> = satin_steps(ends).iter().map(ToString::to_string).collect();
            let wanted = row.text("note").split(' ').filter(|word| word.parse::<usize>().is_ok());
            assert_eq!(steps, wanted.collect::<Vec<_>>(), "{}", row.place);
            assert_eq!(steps.is_empty(), row.text("note").starts_with("none"), "{}", row.place);
            continue;
        }
        let repeat = Repeat::parse(grid).unwrap_or_else(|| panic!("{}: unreadable grid", row.place));
        assert_eq!(repeat.to_string(), grid);
        let (ends, picks) = repeat.size();
        assert_eq!(format!("{ends}x{picks}"), row.text("repeat"), "{}", row.place);
        row.near("warp float", repeat.longest_warp_float() as f64, row.number("longest_warp_float"), 0.0);
        row.near("weft float", repeat.longest_weft_float() as f64, row.number("longest_weft_float"), 0.0);
        let (up, all) = repeat.warp_up();
        assert_eq!(format!("{up}/{all}"), row.text("warp_up_share"), "{}", row.place);
        let (twill, satin) = (name.contains("twill"), name.contains("satin"));
        if twill {
            let (up, down) = (name.as_bytes()[0] - b'0', name.as_bytes()[2] - b'0');
            let right = name.ends_with('Z');
            let drawn = Repeat::twill(usize::from(up), usize::from(down), right).expect("a twill");
            assert_eq!(drawn.shift(), Some(if right { 1 } else { ends - 1 }), "{}", row.place);
            assert_eq!(drawn.shift(), repeat.shift(), "{}", row.place);
            assert_eq!(
                (drawn.longest_warp_float(), drawn.warp_up()),
                (repeat.longest_warp_float(), (usize::from(up) * ends, all))
            );
        }
        if satin {
            let step = name.rsplit(' ').next().and_then(|s| s.parse().ok()).expect("a step");
            assert_eq!(Repeat::satin(ends, step).expect("a satin"), repeat, "{}", row.place);
            assert_eq!(repeat.shift(), Some(step), "{}", row.place);
        }
    }
    for unreadable in ["", "10/1", "12/21", "10/", "a"] {
        assert_eq!(Repeat::parse(unreadable), None, "`{unreadable}`");
    }
    assert_eq!(Repeat::satin(6, 2), None);
    assert_eq!(Repeat::twill(0, 2, true), None);
    // A basket of two and two is no weave of one shift; an end that never goes under floats all through.
    assert_eq!(Repeat::parse("1100/1100/0011/0011").and_then(|r| r.shift()), None);
    assert_eq!(Repeat::parse("1/1/1").map(|r| (r.longest_warp_float(), r.longest_weft_float())), Some((3, 0)));
}

#[test]
fn the_table_of_fibres_holds_what_was_published() {
    let words = Vocabulary::shipped();
    let mut seen = 0;
    for row in rows("textile_fibres.csv") {
        let name = match row.text("fibre") {
            "flax" | "flax, ultimate" => "linen",
            "silk (Bombyx)" => "cultivated silk",
            "silk (tussah)" => "tussah silk",
            "silk, weighted" => "weighted silk",
            "regenerated protein (casein)" => "casein fibre",
            "camel" => "camel hair",
            "glass" => "glass fibre",
            other => other.trim_end_matches(", ultimate"),
        };
        let (property, whole) = match row.text("property") {
            "density_dry" | "density_65RH" => (Property::Density, false),
            "regain_65RH_20C" => (Property::Regain, true),
            "diameter" => (Property::Diameter, true),
            "n_parallel" => (Property::IndexAlong, true),
            "n_perpendicular" => (Property::IndexAcross, true),
            "birefringence" => (Property::Birefringence, true),
            _ => continue,
        };
        // Grades of wool stand in the words of wool; polyvinyl chloride is no fibre of the list.
        if name.starts_with("wool, ") || name == "polyvinyl chloride" {
            continue;
        }
        let fact = fibre::fact(&TermId::new(Scheme::Fibre, name), property, words)
            .unwrap_or_else(|| panic!("{}: no {property:?} of {name}", row.place));
        let (low, high) = fact.range.expect("a range");
        let (from, to) = (row.number("min"), row.number("max"));
        if whole {
            assert_eq!((low, high), (from, to), "{}", row.place);
        } else {
            assert!(low <= from && to <= high && (from == low || to == high), "{}", row.place);
        }
        assert_eq!(fact.mark == Mark::Read, row.text("prov") == "1", "{}", row.place);
        seen += 1;
    }
    assert!(seen > 80, "only {seen} facts were looked at");
}

#[test]
fn reference_libraries_give_the_same_values_and_uncertainties() {
    for row in rows("textile_second.csv") {
        let value = |a, b| Estimate::new(row.number(a), row.number(b));
        let wanted = (row.number("expected"), row.maybe("u"));
        let found = match row.text("what") {
            "yarn" => {
                let tex = system(row.text("b")).to_tex(row.number("a"));
                let written = YarnNumber::parse(&format!("{} {}", row.text("a"), row.text("b"))).expect("readable");
                same(&row, "tex as read", written.tex.value, tex);
                exact(system(row.text("c")).from_tex(tex))
            }
            "mass_per_area" | "turns" => {
                let kind = if row.text("what") == "turns" { Kind::Density } else { Kind::MassPerArea };
                exact(Quantity::parse(kind, &format!("{} {}", row.text("a"), row.text("b"))).expect("readable").value)
            }
            "angle" => twist::angle(value("a", "b"), value("c", "d")),
            "factor" => twist::factor(value("a", "b"), value("c", "d")),
            "multiplier" => twist::multiplier(value("a", "b"), value("c", "d")),
            "turns_from" => twist::turns(value("a", "b"), value("c", "d")).expect("inside"),
            "diameter_from" => twist::diameter(value("a", "b"), value("c", "d")).expect("inside"),
            "round_diameter" => twist::round_diameter(value("a", "b"), 1.1),
            "pitch" => Density::per_cm(value("a", "b")).pitch_mm().expect("a count"),
            "thread_count" => sett::thread_count(Density::per_cm(value("a", "b")), Density::per_cm(value("c", "d"))),
            "cover" => cover::of_threads(value("a", "b"), value("c", "d")),
            "cover_si" => cover::si(value("a", "b"), value("c", "d")),
            "cover_cloth" => cover::of_cloth(value("a", "b"), value("c", "d")),
            "mass" => {
                mass::of_threads(&Threads { per_cm: value("a", "b"), tex: value("c", "d"), crimp: value("e", "f") })
            }
            "implied_both" => {
                let weft = (Estimate::new(24.0, 0.3), Estimate::new(8.0, 1.0));
                let sets = [(value("a", "b"), value("e", "f")), weft];
                mass::implied_of_both(Estimate::new(120.0, 2.0), sets).expect("threads")
            }
            "implied" => {
                let (whole, other) = (Estimate::new(120.0, 2.0), Estimate::new(64.8, 1.9));
                mass::implied(whole, other, value("a", "b"), value("e", "f")).expect("threads")
            }
            "crimp" => mass::crimp(value("a", "b"), value("c", "d")).expect("a length"),
            "satin" => exact(satin_steps(row.number("a") as usize).len() as f64),
            other => panic!("{}: `{other}` is no formula", row.place),
        };
        row.near("value", found.value, wanted.0, wanted.0.abs() * 1e-9);
        if let Some(u) = wanted.1 {
            row.near("u", found.u, u, u * 1e-6);
        }
    }
}

#[test]
fn plies_add_up_and_plying_shortens() {
    let strands = [Estimate::new(20.0, 0.3), Estimate::new(20.0, 0.4)];
    let plain = resultant(&strands, 0.0);
    assert!(plain.value == 40.0 && (plain.u - 0.5).abs() < 1e-12);
    assert!((resultant(&strands, 0.05).value - 40.0 / 0.95).abs() < 1e-12);
    assert_eq!(resultant(&[], 0.0), exact(0.0));
    let sewing = YarnNumber::parse("2/60 Nm").expect("readable");
    assert!((sewing.single().value - 1000.0 / 60.0).abs() < 1e-12);
    assert!((sewing.in_system(YarnSystem::Metric) - 30.0).abs() < 1e-12);
}

#[test]
fn a_mass_that_the_other_yarn_uses_up_implies_nothing_above_zero() {
    let crimp = exact(5.0);
    let left = mass::implied(exact(50.0), exact(60.0), exact(28.0), crimp).expect("threads");
    assert!(left.value < 0.0 && left.range() == (0.0, 0.0));
    assert_eq!(mass::implied(exact(50.0), exact(10.0), exact(0.0), crimp), None);
    let (low, high) = (mass::unknown_crimp().value, mass::unknown_crimp().u);
    assert!(low == 8.0 && (high - 16.0 / 12f64.sqrt()).abs() < 1e-12);
}

#[test]
fn estimated_and_measured_masses_agree_doubtfully_or_differ() {
    use mass::Agreement::{Agree, Differ, Doubtful};
    let a = Estimate::new(100.0, 3.0);
    for (value, u, wanted) in
        [(110.0, 4.0, Agree), (110.1, 4.0, Doubtful), (115.0, 4.0, Doubtful), (84.9, 4.0, Differ), (115.1, 4.0, Differ)]
    {
        assert_eq!(mass::agreement(a, Estimate::new(value, u)), wanted, "{value}");
    }
    assert_eq!(mass::agreement(exact(5.0), exact(5.0)), Agree);
    assert_eq!(mass::agreement(exact(5.0), exact(5.1)), Differ);
}

fn any_system() -> impl Strategy<Value = YarnSystem> {
    prop::sample::select(YarnSystem::ALL.to_vec())
}

proptest! {
    #[test]
    fn a_yarn_number_printed_reads_back_as_itself(number in 1..400_u32, ply in 1..13_u32, system in any_system()) {
        let tex = Estimate::exact(system.to_tex(f64::from(number)) * f64::from(ply));
        prop_assume!(tex.value <= 1e6);
        let yarn = YarnNumber { tex, system, ply };
        let again = YarnNumber::parse(&yarn.to_string()).map_err(|e| TestCaseError::fail(format!("`{yarn}`: {e}")))?;
        prop_assert_eq!((again.system, again.ply), (system, ply), "{}", yarn);
        prop_assert!((again.tex.value / tex.value - 1.0).abs() < 1e-9, "{}", yarn);
        prop_assert_eq!(again.to_string(), yarn.to_string());
    }

    #[test]
    fn every_system_gives_a_number_back(tex in 0.01_f64..1e5, system in any_system()) {
        prop_assert!((system.to_tex(system.from_tex(tex)) / tex - 1.0).abs() < 1e-12);
    }

    #[test]
    fn turns_angle_and_diameter_give_each_other_back(per_m in 5.0_f64..3000.0, mm in 0.01_f64..3.0) {
        let (turns, diameter) = (exact(per_m / 100.0), exact(mm));
        let angle = twist::angle(turns, diameter);
        prop_assert!((twist::turns(angle, diameter).unwrap().value / turns.value - 1.0).abs() < 1e-9);
        prop_assert!((twist::diameter(angle, turns).unwrap().value / mm - 1.0).abs() < 1e-9);
    }

    #[test]
    fn densities_give_a_length_and_the_length_the_density(per_cm in 0.1_f64..300.0, share in 0.0_f64..0.1) {
        let density = Density::per_cm(Estimate::new(per_cm, per_cm * share));
        let again = Density::apart(density.pitch_mm().unwrap()).unwrap().per_cm;
        prop_assert!((again.value / per_cm - 1.0).abs() < 1e-12 && (again.u - density.per_cm.u).abs() < per_cm * 1e-12);
    }

    #[test]
    fn a_mass_estimated_from_one_yarn_implies_that_yarn(
        n1 in 4.0_f64..80.0, n2 in 4.0_f64..80.0, tex in 2.0_f64..200.0, c1 in 0.0_f64..30.0, c2 in 0.0_f64..30.0,
    ) {
        let set = |n, c| Threads { per_cm: exact(n), tex: exact(tex), crimp: exact(c) };
        let whole = mass::of_cloth(&set(n1, c1), &set(n2, c2));
        let both = mass::implied_of_both(whole, [(exact(n1), exact(c1)), (exact(n2), exact(c2))]).unwrap();
        prop_assert!((both.value / tex - 1.0).abs() < 1e-9);
        let weft = mass::implied(whole, mass::of_threads(&set(n1, c1)), exact(n2), exact(c2)).unwrap();
        prop_assert!((weft.value / tex - 1.0).abs() < 1e-6);
    }

    #[test]
    fn cover_grows_with_either_set_and_never_passes_28(k1 in 0.0_f64..40.0, k2 in 0.0_f64..40.0, more in 0.0_f64..5.0) {
        let k = |a, b| cover::of_cloth(exact(a), exact(b)).value;
        prop_assert!((k(k1, k2) - k(k2, k1)).abs() < 1e-12);
        prop_assert!(k(k1 + more, k2) >= k(k1, k2) - 1e-12 && k(k1, k2) <= 28.0 + 1e-12);
        prop_assert!(k(k1, k2) >= k1.min(28.0) - 1e-12);
    }

    #[test]
    fn a_grid_printed_reads_back_as_itself(ends in 1..9_usize, bits in prop::collection::vec(any::<bool>(), 72), picks in 1..9_usize) {
        let row = |pick: usize| bits[pick * ends..(pick + 1) * ends].iter().map(|b| if *b { '1' } else { '0' }).collect::<String>();
        let text = (0..picks).map(row).collect::<Vec<_>>().join("/");
        let repeat = Repeat::parse(&text).unwrap();
        prop_assert_eq!(repeat.to_string(), text);
        prop_assert!(repeat.longest_warp_float() <= picks && repeat.longest_weft_float() <= ends);
    }

    #[test]
    fn no_text_makes_a_parser_panic(text in "\\PC{0,60}") {
        let _ = (Repeat::parse(&text), YarnNumber::parse(&text), fibre::parse(&text));
    }
}

/// The calculators, asked as a person asks.
#[test]
fn calculators_answer_a_line_in_a_line() {
    use Calculator::{Cover, Mass, Sett, Stitches, Twist, Yarn};
    let cases = [
        (Yarn, "30/2 Ne", "39.4 ± 0.4 tex (2 × 19.68 tex); 393.7 dtex; 354.3 den; 25.4 Nm; 15 Ne; 42 NeL; 22.5 NeK"),
        (
            Yarn,
            "2/60 Nm",
            "33.33 ± 0.16 tex (2 × 16.67 tex); 333.3 dtex; 300 den; 30 Nm; 17.72 Ne; 49.61 NeL; 26.57 NeK",
        ),
        (Yarn, "20 ± 1 tex", "20.0 ± 1.0 tex; 200 dtex; 180 den; 50 Nm; 29.53 Ne; 82.68 NeL; 44.29 NeK"),
        (Twist, "600 per m, 0.19 mm", "angle 19.70 ± 0.28 deg, medium twist (limits of 1966, from memory)"),
        (Twist, "20 deg 0.19 mm", "610 ± 13 turns per m; 15.5 ± 0.3 turns per inch"),
        (Twist, "0.19 mm 20 deg", "610 ± 13 turns per m; 15.5 ± 0.3 turns per inch"),
        (Twist, "15 tpi, 20 deg", "diameter 0.196 ± 0.006 mm"),
        (
            Sett,
            "60 per inch",
            "23.62 ± 0.16 per cm; 60.0 ± 0.4 per inch; 236.2 ± 1.6 per 10 cm; count over 5 cm or more",
        ),
        (
            Sett,
            "28 x 24 per cm",
            "28.0 ± 0.4 × 24.0 ± 0.4 per cm; 71.1 ± 1.0 × 61.0 ± 1.0 per inch; trade thread count 132.1 ± 1.5 (ends + picks \
             per square inch)",
        ),
        (
            Cover,
            "28/cm 20 tex, 24/cm 25 tex",
            "cover factor: warp 13.09 ± 0.21, weft 12.54 ± 0.23, cloth 19.77 ± 0.17 (Peirce; threads touch at 28)",
        ),
        (Mass, "28/cm 20 tex 5 %, 24/cm 25 tex 8 %", "123.6 ± 1.8 g/m²; 3.65 ± 0.05 oz/yd²"),
        (
            Mass,
            "120 g/m2, 28/cm, 24/cm",
            "warp and weft alike: 21.4 ± 1.4 tex for about 95 of 100 cases (crimp not given: taken as 0 to 16 %)",
        ),
        (Mass, "120 g/m2, 28/cm 20 tex 5 %, 24/cm 8 %", "weft: 23.6 ± 1.3 tex for about 95 of 100 cases"),
        (
            Mass,
            "190 gsm 28/cm 20 tex 5 %, 24/cm 25 tex 8 %",
            "estimated 123.6 ± 1.8 g/m²; 3.65 ± 0.05 oz/yd²; the measured 190.00 ± 0.29 g/m² differs",
        ),
        (Stitches, "9 per inch", "3.54 ± 0.16 per cm; 9.0 ± 0.4 per inch; 35.4 ± 1.6 per 10 cm; one in 2.82 ± 0.13 mm"),
        (
            Stitches,
            "stitch length 2.8 mm",
            "3.57 ± 0.04 per cm; 9.07 ± 0.09 per inch; 35.7 ± 0.4 per 10 cm; one in 2.800 ± 0.029 mm",
        ),
    ];
    for (calculator, line, wanted) in cases {
        let answer = calculator.answer(line, &Conventions::default()).unwrap_or_else(|e| panic!("`{line}`: {e}"));
        assert_eq!(answer.text, wanted, "`{line}`");
        assert!(answer.fields.values().all(|v| !v.is_null()), "`{line}`: {:?}", answer.fields);
    }
    let refused = [
        (Yarn, "30/2", 4),
        (Twist, "600 per m", 9),
        (Twist, "600 per m, 20 deg, 0.2 mm", 25),
        (Twist, "600 per m, tight", 11),
        (Twist, "600 per m, 500 per m", 11),
        (Twist, "90 deg, 0.2 mm", 14),
        (Sett, "60 x 56", 7),
        (Cover, "28/cm", 5),
        (Mass, "28/cm 20 tex", 12),
        (Mass, "50 gsm 28/cm 20 tex, 24/cm", 26),
        (Stitches, "0 mm", 0),
        (Stitches, "nine per inch", 0),
    ];
    for (calculator, line, at) in refused {
        let refusal = calculator.answer(line, &Conventions::default()).expect_err(line);
        assert_eq!(refusal.at, at, "`{line}`: {refusal}");
    }
    let silk = Calculator::Fibre.answer("Bombyx silk", &Conventions::default()).expect("a fibre");
    assert!(silk.text.starts_with("cultivated silk: diameter: 10–13 µm [University of Alaska, LARS"), "{}", silk.text);
    assert!(silk.text.contains("; density of silk: 1.34 g/cm³, dry 1.34"), "{}", silk.text);
    assert!(silk.text.ends_with(fibre::CAUTION));
    let unknown = Calculator::Fibre.answer("slik", &Conventions::default()).expect_err("no fibre");
    assert!(unknown.why.contains("did you mean `silk`"), "{unknown}");
    let refusal = Sett.answer("60 x 56", &Conventions::default()).expect_err("no length");
    assert_eq!(refusal.nearest.as_deref(), Some("60 x 56 per cm"));
}

#[test]
fn each_calculator_is_asked_for_by_its_name() {
    for (name, line, begins) in [
        ("yarn", "20 tex", "20.00 ± 0.29 tex;"),
        ("twist", "600 per m, 0.19 mm", "angle 19.70"),
        ("sett", "60 per inch", "23.62 ± 0.16 per cm; 60.0 ± 0.4 per inch; 236.2 ± 1.6 per 10 cm; count"),
        ("cover", "28/cm 20 tex", "cover factor 13.09"),
        ("mass", "28/cm 20 tex 5 %, 24/cm 25 tex 8 %", "123.6"),
        ("stitches", "9 per inch", "3.54 ± 0.16 per cm; 9.0 ± 0.4 per inch; 35.4 ± 1.6 per 10 cm; one in"),
        ("fibre", "flax", "linen: "),
    ] {
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_dimity"))
            .args(["convert", name, line])
            .output()
            .expect("runs");
        let text = String::from_utf8_lossy(&output.stdout);
        assert!(output.status.success() && text.starts_with(begins), "{name}: {text}");
    }
}

proptest! {
    #[test]
    fn no_line_makes_a_calculator_panic(
        calculator in prop::sample::select(vec![
            Calculator::Yarn, Calculator::Twist, Calculator::Sett, Calculator::Cover, Calculator::Mass, Calculator::Stitches,
            Calculator::Fibre,
        ]),
        words in prop::collection::vec(prop::sample::select(vec![
            "28/cm", "24 per inch", "20 tex", "30/2 Ne", "5 %", "120 g/m2", "0", ",", "x", "×", "weft", "warp", "deg", "20 deg", "0.2 mm",
            "600 per m", "½", "±", "c.", "–", "0 tex", "0/cm", "é", "1e9", "999999999999", "mm", "per",
        ]), 0..8),
        glue in prop::sample::select(vec!["", " "]),
        wild in "\\PC{0,12}",
    ) {
        let line = format!("{}{glue}{wild}", words.join(glue));
        match calculator.answer(&line, &Conventions::default()) {
            Ok(answer) => prop_assert!(answer.fields.values().all(|v| !v.is_null()), "`{}`: {:?}", line, answer),
            Err(refusal) => prop_assert!(refusal.at <= line.len() && line.is_char_boundary(refusal.at), "`{}`: {:?}", line, refusal),
        }
    }
}
