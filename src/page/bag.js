// A player's bag: the ladder of carries, what is odd about it, and where to go from here.

import { act, address, ask, at } from "./api.js";
import { el, list, say, table } from "./dom.js";
import { basis, ends, figure, member } from "./figures.js";
import { field, form, numberOf } from "./form.js";
import { units } from "./keep.js";
import { changed } from "./live.js";
import { askOnce } from "./memory.js";
import { clubsOf, nameOf } from "./names.js";
import { Part } from "./part.js";
import { picture } from "./pictures.js";
import { to } from "./route.js";
import { exports } from "./shots.js";

export function bag({ names: [player], retitle }) {
  const question = { units: units() };
  const ladder = new Part(async () => {
    const [answer, clubs, name, drifts, trials] = await Promise.all([
      ask(at("players", player, "ladder"), question), clubsOf(player), nameOf(player),
      ask(at("players", player, "drifts"), question), askOnce(at("players", player, "trials")),
    ]);
    retitle(`${name}’s bag`);
    return { answer, clubs: clubs.items, drifts, trials: trials.items };
  }, (known) => draw(player, known));
  const drawn = picture({ path: at("players", player, "ladder.svg"), query: question, alt: "The ladder of carries" });
  return {
    title: "Bag", player, parts: [ladder, drawn],
    body: [
      ladder.element, drawn.element, add(player),
      exports([["The ladder as JSON", address(at("players", player, "ladder"), question)]], { player }),
    ],
  };
}

function draw(player, { answer, clubs, drifts, trials }) {
  const called = (id) => clubs.find((club) => club.id === id)?.name ?? id;
  if (!answer.rungs.length) {
    return [el("p", { class: "lead" }, "There are no clubs in this bag yet. Add one below, or ",
      el("a", { href: "#/by-hand" }, "type in some shots"), ".")];
  }
  const asking = drifts.clubs.filter((club) => club.state === "may_have_drifted");
  return [
    el("p", { class: "lead", id: "sentence" }, answer.words),
    asking.map((club) => say(club.words, { class: "question" })),
    el("p", { class: "ways-on" },
      el("a", { href: to(["players", player, "head-to-head"]), "data-key": "pair" }, "Put two clubs head to head"),
      el("a", { href: to(["players", player, "trials"]), "data-key": "trials" },
        trials.some((trial) => trial.state === "open") ? "Trials: one is open" : "Trials")),
    table(`Carries ${basis(answer)}, the longest first`, ["Club", "Carry", "Its mean lies within", "Launch", "Spin", "Descent", "Shots"],
      answer.rungs.toReversed().map((rung) => row(player, rung, called))),
    beside(player, answer, clubs),
    pairs(player, answer, called),
  ];
}

function row(player, rung, called) {
  const [carryName, carry] = member(rung.metrics, "carry");
  // The centre, as the sentence and the picture have it: a stray shot hardly moves it. One shot has only its mean.
  const centre = (stem) => {
    const [name, summary] = member(rung.metrics, stem);
    return summary ? figure(name, summary.centre ?? summary.mean) : "–";
  };
  return [
    el("a", { href: to(["players", player, "clubs", rung.club]), "data-key": rung.club }, called(rung.club)),
    centre("carry"), carry ? ends(carryName, carry) : "–", centre("launch_angle"), centre("spin_rate"),
    centre("descent_angle"), String(carry?.n ?? 0),
  ];
}

/** Clubs that are no part of the bag, with the way to each. */
function beside(player, answer, clubs) {
  const rungs = new Set(answer.rungs.map((rung) => rung.club));
  const others = clubs.filter((club) => !rungs.has(club.id)).map((club) => [
    el("a", { href: to(["players", player, "clubs", club.id]), "data-key": `beside ${club.id}` }, club.name),
    club.kind === "putter" ? ", which has no carry" : "",
    club.demo ? ", tried only" : "",
  ]);
  return others.length ? [el("h2", "Not on the ladder"), list(others)] : null;
}

/** Pairs that the sentences name, each with the way to put them head to head. */
function pairs(player, answer, called) {
  const found = [...answer.overlaps, ...answer.inversions].map(({ clubs: [incumbent, candidate] }) => [incumbent, candidate]);
  const unique = [...new Map(found.map((pair) => [pair.toSorted().join("\n"), pair])).values()];
  const links = unique.map(([incumbent, candidate]) => el("a", {
    href: to(["players", player, "head-to-head"], { incumbent, candidate }), "data-key": `${incumbent} ${candidate}`,
  }, `${called(candidate)} against ${called(incumbent)}`));
  return links.length ? [el("h2", "Worth a look"), list(links)] : null;
}

const KINDS = ["wood", "hybrid", "iron", "utility", "wedge", "putter", "other"];

function add(player) {
  const id = field({ name: "id", label: "Short name", hint: "As shots call it, such as 5h.", input: { required: true } });
  const name = field({ name: "name", label: "Name" });
  const kind = field({ name: "kind", label: "Kind", options: KINDS.map((one) => [one, one]) });
  const loft = field({ name: "loft_deg", label: "Loft, degrees", input: { inputmode: "decimal" } });
  const demo = field({ name: "demo", label: "It is", options: [["", "owned"], ["true", "tried only"]] });
  return el("section", { class: "act" }, el("h2", "Add a club"),
    form({
      fields: [id, name, kind, loft, demo], button: "Add", label: "Add a club",
      async submit(whole) {
        if (!id.value) return id.blame("Give a short name.");
        const club = { name: name.value || id.value, kind: kind.value };
        if (loft.value) club.loft_deg = numberOf(loft.value);
        if (demo.value) club.demo = true;
        await act("PUT", at("players", player, "clubs", id.value), club, { fresh: true });
        whole.reset();
        changed();
      },
    }));
}
