//! `api-spec/examples/send.py` and `ladder.sh`, run as their first lines say.

use std::{
    io::Write,
    process::{Command, Output},
};

use crate::{
    running::example,
    support::{Running, shot, shot_with},
};

fn run(service: &Running, program: &str, arguments: &[&str]) -> Output {
    let url = format!("http://{}", service.address);
    Command::new(program).args(arguments).env("EVENCARRY_URL", url).output().unwrap()
}

fn printed(output: &Output) -> String {
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    assert!(output.status.success(), "{text}{}", String::from_utf8_lossy(&output.stderr));
    text
}

/// A file of JSON lines: ten shots of the 5h, nine of the 4u, and one that is refused.
fn shots() -> tempfile::NamedTempFile {
    let mut file = tempfile::NamedTempFile::new().unwrap();
    for at in 0..10 {
        writeln!(file, "{}", shot(&format!("a{at}"))).unwrap();
    }
    for at in 0..9 {
        let other = shot_with(&format!("b{at}"), 158.9).replace(r#""club":"5h""#, r#""club":"4u""#);
        writeln!(file, "{other}").unwrap();
    }
    writeln!(file, "{}", shot_with("c", 1_583.0)).unwrap();
    file
}

#[test]
fn the_python_script_sends_and_tells_the_verdict() {
    let service = Running::start();
    let shots = shots();
    let script = example("send.py");
    let arguments = [script.to_str().unwrap(), shots.path().to_str().unwrap(), "rowan", "5h"];
    let first = printed(&run(&service, "python3", &arguments));
    assert!(
        first.starts_with("19 accepted, 0 known, 1 refused\n  line 20, /flight/carry_m"),
        "{first}"
    );
    assert!(first.contains("\n4u: insufficient\n  carry_held (carry_m): open"), "{first}");
    let again = printed(&run(&service, "python3", &arguments));
    assert!(again.starts_with("0 accepted, 19 known, 1 refused\n"), "{again}");
}

#[test]
fn the_python_script_says_why_it_was_refused() {
    let service = Running::start();
    let shots = shots();
    let script = example("send.py");
    let nobody = [script.to_str().unwrap(), shots.path().to_str().unwrap(), "nobody", "5h"];
    let refused = run(&service, "python3", &nobody);
    assert!(!refused.status.success());
    let words = String::from_utf8(refused.stderr).unwrap();
    assert!(words.contains("no player is called \"nobody\""), "{words}");
}

#[test]
fn the_shell_line_prints_the_ladder_as_a_table() {
    let service = Running::start();
    assert_eq!(service.stream(&std::fs::read_to_string(shots().path()).unwrap()).status, 200);
    let table = printed(&run(&service, "sh", &[example("ladder.sh").to_str().unwrap(), "rowan"]));
    let rows: Vec<Vec<&str>> = table.lines().map(|row| row.split('\t').collect()).collect();
    assert_eq!(rows, [["5h", "158.3", "16.8", "5240", "10"], ["4u", "158.9", "16.8", "5240", "9"]]);
}
