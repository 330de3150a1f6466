//! Searches of a catalogue: against the plain walk, after each change, in order, counted, and kept under a name.

use std::collections::BTreeSet;

use dimity::catalogue::{Ask, Catalogue, Fault, KeptSearch, Order, Recall};
use dimity::query::Query;

use super::naive;
use super::random::Dice;
use super::support::{AUTHOR, Desk, clock};

/// A sheet of a few things at random.
fn sheet(number: usize, dice: &mut Dice) -> String {
    let mut text = format!("[piece]\nnumber = \"19{:02}.{}\"\n", number % 7, number);
    let mut line = |l: String| {
        text.push_str(&l);
        text.push('\n');
    };
    line(format!("nature = \"{}\"", dice.pick(&["extant", "extant", "reconstruction"])));
    line(format!("object_name = \"{}\"", dice.pick(&["spencer", "Bodice of silk", "stays"])));
    if dice.percent(70) {
        line(format!("garment = \"{}\"", dice.pick(&["spencer", "bodice", "stays", "gown"])));
    }
    if dice.percent(80) {
        line(format!(
            "date = \"{}\"",
            dice.pick(&["1810", "c. 1815", "1790-1800", "before 1800", "after 1820", "undated", "1800/1820"])
        ));
    }
    if dice.percent(40) {
        line(format!("maker = \"{}\"", dice.pick(&["Sabine Dunmarrow", "Dunmarrow", "Élise Corvane"])));
    }
    if dice.percent(60) {
        line(format!("rights_statement = \"{}\"", dice.pick(&["InC", "InC-EDU", "UND", "CC0-1.0"])));
    }
    if dice.percent(60) {
        line(format!("[[move]]\nto = \"bay {}\"", dice.pick(&["A, shelf 1", "A, shelf 10", "B"])));
    }
    if dice.percent(70) {
        line(format!("[[component]]\nname = \"{}\"", dice.pick(&["left sleeve", "right sleeve", "back"])));
    }
    if dice.percent(85) {
        line(format!(
            "[examination]\ndate = {}\nexaminer = \"{AUTHOR}\"",
            dice.pick(&["2024-03-12", "2025-01-01", "2023-12-31"])
        ));
        for _ in 0..dice.below(3) {
            line(format!("[[textile]]\nrole = \"{}\"", dice.pick(&["shell", "lining"])));
            if dice.percent(80) {
                line(format!("fibres = [\"{}\"]", dice.pick(&["silk", "tussah silk", "linen", "wool"])));
            }
            if dice.percent(50) {
                line(format!("structure = \"{}\"", dice.pick(&["tabby", "2/1 twill"])));
            }
            if dice.percent(60) {
                line(format!("ends = [\"{}\"]", dice.pick(&["60 in 1 in", "30 per cm", "12 per cm", "31 per cm"])));
            }
            if dice.percent(50) {
                line(format!("colour = \"{}\"", dice.pick(&["pale blue", "blue", "Pale Green"])));
            }
        }
        for _ in 0..dice.below(3) {
            line(format!(
                "[[measurement]]\ndimension = \"{}\"\nreadings = [\"{}\"]",
                dice.pick(&["bust girth", "waist girth"]),
                dice.pick(&["80 cm", "31 1/2 in", "79.5 cm", "at least 70 cm", "up to 85 cm", "80.2 cm", "90 cm"])
            ));
        }
        for _ in 0..dice.below(3) {
            line(format!("[[stitching]]\npurpose = \"{}\"", dice.pick(&["hem", "side seam"])));
            if dice.percent(70) {
                line(format!("stitch = \"{}\"", dice.pick(&["backstitch", "running stitch"])));
            }
            if dice.percent(70) {
                line(format!("density = [\"{}\"]", dice.pick(&["9 in 1 in", "8 in 1 in", "12 per inch", "4 per cm"])));
            }
        }
        for _ in 0..dice.below(2) {
            line(format!("[[condition]]\ndamage = \"{}\"", dice.pick(&["tear", "fading"])));
            if dice.percent(60) {
                line(format!("activity = \"{}\"", dice.pick(&["active", "inactive"])));
            }
        }
        if dice.percent(50) {
            line(format!("[[overall]]\ngrade = \"{}\"", dice.pick(&["good", "fair", "poor"])));
        }
    }
    text
}

