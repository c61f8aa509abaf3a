//! The documents of the catalogue.

use crate::invalid;
use evencarry::shot::{
    Act, Bag, BagId, Ball, BallId, BallKind, Club, ClubId, ClubKind, Context, Document,
    FlightOrigin, Hand, Lie, Place, Player, PlayerId, Rejection, Source, SourceId, Subject,
};
use serde_json::{Value, json};

/// The pointers and words of a document's faults.
fn told<T: std::fmt::Debug>(
    read: fn(&[u8]) -> Result<T, Rejection>,
    document: &Value,
) -> Vec<(String, String)> {
    let faults = invalid(read(document.to_string().as_bytes()));
    faults.into_iter().map(|fault| (fault.pointer, fault.detail)).collect()
}

fn player() -> PlayerId {
    PlayerId::parse("rowan").unwrap()
}

const CLUB: &str = r#"{"name": "5-hybrid", "kind": "hybrid", "model": "demo model", "loft_deg": 25,
    "measured_loft_deg": 24.6, "lie_deg": 59, "length_m": 0.99, "shaft": "", "setting": "",
    "demo": false, "notes": "", "ratings": {"look": 4, "feel": 3, "trust": 5},
    "builds": [{"from": "2026-03-01", "what": "regripped"}]}"#;

const SOURCE: &str = r#"{"name": "Bay 3", "place": "indoor", "lie": "mat", "ball": "range-b",
    "altitude_m": 1480, "target_bearing_deg": 40, "zone": "Europe/Madrid",
    "flight_origin": "tracked", "spin_origin": "measured", "speed_origin": "measured",
    "adjusted_for": []}"#;

#[test]
fn the_published_documents_are_read_and_given_back_as_they_are() {
    fn round<T: serde::Serialize>(document: &T, sent: &str) {
        let sent: Value = serde_json::from_str(sent).unwrap();
        let given = serde_json::to_value(document).unwrap();
        // Whole numbers come back as doubles.
        assert_eq!(given.to_string().replace(".0,", ",").replace(".0}", "}"), sent.to_string());
    }
    let sent = r#"{"name": "Rowan", "hand": "right", "notes": ""}"#;
    let document = Player::from_json(sent.as_bytes()).unwrap();
    assert_eq!(document.hand, Some(Hand::Right));
    round(&document, sent);
    let document = Club::from_json(CLUB.as_bytes()).unwrap();
    assert_eq!(document.kind, Some(ClubKind::Hybrid));
    assert_eq!(document.builds[0].from.to_string(), "2026-03-01");
    round(&document, CLUB);
    let sent = r#"{"name": "Spring", "clubs": ["d", "3w", "5h", "6i", "pt"]}"#;
    round(&Bag::from_json(sent.as_bytes()).unwrap(), sent);
    let sent = r#"{"name": "Range ball, batch B", "kind": "range", "batch": "B"}"#;
    let document = Ball::from_json(sent.as_bytes()).unwrap();
    assert_eq!(document.kind, Some(BallKind::Range));
    round(&document, sent);
    let document = Source::from_json(SOURCE.as_bytes()).unwrap();
    assert_eq!(
        (document.place, document.flight_origin),
        (Some(Place::Indoor), Some(FlightOrigin::Tracked))
    );
    assert!(document.adjusted_for.unwrap().is_empty());
    round(&document, SOURCE);
    let sent = r#"{"player": "rowan", "club": "5h", "lie": "mat", "ball": "range-b"}"#;
    let document = Context::from_json(sent.as_bytes()).unwrap();
    assert_eq!((document.lie, document.player.clone()), (Some(Lie::Mat), Some(player())));
    round(&document, sent);
    assert_eq!(Context::from_json(b"{}").unwrap(), Context::default());
}

#[test]
fn a_name_is_all_that_a_document_needs() {
    let bare = br#"{"name": "x"}"#;
    assert!(Player::from_json(bare).is_ok() && Club::from_json(bare).is_ok());
    assert!(Bag::from_json(bare).is_ok() && Ball::from_json(bare).is_ok());
    assert!(Source::from_json(bare).is_ok());
    for faults in [
        told(Player::from_json, &json!({})),
        told(Club::from_json, &json!({})),
        told(Bag::from_json, &json!({})),
        told(Ball::from_json, &json!({})),
        told(Source::from_json, &json!({})),
    ] {
        assert_eq!(faults.len(), 1);
        assert_eq!(faults[0].0, "/name");
    }
}

#[test]
fn all_faults_of_a_document_are_told_at_once() {
    let document = json!({
        "kind": "sand iron", "loft_deg": 95, "lenght_m": 1, "demo": "no", "notes": 3,
        "ratings": {"look": 6, "feel": 2.5, "smell": 1},
        "builds": [{"from": "2026-02-30"}, {"what": "bent"}, 3, {"from": "20260301"}]
    });
    let mut pointers: Vec<_> =
        told(Club::from_json, &document).into_iter().map(|fault| fault.0).collect();
    pointers.sort();
    assert_eq!(
        pointers,
        [
            "/builds/0/from",
            "/builds/1/from",
            "/builds/2",
            "/builds/3/from",
            "/demo",
            "/kind",
            "/lenght_m",
            "/loft_deg",
            "/name",
            "/notes",
            "/ratings/feel",
            "/ratings/look",
            "/ratings/smell",
        ]
    );
}

#[test]
fn an_unknown_member_is_told_the_nearest() {
    let faults = told(Club::from_json, &json!({"name": "x", "lenght_m": 1}));
    assert!(faults[0].1.contains("length_m"), "{}", faults[0].1);
    let faults = told(Player::from_json, &json!({"name": "x", "handed": "left"}));
    assert!(faults[0].1.contains("hand"), "{}", faults[0].1);
}

