// Pictures that the service draws beside its answers.

import { address, fetched } from "./api.js";
import { el } from "./dom.js";
import { Follower, SLOW } from "./follower.js";

/** Below this a window is a phone's; how wide pictures are drawn there, and elsewhere. */
export const PHONE = 600;
const NARROW = 400;
const WIDE = 960;

/** Whether the pictures should be drawn for a dark room. */
function theme() {
  return matchMedia("(prefers-color-scheme: dark)").matches ? "night" : "paper";
}

/** A picture that follows its answer where it is seen. It is fetched, since a browser would show what it has already;
 *  what it shows in words is its own title. It is drawn for the window and the light that there are. */
class Picture extends Follower {
  #wanted;
  #shown = "";
  #image;
  #link;

  constructor(wanted) {
    super(el("figure", { hidden: true }), { pace: SLOW, whenSeen: true });
    this.#wanted = wanted;
    this.#image = el("img", { alt: wanted.alt });
    this.#link = el("a", { href: this.#address() }, "This picture by itself");
    this.element.append(this.#image, el("figcaption", this.#link));
  }

  #address() {
    const { path, query, look, width } = this.#wanted;
    return address(path, { ...query, theme: look ?? theme(), width: width ?? (innerWidth < PHONE ? NARROW : WIDE) });
  }

  async ask() {
    const from = this.#address();
    this.element.setAttribute("aria-busy", "true");
    try {
      this.#show(await (await fetched(from, "image/svg+xml")).text());
      this.#link.href = from;
      this.element.hidden = false;
    } catch {
      // The sentences say what there is; a picture that cannot be drawn is left out.
      this.element.hidden = true;
    } finally {
      this.element.removeAttribute("aria-busy");
    }
  }

  #show(text) {
    if (text === this.#shown) return;
    this.#shown = text;
    const drawing = new DOMParser().parseFromString(text, "image/svg+xml");
    this.#image.alt = ["title", "desc"].map((name) => drawing.querySelector(name)?.textContent).filter(Boolean).join(" ");
    this.#letGo();
    this.#image.src = URL.createObjectURL(new Blob([text], { type: "image/svg+xml" }));
  }

  leave() {
    super.leave();
    this.#letGo();
  }

  #letGo() {
    if (this.#image.src) URL.revokeObjectURL(this.#image.src);
  }
}

/** A picture: where it is, what is asked, what it is called until it says so itself. */
export function picture(wanted) {
  return new Picture(wanted);
}
