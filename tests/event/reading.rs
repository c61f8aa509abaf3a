//! What an accepted event says, in the units kept.

use crate::{FULL, read, with};
use evencarry::shot::{
    Adjustment, FlightOrigin, Ground, Height, Lie, Measure, Place, Purpose, Shape, SpeedOrigin,
    SpinOrigin, Swing, parse,
};
use serde_json::json;

/// Nearly equal: within the last digits of a double.
fn near(got: Option<f64>, wanted: f64) {
    let got = got.unwrap();
    assert!((got - wanted).abs() <= 1e-12 * wanted.abs().max(1.0), "{got} is not {wanted}");
}

#[test]
fn the_full_event_is_read_whole() {
    let event = parse(FULL.as_bytes()).unwrap();
    assert_eq!(event.id.as_str(), "000182");
    assert_eq!(event.source.as_str(), "bay-3");
    assert_eq!(event.time, "2026-04-11T08:15:04.12Z".parse().unwrap());
    assert_eq!(event.player.as_ref().unwrap().as_str(), "rowan");
    assert_eq!(event.club.as_ref().unwrap().as_str(), "5h");
    assert_eq!(event.session.as_ref().unwrap().as_str(), "spring-1");
    assert_eq!(event.ball.as_ref().unwrap().as_str(), "range-b");
    assert_eq!(
        (event.lie, event.place, event.ground),
        (Some(Lie::Mat), Some(Place::Indoor), Some(Ground::Firm))
    );
    assert_eq!(event.purpose, Purpose::Practice);
    assert!(!event.wet);
    assert_eq!(event.spin_origin, Some(SpinOrigin::Measured));
    assert_eq!(event.speed_origin, Some(SpeedOrigin::Measured));
    assert_eq!(event.flight_origin, Some(FlightOrigin::Tracked));
    assert!(event.adjusted_for.unwrap().is_empty());
    let measured: Vec<_> = event.measures.iter().collect();
    let wanted = [
        (Measure::BallSpeed, 51.9),
        (Measure::LaunchAngle, 16.8),
        (Measure::LaunchDirection, -0.8),
        (Measure::SpinRate, 5_240.0),
        (Measure::SpinAxis, 2.1),
        (Measure::ClubheadSpeed, 38.0),
        (Measure::AttackAngle, -2.9),
        (Measure::HeadPath, 1.0),
        (Measure::FaceToTarget, 0.2),
        (Measure::DeliveredLoft, 20.4),
        (Measure::StrikeToe, 3.0),
        (Measure::StrikeHigh, -2.0),
        (Measure::Carry, 158.3),
        (Measure::Total, 160.1),
        (Measure::Side, 3.1),
        (Measure::Apex, 29.4),
        (Measure::Descent, 49.0),
        (Measure::HangTime, 6.0),
    ];
    assert_eq!(measured, wanted);
    assert_eq!(event.air.temperature_c, Some(9.0));
    assert_eq!(event.air.pressure_hpa, Some(845.0));
    assert_eq!(event.air.humidity_pct, Some(40.0));
    assert_eq!(event.air.altitude_m, Some(1_480.0));
    assert_eq!(event.wind.speed_mps, Some(0.0));
    assert_eq!((event.wind.from_deg, event.wind.height_m), (Some(0.0), Some(10.0)));
    assert_eq!((event.target.distance_m, event.target.elevation_m), (Some(160.0), Some(0.0)));
    assert!(event.unusual.is_empty());
}

#[test]
fn absent_members_are_stated_defaults_or_unknown() {
    let event = read(&with(&json!({}))).unwrap();
    assert_eq!(
        (event.intent.height, event.intent.shape, event.intent.swing),
        (Height::Stock, Shape::Straight, Swing::Full)
    );
    assert_eq!(event.purpose, Purpose::Practice);
    assert!(!event.wet);
    assert_eq!((event.lie, event.place, event.ground), (None, None, None));
    assert_eq!((event.spin_origin, event.flight_origin, event.adjusted_for), (None, None, None));
    assert_eq!(event.measures.get(Measure::SpinRate), None);
    assert_eq!(event.measures.iter().count(), 1);
}

