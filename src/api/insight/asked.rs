//! What is asked of a player's clubs: the parameters, and what they become.

use jiff::tz::TimeZone;

use super::weather;
use crate::{
    api::{
        query::{Form, Parameter, Query, ShareAsked, Stretch, Table, Words},
        units::Units,
    },
    bag::{Brief, Calendar, CarryAir, Filter, Period, ProfileQuestion, USUAL_SHARE},
    live::PlaceWanted,
    shot::{
        BRIEF_FIGURES, BriefFigure, ClubId, FLOOR_COMPUTED, Height, Intent, Lie, Shape,
        StatedBrief, Swing, zone_of_name,
    },
};

/// The parameters of a profile.
pub(super) const PROFILE: Table =
    &[EVIDENCE, SUMMARY, AIR, SHARE, Stretch::PARAMETERS, CALENDAR, Units::PARAMETERS];
/// The parameters of a ladder.
pub(super) const LADDER: Table = &[BAG, EVIDENCE, AIR, Stretch::PARAMETERS, Units::PARAMETERS];
/// The parameters of drifts.
pub(super) const DRIFTS: Table = &[CLUB, Units::PARAMETERS];
/// The parameters of a comparison.
pub(super) const COMPARISON: Table =
    &[PAIR, EVIDENCE, AIR, SHARE, MIX, weather::CONDITIONS, Stretch::PARAMETERS, Units::PARAMETERS];
/// The parameters of replacements.
pub(super) const REPLACEMENTS: Table =
    &[PLACE, BRIEF, BAG, MIX, EVIDENCE, AIR_OF_PLACE, Stretch::PARAMETERS, Units::PARAMETERS];

pub(in crate::api) const EVIDENCE: &[Parameter] = &[
    Parameter::new("lie", Form::OneOf(Lie::spellings), "Only shots from this lie."),
    Parameter::new("ball", Form::Name, "Only shots with this ball."),
    Parameter::new(
        "height",
        Form::OneOf(Height::spellings),
        "Shots meant so high; stock unless given.",
    ),
    Parameter::new(
        "shape",
        Form::OneOf(Shape::spellings),
        "Shots meant to curve so; straight unless given.",
    ),
];

pub(in crate::api) const SUMMARY: &[Parameter] = &[
    Parameter::new(
        "swing",
        Form::OneOf(Swing::spellings),
        "Shots meant as such a swing; full unless given.",
    ),
    Parameter::new("last", Form::Count { most: 100_000 }, "Only the last so many counted shots."),
];

const CALENDAR: &[Parameter] = &[Parameter::new(
    "by",
    Form::OneOf(Period::spellings),
    "Tell the club also month by month, quarter by quarter or year by year, in `windows`: the newest \
     sixty in which it was hit.",
)];

pub(in crate::api) const BAG: &[Parameter] =
    &[Parameter::new("bag", Form::Name, "The clubs of this bag; all that are owned unless given.")];

pub(in crate::api) const AIR: &[Parameter] = &[Parameter::new(
    "air",
    Form::OneOf(CarryAir::spellings),
    "The air that carries are in: `as_hit`, or taken to still `reference` air (20 °C, 1,013.25 hPa, 50 %) by \
     the ratio of modelled carries; then those that cannot be taken there are left out, and counted. As hit \
     unless given.",
)];

pub(in crate::api) const AIR_OF_PLACE: &[Parameter] = &[Parameter::new(
    "air",
    Form::OneOf(CarryAir::spellings),
    "The air that carries are in: `as_hit`, or taken to still `reference` air. As hit unless given, but for \
     a brief with a slot where the air of the candidates' shots differs by more than 3 % in density and all \
     their carries can be taken there.",
)];

pub(in crate::api) const SHARE: &[Parameter] = &[Parameter::new(
    "share",
    Form::Share,
    "The share of shots that an ellipse should hold; 0.8 unless given.",
)];

const MIX: &[Parameter] = &[Parameter::new(
    "mix",
    Form::Mix,
    "Say also what a mix of lies would make of both clubs, in per cent: `tee:60,tight:40`; in no \
     verdict.",
)];

pub(in crate::api) const CLUB: &[Parameter] =
    &[Parameter::new("club", Form::Name, "This club only; all that are watched unless given.")];

