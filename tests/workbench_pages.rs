//! The pages of the workbench in a real browser: valid, accessible, in both schemes and at three widths, within their own
//! policy; and one correction made by keyboard alone. Pictures are left in `target/pages/workbench`.

#[allow(dead_code, reason = "the printed pages use the rest")]
#[path = "pages/fault.rs"]
mod fault;
mod support;
#[allow(dead_code, reason = "the printed pages use the rest")]
#[path = "pages/tools.rs"]
mod tools;

use std::path::Path;

use dimity::draft::{Draft, Drafts};
use dimity::record::account::{Account, Role};
use support::{AFTER, AGAIN, AUTHOR, Desk, PLAIN, Room, SPENCER, Serving, machine};
use tools::Tools;

/// The pages, by the names of their pictures.
const PAGES: [(&str, &str); 54] = [
    ("collection", "/"),
    ("collection-sifted", "/?words=spencer&dated=rhubarb"),
    ("piece", "/pieces/2031.1"),
    ("journal", "/pieces/2031.1/journal"),
    ("reports", "/pieces/2031.1/reports"),
    ("preview", "/pieces/2031.1/reports/condition?set=summary"),
    ("examine", "/pieces/2031.1/examine"),
    ("due", "/due"),
    ("kept", "/searches?query=fibre%3Asilk"),
    ("withdrawn", "/withdrawn"),
    ("import", "/import"),
    ("sheets", "/sheets?number=2031.1"),
    ("import-catalogue", "/import/catalogue"),
    ("import-list", "/import/LIST"),
    ("import-rows", "/import/LIST/rows"),
    ("import-to-do", "/import/LIST/to-do"),
    ("import-photographs", "/import/photographs"),
    ("reckon", "/reckon?length=27+1%2F2+in%0A12+parsnips"),
    ("safekeeping", "/safekeeping"),
    ("check", "/safekeeping/check"),
    ("backup", "/safekeeping/backup"),
    ("restore", "/safekeeping/restore"),
    ("exports", "/safekeeping/export"),
    ("export-site", "/safekeeping/export/site"),
    ("export-csv", "/safekeeping/export/csv"),
    ("export-lying", "/safekeeping/exports/site"),
    ("journal-of-all", "/journal"),
    ("seals", "/seals?code=none"),
    ("sealed", "/sealed/CODE"),
    ("accounts", "/accounts"),
    ("departures", "/departures"),
    ("among", "/comparison/among?set=nature:extant&piece=2031.2"),
    ("as-of", "/pieces/2031.1/as-of?day=2031-12-31"),
    ("purge", "/pieces/2031.1/purge"),
    ("effort", "/pieces/2031.1/reports/effort"),
    ("own-words", "/words/grade/own"),
    ("comparison", "/comparison"),
    ("words", "/words?seek=tear"),
    ("word-list", "/words/hazard"),
    ("searching", "/words/searching"),
    ("conventions", "/conventions"),
    ("name", "/name"),
    ("wrong", "/pieces/no-such-piece"),
    ("photograph", "PHOTOGRAPH"),
    ("photographs", "/pieces/2031.1/photographs"),
    ("photographs-ticked", "/pieces/2031.1/photographs?photo=SHA256"),
    ("photographs-missing", "/photographs/missing"),
    ("photographs-file", "/photographs/file"),
    ("photograph-said", "PHOTOGRAPH/correct"),
    ("sharpness", "PHOTOGRAPH?sharpness=yes"),
    ("target", "PHOTOGRAPH/target"),
    ("area-colour", "PHOTOGRAPH/colour?area=1,1,9,9"),
    ("threads", "PHOTOGRAPH/threads?square=1,1,29&scale=20+px/mm"),
    ("pattern-sizes", "PHOTOGRAPH/pattern?ratio=1:8&allowance=wide"),
];

/// A sheet with a mistake in most of its lines.
const MISTAKEN: &str = "[piece]\nnumber = \"2031.9\"\nnature = \"old\"\nobject_name = 7\n[examination]\ndate = \"2031-13-02\"\n\
    [[measurement]]\ndimension = \"bust grith\"\nreadings = [\"27 parsnips\"]\n[[condition]]\ndamage = \"\"\n";
/// Of an account at the desk that asks for one.
const PASSWORD: &str = "tape, needle, lamp, box";

