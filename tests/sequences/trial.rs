//! The same sequences through the public trial: opened before the first shot that counts, fed shot by
//! shot into a store, its standing held against the independent program's answers.

use std::{collections::BTreeMap, sync::Arc};

use evencarry::{
    bag::{Brief, Candidate, CriterionAnswer, METRES_PER_YARD, TrialStanding},
    live::Live,
    shot::{
        Act, Club, ClubId, Correction, Document, Player, PlayerId, Sequence as Seq, Trial, TrialId,
        Units,
    },
    store::{Batch, NewShot, ReceiptWanted, ShotOutcome, Store},
};
use serde_json::{Value, json};

use super::{
    expected::{After, Answer, Close, Sequence, Step},
    main_data,
};

/// Answers cap evidence here.
const CAP: f64 = 1e9;
/// Where the sequences begin that have a history: the pairs first meet after so many events.
const HISTORY: [(&str, usize); 1] = [("10_family_of_three_with_history", 36)];

struct Bay {
    store: Store<Live>,
    player: PlayerId,
    sequences: Vec<(String, Seq)>,
}

impl Bay {
    async fn open(sequence: &Sequence) -> Self {
        let clock = Arc::new(|| "2026-04-20T12:00:00Z".parse().unwrap());
        let store = Store::in_memory(clock, |chunks| Ok(Live::load(chunks, usize::MAX).unwrap()));
        let player = PlayerId::parse("rowan").unwrap();
        let bay = Self { store: store.unwrap(), player, sequences: Vec::new() };
        let document = Player::bare(&bay.player);
        bay.act(Act::Put(Document::Player { player: bay.player.clone(), document })).await;
        for club in sequence.candidates.iter().map(String::as_str).chain(["B"]) {
            let club = ClubId::parse(club).unwrap();
            let document = Club::bare(&club);
            bay.act(Act::Put(Document::Club { player: bay.player.clone(), club, document })).await;
        }
        bay
    }

    async fn act(&self, act: Act) -> Seq {
        self.store.append_act(act).await.unwrap_or_else(|_| panic!("an act was refused")).0
    }

    async fn take(&mut self, step: &Step) {
        match step {
            Step::Shot(shot) => {
                let mut event = json!({
                    "id": shot.id, "source": "bay", "time": "2026-04-11T10:15:04Z",
                    "player": "rowan", "club": shot.club, "session": shot.session, "lie": shot.lie,
                    "launch": {
                        "ball_speed_mps": shot.ball_speed_mps, "launch_angle_deg": shot.launch_deg,
                        "spin_rate_rpm": shot.spin_rpm,
                    },
                    "flight": {"carry_yd": shot.carry_yd, "origin": "tracked"},
                });
                if let Some(speed) = shot.head_speed_mps {
                    event["clubhead"] = json!({"speed_mps": speed});
                }
                let shots = vec![NewShot::parse(event.to_string().into()).unwrap()];
                let stored = self.store.append_shots(shots, Batch::Each, ReceiptWanted::No).await;
                let ShotOutcome::Stored { sequence, .. } = stored.unwrap()[0] else { panic!() };
                self.sequences.push((shot.id.clone(), sequence));
            }
            Step::SetAside { id, on } => {
                let aside = if *on { json!({"reason": "phone rang"}) } else { Value::Null };
                self.correct(id, json!({"set_aside": aside})).await;
            }
            Step::Correct { id, set } => {
                let members = [("club", &set.club), ("lie", &set.lie), ("session", &set.session)];
                let patch: serde_json::Map<String, Value> = members
                    .into_iter()
                    .filter_map(|(name, value)| Some((name.to_owned(), json!(value.as_ref()?))))
                    .collect();
                self.correct(id, Value::Object(patch)).await;
            }
        }
    }

    async fn correct(&self, id: &str, patch: Value) {
        let shot = self.sequences.iter().find(|(known, _)| known == id).unwrap().1;
        let patch = Correction::from_json(patch.to_string().as_bytes()).unwrap();
        self.act(Act::Correct { shot, patch }).await;
    }

    async fn open_trial(&self, sequence: &Sequence) -> TrialId {
        let text = json!({
            "incumbent": "B", "candidates": sequence.candidates, "brief": brief(sequence),
        });
        let trial = Trial::from_json(text.to_string().as_bytes(), &Brief::usual()).unwrap();
        let player = self.player.clone();
        TrialId::of(self.act(Act::OpenTrial { player, trial: Box::new(trial) }).await)
    }
}

/// The brief of a sequence as a client would state it.
fn brief(sequence: &Sequence) -> Value {
    let bound = |measure: &str, side: &str| {
        let rows = sequence.brief.iter();
        rows.filter(|row| row.0 == measure && row.2 == side).map(|row| row.1).next()
    };
    let mut brief = json!({
        "launch_lower_by_deg": -bound("launch_deg", "below").unwrap(),
        "spin_lower_by_rpm": -bound("spin_rpm", "below").unwrap(),
        "spin_lower_at_most_rpm": -bound("spin_rpm", "above").unwrap(),
    });
    let mut state = |name: &str, figure: Option<f64>| {
        if let Some(figure) = figure {
            brief[name] = json!(figure);
        }
    };
    state("carry_margin_yd", bound("carry_yd", "below"));
    state("slot_low_yd", bound("carry_yd_mean", "above"));
    state("slot_high_yd", bound("carry_yd_mean", "below"));
    state("launch_lower_at_most_deg", bound("launch_deg", "above").map(|bound| -bound));
    state("launch_floor_deg", bound("launch_deg_mean", "above"));
    brief
}

