// Parts of a place that follow the answers: asked anew when something has changed, and drawn anew only
// where the answer has.

import { inWords } from "./api.js";
import { el, nodes, swap } from "./dom.js";

/** A part: what it asks, and what it draws of the answer. */
export class Part {
  #load;
  #draw;
  #known;

  constructor(load, draw, attributes = {}) {
    this.#load = load;
    this.#draw = draw;
    this.element = el("div", attributes, el("p", { class: "quiet" }, "One moment …"));
  }

  /** Asks, and draws what is new. */
  async refresh() {
    let answer;
    try {
      answer = await this.#load();
    } catch (problem) {
      this.#known = undefined;
      swap(this.element, troubled(problem));
      return;
    }
    const text = JSON.stringify(answer);
    if (text === this.#known) return;
    this.#known = text;
    swap(this.element, nodes(this.#draw(answer)));
  }
}

/** A problem in words. */
export function troubled(problem) {
  const faults = (problem.faults ?? []).map((fault) => el("li", inWords(fault)));
  return el("div", { class: "trouble", role: "alert" }, el("p", problem.message), faults.length ? el("ul", faults) : null);
}
