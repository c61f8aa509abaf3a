// What this browser remembers for its user: units, and what was typed last.

const PREFIX = "evencarry.";

/** What was kept under a name, else something usual. */
export function kept(name, usual) {
  try {
    return JSON.parse(localStorage.getItem(PREFIX + name)) ?? usual;
  } catch {
    return usual;
  }
}

/** Keeps something; a browser that keeps nothing forgets it with the page. */
export function keep(name, value) {
  try {
    localStorage.setItem(PREFIX + name, JSON.stringify(value));
  } catch {
    // Private windows may refuse.
  }
}

/** `si` or `imperial`. */
export function units() {
  return kept("units", "si") === "imperial" ? "imperial" : "si";
}

/** The unit of distances along the ground, as names of members end in it. */
export function distanceUnit() {
  return units() === "imperial" ? "yd" : "m";
}
