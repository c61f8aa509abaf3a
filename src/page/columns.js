// What the columns of a table may be, from the event's own schema, and the first rows of a file.

import { metric } from "./figures.js";

/** Members that have words or names and not figures. */
const NAMES = [
  ["/id", "its id"], ["/club", "the club"], ["/player", "the player"], ["/ball", "the ball"], ["/lie", "the lie"], ["/session", "the visit"],
  ["/purpose", "the purpose"], ["/launch/spin_origin", "how its spin is known"], ["/flight/origin", "how its flight is known"],
];

const OBJECTS = { launch: "Launch", clubhead: "Clubhead", flight: "Flight", air: "Air", wind: "Wind", target: "Target" };

/** Choices for a column: every member that a cell can fill, with its unit. */
export async function members() {
  const schema = await (await fetch("/schemas/shot-event.json")).json();
  const figures = Object.entries(OBJECTS).map(([object, label]) => {
    const properties = schema.properties[object]?.properties ?? {};
    const names = Object.keys(properties).filter((name) => numeric(properties[name]));
    return [label, names.map((name) => {
      const { words, unit } = metric(name);
      return [`/${object}/${name}`, unit ? `${words}, ${unit}` : words];
    }), true];
  });
  return [
    ["", "choose"], ["-", "leave it out"],
    ["When and what", [["time", "the time, or a part of it"], ...NAMES], true],
    ...figures.filter(([, options]) => options.length),
  ];
}

function numeric(property) {
  return [property.type].flat().includes("number");
}

/** How times may be written, as forms of strptime; the first stands in an event as it is. */
export const TIMES = [
  ["", "2026-04-11T10:15:04+02:00"],
  ["%Y-%m-%d %H:%M:%S", "2026-04-11 10:15:04"],
  ["%Y-%m-%d %H:%M", "2026-04-11 10:15"],
  ["%d.%m.%Y %H:%M:%S", "11.04.2026 10:15:04"],
  ["%d.%m.%Y %H:%M", "11.04.2026 10:15"],
  ["%d/%m/%Y %H:%M:%S", "11/04/2026 10:15:04, day first"],
  ["%d/%m/%Y %H:%M", "11/04/2026 10:15, day first"],
  ["%m/%d/%Y %I:%M:%S %p", "04/11/2026 10:15:04 AM, month first"],
  ["%m/%d/%Y %H:%M:%S", "04/11/2026 10:15:04, month first"],
];

/** The first rows of a text (RFC 4180), cell by cell. */
export function firstRows(text, delimiter, most) {
  const rows = [];
  let row = [];
  let cell = "";
  let quoted = false;
  for (let at = 0; at < text.length && rows.length < most; at += 1) {
    const letter = text[at];
    if (quoted) {
      if (letter !== '"') cell += letter;
      else if (text[at + 1] === '"') cell += text[(at += 1)];
      else quoted = false;
    } else if (letter === '"') {
      quoted = true;
    } else if (letter === delimiter) {
      row.push(cell);
      cell = "";
    } else if (letter === "\n") {
      rows.push([...row, cell.replace(/\r$/, "")]);
      row = [];
      cell = "";
    } else {
      cell += letter;
    }
  }
  if ((cell || row.length) && rows.length < most) rows.push([...row, cell.replace(/\r$/, "")]);
  return rows;
}

/** What stands between the cells of a header, by what it has most of. */
export function likelyDelimiter(text) {
  const header = text.slice(0, text.search(/\r?\n|$/));
  const marks = [",", ";", "\t"];
  return marks.reduce((best, mark) => (header.split(mark).length > header.split(best).length ? mark : best));
}
