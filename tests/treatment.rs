//! Promise: what was consented to stays what it was. A sheet cannot change it, the database refuses, and whatever gets
//! past both is found by the check.

mod support;

use dimity::catalogue::{Added, Catalogue, NewPhotograph};
use dimity::photograph::Store;
use dimity::record::seal::Seal;
use dimity::record::treatment::Treatment;
use support::{AUTHOR, Desk, PLAIN, Room, SPENCER, Tables, counts};

const NUMBER: &str = "2031.1";

/// A proposal with everything in it, of the spencer.
const PROPOSAL: &str = r#"[piece]
number = "2031.1"

[[treatment]]
title = "Wash of the lining"
proposed_by = "Ida Farrow"
proposed_on = 2031-03-10
present_condition = "soiled at the waist"
aims = "to lower acidity"
options = [{ option = "nothing", taken = "no", reason = "acid" }, { option = "wash", taken = "yes" }]
tests = [{ test = "wash-fastness", place = "hem", by = "Ida Farrow", date = 2031-03-09, method = "water, 20 °C", result = "fast", meaning = "may be washed" }]
proposal = "blot with water"
planned = [{ step = "blot", component = "left front", hours = "2 h" }, { step = "dry" }]
proposed_materials = [{ material = "water", purpose = "carries soil off", amount = "1 l" }]
not_to_be_done = "no soap"
risks = "tidelines"
hours_expected = "4 h"
"#;

const CONSENT: &str = "consent_by = \"Sabine Dunmarrow\"\nconsent_on = 2031-03-12\nconsent_shown = \"the lining\"\n\
                       consent_conditions = \"stop if it bleeds\"\n";

/// The sheet of the proposal as agreed to.
fn agreed() -> String {
    format!("{PROPOSAL}{CONSENT}")
}

/// A catalogue with the spencer and its treatment agreed to.
fn desk() -> Desk {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    assert_eq!(counts(&desk.entered(&agreed())), (1, 0, 0));
    desk.is_sound();
    desk
}

fn wash(desk: &Desk) -> Treatment {
    let list = desk.catalogue.piece(NUMBER).expect("there").treatments;
    list.into_iter().find(|t| t.proposal.title.as_deref() == Some("Wash of the lining")).expect("there")
}

fn id(treatment: &Treatment) -> &str {
    treatment.id.as_deref().expect("stored records have one")
}

/// The sheet of the treatment with its identifier, one text in it replaced, and a reason.
fn changed(desk: &Desk, from: &str, to: &str) -> String {
    let sheet = agreed();
    assert!(from.is_empty() || sheet.contains(from), "the sheet holds no `{from}`");
    let with_id = format!("[[treatment]]\nid = \"{}\"", id(&wash(desk)));
    format!("reason = \"x\"\n{}", sheet.replacen(from, to, 1).replace("[[treatment]]", &with_id))
}

/// Takes the fence down, as someone would who means to change a consent.
fn unfenced(desk: &Desk) -> Tables {
    let sql = desk.sql();
    for name in sql.all("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name LIKE 'treatment%'") {
        sql.run(&format!("DROP TRIGGER {name}"));
    }
    sql
}

/// What the check says of consents.
fn found(catalogue: &Catalogue) -> Vec<String> {
    let findings = catalogue.check().expect("the check runs");
    let told = findings.into_iter().map(|f| f.what);
    // That the fences are down is found too.
    told.filter(|what| what.contains("consent") && !what.starts_with("the trigger")).collect()
}

