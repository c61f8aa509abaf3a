// Parts of a place that follow the answers, and are drawn anew only where the answer has changed.

import { inWords, Problem } from "./api.js";
import { el, nodes, swap } from "./dom.js";
import { Follower } from "./follower.js";

/** A part: what it asks, what it draws of the answer, and how it follows. */
export class Part extends Follower {
  #load;
  #draw;
  #known;
  #answer = null;

  constructor(load, draw, how) {
    super(el("div", el("p", { class: "quiet" }, "One moment …")), how);
    this.#load = load;
    this.#draw = draw;
  }

  /** Asks, and draws what is new. */
  async ask() {
    try {
      const answer = await this.#load();
      const text = JSON.stringify(answer);
      if (text === this.#known) return;
      this.#known = text;
      this.#answer = answer;
      this.drawAgain();
    } catch (problem) {
      this.#known = undefined;
      this.#answer = null;
      // What is no refusal is a fault of the page, for who looks into its console.
      if (!(problem instanceof Problem)) reportError(problem);
      swap(this.element, troubled(problem));
    }
  }

  /** Draws what is known once more, without asking: for what depends on the clock. */
  drawAgain() {
    if (this.#answer !== null) swap(this.element, nodes(this.#draw(this.#answer)));
  }
}

/** A problem in words. */
export function troubled(problem) {
  const faults = (problem.faults ?? []).map((fault) => el("li", inWords(fault)));
  return el("div", { class: "trouble", role: "alert" }, el("p", problem.message), faults.length ? el("ul", faults) : null);
}
