// Ten shots by hand, typed or pasted: a start before any device is connected.

import { act, ask, inWords } from "./api.js";
import { LIES } from "./brief.js";
import { el, tell } from "./dom.js";
import { field, form, numberOf } from "./form.js";
import { keep, kept, units } from "./keep.js";
import { changed } from "./live.js";
import { clubsOf } from "./names.js";
import { to } from "./route.js";

const ROWS = 10;
const SOURCE = "by-hand";

/** What can be typed of a shot: the object, the quantity, its label, and the units that it may be in. */
const QUANTITIES = [
  ["flight", "carry", "Carry", { yd: "yd", m: "m" }],
  ["launch", "ball_speed", "Ball speed", { mph: "mph", mps: "m/s", kmh: "km/h" }],
  ["launch", "launch_angle", "Launch", { deg: "°" }],
  ["launch", "spin_rate", "Spin", { rpm: "rpm" }],
  ["flight", "side", "Side, right +", { yd: "yd", m: "m" }],
  ["flight", "descent_angle", "Descent", { deg: "°" }],
];

export function byHand() {
  // Fixed now, so that sending the same form again stores nothing twice.
  const visit = Date.now();
  const player = field({ name: "player", place: "player", label: "Player", suggestions: [], value: kept("hand.player", ""), input: { required: true } });
  const club = field({ name: "club", place: "club", label: "Club", hint: "Its short name, such as 5h.", suggestions: [], value: kept("hand.club", ""), input: { required: true } });
  const lie = field({ name: "lie", place: "lie", label: "From", options: LIES, value: kept("hand.lie", "mat") });
  const ball = field({ name: "ball", place: "ball", label: "Ball", suggestions: [], value: kept("hand.ball", "") });
  const grid = table();
  const done = el("div");
  suggest(player, club, ball);
  const whole = form({
    fields: [player, club, lie, ball, grid.element], button: "Keep these shots", label: "Ten shots by hand",
    async submit() {
      const shots = grid.shots().map((shot) => event(shot, { visit, player, club, lie, ball }));
      if (!player.value || !club.value) {
        player.blame(player.value ? null : "Say who hit them.");
        club.blame(club.value ? null : "Say with which club.");
        return (player.value ? club : player).control.focus();
      }
      if (!shots.length) return grid.blame(0, "Type one shot at least.");
      grid.blame(null);
      for (const one of [player, club, lie, ball]) keep(`hand.${one.name}`, one.value);
      const answer = await act("POST", "/v1/shots", shots.map(({ row: _row, ...sent }) => sent));
      for (const { line, errors } of answer.refusals) {
        grid.blame(shots[line - 1].row, errors.map(inWords).join(" "));
      }
      const told = kept_(answer);
      tell(told);
      changed();
      done.replaceChildren(el("p", { class: "lead" }, told), el("p",
        el("a", { href: to(["players", player.value, "clubs", club.value]) }, "What the club does"), " ",
        el("a", { href: to(["players", player.value]) }, "The bag"), " ",
        el("button", { type: "button", on: { click: () => location.reload() } }, "Ten more")));
    },
  });
  return {
    title: "Ten shots by hand", parts: [],
    body: [
      el("p", "A carry is enough. Ball speed lets mishits be found; launch and spin are what verdicts on the flight need. What is not known stays empty."),
      whole, done,
    ],
  };
}

function kept_({ accepted, duplicates, refused }) {
  const parts = [
    accepted ? `${accepted} ${accepted === 1 ? "shot is" : "shots are"} kept.` : "",
    duplicates ? `${duplicates} had been kept before.` : "",
    refused ? `${refused} ${refused === 1 ? "was" : "were"} not: see the rows.` : "",
  ];
  return parts.filter(Boolean).join(" ");
}

async function suggest(player, club, ball) {
  try {
    const players = (await ask("/v1/players")).items.map((one) => one.id);
    player.offer(players);
    ball.offer((await ask("/v1/balls")).items.map((one) => one.id));
    const clubs = async () => club.offer(players.includes(player.value) ? (await clubsOf(player.value)).items.map((one) => one.id) : []);
    player.control.addEventListener("change", clubs);
    await clubs();
  } catch {
    // Without suggestions it is typed.
  }
}

/** A shot as an event. Shots of a form are a minute apart, the last one now. */
function event({ row, ...objects }, { visit, player, club, lie, ball }) {
  const time = new Date(visit - (ROWS - row) * 60_000).toISOString();
  const shot = { row, id: `${visit}-${row + 1}`, source: SOURCE, time, player: player.value, club: club.value, ...objects };
  if (lie.value) shot.lie = lie.value;
  if (ball.value) shot.ball = ball.value;
  return shot;
}

/** The rows to type in. Cells that are pasted from a spreadsheet fill the rows from where they are put. */
function table() {
  const usual = units() === "imperial" ? { carry: "yd", ball_speed: "mph", side: "yd" } : { carry: "m", ball_speed: "mps", side: "m" };
  const chosen = QUANTITIES.map(([, quantity, label, unitsOf]) => {
    const choice = el("select", { "aria-label": `Unit of ${label.toLowerCase()}` },
      Object.entries(unitsOf).map(([value, text]) => el("option", { value, selected: value === usual[quantity] }, text)));
    return choice;
  });
  const faults = Array.from({ length: ROWS }, (_, row) => el("p", { class: "fault", id: `row-${row}-fault` }));
  const cells = Array.from({ length: ROWS }, (_, row) => QUANTITIES.map(([, , label], column) => el("input", {
    type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `${label}, shot ${row + 1}`,
    "aria-describedby": `row-${row}-fault`, on: { paste: (event) => paste(event, row, column) },
  })));
  function paste(event, row, column) {
    const text = event.clipboardData.getData("text");
    if (!/[\t\n]/.test(text.trim())) return;
    event.preventDefault();
    text.trim().split(/\r?\n/).forEach((line, down) => line.split(/\t|;/).forEach((cell, right) => {
      const target = cells[row + down]?.[column + right];
      if (target) target.value = cell.trim();
    }));
  }
  const head = el("tr", el("th", { scope: "col" }, "Shot"),
    QUANTITIES.map(([, , label], at) => el("th", { scope: "col" }, label, " ", chosen[at])));
  const body = cells.map((row, at) => el("tr", el("th", { scope: "row" }, String(at + 1)),
    row.map((cell) => el("td", cell)), el("td", faults[at])));
  return {
    element: el("div", { class: "wide typed", tabindex: 0, role: "region", "aria-label": "The shots" },
      el("table", el("caption", el("span", "The shots; a copied block of a spreadsheet can be pasted into any cell")),
        el("thead", head), el("tbody", body))),
    /** Rows in which something was typed, as members of an event. */
    shots() {
      return cells.map((row, at) => read(row, at)).filter(Boolean);
    },
    /** Says what is wrong with a row; with none, that nothing is. */
    blame(row, text) {
      if (row === null) faults.forEach((fault) => fault.replaceChildren());
      else faults[row].textContent = text;
    },
  };
  function read(row, at) {
    const shot = { row: at };
    row.forEach((cell, column) => {
      const text = cell.value.trim();
      if (!text) return;
      const [object, quantity] = QUANTITIES[column];
      shot[object] ??= {};
      shot[object][`${quantity}_${chosen[column].value}`] = numberOf(text);
    });
    return Object.keys(shot).length > 1 ? shot : null;
  }
}
