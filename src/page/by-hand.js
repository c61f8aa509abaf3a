// Ten shots by hand, typed or pasted: a start before any device is connected.

import { act, inWords } from "./api.js";
import { LIES } from "./brief.js";
import { el, tell } from "./dom.js";
import { metric } from "./figures.js";
import { field, form, numberOf } from "./form.js";
import { keep, kept, units } from "./keep.js";
import { changed } from "./live.js";
import { suggest } from "./names.js";
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
  const player = field({ name: "player", place: "player", label: "Player", suggestions: [], value: kept("hand.player", ""), input: { required: true } });
  const club = field({ name: "club", place: "club", label: "Club", hint: "Its short name, such as 5h.", suggestions: [], value: kept("hand.club", ""), input: { required: true } });
  const lie = field({ name: "lie", place: "lie", label: "From", options: LIES, value: kept("hand.lie", "mat") });
  const ball = field({ name: "ball", place: "ball", label: "Ball", suggestions: [], value: kept("hand.ball", "") });
  const common = [player, club, lie, ball];
  const grid = table();
  const done = el("div");
  const known = () => suggest(player, club, ball);
  player.control.addEventListener("change", known);
  known();
  const whole = form({
    fields: [...common, grid.element], button: "Keep these shots", label: "Ten shots by hand",
    async submit() {
      if (!player.value || !club.value) {
        player.blame(player.value ? null : "Say who hit them.");
        club.blame(club.value ? null : "Say with which club.");
        return (player.value ? club : player).control.focus();
      }
      grid.blame(null);
      const shots = grid.shots();
      if (!shots.length) {
        if (grid.isEmpty()) grid.blame(0, "Type one shot at least.");
        return tell("No shot is kept: see what is said at the rows.");
      }
      for (const one of common) keep(`hand.${one.name}`, one.value);
      const answer = await act("POST", "/v1/shots", shots.map(({ row: _row, ...shot }) => ({ ...shot, ...told(common) })));
      const refused = new Map(answer.refusals.map((refusal) => [shots[refusal.line - 1].row, refusal]));
      for (const { row } of shots) if (!refused.has(row)) grid.clear(row);
      for (const [row, refusal] of refused) refuse(row, refusal);
      const said = outcome(answer, grid.faults());
      done.replaceChildren(el("p", { class: "lead" }, said), el("p",
        el("a", { href: to(["players", player.value, "clubs", club.value]) }, "What the club does"), " ",
        el("a", { href: to(["players", player.value]) }, "The bag")));
      tell(said);
      changed();
    },
  });
  /** Says what is wrong with a row, what is wrong with all of them at the field that they share. */
  function refuse(row, { status, errors }) {
    if (status === 409) {
      grid.renumber(row);
      return grid.blame(row, "This row was kept before with other figures. Send it again to keep it as one more shot, and set the first aside on the page of the club.");
    }
    const words = errors.map((fault) => {
      const shared = common.find((one) => `/${one.place}` === fault.pointer);
      if (shared) shared.blame(inWords(fault));
      return shared ? `${metric(shared.name).label}: see above.` : inWords(fault);
    });
    grid.blame(row, words.join(" "));
  }
  return {
    title: "Ten shots by hand", parts: [],
    body: [
      el("p", "A carry is enough. Ball speed lets mishits be found; launch and spin are what verdicts on the flight need. What is not known stays empty."),
      whole, done,
    ],
  };
}

/** What the fields that all rows share say of a shot. */
function told(fields) {
  return { source: SOURCE, ...Object.fromEntries(fields.filter((one) => one.value).map((one) => [one.name, one.value])) };
}

function outcome({ accepted, duplicates }, refused) {
  const parts = [
    accepted ? `${accepted} ${accepted === 1 ? "shot is" : "shots are"} kept.` : "",
    duplicates ? `${duplicates} had been kept before.` : "",
    refused ? `${refused} ${refused === 1 ? "is" : "are"} not kept: mend what is said at the ${refused === 1 ? "row" : "rows"}, and send again.` : "The rows are free for more.",
  ];
  return parts.filter(Boolean).join(" ");
}

