//! How long the workbench takes to answer twenty who ask at once, on ten thousand pieces; figures only, nothing is held to them.
//!
//! `cargo bench --bench workbench -- --pieces 10000 --clients 20`; `--catalogue DIR` takes one that is there, `--only "piece"`
//! asks one kind of question, `--pause 1000` has each client wait a second after an answer, as a person does who reads it.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use dimity::catalogue::{Catalogue, Clock, Intent};
use dimity::exchange::entry;
use dimity::workbench::{self, Entrance, Opening, Patience, Secret};

fn clock() -> Clock {
    Clock::Fixed(jiff::Timestamp::UNIX_EPOCH)
}

/// A sheet with some twenty-five observations.
fn sheet(number: &str, i: usize) -> String {
    use std::fmt::Write as _;
    let fibre = ["silk", "linen", "cotton", "wool"][i % 4];
    let garment = ["spencer", "stays", "gown", "petticoat"][i / 4 % 4];
    let mut text = format!(
        "[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"{garment}\"\ngarment = \"{garment}\"\n\
         date = \"c. {}\"\ndescription = \"A {garment} of {fibre}, no. {i} of the invented store.\"\n\
         [[component]]\nname = \"left front\"\n[[component]]\nname = \"right front\"\n\
         [[move]]\nto = \"bay {}, shelf {}\"\n[examination]\ndate = 2031-03-02\nexaminer = \"Wren Askerdale\"\n\
         [[textile]]\nrole = \"shell\"\nfibres = [\"{fibre}\"]\nends = [\"48 in 1 in\", \"50 in 1 in\"]\n\
         [[overall]]\ngrade = \"{}\"\n",
        1700 + i % 200,
        i % 9,
        i % 40,
        ["good", "fair"][i % 2],
    );
    for (n, dimension) in ["waist girth", "chest girth", "centre back length"].iter().cycle().take(11).enumerate() {
        let component = ["left front", "right front"][n % 2];
        let _ = write!(
            text,
            "[[measurement]]\ncomponent = \"{component}\"\ndimension = \"{dimension}\"\nreadings = [\"{}.{n} cm\"]\n",
            40 + i % 40
        );
    }
    for n in 0..12 {
        let _ = write!(
            text,
            "[[condition]]\ndamage = \"{}\"\ncomponent = \"left front\"\nplace = \"{n} cm below the seam\"\nextent = \"{} mm\"\n",
            ["tear", "hole", "stain"][n % 3],
            5 + (i + n) % 90
        );
    }
    text
}

fn build(folder: &Path, pieces: usize) {
    let mut catalogue = Catalogue::create(folder, clock()).expect("a new catalogue");
    for i in 0..pieces {
        let intent = Intent { author: "Wren Askerdale".into(), ..Intent::default() };
        let number = format!("{}.{}", 1900 + i / 100, i % 100);
        entry::enter(&mut catalogue, sheet(&number, i).as_bytes(), |_| intent).expect("the sheet is sound");
        if i % 1000 == 999 {
            eprintln!("{} pieces", i + 1);
        }
    }
}

/// One browser that keeps its connection.
struct Client {
    stream: TcpStream,
    at: SocketAddr,
    cookie: String,
}

impl Client {
    fn come_in(at: SocketAddr, key: &str) -> Self {
        let stream = TcpStream::connect(at).expect("it listens");
        stream.set_nodelay(true).expect("a socket");
        let mut client = Self { stream, at, cookie: String::new() };
        let (head, _) = client.get(&format!("/enter?key={key}"));
        let set = head.lines().find_map(|line| line.strip_prefix("set-cookie: ")).expect("a cookie");
        set.split(';').next().unwrap_or_default().clone_into(&mut client.cookie);
        client
    }

    /// Head and body of the answer.
    fn get(&mut self, path: &str) -> (String, Vec<u8>) {
        let request =
            format!("GET {path} HTTP/1.1\r\nHost: {}\r\nAccept: text/html\r\nCookie: {}\r\n\r\n", self.at, self.cookie);
        self.stream.write_all(request.as_bytes()).expect("sent");
        let (mut got, mut buffer) = (Vec::new(), vec![0; 65536]);
        loop {
            let n = self.stream.read(&mut buffer).expect("an answer");
            assert!(n > 0, "the server let go in the middle of {path}");
            got.extend_from_slice(&buffer[..n]);
            let Some(end) = got.windows(4).position(|w| w == b"\r\n\r\n") else { continue };
            let head = String::from_utf8_lossy(&got[..end]).into_owned();
            let length =
                head.lines().find_map(|l| l.strip_prefix("content-length: ")).map_or(0, |l| l.parse().unwrap_or(0));
            if got.len() >= end + 4 + length {
                return (head, got[end + 4..].to_vec());
            }
        }
    }
}

