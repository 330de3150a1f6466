//! Promise: nothing observed is overwritten, and a sheet is entered whole or not at all.

mod support;

use dimity::analysis::comparison::{Basis, ByHand};
use dimity::catalogue::{Entered, Intent, NewPhotograph, NewRegion};
use dimity::photograph::Store;
use dimity::record::photograph::Shape;
use support::{AFTER, AGAIN, AUTHOR, Desk, PLAIN, SPENCER, counts, second};

const NUMBER: &str = "2031.1";

/// The examination of [`SPENCER`] with these lines after it.
fn examined(lines: &str) -> String {
    format!(
        "[piece]\nnumber = \"{NUMBER}\"\n\n[examination]\ndate = 2031-03-02\nexaminer = \"Wren Askerdale\"\n\n{lines}"
    )
}

fn with_spencer() -> Desk {
    let mut desk = Desk::new();
    let entered = desk.entered(SPENCER);
    assert!(entered.new_piece);
    // Components 2, person, event, move, housing, treatment; the examination; five observations.
    assert_eq!(counts(&entered), (13, 0, 0), "lines added, corrected, unchanged");
    desk
}

/// The filled sheet of the examination, one text in it replaced, with a reason at its top.
fn corrected(desk: &Desk, from: &str, to: &str) -> String {
    let filled = desk.filled(NUMBER, Some(0));
    assert!(filled.contains(from), "the sheet should hold `{from}`:\n{filled}");
    format!("reason = \"misread\"\n{}", filled.replace(from, to))
}

#[test]
fn the_same_sheet_again_adds_nothing() {
    let mut desk = with_spencer();
    let journal = desk.catalogue.journal(None).expect("the journal reads").len();
    for _ in 0..2 {
        let again = desk.entered(SPENCER);
        assert!(again.is_nothing(), "{again:?}");
        assert_eq!(counts(&again), (0, 0, 12), "every line but the examination's own is counted as there already");
    }
    assert_eq!(desk.catalogue.journal(None).expect("the journal reads").len(), journal, "the journal must not grow");
    desk.is_sound();
}

#[test]
fn the_printed_filled_sheet_adds_nothing() {
    let mut desk = with_spencer();
    desk.entered(AGAIN);
    for index in [None, Some(0), Some(1)] {
        let printed = desk.filled(NUMBER, index);
        let again = desk.entered(&printed);
        assert!(again.is_nothing(), "{again:?} from\n{printed}");
    }
}

#[test]
fn a_correction_keeps_the_earlier_observation_readable_and_journalled() {
    let mut desk = with_spencer();
    let before = desk.catalogue.piece(NUMBER).expect("there");
    let old = before.examinations[0].conditions[0].clone();
    let sheet = corrected(&desk, "extent = \"12 mm\"", "extent = \"21 mm\"");
    let entered = desk.entered(&sheet);
    assert_eq!((entered.added, entered.corrected), (0, 1));

    let after = desk.catalogue.piece(NUMBER).expect("there");
    let [new] = after.examinations[0].conditions.as_slice() else { panic!("one note stands, not two") };
    assert_eq!(new.what.extent.as_ref().map(|q| q.as_written.as_str()), Some("21 mm"));
    assert_ne!(new.id, old.id, "the correction has an identifier of its own");
    assert_eq!(after.examinations[0].textiles, before.examinations[0].textiles, "what was not corrected stays");

    let sql = desk.sql();
    let old_id = old.id.expect("stored records have one");
    let chain = format!(
        "SELECT c.extent || ' then ' || n.extent FROM observation o JOIN condition c ON c.id = o.id
         JOIN condition n ON n.id = o.replaced_by WHERE o.uid = '{old_id}'"
    );
    assert_eq!(sql.one(&chain), "12 mm then 21 mm", "the earlier value stays readable, tied to its correction");
    let last = desk.catalogue.journal(None).expect("the journal reads").pop().expect("not empty");
    assert_eq!((last.author.as_str(), last.reason.as_str(), last.act.as_str()), (AUTHOR, "misread", "update"));
    assert!(last.after.is_some_and(|row| row.contains("replaced_by")), "the journal tells of the replacement");
    assert_eq!(sql.all("SELECT extent FROM v_condition"), ["21 mm"], "the view shows what stands");
    desk.is_sound();
}

#[test]
fn a_correction_needs_a_reason() {
    let mut desk = with_spencer();
    let sheet = corrected(&desk, "\"12 mm\"", "\"21 mm\"").replace("reason = \"misread\"\n", "");
    let refusal = desk.refused(&sheet);
    assert!(refusal.contains("corrects 1 line") && refusal.contains("say why"), "{refusal}");
    let wrong = ["", "   "].map(|reason| desk.enter_with(&sheet, Some(reason)));
    assert!(wrong.iter().all(Result::is_err), "a blank reason is no reason: {wrong:?}");
    assert_eq!(desk.enter_with(&sheet, Some("read again")).map(|e| e.corrected), Ok(1));
}