#[test]
fn no_sheet_changes_what_was_agreed_to() {
    let mut desk = desk();
    let state = desk.catalogue.present_state().expect("reads");
    for (field, from, to) in [
        ("title", "Wash of", "Washing of"),
        ("proposed_by", "proposed_by = \"Ida Farrow\"", "proposed_by = \"Wren Askerdale\""),
        ("proposed_on", "2031-03-10", "2031-03-11"),
        ("present_condition", "soiled", "stained"),
        ("aims", "acidity", "soiling"),
        ("options", "reason = \"acid\"", "reason = \"acidic\""),
        ("options", "taken = \"yes\"", "taken = \"in part\""),
        ("tests", "result = \"fast\"", "result = \"bleeds\""),
        ("tests", ", by = \"Ida Farrow\"", ""),
        ("proposal", "blot with", "soak in"),
        ("planned", ", { step = \"dry\" }", ""),
        ("planned", "{ step = \"dry\" }", "{ step = \"dry\" }, { step = \"press\" }"),
        ("planned", "component = \"left front\"", "component = \"watch pocket\""),
        ("planned", "\"2 h\"", "\"3 h\""),
        ("proposed_materials", "amount = \"1 l\"", "amount = \"9 l\""),
        ("not_to_be_done", "no soap", "no bleach"),
        ("risks", "tidelines", "none"),
        ("hours_expected", "4 h", "40 h"),
        ("consent_by", "Sabine Dunmarrow", "Wren Askerdale"),
        ("consent_on", "2031-03-12", "2031-03-13"),
        ("consent_shown", "shown = \"the lining\"", "shown = \"everything\""),
        ("consent_conditions", "if it bleeds", "never"),
        ("follows", "proposed_by", "follows = \"Support of the tear\"\nproposed_by"),
    ] {
        let refusal = desk.refused(&changed(&desk, from, to));
        let mend = format!("follows = \"{}\"", id(&wash(&desk)));
        for says in
            [&format!("`{field}` of the treatment `Wash of the lining`"), &mend, "Sabine Dunmarrow", "2031-03-12"]
        {
            assert!(refusal.contains(says), "{field}, `{from}` to `{to}`: `{says}` is missing from {refusal}");
        }
        assert_eq!(desk.catalogue.present_state().expect("reads"), state, "{field}");
    }
    let several = desk.refused(&changed(&desk, "acidity", "soiling").replace("tidelines", "none"));
    assert!(several.contains("`aims`, `risks` of"), "{several}");
    // The reason asked of a correction is not asked for first: it would be given in vain.
    let refusal = desk.refused(&changed(&desk, "acidity", "soiling").replace("reason = \"x\"\n", ""));
    assert!(refusal.contains("is sealed"), "{refusal}");
    desk.is_sound();
}

#[test]
fn what_was_done_is_added_to_a_sealed_treatment_and_the_seal_stays() {
    let mut desk = desk();
    let seals = desk.catalogue.consent_seals(NUMBER).expect("reads");
    let of_now = Seal::of(NUMBER, &wash(&desk));
    assert_eq!(seals, [(id(&wash(&desk)).to_owned(), of_now.clone())]);
    assert!(of_now.is_whole());
    let before = wash(&desk);
    // What was agreed to need not be repeated; a list of steps is given as it stands.
    let line = format!(
        "[piece]\nnumber = \"{NUMBER}\"\n[[treatment]]\nid = \"{}\"\ntitle = \"Wash of the lining\"\n",
        id(&before)
    );
    let mut add = |lines: &str| {
        let sheet = format!("reason = \"work went on\"\n{line}{lines}");
        assert_eq!(counts(&desk.entered(&sheet)), (0, 1, 0), "{lines}");
        assert!(desk.entered(&sheet).is_nothing(), "{lines} again");
    };
    let first = "{ done = \"blotted\", date = 2031-04-01, by = \"Ida Farrow\", hours = \"2 h\" }";
    add(&format!("steps = [{first}]\n"));
    add(&format!("steps = [{first}, {{ done = \"dried\" }}]\nmaterials = [{{ material = \"water\", lot = \"3\" }}]\n"));
    add(&format!(
        "steps = [{first}, {{ done = \"dried flat\" }}]\nresult = \"cleaner\"\ndepartures = \"none\"\nafter_care = \"none\"\n"
    ));
    let after = wash(&desk);
    assert_eq!((&after.proposal, &after.consent), (&before.proposal, &before.consent));
    assert_eq!(after.steps.len(), 2);
    assert_eq!(desk.catalogue.consent_seals(NUMBER).expect("reads"), seals);
    desk.is_sound();
    // A step that stays is not written again.
    let told = desk.catalogue.journal(Some(NUMBER)).expect("reads");
    let first: Vec<_> =
        told.iter().filter(|r| r.in_table == "treatment_steps" && format!("{r:?}").contains("blotted")).collect();
    assert_eq!(first.len(), 1, "{first:#?}");
    // The printed sheet adds nothing.
    let printed = desk.filled(NUMBER, None);
    assert!(desk.entered(&printed).is_nothing());
}

