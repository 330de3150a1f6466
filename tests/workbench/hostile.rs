//! Requests that nobody means well with: foreign names and origins, missing tokens, ways out of the folder, huge and
//! broken bodies, script in every field.

use axum::body::Body;
use axum::http::{Request, header};
use dimity::dating::{Conventions, Dated};
use dimity::measure::{Kind, Quantity};
use dimity::record::form::{Earlier, Field, Form, Record, Rows};
use dimity::record::{Examination, PieceFile};
use dimity::vocabulary::{Scheme, TermId, Vocabulary};
use jiff::civil::{Date, date};
use serde_json::json;

use crate::bench::{Bench, HOST};
use crate::support::SPENCER;

#[test]
fn only_our_own_names_are_answered_to() {
    let bench = Bench::by_link(&[SPENCER]);
    let cases = [
        (HOST, 200),
        ("localhost:8470", 200),
        ("LOCALHOST:8470", 200),
        ("[::1]:8470", 200),
        // A name of someone else that was made to point to this machine (DNS rebinding).
        ("attacker.example:8470", 421),
        ("127.0.0.1.attacker.example:8470", 421),
        ("localhost.attacker.example:8470", 421),
        ("127.0.0.1:8471", 421),
        ("127.0.0.1", 421),
        ("192.168.1.20:8470", 421),
        ("0.0.0.0:8470", 421),
        ("user@127.0.0.1:8470", 421),
        ("127.0.0.1:8470, attacker.example", 400),
        ("", 400),
    ];
    for (host, status) in cases {
        let request = Request::builder().uri("/").header(header::HOST, host).header(header::ACCEPT, "text/html");
        let request = request.header(header::COOKIE, format!("dimity-8470={}", bench.cookie.as_deref().unwrap()));
        let answer = bench.ask(request);
        assert_eq!(answer.status.as_u16(), status, "Host: {host}");
    }
    let without = Request::builder().uri("/");
    assert_eq!(bench.ask(without).status.as_u16(), 400, "no Host at all");
    let twice = bench.request("GET", "/").header(header::HOST, "attacker.example");
    assert_eq!(bench.ask(twice).status.as_u16(), 400, "two Hosts");
    let absolute = bench.request("GET", "http://attacker.example/");
    assert_eq!(bench.ask(absolute).status.as_u16(), 421, "another host in the address itself");
}

#[test]
fn only_a_page_of_ours_can_write() {
    let bench = Bench::by_link(&[SPENCER]);
    let before = bench.revision();
    let own = format!("http://{HOST}");
    let cases: [(Option<&str>, Option<&str>, u16); 9] = [
        (Some(&own), None, 200),
        (Some("http://localhost:8470"), None, 403),
        (Some("https://127.0.0.1:8470"), None, 403),
        (Some("http://127.0.0.1:8471"), None, 403),
        (Some("http://attacker.example"), None, 403),
        (Some("null"), None, 403),
        (None, None, 403),
        (None, Some("cross-site"), 403),
        (None, Some("same-site"), 403),
    ];
    for (origin, site, status) in cases {
        let mut request = Request::builder().method("POST").uri("/name").header(header::HOST, HOST);
        request = request.header(header::COOKIE, format!("dimity-8470={}", bench.cookie.as_deref().unwrap()));
        request = request.header("x-dimity-token", &bench.token).header(header::ACCEPT, "text/html");
        request = request.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        if let Some(origin) = origin {
            request = request.header(header::ORIGIN, origin);
        }
        if let Some(site) = site {
            request = request.header("sec-fetch-site", site);
        }
        let answer = bench.send(request.body(Body::from("name=Someone")).unwrap());
        let done = if answer.status.as_u16() == 303 { 200 } else { answer.status.as_u16() };
        assert_eq!(done, status, "Origin {origin:?}, Sec-Fetch-Site {site:?}");
    }
    assert_eq!(bench.revision(), before);
}

#[test]
fn what_a_foreign_page_embeds_is_refused_and_a_link_from_one_is_not() {
    let bench = Bench::by_link(&[SPENCER]);
    for (mode, dest, status) in
        [("no-cors", "image", 403), ("cors", "empty", 403), ("navigate", "iframe", 403), ("navigate", "document", 200)]
    {
        let request = bench.request("GET", "/").header("sec-fetch-site", "cross-site");
        let answer = bench.ask(request.header("sec-fetch-mode", mode).header("sec-fetch-dest", dest));
        assert_eq!(answer.status.as_u16(), status, "{mode} {dest}");
    }
}