/** The rows to type in. Cells that are pasted from a spreadsheet fill the rows from where they are put. */
function table() {
  const usual = units() === "imperial" ? { carry: "yd", ball_speed: "mph", side: "yd" } : { carry: "m", ball_speed: "mps", side: "m" };
  const chosen = QUANTITIES.map(([, quantity, label, unitsOf]) => {
    const choice = el("select", { "aria-label": `Unit of ${label.toLowerCase()}` },
      Object.entries(unitsOf).map(([value, text]) => el("option", { value, selected: value === usual[quantity] }, text)));
    return choice;
  });
  const rows = Array.from({ length: ROWS }, (_, row) => row);
  const faults = rows.map((row) => el("p", { class: "fault", id: `row-${row}-fault` }));
  const cells = rows.map((row) => QUANTITIES.map(([, , label], column) => el("input", {
    type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": `${label}, shot ${row + 1}`,
    "aria-describedby": `row-${row}-fault`, on: { paste: (event) => paste(event, row, column) },
  })));
  // What a row is sent as stays until it is kept, so that sending it again stores nothing twice.
  let numbered = 0;
  const number = (row) => ({ id: `${Date.now()}-${(numbered += 1)}`, time: new Date(Date.now() - (ROWS - row) * 60_000).toISOString() });
  const numbers = rows.map(number);
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
    row.map((cell, column) => el("td", { "data-head": QUANTITIES[column][2] }, cell)), el("td", faults[at])));
  const typed = (row) => cells[row].map((cell) => cell.value.trim());
  const blame = (row, text) => {
    faults[row].textContent = text;
  };
  return {
    element: el("div", { class: "wide typed", tabindex: 0, role: "region", "aria-label": "The shots" },
      el("table", el("caption", el("span", "The shots; a copied block of a spreadsheet can be pasted into any cell")),
        el("thead", head), el("tbody", body))),
    isEmpty: () => rows.every((row) => typed(row).every((text) => !text)),
    /** Rows that can be sent, as members of events; of the others it is said why they cannot. */
    shots() {
      const filled = rows.filter((row) => typed(row).some(Boolean));
      return filled.map((row) => read(row)).filter(Boolean);
    },
    /** How many rows something is wrong with. */
    faults: () => faults.filter((fault) => fault.textContent).length,
    /** Says what is wrong with a row; with none, that nothing is. */
    blame: (row, text) => (row === null ? rows.forEach((one) => blame(one, "")) : blame(row, text)),
    /** Frees a row that was kept, for another shot. */
    clear(row) {
      for (const cell of cells[row]) cell.value = "";
      numbers[row] = number(row);
    },
    /** Has a row be another shot than it was. */
    renumber(row) {
      numbers[row] = number(row);
    },
  };
  function read(row) {
    const figures = typed(row).map((text) => (text ? numberOf(text) : null));
    const wrong = QUANTITIES.flatMap(([, , label], at) => (typeof figures[at] === "string" ? [`${label} is “${figures[at]}”: ${plainly(figures[at])}`] : []));
    const [carry, speed, launch] = figures;
    if (!wrong.length && carry === null && (speed === null || launch === null)) wrong.push("Type a carry, or ball speed and launch.");
    blame(row, wrong.join(" "));
    if (wrong.length) return null;
    const shot = { row, ...numbers[row] };
    QUANTITIES.forEach(([object, quantity], at) => {
      if (figures[at] !== null) shot[object] = { ...shot[object], [`${quantity}_${chosen[at].value}`]: figures[at] };
    });
    return shot;
  }
}

/** How to type what is no plain number. */
function plainly(text) {
  if (!/^[-+]?\d{1,3}(,\d{3})+$/.test(text)) return "type a number, such as 158.3.";
  const whole = text.replaceAll(",", "");
  return /,.*,/.test(text) ? `type ${whole}.` : `type ${whole}, or ${text.replace(",", ".")} if that is meant.`;
}
