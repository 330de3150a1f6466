//! Care as a reader gets it: what is recorded in, sentences and figures out.

use jiff::civil::{Date, date};

use super::rules::rules;
use super::*;
use crate::exchange::sheet::{Known, read};
use crate::optics::Responsivity;
use crate::vocabulary::TermId;

const TODAY: Date = date(2026, 4, 10);

fn piece(lines: &str) -> PieceFile {
    let (head, rest) = lines.split_at(lines.find("[[").unwrap_or(lines.len()));
    let exam = if rest.is_empty() { "" } else { "[examination]\ndate = 2024-03-12\nexaminer = \"A\"\n" };
    let text = format!("[piece]\nnumber = \"1\"\nnature = \"extant\"\nobject_name = \"piece\"\n{head}{exam}{rest}");
    let conventions = crate::dating::Conventions::default();
    let sheet = read(&text, &Known { vocabulary: Vocabulary::shipped(), components: &|_| None, conventions });
    sheet.unwrap_or_else(|wrong| panic!("{text}\n{}", wrong.iter().map(ToString::to_string).collect::<String>())).file
}

fn lines(sheet: &str, topic: &str) -> Vec<String> {
    let advice = advise(&piece(sheet), Vocabulary::shipped(), TODAY);
    advice.into_iter().filter(|a| a.topic == topic).flat_map(|a| a.lines).map(|l| l.text).collect()
}

fn textile(more: &str) -> String {
    format!("[[textile]]\nrole = \"shell\"\n{more}\n")
}

fn girth(name: &str, reading: &str) -> String {
    format!("[[measurement]]\ndimension = \"{name}\"\nreadings = [\"{reading}\"]\n")
}

#[test]
fn every_line_has_a_source_and_none_calls_a_piece_safe() {
    let vocabulary = Vocabulary::shipped();
    assert!(rules().len() >= 25);
    for rule in rules() {
        assert!(TOPICS.contains(&rule.topic.as_str()) && rule.text.ends_with('.'), "{}", rule.text);
        for id in rule.when.all.iter().flat_map(|clause| &clause.terms) {
            assert!(vocabulary.get(id).is_some(), "{}: no term `{}`", rule.text, id.as_str());
        }
    }
    let rich = "garment = \"gown\"\n[[textile]]\nrole = \"shell\"\nfibres = [\"silk\"]\n[[trimming]]\ntrimming = \"beads\"\n\
                [[condition]]\ndamage = \"shattering\"\n[[hazard]]\nhazard = \"glass disease\"\n\
                [[display]]\nplace = \"case\"\nfrom = 2026-01-01\nlight = \"50 lx\"\nhours = \"8 h\"\nuv = \"90 uW/lm\"\n";
    for sheet in ["", rich] {
        for advice in advise(&piece(sheet), vocabulary, TODAY) {
            for line in &advice.lines {
                assert!(line.source.len() > 10, "{}: {}", advice.topic, line.text);
                let said = format!("{} {} {}", line.text, line.because.join(" "), line.source).to_lowercase();
                assert!(!said.contains("safe") && !said.contains("harmless"), "{said}");
            }
        }
    }
    assert_eq!(advise(&piece(rich), vocabulary, TODAY).len(), TOPICS.len());
}

