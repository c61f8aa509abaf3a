// Pictures that the service draws beside its answers.

import { address, fetched } from "./api.js";
import { el } from "./dom.js";

/** Below this a window is a phone's; how wide pictures are drawn there, and elsewhere. */
const PHONE = 600;
const NARROW = 400;
const WIDE = 960;

/** Whether the pictures should be drawn for a dark room. */
function theme() {
  return matchMedia("(prefers-color-scheme: dark)").matches ? "night" : "paper";
}

/** A picture that follows its answer. It is fetched, since a browser would show what it has already; what
 *  it shows in words is its own title. */
class Picture {
  #path;
  #query;
  #shown = "";
  #image;

  constructor({ path, query, alt, look, width }) {
    this.#path = path;
    this.#query = { ...query, theme: look ?? theme(), width: width ?? (innerWidth < PHONE ? NARROW : WIDE) };
    this.#image = el("img", { alt });
    this.element = el("figure", { hidden: true }, this.#image,
      el("figcaption", el("a", { href: address(path, this.#query) }, "This picture by itself")));
  }

  async refresh() {
    let text;
    try {
      text = await (await fetched(address(this.#path, this.#query), "image/svg+xml")).text();
    } catch {
      // The sentences say what there is; a picture that cannot be drawn is left out.
      this.element.hidden = true;
      return;
    }
    if (text === this.#shown) return;
    this.#shown = text;
    const drawing = new DOMParser().parseFromString(text, "image/svg+xml");
    this.#image.alt = ["title", "desc"].map((name) => drawing.querySelector(name)?.textContent).filter(Boolean).join(" ");
    const before = this.#image.src;
    this.#image.src = URL.createObjectURL(new Blob([text], { type: "image/svg+xml" }));
    if (before) URL.revokeObjectURL(before);
    this.element.hidden = false;
  }
}

/** A picture: where it is, what is asked, what it is called until it says so itself. */
export function picture(wanted) {
  return new Picture(wanted);
}
