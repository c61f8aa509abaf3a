// The brief: what is asked of a club that shall take another's place. The same fields for a question and
// for a trial.

import { el, folded } from "./dom.js";
import { stiffWind } from "./figures.js";
import { field, numberOf } from "./form.js";
import { distanceUnit } from "./keep.js";

export const LIES = [
  ["", "whichever"], ["tee", "tee"], ["mat", "mat"], ["fairway", "fairway"], ["tight", "tight"], ["wet_fairway", "wet fairway"],
  ["light_rough", "light rough"], ["heavy_rough", "heavy rough"], ["sand", "sand"], ["other", "other"],
];

/** The figures of a brief in the reader's unit: name, label, what holds unless given. */
function figures() {
  const unit = distanceUnit();
  const margin = unit === "yd" ? "5" : "4.572";
  return [
    [`carry_margin_${unit}`, `Carries may differ by, ${unit}`, margin],
    ["launch_lower_by_deg", "Launches lower by at least, degrees", "1.5"],
    ["launch_lower_at_most_deg", "Lower by at most, degrees", "5"],
    ["spin_lower_by_rpm", "Spins less by at least, rpm", "500"],
    ["spin_lower_at_most_rpm", "Less by at most, rpm", "1800"],
    [`slot_low_${unit}`, `Wanted carry from, ${unit}`, "the old club’s own"],
    [`slot_high_${unit}`, `Wanted carry to, ${unit}`, "the old club’s own"],
    ["launch_floor_deg", "Launch at least, degrees", "none"],
    ["descent_floor_deg", "Descent at least, degrees", "none"],
    [`carry_kept_in_wind_by_${unit}`, `Keeps more of its carry into ${stiffWind()} of wind by, ${unit}`, "none"],
    [`must_carry_${unit}`, `Say how many strikes carry, ${unit}`, "none"],
  ];
}

/** Whether the floor of the launch is to be computed: the one member that is no figure. */
const COMPUTED = "launch_floor_computed";
/** What else a brief may have that is asked nowhere on the page: words, as they stand in an address. */
const WORDS = ["height", "shape"];

/** The fields of a brief, with what is given already. */
export function briefFields(given = {}) {
  const place = (name) => [name, `brief/${name}`];
  return [
    ...figures().map(([name, label, usual]) => field({
      name, label, value: given[name], place: place(name), input: { inputmode: "decimal", placeholder: usual },
    })),
    field({
      name: COMPUTED, label: "Not lower than its own weak strike on soaked ground allows (computed)", value: given[COMPUTED],
      place: place(COMPUTED), input: { type: "checkbox" },
    }),
  ];
}

/** The fields folded up; unfolded where something is given. */
export function briefFold(fields) {
  const fold = folded("brief", "The brief: what is asked of it", el("div", { class: "fields" }, fields.map((one) => one.row)));
  fold.open = fields.some((one) => one.value !== "");
  return fold;
}

/** What was typed, as numbers where it is one; what is none is sent as it is, to be refused in words. */
export function briefOf(fields) {
  return stated(fields.map((one) => [one.name, one.value]).filter(([, value]) => value !== ""));
}

/** The brief that an address asks with, in whatever unit, without what else it asks. */
export function briefIn(given) {
  const unitless = (name) => name.replace(/_[a-z]+$/, "");
  const known = new Set(figures().map(([name]) => unitless(name)));
  const isOfBrief = (name) => name === COMPUTED || WORDS.includes(name) || known.has(unitless(name));
  return stated(Object.entries(given).filter(([name]) => isOfBrief(name)));
}

function stated(members) {
  return Object.fromEntries(members.map(([name, value]) => [name, name === COMPUTED ? value === "true" : numberOf(value)]));
}
