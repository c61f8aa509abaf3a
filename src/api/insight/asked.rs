//! What is asked of a player's clubs: the parameters, and what they become.

use jiff::tz::TimeZone;

use crate::{
    api::{
        query::{Form, Parameter, Query, ShareAsked, Stretch, Table, Words},
        units::Units,
    },
    bag::{Brief, Calendar, Filter, Period, ProfileQuestion, USUAL_SHARE},
    live::PlaceWanted,
    shot::{ClubId, Height, Intent, Lie, Shape, Swing, units::Dimension, zone_of_name},
};

/// The parameters of a profile.
pub(super) const PROFILE: Table =
    &[EVIDENCE, SUMMARY, SHARE, Stretch::PARAMETERS, CALENDAR, Units::PARAMETERS];
/// The parameters of a ladder.
pub(super) const LADDER: Table = &[BAG, EVIDENCE, Stretch::PARAMETERS, Units::PARAMETERS];
/// The parameters of drifts.
pub(super) const DRIFTS: Table = &[CLUB, Units::PARAMETERS];
/// The parameters of a comparison.
pub(super) const COMPARISON: Table =
    &[PAIR, EVIDENCE, SHARE, MIX, Stretch::PARAMETERS, Units::PARAMETERS];
/// The parameters of replacements.
pub(super) const REPLACEMENTS: Table =
    &[PLACE, BRIEF, BAG, MIX, EVIDENCE, Stretch::PARAMETERS, Units::PARAMETERS];