#[test]
fn a_withdrawn_line_leaves_the_record_and_stays_in_the_tables() {
    let mut desk = with_spencer();
    let sheet = corrected(&desk, "damage = \"tear\"\n", "damage = \"tear\"\nwithdrawn = \"a crease, not a tear\"\n");
    assert_eq!(desk.entered(&sheet).corrected, 1);
    assert!(desk.catalogue.piece(NUMBER).expect("there").examinations[0].conditions.is_empty());
    assert_eq!(
        desk.sql().one("SELECT o.withdrawn || ': ' || c.extent FROM observation o JOIN condition c USING (id)"),
        "a crease, not a tear: 12 mm"
    );
    assert_eq!(desk.sql().all("SELECT * FROM v_condition"), [""; 0]);
    desk.is_sound();

    let never = examined("[[condition]]\ndamage = \"stain\"\nwithdrawn = \"why\"");
    assert!(desk.refused(&never).contains("never entered"), "what was never there cannot be withdrawn");
    let again = desk.refused(&sheet);
    assert!(again.contains("corrected or withdrawn meanwhile"), "{again}");
}

#[test]
fn a_blank_never_erases() {
    let mut desk = with_spencer();
    let before = desk.catalogue.piece(NUMBER).expect("there");
    for sheet in [
        format!("[piece]\nnumber = \"{NUMBER}\"\ntitle = \"\"\ndate = \" \"\nkeywords = []\n"),
        examined("reason = \"\"\nlight = \"\"\n").replace("\n\nreason", "\nreason"),
        format!("[piece]\nnumber = \"{NUMBER}\"\n[[component]]\nname = \"watch pocket\"\npart_of = \"\"\n"),
    ] {
        let entered = desk.entered(&sheet);
        assert!(entered.is_nothing(), "{entered:?} from\n{sheet}");
    }
    assert_eq!(desk.catalogue.piece(NUMBER).expect("there"), before);
}

#[test]
fn a_correction_of_the_piece_keeps_what_the_sheet_leaves_out() {
    let mut desk = with_spencer();
    let sheet = format!("reason = \"better\"\n[piece]\nnumber = \"{NUMBER}\"\ntitle = \"Spencer, green\"\n");
    assert_eq!(desk.entered(&sheet).corrected, 1);
    let piece = desk.catalogue.piece(NUMBER).expect("there").piece;
    assert_eq!(piece.title.as_deref(), Some("Spencer, green"));
    assert_eq!(piece.date.map(|d| d.as_written).as_deref(), Some("c. 1815"), "a line left out keeps its value");
    let told: Vec<_> =
        desk.catalogue.journal(Some(NUMBER)).expect("reads").into_iter().filter(|r| r.act == "update").collect();
    let [row] = told.as_slice() else { panic!("one update, not {told:#?}") };
    assert!(
        row.before.as_ref().is_some_and(|b| b.contains("Green silk spencer")),
        "the journal holds the earlier title"
    );
}

#[test]
fn continues_last_finds_the_note_of_the_same_damage_on_the_same_component() {
    let mut desk = with_spencer();
    desk.entered(AGAIN);
    let file = desk.catalogue.piece(NUMBER).expect("there");
    let [first, second] = file.examinations.as_slice() else { panic!("two examinations") };
    assert_eq!(second.conditions[0].what.continues, first.conditions[0].id);
    assert!(desk.entered(AGAIN).is_nothing(), "`last` in the same sheet again means the same note");

    for (change, sheet) in [
        ("another component", AGAIN.replace("left front", "watch pocket")),
        ("another damage", AGAIN.replace("\"tear\"", "\"stain\"")),
        ("an earlier day", AGAIN.replace("2034-03-02", "2030-03-02")),
    ] {
        let refusal = desk.refused(&sheet);
        assert!(refusal.contains("`continues = \"last\"`: no earlier examination"), "{change}: {refusal}");
    }
}

#[test]
fn continues_last_is_refused_where_two_notes_could_be_meant_and_knows_the_order_of_one_day() {
    let mut desk = with_spencer();
    desk.entered(&examined("[[condition]]\ndamage = \"tear\"\ncomponent = \"left front\"\nplace = \"at the hem\"\n"));
    let ids: Vec<String> = {
        let file = desk.catalogue.piece(NUMBER).expect("there");
        file.examinations[0].conditions.iter().filter_map(|c| c.id.clone()).collect()
    };
    let refusal = desk.refused(AGAIN);
    let place = "[[condition]] 1 (`damage/tear` on `left front`), `continues = \"last\"`";
    let place = place.replace("damage/tear", "tear");
    for part in ["has 2 such notes", &format!("`{}`, `{}`", ids[0], ids[1]), &place] {
        assert!(refusal.contains(part), "`{part}` is missing from {refusal}");
    }
    // The id tells; then another examiner of the same day goes on from there.
    desk.entered(&AGAIN.replace("\"last\"", &format!("\"{}\"", ids[1])));
    desk.entered(&AGAIN.replace("Wren Askerdale", "Ilse Tarn"));
    let file = desk.catalogue.piece(NUMBER).expect("there");
    let [_, second, third] = file.examinations.as_slice() else { panic!("three examinations") };
    assert_eq!(second.conditions[0].what.continues.as_ref(), Some(&ids[1]));
    assert_eq!(third.conditions[0].what.continues, second.conditions[0].id);
    for i in 0..3 {
        assert!(desk.entered(&desk.filled(NUMBER, Some(i))).is_nothing(), "{i}");
    }
    assert!(desk.refused(AGAIN).contains("has 2 such notes"), "the first of that day does not continue the second");
}

