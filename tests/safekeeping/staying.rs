//! What stays in a backup though the catalogue lost it, cannot give it, or gives it spoilt; and what `check` says of such a
//! catalogue.

use std::path::{Path, PathBuf};
use std::process::Command;

use dimity::draft::{Draft, DraftFault, Drafts};

use super::backup::{files, flip, kept, sums};
use super::bits::drafts_in;
use crate::support::machine::as_nobody;
use crate::support::{Room, Said};

/// A room whose catalogue has a photograph, a sealed page, a draft and an old list on its way in, and a backup of it.
fn backed_up() -> Room {
    let room = kept();
    drafts_in(&room.collection());
    room.run(&["backup", "safe"]).done();
    room
}

/// The one file below a folder of the catalogue with this ending, by its path below it.
fn the(room: &Room, folder: &str, ending: &str) -> String {
    let collection = room.collection();
    let mut found = files(&collection.join(folder));
    found.retain(|file| file.to_string_lossy().ends_with(ending));
    assert_eq!(found.len(), 1, "{folder}, {ending}: {found:?}");
    found[0].strip_prefix(&collection).expect("below").to_str().expect("plain").to_owned()
}

/// The backup proves itself, and what is restored from it is whole and has this file with these bytes.
fn comes_back(room: &Room, name: &str, bytes: &[u8]) {
    assert_ne!(sums(&room.path().join("safe")), Some(false), "{name}");
    let again = room.path().join("again");
    let said = room.run(&["restore", "safe", "again"]).done();
    assert!(said.contains("all well"), "{name}: {said}");
    assert!(std::fs::read(again.join(name)).expect("restored") == bytes, "{name} is restored as it was");
    std::fs::remove_dir_all(again).expect("removed");
}

#[test]
fn what_the_catalogue_lost_stays_in_the_backup_and_comes_back_with_it() {
    let room = backed_up();
    for (folder, ending) in [("photographs", ".png"), ("sealed", ".html"), ("drafts/lists", ".list")] {
        let name = the(&room, folder, ending);
        let place = room.collection().join(&name);
        let bytes = std::fs::read(&place).expect("reads");
        std::fs::remove_file(&place).expect("lost");
        for run in [&["backup", "safe"][..], &["backup", "safe", "--quick"], &["backup", "safe"]] {
            let out = room.run(run).said_wrong();
            for words in [
                &format!("`collection/{name}` is missing; the backup has a sound copy"),
                &format!("put the sound copy of the backup back: `safe/{name}`"),
            ] {
                assert!(out.contains(words), "{run:?}: `{words}` is not in: {out}");
            }
            assert!(!out.contains("has no copy"), "{out}");
        }
        comes_back(&room, &name, &bytes);
        // Where the backup's own is spoilt as well, that is not kept for a sound one.
        flip(&room.path().join("safe").join(&name));
        let out = room.run(&["backup", "safe"]).said_wrong();
        assert!(out.contains("is missing, and the backup has no copy"), "{out}");
        assert_ne!(sums(&room.path().join("safe")), Some(false), "{name}: what changed is not listed");
        std::fs::write(&place, &bytes).expect("put back");
        room.run(&["backup", "safe"]).done();
        comes_back(&room, &name, &bytes);
    }
    // What was purged is named by nothing, and goes.
    let name = the(&room, "photographs", ".png");
    room.run(&["purge", "2031.1", "--reason", "the donor's wish", "--yes"]).done();
    let out = room.run(&["backup", "safe"]).done();
    assert!(out.contains("no longer in the catalogue, left there"), "{out}");
    let list = std::fs::read_to_string(room.path().join("safe/SHA256SUMS")).expect("reads");
    assert!(!list.contains(&name), "a purged photograph is not listed: {list}");
}