pub(super) const EVIDENCE: &[Parameter] = &[
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

pub(super) const SUMMARY: &[Parameter] = &[
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

const BAG: &[Parameter] =
    &[Parameter::new("bag", Form::Name, "The clubs of this bag; all that are owned unless given.")];

const CLUB: &[Parameter] =
    &[Parameter::new("club", Form::Name, "This club only; all that are watched unless given.")];

const SHARE: &[Parameter] = &[Parameter::new(
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

const PAIR: &[Parameter] = &[
    Parameter::new("incumbent", Form::Name, "The club that is compared with.").needed(),
    Parameter::new("candidate", Form::Name, "The club that is compared.").needed(),
];

const PLACE: &[Parameter] = &[
    Parameter::new("incumbent", Form::Name, "The club whose place is wanted.").needed(),
    Parameter::new("candidate", Form::Names, "A club that is tried; all neighbours unless given."),
];

/// Greatest carry and other distance that a brief may name, m: beyond any shot's bound.
const FARTHEST_M: f64 = 400.0;
/// Greatest difference in launch or floor that a brief may name, degrees.
const STEEPEST_DEG: f64 = 90.0;
/// Greatest difference in spin that a brief may name, rpm.
const FASTEST_RPM: f64 = 20_000.0;

const BRIEF: &[Parameter] = &[
    length(
        "carry_margin",
        "How much the carries may differ, either way; 4.572 m (5 yd) unless given.",
    ),
    angle("launch_lower_by", "How much lower the launch must be at least; 1.5 unless given."),
    angle("launch_lower_at_most", "How much lower it may be at most; 5.0 unless given."),
    spin("spin_lower_by", "How much lower the spin must be at least; 500 unless given."),
    spin("spin_lower_at_most", "How much lower it may be at most; 1,800 unless given."),
    length("slot_low", "The wanted carry from here, in place of the incumbent's own."),
    length("slot_high", "The wanted carry up to here."),
    angle("launch_floor", "The launch must be at least this, in place of the largest drop."),
    angle("descent_floor", "The descent must be at least this."),
    length("must_carry", "Say also how many of all strikes carry this far; in no verdict."),
];

const fn length(name: &'static str, about: &'static str) -> Parameter {
    quantity(name, Dimension::Length, FARTHEST_M, about)
}

const fn angle(name: &'static str, about: &'static str) -> Parameter {
    quantity(name, Dimension::Angle, STEEPEST_DEG, about)
}

const fn spin(name: &'static str, about: &'static str) -> Parameter {
    quantity(name, Dimension::Spin, FASTEST_RPM, about)
}

const fn quantity(
    name: &'static str,
    dimension: Dimension,
    high: f64,
    about: &'static str,
) -> Parameter {
    Parameter::new(name, Form::Quantity { dimension, low: 0.0, high }, about)
}

/// Reads what is asked about a club.
pub(super) fn profile(query: &mut Query<'_>) -> ProfileQuestion {
    let filter = filter(query);
    let by = query.one("by");
    // What is wrong with it is told with the stretch of time.
    let zone = query.text("zone").and_then(zone_of_name).unwrap_or(TimeZone::UTC);
    let calendar = by.map(|by| Calendar { by, zone });
    ProfileQuestion { filter, calendar, share: share(query), units: Units::default() }
}

/// Reads which two clubs are compared.
pub(super) fn pair(query: &mut Query<'_>) -> Option<[ClubId; 2]> {
    let incumbent: Option<ClubId> = query.needed("incumbent");
    let candidate: Option<ClubId> = query.needed("candidate");
    if incumbent.is_some() && incumbent == candidate {
        query.fault("candidate", "`candidate` is the incumbent itself: name another club");
    }
    Some([incumbent?, candidate?])
}

/// Reads who shall take whose place, and the brief.
pub(super) fn place(query: &mut Query<'_>) -> Option<PlaceWanted> {
    let incumbent: Option<ClubId> = query.needed("incumbent");
    let candidates: Vec<ClubId> = query.many("candidate");
    if incumbent.as_ref().is_some_and(|incumbent| candidates.contains(incumbent)) {
        query.fault("candidate", "`candidate` is the incumbent itself: name another club");
    }
    if (1..candidates.len()).any(|at| candidates[..at].contains(&candidates[at])) {
        query.fault("candidate", "`candidate` names a club twice: name it once");
    }
    let brief = brief(query);
    let (bag, mix) = (query.one("bag"), query.one("mix"));
    Some(PlaceWanted { candidates, brief, bag, mix, ..PlaceWanted::of(incumbent?) })
}

/// Reads the share of shots that an ellipse should hold.
pub(super) fn share(query: &mut Query<'_>) -> f64 {
    query.one("share").map_or(USUAL_SHARE, |ShareAsked(share)| share)
}

fn brief(query: &mut Query<'_>) -> Brief {
    let usual = Brief::default();
    let brief = Brief {
        carry_margin_m: query.quantity("carry_margin").unwrap_or(usual.carry_margin_m),
        launch_lower_by_deg: query.quantity("launch_lower_by").unwrap_or(usual.launch_lower_by_deg),
        launch_lower_at_most_deg: query
            .quantity("launch_lower_at_most")
            .unwrap_or(usual.launch_lower_at_most_deg),
        spin_lower_by_rpm: query.quantity("spin_lower_by").unwrap_or(usual.spin_lower_by_rpm),
        spin_lower_at_most_rpm: query
            .quantity("spin_lower_at_most")
            .unwrap_or(usual.spin_lower_at_most_rpm),
        slot_low_m: query.quantity("slot_low"),
        slot_high_m: query.quantity("slot_high"),
        launch_floor_deg: query.quantity("launch_floor"),
        descent_floor_deg: query.quantity("descent_floor"),
        must_carry_m: query.quantity("must_carry"),
        filter: filter(query),
    };
    check_slot(query, &brief);
    check_windows(query, &brief);
    brief
}

fn check_slot(query: &mut Query<'_>, brief: &Brief) {
    let ends = brief.slot_low_m.zip(brief.slot_high_m);
    match (query.unit_sent("slot_low"), query.unit_sent("slot_high")) {
        (Some(_), Some(unit)) if ends.is_some_and(|(low, high)| low >= high) => {
            let detail = "the slot ends where it begins or before: give a higher end";
            query.fault(&format!("slot_high{unit}"), detail);
        }
        (Some(unit), None) => need_end(query, &format!("slot_high{unit}")),
        (None, Some(unit)) => need_end(query, &format!("slot_low{unit}")),
        _ => {}
    }
}

fn need_end(query: &mut Query<'_>, missing: &str) {
    query.fault(missing, format!("a slot needs both ends: give `{missing}` too"));
}

/// No club can be lower by at least one figure and by at most a smaller one. Where only one of them
/// was sent, it is the one to blame.
fn check_windows(query: &mut Query<'_>, brief: &Brief) {
    let sent = |query: &Query<'_>, least, most| {
        if query.text(most).is_some() { most } else { least }
    };
    let (least, most) = (brief.launch_lower_by_deg, brief.launch_lower_at_most_deg);
    if brief.launch_floor_deg.is_none() && least >= most {
        let blamed = sent(query, "launch_lower_by_deg", "launch_lower_at_most_deg");
        query.fault(
            blamed,
            format!("the launch cannot be lower by {least} and by no more than {most}: widen one"),
        );
    }
    let (least, most) = (brief.spin_lower_by_rpm, brief.spin_lower_at_most_rpm);
    if least >= most {
        let blamed = sent(query, "spin_lower_by_rpm", "spin_lower_at_most_rpm");
        query.fault(
            blamed,
            format!("the spin cannot be lower by {least} and by no more than {most}: widen one"),
        );
    }
}

/// Reads what a question restricts its evidence to.
pub(super) fn filter(query: &mut Query<'_>) -> Filter {
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
    }
}