#[test]
fn storage_follows_kind_and_state_and_what_is_not_known_lies_flat() {
    let good = "[[overall]]\ngrade = \"good\"\n";
    let tear = |severity: &str| format!("[[condition]]\ndamage = \"tear\"\n{severity}{good}");
    let rows = [
        (String::new(), "Flat in a box or drawer; nothing in the record speaks for hanging."),
        ("garment = \"gown\"\n".into(), "Flat in a box or drawer; nothing"),
        (format!("garment = \"gown\"\n{good}"), "May hang on a hanger padded"),
        (format!("garment = \"shirt\"\n{good}"), "Flat in a box or drawer; nothing"),
        (format!("garment = \"skirt\"\n{good}"), "Flat, or hung from its waistband"),
        ("garment = \"gown\"\n[[overall]]\ngrade = \"fair\"\n".into(), "Flat in a box or drawer; nothing"),
        ("garment = \"gown\"\n[[overall]]\ngrade = \"poor\"\n".into(), "Flat in a box or drawer, on a board"),
        (
            format!("garment = \"gown\"\n[[condition]]\ndamage = \"shattering\"\n{good}"),
            "Flat in a box or drawer, on a board",
        ),
        (format!("garment = \"gown\"\n[[trimming]]\ntrimming = \"jet\"\n{good}"), "Flat in a box or drawer: decorated"),
        (
            format!("garment = \"gown\"\n{}{good}", textile("structure = \"hand knit\"")),
            "Flat in a box or drawer: decorated",
        ),
        (
            format!("garment = \"gown\"\n{}", tear("severity = \"severe\"\n")),
            "Flat in a box or drawer until the damage",
        ),
        (format!("garment = \"gown\"\n{}", tear("")), "Flat in a box or drawer until the damage"),
        (format!("garment = \"gown\"\n{}", tear("severity = \"slight\"\n")), "May hang on a hanger padded"),
        ("garment = \"hat\"\n".into(), "In a box of its own on a padded support"),
        ("garment = \"shoes\"\n".into(), "In a box or tray of its own"),
        ("garment = \"shawl\"\n".into(), "Flat; where it is longer than the drawer, rolled"),
        ("garment = \"stays\"\n".into(), "Flat in a box, opened"),
        ("garment = \"crinoline\"\n".into(), "Laid down collapsed"),
    ];
    for (sheet, wanted) in rows {
        let found = lines(&sheet, "storage");
        assert!(found.len() == 1 && found[0].starts_with(wanted), "{sheet}\n{found:?}");
    }
}

#[test]
fn a_rule_of_padding_handling_or_air_is_added_for_what_is_recorded() {
    let rows = [
        ("padding", textile("fibres = [\"wool\"]"), "unbuffered"),
        ("padding", "[[component]]\nname = \"left sleeve\"\n".into(), "Sleeves and bodice filled"),
        (
            "padding",
            format!("{}[[condition]]\ndamage = \"powdering\"\n", textile("fibres = [\"silk\"]")),
            "may not be folded, not even over padding",
        ),
        ("padding", "[[condition]]\ndamage = \"rust staining\"\n".into(), "between corroding metal"),
        ("handling", "[[hazard]]\nhazard = \"DDT\"\n".into(), "A hazard is recorded"),
        ("handling", "[[condition]]\ndamage = \"tendering\"\n".into(), "Weak: slide a board"),
        ("handling", "[[trimming]]\ntrimming = \"sequins\"\n".into(), "loose beads"),
        ("handling", "[[stiffening]]\nstiffener = \"baleen\"\n".into(), "boned"),
        ("handling", textile("fibres = [\"gilt thread\"]"), "Gloves for metal thread"),
        ("air", "[[condition]]\ndamage = \"foxing\"\n".into(), "below 65 %"),
        ("air", textile("fibres = [\"silver thread\"]"), "40 to 50 %"),
        ("air", "[[hazard]]\nhazard = \"glass disease\"\n".into(), "40 to 45 %"),
        ("air", textile("fibres = [\"rubber\"]"), "cold storage"),
    ];
    let bare = |topic| lines(&textile("fibres = [\"cotton\"]"), topic);
    for (topic, sheet, wanted) in rows {
        assert!(lines(&sheet, topic).iter().any(|l| l.contains(wanted)), "{topic}: {wanted}\n{sheet}");
        assert!(bare(topic).len() == 1 && !bare(topic)[0].contains(wanted), "{topic}: {wanted}");
    }
}

