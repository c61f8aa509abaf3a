//! Acts of every kind on a small world, so that they meet: two sources, two players, three clubs.

use evencarry::bag::Brief;
use evencarry::shot::{
    Act, Assignment, Bag, BagId, Ball, BallId, Club, ClubId, Context, Correction, CsvMapping,
    CsvMappingId, Document, Player, PlayerId, Retirement, Sequence, Source, SourceId, Subject,
    Trial, TrialPatch,
};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::gone;

/// So few rows stay in memory that idle owners are dropped all the time.
pub(crate) const ROWS_KEPT: usize = 5;

#[derive(Debug, Clone)]
pub(crate) enum Step {
    Shots(Vec<String>),
    Act(Box<Act>),
    Assign(Box<Assignment>),
    Retire(Box<Retirement>),
    /// One of a player's trials is changed, or removed.
    Trial(PlayerId, usize, Option<TrialPatch>),
    Ask,
    Restart,
}

pub(crate) const PLAYERS: [&str; 2] = ["rowan", "marit"];
const CLUBS: [&str; 3] = ["5h", "4i", "7w"];
pub(crate) const SOURCES: [&str; 2] = ["bay-1", "bay-2"];
const BALLS: [&str; 2] = ["range-a", "course-b"];
pub(crate) const FLAGS: [&str; 4] = ["mishit", "late", "other_club", "unscreened"];
const ADJUSTED: [&str; 2] = ["air", "wind"];
const LIES: [&str; 3] = ["mat", "fairway", "wet_fairway"];

pub(crate) fn steps() -> impl Strategy<Value = Vec<Step>> {
    let some = prop_oneof![
        24 => step().prop_map(|step| vec![step]),
        1 => gone::while_a_bay_goes_on(),
    ];
    prop::collection::vec(some, 1..50).prop_map(|steps| steps.concat())
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        12 => prop::collection::vec(shot(), 1..12).prop_map(Step::Shots),
        5 => act().prop_map(|act| Step::Act(Box::new(act))),
        2 => assignment().prop_map(|assignment| Step::Assign(Box::new(assignment))),
        1 => gone::retirement().prop_map(|retirement| Step::Retire(Box::new(retirement))),
        2 => trial_step(),
        1 => Just(Step::Ask),
        1 => Just(Step::Restart),
    ]
}

pub(crate) fn one(of: &'static [&'static str]) -> impl Strategy<Value = &'static str> {
    prop::sample::select(of)
}

fn maybe(of: &'static [&'static str]) -> impl Strategy<Value = Option<&'static str>> {
    prop_oneof![1 => Just(None), 3 => prop::sample::select(of).prop_map(Some)]
}

/// Most often the first, so that clubs meet like for like.
fn mostly(of: &'static [&'static str]) -> impl Strategy<Value = Option<&'static str>> {
    prop_oneof![8 => Just(Some(of[0])), 1 => Just(None), 2 => prop::sample::select(of).prop_map(Some)]
}

