// Parts of a place that follow the answers: asked anew when something has changed, and drawn anew only
// where the answer has.

import { inWords, Problem } from "./api.js";
import { el, nodes, swap } from "./dom.js";

/** A part: what it asks, and what it draws of the answer. */
export class Part {
  #load;
  #draw;
  #known;
  #asked = 0;

  constructor(load, draw, attributes = {}) {
    this.#load = load;
    this.#draw = draw;
    this.element = el("div", attributes, el("p", { class: "quiet" }, "One moment …"));
  }

  /** Asks, and draws what is new; an answer that a later question has overtaken is let go. */
  async refresh() {
    this.#asked += 1;
    const mine = this.#asked;
    try {
      const answer = await this.#load();
      if (mine !== this.#asked) return;
      const text = JSON.stringify(answer);
      if (text === this.#known) return;
      this.#known = text;
      swap(this.element, nodes(this.#draw(answer)));
    } catch (problem) {
      if (mine !== this.#asked) return;
      this.#known = undefined;
      // What is no refusal is a fault of the page, for who looks into its console.
      if (!(problem instanceof Problem)) reportError(problem);
      swap(this.element, troubled(problem));
    }
  }
}

/** A problem in words. */
export function troubled(problem) {
  const faults = (problem.faults ?? []).map((fault) => el("li", inWords(fault)));
  return el("div", { class: "trouble", role: "alert" }, el("p", problem.message), faults.length ? el("ul", faults) : null);
}
