//! A workbench on a catalogue in a temporary folder, and a browser that keeps its cookie and its token.

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode, header};
use dimity::workbench::{self, Entrance, Opening, Patience, Secret};
use tower::ServiceExt;

use crate::support::{AUTHOR, Desk, clock};

/// The name under which the workbench of these tests is reached.
pub const HOST: &str = "127.0.0.1:8470";

/// A workbench and one browser.
pub struct Bench {
    pub desk: Desk,
    app: Router,
    runtime: tokio::runtime::Runtime,
    key: String,
    pub cookie: Option<String>,
    pub token: String,
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("JSON was expected ({e}): {}", self.text()))
    }

    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|v| v.to_str().ok()).unwrap_or_default()
    }

    /// Fails unless it has this status.
    #[track_caller]
    pub fn is(self, status: u16) -> Self {
        assert_eq!(self.status.as_u16(), status, "{}", self.text());
        self
    }
}

impl Bench {
    /// A workbench on loopback, and a browser that came by the link.
    pub fn by_link(sheets: &[&str]) -> Self {
        Self::by_link_as(sheets, Some(AUTHOR))
    }

    /// The same, with or without a name that the command line said.
    pub fn by_link_as(sheets: &[&str], name: Option<&str>) -> Self {
        let mut bench = Self::closed(sheets, |key| Entrance::Link { key, by: name.map(Into::into) });
        let link = bench.link();
        let answer = bench.ask(bench.request("GET", &link)).is(303);
        bench.takes_cookie(&answer);
        bench
    }

    /// A workbench with accounts, and a browser that nobody signed in at.
    pub fn by_accounts(sheets: &[&str]) -> Self {
        Self::closed(sheets, |_| Entrance::Accounts)
    }

    /// The link of the terminal.
    pub fn link(&self) -> String {
        format!("/enter?key={}", self.key)
    }

    /// A workbench that the browser has not come into.
    pub fn closed(sheets: &[&str], entrance: impl FnOnce(Secret) -> Entrance) -> Self {
        let mut desk = Desk::new();
        for sheet in sheets {
            desk.entered(sheet);
        }
        Self::of(desk, entrance, None)
    }

    /// Sends a form that settles something, as it stands on its page: with what that page says stood when it was made.
    pub fn settle(&self, page: &str, to: &str, fields: &[(&str, &str)]) -> Answer {
        let page = self.get(page).is(200).text().replace("&#x2F;", "/");
        let of = fields.iter().find(|(name, _)| *name == "of").map(|(_, of)| format!("name=\"of\" value=\"{of}\""));
        let is_it = |form: &&str| {
            form.contains(&format!("action=\"{to}\"")) && of.as_ref().is_none_or(|of| form.contains(of.as_str()))
        };
        let form = page.split("<form").find(is_it).unwrap_or_else(|| panic!("no form for {to} in {page}"));
        let (_, stood) = form.split_once("name=\"stood\" value=\"").expect("the form says what stood");
        let stood = stood.split('"').next().unwrap_or_default();
        self.form(to, &[fields, &[("stood", stood)]].concat())
    }

    /// The same after the program ended and was started again: nothing but the folder is left of it.
    pub fn again(self) -> Self {
        let Self { desk, .. } = self;
        let mut bench = Self::of(desk, |key| Entrance::Link { key, by: Some(AUTHOR.into()) }, None);
        let link = bench.link();
        let answer = bench.ask(bench.request("GET", &link)).is(303);
        bench.takes_cookie(&answer);
        bench
    }

    /// The same on a catalogue that is there, with a folder for backups or without.
    pub fn of(desk: Desk, entrance: impl FnOnce(Secret) -> Entrance, backup: Option<std::path::PathBuf>) -> Self {
        Self::reached_by(desk, entrance, backup, None)
    }

    /// The same, known by this address as well: `https://store.example`.
    pub fn reached_by(
        desk: Desk,
        entrance: impl FnOnce(Secret) -> Entrance,
        backup: Option<std::path::PathBuf>,
        address: Option<&str>,
    ) -> Self {
        let key = Secret::fresh().expect("random bits");
        let opening = Opening {
            folder: desk.folder().to_owned(),
            clock: clock(),
            listen: HOST.parse().expect("an address"),
            address: address.map(Into::into),
            entrance: entrance(key.clone()),
            backup,
            patience: Patience::default(),
        };
        let opened = Arc::new(workbench::Desk::open(opening).expect("the workbench opens"));
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build();
        Self {
            desk,
            app: workbench::app(opened),
            runtime: runtime.expect("a runtime"),
            key: key.as_str().to_owned(),
            cookie: None,
            token: String::new(),
        }
    }

    /// A request as our own pages send it.
    pub fn request(&self, method: &str, path: &str) -> axum::http::request::Builder {
        let mut request = Request::builder().method(method).uri(path).header(header::HOST, HOST);
        if let Some(cookie) = &self.cookie {
            request = request.header(header::COOKIE, format!("other=1; dimity-8470={cookie}"));
        }
        if method == "GET" {
            request.header(header::ACCEPT, "text/html")
        } else {
            request.header(header::ORIGIN, format!("http://{HOST}"))
        }
    }

    /// Sends a request without a body.
    pub fn ask(&self, request: axum::http::request::Builder) -> Answer {
        self.send(request.body(Body::empty()).expect("a request"))
    }

