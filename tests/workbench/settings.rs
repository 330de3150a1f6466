//! What is decided for the collection: conventions, intervals, name and place, own words, accounts.

use dimity::analysis::programme::Intervals;
use dimity::dating::{Beyond, Conventions, Cut, Hundreds};
use dimity::record::account::{Account, Role};
use dimity::vocabulary::Scheme;

use crate::bench::Bench;
use crate::support::{AUTHOR, SPENCER};

const PASSWORD: &str = "tape, needle, lamp, box";

/// The last row of the journal: who, and why.
fn last(bench: &Bench) -> (String, String) {
    let rows = bench.desk.catalogue.journal(None).expect("the journal");
    rows.last().map(|row| (row.author.clone(), row.reason.clone())).unwrap_or_default()
}

#[test]
fn dates_are_read_as_was_chosen_and_a_bad_choice_is_said_beside_its_field() {
    let bench = Bench::by_link(&[]);
    let chosen = [
        ("circa", "10"),
        ("century-from", "1"),
        ("early-late", "quarters"),
        ("before-after", "hundred"),
        ("hundreds", "decade"),
        ("reason", "as the house has it"),
    ];
    bench.settle("/conventions", "/conventions/dates", &chosen).is(303);
    let wanted = Conventions {
        circa_years: 10,
        century_from: 1,
        cut: Cut::Quarters,
        beyond: Beyond::Hundred,
        hundreds: Hundreds::Decade,
    };
    assert_eq!(bench.desk.catalogue.conventions().unwrap(), wanted);
    assert_eq!(last(&bench), (AUTHOR.to_owned(), "as the house has it".to_owned()));
    for (at, bad) in [(0, "101"), (0, "ten"), (1, "2"), (2, "halves"), (3, "<u>"), (4, "")] {
        let mut wrong = chosen;
        wrong[at].1 = bad;
        let page = bench.form("/conventions/dates", &wrong).is(422).text();
        assert!(page.contains("is no answer here"), "{bad:?} is refused in words");
        assert!(page.contains("as the house has it"), "what was typed stays");
        assert!(!page.contains("<u>"), "and is escaped");
        assert_eq!(bench.desk.catalogue.conventions().unwrap(), wanted, "{bad:?} changes nothing");
    }
}

#[test]
fn the_collection_is_described() {
    let bench = Bench::by_link(&[]);
    let said = [("name", " Blue room "), ("place", "51.5 N 0.13 W"), ("units", "inches"), ("reason", "")];
    bench.settle("/conventions", "/conventions/collection", &said).is(303);
    let described = bench.desk.catalogue.collection().unwrap();
    assert_eq!(described.name.as_deref(), Some("Blue room"));
    assert_eq!(described.place.map(|p| (p.latitude(), p.longitude())), Some((51.5, -0.13)));
    assert_eq!(described.units.map(dimity::measure::System::word), Some("inches"));
    assert_eq!(last(&bench).1, "collection described");
    let page = bench.form("/conventions/collection", &[("name", "Other"), ("place", "somewhere")]).is(422).text();
    assert!(page.contains("value=\"somewhere\"") && page.contains("value=\"Other\""), "what was typed stays");
    assert_eq!(bench.desk.catalogue.collection().unwrap(), described);
    // Blank fields are nothing recorded.
    bench.settle("/conventions", "/conventions/collection", &[("units", "metric")]).is(303);
    let described = bench.desk.catalogue.collection().unwrap();
    assert_eq!((described.name, described.place), (None, None));
}

#[test]
fn intervals_are_chosen() {
    let bench = Bench::by_link(&[SPENCER]);
    let mut months = [
        ("active_change", "3"),
        ("growing", "4"),
        ("not_recorded", "5"),
        ("at_risk", "18"),
        ("hazard", "7"),
        ("stable", "48"),
    ];
    bench.settle("/due", "/due/intervals", &months).is(303);
    let wanted = Intervals { active_change: 3, growing: 4, not_recorded: 5, at_risk: 18, hazard: 7, stable: 48 };
    assert_eq!(bench.desk.catalogue.intervals().unwrap(), wanted);
    for bad in ["0", "1201", "a year", ""] {
        months[3].1 = bad;
        let page = bench.form("/due/intervals", &months).is(422).text();
        assert!(page.contains("is no number of months"), "{bad:?} is refused in words");
        assert_eq!(bench.desk.catalogue.intervals().unwrap(), wanted);
    }
}