#[test]
fn a_note_continues_only_an_earlier_condition_note_of_its_piece() {
    let mut desk = with_spencer();
    desk.entered(AGAIN);
    desk.entered(&format!(
        "{}[examination]\ndate = 2020-03-02\nexaminer = \"W\"\n[[condition]]\ndamage = \"tear\"\n",
        second("7")
    ));
    let file = desk.catalogue.piece(NUMBER).expect("there");
    let [first, later] = file.examinations.as_slice() else { panic!("two examinations") };
    let other = desk.catalogue.piece("7").expect("there");
    let (tear, again) =
        (first.conditions[0].id.clone().expect("an id"), later.conditions[0].id.clone().expect("an id"));
    let new = |id: &Option<String>| {
        let id = id.as_deref().expect("an id");
        examined(&format!("[[condition]]\ndamage = \"tear\"\nplace = \"hem\"\ncontinues = \"{id}\"\n"))
    };
    let itself = corrected(&desk, "damage = \"tear\"\n", &format!("damage = \"tear\"\ncontinues = \"{tear}\"\n"));
    for (sheet, cause) in [
        (new(&first.measurements[0].id), "this is the id of a measurement"),
        (new(&other.examinations[0].conditions[0].id), "of another piece"),
        (new(&Some(again)), "of a later examination"),
        (new(&Some(tear)), "of the same examination"),
        (itself, "cannot continue itself"),
        (new(&Some("019".into())), "no note has this id"),
    ] {
        let refusal = desk.refused(&sheet);
        for part in [cause, "[[condition]] 1 (`tear` on `", "`continues = \"", "give the id of a condition note"] {
            assert!(refusal.contains(part), "`{part}` is missing from {refusal}");
        }
    }
    // What was withdrawn and continued none is nothing to continue.
    let gone = corrected(&desk, "damage = \"tear\"\n", "damage = \"tear\"\nwithdrawn = \"a crease\"\n");
    desk.entered(&gone);
    let sheet = new(&first.conditions[0].id).replace("2031-03-02", "2036-03-02");
    assert!(desk.refused(&sheet).contains("was withdrawn, and continued none"));
}

#[test]
fn a_note_goes_on_continuing_an_earlier_one_that_is_corrected_later() {
    let mut desk = with_spencer();
    desk.entered(AGAIN);
    let stale = desk.filled(NUMBER, Some(1));
    let sheet = corrected(&desk, "extent = \"12 mm\"", "extent = \"13 mm\"");
    desk.entered(&sheet);
    let file = desk.catalogue.piece(NUMBER).expect("there");
    assert_eq!(
        file.examinations[1].conditions[0].what.continues, file.examinations[0].conditions[0].id,
        "the later note continues what stands now"
    );
    for (which, sheet) in
        [("with `last`", AGAIN), ("printed before", &stale), ("printed now", &desk.filled(NUMBER, Some(1)))]
    {
        let entered = desk.entered(sheet);
        assert!(entered.is_nothing(), "{which}: {entered:?}");
    }
    desk.is_sound();
}

#[test]
fn a_sheet_holds_one_piece_and_one_examination() {
    let mut desk = Desk::new();
    for (what, sheet, says) in [
        ("two pieces", format!("{}{}", second("1"), second("2")), "this is not TOML"),
        ("a list of pieces", second("1").replace("[piece]", "[[piece]]"), "`piece` is a table"),
        (
            "two examinations",
            format!("{SPENCER}\n[examination]\ndate = 2031-04-02\nexaminer = \"X\"\n"),
            "this is not TOML",
        ),
        ("no piece", "[examination]\ndate = 2031-04-02\nexaminer = \"X\"\n".into(), "the sheet has no [piece]"),
        ("observations without an examination", format!("{PLAIN}[[step]]\ndone = \"cut\"\n"), "add [examination]"),
    ] {
        let refusal = desk.refused(&sheet);
        assert!(refusal.contains(says), "{what}: {refusal}");
    }
    assert!(desk.catalogue.numbers().expect("reads").is_empty());
}

#[test]
fn several_sheets_of_several_pieces_stand_side_by_side() {
    let mut desk = Desk::new();
    for number in ["1987.12", "1987.4", "1987.4b"] {
        desk.entered(&second(number));
    }
    let after = format!("{PLAIN}[[made_after]]\nmodel = \"1987.4\"\nscale = \"1:1\"\n");
    desk.entered(&after);
    assert_eq!(desk.catalogue.numbers().expect("reads"), ["1987.4", "1987.4b", "1987.12", "2031.2"]);
    let made = desk.catalogue.piece("2031.2").expect("there").made_after;
    assert_eq!(made[0].model.as_deref(), Some("1987.4"));
    let refusal = desk.refused(&after.replace("1987.4", "1987.5"));
    assert!(refusal.contains("there is no piece `1987.5`"), "{refusal}");
}

