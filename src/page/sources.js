// Sources of shots: which is alive, who hits there with what, and the shots that wait for a name.

import { act, ask, at, maybe, readTagged } from "./api.js";
import { LIES } from "./brief.js";
import { el, folded, say } from "./dom.js";
import { figure, member, readers, since } from "./figures.js";
import { beyondShots, Follower } from "./follower.js";
import { deed, field, form, numberOf } from "./form.js";
import { changed } from "./live.js";
import { askAnew, askOnce } from "./memory.js";
import { suggest } from "./names.js";
import { Part } from "./part.js";
import { newest, shotTable } from "./shots.js";

/** A source is called alive when its last shot is no older than this: milliseconds. */
const ALIVE = 10 * 60_000;

export function sources() {
  const place = { title: "Sources", parts: [], timely: [] };
  const sections = el("div");
  const known = new Map();
  // Every source has parts of its own, so that a shot of one asks nothing of the others.
  const all = new Part(async () => {
    const [sources, mappings] = await Promise.all([ask("/v1/sources"), ask("/v1/csv-mappings")]);
    // A table that this page brought is a source of its own. One that was sent into a device's source is no whole that
    // could be taken back: nothing tells its shots from the device's.
    const imports = new Set(mappings.items.filter(({ id, set }) => id === set?.source).map(({ id }) => id));
    return sources.items.map(({ id, name }) => ({ id, name, imported: imports.has(id) }));
  }, (items) => {
    for (const item of items) if (!known.has(item.id)) known.set(item.id, source(item, place));
    arrange(sections, items.map((item) => known.get(item.id)));
    return items.length ? null : el("p", { class: "lead" }, "Nothing has sent a shot yet. ",
      el("a", { href: "#/" }, "Three ways to begin"), ".");
  }, { concerned: ({ source }) => !source || !known.has(source) });
  place.parts.push(all);
  place.body = [all.element, sections];
  return place;
}

/** Puts the sections in order; those that stay are not touched, nor is the focus in them. */
function arrange(element, wanted) {
  for (const section of [...element.children]) if (!wanted.includes(section)) section.remove();
  wanted.forEach((section, at) => {
    if (element.children[at] !== section) element.insertBefore(section, element.children[at] ?? null);
  });
}

/** A source: how it is, its context, what waits there. */
function source({ id, name, imported }, place) {
  const mine = ({ source }) => !source || source === id;
  const state = new Part(async () => {
    const [[last = null], context] = await Promise.all([newest({ source: id }, 1), maybe(askAnew(at("sources", id, "context")))]);
    return { last, context };
  }, standing, { concerned: mine });
  const setting = new Setting(id);
  const waiting = waitingPart(id, mine);
  place.parts.push(state, setting, waiting.part);
  place.timely.push(state);
  for (const part of [state, waiting.part]) part.refresh();
  return el("section", { class: "source" }, el("h2", name),
    state.element, waiting.element, setting.element,
    imported ? folded(`aside ${id}`, "Take the whole table out of the figures", takeBack(id)) : null);
}

function standing({ last, context }) {
  if (!last) return el("p", "It has not sent a shot.");
  const alive = Date.now() - Date.parse(last.event.time) < ALIVE;
  const [carry, length] = readers(...member(last.event.flight, "carry"));
  return [
    el("p", { class: alive ? "alive" : "quiet" }, alive ? "Alive. " : "Quiet. ", "Last shot ",
      since(last.event.time),
      last.club ? ` with ${last.club} of ${last.player}` : ", unassigned", carry ? `: it carried ${figure(carry, length)}.` : "."),
    context?.player
      ? say(`What comes now is ${[context.player, context.club, context.ball && `ball ${context.ball}`, context.lie?.replaceAll("_", " ")].filter(Boolean).join(", ")}.`)
      : say("Nobody is set here: what names no player waits."),
  ];
}

/** Who, club, ball and lie, as fields that suggest what is known. */
function who(prefix) {
  const place = (name) => [name, `${prefix}${name}`];
  const [player, club, ball] = [["player", "Player"], ["club", "Club"], ["ball", "Ball"]]
    .map(([name, label]) => field({ name, place: place(name), label, suggestions: [] }));
  player.control.addEventListener("change", () => suggest(player, club, ball));
  return [player, club, ball, field({ name: "lie", place: place("lie"), label: "Lie", options: LIES })];
}

function filled(fields) {
  return Object.fromEntries(fields.filter((one) => one.value).map((one) => [one.name, one.value]));
}

/** Sets what the source's shots inherit; what else was set stays. Its form is made once and asks when it is unfolded;
 *  what was typed is left alone until it is sent. */
