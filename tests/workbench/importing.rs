//! Old lists in the browser: kept, read, corrected, tried, entered; what comes of it is what the command line makes of it.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use dimity::catalogue::Catalogue;
use dimity::record::account::{Account, Role};

use crate::bench::{Answer, Bench};
use crate::drawing::PASSWORD;
use crate::support::{AUTHOR, Room, clock, sha256};
use crate::works::ended;

/// A list of the fixtures.
fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/fixtures/import/{name}", env!("CARGO_MANIFEST_DIR"))).expect("the fixture is there")
}

/// Three thousand gowns, of which a thousand have no date that can be read.
pub fn long_list() -> String {
    let mut list = String::from("No;Object;Date;Material\n");
    for i in 0..3000 {
        writeln!(list, "2031.{i};gown;{};silk", if i % 3 == 0 { "soon" } else { "1810" }).expect("a text takes it");
    }
    list
}

/// Brings a list; gives the address of its page.
pub fn brought(bench: &Bench, name: &str, bytes: &[u8]) -> String {
    let answer = bench.form_with_files("/import", &[], &[(name, bytes)]).is(303);
    answer.header("location").to_owned()
}

/// What the page holds in a hidden field or an input of this name.
fn value(page: &str, name: &str) -> String {
    let (_, rest) = page.split_once(&format!("name=\"{name}\" value=\"")).unwrap_or_else(|| panic!("`{name}`: {page}"));
    rest.split('"').next().unwrap_or_default().to_owned()
}

/// The page as a form: what every field of the columns and of the layout holds.
fn fields(page: &str) -> BTreeMap<String, String> {
    let plain = |text: &str| {
        let signs = [("&quot;", "\""), ("&#x27;", "'"), ("&#x2F;", "/"), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")];
        signs.iter().fold(text.to_owned(), |text, (from, to)| text.replace(from, to))
    };
    let (_, form) = page.split_once("/mapping\" enctype").expect("the form of the columns");
    let (form, _) = form.split_once("</form>").expect("its end");
    let mut fields = BTreeMap::new();
    for tag in form.split('<').filter(|tag| tag.contains(" name=\"") && !tag.contains("checkbox")) {
        let of = |what: &str| tag.split_once(&format!(" {what}=\"")).and_then(|(_, rest)| rest.split('"').next());
        let name = of("name").expect("a name").to_owned();
        let text = match tag.split(' ').next() {
            Some("select") => {
                let (_, rest) = form.split_once(&format!("name=\"{name}\"")).expect("the select");
                let (options, _) = rest.split_once("</select>").expect("its end");
                let chosen = options.split("<option value=\"").find(|o| o.contains(" selected")).unwrap_or_default();
                chosen.split('"').next().unwrap_or_default().to_owned()
            }
            Some("textarea") => tag.split_once('>').map(|(_, text)| text.to_owned()).unwrap_or_default(),
            _ => of("value").unwrap_or_default().to_owned(),
        };
        fields.insert(name, plain(&text));
    }
    fields
}

/// Sends the form of the columns with some fields changed.
fn corrected(bench: &Bench, to: &str, changes: &[(&str, &str)]) -> Answer {
    let mut all = fields(&bench.get(to).is(200).text());
    all.extend(changes.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())));
    all.remove("token");
    let all: Vec<(&str, &str)> = all.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    bench.form_with_files(&format!("{to}/mapping"), &all, &[])
}

fn entered(bench: &Bench, to: &str, more: &[(&str, &str)]) -> Answer {
    let page = bench.get(to).is(200).text();
    let version = value(&page, "version");
    let fields = [&[("version", version.as_str()), ("reason", "the cards of the chest")], more].concat();
    bench.form(&format!("{to}/enter"), &fields)
}