#[test]
fn a_consent_is_withdrawn_by_somebody_on_a_day_for_a_reason_and_the_seal_stays() {
    let mut desk = desk();
    let seals = desk.catalogue.consent_seals(NUMBER).expect("reads");
    let sheet = |lines: &str| {
        format!(
            "reason = \"told by telephone\"\n[piece]\nnumber = \"{NUMBER}\"\n[[treatment]]\nid = \"{}\"\ntitle = \"Wash of the lining\"\n{lines}\n",
            id(&wash(&desk))
        )
    };
    let withdrawn = "consent_withdrawn_by = \"Sabine Dunmarrow\"\nconsent_withdrawn_on = 2031-03-20\nconsent_withdrawn_why = \"it goes on loan\"";
    let (whole, early) = (sheet(withdrawn), sheet(&withdrawn.replace("2031-03-20", "2031-03-01")));
    let partly = sheet("consent_withdrawn_on = 2031-03-20");
    assert!(desk.refused(&partly).contains("withdrawn by somebody, on a day, for a reason"));
    assert!(desk.refused(&early).contains("lies before `consent_on`"));
    let other = "[piece]\nnumber = \"2031.1\"\n[[treatment]]\ntitle = \"Bath\"\n";
    assert!(desk.refused(&format!("{other}{withdrawn}\n")).contains("there is no consent that could be withdrawn"));
    desk.entered(&whole);
    let treatment = wash(&desk);
    assert!(treatment.is_withdrawn() && treatment.is_consented());
    assert_eq!(treatment.withdrawal.consent_withdrawn_why.as_deref(), Some("it goes on loan"));
    assert_eq!(desk.catalogue.consent_seals(NUMBER).expect("reads"), seals, "what was agreed to stays sealed");
    desk.is_sound();
    // What is added to the record later need not say it again.
    let later = format!("reason = \"x\"\n{}", sheet_of(&treatment, "after_care = \"none\""));
    desk.entered(&later);
    assert!(wash(&desk).is_withdrawn());
    desk.is_sound();
}

fn sheet_of(treatment: &Treatment, line: &str) -> String {
    format!(
        "[piece]\nnumber = \"{NUMBER}\"\n[[treatment]]\nid = \"{}\"\ntitle = \"Wash of the lining\"\n{line}\n",
        id(treatment)
    )
}

#[test]
fn a_component_that_a_sealed_plan_names_keeps_its_name() {
    let mut desk = desk();
    let filled = desk.filled(NUMBER, None);
    let renamed = filled
        .replace("name = \"left front\"", "name = \"left forepart\"")
        .replace("\"left front\"", "\"left forepart\"");
    let components: String =
        renamed.split("\n[[").take_while(|part| !part.starts_with("person")).collect::<Vec<_>>().join("\n[[");
    let refusal = desk.refused(&format!("reason = \"the trade's word\"\n{components}\n"));
    assert!(
        refusal.contains("names a component by the name that it had, in `planned`")
            && refusal.contains("leave the component its name"),
        "{refusal}"
    );
    desk.is_sound();
    // One that no plan names may have another name.
    let pocket = filled.replace("name = \"watch pocket\"", "name = \"fob pocket\"");
    let pocket: String =
        pocket.split("\n[[").take_while(|part| !part.starts_with("person")).collect::<Vec<_>>().join("\n[[");
    desk.entered(&format!("reason = \"the trade's word\"\n{pocket}\n"));
    desk.is_sound();
}