fn argument<T: std::str::FromStr>(name: &str) -> Option<T> {
    let mut arguments = std::env::args().skip_while(|a| a != name);
    arguments.nth(1)?.parse().ok()
}

fn main() {
    let (pieces, clients) = (argument("--pieces").unwrap_or(10_000), argument("--clients").unwrap_or(20));
    let seconds: u64 = argument("--seconds").unwrap_or(5);
    let kept: Option<PathBuf> = argument("--catalogue");
    let folder = tempfile::tempdir().expect("a temporary folder");
    let place = kept.unwrap_or_else(|| folder.path().join("catalogue"));
    if !place.is_dir() {
        build(&place, pieces);
    }
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().expect("a runtime");
    let listener = runtime.block_on(tokio::net::TcpListener::bind("127.0.0.1:0")).expect("a port");
    let listen = listener.local_addr().expect("an address");
    let key = Secret::fresh().expect("random bits");
    let link = key.as_str().to_owned();
    let entrance = Entrance::Link { key, by: None };
    let patience = Patience::default();
    let opening = Opening { folder: place, clock: clock(), listen, address: None, entrance, backup: None, patience };
    let desk = Arc::new(workbench::Desk::open(opening).expect("it opens"));
    runtime.spawn(workbench::serve_until(listener, desk, std::future::pending()));
    let first = Instant::now();
    Client::come_in(listen, &link).get("/");
    println!("first page after opening: {:.1} ms", first.elapsed().as_secs_f64() * 1000.0);
    // Different questions, so that no answer is the one before.
    let asked: [(&str, fn(usize) -> String); 5] = [
        ("collection", |_| "/".into()),
        ("a leaf further on", |i| format!("/collection/leaf?page={}", 1 + i % 160)),
        // The beginning of a number that one to a hundred descriptions hold.
        ("two words", |i| {
            format!("/collection/part?words={}+{}", ["silk", "linen", "wool", "gown", "stays"][i % 5], i * 7 % 10_000)
        }),
        ("two filters and years", |i| {
            format!(
                "/collection/part?fibre=fibre:{}&location=location:%22bay+{}%22&dated={}-{}",
                ["silk", "linen", "wool", "cotton"][i % 4],
                i % 9,
                1700 + i % 97,
                1800 + i % 89
            )
        }),
        ("piece", |i| format!("/pieces/{}.{}", 1900 + i / 100 % 100, i % 100)),
    ];
    println!("{:22} {:>8} {:>9} {:>9} {:>9} {:>9}", "", "answers", "a second", "p50 ms", "p99 ms", "worst ms");
    let (only, pause) = (argument::<String>("--only"), Duration::from_millis(argument("--pause").unwrap_or(0)));
    for (name, path) in asked.into_iter().filter(|(name, _)| only.as_ref().is_none_or(|only| only == name)) {
        let until = Instant::now() + Duration::from_secs(seconds);
        let threads: Vec<_> = (0..clients)
            .map(|c: usize| {
                let link = link.clone();
                std::thread::spawn(move || {
                    let mut client = Client::come_in(listen, &link);
                    let (mut times, mut i) = (Vec::new(), c * 977);
                    while Instant::now() < until {
                        let begun = Instant::now();
                        let (head, _) = client.get(&path(i));
                        times.push(begun.elapsed());
                        assert!(head.starts_with("HTTP/1.1 200"), "{head}");
                        i += 1;
                        std::thread::sleep(pause);
                    }
                    times
                })
            })
            .collect();
        let mut times: Vec<Duration> = threads.into_iter().flat_map(|t| t.join().expect("a client")).collect();
        times.sort();
        let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize].as_secs_f64() * 1000.0;
        let rate = times.len() as f64 / seconds as f64;
        println!("{name:22} {:>8} {rate:>9.0} {:>9.1} {:>9.1} {:>9.1}", times.len(), at(0.5), at(0.99), at(1.0));
    }
}