pub(in crate::api) const PAIR: &[Parameter] = &[
    Parameter::new("incumbent", Form::Name, "The club that is compared with.").needed(),
    Parameter::new("candidate", Form::Name, "The club that is compared.").needed(),
];

pub(in crate::api) const PLACE: &[Parameter] = &[
    Parameter::new("incumbent", Form::Name, "The club whose place is wanted.").needed(),
    Parameter::new("candidate", Form::Names, "A club that is tried; all neighbours unless given."),
];

pub(in crate::api) const BRIEF: &[Parameter] = &{
    // What is no figure comes last.
    let mut all =
        [Parameter::new(FLOOR_COMPUTED.0, Form::Truth, FLOOR_COMPUTED.1); BRIEF_FIGURES.len() + 1];
    let mut at = 0;
    while at < BRIEF_FIGURES.len() {
        let BriefFigure { base, dimension, high, about } = BRIEF_FIGURES[at];
        all[at] = Parameter::new(base, Form::Quantity { dimension, low: 0.0, high }, about);
        at += 1;
    }
    all
};

/// The figures of a brief that say which carry is wanted.
pub(in crate::api) const SLOT: &[Parameter] = &[BRIEF[0], BRIEF[5], BRIEF[6]];

/// Reads what is asked about a club.
pub(super) fn profile(query: &mut Query<'_>) -> ProfileQuestion {
    let filter = filter(query);
    let by = query.one("by");
    // What is wrong with it is told with the stretch of time.
    let zone = query.text("zone").and_then(zone_of_name).unwrap_or(TimeZone::UTC);
    let calendar = by.map(|by| Calendar { by, zone });
    let (air, share) = (air(query), share(query));
    ProfileQuestion { calendar, share, air, ..ProfileQuestion::from(&filter) }
}

/// Reads which two clubs are compared.
pub(in crate::api) fn pair(query: &mut Query<'_>) -> Option<[ClubId; 2]> {
    let incumbent: Option<ClubId> = query.needed("incumbent");
    let candidate: Option<ClubId> = query.needed("candidate");
    if incumbent.is_some() && incumbent == candidate {
        query.fault("candidate", "`candidate` is the incumbent itself: name another club");
    }
    Some([incumbent?, candidate?])
}

/// Reads who shall take whose place, and the brief.
pub(in crate::api) fn place(query: &mut Query<'_>) -> Option<PlaceWanted> {
    let incumbent: Option<ClubId> = query.needed("incumbent");
    let candidates: Vec<ClubId> = query.many("candidate");
    if incumbent.as_ref().is_some_and(|incumbent| candidates.contains(incumbent)) {
        query.fault("candidate", "`candidate` is the incumbent itself: name another club");
    }
    if (1..candidates.len()).any(|at| candidates[..at].contains(&candidates[at])) {
        query.fault("candidate", "`candidate` names a club twice: name it once");
    }
    let brief = brief(query);
    let (bag, mix, air) = (query.one("bag"), query.one("mix"), query.one("air"));
    Some(PlaceWanted { candidates, brief, bag, mix, air, ..PlaceWanted::of(incumbent?) })
}

/// Reads the air that carries are to be in.
pub(in crate::api) fn air(query: &mut Query<'_>) -> CarryAir {
    query.one("air").unwrap_or_default()
}

/// Reads the share of shots that an ellipse should hold.
pub(in crate::api) fn share(query: &mut Query<'_>) -> f64 {
    query.one("share").map_or(USUAL_SHARE, |ShareAsked(share)| share)
}

/// Reads the carry that is wanted, under a brief that asks for nothing else.
pub(in crate::api) fn slot(query: &mut Query<'_>) -> Brief {
    Brief::from(&figures(query))
}

fn brief(query: &mut Query<'_>) -> Brief {
    let figures = figures(query);
    Brief { filter: filter(query), ..Brief::from(&figures) }
}

fn figures(query: &mut Query<'_>) -> StatedBrief {
    let figures = StatedBrief::of_figures(|base| query.quantity(base)).or(&Brief::usual());
    let launch_floor_computed = query.one(FLOOR_COMPUTED.0).unwrap_or(false);
    let figures = StatedBrief { launch_floor_computed, ..figures };
    let sent = |base| Some(format!("{base}{}", query.unit_sent(base)?));
    for (parameter, detail) in figures.contradictions(sent) {
        query.fault(&parameter, detail);
    }
    figures
}

