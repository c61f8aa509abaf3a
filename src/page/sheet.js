// One printed page on a head-to-head, to hand over.

import { ask, at } from "./api.js";
import { el, list, say } from "./dom.js";
import { counted, moment } from "./figures.js";
import { units } from "./keep.js";
import { clubsOf, nameOf } from "./names.js";
import { Part } from "./part.js";
import { picture } from "./pictures.js";
import { asked as read, to } from "./route.js";
import { newest } from "./shots.js";
import { criteria, inWeather, planned, sentences } from "./verdict.js";

export function sheet({ names: [player], query, retitle }) {
  const given = read(query);
  const question = { ...given, units: units() };
  const { incumbent, candidate, lie, ball } = given;
  const told = new Part(async () => {
    const [answer, clubs, name, compared, [last]] = await Promise.all([
      ask(at("players", player, "replacements"), question), clubsOf(player), nameOf(player),
      ask(at("players", player, "comparisons"), { incumbent, candidate, lie, ball, conditions: true, units: units() }), newest({ player }, 1),
    ]);
    const [one] = answer.candidates;
    return { answer, name, last, weather: compared.conditions, old: clubs.called(answer.incumbent), tried: one ? clubs.called(one.club) : "" };
  }, ({ answer, name, last, weather, old, tried }) => {
    const [one] = answer.candidates;
    if (!one) return el("p", "There is nothing to print: no club was judged.");
    retitle(`${tried} for ${old}, ${name}`);
    return [
      sentences(planned(answer, one)),
      say(answer.advice?.words),
      criteria(one, old),
      el("div", { class: "columns" },
        el("section", el("h2", "What it gives up"), list(one.given_up.map((lost) => lost.words)) ?? el("p", "Nothing that was measured."),
          el("h2", "What the bag becomes"), say(one.ladder_after.words), say(one.fitting_loft?.words)),
        weather ? el("section", el("h2", "In wind and weather"), inWeather(weather)) : null),
      el("p", { class: "quiet" },
        `${counted(one.shots.candidate, "shot")} of ${tried} and ${counted(one.shots.incumbent, "shot")} of ${old}, hit on ${counted(one.sessions, "visit")} with both.`,
        last ? ` ${name} last hit a shot on ${moment(last.event.time)}; all up to that one is counted in.` : null,
        ` Drawn up on ${moment(new Date())}. ${answer.note}`),
    ];
  });
  const two = { incumbent, candidate, lie, ball, units: units() };
  const pictures = ["comparisons/flights.svg", "comparisons/landings.svg"].map((leaf) =>
    picture({ path: `${at("players", player)}/${leaf}`, query: two, alt: "Both clubs", look: "paper", width: 480 }));
  return {
    title: "One page", kind: "sheet", player, parts: [told, ...pictures],
    above: el("p", { class: "up" }, el("a", { href: to(["players", player, "head-to-head"], given) }, "Back to the two"), " ",
      el("button", { type: "button", on: { click: () => print() } }, "Print")),
    body: [told.element, el("div", { class: "columns" }, pictures.map((one) => one.element))],
  };
}