const CONDITIONS: &[&str] = &[
    "silk",
    "sil",
    "\"silk\"",
    "\"pale blue\"",
    "blue",
    "dunmarrow",
    "elise",
    "spencer",
    "nowhere",
    "twill",
    "fibre:silk",
    "fibre:=silk",
    "fibre:linen",
    "garment:bodice",
    "garment:spencer",
    "nature:reconstruction",
    "structure:twill",
    "role:lining",
    "stitch:backstitch",
    "purpose:hem",
    "component:sleeve",
    "component:\"left sleeve\"",
    "rights:InC",
    "rights:=InC",
    "rights:\"Copyright Undetermined\"",
    "rights:CC-BY-4.0",
    "has:rights",
    "lacks:rights",
    "damage:tear",
    "condition:active",
    "condition:good",
    "grade:fair",
    "object:spencer",
    "object:=spencer",
    "maker:dunmarrow",
    "maker:=\"sabine dunmarrow\"",
    "location:\"bay A\"",
    "location:=\"bay A, shelf 1\"",
    "location:\"shelf 1\"",
    "colour:blue",
    "colour:=blue",
    "date:1800..1820",
    "date:=1800..1820",
    "date:1815",
    "date:>1800",
    "date:<1800",
    "date:>=1810",
    "date:<=1810",
    "date:\"c. 1805\"",
    "sett:>30",
    "sett:>=30",
    "sett:<20",
    "sett:20..30",
    "sett:=20..40",
    "ends:60/in",
    "bust:80cm",
    "bust:=80cm",
    "bust:>80cm",
    "bust:<80cm",
    "bust:>=80cm",
    "bust:=75..85cm",
    "bust:79..81cm",
    "waist:..80cm",
    "waist:70cm..",
    "stitches:9/in",
    "stitches:8..10/in",
    "stitches:>10/in",
    "stitches:=8..10/in",
    "examined:2024",
    "examined:>2024-03",
    "examined:2024-03-12",
    "examined:..2023",
    "number:1903*",
    "number:1900.7",
    "has:examination",
    "has:measurement",
    "lacks:fibre",
    "lacks:date",
    "has:condition",
    "lacks:photograph",
    "has:bust",
    "has:colour",
    "lacks:sett",
    "has:stitching",
    "lacks:location",
];

/// A query at random, brackets and all.
fn query(dice: &mut Dice, depth: usize) -> String {
    if depth == 0 || dice.percent(30) {
        return dice.pick(CONDITIONS).to_string();
    }
    let (a, b) = (query(dice, depth - 1), query(dice, depth - 1));
    match dice.below(6) {
        0 => format!("{a} {b}"),
        1 => format!("{a} and {b}"),
        2 => format!("{a} or {b}"),
        3 => format!("not {a}"),
        4 => format!("({a} or {b}) {a}"),
        _ => format!("not ({a} or {b})"),
    }
}

fn numbers(desk: &Desk, text: &str) -> Vec<String> {
    let query = desk.catalogue.query(text).unwrap_or_else(|e| panic!("{e}"));
    desk.catalogue.members(&query).expect("found")
}

