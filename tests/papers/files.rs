//! Papers in a folder, and the command line.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use scribeline::sheets::folder::LIST;
use scribeline::sheets::{PaperFile, write};

use super::demo::scene;

fn paper(name: &str, text: &str) -> PaperFile {
    PaperFile { name: name.to_owned(), what: String::new(), bytes: text.as_bytes().to_vec(), pages: Vec::new() }
}

fn names(folder: &Path) -> Vec<String> {
    let all =
        fs::read_dir(folder).expect("a folder").map(|e| e.expect("a file").file_name().into_string().expect("plain"));
    let mut all: Vec<String> = all.collect();
    all.sort();
    all
}

#[test]
fn a_folder_keeps_what_is_not_the_programs_own_and_drops_its_old_papers() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path().join("bench/papers");
    assert_eq!(write(&folder, &[paper("a.pdf", "one"), paper("b.csv", "two")]), Ok(Vec::new()));
    assert_eq!(names(&folder), ["a.pdf", "b.csv", LIST]);
    // SHA-256 of "one", as `sha256sum` prints it.
    let list = fs::read_to_string(folder.join(LIST)).expect("the list");
    assert!(list.contains("7692c3ad3540bb803c020b3aee66cd8887123234ea0c6e7143c0add73ff431ed  a.pdf"), "{list}");
    // Again, with another paper less: it goes. What somebody else put there stays.
    fs::write(folder.join("notes.txt"), "mine").expect("a file");
    assert_eq!(write(&folder, &[paper("a.pdf", "three")]), Ok(vec!["b.csv".to_owned()]));
    assert_eq!(names(&folder), ["a.pdf", "notes.txt", LIST]);
    // A file of the same name that is not the program's, or was changed, is not written over.
    let refused = write(&folder, &[paper("a.pdf", "four"), paper("notes.txt", "five")]).expect_err("foreign");
    assert!(refused.to_string().contains("notes.txt") && refused.what.contains("move it"), "{refused}");
    assert_eq!(fs::read_to_string(folder.join("a.pdf")).expect("a file"), "three", "nothing was written");
    fs::write(folder.join("a.pdf"), "signed").expect("a file");
    assert!(write(&folder, &[paper("a.pdf", "six")]).is_err());
    // A changed paper that is not made any more stays.
    assert_eq!(write(&folder, &[paper("c.pdf", "seven")]), Ok(Vec::new()));
    assert_eq!(names(&folder), ["a.pdf", "c.pdf", "notes.txt", LIST]);
    // A list that is none, a file for a folder, and names that lead elsewhere.
    fs::write(folder.join(LIST), "not a list").expect("a file");
    assert!(write(&folder, &[paper("d.pdf", "")]).expect_err("no list").what.contains("no list of papers"));
    let file = folder.join("c.pdf");
    assert!(write(&file.join("deeper"), &[]).expect_err("a file").what.contains("name a folder"));
    let sum = "0".repeat(64);
    fs::write(folder.join(LIST), format!("{sum}  ../escape\n")).expect("a file");
    assert!(write(&folder, &[]).is_err());
}

fn call(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_scribeline"));
    command.args(arguments).env_remove("CLICOLOR_FORCE").output().expect("the program runs")
}

#[test]
fn the_command_line_writes_papers_and_says_which() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path().join("papers");
    let (car, to) = (scene("dunlin.ron"), folder.to_str().expect("plain").to_owned());
    let car = car.to_str().expect("plain");
    let proposal = ["sheets", car, "--proposal=low and cut"];
    let answer = call(&[&proposal[..], &["--to", &to, "--paper", "letter"]].concat());
    let text = String::from_utf8_lossy(&answer.stdout).into_owned();
    assert_eq!(answer.status.code(), Some(0), "{}", String::from_utf8_lossy(&answer.stderr));
    assert!(text.starts_with("Dunlin hill-climb estate, \"low and cut\": 4 rail templates, "), "{text}");
    for file in names(&folder).iter().filter(|name| *name != LIST) {
        assert!(text.contains(file.as_str()), "{file} is told");
    }
    assert!(text.contains("Brace the shell") && text.contains("Check the lock by hand"));
    let pdf = fs::read(folder.join("copes.pdf")).expect("templates");
    let plain = String::from_utf8_lossy(&pdf).into_owned();
    assert!(plain.contains("Brace the shell"), "every print is warned of");
    // Parsed by another program's rules: JSON with the sentence, and the same count.
    let json: serde_json::Value =
        serde_json::from_slice(&call(&[&proposal[..], &["--json"]].concat()).stdout).expect("JSON");
    assert_eq!(json["question"], "sheets");
    assert_eq!(json["rails"].as_array().map(Vec::len), Some(4));
    let refused = call(&["sheets", car, "--paper", "letter"]);
    assert_eq!(refused.status.code(), Some(2), "paper without a folder");
}
