//! What a picture says in words has the numbers of the resource beside it.

use serde_json::Value;

use crate::{season::season, seen::Picture};

/// As sentences have it: a tenth below ten, else whole (README, "Units").
fn said(figure: f64, unit: &str) -> String {
    let figure = if figure.abs() < 10.0 { (figure * 10.0).round() / 10.0 } else { figure.round() };
    format!("{figure} {unit}").replace('-', "−")
}

fn tells(picture: &Picture, figure: &Value, unit: &str) {
    let told = said(figure.as_f64().unwrap(), unit);
    assert!(picture.finding.contains(&told), "{told} is not in: {}", picture.finding);
}

#[test]
fn findings_have_the_numbers_of_their_resources() {
    let (service, _) = season(6);
    let player = "/v1/players/rowan";
    for (units, unit) in [("si", "m"), ("imperial", "yd")] {
        let both = |path: &str, query: &str| {
            let resource = service.get(&format!("{player}/{path}?{query}units={units}")).json();
            (resource, format!("?{query}units={units}&width=800"))
        };
        let carry = format!("carry_{unit}");

        let (ladder, query) = both("ladder", "");
        let picture = Picture::of(&service, &format!("{player}/ladder.svg{query}"));
        let rungs = ladder["rungs"].as_array().unwrap();
        for rung in [rungs.first().unwrap(), rungs.last().unwrap()] {
            tells(&picture, &rung["metrics"][&carry]["centre"], unit);
        }
        for gap in ladder["gaps"].as_array().unwrap().iter().filter(|gap| gap["wide"] == true) {
            tells(&picture, &gap[format!("width_{unit}")], unit);
        }

        let (profile, query) = both("clubs/5h/profile", "");
        let picture = Picture::of(&service, &format!("{player}/clubs/5h/profile.svg{query}"));
        let ellipse = &profile["ellipse"];
        tells(&picture, &ellipse[&carry], unit);
        let holds = format!("holds {} of {}", ellipse["inside"], ellipse["n"]);
        assert!(picture.finding.contains(&holds), "{holds}: {}", picture.finding);

        let pair = "incumbent=5h&candidate=4u&";
        let (compared, query) = both("comparisons", pair);
        let picture = Picture::of(&service, &format!("{player}/comparisons/landings.svg{query}"));
        let differs = &compared["differences"][&carry];
        // Ends of what is less are told as sizes too.
        let [by, low, high] = ["estimate", "low", "high"].map(|end| differs[end].as_f64().unwrap());
        for end in [low, high] {
            tells(&picture, &Value::from(if by < 0.0 { -end } else { end }), unit);
        }
        tells(&picture, &compared["candidate_ellipse"][&carry], unit);

        let (judged, query) = both("replacements", pair);
        let picture = Picture::of(&service, &format!("{player}/replacements.svg{query}"));
        let criteria = judged["candidates"][0]["criteria"].as_array().unwrap();
        let lower = criteria.iter().find(|criterion| criterion["name"] == "launch_lower").unwrap();
        let told = format!("{}°", said(lower["estimate"].as_f64().unwrap().abs(), "").trim());
        assert!(picture.finding.contains(&told), "{told}: {}", picture.finding);

        let (drifts, query) = both("drifts", "club=7i&");
        let picture = Picture::of(&service, &format!("{player}/drifts.svg{query}"));
        assert_eq!(picture.finding, drifts["clubs"][0]["words"].as_str().unwrap());
    }
}

#[test]
fn a_flight_is_told_with_the_numbers_of_the_club_flown() {
    let (service, _) = season(6);
    let player = "/v1/players/rowan";
    let picture = Picture::of(
        &service,
        &format!("{player}/comparisons/flights.svg?incumbent=5h&candidate=4u"),
    );
    for club in ["5h", "4u"] {
        // All shots of both clubs are like for like here, so that the club flown by itself is the same.
        let flight = service.get(&format!("{player}/clubs/{club}/flight")).json();
        let typical = &flight["reference"]["typical"];
        for (figure, unit) in [("carry_m", "m"), ("apex_m", "m")] {
            tells(&picture, &typical[figure], unit);
        }
        tells(&picture, &flight["reference"]["spread"]["carry_m"]["p10"], "m");
    }
}

#[test]
fn wind_is_told_with_the_numbers_of_the_comparison() {
    let (service, _) = season(6);
    let comparisons = "/v1/players/rowan/comparisons";
    let pair = "incumbent=5h&candidate=4u";
    let picture = Picture::of(&service, &format!("{comparisons}/wind.svg?{pair}"));
    let compared = service.get(&format!("{comparisons}?{pair}&conditions=true")).json();
    let winds = compared["conditions"]["winds"].as_array().unwrap();
    for side in ["head", "tail"] {
        let is_told = |wind: &&Value| {
            let speed = wind["wind"]["speed_mps"].as_f64().unwrap();
            wind["wind_side"] == side && (speed - 8.940_8).abs() < 1e-9
        };
        let wind = winds.iter().find(is_told).unwrap();
        let carries = ["incumbent", "candidate"].map(|club| &wind[club]["carry_m"]["median"]);
        for carry in carries {
            tells(&picture, carry, "m");
            let written = said(carry.as_f64().unwrap(), "m");
            let is_there = picture.letters.iter().any(|letters| letters.text == written);
            assert!(is_there, "{written} does not stand at its line");
        }
        // How much they differ is told by one figure, the resource's, as a size.
        let kept = said(wind["candidate_keeps_m"]["estimate"].as_f64().unwrap().abs(), "m");
        assert!(picture.finding.contains(&format!("{kept} more")), "{}", picture.finding);
        assert!(!picture.finding.contains('−'), "{}", picture.finding);
    }
}

#[test]
fn wind_is_flown_by_the_model_that_the_comparison_takes() {
    let (service, _) = season(6);
    let comparisons = "/v1/players/rowan/comparisons";
    let wind = |asked: &str| format!("{comparisons}/wind.svg?incumbent=5h&candidate=4u{asked}");
    let usual = Picture::of(&service, &wind(""));
    for by in ["&aerodynamics=ball-1990s", "&calibration=none"] {
        let picture = Picture::of(&service, &wind(by));
        let compared = format!("{comparisons}?incumbent=5h&candidate=4u{by}");
        let compared = service.get(&compared).json();
        let still = &compared["conditions"]["still"];
        for club in ["incumbent", "candidate"] {
            tells(&picture, &still[club]["carry_m"]["median"], "m");
        }
        // The season is flown by the other model as it is, so that a fit to it changes little.
        let same = picture.finding == usual.finding;
        assert_eq!(same, by.contains("calibration"), "{by}: {}", picture.finding);
    }
    let refused = service.get(&wind("&calibration=mine")).json();
    assert_eq!(refused["errors"][0]["parameter"], "calibration");
}

#[test]
fn a_trial_is_told_as_it_stands() {
    let (service, trial) = season(6);
    let standing = &service.get(&trial).json()["standings"][0];
    let picture = Picture::of(&service, &format!("{trial}/history.svg"));
    let words = match standing["verdict"].as_str().unwrap() {
        "undecided" => "The verdict on the 4-utility is undecided",
        "replaces" => "The 4-utility replaces the 5-hybrid",
        "does_not_replace" => "The 4-utility does not replace the 5-hybrid",
        _ => "too few",
    };
    assert!(picture.finding.contains(words), "{words}: {}", picture.finding);
    let history = service.get(&format!("{trial}/history?limit=1000")).json();
    let shots = history["items"].as_array().unwrap().len();
    assert!(picture.finding.starts_with(&format!("{shots} shots counted")), "{}", picture.finding);
}
