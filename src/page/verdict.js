// How a candidate stands: the sentences of the answer first, then the figures behind them.

import { el, folded, list, say, table } from "./dom.js";
import { ends, figure, member, number, stiffWind } from "./figures.js";

const STATES = {
  met: "proven", open: "open", broken: "disproven", held: "held", worse: "worse", not_judged: "not judged yet",
  met_by_models: "so by both models", broken_by_models: "not so by either model", unclear_by_models: "unclear by the models",
};

const REASONS = {
  before_opening: "hit before the trial opened", paused: "hit while it was paused", trial_full: "the trial was full",
  set_aside: "set aside", warm_up: "warming up", older_build: "hit before the club was changed", other_intent: "another flight was meant",
  outside_filter: "not asked for", mishit: "mishits", before_drift: "hit before the club seems to have moved",
  no_partner: "no shot of the other club on the same visit from the same lie",
};

/** The sentences on a candidate, the verdict first. */
export function sentences(candidate, attributes = { class: "lead", id: "sentence" }) {
  const { outlook, verdict } = candidate;
  const early = outlook && verdict === "undecided"
    ? `How it looks so far, which is no proof: ${outlook.words} (${Math.round(outlook.chance * 100)} %).` : "";
  const beside = verdict === "replaces" && !candidate.family.holds && candidate.family.candidates > 1
    ? `It was tried among ${candidate.family.candidates}; beside the others it is not proven yet.` : "";
  return [
    el("p", { ...attributes, "data-verdict": verdict }, candidate.words),
    say(candidate.until_proof?.words), say(early), say(beside), say(candidate.next?.words),
  ];
}

/** What the player would give up, and what the bag becomes. */
export function price(candidate) {
  const lost = candidate.given_up.map((one) => [one.words, one.covered_by ? ` ${one.covered_by.words}` : ""]);
  const rate = candidate.must_carry;
  return [
    el("h2", "What it gives up"),
    list(lost) ?? el("p", "Nothing that was measured."),
    say(candidate.mix?.words),
    rate?.n ? el("p", `Of ${rate.n} strikes, mishits and all, ${Math.round(rate.share * 100)} % carry as far as asked.`) : null,
    el("h2", "What the bag becomes"),
    say(candidate.ladder_after.words), say(candidate.fitting_loft?.words),
  ];
}

/** A candidate without a plan of its own where the answer has one for the whole visit: one plan is enough. */
export function planned(answer, candidate) {
  return answer.advice ? { ...candidate, next: null } : candidate;
}

/** What weather makes of two clubs: a line for each kind of it. */
export function inWeather({ words, reason }) {
  return [list(words.split("\n")), say(reason)];
}

/** The criteria one by one. */
export function criteria(candidate, incumbent) {
  const rows = candidate.criteria.map((one) => [
    asked(one, incumbent),
    one.of === "spread_ratio" ? ratio(one) : figure(one.metric, one.estimate),
    one.of === "spread_ratio" ? ratioEnds(one) : ends(one.metric, one),
    one.hindered_by ? `${STATES[one.state]}: ${one.hindered_by}` : STATES[one.state], evidence(one),
  ]);
  const floors = candidate.criteria.map((one) => say(one.computed_floor?.words));
  return [table("What was asked, and how it stands", ["Asked", "Found", "Lies within", "Stands", `Evidence: ${number(candidate.criteria[0]?.evidence_needed ?? 20)} prove it`], rows, "asked"), floors];
}

/** How much the candidate's carry scatters against the incumbent's. */
function ratio({ estimate }) {
  return estimate === null ? "–" : `${estimate.toFixed(2)} times as much`;
}

function ratioEnds({ low, high }) {
  return low === null || high === null ? "–" : `${low.toFixed(2)} to ${high.toFixed(2)} times`;
}

/** Evidence grows by factors, so the bar does too: full at what proves. */
function evidence({ evidence: found, evidence_needed: needed, of }) {
  if (found === null || of === "spread_ratio" || of === "computed") return "–";
  const text = found >= 1000 ? "over 1,000" : number(found);
  const full = Math.min(Math.max(Math.log(found) / Math.log(needed), 0), 1);
  const filled = el("span");
  filled.style.width = `${100 * full}%`;
  return [el("span", { class: "bar", "aria-hidden": "true" }, filled), ` ${text}`];
}

function asked(one, incumbent) {
  const said = (bound) => figure(one.metric, Math.abs(bound));
  switch (`${one.name} ${one.of}`) {
    case "carry_held difference": return `Carries what ${incumbent} carries, give or take ${said(one.at_most)}`;
    case "carry_held own_mean": return `Carries ${figure(one.metric, one.at_least)} to ${figure(one.metric, one.at_most)}`;
    case "launch_lower difference": return `Launches lower by ${said(one.at_most)} or more`;
    case "spin_lower difference": return `Spins less by ${said(one.at_most)} or more`;
    case "not_too_low difference":
      return `${one.metric.startsWith("spin") ? "Spins less" : "Launches lower"} by ${said(one.at_least)} at most`;
    case "not_too_low own_mean":
      return one.metric.startsWith("descent") ? `Comes down at ${said(one.at_least)} or steeper` : `Launches at ${said(one.at_least)} or higher`;
    case "above_computed_floor computed": {
      const floor = one.at_least === null ? "high enough" : `at ${said(one.at_least)} or higher, enough`;
      return `Launches ${floor} for a weak strike on soaked ground`;
    }
    case "carry_kept_in_wind computed": return `Keeps ${said(one.at_least)} more of its carry into ${stiffWind()} of wind`;
    default: return `Its carry is not proven to scatter more than that of ${incumbent}`;
  }
}

/** What the verdict rests on. */
export function footing(candidate, called) {
  const { shots, sessions, left_out: left, run_effect: effect } = candidate;
  const [name, size] = member(effect, "carry");
  const origin = effect.origin === "history" ? "from the player’s own visits" : "as usual, for want of history";
  return folded("footing", "What this rests on",
    el("p", `${shots.candidate} shots of ${called(candidate.club)} and ${shots.incumbent} beside them, on ${sessions} visits with both.`),
    el("p", `A club’s own day is allowed for with ${figure(name, size)} of carry (${origin}).`),
    left.length ? [el("p", "Left out:"), list(left.map((one) => `${one.shots}: ${REASONS[one.reason] ?? one.reason}`))] : null,
    candidate.with_all ? el("p", `With mishits and what was set aside it would be “${candidate.with_all.verdict.replaceAll("_", " ")}”.`) : null);
}