#[test]
fn a_term_is_added_removed_and_defined_anew() {
    let bench = Bench::by_link(&[SPENCER]);
    let term = [("name", "pina"), ("broader", ""), ("definition", "leaf of the pineapple"), ("source", "a label")];
    bench.form("/words/fibre/own", &term).is(303);
    assert!(bench.get("/words/fibre/own").is(200).text().contains("leaf of the pineapple"));
    assert!(bench.get("/words/fibre").text().contains("pina"));
    for (field, bad, why) in [
        (0, "pina", "is in the list `fibre` already"),
        (0, "", "a term needs a name"),
        (1, "no such fibre", "no such fibre"),
        (2, " ", "a term needs a definition"),
        (3, "", "say where it is written"),
    ] {
        let mut wrong = term;
        wrong[0].1 = "pina cloth";
        wrong[field].1 = bad;
        let page = bench.form("/words/fibre/own", &wrong).is(422).text().to_lowercase();
        assert!(page.contains(why), "{bad:?}: {page}");
    }
    bench.form("/words/fibre/own/remove", &[("term", "silk")]).is(422);
    bench.form("/words/fibre/own/remove", &[("term", "pina")]).is(303);
    assert!(!bench.get("/words/fibre").text().contains("leaf of the pineapple"));

    let good = [("term", "good"), ("definition", "Sound & <whole>"), ("source", "rules"), ("since", "2030-01-01")];
    bench.form("/words/grade/own/wording", &good).is(303);
    let page = bench.get("/words/grade/own").is(200).text();
    assert!(page.contains("Sound &amp; &lt;whole&gt;") && page.contains("1 January 2030"), "{page}");
    let known = bench.desk.catalogue.vocabulary().find(Scheme::Grade, "good").map(|t| t.definition.clone());
    assert!(known.is_ok());
    // Without a definition the shipped one holds again; without a day nothing does.
    bench.form("/words/grade/own/wording", &[("term", "good"), ("since", "2031-01-01")]).is(303);
    assert!(bench.get("/words/grade/own").text().contains("as shipped"));
    bench.form("/words/grade/own/wording", &[("term", "good"), ("since", "tomorrow")]).is(422);
    bench.form("/words/grade/own/wording", &[("term", "good"), ("definition", "x"), ("since", "2031-02-01")]).is(422);
    // The definitions of a fibre stay as shipped.
    let refused = bench.form(
        "/words/fibre/own/wording",
        &[("term", "silk"), ("definition", "x"), ("source", "y"), ("since", "2031-02-01")],
    );
    refused.is(422);
    bench.get("/words/nothing/own").is(404);
}

#[test]
fn accounts_are_added_changed_and_removed_and_no_password_is_ever_shown() {
    let bench = Bench::by_link(&[]);
    let new = [("name", "Tamsin Orrel"), ("role", "examine"), ("password", PASSWORD), ("again", PASSWORD)];
    bench.form("/accounts", &new).is(303);
    let is = |name: &str, role| Account { name: name.into(), role };
    assert_eq!(bench.desk.catalogue.accounts().unwrap(), [is("Tamsin Orrel", Role::Examine)]);
    assert!(bench.desk.catalogue.credentials("Tamsin Orrel").unwrap().open_to(PASSWORD).is_some());
    for (field, bad) in [(0, "tamsin orrel"), (0, ""), (1, "rule"), (2, "short"), (2, ""), (3, "another one entirely")]
    {
        let mut wrong = new;
        wrong[0].1 = "Bor Lund";
        wrong[field].1 = bad;
        if field == 2 {
            wrong[3].1 = bad;
        }
        let page = bench.form("/accounts", &wrong).is(422).text();
        assert!(!page.contains(PASSWORD) && page.contains("class=\"amiss\""), "{bad:?}: {page}");
    }
    assert_eq!(bench.desk.catalogue.accounts().unwrap().len(), 1);

    let other = "box, lamp, needle, tape";
    let change = [("of", "Tamsin Orrel"), ("role", "keep"), ("password", other), ("again", other)];
    bench.settle("/accounts", "/accounts/change", &change).is(303);
    assert_eq!(bench.desk.catalogue.accounts().unwrap(), [is("Tamsin Orrel", Role::Keep)]);
    assert!(bench.desk.catalogue.credentials("Tamsin Orrel").unwrap().open_to(other).is_some());
    // A blank password stays.
    bench.settle("/accounts", "/accounts/change", &[("of", "Tamsin Orrel"), ("role", "read")]).is(303);
    assert!(bench.desk.catalogue.credentials("Tamsin Orrel").unwrap().open_to(other).is_some());
    let page = bench.form("/accounts/change", &[("of", "Nobody"), ("role", "read")]).is(422);
    drop(page);
    bench.settle("/accounts", "/accounts/remove", &[("of", "Tamsin Orrel")]).is(303);
    assert!(bench.desk.catalogue.accounts().unwrap().is_empty());
}

