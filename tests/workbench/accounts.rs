//! Accounts: who comes in, who may do what, who wrote.

use dimity::record::account::{Account, Role};
use serde_json::json;

use crate::bench::Bench;
use crate::support::SPENCER;

const PASSWORD: &str = "tape, needle, lamp, box";

fn bench(role: Role) -> Bench {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    let account = Account { name: "Tamsin Orrel".into(), role };
    bench.desk.catalogue.add_account("test", &account, PASSWORD).expect("an account");
    bench
}

#[test]
fn one_signs_in_and_out() {
    let mut bench = bench(Role::Examine);
    let away = bench.get("/pieces/2031.1?x=1").is(303);
    assert_eq!(away.header("location"), "/sign-in?to=%2Fpieces%2F2031.1%3Fx%3D1");
    bench.get("/sign-in").is(200);
    let answer = bench.sign_in("tamsin orrel", PASSWORD).is(303);
    let cookie = answer.header("set-cookie");
    for part in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    assert!(bench.get("/").is(200).text().contains("Tamsin Orrel"), "the page says who is there");
    bench.form("/sign-out", &[]).is(303);
    bench.get("/").is(303);
}

#[test]
fn a_wrong_password_and_an_unknown_name_get_the_same_answer_and_then_wait() {
    let mut bench = bench(Role::Read);
    let wrong = bench.sign_in("Tamsin Orrel", "not this one at all").is(401).text();
    let unknown = bench.sign_in("Tamsin Orrel ", "not this one at all").is(401).text();
    assert_eq!(wrong.replace("Tamsin Orrel ", "Tamsin Orrel"), unknown.replace("Tamsin Orrel ", "Tamsin Orrel"));
    let nobody = bench.sign_in("Nobody", "not this one at all").is(401).text();
    assert_eq!(wrong.replace("Tamsin Orrel", "Nobody"), nobody);
    bench.sign_in("Tamsin Orrel", "not this one at all").is(401);
    bench.sign_in("Tamsin Orrel", "not this one at all").is(401);
    let slow = bench.sign_in("Tamsin Orrel", PASSWORD).is(429);
    assert!(!slow.header("retry-after").is_empty());
    assert!(slow.text().contains("Wait"), "the page says how long");
    assert!(!slow.text().contains(PASSWORD), "a password is never shown again");
}

#[test]
fn tries_sent_all_at_once_wait_like_tries_one_after_the_other() {
    let bench = bench(Role::Read);
    let fields = [("name", "Tamsin Orrel"), ("password", "not this one at all")];
    let tries = (0..12).map(|_| bench.form_request("/sign-in", &fields)).collect();
    let answers = bench.send_together(tries);
    let count = |status: u16| answers.iter().filter(|answer| answer.status.as_u16() == status).count();
    // Three failures cost nothing, and the fourth is the first after which one waits.
    assert_eq!((count(401), count(429)), (4, 8), "tries in the queue must not be looked at before the wait begins");
}

#[test]
fn each_role_may_do_its_own_and_no_more() {
    for (role, observed, fact, sealed) in
        [(Role::Read, 403, 403, 403), (Role::Examine, 200, 403, 403), (Role::Keep, 200, 200, 303)]
    {
        let mut bench = bench(role);
        bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
        let file = bench.desk.catalogue.piece("2031.1").unwrap();
        let id = file.examinations[0].conditions[0].id.clone().unwrap();
        let line = bench.get(&format!("/pieces/2031.1/lines/condition/{id}")).is(200).json();
        let correction = json!({ "section": "condition", "id": id, "version": line["line"]["version"],
            "fields": { "note": "seen again" }, "reason": "looked again" });
        let answer = bench.post("/pieces/2031.1/correct", &correction);
        assert_eq!(answer.status.as_u16(), observed, "{role:?} corrects an observation: {}", answer.text());
        let line = bench.get("/pieces/2031.1/lines/piece").is(200).json();
        let correction = json!({ "section": "piece", "version": line["line"]["version"],
            "fields": { "title": "A spencer" }, "reason": "named" });
        let answer = bench.post("/pieces/2031.1/correct", &correction);
        assert_eq!(answer.status.as_u16(), fact, "{role:?} corrects a fact: {}", answer.text());
        let answer = bench.form("/pieces/2031.1/seal", &[]);
        assert_eq!(answer.status.as_u16(), sealed, "{role:?} seals: {}", answer.text());
        if fact == 200 {
            let last =
                bench.desk.catalogue.journal(None).unwrap().into_iter().rfind(|r| r.in_table == "piece").unwrap();
            assert_eq!(last.author, "Tamsin Orrel", "the journal names the person who signed in");
        }
        assert_eq!(
            bench.form("/name", &[("name", "Someone Else")]).status.as_u16(),
            403,
            "nobody writes under another name"
        );
    }
}

