import { bag } from "./bag.js";
import { byHand } from "./by-hand.js";
import { club } from "./club.js";
import { el, nodes } from "./dom.js";
import { renew } from "./figures.js";
import { headToHead } from "./head-to-head.js";
import { health } from "./health.js";
import { keep, units } from "./keep.js";
import { follow, watchTrials } from "./live.js";
import { forget, lookAgain } from "./memory.js";
import { brings } from "./names.js";
import { PHONE } from "./pictures.js";
import { players } from "./players.js";
import { read } from "./route.js";
import { sheet } from "./sheet.js";
import { sources } from "./sources.js";
import { fromTable } from "./table.js";
import { trial } from "./trial.js";
import { trials } from "./trials.js";

/** Every place by the parts of its address; a name in an address stands where `:` does. */
const PLACES = [
  ["", players],
  ["players/:", bag],
  ["players/:/clubs/:", club],
  ["players/:/head-to-head", headToHead],
  ["players/:/sheet", sheet],
  ["players/:/trials", trials],
  ["players/:/trials/:", trial],
  ["sources", sources],
  ["by-hand", byHand],
  ["table", fromTable],
];

/** How often what depends on the clock is looked at anew: milliseconds. */
const TICK = 15_000;

const content = document.getElementById("content");
let here = null;

/** Finds the place of an address, and the names in it. */
function find(parts) {
  for (const [pattern, place] of PLACES) {
    const wanted = pattern.split("/").filter(Boolean);
    const fits = wanted.length === parts.length && wanted.every((part, at) => part === ":" || part === parts[at]);
    if (fits) return [place, parts.filter((_, at) => wanted[at] === ":")];
  }
  return [nowhere, []];
}

function nowhere() {
  return { title: "No such place", body: el("p", "There is nothing at this address. ", el("a", { href: "#/" }, "All players")) };
}

/** Goes to the place that the address names. */
function go({ first = false } = {}) {
  const address = read(location.hash);
  if (!address) return;
  const [place, names] = find(address.parts);
  for (const part of here?.parts ?? []) part.leave?.();
  const heading = el("h1", { tabindex: -1 });
  here = place({ names, query: address.query, retitle: (title) => heading.isConnected && entitle(heading, title) });
  heading.textContent = here.title;
  content.className = here.kind ?? "";
  content.replaceChildren(...nodes([here.above, heading, here.body]));
  entitle(heading, here.title);
  const at = `#/${address.parts[0] ?? ""}`;
  for (const link of document.querySelectorAll("header nav a")) {
    const current = link.getAttribute("href") === at || (at === "#/players" && link.getAttribute("href") === "#/");
    if (current) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  if (!first) {
    heading.focus();
    scrollTo(0, 0);
  }
  attend();
  refresh();
}

/** Has trials be told of where they are seen. */
function attend() {
  watchTrials(here?.trials && !document.hidden ? here.player : null);
}

function entitle(heading, title) {
  heading.textContent = title;
  document.title = `${title} – Evencarry`;
}

/** Has every part of the place ask anew. */
function refresh() {
  forget();
  renew(content);
  for (const part of [health, ...(here?.parts ?? [])]) part.refresh();
}

/** Has the parts that are concerned ask anew. */
function hear(news) {
  const elsewhere = here?.player && "player" in news && news.player !== here.player;
  if (elsewhere || document.hidden) return;
  // A shot of a club that nobody knew changes what there is to choose from.
  const heard = brings(news) ? {} : news;
  if (!heard.source) forget();
  spread(heard);
}

function spread(news) {
  renew(content);
  for (const part of here?.parts ?? []) part.hear(news);
}

/** Has what depends on the clock say it as of now, and what nothing tells of be looked at. */
async function tick() {
  renew(content);
  health.refresh();
  for (const part of here?.timely ?? []) part.drawAgain();
  if (await lookAgain()) spread({});
}

function start() {
  content.before(health.element);
  const choice = document.getElementById("units");
  choice.value = units();
  choice.addEventListener("change", () => {
    keep("units", choice.value);
    go({ first: true });
  });
  document.querySelector(".skip").addEventListener("click", (event) => {
    event.preventDefault();
    content.focus();
  });
  addEventListener("hashchange", () => go());
  // What this tab has changed itself.
  addEventListener("evencarry:changed", refresh);
  // Pictures are drawn for the window and the light.
  for (const media of [`(width < ${PHONE}px)`, "(prefers-color-scheme: dark)"]) {
    matchMedia(media).addEventListener("change", refresh);
  }
  document.addEventListener("visibilitychange", () => {
    attend();
    if (!document.hidden) refresh();
  });
  setInterval(() => document.hidden || tick(), TICK);
  follow(hear);
  go({ first: true });
}

start();
