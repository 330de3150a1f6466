//! Searches of a large catalogue, beside the same questions put to the `sqlite3` program on the same file.
//!
//! `cargo bench --bench finding` makes a catalogue of 100,000 pieces and 2.5 million observations once, in
//! `target/large-catalogue` (`DIMITY_PIECES` sets another number), asks each search several times, and prints the median
//! beside that of `sqlite3 catalogue.sqlite SQL`, with the ratio. What was found before is forgotten each time, as a command does
//! that asks once. Words are looked for by both in the word index; for the rest `sqlite3` asks the tables of the records.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use dimity::catalogue::{Ask, Catalogue, Clock, FILE, Order, Recall};
use rusqlite::Connection;

const ROUNDS: usize = 9;

fn clock() -> Clock {
    Clock::Fixed(jiff::Timestamp::UNIX_EPOCH)
}

fn pieces() -> usize {
    std::env::var("DIMITY_PIECES").ok().and_then(|n| n.parse().ok()).unwrap_or(100_000)
}

/// Twenty-five observations a piece, written straight into the tables: through sheets it would take an hour.
const MAKE: &str = "
CREATE TEMP TABLE n AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < :pieces) SELECT i FROM n;
CREATE TEMP TABLE garments AS SELECT row_number() OVER (ORDER BY id) - 1 AS k, id FROM term WHERE scheme = 'garment';
CREATE TEMP TABLE fibres AS SELECT row_number() OVER (ORDER BY id) - 1 AS k, id FROM term WHERE scheme = 'fibre';
CREATE TEMP TABLE damages AS SELECT row_number() OVER (ORDER BY id) - 1 AS k, id FROM term WHERE scheme = 'damage';
CREATE TEMP TABLE stitches AS SELECT row_number() OVER (ORDER BY id) - 1 AS k, id FROM term WHERE scheme = 'stitch';
CREATE TEMP TABLE purposes AS SELECT row_number() OVER (ORDER BY id) - 1 AS k, id FROM term WHERE scheme = 'purpose';
CREATE TEMP TABLE dimensions AS SELECT row_number() OVER (ORDER BY id) - 1 AS k, id FROM term WHERE scheme = 'dimension';
CREATE TEMP TABLE weaves AS SELECT row_number() OVER (ORDER BY id) - 1 AS k, id FROM term WHERE scheme = 'weave';
INSERT INTO person (uid, name) VALUES ('00000000-0000-7000-8000-000000000001', 'Wren Askerdale');
INSERT INTO piece (id, uid, number, number_order, nature, object_name, garment, date, date_earliest, date_latest, description)
  SELECT i, printf('1%07d-0000-7000-8000-000000000000', i), printf('%d.%d', 1900 + i / 1000, i % 1000),
         printf('%05d.%05d', 1900 + i / 1000, i % 1000),
         CASE WHEN i % 11 = 0 THEN 'nature/reconstruction' ELSE 'nature/extant' END, substr(g.id, 9),
         CASE WHEN i % 13 = 0 THEN NULL ELSE g.id END,
         CASE WHEN i % 17 = 0 THEN NULL ELSE printf('c. %d', 1700 + i * 7 % 200) END,
         CASE WHEN i % 17 = 0 THEN NULL ELSE 1695 + i * 7 % 200 END, CASE WHEN i % 17 = 0 THEN NULL ELSE 1705 + i * 7 % 200 END,
         printf('A %s of the invented store, no. %d, lined and bound by hand; the %s edge is worn.', substr(g.id, 9), i,
                CASE i % 3 WHEN 0 THEN 'front' WHEN 1 THEN 'hem' ELSE 'cuff' END)
    FROM n JOIN garments g ON g.k = (i * 31) % (SELECT count(*) FROM garments);