#[test]
fn a_folder_that_is_gone_or_no_folder_any_more_takes_nothing_from_the_backup() {
    let room = backed_up();
    for (folder, ending) in [("photographs", ".png"), ("drafts", ".list"), ("sealed", ".html")] {
        let name = the(&room, folder, ending);
        let bytes = std::fs::read(room.collection().join(&name)).expect("reads");
        let (place, aside) = (room.collection().join(folder), room.path().join("aside"));
        std::fs::rename(&place, &aside).expect("moved");
        if folder != "drafts" {
            let out = room.run(&["backup", "safe"]).said_wrong();
            assert!(out.contains("is missing; the backup has a sound copy"), "{out}");
            comes_back(&room, &name, &bytes);
        }
        std::fs::write(&place, "a file").expect("written");
        for _ in 0..2 {
            let out = room.run(&["backup", "safe"]).said_wrong();
            assert!(out.contains(&format!("the folder `collection/{folder}` cannot be read")), "{out}");
            assert!(out.contains("a file stands where a folder is needed") && !out.contains("has no copy"), "{out}");
            comes_back(&room, &name, &bytes);
        }
        let out = room.run(&["check"]).said_wrong();
        let told = out.matches(&format!("the folder `collection/{folder}` cannot be read")).count();
        assert!(told == 1 || folder == "drafts", "{folder}: {out}");
        std::fs::remove_file(&place).expect("removed");
        std::fs::rename(&aside, &place).expect("moved back");
        room.run(&["backup", "safe"]).done();
    }
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_read_takes_nothing_from_the_backup() {
    use std::os::unix::fs::PermissionsExt as _;
    let Some(nobody) = as_nobody("a folder that cannot be read") else { return };
    let room = backed_up();
    let program = room.path().join("dimity");
    std::fs::copy(env!("CARGO_BIN_EXE_dimity"), &program).expect("copied");
    let allow = |path: &Path, mode: u32| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).expect("permitted");
    };
    allow(room.path(), 0o755);
    if !nobody.is_empty() {
        let given = Command::new("chown")
            .args(["-R", "65534:65534"])
            .args([room.collection(), room.path().join("safe")])
            .status();
        assert!(given.expect("chown runs").success());
    }
    let run = |arguments: &[&str]| {
        let words: Vec<&str> =
            nobody.iter().copied().chain([program.to_str().expect("plain")]).chain(arguments.iter().copied()).collect();
        let mut command = Command::new(words[0]);
        command.args(&words[1..]).current_dir(room.path()).env("DIMITY_IN", "collection").env("USER", "someone");
        let output = command.output().expect("starts");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
        Said {
            asked: format!("{arguments:?}"),
            code: output.status.code(),
            out: text(output.stdout),
            err: text(output.stderr),
        }
    };
    run(&["backup", "safe"]).done();
    let below = |folder: &str, ending: &str| {
        let name = the(&room, folder, ending);
        let bytes = std::fs::read(room.collection().join(&name)).expect("reads");
        (name, bytes)
    };
    let (photograph, list) = (below("photographs", ".png"), below("drafts", ".list"));
    let shelf = photograph.0.rsplit_once('/').expect("a shelf").0.to_owned();
    // Not to be listed, or listed but not entered.
    for (folder, mode) in [("photographs", 0o000), (&*shelf, 0o444), ("drafts", 0o000), ("drafts", 0o444)] {
        let place = room.collection().join(folder);
        allow(&place, mode);
        let said = run(&["backup", "safe"]);
        let checked = run(&["check"]);
        allow(&place, 0o755);
        let out = said.said_wrong();
        assert!(out.contains(&format!("`collection/{folder}")) && out.contains("cannot be read"), "{mode:o}: {out}");
        assert!(!out.contains("has no copy"), "{mode:o} {folder}: {out}");
        assert!(checked.said_wrong().contains("cannot be read"), "{mode:o} {folder}");
        let (name, bytes) = if folder == "drafts" { &list } else { &photograph };
        comes_back(&room, name, bytes);
    }
    run(&["backup", "safe"]).done();
}