/// States that one comes to by what one does on a page: summaries opened, fields filled, files chosen, a button pressed; and
/// what the page then shows.
fn states(other_desk: &str) -> Vec<serde_json::Value> {
    let sign_in = format!("{other_desk}/sign-in");
    let state = |name: &str, path: &str, does: &[[&str; 3]], shows: &str| serde_json::json!({ "name": name, "path": path, "does": does, "shows": shows });
    vec![
        state("sign-in", &sign_in, &[], "Password"),
        state(
            "sign-in-wrong",
            &sign_in,
            &[["fill", "Name", "Tamsin Orrel"], ["fill", "Password", "not this one"], ["press", "Sign in", ""]],
            "Password",
        ),
        state("work", "/safekeeping/check", &[["press", "Check", ""]], "begun"),
        state(
            "check-amiss",
            "/safekeeping/check",
            &[
                ["open", "Only a part of it", ""],
                ["fill", "Only a share of the photographs", "banana"],
                ["press", "Check", ""],
            ],
            "written as a percentage",
        ),
        state(
            "sheets-amiss",
            "/sheets",
            &[["choose", "The sheets: choose them", MISTAKEN], ["press", "Look at these sheets", ""]],
            "parsnips",
        ),
        state("name-amiss", "/name", &[["fill", "Name", "  "], ["press", "Write under this name", ""]], "name"),
        state(
            "collection-amiss",
            "/conventions",
            &[
                ["open", "Describe it otherwise", ""],
                ["fill", "Where the collection is kept", "somewhere"],
                ["press", "Describe it so", ""],
            ],
            "somewhere",
        ),
        state(
            "term-amiss",
            "/words/fibre/own",
            &[
                ["open", "Add a term", ""],
                ["fill", "The term", "silk"],
                ["fill", "What it means", "the thread of a moth"],
                ["fill", "Where that is written", "a label"],
                ["press", "Add the term", ""],
            ],
            "is in the list",
        ),
        state(
            "account-amiss",
            "/accounts",
            &[
                ["fill", "Name", "Tamsin Orrel"],
                ["fill", "Password", "another one entirely"],
                ["fill", "The same again", "and yet another one"],
                ["press", "Add the account", ""],
            ],
            "same",
        ),
        state(
            "copy-altered",
            "/seals",
            &[["choose", "The page as a file", "<p>altered</p>"], ["press", "Hold it against the seals", ""]],
            "seal",
        ),
    ]
}

/// An old list with all its mess, brought and not entered yet; gives its SHA-256.
fn old_list(catalogue: &dimity::catalogue::Catalogue) -> String {
    use dimity::draft::{KeptList, Lists};
    let bytes =
        std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/import/chest.csv")).expect("the list");
    let proposed =
        dimity::exchange::old_list::proposed(catalogue, &bytes, &dimity::exchange::import::mapping::Layout::default());
    let (_, proposal) = proposed.unwrap_or_else(|why| panic!("the list is read: {why:?}"));
    let sha256 = support::sha256_of(&bytes);
    let lists = Lists::at(catalogue.folder());
    let coming = lists.coming().expect("room for it");
    std::fs::write(coming.path(), &bytes).expect("written");
    let (name, by) = ("chest.csv".to_owned(), AUTHOR.to_owned());
    let began = "2031-05-01T09:30:00Z".to_owned();
    let kept = KeptList { mapping: proposal.text(&name), sha256, name, by, began, ..KeptList::default() };
    lists.keep(coming, kept).expect("kept").sha256
}

/// The program at a catalogue of which every page has something to show, and the pages.
struct House {
    room: Room,
    serving: Serving,
    pages: Vec<serde_json::Value>,
}

impl House {
    fn furnished() -> Self {
        let room = Room::with(&[SPENCER, AGAIN, PLAIN]);
        let picture = room.photograph("front.png", 90);
        room.run(&["photo", "add", "2031.1", &picture, "--view", "front"]).done();
        room.run(&["export", "site", "--all"]).done();
        let catalogue = dimity::catalogue::Catalogue::open(&room.collection(), support::clock()).expect("it opens");
        let sha256 = catalogue.piece("2031.1").expect("the piece").photographs[0].sha256.clone();
        room.run(&["photo", "scale", &sha256, "--between", "0,0", "40,0", "--length", "4 cm"]).done();
        room.run(&["photo", "region", &sha256, "outline 2,2 38,2 38,20 2,20", "--note", "front"]).done();
        room.run(&["report", "condition", "2031.1", "--seal", "--by", AUTHOR]).done();
        let code = catalogue.seals(None).expect("the seals")[0].code.clone();
        let list = old_list(&catalogue);
        let photograph = format!("/pieces/2031.1/photographs/{sha256}");
        let address = |path: &str| {
            path.replace("PHOTOGRAPH", &photograph)
                .replace("SHA256", &sha256)
                .replace("LIST", &list)
                .replace("CODE", &code)
        };
        let page = |(name, path): &(&str, &str)| serde_json::json!({ "name": name, "path": address(path) });
        Self { serving: Serving::start(&room.collection()), pages: PAGES.iter().map(page).collect(), room }
    }
}

