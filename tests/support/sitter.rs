//! Somebody at the workbench by plain requests over a real connection, each on a connection of its own.

use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::ops::Deref;
use std::path::Path;
use std::time::Duration;

use serde_json::Value;

use super::Serving;

/// One who came by the link.
#[derive(Clone)]
pub struct Client {
    host: String,
    cookie: String,
    token: String,
}

impl Client {
    /// By the path of the link, at host and port.
    pub fn come_in(host: &str, link: &str) -> Self {
        let mut client = Self { host: host.to_owned(), cookie: String::new(), token: String::new() };
        let answer = client.ask(&format!("GET {link} HTTP/1.1\r\naccept: text/html"), "");
        let cookie = answer.lines().find_map(|l| l.strip_prefix("set-cookie: ")).expect("a cookie");
        client.cookie = cookie.split(';').next().expect("whole").into();
        let page = client.ask("GET /examine HTTP/1.1\r\naccept: text/html", "");
        client.token = page.split("name=\"token\" content=\"").nth(1).expect("a token")[..43].into();
        client
    }

    /// What every writing request brings.
    pub fn token(&self) -> &str {
        &self.token
    }

    /// A connection on which a request was begun: its head, which announces so many bytes.
    pub fn begun(&self, head: &str, length: usize) -> std::io::Result<TcpStream> {
        let Self { host, cookie, token } = self;
        let mut stream = TcpStream::connect(host)?;
        stream.set_read_timeout(Some(Duration::from_secs(60)))?;
        // A form brings it as its first field.
        let token =
            if head.contains("multipart/form-data") { String::new() } else { format!("x-dimity-token: {token}\r\n") };
        write!(
            stream,
            "{head}\r\nhost: {host}\r\norigin: http://{host}\r\ncookie: {cookie}\r\n{token}\
             content-length: {length}\r\nconnection: close\r\n\r\n"
        )?;
        Ok(stream)
    }

    /// The answer, whole or in part; none where the program is gone.
    pub fn asked(&self, head: &str, body: impl AsRef<[u8]>) -> std::io::Result<String> {
        let mut stream = self.begun(head, body.as_ref().len())?;
        stream.write_all(body.as_ref())?;
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer)?;
        Ok(String::from_utf8_lossy(&answer).into_owned())
    }

    /// The whole answer, head and all.
    pub fn ask(&self, head: &str, body: impl AsRef<[u8]>) -> String {
        self.asked(head, body).expect("it listens and answers")
    }

    /// Posts a body of this kind.
    pub fn post(&self, path: &str, kind: &str, body: impl AsRef<[u8]>) -> String {
        self.ask(&format!("POST {path} HTTP/1.1\r\ncontent-type: {kind}"), body)
    }

    /// Sends what a script sends; none where nobody answers with JSON.
    pub fn send(&self, path: &str, value: &Value) -> Option<Value> {
        let head = format!("POST {path} HTTP/1.1\r\ncontent-type: application/json");
        let answer = self.asked(&head, value.to_string()).ok()?;
        serde_json::from_str(answer.split_once("\r\n\r\n")?.1).ok()
    }

    /// Begins a sitting on a new piece; gives the address of the draft.
    pub fn sitting(&self, number: &str) -> String {
        let begun = format!("number={number}&nature=extant&object_name=spencer&garment=spencer");
        let begun = self.post("/examine", "application/x-www-form-urlencoded", begun);
        begun.lines().find_map(|l| l.strip_prefix("location: ")).expect("an address").to_owned()
    }
}

/// The program, and one who sits at it.
pub struct Sitter {
    pub program: Serving,
    client: Client,
}

impl Sitter {
    pub fn start(folder: &Path) -> Self {
        let program = Serving::start(folder);
        let (host, link) = program.host_and_path();
        Self { client: Client::come_in(host, link), program }
    }
}

impl Deref for Sitter {
    type Target = Client;
    fn deref(&self) -> &Client {
        &self.client
    }
}
