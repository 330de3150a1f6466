//! Promise: what an entry did to a piece can be taken back, whole, and that can be taken back too; nothing that was done since,
//! and nothing that rests on it, is lost by it.

#[path = "support/random.rs"]
mod random;
mod support;

use dimity::catalogue::{Extent, Intent, TakenBack, replay};
use dimity::exchange::correction::{self, Correction};
use dimity::record::PieceFile;
use dimity::record::account::Role;
use proptest::prelude::*;
use random::{Changer, Dice};
use support::{AGAIN, AUTHOR, Desk, SPENCER, second};

const NUMBER: &str = "2031.1";

fn intent(reason: &str) -> Intent {
    Intent { author: AUTHOR.into(), reason: Some(reason.into()), ..Intent::default() }
}

/// Enters a sheet for a reason of its own, so that it is an entry of its own; gives its row of the journal.
fn enter(desk: &mut Desk, sheet: &str, reason: &str) -> i64 {
    let entered = desk.enter(&format!("reason = \"{reason}\"\n{sheet}")).unwrap_or_else(|e| panic!("{e}\n{sheet}"));
    entered.row.expect("something was entered")
}

fn back(desk: &mut Desk, row: i64, reason: &str) -> Result<TakenBack, String> {
    desk.catalogue.take_back(NUMBER, row, Extent::Entry, &intent(reason)).map_err(|e| e.to_string())
}

fn piece(desk: &Desk) -> PieceFile {
    desk.catalogue.piece(NUMBER).expect("the piece is there")
}

/// Fails unless the journal tells what the tables hold, and the check finds nothing.
fn is_told(desk: &Desk) {
    let told = replay(&desk.catalogue.journal(None).expect("reads")).expect("the journal follows");
    assert_eq!(told, desk.catalogue.present_state().expect("reads"));
    desk.is_sound();
}

/// On whatever piece, whatever entry: facts changed, lists inside them, lines added, observations added and corrected.
#[test]
fn after_any_entry_the_piece_is_as_before_it_and_again_as_after_it() {
    let config = ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() };
    proptest!(config, |(start in any::<u64>(), density in 30u8..=90)| {
        let mut dice = Dice::new(start);
        let mut desk = Desk::new();
        desk.entered(&second("1900.1"));
        let mut first = random::file(dice.next(), density, &["1900.1"], false);
        first.piece.number = Some(NUMBER.into());
        desk.catalogue.enter(&first, &intent("first")).expect("entered");
        let before = piece(&desk);

        let mut file = before.clone();
        let mut changer = Changer { dice: Dice::new(dice.next()), changed: 0 };
        file.examinations.truncate(1);
        let agreed = file.treatments.clone();
        file.sections(Some(0), &mut changer);
        for (treatment, agreed) in file.treatments.iter_mut().zip(agreed).filter(|(_, b)| b.is_consented()) {
            (treatment.proposal, treatment.consent) = (agreed.proposal, agreed.consent);
        }
        let more = random::file(dice.next(), density / 2, &["1900.1"], false);
        let (known, mut new) = (file.components.clone(), more.components);
        new.retain(|c| known.iter().all(|k| k.name != c.name));
        // A consent would seal: that is never taken back.
        let open = more.treatments.into_iter().filter(|t| !t.is_consented());
        file.components.extend(new);
        file.events.extend(more.events);
        file.treatments.extend(open);
        file.examinations.extend(more.examinations.into_iter().filter(|e| {
            before.examinations.iter().all(|b| b.about.date != e.about.date)
        }));
        let Ok(entered) = desk.catalogue.enter(&file, &intent("second")) else { return Ok(()) };
        let Some(row) = entered.row.filter(|_| entered.sealed.is_empty()) else { return Ok(()) };
        let after = piece(&desk);

        let done = back(&mut desk, row, "not so").expect("taken back");
        prop_assert_eq!(&done.stays, &Vec::<String>::new());
        // The order of lines that come back is the order in which they stood.
        prop_assert_eq!(piece(&desk), before, "as before the entry");
        is_told(&desk);
        let row = desk.catalogue.journal(None).expect("reads").last().expect("a row").id;
        let done = back(&mut desk, row, "so after all").expect("and that too");
        prop_assert_eq!(&done.stays, &Vec::<String>::new());
        prop_assert_eq!(piece(&desk).without_ids(), after.without_ids(), "as after the entry");
        is_told(&desk);
    });
}