#[test]
fn a_fault_anywhere_in_a_sheet_changes_nothing() {
    let mut desk = with_spencer();
    let state = desk.catalogue.present_state().expect("reads");
    let journal = desk.catalogue.journal(None).expect("reads");
    for (what, lines) in [
        ("an unknown term", "[[condition]]\ndamage = \"hole\"\n[[condition]]\ndamage = \"eaten by wolves\"\n"),
        ("a model that is not there", "[[made_after]]\nmodel = \"9999.1\"\n"),
        (
            "an id that is not there",
            "[[condition]]\ndamage = \"hole\"\n[[condition]]\nid = \"019\"\ndamage = \"hole\"\n",
        ),
        ("a note to continue that is not there", "[[condition]]\ndamage = \"hole\"\ncontinues = \"019\"\n"),
        ("an examination that is not there", "[[condition]]\ndamage = \"hole\"\n"),
    ] {
        let mut sheet = examined(lines);
        if what.starts_with("an examination") {
            sheet = sheet.replace("[examination]", "[examination]\nid = \"019\"");
        }
        let refusal = desk.refused(&sheet);
        assert!(refusal.len() > 20, "{what} is explained: {refusal}");
        assert_eq!(desk.catalogue.present_state().expect("reads"), state, "{what} must change nothing");
        assert_eq!(desk.catalogue.journal(None).expect("reads"), journal, "{what} must not be journalled");
    }
}

#[test]
fn components_may_be_listed_in_any_order_and_parents_are_stored_first() {
    let mut desk = Desk::new();
    let part = |name: &str, of: &str| format!("[[component]]\nname = \"{name}\"\npart_of = \"{of}\"\n");
    let sheet =
        [PLAIN, &part("flap", "pocket"), &part("pocket", "front"), "[[component]]\nname = \"front\"\n"].concat();
    assert_eq!(desk.entered(&sheet).added, 3);
    let names = |desk: &Desk| -> Vec<_> {
        desk.catalogue.piece("2031.2").expect("there").components.into_iter().filter_map(|c| c.name).collect()
    };
    assert_eq!(names(&desk), ["flap", "pocket", "front"], "the order of the sheet is kept");
    assert_eq!(desk.sql().all("SELECT name FROM component ORDER BY id"), ["front", "pocket", "flap"]);

    let circle = [PLAIN, &part("a", "b"), &part("b", "a")].concat();
    let refusal = desk.refused(&circle);
    assert!(refusal.contains("is part of it in turn"), "{refusal}");
    let itself = desk.refused(&[PLAIN, &part("a", "a")].concat());
    assert!(itself.contains("a component cannot be part of itself"), "{itself}");
    let twice = desk.refused(&[PLAIN, "[[component]]\nname = \"a\"\n[[component]]\nname = \"A\"\n"].concat());
    assert!(twice.contains("`A` is listed already"), "{twice}");
    assert_eq!(names(&desk).len(), 3);

    // A line that names a known component adds to it.
    let more = format!("reason = \"seen\"\n{PLAIN}[[component]]\nname = \"flap\"\ncount = 2\n");
    desk.entered(&more);
    let flap = desk.catalogue.piece("2031.2").expect("there").components.remove(0);
    assert_eq!((flap.count, flap.part_of.as_deref()), (Some(2), Some("pocket")));
}

#[test]
fn a_stale_sheet_is_refused_after_the_line_was_corrected_elsewhere() {
    let mut desk = with_spencer();
    let mine = corrected(&desk, "\"12 mm\"", "\"13 mm\"");
    let theirs = corrected(&desk, "\"12 mm\"", "\"14 mm\"");
    desk.entered(&mine);
    let refusal = desk.refused(&theirs);
    assert!(refusal.contains("print the sheet again"), "{refusal}");
    assert_eq!(desk.sql().all("SELECT extent FROM v_condition"), ["13 mm"]);
}

#[test]
fn an_id_of_another_piece_or_kind_is_refused() {
    let mut desk = with_spencer();
    desk.entered(PLAIN);
    let file = desk.catalogue.piece(NUMBER).expect("there");
    let id = |id: &Option<String>| id.clone().expect("stored records have one");
    let exam = &file.examinations[0];
    for (what, sheet) in [
        (
            "a move of another piece",
            format!("reason = \"x\"\n{PLAIN}[[move]]\nid = \"{}\"\nto = \"x\"\n", id(&file.moves[0].id)),
        ),
        (
            "the id of a textile on a condition",
            examined(&format!("[[condition]]\nid = \"{}\"\ndamage = \"hole\"\n", id(&exam.textiles[0].id))),
        ),
        (
            "an examination of another piece",
            format!(
                "reason = \"x\"\n{PLAIN}[examination]\nid = \"{}\"\ndate = 2031-03-02\nexaminer = \"X\"\n",
                id(&exam.about.id)
            ),
        ),
    ] {
        let refusal = desk.refused(&sheet);
        assert!(refusal.contains("id"), "{what}: {refusal}");
    }
    desk.is_sound();
}

