//! The hitting order of a trial: blocks of shots with one club, so laid out that neither warming up nor
//! tiring nor a turning wind favours a club.
//!
//! A round has a block of every club. Its places come from a Williams design (E. J. Williams, Australian
//! Journal of Scientific Research A 2, 1949), in which each club stands in each place equally often, and
//! right behind each other club equally often. Rounds come in twos, the second the first one backwards:
//! so whatever changes steadily over both touches all clubs alike. Which two rounds come when, and which
//! of them leads, is drawn from the trial's seed; what led in one half of a turn follows in the other.

/// How the blocks of a trial follow one another, without end.
#[derive(Debug, Clone)]
pub struct Order {
    seed: u64,
    clubs: usize,
    lies: usize,
    /// Shots of a block.
    block_shots: u32,
    /// Pairs of rounds that a visit holds.
    pairs_a_visit: usize,
    /// The club of each symbol of the design.
    labels: Vec<usize>,
    /// The lies in the order of their turns.
    lie_turns: Vec<usize>,
}

/// A block: some shots in a row with one club.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Block {
    /// The club, by its place among the trial's; the incumbent is 0.
    pub club: usize,
    /// The lie, by its place among the trial's; 0 where there are none.
    pub lie: usize,
    /// The visit that it belongs to, from 1.
    pub visit: usize,
    /// Its number in the visit, from 1.
    pub number: usize,
}

/// What an order is made for.
#[derive(Debug, Clone, Copy)]
pub struct Layout {
    /// How many clubs there are.
    pub clubs: usize,
    /// How many lies; 0 for whichever.
    pub lies: usize,
    /// The most shots of a visit.
    pub visit_shots: u32,
    /// The most shots of a block.
    pub block_shots: u32,
}

impl Order {
    /// The order of a seed. Blocks are shortened until two rounds fit into a visit.
    #[must_use]
    pub fn new(layout: Layout, seed: u64) -> Self {
        let clubs = layout.clubs.max(1);
        let two_rounds = u32::try_from(2 * clubs).unwrap_or(u32::MAX);
        let block_shots = layout.block_shots.min(layout.visit_shots / two_rounds).max(1);
        let pairs_a_visit = (layout.visit_shots / (two_rounds * block_shots)).max(1);
        let mut draw = Draw::of(seed, u64::MAX);
        Self {
            seed,
            clubs,
            lies: layout.lies.max(1),
            block_shots,
            pairs_a_visit: pairs_a_visit as usize,
            labels: draw.shuffled(clubs),
            lie_turns: draw.shuffled(layout.lies.max(1)),
        }
    }

    /// Shots of a block.
    #[must_use]
    pub fn block_shots(&self) -> u32 {
        self.block_shots
    }

    /// Blocks of a visit.
    #[must_use]
    pub fn blocks_a_visit(&self) -> usize {
        2 * self.pairs_a_visit * self.clubs
    }

    /// Rounds after which all that is balanced has come out even.
    #[must_use]
    pub fn rounds_a_turn(&self) -> usize {
        4 * self.pairs()
    }

    /// The block of a number, from 0.
    #[must_use]
    pub fn block(&self, number: usize) -> Block {
        let (round, place) = (number / self.clubs, number % self.clubs);
        let pair = round / 2;
        let (half, at) = (pair / self.pairs(), pair % self.pairs());
        let turn = half / 2;
        // Once lies and pairs of rounds have come out even, the lies move on by one, so that no lie
        // keeps to the same rounds.
        let even = least_common_multiple(2 * self.pairs(), self.lies);
        let row = Draw::of(self.seed, 2 * half as u64).shuffled(self.pairs())[at];
        let backwards = Draw::of(self.seed, 2 * turn as u64 + 1).truths(self.pairs())[row];
        let forwards = (round + half + usize::from(backwards)).is_multiple_of(2);
        let place = if forwards { place } else { self.clubs - 1 - place };
        Block {
            club: self.labels[self.symbol(row, place)],
            lie: self.lie_turns[(pair + pair / even) % self.lies],
            visit: number / self.blocks_a_visit() + 1,
            number: number % self.blocks_a_visit() + 1,
        }
    }

    /// Rows of the design that are no other one backwards.
    fn pairs(&self) -> usize {
        if self.clubs.is_multiple_of(2) { self.clubs / 2 } else { self.clubs }
    }

    /// The design's symbol: the first row goes 0, 1, n − 1, 2, n − 2 and so on; each row adds one.
    fn symbol(&self, row: usize, place: usize) -> usize {
        let half = place.div_ceil(2);
        let first = if place % 2 == 1 { half } else { (self.clubs - half) % self.clubs };
        (first + row) % self.clubs
    }
}

fn least_common_multiple(one: usize, other: usize) -> usize {
    let (mut divisor, mut rest) = (one, other);
    while rest > 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    one / divisor * other
}

