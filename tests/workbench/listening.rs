//! The server on a real port: slow and half-open clients, many connections, an orderly end.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use dimity::workbench::{self, Entrance, Opening, Patience, Secret};

use crate::support::{AUTHOR, Client, Desk, Room, SPENCER, Serving, clock};

/// A server with this patience while `work` runs; it is told the address and the way in.
fn listening(patience: Patience, work: impl FnOnce(SocketAddr, &str, &Desk)) {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
    let listener = runtime.block_on(tokio::net::TcpListener::bind("127.0.0.1:0")).unwrap();
    let listen = listener.local_addr().unwrap();
    let key = Secret::fresh().unwrap();
    let link = format!("/enter?key={}", key.as_str());
    let entrance = Entrance::Link { key, by: Some(AUTHOR.into()) };
    let folder = desk.folder().to_owned();
    let opening = Opening { folder, clock: clock(), listen, address: None, entrance, backup: None, patience };
    let opened = Arc::new(workbench::Desk::open(opening).unwrap());
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let serving = runtime.spawn(workbench::serve_until(listener, opened, async {
        let _ = stopped.await;
    }));
    work(listen, &link, &desk);
    let _ = stop.send(());
    runtime.block_on(async { tokio::time::timeout(Duration::from_secs(20), serving).await }).expect("it ends").unwrap();
}

fn connected(at: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(at).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(15))).unwrap();
    stream
}

/// Whether the server has let go: the end of the stream, or a reset. A standstill is an error of another kind.
fn is_let_go(mut stream: &TcpStream) -> bool {
    let mut rest = Vec::new();
    match stream.read_to_end(&mut rest) {
        Ok(_) => true,
        Err(e) => !matches!(e.kind(), std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut),
    }
}

#[test]
fn half_a_head_and_a_silent_connection_are_let_go() {
    let patience = Patience { head: Duration::from_millis(300), ..Patience::default() };
    listening(patience, |at, _, _| {
        let mut half = connected(at);
        half.write_all(b"GET / HTTP/1.1\r\nHost: 127.0").unwrap();
        let silent = connected(at);
        let mut kept = connected(at);
        kept.write_all(format!("GET / HTTP/1.1\r\nHost: {at}\r\n\r\n").as_bytes()).unwrap();
        let mut status = String::new();
        BufReader::new(&kept).read_line(&mut status).unwrap();
        assert_eq!(status, "HTTP/1.1 401 Unauthorized\r\n");
        for (what, stream) in [("half a head", &half), ("silence", &silent), ("a kept connection", &kept)] {
            assert!(is_let_go(stream), "{what} should be let go");
        }
    });
}

#[test]
fn more_connections_than_there_is_room_for_wait_their_turn() {
    let patience = Patience { connections: 2, head: Duration::from_millis(400), ..Patience::default() };
    listening(patience, |at, _, _| {
        let idle = [connected(at), connected(at)];
        let mut third = connected(at);
        third.write_all(format!("GET / HTTP/1.1\r\nHost: {at}\r\nConnection: close\r\n\r\n").as_bytes()).unwrap();
        let mut answer = String::new();
        third.read_to_string(&mut answer).unwrap();
        assert!(answer.starts_with("HTTP/1.1 401"), "answered when the idle ones were let go: {answer}");
        drop(idle);
    });
}

/// A photograph too large for any buffer on the way, so that who does not read it is waited for: noise, which no format packs.
/// Gives the address of its original.
fn large(client: &Client) -> String {
    let mut state = 1u32;
    let noise = image::RgbImage::from_fn(2200, 1800, |_, _| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        image::Rgb([(state >> 8) as u8, (state >> 16) as u8, (state >> 24) as u8])
    });
    let png = crate::support::pictures::as_png(noise);
    assert!(png.len() > 10_000_000, "{} bytes", png.len());
    let added = client.post("/pieces/2031.1/photographs?name=noise.png", "application/octet-stream", png);
    let sha256 = added.split("\"sha256\":\"").nth(1).unwrap_or_else(|| panic!("{added}"));
    format!("/photographs/{}/original", &sha256[..64])
}

/// So many readers of a file who take a byte now and then, for as long as it takes.
struct Trickling {
    stop: Arc<AtomicBool>,
    readers: Vec<std::thread::JoinHandle<()>>,
}

impl Trickling {
    fn begin(many: usize, client: &Client, path: &str) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let read = |_| {
            let (stop, mut stream) = (stop.clone(), client.begun(&format!("GET {path} HTTP/1.1"), 0).expect("begun"));
            let mut byte = [0];
            stream.read_exact(&mut byte).expect("the answer begins");
            std::thread::spawn(move || {
                while !stop.load(Ordering::Relaxed) && stream.read_exact(&mut byte).is_ok() {
                    std::thread::sleep(Duration::from_millis(20));
                }
            })
        };
        let readers = (0..many).map(read).collect();
        Self { stop, readers }
    }
}

impl Drop for Trickling {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        self.readers.drain(..).for_each(|reader| reader.join().expect("it ends"));
    }
}

#[test]
fn who_takes_an_answer_a_byte_at_a_time_is_let_go() {
    let patience = Patience { connections: 8, taking: Duration::from_millis(700), ..Patience::default() };
    listening(patience, |at, link, _| {
        let client = Client::come_in(&at.to_string(), link);
        let path = large(&client);
        let slow = Trickling::begin(patience.connections, &client, &path);
        // All places are taken; there is one again only where a slow reader was let go.
        let answer = client.ask("GET /words HTTP/1.1\r\naccept: text/html", "");
        assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
        drop(slow);
    });
}

