//! The player's own run effect, frozen for a pair before it first met.

use hashbrown::HashMap;
use serde::Serialize;
use utoipa::ToSchema;

use super::{
    filter::Evidence,
    marks::{Build, Marks},
    measure::{METRES_PER_YARD, Tested},
    row::{Row, Stratum},
};
use crate::stats::{self, Cell, Insufficient, Of, PastCell, PlayerSd, Quantity, RunEffect};

/// Run effects of a pair: fixed by the shots that arrived before its first common session began.
#[derive(Debug, Clone, Copy)]
pub struct Frozen {
    /// How many present shots must have arrived for the pair to exist; before, the floors stand.
    pub since: usize,
    /// The club-in-session effect by [`Tested::index`], for differences.
    pub run: [PlayerSd; 3],
    /// The whole day's effect, for an own mean.
    pub day: [PlayerSd; 3],
}

/// The measures with a floor in units, in the order of [`Tested::ALL`].
pub const WITH_FLOOR: [Tested; 3] = [Tested::Carry, Tested::Launch, Tested::Spin];

/// Finds where two clubs first met and what the player's history said by then; `None` where they
/// have not met.
#[must_use]
pub fn frozen(rows: &[Row], marks: &Marks, pair: [u32; 2]) -> Option<Frozen> {
    let (session, since) = first_common_session(rows, marks, pair)?;
    let start = marks.start_of(session)?;
    Some(Frozen::of_history(start, since, (rows, marks)))
}

/// The run effects of a pair in a trial that was opened when `opened` present shots had arrived: the
/// pair's own where it had met by then, else what the player's history said at the opening.
#[must_use]
pub fn frozen_at_opening(rows: &[Row], marks: &Marks, (pair, opened): ([u32; 2], usize)) -> Frozen {
    let known = frozen(rows, marks, pair).filter(|frozen| frozen.since <= opened);
    known.unwrap_or_else(|| Frozen::of_history(opened, opened, (rows, marks)))
}

impl Frozen {
    /// From the first `arrived` present shots.
    fn of_history(arrived: usize, since: usize, (rows, marks): (&[Row], &Marks)) -> Self {
        let sds = WITH_FLOOR.map(|tested| {
            let cells = cells_before(arrived, rows, marks, tested);
            history_sds(&cells, tested)
        });
        Self { since, run: sds.map(|sd| sd.0), day: sds.map(|sd| sd.1) }
    }
}

/// The whole day's effect as the shots so far tell it: what a profile states.
#[must_use]
pub fn day_effect(rows: &[Row], marks: &Marks, tested: Tested) -> PlayerSd {
    history_sds(&cells_before(marks.places().len(), rows, marks, tested), tested).1
}

fn history_sds(cells: &[PastCell], tested: Tested) -> (PlayerSd, PlayerSd) {
    let measure = tested.in_statistics();
    let of = |of, estimate: fn(&[PastCell], f64) -> Result<PlayerSd, Insufficient>| {
        let floor = match (Quantity { measure, of }).run_effect_floor() {
            RunEffect::Sd(sd) => sd,
            RunEffect::Ratio(_) | RunEffect::None => 0.0,
        };
        // Cells hold plain numbers only; the floor is what a player without a history has.
        estimate(cells, floor).unwrap_or(PlayerSd { sd: floor, estimate: None, nu: 0 })
    };
    (of(Of::Difference, stats::run_sd_from_history), of(Of::OwnMean, stats::day_sd_from_history))
}

/// The session that was first, in order of arrival, to hold both clubs in one stratum, and how
/// many present shots had arrived by then.
fn first_common_session(rows: &[Row], marks: &Marks, pair: [u32; 2]) -> Option<(u32, usize)> {
    let mut seen: HashMap<(u32, Stratum), u32> = HashMap::new();
    for (index, place) in marks.places().iter().enumerate() {
        if !pair.contains(&place.build.club) {
            continue;
        }
        let row = &rows[place.row as usize];
        let first = *seen.entry((row.session, row.stratum())).or_insert(row.club);
        if first != row.club {
            return Some((row.session, index + 1));
        }
    }
    None
}