prop_compose! {
    pub(crate) fn shot()(
        (source, id) in (one(&SOURCES), 0..400_u32),
        (day, minute) in (1..6_u32, 0..1_440_u32),
        (player, club) in (mostly(&PLAYERS), maybe(&CLUBS)),
        (session, lie, ball) in (maybe(&["v1", "v2"]), mostly(&LIES), mostly(&BALLS)),
        purpose in prop_oneof![9 => Just("practice"), 1 => Just("warm_up")],
        meant in prop_oneof![
            8 => Just(("stock", "straight")), 1 => Just(("low", "straight")), 1 => Just(("stock", "draw")),
        ],
        (side, strike) in (prop::option::of(-20.0..20.0_f64), prop::option::of(-20.0..10.0_f64)),
        (hit_with, off_speed) in (prop::option::weighted(0.15, one(&CLUBS)), -1.5..1.5_f64),
        head_speed in prop::option::weighted(0.4, 36.0..39.0_f64),
        (degrees, altitude) in (prop::option::weighted(0.3, 0..30), prop::option::weighted(0.2, 0..2_000)),
        (wind_from, adjusted) in (prop::option::weighted(0.3, 0..360), prop::option::weighted(0.2, one(&ADJUSTED))),
        (launch, spin, carry) in (10.0..20.0_f64, prop::option::of(3_000..6_000_u32), 130.0..175.0_f64),
    ) -> String {
        let round = |value: f64| (value * 100.0).round() / 100.0;
        // Clubs far enough apart that a shot with another one than was said is noticed.
        let ball_speed = off_speed
            + match hit_with.or(club) {
                Some("5h") => 52.0,
                Some("4i") => 46.0,
                _ => 58.0,
            };
        let mut event = json!({
            "id": id.to_string(), "source": source,
            "time": format!("2026-04-{day:02}T{:02}:{:02}:00+02:00", minute / 60, minute % 60),
            "purpose": purpose, "intent": {"height": meant.0, "shape": meant.1},
            "launch": {"ball_speed_mps": round(ball_speed), "launch_angle_deg": round(launch)},
            "flight": {"carry_m": round(carry), "origin": "tracked"},
        });
        let mut set = |name: &str, value: Option<&str>| {
            if let Some(value) = value {
                event[name] = json!(value);
            }
        };
        set("player", player);
        set("club", club);
        set("session", session);
        set("lie", lie);
        set("ball", ball);
        if let Some(spin) = spin {
            event["launch"]["spin_rate_rpm"] = json!(spin);
        }
        if let Some(degrees) = degrees {
            event["air"]["temperature_c"] = json!(degrees);
        }
        if let Some(altitude) = altitude {
            event["air"]["altitude_m"] = json!(altitude);
        }
        if let Some(from) = wind_from {
            event["wind"] = json!({"speed_mps": 4, "compass_from_deg": from});
        }
        if let Some(adjusted) = adjusted {
            event["flight"]["adjusted_for"] = json!([adjusted]);
        }
        for (name, value) in [("side_m", side), ("curve_m", side.map(|side| side / 2.0))] {
            if let Some(value) = value {
                event["flight"][name] = json!(round(value));
            }
        }
        for (name, value) in [("speed_mps", head_speed), ("strike_high_mm", strike)] {
            if let Some(value) = value {
                event["clubhead"][name] = json!(round(value));
            }
        }
        event.to_string()
    }
}

/// A shot of one of two clubs, hit in turn, in a visit of forty.
pub(crate) fn plain_shot(player: &str, number: u32) -> String {
    let spread = f64::from(number * 7 % 11) - 5.0;
    let (club, launch, spin) =
        if number.is_multiple_of(2) { ("5h", 16.8, 5_200.0) } else { ("4u", 13.5, 4_200.0) };
    json!({
        "id": number.to_string(), "source": "bay-1", "time": "2026-04-11T10:15:04Z",
        "player": player, "club": club, "session": (number / 40).to_string(), "lie": "mat",
        "launch": {"ball_speed_mps": 52.0 + spread / 20.0, "launch_angle_deg": launch + spread / 5.0,
                   "spin_rate_rpm": spin + spread * 60.0},
        "flight": {"carry_m": 158.0 + spread, "origin": "tracked"},
    })
    .to_string()
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        4 => (1..300_u64, correction())
            .prop_map(|(shot, patch)| Act::Correct { shot: Sequence::new(shot), patch }),
        1 => (1..300_u64).prop_map(|shot| Act::EraseShot { shot: Sequence::new(shot) }),
        1 => gone::erasure(),
        1 => context(),
        1 => put(),
        1 => put_other(),
        2 => opening(),
        1 => removal(),
    ]
}

fn correction() -> impl Strategy<Value = Correction> {
    let change = |name: &'static str, of: &'static [&'static str]| {
        prop_oneof![
            6 => Just(None),
            1 => Just(Some((name, Value::Null))),
            2 => one(of).prop_map(move |value| Some((name, json!(value)))),
        ]
    };
    let aside = prop_oneof![
        6 => Just(None),
        1 => Just(Some(("set_aside", Value::Null))),
        1 => Just(Some(("set_aside", json!({"reason": "phone rang"})))),
    ];
    let members = (
        change("player", &PLAYERS),
        change("club", &CLUBS),
        change("session", &["v1", "v3"]),
        change("lie", &LIES),
        change("ball", &BALLS),
        change("purpose", &["practice", "warm_up", "course"]),
        aside,
    );
    members.prop_map(|(a, b, c, d, e, f, g)| {
        let changed = [a, b, c, d, e, f, g].into_iter().flatten();
        let patch: serde_json::Map<String, Value> =
            changed.map(|(name, value)| (name.to_owned(), value)).collect();
        Correction::from_json(Value::Object(patch).to_string().as_bytes()).unwrap()
    })
}

