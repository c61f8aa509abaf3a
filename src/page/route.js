// Addresses of places: what stands behind `#`.

/** The address of a place: its parts, and what is asked there. */
export function to(parts, query = {}) {
  const path = parts.map((part) => `/${encodeURIComponent(part)}`).join("");
  const asked = search(query);
  return `#${path || "/"}${asked && `?${asked}`}`;
}

/** A query without what is empty; a list gives its name several times. */
export function search(query) {
  const pairs = Object.entries(query).flatMap(([name, value]) => [value].flat().map((one) => [name, one]));
  const given = pairs.filter(([, value]) => value !== undefined && value !== null && value !== "");
  return new URLSearchParams(given.map(([name, value]) => [name, String(value)])).toString();
}

/** The place that an address names; `null` where it is none. */
export function read(hash) {
  const text = hash.replace(/^#/, "") || "/";
  if (!text.startsWith("/")) return null;
  const cut = text.indexOf("?");
  const path = cut < 0 ? text : text.slice(0, cut);
  try {
    const parts = path.split("/").slice(1).filter((part) => part !== "").map(decodeURIComponent);
    return { parts, query: new URLSearchParams(cut < 0 ? "" : text.slice(cut + 1)) };
  } catch {
    return { parts: ["?"], query: new URLSearchParams() };
  }
}

/** What an address asks, as an object; what is named several times is a list. */
export function asked(query) {
  const found = {};
  for (const name of new Set(query.keys())) {
    const values = query.getAll(name);
    found[name] = values.length > 1 ? values : values[0];
  }
  return found;
}