#[test]
fn somebody_may_always_keep_the_collection() {
    let mut bench = Bench::by_link(&[]);
    let mut add = |name: &str, role| {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    };
    add("Tamsin Orrel", Role::Keep);
    add("Bor Lund", Role::Read);
    for (path, role) in [("/accounts/change", "read"), ("/accounts/change", "examine"), ("/accounts/remove", "")] {
        let page = bench.settle("/accounts", path, &[("of", "Tamsin Orrel"), ("role", role)]).is(422).text();
        assert!(page.contains("is the last who may keep the collection"), "{path} {role}: {page}");
    }
    bench.settle("/accounts", "/accounts/remove", &[("of", "Bor Lund")]).is(303);
    bench.settle("/accounts", "/accounts/remove", &[("of", "Tamsin Orrel")]).is(303);
}

#[test]
fn a_new_password_ends_what_was_opened_with_the_old_one() {
    let mut bench = Bench::by_accounts(&[]);
    let account = Account { name: "Tamsin Orrel".into(), role: Role::Keep };
    bench.desk.catalogue.add_account("test", &account, PASSWORD).expect("an account");
    bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
    let elsewhere = bench.cookie.clone();
    bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
    let here = bench.cookie.clone();
    let other = "box, lamp, needle, tape";
    let change = [("of", "Tamsin Orrel"), ("role", "keep"), ("password", other), ("again", other)];
    bench.settle("/accounts", "/accounts/change", &change).is(303);
    bench.get("/").is(200);
    bench.cookie = elsewhere;
    assert_eq!(bench.get("/").is(303).header("location"), "/sign-in?to=%2F", "the other browser is out");
    bench.cookie = here;
    bench.get("/").is(200);
}

#[test]
fn what_is_decided_for_the_collection_is_for_those_who_keep_it() {
    for role in [Role::Read, Role::Examine] {
        let mut bench = Bench::by_accounts(&[SPENCER]);
        let account = Account { name: "Tamsin Orrel".into(), role };
        bench.desk.catalogue.add_account("test", &account, PASSWORD).expect("an account");
        bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
        let before = bench.revision();
        for path in [
            "/conventions/dates",
            "/conventions/collection",
            "/due/intervals",
            "/words/fibre/own",
            "/words/fibre/own/remove",
            "/words/grade/own/wording",
            "/accounts",
            "/accounts/change",
            "/accounts/remove",
            "/pieces/2031.1/purge",
        ] {
            bench.form(path, &[("name", "x")]).is(403);
        }
        for path in ["/accounts", "/pieces/2031.1/purge"] {
            bench.get(path).is(403);
        }
        for path in ["/conventions", "/due", "/words/grade/own", "/journal", "/seals", "/departures"] {
            let page = bench.get(path).is(200).text();
            assert!(!page.contains("class=\"asked-form\" method=\"post\" action=\"/conv"), "{path} offers no change");
        }
        assert_eq!(bench.revision(), before);
    }
}

#[test]
fn a_name_is_asked_for_before_anything_is_decided() {
    let bench = Bench::by_link_as(&[], None);
    let page = bench.form("/conventions/collection", &[("name", "Blue room")]).is(422).text();
    assert!(
        page.contains("who you are") && page.contains("value=\"Blue room\""),
        "it is asked, and what was typed stays"
    );
}

/// The state that the form of a page which begins so says it was made on.
fn stood(page: &str, begins: &str) -> String {
    let (_, form) = page.split_once(begins).expect("the form");
    let (_, value) = form.split_once("name=\"stood\" value=\"").expect("what stood");
    value.split('"').next().unwrap_or_default().to_owned()
}

/// What a form sends.
type Fields = Vec<(&'static str, &'static str)>;