/// Cells of the first `arrived` present shots: for each session and club its stratum with most
/// counted shots (the first seen of equals); the stratum is part of the club's name in the fit.
fn cells_before(arrived: usize, rows: &[Row], marks: &Marks, tested: Tested) -> Vec<PastCell> {
    let stock = Evidence::default();
    let mut order: Vec<(u32, Build)> = Vec::new();
    let mut strata: HashMap<(u32, Build), Vec<(Stratum, Cell)>> = HashMap::new();
    for place in &marks.places()[..arrived] {
        let row = &rows[place.row as usize];
        if place.is_mishit(arrived) || !stock.admits(row) {
            continue;
        }
        let Some(value) = tested.evidence(row) else { continue };
        let key = (row.session, place.build);
        let cells = strata.entry(key).or_insert_with(|| {
            order.push(key);
            Vec::new()
        });
        let stratum = row.stratum();
        let known = cells.iter().position(|(known, _)| *known == stratum);
        let at = known.unwrap_or_else(|| {
            cells.push((stratum, Cell::default()));
            cells.len() - 1
        });
        // A stored value is finite by the schema's bounds.
        let _ = cells[at].1.push(value);
    }
    let mut names: HashMap<(Build, Stratum), u32> = HashMap::new();
    // Sessions by the order in which they appear: their numbers have no say in any digit.
    let mut sessions: HashMap<u32, u32> = HashMap::new();
    let mut cells = Vec::with_capacity(order.len());
    for key in order {
        let Some((stratum, cell)) = strata.get(&key).and_then(|all| fullest(all)) else { continue };
        let next = u32::try_from(names.len()).unwrap_or(u32::MAX);
        let club = *names.entry((key.1, stratum)).or_insert(next);
        let next = u32::try_from(sessions.len()).unwrap_or(u32::MAX);
        let session = *sessions.entry(key.0).or_insert(next);
        cells.push(PastCell::new(session, club, &cell));
    }
    cells
}

fn fullest(cells: &[(Stratum, Cell)]) -> Option<(Stratum, Cell)> {
    let most = cells.iter().map(|(_, cell)| cell.n()).max()?;
    cells.iter().find(|(_, cell)| cell.n() == most).copied()
}

/// The sd of an effect of the day as answers tell it, and where the figure is from: a club's own day
/// beside a difference, the whole day beside a club's own mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct Effect {
    /// On carry, metres.
    pub carry_m: f64,
    /// On launch, degrees.
    pub launch_angle_deg: f64,
    /// On spin, rpm.
    pub spin_rate_rpm: f64,
    /// `assumed` until the player's own sessions say more.
    pub origin: EffectOrigin,
    /// Why, in a sentence.
    pub words: &'static str,
}

/// Where an effect's figure is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum EffectOrigin {
    /// The stated floor: there is no history.
    Assumed,
    /// Blended from the player's own sessions.
    History,
}

const BEFORE_MEETING: &str = "From what the player hit before the two clubs first met like for like; \
    it stays as it was then, so that no later shot can bend the evidence.";
const NOT_TOLD_BEFORE_MEETING: &str = "Assumed: before the two clubs first met like for like no visits \
    told, and what was fixed then stays, so that no later shot can bend the evidence.";
const NOT_MET: &str = "Assumed: the two clubs have not met like for like yet.";
const OWN_VISITS: &str = "From the player's own visits.";
const NO_VISITS: &str = "Assumed: the player's visits do not tell it yet.";

impl Effect {
    /// The whole day's effect, from the figures by [`WITH_FLOOR`].
    #[must_use]
    pub fn of_day(sds: &[PlayerSd; 3]) -> Self {
        Self::of(sds, [OWN_VISITS, NO_VISITS])
    }

    /// The run effect in force for a pair: the floors until the clubs have met.
    #[must_use]
    pub fn of_pair(frozen: Option<&Frozen>) -> Self {
        match frozen {
            Some(frozen) => Self::of(&frozen.run, [BEFORE_MEETING, NOT_TOLD_BEFORE_MEETING]),
            None => Self::of(&WITH_FLOOR.map(|tested| history_sds(&[], tested).0), [NOT_MET; 2]),
        }
    }

    fn of(sds: &[PlayerSd; 3], [told, assumed]: [&'static str; 2]) -> Self {
        let history = sds.iter().any(|sd| sd.estimate.is_some());
        Self {
            carry_m: sds[0].sd * METRES_PER_YARD,
            launch_angle_deg: sds[1].sd,
            spin_rate_rpm: sds[2].sd,
            origin: if history { EffectOrigin::History } else { EffectOrigin::Assumed },
            words: if history { told } else { assumed },
        }
    }
}
