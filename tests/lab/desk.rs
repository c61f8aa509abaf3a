//! Where the project's own rooms judge a player's shots: marks, drift and pairs over rows, fed as
//! they come.

use evencarry::{
    bag::{
        Brief, Drift, Fits, Looks, Marks, NamedClub, Pair, PairQuestion, Player,
        ReplacementQuestion, Replacements, Reported, Row, Standing, pair_questions, replacements,
    },
    shot::{Club, ClubId, PlayerId, Sequence},
    stats::{self, Test, Verdict},
};

/// Whether an alarm of drift voids the evidence before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Alarms {
    /// As the service does.
    Heeded,
    /// As the tables do that the method's constants were chosen by.
    Unheard,
}

/// A player's shots so far with what follows from them.
pub(crate) struct Desk<'a> {
    all: &'a [Row],
    read: usize,
    alarms: Alarms,
    clubs: Vec<NamedClub>,
    marks: Marks,
    drift: Drift,
    id: PlayerId,
}

impl<'a> Desk<'a> {
    /// A desk that will read these shots.
    pub(crate) fn new(all: &'a [Row], alarms: Alarms) -> Self {
        let clubs = all.iter().map(|row| row.club + 1).max().unwrap_or(0);
        let named = |number: u32| {
            let id = ClubId::parse(&format!("club-{number}")).unwrap();
            NamedClub { document: Club::bare(&id), id, removed: false }
        };
        Self {
            all,
            read: 0,
            alarms,
            clubs: (0..clubs).map(named).collect(),
            marks: Marks::default(),
            drift: Drift::default(),
            id: PlayerId::parse("rowan").unwrap(),
        }
    }

    /// Reads up to so many shots.
    pub(crate) fn read_to(&mut self, shots: usize) {
        self.read = shots;
        self.marks.extend(&self.all[..shots], &self.clubs);
        if self.alarms == Alarms::Heeded {
            self.drift.extend(&self.all[..shots], &self.marks);
        }
    }

    pub(crate) fn player(&self) -> Player<'_> {
        Player {
            id: &self.id,
            hand: None,
            as_of: Sequence::new(self.read as u64),
            clubs: &self.clubs,
            balls: &[],
            sessions: &[],
            rows: &self.all[..self.read],
            marks: &self.marks,
            drift: &self.drift,
            reference: None,
        }
    }

    pub(crate) fn drift(&self) -> &Drift {
        &self.drift
    }

    pub(crate) fn marks(&self) -> &Marks {
        &self.marks
    }

    /// The service's own answer on candidates.
    pub(crate) fn answer(
        &self,
        asked: &ReplacementQuestion,
        pairs: &[(PairQuestion, Standing)],
    ) -> Replacements {
        replacements(self.player(), asked, pairs, &mut Fits::default()).unwrap()
    }
}

/// Candidates against club 0.
pub(crate) fn asked(candidates: u32, brief: &Brief) -> ReplacementQuestion {
    let candidates = (1..=candidates).collect();
    ReplacementQuestion {
        incumbent: 0,
        candidates,
        brief: brief.clone(),
        stretches: None,
        reported: Reported::default(),
    }
}

/// What the pairs of a question are asked, once all shots are known.
pub(crate) fn questions(
    all: &[Row],
    asked: &ReplacementQuestion,
    looks: Looks,
) -> Vec<PairQuestion> {
    let mut desk = Desk::new(all, Alarms::Unheard);
    desk.read_to(all.len());
    let questions = pair_questions(desk.player(), asked);
    questions.into_iter().map(|question| PairQuestion { looks, ..question }).collect()
}

/// What somebody saw who watched a pair to the end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Watched {
    /// The shots of the candidate when `replaces` was first said.
    pub(crate) replaced_after: Option<u32>,
    /// Whether `does_not_replace` was said before that, or ever.
    pub(crate) denied: bool,
}

/// Watches a candidate. With [`Looks::EveryShot`] the verdict is read after every shot, else where
/// a visit ends.
pub(crate) fn watch(all: &[Row], question: &PairQuestion, alarms: Alarms) -> Watched {
    let mut desk = Desk::new(all, alarms);
    let mut pair = Pair::new(question.clone());
    let mut denied = false;
    let mut begun = 0;
    for visit in all.chunk_by(|one, other| one.session == other.session) {
        let ended = begun + visit.len();
        desk.read_to(ended);
        let standing = pair.advance(desk.player());
        let verdict = question.verdict(&standing);
        denied |= matches!(verdict, Verdict::DoesNotReplace { .. });
        if all_proven(&standing) {
            let said = match question.looks {
                Looks::SessionEnds => (verdict == Verdict::Replaces).then_some(ended),
                Looks::EveryShot => first_replaces(all, begun..ended, (question, alarms)),
            };
            if let Some(shots) = said {
                let own = |row: &&Row| row.club == question.candidate.club;
                let own = all[..shots].iter().filter(own).count();
                return Watched { replaced_after: u32::try_from(own).ok(), denied };
            }
        }
        begun = ended;
    }
    Watched { replaced_after: None, denied }
}

/// Watches one test of a question as if all the others were proven: whether `replaces` may ever
/// have been said, and whether `does_not_replace` was. Some five times as fast as [`watch`], and what it
/// rules out need not be watched.
pub(crate) fn watch_one(all: &[Row], question: &PairQuestion, test: Test) -> Watched {
    let sure = stats::Evidence { holds: f64::INFINITY, broken: f64::NEG_INFINITY };
    let mut tests = vec![Some(sure); question.tests.len()];
    let mut desk = Desk::new(all, Alarms::Heeded);
    let mut pair = Pair::new(PairQuestion { tests: vec![test], ..question.clone() });
    let mut watched = Watched { replaced_after: None, denied: false };
    let mut read = 0;
    for visit in all.chunk_by(|one, other| one.session == other.session) {
        read += visit.len();
        desk.read_to(read);
        let standing = pair.advance(desk.player());
        tests[0] = standing.maxima.tests[0].evidence();
        let denied = Verdict::of(&tests, standing.basis, &[]);
        watched.denied |= matches!(denied, Verdict::DoesNotReplace { .. });
        if all_proven(&standing) {
            watched.replaced_after = watched.replaced_after.or(u32::try_from(read).ok());
        }
    }
    watched
}

/// Maxima only rise within a visit: unless all is proven where it ends, nothing was replaced in it.
fn all_proven(standing: &Standing) -> bool {
    let tests = &standing.maxima.tests;
    tests.iter().all(|test| test.holds.log_e().is_some_and(|log_e| log_e >= stats::proof()))
}

/// Reads a visit shot by shot; says how many shots there were in all when `replaces` was said.
fn first_replaces(
    all: &[Row],
    visit: std::ops::Range<usize>,
    (question, alarms): (&PairQuestion, Alarms),
) -> Option<usize> {
    let mut desk = Desk::new(all, alarms);
    let mut pair = Pair::new(question.clone());
    desk.read_to(visit.start);
    pair.advance(desk.player());
    (visit.start + 1..=visit.end).find(|shots| {
        desk.read_to(*shots);
        question.verdict(&pair.advance(desk.player())) == Verdict::Replaces
    })
}