class Setting extends Follower {
  #path;
  #fields = who("");
  #typed = false;

  constructor(id) {
    super(el("details", { "data-key": `context ${id}` }, el("summary", "Who hits here now, and with what")), { concerned: beyondShots });
    this.#path = at("sources", id, "context");
    const whole = form({
      fields: this.#fields, button: "Set from now on", label: `Who hits at ${id}`, submit: () => this.#set(),
    });
    whole.addEventListener("input", () => {
      this.#typed = true;
    });
    this.element.append(whole);
    this.element.addEventListener("toggle", () => this.refresh());
  }

  async ask() {
    if (!this.element.open) return;
    const now = await maybe(askOnce(this.#path));
    if (!this.#typed) for (const one of this.#fields) one.control.value = now?.[one.name] ?? "";
    await suggest(...this.#fields);
  }

  async #set() {
    const { document, tag } = await readTagged(this.#path);
    const { as_of: _asOf, player: _player, club: _club, ball: _ball, lie: _lie, ...rest } = document;
    await act("PUT", this.#path, { ...rest, ...filled(this.#fields) }, { tag });
    this.#typed = false;
    changed();
  }
}

/** The shots that wait, and what gives them to somebody. */
function waitingPart(id, mine) {
  const giving = assignment(id);
  const part = new Part(() => newest({ source: id, unassigned: true }, 50), (shots) => {
    giving.offer(shots.length > 0);
    if (!shots.length) return null;
    return [
      el("h3", shots.length < 50 ? `${shots.length} ${shots.length === 1 ? "shot waits" : "shots wait"} for a player and a club` : "Many shots wait for a player and a club"),
      folded(`waiting ${id}`, "Which they are", shotTable("The newest that wait", shots)),
    ];
  }, { concerned: (news) => mine(news) && (!news.source || news.waits) });
  return { part, element: el("div", part.element, giving.element) };
}

/** One act that gives the shots that wait to somebody, tried dry first. It is made once, so that shots that come
 *  meanwhile leave what was typed and tried as it is. */
function assignment(id) {
  const last = field({ name: "last", place: "filter/last", label: "The last so many", input: { inputmode: "numeric", placeholder: "all that wait" } });
  const fields = who("set/");
  const told = el("p", { role: "status" });
  let tried = null;
  const sure = el("p", { class: "acts", hidden: true }, deed("Assign them", async () => {
    const done = await act("POST", "/v1/assignments", tried);
    forget();
    whole.reset();
    told.textContent = `${done.changed} ${done.changed === 1 ? "shot was" : "shots were"} assigned.`;
    changed();
  }, { "data-key": `assign ${id}` }));
  const whole = form({
    fields: [last, ...fields], button: "Try it", label: `Assign the shots that wait at ${id}`,
    async submit() {
      forget();
      const filter = { source: id, unassigned: true };
      if (last.value) filter.last = numberOf(last.value);
      const asked = { filter, set: filled(fields) };
      tried = asked;
      const found = await act("POST", "/v1/assignments", { ...asked, dry_run: true });
      // What was changed while it was tried was not tried.
      if (tried !== asked) return;
      told.textContent = `It finds ${found.matched} ${found.matched === 1 ? "shot" : "shots"} and would change ${found.changed}. Nothing is changed yet.`;
      sure.hidden = found.changed === 0;
    },
  });
  const forget = () => {
    tried = null;
    sure.hidden = true;
    told.textContent = "";
  };
  whole.hidden = true;
  whole.addEventListener("input", forget);
  return {
    element: el("div", whole, told, sure),
    /** Offers itself while something waits. */
    offer(waits) {
      whole.hidden = !waits;
      // Somebody else may have been faster; what was done here stays told.
      if (waits) suggest(...fields);
      else if (tried) forget();
    },
  };
}

/** All shots of a table set aside, or let count again, in one act: for a table alone, since no act tells a shot that was
 *  set aside with all the others from one that was set aside by itself. */
export function takeBack(id) {
  const set = async (aside) => {
    const done = await act("POST", "/v1/assignments", { filter: { source: id }, set: { set_aside: aside } });
    changed();
    return aside ? `${done.changed} shots are set aside.` : `${done.changed} shots count again.`;
  };
  return [
    el("p", "All shots of this source, whoever sent them, stay where they are and are shown as set aside, but no figure and no verdict counts them. One act does it, and one undoes it; that one also takes back what was set aside shot by shot."),
    el("p", { class: "acts" },
      deed("Set all of its shots aside", () => set({ reason: "taken back as a whole" })),
      deed("Let them count again", () => set(null))),
  ];
}