/// All that a catalogue says of its pieces, without identifiers and moments, which no two share.
fn told(catalogue: &Catalogue) -> BTreeMap<String, serde_json::Value> {
    fn plain(value: &mut serde_json::Value) {
        match value {
            serde_json::Value::Object(fields) => {
                fields.retain(|name, _| !matches!(name.as_str(), "id" | "recorded" | "entered" | "recorded_at" | "at"));
                fields.values_mut().for_each(plain);
            }
            serde_json::Value::Array(list) => list.iter_mut().for_each(plain),
            _ => {}
        }
    }
    let one = |number: String| {
        let mut json = dimity::exchange::json::of_piece(&catalogue.piece(&number).expect("the piece"));
        plain(&mut json);
        (number, json)
    };
    catalogue.numbers().expect("reads").into_iter().map(one).collect()
}

#[test]
fn every_kind_of_list_enters_as_the_command_line_enters_it() {
    for (name, kind, pieces) in [("chest.csv", "csv", 7), ("store.xlsx", "xlsx", 3), ("liste.ods", "ods", 3)] {
        let bench = Bench::by_link(&[]);
        let to = brought(&bench, name, &fixture(name));
        assert!(bench.desk.catalogue.numbers().expect("reads").is_empty(), "nothing enters by being looked at");
        corrected(&bench, &to, &[("date", "2009-05-31")]).is(303);
        let page = bench.get(&to).is(200).text();
        assert!(page.contains(&format!("{kind}, ")) && page.contains("Tried as a whole, and taken back"), "{page}");
        let before = bench.revision();
        entered(&bench, &to, &[("reason", " ")]).is(422);
        assert_eq!(bench.revision(), before, "nothing without a reason");
        entered(&bench, &to, &[]).is(303);
        let page = bench.get(&to).is(200).text();
        assert!(page.contains(&format!("{pieces} pieces with ")) && page.contains("Nothing new"), "{name}: {page}");
        let row = bench.desk.catalogue.journal(None).expect("a journal").pop().expect("a row");
        assert_eq!((row.author.as_str(), row.reason.as_str()), (AUTHOR, "the cards of the chest"));

        let room = Room::new();
        let list = room.write(name, fixture(name));
        room.run(&["import", kind, &list]).done();
        let mapping = format!("{list}.mapping.toml");
        let text = std::fs::read_to_string(&mapping).expect("proposed");
        std::fs::write(&mapping, text.replace("# date = 2009-05-31", "date = 2009-05-31")).expect("written");
        room.run(&["import", kind, &list, "--enter", "--by", AUTHOR]).done();
        let other = Catalogue::open(&room.collection(), clock()).expect("opens");
        let (ours, theirs) = (told(&bench.desk.catalogue), told(&other));
        assert_eq!(ours.len(), pieces);
        assert_eq!(ours, theirs, "{name}");

        // The list to work down is that of the command line, and stays after entering.
        let to_do =
            |text: &str| text.lines().filter(|line| !line.contains("dimity")).map(String::from).collect::<Vec<_>>();
        let of_command = std::fs::read_to_string(format!("{list}.to-do.csv")).expect("written");
        let of_page = bench.get(&format!("{to}/to-do.csv")).is(200);
        assert!(of_page.header("content-disposition").contains(&format!("{name}.to-do.csv")));
        assert_eq!(to_do(&of_page.text()), to_do(&of_command), "{name}");

        // The same again adds nothing, by either door.
        let before = bench.revision();
        assert_eq!(brought(&bench, name, &fixture(name)), to);
        entered(&bench, &to, &[]);
        assert_eq!(bench.revision(), before);
        bench.desk.is_sound();
    }
}