#[test]
fn two_alike_lines_are_two_observations() {
    let mut desk = with_spencer();
    let twice = examined(&"[[condition]]\ndamage = \"hole\"\ncomponent = \"left front\"\n".repeat(2));
    assert_eq!(counts(&desk.entered(&twice)), (2, 0, 0));
    assert_eq!(counts(&desk.entered(&twice)), (0, 0, 2));
    let thrice = examined(&"[[condition]]\ndamage = \"hole\"\ncomponent = \"left front\"\n".repeat(3));
    assert_eq!(counts(&desk.entered(&thrice)), (1, 0, 2));
}

#[test]
fn a_measured_line_whose_reading_was_forgotten_is_not_dropped_in_silence() {
    let mut desk = with_spencer();
    let printed = examined("[[measurement]]\ndimension = \"waist girth\"\nreadings = []\n");
    assert!(desk.entered(&printed).is_nothing(), "a printed line left empty means not recorded");
    for rest in ["note = \"cannot be laid flat\"", "component = \"left front\"", "taken = \"inside\""] {
        let refusal = desk.refused(&format!("{printed}{rest}\n"));
        assert!(refusal.contains("`readings` is missing here"), "{rest}: {refusal}");
    }
}

#[test]
fn lines_that_lack_what_they_need_are_mistakes_of_the_sheet() {
    let mut desk = with_spencer();
    for (lines, says) in [
        ("[[condition]]\nplace = \"hem\"\n", "`damage` is missing here"),
        ("[[condition]]\ndamage = \"  \"\nplace = \"hem\"\n", "`damage` is missing here"),
        ("[[textile]]\nname = \"x\"\n", "`role` is missing here"),
        ("[[textile]]\nrole = \"shell\"\ncolours = [38]\n", "`l` is missing here"),
        ("[[textile]]\nrole = \"shell\"\nfibres = [{ percent = \"20 %\" }]\n", "`fibre` is missing here"),
        ("[[work]]\ntask = \"cut\"\n", "`date` is missing here"),
        ("[[made_after]]\nnote = \"x\"\n", "say what it is made after"),
    ] {
        let refusal = desk.refused(&examined(lines));
        assert!(refusal.contains(says), "{lines}: {refusal}");
    }
    let lone = desk.refused(&format!("condition = [\"left front\"]\n{}", examined("")));
    assert!(lone.contains("`damage` is missing here"), "{lone}");
    let no_number = desk.refused("[piece]\nnumber = \"  \"\nnature = \"extant\"\nobject_name = \"x\"\n");
    assert!(no_number.contains("`number` is missing here"), "{no_number}");
}

#[test]
fn a_dry_run_says_what_would_happen_and_does_not_do_it() {
    let mut desk = Desk::new();
    let read = |desk: &Desk, text: &str| {
        let known = dimity::exchange::sheet::Known {
            vocabulary: desk.catalogue.vocabulary(),
            components: &|_| None,
            conventions: dimity::dating::Conventions::default(),
        };
        dimity::exchange::sheet::read(text, &known).expect("the sheet reads").file
    };
    let file = read(&desk, SPENCER);
    let intent = Intent { author: AUTHOR.into(), dry_run: true, ..Intent::default() };
    let would = desk.catalogue.enter(&file, &intent).expect("nothing speaks against it");
    assert_eq!(
        would,
        Entered { number: NUMBER.into(), new_piece: true, added: 13, corrected: 0, ..Entered::default() }
    );
    assert!(desk.catalogue.numbers().expect("reads").is_empty());
    assert!(desk.catalogue.journal(None).expect("reads").is_empty());
    let did = desk.catalogue.enter(&file, &Intent { dry_run: false, ..intent }).expect("entered");
    assert!(did.row.is_some(), "an entry can be taken back");
    assert_eq!(Entered { row: None, ..did }, would);
}

#[test]
fn every_writer_has_a_name() {
    let mut desk = Desk::new();
    for author in ["", "  ", "\n"] {
        let intent = Intent { author: author.into(), ..Intent::default() };
        let mut file = dimity::record::PieceFile::default();
        file.piece.number = Some("1".into());
        let refusal = desk.catalogue.enter(&file, &intent).expect_err("nobody writes").to_string();
        assert!(refusal.contains("say who is writing"), "{author:?}: {refusal}");
    }
}

const NEW: &str = "[examination]\ndate = 2031-09-09\nexaminer = \"Wren Askerdale\"\n";