INSERT INTO move (uid, piece_id, position, \"to\")
  SELECT printf('2%07d-0000-7000-8000-000000000000', i), i, 1, printf('bay %d, shelf %d', i % 9, i % 40) FROM n WHERE i % 7;
INSERT INTO examination (id, uid, piece_id, date, examiner_id)
  SELECT i, printf('3%07d-0000-7000-8000-000000000000', i), i, printf('20%02d-%02d-%02d', 10 + i % 20, 1 + i % 12, 1 + i % 28), 1 FROM n;
CREATE TEMP TABLE o AS WITH RECURSIVE k(k) AS (SELECT 0 UNION ALL SELECT k + 1 FROM k WHERE k < 24)
  SELECT i * 25 + k AS id, i, k,
         CASE WHEN k < 2 THEN 'textile' WHEN k < 12 THEN 'measurement' WHEN k < 20 THEN 'stitching' WHEN k < 24 THEN 'condition' ELSE 'overall' END AS kind
    FROM n, k;
INSERT INTO observation (id, uid, examination_id, kind, position, evidence, certainty)
  SELECT id, printf('%08x-0000-7000-8000-000000000000', id), i, kind, k, 'evidence/seen', 'certainty/certain' FROM o;
INSERT INTO textile (id, role, structure, colour, ends_per_cm, ends_u)
  SELECT o.id, CASE o.k WHEN 0 THEN 'textile_role/shell' ELSE 'textile_role/lining' END, w.id,
         CASE i % 5 WHEN 0 THEN 'pale blue' WHEN 1 THEN 'green' WHEN 2 THEN 'ivory' END, 10 + i % 40, 0.4
    FROM o JOIN weaves w ON w.k = (i + o.k) % (SELECT count(*) FROM weaves) WHERE kind = 'textile';
INSERT INTO textile_fibres (owner_id, position, fibre)
  SELECT o.id, 1, CASE WHEN i % 3 = 0 THEN 'fibre/silk' ELSE f.id END
    FROM o JOIN fibres f ON f.k = (i * 3 + o.k) % (SELECT count(*) FROM fibres) WHERE kind = 'textile' AND i % 19;
INSERT INTO reading (owner_id, field, position, as_written, value, u, unit)
  SELECT id, 'ends', 1, printf('%d per cm', 10 + i % 40), 10 + i % 40, 0.4, 'per cm' FROM o WHERE kind = 'textile';
INSERT INTO measurement (id, dimension, mm, u_mm)
  SELECT o.id, d.id, 300 + (i * 13 + o.k) % 700, 0.3 FROM o JOIN dimensions d ON d.k = (i + o.k * 5) % (SELECT count(*) FROM dimensions)
   WHERE kind = 'measurement';
INSERT INTO reading (owner_id, field, position, as_written, value, u, unit)
  SELECT id, 'readings', 1, printf('%d mm', 300 + (i * 13 + k) % 700), 300 + (i * 13 + k) % 700, 0.3, 'mm' FROM o WHERE kind = 'measurement';
INSERT INTO stitching (id, purpose, stitch, made, per_cm, u_per_cm)
  SELECT o.id, p.id, s.id, 'hand', 2 + (i + o.k) % 5, 0.16
    FROM o JOIN purposes p ON p.k = (i + o.k * 3) % (SELECT count(*) FROM purposes)
    JOIN stitches s ON s.k = (i * 5 + o.k) % (SELECT count(*) FROM stitches) WHERE kind = 'stitching';
INSERT INTO reading (owner_id, field, position, as_written, value, u, unit)
  SELECT id, 'density', 1, printf('%d per cm', 2 + (i + k) % 5), 2 + (i + k) % 5, 0.16, 'per cm' FROM o WHERE kind = 'stitching';
INSERT INTO condition (id, damage, activity, severity)
  SELECT o.id, d.id, CASE (i + o.k) % 4 WHEN 0 THEN 'activity/active' WHEN 1 THEN 'activity/inactive' END, 'severity/slight'
    FROM o JOIN damages d ON d.k = (i * 7 + o.k) % (SELECT count(*) FROM damages) WHERE kind = 'condition';
INSERT INTO overall (id, grade, stability)
  SELECT id, CASE i % 3 WHEN 0 THEN 'grade/good' WHEN 1 THEN 'grade/fair' ELSE 'grade/poor' END,
         CASE i % 2 WHEN 0 THEN 'stability/stable' ELSE 'stability/at risk' END FROM o WHERE kind = 'overall';
";

/// The large catalogue; made where it is not there yet.
fn large() -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| PathBuf::from("target"), PathBuf::from);
    let folder = target.join(format!("large-catalogue-{}", pieces()));
    if folder.join("whole").exists() {
        return folder;
    }
    let _ = std::fs::remove_dir_all(&folder);
    let started = Instant::now();
    drop(Catalogue::create(&folder, clock()).expect("a new catalogue"));
    let db = Connection::open(folder.join(FILE)).expect("opened");
    db.execute_batch("PRAGMA synchronous = OFF; PRAGMA temp_store = MEMORY; BEGIN").expect("begun");
    db.execute_batch(&MAKE.replace(":pieces", &pieces().to_string())).expect("filled");
    db.execute_batch("COMMIT").expect("written");
    drop(db);
    let filled = started.elapsed();
    Catalogue::open(&folder, clock()).expect("opened").make_index().expect("indexed");
    let whole = Connection::open(folder.join(FILE)).expect("opened");
    whole.execute_batch("PRAGMA wal_checkpoint(TRUNCATE); ANALYZE").expect("settled");
    std::fs::write(folder.join("whole"), "").expect("marked");
    println!(
        "made {} pieces in {:.0?}, of that the index {:.0?}",
        pieces(),
        started.elapsed(),
        started.elapsed().saturating_sub(filled)
    );
    folder
}

