//! A form with files (RFC 7578), read as it comes: of the files no more is held than a piece of the body, and of each part
//! a head of a few lines. What a browser sends is understood, and anything else is refused.
//!
//! Written here, since the library that frameworks use for it takes in all that a connection brings before anybody asks for
//! it, and a head of any length: a form of some gigabytes from this machine would stand in memory.

use std::collections::BTreeMap;
use std::future::poll_fn;
use std::mem;
use std::pin::Pin;
use std::sync::{Arc, Mutex};

use axum::body::{Body, Bytes, HttpBody};
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode, header};
use hyper::body::Frame;
use memchr::memmem;

use super::fault::Wrong;

/// The longest head of a part; a name of a file is a few hundred bytes at most.
const LONGEST_HEAD: usize = 8 * 1024;
/// The longest boundary, as the standard has it (RFC 2046, 5.1.1).
const LONGEST_BOUNDARY: usize = 70;
/// The most parts of one form: more photographs than anybody chooses at once.
const MOST_PARTS: usize = 2000;

/// A form on its way in, part by part.
#[derive(Debug)]
pub(super) struct Multipart {
    body: Body,
    /// What has come and was not given out. A line end stands before the first delimiter as before the others.
    held: Vec<u8>,
    delimiter: Vec<u8>,
    /// Whether bytes of a part are next, and not a delimiter.
    within: bool,
    is_over: bool,
    parts: usize,
}

/// What a part is called.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Head {
    /// The name of the field.
    pub name: String,
    /// The name of the file, if it is one; blank where a field for files was left alone.
    pub file: Option<String>,
}

impl Multipart {
    /// The form in a body, whose parts this boundary divides.
    pub fn of(boundary: &str, body: Body) -> Self {
        let delimiter = format!("\r\n--{boundary}").into_bytes();
        Self { body, held: b"\r\n".to_vec(), delimiter, within: true, is_over: false, parts: 0 }
    }

    /// The head of the next part; what was not read of the one before is passed over. None after the last.
    pub async fn next(&mut self) -> Result<Option<Head>, Wrong> {
        while self.bytes().await?.is_some() {}
        while self.held.len() < 2 && !self.is_over {
            self.more().await?;
        }
        self.is_over |= self.held.starts_with(b"--");
        if self.is_over {
            return Ok(None);
        }
        let end = loop {
            if let Some(end) = memmem::find(&self.held, b"\r\n\r\n") {
                break end;
            }
            if self.held.len() > LONGEST_HEAD {
                return Err(unreadable());
            }
            self.more().await?;
        };
        self.parts += 1;
        if end > LONGEST_HEAD || !self.held.starts_with(b"\r\n") || self.parts > MOST_PARTS {
            return Err(unreadable());
        }
        let head = head(&self.held[..end]).ok_or_else(unreadable)?;
        self.held.drain(..end + 4);
        self.within = true;
        Ok(Some(head))
    }

    /// The next bytes of this part, at least one; none at its end.
    pub async fn bytes(&mut self) -> Result<Option<Vec<u8>>, Wrong> {
        while self.within {
            let delimiter = memmem::find(&self.held, &self.delimiter);
            if delimiter == Some(0) {
                self.held.drain(..self.delimiter.len());
                self.within = false;
                break;
            }
            // The beginning of a delimiter may be all that has come of it.
            let ready = delimiter.unwrap_or((self.held.len() + 1).saturating_sub(self.delimiter.len()));
            if ready > 0 {
                let rest = self.held.split_off(ready);
                return Ok(Some(mem::replace(&mut self.held, rest)));
            }
            self.more().await?;
        }
        Ok(None)
    }

    /// The whole of a part that somebody wrote.
    pub async fn text(&mut self, longest: usize) -> Result<String, Wrong> {
        let too_long = || Wrong::new(StatusCode::PAYLOAD_TOO_LARGE, "A field of this form is too long.");
        String::from_utf8(self.whole(longest, too_long).await?).map_err(|_| unreadable())
    }

    /// The whole of a part in memory, no more than so many bytes; else what is said of one that has more.
    pub async fn whole(&mut self, most: usize, too_long: impl FnOnce() -> Wrong) -> Result<Vec<u8>, Wrong> {
        let mut all = Vec::new();
        while let Some(bytes) = self.bytes().await? {
            if all.len() + bytes.len() > most {
                return Err(too_long());
            }
            all.extend(bytes);
        }
        Ok(all)
    }

    /// All fields that somebody wrote, by their names, no more than so many bytes; files are passed over.
    pub async fn fields(&mut self, longest: usize) -> Result<BTreeMap<String, String>, Wrong> {
        let (mut fields, mut left) = (BTreeMap::new(), longest);
        while let Some(head) = self.next().await? {
            if head.file.is_none() {
                let text = self.text(left).await?;
                left -= text.len();
                fields.insert(head.name, text);
            }
        }
        Ok(fields)
    }