#[test]
fn what_sql_finds_is_what_a_walk_over_the_records_finds() {
    let mut desk = Desk::new();
    let mut dice = Dice::new(7);
    for i in 0..120 {
        desk.entered(&sheet(i, &mut dice));
    }
    let files: Vec<_> =
        desk.catalogue.numbers().expect("read").iter().map(|n| desk.catalogue.piece(n).expect("there")).collect();
    let mut seen = BTreeSet::new();
    let single = CONDITIONS.iter().map(|c| (*c).to_owned()).collect::<Vec<_>>();
    let random: Vec<String> = (0..600).map(|_| query(&mut dice, 3)).collect();
    for text in single.iter().chain(&random) {
        let query = desk.catalogue.query(text).unwrap_or_else(|e| panic!("{e}"));
        let found = desk.catalogue.find(&query, &Ask { order: Order::Number, ..Ask::default() }).expect("found");
        let tree = query.tree.as_ref().expect("a condition");
        let told: Vec<Option<bool>> = files.iter().map(|f| naive::holds(f, tree)).collect();
        let of = |wanted: Option<bool>| -> Vec<&str> {
            files.iter().zip(&told).filter(|(_, t)| **t == wanted).map(|(f, _)| f.number()).collect()
        };
        let lines: Vec<&str> = found.lines.iter().map(|l| l.number.as_str()).collect();
        assert_eq!(lines, of(Some(true)), "`{text}`, read as `{query}`");
        assert_eq!(found.undecided, of(None).len(), "undecided under `{text}`");
        assert_eq!((found.total, found.of), (lines.len(), files.len()), "`{text}`");
        let wide = desk.catalogue.hits(&query, &Ask { undecided: true, ..Ask::default() }).expect("found");
        assert_eq!(wide.total(), found.total + found.undecided, "`{text}` with the undecided");
        seen.insert((found.total == 0, found.undecided == 0));
    }
    assert_eq!(seen.len(), 4, "the queries find something and nothing, with and without undecided pieces: {seen:?}");
    // A count is what one finds when its clause is asked for.
    for text in ["", "fibre:silk", "not garment:stays", "has:condition or date:1815"] {
        let query = desk.catalogue.query(text).expect("read");
        let facets = desk.catalogue.facets(&query).expect("counted");
        assert_eq!(facets.groups.len(), 6);
        for group in &facets.groups {
            for value in &group.values {
                let narrower = query.clone().and(desk.catalogue.query(&value.clause).unwrap_or_else(|e| panic!("{e}")));
                let n = desk.catalogue.hits(&narrower, &Ask::default()).expect("found").total();
                assert_eq!(n, value.pieces, "{}, {} within `{text}`", group.title, value.clause);
            }
            let blank = query.clone().and(desk.catalogue.query(&format!("lacks:{}", group.key)).unwrap_or(Query::ALL));
            if group.key != "nature" {
                let n = desk.catalogue.hits(&blank, &Ask::default()).expect("found").total();
                assert_eq!(n, group.not_recorded, "{} not recorded within `{text}`", group.title);
            }
        }
    }
    desk.is_sound();
}

#[test]
fn a_change_is_found_at_once_and_what_was_is_not() {
    let mut desk = Desk::new();
    desk.entered("[piece]\nnumber = \"1\"\nnature = \"extant\"\nobject_name = \"cap\"\n[[move]]\nto = \"bay A\"\n");
    assert_eq!(numbers(&desk, "location:\"bay A\" lacks:fibre changed:2031-05-01"), ["1"]);
    desk.entered(
        "[piece]\nnumber = \"1\"\n[[move]]\nto = \"bay B\"\n[examination]\ndate = 2031-03-02\nexaminer = \"Wren\"\n\
                  [[textile]]\nrole = \"shell\"\nfibres = [\"linen\"]\nends = [\"20 per cm\"]\n",
    );
    assert_eq!(numbers(&desk, "location:\"bay A\""), [""; 0]);
    assert_eq!(numbers(&desk, "location:\"bay B\" fibre:linen sett:20 person:wren"), ["1"]);
    let fixed = desk.filled("1", Some(0)).replace("linen", "silk").replace("20 per cm", "30 per cm");
    desk.enter_with(&fixed, Some("looked again")).expect("corrected");
    assert_eq!(numbers(&desk, "fibre:linen or sett:20 or linen"), [""; 0]);
    assert_eq!(numbers(&desk, "fibre:silk sett:30"), ["1"]);
    // A dry run and a refusal leave the index as it was.
    assert!(desk.enter("[piece]\nnumber = \"2\"\nobject_name = \"cap\"\n").is_err());
    assert_eq!(numbers(&desk, "cap"), ["1"]);
    desk.is_sound();
}

