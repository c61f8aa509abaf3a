// Two clubs head to head: whether one can take the other's place, and what that costs.

import { act, address, ask, at } from "./api.js";
import { briefFields, briefFold, briefIn, briefOf, LIES } from "./brief.js";
import { el, say, tell } from "./dom.js";
import { beyondShots, SLOW } from "./follower.js";
import { deed, field, form, madeOnce } from "./form.js";
import { units } from "./keep.js";
import { changed } from "./live.js";
import { choices, clubsOf, toChooseFrom } from "./names.js";
import { Part } from "./part.js";
import { picture } from "./pictures.js";
import { asked as read, to } from "./route.js";
import { exports } from "./shots.js";
import { criteria, footing, inWeather, planned, price, sentences } from "./verdict.js";

export function headToHead({ names: [player], query, retitle }) {
  const given = read(query);
  const question = { ...given, units: units() };
  const brief = briefFields(given);
  const up = el("p", { class: "up" }, el("a", { href: to(["players", player]) }, "The bag"));
  const choose = chooser(player, given, brief);
  if (!given.incumbent) {
    return { title: "Head to head", player, above: up, parts: [choose], body: choose.element };
  }
  let before;
  const verdict = new Part(async () => {
    const [answer, clubs] = await Promise.all([ask(at("players", player, "replacements"), question), clubsOf(player)]);
    const words = Object.fromEntries(clubs.items.map((club) => [club.id, clubs.called(club.id)]));
    return { answer, words };
  }, ({ answer, words }) => {
    const called = (id) => words[id] ?? id;
    const old = called(answer.incumbent);
    const one = given.candidate && answer.candidates.length === 1 ? answer.candidates[0] : null;
    retitle(one ? `${called(one.club)} for ${old}?` : `Who takes the place of ${old}?`);
    if (one && before && before !== one.verdict) tell(one.words);
    before = one?.verdict;
    return one ? [pair(answer, one, called), onward(player, given, brief)] : ranked(player, given, { answer, called });
  });
  const single = [given.candidate].flat().filter(Boolean).length === 1;
  const wind = single ? weather(player, given) : null;
  const pictures = single ? drawn(player, given) : [];
  return {
    title: "Head to head", player, parts: [verdict, wind, choose, ...pictures].filter(Boolean), above: up,
    body: [
      verdict.element, wind?.element,
      pictures.map((one) => one.element),
      el("section", { class: "act" }, el("h2", "Ask otherwise"), choose.element),
      exports([["This verdict as JSON", address(at("players", player, "replacements"), question)]], { player }),
    ],
  };
}

function pair(answer, one, called) {
  return [
    sentences(planned(answer, one)),
    answer.advice ? say(answer.advice.words, { class: "advice" }) : null,
    criteria(one, called(answer.incumbent)),
    price(one), footing(one, called),
    el("p", { class: "quiet" }, answer.note),
  ];
}

/** All that were judged, the likeliest first. */
function ranked(player, given, { answer, called }) {
  if (!answer.candidates.length) {
    return el("p", { class: "lead", id: "sentence" },
      `No other club carries about what ${called(answer.incumbent)} carries. Choose one below to look at it all the same.`);
  }
  return [
    answer.advice ? say(answer.advice.words, { class: "advice" }) : null,
    answer.candidates.map((one) => el("section", { class: "ranked" },
      el("h2", el("a", { href: to(["players", player, "head-to-head"], { ...given, candidate: one.club }), "data-key": one.club }, called(one.club))),
      sentences(planned(answer, one), { "data-verdict": one.verdict }))),
    el("p", { class: "quiet" }, answer.note),
  ];
}

/** Where to go on from here; what a trial is refused for is said at the fields that asked it. */
function onward(player, given, fields) {
  const { incumbent, candidate, lie, ball } = given;
  return el("p", { class: "ways-on" },
    el("a", { href: to(["players", player, "sheet"], given), "data-key": "sheet" }, "One page to print"),
    deed("Open a trial of the two", async () => {
      const trial = { incumbent, candidates: [candidate], brief: briefIn(given) };
      if (lie) trial.lies = [lie];
      if (ball) trial.ball = ball;
      const opened = await act("POST", at("players", player, "trials"), trial);
      changed();
      location.hash = to(["players", player, "trials", opened.id]);
    }, { "data-key": "trial" }, fields));
}

/** What wind, cold and soaked ground make of the two: flights computed from the clubs' own launches. */
function weather(player, given) {
  const names = ["incumbent", "candidate", "lie", "ball", "height", "shape", "from", "to", "zone"];
  const question = { ...Object.fromEntries(names.map((name) => [name, given[name]])), conditions: true, units: units() };
  return new Part(async () => (await ask(at("players", player, "comparisons"), question)).conditions,
    (conditions) => conditions && [el("h2", "In wind and weather"), inWeather(conditions)], { pace: SLOW, whenSeen: true });
}

/** One picture a question. */
function drawn(player, given) {
  const { incumbent, candidate, lie, ball } = given;
  const two = { incumbent, candidate, lie, ball, units: units() };
  const { bag: _bag, mix: _mix, ...brief } = given;
  const beside = (leaf, alt, query = two) => picture({ path: `${at("players", player)}/${leaf}`, query, alt });
  return [
    beside("comparisons/flights.svg", "Both flights from the side"),
    beside("replacements.svg", "Launch against spin", { ...brief, units: units() }),
    beside("comparisons/landings.svg", "Where both land"),
    beside("comparisons/wind.svg", "Both in the wind"),
  ];
}

/** Which two, and what is asked. */
function chooser(player, given, brief) {
  const whole = madeOnce((known) => choosing(player, given, { known, brief }));
  return new Part(() => toChooseFrom(player), (known) => {
    if (known.clubs.length < 2) return el("p", "It takes two clubs. Add them in the bag, or send shots of them.");
    return whole(known);
  }, { concerned: beyondShots });
}

function choosing(player, given, { known: { clubs, balls }, brief }) {
  const incumbent = field({ name: "incumbent", label: "The club whose place it is", options: choices(clubs), value: given.incumbent ?? clubs[0].id });
  const candidate = field({ name: "candidate", label: "The club that is tried", options: choices(clubs, "all neighbours"), value: [given.candidate].flat()[0] ?? "" });
  const lie = field({ name: "lie", label: "From which lie", options: LIES, value: given.lie ?? "" });
  const ball = field({ name: "ball", label: "With which ball", options: choices(balls, "whichever"), value: given.ball ?? "" });
  const element = form({
    fields: [incumbent, candidate, lie, ball, briefFold(brief)], inner: brief,
    button: "Put them head to head", label: "Choose two clubs",
    async submit() {
      const wanted = { incumbent: incumbent.value, candidate: candidate.value, lie: lie.value, ball: ball.value, ...briefOf(brief) };
      // Asked once, so that a fault is told at its field and nobody is sent away from it.
      await ask(at("players", player, "replacements"), { ...wanted, units: units() });
      const address = to(["players", player, "head-to-head"], wanted);
      if (location.hash === address) changed();
      else location.hash = address;
    },
  });
  const offer = (known) => {
    incumbent.offer(choices(known.clubs));
    candidate.offer(choices(known.clubs, "all neighbours"));
    ball.offer(choices(known.balls, "whichever"));
  };
  return { element, offer };
}