#[test]
fn a_write_without_the_token_of_this_browser_is_refused() {
    let bench = Bench::by_link(&[SPENCER]);
    let other = Bench::by_link(&[]);
    let before = bench.revision();
    let correction = json!({ "section": "piece", "version": "", "fields": { "title": "x" }, "reason": "x" });
    let path = "/pieces/2031.1/correct";
    for token in [None, Some(""), Some("x"), Some(other.token.as_str())] {
        let mut request = bench.request("POST", path).header(header::CONTENT_TYPE, "application/json");
        if let Some(token) = token {
            request = request.header("x-dimity-token", token);
        }
        bench.send(request.body(Body::from(correction.to_string())).unwrap()).is(403);
    }
    for form in ["name=x", "name=x&token=", "token=x&name=x", &format!("name=x&token={}", other.token)] {
        let request = bench.request("POST", "/name").header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        bench.send(request.body(Body::from(form.to_owned())).unwrap()).is(403);
    }
    // A form that is none is no way round it.
    for kind in ["text/plain", "multipart/form-data; boundary=x", "application/json"] {
        let request = bench.request("POST", "/name").header(header::CONTENT_TYPE, kind);
        bench.send(request.body(Body::from(format!("token={}", bench.token))).unwrap()).is(403);
    }
    assert_eq!(bench.revision(), before);
}

#[test]
fn without_the_link_nothing_is_shown() {
    let mut bench = Bench::by_link(&[SPENCER]);
    let photograph = format!("/photographs/{}/view", "ab".repeat(32));
    let pages = [
        "/",
        "/pieces/2031.1",
        "/due",
        "/searches",
        "/withdrawn",
        "/import",
        "/sheets",
        "/sheets/file?number=2031.1",
        "/import/photographs",
        "/import/catalogue",
        "/reckon",
        "/safekeeping",
        "/journal",
        "/seals",
        "/accounts",
        "/departures/table.csv",
        "/comparison/among",
        "/collection/sheet",
        "/words",
        "/collection/part",
        "/pieces/2031.1/reports/entry/sheet",
        &photograph,
    ];
    for cookie in [None, Some("x".to_owned()), Some(String::new())] {
        bench.cookie = cookie;
        for page in pages {
            let answer = bench.get(page).is(401);
            assert!(!answer.text().contains("spencer"), "{page} tells something");
        }
    }
    for key in ["", "x", "%00"] {
        bench.get(&format!("/enter?key={key}")).is(401);
    }
    bench.get("/enter").is(401);
}

#[test]
fn no_address_leads_out_of_the_catalogue() {
    let bench = Bench::by_link(&[SPENCER]);
    std::fs::write(bench.desk.folder().join("not-a-sha256"), "out of the store").unwrap();
    let ways = [
        "/assets/../catalogue.sqlite",
        "/assets/x/..%2f..%2fcatalogue.sqlite",
        "/assets/%2e%2e/%2e%2e/catalogue.sqlite",
        "/catalogue.sqlite",
        "/photographs/..%2fcatalogue.sqlite/view",
        "/photographs/%2e%2e%2f%2e%2e%2fetc%2fpasswd/original",
        "/photographs/..%5c..%5ccatalogue.sqlite/small",
        "/photographs/%00/view",
        "/photographs/not-a-sha256/view",
        "/photographs/zz/original",
        "/photographs/é/view",
        "/photographs//etc/passwd/view",
        "/sealed/..%2f..%2fcatalogue.sqlite/sheet",
        "/sealed/%00/sheet",
        "/pieces/..%2f..%2fetc%2fpasswd",
        "/pieces/2031.1/photographs/..%2f..%2fcatalogue.sqlite",
        "/pieces/2031.1/photographs/..%2f..%2fcatalogue.sqlite/target",
        "/pieces/..%2f..%2fetc%2fpasswd/photographs/annotations",
        "/photographs/missing?piece=..%2f..%2fetc%2fpasswd",
        "/pieces/2031.1/reports/..%2f..%2fcatalogue",
        "/words/..%2f..%2fetc%2fpasswd",
    ];
    for way in ways {
        let Ok(request) = bench.request("GET", way).body(Body::empty()) else { continue };
        let answer = bench.send(request);
        let status = answer.status.as_u16();
        assert!((400..500).contains(&status), "{way}: {status}");
        for never in ["SQLite format", "root:", "out of the store"] {
            assert!(!answer.text().contains(never), "{way} gives `{never}`");
        }
    }
}