#[test]
fn what_a_column_is_can_be_chosen_and_what_is_wrong_stays_typed() {
    let bench = Bench::by_link(&[]);
    let list = "No;What it is;Round;Who gave it\n2031.1;cap;61;A. Möhrle\n2031.2;stays;70,5;\n";
    let to = brought(&bench, "caps.csv", list.as_bytes());
    let wrong = corrected(&bench, &to, &[("c2-as", "one dimension"), ("c2-unit", "cm")]).is(422).text();
    assert!(wrong.contains("say which dimension it is") && wrong.contains("value=\"cm\""), "{wrong}");
    let wrong = corrected(&bench, &to, &[("c2-as", "one dimension"), ("c2-dimension", "wast girth")]).is(422).text();
    assert!(wrong.contains("waist girth") && wrong.contains("value=\"wast girth\""), "{wrong}");
    for (field, text, words) in [
        ("date", "soon", "write it as 2009-05-31"),
        ("headings", "first", "write a whole number"),
        ("c1-other", "piece.dat", "did you mean `piece.date`?"),
        ("c1-as", "piece number", "is nothing that a column can be taken for"),
        ("c1-as", "accession number", "Two columns are taken for"),
        ("encoding", "klingon", "klingon"),
    ] {
        let wrong = corrected(&bench, &to, &[(field, text)]);
        assert_eq!(wrong.status.as_u16(), 422, "{field} = {text}");
        let wrong = wrong.text();
        assert!(wrong.contains(words) || wrong.contains(&words.replace('`', "&#x60;")), "{field}: {wrong}");
    }
    let right = [
        ("c1-as", "what it is"),
        ("c2-as", "one dimension"),
        ("c2-dimension", "waist girth"),
        ("c2-unit", "cm"),
        ("c3-as", "donor"),
        ("f-field", "piece.keywords"),
        ("f-value", "caps"),
    ];
    corrected(&bench, &to, &right).is(303);
    let mapping = bench.get(&format!("{to}/mapping.toml")).is(200).text();
    for words in [
        "as = \"measurement.readings\"",
        "with = { dimension = \"waist girth\" }",
        "unit = \"cm\"",
        "role = \"donor\"",
        "piece.keywords",
    ] {
        assert!(mapping.contains(words), "{words}: {mapping}");
    }
    entered(&bench, &to, &[]).is(303);
    let piece = bench.desk.catalogue.piece("2031.2").expect("entered");
    let measured = &piece.examinations[0].measurements[0].what;
    assert_eq!(measured.readings[0].as_written, "70,5 cm");
    assert_eq!(piece.piece.keywords, ["caps"]);
    let given = bench.desk.catalogue.piece("2031.1").expect("entered");
    assert_eq!(given.people[0].person.as_deref(), Some("A. Möhrle"));
}

#[test]
fn a_cell_and_a_row_are_put_right_where_the_doubt_stands() {
    let bench = Bench::by_link(&[]);
    let to = brought(&bench, "chest.csv", &fixture("chest.csv"));
    let rows = bench.get(&format!("{to}/rows")).is(200).text();
    assert!(rows.contains("before the war") && rows.contains("aria-current=\"page\"><b>"), "{rows}");
    let version = value(&rows, "version");
    let meant = [
        ("version", version.as_str()),
        ("row", "6"),
        ("heading", "Dating"),
        ("meant", "before 1914"),
        ("show", "to look at"),
        ("page", "1"),
    ];
    let back = bench.form(&format!("{to}/instead"), &meant).is(303);
    assert_eq!(back.header("location"), format!("{to}/rows?show=to%20look%20at&page=1#row-6"));
    bench.form(&format!("{to}/instead"), &meant).is(409);
    let version = value(&bench.get(&format!("{to}/rows")).is(200).text(), "version");
    let number = [("version", version.as_str()), ("row", "11"), ("meant", "2031.9")];
    bench.form(&format!("{to}/number"), &number).is(303);
    let version = value(&bench.get(&format!("{to}/rows")).is(200).text(), "version");
    for (row, heading) in [("6", "No such heading"), ("6000", "Dating"), ("6", "")] {
        let none = [("version", version.as_str()), ("row", row), ("heading", heading), ("meant", "x")];
        bench.form(&format!("{to}/instead"), &none).is(422);
    }
    entered(&bench, &to, &[]).is(303);
    let catalogue = &bench.desk.catalogue;
    assert!(catalogue.piece("2031.9").is_ok(), "row 11 has its number");
    let dated: Vec<String> = catalogue
        .numbers()
        .expect("reads")
        .iter()
        .filter_map(|n| Some(catalogue.piece(n).ok()?.piece.date?.as_written))
        .collect();
    assert!(dated.iter().any(|date| date == "before 1914"), "{dated:?}");
}