#[test]
fn light_goes_by_the_most_delicate_cloth_and_the_unknown_is_delicate() {
    use Responsivity::{High, Low, Medium};
    let white = textile("fibres = [\"linen\"]\ncolour = \"white\"");
    let rows = [
        (String::new(), High),
        (white.clone(), Medium),
        (textile("fibres = [\"cotton\"]\nfinish = [\"bleached\"]"), Medium),
        (textile("fibres = [\"cotton\"]"), High),
        (textile("colour = \"white\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"white, red stripe\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"white\"\nfinish = [\"roller print\"]"), High),
        (textile("fibres = [\"silk\"]\ncolour = \"white\""), High),
        (textile("fibres = [\"wool\"]\ncolour = \"blue\"\ndye = \"indigo\""), Medium),
        (textile("fibres = [\"cotton\"]\ncolour = \"blue\"\ndye = \"indigo\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"red\"\ndye = \"madder\""), Medium),
        // A lasting dye counts where no other is named, doubted or denied beside it.
        (textile("fibres = [\"cotton\"]\ndye = \"natural madder on alum mordant\""), Medium),
        (textile("fibres = [\"cotton\"]\ndye = \"madder and weld\""), High),
        (textile("fibres = [\"cotton\"]\ndye = \"no madder; cochineal\""), High),
        (textile("fibres = [\"cotton\"]\ndye = \"no madder\""), High),
        (textile("fibres = [\"cotton\"]\ndye = \"madder?\""), High),
        (textile("fibres = [\"wool\"]\ndye = \"indigo, safflower\""), High),
        (textile("fibres = [\"wool\"]\ndye = \"indigo and madder\""), Medium),
        (textile("fibres = [\"cotton\"]\ndye = \"indigo and madder\""), High),
        (textile("fibres = [\"wool\", \"cotton\"]\ndye = \"indigo\""), High),
        (textile("dye = \"madder\""), High),
        // White is looked for in colour and name, and a word that is not known may be a colour or a dye.
        (textile("fibres = [\"cotton\"]\ndye = \"natural dyes, cochineal\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"white\"\ndye = \"aniline\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"white\"\ndye = \"none\""), Medium),
        (textile("fibres = [\"cotton\"]\ncolour = \"white\"\ndye = \"?\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"cream, crimson sprigs\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"ivory, salmon stripes\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"white, red-brown sprig\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"crimson\"\nfinish = [\"bleached\"]"), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"cotton ground\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"Off-white ground, slightly yellowed\""), Medium),
        (textile("fibres = [\"cotton\"]\nname = \"white cotton\""), Medium),
        (textile("fibres = [\"cotton\"]\nname = \"white, teal spots\""), High),
        (textile("fibres = [\"cotton\"]\ncolour = \"white\"\nname = \"muslin\""), Medium),
        (textile("fibres = [\"cotton\"]\ncolour = \"white\"\nname = \"muslin with sprigs\""), High),
        (format!("{white}[[trimming]]\ntrimming = \"lace\"\nmaterial = \"white cotton, crimson embroidery\"\n"), High),
        (format!("{white}[[textile]]\nrole = \"lining\"\nfibres = [\"silk\"]\n"), High),
        (format!("{white}[[textile]]\nrole = \"thread\"\nfibres = [\"silk\"]\n"), Medium),
        (format!("{white}[[trimming]]\ntrimming = \"ribbon\"\n"), High),
        (format!("{white}[[trimming]]\ntrimming = \"lace\"\nmaterial = \"white linen\"\n"), Medium),
        (format!("{white}[[trimming]]\ntrimming = \"lace\"\nmaterial = \"white silk\"\n"), High),
        (format!("{white}[[trimming]]\ntrimming = \"tucks\"\n"), Medium),
        (
            format!("{white}[[care]]\ntopic = \"light\"\ninstead = \"Low: tested\"\nreason = \"micro-fading test\"\n"),
            Low,
        ),
        (format!("{white}[[care]]\ntopic = \"light\"\ninstead = \"As the lender asks\"\nreason = \"loan\"\n"), Medium),
    ];
    for (sheet, wanted) in rows {
        let found = class(&piece(&sheet), Vocabulary::shipped());
        assert!(found.group == wanted && !found.because.is_empty(), "{sheet}\n{found:?}");
    }
    // CIE 157:2004 by way of fixtures/checks/optics_dose.csv: 15,000, 150,000 and 600,000 lx h; 50, 50 and 200 lx.
    assert!(
        lines("", "light")[0]
            .starts_with("High responsivity: at most 15,000 lx h in a year, that is 300 hours at 50 lx")
    );
    assert!(
        lines(&white, "light")[0]
            .starts_with("Medium responsivity: at most 150,000 lx h in a year, that is 3,000 hours")
    );
}

fn shown_for(light: &str, hours: &str, from: &str, to: &str) -> String {
    let line = |name: &str, value: &str| {
        if value.is_empty() { String::new() } else { format!("{name} = {value}\n") }
    };
    format!(
        "[[display]]\nplace = \"case\"\nfrom = {from}\n{}{}{}",
        line("to", to),
        line("light", light),
        line("hours", hours)
    )
}

