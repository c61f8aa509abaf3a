// A player's trials, and a new one: its brief is fixed when it opens.

import { act, at } from "./api.js";
import { briefFields, briefFold, briefOf, LIES } from "./brief.js";
import { el } from "./dom.js";
import { moment } from "./figures.js";
import { beyondShots } from "./follower.js";
import { field, form, madeOnce, numberOf } from "./form.js";
import { changed } from "./live.js";
import { askOnce } from "./memory.js";
import { choices, clubsOf, toChooseFrom } from "./names.js";
import { Part } from "./part.js";
import { to } from "./route.js";

export function trials({ names: [player] }) {
  const all = new Part(async () => {
    const [known, clubs] = await Promise.all([askOnce(at("players", player, "trials")), clubsOf(player)]);
    return { trials: known.items, clubs: Object.fromEntries(clubs.items.map((club) => [club.id, clubs.called(club.id)])) };
  }, ({ trials: known, clubs }) => (known.length
    ? el("ul", { class: "doors" }, known.map((trial) => el("li",
      el("a", { href: to(["players", player, "trials", trial.id]), "data-key": trial.id },
        trial.name ?? `${trial.candidates.map((id) => clubs[id] ?? id).join(", ")} for ${clubs[trial.incumbent] ?? trial.incumbent}`),
      ` ${trial.state}, opened ${moment(trial.opened_at)}`)))
    : el("p", "There is none yet. A trial says which club to hit next, and looks after every shot.")), { concerned: beyondShots });
  const open = opening(player);
  return {
    title: "Trials", player, trials: true, parts: [all, open],
    above: el("p", { class: "up" }, el("a", { href: to(["players", player]) }, "The bag")),
    body: [all.element, el("section", { class: "act" }, el("h2", "Open a trial"), open.element)],
  };
}

function opening(player) {
  const whole = madeOnce((known) => openingForm(player, known));
  return new Part(() => toChooseFrom(player), (known) => {
    if (known.clubs.length < 2) return el("p", "It takes two clubs. Add them in the bag, or send shots of them.");
    return whole(known);
  }, { concerned: beyondShots });
}

function openingForm(player, { clubs, balls }) {
  const name = field({ name: "name", label: "What it is called" });
  const incumbent = field({ name: "incumbent", label: "The club whose place it is", options: choices(clubs), value: clubs[0].id });
  const candidates = [0, 1, 2].map((at) => field({
    name: `candidate-${at}`, place: `candidates/${at}`, label: at ? "and beside it" : "The club that is tried",
    options: choices(clubs, at ? "none" : "choose one"),
  }));
  const lie = field({ name: "lies", place: "lies/0", label: "From which lie", options: LIES });
  const ball = field({ name: "ball", label: "With which ball", options: choices(balls, "whichever") });
  const shots = field({ name: "visit_shots", label: "Balls of a visit at most", input: { inputmode: "numeric", placeholder: "as advised" } });
  const brief = briefFields();
  const element = form({
    fields: [name, incumbent, ...candidates, lie, ball, shots, briefFold(brief)], inner: brief,
    button: "Open it", label: "Open a trial",
    async submit() {
      const trial = {
        incumbent: incumbent.value, candidates: candidates.map((one) => one.value).filter(Boolean), brief: briefOf(brief),
      };
      if (name.value) trial.name = name.value;
      if (lie.value) trial.lies = [lie.value];
      if (ball.value) trial.ball = ball.value;
      if (shots.value) trial.visit_shots = numberOf(shots.value);
      const opened = await act("POST", at("players", player, "trials"), trial);
      changed();
      location.hash = to(["players", player, "trials", opened.id]);
    },
  });
  const offer = (known) => {
    incumbent.offer(choices(known.clubs));
    candidates.forEach((one, at) => one.offer(choices(known.clubs, at ? "none" : "choose one")));
    ball.offer(choices(known.balls, "whichever"));
  };
  return { element, offer };
}
