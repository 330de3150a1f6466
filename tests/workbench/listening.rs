//! The server on a real port: slow and half-open clients, many connections, an orderly end.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::Arc;
use std::time::Duration;

use dimity::workbench::{self, Entrance, Opening, Patience, Secret};

use crate::support::{Desk, Room, SPENCER, Serving, clock};

/// A server with this patience while `work` runs.
fn listening(patience: Patience, work: impl FnOnce(SocketAddr)) {
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
    let listener = runtime.block_on(tokio::net::TcpListener::bind("127.0.0.1:0")).unwrap();
    let listen = listener.local_addr().unwrap();
    let entrance = Entrance::Link { key: Secret::fresh().unwrap(), by: None };
    let opening =
        Opening { folder: desk.folder().to_owned(), clock: clock(), listen, address: None, entrance, backup: None };
    let opened = Arc::new(workbench::Desk::open(opening).unwrap());
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let serving = runtime.spawn(workbench::serve_until(listener, opened, patience, async {
        let _ = stopped.await;
    }));
    work(listen);
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
    listening(patience, |at| {
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
    listening(patience, |at| {
        let idle = [connected(at), connected(at)];
        let mut third = connected(at);
        third.write_all(format!("GET / HTTP/1.1\r\nHost: {at}\r\nConnection: close\r\n\r\n").as_bytes()).unwrap();
        let mut answer = String::new();
        third.read_to_string(&mut answer).unwrap();
        assert!(answer.starts_with("HTTP/1.1 401"), "answered when the idle ones were let go: {answer}");
        drop(idle);
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