#[test]
fn a_proposal_is_open_until_its_consent_says_who_and_when() {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    for (lines, sealed) in [
        ("", false),
        ("consent_by = \"Sabine Dunmarrow\"\n", false),
        ("consent_by = \"Sabine Dunmarrow\"\nconsent_on = 2031-03-12\n", true),
    ] {
        let sheet = format!("reason = \"x\"\n{PROPOSAL}{lines}");
        let known = desk.catalogue.piece(NUMBER).expect("there").treatments;
        let known = known.iter().find(|t| t.proposal.proposed_by.is_some()).and_then(|t| t.id.clone());
        let sheet =
            known.map_or(sheet.clone(), |id| sheet.replace("[[treatment]]", &format!("[[treatment]]\nid = \"{id}\"")));
        let told = desk.entered(&sheet).sealed;
        let seals = desk.catalogue.consent_seals(NUMBER).expect("reads");
        assert_eq!(seals.len(), usize::from(sealed), "{lines}");
        let told: Vec<_> = told.iter().map(|s| (&*s.treatment, &*s.proposal_sha256, s.seal.clone())).collect();
        let set: Vec<_> = seals.iter().map(|(_, s)| ("Wash of the lining", &*s.proposal_sha256, s.short())).collect();
        assert_eq!(told, set, "{lines}");
        assert!(desk.entered(&sheet).sealed.is_empty(), "{lines}: it was sealed before");
        let risks = desk.enter(&changed_risks(&sheet, &desk));
        assert_eq!(risks.is_err(), sealed, "{lines}: {risks:?}");
        desk.is_sound();
    }
}

/// The sheet with other risks, as a correction of what is stored.
fn changed_risks(sheet: &str, desk: &Desk) -> String {
    let with_id = format!("[[treatment]]\nid = \"{}\"\ntitle", id(&wash(desk)));
    let sheet =
        if sheet.contains("\nid = ") { sheet.to_owned() } else { sheet.replace("[[treatment]]\ntitle", &with_id) };
    sheet.replace("tidelines", "tidelines and more")
}

/// Ways to change a consent with plain SQL, the field or word that the check must name, and whether triggers refuse it.
const EDITS: [(&str, &str, bool); 17] = [
    ("UPDATE treatment SET proposal = 'soak' WHERE title LIKE 'Wash%'", "`proposal`", true),
    ("UPDATE treatment SET risks = NULL WHERE title LIKE 'Wash%'", "`risks`", true),
    ("UPDATE treatment SET hours_expected_h = 8 WHERE title LIKE 'Wash%'", "`hours_expected`", true),
    ("UPDATE treatment SET consent_on = '2031-03-01' WHERE title LIKE 'Wash%'", "`consent_on`", true),
    ("UPDATE treatment SET consent_by_id = proposed_by_id WHERE title LIKE 'Wash%'", "`consent_by`", true),
    ("UPDATE treatment SET consent_by_id = NULL WHERE title LIKE 'Wash%'", "`consent_by`", true),
    ("UPDATE treatment SET consent_conditions = NULL WHERE title LIKE 'Wash%'", "`consent_conditions`", true),
    ("UPDATE treatment SET follows_id = 1 WHERE title LIKE 'Wash%'", "`follows`", true),
    ("UPDATE person SET name = 'Somebody Else' WHERE name = 'Sabine Dunmarrow'", "`consent_by`", false),
    ("UPDATE treatment_seal SET proposal_sha256 = lower(hex(zeroblob(32)))", "seal", true),
    ("UPDATE treatment_seal SET proposal = replace(proposal, 'blot', 'soak')", "`proposal`", true),
    ("DELETE FROM treatment_seal", "lost its seal", true),
    ("DELETE FROM treatment_planned WHERE position = 2", "`planned`", true),
    (
        "INSERT INTO treatment_planned (owner_id, position, step) SELECT owner_id, 9, 'press' FROM treatment_seal",
        "`planned`",
        true,
    ),
    ("UPDATE treatment_tests SET result = 'bleeds'", "`tests`", true),
    ("UPDATE treatment_options SET owner_id = 1 WHERE position = 1", "`options`", true),
    ("UPDATE component SET name = 'right front' WHERE name = 'left front'", "`planned`", false),
];

