// Shots in a list, and ways to take out what is on the screen.

import { act, address, ask, at, fetched } from "./api.js";
import { el, table } from "./dom.js";
import { figure, member, readers, since } from "./figures.js";
import { deed } from "./form.js";
import { units } from "./keep.js";
import { changed } from "./live.js";

/** The newest shots of some kind. */
export async function newest(query, limit = 20) {
  return (await ask("/v1/shots", { ...query, order: "newest", limit })).items;
}

/** Shots as a table, each with the way to set it aside or let it count again. */
export function shotTable(caption, shots, called = (id) => id) {
  return table(caption, ["Hit", "Club", "Carry", "Ball speed", "Launch", "Spin", "What is odd", "Counts"], shots.map((shot) => {
    const { event } = shot;
    const of = (object, ...stems) => {
      const found = stems.map((stem) => member(event[object], stem)).find(([name]) => name);
      return found ? figure(...readers(...found)) : "–";
    };
    return [
      since(event.time),
      shot.club ? called(shot.club) : "unassigned",
      of("flight", "carry"), of("launch", "ball_speed"), of("launch", "launch_angle"),
      of("launch", "spin_rate"), shot.flags.map((flag) => flag.replaceAll("_", " ")).join(", ") || "–", counting(shot),
    ];
  }));
}

/** Whether a shot counts, and how that is changed. */
function counting({ event, set_aside: aside }) {
  const path = at("shots", event.source, event.id);
  const set = async (reason) => {
    await act("PATCH", path, { set_aside: reason && { reason } });
    changed();
    return reason ? "The shot is set aside." : "The shot counts again.";
  };
  const key = `${event.source} ${event.id}`;
  return aside
    ? [`set aside: ${aside.reason} `, deed("Let it count", () => set(null), { "data-key": key })]
    : deed("Set aside", () => set("by hand"), { "data-key": key });
}

/** What is on the screen, to take along: answers as JSON, and the shots as CSV. */
export function exports(answers, shots) {
  return el("section", { class: "act take" }, el("h2", "Take it along"),
    el("ul", { class: "row" },
      answers.map(([text, path]) => el("li", el("a", { href: path, download: "" }, text))),
      shots ? el("li", deed("The shots as CSV", () => saveCsv({ ...shots, units: units() }))) : null));
}

/** Saves all shots of some kind as one table, page by page. */
async function saveCsv(query) {
  let next = address("/v1/shots", { ...query, limit: 1000 });
  const pages = [];
  while (next) {
    const answer = await fetched(next, "text/csv");
    const text = await answer.text();
    pages.push(pages.length ? text.slice(text.indexOf("\n") + 1) : text);
    next = (answer.headers.get("Link") ?? "").match(/<([^>]+)>; rel="?next"?/)?.[1];
  }
  const saved = URL.createObjectURL(new Blob(pages, { type: "text/csv" }));
  el("a", { href: saved, download: "shots.csv" }).click();
  setTimeout(() => URL.revokeObjectURL(saved), 10_000);
  return "The table is saved.";
}