#[test]
fn a_line_of_another_piece_that_takes_a_free_row_tells_its_own_story_alone() {
    let mut desk = with_spencer();
    desk.entered(PLAIN);
    let departure = |number: &str, id: &str, note: &str| {
        format!(
            "reason = \"{note}\"\n[piece]\nnumber = \"{number}\"\n[[departure]]\n{id}feature = \"cuff\"\nreason = \"fit\"\nnote = \"{note}\"\n"
        )
    };
    let id = |desk: &Desk, number: &str| {
        desk.catalogue.piece(number).expect("there").departures[0].id.clone().expect("an id")
    };
    let mut told = Vec::new();
    for number in [NUMBER, "2031.2"] {
        desk.entered(&departure(number, "", "first"));
        let its = id(&desk, number);
        desk.entered(&departure(number, &format!("id = \"{its}\"\n"), "second"));
        desk.entered(&format!(
            "reason = \"never so\"\nstrike = [\"departure.{its}\"]\n[piece]\nnumber = \"{number}\"\n"
        ));
    }
    for number in [NUMBER, "2031.2"] {
        let changes = desk.catalogue.fact_changes(number).expect("reads");
        told.push(changes.iter().filter(|c| c.section == "departure").map(|c| c.why.clone()).collect::<Vec<_>>());
    }
    assert_eq!(told, [["second", "never so"], ["second", "never so"]]);
    assert_eq!(desk.sql().one("SELECT count(DISTINCT row_id) FROM journal WHERE in_table = 'departure'"), "1");
    desk.is_sound();
}

#[test]
fn a_change_tells_a_term_without_its_list_and_a_text_as_it_was_written() {
    let mut desk = with_spencer();
    let sheet = |id: &str, reason: &str, feature: &str| {
        format!(
            "reason = \"read again\"\n[piece]\nnumber = \"{NUMBER}\"\n[[departure]]\n{id}reason = \"{reason}\"\nfeature = \"{feature}\"\n"
        )
    };
    desk.entered(&sheet("", "fit", "weave/thread count"));
    let id = desk.catalogue.piece(NUMBER).expect("there").departures[0].id.clone().expect("an id");
    desk.entered(&sheet(&format!("id = \"{id}\"\n"), "taste", "stitch/edge length"));
    let change = desk.catalogue.fact_changes(NUMBER).expect("reads").pop().expect("a change");
    let told = |name: &str, was: &str, now: &str| change.columns.contains(&(name.into(), was.into(), now.into()));
    assert!(told("reason", "fit", "taste"), "{change:?}");
    assert!(told("feature", "weave/thread count", "stitch/edge length"), "{change:?}");
}

#[test]
fn a_fact_is_struck_out_by_name_alone_and_never_by_a_blank() {
    let mut desk = with_spencer();
    let sheet = |top: &str, piece: &str| format!("{top}\n[piece]\nnumber = \"{NUMBER}\"\n{piece}");
    desk.enter_with(&sheet("", "maker = \"Madame Rill\"\nkeywords = [\"silk\", \"red\"]\n"), Some("found"))
        .expect("entered");
    let piece = |desk: &Desk| desk.catalogue.piece(NUMBER).expect("there").piece;
    desk.entered(&sheet("", "maker = \"\"\n"));
    assert_eq!(piece(&desk).maker.as_deref(), Some("Madame Rill"), "a blank erases nothing");
    let before = desk.catalogue.journal(None).expect("reads").len();
    for (top, piece, says) in [
        ("strike = [\"piece.maker\"]", "", "say why"),
        ("reason = \"no\"\nstrike = [\"maker\"]", "", "`maker` cannot be struck out"),
        ("reason = \"no\"\nstrike = [\"piece.makers\"]", "", "no such field"),
        ("reason = \"no\"\nstrike = [\"piece.object_name\"]", "", "it is needed"),
        ("reason = \"no\"\nstrike = [\"piece.culture\"]", "", "nothing is recorded there"),
        ("reason = \"no\"\nstrike = [\"piece.maker\"]", "maker = \"Another\"\n", "written and struck out"),
        ("reason = \"no\"\nstrike = [\"textile.x\"]", "", "cannot be struck out"),
        ("reason = \"no\"\nstrike = [\"component.x\"]", "", "no line `x`"),
        ("reason = \"no\"\nstrike = [\"departure.x\"]", "", "no line `x`"),
        ("reason = \"no\"\nstrike = [\"examination.light\"]", "", "which examination"),
        ("reason = \"no\"\nstrike = [\"examination.light\"]", NEW, "is new: there is no `light`"),
    ] {
        let refusal = desk.enter(&sheet(top, piece)).expect_err(top);
        assert!(refusal.contains(says), "{top}: `{refusal}` should say `{says}`");
    }
    assert_eq!(desk.catalogue.journal(None).expect("reads").len(), before, "what is refused changes nothing");
    let entered =
        desk.entered(&sheet("reason = \"another's label\"\nstrike = [\"piece.maker\", \"piece.keywords\"]", ""));
    assert_eq!(entered.corrected, 1);
    assert_eq!((piece(&desk).maker, piece(&desk).keywords), (None, Vec::new()));
    let change = desk.catalogue.fact_changes(NUMBER).expect("reads").pop().expect("a change");
    assert_eq!(change.why, "another's label");
    assert!(change.columns.contains(&("maker".into(), "Madame Rill".into(), String::new())), "{change:?}");
    desk.is_sound();
}