    async fn more(&mut self) -> Result<(), Wrong> {
        let Some(Ok(bytes)) = came(&mut self.body).await else {
            let says = "The form broke off on its way; what it still held was not kept. Send it again.";
            return Err(Wrong::new(StatusCode::BAD_REQUEST, says));
        };
        self.held.extend_from_slice(&bytes);
        Ok(())
    }
}

/// The next bytes of a body; none at its end.
pub(super) async fn came(body: &mut Body) -> Option<Result<Bytes, axum::Error>> {
    loop {
        match poll_fn(|cx| Pin::new(&mut *body).poll_frame(cx)).await?.map(Frame::into_data) {
            Ok(Ok(bytes)) => return Some(Ok(bytes)),
            // What comes behind the bytes of a body says nothing here.
            Ok(Err(_)) => {}
            Err(broken) => return Some(Err(broken)),
        }
    }
}

fn unreadable() -> Wrong {
    Wrong::new(StatusCode::BAD_REQUEST, "This is no form that a page of ours sends.")
}

/// What divides the parts of a form with files; none if the headers say that it is something else.
pub(super) fn boundary(headers: &HeaderMap) -> Option<String> {
    let kind = headers.get(header::CONTENT_TYPE)?.to_str().ok()?;
    let (kind, rest) = kind.split_once(';')?;
    let is_form = kind.trim().eq_ignore_ascii_case("multipart/form-data");
    let boundary = parameter(rest, "boundary").filter(|b| is_form && !b.is_empty() && b.len() <= LONGEST_BOUNDARY)?;
    boundary.bytes().all(|b| b.is_ascii_graphic() || b == b' ').then_some(boundary)
}

/// The head of a part, from its lines.
fn head(lines: &[u8]) -> Option<Head> {
    let lines = std::str::from_utf8(lines).ok()?;
    let mut lines = lines.split("\r\n").filter_map(|line| line.split_once(':'));
    let (_, about) = lines.find(|(name, _)| name.eq_ignore_ascii_case("content-disposition"))?;
    let (kind, rest) = about.split_once(';')?;
    let is_form = kind.trim().eq_ignore_ascii_case("form-data");
    Some(Head { name: parameter(rest, "name").filter(|_| is_form)?, file: parameter(rest, "filename") })
}

/// A parameter of a header, in quotes or bare. Browsers write quotes and line ends in it as `%22`, `%0D` and `%0A` (HTML,
/// "multipart form data").
fn parameter(text: &str, wanted: &str) -> Option<String> {
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let (name, after) = rest.split_once('=')?;
        let (value, left) = match after.strip_prefix('"') {
            Some(quoted) => quoted.split_once('"')?,
            None => after.split_once(';').map_or((after, ""), |(value, _)| (value, &after[value.len()..])),
        };
        if name.trim().eq_ignore_ascii_case(wanted) {
            return Some(value.trim().replace("%22", "\"").replace("%0D", "\r").replace("%0A", "\n"));
        }
        rest = left.trim_start().trim_start_matches(';').trim_start();
    }
    None
}

/// The rest of a form whose token the door has read: its first field.
#[derive(Debug, Clone)]
pub(super) struct Sent(Arc<Mutex<Option<Multipart>>>);

