//! The pages of a workbench asked without a network, by someone who came by the link.

use std::path::Path;
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode};
use dimity::workbench::{Desk, Entrance, Opening, Patience, Secret, app};
use serde_json::{Value, json};
use tower::ServiceExt as _;

const HOST: &str = "127.0.0.1:8470";

/// A browser at the workbench.
pub struct Bench {
    app: Router,
    runtime: tokio::runtime::Runtime,
    cookie: String,
    pub token: String,
}

/// What was answered.
pub struct Answer {
    pub status: StatusCode,
    pub to: String,
    pub body: String,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|e| panic!("{} {e}: {}", self.status, self.body))
    }

    /// The same, if it went well.
    #[track_caller]
    pub fn done(self) -> Self {
        assert!(self.status.is_success() || self.status.is_redirection(), "{} {}", self.status, self.body);
        self
    }
}

impl Bench {
    pub fn at(folder: &Path, by: &str) -> Self {
        let key = Secret::fresh().expect("random bits");
        let link = key.as_str().to_owned();
        let opening = Opening {
            folder: folder.to_owned(),
            clock: crate::support::clock(),
            listen: HOST.parse().expect("an address"),
            address: None,
            entrance: Entrance::Link { key, by: Some(by.to_owned()) },
            backup: None,
            patience: Patience::default(),
        };
        let runtime = tokio::runtime::Runtime::new().expect("a runtime");
        let app = app(Arc::new(Desk::open(opening).expect("opened")));
        let mut bench = Self { app, runtime, cookie: String::new(), token: String::new() };
        let request = Request::get(format!("/enter?key={link}")).header("host", HOST).header("accept", "text/html");
        let response = bench.runtime.block_on(bench.app.clone().oneshot(request.body(Body::empty()).expect("whole")));
        let response = response.expect("answered");
        let cookie = response.headers()["set-cookie"].to_str().expect("plain");
        bench.cookie = cookie.split(';').next().expect("a cookie").into();
        let page = bench.get("/examine").done().body;
        bench.token =
            page.split("name=\"token\" content=\"").nth(1).expect("a token").split('"').next().expect("whole").into();
        bench
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask(Request::get(path).header("accept", "text/html"), Body::empty())
    }

    /// Sends what a script sends.
    pub fn send(&self, path: &str, value: &Value) -> Answer {
        self.send_with(path, value, &self.token)
    }

    pub fn send_with(&self, path: &str, value: &Value, token: &str) -> Answer {
        let request = Request::post(path)
            .header("content-type", "application/json")
            .header("x-dimity-token", token)
            .header("origin", format!("http://{HOST}"));
        self.ask(request, Body::from(value.to_string()))
    }

    /// Sends a form as a page does.
    pub fn form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let mut body = form_urlencoded::Serializer::new(String::new());
        body.append_pair("token", &self.token).extend_pairs(fields);
        let request = Request::post(path)
            .header("content-type", "application/x-www-form-urlencoded")
            .header("accept", "text/html")
            .header("origin", format!("http://{HOST}"));
        self.ask(request, Body::from(body.finish()))
    }

    fn ask(&self, request: axum::http::request::Builder, body: Body) -> Answer {
        let request = request.header("host", HOST).header("cookie", &self.cookie).body(body).expect("a request");
        self.runtime.block_on(async {
            let response = self.app.clone().oneshot(request).await.expect("answered");
            let status = response.status();
            let to = response.headers().get("location").and_then(|v| v.to_str().ok()).unwrap_or_default().to_owned();
            let body = to_bytes(response.into_body(), usize::MAX).await.expect("a body");
            Answer { status, to, body: String::from_utf8_lossy(&body).into_owned() }
        })
    }
}

/// A draft, and the version that its window saw last.
pub struct Window<'b> {
    bench: &'b Bench,
    pub address: String,
    pub version: u64,
}

impl<'b> Window<'b> {
    pub fn begin(bench: &'b Bench, fields: &[(&str, &str)]) -> Self {
        let address = bench.form("/examine", fields).done().to;
        assert!(address.starts_with("/examine/"), "{address}");
        Self::open(bench, &address)
    }

    pub fn open(bench: &'b Bench, address: &str) -> Self {
        let now = bench.get(&format!("{address}/part")).done().json();
        Self { bench, address: address.to_owned(), version: now["version"].as_u64().expect("a version") }
    }

    /// Sends a message with the version that was seen.
    pub fn say(&mut self, what: &str, mut value: Value) -> Answer {
        value["version"] = json!(self.version);
        value["window"] = json!(format!("a window {}", uuid::Uuid::now_v7()));
        let answer = self.bench.send(&format!("{}/{what}", self.address), &value);
        if let Some(version) = serde_json::from_str::<Value>(&answer.body).ok().and_then(|v| v["version"].as_u64())
            && answer.status != StatusCode::CONFLICT
        {
            self.version = version;
        }
        answer
    }

    #[track_caller]
    pub fn write(&mut self, lines: &[&str]) {
        for line in lines {
            self.say("stroke", json!({ "act": "write", "text": line })).done();
        }
    }

    pub fn enter(&mut self) -> Answer {
        self.say("enter", json!({ "reason": "" }))
    }
}