#[tokio::test]
async fn a_trial_over_the_ten_sequences_stands_as_the_independent_program_says() {
    let mut answers = 0;
    for sequence in main_data() {
        let mut bay = Bay::open(&sequence).await;
        let history = HISTORY.iter().find(|(name, _)| *name == sequence.name);
        let opened = history.map_or(0, |(_, events)| *events);
        for step in &sequence.events[..opened] {
            bay.take(step).await;
        }
        let trial = bay.open_trial(&sequence).await;
        let mut played = opened;
        for after in sequence.after.iter().filter(|after| after.events > opened) {
            for step in &sequence.events[played..after.events] {
                bay.take(step).await;
            }
            played = after.events;
            let standing =
                bay.store.projection().trial(&bay.player, &trial, Units::default()).unwrap();
            compare(&sequence, after, &standing);
            answers += standing.standings.len();
        }
    }
    assert!(answers > 200, "only {answers} answers were compared");
}

fn compare(sequence: &Sequence, after: &After, standing: &TrialStanding) {
    assert_eq!(standing.standings.len(), sequence.candidates.len());
    for candidate in &standing.standings {
        let close = Close {
            place: format!("{} of {} after {}", candidate.club, sequence.name, after.events),
        };
        let answer = &after.candidates[candidate.club.as_str()];
        compare_verdict(&close, candidate, answer);
        compare_evidence(&close, candidate, answer);
        compare_estimates(&close, candidate, answer);
        compare_run_effect(&close, candidate, &after.run_sd[candidate.club.as_str()]);
    }
}

/// The run effect that was frozen at the opening is that of the shots before the pair first met.
fn compare_run_effect(close: &Close, candidate: &Candidate, expected: &BTreeMap<String, f64>) {
    let effect = candidate.run_effect;
    let known = |name: &str| expected.get(name).copied();
    close.number("run sd", effect.carry_m / METRES_PER_YARD, known("carry_yd"));
    close.number("run sd", effect.launch_angle_deg, known("launch_deg"));
    close.number("run sd", effect.spin_rate_rpm, known("spin_rpm"));
}

fn compare_verdict(close: &Close, candidate: &Candidate, answer: &Answer) {
    let verdict = serde_json::to_value(candidate.verdict).unwrap();
    close.same("verdict", &verdict, &json!(answer.trial.verdict));
    let why = candidate.why.as_deref().and_then(|why| why.split(':').next());
    close.same("why", &why, &answer.trial.why.as_deref().map(in_words));
    close.same("family", &candidate.family.holds, &answer.trial.family.holds);
    close.same("more", &candidate.more_shots.map(|more| more.candidate), &answer.trial.more_shots);
    let chance = candidate.outlook.map(|outlook| outlook.chance);
    close.options("chance", &[chance], &[answer.outlook.chance]);
}

/// The independent program's word for why there is no `replaces`, as answers begin to say it.
fn in_words(why: &str) -> &'static str {
    match why {
        "an estimate is missing" => "not every measure has shots of both clubs like for like",
        "shots" => "too few like-for-like shots",
        "broken" => "proven not so",
        "evidence" => "not every criterion is proven yet",
        "sessions" => "all of it is from one visit",
        "spread" => "its carry is proven to scatter more",
        other => panic!("{other} has no words"),
    }
}

/// The tests behind each entry of the criteria, by their places in the brief of a sequence.
const TESTS: [&[usize]; 5] = [&[0, 1], &[2], &[4], &[3], &[5]];

fn compare_evidence(close: &Close, candidate: &Candidate, answer: &Answer) {
    let holds = &answer.trial.running_holds;
    for (criterion, tests) in candidate.criteria.iter().zip(TESTS) {
        let least = tests.iter().map(|test| holds[*test]).collect::<Option<Vec<f64>>>();
        let least = least.and_then(|all| all.into_iter().min_by(f64::total_cmp));
        let expected = least.map(|log_e| log_e.exp().min(CAP).ln());
        close.options("evidence", &[criterion.evidence.map(f64::ln)], &[expected]);
    }
    let spread = answer.trial.running_spread.map(|log_e| log_e.exp().min(CAP).ln());
    close.options("spread", &[candidate.criteria[5].evidence.map(f64::ln)], &[spread]);
}

fn compare_estimates(close: &Close, candidate: &Candidate, answer: &Answer) {
    for criterion in &candidate.criteria[..5] {
        let (name, unit) = expected_name(criterion);
        let expected = &answer.estimates[&name];
        let CriterionAnswer { interval, .. } = criterion;
        close.end(&name, interval.estimate.map(|value| value / unit), expected.centre);
        close.end(&name, interval.low.map(|value| value / unit), expected.low);
        close.end(&name, interval.high.map(|value| value / unit), expected.high);
    }
}

/// What a sequence calls the figure of a criterion, and how much SI makes one of its unit.
fn expected_name(criterion: &CriterionAnswer) -> (String, f64) {
    let (name, unit) = match criterion.metric {
        "carry_m" => ("carry_yd", METRES_PER_YARD),
        "launch_angle_deg" => ("launch_deg", 1.0),
        "spin_rate_rpm" => ("spin_rpm", 1.0),
        other => panic!("{other} is in no sequence"),
    };
    let of_mean = criterion.of == evencarry::bag::Figure::OwnMean;
    (format!("{name}{}", if of_mean { "_mean" } else { "" }), unit)
}
