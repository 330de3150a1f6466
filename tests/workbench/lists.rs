//! Pieces out of the lists and back, and searches kept under a name: without a script, each with who and why.

use dimity::record::account::{Account, Role};

use crate::bench::Bench;
use crate::support::{AGAIN, AUTHOR, SPENCER};

#[test]
fn a_piece_is_withdrawn_and_brought_back_with_a_reason() {
    let bench = Bench::by_link(&[SPENCER]);
    let found = || bench.get("/collection/part").is(200).text().contains("2031.1");
    assert!(bench.get("/pieces/2031.1").is(200).text().contains("Withdraw this piece"));
    let before = bench.revision();
    for blank in ["", "  "] {
        let said = bench.form("/pieces/2031.1/withdraw", &[("reason", blank)]).is(422).text();
        assert!(said.contains("Say why in a few words. Nothing was changed."), "{said}");
    }
    assert!(found() && bench.revision() == before);
    let away = bench.form("/pieces/2031.1/withdraw", &[("reason", "lent <for> good")]).is(303);
    assert_eq!(away.header("location"), "/pieces/2031.1");
    assert!(!found(), "what is withdrawn stands in no list");
    for page in ["/pieces/2031.1", "/withdrawn"] {
        let text = bench.get(page).is(200).text();
        assert!(
            text.contains("Withdrawn on") && text.contains(AUTHOR) && text.contains("lent &lt;for&gt; good"),
            "{page}"
        );
    }
    let page = bench.get("/pieces/2031.1").text();
    assert!(page.contains("Bring this piece back") && !page.contains("Withdraw this piece"));
    let twice = bench.form("/pieces/2031.1/withdraw", &[("reason", "again")]).is(422).text();
    assert!(twice.contains("was withdrawn on"), "{twice}");
    bench.form("/pieces/2031.1/reinstate", &[("reason", "it came back")]).is(303);
    assert!(found() && bench.get("/withdrawn").text().contains("None."));
    let last = bench.desk.catalogue.journal(Some("2031.1")).expect("a journal").pop().expect("a row");
    assert_eq!((last.author.as_str(), last.reason.as_str()), (AUTHOR, "it came back"));
    bench.form("/pieces/no-such/withdraw", &[("reason", "x")]).is(404);
    bench.desk.is_sound();
}

#[test]
fn a_search_is_kept_asked_again_and_removed() {
    let bench = Bench::by_link(&[SPENCER, AGAIN]);
    let shelf = bench.get("/collection/part?words=fibre:silk").is(200).text();
    assert!(shelf.contains("/searches?query=fibre%3Asilk"), "what narrows the list can be kept: {shelf}");
    let form = bench.get("/searches?query=fibre%3Asilk").is(200).text();
    assert!(form.contains("value=\"fibre:silk\""), "{form}");
    bench.form("/searches", &[("name", "silks / all"), ("query", "fibre:silk"), ("note", "for the <study>")]).is(303);
    let page = bench.get("/searches").is(200).text();
    for held in ["silks &#x2F; all", "1 piece", "for the &lt;study&gt;", "/searches/silks%20%2F%20all/remove"] {
        assert!(page.contains(held) || page.contains(&held.replace("&#x2F;", "/")), "`{held}` should stand in {page}");
    }
    let link = "/?words=kept%3A%22silks%20%2F%20all%22";
    assert!(page.contains(link), "{page}");
    assert!(bench.get(link).is(200).text().contains("2031.1"));
    // What cannot be kept is told beside the field, and stands there still.
    for (name, query, why, field) in [
        ("dear", "fibre:slik", "silk", "query"),
        ("a \"quoted\" one", "silk", "none of them a quotation mark", "called"),
        ("", "silk", "1 to 80 characters", "called"),
    ] {
        let again = bench.form("/searches", &[("name", name), ("query", query)]).is(422).text();
        assert!(again.contains(why) && again.contains(&format!("value=\"{query}\"")), "{name}: {again}");
        let (_, beside) = again.split_once(&format!("id=\"{field}-amiss\">")).expect("the field has a place for it");
        let (beside, _) = beside.split_once("</span>").expect("it ends");
        assert!(beside.contains(why), "{name}: beside the field stands `{beside}`");
    }
    bench.form("/searches/silks%20%2F%20all/remove", &[("reason", " ")]).is(422);
    bench.form("/searches/silks%20%2F%20all/remove", &[("reason", "done with it")]).is(303);
    assert!(bench.get("/searches").text().contains("None."));
    bench.form("/searches/silks%20%2F%20all/remove", &[("reason", "again")]).is(422);
    bench.desk.is_sound();
}

#[test]
fn who_may_only_read_sees_both_pages_and_changes_nothing() {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    for (name, role) in [("Tamsin Orrel", Role::Read), ("Piers Holloway", Role::Examine)] {
        let account = Account { name: name.into(), role };
        bench.desk.catalogue.add_account("test", &account, "a long enough password").expect("an account");
    }
    let tries = |bench: &Bench, may_keep_searches: bool| {
        let before = bench.revision();
        let pages = [bench.get("/searches").is(200).text(), bench.get("/pieces/2031.1").is(200).text()];
        assert_eq!(pages[0].contains("Keep a search"), may_keep_searches);
        assert!(!pages[1].contains("Withdraw this piece"), "withdrawing is for who keeps the collection");
        bench.get("/withdrawn").is(200);
        for path in ["/pieces/2031.1/withdraw", "/pieces/2031.1/reinstate"] {
            bench.form(path, &[("reason", "x")]).is(403);
        }
        if !may_keep_searches {
            bench.form("/searches", &[("name", "x"), ("query", "silk")]).is(403);
            bench.form("/searches/x/remove", &[("reason", "x")]).is(403);
        }
        assert_eq!(bench.revision(), before);
    };
    bench.sign_in("Tamsin Orrel", "a long enough password").is(303);
    tries(&bench, false);
    bench.form("/sign-out", &[]).is(303);
    bench.sign_in("Piers Holloway", "a long enough password").is(303);
    tries(&bench, true);
    bench.form("/searches", &[("name", "silks"), ("query", "silk")]).is(303);
}

#[test]
fn who_has_no_name_yet_is_asked_for_it_and_what_was_typed_stays() {
    let bench = Bench::by_link_as(&[SPENCER], None);
    let page = bench.form("/searches", &[("name", "silks"), ("query", "fibre:silk")]).is(422).text();
    assert!(page.contains("Say first who you are") && page.contains("value=\"silks\""), "{page}");
    bench.form("/name", &[("name", "Ida Falk")]).is(303);
    bench.form("/searches", &[("name", "silks"), ("query", "fibre:silk")]).is(303);
}
