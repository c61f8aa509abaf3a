//! A player of our own making with a bag of fourteen clubs: every shot is drawn from the swing (head
//! speed, delivered loft, quality of strike), some are thin, fat or off the toe, and a day has an
//! effect on all of them. The bag's figures are round ones of a good amateur.

use evencarry::{
    bag::{Likeness, Marks, NamedClub, Row},
    shot::{Club, ClubId, Flags, Intent, Lie, Measure, Measures, Purpose, Sequence},
};

/// Ball speed (m/s), launch (deg), spin (rpm) and head speed (m/s) of each club, longest first.
pub(crate) const BAG: [[f64; 4]; 14] = [
    [64.0, 12.5, 2_800.0, 43.5],
    [60.0, 12.6, 3_600.0, 42.0],
    [57.4, 14.2, 4_200.0, 41.2],
    [54.8, 15.2, 4_600.0, 40.0],
    [52.8, 16.6, 5_100.0, 39.2],
    [50.6, 16.4, 5_400.0, 38.2],
    [48.7, 17.8, 5_900.0, 37.4],
    [46.6, 19.6, 6_500.0, 36.6],
    [44.4, 21.6, 7_100.0, 35.8],
    [42.0, 24.0, 7_700.0, 35.0],
    [39.4, 26.6, 8_300.0, 34.2],
    [36.8, 29.0, 8_800.0, 33.5],
    [33.8, 31.6, 9_200.0, 32.8],
    [30.6, 34.2, 9_500.0, 32.0],
];

/// What a device tells of a shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Told {
    /// Ball speed, launch, measured spin and head speed.
    All,
    /// No head speed.
    NoHead,
    /// Neither spin nor head speed.
    NoSpin,
    /// Carry alone.
    CarryOnly,
}

/// A stream of numbers from a seed: `SplitMix64` (Steele, Lea and Flood 2014).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    /// Evenly between two numbers.
    #[allow(clippy::cast_precision_loss)]
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^= mixed >> 31;
        low + (high - low) * ((mixed >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// Normal with this standard deviation (Box and Muller 1958).
    fn normal(&mut self, sd: f64) -> f64 {
        let (radius, turn) = (self.between(f64::EPSILON, 1.0), self.between(0.0, 1.0));
        sd * (-2.0 * radius.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
    }
}

/// A player with a history.
pub(crate) struct Golfer {
    dice: Dice,
    /// 1 for a usual spread of a good amateur; a tour player has about 0.6.
    spread: f64,
    told: Told,
    /// Share of strikes that are thin, fat or off the toe.
    pub(crate) mishits: f64,
    /// The day's effect on head speed (share), launch (deg) and spin (share).
    day: [f64; 3],
    pub(crate) rows: Vec<Row>,
    pub(crate) clubs: Vec<NamedClub>,
}

impl Golfer {
    pub(crate) fn new(seed: u64, spread: f64, told: Told) -> Self {
        let named = |number: usize| {
            let id = ClubId::parse(&format!("club-{number}")).unwrap();
            NamedClub { document: Club::bare(&id), id, removed: false }
        };
        let clubs = (0..BAG.len()).map(named).collect();
        Self {
            dice: Dice(seed),
            spread,
            told,
            mishits: 0.08,
            day: [0.0; 3],
            rows: Vec::new(),
            clubs,
        }
    }

    /// A day on which so many shots are hit with every club.
    pub(crate) fn visit(&mut self, shots: u32) {
        self.day = [self.dice.normal(0.006), self.dice.normal(0.25), self.dice.normal(0.015)];
        for club in 0..BAG.len() {
            for _ in 0..shots {
                self.hit(club, club);
            }
        }
    }

    /// A shot with one club while another is said to be in hand.
    pub(crate) fn hit(&mut self, club: usize, said: usize) {
        let [speed, launch, spin, head] = self.strike(BAG[club]);
        let mut measures = Measures::NONE;
        if self.told == Told::CarryOnly {
            // Near enough: four metres a m/s of ball speed.
            measures.set(Measure::Carry, 4.0 * speed - 45.0 + self.dice.normal(3.0));
        } else {
            measures.set(Measure::BallSpeed, speed);
            measures.set(Measure::LaunchAngle, launch);
        }
        if matches!(self.told, Told::All | Told::NoHead) {
            measures.set(Measure::SpinRate, spin.max(0.0));
        }
        if self.told == Told::All {
            measures.set(Measure::ClubheadSpeed, head);
        }
        let sequence = Sequence::new(self.rows.len() as u64 + 1);
        self.rows.push(Row {
            sequence,
            time: "2026-04-11T10:15:04Z".parse().unwrap(),
            date: "2026-04-11".parse().unwrap(),
            source: 0,
            session: 0,
            club: u32::try_from(said).unwrap(),
            ball: 0,
            lie: Some(Lie::Mat),
            wet: false,
            place: None,
            intent: Intent::default(),
            purpose: Purpose::Practice,
            set_aside: false,
            retired: false,
            spin_origin: None,
            speed_origin: None,
            flight_origin: None,
            flags: Flags::NONE,
            surroundings: None,
            measures,
        });
    }

    /// Ball speed, launch, spin and head speed of one strike.
    fn strike(&mut self, [speed, launch, spin, swing]: [f64; 4]) -> [f64; 4] {
        let (wide, dice) = (self.spread, &mut self.dice);
        let head = dice.normal(0.016 * wide) + self.day[0];
        let loft = dice.normal(1.25 * wide);
        let quality = 0.011 * wide - dice.normal(0.014 * wide).abs();
        let mut ball = [
            speed * (1.0 + head + quality - 0.004 * loft),
            launch + 0.85 * loft + dice.normal(0.5 * wide) + self.day[1],
            spin * (1.0 + 0.035 * loft + head + dice.normal(0.055 * wide) + self.day[2]),
        ];
        // What a mishit takes of the ball speed, adds to the launch and leaves of the spin.
        let spoilt =
            (dice.between(0.0, 1.0) < self.mishits).then(|| match dice.between(0.0, 3.0) {
                thin if thin < 1.0 => {
                    (dice.between(0.04, 0.12), dice.between(-6.0, -2.0), dice.between(0.75, 1.15))
                }
                fat if fat < 2.0 => {
                    (dice.between(0.05, 0.25), dice.between(-1.0, 3.0), dice.between(0.6, 0.9))
                }
                _ => (dice.between(0.02, 0.09), dice.normal(1.0), dice.between(0.8, 1.1)),
            });
        if let Some((lost, added, left)) = spoilt {
            ball = [ball[0] * (1.0 - lost), ball[1] + added, ball[2] * left];
        }
        // The device's own noise.
        [
            ball[0] + dice.normal(0.15),
            ball[1] + dice.normal(0.15),
            ball[2] + dice.normal(60.0),
            swing * (1.0 + head) + dice.normal(0.2),
        ]
    }

    /// For each of the rows from this one on, the club that it flies like.
    pub(crate) fn flies_like(&self, from: usize) -> Vec<Option<u32>> {
        let (mut marks, mut likeness) = (Marks::default(), Likeness::default());
        marks.extend(&self.rows, &self.clubs);
        likeness.extend(&self.rows, &marks);
        let like = |index| likeness.flies_like(index, (&self.rows, &marks), &self.clubs);
        (from..self.rows.len()).map(like).collect()
    }
}