fn assignment() -> impl Strategy<Value = Assignment> {
    let some =
        |of: &'static [&'static str]| prop_oneof![1 => Just(None), 1 => one(of).prop_map(Some)];
    let who = (some(&PLAYERS), some(&SOURCES), some(&CLUBS), some(&LIES));
    let which = (
        prop::option::of(1..20_u32),
        prop_oneof![3 => Just(None), 1 => any::<bool>().prop_map(Some)],
        some(&FLAGS),
        prop::option::of(1..6_u32),
    );
    let to = (one(&PLAYERS), maybe(&CLUBS));
    (who, which, to).prop_map(|((player, source, club, lie), which, (to, with))| {
        let (last, unassigned, flag, day) = which;
        let members = [
            ("player", player.map(Value::from)),
            ("source", source.map(Value::from)),
            ("club", club.map(Value::from)),
            ("lie", lie.map(Value::from)),
            ("flag", flag.map(Value::from)),
            ("unassigned", unassigned.map(Value::from)),
            ("from", day.map(|day| format!("2026-04-{day:02}T00:00:00Z").into())),
            // So that there is one at least.
            ("last", last.or(player.is_none().then_some(5)).map(Value::from)),
        ];
        let filter: serde_json::Map<String, Value> = members
            .into_iter()
            .filter_map(|(name, value)| Some((name.to_owned(), value?)))
            .collect();
        let mut set = json!({"player": to});
        if let Some(club) = with {
            set["club"] = json!(club);
        }
        let text = json!({"filter": filter, "set": set}).to_string();
        Assignment::from_json(text.as_bytes()).unwrap()
    })
}

fn context() -> impl Strategy<Value = Act> {
    let members = (maybe(&PLAYERS), maybe(&CLUBS), maybe(&LIES), maybe(&BALLS));
    let place = (prop::option::of(0..3_000), prop::option::of(0..360));
    (one(&SOURCES), members, place).prop_map(|(source, (player, club, lie, ball), place)| {
        let mut context = json!({});
        if let (Some(altitude), bearing) = place {
            context["altitude_m"] = json!(altitude);
            context["target_bearing_deg"] = json!(bearing.unwrap_or(0));
        }
        for (name, value) in [("player", player), ("club", club), ("lie", lie), ("ball", ball)] {
            if let Some(value) = value {
                context[name] = json!(value);
            }
        }
        let context = Context::from_json(context.to_string().as_bytes()).unwrap();
        Act::SetContext { source: source.parse_as(), context }
    })
}

fn opening() -> impl Strategy<Value = Act> {
    let clubs = prop::sample::subsequence(CLUBS.to_vec(), 2..=CLUBS.len()).prop_shuffle();
    let brief = prop_oneof![
        3 => Just(json!({})),
        1 => Just(json!({"lie": "mat"})),
        1 => Just(json!({"slot_low_m": 140, "slot_high_m": 165, "must_carry_m": 150, "carry_kept_in_wind_by_m": 9})),
        1 => Just(json!({"from": "2026-04-03", "launch_floor_deg": 11})),
        1 => Just(json!({"launch_floor_computed": true})),
    ];
    let plan = (maybe(&LIES), maybe(&BALLS), 6..40_u32);
    (one(&PLAYERS), clubs, brief, plan).prop_map(|(player, clubs, brief, (lie, ball, shots))| {
        let mut text = json!({
            "incumbent": clubs[0], "candidates": clubs[1..], "visit_shots": shots,
        });
        if let Some(lie) = lie.filter(|_| brief["lie"].is_null()) {
            text["lies"] = json!([lie]);
        }
        if let Some(ball) = ball {
            text["ball"] = json!(ball);
        }
        text["brief"] = brief;
        let trial = Trial::from_json(text.to_string().as_bytes(), &Brief::usual()).unwrap();
        Act::OpenTrial { player: PlayerId::parse(player).unwrap(), trial: Box::new(trial) }
    })
}