impl Sent {
    pub fn new(form: Multipart) -> Self {
        Self(Arc::new(Mutex::new(Some(form))))
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Multipart {
    type Rejection = Wrong;
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Wrong> {
        let sent = parts.extensions.get::<Sent>().and_then(|sent| sent.0.lock().ok()?.take());
        sent.ok_or_else(|| Wrong::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, "A form with files is wanted here."))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use tokio_util::io::ReaderStream;

    use super::*;

    const KIND: &str = "multipart/form-data; boundary=cut";

    /// A body that comes in pieces of so many bytes.
    fn form(kind: &str, body: &[u8], at_once: usize) -> Option<Multipart> {
        let headers = HeaderMap::from_iter([(header::CONTENT_TYPE, kind.parse().expect("a header"))]);
        let pieces = ReaderStream::with_capacity(std::io::Cursor::new(Bytes::copy_from_slice(body)), at_once);
        Some(Multipart::of(&boundary(&headers)?, Body::from_stream(pieces)))
    }

    type Read = (Vec<(Head, Vec<u8>)>, Option<StatusCode>);

    /// All parts, and with what status it ended if not well.
    fn read(mut form: Multipart) -> Read {
        let runtime = tokio::runtime::Builder::new_current_thread().build().expect("a runtime");
        runtime.block_on(async {
            let mut parts: Vec<(Head, Vec<u8>)> = Vec::new();
            loop {
                match form.next().await {
                    Ok(Some(head)) => parts.push((head, Vec::new())),
                    Ok(None) => return (parts, None),
                    Err(wrong) => return (parts, Some(wrong.status)),
                }
                loop {
                    match form.bytes().await {
                        Ok(Some(bytes)) => {
                            assert!(!bytes.is_empty());
                            parts.last_mut().expect("a part").1.extend(bytes);
                        }
                        Ok(None) => break,
                        Err(wrong) => return (parts, Some(wrong.status)),
                    }
                }
            }
        })
    }

    fn part(name: &str, file: Option<&str>, content: &[u8]) -> Vec<u8> {
        let file = file.map(|file| format!("; filename=\"{file}\"\r\nContent-Type: image/png")).unwrap_or_default();
        let head = format!("--cut\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n");
        [head.as_bytes(), content, b"\r\n"].concat()
    }

    #[test]
    fn what_browsers_send_is_read_and_anything_else_refused() {
        let bad = Some(StatusCode::BAD_REQUEST);
        let end = b"--cut--\r\n".to_vec();
        let many = part("x", None, b"").repeat(MOST_PARTS + 1);
        for (what, body, parts, wrong) in [
            (
                "a field and a file",
                [part("a", None, b"b"), part("f", Some("1.png"), b"\r\n--cu"), end.clone()].concat(),
                2,
                None,
            ),
            ("nothing", end.clone(), 0, None),
            ("a preamble", [b"hello\r\n".to_vec(), part("a", None, b"b"), end.clone()].concat(), 1, None),
            ("no end", part("a", None, b"b"), 1, bad),
            ("half a part", b"--cut\r\nContent-Disposition: form-data; name=\"a\"\r\n\r\nbcd".to_vec(), 1, bad),
            ("no head", [b"--cut\r\n\r\nb\r\n".to_vec(), end.clone()].concat(), 0, bad),
            (
                "no name",
                [b"--cut\r\nContent-Disposition: form-data\r\n\r\nb\r\n".to_vec(), end.clone()].concat(),
                0,
                bad,
            ),
            (
                "an attachment",
                [b"--cut\r\nContent-Disposition: attachment; name=\"a\"\r\n\r\nb\r\n".to_vec(), end.clone()].concat(),
                0,
                bad,
            ),
            ("a head without end", [b"--cut\r\nx: ".to_vec(), vec![b'x'; 1 << 20]].concat(), 0, bad),
            ("a longer boundary", [b"--cutting\r\n".to_vec(), end.clone()].concat(), 0, bad),
            ("too many parts", [many, end.clone()].concat(), MOST_PARTS, bad),
            ("nothing at all", Vec::new(), 0, bad),
        ] {
            for at_once in [1 << 16, 7, 1] {
                if body.len() / at_once > 100_000 {
                    continue;
                }
                let (found, status) = read(form(KIND, &body, at_once).expect("a form"));
                assert_eq!((found.len(), status), (parts, wrong), "{what}, {at_once} bytes at once");
            }
        }
        for kind in [
            "application/x-www-form-urlencoded",
            "multipart/form-data",
            "multipart/form-data; boundary=",
            "multipart/mixed; boundary=cut",
            "multipart/form-data; boundary=\"cut",
        ] {
            assert!(form(kind, b"", 1).is_none(), "{kind}");
        }
        let long = format!("multipart/form-data; boundary={}", "x".repeat(LONGEST_BOUNDARY + 1));
        assert!(form(&long, b"", 1).is_none());
    }

    #[test]
    fn names_are_read_as_browsers_write_them() {
        for (line, name, file) in [
            ("name=\"a\"", "a", None),
            ("name=a", "a", None),
            ("name=\"f\"; filename=\"\"", "f", Some("")),
            ("filename=\"x; name=y\"; name=\"f\"", "f", Some("x; name=y")),
            ("name=\"f\"; filename=\"Ärmel %22links%22.tif\"", "f", Some("Ärmel \"links\".tif")),
        ] {
            let read = head(format!("\r\nContent-Type: x/y\r\nCONTENT-disposition: Form-Data; {line}").as_bytes());
            assert_eq!(read, Some(Head { name: name.into(), file: file.map(String::from) }), "{line}");
        }
    }

    proptest! {
        #[test]
        fn a_form_reads_alike_however_it_comes(
            contents in prop::collection::vec(prop::collection::vec(prop::sample::select(b"\r\n-cut\0x".to_vec()), 0..40), 0..5),
            at_once in 1..60_usize,
        ) {
            let whole = |c: &Vec<u8>| memmem::find(&[b"\r\n", &c[..], b"\r\n"].concat(), b"\r\n--cut").is_none();
            prop_assume!(contents.iter().all(whole));
            let mut body: Vec<u8> = contents.iter().flat_map(|c| part("f", Some("a"), c)).collect();
            body.extend(b"--cut--\r\n");
            let (parts, wrong) = read(form(KIND, &body, at_once).expect("a form"));
            prop_assert_eq!(wrong, None);
            prop_assert_eq!(parts.into_iter().map(|(_, content)| content).collect::<Vec<_>>(), contents);
        }

        #[test]
        fn no_bytes_break_it(body in prop::collection::vec(any::<u8>(), 0..300), at_once in 1..60_usize) {
            let body = [&b"--cut\r\nContent-Disposition: form-data; name=\"a\"\r\n\r\n"[..], &body].concat();
            read(form(KIND, &body, at_once).expect("a form"));
        }
    }
}
