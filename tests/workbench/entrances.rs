//! Both ways in, and the names by which the program is reached: what stands before it, the cookie, the origin of a form.

use axum::body::Body;
use axum::http::{Request, header};
use dimity::record::account::{Account, Role};
use dimity::workbench::Entrance;

use crate::bench::{Answer, Bench, HOST};
use crate::drawing::PASSWORD;
use crate::support::{AUTHOR, Desk, Room, SPENCER, Serving};

const ADDRESS: &str = "https://store.example";
const NAME: &str = "Tamsin Orrel";

/// A workbench with one account, reached by this address beside its own.
fn reached_by(address: Option<&str>, by_account: bool) -> Bench {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let account = Account { name: NAME.into(), role: Role::Keep };
    desk.catalogue.add_account("test", &account, PASSWORD).expect("an account");
    let entrance = |key| if by_account { Entrance::Accounts } else { Entrance::Link { key, by: None } };
    Bench::reached_by(desk, entrance, None, address)
}

fn asked(bench: &Bench, host: &str, path: &str, cookie: &str) -> Answer {
    let request = Request::builder().uri(path).header(header::HOST, host).header(header::ACCEPT, "text/html");
    bench.ask(request.header(header::COOKIE, cookie))
}

fn signed_in(bench: &Bench, host: &str, origin: &str) -> Answer {
    let mut form = form_urlencoded::Serializer::new(String::new());
    form.append_pair("name", NAME).append_pair("password", PASSWORD);
    let request = Request::builder().method("POST").uri("/sign-in").header(header::HOST, host);
    let request = request.header(header::ORIGIN, origin).header(header::ACCEPT, "text/html");
    let request = request.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    bench.send(request.body(Body::from(form.finish())).expect("a request"))
}

#[test]
fn by_its_address_it_is_known_and_by_no_other_name() {
    let bench = reached_by(Some(ADDRESS), true);
    for (host, status) in [
        ("store.example", 200),
        ("Store.Example", 200),
        // From the machine itself, as what stands before it may ask.
        (HOST, 200),
        ("localhost:8470", 200),
        ("store.example:8470", 421),
        ("store.example.attacker.example", 421),
        ("www.store.example", 421),
        ("attacker.example", 421),
        ("user@store.example", 421),
        ("192.168.1.20:8470", 421),
        ("store.example, attacker.example", 400),
        ("", 400),
    ] {
        assert_eq!(asked(&bench, host, "/sign-in", "").status.as_u16(), status, "Host: {host}");
    }
}

#[test]
fn a_form_comes_from_the_address_itself() {
    let bench = reached_by(Some(ADDRESS), true);
    let local = format!("http://{HOST}");
    for (host, origin, status) in [
        ("store.example", ADDRESS, 303),
        (HOST, local.as_str(), 303),
        // The address has a certificate; what comes without one is another origin.
        ("store.example", "http://store.example", 403),
        ("store.example", "https://store.example:8470", 403),
        ("store.example", "https://attacker.example", 403),
        ("store.example", "https://store.example.attacker.example", 403),
        ("store.example", local.as_str(), 403),
        ("store.example", "null", 403),
        (HOST, ADDRESS, 403),
    ] {
        let answer = signed_in(&bench, host, origin);
        assert_eq!(answer.status.as_u16(), status, "Host {host}, Origin {origin}: {}", answer.text());
        assert_eq!(answer.header("set-cookie").is_empty(), status != 303, "Host {host}, Origin {origin}");
    }
}

