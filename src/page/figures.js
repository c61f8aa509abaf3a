// Figures in tables: rounded for people, with the unit that the member's name ends in.

import { el } from "./dom.js";
import { units } from "./keep.js";

const UNITS = {
  m: "m", yd: "yd", ft: "ft", mps: "m/s", mph: "mph", kmh: "km/h", kt: "kt", deg: "°", rpm: "rpm", s: "s", mm: "mm",
  c: "°C", f: "°F", hpa: "hPa", inhg: "inHg", pct: "%",
};

/** What a member's name says: the quantity in words, and its unit. */
export function metric(name) {
  const [, stem, suffix] = name.match(/^(.*)_([a-z]+)$/) ?? [];
  const unit = UNITS[suffix];
  const words = (unit ? stem : name).replaceAll("_", " ");
  return { words, label: words[0].toUpperCase() + words.slice(1), unit: unit ?? "" };
}

/** A number with as many digits as a table bears. */
export function number(value) {
  if (value === null || value === undefined) return "–";
  const size = Math.abs(value);
  const rounded = size < 10 ? Math.round(value * 10) / 10 : Math.round(value);
  return String(rounded === 0 ? 0 : rounded).replace("-", "−");
}

/** A number with the unit of its member. */
export function figure(name, value) {
  if (value === null || value === undefined) return "–";
  const { unit } = metric(name);
  return unit === "°" ? `${rounded(name, value)}°` : `${rounded(name, value)}\u00a0${unit}`.trim();
}

/** Tens of revolutions, tenths of degrees, hundredths of ratios. */
function rounded(name, value) {
  const { unit } = metric(name);
  if (unit === "rpm") return number(Math.round(value / 10) * 10);
  if (unit === "°") return value.toFixed(1).replace("-", "−");
  return unit ? number(value) : value.toFixed(2).replace("-", "−");
}

/** What bounds a figure: `155 to 160`. */
export function ends(name, { low, high }) {
  if (low === null || low === undefined || high === null || high === undefined) return "–";
  return `${rounded(name, low)} to ${rounded(name, high)}`;
}

/** The member of an object whose name begins so: `carry` finds `carry_m` or `carry_yd`. */
export function member(object, stem) {
  const name = Object.keys(object ?? {}).find((key) => key.replace(/_[a-z]+$/, "") === stem);
  return name ? [name, object[name]] : ["", null];
}

/** Units by the one that is SI's, and what one of each is in it (by definition). */
const IN_SI = {
  m: { m: 1, yd: 0.9144, ft: 0.3048 },
  mps: { mps: 1, mph: 0.44704, kmh: 1 / 3.6, kt: 1852 / 3600 },
};
const READERS = { si: ["m", "mps"], imperial: ["yd", "mph"] };

/** A figure as it was sent, by its name and value, in the reader's units: the same pair. */
export function readers(name, value) {
  const [, stem, sent] = name.match(/^(.*)_([a-z]+)$/) ?? [];
  for (const wanted of READERS[units()]) {
    const known = Object.values(IN_SI).find((known) => wanted in known);
    if (sent in known && value !== null) return [`${stem}_${wanted}`, value * known[sent] / known[wanted]];
  }
  return [name, value];
}

/** `1 shot`, `7 shots`. */
export function counted(count, one) {
  return `${count} ${one}${count === 1 ? "" : "s"}`;
}

const FROM = {
  teed: "off a tee", mat: "off the mat", turf: "from turf", rough: "from rough", wet: "from wet lies", sand: "from sand",
  other: "from another lie", unstated: "from a lie that nobody stated",
};

/** What the figures of an answer were hit from and with. */
export function basis({ surface, ball }) {
  return [FROM[surface], ball ? `with ball ${ball}` : null].filter(Boolean).join(" ");
}

/** The stiff wind that verdicts speak of, in the reader's units. */
export function stiffWind() {
  return units() === "imperial" ? "20\u00a0mph" : "8.9\u00a0m/s";
}

/** How long ago a moment was, roughly; its date where that is more than a day. */
export function ago(time, now = Date.now()) {
  const seconds = Math.round((now - Date.parse(time)) / 1000);
  if (Number.isNaN(seconds)) return "";
  if (Math.abs(seconds) >= 86400) return moment(time);
  const words = new Intl.RelativeTimeFormat("en", { numeric: "auto" });
  const steps = [[60, "second", 1], [3600, "minute", 60], [86400, "hour", 3600]];
  const [, unit, size] = steps.find(([below]) => Math.abs(seconds) < below);
  return words.format(-Math.round(seconds / size), unit);
}

/** A moment as an element that says how long ago it was. */
export function since(time) {
  return el("time", { datetime: time, "data-since": true }, ago(time));
}

/** Has all such elements say it as of now. */
export function renew(within) {
  for (const node of within.querySelectorAll("time[data-since]")) {
    const now = ago(node.dateTime);
    if (node.textContent !== now) node.textContent = now;
  }
}

/** A moment as people write it. */
export function moment(time) {
  const date = new Date(time);
  return Number.isNaN(date.getTime()) ? time : date.toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
}