#[test]
fn the_database_itself_refuses_to_change_a_consent() {
    let desk = desk();
    let sql = desk.sql();
    for (statement, _, fenced) in EDITS {
        if fenced {
            let refusal = sql.refusal(statement);
            assert!(refusal.contains("sealed") || refusal.contains("a seal is never"), "{statement}: {refusal}");
        }
    }
    for statement in ["DELETE FROM treatment WHERE title LIKE 'Wash%'", "DELETE FROM treatment_proposed_materials"] {
        assert!(sql.refusal(statement).contains("sealed"), "{statement}");
    }
    // What was not agreed to is free, and so is what is done.
    sql.run("SAVEPOINT try; UPDATE treatment SET risks = 'x' WHERE title NOT LIKE 'Wash%'; UPDATE treatment SET result = 'y'; ROLLBACK TO try");
    desk.is_sound();
}

#[test]
fn whatever_gets_past_the_fence_is_found_and_named() {
    for (statement, names, _) in EDITS {
        let desk = desk();
        unfenced(&desk).run(statement);
        let found = found(&desk.catalogue);
        assert!(
            found.iter().any(|f| f.contains("Wash of the lining") && f.contains(NUMBER) && f.contains(names)),
            "{statement}: {found:#?}"
        );
    }
}

/// Writes a journal row that fits the chain, as someone would who knows how it is made.
fn forge(sql: &Tables, act: &str, table: &str, row: i64, before: Option<&str>, after: Option<&str>) {
    let previous = sql.one("SELECT coalesce((SELECT hash FROM journal ORDER BY id DESC LIMIT 1), printf('%064d', 0))");
    let (at, row_id) = ("2031-06-01T00:00:00Z", row.to_string());
    let hex = support::sha256;
    // Before contents could be purged, a hash covered them themselves.
    let older = sql.one("SELECT count(*) FROM pragma_table_info('journal') WHERE name = 'after_sha256'") == "0";
    let covered = |state: Option<&str>| state.map(|s| if older { s.to_owned() } else { hex(s) }).unwrap_or_default();
    let (was, is) = (covered(before), covered(after));
    let fields = [&*previous, at, "Nobody", "tidied", act, table, &row_id, &was, &is];
    let hash = hex(&fields.join("\n"));
    sql.0
        .execute(
            "INSERT INTO journal (at, author, reason, act, in_table, row_id, before, after, previous_hash, hash)
             VALUES (?, 'Nobody', 'tidied', ?, ?, ?, ?, ?, ?, ?)",
            (at, act, table, row, before, after, &previous, &hash),
        )
        .expect("a journal row");
}