#[test]
fn whoever_was_removed_or_lost_a_role_writes_no_more() {
    let mut bench = bench(Role::Keep);
    bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
    let line = bench.get("/pieces/2031.1/lines/piece").is(200).json();
    let correction =
        json!({ "section": "piece", "version": line["line"]["version"], "fields": { "title": "x" }, "reason": "x" });
    bench.desk.catalogue.change_account("test", "Tamsin Orrel", Some(Role::Read), None).unwrap();
    bench.post("/pieces/2031.1/correct", &correction).is(403);
    bench.desk.catalogue.remove_account("test", "Tamsin Orrel").unwrap();
    bench.post("/pieces/2031.1/correct", &correction).is(401);
    bench.get("/").is(303);
}

#[test]
fn passwords_are_hashed_and_stand_in_no_journal() {
    let mut bench = bench(Role::Read);
    bench.desk.catalogue.change_account("test", "Tamsin Orrel", None, Some("another long enough one")).unwrap();
    let sql = bench.desk.sql();
    assert!(sql.one("SELECT hash FROM account_password").starts_with("$argon2id$v=19$m=19456,t=2,p=1$"));
    assert_eq!(
        sql.one("SELECT count(*) FROM journal WHERE coalesce(before, '') || coalesce(after, '') LIKE '%argon2%'"),
        "0"
    );
    bench.desk.is_sound();
    for short in ["", "eleven char", &"x".repeat(300)] {
        let account = Account { name: "Other".into(), role: Role::Read };
        let refusal = bench.desk.catalogue.add_account("test", &account, short).expect_err("too short or too long");
        assert!(refusal.to_string().contains("12 to 256"), "{refusal}");
    }
    let twice = Account { name: "TAMSIN ORREL".into(), role: Role::Keep };
    assert!(bench.desk.catalogue.add_account("test", &twice, PASSWORD).is_err(), "capitals make no other name");
}

#[test]
fn who_examines_adds_and_corrects_what_was_observed_but_changes_no_fact() {
    let mut bench = bench(Role::Examine);
    bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
    let stands = bench.get("/sheets/file?number=2031.1").is(200).text();
    let maker = bench.desk.catalogue.piece("2031.1").expect("there").piece.maker;
    let sheet = |text: &str| {
        let fields = [("reason", "looked again"), ("name", "a.toml"), ("text", text)];
        bench.form_with_files("/sheets/enter", &fields, &[])
    };
    let facts = [
        stands.replace("object_name = \"spencer\"", "object_name = \"jacket\""),
        stands.replace("[[component]]\n", "[[component]]\nnote = \"cut on the bias\"\n"),
    ];
    for fact in facts {
        assert_ne!(fact, stands);
        let page = sheet(&fact).is(422).text();
        assert!(
            page.contains("done by those who keep the collection") && page.contains("nothing was entered"),
            "{page}"
        );
    }
    // A new fact, a new piece, and another look at what was observed.
    sheet("[piece]\nnumber = \"2031.1\"\n[[move]]\nto = \"bay 4\"\n").is(200);
    sheet("[piece]\nnumber = \"2031.8\"\nnature = \"extant\"\nobject_name = \"cap\"\n").is(200);
    let observed = stands.replace("12 mm", "13 mm");
    assert_ne!(observed, stands, "an extent is on the sheet");
    sheet(&observed).is(200);

    // The same in a sitting.
    let begun = bench.form("/examine", &[("number", "2031.1")]).is(303);
    let sitting = begun.header("location").to_owned();
    let mut version = bench.get(&format!("{sitting}/part")).is(200).json()["version"].clone();
    let mut say = |what: &str, mut message: serde_json::Value| {
        (message["version"], message["window"]) = (version.clone(), json!("a window"));
        let answer = bench.post(&format!("{sitting}/{what}"), &message);
        let now = answer.json()["version"].clone();
        version = if now.is_null() { version.clone() } else { now };
        answer
    };
    say("stroke", json!({ "act": "write", "text": "piece: maker: Somebody Else" })).is(200);
    let refused = say("enter", json!({ "reason": "looked again" })).is(422).json();
    let wrong = refused["wrong"].as_str().unwrap_or_default().to_owned();
    assert!(wrong.contains("done by those who keep the collection"), "{refused}");
    assert_eq!(bench.desk.catalogue.piece("2031.1").expect("there").piece.maker, maker);
    bench.desk.is_sound();
}