#[test]
fn huge_and_broken_bodies_are_refused_and_change_nothing() {
    let bench = Bench::by_link(&[SPENCER]);
    let before = bench.revision();
    let path = "/pieces/2031.1/correct";
    let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
    let wide =
        json!({ "section": "piece", "version": "", "reason": "x", "fields": { "title": "x".repeat(2_000_000) } });
    let bodies: [(&str, Vec<u8>); 12] = [
        ("nothing", Vec::new()),
        ("no JSON", b"title=x".to_vec()),
        ("half of it", b"{\"section\": \"pie".to_vec()),
        ("no UTF-8", b"{\"section\": \"\xff\xfe\"}".to_vec()),
        ("a list", b"[]".to_vec()),
        ("null", b"null".to_vec()),
        ("deep", deep.clone().into_bytes()),
        (
            "deep in a field",
            format!("{{\"section\":\"piece\",\"version\":\"\",\"fields\":{{\"title\":{deep}}}}}").into_bytes(),
        ),
        ("two megabytes", wide.to_string().into_bytes()),
        ("no such section", json!({ "section": "journal", "version": "", "reason": "x" }).to_string().into_bytes()),
        (
            "no such id",
            json!({ "section": "condition", "id": "x", "version": "", "reason": "x" }).to_string().into_bytes(),
        ),
        ("numbers for words", json!({ "section": 5, "version": {}, "reason": [] }).to_string().into_bytes()),
    ];
    for (what, body) in bodies {
        let request = bench.request("POST", path).header(header::CONTENT_TYPE, "application/json");
        let answer = bench.send(request.header("x-dimity-token", &bench.token).body(Body::from(body)).unwrap());
        let status = answer.status.as_u16();
        assert!((400..500).contains(&status), "{what}: {status} {}", answer.text());
    }
    let long = format!("name={}&token={}", "x".repeat(100_000), bench.token);
    let request = bench.request("POST", "/name").header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    bench.send(request.body(Body::from(long)).unwrap()).is(413);
    assert_eq!(bench.revision(), before, "the journal grew");
    // It still answers.
    bench.get("/pieces/2031.1").is(200);
}

#[test]
fn every_answer_bears_the_headers_that_browsers_keep_to() {
    let bench = Bench::by_link(&[SPENCER]);
    let style = bench.get("/").text().split("href=\"/assets/").nth(2).unwrap().split('"').next().unwrap().to_owned();
    let foreign = bench.request("GET", "/").header("sec-fetch-site", "cross-site").header("sec-fetch-mode", "cors");
    let answers = [
        ("a page", bench.get("/pieces/2031.1").is(200)),
        ("a style", bench.get(&format!("/assets/{style}")).is(200)),
        ("nothing", bench.get("/nowhere").is(404)),
        ("a refusal", bench.ask(foreign).is(403)),
        ("a printed page", bench.get("/pieces/2031.1/reports/entry/sheet").is(200)),
    ];
    for (what, answer) in answers {
        let policy = answer.header("content-security-policy");
        assert!(policy.contains("default-src 'none'"), "{what}: {policy}");
        for never in ["unsafe-inline", "unsafe-eval", "*", "http:"] {
            assert!(!policy.contains(never), "{what}: {policy}");
        }
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{what}");
        assert_eq!(answer.header("cross-origin-resource-policy"), "same-origin", "{what}");
        assert!(!answer.header("cache-control").is_empty(), "{what}");
        assert_eq!(answer.header("access-control-allow-origin"), "", "{what}");
    }
}

/// Ends an attribute, an element, a title, a style, a script; and what a template language would obey.
const PLANTED: &str = r#"\" autofocus onfocus=\"alert(1)'><img src=x onerror=alert(1)></title></style></script><script>alert(1)</script>{{ 7*7 }}"#;

/// A sheet with that in every field of every section that takes words, and something sensible in the rest.
fn planted(number: &str, told: &dyn Fn(&mut PieceFile)) -> String {
    let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    file.sections(Some(0), &mut Planter);
    file.piece.number = Some(number.into());
    told(&mut file);
    dimity::exchange::sheet::filled(&file, Some(0))
}

/// Fills in the fields of a record.
struct Planter;

impl Planter {
    fn words() -> String {
        PLANTED.replace("\\\"", "\"")
    }
}

