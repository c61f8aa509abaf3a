//! Every picture as somebody looked at it and found it good: `snapshots/*.svg`. A change of a drawing shows
//! here; look at it, and keep it with `RENEW_PICTURES=1 cargo test --locked --test pictures snapshots`.

use std::{fs, path::Path};

use crate::{season, seen::Picture};

/// How far a number may be off, in pixels or in the last digit of a text: machines reckon the last digits
/// of exponentials and of many flights at once differently.
const OFF: f64 = 1.0;

#[test]
fn pictures_are_as_they_were_found_good() {
    let (service, trial) = season::season(3);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pictures/snapshots");
    let renews = std::env::var_os("RENEW_PICTURES").is_some();
    for (name, path) in season::all(&trial) {
        let drawn = Picture::of(&service, &path).text.replace("><", ">\n<");
        let file = folder.join(format!("{name}.svg"));
        if renews {
            fs::create_dir_all(&folder).unwrap();
            fs::write(&file, &drawn).unwrap();
        }
        let kept = fs::read_to_string(&file).unwrap_or_default();
        if let Some((was, is)) = first_difference(&kept, &drawn) {
            panic!(
                "{name} has changed: look at it, and see the head of this file.\nwas {was}\nis  {is}"
            );
        }
    }
}

/// The first lines that differ by more than the last digits.
fn first_difference(kept: &str, drawn: &str) -> Option<(String, String)> {
    let (mut kept, mut drawn) = (kept.lines(), drawn.lines());
    loop {
        match (kept.next(), drawn.next()) {
            (None, None) => return None,
            (Some(was), Some(is)) if is_alike(was, is) => {}
            (was, is) => {
                return Some([was, is].map(|line| line.unwrap_or_default().to_owned()).into());
            }
        }
    }
}

/// Whether two lines are the same but for numbers that are nearly the same.
fn is_alike(was: &str, is: &str) -> bool {
    let (was, is) = (parts(was), parts(is));
    was.len() == is.len()
        && was.iter().zip(&is).all(|parts| match parts {
            (Part::Number(was), Part::Number(is)) => (was - is).abs() <= OFF,
            (was, is) => was == is,
        })
}

#[derive(Debug, PartialEq)]
enum Part<'a> {
    Number(f64),
    Text(&'a str),
}

fn parts(line: &str) -> Vec<Part<'_>> {
    let of_number = |letter: char| letter.is_ascii_digit() || letter == '.';
    let mut parts = Vec::new();
    let mut rest = line;
    while let Some(first) = rest.chars().next() {
        let end = rest.find(|letter| of_number(letter) != of_number(first)).unwrap_or(rest.len());
        let (part, left) = rest.split_at(end);
        parts.push(part.parse().map_or(Part::Text(part), Part::Number));
        rest = left;
    }
    parts
}

#[test]
fn the_last_digit_may_differ_and_nothing_else() {
    let line = "<circle cx=\"12.3\" cy=\"40\" fill=\"#1b2a49\"/>";
    assert!(is_alike(line, "<circle cx=\"12.9\" cy=\"40.5\" fill=\"#1b2a49\"/>"));
    assert!(!is_alike(line, "<circle cx=\"14.3\" cy=\"40\" fill=\"#1b2a49\"/>"));
    assert!(!is_alike(line, "<circle cx=\"12.3\" cy=\"40\" fill=\"#1b2a90\"/>"));
    assert!(!is_alike(line, "<circle cx=\"-12.3\" cy=\"40\" fill=\"#1b2a49\"/>"));
}