#[test]
fn a_mapping_with_a_mistake_is_kept_and_told_and_a_restart_loses_nothing() {
    let bench = Bench::by_link(&[]);
    let to = brought(&bench, "chest.csv", &fixture("chest.csv"));
    let text = bench.get(&format!("{to}/mapping.toml")).is(200).text();
    let typed = text.replace("as = \"move.to\"", "as = \"move.too\" # <b>mine</b>");
    assert_ne!(typed, text);
    let version = value(&bench.get(&to).text(), "version");
    let send = |bench: &Bench, version: &str, text: &str, more: &[(&str, &str)]| {
        let text = text.replace('\n', "\r\n");
        let fields = [&[("version", version), ("text", text.as_str())], more].concat();
        bench.form_with_files(&format!("{to}/text"), &fields, &[])
    };
    let page = send(&bench, &version, &typed, &[]).is(422).text();
    assert!(page.contains("did you mean") && page.contains("move.too") && !page.contains("<b>mine</b>"), "{page}");
    let bench = bench.again();
    let page = bench.get(&to).is(200).text();
    assert!(page.contains("move.too") && page.contains("What was typed cannot be read"), "kept over a restart");
    assert_eq!(bench.get(&format!("{to}/mapping.toml")).text(), typed);
    let refused = entered(&bench, &to, &[]).is(422).text();
    assert!(refused.contains("Correct it, or drop it") && bench.desk.catalogue.numbers().expect("reads").is_empty());
    send(&bench, &version, &text, &[]).is(409);
    let version = value(&page, "version");
    send(&bench, &version, &typed, &[("drop", "yes")]).is(303);
    assert_eq!(bench.get(&format!("{to}/mapping.toml")).text(), text, "the mapping before it");
    let version = value(&bench.get(&to).text(), "version");
    send(&bench, &version, &text.replace("as = \"move.to\"", "as = \"nothing\""), &[]).is(303);
    let bench = bench.again();
    entered(&bench, &to, &[]).is(303);
    let bench = bench.again();
    assert!(bench.get("/import").text().contains("7 pieces") && bench.get(&to).text().contains("Nothing new"));
    let mut moved = bench.desk.catalogue.numbers().expect("reads");
    moved.retain(|n| !bench.desk.catalogue.piece(n).expect("there").moves.is_empty());
    assert_eq!(moved, ["2031.3"], "the column was not read; what a note says of a place was");
    // A check of the whole folder finds nothing that lies about.
    let whole = dimity::safekeeping::check(&bench.desk.catalogue, &dimity::safekeeping::Asked::default(), &());
    let whole = whole.expect("checked");
    assert!(whole.findings.is_empty() && whole.of_no_use.is_empty(), "{whole:?}");
    bench.form(&format!("{to}/remove"), &[]).is(303);
    bench.get(&to).is(404);
    assert!(bench.get("/import").text().contains("None.") && bench.desk.catalogue.numbers().expect("reads").len() == 7);
}