#[test]
fn every_word_of_an_intent_is_read() {
    let event = read(&with(&json!({"intent": {"height": "low", "swing": "part"}}))).unwrap();
    assert_eq!(
        (event.intent.height, event.intent.shape, event.intent.swing),
        (Height::Low, Shape::Straight, Swing::Part)
    );
    let event =
        read(&with(&json!({"intent": {"shape": "fade"}, "purpose": "warm_up", "wet": true})))
            .unwrap();
    assert_eq!(event.intent.shape, Shape::Fade);
    assert_eq!(event.purpose, Purpose::WarmUp);
    assert!(event.wet);
    let event = read(&with(&json!({"flight": {"adjusted_for": ["wind", "ball"]}}))).unwrap();
    let adjusted: Vec<_> = event.adjusted_for.unwrap().iter().collect();
    assert_eq!(adjusted, [Adjustment::Wind, Adjustment::Ball]);
}

#[test]
fn imperial_spellings_are_kept_in_si() {
    let event = read(&json!({
        "id": "1", "source": "s", "time": "2026-04-11T10:15:04Z",
        "launch": {"ball_speed_mph": 100, "launch_angle_deg": 15},
        "clubhead": {"speed_kmh": 126},
        "flight": {"carry_yd": 200, "apex_ft": 100},
        "air": {"temperature_f": 50, "pressure_inhg": 29, "altitude_ft": 1000},
        "wind": {"speed_kt": 10, "height_ft": 10},
        "target": {"distance_yd": 180, "elevation_ft": -20}
    }))
    .unwrap();
    // Factors: NIST SP 811 (2008), appendix B.8.
    near(event.measures.get(Measure::BallSpeed), 44.704);
    near(event.measures.get(Measure::ClubheadSpeed), 35.0);
    near(event.measures.get(Measure::Carry), 182.88);
    near(event.measures.get(Measure::Apex), 30.48);
    near(event.air.temperature_c, 10.0);
    near(event.air.pressure_hpa, 982.052_81);
    near(event.air.altitude_m, 304.8);
    near(event.wind.speed_mps, 18_520.0 / 3_600.0);
    near(event.wind.height_m, 3.048);
    near(event.target.distance_m, 164.592);
    near(event.target.elevation_m, -6.096);
}

#[test]
fn a_spin_pair_is_kept_as_rate_and_axis() {
    let spin = |back: f64, side: f64| {
        let event =
            read(&with(&json!({"launch": {"backspin_rpm": back, "sidespin_rpm": side}}))).unwrap();
        let topspin = event.has_topspin();
        (event.measures.get(Measure::SpinRate), event.measures.get(Measure::SpinAxis), topspin)
    };
    let (rate, axis, topspin) = spin(4_000.0, 3_000.0);
    near(rate, 5_000.0);
    // The angle of the 3-4-5 triangle: atan(3/4).
    near(axis, 36.869_897_645_844_02);
    assert!(!topspin);
    assert!(spin(4_000.0, -500.0).1.unwrap() < 0.0, "a spin to the left has a negative axis");
    assert_eq!(spin(0.0, 0.0), (Some(0.0), Some(0.0), false));
    assert_eq!(spin(-0.0, 0.0), (Some(0.0), Some(0.0), false), "a negative zero is zero");
    let (rate, axis, topspin) = spin(-800.0, 0.0);
    near(rate, 800.0);
    near(axis, 180.0);
    assert!(topspin);
}

#[test]
fn names_are_compared_in_nfc() {
    let player = |name: &str| read(&with(&json!({"player": name}))).unwrap().player.unwrap();
    assert_eq!(player("Zo\u{eb}"), player("Zoe\u{308}"));
    let escaped = r#"{"id":"1","source":"s","time":"2026-04-11T10:15:04Z","player":"Zo\u0065\u0308","flight":{"carry_m":1}}"#;
    assert_eq!(parse(escaped.as_bytes()).unwrap().player.unwrap(), player("Zo\u{eb}"));
}
