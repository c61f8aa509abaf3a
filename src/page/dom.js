// Elements, made one by one: texts stay texts, whoever wrote them.

/** An element: its name, its attributes where there are any, what is in it. `on` holds listeners. */
export function el(name, ...rest) {
  const made = document.createElement(name);
  const [first] = rest;
  const attributes = isPlain(first) ? rest.shift() : {};
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "on") {
      for (const [event, listener] of Object.entries(value)) made.addEventListener(event, listener);
    } else if (value === true) {
      made.setAttribute(key, "");
    } else if (value !== false && value !== null && value !== undefined) {
      made.setAttribute(key, value);
    }
  }
  made.append(...nodes(rest));
  return made;
}

/** What can be put into an element: nested lists flat, nothing where there is nothing. */
export function nodes(parts) {
  const there = [parts].flat(Infinity).filter((part) => part !== null && part !== undefined && part !== false);
  return there.map((part) => (part instanceof Node ? part : document.createTextNode(String(part))));
}

function isPlain(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value) && !(value instanceof Node);
}

/** Puts new nodes in place of the old; who had the focus, and what was unfolded, stays so by its `data-key`. */
export function swap(element, parts) {
  const wanted = nodes(parts);
  // What stays where it is keeps what is typed in it.
  if (wanted.length === element.childNodes.length && wanted.every((node, at) => node === element.childNodes[at])) return;
  const key = (node) => node?.closest?.("[data-key]")?.dataset.key;
  const focused = element.contains(document.activeElement) ? key(document.activeElement) : undefined;
  const open = new Set([...element.querySelectorAll("details[open][data-key]")].map(key));
  element.replaceChildren(...wanted);
  for (const fold of element.querySelectorAll("details[data-key]")) {
    if (open.has(fold.dataset.key)) fold.open = true;
  }
  if (focused !== undefined) {
    [...element.querySelectorAll("[data-key]")].find((node) => node.dataset.key === focused)?.focus();
  }
}

/** A paragraph, where there is something to say. */
export function say(text, attributes = {}) {
  return text ? el("p", attributes, text) : null;
}

/** A list of what there is; nothing where there is nothing. */
export function list(items, attributes = {}) {
  const there = items.filter(Boolean);
  return there.length ? el("ul", attributes, there.map((item) => el("li", item))) : null;
}

/** A table: what it is, its heads, its rows; the first cell of a row heads it. Where there is no room for its columns
 *  each cell stands under the head above it, which it bears with it. */
export function table(caption, heads, rows, kind = "") {
  const cell = (inner, at) => (at ? el("td", { "data-head": heads[at] }, el("div", inner)) : el("th", { scope: "row" }, inner));
  return el("div", { class: `wide ${kind}`, tabindex: 0, role: "region", "aria-label": caption },
    el("table", el("caption", el("span", caption)),
      el("thead", el("tr", heads.map((head) => el("th", { scope: "col" }, head)))),
      el("tbody", rows.map((cells) => el("tr", cells.map(cell))))));
}

/** Something folded up, which stays unfolded when its part is drawn anew. */
export function folded(key, summary, ...parts) {
  return el("details", { "data-key": key }, el("summary", summary), parts);
}

/** Tells who listens rather than looks. The same again is not said again. */
export function tell(text) {
  const told = document.getElementById("told");
  if (told.textContent !== text) told.textContent = text;
}
