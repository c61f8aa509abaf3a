//! The player of a sequence, as the events so far leave them.

use evencarry::{
    bag::{
        Basis, Build, Drift, Evidence, Looks, Marks, NamedClub, PairQuestion, Player, Row, Surface,
    },
    shot::{
        Club, ClubId, Flags, Intent, Lie, Measure, Measures, PlayerId, Purpose, Sequence as Seq,
    },
    stats::Test,
};

use super::expected::{Shot, Step};

/// The metres of a yard, from the definition; the sequences are in yards.
const YARD: f64 = 0.9144;

/// Names of one kind in the order in which they were first seen.
#[derive(Default)]
pub(crate) struct Names(pub(crate) Vec<String>);

impl Names {
    pub(crate) fn number(&mut self, name: &str) -> u32 {
        let at = self.0.iter().position(|known| known == name).unwrap_or_else(|| {
            self.0.push(name.to_owned());
            self.0.len() - 1
        });
        u32::try_from(at).unwrap()
    }
}

/// The player of a sequence as the events so far leave them.
#[derive(Default)]
pub(crate) struct Bench {
    pub(crate) rows: Vec<Row>,
    pub(crate) ids: Vec<String>,
    pub(crate) clubs: Names,
    pub(crate) sessions: Names,
    pub(crate) named: Vec<NamedClub>,
    pub(crate) marks: Marks,
    pub(crate) drift: Drift,
}

impl Bench {
    /// Whether the step only appended a shot.
    pub(crate) fn take(&mut self, step: &Step) -> bool {
        match step {
            Step::Shot(shot) => {
                let row = self.row(shot);
                self.rows.push(row);
                self.ids.push(shot.id.clone());
                true
            }
            Step::SetAside { id, on } => {
                let at = self.at(id);
                self.rows[at].set_aside = *on;
                self.restart();
                false
            }
            Step::Correct { id, set } => {
                let at = self.at(id);
                if let Some(club) = &set.club {
                    self.rows[at].club = self.club(club);
                }
                if let Some(lie) = &set.lie {
                    self.rows[at].lie = Lie::parse(lie);
                }
                if let Some(session) = &set.session {
                    self.rows[at].session = self.sessions.number(session);
                }
                self.restart();
                false
            }
        }
    }

    pub(crate) fn restart(&mut self) {
        (self.marks, self.drift) = (Marks::default(), Drift::default());
    }

    pub(crate) fn at(&self, id: &str) -> usize {
        self.ids.iter().position(|known| known == id).unwrap()
    }

    pub(crate) fn club(&mut self, name: &str) -> u32 {
        let number = self.clubs.number(name);
        if self.named.len() == number as usize {
            let id = ClubId::parse(name).unwrap();
            self.named.push(NamedClub { document: Club::bare(&id), id, removed: false });
        }
        number
    }

    pub(crate) fn row(&mut self, shot: &Shot) -> Row {
        let mut measures = Measures::NONE;
        measures.set(Measure::Carry, shot.carry_yd * YARD);
        measures.set(Measure::LaunchAngle, shot.launch_deg);
        measures.set(Measure::SpinRate, shot.spin_rpm);
        measures.set(Measure::BallSpeed, shot.ball_speed_mps);
        if let Some(head) = shot.head_speed_mps {
            measures.set(Measure::ClubheadSpeed, head);
        }
        Row {
            sequence: Seq::new(self.rows.len() as u64 + 1),
            time: "2026-04-11T10:15:04Z".parse().unwrap(),
            date: "2026-04-11".parse().unwrap(),
            source: 0,
            session: self.sessions.number(&shot.session),
            club: self.club(&shot.club),
            ball: 0,
            lie: Lie::parse(&shot.lie),
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
        }
    }

    pub(crate) fn refresh(&mut self) {
        self.marks.extend(&self.rows, &self.named);
        self.drift.extend(&self.rows, &self.marks);
    }

    pub(crate) fn player<'a>(&'a self, id: &'a PlayerId) -> Player<'a> {
        Player {
            id,
            hand: None,
            as_of: Seq::new(self.rows.len() as u64),
            clubs: &self.named,
            balls: &[],
            sessions: &[],
            rows: &self.rows,
            marks: &self.marks,
            drift: &self.drift,
            reference: None,
        }
    }

    pub(crate) fn question(
        &mut self,
        candidate: &str,
        tests: &[Test],
        looks: Looks,
    ) -> PairQuestion {
        PairQuestion {
            candidate: Build { club: self.club(candidate), build: 0 },
            incumbent: Build { club: self.club("B"), build: 0 },
            tests: tests.to_vec(),
            hindered: Vec::new(),
            hindered_tests: 0,
            evidence: Evidence::default(),
            own_basis: Some(Basis { surface: Surface::Mat, ball: 0 }),
            looks,
        }
    }

    pub(crate) fn mishits(&self) -> Vec<&str> {
        let arrived = self.marks.places().len();
        let places = self.marks.places().iter();
        places
            .filter(|place| place.is_mishit(arrived))
            .map(|place| self.ids[place.row as usize].as_str())
            .collect()
    }
}