#[test]
fn doses_count_the_days_of_this_year_up_to_today_and_what_is_planned() {
    // 2026-04-10 is the 100th day of its year.
    let rows = [
        ("2026-01-01", "2026-01-10", 10, 0),
        ("2026-05-01", "", 0, 0),
        ("2025-12-01", "2026-01-10", 10, 0),
        ("2025-01-01", "2025-12-31", 0, 0),
        ("2026-04-01", "", 10, 0),
        ("2026-04-01", "2026-04-20", 10, 10),
        ("2026-05-01", "2026-05-10", 0, 10),
        ("2026-12-01", "2027-03-01", 0, 31),
        ("2026-04-10", "2026-04-10", 1, 0),
        ("2025-06-01", "", 100, 0),
    ];
    for (from, to, used, planned) in rows {
        let found = shown(&piece(&shown_for("\"50 ± 2 lx\"", "\"8 h\"", from, to)), TODAY);
        assert_eq!(found.days, used, "{from} {to}");
        assert!((found.used.value - 400.0 * used as f64).abs() < 1e-9, "{from} {to}: {found:?}");
        assert!((found.planned.value - 400.0 * f64::from(planned)).abs() < 1e-9, "{from} {to}: {found:?}");
    }
    // A stated uncertainty is taken as it stands, a plain reading is given 10 % either way: 5/√3 lx.
    let u = |light: &str| shown(&piece(&shown_for(light, "\"8 h 0 min\"", "2026-01-01", "2026-01-10")), TODAY).used.u;
    let hours = 50.0 / 60.0 / 12f64.sqrt();
    assert!((u("\"50 ± 2 lx\"") - 10.0 * 16f64.hypot(hours)).abs() < 1e-6);
    let plain = (5.0 / 3f64.sqrt()).hypot(1.0 / 12f64.sqrt());
    assert!((u("\"50 lx\"") - 10.0 * (8.0 * plain).hypot(hours)).abs() < 1e-6);
    // Two displays by one meter: their uncertainties add up straight.
    let two = format!(
        "{}{}",
        shown_for("\"50 ± 2 lx\"", "\"8 h 0 min\"", "2026-01-01", "2026-01-10"),
        shown_for("\"50 ± 2 lx\"", "\"8 h 0 min\"", "2026-02-01", "2026-02-10")
    );
    assert!((shown(&piece(&two), TODAY).used.u - 2.0 * u("\"50 ± 2 lx\"")).abs() < 1e-9);
}