impl Form for Planter {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        *value = (field.name != "withdrawn").then(Self::words);
    }
    fn texts(&mut self, _: Field, value: &mut Vec<String>) {
        *value = vec![Self::words()];
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        // Nor does it stand for several then.
        *value = (field.name != "times").then_some(2);
    }
    fn number(&mut self, _: Field, value: &mut Option<f64>) {
        *value = Some(0.5);
    }
    fn day(&mut self, _: Field, value: &mut Option<Date>) {
        *value = Some(date(2031, 3, 2));
    }
    fn dated(&mut self, _: Field, value: &mut Option<Dated>) {
        *value = Dated::parse("c. 1812", &Conventions::default()).ok();
    }
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        // A dimension is no part of itself.
        if field.name == "adds_up_to" {
            return;
        }
        *value = Vocabulary::shipped().terms(scheme).next().map(|term| term.id.clone());
    }
    fn terms(&mut self, _: Field, scheme: Scheme, value: &mut Vec<TermId>) {
        *value = Vocabulary::shipped().terms(scheme).take(1).map(|term| term.id.clone()).collect();
    }
    fn choice(&mut self, _: Field, words: &'static [&'static str], value: &mut Option<String>) {
        *value = words.first().map(|word| (*word).to_owned());
    }
    fn quantity(&mut self, _: Field, kind: Kind, value: &mut Option<Quantity>) {
        *value = [
            "12 mm",
            "4 cm2",
            "9 in 1 in",
            "3",
            "50 %",
            "30 g",
            "120 g/m2",
            "45 deg",
            "20 tex",
            "1 h",
            "18 °C",
            "50 lx",
            "10 µW/lm",
            "1:8",
        ]
        .iter()
        .find_map(|text| Quantity::parse(kind, text).ok());
    }
    fn quantities(&mut self, field: Field, kind: Kind, value: &mut Vec<Quantity>) {
        let mut one = None;
        self.quantity(field, kind, &mut one);
        *value = one.into_iter().collect();
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        // A component is no part of itself.
        *value = (field.name != "part_of").then(Self::words);
    }
    fn person(&mut self, _: Field, value: &mut Option<String>) {
        *value = Some(Self::words());
    }
    fn piece(&mut self, _: Field, _: &mut Option<String>) {}
    fn earlier(&mut self, _: Field, _: Earlier, _: &mut Option<String>) {}
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        rows.add().fields(self);
    }
}