const OF_COLLAR: &str = "[piece]\nnumber = \"2031.1\"\n[[component]]\nname = \"collar\"\n";

/// The refusal, or what striking out a line of the spencer did.
fn struck(desk: &mut Desk, section: &str, id: &str) -> Result<Entered, String> {
    desk.enter(&format!("reason = \"never so\"\nstrike = [\"{section}.{id}\"]\n[piece]\nnumber = \"{NUMBER}\"\n"))
}

fn component(desk: &Desk, name: &str) -> Option<String> {
    let file = desk.catalogue.piece(NUMBER).expect("there");
    file.components.into_iter().find(|c| c.name.as_deref() == Some(name))?.id
}

fn treatment(desk: &Desk, title: &str) -> Option<String> {
    let file = desk.catalogue.piece(NUMBER).expect("there");
    file.treatments.into_iter().rfind(|t| t.proposal.title.as_deref() == Some(title))?.id
}

/// A photograph of the spencer, as this says.
fn photographed(desk: &mut Desk, shows: NewPhotograph) -> String {
    let card = tempfile::tempdir().expect("a temporary folder");
    let path = card.path().join("one.png");
    image::RgbImage::new(20, 10).save(&path).expect("a picture can be saved");
    let taken = Store::at(desk.folder()).ingest(&path).expect("a sound picture");
    let shows = NewPhotograph { number: NUMBER.into(), ..shows };
    desk.catalogue.add_photograph(AUTHOR, &taken, &shows).expect("added");
    taken.sha256
}

#[test]
fn a_component_is_struck_out_only_where_nothing_names_it() {
    type Naming = fn(&mut Desk);
    let named: [(&str, Naming); 8] = [
        ("part of it (1)", |desk| {
            desk.entered(&format!("{OF_COLLAR}[[component]]\nname = \"stand\"\npart_of = \"collar\"\n"));
        }),
        ("departure (2)", |desk| {
            for feature in ["height", "edge"] {
                desk.entered(&format!(
                    "{OF_COLLAR}[[departure]]\ncomponent = \"collar\"\nfeature = \"{feature}\"\nreason = \"fit\"\n"
                ));
            }
        }),
        ("planned step of a treatment (1)", |desk| {
            let planned = "[[treatment]]\ntitle = \"Wash\"\nplanned = [{ step = \"blot\", component = \"collar\" }]\n";
            desk.entered(&format!("{OF_COLLAR}{planned}"));
        }),
        ("condition (1)", |desk| {
            desk.entered(&examined("[[condition]]\ndamage = \"tear\"\ncomponent = \"collar\"\n"));
        }),
        ("photograph (1)", |desk| {
            photographed(desk, NewPhotograph { component: Some("collar".into()), ..NewPhotograph::default() });
        }),
        ("outline on a photograph (1)", |desk| {
            let sha256 = photographed(desk, NewPhotograph::default());
            let shape = Shape::parse("outline 1,1 9,1 9,9").expect("an outline");
            let outline = NewRegion { label: None, shape, shows: None, outlines: Some("collar".into()), note: None };
            desk.catalogue.add_region(AUTHOR, &sha256, &outline).expect("drawn");
        }),
        ("paired by hand in the kept comparison `of the piece`", |desk| {
            let pairs = vec![ByHand { subject: "collar".into(), other: "fob pocket".into() }];
            let basis = Basis { pairs, ..Basis::default() };
            let with = ["2031.R1".to_owned()];
            desk.catalogue.keep_comparison(AUTHOR, "why", "of the piece", (NUMBER, &with), &basis).expect("kept");
        }),
        ("paired by hand in the kept comparison `with the piece`", |desk| {
            let pairs = vec![ByHand { subject: "fob pocket".into(), other: "collar".into() }];
            let basis = Basis { pairs, ..Basis::default() };
            let with = [NUMBER.to_owned()];
            desk.catalogue.keep_comparison(AUTHOR, "why", "with the piece", ("2031.R1", &with), &basis).expect("kept");
        }),
    ];
    for (says, name) in named {
        let mut desk = with_spencer();
        desk.entered(AFTER);
        desk.entered(OF_COLLAR);
        name(&mut desk);
        let before = desk.catalogue.journal(None).expect("reads").len();
        let id = component(&desk, "collar").expect("listed");
        let refusal = struck(&mut desk, "component", &id).expect_err(says);
        assert!(refusal.contains(says), "`{refusal}` should say `{says}`");
        assert_eq!(desk.catalogue.journal(None).expect("reads").len(), before, "{says}: nothing is changed");
    }
}

