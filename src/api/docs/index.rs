//! The first page: what the service is, where to start, and the tables that it goes by.

use super::{
    html::{block, code, heading, list, page as whole, paragraph, prose, table},
    refusals,
};
use crate::{
    api::limits::Limits,
    shot::{quantity_table, word_table},
};

const WHAT: &str = "Evencarry takes golf shots in from launch monitors over an open JSON schema, \
    keeps every one that it has acknowledged, compares clubs like for like after every shot, and \
    says which club can take another's place, how sure that is, and what would be given up.";

const CAUTIONS: &[&str] = &[
    "Nothing here is for designing nets, screens or fences or for choosing safe distances: those \
     belong to local rules and licensed designers. Figures are estimates of means.",
    "Do not hit more balls than your body likes; evidence can wait for another day.",
    "Choose clubs with a professional's help: a verdict knows carry, launch and spin, not your hands.",
    "Beyond this machine anyone who reaches the port may read and write everything, unless a proxy \
     with access rules stands before it.",
];

/// The page, for a client that asks by this host.
pub(super) fn page(host: &str, limits: &Limits) -> String {
    let parts = [
        paragraph(&prose(WHAT)),
        start(host),
        signs(),
        event(),
        limit_table(limits),
        heading(2, "errors", "Errors"),
        paragraph(&prose(REFUSALS)),
        refusals::list(),
        cautions(),
    ];
    whole("Evencarry", &parts.concat())
}

const REFUSALS: &str = "Every refusal is a problem (RFC 9457, `application/problem+json`). Its `type` is \
    one of these pages, its `detail` says what happened, and its `errors` lists every fault with its \
    place and the mend.";

fn start(host: &str) -> String {
    let post = format!(
        "curl -s http://{host}/v1/shots -H 'Content-Type: application/json' -d '{{\n  \
         \"id\": \"1\", \"source\": \"bay-3\", \"time\": \"2026-04-11T10:15:04+02:00\",\n  \
         \"player\": \"rowan\", \"club\": \"5h\",\n  \
         \"launch\": {{\"ball_speed_mps\": 51.9, \"launch_angle_deg\": 16.8, \"spin_rate_rpm\": 5240}},\n  \
         \"flight\": {{\"carry_m\": 158.3, \"origin\": \"tracked\"}}}}'"
    );
    let ask = format!(
        "curl -s http://{host}/v1/players/rowan/clubs/5h/profile\n\
         curl -s http://{host}/v1/players/rowan/ladder\n\
         curl -s 'http://{host}/v1/players/rowan/replacements?incumbent=5h'"
    );
    [
        heading(2, "start", "Where to start"),
        String::from("<p>Send a shot. A success means that it is on the disk.</p>\n"),
        block(&post),
        String::from(
            "<p>Ask what a club does, how the bag lies, and which club can replace another.</p>\n",
        ),
        block(&ask),
        String::from(
            "<p>All of it, with an example of every body and answer, is on the page of \
             <a href=\"/docs/api\">the API</a>.</p>\n",
        ),
    ]
    .concat()
}

fn signs() -> String {
    let signs = "Seen from behind the ball looking at the target: right is positive for directions, \
        sides, curves and spin axes. Down is negative for the attack angle and positive for the \
        descent. Wind comes from the front at 0 degrees, from the right at 90, from behind at 180. \
        The same holds for left-handed players; only `draw` and `fade` turn with the hand.";
    heading(2, "signs", "Signs") + &paragraph(&prose(signs))
}

fn event() -> String {
    let intro = "Required are `id`, `source`, `time`, and either a ball speed with a launch angle or \
        a carry. Every quantity carries its unit in its name, in one of its spellings. Outside its \
        bounds it is refused; outside what is usual it is kept and flagged. Bounds are in the first \
        spelling's unit.";
    let quantities: Vec<Vec<String>> = quantity_table()
        .map(|row| {
            let spellings: Vec<String> = row.spellings.iter().map(|name| code(name)).collect();
            let usual = row.usual.map_or_else(String::new, range);
            vec![
                spellings.join(" "),
                row.object.to_owned(),
                range(row.bounds),
                usual,
                prose(row.about),
            ]
        })
        .collect();
    let words: Vec<Vec<String>> =
        word_table().into_iter().map(|(name, about)| vec![code(name), prose(&about)]).collect();
    [
        heading(2, "event", "The event"),
        paragraph(&prose(intro)),
        table("Quantities", &["Spellings", "In", "Bounds", "Usual", "What it is"], &quantities),
        table("Words", &["Member", "What it tells, and the words"], &words),
    ]
    .concat()
}

fn range((low, high): (f64, f64)) -> String {
    format!("{low} to {high}")
}

fn limit_table(limits: &Limits) -> String {
    let rows: Vec<Vec<String>> = limits
        .rows()
        .into_iter()
        .map(|row| vec![code(row.key), row.value, row.usual, prose(row.about)])
        .collect();
    let heads = ["Limit", "Here", "Usually", "What it is"];
    heading(2, "limits", "Limits") + &table("Limits of this service", &heads, &rows)
}

fn cautions() -> String {
    let items: Vec<String> = CAUTIONS.iter().map(|text| prose(text)).collect();
    heading(2, "cautions", "Cautions") + &list(&items)
}