fn median(mut times: Vec<Duration>) -> f64 {
    times.sort_unstable();
    times[times.len() / 2].as_secs_f64() * 1e3
}

fn timed(mut work: impl FnMut()) -> f64 {
    work();
    median(
        (0..ROUNDS)
            .map(|_| {
                let start = Instant::now();
                work();
                start.elapsed()
            })
            .collect(),
    )
}

/// The time that the program itself says it took, in milliseconds: starting it does not count.
fn sqlite3(folder: &Path, sql: &str) -> Option<f64> {
    let ask = || {
        // The timer is told of what comes by standard input only.
        let mut child =
            Command::new("sqlite3").arg(folder.join(FILE)).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().ok()?;
        writeln!(child.stdin.take()?, ".timer on\n{sql}").ok()?;
        let out = child.wait_with_output().ok()?;
        let text = String::from_utf8_lossy(&out.stdout).into_owned();
        let times = text.lines().filter(|l| l.starts_with("Run Time:"));
        let seconds: Option<Vec<f64>> = times.map(|l| l.split_whitespace().nth(3)?.parse().ok()).collect();
        Some(Duration::from_secs_f64(seconds?.iter().sum()))
    };
    ask()?;
    Some(median((0..ROUNDS).filter_map(|_| ask()).collect()))
}

/// A search, the same question in SQL over the same tables, and the order of the answer: so many pieces are of the invented
/// store that they come by number.
const SEARCHES: &[(&str, &str, &str)] = &[
    ("spencer", "words MATCH 'spencer*'", "rank"),
    ("petticoat cuff", "words MATCH 'petticoat* cuff*'", "rank"),
    ("worn", "words MATCH 'worn*'", "p.number_order"),
    ("\"lined and bound\" hem", "words MATCH '\"lined and bound\" hem*'", "p.number_order"),
];

