// Whether the service takes shots. What is wrong with it shows here and not only in its log.

import { ask } from "./api.js";
import { el } from "./dom.js";
import { Part } from "./part.js";

/** Empty while all is well. */
export const health = new Part(async () => {
  try {
    await ask("/readyz");
    return "";
  } catch (problem) {
    // A service that is away is told of by whoever asks it something.
    return problem.status ? problem.message : "";
  }
}, (told) => (told
  ? el("div", { class: "trouble", role: "alert" }, el("p", `Shots are not taken now: ${told}`), el("p", "What was kept before can be read."))
  : []));

health.element.replaceChildren();