/// Random numbers that follow from a seed alone: the generator `SplitMix64` (Steele, Lea and Flood, OOPSLA 2014).
struct Draw(u64);

impl Draw {
    /// One of the streams of a seed.
    fn of(seed: u64, stream: u64) -> Self {
        let mut draw = Self(seed ^ stream.wrapping_mul(0xd134_2543_de82_ef95));
        draw.next();
        draw
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// The numbers below `count` in any order, each order as likely as the others (R. A. Fisher and
    /// F. Yates, Statistical Tables, 1938); what the remainder favours is lost beside 2⁶⁴.
    fn shuffled(&mut self, count: usize) -> Vec<usize> {
        let mut all: Vec<usize> = (0..count).collect();
        for at in (1..count).rev() {
            let other = self.next() % (at as u64 + 1);
            all.swap(at, usize::try_from(other).unwrap_or(0));
        }
        all
    }

    fn truths(&mut self, count: usize) -> Vec<bool> {
        (0..count).map(|_| self.next() & 1 == 1).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    fn order(clubs: usize, lies: usize, seed: u64) -> Order {
        Order::new(Layout { clubs, lies, visit_shots: 30, block_shots: 5 }, seed)
    }

    /// The clubs of a turn, round by round.
    fn turn(order: &Order) -> Vec<Vec<usize>> {
        let clubs =
            |round| (0..order.clubs).map(move |at| order.block(round * order.clubs + at).club);
        (0..order.rounds_a_turn()).map(|round| clubs(round).collect()).collect()
    }

    /// How often each key comes, all of them alike.
    fn even<K: Ord + std::fmt::Debug>(keys: impl Iterator<Item = K>, kinds: usize) -> bool {
        let mut counts: BTreeMap<K, usize> = BTreeMap::new();
        keys.for_each(|key| *counts.entry(key).or_default() += 1);
        let first = counts.values().next().copied().unwrap_or_default();
        counts.len() == kinds && counts.values().all(|count| *count == first)
    }

    proptest! {
        #[test]
        fn every_club_is_in_every_place_and_behind_every_other_equally_often(
            clubs in 2..=7_usize,
            seed in any::<u64>(),
        ) {
            let rounds = turn(&order(clubs, 0, seed));
            for round in &rounds {
                let mut sorted = round.clone();
                sorted.sort_unstable();
                prop_assert_eq!(sorted, (0..clubs).collect::<Vec<_>>(), "a round has every club once");
            }
            let places = rounds.iter().flat_map(|round| round.iter().copied().enumerate());
            prop_assert!(even(places, clubs * clubs), "{:?}", rounds);
            let neighbours = rounds.iter().flat_map(|round| round.windows(2).map(|two| (two[0], two[1])));
            prop_assert!(even(neighbours, clubs * (clubs - 1)), "{:?}", rounds);
            let leads = rounds.iter().step_by(2).map(|round| round[0]);
            prop_assert!(even(leads, clubs), "who opens two rounds: {:?}", rounds);
        }

        #[test]
        fn what_changes_steadily_over_two_rounds_touches_all_clubs_alike(
            clubs in 2..=7_usize,
            seed in any::<u64>(),
            pair in 0..40_usize,
        ) {
            let order = order(clubs, 0, seed);
            let mut sums = vec![0; clubs];
            for at in 0..2 * clubs {
                sums[order.block(pair * 2 * clubs + at).club] += at;
            }
            prop_assert!(sums.iter().all(|sum| *sum == sums[0]), "{:?}", sums);
        }

        #[test]
        fn a_visit_holds_whole_pairs_of_rounds_and_no_more_shots_than_were_asked_for(
            clubs in 2..=7_usize,
            block_shots in 1..=20_u32,
            more in 0..286_u32,
        ) {
            let visit_shots = 2 * u32::try_from(clubs).unwrap_or(0) + more;
            let order = Order::new(Layout { clubs, lies: 0, visit_shots, block_shots }, 7);
            let shots = order.blocks_a_visit() * order.block_shots() as usize;
            prop_assert!(shots <= visit_shots as usize);
            prop_assert!(order.blocks_a_visit().is_multiple_of(2 * clubs));
            prop_assert!(order.block_shots() <= block_shots);
        }

        #[test]
        fn clubs_that_are_compared_are_hit_from_each_lie_alike(
            clubs in 2..=7_usize,
            lies in 1..=3_usize,
            seed in any::<u64>(),
        ) {
            let order = order(clubs, lies, seed);
            let blocks = order.rounds_a_turn() * clubs * lies;
            let all = (0..blocks).map(|at| order.block(at)).map(|block| (block.club, block.lie));
            prop_assert!(even(all, clubs * lies));
        }
    }

    #[test]
    fn a_seed_has_one_order_and_others_have_others() {
        let clubs = |seed| turn(&order(5, 0, seed));
        assert_eq!(clubs(17), clubs(17));
        assert!((0..20).any(|seed| clubs(seed) != clubs(17)));
    }
}
