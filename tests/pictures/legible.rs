//! Every picture can be read: at any width, on both papers, with few shots and with many.

use crate::{
    season::{bag, play, season},
    seen::Picture,
    support::Running,
};

/// Every picture of a player, with what is asked.
fn all(trial: &str) -> Vec<(&'static str, String)> {
    let player = "/v1/players/rowan";
    let pair = "incumbent=5h&candidate=4u";
    vec![
        ("ladder", format!("{player}/ladder.svg?")),
        ("profile", format!("{player}/clubs/5h/profile.svg?")),
        ("landings", format!("{player}/comparisons/landings.svg?{pair}")),
        ("flights", format!("{player}/comparisons/flights.svg?{pair}")),
    ]
}

fn look(service: &Running, trial: &str, season: &str) {
    for (name, path) in all(trial) {
        for width in [400, 1_200] {
            for theme in ["paper", "night"] {
                let what = format!("{name}-{season}-{width}-{theme}");
                let picture = Picture::of(service, &format!("{path}&width={width}&theme={theme}"));
                picture.keep(&what);
                check(&what, &picture, f64::from(width));
            }
        }
    }
}

fn check(what: &str, picture: &Picture, width: f64) {
    assert!((picture.size[0] - width).abs() < 1e-9, "{what}");
    assert!(!picture.title.is_empty() && !picture.finding.is_empty(), "{what}");
    assert!(picture.text.len() <= 150_000, "{what}: {} bytes", picture.text.len());
    let letters = picture.measured();
    for (at, one) in letters.iter().enumerate() {
        let [left, top, right, bottom] = one.around;
        let [width, height] = picture.size;
        let within = left >= 0.0 && top >= 0.0 && right <= width && bottom <= height;
        assert!(within, "{what}: {one:?} leaves the paper");
        for other in &letters[at + 1..] {
            assert!(!one.covers(other), "{what}: {one:?} covers {other:?}");
        }
    }
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
    play(&service, 0..1, 3);
    look(&service, "", "few");
}