#[test]
fn every_page_of_the_workbench_is_sound() {
    let Some(tools) = Tools::there("the pages of the workbench") else { return };
    let House { room, serving, mut pages } = House::furnished();
    // Another desk of the same house, with accounts.
    let elsewhere = Room::new();
    let mut others = dimity::catalogue::Catalogue::open(&elsewhere.collection(), support::clock()).expect("it opens");
    let account = Account { name: "Tamsin Orrel".into(), role: Role::Keep };
    others.add_account(AUTHOR, &account, PASSWORD).expect("an account");
    let other_desk = Serving::for_others(&elsewhere.collection(), &[]);
    let at_it = other_desk.link.trim_end_matches('/').replace("0.0.0.0", "127.0.0.1");
    pages.extend(states(&at_it));
    let saved = tempfile::tempdir().expect("a temporary folder");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/workbench/look.mjs");
    let job = serde_json::json!({ "link": serving.link, "pages": &pages, "saved": saved.path(), "correct": "/pieces/2031.1" });
    let mut faults = tools.script(&script, "workbench", job);
    let files = tools::html_files(saved.path());
    let files: Vec<_> = files.iter().map(|file| tools::Page::of(file, &[])).collect();
    assert_eq!(files.len(), pages.len(), "the browser saw every page");
    faults.extend(tools.checked_by_nu(&files));
    drop((serving, other_desk, room));
    assert!(faults.is_empty(), "{}", fault::told(&faults));
}

#[test]
fn every_moment_is_told_by_the_clock_of_whoever_reads() {
    let Some(tools) = Tools::there("moments told by the clock of whoever reads") else { return };
    let House { room, serving, mut pages } = House::furnished();
    let began = "2031-05-01T23:30:00Z".to_owned();
    let draft = Draft { number: "2031.1".into(), known: true, by: AUTHOR.into(), began, ..Draft::default() };
    let drafts = Drafts::at(&room.collection());
    let sitting = drafts.begin(draft).expect("a sitting");
    pages.push(serde_json::json!({ "name": "sitting", "path": format!("/examine/{}", sitting.id) }));
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/workbench/zone.mjs");
    let faults = tools.script(&script, "zone", serde_json::json!({ "link": serving.link, "pages": pages }));
    drop((serving, room));
    assert!(faults.is_empty(), "{}", fault::told(&faults));
}

/// A picture 1200 by 900 pixels of a plain cloth, with a bar of 1000 px and a dark damage of 200 by 100 px.
fn cloth() -> image::RgbImage {
    image::RgbImage::from_fn(1200, 900, |x, y| {
        let bar = (100..1100).contains(&x) && (800..830).contains(&y);
        let damage = (300..500).contains(&x) && (200..300).contains(&y);
        let thread = ((x / 3 + y / 3) % 2) as u8 * 12;
        image::Rgb(match (bar, damage) {
            (true, _) => [if (x - 100) / 100 % 2 == 0 { 20 } else { 235 }; 3],
            (_, true) => [72, 44, 36],
            _ => [150 + thread, 164 + thread, 140 + thread],
        })
    })
}

