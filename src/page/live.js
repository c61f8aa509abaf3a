// Tells a place when to ask anew.

import { listen } from "./stream.js";

/** How long a worker may take to answer, and the least time between two rounds: milliseconds. */
const PATIENCE = 3_000;
const PACE = 400;

let post = () => {};

/** Calls `told` with `{player}` or `{}` when something is new. Tabs share one stream where they can. */
export function follow(told) {
  let alone = false;
  const onMyOwn = () => {
    if (alone) return;
    alone = true;
    listen(told);
  };
  if (typeof SharedWorker === "undefined") return onMyOwn();
  let worker;
  try {
    worker = new SharedWorker("/page/worker.js", { name: "evencarry", type: "module" });
  } catch {
    // A browser that lets pages keep nothing may refuse it.
    return onMyOwn();
  }
  const late = setTimeout(onMyOwn, PATIENCE);
  worker.addEventListener("error", onMyOwn);
  worker.port.addEventListener("message", ({ data }) => {
    if (data.listening) clearTimeout(late);
    else if (!alone) told(data);
  });
  worker.port.start();
  post = (news) => worker.port.postMessage(news);
  addEventListener("pagehide", (event) => {
    if (!event.persisted) worker.port.postMessage("closed");
  });
}

/** Runs something at most once in a while, never twice at once, and once more where it was asked meanwhile. What
 *  fails is told to the console and ends nothing. */
export function paced(run) {
  let running = false;
  let again = false;
  return async function start() {
    if (running) {
      again = true;
      return;
    }
    running = true;
    do {
      again = false;
      try {
        await run();
      } catch (problem) {
        reportError(problem);
      }
      await new Promise((resume) => setTimeout(resume, PACE));
    } while (again);
    running = false;
  };
}

/** Has this tab's place, and the other tabs, ask anew. */
export function changed() {
  dispatchEvent(new Event("evencarry:changed"));
  post({});
}
