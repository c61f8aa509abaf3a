//! The sample of the settings file: everything in it, at its default.

use std::fs;

use crate::{deployed, evencarry, shown};

/// Whether a line is a setting that is commented out: `#` and a key, without a space between.
fn is_setting(line: &str) -> bool {
    line.starts_with('#') && !line.starts_with("# ") && line.contains(" = ")
}

fn check_file(text: &str, more: &[&str]) -> crate::Said {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("evencarry.toml");
    fs::write(&file, text).unwrap();
    let arguments = [&["check", "--config", file.to_str().unwrap()], more].concat();
    evencarry(&arguments.into_iter().map(String::from).collect::<Vec<_>>())
}

#[test]
fn the_sample_has_every_setting_and_every_limit_at_its_default() {
    let sample = deployed("evencarry.toml");
    let uncommented: String = sample
        .lines()
        .map(|line| if is_setting(line) { &line[1..] } else { line })
        .flat_map(|line| [line, "\n"])
        .collect();
    let (status, all_set, told) = check_file(&uncommented, &["--data", "here"]);
    assert_eq!(status, Some(0), "{told}");
    let (_, usual, _) = check_file("", &["--data", "here"]);
    assert_eq!(shown(&all_set), shown(&usual));
    for line in all_set.lines().filter(|line| line.contains(" = ") && !line.starts_with("data")) {
        assert!(line.contains("evencarry.toml:"), "the sample lacks {line}");
    }
    let (status, as_it_is, told) = check_file(&sample, &["--data", "here"]);
    assert_eq!(status, Some(0), "{told}");
    assert_eq!(as_it_is, usual, "the sample sets something as it is");
    assert!(sample.contains("\n#data = "));
}

#[test]
fn every_setting_of_the_sample_is_explained() {
    let sample = deployed("evencarry.toml");
    let lines: Vec<&str> = sample.lines().collect();
    for (at, line) in lines.iter().enumerate().filter(|(_, line)| is_setting(line)) {
        assert!(lines[at - 1].starts_with("# "), "{line} is not explained");
        assert!(lines[at - 1].ends_with(['.', ')']), "{line} is explained by no sentence");
    }
}