#[test]
fn a_new_piece_is_withdrawn_and_comes_back_by_the_same_entry() {
    let mut desk = Desk::new();
    let row = enter(&mut desk, SPENCER, "first");
    let whole = piece(&desk);
    let tried = desk.catalogue.take_back(NUMBER, row, Extent::Entry, &Intent { dry_run: true, ..intent("tried") });
    assert!(tried.expect("works it out").piece);
    assert_eq!(piece(&desk), whole, "a dry run changes nothing");

    let done = back(&mut desk, row, "another piece was meant").expect("taken back");
    assert!(done.piece && done.stays.is_empty(), "{done:?}");
    let left = piece(&desk);
    assert!(left.examinations.is_empty() && left.components.is_empty() && left.treatments.is_empty(), "{left:#?}");
    assert!(desk.catalogue.numbers().expect("reads").is_empty(), "it stands in no list");
    let why = desk.catalogue.withdrawal(NUMBER).expect("reads").expect("withdrawn").reason;
    assert_eq!(why, "another piece was meant");
    assert_eq!(desk.catalogue.earlier(NUMBER).expect("reads").len(), 1, "what was observed stays readable");
    assert!(back(&mut desk, row, "again").expect_err("refused").contains("withdrawn"), "and is not taken back twice");

    // The one that took it back enters it again; the components are the same ones, which their past observations name.
    let sheet = desk.enter(SPENCER).expect_err("a withdrawn piece takes no sheet");
    assert!(sheet.contains("withdrawn"), "{sheet}");
    let again = Intent { again: true, may: Role::Examine, ..intent("entered again") };
    let mut file = whole.clone().without_ids();
    file.piece.title = Some("Another title".into());
    desk.catalogue.enter(&file, &again).expect("entered again");
    assert_eq!(piece(&desk).without_ids(), file);
    let ids = |file: &PieceFile| file.components.iter().map(|c| c.id.clone()).collect::<Vec<_>>();
    assert_eq!(ids(&piece(&desk))[..1], ids(&whole)[..1], "`left front` is the component that it was");
    is_told(&desk);
}

#[test]
fn what_was_done_since_stays_and_is_told() {
    let mut desk = Desk::new();
    enter(&mut desk, SPENCER, "first");
    let lining = "[piece]\nnumber = \"2031.1\"\ntitle = \"A title\"\nmaker = \"R. Hollin\"\n[[component]]\nname = \"lining\"\n\
                  [[component]]\nname = \"hem\"\n[[person]]\nperson = \"Ama Lind\"\nrole = \"owner\"\n[examination]\ndate = \
                  2033-01-01\nexaminer = \"Wren Askerdale\"\n[[sign]]\nsign = \"wear\"\ncomponent = \"lining\"\n\
                  [[sign]]\nsign = \"wear\"\ncomponent = \"hem\"\n";
    let row = enter(&mut desk, lining, "lining seen");
    // Since then: a title, a correction, an observation of another examination that names a component.
    enter(&mut desk, "[piece]\nnumber = \"2031.1\"\ntitle = \"A better title\"\n", "title put right");
    let hem = |file: &PieceFile| {
        let signs = file.examinations.iter().flat_map(|e| &e.signs);
        signs.into_iter().find(|s| s.component.as_deref() == Some("hem")).and_then(|s| s.id.clone())
    };
    let id = hem(&piece(&desk)).expect("it stands");
    let (line, _) = correction::find(&piece(&desk), "sign", Some(&id)).expect("the line");
    let fields = [("note".to_owned(), "on the fold".into())].into_iter().collect();
    let note =
        Correction { section: "sign".into(), id: Some(id), version: line.version, fields, ..Correction::default() };
    correction::correct(&mut desk.catalogue, NUMBER, &note, AUTHOR, "seen again").expect("corrected");
    enter(
        &mut desk,
        "[piece]\nnumber = \"2031.1\"\n[examination]\ndate = 2034-01-01\nexaminer = \"Wren Askerdale\"\n[[sign]]\nsign = \
         \"wear\"\ncomponent = \"lining\"\n",
        "seen later",
    );

    let done = back(&mut desk, row, "the wrong garment").expect("taken back");
    let mut stays = done.stays;
    stays.sort();
    let wanted = [
        "a sign line that was corrected since",
        "the component `hem`: it is named by sign (1), sign that was corrected or withdrawn (1)",
        "the component `lining`: it is named by sign (1), sign that was corrected or withdrawn (1)",
        "the examination of 2033-01-01: observations of it stand",
        "title: it was changed since",
    ];
    assert_eq!(stays, wanted);
    let now = piece(&desk);
    assert_eq!((now.piece.title.as_deref(), now.piece.maker), (Some("A better title"), None));
    assert!(now.people.iter().all(|p| p.person.as_deref() != Some("Ama Lind")), "{:?}", now.people);
    let signs: Vec<_> = now.examinations.iter().flat_map(|e| &e.signs).map(|s| s.component.as_deref()).collect();
    assert_eq!(signs, [Some("hem"), Some("lining")], "the correction, and what was seen later");
    is_told(&desk);
}