#[test]
fn script_in_a_record_stays_text_on_every_page() {
    let after = |file: &mut PieceFile| {
        file.piece.nature = Some(TermId::new(Scheme::Nature, "reconstruction"));
        for model in &mut file.made_after {
            model.model = Some("<i>1</i>".into());
        }
    };
    let sheets = [planted("<i>1</i>", &|_| ()), planted("<i>2</i>", &after)];
    let mut bench = Bench::by_link(&[&sheets[0], &sheets[1]]);
    let number = "%3Ci%3E1%3C%2Fi%3E";
    // A correction, so that what stood before is on the page as well.
    let file = bench.desk.catalogue.piece("<i>1</i>").unwrap();
    let id = file.examinations[0].conditions[0].id.clone().unwrap();
    let line = bench.get(&format!("/pieces/{number}/lines/condition/{id}")).is(200).json();
    let plain = PLANTED.replace("\\\"", "\"");
    let correction = json!({ "section": "condition", "id": id, "version": line["line"]["version"],
        "fields": { "extent": "14 mm" }, "reason": plain });
    bench.post(&format!("/pieces/{number}/correct"), &correction).is(200);
    let fact = bench.get(&format!("/pieces/{number}/lines/piece")).is(200).json();
    let correction = json!({ "section": "piece", "version": fact["line"]["version"], "fields": { "title": format!("{plain} again") },
        "reason": plain });
    bench.post(&format!("/pieces/{number}/correct"), &correction).is(200);
    let in_address: String = form_urlencoded::byte_serialize(plain.as_bytes()).collect();
    let told = format!("name={in_address}.png&caption={in_address}&photographer={in_address}");
    let sha256 = bench.photograph(number, &told, crate::drawing::png(90));
    let photograph = format!("/pieces/{number}/photographs/{sha256}");
    let region = json!({ "shape": "outline 1,1 99,1 99,99", "note": plain });
    bench.post(&format!("{photograph}/regions"), &region).is(200);
    bench.post(&format!("{photograph}/scale"), &json!({ "places": "1,1 99,1", "size": "1 cm" })).is(200);
    let rights = [("all", "yes"), ("holder", plain.as_str()), ("credit", &plain), ("note", &plain)];
    bench.form(&format!("/pieces/{number}/photographs/rights"), &rights).is(303);
    // The journal's name as well.
    bench.form("/name", &[("name", &plain)]).is(303);
    bench.form(&format!("/pieces/{number}/seal"), &[("set", "full")]).is(303);
    let code = bench.desk.catalogue.seals(None).unwrap()[0].code.clone();
    let second = "%3Ci%3E2%3C%2Fi%3E";
    // What is recorded stands on these, as text.
    let told = [
        format!("/comparison?piece={second}&with={number}"),
        format!("/pieces/{second}/reports/comparison/sheet?with={number}"),
        "/departures".to_owned(),
        "/departures/sheet".to_owned(),
        format!("/pieces/{number}/as-of?day=2031-12-31"),
        "/seals".to_owned(),
        format!("/sealed/{code}"),
        format!("/sealed/{code}/sheet"),
        format!("/pieces/{number}"),
        format!("/pieces/{number}/reports/treatment/sheet"),
        "/journal".to_owned(),
        "/due".to_owned(),
    ];
    for page in &told {
        let text = bench.get(page).is(200).text();
        assert!(text.contains("&lt;script&gt;alert(1)"), "{page} shows none of it: {text}");
    }
    let pages = [
        format!("/comparison?piece={in_address}&with={in_address}&sizes={in_address}&tolerances={in_address}"),
        format!("/comparison?piece={second}&with={number}&pair={in_address}&cloth={in_address}&sizes={in_address}"),
        format!("/comparison/among?set={in_address}&piece={in_address}"),
        format!("/departures?reason={in_address}&piece={in_address}"),
        format!("/pieces/{number}/as-of?day={in_address}"),
        format!("/seals?code={in_address}"),
        format!("/sealed/{in_address}"),
        format!("/pieces/{second}/reports/effort?maker={in_address}"),
        "/".to_owned(),
        format!("/?words={in_address}&dated={in_address}&garment={in_address}&place={in_address}&page={in_address}"),
        format!("/collection/part?fibre={in_address}&dated={in_address}"),
        format!("/pieces/{number}"),
        format!("/pieces/{number}/journal"),
        format!("/pieces/{number}/reports"),
        format!("/pieces/{number}/reports/entry/sheet"),
        format!("/pieces/{number}/reports/condition"),
        format!("/pieces/{number}/reports/condition/sheet"),
        format!("/pieces/{number}/reports/treatment?treatment={in_address}"),
        format!("/due?until={in_address}&place={in_address}"),
        format!("/due/sheet?place={in_address}"),
        format!("/words?seek={in_address}"),
        format!("/words/{in_address}"),
        format!("/pieces/{in_address}"),
        format!("/safekeeping/export/{in_address}"),
        format!("/safekeeping/exports/{in_address}"),
        format!("/safekeeping/exports/{in_address}/zip"),
        format!("/safekeeping/work/{in_address}"),
        format!("/name?to={in_address}"),
        format!("/pieces/{number}/photographs?photo={sha256}"),
        format!("/photographs/missing?piece={in_address}"),
        format!("/photographs/missing?page={in_address}"),
        photograph.clone(),
        format!("{photograph}/draw"),
        format!("{photograph}/target"),
        format!("{photograph}/colour?area={in_address}&uncorrected={in_address}"),
        format!("{photograph}/threads?square={in_address}&scale={in_address}&warp={in_address}&role={in_address}"),
        format!("{photograph}/pattern?ratio=1:8"),
        format!("{photograph}/pattern?ratio={in_address}&line={in_address}&piece={in_address}&measure={in_address}"),
        format!("{photograph}/pattern/sheets?ratio=1:8"),
        format!("{photograph}/pattern/outline?ratio=1:8"),
        format!("/sign-in?to={in_address}"),
    ];
    for page in told.into_iter().chain(pages) {
        let answer = bench.get(&page);
        assert!(answer.status.as_u16() < 500, "{page}: {}", answer.status);
        let text = answer.text();
        for never in [
            "<img src=x",
            "<script>alert",
            "\" autofocus onfocus=",
            "</title></style>",
            "<i>1</i>",
            "&lt;/script&gt;49",
        ] {
            assert!(!text.contains(never), "{page} holds `{never}`");
        }
    }
    bench.cookie = None;
    let answer = bench.get(&format!("/pieces/{in_address}")).text();
    assert!(!answer.contains("<script>alert"), "the door repeats the address");
}