#[test]
fn a_change_with_a_forged_journal_row_and_a_fresh_seal_is_found() {
    let desk = desk();
    let sql = unfenced(&desk);
    let last = |table: &str| {
        sql.one(&format!("SELECT after FROM journal WHERE in_table = '{table}' ORDER BY id DESC LIMIT 1"))
    };
    let row: i64 = sql.one("SELECT id FROM treatment WHERE title LIKE 'Wash%'").parse().expect("a row");
    let before = last("treatment");
    sql.run("UPDATE treatment SET risks = 'none' WHERE title LIKE 'Wash%'");
    forge(&sql, "update", "treatment", row, Some(&before), Some(&before.replace("tidelines", "none")));
    let seal = Seal::of(NUMBER, &wash(&desk));
    sql.0
        .execute(
            "UPDATE treatment_seal SET proposal = ?, proposal_sha256 = ?, consent = ?, consent_sha256 = ?",
            (&seal.proposal, &seal.proposal_sha256, &seal.consent, &seal.consent_sha256),
        )
        .expect("sealed anew");
    let old = last("treatment_seal");
    let mut new: serde_json::Map<String, serde_json::Value> = serde_json::from_str(&old).expect("a row");
    for (name, text) in [
        ("proposal", &seal.proposal),
        ("proposal_sha256", &seal.proposal_sha256),
        ("consent", &seal.consent),
        ("consent_sha256", &seal.consent_sha256),
    ] {
        new.insert(name.into(), text.clone().into());
    }
    let new = serde_json::Value::Object(new).to_string();
    let only_the_row = found(&desk.catalogue);
    forge(&sql, "update", "treatment_seal", 1, Some(&old), Some(&new));
    let found = found(&desk.catalogue);
    let says = |list: &[String], table: &str| {
        list.iter().any(|f| f.contains(&format!("of `{table}`")) && f.contains("Nobody"))
    };
    assert!(says(&only_the_row, "treatment"), "{only_the_row:#?}");
    assert!(says(&found, "treatment") && says(&found, "treatment_seal"), "{found:#?}");
    let mut all = desk.catalogue.check().expect("runs");
    // What the piece is found by moves with changes by the program alone.
    let of_the_index = "is not found by what its record says";
    all.retain(|finding| !finding.what.starts_with("the trigger") && !finding.what.ends_with(of_the_index));
    assert_eq!(all.len(), found.len(), "the forgery fits tables and chain; only the seal's history tells: {all:#?}");
}

#[test]
fn a_new_version_follows_by_title_or_id_and_the_same_sheet_adds_nothing() {
    let mut desk = desk();
    let first = wash(&desk);
    let version = |follows: &str, aims: &str| {
        PROPOSAL
            .replace("to lower acidity", aims)
            .replace("proposed_by", &format!("follows = \"{follows}\"\nproposed_by"))
    };
    let second = version("Wash of the lining", "to lower soiling");
    assert_eq!(counts(&desk.entered(&second)), (1, 0, 0));
    assert!(desk.entered(&second).is_nothing(), "the title finds the same version again");
    let third = version("wash of the LINING", "third");
    assert_eq!(counts(&desk.entered(&third)), (1, 0, 0));
    for again in [&second, &third] {
        assert!(desk.entered(again).is_nothing());
    }
    let list = desk.catalogue.piece(NUMBER).expect("there").treatments;
    let by_aims = |aims: &str| list.iter().find(|t| t.proposal.aims.as_deref() == Some(aims)).expect("there");
    let (second, third) = (by_aims("to lower soiling"), by_aims("third"));
    assert_eq!(second.proposal.follows, first.id);
    assert_eq!(third.proposal.follows, second.id, "the title means the latest version");
    assert_eq!(third.before(&list).iter().map(|t| id(t)).collect::<Vec<_>>(), [id(second), id(&first)]);
    assert_eq!(
        desk.sql().all("SELECT version || ' ' || coalesce(consent_by, 'open') FROM v_treatment WHERE title LIKE 'Wash%' ORDER BY version"),
        ["1 Sabine Dunmarrow", "2 open", "3 open"]
    );
    let printed = desk.filled(NUMBER, None);
    assert!(desk.entered(&printed).is_nothing(), "the printed sheet names the versions by their ids");
    let by_id = version(id(&first), "a branch");
    assert_eq!(counts(&desk.entered(&by_id)), (1, 0, 0));

    let own = |t: &Treatment, follows: &str, aims: &str| {
        format!(
            "reason = \"x\"\n{}",
            version(follows, aims).replace("[[treatment]]", &format!("[[treatment]]\nid = \"{}\"", id(t)))
        )
    };
    for (what, sheet, says) in [
        ("unknown", version("Bath", "x"), "no other treatment `Bath` of `2031.1`, it has `Support of the tear`"),
        ("itself", own(third, id(third), "third"), "no other treatment"),
        ("a circle", own(second, id(third), "to lower soiling"), "is itself a later version"),
        (
            "of another piece",
            format!("{PLAIN}[[treatment]]\ntitle = \"x\"\nfollows = \"{}\"\n", id(&first)),
            "it has none yet",
        ),
    ] {
        let refusal = desk.refused(&sheet);
        assert!(refusal.contains(says), "{what}: {refusal}");
    }
    desk.is_sound();
}