fn trial_step() -> impl Strategy<Value = Step> {
    let state = prop_oneof![
        Just(json!({"state": "open"})),
        Just(json!({"state": "paused", "reason": "rain"})),
        Just(json!({"state": "closed"})),
        Just(json!({"notes": "windy", "name": null})),
    ];
    let patch = prop::option::weighted(0.9, state);
    (one(&PLAYERS), any::<prop::sample::Index>(), patch).prop_map(|(player, which, patch)| {
        let patch = patch.map(|text| TrialPatch::from_json(text.to_string().as_bytes()).unwrap());
        Step::Trial(PlayerId::parse(player).unwrap(), which.index(8), patch)
    })
}

fn put() -> impl Strategy<Value = Act> {
    let build = prop::option::of(1..20_u32);
    (one(&PLAYERS), one(&CLUBS), build, 18..28_u32, any::<bool>()).prop_map(
        |(player, club, build, loft, of_player)| {
            let player_id = PlayerId::parse(player).unwrap();
            if of_player {
                let hand = if loft % 2 == 0 { "right" } else { "left" };
                let text = json!({"name": "Somebody", "hand": hand}).to_string();
                let document = Player::from_json(text.as_bytes()).unwrap();
                return Act::Put(Document::Player { player: player_id, document });
            }
            let mut document = json!({"name": club, "loft_deg": loft, "model": "demo"});
            if let Some(day) = build {
                document["builds"] = json!([{"from": format!("2026-04-{day:02}")}]);
            }
            let document = Club::from_json(document.to_string().as_bytes()).unwrap();
            let club = ClubId::parse(club).unwrap();
            Act::Put(Document::Club { player: player_id, club, document })
        },
    )
}

fn put_other() -> impl Strategy<Value = Act> {
    let clubs = prop::sample::subsequence(CLUBS.to_vec(), 0..=CLUBS.len());
    let of_kind = (0..4_u8, one(&PLAYERS), one(&BALLS), one(&SOURCES), maybe(&LIES), clubs);
    of_kind.prop_map(|(kind, player, ball, source, lie, clubs)| {
        Act::Put(match kind {
            0 => {
                let text = json!({"name": "a bag", "clubs": clubs}).to_string();
                let document = Bag::from_json(text.as_bytes()).unwrap();
                let player = PlayerId::parse(player).unwrap();
                Document::Bag { player, bag: BagId::parse("spring").unwrap(), document }
            }
            1 => {
                let kind = if lie.is_some() { "limited_flight" } else { "range" };
                let text = json!({"name": ball, "kind": kind}).to_string();
                let document = Ball::from_json(text.as_bytes()).unwrap();
                Document::Ball { ball: BallId::parse(ball).unwrap(), document }
            }
            2 => {
                let set = json!({"source": source, "lie": lie.unwrap_or("other")});
                let columns = json!({"a": "/id", "b": "/time", "c": "/flight/carry_m"});
                let text = json!({"name": ball, "columns": columns, "set": set}).to_string();
                let document = CsvMapping::from_json(text.as_bytes()).unwrap();
                Document::CsvMapping { mapping: csv_mapping(), document }
            }
            _ => {
                let mut text = json!({"name": source, "flight_origin": "modelled"});
                if let Some(lie) = lie {
                    text["lie"] = json!(lie);
                    text["altitude_m"] = json!(100 * lie.len());
                    text["target_bearing_deg"] = json!(10 * lie.len());
                    text["adjusted_for"] = json!(["altitude"]);
                }
                let document = Source::from_json(text.to_string().as_bytes()).unwrap();
                Document::Source { source: source.parse_as(), document }
            }
        })
    })
}

fn removal() -> impl Strategy<Value = Act> {
    let of_kind = (0..6_u8, one(&PLAYERS), one(&CLUBS), one(&BALLS), one(&SOURCES));
    of_kind.prop_map(|(kind, player, club, ball, source)| {
        let player = PlayerId::parse(player).unwrap();
        Act::Remove(match kind {
            0 => Subject::Player(player),
            1 => Subject::Club(player, ClubId::parse(club).unwrap()),
            2 => Subject::Bag(player, BagId::parse("spring").unwrap()),
            3 => Subject::Ball(BallId::parse(ball).unwrap()),
            4 => Subject::CsvMapping(csv_mapping()),
            _ => Subject::Source(source.parse_as()),
        })
    })
}

fn csv_mapping() -> CsvMappingId {
    CsvMappingId::parse("export").unwrap()
}

trait ParseAs {
    fn parse_as(self) -> SourceId;
}

impl ParseAs for &str {
    fn parse_as(self) -> SourceId {
        SourceId::parse(self).unwrap()
    }
}