fn main() {
    let folder = large();
    let size = std::fs::metadata(folder.join(FILE)).map_or(0, |m| m.len()) / 1_000_000;
    println!("{} pieces, {} observations, {size} MB; median of {ROUNDS}, in ms", pieces(), pieces() * 25);
    println!("{:52} {:>9} {:>9} {:>7}", "", "dimity", "sqlite3", "ratio");
    let report = |what: &str, ours: f64, theirs: Option<f64>| {
        let ratio = theirs.map_or_else(|| "-".into(), |t| format!("{:.2}", ours / t));
        let theirs = theirs.map_or_else(|| "-".into(), |t| format!("{t:.1}"));
        println!("{what:52} {ours:9.1} {theirs:>9} {ratio:>7}");
    };
    let open = || Catalogue::open(&folder, clock()).expect("opens");
    report("open", timed(|| drop(open())), None);
    let mut kept = Some(open());
    // What was found before is forgotten each time: a command asks once.
    let mut fresh = |ask: &dyn Fn(&Catalogue)| {
        timed(|| {
            let catalogue = kept.take().map_or_else(open, |catalogue| catalogue.sharing(&Recall::default()));
            ask(&catalogue);
            kept = Some(catalogue);
        })
    };
    let page = Ask { order: Order::Match, most: Some(50), ..Ask::default() };
    for (text, sql, by) in SEARCHES {
        let ours = fresh(&|catalogue| {
            catalogue.find(&catalogue.query(text).expect("read"), &page).expect("found");
        });
        let theirs = format!(
            "SELECT count(*) FROM words WHERE {sql};
             SELECT p.number FROM words JOIN piece p ON p.id = words.rowid WHERE {sql} ORDER BY {by} LIMIT 50;"
        );
        let order = if *by == "rank" { "best fifty" } else { "first fifty" };
        report(&format!("{text}, {order} and how many"), ours, sqlite3(&folder, &theirs));
    }
    let by_number = Ask { order: Order::Number, most: Some(50), ..Ask::default() };
    let kinds = open().vocabulary().with_narrower(&dimity::vocabulary::TermId::parse("fibre/silk").expect("a term"));
    let list = kinds.iter().map(|t| format!("'{}'", t.as_str().replace('\'', "''"))).collect::<Vec<_>>().join(", ");
    // The same asked of the tables of the records, as somebody would who has nothing but the file.
    let observed = |table: &str, owner: &str, holds: &str| {
        format!(
            "p.id IN (SELECT e.piece_id FROM {table} t JOIN observation o ON o.id = t.{owner}
                        JOIN examination e ON e.id = o.examination_id WHERE t.{holds})"
        )
    };
    let silk = observed("textile_fibres", "owner_id", &format!("fibre IN ({list})"));
    let years = "(date_latest >= 1800 AND date_earliest <= 1820)".to_owned();
    let sett = "p.id IN (SELECT piece_id FROM found_figure WHERE word_id = (SELECT id FROM found_word WHERE word = 'sett') AND high > 30)";
    for (text, sql) in [
        ("number:1950.50", "number = '1950.50'".to_owned()),
        ("fibre:silk", silk.clone()),
        ("fibre:silk date:1800..1820", format!("{silk} AND {years}")),
        ("sett:>30 or grade:poor", format!("({sett} OR {})", observed("overall", "id", "grade = 'grade/poor'"))),
        (
            "condition:active date:1800..1820 not sett:>30",
            format!("{} AND {years} AND NOT {sett}", observed("condition", "id", "activity = 'activity/active'")),
        ),
    ] {
        let ours = fresh(&|catalogue| {
            catalogue.find(&catalogue.query(text).expect("read"), &by_number).expect("found");
        });
        let first = format!(
            "SELECT count(*), (SELECT group_concat(number) FROM (SELECT number FROM piece p WHERE {sql} ORDER BY number_order LIMIT 50)) FROM piece p WHERE {sql};"
        );
        report(&format!("{text}, first fifty and how many"), ours, sqlite3(&folder, &first));
    }
    for (text, sql) in [
        ("", "1".to_owned()),
        ("fibre:silk", silk),
        (
            "worn garment:bodice",
            "p.id IN (SELECT rowid FROM words WHERE words MATCH 'worn*') AND p.garment = 'garment/bodice'".to_owned(),
        ),
    ] {
        let ours = fresh(&|catalogue| {
            catalogue.facets(&catalogue.query(text).expect("read")).expect("counted");
        });
        let group = |by: &str, from: &str| {
            format!(
                "SELECT {by}, count(*) FROM found_piece f JOIN piece p ON p.id = f.piece_id {from} WHERE {sql} GROUP BY 1"
            )
        };
        let all = [
            group("f.nature", ""),
            group("f.garment", ""),
            group("j.value", ", json_each(f.fibres) j"),
            group("f.date_earliest / 10", ""),
            group("f.grade", ""),
            group("f.location", ""),
        ];
        let sql = format!("SELECT count(*) FROM ({});", all.join(" UNION ALL "));
        report(&format!("counts of `{text}`"), ours, sqlite3(&folder, &sql));
    }
}