#[test]
fn days_left_are_reckoned_on_the_careful_side() {
    let say = |sheet: &str| lines(sheet, "display").join(" | ");
    assert_eq!(
        say(""),
        "Nothing is on record for 2026; that does not mean that it was kept in the dark. | Days left in 2026: 37, at 50 \
         lx for 8 hours a day, which is assumed; reckoned on the careful side."
    );
    // 10 days × 8 h × 50 lx = 4,000 lx h. Careful: 4,000 + 2 × 321 used; 400 + 2 × 32.1 a day; 10,358 / 464.2 = 22.
    let one = shown_for("\"50 ± 4 lx\"", "\"8.0 h\"", "2026-01-01", "2026-01-10");
    let said = say(&one);
    assert!(
        said.contains("Used in 2026 up to this day: 4,000 ± 640 lx h in 10 days on display, of 15,000 allowed."),
        "{said}"
    );
    assert!(said.contains("Days left in 2026: 22, at 50 ± 4 lx for 8.0 h a day, as at case"), "{said}");
    let much = shown_for("\"200 lx\"", "\"10 h\"", "2026-01-01", "2026-01-10");
    assert!(say(&much).contains("The light of 2026 is used up"), "{}", say(&much));
    let dim = shown_for("\"1 lx\"", "\"1 h\"", "2026-01-01", "2026-01-10");
    assert!(say(&dim).contains("all 265 days of 2026 that remain"), "{}", say(&dim));
    // Days left go by the display of today, else by the latest begun, wherever they stand in the list.
    let at = |lux: u32, from: &str, to: &str| shown_for(&format!("\"{lux} lx\""), "\"1 h\"", from, to);
    let (past, older, next) =
        (at(3, "2026-02-01", "2026-02-10"), at(4, "2025-02-01", "2025-02-10"), at(5, "2026-11-01", "2026-11-10"));
    let (here, brighter, last_day) =
        (at(6, "2026-01-01", ""), at(7, "2025-12-01", "2026-04-20"), at(8, "2026-04-10", "2026-04-10"));
    for (list, wanted) in [
        (vec![&past, &older, &next], "at 3 lx for 1 h a day"),
        (vec![&older, &past], "at 3 lx for 1 h a day"),
        (vec![&here, &past, &next], "at 6 lx for 1 h a day"),
        (vec![&past, &here, &older], "at 6 lx for 1 h a day"),
        (vec![&brighter, &here, &past], "at 7 lx for 1 h a day"),
        (vec![&here, &brighter], "at 7 lx for 1 h a day"),
        (vec![&last_day, &past], "at 8 lx for 1 h a day"),
        (vec![&next], "at 50 lx for 8 hours a day, which is assumed"),
    ] {
        let said = say(&list.into_iter().cloned().collect::<String>());
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    for blank in [shown_for("", "\"8 h\"", "2026-01-01", ""), shown_for("\"50 lx\"", "", "2026-01-01", "")] {
        let said = say(&blank);
        assert!(said.contains("days left cannot be said") && !said.contains("Days left in"), "{said}");
    }
    let planned = shown_for("\"50 lx\"", "\"8 h\"", "2026-05-01", "2026-06-30");
    assert!(
        say(&planned).contains("With what is planned the year comes to")
            && say(&planned).contains("more than is allowed")
    );
    let short = shown_for("\"50 lx\"", "\"8 h\"", "2026-05-01", "2026-05-10");
    assert!(say(&short).contains("within what is allowed"), "{}", say(&short));
    // What has no last day is reckoned to the end of the year: 365 days of 80 lx h are 29,200, of 8 lx h 2,920.
    let open = |lux: &str, from: &str| shown_for(&format!("\"{lux}\""), "\"8.0 h\"", from, "");
    let end = "going on to the end of 2026 because no last day is recorded, the year comes to";
    for (sheet, start, verdict) in [
        (format!("{}{short}", open("10 ± 1 lx", "2026-01-01")), "With what is planned, and with case ", "more than"),
        (format!("{}{short}", open("1 ± 0.1 lx", "2026-01-01")), "With what is planned, and with case ", "within what"),
        (open("10 ± 1 lx", "2026-01-01"), "With case ", "more than"),
        (open("1 ± 0.1 lx", "2026-01-01"), "With case ", "within what"),
        (open("10 ± 1 lx", "2026-12-01"), "With case ", "within what"),
        (open("100 ± 1 lx", "2026-12-01"), "With case ", "more than"),
    ] {
        let said = say(&sheet);
        assert!(
            said.contains(&format!("{start}{end}")) && said.contains(&format!("at most: {verdict} ")),
            "{sheet}{said}"
        );
        assert!(!said.contains("Nothing is on record"), "{said}");
    }
    assert!(!say(&one).contains("the year comes to") && !say(&short).contains("going on"));
    let white = format!("{}{one}", textile("fibres = [\"linen\"]\ncolour = \"white\""));
    assert!(say(&white).contains("of 150,000 allowed"));
    let uv = |value: &str| lines(&format!("{one}uv = \"{value}\"\n"), "ultraviolet").len();
    assert_eq!((uv("75 uW/lm"), uv("76 uW/lm")), (1, 2));
}

#[test]
fn a_box_is_reckoned_from_the_upper_end_and_says_what_is_missing() {
    // 1 in ± 1/8 in steps: u = 3.175/√12 mm; the readings stated here have none but their last figure.
    let gown = format!(
        "garment = \"gown\"\n{}{}{}",
        girth("centre back length", "150 ± 1 mm"),
        girth("skirt length", "1150 ± 1 mm"),
        girth("bust girth", "840 ± 2 mm")
    );
    let inside = box_for(&piece(&gown), Vocabulary::shipped()).expect("a box");
    // 150 + 1150 + 2 × 1.96 mm; half of 840 + 3.92 mm; 25 mm on each side.
    assert!((inside.length - (1300.0 + 2.0 * 1.96 + 50.0)).abs() < 0.05, "{inside:?}");
    assert!((inside.width - (420.0 + 1.96 + 50.0)).abs() < 0.05, "{inside:?}");
    assert!(lines(&gown, "box")[0].starts_with("Inside at least 136 × 48 cm, 10 cm high"), "{:?}", lines(&gown, "box"));
    let whole = format!("{gown}{}", girth("total length", "1700 mm"));
    assert!((box_for(&piece(&whole), Vocabulary::shipped()).expect("a box").length - 1750.0).abs() < 2.0);
    assert!(lines(&whole, "box")[1].contains("one padded fold across"), "{:?}", lines(&whole, "box"));
    let dress = format!(
        "garment = \"dress\"\n{}{}{}",
        girth("centre back length", "1350 mm"),
        girth("skirt length", "1000 mm"),
        girth("hem girth", "2000 mm")
    );
    let inside = box_for(&piece(&dress), Vocabulary::shipped()).expect("a box");
    assert!((inside.length - 1400.0).abs() < 2.0 && (inside.width - 1050.0).abs() < 2.0, "{inside:?}");
    // The longest that the dimensions make, alone or above and below the waist.
    let rows: [(&[(&str, u32)], u32); 11] = [
        (&[("nape to waist", 400), ("skirt length", 300)], 700),
        (&[("bodice length", 400), ("skirt length", 300)], 700),
        (&[("nape to waist", 400), ("outside leg length", 1000)], 1400),
        (&[("total length", 1400), ("skirt back length", 1900)], 1900),
        (&[("total length", 1400), ("nape to waist", 400), ("skirt back length", 1300)], 1700),
        (&[("total length", 1400), ("nape to waist", 400), ("skirt length", 900)], 1400),
        (&[("centre back length", 1350), ("nape to waist", 400), ("skirt length", 900)], 1350),
        (&[("centre front length", 380), ("nape to waist", 400), ("skirt length", 1000)], 1400),
        (&[("centre back length", 600), ("skirt length", 500)], 600),
        (&[("nape to waist", 400)], 400),
        (&[("foot length", 240), ("outside leg length", 1000)], 1000),
    ];
    for (dimensions, wanted) in rows {
        let dimensions: String = dimensions.iter().map(|(name, mm)| girth(name, &format!("{mm} ± 0.1 mm"))).collect();
        let sheet = format!("{dimensions}{}", girth("bust girth", "840 mm"));
        let inside = box_for(&piece(&sheet), Vocabulary::shipped()).expect("a box");
        assert!((inside.length - f64::from(wanted) - 50.0).abs() < 1.0, "{wanted}\n{inside:?}");
    }
    let sleeve = format!(
        "{}{}{}",
        girth("centre back length", "380 mm"),
        girth("sleeve length", "610 mm"),
        girth("bust girth", "840 mm")
    );
    assert!((box_for(&piece(&sleeve), Vocabulary::shipped()).expect("a box").length - 660.0).abs() < 2.0);
    let hat = format!("garment = \"hat\"\n{}{}", girth("crown girth", "565 mm"), girth("brim width", "60 mm"));
    let inside = box_for(&piece(&hat), Vocabulary::shipped()).expect("a box");
    assert!((inside.length - (565.0 / std::f64::consts::PI + 120.0 + 50.0)).abs() < 2.0 && inside.height.is_none());
    for (sheet, missing) in [
        ("garment = \"gown\"\n".to_owned(), "total length, or the centre back"),
        (girth("total length", "50 cm"), "total width, or the bust"),
        ("garment = \"hat\"\n".to_owned(), "crown girth"),
    ] {
        let said = lines(&sheet, "box");
        assert!(said[0].starts_with("Not worked out.") && said[0].contains(missing), "{said:?}");
    }
    let housed = |cm: u32| {
        lines(
            &format!(
                "[[housing]]\nstorage = \"box\"\nlength = \"{cm} cm\"\nwidth = \"46 cm\"\n{}",
                &gown["garment = \"gown\"\n".len()..]
            ),
            "box",
        )
        .pop()
        .unwrap_or_default()
    };
    assert!(housed(76).ends_with("is too small for it to lie without a fold."), "{}", housed(76));
    assert!(housed(140).ends_with("is large enough for it to lie without a fold."), "{}", housed(140));
}

#[test]
fn a_mannequin_is_a_size_smaller_than_the_smallest_the_garment_may_be() {
    let spencer = format!(
        "garment = \"spencer\"\n{}{}{}",
        girth("bust girth", "800 ± 2 mm"),
        girth("waist girth", "700 ± 2 mm"),
        girth("nape to waist", "380 ± 1 mm")
    );
    let found = mannequin(&piece(&spencer), Vocabulary::shipped()).expect("sizes");
    let close = |a: Option<f64>, b: f64| a.is_some_and(|a| (a - b).abs() < 0.05);
    assert!(close(found.bust, 800.0 - 3.92 - 40.0) && close(found.waist, 700.0 - 3.92 - 40.0), "{found:?}");
    assert!(close(found.nape_to_waist, 380.0 - 1.96 - 10.0) && found.missing.is_empty(), "{found:?}");
    assert!(
        lines(&spencer, "mannequin")[0]
            .starts_with("At most bust 75.5 cm, waist 65.5 cm, nape to waist 36.5 cm; padded out")
    );
    // Of two waists the smaller one holds; what is missing is named.
    let two = format!("garment = \"gown\"\n{}{}", girth("waist girth", "700 mm"), girth("waist girth", "680 mm"));
    let found = mannequin(&piece(&two), Vocabulary::shipped()).expect("sizes");
    assert!(found.waist.is_some_and(|w| w < 641.0) && found.missing == ["bust girth", "nape to waist"], "{found:?}");
    let skirt = format!("garment = \"skirt\"\n{}", girth("waist girth", "700 mm"));
    assert_eq!(mannequin(&piece(&skirt), Vocabulary::shipped()).expect("sizes").missing, [""; 0]);
    assert_eq!(mannequin(&piece("garment = \"hat\"\n"), Vocabulary::shipped()), None);
    assert_eq!(
        lines("garment = \"gown\"\n", "mannequin"),
        ["Not worked out. To be measured: bust girth, waist girth, nape to waist."]
    );
    // A part of a sum is no girth of the whole.
    let part = "garment = \"skirt\"\n[[measurement]]\ndimension = \"waist girth\"\nreadings = [\"300 mm\"]\nadds_up_to = \"hem girth\"\n";
    assert!(mannequin(&piece(part), Vocabulary::shipped()).expect("sizes").waist.is_none());
    let outside = format!("garment = \"gown\"\n{}taken = \"outside\"\n", girth("bust girth", "800 mm"));
    let found = mannequin(&piece(&outside), Vocabulary::shipped()).expect("sizes");
    assert!(found.because.iter().any(|b| b.contains("thickness of the cloth")), "{found:?}");
}

#[test]
fn the_latest_decision_stands_and_the_advice_stays_readable() {
    let decided = |topic: &str, day: &str, instead: &str| {
        format!("[[care]]\ntopic = \"{topic}\"\ninstead = \"{instead}\"\nreason = \"for a reason\"\n{day}")
    };
    let sheet = format!(
        "{}{}{}",
        decided("storage", "date = 2025-05-01\n", "Hung."),
        decided("storage", "date = 2024-05-01\n", "Rolled."),
        decided("box", "", "As it is.")
    );
    let advice = advise(&piece(&sheet), Vocabulary::shipped(), TODAY);
    let of = |topic: &str| advice.iter().find(|a| a.topic == topic).expect(topic);
    assert_eq!(of("storage").overruled.as_ref().and_then(|o| o.instead.as_deref()), Some("Hung."));
    assert!(of("storage").lines[0].text.starts_with("Flat"));
    assert!(of("box").overruled.is_some() && of("air").overruled.is_none());
    let mut pattern = piece(&sheet);
    pattern.piece.nature = Some(TermId::new(crate::vocabulary::Scheme::Nature, "published pattern"));
    assert_eq!(advise(&pattern, Vocabulary::shipped(), TODAY), []);
}

#[test]
fn a_caution_for_people_is_marked_so_that_no_decision_strikes_it_out() {
    let file = piece("[[hazard]]\nhazard = \"DDT\"\n");
    let all = advise(&file, Vocabulary::shipped(), TODAY);
    let handling = all.iter().find(|a| a.topic == "handling").expect("advice");
    let cautions: Vec<_> = handling.lines.iter().filter(|l| l.caution).map(|l| l.text.as_str()).collect();
    assert!(cautions.iter().any(|c| c.starts_with("A hazard is recorded")), "{cautions:?}");
    assert!(cautions.iter().any(|c| c.starts_with("Gloves until")), "{cautions:?}");
}