#[test]
fn a_component_that_nothing_names_goes_and_its_number_is_never_another_s() {
    let mut desk = with_spencer();
    desk.entered(OF_COLLAR);
    let number = |desk: &Desk| desk.sql().one("SELECT max(id) FROM component");
    let (id, first) = (component(&desk, "collar").expect("listed"), number(&desk));
    assert_eq!(struck(&mut desk, "component", &id).expect("struck out").corrected, 1);
    assert_eq!(component(&desk, "collar"), None);
    let change = desk.catalogue.fact_changes(NUMBER).expect("reads").pop().expect("a change");
    assert_eq!((change.section, change.why.as_str()), ("component", "never so"));
    assert!(change.columns.contains(&("name".into(), "collar".into(), String::new())), "{change:?}");
    assert!(struck(&mut desk, "component", &id).expect_err("it is gone").contains("no line"));
    desk.entered(OF_COLLAR);
    assert_ne!(number(&desk), first, "what is told of a line that went must never mean another");
    desk.is_sound();
}

#[test]
fn a_treatment_goes_with_all_that_it_lists_unless_it_is_sealed_or_named() {
    type Naming<'a> = (&'a str, Box<dyn Fn(&mut Desk)>);
    let of = |lines: &str| format!("[piece]\nnumber = \"{NUMBER}\"\n[[treatment]]\n{lines}");
    let bath =
        "title = \"Bath\"\nplanned = [{ step = \"blot\" }, { step = \"dry\" }]\noptions = [{ option = \"none\" }]\n";
    let consent = "consent_by = \"Sabine Dunmarrow\"\nconsent_on = 2031-03-12\n";
    let later = of("title = \"Bath, shorter\"\nfollows = \"Bath\"\n");
    let cases: [Naming; 3] = [
        (
            "its consent is sealed",
            Box::new(move |desk| {
                let sealed = desk.enter_with(&of(&format!("{bath}{consent}")), Some("agreed")).expect("entered");
                assert_eq!(sealed.sealed.len(), 1, "{sealed:?}");
            }),
        ),
        (
            "later version (1)",
            Box::new(move |desk| {
                desk.entered(&of(bath));
                desk.entered(&later);
            }),
        ),
        (
            "photograph (1)",
            Box::new(move |desk| {
                desk.entered(&of(bath));
                photographed(desk, NewPhotograph { treatment: Some("Bath".into()), ..NewPhotograph::default() });
            }),
        ),
    ];
    for (says, name) in cases {
        let mut desk = with_spencer();
        name(&mut desk);
        let before = desk.catalogue.journal(None).expect("reads").len();
        let id = treatment(&desk, "Bath").expect("entered");
        let refusal = struck(&mut desk, "treatment", &id).expect_err(says);
        assert!(refusal.contains(says), "`{refusal}` should say `{says}`");
        assert_eq!(desk.catalogue.journal(None).expect("reads").len(), before, "{says}: nothing is changed");
    }
    let mut desk = with_spencer();
    desk.entered(&of(bath));
    let id = treatment(&desk, "Bath").expect("entered");
    assert_eq!(struck(&mut desk, "treatment", &id).expect("struck out").corrected, 1);
    assert_eq!(treatment(&desk, "Bath"), None);
    assert!(treatment(&desk, "Support of the tear").is_some(), "the other stays");
    for table in ["treatment_planned", "treatment_options"] {
        assert_eq!(desk.sql().one(&format!("SELECT count(*) FROM {table}")), "0", "{table}");
    }
    assert_eq!(desk.sql().one("SELECT count(*) FROM treatment_steps"), "1", "of the other");
    let change = desk.catalogue.fact_changes(NUMBER).expect("reads").pop().expect("a change");
    assert!(change.columns.contains(&("title".into(), "Bath".into(), String::new())), "{change:?}");
    desk.is_sound();
}

#[test]
fn a_component_that_only_withdrawn_observations_name_is_struck_out_and_kept_for_them() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    desk.entered(OF_COLLAR);
    desk.entered(&examined("[[condition]]\ndamage = \"stain\"\ncomponent = \"collar\"\n"));
    let collar = |desk: &Desk| {
        let file = desk.catalogue.piece(NUMBER).expect("there");
        file.components.into_iter().find(|c| c.name.as_deref() == Some("collar"))
    };
    let id = collar(&desk).and_then(|c| c.id).expect("an id");
    let note =
        desk.catalogue.piece(NUMBER).expect("there").examinations[0].conditions.last().and_then(|n| n.id.clone());
    let gone = format!(
        "[[condition]]\nid = \"{}\"\ndamage = \"stain\"\ncomponent = \"collar\"\nwithdrawn = \"a shadow\"\n",
        note.expect("an id")
    );
    desk.enter_with(&examined(&gone), Some("a shadow")).expect("withdrawn");
    let strike = format!("strike = [\"component.{id}\"]\n[piece]\nnumber = \"{NUMBER}\"\n");
    desk.enter_with(&strike, Some("never there")).expect("struck out");
    assert_eq!(collar(&desk), None);
    let earlier = desk.catalogue.earlier(NUMBER).expect("reads");
    assert_eq!(earlier[0].conditions[0].component.as_deref(), Some("collar"), "what was observed says where");
    desk.is_sound();
    // Under its name it is the same one again.
    desk.entered(&format!("{OF_COLLAR}note = \"of velvet\"\n"));
    assert_eq!(collar(&desk).map(|c| (c.id, c.note)), Some((Some(id), Some("of velvet".into()))));
    desk.is_sound();
}
