//! A verdict kept up to date shot by shot: one more ball of a trial with a hundred visits behind it,
//! looked at at once, against working out the plain mean differences of the same rows anew.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![allow(clippy::cast_precision_loss, missing_docs)]

mod report;

use std::{collections::BTreeMap, hint::black_box, time::Duration};

use evencarry::{
    bag::{
        Brief, Drift, Marks, NamedClub, Pair, Player, ReplacementQuestion, Reported, Row,
        Stretches, pair_questions,
    },
    shot::{Club, ClubId, Flags, Intent, Lie, Measure, Measures, PlayerId, Purpose, Sequence},
};
use report::{Figure, Size, timed};

const VISITS: usize = 100;
/// Shots of a visit, of both clubs in turn.
const A_VISIT: usize = 30;
/// The longest that an update may take, and what is aimed at, microseconds.
const CEILING_US: f64 = 150.0;
const GOAL_US: f64 = 50.0;
/// One shot in so many is a mishit, and one is set aside.
const LEFT_OUT: usize = 50;

fn main() {
    let size = Size::asked();
    let (rounds, updates) = (size.of(9, 1), size.of(300, 20));
    report::title(&format!(
        "one verdict update after {VISITS} visits of {A_VISIT} shots; {rounds} rounds of {updates} \
         updates, alternating"
    ));
    let [mut ours, mut whole, mut naive] = <[Figure; 3]>::default();
    for round in 0..rounds {
        let mut bay = Bay::new(round);
        for _ in 0..VISITS * A_VISIT {
            bay.hit();
        }
        bay.update();
        let mut times: [Vec<f64>; 3] = Default::default();
        for _ in 0..updates {
            bay.hit();
            let (marking, ()) = timed(|| bay.mark());
            let (judging, standing) = timed(|| bay.judge());
            black_box(standing);
            let (afresh, differences) = timed(|| naive_differences(black_box(&bay.rows)));
            black_box(differences);
            times[0].push(micros(judging));
            times[1].push(micros(marking + judging));
            times[2].push(micros(afresh));
        }
        let [judging, both, afresh] = times.map(median);
        ours.add(judging);
        whole.add(both);
        naive.add(afresh);
    }
    report::line("the pair advanced by a shot, looked at", &ours, "us");
    report::line("the same with mishit screen and drift", &whole, "us");
    report::line("baseline: plain mean differences afresh", &naive, "us");
    report::line("baseline / ours", &naive.over(&whole), "x");
    let within = |bound: f64| size.word(whole.median() <= bound);
    println!(
        "  within {CEILING_US} us: {}; within {GOAL_US} us: {}",
        within(CEILING_US),
        within(GOAL_US)
    );
    println!("  load average after: {}", report::load());
}