#[test]
fn a_line_that_was_struck_out_comes_back_with_its_lists_and_a_list_as_it_was() {
    let mut desk = Desk::new();
    enter(&mut desk, SPENCER, "first");
    let whole = piece(&desk);
    let id = whole.treatments[0].id.clone().expect("an id");
    // The list inside the line is changed, and then the line struck out.
    let shorter = format!(
        "[piece]\nnumber = \"2031.1\"\n[[treatment]]\nid = \"{id}\"\ntitle = \"Support of the tear\"\nhours_expected = \"4 h\"\n\
         steps = [{{ done = \"Net laid and sewn\", date = 2031-04-02 }}]\n"
    );
    enter(&mut desk, &shorter, "steps put right");
    let changed = piece(&desk);
    assert_ne!(changed.treatments, whole.treatments);
    let strike = Intent { strike: vec![format!("treatment.{id}")], ..intent("struck out") };
    let bare = PieceFile {
        piece: dimity::record::piece::Piece { number: Some(NUMBER.into()), ..Default::default() },
        ..PieceFile::default()
    };
    desk.catalogue.enter(&bare, &strike).expect("struck out");
    assert!(piece(&desk).treatments.is_empty());

    let put_back = |desk: &mut Desk, why: &str, reason: &str| {
        let all = desk.catalogue.fact_changes(NUMBER).expect("reads");
        let open: Vec<_> = all.iter().filter(|change| change.why == why && change.is_open).collect();
        let change = open.first().unwrap_or_else(|| panic!("`{why}` is open in {all:#?}"));
        let version = correction::version_of(&piece(desk), change);
        correction::put_back_fact(&mut desk.catalogue, NUMBER, (change.row, &version), AUTHOR, reason)
            .expect("put back");
    };
    put_back(&mut desk, "struck out", "it was made after all");
    assert_eq!(piece(&desk), changed, "the line, with its lists, under its own identifier");
    for (why, wanted) in [("steps put right", &whole), ("lists as before", &changed)] {
        // A change of materials or of steps each is put back by itself.
        loop {
            let open = desk.catalogue.fact_changes(NUMBER).expect("reads");
            let mut open = open.into_iter().filter(|c| c.why == why && c.is_open).peekable();
            if open.peek().is_none() {
                break;
            }
            put_back(&mut desk, why, if why == "steps put right" { "lists as before" } else { "and again" });
        }
        assert_eq!(piece(&desk).treatments, wanted.treatments, "after `{why}` was put back");
    }
    is_told(&desk);
}

#[test]
fn a_seal_is_not_taken_back_and_a_piece_of_which_more_was_entered_stands() {
    let mut desk = Desk::new();
    let row = enter(&mut desk, SPENCER, "first");
    let consent = "[piece]\nnumber = \"2031.1\"\n[[treatment]]\ntitle = \"Wet cleaning\"\nproposed_by = \"Wren Askerdale\"\n\
                   proposed_on = 2031-03-02\naims = \"A\"\nproposal = \"B\"\nconsent_by = \"Ida Falk\"\nconsent_on = 2031-03-03\n\
                   consent_shown = \"in writing\"\n";
    let sealed = enter(&mut desk, consent, "agreed");
    let refusal = back(&mut desk, sealed, "no").expect_err("a seal stays");
    assert!(refusal.contains("a seal never"), "{refusal}");
    let done = back(&mut desk, row, "the wrong number").expect("taken back");
    assert!(
        !done.piece && done.stays.iter().any(|why| why.starts_with("the piece itself: something was entered")),
        "{done:?}"
    );
    assert_eq!(desk.catalogue.numbers().expect("reads"), [NUMBER], "the piece stands");
    assert_eq!(piece(&desk).treatments.len(), 1, "with what was agreed to");
    is_told(&desk);
}

#[test]
fn who_may_examine_takes_back_their_own_and_what_was_observed() {
    let mut desk = Desk::new();
    enter(&mut desk, SPENCER, "first");
    let observed = enter(&mut desk, AGAIN, "seen again");
    let facts = enter(&mut desk, "[piece]\nnumber = \"2031.1\"\n[[component]]\nname = \"cuff\"\n", "a cuff");
    let by = |author: &str| Intent { author: author.into(), may: Role::Examine, ..intent("not so") };
    let refusal = desk.catalogue.take_back(NUMBER, facts, Extent::Entry, &by("Somebody Else")).expect_err("refused");
    assert!(refusal.to_string().contains("those who keep the collection"), "{refusal}");
    assert_eq!(piece(&desk).components.len(), 3, "nothing was changed");
    desk.catalogue.take_back(NUMBER, facts, Extent::Entry, &by(AUTHOR)).expect("their own");
    desk.catalogue.take_back(NUMBER, observed, Extent::Entry, &by("Somebody Else")).expect("observations");
    assert_eq!((piece(&desk).components.len(), piece(&desk).examinations.len()), (2, 1));
    for (row, wrong) in [(0, "has no entry"), (9_999_999, "has no entry"), (observed, "nothing of it stands")] {
        let refusal = back(&mut desk, row, "again").expect_err("refused");
        assert!(refusal.contains(wrong), "{row}: {refusal}");
    }
    is_told(&desk);
}