#[test]
fn a_hundred_slow_readers_keep_nobody_from_being_answered() {
    listening(Patience::default(), |at, link, _| {
        let client = Client::come_in(&at.to_string(), link);
        let path = large(&client);
        let slow = Trickling::begin(100, &client, &path);
        for page in ["/", "/words", "/pieces/2031.1", "/examine"] {
            let answer = client.ask(&format!("GET {page} HTTP/1.1\r\naccept: text/html"), "");
            assert!(answer.starts_with("HTTP/1.1 200"), "{page}: {answer}");
        }
        let whole = client.ask(&format!("GET {path} HTTP/1.1"), "");
        assert!(whole.len() > 10_000_000, "and a quick reader has the same file whole: {} bytes", whole.len());
        drop(slow);
    });
}

#[test]
fn a_body_that_stands_still_or_comes_in_drops_is_given_up_and_leaves_nothing() {
    let (short, long) = (Duration::from_millis(600), Duration::from_secs(30));
    let still = Patience { sending: short, ..Patience::default() };
    let drops = Patience { sending: long, answer: short, upload: short, ..Patience::default() };
    let upload = "POST /pieces/2031.1/photographs?name=front.jpg HTTP/1.1\r\ncontent-type: application/octet-stream";
    let form = "POST /name HTTP/1.1\r\ncontent-type: application/x-www-form-urlencoded";
    let script = "POST /pieces/2031.1/correct HTTP/1.1\r\ncontent-type: application/json";
    for (what, patience, every, head) in [
        ("an upload that stands still", still, None, upload),
        ("a form that stands still", still, None, form),
        ("a script's body that stands still", still, None, script),
        ("an upload in drops, each in time", still, Some(Duration::from_millis(40)), upload),
        ("an upload in drops, without an end", drops, Some(Duration::from_millis(40)), upload),
        ("a form in drops", drops, Some(Duration::from_millis(40)), form),
        ("a script's body in drops", drops, Some(Duration::from_millis(40)), script),
    ] {
        listening(patience, |at, link, desk| {
            let client = Client::come_in(&at.to_string(), link);
            let before = desk.catalogue.revision().expect("read");
            let mut stream = client.begun(head, 1_000_000).expect("begun");
            stream.write_all(b"\xff\xd8\xff\xe0 the beginning").expect("sent");
            let mut sending = stream.try_clone().expect("cloned");
            let sent = std::thread::spawn(move || {
                while let Some(wait) = every {
                    std::thread::sleep(wait);
                    if sending.write_all(b"x").is_err() {
                        break;
                    }
                }
            });
            let mut status = String::new();
            BufReader::new(&stream).read_line(&mut status).unwrap_or_else(|e| panic!("{what}: {e}"));
            // A body that breaks in the middle may be told as one that cannot be read.
            assert!(["408", "400"].iter().any(|code| status.contains(code)), "{what}: {status:?}");
            drop(stream);
            sent.join().expect("it ends");
            assert_eq!(desk.catalogue.revision().expect("read"), before, "{what}");
            assert_eq!(crate::drawing::left_in(desk.folder()), Vec::<std::path::PathBuf>::new(), "{what}");
        });
    }
}

#[test]
fn a_client_that_falls_silent_in_the_middle_of_an_upload_leaves_nothing() {
    listening(Patience::default(), |at, link, desk| {
        let client = Client::come_in(&at.to_string(), link);
        let head = "POST /pieces/2031.1/photographs?name=front.jpg HTTP/1.1\r\ncontent-type: application/octet-stream";
        for half_open in [true, false] {
            let mut stream = client.begun(head, 1_000_000).expect("begun");
            stream.write_all(&vec![0xff; 100_000]).expect("sent");
            if half_open {
                // It sends no more, and would still read.
                stream.shutdown(std::net::Shutdown::Write).expect("half closed");
                assert!(is_let_go(&stream), "half a connection is no upload");
            }
            drop(stream);
        }
        let answer = client.ask("GET /words HTTP/1.1\r\naccept: text/html", "");
        assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
        let left = || crate::drawing::left_in(desk.folder());
        let begun = std::time::Instant::now();
        while !left().is_empty() && begun.elapsed() < Duration::from_secs(30) {
            std::thread::sleep(Duration::from_millis(20));
        }
        assert_eq!(left(), Vec::<std::path::PathBuf>::new(), "nothing is left of it");
    });
}

#[test]
#[cfg(unix)]
fn the_program_prints_its_link_and_ends_cleanly_when_it_is_asked_to() {
    let room = Room::with(&[SPENCER]);
    let mut serving = Serving::start(&room.collection());
    let (host, path) = serving.host_and_path();
    let mut stream = connected(host.parse().unwrap());
    stream.write_all(format!("GET {path} HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes()).unwrap();
    let mut status = String::new();
    BufReader::new(&stream).read_line(&mut status).unwrap();
    assert_eq!(status, "HTTP/1.1 303 See Other\r\n", "the link opens");
    let ended = std::process::Command::new("kill").args(["-TERM", &serving.id().to_string()]).status().unwrap();
    assert!(ended.success());
    assert_eq!(serving.ended().code(), Some(0), "SIGTERM ends it cleanly");
}

#[test]
fn other_desks_need_accounts() {
    let room = Room::with(&[SPENCER]);
    for beyond in [vec!["serve", "--listen", "0.0.0.0:0"], vec!["serve", "--address", "https://store.example"]] {
        let refusal = room.run(&beyond).refused();
        assert!(refusal.contains("dimity accounts --add NAME"), "{refusal}");
    }
    let refusal = room.run(&["serve", "--address", "store.example/path"]).refused();
    assert!(refusal.contains("https://store.example"), "{refusal}");
}