#[test]
fn the_cookie_is_kept_from_scripts_from_other_sites_and_with_a_certificate_from_the_open_line() {
    // RFC 6265bis, 4.1.3.2: `__Host-` asks for `Secure`, `Path=/` and no `Domain`.
    for (by_account, address, name, secure) in [
        (false, None, "dimity-8470", false),
        (true, None, "dimity-8470", false),
        (true, Some("http://store.example"), "dimity-8470", false),
        (true, Some(ADDRESS), "__Host-dimity", true),
        (false, Some(ADDRESS), "__Host-dimity", true),
    ] {
        let bench = reached_by(address, by_account);
        let what = format!("accounts {by_account}, address {address:?}");
        let host = address.map_or(HOST, |a| a.split_once("://").expect("a scheme").1);
        let origin = address.map_or(format!("http://{HOST}"), str::to_owned);
        let answer =
            if by_account { signed_in(&bench, host, &origin) } else { asked(&bench, host, &bench.link(), "") }.is(303);
        let set: Vec<&str> = answer.header("set-cookie").split("; ").collect();
        let (kept_as, value) = set[0].split_once('=').expect("a value");
        assert_eq!(kept_as, name, "{what}");
        let mut attributes = vec!["Path=/", "HttpOnly", "SameSite=Strict"];
        attributes.extend(secure.then_some("Secure"));
        assert_eq!(set[1..], attributes, "{what}: no `Domain`, and no end but that of the browser");
        // It lets in under its own name alone.
        assert_eq!(asked(&bench, host, "/", &format!("{name}={value}")).status, 200, "{what}");
        let other = if secure { "dimity-8470" } else { "__Host-dimity" };
        assert_ne!(asked(&bench, host, "/", &format!("{other}={value}")).status, 200, "{what}");
        // And its end is told with the same attributes, without which a browser would keep it.
        let page = asked(&bench, host, "/words", &format!("{name}={value}")).is(200).text();
        let token = page.split("name=\"token\" content=\"").nth(1).and_then(|t| t.split('"').next()).expect("a token");
        let out = Request::builder().method("POST").uri("/sign-out").header(header::HOST, host);
        let out = out.header(header::ORIGIN, &origin).header(header::COOKIE, format!("{name}={value}"));
        let out = bench.ask(out.header("x-dimity-token", token)).is(303);
        let set: Vec<&str> = out.header("set-cookie").split("; ").collect();
        attributes.push("Max-Age=0");
        assert_eq!((set[0], &set[1..]), (format!("{name}=").as_str(), &attributes[..]), "{what}");
        assert_ne!(asked(&bench, host, "/", &format!("{name}={value}")).status, 200, "{what}: it is over at once");
    }
}

#[test]
fn what_has_to_stand_before_it_is_said_where_other_desks_come_in_without_a_certificate() {
    let room = Room::with(&[SPENCER]);
    let mut catalogue = dimity::catalogue::Catalogue::open(&room.collection(), crate::support::clock()).expect("opens");
    let account = Account { name: NAME.into(), role: Role::Read };
    catalogue.add_account(AUTHOR, &account, PASSWORD).expect("an account");
    for (more, at, warns) in [
        (&[][..], "http://0.0.0.0:", true),
        (&["--address", "http://store.example"], "http://store.example/", true),
        (&["--address", "https://store.example"], "https://store.example/", false),
    ] {
        let serving = Serving::for_others(&room.collection(), more);
        let said = &serving.said;
        assert!(said.contains(&format!("the catalogue is open at {at}")), "{said}");
        for words in ["unencrypted", "reverse proxy with a certificate", "--address https://NAME"] {
            assert_eq!(said.contains(words), warns, "{more:?}: {words}: {said}");
        }
        assert!(!said.contains("key="), "there is no way in without an account: {said}");
    }
}

#[test]
fn a_photograph_is_sent_as_what_it_is_and_never_as_a_page() {
    let bench = Bench::by_link(&[SPENCER]);
    let jpeg = crate::support::pictures::plain(90);
    for (bytes, kind, extension) in [(crate::drawing::png(90), "image/png", "png"), (jpeg, "image/jpeg", "jpg")] {
        let sha256 = bench.photograph("2031.1", &format!("name=front.{extension}"), bytes.clone());
        let kept_as = format!("attachment; filename=\"{sha256}.{extension}\"");
        for (size, kind, disposition) in
            [("view", "image/jpeg", "inline"), ("small", "image/jpeg", "inline"), ("original", kind, &kept_as)]
        {
            let answer = bench.get(&format!("/photographs/{sha256}/{size}")).is(200);
            let what = format!("{size} of a {extension}");
            assert_eq!(answer.header("content-type"), kind, "{what}");
            assert_eq!(answer.header("content-disposition"), disposition, "{what}");
            assert_eq!(answer.header("content-security-policy"), "default-src 'none'; sandbox", "{what}");
            assert_eq!(answer.header("x-content-type-options"), "nosniff", "{what}");
            assert_eq!(answer.header("cross-origin-resource-policy"), "same-origin", "{what}");
            assert!(answer.header("cache-control").starts_with("private"), "{what}");
            assert_eq!(answer.header("content-length"), answer.body.len().to_string(), "{what}");
            assert_eq!(size == "original", answer.body == bytes, "{what}");
        }
    }
}
