//! A window that was opened before the program was started again: the token asked for anew, forms with an old one.

use axum::body::Body;
use axum::http::{Request, header};

use crate::bench::{Answer, Bench, HOST};
use crate::support::SPENCER;

/// The token asked for as a browser does: its words on where the request comes from.
fn asked(bench: &Bench, site: Option<&str>, origin: Option<&str>) -> Answer {
    let mut request = bench.request("GET", "/token").header("sec-fetch-mode", "cors");
    for (name, value) in [("sec-fetch-site", site), ("origin", origin)] {
        if let Some(value) = value {
            request = request.header(name, value);
        }
    }
    bench.ask(request)
}

#[test]
fn the_token_is_told_to_scripts_of_our_own_pages_alone() {
    let mut bench = Bench::by_link(&[SPENCER]);
    let told = asked(&bench, Some("same-origin"), None).is(200);
    assert_eq!((told.json()["token"].as_str(), told.header("cache-control")), (Some(&*bench.token), "no-store"));
    for (site, origin) in [
        (Some("cross-site"), Some("http://attacker.example")),
        (Some("same-site"), Some("http://127.0.0.1:8471")),
        (Some("none"), None),
        (None, Some("http://attacker.example")),
        (None, None),
    ] {
        let refused = asked(&bench, site, origin).is(403);
        assert!(!refused.text().contains(&bench.token), "{site:?} {origin:?}: {}", refused.text());
        assert_eq!(refused.header("access-control-allow-origin"), "", "{site:?} {origin:?}: no other page may read it");
    }
    let elsewhere = Request::get("/token").header(header::HOST, "attacker.example:8470");
    bench.ask(elsewhere.header("sec-fetch-site", "same-origin")).is(421);
    let cookie = bench.cookie.take();
    let unknown = asked(&bench, Some("same-origin"), None).is(401);
    assert!(unknown.json()["wrong"].as_str().is_some_and(|says| says.contains("Open the link")), "{}", unknown.text());
    bench.cookie = cookie;
}

#[test]
fn a_form_of_a_page_from_before_is_shown_once_more_and_sent_with_one_press() {
    let bench = Bench::by_link(&[SPENCER]);
    let before = bench.revision();
    let posted = |token: &str, body: &str| {
        let request = bench.request("POST", "/words/fibre/own?x=1").header(header::ACCEPT, "text/html");
        let request = request.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        bench.send(request.body(Body::from(format!("token={token}&{body}"))).expect("a request"))
    };
    let body = "name=gossamer&definition=%3Cb%3Ethe+thread+of+a+spider&source=a+label";
    let shown = posted("of-another-run", body).is(403).text();
    assert_eq!(bench.revision(), before, "nothing was done yet");
    for words in [
        "action=\"/words/fibre/own?x=1\"",
        &format!("name=\"token\" value=\"{}\"", bench.token),
        "name=\"name\" value=\"gossamer\"",
        "&lt;b&gt;the thread of a spider",
        "Send it now",
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    assert!(!shown.contains("of-another-run") && !shown.contains("<b>the thread"), "{shown}");
    let secret = posted("of-another-run", "name=Ida&password=tape+needle").is(403).text();
    assert!(!secret.contains("needle") && secret.contains("a password is not kept"), "{secret}");
    // A stranger's page gets as far as ever: nowhere.
    let foreign = Request::post("/words/fibre/own").header(header::HOST, HOST).header(header::ACCEPT, "text/html");
    let foreign = foreign.header(header::COOKIE, format!("dimity-8470={}", bench.cookie.as_deref().expect("a cookie")));
    let foreign = foreign.header(header::ORIGIN, "http://attacker.example");
    let foreign = foreign.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    let refused = bench.send(foreign.body(Body::from(body)).expect("a request")).is(403).text();
    assert!(!refused.contains("gossamer") && !refused.contains(&bench.token), "{refused}");
    assert!(posted(&bench.token, body).status.is_redirection(), "and so it goes in");
    assert_ne!(bench.revision(), before);
}