#[test]
fn photographs_are_dropped_drawn_on_and_measured() {
    let Some(tools) = Tools::there("drawing on photographs in a browser") else { return };
    let room = Room::with(&[SPENCER, AFTER]);
    for (name, shade) in [("before.png", 90), ("after.png", 130), ("during.png", 110)] {
        room.run(&["photo", "add", "2031.R1", &room.photograph(name, shade)]).done();
    }
    let catalogue = dimity::catalogue::Catalogue::open(&room.collection(), support::clock()).expect("it opens");
    let photographs = catalogue.piece("2031.R1").expect("the piece").photographs;
    let sha = |n: usize| photographs[n].sha256.as_str();
    let marks = ["1,1 = 2,1", "39,1 = 40,1", "39,29 = 40,29", "1,29 = 2,29"].map(|m| ["--mark", m]);
    let arguments = ["photo", "register", sha(0), sha(1)].into_iter().chain(marks.iter().flatten().copied());
    room.run(&arguments.collect::<Vec<_>>()).done();
    let over = |n: usize| format!("/pieces/2031.R1/photographs/{}/over/{}", sha(0), sha(n));
    let whole = room.path().join("front.png");
    cloth().save(&whole).expect("a picture can be saved");
    let bytes = std::fs::read(&whole).expect("the picture");
    let broken = room.write("broken.png", &bytes[..bytes.len() / 2]);
    let serving = Serving::start(&room.collection());
    // 1000 px are 10 cm: 10 px/mm; 200 by 100 px are 20 by 10 mm, 2 cm² (computed by hand).
    let job = serde_json::json!({
        "link": serving.link, "piece": "/pieces/2031.1", "files": [broken, whole], "bar": [[100, 815], [1100, 815]],
        "length": "10,0 cm", "scale": 10.0, "damage": [[300, 200], [500, 200], [500, 300], [300, 300]], "area": 2.0,
        // Two corners of the damage, and a square by keys alone.
        "corners": [[300, 200], [500, 300]], "rectangle": "300,200,200,100",
        // 300 px at 10 px/mm are 30 mm. The shades of the two photographs: right of the slider lies the second.
        "line": [[550, 500], [850, 500]], "long": 30.0, "slider": [[0, 130], [100, 90]],
        "pages": [["comparison-blank", "/comparison"], ["comparison", "/comparison?piece=2031.R1&with=2031.1"],
                  ["overlay", over(1)], ["overlay-blank", over(2)]],
    });
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/workbench/studio.mjs");
    let faults = tools.script(&script, "studio", job);
    drop(serving);
    assert!(faults.is_empty(), "{}", fault::told(&faults));
}

/// Two hundred pieces: every other one a spencer, every fifth a reconstruction.
fn many() -> impl Iterator<Item = String> {
    (0..200).map(|i| {
        let (garment, nature) =
            (["spencer", "stays"][i % 2], if i.is_multiple_of(5) { "reconstruction" } else { "extant" });
        format!("[piece]\nnumber = \"2030.{i}\"\nnature = \"{nature}\"\nobject_name = \"{garment}\"\n")
    })
}

#[test]
fn pieces_are_sought_corrected_by_two_sealed_and_compared() {
    let Some(tools) = Tools::there("errands from page to page") else { return };
    let mut desk = Desk::new();
    desk.entered(SPENCER);
    desk.entered(AFTER);
    for sheet in many() {
        desk.entered(&sheet);
    }
    let all: Vec<String> = desk.catalogue.list().expect("the list").into_iter().map(|line| line.number).collect();
    assert_eq!(
        (all.len(), all[11].as_str(), all[201].as_str()),
        (202, "2030.11", "2031.R1"),
        "in the order of numbers"
    );
    let serving = Serving::start(desk.folder());
    let job = serde_json::json!({
        "link": serving.link, "piece": "/pieces/2031.1",
        // 100 of the many and two more are spencers; 40 and one more are reconstructions.
        "collection": { "all": all, "word": "spencer", "found": 102, "nature": "reconstruction", "ofNature": 41 },
        "comparison": { "piece": "2031.R1", "beside": "2031.1", "component": "fob pocket", "other": "watch pocket",
                        "note": "No silk of this weight was to be had." },
    });
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/workbench/errands.mjs");
    let faults = tools.script(&script, "errands", job);
    drop(serving);
    assert!(faults.is_empty(), "{}", fault::told(&faults));

    let seals = desk.catalogue.seals(None).expect("the seals");
    let [seal] = &seals[..] else { panic!("one report is sealed: {seals:?}") };
    assert_eq!((seal.number.as_str(), seal.print_set.as_str(), seal.sealed_by.as_str()), ("2031.1", "summary", AUTHOR));
    let departures = desk.catalogue.piece("2031.R1").expect("the piece").departures;
    let [departure] = &departures[..] else { panic!("one departure is recorded: {departures:?}") };
    assert_eq!(departure.note.as_deref(), Some("No silk of this weight was to be had."));
    assert!(departure.reason.is_some() && departure.was.is_some() && departure.now.is_some(), "{departure:?}");
    let overall = &desk.catalogue.piece("2031.1").expect("the piece").examinations[0].overall[0].what;
    assert_eq!(overall.statement.as_deref(), Some("Sound; dusty."), "theirs was chosen");
    assert_eq!(overall.grade.as_ref().map(dimity::vocabulary::TermId::name), Some("fair"), "and yours");
    desk.is_sound();
}