#[test]
fn a_photograph_is_tied_to_a_treatment_when_it_is_added_or_later_and_never_to_another() {
    let mut desk = desk();
    let card = tempfile::tempdir().expect("a folder");
    let path = card.path().join("one.png");
    image::RgbImage::new(20, 10).save(&path).expect("a picture can be saved");
    let taken = Store::at(desk.folder()).ingest(&path).expect("a sound picture");
    let shows = |treatment: Option<&str>, stage: Option<&str>| NewPhotograph {
        number: NUMBER.into(),
        treatment: treatment.map(String::from),
        stage: stage.map(String::from),
        ..NewPhotograph::default()
    };
    let wash_id = id(&wash(&desk)).to_owned();
    let mut add = |treatment: Option<&str>, stage: Option<&str>| {
        desk.catalogue.add_photograph(AUTHOR, &taken, &shows(treatment, stage)).map_err(|e| e.to_string())
    };
    assert_eq!(add(None, None), Ok(Added::New));
    assert_eq!(add(None, None), Ok(Added::Known));
    assert!(add(Some("Bath"), None).is_err_and(|e| e.contains("treatment `Bath`")));
    assert_eq!(add(Some("Wash of the lining"), Some("before")), Ok(Added::Tied));
    assert_eq!(add(Some(&wash_id), None), Ok(Added::Known));
    assert_eq!(add(Some(&wash_id), Some("before")), Ok(Added::Known));
    assert!(add(Some(&wash_id), Some("after")).is_err_and(|e| e.contains("taken before treatment")));
    assert!(add(Some("Support of the tear"), None).is_err_and(|e| e.contains("another treatment")));
    let photo = desk.catalogue.piece(NUMBER).expect("there").photographs.remove(0);
    assert_eq!((photo.treatment_id, photo.stage.as_deref()), (Some(wash_id), Some("before")));
    desk.is_sound();
}

/// A catalogue of the first release with a treatment that was agreed to, and corrected after, as that release allowed.
#[test]
fn a_consent_of_an_older_catalogue_is_sealed_as_it_stands_when_the_catalogue_is_brought_up_to_date() {
    let older = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/older/schema-1.sqlite");
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::copy(older, folder.path().join("catalogue.sqlite")).expect("copied");
    let sql = Tables::open(folder.path());
    let number = sql.one("SELECT number FROM piece");
    let (piece, person) = (sql.one("SELECT id FROM piece"), sql.one("SELECT min(id) FROM person"));
    let uid = "0190c1b0-0000-7000-8000-000000000009";
    sql.run(&format!(
        "INSERT INTO treatment (id, uid, piece_id, position, title, consent_by_id, consent_on, risks)
         VALUES (1, '{uid}', {piece}, 1, 'Support', {person}, '2019-01-02', 'some')"
    ));
    let row = |risks: &str| {
        format!(
            r#"{{"id":1,"uid":"{uid}","piece_id":{piece},"position":1,"title":"Support","consent_by_id":{person},"consent_on":"2019-01-02","risks":"{risks}"}}"#
        )
    };
    forge(&sql, "insert", "treatment", 1, None, Some(&row("none")));
    forge(&sql, "update", "treatment", 1, Some(&row("none")), Some(&row("some")));
    drop(sql);

    let catalogue = Catalogue::open(folder.path(), support::clock()).expect("opens");
    assert_eq!(catalogue.check().expect("runs"), [], "what was corrected before it was sealed is no finding");
    let file = catalogue.piece(&number).expect("there");
    let treatment = file.treatments.iter().find(|t| t.is_consented()).expect("there");
    assert_eq!(treatment.proposal.risks.as_deref(), Some("some"));
    assert_eq!(catalogue.consent_seals(&number).expect("reads"), [(uid.to_owned(), Seal::of(&number, treatment))]);
    let told = catalogue.journal(Some(&number)).expect("reads").pop().expect("not empty");
    assert_eq!((told.in_table.as_str(), told.author.as_str()), ("treatment_seal", "dimity"));
    assert!(told.reason.contains("before there were seals"), "{}", told.reason);
    drop(catalogue);
    // Once is enough.
    let again = Catalogue::open(folder.path(), support::clock()).expect("opens");
    assert_eq!(again.consent_seals(&number).expect("reads").len(), 1);
    let sql = Tables::open(folder.path());
    assert!(sql.refusal("UPDATE treatment SET risks = 'none'").contains("sealed"));
    sql.run("DROP TRIGGER consent_stands; UPDATE treatment SET risks = 'none'");
    assert!(found(&again).iter().any(|f| f.contains("`risks`")));
}

