//! What could not be computed of a club says why, and a verdict that waits for it says so too.

use serde_json::{Value, json};

use crate::{
    support::Running,
    two_clubs::{self, CLUBS, candidate},
};

const BOTH: &str = "&launch_floor_computed=true&carry_kept_in_wind_by_m=9";
/// Twelve visits whose flights nobody tracked.
fn played(change: impl Fn(&str, &mut Value)) -> Running {
    two_clubs::played(12, &CLUBS, |club, event| {
        event["flight"]["origin"] = json!("modelled");
        change(club, event);
    })
}

/// Why the carry into the wind and the floor are not computed.
fn hindered(candidate: &Value) -> [Value; 2] {
    let criteria = candidate["criteria"].as_array().unwrap();
    ["carry_kept_in_wind", "above_computed_floor"].map(|name| {
        let found = criteria.iter().find(|one| one["name"] == name).unwrap();
        assert_eq!(
            (&found["state"], &found["estimate"]),
            (&json!("unclear_by_models"), &Value::Null)
        );
        found["hindered_by"].clone()
    })
}

#[test]
fn what_lacks_is_named_and_of_which_club() {
    let few = "too few shots of the candidate count like for like";
    let apart =
        played(|club, event| event["session"] = json!(format!("{}-{club}", event["session"])));
    assert_eq!(hindered(&candidate(&apart, BOTH)), [few; 2].map(Value::from), "no visit with both");

    let unlaunched = played(|club, event| {
        if club == "4u" {
            event["launch"].as_object_mut().unwrap().remove("ball_speed_mps");
        }
    });
    let launches = "ball speed and launch angle of too few shots of the candidate are known";
    assert_eq!(hindered(&candidate(&unlaunched, BOTH)), [launches; 2].map(Value::from));

    // A floor takes no spin of the incumbent; the wind does.
    let unspun = played(|club, event| {
        if club == "5h" {
            event["launch"]["spin_origin"] = json!("from_flight");
        }
    });
    let told = candidate(&unspun, "&carry_kept_in_wind_by_m=9");
    let of_wind = told["criteria"].as_array().unwrap().last().unwrap();
    let why = "the spin of too few shots of the incumbent is measured";
    assert_eq!(
        (&of_wind["name"], &of_wind["hindered_by"]),
        (&json!("carry_kept_in_wind"), &json!(why))
    );

    let uncarried = played(|_, event| {
        event.as_object_mut().unwrap().remove("flight");
    });
    let told = candidate(&uncarried, BOTH);
    let floor = told["criteria"].as_array().unwrap().last().unwrap();
    let why = "no like-for-like carry of the candidate is known";
    assert_eq!(
        (&floor["name"], &floor["hindered_by"]),
        (&json!("above_computed_floor"), &json!(why))
    );
}

/// All that is measured is proven, and the verdict waits for what is computed: not as was asked, not agreed on and
/// not computed are three things.
#[test]
fn a_verdict_that_waits_says_for_which_of_three_reasons() {
    let service = played(|_, _| {});
    let why = |more: &str| candidate(&service, more)["why"].clone();
    assert_eq!(
        why("&carry_kept_in_wind_by_m=20"),
        "what is computed of it is not as was asked: carry_kept_in_wind (carry_m)"
    );
    assert_eq!(
        why("&carry_kept_in_wind_by_m=12.5"),
        "the models of flight do not agree on what was asked: carry_kept_in_wind (carry_m)"
    );
    let unspun = played(|club, event| {
        if club == "5h" {
            event["launch"]["spin_origin"] = json!("from_flight");
        }
    });
    let judged = candidate(&unspun, "&carry_kept_in_wind_by_m=9");
    assert_eq!(
        (&judged["verdict"], &judged["why"]),
        (
            &json!("undecided"),
            &json!(
                "carry_kept_in_wind (carry_m) could not be computed: the spin of too few shots of the \
                 incumbent is measured"
            )
        )
    );
}

/// What is computed and lacks is no business of the picture of launches, whose criteria are proven by shots.
#[test]
fn the_picture_of_launches_says_of_measured_criteria_alone_that_they_cannot_be_proven() {
    let unspun = played(|_, event| event["launch"]["spin_origin"] = json!("from_flight"));
    let path =
        "/v1/players/rowan/replacements.svg?incumbent=5h&candidate=4u&launch_floor_computed=true";
    let picture = unspun.get(path);
    assert_eq!(picture.status, 200, "{}", picture.text());
    assert!(!picture.text().contains("Not to be proven"), "{}", picture.text());
}