#[test]
fn an_index_that_lies_is_found_and_made_anew() {
    let mut desk = Desk::new();
    desk.entered(super::support::SPENCER);
    for lie in [
        "DELETE FROM found_under WHERE word_id = (SELECT id FROM found_word WHERE word = 'fibre/silk')",
        "UPDATE found_under SET pieces = x'0700' WHERE word_id = (SELECT id FROM found_word WHERE word = 'fibre/silk')",
        "UPDATE found_under SET pieces = x'01000700' WHERE word_id = (SELECT id FROM found_word WHERE word = 'has/textile')",
        "INSERT INTO found_under SELECT word_id, 3, pieces FROM found_under WHERE part = 0",
        "INSERT INTO found_under SELECT id, 1000000000000000, x'0000' FROM found_word",
        "UPDATE found_words_of SET words = '[1]'",
        "DELETE FROM found_words_of",
        "UPDATE found_figure SET high = high + 1",
        "UPDATE found_piece SET grade = 'poor'",
        "UPDATE words SET body = 'nothing'",
        "DELETE FROM words",
        "DELETE FROM found_piece",
        "INSERT INTO found_piece (piece_id, nature, fibres, photographs) VALUES (77, 'extant', '[]', 0)",
    ] {
        desk.sql().run(lie);
        let findings = desk.catalogue.check().expect("checked");
        assert!(findings.iter().any(|f| f.mend.contains("dimity check --index")), "{lie}: {findings:#?}");
        desk.catalogue.make_index().expect("made anew");
        desk.is_sound();
    }
    assert_eq!(numbers(&desk, "fibre:silk changed:2031"), ["2031.1"]);
}

#[test]
fn what_one_reader_has_found_serves_another_and_never_outlives_a_change() {
    let mut desk = Desk::new();
    let shared = Recall::default();
    let open = || Catalogue::open(desk.folder(), clock()).expect("opens").sharing(&shared);
    let readers = [open(), open()];
    // Both ask twice: the one before the other, so that each meets what the other has kept.
    let told = |text: &str| -> (Vec<String>, usize, usize) {
        let all = [&readers[0], &readers[1], &readers[1], &readers[0]].map(|reader| {
            let query = reader.query(text).expect("read");
            let ask = Ask { order: Order::Date, ..Ask::default() };
            let found = reader.find(&query, &ask).expect("found").lines.into_iter().map(|l| l.number).collect();
            let facets = reader.facets(&query).expect("counted");
            let fibres = facets.groups.iter().find(|group| group.key == "fibre").expect("fibres");
            (found, facets.pieces, fibres.values.iter().find(|v| v.label == "silk").map_or(0, |v| v.pieces))
        });
        assert!(all.iter().all(|one| *one == all[0]), "{text}: {all:?}");
        all.into_iter().next().expect("four answers")
    };
    let piece = |number: &str, date: &str| {
        format!(
            "[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"cap\"\ndate = \"{date}\"\n\
             [examination]\ndate = 2031-03-02\nexaminer = \"{AUTHOR}\"\n\
             [[textile]]\nrole = \"shell\"\nfibres = [\"silk\"]\n"
        )
    };
    let numbers = |list: &[&str]| list.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
    assert_eq!(told("cap fibre:silk"), (Vec::new(), 0, 0));
    desk.entered(&piece("1", "1820"));
    assert_eq!(told("cap fibre:silk"), (numbers(&["1"]), 1, 1));
    desk.entered(&piece("2", "1810"));
    assert_eq!(told("cap fibre:silk"), (numbers(&["2", "1"]), 2, 2));
    assert_eq!(told("date:<1815"), (numbers(&["2"]), 1, 1));
    desk.catalogue.withdraw(AUTHOR, "2", "lent for good").expect("withdrawn");
    assert_eq!(told("cap fibre:silk"), (numbers(&["1"]), 1, 1));
    desk.catalogue.reinstate(AUTHOR, "2", "it came back").expect("it comes back");
    assert_eq!(told(""), (numbers(&["2", "1"]), 2, 2));
    // The index made anew is no change to a record, and yet other answers.
    desk.sql().run("DELETE FROM found_piece WHERE piece_id = 1");
    desk.catalogue.make_index().expect("made anew");
    assert_eq!(told("cap fibre:silk"), (numbers(&["2", "1"]), 2, 2));
    desk.sql().run(
        "DELETE FROM found_under WHERE word_id = (SELECT id FROM found_word WHERE word = 'fibre/silk');
         UPDATE setting SET value = value + 1 WHERE name = 'finding made'",
    );
    assert_eq!(told("fibre:silk"), (numbers(&[]), 0, 0));
}