#[test]
fn whoever_enters_a_consent_is_told_that_it_seals() {
    let room = Room::with(&[SPENCER]);
    let path = room.write("agreed.toml", agreed());
    let dry = room.run(&["enter", "--dry-run", &path]).done();
    assert!(dry.contains("treatment `Wash of the lining` would be sealed ("), "{dry}");
    let out = room.run(&["enter", &path]).done();
    let said = out.lines().nth(1).expect("a second line");
    assert!(said.contains("agreed.toml: treatment `Wash of the lining` is consented to and sealed ("), "{out}");
    assert!(said.ends_with("): its proposal cannot be changed from now on"), "{out}");
    let again = room.run(&["enter", &path]).done();
    assert!(!again.contains("sealed"), "{again}");
    let json = room.run(&["--json", "enter", &path]).done();
    assert!(json.contains("\"sealed\":[]"), "{json}");
}

#[test]
fn the_program_prints_proposal_or_record_and_says_what_it_cannot_find() {
    let room = Room::with(&[SPENCER, PLAIN, &agreed()]);
    let out = room.run(&["report", "treatment", "2031.1"]).done();
    assert!(out.contains("treatment-2031.1.html"), "{out}");
    let page = |arguments: &[&str]| {
        let all = [&["report", "treatment", "2031.1", "--out", "-"], arguments].concat();
        room.run(&all).done()
    };
    for (arguments, title) in [
        (&[][..], "Treatment proposal 2031.1, Wash of the lining"),
        (&["--treatment", "support of the TEAR"], "Treatment record 2031.1, Support of the tear"),
        (
            &["--treatment", "Support of the tear", "--part", "proposal"],
            "Treatment proposal 2031.1, Support of the tear",
        ),
        (&["--part", "record"], "Treatment record 2031.1, Wash of the lining"),
    ] {
        assert!(page(arguments).contains(&format!("<title>{title}</title>")), "{arguments:?}");
    }
    let file =
        room.run(&["report", "treatment", "2031.1", "--treatment", "Wash of the lining", "--part", "record"]).done();
    assert!(file.contains("treatment-2031.1-wash-of-the-lining-record.html"), "{file}");
    for (arguments, says) in [
        (
            &["2031.1", "--treatment", "Bath"][..],
            "has no treatment `Bath`; its treatments: `Support of the tear`, `Wash",
        ),
        (&["2031.2"], "no treatment of `2031.2` is recorded"),
    ] {
        let refusal = room.run(&[&["report", "treatment"], arguments].concat()).refused();
        assert!(refusal.contains(says), "{refusal}");
    }
    assert!(!page(&[]).contains("This page is not what was agreed to"));
    let sql = Tables::open(&room.collection());
    sql.run("DROP TRIGGER consent_stands; UPDATE treatment SET aims = 'other' WHERE title LIKE 'Wash%'");
    let page = page(&[]);
    assert!(page.contains("This page is not what was agreed to") && page.contains("sealed: aims."), "the page warns");
    let said = room.run(&["check"]).said_wrong();
    assert!(said.contains("the consent to the treatment `Wash of the lining` of `2031.1`"), "{said}");
}
