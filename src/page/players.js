// The first place: whose bag to look at, or how to begin.

import { act, ask, at } from "./api.js";
import { el } from "./dom.js";
import { field, form } from "./form.js";
import { changed } from "./live.js";
import { askAnew } from "./memory.js";
import { Part } from "./part.js";
import { to } from "./route.js";

export function players() {
  let known = { players: [], sources: [] };
  const all = new Part(async () => {
    known = { players: (await askAnew("/v1/players")).items, sources: (await ask("/v1/sources")).items };
    return known;
  }, draw, {
    // A shot of those who are here already changes nothing here.
    concerned: ({ source, player }) => !source || isNew(known.sources, source) || (player !== null && isNew(known.players, player)),
  });
  return { title: "Whose bag?", body: [all.element, add()], parts: [all] };
}

function isNew(items, id) {
  return items.every((one) => one.id !== id);
}

function draw(known) {
  if (!known.players.length && !known.sources.length) return begin();
  return [
    known.players.length
      ? el("ul", { class: "doors" }, known.players.map((player) => el("li",
        el("a", { href: to(["players", player.id]), "data-key": player.id }, player.name))))
      : el("p", "Shots have come, but nobody has been named yet. Say on the page of sources who hits them."),
    known.sources.length ? null : el("p", el("a", { href: "#/by-hand" }, "Type in ten shots"), " or bring ",
      el("a", { href: "#/table" }, "a table"), "."),
  ];
}

/** An empty store: three ways to begin. */
function begin() {
  const line = `curl -s ${location.origin}/v1/shots -H 'Content-Type: application/json' -d '{
  "id": "1", "source": "bay-3", "time": "${new Date().toISOString()}",
  "player": "rowan", "club": "5h",
  "flight": {"carry_m": 158.3}}'`;
  return [
    el("p", { class: "lead" }, "Nothing is kept here yet. There are three ways to begin."),
    el("ol", { class: "ways" },
      el("li", el("h2", "Ten shots by hand"),
        el("p", "Carries from a range marker or a rangefinder are enough to start. ",
          el("a", { href: "#/by-hand" }, "Type them in"), ".")),
      el("li", el("h2", "A table you have"),
        el("p", "A CSV file from any device or spreadsheet. You say what is in each column, and see it before it is kept. ",
          el("a", { href: "#/table" }, "Bring a table"), ".")),
      el("li", el("h2", "A device that sends"),
        el("p", "Anything that can send JSON over HTTP. Each shot is kept as it comes:"),
        el("pre", { tabindex: 0, role: "region", "aria-label": "A command that sends a shot" }, line),
        el("p", "More is told at ", el("a", { href: "/docs" }, "/docs"), "."))),
  ];
}

function add() {
  const name = field({ name: "name", label: "Name", input: { required: true } });
  const hand = field({ name: "hand", label: "Plays", options: [["right", "right-handed"], ["left", "left-handed"]] });
  return el("section", { class: "act" }, el("h2", "Add a player"),
    form({
      fields: [name, hand], button: "Add", label: "Add a player",
      async submit() {
        const id = name.value.toLowerCase().replace(/\s+/g, "-");
        if (!id) return name.blame("Give a name.");
        await act("PUT", at("players", id), { name: name.value, hand: hand.value }, { fresh: true });
        changed();
        location.hash = to(["players", id]);
      },
    }));
}