#[test]
fn several_things_are_read_in_one_state_while_others_write() {
    let mut desk = Desk::new();
    desk.entered(super::support::SPENCER);
    let reader = Catalogue::open(desk.folder(), clock()).expect("opens");
    let counts = reader.at_once(|| {
        let before = reader.numbers()?;
        desk.entered("[piece]\nnumber = \"2\"\nnature = \"extant\"\nobject_name = \"cap\"\n");
        let found = reader.find(&Query::default(), &Ask::default())?.total;
        Ok::<_, Fault>((before.len(), reader.numbers()?.len(), found))
    });
    assert_eq!(counts.expect("read"), (1, 1, 1));
    assert_eq!(reader.find(&Query::default(), &Ask::default()).expect("found").total, 2, "and the next sees all");
}

#[test]
fn where_all_words_must_be_there_the_best_match_is_that_of_any() {
    let mut desk = Desk::new();
    for (i, name) in
        ["cap", "silk cap", "cap with a silk cap string", "silk", "cap of silk, silk, silk"].iter().enumerate()
    {
        desk.entered(&format!(
            "[piece]\nnumber = \"{i}\"\nnature = \"extant\"\nobject_name = \"{name}\"\ndescription = \"cap, silk\"\n"
        ));
    }
    let order = |text: &str| -> Vec<String> {
        let query = desk.catalogue.query(text).expect("read");
        desk.catalogue.find(&query, &Ask::default()).expect("found").lines.into_iter().map(|l| l.number).collect()
    };
    let best = order("silk cap");
    assert_eq!(best.len(), 5);
    assert_ne!(best, ["0", "1", "2", "3", "4"], "the order of the numbers would prove nothing");
    // Written as a choice, the same words are asked for as any of them.
    assert_eq!(order("silk cap or silk cap"), best);
    assert_eq!(order("silk (cap nature:extant) not felt"), best);
    for (text, all) in [
        ("", true),
        ("silk", true),
        ("silk cap", true),
        ("silk (cap nature:extant)", true),
        ("not (silk or cap) silk", true),
        ("(nature:extant or nature:pattern) silk", true),
        ("silk or cap", false),
        ("nature:extant (silk or cap)", false),
    ] {
        assert_eq!(desk.catalogue.query(text).expect("read").needs_all_words(), all, "{text}");
    }
}

#[test]
fn a_number_is_found_in_any_case_and_by_its_beginning() {
    let mut desk = Desk::new();
    for number in ["ÄB.1", "ab.2", "AB.20", "Ab.3", "b.ab"] {
        desk.entered(&format!("[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"cap\"\n"));
    }
    for (query, found) in [
        ("number:ab.2", &["ab.2"][..]),
        ("number:AB.2*", &["ab.2", "AB.20"]),
        ("number:aB*", &["ab.2", "Ab.3", "AB.20"]),
        ("number:*", &["ab.2", "Ab.3", "AB.20", "b.ab", "ÄB.1"]),
        ("number:äb*", &[]),
        ("number:Äb.1", &["ÄB.1"]),
        ("number:a%", &[]),
        ("not number:ab*", &["b.ab", "ÄB.1"]),
    ] {
        let mut sorted = numbers(&desk, query);
        sorted.sort_by_key(|number| (number.chars().count(), number.clone()));
        let mut expected: Vec<String> = found.iter().map(|n| (*n).to_owned()).collect();
        expected.sort_by_key(|number| (number.chars().count(), number.clone()));
        assert_eq!(sorted, expected, "{query}");
    }
}

#[test]
fn answers_come_in_the_order_asked_for_a_page_at_a_time() {
    let mut desk = Desk::new();
    for (number, name, date) in
        [("2.10", "cap", "1800"), ("2.9", "gown with a cap", "undated"), ("cap", "gown", "before 1790")]
    {
        desk.entered(&format!(
            "[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"{name}\"\ndate = \"{date}\"\n"
        ));
    }
    let query = desk.catalogue.query("cap").expect("read");
    let found = |order, from, most| -> Vec<String> {
        let ask = Ask { order, from, most, ..Ask::default() };
        let found = desk.catalogue.find(&query, &ask).expect("found");
        assert_eq!(found.total, 3);
        found.lines.into_iter().map(|l| l.number).collect()
    };
    assert_eq!(found(Order::Number, 0, None), ["2.9", "2.10", "cap"]);
    assert_eq!(found(Order::Date, 0, None), ["cap", "2.10", "2.9"]);
    assert_eq!(found(Order::Match, 0, Some(1)), ["cap"], "a match in the number comes first");
    assert_eq!(found(Order::Number, 1, Some(1)), ["2.10"]);
    assert_eq!(found(Order::Number, 7, Some(1)), [""; 0]);
}