    /// Sends a request.
    pub fn send(&self, request: Request<Body>) -> Answer {
        self.runtime.block_on(Self::answered(self.app.clone(), request))
    }

    /// Sends requests all at once.
    pub fn send_together(&self, requests: Vec<Request<Body>>) -> Vec<Answer> {
        let all: Vec<_> =
            requests.into_iter().map(|one| self.runtime.spawn(Self::answered(self.app.clone(), one))).collect();
        all.into_iter().map(|one| self.runtime.block_on(one).expect("an answer")).collect()
    }

    async fn answered(app: Router, request: Request<Body>) -> Answer {
        let response = app.oneshot(request).await.expect("the router answers");
        let (parts, body) = response.into_parts();
        let body = to_bytes(body, usize::MAX).await.expect("the answer is whole").to_vec();
        Answer { status: parts.status, headers: parts.headers, body }
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask(self.request("GET", path))
    }

    /// Sends JSON with the token, as `workbench.js` does.
    pub fn post(&self, path: &str, value: &serde_json::Value) -> Answer {
        let request = self.request("POST", path).header(header::CONTENT_TYPE, "application/json");
        let request = request.header("x-dimity-token", &self.token);
        self.send(request.body(Body::from(value.to_string())).expect("a request"))
    }

    /// Sends a form with the token, as a page does.
    pub fn form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.send(self.form_request(path, fields))
    }

    /// The same, not sent yet.
    pub fn form_request(&self, path: &str, fields: &[(&str, &str)]) -> Request<Body> {
        let mut form = form_urlencoded::Serializer::new(String::new());
        form.append_pair("token", &self.token);
        form.extend_pairs(fields);
        let request = self.request("POST", path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        request.body(Body::from(form.finish())).expect("a request")
    }

    /// Sends a form with fields and files, the token first.
    pub fn form_with_files(&self, path: &str, fields: &[(&str, &str)], files: &[(&str, &[u8])]) -> Answer {
        let names: Vec<String> = files.iter().map(|(name, _)| name.replace('"', "%22")).collect();
        let fields = fields.iter().map(|(name, text)| (*name, None, text.as_bytes()));
        let files = files.iter().zip(&names).map(|((_, bytes), name)| ("f", Some(name.as_str()), *bytes));
        self.parts(path, &fields.chain(files).collect::<Vec<_>>())
    }

    /// Sends a form with files, the token first; a part with a name of a file is one.
    pub fn parts(&self, path: &str, parts: &[(&str, Option<&str>, &[u8])]) -> Answer {
        let mut body = Vec::new();
        for (name, file, content) in [("token", None, self.token.as_bytes())].iter().chain(parts) {
            let file = file.map(|f| format!("; filename=\"{f}\"\r\nContent-Type: text/csv")).unwrap_or_default();
            let head = format!("------cut\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n");
            body.extend([head.as_bytes(), content, b"\r\n"].concat());
        }
        body.extend(b"------cut--\r\n");
        let request = self.request("POST", path).header(header::ACCEPT, "text/html");
        let request = request.header(header::CONTENT_TYPE, "multipart/form-data; boundary=----cut");
        self.send(request.body(Body::from(body)).expect("a request"))
    }

    /// Adds a photograph to a piece; its SHA-256.
    pub fn photograph(&self, number: &str, query: &str, bytes: Vec<u8>) -> String {
        let request = self.request("POST", &format!("/pieces/{number}/photographs?{query}"));
        let request = request.header("x-dimity-token", &self.token).header(header::CONTENT_TYPE, "image/png");
        let answer = self.send(request.body(Body::from(bytes)).expect("a request")).is(200).json();
        answer["sha256"].as_str().expect("a SHA-256").to_owned()
    }

    /// What the command line says on the same catalogue, as JSON.
    pub fn command(&self, arguments: &[&str]) -> serde_json::Value {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_dimity"));
        command.arg("--in").arg(self.desk.folder()).args(arguments).arg("--json").env("USER", "someone");
        let said = command.output().expect("the program starts");
        let text = String::from_utf8_lossy(&said.stdout).into_owned();
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{arguments:?}: {e}: {text}{said:?}"))
    }

    /// Keeps the cookie that an answer sets, and reads the token from a page.
    pub fn takes_cookie(&mut self, answer: &Answer) {
        let set = answer.header("set-cookie");
        let value = set.split(';').next().and_then(|pair| pair.split_once('=')).map(|(_, value)| value.to_owned());
        self.cookie = value.filter(|value| !value.is_empty());
        let page = self.get("/words").is(200).text();
        let (_, rest) = page.split_once("<meta name=\"token\" content=\"").expect("a page holds the token");
        rest.split('"').next().unwrap_or_default().clone_into(&mut self.token);
    }

    /// Signs in with name and password.
    pub fn sign_in(&mut self, name: &str, password: &str) -> Answer {
        let answer = self.form("/sign-in", &[("name", name), ("password", password)]);
        if answer.status == StatusCode::SEE_OTHER {
            self.takes_cookie(&answer);
        }
        answer
    }

    /// The last row of the journal: changes when anything was written.
    pub fn revision(&self) -> i64 {
        self.desk.catalogue.revision().expect("the catalogue can be read").row
    }
}