#[test]
fn rows_that_changed_overwrite_nothing_and_their_wording_is_kept_if_wished() {
    let bench = Bench::by_link(&[]);
    let first = brought(&bench, "caps.csv", b"No;Object;Date\n2031.1;cap;1810\n2031.2;cap;1820\n");
    entered(&bench, &first, &[]).is(303);
    let second = brought(&bench, "caps.csv", b"No;Object;Date\n2031.1;cap;1811\n2031.2;cap;1820\n2031.3;cap;1830\n");
    let page = bench.get(&second).is(200).text();
    assert!(page.contains("Enter 1 piece<") && page.contains("of the 1 row that changed"), "{page}");
    entered(&bench, &second, &[]).is(303);
    let date = |number: &str| bench.desk.catalogue.piece(number).expect("there").piece.date.expect("dated").as_written;
    assert_eq!((date("2031.1"), date("2031.3")), ("1810".into(), "1830".into()));
    let rows = bench.get(&format!("{second}/rows")).is(200).text();
    assert!(rows.contains("the list says something else now under") && !rows.contains("--keep-changed"), "{rows}");
    entered(&bench, &second, &[("keep_changed", "yes")]).is(303);
    assert_eq!(bench.desk.catalogue.piece("2031.1").expect("there").sources.len(), 2);
    assert_eq!(date("2031.1"), "1810", "the record is not overwritten");
    assert!(bench.get(&second).text().contains("the new wording of 1 row kept"));
    bench.desk.is_sound();
}

#[test]
fn which_is_the_day_is_chosen_column_by_column_and_swallowed_rows_are_told() {
    let bench = Bench::by_link(&[]);
    let list =
        "No;Acquired;Last checked;Notes\n2031.1;3/4/1998;31/12/1999;\"torn\n2031.2;;;worn\"\n2031.3;3/5/1998;;\n";
    let to = brought(&bench, "days.csv", list.as_bytes());
    let shown = fields(&bench.get(&to).is(200).text());
    let chosen = |of: &str| shown.get(of).map(String::as_str);
    assert_eq!((chosen("c0-day_first"), chosen("c1-day_first"), chosen("c2-day_first")), (None, Some(""), Some("yes")));
    corrected(&bench, &to, &[("c1-day_first", "no")]).is(303);
    let mapping = bench.get(&format!("{to}/mapping.toml")).is(200).text();
    let (_, of_acquired) = mapping.split_once("heading = \"Acquired\"").expect("the column");
    let (of_acquired, of_checked) = of_acquired.split_once("heading = \"Last checked\"").expect("the other");
    assert!(of_acquired.contains("\nday_first = false") && of_checked.contains("\nday_first = true"), "{mapping}");
    let rows = bench.get(&format!("{to}/rows?show=every row").replace(' ', "%20")).is(200).text();
    assert!(rows.contains("1998-03-04") && !rows.contains("1998-04-03"), "{rows}");
    assert!(rows.contains("Line 3 of the file looks like a row of the list") && rows.contains("whole_rows"), "{rows}");
    assert!(!rows.contains("Give it this number"), "a number would not mend it");
    entered(&bench, &to, &[]).is(303);
    assert_eq!(bench.desk.catalogue.numbers().expect("reads"), ["2031.3"]);
}

#[test]
fn another_sheet_has_a_mapping_of_its_own_and_the_first_is_not_lost() {
    let bench = Bench::by_link(&[]);
    let to = brought(&bench, "store.xlsx", &fixture("store.xlsx"));
    let page = bench.get(&to).is(200).text();
    assert!(page.contains("Other sheets are not read: Old"), "{page}");
    corrected(&bench, &to, &[("c0-as", "title"), ("date", "2009-05-31")]).is(303);
    let first = bench.get(&format!("{to}/mapping.toml")).text();
    corrected(&bench, &to, &[("sheet", "Old")]).is(303);
    let other = bench.get(&format!("{to}/mapping.toml")).text();
    assert!(other.contains("sheet = \"Old\"") && other.contains("date = 2009-05-31"), "{other}");
    let now = first.lines().find_map(|line| line.strip_prefix("sheet = \"")).expect("a sheet").trim_end_matches('"');
    corrected(&bench, &to, &[("sheet", now)]).is(303);
    assert_eq!(bench.get(&format!("{to}/mapping.toml")).text(), first, "what was decided of the first is there again");
}