#[test]
fn sets_are_kept_used_changed_and_removed_under_the_journal() {
    let mut desk = Desk::new();
    desk.entered(super::support::SPENCER);
    let keep = |desk: &mut Desk, name: &str, query: &str| {
        let set = KeptSearch { name: name.into(), query: query.into(), note: None };
        desk.catalogue.keep_search(AUTHOR, "study", &set).map_err(|e| e.to_string())
    };
    assert_eq!(keep(&mut desk, "silks", "fibre: silk"), Ok(true));
    assert_eq!(keep(&mut desk, "Silks", "fibre:silk"), Ok(false));
    assert_eq!(keep(&mut desk, "early", "kept:silks date:<1850"), Ok(true));
    assert_eq!(numbers(&desk, "kept:early"), ["2031.1"]);
    assert!(
        keep(&mut desk, "silks", "kept:early")
            .expect_err("refused")
            .contains("in a circle: early, which names silks, which names early")
    );
    assert!(keep(&mut desk, "own", "kept:own").expect_err("refused").contains("no kept search `own`"));
    assert!(keep(&mut desk, "a \"b\"", "silk").expect_err("refused").contains("quotation mark"));
    assert!(keep(&mut desk, "x", "fibre:slk").expect_err("refused").contains("did you mean `silk`"));
    assert_eq!(keep(&mut desk, "silks", "fibre:linen"), Ok(true));
    assert_eq!(numbers(&desk, "kept:early"), [""; 0]);
    let refused = desk.catalogue.remove_search(AUTHOR, "study", "silks").expect_err("in use");
    assert!(matches!(&refused, Fault::Refused(why) if why.contains("`early` names `silks`")), "{refused}");
    desk.catalogue.remove_search(AUTHOR, "study", "early").expect("removed");
    desk.catalogue.remove_search(AUTHOR, "study", "SILKS").expect("removed");
    assert_eq!(desk.catalogue.kept_searches().expect("read"), []);
    let journal = desk.catalogue.journal(None).expect("read");
    let acts: Vec<&str> = journal.iter().filter(|r| r.in_table == "kept_search").map(|r| r.act.as_str()).collect();
    assert_eq!(acts, ["insert", "insert", "update", "delete", "delete"]);
    desk.is_sound();
}

/// What is not recorded is never a no: each search with the pieces that it finds, and those that it leaves undecided.
#[test]
fn rights_are_found_by_their_statement_and_what_is_not_stated_is_left_undecided() {
    let mut desk = Desk::new();
    for (number, line) in [
        ("1", "rights_statement = \"InC\""),
        ("2", "rights_statement = \"InC-EDU\""),
        ("3", "rights_statement = \"CC0-1.0\""),
        // The address of a statement in words, as older records have it.
        ("4", "rights = \"http://rightsstatements.org/vocab/UND/1.0/\""),
        ("5", "rights = \"ask the maker's heirs\""),
        ("6", ""),
    ] {
        desk.entered(&format!("[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"cap\"\n{line}\n"));
    }
    for (search, finds, undecided) in [
        ("rights:InC", &["1", "2"][..], 2),
        ("rights:=InC", &["1"], 2),
        ("not rights:InC", &["3", "4"], 2),
        ("rights:UND", &["4"], 2),
        ("rights:(InC or CC0-1.0)", &["1", "2", "3"], 2),
        ("has:rights", &["1", "2", "3", "4"], 0),
        ("lacks:rights", &["5", "6"], 0),
        ("lacks:rights or rights:InC", &["1", "2", "5", "6"], 0),
    ] {
        let query = desk.catalogue.query(search).expect("a search");
        let found = desk.catalogue.members(&query).expect("found");
        assert_eq!(found, finds, "{search}");
        let told = desk.catalogue.hits(&query, &Ask::default()).expect("asked");
        assert_eq!(told.undecided, undecided, "{search}");
    }
}