#[test]
fn null_is_a_fault_in_a_document() {
    let faults = told(Ball::from_json, &json!({"name": "x", "batch": null}));
    assert!(faults[0].1.contains("is null"), "{}", faults[0].1);
}

#[test]
fn lengths_and_altitudes_are_taken_in_any_unit_once() {
    let club = Club::from_json(br#"{"name": "x", "length_yd": 1}"#).unwrap();
    assert_eq!(club.length_m, Some(0.914_4));
    let source = Source::from_json(br#"{"name": "x", "altitude_ft": 1000}"#).unwrap();
    assert_eq!(source.altitude_m, Some(304.8));
    let faults = told(Club::from_json, &json!({"name": "x", "length_yd": 1, "length_m": 1}));
    assert_eq!(faults.len(), 1);
    assert!(faults[0].1.contains("second spelling"), "{}", faults[0].1);
}

#[test]
fn a_zone_is_one_that_exists() {
    let faults = told(Source::from_json, &json!({"name": "x", "zone": "Europe/Atlantis"}));
    assert_eq!(faults[0].0, "/zone");
    assert!(Source::from_json(br#"{"name": "x", "zone": "UTC"}"#).is_ok());
}

#[test]
fn texts_have_bounds_and_no_control_characters() {
    let line = |notes: &str| json!({"name": "x", "notes": notes}).to_string();
    assert!(Player::from_json(line("one\ntwo\tthree").as_bytes()).is_ok());
    assert!(Player::from_json(line("bell\u{7}").as_bytes()).is_err());
    assert!(Player::from_json(line(&"\u{e9}".repeat(4_000)).as_bytes()).is_ok());
    assert!(Player::from_json(line(&"x".repeat(4_001)).as_bytes()).is_err());
    assert!(Player::from_json(br#"{"name": ""}"#).is_err());
    assert!(Ball::from_json(br#"{"name": "x", "batch": "a\nb"}"#).is_err());
}

#[test]
fn a_club_stands_once_in_a_bag() {
    let faults = told(Bag::from_json, &json!({"name": "x", "clubs": ["d", "5h", "d", ".."]}));
    let pointers: Vec<_> = faults.iter().map(|fault| fault.0.as_str()).collect();
    assert_eq!(pointers, ["/clubs/2", "/clubs/3"]);
    let many: Vec<_> = (0..101).map(|number| number.to_string()).collect();
    assert!(
        told(Bag::from_json, &json!({"name": "x", "clubs": many}))[0].1.contains("at most 100")
    );
}

#[test]
fn builds_stand_in_the_order_of_their_days_one_a_day() {
    let builds = json!([{"from": "2026-05-01", "what": "bent"}, {"from": "2026-03-01"}]);
    let club = json!({"name": "x", "builds": builds}).to_string();
    let club = Club::from_json(club.as_bytes()).unwrap();
    assert_eq!(club.builds[0].from.to_string(), "2026-03-01");
    let twice = json!([{"from": "2026-05-01"}, {"from": "2026-05-01"}]);
    let faults = told(Club::from_json, &json!({"name": "x", "builds": twice}));
    assert_eq!(faults[0].0, "/builds/1");
}

#[test]
fn a_document_that_is_not_json_of_one_meaning_is_not_json() {
    for text in [&br#"{"name": "a", "name": "b"}"#[..], b"{", b"{\"name\": 1e999}", b"\xff"] {
        let refused = Player::from_json(text).unwrap_err();
        assert!(matches!(refused.kind, evencarry::shot::RejectionKind::NotJson { .. }));
    }
    assert!(!invalid(Player::from_json(b"[]")).is_empty());
}

#[test]
fn a_thing_that_only_a_shot_named_is_called_by_its_id() {
    assert_eq!(Player::bare(&player()).name, "rowan");
    assert_eq!(Club::bare(&ClubId::parse("5h").unwrap()).name, "5h");
    assert_eq!(Ball::bare(&BallId::parse("b").unwrap()).name, "b");
    assert_eq!(Source::bare(&SourceId::parse("bay-3").unwrap()).name, "bay-3");
}

#[test]
fn acts_on_the_catalogue_read_back_from_the_journal() {
    let (club, bag) = (ClubId::parse("5h").unwrap(), BagId::parse("spring").unwrap());
    let (ball, source) = (BallId::parse("b").unwrap(), SourceId::parse("bay-3").unwrap());
    let documents = [
        Document::Player { player: player(), document: Player::bare(&player()) },
        Document::Club {
            player: player(),
            club: club.clone(),
            document: Club::from_json(CLUB.as_bytes()).unwrap(),
        },
        Document::Bag {
            player: player(),
            bag: bag.clone(),
            document: Bag::from_json(br#"{"name": "x", "clubs": ["d"]}"#).unwrap(),
        },
        Document::Ball { ball: ball.clone(), document: Ball::bare(&ball) },
        Document::Source {
            source: source.clone(),
            document: Source::from_json(SOURCE.as_bytes()).unwrap(),
        },
    ];
    let context = Context { player: Some(player()), altitude_m: Some(12.5), ..Context::default() };
    let subjects: Vec<_> = documents.iter().map(Document::subject).collect();
    assert_eq!(
        subjects,
        [
            Subject::Player(player()),
            Subject::Club(player(), club),
            Subject::Bag(player(), bag),
            Subject::Ball(ball),
            Subject::Source(source.clone()),
        ]
    );
    let acts = documents
        .into_iter()
        .map(Act::Put)
        .chain(subjects.into_iter().map(Act::Remove))
        .chain([Act::SetContext { source, context }]);
    for act in acts {
        let text = serde_json::to_string(&act).unwrap();
        assert_eq!(serde_json::from_str::<Act>(&text).unwrap(), act, "{text}");
    }
}