#[test]
fn what_is_no_list_is_refused_and_leaves_nothing() {
    let bench = Bench::by_link(&[]);
    let before = bench.revision();
    let nothing = bench.form_with_files("/import", &[], &[]).is(422).text();
    assert!(nothing.contains("Choose a file first"), "{nothing}");
    for (name, bytes, words) in [
        ("old.xls", &[0xd0, 0xcf, 0x11, 0xe0, 0, 0][..], "save it as xlsx, ods or csv"),
        ("a.pdf", b"%PDF-1.7", "This is a PDF"),
        ("blank.csv", b"", "holds no cells"),
        ("a.xlsx", b"PK\x03\x04 and no more", "damaged"),
    ] {
        let said = bench.form_with_files("/import", &[], &[(name, bytes)]).is(422).text();
        assert!(said.contains(words), "{name}: {said}");
    }
    let left = |bench: &Bench| {
        let entries = std::fs::read_dir(bench.desk.folder().join("drafts/lists")).into_iter().flatten().flatten();
        entries.filter(|e| e.file_name() != ".turn").count()
    };
    assert_eq!((left(&bench), bench.revision()), (0, before), "nothing is left of them");
    // Names and cells that nobody means well with.
    let list = "No,Object,\"<img src=x onerror=alert(1)>\"\n\"2031.1\",\"<script>alert(1)</script>\",=cmd()\n";
    let to = brought(&bench, "../../<b>etc</b>\"\n/pass%22wd.csv", list.as_bytes());
    assert_eq!(to, format!("/import/{}", sha256(list)));
    let sha = sha256(list);
    assert!(bench.desk.folder().join(format!("drafts/lists/{sha}.list")).is_file());
    for page in [to.clone(), format!("{to}/rows?show=every%20row"), format!("{to}/to-do"), "/import".into()] {
        let text = bench.get(&page).is(200).text();
        for never in ["<img src=x", "<script>alert", "<b>etc"] {
            assert!(!text.contains(never), "{page} holds `{never}`");
        }
    }
    let disposition = bench.get(&format!("{to}/mapping.toml")).header("content-disposition").to_owned();
    assert!(disposition.matches('"').count() == 2 && !disposition.contains(['<', '/', '\n']), "{disposition}");
    for strange in ["..%2F..%2Fcatalogue", "x", &sha.to_uppercase(), &format!("{sha}.json"), "%00"] {
        for page in ["", "/rows", "/to-do", "/to-do.csv", "/mapping.toml"] {
            bench.get(&format!("/import/{strange}{page}")).is(404);
        }
        bench.form(&format!("/import/{strange}/remove"), &[]).is(404);
        bench.form(&format!("/import/{strange}/try"), &[]).is(404);
    }
}

#[test]
fn a_list_of_ten_thousand_rows_is_kept_to_a_leaf_at_a_time() {
    let bench = Bench::by_link(&[]);
    let to = brought(&bench, "long.csv", long_list().as_bytes());
    let page = bench.get(&to).is(200).text();
    assert!(
        page.contains("Try the whole import") && page.contains("Enter 3000 pieces"),
        "not tried before it is asked"
    );
    let leaf = bench.get(&format!("{to}/rows?page=40")).is(200).text();
    assert_eq!(leaf.matches("<article").count(), 25);
    assert!(leaf.contains("leaf 40 of 40"), "a thousand rows are to be looked at");
    assert_eq!(bench.get(&format!("{to}/to-do?page=10")).text().matches("<tr>").count(), 101);
    for page in ["?page=99999999999999999999", "?page=-1"] {
        assert!(bench.get(&format!("{to}/rows{page}")).status.is_client_error());
    }
    bench.get(&format!("{to}/rows?page=0&show=%3Cb%3E")).is(200);
}

