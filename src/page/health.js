// Whether the service takes shots. What is wrong with it shows here and not only in its log.

import { ask } from "./api.js";
import { el } from "./dom.js";
import { Part } from "./part.js";

/** Empty while all is well. */
export const health = new Part(async () => {
  try {
    await ask("/readyz");
    return {};
  } catch (problem) {
    // A service that is away is told of by whoever asks it something.
    return problem.status ? { told: problem.message, kept: problem.body.takes_writes } : {};
  }
}, ({ told, kept }) => {
  if (!told) return [];
  const [what, besides] = kept
    ? ["Shots are kept, but this page may not follow them by itself", "Load it anew to see what came."]
    : ["Shots are not taken now", "What was kept before can be read."];
  return el("div", { class: "trouble", role: "alert" }, el("p", `${what}: ${told}`), el("p", besides));
});

health.element.replaceChildren();