/// Reads what a question restricts its evidence to.
pub(in crate::api) fn filter(query: &mut Query<'_>) -> Filter {
    let Stretch { from, to } = Stretch::read(query);
    let usual = Intent::default();
    let intent = Intent {
        height: query.one("height").unwrap_or(usual.height),
        shape: query.one("shape").unwrap_or(usual.shape),
        swing: query.one("swing").unwrap_or(usual.swing),
    };
    Filter {
        lie: query.one("lie"),
        ball: query.one("ball"),
        intent,
        from,
        to,
        last: query.count("last"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;
    use crate::api::problem::Problem;

    fn place(raw: &str) -> Result<PlaceWanted, Problem> {
        let mut query = Query::read(raw, REPLACEMENTS)?;
        let wanted = super::place(&mut query);
        query.done()?;
        Ok(wanted.unwrap())
    }

    fn faults(raw: &str) -> Vec<String> {
        let refused = place(raw).unwrap_err();
        refused.errors().iter().filter_map(|fault| fault.parameter.clone()).collect()
    }

    #[test]
    fn a_brief_is_the_usual_one_unless_it_says_otherwise() {
        let wanted = place("incumbent=4i").unwrap();
        assert_eq!(wanted.brief, Brief::default());
        assert!(wanted.candidates.is_empty());
    }

    #[test]
    fn a_slot_is_its_margin_and_its_ends() {
        let names: Vec<&str> = SLOT.iter().map(|figure| figure.name).collect();
        assert_eq!(names, ["carry_margin", "slot_low", "slot_high"]);
    }

    #[test]
    fn a_brief_may_be_given_in_any_unit() {
        let wanted =
            place("incumbent=4i&candidate=5h&carry_margin_yd=10&slot_low_m=150&slot_high_yd=180");
        let brief = wanted.unwrap().brief;
        assert!((brief.carry_margin_m - 9.144).abs() < 1e-9);
        assert_eq!(brief.slot_low_m, Some(150.0));
        assert!((brief.slot_high_m.unwrap() - 164.592).abs() < 1e-9);
    }

    #[test]
    fn a_club_cannot_take_its_own_place() {
        assert_eq!(faults("incumbent=4i&candidate=4i"), ["candidate"]);
        assert_eq!(faults("incumbent=4i&candidate=5h&candidate=5h"), ["candidate"]);
        assert_eq!(faults("candidate=5h"), ["incumbent"]);
    }

    #[test]
    fn a_slot_is_blamed_in_the_unit_that_was_sent() {
        assert_eq!(faults("incumbent=4i&slot_low_yd=170&slot_high_yd=160"), ["slot_high_yd"]);
        assert_eq!(faults("incumbent=4i&slot_low_m=170&slot_high_yd=160"), ["slot_high_yd"]);
        assert_eq!(faults("incumbent=4i&slot_low_yd=170"), ["slot_high_yd"]);
        assert_eq!(faults("incumbent=4i&slot_high_yd=170"), ["slot_low_yd"]);
        assert_eq!(faults("incumbent=4i&slot_low_yd=far&slot_high_yd=160"), ["slot_low_yd"]);
    }

    #[test]
    fn a_brief_that_nothing_can_meet_is_refused() {
        assert_eq!(faults("incumbent=4i&slot_low_m=150"), ["slot_high_m"]);
        assert_eq!(faults("incumbent=4i&slot_low_m=150&slot_high_m=150"), ["slot_high_m"]);
        assert_eq!(faults("incumbent=4i&launch_lower_by_deg=6"), ["launch_lower_by_deg"]);
        let both = "launch_lower_by_deg=3&launch_lower_at_most_deg=2";
        assert_eq!(faults(&format!("incumbent=4i&{both}")), ["launch_lower_at_most_deg"]);
        assert_eq!(faults("incumbent=4i&spin_lower_at_most_rpm=400"), ["spin_lower_at_most_rpm"]);
        let floors = "launch_floor_deg=11&launch_floor_computed=true";
        assert_eq!(faults(&format!("incumbent=4i&{floors}")), ["launch_floor_computed"]);
    }
}
