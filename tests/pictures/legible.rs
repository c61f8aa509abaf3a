//! Every picture can be read: at any width, on both papers, with few shots and with many.

use crate::{
    season::{all, bag, play, season, trial, trial_of},
    seen::Picture,
    support::Running,
};

fn look(service: &Running, trial: &str, season: &str) {
    for (name, path) in all(trial) {
        for width in [400, 1_200] {
            let at = format!("{path}&width={width}");
            let picture = Picture::of(service, &at);
            let what = format!("{name}-{season}-{width}");
            check(&what, &picture, f64::from(width));
            picture.keep(&what);
            if width == 400 && season == "usual" {
                let night = Picture::of(service, &format!("{at}&theme=night"));
                check_contrast(&what, &night);
                night.keep(&format!("{what}-night"));
            }
        }
    }
}

/// Nothing leaves the paper, no text lies on another, and the file stays small.
pub(crate) fn check(what: &str, picture: &Picture, width: f64) {
    assert!((picture.size[0] - width).abs() < 1e-9, "{what}");
    assert!(!picture.title.is_empty() && !picture.finding.is_empty(), "{what}");
    assert!(picture.text.len() <= 150_000, "{what}: {} bytes", picture.text.len());
    let letters = picture.measured();
    for (at, one) in letters.iter().enumerate() {
        let [left, top, right, bottom] = one.around;
        let [width, height] = picture.size;
        let within = left >= 0.0 && top >= 0.0 && right <= width && bottom <= height;
        assert!(within, "{what}: {one:?} leaves the paper");
        assert!(one.size >= 10.0, "{what}: {one:?} is too small to be read");
        for other in &letters[at + 1..] {
            assert!(!one.covers(other), "{what}: {one:?} covers {other:?}");
        }
    }
    check_contrast(what, picture);
}

/// WCAG 2.2, 1.4.3: letters have a contrast of 4.5 to what they stand on.
fn check_contrast(what: &str, picture: &Picture) {
    for letters in &picture.letters {
        let (one, other) = (luminance(&letters.fill), luminance(&picture.paper));
        let contrast = (one.max(other) + 0.05) / (one.min(other) + 0.05);
        assert!(contrast >= 4.5, "{what}: {letters:?} has a contrast of {contrast}");
    }
}

/// Relative luminance of `#rrggbb` (WCAG 2.2, glossary).
fn luminance(colour: &str) -> f64 {
    let part = |at: usize| {
        let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
        if value <= 0.040_45 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
}

#[test]
fn luminance_is_that_of_the_standard() {
    let contrast = (luminance("#ffffff") + 0.05) / (luminance("#767676") + 0.05);
    // WebAIM and the W3C name this grey as the lightest that has 4.5 on white.
    assert!((contrast - 4.54).abs() < 0.01, "{contrast}");
}

#[test]
fn a_usual_season_can_be_read() {
    let (service, trial) = season(6);
    look(&service, &trial, "usual");
}

#[test]
fn five_hundred_shots_a_club_can_be_read() {
    let (service, trial) = season(50);
    look(&service, &trial, "many");
}

#[test]
fn a_first_visit_can_be_read() {
    let service = bag();
    let trial = trial(&service);
    play(&service, 0..1, 3);
    look(&service, &trial, "few");
}

#[test]
fn a_trial_of_several_clubs_can_be_read() {
    let service = bag();
    let trial = trial_of(&service, &["4u", "6i", "7i"]);
    play(&service, 0..4, 6);
    for width in [400, 1_200] {
        let picture = Picture::of(&service, &format!("{trial}/history.svg?width={width}"));
        check("several", &picture, f64::from(width));
        picture.keep(&format!("history-several-{width}"));
    }
}

#[test]
fn what_is_missing_is_said_in_place_of_a_drawing() {
    let service = bag();
    let trial = trial(&service);
    look(&service, &trial, "none");
    for (name, path) in all(&trial) {
        let picture = Picture::of(&service, &path);
        assert!(picture.letters.len() < 12, "{name} draws what there is not: {}", picture.text);
    }
}

#[test]
fn many_clubs_stand_in_columns_where_there_is_room() {
    let (service, _) = season(3);
    let columns = |width: u32| {
        let picture = Picture::of(&service, &format!("/v1/players/rowan/drifts.svg?width={width}"));
        let names = ["3-wood", "Driver", "Sand wedge"];
        let at = |name| {
            let found = picture.letters.iter().find(|letters| letters.text == name);
            found.unwrap_or_else(|| panic!("{name} is missing")).around[0] as i64
        };
        (std::collections::BTreeSet::from(names.map(at)).len(), picture.size[1])
    };
    assert_eq!(columns(400).0, 1);
    let (wide, height) = columns(1_200);
    assert_eq!(wide, 2);
    assert!(height < 600.0, "{height}");
}