#[test]
fn a_long_list_is_tried_and_entered_as_a_long_work_and_its_page_tells_what_came_of_it() {
    let bench = Bench::by_link(&[]);
    let to = brought(&bench, "long.csv", long_list().as_bytes());
    let tried = ended(&bench, bench.form(&format!("{to}/try"), &[]));
    assert!(tried.contains("3000 pieces with") && tried.contains("would enter. Nothing was changed."), "{tried}");
    assert!(tried.contains("data-how=\"well\"") && tried.contains("The list"), "{tried}");
    assert!(bench.desk.catalogue.numbers().expect("reads").is_empty());
    let page = bench.get(&to).is(200).text();
    assert!(page.contains("Tried as a whole, and taken back: 3000 pieces with"), "the page knows of it: {page}");
    // What is amiss is said on the page of the list, before anything is begun.
    let version = value(&page, "version");
    let enter = |why: &str| bench.form(&format!("{to}/enter"), &[("version", &version), ("reason", why)]);
    assert!(enter(" ").is(422).text().contains("Say why in a few words"));
    let told = ended(&bench, enter("from the store book"));
    assert!(told.contains("3000 pieces with") && told.contains(" entered"), "{told}");
    assert!(told.contains("What is to be worked down"), "{told}");
    assert_eq!(bench.desk.catalogue.numbers().expect("reads").len(), 3000);
    let journal = bench.get("/pieces/2031.17/journal").is(200).text();
    assert!(journal.contains("from the store book") && journal.contains(AUTHOR), "{journal}");
    let page = bench.get(&to).is(200).text();
    assert!(page.contains("3000 pieces with") && page.contains("Nothing new"), "{page}");
    bench.desk.is_sound();
}

#[test]
fn who_does_not_keep_the_collection_sees_no_list() {
    let mut bench = Bench::by_accounts(&[]);
    for (name, role) in [("Tamsin Orrel", Role::Read), ("Piers Holloway", Role::Examine), ("Ida Falk", Role::Keep)] {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    bench.sign_in("Ida Falk", PASSWORD).is(303);
    let to = brought(&bench, "caps.csv", b"No;Object\n2031.1;cap\n");
    bench.form("/sign-out", &[]).is(303);
    for name in ["Tamsin Orrel", "Piers Holloway"] {
        bench.sign_in(name, PASSWORD).is(303);
        for page in [
            "/import".into(),
            to.clone(),
            format!("{to}/rows"),
            format!("{to}/to-do"),
            format!("{to}/to-do.csv"),
            format!("{to}/mapping.toml"),
            "/import/photographs".into(),
        ] {
            bench.get(&page).is(403);
        }
        bench.form_with_files("/import", &[], &[("a.csv", b"No;Object\n1;cap\n")]).is(403);
        bench.form_with_files(&format!("{to}/mapping"), &[("version", "1")], &[]).is(403);
        bench.form_with_files(&format!("{to}/text"), &[("version", "1")], &[]).is(403);
        for act in ["enter", "try", "remove", "propose", "instead", "number"] {
            bench.form(&format!("{to}/{act}"), &[("version", "1"), ("reason", "x")]).is(403);
        }
        bench.post("/import/photographs/whose", &serde_json::json!({ "files": [] })).is(403);
        bench.form("/sign-out", &[]).is(303);
    }
    assert!(bench.desk.catalogue.numbers().expect("reads").is_empty());
    bench.sign_in("Ida Falk", PASSWORD).is(303);
    entered(&bench, &to, &[]).is(303);
    assert_eq!(bench.desk.catalogue.numbers().expect("reads"), ["2031.1"]);
}

#[test]
fn a_purged_piece_leaves_no_copy_of_its_list_behind() {
    let mut bench = Bench::by_link(&[]);
    let to = brought(&bench, "caps.csv", b"No;Object\n2031.1;cap\n");
    entered(&bench, &to, &[]).is(303);
    let dry = bench.desk.catalogue.purge(AUTHOR, "2031.1", "given back", true).expect("a dry run");
    assert_eq!((dry.drafts, dry.lists.len()), (0, 1));
    assert!(dry.in_words(true).iter().any(|line| line.contains("1 old list")), "what would go is named");
    bench.get(&to).is(200);
    bench.desk.catalogue.purge(AUTHOR, "2031.1", "given back", false).expect("purged");
    bench.get(&to).is(404);
}
