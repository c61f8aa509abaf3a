// A trial in the bay: what to hit next, to be read from three metres, and how it stands.

import { act, address, ask, at } from "./api.js";
import { el, folded, list, say, tell } from "./dom.js";
import { deed } from "./form.js";
import { units } from "./keep.js";
import { changed } from "./live.js";
import { clubsOf } from "./names.js";
import { Part } from "./part.js";
import { picture } from "./pictures.js";
import { to } from "./route.js";
import { exports } from "./shots.js";
import { criteria, price, sentences } from "./verdict.js";

const LEFT = {
  out_of_turn: "out of turn", not_in_trial: "with a club that is not in it", other_lie: "from another lie", other_ball: "with another ball",
};

export function trial({ names: [player, id], retitle }) {
  const path = at("players", player, "trials", id);
  const question = { units: units() };
  let before = {};
  const standing = new Part(async () => {
    const [answer, clubs] = await Promise.all([ask(path, question), clubsOf(player)]);
    return { answer, clubs: Object.fromEntries(clubs.items.map((club) => [club.id, clubs.called(club.id)])) };
  }, ({ answer, clubs }) => {
    const called = (club) => clubs[club] ?? club;
    retitle(answer.name ?? `Trial: ${answer.candidates.map(called).join(", ")} for ${called(answer.incumbent)}`);
    before = announce(before, answer, called);
    return [
      next(answer, called), states(path, answer),
      answer.standings.map((one, place) => el("section", { class: "ranked" },
        answer.standings.length > 1 ? el("h2", called(one.club)) : null,
        sentences({ ...one, next: null }, place ? { class: "lead" } : { class: "lead", id: "sentence" }))),
      answer.standings.map((one) => folded(`figures ${one.club}`,
        answer.standings.length > 1 ? `Figure by figure: ${called(one.club)}` : "Figure by figure, and what it gives up",
        criteria(one, called(answer.incumbent)), price(one))),
      departures(answer), say(answer.hitting_order.advice), say(answer.note, { class: "quiet" }),
    ];
  });
  const drawn = picture({ path: `${path}/history.svg`, query: question, alt: "How the evidence grew" });
  return {
    title: "Trial", kind: "bay", player, trials: true, parts: [standing, drawn],
    above: el("p", { class: "up" }, el("a", { href: to(["players", player, "trials"]) }, "All trials")),
    body: [standing.element, drawn.element,
      exports([["The trial as JSON", address(path, question)], ["Shot by shot as JSON", address(`${path}/history`, question)]], null)],
  };
}

/** Says aloud when it is another club's turn, and when a verdict changes; not after every ball. */
function announce(before, answer, called) {
  const turn = answer.state === "open" ? answer.hitting_order.next?.club : undefined;
  const verdicts = answer.standings.map((one) => one.verdict).join(" ");
  if (before.verdicts && before.verdicts !== verdicts) tell(answer.standings[0].words);
  else if (turn && before.turn && before.turn !== turn) tell(`Now ${called(turn)}.`);
  return { turn, verdicts };
}

function next(answer, called) {
  const turn = answer.hitting_order.next;
  if (answer.state !== "open") {
    return el("div", { class: "next" }, el("p", { class: "big" }, answer.state === "paused" ? "Paused" : "Closed"),
      el("p", answer.state === "paused" ? "What is hit now does not count." : "It counts no more shots."));
  }
  if (!turn) return el("div", { class: "next" }, el("p", { class: "big" }, "Enough"), el("p", "Nothing is left to hit."));
  const how = [turn.lie && `from: ${turn.lie.replaceAll("_", " ")}`, answer.ball && `ball: ${answer.ball}`].filter(Boolean).join(", ");
  return el("div", { class: "next" },
    el("p", "Hit next"),
    el("p", { class: "big", id: "next" }, called(turn.club)),
    el("p", { class: "balls" }, `${turn.balls} ${turn.balls === 1 ? "ball" : "balls"}`),
    say(how, { class: "how" }),
    el("p", `Block ${turn.block} of ${turn.of}, visit ${turn.visit}. Then: ${answer.hitting_order.upcoming.slice(0, 3)
      .map((one) => `${called(one.club)} ${one.balls}`).join(", ") || "nothing"}.`));
}

/** Pause, go on, close: whatever can follow the present state. */
function states(path, answer) {
  const ways = { open: [["Pause", "paused"], ["Close", "closed"]], paused: [["Go on", "open"], ["Close", "closed"]], closed: [["Open again", "open"]] };
  return el("p", { class: "acts" }, ways[answer.state].map(([text, state]) => deed(text, async () => {
    await act("PATCH", path, { state });
    changed();
    return `The trial is ${state}.`;
  }, { "data-key": state })));
}

function departures({ departures: { counts } }) {
  const told = list(counts.map((one) => `${one.shots} ${LEFT[one.kind] ?? one.kind}`));
  return told ? [el("h2", "Hit otherwise than planned"), told, el("p", "They count all the same.")] : null;
}