fn micros(time: Duration) -> f64 {
    time.as_secs_f64() * 1e6
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// A player who hits two clubs in turn.
struct Bay {
    id: PlayerId,
    clubs: Vec<NamedClub>,
    rows: Vec<Row>,
    marks: Marks,
    drift: Drift,
    pair: Pair,
    seed: u64,
}

impl Bay {
    fn new(round: usize) -> Self {
        let named = |name: &str| {
            let id = ClubId::parse(name).unwrap();
            NamedClub { document: Club::bare(&id), id, removed: false }
        };
        let (id, clubs) = (PlayerId::parse("rowan").unwrap(), vec![named("5h"), named("4u")]);
        let (marks, drift) = (Marks::default(), Drift::default());
        let player = Player {
            id: &id,
            hand: None,
            as_of: Sequence::new(0),
            clubs: &clubs,
            balls: &[],
            sessions: &[],
            rows: &[],
            marks: &marks,
            drift: &drift,
            reference: None,
        };
        let question = ReplacementQuestion {
            incumbent: 0,
            candidates: vec![1],
            brief: Brief::default(),
            reported: Reported::default(),
            stretches: Some(Stretches::from(Sequence::new(0))),
        };
        let pair = Pair::new(pair_questions(player, &question).remove(0));
        let seed = 0x9e37_79b9 + round as u64;
        Self { id, clubs, rows: Vec::new(), marks, drift, pair, seed }
    }

    /// A number spread about 0 with an sd of about 1, from xorshift64 (Marsaglia 2003).
    fn spread(&mut self) -> f64 {
        let mut uniform = || {
            self.seed ^= self.seed << 13;
            self.seed ^= self.seed >> 7;
            self.seed ^= self.seed << 17;
            (self.seed >> 11) as f64 / (1_u64 << 53) as f64
        };
        (0..12).map(|_| uniform()).sum::<f64>() - 6.0
    }

    fn hit(&mut self) {
        let number = self.rows.len();
        let club = u32::try_from(number % 2).unwrap();
        let (launch, spin) = if club == 0 { (16.8, 5_240.0) } else { (13.5, 4_200.0) };
        let mishit = if number % LEFT_OUT == 7 { 0.8 } else { 1.0 };
        let mut measures = Measures::NONE;
        measures.set(Measure::Carry, (158.0 + 6.4 * self.spread()) * mishit);
        measures.set(Measure::LaunchAngle, launch + 1.2 * self.spread());
        measures.set(Measure::SpinRate, spin + 350.0 * self.spread());
        measures.set(Measure::BallSpeed, (52.0 + 0.5 * self.spread()) * mishit);
        measures.set(Measure::Descent, 47.0 + self.spread());
        self.rows.push(Row {
            sequence: Sequence::new(number as u64 + 1),
            time: "2026-04-11T10:15:04Z".parse().unwrap(),
            date: "2026-04-11".parse().unwrap(),
            source: 0,
            session: u32::try_from(number / A_VISIT).unwrap(),
            club,
            ball: 0,
            lie: Some(Lie::Mat),
            wet: false,
            place: None,
            intent: Intent::default(),
            purpose: Purpose::Practice,
            set_aside: number % LEFT_OUT == 11,
            retired: false,
            spin_origin: None,
            speed_origin: None,
            flight_origin: None,
            flags: Flags::NONE,
            surroundings: None,
            measures,
        });
    }

    fn mark(&mut self) {
        self.marks.extend(&self.rows, &self.clubs);
        self.drift.extend(&self.rows, &self.marks);
    }

    fn judge(&mut self) -> evencarry::bag::Standing {
        self.pair.advance(Player {
            id: &self.id,
            hand: None,
            as_of: Sequence::new(self.rows.len() as u64),
            clubs: &self.clubs,
            balls: &[],
            sessions: &[],
            rows: &self.rows,
            marks: &self.marks,
            drift: &self.drift,
            reference: None,
        })
    }

    fn update(&mut self) {
        self.mark();
        black_box(self.judge());
    }
}

/// What anybody would write first: means by session and club, their differences, the mean of those.
fn naive_differences(rows: &[Row]) -> [f64; 3] {
    [Measure::Carry, Measure::LaunchAngle, Measure::SpinRate].map(|measure| {
        let mut sums: BTreeMap<(u32, u32), (f64, f64)> = BTreeMap::new();
        for row in rows.iter().filter(|row| !row.set_aside) {
            if let Some(value) = row.measures.get(measure) {
                let sum = sums.entry((row.session, row.club)).or_default();
                *sum = (sum.0 + value, sum.1 + 1.0);
            }
        }
        let mean = |session, club| sums.get(&(session, club)).map(|sum| sum.0 / sum.1);
        let sessions = rows.last().map_or(0, |row| row.session + 1);
        let differences: Vec<f64> =
            (0..sessions).filter_map(|at| Some(mean(at, 1)? - mean(at, 0)?)).collect();
        differences.iter().sum::<f64>() / differences.len() as f64
    })
}