#[test]
fn the_second_of_two_who_settle_the_same_sees_both_and_chooses() {
    let mut bench = Bench::by_link(&[SPENCER]);
    for (name, role) in [("Tamsin Orrel", Role::Keep), ("Bor Lund", Role::Read)] {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    let intervals = |stable: &'static str| {
        ["active_change", "growing", "not_recorded", "at_risk", "hazard"]
            .map(|w| (w, "9"))
            .into_iter()
            .chain([("stable", stable)])
    };
    let dates = |circa: &'static str| {
        let rest =
            [("century-from", "1"), ("early-late", "quarters"), ("before-after", "hundred"), ("hundreds", "decade")];
        [("circa", circa)].into_iter().chain(rest)
    };
    let cases: [(&str, &str, Fields, Fields, &str); 4] = [
        ("/conventions", "/conventions/dates", dates("7").collect(), dates("11").collect(), "Now: 7"),
        (
            "/conventions",
            "/conventions/collection",
            vec![("name", "Blue room"), ("units", "metric")],
            vec![("name", "Red room"), ("units", "metric")],
            "Now: Blue room",
        ),
        ("/due", "/due/intervals", intervals("40").collect(), intervals("41").collect(), "Now: 40"),
        (
            "/accounts",
            "/accounts/change",
            vec![("of", "Bor Lund"), ("role", "examine")],
            vec![("of", "Bor Lund"), ("role", "keep")],
            "Now: examine",
        ),
    ];
    for (page, to, first, second, now) in cases {
        let of_bor = "name=\"of\" value=\"Bor Lund\"".to_owned();
        let begins = if page == "/accounts" { of_bor } else { format!("action=\"{to}\"") };
        let seen = stood(&bench.get(page).is(200).text(), &begins);
        let with = |fields: &Fields, seen: &str| {
            let fields: Vec<(&str, &str)> = fields.iter().copied().chain([("stood", seen)]).collect();
            bench.form(to, &fields)
        };
        let before = bench.revision();
        bench.form(to, &first).is(409);
        assert_eq!(bench.revision(), before, "{to}: a form that does not say what stood changes nothing");
        with(&first, &seen).is(303);
        let before = bench.revision();
        let answer = with(&second, &seen).is(409).text();
        assert!(answer.contains("meanwhile") && answer.contains(now), "{to}: what stands now is said: {answer}");
        let typed =
            second.iter().find(|(_, value)| !first.iter().any(|(_, other)| other == value)).expect("they differ").1;
        let (_, form) = answer.split_once(&begins).expect("the form again");
        let kept = ["type=\"text\" value=\"T\"", "type=\"number\" value=\"T\"", "value=\"T\" selected"];
        assert!(kept.iter().any(|kept| form.contains(&kept.replace('T', typed))), "{to}: `{typed}` stays: {answer}");
        assert_eq!(bench.revision(), before, "{to}: nothing was entered");
        // Both seen, it is sent again.
        with(&second, &stood(&answer, &begins)).is(303);
        assert!(bench.revision() > before, "{to}");
    }
}

#[test]
fn an_account_that_was_changed_meanwhile_is_not_removed_unseen() {
    let mut bench = Bench::by_link(&[]);
    for (name, role) in [("Tamsin Orrel", Role::Keep), ("Bor Lund", Role::Read)] {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    let of = [("of", "Bor Lund")];
    let page = bench.get("/accounts").is(200).text();
    let (_, bor) = page.split_once("<b>Bor Lund</b>").expect("listed");
    let seen = stood(bor, "action=\"/accounts/remove\"");
    bench.settle("/accounts", "/accounts/change", &[of[0], ("role", "keep")]).is(303);
    let page = bench.form("/accounts/remove", &[of[0], ("stood", &seen)]).is(409).text();
    assert!(page.contains("meanwhile") && page.contains("may keep"), "{page}");
    assert_eq!(bench.desk.catalogue.accounts().unwrap().len(), 2);
    bench.settle("/accounts", "/accounts/remove", &of).is(303);
    let page = bench.form("/accounts/remove", &[of[0], ("stood", &seen)]).is(422).text();
    assert!(page.contains("Bor Lund"), "one that is gone is told: {page}");
}

#[test]
fn a_form_refused_for_another_reason_still_knows_what_its_page_was_made_on() {
    let bench = Bench::by_link(&[]);
    let (to, begins) = ("/conventions/collection", "action=\"/conventions/collection\"");
    let seen = stood(&bench.get("/conventions").is(200).text(), begins);
    bench.form(to, &[("name", "Blue room"), ("stood", &seen)]).is(303);
    let page = bench.form(to, &[("name", "Red room"), ("place", "nowhere at all"), ("stood", &seen)]).is(422).text();
    bench.form(to, &[("name", "Red room"), ("stood", &stood(&page, begins))]).is(409);
    assert_eq!(bench.desk.catalogue.collection().unwrap().name.as_deref(), Some("Blue room"));
}