#[test]
fn a_draft_that_is_spoilt_in_the_catalogue_never_replaces_the_sound_copy() {
    let room = backed_up();
    let drafts: Vec<PathBuf> = files(&room.collection().join("drafts"));
    let drafts: Vec<_> = drafts.iter().filter(|file| file.extension().is_some()).collect();
    assert_eq!(drafts.len(), 3, "a draft, an old list, and what was decided about it: {drafts:?}");
    for file in drafts {
        let name = file.strip_prefix(room.collection()).expect("below").to_str().expect("plain");
        let bytes = std::fs::read(file).expect("reads");
        let there = room.path().join("safe").join(name);
        let turn: &dyn Fn() = &|| flip(file);
        let cut: &dyn Fn() = &|| std::fs::write(file, &bytes[..bytes.len() / 2]).expect("written");
        for (spoil, length) in [(turn, true), (cut, false)] {
            spoil();
            let said = room.run(&["backup", "safe"]);
            // Of what is named by its hash the sound copy is enough: that the catalogue's own has changed is for `check`.
            if !(length && file.extension().is_some_and(|ending| ending == "list")) {
                let out = said.said_wrong();
                let place = format!("in its place: `safe/{name}`");
                for words in [&*format!("`collection/{name}`"), "it was not copied", &place] {
                    assert!(out.contains(words), "{name}: `{words}` is not in: {out}");
                }
            }
            assert!(std::fs::read(&there).expect("reads") == bytes, "{name}: the sound copy stays");
            let other = room.run(&["backup", "other"]).said_wrong();
            assert!(other.contains("put it back from another backup"), "{name}: {other}");
            assert!(!room.path().join("other").join(name).exists(), "{name}: no spoilt one where there is none");
            comes_back(&room, name, &bytes);
            std::fs::write(file, &bytes).expect("put back");
            std::fs::remove_dir_all(room.path().join("other")).expect("removed");
        }
    }
    // One that was written on goes into the backup as it stands.
    let drafts = Drafts::at(&room.collection());
    let draft = drafts.all().expect("read").remove(0);
    let typed = |draft: &mut Draft| {
        draft.typed = "stain, hem".into();
        Ok::<_, DraftFault>(())
    };
    drafts.change(&draft.id, draft.version, typed).expect("changed");
    room.run(&["backup", "safe"]).done();
    let name = format!("drafts/{}.json", draft.id);
    comes_back(&room, &name, &std::fs::read(room.collection().join(&name)).expect("reads"));
}

#[test]
fn files_that_belong_to_nothing_are_told_wherever_the_program_keeps_its_own() {
    let room = backed_up();
    for name in [
        "letter.txt",
        "catalogue.schema-3.sqlite",
        "catalogue.schema-9.sqlite.unfinished",
        "catalogue.schema-9.sqlite.unfinished-journal",
        ".incoming-x",
        ".incoming-lock",
        "drafts/lists/.incoming-y",
        "drafts/letter.txt",
        "drafts/lists/letter.txt",
    ] {
        room.write(&format!("collection/{name}"), "x");
    }
    let out = room.run(&["check"]).said_wrong();
    for stray in ["drafts/letter.txt", "drafts/lists/letter.txt"] {
        assert!(out.contains(&format!("`collection/{stray}` is no draft\n    mend: move it")), "{stray}: {out}");
    }
    assert!(out.contains("of no use, may be deleted: 4 files, such as `collection/"), "{out}");
    for owners in ["`collection/letter.txt`", "schema-3", "incoming-lock"] {
        assert!(!out.contains(owners), "what lies there on purpose is nobody's business: {out}");
    }
    std::fs::remove_file(room.collection().join("drafts/letter.txt")).expect("removed");
    std::fs::remove_file(room.collection().join("drafts/lists/letter.txt")).expect("removed");
    assert!(room.run(&["check"]).done().contains("all well"));
}
