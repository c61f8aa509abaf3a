// A club: what it does, never what its loft says.

import { act, address, ask, at, readTagged } from "./api.js";
import { el, list, say, table } from "./dom.js";
import { basis, counted, ends, figure, metric } from "./figures.js";
import { field, form, numberOf } from "./form.js";
import { units } from "./keep.js";
import { changed } from "./live.js";
import { askOnce } from "./memory.js";
import { clubsOf } from "./names.js";
import { Part } from "./part.js";
import { picture } from "./pictures.js";
import { to } from "./route.js";
import { exports, newest, shotTable } from "./shots.js";

export function club({ names: [player, id], retitle }) {
  const path = at("players", player, "clubs", id);
  const question = { units: units() };
  const profile = new Part(async () => {
    const [answer, document, drifts] = await Promise.all([
      ask(`${path}/profile`, question), askOnce(path),
      ask(at("players", player, "drifts"), { ...question, club: id }),
    ]);
    retitle(document.name);
    return { answer, document, drift: drifts.clubs[0] };
  }, (known) => draw(player, known));
  const shots = new Part(
    async () => ({ shots: await newest({ player, club: id }), clubs: (await clubsOf(player)).items }),
    ({ shots: found, clubs }) => [
      el("h2", "Last shots"),
      found.length ? shotTable("The newest twenty", found, (one) => clubs.find((known) => known.id === one)?.name ?? one)
        : el("p", "It has not been hit yet."),
    ],
  );
  const drawn = picture({ path: `${path}/profile.svg`, query: question, alt: "Where its shots land" });
  const moved = picture({ path: `${at("players", player)}/drifts.svg`, query: { ...question, club: id }, alt: "Visit by visit" });
  return {
    title: id, player, parts: [profile, drawn, moved, shots],
    above: el("p", { class: "up" }, el("a", { href: to(["players", player]) }, "The bag")),
    body: [
      profile.element, drawn.element, moved.element, shots.element, change(path),
      exports([["The profile as JSON", address(`${path}/profile`, question)]], { player, club: id }),
    ],
  };
}

function draw(player, { answer, document, drift }) {
  const facts = [
    document.kind, document.loft_deg ? `${document.loft_deg}° of loft` : null,
    answer.build ? `as of: ${answer.build}` : null, document.demo ? "tried only" : null,
  ].filter(Boolean);
  return [
    el("p", { class: "quiet" }, facts.join(", ")),
    say(answer.words, { class: "lead", id: "sentence" }),
    say(drift?.words, { class: drift?.state === "may_have_drifted" ? "question" : "" }),
    say(answer.counted ? answer.forgiveness.words : ""),
    list(answer.workability.filter((one) => one.shots).map((one) => one.words)),
    el("p", { class: "ways-on" }, el("a", {
      href: to(["players", player, "head-to-head"], { incumbent: answer.club }), "data-key": "successors",
    }, "Which club could take its place?")),
    answer.counted ? figures(answer) : el("p", "No shot of it counts yet."),
  ];
}

function figures(answer) {
  const names = Object.keys(answer.metrics).filter((name) => answer.metrics[name].n);
  return [
    table(`${counted(answer.counted, "counted shot")} of ${counted(answer.sessions, "visit")}, ${basis(answer)}`,
      ["Quantity", "Mean", "The mean lies within", "Eight in ten shots", "Shots"],
      names.map((name) => {
        const summary = answer.metrics[name];
        return [metric(name).label, figure(name, summary.mean), ends(name, summary),
          ends(name, { low: summary.p10, high: summary.p90 }), String(summary.n)];
      })),
    el("p", { class: "quiet" }, leftOut(answer)),
  ];
}

/** The shots of the club that the figures do not count, so that all of them add up. */
function leftOut({ shots, counted: counting, mishits, set_aside: aside }) {
  const others = shots - counting - mishits - aside;
  const parts = [
    mishits && counted(mishits, "mishit"), aside && `${aside} set aside`,
    others && `${others} from another lie, with another ball, meant otherwise, or hit before the club was changed`,
  ].filter(Boolean);
  return `Of ${counted(shots, "shot")} ${parts.length ? `these are left out: ${parts.join("; ")}.` : "none is left out."}`;
}

/** The club's name and loft, changed only while nobody else has. */
function change(path) {
  const name = field({ name: "name", label: "Name" });
  const loft = field({ name: "loft_deg", label: "Loft, degrees", input: { inputmode: "decimal" } });
  const build = field({ name: "what", place: ["builds/0/what"], label: "Changed today",
    hint: "A new shaft or loft starts new evidence. Leave it empty if nothing was." });
  const whole = form({
    fields: [name, loft, build], button: "Save", label: "Change the club",
    async submit() {
      const { document, tag } = await readTagged(path);
      const { id: _id, as_of: _asOf, ...club } = document;
      if (name.value) club.name = name.value;
      if (loft.value) club.loft_deg = numberOf(loft.value);
      if (build.value) club.builds = [...(club.builds ?? []), { from: new Date().toLocaleDateString("sv"), what: build.value }];
      await act("PUT", path, club, { tag });
      whole.reset();
      changed();
    },
  });
  return el("section", { class: "act" }, el("h2", "Change the club"), whole);
}
