//! Whatever a club is called, its pictures stay pictures.

use serde_json::json;

use crate::{
    legible::check,
    season::{all, play, put, season},
    seen::Picture,
};

#[test]
fn no_name_breaks_a_picture() {
    let (service, trial) = season(4);
    let long = "a club whose name goes on and on ".repeat(4);
    let names = [
        ("5h", "<script>alert(1)</script> & \"quotes\" ]]>"),
        ("4u", "היברידי ארבע"),
        ("6i", "\u{202e}drawkcab nettirw"),
        ("7i", &long[..128]),
        ("8i", "五番ハイブリッド練習用"),
        ("9i", "W"),
        ("pw", "non\u{fffe}character"),
    ];
    for (club, name) in names {
        put(
            &service,
            &format!("/v1/players/rowan/clubs/{club}"),
            &json!({"name": name, "loft_deg": 25}),
        );
    }
    for (name, path) in all(&trial) {
        for width in [400, 1_200] {
            let picture = Picture::of(&service, &format!("{path}&width={width}"));
            let what = format!("{name}-names-{width}");
            check(&what, &picture, f64::from(width));
            picture.keep(&what);
            let document = roxmltree::Document::parse(&picture.text).unwrap();
            assert!(
                document.descendants().all(|node| node.tag_name().name() != "script"),
                "{what}"
            );
        }
    }
    let ladder = Picture::of(&service, "/v1/players/rowan/ladder.svg?width=1200");
    assert!(ladder.finding.contains("<script>alert(1)</script>"), "{}", ladder.finding);
}

#[test]
fn two_clubs_of_one_name_are_told_apart() {
    let service = crate::season::bag();
    for club in ["8i", "9i"] {
        put(&service, &format!("/v1/players/rowan/clubs/{club}"), &json!({"name": "The iron"}));
    }
    play(&service, 0..1, 4);
    let ladder = Picture::of(&service, "/v1/players/rowan/ladder.svg?width=1200");
    for name in ["The iron (8i)", "The iron (9i)"] {
        assert!(
            ladder.letters.iter().any(|letters| letters.text == name),
            "{name}: {}",
            ladder.text
        );
    }
}
