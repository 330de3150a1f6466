//! Photographs named by number: whose they are is told by the rule of the command line, before anything is stored.

use serde_json::{Value, json};

use crate::bench::Bench;
use crate::support::Room;

const LIST: &str = "No,Object,Photo\n2031.1,cap,\n2031.11,gown,\n2031-4,stays,\"IMG 7.jpg; ../../IMG 8.jpg; /etc/passwd\"\n2031.4.2,bag,\n";
const JPEG: &str = "ffd8ffe000104a464946000101000048";

/// A workbench with the pieces of the list.
fn bench() -> Bench {
    let bench = Bench::by_link(&[]);
    let to = bench.form_with_files("/import", &[], &[("l.csv", LIST.as_bytes())]).is(303);
    let to = to.header("location").to_owned();
    let page = bench.get(&to).is(200).text();
    assert!(page.contains("names 3 photographs"), "{page}");
    let (_, version) = page.split_once("name=\"version\" value=\"").expect("a version");
    let version = version.split('"').next().unwrap_or_default();
    bench.form(&format!("{to}/enter"), &[("version", version), ("reason", "the cards")]).is(303);
    bench
}

fn whose(bench: &Bench, files: &[(&str, &str)]) -> Value {
    let files: Vec<Value> = files.iter().map(|(path, begins)| json!({ "path": path, "begins": begins })).collect();
    bench.post("/import/photographs/whose", &json!({ "files": files })).is(200).json()
}

#[test]
fn names_are_matched_as_the_command_line_matches_them_and_nothing_is_stored() {
    let bench = bench();
    let names = [
        ("2031.1.jpg", "sure 2031.1"),
        ("2031.11_front.jpg", "sure 2031.11"),
        ("2031-04 (2).jpg", "sure 2031-4"),
        ("2031.11/DSC1.jpg", "sure 2031.11"),
        ("IMG 7.jpg", "sure 2031-4"),
        ("deep/below/img 8.JPG", "sure 2031-4"),
        ("beach/sea.jpg", "nobody "),
        ("2031.4_2.jpg", "open 2031.4.2, 2031-4"),
        ("20311.jpg", "open 2031.1"),
    ];
    let before = bench.revision();
    let files: Vec<(&str, &str)> = names.iter().map(|(path, _)| (*path, JPEG)).collect();
    let answer = whose(&bench, &files);
    for (at, (path, wanted)) in names.iter().enumerate() {
        let found = &answer["found"][at];
        let numbers: Vec<&str> =
            found["numbers"].as_array().expect("numbers").iter().filter_map(Value::as_str).collect();
        assert_eq!(format!("{} {}", found["is"].as_str().unwrap_or_default(), numbers.join(", ")), *wanted, "{path}");
    }
    assert_eq!(answer["to"]["2031-4"], "/pieces/2031-4");
    assert_eq!(bench.revision(), before);
    assert!(!bench.desk.folder().join("photographs").exists(), "nothing is stored before it is confirmed");

    // The command line says the same of the same folder.
    let room = Room::new();
    let list = room.write("l.csv", LIST);
    for (shade, (path, _)) in names.iter().enumerate() {
        let file = room.path().join("scans").join(path);
        std::fs::create_dir_all(file.parent().expect("a folder")).expect("made");
        room.photograph(&format!("scans/{path}"), 10 * shade as u8);
    }
    let told = room.run(&["import", "csv", &list, "--photographs", "scans", "--json"]).json().remove(0);
    for matched in told["photographs"]["matched"].as_array().expect("matched") {
        let file = matched["file"].as_str().expect("a file");
        let at = names.iter().position(|(path, _)| file.ends_with(path)).expect("one of ours");
        assert_eq!(answer["found"][at]["numbers"], matched["numbers"], "{file}");
    }
    assert_eq!(told["photographs"]["to_be_asked_about"], 2);
}

#[test]
fn what_is_no_photograph_is_passed_over_and_nothing_strange_breaks_it() {
    let bench = bench();
    let files = [
        ("2031.1.txt", "412074657874"),
        (".2031.1.jpg", JPEG),
        (".trash/2031.1.jpg", JPEG),
        ("2031.1.jpg", "no hex"),
        ("../../2031.1.jpg", JPEG),
        ("2031.1 empty.jpg", ""),
        ("", JPEG),
        ("/", JPEG),
        ("Ä\u{0}ö/2031.1.jpg", JPEG),
    ];
    let answer = whose(&bench, &files);
    let found: Vec<&str> = answer["found"].as_array().expect("found").iter().filter_map(|f| f["is"].as_str()).collect();
    assert_eq!(found, ["passed", "passed", "passed", "passed", "passed", "sure", "nobody", "nobody", "sure"]);
    for broken in [json!({}), json!([]), json!({ "files": [{ "path": 1 }] })] {
        assert!(bench.post("/import/photographs/whose", &broken).status.is_client_error(), "{broken}");
    }
}

#[test]
fn two_lists_that_name_one_file_for_different_pieces_are_asked_about() {
    let bench = bench();
    let other = "No,Object,Photo\n2031.20,cap,img 7.jpg\n";
    let to =
        bench.form_with_files("/import", &[], &[("m.csv", other.as_bytes())]).is(303).header("location").to_owned();
    bench.form(&format!("{to}/enter"), &[("version", "1"), ("reason", "more cards")]).is(303);
    let answer = whose(&bench, &[("IMG 7.jpg", JPEG), ("IMG 8.jpg", JPEG), ("a/IMG 8.jpg", JPEG)]);
    let found = &answer["found"];
    assert_eq!(found[0]["is"], "open");
    assert_eq!(found[0]["numbers"].as_array().map(Vec::len), Some(2), "{found}");
    assert!(found[1]["is"] == "open" && found[1]["why"].as_str().is_some_and(|why| why.contains("several files")));
}
